//! Settings to rows for a table and to the text of `settings.toml`.

use std::fmt::Write;

use serde::Serialize;

use super::definition::Setting;
use super::error::Origin;
use super::list::{LIST, SECTIONS, Settings};
use super::source_mark::SourceMark;
use super::value::Value;

/// One setting as the `settings` command and `run.json` show it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettingRow {
    /// The section of `fleet.toml`; empty for a key at the top.
    pub section: &'static str,
    /// The key.
    pub key: &'static str,
    /// The value in force.
    pub value: Value,
    /// The default.
    pub default: Value,
    /// The unit; empty where there is none.
    pub unit: &'static str,
    /// What may be given, in words.
    pub allowed: String,
    /// Where the value was set.
    pub where_set: Origin,
    /// What it does, in one sentence.
    pub meaning: &'static str,
    /// Where the default comes from.
    pub source: SourceMark,
}

impl Settings {
    /// Every setting in the order of the list.
    pub fn rows(&self) -> Vec<SettingRow> {
        let defaults = Settings::default();
        LIST.iter().enumerate().map(|(index, setting)| self.row(index, setting, &defaults)).collect()
    }

    fn row(&self, index: usize, setting: &Setting, defaults: &Settings) -> SettingRow {
        let value = (setting.shown)(self);
        let default = (setting.shown)(defaults);
        let where_set = match self.origins.get(&index) {
            Some(origin) => origin.clone(),
            None if value == default => Origin::Default,
            None => Origin::Program,
        };
        SettingRow {
            section: setting.section,
            key: setting.key,
            value,
            default,
            unit: setting.unit,
            allowed: (setting.expected)(),
            where_set,
            meaning: setting.meaning,
            source: setting.source,
        }
    }

    /// The text of `settings.toml`: every setting in force with its meaning, what is allowed, its default and source, and
    /// where it was set. [`Settings::read`] takes the text back to the same values.
    pub fn to_toml(&self) -> String {
        let mut text =
            String::from("# Every setting in force. Give this file with --settings to use the same again.\n");
        let defaults = Settings::default();
        for section in SECTIONS {
            line(&mut text, &format!("\n# {}", section.about));
            if !section.name.is_empty() {
                line(&mut text, &format!("[{}]", section.name));
            }
            for (index, setting) in LIST.iter().enumerate() {
                if setting.section != section.name {
                    continue;
                }
                let row = self.row(index, setting, &defaults);
                let set = match &row.where_set {
                    Origin::Default => "default".to_owned(),
                    // A file's name may hold anything; a remark may not hold a line break.
                    origin => format!("set by {}", origin.to_string().replace(char::is_control, " ")),
                };
                let unit = match row.unit {
                    "" => String::new(),
                    unit => format!(" ({unit})"),
                };
                line(&mut text, &format!("\n# {}.", row.meaning));
                line(&mut text, &format!("# Give {}{unit}; default {}: {}.", row.allowed, row.default, row.source));
                line(&mut text, &format!("{} = {}  # {set}", row.key, (setting.toml)(self)));
            }
        }
        text
    }
}

impl Settings {
    /// The settings that someone gave, as the text of a `fleet.toml`; empty where every setting has its default.
    pub fn given_toml(&self) -> String {
        let mut text = String::new();
        let defaults = Settings::default();
        for section in SECTIONS {
            let mut named = section.name.is_empty();
            for (index, setting) in LIST.iter().enumerate().filter(|(_, s)| s.section == section.name) {
                if self.row(index, setting, &defaults).where_set == Origin::Default {
                    continue;
                }
                if !std::mem::replace(&mut named, true) {
                    line(&mut text, &format!("\n[{}]", section.name));
                }
                line(&mut text, &format!("{} = {}", setting.key, (setting.toml)(self)));
            }
        }
        text
    }
}

fn line(text: &mut String, line: &str) {
    // Writing to a String cannot fail.
    let _ = writeln!(text, "{line}");
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Layer;

    fn fleet(text: &str) -> Settings {
        Settings::default().with_layers(&[Layer { name: "fleet.toml".to_owned(), text: text.to_owned() }]).unwrap()
    }

    fn row(settings: &Settings, key: &str) -> SettingRow {
        settings.rows().into_iter().find(|row| row.key == key).unwrap()
    }

    #[test]
    fn a_row_says_where_its_value_was_set() {
        let settings =
            fleet("[due]\n\nwarning_days = 60\n").with_pairs("the command line", [("budget.years", "10")]).unwrap();
        let days = row(&settings, "warning_days");
        assert_eq!(days.value, Value::Whole(60));
        assert_eq!(days.default, Value::Whole(90));
        assert_eq!(days.where_set.to_string(), "fleet.toml, line 3");
        assert_eq!(row(&settings, "years").where_set.to_string(), "the command line");
        assert_eq!(row(&settings, "weight_time").where_set, Origin::Default);
        // A value equal to the default is still set when someone wrote it down.
        let written = fleet("[due]\nwarning_days = 90\n");
        assert_eq!(row(&written, "warning_days").where_set.to_string(), "fleet.toml, line 2");
        let mut changed = Settings::default();
        changed.due.warning_days = 1;
        assert_eq!(row(&changed, "warning_days").where_set.to_string(), "the program");
    }

    #[test]
    fn a_row_for_a_machine() {
        let json = serde_json::to_string(&row(&Settings::default(), "edge_depth_in")).unwrap();
        assert_eq!(
            json,
            r#"{"section":"screen","key":"edge_depth_in","value":0.1875,"default":0.1875,"unit":"in","allowed":"a number above 0 and up to 1","where_set":"default","meaning":"Largest depth at the leading edge, trailing edge or tip","source":"AC 20-37E and AC 43.13-1B, from memory, verify against the current edition"}"#
        );
    }

    #[test]
    fn the_text_explains_every_value() {
        let text = fleet("name = 'The \"Kestrel\"'\n[budget]\nyears = 8\n").to_toml();
        assert!(text.starts_with(
            "# Every setting in force. Give this file with --settings to use the same again.\n\
             \n\
             # The fleet as a whole and how its tables are written.\n\
             \n\
             # Name of the fleet for headings; without one, the name of its folder is used.\n\
             # Give one line of text, at most 80 characters; default not set: a matter of choice.\n\
             name = 'The \"Kestrel\"'  # set by fleet.toml, line 1\n"
        ));
        assert!(text.contains(
            "\n\
             # What it will cost.\n\
             [budget]\n\
             \n\
             # Calendar years that the budget looks ahead, after the rest of this one.\n\
             # Give a whole number from 1 to 50 (years); default 5: a matter of choice.\n\
             years = 8  # set by fleet.toml, line 3\n"
        ));
        assert!(text.contains(
            "# Give a number from 0 to 1000; default 0.4: an assumption of this program.\n\
             weight_time = 0.4  # default\n"
        ));
    }

    #[test]
    fn a_layer_with_an_odd_name_cannot_break_the_text() {
        let settings = Settings::default().with_pairs("a\n[due]\nwarning_days = 1\r", [("name", "Kestrel")]).unwrap();
        assert_eq!(fleet(&settings.to_toml()).due.warning_days, 90);
    }
}
