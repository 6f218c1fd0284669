//! Columns of the tables about rows that could not be used or look wrong: set_aside, cautions.

use super::*;

const TABLE: Column = text("table", RECORDS, "table of the fleet folder");
const FILE: Column = text("file", RECORDS, "file it stands in; in a workbook file, sheet and cell");
const COLUMN: Column = text("column", RECORDS, "column at fault");
const VALUE: Column = text("value", RECORDS, "the value as written");
const RULE: Column = text("rule", "rules of the records", "the rule it breaks");
const REMEDY: Column = text("remedy", "rules of the records", "what to do about it");

pub(super) const SET_ASIDE: TableSpec = TableSpec {
    name: "set_aside",
    a_row_is: "one row of the records that could not be used",
    columns: &[
        TABLE,
        FILE,
        integer("line", "line from 1", RECORDS, "line of a CSV file, row of any other"),
        COLUMN,
        VALUE,
        RULE,
        REMEDY,
        text("row_as_written", RECORDS, "the whole row: its own text from a CSV file, JSON from any other"),
    ],
};

pub(super) const CAUTIONS: TableSpec = TableSpec {
    name: "cautions",
    a_row_is: "one propeller, visit and rule: rows that are used but look wrong",
    columns: &[
        TABLE,
        FILE,
        integer("line", "line from 1", RECORDS, "the first such line of a CSV file, or row of any other"),
        COLUMN,
        VALUE,
        RULE,
        REMEDY,
        text("propeller", RECORDS, "serial of the propeller, if the row names one"),
        date("visit", RECORDS, "date of the shop visit, if there is one"),
        integer("count", COUNT, RECORDS, "rows with the same propeller, visit and rule"),
    ],
};
