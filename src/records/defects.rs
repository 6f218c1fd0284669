//! Damage reports.

use super::cells::{NO_DAY, NO_SMALL};
use super::choice::{Action, or_absent};
use super::gate::Gate;
use super::loaded_table::LoadedTable;
use super::models::{Model, Models};
use super::propellers::Propellers;
use super::rule::{Doubt, Rule};
use super::schema::YES_NO;
use super::unread_reports::{self, UnreadReport};
use super::visits::{PropellerOfCode, Visits, named_by_broken, set_unknown_propellers_aside};
use super::words::{NO_WORD, Words};
use crate::trade::calendar::Day;
use crate::trade::damage::{DefectKind, Surface};
use crate::trade::field_repair::{SAME_RADIUS_IN, line_up_across};

/// One damage report, as of a date.
#[derive(Debug, Clone, PartialEq)]
pub struct Defect {
    /// Row of the table, from 0.
    pub row: u32,
    /// Index of the propeller.
    pub propeller: u32,
    /// Day it was found.
    pub found: Day,
    /// Blade, from 1.
    pub blade: Option<u8>,
    /// Percent of the radius, when known.
    pub station_pct: Option<f64>,
    /// Distance from the hub centre in inches, when known.
    pub station_in: Option<f64>,
    /// Where on the section.
    pub surface: Option<Surface>,
    /// What it is.
    pub kind: DefectKind,
    /// Depth in inches.
    pub depth_in: Option<f64>,
    /// Length along the blade in inches.
    pub length_in: Option<f64>,
    /// Width across the blade in inches.
    pub width_in: Option<f64>,
    /// Depth that was dressed out, in inches from the original surface.
    pub rework_depth_in: Option<f64>,
    /// Length that was dressed out along the blade, in inches.
    pub rework_length_in: Option<f64>,
    /// Whether the dressed place got its coat and paint back.
    pub refinished: Option<bool>,
    /// What was done by the as-of date.
    pub action: Action,
    /// Whether the records say what was done: a whole column that is absent says none, an empty or unreadable cell of one
    /// that is there says nothing, and anything may have been done.
    pub action_recorded: bool,
    /// Day it was done.
    pub action_date: Option<Day>,
    /// Who did it, a code of [`Defects::people`].
    pub action_by: Option<u32>,
    /// Day to look again.
    pub recheck: Option<Day>,
}

/// Every damage report, ordered by propeller, day found and row.
#[derive(Debug, Clone, Default)]
pub struct Defects {
    list: Vec<Defect>,
    starts: Vec<u32>,
    /// Who acted.
    pub people: Words,
    /// Propellers a set-aside report names, with its row, ordered by propeller.
    pub spoiled: Vec<(u32, u32)>,
    /// What can be read of these, in the same order.
    unread: Vec<UnreadReport>,
    /// Whether the fleet keeps the table at all.
    pub kept: bool,
}

impl Defect {
    /// Whether it is a blend that was dressed in the field and says where and how deep: blade, place, side and depth.
    pub fn is_whole_blend(&self) -> bool {
        let placed = self.station_pct.or(self.station_in).is_some() || self.surface == Some(Surface::Tip);
        let deep = self.depth_in.or(self.rework_depth_in).is_some();
        self.action == Action::Blended && self.blade.is_some() && placed && self.surface.is_some() && deep
    }

    /// Whether repairs of these two would line up across one blade: known to lie within 1 in of one radius on both its sides
    /// or both its edges.
    pub fn lines_up_with(&self, other: &Defect) -> bool {
        let near = |(a, b): (f64, f64)| (a - b).abs() <= SAME_RADIUS_IN;
        self.blade.is_some()
            && self.blade == other.blade
            && self.station_in.zip(other.station_in).is_some_and(near)
            && self.surface.zip(other.surface).is_some_and(|(a, b)| line_up_across(a, b))
    }

    /// Whether it was dressed since a day; a blend without a day counts as made after it.
    pub fn blended_since(&self, day: Option<Day>) -> bool {
        self.action == Action::Blended && self.action_date.zip(day).is_none_or(|(dressed, day)| dressed > day)
    }

    /// Whether it was dressed, or may have been: the records do not say what was done.
    pub fn may_be_dressed(&self) -> bool {
        self.action == Action::Blended || !self.action_recorded
    }
}

impl Defects {
    /// Every report.
    pub fn list(&self) -> &[Defect] {
        &self.list
    }

