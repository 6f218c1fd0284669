//! Inspections of the aircraft that are not signed, lapsed, or not on record.

use super::super::super::inspections::Standing;
use super::super::ground::Ground;
use super::{Evidence, Reason};

impl Evidence<'_, '_> {
    pub(super) fn inspections(&self, reasons: &mut Vec<Reason>) {
        let Some(inspections) = self.inspections else { return };
        reasons.extend(inspections.matters.iter().map(|matter| Reason {
            ground: match matter.standing {
                Standing::Unsatisfactory => Ground::InspectionUnsatisfactory,
                Standing::Lapsed => Ground::InspectionLapsed,
                Standing::ProbablyLapsed | Standing::NoResult => Ground::InspectionDoubtful,
                Standing::NoAnnual => Ground::NoAnnual,
                Standing::NoneOnRecord => Ground::NoInspection,
                Standing::Note | Standing::BeforeInstallation => Ground::InspectionNote,
            },
            words: matter.words.clone(),
            next_step: matter.next_step.clone(),
        }));
    }
}
