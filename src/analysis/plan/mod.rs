//! The plan: what overhauls and replacements will cost, how firmly, and what to order.
//!
//! Each seat is looked at month by month: an overhaul falls when it is due, or earlier at the fleet's rate of unscheduled ones;
//! the propeller passes or is rejected; a new one takes its seat and ages too. Expected values come from dynamic programming
//! over months (beyond [`MOST_EXPECTED`] seats from simulation, and that is said), percentiles from simulated fleets.
//!
//! | file | question |
//! | --- | --- |
//! | [`from_records`], [`prices`], [`unscheduled`] | what do the records say of each seat? |
//! | [`seat`], [`spell`], [`timeline`] | when does its next overhaul fall, and does it pass? |
//! | [`shop_year`] | what do the overhauls of one shop and year share? |
//! | [`expectation`] | what is expected, month by month? |
//! | [`simulation`] | what happens in each of many fleets? |
//! | [`budget`], [`reserve`], [`spares`], [`out_at_once`], [`purchases`] | what follows for money and parts? |
//! | [`notes`] | what does it assume and leave out? |

pub mod budget;
pub mod expectation;
pub mod from_records;
pub mod notes;
mod ordered;
pub mod out_at_once;
pub mod paid;
pub mod prices;
pub mod purchases;
pub mod reserve;
pub mod seat;
pub mod shop_year;
pub mod simulation;
pub mod spares;
pub mod spell;
pub mod sums;
pub mod timeline;
pub mod unscheduled;

use budget::{BudgetRow, ExpectedBy};
use out_at_once::OutRow;
use reserve::Reserve;
use seat::{First, Seat};
use spares::{Shelf, SpareRow};
use sums::Sums;
use timeline::Timeline;

use chrono::Datelike;

use crate::trade::calendar::Day;

/// Seats up to which expected values come from dynamic programming.
pub const MOST_EXPECTED: usize = 5_000;
/// The longest time looked ahead, in years.
pub const MOST_YEARS: f64 = 50.0;
/// The reserve looks ahead over this many times the longest interval.
const INTERVALS_AHEAD: f64 = 2.0;

/// What the plan is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Question {
    /// Day it starts from.
    pub as_of: Day,
    /// Calendar years of the budget; the rest of the year it starts in comes before them.
    pub years: u32,
    /// Growth of use, percent a year.
    pub use_growth_pct: f64,
    /// Growth of prices, percent a year.
    pub price_growth_pct: f64,
    /// Money in the fund today.
    pub opening_balance: Option<f64>,
    /// Seed of the random numbers.
    pub seed: u64,
    /// Fleets to simulate; `None` decides by the fleet's size.
    pub fleets: Option<usize>,
}

/// Seats and what belongs to their models.
#[derive(Debug, Clone, PartialEq)]
pub struct Seats {
    /// The seats.
    pub list: Vec<Seat>,
    /// By model of the plan: spares on the shelf and lead time.
    pub shelves: Vec<Shelf>,
    /// Whether prices are known, so that sums mean something.
    pub priced: bool,
}

/// The plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// By year, model and force.
    pub budget: Vec<BudgetRow>,
    /// What an hour must set aside.
    pub reserve: Reserve,
    /// Spares to order.
    pub spares: Vec<SpareRow>,
    /// Propellers away by month.
    pub out_at_once: Vec<OutRow>,
    /// Fleets simulated.
    pub fleets: usize,
    /// Where expected values come from.
    pub expected_by: ExpectedBy,
    /// Seats whose next overhaul nothing dates.
    pub not_dated: usize,
    /// Seats whose overhaul is overdue.
    pub overdue: usize,
}

impl Plan {
    /// Calendar years that the budget has rows for, the part of the first included.
    pub fn years(&self) -> usize {
        self.budget.iter().filter(|row| row.model.is_none() && row.strength.is_none()).count()
    }

