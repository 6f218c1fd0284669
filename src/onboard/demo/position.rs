//! One aircraft's place in the fleet through the decades, and the propellers that turned on it one after another.

use rand_chacha::ChaCha8Rng;

use super::AS_OF;
use super::bases::BASES;
use super::damage::{self, Damage, Response};
use super::draws::{between, gamma, happens, pick, whole};
use super::flying::{Book, Readings, hours_flown};
use super::models::{DESIGNS, Design, L72_48, T70_54, W74_56, W76_58, W76_60};
use super::rows::{DefectRow, FittedRow, KeptRow, PropellerRow, Records};
use super::shop::{self, Outcome, Visit};
use super::unit::{Blend, Unit};
use crate::trade::calendar::{Day, month_end, same_day};
use crate::trade::damage::DefectKind;

/// First day of the invented fleet: 5 January 1998.
const FLEET_BEGINS: Day = Day::from_number(10_231);
/// From this day on a propeller may go on the shelf as a spare: 1 January 2021.
const SHELF_FROM: Day = Day::from_number(18_628);

/// Hands out serials until the fleet has as many propellers as were asked for.
#[derive(Debug)]
pub(super) struct Serials {
    pub next: usize,
    pub left: usize,
}

impl Serials {
    fn take(&mut self) -> Option<String> {
        if self.left == 0 {
            return None;
        }
        self.left -= 1;
        self.next += 1;
        Some(format!("BW-{}", self.next - 1))
    }

    fn peek(&self) -> Option<String> {
        (self.left > 0).then(|| format!("BW-{}", self.next))
    }
}

/// What an aircraft's place in the fleet is like; drawn once.
#[derive(Debug)]
struct Place {
    used_for: &'static str,
    design: &'static Design,
    begins: Day,
    /// Day on which the aircraft and its propeller are sold.
    sold: Option<Day>,
    hours_per_year: f64,
    /// Bases with the first day there, in order; the first holds from the start.
    stays: Vec<(Day, usize)>,
    kept: &'static str,
    writes_stays: bool,
    /// Runs past limits that are only recommended.
    unhurried: bool,
    /// Shelves the propeller that comes back from the shop next, from [`SHELF_FROM`] on.
    shelves: bool,
    /// Sends the propeller away shortly before the records end.
    in_shop_at_end: Option<Day>,
}

/// How a propeller's time on an aircraft ends.
enum Fate {
    /// Rejected, or scrapped after a crack.
    Scrapped(Day),
    Sold(Day),
    /// On the shelf as a spare.
    Shelved(Day),
    /// In the shop when the records end, since the first day, until the second.
    AtShop(Day, Day),
    /// Flying when the records end.
    Flying,
}

/// Simulates the place with this number, adds its rows and takes the serials it needs.
pub(super) fn simulate(rng: &mut ChaCha8Rng, records: &mut Records, serials: &mut Serials, number: usize) {
    let mut place = Place::draw(rng, number);
    let mut book = place.book(rng, number);
    let mut day = place.begins;
    let mut first = true;
    while day <= AS_OF {
        let Some(serial) = serials.take() else { return };
        let acquired = how_acquired(rng, first, day);
        let mut unit = Unit::arrive(rng, serial, place.design, acquired, day);
        if acquired == "overhauled" {
            shop::arrival_papers(rng, records, &mut unit);
        }
        first = false;
        let fate = place.live(rng, records, &mut book, &mut unit);
        let follows = serials.peek();
        place.write_propeller(records, &book, &unit, &fate, follows);
        match fate {
            Fate::Scrapped(end) => day = end + whole(rng, 4, 25),
            Fate::Shelved(end) => {
                place.shelves = false;
                day = end + 1;
            }
            Fate::Sold(_) | Fate::AtShop(..) | Fate::Flying => return,
        }
    }
}

