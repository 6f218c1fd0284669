//! Damage found, and reports of it that could not be read.

use super::super::super::findings::{Finding, Urgency};
use super::super::ground::Ground;
use super::{Evidence, Reason};
use crate::records::Fleet;
use crate::records::schema::Table;
use crate::trade::damage::DefectKind;

/// What an open finding asks for: its ground and the next step.
pub fn asked(fleet: &Fleet<'_>, finding: &Finding) -> (Ground, String) {
    let (ground, next_step) = match finding.urgency(fleet) {
        Urgency::RecordedScrapped => (
            Ground::GraveFinding,
            "do not fly: it is recorded as scrapped; a mechanic finds out which propeller is fitted",
        ),
        Urgency::ShopOnlyKind => {
            (Ground::GraveFinding, "do not fly: a mechanic looks, and a certificated shop decides")
        }
        Urgency::NotMeasured => {
            (Ground::ShopFinding, "before flight a mechanic measures it and records depth and place")
        }
        Urgency::ShopOnly => (
            Ground::ShopFinding,
            "before flight a mechanic looks; beyond what may be dressed in the field, a certificated shop decides",
        ),
        Urgency::Dress if finding.report(fleet).kind == DefectKind::Erosion => (
            Ground::Dress,
            "a mechanic smooths and refinishes it before the next flight, and measures the thickness there",
        ),
        Urgency::Dress => {
            let over = finding
                .blend_length_in
                .map_or_else(String::new, |length| format!(", over at least {length:.2} in of the blade"));
            return (Ground::Dress, format!("a mechanic dresses it before the next flight{over}"));
        }
        Urgency::LookAgain => (Ground::LookAgain, "a mechanic looks again and enters it in `rechecks`, or dresses it"),
        Urgency::Minor => (Ground::SmallFinding, "look again at the next inspection"),
    };
    (ground, next_step.to_string())
}

impl Evidence<'_, '_> {
    /// Rows that name no known propeller and may be about this one.
    pub(super) fn nobodys_reports(&self, reasons: &mut Vec<Reason>) {
        let may_be = self.fleet.nobody.of_propeller(self.fleet, self.propeller);
        reasons.extend(may_be.into_iter().map(|(words, next_step)| Reason {
            ground: Ground::NobodysReport,
            words,
            next_step,
        }));
    }

    pub(super) fn findings(&self, reasons: &mut Vec<Reason>) {
        let mut open: Vec<&Finding> = self.findings.open_of(self.propeller).collect();
        open.sort_by_key(|f| (f.severity(self.fleet), f.report));
        let mut told: Vec<(Ground, usize)> = Vec::new();
        for finding in open {
            let (ground, next_step) = asked(self.fleet, finding);
            if ground == Ground::SmallFinding {
                continue;
            }
            match told.iter_mut().find(|(g, _)| *g == ground) {
                Some((_, more)) => *more += 1,
                None => {
                    told.push((ground, 0));
                    reasons.push(Reason { ground, words: finding.reason(self.fleet), next_step });
                }
            }
        }
        self.small_findings(reasons);
        for (ground, more) in told.into_iter().filter(|(_, more)| *more > 0) {
            if let Some(reason) = reasons.iter_mut().find(|r| r.ground == ground) {
                reason.words.push_str(&format!(", and {more} more like it"));
            }
        }
    }

    /// Small findings are open and named, and wait for the next inspection.
    fn small_findings(&self, reasons: &mut Vec<Reason>) {
        let small: Vec<&Finding> =
            self.findings.open_of(self.propeller).filter(|f| f.urgency(self.fleet) == Urgency::Minor).collect();
        let Some(deepest) = small.iter().max_by(|a, b| a.depth_in.unwrap_or(0.0).total_cmp(&b.depth_in.unwrap_or(0.0)))
        else {
            return;
        };
        let findings = if small.len() == 1 { "small open finding" } else { "small open findings" };
        reasons.push(Reason {
            ground: Ground::SmallFinding,
            words: format!(
                "{} {findings}: {} {:.3} in",
                small.len(),
                deepest.report(self.fleet).kind.word(),
                deepest.depth_in.unwrap_or_default()
            ),
            next_step: asked(self.fleet, deepest).1,
        });
    }

    /// A second look that could not be read, or fits no finding, and may say that one is worse.
    pub(super) fn unreadable_recheck(&self, reasons: &mut Vec<Reason>) {
        let Some(row) = self.fleet.rechecks.spoiled_of(self.propeller) else {
            return;
        };
        let place = self.fleet.loaded.in_brackets(Table::Rechecks, Some(row), "");
        reasons.push(Reason {
            ground: Ground::UnreadableReport,
            words: format!("a recheck could not be used and may say worse{place}"),
            next_step: "before flight a mechanic looks; correct the row from the paper report".to_string(),
        });
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
