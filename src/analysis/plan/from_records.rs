//! What the records say of each seat: when its next overhaul falls, its chances, its use, its prices.

use std::collections::HashMap;
use std::sync::Arc;

use super::prices::{LeadBasis, PlanPrices};
use super::seat::{Chances, First, Seat, Strength};
use super::shop_year::{ShopYear, of_dimension, shared};
use super::spares::Shelf;
use super::timeline::{DAYS_PER_MONTH, Timeline};
use super::unscheduled::Unscheduled;
use super::{Question, Seats};
use crate::analysis::due::{Due, DueRow};
use crate::analysis::findings::Findings;
use crate::analysis::forecast::{Fits, Forecaster};
use crate::analysis::hours::Reached;
use crate::analysis::lost_readings::{MeanPass, Sums};
use crate::analysis::recorded_hours::RecordedHours;
use crate::analysis::remaining::{OUTLOOK_OVERHAULS, Remaining};
use crate::analysis::standing::List;
use crate::records::Fleet;
use crate::records::choice::Force;
use crate::settings::Settings;
use crate::trade::calendar::Day;
use crate::trade::field_repair::DefectKind;
use crate::trade::geometry::Dimension;

/// Results that the plan rests on.
#[derive(Clone, Copy)]
pub struct Sources<'s, 'a> {
    /// The fleet.
    pub fleet: &'s Fleet<'a>,
    /// Settings in force.
    pub settings: &'s Settings,
    /// Due dates and use.
    pub due: &'s Due,
    /// What is left of each listed propeller, in order of serial.
    pub remaining: &'s [Remaining],
    /// What the cycles say.
    pub fits: &'s Fits,
    /// Every finding, judged.
    pub findings: &'s Findings,
}

impl Sources<'_, '_> {
    /// Whether a propeller is rejected whenever a shop looks at it: a dimension below its minimum by the last sheet, or an
    /// open crack, which closes only by scrapping.
    pub fn is_condemned(&self, remaining: &Remaining) -> bool {
        let reports = self.fleet.defects.list();
        let is_crack = |report: u32| {
            let report = reports.get(report as usize);
            report.is_some_and(|report| report.kind == DefectKind::Crack)
        };
        let mut open = self.findings.open_of(remaining.propeller);
        remaining.below_minimum || open.any(|finding| is_crack(finding.report))
    }
}

/// Seats as the records give them.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// Day it starts from.
    pub starts: Day,
    /// Propellers whose chances of passing are upper bounds.
    pub upper_bounds: usize,
    /// Models whose lead time is not recorded, so that an order-by date counts none.
    pub no_lead_time: usize,
    /// The seats.
    pub seats: Seats,
    /// Model of each number in the plan; `None` is the one not recorded.
    pub models: Vec<Option<u32>>,
    /// Prices.
    pub prices: PlanPrices,
    /// Propellers that are rejected, scrapped or sold and still listed: no seat of the plan.
    pub ended: usize,
    /// Those of them that the records still show on an aircraft, each of which may have to be replaced now.
    pub ended_on_aircraft: usize,
    /// What their replacements would cost at most, at today's prices; `None` without prices.
    pub ended_cost: Option<f64>,
    /// Propellers at a shop today of which no return date ahead is on record.
    pub not_back: usize,
    /// Seats whose limits are not watched, by choice, and planned as if they were recommended.
    pub not_watched: usize,
    /// Seats whose chances are not known, so that the mean of their model or of the fleet stands in.
    pub stand_in_chances: usize,
    /// Seats whose chances nothing tells: only other causes reject them.
    pub no_chances: usize,
    /// Models of the plan whose prices are stood in for by the dearest of others.
    pub unpriced_models: Vec<Option<u32>>,
    /// Unscheduled visits.
    pub unscheduled: Unscheduled,
    /// What the overhauls of one shop and year share, by dimension.
    pub shop_years: [ShopYear; 2],
}

/// The question that the settings ask.
pub fn question(as_of: Day, settings: &Settings) -> Question {
    Question {
        as_of,
        years: settings.budget.years,
        use_growth_pct: settings.budget.use_growth_pct,
        price_growth_pct: settings.fleet.price_growth_pct,
        opening_balance: settings.budget.opening_balance,
        seed: u64::from(settings.forecast.seed),
        fleets: None,
    }
}

