//! Cycles: the loss from overhaul to overhaul, one number an overhaul and dimension. Their one source.
//!
//! For dimension x: `d_j` the offset of station j ([`offsets`]), `L` the loss of the cycle at a blade and station,
//! `y = mean of L/n - d_j` over blades and stations, n the overhauls spanned. Metal lost at a repair or shown by an inspection in
//! between belongs to the next overhaul's cycle; a change of model ends the chain. A station missed at some overhauls has the
//! known `n (y + d_j)` of the cycles in between subtracted; each of them adds its own scatter to the reading, so that with m
//! missed the reading counts 1/(1 + m) in the mean (as if none of the scatter were gauge error, the cautious side) and
//! is left out of the variances. What blends took of a reading's loss, as far as a gauge feels it ([`felt`]), is no wear and is taken
//! out first; of a cycle from before damage was written down, what blends take in as many days of others. Lengths in inches.

pub mod blended;
pub mod felt;
pub mod numbering;
pub mod offsets;
pub mod walk;

use rayon::prelude::*;

use crate::records::Fleet;
use crate::stats::residual_variances::{CovarianceSums, PlaceSums};
use crate::trade::calendar::Day;
use crate::trade::geometry::Dimension;

use felt::Betas;
use numbering::Numbering;
use offsets::{NormalEquations, Offsets};
use walk::{Listener, Span, SpanReading, Walker};

const PROPELLERS_AT_ONCE: u32 = 1024;

/// One cycle of one propeller in one dimension.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// Index of the propeller.
    pub propeller: u32,
    /// Number of the visit that ends it.
    pub visit: u32,
    /// Loss an overhaul, mean over blades and stations, freed from the stations' offsets, in inches.
    pub mean_loss_in: f64,
    /// Number of the overhaul within the propeller's life; the mean of those it spans.
    pub number: f64,
    /// Overhauls it spans.
    pub spanned: u16,
    /// Readings behind the mean.
    pub readings: u16,
    /// Whether it starts at the new dimension.
    pub from_drawing: bool,
    /// What was taken out of the mean loss for blends, an overhaul, in inches.
    pub blended_in: f64,
    /// Its length in days; 0 where that is not known.
    pub days: i32,
}

impl Cycle {
    /// Loss an overhaul as measured, with what blends took in it, in inches.
    pub fn lost_in(&self) -> f64 {
        self.mean_loss_in + self.blended_in
    }
}

/// Sums over residuals of readings that missed nothing.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ResidualSums {
    /// Residuals squared, times the overhauls spanned.
    pub squares: f64,
    /// Readings.
    pub observations: usize,
    /// Overhauls that have any.
    pub overhauls: usize,
}

impl ResidualSums {
    /// Adds other sums.
    pub fn join(&mut self, other: &ResidualSums) {
        self.squares += other.squares;
        self.observations += other.observations;
        self.overhauls += other.overhauls;
    }
}

/// What the cycles of one model and dimension leave over.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Scatter {
    /// Cycles that start at a reading.
    pub others: ResidualSums,
    /// Cycles from drawing.
    pub first: ResidualSums,
    /// Pairs of residuals at one blade and station; cycles from drawing and those of several overhauls left out.
    pub pairs: CovarianceSums,
    /// The readings behind the pairs.
    pub paired: ResidualSums,
    /// Sum of the losses in service at unpainted before readings, in inches.
    pub service_in: f64,
    /// How many there are.
    pub services: usize,
}

impl Scatter {
    /// Adds another model's or another part's.
    pub fn join(&mut self, other: &Scatter) {
        self.others.join(&other.others);
        self.first.join(&other.first);
        self.pairs.join(&other.pairs);
        self.paired.join(&other.paired);
        self.service_in += other.service_in;
        self.services += other.services;
    }
}

/// Offsets by model and dimension; the last model stands for propellers whose model is not known.
#[derive(Debug, Clone, Default)]
pub struct StationOffsets(pub Vec<[Offsets; 2]>);

impl StationOffsets {
    /// Where a model's offsets stand.
    fn at(&self, model: Option<u32>) -> usize {
        let none = self.0.len() - 1;
        model.map_or(none, |m| (m as usize).min(none))
    }

