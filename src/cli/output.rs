//! Putting a result table where it is wanted: a terminal, a stream, a file or a results folder.

use std::io::{BufWriter, Write};
use std::path::Path;

use arrow::array::StringArray;
use arrow::record_batch::RecordBatch;

use super::args::OutputArgs;
use super::failure::Failure;
use super::first_columns::FIRST_COLUMNS;
use super::lines::{wrap, wrap_lines};
use super::opened::{Surroundings, nothing_on_record};
use super::result_workbook::{AboutStands, write_workbook};
use super::table::{Layout, table_text};
use crate::analysis::overview::Counts;
use crate::analysis::ranking::By;
use crate::questions::keep::{Kept, keep};
use crate::questions::totals::{Key, totals};
use crate::records::schema::TABLES;
use crate::records::written::count;
use crate::results::answers::{AnswerError, Answers, Shown};
use crate::results::batches::problems;
use crate::results::escaped::escaped_for_terminal;
use crate::results::run_json::{InputFile, Method, RunRecord, SettingInForce, TableRows};
use crate::results::steps::StepClock;
use crate::results::{CAUTION, METHODS, choose, schema, table};
use crate::tables::atomic_folder::{RUN_RECORD, ResultFolder};
use crate::tables::formats::Format;
use crate::tables::write::{TableWriter, WriteError, write_parquet_in_parallel};

/// Rows of a table for a person that are shown unless `--top` says otherwise.
const ROWS_FOR_A_PERSON: usize = 500;

/// In which order, and by which groups.
#[derive(Debug, Clone, Copy)]
pub struct How<'k> {
    /// The order of `ranking`.
    pub by: By,
    /// The groups of `totals`; none: each by itself.
    pub groups: &'k [Key],
}

impl From<By> for How<'_> {
    fn from(by: By) -> Self {
        How { by, groups: &[] }
    }
}

/// What of a table is wanted.
pub struct Wanted<'o> {
    /// The table.
    pub name: &'o str,
    /// The order of `ranking`, the groups of `totals`.
    pub how: How<'o>,
    /// The propellers shown.
    pub shown: &'o Shown,
    /// Columns and rows.
    pub output: &'o OutputArgs,
    /// The rows that `--where` keeps, once they are known; see [`Wanted::choose_rows`].
    pub kept: Option<Kept>,
}

impl Wanted<'_> {
    /// Finds the rows that `--where` keeps; says of how many it cannot be told.
    pub fn choose_rows(&mut self, answers: &Answers<'_, '_>, around: &Surroundings) -> Result<(), Failure> {
        let Some(condition) = &self.output.condition else {
            return Ok(());
        };
        let kept = keep(answers, self.name, &|slice| self.whole_slice(answers, slice), condition)?;
        if kept.not_known > 0 {
            let (rows, are) = if kept.not_known == 1 { ("row", "is") } else { ("rows", "are") };
            around.note(&format!(
                "{} {rows} of {} {are} not shown because what --where asks is not known of them",
                kept.not_known, self.name
            ));
        }
        self.kept = Some(kept);
        Ok(())
    }

    fn slice(&self, answers: &Answers<'_, '_>, slice: usize) -> Result<RecordBatch, AnswerError> {
        let whole = self.whole_slice(answers, slice)?;
        match self.kept.as_ref().and_then(|kept| kept.slices.get(slice)) {
            // One value a row, as they were made from this slice.
            Some(keep) => Ok(arrow::compute::filter_record_batch(&whole, keep).unwrap_or(whole)),
            None => Ok(whole),
        }
    }

    fn whole_slice(&self, answers: &Answers<'_, '_>, slice: usize) -> Result<RecordBatch, AnswerError> {
        if self.name == "ranking" {
            return answers.ranking_by(self.how.by, self.shown);
        }
        if self.name == "totals" && !self.how.groups.is_empty() {
            return totals(answers, self.shown, self.how.groups)
                .map_err(|error| AnswerError::Across("totals".to_string(), error.to_string()));
        }
        answers.slice(self.name, slice, self.shown)
    }

    fn columns(&self, batch: RecordBatch) -> Result<RecordBatch, Failure> {
        if self.output.columns.is_empty() {
            return Ok(batch);
        }
        Ok(choose(&batch, &self.output.columns)?)
    }

    pub(super) fn empty(&self) -> Result<RecordBatch, Failure> {
        let schema =
            schema(self.name).ok_or_else(|| Failure::usage(format!("there is no result table `{}`", self.name)))?;
        self.columns(RecordBatch::new_empty(schema))
    }

    /// The first rows, slice by slice, until `most` are there; and how many more there are.
    pub(super) fn first(
        &self,
        answers: &Answers<'_, '_>,
        most: usize,
        mut each: impl FnMut(RecordBatch) -> Result<(), Failure>,
    ) -> Result<usize, Failure> {
        let mut rows = 0;
        let mut more = 0;
        for slice in 0..answers.slices(self.name) {
            let batch = self.slice(answers, slice)?;
            let take = batch.num_rows().min(most - rows);
            more += batch.num_rows() - take;
            if take > 0 {
                rows += take;
                each(self.columns(batch.slice(0, take))?)?;
            }
        }
        Ok(more)
    }
}

