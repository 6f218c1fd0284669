//! How many overhauls are left of a propeller: the chance of passing each of the next twenty, and what it rests on.
//!
//! A propeller is retired at the first overhaul after which any blade, station and dimension is below its minimum ("reject
//! the blade", AC 43.13-1B par. 8-74). [`super::forecast`] works the chances out; here they are read: the number remaining R
//! has `P(R >= k) = P(k)`, by dimensions; other causes of rejection are counted beside it. Counted to
//! [`OUTLOOK_OVERHAULS`]; a propeller that outlasts them counts as having that many.

use crate::records::written::plural_s;
use std::fmt::Write as _;
use std::sync::Arc;

use super::forecast::Estimate;
use super::forecast::fit::FEW_CYCLES;
use super::margins::{Basis, Margin};
use crate::trade::geometry::Dimension;

/// How many overhauls ahead the outlook looks.
pub const OUTLOOK_OVERHAULS: u32 = 20;
/// From this chance of passing the last of them on, the basis says so.
const OUTLASTS: f64 = 0.005;

/// The blade, station and dimension that decides: the smallest chance of passing the next overhaul.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitingPoint {
    /// Its margin today.
    pub margin: Margin,
    /// Margin today in inches.
    pub margin_in: f64,
    /// Loss expected of one more overhaul, in inches; `None` where it is not estimable.
    pub expected_loss_in: Option<f64>,
    /// Chance that this point alone passes the next overhaul.
    pub pass_chance_next: f64,
}

/// What the forecast of one dimension rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Support {
    /// The pool's name.
    pub pool: Arc<str>,
    /// Its cycles.
    pub cycles: usize,
    /// Whether they were enough.
    pub estimate: Estimate,
    /// Whether losses clearly rise from one overhaul to the next.
    pub loses_more: bool,
}

/// What is left of a propeller.
#[derive(Debug, Clone, PartialEq)]
pub struct Remaining {
    /// Index of the propeller.
    pub propeller: u32,
    /// Overhauls on record, released or not.
    pub overhauls_recorded: u32,
    /// The limiting point; `None` when no margin is known.
    pub limiting: Option<LimitingPoint>,
    /// Chances of passing 1, 2, ... more overhauls by dimensions, zeros at the end left out; `None` when not known.
    pub pass: Option<Vec<f64>>,
    /// Chance at each overhaul of rejection for another cause; `None` when not counted.
    pub other_chance: Option<f64>,
    /// Whether the chances of passing are upper bounds: something that could fail is not counted.
    pub upper_bound: bool,
    /// Whether a margin is below zero today.
    pub below_minimum: bool,
    /// Whether it lost all its readings, and its chances are those of [`super::lost_readings`].
    pub readings_lost: bool,
    /// What each dimension rests on; `None` where the manual limits nothing.
    pub support: [Option<Support>; 2],
    /// Places by how their margin is known, in the order of [`Basis`].
    pub places: [usize; 5],
}

impl Remaining {
    /// Chance of passing `k` more overhauls by dimensions.
    pub fn pass_chance(&self, k: u32) -> Option<f64> {
        let pass = self.pass.as_ref()?;
        Some(match k {
            0 => 1.0,
            k => pass.get(k as usize - 1).copied().unwrap_or(0.0),
        })
    }

    /// Chance of passing `k` more overhauls with other causes counted.
    pub fn pass_chance_any(&self, k: u32) -> Option<f64> {
        Some(self.pass_chance(k)? * (1.0 - self.other_chance?).powi(k as i32))
    }

    /// Chance that the next overhaul rejects it by its dimensions.
    pub fn reject_chance_next(&self) -> Option<f64> {
        Some(1.0 - self.pass_chance(1)?)
    }

    /// Chance that the next overhaul rejects it for any cause.
    pub fn reject_chance_next_any(&self) -> Option<f64> {
        Some(1.0 - self.pass_chance_any(1)?)
    }

