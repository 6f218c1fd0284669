//! Findings: what the screen says of every damage report, whether it is open, by which record it is closed, and in which
//! order the open ones are looked at. Lengths in inches.

use rayon::prelude::*;

use super::loss::round_to_nano;
use super::margins::{Counting, Margin, MarginReader, Margins, screen_limits};
use super::standing::is_listed;
use super::survey::Survey;
use crate::records::Fleet;
use crate::records::choice::Action;
use crate::records::defects::Defect;
use crate::settings::Settings;
use crate::trade::calendar::Day;
use crate::trade::field_repair::{
    DefectKind, FieldRepair, ScreenInput, ScreenLimits, Screened, Surface, blend_length_in, is_minor, screen,
};

pub mod closing;
pub mod fatigue;
mod left_as_it_is;
pub mod severity;

pub use closing::{ClosedBy, FindingState, StillOpen};
pub use left_as_it_is::{FlownSince, LeftUntil};
pub use severity::{Severity, Urgency};

use fatigue::FatigueScreen;

use closing::{Judging, closing_visit, state_of};
use left_as_it_is::{Rechecked, left_until, rechecked};

const PROPELLERS_AT_ONCE: u32 = 1024;

/// One finding: what the screen says, and whether it is open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finding {
    /// Index of the propeller.
    pub propeller: u32,
    /// Number of the report in [`crate::records::defects::Defects::list`].
    pub report: u32,
    /// Distance from the hub centre, when known.
    pub station_in: Option<f64>,
    /// Whether it may be dressed in the field, and why.
    pub screened: Screened,
    /// Its depth and the metal that was dressed out there before it was found; `None` when its own is not recorded.
    pub cumulative_depth_in: Option<f64>,
    /// Cumulative depth over the screen's depth; `None` where either is not known.
    pub depth_share: Option<f64>,
    /// Share of the fatigue strength kept with it as it is; `None` without a depth, and beyond the screen, where no figure
    /// says anything.
    pub strength_retained: Option<f64>,
    /// Steady stress there from spinning on a new blade, in MPa, for information.
    pub stress_mpa: Option<f64>,
    /// Length along the blade that dressing it needs; `None` for what is never dressed in the field, and without a depth.
    pub blend_length_in: Option<f64>,
    /// Metal left above the minimum at its place once it is dressed, today; `None` where it is not known, for what is never
    /// dressed in the field, and for a finding that a shop visit has closed: the metal was judged there.
    pub margin_left_in: Option<f64>,
    /// Open, or closed and by what.
    pub state: FindingState,
    /// Its depth: as recorded, or as it was when it was looked at again.
    pub depth_in: Option<f64>,
    /// The day it was looked at again and was worse.
    pub worse: Option<Day>,
    /// Erosion or a scratch so shallow that it is named and not urgent.
    pub is_minor: bool,
    /// Up to when it may be left as it is: of one that was accepted, or is small and open.
    pub left_until: Option<LeftUntil>,
    /// A blend that is within the screen only as far as it, or what was dressed there before it, is on record.
    pub measure_there: bool,
    /// It, dressed, and a blend since the last released overhaul within 1 in of one radius lie on both sides or both edges of one blade.
    pub lines_up: bool,
}

impl Finding {
    /// The report it is about.
    pub fn report<'f>(&self, fleet: &'f Fleet<'_>) -> &'f Defect {
        &fleet.defects.list()[self.report as usize]
    }

    /// Within, shop only or not measured.
    pub fn field_repair(&self) -> FieldRepair {
        self.screened.field_repair
    }

    /// Whether it is open.
    pub fn is_open(&self) -> bool {
        self.state.is_open()
    }

    /// Small or accepted, and to be looked at again.
    pub fn is_to_recheck(&self) -> bool {
        self.is_open() && self.left_until.is_some_and(|left| left.is_over)
    }

    /// The record that closes it, in words with file and line; `None` when it is open.
    pub fn closed_by(&self, fleet: &Fleet<'_>) -> Option<String> {
        match self.state {
            FindingState::Open(_) => None,
            FindingState::Closed(by) => Some(by.words(fleet, self.report(fleet))),
        }
    }

