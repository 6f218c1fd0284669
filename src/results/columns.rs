//! The one list of columns: every result table with every column, its unit, what it means and where it comes from.
//!
//! Arrow schemas, file metadata, terminal tables and the documentation are all made from this list, so a name, a unit
//! or a meaning stands in one place only. The groups are in files of their own.

mod defects;
mod forecast;
mod metal;
mod money;
mod order;
mod problems;
mod time;

use arrow::datatypes::DataType;

/// What kind of thing a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ColumnKind {
    /// Words and identifiers (Arrow `Utf8`).
    Text,
    /// A whole number (Arrow `Int32`).
    Integer,
    /// A blade number (Arrow `Int16`).
    Blade,
    /// A number with a fraction (Arrow `Float64`).
    Number,
    /// A day (Arrow `Date32`).
    Date,
    /// Yes or no (Arrow `Boolean`).
    YesNo,
}

impl ColumnKind {
    /// The Arrow type of such a column.
    pub const fn data_type(self) -> DataType {
        match self {
            ColumnKind::Text => DataType::Utf8,
            ColumnKind::Integer => DataType::Int32,
            ColumnKind::Blade => DataType::Int16,
            ColumnKind::Number => DataType::Float64,
            ColumnKind::Date => DataType::Date32,
            ColumnKind::YesNo => DataType::Boolean,
        }
    }

    /// The type in words, for documents.
    pub const fn words(self) -> &'static str {
        match self {
            ColumnKind::Text => "text",
            ColumnKind::Integer | ColumnKind::Blade => "whole number",
            ColumnKind::Number => "number",
            ColumnKind::Date => "date",
            ColumnKind::YesNo => "yes or no",
        }
    }
}

/// One column of a result table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Its name, the same in code, files and documents; a quantity's name ends in its unit.
    pub name: &'static str,
    /// What kind of thing it holds.
    pub kind: ColumnKind,
    /// The unit of its values; empty for words and for yes or no.
    pub unit: &'static str,
    /// What it means, for a person.
    pub about: &'static str,
    /// Where it comes from: the records, a method, a publication.
    pub source: &'static str,
    /// Digits after the point when it is shown; files always hold the full value. `None`: as many as the value has.
    pub decimals: Option<u8>,
}

/// One result table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TableSpec {
    /// Its name, which is its file's name without the ending.
    pub name: &'static str,
    /// What one row stands for.
    pub a_row_is: &'static str,
    /// Its columns in order, keys first.
    pub columns: &'static [Column],
}

impl TableSpec {
    /// The column of that name.
    pub fn column(&self, name: &str) -> Option<&'static Column> {
        self.columns.iter().find(|column| column.name == name)
    }
}

static TABLES: [TableSpec; 25] = [
    metal::LOSS,
    forecast::CYCLES,
    metal::BLADES,
    metal::MARGINS,
    forecast::REMAINING,
    forecast::OUTLOOK,
    time::DUE,
    time::DUTIES,
    time::EXPOSURE,
    time::LOAD,
    defects::FINDINGS,
    defects::DEFECT_RATE,
    order::RANKING,
    order::OPEN,
    money::BUDGET,
    money::PURCHASES,
    money::OUT_AT_ONCE,
    money::RESERVE,
    money::SPARES,
    order::GAPS,
    forecast::BACKTEST,
    forecast::FITS,
    defects::MEAN_CUMULATIVE,
    problems::SET_ASIDE,
    problems::CAUTIONS,
];

/// Every result table, in the order in which documents list them.
pub fn tables() -> &'static [TableSpec] {
    &TABLES
}

/// The result table of that name.
pub fn table(name: &str) -> Option<&'static TableSpec> {
    TABLES.iter().find(|table| table.name == name)
}

// How a column is written down in the group files: `number("margin_in", INCH, 3, RECORDS, "...")`.

const fn column(
    name: &'static str,
    kind: ColumnKind,
    unit: &'static str,
    decimals: Option<u8>,
    source: &'static str,
    about: &'static str,
) -> Column {
    Column { name, kind, unit, about, source, decimals }
}

const fn text(name: &'static str, source: &'static str, about: &'static str) -> Column {
    column(name, ColumnKind::Text, "", None, source, about)
}

const fn date(name: &'static str, source: &'static str, about: &'static str) -> Column {
    column(name, ColumnKind::Date, "date", None, source, about)
}

const fn yes_no(name: &'static str, source: &'static str, about: &'static str) -> Column {
    column(name, ColumnKind::YesNo, "", None, source, about)
}

const fn integer(name: &'static str, unit: &'static str, source: &'static str, about: &'static str) -> Column {
    column(name, ColumnKind::Integer, unit, None, source, about)
}

const fn number(
    name: &'static str,
    unit: &'static str,
    decimals: u8,
    source: &'static str,
    about: &'static str,
) -> Column {
    column(name, ColumnKind::Number, unit, Some(decimals), source, about)
}

const INCH: &str = "in";
const PERCENT_OF_RADIUS: &str = "% of radius";
const COUNT: &str = "count";
const FRACTION: &str = "fraction";
/// The unit of a chance.
pub const CHANCE: &str = "chance, 0 to 1";
const HOURS: &str = "flight hours";
const DAYS: &str = "days";
const YEARS: &str = "years";
const PLACE_FROM_1: &str = "place, 1 is first";
const MONEY: &str = "fleet currency";

const RECORDS: &str = "records";
const METHOD_GEOMETRY: &str = "method: geometry";
const METHOD_LOSS: &str = "method: material loss";
const METHOD_REMAINING: &str = "method: remaining overhauls";
const METHOD_DUE: &str = "method: due";
const METHOD_CLIMATE: &str =
    "method: climate exposure (ISO 9223:2012 and ISO 9224:2012 from memory, verify against the current edition)";
const METHOD_DEFECTS: &str = "method: defects";
const METHOD_FATIGUE: &str = "method: fatigue screen";
const METHOD_RANKING: &str = "method: ranking";
const METHOD_BUDGET: &str = "method: budget";

const PROPELLER: Column = text("propeller", RECORDS, "serial of the propeller");
const AIRCRAFT: Column = text("aircraft", RECORDS, "aircraft it is fitted to on the as-of date");
const MODEL: Column = text("model", RECORDS, "model of the propeller on the as-of date");
const USE: Column = text("use", RECORDS, "training, rental, club, private or other");
const BASE: Column = text("base", RECORDS, "base where it lives on the as-of date");
const BLADE: Column = column(
    "blade",
    ColumnKind::Blade,
    "blade number",
    None,
    RECORDS,
    "blade, 1 is the one nearest the stamp unless the fleet says otherwise",
);
const STATION_PCT: Column = number(
    "station_pct",
    PERCENT_OF_RADIUS,
    0,
    RECORDS,
    "station along the blade, 0 at the hub centre, 100 at the tip",
);
const STATION_IN: Column =
    number("station_in", INCH, 2, METHOD_GEOMETRY, "distance from the hub centre: station_pct / 100 * diameter / 2");
const DIMENSION: Column = text("dimension", RECORDS, "width or thickness");

#[cfg(test)]
mod tests;
