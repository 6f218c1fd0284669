//! Every result of a fleet, worked out when it is first asked for and handed out as Arrow tables, slice by slice.

use std::sync::OnceLock;

use arrow::record_batch::RecordBatch;
use rayon::prelude::*;

use super::batches::problems::ProblemsError;
use super::batches::{forecast, metal, problems, remaining};
use super::{ResultsError, table};
use crate::analysis::loss;
use crate::analysis::margins::{Margin, MarginReader};
use crate::analysis::forecast::{Fits, Forecaster};
use crate::analysis::remaining::Remaining;
use crate::analysis::score::Backtest;
use crate::analysis::standing::is_listed;
use crate::analysis::survey::Survey;
use crate::records::Fleet;
use crate::settings::Settings;
use crate::trade::calendar::Day;

/// Propellers in one slice of a long table.
const PROPELLERS_IN_A_SLICE: u32 = 4096;
/// Propellers one thread works on at a time.
const PROPELLERS_AT_ONCE: u32 = 512;

/// Which propellers are shown. What the fleet's statistics learn from never changes.
#[derive(Debug, Clone, Default)]
pub struct Shown(Option<Vec<bool>>);

impl Shown {
    /// Every propeller.
    pub fn all() -> Shown {
        Shown(None)
    }

    /// The propellers a rule keeps.
    pub fn only(fleet: &Fleet<'_>, keep: impl Fn(u32) -> bool) -> Shown {
        Shown(Some((0..fleet.propellers.len() as u32).map(keep).collect()))
    }

    /// Whether a propeller is shown.
    pub fn shows(&self, propeller: u32) -> bool {
        self.0
            .as_ref()
            .is_none_or(|keep| keep.get(propeller as usize).copied().unwrap_or(false))
    }
}

