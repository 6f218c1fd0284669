//! Cases added to the demo fleet that each tell one thing. Their serials are stable and their readings do not depend on the seed.
//!
//! Everything about them but the one thing is in order: hours read, inspections made, limits far off.

mod airworthy;
mod clocks;
mod metal;
mod reports;
mod script;

use super::rows::Records;

/// A rental propeller, 2,600 hours and nine years after its overhaul, on a model whose limit of 2,000 hours or 72 months binds.
///
/// To conclude: binding limit passed, before flight, first tier.
pub const RENTAL_PAST_BINDING: &str = "BW-0101";

/// A private propeller, eight years after its overhaul, on a model whose limit is a recommendation, with a good annual
/// inspection six weeks ago.
///
/// To conclude: past a recommended limit, third tier, the inspection stands beside it; below [`RENTAL_PAST_BINDING`].
pub const PRIVATE_PAST_RECOMMENDED: &str = "BW-0102";

/// An exchange unit of unknown history, never measured, no overhaul on record.
///
/// To conclude: margin not known, no overhaul on record; above [`EXCHANGE_NEW`], which is the same in all else.
pub const EXCHANGE_UNKNOWN: &str = "BW-0201";

/// A new propeller of the same model, use, base, day and hours as [`EXCHANGE_UNKNOWN`].
///
/// To conclude: dimensions from the drawing, clock from the day it came, nothing open.
pub const EXCHANGE_NEW: &str = "BW-0202";

/// Three blends at one place of a leading edge since the last overhaul, each within the field-repair screen, together deeper
/// than the width its last sheet leaves there.
///
/// To conclude: margin today below the minimum at blade 1, 75 %, width; first tier, though the sheet looks fine.
pub const THREE_BLENDS: &str = "BW-0301";

/// Shortened from 76 to 74 in and re-pitched at its last overhaul, so it changed model.
///
/// To conclude: the clock restarted at that overhaul; margins go by the limits of the shorter model; no loss is computed
/// across the change; nothing open.
pub const SHORTENED: &str = "BW-0401";

/// Moved between two aircraft, one read by tach, one by Hobbs, whose meter was replaced.
///
/// To conclude: 600 h by tach, 300 h and 420 h by two Hobbs meters, and 18 days between these filled at the use rate; the
/// meters are never subtracted from one another; within both limits.
pub const MOVED: &str = "BW-0501";

/// Struck something, was inspected for it and released; later a gouge on the camber, 1 1/2 in long, was blended in the field.
///
/// To conclude: the strike is closed by its inspection; the blend is beyond the screen and stays open: shop only, first tier.
pub const STRUCK_THEN_BLENDED: &str = "BW-0601";

/// Rejected on its before readings (no after readings were taken), and seen flying on another aircraft half a year later.
///
/// To conclude: last visit rejected and still flying: first tier; its margin is that of the before readings, below the minimum.
pub const REJECTED_YET_FLYING: &str = "BW-0701";

/// The new propeller that took the place of [`REJECTED_YET_FLYING`].
///
/// To conclude: nothing open.
pub const REPLACEMENT: &str = "BW-0702";

/// Two stations of one blade were not measured at the last visit.
///
/// To conclude: both are carried forward, below what their neighbours suggest, never shown as measured.
pub const UNMEASURED_STATIONS: &str = "BW-0801";

/// A thickness of 3.52 in where 0.352 in was meant.
///
/// To conclude: the row is set aside as a slipped decimal; the station is carried forward, not taken as 3.52 or 0.352 in.
pub const SLIPPED_DECIMAL: &str = "BW-0802";

/// A crack was reported on a day that cannot be read (30 February; in Parquet, which has no such day, the date is empty).
///
/// To conclude: a damage report could not be read: first tier.
pub const UNREADABLE_CRACK: &str = "BW-0803";

/// The last annual of its aircraft was not satisfactory and was never signed off; a released repair of the propeller came after.
///
/// To conclude: first tier, whatever the shop released.
pub const ANNUAL_NOT_SIGNED: &str = "BW-0901";

/// A trainer with a good annual, 130 h after its last 100 hour inspection.
///
/// To conclude: 100 hour lapsed, first tier.
pub const HUNDRED_HOUR_LAPSED: &str = "BW-0902";

/// New on an aircraft whose engine was never checked after a strike on the propeller before it.
///
/// To conclude: the check follows the aircraft: first tier for this one, nothing for [`STRUCK_AND_MOVED`].
pub const BEHIND_A_STRUCK_ENGINE: &str = "BW-0903";

/// The propeller that had the strike: overhauled, and on another aircraft since; erosion of 0.004 in was left as it is, and
/// looked at since.
///
/// To conclude: the strike is closed; a small open finding, named; last tier.
pub const STRUCK_AND_MOVED: &str = "BW-0904";

/// The propellers of the telling cases, in order.
pub const ALL: [&str; 17] = [
    RENTAL_PAST_BINDING,
    PRIVATE_PAST_RECOMMENDED,
    EXCHANGE_UNKNOWN,
    EXCHANGE_NEW,
    THREE_BLENDS,
    SHORTENED,
    MOVED,
    STRUCK_THEN_BLENDED,
    REJECTED_YET_FLYING,
    REPLACEMENT,
    UNMEASURED_STATIONS,
    SLIPPED_DECIMAL,
    UNREADABLE_CRACK,
    ANNUAL_NOT_SIGNED,
    HUNDRED_HOUR_LAPSED,
    BEHIND_A_STRUCK_ENGINE,
    STRUCK_AND_MOVED,
];

/// Adds the rows of every telling case.
pub(super) fn add(records: &mut Records) {
    let mut script = script::Script { records };
    clocks::past_limits(&mut script);
    clocks::exchange_units(&mut script);
    clocks::moved_between_aircraft(&mut script);
    metal::three_blends(&mut script);
    metal::shortened(&mut script);
    metal::unmeasured_stations(&mut script);
    metal::slipped_decimal(&mut script);
    reports::struck_then_blended(&mut script);
    reports::rejected_yet_flying(&mut script);
    reports::unreadable_crack(&mut script);
    airworthy::annual_not_signed(&mut script);
    airworthy::hundred_hour_lapsed(&mut script);
    airworthy::struck_engine(&mut script);
}
