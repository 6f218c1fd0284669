//! Laws that hold for every propeller with reports and visits, whatever they say.

use bladewane::analysis::findings::{ClosedBy, FindingState, Severity};
use bladewane::trade::calendar::Day;
use proptest::prelude::*;

use crate::findings::folder::Tables;

const AS_OF: &str = "2026-01-01";

/// One damage report, cell by cell; an empty text is an empty cell.
#[derive(Clone, Debug)]
struct Report {
    found: Day,
    blade: String,
    station_pct: String,
    surface: String,
    kind: &'static str,
    depth_thou: Option<u32>,
    length: String,
    width: String,
    action: &'static str,
    action_date: Option<Day>,
    recheck: Option<Day>,
}

impl Report {
    fn row(&self) -> String {
        let day = |day: Option<Day>| day.map_or(String::new(), |d| d.to_string());
        format!(
            "{},{},{},{},{},{},{},{},{},{},{}",
            self.found,
            self.blade,
            self.station_pct,
            self.surface,
            self.kind,
            self.depth_thou.map_or(String::new(), |d| format!("{:.3}", f64::from(d) / 1000.0)),
            self.length,
            self.width,
            self.action,
            day(self.action_date),
            day(self.recheck)
        )
    }
}

#[derive(Clone, Debug)]
struct Visit {
    day: Day,
    work: &'static str,
    outcome: &'static str,
    /// Blades whose width or thickness was measured: blade, width, thickness.
    measured: Vec<(u8, bool, bool)>,
}

#[derive(Clone, Debug)]
struct Life {
    reports: Vec<Report>,
    visits: Vec<Visit>,
}

impl Life {
    fn tables(&self) -> Tables {
        let mut tables = Tables::new();
        for report in &self.reports {
            tables = tables.report(&report.row());
        }
        for (visit, wear) in self.visits.iter().zip(1..) {
            tables = tables.visit(&format!("{},{},{}", visit.day, visit.work, visit.outcome));
            for &(blade, width, thickness) in &visit.measured {
                for (pct, new_width, new_thickness) in [(60, 5.40, 0.480), (75, 4.80, 0.360), (90, 3.80, 0.250)] {
                    let left = |on: bool, new: f64, loss: f64| {
                        if on { format!("{:.3}", new - loss * f64::from(wear)) } else { String::new() }
                    };
                    tables = tables.measured(&format!(
                        "{},{blade},{pct},{},{}",
                        visit.day,
                        left(width, new_width, 0.03),
                        left(thickness, new_thickness, 0.01)
                    ));
                }
            }
        }
        tables
    }

    /// Of each report in the order of the rows whether it is open and how severe; and the worst open one.
    fn judged(&self) -> (Vec<(bool, Severity)>, Option<Severity>) {
        self.tables().read(AS_OF, |fleet, findings| {
            assert_eq!(findings.rows.len(), self.reports.len(), "{self:?}");
            let mut by_row = vec![None; self.reports.len()];
            for finding in &findings.rows {
                by_row[finding.report(fleet).row as usize] = Some((finding.is_open(), finding.severity(fleet)));
            }
            let worst = findings.worst_of(fleet, 0).map(|f| f.severity(fleet));
            (by_row.into_iter().flatten().collect(), worst)
        })
    }
}

/// Nothing open is the least urgent of all.
fn no_less_urgent(after: Option<Severity>, before: Option<Severity>) -> bool {
    match (after, before) {
        (Some(after), Some(before)) => after <= before,
        (None, Some(_)) => false,
        _ => true,
    }
}

fn cell(words: &'static [&'static str]) -> impl Strategy<Value = String> {
    prop::sample::select(words).prop_map(str::to_string)
}

fn first_day() -> Day {
    Day::from_ymd(2012, 1, 1).expect("a date")
}