enum SliceError {
    Answer(AnswerError),
    Write(WriteError),
}

impl From<WriteError> for SliceError {
    fn from(error: WriteError) -> SliceError {
        SliceError::Write(error)
    }
}

/// Writes a table in a format programs read.
pub fn write_rows<W: Write + Send>(
    answers: &Answers<'_, '_>,
    wanted: &Wanted<'_>,
    format: Format,
    to: W,
) -> Result<(), Failure> {
    let whole = wanted.output.columns.is_empty() && wanted.output.top.is_none();
    if format == Format::Parquet
        && whole
        && let Some(schema) = schema(wanted.name)
    {
        answers.work_out_for(wanted.name);
        let made = write_parquet_in_parallel(to, &schema, answers.slices(wanted.name), |slice| {
            wanted.slice(answers, slice).map(|batch| vec![batch]).map_err(SliceError::Answer)
        });
        return match made {
            Ok(_) => Ok(()),
            Err(SliceError::Answer(error)) => Err(error.into()),
            Err(SliceError::Write(error)) => Err(error.into()),
        };
    }
    if format == Format::Workbook {
        return write_workbook(answers, std::slice::from_ref(wanted), AboutStands::Last, to);
    }
    let schema = wanted.empty()?.schema();
    let mut writer = TableWriter::new(format, to, &schema)?.for_spreadsheet(wanted.output.for_spreadsheet);
    wanted.first(answers, wanted.output.top.unwrap_or(usize::MAX), |batch| Ok(writer.write(&batch)?))?;
    writer.finish()?;
    Ok(())
}

/// Writes all of it to the standard output.
///
/// # Errors
/// [`Failure`]; a reader that has gone is none.
pub fn print_whole(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    out.write_all(bytes)?;
    out.flush()?;
    Ok(())
}

/// Prints a text for a person, with nothing in it that steers a terminal but the bold that `styled` stands for.
///
/// # Errors
/// As [`print_whole`].
pub fn print_text(text: &str, styled: bool) -> Result<(), Failure> {
    print_whole(escaped_for_terminal(text, styled).as_bytes())
}

/// Writes a table in a format programs read to the standard output; at a terminal, where a person reads it, what steers the
/// terminal is shown by its number.
///
/// # Errors
/// [`Failure`]; a reader that has gone is none.
pub fn print_rows(
    answers: &Answers<'_, '_>,
    wanted: &Wanted<'_>,
    format: Format,
    around: &Surroundings,
) -> Result<(), Failure> {
    let is_text = matches!(format, Format::Csv | Format::Json | Format::JsonLines);
    if !(around.env.stdout_is_terminal && is_text) {
        return write_rows(answers, wanted, format, BufWriter::new(std::io::stdout()));
    }
    let mut bytes = Vec::new();
    write_rows(answers, wanted, format, &mut bytes)?;
    print_text(&String::from_utf8_lossy(&bytes), false)
}

