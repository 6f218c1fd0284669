//! Metal dressed out of a blade: a profile, not a sum.
//!
//! A blend leaves a shallow ellipse along the blade, and side by side two blends leave one profile. Per blade and surface,
//! in the order of the days of dressing: `b = d + D(r)`, d the depth of the finding and D of what was dressed before the day
//! it was found (a nick is measured from the surface of its day, so findings of one day do not add up); a depth measured
//! from the original surface gives `b = max(D(r), depth)`. Then `D(r) = max(D(r), b sqrt(1 - (2 (r - r_b)/L)^2))` within L/2
//! of the blend. Width loses the sum of the two edges' profiles at one radius, thickness that of face and camber.
//!
//! Radii and depths in inches. Source: exact geometry of the assumed shape; the shape, a shallow ellipse as long as makers'
//! manuals ask (10 x depth at edges, 20 x on face and camber; published, for other propellers), is an assumption.

use super::calendar::Day;

/// Rounding of radii, in inches: much less than any gauge shows.
const ROUNDING_IN: f64 = 1e-9;

/// How deep a dressing went, in inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Depth {
    /// Below the surface of the day on which it was found.
    BelowSurface(f64),
    /// Below the original surface, measured after the dressing.
    BelowOriginal(f64),
}

/// How long a dressing is along the blade, in inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Length {
    /// As measured.
    Measured(f64),
    /// This, or what its depth asks for where that is longer.
    AtLeast(f64),
}

impl Length {
    fn of(self, depth_in: f64, ratio: f64) -> f64 {
        match self {
            Length::Measured(length_in) => length_in,
            Length::AtLeast(length_in) => length_in.max(ratio * depth_in),
        }
    }
}

/// One finding that was dressed out of one surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dressing {
    /// Distance from the hub centre in inches; `None` where the place is not known, and it may be anywhere.
    pub radius_in: Option<f64>,
    /// How deep.
    pub depth: Depth,
    /// How long.
    pub length: Length,
    /// Day it was found.
    pub found: Day,
    /// Day it was dressed; `None` where that is not known: for what was found later it counts as dressed when found.
    pub dressed: Option<Day>,
    /// Its depth is not recorded and stands in for one.
    pub stands_in: bool,
}

impl Dressing {
    fn dressed_by(&self) -> Day {
        self.dressed.unwrap_or(self.found).max(self.found)
    }
}

/// A dressing with the depth and the length that the profile gives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blend {
    /// What it comes from.
    pub of: Dressing,
    /// Deepest metal gone below the original surface, at its radius.
    pub depth_in: f64,
    /// Its length along the blade.
    pub length_in: f64,
    /// Day from which a reading shows its metal; `None` while no reading does.
    pub read_on: Option<Day>,
}

impl Blend {
    fn dressed_by(&self) -> Day {
        self.of.dressed_by()
    }

    fn is_unread_on(&self, day: Day) -> bool {
        self.read_on.is_none_or(|read| read > day)
    }

    /// Its metal gone at a radius, when it lies at a known one.
    fn at(&self, radius_in: f64) -> f64 {
        match self.of.radius_in {
            Some(centre) => ellipse(radius_in - centre, self.depth_in, self.length_in),
            None => self.depth_in,
        }
    }
}

/// Depth of an ellipse of this depth and length at a distance from its centre.
fn ellipse(away_in: f64, depth_in: f64, length_in: f64) -> f64 {
    if away_in.abs() < ROUNDING_IN {
        return depth_in;
    }
    let share = 2.0 * away_in / length_in;
    if share.abs() < 1.0 { depth_in * (1.0 - share * share).sqrt() } else { 0.0 }
}

/// Metal dressed out of one surface of one blade.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Profile {
    /// In order of the day of dressing.
    blends: Vec<Blend>,
    has_unplaced: bool,
    has_read: bool,
}

