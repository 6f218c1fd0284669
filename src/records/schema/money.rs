//! The tables about money.

use super::*;

pub(super) const PRICES: Schema = Schema {
    table: Table::Prices,
    name: "prices",
    a_row_is: "a model's prices",
    absent: "no prices: counts only",
    columns: &[
        required("model", Kind::Text, "Designation"),
        required("overhaul_cost", Kind::Number, "Price of an overhaul"),
        required("replacement_cost", Kind::Number, "Price of a new propeller"),
        optional("rejection_cost", Kind::Number, "What a shop charges when it rejects"),
        optional("removal_cost", Kind::Number, "Off, on, balance and freight"),
        optional("overhaul_days", Kind::Number, "Days away for an overhaul"),
        optional("replacement_days", Kind::Number, "Days until a new one comes"),
        optional("resale", Kind::Number, "What a used one that still passes brings"),
        optional("price_date", Kind::Date, "Day of these prices"),
    ],
    one_of: &[],
    own_date: None,
};

pub(super) const SPEND: Schema = Schema {
    table: Table::Spend,
    name: "spend",
    a_row_is: "an invoice or a credit note, or what of one is about one propeller",
    absent: "no spend: what was spent is known from the cost of visits only",
    columns: &[
        optional("propeller", Kind::Text, "Serial of the propeller; empty when it is for the whole fleet"),
        required("date", Kind::Date, "Day of the invoice"),
        required("kind", Kind::Word(SPEND_KINDS), "What it was for"),
        required("net", Kind::Number, "Sum without tax; below zero for a credit note, which needs a reference"),
        optional("currency", Kind::Text, "Its currency, which must be the fleet's"),
        optional("tax", Kind::Number, "Tax on it"),
        optional("recovered", Kind::Number, "What insurance or warranty paid of it"),
        optional("shop", Kind::Text, "Who wrote it"),
        optional("reference", Kind::Text, "Its number; one number and sum counts once"),
        optional("quote", Kind::Text, "Number of the quote it follows"),
    ],
    one_of: &[],
    own_date: Some("date"),
};
