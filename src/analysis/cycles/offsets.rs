//! By how much each station loses more or less than the mean of its blade, by least squares on overhaul + station.
//!
//! Every overhaul has a level of its own, so the offsets of one model depend on that model's sheets only, whatever pool it
//! is fitted in. The levels are eliminated: with `m` readings at one overhaul, `m_j` of them at station j, and weight q (the
//! overhauls spanned), the normal equations are `sum q (m_j [i=j] - m_i m_j/m) d_j = sum q (S_i - m_i S/m)`. The same left side
//! serves what blends took ([`super::felt`]): freed from overhauls and stations in the same way, losses and blends leave sums of
//! products, `sum q (x - x_mean)(y - y_mean) - right_x . solution_y`.

use super::walk::{Span, SpanReading};

/// Losses, and what blends took near the stations and farther from them.
type Values = [f64; 3];

/// Overhauls with blended places that are kept whole: with more of them no single place matters.
const MOST_KEPT: usize = 5_000;

/// The normal equations of one model and dimension.
#[derive(Debug, Clone, Default)]
pub struct NormalEquations {
    /// Stations there is room for.
    size: usize,
    matrix: Vec<f64>,
    right: [Vec<f64>; 3],
    seen: Vec<bool>,
    /// Sums of products freed from the overhauls only.
    products: Products,
    kept: Vec<(Vec<u8>, BlendedSpan)>,
}

/// Sums of products of losses and of what blends took.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Products {
    /// The sums.
    pub sums: [Values; 3],
    /// Places blended near the station, and farther from it.
    pub cells: [usize; 2],
    /// Degrees of freedom left: readings less overhauls and stations.
    pub freedom: usize,
}

impl Products {
    /// Adds other sums.
    pub fn join(&mut self, other: &Products) {
        for (sum, other) in self.sums.iter_mut().flatten().zip(other.sums.iter().flatten()) {
            *sum += other;
        }
        for (cells, other) in self.cells.iter_mut().zip(other.cells) {
            *cells += other;
        }
        self.freedom += other.freedom;
    }

    /// Without what a part of the readings gave.
    pub fn less(&self, other: &Products) -> Products {
        let mut less = *self;
        for (sum, other) in less.sums.iter_mut().flatten().zip(other.sums.iter().flatten()) {
            *sum -= other;
        }
        less
    }

    fn add(&mut self, weight: f64, values: Values) {
        for (row, one) in self.sums.iter_mut().zip(values) {
            for (sum, other) in row.iter_mut().zip(values) {
                *sum += weight * one * other;
            }
        }
    }
}

/// One overhaul with blended places.
#[derive(Debug, Clone, PartialEq)]
pub struct BlendedSpan {
    /// Overhauls it spans.
    pub spanned: f64,
    /// Its readings: per overhaul, freed from stations once these are known.
    pub readings: Vec<Values>,
    /// Which of them were blended.
    pub blended: Vec<usize>,
}

