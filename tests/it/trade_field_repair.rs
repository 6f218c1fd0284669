//! The field-repair screen. Its numbers are settings recalled from memory (AC 20-37E, AC 43.13-1B): these tests prove that
//! the setting is applied, never that a number is right.

use bladewane::records::schema::{DEFECT_KINDS, SURFACES};
use bladewane::trade::field_repair::{
    DefectKind, FieldRepair, MINOR_DEPTH_IN, ScreenInput, ScreenLimits, ScreenReason, Surface, blend_length_in,
    depths_add, is_minor, line_up_across, screen, takes_thickness, takes_width,
};
use bladewane::trade::geometry::MM_PER_IN;
use proptest::prelude::*;

fn nick(surface: Option<Surface>) -> ScreenInput {
    ScreenInput {
        kind: DefectKind::Nick,
        surface,
        station_pct: Some(75.0),
        cumulative_depth_in: Some(0.02),
        length_in: Some(0.2),
        width_in: Some(0.1),
        margin_left_in: Some(0.05),
    }
}

fn verdict(input: &ScreenInput) -> (FieldRepair, ScreenReason) {
    let s = screen(input, &ScreenLimits::default());
    (s.field_repair, s.reason)
}

// Common practice, no source: a gouge 1/16 in deep and 1 1/2 in long on the camber is shop only.
#[test]
fn a_long_gouge_on_the_camber_is_shop_only() {
    let gouge = ScreenInput {
        kind: DefectKind::Gouge,
        cumulative_depth_in: Some(1.0 / 16.0),
        length_in: Some(1.5),
        ..nick(Some(Surface::Camber))
    };
    assert_eq!(verdict(&gouge), (FieldRepair::ShopOnly, ScreenReason::Length));
    let shorter = ScreenInput { length_in: Some(1.0), ..gouge };
    assert_eq!(verdict(&shorter), (FieldRepair::Within, ScreenReason::WithinLimits));
    // At an edge its length is no bar.
    let at_edge = ScreenInput { surface: Some(Surface::TrailingEdge), ..gouge };
    assert_eq!(verdict(&at_edge).0, FieldRepair::Within);
}

#[test]
fn the_setting_decides_whatever_it_is() {
    let limits =
        ScreenLimits { edge_depth_in: 0.010, surface_depth_in: 0.030, surface_width_in: 0.20, surface_length_in: 0.30 };
    let at = |surface, depth, width, length| {
        screen(
            &ScreenInput {
                cumulative_depth_in: Some(depth),
                width_in: Some(width),
                length_in: Some(length),
                ..nick(Some(surface))
            },
            &limits,
        )
        .reason
    };
    assert_eq!(at(Surface::LeadingEdge, 0.010, 9.0, 9.0), ScreenReason::WithinLimits);
    assert_eq!(at(Surface::LeadingEdge, 0.011, 0.1, 0.1), ScreenReason::Depth);
    assert_eq!(at(Surface::Face, 0.030, 0.20, 0.30), ScreenReason::WithinLimits);
    assert_eq!(at(Surface::Face, 0.031, 0.20, 0.30), ScreenReason::Depth);
    assert_eq!(at(Surface::Face, 0.030, 0.21, 0.30), ScreenReason::Width);
    assert_eq!(at(Surface::Face, 0.030, 0.20, 0.31), ScreenReason::Length);
    // The tip by both: the smaller depth, and width and length as well.
    assert_eq!(at(Surface::Tip, 0.011, 0.1, 0.1), ScreenReason::Depth);
    assert_eq!(at(Surface::Tip, 0.010, 0.21, 0.1), ScreenReason::Width);
    assert_eq!(at(Surface::Tip, 0.010, 0.20, 0.30), ScreenReason::WithinLimits);
}

#[test]
fn a_size_equal_to_its_limit_is_within_in_any_unit() {
    // 3/16 in typed as millimetres, and as a sum of three blends.
    for depth in [4.7625 / MM_PER_IN, 0.1 + 0.05 + 0.0375] {
        let at_limit = ScreenInput { cumulative_depth_in: Some(depth), ..nick(Some(Surface::LeadingEdge)) };
        assert_eq!(verdict(&at_limit).0, FieldRepair::Within, "{depth}");
    }
    let over = ScreenInput { cumulative_depth_in: Some(0.1876), ..nick(Some(Surface::LeadingEdge)) };
    assert_eq!(verdict(&over), (FieldRepair::ShopOnly, ScreenReason::Depth));
}

