//! Where a number lies across or up a chart, and which ticks help to read it.

use super::svg::NotDrawn;

/// The largest number a scale takes; beyond it neighbouring numbers cannot be told apart in a drawing.
const LARGEST: f64 = 1e15;
/// A domain narrower than this, by itself and against its numbers, holds one value.
const NARROWEST: f64 = 1e-9;

/// A linear scale from a domain of numbers to percent of a chart's width (or height).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    first: f64,
    last: f64,
}

/// How numbers at ticks are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Numbers {
    /// As they are, with the decimals the step needs.
    Plain,
    /// Thousands as `12k`, millions as `1.5M`.
    Short,
}

/// Where a value lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Place {
    /// Before the first value of the domain.
    Before,
    /// Inside, in percent of the width.
    At(f64),
    /// Beyond the last value.
    Beyond,
}

impl Place {
    /// In percent of the width; outside values at the end they left by.
    pub fn percent(self) -> f64 {
        match self {
            Place::Before => 0.0,
            Place::At(percent) => percent,
            Place::Beyond => 100.0,
        }
    }
}

impl Scale {
    /// From the value at the left (or bottom) end to the one at the right (or top). The first may be the larger: the scale then
    /// runs the other way. Equal values get room on both sides.
    ///
    /// # Errors
    /// [`NotDrawn::NotFinite`] for an end that is no number or beyond 1e15.
    pub fn new(first: f64, last: f64) -> Result<Scale, NotDrawn> {
        // Written so that NaN fails too.
        if !(first.abs() <= LARGEST && last.abs() <= LARGEST) {
            return Err(NotDrawn::NotFinite);
        }
        let size = first.abs().max(last.abs());
        if (last - first).abs() < NARROWEST.max(size * NARROWEST) {
            let room = (size * 0.1).max(0.5);
            return Ok(Scale { first: first - room, last: first + room });
        }
        Ok(Scale { first, last })
    }

    /// From `from` (often 0) to a round number at or above the largest of the values.
    ///
    /// # Errors
    /// As [`Scale::new`], for any of the values.
    pub fn up_to(from: f64, values: impl IntoIterator<Item = f64>) -> Result<Scale, NotDrawn> {
        let mut top = from;
        for value in values {
            if !value.is_finite() {
                return Err(NotDrawn::NotFinite);
            }
            top = top.max(value);
        }
        if top <= from {
            top = from + 1.0;
        }
        Scale::new(from, top)?.rounded()
    }

    /// From a round number below the smallest to one above the largest of the values.
    ///
    /// # Errors
    /// [`NotDrawn::TooFew`] without values; else as [`Scale::new`].
    pub fn around(values: impl IntoIterator<Item = f64>) -> Result<Scale, NotDrawn> {
        let mut ends: Option<(f64, f64)> = None;
        for value in values {
            if !value.is_finite() {
                return Err(NotDrawn::NotFinite);
            }
            ends = Some(ends.map_or((value, value), |(a, b)| (a.min(value), b.max(value))));
        }
        let (low, high) = ends.ok_or(NotDrawn::TooFew)?;
        Scale::new(low, high)?.rounded()
    }

    /// The same scale with its ends moved outward to whole steps of its ticks.
    fn rounded(self) -> Result<Scale, NotDrawn> {
        let step = self.step(6);
        let (low, high) = self.ends();
        // A hair of an end's own size, so that an end that is a whole step already stays.
        let (low, high) = ((low / step + 1e-9).floor() * step, (high / step - 1e-9).ceil() * step);
        if self.first <= self.last { Scale::new(low, high) } else { Scale::new(high, low) }
    }

    /// The smallest and the largest value of the domain.
    pub fn ends(self) -> (f64, f64) {
        (self.first.min(self.last), self.first.max(self.last))
    }

    /// Where a value lies; a value that is no number lies nowhere and gives a place that is no number, which the writer refuses.
    pub fn place(self, value: f64) -> Place {
        let percent = (value - self.first) / (self.last - self.first) * 100.0;
        // Rounding must not push an end of the domain out of it.
        if percent < -1e-9 {
            Place::Before
        } else if percent > 100.0 + 1e-9 {
            Place::Beyond
        } else {
            Place::At(percent.clamp(0.0, 100.0))
        }
    }

    /// The value's place in percent of the width; values outside are held at the ends.
    pub fn percent(self, value: f64) -> f64 {
        self.place(value).percent()
    }

    /// The finest step of 1, 2 or 5 times a power of ten that gives at most `most` ticks (held to 5..=10).
    fn step(self, most: usize) -> f64 {
        let most = most.clamp(5, 10);
        let (low, high) = self.ends();
        let exponent = ((high - low) / 100.0).log10().floor() as i32;
        // Two powers of ten above the hundredth part of the span there is never more than one tick, so the search ends.
        (0..12)
            .map(|n| [1.0, 2.0, 5.0][n % 3] * 10f64.powi(exponent + (n / 3) as i32))
            .find(|step| {
                let (from, to) = whole_steps(low, high, *step);
                to - from < most as f64
            })
            .unwrap_or(high - low)
    }

