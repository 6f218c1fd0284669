//! Laws: more findings, and deeper ones, never make the tier number larger.

use super::{DEFECTS, MEASURE_THERE};
use crate::judged::{Said, in_order, said};
use proptest::prelude::*;

/// One report of T1; fewer than ten of a surface, so that the screen's largest depth stands in for one that is left out
/// (a tenth shallow one on record makes what is expected of the others shallower, as it should).
#[derive(Clone, Debug)]
struct Report {
    day: u32,
    blade: u8,
    pct: Option<u32>,
    surface: &'static str,
    thousandths: Option<u32>,
    blended: bool,
}

impl Report {
    fn row(&self) -> String {
        let day = format!("2025-{:02}-{:02}", self.day / 28 + 1, self.day % 28 + 1);
        let action = if self.blended { format!("blended,{day}") } else { "none,".to_string() };
        let cell = |number: Option<u32>| number.map_or(String::new(), |n| n.to_string());
        let depth = self.thousandths.map_or(String::new(), |n| format!("{:.3}", f64::from(n) / 1e3));
        format!("T1,{day},nick,{},{},{},{depth},0.1,{action}", self.blade, cell(self.pct), self.surface)
    }

    /// The depth that stands in for one that is left out, in thousandths: 1/16 in, at an edge 3/16 in.
    fn stand_in(&self) -> u32 {
        if self.surface.ends_with("edge") { 187 } else { 62 }
    }
}

fn report() -> impl Strategy<Value = Report> {
    let pct = prop_oneof![4 => (15u32..100).prop_map(Some), 1 => Just(None)];
    let surface =
        prop_oneof![Just("face"), Just("camber"), Just("leading_edge"), Just("trailing_edge"), Just("tip"), Just("")];
    let depth = prop_oneof![5 => (1u32..70).prop_map(Some), 1 => Just(None)];
    (0u32..330, 1u8..3, pct, surface, depth, prop::bool::weighted(0.8)).prop_map(
        |(day, blade, pct, surface, thousandths, blended)| Report { day, blade, pct, surface, thousandths, blended },
    )
}

fn judged(reports: &[Report]) -> Said {
    let rows: Vec<String> = reports.iter().map(Report::row).collect();
    said(&in_order().with("defects", &format!("{DEFECTS}\n{}\n", rows.join("\n"))), "T1")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn one_more_or_a_deeper_one_is_never_milder(
        reports in prop::collection::vec(report(), 1..6),
        one in report(),
        at in any::<prop::sample::Index>(),
        deeper in 1u32..60,
    ) {
        let before = judged(&reports);
        let more: Vec<Report> = reports.iter().cloned().chain([one]).collect();
        prop_assert!(judged(&more).tier <= before.tier, "one more: {before:?}, then {:?}", judged(&more));
        let mut worse = reports.clone();
        let report = &mut worse[at.index(reports.len())];
        if let Some(depth) = &mut report.thousandths {
            *depth += deeper;
            prop_assert!(judged(&worse).tier <= before.tier, "deeper: {before:?}, then {:?}", judged(&worse));
        }
    }

    /// Without its depth a blend is at worst as deep as one can be in the field: never milder, but that a tier 1 which rested on
    /// that depth becomes "measure there". A depth above the stand-in is the exception: that much was not expected.
    #[test]
    fn a_blend_whose_depth_is_left_out_is_never_in_order(
        reports in prop::collection::vec(report(), 1..6),
        at in any::<prop::sample::Index>(),
    ) {
        let before = judged(&reports);
        let mut blank = reports.clone();
        let report = &mut blank[at.index(reports.len())];
        prop_assume!(report.blended && report.thousandths.is_some_and(|depth| depth <= report.stand_in()));
        report.thousandths = None;
        let after = judged(&blank);
        let to_measure = before.tier == 1 && after.tier <= 4;
        prop_assert!(after.tier <= before.tier || to_measure, "{before:?}, then {after:?}");
        if before.tier == 1 && after.tier == 4 {
            prop_assert_eq!(after.next_step, MEASURE_THERE);
        }
    }
}
