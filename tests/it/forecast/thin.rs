//! Little, nothing or odd: always an answer with its basis, never a number that is none.

use bladewane::analysis::remaining::Remaining;
use bladewane::trade::geometry::Dimension;

use crate::forecast::records::{Tables, all_remaining};

/// Propellers of one model, two blades, two stations; each overhaul takes `loss(propeller, overhaul)` of thickness everywhere and
/// 2.5 times that of width.
fn fleet(propellers: u32, overhauls: u32, loss: impl Fn(u32, u32) -> f64) -> Tables {
    let mut tables = Tables {
        models: vec!["K-1,76,2".into()],
        limits: vec!["K-1,30,5.000,4.800,0.900,0.830".into(), "K-1,75,4.500,4.300,0.400,0.340".into()],
        ..Tables::default()
    };
    for p in 0..propellers {
        tables.propellers.push(format!("P{p},K-1,,,used,flying,"));
        let mut lost = 0.0;
        for o in 0..overhauls {
            let date = format!("{}-03-01", 2000 + 5 * o);
            tables.overhauls.push(format!("P{p},{date},overhaul,released,,,,"));
            lost += loss(p, o);
            for blade in [1, 2] {
                for (pct, width, thickness) in [(30, 5.0, 0.9), (75, 4.5, 0.4)] {
                    tables.measurements.push(format!(
                        "P{p},{date},{blade},{pct},,{:.4},,{:.4},no",
                        width - 2.5 * lost,
                        thickness - lost
                    ));
                }
            }
        }
    }
    tables
}

fn sound(of: &Remaining) {
    let chances = of.pass.iter().flatten();
    assert!(chances.clone().all(|p| (0.0..=1.0).contains(p)), "{of:?}");
    let steps: Vec<f64> = std::iter::once(1.0).chain(chances.copied()).collect();
    assert!(steps.windows(2).all(|w| w[1] <= w[0]), "{of:?}");
    for value in [of.mean(), of.reject_chance_next(), of.reject_chance_next_any()] {
        assert!(value.is_none_or(f64::is_finite));
    }
    if let Some(point) = &of.limiting {
        assert!(point.margin_in.is_finite() && point.pass_chance_next.is_finite());
        assert!(point.expected_loss_in.is_none_or(f64::is_finite));
    }
    assert!(!of.basis().is_empty());
}

fn only(tables: &Tables) -> Remaining {
    let all = all_remaining(&tables.load(), "2026-01-01");
    for (_, remaining) in &all {
        sound(remaining);
    }
    all.into_iter().next().unwrap().1
}

#[test]
fn no_tables_but_propellers() {
    let tables = Tables { propellers: vec!["P0,,,,,flying,".into()], ..Tables::default() };
    let of = only(&tables);
    assert_eq!((of.pass.as_ref(), of.limiting.as_ref()), (None, None));
    assert_eq!(of.basis(), "not known");
}

/// One sheet is no cycle: thickness by common practice (0.008 in, no source), width not estimable and the chances upper
/// bounds. By hand, with 0.060 - 0.010 left, P(k) = Phi((0.05 - 0.008 k)/(0.004 sqrt(k))).
#[test]
fn one_sheet_and_one_propeller() {
    let of = only(&fleet(1, 1, |_, _| 0.010));
    assert!(of.upper_bound);
    assert_eq!(of.basis(), "upper bound: width not estimable, thickness by common practice");
    let point = of.limiting.unwrap();
    assert_eq!(point.margin.dimension, Dimension::Thickness);
    assert!((point.expected_loss_in.unwrap() - 0.008).abs() < 1e-12);
    // Phi(1.118034) and Phi(0.204124): scipy 1.17.1 norm.cdf.
    let pass = of.pass.unwrap();
    assert!((pass[4] - 0.868_223_761_359).abs() < 1e-8, "{pass:?}");
    assert!((pass[5] - 0.580_871_756_807).abs() < 1e-8, "{pass:?}");
}

