//! The law, cell by cell: cells of a fleet are blanked and spoilt, each at its own, and the whole judgement is made again with the
//! fitted parameters held. Nothing may look safer: no tier milder, no margin larger, no pass chance higher, no due date later,
//! no overhaul gone from the plan.
//!
//! A cell of one propeller's rows is looked at in the records of that propeller and of those that shared an aircraft with it; a
//! cell of a table that all share, in the records of a few. `BLADEWANE_EVERY_CELL=1 cargo test --release every_cell` takes every
//! cell of both fleets; else 1,500 are drawn from a seed, as many of each table.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::path::Path;

use bladewane::analysis::due::DueRow;
use bladewane::analysis::ranking::{Basis, By, History, rank};
use bladewane::analysis::survey::Survey;
use bladewane::onboard::demo::{self, DemoFormat, DemoOptions};
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::results::answers::Answers;
use bladewane::settings::Settings;
use bladewane::trade::calendar::{Day, same_day};
use bladewane::trade::geometry::Dimension;
use rand::SeedableRng;
use rand::seq::IndexedRandom;
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

use crate::fleet_folder::day;

/// Cells that the usual run takes of a fleet.
const CELLS: usize = 750;
const AS_OF: &str = "2026-06-30";
/// What stands in a cell instead: nothing, and what no column can be read from.
const INSTEAD: [&str; 2] = ["", "?!"];
/// Propellers whose records stand for the fleet where a cell belongs to all.
const A_FEW: usize = 6;

/// Exceptions: what may look safer, and the sentence of the contract that lets it.
struct Exception {
    /// Table and columns.
    cells: &'static [(&'static str, &'static [&'static str])],
    /// Whether it takes in what happened.
    takes: fn(&Change<'_>) -> bool,
    /// Why.
    sentence: &'static str,
}

/// What became of one propeller when one cell was lost.
struct Change<'c> {
    after: &'c Said,
    what: What,
    /// Whether nothing stands in the cell.
    is_blank: bool,
    /// Whether lines stand before all propellers: a row names none that is known.
    has_lines: bool,
}

/// In what it looks safer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum What {
    Tier,
    Margin,
    Pass,
    Due,
    Plan,
}

const READINGS: &[&str] = &["width_before_in", "width_after_in", "thickness_before_in", "thickness_after_in"];

const EXCEPTIONS: &[Exception] = &[
    Exception {
        cells: &[
            ("models", &["model", "interval_hours", "interval_months"]),
            ("propellers", &["model", "interval_hours", "interval_months"]),
            ("overhauls", &["model_after"]),
        ],
        takes: |c| {
            c.what == What::Tier
                && c.after.tier == 4
                && ["limit stated", "limit not stated"].iter().any(|w| c.after.reason.contains(w))
        },
        sentence: "an empty or unreadable interval is \"one limit not stated\": tier 4 at least, and the smallest that the fleet \
                   states is shown as a worst case",
    },
    Exception {
        cells: &[("measurements", READINGS)],
        takes: |c| c.what == What::Pass && c.is_blank,
        sentence: "only a cell never entered takes the mean, and the law's test names that",
    },
    Exception {
        cells: &[("defects", &["propeller"]), ("overhauls", &["propeller"]), ("inspections", &["propeller"])],
        takes: |c| c.after.tier <= 4 || c.has_lines,
        sentence: "a row whose propeller is blank or unknown may be anyone's: each of at most five is tier 4, else one line \
                   stands first",
    },
];

/// A table as rows of cells; a record that is not plain is kept as it is and never spoilt.
#[derive(Clone)]
struct Table {
    name: String,
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    fn at(&self, column: &str) -> Option<usize> {
        self.header.iter().position(|h| h == column)
    }

    /// What a row's cells of some columns hold.
    fn names<'t>(&'t self, row: &'t [String], columns: &'t [&str]) -> impl Iterator<Item = &'t str> {
        columns.iter().filter_map(|c| row.get(self.at(c)?)).map(String::as_str).filter(|name| !name.is_empty())
    }

    fn text(&self) -> String {
        let rows = self.rows.iter().map(|row| row.join(",") + "\n");
        self.header.join(",") + "\n" + &rows.collect::<String>()
    }
}

