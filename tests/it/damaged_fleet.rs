//! A fleet of every table, invented, and what can happen to its rows: cells blanked or garbled, rows dropped, doubled and
//! shuffled.

use bladewane::analysis::forecast::predict::Forecaster;
use bladewane::analysis::loss;
use bladewane::analysis::margins::MarginReader;
use bladewane::analysis::standing::list_of;
use bladewane::analysis::survey::{Survey, sums_of};
use bladewane::records::Fleet;
use bladewane::records::chains::Chains;
use bladewane::records::inspections::{Inspected, Inspection};
use bladewane::records::problem::Problem;
use bladewane::records::schema::TABLES;
use bladewane::results::answers::Answers;
use bladewane::settings::Settings;
use bladewane::trade::calendar::Day;
use proptest::prelude::*;

use crate::fleet_folder::{FleetFolder, plain};

const TEXT: [(&str, &str); 17] = [
    (
        "propellers",
        "propeller,model,use,base,aircraft,in_service_date,acquired,status,end_date,removed_date,replaced_by,reports_kept_since,interval_hours,interval_months,interval_force
         Z0,M76,club,north,,2000-01-01,new,spare,,2020-05-01,,,,,
         A1,M76,rental,north,x,2001-05-01,new,flying,,,,2010-01-01,,none,
         A2,M76,private,south,y,2002-05-01,used,scrapped,2019-03-01,,A4,,1500,,binding
         A3,M3,training,south,,2003-05-01,new,scrapped,2025-03-01,,A5,,,60,
         A4,M74,,,y,2019-03-05,overhauled,flying,,,,,,,
         A5,M3,other,north,,2025-03-05,new,flying,,,,,,,",
    ),
    (
        "models",
        "model,diameter_in,blades,interval_hours,interval_months,interval_rule,interval_from,interval_force,max_rpm,track_limit_in,limits_of
         M76,76,2,2000,72,same_day,release,recommended,2700,0.062,
         M74,74,2,2000,,month_end,installation,binding,2700,1/16,
         M3,76,3,none,72,,,,2600,,M76",
    ),
    (
        "limits",
        "model,station_pct,station_in,width_new_in,width_min_in,thickness_new_in,thickness_min_in,source
         M76,30,,5.410,5.170,0.975,0.903,invented
         M76,60,,5.440,5.230,0.476,0.413,invented
         M76,90,,3.750,3.560,0.249,0.189,invented
         M74,30,,5.368,5.128,1.001,0.929,invented
         M74,,22.2,5.467,5.257,0.494,0.431,invented",
    ),
    (
        "overhauls",
        "propeller,overhaul_date,work,outcome,reject_reason,shop,hours_since_new,hours_since_overhaul,reason,track_in,model_after,cost
         A1,2006-03-01,overhaul,released,,Shop,1800,1800,scheduled,0.010,,2000
         A1,2011-04-01,overhaul,released,,Shop,3500,1700,scheduled,0.020,,2100
         A1,2016-05-01,overhaul,released,,Other shop,5000,1500,scheduled,0.020,M74,2500
         A1,2022-05-01,overhaul,rejected,dimension,Shop,6500,1500,scheduled,,,300
         A2,2008-06-01,overhaul,released,,Shop,,1200,damage,0.063,,1900
         A2,2012-06-01,repair,released,,Shop,,600,strike,,,800
         A2,2018-06-01,overhaul,rejected,crack,Shop,,1500,scheduled,,,300
         A3,2009-01-10,overhaul,released,,Shop,2000,2000,scheduled,,,2500
         A3,2015-01-10,strike inspection,released,,Shop,4000,2000,strike,,,500
         A4,2024-01-10,overhaul,released,,Shop,,900,scheduled,,,2500",
    ),
    (
        "measurements",
        "propeller,overhaul_date,blade,station_pct,station_in,width_before_in,width_after_in,thickness_before_in,thickness_after_in,angle_after_deg,edge_alignment_in,painted
         A1,2006-03-01,1,60,,5.425,5.415,0.474,0.466,18.1,0.01,no
         A1,2006-03-01,2,60,,5.430,5.410,0.475,0.467,18.0,,no
         A1,2006-03-01,1,90,,3.740,3.730,0.247,0.240,,,no
         A1,2006-03-01,2,90,,3.738,3.725,0.248,0.241,,,yes
         A1,2011-04-01,1,60,,5.400,5.395,0.465,0.458,,,
         A1,2011-04-01,2,60,,5.395,5.390,0.466,0.459,,,
         A1,2011-04-01,1,90,,3.720,3.705,,,,,
         A1,2016-05-01,1,,22.2,5.390,5.380,0.455,0.447,,,
         A1,2016-05-01,2,60,,5.385,5.375,0.456,0.449,,,
         A1,2022-05-01,1,60,,5.300,,0.430,,,,
         A1,2022-05-01,2,60,,5.310,,0.428,,,,
         A2,2008-06-10,1,60,,5.400,5.390,0.450,0.443,,,
         A2,2008-06-10,2,60,,5.405,5.392,0.452,0.444,,,
         A2,2012-06-01,1,60,,5.380,5.375,0.442,0.440,,,
         A2,2018-06-01,1,60,,5.340,,0.415,,,,
         A2,2018-06-01,2,60,,5.338,,0.410,,,,
         A3,2009-01-10,1,60,,5.420,5.410,0.470,0.462,,,
         A3,2009-01-10,2,60,,5.422,5.412,0.471,0.463,,,
         A3,2009-01-10,3,60,,5.418,5.408,0.469,0.461,,,
         A3,2017-07-01,3,60,,,5.380,,0.450,,,
         A4,2024-01-10,1,60,,5.400,5.390,0.470,0.462,,,",
    ),
    (
        "defects",
        "propeller,found_date,blade,station_pct,station_in,surface,kind,depth_in,length_in,width_in,action,action_date,action_by,recheck_date
         A1,2017-02-01,1,60,,leading_edge,nick,0.030,0.3,,blended,2017-02-03,Kim,
         A1,2017-09-01,1,,23,trailing_edge,nick,0.020,0.2,,blended,2017-09-01,Kim,
         A1,2019-09-01,,,,,pit,,,,blended,,,
         A2,2010-01-01,2,75,,camber,corrosion,0.010,1.0,0.2,blended,2023-01-01,Lee,
         A3,2018-03-01,3,90,,tip,erosion,0.005,,,accepted,2018-03-02,Lee,2030-01-01
         A3,2019-03-01,1,,,hub,crack,,,,none,,,
         A3,2030-03-01,1,60,,face,gouge,0.02,,,shop,2030-03-02,,",
    ),
    (
        "hours",
        "propeller,reading_date,hours_since_new,hours_since_overhaul
         A1,2012-01-01,3700,200
         A1,2013-06-01,4100,600
         A1,2021-06-01,6200,1200
         A2,2019-01-01,4000,
         A2,2019-06-01,4020,
         A3,2014-01-01,3900,1900
         A3,2026-01-01,7000,",
    ),
    (
        "aircraft_hours",
        "aircraft,reading_date,hours,meter
         x,2015-01-01,9000,tach
         x,2016-01-01,9300,tach
         x,2016-01-01,11000,hobbs
         y,2021-01-01,100,tach
         y,2022-01-01,300,",
    ),
    (
        "fitted",
        "propeller,aircraft,from_date,to_date,position
         A1,x,2001-05-01,2016-03-01,left
         A1,y,2016-06-01,2021-01-01,
         A4,y,2019-03-05,,
         A3,z,2021-03-05,,right",
    ),
    (
        "aircraft",
        "aircraft,aircraft_model,engine,max_rpm,positions
         x,Heron,E1,2700,1
         y,Heron,E1,2650,2",
    ),
    (
        "inspections",
        "propeller,inspection_date,kind,result,by,next_due_date,aircraft,next_due_meter,cleared_date,cleared_by,track_in
         A1,2018-01-01,annual,satisfactory,Kim,2019-01-01,,,,,0.03
         A1,2019-01-05,annual,not,Kim,2020-01-01,,,2019-02-01,Lee,
         A3,2023-01-01,100 hour,satisfactory,,,x,1200,,,",
    ),
    (
        "event_checks",
        "propeller,aircraft,event_date,scope,method,check_date,result,by,reference
         A1,,2018-05-01,engine,run-out,2018-05-09,satisfactory,Kim,W1
         A3,x,2023-02-01,mount,visual,2023-02-02,not,,",
    ),
    (
        "rechecks",
        "propeller,found_date,blade,date,depth_in,result,by
         A1,2017-02-01,1,2018-01-05,0.03,unchanged,Kim
         A3,2019-03-01,,2023-02-01,,worse,",
    ),
    (
        "decisions",
        "propeller,date,reason,decision,until,by,reference
         A1,2018-01-05,no overhaul on record,looked at,2030-01-01,Kim,W2
         A3,2022-02-01,never measured,,2022-06-01,,",
    ),
    (
        "bases",
        "base,temperature_c,relative_humidity_pct,so2_deposition_mg_m2_day,chloride_deposition_mg_m2_day,corrosivity,air,surface
         north,8,75,5,3,,,grass
         south,,,,,C4,coast,paved",
    ),
    (
        "kept_at",
        "propeller,base,from_date,kept
         A1,north,2001-05-01,hangar
         A1,south,2010-05-01,outside
         A3,south,2003-05-01,
         A3,north,2022-05-01,hangar",
    ),
    (
        "prices",
        "model,overhaul_cost,replacement_cost,rejection_cost,removal_cost,overhaul_days,replacement_days,price_date
         M76,2500,6000,300,400,30,90,2020-01-01
         M74,2500,5800,,400,30,90,2021-01-01",
    ),
];

