//! The numbers that decide about a propeller, a line each.

use super::Subject;
use crate::analysis::defect_rate::watch::HoursFrom;
use crate::analysis::due::DueRow;
use crate::analysis::remaining::Remaining;
use crate::analysis::standing::List;
use crate::report::sections::air::comes_back;
use crate::report::sections::due::{Inspection, doubt, force, limits, when, why_not_dated};
use crate::report::sections::first::points;
use crate::report::sections::left::{doubts, margin, overhauls_left, place};
use crate::report::words::{chance, count, joined, thousands};
use crate::trade::calendar::Day;

/// A line: what, and what is known of it.
pub(super) struct Fact {
    pub(super) name: &'static str,
    pub(super) says: String,
    /// More in small letters; often empty.
    pub(super) about: String,
}

fn fact(name: &'static str, says: impl Into<String>, about: impl Into<String>) -> Fact {
    Fact { name, says: says.into(), about: about.into() }
}

/// Every line there is something to say in.
pub(super) fn facts(subject: &Subject<'_, '_, '_>) -> Vec<Fact> {
    let mut facts = Vec::new();
    if subject.row.reasons.len() > 2 {
        let more = subject.row.reasons[2..].iter().map(|r| r.words.clone());
        facts.push(fact("Also", joined(&more.collect::<Vec<_>>()), ""));
    }
    if let Some(seen) = &subject.row.seen {
        facts.push(fact("Decision", seen.words(), ""));
    }
    if let Some(due) = subject.scene.answers.due().of(subject.key()) {
        facts.push(due_fact(subject, due));
        facts.push(since(due));
    }
    left(subject, &mut facts);
    facts.push(score(subject));
    air(subject, &mut facts);
    damage(subject, &mut facts);
    let due = subject.scene.answers.due().of(subject.key());
    if let Some(due) = due {
        let says = due.inspection.as_ref().map(Inspection::of);
        facts.push(fact("Last inspection", says.map_or_else(|| "none on record".to_string(), |last| last.words), ""));
    }
    facts
}

fn due_fact(subject: &Subject<'_, '_, '_>, due: &DueRow) -> Fact {
    let as_of = subject.scene.answers.fleet.as_of;
    if let Some(end) = subject.scene.answers.fleet.end_of(subject.key()) {
        let says = format!("out of service since {end} on record, and still listed");
        return fact("Overhaul due", says, "");
    }
    let mut about: Vec<String> = vec![force(due.interval.force).to_string()];
    // Days of the hour limit far ahead would say more than the use rate knows: a year is enough.
    about.extend(limits(due, last_day(as_of)).iter().map(|l| words_of(l)));
    about.extend(doubt(due).map(str::to_string));
    match due.due {
        Some(day) => {
            let mut says = format!("{day}, {}", when(day - as_of));
            if let (Some(early), Some(late)) = (due.due_p10, due.due_p90)
                && early != late
                && day >= as_of
            {
                says += &format!("; {early} to {late} in eight of ten cases");
            }
            fact("Overhaul due", says, joined(&about))
        }
        None => fact("Overhaul due", "no date known", why_not_dated(due)),
    }
}

fn words_of(parts: &[String]) -> String {
    let there: Vec<&str> = parts.iter().map(String::as_str).filter(|p| !p.is_empty()).collect();
    there.join(", ")
}

fn last_day(as_of: Day) -> Day {
    crate::trade::calendar::same_day(as_of, crate::report::sections::due::MONTHS_AHEAD)
}

fn since(due: &DueRow) -> Fact {
    let name = if due.last_overhaul.is_some() { "Since overhaul" } else { "Since new" };
    let (Some(days), Some(start)) = (due.days_since_overhaul, due.clock_start) else {
        return fact("Since overhaul", "not known: no overhaul on record", "");
    };
    let hours = due.hours.as_ref();
    let flown = match hours.and_then(|h| h.today) {
        Some(today) if hours.is_some_and(|h| h.known) => format!("{}\u{a0}h", thousands(today)),
        Some(today) => format!("about {}\u{a0}h (not known for certain)", thousands(today)),
        None => "hours not known".to_string(),
    };
    let years = f64::from(days) / crate::trade::calendar::DAYS_PER_YEAR;
    let says = format!("{years:.1} years, since {start}; {flown}");
    let rate = due.rate.hours_per_day.map_or_else(String::new, |rate| {
        let year = rate * crate::trade::calendar::DAYS_PER_YEAR;
        format!("; flies about {}\u{a0}h a year", thousands(year))
    });
    let basis = hours.map_or_else(String::new, |h| format!("hours from {}", h.basis.words()));
    fact(name, says, format!("{basis}{rate}"))
}