#[test]
fn one_cycle_then_two_then_three() {
    for overhauls in 2..=4u32 {
        let of = only(&fleet(1, overhauls, |_, _| 0.008));
        let assumed = of.basis().contains("common practice");
        assert_eq!(assumed, overhauls < 4, "{}", of.basis());
        assert_eq!(of.upper_bound, overhauls < 4);
        assert_eq!(of.basis().contains("few data"), overhauls >= 4);
    }
}

/// All losses 0.008 in: 0.028 in are left after four, three more take 0.024.
#[test]
fn all_losses_equal() {
    let of = only(&fleet(6, 4, |_, _| 0.008));
    let pass = of.pass.as_ref().unwrap();
    // The fourth has next to none: a slope is not quite ruled out.
    assert!(pass[2] > 0.99 && pass[3..].iter().all(|p| *p < 1e-5), "{pass:?}");
    assert_eq!(of.quantile(0.5), Some(3));
}

#[test]
fn losses_of_nothing_and_growth() {
    for loss in [0.0, -0.0004] {
        let of = only(&fleet(4, 4, |_, _| loss));
        assert!(of.pass.is_some());
    }
}

#[test]
fn a_dimension_never_measured() {
    let mut tables = fleet(5, 4, |p, o| 0.007 + 0.0005 * f64::from((p + o) % 3));
    for row in &mut tables.measurements {
        let mut cells: Vec<&str> = row.split(',').collect();
        cells[5] = "";
        *row = cells.join(",");
    }
    let of = only(&tables);
    assert!(of.upper_bound);
    assert!(of.basis().contains("width not estimable"), "{}", of.basis());
    assert!(of.basis().contains("4 places not known"), "{}", of.basis());
    assert!(of.pass.unwrap()[0] > 0.5);
    // Where the manual limits no width, there is none to lose and nothing is missing.
    for row in &mut tables.limits {
        let mut cells: Vec<&str> = row.split(',').collect();
        (cells[2], cells[3]) = ("", "");
        *row = cells.join(",");
    }
    let of = only(&tables);
    assert!(!of.upper_bound);
    assert!(!of.basis().contains("width"), "{}", of.basis());
}

#[test]
fn margins_of_zero_and_below() {
    // Lost 0.060 in all at the thinner station: exactly nothing left.
    let of = only(&fleet(3, 4, |_, _| 0.015));
    assert!(!of.below_minimum);
    assert!(of.limiting.unwrap().margin_in.abs() < 1e-9);
    let next = of.pass.as_ref().unwrap().first().copied().unwrap_or(0.0);
    assert!(next < 0.01, "{next}");
    let of = only(&fleet(3, 4, |_, _| 0.0155));
    assert!(of.below_minimum);
    assert_eq!(of.pass, Some(Vec::new()));
    assert_eq!(of.reject_chance_next(), Some(1.0));
    assert!(of.basis().starts_with("below minimum"));
    assert!(of.limiting.unwrap().margin_in < 0.0);
}

#[test]
fn no_outcomes_recorded_are_not_counted() {
    let mut tables = fleet(4, 4, |_, _| 0.008);
    let of = only(&tables);
    // Sixteen overhauls, none rejected: 0.5/17.
    assert!((of.other_chance.unwrap() - 0.5 / 17.0).abs() < 1e-12);
    for (at, row) in tables.overhauls.iter_mut().enumerate() {
        let ending = match at {
            // Two for other causes; one for dimensions, and one without a reason whose readings are all within limits.
            0 => "rejected,crack",
            1 => "rejected,dimension",
            2 => "rejected,",
            3 => ",",
            _ => "released,",
        };
        let cells: Vec<&str> = row.split(',').collect();
        *row = format!("{},{},overhaul,{ending},,,", cells[0], cells[1]);
    }
    let of = only(&tables);
    assert!((of.other_chance.unwrap() - 2.5 / 16.0).abs() < 1e-12);
}
