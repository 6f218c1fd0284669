use std::collections::HashSet;

use super::*;

#[test]
fn names_are_plain_and_unique() {
    let mut tables_seen = HashSet::new();
    let plain = |name: &str| {
        name.starts_with(|c: char| c.is_ascii_lowercase())
            && name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
    };
    for table in tables() {
        assert!(tables_seen.insert(table.name), "{} twice", table.name);
        assert!(plain(table.name) && !table.a_row_is.is_empty());
        let mut columns_seen = HashSet::new();
        for column in table.columns {
            let at = format!("{}.{}", table.name, column.name);
            assert!(columns_seen.insert(column.name), "{at} twice");
            assert!(plain(column.name), "{at}");
            assert!(!column.about.is_empty() && !column.source.is_empty(), "{at}");
            let wordless = matches!(column.kind, ColumnKind::Text | ColumnKind::YesNo);
            assert_eq!(column.unit.is_empty(), wordless, "{at}");
            assert_eq!(column.decimals.is_some(), column.kind == ColumnKind::Number, "{at}");
        }
    }
}

/// A name that ends in a unit must carry that unit, and the other way round.
#[test]
fn a_name_ends_in_its_unit() {
    type Named = fn(&str) -> bool;
    let units: [(&str, Named); 6] = [
        ("in", |name| name.ends_with("_in")),
        (PERCENT_OF_RADIUS, |name| name.ends_with("station_pct")),
        ("MPa", |name| name.ends_with("_mpa")),
        ("g/m2", |name| name.ends_with("_g_m2")),
        ("g/(m2 year)", |name| name.ends_with("_g_m2_year")),
        ("date", |name| name.contains("date") || ["month", "visit"].contains(&name)),
    ];
    for column in tables().iter().flat_map(|table| table.columns) {
        for (unit, named) in &units {
            assert_eq!(column.unit == *unit, named(column.name), "{}: {unit}", column.name);
        }
    }
}

/// One name means one thing: the same name has the same kind and unit wherever it stands.
#[test]
fn a_name_has_one_kind_and_unit() {
    let all: Vec<&Column> = tables().iter().flat_map(|table| table.columns).collect();
    for one in &all {
        for other in all.iter().filter(|other| other.name == one.name) {
            assert_eq!((one.kind, one.unit), (other.kind, other.unit), "{}", one.name);
        }
    }
}

#[test]
fn the_loss_table_has_its_columns_in_order() {
    let names: Vec<&str> = metal::LOSS.columns.iter().map(|column| column.name).collect();
    let mut expected: Vec<String> = ["propeller", "overhaul_date", "blade", "station_pct"]
        .into_iter()
        .chain(["visit_no", "overhaul_no", "station_in"])
        .map(String::from)
        .collect();
    for dimension in ["thickness", "width"] {
        for end in [
            "before_in",
            "after_in",
            "removed_in",
            "service_loss_in",
            "loss_in",
            "visits_spanned",
            "from_drawing",
            "margin_in",
            "margin_fraction",
        ] {
            expected.push(format!("{dimension}_{end}"));
        }
    }
    expected.push("section_modulus_retained".to_string());
    assert_eq!(names, expected);
}

#[test]
fn a_table_is_found_by_its_name_only() {
    for spec in tables() {
        assert_eq!(table(spec.name), Some(spec));
    }
    assert_eq!(table("Loss"), None);
    assert_eq!(table(""), None);
    let due = table("due").unwrap();
    assert_eq!(due.column("due_date").unwrap().kind, ColumnKind::Date);
    assert_eq!(due.column("due"), None);
}
