//! The settings: what a fleet's owner may decide, each with its type, default, unit, meaning and source.
//!
//! `list.rs` is the only place where a setting is defined; the typed [`Settings`], the reader, the rows of the `settings`
//! command and the text of `settings.toml` all come from it. This room takes texts and their names: it opens no file.
//!
//! ```
//! use bladewane::settings::{Layer, Settings};
//! let fleet = Layer { name: "fleet.toml".into(), text: "name = 'Kestrel'\n[due]\nwarning_days = 60".into() };
//! let settings = Settings::default().with_layers(&[fleet]).unwrap();
//! assert_eq!(settings.fleet.name.as_deref(), Some("Kestrel"));
//! assert_eq!(settings.due.warning_days, 60);
//! assert_eq!(settings.screen.edge_depth_in, 0.1875);
//! ```

mod choices;
mod date_format;
mod definition;
mod error;
mod given;
#[expect(clippy::approx_constant, reason = "a default is shown with the digits it was published with")]
mod list;
mod nearest;
mod read;
mod show;
mod source_mark;
mod toml_text;
mod unknown;
mod value;

pub use choices::{AirCategory, Separator};
pub use date_format::{DateFormat, DateFormatError};
pub use error::{Origin, Place, SettingError};
pub use list::{
    BudgetSettings, CheckSettings, DueSettings, ExposureSettings, FatigueSettings, FleetSettings, ForecastSettings,
    InspectionSettings, RankingSettings, ScreenSettings, Settings,
};
pub use nearest::{LONGEST_NAME, nearest, nearest_names, nearest_there};
pub use read::Layer;
pub use show::SettingRow;
pub use source_mark::SourceMark;
pub use value::Value;

impl RankingSettings {
    /// The weights of time, climate and defects, scaled so that their sum is 1. Settings that were read never have all
    /// three at zero; with zeros put there by hand the three count alike.
    pub fn weights(&self) -> [f64; 3] {
        let weights = [self.weight_time, self.weight_climate, self.weight_defects];
        let sum: f64 = weights.iter().sum();
        if sum > 0.0 { weights.map(|weight| weight / sum) } else { [1.0 / 3.0; 3] }
    }
}

#[cfg(test)]
mod laws;
