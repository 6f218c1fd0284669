//! Columns of the tables about money and parts: budget, purchases, out_at_once, reserve, spares.

use super::*;

pub(super) const BUDGET: TableSpec = TableSpec {
    name: "budget",
    a_row_is: "one year, model (`all` for the fleet) and force of the interval (`all`, binding, recommended)",
    columns: &[
        integer("year", "calendar year", METHOD_BUDGET, "calendar year"),
        text("model", RECORDS, "model of propeller, or all"),
        text("interval_force", RECORDS, "binding, recommended or all"),
        number("overhauls", COUNT, 1, METHOD_BUDGET, "expected number of overhauls, those that reject included"),
        number("replacements", COUNT, 1, METHOD_BUDGET, "expected number of replacements"),
        number("cost_expected", MONEY, 0, METHOD_BUDGET, "expected cost"),
        number("cost_p10", MONEY, 0, METHOD_BUDGET, "cost, 10 % point"),
        number("cost_p50", MONEY, 0, METHOD_BUDGET, "cost, middle"),
        number("cost_p90", MONEY, 0, METHOD_BUDGET, "cost, 90 % point"),
    ],
};

pub(super) const PURCHASES: TableSpec = TableSpec {
    name: "purchases",
    a_row_is: "one propeller",
    columns: &[
        PROPELLER,
        MODEL,
        number("reject_chance", CHANCE, 2, METHOD_REMAINING, "chance that the next overhaul rejects it"),
        number("pass_chance", CHANCE, 2, METHOD_REMAINING, "chance that it passes the next overhaul"),
        date("due_date", METHOD_DUE, "when that overhaul is due"),
        date(
            "order_by_date",
            METHOD_BUDGET,
            "last day to order a replacement that arrives in time; the as-of date for one below a minimum or with an open crack",
        ),
        text("order", METHOD_BUDGET, "now, where that day has come or is not known; else by that day"),
        number(
            "replacement_days",
            DAYS,
            0,
            RECORDS,
            "lead time of a new one; one that is not recorded counts as the fleet's longest, else as 180 days (an assumption)",
        ),
        text("replacement_days_basis", RECORDS, "what the lead time is based on"),
        number("cost", MONEY, 0, RECORDS, "price of the replacement"),
        number(
            "expected_saving",
            MONEY,
            0,
            METHOD_BUDGET,
            "expected saving of buying now instead of paying for the rejection; life thrown away is not valued",
        ),
        number(
            "buy_from_chance",
            CHANCE,
            2,
            METHOD_BUDGET,
            "from which reject_chance on cash favours buying now: (replacement - overhaul) / (rejection + replacement - overhaul)",
        ),
    ],
};

pub(super) const OUT_AT_ONCE: TableSpec = TableSpec {
    name: "out_at_once",
    a_row_is: "one month",
    columns: &[
        date("month", METHOD_BUDGET, "first day of the month"),
        number("propellers_out", COUNT, 1, METHOD_BUDGET, "propellers expected to be away, on average over the month"),
        number("p90", COUNT, 0, METHOD_BUDGET, "the same, 90 % point"),
    ],
};

pub(super) const RESERVE: TableSpec = TableSpec {
    name: "reserve",
    a_row_is: "the fleet, one row",
    columns: &[
        number("horizon_years", YEARS, 1, METHOD_BUDGET, "years looked ahead: twice the longest interval"),
        number(
            "long_run_per_hour",
            "fleet currency per flight hour",
            2,
            METHOD_BUDGET,
            "what an hour must set aside in the long run; enough in nine of ten cases",
        ),
        number(
            "needed_today",
            MONEY,
            0,
            METHOD_BUDGET,
            "balance needed today so that this rate never falls short; enough in nine of ten cases",
        ),
        number("opening_balance", MONEY, 0, "the user", "balance given with --opening-balance or in the settings"),
        number(
            "constant_per_hour",
            "fleet currency per flight hour",
            2,
            METHOD_BUDGET,
            "smallest rate that never falls short from that balance; empty when there is none",
        ),
        number(
            "catch_up_sum",
            MONEY,
            0,
            METHOD_BUDGET,
            "expected cost of the work that is overdue already; the other sums contain it",
        ),
        number(
            "catch_up_replacements",
            MONEY,
            0,
            METHOD_BUDGET,
            "up to so much more for replacements of those rejected, scrapped or sold that are still shown on an aircraft; no other sum contains it",
        ),
    ],
};

pub(super) const SPARES: TableSpec = TableSpec {
    name: "spares",
    a_row_is: "one model",
    columns: &[
        text("model", RECORDS, "model of propeller"),
        integer("needed_p50", COUNT, METHOD_BUDGET, "replacements needed within the lead time, middle"),
        integer("needed_p90", COUNT, METHOD_BUDGET, "smallest number that covers them with 90 % chance"),
        integer("within_days", DAYS, RECORDS, "the lead time"),
        integer("on_shelf", COUNT, RECORDS, "spares on the shelf"),
        integer("order_now", COUNT, METHOD_BUDGET, "number to order now"),
    ],
};
