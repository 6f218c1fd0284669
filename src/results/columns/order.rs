//! Columns of the tables about what comes first and what is missing: ranking, gaps.

use super::*;

pub(super) const RANKING: TableSpec = TableSpec {
    name: "ranking",
    a_row_is: "one propeller that is flying, spare or at the shop",
    columns: &[
        PROPELLER,
        text("list", METHOD_RANKING, "flying, at shop or spare; each list has its own order"),
        MODEL,
        integer("rank", PLACE_FROM_1, METHOD_RANKING, "place in its list"),
        integer(
            "tier",
            "tier, 1 to 6",
            METHOD_RANKING,
            "1 mechanic required before flight; 2 dress before next flight; 3 past a recommended limit or no overhaul on record; 4 record too thin; 5 plan now; 6 nothing urgent on record",
        ),
        text("reason", METHOD_RANKING, "why it stands there"),
        number("score", "points of 100", 0, METHOD_RANKING, "score from time, climate and defects"),
        number("time_part", FRACTION, 2, METHOD_RANKING, "part for time since overhaul; 0.5 is at the limit"),
        number("climate_part", FRACTION, 2, METHOD_RANKING, "part for climate exposure; 0.5 is at the reference"),
        number("defect_part", FRACTION, 2, METHOD_RANKING, "part for defect history; 0.5 is the fleet's mean"),
        integer("score_rank", PLACE_FROM_1, METHOD_RANKING, "place by the score alone"),
        integer(
            "score_rank_low",
            PLACE_FROM_1,
            METHOD_RANKING,
            "5 % point of that place when weights and rates are varied",
        ),
        integer("score_rank_high", PLACE_FROM_1, METHOD_RANKING, "95 % point of that place"),
        AIRCRAFT,
        USE,
        BASE,
        text("next_step", METHOD_RANKING, "what to do next"),
        text(
            "seen",
            RECORDS,
            "who has seen its reasons, on which day and until when; inside a tier what nobody has seen goes first",
        ),
    ],
};

pub(super) const OPEN: TableSpec = TableSpec {
    name: "open",
    a_row_is: "one open finding, or one inspection or event check that is not in order",
    columns: &[
        PROPELLER,
        text("matter", METHOD_RANKING, "finding, recheck (to be looked at again now), inspection or event"),
        integer("tier", "tier, 1 to 6", METHOD_RANKING, "the tier it would put the propeller in by itself"),
        text("reason", METHOD_RANKING, "what it is"),
        text("next_step", METHOD_RANKING, "what to do about it"),
        AIRCRAFT,
        USE,
        BASE,
    ],
};

pub(super) const GAPS: TableSpec = TableSpec {
    name: "gaps",
    a_row_is: "one thing missing from the record of one propeller",
    columns: &[
        PROPELLER,
        text("what", RECORDS, "what is missing"),
        text("why_it_matters", RECORDS, "what cannot be said without it"),
        text("where_to_find_it", "common practice, no source", "where such a record usually lies"),
    ],
};
