//! The invented demo fleet: propellers, people, places and makers that do not exist, over decades, from a seed.
//!
//! [`fleet`] simulates it. One place after another in the fleet is lived through (`position`): an aircraft of some use at some base
//! flies (`flying`), its propeller meets damage (`damage`), goes to the shop (`shop`), loses metal (`process`, `metal`) and is
//! rejected when a reading falls below the minimum (`models`). On top come cases that each tell one thing (`telling`), and rows
//! that no reader can use (`bad_rows`). [`write()`] makes a folder of it.
//!
//! The same options give the same fleet, and the same fleet the same bytes.

mod bad_rows;
mod bases;
mod checks;
mod columns;
mod csv_text;
mod damage;
mod draws;
mod flying;
mod metal;
mod models;
mod position;
pub mod process;
mod rows;
mod shop;
mod tables;
pub mod telling;
mod unit;
mod write;

use arrow::record_batch::RecordBatch;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

pub use bad_rows::{BadRow, BadRowPlace};
pub use write::{DemoError, DemoFormat, write};

use crate::trade::calendar::Day;

/// The day on which the demo's records end: 30 June 2026. Read the fleet with this as-of date.
pub const AS_OF: Day = Day::from_number(20_634);

/// What the demo fleet should hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DemoOptions {
    /// Rows of the `propellers` table, telling cases and bad rows apart; scrapped, sold and spare ones included.
    pub propellers: usize,
    /// Seed of everything drawn. The telling cases do not depend on it.
    pub seed: u64,
    /// Whether the [`telling`] cases are added.
    pub telling_cases: bool,
    /// Whether the CSV form gets rows that cannot be used.
    pub bad_rows: bool,
}

impl Default for DemoOptions {
    fn default() -> DemoOptions {
        DemoOptions { propellers: 60, seed: 7, telling_cases: true, bad_rows: true }
    }
}

/// One table of the fleet: typed columns, every row usable but for what the telling cases spoil on purpose.
#[derive(Debug, Clone, PartialEq)]
pub struct DemoTable {
    /// File name without ending.
    pub name: &'static str,
    /// Its rows, in the order of the file. Text, whole numbers (Int32), numbers (Float64) and days (Date32), nullable.
    pub batch: RecordBatch,
}

/// A fleet ready to be written.
#[derive(Debug, Clone, PartialEq)]
pub struct DemoFleet {
    /// Every table.
    pub tables: Vec<DemoTable>,
    /// Text of `fleet.toml`.
    pub fleet_toml: String,
    /// Lines that only the CSV form can hold.
    pub bad_rows: Vec<BadRow>,
}

/// Simulates the fleet. Time and memory grow with the number of propellers.
pub fn fleet(options: &DemoOptions) -> DemoFleet {
    let mut records = rows::Records::default();
    let mut serials = position::Serials { next: 1_001, left: options.propellers };
    let mut place = 0;
    while serials.left > 0 {
        // Each place draws from a stream of its own, so a larger fleet begins with the propellers of a smaller one.
        let mut rng = ChaCha8Rng::seed_from_u64(options.seed);
        rng.set_stream(place as u64);
        position::simulate(&mut rng, &mut records, &mut serials, place);
        place += 1;
    }
    checks::after_events(&mut records);
    checks::of_small_findings(&mut records);
    if options.telling_cases {
        telling::add(&mut records);
    }
    records.sort();
    let tables = tables::tables(&records);
    let mut bad_rows = Vec::new();
    if options.telling_cases {
        bad_rows.extend(bad_rows::unreadable_crack_date(&tables));
    }
    if options.bad_rows {
        bad_rows.extend(bad_rows::bad_rows(&tables));
    }
    DemoFleet { tables, fleet_toml: fleet_toml(options), bad_rows }
}

fn fleet_toml(options: &DemoOptions) -> String {
    format!(
        "# An invented fleet: {} propellers from seed {}. No real propeller, person, place or maker.\n\
         # Its records end on {AS_OF}: read it with --as-of {AS_OF}.\n\
         name = \"Invented demo fleet\"\n\
         currency = \"EUR\"\n\
         price_growth_pct = 2.5\n",
        options.propellers, options.seed
    )
}
