//! What the air does to aluminium: first-year rate, category, and attack over years and bases.
//!
//! The attack is an exposure index for ranking. It stands for specimens of nearly pure aluminium, unpainted, in open air;
//! propeller alloys pit faster, and shops remove far more than air ever does. It is never subtracted from a blade.

use thiserror::Error;

/// Rate for air that is not known, g/(m2 a): the upper limit of the worst category. Assumption.
pub const UNKNOWN_AIR_RATE_G_M2_YEAR: f64 = 15.0;

/// Standard deviation of the natural logarithm of a rate worked out from annual means. ISO 9223 (published: log-normal
/// errors, 0.7 for about -50 % / +100 %).
pub const UNCERTAINTY_LOG_SD: f64 = 0.7;

/// Time exponent b of aluminium, the mean. ISO 9224:2012 table 2, from memory, verify against the current edition.
pub const TIME_EXPONENT: f64 = 0.728;

/// Years after which attack goes on at a steady rate. ISO 9224:2012, from memory, verify against the current edition.
pub const POWER_LAW_YEARS: f64 = 20.0;

/// Annual means of the air at a base.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Degrees Celsius.
    pub temperature_c: f64,
    /// Relative humidity, percent.
    pub relative_humidity_pct: f64,
    /// Deposition of sulphur dioxide, mg/(m2 d).
    pub so2_mg_m2_day: f64,
    /// Deposition of chloride, mg/(m2 d).
    pub chloride_mg_m2_day: f64,
}

/// The range of annual means for which the function holds, `(least, largest)`. ISO 9223:2012 table 3, from memory, verify
/// against the current edition.
pub mod valid {
    /// Degrees Celsius.
    pub const TEMPERATURE_C: (f64, f64) = (-17.1, 28.7);
    /// Percent.
    pub const RELATIVE_HUMIDITY_PCT: (f64, f64) = (34.0, 93.0);
    /// mg/(m2 d).
    pub const SO2_MG_M2_DAY: (f64, f64) = (0.7, 150.4);
    /// mg/(m2 d).
    pub const CHLORIDE_MG_M2_DAY: (f64, f64) = (0.4, 760.5);
}

/// Why a rate cannot be worked out. The base then counts as unknown air.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("{quantity} of {value} cannot be an annual mean of any air")]
pub struct ImpossibleAir {
    /// Which of the four.
    pub quantity: &'static str,
    /// What was given.
    pub value: f64,
}

/// Which annual means lay outside the range of the function and were held at its edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Clamped {
    /// Temperature.
    pub temperature: bool,
    /// Relative humidity.
    pub relative_humidity: bool,
    /// Sulphur dioxide.
    pub so2: bool,
    /// Chloride.
    pub chloride: bool,
}

impl Clamped {
    /// Whether any was.
    pub const fn any(self) -> bool {
        self.temperature || self.relative_humidity || self.so2 || self.chloride
    }
}

/// First-year corrosion of aluminium, g/(m2 a).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FirstYear {
    /// Part from sulphur dioxide.
    pub so2_g_m2_year: f64,
    /// Part from chloride.
    pub chloride_g_m2_year: f64,
    /// What was held at the edge of the range.
    pub clamped: Clamped,
}

impl FirstYear {
    /// The rate, the sum of both parts.
    pub fn rate_g_m2_year(&self) -> f64 {
        self.so2_g_m2_year + self.chloride_g_m2_year
    }
}