    /// Ticks at multiples of 1, 2 or 5 times a power of ten: at least two and at most `most` (held to 5..=10), rising and inside
    /// the domain.
    pub fn ticks(self, most: usize) -> Vec<f64> {
        let step = self.step(most);
        let (low, high) = self.ends();
        let (from, to) = whole_steps(low, high, step);
        (0..=(to - from).max(0.0) as usize).map(|n| ((from + n as f64) * step).clamp(low, high)).collect()
    }

    /// The ticks with their places and words, in the order of their places.
    pub fn tick_marks(self, most: usize, numbers: Numbers) -> Vec<super::Tick> {
        let step = self.step(most);
        let mut marks: Vec<super::Tick> = self
            .ticks(most)
            .into_iter()
            .map(|value| super::Tick::new(self.percent(value), numbers.write(value, step)))
            .collect();
        if self.first > self.last {
            marks.reverse();
        }
        marks
    }
}

/// The first and the last whole number of steps inside a domain.
fn whole_steps(low: f64, high: f64, step: f64) -> (f64, f64) {
    ((low / step - 1e-9).ceil(), (high / step + 1e-9).floor())
}

impl Numbers {
    /// A value at a tick, with the decimals that tell it from its neighbours a `step` away.
    pub fn write(self, value: f64, step: f64) -> String {
        let (value, step, unit) = match self {
            Numbers::Plain => (value, step, ""),
            Numbers::Short if value.abs() >= 1e6 => (value / 1e6, step / 1e6, "M"),
            Numbers::Short if value.abs() >= 1e3 => (value / 1e3, step / 1e3, "k"),
            Numbers::Short => (value, step, ""),
        };
        let decimals = (-(step.abs().log10() + 1e-9).floor()).clamp(0.0, 9.0) as usize;
        let text = format!("{value:.decimals$}");
        // A rounded negative zero is a zero; 1.0k and 0.50M say no more than 1k and 0.5M.
        let text = match text.strip_prefix('-') {
            Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_string(),
            _ => text,
        };
        let text = if unit.is_empty() || !text.contains('.') {
            text
        } else {
            text.trim_end_matches('0').trim_end_matches('.').to_string()
        };
        format!("{text}{unit}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_of_a_few_domains_by_hand() {
        let of = |a, b| Scale::new(a, b).expect("finite").ticks(6);
        assert_eq!(of(0.0, 10.0), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
        assert_eq!(of(10.0, 0.0), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
        assert_eq!(of(0.0, 1.0).len(), 6);
        assert_eq!(of(-3.0, 47.0), [0.0, 10.0, 20.0, 30.0, 40.0]);
        assert_eq!(of(5.0, 5.0).len(), 5);
    }

    #[test]
    fn a_scale_that_runs_the_other_way_places_its_first_value_left() {
        let s = Scale::new(8.0, 0.0).expect("finite");
        assert_eq!(s.percent(8.0), 0.0);
        assert_eq!(s.percent(2.0), 75.0);
        assert_eq!(s.place(9.0), Place::Before);
        assert_eq!(s.place(-1.0), Place::Beyond);
        let marks = s.tick_marks(5, Numbers::Plain);
        assert!(marks.windows(2).all(|w| w[0].percent < w[1].percent));
    }

    #[test]
    fn a_scale_up_to_values_ends_on_a_tick() {
        let s = Scale::up_to(0.0, [17_300.0, 4_000.0]).expect("finite");
        assert_eq!(s.ends(), (0.0, 20_000.0));
        let none = Scale::up_to(0.0, []).expect("finite");
        assert_eq!(none.ends(), (0.0, 1.0));
    }

    #[test]
    fn numbers_are_written_short() {
        for (value, step, text) in [
            (0.0, 5_000.0, "0"),
            (12_000.0, 2_000.0, "12k"),
            (1_500.0, 500.0, "1.5k"),
            (1_000.0, 500.0, "1k"),
            (1_500_000.0, 500_000.0, "1.5M"),
            (-20_000.0, 5_000.0, "-20k"),
            (0.25, 0.05, "0.25"),
        ] {
            assert_eq!(Numbers::Short.write(value, step), text);
        }
        assert_eq!(Numbers::Plain.write(0.30000000000000004, 0.1), "0.3");
        assert_eq!(Numbers::Plain.write(-1e-17, 0.1), "0.0");
    }

    #[test]
    fn no_scale_of_what_is_no_number() {
        for bad in [f64::NAN, f64::INFINITY, 1e16] {
            assert_eq!(Scale::new(0.0, bad), Err(NotDrawn::NotFinite));
        }
        assert_eq!(Scale::around([]), Err(NotDrawn::TooFew));
    }
}
