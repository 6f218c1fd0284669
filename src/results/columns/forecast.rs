//! Columns of the tables about overhauls to come: cycles, remaining, outlook, backtest, fits.

use super::*;

pub(super) const CYCLES: TableSpec = TableSpec {
    name: "cycles",
    a_row_is: "one overhaul of one propeller in one dimension, as the fit sees it",
    columns: &[
        PROPELLER,
        date("overhaul_date", RECORDS, "date of the overhaul that ends the cycle"),
        DIMENSION,
        number(
            "mean_loss_in",
            INCH,
            4,
            METHOD_REMAINING,
            "loss from overhaul to overhaul, mean over blades and stations, freed from the stations' own offsets",
        ),
        number(
            "blended_in",
            INCH,
            4,
            METHOD_REMAINING,
            "of mean_loss_in, what blends took as far as a gauge feels it; the rest is wear, and fitted",
        ),
        integer(
            "overhauls_spanned",
            COUNT,
            METHOD_REMAINING,
            "overhauls that the loss spans; more than 1 when one in between did not measure it",
        ),
        yes_no("from_drawing", METHOD_REMAINING, "the loss starts at the new dimension, not at a measurement"),
        integer("readings", COUNT, METHOD_REMAINING, "blades and stations behind the mean"),
        number(
            "weight",
            "weight",
            2,
            METHOD_REMAINING,
            "weight in the fit: below 1 for a cycle from drawing, the overhauls spanned for one that spans several",
        ),
    ],
};

pub(super) const REMAINING: TableSpec = TableSpec {
    name: "remaining",
    a_row_is: "one propeller that is flying, spare or at the shop",
    columns: &[
        PROPELLER,
        MODEL,
        AIRCRAFT,
        integer("overhauls_recorded", COUNT, RECORDS, "overhauls on record"),
        column(
            "limiting_blade",
            ColumnKind::Blade,
            "blade number",
            None,
            METHOD_REMAINING,
            "blade of the point with the smallest chance of passing the next overhaul",
        ),
        number("limiting_station_pct", PERCENT_OF_RADIUS, 0, METHOD_REMAINING, "station of that point"),
        text("limiting_dimension", METHOD_REMAINING, "width or thickness of that point"),
        number("limiting_margin_in", INCH, 3, METHOD_LOSS, "left above the minimum at that point today"),
        number("expected_loss_in", INCH, 4, METHOD_REMAINING, "loss expected in one cycle at that point"),
        number(
            "reject_chance_next",
            CHANCE,
            2,
            METHOD_REMAINING,
            "chance that the next overhaul rejects it by its dimensions",
        ),
        number(
            "reject_chance_next_any",
            CHANCE,
            2,
            METHOD_REMAINING,
            "chance that the next overhaul rejects it for any cause",
        ),
        number(
            "remaining_p10",
            "overhauls",
            1,
            METHOD_REMAINING,
            "overhauls left by its dimensions, counted to 20, 10 % point: nine in ten like it pass at least as many",
        ),
        number(
            "remaining_p50",
            "overhauls",
            1,
            METHOD_REMAINING,
            "overhauls left by its dimensions, counted to 20, middle of the forecast",
        ),
        number(
            "remaining_p90",
            "overhauls",
            1,
            METHOD_REMAINING,
            "overhauls left by its dimensions, counted to 20, 90 % point: at most one in ten like it passes more",
        ),
        number(
            "remaining_mean",
            "overhauls",
            1,
            METHOD_REMAINING,
            "overhauls left by its dimensions, counted to 20, mean of the forecast",
        ),
        date(
            "rejection_date",
            METHOD_REMAINING,
            "date of the first overhaul that it passes with a chance of one half or less, by its dimensions",
        ),
        text("basis", METHOD_REMAINING, "what the forecast is based on, and what makes it weaker"),
    ],
};

pub(super) const OUTLOOK: TableSpec = TableSpec {
    name: "outlook",
    a_row_is: "one propeller and a number of overhauls ahead, 1 to 20",
    columns: &[
        PROPELLER,
        integer("overhauls_ahead", COUNT, METHOD_REMAINING, "overhauls from now, 1 is the next"),
        number("pass_chance", CHANCE, 2, METHOD_REMAINING, "chance of passing this many by its dimensions"),
        number(
            "pass_chance_any",
            CHANCE,
            2,
            METHOD_REMAINING,
            "chance of passing this many with other causes of rejection counted",
        ),
        date("overhaul_date", METHOD_DUE, "expected date of that overhaul"),
    ],
};

