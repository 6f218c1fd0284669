//! Layers of given values to settings, every problem collected.

use std::collections::BTreeSet;

use super::error::{Origin, Place, SettingError};
use super::given::{Entry, Given, shortened};
use super::list::{LIST, Settings};
use super::toml_text;
use super::unknown::find;

/// One TOML text with the name that messages give it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layer {
    /// The name, mostly that of a file.
    pub name: String,
    /// The text.
    pub text: String,
}

impl Settings {
    /// These settings with what the layers set on top; a later layer wins.
    ///
    /// # Errors
    /// Everything that is wrong in any layer, in the order of the layers and of their lines.
    pub fn with_layers(mut self, layers: &[Layer]) -> Result<Settings, Vec<SettingError>> {
        let mut errors = Vec::new();
        for layer in layers {
            match toml_text::entries(&layer.name, &layer.text) {
                Ok(entries) => self.take(&layer.name, &entries, &mut errors),
                Err(not_toml) => errors.extend(not_toml),
            }
        }
        self.whole(errors)
    }

    /// These settings with what pairs of a dotted key (`name`, `ranking.weight_time`) and a text set on top: the options of a
    /// command line. A pair with an empty text sets nothing.
    ///
    /// # Errors
    /// Everything that is wrong, in the order of the pairs.
    pub fn with_pairs<K: AsRef<str>, V: AsRef<str>>(
        self,
        name: &str,
        pairs: impl IntoIterator<Item = (K, V)>,
    ) -> Result<Settings, Vec<SettingError>> {
        let placed = pairs.into_iter().enumerate().map(|(index, (key, value))| {
            let place = Place::Entry(index + 1);
            (key, value, place, place)
        });
        self.with_placed(name, placed)
    }

    /// These settings with what a sheet sets on top: key, value, and row and column of the key's cell, both from 1; the value
    /// stands in the next column. `name` is the file's and the sheet's: `fleet.xlsx!fleet`.
    ///
    /// # Errors
    /// As [`Settings::with_pairs`], each naming its cell.
    pub fn with_cells<K: AsRef<str>, V: AsRef<str>>(
        self,
        name: &str,
        cells: impl IntoIterator<Item = (K, V, (u32, u32))>,
    ) -> Result<Settings, Vec<SettingError>> {
        let placed = cells.into_iter().map(|(key, value, (row, column))| {
            let at = |column| Place::Cell { row, column };
            (key, value, at(column), at(column + 1))
        });
        self.with_placed(name, placed)
    }

    fn with_placed<K: AsRef<str>, V: AsRef<str>>(
        mut self,
        name: &str,
        placed: impl Iterator<Item = (K, V, Place, Place)>,
    ) -> Result<Settings, Vec<SettingError>> {
        let mut errors = Vec::new();
        let mut entries = Vec::new();
        let mut seen = BTreeSet::new();
        for (key, value, key_place, place) in placed {
            let (key, value) = (key.as_ref().trim(), value.as_ref());
            if key.is_empty() && value.trim().is_empty() {
                continue;
            }
            let (section, inner) = key.split_once('.').unwrap_or(("", key));
            let entry = Entry {
                section: section.trim().to_owned(),
                key: inner.trim().to_owned(),
                value: Given::Plain(value.to_owned()),
                key_place,
                place,
                written: format!("`{}`", shortened(value)),
            };
            if seen.insert(entry.path()) {
                entries.push(entry);
            } else {
                errors.push(SettingError {
                    layer: name.to_owned(),
                    place: key_place,
                    key: entry.path(),
                    found: "it a second time".to_owned(),
                    expected: "each key once".to_owned(),
                    remedy: "keep one of the two".to_owned(),
                });
            }
        }
        self.take(name, &entries, &mut errors);
        errors.sort_by_key(|error| match error.place {
            Place::Entry(number) => number,
            Place::At { line, .. } => line,
            Place::Cell { row, .. } => row as usize,
        });
        self.whole(errors)
    }

