//! What a setting is, and the form in which the list of settings is written.

use super::Settings;
use super::given::Given;
use super::source_mark::SourceMark;
use super::value::{Misfit, Value};

/// Everything known about one setting.
pub(super) struct Setting {
    /// The section of `fleet.toml`; empty for a key at the top.
    pub section: &'static str,
    /// The key.
    pub key: &'static str,
    /// The unit; empty where there is none.
    pub unit: &'static str,
    /// What it does, in one sentence.
    pub meaning: &'static str,
    /// Where the default comes from.
    pub source: SourceMark,
    /// What may be given, in words.
    pub expected: fn() -> String,
    /// Reads a given value into its field.
    pub put: fn(&mut Settings, &Given) -> Result<(), Misfit>,
    /// The value of its field.
    pub shown: fn(&Settings) -> Value,
    /// The value of its field as TOML.
    pub toml: fn(&Settings) -> String,
}

/// A section of `fleet.toml`.
pub(super) struct Section {
    /// Its name; empty for the top of the file.
    pub name: &'static str,
    /// What it is about.
    pub about: &'static str,
}

/// Turns the list of settings into one struct per section with its defaults, [`Settings`] itself, and the tables
/// `SECTIONS` and `LIST` from which reading, writing and showing are made.
macro_rules! settings {
    ($(
        #[doc = $about:literal]
        $field:ident $section:literal $name:ident {
            $( $key:ident: $kind:ty = $default:expr, $allowed:expr, $unit:literal, $source:expr, $meaning:literal; )*
        }
    )*) => {
        $(
            #[doc = $about]
            #[derive(Debug, Clone, PartialEq)]
            pub struct $name {
                $(
                    #[doc = $meaning]
                    pub $key: $kind,
                )*
            }

            impl Default for $name {
                fn default() -> $name {
                    $name { $( $key: $default, )* }
                }
            }
        )*

        /// Every setting, by section. [`Settings::default`] has the defaults.
        #[derive(Debug, Clone, PartialEq, Default)]
        pub struct Settings {
            $(
                #[doc = $about]
                pub $field: $name,
            )*
            /// By the position in the list: where a value was set.
            pub(super) origins: std::collections::BTreeMap<usize, Origin>,
        }

        /// The sections in the order in which they are written.
        pub(super) static SECTIONS: &[Section] = &[
            $( Section { name: $section, about: $about.trim_ascii() }, )*
        ];

        /// Every setting, section by section.
        pub(super) static LIST: &[Setting] = &[
            $( $(
                Setting {
                    section: $section,
                    key: stringify!($key),
                    unit: $unit,
                    meaning: $meaning,
                    source: $source,
                    expected: || <$kind as SettingType>::expected($allowed),
                    put: |settings, given| {
                        settings.$field.$key = <$kind as SettingType>::read(given, $allowed)?;
                        Ok(())
                    },
                    shown: |settings| settings.$field.$key.shown(),
                    toml: |settings| settings.$field.$key.toml(),
                },
            )* )*
        ];
    };
}

pub(super) use settings;
