//! Each telling case of the committed demo fleet ranks as it should. The reasons are facts of the trade (common practice, no
//! source) and the program's own rules; each test says which.

use std::path::Path;

use bladewane::analysis::due::State;
use bladewane::analysis::margins::{Basis, DiameterLeft, Margin, MarginReader};
use bladewane::analysis::ranking::Ranked;
use bladewane::analysis::ranking::ground::Ground;
use bladewane::analysis::standing::List;
use bladewane::onboard::demo::AS_OF;
use bladewane::onboard::demo::telling as case;
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::results::answers::Answers;
use bladewane::settings::Settings;
use bladewane::trade::calendar::Day;
use bladewane::trade::geometry::Dimension;

fn with_answers(test: impl FnOnce(&Answers<'_, '_>)) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet");
    let loaded = Loaded::read(&folder, &ReadOptions::default(), |_| true, |_| {}).expect("the demo fleet is read");
    let settings = Settings::default();
    let as_of: Day = AS_OF;
    let fleet = Fleet::as_of(&loaded, as_of, &settings);
    test(&Answers::new(&fleet, &settings));
}

fn of<'r>(answers: &'r Answers<'_, '_>, serial: &str) -> &'r Ranked {
    let propeller = answers.fleet.propellers.find(serial).expect("the case is listed");
    answers.ranking().iter().find(|r| r.propeller == propeller).expect("the case is ranked")
}

fn ground(ranked: &Ranked) -> Ground {
    ranked.reasons[0].ground
}

#[test]
fn a_binding_limit_grounds_a_rental_and_a_recommended_one_does_not_ground_its_owner() {
    with_answers(|answers| {
        // A limit is advice unless maker, directive, programme or authority makes it binding.
        let rental = of(answers, case::RENTAL_PAST_BINDING);
        assert_eq!((rental.tier, ground(rental)), (1, Ground::PastBinding));
        // 2,606 h against 2,000 h; 2017-06-15 + 72 months = 2023-06-15, 1,111 days before 2026-06-30.
        assert!(rental.reason().starts_with("past binding limit by 3.0 years and 606 h"), "{}", rental.reason());
        let private = of(answers, case::PRIVATE_PAST_RECOMMENDED);
        assert_eq!((private.tier, ground(private)), (3, Ground::PastRecommended));
        assert!(private.reason().contains("; last annual 20"), "{}", private.reason());
        assert!(private.reason().contains("satisfactory"));
        assert!(rental.rank < private.rank);
    });
}

#[test]
fn unknown_history_goes_before_the_same_propeller_new() {
    with_answers(|answers| {
        // "Unknown" is an answer and sorts near the top.
        let unknown = of(answers, case::EXCHANGE_UNKNOWN);
        let new = of(answers, case::EXCHANGE_NEW);
        assert_eq!((unknown.tier, ground(unknown)), (3, Ground::NoOverhaul));
        assert!(unknown.reasons.iter().any(|r| r.ground == Ground::NeverMeasured));
        assert_eq!((new.tier, ground(new)), (6, Ground::Nothing));
        assert!(unknown.rank < new.rank);
        assert_eq!(unknown.overhauls_left, None);
        assert!(unknown.score.score > new.score.score);
    });
}

#[test]
fn blends_since_the_last_sheet_count_against_the_margin() {
    with_answers(|answers| {
        // Mechanics check nick depth but forget accumulated wear and earlier filing (trade warning, secondary source read).
        let blends = of(answers, case::THREE_BLENDS);
        assert_eq!((blends.tier, ground(blends)), (1, Ground::BelowMinimum));
        let margins = answers.margins().of(blends.propeller);
        let there = margins
            .iter()
            .find(|m| m.blade == 1 && m.dimension == Dimension::Width && m.dressed_since_in > 0.0)
            .expect("the dressed place");
        assert_eq!(there.basis, Basis::Measured);
        let on_the_sheet = there.value_in.expect("measured") - there.minimum_in.expect("limited");
        assert!(on_the_sheet > 0.1, "the last sheet looks fine: {on_the_sheet}");
        assert!(there.margin_in.expect("known") < 0.0);
    });
}

/// What a run keeps of margins leaves out what the model says and what few of them have.
#[test]
fn margins_kept_for_the_fleet_are_those_of_each_propeller() {
    with_answers(|answers| {
        let mut reader = MarginReader::new(answers.fleet, answers.survey(), &answers.settings.screen);
        let count = answers.fleet.propellers.len() as u32;
        let each: Vec<Vec<Margin>> = (0..count).map(|propeller| reader.of(propeller)).collect();
        let kept: Vec<Vec<Margin>> = (0..count).map(|propeller| answers.margins().of(propeller)).collect();
        assert_eq!(kept, each);
        assert_eq!(answers.margins().of(count), []);
        let each_diameter: Vec<Option<DiameterLeft>> = (0..count).map(|p| reader.diameter(p)).collect();
        let kept_diameter: Vec<Option<DiameterLeft>> = (0..count).map(|p| answers.margins().diameter(p)).collect();
        assert_eq!(kept_diameter, each_diameter);
        assert!(each_diameter.iter().any(Option::is_some));
        let all = || each.iter().flatten();
        assert!(all().any(|m| m.dressed_since_in > 0.0) && all().any(|m| m.carried_variance_in2 > 0.0));
        assert!(all().any(|m| m.margin_in.is_none()) && all().any(|m| m.last_measured.is_none()));
        assert!(all().any(|m| m.margin_worst_in != m.margin_in) && all().any(|m| m.least_at_in.is_some()));
    });
}