    /// Puts every entry of one layer into its field.
    fn take(&mut self, layer: &str, entries: &[Entry], errors: &mut Vec<SettingError>) {
        let mut reported = BTreeSet::new();
        for entry in entries {
            let index = match find(entry) {
                Ok(Some(index)) => index,
                Ok(None) => continue,
                Err(unknown) => {
                    // A wrong section is said once, not once for each of its keys.
                    if !unknown.section || reported.insert(entry.section.clone()) {
                        errors.push(SettingError {
                            layer: layer.to_owned(),
                            place: entry.key_place,
                            key: entry.path(),
                            found: unknown.found,
                            expected: unknown.expected.to_owned(),
                            remedy: unknown.remedy,
                        });
                    }
                    continue;
                }
            };
            let setting = &LIST[index];
            if matches!(&entry.value, Given::Plain(text) if text.trim_matches(' ').is_empty()) {
                continue;
            }
            match (setting.put)(self, &entry.value) {
                Ok(()) => {
                    let origin = Origin::Set { layer: layer.to_owned(), place: entry.place };
                    self.origins.insert(index, origin);
                }
                Err(misfit) => errors.push(SettingError {
                    layer: layer.to_owned(),
                    place: entry.place,
                    key: entry.path(),
                    found: entry.written.clone(),
                    expected: (setting.expected)(),
                    remedy: misfit.remedy,
                }),
            }
        }
    }

