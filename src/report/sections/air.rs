//! Air and stones: what the air has done to the propellers of each base, how often each is damaged, and how damage adds up with
//! flight hours.

mod curves;
mod rates;

use askama::Template;

use self::curves::{Curves, curves};
use self::rates::Rates;
pub(super) use self::rates::comes_back;
use crate::analysis::exposure::Exposure;
use crate::report::chart::axis::Axis;
use crate::report::chart::dot_whisker::DotWhisker;
use crate::report::chart::marks::Key;
use crate::report::chart::{Caption, Numbers, Scale, Svg};
use crate::report::scene::{Scene, Who};
use crate::report::words::count;

/// Propellers named as the most exposed.
const MOST_NAMED: usize = 10;
/// Ticks of the exposure's axis that have room on a narrow page.
const TICKS: usize = 4;
const AXIS: &str = "air-axis";

/// The section.
#[derive(Template)]
#[template(path = "air.html", config = "src/report/askama.toml")]
pub struct Air {
    summary: Vec<String>,
    axis: Svg,
    legend: Vec<(Svg, &'static str)>,
    bases: Vec<BaseRow>,
    exposed: Vec<Exposed>,
    /// Propellers whose exposure has no start on record.
    no_start: Vec<Who>,
    rates: Rates,
    curves: Curves,
}

/// The propellers that live at one base.
struct BaseRow {
    name: Option<String>,
    air: String,
    known_by: &'static str,
    unknown: bool,
    propellers: usize,
    /// Those whose index is known: the lowest, the middle and the highest, in g/m2.
    range: Option<[f64; 3]>,
    chart: Svg,
}

/// One of the most exposed.
struct Exposed {
    who: Who,
    index: String,
    /// The index with all its digits, to sort by.
    key: String,
    years: String,
    basis: String,
}

impl Air {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Air {
        let answers = scene.answers;
        let all = answers.exposure();
        let shown: Vec<(&Exposure, &crate::analysis::ranking::Ranked)> = scene
            .ranked
            .iter()
            .filter_map(|row| {
                let at = all.binary_search_by_key(&row.propeller, |e| e.propeller);
                Some((&all[at.ok()?], *row))
            })
            .collect();
        let own: Vec<&Exposure> = shown.iter().map(|(own, _)| *own).collect();
        let mut bases = by_base(scene, &own);
        let axis = draw(&mut bases);
        let mut known: Vec<_> = shown.iter().filter(|(own, _)| own.known_index_g_m2().is_some()).collect();
        known.sort_by(|(a, _), (b, _)| b.index_g_m2.total_cmp(&a.index_g_m2).then(a.propeller.cmp(&b.propeller)));
        Air {
            summary: summary(&bases, own.len()),
            axis,
            legend: vec![
                (Key::Dot.draw(), "the middle propeller of the base"),
                (Key::Whisker.draw(), "its least and most exposed"),
            ],
            bases,
            exposed: known.iter().take(MOST_NAMED).map(|(own, row)| Exposed::of(scene, own, scene.who(row))).collect(),
            no_start: shown
                .iter()
                .filter(|(own, _)| own.known_index_g_m2().is_none())
                .map(|(_, row)| scene.who(row))
                .collect(),
            rates: Rates::of(scene),
            curves: curves(scene),
        }
    }
}

impl Exposed {
    fn of(scene: &Scene<'_, '_, '_>, own: &Exposure, who: Who) -> Exposed {
        let bound = if own.start.is_lower_bound() { "at least " } else { "" };
        Exposed {
            who,
            index: format!("{bound}{:.1}", own.index_g_m2),
            key: format!("{:.4}", own.index_g_m2),
            years: own.years().map_or_else(String::new, |years| format!("{years:.1}")),
            basis: own.basis(scene.answers.fleet),
        }
    }
}

/// The bases where propellers live today, the most exposed first; without a base last.
fn by_base(scene: &Scene<'_, '_, '_>, all: &[&Exposure]) -> Vec<BaseRow> {
    let mut numbers: Vec<Option<u32>> = all.iter().map(|e| e.base).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let mut rows: Vec<BaseRow> = numbers
        .into_iter()
        .map(|number| {
            let here: Vec<&Exposure> = all.iter().copied().filter(|e| e.base == number).collect();
            BaseRow::of(scene, number, &here)
        })
        .collect();
    rows.sort_by(|a, b| {
        let middle = |row: &BaseRow| row.range.map_or(f64::NEG_INFINITY, |[_, middle, _]| middle);
        let nowhere = |row: &BaseRow| row.name.is_none();
        (nowhere(a).cmp(&nowhere(b))).then(middle(b).total_cmp(&middle(a)))
    });
    rows
}

impl BaseRow {
    fn of(scene: &Scene<'_, '_, '_>, number: Option<u32>, here: &[&Exposure]) -> BaseRow {
        let fleet = scene.answers.fleet;
        let base = number.and_then(|n| fleet.places.bases().get(n as usize));
        let mut known: Vec<f64> = here.iter().filter_map(|e| e.known_index_g_m2()).collect();
        known.sort_by(f64::total_cmp);
        let air = here.first().map(|e| e.air);
        BaseRow {
            name: base.map(|b| b.name.clone()),
            air: air.map_or_else(String::new, |air| match air.corrosivity {
                Some(category) => format!("{}, {:.1} g/m² in the first year", category.word(), air.rate_g_m2_year),
                None => format!("not known: the worst is taken, {:.0} g/m² in the first year", air.rate_g_m2_year),
            }),
            known_by: air.map_or("", |air| air.source.words()),
            unknown: air.is_none_or(|air| !air.is_known()),
            propellers: here.len(),
            range: middle(&known).and_then(|m| Some([*known.first()?, m, *known.last()?])),
            chart: Svg::default(),
        }
    }

