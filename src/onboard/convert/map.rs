//! The layout of a shop's sheet: a small TOML file that a person edits.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::heading::{Heading, Pattern, Reading, Unit, recognise};
use super::station::{StationAt, station_at};
use crate::records::reading::Writing;

/// The layout as it is where nothing else is said: what `convert --show-map` prints.
pub const DEFAULT_MAP: &str = include_str!("map.toml");

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(deny_unknown_fields, default)]
struct Typed {
    unit: Option<String>,
    station_unit: Option<String>,
    decimal_comma: Option<bool>,
    sheet: Option<String>,
    painted: Option<String>,
    ignore: Option<Vec<String>>,
    headings: BTreeMap<String, Vec<String>>,
    blades: Option<BTreeMap<String, u8>>,
    stations: Option<BTreeMap<String, String>>,
}

/// How a sheet is laid out.
#[derive(Debug, Clone)]
pub struct SheetMap {
    /// Unit of a length whose heading names none.
    pub unit: Unit,
    /// Unit of a plain number in the station column whose heading names none.
    pub station_unit: Unit,
    /// How numbers are written.
    pub writing: Writing,
    /// The sheet of a workbook; `None` for the only one that has the headings.
    pub sheet: Option<String>,
    /// Whether the before readings were taken over paint: `yes` or `no`.
    pub painted: Option<&'static str>,
    patterns: Vec<(Option<Reading>, Pattern)>,
    ignore: Vec<Vec<String>>,
    blades: BTreeMap<String, u8>,
    stations: BTreeMap<String, StationAt>,
}

impl SheetMap {
    /// The layout without a map.
    ///
    /// # Errors
    /// Never in a program whose tests pass: the text is part of it.
    pub fn usual() -> Result<SheetMap, String> {
        SheetMap::made(Typed::default())
    }

    /// Reads a map; what it leaves out is as in [`DEFAULT_MAP`].
    ///
    /// # Errors
    /// What is wrong with it and what to do, without the file's name.
    pub fn read(text: &str) -> Result<SheetMap, String> {
        let typed: Typed = toml::from_str(text).map_err(|error| {
            format!(
                "{}\nhint: `bladewane convert --show-map` prints a map that can be read",
                error.to_string().trim_end()
            )
        })?;
        SheetMap::made(typed)
    }

    fn made(typed: Typed) -> Result<SheetMap, String> {
        let usual: Typed = toml::from_str(DEFAULT_MAP).map_err(|error| error.to_string())?;
        let unit = typed.unit.or(usual.unit).unwrap_or_default();
        let unit = length_unit(&unit).ok_or_else(|| format!("unit: expected in, mm or thou, found `{unit}`"))?;
        let station_unit = typed.station_unit.or(usual.station_unit).unwrap_or_default();
        let station_unit = match station_unit.as_str() {
            "pct" => Unit::Pct,
            other => length_unit(other)
                .ok_or_else(|| format!("station_unit: expected in, mm, thou or pct, found `{other}`"))?,
        };
        let painted = match typed.painted.or(usual.painted).unwrap_or_default().as_str() {
            "" => None,
            "yes" => Some("yes"),
            "no" => Some("no"),
            other => {
                return Err(format!("painted: expected yes, no or nothing, found `{other}`"));
            }
        };
        let writing =
            Writing { decimal_comma: typed.decimal_comma.or(usual.decimal_comma).unwrap_or(false), date_pattern: None };
        let mut headings = usual.headings;
        for (name, ways) in typed.headings {
            if !headings.contains_key(&name) {
                let known: Vec<&str> = headings.keys().map(String::as_str).collect();
                return Err(format!(
                    "headings: `{name}` is nothing a sheet can hold\nhint: expected one of {}",
                    known.join(", ")
                ));
            }
            headings.insert(name, ways);
        }
        let mut patterns = Vec::new();
        for (name, ways) in &headings {
            let reading = Reading::ALL.into_iter().find(|r| r.column() == name);
            for way in ways {
                let pattern = Pattern::read(way);
                if pattern.is_empty() || pattern.is_of_blade() != reading.is_some() {
                    return Err(match reading {
                        Some(_) => format!(
                            "headings.{name}: `{way}` does not say where the blade's number stands\nhint: write {{blade}} in its place, such as `blade {{blade}} width before`"
                        ),
                        None => format!(
                            "headings.{name}: `{way}` names a blade or nothing; the station is the same for every blade"
                        ),
                    });
                }
                patterns.push((reading, pattern));
            }
        }
        let mut blades = BTreeMap::new();
        for (name, number) in typed.blades.or(usual.blades).unwrap_or_default() {
            let words = super::heading::words(&name);
            match words.as_slice() {
                [word] if number > 0 => blades.insert(word.clone(), number),
                _ => {
                    return Err(format!(
                        "blades: expected one word and a number from 1, such as A = 1, found `{name} = {number}`"
                    ));
                }
            };
        }
        let mut stations = BTreeMap::new();
        for (name, place) in typed.stations.or(usual.stations).unwrap_or_default() {
            let at = station_at(&place, station_unit, &writing).map_err(|_| {
                format!("stations: expected a place such as \"90 %\" or \"36 in\", found `{place}` for `{name}`")
            })?;
            stations.insert(name.trim().to_lowercase(), at);
        }
        let ignore = typed.ignore.or(usual.ignore).unwrap_or_default();
        Ok(SheetMap {
            unit,
            station_unit,
            writing,
            sheet: typed.sheet.or(usual.sheet).filter(|sheet| !sheet.trim().is_empty()),
            painted,
            patterns,
            ignore: ignore.iter().map(|text| super::heading::words(text)).collect(),
            blades,
            stations,
        })
    }

