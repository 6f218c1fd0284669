//! How often each propeller is damaged, the most often first.

use crate::analysis::defect_rate::DefectRate;
use crate::analysis::defect_rate::repeats::Repeat;
use crate::analysis::defect_rate::watch::HoursFrom;
use crate::report::chart::axis::{Axis, Tick};
use crate::report::chart::dot_whisker::DotWhisker;
use crate::report::chart::marks::Key;
use crate::report::chart::{Caption, Numbers, Scale, Svg};
use crate::report::scene::{Scene, Who};
use crate::report::words::{count, thousands};
use crate::trade::damage::DefectKind;

/// Propellers shown, the highest rates.
const MOST_SHOWN: usize = 12;
/// Places named where damage came back.
const MOST_PLACES: usize = 2;
/// A trend is said below this chance of seeing it without one.
const TREND: f64 = 0.05;
/// Ticks that have room on a narrow page.
const TICKS: usize = 4;
const AXIS: &str = "rate-axis";

/// The rates.
pub(super) struct Rates {
    pub(super) axis: Svg,
    pub(super) legend: Vec<(Svg, &'static str)>,
    pub(super) rows: Vec<RateRow>,
    /// Propellers with a rate that the table leaves out.
    pub(super) lower: usize,
    /// Whether any report is on record.
    pub(super) any_report: bool,
    pub(super) fleet_mean: Option<String>,
    /// Propellers without a rate, by why.
    pub(super) without: Vec<(String, usize)>,
    /// Those with strikes, and how many: they are no part of the rate.
    pub(super) strikes: Vec<(Who, usize)>,
}

/// A propeller's rate.
pub(super) struct RateRow {
    pub(super) who: Who,
    pub(super) chart: Svg,
    pub(super) rate: String,
    /// The rate with all its digits, to sort by.
    pub(super) key: String,
    pub(super) findings: u32,
    pub(super) hours: String,
    pub(super) notes: Vec<String>,
    low: f64,
    mean: f64,
    high: f64,
}

impl Rates {
    pub(super) fn of(scene: &Scene<'_, '_, '_>) -> Rates {
        let answers = scene.answers;
        let fleet = answers.fleet;
        let rates = answers.defect_rates();
        let mut rows = Vec::new();
        let mut without: Vec<(String, usize)> = Vec::new();
        let mut strikes = Vec::new();
        for ranked in &scene.ranked {
            let Some(own) = rates.propellers.get(ranked.propeller as usize) else {
                continue;
            };
            match RateRow::of(own, scene.who(ranked)) {
                Ok(row) => rows.push(row),
                Err(why) => match without.iter_mut().find(|(known, _)| *known == why) {
                    Some((_, many)) => *many += 1,
                    None => without.push((why, 1)),
                },
            }
            let reports = fleet.defects.of(ranked.propeller).iter();
            let many = reports.filter(|r| r.kind == DefectKind::Strike).count();
            if many > 0 {
                strikes.push((scene.who(ranked), many));
            }
        }
        rows.sort_by(|a, b| b.mean.total_cmp(&a.mean).then(a.who.key.cmp(&b.who.key)));
        let lower = rows.len().saturating_sub(MOST_SHOWN);
        rows.truncate(MOST_SHOWN);
        Rates {
            axis: draw(&mut rows, rates.fleet_mean_per_100h),
            legend: vec![
                (Key::Dot.draw(), "rate, drawn toward the fleet's where hours are few"),
                (Key::Whisker.draw(), "where it lies in nine of ten cases"),
            ],
            rows,
            lower,
            any_report: !fleet.defects.list().is_empty(),
            fleet_mean: rates.fleet_mean_per_100h.map(|mean| format!("{mean:.2}")),
            without,
            strikes,
        }
    }