    /// The offsets of a model in a dimension.
    pub fn of(&self, model: Option<u32>, dimension: Dimension) -> &Offsets {
        &self.0[self.at(model)][dimension as usize]
    }
}

/// Every cycle of a fleet, with what the readings say beside them.
#[derive(Debug, Clone)]
pub struct Cycles {
    /// By dimension; by propeller and date in each.
    pub list: [Vec<Cycle>; 2],
    /// Offsets of the stations.
    pub offsets: StationOffsets,
    /// By dimension: how much of blends' metal a gauge feels.
    pub felt: [Betas; 2],
    /// By dimension: what blends take from a place in a day by what a gauge feels, mean over the places, in inches.
    pub blended_a_day_in: [f64; 2],
    /// By model and dimension, as [`StationOffsets`].
    pub scatter: Vec<[Scatter; 2]>,
    /// How overhauls are numbered.
    pub numbering: Numbering,
}

impl Cycles {
    /// The cycles of a fleet, scrapped propellers included.
    pub fn of(fleet: &Fleet<'_>) -> Cycles {
        let models = fleet.models.list().len() + 1;
        let parts = by_slices(fleet, |propellers| {
            let mut walker = Walker::default();
            let mut part = vec![Sheets::default(); models];
            for propeller in propellers {
                walker.walk(fleet, propeller, &mut part);
            }
            part
        });
        let mut sheets = vec![Sheets::default(); models];
        for part in parts {
            let (sums, others) = (sheets.iter_mut().flatten().flatten(), part.iter().flatten().flatten());
            for (sum, other) in sums.zip(others) {
                sum.join(other);
            }
        }
        let numbering = Numbering::of(fleet);
        // A first cycle carries the maker's tolerance, which says nothing of what a gauge feels.
        let felt = [0, 1].map(|d| felt::of_models(sheets.iter().map(|of_model| &of_model[d][0])));
        let offsets = sheets.into_iter().map(|of_model| {
            let mut of_model = of_model.into_iter().zip(felt).map(|([mut all, first], betas)| {
                all.join(&first);
                all.solve(betas.map(|beta| beta.mean))
            });
            [(); 2].map(|()| of_model.next().unwrap_or_default())
        });
        let offsets = StationOffsets(offsets.collect());
        let parts = by_slices(fleet, |propellers| {
            let mut walker = Walker::default();
            let mut maker = CycleMaker::new(&offsets, &felt);
            for propeller in propellers {
                maker.propeller = propeller;
                maker.unrecorded = numbering.unrecorded(propeller);
                walker.walk(fleet, propeller, &mut maker);
                maker.finish_propeller();
            }
            (maker.list, maker.scatter)
        });
        let mut scatter = vec![<[Scatter; 2]>::default(); models];
        let mut list: [Vec<Cycle>; 2] =
            [0, 1].map(|d| Vec::with_capacity(parts.iter().map(|(list, _)| list[d].len()).sum()));
        for (cycles, part) in parts {
            for (sum, other) in scatter.iter_mut().flatten().zip(part.iter().flatten()) {
                sum.join(other);
            }
            for (all, new) in list.iter_mut().zip(cycles) {
                all.extend(new);
            }
        }
        let blended_a_day_in = free_unwritten(fleet, &mut list);
        Cycles { list, offsets, felt, blended_a_day_in, scatter, numbering }
    }

    /// The cycles of one dimension of some propellers, by propeller and date.
    pub fn of_propellers(&self, dimension: Dimension, propellers: std::ops::Range<u32>) -> &[Cycle] {
        let list = &self.list[dimension as usize];
        let from = list.partition_point(|c| c.propeller < propellers.start);
        let to = list.partition_point(|c| c.propeller < propellers.end);
        &list[from..to]
    }
}

/// The cycles of one propeller, by dimension, freed from given offsets; overhauls are numbered from the first on record.
pub fn of_propeller(
    fleet: &Fleet<'_>,
    propeller: u32,
    offsets: &StationOffsets,
    felt: &[Betas; 2],
    walker: &mut Walker,
) -> [Vec<Cycle>; 2] {
    let mut maker = CycleMaker::new(offsets, felt);
    maker.propeller = propeller;
    walker.walk(fleet, propeller, &mut maker);
    maker.list
}