/// What a hand, a spreadsheet or a scanner leaves in a cell.
const GARBAGE: [&str; 20] = [
    "",
    "?",
    "abc",
    "1.5.2",
    "-3",
    "1e9",
    "0",
    "2020-02-30",
    "1899-01-01",
    "2050-01-01",
    "2015-03-04",
    "A1",
    "A9",
    "\u{fc}\u{df}",
    "none",
    "3/64",
    "released",
    "M76",
    "2",
    "60",
];

/// One table as rows of cells.
#[derive(Clone)]
pub struct Table {
    pub name: &'static str,
    pub header: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

impl Table {
    pub fn text(&self) -> String {
        let rows = std::iter::once(&self.header).chain(&self.rows);
        rows.fold(String::new(), |text, row| text + &row.join(",") + "\n")
    }

    /// Whether a row's own date, where the header says it stands, is after `as_of`.
    pub fn is_later(&self, row: &[String], as_of: Day) -> bool {
        let schema = TABLES.iter().find(|s| s.name == self.name);
        let own = schema.and_then(|s| s.own_date);
        let at = own.and_then(|name| self.header.iter().position(|h| h == name));
        let text = at.and_then(|at| row.get(at));
        text.and_then(|text| Day::parse_iso(text.trim())).is_some_and(|day| day > as_of)
    }
}

/// The undamaged fleet.
pub fn tables() -> Vec<Table> {
    let split = |line: &str| line.split(',').map(str::to_string).collect();
    TEXT.iter()
        .map(|&(name, text)| {
            let text = plain(text);
            let mut lines = text.lines();
            let header: Vec<String> = split(lines.next().expect("a header"));
            let rows: Vec<Vec<String>> = lines.map(split).collect();
            assert!(rows.iter().all(|row| row.len() == header.len()), "{name}");
            Table { name, header, rows }
        })
        .collect()
}

/// One thing that happens to a row.
#[derive(Debug, Clone)]
pub enum Damage {
    /// A cell becomes something else.
    Cell(usize, usize, usize, usize),
    /// A row is gone.
    Dropped(usize, usize),
    /// A row stands there again, at the end.
    Doubled(usize, usize),
    /// The last field of a row is gone, or one stands there too much.
    Ragged(usize, usize, bool),
    /// A quotation mark stands before a field.
    Quote(usize, usize, usize),
}

/// Some damage; quotation marks only if wanted, for they can tie rows together.
pub fn damage(quotes: bool) -> impl Strategy<Value = Vec<Damage>> {
    let table = 0..TEXT.len();
    let at = 0usize..1000;
    let one = (table, at.clone(), at.clone(), at, 0u8..12).prop_map(move |(t, r, c, g, kind)| match kind {
        0..=6 => Damage::Cell(t, r, c, g),
        7 => Damage::Dropped(t, r),
        8 | 9 => Damage::Doubled(t, r),
        10 if quotes => Damage::Quote(t, r, c),
        _ => Damage::Ragged(t, r, g % 2 == 0),
    });
    prop::collection::vec(one, 0..24)
}

/// The fleet after the damage. The first row of `propellers` stays, so that there is a fleet.
pub fn damaged(list: &[Damage]) -> Vec<Table> {
    let mut tables = tables();
    for damage in list {
        let (t, r) = match *damage {
            Damage::Cell(t, r, ..) | Damage::Dropped(t, r) | Damage::Doubled(t, r) => (t, r),
            Damage::Ragged(t, r, _) | Damage::Quote(t, r, _) => (t, r),
        };
        let table = &mut tables[t];
        let first = usize::from(t == 0);
        if table.rows.len() <= first {
            continue;
        }
        let r = first + r % (table.rows.len() - first);
        let row = &mut table.rows[r];
        match *damage {
            Damage::Cell(_, _, c, g) => {
                let c = c % row.len();
                let garbage = GARBAGE[g % GARBAGE.len()];
                // Limits that may be any model's refuse the whole table; `bad_input` has that.
                if !(table.name == "limits" && c == 0 && garbage.is_empty()) {
                    row[c] = garbage.to_string();
                }
            }
            Damage::Dropped(..) => drop(table.rows.remove(r)),
            Damage::Doubled(..) => {
                let copy = row.clone();
                table.rows.push(copy);
            }
            Damage::Ragged(_, _, true) => row.push("more".to_string()),
            Damage::Ragged(_, _, false) => {
                if row.len() > 1 {
                    row.pop();
                }
            }
            Damage::Quote(_, _, c) => {
                let c = c % row.len();
                row[c].insert(0, '"');
            }
        }
    }
    tables
}

pub fn folder(tables: &[Table]) -> FleetFolder {
    tables.iter().fold(FleetFolder::empty(), |folder, table| {
        folder.file(&format!("{}.csv", table.name), table.text().as_bytes())
    })
}

/// What the program says of a fleet, as lines that name no file, line or index.
pub fn said(fleet: &Fleet<'_>) -> Vec<String> {
    let settings = Settings::default();
    let survey = Survey::of(fleet, &settings.forecast);
    let mut reader = MarginReader::new(fleet, &survey, &settings.screen);
    let mut chains = Chains::default();
    let forecaster = Forecaster::new(fleet, survey.fits());
    let mut lines = vec![format!("{:?}", DIMENSIONS.map(|dimension| survey.usual(dimension)))];
    for propeller in 0..fleet.propellers.len() as u32 {
        let serial = fleet.propellers.serial(propeller);
        let of = fleet.propellers.get(propeller);
        lines.push(format!(
            "{serial} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?}",
            of.model,
            of.usage,
            of.in_service,
            of.acquired,
            of.status,
            of.end_date,
            of.interval_hours,
            of.interval_months,
            of.force
        ));
        lines.push(format!("{serial} {:?} {:?}", list_of(fleet, propeller), fleet.end_of(propeller)));
        lines.push(format!("{serial} {:?}", loss::of_propellers(fleet, std::iter::once(propeller))));
        let margins = reader.of(propeller);
        let own = sums_of(fleet, propeller, &mut chains);
        let remaining = forecaster.remaining(propeller, &margins);
        lines.push(format!("{serial} {own:?}"));
        lines.push(format!("{serial} {margins:?} {remaining:?}"));
        for visit in fleet.visits.of(propeller) {
            lines.push(format!(
                "{serial} visit {} {:?} {:?} {:?} {:?} {:?} {:?}",
                visit.day, visit.work, visit.outcome, visit.model, visit.hours_since_new, visit.track_in, visit.cost
            ));
        }
        for reading in fleet.flying.readings(propeller) {
            lines.push(format!(
                "{serial} hours {} {:?} {:?}",
                reading.day, reading.hours_since_new, reading.hours_since_overhaul
            ));
        }
        for fitting in fleet.flying.fittings(propeller) {
            let aircraft = fleet.flying.aircraft.get(fitting.aircraft);
            let read = fleet.flying.meter_readings(fitting.aircraft).len();
            lines.push(format!("{serial} fitted {aircraft} {} {:?} {read}", fitting.from, fitting.to));
        }
        for inspection in fleet.inspections.of(Inspected::Propeller(propeller)) {
            lines.push(format!("{serial} {:?}", Inspection { row: 0, ..*inspection }));
        }
        for stay in fleet.places.stays(propeller) {
            lines.push(format!("{serial} kept {:?} {:?} {:?}", stay.from, stay.base, stay.kept));
        }
        let mut defects: Vec<String> = fleet
            .defects
            .of(propeller)
            .iter()
            .map(|d| {
                format!("{serial} {:?}", bladewane::records::defects::Defect { row: 0, action_by: None, ..d.clone() })
            })
            .collect();
        defects.sort();
        lines.extend(defects);
        lines.push(format!(
            "{serial} spoiled {} {:?}",
            fleet.defects.is_spoiled(propeller),
            fleet.visits.spoiled_of(propeller)
        ));
    }
    // How inspections, events and second looks stand, by what puts each propeller in its tier.
    let answers = Answers::new(fleet, &settings);
    let mut grounds: Vec<String> = answers
        .ranking()
        .iter()
        .map(|r| {
            let grounds: Vec<_> = r.reasons.iter().map(|reason| reason.ground).collect();
            format!("{} {} {grounds:?}", fleet.propellers.serial(r.propeller), r.tier)
        })
        .collect();
    grounds.sort();
    lines.extend(grounds);
    lines
}

const DIMENSIONS: [bladewane::trade::geometry::Dimension; 2] = bladewane::trade::geometry::Dimension::ALL;

/// Rows set aside and cautions, by table, column, value, rule, propeller and visit; sorted, without their places.
///
/// Whether an unknown serial is one that comes later is told apart in words only; a contradiction names a line.
pub fn told(fleet: &Fleet<'_>) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for aside in &fleet.ledger.set_aside {
        let rule = Problem::of_row(fleet, aside).rule;
        let rule = match &*rule {
            r if r.starts_with("the propeller is not") => "the propeller is not there",
            r if r.starts_with("another row") => "another row",
            r if r.starts_with("the row is not UTF-8") => "not UTF-8",
            r => r,
        };
        lines.push(format!("{} {} [{}] {rule}", aside.table.name(), aside.column, aside.value));
    }
    for caution in &fleet.ledger.cautions {
        // Of several rows the first is shown, and which is first is the file's affair.
        let value = match caution.propeller {
            None => format!("{} [{}]", caution.column, caution.value),
            Some(propeller) => fleet.propellers.serial(propeller).to_string(),
        };
        lines.push(format!(
            "{} {value} {:?} x{} {}",
            caution.table.name(),
            caution.visit,
            caution.count,
            Problem::of_caution(fleet, caution).rule
        ));
    }
    for schema in TABLES {
        if let Some(count) = fleet.ledger.counts(schema.table) {
            lines.push(format!("{} used {} set aside {}", schema.name, count.used, count.set_aside));
        }
    }
    lines.sort();
    lines
}