    /// Of whom no rate is known, and why, in sentences.
    pub(super) fn not_known(&self) -> Vec<String> {
        let of = |(why, many): &(String, usize)| format!("Not known of {}: {why}.", count(*many, "propeller"));
        self.without.iter().map(of).collect()
    }
}

impl RateRow {
    /// Gives back why there is none.
    fn of(own: &DefectRate, who: Who) -> Result<RateRow, String> {
        let watch = own.watch.as_ref().map_err(ToString::to_string)?;
        let rate = own.rate.ok_or("no rate can be worked out")?;
        let mut notes: Vec<String> = comes_back(&own.repeats).into_iter().collect();
        if let Some(p) = own.trend_p.filter(|p| *p < TREND) {
            notes.push(format!("not even over time: so uneven with a chance of {p:.2} if nothing changed"));
        }
        if watch.hours_from == HoursFrom::FleetMedian {
            notes.push("hours from years at the fleet's median use".to_string());
        }
        Ok(RateRow {
            who,
            chart: Svg::default(),
            rate: format!("{:.2} ({:.2} to {:.2})", rate.mean_per_100h, rate.low_per_100h, rate.high_per_100h),
            key: format!("{:.5}", rate.mean_per_100h),
            findings: watch.findings,
            hours: thousands(watch.hours),
            notes,
            low: rate.low_per_100h,
            mean: rate.mean_per_100h,
            high: rate.high_per_100h,
        })
    }
}

/// The places where damage came back most often, in a sentence.
pub(crate) fn comes_back(repeats: &[Repeat]) -> Option<String> {
    let mut places: Vec<&Repeat> = repeats.iter().collect();
    places.sort_by_key(|place| std::cmp::Reverse(place.findings));
    let (most, rest) = places.split_at(places.len().min(MOST_PLACES));
    let words: Vec<String> = most
        .iter()
        .map(|place| {
            let at = if place.to_pct - place.from_pct < 0.5 {
                format!("{:.0}\u{a0}%", place.from_pct)
            } else {
                format!("{:.0} to {:.0}\u{a0}%", place.from_pct, place.to_pct)
            };
            format!("blade {} at {at} ({})", place.blade, place.findings)
        })
        .collect();
    let more = match rest.len() {
        0 => String::new(),
        many => format!(" and {many} more"),
    };
    (!words.is_empty()).then(|| format!("recurring damage at {}{more}", words.join(", ")))
}

/// Draws every row, and gives the axis with the fleet's mean on it.
fn draw(rows: &mut [RateRow], fleet_mean: Option<f64>) -> Svg {
    let highest = rows.iter().map(|r| r.high).chain(fleet_mean);
    let scale = match Scale::up_to(0.0, highest.chain([0.01])) {
        Ok(scale) => scale,
        Err(gap) => return Svg::or_words(Err(gap)),
    };
    for row in rows {
        let id = format!("rate-{}", row.who.key);
        let title = format!("{}: {} findings per 100 h", row.who.serial, row.rate);
        let chart = DotWhisker {
            caption: Caption::new(&id, &title),
            scale,
            low: row.low,
            middle: row.mean,
            high: Some(row.high),
            second: None,
            now: false,
            axis: AXIS,
        };
        row.chart = Svg::or_words(chart.draw());
    }
    let axis = Axis {
        caption: Caption::new(AXIS, "Findings per 100 flight hours"),
        ticks: scale.tick_marks(TICKS, Numbers::Plain),
        flag: fleet_mean.map(|mean| Tick::new(scale.place(mean).percent(), "fleet")),
    };
    Svg::or_words(axis.draw())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_places_hit_most_often_are_named() {
        let at = |blade, from_pct, to_pct, findings| Repeat { blade, from_pct, to_pct, findings };
        assert_eq!(comes_back(&[]), None);
        let places = [at(1, 36.0, 39.0, 2), at(1, 87.0, 87.0, 3), at(2, 90.0, 94.0, 4)];
        assert_eq!(
            comes_back(&places).as_deref(),
            Some("recurring damage at blade 2 at 90 to 94\u{a0}% (4), blade 1 at 87\u{a0}% (3) and 1 more")
        );
    }
}
