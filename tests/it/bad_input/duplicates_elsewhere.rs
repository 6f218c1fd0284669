//! Two rows with one key in the smaller tables, told as in [`super::duplicates`].

use super::duplicates::both_orders;
use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::records::choice::Kept;
use bladewane::records::inspections::Inspected;
use bladewane::records::schema::Table;

#[test]
fn two_different_rows_of_the_smaller_tables() {
    both_orders(
        "hours",
        "propeller,reading_date,hours_since_new,hours_since_overhaul",
        "reading_date",
        "2010-01-01",
        ["A1,2010-01-01,500,20", "A1,2010-01-01,490,30"],
        |fleet| {
            let reading = fleet.flying.readings(0)[0];
            assert_eq!((reading.hours_since_new, reading.hours_since_overhaul), (Some(500.0), Some(30.0)));
        },
    );
    both_orders(
        "kept_at",
        "propeller,base,from_date,kept",
        "from_date",
        "2010-01-01",
        ["A1,north,2010-01-01,hangar", "A1,south,2010-01-01,outside"],
        |fleet| {
            let stay = fleet.places.stays(0)[0];
            assert_eq!((stay.base, stay.kept), (None, Some(Kept::Outside)));
        },
    );
    both_orders(
        "inspections",
        "propeller,inspection_date,result,next_due_date",
        "inspection_date",
        "2010-01-01",
        ["A1,2010-01-01,satisfactory,2012-01-01", "A1,2010-01-01,not,2011-01-01"],
        |fleet| {
            let inspection = fleet.inspections.of(Inspected::Propeller(0))[0];
            assert_eq!(inspection.result.map(|r| r.word()), Some("not"));
            assert_eq!(inspection.next_due.map(|d| d.to_string()).as_deref(), Some("2011-01-01"));
        },
    );
    both_orders("bases", "base,air", "base", "west", ["west,rural", "west,coast"], |fleet| {
        let base = fleet.places.find("west").expect("a base");
        assert!(fleet.places.bases()[base as usize].contradicted);
    });
    both_orders(
        "prices",
        "model,overhaul_cost,replacement_cost,rejection_cost,overhaul_days",
        "model",
        "M76",
        ["M76,1,5,,30", "M76,2,4,7,20"],
        |fleet| {
            let price = fleet.prices.of(0).expect("a price");
            assert_eq!((price.overhaul_cost, price.replacement_cost), (2.0, 5.0));
            assert_eq!((price.rejection_cost, price.overhaul_days), (Some(7.0), Some(30.0)));
        },
    );
}

#[test]
fn meters_and_fittings() {
    // Another meter on the same day is another series, not a contradiction.
    let folder = FleetFolder::small().with(
        "aircraft_hours",
        "aircraft,reading_date,hours,meter\nx,2010-01-01,5,tach\nx,2010-01-01,6,hobbs\nx,2010-01-01,7,tach",
    );
    assert_eq!(folder.set_aside().len(), 1);
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let mut hours: Vec<f64> = fleet.flying.meter_readings(0).iter().map(|r| r.hours).collect();
    hours.sort_by(f64::total_cmp);
    assert_eq!(hours, [6.0, 7.0]);
    both_orders(
        "fitted",
        "propeller,aircraft,from_date,to_date",
        "from_date",
        "2010-01-01",
        ["A1,x,2010-01-01,2011-01-01", "A1,x,2010-01-01,2012-01-01"],
        |fleet| {
            assert_eq!(fleet.flying.fittings(0)[0].to.map(|d| d.to_string()).as_deref(), Some("2012-01-01"));
        },
    );
    let count = fleet.ledger.counts(Table::AircraftHours).expect("a count");
    assert_eq!((count.read, count.used, count.set_aside), (3, 2, 1));
}
