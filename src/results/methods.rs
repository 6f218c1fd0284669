//! The methods behind the results, and what each rests on: for `run.json` and for the page.

/// The methods behind the results, and what each rests on.
pub const METHODS: &[(&str, &str)] = &[
    ("material loss", "differences of the shop's before and after readings, visit by visit"),
    (
        "margins today",
        "last reading less the minimum the user copied from the maker's current manual, less metal dressed out since; what was not measured is carried forward at the loss the forecast expects and two standard deviations",
    ),
    (
        "due dates",
        "the maker's hours and months as the user gave them, the use rate of the propeller's own readings, else the 75th percentile of the fleet's same use",
    ),
    (
        "climate exposure",
        "ISO 9223:2012 dose-response function for aluminium and ISO 9224:2012 growth (from memory, verify against the current edition); an index for ranking, never a loss of the blade",
    ),
    (
        "findings",
        "field-repair screen of the settings (defaults AC 20-37E and AC 43.13-1B, from memory, verify against the current edition)",
    ),
    (
        "rate of findings",
        "Gamma-Poisson, prior by marginal maximum likelihood over the fleet, averaged over a grid below 100 propellers; Laplace test for trend, Holm-adjusted; Nelson's mean cumulative function",
    ),
    (
        "load exposure",
        "hours weighed by (1 / section modulus retained)^m, S-N slope of 2014-T6 (MIL-HDBK-5J, from memory, verify against the current edition)",
    ),
    ("ranking", "tiers first; score of time, climate and defects with the weights of the settings (assumptions)"),
    (
        "budget",
        "dynamic programming over months, simulated fleets for what may happen; prices and intervals as the user gave them; what a shop and year share from the records, else an assumption",
    ),
    (
        "totals",
        "sums and means over the rows of other results; exact Poisson limits of a rate (Garwood 1936); what is not known is counted apart",
    ),
    (
        "money spent",
        "invoices, credit notes and costs of visits, each once; years past held against the plan made from the records of their 1 January; an hour of an old and of a new propeller by the chances of the plan",
    ),
    (
        "overhauls left",
        "losses from overhaul to overhaul over the pool, the ratio of their variances between and within propellers integrated out; the chance that every margin survives them, by dimensions; tested on the fleet's own past overhauls; 0.008 in of thickness where nothing is recorded (common practice, no source)",
    ),
];
