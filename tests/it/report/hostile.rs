//! Names that would be markup if anything forgot to escape them, in every place a record has for a name.

use super::fleets::{page, page_with};
use super::markup::{Markup, read};
use crate::fleet_folder::FleetFolder;
use bladewane::results::escaped::escaped;
use bladewane::settings::Settings;

/// Names that break out of text, of an attribute, of a string, of a reference, or turn the line round.
const NAMES: [&str; 5] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "'; DROP TABLE propellers; --",
    "&amp;&lt;b&gt;",
    "\u{202e}\u{5d0}\u{5d1}</style>]]>`",
];

/// A cell of a CSV file.
fn cell(text: &str) -> String {
    format!("\"{}\"", text.replace('"', "\"\""))
}

/// A fleet in which every text is one of the names, turned by one from propeller to propeller; `A`, `B`, ... keep them apart.
fn hostile() -> FleetFolder {
    let name = |n: usize, what: &str| cell(&format!("{what}{}", NAMES[n % NAMES.len()]));
    let mut tables = [
        ("propellers", "propeller,model,use,base,aircraft,in_service_date,acquired,status,replaced_by".to_string()),
        ("models", "model,diameter_in,blades,interval_hours,interval_months,interval_force".to_string()),
        ("limits", "model,station_pct,width_new_in,width_min_in,thickness_new_in,thickness_min_in,source,revision".to_string()),
        ("overhauls", "propeller,overhaul_date,work,outcome,shop,reason,hours_since_new".to_string()),
        ("measurements", "propeller,overhaul_date,blade,station_pct,width_before_in,width_after_in,thickness_before_in,thickness_after_in".to_string()),
        ("defects", "propeller,found_date,blade,station_pct,surface,kind,depth_in,length_in,width_in,action,action_date,action_by".to_string()),
        ("hours", "propeller,reading_date,hours_since_new".to_string()),
        ("aircraft_hours", "aircraft,reading_date,hours".to_string()),
        ("fitted", "propeller,aircraft,from_date".to_string()),
        ("inspections", "propeller,inspection_date,kind,result,by".to_string()),
        ("bases", "base,corrosivity".to_string()),
        ("prices", "model,overhaul_cost,replacement_cost,replacement_days".to_string()),
    ];
    let mut add = |table: &str, row: String| {
        let (_, text) = tables.iter_mut().find(|(name, _)| *name == table).expect("a table");
        *text += "\n";
        *text += &row;
    };
    for n in 0..10 {
        let (serial, model, base) = (name(n, &format!("P{n}")), name(n + 1, "M"), name(n + 2, "B"));
        let (aircraft, shop, by) = (name(n + 3, &format!("A{n}")), name(n + 4, "S"), name(n, "W"));
        let status = ["flying", "flying", "flying", "spare", "at shop"][n % 5];
        let other = name(n + 1, "R");
        add("propellers", format!("{serial},{model},rental,{base},{aircraft},2010-01-01,new,{status},{other}"));
        if n < NAMES.len() {
            add("models", format!("{model},76,2,2000,72,binding"));
            for (pct, width, thickness) in [(30, 5.41, 0.975), (60, 5.44, 0.476), (90, 3.75, 0.249)] {
                let (w_min, t_min) = (width - 0.2, thickness - 0.06);
                let (source, revision) = (name(n, "L"), name(n + 1, "V"));
                add("limits", format!("{model},{pct},{width},{w_min:.3},{thickness},{t_min:.3},{source},{revision}"));
            }
            add("bases", format!("{base},C4"));
            add("prices", format!("{model},1000,4000,30"));
        }
        for (k, day) in (1..).zip(["2013-03-03", "2017-03-03"]) {
            add("overhauls", format!("{serial},{day},overhaul,released,{shop},scheduled,{}", 900 * k));
            for blade in 1..=2 {
                for (pct, width, thickness) in [(30, 5.41, 0.975), (60, 5.44, 0.476), (90, 3.75, 0.249)] {
                    let gone = f64::from(k) + 0.1 * f64::from(blade) + 0.03 * n as f64;
                    let (w, t) = (width - 0.02 * gone, thickness - 0.015 * gone);
                    add(
                        "measurements",
                        format!("{serial},{day},{blade},{pct},{:.3},{w:.3},{:.3},{t:.3}", w + 0.01, t + 0.005),
                    );
                }
            }
        }
        add("defects", format!("{serial},2024-05-05,1,75,leading_edge,nick,0.3,0.2,0.2,blended,2024-05-06,{by}"));
        add("defects", format!("{serial},{},1,75,leading_edge,nick,0.3,0.2,0.2,blended,2024-05-06,{by}", name(n, "D")));
        add("hours", format!("{serial},2025-05-05,2500"));
        add("aircraft_hours", format!("{aircraft},2025-05-05,5000"));
        add("fitted", format!("{serial},{aircraft},2018-01-01"));
        add("inspections", format!("{serial},2025-02-02,annual,satisfactory,{by}"));
        // Rows that are set aside, with the names where they cannot be read.
        add("overhauls", format!("{},2013-03-03,overhaul,released,{shop},scheduled,1", name(n, "X")));
        add("measurements", format!("{serial},2017-03-03,1,{},1,1,1,1", name(n, "N")));
    }
    let mut folder = FleetFolder::empty();
    for (table, text) in &tables {
        folder = folder.file(&format!("{table}.csv"), text.as_bytes());
    }
    folder
}