fn left(subject: &Subject<'_, '_, '_>, facts: &mut Vec<Fact>) {
    let Some(left) = subject.remaining else {
        return;
    };
    let fleet = subject.scene.answers.fleet;
    match (left.quantile(0.1), left.quantile(0.5), left.quantile(0.9)) {
        (Some(low), Some(middle), Some(high)) => {
            let number = |n: u32| overhauls_left(n, n, n);
            let says = if low == high {
                number(middle)
            } else {
                format!("{}; {} to {} in eight of ten cases", number(middle), number(low), number(high))
            };
            facts.push(fact("Overhauls left", says, joined(&doubts(fleet, left))));
            facts.push(rejected(subject, left));
        }
        _ => {
            let basis = left.basis();
            let about = basis.strip_prefix("not known").unwrap_or(&basis);
            let about = about.trim_start_matches([',', ' ']);
            facts.push(fact("Overhauls left", "not known", about));
        }
    }
    if let Some(point) = &left.limiting {
        let says = place(fleet, subject.key(), point);
        facts.push(fact("Decided at", says, margin(point)));
    }
}

fn rejected(subject: &Subject<'_, '_, '_>, left: &Remaining) -> Fact {
    let dimensions = left.reject_chance_next();
    let any = left.reject_chance_next_any();
    let says = any.or(dimensions).map_or_else(|| "not known".to_string(), chance);
    let mut about = Vec::new();
    match (any, dimensions) {
        (Some(_), Some(own)) => about.push(format!("{} by its dimensions", chance(own))),
        (None, _) => about.push("other causes not counted".to_string()),
        _ => {}
    }
    let year = left.rejection_overhaul().and_then(|k| {
        let due = subject.scene.answers.due().of(left.propeller)?;
        due.overhaul_date(subject.scene.answers.fleet.as_of, k)
    });
    if let Some(day) = year {
        about.push(format!("more likely than not rejected by {}", day.year()));
    }
    fact("Rejected at the next", says, joined(&about))
}

fn score(subject: &Subject<'_, '_, '_>) -> Fact {
    let row = subject.row;
    let [time, air, damage] = points(subject.scene, row);
    let range = match row.score_rank_range {
        Some(range) if range.low != range.high => {
            format!(", {} to {} nine times of ten", range.low, range.high)
        }
        _ => String::new(),
    };
    let star =
        if row.score.time_unknown { "; the time is not known and counts as that of the fleet's worst" } else { "" };
    let list = match row.list {
        List::Flying => "of those flying",
        List::AtShop => "of those at shop",
        List::Spare => "of the spares",
    };
    fact(
        "Score",
        format!("{:.0} of 100, place {} {list} by score{range}", row.score.score, row.score_rank),
        format!("time {time:.0}, air {air:.0}, damage {damage:.0}{star}"),
    )
}

fn air(subject: &Subject<'_, '_, '_>, facts: &mut Vec<Fact>) {
    let answers = subject.scene.answers;
    let all = answers.exposure();
    let Ok(at) = all.binary_search_by_key(&subject.key(), |e| e.propeller) else {
        return;
    };
    let own = &all[at];
    let bound = if own.start.is_lower_bound() { "at least " } else { "" };
    let says = match (own.known_index_g_m2(), own.years()) {
        (Some(index), Some(years)) => {
            format!("exposure index {bound}{index:.1} g/m² in {years:.1} years")
        }
        _ => "exposure not known: no start on record".to_string(),
    };
    facts.push(fact("Air", says, own.basis(answers.fleet)));
}

fn damage(subject: &Subject<'_, '_, '_>, facts: &mut Vec<Fact>) {
    let rates = subject.scene.answers.defect_rates();
    let Some(own) = rates.propellers.get(subject.key() as usize) else {
        return;
    };
    let mut about: Vec<String> = Vec::new();
    let says = match (&own.watch, own.rate) {
        (Ok(watch), Some(rate)) => {
            let found = count(watch.findings as usize, "finding");
            let by = match watch.hours_from {
                HoursFrom::Records => "",
                HoursFrom::FleetMedian => " at the fleet's median use",
            };
            about.push(format!(
                "{found} (strikes apart) in {}\u{a0}h{by} since {}",
                thousands(watch.hours),
                watch.from
            ));
            if let Some(mean) = rates.fleet_mean_per_100h {
                about.push(format!("the fleet's mean is {mean:.2}"));
            }
            format!(
                "{:.2} findings per 100\u{a0}h, {:.2} to {:.2} in nine of ten cases",
                rate.mean_per_100h, rate.low_per_100h, rate.high_per_100h
            )
        }
        (Err(reason), _) => format!("rate not known: {reason}"),
        (Ok(_), None) => "rate not known".to_string(),
    };
    about.extend(comes_back(&own.repeats));
    facts.push(fact("Damage rate", says, joined(&about)));
}