fn by_slices<T: Send>(fleet: &Fleet<'_>, work: impl Fn(std::ops::Range<u32>) -> T + Sync) -> Vec<T> {
    let count = fleet.propellers.len() as u32;
    // Collected in the propellers' order, so that sums do not depend on the threads.
    (0..count.div_ceil(PROPELLERS_AT_ONCE))
        .into_par_iter()
        .map(|slice| {
            let from = slice * PROPELLERS_AT_ONCE;
            work(from..(from + PROPELLERS_AT_ONCE).min(count))
        })
        .collect()
}

/// The sheets of one model: by dimension, of cycles that start at a reading and of those from drawing.
type Sheets = [[NormalEquations; 2]; 2];

impl Listener for Vec<Sheets> {
    fn span(&mut self, dimension: Dimension, span: &Span<'_>) {
        let none = self.len() - 1;
        let at = span.model.map_or(none, |m| m as usize);
        self[at][dimension as usize][usize::from(span.from_drawing)].add(span);
    }
}

/// First day from which a propeller's damage was written down: as stated, else that of the fleet's first report.
pub fn written_since(fleet: &Fleet<'_>, propeller: u32, first_report: Day) -> Day {
    fleet.propellers.get(propeller).reports_kept_since.unwrap_or(first_report)
}

/// Takes out of cycles from before damage was written down what blends take in as many days of others; what that is a day, by
/// dimension.
fn free_unwritten(fleet: &Fleet<'_>, list: &mut [Vec<Cycle>; 2]) -> [f64; 2] {
    let Some(first_report) = fleet.defects.list().iter().map(|d| d.found).min() else {
        return [0.0; 2];
    };
    let unwritten_days = |cycle: &Cycle| {
        let end = fleet.visits.get(cycle.visit).day;
        let written = (end - written_since(fleet, cycle.propeller, first_report)).max(0);
        (cycle.days - written).max(0)
    };
    list.each_mut().map(|cycles| {
        let known = cycles.iter().filter(|c| c.days > 0 && unwritten_days(c) == 0);
        let (taken, days) = known.fold((0.0, 0i64), |(taken, days), cycle| {
            (taken + cycle.blended_in * f64::from(cycle.spanned), days + i64::from(cycle.days))
        });
        let a_day = if days > 0 { taken / days as f64 } else { 0.0 };
        for cycle in cycles.iter_mut() {
            let unwritten_in = a_day * f64::from(unwritten_days(cycle)) / f64::from(cycle.spanned.max(1));
            cycle.mean_loss_in -= unwritten_in;
            cycle.blended_in += unwritten_in;
        }
        a_day
    })
}

/// What of a reading's loss blends took, as far as a gauge feels it; 0 where that is not known: the loss then counts whole.
fn blended_in(felt: &Betas, reading: &SpanReading) -> f64 {
    let taken: f64 = felt.iter().zip(reading.taken_in).map(|(beta, taken)| beta.mean * taken).sum();
    if taken.is_nan() { 0.0 } else { taken }
}

/// Turns spans into cycles.
struct CycleMaker<'o> {
    offsets: &'o StationOffsets,
    felt: &'o [Betas; 2],
    propeller: u32,
    /// Overhauls before the first on record.
    unrecorded: f64,
    /// Overhauls and mean loss of the propeller's spans so far; the loss is `NaN` where no reading could be used.
    history: [Vec<(f64, f64)>; 2],
    places: Places,
    era: u32,
    list: [Vec<Cycle>; 2],
    scatter: Vec<[Scatter; 2]>,
}

impl<'o> CycleMaker<'o> {
    fn new(offsets: &'o StationOffsets, felt: &'o [Betas; 2]) -> Self {
        CycleMaker {
            offsets,
            felt,
            propeller: 0,
            unrecorded: 0.0,
            history: Default::default(),
            places: Places::default(),
            era: 0,
            list: Default::default(),
            scatter: vec![<[Scatter; 2]>::default(); offsets.0.len()],
        }
    }

    fn finish_propeller(&mut self) {
        for history in &mut self.history {
            history.clear();
        }
        self.places.empty_into(&mut self.scatter);
    }

