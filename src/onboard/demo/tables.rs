//! The tables of the demo fleet: every column by name, from the rows.

use super::DemoTable;
use super::bases::{BASES, Base};
use super::columns::Columns;
use super::models::{DESIGNS, Design, PRICE_DATE, SOURCE, Station};
use super::rows::{
    DefectRow, EventCheckRow, FittedRow, HoursRow, InspectionRow, KeptRow, MeasurementRow, MeterRow, PropellerRow,
    RecheckRow, Records, VisitRow, by_number,
};
use crate::trade::calendar::Day;
use crate::trade::damage::Surface;

/// Every table of `records`, in the order in which a fleet folder is read.
pub(super) fn tables(records: &Records) -> Vec<DemoTable> {
    let table = |name, batch| DemoTable { name, batch };
    vec![
        table("propellers", propellers(&records.propellers)),
        table("models", models()),
        table("limits", limits()),
        table("overhauls", overhauls(&records.visits)),
        table("measurements", measurements(&records.measurements)),
        table("defects", defects(&records.defects)),
        table("hours", hours(&records.hours)),
        table("aircraft_hours", aircraft_hours(&records.meters)),
        table("fitted", fitted(&records.fitted)),
        table("aircraft", aircraft(&records.fitted)),
        table("inspections", inspections(records)),
        table("event_checks", event_checks(records)),
        table("rechecks", rechecks(&records.rechecks)),
        table("bases", bases()),
        table("kept_at", kept_at(&records.kept)),
        table("prices", prices()),
    ]
}

type Batch = arrow::record_batch::RecordBatch;

fn propellers(rows: &[PropellerRow]) -> Batch {
    Columns::of(rows)
        .text("propeller", |r| Some(&r.serial))
        .text("model", |r| Some(r.model))
        .text("use", |r| Some(r.used_for))
        .text("base", |r| Some(r.base))
        .text("aircraft", |r| r.aircraft.as_deref())
        .date("in_service_date", |r| Some(r.in_service))
        .text("acquired", |r| Some(r.acquired))
        .text("status", |r| Some(r.status))
        .date("end_date", |r| r.end)
        .date("sent_date", |r| r.at_shop.map(|there| there.0))
        .date("expected_back_date", |r| r.at_shop.map(|there| there.1))
        .text("shop", |r| r.at_shop.map(|there| there.2))
        .text("replaced_by", |r| r.replaced_by.as_deref())
        .date("reports_kept_since", |r| r.reports_kept_since)
        .batch()
}

fn models() -> Batch {
    Columns::of(&DESIGNS)
        .text("model", |d| Some(d.model))
        .number("diameter_in", |d| Some(d.diameter_in))
        .whole("blades", |d| Some(d.blades))
        .number("interval_hours", |d| Some(d.interval_hours))
        .whole("interval_months", |d| Some(d.interval_months))
        .text("interval_rule", |d| Some(d.interval_rule))
        .text("interval_from", |_| Some("release"))
        .text("interval_force", |d| Some(d.interval_force))
        .number("max_rpm", |d| Some(d.max_rpm))
        .number("track_limit_in", |d| Some(d.track_limit_in))
        .text("limits_of", |d| d.limits_of)
        .batch()
}

fn limits() -> Batch {
    let rows: Vec<(&Design, &Station)> =
        DESIGNS.iter().filter(|d| d.limits_of.is_none()).flat_map(|d| d.stations.iter().map(move |s| (d, s))).collect();
    Columns::of(&rows)
        .text("model", |(d, _)| Some(d.model))
        .number("station_pct", |(_, s)| Some(s.pct))
        .number("width_new_in", |(_, s)| Some(s.width_new_in))
        .number("width_min_in", |(_, s)| Some(s.width_min_in))
        .number("thickness_new_in", |(_, s)| Some(s.thickness_new_in))
        .number("thickness_min_in", |(_, s)| Some(s.thickness_min_in))
        .text("source", |_| Some(SOURCE))
        .text("revision", |_| Some("1"))
        .batch()
}