    /// Whether it is recorded as scrapped while the propeller is still listed.
    pub fn is_scrapped_but_listed(&self) -> bool {
        self.state == FindingState::Open(StillOpen::ScrappedButListed)
    }

    /// What it asks for, were it open.
    pub fn urgency(&self, fleet: &Fleet<'_>) -> Urgency {
        let urgency = Urgency::of(
            self.report(fleet),
            self.depth_in,
            self.is_scrapped_but_listed(),
            self.field_repair(),
            self.is_minor,
        );
        match urgency {
            Urgency::Dress | Urgency::Minor if self.is_to_recheck() => Urgency::LookAgain,
            other => other,
        }
    }

    /// Its place in the order of findings, smaller for the more severe.
    pub fn severity(&self, fleet: &Fleet<'_>) -> Severity {
        Severity::of(self.report(fleet), self.urgency(fleet), self.strength_retained, self.depth_share)
    }

    /// What and where it is: `nick 0.021 in deep on blade 1 leading edge at 78 %, found 2026-03-02`.
    pub fn words(&self, fleet: &Fleet<'_>) -> String {
        let report = self.report(fleet);
        let mut words = report.kind.word().to_string();
        if let Some(depth) = self.depth_in {
            words.push_str(&format!(" {depth:.3} in deep"));
        }
        match report.blade {
            Some(blade) => words.push_str(&format!(" on blade {blade}")),
            None => words.push_str(" on a blade not recorded"),
        }
        if let Some(surface) = report.surface {
            words.push_str(&format!(" {}", surface.words()));
        }
        match (report.station_pct, report.station_in) {
            (Some(pct), _) => words.push_str(&format!(" at {pct:.0} %")),
            (None, Some(inches)) => words.push_str(&format!(" at {inches:.2} in")),
            (None, None) => {}
        }
        words.push_str(&format!(", found {}", report.found));
        if let Some(worse) = self.worse {
            words.push_str(&format!(", worse on {worse}"));
        }
        words
    }

    /// Why it comes where it comes: its words, what the screen holds against it, and why it is open.
    ///
    /// `open crack on blade 2 at 71 %, found 2026-03-02: only scrapping closes a crack`.
    pub fn reason(&self, fleet: &Fleet<'_>) -> String {
        let words = self.words(fleet);
        let held = severity::against(self.screened.reason, self.cumulative_depth_in);
        match self.state {
            FindingState::Closed(_) => words,
            FindingState::Open(_) if self.is_minor && self.is_to_recheck() => {
                format!("open {words}: small, and to be looked at again")
            }
            FindingState::Open(why) => match held {
                Some(held) => format!("open {words}: {held}; {}", why.words()),
                None => format!("open {words}: {}", why.words()),
            },
        }
    }
}

/// Every finding of a fleet.
#[derive(Debug, Clone, Default)]
pub struct Findings {
    /// By propeller, day found and row: `rows[i]` is about report `i`.
    pub rows: Vec<Finding>,
    starts: Vec<u32>,
}

impl Findings {
    /// Judges every report of the fleet.
    ///
    /// `flown_since` is asked only for what was accepted or is small; see [`needs_hours`].
    pub fn of_fleet(
        fleet: &Fleet<'_>,
        survey: &Survey,
        margins: &Margins<'_, '_>,
        settings: &Settings,
        flown_since: FlownSince<'_>,
    ) -> Findings {
        let count = fleet.propellers.len() as u32;
        let parts: Vec<Vec<Finding>> = (0..count.div_ceil(PROPELLERS_AT_ONCE))
            .into_par_iter()
            .map(|slice| {
                let from = slice * PROPELLERS_AT_ONCE;
                let mut judge = Judge {
                    fleet,
                    limits: screen_limits(&settings.screen),
                    fatigue: FatigueScreen::new(&settings.fatigue),
                    margins,
                    dressed: MarginReader::new(fleet, survey, &settings.screen),
                    judging: Judging { small_in: settings.screen.small_finding_in, flown_since },
                };
                let mut rows = Vec::new();
                for propeller in from..(from + PROPELLERS_AT_ONCE).min(count) {
                    judge.propeller(propeller, &mut rows);
                }
                rows
            })
            .collect();
        let rows = parts.concat();
        let mut starts = vec![0u32; count as usize + 1];
        for row in &rows {
            starts[row.propeller as usize + 1] += 1;
        }
        for at in 0..count as usize {
            starts[at + 1] += starts[at];
        }
        Findings { rows, starts }
    }

