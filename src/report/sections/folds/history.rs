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

/// The charts and the table behind them.
pub(super) struct History {
    pub(super) charts: Vec<Chart>,
    pub(super) visits: Vec<Row>,
    /// Older visits that the table leaves out.
    pub(super) older: usize,
    pub(super) from_drawing: bool,
}

/// The worst place of one dimension.
pub(super) struct Chart {
    /// `thickness at 75 %`.
    pub(super) name: String,
    /// The blades drawn, as the heading of the readings.
    pub(super) blades: String,
    pub(super) svg: Svg,
    /// Its readings by visit, as the cells of the table.
    cells: Vec<String>,
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

impl History {
    pub(super) fn of(subject: &Subject<'_, '_, '_>) -> History {
        let fleet = subject.scene.answers.fleet;
        let visits: Vec<u32> = fleet.visits.range(subject.key()).collect();
        let charts: Vec<Chart> = [Dimension::Thickness, Dimension::Width]
            .into_iter()
            .filter_map(|dimension| Chart::of(subject, dimension, &visits))
            .collect();
        let older = visits.len().saturating_sub(MOST_VISITS);
        History {
            visits: visits
                .iter()
                .enumerate()
                .skip(older)
                .map(|(at, &number)| Row::of(subject, number, at, &charts))
                .collect(),
            charts,
            older,
            from_drawing: [Dimension::Thickness, Dimension::Width]
                .into_iter()
                .any(|d| subject.cycles(d).iter().any(|c| c.from_drawing)),
        }
    }
}

/// The place of a dimension that decides, or the one with the least left.
fn worst<'m>(subject: &'m Subject<'_, '_, '_>, dimension: Dimension) -> Option<&'m Margin> {
    let limiting = subject.remaining.and_then(|r| r.limiting);
    let limiting = limiting.filter(|l| l.margin.dimension == dimension);
    subject
        .margins
        .iter()
        .filter(|m| m.dimension == dimension && m.margin_in.is_some())
        .min_by(|a, b| {
            let decides = |m: &Margin| {
                limiting.is_some_and(|l| l.margin.blade == m.blade && l.margin.station == m.station)
            };
            let left = |m: &Margin| m.margin_fraction.unwrap_or(f64::NEG_INFINITY);
            (decides(b).cmp(&decides(a))).then(left(a).total_cmp(&left(b)))
        })
}

impl Chart {
    fn of(subject: &Subject<'_, '_, '_>, dimension: Dimension, visits: &[u32]) -> Option<Chart> {
        let answers = subject.scene.answers;
        let worst = worst(subject, dimension)?;
        let station = subject.station(worst.station);
        let mut blades: Vec<u8> = subject.margins.iter().map(|m| m.blade).collect();
        blades.sort_unstable();
        blades.dedup();
        let by_visit: Vec<Vec<Option<f64>>> = visits
            .iter()
            .map(|&number| {
                blades
                    .iter()
                    .map(|&blade| reading(subject, number, blade, worst.station, dimension))
                    .collect()
            })
            .collect();
        let new = as_new(subject, dimension, worst.station);
        let names: Vec<String> = blades.iter().map(|b| format!("blade {b}")).collect();
        let points: Vec<Vec<Point>> = (0..blades.len())
            .map(|at| {
                let read = visits
                    .iter()
                    .zip(&by_visit)
                    .filter_map(|(&number, values)| {
                        Some(Point {
                            day: answers.fleet.visits.get(number).day,
                            value: values[at]?,
                            as_new: false,
                        })
                    });
                new.into_iter().chain(read).collect()
            })
            .collect();
        // The new dimension alone is no history.
        if by_visit.iter().flatten().all(Option::is_none) {
            return None;
        }
        let lines: Vec<Line<'_>> = names
            .iter()
            .zip(&points)
            .filter(|(_, points)| !points.is_empty())
            .map(|(name, points)| Line { name, points })
            .collect();
        let name = format!("{} at {}", dimension.word(), station_name(station));
        let id = format!("history-{}-{}", subject.key(), dimension.word());
        let title = format!("{}: {name} after each visit, inches", subject.serial());
        let chart = Lines {
            caption: Caption::new(&id, &title),
            name: "in",
            lines: &lines,
            minimum: worst.minimum_in.map(|minimum| (minimum, "minimum")),
        };
        Some(Chart {
            svg: Svg::or_words(chart.draw()),
            blades: blades
                .iter()
                .map(u8::to_string)
                .collect::<Vec<_>>()
                .join(", "),
            name,
            cells: by_visit.iter().map(|values| cells(values)).collect(),
        })
    }
}

/// The readings of the blades at one visit.
fn cells(values: &[Option<f64>]) -> String {
    if values.iter().all(Option::is_none) {
        return String::new();
    }
    let words: Vec<String> = values
        .iter()
        .map(|value| value.map_or_else(|| "?".to_string(), inches))
        .collect();
    words.join(", ")
}

/// What a place measured as the propeller left a visit; `None` too when its stations were others then.
fn reading(
    subject: &Subject<'_, '_, '_>,
    number: u32,
    blade: u8,
    station: u8,
    dimension: Dimension,
) -> Option<f64> {
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
        model
            .zip(subject.model)
            .is_some_and(|(a, b)| std::ptr::eq(a, b))
    };
    same_model(fleet.visits.get(number))
        && !later.into_iter().any(|n| fleet.visits.get(n).changes_model)
}

/// The new dimension on the first day of a propeller that came new and whose stations never moved.
fn as_new(subject: &Subject<'_, '_, '_>, dimension: Dimension, station: u8) -> Option<Point> {
    let fleet = subject.scene.answers.fleet;
    let of = fleet.propellers.get(subject.key());
    let mut visits = fleet.visits.of(subject.key()).iter();
    if of.acquired != Acquired::New || visits.any(|v| v.changes_model) {
        return None;
    }
    Some(Point {
        day: of.in_service?,
        value: subject.station(station)?.limits(dimension).new_in?,
        as_new: true,
    })
}

impl Row {
    fn of(subject: &Subject<'_, '_, '_>, number: u32, at: usize, charts: &[Chart]) -> Row {
        let fleet = subject.scene.answers.fleet;
        let visit = fleet.visits.get(number);
        let lost = |dimension: Dimension| {
            let cycle = subject.cycles(dimension).iter().find(|c| c.visit == number);
            cycle.map_or_else(String::new, |cycle| {
                format!(
                    "{:.4}{}{}",
                    cycle.mean_loss_in,
                    if cycle.spanned > 1 {
                        format!(" (of {})", cycle.spanned)
                    } else {
                        String::new()
                    },
                    if cycle.from_drawing { "*" } else { "" }
                )
            })
        };
        let (work, outcome) = words(visit);
        let record = fleet
            .loaded
            .in_brackets(Table::Overhauls, visit.row, "")
            .trim_matches([' ', '(', ')'])
            .to_string();
        Row {
            day: visit.day.to_string(),
            work,
            outcome,
            shop: visit
                .shop
                .map(|shop| fleet.visits.shops.get(shop).to_string()),
            lost: [lost(Dimension::Thickness), lost(Dimension::Width)],
            readings: charts.iter().map(|c| c.cells[at].clone()).collect(),
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
