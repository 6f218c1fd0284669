//! Whether someone has seen why a propeller stands in its tier. It never changes a tier, only the order inside one.
//!
//! A decision names a reason in the ranking's words. Spans of time in them (`by 412 days`, `133 h flown since`) grow by
//! themselves and are left out of the comparison; everything else must be the same, so that a deeper nick is a new reason. A
//! decision without a reason, a name or an end names nothing, so that no empty cell makes a propeller look seen.

use super::tiers::Reason;
use crate::records::Fleet;
use crate::records::decisions::Decision;
use crate::trade::calendar::Day;

/// Someone has seen every reason that holds a propeller in its tier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// Who.
    pub by: Box<str>,
    /// The day of the decision.
    pub on: Day,
    /// The last day it holds.
    pub until: Day,
}

/// What stands between two reasons in the ranking's words.
const BETWEEN_REASONS: &str = "; also ";

impl Seen {
    /// By decisions in force today about every one of the reasons of the tier that the first stands in; of these the one that
    /// ends first.
    pub fn of(fleet: &Fleet<'_>, propeller: u32, reasons: &[Reason]) -> Option<Seen> {
        let decisions = fleet.decisions.of(propeller);
        let tier = reasons.first()?.ground.tier();
        if decisions.is_empty() {
            return None;
        }
        let mut ends_first: Option<Seen> = None;
        for reason in reasons.iter().filter(|r| r.ground.tier() == tier) {
            let named = decisions.iter().filter(|d| names(d, reason)).filter_map(|d| in_force(d, fleet.as_of));
            let seen = named.max_by(|a, b| (a.until, a.on, &a.by).cmp(&(b.until, b.on, &b.by)))?;
            if ends_first
                .as_ref()
                .is_none_or(|first| (seen.until, seen.on, &seen.by) < (first.until, first.on, &first.by))
            {
                ends_first = Some(seen);
            }
        }
        ends_first
    }

    /// `seen by X on DATE until DATE`.
    pub fn words(&self) -> String {
        format!("seen by {} on {} until {}", self.by, self.on, self.until)
    }
}

/// A decision that holds today: with a name, and an end that has not passed.
fn in_force(decision: &Decision, today: Day) -> Option<Seen> {
    let until = decision.until.filter(|&until| until >= today)?;
    Some(Seen { by: decision.by.clone()?, on: decision.day, until })
}

/// Whether a decision names a reason.
fn names(decision: &Decision, reason: &Reason) -> bool {
    let Some(written) = decision.reason.as_deref() else { return false };
    let wanted = without_spans_of_time(&reason.words);
    without_spans_of_time(written) == wanted
        || written.split(BETWEEN_REASONS).any(|part| without_spans_of_time(part) == wanted)
}

/// Whether a decision names one of today's reasons.
pub fn names_any(decision: &Decision, reasons: &[Reason]) -> bool {
    reasons.iter().any(|reason| names(decision, reason))
}

const UNITS_OF_TIME: [&str; 8] = ["day", "days", "month", "months", "year", "years", "h", "hours"];

/// The words in small letters, single blanks between them, numbers with a unit of time left out.
fn without_spans_of_time(words: &str) -> String {
    let words = words.trim().trim_end_matches('.').to_lowercase();
    let mut kept: Vec<&str> = Vec::new();
    for word in words.split_whitespace() {
        let number = |before: &&str| before.parse::<f64>().is_ok();
        if UNITS_OF_TIME.contains(&word.trim_end_matches([',', ';', ')'])) && kept.last().is_some_and(number) {
            kept.pop();
        } else {
            kept.push(word);
        }
    }
    kept.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_that_passes_is_left_out_and_nothing_else() {
        let same = |a: &str, b: &str| without_spans_of_time(a) == without_spans_of_time(b);
        assert!(same("past binding limit by 412 days", "Past binding limit  by 413 days."));
        assert!(same("past binding limit by 0.9 years", "past binding limit by 1.1 years"));
        assert!(same("133 h flown since, it holds for 100 h", "140 h flown since, it holds for 100 h"));
        assert!(!same("nick 0.010 in deep", "nick 0.020 in deep"));
        assert!(!same("annual of 2025-01-01 unsatisfactory", "annual of 2026-01-01 unsatisfactory"));
        assert!(!same("past binding limit by 1.1 years", "past binding limit by 1.1 years and 3 h"));
        assert!(!same("past binding limit by 9 days", "past recommended limit by 9 days"));
    }
}
