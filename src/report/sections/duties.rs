//! Everything that has a date, by month: a part of the section on when each comes due.

use std::collections::HashSet;

use askama::Template;

use crate::analysis::duties::{Family, Month, by_month};
use crate::report::scene::{Link, Scene};

/// Propellers named of one kind in one month.
const MOST_NAMED: usize = 6;

/// The part.
#[derive(Template)]
#[template(path = "duties.html", config = "src/report/askama.toml")]
pub struct Duties {
    months: Vec<Row>,
}

struct Row {
    name: String,
    is_overdue: bool,
    groups: Vec<Group>,
}

/// Duties of one kind in one month.
struct Group {
    words: String,
    named: Vec<Link>,
    more: usize,
}

impl Duties {
    pub(super) fn of(scene: &Scene<'_, '_, '_>) -> Duties {
        let duties = scene.answers.duties().iter().filter(|duty| scene.shown.shows(duty.propeller));
        let as_of = scene.answers.fleet.as_of;
        let row = |month: &Month<'_>| Row {
            name: month.name.clone(),
            is_overdue: month.duties.iter().any(|duty| duty.date < as_of),
            groups: month.counts().into_iter().map(|(family, many)| Group::of(scene, month, family, many)).collect(),
        };
        Duties { months: by_month(duties, as_of).iter().map(row).collect() }
    }
}

impl Group {
    fn of(scene: &Scene<'_, '_, '_>, month: &Month<'_>, family: Family, many: usize) -> Group {
        // Those far ahead are counted only.
        let of_family = || month.duties.iter().filter(|duty| duty.family() == family && !month.is_after);
        let mut propellers: Vec<u32> = of_family().map(|duty| duty.propeller).collect();
        let mut told = HashSet::new();
        propellers.retain(|propeller| told.insert(*propeller));
        let named: Vec<Link> = propellers.iter().take(MOST_NAMED).map(|&propeller| scene.link(propeller)).collect();
        Group { words: family.words(many), more: propellers.len() - named.len(), named }
    }
}
