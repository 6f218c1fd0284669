//! Columns of the tables across the fleet: totals, spent, spent_per_hour, budget_past, prices_paid, replace_or_overhaul.

use super::*;

const METHOD_TOTALS: &str = "method: totals";
const PER_HOUR: &str = "fleet currency per flight hour";
const PER_100_HOURS: &str = "findings per 100 flight hours";

pub(super) const TOTALS: TableSpec = TableSpec {
    name: "totals",
    a_row_is: "one base, model, use, aircraft, shop or year",
    columns: &[
        text("grouped_by", METHOD_TOTALS, "base, model, use, aircraft, shop or year"),
        text("group", METHOD_TOTALS, "which of them; empty where it is not recorded"),
        text("and_by", METHOD_TOTALS, "a second one of these, where it was asked for"),
        text("and_group", METHOD_TOTALS, "which of them"),
        integer("propellers", COUNT, METHOD_TOTALS, "propellers that are flying, spare or at the shop"),
        integer("flying", COUNT, METHOD_TOTALS, "of them flying"),
        integer("tier_1_to_3", COUNT, METHOD_RANKING, "of them in tiers 1 to 3"),
        integer("overdue", COUNT, METHOD_DUE, "of them in service and past a limit"),
        number("overhauls", COUNT, 0, RECORDS, "overhauls on record, those that reject included"),
        integer("rejected", COUNT, RECORDS, "shop visits that rejected"),
        number(
            "share_rejected",
            FRACTION,
            2,
            METHOD_TOTALS,
            "share of the visits with an outcome on record that rejected",
        ),
        number("thickness_removed_in", INCH, 4, METHOD_LOSS, "taken off at a visit, mean over blades and stations"),
        number("width_removed_in", INCH, 4, METHOD_LOSS, "taken off at a visit, mean over blades and stations"),
        integer("findings", COUNT, METHOD_DEFECTS, "findings without strikes, while reports were kept"),
        number("watched_hours", HOURS, 0, METHOD_DEFECTS, "hours flown while reports were kept"),
        number("findings_per_100h", PER_100_HOURS, 2, METHOD_TOTALS, "the one over the other"),
        number("findings_low", PER_100_HOURS, 2, METHOD_TOTALS, "lower 95 % limit (Poisson, exact: Garwood 1936)"),
        number("findings_high", PER_100_HOURS, 2, METHOD_TOTALS, "upper 95 % limit"),
        number(
            "hours_12_months",
            HOURS,
            0,
            METHOD_DUE,
            "hours flown in the last 12 months, of those where they are known",
        ),
        integer("hours_not_known", COUNT, METHOD_TOTALS, "propellers whose hours of the last 12 months are not known"),
        number(
            "margin_fraction",
            FRACTION,
            2,
            METHOD_LOSS,
            "margin as a share of new - minimum, mean over what is measured",
        ),
        number(
            "expected_rejections",
            COUNT,
            1,
            METHOD_REMAINING,
            "rejections expected of the overhauls due within 12 months, overdue ones included",
        ),
        number("expected_cost", MONEY, 0, METHOD_BUDGET, "expected cost of these overhauls, replacements included"),
        integer(
            "chance_not_known",
            COUNT,
            METHOD_TOTALS,
            "propellers of which neither is known and that are not counted in them",
        ),
        number("spent", MONEY, 0, RECORDS, "paid so far without tax, less what was recovered"),
    ],
};

pub(super) const SPENT: TableSpec = TableSpec {
    name: "spent",
    a_row_is: "one year, kind, shop and model that something was paid for",
    columns: &[
        integer("year", "calendar year", RECORDS, "calendar year"),
        text("kind", RECORDS, "overhaul, repair, replacement, removal, inspection, freight or other"),
        text("shop", RECORDS, "who was paid; empty where it is not recorded"),
        text("model", RECORDS, "model of propeller; empty for the whole fleet"),
        integer("payments", COUNT, RECORDS, "invoices, credit notes and costs of visits"),
        number("net", MONEY, 2, RECORDS, "sum without tax"),
        number("tax", MONEY, 2, RECORDS, "tax"),
        number("recovered", MONEY, 2, RECORDS, "what insurance or warranty paid of it"),
        number("spent", MONEY, 0, RECORDS, "net less what was recovered"),
        yes_no("part_of_year", METHOD_TOTALS, "the year is not over on the as-of date"),
    ],
};

