//! How many findings a propeller has had by an age in flight hours, on average: all, by base, by runway surface.

use crate::analysis::mean_cumulative::{CurvePoint, Group};
use crate::records::Fleet;
use crate::report::chart::step_curve::{self, Step, StepCurve};
use crate::report::chart::{Caption, Svg};
use crate::report::scene::Scene;
use crate::report::words::{count, thousands};

/// Points drawn of a curve; each is exact.
const MOST_DRAWN: usize = 40;
/// Points of a curve in the table of numbers.
const MOST_WRITTEN: usize = 6;
/// Curves in one chart: as many as there are kinds of dashes.
const MOST_CURVES: usize = 6;
/// Curves in one chart from which limits would hide each other; the table has them.
const MOST_LIMITS: usize = 3;

/// The charts, and the table behind them.
pub(super) struct Curves {
    pub(super) charts: Vec<Chart>,
    /// How the runway surfaces compare; `None` with fewer than two.
    pub(super) compared: Option<String>,
    pub(super) numbers: Vec<Number>,
}

/// A chart of one kind of group.
pub(super) struct Chart {
    pub(super) name: &'static str,
    pub(super) svg: Svg,
    /// What it leaves out; often empty.
    pub(super) note: String,
}

/// A point of a curve in words.
pub(super) struct Number {
    pub(super) group: String,
    pub(super) hours: String,
    pub(super) mean: String,
    pub(super) limits: String,
    pub(super) at_risk: usize,
}

/// The curves of the fleet, whoever is shown.
pub(super) fn curves(scene: &Scene<'_, '_, '_>) -> Curves {
    let answers = scene.answers;
    let groups: Vec<&[CurvePoint]> = answers.mean_cumulative().chunk_by(|a, b| a.group == b.group).collect();
    let of = |keep: fn(&Group) -> bool| -> Vec<&[CurvePoint]> {
        let kept = groups.iter().copied().filter(|g| keep(&g[0].group));
        kept.collect()
    };
    let charts = [
        ("All propellers", "all", of(|g| matches!(g, Group::All))),
        ("By base", "base", of(|g| matches!(g, Group::Base(_)))),
        ("By runway surface", "runway", of(|g| matches!(g, Group::Runway(_)))),
    ];
    Curves {
        compared: compared(answers.fleet, &of(|g| matches!(g, Group::Runway(_)))),
        charts: charts
            .into_iter()
            .filter_map(|(name, id, groups)| Chart::of(answers.fleet, name, id, groups))
            .collect(),
        numbers: groups
            .iter()
            .flat_map(|group| thinned(group, MOST_WRITTEN))
            .map(|point| Number::of(answers.fleet, point))
            .collect(),
    }
}

/// The curves at the last age that all of them reach, the highest first.
fn compared(fleet: &Fleet<'_>, groups: &[&[CurvePoint]]) -> Option<String> {
    if groups.len() < 2 {
        return None;
    }
    let ends = groups.iter().filter_map(|g| Some(g.last()?.hours));
    let age = ends.fold(f64::INFINITY, f64::min);
    let mut means: Vec<(f64, String)> = groups
        .iter()
        .filter_map(|group| {
            let last = group.iter().rev().find(|p| p.hours <= age)?;
            Some((last.mean, own_name(fleet, last.group)))
        })
        .collect();
    means.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    let words: Vec<String> = means.iter().map(|(mean, name)| format!("{mean:.1} on {name}")).collect();
    (words.len() > 1).then(|| {
        format!("Findings a propeller by {}\u{a0}hours, by runway surface: {}.", thousands(age), words.join(", "))
    })
}

impl Chart {
    /// `None` without a curve.
    fn of(fleet: &Fleet<'_>, name: &'static str, id: &str, mut groups: Vec<&[CurvePoint]>) -> Option<Chart> {
        if groups.is_empty() {
            return None;
        }
        // The curves that were followed the longest tell the most.
        let last = |g: &[CurvePoint]| g.last().map_or(0.0, |p| p.hours);
        let all = groups.len();
        groups.sort_by(|a, b| last(b).total_cmp(&last(a)));
        groups.truncate(MOST_CURVES);
        let with_limits = groups.len() <= MOST_LIMITS;
        let names: Vec<String> = groups.iter().map(|g| own_name(fleet, g[0].group)).collect();
        let steps: Vec<Vec<Step>> = groups
            .iter()
            .map(|group| {
                let points = thinned(group, MOST_DRAWN);
                points.map(|p| Step { x: p.hours, y: p.mean, limits: p.limits.filter(|_| with_limits) }).collect()
            })
            .collect();
        let drawn: Vec<step_curve::Group<'_>> = names
            .iter()
            .zip(&steps)
            .map(|(name, steps)| step_curve::Group {
                name,
                from: steps.first().map_or(0.0, |s| s.x),
                steps,
                until: steps.last().map_or(0.0, |s| s.x),
            })
            .collect();
        let id = format!("curve-{id}");
        let title = format!("Findings a propeller by age, {}", name.to_lowercase());
        let chart = StepCurve {
            caption: Caption::described(
                &id,
                &title,
                if with_limits {
                    "The shaded band is where the mean lies with 95 % confidence. The numbers are in the table below."
                } else {
                    "The numbers, with their limits, are in the table below."
                },
            ),
            up_name: "findings a propeller",
            across_name: "flight hours since new",
            groups: &drawn,
        };
        let mut note = Vec::new();
        if all > groups.len() {
            let more = all - groups.len();
            let are = if more == 1 { "is" } else { "are" };
            note.push(format!("{} {are} in the table mean_cumulative.", count(more, "more curve")));
        }
        if !with_limits {
            note.push(
                "Limits are left out of the drawing, where they would hide each other; the numbers have them."
                    .to_string(),
            );
        }
        Some(Chart { name, svg: Svg::or_words(chart.draw()), note: note.join(" ") })
    }
}

/// The name at the end of a curve, without saying again what the chart is by.
fn own_name(fleet: &Fleet<'_>, group: Group) -> String {
    match group {
        Group::All => "all".to_string(),
        Group::Base(base) => fleet.places.bases()[base as usize].name.clone(),
        Group::Runway(runway) => runway.word().to_string(),
    }
}

impl Number {
    fn of(fleet: &Fleet<'_>, point: &CurvePoint) -> Number {
        Number {
            group: point.group.words(fleet),
            hours: thousands(point.hours),
            mean: format!("{:.2}", point.mean),
            limits: match point.limits {
                Some((low, high)) => format!("{low:.2} to {high:.2}"),
                None => "not known: one propeller".to_string(),
            },
            at_risk: point.at_risk,
        }
    }
}

/// As many points of a curve, its last among them.
fn thinned(points: &[CurvePoint], most: usize) -> impl Iterator<Item = &CurvePoint> {
    let kept = points.len().min(most);
    (1..=kept).map(move |at| &points[at * points.len() / kept - 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(hours: f64) -> CurvePoint {
        CurvePoint { group: Group::All, hours, mean: hours / 100.0, limits: None, at_risk: 1 }
    }

    #[test]
    fn a_thinned_curve_keeps_its_last_point_and_invents_none() {
        let points: Vec<CurvePoint> = (1..=100).map(|n| point(f64::from(n))).collect();
        let kept: Vec<f64> = thinned(&points, 4).map(|p| p.hours).collect();
        assert_eq!(kept, [25.0, 50.0, 75.0, 100.0]);
        assert_eq!(thinned(&points[..3], 4).count(), 3);
        assert_eq!(thinned(&[], 4).count(), 0);
    }
}
