//! Columns of the tables about time: due, exposure, load.

use super::*;

pub(super) const DUE: TableSpec = TableSpec {
    name: "due",
    a_row_is: "one propeller that is flying, spare or at the shop",
    columns: &[
        PROPELLER,
        AIRCRAFT,
        MODEL,
        USE,
        BASE,
        date("last_overhaul_date", RECORDS, "release of the last overhaul, or first day of service of a new propeller"),
        integer("days_since_overhaul", DAYS, METHOD_DUE, "days since then"),
        number("hours_since_overhaul", HOURS, 1, METHOD_DUE, "hours flown since then"),
        number("hours_per_year", "flight hours per year", 0, METHOD_DUE, "use rate"),
        text("hours_basis", METHOD_DUE, "where the hours and the use rate come from"),
        date("due_date_calendar", METHOD_DUE, "day the calendar limit is reached"),
        date("due_date_hours", METHOD_DUE, "day the hour limit is reached at the use rate"),
        date("due_date", METHOD_DUE, "the earlier of the two"),
        date("due_date_p10", METHOD_DUE, "early end: one in ten comes due before it"),
        date("due_date_p90", METHOD_DUE, "late end: one in ten comes due after it"),
        integer("days_to_due", DAYS, METHOD_DUE, "days to the due date, below 0 when it is past"),
        number("hours_to_due", HOURS, 0, METHOD_DUE, "hours to the hour limit, below 0 when it is past"),
        text("interval_force", RECORDS, "binding, recommended or none, as the records say"),
        text("state", METHOD_DUE, "where it stands against its limits, in words"),
        date("last_inspection_date", RECORDS, "last inspection"),
        text("last_inspection_kind", RECORDS, "annual, 100 hour, condition or other"),
        text("last_inspection_result", RECORDS, "satisfactory or unsatisfactory"),
        date("next_inspection_date", RECORDS, "when the next inspection is due, as recorded"),
    ],
};

pub(super) const DUTIES: TableSpec = TableSpec {
    name: "duties",
    a_row_is: "one thing with a date that is to be done to one propeller or its aircraft",
    columns: &[
        PROPELLER,
        text(
            "what",
            METHOD_DUE,
            "overhaul by its calendar or hour limit, inspection, second look at a finding, replacement to order, or return from a shop",
        ),
        date("date", METHOD_DUE, "day by which it is to be done; a day that has passed is overdue"),
        text(
            "basis",
            METHOD_DUE,
            "recorded: records and rules alone; estimated: by a use rate, the forecast, or a limit that nobody states",
        ),
        text(
            "force",
            METHOD_DUE,
            "binding, recommended or none, of limits, annuals and 100 hours; empty where nothing in force says",
        ),
        integer("days", DAYS, METHOD_DUE, "days to that day, below 0 when it is past"),
        AIRCRAFT,
    ],
};

pub(super) const EXPOSURE: TableSpec = TableSpec {
    name: "exposure",
    a_row_is: "one propeller",
    columns: &[
        PROPELLER,
        date("since_date", METHOD_CLIMATE, "start of the exposure: last overhaul, or new"),
        number("years", YEARS, 1, METHOD_CLIMATE, "years of exposure"),
        BASE,
        text("corrosivity", METHOD_CLIMATE, "category of the air at that base, C1 to CX"),
        number(
            "rate_g_m2_year",
            "g/(m2 year)",
            2,
            METHOD_CLIMATE,
            "first-year corrosion of bare aluminium at that base; uncertain by -50 % / +100 %",
        ),
        number(
            "exposure_index_g_m2",
            "g/m2",
            2,
            METHOD_CLIMATE,
            "index for ranking, summed over bases; never a loss of the blade",
        ),
        text("basis", METHOD_CLIMATE, "where the rate comes from, and what is assumed"),
    ],
};

pub(super) const LOAD: TableSpec = TableSpec {
    name: "load",
    a_row_is: "one propeller",
    columns: &[
        PROPELLER,
        number("hours_since_overhaul", HOURS, 1, METHOD_DUE, "hours flown since the last overhaul"),
        number(
            "equivalent_hours_since_overhaul",
            "equivalent flight hours",
            0,
            METHOD_FATIGUE,
            "the same, an hour on a thinner blade counting for more (slope of the S-N line: MIL-HDBK-5J from memory, verify against the current edition)",
        ),
        number("equivalent_hours_since_new", "equivalent flight hours", 0, METHOD_FATIGUE, "the same since new"),
        number(
            "revolutions_since_overhaul",
            "revolutions",
            0,
            METHOD_FATIGUE,
            "hours since overhaul * 60 * highest rpm",
        ),
        number(
            "worst_station_pct",
            PERCENT_OF_RADIUS,
            0,
            METHOD_FATIGUE,
            "station from 60 % out with the smallest section modulus retained",
        ),
    ],
};