/// Prints a table for a person, under a heading where there are several, the filter over the first and the caution under the
/// last.
pub fn print_table(
    answers: &Answers<'_, '_>,
    wanted: &Wanted<'_>,
    heading: Option<&str>,
    [first, last]: [bool; 2],
    around: &Surroundings,
) -> Result<(), Failure> {
    if let Some(nothing) = nothing_on_record(answers.fleet) {
        let mut text = String::new();
        if first {
            wrap_lines(&mut text, &nothing, around.env.text_width());
        }
        return print_text(&text, false);
    }
    let most = wanted.output.top.unwrap_or(ROWS_FOR_A_PERSON);
    let mut batches = Vec::new();
    let more = wanted.first(answers, most, |batch| {
        batches.push(batch);
        Ok(())
    })?;
    let schema = wanted.empty()?.schema();
    let rows = arrow::compute::concat_batches(&schema, &batches)
        .map_err(|e| Failure { exit: super::exit::Exit::Bug, message: e.to_string() })?;
    let rows = if wanted.output.columns.is_empty() { for_a_person(wanted.name, &rows)? } else { rows };
    // Among other tables a long one is cut to what a meeting needs; alone it is whole.
    let in_short = heading.is_some() && wanted.output.top.is_none();
    let (rows, rest) = match in_short {
        true => in_short_form(wanted.name, rows),
        false => (rows, None),
    };
    let text = print_batch(&rows, table(wanted.name), wanted.output, around)?;
    let mut text = match heading {
        Some(heading) => format!("{heading}\n{text}"),
        None => text,
    };
    // Who is left out is said before who is shown.
    if let Some(filter) = wanted.shown.in_words().filter(|_| first) {
        let mut said = String::new();
        wrap(&mut said, &filter, around.env.text_width(), "");
        text = format!("{said}\n{text}");
    }
    if let Some(rest) = rest {
        let folder = answers.fleet.loaded.folder.display();
        let line = format!("{rest}: bladewane show {folder} {}", wanted.name);
        wrap(&mut text, &line, around.env.text_width(), "");
    }
    if last {
        wrap(&mut text, CAUTION, around.env.text_width(), "");
    } else {
        text.push('\n');
    }
    print_text(&text, around.env.styled(around.color))?;
    if more > 0 && wanted.output.top.is_none() {
        around.note(&format!("{} more: --top N shows more of them, -o FILE writes them all", count(more, "row")));
    }
    Ok(())
}

/// Months of `out_at_once` shown among other tables.
const MONTHS_IN_SHORT: usize = 12;

/// The rows of a table that a person needs among others, and what the rest is.
fn in_short_form(name: &str, rows: RecordBatch) -> (RecordBatch, Option<&'static str>) {
    match name {
        "budget" => {
            let all = rows.column_by_name("model").and_then(|models| {
                let whole_fleet = StringArray::new_scalar("all");
                arrow::compute::kernels::cmp::eq(models, &whole_fleet).ok()
            });
            let fleet = all.and_then(|all| arrow::compute::filter_record_batch(&rows, &all).ok());
            match fleet {
                Some(fleet) => (fleet, Some("model by model")),
                None => (rows, None),
            }
        }
        "out_at_once" if rows.num_rows() > MONTHS_IN_SHORT => (rows.slice(0, MONTHS_IN_SHORT), Some("later months")),
        _ => (rows, None),
    }
}

/// Puts the columns a person wants first in front, and leaves out the ones that hold nothing at all.
fn for_a_person(name: &str, rows: &RecordBatch) -> Result<RecordBatch, Failure> {
    let first = FIRST_COLUMNS.iter().find(|(table, _)| *table == name).map_or(&[][..], |(_, columns)| columns);
    let holds_something = |column: &str| rows.column_by_name(column).is_some_and(|c| c.null_count() < rows.num_rows());
    let mut columns: Vec<String> = first.iter().filter(|c| holds_something(c)).map(|c| (*c).to_string()).collect();
    for field in rows.schema_ref().fields() {
        if !columns.contains(field.name()) && holds_something(field.name()) {
            columns.push(field.name().clone());
        }
    }
    if columns.is_empty() {
        return Ok(rows.clone());
    }
    Ok(choose(rows, &columns)?)
}

