//! The diameter today: what is left of it once the tips were dressed.
//!
//! Left = last diameter - 2 x the deepest blade's total - minimum. Without a diameter that was read, the designation's own
//! is the most it can be.

use super::report::Counting;
use super::{MarginReader, model_now};
use crate::analysis::loss::round_to_nano;
use crate::records::choice::Action;
use crate::records::defects::Defect;
use crate::trade::calendar::Day;
use crate::trade::profile::Profile;

/// The diameter of one propeller today, in inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DiameterLeft {
    /// Last diameter on record.
    pub last_in: f64,
    /// Day it was read; `None` where it is the designation's.
    pub read_on: Option<Day>,
    /// Smallest diameter of the maker's manual.
    pub minimum_in: Option<f64>,
    /// What dressing the tips took off the diameter since, as recorded.
    pub dressed_in: f64,
    /// First day of that dressing.
    pub dressed_from: Option<Day>,
    /// Left above the minimum, as recorded.
    pub left_in: Option<f64>,
    /// The same with what may have been dressed off the tips and is not recorded whole.
    pub left_worst_in: Option<f64>,
}

impl MarginReader<'_, '_> {
    /// The diameter of a propeller; `None` without any on record.
    pub fn diameter(&mut self, propeller: u32) -> Option<DiameterLeft> {
        self.history.collect(self.fleet, propeller);
        self.diameter_of(propeller, None)
    }

    /// As it would be with a finding dressed that is not yet.
    fn diameter_of(&self, propeller: u32, extra: Option<(&Defect, Day)>) -> Option<DiameterLeft> {
        let fleet = self.fleet;
        let model = fleet.models.get(model_now(fleet, propeller)?);
        let visits = fleet.visits.of(propeller);
        let since = visits.iter().rposition(|v| v.changes_model).map_or(visits, |at| &visits[at..]);
        let read = since.iter().rev().find_map(|v| Some((v.diameter_after_in?, v.day)));
        // More than the designation has was read wrong.
        let last_in = read.map(|(diameter, _)| diameter).into_iter().chain(model.diameter_in).reduce(f64::min)?;
        let blades = 1..=model.blades.unwrap_or(2).max(1);
        let deepest = |counting: Counting| {
            let profiles = blades.clone().map(|blade| (blade, self.tip_profile(propeller, blade, counting)));
            profiles
                .map(|(blade, profile)| {
                    let own = match extra {
                        Some((d, found)) if d.blade.is_none_or(|b| b == blade) => {
                            d.depth_in.unwrap_or(0.0) + profile.depth_before(0.0, found)
                        }
                        _ => 0.0,
                    };
                    (profile.depth_at(0.0).max(own), since_when(&profile))
                })
                .reduce(|a, b| if b.0 > a.0 { b } else { a })
                .unwrap_or((0.0, None))
        };
        let none = fleet.defects.of(propeller).is_empty();
        let (recorded, from) = if none { (0.0, None) } else { deepest(Counting::Recorded) };
        let worst = if none { 0.0 } else { deepest(Counting::Worst).0 };
        let left = |gone: f64| model.diameter_min_in.map(|min| round_to_nano(last_in - 2.0 * gone - min));
        Some(DiameterLeft {
            last_in,
            read_on: read.map(|(_, day)| day),
            minimum_in: model.diameter_min_in,
            dressed_in: round_to_nano(2.0 * recorded),
            dressed_from: from.filter(|_| recorded > 0.0),
            left_in: left(recorded),
            left_worst_in: left(worst),
        })
    }

    /// Left above the smallest diameter once a finding at the tip is dressed.
    pub(super) fn tip_left_once_dressed(&self, finding: &Defect, found: Day) -> Option<f64> {
        let extra = (finding.action != Action::Blended).then_some((finding, found));
        self.diameter_of(finding.propeller, extra)?.left_in
    }
}

fn since_when(profile: &Profile) -> Option<Day> {
    profile.unread().map(|b| b.of.dressed.unwrap_or(b.of.found).max(b.of.found)).min()
}
