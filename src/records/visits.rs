//! Shop visits, by propeller and date.

use super::choice::{Outcome, Reason, RejectReason, Work, or_absent};
use super::gate::Gate;
use super::ledger::Fate;
use super::models::{Models, set_conflict_aside};
use super::offers::Offers;
use super::propellers::Propellers;
use super::rule::{Doubt, Rule, offered};
use super::same_key::SameKey;
pub use super::spoiled_visits::SpoiledVisit;
use super::spoiled_visits::spoiled_visits;
use super::words::{NO_WORD, Words};
use crate::trade::calendar::Day;

/// One visit to a shop, or one day of measurements without a visit.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// Index of the propeller.
    pub propeller: u32,
    /// Day of release or of rejection.
    pub day: Day,
    /// Row of `overhauls`; `None` when only measurements name the day.
    pub row: Option<u32>,
    /// What was done; `None` when not recorded.
    pub work: Option<Work>,
    /// How it ended; `None` when not recorded.
    pub outcome: Option<Outcome>,
    /// Why it was rejected.
    pub reject_reason: Option<RejectReason>,
    /// Why it went there.
    pub reason: Option<Reason>,
    /// Code of the shop in [`Visits::shops`].
    pub shop: Option<u32>,
    /// Hours since new at the visit.
    pub hours_since_new: Option<f64>,
    /// Hours since overhaul before the visit.
    pub hours_since_overhaul: Option<f64>,
    /// Track after the visit, in inches.
    pub track_in: Option<f64>,
    /// Diameter after the visit, in inches.
    pub diameter_after_in: Option<f64>,
    /// What it cost.
    pub cost: Option<f64>,
    /// Model named by `model_after`, when it is defined.
    pub model_after: Option<u32>,
    /// `model_after` names a model that is not defined, is left empty where it was shortened or re-pitched, or two rows name two:
    /// the designation is not known from here on.
    pub model_unknown: bool,
    /// Model in force when it left.
    pub model: Option<u32>,
    /// Whether stations moved at this visit: shortened, re-pitched or given another designation.
    pub changes_model: bool,
}

impl Visit {
    /// An overhaul that was released: the only visit that restarts the clock.
    pub fn restarts_clock(&self) -> bool {
        self.work == Some(Work::Overhaul) && self.outcome == Some(Outcome::Released)
    }

    /// An overhaul, however it ended.
    pub fn is_overhaul(&self) -> bool {
        self.work == Some(Work::Overhaul)
    }

    /// A visit that rejected the propeller.
    pub fn rejected(&self) -> bool {
        self.outcome == Some(Outcome::Rejected)
    }
}

/// Every visit, ordered by propeller and day.
#[derive(Debug, Clone, Default)]
pub struct Visits {
    list: Vec<Visit>,
    /// The day of each visit, close together: sheets are matched by the million.
    days: Vec<i32>,
    /// First visit of each propeller, and the end.
    starts: Vec<u32>,
    /// Names of shops.
    pub shops: Words,
    /// Rows that could not be used although they name a propeller, by propeller and day.
    pub spoiled: Vec<SpoiledVisit>,
    /// The model of each propeller today.
    models_now: Vec<Option<u32>>,
}

impl Visits {
    /// Every visit.
    pub fn list(&self) -> &[Visit] {
        &self.list
    }

    /// A visit by its number.
    pub fn get(&self, visit: u32) -> &Visit {
        &self.list[visit as usize]
    }

    /// Number of visits.
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Whether any visit says the diameter it left with.
    pub fn keeps_diameters(&self) -> bool {
        self.list.iter().any(|v| v.diameter_after_in.is_some())
    }

    /// The day of a propeller's last released overhaul.
    pub fn last_released_overhaul(&self, propeller: u32) -> Option<Day> {
        self.of(propeller).iter().rfind(|v| v.restarts_clock()).map(|v| v.day)
    }

    /// The numbers of one propeller's visits.
    pub fn range(&self, propeller: u32) -> std::ops::Range<u32> {
        self.starts[propeller as usize]..self.starts[propeller as usize + 1]
    }

    /// One propeller's visits in order of date.
    pub fn of(&self, propeller: u32) -> &[Visit] {
        let range = self.range(propeller);
        &self.list[range.start as usize..range.end as usize]
    }

    /// The days of one propeller's visits in order.
    pub(super) fn days_of(&self, propeller: u32) -> &[i32] {
        let range = self.range(propeller);
        &self.days[range.start as usize..range.end as usize]
    }

