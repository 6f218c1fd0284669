//! Arrow tables that keep to the list of columns: their schemas, and the one way to put columns together.

use std::collections::HashMap;
use std::sync::{Arc, LazyLock};

use arrow::array::ArrayRef;
use arrow::datatypes::{DataType, Field, Schema, SchemaRef};
use arrow::record_batch::RecordBatch;

use super::columns::{Column, TableSpec, table, tables};

/// Columns that do not make the table they are said to make.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ResultsError {
    /// No result table has this name.
    #[error("there is no result table `{name}`\nhint: the tables are {}", names(tables().iter().map(|t| t.name)))]
    NoTable {
        /// The name.
        name: String,
    },
    /// A column is missing, out of place or not the table's.
    #[error("result table `{table}`, column {position}: expected {expected}, found {found}")]
    WrongColumn {
        /// The table.
        table: &'static str,
        /// Place of the column, from 1.
        position: usize,
        /// The column that belongs there.
        expected: String,
        /// The column that is there.
        found: String,
    },
    /// A column has another type than the list says.
    #[error("result table `{table}`, column `{column}`: expected {expected}, found {found}")]
    WrongType {
        /// The table.
        table: &'static str,
        /// The column.
        column: &'static str,
        /// The type that belongs there.
        expected: DataType,
        /// The type that is there.
        found: DataType,
    },
    /// The columns are not equally long.
    #[error(
        "result table `{table}`, column `{column}`: expected {expected} rows like the columns before it, found {found}"
    )]
    WrongLength {
        /// The table.
        table: &'static str,
        /// The column.
        column: &'static str,
        /// Rows of the first column.
        expected: usize,
        /// Rows of this one.
        found: usize,
    },
    /// A column that was asked for is not in the table.
    #[error("no column `{name}` here\nhint: the columns are {}", .there.join(", "))]
    NoSuchColumn {
        /// The name.
        name: String,
        /// The columns that are there.
        there: Vec<String>,
    },
}

fn names<'a>(names: impl Iterator<Item = &'a str>) -> String {
    names.collect::<Vec<_>>().join(", ")
}

static SCHEMAS: LazyLock<Vec<SchemaRef>> = LazyLock::new(|| tables().iter().map(make_schema).collect());

fn make_schema(table: &TableSpec) -> SchemaRef {
    let fields: Vec<Field> = table.columns.iter().map(make_field).collect();
    let about = [("table", table.name), ("a_row_is", table.a_row_is)];
    let about = about.map(|(key, value)| (key.to_string(), value.to_string()));
    Arc::new(Schema::new(fields).with_metadata(about))
}

fn make_field(column: &Column) -> Field {
    let about = [("unit", column.unit), ("about", column.about), ("source", column.source)];
    let mut about: HashMap<String, String> =
        about.into_iter().map(|(key, value)| (key.to_string(), value.to_string())).collect();
    if let Some(decimals) = column.decimals {
        about.insert("decimals".to_string(), decimals.to_string());
    }
    Field::new(column.name, column.kind.data_type(), true).with_metadata(about)
}

/// The Arrow schema of a result table: every column may be null ("not known"), and carries `unit`, `about` and `source` in
/// its metadata. `None` for a name that no result table has.
pub fn schema(name: &str) -> Option<SchemaRef> {
    let at = tables().iter().position(|table| table.name == name)?;
    SCHEMAS.get(at).map(Arc::clone)
}

/// Puts the columns of a result table together; they must be the table's, all of them, in its order and types.
///
/// # Errors
/// [`ResultsError::NoTable`], [`ResultsError::WrongColumn`], [`ResultsError::WrongType`], [`ResultsError::WrongLength`].
pub fn batch(name: &str, columns: Vec<(&str, ArrayRef)>) -> Result<RecordBatch, ResultsError> {
    let no_table = || ResultsError::NoTable { name: name.to_string() };
    let spec = table(name).ok_or_else(no_table)?;
    let schema = schema(name).ok_or_else(no_table)?;
    let rows = columns.first().map_or(0, |(_, values)| values.len());
    for at in 0..spec.columns.len().max(columns.len()) {
        let said = |name: Option<&str>| match name {
            Some(name) => format!("`{name}`"),
            None => "none".to_string(),
        };
        let (expected, found) = (spec.columns.get(at), columns.get(at));
        let (Some(expected), Some((found, values))) = (expected, found) else {
            return Err(ResultsError::WrongColumn {
                table: spec.name,
                position: at + 1,
                expected: said(expected.map(|column| column.name)),
                found: said(found.map(|(name, _)| *name)),
            });
        };
        if expected.name != *found {
            return Err(ResultsError::WrongColumn {
                table: spec.name,
                position: at + 1,
                expected: said(Some(expected.name)),
                found: said(Some(found)),
            });
        }
        if &expected.kind.data_type() != values.data_type() {
            return Err(ResultsError::WrongType {
                table: spec.name,
                column: expected.name,
                expected: expected.kind.data_type(),
                found: values.data_type().clone(),
            });
        }
        if values.len() != rows {
            return Err(ResultsError::WrongLength {
                table: spec.name,
                column: expected.name,
                expected: rows,
                found: values.len(),
            });
        }
    }
    let arrays = columns.into_iter().map(|(_, values)| values).collect();
    // Names, types, lengths and nullability have just been checked, which is all that can be wrong.
    Ok(RecordBatch::try_new(schema, arrays).expect("checked columns"))
}

