//! What overhauls of the plan add up to: counts and costs by model, force and year, months away, costs by month.

use super::seat::{Seat, Strength};
use super::timeline::{DAYS_PER_MONTH, Timeline};

/// Counts and cost of one model, force and year.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Cell {
    /// Overhauls, those that reject included.
    pub overhauls: f64,
    /// Replacements.
    pub replacements: f64,
    /// Cost in the fleet's currency; 0 of seats without prices.
    pub cost: f64,
}

impl Cell {
    /// Adds another.
    pub fn join(&mut self, other: &Cell) {
        self.overhauls += other.overhauls;
        self.replacements += other.replacements;
        self.cost += other.cost;
    }
}

/// Sums over seats.
#[derive(Debug, Clone, PartialEq)]
pub struct Sums {
    /// By model, force and year of the budget.
    pub cells: Vec<Cell>,
    /// Propellers away, on average over each month of the budget; over the rest of the first.
    pub away: Vec<f64>,
    /// Cost in each month looked at.
    pub cost: Vec<f64>,
    /// Replacements of each model within its lead time; those of spares are not waited for.
    pub within_lead: Vec<f64>,
    years: usize,
    /// Part of the first month that lies before the plan.
    passed: f64,
}

impl Sums {
    /// Nothing yet.
    pub fn new(models: usize, timeline: &Timeline) -> Sums {
        let years = timeline.budget_years();
        Sums {
            cells: vec![Cell::default(); models * Strength::ALL.len() * years],
            away: vec![0.0; timeline.budget_months],
            cost: vec![0.0; timeline.months],
            within_lead: vec![0.0; models],
            years,
            passed: timeline.passed,
        }
    }

    /// Back to nothing.
    pub fn clear(&mut self) {
        self.cells.fill(Cell::default());
        self.away.fill(0.0);
        self.cost.fill(0.0);
        self.within_lead.fill(0.0);
    }

    /// Where the cell of a model, force and year stands.
    pub fn at(&self, model: usize, strength: Strength, year: usize) -> usize {
        (model * Strength::ALL.len() + strength as usize) * self.years + year
    }

    /// Adds an overhaul of a seat in a month that is passed and rejects with these chances (in a simulation 1 and 0).
    #[inline]
    pub fn overhaul(&mut self, seat: &Seat, timeline: &Timeline, month: usize, passed: f64, rejected: f64) {
        let cost = seat.costs.map_or(0.0, |costs| {
            timeline.price(month) * (passed * costs.of_passing() + rejected * costs.of_rejection())
        });
        self.cost[month] += cost;
        if month < timeline.budget_months {
            let at = self.at(seat.model, seat.strength, timeline.year_at(month));
            self.cells[at].join(&Cell { overhauls: passed + rejected, replacements: rejected, cost });
            let overhaul_days = seat.overhaul_days.unwrap_or(0.0);
            let replacement_days = seat.replacement_days.unwrap_or(overhaul_days);
            // Of the first month only the rest is left.
            let from = if month == 0 { timeline.passed } else { month as f64 };
            self.send_away(seat, from, overhaul_days, passed);
            self.send_away(seat, from, replacement_days, rejected);
        }
        if rejected > 0.0 && !seat.spare && month <= lead_month(seat, timeline) {
            self.within_lead[seat.model] += rejected;
        }
    }

    /// Adds the time a seat's propeller is at a shop today, until it comes back.
    pub fn at_shop(&mut self, seat: &Seat, timeline: &Timeline) {
        if seat.back > timeline.passed {
            self.away_between(timeline.passed, seat.back, 1.0);
        }
    }

    /// From a place in the plan's months on; the part that it is at a shop already is counted there.
    fn send_away(&mut self, seat: &Seat, from: f64, days: f64, chance: f64) {
        let to = from + days / DAYS_PER_MONTH;
        self.away_between(from.max(seat.back), to, chance);
    }

    /// The part of each month, or of what is left of the first, that lies between two places.
    fn away_between(&mut self, from: f64, to: f64, chance: f64) {
        if to <= from || chance <= 0.0 {
            return;
        }
        let (first, passed) = (from.floor() as usize, self.passed);
        for (month, away) in self.away.iter_mut().enumerate().skip(first) {
            let (start, end) = (if month == 0 { passed } else { month as f64 }, month as f64 + 1.0);
            if start >= to {
                break;
            }
            *away += chance * ((to.min(end) - from.max(start)) / (end - start));
        }
    }

    /// Adds other sums.
    pub fn join(&mut self, other: &Sums) {
        for (cell, other) in self.cells.iter_mut().zip(&other.cells) {
            cell.join(other);
        }
        let add = |to: &mut Vec<f64>, from: &[f64]| {
            for (to, from) in to.iter_mut().zip(from) {
                *to += from;
            }
        };
        add(&mut self.away, &other.away);
        add(&mut self.cost, &other.cost);
        add(&mut self.within_lead, &other.within_lead);
    }
}

/// The last month of a seat's lead time; the first where it is not known.
pub fn lead_month(seat: &Seat, timeline: &Timeline) -> usize {
    let days = seat.replacement_days.unwrap_or(0.0).clamp(0.0, 36_525.0);
    timeline.month_of(timeline.as_of + days.ceil() as i32).max(0) as usize
}
