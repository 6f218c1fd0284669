//! Cells: lengths, dates, closed words, identifiers, and what means "not recorded".

use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::records::ReadOptions;
use bladewane::records::models::Stated;
use bladewane::records::reading::Writing;
use bladewane::records::schema::Table;

fn hours_row(row: &str) -> Vec<String> {
    FleetFolder::small().with("hours", &format!("propeller,reading_date,hours_since_new\n{row}")).set_aside()
}

#[test]
fn a_number_that_is_none() {
    for value in ["12h", "1e999", "NaN", "inf", "1 1/16", "0x10", "1_000"] {
        assert_eq!(
            hours_row(&format!("A1,2020-01-01,{value}")),
            [format!(
                "hours.csv:2 hours_since_new [{value}] not a number (expected a number) | write a decimal, or a fraction such as 1 1/16 for a length; leave unknown cells empty"
            )]
        );
    }
}

#[test]
fn a_decimal_comma_is_told_and_can_be_set() {
    let told =
        "a decimal comma where a decimal point is expected | write a point, or set decimal_comma = true in fleet.toml";
    assert_eq!(hours_row("A1,2020-01-01,\"1234,5\""), [format!("hours.csv:2 hours_since_new [1234,5] {told}")]);
    let folder = FleetFolder::small()
        .with("measurements", "propeller,overhaul_date,blade,station_pct,width_after_in\nA1,2020-01-01,1,60,\"5,400\"");
    assert_eq!(folder.set_aside(), [format!("measurements.csv:2 width_after_in [5,400] {told}")]);
    let folder = FleetFolder::empty()
        .file("propellers.csv", b"propeller;model\nA1;M\n")
        .file("models.csv", b"model;diameter_in;blades\nM;76,5;2\nN;1.234,5;2\n")
        .options(ReadOptions {
            separator: b';',
            writing: Writing { decimal_comma: true, date_pattern: None },
            ..ReadOptions::default()
        });
    let loaded = folder.load();
    assert_eq!(loaded.table(Table::Models).expect("models").numbers("diameter").expect("numbers")[0], 76.5);
    assert_eq!(
        folder.cautions(),
        [
            "models.csv:3 diameter_in [1.234,5] - - x1 diameter_in: \"1.234,5\" is not a number (expected a length such as 0.352 or 1 1/16); it counts as not recorded | write a decimal, or a fraction such as 1 1/16 for a length; leave unknown cells empty"
        ]
    );
}

#[test]
fn lengths_are_decimals_fractions_and_mixed_numbers_in_every_unit() {
    for (unit, over) in [("in", 1.0), ("mm", 25.4), ("thou", 1000.0)] {
        let table = format!(
            "model,station_pct,width_new_{unit},width_min_{unit},thickness_new_{unit}\nM76,60,1 1/16,3/64,.352"
        );
        let folder = FleetFolder::small().with("limits", &table);
        let loaded = folder.load();
        let read = |name: &str| loaded.table(Table::Limits).expect("limits").numbers(name).expect("numbers")[0] * over;
        assert!((read("width_new") - 1.0625).abs() < 1e-12);
        assert!((read("width_min") - 0.046875).abs() < 1e-12);
        assert!((read("thickness_new") - 0.352).abs() < 1e-12);
    }
    for value in ["1 16/16", "3/0", "-1/16", "1/2/3", "0.5/16", "0.352 in", "5 feet"] {
        let table = format!("model,station_pct,width_new_in\nM76,60,{value}");
        assert_eq!(
            FleetFolder::small().with("limits", &table).cautions(),
            [format!(
                "limits.csv:2 width_new_in [{value}] - - x1 width_new_in: \"{value}\" is not a number (expected a length such as 0.352 or 1 1/16); it counts as not recorded | write a decimal, or a fraction such as 1 1/16 for a length; leave unknown cells empty"
            )]
        );
    }
}

#[test]
fn a_date_that_is_none_or_ambiguous() {
    for value in ["03/04/2020", "20-01-02", "2020-1-2", "20200102", "yesterday"] {
        assert_eq!(
            hours_row(&format!("A1,{value},10")),
            [format!(
                "hours.csv:2 reading_date [{value}] not a date (expected YYYY-MM-DD) | write YYYY-MM-DD, or set date_format in fleet.toml"
            )]
        );
    }
}

