//! The trade's words, and one word for one thing: in the ranking, the terminal, the page and `explain`.

use crate::fleet_folder::FleetFolder;
use crate::judged::{expect, in_order, said};
use crate::program::{bladewane, text};

/// What a command says of a fleet on 2026-01-01, in one line.
fn out(command: &str, folder: &FleetFolder, more: &[&str]) -> String {
    let fleet = folder.path().display().to_string();
    let args: Vec<&str> = [command, &fleet].into_iter().chain(more.iter().copied()).collect();
    let output = bladewane(&args.into_iter().chain(["--as-of", "2026-01-01"]).collect::<Vec<_>>());
    text(&output.stdout).split_whitespace().collect::<Vec<_>>().join(" ")
}

const VISITS: &str = "propeller,overhaul_date,work,outcome,reject_reason\n";

#[test]
fn rejected_but_flown_since() {
    let rejected =
        |more: &str| in_order().with("overhauls", &format!("{VISITS}T1,2025-02-10,overhaul,rejected,crack\n{more}"));
    let serial = "do not fly: have a mechanic check the serial number on Robin";
    let fitted = "propeller,aircraft,from_date\nC1,Heron,2024-06-01\nT1,Robin,2025-03-01\n";
    expect(&rejected("").with("fitted", fitted), "T1", 1, "rejected 2025-02-10 but flown since", serial);
    expect(&rejected(""), "T1", 1, "rejected 2025-02-10 but still listed as flying", serial);
    let on_none = "propeller,aircraft,from_date\nC1,Heron,2024-06-01\n";
    expect(
        &rejected("").with("fitted", on_none),
        "T1",
        1,
        "rejected 2025-02-10 but still listed as flying",
        "do not fly: have a mechanic check its serial number",
    );
    expect(
        &rejected("").with("hours", "propeller,reading_date,hours_since_new\nT1,2025-01-01,70\nT1,2025-04-01,90\n"),
        "T1",
        1,
        "rejected 2025-02-10 but flown since",
        serial,
    );
}

#[test]
fn blended_beyond_the_field_repair_limits_and_dressing_below_minimum() {
    let header = "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date\n";
    let of = |row: &str| said(&in_order().with("defects", &format!("{header}{row}\n")), "T1");
    let deep = of("T1,2025-11-01,1,75,face,gouge,0.09,0.2,0.1,blended,2025-11-02");
    assert!(deep.reasons.iter().any(|r| r.ends_with("blended beyond the field-repair limits; no shop release since")));
    let at_minimum = of("T1,2025-11-01,1,90,face,nick,0.061,0.2,0.1,none,");
    assert!(
        at_minimum.reasons.iter().any(|r| r.contains(": dressing would take it below minimum; ")),
        "{at_minimum:?}"
    );
}

#[test]
fn an_annual_is_satisfactory_or_unsatisfactory() {
    let folder = in_order()
        .with(
            "propellers",
            "propeller,model,use,base,in_service_date,acquired,interval_months\nT1,M76,training,Home,2024-06-01,new,12",
        )
        .with("inspections", "aircraft,inspection_date,kind,result\nRobin,2025-11-03,annual,not\n");
    let of = said(&folder, "T1");
    assert_eq!(of.reason, "annual of 2025-11-03 unsatisfactory");
    assert!(of.reasons.iter().any(|r| r.ends_with("; last annual 2025-11-03, unsatisfactory")), "{of:?}");
    let story = out("explain", &folder, &["T1"]);
    assert!(story.contains("Last inspection 2025-11-03 (inspections.csv:2): annual, unsatisfactory."), "{story}");
    assert!(
        out("show", &folder, &["due", "--columns", "last_inspection_result", "--format", "csv"])
            .ends_with("unsatisfactory")
    );
}

#[test]
fn explain_speaks_the_trade_s_words() {
    let nicks = "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date\n\
                 T1,2025-05-01,1,75,leading_edge,nick,0.02,0.1,0.1,blended,2025-05-01\n\
                 T1,2025-06-01,1,76,leading_edge,nick,0.02,0.1,0.1,blended,2025-06-01\n\
                 T1,2025-07-01,1,77,leading_edge,nick,,0.1,0.1,none,\n";
    let folder = in_order()
        .with("propellers", "propeller,model,use,base,in_service_date,acquired\nT1,M76,training,Home,2024-06-01,used\nC1,M76,club,Home,2024-06-01,new")
        .with("models", "model,diameter_in,blades,interval_hours,interval_months\nM76,76,2,2000,120\n")
        .with("overhauls", "propeller,overhaul_date,work,outcome,hours_since_new\nC1,2025-12-01,overhaul,released,180\n")
        .with("fitted", "propeller,aircraft,from_date\nT1,Robin,2024-06-01\n")
        .with("defects", nicks);
    let story = out("explain", &folder, &["T1"]);
    for words in [
        "Listed as flying, acquired used, history unknown, on this fleet's record since 2024-06-01",
        "(mechanic required before flight).",
        "Reasons: open nick on blade 1 leading edge at 77 %, found 2025-07-01: no depth recorded; not dressed",
        "Also: no overhaul on record.",
        "Recurring damage: blade 1 at 75-77 %: 3.",
        "Based on: description of the air",
    ] {
        assert!(story.contains(words), "{words}: {story}");
    }
    let story = out("explain", &folder, &["C1"]);
    assert!(story.contains("acquired new"), "{story}");
    assert!(story.contains("from shop records; "), "{story}");
    assert!(
        story.contains(" of the pool fleet (0 cycles of 0 propellers)") || story.contains("not estimable"),
        "{story}"
    );
    // One reason.
    let one = out("explain", &in_order(), &["T1"]);
    assert!(one.contains("Reason: nothing open on record."), "{one}");
}

#[test]
fn one_of_a_thing_is_no_many() {
    let one = FleetFolder::empty()
        .with("propellers", "propeller,model,in_service_date,acquired\nA1,M76,2000-01-01,new\n")
        .with("models", "model,diameter_in,blades,interval_hours,interval_months\nM76,76,2,none,72\n")
        .with("overhauls", "propeller,overhaul_date,work,outcome\nA1,2020-08-01,overhaul,released\n");
    let fleet = one.path().display().to_string();
    let said = out("run", &one, &["--out", &format!("{fleet}-results")]);
    std::fs::remove_dir_all(format!("{fleet}-results")).expect("removed");
    for words in [
        "1 propeller on record (1 flying, 0 at shop, 0 spare), 1 overhaul, 0 measurements, 0 rows set aside",
        "1 comes due, 0 are past due, 0 have no due date on record",
        "1 mechanic required before flight",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
}
