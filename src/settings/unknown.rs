//! Which setting a key names, and what to say when none is named so.

use super::definition::Section;
use super::error::Place;
use super::given::{Entry, Given, path, shortened};
use super::list::{LIST, SECTIONS};
use super::nearest::nearest;

/// A key or section that no setting has.
pub(super) struct Unknown {
    /// Whether the section itself is unknown.
    pub section: bool,
    /// What was found.
    pub found: String,
    /// What is allowed there.
    pub expected: &'static str,
    /// What to do.
    pub remedy: String,
}

/// The position in the list of the setting that an entry names; nothing for an empty section that exists.
pub(super) fn find(entry: &Entry) -> Result<Option<usize>, Unknown> {
    let known = LIST.iter().position(|setting| setting.section == entry.section && setting.key == entry.key);
    if known.is_some() {
        return Ok(known);
    }
    if !SECTIONS.iter().any(|section| section.name == entry.section) {
        return Err(Unknown {
            section: true,
            found: format!("`{}`", entry.section),
            expected: "a known section",
            remedy: section_remedy(entry),
        });
    }
    if entry.value == Given::EmptySection {
        return Ok(None);
    }
    if entry.key.is_empty() {
        return Err(Unknown {
            section: false,
            found: "an empty one".to_owned(),
            expected: "a known key",
            remedy: "write the key of a setting; the command `settings` lists them".to_owned(),
        });
    }
    if entry.section.is_empty() && SECTIONS.iter().any(|section| section.name == entry.key) {
        return Err(Unknown {
            section: false,
            found: entry.written.clone(),
            expected: "a section of that name",
            remedy: match entry.place {
                Place::At { .. } => format!("write [{}] on a line of its own and its keys below", entry.key),
                Place::Entry(_) | Place::Cell { .. } => {
                    format!("write a key of that section, such as {}", path(&entry.key, keys(&entry.key)[0]))
                }
            },
        });
    }
    Err(Unknown {
        section: false,
        found: format!("`{}`", shortened(&entry.key)),
        expected: "a known key",
        remedy: key_remedy(entry),
    })
}

fn section_remedy(entry: &Entry) -> String {
    // Whoever writes [fleet] means the keys at the top; whoever writes [name] means one of them.
    if entry.section == "fleet" {
        return top_of_file(entry, &entry.key);
    }
    if keys("").contains(&entry.section.as_str()) {
        return top_of_file(entry, &entry.section);
    }
    let names = SECTIONS.iter().map(|section: &Section| section.name).filter(|name| !name.is_empty());
    match nearest(&entry.section, names.clone()) {
        Some(name) => format!("did you mean [{name}]?"),
        None => format!("the sections are {}", names.collect::<Vec<_>>().join(", ")),
    }
}

fn key_remedy(entry: &Entry) -> String {
    // The right key in the wrong section.
    if let Some(setting) = LIST.iter().find(|setting| setting.key == entry.key) {
        return match entry.place {
            _ if setting.section.is_empty() => top_of_file(entry, setting.key),
            Place::At { .. } => format!("`{}` belongs below [{}]", setting.key, setting.section),
            Place::Entry(_) | Place::Cell { .. } => {
                format!("write {}.{}", setting.section, setting.key)
            }
        };
    }
    let here = keys(&entry.section);
    if let Some(key) = nearest(&entry.key, here.iter().copied()) {
        return format!("did you mean `{}`?", in_full(entry, &entry.section, key));
    }
    if let Some(key) = nearest(&entry.key, LIST.iter().map(|setting| setting.key))
        && let Some(setting) = LIST.iter().find(|setting| setting.key == key)
    {
        return match (setting.section, entry.place) {
            ("", _) => format!("did you mean `{key}` at the top of the file?"),
            (section, Place::At { .. }) => format!("did you mean `{key}` below [{section}]?"),
            (section, Place::Entry(_) | Place::Cell { .. }) => {
                format!("did you mean `{section}.{key}`?")
            }
        };
    }
    let whose =
        if entry.section.is_empty() { "outside the sections".to_owned() } else { format!("of [{}]", entry.section) };
    format!("the keys {whose} are {}", here.join(", "))
}

/// A key as it is written where the entry stands: alone below its section, dotted among pairs.
fn in_full(entry: &Entry, section: &str, key: &str) -> String {
    match entry.place {
        Place::At { .. } => key.to_owned(),
        Place::Entry(_) | Place::Cell { .. } => path(section, key),
    }
}

fn top_of_file(entry: &Entry, key: &str) -> String {
    match entry.place {
        Place::At { .. } => {
            format!("`{key}` stands at the top of the file, before the first [section]")
        }
        Place::Entry(_) | Place::Cell { .. } => format!("write `{key}` alone, without a section"),
    }
}

