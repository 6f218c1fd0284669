//! Simulated fleets, overhaul by overhaul, for what an expectation cannot say: how far a year may lie from it.
//!
//! Each fleet has random numbers of its own (ChaCha, one stream a fleet), so that neither the number of threads nor the order of
//! work changes a byte. In each a number common to all overhauls of a calendar year, G, is drawn first: with e of the overhaul's
//! own, a propeller passes if `sqrt(shared) G + sqrt(1 - shared) e` is at most the normal score of its chance, which keeps every
//! single chance exact; a seat's second overhaul in one year has a G of its own, since having passed the first would tell of the
//! year. Use is drawn for each spell between overhauls; hours flown follow it.

use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, Exp1, StandardNormal};
use rayon::prelude::*;

use super::seat::Seat;
use super::sums::{Cell, Sums};
use super::timeline::Timeline;

/// Simulated fleets unless the fleet is huge.
pub const FLEETS: usize = 10_000;
/// Fewest fleets, however huge.
const FEWEST_FLEETS: usize = 200;
/// Overhauls drawn in all at most; above it fewer fleets are simulated.
const MOST_OVERHAULS: f64 = 4e7;
/// Numbers kept of all fleets at most.
const MOST_KEPT: f64 = 3e7;
/// Fewest fleets handed to a thread at once.
const FLEETS_AT_ONCE: usize = 16;

/// Cost and hours up to a month's end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Hours flown.
    pub hours: f64,
    /// Spent, in the fleet's currency.
    pub cost: f64,
}

/// One simulated fleet.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// By model, force and year.
    pub cells: Vec<Cell>,
    /// Propellers away by month.
    pub away: Vec<f64>,
    /// Replacements within lead time by model.
    pub within_lead: Vec<f64>,
    /// Cost and hours over the reserve's months.
    pub total: Point,
    /// Corners of the upper hull of cost over hours at month's ends, hours ascending: at any price of an hour the largest
    /// shortfall is at one of them.
    pub corners: Vec<Point>,
}

/// How many fleets are simulated for these seats.
pub fn fleets_for(seats: &[Seat], models: usize, timeline: &Timeline) -> usize {
    let overhauls: f64 = seats.iter().map(|seat| 1.0 + timeline.months as f64 / seat.usual_spell().max(1.0)).sum();
    let kept = (models * 6 * timeline.budget_years() + timeline.budget_months) as f64;
    let most = (MOST_OVERHAULS / overhauls.max(1.0)).min(MOST_KEPT / kept.max(1.0));
    (most as usize).clamp(FEWEST_FLEETS, FLEETS)
}

/// Simulates fleets of these seats; the same seed gives the same fleets, in the same order.
pub fn simulate(seats: &[Seat], models: usize, timeline: &Timeline, fleets: usize, seed: u64) -> Vec<Drawn> {
    let spreads: Vec<f64> = seats.iter().map(|s| s.first_sigma(timeline)).collect();
    (0..fleets)
        .into_par_iter()
        .with_min_len(FLEETS_AT_ONCE)
        .map_init(
            || Draw::new(models, timeline),
            |draw, fleet| {
                let mut random = ChaCha8Rng::seed_from_u64(seed);
                random.set_stream(fleet as u64);
                draw.fleet(seats, &spreads, timeline, &mut random)
            },
        )
        .collect()
}

/// Working memory of one fleet after another.
struct Draw {
    sums: Sums,
    /// Change of the hours a month at today's use, by month.
    turns: Vec<f64>,
    years: Vec<f64>,
}

impl Draw {
    fn new(models: usize, timeline: &Timeline) -> Draw {
        Draw {
            sums: Sums::new(models, timeline),
            turns: vec![0.0; timeline.months + 1],
            years: vec![0.0; timeline.years()],
        }
    }

    fn fleet(&mut self, seats: &[Seat], spreads: &[f64], timeline: &Timeline, random: &mut ChaCha8Rng) -> Drawn {
        self.sums.clear();
        self.turns.fill(0.0);
        for year in &mut self.years {
            *year = StandardNormal.sample(random);
        }
        for (seat, &spread) in seats.iter().zip(spreads) {
            self.sums.at_shop(seat, timeline);
            self.seat(seat, spread, timeline, random);
        }
        let (total, corners) = self.money(timeline);
        Drawn {
            cells: self.sums.cells.clone(),
            away: self.sums.away.clone(),
            within_lead: self.sums.within_lead.clone(),
            total,
            corners,
        }
    }

