//! The page for the next shop visit: what is known of a propeller's blades, and blank columns for what the shop will read.
//!
//! Results in, a page model out ([`ShopSheet`]); [`page`] makes HTML of it.

mod blades;
pub mod page;

use crate::analysis::due::{DueRow, State};
use crate::analysis::findings::{ClosedBy, Finding, FindingState};
use crate::analysis::hours::Source;
use crate::analysis::margins::model_now;
use crate::analysis::ranking::tiers::at_shop::at_shop_in_words;
use crate::analysis::standing::{List, list_of};
use crate::records::models::Model;
use crate::records::schema::Table;
use crate::results::CAUTION;
use crate::results::answers::Answers;
use crate::trade::calendar::DAYS_PER_YEAR;

use super::Teller;
use super::damage::taken_out;
pub use blades::{BladeTable, Known, StationRow};

/// Everything that stands on the page.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopSheet {
    /// Serial of the propeller.
    pub serial: String,
    /// The fleet's name, when the settings give one.
    pub fleet: Option<String>,
    /// The as-of date.
    pub as_of: String,
    /// What it is and how it stands: a name and a value each.
    pub facts: Vec<(&'static str, String)>,
    /// A table a blade.
    pub blades: Vec<BladeTable>,
    /// Whether a figure in the tables is expected and not read.
    pub has_expected: bool,
    /// What is to be known about the figures, when something is.
    pub about_figures: Vec<String>,
    /// What was blended, or may have been, since the last visit and is not open.
    pub blends: Vec<String>,
    /// What is open.
    pub open: Vec<String>,
    /// What was accepted and is still on the blade.
    pub accepted: Vec<String>,
    /// The caution that every output carries.
    pub caution: &'static str,
}

/// The page of one propeller.
pub fn shop_sheet(answers: &Answers<'_, '_>, propeller: u32) -> ShopSheet {
    let teller = Teller { answers, propeller };
    let fleet = answers.fleet;
    let model = model_now(fleet, propeller).map(|m| fleet.models.get(m));
    let (blades, about_figures) = blades::tables(&teller, model);
    let mut about_figures = about_figures;
    about_figures.extend(blades::below(&blades));
    let has_expected = blades.iter().any(BladeTable::has_expected);
    ShopSheet {
        serial: fleet.propellers.serial(propeller).to_string(),
        fleet: answers.settings.fleet.name.clone(),
        as_of: fleet.as_of.to_string(),
        facts: facts(&teller, model),
        blades,
        has_expected,
        about_figures,
        blends: blends(&teller),
        open: open(&teller),
        accepted: accepted(&teller),
        caution: CAUTION,
    }
}

fn facts(teller: &Teller<'_, '_, '_>, model: Option<&Model>) -> Vec<(&'static str, String)> {
    let fleet = teller.fleet();
    let not_known = || "not known".to_string();
    let mut facts = vec![
        ("Model", model.map_or_else(not_known, |m| m.name.clone())),
        ("Diameter", model.and_then(|m| m.diameter_in).map_or_else(not_known, |d| format!("{d:.2} in"))),
    ];
    if let Some(aircraft) = fleet.aircraft_of(teller.propeller) {
        facts.push(("Aircraft", aircraft.to_string()));
    }
    if let Some(track) = model.map(|m| m.track_limit_in) {
        facts.push(("Track limit", format!("{track:.3} in")));
    }
    if list_of(fleet, teller.propeller) == Some(List::AtShop) {
        facts.push(("At shop", at_shop_in_words(fleet, teller.propeller)));
    }
    let ranked = teller.answers.ranking().iter().find(|r| r.propeller == teller.propeller);
    if let Some(seen) = ranked.and_then(|r| r.seen.as_ref()) {
        facts.push(("Decision", seen.words()));
    }
    let due = teller.answers.due().of(teller.propeller);
    facts.push((
        "Last overhaul",
        match due.map(|d| d.last_overhaul) {
            Some(Some(day)) => day.to_string(),
            _ => "none on record".to_string(),
        },
    ));
    let last = fleet.last_visit(teller.propeller);
    if let Some(visit) = last.filter(|v| due.and_then(|d| d.last_overhaul) != Some(v.day)) {
        let work = visit.work.map_or("work not recorded", |w| w.word());
        facts.push(("Last visit", format!("{}, {work}", visit.day)));
    }
    facts.push(("Hours since overhaul", due.map_or_else(not_known, hours)));
    facts.push((
        "Next due",
        match due {
            Some(due) => match due.due {
                Some(day) if due.state == State::WithinLimit => day.to_string(),
                Some(day) => format!("{day}: {}", due.state),
                None => due.state.to_string(),
            },
            None => "out of service".to_string(),
        },
    ));
    facts
}

