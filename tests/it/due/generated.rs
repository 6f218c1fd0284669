//! Generated fleets: one propeller flown at uneven use, its overhauls, readings, aircraft, meters and fittings, all true to
//! one history. What is spoilt afterwards is spoilt on purpose.

use bladewane::trade::calendar::Day;
use proptest::prelude::*;

use super::fleet::{Tables, day};

/// The as-of date of every generated fleet.
pub const AS_OF: &str = "2024-01-01";

/// A table as rows of cells.
#[derive(Clone, Debug)]
pub struct Sheet {
    pub name: &'static str,
    pub header: &'static str,
    pub rows: Vec<Vec<String>>,
}

/// A fleet as sheets.
#[derive(Clone, Debug)]
pub struct Sheets(pub Vec<Sheet>);

impl Sheets {
    pub fn tables(&self) -> Tables {
        self.0.iter().fold(Tables::default(), |tables, sheet| {
            let rows: Vec<String> = sheet.rows.iter().map(|cells| cells.join(",")).collect();
            let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
            tables.with(sheet.name, sheet.header, &rows)
        })
    }

    pub fn sheet(&mut self, name: &str) -> &mut Sheet {
        self.0.iter_mut().find(|s| s.name == name).expect("the generated fleet has the table")
    }
}

/// What is drawn.
#[derive(Clone, Debug)]
pub struct History {
    /// Hours a day in each of the twenty quarters before the as-of date.
    pub use_by_quarter: Vec<f64>,
    /// Days before the as-of date of overhauls, and whether hours are written there.
    pub overhauls: Vec<(i32, bool)>,
    /// Days before the as-of date of own readings, and which scales are read.
    pub own: Vec<(i32, u8)>,
    /// Days before the as-of date of repairs with hours.
    pub repairs: Vec<i32>,
    /// Days before the as-of date of meter readings, of which meter.
    pub meters: Vec<(i32, u8)>,
    /// Days before the as-of date at which it was fitted, to which aircraft, and whether the end is written.
    pub fittings: Vec<(i32, u8, bool)>,
    pub two_meters: bool,
    pub status: &'static str,
    pub acquired: &'static str,
    pub interval_hours: f64,
    pub interval_months: u32,
    pub force: &'static str,
    pub others: Vec<f64>,
}

const DAYS: i32 = 1825;

pub fn history() -> impl Strategy<Value = History> {
    let ago = 0..DAYS;
    let parts = (
        prop::collection::vec(prop_oneof![Just(0.0), 0.1..2.0f64], 20),
        prop::collection::vec((ago.clone(), any::<bool>()), 0..3),
        prop::collection::vec((prop_oneof![0..400, ago.clone()], 0u8..3), 0..9),
        prop::collection::vec(ago.clone(), 0..2),
        prop::collection::vec((prop_oneof![0..400, ago.clone()], 0u8..4), 0..16),
        prop::collection::vec((ago, 0u8..2, any::<bool>()), 0..4),
        any::<bool>(),
    );
    let rest = (
        prop::sample::select(vec!["flying", "spare", "at shop"]),
        prop::sample::select(vec!["new", "unknown"]),
        50.0..1200.0f64,
        6u32..80,
        prop::sample::select(vec!["binding", "recommended"]),
        prop::collection::vec(0.1..2.0f64, 0..3),
    );
    (parts, rest).prop_map(|(parts, rest)| {
        let (use_by_quarter, overhauls, own, repairs, meters, fittings, two_meters) = parts;
        let (status, acquired, interval_hours, interval_months, force, others) = rest;
        History {
            use_by_quarter,
            overhauls,
            own,
            repairs,
            meters,
            fittings,
            two_meters,
            status,
            acquired,
            interval_hours,
            interval_months,
            force,
            others,
        }
    })
}

impl History {
    /// Hours since the first day, `ago` days before the as-of date.
    fn flown(&self, ago: i32) -> f64 {
        let last = DAYS - ago;
        (0..last).map(|d| self.use_by_quarter[(d / 92).min(19) as usize]).sum()
    }

    fn date(&self, ago: i32) -> Day {
        day(AS_OF) + -ago
    }

