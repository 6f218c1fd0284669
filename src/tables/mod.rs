//! Tables to and from files: CSV, Parquet, Arrow IPC, JSON and workbooks. Nothing here knows what a propeller is.

mod arrow_file;
pub mod atomic_folder;
pub mod caps;
pub mod csv;
pub mod error;
pub mod example;
pub mod find;
pub mod formats;
mod guard;
mod parquet_file;
mod row_json;
pub mod source;
pub mod stamp;
pub mod workbook;
pub mod write;

pub use error::TableError;
pub use source::{Broken, Place, Source};
