//! By how much each station loses more or less than the mean of its blade, by least squares on overhaul + station.
//!
//! Every overhaul has a level of its own, so the offsets of one model depend on that model's sheets only, whatever pool it
//! is fitted in. The levels are eliminated: with `m` readings at one overhaul, `m_j` of them at station j, and weight q (the
//! overhauls spanned), the normal equations are `sum q (m_j [i=j] - m_i m_j/m) d_j = sum q (S_i - m_i S/m)`.

use super::walk::Span;

/// The normal equations of one model and dimension.
#[derive(Debug, Clone, Default)]
pub struct NormalEquations {
    /// Stations there is room for.
    size: usize,
    matrix: Vec<f64>,
    right: Vec<f64>,
    seen: Vec<bool>,
}

impl NormalEquations {
    fn make_room(&mut self, size: usize) {
        if size <= self.size {
            return;
        }
        let mut matrix = vec![0.0; size * size];
        for row in 0..self.size {
            let old = &self.matrix[row * self.size..(row + 1) * self.size];
            matrix[row * size..row * size + self.size].copy_from_slice(old);
        }
        self.matrix = matrix;
        self.right.resize(size, 0.0);
        self.seen.resize(size, false);
        self.size = size;
    }

    /// Adds the readings of one span that missed nothing.
    pub fn add(&mut self, span: &Span<'_>) {
        let spanned = f64::from(span.spanned);
        let clean = || span.readings.iter().filter(|r| r.missed == 0);
        let count = clean().count() as f64;
        if count == 0.0 {
            return;
        }
        let largest = clean().map(|r| r.station).max().unwrap_or(0);
        self.make_room(usize::from(largest) + 1);
        let mean = clean().map(|r| r.loss_in / spanned).sum::<f64>() / count;
        // Reading by reading: the sum over readings of one station is m_j, so the products come out as written above.
        for reading in clean() {
            let at = usize::from(reading.station);
            self.seen[at] = true;
            self.right[at] += spanned * (reading.loss_in / spanned - mean);
            self.matrix[at * self.size + at] += spanned;
            for other in clean() {
                self.matrix[at * self.size + usize::from(other.station)] -= spanned / count;
            }
        }
    }

    /// Adds what another part of the fleet gave.
    pub fn join(&mut self, other: &NormalEquations) {
        self.make_room(other.size);
        for row in 0..other.size {
            self.right[row] += other.right[row];
            self.seen[row] |= other.seen[row];
            for column in 0..other.size {
                self.matrix[row * self.size + column] += other.matrix[row * other.size + column];
            }
        }
    }

    /// The offsets. Stations that no overhaul joins are fitted apart; in each such part the offsets add to zero.
    pub fn solve(&self) -> Offsets {
        let mut offsets = vec![f64::NAN; self.size];
        let mut parts = 0;
        for first in 0..self.size {
            if !self.seen[first] || !offsets[first].is_nan() {
                continue;
            }
            let part = self.joined_with(first);
            parts += 1;
            for (&station, offset) in part.iter().zip(self.solve_part(&part)) {
                offsets[station] = offset;
            }
        }
        let stations = self.seen.iter().filter(|&&s| s).count();
        Offsets { by_station: offsets, parameters: stations - parts }
    }

    fn joined_with(&self, first: usize) -> Vec<usize> {
        let mut part = vec![first];
        let mut at = 0;
        while at < part.len() {
            let row = part[at];
            for other in 0..self.size {
                let joined = self.matrix[row * self.size + other] != 0.0;
                if joined && self.seen[other] && !part.contains(&other) {
                    part.push(other);
                }
            }
            at += 1;
        }
        part.sort_unstable();
        part
    }

    /// Cholesky's method on the equations with the sum of the offsets held at zero.
    fn solve_part(&self, part: &[usize]) -> Vec<f64> {
        let n = part.len();
        let at = |i: usize, j: usize| self.matrix[part[i] * self.size + part[j]];
        // Adding the same to every cell ties down the sum, which the equations leave open.
        let tie = (0..n).map(|i| at(i, i)).sum::<f64>() / (n * n) as f64;
        let mut lower = vec![0.0; n * n];
        let mut solution = vec![0.0; n];
        for i in 0..n {
            for j in 0..=i {
                let known: f64 = (0..j).map(|k| lower[i * n + k] * lower[j * n + k]).sum();
                let rest = at(i, j) + tie - known;
                lower[i * n + j] = if i == j { rest.max(f64::MIN_POSITIVE).sqrt() } else { rest / lower[j * n + j] };
            }
            let known: f64 = (0..i).map(|k| lower[i * n + k] * solution[k]).sum();
            solution[i] = (self.right[part[i]] - known) / lower[i * n + i];
        }
        for i in (0..n).rev() {
            let known: f64 = (i + 1..n).map(|k| lower[k * n + i] * solution[k]).sum();
            solution[i] = (solution[i] - known) / lower[i * n + i];
        }
        // A lone station has no offset; rounding must not give it one.
        if n == 1 {
            solution[0] = 0.0;
        }
        solution
    }
}

