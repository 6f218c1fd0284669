//! What of a sheet is on record already, and where its rows lie on the propeller's model.

use super::heading::Reading;
use super::station::StationAt;
use super::wide::{SheetReading, Understood, told};
use super::{NEAR_DAYS, Refusal, Request};
use crate::records::Fleet;
use crate::records::measurements::Moment;
use crate::records::models::Model;
use crate::records::schema::Table;
use crate::records::visits::Visit;
use crate::records::written::count;
use crate::trade::geometry::{Dimension, STATION_SNAP_IN};

/// Readings nearer to each other than this are one reading, in inches: far below any gauge.
const SAME_IN: f64 = 2e-6;

/// A row of the sheet at its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The row.
    pub reading: SheetReading,
    /// Percent of the radius, when known.
    pub pct: Option<f64>,
    /// Inches from the hub centre, when known.
    pub station_in: Option<f64>,
    /// Whether the same readings are on record.
    pub on_record: bool,
}

/// What the records hold of a propeller on the day of a visit.
pub struct Known<'f, 'a> {
    fleet: &'f Fleet<'a>,
    propeller: u32,
    /// The visit of that day, if one is there.
    visit: Option<(u32, &'f Visit)>,
    model: Option<&'f Model>,
}

impl<'f, 'a> Known<'f, 'a> {
    /// Looks up a propeller and a day.
    ///
    /// # Errors
    /// A visit of that day with other words, or one of another day that is probably the same.
    pub fn of(fleet: &'f Fleet<'a>, propeller: u32, request: &Request<'_>) -> Result<Known<'f, 'a>, Refusal> {
        let visits = fleet.visits.of(propeller);
        let first = fleet.visits.range(propeller).start;
        let on_the_day = visits.iter().position(|v| v.day == request.date);
        let visit = on_the_day.map(|at| (first + at as u32, &visits[at]));
        let recorded = visit.filter(|(_, v)| v.row.is_some());
        let place = |visit: &Visit| {
            let table = fleet.loaded.table(Table::Overhauls);
            match (table, visit.row) {
                (Some(table), Some(row)) => {
                    let place = table.place(row);
                    format!("{}:{}", place.file, place.line)
                }
                _ => "measurements".to_string(),
            }
        };
        if let Some((_, visit)) = recorded {
            let words = request.words;
            let differs = [
                ("work", visit.work.map(|w| w.word()), words.work.map(|w| w.word())),
                ("outcome", visit.outcome.map(|w| w.word()), words.outcome.map(|w| w.word())),
                ("reject_reason", visit.reject_reason.map(|w| w.word()), words.reject_reason.map(|w| w.word())),
                ("reason", visit.reason.map(|w| w.word()), words.reason.map(|w| w.word())),
            ];
            for (name, there, said) in differs {
                if let Some(said) = said.filter(|&said| there != Some(said)) {
                    return Err(Refusal::records(format!(
                        "{}: the visit of {} is on record with {name} `{}`, not `{said}`\nhint: correct that row, or leave the option out",
                        place(visit),
                        request.date,
                        there.unwrap_or("not recorded")
                    )));
                }
            }
        } else if let Some(near) = visits
            .iter()
            .filter(|v| v.row.is_some())
            .filter(|v| (v.day - request.date).abs() <= NEAR_DAYS)
            .min_by_key(|v| (v.day - request.date).abs())
        {
            return Err(Refusal::records(format!(
                "{}: a visit of {} on {} is on record, {} from {}\nhint: give --date {} if the sheet belongs to it; if it was another visit, add that one to overhauls.csv by hand first",
                place(near),
                request.propeller.trim(),
                near.day,
                count((near.day - request.date).unsigned_abs() as usize, "day"),
                request.date,
                near.day
            )));
        }
        // The designation it had on that day: as it left the last visit before it, else as the list of propellers says.
        let model = visits
            .iter()
            .rfind(|v| v.day <= request.date)
            .map_or(fleet.propellers.get(propeller).model, |v| v.model)
            .map(|model| fleet.models.get(model));
        Ok(Known { fleet, propeller, visit, model })
    }

    /// The serial.
    pub fn serial(&self) -> &'f str {
        self.fleet.propellers.serial(self.propeller)
    }