/// First-year corrosion rate of aluminium from annual means,
/// `r = 0.0042 Pd^0.73 exp(0.025 RH + f) + 0.0018 Sd^0.60 exp(0.020 RH + 0.094 T)`, with `f = 0.009 (T - 10)` up to 10 C and
/// `-0.043 (T - 10)` above; Pd and Sd the depositions of sulphur dioxide and chloride in mg/(m2 d), RH in percent, T in C.
///
/// Valid in the ranges of [`valid`]; outside them the value at the edge is used and [`FirstYear::clamped`] says so.
/// Source: ISO 9223:2012 eq. 4, from memory, verify against the current edition; uncertain by -50 % / +100 %.
///
/// # Errors
/// [`ImpossibleAir`] for a value that is not a number, a temperature outside -90..60 C, a humidity outside 0..100 %, a
/// negative deposition: held at an edge such a value could pass for mild air.
pub fn first_year(air: &Air) -> Result<FirstYear, ImpossibleAir> {
    let hold = |quantity, value: f64, possible: (f64, f64), range: (f64, f64)| {
        // Written so that a value that is not a number fails.
        if !(value >= possible.0 && value <= possible.1) {
            return Err(ImpossibleAir { quantity, value });
        }
        let held = value.clamp(range.0, range.1);
        Ok((held, held != value))
    };
    let (t, temperature) = hold("a temperature in C", air.temperature_c, (-90.0, 60.0), valid::TEMPERATURE_C)?;
    let (rh, relative_humidity) =
        hold("a relative humidity in percent", air.relative_humidity_pct, (0.0, 100.0), valid::RELATIVE_HUMIDITY_PCT)?;
    let (pd, so2) =
        hold("a sulphur dioxide deposition in mg/(m2 d)", air.so2_mg_m2_day, (0.0, f64::MAX), valid::SO2_MG_M2_DAY)?;
    let (sd, chloride) =
        hold("a chloride deposition in mg/(m2 d)", air.chloride_mg_m2_day, (0.0, f64::MAX), valid::CHLORIDE_MG_M2_DAY)?;
    let slope = if t <= 10.0 { 0.009 } else { -0.043 };
    let f = slope * (t - 10.0);
    Ok(FirstYear {
        so2_g_m2_year: 0.0042 * pd.powf(0.73) * (0.025 * rh + f).exp(),
        chloride_g_m2_year: 0.0018 * sd.powf(0.60) * (0.020 * rh + 0.094 * t).exp(),
        clamped: Clamped { temperature, relative_humidity, so2, chloride },
    })
}

/// Corrosivity category of the air for aluminium.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Corrosivity {
    /// Very low; for aluminium without a number.
    C1,
    /// Up to 0.6 g/(m2 a).
    C2,
    /// Up to 2.
    C3,
    /// Up to 5.
    C4,
    /// Up to 10.
    C5,
    /// Above 10.
    Cx,
}

impl Corrosivity {
    /// Mildest first.
    pub const ALL: [Corrosivity; 6] =
        [Corrosivity::C1, Corrosivity::C2, Corrosivity::C3, Corrosivity::C4, Corrosivity::C5, Corrosivity::Cx];

    /// The word in records and results.
    pub const fn word(self) -> &'static str {
        match self {
            Corrosivity::C1 => "C1",
            Corrosivity::C2 => "C2",
            Corrosivity::C3 => "C3",
            Corrosivity::C4 => "C4",
            Corrosivity::C5 => "C5",
            Corrosivity::Cx => "CX",
        }
    }

    /// Reads a record's word; capitals do not matter.
    pub fn from_word(text: &str) -> Option<Corrosivity> {
        Corrosivity::ALL.into_iter().find(|c| text.trim().eq_ignore_ascii_case(c.word()))
    }

    /// The category of a rate in g/(m2 a). Never C1: the standard draws no line between C1 and C2 for aluminium.
    ///
    /// Source: ISO 9223:2012 table 2 (C2 up to 0.6, C3 2, C4 5, C5 10, limits included), from memory, verify against the
    /// current edition.
    pub fn of_rate(rate_g_m2_year: f64) -> Corrosivity {
        [Corrosivity::C2, Corrosivity::C3, Corrosivity::C4, Corrosivity::C5]
            .into_iter()
            .find(|c| rate_g_m2_year <= c.upper_rate_g_m2_year())
            .unwrap_or(Corrosivity::Cx)
    }

    /// The rate in g/(m2 a) of a base known only by its category: the category's upper limit.
    ///
    /// Source: [`Corrosivity::of_rate`]; C1 (0.3) and CX (15) are assumptions, the standard gives no number.
    pub const fn upper_rate_g_m2_year(self) -> f64 {
        match self {
            Corrosivity::C1 => 0.3,
            Corrosivity::C2 => 0.6,
            Corrosivity::C3 => 2.0,
            Corrosivity::C4 => 5.0,
            Corrosivity::C5 => 10.0,
            Corrosivity::Cx => UNKNOWN_AIR_RATE_G_M2_YEAR,
        }
    }
}

/// The air at a base in plain words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PlainAir {
    /// Dry inland.
    DryInland,
    /// Rural.
    Rural,
    /// Town.
    Town,
    /// Industrial.
    Industrial,
    /// Coast.
    Coast,
    /// Sea front.
    SeaFront,
}

impl PlainAir {
    /// Every word, in the order records list them.
    pub const ALL: [PlainAir; 6] = [
        PlainAir::DryInland,
        PlainAir::Rural,
        PlainAir::Town,
        PlainAir::Industrial,
        PlainAir::Coast,
        PlainAir::SeaFront,
    ];