#[test]
fn kinds_hub_and_margin_come_before_size() {
    for kind in DefectKind::ALL {
        let tiny = ScreenInput { kind, ..nick(Some(Surface::LeadingEdge)) };
        let expected = if kind.is_shop_only() { FieldRepair::ShopOnly } else { FieldRepair::Within };
        assert_eq!(verdict(&tiny).0, expected, "{}", kind.word());
    }
    assert_eq!(verdict(&nick(Some(Surface::Hub))), (FieldRepair::ShopOnly, ScreenReason::AtHub));
    let thin = ScreenInput { margin_left_in: Some(-0.001), ..nick(Some(Surface::Face)) };
    assert_eq!(verdict(&thin), (FieldRepair::ShopOnly, ScreenReason::BelowMinimum));
    let exactly = ScreenInput { margin_left_in: Some(0.0), ..nick(Some(Surface::Face)) };
    assert_eq!(verdict(&exactly).0, FieldRepair::Within);
    let not_known = ScreenInput { margin_left_in: None, ..nick(Some(Surface::Face)) };
    assert_eq!(verdict(&not_known).0, FieldRepair::Within);
}

#[test]
fn what_is_not_recorded() {
    let limits = ScreenLimits::default();
    for spoilt in [None, Some(-0.1), Some(f64::NAN), Some(f64::INFINITY)] {
        let no_depth = ScreenInput { cumulative_depth_in: spoilt, ..nick(Some(Surface::Face)) };
        assert_eq!(verdict(&no_depth), (FieldRepair::NotMeasured, ScreenReason::NoDepth));
        // A length beyond the screen is enough without a depth.
        let long = ScreenInput { length_in: Some(2.0), ..no_depth };
        assert_eq!(verdict(&long), (FieldRepair::ShopOnly, ScreenReason::Length));
        // A length or width alone is a caution on the broad sides, nothing at an edge.
        for (surface, caution) in [
            (Some(Surface::Face), true),
            (Some(Surface::Camber), true),
            (Some(Surface::Tip), true),
            (None, true),
            (Some(Surface::LeadingEdge), false),
            (Some(Surface::TrailingEdge), false),
        ] {
            let no_length = screen(&ScreenInput { length_in: spoilt, ..nick(surface) }, &limits);
            assert_eq!(no_length.field_repair, FieldRepair::Within);
            assert_eq!(no_length.extent_not_recorded, caution);
            assert!(!screen(&nick(surface), &limits).extent_not_recorded);
        }
    }
    // Without a surface: the smaller depth, if its station says that it is not the hub.
    let deep = ScreenInput { cumulative_depth_in: Some(0.1), ..nick(None) };
    assert_eq!(verdict(&deep), (FieldRepair::ShopOnly, ScreenReason::Depth));
    assert_eq!(verdict(&nick(None)).0, FieldRepair::Within);
    for station_pct in [None, Some(5.0), Some(f64::NAN)] {
        let nowhere = ScreenInput { station_pct, ..nick(None) };
        assert_eq!(verdict(&nowhere), (FieldRepair::NotMeasured, ScreenReason::NoPlace));
    }
    assert_eq!(
        [FieldRepair::Within, FieldRepair::ShopOnly, FieldRepair::NotMeasured].map(FieldRepair::words),
        ["within", "shop only", "not measured"]
    );
}

#[test]
fn what_a_blend_takes() {
    let table = Surface::ALL.map(|s| (s.word(), takes_width(Some(s)), takes_thickness(Some(s))));
    assert_eq!(
        table,
        [
            ("leading_edge", true, false),
            ("trailing_edge", true, false),
            ("face", false, true),
            ("camber", false, true),
            ("tip", true, false),
            ("hub", false, false),
        ]
    );
    assert!(takes_width(None) && takes_thickness(None));
}

// Makers' manuals for other propellers (published): 10 x depth at the edges, 20 x on face and camber.
#[test]
fn blend_lengths() {
    let of = |s, d| blend_length_in(s, d);
    assert!((of(Some(Surface::LeadingEdge), Some(0.1)).unwrap() - 1.0).abs() < 1e-12);
    assert!((of(Some(Surface::TrailingEdge), Some(0.03)).unwrap() - 0.3).abs() < 1e-12);
    assert!((of(Some(Surface::Camber), Some(0.05)).unwrap() - 1.0).abs() < 1e-12);
    assert!((of(Some(Surface::Tip), Some(0.05)).unwrap() - 1.0).abs() < 1e-12);
    assert!((of(None, Some(0.05)).unwrap() - 1.0).abs() < 1e-12);
    assert_eq!(of(Some(Surface::Hub), Some(0.05)), None);
    assert_eq!(of(Some(Surface::Face), None), None);
    assert_eq!(of(Some(Surface::Face), Some(-0.05)), None);
}

