//! How many overhauls a propeller has left.

use super::{Section, Teller, median};
use crate::analysis::chance::chance_in_words;
use crate::analysis::forecast::Fit;
use crate::analysis::forecast::other_causes::{Verdict, verdict};
use crate::analysis::margins::model_now;
use crate::analysis::remaining::{LimitingPoint, Remaining};
use crate::analysis::standing::List;
use crate::records::written::count;
use crate::trade::geometry::Dimension;

/// Chances shown one by one.
const OVERHAULS_SHOWN: u32 = 6;

pub(super) fn section(teller: &Teller<'_, '_, '_>) -> Section {
    let mut section = Section::new("Overhauls left");
    let answers = teller.answers;
    let all = answers.remaining();
    let Ok(at) = all.binary_search_by_key(&teller.propeller, |r| r.propeller) else {
        return section;
    };
    let own = &all[at];
    say_fits(teller, &mut section);
    match &own.limiting {
        Some(point) => say_point(teller, point, &mut section),
        None => section.say("No margin is known, so the chance of passing is not known either."),
    }
    say_chances(teller, own, &mut section);
    if let Some(mean) = own.mean() {
        let flying = answers
            .due()
            .rows
            .iter()
            .zip(all)
            .filter(|(due, _)| due.list == List::Flying)
            .filter_map(|(_, r)| r.mean())
            .collect();
        let quantile = |chance: f64| own.quantile(chance).map_or_else(String::new, |k| k.to_string());
        section.say(format!(
            "Overhauls left: {mean:.1} on average = the sum of these chances; {} to {} in eight of ten cases, {} in the middle. The middle of the flying propellers is {:.1}.",
            quantile(0.1),
            quantile(0.9),
            quantile(0.5),
            median(flying).unwrap_or(mean)
        ));
        let rejected = own.rejection_overhaul().and_then(|k| {
            let due = answers.due().of(teller.propeller)?;
            Some((k, due.overhaul_date(teller.fleet().as_of, k)?))
        });
        if let Some((k, day)) = rejected {
            section.say(format!(
                "The first overhaul it passes with a chance of one half or less is the {}, expected {day}.",
                nth(k)
            ));
        }
    }
    section.say(format!("Based on: {}.", own.basis()));
    section
}

fn nth(k: u32) -> String {
    match k {
        1 => "next".to_string(),
        2 => "second from now".to_string(),
        3 => "third from now".to_string(),
        more => format!("{more}th from now"),
    }
}

/// What the pools expect of a cycle.
fn say_fits(teller: &Teller<'_, '_, '_>, section: &mut Section) {
    let fits = teller.answers.fits();
    let model = model_now(teller.fleet(), teller.propeller);
    for dimension in Dimension::ALL {
        let pool = fits.pool(model, dimension);
        let so_far = fits.cycles.numbering.so_far(teller.propeller);
        let Some(course) = pool.course(teller.propeller, so_far) else {
            section.say(format!(
                "Loss of {} at an overhaul: not estimable, the pool {} has {}.",
                dimension.word(),
                pool.name,
                count(pool.cycles, "cycle")
            ));
            continue;
        };
        let common = course.common;
        let own = fits.cycles.of_propellers(dimension, teller.propeller..teller.propeller + 1).len();
        section.say(format!(
            "Loss of {} at an overhaul: {:.4} in expected of this propeller (uncertain by {:.4}), {:.4} of the pool {} ({} of {}), from {own} of its own; one overhaul varies by {:.4}, a single station by {:.4} more.",
            dimension.word(),
            course.next_mean(),
            common.mean_variance.sqrt(),
            pool.mean_loss_in().unwrap_or(common.mean),
            pool.name,
            count(pool.cycles, "cycle"),
            count(pool.propellers, "propeller"),
            common.cycle_variance.sqrt(),
            pool.own.sum_variance(1).sqrt(),
        ));
        say_growth(pool, dimension, section);
    }
}

/// Whether losses rise from one overhaul to the next.
fn say_growth(pool: &Fit, dimension: Dimension, section: &mut Section) {
    let measured = pool.growth.measured.and_then(|m| Some((m.slope, m.standard_error()?)));
    let Some((slope, error)) = measured else {
        return;
    };
    section.say(format!(
        "Loss of {} from one overhaul to the next within propellers: {slope:+.5} in, standard error {error:.5}{}; the forecast adds {:.5} in an overhaul.",
        dimension.word(),
        if pool.growth.is_clear() { ", so this fleet loses more each time" } else { ", no clear rise" },
        pool.growth.rise.mean
    ));
}

fn say_point(teller: &Teller<'_, '_, '_>, point: &LimitingPoint, section: &mut Section) {
    let fleet = teller.fleet();
    let station = model_now(fleet, teller.propeller)
        .and_then(|m| fleet.models.get(m).stations.get(usize::from(point.margin.station)));
    let at = station.and_then(|s| s.pct).map_or_else(
        || station.and_then(|s| s.station_in).map_or_else(String::new, |i| format!(" at {i:.2} in")),
        |pct| format!(" at {pct:.0} %"),
    );
    let place = format!("blade {}{at}, {}", point.margin.blade, point.margin.dimension.word());
    let margin = point.margin_in;
    match point.expected_loss_in {
        _ if margin < 0.0 => section.say(format!(
            "Decided at {place}: {margin:.3} in, below the minimum already."
        )),
        Some(loss) => section.say(format!(
            "Decided at {place}: margin {margin:.3} - {loss:.4} expected = {:.4} in after the next overhaul; this place alone passes it with {}.",
            margin - loss,
            chance_in_words(point.pass_chance_next)
        )),
        None => section.say(format!("Decided at {place}: margin {margin:.3} in.")),
    }
}

fn say_chances(teller: &Teller<'_, '_, '_>, own: &Remaining, section: &mut Section) {
    let Some(next) = own.pass_chance(1) else {
        return;
    };
    let counted = own.pass.as_ref().map_or(0, Vec::len) as u32;
    let chances: Vec<String> =
        (1..=counted.clamp(1, OVERHAULS_SHOWN)).filter_map(|k| own.pass_chance(k).map(chance_in_words)).collect();
    let more = if counted > OVERHAULS_SHOWN { ", ..." } else { "" };
    section.say(format!(
        "Chance that every place passes 1, 2, ... more overhauls: {}{more}{}.",
        chances.join(", "),
        if own.upper_bound { "; upper bounds, since something that could fail is not counted" } else { "" }
    ));
    match own.other_chance {
        Some(other) => {
            let fleet = teller.fleet();
            let (mut rejections, mut outcomes) = (0u32, 0u32);
            for number in 0..fleet.visits.len() as u32 {
                if let Some(verdict) = verdict(fleet, number) {
                    outcomes += 1;
                    rejections += u32::from(verdict == Verdict::Other);
                }
            }
            section.say(format!(
                "Other causes reject {:.2} % of overhauls = ({rejections} + 0.5)/({outcomes} outcomes + 1). The next overhaul rejects it with {} = 1 - {next:.3} x {:.4}.",
                other * 100.0,
                chance_in_words(1.0 - next * (1.0 - other)),
                1.0 - other
            ));
        }
        None => section.say(format!(
            "No outcome is recorded, so other causes are not counted. The next overhaul rejects it by its dimensions with {}.",
            chance_in_words(1.0 - next)
        )),
    }
}