    /// One propeller's findings in the order found.
    pub fn of(&self, propeller: u32) -> &[Finding] {
        match self.starts.get(propeller as usize..propeller as usize + 2) {
            Some(&[from, to]) => &self.rows[from as usize..to as usize],
            _ => &[],
        }
    }

    /// One propeller's open findings in the order found.
    pub fn open_of(&self, propeller: u32) -> impl Iterator<Item = &Finding> {
        self.of(propeller).iter().filter(|f| f.is_open())
    }

    /// One propeller's most severe open finding.
    pub fn worst_of(&self, fleet: &Fleet<'_>, propeller: u32) -> Option<&Finding> {
        self.open_of(propeller).min_by_key(|finding| (finding.severity(fleet), finding.report))
    }

    /// Positions in `rows` of the open findings of listed propellers, the most severe first.
    pub fn in_order(&self, fleet: &Fleet<'_>) -> Vec<u32> {
        let mut order: Vec<(Severity, u32)> = self
            .rows
            .iter()
            .zip(0u32..)
            .filter(|(finding, _)| finding.is_open() && is_listed(fleet, finding.propeller))
            .map(|(finding, at)| (finding.severity(fleet), at))
            .collect();
        order.sort_unstable();
        order.into_iter().map(|(_, at)| at).collect()
    }
}

/// Whether any report was accepted or is small, so that the hours flown since then are asked for.
pub fn needs_hours(fleet: &Fleet<'_>, settings: &Settings) -> bool {
    let small_in = settings.screen.small_finding_in;
    fleet.defects.list().iter().any(|d| d.action == Action::Accepted || is_minor(d.kind, d.depth_in, small_in))
}

/// Whether a finding of this kind and place is ever dressed in the field.
fn is_ever_dressed(report: &Defect) -> bool {
    !report.kind.is_shop_only() && report.surface != Some(Surface::Hub)
}

/// What judging one propeller after the other needs.
struct Judge<'f, 'a, 'h> {
    fleet: &'f Fleet<'a>,
    limits: ScreenLimits,
    fatigue: FatigueScreen,
    margins: &'f Margins<'f, 'a>,
    /// What was dressed out of the propeller that is looked at.
    dressed: MarginReader<'f, 'a>,
    judging: Judging<'h>,
}