pub(super) const SPENT_PER_HOUR: TableSpec = TableSpec {
    name: "spent_per_hour",
    a_row_is: "one propeller that something was paid for",
    columns: &[
        PROPELLER,
        MODEL,
        date(
            "paid_since_date",
            RECORDS,
            "first payment for it, or its first day in service after the fleet's first payment",
        ),
        integer("payments", COUNT, RECORDS, "invoices, credit notes and costs of visits"),
        number("spent", MONEY, 0, RECORDS, "net less what was recovered"),
        number("hours", HOURS, 0, METHOD_DUE, "hours flown since then"),
        number("cost_per_hour", PER_HOUR, 2, METHOD_TOTALS, "the one over the other"),
    ],
};

pub(super) const BUDGET_PAST: TableSpec = TableSpec {
    name: "budget_past",
    a_row_is: "one of the last years",
    columns: &[
        integer("year", "calendar year", METHOD_BUDGET, "calendar year"),
        number(
            "overhauls",
            COUNT,
            1,
            METHOD_BUDGET,
            "overhauls forecast on 1 January of that year from the records of that day",
        ),
        number("overhauls_made", COUNT, 0, RECORDS, "overhauls on record of that year"),
        number("cost_expected", MONEY, 0, METHOD_BUDGET, "expected cost"),
        number("cost_p10", MONEY, 0, METHOD_BUDGET, "cost, 10 % point"),
        number("cost_p90", MONEY, 0, METHOD_BUDGET, "cost, 90 % point"),
        number(
            "spent",
            MONEY,
            0,
            RECORDS,
            "spent on overhauls, replacements, removal and freight in that year, as far as it is recorded",
        ),
        text("against_range", METHOD_BUDGET, "below the range, within it, above it, or year not over"),
    ],
};

pub(super) const PRICES_PAID: TableSpec = TableSpec {
    name: "prices_paid",
    a_row_is: "one model and price",
    columns: &[
        text("model", RECORDS, "model of propeller"),
        text("price", RECORDS, "overhaul or replacement"),
        number("listed", MONEY, 0, RECORDS, "in the table prices, grown to the as-of date"),
        number("paid_p50", MONEY, 0, METHOD_TOTALS, "middle of what was paid in the last 24 months"),
        integer("payments", COUNT, RECORDS, "invoices and costs of visits behind it"),
        number("difference_fraction", FRACTION, 2, METHOD_TOTALS, "paid over listed, less 1"),
        yes_no("off_by_more_than_10_pct", METHOD_TOTALS, "whether the list is off by more than a tenth"),
    ],
};

pub(super) const REPLACE_OR_OVERHAUL: TableSpec = TableSpec {
    name: "replace_or_overhaul",
    a_row_is: "one propeller of the plan",
    columns: &[
        PROPELLER,
        MODEL,
        text("dearer", METHOD_BUDGET, "overhaul, replace, no clear difference, or what is not known"),
        number(
            "overhaul_per_hour_p10",
            PER_HOUR,
            2,
            METHOD_BUDGET,
            "an hour of the life left, overhauled as long as it passes, 10 % point",
        ),
        number("overhaul_per_hour_p50", PER_HOUR, 2, METHOD_BUDGET, "the same, middle"),
        number(
            "overhaul_per_hour_p90",
            PER_HOUR,
            2,
            METHOD_BUDGET,
            "the same, 90 % point; empty when it may not pass once",
        ),
        number(
            "replace_per_hour_p10",
            PER_HOUR,
            2,
            METHOD_BUDGET,
            "an hour of a new one's life, bought now, less the resale, 10 % point",
        ),
        number("replace_per_hour_p50", PER_HOUR, 2, METHOD_BUDGET, "the same, middle"),
        number("replace_per_hour_p90", PER_HOUR, 2, METHOD_BUDGET, "the same, 90 % point"),
    ],
};
