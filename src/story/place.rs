//! Where a propeller stands in the ranking, and why.

use super::{Section, Teller, median};
use crate::analysis::ranking::ground::Ground;
use crate::analysis::ranking::score::time_share;
use crate::analysis::ranking::tiers::at_shop::at_shop_in_words;
use crate::analysis::ranking::{Ranked, seen};
use crate::analysis::standing::{List, list_of};
use crate::records::Fleet;
use crate::records::decisions::Decision;
use crate::records::schema::Table;

pub(super) fn section(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("Where it stands");
    let fleet = teller.fleet();
    let of = fleet.propellers.get(teller.propeller);
    let record = teller.record(Table::Propellers, Some(of.row));
    let since = of
        .in_service
        .map_or_else(|| "no first day on record".to_string(), |day| format!("on this fleet's record since {day}"));
    section.say(format!("Listed as {}, {}, {since}{record}.", of.status.word(), of.acquired.in_words()));
    if list_of(fleet, teller.propeller) == Some(List::AtShop) {
        let mut there = at_shop_in_words(fleet, teller.propeller);
        if let Some(letter) = there.get_mut(..1) {
            letter.make_ascii_uppercase();
        }
        section.say(format!("{there}."));
    }
    let ranking = teller.answers.ranking();
    let Some(own) = ranking.iter().find(|r| r.propeller == teller.propeller) else {
        section.say("It is on no list: scrapped or sold, and nothing says that it flies on. Its losses still teach the forecast.");
        return section;
    };
    let on_list = || ranking.iter().filter(|r| r.list == own.list);
    let count = on_list().count();
    section.say(format!(
        "Place {} of {count} on the list {}, tier {} ({}).",
        own.rank,
        own.list.word(),
        own.tier,
        Ground::tier_words(own.tier)
    ));
    let name = if own.reasons.len() == 1 { "Reason" } else { "Reasons" };
    for (at, reason) in own.reasons.iter().enumerate() {
        let name = if at == 0 { name } else { "Also" };
        section.say(format!("{name}: {}.", reason.words));
    }
    section.say(format!("Next step: {}.", own.next_step()));
    for decision in fleet.decisions.of(teller.propeller) {
        let record = teller.record(Table::Decisions, Some(decision.row));
        section.say(format!("{}{record}.", decided(fleet, decision, own)));
    }

    let settings = &teller.answers.settings.ranking;
    let score = &own.score;
    let parts = [Some(score.time_part), score.climate_part, score.defect_part];
    let terms: Vec<(f64, f64)> =
        settings.weights().into_iter().zip(parts).filter_map(|(weight, part)| Some((weight, part?))).collect();
    let sum: f64 = terms.iter().map(|t| t.0).sum();
    let words: Vec<String> = terms.iter().map(|(weight, part)| format!("{:.2} x {part:.2}", weight / sum)).collect();
    section.say(format!(
        "Score {:.1} = 100 x ({}), for time, climate and defects in this order; the middle of its list is {:.1}.",
        score.score,
        words.join(" + "),
        median(on_list().map(|r| r.score.score).collect()).unwrap_or(score.score)
    ));
    let firm = own.score_rank_range.map_or_else(String::new, |range| {
        format!(
            "; {} to {} (5 to 95 %) when weights, rates and air are varied within what is known of them",
            range.low, range.high
        )
    });
    section.say(format!("By the score alone it is place {}{firm}.", own.score_rank));
    say_parts(teller, &mut section);
    section
}

/// A decision, and why it is not shown as seen where it is not.
fn decided(fleet: &Fleet<'_>, decision: &Decision, ranked: &Ranked) -> String {
    let by = decision.by.as_deref().map_or_else(|| "nobody named".to_string(), |by| format!("by {by}"));
    let until = decision.until.map_or_else(|| "without an end".to_string(), |day| format!("until {day}"));
    let mut words = format!("Decision of {}, {by}, {until}", decision.day);
    for said in [&decision.decision, &decision.reference].into_iter().flatten() {
        words.push_str(&format!(", {said}"));
    }
    let lapsed = match decision {
        Decision { reason: None, .. } | Decision { by: None, .. } | Decision { until: None, .. } => {
            "; not shown as seen: a reason, a name or an end is missing"
        }
        of if of.until.is_some_and(|until| until < fleet.as_of) => "; lapsed: its end has passed",
        of if !seen::names_any(of, &ranked.reasons) => "; lapsed: its reason is none of today's",
        _ if ranked.seen.is_none() => "; another reason of the tier has not been seen",
        _ => "",
    };
    words + lapsed
}

/// What each part of the score is made of.
fn say_parts(teller: &Teller<'_, '_, '_>, section: &mut Section) {
    let answers = teller.answers;
    let Some(due) = answers.due().of(teller.propeller) else {
        return;
    };
    match time_share(due) {
        Some(share) => {
            let of = |done: Option<f64>, whole: Option<f64>, unit: &str| {
                Some(format!("{:.0} of {:.0} {unit}", done?, whole?))
            };
            let days = of(due.days_since_overhaul.map(f64::from), due.interval_days().map(f64::from), "days");
            let hours = of(due.hours.and_then(|h| h.today), due.interval.hours.value(), "hours");
            let both: Vec<String> = days.into_iter().chain(hours).collect();
            section.say(format!("Time: x = {share:.2}, the larger of {}; the part is x/(1 + x).", both.join(" and ")));
        }
        None => section.say("Time: not known, so the fleet's worst stands in, and at least twice the interval."),
    }
    let history = answers.history();
    let at = teller.propeller as usize;
    let known = |column: &Option<Vec<f64>>| column.as_ref().map(|c| c[at]).filter(|x| !x.is_nan());
    if let Some(x) = known(&history.climate) {
        section.say(format!(
            "Climate: x = {x:.2}, the exposure index over {} g/m2.",
            answers.settings.ranking.climate_reference_g_m2
        ));
    }
    let open = answers.findings().open_of(teller.propeller).count();
    match known(&history.defects) {
        Some(rate) => section.say(format!(
            "Defects: x = {:.2} = {rate:.2} (its rate over the fleet's) + {open} open.",
            rate + open as f64
        )),
        None => {
            section.say("Defects: the rate is not known, so the fleet's worst stands in, and at least twice the mean.")
        }
    }
}