#[test]
fn depths_that_add_and_repairs_that_line_up() {
    use Surface::{Camber, Face, Hub, LeadingEdge, Tip, TrailingEdge};
    for (a, b, add) in [
        (LeadingEdge, LeadingEdge, true),
        (LeadingEdge, TrailingEdge, false),
        (Face, Camber, true),
        (Face, LeadingEdge, false),
        (Tip, LeadingEdge, true),
        (Tip, Face, true),
        (Tip, Hub, false),
        (Hub, Face, false),
        (Hub, Hub, true),
    ] {
        assert_eq!(depths_add(Some(a), Some(b)), add, "{a:?} {b:?}");
        assert_eq!(depths_add(Some(b), Some(a)), add, "{b:?} {a:?}");
    }
    assert!(depths_add(None, Some(Hub)) && depths_add(Some(Face), None) && depths_add(None, None));
    for a in Surface::ALL {
        for b in Surface::ALL {
            let across = [a.min(b), a.max(b)];
            let expected = across == [LeadingEdge, TrailingEdge] || across == [Face, Camber];
            assert_eq!(line_up_across(a, b), expected, "{a:?} {b:?}");
        }
    }
}

#[test]
fn minor_wear_is_listed_only() {
    assert!(is_minor(DefectKind::Erosion, Some(0.0049), MINOR_DEPTH_IN));
    assert!(is_minor(DefectKind::Scratch, Some(0.001), MINOR_DEPTH_IN));
    assert!(!is_minor(DefectKind::Erosion, Some(MINOR_DEPTH_IN), MINOR_DEPTH_IN));
    assert!(!is_minor(DefectKind::Nick, Some(0.001), MINOR_DEPTH_IN));
    assert!(!is_minor(DefectKind::Erosion, None, MINOR_DEPTH_IN));
    assert!(!is_minor(DefectKind::Scratch, Some(-1.0), MINOR_DEPTH_IN));
}

fn any_surface() -> impl Strategy<Value = Option<Surface>> {
    proptest::option::of(proptest::sample::select(&Surface::ALL[..]))
}

fn any_finding() -> impl Strategy<Value = ScreenInput> {
    (
        proptest::sample::select(&DefectKind::ALL[..]),
        any_surface(),
        proptest::option::of(0.0..100.0f64),
        proptest::option::of(0.0..0.3f64),
        proptest::option::of(0.0..2.0f64),
        proptest::option::of(0.0..0.6f64),
        proptest::option::of(-0.05..0.1f64),
    )
        .prop_map(|(kind, surface, station_pct, depth, length_in, width_in, margin_left_in)| {
            ScreenInput {
                kind,
                surface,
                // Nothing recorded at the hub lies outside it.
                station_pct: station_pct.map(|s| if surface == Some(Surface::Hub) { s / 10.0 } else { s }),
                cumulative_depth_in: depth,
                length_in,
                width_in,
                margin_left_in,
            }
        })
}

proptest! {
    // A record that loses its depth, its surface or its station never becomes one that may be dressed in the field.
    #[test]
    fn a_blank_depth_surface_or_station_never_helps(f in any_finding()) {
        let limits = ScreenLimits::default();
        if screen(&f, &limits).field_repair != FieldRepair::Within {
            for blanked in [
                ScreenInput { cumulative_depth_in: None, ..f },
                ScreenInput { surface: None, ..f },
                ScreenInput { surface: None, cumulative_depth_in: None, ..f },
                ScreenInput { station_pct: None, ..f },
            ] {
                // A blank depth cannot show that a hub finding or a long one is small.
                prop_assert_ne!(screen(&blanked, &limits).field_repair, FieldRepair::Within);
            }
        }
    }

    #[test]
    fn more_damage_never_helps(f in any_finding(), more in 0.0..0.5f64) {
        let limits = ScreenLimits::default();
        let before = screen(&f, &limits).field_repair;
        let grow = |x: Option<f64>| x.map(|v| v + more);
        for worse in [
            ScreenInput { cumulative_depth_in: grow(f.cumulative_depth_in), ..f },
            ScreenInput { length_in: grow(f.length_in), ..f },
            ScreenInput { width_in: grow(f.width_in), ..f },
            ScreenInput { margin_left_in: f.margin_left_in.map(|m| m - more), ..f },
        ] {
            // Ordered from worst to best.
            prop_assert!(screen(&worse, &limits).field_repair <= before);
        }
    }

    // A blend whose surface is not recorded takes every dimension that any surface would take.
    #[test]
    fn a_blank_surface_never_costs_less_metal(s in any_surface(), depth in proptest::option::of(0.0..0.3f64)) {
        prop_assert!(!takes_width(s) || takes_width(None));
        prop_assert!(!takes_thickness(s) || takes_thickness(None));
        prop_assert!(blend_length_in(None, depth) >= blend_length_in(s, depth));
    }
}

/// The records give a place and a kind by their number among the words of the schema.
#[test]
fn surfaces_and_kinds_stand_in_the_order_of_the_records_words() {
    assert_eq!(Surface::ALL.map(Surface::word).as_slice(), SURFACES);
    assert_eq!(DefectKind::ALL.map(DefectKind::word).as_slice(), DEFECT_KINDS);
}
