//! How many overhauls are left of each propeller, what decides it, and how firm that is.

use askama::Template;

use super::due::{Lack, lacks};
use crate::analysis::forecast::Estimate;
use crate::analysis::forecast::fit::FEW_CYCLES;
use crate::analysis::gaps::Missing;
use crate::analysis::margins::{Basis, model_now};
use crate::analysis::overview::Counts;
use crate::analysis::plan::purchases::reject_chance;
use crate::analysis::remaining::{LimitingPoint, OUTLOOK_OVERHAULS, Remaining};
use crate::records::Fleet;
use crate::report::chart::axis::Axis;
use crate::report::chart::dot_whisker::DotWhisker;
use crate::report::chart::marks::Key;
use crate::report::chart::{Caption, NotDrawn, Numbers, Scale, Svg};
use crate::report::scene::{Scene, Who};
use crate::report::words::{chance, count, inches};
use crate::trade::calendar::Day;
use crate::trade::geometry::Dimension;

/// The section.
#[derive(Template)]
#[template(path = "left.html", config = "src/report/askama.toml")]
pub struct Left {
    summary: Vec<String>,
    other_causes: String,
    axis: Svg,
    legend: Vec<(Svg, &'static str)>,
    rows: Vec<Row>,
    not_known: Vec<NotKnown>,
    left_out: usize,
}

/// A propeller whose chances are known.
struct Row {
    who: Who,
    chart: Svg,
    /// Overhauls left, to sort by.
    mean: f64,
    low: u32,
    middle: u32,
    high: u32,
    open_end: bool,
    left: String,
    any: Option<f64>,
    dimensions: f64,
    rejected: String,
    by_dimensions: Option<String>,
    likely: bool,
    rejected_about: Option<Day>,
    place: Option<String>,
    margin: Option<String>,
    below_minimum: bool,
    doubts: Vec<String>,
}

/// A propeller whose chances are not known.
struct NotKnown {
    who: Who,
    missing: Vec<Lack>,
}

/// What a forecast needs on record.
const FORECAST_NEEDS: &[Missing] =
    &[Missing::Model, Missing::Limits, Missing::Sheet, Missing::Readings, Missing::Visit];

impl Left {
    /// From the results.
    pub fn of(scene: &Scene<'_, '_, '_>) -> Left {
        let answers = scene.answers;
        let remaining = answers.remaining();
        let mut rows: Vec<Row> = Vec::new();
        let mut unknown: Vec<Who> = Vec::new();
        for ranked in &scene.urgent {
            let found = remaining.binary_search_by_key(&ranked.propeller, |r| r.propeller);
            let Some(left) = found.ok().map(|at| &remaining[at]) else {
                continue;
            };
            match Row::of(scene, left, scene.who(ranked)) {
                Ok(row) => rows.push(row),
                Err(who) => unknown.push(who),
            }
        }
        // The least left first; of those alike, the one surest to be rejected.
        rows.sort_by(|a, b| {
            a.mean
                .total_cmp(&b.mean)
                .then_with(|| b.chance().total_cmp(&a.chance()))
                .then_with(|| a.who.key.cmp(&b.who.key))
        });
        let axis = draw(&mut rows);
        let not_known = if unknown.is_empty() {
            Vec::new()
        } else {
            let keys = unknown.iter().map(|who| who.key);
            let mut lacks = lacks(answers.gaps(), keys, FORECAST_NEEDS);
            let with_lacks = |who: Who| NotKnown { missing: lacks.remove(&who.key).unwrap_or_default(), who };
            unknown.into_iter().map(with_lacks).collect()
        };
        Left {
            summary: in_words(&answers.overview(scene.shown).counts, answers.settings.ranking.reject_chance),
            other_causes: other_causes(answers.fits().other_chance),
            axis,
            legend: vec![
                (Key::Dot.draw(), "middle of the forecast"),
                (Key::Whisker.draw(), "eight of ten cases"),
                (Key::Arrow.draw(), "20 or more: counted no further"),
            ],
            rows,
            not_known,
            left_out: scene.left_out(),
        }
    }
}

/// Ticks that have room on a narrow page.
const TICKS: usize = 6;
/// The axis that the rows name.
const AXIS: &str = "left-axis";

/// Draws every row, and gives the axis.
fn draw(rows: &mut [Row]) -> Svg {
    let ends = rows.iter().filter(|r| !r.open_end).map(|r| r.high);
    // Without an end in sight, all that is counted.
    let most = ends.max().unwrap_or(OUTLOOK_OVERHAULS);
    let lows = rows.iter().map(|r| r.middle.min(OUTLOOK_OVERHAULS - 1)).max();
    let scale = match Scale::up_to(0.0, [f64::from(most.max(lows.unwrap_or(0)).max(4))]) {
        Ok(scale) => scale,
        Err(gap) => return Svg::or_words(Err(gap)),
    };
    for row in rows {
        row.chart = Svg::or_words(row.drawn(scale));
    }
    let axis = Axis {
        caption: Caption::new(AXIS, "Overhauls left"),
        ticks: scale.tick_marks(TICKS, Numbers::Plain),
        flag: None,
    };
    Svg::or_words(axis.draw())
}

/// The headline counts in words.
fn in_words(counts: &Counts, reject_chance: f64) -> Vec<String> {
    let mut words = Vec::new();
    if counts.reject_chance_known > 0 {
        let from = chance(reject_chance);
        let all = of_propellers(counts.reject_chance_known);
        words.push(match counts.probably_rejected {
            0 => format!("The next overhaul rejects none of {all} in service with a chance of {from} or more."),
            1 => format!("The next overhaul will probably reject 1 of {all} in service: its chance is {from} or more."),
            many => format!(
                "The next overhaul will probably reject {many} of {all} in service: their chance is {from} or more."
            ),
        });
    }
    match counts.below_minimum {
        0 => {}
        1 => words.push("Beside that 1 is below a minimum already.".to_string()),
        many => words.push(format!("Beside that {many} are below a minimum already.")),
    }
    if counts.reject_chance_not_known > 0 {
        words.push(format!("Of {} it is not known how much is left.", of_propellers(counts.reject_chance_not_known)));
    }
    words
}

fn of_propellers(number: usize) -> String {
    count(number, "propeller")
}

fn other_causes(other_chance: Option<f64>) -> String {
    match other_chance {
        Some(other) => format!(
            "The chance for any cause counts cracks, corrosion, bends and hubs too, which reject {} of this fleet's overhauls.",
            if other < 0.01 { "under 1\u{a0}%".to_string() } else { format!("{:.1}\u{a0}%", other * 100.0) }
        ),
        None => "Other causes than dimensions (cracks, corrosion, bends, hubs) are not counted, because no outcome of an overhaul is recorded: the true chances of rejection are larger.".to_string(),
    }
}

impl Row {
    /// Gives the name back when the chances are not known.
    fn of(scene: &Scene<'_, '_, '_>, left: &Remaining, who: Who) -> Result<Row, Who> {
        let fleet = scene.answers.fleet;
        let (Some(low), Some(middle), Some(high), Some(mean), Some(dimensions)) =
            (left.quantile(0.1), left.quantile(0.5), left.quantile(0.9), left.mean(), left.reject_chance_next())
        else {
            return Err(who);
        };
        let open_end = high >= OUTLOOK_OVERHAULS;
        let any = left.reject_chance_next_any();
        let shown = reject_chance(left).unwrap_or(dimensions);
        // What is below a minimum already does not wait for a date, and what is out of service for none.
        let in_service = fleet.end_of(left.propeller).is_none();
        let dated = in_service && !left.below_minimum;
        let next = left.rejection_overhaul().filter(|_| dated);
        let date = next.and_then(|k| {
            let due = scene.answers.due().of(left.propeller)?;
            due.overhaul_date(fleet.as_of, k)
        });
        Ok(Row {
            chart: Svg::default(),
            mean,
            low,
            middle,
            high,
            open_end,
            left: overhauls_left(low, middle, high),
            any,
            dimensions,
            rejected: chance(shown),
            by_dimensions: any.map(|_| chance(dimensions)).filter(|words| *words != chance(shown)),
            likely: in_service && shown >= scene.answers.settings.ranking.reject_chance,
            rejected_about: date,
            place: left.limiting.map(|point| place(fleet, left.propeller, &point)),
            margin: left.limiting.map(|point| margin(&point)),
            below_minimum: left.below_minimum,
            doubts: doubts(fleet, left),
            who,
        })
    }