fn how_acquired(rng: &mut ChaCha8Rng, first: bool, day: Day) -> &'static str {
    if first && day.year() < 2012 {
        pick(rng, &[("new", 0.5), ("overhauled", 0.26), ("used", 0.14), ("unknown", 0.1)])
    } else {
        pick(rng, &[("new", 0.82), ("overhauled", 0.18)])
    }
}

impl Place {
    fn draw(rng: &mut ChaCha8Rng, number: usize) -> Place {
        let used_for = pick(rng, &[("training", 0.32), ("rental", 0.24), ("club", 0.24), ("private", 0.20)]);
        let mean_hours = match used_for {
            "training" => 430.0,
            "rental" => 310.0,
            "club" => 190.0,
            _ => 70.0,
        };
        let design = pick(rng, &[(W76_60, 0.42), (W76_58, 0.08), (W74_56, 0.24), (L72_48, 0.18), (T70_54, 0.08)]);
        let begins = if happens(rng, 0.5) {
            FLEET_BEGINS + whole(rng, 0, 1_800)
        } else {
            FLEET_BEGINS + whole(rng, 1_800, 9_400)
        };
        let home = whole(rng, 0, 3) as usize;
        let mut stays = vec![(begins, home)];
        if happens(rng, 0.25) {
            let moved = begins + whole(rng, 600, (AS_OF - begins - 200).max(700));
            stays.push((moved, (home + whole(rng, 1, 3) as usize) % BASES.len()));
        }
        let hangar = match used_for {
            "private" => 0.7,
            "club" => 0.5,
            _ => 0.25,
        };
        Place {
            used_for,
            design: &DESIGNS[design],
            begins,
            sold: happens(rng, 0.07).then(|| begins + whole(rng, 1_500, 9_000)),
            hours_per_year: (gamma(rng, 12.0, mean_hours)).min(760.0),
            writes_stays: stays.len() > 1 || happens(rng, 0.5),
            stays,
            kept: if happens(rng, hangar) { "hangar" } else { "outside" },
            unhurried: used_for == "private" && happens(rng, 0.5),
            shelves: number % 9 == 4,
            in_shop_at_end: (number % 20 == 7).then(|| AS_OF + -whole(rng, 4, 19)),
        }
    }

    fn book(&self, rng: &mut ChaCha8Rng, number: usize) -> Book {
        let busy = matches!(self.used_for, "training" | "rental");
        let aircraft = match self.used_for {
            "training" => format!("Trainer {:02}", number + 1),
            "rental" => format!("Plover {}", number + 1),
            "club" => format!("Wagtail {}", number + 1),
            _ => format!("Dunlin {}", number + 1),
        };
        let readings = pick(
            rng,
            &[
                (Readings::Own, 0.44),
                (Readings::Meter("tach"), 0.27),
                (Readings::Meter("hobbs"), 0.18),
                (Readings::Meter("airframe"), 0.08),
                (Readings::Nobody, if busy { 0.0 } else { 0.05 }),
            ],
        );
        Book {
            aircraft,
            readings,
            every_days: if busy { 30 } else { 90 },
            quiet_after: (!busy && happens(rng, 0.08)).then(|| AS_OF + -whole(rng, 400, 900)),
            meter_hours: between(rng, 40.0, 6_000.0),
            last_reading: None,
            flown_since_check: 0.0,
            annual_due: month_end(self.begins, 12),
            hundred_hour: busy,
        }
    }

    fn base_on(&self, day: Day) -> usize {
        let stays = self.stays.iter().rev();
        stays.into_iter().find(|(from, _)| *from <= day).map_or(self.stays[0].1, |(_, base)| *base)
    }

