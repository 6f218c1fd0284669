//! Bases and where each propeller lived.

use std::collections::HashMap;

use super::cells::NO_CHOICE;
use super::choice::{Kept, Runway};
use super::gate::{FIRST_DAY, Gate};
use super::ledger::Fate;
use super::models::set_conflict_aside;
use super::offers::Offers;
use super::propellers::Propellers;
use super::rule::{Doubt, Rule, offered};
use super::same_key::SameKey;
use super::schema::{AIR, CORROSIVITY};
use super::visits::{PropellerOfCode, named_by_broken, set_unknown_propellers_aside};
use super::words::NO_WORD;
use crate::settings::nearest_names;
use crate::trade::calendar::Day;
use crate::trade::corrosion::Air;

/// A base and its air, as recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct Base {
    /// Name.
    pub name: String,
    /// Annual mean temperature in degrees Celsius.
    pub temperature_c: Option<f64>,
    /// Annual mean relative humidity in percent.
    pub relative_humidity_pct: Option<f64>,
    /// Annual mean deposition of sulphur dioxide in mg/(m2 day).
    pub so2_mg_m2_day: Option<f64>,
    /// Annual mean deposition of chloride in mg/(m2 day).
    pub chloride_mg_m2_day: Option<f64>,
    /// Corrosivity category, as the records write it.
    pub corrosivity: Option<&'static str>,
    /// The air in plain words, as the records write them.
    pub air: Option<&'static str>,
    /// Runway surface.
    pub runway: Option<Runway>,
    /// Two rows for this base say different things: its air counts as not known.
    pub contradicted: bool,
    /// A row for this base, or a word of its air, stands in the records and could not be used: its air may be worse than
    /// what is left says.
    pub unreadable: bool,
    /// Row of the table, from 0.
    pub row: u32,
}

impl Base {
    /// The annual means, when all four are recorded.
    pub fn annual_means(&self) -> Option<Air> {
        Some(Air {
            temperature_c: self.temperature_c?,
            relative_humidity_pct: self.relative_humidity_pct?,
            so2_mg_m2_day: self.so2_mg_m2_day?,
            chloride_mg_m2_day: self.chloride_mg_m2_day?,
        })
    }
}

/// Where a propeller lived from a day on; `base` is `None` when it is not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stay {
    /// Index of the propeller.
    pub propeller: u32,
    /// First day; `None` when it could not be read, which makes the whole life unknown.
    pub from: Option<Day>,
    /// Number of the base.
    pub base: Option<u32>,
    /// Outside or in a hangar.
    pub kept: Option<Kept>,
    /// Row of the table, from 0.
    pub row: u32,
}

/// Bases and stays of a fleet.
#[derive(Debug, Clone, Default)]
pub struct Places {
    bases: Vec<Base>,
    index: HashMap<String, u32>,
    stays: Vec<Stay>,
    /// Number of each propeller's home base.
    home: Vec<Option<u32>>,
}

impl Places {
    /// Every base in order of name.
    pub fn bases(&self) -> &[Base] {
        &self.bases
    }

    /// The number of a base.
    pub fn find(&self, name: &str) -> Option<u32> {
        self.index.get(name).copied()
    }

    /// One propeller's stays in order of date, unreadable dates first.
    pub fn stays(&self, propeller: u32) -> &[Stay] {
        let from = self.stays.partition_point(|s| s.propeller < propeller);
        let to = self.stays.partition_point(|s| s.propeller <= propeller);
        &self.stays[from..to]
    }

    /// The number of a propeller's home base, when it is defined.
    pub fn home(&self, propeller: u32) -> Option<u32> {
        self.home.get(propeller as usize).copied().flatten()
    }

    /// Reads `bases` and `kept_at` through their gates, and the home bases of `propellers`.
    pub(super) fn read(
        bases: Option<&mut Gate<'_>>,
        kept_at: Option<&mut Gate<'_>>,
        gate_of_propellers: &mut Gate<'_>,
        propellers: &Propellers,
    ) -> Places {
        let mut places = Places::default();
        let has_bases = bases.is_some();
        if let Some(gate) = bases {
            places.read_bases(gate);
        }
        let of_code: Vec<Option<u32>> = propellers.bases.iter().map(|name| places.find(name)).collect();
        for (at, propeller) in propellers.list().iter().enumerate() {
            let home = propeller.base.and_then(|code| of_code[code as usize]);
            if has_bases && propeller.base.is_some() && home.is_none() {
                gate_of_propellers.caution(propeller.row, "base", Doubt::UndefinedBase, Some(at as u32), None);
            }
            places.home.push(home);
        }
        if let Some(gate) = kept_at {
            places.read_stays(gate, propellers, has_bases);
        }
        places
    }

