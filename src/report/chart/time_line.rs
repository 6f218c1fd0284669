//! When something comes due, one table row each: a calendar limit, an hours limit with its range, and the zone before today.

use super::axis::lines_of;
use super::days::DayScale;
use super::dot_whisker::{pointed, whisker};
use super::marks::{Fill, Mark};
use super::svg::{Caption, NotDrawn, Svg, Writer};
use crate::trade::calendar::Day;

/// Height of a row in pixels.
pub const HEIGHT: f64 = 28.0;
const CALENDAR_LINE: f64 = 8.0;
const HOURS_LINE: f64 = 20.0;

/// What is known of a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// There is none.
    None,
    /// There is one, but its day is not known.
    Unknown,
    /// It falls on this day.
    On(Day),
}

/// The limits of one propeller (or anything else that comes due), the calendar limit above the hours limit so that they never
/// hide each other. The earlier of the two is filled, the later hollow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeLine<'a> {
    /// The days in words.
    pub caption: Caption<'a>,
    /// Shared with the column's axis.
    pub scale: DayScale,
    /// Days before it are overdue.
    pub today: Day,
    /// A square.
    pub calendar: Limit,
    /// A triangle.
    pub hours: Limit,
    /// The range of the hours limit (10-90 %); the end may be open.
    pub likely: Option<(Day, Option<Day>)>,
    /// The `id` of the column's axis, whose ticks are drawn behind; empty for none.
    pub axis: &'a str,
}

impl TimeLine<'_> {
    /// The row.
    ///
    /// # Errors
    /// None with days, which always have a place; kept like the other drawings.
    pub fn draw(&self) -> Result<Svg, NotDrawn> {
        let mut w = Writer::drawing("chart row", HEIGHT, &self.caption);
        let today = self.scale.percent(self.today);
        w.tag("rect").set("class", "overdue").percent("width", today).px("height", HEIGHT).end();
        lines_of(&mut w, self.axis);
        if matches!((self.calendar, self.hours), (Limit::On(_), _) | (_, Limit::On(_))) {
            let first = match (self.calendar, self.hours) {
                (Limit::On(a), Limit::On(b)) => a.min(b),
                (Limit::On(a), _) | (_, Limit::On(a)) => a,
                _ => self.today,
            };
            self.limit(&mut w, self.calendar, CALENDAR_LINE, Mark::Square, first);
            if let Some((low, high)) = self.likely {
                let high = high.map_or(super::scale::Place::Beyond, |day| self.scale.place(day));
                whisker(&mut w, self.scale.place(low), high, HOURS_LINE);
            }
            self.limit(&mut w, self.hours, HOURS_LINE, Mark::Triangle, first);
        } else {
            let unlimited = self.calendar == Limit::None && self.hours == Limit::None;
            if !unlimited {
                w.tag("rect")
                    .set("class", "edge")
                    .set("fill", Fill::Unknown.reference())
                    .px("y", 4.0)
                    .set("width", "100%")
                    .px("height", HEIGHT - 8.0)
                    .end();
            }
            w.tag("text")
                .set("class", if unlimited { "none" } else { "said" })
                .set("x", "50%")
                .px("y", HEIGHT / 2.0 + 4.0)
                .set("text-anchor", "middle")
                .text(if unlimited { "no limit" } else { "not known" });
        }
        w.finish()
    }

    fn limit(&self, w: &mut Writer, limit: Limit, y: f64, mark: Mark, first: Day) {
        match limit {
            Limit::None => {}
            Limit::Unknown => {
                let today = self.scale.percent(self.today);
                w.tag("rect")
                    .set("class", "edge")
                    .set("fill", Fill::Unknown.reference())
                    .percent("x", today)
                    .px("y", y - 4.0)
                    .percent("width", 100.0 - today)
                    .px("height", 8.0)
                    .end();
            }
            Limit::On(day) => {
                let class = match (day > first, day < self.today) {
                    (true, _) => "mark later",
                    (false, true) => "mark now",
                    (false, false) => "mark",
                };
                pointed(w, self.scale.place(day), y, class, |w, at| {
                    mark.at(w, class, at, y);
                });
            }
        }
    }
}
