//! What the air is like at each base, and how that is known.

use crate::records::Fleet;
use crate::records::places::Base;
use crate::settings::{AirCategory, ExposureSettings};
use crate::trade::corrosion::{Clamped, Corrosivity, PlainAir, first_year};

/// How the air at a base is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AirSource {
    /// From four annual means.
    AnnualMeans,
    /// From its corrosivity category: the category's upper limit.
    Category,
    /// From plain words, which stand for a category.
    PlainWords,
    /// No base is recorded, or none that `bases` lists.
    NoBase,
    /// The base has neither four annual means nor a category nor plain words.
    NotRecorded,
    /// Two rows for the base say different things.
    Contradicted,
    /// A row or a word for the base could not be used.
    Unreadable,
    /// Its annual means are those of no air.
    Impossible,
}

impl AirSource {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            AirSource::AnnualMeans => "annual means",
            AirSource::Category => "corrosivity category",
            AirSource::PlainWords => "description of the air",
            AirSource::NoBase => "air not known: no listed base on record",
            AirSource::NotRecorded => "air not known: not recorded for the base",
            AirSource::Contradicted => "air not known: two rows for the base differ",
            AirSource::Unreadable => "air not known: a row or word for the base could not be used",
            AirSource::Impossible => "air not known: its annual means are not possible",
        }
    }
}

/// The air at a base.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BaseAir {
    /// First-year corrosion of bare aluminium in the open, g/(m2 a).
    pub rate_g_m2_year: f64,
    /// Its category; `None` when the air is not known.
    pub corrosivity: Option<Corrosivity>,
    /// How it is known.
    pub source: AirSource,
    /// Which annual means lay outside the range of the dose-response function.
    pub clamped: Clamped,
    /// The base's category or words stand for a lower rate than its annual means give.
    pub stated_milder: bool,
}

impl BaseAir {
    /// Whether the air is known at all.
    pub fn is_known(&self) -> bool {
        self.corrosivity.is_some()
    }

    fn not_known(source: AirSource, settings: &ExposureSettings) -> BaseAir {
        BaseAir {
            rate_g_m2_year: settings.cx_rate_g_m2_year,
            corrosivity: None,
            source,
            clamped: Clamped::default(),
            stated_milder: false,
        }
    }

    fn of_category(category: Corrosivity, source: AirSource, settings: &ExposureSettings) -> Self {
        BaseAir {
            rate_g_m2_year: rate_of(category, settings),
            corrosivity: Some(category),
            source,
            clamped: Clamped::default(),
            stated_milder: false,
        }
    }

    /// The air at a base: from its four annual means, else from its category, else from its plain words, else not known.
    ///
    /// Contradicted or unreadable records leave it not known, which is the worst rate. Annual means that are not all four
    /// recorded say nothing here.
    pub fn of(base: &Base, settings: &ExposureSettings) -> BaseAir {
        if base.contradicted {
            return BaseAir::not_known(AirSource::Contradicted, settings);
        }
        if base.unreadable {
            return BaseAir::not_known(AirSource::Unreadable, settings);
        }
        let category = base.corrosivity.and_then(Corrosivity::from_word);
        let words = base.air.and_then(PlainAir::from_word);
        let stated = match (category, words) {
            (Some(category), _) => Some(BaseAir::of_category(category, AirSource::Category, settings)),
            (None, Some(words)) => {
                let category = category_of(words, settings);
                Some(BaseAir::of_category(category, AirSource::PlainWords, settings))
            }
            (None, None) => None,
        };
        let Some(means) = base.annual_means() else {
            return stated.unwrap_or_else(|| BaseAir::not_known(AirSource::NotRecorded, settings));
        };
        match first_year(&means) {
            Ok(first) => {
                let rate = first.rate_g_m2_year();
                BaseAir {
                    rate_g_m2_year: rate,
                    corrosivity: Some(Corrosivity::of_rate(rate)),
                    source: AirSource::AnnualMeans,
                    clamped: first.clamped,
                    stated_milder: stated.is_some_and(|s| s.rate_g_m2_year < rate),
                }
            }
            Err(_) => BaseAir::not_known(AirSource::Impossible, settings),
        }
    }
}

/// The rate of a category: its upper limit, for C1 and CX the setting.
fn rate_of(category: Corrosivity, settings: &ExposureSettings) -> f64 {
    match category {
        Corrosivity::C1 => settings.c1_rate_g_m2_year,
        Corrosivity::Cx => settings.cx_rate_g_m2_year,
        other => other.upper_rate_g_m2_year(),
    }
}

/// The category that plain words stand for, by the settings.
fn category_of(words: PlainAir, settings: &ExposureSettings) -> Corrosivity {
    let category = match words {
        PlainAir::DryInland => settings.dry_inland,
        PlainAir::Rural => settings.rural,
        PlainAir::Town => settings.town,
        PlainAir::Industrial => settings.industrial,
        PlainAir::Coast => settings.coast,
        PlainAir::SeaFront => settings.sea_front,
    };
    match category {
        AirCategory::C1 => Corrosivity::C1,
        AirCategory::C2 => Corrosivity::C2,
        AirCategory::C3 => Corrosivity::C3,
        AirCategory::C4 => Corrosivity::C4,
        AirCategory::C5 => Corrosivity::C5,
        AirCategory::CX => Corrosivity::Cx,
    }
}

/// The air of every base of a fleet.
#[derive(Debug, Clone)]
pub struct Airs {
    of_bases: Vec<BaseAir>,
    no_base: BaseAir,
}

impl Airs {
    /// Works out the air of each base once.
    pub fn of_fleet(fleet: &Fleet<'_>, settings: &ExposureSettings) -> Airs {
        let bases = fleet.places.bases();
        Airs {
            of_bases: bases.iter().map(|b| BaseAir::of(b, settings)).collect(),
            no_base: BaseAir::not_known(AirSource::NoBase, settings),
        }
    }

    /// The air at a base by its number; `None` is a place that is not recorded.
    pub fn of(&self, base: Option<u32>) -> &BaseAir {
        base.and_then(|number| self.of_bases.get(number as usize)).unwrap_or(&self.no_base)
    }
}