/// The offsets of one model's stations in one dimension, in inches a cycle.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Offsets {
    /// By number of the station; `NaN` where no reading says.
    by_station: Vec<f64>,
    /// Degrees of freedom they used up.
    pub parameters: usize,
}

impl Offsets {
    /// The offset of a station.
    pub fn known(&self, station: u8) -> Option<f64> {
        self.by_station.get(usize::from(station)).copied().filter(|d| !d.is_nan())
    }

    /// The offset of a station, or where no reading says the largest of the model's: what was never measured is not
    /// taken for better than its neighbours.
    pub fn of(&self, station: u8) -> f64 {
        self.known(station)
            .unwrap_or_else(|| self.by_station.iter().copied().filter(|d| !d.is_nan()).fold(0.0, f64::max))
    }

    /// The same offsets under another numbering of the stations: `number(new)` is the number here.
    pub fn renumbered(&self, stations: usize, number: impl Fn(u8) -> Option<u8>) -> Offsets {
        Offsets {
            by_station: (0..stations.min(256))
                .map(|s| number(s as u8).and_then(|n| self.known(n)).unwrap_or(f64::NAN))
                .collect(),
            parameters: self.parameters,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::walk::SpanReading;
    use super::*;

    fn span(readings: &[SpanReading], spanned: u32) -> Span<'_> {
        Span { visit: 0, model: None, era: 0, overhaul_no: spanned, spanned, from_drawing: false, readings }
    }

    fn reading(station: u8, loss_in: f64) -> SpanReading {
        SpanReading { blade: 1, station, loss_in, missed: 0 }
    }

    /// By hand. Overhaul one reads A, B at 8, 12; overhaul two B, C at 21, 23; so B - A = 4, C - B = 2 and, adding to zero,
    /// A, B, C = -10/3, 2/3, 8/3. The plain station means (8, 16.5, 23) would say -7.8, 0.7, 7.2.
    #[test]
    fn incomplete_sheets_do_not_confound() {
        let mut equations = NormalEquations::default();
        equations.add(&span(&[reading(0, 8.0), reading(1, 12.0)], 1));
        equations.add(&span(&[reading(3, 23.0), reading(1, 21.0)], 1));
        let offsets = equations.solve();
        for (station, expected) in [(0, -10.0 / 3.0), (1, 2.0 / 3.0), (3, 8.0 / 3.0)] {
            assert!((offsets.of(station) - expected).abs() < 1e-12, "{station}");
        }
        assert_eq!(offsets.known(2), None);
        // Never measured: the largest of the others.
        assert!((offsets.of(2) - 8.0 / 3.0).abs() < 1e-12);
        assert_eq!(offsets.parameters, 2);
    }

    /// By hand, with weights: one overhaul reads A, B at 1, 3, another spans two and reads 4, 4 (2 each): differences 2 and
    /// 0 with weights 1 and 2, so B - A = 2/3.
    #[test]
    fn a_span_of_several_overhauls_weighs_for_them() {
        let mut equations = NormalEquations::default();
        equations.add(&span(&[reading(0, 1.0), reading(1, 3.0)], 1));
        equations.add(&span(&[reading(0, 4.0), reading(1, 4.0)], 2));
        let offsets = equations.solve();
        assert!((offsets.of(1) - offsets.of(0) - 2.0 / 3.0).abs() < 1e-12);
    }

    #[test]
    fn parts_that_nothing_joins_and_lone_stations() {
        let mut equations = NormalEquations::default();
        equations.add(&span(&[reading(0, 1.0), reading(1, 3.0)], 1));
        let mut elsewhere = NormalEquations::default();
        elsewhere.add(&span(&[reading(4, 5.0)], 1));
        equations.join(&elsewhere);
        let offsets = equations.solve();
        assert!((offsets.of(0) + 1.0).abs() < 1e-12 && (offsets.of(1) - 1.0).abs() < 1e-12);
        assert_eq!(offsets.of(4), 0.0);
        assert_eq!(offsets.parameters, 1);
        assert_eq!(NormalEquations::default().solve(), Offsets::default());
        assert_eq!(Offsets::default().of(7), 0.0);
    }
}
