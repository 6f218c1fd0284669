//! Cycles by hand on a few ugly rows: out of order, places missed, a repair in between, an overhaul without a sheet.

use bladewane::analysis::cycles::{Cycle, Cycles};
use bladewane::records::Fleet;
use bladewane::settings::Settings;
use bladewane::trade::geometry::Dimension;

use crate::forecast::records::{Tables, day};

const T: Dimension = Dimension::Thickness;

/// Thickness only; new 1.000 and 0.500 at 30 and 60 %.
fn tables() -> Tables {
    let row =
        |p: &str, date: &str, blade: u8, pct: u8, after: f64| format!("{p},{date},{blade},{pct},,,,{after:.3},no");
    let mut measurements = vec![
        // A, third overhaul first; blade 2 at 60 % was missed at the second.
        row("A", "2016-01-01", 2, 60, 0.466),
        row("A", "2016-01-01", 1, 30, 0.976),
        row("A", "2016-01-01", 2, 30, 0.974),
        row("A", "2016-01-01", 1, 60, 0.466),
        row("A", "2004-01-01", 1, 60, 0.490),
        row("A", "2004-01-01", 2, 60, 0.492),
        row("A", "2004-01-01", 1, 30, 0.992),
        row("A", "2004-01-01", 2, 30, 0.990),
        row("A", "2010-01-01", 1, 30, 0.984),
        row("A", "2010-01-01", 1, 60, 0.478),
        row("A", "2010-01-01", 2, 30, 0.982),
        // A repair: what it shows belongs to the third overhaul's cycle.
        row("A", "2013-05-05", 1, 60, 0.470),
    ];
    for (date, thick, thin) in [("2001-01-01", 0.950, 0.450), ("2012-01-01", 0.930, 0.426)] {
        for blade in [1, 2] {
            measurements.push(row("B", date, blade, 60, thin));
            measurements.push(row("B", date, blade, 30, thick));
        }
    }
    // C: the second overhaul gives it another designation; only the third one's loss can be known.
    for (date, inner, outer) in
        [("2002-01-01", 0.980, 0.480), ("2008-01-01", 0.900, 0.400), ("2014-01-01", 0.890, 0.388)]
    {
        measurements.push(row("C", date, 1, 30, inner));
        measurements.push(row("C", date, 1, 60, outer));
    }
    Tables {
        propellers: ["A,K-1,,,new,flying,", "B,K-1,,,used,flying,", "C,K-1,,,unknown,flying,"]
            .map(String::from)
            .to_vec(),
        models: vec!["K-1,76,2".into(), "K-2,74,2".into()],
        limits: ["K-1", "K-2"]
            .iter()
            .flat_map(|m| [format!("{m},30,,,1.000,0.8"), format!("{m},60,,,0.500,0.3")])
            .collect(),
        overhauls: [
            "A,2013-05-05,repair,released,,,,",
            "A,2004-01-01,overhaul,released,,,,",
            "A,2010-01-01,overhaul,released,,,,",
            "A,2016-01-01,overhaul,released,,,,",
            "B,2001-01-01,overhaul,released,,,,",
            "B,2006-01-01,overhaul,released,,,,",
            "B,2012-01-01,overhaul,released,,,,",
            "C,2002-01-01,overhaul,released,,,,",
            "C,2008-01-01,overhaul,released,,,,K-2",
            "C,2014-01-01,overhaul,released,,,,",
        ]
        .map(String::from)
        .to_vec(),
        measurements,
        ..Tables::default()
    }
}