    fn flown(&mut self, from: usize, to: usize, hours_per_month: f64) {
        let end = self.turns.len() - 1;
        self.turns[from.min(end)] += hours_per_month;
        self.turns[to.min(end)] -= hours_per_month;
    }

    fn seat(&mut self, seat: &Seat, first_spread: f64, timeline: &Timeline, random: &mut ChaCha8Rng) {
        let months = timeline.months;
        let unscheduled = seat.unscheduled_per_month();
        let (shared, apart) = (seat.shared.sqrt(), (1.0 - seat.shared).sqrt());
        // The month of an unscheduled overhaul from a month on, if it comes before the scheduled one.
        let earlier = |from: usize, due: usize, random: &mut ChaCha8Rng| -> usize {
            if unscheduled <= 0.0 {
                return due;
            }
            let exponential: f64 = Exp1.sample(random);
            timeline.month_flown(from, due, exponential / unscheduled).unwrap_or(due)
        };
        let whole = |month: Option<f64>| month.map_or(months, |m| (m as usize).min(months));

        let score: f64 = StandardNormal.sample(random);
        let due = whole(seat.first_month(score, timeline));
        let mut month = earlier(0, due, random);
        self.flown(0, month, seat.hours_per_month * (score * first_spread).exp());
        let mut chances = &seat.own;
        let mut passed = 0;
        let mut steady = None;
        let mut seen = None;
        while month < months {
            let own: f64 = StandardNormal.sample(random);
            let year = timeline.year_at(month);
            let common = if seen == Some(year) { StandardNormal.sample(random) } else { self.years[year] };
            seen = Some(year);
            let passes = shared * common + apart * own <= chances.score(passed);
            if passes {
                passed += 1;
                self.sums.overhaul(seat, timeline, month, 1.0, 0.0);
            } else {
                passed = 0;
                chances = &seat.fresh;
                self.sums.overhaul(seat, timeline, month, 0.0, 1.0);
            }
            let spell = match steady {
                Some(spell) => spell,
                None => seat.spell(month, timeline),
            };
            if timeline.use_is_steady() {
                steady = Some(spell);
            }
            let score: f64 = StandardNormal.sample(random);
            let after = spell.draw(score, random.random());
            let due = whole(after.map(|after| month as f64 + after));
            let next = earlier(month + 1, due, random);
            let rate = seat.hours_per_month * (score * spell.sigma).exp();
            self.flown(month, next, rate);
            month = next;
        }
    }

    /// Totals over the reserve's months, and the corners.
    fn money(&self, timeline: &Timeline) -> (Point, Vec<Point>) {
        let mut now = Point { hours: 0.0, cost: 0.0 };
        let mut hours_per_month = 0.0;
        let mut corners: Vec<Point> = Vec::new();
        for month in 0..timeline.reserve_months {
            hours_per_month += self.turns[month];
            // Sums and differences of rates leave a rounding error where nothing is flown.
            now.hours += hours_per_month.max(0.0) * timeline.flown_in(month);
            now.cost += self.sums.cost[month];
            add_corner(&mut corners, now);
        }
        (now, corners)
    }
}

/// Adds a point to an upper hull; points come in order of hours, cost never falling.
fn add_corner(corners: &mut Vec<Point>, point: Point) {
    while let [.., before, last] = corners[..] {
        let rise = |a: Point, b: Point| (b.hours - a.hours, b.cost - a.cost);
        let (first, second) = (rise(before, last), rise(last, point));
        // The last stays only where the way turns right.
        if first.1 * second.0 > second.1 * first.0 {
            break;
        }
        corners.pop();
    }
    if let [last] = corners[..]
        && last.hours == point.hours
    {
        corners.pop();
    }
    corners.push(point);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corners_by_hand() {
        let p = |hours, cost| Point { hours, cost };
        let mut corners = Vec::new();
        for point in [p(0.0, 1.0), p(0.0, 3.0), p(1.0, 3.0), p(2.0, 7.0), p(3.0, 7.5), p(4.0, 8.0), p(5.0, 8.1)] {
            add_corner(&mut corners, point);
        }
        assert_eq!(corners, [p(0.0, 3.0), p(2.0, 7.0), p(4.0, 8.0), p(5.0, 8.1)]);
    }
}
