//! The closed lists of words.

/// Words of `propellers.use`.
pub const USES: &[&str] = &["training", "rental", "club", "private", "other"];
/// Words of `propellers.acquired`.
pub const ACQUIRED: &[&str] = &["new", "overhauled", "used", "unknown"];
/// Words of `propellers.status`.
pub const STATUSES: &[&str] = &["flying", "spare", "at shop", "scrapped", "sold"];
/// Words of `interval_force`.
pub const FORCES: &[&str] = &["binding", "recommended", "none"];
/// Words of `models.interval_rule`.
pub const RULES: &[&str] = &["same_day", "month_end"];
/// Words of `models.interval_from`.
pub const FROM: &[&str] = &["release", "installation"];
/// Words of `overhauls.work`.
pub const WORKS: &[&str] = &["overhaul", "repair", "repitch", "shorten", "dimensional inspection", "strike inspection"];
/// Words of `overhauls.outcome`.
pub const OUTCOMES: &[&str] = &["released", "rejected"];
/// Words of `overhauls.reject_reason`.
pub const REJECT_REASONS: &[&str] = &["dimension", "crack", "corrosion", "bend", "hub", "other"];
/// Words of `overhauls.reason`.
pub const REASONS: &[&str] = &["scheduled", "damage", "corrosion", "strike", "other"];
/// Words of yes or no.
pub const YES_NO: &[&str] = &["yes", "no"];
/// Words of `defects.surface`.
pub const SURFACES: &[&str] = &["leading_edge", "trailing_edge", "face", "camber", "tip", "hub"];
/// Words of `defects.kind`.
pub const DEFECT_KINDS: &[&str] = &[
    "nick",
    "gouge",
    "scratch",
    "dent",
    "pit",
    "corrosion",
    "erosion",
    "bend",
    "crack",
    "lightning",
    "strike",
    "overspeed",
    "other",
];
/// Words of `defects.action`.
pub const ACTIONS: &[&str] = &["none", "blended", "accepted", "shop", "scrapped"];
/// Words of `inspections.kind`.
pub const INSPECTIONS: &[&str] = &["annual", "100 hour", "condition", "other"];
/// Words of `inspections.result`.
pub const RESULTS: &[&str] = &["satisfactory", "not"];
/// Words of `event_checks.scope`.
pub const SCOPES: &[&str] = &["propeller", "engine", "mount", "crack"];
/// Words of `event_checks.method`.
pub const METHODS: &[&str] =
    &["penetrant", "eddy current", "magnetic particle", "visual", "run-out", "teardown", "other"];
/// Words of `event_checks.result`.
pub const CHECK_RESULTS: &[&str] = &["satisfactory", "none found", "not"];
/// Words of `rechecks.result`.
pub const RECHECK_RESULTS: &[&str] = &["unchanged", "worse", "gone"];
/// Words of `bases.corrosivity`.
pub const CORROSIVITY: &[&str] = &["C1", "C2", "C3", "C4", "C5", "CX"];
/// Words of `bases.air`.
pub const AIR: &[&str] = &["dry inland", "rural", "town", "industrial", "coast", "sea front"];
/// Words of `bases.surface`.
pub const RUNWAYS: &[&str] = &["paved", "grass", "gravel", "water"];
/// Words of `kept_at.kept`.
pub const KEPT: &[&str] = &["outside", "hangar"];
/// Words of `spend.kind`.
pub const SPEND_KINDS: &[&str] = &["overhaul", "repair", "replacement", "removal", "inspection", "freight", "other"];

/// Whether a column of this name holds hours of flight.
pub fn holds_hours(column: &str) -> bool {
    column == "hours" || column.starts_with("hours_") || column.ends_with("_hours")
}

/// Whether a text column holds words for people only, not a name that other rows refer to.
pub fn is_free_text(column: &str) -> bool {
    matches!(
        column,
        "shop"
            | "source"
            | "revision"
            | "by"
            | "action_by"
            | "cleared_by"
            | "reference"
            | "quote"
            | "reason"
            | "decision"
            | "aircraft_model"
            | "engine"
    )
}