    pub fn sheets(&self) -> Sheets {
        let sheet = |name, header, rows: Vec<Vec<String>>| Sheet { name, header, rows };
        let text = |hours: f64| format!("{hours:.3}");
        let mut propellers = vec![vec![
            "P".into(),
            "M".into(),
            "club".into(),
            self.status.into(),
            self.date(DAYS).to_string(),
            self.acquired.into(),
        ]];
        let mut hours = Vec::new();
        for (at, rate) in self.others.iter().enumerate() {
            let name = format!("X{at}");
            propellers.push(vec![
                name.clone(),
                "M".into(),
                "club".into(),
                "flying".into(),
                String::new(),
                "unknown".into(),
            ]);
            for ago in [200, 100, 0] {
                hours.push(vec![
                    name.clone(),
                    self.date(ago).to_string(),
                    text(500.0 - rate * f64::from(ago)),
                    String::new(),
                ]);
            }
        }
        let mut overhauls: Vec<(i32, bool)> = self.overhauls.clone();
        overhauls.sort_by_key(|(ago, _)| -ago);
        overhauls.dedup_by_key(|(ago, _)| *ago);
        let new = self.acquired == "new";
        let since = |ago: i32| {
            overhauls
                .iter()
                .rev()
                .map(|(a, _)| *a)
                .find(|&a| a > ago)
                .or(new.then_some(DAYS))
                .map(|start| self.flown(ago) - self.flown(start))
        };
        let mut visits = Vec::new();
        for &(ago, written) in &overhauls {
            let total = if written { text(self.flown(ago)) } else { String::new() };
            let before = if written { since(ago).map(text).unwrap_or_default() } else { String::new() };
            visits.push(vec!["P".into(), self.date(ago).to_string(), "overhaul".into(), total, before]);
        }
        for &ago in &self.repairs {
            if overhauls.iter().all(|(a, _)| *a != ago) {
                visits.push(vec![
                    "P".into(),
                    self.date(ago).to_string(),
                    "repair".into(),
                    text(self.flown(ago)),
                    String::new(),
                ]);
            }
        }
        let mut own = self.own.clone();
        own.sort_unstable();
        own.dedup_by_key(|(ago, _)| *ago);
        for (ago, scales) in own {
            let total = if scales != 1 { text(self.flown(ago)) } else { String::new() };
            let since = since(ago).filter(|_| scales != 0).map(text).unwrap_or_default();
            if !(total.is_empty() && since.is_empty()) {
                hours.push(vec!["P".into(), self.date(ago).to_string(), total, since]);
            }
        }
        let mut meters = self.meters.clone();
        meters.sort_unstable();
        meters.dedup();
        let readings = meters.iter().map(|&(ago, which)| {
            let (aircraft, second) = (["A", "B"][usize::from(which % 2)], which >= 2 && self.two_meters);
            let (meter, factor) = if second { ("hobbs", 1.2) } else { ("tach", 1.0) };
            vec![aircraft.into(), self.date(ago).to_string(), text(100.0 + factor * self.flown(ago)), meter.into()]
        });
        let mut readings: Vec<Vec<String>> = readings.collect();
        readings.sort();
        readings.dedup();
        let mut fittings = self.fittings.clone();
        fittings.sort_by_key(|f| -f.0);
        fittings.dedup_by_key(|f| f.0);
        let fitted = fittings.iter().enumerate().map(|(at, &(ago, aircraft, ended))| {
            let next = fittings.get(at + 1).map_or(0, |f| f.0);
            let to = if ended { self.date((ago + next) / 2).to_string() } else { String::new() };
            vec!["P".into(), ["A", "B"][usize::from(aircraft)].into(), self.date(ago).to_string(), to]
        });
        Sheets(vec![
            sheet("propellers", "propeller,model,use,status,in_service_date,acquired", propellers),
            sheet(
                "models",
                "model,interval_hours,interval_months,interval_force",
                vec![vec!["M".into(), text(self.interval_hours), self.interval_months.to_string(), self.force.into()]],
            ),
            sheet("overhauls", "propeller,overhaul_date,work,hours_since_new,hours_since_overhaul", visits),
            sheet("hours", "propeller,reading_date,hours_since_new,hours_since_overhaul", hours),
            sheet("aircraft_hours", "aircraft,reading_date,hours,meter", readings),
            sheet("fitted", "propeller,aircraft,from_date,to_date", fitted.collect()),
        ])
    }
}
