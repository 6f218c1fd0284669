//! What is open: findings, inspections that are not in order, events without the engine's check, those to be looked at again.

use askama::Template;

use crate::analysis::open::{Matter, Open as Row, counts};
use crate::report::scene::{Scene, Who};
use crate::report::words::quoted;

/// Lines of one kind.
const MOST_LISTED: usize = 100;

/// The section.
#[derive(Template)]
#[template(path = "open.html", config = "src/report/askama.toml")]
pub struct Open {
    summary: Vec<String>,
    groups: Vec<Group>,
}

/// What is open of one kind.
struct Group {
    name: &'static str,
    lines: Vec<Line>,
    more: usize,
}

struct Line {
    who: Who,
    reason: String,
    next_step: String,
}

impl Open {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Open {
        let open = scene.answers.open(scene.shown);
        let kinds: [(&'static str, &[Matter]); 3] = [
            (
                "Open findings, the most severe first; those to be looked at again last",
                &[Matter::Finding, Matter::Recheck],
            ),
            ("Inspections lapsed, not satisfactory, in doubt or not on record", &[Matter::Inspection]),
            ("Events without the engine\u{2019}s check, the newest first", &[Matter::Event]),
        ];
        let groups = kinds.into_iter().filter_map(|(name, matters)| Group::of(scene, &open, name, matters)).collect();
        Open { summary: counts(&open), groups }
    }
}

impl Group {
    fn of(scene: &Scene<'_, '_, '_>, open: &[&Row], name: &'static str, matters: &[Matter]) -> Option<Group> {
        let all: Vec<&&Row> = open.iter().filter(|row| matters.contains(&row.matter)).collect();
        let line = |row: &&&Row| {
            let who = scene.who_is(row.propeller)?;
            Some(Line { who, reason: quoted(&row.reason), next_step: quoted(&row.next_step) })
        };
        // The propeller of an event may be gone; its aircraft is not.
        let lines: Vec<Line> = all.iter().take(MOST_LISTED).filter_map(line).collect();
        (!all.is_empty()).then(|| Group { name, more: all.len() - lines.len(), lines })
    }
}
