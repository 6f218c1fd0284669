//! Small fleet folders written by a test: tables as text, and what the records say of them as lines of text.

use std::path::Path;

use bladewane::records::problem::Problem;
use bladewane::records::schema::TABLES;
use bladewane::records::{Fleet, Loaded, ReadOptions};
use bladewane::settings::Settings;
use bladewane::trade::calendar::Day;

/// Two blades, 76 in, three stations. Invented figures.
pub const MODELS: &str = "
    model,diameter_in,blades,interval_hours,interval_months
    M76,76,2,2000,72";

/// Limits of `M76`. Invented figures.
pub const LIMITS: &str = "
    model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in
    M76,30,5.410,5.170,0.975,0.903
    M76,60,5.440,5.230,0.476,0.413
    M76,90,3.750,3.560,0.249,0.189";

/// Two propellers of it.
pub const PROPELLERS: &str = "
    propeller,model,in_service_date,acquired
    A1,M76,2000-01-01,new
    A2,M76,2000-01-01,new";

/// A folder of tables that lives as long as the value.
pub struct FleetFolder {
    dir: tempfile::TempDir,
    options: ReadOptions,
}

impl FleetFolder {
    /// An empty folder.
    pub fn empty() -> FleetFolder {
        FleetFolder { dir: tempfile::tempdir().expect("a temporary folder"), options: ReadOptions::default() }
    }

    /// [`PROPELLERS`], [`MODELS`] and [`LIMITS`].
    pub fn small() -> FleetFolder {
        FleetFolder::empty().with("propellers", PROPELLERS).with("models", MODELS).with("limits", LIMITS)
    }

    /// Writes `NAME.csv`; lines are trimmed and empty ones dropped, so a table may be indented.
    pub fn with(self, name: &str, table: &str) -> FleetFolder {
        let file = format!("{name}.csv");
        self.file(&file, plain(table).as_bytes())
    }

    /// Writes a file byte by byte.
    pub fn file(self, name: &str, bytes: &[u8]) -> FleetFolder {
        let path = self.dir.path().join(name);
        std::fs::create_dir_all(path.parent().expect("inside the folder")).expect("made");
        std::fs::write(path, bytes).expect("written");
        self
    }

    /// Makes a folder in it.
    pub fn folder(self, name: &str) -> FleetFolder {
        std::fs::create_dir_all(self.dir.path().join(name)).expect("made");
        self
    }

    /// Reads it with other options than the usual ones.
    pub fn options(mut self, options: ReadOptions) -> FleetFolder {
        self.options = options;
        self
    }

    pub fn path(&self) -> &Path {
        self.dir.path()
    }

    /// Its tables.
    pub fn load(&self) -> Loaded {
        match Loaded::read(self.path(), &self.options, |_| true, |_| {}) {
            Ok(loaded) => loaded,
            Err(error) => panic!("the folder is read: {error}"),
        }
    }

    /// The error of reading it, with the folder's own path as `FLEET`.
    pub fn error(&self) -> String {
        match Loaded::read(self.path(), &self.options, |_| true, |_| {}) {
            Ok(_) => panic!("the folder was read without an error"),
            Err(error) => error.to_string().replace(&self.path().display().to_string(), "FLEET"),
        }
    }

    /// Rows set aside on 2026-01-01, one line each: see [`set_aside`].
    pub fn set_aside(&self) -> Vec<String> {
        let loaded = self.load();
        set_aside(&as_of(&loaded, "2026-01-01"))
    }

    /// Cautions on 2026-01-01, one line each: see [`cautions`].
    pub fn cautions(&self) -> Vec<String> {
        let loaded = self.load();
        cautions(&as_of(&loaded, "2026-01-01"))
    }
}

/// A table without its indentation.
pub fn plain(table: &str) -> String {
    let lines = table.lines().map(str::trim).filter(|line| !line.is_empty());
    lines.fold(String::new(), |text, line| text + line + "\n")
}

pub fn day(text: &str) -> Day {
    Day::parse_iso(text).expect("a date in a test is written right")
}

/// The fleet on a day, with the settings' defaults.
pub fn as_of<'a>(loaded: &'a Loaded, date: &str) -> Fleet<'a> {
    Fleet::as_of(loaded, day(date), &Settings::default())
}

/// `file:line column [value] rule | remedy` of each row set aside; in a workbook `file!sheet!cell`.
pub fn set_aside(fleet: &Fleet<'_>) -> Vec<String> {
    let one = |aside: &bladewane::records::ledger::SetAside| {
        let Problem { place, column, value, rule, remedy, .. } = Problem::of_row(fleet, aside);
        format!("{} {column} [{value}] {rule} | {remedy}", place.expect("a table that was read"))
    };
    fleet.ledger.set_aside.iter().map(one).collect()
}

/// `file:line column [value] propeller visit xCOUNT rule | remedy` of each caution; a caution about a header has line 0.
pub fn cautions(fleet: &Fleet<'_>) -> Vec<String> {
    let one = |caution: &bladewane::records::ledger::Caution| {
        let Problem { place, column, value, rule, remedy, .. } = Problem::of_caution(fleet, caution);
        let mut place = place.expect("a table that was read");
        if caution.row.is_none() {
            place.line = 0;
        }
        let propeller = caution.propeller.map_or("-", |p| fleet.propellers.serial(p));
        let visit = caution.visit.map_or("-".to_string(), |v| v.to_string());
        format!("{place} {column} [{value}] {propeller} {visit} x{} {rule} | {remedy}", caution.count)
    };
    fleet.ledger.cautions.iter().map(one).collect()
}

/// Checks that read = used + set aside + later in every table, and that the lists agree with the counts.
pub fn check_account(fleet: &Fleet<'_>) {
    for schema in TABLES {
        let name = schema.name;
        let Some(loaded) = fleet.loaded.table(schema.table) else {
            assert!(fleet.ledger.counts(schema.table).is_none(), "{name}");
            continue;
        };
        let count = fleet.ledger.counts(schema.table).expect("a count");
        assert_eq!(count.read as usize, loaded.rows, "{name}");
        assert_eq!(count.read, count.used + count.set_aside + count.later, "{name}");
        let mut rows: Vec<u32> =
            fleet.ledger.set_aside.iter().filter(|s| s.table == schema.table).map(|s| s.row).collect();
        let listed = rows.len();
        rows.dedup();
        assert_eq!(rows.len(), listed, "{name}: a row is set aside once");
        assert_eq!(listed, count.set_aside as usize, "{name}");
    }
}