    /// One propeller's reports in order of the day found.
    pub fn of(&self, propeller: u32) -> &[Defect] {
        match self.starts.get(propeller as usize..propeller as usize + 2) {
            Some(&[from, to]) => &self.list[from as usize..to as usize],
            _ => &[],
        }
    }

    /// Number of one propeller's first report in [`Defects::list`].
    pub fn first_of(&self, propeller: u32) -> u32 {
        self.starts.get(propeller as usize).copied().unwrap_or(0)
    }

    /// Whether a report of this propeller could not be read.
    pub fn is_spoiled(&self, propeller: u32) -> bool {
        self.spoiled.binary_search_by_key(&propeller, |&(p, _)| p).is_ok()
    }

    /// What can be read of one propeller's reports that were set aside.
    pub fn unread_of(&self, propeller: u32) -> &[UnreadReport] {
        let from = self.unread.partition_point(|unread| unread.report.propeller < propeller);
        let to = self.unread.partition_point(|unread| unread.report.propeller <= propeller);
        &self.unread[from..to]
    }

    /// What can be read of every report that was set aside.
    pub fn unread(&self) -> &[UnreadReport] {
        &self.unread
    }

    /// Reads `defects` through its gate.
    pub(super) fn read(
        gate: Option<&mut Gate<'_>>,
        propellers: &Propellers,
        models: &Models,
        visits: &Visits,
        as_of: Day,
    ) -> Defects {
        let Some(gate) = gate else {
            return Defects::default();
        };
        let table = gate.table;
        let (Some((codes, words)), Some(days), Some(kinds)) =
            (table.text("propeller"), table.days("found_date"), table.choices("kind"))
        else {
            return Defects::default();
        };
        let index = PropellerOfCode::new(words, propellers);
        set_unknown_propellers_aside(gate, codes, &index, propellers);
        let cells = Cells { table, kinds, as_of };
        let mut list = Vec::new();
        let used: Vec<usize> = gate.used_rows().collect();
        for row in used {
            let (Some(propeller), Some(kind)) = (index.of(codes[row]), cells.kind(row)) else {
                continue;
            };
            let report = cells.report(row, propeller, Day::from_number(days[row]), kind, &|_| true);
            let model = model_on(propellers, visits, propeller, report.found).map(|m| models.get(m));
            match placed(report, model, &cells) {
                Ok(report) => list.push(report),
                Err((column, rule)) => gate.set_aside(row as u32, column, rule),
            }
        }
        list.sort_by_key(|d| (d.propeller, d.found, d.row));
        let mut starts = vec![0u32; propellers.len() + 1];
        for defect in &list {
            starts[defect.propeller as usize + 1] += 1;
        }
        for at in 0..propellers.len() {
            starts[at + 1] += starts[at];
        }
        let mut spoiled: Vec<(u32, u32)> = gate
            .set_aside
            .iter()
            .filter_map(|s| Some((index.of(codes[s.row as usize])?, s.row)))
            .chain(named_by_broken(gate, propellers).into_iter().map(|(row, propeller)| (propeller, row)))
            .collect();
        spoiled.sort_unstable();
        spoiled.dedup();
        for &(propeller, row) in &spoiled {
            gate.caution(row, "propeller", Doubt::ReportNotUsed, Some(propeller), None);
        }
        let unread = unread_reports::read(gate, &cells, &spoiled, propellers, models, visits);
        Defects {
            list,
            starts,
            unread,
            people: table.text("action_by").map(|(_, words)| words.clone()).unwrap_or_default(),
            spoiled,
            kept: true,
        }
    }
}

/// The cells of the table.
pub(super) struct Cells<'t> {
    table: &'t LoadedTable,
    kinds: &'t [u8],
    as_of: Day,
}