    /// When the next overhaul is planned: a little before the limit, or well past one that is only recommended. One that
    /// came with a history of its own has no limit on record and goes in within a few years.
    fn plan(&self, rng: &mut ChaCha8Rng, unit: &Unit) -> (Day, f64) {
        let from = match (unit.overhauled, unit.acquired) {
            (Some(day), _) => day,
            (None, "new") => unit.in_service,
            (None, _) => {
                return (unit.in_service + whole(rng, 300, 1_800), between(rng, 300.0, 1_500.0));
            }
        };
        let months = unit.design.interval_months as u32;
        let limit =
            if unit.design.interval_rule == "month_end" { month_end(from, months) } else { same_day(from, months) };
        let hours = unit.design.interval_hours;
        if self.unhurried && unit.design.interval_force == "recommended" {
            let late = gamma(rng, 1.5, 330.0).min(900.0);
            (limit + late as i32, hours + late)
        } else {
            (limit + -whole(rng, 2, 70), hours - between(rng, 4.0, 45.0))
        }
    }

    /// Flies a propeller until something ends its time on this aircraft.
    fn live(&self, rng: &mut ChaCha8Rng, records: &mut Records, book: &mut Book, unit: &mut Unit) -> Fate {
        let mut day = unit.in_service;
        let mut fitted = fit(records, book, unit, day);
        unit.planned = self.plan(rng, unit);
        loop {
            let (mut planned_day, planned_hours) = unit.planned;
            if let Some(away) = self.in_shop_at_end
                && away - unit.overhauled.unwrap_or(unit.in_service) > 1_200
            {
                planned_day = planned_day.min(away);
            }
            let mut end = (day + 30).min(planned_day).min(AS_OF);
            if let Some(sold) = self.sold {
                end = end.min(sold);
            }
            end = end.max(day + 1).min(AS_OF.max(day));
            let mut hours = hours_flown(rng, self.hours_per_year, day, end - day);
            let mut to_shop = (end >= planned_day).then_some(Visit::Overhaul);
            let left = (planned_hours - unit.hours_on_clock).max(0.0);
            if hours >= left && end > day {
                let share = left / hours;
                end = day + ((f64::from(end - day) * share).ceil() as i32).max(1);
                hours = left;
                to_shop = Some(Visit::Overhaul);
            }
            let rate = BASES[self.base_on(day)].findings_per_100h * unit.luck;
            let found =
                if end > day { damage::found_between(rng, unit.design, (day, end), hours, rate) } else { Vec::new() };
            let (stop, scrapped) = meet_damage(rng, &mut records.defects, unit, &found);
            if let Some((cause, on)) = stop {
                hours *= f64::from(on - day) / f64::from((end - day).max(1));
                end = on;
                to_shop = Some(cause);
            }
            unit.fly(hours);
            book.fly(hours);
            look_again(rng, &mut records.defects, unit, end);
            let leaves = to_shop.is_some() || scrapped;
            book.read(records, unit, end, leaves);
            book.inspect(rng, records, unit, end);
            if scrapped {
                records.fitted[fitted].to = Some(end);
                return Fate::Scrapped(end);
            }
            if let Some(cause) = to_shop {
                records.fitted[fitted].to = Some(end);
                let with_hours = !matches!(book.readings, Readings::Nobody);
                match shop::visit(rng, records, unit, cause, end, with_hours) {
                    Outcome::StillThere(back) => return Fate::AtShop(end, back),
                    Outcome::Rejected(on) => return Fate::Scrapped(on),
                    Outcome::Released(on) => {
                        if cause == Visit::Overhaul {
                            unit.planned = self.plan(rng, unit);
                            if self.shelves && on >= SHELF_FROM {
                                return Fate::Shelved(on);
                            }
                        }
                        day = (on + whole(rng, 1, 4)).min(AS_OF);
                        fitted = fit(records, book, unit, day);
                        continue;
                    }
                }
            }
            if self.sold.is_some_and(|sold| end >= sold) {
                records.fitted[fitted].to = Some(end);
                return Fate::Sold(end);
            }
            if end >= AS_OF {
                return Fate::Flying;
            }
            day = end;
        }
    }