fn check(markup: &Markup) {
    assert_eq!(markup.scripts.len(), 1, "the page's own script");
    assert_eq!(markup.styles.len(), 1, "the page's own style sheet");
    for element in &markup.elements {
        for name in element.attributes.keys() {
            assert!(!name.starts_with("on"), "{element:?}");
            assert_ne!(name, "style", "{element:?}");
            assert_ne!(name, "src", "{element:?}");
        }
        if let Some(link) = element.attribute("href") {
            assert!(link.starts_with('#'), "{element:?}");
        }
    }
}

#[test]
fn every_name_is_text_and_nothing_else() {
    let folder = hostile();
    for fleet in NAMES {
        let settings = Settings::default()
            .with_pairs("a file\"><img src=x onerror=alert(1)>", [("name", fleet), ("currency", "EUR")])
            .expect("a name of one line");
        let page = page_with(&folder, fleet, &settings);
        // As a browser sees it: the reader knows no <img>, and takes the page apart only if every name is escaped.
        let markup = read(&page);
        check(&markup);
        assert_eq!(page.matches("<script").count(), 1);
        assert_eq!(page.matches("</style").count(), 1);
        assert!(!page.contains("<img"));
        assert!(!page.contains("<b>t"), "a reference is not taken back twice");
        assert!(markup.text.contains(escaped(fleet).as_ref()), "the fleet's own name");
    }
}

#[test]
fn every_name_is_shown_as_it_is_written_and_what_turns_the_writing_round_by_its_number() {
    let markup = read(&page(&hostile(), "Fleet"));
    for n in 0..10 {
        let serial = format!("P{n}{}", escaped(NAMES[n % NAMES.len()]));
        assert!(markup.text.matches(&serial).count() > 3, "{serial}");
        let aircraft = format!("A{n}{}", escaped(NAMES[(n + 3) % NAMES.len()]));
        assert!(markup.text.contains(&aircraft), "{aircraft}");
    }
    for name in NAMES.map(escaped) {
        for what in ["M", "B", "X"] {
            assert!(markup.text.contains(&format!("{what}{name}")), "{what}{name}");
        }
    }
}

/// A character that turns the direction of writing must not reach beyond the name it stands in.
#[test]
fn names_are_isolated_in_a_line_of_text() {
    let markup = read(&page(&hostile(), NAMES[4]));
    for element in &markup.elements {
        if element.attribute("class") == Some("serial") {
            assert!(["a", "b"].contains(&element.name.as_str()), "{element:?}");
        }
    }
    let isolated = markup.elements.iter().filter(|e| e.name == "bdi").count();
    assert!(isolated > 30, "{isolated}");
}