impl Profile {
    /// The profile of a surface's dressings, in whatever order they come.
    ///
    /// `ratio` is the length of a blend over its depth; `read_on` names the first day on or after the dressing on which a
    /// reading shows the blend's metal, `None` when none does ([`Profile::never_read`]). What a reading shows is no longer
    /// part of the profile: neither of today's nor of what is found from that day on.
    pub fn new(
        dressings: impl IntoIterator<Item = Dressing>,
        ratio: f64,
        read_on: impl Fn(&Blend) -> Option<Day>,
    ) -> Profile {
        let mut dressings: Vec<Dressing> = dressings.into_iter().collect();
        dressings.sort_by_key(Dressing::dressed_by);
        let mut profile = Profile { blends: Vec::with_capacity(dressings.len()), has_unplaced: false, has_read: false };
        for of in dressings {
            // What lies anywhere is added up where it is asked for.
            let before_in = of.radius_in.map_or(0.0, |radius| profile.depth_before(radius, of.found));
            let depth_in = deepened(of.depth, before_in);
            let length_in = of.length.of(depth_in, ratio);
            let mut blend = Blend { of, depth_in, length_in, read_on: None };
            blend.read_on = read_on(&blend);
            profile.has_unplaced |= of.radius_in.is_none();
            profile.has_read |= blend.read_on.is_some();
            profile.blends.push(blend);
        }
        profile
    }

    /// For [`Profile::new`] where no reading is to count.
    pub fn never_read(_: &Blend) -> Option<Day> {
        None
    }

    /// Its blends in order of the day of dressing, those that a reading shows included.
    pub fn blends(&self) -> &[Blend] {
        &self.blends
    }

    /// The blends that no reading shows.
    pub fn unread(&self) -> impl Iterator<Item = &Blend> {
        self.blends.iter().filter(|b| b.read_on.is_none())
    }

    /// Metal gone today at a radius, since it was last read.
    pub fn depth_at(&self, radius_in: f64) -> f64 {
        self.deepest(radius_in, |b| b.read_on.is_none())
    }

    /// Metal gone at a radius by the dressings of the days before `day`, as far as no reading up to that day shows it.
    pub fn depth_before(&self, radius_in: f64, day: Day) -> f64 {
        self.deepest(radius_in, |b| b.dressed_by() < day && b.is_unread_on(day))
    }

    /// The deepest metal gone today between two radii (both in inches), since it was last read.
    pub fn deepest_within(&self, from_in: f64, to_in: f64) -> f64 {
        // An ellipse is deepest where it comes nearest to its centre.
        let places = self.unread().map(|b| b.of.radius_in.unwrap_or(from_in).clamp(from_in, to_in));
        places.map(|radius| self.depth_at(radius)).fold(0.0, f64::max)
    }

    /// The deepest of the blends that `counts`, at a radius.
    fn deepest(&self, radius_in: f64, counts: impl Fn(&Blend) -> bool) -> f64 {
        if !self.has_unplaced {
            return self.blends.iter().filter(|b| counts(b)).map(|b| b.at(radius_in)).fold(0.0, f64::max);
        }
        // One without a place may lie here, on top of what was dressed here before it was found.
        let mut here: Vec<f64> = Vec::with_capacity(self.blends.len());
        // The deepest of the first blends, by their number.
        let mut of_first: Vec<f64> = vec![0.0];
        let mut deepest = 0.0f64;
        for blend in &self.blends {
            let depth_in = match blend.of.radius_in {
                Some(_) => blend.at(radius_in),
                None => {
                    let found = blend.of.found;
                    let earlier = self.blends.partition_point(|b| b.dressed_by() < found).min(here.len());
                    let before_in = match self.has_read {
                        false => of_first[earlier],
                        true => {
                            let unread =
                                self.blends[..earlier].iter().zip(&here).filter(|(b, _)| b.is_unread_on(found));
                            unread.map(|(_, &depth)| depth).fold(0.0, f64::max)
                        }
                    };
                    deepened(blend.of.depth, before_in)
                }
            };
            here.push(depth_in);
            of_first.push(of_first[here.len() - 1].max(depth_in));
            if counts(blend) {
                deepest = deepest.max(depth_in);
            }
        }
        deepest
    }
}

fn deepened(depth: Depth, before_in: f64) -> f64 {
    match depth {
        Depth::BelowSurface(depth_in) => before_in + depth_in,
        Depth::BelowOriginal(depth_in) => before_in.max(depth_in),
    }
}

/// Which surface of a dimension a dressing lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Leading edge of the width, face of the thickness.
    First,
    /// Trailing edge of the width, camber of the thickness.
    Second,
    /// Either of them, or both: it adds to whatever lies there.
    Either,
}

