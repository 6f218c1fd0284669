//! Damage found, and reports of it that could not be read.

use super::super::super::findings::{Finding, Urgency};
use super::super::ground::Ground;
use super::{Evidence, Reason};
use crate::records::schema::Table;

impl Evidence<'_, '_> {
    pub(super) fn findings(&self, reasons: &mut Vec<Reason>) {
        let mut open: Vec<&Finding> = self.findings.open_of(self.propeller).collect();
        open.sort_by_key(|f| (f.severity(self.fleet), f.report));
        let mut told: Vec<(Ground, usize)> = Vec::new();
        for finding in open {
            let urgency = finding.urgency(self.fleet);
            let (ground, next_step) = match urgency {
                Urgency::RecordedScrapped => (
                    Ground::GraveFinding,
                    "do not fly: it is recorded as scrapped; a mechanic finds out which propeller is fitted".to_string(),
                ),
                Urgency::ShopOnlyKind => (
                    Ground::GraveFinding,
                    "do not fly: a mechanic looks, and a certificated shop decides".to_string(),
                ),
                Urgency::NotMeasured => (
                    Ground::ShopFinding,
                    "before flight a mechanic measures it and records depth and place".to_string(),
                ),
                Urgency::ShopOnly => (
                    Ground::ShopFinding,
                    "before flight a mechanic looks; beyond what may be dressed in the field, a certificated shop decides".to_string(),
                ),
                Urgency::Dress => (
                    Ground::Dress,
                    match finding.blend_length_in {
                        Some(length) => format!(
                            "a mechanic dresses it before the next flight, over at least {length:.2} in of the blade"
                        ),
                        None => "a mechanic dresses it before the next flight".to_string(),
                    },
                ),
                Urgency::Minor => continue,
            };
            match told.iter_mut().find(|(g, _)| *g == ground) {
                Some((_, more)) => *more += 1,
                None => {
                    told.push((ground, 0));
                    reasons.push(Reason { ground, words: finding.reason(self.fleet), next_step });
                }
            }
        }
        for (ground, more) in told.into_iter().filter(|(_, more)| *more > 0) {
            if let Some(reason) = reasons.iter_mut().find(|r| r.ground == ground) {
                reason.words.push_str(&format!(", and {more} more like it"));
            }
        }
    }

    pub(super) fn unreadable_report(&self, reasons: &mut Vec<Reason>) {
        let defects = &self.fleet.defects;
        if !defects.is_spoiled(self.propeller) {
            return;
        }
        let place = defects
            .spoiled
            .iter()
            .find(|&&(p, _)| p == self.propeller)
            .map(|&(_, row)| self.fleet.loaded.in_brackets(Table::Defects, Some(row), ""))
            .unwrap_or_default();
        reasons.push(Reason {
            ground: Ground::UnreadableReport,
            words: format!("a damage report could not be read{place}"),
            next_step: "before flight a mechanic looks; correct the row from the paper report".to_string(),
        });
    }
}
