//! Headers: missing, misnamed and doubled columns, two units, another separator.

use crate::fleet_folder::{FleetFolder, as_of};
use bladewane::records::ReadOptions;
use bladewane::records::reading::Writing;
use bladewane::records::schema::Table;

#[test]
fn a_missing_column_is_told_with_the_nearest_name_there() {
    // Three slips are too many for a name to be taken for another, and few enough for a hint.
    assert_eq!(
        FleetFolder::empty().with("propellers", "prepellors,model\nA1,M76").error(),
        "propellers.csv: column `propeller` is missing; found `prepellors`, `model`\nhint: the nearest column there is `prepellors`"
    );
    assert_eq!(
        FleetFolder::small().with("hours", "propeller,when,count\nA1,2020-01-01,5").error(),
        "hours.csv: column `reading_date` and `hours_since_new` or `hours_since_overhaul` is missing; found `propeller`, `when`, `count`\nhint: rename or add the column"
    );
    // A length column is asked for with its units.
    assert_eq!(
        FleetFolder::small().with("limits", "model,place\nM76,22.8").error(),
        "limits.csv: column `station_pct` or `station_in` (or station_mm, station_thou) is missing; found `model`, `place`\nhint: rename or add the column"
    );
}

#[test]
fn two_units_for_one_quantity() {
    for (first, second) in [("_in", "_mm"), ("_in", "_thou"), ("_mm", "_thou")] {
        let header = format!("model,station_pct,width_new{second},width_new{first}");
        assert_eq!(
            FleetFolder::small().with("limits", &header).error(),
            format!(
                "limits.csv: columns `width_new{first}` and `width_new{second}` give one quantity in two units\nhint: keep one of them"
            )
        );
    }
}

#[test]
fn one_column_twice() {
    assert_eq!(
        FleetFolder::empty().with("propellers", "propeller,model, model \nA1,M,N").error(),
        "FLEET/propellers.csv:1: the header row cannot be read: column `model` stands there twice\nhint: rename or remove one of the two columns"
    );
}

#[test]
fn a_header_that_cannot_be_cut_or_read() {
    assert_eq!(
        FleetFolder::empty().with("propellers", "propeller,\"model\nA1,M").error(),
        "FLEET/propellers.csv:1: the header row cannot be read: a quotation mark inside a name, or one that never closes\nhint: write plain column names in the first line"
    );
    assert_eq!(
        FleetFolder::empty().file("propellers.csv", b"\nprop\xE9ller\nA1\n").error(),
        "FLEET/propellers.csv:2: the header row cannot be read: it is not UTF-8\nhint: save the table as CSV in UTF-8"
    );
}

#[test]
fn another_separator_is_recognised_and_can_be_set() {
    for (separator, word) in [(';', "semicolon"), ('\t', "tab"), ('|', "bar")] {
        let hint = format!(
            "the header looks cut by another separator; set csv_separator = \"{word}\" in fleet.toml (and decimal_comma = true, if decimals have commas)"
        );
        let text = format!("propeller{separator}model\nA1{separator}M76\n");
        let folder = FleetFolder::empty().file("propellers.csv", text.as_bytes());
        assert_eq!(
            folder.error(),
            format!("propellers.csv: column `propeller` is missing; found `propeller{separator}model`\nhint: {hint}")
        );
        let folder = folder.options(ReadOptions { separator: separator as u8, ..ReadOptions::default() });
        let loaded = folder.load();
        assert_eq!(as_of(&loaded, "2026-01-01").propellers.serial(0), "A1");
    }
}

/// A table as a spreadsheet of another locale writes it, with its own first line: read once the settings say so.
#[test]
fn a_table_of_another_locale_is_read_once_it_is_set() {
    let folder = FleetFolder::empty().file("propellers.csv", b"propeller;model\nA1;M76\n").file(
        "hours.csv",
        b"\xEF\xBB\xBFsep=;\r\npropeller;reading_date;hours_since_new\r\nA1;16.01.2024;1234,5\r\nA1;17.01.2024;1.234,5\r\n",
    );
    let folder = folder.options(ReadOptions {
        separator: b';',
        writing: Writing { decimal_comma: true, date_pattern: Some("%d.%m.%Y".to_string()) },
        ..ReadOptions::default()
    });
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let readings = fleet.flying.readings(0);
    assert_eq!(readings.len(), 1);
    assert_eq!(readings[0].hours_since_new, Some(1234.5));
    let told = folder.set_aside();
    assert_eq!(told.len(), 1);
    assert!(told[0].starts_with("hours.csv:4 hours_since_new [1.234,5] not a number"), "{told:?}");
}

#[test]
fn unknown_columns_are_told_once_and_ignored() {
    let folder = FleetFolder::empty().with(
        "propellers",
        "colour,propeller,paint,
         red,A1,x,
         blue,A2,y,",
    );
    let told = "the column is not known and is ignored | correct the name, or remove the column";
    assert_eq!(
        folder.cautions(),
        [format!("propellers.csv:0 colour [] - - x1 {told}"), format!("propellers.csv:0 paint [] - - x1 {told}"),]
    );
}

const WAY_OUT: &str = "hint: rename it, or list it under ignore_columns in fleet.toml";