impl Cells<'_> {
    pub(super) fn kind(&self, row: usize) -> Option<DefectKind> {
        DefectKind::ALL.get(self.kinds[row] as usize).copied()
    }

    pub(super) fn day(&self, name: &str, row: usize) -> Option<Day> {
        self.table.days(name).map(|c| c[row]).filter(|&d| d != NO_DAY).map(Day::from_number)
    }

    /// A report as its row has it, before it is placed on its blade; of the cells those that are `usable`.
    pub(super) fn report(
        &self,
        row: usize,
        propeller: u32,
        found: Day,
        kind: DefectKind,
        usable: &dyn Fn(&str) -> bool,
    ) -> Defect {
        let table = self.table;
        let number = |name: &str| table.numbers(name).map(|c| c[row]).filter(|v| !v.is_nan()).filter(|_| usable(name));
        let day = |name: &str| self.day(name, row).filter(|_| usable(name));
        let action_date = day("action_date");
        // An action dated after the as-of date has not been taken yet.
        let acted = action_date.is_none_or(|d| d <= self.as_of);
        let action = or_absent(table.choices("action"), row, Action::NoAction, Action::of_cell);
        Defect {
            row: row as u32,
            propeller,
            found,
            blade: table.small("blade").map(|c| c[row]).filter(|&b| b != NO_SMALL && usable("blade")),
            station_pct: number("station_pct"),
            station_in: number("station"),
            surface: table.choices("surface").and_then(|c| Surface::ALL.get(c[row] as usize).copied()),
            kind,
            depth_in: number("depth"),
            length_in: number("length"),
            width_in: number("width"),
            rework_depth_in: number("rework_depth"),
            rework_length_in: number("rework_length"),
            refinished: table.choices("refinished").and_then(|c| YES_NO.get(c[row] as usize)).map(|w| *w == "yes"),
            action: action.filter(|_| acted).unwrap_or(Action::NoAction),
            action_recorded: action.is_some() || !acted,
            action_date: action_date.filter(|_| acted),
            action_by: table.text("action_by").map(|(codes, _)| codes[row]).filter(|&c| c != NO_WORD && acted),
            recheck: day("recheck_date").filter(|_| acted),
        }
    }
}

/// A report at its place on a blade of the model in force, or the column and the rule that set it aside.
fn placed(mut report: Defect, model: Option<&Model>, cells: &Cells<'_>) -> Result<Defect, (&'static str, Rule)> {
    let blades = model.and_then(|m| m.blades).unwrap_or(3);
    if report.blade.is_some_and(|b| b == 0 || b > blades) {
        return Err(("blade", Rule::BladeBeyondCount { blades }));
    }
    if let Some(model) = model {
        if let (Some(p), (Some(at), _)) = (report.station_pct, model.place(None, report.station_in))
            && (at - p).abs() > 1.0
        {
            return Err(("station", Rule::StationsDisagree));
        }
        (report.station_pct, report.station_in) = model.place(report.station_pct, report.station_in);
    }
    if report.station_pct.is_some_and(|p| p > 101.0) {
        let says_percent = cells.table.numbers("station_pct").is_some_and(|c| !c[report.row as usize].is_nan());
        return Err((if says_percent { "station_pct" } else { "station" }, Rule::StationOffBlade));
    }
    let depths = [(report.depth_in, "depth"), (report.rework_depth_in, "rework_depth")];
    let recorded = depths.into_iter().filter_map(|(depth, column)| Some((depth?, column)));
    if let Some((depth, column)) = recorded.max_by(|a, b| a.0.total_cmp(&b.0))
        && let Some(thickness_in) = model.and_then(|m| new_thickness(m, report.station_pct))
        && !report.surface.is_some_and(Surface::is_edge)
        && report.surface != Some(Surface::Tip)
        && depth > thickness_in
    {
        return Err((column, Rule::DeeperThanBlade { thickness_in }));
    }
    Ok(report)
}

/// The model in force on a day.
pub fn model_on(propellers: &Propellers, visits: &Visits, propeller: u32, day: Day) -> Option<u32> {
    let of = visits.of(propeller);
    match of.partition_point(|v| v.day <= day) {
        0 => propellers.get(propeller).model,
        after => of[after - 1].model,
    }
}

/// Thickness of a new blade at a percent of the radius; the thickest listed station when the place is not known.
fn new_thickness(model: &Model, pct: Option<f64>) -> Option<f64> {
    let listed = || model.stations.iter().filter_map(|s| Some((s.pct?, s.thickness.new_in?)));
    let Some(pct) = pct else {
        return listed().map(|(_, t)| t).reduce(f64::max);
    };
    let below = listed().rfind(|(p, _)| *p <= pct);
    let above = listed().find(|(p, _)| *p >= pct);
    match (below, above) {
        (Some((p0, t0)), Some((p1, t1))) if p1 > p0 => Some(t0 + (t1 - t0) * (pct - p0) / (p1 - p0)),
        (Some((_, t)), _) | (None, Some((_, t))) => Some(t),
        (None, None) => None,
    }
}
