//! What a run gives: the one list of columns, the Arrow tables made by it, and the record of the run.
//!
//! Knows nothing of terminals or pages. A caller of the library gets every result as an
//! [`arrow::record_batch::RecordBatch`] whose fields carry unit, meaning and source.

mod across;
pub mod answers;
pub mod batches;
pub mod caution;
pub mod columns;
mod document;
pub mod escaped;
mod file_gaps;
mod firm_ranks;
pub mod methods;
pub mod planning;
pub mod run_json;
mod shown;
pub mod steps;
mod table_batch;
mod to_do;
mod version;

pub use caution::CAUTION;
pub use columns::{CHANCE, Column, ColumnKind, TableSpec, table, tables};
pub use document::document;
pub use methods::METHODS;
pub use table_batch::{ResultsError, batch, choose, schema};
pub use version::VERSION;