    /// What can only be judged when every layer is in.
    fn whole(self, mut errors: Vec<SettingError>) -> Result<Settings, Vec<SettingError>> {
        let ranking = &self.ranking;
        let weights = [ranking.weight_time, ranking.weight_climate, ranking.weight_defects];
        if weights.iter().all(|&weight| weight == 0.0) {
            let last = LIST
                .iter()
                .enumerate()
                .filter(|(_, setting)| setting.key.starts_with("weight_"))
                .filter_map(|(index, _)| self.origins.get(&index))
                .next_back();
            let (layer, place) = match last {
                Some(Origin::Set { layer, place }) => (layer.clone(), *place),
                _ => ("settings".to_owned(), Place::Entry(1)),
            };
            errors.push(SettingError {
                layer,
                place,
                key: "ranking".to_owned(),
                found: "weight_time, weight_climate and weight_defects all 0".to_owned(),
                expected: "at least one weight above 0".to_owned(),
                remedy: "set one of the weights above 0, or take the lines out to get the defaults".to_owned(),
            });
        }
        if errors.is_empty() { Ok(self) } else { Err(errors) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::{DateFormat, Separator};

    fn layer(name: &str, text: &str) -> Layer {
        Layer { name: name.to_owned(), text: text.to_owned() }
    }

    fn fleet(text: &str) -> Result<Settings, Vec<SettingError>> {
        Settings::default().with_layers(&[layer("fleet.toml", text)])
    }

    /// Every message of a text that cannot be used.
    fn messages(text: &str) -> Vec<String> {
        fleet(text).unwrap_err().iter().map(SettingError::to_string).collect()
    }

    fn pair_messages(pairs: &[(&str, &str)]) -> Vec<String> {
        Settings::default()
            .with_pairs("fleet.xlsx!fleet", pairs.iter().copied())
            .unwrap_err()
            .iter()
            .map(SettingError::to_string)
            .collect()
    }

    #[test]
    fn nothing_given_is_the_defaults() {
        assert_eq!(Settings::default().with_layers(&[]), Ok(Settings::default()));
        assert_eq!(fleet(""), Ok(Settings::default()));
        assert_eq!(fleet("# only a remark\n[due]\n[ranking]\n"), Ok(Settings::default()));
    }

    #[test]
    fn a_later_layer_wins_and_leaves_the_rest() {
        let settings = Settings::default()
            .with_layers(&[
                layer(
                    "fleet.toml",
                    "name = \"Kestrel\"\ncsv_separator = \";\"\ndecimal_comma = true\ndate_format = \"DD.MM.YYYY\"\n\
                 [budget]\noverhauls_per_month = 2\nyears = 8\n",
                ),
                layer("board.toml", "[budget]\noverhauls_per_month = \"none\"\n"),
            ])
            .unwrap();
        assert_eq!(settings.fleet.name.as_deref(), Some("Kestrel"));
        assert_eq!(settings.fleet.csv_separator, Separator::Semicolon);
        assert!(settings.fleet.decimal_comma);
        assert_eq!(settings.fleet.date_format, DateFormat::read("DD.MM.YYYY").unwrap());
        assert_eq!(settings.budget.overhauls_per_month, None);
        assert_eq!(settings.budget.years, 8);
    }

    #[test]
    fn wrong_types_and_values_out_of_range_are_all_collected() {
        let found = messages(
            "name = 7\ndate_format = \"DD.MM.YY\"\ncsv_separator = \":\"\ndecimal_comma = 1\n\
             [ranking]\nweight_time = \"high\"\nweight_climate = -0.1\n\
             [due]\nwarning_days = 90.5\n\
             [exposure]\nsea_front = \"C9\"\nhangar_factor = nan\n\
             [budget]\noverhauls_per_month = 0\n",
        );
        let expected = [
            "fleet.toml:1:8: name: expected one line of text, at most 80 characters, found `7`\n\
             hint: put the text in straight quotes",
            "fleet.toml:2:15: date_format: expected the form of a date such as YYYY-MM-DD, DD.MM.YYYY, MM/DD/YYYY or \
             D MMM YYYY, found `\"DD.MM.YY\"`\n\
             hint: write the year with four digits, YYYY: two digits would leave the century to a guess",
            "fleet.toml:3:17: csv_separator: expected one of comma, semicolon, tab, bar, found `\":\"`\n\
             hint: write one of these words or the character, in straight quotes",
            "fleet.toml:4:17: decimal_comma: expected yes (true) or no (false), found `1`\nhint: write true or false",
            "fleet.toml:6:15: ranking.weight_time: expected a number from 0 to 1000, found `\"high\"`\n\
             hint: write the number alone, with a decimal point and without unit or quotes",
            "fleet.toml:7:18: ranking.weight_climate: expected a number from 0 to 1000, found `-0.1`\n\
             hint: write a value inside these bounds, or take the line out to get the default",
            "fleet.toml:9:16: due.warning_days: expected a whole number from 0 to 3650, found `90.5`\n\
             hint: write a whole number",
            "fleet.toml:11:13: exposure.sea_front: expected one of C1, C2, C3, C4, C5, CX, found `\"C9\"`\n\
             hint: write one of these, in straight quotes",
            "fleet.toml:12:17: exposure.hangar_factor: expected a number from 0.01 to 1, found `nan`\n\
             hint: write a finite number",
            "fleet.toml:14:23: budget.overhauls_per_month: expected a whole number from 1 to 100000, or \"none\", found `0`\n\
             hint: write a value inside these bounds, or take the line out to get the default",
        ];
        assert_eq!(found, expected);
    }

    #[test]
    fn errors_of_every_layer_are_collected() {
        let errors = Settings::default()
            .with_layers(&[
                layer("fleet.toml", "[due]\nwarning_days = -1\n"),
                layer("board.toml", "name = Kestrel\n"),
                layer("more.toml", "nam = \"Kestrel\"\n"),
            ])
            .unwrap_err();
        let files: Vec<&str> = errors.iter().map(|error| error.layer.as_str()).collect();
        assert_eq!(files, ["fleet.toml", "board.toml", "more.toml"]);
        assert_eq!(errors[1].remedy, "put text in straight quotes: name = \"Kestrel\"");
    }

    #[test]
    fn weights_may_not_all_be_zero() {
        let zero = "[ranking]\nweight_time = 0\nweight_climate = 0\nweight_defects = 0\n";
        assert_eq!(
            messages(zero),
            ["fleet.toml:4:18: ranking: expected at least one weight above 0, found weight_time, weight_climate and \
              weight_defects all 0\n\
              hint: set one of the weights above 0, or take the lines out to get the defaults"]
        );
        // What counts is what is left when every layer is in.
        let mended = Settings::default()
            .with_layers(&[layer("fleet.toml", zero), layer("board.toml", "[ranking]\nweight_defects = 2\n")])
            .unwrap();
        assert_eq!(mended.ranking.weights(), [0.0, 0.0, 1.0]);
    }

    #[test]
    fn weights_are_shares() {
        let weights = Settings::default().ranking.weights();
        for (weight, expected) in weights.into_iter().zip([0.4, 0.3, 0.3]) {
            assert!((weight - expected).abs() < 1e-15);
        }
        let doubled = fleet("[ranking]\nweight_time = 8\nweight_climate = 6\nweight_defects = 6\n").unwrap();
        assert_eq!(doubled.ranking.weights(), [0.4, 0.3, 0.3]);
    }

    #[test]
    fn pairs_are_read_by_the_type_of_their_key() {
        let settings = Settings::default()
            .with_pairs(
                "fleet.xlsx!fleet",
                [
                    ("name", "Kestrel"),
                    ("", ""),
                    ("currency", ""),
                    (" decimal_comma ", "yes"),
                    ("csv_separator", ";"),
                    ("ranking.weight_time", "0.5"),
                    ("due.warning_days", "60"),
                    ("budget.overhauls_per_month", "none"),
                ],
            )
            .unwrap();
        assert_eq!(settings.fleet.name.as_deref(), Some("Kestrel"));
        assert_eq!(settings.fleet.currency, None);
        assert!(settings.fleet.decimal_comma);
        assert_eq!(settings.fleet.csv_separator, Separator::Semicolon);
        assert_eq!(settings.ranking.weight_time, 0.5);
        assert_eq!(settings.due.warning_days, 60);
    }

    #[test]
    fn problems_of_pairs_name_key_and_remedy_and_keep_their_order() {
        let pairs = [
            ("ranking.weight_tme", "0.5"),
            ("warning_days", "60"),
            ("due.warning_days", "60,5"),
            ("fleet.name", "Kestrel"),
            ("name", "Kestrel"),
            ("name", "Merlin"),
            ("ranking", "1"),
            ("", "1"),
        ];
        assert_eq!(
            pair_messages(&pairs),
            [
                "fleet.xlsx!fleet: ranking.weight_tme: expected a known key, found `weight_tme`\n\
                 hint: did you mean `ranking.weight_time`?",
                "fleet.xlsx!fleet: warning_days: expected a known key, found `warning_days`\n\
                 hint: write due.warning_days",
                "fleet.xlsx!fleet: due.warning_days: expected a whole number from 0 to 3650, found `60,5`\n\
                 hint: write a decimal point: 60.5",
                "fleet.xlsx!fleet: fleet.name: expected a known section, found `fleet`\n\
                 hint: write `name` alone, without a section",
                "fleet.xlsx!fleet: name: expected each key once, found it a second time\nhint: keep one of the two",
                "fleet.xlsx!fleet: ranking: expected a section of that name, found `1`\n\
                 hint: write a key of that section, such as ranking.weight_time",
                "fleet.xlsx!fleet: expected a known key, found an empty one\n\
                 hint: write the key of a setting; the command `settings` lists them",
            ]
        );
        let errors = Settings::default().with_pairs("x", pairs).unwrap_err();
        let places: Vec<Place> = errors.iter().map(|error| error.place).collect();
        assert_eq!(places, [1, 2, 3, 4, 6, 7, 8].map(Place::Entry));
    }

    #[test]
    fn options_of_a_command_line_go_on_top_of_the_files() {
        let settings = fleet("[budget]\nyears = 8\nuse_growth_pct = 2\n")
            .unwrap()
            .with_pairs("the command line", [("budget.years", "10")])
            .unwrap();
        assert_eq!(settings.budget.years, 10);
        assert_eq!(settings.budget.use_growth_pct, 2.0);
    }
}