fn report() -> impl Strategy<Value = Report> {
    let place = (
        cell(&["", "1", "1", "1", "2"]),
        // At the stations of the sheets or too far from one to be read there: a deeper blend reaches farther, and what was
        // read of it then is no longer counted.
        cell(&["", "10", "60", "69", "75", "75", "75", "82", "97"]),
        cell(&["", "leading_edge", "leading_edge", "trailing_edge", "face", "camber", "tip", "hub"]),
    );
    let kind = prop::sample::select(
        &["nick", "nick", "gouge", "scratch", "erosion", "pit", "dent", "crack", "bend", "strike"][..],
    );
    let sizes = (
        prop::option::weighted(0.9, prop::sample::select(&[2u32, 4, 20, 40, 60, 62, 90, 187, 190][..])),
        cell(&["", "0.4", "1", "1.5"]),
        cell(&["", "0.1", "0.375", "0.5"]),
    );
    let done = (
        prop::sample::select(
            &["", "none", "none", "blended", "blended", "blended", "accepted", "shop", "scrapped"][..],
        ),
        prop::option::weighted(0.8, -20..300i32),
        prop::option::weighted(0.7, 0..3000i32),
    );
    (0..4000i32, place, kind, sizes, done).prop_map(
        |(found, (blade, station_pct, surface), kind, (depth, length, width), (action, acted, recheck))| {
            let found = first_day() + found;
            let action_date = acted.map(|days| found + days);
            // At the hub a station beyond it contradicts the side.
            let station_pct = if surface == "hub" { "10".to_string() } else { station_pct };
            // What is blended is no deeper than its screen: an assumed depth is the screen's largest.
            let deepest = match surface.as_str() {
                "leading_edge" | "trailing_edge" => 187,
                _ => 62,
            };
            let depth_thou = depth.map(|d| if matches!(action, "blended" | "") { d.min(deepest) } else { d });
            Report {
                found,
                blade,
                station_pct,
                surface,
                kind,
                depth_thou,
                length,
                width,
                action,
                action_date,
                recheck: recheck.map(|days| action_date.unwrap_or(found) + days),
            }
        },
    )
}

fn visit() -> impl Strategy<Value = Visit> {
    (
        0..4500i32,
        prop::sample::select(
            &["overhaul", "overhaul", "repair", "strike inspection", "dimensional inspection", ""][..],
        ),
        prop::sample::select(&["released", "released", "released", "", "rejected"][..]),
        prop::collection::vec((1..=2u8, any::<bool>(), any::<bool>()), 0..3),
    )
        .prop_map(|(day, work, outcome, mut measured)| {
            measured.sort_unstable();
            measured.dedup_by_key(|m| m.0);
            Visit { day: first_day() + day, work, outcome, measured }
        })
}

