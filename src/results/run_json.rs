//! The record of a run, `run.json`: what went in, what was used, how it was computed, how long it took.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use chrono::NaiveDate;
use serde::{Serialize, Serializer};

use super::steps::Step;
use super::{CAUTION, VERSION};
use crate::analysis::overview::Counts;

/// Everything `run.json` says. Its `program` and `files` are also how a later run knows the folder for its own.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunRecord {
    /// Always `bladewane`.
    pub program: &'static str,
    /// Version of the program, with the commit it was built from where that is known.
    pub version: &'static str,
    /// The caution that every output carries.
    pub caution: &'static str,
    /// The date as of which the records were read.
    #[serde(serialize_with = "iso_date")]
    pub as_of: NaiveDate,
    /// The files read.
    pub inputs: Vec<InputFile>,
    /// What became of each table's rows.
    pub tables: Vec<TableRows>,
    /// The headline counts of a whole run; `None` where a command wrote only its own table.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overview: Option<Counts>,
    /// What was left out of the input without being a problem: hidden sheets, example rows.
    pub notes: Vec<String>,
    /// Every setting in force.
    pub settings: Vec<SettingInForce>,
    /// The methods used, with their sources.
    pub methods: Vec<Method>,
    /// The result files written with this record.
    pub files: Vec<String>,
    /// How long each step took.
    pub steps: Vec<Step>,
}

/// A `NaiveDate` displays as ISO 8601.
fn iso_date<S: Serializer>(date: &NaiveDate, to: S) -> Result<S::Ok, S::Error> {
    to.collect_str(date)
}

/// A file that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct InputFile {
    /// Its path as the user would write it.
    pub path: String,
    /// Its size in bytes.
    pub bytes: u64,
    /// BLAKE3 hash of its content, hexadecimal.
    pub blake3: String,
}

/// What became of the rows of one table: `read = used + set_aside + later`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TableRows {
    /// The table.
    pub table: String,
    /// Rows read.
    pub read: u64,
    /// Rows used.
    pub used: u64,
    /// Rows that could not be used.
    pub set_aside: u64,
    /// Rows dated after the as-of date.
    pub later: u64,
}

/// A setting and where its value came from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettingInForce {
    /// Its name.
    pub name: String,
    /// Its value.
    pub value: serde_json::Value,
    /// Where the value came from: the default, or the file that set it.
    pub from: String,
}

/// A method and what it rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Method {
    /// What it is called in the documentation.
    pub name: String,
    /// Its source: a publication, common practice, or an assumption of this program.
    pub source: String,
}

impl RunRecord {
    /// A record of a run as of `as_of`, with nothing in it yet but what is always so.
    pub fn new(as_of: NaiveDate) -> RunRecord {
        RunRecord {
            program: env!("CARGO_PKG_NAME"),
            version: VERSION,
            caution: CAUTION,
            as_of,
            inputs: Vec::new(),
            tables: Vec::new(),
            overview: None,
            notes: Vec::new(),
            settings: Vec::new(),
            methods: Vec::new(),
            files: Vec::new(),
            steps: Vec::new(),
        }
    }

    /// The text of `run.json`, with a line end at its end.
    ///
    /// # Errors
    /// None that a record made of these types can cause; serde's signature allows for one.
    pub fn to_json(&self) -> serde_json::Result<String> {
        let mut text = serde_json::to_string_pretty(self)?;
        text.push('\n');
        Ok(text)
    }
}

impl InputFile {
    /// Size and hash of the file at `path`, read once from front to back; `shown` is the path that the record shows.
    ///
    /// # Errors
    /// The system's, when the file cannot be read.
    pub fn of(path: &Path, shown: String) -> io::Result<InputFile> {
        let mut file = File::open(path)?;
        let mut hasher = blake3::Hasher::new();
        let mut piece = vec![0; 1 << 20];
        let mut bytes = 0;
        loop {
            let read = match file.read(&mut piece) {
                Ok(0) => break,
                Ok(read) => read,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            hasher.update(&piece[..read]);
            bytes += read as u64;
        }
        Ok(InputFile { path: shown, bytes, blake3: hasher.finalize().to_hex().to_string() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn the_record_reads_like_this() {
        let as_of = NaiveDate::from_ymd_opt(2026, 3, 31).unwrap();
        let mut run = RunRecord::new(as_of);
        run.version = "0.1.0";
        run.inputs.push(InputFile { path: "fleet/hours.csv".to_string(), bytes: 12, blake3: "00".to_string() });
        run.tables.push(TableRows { table: "hours".to_string(), read: 6, used: 3, set_aside: 1, later: 2 });
        run.settings.push(SettingInForce {
            name: "warning_days".to_string(),
            value: serde_json::json!(90),
            from: "default".to_string(),
        });
        run.methods
            .push(Method { name: "due".to_string(), source: "the maker's limits, as the user gave them".to_string() });
        run.files.push("due.parquet".to_string());
        run.steps.push(Step { name: "read the records".to_string(), seconds: 0.25, peak_memory_bytes: None });
        insta::assert_snapshot!(run.to_json().unwrap(), @r#"
        {
          "program": "bladewane",
          "version": "0.1.0",
          "caution": "Limits come from the maker's current manual; only a certificated shop or mechanic decides airworthiness. This is a planning aid.",
          "as_of": "2026-03-31",
          "inputs": [
            {
              "path": "fleet/hours.csv",
              "bytes": 12,
              "blake3": "00"
            }
          ],
          "tables": [
            {
              "table": "hours",
              "read": 6,
              "used": 3,
              "set_aside": 1,
              "later": 2
            }
          ],
          "notes": [],
          "settings": [
            {
              "name": "warning_days",
              "value": 90,
              "from": "default"
            }
          ],
          "methods": [
            {
              "name": "due",
              "source": "the maker's limits, as the user gave them"
            }
          ],
          "files": [
            "due.parquet"
          ],
          "steps": [
            {
              "name": "read the records",
              "seconds": 0.25,
              "peak_memory_bytes": null
            }
          ]
        }
        "#);
    }

    /// The hashes are those of the BLAKE3 project's test vectors, input lengths 0 and 1, first 32 bytes (from memory).
    #[test]
    fn the_hash_is_blake3() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("x");
        for (content, hash) in [
            (&[][..], "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262"),
            (&[0][..], "2d3adedff11b61f14c886e35afa036736dcd87a74d27b5c1510225d0f592e213"),
        ] {
            fs::write(&path, content).unwrap();
            let input = InputFile::of(&path, "x".to_string()).unwrap();
            assert_eq!((input.bytes, input.blake3.as_str()), (content.len() as u64, hash));
        }
        let big = vec![7_u8; (1 << 20) + 5];
        fs::write(&path, &big).unwrap();
        let input = InputFile::of(&path, "x".to_string()).unwrap();
        assert_eq!(input.bytes, big.len() as u64);
        assert_eq!(input.blake3, blake3::hash(&big).to_hex().to_string());
        assert!(InputFile::of(&dir.path().join("none"), String::new()).is_err());
    }
}
