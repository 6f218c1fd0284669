//! What each shop visit was and took, and how the places that decide came down toward their minimum.

use super::{Subject, station_name};
use crate::analysis::last_readings::as_it_left;
use crate::analysis::margins::Margin;
use crate::records::choice::Acquired;
use crate::records::measurements::Moment;
use crate::records::schema::Table;
use crate::records::visits::Visit;
use crate::report::chart::lines::{Line, Lines, Point};
use crate::report::chart::{Caption, Svg};
use crate::report::words::inches;
use crate::trade::geometry::Dimension;

/// Visits in the table, the newest of them.
const MOST_VISITS: usize = 12;

/// The chart and the table behind it.
pub(super) struct History {
    pub(super) chart: Option<Svg>,
    pub(super) places: Vec<Place>,
    pub(super) visits: Vec<Row>,
    /// Older visits that the table leaves out.
    pub(super) older: usize,
    pub(super) from_drawing: bool,
}

/// The worst place of one dimension: that which decides, or that with the least left.
pub(super) struct Place {
    /// `thickness at 75 %, blade 2`.
    pub(super) name: String,
    /// `thickness 75 %`, at the end of its line.
    short: String,
    pub(super) minimum_in: f64,
    /// The new dimension, where the propeller came with it.
    new: Option<Point>,
    /// What it measured after each visit.
    by_visit: Vec<Option<f64>>,
}

/// A visit.
pub(super) struct Row {
    pub(super) day: String,
    pub(super) work: &'static str,
    pub(super) outcome: String,
    pub(super) shop: Option<String>,
    /// Mean loss of thickness and of width.
    pub(super) lost: [String; 2],
    /// Readings at the places drawn.
    pub(super) readings: Vec<String>,
    pub(super) record: String,
}

/// Thickness first: it mostly decides.
const ORDER: [Dimension; 2] = [Dimension::Thickness, Dimension::Width];

impl History {
    pub(super) fn of(subject: &Subject<'_, '_, '_>) -> History {
        let fleet = subject.scene.answers.fleet;
        let visits: Vec<u32> = fleet.visits.range(subject.key()).collect();
        let places: Vec<Place> =
            ORDER.into_iter().filter_map(|dimension| Place::of(subject, dimension, &visits)).collect();
        let older = visits.len().saturating_sub(MOST_VISITS);
        History {
            chart: drawn(subject, &places, &visits),
            visits: visits
                .iter()
                .enumerate()
                .skip(older)
                .map(|(at, &number)| Row::of(subject, number, at, &places))
                .collect(),
            places,
            older,
            from_drawing: ORDER.into_iter().any(|d| subject.cycles(d).iter().any(|c| c.from_drawing)),
        }
    }
}

/// What is left above the minimum at each place, after each visit.
fn drawn(subject: &Subject<'_, '_, '_>, places: &[Place], visits: &[u32]) -> Option<Svg> {
    let fleet = subject.scene.answers.fleet;
    let points: Vec<Vec<Point>> = places
        .iter()
        .map(|place| {
            let read = visits.iter().zip(&place.by_visit);
            let read = read.filter_map(|(&number, value)| {
                Some(Point { day: fleet.visits.get(number).day, value: (*value)? - place.minimum_in, as_new: false })
            });
            let new = place.new.map(|new| Point { value: new.value - place.minimum_in, ..new });
            new.into_iter().chain(read).collect()
        })
        .collect();
    let lines: Vec<Line<'_>> =
        places.iter().zip(&points).map(|(place, points)| Line { name: &place.short, points }).collect();
    if lines.is_empty() {
        return None;
    }
    let id = format!("history-{}", subject.key());
    let title = format!("{}: left above the minimum, inches", subject.serial());
    let chart =
        Lines { caption: Caption::new(&id, &title), name: "in left", lines: &lines, minimum: Some((0.0, "minimum")) };
    Some(Svg::or_words(chart.draw()))
}

/// The place of a dimension that decides, or the one with the least left.
fn worst<'m>(subject: &'m Subject<'_, '_, '_>, dimension: Dimension) -> Option<&'m Margin> {
    let limiting = subject.remaining.and_then(|r| r.limiting);
    let limiting = limiting.filter(|l| l.margin.dimension == dimension);
    subject.margins.iter().filter(|m| m.dimension == dimension && m.margin_in.is_some()).min_by(|a, b| {
        let decides = |m: &Margin| limiting.is_some_and(|l| l.margin.blade == m.blade && l.margin.station == m.station);
        let left = |m: &Margin| m.margin_fraction.unwrap_or(f64::NEG_INFINITY);
        (decides(b).cmp(&decides(a))).then(left(a).total_cmp(&left(b)))
    })
}

