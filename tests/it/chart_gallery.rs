//! A page with every kind of chart on invented numbers, to look at in a browser.
//!
//! `GALLERY=gallery.html cargo test --test it chart_gallery -- --ignored`

use std::fmt::Write as _;

use bladewane::report::chart::blade::{Blade, Blades, Finding, Side, Station};
use bladewane::report::chart::dot_whisker::DotWhisker;
use bladewane::report::chart::marks::{Key, shared};
use bladewane::report::chart::stacked_bar::{StackedBar, Strip};
use bladewane::report::chart::step_curve::{Group, StepCurve};
use bladewane::report::chart::time_line::{Limit, TimeLine};
use bladewane::report::chart::{Axis, Caption, DayScale, NotDrawn, Numbers, Scale, Svg, Tick, band, lines, step_curve};

use crate::fleet_folder::day;

#[test]
#[ignore = "writes a page to look at"]
fn every_kind_on_one_page() -> Result<(), NotDrawn> {
    let mut page = String::from(
        "<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport content=\"width=device-width\"><title>Charts</title><style>",
    );
    page.push_str(include_str!("../../src/report/assets/chart.css"));
    page.push_str(
        ":root{color-scheme:light dark} body{background:var(--paper);color:var(--ink);font:16px/1.4 system-ui;margin:0 auto;padding:0 16px;max-width:1600px} table{width:100%;border-collapse:collapse} th{text-align:left;font-weight:400;width:5rem;white-space:nowrap} thead th{vertical-align:bottom} td,th{padding:1px 4px} td{border-top:1px solid var(--line)} ul{padding:0;list-style:none} li{display:inline-block;margin-right:1em}</style><body>",
    );
    page.push_str(shared().as_str());
    for (title, svg) in [
        ("Dot and whisker", dots()?),
        ("Time line", times()?),
        ("Stacked bar", bars()?),
        ("Band", money()?),
        ("Step curve", curves()?),
        ("Lines", losses()?),
        ("Blade", blades()?),
    ] {
        let _ = write!(page, "<h2>{title}</h2>{svg}");
    }
    page.push_str("</body></html>");
    if let Some(path) = std::env::var_os("GALLERY") {
        std::fs::write(path, page).expect("the page can be written where asked");
    }
    Ok(())
}

fn table(head: &Svg, rows: &[(String, Svg)]) -> String {
    let mut text = format!("<table><thead><tr><th scope=col>Propeller</th><th scope=col>{head}</th></tr></thead>");
    for (name, row) in rows {
        let _ = write!(text, "<tr><th scope=row>{name}</th><td>{row}</td></tr>");
    }
    text + "</table>"
}

fn legend(entries: &[(Key, &str)]) -> String {
    let mut text = String::from("<ul>");
    for (key, words) in entries {
        let _ = write!(text, "<li>{}{words}</li>", key.draw());
    }
    text + "</ul>"
}

fn dots() -> Result<String, NotDrawn> {
    let scale = Scale::new(0.0, 8.0)?;
    let head = Axis {
        caption: Caption::new("left", "Overhauls left, 0 to 8"),
        ticks: scale.tick_marks(6, Numbers::Plain),
        flag: None,
    }
    .draw()?;
    let mut rows = Vec::new();
    for (n, (low, middle, high, second, now)) in [
        (0.0, 0.0, Some(1.0), None, true),
        (1.0, 2.0, Some(4.0), Some(3.0), false),
        (3.0, 5.0, Some(9.0), None, false),
        (4.0, 7.5, None, Some(8.0), false),
        (9.0, 10.0, Some(12.0), None, false),
    ]
    .into_iter()
    .enumerate()
    {
        let id = format!("left-{n}");
        let row = DotWhisker {
            caption: Caption::new(&id, "Overhauls left"),
            scale,
            low,
            middle,
            high,
            second,
            now,
            axis: "left",
        };
        rows.push((format!("P-10{n}"), row.draw()?));
    }
    Ok(table(&head, &rows) + &legend(&[(Key::Dot, "middle"), (Key::Whisker, "10-90 %"), (Key::Arrow, "further on")]))
}

fn times() -> Result<String, NotDrawn> {
    let today = day("2026-03-01");
    let scale = DayScale::new(day("2025-12-01"), day("2028-03-01"));
    let head = Axis {
        caption: Caption::new("due", "From December 2025 to March 2028"),
        ticks: scale.tick_marks(6),
        flag: Some(Tick::new(scale.percent(today), "today")),
    }
    .draw()?;
    let mut rows = Vec::new();
    for (n, (calendar, hours, likely)) in [
        (Limit::On(day("2025-01-01")), Limit::On(day("2026-05-01")), None),
        (
            Limit::On(day("2026-02-01")),
            Limit::On(day("2026-07-01")),
            Some((day("2026-06-01"), Some(day("2026-09-01")))),
        ),
        (Limit::On(day("2027-06-01")), Limit::On(day("2026-11-01")), Some((day("2026-09-01"), None))),
        (Limit::On(day("2029-06-01")), Limit::Unknown, None),
        (Limit::None, Limit::Unknown, None),
        (Limit::None, Limit::None, None),
        (Limit::Unknown, Limit::On(day("2027-01-15")), None),
    ]
    .into_iter()
    .enumerate()
    {
        let id = format!("due-{n}");
        let row = TimeLine { caption: Caption::new(&id, "Due"), scale, today, calendar, hours, likely, axis: "due" };
        rows.push((format!("P-10{n}"), row.draw()?));
    }
    Ok(table(&head, &rows)
        + &legend(&[
            (Key::Square, "calendar limit"),
            (Key::Triangle, "hours limit"),
            (Key::Whisker, "10-90 %"),
            (Key::Overdue, "overdue"),
        ]))
}

