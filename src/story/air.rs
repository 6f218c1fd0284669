//! What the air has done to a propeller since its skin was new.

use super::{Section, Teller, median};
use crate::analysis::exposure::air::Airs;
use crate::analysis::exposure::start::FIRST_DAY_OF_RECORDS;
use crate::analysis::exposure::whereabouts::whereabouts_into;
use crate::records::schema::Table;
use crate::trade::calendar::years_between;
use crate::trade::corrosion::{POWER_LAW_YEARS, TIME_EXPONENT};

pub(super) fn section(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("Air");
    let answers = teller.answers;
    let fleet = teller.fleet();
    let all = answers.exposure();
    let Ok(at) = all.binary_search_by_key(&teller.propeller, |e| e.propeller) else {
        return section;
    };
    let own = &all[at];
    let from = own.start.day().unwrap_or(FIRST_DAY_OF_RECORDS);
    let airs = Airs::of_fleet(fleet, &answers.settings.exposure);
    let mut places = Vec::new();
    whereabouts_into(fleet, teller.propeller, from, own.until, &mut places);
    let rows = places
        .iter()
        .map(|place| {
            let air = airs.of(place.base);
            let base = place.base.map(|b| &fleet.places.bases()[b as usize]);
            vec![
                place.from.to_string(),
                place.to.to_string(),
                base.map_or_else(|| "not known".to_string(), |b| b.name.clone()),
                place.kept.word().to_string(),
                format!("{:.2}", years_between(place.from, place.to)),
                format!("{:.2}", air.rate_g_m2_year),
                air.source.words().to_string(),
                teller.record_cell(Table::Bases, base.map(|b| b.row)),
            ]
        })
        .collect();
    section.table(vec!["from", "to", "base", "kept", "years", "g/m2 a", "known by", "record"], rows);
    let bound = if own.start.is_lower_bound() { "at least " } else { "" };
    section.say(format!(
        "Exposure index {bound}{:.2} g/m2 = (sum of rate^(1/b) x years)^b, b = {TIME_EXPONENT}, for the first {POWER_LAW_YEARS:.0} years; the fleet's middle is {:.2}. It orders propellers; it is not metal lost.",
        own.index_g_m2,
        median(all.iter().map(|e| e.index_g_m2).collect()).unwrap_or(own.index_g_m2)
    ));
    section.say(format!("Based on: {}.", own.basis(fleet)));
    section
}
