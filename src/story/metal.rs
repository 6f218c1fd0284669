//! What is left of a propeller's blades, place by place, and what each overhaul took.

use super::{Section, Teller};
use crate::analysis::margins::{Basis, Margin, model_now};
use crate::records::measurements::Moment;
use crate::records::schema::Table;
use crate::trade::geometry::Dimension;

fn inches(value: Option<f64>) -> String {
    value.map_or_else(|| "not known".to_string(), |v| format!("{v:.3}"))
}

pub(super) fn margins(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("Metal left, inches");
    let answers = teller.answers;
    let fleet = teller.fleet();
    let mut margins = answers.margins().of(teller.propeller);
    if margins.is_empty() {
        section.say("No margin can be worked out: the model, or what its maker's manual limits, is not on record.");
        return section;
    }
    // The least left first; what is not known may be less.
    margins.sort_by(|a, b| {
        let known = |m: &Margin| m.margin_in.is_some();
        known(a).cmp(&known(b)).then(
            a.margin_fraction.unwrap_or(f64::NEG_INFINITY).total_cmp(&b.margin_fraction.unwrap_or(f64::NEG_INFINITY)),
        )
    });
    section.say(
        "Margin = value - minimum - dressed since. The value is the last reading, or what is expected of it today where it was not read at the last visit. The least left comes first.",
    );
    let elsewhere: Vec<String> = margins
        .iter()
        .filter_map(|m| Some((m, m.least_at_in?)))
        .map(|(m, at_in)| format!("blade {} {} at {at_in:.2} in", m.blade, m.dimension.word()))
        .collect();
    if !elsewhere.is_empty() {
        section.say(format!(
            "Least is left beside the station, where a blend or a reading lies and dimensions are interpolated: {}.",
            elsewhere.join(", ")
        ));
    }
    let worse = margins.iter().filter(|m| m.margin_worst_in < m.margin_in);
    if let Some(least) = worse.filter_map(|m| m.margin_worst_in).reduce(f64::min) {
        section.say(format!(
            "Dressings without depth, place or surface, and reports that could not be read, are not counted here; with what may stand in for them the least is {least:.3} in."
        ));
    }
    if let Some(diameter) =
        answers.margins().diameter(teller.propeller).filter(|d| d.minimum_in.is_some() || d.dressed_in > 0.0)
    {
        let read = diameter.read_on.map_or_else(|| "of the designation".to_string(), |day| format!("read {day}"));
        let left = match (diameter.minimum_in, diameter.left_in) {
            (Some(min), Some(left)) => format!("minimum {min:.3}, left {left:.3}"),
            _ => "no minimum on record".to_string(),
        };
        section.say(format!(
            "Diameter {:.3} ({read}), {:.3} dressed off the tips since: {left}.",
            diameter.last_in, diameter.dressed_in
        ));
    }
    let model = model_now(fleet, teller.propeller).map(|m| fleet.models.get(m));
    let rows = margins
        .iter()
        .map(|m| {
            let station = model.and_then(|model| model.stations.get(usize::from(m.station)));
            let at = station.map_or_else(String::new, |s| match (s.pct, s.station_in) {
                (Some(pct), _) => format!("{pct:.0} %"),
                (None, Some(inches)) => format!("{inches:.2} in"),
                (None, None) => String::new(),
            });
            let known = match m.last_measured {
                Some(day) if m.basis != Basis::Measured => {
                    format!("{}, read {day}", m.basis.words())
                }
                Some(day) => day.to_string(),
                None => m.basis.words().to_string(),
            };
            vec![
                m.blade.to_string(),
                at,
                m.dimension.word().to_string(),
                inches(m.value_in),
                inches(m.minimum_in),
                format!("{:.3}", m.dressed_since_in),
                inches(m.margin_in),
                m.margin_fraction.map_or_else(String::new, |f| format!("{:.0} %", f * 100.0)),
                known,
                sheet_row(teller, m),
            ]
        })
        .collect();
    section.table(vec!["blade", "at", "of", "value", "min", "dressed", "margin", "of new", "read", "record"], rows);
    section
}

/// File and line of the reading behind a margin.
fn sheet_row(teller: &Teller<'_, '_, '_>, margin: &Margin) -> String {
    let fleet = teller.fleet();
    let Some(day) = margin.last_measured else {
        return String::new();
    };
    let measurements = &fleet.measurements;
    let position = fleet
        .visits
        .range(teller.propeller)
        .filter(|&number| fleet.visits.get(number).day == day)
        .flat_map(|number| measurements.range(number))
        .find(|&position| {
            measurements.blade(position) == margin.blade
                && measurements.station(position) == margin.station
                && [Moment::After, Moment::Before]
                    .into_iter()
                    .any(|moment| measurements.reading(margin.dimension, moment, position).is_some())
        });
    teller.record_cell(Table::Measurements, position.map(|position| measurements.row(position)))
}

pub(super) fn losses(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("What its shop visits were, and what overhauls took");
    let fleet = teller.fleet();
    let fits = teller.answers.fits();
    let lost = |number: u32, dimension: Dimension| {
        let own = fits.cycles.of_propellers(dimension, teller.propeller..teller.propeller + 1);
        let Some(cycle) = own.iter().find(|c| c.visit == number) else {
            return String::new();
        };
        let spanned = if cycle.spanned > 1 { format!(" (of {})", cycle.spanned) } else { String::new() };
        let first = if cycle.from_drawing { " *" } else { "" };
        format!("{:.4}{spanned}{first}", cycle.lost_in())
    };
    let rows: Vec<Vec<String>> = fleet
        .visits
        .range(teller.propeller)
        .map(|number| {
            let visit = fleet.visits.get(number);
            let word = |word: Option<&'static str>| word.unwrap_or("not recorded").to_string();
            let outcome = match visit.reject_reason {
                Some(reason) => format!("{}: {}", word(visit.outcome.map(|o| o.word())), reason.word()),
                None => word(visit.outcome.map(|o| o.word())),
            };
            let (work, outcome) = match visit.row {
                Some(_) => (word(visit.work.map(|w| w.word())), outcome),
                None => ("readings only".to_string(), String::new()),
            };
            vec![
                visit.day.to_string(),
                work,
                outcome,
                visit.shop.map_or_else(String::new, |shop| fleet.visits.shops.get(shop).to_string()),
                lost(number, Dimension::Thickness),
                lost(number, Dimension::Width),
                fleet.measurements.range(number).len().to_string(),
                teller.record_cell(Table::Overhauls, visit.row),
            ]
        })
        .collect();
    if rows.is_empty() {
        section.say("No shop visit is on record.");
        return section;
    }
    section.say(
        "Losses are from overhaul to overhaul: the mean over blades and stations, each station's usual difference taken out, in inches. A star: counted from the new dimension, so with the maker's tolerance. (of 2): the mean of two overhauls, since readings between them are missing.",
    );
    section.table(vec!["visit", "work", "outcome", "shop", "thickness", "width", "rows", "record"], rows);
    section
}