    /// The word in records.
    pub const fn word(self) -> &'static str {
        match self {
            PlainAir::DryInland => "dry inland",
            PlainAir::Rural => "rural",
            PlainAir::Town => "town",
            PlainAir::Industrial => "industrial",
            PlainAir::Coast => "coast",
            PlainAir::SeaFront => "sea front",
        }
    }

    /// Reads a record's word; capitals do not matter.
    pub fn from_word(text: &str) -> Option<PlainAir> {
        PlainAir::ALL.into_iter().find(|a| text.trim().eq_ignore_ascii_case(a.word()))
    }
}

/// How a propeller was kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kept {
    /// In the open, or not recorded.
    Outside,
    /// Under a roof.
    Hangar,
}

impl Kept {
    /// The word in records.
    pub const fn word(self) -> &'static str {
        match self {
            Kept::Outside => "outside",
            Kept::Hangar => "hangar",
        }
    }
}

/// A stretch of time at one base, kept one way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stay {
    /// First-year rate of the base in the open, g/(m2 a).
    pub rate_g_m2_year: f64,
    /// How it was kept there.
    pub kept: Kept,
    /// Length, years.
    pub years: f64,
}

/// How attack grows with time. The hangar factor multiplies the rate of stays in a hangar; 1.0 gives no credit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// b, between 0 and 1. Default [`TIME_EXPONENT`].
    pub time_exponent: f64,
    /// Default 1.0: no credit without evidence. Assumption, a setting.
    pub hangar_factor: f64,
}

impl Default for Growth {
    fn default() -> Growth {
        Growth { time_exponent: TIME_EXPONENT, hangar_factor: 1.0 }
    }
}

/// Why attack cannot be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum GrowthError {
    /// A rate, hangar factor included, that is not a positive number.
    #[error("a corrosion rate must be above 0 g/(m2 a), found {0}")]
    Rate(f64),
    /// A length that is negative or not a number.
    #[error("a stay must last 0 years or more, found {0}")]
    Years(f64),
    /// An exponent outside 0..1, 0 excluded.
    #[error("the time exponent must be above 0 and at most 1, found {0}")]
    Exponent(f64),
}

/// Attack in g/m2 after a row of stays, earliest first, on metal that was new or freshly overhauled at the start.
///
/// Equal attack is carried over from base to base. In the first [`POWER_LAW_YEARS`] calendar years one rate gives
/// `D = r t^b`, and several `D = (Sum r_i^(1/b) t_i)^b`, which is growth at `b r^(1/b) D^(1 - 1/b)`. After that growth goes
/// on at the larger of this and the steady slope `b r 20^(b-1)`. For one rate the two meet at 20 years, and what follows is
/// the straight line of the standard. Order matters only beyond 20 years. No stay at all gives 0.
///
/// Growth never falls with the rate, nor with time at equal attack. So a higher rate at any time, a stay put in front or
/// a stay put behind never gives the lower sum.
///
/// Source: ISO 9224:2012, from memory, verify against the current edition, for one rate; the carry-over between rates is
/// this program's.
///
/// # Errors
/// [`GrowthError`] for a rate, a length or an exponent that cannot be one.
pub fn attack_g_m2(stays: &[Stay], growth: &Growth) -> Result<f64, GrowthError> {
    let b = growth.time_exponent;
    if !(b > 0.0 && b <= 1.0) {
        return Err(GrowthError::Exponent(b));
    }
    // Attack is `carried^b + straight`; `straight` counts from the last time the steady slope took over.
    let (mut years, mut carried, mut straight) = (0.0, 0.0f64, 0.0);
    for stay in stays {
        let rate = match stay.kept {
            Kept::Outside => stay.rate_g_m2_year,
            Kept::Hangar => stay.rate_g_m2_year * growth.hangar_factor,
        };
        if !(rate > 0.0 && rate.is_finite()) {
            return Err(GrowthError::Rate(rate));
        }
        if !(stay.years >= 0.0 && stay.years.is_finite()) {
            return Err(GrowthError::Years(stay.years));
        }
        let strength = rate.powf(1.0 / b);
        let early = stay.years.min((POWER_LAW_YEARS - years).max(0.0));
        years += early;
        carried += strength * early;
        let late = stay.years - early;
        if late > 0.0 {
            if straight > 0.0 {
                carried = (carried.powf(b) + straight).powf(1.0 / b);
            }
            // Up to the attack that this rate alone does in 20 years the power law is the steeper.
            let bent = (POWER_LAW_YEARS - carried / strength).clamp(0.0, late);
            carried += strength * bent;
            straight = b * rate * POWER_LAW_YEARS.powf(b - 1.0) * (late - bent);
        }
    }
    Ok(carried.powf(b) + straight)
}