fn bars() -> Result<String, NotDrawn> {
    let scale = Scale::new(0.0, 100.0)?;
    let head = Axis {
        caption: Caption::new("score", "Score, 0 to 100"),
        ticks: scale.tick_marks(5, Numbers::Plain),
        flag: None,
    }
    .draw()?;
    let mut rows = Vec::new();
    for (n, parts) in [[40.0, 25.0, 20.0], [30.0, 0.0, 22.5], [1.0, 2.0, 3.0]].into_iter().enumerate() {
        let id = format!("score-{n}");
        let row = StackedBar {
            caption: Caption::new(&id, "Score"),
            parts,
            strip: Some(Strip {
                scale: Scale::new(1.0, 70.0)?,
                low: 1.0 + 10.0 * n as f64,
                at: 4.0 + 11.0 * n as f64,
                high: 9.0 + 14.0 * n as f64,
            }),
            axis: "score",
        };
        rows.push((format!("P-10{n}"), row.draw()?));
    }
    Ok(table(&head, &rows) + &legend(&[(Key::Solid, "reject"), (Key::Hatched, "findings"), (Key::Dotted, "air")]))
}

fn money() -> Result<String, NotDrawn> {
    let steps: Vec<band::Step> = (0..6)
        .map(|n| {
            let middle = 18_000.0 + 5_000.0 * f64::from(n % 3);
            band::Step {
                label: (2026 + n).to_string(),
                low: middle * 0.6,
                middle,
                high: middle * 1.7,
                expected: Some(middle * 1.1),
            }
        })
        .collect();
    Ok(band::Band {
        caption: Caption::described("money", "Cost per year", "2026 to 2031"),
        name: "USD a year",
        numbers: Numbers::Short,
        steps: &steps,
    }
    .draw()?
    .to_string()
        + &legend(&[(Key::Band, "10-90 %"), (Key::Middle, "middle"), (Key::Dot, "expected")]))
}

fn curves() -> Result<String, NotDrawn> {
    let steps = |rate: f64, count: usize, every: f64, limits: bool| -> Vec<step_curve::Step> {
        (1..=count)
            .map(|n| {
                let y = rate * n as f64;
                step_curve::Step { x: every * n as f64, y, limits: limits.then_some((y * 0.7, y * 1.4)) }
            })
            .collect()
    };
    let all = steps(0.11, 20, 230.0, true);
    let coast = steps(0.2, 14, 320.0, false);
    let inland = steps(0.1, 13, 300.0, false);
    let grass = steps(0.1, 12, 310.0, false);
    let one = steps(0.2, 1, 800.0, false);
    let group = |name, steps, until| Group { name, from: 0.0, steps, until };
    Ok(StepCurve {
        caption: Caption::new("curve", "Defects per propeller against hours"),
        up_name: "defects per propeller",
        across_name: "flight hours",
        groups: &[
            group("all", &all, 5_000.0),
            group("coast", &coast, 4_600.0),
            group("inland and far away", &inland, 5_000.0),
            group("grass", &grass, 4_000.0),
            group("<b>gravel", &one, 900.0),
        ],
    }
    .draw()?
    .to_string())
}

fn losses() -> Result<String, NotDrawn> {
    let points = |start: f64, loss: f64| -> Vec<lines::Point> {
        ["2009-05-01", "2014-03-01", "2018-08-15", "2023-02-01"]
            .iter()
            .enumerate()
            .map(|(n, text)| lines::Point { day: day(text), value: start - loss * n as f64, as_new: n == 0 })
            .collect()
    };
    let (a, b) = (points(5.9, 0.031), points(5.9, 0.027));
    Ok(lines::Lines {
        caption: Caption::new("loss", "Width at 30 in against the date"),
        name: "width at 30 in, in",
        lines: &[lines::Line { name: "Blade 1", points: &a }, lines::Line { name: "Blade 2", points: &b }],
        minimum: Some((5.75, "minimum 5.750")),
    }
    .draw()?
    .to_string())
}

fn blades() -> Result<String, NotDrawn> {
    let stations: Vec<Station> = [
        (12.0, 5.4, 5.3, 5.1),
        (18.0, 6.0, 5.85, 5.7),
        (24.0, 5.9, 5.75, 5.6),
        (30.0, 5.2, 5.0, 4.9),
        (33.0, 4.6, 4.45, 4.3),
        (36.0, 3.8, 3.6, 3.55),
    ]
    .iter()
    .map(|&(radius, new, now, minimum)| Station { radius, new: Some(new), now: Some(now), minimum: Some(minimum) })
    .collect();
    let finding = |number, radius, side, open| Finding { number, radius, side, open };
    let one = [
        finding(1, 31.0, Side::Leading, true),
        finding(2, 31.5, Side::Leading, false),
        finding(3, 20.0, Side::Leading, false),
        finding(4, 36.5, Side::Trailing, false),
        finding(5, 25.0, Side::Inside, true),
    ];
    Ok(Blades {
        caption: Caption::described("blade", "Blades of P-100", "Five findings on blade 1"),
        tip: 38.0,
        blades: &[
            Blade { name: "Blade 1", stations: &stations, findings: &one },
            Blade { name: "Blade 2", stations: &stations, findings: &[] },
        ],
    }
    .draw()?
    .to_string())
}