impl BlendedSpan {
    /// Products about the means of these readings.
    fn products_of<'r>(spanned: f64, readings: impl Iterator<Item = &'r Values> + Clone) -> Products {
        let count = readings.clone().count() as f64;
        let mut products = Products::default();
        let means = [0, 1, 2].map(|of| readings.clone().map(|values| values[of]).sum::<f64>() / count);
        for values in readings {
            products.add(spanned, [0, 1, 2].map(|of| values[of] - means[of]));
        }
        products
    }

    /// What it gives.
    pub fn products(&self) -> Products {
        BlendedSpan::products_of(self.spanned, self.readings.iter())
    }

    /// For each blended place, what is lost without it.
    pub fn each_dropped(&self) -> impl Iterator<Item = Products> + '_ {
        let whole = self.products();
        self.blended.iter().map(move |&at| {
            let others = self.readings[..at].iter().chain(&self.readings[at + 1..]);
            whole.less(&BlendedSpan::products_of(self.spanned, others))
        })
    }
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
        for right in &mut self.right {
            right.resize(size, 0.0);
        }
        self.seen.resize(size, false);
        self.size = size;
    }

    /// Adds the readings of one span that missed nothing and of which it is known what blends took.
    pub fn add(&mut self, span: &Span<'_>) {
        let spanned = f64::from(span.spanned);
        let is_clean = |r: &&SpanReading| r.missed == 0 && !r.taken_in.iter().any(|b| b.is_nan());
        let clean = || span.readings.iter().filter(is_clean);
        let count = clean().count() as f64;
        if count == 0.0 {
            return;
        }
        let largest = clean().map(|r| r.station).max().unwrap_or(0);
        self.make_room(usize::from(largest) + 1);
        let values = |r: &SpanReading| [r.loss_in, r.taken_in[0], r.taken_in[1]].map(|value| value / spanned);
        let means = [0, 1, 2].map(|of| clean().map(|r| values(r)[of]).sum::<f64>() / count);
        let is_blended = means[1] > 0.0 || means[2] > 0.0;
        // Reading by reading: the sum over readings of one station is m_j, so the products come out as written above.
        for reading in clean() {
            let at = usize::from(reading.station);
            let values = values(reading);
            let values = [0, 1, 2].map(|of| values[of] - means[of]);
            self.seen[at] = true;
            self.matrix[at * self.size + at] += spanned;
            for other in clean() {
                self.matrix[at * self.size + usize::from(other.station)] -= spanned / count;
            }
            self.right[0][at] += spanned * values[0];
            self.products.add(spanned, values);
            if is_blended {
                self.right[1][at] += spanned * values[1];
                self.right[2][at] += spanned * values[2];
                for (cells, taken_in) in self.products.cells.iter_mut().zip(reading.taken_in) {
                    *cells += usize::from(taken_in > 0.0);
                }
            }
        }
        self.products.freedom += count as usize - 1;
        if is_blended && self.kept.len() < MOST_KEPT {
            let stations = clean().map(|r| r.station).collect();
            let is_blended = |(_, r): &(usize, &SpanReading)| r.taken_in.iter().any(|taken| *taken > 0.0);
            let blended = clean().enumerate().filter(is_blended).map(|(at, _)| at).collect();
            let readings = clean().map(values).collect();
            self.kept.push((stations, BlendedSpan { spanned, readings, blended }));
        }
    }

    /// Adds what another part of the fleet gave.
    pub fn join(&mut self, other: &NormalEquations) {
        self.make_room(other.size);
        for row in 0..other.size {
            for (right, other) in self.right.iter_mut().zip(&other.right) {
                right[row] += other[row];
            }
            self.seen[row] |= other.seen[row];
            for column in 0..other.size {
                self.matrix[row * self.size + column] += other.matrix[row * other.size + column];
            }
        }
        self.products.join(&other.products);
        let room = MOST_KEPT - self.kept.len();
        self.kept.extend(other.kept.iter().take(room).cloned());
    }

    /// The offsets of the losses freed from `betas` times what blends took.
    pub fn solve(&self, betas: [f64; 2]) -> Offsets {
        let [losses, near, others] = &self.right;
        let taken = near.iter().zip(others).map(|(near, others)| betas[0] * near + betas[1] * others);
        let right: Vec<f64> = losses.iter().zip(taken).map(|(loss, taken)| loss - taken).collect();
        self.solve_for(&right)
    }

    /// The offsets of losses and of what blends took, each by itself.
    pub(super) fn solve_all(&self) -> [Offsets; 3] {
        self.right.each_ref().map(|right| self.solve_for(right))
    }

    /// The sums of products freed from stations too, whose offsets these are.
    pub(super) fn products(&self, offsets: &[Offsets; 3]) -> Products {
        let mut freed = self.products;
        for (row, right) in freed.sums.iter_mut().zip(&self.right) {
            for (sum, offsets) in row.iter_mut().zip(offsets) {
                let known = right.iter().enumerate().map(|(at, x)| x * offsets.known(at as u8).unwrap_or(0.0));
                *sum -= known.sum::<f64>();
            }
        }
        freed.freedom = freed.freedom.saturating_sub(offsets[0].parameters);
        freed
    }

    /// The overhauls with blended places, freed from stations.
    pub(super) fn blended_spans(&self, offsets: &[Offsets; 3]) -> Vec<BlendedSpan> {
        let freed = |(stations, span): &(Vec<u8>, BlendedSpan)| {
            let readings = stations
                .iter()
                .zip(&span.readings)
                .map(|(&station, values)| [0, 1, 2].map(|of| values[of] - offsets[of].known(station).unwrap_or(0.0)));
            BlendedSpan { spanned: span.spanned, readings: readings.collect(), blended: span.blended.clone() }
        };
        self.kept.iter().map(freed).collect()
    }

    /// Stations that no overhaul joins are fitted apart; in each such part the offsets add to zero.
    fn solve_for(&self, right: &[f64]) -> Offsets {
        let mut offsets = vec![f64::NAN; self.size];
        let mut parts = 0;
        for first in 0..self.size {
            if !self.seen[first] || !offsets[first].is_nan() {
                continue;
            }
            let part = self.joined_with(first);
            parts += 1;
            for (&station, offset) in part.iter().zip(self.solve_part(&part, right)) {
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
    fn solve_part(&self, part: &[usize], right: &[f64]) -> Vec<f64> {
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
            solution[i] = (right[part[i]] - known) / lower[i * n + i];
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
        Span { visit: 0, model: None, era: 0, overhaul_no: spanned, spanned, from_drawing: false, days: 0, readings }
    }

    fn reading(station: u8, loss_in: f64) -> SpanReading {
        SpanReading { blade: 1, station, loss_in, missed: 0, taken_in: [0.0; 2] }
    }

    /// By hand. Overhaul one reads A, B at 8, 12; overhaul two B, C at 21, 23; so B - A = 4, C - B = 2 and, adding to zero,
    /// A, B, C = -10/3, 2/3, 8/3. The plain station means (8, 16.5, 23) would say -7.8, 0.7, 7.2.
    #[test]
    fn incomplete_sheets_do_not_confound() {
        let mut equations = NormalEquations::default();
        equations.add(&span(&[reading(0, 8.0), reading(1, 12.0)], 1));
        equations.add(&span(&[reading(3, 23.0), reading(1, 21.0)], 1));
        let offsets = equations.solve([0.0; 2]);
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
        let offsets = equations.solve([0.0; 2]);
        assert!((offsets.of(1) - offsets.of(0) - 2.0 / 3.0).abs() < 1e-12);
    }

    #[test]
    fn parts_that_nothing_joins_and_lone_stations() {
        let mut equations = NormalEquations::default();
        equations.add(&span(&[reading(0, 1.0), reading(1, 3.0)], 1));
        let mut elsewhere = NormalEquations::default();
        elsewhere.add(&span(&[reading(4, 5.0)], 1));
        equations.join(&elsewhere);
        let offsets = equations.solve([0.0; 2]);
        assert!((offsets.of(0) + 1.0).abs() < 1e-12 && (offsets.of(1) - 1.0).abs() < 1e-12);
        assert_eq!(offsets.of(4), 0.0);
        assert_eq!(offsets.parameters, 1);
        assert_eq!(NormalEquations::default().solve([0.0; 2]), Offsets::default());
        assert_eq!(Offsets::default().of(7), 0.0);
    }

    /// By hand, one kind of blend: losses [[.010, .024], [.012, .011], [.009, .017]] of three overhauls at two stations, blends [[0,
    /// .02], [0, 0], [0, .01]]. Freed from overhauls and stations the blends' squares add to 1e-4, their products with the losses to
    /// 7.5e-5, so beta is 0.75, and 7.5e-7 of the losses' squares are left over.
    #[test]
    fn what_a_gauge_feels_by_hand() {
        let mut equations = NormalEquations::default();
        for (losses, blend) in [([0.010, 0.024], 0.02), ([0.012, 0.011], 0.0), ([0.009, 0.017], 0.01)] {
            let blended = SpanReading { taken_in: [blend, 0.0], ..reading(1, losses[1]) };
            equations.add(&span(&[reading(0, losses[0]), blended], 1));
        }
        let freed = equations.solve_all();
        let products = equations.products(&freed);
        let [[yy, xy, _], [_, xx, _], _] = products.sums;
        assert!((xx - 1e-4).abs() < 1e-16);
        assert!((xy / xx - 0.75).abs() < 1e-12);
        assert!((yy - xy * xy / xx - 7.5e-7).abs() < 1e-16);
        // Six readings less three overhauls and one station.
        assert_eq!((products.freedom, products.cells), (2, [2, 0]));
        // Without one blended place the other alone remains: losses .010, .012, .009 beside .011 and .017 of two overhauls.
        let spans = equations.blended_spans(&freed);
        assert_eq!(spans.len(), 2);
        let dropped: Vec<Products> = spans.iter().flat_map(BlendedSpan::each_dropped).collect();
        // A pair without one of its readings says nothing of differences: all that it gave is gone.
        assert_eq!(dropped, spans.iter().map(BlendedSpan::products).collect::<Vec<_>>());
        // A place of which it is not known what was blended stays out.
        let unknown = SpanReading { taken_in: [f64::NAN; 2], ..reading(1, 9.0) };
        let before = equations.products(&freed);
        equations.add(&span(&[reading(0, 1.0), unknown], 1));
        assert_eq!(equations.products(&freed), before);
    }
}
