//! A cell of `models` that is empty or cannot be read spoils that cell and never its row; a limit that nobody states is the
//! shortest of the fleet as a worst case, in tier 4.

use bladewane::analysis::due::State;
use bladewane::records::choice::Force;
use bladewane::results::answers::Answers;
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, as_of, day};

const HEAD: &str =
    "model,diameter_in,blades,interval_hours,interval_months,interval_force,max_rpm,track_limit_in,limits_of";
/// Overhauled on 2018-01-01: its 72 months end on 2024-01-01, two years before the as-of date.
const FLEET: &str = "propeller,model,in_service_date,acquired\nA1,M76,2000-01-01,new";
const OVERHAULS: &str = "propeller,overhaul_date\nA1,2018-01-01";

/// Tier, reason, state and due date of `A1` on 2026-01-01.
fn judged(folder: &FleetFolder) -> (u8, String, State, Option<bladewane::trade::calendar::Day>) {
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let settings = Settings::default();
    let answers = Answers::new(&fleet, &settings);
    let a1 = fleet.propellers.find("A1").expect("A1");
    let ranked = answers.ranking().iter().find(|r| r.propeller == a1).expect("ranked");
    let due = answers.due().of(a1).expect("due");
    (ranked.tier, ranked.reason(), due.state, due.due)
}

fn with_models(rows: &str) -> FleetFolder {
    FleetFolder::small()
        .with("propellers", FLEET)
        .with("overhauls", OVERHAULS)
        .with("models", &format!("{HEAD}\n{rows}"))
}

/// The limit that is passed stays passed, whatever else the row says badly.
#[test]
fn a_cell_that_cannot_be_read_leaves_the_rest_of_its_row() {
    let whole = "M76,76,2,none,72,binding,2700,0.062,";
    let (tier, _, state, due) = judged(&with_models(whole));
    assert_eq!((tier, state, due), (1, State::PastBindingLimit, Some(day("2024-01-01"))));
    for spoilt in [
        "M76,7x,2,none,72,binding,2700,0.062,",
        "M76,-76,2,none,72,binding,2700,0.062,",
        "M76,76,1..2,none,72,binding,2700,0.062,",
        "M76,76,4,none,72,binding,2700,0.062,",
        "M76,76,2,?!,72,binding,2700,0.062,",
        "M76,76,2,0,72,binding,2700,0.062,",
        "M76,76,2,none,72,must,2700,0.062,",
        "M76,76,2,none,72,,2700,0.062,",
        "M76,76,2,none,72,binding,fast,0.062,",
        "M76,76,2,none,72,binding,99999,0.062,",
        "M76,76,2,none,72,binding,2700,1/16 in,",
        "M76,76,2,none,72,binding,2700,0.062,M67",
        // Without its name it may be the row of the one model that has none.
        ",76,2,none,72,binding,2700,0.062,",
    ] {
        let folder = with_models(spoilt);
        let (tier, _, state, due) = judged(&folder);
        assert_eq!((tier, state, due), (1, State::PastBindingLimit, Some(day("2024-01-01"))), "{spoilt}");
    }
}

#[test]
fn a_model_whose_row_has_no_name_waits_for_it() {
    let folder = with_models(",76,2,none,120,recommended,2700,0.062,");
    let (tier, reason, state, due) = judged(&folder);
    assert_eq!((tier, state, due), (4, State::NoLimitStated, Some(day("2028-01-01"))), "{reason}");
    let told = folder.cautions();
    assert!(told.iter().any(|line| line.starts_with("propellers.csv:2 model [M76]")), "{told:#?}");
    assert!(folder.set_aside()[0].starts_with("models.csv:2 model [] a required value is not recorded"));
    // A row with a name is nobody else's, however near it is.
    let (_, _, state, _) = judged(&with_models("M77,76,2,none,72,binding,2700,0.062,"));
    assert_eq!(state, State::NoLimitStated);
}

/// One limit of two: tier 4, and at worst the shortest that the fleet states. 2018-01-01 and 60 months end on 2023-01-01.
#[test]
fn a_limit_that_is_not_stated_is_the_shortest_of_the_fleet_at_worst() {
    let sister = "M77,76,2,1500,60,recommended,,,M76";
    for months in ["", "?!", "-72"] {
        let folder = with_models(&format!("M76,76,2,2000,{months},recommended,,,\n{sister}"));
        let (tier, reason, state, due) = judged(&folder);
        assert_eq!((tier, state, due), (4, State::NoLimitStated, Some(day("2023-01-01"))), "{months}");
        assert!(
            reason.contains(
                "one limit not stated: months; at worst 60 months, the shortest of the fleet, passed by 3.0 years"
            ),
            "{reason}"
        );
    }
    let (tier, reason, state, due) = judged(&with_models(&format!("M76,76,2,,120,recommended,,,\n{sister}")));
    assert_eq!((tier, state, due), (4, State::NoLimitStated, Some(day("2028-01-01"))));
    assert!(reason.contains("one limit not stated: hours; at worst 1500 h, the shortest of the fleet"), "{reason}");
    // Nobody states one.
    let (tier, reason, _, due) = judged(&with_models("M76,76,2,2000,,recommended,,,"));
    assert_eq!((tier, due), (4, None));
    assert!(reason.contains("one limit not stated: months") && !reason.contains("at worst"), "{reason}");
    // `none` is a statement.
    let (_, _, state, due) = judged(&with_models(&format!("M76,76,2,none,none,recommended,,,\n{sister}")));
    assert_eq!((state, due), (State::NoLimitStated, None));
    // What is passed for sure is passed, whatever the other limit is.
    let (tier, _, state, _) = judged(&with_models(&format!("M76,76,2,,72,recommended,,,\n{sister}")));
    assert_eq!((tier, state), (3, State::PastRecommendedLimit));
}

#[test]
fn an_empty_force_of_a_propeller_binds_where_its_models_does_or_is_not_known() {
    let force = |models: Option<&str>, own: &str| {
        let propellers = format!("propeller,model,interval_months,interval_force\nA1,M76,60,{own}");
        let mut folder = FleetFolder::empty().with("propellers", &propellers).with("overhauls", OVERHAULS);
        if let Some(rows) = models {
            folder = folder.with("models", &format!("model,interval_months,interval_force\n{rows}"));
        }
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        let settings = Settings::default();
        Answers::new(&fleet, &settings).due().of(0).expect("due").interval.force
    };
    assert_eq!(force(Some("M76,72,binding"), ""), Force::Binding);
    assert_eq!(force(Some("M76,72,recommended"), ""), Force::Recommended);
    assert_eq!(force(Some("M76,72,recommended"), "?!"), Force::Binding);
    assert_eq!(force(Some("M76,72,"), ""), Force::Binding);
    assert_eq!(force(Some("M77,72,recommended"), ""), Force::Binding);
    assert_eq!(force(None, ""), Force::Binding);
    assert_eq!(force(None, "recommended"), Force::Recommended);
}
