//! The rules that set a row aside or earn it a caution, in the words people read.

mod looks_like;

use std::borrow::Cow;

pub use looks_like::LooksLike;

use super::reading::Fault;
pub(super) use super::written::offered;
pub use super::written::one_of;
use super::written::{hours, set_inches};
use crate::settings::CheckSettings;
use crate::tables::source::BrokenRecord;

/// Why a row was set aside. Its text is the rule, its remedy what to do.
#[derive(Debug, Clone, PartialEq)]
pub enum Rule {
    /// The record could not be cut into the header's fields.
    Record(BrokenRecord),
    /// A cell could not be read; the text says what was expected.
    Unreadable(Fault, Box<str>),
    /// A required cell is empty.
    NotRecorded,
    /// All of a group of cells, one of which is required, are empty.
    NoneOfRecorded(&'static [&'static str]),
    /// The propeller is not listed.
    UnknownPropeller {
        /// The nearest that is.
        nearest: Option<Box<str>>,
    },
    /// The propeller is listed, but its first day on the record is later than the as-of date.
    PropellerNotYetListed,
    /// The base is not listed.
    UnknownBase {
        /// The nearest that is.
        nearest: Option<Box<str>>,
    },
    /// The aircraft is named nowhere else.
    UnknownAircraft {
        /// The nearest that is.
        nearest: Option<Box<str>>,
    },
    /// No finding of that propeller, day and place.
    NoSuchFinding {
        /// The days of the findings on record.
        days: Box<str>,
    },
    /// After is greater than before at one visit.
    AfterAboveBefore {
        /// The gauge error allowed for, in inches.
        allowed_in: f64,
    },
    /// A blade the model does not have.
    BladeBeyondCount {
        /// Blades of the model.
        blades: u8,
    },
    /// A station that `limits` does not list for the model.
    StationNotListed {
        /// The stations it does list.
        listed: Box<str>,
    },
    /// Percent and distance name two different stations.
    StationsDisagree,
    /// Percent beyond the blade.
    StationOffBlade,
    /// A date before 1930.
    Before1930,
    /// Zero or negative.
    NotPositive,
    /// Below zero.
    Negative,
    /// A minimum above the new dimension.
    MinimumAboveNew,
    /// A dimension above new by more than is allowed.
    AboveNew {
        /// The new dimension.
        new_in: f64,
        /// What it looks like.
        looks_like: LooksLike,
    },
    /// A dimension under half of new.
    UnderHalfOfNew {
        /// The new dimension.
        new_in: f64,
        /// What it looks like.
        looks_like: LooksLike,
    },
    /// A defect deeper than the blade is thick.
    DeeperThanBlade {
        /// The new thickness there.
        thickness_in: f64,
    },
    /// Another row has the same key and says something else.
    ConflictingRow {
        /// File and line of the other.
        other: Box<str>,
    },
    /// A reading of hours that contradicts those before and after it, which agree.
    HoursThatCannotBe,
    /// A credit note without a number.
    CreditWithoutReference,
    /// Money in another currency than the fleet's.
    OtherCurrency {
        /// The fleet's.
        fleet: Box<str>,
    },
    /// Outside what can be.
    OutOfRange {
        /// From.
        low: f64,
        /// To.
        high: f64,
    },
}

fn inches(value: f64) -> String {
    format!("{value:.3} in")
}