fn of(tables: &Tables, look: impl FnOnce(&Fleet<'_>, &Cycles)) {
    let loaded = tables.load();
    let fleet = Fleet::as_of(&loaded, day("2020-01-01"), &Settings::default());
    assert_eq!(fleet.ledger.total_set_aside(), 0);
    look(&fleet, &Cycles::of(&fleet));
}

/// Differences of 60 % less 30 % and their weights q m_i m_j/m, overhaul by overhaul: A's first 0 (1), its second and third
/// 0.004 (2/3 each), B's, of two overhauls, 0.002 (2): delta = (0 + 0.016/3 + 0.004)/(1 + 4/3 + 2).
const DELTA: f64 = (0.016 / 3.0 + 0.004) / (1.0 + 4.0 / 3.0 + 2.0);

#[test]
fn losses_and_offsets_by_hand() {
    of(&tables(), |fleet, cycles| {
        let offsets = cycles.offsets.of(fleet.models.find("K-1"), T);
        assert!((offsets.of(0) + DELTA / 2.0).abs() < 1e-12);
        assert!((offsets.of(1) - DELTA / 2.0).abs() < 1e-12);

        let a2 = (0.008 + 0.008 + 0.012) / 3.0 + DELTA / 6.0;
        // Blade 2 at 60 % lost 0.026 over two cycles, the second of which is known; it counts half.
        let missed = 0.026 - a2 - DELTA;
        let a3 = (2.0 * (0.008 + DELTA / 2.0) + (0.012 - DELTA / 2.0) + 0.5 * missed) / 3.5;
        let expected = [
            (0, "2004-01-01", 0.009, 1.0, 1, 4, true),
            (0, "2010-01-01", a2, 2.0, 1, 3, false),
            (0, "2016-01-01", a3, 3.0, 1, 4, false),
            // Of the overhauls 2 and 3.
            (1, "2012-01-01", 0.011, 2.5, 2, 4, false),
            // Lost 0.010 and 0.012 under its new designation, whose own offsets are -0.001 and 0.001.
            (2, "2014-01-01", 0.011, 3.0, 1, 2, false),
        ];
        let list = &cycles.list[T as usize];
        assert_eq!(list.len(), expected.len(), "{list:?}");
        for (cycle, (propeller, date, loss, number, spanned, readings, from_drawing)) in list.iter().zip(expected) {
            assert_eq!(fleet.visits.get(cycle.visit).day, day(date));
            assert!((cycle.mean_loss_in - loss).abs() < 1e-9, "{cycle:?}, expected {loss}");
            let plain = Cycle { mean_loss_in: 0.0, visit: 0, ..*cycle };
            let days = cycle.days;
            let wanted = Cycle {
                propeller,
                visit: 0,
                mean_loss_in: 0.0,
                number,
                spanned,
                readings,
                from_drawing,
                blended_in: 0.0,
                days,
            };
            assert_eq!(plain, wanted);
        }
        assert!(cycles.list[Dimension::Width as usize].is_empty());
    });
}

/// Residuals about each overhaul's mean of the readings that missed nothing; only A's third cycle follows another one
/// that began at a reading.
#[test]
fn scatter_by_hand() {
    of(&tables(), |fleet, cycles| {
        let model = fleet.models.find("K-1").unwrap() as usize;
        let scatter = &cycles.scatter[model][T as usize];
        let half = DELTA / 2.0;
        let squares = |losses: &[f64], spanned: f64| {
            let mean = losses.iter().sum::<f64>() / losses.len() as f64;
            spanned * losses.iter().map(|l| (l - mean).powi(2)).sum::<f64>()
        };
        let follows = [0.008 + half, 0.008 + half, 0.012 - half];
        let b = [0.010 + half, 0.010 + half, 0.012 - half, 0.012 - half];
        let others = 2.0 * squares(&follows, 1.0) + squares(&b, 2.0);
        assert!((scatter.others.squares - others).abs() < 1e-15);
        assert_eq!((scatter.others.observations, scatter.others.overhauls), (10, 3));
        let first = squares(&[0.008 + half, 0.010 + half, 0.010 - half, 0.008 - half], 1.0);
        assert!((scatter.first.squares - first).abs() < 1e-15);
        assert_eq!((scatter.first.observations, scatter.first.overhauls), (4, 1));
        // Blade 1 at both stations and blade 2 at 30 %: each lost the same twice, so the products are the squares.
        assert_eq!((scatter.pairs.successive_pairs, scatter.pairs.distant_pairs), (3, 0));
        assert!((scatter.pairs.successive - squares(&follows, 1.0)).abs() < 1e-15);
    });
}

/// Metal dressed at a repair is part of the next cycle, whether or not the repair was measured.
#[test]
fn a_repair_changes_no_cycle() {
    let mut without = tables();
    without.measurements.retain(|row| !row.contains("2013-05-05"));
    without.overhauls.retain(|row| !row.contains("2013-05-05"));
    let losses = |tables: &Tables| {
        let mut found = Vec::new();
        of(tables, |_, cycles| {
            found = cycles.list[T as usize].iter().map(|c| c.mean_loss_in).collect();
        });
        found
    };
    assert_eq!(losses(&tables()), losses(&without));
}

/// Service losses: after of the visit before less an unpainted before. Over paint, after a visit that missed the place, or
/// from drawing: none.
#[test]
fn service_losses_leave_paint_out() {
    let mut tables = tables();
    tables.measurements = [
        "B,2001-01-01,1,30,,,0.955,0.950,no",
        "B,2006-01-01,1,30,,,0.949,0.942,no",
        "B,2012-01-01,1,30,,,0.944,0.934,yes",
        "A,2004-01-01,1,30,,,0.999,0.991,no",
        "A,2016-01-01,1,30,,,0.985,0.975,no",
    ]
    .map(String::from)
    .to_vec();
    of(&tables, |fleet, cycles| {
        let model = fleet.models.find("K-1").unwrap() as usize;
        let scatter = &cycles.scatter[model][T as usize];
        assert_eq!(scatter.services, 1);
        assert!((scatter.service_in - 0.001).abs() < 1e-12);
    });
}