fn overhauls(rows: &[VisitRow]) -> Batch {
    Columns::of(rows)
        .text("propeller", |r| Some(&r.serial))
        .date("overhaul_date", |r| Some(r.date))
        .text("work", |r| Some(r.work))
        .text("outcome", |r| Some(r.outcome))
        .text("reject_reason", |r| r.reject_reason)
        .text("shop", |r| Some(r.shop))
        .number("hours_since_new", |r| r.hours_since_new)
        .number("hours_since_overhaul", |r| r.hours_since_overhaul)
        .text("reason", |r| Some(r.reason))
        .number("track_in", |r| r.track_in)
        .text("model_after", |r| r.model_after)
        .number("cost", |r| r.cost)
        .batch()
}

fn measurements(rows: &[MeasurementRow]) -> Batch {
    Columns::of(rows)
        .text("propeller", |r| Some(&r.serial))
        .date("overhaul_date", |r| Some(r.date))
        .whole("blade", |r| Some(r.blade))
        .number("station_pct", |r| Some(r.station_pct))
        .number("width_before_in", |r| r.width_before_in)
        .number("width_after_in", |r| r.width_after_in)
        .number("thickness_before_in", |r| r.thickness_before_in)
        .number("thickness_after_in", |r| r.thickness_after_in)
        .number("angle_after_deg", |r| r.angle_after_deg)
        .text("painted", |r| r.painted)
        .batch()
}

fn defects(rows: &[DefectRow]) -> Batch {
    Columns::of(rows)
        .text("propeller", |r| Some(&r.serial))
        .date("found_date", |r| r.found)
        .whole("blade", |r| r.blade)
        .number("station_pct", |r| r.station_pct)
        .text("surface", |r| r.surface.map(Surface::word))
        .text("kind", |r| Some(r.kind.word()))
        .number("depth_in", |r| r.depth_in)
        .number("length_in", |r| r.length_in)
        .number("width_in", |r| r.width_in)
        .text("action", |r| Some(r.action))
        .date("action_date", |r| r.action_date)
        .text("action_by", |r| r.action_by)
        .date("recheck_date", |r| r.recheck)
        .batch()
}

fn hours(rows: &[HoursRow]) -> Batch {
    Columns::of(rows)
        .text("propeller", |r| Some(&r.serial))
        .date("reading_date", |r| Some(r.date))
        .number("hours_since_new", |r| r.hours_since_new)
        .number("hours_since_overhaul", |r| r.hours_since_overhaul)
        .batch()
}

fn aircraft_hours(rows: &[MeterRow]) -> Batch {
    Columns::of(rows)
        .text("aircraft", |r| Some(&r.aircraft))
        .date("reading_date", |r| Some(r.date))
        .number("hours", |r| Some(r.hours))
        .text("meter", |r| Some(r.meter))
        .batch()
}

fn fitted(rows: &[FittedRow]) -> Batch {
    Columns::of(rows)
        .text("propeller", |r| Some(&r.serial))
        .text("aircraft", |r| Some(&r.aircraft))
        .date("from_date", |r| Some(r.from))
        .date("to_date", |r| r.to)
        .batch()
}

/// Every aircraft that carried a propeller, with its type: the name without its number.
fn aircraft(rows: &[FittedRow]) -> Batch {
    let mut names: Vec<&str> = rows.iter().map(|r| r.aircraft.as_str()).collect();
    names.sort_by_key(|name| by_number(name));
    names.dedup();
    Columns::of(&names)
        .text("aircraft", |name| Some(name))
        .text("aircraft_model", |name| Some(name.rsplit_once(' ').map_or(*name, |(model, _)| model)))
        .whole("positions", |_| Some(1))
        .batch()
}

/// An inspection with the aircraft it was made of, and the sign-off of what was not satisfactory; some wait for theirs.
struct Inspected<'r> {
    row: &'r InspectionRow,
    aircraft: Option<&'r str>,
    cleared: Option<Day>,
}