#[test]
fn another_date_format_is_the_only_one_then() {
    let folder = FleetFolder::small()
        .with("propellers", "propeller,model\nA1,M76")
        .with(
            "hours",
            "propeller,reading_date,hours_since_new
             A1,29.02.2024,10
             A1,2024-03-01,20
             A1,29.02.24,30",
        )
        .options(ReadOptions {
            separator: b',',
            writing: Writing { decimal_comma: false, date_pattern: Some("%d.%m.%Y".to_string()) },
            ..ReadOptions::default()
        });
    let told = "not a date (expected DD.MM.YYYY) | write YYYY-MM-DD, or set date_format in fleet.toml";
    assert_eq!(
        folder.set_aside(),
        [
            format!("hours.csv:3 reading_date [2024-03-01] {told}"),
            format!("hours.csv:4 reading_date [29.02.24] {told}"),
        ]
    );
    let loaded = folder.load();
    assert_eq!(as_of(&loaded, "2026-01-01").flying.readings(0)[0].day.to_string(), "2024-02-29");
}

/// 30 February, 29 February of a common year, month 13, day 0: the calendar of the paper record had no such day either.
#[test]
fn a_date_that_no_calendar_has() {
    let remedy =
        "correct it from the paper record; where day and month stand in another order, set date_format in fleet.toml";
    for value in ["2026-02-30", "2023-02-29", "2020-13-01", "2020-01-00"] {
        assert_eq!(
            hours_row(&format!("A1,{value},10")),
            [format!("hours.csv:2 reading_date [{value}] a date that no calendar has | {remedy}")]
        );
    }
    let dotted = FleetFolder::small()
        .with("hours", "propeller,reading_date,hours_since_new\nA1,31.04.2024,10\nA1,30.04.2024,10")
        .options(ReadOptions {
            writing: Writing { decimal_comma: false, date_pattern: Some("%d.%m.%Y".to_string()) },
            ..ReadOptions::default()
        });
    assert_eq!(
        dotted.set_aside(),
        [format!("hours.csv:2 reading_date [31.04.2024] a date that no calendar has | {remedy}")]
    );
    // A propeller keeps its row and is told the same.
    let folder = FleetFolder::empty().with("propellers", "propeller,in_service_date\nA1,2001-02-29");
    assert_eq!(
        folder.cautions(),
        [format!(
            "propellers.csv:2 in_service_date [2001-02-29] - - x1 in_service_date: \"2001-02-29\" is a date that no calendar has; it counts as not recorded | {remedy}"
        )]
    );
}