    fn words(&self) -> String {
        match self.range {
            Some([low, middle, high]) if high > low => {
                format!("{middle:.1} ({low:.1} to {high:.1})")
            }
            Some([_, middle, _]) => format!("{middle:.1}"),
            None => "not known".to_string(),
        }
    }

    /// The middle index, to sort by.
    fn key(&self) -> String {
        self.range.map_or_else(String::new, |[_, middle, _]| format!("{middle:.4}"))
    }
}

/// The middle of sorted numbers.
fn middle(sorted: &[f64]) -> Option<f64> {
    let (below, above) = (sorted.get(sorted.len().checked_sub(1)? / 2)?, sorted.get(sorted.len() / 2)?);
    Some((below + above) / 2.0)
}

/// Draws every base, and gives the axis.
fn draw(bases: &mut [BaseRow]) -> Svg {
    let highest = bases.iter().filter_map(|b| Some(b.range?[2]));
    let scale = match Scale::up_to(0.0, highest.chain([0.1])) {
        Ok(scale) => scale,
        Err(gap) => return Svg::or_words(Err(gap)),
    };
    for (number, base) in bases.iter_mut().enumerate() {
        let Some([low, middle, high]) = base.range else {
            continue;
        };
        let id = format!("air-{number}");
        let title = format!("Exposure index {} g/m²", base.words());
        let chart = DotWhisker {
            caption: Caption::new(&id, &title),
            scale,
            low,
            middle,
            high: Some(high),
            second: None,
            now: false,
            axis: AXIS,
        };
        base.chart = Svg::or_words(chart.draw());
    }
    let axis = Axis {
        caption: Caption::new(AXIS, "Exposure index in grams per square metre"),
        ticks: scale.tick_marks(TICKS, Numbers::Plain),
        flag: None,
    };
    Svg::or_words(axis.draw())
}

fn summary(bases: &[BaseRow], all: usize) -> Vec<String> {
    let mut words = Vec::new();
    let hardest = bases.iter().filter(|b| !b.unknown && b.range.is_some());
    if let Some(base) = hardest.clone().next()
        && let Some(name) = &base.name
        && hardest.count() > 1
    {
        let many = count(base.propellers, "propeller");
        let live = if base.propellers == 1 { "lives" } else { "live" };
        words.push(format!("The air has worked longest or hardest at {name}, where {many} {live} today."));
    }
    let unknown: usize = bases.iter().filter(|b| b.unknown).map(|b| b.propellers).sum();
    if unknown > 0 {
        let who = if unknown == all { "every propeller".to_string() } else { count(unknown, "propeller") };
        words.push(format!("Of {who} the air today is not known, and what is not known counts as the worst."));
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_sorted_numbers() {
        assert_eq!(middle(&[]), None);
        assert_eq!(middle(&[3.0]), Some(3.0));
        assert_eq!(middle(&[1.0, 2.0]), Some(1.5));
        assert_eq!(middle(&[1.0, 2.0, 9.0]), Some(2.0));
    }
}