    /// What a heading means; `None` when it means nothing.
    pub fn heading(&self, text: &str) -> Option<Heading> {
        if self.ignores(text) {
            return None;
        }
        let patterns = self.patterns.iter().map(|(reading, pattern)| (*reading, pattern));
        recognise(text, patterns, &|word| self.blade(word))
    }

    /// Whether the map says that a column is no reading.
    pub fn ignores(&self, text: &str) -> bool {
        self.ignore.contains(&super::heading::words(text))
    }

    /// Whether a heading that was not recognised may be a reading all the same: it names a blade, or before or after.
    pub fn looks_like_a_reading(&self, text: &str) -> bool {
        !self.ignores(text)
            && super::heading::words(text).iter().any(|word| {
                self.blade(word).is_some() || matches!(word.as_str(), "before" | "after" | "blade" | "blades")
            })
    }

    fn blade(&self, word: &str) -> Option<u8> {
        match self.blades.get(word) {
            Some(&blade) => Some(blade),
            None => word.parse().ok().filter(|&blade| blade > 0),
        }
    }

    /// The place that a cell of the station column names, in the unit of its heading. A number of a workbook has no
    /// decimal sign in question.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn station(&self, text: &str, unit: Option<Unit>, is_number: bool) -> Result<StationAt, String> {
        let writing = match is_number {
            true => &Writing::PLAIN,
            false => &self.writing,
        };
        match self.stations.get(&text.trim().to_lowercase()) {
            Some(&at) => Ok(at),
            None => station_at(text, unit.unwrap_or(self.station_unit), writing),
        }
    }
}

fn length_unit(word: &str) -> Option<Unit> {
    match word {
        "in" => Some(Unit::In),
        "mm" => Some(Unit::Mm),
        "thou" => Some(Unit::Thou),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::onboard::convert::heading::Holds;

    #[test]
    fn the_map_that_is_printed_is_the_map_that_is_used() {
        let printed = SheetMap::read(DEFAULT_MAP).expect("it can be read");
        let used = SheetMap::usual().expect("it can be read");
        assert_eq!(format!("{printed:?}"), format!("{used:?}"));
        let heading = used.heading("Blade 3, thickness, after (mm)").expect("known");
        assert_eq!(heading.holds, Holds::Reading(3, Reading::ThicknessAfter));
        assert_eq!(heading.unit, Some(Unit::Mm));
        assert_eq!(used.station("Tip", None, false), Ok(StationAt::Pct(100.0)));
    }

    #[test]
    fn what_is_left_out_stays_and_what_is_said_counts() {
        let map = SheetMap::read(
            "unit = \"mm\"\nignore = [\"Blade 1 minimum width\"]\n[blades]\nA = 1\n[headings]\nwidth_before = [\"W in {blade}\"]\n",
        )
        .expect("it can be read");
        assert_eq!(map.unit, Unit::Mm);
        let holds = |text: &str| map.heading(text).map(|h| h.holds);
        assert_eq!(holds("W in A"), Some(Holds::Reading(1, Reading::WidthBefore)));
        assert_eq!(holds("blade A width before"), None);
        assert_eq!(holds("blade A width after"), Some(Holds::Reading(1, Reading::WidthAfter)));
        assert!(map.looks_like_a_reading("blade 2 minimum width"));
        assert!(!map.looks_like_a_reading("blade 1 MINIMUM width"));
        assert!(!map.looks_like_a_reading("Remarks"));
    }

    #[test]
    fn a_map_that_cannot_be_meant_is_refused_with_the_reason() {
        let refused = |text: &str| SheetMap::read(text).expect_err("refused");
        assert!(refused("unit = \"feet\"").contains("expected in, mm or thou"));
        assert!(refused("colour = 1").contains("unknown field `colour`"));
        assert!(refused("[headings]\nwidht_before = []").contains("width_before"));
        assert!(refused("[headings]\nwidth_before = [\"width in\"]").contains("{blade}"));
        assert!(refused("[blades]\nA = 0").contains("from 1"));
        assert!(refused("[stations]\ntip = \"end\"").contains("`end`"));
    }
}