impl Rule {
    /// The rule in words.
    pub(super) fn text(&self) -> String {
        match self {
            Rule::Record(BrokenRecord::TooFewFields { found, expected }) => {
                format!("the row has {found} fields, the header {expected}")
            }
            Rule::Record(BrokenRecord::TooManyFields { found, expected }) => {
                format!("the row has {found} fields, the header {expected}")
            }
            Rule::Record(BrokenRecord::StrayQuote) => {
                "a quotation mark inside a field, or one that never closes".to_string()
            }
            Rule::Record(BrokenRecord::NotUtf8 { offset }) => {
                format!("the row is not UTF-8 at byte {offset} of the file")
            }
            Rule::Unreadable(fault, expected) => fault.text(expected),
            Rule::NotRecorded => "a required value is not recorded".to_string(),
            Rule::NoneOfRecorded(columns) => format!("none of {} is recorded", columns.join(", ")),
            Rule::UnknownPropeller { .. } => "the propeller is not listed in `propellers`".to_string(),
            Rule::PropellerNotYetListed => "the propeller is not on record yet at the as-of date".to_string(),
            Rule::UnknownBase { .. } => "the base is not listed in `bases`".to_string(),
            Rule::UnknownAircraft { .. } => {
                "no propeller is recorded on this aircraft, and it has no readings".to_string()
            }
            Rule::NoSuchFinding { .. } => "`defects` has no such finding of this propeller".to_string(),
            Rule::AfterAboveBefore { allowed_in } => {
                format!("after is greater than before by more than {} (metal does not grow)", set_inches(*allowed_in))
            }
            Rule::BladeBeyondCount { blades } => format!("the model has {blades} blades"),
            Rule::StationNotListed { .. } => "`limits` does not list this station for the model".to_string(),
            Rule::StationsDisagree => "station_pct and station name two different places".to_string(),
            Rule::StationOffBlade => "the station lies beyond the blade".to_string(),
            Rule::Before1930 => "a date before 1930".to_string(),
            Rule::NotPositive => "zero or negative".to_string(),
            Rule::Negative => "below zero".to_string(),
            Rule::MinimumAboveNew => "the minimum is above the new dimension".to_string(),
            Rule::AboveNew { new_in, .. } => {
                format!("larger than a new blade there ({})", inches(*new_in))
            }
            Rule::UnderHalfOfNew { new_in, .. } => {
                format!("under half of a new blade there ({})", inches(*new_in))
            }
            Rule::DeeperThanBlade { thickness_in } => {
                format!("deeper than the blade is thick there ({})", inches(*thickness_in))
            }
            Rule::ConflictingRow { other } => {
                format!("another row has the same key and says something else ({other})")
            }
            Rule::HoursThatCannotBe => {
                "hours that cannot be: the readings before and after it agree without it".to_string()
            }
            Rule::CreditWithoutReference => "a credit note (net below zero) without a reference".to_string(),
            Rule::OtherCurrency { fleet } => format!("another currency than the fleet's ({fleet})"),
            Rule::OutOfRange { low, high } => format!("outside {low} to {high}"),
        }
    }

    /// What to do about it; `settings` says where the fleet's settings stand.
    pub(super) fn remedy(&self, settings: &str) -> String {
        match self {
            Rule::Record(BrokenRecord::TooFewFields { .. }) => {
                "add the missing separators; an empty field is fine".to_string()
            }
            Rule::Record(BrokenRecord::TooManyFields { .. }) => {
                "put quotation marks around a field that holds the separator".to_string()
            }
            Rule::Record(BrokenRecord::StrayQuote) => {
                "close the quotation mark, or double one that belongs to the text".to_string()
            }
            Rule::Record(BrokenRecord::NotUtf8 { .. }) => "save the table as CSV in UTF-8".to_string(),
            Rule::Unreadable(fault, _) => fault.remedy(settings),
            Rule::NotRecorded => "fill the cell from the paper record".to_string(),
            Rule::NoneOfRecorded(_) => "fill one of them from the paper record".to_string(),
            Rule::UnknownPropeller { nearest } => match nearest {
                Some(nearest) => {
                    format!("add it to `propellers`, or correct the serial; the nearest listed is {nearest}")
                }
                None => "add it to `propellers`, or correct the serial".to_string(),
            },
            Rule::PropellerNotYetListed => "nothing, if its in_service_date is right".to_string(),
            Rule::UnknownBase { nearest } => match nearest {
                Some(nearest) => {
                    format!("add it to `bases`, or correct the name; the nearest listed is {nearest}")
                }
                None => "add it to `bases`, or correct the name".to_string(),
            },
            Rule::UnknownAircraft { nearest } => match nearest {
                Some(nearest) => format!("correct the name, or write it in `fitted`; the nearest named is {nearest}"),
                None => "correct the name, or write it in `fitted`".to_string(),
            },
            Rule::NoSuchFinding { days } if days.is_empty() => {
                "write the finding into `defects`, or correct the serial".to_string()
            }
            Rule::NoSuchFinding { days } => {
                format!("give the finding's own date, blade and station; findings are of {days}")
            }
            Rule::AfterAboveBefore { .. } => "compare both readings with the shop's sheet".to_string(),
            Rule::BladeBeyondCount { .. } => "correct the blade number, or the model's blade count".to_string(),
            Rule::StationNotListed { listed } => {
                format!("correct the station, or add its limits; listed are {listed}")
            }
            Rule::StationsDisagree => "keep the one the sheet gives and empty the other".to_string(),
            Rule::StationOffBlade => {
                "give the percent of the radius, 0 to 100, or the distance from the hub centre".to_string()
            }
            Rule::Before1930 => "correct the year".to_string(),
            Rule::NotPositive | Rule::Negative => {
                "correct the value, or leave it empty when it was not measured".to_string()
            }
            Rule::MinimumAboveNew => "compare both figures with the maker's current manual".to_string(),
            Rule::AboveNew { looks_like, .. } | Rule::UnderHalfOfNew { looks_like, .. } => match looks_like {
                LooksLike::SlippedDecimal | LooksLike::LostDecimal => {
                    "it looks like a slipped decimal point; compare with the shop's sheet"
                }
                LooksLike::Millimetres => "it looks like millimetres in an inch column; name the column _mm or convert",
                LooksLike::Thousandths => {
                    "it looks like thousandths in an inch column; name the column _thou or convert"
                }
                LooksLike::Unclear => "compare with the shop's sheet and the model's limits",
            }
            .to_string(),
            Rule::DeeperThanBlade { .. } => {
                "correct the depth; until then the propeller waits for a mechanic".to_string()
            }
            Rule::ConflictingRow { .. } => {
                "keep the right one; until then the less favourable value of each cell counts".to_string()
            }
            Rule::HoursThatCannotBe => "correct the reading, or its date, from the log".to_string(),
            Rule::CreditWithoutReference => "write the number of the credit note".to_string(),
            Rule::OtherCurrency { fleet } => format!("write what it was in {fleet}, and {fleet} as its currency"),
            Rule::OutOfRange { .. } => "correct the value".to_string(),
        }
    }
}