/// Why a result table could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AnswerError {
    /// The columns do not fit the list: an error of this program.
    #[error(transparent)]
    Results(#[from] ResultsError),
    /// The rows set aside could not be read again.
    #[error(transparent)]
    Problems(#[from] ProblemsError),
    /// The table is listed but is not worked out by this version.
    #[error("result table `{0}` is not worked out by this version\nhint: the tables it gives are {1}")]
    NotYet(String, String),
}

/// The results of one fleet.
pub struct Answers<'f, 'a> {
    /// The fleet as of its date.
    pub fleet: &'f Fleet<'a>,
    /// The settings in force.
    pub settings: &'f Settings,
    survey: OnceLock<Survey>,
    fits: OnceLock<Fits>,
    remaining: OnceLock<Vec<Remaining>>,
    /// Tests the forecast on the past: a floor above this one does, so it is handed in.
    backtester: Option<Backtester>,
    backtest: OnceLock<Backtest>,
}

/// Scores the forecast's method on a fleet's own past.
pub type Backtester = fn(&Fleet<'_>, &Settings) -> Backtest;

/// Result tables that this version works out, in the order they are written.
pub const GIVEN: [&str; 8] = [
    "loss",
    "cycles",
    "blades",
    "margins",
    "remaining",
    "outlook",
    "backtest",
    "fits",
];

impl<'f, 'a> Answers<'f, 'a> {
    /// Nothing is worked out yet.
    pub fn new(fleet: &'f Fleet<'a>, settings: &'f Settings) -> Self {
        Answers {
            fleet,
            settings,
            survey: OnceLock::new(),
            fits: OnceLock::new(),
            remaining: OnceLock::new(),
            backtester: None,
            backtest: OnceLock::new(),
        }
    }

    /// Takes in who tests the forecast on the past.
    pub fn with_backtester(self, backtester: Backtester) -> Self {
        Answers {
            backtester: Some(backtester),
            ..self
        }
    }

    /// How the forecast would have done; `None` when nobody was handed in who tests it.
    pub fn backtest(&self) -> Option<&Backtest> {
        let backtester = self.backtester?;
        Some(
            self.backtest
                .get_or_init(|| backtester(self.fleet, self.settings)),
        )
    }

    /// What the fleet's sheets say together.
    pub fn survey(&self) -> &Survey {
        self.survey
            .get_or_init(|| Survey::of(self.fleet, &self.settings.forecast))
    }

    /// What the fleet's cycles say.
    pub fn fits(&self) -> &Fits {
        self.fits
            .get_or_init(|| Fits::of(self.fleet, &self.settings.forecast))
    }

    /// A reader of margins that carries forward by the forecast.
    pub fn margin_reader(&self) -> MarginReader<'_, 'a> {
        MarginReader::new(self.fleet, self.survey(), &self.settings.screen)
            .with_forecast(self.fits())
    }

    /// What is left of every listed propeller, in order of serial.
    pub fn remaining(&self) -> &[Remaining] {
        self.remaining.get_or_init(|| {
            // Worked out before the slices, which then only read them.
            let (_, fits) = (self.survey(), self.fits());
            self.by_slices(PROPELLERS_AT_ONCE, |propellers| {
                let mut reader = self.margin_reader();
                let forecaster = Forecaster::new(self.fleet, fits);
                let mut margins: Vec<Margin> = Vec::new();
                propellers
                    .filter(|&p| is_listed(self.fleet, p))
                    .map(|propeller| {
                        margins.clear();
                        reader.read_into(propeller, &mut margins);
                        forecaster.remaining(propeller, &margins)
                    })
                    .collect()
            })
        })
    }

    /// Date of a propeller's `k`-th overhaul from now; `None` until due dates are worked out.
    pub fn overhaul_date(&self, _propeller: u32, _k: u32) -> Option<Day> {
        None
    }

    /// Works on slices of propellers in parallel and joins what they give in the propellers' order.
    fn by_slices<T: Send>(
        &self,
        at_once: u32,
        work: impl Fn(std::ops::Range<u32>) -> Vec<T> + Sync,
    ) -> Vec<T> {
        let count = self.fleet.propellers.len() as u32;
        (0..count.div_ceil(at_once))
            .into_par_iter()
            .flat_map_iter(|slice| {
                let from = slice * at_once;
                work(from..(from + at_once).min(count))
            })
            .collect()
    }

    /// Slices a table is handed out in; long tables go by slices of propellers.
    pub fn slices(&self, name: &str) -> usize {
        match name {
            "loss" | "margins" | "cycles" | "outlook" => {
                let count = self.fleet.propellers.len() as u32;
                count.div_ceil(PROPELLERS_IN_A_SLICE).max(1) as usize
            }
            _ => 1,
        }
    }

    /// One slice of a result table, of the propellers shown.
    ///
    /// # Errors
    /// [`AnswerError`].
    pub fn slice(&self, name: &str, slice: usize, shown: &Shown) -> Result<RecordBatch, AnswerError> {
        let fleet = self.fleet;
        let count = fleet.propellers.len() as u32;
        let from = (slice as u32 * PROPELLERS_IN_A_SLICE).min(count);
        let to = (from + PROPELLERS_IN_A_SLICE).min(count);
        match name {
            "loss" => {
                let rows = loss::of_propellers(fleet, (from..to).filter(|&p| shown.shows(p)));
                Ok(metal::loss(fleet, rows)?)
            }
            "blades" => Ok(metal::blades(fleet)?),
            "margins" => {
                let mut reader = self.margin_reader();
                let mut margins = Vec::new();
                for propeller in from..to {
                    if shown.shows(propeller) && is_listed(fleet, propeller) {
                        reader.read_into(propeller, &mut margins);
                    }
                }
                Ok(metal::margins(fleet, &margins)?)
            }
            "remaining" => {
                let rows: Vec<Remaining> = self
                    .remaining()
                    .iter()
                    .filter(|r| shown.shows(r.propeller))
                    .cloned()
                    .collect();
                Ok(remaining::remaining(fleet, &rows, |p, k| {
                    self.overhaul_date(p, k)
                })?)
            }
            "outlook" => {
                let all = self.remaining();
                let first = all.partition_point(|r| r.propeller < from);
                let last = all.partition_point(|r| r.propeller < to);
                let rows: Vec<&Remaining> = all[first..last]
                    .iter()
                    .filter(|r| shown.shows(r.propeller))
                    .collect();
                Ok(remaining::outlook(fleet, &rows, |p, k| {
                    self.overhaul_date(p, k)
                })?)
            }
            "cycles" => Ok(forecast::cycles(fleet, self.fits(), from..to, |p| {
                shown.shows(p)
            })?),
            "fits" => Ok(forecast::fits(self.fits())?),
            "backtest" if self.backtester.is_some() => {
                let scores = self.backtest().map_or(&[][..], |b| &b.scores);
                Ok(forecast::backtest(scores)?)
            }
            "set_aside" => Ok(problems::set_aside(fleet)?),
            "cautions" => Ok(problems::cautions(fleet)?),
            other => match table(other) {
                None => Err(ResultsError::NoTable {
                    name: other.to_string(),
                }
                .into()),
                Some(_) => Err(AnswerError::NotYet(other.to_string(), GIVEN.join(", "))),
            },
        }
    }
}
