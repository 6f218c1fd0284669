//! Every series of hours on record, judged: which readings are set aside, which contradict each other.

use rayon::prelude::*;

use super::choice::Acquired;
use super::flying::{Flying, MeterReading, Reading};
use super::gate::Gate;
use super::hours_that_cannot_be::{Contradiction, Judge, Place};
use super::propellers::Propellers;
use super::rule::{Doubt, Rule};
use super::schema::Table;
use super::visits::Visits;
use crate::trade::calendar::Day;

const PROPELLERS_AT_ONCE: usize = 2048;

/// What the readings of some propellers or aircraft are judged to be.
#[derive(Debug, Default)]
struct Judged {
    aside: Vec<Place>,
    contradictions: Vec<Contradiction>,
    cautions: Vec<(u32, Place, Doubt)>,
}

impl Judged {
    fn add(&mut self, judge: &mut Judge, whose: u32, series: &mut [Place]) {
        if series.len() < 2 {
            return;
        }
        series.sort_by(|a, b| a.day.cmp(&b.day).then(a.hours.total_cmp(&b.hours)));
        let verdict = judge.of(series);
        self.aside.extend(verdict.aside.iter().map(|&at| series[at]));
        self.cautions.extend(verdict.cautions.iter().map(|&(at, doubt)| (whose, series[at], doubt)));
        let pairs = verdict.contradictions.iter();
        self.contradictions.extend(pairs.map(|&(a, b)| Contradiction { whose, from: series[a], to: series[b] }));
    }

    fn join(mut self, other: Judged) -> Judged {
        self.aside.extend(other.aside);
        self.contradictions.extend(other.contradictions);
        self.cautions.extend(other.cautions);
        self
    }
}

/// What hours of propellers are judged by.
pub(super) struct Context<'c> {
    pub(super) propellers: &'c Propellers,
    pub(super) visits: &'c Visits,
    pub(super) as_of: Day,
    /// Hours a year that earn a caution.
    pub(super) caution_per_year: f64,
}

impl Context<'_> {
    /// Hours since new: readings, visits, and none on the first day of one that came new.
    fn since_new(&self, propeller: u32, readings: &[Reading], series: &mut Vec<Place>) {
        let place = |day, hours, table, row, keep| Place { day, hours, table, row, column: "hours_since_new", keep };
        series.clear();
        let read = readings.iter().filter_map(|r| Some(place(r.day, r.hours_since_new?, Table::Hours, r.row, false)));
        series.extend(read);
        let visits = self.visits.of(propeller).iter();
        series.extend(visits.filter_map(|v| Some(place(v.day, v.hours_since_new?, Table::Overhauls, v.row?, true))));
        let of = self.propellers.get(propeller);
        let first = of.in_service.filter(|&day| of.acquired == Acquired::New && day <= self.as_of);
        if let Some(day) = first
            && series.iter().all(|p| p.day > day)
        {
            series.push(place(day, 0.0, Table::Propellers, of.row, true));
        }
    }

    /// Hours since overhaul, cycle by cycle: none on the day of a release, what a visit found belongs to the cycle before.
    fn since_overhaul(&self, propeller: u32, readings: &[Reading], mut judge: impl FnMut(&mut Vec<Place>)) {
        let place =
            |day, hours, table, row, keep| Place { day, hours, table, row, column: "hours_since_overhaul", keep };
        let mut series: Vec<Place> = Vec::new();
        let read = |r: &Reading| Some(place(r.day, r.hours_since_overhaul?, Table::Hours, r.row, false));
        let mut next = 0;
        for visit in self.visits.of(propeller) {
            let until = next + readings[next..].partition_point(|r| r.day <= visit.day);
            series.extend(readings[next..until].iter().filter_map(read));
            next = until;
            if let (Some(hours), Some(row)) = (visit.hours_since_overhaul, visit.row) {
                series.push(place(visit.day, hours, Table::Overhauls, row, true));
            }
            if visit.restarts_clock() {
                judge(&mut series);
                series.clear();
                series.extend(visit.row.map(|row| place(visit.day, 0.0, Table::Overhauls, row, true)));
            }
        }
        series.extend(readings[next..].iter().filter_map(read));
        judge(&mut series);
    }

    fn judge(&self, flying: &Flying) -> Judged {
        let count = self.propellers.len();
        (0..count.div_ceil(PROPELLERS_AT_ONCE))
            .into_par_iter()
            .map(|slice| {
                let from = slice * PROPELLERS_AT_ONCE;
                let mut judge = Judge::new(self.caution_per_year);
                let mut judged = Judged::default();
                let mut series = Vec::new();
                for propeller in from as u32..(from + PROPELLERS_AT_ONCE).min(count) as u32 {
                    let readings = flying.readings(propeller);
                    self.since_new(propeller, readings, &mut series);
                    judged.add(&mut judge, propeller, &mut series);
                    let has_scale = |r: &Reading| r.hours_since_overhaul.is_some();
                    let written = self.visits.of(propeller).iter().any(|v| v.hours_since_overhaul.is_some());
                    if written || readings.iter().any(has_scale) {
                        self.since_overhaul(propeller, readings, |series| judged.add(&mut judge, propeller, series));
                    }
                }
                judged
            })
            // Slice after slice, so that threads change nothing.
            .collect::<Vec<Judged>>()
            .into_iter()
            .fold(Judged::default(), Judged::join)
    }
}

