//! What a finding does to fatigue strength, and the steady stress where it lies: a screen of findings, not a life.
//!
//! An undressed nick counts as a crack of its depth (El Haddad); a blend as a shallow ellipse of its depth and length along
//! the blade (Inglis). Steady stress is for information: it is lowest outboard, where tips fail from vibration, and orders
//! nothing.

use crate::records::Fleet;
use crate::records::choice::Action;
use crate::records::defects::{Defect, model_on};
use crate::records::models::Model;
use crate::settings::FatigueSettings;
use crate::trade::notch::{ShortCrack, blend_strength_retained};
use crate::trade::spin::{Section, steady_stress};

/// The fatigue screen with the settings in force.
#[derive(Debug, Clone, Copy)]
pub struct FatigueScreen {
    crack: ShortCrack,
    density_kg_m3: f64,
}

impl FatigueScreen {
    /// From the settings.
    pub fn new(settings: &FatigueSettings) -> FatigueScreen {
        FatigueScreen {
            crack: ShortCrack {
                threshold_mpa_sqrt_m: settings.threshold_mpa_sqrt_m,
                smooth_limit_mpa: settings.endurance_range_mpa,
                edge_factor: settings.edge_crack_factor,
                surface_factor: settings.surface_crack_factor,
            },
            density_kg_m3: settings.density_kg_m3,
        }
    }

    /// Share of the fatigue strength kept with the finding as it is, 0 to 1; `None` without a depth.
    ///
    /// A blend whose length is not recorded counts as undressed.
    pub fn strength_retained(&self, report: &Defect) -> Option<f64> {
        let depth = report.depth_in?;
        if report.action == Action::Blended
            && let Some(length) = report.length_in
        {
            return blend_strength_retained(depth, length).ok();
        }
        self.crack.strength_retained(report.surface, depth).ok()
    }

    /// Steady stress in MPa at the finding's radius on a new blade of its model at full speed; `None` without a place,
    /// a highest speed, a diameter, or sections.
    pub fn steady_stress_mpa(&self, fleet: &Fleet<'_>, report: &Defect) -> Option<f64> {
        let number = model_on(&fleet.propellers, &fleet.visits, report.propeller, report.found)?;
        let model = fleet.models.get(number);
        let tip_in = model.diameter_in? / 2.0;
        let of_aircraft = fleet.aircraft_of(report.propeller).and_then(|name| fleet.aircraft.find(name)?.max_rpm);
        let max_rpm = model.max_rpm.into_iter().chain(of_aircraft).reduce(f64::max)?;
        let stress = steady_stress(&sections(model), report.station_in?, tip_in, max_rpm, self.density_kg_m3);
        stress.ok().map(|s| s.stress_mpa)
    }
}

/// The sections of a new blade, from hub to tip, where both dimensions are known.
fn sections(model: &Model) -> Vec<Section> {
    model
        .stations
        .iter()
        .filter_map(|s| {
            Some(Section { station_in: s.station_in?, width_in: s.width.new_in?, thickness_in: s.thickness.new_in? })
        })
        .collect()
}