    fn from_list(list: Vec<Visit>, propellers: usize, shops: Words) -> Visits {
        let mut starts = vec![0u32; propellers + 1];
        for visit in &list {
            starts[visit.propeller as usize + 1] += 1;
        }
        for at in 0..propellers {
            starts[at + 1] += starts[at];
        }
        Visits {
            days: list.iter().map(|v| v.day.number()).collect(),
            list,
            starts,
            shops,
            spoiled: Vec::new(),
            models_now: Vec::new(),
        }
    }

    /// Reads `overhauls` through its gate.
    pub(super) fn read(gate: Option<&mut Gate<'_>>, propellers: &Propellers, models: &Models) -> Visits {
        let Some(gate) = gate else {
            return Visits::from_list(Vec::new(), propellers.len(), Words::default());
        };
        let table = gate.table;
        let Some((codes, words)) = table.text("propeller") else {
            return Visits::from_list(Vec::new(), propellers.len(), Words::default());
        };
        let index = PropellerOfCode::new(words, propellers);
        set_unknown_propellers_aside(gate, codes, &index, propellers);
        let days = table.days("overhaul_date").unwrap_or_default();
        let columns = Columns::of(gate, models);
        let mut rows: Vec<u32> = gate.used_rows().map(|r| r as u32).collect();
        let key = |row: u32| (index.of(codes[row as usize]), days[row as usize], row);
        if !rows.is_sorted_by_key(|&r| key(r)) {
            rows.sort_unstable_by_key(|&r| key(r));
        }
        let mut list: Vec<Visit> = Vec::with_capacity(rows.len());
        let mut same_key = SameKey::new();
        for &row in &rows {
            let Some(propeller) = index.of(codes[row as usize]) else {
                continue;
            };
            let visit = columns.visit(row, propeller, Day::from_number(days[row as usize]));
            columns.warn(gate, &visit, row);
            if let Some(first) = list.last_mut()
                && first.propeller == visit.propeller
                && first.day == visit.day
            {
                let said = |of: &Visit| Visit { row: None, ..of.clone() };
                let key = (visit.propeller, visit.day);
                let same = same_key.is_copy(key, said(first), said(&visit));
                let first_row = first.row.unwrap_or(row);
                if same {
                    gate.caution(row, "overhaul_date", Doubt::IdenticalRows, Some(propeller), Some(visit.day));
                } else {
                    less_favourable(first, &visit);
                    set_conflict_aside(gate, row, "overhaul_date", first_row);
                }
                continue;
            }
            list.push(visit);
        }
        let shops = table.text("shop").map(|(_, words)| words.clone()).unwrap_or_default();
        let mut visits = Visits::from_list(list, propellers.len(), shops);
        visits.spoiled = spoiled_visits(gate, &index, propellers, models);
        visits
    }

    /// One propeller's rows of `overhauls` that could not be used.
    pub fn spoiled_of(&self, propeller: u32) -> &[SpoiledVisit] {
        let from = self.spoiled.partition_point(|s| s.propeller < propeller);
        let to = self.spoiled.partition_point(|s| s.propeller <= propeller);
        &self.spoiled[from..to]
    }

    /// The model in force today; `None` when it is not known.
    pub fn model_now(&self, propeller: u32) -> Option<u32> {
        self.models_now.get(propeller as usize).copied().flatten()
    }

    /// Adds days of measurements that no visit explains; returns the new number of each old visit.
    pub(super) fn add_days(&mut self, mut days: Vec<(u32, Day)>, propellers: usize) -> Vec<u32> {
        days.sort_unstable();
        days.dedup();
        let old = std::mem::take(&mut self.list);
        let mut list = Vec::with_capacity(old.len() + days.len());
        let mut moved = Vec::with_capacity(old.len());
        let mut extra = days.into_iter().peekable();
        for visit in old {
            while let Some(&(propeller, day)) = extra.peek() {
                if (propeller, day) >= (visit.propeller, visit.day) {
                    break;
                }
                list.push(measured_only(propeller, day));
                extra.next();
            }
            moved.push(list.len() as u32);
            list.push(visit);
        }
        list.extend(extra.map(|(propeller, day)| measured_only(propeller, day)));
        let spoiled = std::mem::take(&mut self.spoiled);
        *self = Visits::from_list(list, propellers, std::mem::take(&mut self.shops));
        self.spoiled = spoiled;
        moved
    }

