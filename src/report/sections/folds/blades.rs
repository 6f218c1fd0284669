//! The blades of a propeller to scale, and its widths and thicknesses against their limits.

use super::{Subject, station_name};
use crate::analysis::margins::{Basis, Margin};
use crate::report::chart::blade::{Blade, Blades, Finding, Station};
use crate::report::chart::{Caption, NotDrawn, Svg};
use crate::report::words::inches;
use crate::trade::geometry::Dimension;

/// Blades side by side in the table before it becomes too wide to read.
const MOST_BLADES: u8 = 4;

/// The drawing, and the table of its numbers.
pub(super) struct Drawn {
    pub(super) drawing: Option<Svg>,
    /// Why there is no drawing.
    pub(super) why_not: Option<&'static str>,
    /// Numbers of the blades in the table.
    pub(super) blades: Vec<u8>,
    pub(super) rows: Vec<Row>,
    /// Whether some value was not read at the last visit.
    pub(super) expected: bool,
}

/// A station: the minimum and every blade's value, width first.
pub(super) struct Row {
    pub(super) station: String,
    pub(super) of: [Of; 2],
}

/// One dimension at a station.
pub(super) struct Of {
    pub(super) minimum: String,
    pub(super) blades: Vec<Cell>,
}

/// One blade there.
pub(super) struct Cell {
    pub(super) value: String,
    pub(super) class: &'static str,
}

/// Where a finding is marked.
#[derive(Debug, Clone, Copy)]
pub(super) struct Marked {
    pub(super) blade: u8,
    pub(super) finding: Finding,
}

/// Width and thickness, in the order of the table.
const ORDER: [Dimension; 2] = [Dimension::Width, Dimension::Thickness];

impl Drawn {
    pub(super) fn of(subject: &Subject<'_, '_, '_>, marks: &[Marked]) -> Drawn {
        let mut numbers: Vec<u8> = subject.margins.iter().map(|m| m.blade).collect();
        numbers.sort_unstable();
        numbers.dedup();
        let (drawing, why_not) = match drawing(subject, &drawn(subject, &numbers, marks), marks) {
            Ok(svg) => (Some(svg), None),
            Err(why) => (None, Some(why)),
        };
        numbers.truncate(usize::from(MOST_BLADES));
        let mut stations: Vec<u8> = subject.margins.iter().map(|m| m.station).collect();
        stations.sort_unstable();
        stations.dedup();
        Drawn {
            drawing,
            why_not,
            rows: stations.iter().map(|&station| row(subject, station, &numbers)).collect(),
            expected: subject.margins.iter().any(|m| m.basis != Basis::Measured),
            blades: numbers,
        }
    }
}

/// The blades worth drawing: that which decides, and those with a finding; else the first.
fn drawn(subject: &Subject<'_, '_, '_>, numbers: &[u8], marks: &[Marked]) -> Vec<u8> {
    let limiting = subject.remaining.and_then(|r| r.limiting);
    let deciding = limiting.map(|l| l.margin.blade);
    let is_worth = |blade: u8| deciding == Some(blade) || marks.iter().any(|m| m.blade == blade);
    let worth: Vec<u8> = numbers.iter().copied().filter(|&b| is_worth(b)).collect();
    if worth.is_empty() { numbers.iter().copied().take(1).collect() } else { worth }
}

/// The dimension today: as known at the last visit, less what was dressed since.
fn today(margin: &Margin) -> Option<f64> {
    Some(margin.value_in? - margin.dressed_since_in)
}

fn row(subject: &Subject<'_, '_, '_>, station: u8, blades: &[u8]) -> Row {
    let limiting = subject.remaining.and_then(|r| r.limiting);
    let at = |blade: u8, dimension: Dimension| {
        subject.margins.iter().find(|m| m.blade == blade && m.station == station && m.dimension == dimension)
    };
    let of = |dimension: Dimension| Of {
        minimum: blades.iter().find_map(|&blade| at(blade, dimension)?.minimum_in).map_or_else(String::new, inches),
        blades: blades
            .iter()
            .map(|&blade| {
                let decides = limiting.is_some_and(|l| {
                    (l.margin.blade, l.margin.station, l.margin.dimension) == (blade, station, dimension)
                });
                cell(at(blade, dimension), decides)
            })
            .collect(),
    };
    Row { station: station_name(subject.station(station)), of: ORDER.map(of) }
}

fn cell(margin: Option<&Margin>, decides: bool) -> Cell {
    let Some(margin) = margin else {
        return Cell { value: String::new(), class: "" };
    };
    let below = margin.margin_in.is_some_and(|left| left < 0.0);
    Cell {
        value: match today(margin) {
            Some(value) if margin.basis == Basis::Measured => inches(value),
            Some(value) => format!("~{}", inches(value)),
            None => "?".to_string(),
        },
        class: match (below, decides) {
            (true, _) => "stop",
            (false, true) => "decisive",
            _ => "",
        },
    }
}

/// The drawing, or why there is none.
fn drawing(subject: &Subject<'_, '_, '_>, numbers: &[u8], marks: &[Marked]) -> Result<Svg, &'static str> {
    let model = subject.model.ok_or("its model is not on record, so its blades cannot be drawn")?;
    let tip =
        model.diameter_in.ok_or("the diameter of its model is not on record, so its blades cannot be drawn")? / 2.0;
    if numbers.is_empty() {
        return Err("no limits of its model are on record, so its blades cannot be drawn");
    }
    let names: Vec<String> = numbers.iter().map(|n| format!("Blade {n}")).collect();
    let stations: Vec<Vec<Station>> = numbers.iter().map(|&blade| stations(subject, blade)).collect();
    let findings: Vec<Vec<Finding>> = numbers
        .iter()
        .map(|&blade| {
            let own = marks.iter().filter(|m| m.blade == blade);
            own.map(|m| m.finding).collect()
        })
        .collect();
    let blades: Vec<Blade<'_>> = names
        .iter()
        .zip(&stations)
        .zip(&findings)
        .map(|((name, stations), findings)| Blade { name, stations, findings })
        .collect();
    let id = format!("blade-{}", subject.key());
    let title = format!("Blades of {} by width, to scale", subject.serial());
    let drawn = Blades { caption: Caption::new(&id, &title), tip, blades: &blades }.draw();
    drawn.map_err(|gap| match gap {
        NotDrawn::TooFew => "fewer than two widths are on record, so its blades cannot be drawn",
        NotDrawn::NotFinite => "a dimension on record has no place in a drawing",
    })
}

fn stations(subject: &Subject<'_, '_, '_>, blade: u8) -> Vec<Station> {
    let Some(model) = subject.model else {
        return Vec::new();
    };
    let width = |number: usize| {
        subject
            .margins
            .iter()
            .find(|m| m.blade == blade && usize::from(m.station) == number && m.dimension == Dimension::Width)
            .and_then(today)
    };
    let stations = model.stations.iter().enumerate();
    stations
        .filter_map(|(number, at)| {
            let (_, radius) = model.place(at.pct, at.station_in);
            Some(Station { radius: radius?, new: at.width.new_in, now: width(number), minimum: at.width.min_in })
        })
        .collect()
}