fn life() -> impl Strategy<Value = Life> {
    (prop::collection::vec(report(), 1..6), prop::collection::vec(visit(), 0..4)).prop_map(|(reports, mut visits)| {
        visits.sort_by_key(|v| v.day);
        visits.dedup_by_key(|v| v.day);
        Life { reports, visits }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, max_global_rejects: 1 << 20, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn one_report_more_never_makes_the_worst_less_urgent(life in life(), more in report()) {
        let (_, before) = life.judged();
        let mut after = life;
        after.reports.push(more);
        let (_, worst) = after.judged();
        prop_assert!(no_less_urgent(worst, before));
    }

    #[test]
    fn a_visit_without_an_outcome_never_closes(life in life(), at in any::<prop::sample::Index>()) {
        prop_assume!(!life.visits.is_empty());
        let mut blank = life.clone();
        let at = at.index(life.visits.len());
        prop_assume!(life.visits[at].outcome == "released");
        blank.visits[at].outcome = "";
        let ((before, worst), (after, worst_after)) = (life.judged(), blank.judged());
        for (was, is) in before.iter().zip(&after) {
            prop_assert!(is.0 || !was.0);
        }
        prop_assert!(no_less_urgent(worst_after, worst));
    }

    #[test]
    fn deeper_is_never_less_urgent(life in life(), at in any::<prop::sample::Index>(), more in 1..60u32) {
        let at = at.index(life.reports.len());
        prop_assume!(life.reports[at].depth_thou.is_some());
        let mut deeper = life.clone();
        deeper.reports[at].depth_thou = life.reports[at].depth_thou.map(|d| d + more);
        let ((before, worst), (after, worst_after)) = (life.judged(), deeper.judged());
        for (was, is) in before.iter().zip(&after) {
            prop_assert!(is.0 || !was.0);
            prop_assert!(!was.0 || is.1 <= was.1);
        }
        prop_assert!(no_less_urgent(worst_after, worst));
    }

    // Left out, since the records say otherwise: a length or width alone is no bar (too long becomes within when the
    // length is lost), and the word scrapped cannot be guessed from an empty cell.
    #[test]
    fn a_blank_never_closes_a_finding_nor_makes_it_less_urgent(
        life in life(),
        at in any::<prop::sample::Index>(),
        column in 0..7usize,
    ) {
        let at = at.index(life.reports.len());
        prop_assume!(column != 4 || life.reports[at].action != "scrapped");
        let mut blank = life.clone();
        let report = &mut blank.reports[at];
        match column {
            0 => report.depth_thou = None,
            1 => {
                // Without the side only the station says that it may be at the hub.
                report.surface = String::new();
            }
            2 => report.blade = String::new(),
            3 => report.station_pct = String::new(),
            4 => report.action = "",
            5 => report.action_date = None,
            _ => report.recheck = None,
        }
        // A blend without depth, place or side closes; below the minimum, or beyond the screen, by what may stand for it the
        // propeller is in tier 4, which the first law's tests look at.
        let loses_a_blend = column < 4 && life.reports[at].action == "blended";
        prop_assume!(!loses_a_blend);
        let ((before, worst), (after, worst_after)) = (life.judged(), blank.judged());
        for (was, is) in before.iter().zip(&after) {
            prop_assert!(is.0 || !was.0, "closed by a blank: {:?}", life);
            prop_assert!(!was.0 || is.1 <= was.1, "{:?} then {:?} of {:?}", was, is, life);
        }
        prop_assert!(no_less_urgent(worst_after, worst));
    }

    #[test]
    fn the_order_of_rows_changes_nothing(life in life(), turn in 0..6usize) {
        let told = |life: &Life| {
            let mut rows = life.tables().read(AS_OF, |fleet, findings| {
                findings
                    .rows
                    .iter()
                    .map(|f| {
                        let report = f.report(fleet);
                        format!(
                            "{} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {}",
                            f.words(fleet), report.action, report.action_date, f.screened, f.state,
                            f.cumulative_depth_in, f.margin_left_in, f.severity(fleet), f.lines_up
                        )
                    })
                    .collect::<Vec<String>>()
            });
            rows.sort();
            rows
        };
        let mut turned = life.clone();
        let by = turn % life.reports.len();
        turned.reports.rotate_left(by);
        if turn >= 3 {
            turned.reports.reverse();
        }
        prop_assert_eq!(told(&life), told(&turned));
    }

    #[test]
    fn what_a_released_visit_closed_stays_closed(life in life(), days in 0..5000i32) {
        let earlier = first_day() + days;
        let closed = |as_of: &str| {
            life.tables().read(as_of, |fleet, findings| {
                findings
                    .rows
                    .iter()
                    .map(|f| (f.report(fleet).row, f.state))
                    .collect::<Vec<(u32, FindingState)>>()
            })
        };
        let later = closed(AS_OF);
        for (row, state) in closed(&earlier.to_string()) {
            // An action of a day after the earlier one is news: someone still found it there.
            let news = life.reports[row as usize].action_date.is_some_and(|day| day > earlier);
            if news || !matches!(state, FindingState::Closed(ClosedBy::Visit(_))) {
                continue;
            }
            let now = later.iter().find(|(r, _)| *r == row).map(|(_, state)| state.is_open());
            prop_assert_eq!(now, Some(false));
        }
    }
}