    fn read_bases(&mut self, gate: &mut Gate<'_>) {
        let table = gate.table;
        let Some((codes, words)) = table.text("base") else {
            return;
        };
        let number = |name: &str, row: usize| table.numbers(name).map(|c| c[row]).filter(|v| !v.is_nan());
        let word = |name: &str, list: &'static [&'static str], row: usize| {
            table.choices(name).map(|c| c[row]).filter(|&c| c != NO_CHOICE).map(|c| list[c as usize])
        };
        let used: Vec<usize> = gate.used_rows().collect();
        // Per base, what its rows say.
        let mut said: Vec<Vec<Base>> = Vec::new();
        for row in used {
            let mut base = Base {
                name: words.get(codes[row]).to_string(),
                temperature_c: number("temperature_c", row),
                relative_humidity_pct: number("relative_humidity_pct", row),
                so2_mg_m2_day: number("so2_deposition_mg_m2_day", row),
                chloride_mg_m2_day: number("chloride_deposition_mg_m2_day", row),
                corrosivity: word("corrosivity", CORROSIVITY, row),
                air: word("air", AIR, row),
                runway: table.choices("surface").and_then(|c| Runway::of_cell(c[row])),
                contradicted: false,
                unreadable: false,
                row: row as u32,
            };
            // A word that cannot be read may have been a worse one than what is left; annual means need no word.
            let faulty = |name: &str| table.is_faulty(row as u32, name);
            base.unreadable = base.annual_means().is_none()
                && (faulty("corrosivity") || (base.corrosivity.is_none() && faulty("air")));
            let Some(at) = self.bases.iter().position(|b| b.name == base.name) else {
                said.push(vec![base.clone()]);
                self.bases.push(base);
                continue;
            };
            let first = &mut self.bases[at];
            let rows = &mut said[at];
            if rows.iter().any(|known| Base { row: known.row, ..base.clone() } == *known) {
                gate.caution(row as u32, "base", Doubt::IdenticalRows, None, None);
            } else {
                // Which of two airs is right is not known, and unknown air is the worst there is.
                first.contradicted = true;
                let first_row = first.row;
                set_conflict_aside(gate, row as u32, "base", first_row);
                rows.push(base);
            }
        }
        let aside = |row: usize| gate.fates[row] == Fate::SetAside;
        for row in (0..table.rows).filter(|&row| aside(row) && codes[row] != NO_WORD) {
            self.mark_unreadable(words.get(codes[row]));
        }
        for piece in table.broken().iter().flat_map(|b| &b.pieces) {
            self.mark_unreadable(piece);
        }
        self.bases.sort_by(|a, b| a.name.cmp(&b.name));
        self.index = self.bases.iter().enumerate().map(|(at, b)| (b.name.clone(), at as u32)).collect();
    }

    /// Another row names this base and could not be used.
    fn mark_unreadable(&mut self, name: &str) {
        if let Some(base) = self.bases.iter_mut().find(|b| b.name == name) {
            base.unreadable = true;
        }
    }

    fn read_stays(&mut self, gate: &mut Gate<'_>, propellers: &Propellers, has_bases: bool) {
        let table = gate.table;
        let (Some((codes, words)), Some((base_codes, base_words)), Some(days)) =
            (table.text("propeller"), table.text("base"), table.days("from_date"))
        else {
            return;
        };
        let index = PropellerOfCode::new(words, propellers);
        set_unknown_propellers_aside(gate, codes, &index, propellers);
        let of_base: Vec<Option<u32>> = base_words.iter().map(|name| self.find(name)).collect();
        let kept = table.choices("kept");
        let mut offers = Offers::default();
        let mut stays: Vec<Stay> = Vec::new();
        // A stay that could not be used still says that the propeller moved: its air is not known from then on.
        let mut unknown: Vec<Stay> = Vec::new();
        for row in 0..table.rows {
            let fate = gate.fates[row];
            let Some(propeller) = index.of(codes[row]) else {
                continue;
            };
            if fate == Fate::Later {
                continue;
            }
            let base = Some(base_codes[row]).filter(|&c| c != NO_WORD).and_then(|c| of_base[c as usize]);
            if fate == Fate::Used && has_bases && base.is_none() {
                let name = base_words.get(base_codes[row]);
                let bases = || self.bases.iter().map(|b| b.name.as_str());
                let nearest = offers.of(base_codes[row], || offered(&nearest_names(name, bases())));
                let rule = Rule::UnknownBase { nearest };
                gate.set_aside(row as u32, "base", rule);
            }
            let stay = Stay {
                propeller,
                from: Some(days[row]).filter(|&d| d >= FIRST_DAY).map(Day::from_number),
                base,
                kept: kept.and_then(|c| Kept::of_cell(c[row])),
                row: row as u32,
            };
            if gate.is_used(row) {
                stays.push(stay);
            } else {
                unknown.push(stay);
            }
        }
        for (row, propeller) in named_by_broken(gate, propellers) {
            unknown.push(Stay { propeller, from: None, base: None, kept: None, row });
        }
        stays.sort_by_key(|s| (s.propeller, s.from, s.row));
        let mut rows = SameKey::new();
        stays.dedup_by(|other, first| {
            let key = (other.propeller, other.from);
            let same_key = key == (first.propeller, first.from);
            if same_key {
                let said = |of: &Stay| (of.base, of.kept);
                if rows.is_copy(key, said(first), said(other)) {
                    gate.caution(other.row, "propeller", Doubt::IdenticalRows, Some(other.propeller), None);
                } else {
                    if other.base != first.base {
                        first.base = None;
                    }
                    if other.kept != first.kept {
                        first.kept = Some(Kept::Outside);
                    }
                    set_conflict_aside(gate, other.row, "from_date", first.row);
                }
            }
            same_key
        });
        for stay in unknown {
            let stay = Stay { base: None, kept: None, ..stay };
            let same_day = |s: &&mut Stay| s.propeller == stay.propeller && s.from == stay.from && s.from.is_some();
            match stays.iter_mut().find(same_day) {
                Some(known) => (known.base, known.kept) = (None, None),
                None => stays.push(stay),
            }
        }
        stays.sort_by_key(|s| (s.propeller, s.from, s.row));
        self.stays = stays;
    }
}
