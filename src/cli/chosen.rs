//! The values that options choose from.

use clap::ValueEnum;

use crate::questions::totals::Key;
use crate::tables::formats::Format;

/// When to use colour and bold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum Color {
    /// On a terminal, unless NO_COLOR is set
    #[default]
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// Form of a table that may go to a terminal or a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum TableFormat {
    /// For a person to read
    Table,
    /// Comma-separated text with a header row
    Csv,
    /// One JSON array of objects
    Json,
    /// One JSON object a line
    Jsonl,
    /// Arrow IPC file
    Arrow,
    /// Parquet file
    Parquet,
    /// Workbook for a spreadsheet program
    Xlsx,
}

impl TableFormat {
    /// The file format; `None` for the form that only a person reads.
    pub fn file_format(self) -> Option<Format> {
        match self {
            TableFormat::Table => None,
            TableFormat::Csv => Some(Format::Csv),
            TableFormat::Json => Some(Format::Json),
            TableFormat::Jsonl => Some(Format::JsonLines),
            TableFormat::Arrow => Some(Format::Arrow),
            TableFormat::Parquet => Some(Format::Parquet),
            TableFormat::Xlsx => Some(Format::Workbook),
        }
    }
}

/// Form of a table in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FileFormat {
    /// Comma-separated text with a header row
    Csv,
    /// One JSON array of objects
    Json,
    /// One JSON object a line
    Jsonl,
    /// Arrow IPC file
    Arrow,
    /// Parquet file, which is written in any case
    Parquet,
    /// One workbook for a spreadsheet program, results.xlsx, with a sheet a table
    Xlsx,
}

impl From<FileFormat> for Format {
    fn from(format: FileFormat) -> Format {
        match format {
            FileFormat::Csv => Format::Csv,
            FileFormat::Json => Format::Json,
            FileFormat::Jsonl => Format::JsonLines,
            FileFormat::Arrow => Format::Arrow,
            FileFormat::Parquet => Format::Parquet,
            FileFormat::Xlsx => Format::Workbook,
        }
    }
}

/// Form of the invented fleet's tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum DemoFormat {
    /// Comma-separated text, with a few rows that cannot be used
    #[default]
    Csv,
    /// Parquet
    Parquet,
}

/// Unit of the lengths in a template.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum Units {
    /// Inches
    #[default]
    In,
    /// Millimetres
    Mm,
}

/// What the order of `rank` goes by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum Order {
    /// What needs action first: tiers, then urgency inside each
    #[default]
    Urgency,
    /// The score of time, climate and defects alone
    Score,
    /// Days since overhaul
    Days,
    /// Climate exposure
    Climate,
    /// Defect history
    Defects,
    /// Overhauls remaining, fewest first
    Remaining,
}

/// Use of a propeller, as the records name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, ValueEnum)]
pub enum Use {
    /// Flown by students
    Training,
    /// Rented out
    Rental,
    /// Flown by club members
    Club,
    /// Flown by its owner
    Private,
    /// Anything else
    Other,
}

impl Use {
    /// The word in the records.
    pub fn word(self) -> &'static str {
        match self {
            Use::Training => "training",
            Use::Rental => "rental",
            Use::Club => "club",
            Use::Private => "private",
            Use::Other => "other",
        }
    }
}

/// Which prices the plan counts with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PricesFrom {
    /// The table prices
    List,
    /// What was paid in the last 24 months
    Invoices,
}

impl PricesFrom {
    /// The word of the setting.
    pub fn word(self) -> &'static str {
        match self {
            PricesFrom::List => "list",
            PricesFrom::Invoices => "invoices",
        }
    }
}

/// What `totals` groups by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum GroupBy {
    /// Home base today
    Base,
    /// Model today
    Model,
    /// Use
    Use,
    /// Aircraft today
    Aircraft,
    /// Shop of a visit or payment
    Shop,
    /// Year of a visit, finding or payment
    Year,
}

impl GroupBy {
    /// The key of the table.
    pub fn key(self) -> Key {
        match self {
            GroupBy::Base => Key::Base,
            GroupBy::Model => Key::Model,
            GroupBy::Use => Key::Use,
            GroupBy::Aircraft => Key::Aircraft,
            GroupBy::Shop => Key::Shop,
            GroupBy::Year => Key::Year,
        }
    }
}
