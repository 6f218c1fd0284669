//! The settings that most fleets look at first.

use crate::settings::{SettingRow, Settings, Value};

/// Their names, as a settings sheet writes them.
const COMMON: [&str; 10] = [
    "name",
    "currency",
    "price_growth_pct",
    "date_format",
    "csv_separator",
    "decimal_comma",
    "blade_1",
    "due.warning_days",
    "budget.years",
    "budget.opening_balance",
];

/// How the files of a folder are written; a workbook has no use for them.
const OF_CSV: [&str; 2] = ["csv_separator", "decimal_comma"];

/// A setting's name with its section.
pub(super) fn dotted(row: &SettingRow) -> String {
    match row.section {
        "" => row.key.to_string(),
        section => format!("{section}.{}", row.key),
    }
}

/// The common settings with their defaults, in the order of the list of settings.
pub(super) fn common(of_a_workbook: bool) -> Vec<SettingRow> {
    let is_wanted = |row: &SettingRow| {
        let name = dotted(row);
        COMMON.contains(&name.as_str()) && !(of_a_workbook && OF_CSV.contains(&name.as_str()))
    };
    let rows = Settings::default().rows();
    rows.into_iter().filter(is_wanted).collect()
}

/// What a setting does and takes, in a line or two.
pub(super) fn meaning(row: &SettingRow) -> String {
    let unit = match (row.unit, &row.default) {
        ("", _) | (_, Value::NotSet(_)) => String::new(),
        (unit, _) => format!(" {unit}"),
    };
    format!("{}. Give {}. Without it: {}{unit}.", row.meaning, row.allowed, row.default)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_common_setting_exists() {
        let found: Vec<String> = common(false).iter().map(dotted).collect();
        assert_eq!(found, COMMON);
        assert_eq!(common(true).len(), COMMON.len() - OF_CSV.len());
    }
}