    fn drawn(&self, scale: Scale) -> Result<Svg, NotDrawn> {
        let id = format!("left-{}", self.who.key);
        let title = format!("{}: {} overhauls left", self.who.serial, self.left);
        DotWhisker {
            caption: Caption::new(&id, &title),
            scale,
            low: f64::from(self.low),
            middle: f64::from(self.middle),
            high: (!self.open_end).then(|| f64::from(self.high)),
            second: None,
            now: self.likely,
            axis: AXIS,
        }
        .draw()
    }

    /// Chance that the next overhaul rejects it: for any cause where those are counted.
    fn chance(&self) -> f64 {
        self.any.unwrap_or(self.dimensions)
    }
}

/// The middle, and the range where there is one.
pub(super) fn overhauls_left(low: u32, middle: u32, high: u32) -> String {
    let number = |n: u32| {
        if n >= OUTLOOK_OVERHAULS { format!("{OUTLOOK_OVERHAULS} or more") } else { n.to_string() }
    };
    if low == high { number(middle) } else { format!("{} ({low} to {})", number(middle), number(high)) }
}

pub(super) fn place(fleet: &Fleet<'_>, propeller: u32, point: &LimitingPoint) -> String {
    let margin = &point.margin;
    let station = model_now(fleet, propeller).and_then(|model| {
        let stations = &fleet.models.get(model).stations;
        stations.get(usize::from(margin.station))
    });
    let at = match station.map(|s| (s.pct, s.station_in)) {
        Some((Some(pct), _)) => format!(" at {pct:.0}\u{a0}%"),
        Some((None, Some(distance))) => format!(" at {distance:.2}\u{a0}in"),
        _ => String::new(),
    };
    format!("blade {}{at}, {}", margin.blade, margin.dimension.word())
}

pub(super) fn margin(point: &LimitingPoint) -> String {
    let margin = point.margin_in;
    if margin < 0.0 {
        return format!("{}\u{a0}in below the minimum", inches(-margin));
    }
    match point.expected_loss_in {
        Some(loss) => format!("{}\u{a0}in left; an overhaul takes about {}\u{a0}in", inches(margin), inches(loss)),
        None => format!("{}\u{a0}in left", inches(margin)),
    }
}

/// What makes the forecast weaker, a few words each.
pub(super) fn doubts(fleet: &Fleet<'_>, left: &Remaining) -> Vec<String> {
    let mut words = Vec::new();
    if let Some(end) = fleet.end_of(left.propeller) {
        words.push(format!("out of service since {end}"));
    }
    if left.upper_bound {
        let not_estimable: Vec<&str> = Dimension::ALL
            .into_iter()
            .filter(|d| estimate(left, *d) == Some(Estimate::NotEstimable))
            .map(Dimension::word)
            .collect();
        let mut why: Vec<String> = Vec::new();
        if !not_estimable.is_empty() {
            why.push(format!("loss of {} not estimable", not_estimable.join(" and ")));
        }
        if left.not_known() > 0 {
            why.push(format!("{} not known", count(left.not_known(), "place")));
        }
        words.push(format!("upper bound of what is left{}{}", if why.is_empty() { "" } else { ": " }, why.join(", ")));
    }
    for dimension in Dimension::ALL {
        if estimate(left, dimension) == Some(Estimate::CommonPractice) {
            words.push(format!("loss of {} by common practice", dimension.word()));
        }
    }
    let fitted = left.support.iter().flatten();
    let fewest = fitted.filter(|s| s.estimate == Estimate::Fitted).map(|s| s.cycles).min();
    if let Some(cycles) = fewest.filter(|&cycles| cycles < FEW_CYCLES) {
        words.push(format!("few data: {}", count(cycles, "cycle")));
    }
    for basis in [Basis::CarriedForward, Basis::WorstOfModel, Basis::FromDrawing] {
        let (places, all) = (left.places[basis as usize], left.places.iter().sum::<usize>());
        if places > 0 {
            words.push(format!("{places} of {all} places {}", how_known(basis)));
        }
    }
    words
}

fn estimate(left: &Remaining, dimension: Dimension) -> Option<Estimate> {
    left.support[dimension as usize].as_ref().map(|s| s.estimate)
}

fn how_known(basis: Basis) -> &'static str {
    match basis {
        Basis::CarriedForward => "carried forward",
        Basis::WorstOfModel => "taken at the worst of the model",
        Basis::FromDrawing => "taken from the drawing",
        Basis::Measured | Basis::NotKnown => basis.words(),
    }
}