impl Flying {
    /// Judges the hours of propellers, at their visits too.
    pub(super) fn judge_hours<'g>(
        &mut self,
        hours: Option<&mut Gate<'g>>,
        overhauls: Option<&mut Gate<'g>>,
        context: &Context<'_>,
    ) {
        let judged = context.judge(self);
        self.contradictions = judged.contradictions;
        self.contradictions.sort_by_key(|c| (c.whose, c.from.day, c.to.day));
        let mut gates = [(Table::Hours, hours), (Table::Overhauls, overhauls)];
        for (table, gate) in &mut gates {
            let Some(gate) = gate else { continue };
            for (propeller, at, doubt) in judged.cautions.iter().filter(|(_, at, _)| at.table == *table) {
                gate.caution(at.row, at.column, *doubt, Some(*propeller), None);
            }
        }
        if let [(_, Some(gate)), _] = gates {
            let rows = set_aside(gate, judged.aside);
            self.keep_readings(context.propellers.len(), |reading| rows.binary_search(&reading.row).is_err());
        }
    }

    /// Judges the readings of meters.
    pub(super) fn judge_meters(&mut self, gate: &mut Gate<'_>, caution_per_year: f64) {
        let mut judge = Judge::new(caution_per_year);
        let mut judged = Judged::default();
        let mut series: Vec<Place> = Vec::new();
        let of_one_meter = |a: &MeterReading, b: &MeterReading| (a.aircraft, a.meter) == (b.aircraft, b.meter);
        for readings in self.meter_list().chunk_by(of_one_meter) {
            let place = |r: &MeterReading| Place {
                day: r.day,
                hours: r.hours,
                table: Table::AircraftHours,
                row: r.row,
                column: "hours",
                keep: false,
            };
            series.clear();
            series.extend(readings.iter().map(place));
            judged.add(&mut judge, readings[0].aircraft, &mut series);
        }
        self.meter_contradictions = judged.contradictions;
        // Two meters may contradict themselves on the same days: which comes first is not the file's affair.
        self.meter_contradictions.sort_by(|a, b| {
            let days = |c: &Contradiction| (c.whose, c.from.day, c.to.day);
            let hours = |c: &Contradiction| (c.from.hours, c.to.hours);
            days(a).cmp(&days(b)).then(hours(a).partial_cmp(&hours(b)).unwrap_or(std::cmp::Ordering::Equal))
        });
        for (_, at, doubt) in judged.cautions {
            gate.caution(at.row, at.column, doubt, None, None);
        }
        let rows = set_aside(gate, judged.aside);
        self.keep_meter_readings(|reading| rows.binary_search(&reading.row).is_err());
    }
}

/// Sets rows aside, each once; their numbers in order.
fn set_aside(gate: &mut Gate<'_>, mut places: Vec<Place>) -> Vec<u32> {
    places.sort_by_key(|at| at.row);
    places.dedup_by_key(|at| at.row);
    for at in &places {
        gate.set_aside(at.row, at.column, Rule::HoursThatCannotBe);
    }
    places.iter().map(|at| at.row).collect()
}