/// The columns of `batch` with these names, in this order, with their metadata.
///
/// # Errors
/// [`ResultsError::NoSuchColumn`], which lists the columns that are there.
pub fn choose(batch: &RecordBatch, names: &[String]) -> Result<RecordBatch, ResultsError> {
    let schema = batch.schema_ref();
    let mut at = Vec::with_capacity(names.len());
    for name in names {
        at.push(schema.index_of(name).map_err(|_| ResultsError::NoSuchColumn {
            name: name.clone(),
            there: schema.fields().iter().map(|field| field.name().clone()).collect(),
        })?);
    }
    // Every index comes from the schema itself.
    Ok(batch.project(&at).expect("columns of the batch"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use arrow::array::{BooleanArray, Float64Array, Int32Array, StringArray, new_null_array};

    fn spares() -> Vec<(&'static str, ArrayRef)> {
        let count = |values: Vec<Option<i32>>| Arc::new(Int32Array::from(values)) as ArrayRef;
        vec![
            ("model", Arc::new(StringArray::from(vec!["M-76", "M-74"]))),
            ("needed_p50", count(vec![Some(4), Some(0)])),
            ("needed_p90", count(vec![Some(6), None])),
            ("within_days", count(vec![Some(90), None])),
            ("on_shelf", count(vec![Some(1), Some(0)])),
            ("order_now", count(vec![Some(5), None])),
        ]
    }

    #[test]
    fn right_columns_make_the_table_with_its_units() {
        let made = batch("spares", spares()).unwrap();
        assert_eq!((made.num_rows(), made.num_columns()), (2, 6));
        let field = made.schema().field(3).clone();
        assert_eq!(field.metadata().get("unit").unwrap(), "days");
        assert_eq!(field.metadata().get("about").unwrap(), "the lead time");
        assert_eq!(field.metadata().get("source").unwrap(), "records");
        assert_eq!(made.schema().metadata().get("a_row_is").unwrap(), "one model");
    }

    #[test]
    fn every_table_can_be_made_without_rows_and_with_nothing_known() {
        for spec in tables() {
            for rows in [0, 2] {
                let columns = spec.columns.iter();
                let columns = columns.map(|c| (c.name, new_null_array(&c.kind.data_type(), rows))).collect();
                let made = batch(spec.name, columns).unwrap();
                assert_eq!(made.num_rows(), rows);
                assert_eq!(made.schema(), schema(spec.name).unwrap());
            }
        }
        assert!(schema("no such").is_none());
    }

    #[test]
    fn wrong_columns_are_named() {
        let error = |change: fn(&mut Vec<(&'static str, ArrayRef)>)| {
            let mut columns = spares();
            change(&mut columns);
            batch("spares", columns).unwrap_err().to_string()
        };
        insta::assert_snapshot!(error(|c| c.swap(1, 2)), @"result table `spares`, column 2: expected `needed_p50`, found `needed_p90`");
        insta::assert_snapshot!(error(|c| drop(c.pop())), @"result table `spares`, column 6: expected `order_now`, found none");
        insta::assert_snapshot!(error(|c| c.push(("more", c[0].1.clone()))), @"result table `spares`, column 7: expected none, found `more`");
        insta::assert_snapshot!(error(|c| c[1].1 = Arc::new(Float64Array::from(vec![1.0, 2.0]))), @"result table `spares`, column `needed_p50`: expected Int32, found Float64");
        insta::assert_snapshot!(error(|c| c[5].1 = Arc::new(Int32Array::from(vec![1]))), @"result table `spares`, column `order_now`: expected 2 rows like the columns before it, found 1");
        insta::assert_snapshot!(error(|c| c.clear()), @"result table `spares`, column 1: expected `model`, found none");
        let unknown = batch("spare", Vec::new()).unwrap_err().to_string();
        assert!(unknown.starts_with("there is no result table `spare`\nhint: the tables are loss, cycles,"));
    }

    #[test]
    fn chosen_columns_come_in_the_order_asked_for() {
        let made = batch("spares", spares()).unwrap();
        let chosen = choose(&made, &["order_now".to_string(), "model".to_string()]).unwrap();
        let names: Vec<_> = chosen.schema().fields().iter().map(|f| f.name().clone()).collect();
        assert_eq!(names, ["order_now", "model"]);
        assert_eq!(chosen.schema().field(0).metadata().get("unit").unwrap(), "count");
        assert_eq!(chosen.column(1), made.column(0));
        let error = choose(&made, &["model".to_string(), "Model".to_string()]).unwrap_err();
        insta::assert_snapshot!(error, @"
        no column `Model` here
        hint: the columns are model, needed_p50, needed_p90, within_days, on_shelf, order_now
        ");
    }

    #[test]
    fn a_boolean_is_no_text() {
        let mut columns = spares();
        columns[0].1 = Arc::new(BooleanArray::from(vec![true, false]));
        let error = batch("spares", columns).unwrap_err();
        assert!(matches!(error, ResultsError::WrongType { column: "model", .. }));
    }
}