/// Something that looks wrong about a row that is used all the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Doubt {
    /// Equal rows.
    IdenticalRows,
    /// A date before the propeller's first day on the record.
    BeforeInService,
    /// Metal that grew between two visits.
    GrewBetweenVisits,
    /// Hours that run backwards.
    HoursBackwards,
    /// More hours a year than the setting allows.
    HoursTooMany,
    /// Hours that cannot be right beside the reading before.
    HoursContradict,
    /// A visit at which some blades or stations were not measured.
    PartlyMeasured,
    /// A visit at which nothing was measured.
    NotMeasured,
    /// Blades that look exchanged on the sheet.
    BladesExchanged,
    /// Read at a place that `limits` does not list.
    BetweenStations,
    /// Twelve months without a reading of hours.
    ReadingGap,
    /// Track beyond the limit.
    TrackBeyondLimit,
    /// Repairs that line up across the blade at one radius.
    RepairsLineUp,
    /// A released dimension as close to its minimum as the setting says.
    AtTheLimit,
    /// A scrapped or rejected propeller with later hours or fittings.
    LaterHours,
    /// A fitting to an aircraft on which the fitting of another propeller has not ended.
    OtherNotEnded,
    /// A fitting that has not ended, of a propeller that is not flying by its status.
    FittedNotFlying,
    /// A cell that could not be read and counts as not recorded.
    CellNotRecorded,
    /// A model that is not defined.
    UndefinedModel,
    /// A base that is not defined.
    UndefinedBase,
    /// An aircraft without readings.
    UndefinedAircraft,
    /// A propeller named as a replacement that is not listed.
    UndefinedReplacement,
    /// Measurements whose date lies near a visit, not on it.
    MatchedNearby,
    /// Measurements without any visit.
    WithoutVisit,
    /// A visit that could not be used.
    VisitNotUsed,
    /// A damage report that could not be used.
    ReportNotUsed,
    /// A column that is not known.
    UnknownColumn,
    /// Shortened or re-pitched without a change of designation.
    NoNewDesignation,
    /// An empty cell in a column of outcomes.
    NoOutcome,
    /// An empty cell in a column of work done.
    NoWork,
    /// A limits row that could not be used.
    LimitsNotUsed,
    /// A minimum that is not recorded beside its new dimension.
    MinimumStandsIn,
    /// Limits of a model that nothing else names and that looks misspelt.
    LimitsOfNoModel,
    /// A table without rows.
    NoRows,
    /// A column of results without any filled cell.
    NoResults,
    /// An inspection's next date or reading lies beyond the longest interval of its kind.
    NextBeyondInterval,
    /// A clearing without a name, or before the inspection.
    NotCleared,
    /// A check before its event.
    CheckBeforeEvent,
    /// A check that fits no event, or more than one.
    CheckOfNoEvent,
    /// An inspection that could not be used.
    InspectionNotUsed,
    /// The cost of one visit in `overhauls` and in `spend`.
    CostInBoth,
    /// One invoice written twice.
    PaidTwice,
    /// A decision without reason, name or end.
    DecisionIncomplete,
    /// A decision that ends before it was made.
    EndsBeforeDecision,
    /// A return from a shop before the day it was sent.
    BackBeforeSent,
    /// Sent to a shop before it came off its aircraft.
    SentBeforeRemoved,
    /// Sent to a shop, and flying by its status.
    SentYetFlying,
}