    /// Follows each propeller's designation through its visits. From a visit on that may have changed it and could not be
    /// used it is not known, until a later visit names it.
    pub(super) fn follow_models(&mut self, propellers: &Propellers) {
        self.models_now.clear();
        for propeller in 0..propellers.len() as u32 {
            let mut model = propellers.get(propeller).model;
            let range = self.range(propeller);
            let from = self.spoiled.partition_point(|s| s.propeller < propeller);
            let to = self.spoiled.partition_point(|s| s.propeller <= propeller);
            let mut lost = self.spoiled[from..to].iter().filter(|s| s.may_change_model).map(|s| s.day).peekable();
            for visit in &mut self.list[range.start as usize..range.end as usize] {
                let mut moved = false;
                // A day that could not be read comes first.
                while lost.next_if(|&day| day <= Some(visit.day)).is_some() {
                    moved = true;
                    model = None;
                }
                let renamed = visit.model_unknown || (visit.model_after.is_some() && visit.model_after != model);
                visit.changes_model = moved || renamed || matches!(visit.work, Some(Work::Shorten | Work::Repitch));
                if renamed {
                    model = visit.model_after;
                }
                visit.model = model;
            }
            if lost.next().is_some() {
                model = None;
            }
            self.models_now.push(model);
        }
    }
}

fn measured_only(propeller: u32, day: Day) -> Visit {
    Visit {
        propeller,
        day,
        row: None,
        work: None,
        outcome: None,
        reject_reason: None,
        reason: None,
        shop: None,
        hours_since_new: None,
        hours_since_overhaul: None,
        track_in: None,
        diameter_after_in: None,
        cost: None,
        model_after: None,
        model_unknown: false,
        model: None,
        changes_model: false,
    }
}

/// Which propeller each code of a table's `propeller` column names.
pub(super) struct PropellerOfCode(Vec<Option<u32>>);

impl PropellerOfCode {
    pub(super) fn new(words: &Words, propellers: &Propellers) -> PropellerOfCode {
        PropellerOfCode(words.iter().map(|serial| propellers.find(serial)).collect())
    }

    pub(super) fn of(&self, code: u32) -> Option<u32> {
        self.0.get(code as usize).copied().flatten()
    }
}

/// Sets aside the used rows whose propeller is not listed.
pub(super) fn set_unknown_propellers_aside(
    gate: &mut Gate<'_>,
    codes: &[u32],
    index: &PropellerOfCode,
    propellers: &Propellers,
) {
    let unknown: Vec<usize> = gate.used_rows().filter(|&row| index.of(codes[row]).is_none()).collect();
    let Some((_, words)) = gate.table.text("propeller") else {
        return;
    };
    let mut offers = Offers::default();
    for row in unknown {
        let serial = words.get(codes[row]);
        let rule = if propellers.is_later(serial) {
            Rule::PropellerNotYetListed
        } else {
            Rule::UnknownPropeller { nearest: offers.of(codes[row], || offered(&propellers.nearest(serial))) }
        };
        gate.set_aside(row as u32, "propeller", rule);
    }
}

/// Propellers that a record names although it could not be cut into fields.
pub(super) fn named_by_broken(gate: &Gate<'_>, propellers: &Propellers) -> Vec<(u32, u32)> {
    gate.table
        .broken()
        .iter()
        .filter(|b| gate.fates[b.row as usize] == Fate::SetAside)
        .flat_map(|b| b.pieces.iter().filter_map(|piece| propellers.find(piece)).map(|propeller| (b.row, propeller)))
        .collect()
}

struct Columns<'a> {
    work: Option<&'a [u8]>,
    outcome: Option<&'a [u8]>,
    reject_reason: Option<&'a [u8]>,
    reason: Option<&'a [u8]>,
    shop: Option<&'a [u32]>,
    hours_since_new: Option<&'a [f64]>,
    hours_since_overhaul: Option<&'a [f64]>,
    track: Option<&'a [f64]>,
    diameter_after: Option<&'a [f64]>,
    cost: Option<&'a [f64]>,
    model_after: Option<(&'a [u32], Vec<Option<u32>>)>,
}

