//! Columns whose usual value holds only where the whole column is missing: a column that is there must be filled.

use crate::records::schema::Table;

/// Such a column, and what an empty cell of it means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FillOrDelete {
    /// Its table.
    pub table: Table,
    /// Its name.
    pub column: &'static str,
    /// The word that holds where the column is missing.
    pub usual: &'static str,
    /// What an empty cell counts as where the column is there.
    pub empty: &'static str,
}

/// Every such column.
pub const FILL_OR_DELETE: [FillOrDelete; 4] = [
    FillOrDelete {
        table: Table::Overhauls,
        column: "work",
        usual: "overhaul",
        empty: "the visit does not start a new overhaul interval",
    },
    FillOrDelete {
        table: Table::Overhauls,
        column: "outcome",
        usual: "released",
        empty: "the propeller goes to the top of the list as `outcome not recorded`",
    },
    FillOrDelete {
        table: Table::Models,
        column: "interval_force",
        usual: "recommended",
        empty: "the interval counts as binding",
    },
    FillOrDelete {
        table: Table::Defects,
        column: "action",
        usual: "none",
        empty: "anything may have been done: the damage stays open and may have been blended too",
    },
];

impl FillOrDelete {
    /// What is said of the column, if it is such a one.
    pub fn of(table: Table, column: &str) -> Option<&'static FillOrDelete> {
        FILL_OR_DELETE.iter().find(|of| of.table == table && of.column == column)
    }

    /// What to do, in one sentence.
    pub fn advice(&self) -> String {
        format!(
            "Fill it in every row (usually {}) or delete the whole column, which means {} throughout. In an empty cell {}.",
            self.usual, self.usual, self.empty
        )
    }
}
