//! Columns of the tables about metal: loss, blades, margins.

use super::*;

const OVERHAUL_DATE: Column = date("overhaul_date", RECORDS, "date of the shop visit");

pub(super) const LOSS: TableSpec = TableSpec {
    name: "loss",
    a_row_is: "one blade and station of one propeller at one shop visit",
    columns: &[
        PROPELLER,
        OVERHAUL_DATE,
        BLADE,
        STATION_PCT,
        integer("visit_no", COUNT, RECORDS, "shop visits of this propeller so far, this one included"),
        integer(
            "overhaul_no",
            COUNT,
            RECORDS,
            "overhauls of this propeller so far, this one included; empty when the visit was no overhaul",
        ),
        STATION_IN,
        number("thickness_before_in", INCH, 3, RECORDS, "thickness as it came in"),
        number("thickness_after_in", INCH, 3, RECORDS, "thickness as it left"),
        number("thickness_removed_in", INCH, 3, METHOD_LOSS, "taken off at this visit: before - after"),
        number(
            "thickness_service_loss_in",
            INCH,
            3,
            METHOD_LOSS,
            "lost in service since the visit that last measured it: earlier after - before",
        ),
        number(
            "thickness_loss_in",
            INCH,
            3,
            METHOD_LOSS,
            "lost since the visit that last measured it: earlier after - after",
        ),
        integer(
            "thickness_visits_spanned",
            COUNT,
            METHOD_LOSS,
            "visits that the loss spans; more than 1 when a visit in between did not measure it",
        ),
        yes_no("thickness_from_drawing", METHOD_LOSS, "the loss starts at the new dimension, not at a measurement"),
        number("thickness_margin_in", INCH, 3, METHOD_LOSS, "left above the minimum: after - minimum"),
        number("thickness_margin_fraction", FRACTION, 2, METHOD_LOSS, "margin as a share of new - minimum"),
        number("width_before_in", INCH, 3, RECORDS, "width as it came in"),
        number("width_after_in", INCH, 3, RECORDS, "width as it left"),
        number("width_removed_in", INCH, 3, METHOD_LOSS, "taken off at this visit: before - after"),
        number(
            "width_service_loss_in",
            INCH,
            3,
            METHOD_LOSS,
            "lost in service since the visit that last measured it: earlier after - before",
        ),
        number(
            "width_loss_in",
            INCH,
            3,
            METHOD_LOSS,
            "lost since the visit that last measured it: earlier after - after",
        ),
        integer(
            "width_visits_spanned",
            COUNT,
            METHOD_LOSS,
            "visits that the loss spans; more than 1 when a visit in between did not measure it",
        ),
        yes_no("width_from_drawing", METHOD_LOSS, "the loss starts at the new dimension, not at a measurement"),
        number("width_margin_in", INCH, 3, METHOD_LOSS, "left above the minimum: after - minimum"),
        number("width_margin_fraction", FRACTION, 2, METHOD_LOSS, "margin as a share of new - minimum"),
        number(
            "section_modulus_retained",
            FRACTION,
            3,
            METHOD_LOSS,
            "resistance to bending against a new blade: (width / new) * (thickness / new)^2",
        ),
    ],
};

pub(super) const BLADES: TableSpec = TableSpec {
    name: "blades",
    a_row_is: "one station of one model, with its limits as the user copied them",
    columns: &[
        text("model", RECORDS, "model of propeller"),
        STATION_PCT,
        STATION_IN,
        number("width_new_in", INCH, 3, RECORDS, "width when new"),
        number("width_min_in", INCH, 3, RECORDS, "smallest width allowed"),
        number("thickness_new_in", INCH, 3, RECORDS, "thickness when new"),
        number("thickness_min_in", INCH, 3, RECORDS, "smallest thickness allowed"),
    ],
};

pub(super) const MARGINS: TableSpec = TableSpec {
    name: "margins",
    a_row_is: "one blade, station and dimension of one propeller, as of today",
    columns: &[
        PROPELLER,
        BLADE,
        STATION_PCT,
        DIMENSION,
        date("last_measured_date", RECORDS, "visit that last measured it"),
        number(
            "value_in",
            INCH,
            3,
            METHOD_LOSS,
            "the dimension today before dressing since is taken off, as `basis` says",
        ),
        number("minimum_in", INCH, 3, RECORDS, "smallest dimension allowed"),
        number("dressed_since_in", INCH, 3, METHOD_LOSS, "metal dressed out since, where least is left"),
        number(
            "margin_in",
            INCH,
            3,
            METHOD_LOSS,
            "least left above the minimum: value - dressed since - minimum, as recorded",
        ),
        number(
            "margin_worst_in",
            INCH,
            3,
            METHOD_LOSS,
            "the same with a stand-in for dressings whose depth, place or surface is not recorded",
        ),
        number("margin_fraction", FRACTION, 2, METHOD_LOSS, "margin as a share of new - minimum"),
        number(
            "least_at_in",
            INCH,
            2,
            METHOD_LOSS,
            "where least is left, when that is a blend or a reading beside the station",
        ),
        text("basis", METHOD_LOSS, "measured, carried forward, worst of model, from drawing or not known"),
    ],
};