/// The keys of a section, in the order of the list.
fn keys(section: &str) -> Vec<&'static str> {
    LIST.iter().filter(|setting| setting.section == section).map(|setting| setting.key).collect()
}

#[cfg(test)]
mod tests {
    use crate::settings::{Layer, SettingError, Settings};

    /// Every message of a text that cannot be used.
    fn messages(text: &str) -> Vec<String> {
        Settings::default()
            .with_layers(&[Layer { name: "fleet.toml".to_owned(), text: text.to_owned() }])
            .unwrap_err()
            .iter()
            .map(SettingError::to_string)
            .collect()
    }

    #[test]
    fn an_unknown_key_offers_the_nearest() {
        assert_eq!(
            messages("[ranking]\nweigth_time = 0.5\n"),
            ["fleet.toml:2:1: ranking.weigth_time: expected a known key, found `weigth_time`\n\
              hint: did you mean `weight_time`?"]
        );
        assert_eq!(
            messages("curency = \"USD\"\n"),
            ["fleet.toml:1:1: curency: expected a known key, found `curency`\nhint: did you mean `currency`?"]
        );
    }

    #[test]
    fn a_key_in_the_wrong_section_is_sent_to_the_right_one() {
        assert_eq!(
            messages("warning_days = 60\n[budget]\nname = \"Kestrel\"\nwarnig_days = 60\n"),
            [
                "fleet.toml:1:1: warning_days: expected a known key, found `warning_days`\n\
                 hint: `warning_days` belongs below [due]",
                "fleet.toml:3:1: budget.name: expected a known key, found `name`\n\
                 hint: `name` stands at the top of the file, before the first [section]",
                "fleet.toml:4:1: budget.warnig_days: expected a known key, found `warnig_days`\n\
                 hint: did you mean `warning_days` below [due]?",
            ]
        );
    }

    #[test]
    fn a_key_like_no_other_gets_the_list_of_keys() {
        assert_eq!(
            messages("[due]\ncolour = 1\n"),
            ["fleet.toml:2:1: due.colour: expected a known key, found `colour`\n\
              hint: the keys of [due] are warning_days, booking_days, monthly_use_spread"]
        );
        assert_eq!(
            messages("colour = 1\n"),
            ["fleet.toml:1:1: colour: expected a known key, found `colour`\n\
              hint: the keys outside the sections are name, currency, price_growth_pct, date_format, csv_separator, \
              decimal_comma, ignore_columns, known_elsewhere, blade_1"]
        );
    }

    #[test]
    fn an_unknown_section_is_said_once() {
        assert_eq!(
            messages("[rankings]\nweight_time = 1\nweight_climate = 1\n"),
            ["fleet.toml:2:1: rankings.weight_time: expected a known section, found `rankings`\n\
              hint: did you mean [ranking]?"]
        );
        assert_eq!(
            messages("[kestrel]\n"),
            ["fleet.toml:1:2: kestrel: expected a known section, found `kestrel`\n\
              hint: the sections are ranking, due, checks, reading, screen, inspections, forecast, exposure, fatigue, budget"]
        );
        assert_eq!(
            messages("[fleet]\nname = \"Kestrel\"\n"),
            ["fleet.toml:2:1: fleet.name: expected a known section, found `fleet`\n\
              hint: `name` stands at the top of the file, before the first [section]"]
        );
    }

    #[test]
    fn a_section_is_not_a_value() {
        assert_eq!(
            messages("ranking = 3\n"),
            ["fleet.toml:1:1: ranking: expected a section of that name, found `3`\n\
              hint: write [ranking] on a line of its own and its keys below"]
        );
        assert_eq!(
            messages("[[due]]\nwarning_days = 3\n"),
            ["fleet.toml:1:3: due: expected a section of that name, found `[[due]]`\n\
              hint: write [due] on a line of its own and its keys below"]
        );
        assert_eq!(
            messages("[due.warning_days]\nx = 1\n"),
            ["fleet.toml:1:1: due.warning_days: expected a whole number from 0 to 3650, found a section\n\
              hint: write the number alone, with a decimal point and without unit or quotes"]
        );
    }

    #[test]
    fn an_empty_key_is_not_passed_over() {
        let hint = "expected a known key, found an empty one\nhint: write the key of a setting; the command `settings` lists them";
        assert_eq!(messages("\"\" = 1\n"), [format!("fleet.toml:1:1: {hint}")]);
        assert_eq!(
            messages("[due]\n\"\" = 1\n[budget.\"\"]\nx = 1\n"),
            [format!("fleet.toml:2:1: due: {hint}"), format!("fleet.toml:3:9: budget: {hint}"),]
        );
        let errors = Settings::default().with_pairs("sheet", [("due.", "60")]).unwrap_err();
        assert_eq!(errors[0].to_string(), format!("sheet: due: {hint}"));
    }
}
