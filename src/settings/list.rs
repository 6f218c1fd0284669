//! The list of settings: the only place where a setting is defined.
//!
//! One line each: field, type, default, what is allowed, unit, where the default comes from, and what it does.

use Allowed::{AboveUpTo, Any, Between, Letters};
use SourceMark::{Assumption, Choice, CommonPractice, FromMemory};

use super::choices::{AirCategory, PriceSource, Separator};
use super::date_format::DateFormat;
use super::definition::{Section, Setting, settings};
use super::error::Origin;
use super::source_mark::SourceMark;
use super::value::{Allowed, SettingType};
use crate::trade::calendar::Day;

const SCREEN: SourceMark = FromMemory("AC 20-37E and AC 43.13-1B");
const ALLOY: SourceMark = FromMemory("published values for 2024-T351");
const CRACK: SourceMark = FromMemory("the standard solution for a small crack");

settings! {
    /// The fleet as a whole and how its tables are written.
    fleet "" FleetSettings {
        name: Option<String> = None, Letters(80), "", Choice,
            "Name of the fleet for headings; without one, the name of its folder is used";
        currency: Option<String> = None, Letters(12), "", Choice,
            "The one currency of all prices, written beside every sum";
        price_growth_pct: f64 = 0.0, Between(-50.0, 100.0), "% a year", Assumption,
            "By how much prices rise a year";
        date_format: DateFormat = DateFormat::default(), Any, "", Choice,
            "How dates are written in the tables";
        csv_separator: Separator = Separator::Comma, Any, "", Choice,
            "What stands between the fields of a CSV line";
        decimal_comma: bool = false, Any, "", Choice,
            "Whether numbers in CSV tables have a decimal comma (0,352) instead of a point";
        ignore_columns: Vec<String> = Vec::new(), Letters(80), "", Choice,
            "Headings to leave alone although they look like a column of the tables; `hours.meters` means that of one table";
        known_elsewhere: Vec<String> = Vec::new(), Letters(80), "", Choice,
            "Serials of propellers, and aircraft, that other records answer for: a report about one of them is nobody's here";
        blade_1: String = "the blade nearest the stamp".to_owned(), Letters(80), "", CommonPractice,
            "Which blade is called blade 1; shop sheets and this folder must count alike";
    }

    /// What comes first: the score and the tiers.
    ranking "ranking" RankingSettings {
        weight_time: f64 = 0.4, Between(0.0, 1000.0), "", Assumption,
            "Weight of time since overhaul in the score; only its ratio to the other weights counts";
        weight_climate: f64 = 0.3, Between(0.0, 1000.0), "", Assumption,
            "Weight of climate exposure in the score; only its ratio to the other weights counts";
        weight_defects: f64 = 0.3, Between(0.0, 1000.0), "", Assumption,
            "Weight of the defect history in the score; only its ratio to the other weights counts";
        climate_reference_g_m2: f64 = 2.2113, AboveUpTo(0.0, 1000.0), "g/m2", Assumption,
            "Exposure index at which the climate part is one half; the default is six years at the upper limit of category C2";
        reject_chance: f64 = 0.5, AboveUpTo(0.0, 1.0), "", Assumption,
            "From this chance of rejection at the next overhaul on, a propeller is in tier 5";
    }

    /// When the next overhaul is due.
    due "due" DueSettings {
        warning_days: u32 = 90, Between(0.0, 3650.0), "days", Assumption,
            "How long before its limit a propeller is reported as due soon";
        booking_days: u32 = 60, Between(0.0, 3650.0), "days", Assumption,
            "How long before its limit an overhaul must be booked";
        monthly_use_spread: f64 = 0.5, AboveUpTo(0.0, 5.0), "", Assumption,
            "Standard deviation over mean of the monthly hours, taken when no propeller of the fleet has six months of readings";
    }

    /// What the checks of the records let pass.
    checks "checks" CheckSettings {
        gauge_thickness_in: f64 = 0.002, Between(0.0, 0.05), "in", Assumption,
            "Thickness that may seem to grow before a row is set aside or cautioned: the error of the gauge";
        gauge_width_in: f64 = 0.010, Between(0.0, 0.25), "in", Assumption,
            "Width that may seem to grow before a row is set aside or cautioned: the error of the gauge";
        thickness_over_new_in: f64 = 0.010, Between(0.0, 0.25), "in", Assumption,
            "By how much a thickness may exceed the new one before the row is set aside";
        width_over_new_in: f64 = 0.060, Between(0.0, 1.0), "in", Assumption,
            "By how much a width may exceed the new one before the row is set aside";
        at_limit_in: f64 = 0.001, Between(0.0, 0.05), "in", Assumption,
            "A released dimension this close to its minimum is cautioned as at the limit";
        track_limit_in: f64 = 0.062, AboveUpTo(0.0, 1.0), "in", CommonPractice,
            "Track limit of a model where the models table has no such column";
        hours_per_year: f64 = 1200.0, AboveUpTo(0.0, 8784.0), "h a year", Assumption,
            "More flight hours a year than this are cautioned";
    }

    /// How much memory a file of the fleet may ask for; more than that is refused.
    reading "reading" ReadingSettings {
        table_gib: f64 = 8.0, Between(0.1, 4096.0), "GiB", Assumption,
            "Memory that the rows of one table may take";
        page_mib: u32 = 256, Between(1.0, 65_536.0), "MiB", Assumption,
            "Size to which one page of a Parquet file, or one buffer of an Arrow file, may unpack";
        workbook_gib: f64 = 1.0, Between(0.1, 64.0), "GiB", Assumption,
            "Size to which a workbook may unpack; the cells of one sheet may take twice that. Read from a file given with --settings only";
        workbook_times: u32 = 200, Between(10.0, 2000.0), "", Assumption,
            "How many times its own size a workbook may unpack to; up to 64 MiB any may. Read from a file given with --settings only";
    }

    /// Which damage may be dressed in the field: the largest that may.
    screen "screen" ScreenSettings {
        edge_depth_in: f64 = 0.1875, AboveUpTo(0.0, 1.0), "in", SCREEN,
            "Largest depth at the leading edge, trailing edge or tip";
        surface_depth_in: f64 = 0.0625, AboveUpTo(0.0, 1.0), "in", SCREEN,
            "Largest depth on face or camber";
        surface_width_in: f64 = 0.375, AboveUpTo(0.0, 10.0), "in", SCREEN,
            "Largest width on face or camber";
        surface_length_in: f64 = 1.0, AboveUpTo(0.0, 20.0), "in", SCREEN,
            "Largest length on face or camber";
        small_finding_in: f64 = 0.005, Between(0.0, 0.0625), "in", Assumption,
            "Erosion and scratches shallower than this are small findings: open, named and not urgent; other damage under it may be accepted";
    }

    /// Inspections of aircraft, and checks after events.
    inspections "inspections" InspectionSettings {
        annual_months: u32 = 12, Between(1.0, 60.0), "months", FromMemory("14 CFR 91.409"),
            "Longest time between annual inspections, to the end of the month; the rule differs by country";
        hundred_hours: f64 = 100.0, AboveUpTo(0.0, 1000.0), "h", FromMemory("14 CFR 91.409"),
            "Longest flying between 100 hour inspections; the rule differs by country";
        event_checks_since: Option<Day> = None, Any, "", Choice,
            "Day from which checks after strikes, overspeeds and lightning are kept; unset, the earliest day in the table event_checks";
    }

    /// How many overhauls are left.
    forecast "forecast" ForecastSettings {
        prior_weight: f64 = 1.0, Between(0.0, 100.0), "observations", Assumption,
            "How many observations the expected spread of losses counts for (nu0)";
        prior_spread_fraction: f64 = 0.25, AboveUpTo(0.0, 2.0), "of the mean loss", Assumption,
            "The spread of losses that is expected before any are seen (S0)";
        pool_min_propellers: u32 = 8, Between(1.0, 100_000.0), "propellers", Assumption,
            "A model with at least this many propellers, and cycles enough, is fitted on its own";
        pool_min_cycles: u32 = 20, Between(3.0, 1_000_000.0), "cycles", Assumption,
            "A model with at least this many cycles, and propellers enough, is fitted on its own";
        thickness_loss_in: f64 = 0.008, AboveUpTo(0.0, 0.25), "in", CommonPractice,
            "Thickness lost from overhaul to overhaul, taken when fewer than three losses are on record";
        width_loss_in: f64 = 0.022, AboveUpTo(0.0, 1.0), "in", Assumption,
            "Width lost from visit to visit, taken when fewer than three losses are on record, to carry an unmeasured width forward";
        loss_spread_fraction: f64 = 0.5, AboveUpTo(0.0, 2.0), "of the mean loss", Assumption,
            "Standard deviation of these two losses";
        seed: u32 = 1, Any, "", Choice,
            "Where the random numbers of every simulation start; the same seed gives the same results";
    }

    /// What the air does to the metal.
    exposure "exposure" ExposureSettings {
        hangar_factor: f64 = 1.0, Between(0.01, 1.0), "", Assumption,
            "Multiplies the corrosion rate of a propeller kept in a hangar; 1 gives no credit, lower it only on evidence";
        c1_rate_g_m2_year: f64 = 0.3, AboveUpTo(0.0, 0.6), "g/m2 a year", Assumption,
            "Corrosion rate taken for category C1, for which the standard gives no number";
        cx_rate_g_m2_year: f64 = 15.0, Between(10.0, 1000.0), "g/m2 a year", Assumption,
            "Corrosion rate taken for category CX and for unknown air, the worst there is";
        dry_inland: AirCategory = AirCategory::C2, Any, "", Assumption,
            "Category that a base's air called dry inland stands for";
        rural: AirCategory = AirCategory::C2, Any, "", Assumption,
            "Category that a base's air called rural stands for";
        town: AirCategory = AirCategory::C3, Any, "", Assumption,
            "Category that a base's air called town stands for";
        industrial: AirCategory = AirCategory::C4, Any, "", Assumption,
            "Category that a base's air called industrial stands for";
        coast: AirCategory = AirCategory::C4, Any, "", Assumption,
            "Category that a base's air called coast stands for";
        sea_front: AirCategory = AirCategory::C5, Any, "", Assumption,
            "Category that a base's air called sea front stands for";
    }

    /// What damage does to fatigue strength.
    fatigue "fatigue" FatigueSettings {
        threshold_mpa_sqrt_m: f64 = 5.0, AboveUpTo(0.0, 100.0), "MPa sqrt(m)", ALLOY,
            "Range of stress intensity below which a long crack does not grow (dKth)";
        endurance_range_mpa: f64 = 248.0, AboveUpTo(0.0, 2000.0), "MPa", ALLOY,
            "Range of stress that smooth metal endures (ds0)";
        edge_crack_factor: f64 = 1.1215, Between(0.5, 2.0), "", CRACK,
            "Geometry factor of a nick taken as a crack in an edge (F)";
        surface_crack_factor: f64 = 0.6366, Between(0.5, 2.0), "", CRACK,
            "Geometry factor of a nick taken as a crack in face or camber (F)";
        stress_exponent: f64 = 9.44, AboveUpTo(0.0, 30.0), "", FromMemory("MIL-HDBK-5J, 2014-T6, smooth"),
            "Power of the stress by which an hour on a thinned blade counts for more (slope of the S-N line)";
        density_kg_m3: f64 = 2795.67, Between(2000.0, 3500.0), "kg/m3", FromMemory("the alloy's typical value, 0.101 lb/in3"),
            "Density of the blade's metal, for the steady stress from spinning";
    }

    /// What it will cost.
    budget "budget" BudgetSettings {
        years: u32 = 5, Between(1.0, 50.0), "years", Choice,
            "Calendar years that the budget looks ahead, after the rest of this one";
        use_growth_pct: f64 = 0.0, Between(-50.0, 100.0), "% a year", Assumption,
            "By how much the hours flown grow a year";
        opening_balance: Option<f64> = None, Between(-1e12, 1e12), "currency", Choice,
            "Money in the overhaul fund on the as-of date; none leaves the constant reserve out";
        overhauls_per_month: Option<u32> = None, Between(1.0, 100_000.0), "overhauls a month", Choice,
            "How many overdue overhauls can be caught up in a month; none sets no limit";
        shop_year_spread_fraction: f64 = 0.05, Between(0.0, 2.0), "of the mean loss", Assumption,
            "Spread of the loss that the overhauls of one shop and year share, taken when the records hold fewer than 30 pairs";
        prices: PriceSource = PriceSource::List, Any, "", Choice,
            "Whether the plan counts with the table prices (list) or with what was paid in the last 24 months (invoices)";
        deciding_stations: u32 = 3, Between(1.0, 100.0), "stations", Assumption,
            "Over how many stations a blade's own spread evens out before the worst one decides";
    }
}
