//! What the ranking says of a propeller in a small fleet in which all but one thing is in order.

use bladewane::results::answers::Answers;
use bladewane::settings::{Layer, Settings};

use crate::fleet_folder::{FleetFolder, day};
use bladewane::records::Fleet;

/// Three propellers, new on the day they came, far from any limit: a trainer, a club's and one on the shelf.
pub const PROPELLERS: &str = "
    propeller,model,use,base,in_service_date,acquired,status
    T1,M76,training,Home,2024-06-01,new,flying
    C1,M76,club,Home,2024-06-01,new,flying
    S1,M76,training,Home,2024-06-01,new,spare";

/// An interval in months only, so that hours decide nothing; a stated track limit.
pub const MODELS: &str = "
    model,diameter_in,blades,interval_hours,interval_months,track_limit_in
    M76,76,2,none,120,0.062";

/// Thickness only: without a loss of width on record the forecast of width is an upper bound. Invented figures.
const LIMITS: &str = "
    model,station_pct,thickness_new_in,thickness_min_in
    M76,30,0.975,0.903
    M76,60,0.476,0.413
    M76,90,0.249,0.189";

const FITTED: &str = "
    propeller,aircraft,from_date
    T1,Robin,2024-06-01
    C1,Heron,2024-06-01";

/// Monthly readings, 10 h a month.
pub fn aircraft_hours() -> String {
    let mut table = "aircraft,reading_date,hours\n".to_string();
    for (at, month) in (2024 * 12 + 5..2026 * 12).enumerate() {
        for aircraft in ["Robin", "Heron"] {
            table += &format!("{aircraft},{}-{:02}-01,{}\n", month / 12, month % 12 + 1, 1000 + 10 * at);
        }
    }
    table
}

/// The fleet, as of 2026-01-01 in order but for what a test adds.
pub fn in_order() -> FleetFolder {
    FleetFolder::empty()
        .with("propellers", PROPELLERS)
        .with("models", MODELS)
        .with("limits", LIMITS)
        .with("fitted", FITTED)
        .with("bases", "base,air\nHome,rural\n")
        .with("aircraft_hours", &aircraft_hours())
}

/// Tier, reason and next step of a propeller, as the ranking says them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    pub tier: u8,
    pub reason: String,
    pub next_step: String,
    /// Every reason, the gravest first.
    pub reasons: Vec<String>,
}

/// What the ranking says on a day with settings of `fleet.toml`.
pub fn said_with(folder: &FleetFolder, date: &str, settings: &str, serial: &str) -> Said {
    let loaded = folder.load();
    let settings = Settings::default()
        .with_layers(&[Layer { name: "fleet.toml".into(), text: settings.into() }])
        .expect("settings");
    let fleet = Fleet::as_of(&loaded, day(date), &settings);
    let answers = Answers::new(&fleet, &settings);
    let propeller = fleet.propellers.find(serial).expect("a propeller");
    let ranked = answers.ranking().iter().find(|r| r.propeller == propeller).expect("ranked");
    Said {
        tier: ranked.tier,
        reason: ranked.reasons[0].words.clone(),
        next_step: ranked.next_step().to_string(),
        reasons: ranked.reasons.iter().map(|r| r.words.clone()).collect(),
    }
}

/// What the ranking says on 2026-01-01.
pub fn said(folder: &FleetFolder, serial: &str) -> Said {
    said_with(folder, "2026-01-01", "", serial)
}

#[track_caller]
pub fn expect(folder: &FleetFolder, serial: &str, tier: u8, reason: &str, next_step: &str) {
    let said = said(folder, serial);
    assert_eq!((said.tier, said.reason.as_str(), said.next_step.as_str()), (tier, reason, next_step), "{said:?}");
}

/// Every tier of the fleet, propeller by propeller.
pub fn tiers(folder: &FleetFolder) -> Vec<u8> {
    let loaded = folder.load();
    let settings = Settings::default();
    let fleet = Fleet::as_of(&loaded, day("2026-01-01"), &settings);
    let answers = Answers::new(&fleet, &settings);
    let mut tiers: Vec<(u32, u8)> = answers.ranking().iter().map(|r| (r.propeller, r.tier)).collect();
    tiers.sort_unstable();
    tiers.into_iter().map(|(_, tier)| tier).collect()
}
