//! The chance that every margin survives k steps of loss.
//!
//! Station `j` has lost `k (m + d_j) + X + Y_j` after `k` steps: `m` the expected loss of a step,
//! `d_j` the station's offset, `X` common to all stations with variance `k^2 v + k s^2` (`v` the
//! variance of `m`, `s^2` that of one step about it) and scaled as Student's t because both were
//! estimated, `Y_j` its own, normal with variance `W_j(k)`. Given `X` the stations are independent:
//!
//! `P(k) = E_t prod_j Phi((margin_j - k (m + d_j) - t sd)/sqrt(W_j(k)))`, `sd^2 = k^2 v + k s^2`.
//!
//! **Quadrature.** In units of `sd` the product falls from 1 to 0 around `c_j = room_j/sd` within a
//! few `e_j = sqrt(W_j)/sd`. Below `min(c_j - 7 e_j)` it is 1 and its integral is a probability of
//! t; above `min(c_j + 6.5 e_j)` it is below 5e-11 and left out; between, t is integrated in its
//! normal score ([`StudentScore`]) by panels of 24 Gauss-Legendre nodes. Panels are halved until
//! none is wider than 9 scores or than 7 times the narrowest fall inside it, which is one halving
//! when all `W_j` are equal. Nothing is divided by a product or its logarithm taken, so one that
//! underflows is the 0 it should be. Absolute error below 1e-9 (against mpmath and a fine
//! trapezoid).

use super::compound::{MOST, SumTable, Weights};
use super::gauss_legendre;
use super::normal::{self, CdfTable};
use super::student_score::{REACH, StudentScore};
use thiserror::Error;

/// From here on a factor of the product counts as 1 (`1 - Phi(7)` is 1.3e-12).
const CERTAIN: f64 = 7.0;
/// From here on a factor of the product counts as 0 (`Phi(-6.5)` is 4.0e-11).
const HOPELESS: f64 = 6.5;
/// A panel of 24 nodes may span this many standard deviations of the narrowest fall inside it.
const PANEL_IN_FALLS: f64 = 7.0;
/// A panel may span this many scores of t.
const PANEL_IN_SCORES: f64 = 9.0;
/// Where amounts are taken besides, the common loss is followed from this score on; 2.9e-7 lies below and counts as no chance.
const LOWEST_WITH_AMOUNTS: f64 = -5.0;
/// Numbers of amounts with less chance than this are not told apart from fewer.
const NEGLIGIBLE: f64 = 1e-6;
/// A factor counts as 1 where amounts take less than this off it.
const NO_AMOUNT: f64 = 1e-11;

/// Why no chance can be stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum FirstPassageError {
    /// Degrees of freedom below 1.
    #[error("the degrees of freedom of the common loss must be at least 1")]
    DegreesOfFreedom,
    /// There is no station to survive at.
    #[error("no station has a margin")]
    NoStations,
    /// A mean, margin, offset or variance is not finite, or a variance is negative.
    #[error("a mean, margin or offset is not finite, or a variance is negative")]
    Value,
}

/// One station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// What may still be lost; at exactly 0 left it survives.
    pub margin: f64,
    /// What it loses per step beyond the common loss, `d_j`.
    pub offset: f64,
    /// Variance of a margin that was carried forward over missed readings, else 0; unit squared.
    pub carried_variance: f64,
}

/// What a sum of losses must stay within at one station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Margin less the expected loss, `margin_j - k (m + d_j)`.
    pub room: f64,
    /// Variance of the station's own loss, `W_j(k)`; 0 makes the fall a step.
    pub variance: f64,
}

/// Random amounts that a station loses besides, as [`super::compound`] counts them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amounts {
    /// Chances of 0, 1, ... of them.
    weights: Weights,
    /// The highest number with a chance that matters.
    last: usize,
}

impl Amounts {
    /// Of these chances; higher numbers that together matter less than [`NEGLIGIBLE`] count as the highest that does.
    pub fn new(mut weights: Weights) -> Amounts {
        let mut beyond = 0.0;
        let mut last = MOST;
        while last > 0 && beyond + weights[last] < NEGLIGIBLE {
            beyond += weights[last];
            last -= 1;
        }
        weights[last] += beyond;
        Amounts { weights, last }
    }
}

/// A station in units of the common standard deviation.
#[derive(Debug, Clone, Copy)]
struct Fall {
    /// Where its factor begins to fall below 1.
    begin: f64,
    /// `sqrt(W)`.
    width: f64,
    /// `c_j/e_j` and `1/e_j`: the argument of Phi is `level - slope t`.
    level: f64,
    slope: f64,
    /// The same in the table's standard deviations.
    table_level: f64,
    table_slope: f64,
    amounts: Option<Amounts>,
}

/// Chances of survival at fixed degrees of freedom; one of these serves a whole fleet and every
/// thread of it.
#[derive(Debug, Clone)]
pub struct FirstPassage {
    student: StudentScore,
    normal: &'static CdfTable,
}

