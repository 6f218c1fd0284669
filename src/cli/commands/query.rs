//! `query`: a question in SQL across the whole fleet, and the list of what can be asked.

use std::io::{BufWriter, Write};

use std::sync::Arc;

use arrow::array::{ArrayRef, AsArray, Float64Array};
use arrow::datatypes::{DataType, Float64Type};
use arrow::record_batch::RecordBatch;

use crate::backtest;
use crate::cli::args::{AlertArgs, OutputArgs, QueryArgs};
use crate::cli::commands::one_table::finish;
use crate::cli::destination::Destination;
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::lines::wrap;
use crate::cli::opened::{Opened, Surroundings};
use crate::cli::output::{print_text, write_records};
use crate::cli::table::{Layout, table_text};
use crate::questions;
use crate::questions::ask::ask;
use crate::questions::catalog;
use crate::results::answers::{Answers, Shown};
use crate::results::{CAUTION, choose};
use crate::tables::atomic_folder::AtomicFile;
use crate::tables::formats::Format;
use crate::tables::write::TableWriter;

/// Rows for a person unless `--top` says otherwise.
const ROWS_FOR_A_PERSON: usize = 500;
/// Digits of a number for a person; files hold the full value.
const DIGITS_FOR_A_PERSON: i32 = 6;

/// Answers the question, or lists tables and columns.
pub fn print(args: &QueryArgs, around: &Surroundings) -> Result<Exit, Failure> {
    let destination = Destination::beside(&args.output, around.env.stdout_is_terminal).map_err(Failure::usage)?;
    if args.output.condition.is_some() {
        return Err(Failure::usage("a query has its own WHERE\nhint: write the condition there"));
    }
    let (mut file, mut folder) = (None, None);
    match &destination {
        Destination::Stdout(_) => {}
        Destination::File(path, _) => file = Some(AtomicFile::begin(path)?),
        Destination::Folder(path, _) => folder = Some(around.begin_folder(path)?),
    }
    let progress = around.progress();
    let mut opened = Opened::read(&args.records, around, &progress)?;
    let (fleet, settings, clock) = opened.fleet(&progress);
    let answers = Answers::new(&fleet, settings).with_backtester(backtest::of).with_across(questions::across);
    progress.step("working out the answer");
    clock.begin("query");
    let answer = match &args.sql {
        Some(sql) => ask(&answers, sql)?,
        None => catalog::listed()?,
    };
    let (answer, more) = cut(answer, &args.output, destination == Destination::Stdout(None))?;
    drop(progress);
    match destination {
        Destination::Stdout(None) => {
            print_table(&answer, &args.output, args.tables, around)?;
            if more > 0 {
                around.note(&format!("{more} rows more: --top N shows more of them, -o FILE writes them all"));
            }
        }
        Destination::Stdout(Some(format)) => {
            print_rows(format, &answer, &args.output, around)?;
            around.note(CAUTION);
        }
        Destination::File(_, format) => {
            if let Some(mut file) = file {
                write(format, &mut file, &answer, &args.output)?;
                file.commit()?;
            }
            around.note(CAUTION);
        }
        Destination::Folder(_, format) => {
            if let Some(mut folder) = folder {
                let mut file = folder.file(&format!("answer.{}", format.ending()))?;
                write(format, &mut file, &answer, &args.output)?;
                file.finish()?;
                write_records(&mut folder, &answers, &Shown::all(), clock, None, args.output.for_spreadsheet)?;
                folder.commit()?;
            }
            around.note(CAUTION);
        }
    }
    finish(&answers, &Shown::all(), args.records.strict, AlertArgs::default(), around)
}

/// The columns and rows wanted, and how many rows more there are for a person who named no number.
fn cut(answer: RecordBatch, output: &OutputArgs, for_a_person: bool) -> Result<(RecordBatch, usize), Failure> {
    let answer = if output.columns.is_empty() { answer } else { choose(&answer, &output.columns)? };
    let most = output.top.unwrap_or(if for_a_person { ROWS_FOR_A_PERSON } else { usize::MAX });
    let rows = answer.num_rows().min(most);
    let more = if output.top.is_none() { answer.num_rows() - rows } else { 0 };
    Ok((answer.slice(0, rows), more))
}

fn write<W: Write + Send>(format: Format, to: W, answer: &RecordBatch, output: &OutputArgs) -> Result<(), Failure> {
    let mut writer = TableWriter::new(format, to, &answer.schema())?.for_spreadsheet(output.for_spreadsheet);
    writer.write(answer)?;
    writer.finish()?;
    Ok(())
}

/// The answer in a form for programs on the standard output; what steers a terminal is shown by its number at one.
fn print_rows(format: Format, answer: &RecordBatch, output: &OutputArgs, around: &Surroundings) -> Result<(), Failure> {
    if !around.env.stdout_is_terminal {
        return write(format, BufWriter::new(std::io::stdout()), answer, output);
    }
    // Forms that no person reads were refused at a terminal.
    let mut bytes = Vec::new();
    write(format, &mut bytes, answer, output)?;
    print_text(&String::from_utf8_lossy(&bytes), false)
}

fn print_table(answer: &RecordBatch, output: &OutputArgs, whole: bool, around: &Surroundings) -> Result<(), Failure> {
    let layout = Layout {
        width: (output.columns.is_empty() && !whole).then_some(around.env.width),
        styled: around.env.styled(around.color),
    };
    let bug = |error: arrow::error::ArrowError| Failure { exit: Exit::Bug, message: error.to_string() };
    let made = table_text(&rounded(answer).map_err(bug)?, None, layout).map_err(bug)?;
    if let Some(note) = made.left_out_note() {
        around.note(&note);
    }
    let mut text = made.text;
    if answer.num_rows() == 0 {
        text.push_str("no rows\n");
    }
    wrap(&mut text, CAUTION, around.env.text_width(), "");
    print_text(&text, layout.styled)
}

/// Numbers with as many digits as a person reads.
fn rounded(answer: &RecordBatch) -> Result<RecordBatch, arrow::error::ArrowError> {
    let columns = answer.columns().iter().map(|values| match values.data_type() {
        DataType::Float64 => {
            let values = values.as_primitive::<Float64Type>().iter();
            Arc::new(Float64Array::from_iter(values.map(|value| value.map(rounded_number)))) as ArrayRef
        }
        _ => Arc::clone(values),
    });
    let rows = arrow::record_batch::RecordBatchOptions::new().with_row_count(Some(answer.num_rows()));
    RecordBatch::try_new_with_options(answer.schema(), columns.collect(), &rows)
}

fn rounded_number(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let digits = DIGITS_FOR_A_PERSON - 1 - value.abs().log10().floor() as i32;
    match (0..=12).contains(&digits) {
        true => (value * 10f64.powi(digits)).round() / 10f64.powi(digits),
        false => value,
    }
}

#[cfg(test)]
mod tests {
    use super::rounded_number;

    #[test]
    fn a_person_reads_six_digits_and_whole_numbers_stay_whole() {
        let cases = [(0.123_456_78, 0.123_457), (1_234.567_89, 1_234.57), (12_345_678.9, 12_345_678.9), (0.0, 0.0)];
        for (value, shown) in cases {
            assert_eq!(rounded_number(value), shown);
            assert_eq!(rounded_number(-value), -shown);
        }
    }
}
