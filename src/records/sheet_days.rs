//! Which shop visit each row of measurements belongs to.

use std::sync::Mutex;

use rayon::prelude::*;

use super::gate::{FIRST_DAY, Gate};
use super::ledger::Fate;
use super::measurements::{NO_VISIT, ROWS_AT_ONCE};
use super::propellers::Propellers;
use super::rule::Doubt;
use super::visits::{PropellerOfCode, Visits, named_by_broken};
use crate::trade::calendar::Day;

/// Days between a measurement's date and the visit it may belong to.
const NEAR_DAYS: i32 = 30;

/// The visit of each used row; [`NO_VISIT`] where none explains it.
pub(super) fn match_visits(
    gate: &mut Gate<'_>,
    codes: &[u32],
    days: &[i32],
    index: &PropellerOfCode,
    visits: &Visits,
) -> Vec<u32> {
    let mut visit = vec![NO_VISIT; codes.len()];
    let nearby: Mutex<Vec<(u32, u32)>> = Mutex::new(Vec::new());
    visit.par_chunks_mut(ROWS_AT_ONCE).zip(gate.fates.par_chunks(ROWS_AT_ONCE)).enumerate().for_each(
        |(chunk, (visit, fates))| {
            let first = chunk * ROWS_AT_ONCE;
            let mut near_here = Vec::new();
            let mut last = (u32::MAX, i32::MIN, NO_VISIT, false);
            for (at, (visit, fate)) in visit.iter_mut().zip(fates).enumerate() {
                let row = first + at;
                if *fate != Fate::Used {
                    continue;
                }
                let (code, day) = (codes[row], days[row]);
                if (code, day) == (last.0, last.1) {
                    *visit = last.2;
                    if last.3 {
                        near_here.push((row as u32, last.2));
                    }
                    continue;
                }
                let Some(propeller) = index.of(code) else {
                    continue;
                };
                let range = visits.range(propeller);
                let of = visits.days_of(propeller);
                let exact = of.binary_search(&day);
                let (found, is_near) = match exact {
                    Ok(at) => (range.start + at as u32, false),
                    Err(_) => {
                        let mut near = of.iter().enumerate().filter(|(_, visit)| (**visit - day).abs() <= NEAR_DAYS);
                        match (near.next(), near.next()) {
                            (Some((at, _)), None) => {
                                near_here.push((row as u32, range.start + at as u32));
                                (range.start + at as u32, true)
                            }
                            _ => (NO_VISIT, false),
                        }
                    }
                };
                *visit = found;
                last = (code, day, found, is_near);
            }
            if !near_here.is_empty()
                && let Ok(mut list) = nearby.lock()
            {
                list.extend(near_here);
            }
        },
    );
    let mut nearby = nearby.into_inner().unwrap_or_default();
    nearby.sort_unstable();
    for (row, found) in nearby {
        let of = visits.get(found);
        gate.caution(row, "overhaul_date", Doubt::MatchedNearby, Some(of.propeller), Some(of.day));
    }
    visit
}

/// Gives days that no visit explains a visit of their own: those of used rows, and those of rows set aside, which say that
/// the propeller was measured on that day even if not what was read.
pub(super) fn add_unexplained_days(
    gate: &mut Gate<'_>,
    codes: &[u32],
    days: &[i32],
    index: &PropellerOfCode,
    visit: &mut [u32],
    visits: &mut Visits,
    propellers: &Propellers,
) {
    let unexplained: Vec<(usize, u32, Day)> = gate
        .used_rows()
        .filter(|&row| visit[row] == NO_VISIT)
        .filter_map(|row| Some((row, index.of(codes[row])?, Day::from_number(days[row]))))
        .collect();
    let mut new_days: Vec<(u32, Day)> = unexplained.iter().map(|&(_, p, d)| (p, d)).collect();
    new_days.sort_unstable();
    new_days.dedup();
    let asides = gate.set_aside.iter().map(|aside| aside.row as usize);
    let lost: Vec<(u32, Day)> = asides
        .filter_map(|row| {
            let (propeller, day) = (index.of(codes[row])?, Day::from_number(days[row]));
            let from = new_days.partition_point(|&known| known < (propeller, day + -NEAR_DAYS));
            let explained = new_days.get(from).is_some_and(|&(p, d)| p == propeller && d - day <= NEAR_DAYS)
                || visits.of(propeller).iter().any(|v| (v.day - day).abs() <= NEAR_DAYS);
            (days[row] >= FIRST_DAY && !explained).then_some((propeller, day))
        })
        .collect();
    new_days.extend(lost);
    if new_days.is_empty() {
        return;
    }
    let moved = visits.add_days(new_days, propellers.len());
    for number in visit.iter_mut().filter(|v| **v != NO_VISIT) {
        *number = moved[*number as usize];
    }
    for (row, propeller, day) in unexplained {
        let start = visits.range(propeller).start;
        if let Ok(at) = visits.of(propeller).binary_search_by_key(&day, |v| v.day) {
            visit[row] = start + at as u32;
        }
        gate.caution(row as u32, "overhaul_date", Doubt::WithoutVisit, Some(propeller), Some(day));
    }
}

/// Rows set aside that name a propeller, with their day where it could be read, by propeller.
pub(super) fn spoiled_rows(
    gate: &Gate<'_>,
    codes: &[u32],
    days: &[i32],
    index: &PropellerOfCode,
    propellers: &Propellers,
) -> Vec<(u32, Option<Day>)> {
    let day_of = |row: usize| Some(days[row]).filter(|&d| d >= FIRST_DAY).map(Day::from_number);
    let mut spoiled: Vec<(u32, Option<Day>)> = gate
        .set_aside
        .iter()
        .filter_map(|aside| Some((index.of(codes[aside.row as usize])?, day_of(aside.row as usize))))
        .chain(named_by_broken(gate, propellers).into_iter().map(|(_, propeller)| (propeller, None)))
        .collect();
    spoiled.sort_unstable();
    spoiled
}