impl FirstPassage {
    /// Prepares for a common loss with Student's t of these degrees of freedom (1 or more;
    /// infinite when its mean and variance are known).
    ///
    /// # Errors
    /// [`FirstPassageError::DegreesOfFreedom`].
    pub fn new(degrees_of_freedom: f64) -> Result<Self, FirstPassageError> {
        Ok(Self {
            student: StudentScore::new(degrees_of_freedom).ok_or(FirstPassageError::DegreesOfFreedom)?,
            normal: CdfTable::shared(),
        })
    }

    /// The degrees of freedom.
    pub fn degrees_of_freedom(&self) -> f64 {
        self.student.degrees_of_freedom()
    }

    /// `E_t prod_j Phi((room_j - t sqrt(common_variance))/sqrt(variance_j))`: the chance that a
    /// common loss of that variance and each station's own stay within the room of every station.
    ///
    /// # Errors
    /// [`FirstPassageError::NoStations`] and [`FirstPassageError::Value`].
    pub fn all_within(&self, common_variance: f64, rooms: &[Room]) -> Result<f64, FirstPassageError> {
        self.within(common_variance, rooms, None)
    }

    /// The same where each station loses random amounts besides: its factor is the mean over their sums. The table's standard
    /// deviation stands for the station's own beside an amount. Absolute error below 1e-3 (against the mixture in full).
    ///
    /// # Errors
    /// As [`FirstPassage::all_within`]; also where there are not as many amounts as rooms.
    pub fn all_within_with(
        &self,
        common_variance: f64,
        rooms: &[Room],
        amounts: &[Amounts],
        table: &SumTable,
    ) -> Result<f64, FirstPassageError> {
        if amounts.len() != rooms.len() {
            return Err(FirstPassageError::Value);
        }
        self.within(common_variance, rooms, Some((amounts, table)))
    }

    fn within(
        &self,
        common_variance: f64,
        rooms: &[Room],
        with: Option<(&[Amounts], &SumTable)>,
    ) -> Result<f64, FirstPassageError> {
        let usable = |r: &Room| r.room.is_finite() && r.variance.is_finite() && r.variance >= 0.0;
        if rooms.is_empty() {
            return Err(FirstPassageError::NoStations);
        }
        if !common_variance.is_finite() || common_variance < 0.0 || !rooms.iter().all(usable) {
            return Err(FirstPassageError::Value);
        }
        // Amounts are taken in any case: beside them a common loss of no variance is one of next to none.
        let sd = if with.is_some() { common_variance.sqrt().max(1e-9) } else { common_variance.sqrt() };
        let smallest = rooms.iter().map(|r| r.room).fold(f64::INFINITY, f64::min);
        // Beside rooms this large a common loss so small is none, and dividing would overflow.
        if sd == 0.0 || !(smallest / sd).is_finite() {
            return Ok(rooms.iter().map(within_alone).product());
        }

        let mut high = rooms.iter().map(|r| (r.room + HOPELESS * r.variance.sqrt()) / sd).fold(f64::INFINITY, f64::min);
        let high_score = self.student.score(high).min(REACH);
        if high_score <= -REACH {
            return Ok(0.0);
        }
        high = self.student.t(high_score);

        let fall = |(at, r): (usize, &Room)| {
            let width = r.variance.sqrt();
            let amounts = with.map(|(amounts, table)| (amounts[at], table)).filter(|(amounts, _)| amounts.last > 0);
            let sigma = amounts.map_or(width, |(_, table)| table.sigma());
            let begin = (r.room - CERTAIN * width) / sd;
            let amounts_begin = amounts.map_or(begin, |(amounts, table)| {
                (r.room - table.certain_from(&amounts.weights, amounts.last, NO_AMOUNT) * sigma) / sd
            });
            Fall {
                begin: begin.min(amounts_begin),
                width: width / sd,
                level: r.room / width,
                slope: sd / width,
                table_level: r.room / sigma,
                table_slope: sd / sigma,
                amounts: amounts.map(|(amounts, _)| amounts),
            }
        };
        let falling = rooms.iter().enumerate().filter(|(_, r)| r.variance > 0.0).map(fall);
        let mut falls: Vec<Fall> = falling.filter(|f| f.begin < high).collect();
        falls.sort_unstable_by(|a, b| a.begin.total_cmp(&b.begin));
        let Some(first) = falls.first() else {
            return Ok(self.student.mass_below(high_score));
        };
        if let Some((_, table)) = with {
            // The same nodes whatever the margins: the table's corners then never turn more margin into less chance.
            let narrowest = falls.iter().map(|f| f.width).fold(f64::INFINITY, f64::min);
            return Ok(self
                .by_nodes((LOWEST_WITH_AMOUNTS, REACH), (narrowest, high_score), &falls, table, 0)
                .clamp(0.0, 1.0));
        }
        let low_score = self.student.score(first.begin).max(-REACH);
        let certain = self.student.mass_below(low_score);
        let falling = self.over(low_score, high_score, &falls, 0);
        Ok((certain + falling).clamp(0.0, 1.0))
    }

