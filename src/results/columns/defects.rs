//! Columns of the tables about damage: findings, defect_rate, mean_cumulative.

use super::*;

pub(super) const FINDINGS: TableSpec = TableSpec {
    name: "findings",
    a_row_is: "one finding of damage",
    columns: &[
        PROPELLER,
        date("found_date", RECORDS, "day it was found"),
        BLADE,
        STATION_PCT,
        text(
            "surface",
            RECORDS,
            "leading_edge, trailing_edge, face (the flat, aft side), camber (the round, forward side), tip or hub",
        ),
        text(
            "kind",
            RECORDS,
            "nick, gouge, scratch, dent, pit, corrosion, erosion, bend, crack, lightning, strike, overspeed or other",
        ),
        number("depth_in", INCH, 3, RECORDS, "its depth"),
        number("length_in", INCH, 3, RECORDS, "its length along the blade"),
        number("width_in", INCH, 3, RECORDS, "its width across the blade"),
        text("action", RECORDS, "none, blended, accepted, shop or scrapped"),
        date("action_date", RECORDS, "day of the action"),
        text("action_by", RECORDS, "who acted"),
        date("recheck_date", RECORDS, "day to look again at an accepted finding"),
        number("rework_depth_in", INCH, 3, RECORDS, "depth that was dressed out, from the original surface"),
        number("rework_length_in", INCH, 3, RECORDS, "length that was dressed out along the blade"),
        yes_no("refinished", RECORDS, "the dressed place got its coat and paint back"),
        STATION_IN,
        text(
            "field_repair",
            METHOD_DEFECTS,
            "within, shop only or not measured, by the field-repair screen in the settings",
        ),
        number("blend_length_in", INCH, 2, METHOD_DEFECTS, "length of blend its depth needs"),
        number("margin_left_in", INCH, 3, METHOD_DEFECTS, "left above the minimum there once it is dressed out"),
        number("stress_mpa", "MPa", 0, METHOD_FATIGUE, "steady stress there from spinning, for information"),
        number(
            "strength_retained",
            FRACTION,
            2,
            METHOD_FATIGUE,
            "share of the fatigue strength kept with the finding as it is; empty beyond the screen",
        ),
        yes_no("open", METHOD_DEFECTS, "still open on the as-of date"),
        text("closed_by", METHOD_DEFECTS, "the record that closed it"),
    ],
};

pub(super) const DEFECT_RATE: TableSpec = TableSpec {
    name: "defect_rate",
    a_row_is: "one propeller",
    columns: &[
        PROPELLER,
        integer("findings_since_overhaul", COUNT, RECORDS, "findings since the last overhaul"),
        integer("findings_total", COUNT, RECORDS, "findings on record"),
        number("hours", HOURS, 0, METHOD_DEFECTS, "hours flown while reports were kept"),
        number(
            "rate_per_100h",
            "findings per 100 flight hours",
            2,
            METHOD_DEFECTS,
            "findings per 100 h, drawn to the fleet's rate where hours are few",
        ),
        number("rate_low", "findings per 100 flight hours", 2, METHOD_DEFECTS, "lower 5 % limit"),
        number("rate_high", "findings per 100 flight hours", 2, METHOD_DEFECTS, "upper 95 % limit"),
        integer("open_findings", COUNT, METHOD_DEFECTS, "findings open on the as-of date"),
        number(
            "trend_p",
            CHANCE,
            3,
            METHOD_DEFECTS,
            "chance of so strong a trend when there is none, allowing for the number of propellers tested",
        ),
        text("repeats", METHOD_DEFECTS, "recurring damage: places with more than one finding"),
    ],
};

pub(super) const MEAN_CUMULATIVE: TableSpec = TableSpec {
    name: "mean_cumulative",
    a_row_is: "one group of propellers and an age in hours",
    columns: &[
        text("group", METHOD_DEFECTS, "all, or a base, or a runway surface"),
        number("hours", HOURS, 0, METHOD_DEFECTS, "age in hours"),
        number("mcf", "findings per propeller", 2, METHOD_DEFECTS, "mean number of findings up to that age"),
        number("low", "findings per propeller", 2, METHOD_DEFECTS, "lower 95 % limit"),
        number("high", "findings per propeller", 2, METHOD_DEFECTS, "upper 95 % limit"),
        integer("at_risk", COUNT, METHOD_DEFECTS, "propellers observed at that age"),
    ],
};
