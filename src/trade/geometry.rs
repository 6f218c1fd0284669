//! Where a place on a blade is, and what the listed stations say about it.
//!
//! Radii are inches from the hub centre, stations percent of the tip radius, chord positions fractions of the chord from
//! the leading edge.

/// Millimetres in an inch, exactly (international inch, 1959).
pub const MM_PER_IN: f64 = 25.4;

/// A reading this close to a listed station, in inches, is a reading of that station. Assumption.
pub const STATION_SNAP_IN: f64 = 0.1;

/// Stations at which shops usually measure, percent of the tip radius; 100 is the tip. Common practice, no source.
pub const USUAL_STATIONS_PCT: [f64; 7] = [20.0, 30.0, 45.0, 60.0, 75.0, 90.0, 100.0];

/// One of the two dimensions a shop measures at a station.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    /// Chord, leading to trailing edge.
    Width,
    /// Largest thickness of the section.
    Thickness,
}

impl Dimension {
    /// Both, in the order results are written.
    pub const ALL: [Dimension; 2] = [Dimension::Width, Dimension::Thickness];

    /// The word in results.
    pub const fn word(self) -> &'static str {
        match self {
            Dimension::Width => "width",
            Dimension::Thickness => "thickness",
        }
    }
}

/// Radius in inches of a station: `r = s/100 * diameter/2`.
///
/// `station_pct` in percent, `diameter_in` in inches. Common practice, no source: 60 % of a 76 in propeller is 22.80 in.
pub fn station_radius_in(station_pct: f64, diameter_in: f64) -> f64 {
    station_pct / 100.0 * (diameter_in / 2.0)
}

/// Which listed station is nearest to a radius (both in inches); of two equally near the outer one, where blades are
/// thinner. `None` when nothing is listed or the radius is not a number.
pub fn nearest_station(radius_in: f64, listed_in: &[f64]) -> Option<usize> {
    let mut best: Option<(usize, f64)> = None;
    for (i, &at) in listed_in.iter().enumerate() {
        let away = (at - radius_in).abs();
        if away.is_nan() {
            continue;
        }
        let nearer = match best {
            None => true,
            Some((j, least)) => away < least || (away == least && at > listed_in[j]),
        };
        if nearer {
            best = Some((i, away));
        }
    }
    best.map(|(i, _)| i)
}

/// A dimension or limit known at one station, both in inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationValue {
    /// Radius from the hub centre.
    pub station_in: f64,
    /// Width, thickness or a limit there.
    pub value_in: f64,
}

/// A dimension or limit at a radius between or beside stations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValueAt {
    /// Inches, in the dimension asked for.
    pub value_in: f64,
    /// The radius lies beyond the first or last listed station by more than [`STATION_SNAP_IN`]; `value_in` is that
    /// station's and a row made from it should say so.
    pub outside_listed: bool,
}

/// The value at a radius: linear between the two stations around it, the nearest listed station's outside them (nothing
/// is extrapolated).
///
/// `stations` in any order; entries that are not numbers are passed over, and of two at one radius the smaller value
/// serves. `None` when no station is left or `radius_in` is not a number.
pub fn value_at(radius_in: f64, stations: &[StationValue]) -> Option<ValueAt> {
    if radius_in.is_nan() {
        return None;
    }
    let mut below: Option<StationValue> = None;
    let mut above: Option<StationValue> = None;
    for &s in stations {
        if !s.station_in.is_finite() || !s.value_in.is_finite() {
            continue;
        }
        let nearer = |held: StationValue| {
            let (new, old) = ((s.station_in - radius_in).abs(), (held.station_in - radius_in).abs());
            new < old || (new == old && s.value_in < held.value_in)
        };
        if s.station_in <= radius_in && below.is_none_or(nearer) {
            below = Some(s);
        }
        if s.station_in >= radius_in && above.is_none_or(nearer) {
            above = Some(s);
        }
    }
    match (below, above) {
        (Some(low), Some(high)) => {
            let span = high.station_in - low.station_in;
            let share = if span > 0.0 { (radius_in - low.station_in) / span } else { 0.0 };
            Some(ValueAt { value_in: low.value_in + share * (high.value_in - low.value_in), outside_listed: false })
        }
        (Some(only), None) | (None, Some(only)) => Some(ValueAt {
            value_in: only.value_in,
            outside_listed: (only.station_in - radius_in).abs() > STATION_SNAP_IN + 1e-9,
        }),
        (None, None) => None,
    }
}

/// A third of the tip radius, counted from the hub.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RadiusThird {
    /// Up to 33.3 %.
    Inner,
    /// Between the two.
    Middle,
    /// From 66.7 % to the tip.
    Outer,
}

