//! Every result of a fleet, worked out when it is first asked for and handed out as Arrow tables, slice by slice.

use std::sync::{Arc, Mutex, OnceLock};

use arrow::record_batch::RecordBatch;
use rayon::prelude::*;

pub use super::across::Across;
use super::batches::problems::ProblemsError;
use super::batches::{defect_rate, due, exposure, findings, forecast, load, metal, problems, ranking, remaining};
use super::planning::Planning;
use super::shown::KeptFor;
pub use super::shown::Shown;
use super::{ResultsError, table};
use crate::analysis::defect_rate::{DefectRate, DefectRates};
use crate::analysis::due::{Due, DueRow};
use crate::analysis::duties::Duty;
use crate::analysis::event_checks::EventsWithoutCheck;
use crate::analysis::exposure::air::Airs;
use crate::analysis::exposure::{Exposure, ExposureReader};
use crate::analysis::findings::{Finding, Findings, needs_hours};
use crate::analysis::forecast::{Fits, Forecaster};
use crate::analysis::gaps::Gap;
use crate::analysis::inspections::FleetInspections;
use crate::analysis::load::{Load, LoadReader};
use crate::analysis::loss;
use crate::analysis::lost_readings::stand_in;
use crate::analysis::margins::{MarginReader, Margins};
use crate::analysis::mean_cumulative::{CurvePoint, curves};
use crate::analysis::open::Open;
use crate::analysis::overview::Overview;
use crate::analysis::plan::purchases::Purchase;
use crate::analysis::ranking::firmness::RankRange;
use crate::analysis::ranking::{Basis, By, History, Ranked, rank};
use crate::analysis::recorded_hours::RecordedHours;
use crate::analysis::remaining::{OUTLOOK_OVERHAULS, Remaining};
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
    /// What is asked across the fleet could not be worked out.
    #[error("{0}: {1}")]
    Across(String, String),
}

/// The results of one fleet.
pub struct Answers<'f, 'a> {
    /// The fleet as of its date.
    pub fleet: &'f Fleet<'a>,
    /// The settings in force.
    pub settings: &'f Settings,
    survey: OnceLock<Survey>,
    margins: OnceLock<Margins<'f, 'a>>,
    remaining: OnceLock<Vec<Remaining>>,
    due: OnceLock<Due>,
    findings: OnceLock<Findings>,
    inspections: OnceLock<FleetInspections>,
    events: OnceLock<EventsWithoutCheck<'f>>,
    exposure: OnceLock<Vec<Exposure>>,
    defect_rates: OnceLock<DefectRates>,
    mean_cumulative: OnceLock<Vec<CurvePoint>>,
    history: OnceLock<History>,
    ranking: OnceLock<Vec<Ranked>>,
    rank_ranges: OnceLock<Vec<RankRange>>,
    overview: KeptFor<Overview>,
    pub(super) gaps: OnceLock<Vec<Gap>>,
    pub(super) planning: KeptFor<Planning>,
    pub(super) purchases: KeptFor<Vec<Purchase>>,
    pub(super) duties: OnceLock<Vec<Duty>>,
    pub(super) open: OnceLock<Vec<Open>>,
    /// Tests the forecast on the past: a floor above this one does, so it is handed in.
    backtester: Option<Backtester>,
    backtest: OnceLock<Backtest>,
    /// Groups and joins other results, and what it worked out, by table and propellers shown.
    pub(super) across: Option<Across>,
    pub(super) across_made: Mutex<Vec<(String, Shown, RecordBatch)>>,
}

