//! The page `results.md`, made from the one list of columns.

use std::fmt::Write as _;

use super::answers::GIVEN;
use super::tables;

/// Every result table this version gives, and its columns, as Markdown.
pub fn document() -> String {
    let mut text = String::from(
        "# Results\n\nMade from the list of columns in `src/results/columns/`; a test keeps this page equal to it.\n\n\
         Every table is written as Parquet, and with `--format` also as CSV, JSON, JSON lines, Arrow IPC or a workbook. Unit, meaning\n\
         and source stand in the Arrow schema's field metadata too, and in a workbook in the headings and their notes. Rows are in the order of the key columns, except that `ranking` is in its own\n\
         order; two runs on the same input, date and settings give byte-equal tables. An empty cell is \"not known\", never zero.\n",
    );
    for table in tables() {
        let always = matches!(table.name, "set_aside" | "cautions");
        if !always && !GIVEN.contains(&table.name) {
            continue;
        }
        let _ = write!(
            text,
            "\n## `{}`\n\nA row is {}.\n\n| column | type | unit | meaning | source |\n| --- | --- | --- | --- | --- |\n",
            table.name, table.a_row_is
        );
        for column in table.columns {
            let _ = writeln!(
                text,
                "| `{}` | {} | {} | {} | {} |",
                column.name,
                column.kind.words(),
                column.unit,
                column.about,
                column.source
            );
        }
    }
    text
}
