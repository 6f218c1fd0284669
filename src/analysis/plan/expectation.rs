//! What is expected month by month: dynamic programming over months and overhauls passed, for each seat.
//!
//! A propeller that has passed k overhauls and left one in month m goes to the next after a spell whose chances [`super::spell`]
//! gives, or earlier by an unscheduled one. There it passes with its chance and goes on with k + 1, or a new propeller starts in
//! its seat, with the chances of a new one, and ages too.

use rayon::prelude::*;

use super::seat::{Chances, Seat};
use super::sums::Sums;
use super::timeline::Timeline;

/// Seats that one thread works on at a time; sums are joined in the seats' order.
const SEATS_AT_ONCE: usize = 64;
/// Chances below this are not followed.
const NEGLIGIBLE: f64 = 1e-15;

/// Expected sums of the seats over the budget's months; costs of later months are left at 0.
pub fn expected(seats: &[Seat], models: usize, timeline: &Timeline) -> Sums {
    let parts: Vec<Sums> = seats
        .par_chunks(SEATS_AT_ONCE)
        .map(|seats| {
            let mut sums = Sums::new(models, timeline);
            let mut run = Run::default();
            for seat in seats {
                sums.at_shop(seat, timeline);
                run.seat(seat, timeline, |month, passed, rejected| {
                    sums.overhaul(seat, timeline, month, passed, rejected);
                });
            }
            sums
        })
        .collect();
    let mut all = Sums::new(models, timeline);
    for part in &parts {
        all.join(part);
    }
    all
}

/// Chance that the next overhaul falls a number of months after one in `month`, from 1; scheduled or not.
fn next_after(seat: &Seat, month: usize, timeline: &Timeline, most: usize) -> Vec<f64> {
    let at_least = seat.spell(month, timeline).at_least(most + 1);
    let rate = seat.unscheduled_per_month();
    let mut still = 1.0;
    (1..=most)
        .map(|j| {
            let hazard = -(-rate * timeline.flown_in(month + j)).exp_m1();
            let due = at_least[j] - at_least[j + 1];
            let chance = still * (due + hazard * at_least[j + 1]);
            still *= 1.0 - hazard;
            chance
        })
        .collect()
}

/// Working memory for one seat after another.
#[derive(Default)]
struct Run {
    own: Ages,
    fresh: Ages,
    next: Vec<f64>,
}

/// Chances that the overhaul after so many passed ones falls in a month.
#[derive(Default)]
struct Ages {
    months: usize,
    chances: Vec<f64>,
}

impl Ages {
    fn start(&mut self, ages: usize, months: usize) {
        self.months = months;
        self.chances.clear();
        self.chances.resize(ages * months, 0.0);
    }

    fn at(&mut self, age: usize, month: usize) -> &mut f64 {
        &mut self.chances[age * self.months + month]
    }

    /// Adds what follows an overhaul in `month` that leaves a propeller of this age, with a chance.
    fn follow(&mut self, age: usize, month: usize, chance: f64, next: &[f64]) {
        let from = age * self.months + month + 1;
        let to = (age + 1) * self.months;
        for (slot, next) in self.chances[from..to].iter_mut().zip(next) {
            *slot += chance * next;
        }
    }

    /// Chance of an overhaul in `month`, split into passed and rejected; passing ones go on.
    fn month(&mut self, month: usize, of: &Chances, next: &[f64]) -> (f64, f64) {
        let oldest = of.len() - 1;
        let (mut passed, mut rejected) = (0.0, 0.0);
        for age in 0..=oldest {
            let chance = *self.at(age, month);
            if chance < NEGLIGIBLE {
                continue;
            }
            let step = of.step(age);
            let passing = chance * step;
            passed += passing;
            rejected += chance - passing;
            if passing > 0.0 {
                self.follow((age + 1).min(oldest), month, passing, next);
            }
        }
        (passed, rejected)
    }
}

impl Run {
    /// Tells of each month the chances of an overhaul that is passed and of one that rejects; expected numbers, since more than
    /// one generation may be seen.
    fn seat(&mut self, seat: &Seat, timeline: &Timeline, mut tell: impl FnMut(usize, f64, f64)) {
        let months = timeline.budget_months;
        if months == 0 {
            return;
        }
        self.own.start(seat.own.len(), months);
        self.fresh.start(seat.fresh.len(), months);
        let at_least = seat.first_at_least(months, timeline);
        let rate = seat.unscheduled_per_month();
        let mut still = 1.0;
        for month in 0..months {
            let hazard = -(-rate * timeline.flown_in(month)).exp_m1();
            let due = at_least[month] - at_least[month + 1];
            *self.own.at(0, month) = still * (due + hazard * at_least[month + 1]);
            still *= 1.0 - hazard;
        }
        let steady = timeline.use_is_steady();
        for month in 0..months {
            // Month 0 flies only its rest, which no later overhaul sees: one set of chances serves all months.
            if !steady || month == 0 {
                self.next = next_after(seat, month, timeline, months - month - 1);
            }
            let next = &self.next[..months - month - 1];
            let (passed, rejected) = self.own.month(month, &seat.own, next);
            let (passed_new, rejected_new) = self.fresh.month(month, &seat.fresh, next);
            let (passed, rejected) = (passed + passed_new, rejected + rejected_new);
            if rejected > 0.0 {
                self.fresh.follow(0, month, rejected, next);
            }
            if passed + rejected > 0.0 {
                tell(month, passed, rejected);
            }
        }
    }
}