    /// The number of overhauls left that is not exceeded with this chance.
    pub fn quantile(&self, chance: f64) -> Option<u32> {
        let pass = self.pass.as_ref()?;
        // P(R <= r) = 1 - P(r + 1); compared without the subtraction, whose rounding could tip it.
        let enough = |p: f64| p + chance <= 1.0;
        let first = pass.iter().position(|&p| enough(p)).unwrap_or(pass.len());
        Some(first as u32)
    }

    /// Mean of the number of overhauls left.
    pub fn mean(&self) -> Option<f64> {
        // Folded from 0: the sum of no chances would be a negative zero.
        self.pass.as_ref().map(|pass| pass.iter().fold(0.0, |sum, p| sum + p))
    }

    /// Overhauls left, when known: the mean.
    pub fn overhauls(&self) -> Option<f64> {
        self.mean()
    }

    /// Number of the overhaul that is expected to reject it: the first it passes with a chance of one half or less.
    /// `None` when not known or beyond the outlook.
    pub fn rejection_overhaul(&self) -> Option<u32> {
        let middle = self.quantile(0.5)?;
        (middle < OUTLOOK_OVERHAULS).then_some(middle + 1)
    }

    /// Whether it may outlast the outlook.
    pub fn outlasts(&self) -> bool {
        self.pass_chance(OUTLOOK_OVERHAULS).is_some_and(|p| p >= OUTLASTS)
    }

    /// Places whose margin is not known.
    pub fn not_known(&self) -> usize {
        self.places[Basis::NotKnown as usize]
    }

    /// What the forecast rests on and what makes it weaker, in words.
    pub fn basis(&self) -> String {
        let mut words = String::new();
        let mut say = |text: &dyn std::fmt::Display| {
            if !words.is_empty() {
                words.push_str(", ");
            }
            // Writing to a String does not fail.
            let _ = write!(words, "{text}");
        };
        if self.below_minimum {
            say(&"below minimum");
        } else if self.pass.is_none() {
            say(&"not known");
        }
        if self.readings_lost {
            say(&"readings lost: the last known carried forward, or the mean of its model");
        }
        self.say_support(&mut say);
        let at = |basis: Basis| self.places[basis as usize];
        let not_known = at(Basis::NotKnown);
        if not_known > 0 && self.pass.is_some() {
            say(&format_args!("upper bound: {not_known} place{} not known", plural_s(not_known)));
        } else if not_known > 0 {
            say(&format_args!("{not_known} place{} not known", plural_s(not_known)));
        }
        for basis in [Basis::CarriedForward, Basis::WorstOfModel, Basis::FromDrawing] {
            if at(basis) > 0 {
                say(&format_args!("{} at {}", basis.words(), at(basis)));
            }
        }
        if self.pass.is_some() && self.other_chance.is_none() {
            say(&"other causes not counted");
        }
        if self.outlasts() {
            say(&format_args!("counted to {OUTLOOK_OVERHAULS}"));
        }
        words
    }

