//! What was found on a propeller, what closes it, and how often it is damaged.

use super::{Section, Teller};
use crate::analysis::defect_rate::watch::HoursFrom;
use crate::analysis::event_checks::checks_of;
use crate::records::choice::{Action, CheckResult, RecheckResult, Scope};
use crate::records::defects::Defect;
use crate::records::schema::Table;
use crate::records::written::count;
use crate::trade::field_repair::FieldRepair;

/// What was taken out of a blend, as far as it was measured, and whether its coat is back: the end of a sentence.
pub(super) fn taken_out(report: &Defect) -> String {
    let mut words = String::new();
    match (report.rework_depth_in, report.rework_length_in) {
        (Some(depth), Some(length)) => words.push_str(&format!(", {depth:.3} in taken out over {length:.2} in")),
        (Some(depth), None) => words.push_str(&format!(", {depth:.3} in taken out")),
        (None, Some(length)) => words.push_str(&format!(", over {length:.2} in")),
        (None, None) => {}
    }
    if report.refinished == Some(false) {
        words.push_str(", not refinished");
    }
    if report.action == Action::Blended && !report.is_whole_blend() {
        words.push_str(", its depth, place or surface not recorded");
    }
    words
}

pub(super) fn section(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("Damage");
    let answers = teller.answers;
    let fleet = teller.fleet();
    let findings = answers.findings().of(teller.propeller);
    let open = findings.iter().filter(|f| f.is_open());
    let closed = findings.iter().filter(|f| !f.is_open());
    for finding in open.chain(closed) {
        let report = finding.report(fleet);
        let record = teller.record(Table::Defects, Some(report.row));
        let mut text = match finding.closed_by(fleet) {
            None => {
                let reason = finding.reason(fleet);
                let mut letters = reason.chars();
                let first: String = letters.next().map(char::to_uppercase).into_iter().flatten().collect();
                format!("{first}{}{record}.", letters.as_str())
            }
            Some(by) => format!("Closed: {}{record}, by {by}{}.", finding.words(fleet), taken_out(report)),
        };
        let mut facts = vec![format!("field repair: {}", finding.field_repair())];
        if let Some(blend) = finding.blend_length_in {
            facts.push(format!("a blend needs {blend:.2} in along the blade"));
        }
        if let Some(margin) = finding.margin_left_in {
            facts.push(format!("margin left there once dressed {margin:.3} in"));
        }
        if let Some(kept) = finding.strength_retained {
            facts.push(format!("keeps {:.0} % of fatigue strength as it is", kept * 100.0));
        } else if finding.field_repair() == FieldRepair::ShopOnly && finding.depth_in.is_some() {
            facts.push("fatigue strength: beyond the screen".to_string());
        }
        if finding.is_open() {
            text.push_str(&format!(" {}.", facts.join("; ")));
        }
        for recheck in fleet.rechecks.of(finding.report) {
            let record = teller.record(Table::Rechecks, Some(recheck.row));
            let result = recheck.result.map_or("result not recorded", RecheckResult::word);
            let depth = recheck.depth_in.map_or_else(|| "no depth".to_string(), |depth| format!("{depth:.3} in"));
            let signed = if recheck.signed { "" } else { ", without a name" };
            text.push_str(&format!(" Looked at again {}{record}: {result}, {depth}{signed}.", recheck.day));
        }
        if report.kind.is_shop_only() {
            for check in checks_of(fleet, report) {
                let record = teller.record(Table::EventChecks, Some(check.row));
                let what = check.scope.map_or("scope not recorded", Scope::word);
                let day = check.day.map_or_else(|| "on no day".to_string(), |day| day.to_string());
                let result = check.result.map_or("result not recorded", CheckResult::word);
                text.push_str(&format!(" Check of it, {what}, {day}{record}: {result}."));
            }
        }
        section.say(text);
    }
    if findings.is_empty() {
        section.say("No damage report names it. That is not the same as no damage.");
    }
    for &(_, row) in fleet.defects.spoiled.iter().filter(|(p, _)| *p == teller.propeller) {
        section.say(format!(
            "A damage report could not be read{}: until it can, it may be a crack.",
            teller.record(Table::Defects, Some(row))
        ));
    }
    let rates = answers.defect_rates();
    let Some(own) = rates.propellers.get(teller.propeller as usize) else {
        return section;
    };
    match (&own.watch, own.rate) {
        (Ok(watch), Some(rate)) => {
            let hours = match watch.hours_from {
                HoursFrom::Records => "flown as recorded",
                HoursFrom::FleetMedian => "from calendar years at the fleet's median use",
            };
            let mean =
                rates.fleet_mean_per_100h.map_or_else(String::new, |mean| format!("; the fleet's mean is {mean:.2}"));
            section.say(format!(
                "Rate: {} (strikes apart) in {:.0} h {hours}, {} to {}, drawn toward the fleet: {:.2} per 100 hours, {:.2} to {:.2} in nine of ten cases{mean}.",
                count(watch.findings as usize, "finding"),
                watch.hours,
                watch.from,
                watch.to,
                rate.mean_per_100h,
                rate.low_per_100h,
                rate.high_per_100h
            ));
        }
        (Err(reason), _) => section.say(format!("Rate: not known, {reason}.")),
        (Ok(_), None) => {}
    }
    if let Some(p) = own.trend_p {
        section.say(format!(
            "Trend: the chance of findings so unevenly spread over time without one is {p:.2}, adjusted for the propellers tested."
        ));
    }
    for repeat in &own.repeats {
        section.say(format!("Recurring damage: {repeat}."));
    }
    section
}
