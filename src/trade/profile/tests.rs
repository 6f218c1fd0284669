//! Values by hand (algebra of the stated shape) and laws.

use proptest::prelude::*;

use super::{Blend, Depth, Dressing, Length, Metal, Profile, Side};
use crate::trade::calendar::Day;

const EDGE: f64 = 10.0;

fn on(day: i32) -> Day {
    Day::from_number(day)
}

/// Found and dressed on one day.
fn nick(day: i32, radius_in: f64, depth_in: f64) -> Dressing {
    Dressing {
        radius_in: Some(radius_in),
        depth: Depth::BelowSurface(depth_in),
        length: Length::AtLeast(0.0),
        found: on(day),
        dressed: Some(on(day)),
        stands_in: false,
    }
}

fn edge(dressings: &[Dressing]) -> Profile {
    Profile::new(dressings.iter().copied(), EDGE, Profile::never_read)
}

#[track_caller]
fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found}, expected {expected}");
}

/// Blends of 0.056 in are 0.56 in long: 0.38 in apart neither reaches the other's middle.
#[test]
fn two_that_do_not_reach_each_other_do_not_add_up() {
    for days in [[1, 1], [1, 2]] {
        let profile = edge(&[nick(days[0], 30.0, 0.056), nick(days[1], 30.38, 0.056)]);
        near(profile.depth_at(30.0), 0.056, 1e-12);
        near(profile.depth_at(30.38), 0.056, 1e-12);
    }
}

#[test]
fn two_at_one_place_on_two_days_add_up() {
    near(edge(&[nick(1, 30.0, 0.030), nick(2, 30.0, 0.030)]).depth_at(30.0), 0.060, 1e-12);
    // On one day each is measured from the same surface.
    near(edge(&[nick(1, 30.0, 0.030), nick(1, 30.0, 0.030)]).depth_at(30.0), 0.030, 1e-12);
}

/// By hand: 0.030 sqrt(1 - 0.5^2) + 0.030 = 0.05598, 0.5598 in long; at the first 0.05598 sqrt(1 - (0.15/0.5598)^2).
#[test]
fn a_blend_beside_an_earlier_one() {
    let profile = edge(&[nick(1, 30.0, 0.030), nick(2, 30.075, 0.030)]);
    near(profile.depth_at(30.075), 0.0560, 5e-5);
    near(profile.depth_at(30.0), 0.0539, 5e-5);
}

/// By hand, step by step: 0.0400, 0.0665, 0.0993, 0.1347, 0.1713.
#[test]
fn five_in_a_row() {
    let row = |day: fn(i32) -> i32| -> Vec<Dressing> {
        (0..5).map(|i| nick(day(i), 30.0 + 0.15 * f64::from(i), 0.040)).collect()
    };
    near(edge(&row(|_| 1)).deepest_within(0.0, 99.0), 0.040, 1e-12);
    near(edge(&row(|i| i)).deepest_within(0.0, 99.0), 0.171, 5e-4);
}

/// Width loses the sum of the two edges, thickness the sum of face and camber.
#[test]
fn the_two_surfaces_of_a_dimension_add_up() {
    let both = [(Side::First, nick(1, 30.0, 0.056)), (Side::Second, nick(1, 30.0, 0.056))];
    let metal = Metal::new(&both, EDGE, Profile::never_read);
    near(metal.gone_at(30.0), 0.112, 1e-12);
    near(metal.deepest_within(29.0, 31.0), 0.112, 1e-12);
    // Each surface by itself, as a screen looks at it.
    near(metal.before(Side::First, 30.0, on(2)), 0.056, 1e-12);
    near(metal.before(Side::First, 30.0, on(1)), 0.0, 0.0);
    assert_eq!(metal.gone_since(30.0), Some(on(1)));
    assert_eq!(metal.gone_since(31.0), None);
}

#[test]
fn a_depth_from_the_original_surface_is_not_added_to_what_was_gone() {
    let rework = Dressing { depth: Depth::BelowOriginal(0.050), ..nick(2, 30.0, 0.0) };
    near(edge(&[nick(1, 30.0, 0.030), rework]).depth_at(30.0), 0.050, 1e-12);
    near(edge(&[nick(1, 30.0, 0.070), rework]).depth_at(30.0), 0.070, 1e-12);
    // A length that was measured holds whatever the depth asks for: 0.050 sqrt(1 - 0.5^2).
    let long = Dressing { length: Length::Measured(2.0), ..rework };
    near(edge(&[long]).depth_at(30.5), 0.050 * 0.75f64.sqrt(), 1e-12);
    let found_long = Dressing { length: Length::AtLeast(2.0), ..nick(1, 30.0, 0.050) };
    near(edge(&[found_long]).depth_at(30.5), 0.050 * 0.75f64.sqrt(), 1e-12);
}

/// A reading between the two takes the first out of the profile, and the second is measured from what was read.
#[test]
fn what_a_reading_shows_is_no_longer_part_of_it() {
    let both = [nick(1, 30.0, 0.030), nick(9, 30.0, 0.030)];
    let read_on =
        |day: i32| Profile::new(both, EDGE, move |b: &Blend| b.of.dressed.filter(|&d| d <= on(day)).map(|_| on(day)));
    near(read_on(5).depth_at(30.0), 0.030, 1e-12);
    near(read_on(5).depth_before(30.0, on(4)), 0.030, 1e-12);
    near(read_on(5).depth_before(30.0, on(5)), 0.0, 0.0);
    near(read_on(10).depth_at(30.0), 0.0, 0.0);
    // As long as nobody read it, the second lay on the first.
    near(read_on(10).blends()[1].depth_in, 0.060, 1e-12);
}