impl Judge<'_, '_, '_> {
    fn propeller(&mut self, propeller: u32, rows: &mut Vec<Finding>) {
        let fleet = self.fleet;
        let reports = fleet.defects.of(propeller);
        if reports.is_empty() {
            return;
        }
        let first_visit = fleet.visits.range(propeller).start;
        let visits = fleet.visits.of(propeller);
        let first_report = fleet.defects.first_of(propeller);
        let since = fleet.visits.last_released_overhaul(propeller);
        // Most reports are closed, and then no margin is asked for.
        let mut margins: Option<Vec<Margin>> = None;
        for (at, recorded) in reports.iter().enumerate() {
            let number = first_report + at as u32;
            let looked_at = rechecked(fleet, number, recorded);
            let report: &Defect = &looked_at.report;
            let visit = closing_visit(&looked_at, visits);
            let found = looked_at.worse.unwrap_or(report.found);
            let margin_left_in = if visit.is_none() && is_ever_dressed(report) {
                let margins = margins.get_or_insert_with(|| self.margins.of(propeller));
                self.dressed.left_once_dressed(margins, report, found)
            } else {
                None
            };
            let lines_up = reports
                .iter()
                .enumerate()
                .any(|(other, blend)| other != at && blend.blended_since(since) && blend.lines_up_with(report));
            let visit = visit.map(|at| first_visit + at as u32);
            let finding = self.finding(&looked_at, number, visit, margin_left_in);
            let dressed = report.blended_since(since) || finding.is_open();
            rows.push(Finding { lines_up: lines_up && dressed, ..finding });
        }
    }

    /// What the screen holds a finding against: its own depth and what was dressed there before it was found.
    fn cumulative_depth_in(&mut self, report: &Defect, found: Day, counting: Counting) -> Option<f64> {
        let own = report.depth_in.filter(|d| d.is_finite() && *d >= 0.0);
        let rework = report.rework_depth_in.filter(|_| report.action == Action::Blended);
        // What was taken out is never less than the finding itself.
        let own = rework.into_iter().chain(own).reduce(f64::max)?;
        let before = self.dressed.gone_before(report, found, counting);
        Some(round_to_nano(if rework.is_some() { own.max(before) } else { own + before }))
    }

    fn finding(
        &mut self,
        looked_at: &Rechecked<'_>,
        number: u32,
        visit: Option<u32>,
        margin_left_in: Option<f64>,
    ) -> Finding {
        let report: &Defect = &looked_at.report;
        let found = looked_at.worse.unwrap_or(report.found);
        let is_blend = report.action == Action::Blended && !report.kind.is_shop_only();
        // A blend is judged by what is on record; what is still to be dressed by what may lie under it too.
        let counting = if is_blend { Counting::Recorded } else { Counting::Known };
        let cumulative_depth_in = self.cumulative_depth_in(report, found, counting);
        let input = ScreenInput {
            kind: report.kind,
            surface: report.surface,
            station_pct: report.station_pct,
            cumulative_depth_in,
            length_in: report.length_in,
            width_in: report.width_in,
            margin_left_in,
        };
        let screened = screen(&input, &self.limits);
        let is_whole = !is_blend || report.is_whole_blend();
        let field_repair = match is_whole {
            true => screened.field_repair,
            false => self.at_best(report).field_repair,
        };
        let (state, accepted) = state_of(self.fleet, looked_at, visit, field_repair, &self.judging);
        let measure_there = state == FindingState::Closed(ClosedBy::Blended) && {
            let largest = self.limits.depth_limit_in(report.surface);
            let before = self.dressed.gone_before(report, found, Counting::Worst);
            let worst = report.depth_in.or(report.rework_depth_in).or(largest).map(|own| own + before);
            let at_worst = ScreenInput { cumulative_depth_in: worst, margin_left_in: None, ..input };
            screen(&at_worst, &self.limits).field_repair == FieldRepair::ShopOnly
                && (!is_whole || worst > cumulative_depth_in)
        };
        let is_minor = looked_at.worse.is_none() && is_minor(report.kind, report.depth_in, self.judging.small_in);
        let left_until = accepted.or_else(|| {
            let from = looked_at.renewed.map_or(report.found, |day| day.max(report.found));
            let left = || left_until(self.fleet, report.propeller, from, None, self.judging.flown_since);
            (is_minor && state.is_open()).then(left)
        });
        Finding {
            propeller: report.propeller,
            report: number,
            station_in: report.station_in,
            screened,
            cumulative_depth_in,
            strength_retained: self
                .fatigue
                .strength_retained(report)
                .filter(|_| screened.field_repair != FieldRepair::ShopOnly),
            stress_mpa: self.fatigue.steady_stress_mpa(self.fleet, report),
            depth_share: cumulative_depth_in
                .zip(self.limits.depth_limit_in(report.surface))
                .map(|(depth, limit)| depth / limit),
            blend_length_in: (is_ever_dressed(report) && report.kind != DefectKind::Erosion)
                .then(|| blend_length_in(report.surface, report.depth_in))
                .flatten(),
            margin_left_in,
            state,
            depth_in: report.depth_in,
            worse: looked_at.worse,
            is_minor,
            left_until,
            measure_there,
            lines_up: false,
        }
    }

    /// What the screen says of a blend that is not on record whole, of what is on record alone: what is not is taken for what
    /// the screen lets pass.
    fn at_best(&self, report: &Defect) -> Screened {
        screen(
            &ScreenInput {
                kind: report.kind,
                surface: report.surface.or(Some(Surface::LeadingEdge)),
                station_pct: report.station_pct,
                cumulative_depth_in: report.depth_in.or(report.rework_depth_in).or(Some(0.0)),
                length_in: report.length_in,
                width_in: report.width_in,
                margin_left_in: None,
            },
            &self.limits,
        )
    }
}
