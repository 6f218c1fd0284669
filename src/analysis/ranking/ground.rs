//! What puts a propeller in its tier.

/// What puts a propeller in its tier, the gravest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ground {
    /// An open crack, bend, lightning, strike or overspeed, or a finding recorded as scrapped.
    GraveFinding,
    /// Rejected, scrapped or sold, and still listed or flown since.
    RejectedYetListed,
    /// A strike, overspeed, lightning or bend on its aircraft without the engine's check.
    EventNotChecked,
    /// A visit whose outcome is not recorded, or a visit that could not be read.
    OutcomeNotRecorded,
    /// A binding limit is passed.
    PastBinding,
    /// A released dimension, or a measured margin today, below its minimum.
    BelowMinimum,
    /// Track beyond a limit that the records state.
    TrackBeyondLimit,
    /// An open finding that is shop only or not measured.
    ShopFinding,
    /// A damage report, or a second look at one, could not be read.
    UnreadableReport,
    /// An inspection of its aircraft that is not satisfactory and not signed off.
    InspectionUnsatisfactory,
    /// An inspection of its aircraft has lapsed.
    InspectionLapsed,
    /// An open finding within the screen.
    Dress,
    /// A recommended limit is passed.
    PastRecommended,
    /// No overhaul on record.
    NoOverhaul,
    /// Its last aircraft flew with no propeller on record.
    FlewBare,
    /// More propellers are on its aircraft than it carries.
    Crowded,
    /// A row that names no known propeller may be about it.
    NobodysReport,
    /// Two readings of hours contradict each other.
    HoursContradict,
    /// A limit is passed by hours that are estimated from other propellers' use.
    EstimateOfOthers,
    /// Hours are not known.
    HoursNotKnown,
    /// An accepted or small finding is to be looked at again.
    LookAgain,
    /// Track beyond common practice, or not to be judged: the maker's limit is not on record.
    TrackNotJudged,
    /// An inspection has probably lapsed, or what it found is not recorded.
    InspectionDoubtful,
    /// No inspection at all on record of its aircraft.
    NoInspection,
    /// No annual on record of its aircraft, or one of a kind that is not recorded.
    NoAnnual,
    /// No limit is stated.
    NoLimitStated,
    /// Never measured.
    NeverMeasured,
    /// No dimension limits, or limits that could not be used.
    NoDimensionLimits,
    /// Something that could fail is not in the forecast.
    ForecastTooThin,
    /// The diameter was not read at the last overhaul, in a fleet that reads it.
    DiameterNotRead,
    /// Below the minimum only by what stands in for a dressing that is not on record whole.
    DressedUnmeasured,
    /// The next overhaul will probably reject it.
    RejectNext,
    /// A limit is near.
    LimitNear,
    /// A small finding is open: named, not urgent.
    SmallFinding,
    /// Something about an inspection that keeps nothing on the ground.
    InspectionNote,
    /// Nothing open on record.
    Nothing,
}

impl Ground {
    /// The tier, 1 to 6.
    pub fn tier(self) -> u8 {
        match self {
            Ground::GraveFinding
            | Ground::RejectedYetListed
            | Ground::EventNotChecked
            | Ground::TrackBeyondLimit
            | Ground::InspectionUnsatisfactory
            | Ground::InspectionLapsed
            | Ground::OutcomeNotRecorded
            | Ground::PastBinding
            | Ground::BelowMinimum
            | Ground::ShopFinding
            | Ground::UnreadableReport => 1,
            Ground::Dress => 2,
            Ground::PastRecommended | Ground::NoOverhaul => 3,
            Ground::FlewBare
            | Ground::Crowded
            | Ground::NobodysReport
            | Ground::HoursContradict
            | Ground::EstimateOfOthers
            | Ground::HoursNotKnown
            | Ground::LookAgain
            | Ground::TrackNotJudged
            | Ground::InspectionDoubtful
            | Ground::NoInspection
            | Ground::NoAnnual
            | Ground::NoLimitStated
            | Ground::NeverMeasured
            | Ground::NoDimensionLimits
            | Ground::ForecastTooThin
            | Ground::DiameterNotRead
            | Ground::DressedUnmeasured => 4,
            Ground::RejectNext | Ground::LimitNear => 5,
            Ground::SmallFinding | Ground::InspectionNote | Ground::Nothing => 6,
        }
    }

    /// The words of a tier.
    pub fn tier_words(tier: u8) -> &'static str {
        match tier {
            1 => "mechanic required before flight",
            2 => "dress before next flight",
            3 => "past a recommended limit, or no overhaul on record",
            4 => "record too thin",
            5 => "plan now",
            _ => "nothing urgent on record",
        }
    }
}
