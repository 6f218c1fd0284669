//! The tables of a fleet folder and their columns: the one list that reading, checking and templates go by.

mod column;
mod money;
mod words;

use money::{PRICES, SPEND};

pub use column::{Column, Kind, Range};
pub use words::*;

/// A table of the fleet folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Table {
    /// One row a propeller.
    Propellers,
    /// One row a model.
    Models,
    /// One row a model and station.
    Limits,
    /// One row a shop visit.
    Overhauls,
    /// One row a visit, blade and station.
    Measurements,
    /// One row a damage report.
    Defects,
    /// One row a reading of a propeller's hours.
    Hours,
    /// One row a reading of an aircraft's hours.
    AircraftHours,
    /// One row a stretch of time on an aircraft.
    Fitted,
    /// One row an aircraft.
    Aircraft,
    /// One row an inspection.
    Inspections,
    /// One row a check after an event.
    EventChecks,
    /// One row a second look at a finding.
    Rechecks,
    /// One row a decision about a propeller.
    Decisions,
    /// One row a base.
    Bases,
    /// One row a change of base.
    KeptAt,
    /// One row a model.
    Prices,
    /// One row an invoice.
    Spend,
}

/// A table and its columns.
#[derive(Debug, Clone, Copy)]
pub struct Schema {
    /// Which table.
    pub table: Table,
    /// File name without ending.
    pub name: &'static str,
    /// What a row is.
    pub a_row_is: &'static str,
    /// What its absence means, said once.
    pub absent: &'static str,
    /// Its columns.
    pub columns: &'static [Column],
    /// Groups of columns of which at least one must be there (and filled in each row).
    pub one_of: &'static [&'static [&'static str]],
    /// The column with the row's own date, which decides whether the row is later than the as-of date.
    pub own_date: Option<&'static str>,
}

const fn required(name: &'static str, kind: Kind, about: &'static str) -> Column {
    Column { name, kind, required: true, about }
}

const fn optional(name: &'static str, kind: Kind, about: &'static str) -> Column {
    Column { name, kind, required: false, about }
}

const STATION_PCT: Column = optional("station_pct", Kind::Number, "Station in percent of the radius");
const STATION: Column = optional("station", Kind::Length, "Station from the hub centre");

const PROPELLERS: Schema = Schema {
    table: Table::Propellers,
    name: "propellers",
    a_row_is: "a propeller",
    absent: "no propellers",
    columns: &[
        required("propeller", Kind::Text, "Serial of the propeller"),
        optional("model", Kind::Text, "Designation when it came on this record; a visit's model_after changes it"),
        optional("use", Kind::Word(USES), "What it flies for"),
        optional("base", Kind::Text, "Home base"),
        optional("aircraft", Kind::Text, "Aircraft it is on"),
        optional("in_service_date", Kind::Date, "First day on this fleet's record"),
        optional("acquired", Kind::Word(ACQUIRED), "How it came; unknown when not said"),
        optional("status", Kind::Word(STATUSES), "Where it stands; flying when not said"),
        optional("end_date", Kind::Date, "Day of the scrapping, sale or other end of the status before"),
        optional("removed_date", Kind::Date, "Day a spare, or one at a shop, came off its aircraft"),
        optional("sent_date", Kind::Date, "Day one at a shop was sent there"),
        optional("expected_back_date", Kind::Date, "Day it is expected back; without one it counts as away"),
        optional("shop", Kind::Text, "The shop it is at"),
        optional("replaced_by", Kind::Text, "Serial of the propeller that took its place"),
        optional("reports_kept_since", Kind::Date, "Day from which damage reports were kept"),
        optional("interval_hours", Kind::NumberOrNone, "Overhaul interval in hours, in place of the model's"),
        optional("interval_months", Kind::NumberOrNone, "Overhaul interval in months, in place of the model's"),
        optional("interval_force", Kind::Word(FORCES), "Whether the interval binds, in place of the model's"),
    ],
    one_of: &[],
    own_date: Some("in_service_date"),
};

const MODELS: Schema = Schema {
    table: Table::Models,
    name: "models",
    a_row_is: "a model",
    absent: "no models: diameters, blade counts and overhaul intervals are not known, so no due dates and no station distances",
    columns: &[
        required("model", Kind::Text, "Designation"),
        optional("diameter", Kind::Length, "Diameter"),
        optional("diameter_min", Kind::Length, "Smallest diameter allowed by the maker's current manual"),
        optional("blades", Kind::Small, "Number of blades, 2 or 3"),
        optional("interval_hours", Kind::NumberOrNone, "Overhaul interval in hours; none when the maker states none"),
        optional("interval_months", Kind::NumberOrNone, "Overhaul interval in months; none when the maker states none"),
        optional("interval_rule", Kind::Word(RULES), "Same day of the month, or the month's last day"),
        optional("interval_from", Kind::Word(FROM), "What the months count from"),
        optional(
            "interval_force",
            Kind::Word(FORCES),
            "Whether the interval binds; recommended when the column is absent",
        ),
        optional("max_rpm", Kind::Number, "Highest permitted speed in revolutions a minute"),
        optional("track_limit", Kind::Length, "Track limit; 0.062 in when not said (common practice, no source)"),
        optional("limits_of", Kind::Text, "Another model whose dimension limits hold"),
    ],
    one_of: &[],
    own_date: None,
};

const LIMITS: Schema = Schema {
    table: Table::Limits,
    name: "limits",
    a_row_is: "a model and station",
    absent: "no limits: measurements give losses, but no margins and no count of overhauls left",
    columns: &[
        required("model", Kind::Text, "Designation"),
        STATION_PCT,
        STATION,
        optional("width_new", Kind::Length, "Width of a new blade"),
        optional("width_min", Kind::Length, "Smallest width allowed by the maker's current manual"),
        optional("thickness_new", Kind::Length, "Thickness of a new blade"),
        optional("thickness_min", Kind::Length, "Smallest thickness allowed by the maker's current manual"),
        optional("source", Kind::Text, "Manual the figures are copied from"),
        optional("revision", Kind::Text, "Its revision"),
    ],
    one_of: &[&["station_pct", "station"]],
    own_date: None,
};

const OVERHAULS: Schema = Schema {
    table: Table::Overhauls,
    name: "overhauls",
    a_row_is: "a shop visit",
    absent: "no overhauls: time since overhaul is not known",
    columns: &[
        required("propeller", Kind::Text, "Serial of the propeller"),
        required("overhaul_date", Kind::Date, "Day of release, or of rejection"),
        optional("work", Kind::Word(WORKS), "What was done; overhaul when the column is absent"),
        optional("outcome", Kind::Word(OUTCOMES), "How it ended; released when the column is absent"),
        optional("reject_reason", Kind::Word(REJECT_REASONS), "Why it was rejected"),
        optional("shop", Kind::Text, "Shop"),
        optional("hours_since_new", Kind::Number, "Hours since new at the visit"),
        optional("hours_since_overhaul", Kind::Number, "Hours since overhaul before the visit"),
        optional("reason", Kind::Word(REASONS), "Why it went to the shop"),
        optional("track", Kind::Length, "Blade track after the visit"),
        optional("diameter_after", Kind::Length, "Diameter after the visit"),
        optional("model_after", Kind::Text, "Designation after the visit, when it was shortened or re-pitched"),
        optional("cost", Kind::Number, "What the visit cost"),
        optional("reference", Kind::Text, "Number of its invoice"),
    ],
    one_of: &[],
    own_date: Some("overhaul_date"),
};

const MEASUREMENTS: Schema = Schema {
    table: Table::Measurements,
    name: "measurements",
    a_row_is: "a visit, blade and station",
    absent: "no measurements: no losses and no margins",
    columns: &[
        required("propeller", Kind::Text, "Serial of the propeller"),
        required("overhaul_date", Kind::Date, "Day of the visit"),
        required("blade", Kind::Small, "Blade, counted from 1"),
        STATION_PCT,
        STATION,
        optional("width_before", Kind::Length, "Width as it came in"),
        optional("width_after", Kind::Length, "Width as it left"),
        optional("thickness_before", Kind::Length, "Thickness as it came in"),
        optional("thickness_after", Kind::Length, "Thickness as it left"),
        optional("angle_after_deg", Kind::Number, "Blade angle as it left, in degrees"),
        optional("edge_alignment", Kind::Length, "Edge alignment"),
        optional("painted", Kind::Word(YES_NO), "Whether the before readings were taken over paint"),
    ],
    one_of: &[&["station_pct", "station"]],
    own_date: Some("overhaul_date"),
};

const DEFECTS: Schema = Schema {
    table: Table::Defects,
    name: "defects",
    a_row_is: "a damage report",
    absent: "no defects: nothing is known of nicks and blends since the last visit",
    columns: &[
        required("propeller", Kind::Text, "Serial of the propeller"),
        required("found_date", Kind::Date, "Day it was found"),
        optional("blade", Kind::Small, "Blade, counted from 1"),
        STATION_PCT,
        STATION,
        optional(
            "surface",
            Kind::Word(SURFACES),
            "Where on the section; face is the flat, aft side, camber the round, forward side",
        ),
        required("kind", Kind::Word(DEFECT_KINDS), "What it is"),
        optional("depth", Kind::Length, "Depth"),
        optional("length", Kind::Length, "Length along the blade"),
        optional("width", Kind::Length, "Width across the blade"),
        optional("action", Kind::Word(ACTIONS), "What was done; none when not said"),
        optional("action_date", Kind::Date, "Day it was done"),
        optional("action_by", Kind::Text, "Who did it"),
        optional("recheck_date", Kind::Date, "Day to look again"),
        optional("rework_depth", Kind::Length, "Depth that was dressed out, measured from the original surface"),
        optional("rework_length", Kind::Length, "Length that was dressed out, along the blade"),
        optional("refinished", Kind::Word(YES_NO), "Whether the dressed place got its coat and paint back"),
    ],
    one_of: &[],
    own_date: Some("found_date"),
};

const HOURS: Schema = Schema {
    table: Table::Hours,
    name: "hours",
    a_row_is: "a reading of a propeller's hours",
    absent: "no hours of propellers",
    columns: &[
        required("propeller", Kind::Text, "Serial of the propeller"),
        required("reading_date", Kind::Date, "Day of the reading"),
        optional("hours_since_new", Kind::Number, "Hours since new"),
        optional("hours_since_overhaul", Kind::Number, "Hours since overhaul"),
    ],
    one_of: &[&["hours_since_new", "hours_since_overhaul"]],
    own_date: Some("reading_date"),
};

const AIRCRAFT_HOURS: Schema = Schema {
    table: Table::AircraftHours,
    name: "aircraft_hours",
    a_row_is: "a reading of an aircraft's hours",
    absent: "no hours of aircraft",
    columns: &[
        required("aircraft", Kind::Text, "Name of the aircraft"),
        required("reading_date", Kind::Date, "Day of the reading"),
        required("hours", Kind::Number, "What the meter showed"),
        optional("meter", Kind::Text, "Name of the meter; readings of different meters are never mixed"),
    ],
    one_of: &[],
    own_date: Some("reading_date"),
};

const FITTED: Schema = Schema {
    table: Table::Fitted,
    name: "fitted",
    a_row_is: "a stretch of time on an aircraft",
    absent: "no fittings: the hours of aircraft cannot be given to propellers",
    columns: &[
        required("propeller", Kind::Text, "Serial of the propeller"),
        required("aircraft", Kind::Text, "Name of the aircraft"),
        required("from_date", Kind::Date, "First day on it"),
        optional("to_date", Kind::Date, "Day it came off: it did not fly on that day"),
        optional("position", Kind::Text, "Where on an aircraft that carries several: left, right, a number"),
    ],
    one_of: &[],
    own_date: Some("from_date"),
};

const AIRCRAFT: Schema = Schema {
    table: Table::Aircraft,
    name: "aircraft",
    a_row_is: "an aircraft",
    absent: "no aircraft: each is taken to carry one propeller",
    columns: &[
        required("aircraft", Kind::Text, "Name of the aircraft"),
        optional("aircraft_model", Kind::Text, "Its type"),
        optional("engine", Kind::Text, "Its engine"),
        optional("max_rpm", Kind::Number, "Highest speed of its propeller; the larger of this and the model's counts"),
        optional("positions", Kind::Small, "Propellers it carries at once; 1 when not said"),
    ],
    one_of: &[],
    own_date: None,
};

const INSPECTIONS_TABLE: Schema = Schema {
    table: Table::Inspections,
    name: "inspections",
    a_row_is: "an inspection",
    absent: "no inspections: whether an annual or 100 hour is in force is not known",
    columns: &[
        optional("aircraft", Kind::Text, "Name of the aircraft that was inspected"),
        optional("propeller", Kind::Text, "Serial of the propeller on it, where the aircraft is not written"),
        required("inspection_date", Kind::Date, "Day of the inspection"),
        optional("kind", Kind::Word(INSPECTIONS), "Kind of inspection; an empty one clears nothing"),
        optional("result", Kind::Word(RESULTS), "Its result"),
        optional("by", Kind::Text, "Who made it"),
        optional("next_due_date", Kind::Date, "Day the next is due"),
        optional("next_due_meter", Kind::Number, "Reading of the aircraft's meter at which the next is due"),
        optional("cleared_date", Kind::Date, "Day what was not satisfactory was put right and signed"),
        optional("cleared_by", Kind::Text, "Who signed that; without a name it is not cleared"),
        optional("track", Kind::Length, "Blade track as it was measured"),
    ],
    one_of: &[&["aircraft", "propeller"]],
    own_date: Some("inspection_date"),
};

const EVENT_CHECKS: Schema = Schema {
    table: Table::EventChecks,
    name: "event_checks",
    a_row_is: "a check after a strike, overspeed, lightning or bend, or of a crack",
    absent: "no event_checks: whether engines were checked after strikes is not known",
    columns: &[
        optional("propeller", Kind::Text, "Serial of the propeller that had the event"),
        optional("aircraft", Kind::Text, "Name of the aircraft that carried it that day"),
        required("event_date", Kind::Date, "Day of the event, or the day the crack was reported"),
        required("scope", Kind::Word(SCOPES), "What was checked"),
        optional("method", Kind::Word(METHODS), "How; a crack is closed by penetrant or eddy current only"),
        optional("check_date", Kind::Date, "Day of the check"),
        optional("result", Kind::Word(CHECK_RESULTS), "Its result"),
        optional("by", Kind::Text, "Who made it"),
        optional("reference", Kind::Text, "Work order or log page"),
    ],
    one_of: &[&["propeller", "aircraft"]],
    own_date: Some("event_date"),
};

const RECHECKS: Schema = Schema {
    table: Table::Rechecks,
    name: "rechecks",
    a_row_is: "a second look at a finding",
    absent: "no rechecks: nothing says that an accepted or small finding was looked at again",
    columns: &[
        required("propeller", Kind::Text, "Serial of the propeller"),
        required("found_date", Kind::Date, "Day the finding was reported, as in defects"),
        optional("blade", Kind::Small, "Blade, where more than one finding is of that day"),
        STATION_PCT,
        STATION,
        required("date", Kind::Date, "Day it was looked at again"),
        optional("depth", Kind::Length, "Depth as measured again"),
        optional("result", Kind::Word(RECHECK_RESULTS), "What was seen; gone needs a blend in defects"),
        optional("by", Kind::Text, "Who looked"),
    ],
    one_of: &[],
    own_date: Some("date"),
};

const DECISIONS: Schema = Schema {
    table: Table::Decisions,
    name: "decisions",
    a_row_is: "a decision about a propeller that someone has looked at",
    absent: "no decisions: nothing says that someone has seen a propeller's reason",
    columns: &[
        required("propeller", Kind::Text, "Serial of the propeller"),
        required("date", Kind::Date, "Day of the decision"),
        optional("reason", Kind::Text, "The reason that was looked at, as the ranking words it"),
        optional("decision", Kind::Text, "What was decided"),
        optional("until", Kind::Date, "Last day it holds; without one it is not shown as seen"),
        optional("by", Kind::Text, "Who decided; without a name it is not shown as seen"),
        optional("reference", Kind::Text, "Work order or log page"),
    ],
    one_of: &[],
    own_date: Some("date"),
};

const BASES: Schema = Schema {
    table: Table::Bases,
    name: "bases",
    a_row_is: "a base",
    absent: "no bases: the air is not known, so the worst is taken",
    columns: &[
        required("base", Kind::Text, "Name of the base"),
        optional("temperature_c", Kind::Number, "Annual mean temperature in degrees Celsius"),
        optional("relative_humidity_pct", Kind::Number, "Annual mean relative humidity in percent"),
        optional("so2_deposition_mg_m2_day", Kind::Number, "Annual mean deposition of sulphur dioxide"),
        optional("chloride_deposition_mg_m2_day", Kind::Number, "Annual mean deposition of chloride"),
        optional("corrosivity", Kind::Word(CORROSIVITY), "Corrosivity category"),
        optional("air", Kind::Word(AIR), "Description of the air"),
        optional("surface", Kind::Word(RUNWAYS), "Runway surface"),
    ],
    one_of: &[],
    own_date: None,
};

const KEPT_AT: Schema = Schema {
    table: Table::KeptAt,
    name: "kept_at",
    a_row_is: "a change of base",
    absent: "no stays: each propeller is taken to have lived at its home base",
    columns: &[
        required("propeller", Kind::Text, "Serial of the propeller"),
        required("base", Kind::Text, "Name of the base"),
        required("from_date", Kind::Date, "First day there"),
        optional("kept", Kind::Word(KEPT), "Outside or in a hangar"),
    ],
    one_of: &[],
    own_date: Some("from_date"),
};

/// Every table, in the order they are read and shown.
pub const TABLES: [&Schema; 18] = [
    &PROPELLERS,
    &MODELS,
    &LIMITS,
    &OVERHAULS,
    &MEASUREMENTS,
    &DEFECTS,
    &HOURS,
    &AIRCRAFT_HOURS,
    &FITTED,
    &AIRCRAFT,
    &INSPECTIONS_TABLE,
    &EVENT_CHECKS,
    &RECHECKS,
    &DECISIONS,
    &BASES,
    &KEPT_AT,
    &PRICES,
    &SPEND,
];

impl Table {
    /// The table's schema.
    pub fn schema(self) -> &'static Schema {
        TABLES[self as usize]
    }

    /// The table's name, as its file is named.
    pub fn name(self) -> &'static str {
        self.schema().name
    }
}

impl Schema {
    /// Whether a file's column of this name is one of this table's; a length has its unit's ending.
    pub fn knows(&self, name: &str) -> bool {
        self.columns.iter().any(|column| {
            let ending = name.strip_prefix(column.name);
            match column.kind {
                Kind::Length => ending.is_some_and(|e| matches!(e, "_in" | "_mm" | "_thou")),
                _ => ending == Some(""),
            }
        })
    }

    /// Position of a column of this table.
    pub fn position(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|c| c.name == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_stands_at_its_own_place_and_names_only_its_columns() {
        for (index, schema) in TABLES.iter().enumerate() {
            assert_eq!(schema.table as usize, index, "{}", schema.name);
            for name in schema.one_of.iter().copied().flatten().chain(schema.own_date.iter()) {
                assert!(schema.position(name).is_some(), "{}: no column {name}", schema.name);
            }
        }
    }
}