    fn write_propeller(&self, records: &mut Records, book: &Book, unit: &Unit, fate: &Fate, follows: Option<String>) {
        let (status, end, on_aircraft) = match fate {
            Fate::Scrapped(day) => ("scrapped", Some(*day), false),
            Fate::Sold(day) => ("sold", Some(*day), false),
            Fate::Shelved(_) => ("spare", None, false),
            Fate::AtShop(..) => ("at shop", None, false),
            Fate::Flying => ("flying", None, true),
        };
        let last_day = end.unwrap_or(AS_OF);
        let replaced = matches!(fate, Fate::Scrapped(day) if *day + 25 <= AS_OF);
        records.propellers.push(PropellerRow {
            serial: unit.serial.clone(),
            model: unit.design.model,
            used_for: self.used_for,
            base: BASES[self.base_on(last_day)].name,
            aircraft: on_aircraft.then(|| book.aircraft.clone()),
            in_service: unit.in_service,
            acquired: unit.acquired,
            status,
            end,
            at_shop: match fate {
                Fate::AtShop(sent, back) => Some((*sent, *back, shop::SHOPS[0].0)),
                _ => None,
            },
            replaced_by: follows.filter(|_| replaced),
            reports_kept_since: unit.reports_kept_since,
        });
        if !self.writes_stays {
            return;
        }
        let mut keep = |base: usize, from| {
            records.kept.push(KeptRow {
                serial: unit.serial.clone(),
                base: BASES[base].name,
                from,
                kept: Some(self.kept),
            });
        };
        keep(self.base_on(unit.in_service), unit.in_service);
        for (from, base) in &self.stays {
            if *from > unit.in_service && *from <= last_day {
                keep(*base, *from);
            }
        }
    }
}

/// Puts a propeller on its aircraft and writes the first reading; gives the place of the row.
fn fit(records: &mut Records, book: &mut Book, unit: &Unit, from: Day) -> usize {
    records.fitted.push(FittedRow { serial: unit.serial.clone(), aircraft: book.aircraft.clone(), from, to: None });
    book.read(records, unit, from, true);
    records.fitted.len() - 1
}

/// Looks again at accepted damage whose day has come, and dresses it.
fn look_again(rng: &mut ChaCha8Rng, reports: &mut [DefectRow], unit: &mut Unit, day: Day) {
    let (ready, waiting): (Vec<_>, Vec<_>) = unit.accepted.iter().copied().partition(|(_, _, again)| *again <= day);
    unit.accepted = waiting;
    for (row, what, again) in ready {
        // One in ten is forgotten and stays as it was written.
        if happens(rng, 0.1) {
            continue;
        }
        damage::blend(unit, what);
        reports[row].action = "blended";
        reports[row].action_date = Some(again);
        reports[row].recheck = None;
    }
}

/// Answers the findings of a stretch in order; what follows one that grounds the propeller was never found. Gives the
/// cause and day of a visit to the shop, and whether the propeller was scrapped.
fn meet_damage(
    rng: &mut ChaCha8Rng,
    reports: &mut Vec<DefectRow>,
    unit: &mut Unit,
    found: &[Damage],
) -> (Option<(Visit, Day)>, bool) {
    for finding in found {
        let cause = if finding.kind == DefectKind::Strike { Visit::Strike } else { Visit::Repair };
        match damage::respond(rng, reports, unit, finding) {
            Response::FliesOn => {}
            Response::Scrapped => return (Some((cause, finding.found)), true),
            Response::Shop => {
                if !finding.kind.is_shop_only() {
                    // The shop dresses what the field could not.
                    damage::blend(
                        unit,
                        Blend {
                            blade: finding.blade,
                            station_pct: finding.station_pct,
                            surface: finding.surface,
                            depth_in: finding.depth_in,
                        },
                    );
                }
                return (Some((cause, finding.found)), false);
            }
        }
    }
    (None, false)
}