    /// Whether `overhauls` has the visit.
    pub fn visit_is_on_record(&self) -> bool {
        self.visit.is_some_and(|(_, visit)| visit.row.is_some())
    }

    /// Puts the rows of a sheet in their places, by blade and from the hub outward, and marks those on record.
    ///
    /// # Errors
    /// Rows that are on record with other readings.
    pub fn placed(&self, understood: &Understood) -> Result<Vec<Placed>, Refusal> {
        let mut problems = Vec::new();
        let mut placed = Vec::new();
        for reading in &understood.readings {
            let (pct, station_in) = self.place(reading.station);
            let mut place = Placed { reading: reading.clone(), pct, station_in, on_record: false };
            if let Some((number, _)) = self.visit {
                for position in self.fleet.measurements.range(number) {
                    if self.is_same_place(position, &place) {
                        place.on_record = true;
                        if let Some(problem) = self.difference(position, reading, understood) {
                            problems.push(problem);
                        }
                    }
                }
            }
            placed.push(place);
        }
        if !problems.is_empty() {
            return Err(Refusal::records(told(&problems)));
        }
        placed.sort_by(|a, b| {
            let outward = |p: &Placed| p.pct.or(p.station_in).unwrap_or(f64::MAX);
            a.reading
                .blade
                .cmp(&b.reading.blade)
                .then(outward(a).total_cmp(&outward(b)))
                .then(a.reading.line.cmp(&b.reading.line))
        });
        Ok(placed)
    }

    /// Percent and inches of a station: of the listed one it is, else from the diameter.
    fn place(&self, at: StationAt) -> (Option<f64>, Option<f64>) {
        let Some(model) = self.model else {
            return (at.pct(), at.inches());
        };
        let listed = model.station_at(at.pct(), at.inches()).and_then(|number| model.stations.get(number));
        match listed {
            Some(station) => (station.pct.or(at.pct()), station.station_in.or(at.inches())),
            None => model.place(at.pct(), at.inches()),
        }
    }

    fn is_same_place(&self, position: usize, place: &Placed) -> bool {
        let measurements = &self.fleet.measurements;
        if measurements.blade(position) != place.reading.blade {
            return false;
        }
        let (pct, inches) = measurements.place(position);
        let (pct, inches) = self.model.map_or((pct, inches), |model| model.place(pct, inches));
        match (inches, place.station_in, pct, place.pct) {
            (Some(a), Some(b), ..) => (a - b).abs() <= STATION_SNAP_IN + 1e-9,
            (_, _, Some(a), Some(b)) => (a - b).abs() <= 0.2,
            _ => false,
        }
    }

    /// How a row on record differs from the sheet's; `None` when it says the same.
    fn difference(&self, position: usize, reading: &SheetReading, understood: &Understood) -> Option<String> {
        let of = [
            (Reading::WidthBefore, Dimension::Width, Moment::Before),
            (Reading::WidthAfter, Dimension::Width, Moment::After),
            (Reading::ThicknessBefore, Dimension::Thickness, Moment::Before),
            (Reading::ThicknessAfter, Dimension::Thickness, Moment::After),
        ];
        let measurements = &self.fleet.measurements;
        of.into_iter().find_map(|(which, dimension, moment)| {
            let at = Reading::ALL.iter().position(|&r| r == which)?;
            let there = measurements.reading(dimension, moment, position);
            let typed = reading.values[at].as_ref();
            let inches = typed.map(|v| v.number / v.unit.per_inch().unwrap_or(1.0));
            let same = match (there, inches) {
                (Some(a), Some(b)) => (a - b).abs() <= SAME_IN,
                (None, None) => true,
                _ => false,
            };
            if same {
                return None;
            }
            let column = typed.map_or(reading.station_column, |v| v.column);
            let record = self.fleet.loaded.table(Table::Measurements)?.place(measurements.row(position));
            let shown = |value: Option<f64>| value.map_or("nothing".to_string(), |v| format!("{v:.4} in"));
            Some(format!(
                "{}: blade {} {}: {} here, {} on record at {}:{}\nhint: compare both with the paper sheet and correct the wrong one",
                understood.sheet.place(reading.line, column),
                reading.blade,
                which.column().replace('_', " "),
                shown(inches),
                shown(there),
                record.file,
                record.line
            ))
        })
    }
}