impl Planned {
    /// Seats of the listed propellers that are shown.
    pub fn of(sources: &Sources<'_, '_>, shows: impl Fn(u32) -> bool) -> Planned {
        let fleet = sources.fleet;
        let settings = sources.settings;
        let rows: Vec<(&DueRow, &Remaining)> =
            sources.due.rows.iter().zip(sources.remaining).filter(|(row, _)| shows(row.propeller)).collect();
        let (ended, rows): (Vec<_>, Vec<_>) = rows.into_iter().partition(|(row, _)| fleet.is_ended(row.propeller));
        let mut models: Vec<Option<u32>> = rows.iter().map(|(row, _)| row.model).collect();
        models.sort_by(|a, b| name(fleet, *a).cmp(name(fleet, *b)));
        models.dedup();
        let number: HashMap<Option<u32>, usize> = models.iter().enumerate().map(|(at, &m)| (m, at)).collect();

        let prices = PlanPrices::of_fleet(fleet, settings.fleet.price_growth_pct);
        let priced = prices.of(None).costs.is_some();
        let hours = RecordedHours::of(fleet, &sources.due.hours);
        let unscheduled = Unscheduled::of(fleet, &hours);
        let shop_years = Dimension::ALL.map(|d| of_dimension(fleet, sources.fits, d));
        let mut chances = ChanceBook::of(sources, &models);
        let timeline = Timeline::new(fleet.as_of, 1, 1, 0.0, 0.0);
        let overdue = overdue_months(sources, &rows);

        let list: Vec<Seat> = rows
            .iter()
            .map(|(row, remaining)| {
                let price = prices.of(row.model);
                let spare = row.list == List::Spare;
                let flies = row.rate.hours_per_day.filter(|_| !spare);
                Seat {
                    propeller: row.propeller,
                    model: number[&row.model],
                    strength: match row.interval.force {
                        Force::Binding => Strength::Binding,
                        Force::Recommended | Force::NoForce => Strength::Recommended,
                    },
                    spare,
                    back: back(fleet, row, &timeline),
                    own: match sources.is_condemned(remaining) {
                        true => Chances::always(0.0),
                        false => chances.own(row, remaining),
                    },
                    fresh: chances.fresh(row.model),
                    first: first(row, &timeline, spare, overdue.get(&row.propeller).copied()),
                    interval_months: row.interval.months.value().map(|months| months.clamp(1.0, 12_000.0) as u32),
                    interval_hours: row.interval.hours.value().filter(|hours| *hours > 0.0),
                    hours_per_month: flies.unwrap_or(0.0) * DAYS_PER_MONTH,
                    use_spread: sources.due.hours.spread(row.propeller).cv,
                    unscheduled_per_hour: unscheduled.per_hour.unwrap_or(0.0),
                    shared: shared_of(sources, &shop_years, row.model),
                    costs: price.costs,
                    overhaul_days: price.overhaul_days,
                    replacement_days: Some(prices.lead(row.model).days),
                }
            })
            .collect();

        let shelves = models
            .iter()
            .map(|&model| {
                let of_model = || rows.iter().filter(|(row, _)| row.model == model);
                let may_install = |(row, remaining): &&(&DueRow, &Remaining)| {
                    let dated = row.days_to_due.is_some_and(|days| days >= 0);
                    let sound = !row.state.is_past()
                        && !remaining.below_minimum
                        && !fleet.defects.is_spoiled(row.propeller)
                        && sources.findings.open_of(row.propeller).next().is_none();
                    row.list == List::Spare && dated && sound
                };
                Shelf {
                    model: name(fleet, model).to_string(),
                    spares: of_model().filter(may_install).count() as u32,
                    replacement_days: Some(prices.lead(model).days),
                    seats: of_model().filter(|(row, _)| row.list != List::Spare).count() as u32,
                }
            })
            .collect();
        let count = |which: &dyn Fn(&DueRow) -> bool| rows.iter().filter(|(row, _)| which(row)).count();
        let unpriced_models =
            models.iter().copied().filter(|&model| priced && (model.is_none() || prices.of(model).stand_in)).collect();
        let no_lead_time = models.iter().filter(|&&model| prices.lead(model).basis != LeadBasis::Recorded).count();
        // Whether another one hangs there by now is not on record: its price is the most that it can cost.
        let on_aircraft: Vec<f64> = ended
            .iter()
            .filter(|(row, _)| row.list == List::Flying && fleet.aircraft_of(row.propeller).is_some())
            .map(|(row, _)| prices.of(row.model).costs.map_or(0.0, |costs| costs.replacement + costs.removal))
            .collect();
        let not_back = list.iter().filter(|seat| seat.back.is_infinite()).count();
        Planned {
            seats: Seats { list, shelves, priced },
            models,
            prices,
            ended: ended.len(),
            ended_on_aircraft: on_aircraft.len(),
            ended_cost: priced.then(|| on_aircraft.iter().fold(0.0, |sum, costs| sum + costs)),
            not_back,
            upper_bounds: rows.iter().filter(|(_, r)| r.upper_bound).count(),
            no_lead_time,
            starts: fleet.as_of,
            not_watched: count(&|row| row.interval.force == Force::NoForce && row.due.is_some()),
            stand_in_chances: chances.stand_ins,
            no_chances: chances.unknown,
            unpriced_models,
            unscheduled,
            shop_years,
        }
    }
}

/// The name of a model of the plan.
fn name<'f>(fleet: &'f Fleet<'_>, model: Option<u32>) -> &'f str {
    model.map_or("not recorded", |m| fleet.models.get(m).name.as_str())
}