/// Days until what an inspection found is put right and signed.
const SIGNED_AFTER_DAYS: i32 = 4;

fn inspections(records: &Records) -> Batch {
    let of = records.aircraft();
    let rows: Vec<Inspected<'_>> = records
        .inspections
        .iter()
        .map(|row| Inspected {
            row,
            aircraft: of.on(&row.serial, row.date),
            cleared: (row.result == "not" && !row.waits).then_some(row.date + SIGNED_AFTER_DAYS),
        })
        .collect();
    Columns::of(&rows)
        .text("aircraft", |r| r.aircraft)
        .date("inspection_date", |r| Some(r.row.date))
        .text("kind", |r| Some(r.row.kind))
        .text("result", |r| Some(r.row.result))
        .text("by", |r| Some(r.row.by))
        .date("next_due_date", |r| r.row.next_due)
        .date("cleared_date", |r| r.cleared)
        .text("cleared_by", |r| r.cleared.map(|_| r.row.by))
        .batch()
}

fn event_checks(records: &Records) -> Batch {
    let of = records.aircraft();
    let rows: Vec<(&EventCheckRow, Option<&str>)> =
        records.event_checks.iter().map(|row| (row, of.on(&row.serial, row.event))).collect();
    Columns::of(&rows)
        .text("propeller", |(r, _)| Some(&r.serial))
        .text("aircraft", |(_, aircraft)| *aircraft)
        .date("event_date", |(r, _)| Some(r.event))
        .text("scope", |(r, _)| Some(r.scope))
        .text("method", |(r, _)| Some(r.method))
        .date("check_date", |(r, _)| Some(r.day))
        .text("result", |(r, _)| Some(r.result))
        .text("by", |(r, _)| Some(r.by))
        .text("reference", |(r, _)| Some(&r.reference))
        .batch()
}

fn rechecks(rows: &[RecheckRow]) -> Batch {
    Columns::of(rows)
        .text("propeller", |r| Some(&r.serial))
        .date("found_date", |r| Some(r.found))
        .whole("blade", |r| r.blade)
        .date("date", |r| Some(r.day))
        .number("depth_in", |r| r.depth_in)
        .text("result", |r| Some(r.result))
        .text("by", |r| Some(r.by))
        .batch()
}

fn bases() -> Batch {
    let rows: &[Base] = &BASES;
    Columns::of(rows)
        .text("base", |b| Some(b.name))
        .number("temperature_c", |b| b.climate.map(|c| c.temperature_c))
        .number("relative_humidity_pct", |b| b.climate.map(|c| c.relative_humidity_pct))
        .number("so2_deposition_mg_m2_day", |b| b.climate.map(|c| c.so2_mg_m2_day))
        .number("chloride_deposition_mg_m2_day", |b| b.climate.map(|c| c.chloride_mg_m2_day))
        .text("corrosivity", |b| b.corrosivity)
        .text("air", |b| b.air)
        .text("surface", |b| Some(b.surface))
        .batch()
}

fn kept_at(rows: &[KeptRow]) -> Batch {
    Columns::of(rows)
        .text("propeller", |r| Some(&r.serial))
        .text("base", |r| Some(r.base))
        .date("from_date", |r| Some(r.from))
        .text("kept", |r| r.kept)
        .batch()
}

fn prices() -> Batch {
    Columns::of(&DESIGNS)
        .text("model", |d| Some(d.model))
        .number("overhaul_cost", |d| Some(d.prices.overhaul))
        .number("replacement_cost", |d| Some(d.prices.replacement))
        .number("rejection_cost", |d| Some(d.prices.rejection))
        .number("removal_cost", |d| Some(d.prices.removal))
        .whole("overhaul_days", |d| Some(d.prices.overhaul_days))
        .whole("replacement_days", |d| Some(d.prices.replacement_days))
        .date("price_date", |_| Some(PRICE_DATE))
        .batch()
}
