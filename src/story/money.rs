//! What the next overhaul will cost, and whether buying now beats waiting.

use super::{Section, Teller};
use crate::analysis::chance::chance_in_words;
use crate::analysis::plan::purchases::{buy_from_chance, expected_saving, order_by, reject_chance};
use crate::records::schema::Table;
use crate::results::answers::Shown;

pub(super) fn section(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("Money");
    let answers = teller.answers;
    let fleet = teller.fleet();
    let all = answers.remaining();
    let (Ok(at), Some(due)) =
        (all.binary_search_by_key(&teller.propeller, |r| r.propeller), answers.due().of(teller.propeller))
    else {
        return section;
    };
    let planning = answers.planning(&Shown::all());
    let price = planning.planned.prices.of(due.model);
    let lead = planning.planned.prices.lead(due.model);
    let row = due.model.and_then(|m| fleet.prices.of(m)).map(|p| p.row);
    let record = teller.record(Table::Prices, row);
    let currency = answers.settings.fleet.currency.as_deref().map_or_else(String::new, |c| format!(" {c}"));
    let Some(costs) = price.costs else {
        section.say("No prices are on record.");
        return section;
    };
    let stand_in = if price.stand_in { ", the dearest of other models, since its own has none" } else { "" };
    section.say(format!(
        "Prices today{record}{stand_in}: overhaul {:.0}, new propeller {:.0}, rejection {:.0}, removal and freight {:.0}{currency}.",
        costs.overhaul, costs.replacement, costs.rejection, costs.removal
    ));
    if let Some(day) = fleet.end_of(teller.propeller) {
        section.say(format!(
            "It is out of service since {day} on record, so the plan counts nothing for it. If it hangs on an aircraft, a replacement is needed now."
        ));
        return section;
    }
    let Some(reject) = reject_chance(&all[at]) else {
        section.say("The chance of rejection is not known, so nothing is expected of the next overhaul alone.");
        return section;
    };
    let pass = 1.0 - reject;
    section.say(format!(
        "Next overhaul: {pass:.3} x ({:.0} + {:.0}) + {reject:.3} x ({:.0} + {:.0} + {:.0}) = {:.0}{currency} expected.",
        costs.overhaul,
        costs.removal,
        costs.rejection,
        costs.replacement,
        costs.removal,
        pass * costs.of_passing() + reject * costs.of_rejection()
    ));
    let saving = expected_saving(reject, &costs);
    section.say(format!(
        "Buying now instead of sending it in, in cash: {reject:.3} x {:.0} - {pass:.3} x ({:.0} - {:.0}) = {saving:.0}{currency}; it would have passed with {}, and that life is not valued here.",
        costs.rejection,
        costs.replacement,
        costs.overhaul,
        chance_in_words(pass)
    ));
    section.say(format!(
        "Cash favours buying from a chance of rejection of {} on: ({:.0} - {:.0})/({:.0} + {:.0} - {:.0}).",
        chance_in_words(buy_from_chance(&costs)),
        costs.replacement,
        costs.overhaul,
        costs.rejection,
        costs.replacement,
        costs.overhaul
    ));
    if all[at].below_minimum {
        section.say("It is below a minimum by its last sheet: the plan counts its rejection now, and a replacement is ordered now.");
    } else if let Some(day) = order_by(due.due_p10, due.due, lead) {
        let by = if day > fleet.as_of { format!("by {day}") } else { "now".to_string() };
        section.say(format!(
            "A replacement that must be there when it is due is ordered {by}: {} less {:.0} days ({}).",
            due.due_p10.or(due.due).map_or_else(String::new, |d| d.to_string()),
            lead.days,
            lead.words()
        ));
    }
    section
}