fn tables(folder: &Path) -> Vec<Table> {
    let mut files: Vec<_> = std::fs::read_dir(folder).expect("a folder").map(|f| f.expect("a file").path()).collect();
    files.sort();
    let csv = files.iter().filter(|path| path.extension().is_some_and(|e| e == "csv"));
    csv.map(|path| {
        let text = String::from_utf8_lossy(&std::fs::read(path).expect("read")).into_owned();
        let mut lines = text.lines();
        let cells = |line: &str| line.split(',').map(str::to_string).collect::<Vec<_>>();
        let header = cells(lines.next().expect("a header"));
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        Table { name, header, rows: lines.map(cells).collect() }
    })
    .collect()
}

/// One cell and what is written there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Spot {
    table: usize,
    row: usize,
    column: usize,
    instead: usize,
}

fn spots(tables: &[Table]) -> Vec<Spot> {
    let mut all = Vec::new();
    for (t, table) in tables.iter().enumerate() {
        for (r, row) in table.rows.iter().enumerate() {
            if row.len() != table.header.len() || row.iter().any(|cell| cell.contains('"')) {
                continue;
            }
            for (c, cell) in row.iter().enumerate() {
                let column = table.header[c].as_str();
                // Whose a row is decides who is judged: a row that names nobody is a row that is not there, but for those that
                // say what is wrong.
                let whose = column == "propeller" && !["defects", "overhauls", "inspections"].contains(&&*table.name);
                if cell.is_empty() || whose || bladewane::records::schema::is_free_text(column) {
                    continue;
                }
                all.extend((0..INSTEAD.len()).map(|instead| Spot { table: t, row: r, column: c, instead }));
            }
        }
    }
    all
}

/// What is said of one propeller.
#[derive(Debug, Clone, PartialEq)]
struct Said {
    tier: u8,
    reason: String,
    margins: [Option<f64>; 2],
    not_known: [usize; 2],
    pass: Option<f64>,
    upper_bound: bool,
    due: Option<Day>,
    /// Overhauls that the budget counts; `None` out of service.
    overhauls: Option<usize>,
}

/// Overhauls within the budget's years: one that is overdue without a date is done today.
fn overhauls(fleet: &Fleet<'_>, settings: &Settings, row: &DueRow) -> Option<usize> {
    let last = same_day(fleet.as_of, 12 * settings.budget.years);
    let undated = row.due.is_none() && row.clock_start.is_none();
    let dated = row.overhaul_dates(fleet.as_of).take_while(|&day| day <= last).count();
    fleet.end_of(row.propeller).is_none().then_some(dated + usize::from(undated))
}

/// What is said of a fleet's propellers, and whether lines stand before them.
struct Judgement {
    said: BTreeMap<String, Said>,
    has_lines: bool,
}

fn judge(fleet: &Fleet<'_>, settings: &Settings, survey: &Survey, of: &BTreeSet<String>) -> Judgement {
    let answers = Answers::new(fleet, settings).with_survey(survey.clone());
    // Tiers do not go by the history that the score goes by, and none is worked out.
    let basis = Basis {
        fleet,
        settings,
        margins: answers.margins(),
        due: &answers.due().rows,
        remaining: answers.remaining(),
        findings: answers.findings(),
        inspections: answers.inspections(),
        events: answers.events(),
        history: &History::default(),
    };
    let ranking = rank(&basis, By::Urgency);
    let remaining: HashMap<u32, _> = answers.remaining().iter().map(|r| (r.propeller, r)).collect();
    let due: HashMap<u32, _> = answers.due().rows.iter().map(|r| (r.propeller, r)).collect();
    let ranked = ranking.iter().filter(|r| of.contains(fleet.propellers.serial(r.propeller)));
    let said = ranked
        .map(|ranked| {
            let mut margins = Vec::new();
            answers.margins().read_into(ranked.propeller, &mut margins);
            let of = |d: Dimension| margins.iter().filter(move |m| m.dimension == d);
            let left = remaining.get(&ranked.propeller);
            let said = Said {
                tier: ranked.tier,
                reason: ranked.reason(),
                margins: Dimension::ALL.map(|d| of(d).filter_map(|m| m.margin_worst_in).reduce(f64::min)),
                not_known: Dimension::ALL.map(|d| of(d).filter(|m| m.margin_worst_in.is_none()).count()),
                pass: left.and_then(|r| r.pass_chance(1)),
                upper_bound: left.is_some_and(|r| r.upper_bound),
                due: due.get(&ranked.propeller).and_then(|row| row.due),
                overhauls: due.get(&ranked.propeller).and_then(|row| overhauls(fleet, settings, row)),
            };
            (fleet.propellers.serial(ranked.propeller).to_string(), said)
        })
        .collect();
    Judgement { said, has_lines: fleet.nobody.is_of_many() }
}

