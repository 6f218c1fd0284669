//! Columns to the engine and back, copied by type. Nothing is lost on the way: a null stays a null, a day a day.

use std::sync::Arc;

use arrow::array::{
    Array, ArrayRef, AsArray, BooleanArray, Date32Array, Float64Array, Int64Array, StringArray, new_null_array,
};
use arrow::compute::cast;
use arrow::datatypes::{DataType, Date32Type, Field, Float64Type, Int16Type, Int32Type, Int64Type, Schema};
use arrow::record_batch::{RecordBatch, RecordBatchOptions};
use polars::prelude::{
    BooleanChunked, Column, DataFrame, DataType as Dtype, Float64Chunked, Int32Chunked, Int64Chunked, IntoSeries,
    NewChunkedArray, PolarsError, PolarsResult, Series, StringChunked, TimeUnit,
};

use super::QuestionError;
use crate::results::{ResultsError, table};

const MILLISECONDS_A_DAY: f64 = 86_400_000.0;

/// The named columns of a batch as the engine holds them.
///
/// # Errors
/// An engine error for a column type that no result has.
pub fn to_frame(batch: &RecordBatch, wanted: impl Fn(&str) -> bool) -> PolarsResult<DataFrame> {
    let schema = batch.schema_ref();
    let columns = schema.fields().iter().zip(batch.columns()).filter(|(field, _)| wanted(field.name()));
    let columns = columns.map(|(field, values)| to_column(field.name(), values)).collect::<PolarsResult<Vec<_>>>()?;
    DataFrame::new(batch.num_rows(), columns)
}

fn to_column(name: &str, values: &ArrayRef) -> PolarsResult<Column> {
    let name = name.into();
    let series: Series = match values.data_type() {
        DataType::Float64 => {
            Float64Chunked::from_iter_options(name, values.as_primitive::<Float64Type>().iter()).into_series()
        }
        DataType::Int16 => {
            let wide = values.as_primitive::<Int16Type>().iter().map(|v| v.map(i32::from));
            Int32Chunked::from_iter_options(name, wide).into_series()
        }
        DataType::Int32 => {
            Int32Chunked::from_iter_options(name, values.as_primitive::<Int32Type>().iter()).into_series()
        }
        DataType::Int64 => {
            Int64Chunked::from_iter_options(name, values.as_primitive::<Int64Type>().iter()).into_series()
        }
        DataType::Date32 => {
            Int32Chunked::from_iter_options(name, values.as_primitive::<Date32Type>().iter()).into_series().into_date()
        }
        DataType::Boolean => BooleanChunked::from_iter_options(name, values.as_boolean().iter()).into_series(),
        DataType::Utf8 => StringChunked::from_iter_options(name, values.as_string::<i32>().iter()).into_series(),
        other => {
            return Err(PolarsError::InvalidOperation(format!("a column of type {other} does not cross").into()));
        }
    };
    Ok(series.into())
}

/// The engine's table as an Arrow table: whole numbers as `Int64`, numbers as `Float64`, spans of time in days.
///
/// # Errors
/// [`QuestionError::NoPlace`] for a column of lists or structures.
pub fn to_batch(frame: &DataFrame, table: &str) -> Result<RecordBatch, QuestionError> {
    let mut fields = Vec::new();
    let mut arrays = Vec::new();
    for column in frame.columns() {
        let series = column.as_materialized_series();
        let array = to_array(series).map_err(|error| QuestionError::NoPlace {
            column: series.name().to_string(),
            kind: format!("{} ({error})", series.dtype()),
        })?;
        let Some(array) = array else {
            let (column, kind) = (series.name().to_string(), series.dtype().to_string());
            return Err(QuestionError::NoPlace { column, kind });
        };
        fields.push(Field::new(series.name().to_string(), array.data_type().clone(), true));
        arrays.push(array);
    }
    let about = [("table".to_string(), table.to_string())];
    let schema = Arc::new(Schema::new(fields).with_metadata(about));
    let rows = RecordBatchOptions::new().with_row_count(Some(frame.height()));
    // Types and lengths are the arrays' own.
    RecordBatch::try_new_with_options(schema, arrays, &rows)
        .map_err(|error| QuestionError::Engine { said: error.to_string(), hint: "name the columns one by one".into() })
}

fn to_array(series: &Series) -> PolarsResult<Option<ArrayRef>> {
    Ok(Some(match series.dtype() {
        Dtype::Boolean => Arc::new(BooleanArray::from_iter(series.bool()?.iter())) as ArrayRef,
        Dtype::String => Arc::new(StringArray::from_iter(series.str()?.iter())),
        Dtype::Date => Arc::new(Date32Array::from_iter(series.cast(&Dtype::Int32)?.i32()?.iter())),
        Dtype::Float32 | Dtype::Float64 => {
            Arc::new(Float64Array::from_iter(series.cast(&Dtype::Float64)?.f64()?.iter()))
        }
        Dtype::Duration(_) => {
            let span = series.cast(&Dtype::Duration(TimeUnit::Milliseconds))?.cast(&Dtype::Int64)?;
            let days = span.i64()?.iter().map(|v| v.map(|v| v as f64 / MILLISECONDS_A_DAY));
            Arc::new(Float64Array::from_iter(days))
        }
        // Days are all the time of day there is in the records.
        Dtype::Datetime(..) => {
            Arc::new(Date32Array::from_iter(series.cast(&Dtype::Date)?.cast(&Dtype::Int32)?.i32()?.iter()))
        }
        Dtype::Null => Arc::new(StringArray::new_null(series.len())),
        whole if whole.is_integer() => Arc::new(Int64Array::from_iter(series.cast(&Dtype::Int64)?.i64()?.iter())),
        _ => return Ok(None),
    }))
}

/// A table of columns that are equally long.
///
/// # Errors
/// [`QuestionError`] when they are not, which is an error of this program.
pub fn of_columns<'n>(
    table: &str,
    columns: impl Iterator<Item = (&'n str, ArrayRef)>,
) -> Result<RecordBatch, QuestionError> {
    let (fields, arrays): (Vec<Field>, Vec<ArrayRef>) =
        columns.map(|(name, values)| (Field::new(name, values.data_type().clone(), true), values)).unzip();
    let schema = Schema::new(fields).with_metadata([("table".to_string(), table.to_string())]);
    RecordBatch::try_new(Arc::new(schema), arrays)
        .map_err(|error| QuestionError::Engine { said: error.to_string(), hint: "please report it".into() })
}

/// The engine's table as a result table: the columns of the list, those that are not there empty.
///
/// # Errors
/// [`QuestionError`] when a column does not fit the list, which is an error of this program.
pub fn to_table(frame: &DataFrame, name: &str) -> Result<RecordBatch, QuestionError> {
    let spec = table(name).ok_or_else(|| ResultsError::NoTable { name: name.to_string() })?;
    let batch = to_batch(frame, name)?;
    let columns = spec.columns.iter().map(|column| {
        let kind = column.kind.data_type();
        let there = batch.column_by_name(column.name).and_then(|values| cast(values, &kind).ok());
        (column.name, there.unwrap_or_else(|| new_null_array(&kind, batch.num_rows())))
    });
    Ok(crate::results::batch(name, columns.collect())?)
}

/// The values of a column of whole numbers.
pub fn whole_numbers(values: &ArrayRef) -> Vec<i64> {
    values.as_primitive_opt::<Int64Type>().map_or_else(Vec::new, |values| values.iter().flatten().collect())
}