/// Whether a shop visit cannot wait for the due date: past its limit, or a limit stands and no overhaul is on record.
fn is_overdue(row: &DueRow, as_of: Day) -> bool {
    let limited = row.interval.hours.value().is_some() || row.interval.months.value().is_some();
    row.state.is_past() || row.due.is_some_and(|due| due < as_of) || (row.clock_start.is_none() && limited)
}

/// The month in which each overdue overhaul is done: the longest overdue first, those without any date before them, so many
/// a month as are allowed.
fn overdue_months(sources: &Sources<'_, '_>, rows: &[(&DueRow, &Remaining)]) -> HashMap<u32, usize> {
    let per_month = sources.settings.budget.overhauls_per_month;
    let mut overdue: Vec<(Option<Day>, u32)> = rows
        .iter()
        .filter_map(|(row, remaining)| {
            let condemned = row.list != List::Spare && sources.is_condemned(remaining);
            // What will be rejected goes with those that have no date: neither may wait.
            let date = row.due.filter(|_| !condemned);
            (condemned || is_overdue(row, sources.fleet.as_of)).then_some((date, row.propeller))
        })
        .collect();
    overdue.sort();
    overdue
        .into_iter()
        .enumerate()
        .map(|(at, (_, propeller))| {
            let month = per_month.map_or(0, |most| at / most.max(1) as usize);
            (propeller, month)
        })
        .collect()
}

fn first(row: &DueRow, timeline: &Timeline, spare: bool, overdue: Option<usize>) -> First {
    if let Some(month) = overdue {
        return First::Overdue { month };
    }
    let by_hours = row.due_hours.and_then(Reached::day).filter(|_| !spare);
    First::Due {
        calendar_month: row.due_calendar.map(|day| timeline.month_of(day).max(0) as usize),
        hours_months: by_hours.map(|day| f64::from((day - timeline.as_of).max(0)) / DAYS_PER_MONTH),
    }
}

/// Until when it is at a shop: without a return date ahead it counts as away, so that an empty cell never plans a propeller in.
fn back(fleet: &Fleet<'_>, row: &DueRow, timeline: &Timeline) -> f64 {
    match (row.list, fleet.propellers.get(row.propeller).expected_back) {
        (List::AtShop, Some(day)) if day >= fleet.as_of => timeline.place_of(day),
        (List::AtShop, _) => f64::INFINITY,
        _ => 0.0,
    }
}

/// The share that a year has in common: the larger of the two dimensions'.
fn shared_of(sources: &Sources<'_, '_>, years: &[ShopYear; 2], model: Option<u32>) -> f64 {
    Dimension::ALL
        .into_iter()
        .filter_map(|d| {
            let pool = sources.fits.pool(model, d);
            shared(years[d as usize], pool, &sources.settings.budget)
        })
        .fold(0.0, f64::max)
}

/// Chances of the propellers in their seats and of new ones.
struct ChanceBook {
    other: f64,
    fresh: HashMap<Option<u32>, Arc<Chances>>,
    means: MeanPass,
    stand_ins: usize,
    unknown: usize,
}

impl ChanceBook {
    fn of(sources: &Sources<'_, '_>, models: &[Option<u32>]) -> ChanceBook {
        let forecaster = Forecaster::new(sources.fleet, sources.fits);
        let other = sources.fits.other_chance.unwrap_or(0.0);
        let means = MeanPass::of(sources.fleet, sources.remaining);
        let new: HashMap<u32, Vec<f64>> =
            models.iter().flatten().filter_map(|&m| Some((m, forecaster.fresh(m)?))).collect();
        // In the order of the models, so that sums are the same in every run.
        let mut of_new = Sums::default();
        for pass in models.iter().flatten().filter_map(|m| new.get(m)) {
            of_new.add(pass);
        }
        let any_new = of_new.mean().or_else(|| means.of_fleet());
        let fresh = models
            .iter()
            .map(|&model| {
                let pass = model.and_then(|m| new.get(&m)).or(any_new.as_ref());
                (model, Arc::new(chances(pass.map(Vec::as_slice), other)))
            })
            .collect();
        ChanceBook { other, fresh, means, stand_ins: 0, unknown: 0 }
    }

    fn own(&mut self, row: &DueRow, remaining: &Remaining) -> Chances {
        if remaining.pass.is_some() {
            return chances(remaining.pass.as_deref(), self.other);
        }
        let stand_in = self.means.of_model(row.model);
        match stand_in {
            Some(_) => self.stand_ins += 1,
            None => self.unknown += 1,
        }
        chances(stand_in.as_deref(), self.other)
    }

    fn fresh(&self, model: Option<u32>) -> Arc<Chances> {
        match self.fresh.get(&model) {
            Some(chances) => Arc::clone(chances),
            None => Arc::new(chances(None, self.other)),
        }
    }
}

fn chances(pass: Option<&[f64]>, other: f64) -> Chances {
    match pass {
        Some(pass) => Chances::new(pass, other, OUTLOOK_OVERHAULS as usize),
        None => Chances::always(1.0 - other),
    }
}
