//! Four invented bases of different air and runway.

/// Annual means of a base's air.
#[derive(Debug, Clone, Copy)]
pub(super) struct Climate {
    pub temperature_c: f64,
    pub relative_humidity_pct: f64,
    pub so2_mg_m2_day: f64,
    pub chloride_mg_m2_day: f64,
}

/// A base: its air in one of the three ways a fleet may state it, its runway, and how hard the runway is on blades.
#[derive(Debug, Clone, Copy)]
pub(super) struct Base {
    pub name: &'static str,
    pub climate: Option<Climate>,
    pub corrosivity: Option<&'static str>,
    pub air: Option<&'static str>,
    pub surface: &'static str,
    /// Damage found per 100 flight hours, strikes and other rare events apart.
    pub findings_per_100h: f64,
}

/// The bases. Two state annual means, one a category, one plain words.
pub(super) static BASES: [Base; 4] = [
    Base {
        name: "Fernhollow",
        climate: Some(Climate {
            temperature_c: 9.5,
            relative_humidity_pct: 78.0,
            so2_mg_m2_day: 3.0,
            chloride_mg_m2_day: 4.0,
        }),
        corrosivity: None,
        air: None,
        surface: "grass",
        findings_per_100h: 0.16,
    },
    Base {
        name: "Gullhaven",
        climate: Some(Climate {
            temperature_c: 13.5,
            relative_humidity_pct: 82.0,
            so2_mg_m2_day: 4.0,
            chloride_mg_m2_day: 180.0,
        }),
        corrosivity: None,
        air: None,
        surface: "paved",
        findings_per_100h: 0.08,
    },
    Base {
        name: "Cindervale",
        climate: None,
        corrosivity: Some("C3"),
        air: None,
        surface: "paved",
        findings_per_100h: 0.08,
    },
    Base {
        name: "Pebblewick",
        climate: None,
        corrosivity: None,
        air: Some("dry inland"),
        surface: "gravel",
        findings_per_100h: 0.40,
    },
];

/// Places of the bases in [`BASES`], for the telling cases.
pub(super) const FERNHOLLOW: usize = 0;
/// The base by the sea.
pub(super) const GULLHAVEN: usize = 1;
/// The base in a town.
pub(super) const CINDERVALE: usize = 2;