fn hours(due: &DueRow) -> String {
    let Some(hours) = &due.hours else {
        return "not known".to_string();
    };
    let Some(today) = hours.today else {
        return "not known".to_string();
    };
    let read = match hours.basis.source {
        Source::NoReadings => String::new(),
        _ => format!(", read {}", hours.recorded_to),
    };
    let use_rate =
        due.rate.hours_per_day.map_or_else(String::new, |rate| format!(", {:.0} a year", rate * DAYS_PER_YEAR));
    format!("{today:.0}{use_rate}{read}")
}

/// How a finding was dressed since the last visit, or may have been; a blend without a day counts as made since.
fn dressed(teller: &Teller<'_, '_, '_>, finding: &Finding) -> Option<String> {
    let fleet = teller.fleet();
    let last = fleet.last_visit(teller.propeller).map(|visit| visit.day);
    let report = finding.report(fleet);
    let since = report.action_date.is_none_or(|day| Some(day) > last);
    if !report.may_be_dressed() || !since {
        return None;
    }
    if !report.action_recorded {
        return Some("what was done is not recorded".to_string());
    }
    let mut words = match report.action_date {
        Some(day) => format!("blended {day}"),
        None => "blended, day not recorded".to_string(),
    };
    if let Some(by) = report.action_by {
        words.push_str(&format!(" by {}", fleet.defects.people.get(by)));
    }
    if let Some(length) = finding.blend_length_in.filter(|_| report.rework_length_in.is_none()) {
        words.push_str(&format!(", over {length:.2} in along the blade"));
    }
    words.push_str(&taken_out(report));
    Some(words)
}

/// Blends since the last visit that are not open.
fn blends(teller: &Teller<'_, '_, '_>) -> Vec<String> {
    let findings = teller.answers.findings().of(teller.propeller).iter();
    findings
        .filter(|finding| !finding.is_open())
        .filter_map(|finding| {
            let dressed = dressed(teller, finding)?;
            Some(format!("{}; {dressed}", finding.words(teller.fleet())))
        })
        .collect()
}

/// Findings that were accepted for a time.
fn accepted(teller: &Teller<'_, '_, '_>) -> Vec<String> {
    let findings = teller.answers.findings().of(teller.propeller).iter();
    let until = |finding: &Finding| match finding.state {
        FindingState::Closed(ClosedBy::AcceptedUntil(day)) => Some(day),
        _ => None,
    };
    findings.filter_map(|f| Some(format!("{}; accepted until {}", f.words(teller.fleet()), until(f)?))).collect()
}

fn open(teller: &Teller<'_, '_, '_>) -> Vec<String> {
    let fleet = teller.fleet();
    let findings = teller.answers.findings().of(teller.propeller);
    let mut open: Vec<String> = findings
        .iter()
        .filter(|finding| finding.is_open())
        .map(|finding| {
            let dressed = dressed(teller, finding).map_or_else(String::new, |d| format!("; {d}"));
            let reason = finding.reason(fleet);
            // The heading says that they are open.
            let reason = reason.strip_prefix("open ").unwrap_or(&reason);
            format!("{reason}; field repair: {}{dressed}", finding.field_repair())
        })
        .collect();
    let unread = fleet.defects.spoiled.iter().filter(|(propeller, _)| *propeller == teller.propeller);
    open.extend(unread.map(|&(_, row)| {
        format!(
            "a damage report could not be read{}: until it can, it may be a crack",
            teller.record(Table::Defects, Some(row))
        )
    }));
    open
}