/// The largest value of each kind is read; one beyond it is not. Stated values, an assumption.
#[test]
fn money_hours_intervals_and_rates_have_a_largest_value() {
    let cases: [(&str, &str, &str, &str); 8] = [
        ("prices", "model,overhaul_cost,replacement_cost\nM76,5,CELL", "1000000000", "1,000,000,000"),
        ("hours", "propeller,reading_date,hours_since_new\nA1,2020-01-01,CELL", "200000", "200,000 h"),
        ("aircraft_hours", "aircraft,reading_date,hours\nx,2020-01-01,CELL", "200000", "200,000 h"),
        ("overhauls", "propeller,overhaul_date,cost\nA1,2020-01-01,CELL", "1000000000", "1,000,000,000"),
        ("models", "model,interval_hours\nM76,CELL", "50000", "50,000 h"),
        ("models", "model,interval_months\nM76,CELL", "1200", "1,200 months"),
        ("models", "model,max_rpm\nM76,CELL", "10000", "10,000 a minute"),
        ("bases", "base,so2_deposition_mg_m2_day\nnorth,CELL", "10000", "10,000 mg/(m2 day)"),
    ];
    for (table, text, most, shown) in cases {
        let keeps_row = table == "models";
        let with = |cell: &str| {
            let folder = FleetFolder::small().with(table, &text.replace("CELL", cell));
            let told = if keeps_row { folder.cautions() } else { folder.set_aside() };
            told.into_iter().filter(|line| line.contains("larger than")).collect::<Vec<_>>()
        };
        assert_eq!(with(most), [""; 0], "{table}");
        let beyond = format!("{most}.5");
        let told = with(&beyond);
        assert_eq!(told.len(), 1, "{told:?}");
        let rule = format!("larger than anything this column holds (at most {shown})");
        let remedy = " | correct the value from the paper record";
        let start = format!("{table}.csv:2 ");
        assert!(told[0].starts_with(&start) && told[0].contains(&format!("[{beyond}]")), "{told:?}");
        assert!(told[0].contains(&rule) && told[0].ends_with(remedy), "{told:?}");
    }
    let huge = FleetFolder::small().with("hours", "propeller,reading_date,hours_since_new\nA1,2020-01-01,1e300");
    assert!(huge.set_aside()[0].contains("[1e300]"), "{:?}", huge.set_aside());
    // A propeller keeps its row; what its own limit meant is not known, and `none` is no number.
    let own =
        FleetFolder::small().with("propellers", "propeller,model,interval_hours,interval_months\nA1,M76,60000,none");
    assert_eq!(
        own.cautions(),
        [
            "propellers.csv:2 interval_hours [60000] - - x1 interval_hours: \"60000\" is larger than anything this column holds (at most 50,000 h); the limit it meant is not known | correct the value from the paper record"
        ]
    );
    let loaded = own.load();
    assert!(as_of(&loaded, "2026-01-01").propellers.get(0).override_unreadable);
}

#[test]
fn a_long_cell_is_quoted_by_its_first_letters() {
    let folder = FleetFolder::empty().with("propellers", &format!("propeller,status\nA1,{}", "x".repeat(200)));
    let told = folder.cautions().remove(0);
    assert!(told.contains(&format!("status: \"{}...\" is none of", "x".repeat(60))), "{told}");
}

#[test]
fn a_closed_word_that_is_required() {
    let folder = FleetFolder::small().with("defects", "propeller,found_date,kind\nA1,2020-01-01,ding");
    assert_eq!(
        folder.set_aside(),
        [
            "defects.csv:2 kind [ding] not one of the column's words (nick, gouge, scratch, dent, pit, corrosion, erosion, bend, crack, lightning, strike, overspeed or other) | write one of the words, or leave the cell empty"
        ]
    );
}