    /// The integral of the product between two scores, `falls` sorted by where they begin.
    fn over(&self, low: f64, high: f64, falls: &[Fall], depth: u32) -> f64 {
        let (from, to) = (self.student.t(low), self.student.t(high));
        // Those that begin beyond this panel are still 1 in it.
        let falls = &falls[..falls.partition_point(|f| f.begin < to)];
        let narrowest = falls.iter().map(|f| f.width).fold(f64::INFINITY, f64::min);
        let fine = high - low <= PANEL_IN_SCORES && to - from <= PANEL_IN_FALLS * narrowest;
        // Sixty halvings reach the spacing of doubles: there is nothing left to resolve.
        if fine || depth >= 60 {
            return self.panel(low, high, falls, None);
        }
        let middle = 0.5 * (low + high);
        self.over(low, middle, falls, depth + 1) + self.over(middle, high, falls, depth + 1)
    }

    /// As [`FirstPassage::over`], where amounts are taken: panels are halved down to 7 times the narrowest fall wherever they lie;
    /// those above `highest` are 0, and below where the first factor falls their mass is known.
    fn by_nodes(
        &self,
        (low, high): (f64, f64),
        (narrowest, highest): (f64, f64),
        falls: &[Fall],
        table: &SumTable,
        depth: u32,
    ) -> f64 {
        if low >= highest {
            return 0.0;
        }
        let (from, to) = (self.student.t(low), self.student.t(high));
        if falls.first().is_none_or(|first| first.begin >= to) {
            return self.student.mass_below(high) - self.student.mass_below(low);
        }
        if (high - low <= PANEL_IN_SCORES && to - from <= PANEL_IN_FALLS * narrowest) || depth >= 60 {
            return self.panel(low, high, falls, Some(table));
        }
        let middle = 0.5 * (low + high);
        let half = |low, high| self.by_nodes((low, high), (narrowest, highest), falls, table, depth + 1);
        half(low, middle) + half(middle, high)
    }

    /// One panel of 24 nodes.
    fn panel(&self, low: f64, high: f64, falls: &[Fall], table: Option<&SumTable>) -> f64 {
        gauss_legendre::panel(low, high, |score| {
            let (t, density) = self.student.t_and_density(score);
            self.product(t, density, falls, table)
        })
    }

    /// `start` times the product of all factors at a common loss; sorted by where they begin, so the rest is still 1.
    #[inline]
    fn product(&self, t: f64, start: f64, falls: &[Fall], table: Option<&SumTable>) -> f64 {
        let begun = falls.iter().take_while(|fall| fall.begin < t);
        begun.fold(start, |product, fall| {
            let alone = self.normal.cdf(fall.level - fall.slope * t);
            product
                * match (table, &fall.amounts) {
                    (Some(table), Some(amounts)) => {
                        let x = fall.table_level - fall.table_slope * t;
                        amounts.weights[0] * alone + table.some(x, &amounts.weights, amounts.last)
                    }
                    _ => alone,
                }
        })
    }
}

/// One station without a common loss.
fn within_alone(room: &Room) -> f64 {
    if room.variance > 0.0 {
        normal::cdf(room.room / room.variance.sqrt())
    } else if room.room >= 0.0 {
        1.0
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn far_margins_against_normal_tails() {
        // Normal losses of variance 1 + 3: 6.5 and 9 standard deviations of margin.
        // mpmath 1.4.1: 1 - ncdf(6.5) = 4.0160005838591178e-11.
        let passage = FirstPassage::new(f64::INFINITY).unwrap();
        let chance = |room| passage.all_within(1.0, &[Room { room, variance: 3.0 }]).unwrap();
        assert!((1.0 - chance(13.0) - 4.016_000_583_859_118e-11).abs() < 2e-11);
        assert_eq!(chance(40.0), 1.0);
        assert!(chance(-13.0) < 1e-10);
        assert_eq!(chance(-400.0), 0.0);
    }

    #[test]
    fn unusable_input() {
        assert_eq!(FirstPassage::new(0.0).unwrap_err(), FirstPassageError::DegreesOfFreedom);
        let passage = FirstPassage::new(3.0).unwrap();
        let room = Room { room: 1.0, variance: 1.0 };
        let value = Err(FirstPassageError::Value);
        assert_eq!(passage.all_within(1.0, &[]), Err(FirstPassageError::NoStations));
        assert_eq!(passage.all_within(f64::NAN, &[room]), value);
        assert_eq!(passage.all_within(-1.0, &[room]), value);
        assert_eq!(passage.all_within(1.0, &[Room { room: f64::NAN, ..room }]), value);
        assert_eq!(passage.all_within(1.0, &[Room { variance: -1.0, ..room }]), value);
    }

    #[test]
    fn a_common_loss_of_next_to_nothing_is_none() {
        let passage = FirstPassage::new(3.0).unwrap();
        let rooms = [Room { room: 1.0, variance: 4.0 }, Room { room: 0.0, variance: 1.0 }];
        let expected = normal::cdf(0.5) * 0.5;
        for common_variance in [0.0, 1e-320, 1e-30, 1e-14] {
            let chance = passage.all_within(common_variance, &rooms).unwrap();
            assert!((chance - expected).abs() < 1e-9, "{common_variance:e}: {chance}");
        }
    }
}
