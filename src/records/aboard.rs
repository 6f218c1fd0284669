//! Which propellers the records put on one aircraft today, where they are more than it carries.

use super::Fleet;
use super::choice::Status;
use crate::trade::calendar::Day;

/// What is wrong with a propeller's place on an aircraft today.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Crowd {
    /// A newer fitting of another propeller has overtaken its own, which has not ended.
    Overtaken,
    /// Its fitting overtook that of another propeller, which has not ended.
    Newer,
    /// Another fitting began on the same day.
    SameDay,
    /// `propellers` names the aircraft for another one too.
    NamedTwice,
    /// The aircraft carries several, and for one of them the place is not recorded.
    PlaceNotRecorded,
}

/// A propeller that shares its aircraft with more than the aircraft carries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Crowded {
    /// Index of the propeller.
    pub propeller: u32,
    /// Name of the aircraft.
    pub aircraft: String,
    /// What is wrong.
    pub crowd: Crowd,
    /// Another of those on it: the newest, or the first beside it.
    pub other: u32,
    /// Since when its fitting lasts; `None` when only `propellers` names the aircraft.
    pub since: Option<Day>,
}

#[derive(Debug, Clone, Copy)]
struct Member {
    propeller: u32,
    since: Option<Day>,
    position: Option<u32>,
}

impl Fleet<'_> {
    /// What is wrong with a propeller's place on its aircraft today, if anything is.
    pub fn crowded(&self, propeller: u32) -> Option<&Crowded> {
        let at = self.crowded.binary_search_by_key(&propeller, |c| c.propeller).ok()?;
        self.crowded.get(at)
    }

    /// Number of the aircraft a propeller is on today, its place there and since when: as fitted, else as `propellers`
    /// names it for one that flies. Aircraft that only `propellers` names count on behind the others.
    fn member(&self, propeller: u32, named: &[u32]) -> Option<(u32, Member)> {
        if let Some(fitting) = self.flying.fitted_now(propeller) {
            let member = Member { propeller, since: Some(fitting.from), position: fitting.position };
            return Some((fitting.aircraft, member));
        }
        let of = self.propellers.get(propeller);
        let code = of.aircraft.filter(|_| of.status == Status::Flying)?;
        Some((named[code as usize], Member { propeller, since: None, position: None }))
    }

    /// Aircraft of `propellers` by their number among all; those that no other table names count on behind the others.
    pub(crate) fn aircraft_named(&self) -> Vec<u32> {
        let known = self.flying.aircraft.len() as u32;
        let names = self.propellers.aircraft.iter().enumerate();
        names.map(|(code, name)| self.flying.aircraft.find(name).unwrap_or(known + code as u32)).collect()
    }

    /// Every propeller that shares its aircraft with more than it carries, in order of serial.
    pub(super) fn find_crowded(&self) -> Vec<Crowded> {
        let named = self.aircraft_named();
        let mut counts = vec![0u32; self.flying.aircraft.len() + named.len()];
        let propellers = 0..self.propellers.len() as u32;
        for (aircraft, _) in propellers.clone().filter_map(|p| self.member(p, &named)) {
            counts[aircraft as usize] += 1;
        }
        if counts.iter().all(|&count| count < 2) {
            return Vec::new();
        }
        let mut shared: Vec<(u32, Member)> = propellers
            .filter_map(|p| self.member(p, &named))
            .filter(|(aircraft, _)| counts[*aircraft as usize] > 1)
            .collect();
        shared.sort_by_key(|(aircraft, member)| (*aircraft, member.since, member.propeller));
        let mut list = Vec::new();
        for group in shared.chunk_by(|a, b| a.0 == b.0) {
            let known = self.flying.aircraft.len();
            let name = match group[0].0 as usize {
                at if at < known => self.flying.aircraft.get(at as u32),
                at => self.propellers.aircraft.get((at - known) as u32),
            };
            let members: Vec<Member> = group.iter().map(|(_, member)| *member).collect();
            judge(name, &members, self.aircraft.positions(name), &mut list);
        }
        list.sort_by_key(|c| c.propeller);
        list
    }
}

/// Judges the propellers on one aircraft, ascending by the first day of their fittings.
fn judge(aircraft: &str, members: &[Member], places: usize, list: &mut Vec<Crowded>) {
    let with_place = members.iter().filter(|m| m.position.is_some()).count();
    let only_named = members.iter().any(|m| m.since.is_none());
    if with_place == members.len() {
        let mut by_place = members.to_vec();
        // Equal places stay in order of their days.
        by_place.sort_by_key(|m| m.position);
        for of_one in by_place.chunk_by(|a, b| a.position == b.position) {
            overtaken(aircraft, of_one, 1, list);
        }
    } else if only_named && members.len() > places {
        all(aircraft, members, Crowd::NamedTwice, list);
    } else if with_place > 0 && places > 1 {
        all(aircraft, members, Crowd::PlaceNotRecorded, list);
    } else {
        overtaken(aircraft, members, places, list);
    }
}

fn all(aircraft: &str, members: &[Member], crowd: Crowd, list: &mut Vec<Crowded>) {
    for (at, member) in members.iter().enumerate() {
        let other = members[usize::from(at == 0)].propeller;
        let aircraft = aircraft.to_string();
        list.push(Crowded { propeller: member.propeller, aircraft, crowd, other, since: member.since });
    }
}

/// Of more fittings than places the oldest are overtaken; those that began on the day of the last overtaken one cannot be
/// told apart from it.
fn overtaken(aircraft: &str, members: &[Member], places: usize, list: &mut Vec<Crowded>) {
    let Some(over) = members.len().checked_sub(places).filter(|&over| over > 0) else { return };
    let boundary = members[over - 1].since;
    let newest = members[members.len() - 1];
    let tied = boundary == members[over].since;
    for member in members {
        let crowd = match member.since.cmp(&boundary) {
            std::cmp::Ordering::Equal if tied => Crowd::SameDay,
            std::cmp::Ordering::Greater => Crowd::Newer,
            _ => Crowd::Overtaken,
        };
        let beside = || members.iter().find(|m| m.propeller != member.propeller && m.since == member.since);
        let other = match crowd {
            Crowd::SameDay => beside().map_or(newest.propeller, |m| m.propeller),
            Crowd::Newer => members[over - 1].propeller,
            _ => newest.propeller,
        };
        let aircraft = aircraft.to_string();
        list.push(Crowded { propeller: member.propeller, aircraft, crowd, other, since: member.since });
    }
}