/// A word that only sharpens a row is not recorded, with a caution; letter case and the underscore do not matter.
#[test]
fn closed_words() {
    let folder = FleetFolder::small().with(
        "defects",
        "propeller,found_date,kind,surface
         A1,2020-01-01,NICK,Leading Edge
         A1,2020-01-02,nick,front",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let surfaces: Vec<Option<&str>> = fleet.defects.of(0).iter().map(|d| d.surface.map(|s| s.word())).collect();
    assert_eq!(surfaces, [Some("leading_edge"), None]);
    assert_eq!(
        folder.cautions(),
        [
            "defects.csv:3 surface [front] - - x1 surface: \"front\" is none of leading_edge, trailing_edge, face, camber, tip, hub; it counts as not recorded | write one of the words, or leave the cell empty"
        ]
    );
}

#[test]
fn a_small_number_that_is_none() {
    for value in ["1.5", "-1", "255", "two"] {
        let folder = FleetFolder::small().with("models", &format!("model,blades\nM76,{value}"));
        assert_eq!(
            folder.cautions(),
            [format!(
                "models.csv:2 blades [{value}] - - x1 blades: \"{value}\" is not a whole number from 0 to 254; it counts as not recorded | write a whole number"
            )]
        );
    }
}

#[test]
fn not_recorded_is_never_zero() {
    for value in ["", "NA", "n/a", "-", "?", "  "] {
        let folder = FleetFolder::small()
            .with("overhauls", &format!("propeller,overhaul_date,hours_since_new\nA1,2020-01-01,{value}"));
        let loaded = folder.load();
        let fleet = as_of(&loaded, "2026-01-01");
        assert_eq!(fleet.visits.of(0)[0].hours_since_new, None, "[{value}]");
        assert_eq!(folder.set_aside(), [""; 0], "[{value}]");
    }
}

#[test]
fn none_says_that_the_maker_states_no_limit() {
    let folder = FleetFolder::small().with(
        "models",
        "model,interval_hours,interval_months
         M76,none,72
         N,,None
         O,never,72",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let of = |name: &str| {
        let model = fleet.models.get(fleet.models.find(name).expect("a model"));
        (model.interval_hours, model.interval_months)
    };
    assert_eq!(of("M76"), (Stated::NoLimit, Stated::Value(72.0)));
    assert_eq!(of("N"), (Stated::NotRecorded, Stated::NoLimit));
    assert_eq!(of("O"), (Stated::NotRecorded, Stated::Value(72.0)));
    assert_eq!(
        folder.cautions(),
        [
            "models.csv:4 interval_hours [never] - - x1 interval_hours: \"never\" is not a number (expected a number, or none); the limit it meant is not known | write a decimal, or a fraction such as 1 1/16 for a length; leave unknown cells empty"
        ]
    );
}

#[test]
fn identifiers_keep_leading_zeros_and_are_answered_with_the_nearest() {
    let folder = FleetFolder::small().with("propellers", "propeller,model\n007,M76\n7,M76\nK1043,M76").with(
        "hours",
        "propeller,reading_date,hours_since_new
             007,2020-01-01,10
             7,2020-01-01,20
             k1043,2020-01-01,30
             K1034,2020-01-01,40
             zz,2020-01-01,50",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let hours = |serial: &str| {
        let propeller = fleet.propellers.find(serial).expect("a propeller");
        fleet.flying.readings(propeller)[0].hours_since_new
    };
    assert_eq!((hours("007"), hours("7")), (Some(10.0), Some(20.0)));
    let told = "the propeller is not listed in `propellers` | add it to `propellers`, or correct the serial";
    assert_eq!(
        folder.set_aside(),
        [
            format!("hours.csv:4 propeller [k1043] {told}; the nearest listed is K1043"),
            format!("hours.csv:5 propeller [K1034] {told}; the nearest listed is K1043"),
            format!("hours.csv:6 propeller [zz] {told}"),
        ]
    );
}

/// A CSV file that a spreadsheet wrote carries its dates where fractions were typed.
#[test]
fn fractions_that_a_spreadsheet_made_dates_of() {
    let folder = FleetFolder::small().with(
        "overhauls",
        "propeller,overhaul_date,track_in
        A1,2010-01-01,16-Jan
        A1,2011-01-01,2026-01-16
        A1,2012-01-01,46038
        A1,2013-01-01,1/16
        A1,45307,0.02",
    );
    let fraction = "it was probably typed as 1/16, of which the spreadsheet made a date: compare with the paper record, then type 0.0625, or format the column as text and type the fraction";
    assert_eq!(
        folder.set_aside(),
        [
            format!("overhauls.csv:2 track_in [16-Jan] a date where a length is expected | {fraction}"),
            format!("overhauls.csv:3 track_in [2026-01-16] a date where a length is expected | {fraction}"),
            format!("overhauls.csv:4 track_in [46038] no length, but a spreadsheet's number for a date | {fraction}"),
            "overhauls.csv:6 overhaul_date [45307] a bare number where a date is expected | as a spreadsheet's day number it would be 2024-01-16: if the paper record says that day, format the cell as a date or write it as YYYY-MM-DD".to_string(),
        ]
    );
}

#[test]
fn example_rows_of_a_csv_table_are_ignored() {
    let folder = FleetFolder::small().with(
        "hours",
        "propeller,reading_date,hours_since_new
        EXAMPLE A1,2010-01-01,5
        A1,2011-01-01,6
        \"EXAMPLE\",2010-01-01
        EXAMPLES,2011-01-01,6",
    );
    let loaded = folder.load();
    assert_eq!(loaded.table(Table::Hours).expect("hours").rows, 2);
    assert_eq!(loaded.notes, ["hours.csv: 2 example rows are ignored"]);
    assert!(folder.set_aside()[0].starts_with("hours.csv:5 propeller [EXAMPLES]"));
}