impl<'a> Columns<'a> {
    fn of(gate: &Gate<'a>, models: &Models) -> Columns<'a> {
        let table = gate.table;
        Columns {
            work: table.choices("work"),
            outcome: table.choices("outcome"),
            reject_reason: table.choices("reject_reason"),
            reason: table.choices("reason"),
            shop: table.text("shop").map(|(codes, _)| codes),
            hours_since_new: table.numbers("hours_since_new"),
            hours_since_overhaul: table.numbers("hours_since_overhaul"),
            track: table.numbers("track"),
            diameter_after: table.numbers("diameter_after"),
            cost: table.numbers("cost"),
            model_after: table
                .text("model_after")
                .map(|(codes, words)| (codes, words.iter().map(|name| models.find(name)).collect())),
        }
    }

    fn visit(&self, row: u32, propeller: u32, day: Day) -> Visit {
        let at = row as usize;
        let number = |column: Option<&[f64]>| column.map(|c| c[at]).filter(|v| !v.is_nan());
        let choice = |column: Option<&[u8]>| column.map_or(super::cells::NO_CHOICE, |c| c[at]);
        let reject_reason = RejectReason::of_cell(choice(self.reject_reason));
        // Where no outcome is ever recorded, a visit that names why it rejected did reject.
        let unsaid = match reject_reason {
            Some(_) => Outcome::Rejected,
            None => Outcome::Released,
        };
        let outcome = or_absent(self.outcome, at, unsaid, Outcome::of_cell);
        let named = self.model_after.as_ref().map(|(codes, models)| {
            let code = codes[at];
            (code != NO_WORD, models.get(code as usize).copied().flatten())
        });
        let work = or_absent(self.work, at, Work::Overhaul, Work::of_cell);
        // Shortened or re-pitched it has another designation, whatever was left out.
        let has_another = matches!(work, Some(Work::Shorten | Work::Repitch));
        Visit {
            row: Some(row),
            work,
            outcome,
            reject_reason,
            reason: Reason::of_cell(choice(self.reason)),
            shop: self.shop.map(|c| c[at]).filter(|&c| c != NO_WORD),
            hours_since_new: number(self.hours_since_new),
            hours_since_overhaul: number(self.hours_since_overhaul),
            track_in: number(self.track),
            diameter_after_in: number(self.diameter_after),
            cost: number(self.cost),
            model_after: named.and_then(|(_, model)| model),
            model_unknown: named.is_some_and(|(filled, model)| model.is_none() && (filled || has_another)),
            ..measured_only(propeller, day)
        }
    }

    fn warn(&self, gate: &mut Gate<'_>, visit: &Visit, row: u32) {
        let unsaid =
            [("outcome", Doubt::NoOutcome, visit.outcome.is_none()), ("work", Doubt::NoWork, visit.work.is_none())];
        for (column, doubt, holds) in unsaid {
            // A word that could not be read has a caution of its own.
            if holds && !gate.is_unreadable(row, column) {
                gate.caution(row, column, doubt, Some(visit.propeller), Some(visit.day));
            }
        }
        let is_named = self.model_after.as_ref().is_some_and(|(codes, _)| codes[row as usize] != NO_WORD);
        if visit.model_unknown {
            let (column, doubt) =
                if is_named { ("model_after", Doubt::UndefinedModel) } else { ("work", Doubt::NoNewDesignation) };
            gate.caution(row, column, doubt, Some(visit.propeller), Some(visit.day));
        }
    }
}

/// Two rows for one visit: cell by cell the one that makes the propeller look less safe.
fn less_favourable(first: &mut Visit, other: &Visit) {
    // A change of designation ends what older sheets say; work that is not recorded says less than any that is; an
    // inspection leaves the readings it came with, and an overhaul restarts the clock.
    let favourable = |work: Option<Work>| match work {
        Some(Work::Shorten) => 0,
        Some(Work::Repitch) => 1,
        None => 2,
        Some(Work::Repair) => 3,
        Some(Work::StrikeInspection) => 4,
        Some(Work::DimensionalInspection) => 5,
        Some(Work::Overhaul) => 6,
    };
    if favourable(other.work) < favourable(first.work) {
        first.work = other.work;
    }
    first.outcome = match (first.outcome, other.outcome) {
        (Some(Outcome::Rejected), _) | (_, Some(Outcome::Rejected)) => Some(Outcome::Rejected),
        (None, _) | (_, None) => None,
        (kept, _) => kept,
    };
    let more = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => Some(a.max(b)),
        (a, b) => a.or(b),
    };
    first.hours_since_new = more(first.hours_since_new, other.hours_since_new);
    first.hours_since_overhaul = more(first.hours_since_overhaul, other.hours_since_overhaul);
    first.track_in = more(first.track_in, other.track_in);
    first.diameter_after_in = match (first.diameter_after_in, other.diameter_after_in) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    first.cost = more(first.cost, other.cost);
    first.reject_reason = agreed(first.reject_reason, other.reject_reason);
    first.reason = agreed(first.reason, other.reason);
    first.shop = agreed(first.shop, other.shop);
    first.model_unknown |=
        other.model_unknown || matches!((first.model_after, other.model_after), (Some(a), Some(b)) if a != b);
    first.model_after = match first.model_unknown {
        true => None,
        false => first.model_after.or(other.model_after),
    };
}

/// What two rows say together: the one that says something, nothing where they contradict each other.
fn agreed<T: PartialEq>(a: Option<T>, b: Option<T>) -> Option<T> {
    match (a, b) {
        (Some(a), Some(b)) if a != b => None,
        (a, b) => a.or(b),
    }
}