impl Doubt {
    /// The rule in words, with the settings in force.
    pub fn text(self, checks: &CheckSettings) -> Cow<'static, str> {
        let text = match self {
            Doubt::IdenticalRows => "equal rows, kept once",
            Doubt::BeforeInService => "a date before the propeller's in_service_date",
            Doubt::GrewBetweenVisits => "metal grew between two visits",
            Doubt::HoursBackwards => "hours run backwards",
            Doubt::HoursTooMany => return format!("more than {} hours a year", hours(checks.hours_per_year)).into(),
            Doubt::HoursContradict => "hours that cannot be right beside the reading before",
            Doubt::PartlyMeasured => "some blades or stations were not measured at this visit",
            Doubt::NotMeasured => "nothing was measured at this visit",
            Doubt::BladesExchanged => "the blades look exchanged on this sheet",
            Doubt::BetweenStations => {
                "measured at a place that `limits` does not list: held against limits between its neighbours, and in no loss"
            }
            Doubt::ReadingGap => "twelve months or more without a reading of hours",
            Doubt::TrackBeyondLimit => "track is beyond its limit",
            Doubt::RepairsLineUp => "repairs line up across the blade",
            Doubt::AtTheLimit => {
                let near = set_inches(checks.at_limit_in);
                return format!("at the limit: a released dimension within {near} of its minimum").into();
            }
            Doubt::LaterHours => "scrapped or rejected, with later hours or a later fitting",
            Doubt::OtherNotEnded => "the fitting of another propeller on this aircraft has not ended",
            Doubt::FittedNotFlying => "on an aircraft today, but not flying by its status; it counts as flying",
            Doubt::CellNotRecorded => {
                "a cell could not be read; it counts as not recorded, or as the word that looks less safe"
            }
            Doubt::UndefinedModel => "the model is not defined, so it counts as not known",
            Doubt::UndefinedBase => "the base is not defined, so it counts as not known",
            Doubt::UndefinedAircraft => "the aircraft has no readings, so it counts as not known",
            Doubt::UndefinedReplacement => "the propeller named as replacement is not listed",
            Doubt::MatchedNearby => "the measurements' date is near the visit's, not equal",
            Doubt::WithoutVisit => "measurements without a shop visit",
            Doubt::VisitNotUsed => "a shop visit of this propeller could not be used",
            Doubt::ReportNotUsed => "a damage report of this propeller could not be read",
            Doubt::UnknownColumn => "the column is not known and is ignored",
            Doubt::NoNewDesignation => "shortened or re-pitched, but the designation did not change",
            Doubt::NoOutcome => "the outcome of this visit is not recorded",
            Doubt::NoWork => "the work of this visit is not recorded",
            Doubt::LimitsNotUsed => "limits of this model could not be used",
            Doubt::MinimumStandsIn => "a minimum is not recorded; the tightest known of that model counts",
            Doubt::LimitsOfNoModel => {
                "nothing else names this model and it has fewer rows than any in use, so they may be any model's"
            }
            Doubt::NoRows => "no rows, so it counts as a table that is not there",
            Doubt::NoResults => "no result is filled in, so every inspection counts as satisfactory",
            Doubt::NextBeyondInterval => {
                "the next date or reading lies beyond the longest interval of its kind, which counts"
            }
            Doubt::NotCleared => "a clearing needs a date on or after the inspection and a name, so it is not cleared",
            Doubt::CheckBeforeEvent => "the check lies before its event and shows nothing",
            Doubt::CheckOfNoEvent => {
                "no event of that day, or more than one within 30 days, so the check shows nothing"
            }
            Doubt::CostInBoth => "the cost of a visit stands in `overhauls` and in `spend`, and counts once",
            Doubt::PaidTwice => "an invoice of this number, kind and sum is there already, and counts once",
            Doubt::InspectionNotUsed => "an inspection that could not be read and may not have been satisfactory",
            Doubt::DecisionIncomplete => "a decision without a reason, a name or an end, so nothing is shown as seen",
            Doubt::EndsBeforeDecision => "the decision ends before it was made, so nothing is shown as seen",
            Doubt::BackBeforeSent => "expected back before it was sent, so no return date counts",
            Doubt::SentBeforeRemoved => "sent to a shop before it came off its aircraft; the later day counts",
            Doubt::SentYetFlying => {
                "sent to a shop, no visit on record since, and not at shop by its status; it counts as its status says"
            }
        };
        text.into()
    }

    /// What to do about it; `settings` says where the fleet's settings stand.
    pub(super) fn remedy(self, settings: &str) -> Cow<'static, str> {
        let remedy = match self {
            Doubt::IdenticalRows => "remove the copies",
            Doubt::BeforeInService => "correct the date, or the in_service_date",
            Doubt::GrewBetweenVisits => "compare both sheets: a gauge, a blade or a serial may be mixed up",
            Doubt::HoursBackwards => "correct the readings; the larger count until then",
            Doubt::HoursTooMany => "correct the readings or their dates",
            Doubt::HoursContradict => {
                "correct the wrong one of the two; a meter that was replaced or set back gets a new name in `meter`. Until then hours are not known from there on"
            }
            Doubt::PartlyMeasured => "ask the shop for the missing readings; they are carried forward until then",
            Doubt::NotMeasured => "ask the shop for the sheet; older readings are carried forward until then",
            Doubt::BladesExchanged => "compare with the stamp: blade 1 is the blade nearest to it",
            Doubt::BetweenStations => "nothing, if the station is right; else correct it",
            Doubt::ReadingGap => "add the readings that are missing",
            Doubt::TrackBeyondLimit => "ask the shop",
            Doubt::RepairsLineUp => "show the blade to a certificated shop",
            Doubt::AtTheLimit => "expect the next overhaul to reject this blade",
            Doubt::LaterHours => "find out which propeller is flying; a mechanic looks before the next flight",
            Doubt::OtherNotEnded => "end the other's fitting in `fitted`",
            Doubt::FittedNotFlying => "end its fitting in `fitted`, or correct its status",
            Doubt::CellNotRecorded => {
                "correct the cell; `check` quotes each with what is allowed and what it counts as"
            }
            Doubt::UndefinedModel => "add the model to `models`, or correct the designation",
            Doubt::UndefinedBase => "add the base to `bases`, or correct the name",
            Doubt::UndefinedAircraft => "add readings to `aircraft_hours`, or correct the name",
            Doubt::UndefinedReplacement => "add it to `propellers`, or correct the serial",
            Doubt::MatchedNearby => "write the visit's own date",
            Doubt::WithoutVisit => "add the visit to `overhauls`; until then these readings never restart the clock",
            Doubt::VisitNotUsed => "correct the row in `overhauls`; it does not restart the clock",
            Doubt::ReportNotUsed => "correct the row in `defects`; a mechanic looks before the next flight",
            Doubt::UnknownColumn => "correct the name, or remove the column",
            Doubt::NoNewDesignation => "write the new designation in model_after, and the one before in `propellers`",
            Doubt::NoOutcome => {
                "write released or rejected; until then it restarts no clock and a mechanic looks before flight. A fleet that keeps no outcomes deletes the column"
            }
            Doubt::NoWork => {
                "write overhaul or what else was done; until then it restarts no clock. A fleet that keeps only overhauls deletes the column"
            }
            Doubt::LimitsNotUsed => "correct the row in `limits`; margins are not known there",
            Doubt::MinimumStandsIn => {
                "copy it from the maker's current manual, or empty the new dimension too where the manual gives none"
            }
            Doubt::LimitsOfNoModel => "correct the designation, or give `models` a row for it",
            Doubt::NoRows => "fill it from the paper records, or remove it",
            Doubt::NoResults => "write satisfactory or not from the log",
            Doubt::NextBeyondInterval => {
                return format!("correct it, or set annual_months or hundred_hours in {settings}").into();
            }
            Doubt::NotCleared => "fill cleared_date and cleared_by from the log",
            Doubt::CheckBeforeEvent => "correct check_date or event_date",
            Doubt::CheckOfNoEvent => "write the event's own date as in defects",
            Doubt::CostInBoth => "nothing, if both are one invoice; else give each its own reference",
            Doubt::PaidTwice => "remove the copy, or correct its number",
            Doubt::InspectionNotUsed => "correct the row in `inspections`",
            Doubt::DecisionIncomplete => "fill reason, until and by, or remove the row",
            Doubt::EndsBeforeDecision => "correct `date` or `until`",
            Doubt::BackBeforeSent => "correct sent_date or expected_back_date",
            Doubt::SentBeforeRemoved => "correct sent_date or removed_date",
            Doubt::SentYetFlying => "write at shop as its status, or empty sent_date when it is back",
        };
        remedy.into()
    }
}