fn load(folder: &Path) -> Result<Loaded, String> {
    Loaded::read(folder, &ReadOptions::default(), |_| true, |_| {}).map_err(|error| error.to_string())
}

/// In what a propeller looks safer afterwards, with the words for it.
fn safer(before: &Said, after: &Said) -> Vec<(What, String)> {
    let mut found = Vec::new();
    if after.tier > before.tier {
        let words = format!("tier {} ({}) -> {} ({})", before.tier, before.reason, after.tier, after.reason);
        found.push((What::Tier, words));
    }
    for d in Dimension::ALL {
        let at = d as usize;
        if let (Some(a), Some(b)) = (before.margins[at], after.margins[at])
            && after.not_known[at] <= before.not_known[at]
            && b > a + 2e-9
        {
            found.push((What::Margin, format!("{} margin {a:.4} -> {b:.4}", d.word())));
        }
    }
    // An upper bound says so, and its propeller waits in tier 4 or above it.
    let marked = after.upper_bound && after.tier <= 4;
    if let (Some(a), Some(b)) = (before.pass, after.pass)
        && b > a + 1e-9
        && !marked
    {
        found.push((What::Pass, format!("pass chance {a:.6} -> {b:.6}")));
    }
    let later = before.due.is_some_and(|a| after.due.is_none_or(|b| b > a));
    // A date that is not known any more is said in tier 4.
    if later && after.tier > 4 {
        found.push((What::Due, format!("due {:?} -> {:?}", before.due, after.due)));
    }
    let fewer = match (before.overhauls, after.overhauls) {
        (Some(_), None) => after.tier > 1,
        (Some(a), Some(b)) => b < a && after.tier > 4,
        (None, _) => false,
    };
    if fewer {
        found.push((What::Plan, format!("overhauls in the budget {:?} -> {:?}", before.overhauls, after.overhauls)));
    }
    found
}

/// The fleet that is walked, with the parameters fitted to all of it.
struct Walked<'w> {
    tables: &'w [Table],
    settings: Settings,
    survey: Survey,
    /// Each propeller with those that shared an aircraft with it.
    groups: HashMap<String, BTreeSet<String>>,
    /// The model each propeller came with.
    models: Vec<(String, String)>,
    every: bool,
}

/// Joins propellers that were on one aircraft.
fn groups(tables: &[Table]) -> HashMap<String, BTreeSet<String>> {
    let mut on: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for table in tables {
        for row in &table.rows {
            let (mut propellers, mut aircraft) = (table.names(row, &["propeller"]), table.names(row, &["aircraft"]));
            if let (Some(propeller), Some(aircraft)) = (propellers.next(), aircraft.next()) {
                on.entry(aircraft.to_string()).or_default().insert(propeller.to_string());
            }
        }
    }
    let mut groups: HashMap<String, BTreeSet<String>> = HashMap::new();
    for (aircraft, propellers) in on {
        let mut all: BTreeSet<String> = propellers.clone();
        for propeller in &propellers {
            all.extend(groups.get(propeller).into_iter().flatten().cloned());
        }
        for member in all.clone() {
            groups.insert(member, all.clone());
        }
        groups.insert(format!("on {aircraft}"), all);
    }
    groups
}

/// The records of some propellers in a folder of their own, with what is said of them.
struct Small {
    folder: tempfile::TempDir,
    tables: Vec<Table>,
    of: BTreeSet<String>,
    whole: Judgement,
}

