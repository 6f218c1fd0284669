//! What findings do to fatigue strength, through a fleet folder.

use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::analysis::findings::Findings;
use bladewane::analysis::margins::Margins;
use bladewane::analysis::survey::Survey;
use bladewane::settings::Settings;
use proptest::prelude::*;

/// One model, 76 in and 2,700 rpm, of one width and thickness throughout: a uniform bar.
fn folder(defects: &str) -> FleetFolder {
    FleetFolder::empty()
        .with("propellers", "propeller,model\nA1,BAR")
        .with("models", "model,diameter_in,blades,max_rpm\nBAR,76,2,2700")
        .with(
            "limits",
            "model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in
             BAR,20,5.000,4.700,0.500,0.400
             BAR,100,5.000,4.700,0.500,0.400",
        )
        .with("defects", defects)
}

/// (strength retained, stress in MPa) of each report in the order found.
fn screened(folder: &FleetFolder) -> Vec<(Option<f64>, Option<f64>)> {
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-06-30");
    let settings = Settings::default();
    let survey = Survey::of(&fleet, &settings.forecast);
    let margins = Margins::of_fleet(&fleet, &survey, &settings.screen);
    Findings::of_fleet(&fleet, &survey, &margins, &settings, &|_, _| None)
        .rows
        .iter()
        .map(|f| (f.strength_retained, f.stress_mpa))
        .collect()
}

#[test]
fn strength_and_stress_by_hand() {
    let rows = screened(&folder(
        "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,action,action_date
         A1,2020-01-01,1,60,leading_edge,nick,0.020,,none,
         A1,2020-01-02,1,60,camber,nick,0.020,,none,
         A1,2020-01-03,1,60,leading_edge,nick,0.020,0.200,blended,2020-01-04
         A1,2020-01-05,1,60,camber,gouge,0.020,0.400,blended,2020-01-06
         A1,2020-01-07,1,,leading_edge,nick,,,none,",
    ));
    // a0 = (1/pi) (5/(F 248))^2 m = 0.129386/F^2 mm (check value, from memory as to dKth and ds0), d = 0.508 mm.
    let crack = |factor: f64| {
        let a0 = 0.129_386 / (factor * factor);
        (a0 / (0.508 + a0)).sqrt()
    };
    let near = |found: Option<f64>, expected: f64, within: f64| {
        let found = found.expect("known");
        assert!((found - expected).abs() < within, "{found} is not {expected}");
    };
    near(rows[0].0, crack(1.1215), 1e-5);
    // The setting states four digits of 2/pi.
    near(rows[1].0, crack(std::f64::consts::FRAC_2_PI), 5e-5);
    // Inglis, exact: a 10 x blend has Kt 1.4, a 20 x blend 1.2.
    near(rows[2].0, 1.0 / 1.4, 1e-12);
    near(rows[3].0, 1.0 / 1.2, 1e-12);
    assert_eq!(rows[4], (None, None), "no depth, no place: no number");
    // Uniform bar: rho omega^2 (R^2 - r^2)/2 = 104.105890 MPa (1 - 0.6^2) (exact; 76 in, 2,700 rpm, 2795.67 kg/m3).
    near(rows[0].1, 104.105_890 * (1.0 - 0.36), 1e-5);
}

#[test]
fn without_a_highest_speed_no_stress_is_shown() {
    let folder = folder(
        "propeller,found_date,blade,station_pct,surface,kind,depth_in
         A1,2020-01-01,1,60,leading_edge,nick,0.020",
    )
    .with("models", "model,diameter_in,blades\nBAR,76,2");
    assert_eq!(screened(&folder)[0].1, None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    // Deeper is never stronger, dressed or not, within the screen: 1/16 in on the camber, what was dressed there before included.
    #[test]
    fn deeper_is_never_stronger(shallow in 1u32..20, more in 1u32..20, blended: bool) {
        let action = if blended { "blended,2020-01-02" } else { "none," };
        let row = |day: u32, depth: u32| format!(
            "A1,2020-01-{day:02},1,60,camber,nick,0.{depth:03},1.000,{action}"
        );
        let rows = screened(&folder(&format!(
            "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,action,action_date\n{}\n{}",
            row(1, shallow), row(2, shallow + more)
        )));
        let (before, after) = (rows[0].0.expect("known"), rows[1].0.expect("known"));
        prop_assert!(after < before);
    }

    // Beyond the screen a shop decides, and no figure is shown.
    #[test]
    fn beyond_the_screen_there_is_no_figure(beyond in 1u32..200) {
        let rows = screened(&folder(&format!(
            "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,action\nA1,2020-01-01,1,60,camber,nick,0.062,1.000,none\nA1,2020-01-02,1,60,camber,nick,{},1.000,none",
            0.0625 + f64::from(beyond) * 0.001
        )));
        prop_assert!(rows[0].0.is_some());
        prop_assert_eq!(rows[1].0, None);
    }
}