#[test]
fn a_shortened_propeller_goes_by_its_new_limits_and_restarts_its_clock() {
    with_answers(|answers| {
        let fleet = answers.fleet;
        let shortened = of(answers, case::SHORTENED);
        assert_eq!(shortened.tier, 6);
        let last = fleet.visits.of(shortened.propeller).last().expect("a visit");
        assert!(last.changes_model && last.restarts_clock());
        let due = answers.due().of(shortened.propeller).expect("a due row");
        assert_eq!(due.last_overhaul, Some(last.day));
        let loss = bladewane::analysis::loss::of_propellers(fleet, shortened.propeller..shortened.propeller + 1);
        let at_change: Vec<f64> = (0..loss.propeller.len())
            .filter(|&row| loss.overhaul_date[row] == last.day.number())
            .map(|row| loss.thickness.loss_in[row])
            .collect();
        assert!(!at_change.is_empty());
        assert!(at_change.iter().all(|l| l.is_nan()), "no loss across the change");
    });
}

#[test]
fn meters_of_two_aircraft_are_never_mixed() {
    with_answers(|answers| {
        let moved = of(answers, case::MOVED);
        let due = answers.due().of(moved.propeller).expect("a due row");
        let hours = due.hours.and_then(|h| h.today).expect("hours are known");
        // 600 h by tach, 300 h and 420 h by two Hobbs meters, and 18 days between these at the use rate.
        assert!((1_320.0..1_365.0).contains(&hours), "{hours}");
        assert_eq!(due.state, State::WithinLimit);
    });
}

#[test]
fn a_strike_is_closed_by_its_inspection_and_a_long_blend_stays_open() {
    with_answers(|answers| {
        let struck = of(answers, case::STRUCK_THEN_BLENDED);
        assert_eq!((struck.tier, ground(struck)), (1, Ground::ShopFinding));
        let open: Vec<String> = answers.findings().open_of(struck.propeller).map(|f| f.words(answers.fleet)).collect();
        // 1 1/2 in long on the camber is for a shop (common practice, no source).
        assert_eq!(open.len(), 1, "{open:?}");
        assert!(open[0].starts_with("gouge"), "{open:?}");
    });
}

#[test]
fn a_rejected_serial_that_flies_again_comes_first_of_all() {
    with_answers(|answers| {
        let rejected = of(answers, case::REJECTED_YET_FLYING);
        assert_eq!((rejected.tier, ground(rejected)), (1, Ground::RejectedYetListed));
        assert_eq!(rejected.list, List::Flying);
        assert_eq!(rejected.rank, 1);
        // No reason says "above minimum" of a blade that is below it.
        assert!(rejected.reasons.iter().all(|r| !r.words.contains("above minimum")));
        // Its margin is that of the before readings.
        assert!(rejected.reasons.iter().any(|r| r.ground == Ground::BelowMinimum));
        let replacement = answers.fleet.propellers.find(case::REPLACEMENT);
        let of = answers.fleet.propellers.get(rejected.propeller);
        assert_eq!(of.replaced_by, replacement);
    });
}

#[test]
fn odd_records_never_make_a_propeller_look_safer() {
    with_answers(|answers| {
        let fleet = answers.fleet;
        let basis_of = |serial: &str| {
            let propeller = fleet.propellers.find(serial).expect("listed");
            let margins = answers.margins().of(propeller);
            margins.iter().filter(|m| m.basis == Basis::CarriedForward).count()
        };
        // Two stations unmeasured on both blades or one; the slipped 3.52 in is one reading.
        assert!(basis_of(case::UNMEASURED_STATIONS) >= 2);
        let slipped = fleet.propellers.find(case::SLIPPED_DECIMAL).expect("listed");
        let margins = answers.margins().of(slipped);
        let there = margins
            .iter()
            .find(|m| m.basis != Basis::Measured && m.dimension == Dimension::Thickness)
            .expect("the place of the slipped decimal");
        // 3.52 in was meant to be 0.352 in: what stands in for it is no thicker.
        assert!(there.value_in.expect("stood in for") <= 0.352);
        let crack = of(answers, case::UNREADABLE_CRACK);
        assert_eq!((crack.tier, ground(crack)), (1, Ground::UnreadableReport));
    });
}

#[test]
fn what_a_safety_officer_looks_for_first_is_in_the_first_tier() {
    // 14 CFR 91.409, from memory; the rest is common practice, no source.
    with_answers(|answers| {
        let said = |serial: &str| {
            let ranked = of(answers, serial);
            (ranked.tier, ground(ranked), ranked.reasons[0].words.clone())
        };
        let words = "propeller released 2026-04-20, annual of 2026-03-09 not signed";
        assert_eq!(said(case::ANNUAL_NOT_SIGNED), (1, Ground::InspectionUnsatisfactory, words.to_string()));
        // 410 h in 410 days by the tach: 1 h a day, 129 days from 2026-02-17 to the last reading.
        let words = "100 hour lapsed: the last 100 hour, of 2026-02-17, 133 h flown since, it holds for 100 h (the rule differs by country)";
        assert_eq!(said(case::HUNDRED_HOUR_LAPSED), (1, Ground::InspectionLapsed, words.to_string()));
        let words = "strike of 2025-09-13 (propeller BW-0904): no engine check on record";
        assert_eq!(said(case::BEHIND_A_STRUCK_ENGINE), (1, Ground::EventNotChecked, words.to_string()));
        let words = "1 small open finding: erosion 0.004 in";
        assert_eq!(said(case::STRUCK_AND_MOVED), (6, Ground::SmallFinding, words.to_string()));
    });
}
