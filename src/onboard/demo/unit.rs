//! One propeller while it lives: its clocks, its metal and what its papers say of it.

use rand_chacha::ChaCha8Rng;

use super::draws::{gamma, happens, whole};
use super::metal::{Metal, points};
use super::models::Design;
use super::process::{THICKNESS_SCATTER_IN, WIDTH_SCATTER_IN, WearProcess, station_loss_in};
use crate::trade::calendar::Day;
use crate::trade::damage::Surface;

/// A blend since the last visit that measured.
#[derive(Debug, Clone, Copy)]
pub(super) struct Blend {
    pub blade: i32,
    pub station_pct: f64,
    pub surface: Surface,
    pub depth_in: f64,
}

/// A propeller of the invented fleet.
#[derive(Debug)]
pub(super) struct Unit {
    pub serial: String,
    pub design: &'static Design,
    pub acquired: &'static str,
    pub in_service: Day,
    /// Hours since new; `None` where its history is not known.
    pub hours_since_new: Option<f64>,
    /// Hours flown since the last overhaul, or since it came where there is none on record.
    pub hours_on_clock: f64,
    /// Day of the last overhaul on record.
    pub overhauled: Option<Day>,
    pub wear: WearProcess,
    /// How much damage this one meets against others at its base.
    pub luck: f64,
    /// True dimensions.
    pub metal: Metal,
    /// The readings its mechanics go by: the last sheet, or the drawing of a new one.
    pub sheet: Option<Metal>,
    pub blends: Vec<Blend>,
    /// Damage accepted until a day: place of its row, the damage, and the day to look again.
    pub accepted: Vec<(usize, Blend, Day)>,
    pub reports_kept_since: Option<Day>,
    /// Day and hours at which the next planned overhaul falls.
    pub planned: (Day, f64),
}

impl Unit {
    /// A propeller that comes to the fleet on `day`. New ones come with the maker's tolerance; others have cycles behind
    /// them that this fleet never saw.
    pub fn arrive(
        rng: &mut ChaCha8Rng,
        serial: String,
        design: &'static Design,
        acquired: &'static str,
        day: Day,
    ) -> Unit {
        let wear = WearProcess::draw(rng);
        let mut metal = Metal::made(design, rng);
        let cycles_before = match acquired {
            "new" => 0,
            "overhauled" => whole(rng, 1, 3),
            _ => whole(rng, 0, 4),
        };
        for _ in 0..cycles_before {
            let loss = wear.cycle(rng);
            for p in points(design) {
                let pct = design.stations[p.station].pct;
                metal.thickness_in[p.place] -= station_loss_in(rng, loss.thickness_in, pct, THICKNESS_SCATTER_IN);
                metal.width_in[p.place] -= station_loss_in(rng, loss.width_in, pct, WIDTH_SCATTER_IN);
            }
        }
        let hours_since_new = match acquired {
            "new" => Some(0.0),
            "unknown" => None,
            _ => happens(rng, 0.6).then(|| f64::from(cycles_before * 1_700 + whole(rng, 100, 900))),
        };
        // Reports were first kept in 2002; one propeller in seven does not say since when.
        let since = Day::from_ymd(2002, 1, 1).map_or(day, |first| first.max(day));
        Unit {
            serial,
            design,
            acquired,
            in_service: day,
            hours_since_new,
            hours_on_clock: 0.0,
            overhauled: None,
            wear,
            luck: gamma(rng, 4.0, 1.0),
            sheet: (acquired == "new").then(|| Metal::drawing(design)),
            metal,
            blends: Vec::new(),
            accepted: Vec::new(),
            reports_kept_since: happens(rng, 0.86).then_some(since),
            planned: (day, 0.0),
        }
    }

    /// Flies these hours.
    pub fn fly(&mut self, hours: f64) {
        self.hours_on_clock += hours;
        if let Some(total) = &mut self.hours_since_new {
            *total += hours;
        }
    }

    /// Hours since overhaul as its papers can say them: counted from an overhaul on record, or from new.
    pub fn hours_since_overhaul(&self) -> Option<f64> {
        (self.overhauled.is_some() || self.acquired == "new").then_some(self.hours_on_clock)
    }

    /// Forgets what a visit that measured has settled.
    pub fn measured(&mut self, sheet: Metal) {
        self.sheet = Some(sheet);
        self.blends.clear();
    }
}