fn print_batch(
    rows: &RecordBatch,
    spec: Option<&'static crate::results::TableSpec>,
    output: &OutputArgs,
    around: &Surroundings,
) -> Result<String, Failure> {
    let layout = Layout {
        width: output.columns.is_empty().then_some(around.env.width),
        styled: around.env.styled(around.color),
    };
    let made =
        table_text(rows, spec, layout).map_err(|e| Failure { exit: super::exit::Exit::Bug, message: e.to_string() })?;
    if let Some(note) = made.left_out_note() {
        around.note(&note);
    }
    let mut text = made.text;
    if !text.ends_with('\n') {
        text.push('\n');
    }
    Ok(text)
}

/// Writes the files every results folder holds beside its tables, `run.json` last.
pub fn write_records(
    folder: &mut ResultFolder,
    answers: &Answers<'_, '_>,
    shown: &Shown,
    clock: &mut StepClock,
    overview: Option<Counts>,
    for_spreadsheet: bool,
) -> Result<(), Failure> {
    let fleet = answers.fleet;
    let set_aside = problems::set_aside(fleet).map_err(Failure::records)?;
    let cautions = problems::cautions(fleet)?;
    for (name, rows) in [("set_aside.csv", set_aside), ("cautions.csv", cautions)] {
        let mut file = folder.file(name)?;
        let mut writer = TableWriter::new(Format::Csv, &mut file, &rows.schema())?.for_spreadsheet(for_spreadsheet);
        writer.write(&rows)?;
        writer.finish()?;
        file.finish()?;
    }
    let mut file = folder.file("settings.toml")?;
    file.write_all(answers.settings.to_toml().as_bytes())?;
    file.finish()?;
    clock.end();
    let mut record = RunRecord::new(fleet.as_of.date());
    record.inputs = fleet
        .loaded
        .files
        .iter()
        .map(|file| {
            let path = &file.path;
            let shown = path.strip_prefix(&fleet.loaded.folder).unwrap_or(path);
            let shown = match path.file_name() {
                // The workbook itself: named as the files of a folder are, without what leads to it.
                Some(name) if shown.as_os_str().is_empty() => Path::new(name),
                _ => shown,
            };
            let shown = shown.display().to_string();
            InputFile::of(path, shown).map_err(|e| Failure::records(format!("{}: cannot be read: {e}", path.display())))
        })
        .collect::<Result<_, _>>()?;
    // What was hashed now is what was read before.
    fleet.loaded.refuse_changed()?;
    record.tables = TABLES
        .iter()
        .filter_map(|schema| {
            let count = fleet.ledger.counts(schema.table)?;
            Some(TableRows {
                table: schema.name.to_string(),
                read: u64::from(count.read),
                used: u64::from(count.used),
                set_aside: u64::from(count.set_aside),
                later: u64::from(count.later),
            })
        })
        .collect();
    record.overview = overview;
    record.notes = fleet.loaded.notes.clone();
    record.notes.extend(shown.in_words().map(|filter| format!("shown are {filter}")));
    record.settings = answers
        .settings
        .rows()
        .into_iter()
        .map(|row| SettingInForce {
            name: match row.section {
                "" => row.key.to_string(),
                section => format!("{section}.{}", row.key),
            },
            value: serde_json::to_value(&row.value).unwrap_or(serde_json::Value::Null),
            from: row.where_set.to_string(),
        })
        .collect();
    record.methods = METHODS
        .iter()
        .map(|(name, source)| Method { name: (*name).to_string(), source: (*source).to_string() })
        .collect();
    record.files = folder.names().to_vec();
    record.files.push(RUN_RECORD.to_string());
    record.steps = clock.steps().to_vec();
    let text = record.to_json().map_err(|e| Failure { exit: super::exit::Exit::Bug, message: e.to_string() })?;
    let mut file = folder.file(RUN_RECORD)?;
    file.write_all(text.as_bytes())?;
    file.finish()?;
    Ok(())
}
