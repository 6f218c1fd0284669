//! What was found on a propeller: the open findings first, then the closed ones, the newest first.

use super::Subject;
use super::blades::Marked;
use crate::analysis::findings::Finding;
use crate::records::choice::Action;
use crate::records::schema::Table;
use crate::report::chart::blade;
use crate::report::words::{count, inches};
use crate::trade::damage::Surface;
use crate::trade::field_repair::FieldRepair;

/// Findings listed; every open one is.
const MOST_LISTED: usize = 10;

/// The list, and where its entries are marked.
pub(super) struct Found {
    pub(super) listed: Vec<Listed>,
    pub(super) open: usize,
    /// Closed findings that the list leaves out.
    pub(super) more: usize,
    /// Reports that could not be read: where they stand.
    pub(super) unreadable: Vec<String>,
    /// What it means that nothing is listed.
    pub(super) none: &'static str,
    pub(super) marks: Vec<Marked>,
    /// Listed findings that no drawing can place.
    pub(super) not_placed: bool,
}

/// A finding; its number is its place in the list.
pub(super) struct Listed {
    pub(super) open: bool,
    pub(super) words: String,
    /// What was done, and what follows from it.
    pub(super) state: String,
    pub(super) record: String,
}

impl Found {
    pub(super) fn of(subject: &Subject<'_, '_, '_>) -> Found {
        let answers = subject.scene.answers;
        let fleet = answers.fleet;
        let all = answers.findings().of(subject.key());
        let open = all.iter().filter(|f| f.is_open());
        let closed = all.iter().rev().filter(|f| !f.is_open());
        let count_open = open.clone().count();
        let listed: Vec<&Finding> = open.chain(closed).take(count_open.max(MOST_LISTED)).collect();
        let marks: Vec<Marked> =
            (1..).zip(&listed).filter_map(|(number, finding)| marked(subject, number, finding)).collect();
        let spoiled = &fleet.defects.spoiled;
        let first = spoiled.partition_point(|&(p, _)| p < subject.key());
        Found {
            open: count_open,
            more: all.len() - listed.len(),
            unreadable: spoiled[first..]
                .iter()
                .take_while(|&&(p, _)| p == subject.key())
                .map(|&(_, row)| place(subject, row))
                .collect(),
            none: if fleet.defects.kept {
                "No damage report names it. That is not the same as no damage."
            } else {
                "The fleet's records hold no damage reports, so nicks and blends since the last visit are not known."
            },
            not_placed: marks.len() < listed.len(),
            marks,
            listed: listed.into_iter().map(|finding| Listed::of(subject, finding)).collect(),
        }
    }
}

impl Listed {
    fn of(subject: &Subject<'_, '_, '_>, finding: &Finding) -> Listed {
        let fleet = subject.scene.answers.fleet;
        let report = finding.report(fleet);
        let closed_by = finding.closed_by(fleet);
        let record = place(subject, report.row);
        Listed {
            open: finding.is_open(),
            words: finding.words(fleet),
            state: match &closed_by {
                Some(by) => format!("closed: {by}"),
                None => still_open(finding, report.action),
            },
            // What closed it may stand in the report itself, which is then named already.
            record: match closed_by {
                Some(by) if by.contains(&record) => String::new(),
                _ => record,
            },
        }
    }
}

/// What an open finding asks for.
fn still_open(finding: &Finding, action: Action) -> String {
    let mut words =
        vec![format!("action on record: {}", action.word()), format!("field repair: {}", finding.field_repair())];
    if let Some(blend) = finding.blend_length_in {
        words.push(format!("a blend needs {blend:.2} in along the blade"));
    }
    if let Some(left) = finding.margin_left_in {
        words.push(if left < 0.0 {
            format!("once dressed {} in below the minimum there", inches(-left))
        } else {
            format!("once dressed {} in left there", inches(left))
        });
    }
    if let Some(kept) = finding.strength_retained {
        words.push(format!("keeps about {:.0}\u{a0}% of fatigue strength as it is", kept * 100.0));
    } else if finding.field_repair() == FieldRepair::ShopOnly && finding.depth_in.is_some() {
        words.push("fatigue strength: beyond the screen".to_string());
    }
    words.join("; ")
}

/// File and line of a report.
fn place(subject: &Subject<'_, '_, '_>, row: u32) -> String {
    let loaded = subject.scene.answers.fleet.loaded;
    let place = loaded.in_brackets(Table::Defects, Some(row), "");
    place.trim_matches([' ', '(', ')']).to_string()
}

/// Where on which blade it is drawn; `None` where the report does not say.
fn marked(subject: &Subject<'_, '_, '_>, number: usize, finding: &Finding) -> Option<Marked> {
    let report = finding.report(subject.scene.answers.fleet);
    let tip = subject.model?.diameter_in? / 2.0;
    let radius = finding
        .station_in
        .or_else(|| Some(report.station_pct? / 100.0 * tip))
        .or_else(|| (report.surface == Some(Surface::Tip)).then_some(tip))?;
    Some(Marked {
        blade: report.blade?,
        finding: blade::Finding {
            number,
            radius,
            side: match report.surface {
                Some(Surface::LeadingEdge) => blade::Side::Leading,
                Some(Surface::TrailingEdge) => blade::Side::Trailing,
                _ => blade::Side::Inside,
            },
            open: finding.is_open(),
        },
    })
}

impl Found {
    /// How many there are, for the heading.
    pub(super) fn many(&self) -> String {
        let all = self.listed.len() + self.more;
        match (all, self.open) {
            (0, _) => "none on record".to_string(),
            (_, 0) => format!("{}, all closed", count(all, "finding")),
            (_, open) => format!("{}, {open} open", count(all, "finding")),
        }
    }
}