impl RadiusThird {
    /// The third a station (percent) lies in; a boundary belongs to the outer of its two.
    pub fn of(station_pct: f64) -> RadiusThird {
        if station_pct * 3.0 < 100.0 {
            RadiusThird::Inner
        } else if station_pct * 3.0 < 200.0 {
            RadiusThird::Middle
        } else {
            RadiusThird::Outer
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn stations() -> Vec<StationValue> {
        // Unsorted on purpose.
        [(34.2, 0.25), (11.4, 0.81), (22.8, 0.45), (38.0, 0.20)]
            .map(|(station_in, value_in)| StationValue { station_in, value_in })
            .to_vec()
    }

    // Common practice, no source: the 60 % station of a 76 in propeller is at 22.80 in.
    #[test]
    fn sixty_percent_of_seventy_six_inches() {
        assert!((station_radius_in(60.0, 76.0) - 22.80).abs() < 1e-12);
    }

    // By hand: halfway between 22.8 (0.45) and 34.2 (0.25) is 28.5 (0.35); a quarter of the way 0.40.
    #[test]
    fn linear_between_and_held_outside() {
        let at = |r| value_at(r, &stations()).unwrap();
        assert!((at(28.5).value_in - 0.35).abs() < 1e-12);
        assert!((at(25.65).value_in - 0.40).abs() < 1e-12);
        assert!((at(22.8).value_in - 0.45).abs() < 1e-12);
        assert!(!at(22.8).outside_listed);
        assert_eq!(at(5.0).value_in, 0.81);
        assert!(at(5.0).outside_listed);
        assert_eq!(at(38.3).value_in, 0.20);
        assert!(at(38.3).outside_listed);
        // A tip reading a hair beyond the tip is a tip reading.
        assert!(!at(38.000001).outside_listed);
        assert!(!at(11.3).outside_listed);
    }

    #[test]
    fn what_is_not_a_number_is_passed_over() {
        let mut s = stations();
        s.push(StationValue { station_in: 28.5, value_in: f64::NAN });
        s.push(StationValue { station_in: f64::NAN, value_in: 0.1 });
        assert!((value_at(28.5, &s).unwrap().value_in - 0.35).abs() < 1e-12);
        assert_eq!(value_at(f64::NAN, &s), None);
        assert_eq!(value_at(10.0, &[]), None);
        // Two values at one radius: the smaller, in either order.
        let twice = |a: f64, b: f64| [a, b].map(|value_in| StationValue { station_in: 20.0, value_in });
        for pair in [twice(0.3, 0.2), twice(0.2, 0.3)] {
            assert_eq!(value_at(20.0, &pair).unwrap().value_in, 0.2);
            assert_eq!(value_at(25.0, &pair).unwrap().value_in, 0.2);
        }
    }

    #[test]
    fn of_two_equally_near_the_outer_station_serves() {
        let listed = [22.8, 11.4, 28.5];
        assert_eq!(nearest_station(f64::NAN, &listed), None);
        assert_eq!(nearest_station(1.0, &[]), None);
        assert_eq!(nearest_station(16.0, &listed), Some(1));
        // Equally near: the outer one, however they are listed.
        assert_eq!(nearest_station(11.0, &[10.0, 12.0]), Some(1));
        assert_eq!(nearest_station(11.0, &[12.0, 10.0]), Some(0));
    }

    #[test]
    fn a_boundary_belongs_to_the_outer_third() {
        assert_eq!(RadiusThird::of(33.0), RadiusThird::Inner);
        assert_eq!(RadiusThird::of(34.0), RadiusThird::Middle);
        assert_eq!(RadiusThird::of(66.6), RadiusThird::Middle);
        assert_eq!(RadiusThird::of(67.0), RadiusThird::Outer);
    }

    proptest! {
        #[test]
        fn a_value_between_stations_is_between_their_values_and_order_does_not_matter(
            values in proptest::collection::vec(0.05..2.0f64, 5),
            at in 0.0..60.0f64,
            turn in 0usize..5,
        ) {
            let mut s: Vec<StationValue> = values
                .iter()
                .enumerate()
                .map(|(i, &value_in)| StationValue { station_in: 10.0 * (i as f64 + 1.0), value_in })
                .collect();
            let found = value_at(at, &s).unwrap();
            let low = values.iter().copied().fold(f64::INFINITY, f64::min);
            let high = values.iter().copied().fold(0.0, f64::max);
            prop_assert!(found.value_in >= low - 1e-12 && found.value_in <= high + 1e-12);
            s.rotate_left(turn);
            prop_assert_eq!(value_at(at, &s).unwrap(), found);
        }
    }
}