#[test]
fn a_heading_that_looks_like_one_of_ours_is_an_error() {
    let refused = |table: &str, header: &str, heading: &str, meant: &str| {
        let said = FleetFolder::small().with(table, header).error();
        let expected = format!("{table}.csv: the column `{heading}` is not known and looks like {meant}\n{WAY_OUT}");
        assert_eq!(said, expected);
    };
    refused("propellers", "propellor,model\nA1,M76", "propellor", "`propeller`");
    refused("models", "model,interval_month\nM76,72", "interval_month", "`interval_months`");
    // Equal once case, blanks, `_`, `-` and a unit's ending are off.
    refused("models", "model,Interval-Months\nM76,72", "Interval-Months", "`interval_months`");
    refused("overhauls", "propeller,Overhaul Date\nA1,2020-01-01", "Overhaul Date", "`overhaul_date`");
    refused(
        "defects",
        "propeller,found_date,kind,action_date_in\nA1,2020-01-01,nick,1",
        "action_date_in",
        "`action_date`",
    );
    // A length without its unit, or with another than the three, is not guessed.
    let meant = "`diameter_in` (or diameter_mm, diameter_thou)";
    refused("models", "model,diameter\nM76,76", "diameter", meant);
    refused("models", "model,Diameter (inches)\nM76,76", "Diameter (inches)", meant);
    // One slip where the name has up to seven letters, two where it has more.
    refused("propellers", "propeller,modle\nA1,M76", "modle", "`model`");
    refused("propellers", "propeller,acquierd\nA1,new", "acquierd", "`acquired`");
    refused("propellers", "propeller,replacd_bye\nA1,A2", "replacd_bye", "`replaced_by`");
    for far in ["propeller,midle\nA1,M76", "propeller,rplacd_bye\nA1,A2"] {
        assert_eq!(FleetFolder::small().with("propellers", far).cautions().len(), 1, "{far}");
    }
}

#[test]
fn a_heading_near_a_column_that_is_there_is_only_not_known() {
    let folder = FleetFolder::small().with("models", "model,blades,blade\nM76,2,two");
    let told = "the column is not known and is ignored | correct the name, or remove the column";
    assert_eq!(folder.cautions(), [format!("models.csv:0 blade [] - - x1 {told}")]);
}

#[test]
fn every_such_heading_of_a_table_is_told_at_once() {
    assert_eq!(
        FleetFolder::small().with("models", "model,blade,interval_hour\nM76,2,2000").error(),
        "models.csv: the column `blade` is not known and looks like `blades`\nmodels.csv: the column `interval_hour` is not known and looks like `interval_hours`\nhint: rename them, or list them under ignore_columns in fleet.toml"
    );
}

#[test]
fn a_heading_under_ignore_columns_is_left_alone() {
    for listed in ["interval_month", "models.interval_month"] {
        let options = ReadOptions { ignore_columns: vec![listed.to_string()], ..ReadOptions::default() };
        let folder = FleetFolder::small().with("models", "model,interval_month\nM76,72").options(options);
        assert_eq!(folder.cautions(), [""; 0], "{listed}");
    }
    let options = ReadOptions { ignore_columns: vec!["limits.interval_month".to_string()], ..ReadOptions::default() };
    let folder = FleetFolder::small().with("models", "model,interval_month\nM76,72").options(options);
    assert!(folder.error().starts_with("models.csv: the column `interval_month`"));
    // A column of ours is read whatever the list says.
    let options = ReadOptions { ignore_columns: vec!["model".to_string()], ..ReadOptions::default() };
    let loaded = FleetFolder::small().options(options).load();
    assert_eq!(as_of(&loaded, "2026-01-01").models.list().len(), 1);
}

#[test]
fn the_order_of_columns_does_not_matter() {
    let folder = FleetFolder::small().with(
        "limits",
        "thickness_min_in,width_new_in,station_pct,thickness_new_in,model,width_min_in
         0.413,5.440,60,0.476,M76,5.230",
    );
    let loaded = folder.load();
    let fleet = as_of(&loaded, "2026-01-01");
    let station = &fleet.models.list()[0].stations[0];
    assert_eq!((station.thickness.min_in, station.width.new_in), (Some(0.413), Some(5.440)));
}

/// The three units give the same inches: 22.8 in = 579.12 mm = 22,800 thou, as 1 in = 25.4 mm exactly (1959).
#[test]
fn lengths_in_three_units_are_the_same_inches() {
    for (unit, over) in [("in", 1.0), ("mm", 25.4), ("thou", 1000.0)] {
        let table = format!("model,station_{unit},width_new_{unit}\nM76,{},{}", 22.8 * over, 5.44 * over);
        let folder = FleetFolder::small().with("limits", &table);
        let loaded = folder.load();
        let limits = loaded.table(Table::Limits).expect("limits");
        let station = limits.numbers("station").expect("numbers")[0];
        let width = limits.numbers("width_new").expect("numbers")[0];
        assert!((station - 22.8).abs() < 1e-12, "{unit}: {station}");
        assert!((width - 5.44).abs() < 1e-12, "{unit}: {width}");
    }
}