#[test]
fn one_without_a_place_may_lie_on_any_other() {
    let anywhere = Dressing { radius_in: None, ..nick(2, 0.0, 0.010) };
    let profile = edge(&[nick(1, 30.0, 0.030), anywhere, nick(3, 20.0, 0.005)]);
    near(profile.depth_at(30.0), 0.040, 1e-12);
    near(profile.depth_at(20.0), 0.015, 1e-12);
    near(profile.depth_at(10.0), 0.010, 1e-12);
    near(profile.deepest_within(0.0, 40.0), 0.040, 1e-12);
    let either =
        Metal::new(&[(Side::First, nick(1, 30.0, 0.030)), (Side::Either, anywhere)], EDGE, Profile::never_read);
    near(either.gone_at(30.0), 0.040, 1e-12);
    near(either.before(Side::Second, 30.0, on(3)), 0.010, 1e-12);
}

fn dressing() -> impl Strategy<Value = Dressing> {
    let place = prop::option::weighted(0.8, prop::sample::select(&[20.0, 20.1, 20.2, 20.35, 20.6, 21.0][..]));
    let depth = (1u32..60, prop::bool::weighted(0.2));
    (place, depth, prop::option::of(0.1..2.0f64), 0..6i32, prop::option::of(0..4i32)).prop_map(
        |(radius_in, (thou, original), length, found, after)| {
            let depth_in = f64::from(thou) / 1000.0;
            Dressing {
                radius_in,
                depth: if original { Depth::BelowOriginal(depth_in) } else { Depth::BelowSurface(depth_in) },
                length: Length::AtLeast(length.unwrap_or(0.0)),
                found: on(found),
                dressed: after.map(|days| on(found + days)),
                stands_in: false,
            }
        },
    )
}

const PLACES: [f64; 7] = [19.8, 20.0, 20.05, 20.2, 20.5, 20.6, 21.3];

proptest! {
    #[test]
    fn one_more_or_a_deeper_one_never_leaves_more_metal(
        all in prop::collection::vec(dressing(), 1..6),
        at in any::<prop::sample::Index>(),
        more in 0.0..0.1f64,
    ) {
        let whole = edge(&all);
        let at = at.index(all.len());
        let mut fewer = all.clone();
        fewer.remove(at);
        let fewer = edge(&fewer);
        let mut deeper = all.clone();
        deeper[at].depth = match deeper[at].depth {
            Depth::BelowSurface(depth) => Depth::BelowSurface(depth + more),
            Depth::BelowOriginal(depth) => Depth::BelowOriginal(depth + more),
        };
        let deeper = edge(&deeper);
        for radius in PLACES {
            prop_assert!(fewer.depth_at(radius) <= whole.depth_at(radius) + 1e-12);
            prop_assert!(whole.depth_at(radius) <= deeper.depth_at(radius) + 1e-12);
        }
    }

    #[test]
    fn the_order_of_rows_changes_nothing(all in prop::collection::vec(dressing(), 1..6), by in 0..6usize) {
        let mut turned = all.clone();
        turned.rotate_left(by % all.len());
        for radius in PLACES {
            prop_assert_eq!(edge(&all).depth_at(radius), edge(&turned).depth_at(radius));
        }
    }

    /// In thousandths of an inch or in millimetres the shape is the same.
    #[test]
    fn lengths_scale(all in prop::collection::vec(dressing(), 1..6), scale in 0.1..1000.0f64) {
        let scaled: Vec<Dressing> = all
            .iter()
            .map(|d| Dressing {
                radius_in: d.radius_in.map(|r| r * scale),
                depth: match d.depth {
                    Depth::BelowSurface(depth) => Depth::BelowSurface(depth * scale),
                    Depth::BelowOriginal(depth) => Depth::BelowOriginal(depth * scale),
                },
                length: match d.length {
                    Length::AtLeast(length) => Length::AtLeast(length * scale),
                    Length::Measured(length) => Length::Measured(length * scale),
                },
                ..*d
            })
            .collect();
        for radius in PLACES {
            let (here, there) = (edge(&all).depth_at(radius) * scale, edge(&scaled).depth_at(radius * scale));
            prop_assert!((here - there).abs() <= 1e-6 * scale, "{here} {there}");
        }
    }

    /// Without a day it counts at least as much as with any day.
    #[test]
    fn a_day_or_a_place_not_known_never_leaves_more_metal(
        all in prop::collection::vec(dressing(), 1..6),
        at in any::<prop::sample::Index>(),
    ) {
        let at = at.index(all.len());
        let (mut undated, mut unplaced) = (all.clone(), all.clone());
        undated[at].dressed = None;
        unplaced[at].radius_in = None;
        let deepest = |of: &[Dressing]| edge(of).deepest_within(0.0, 99.0);
        for radius in PLACES {
            prop_assert!(edge(&all).depth_at(radius) <= edge(&undated).depth_at(radius) + 1e-12);
        }
        prop_assert!(deepest(&all) <= deepest(&unplaced) + 1e-12);
    }
}
