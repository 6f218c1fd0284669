//! The closed words of the records, as types.

use super::cells::NO_CHOICE;
use super::schema;

macro_rules! choices {
    ($($(#[$about:meta])* $name:ident = $words:path { $($(#[$each:meta])* $variant:ident),+ $(,)? })+) => {$(
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[repr(u8)]
        pub enum $name { $($(#[$each])* $variant),+ }

        impl $name {
            const ALL: &'static [$name] = &[$($name::$variant),+];

            /// The choice of a cell; `None` when it is empty or could not be read.
            pub fn of_cell(cell: u8) -> Option<$name> {
                if cell == NO_CHOICE { None } else { Self::ALL.get(cell as usize).copied() }
            }

            /// The choice of a word as the records write it.
            pub fn named(word: &str) -> Option<$name> {
                let at = $words.iter().position(|&known| known == word)?;
                Self::ALL.get(at).copied()
            }

            /// The word the records use for it.
            pub fn word(self) -> &'static str {
                $words[self as usize]
            }
        }
    )+};
}

choices! {
    /// What a propeller flies for.
    Use = schema::USES {
        /// Training.
        Training,
        /// Rented to whoever asks.
        Rental,
        /// A club's members.
        Club,
        /// One owner.
        Private,
        /// Anything else.
        Other,
    }
    /// How a propeller came to the fleet.
    Acquired = schema::ACQUIRED {
        /// New from the maker.
        New,
        /// Fresh from an overhaul.
        Overhauled,
        /// Used.
        Used,
        /// Not known.
        Unknown,
    }
    /// Where a propeller stands.
    Status = schema::STATUSES {
        /// Flying.
        Flying,
        /// On the shelf.
        Spare,
        /// At a shop.
        AtShop,
        /// Scrapped.
        Scrapped,
        /// Sold.
        Sold,
    }
    /// Whether an interval binds.
    Force = schema::FORCES {
        /// Made binding by the maker, a directive, the approved programme or the authority.
        Binding,
        /// The maker's advice.
        Recommended,
        /// Watched by choice only.
        NoForce,
    }
    /// How calendar months end.
    MonthRule = schema::RULES {
        /// On the same day of the month.
        SameDay,
        /// On the last day of the month.
        MonthEnd,
    }
    /// What the months of an interval count from.
    IntervalFrom = schema::FROM {
        /// Release by the shop.
        Release,
        /// Installation on the aircraft.
        Installation,
    }
    /// What was done at a visit.
    Work = schema::WORKS {
        /// Overhaul.
        Overhaul,
        /// Repair.
        Repair,
        /// Re-pitching.
        Repitch,
        /// Shortening.
        Shorten,
        /// Dimensional inspection.
        DimensionalInspection,
        /// Inspection after a strike.
        StrikeInspection,
    }
    /// How a visit ended.
    Outcome = schema::OUTCOMES {
        /// Released to service.
        Released,
        /// Rejected.
        Rejected,
    }
    /// Why a propeller was rejected.
    RejectReason = schema::REJECT_REASONS {
        /// A dimension below its minimum.
        Dimension,
        /// A crack.
        Crack,
        /// Corrosion.
        Corrosion,
        /// A bend.
        Bend,
        /// The hub.
        Hub,
        /// Anything else.
        Other,
    }
    /// Why a propeller went to the shop.
    Reason = schema::REASONS {
        /// It was due.
        Scheduled,
        /// Damage.
        Damage,
        /// Corrosion.
        Corrosion,
        /// A strike.
        Strike,
        /// Anything else.
        Other,
    }
    /// What was done about a finding.
    Action = schema::ACTIONS {
        /// Nothing yet.
        NoAction,
        /// Blended.
        Blended,
        /// Accepted until a recheck.
        Accepted,
        /// Sent to a shop.
        Shop,
        /// Scrapped.
        Scrapped,
    }
    /// Kind of inspection.
    InspectionKind = schema::INSPECTIONS {
        /// Annual.
        Annual,
        /// Every 100 hours.
        HundredHour,
        /// On condition.
        Condition,
        /// Anything else.
        Other,
    }
    /// Result of an inspection.
    InspectionResult = schema::RESULTS {
        /// Satisfactory.
        Satisfactory,
        /// Not satisfactory.
        NotSatisfactory,
    }
    /// What a check after an event looked at.
    Scope = schema::SCOPES {
        /// The propeller.
        Propeller,
        /// The engine.
        Engine,
        /// The engine's mount.
        Mount,
        /// A crack.
        Crack,
    }
    /// How a check was made.
    Method = schema::METHODS {
        /// Penetrant.
        Penetrant,
        /// Eddy current.
        EddyCurrent,
        /// Magnetic particle.
        MagneticParticle,
        /// By eye.
        Visual,
        /// Run-out of the flange.
        RunOut,
        /// Teardown.
        Teardown,
        /// Anything else.
        Other,
    }
    /// Result of a check after an event.
    CheckResult = schema::CHECK_RESULTS {
        /// Satisfactory.
        Satisfactory,
        /// No crack was found.
        NoneFound,
        /// Not satisfactory.
        NotSatisfactory,
    }
    /// What a second look at a finding saw.
    RecheckResult = schema::RECHECK_RESULTS {
        /// It is as it was.
        Unchanged,
        /// It is worse.
        Worse,
        /// It is gone.
        Gone,
    }
    /// Runway surface.
    Runway = schema::RUNWAYS {
        /// Paved.
        Paved,
        /// Grass.
        Grass,
        /// Gravel.
        Gravel,
        /// Water.
        Water,
    }
    /// How a propeller is kept.
    Kept = schema::KEPT {
        /// Outside.
        Outside,
        /// In a hangar.
        Hangar,
    }
}

impl InspectionResult {
    /// What a sentence or a result says of it.
    pub fn in_words(self) -> &'static str {
        match self {
            InspectionResult::Satisfactory => "satisfactory",
            InspectionResult::NotSatisfactory => "unsatisfactory",
        }
    }
}

impl InspectionKind {
    /// What a sentence calls it: `annual`, `100 hour`, `condition inspection`.
    pub fn in_words(kind: Option<InspectionKind>) -> &'static str {
        match kind {
            Some(InspectionKind::Annual) => "annual",
            Some(InspectionKind::HundredHour) => "100 hour",
            Some(InspectionKind::Condition) => "condition inspection",
            Some(InspectionKind::Other) => "other inspection",
            None => "inspection",
        }
    }
}

impl Acquired {
    /// What a sentence says of it.
    pub fn in_words(self) -> &'static str {
        match self {
            Acquired::New => "acquired new",
            Acquired::Overhauled => "acquired overhauled",
            Acquired::Used => "acquired used, history unknown",
            Acquired::Unknown => "how it was acquired is not recorded, history unknown",
        }
    }
}

/// Reads a closed word whose default holds only where the whole column is absent.
///
/// Absent column: `default`. Empty or unreadable cell: `None`.
pub fn or_absent<T>(column: Option<&[u8]>, row: usize, default: T, of_cell: impl Fn(u8) -> Option<T>) -> Option<T> {
    match column {
        None => Some(default),
        Some(cells) => of_cell(cells[row]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_choice_has_its_word() {
        assert_eq!(Use::ALL.len(), schema::USES.len());
        assert_eq!(Work::of_cell(4), Some(Work::DimensionalInspection));
        assert_eq!(Work::DimensionalInspection.word(), "dimensional inspection");
        assert_eq!(Status::AtShop.word(), "at shop");
        assert_eq!(Force::NoForce.word(), "none");
        assert_eq!(Outcome::of_cell(NO_CHOICE), None);
        assert_eq!(or_absent(None, 0, Outcome::Released, Outcome::of_cell), Some(Outcome::Released));
        assert_eq!(or_absent(Some(&[NO_CHOICE]), 0, Outcome::Released, Outcome::of_cell), None);
    }
}