    /// Residuals of the readings that missed nothing, about their own mean.
    fn scatter(&mut self, dimension: Dimension, span: &Span<'_>, offsets: &Offsets) {
        let spanned = f64::from(span.spanned);
        let felt = &self.felt[dimension as usize];
        let freed = || {
            span.readings.iter().filter(|r| r.missed == 0).filter_map(|r| {
                let wear_in = r.loss_in - blended_in(felt, r);
                Some((r, wear_in / spanned - offsets.known(r.station)?))
            })
        };
        let count = freed().count();
        if count == 0 {
            return;
        }
        let mean = freed().map(|(_, loss)| loss).sum::<f64>() / count as f64;
        let squares: f64 = freed().map(|(_, loss)| (loss - mean).powi(2)).sum();
        let model = self.offsets.at(span.model);
        let scatter = &mut self.scatter[model][dimension as usize];
        let sums = ResidualSums { squares: spanned * squares, observations: count, overhauls: 1 };
        if span.from_drawing {
            scatter.first.join(&sums);
            return;
        }
        scatter.others.join(&sums);
        if span.spanned == 1 {
            scatter.paired.join(&sums);
            // After a change of model the stations lie elsewhere: their residuals are places of their own.
            if self.era != span.era {
                self.places.empty_into(&mut self.scatter);
                self.era = span.era;
            }
            for (reading, loss) in freed() {
                self.places.add((model, dimension), (reading.blade, reading.station), span.overhaul_no, loss - mean);
            }
        }
    }
}

impl Listener for CycleMaker<'_> {
    fn span(&mut self, dimension: Dimension, span: &Span<'_>) {
        let all = self.offsets;
        let offsets = all.of(span.model, dimension);
        let spanned = f64::from(span.spanned);
        let history = &self.history[dimension as usize];
        let (mut sum, mut taken, mut weights, mut readings) = (0.0, 0.0, 0.0, 0u16);
        for reading in span.readings {
            let Some(offset) = offsets.known(reading.station) else {
                continue;
            };
            let missed = &history[history.len() - reading.missed as usize..];
            let known: f64 = missed.iter().map(|(n, mean)| n * (mean + offset)).sum();
            if known.is_nan() {
                continue;
            }
            let weight = 1.0 / f64::from(1 + reading.missed);
            let blended_in = blended_in(&self.felt[dimension as usize], reading);
            sum += weight * ((reading.loss_in - blended_in - known) / spanned - offset);
            taken += weight * blended_in / spanned;
            weights += weight;
            readings = readings.saturating_add(1);
        }
        let mean_loss_in = sum / weights;
        self.history[dimension as usize].push((spanned, mean_loss_in));
        if readings == 0 {
            return;
        }
        self.list[dimension as usize].push(Cycle {
            propeller: self.propeller,
            visit: span.visit,
            mean_loss_in,
            number: self.unrecorded + f64::from(span.overhaul_no) - 0.5 * (spanned - 1.0),
            spanned: span.spanned.min(u32::from(u16::MAX)) as u16,
            readings,
            from_drawing: span.from_drawing,
            blended_in: taken / weights,
            days: span.days,
        });
        self.scatter(dimension, span, offsets);
    }

    fn service(&mut self, dimension: Dimension, model: Option<u32>, loss_in: f64) {
        let scatter = &mut self.scatter[self.offsets.at(model)][dimension as usize];
        scatter.service_in += loss_in;
        scatter.services += 1;
    }
}

/// The residuals of one propeller at each blade and station.
#[derive(Debug, Default)]
struct Places {
    sums: Vec<[Option<PlaceSums>; 2]>,
    used: Vec<(usize, usize, Dimension)>,
}

impl Places {
    fn add(&mut self, (model, dimension): (usize, Dimension), (blade, station): (u8, u8), cycle: u32, residual: f64) {
        let slot = usize::from(blade) * 256 + usize::from(station);
        if slot >= self.sums.len() {
            self.sums.resize(slot + 1, [None; 2]);
        }
        let sums = &mut self.sums[slot][dimension as usize];
        if sums.is_none() {
            self.used.push((model, slot, dimension));
        }
        sums.get_or_insert_default().add(cycle, residual);
    }

    fn empty_into(&mut self, scatter: &mut [[Scatter; 2]]) {
        for (model, slot, dimension) in self.used.drain(..) {
            if let Some(sums) = self.sums[slot][dimension as usize].take() {
                scatter[model][dimension as usize].pairs.add(&sums);
            }
        }
    }
}