impl Place {
    /// `None` when there is no reading of it, or no minimum.
    fn of(subject: &Subject<'_, '_, '_>, dimension: Dimension, visits: &[u32]) -> Option<Place> {
        let worst = worst(subject, dimension)?;
        let by_visit: Vec<Option<f64>> =
            visits.iter().map(|&number| reading(subject, number, worst.blade, worst.station, dimension)).collect();
        // The new dimension alone is no history.
        by_visit.iter().flatten().next()?;
        let (word, at) = (dimension.word(), station_name(subject.station(worst.station)));
        Some(Place {
            name: format!("{word} at {at}, blade {}", worst.blade),
            short: format!("{word} {at}"),
            minimum_in: worst.minimum_in?,
            new: as_new(subject, dimension, worst.station),
            by_visit,
        })
    }

    pub(super) fn minimum(&self) -> String {
        inches(self.minimum_in)
    }
}

/// What a place measured as the propeller left a visit; `None` too when its stations were others then.
fn reading(subject: &Subject<'_, '_, '_>, number: u32, blade: u8, station: u8, dimension: Dimension) -> Option<f64> {
    let fleet = subject.scene.answers.fleet;
    let visit = fleet.visits.get(number);
    if !is_comparable(subject, number) {
        return None;
    }
    let measurements = &fleet.measurements;
    measurements
        .range(number)
        .filter(|&at| measurements.blade(at) == blade && measurements.station(at) == station)
        .map(|at| {
            as_it_left(
                visit,
                measurements.raw_reading(dimension, Moment::Before, at),
                measurements.raw_reading(dimension, Moment::After, at),
            )
        })
        .find(|value| !value.is_nan())
}

/// Whether the stations of a visit are those of today: nothing moved them since.
fn is_comparable(subject: &Subject<'_, '_, '_>, number: u32) -> bool {
    let fleet = subject.scene.answers.fleet;
    let later = number + 1..fleet.visits.range(subject.key()).end;
    let same_model = |visit: &Visit| {
        let model = visit.model.map(|m| fleet.models.get(m));
        model.zip(subject.model).is_some_and(|(a, b)| std::ptr::eq(a, b))
    };
    same_model(fleet.visits.get(number)) && !later.into_iter().any(|n| fleet.visits.get(n).changes_model)
}

/// The new dimension on the first day of a propeller that came new and whose stations never moved.
fn as_new(subject: &Subject<'_, '_, '_>, dimension: Dimension, station: u8) -> Option<Point> {
    let fleet = subject.scene.answers.fleet;
    let of = fleet.propellers.get(subject.key());
    let mut visits = fleet.visits.of(subject.key()).iter();
    if of.acquired != Acquired::New || visits.any(|v| v.changes_model) {
        return None;
    }
    Some(Point { day: of.in_service?, value: subject.station(station)?.limits(dimension).new_in?, as_new: true })
}

impl Row {
    fn of(subject: &Subject<'_, '_, '_>, number: u32, at: usize, places: &[Place]) -> Row {
        let fleet = subject.scene.answers.fleet;
        let visit = fleet.visits.get(number);
        let lost = |dimension: Dimension| {
            let cycle = subject.cycles(dimension).iter().find(|c| c.visit == number);
            cycle.map_or_else(String::new, |cycle| {
                format!(
                    "{:.4}{}{}",
                    cycle.lost_in(),
                    if cycle.spanned > 1 { format!(" (of {})", cycle.spanned) } else { String::new() },
                    if cycle.from_drawing { "*" } else { "" }
                )
            })
        };
        let (work, outcome) = words(visit);
        let record =
            fleet.loaded.in_brackets(Table::Overhauls, visit.row, "").trim_matches([' ', '(', ')']).to_string();
        Row {
            day: visit.day.to_string(),
            work,
            outcome,
            shop: visit.shop.map(|shop| fleet.visits.shops.get(shop).to_string()),
            lost: [lost(Dimension::Thickness), lost(Dimension::Width)],
            readings: places.iter().map(|place| place.by_visit[at].map_or_else(String::new, inches)).collect(),
            record,
        }
    }
}

/// What was done, and how it ended.
fn words(visit: &Visit) -> (&'static str, String) {
    if visit.row.is_none() {
        return ("readings only", String::new());
    }
    let not_recorded = "not recorded";
    let outcome = visit.outcome.map_or(not_recorded, |o| o.word());
    (
        visit.work.map_or(not_recorded, |w| w.word()),
        match visit.reject_reason {
            Some(reason) => format!("{outcome}: {}", reason.word()),
            None => outcome.to_string(),
        },
    )
}
