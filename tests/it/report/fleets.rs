//! Pages of small fleets.

use bladewane::backtest;
use bladewane::records::Fleet;
use bladewane::report;
use bladewane::results::answers::{Answers, Shown};
use bladewane::settings::Settings;

use crate::fleet_folder::{FleetFolder, day};

/// The day of the pages.
pub const DATE: &str = "2026-01-01";

/// The page of a fleet.
pub fn page(folder: &FleetFolder, name: &str) -> String {
    page_with(folder, name, &Settings::default())
}

/// The page of a fleet with settings of its own.
pub fn page_with(folder: &FleetFolder, name: &str, settings: &Settings) -> String {
    let loaded = folder.load();
    let fleet = Fleet::as_of(&loaded, day(DATE), settings);
    let answers = Answers::new(&fleet, settings).with_backtester(backtest::of);
    report::page(&answers, &Shown::all(), name).expect("the page is put together")
}

/// The `<main>` part of the page of a fleet.
pub fn main_part(folder: &FleetFolder) -> String {
    let page = page(folder, "Small fleet");
    let start = page.find("<main").expect("a main part");
    let end = page.find("</main>").expect("it ends");
    page[start..end + "</main>".len()].to_string()
}

/// Six invented propellers, and one of them with nothing known: one is past its limit, one has a nick, one will be rejected, one
/// is a spare, one is at a shop, and of the last only the serial is on record.
pub fn six() -> FleetFolder {
    FleetFolder::small()
        .with(
            "propellers",
            "
            propeller,model,use,base,aircraft,in_service_date,acquired,status
            K-1,M76,rental,Saltmarsh,Heron 1,2008-03-01,new,flying
            K-2,M76,training,Saltmarsh,Heron 2,2012-03-01,new,flying
            K-3,M76,club,Larchfield,Heron 3,2004-03-01,new,flying
            K-4,M76,club,Larchfield,,2015-03-01,new,spare
            K-5,M76,private,,,2015-03-01,new,at shop
            K-6,,,,,,,",
        )
        .with(
            "bases",
            "
            base,corrosivity,surface
            Saltmarsh,C4,gravel
            Larchfield,C2,paved",
        )
        .with(
            "overhauls",
            "
            propeller,overhaul_date,work,outcome,shop,hours_since_new
            K-1,2013-05-06,overhaul,released,Shop East,1900
            K-1,2018-05-06,overhaul,released,Shop East,3700
            K-2,2022-09-01,overhaul,released,Shop East,1800
            K-3,2011-02-01,overhaul,released,Shop West,1700
            K-3,2017-02-01,overhaul,released,Shop West,3300
            K-3,2022-02-01,overhaul,released,Shop West,4900
            K-4,2021-02-01,overhaul,released,Shop West,900
            K-5,2020-11-11,overhaul,released,Shop East,900",
        )
        .with("measurements", &measurements())
        .with(
            "defects",
            "
            propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date,action_by
            K-2,2025-11-20,1,88,leading_edge,nick,0.05,0.1,0.1,none,,
            K-3,2019-06-02,2,60,face,scratch,0.01,0.1,0.05,blended,2019-06-03,Mechanic 4",
        )
        .with(
            "hours",
            "
            propeller,reading_date,hours_since_new
            K-1,2024-12-01,5300
            K-1,2025-12-01,5600
            K-2,2024-12-01,2300
            K-2,2025-12-01,2600
            K-3,2025-06-01,5500
            K-3,2025-12-01,5600
            K-2,2025-13-01,2650
            K-4,2021-02-01,900
            K-4,2025-12-01,900
            K-5,2020-11-11,900
            K-5,2025-12-01,1400",
        )
        .with(
            "prices",
            "
            model,overhaul_cost,replacement_cost,replacement_days
            M76,1400,4300,60",
        )
}

/// Readings of every visit of [`six`]: at each overhaul 0.009 in of thickness and 0.024 in of width go, and K-3 started thin.
fn measurements() -> String {
    let visits = [
        ("K-1", &["2013-05-06", "2018-05-06"][..], 0.0),
        ("K-2", &["2022-09-01"][..], 0.0),
        ("K-3", &["2011-02-01", "2017-02-01", "2022-02-01"][..], 0.022),
        ("K-4", &["2021-02-01"][..], 0.0),
        ("K-5", &["2020-11-11"][..], 0.0),
    ];
    let stations = [(30, 5.410, 0.975), (60, 5.440, 0.476), (90, 3.750, 0.249)];
    let mut rows = String::from(
        "propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in\n",
    );
    for (serial, days, thin) in visits {
        for (count, day) in (1..).zip(days) {
            for blade in 1..=2u32 {
                for (pct, width, thickness) in stations {
                    // A little more goes on the second blade, so that one blade is the worse one.
                    let gone = f64::from(count) + 0.1 * f64::from(blade);
                    let (w, t) = (width - 0.024 * gone, thickness - thin - 0.009 * gone);
                    let (w_in, t_in) = (w + 0.014, t + 0.005);
                    rows += &format!("{serial},{day},{blade},{pct},{w_in:.3},{w:.3},{t_in:.3},{t:.3}\n");
                }
            }
        }
    }
    rows
}