impl<'w> Walked<'w> {
    fn of(folder: &Path, tables: &'w [Table]) -> Walked<'w> {
        let settings = Settings::default();
        let loaded = load(folder).expect("the whole fleet is read");
        let fleet = Fleet::as_of(&loaded, day(AS_OF), &settings);
        let survey = Survey::of(&fleet, &settings.forecast);
        let propellers = tables.iter().find(|t| t.name == "propellers").expect("propellers");
        let models = propellers
            .rows
            .iter()
            .filter_map(|row| {
                let [serial, model] = ["propeller", "model"].map(|c| propellers.at(c).and_then(|at| row.get(at)));
                Some((serial?.clone(), model?.clone()))
            })
            .collect();
        let every = std::env::var_os("BLADEWANE_EVERY_CELL").is_some();
        Walked { tables, settings, survey, groups: groups(tables), models, every }
    }

    /// Whose records a cell is looked at in.
    fn whose(&self, spot: Spot) -> BTreeSet<String> {
        let table = &self.tables[spot.table];
        let row = &table.rows[spot.row];
        if let Some(propeller) = table.names(row, &["propeller"]).next() {
            let own = || BTreeSet::from([propeller.to_string()]);
            return self.groups.get(propeller).cloned().unwrap_or_else(own);
        }
        if let Some(aircraft) = table.names(row, &["aircraft"]).next() {
            return self.groups.get(&format!("on {aircraft}")).cloned().unwrap_or_default();
        }
        let model = table.names(row, &["model"]).next();
        let some = self.models.iter().filter(|(_, of)| model.is_none_or(|model| model == of));
        let most = if self.every { usize::MAX } else { A_FEW };
        some.take(most).map(|(serial, _)| serial.clone()).collect()
    }

    /// The tables with the rows of these propellers and of their aircraft. The others stay in `propellers`, so that the
    /// parameters are those of the same propellers, and are sold.
    fn small(&self, of: &BTreeSet<String>) -> Small {
        let aircraft: BTreeSet<&str> = self
            .groups
            .iter()
            .filter_map(|(name, group)| name.strip_prefix("on ").filter(|_| !group.is_disjoint(of)))
            .collect();
        let tables: Vec<Table> = self
            .tables
            .iter()
            .map(|table| {
                let wanted = |row: &&Vec<String>| {
                    table.name == "propellers"
                        || table.names(row, &["propeller"]).all(|p| of.contains(p))
                            && table.names(row, &["aircraft"]).all(|a| aircraft.contains(a))
                };
                let mut rows: Vec<Vec<String>> = table.rows.iter().filter(wanted).cloned().collect();
                for row in rows.iter_mut().filter(|_| table.name == "propellers") {
                    let is_other = table.at("propeller").is_none_or(|at| !of.contains(&row[at]));
                    for (column, value) in [("status", "sold"), ("end_date", "2026-01-01")] {
                        if let Some(cell) = table.at(column).and_then(|at| row.get_mut(at)).filter(|_| is_other) {
                            *cell = value.to_string();
                        }
                    }
                }
                Table { rows, ..table.clone() }
            })
            .collect();
        let folder = tempfile::tempdir().expect("a temporary folder");
        for table in &tables {
            std::fs::write(folder.path().join(format!("{}.csv", table.name)), table.text()).expect("written");
        }
        let loaded = load(folder.path()).expect("a part of the fleet is read");
        let fleet = Fleet::as_of(&loaded, day(AS_OF), &self.settings);
        let whole = judge(&fleet, &self.settings, &self.survey, of);
        Small { folder, tables, of: of.clone(), whole }
    }

    /// What looks safer when one cell is lost, a line each; or the sentence that allows it.
    fn spoilt(&self, small: &Small, spot: Spot) -> Vec<Result<&'static str, String>> {
        let table = &small.tables[spot.table];
        let from = &self.tables[spot.table];
        let written = &from.rows[spot.row];
        let mut changed = table.clone();
        // An aircraft that no propeller was ever on is nobody's.
        let Some(at) = changed.rows.iter().position(|row| row == written) else { return Vec::new() };
        // A designation that is spoilt keeps its place in the order of models, by which the fitted parameters are numbered.
        let is_name = matches!(table.name.as_str(), "models" | "limits") && table.header[spot.column] == "model";
        let cell = &mut changed.rows[at][spot.column];
        let instead = match INSTEAD[spot.instead] {
            "" => String::new(),
            spoilt if is_name => format!("{cell}{spoilt}"),
            spoilt => spoilt.to_string(),
        };
        let was = std::mem::replace(cell, instead);
        let dir = tempfile::tempdir().expect("a temporary folder");
        for other in small.tables.iter().filter(|other| other.name != table.name) {
            let file = format!("{}.csv", other.name);
            std::os::unix::fs::symlink(small.folder.path().join(&file), dir.path().join(&file)).expect("linked");
        }
        std::fs::write(dir.path().join(format!("{}.csv", table.name)), changed.text()).expect("written");
        // An error of the table as a whole makes nothing look safer.
        let Ok(loaded) = load(dir.path()) else { return Vec::new() };
        let fleet = Fleet::as_of(&loaded, day(AS_OF), &self.settings);
        let now = judge(&fleet, &self.settings, &self.survey, &small.of);
        let column = table.header[spot.column].as_str();
        let cell = format!("{}.csv:{} {column} [{was}] -> [{}]", table.name, spot.row + 2, INSTEAD[spot.instead]);
        let mut found = Vec::new();
        for (serial, before) in &small.whole.said {
            let Some(after) = now.said.get(serial) else {
                found.push(Err(format!("{cell}: {serial} tier {} and then not listed", before.tier)));
                continue;
            };
            // How much others fly tells of a propeller that is not read itself: that is a parameter of the fleet, and not held.
            let is_own = table.names(written, &["propeller"]).all(|own| own == serial);
            let held = |what: What| is_own || !matches!(what, What::Due | What::Plan);
            for (what, words) in safer(before, after).into_iter().filter(|(what, _)| held(*what)) {
                let change =
                    Change { after, what, is_blank: INSTEAD[spot.instead].is_empty(), has_lines: now.has_lines };
                let is_allowed = |e: &&Exception| {
                    let named = e
                        .cells
                        .iter()
                        .any(|(of, columns)| *of == table.name && (columns.is_empty() || columns.contains(&column)));
                    named && (e.takes)(&change)
                };
                let allowed = EXCEPTIONS.iter().find(is_allowed).map(|e| e.sentence);
                found.push(allowed.ok_or_else(|| format!("{cell}: {serial} {words}")));
            }
        }
        found
    }
}