    /// Works the plan out.
    pub fn of(seats: &Seats, question: &Question) -> Plan {
        let horizon_months = reserve_months(&seats.list, question.years);
        let timeline = Timeline::new(
            question.as_of,
            budget_months(question.as_of, question.years),
            horizon_months,
            question.use_growth_pct,
            question.price_growth_pct,
        );
        let models = seats.shelves.len();
        let list = &seats.list;
        let expected_by = if list.len() <= MOST_EXPECTED { ExpectedBy::Months } else { ExpectedBy::Simulation };
        let sums = match expected_by {
            ExpectedBy::Months => expectation::expected(list, models, &timeline),
            ExpectedBy::Simulation => Sums::new(models, &timeline),
        };
        let fleets = question.fleets.unwrap_or_else(|| simulation::fleets_for(list, models, &timeline));
        let drawn = simulation::simulate(list, models, &timeline, fleets, question.seed);
        let mut present = vec![[false; 2]; models];
        for seat in list {
            present[seat.model][seat.strength as usize] = true;
        }
        let priced = seats.priced;
        let per_hour = reserve::long_run_per_hour(&drawn).filter(|_| priced);
        let overdue = |seat: &&Seat| matches!(seat.first, First::Overdue { .. });
        Plan {
            budget: budget::rows(&sums, expected_by, &drawn, &present, priced, &timeline),
            reserve: Reserve {
                horizon_years: horizon_months as f64 / 12.0,
                long_run_per_hour: per_hour,
                needed_today: per_hour.and_then(|rate| reserve::needed_today(&drawn, rate)),
                opening_balance: question.opening_balance,
                constant_per_hour: question
                    .opening_balance
                    .filter(|_| priced)
                    .and_then(|balance| reserve::constant_per_hour(&drawn, balance)),
                catch_up_sum: priced.then(|| {
                    let costs = list.iter().filter(overdue).map(|s| catch_up(s, &timeline));
                    costs.fold(0.0, |sum, cost| sum + cost)
                }),
            },
            spares: spares::rows(&drawn, &seats.shelves),
            out_at_once: if list.iter().any(|s| s.overhaul_days.is_some()) {
                out_at_once::rows(&sums, expected_by, &drawn, &timeline)
            } else {
                Vec::new()
            },
            fleets: drawn.len(),
            expected_by,
            not_dated: list.iter().filter(|s| s.first == First::NEVER).count(),
            overdue: list.iter().filter(overdue).count(),
        }
    }
}

/// The first year of the budget of the whole fleet, without looking further: by expectation and simulation as the plan has it.
pub fn year_ahead(seats: &Seats, question: &Question) -> Option<BudgetRow> {
    let timeline = Timeline::new(question.as_of, 12, 12, question.use_growth_pct, question.price_growth_pct);
    let (list, models) = (&seats.list, seats.shelves.len());
    let sums = expectation::expected(list, models, &timeline);
    let fleets = question.fleets.unwrap_or_else(|| simulation::fleets_for(list, models, &timeline));
    let drawn = simulation::simulate(list, models, &timeline, fleets, question.seed);
    let present = vec![[true; 2]; models];
    let rows = budget::rows(&sums, ExpectedBy::Months, &drawn, &present, seats.priced, &timeline);
    rows.into_iter().find(|row| row.model.is_none() && row.strength.is_none())
}

/// Months of a budget of so many calendar years: from a first of January these, else the rest of that year before them.
pub fn budget_months(as_of: Day, years: u32) -> usize {
    let month = as_of.date().month0() as usize;
    let starts_a_year = as_of.date().ordinal0() == 0;
    years as usize * 12 + if starts_a_year { 0 } else { 12 - month }
}

/// Months the reserve looks ahead: twice the longest interval; the budget's where no interval is dated.
fn reserve_months(seats: &[Seat], years: u32) -> usize {
    let longest = seats.iter().map(Seat::usual_spell).filter(|months| months.is_finite()).fold(0.0, f64::max);
    let months = (INTERVALS_AHEAD * longest).ceil().min(MOST_YEARS * 12.0);
    if months > 0.0 { months as usize } else { years as usize * 12 }
}

/// Expected cost of an overdue overhaul, at the prices of its month.
fn catch_up(seat: &Seat, timeline: &Timeline) -> f64 {
    let (First::Overdue { month }, Some(costs)) = (seat.first, seat.costs) else {
        return 0.0;
    };
    let pass = seat.own.step(0);
    let price = timeline.price(month.min(timeline.months.saturating_sub(1)));
    price * (pass * costs.of_passing() + (1.0 - pass) * costs.of_rejection())
}