/// Scores the forecast's method on a fleet's own past.
pub type Backtester = fn(&Fleet<'_>, &Settings) -> Backtest;

/// Result tables that this version works out, in the order they are written.
pub const GIVEN: [&str; 29] = [
    "loss",
    "cycles",
    "blades",
    "margins",
    "remaining",
    "outlook",
    "due",
    "duties",
    "findings",
    "exposure",
    "load",
    "defect_rate",
    "mean_cumulative",
    "ranking",
    "open",
    "budget",
    "purchases",
    "out_at_once",
    "reserve",
    "spares",
    "gaps",
    "backtest",
    "fits",
    "totals",
    "spent",
    "spent_per_hour",
    "budget_past",
    "prices_paid",
    "replace_or_overhaul",
];

impl<'f, 'a> Answers<'f, 'a> {
    /// Nothing is worked out yet.
    pub fn new(fleet: &'f Fleet<'a>, settings: &'f Settings) -> Self {
        Answers {
            fleet,
            settings,
            survey: OnceLock::new(),
            margins: OnceLock::new(),
            remaining: OnceLock::new(),
            due: OnceLock::new(),
            findings: OnceLock::new(),
            inspections: OnceLock::new(),
            events: OnceLock::new(),
            exposure: OnceLock::new(),
            defect_rates: OnceLock::new(),
            mean_cumulative: OnceLock::new(),
            history: OnceLock::new(),
            ranking: OnceLock::new(),
            rank_ranges: OnceLock::new(),
            overview: KeptFor::default(),
            gaps: OnceLock::new(),
            planning: KeptFor::default(),
            purchases: KeptFor::default(),
            duties: OnceLock::new(),
            open: OnceLock::new(),
            backtester: None,
            backtest: OnceLock::new(),
            across: None,
            across_made: Mutex::new(Vec::new()),
        }
    }

    /// Takes in what the fleet's sheets say, instead of asking them: two fleets are judged by the same parameters.
    pub fn with_survey(self, survey: Survey) -> Self {
        Answers { survey: OnceLock::from(survey), ..self }
    }

    /// Takes in who tests the forecast on the past.
    pub fn with_backtester(self, backtester: Backtester) -> Self {
        Answers { backtester: Some(backtester), ..self }
    }

    /// How the forecast would have done; `None` when nobody was handed in who tests it.
    pub fn backtest(&self) -> Option<&Backtest> {
        let backtester = self.backtester?;
        Some(self.backtest.get_or_init(|| backtester(self.fleet, self.settings)))
    }

    /// What the fleet's cycles say.
    pub fn fits(&self) -> &Fits {
        self.survey().fits()
    }

    /// What the fleet's sheets say together.
    pub fn survey(&self) -> &Survey {
        self.survey.get_or_init(|| Survey::of(self.fleet, &self.settings.forecast))
    }

    /// What is left above the minimum at every blade, station and dimension.
    pub fn margins(&self) -> &Margins<'f, 'a> {
        self.margins.get_or_init(|| Margins::of_fleet(self.fleet, self.survey(), &self.settings.screen))
    }

    /// What is left of every listed propeller, in order of serial.
    pub fn remaining(&self) -> &[Remaining] {
        self.remaining.get_or_init(|| {
            let (fits, margins) = (self.fits(), self.margins());
            let forecaster = Forecaster::new(self.fleet, fits);
            let mut remaining: Vec<Remaining> = self.by_slices(PROPELLERS_AT_ONCE, |propellers| {
                let mut of_propeller = Vec::new();
                propellers
                    .filter(|&p| is_listed(self.fleet, p))
                    .map(|propeller| {
                        of_propeller.clear();
                        margins.read_into(propeller, &mut of_propeller);
                        forecaster.remaining(propeller, &of_propeller)
                    })
                    .collect()
            });
            let mut reader = MarginReader::new(self.fleet, self.survey(), &self.settings.screen);
            stand_in(self.fleet, &mut remaining, |propeller| {
                let (model, margins) = reader.last_known(propeller)?;
                Some(forecaster.remaining_under(propeller, Some(model), &margins))
            });
            remaining
        })
    }

    /// Dates of a listed propeller's next overhauls, as many as are dated and at most those of the outlook.
    pub fn overhaul_dates(&self, propeller: u32) -> Vec<Day> {
        let row = self.due().of(propeller);
        row.map_or_else(Vec::new, |row| row.overhaul_dates(self.fleet.as_of).take(OUTLOOK_OVERHAULS as usize).collect())
    }

    /// Hours and due dates.
    pub fn due(&self) -> &Due {
        self.due.get_or_init(|| Due::of_fleet(self.fleet, self.settings))
    }

    /// Every finding, judged.
    pub fn findings(&self) -> &Findings {
        self.findings.get_or_init(|| {
            let fleet = self.fleet;
            // Worked out before the slices ask for it.
            let hours = needs_hours(fleet, self.settings).then(|| &self.due().hours);
            let flown = |propeller: u32, day: Day| hours.and_then(|hours| hours.flown_since(fleet, propeller, day));
            Findings::of_fleet(fleet, self.survey(), self.margins(), self.settings, &flown)
        })
    }

    /// How the inspections of every listed propeller stand.
    pub fn inspections(&self) -> &FleetInspections {
        self.inspections.get_or_init(|| {
            if self.fleet.inspections.is_empty() {
                return FleetInspections::default();
            }
            FleetInspections::of_fleet(self.fleet, &self.due().hours, self.settings)
        })
    }

    /// Events without their checks.
    pub fn events(&self) -> &EventsWithoutCheck<'f> {
        self.events.get_or_init(|| EventsWithoutCheck::of_fleet(self.fleet, self.settings))
    }

    /// Climate exposure of every propeller, in order of serial.
    pub fn exposure(&self) -> &[Exposure] {
        self.exposure.get_or_init(|| {
            let airs = Airs::of_fleet(self.fleet, &self.settings.exposure);
            self.by_slices(PROPELLERS_AT_ONCE, |propellers| {
                let mut reader = ExposureReader::new(self.fleet, &airs, self.settings.exposure.hangar_factor);
                // Rates and hangar factor are above zero by the settings' own bounds.
                propellers.filter_map(|p| reader.of(p).ok()).collect()
            })
        })
    }

    /// Findings an hour of every propeller, and what the fleet says of them.
    pub fn defect_rates(&self) -> &DefectRates {
        self.defect_rates.get_or_init(|| DefectRates::of(self.fleet, &self.recorded_hours()))
    }

    /// Curves of the findings by hours, group by group.
    pub fn mean_cumulative(&self) -> &[CurvePoint] {
        self.mean_cumulative.get_or_init(|| curves(self.fleet, &self.recorded_hours(), self.defect_rates()))
    }

    /// Flight hours as the readings tell them.
    fn recorded_hours(&self) -> RecordedHours<'_, 'a> {
        RecordedHours::of(self.fleet, &self.due().hours)
    }

    /// What climate and defects say of each propeller.
    pub fn history(&self) -> &History {
        self.history.get_or_init(|| {
            let count = self.fleet.propellers.len();
            let reference = self.settings.ranking.climate_reference_g_m2;
            let mut climate = vec![f64::NAN; count];
            for exposure in self.exposure() {
                climate[exposure.propeller as usize] = exposure.index_g_m2 / reference;
            }
            let rates = self.defect_rates();
            // Without any report on record the part is unknown of every propeller, not absent.
            let defects = (0..count as u32).map(|p| rates.relative_rate(p).unwrap_or(f64::NAN)).collect();
            History { climate: Some(climate), defects: Some(defects) }
        })
    }

    /// Loads of the listed propellers shown, in order of serial.
    fn loads(&self, shown: &Shown) -> Vec<Load> {
        let (hours, survey) = (self.recorded_hours(), self.survey());
        self.by_slices(PROPELLERS_AT_ONCE, |propellers| {
            let mut reader = LoadReader::new(self.fleet, survey, &hours, &self.settings.fatigue);
            propellers.filter(|&p| shown.shows(p) && is_listed(self.fleet, p)).map(|p| reader.of(p)).collect()
        })
    }

    /// What comes first, by tiers; the lists one after the other.
    pub fn ranking(&self) -> &[Ranked] {
        self.ranking.get_or_init(|| self.rank_by(By::Urgency))
    }

    /// The headline counts of the propellers shown.
    pub fn overview(&self, shown: &Shown) -> Arc<Overview> {
        self.overview.get_or_work_out(shown, || {
            let from = self.settings.ranking.reject_chance;
            Overview::of(self.fleet, self.ranking(), &self.due().rows, self.remaining(), from, |p| shown.shows(p))
        })
    }

    /// What comes first by another order.
    pub fn rank_by(&self, by: By) -> Vec<Ranked> {
        let basis = Basis {
            fleet: self.fleet,
            settings: self.settings,
            margins: self.margins(),
            due: &self.due().rows,
            remaining: self.remaining(),
            findings: self.findings(),
            inspections: self.inspections(),
            events: self.events(),
            history: self.history(),
        };
        let ranges = self.rank_ranges.get_or_init(|| self.work_out_rank_ranges(&basis));
        let mut ranked = rank(&basis, by);
        for row in &mut ranked {
            let at = basis.due.binary_search_by_key(&row.propeller, |due| due.propeller);
            row.score_rank_range = at.ok().and_then(|at| ranges.get(at)).copied();
        }
        ranked
    }

    /// Rows of `ranking` in an order, of the propellers shown.
    ///
    /// # Errors
    /// [`AnswerError`].
    pub fn ranking_by(&self, by: By, shown: &Shown) -> Result<RecordBatch, AnswerError> {
        let made;
        let ranked: &[Ranked] = match by {
            By::Urgency => self.ranking(),
            other => {
                made = self.rank_by(other);
                &made
            }
        };
        let rows: Vec<&Ranked> = ranked.iter().filter(|r| shown.shows(r.propeller)).collect();
        Ok(ranking::ranking(self.fleet, &rows)?)
    }

    /// Open findings of listed propellers in their order, then every other finding by propeller and day found.
    fn findings_in_order(&self, shown: &Shown) -> Vec<&Finding> {
        let findings = self.findings();
        let open = findings.in_order(self.fleet);
        let mut is_open = vec![false; findings.rows.len()];
        for &at in &open {
            is_open[at as usize] = true;
        }
        let rest = (0..findings.rows.len() as u32).filter(|&at| !is_open[at as usize]);
        open.iter()
            .copied()
            .chain(rest)
            .map(|at| &findings.rows[at as usize])
            .filter(|f| shown.shows(f.propeller))
            .collect()
    }

    /// Works on slices of propellers in parallel and joins what they give in the propellers' order.
    fn by_slices<T: Send>(&self, at_once: u32, work: impl Fn(std::ops::Range<u32>) -> Vec<T> + Sync) -> Vec<T> {
        let count = self.fleet.propellers.len() as u32;
        (0..count.div_ceil(at_once))
            .into_par_iter()
            .flat_map_iter(|slice| {
                let from = slice * at_once;
                work(from..(from + at_once).min(count))
            })
            .collect()
    }

    /// Works out what the slices of a table then only read. A slice that began to work it out itself could be made to wait
    /// for itself: the threads that make slices also take part in the work.
    pub fn work_out_for(&self, name: &str) {
        match name {
            "loss" | "blades" => {}
            "margins" => {
                let _ = self.margins();
            }
            "outlook" => {
                let _ = (self.remaining(), self.due());
            }
            _ => {
                let _ = self.survey();
            }
        }
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
                let mut margins = Vec::new();
                for propeller in (from..to).filter(|&p| shown.shows(p) && is_listed(fleet, p)) {
                    self.margins().read_into(propeller, &mut margins);
                }
                Ok(metal::margins(fleet, &margins)?)
            }
            "remaining" => {
                let rows: Vec<Remaining> =
                    self.remaining().iter().filter(|r| shown.shows(r.propeller)).cloned().collect();
                Ok(remaining::remaining(fleet, &rows, |p, k| self.due().of(p)?.overhaul_date(fleet.as_of, k))?)
            }
            "outlook" => {
                let all = self.remaining();
                let first = all.partition_point(|r| r.propeller < from);
                let last = all.partition_point(|r| r.propeller < to);
                let rows: Vec<&Remaining> = all[first..last].iter().filter(|r| shown.shows(r.propeller)).collect();
                Ok(remaining::outlook(fleet, &rows, |p| self.overhaul_dates(p))?)
            }
            "cycles" => Ok(forecast::cycles(fleet, self.fits(), from..to, |p| shown.shows(p))?),
            "fits" => Ok(forecast::fits(self.fits())?),
            "backtest" if self.backtester.is_some() => {
                let scores = self.backtest().map_or(&[][..], |b| &b.scores);
                Ok(forecast::backtest(scores)?)
            }
            "due" => {
                let rows: Vec<&DueRow> = self.due().rows.iter().filter(|r| shown.shows(r.propeller)).collect();
                Ok(due::due(fleet, &rows)?)
            }
            "findings" => Ok(findings::findings(fleet, &self.findings_in_order(shown))?),
            "exposure" => {
                let rows: Vec<Exposure> = self
                    .exposure()
                    .iter()
                    .filter(|r| shown.shows(r.propeller) && is_listed(fleet, r.propeller))
                    .cloned()
                    .collect();
                Ok(exposure::exposure(fleet, &rows)?)
            }
            "load" => Ok(load::load(fleet, &self.loads(shown))?),
            "defect_rate" => {
                let rows: Vec<&DefectRate> = self
                    .defect_rates()
                    .propellers
                    .iter()
                    .filter(|r| shown.shows(r.propeller) && is_listed(fleet, r.propeller))
                    .collect();
                let findings = self.findings();
                Ok(defect_rate::defect_rate(fleet, &rows, |p| u32::try_from(findings.open_of(p).count()).ok())?)
            }
            "mean_cumulative" => Ok(defect_rate::mean_cumulative(fleet, self.mean_cumulative())?),
            "ranking" => self.ranking_by(By::Urgency, shown),
            "open" | "duties" => Ok(self.to_do_table(name, shown)?),
            "gaps" => self.gaps_table(shown),
            "budget" | "purchases" | "out_at_once" | "reserve" | "spares" => self.plan_table(name, shown),
            "set_aside" => Ok(problems::set_aside(fleet)?),
            "cautions" => Ok(problems::cautions(fleet)?),
            other => match (table(other), self.across) {
                (Some(_), Some(across)) => self.made_across(across, other, shown),
                (None, _) => Err(ResultsError::NoTable { name: other.to_string() }.into()),
                _ => Err(AnswerError::NotYet(other.to_string(), GIVEN.join(", "))),
            },
        }
    }
}
