//! Event rates, mean cumulative functions and trends against published and other packages' values.

use crate::reference::{assert_close, number, table};
use bladewane::stats::gamma_poisson::{RatePrior, fleet_mean_rate, marginal_maximum_likelihood};
use bladewane::stats::mean_cumulative::mean_cumulative;
use bladewane::stats::rate_posterior::{RateGrid, RatePosterior};
use bladewane::stats::trend::laplace;
use proptest::prelude::*;

fn counts(file: &str, exposure: &str) -> (Vec<u32>, Vec<f64>) {
    table(file).iter().map(|r| (number(r, "failures") as u32, number(r, exposure))).unzip()
}

#[test]
fn ten_pumps() {
    let rows = table("stats/pumps_eb.csv");
    let value = |quantity: &str| {
        let row = rows.iter().find(|r| r["times"] == "exact_times" && r["quantity"] == quantity);
        number(row.unwrap_or_else(|| panic!("{quantity}")), "value")
    };
    let (failures, hours) = counts("stats/pumps.csv", "time_kh");
    let fit = marginal_maximum_likelihood(&failures, &hours).expect("a fit");
    let RatePrior::Gamma { shape, rate } = fit.prior else { panic!("{fit:?}") };
    assert_close(shape, value("alpha"), 1e-9, "shape");
    assert_close(rate, value("beta_rate"), 1e-9, "rate");
    assert_close(fit.prior.mean(), value("prior_mean"), 1e-9, "prior mean");
    assert_close(fit.log_likelihood, value("marginal_loglik"), 1e-11, "log likelihood");
    for (i, (&n, &h)) in failures.iter().zip(&hours).enumerate() {
        let posterior = RatePosterior::plug_in(&fit.prior, n, h);
        let of_pump = |quantity: &str| value(&format!("post_{quantity}_{}", i + 1));
        assert_close(posterior.mean(), of_pump("mean"), 1e-9, "mean");
        let (low, high) = posterior.limits(0.9).expect("a level");
        assert_close(low, of_pump("q05"), 1e-8, "lower limit");
        assert_close(high, of_pump("q95"), 1e-8, "upper limit");
    }
}

#[test]
fn ten_pumps_with_the_prior_averaged() {
    // With ten units the averaged posterior is near the plug-in one, and its limits are wider for
    // most of them.
    let (failures, hours) = counts("stats/pumps.csv", "time_kh");
    let fit = marginal_maximum_likelihood(&failures, &hours).expect("a fit");
    let grid = RateGrid::new(&failures, &hours).expect("a grid");
    let mut wider = 0;
    for (&n, &h) in failures.iter().zip(&hours) {
        let (plug_in, averaged) = (RatePosterior::plug_in(&fit.prior, n, h), grid.posterior(n, h));
        assert!((averaged.mean() / plug_in.mean() - 1.0).abs() < 0.1);
        let width = |p: &RatePosterior| p.limits(0.9).map(|(l, u)| u - l).expect("a level");
        wider += usize::from(width(&averaged) > width(&plug_in));
    }
    assert!(wider >= 6, "{wider}");
}

#[test]
fn no_variance_beyond_chance() {
    let (failures, time) = counts("stats/homogeneous.csv", "time");
    let fit = marginal_maximum_likelihood(&failures, &time).expect("a fit");
    assert_eq!(fit.prior, RatePrior::Common { events: 16.0, exposure: 41.0 });
    assert_close(fit.prior.mean(), 16.0 / 41.0, 1e-15, "pooled rate");
    for (&n, &h) in failures.iter().zip(&time) {
        let posterior = RatePosterior::plug_in(&fit.prior, n, h);
        assert_close(posterior.mean(), 0.390_243_902_439, 1e-11, "pooled rate");
        let (low, high) = posterior.limits(0.9).expect("a level");
        assert!(low < 16.0 / 41.0 && high > 16.0 / 41.0);
    }
    assert_eq!(fleet_mean_rate(16, 41.0), Some(16.5 / 41.0));
}

#[test]
fn valve_seats() {
    // 41 engines; two of them had two replacements on one day.
    let (mut engines, mut end, mut system, mut age) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for row in table("stats/valve_seat.csv") {
        let index = engines.iter().position(|e| *e == row["id"]).unwrap_or_else(|| {
            engines.push(row["id"].clone());
            end.push(0.0);
            engines.len() - 1
        });
        let time = number(&row, "time");
        end[index] = time.max(end[index]);
        if row["status"] == "1" {
            system.push(index);
            age.push(time);
        }
    }
    assert_eq!((engines.len(), age.len()), (41, 48));
    let points = mean_cumulative(&vec![0.0; 41], &end, &system, &age).expect("a history");
    let rows = table("stats/valve_seat_mcf.csv");
    assert_eq!(points.len(), rows.len());
    for (point, row) in points.iter().zip(&rows) {
        let expect = |column: &str| number(row, column);
        assert_eq!(point.age, expect("age"));
        assert_eq!((point.at_risk as f64, point.events as f64), (expect("at_risk"), expect("events")));
        assert_close(point.mean, expect("mcf"), 1e-11, "mean");
        let standard_error = point.standard_error.expect("many engines");
        assert_close(standard_error, expect("se_lawless_nadeau"), 1e-10, "standard error");
        assert_close(point.mean, expect("survfit_cumhaz"), 1e-11, "mean by survival 3.5-3");
        assert_close(standard_error, expect("survfit_std_chaz"), 1e-10, "se by survival 3.5-3");
        let (low, high) = point.limits.expect("many engines");
        assert_close(low, expect("lo95_log"), 1e-10, "lower limit");
        assert_close(high, expect("hi95_log"), 1e-10, "upper limit");
    }
}