/// Metal dressed out of one dimension of one blade: of both its surfaces, and of what may lie on either.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Metal {
    sides: [Profile; 2],
    /// One profile each, since any two may lie on different sides.
    either: Vec<Profile>,
}

impl Metal {
    /// As [`Profile::new`], by side.
    pub fn new(dressings: &[(Side, Dressing)], ratio: f64, read_on: impl Fn(&Blend) -> Option<Day>) -> Metal {
        if dressings.is_empty() {
            return Metal::default();
        }
        let of = |wanted: Side| dressings.iter().filter(move |(side, _)| *side == wanted).map(|(_, of)| *of);
        Metal {
            sides: [Side::First, Side::Second].map(|side| Profile::new(of(side), ratio, &read_on)),
            either: of(Side::Either).map(|one| Profile::new([one], ratio, &read_on)).collect(),
        }
    }

    /// Whether nothing was dressed that no reading shows.
    pub fn is_empty(&self) -> bool {
        self.unread().next().is_none()
    }

    fn profiles(&self) -> impl Iterator<Item = &Profile> {
        self.sides.iter().chain(&self.either)
    }

    /// The blends that no reading shows.
    pub fn unread(&self) -> impl Iterator<Item = &Blend> {
        self.profiles().flat_map(Profile::unread)
    }

    /// Radii at which blends lie that no reading shows.
    pub fn centres(&self) -> impl Iterator<Item = f64> {
        self.unread().filter_map(|b| b.of.radius_in)
    }

    /// Radii of all blends, those that a reading shows included.
    pub fn all_centres(&self) -> impl Iterator<Item = f64> {
        self.profiles().flat_map(Profile::blends).filter_map(|b| b.of.radius_in)
    }

    /// Metal gone today at a radius: the sum of the two surfaces.
    pub fn gone_at(&self, radius_in: f64) -> f64 {
        self.profiles().map(|p| p.depth_at(radius_in)).fold(0.0, |sum, depth| sum + depth)
    }

    /// Metal gone today at a radius if one finding more were dressed out of a side now.
    pub fn gone_with(&self, side: Side, one: &Dressing, ratio: f64, radius_in: f64) -> f64 {
        let centre = one.radius_in.unwrap_or(radius_in);
        let profile = match side {
            Side::First => Some(&self.sides[0]),
            Side::Second => Some(&self.sides[1]),
            Side::Either => None,
        };
        let (before_in, here_in) =
            profile.map_or((0.0, 0.0), |p| (p.depth_before(centre, one.found), p.depth_at(radius_in)));
        let depth_in = deepened(one.depth, before_in);
        let own_in = ellipse(radius_in - centre, depth_in, one.length.of(depth_in, ratio));
        self.gone_at(radius_in) + (own_in - here_in).max(0.0)
    }

    /// Metal gone of one surface at a radius by the dressings before a day, what may lie on either surface included; of
    /// [`Side::Either`] the deeper surface.
    pub fn before(&self, side: Side, radius_in: f64, day: Day) -> f64 {
        let [first, second] = self.sides.each_ref().map(|p| p.depth_before(radius_in, day));
        let either: f64 = self.either.iter().map(|p| p.depth_before(radius_in, day)).fold(0.0, |sum, d| sum + d);
        either
            + match side {
                Side::First => first,
                Side::Second => second,
                Side::Either => first.max(second),
            }
    }

    /// The most metal gone today at a blend between two radii, or where one beyond them comes nearest.
    pub fn deepest_within(&self, from_in: f64, to_in: f64) -> f64 {
        let places = self.unread().map(|b| b.of.radius_in.unwrap_or(from_in).clamp(from_in, to_in));
        places.map(|radius| self.gone_at(radius)).fold(0.0, f64::max)
    }

    /// The first day on which one of the blends was dressed whose metal is gone today at a radius; one without a day counts
    /// from the day it was found.
    pub fn gone_since(&self, radius_in: f64) -> Option<Day> {
        self.unread().filter(|b| b.at(radius_in) > 0.0).map(|b| b.dressed_by()).min()
    }
}

#[cfg(test)]
mod tests;