/// Walks cells of a fleet folder; a line for each that makes a propeller look safer, and how many cells were walked.
fn walk(folder: &Path, seed: u64) -> (Vec<Result<&'static str, String>>, usize) {
    let tables = tables(folder);
    let walked = Walked::of(folder, &tables);
    let mut chosen = spots(&tables);
    if !walked.every {
        // As many of each table: the long ones would leave no room for the short ones.
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let mut by_table: Vec<Vec<Spot>> = tables.iter().map(|_| Vec::new()).collect();
        for spot in chosen {
            by_table[spot.table].push(spot);
        }
        by_table.sort_by_key(Vec::len);
        let mut left = (CELLS, by_table.len());
        chosen = Vec::with_capacity(CELLS);
        for of in by_table {
            let share = (left.0 / left.1).min(of.len());
            chosen.extend(of.sample(&mut rng, share).copied());
            left = (left.0 - share, left.1 - 1);
        }
    }
    let mut by_whom: BTreeMap<BTreeSet<String>, Vec<Spot>> = BTreeMap::new();
    for spot in &chosen {
        by_whom.entry(walked.whose(*spot)).or_default().push(*spot);
    }
    let by_whom: Vec<(BTreeSet<String>, Vec<Spot>)> = by_whom.into_iter().collect();
    let found = by_whom
        .par_iter()
        .flat_map(|(of, spots)| {
            let small = walked.small(of);
            spots.par_iter().flat_map_iter(|spot| walked.spoilt(&small, *spot)).collect::<Vec<_>>()
        })
        .collect();
    (found, chosen.len())
}

fn nothing_looks_safer(folder: &Path, seed: u64) {
    let (found, cells) = walk(folder, seed);
    let (allowed, found): (Vec<_>, Vec<_>) = found.into_iter().partition(Result::is_ok);
    for line in found.iter().flat_map(|line| line.as_ref().err()) {
        println!("{line}");
    }
    for Exception { sentence, .. } in EXCEPTIONS {
        let times = allowed.iter().filter(|by| by.as_ref() == Ok(sentence)).count();
        println!("{times} times allowed: {sentence}");
    }
    println!("{cells} cells, {} look safer", found.len());
    assert!(cells >= CELLS, "{cells}");
    assert!(found.is_empty(), "{} of {cells} cells make a propeller look safer", found.len());
}

#[test]
fn no_cell_of_the_demo_fleet_can_be_lost_to_a_propellers_advantage() {
    nothing_looks_safer(&Path::new(env!("CARGO_MANIFEST_DIR")).join("datasets/demo-fleet"), 1);
}

#[test]
fn no_cell_of_a_generated_fleet_can_be_lost_to_a_propellers_advantage() {
    let dir = tempfile::tempdir().expect("a temporary folder");
    let options = DemoOptions { propellers: 40, seed: 11, ..DemoOptions::default() };
    let folder = dir.path().join("fleet");
    demo::write(&folder, &demo::fleet(&options), DemoFormat::Csv).expect("written");
    nothing_looks_safer(&folder, 2);
}