    fn say_support(&self, say: &mut impl FnMut(&dyn std::fmt::Display)) {
        let fitted = |s: &&Support| s.estimate == Estimate::Fitted;
        let used: Vec<&Support> = self.support.iter().flatten().filter(fitted).collect();
        if let Some(fewest) = used.iter().min_by_key(|s| s.cycles) {
            match used.iter().find(|s| s.pool != fewest.pool) {
                Some(other) => {
                    let (cycles, s) = (fewest.cycles, plural_s(fewest.cycles));
                    say(&format_args!("pools {} and {}, {cycles} cycle{s}", fewest.pool, other.pool));
                }
                None => {
                    let (cycles, s) = (fewest.cycles, plural_s(fewest.cycles));
                    say(&format_args!("pool {}, {cycles} cycle{s}", fewest.pool));
                }
            }
            if fewest.cycles < FEW_CYCLES {
                say(&"few data");
            }
            if used.iter().any(|s| s.loses_more) {
                say(&"loses more each time: forecast adjusted");
            }
        }
        for dimension in Dimension::ALL {
            let support = self.support[dimension as usize].as_ref();
            match support.map(|s| s.estimate) {
                Some(Estimate::CommonPractice) => {
                    say(&format_args!("{} by common practice", dimension.word()));
                }
                Some(Estimate::NotEstimable) if self.pass.is_some() => {
                    say(&format_args!("upper bound: {} not estimable", dimension.word()));
                }
                Some(Estimate::NotEstimable) => {
                    say(&format_args!("{} not estimable", dimension.word()));
                }
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn remaining(pass: Option<Vec<f64>>, other_chance: Option<f64>) -> Remaining {
        Remaining {
            propeller: 0,
            overhauls_recorded: 3,
            limiting: None,
            pass,
            other_chance,
            upper_bound: false,
            below_minimum: false,
            readings_lost: false,
            support: [None, None],
            places: [0; 5],
        }
    }

    /// By hand: P(1..4) = 0.95, 0.9, 0.5, 0.05. P(R <= 0) = 0.05, P(R <= 1) = 0.1, P(R <= 2) = 0.5, P(R <= 3) = 0.95.
    #[test]
    fn quantiles_and_mean_by_hand() {
        let some = remaining(Some(vec![0.95, 0.9, 0.5, 0.05]), Some(0.1));
        assert_eq!(some.quantile(0.1), Some(1));
        assert_eq!(some.quantile(0.5), Some(2));
        assert_eq!(some.quantile(0.9), Some(3));
        assert!((some.mean().unwrap() - 2.4).abs() < 1e-12);
        assert_eq!(some.rejection_overhaul(), Some(3));
        assert!((some.reject_chance_next().unwrap() - 0.05).abs() < 1e-12);
        assert!((some.pass_chance_any(3).unwrap() - 0.5 * 0.729).abs() < 1e-12);
        assert_eq!(some.pass_chance(7), Some(0.0));
    }

    #[test]
    fn none_left_all_left_and_not_known() {
        let none = remaining(Some(Vec::new()), None);
        assert_eq!(none.quantile(0.9), Some(0));
        assert_eq!(none.mean(), Some(0.0));
        assert_eq!(none.reject_chance_next(), Some(1.0));
        assert_eq!(none.reject_chance_next_any(), None);
        assert_eq!(none.rejection_overhaul(), Some(1));
        let all = remaining(Some(vec![1.0; 20]), Some(0.0));
        assert_eq!(all.quantile(0.1), Some(20));
        assert_eq!(all.rejection_overhaul(), None);
        assert!(all.basis().contains("counted to 20"));
        let not_known = remaining(None, Some(0.01));
        assert_eq!(not_known.quantile(0.5), None);
        assert_eq!(not_known.reject_chance_next_any(), None);
        assert_eq!(not_known.basis(), "not known");
    }

    #[test]
    fn words_of_the_basis() {
        let support =
            |pool: &str, cycles, estimate| Some(Support { pool: pool.into(), cycles, estimate, loses_more: false });
        let mut some = remaining(Some(vec![0.5]), None);
        some.support = [support("fleet", 2, Estimate::NotEstimable), support("fleet", 2, Estimate::CommonPractice)];
        some.places = [3, 1, 0, 0, 2];
        assert_eq!(
            some.basis(),
            "upper bound: width not estimable, thickness by common practice, upper bound: 2 places not known, carried \
             forward at 1, other causes not counted"
        );
        some.support = [support("fleet", 9, Estimate::Fitted), support("K-1", 4, Estimate::Fitted)];
        some.places = [0; 5];
        some.other_chance = Some(0.01);
        assert_eq!(some.basis(), "pools K-1 and fleet, 4 cycles, few data");
        some.support[0].as_mut().unwrap().loses_more = true;
        assert_eq!(some.basis(), "pools K-1 and fleet, 4 cycles, few data, loses more each time: forecast adjusted");
    }
}