pub(super) const BACKTEST: TableSpec = TableSpec {
    name: "backtest",
    a_row_is: "one score of the forecast method on this fleet's own past overhauls",
    columns: &[
        text("kind", METHOD_REMAINING, "what is scored"),
        text("group", METHOD_REMAINING, "part of the fleet: all, or a shop, use, base or band of hours"),
        number("level", FRACTION, 2, METHOD_REMAINING, "level of the interval, or upper end of the bin"),
        integer("count", COUNT, METHOD_REMAINING, "past overhauls scored"),
        number("expected", "as the kind says", 2, METHOD_REMAINING, "what a sound forecast would show"),
        number("expected_sd", "as the kind says", 2, METHOD_REMAINING, "standard deviation of that by chance alone"),
        number("observed", "as the kind says", 2, METHOD_REMAINING, "what the past overhauls showed"),
    ],
};

pub(super) const FITS: TableSpec = TableSpec {
    name: "fits",
    a_row_is: "one dimension of one pool of propellers that are fitted together",
    columns: &[
        text("pool", METHOD_REMAINING, "fleet, or the model when it has a pool of its own"),
        DIMENSION,
        number("mean_loss_in", INCH, 4, METHOD_REMAINING, "mean loss of a cycle"),
        number("between_sd_in", INCH, 4, METHOD_REMAINING, "standard deviation between propellers"),
        number("within_sd_in", INCH, 4, METHOD_REMAINING, "standard deviation between the cycles of one propeller"),
        number(
            "station_sd_in",
            INCH,
            4,
            METHOD_REMAINING,
            "standard deviation between blades and stations at one overhaul, gauge error taken out",
        ),
        number("gauge_sd_in", INCH, 4, METHOD_REMAINING, "standard deviation of the gauge error of one reading"),
        number(
            "lasting_sd_in",
            INCH,
            4,
            METHOD_REMAINING,
            "standard deviation of what one blade and station always loses more or less",
        ),
        number(
            "first_cycle_shift_in",
            INCH,
            4,
            METHOD_REMAINING,
            "by how much first cycles from drawing differ from the others",
        ),
        number(
            "slope_in",
            INCH,
            5,
            METHOD_REMAINING,
            "by how much losses rise from one overhaul to the next within propellers, as measured",
        ),
        number("slope_se_in", INCH, 5, METHOD_REMAINING, "standard error of slope_in"),
        number(
            "slope_used_in",
            INCH,
            5,
            METHOD_REMAINING,
            "what the forecast adds an overhaul: never below 0, held towards 0 while the records do not tell",
        ),
        number(
            "blend_felt",
            FRACTION,
            3,
            METHOD_REMAINING,
            "share of a blend's metal that a gauge at a station within 1 in feels (beta)",
        ),
        number("blend_felt_sd", FRACTION, 3, METHOD_REMAINING, "standard deviation of blend_felt"),
        number(
            "blend_felt_far",
            FRACTION,
            3,
            METHOD_REMAINING,
            "the same of blends farther away, at the station nearest to them",
        ),
        number("blend_felt_far_sd", FRACTION, 3, METHOD_REMAINING, "standard deviation of blend_felt_far"),
        number(
            "held_to_raw_in",
            INCH,
            5,
            METHOD_REMAINING,
            "added to the expected loss so that wear and blends together are never less than the mean loss with blends in it",
        ),
        integer("cycles", COUNT, METHOD_REMAINING, "cycles in the fit"),
        integer("propellers", COUNT, METHOD_REMAINING, "propellers in the fit"),
        number(
            "other_chance",
            CHANCE,
            2,
            METHOD_REMAINING,
            "chance of rejection for another cause than dimensions at one overhaul, over the whole fleet",
        ),
        number(
            "correlation",
            "correlation, -1 to 1",
            2,
            METHOD_REMAINING,
            "between losses of width and thickness at one overhaul",
        ),
    ],
};