#[test]
fn laplace_statistics() {
    let data = table("stats/crow_amsaa_data.csv");
    let rows = table("stats/crow_amsaa.csv");
    let mut compared = 0;
    for row in rows.iter().filter(|r| r["quantity"] == "laplace_U") {
        let mut times: Vec<f64> = data.iter().filter(|d| d["case"] == row["case"]).map(|d| number(d, "time")).collect();
        let first = data.iter().find(|d| d["case"] == row["case"]).expect("data of the case");
        let end = number(first, "T_end");
        if first["termination"] == "failure" {
            // Observation ended with the last failure: it is the end of the window, not an event.
            times.retain(|t| *t < end);
        }
        let test = laplace(&times, 0.0, end).expect("enough failures");
        assert_close(test.statistic, number(row, "value"), 1e-11, &row["case"]);
        compared += 1;
    }
    assert_eq!(compared, 3);
    // scipy 1.17.1: 2*norm.sf(2.318)
    let appendix_c: Vec<f64> =
        data.iter().filter(|d| d["case"].starts_with("milhdbk189")).map(|d| number(d, "time")).collect();
    let test = laplace(&appendix_c, 0.0, 300.0).expect("enough failures");
    assert_close(test.p_value, 0.02044932105828491, 1e-9, "p-value");
}

proptest! {
    #[test]
    fn one_more_event_never_lowers_a_rate(
        shape in 0.05..20.0f64, rate in 0.01..100.0f64, n in 0u32..30, h in 0.0..200.0f64
    ) {
        let prior = RatePrior::Gamma { shape, rate };
        let (before, after) =
            (RatePosterior::plug_in(&prior, n, h), RatePosterior::plug_in(&prior, n + 1, h));
        prop_assert!(after.mean() > before.mean());
        let (b, a) = (before.limits(0.9).expect("a level"), after.limits(0.9).expect("a level"));
        prop_assert!(a.0 >= b.0 && a.1 >= b.1);
        // The limits are where they claim to be.
        prop_assert!((after.cdf(a.0) - 0.05).abs() < 1e-10 && (after.cdf(a.1) - 0.95).abs() < 1e-10);
    }

    #[test]
    fn the_unit_of_exposure_and_the_order_do_not_matter(
        units in prop::collection::vec((0u32..12, 0.5..40.0f64), 2..15)
    ) {
        let (n, h): (Vec<u32>, Vec<f64>) = units.iter().copied().unzip();
        prop_assume!(n.iter().any(|n| *n > 0));
        let (turned_n, turned_h): (Vec<u32>, Vec<f64>) =
            units.iter().rev().map(|u| (u.0, u.1 * 100.0)).unzip();
        let a = marginal_maximum_likelihood(&n, &h).expect("a fit");
        let b = marginal_maximum_likelihood(&turned_n, &turned_h).expect("a fit");
        prop_assert!((a.log_likelihood - b.log_likelihood).abs() < 1e-9);
        for (&n, &h) in n.iter().zip(&h) {
            let one = RatePosterior::plug_in(&a.prior, n, h).mean();
            let other = RatePosterior::plug_in(&b.prior, n, 100.0 * h).mean();
            prop_assert!((one / (100.0 * other) - 1.0).abs() < 1e-5);
        }
        let (a, b) = (RateGrid::new(&n, &h).expect("a grid"), RateGrid::new(&turned_n, &turned_h).expect("a grid"));
        for (&n, &h) in n.iter().zip(&h) {
            let (one, other) = (a.posterior(n, h).mean(), b.posterior(n, 100.0 * h).mean());
            prop_assert!((one / (100.0 * other) - 1.0).abs() < 1e-8);
        }
    }

    #[test]
    fn the_fit_is_no_worse_than_its_neighbours(
        units in prop::collection::vec((0u32..12, 0.5..40.0f64), 2..15)
    ) {
        // Negative binomial probabilities by statrs's log gamma, another form of the likelihood.
        let (n, h): (Vec<u32>, Vec<f64>) = units.iter().copied().unzip();
        prop_assume!(n.iter().any(|n| *n > 0));
        let fit = marginal_maximum_likelihood(&n, &h).expect("a fit");
        let log_l = |a: f64, b: f64| -> f64 {
            use statrs::function::gamma::ln_gamma;
            units.iter().map(|&(n, h)| {
                let n = f64::from(n);
                ln_gamma(a + n) - ln_gamma(a) - ln_gamma(n + 1.0) + a * (b / (b + h)).ln() + n * (h / (b + h)).ln()
            }).sum()
        };
        let mean = fit.prior.mean();
        for shape in [0.1, 0.5, 1.0, 3.0, 10.0, 100.0] {
            prop_assert!(log_l(shape, shape / mean) <= fit.log_likelihood + 1e-8);
        }
        if let RatePrior::Gamma { shape, rate } = fit.prior {
            prop_assume!(shape < 1e3);
            prop_assert!((log_l(shape, rate) - fit.log_likelihood).abs() < 1e-7);
            for f in [0.9, 0.99, 1.01, 1.1] {
                prop_assert!(log_l(shape * f, rate) <= fit.log_likelihood + 1e-8);
                prop_assert!(log_l(shape, rate * f) <= fit.log_likelihood + 1e-8);
                prop_assert!(log_l(shape * f, rate * f) <= fit.log_likelihood + 1e-8);
            }
        }
    }
}
