//! Settings that are one word out of a few.

use super::given::Given;
use super::value::{Allowed, Misfit, SettingType, Value};

/// What stands between the fields of a CSV line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Separator {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tab character.
    Tab,
    /// `|`
    Bar,
}

impl Separator {
    /// All of them.
    pub const ALL: [Separator; 4] = [Separator::Comma, Separator::Semicolon, Separator::Tab, Separator::Bar];

    /// The character as it stands in the file.
    pub const fn byte(self) -> u8 {
        match self {
            Separator::Comma => b',',
            Separator::Semicolon => b';',
            Separator::Tab => b'\t',
            Separator::Bar => b'|',
        }
    }

    /// The word for it in `fleet.toml`.
    pub const fn word(self) -> &'static str {
        match self {
            Separator::Comma => "comma",
            Separator::Semicolon => "semicolon",
            Separator::Tab => "tab",
            Separator::Bar => "bar",
        }
    }
}

impl SettingType for Separator {
    fn read(given: &Given, _: Allowed) -> Result<Separator, Misfit> {
        let misfit = || Misfit::because("write one of these words or the character, in straight quotes");
        let (Given::Text(text) | Given::Plain(text)) = given else {
            return Err(misfit());
        };
        let word = text.trim().to_lowercase();
        Separator::ALL
            .into_iter()
            .find(|separator| word == separator.word() || text.as_bytes() == [separator.byte()])
            .ok_or_else(misfit)
    }

    fn shown(&self) -> Value {
        Value::Text(self.word().to_owned())
    }

    fn expected(_: Allowed) -> String {
        one_of(Separator::ALL.map(Separator::word))
    }
}

/// Where the plan's prices come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PriceSource {
    /// The table `prices`.
    List,
    /// What was paid lately.
    Invoices,
}

impl PriceSource {
    /// Both of them.
    pub const ALL: [PriceSource; 2] = [PriceSource::List, PriceSource::Invoices];

    /// The word for it in `fleet.toml`.
    pub const fn word(self) -> &'static str {
        match self {
            PriceSource::List => "list",
            PriceSource::Invoices => "invoices",
        }
    }
}

impl SettingType for PriceSource {
    fn read(given: &Given, _: Allowed) -> Result<PriceSource, Misfit> {
        let misfit = || Misfit::because("write one of these words");
        let (Given::Text(text) | Given::Plain(text)) = given else {
            return Err(misfit());
        };
        let word = text.trim().to_lowercase();
        PriceSource::ALL.into_iter().find(|source| word == source.word()).ok_or_else(misfit)
    }

    fn shown(&self) -> Value {
        Value::Text(self.word().to_owned())
    }

    fn expected(_: Allowed) -> String {
        one_of(PriceSource::ALL.map(PriceSource::word))
    }
}

/// A category of air by how it attacks metal, ISO 9223:2012, mildest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AirCategory {
    /// Very low.
    C1,
    /// Low.
    C2,
    /// Medium.
    C3,
    /// High.
    C4,
    /// Very high.
    C5,
    /// Extreme.
    CX,
}

impl AirCategory {
    /// All of them, mildest first.
    pub const ALL: [AirCategory; 6] =
        [AirCategory::C1, AirCategory::C2, AirCategory::C3, AirCategory::C4, AirCategory::C5, AirCategory::CX];

    /// The category's name in the standard.
    pub const fn word(self) -> &'static str {
        match self {
            AirCategory::C1 => "C1",
            AirCategory::C2 => "C2",
            AirCategory::C3 => "C3",
            AirCategory::C4 => "C4",
            AirCategory::C5 => "C5",
            AirCategory::CX => "CX",
        }
    }
}

impl SettingType for AirCategory {
    fn read(given: &Given, _: Allowed) -> Result<AirCategory, Misfit> {
        let misfit = || Misfit::because("write one of these, in straight quotes");
        let (Given::Text(text) | Given::Plain(text)) = given else {
            return Err(misfit());
        };
        let word = text.trim().to_uppercase();
        AirCategory::ALL.into_iter().find(|category| word == category.word()).ok_or_else(misfit)
    }

    fn shown(&self) -> Value {
        Value::Text(self.word().to_owned())
    }

    fn expected(_: Allowed) -> String {
        one_of(AirCategory::ALL.map(AirCategory::word))
    }
}

fn one_of<const N: usize>(words: [&str; N]) -> String {
    format!("one of {}", words.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read<T: SettingType>(text: &str) -> Result<T, Misfit> {
        T::read(&Given::Text(text.to_owned()), Allowed::Any)
    }

    #[test]
    fn a_separator_is_a_word_or_the_character() {
        for (text, separator) in [
            (",", Separator::Comma),
            ("comma", Separator::Comma),
            (";", Separator::Semicolon),
            ("Semicolon", Separator::Semicolon),
            ("\t", Separator::Tab),
            ("TAB", Separator::Tab),
            ("|", Separator::Bar),
            ("bar", Separator::Bar),
        ] {
            assert_eq!(read(text), Ok(separator), "{text:?}");
        }
        assert_eq!(
            read::<Separator>("::").unwrap_err().remedy,
            "write one of these words or the character, in straight quotes"
        );
        assert!(read::<Separator>("").is_err());
        assert!(read::<Separator>(";;").is_err());
        assert_eq!(Separator::expected(Allowed::Any), "one of comma, semicolon, tab, bar");
    }

    #[test]
    fn air_is_one_of_six_categories_in_order() {
        assert_eq!(read("c5"), Ok(AirCategory::C5));
        assert_eq!(read("CX"), Ok(AirCategory::CX));
        assert!(read::<AirCategory>("C6").is_err());
        assert!(AirCategory::ALL.is_sorted());
        assert_eq!(AirCategory::expected(Allowed::Any), "one of C1, C2, C3, C4, C5, CX");
    }
}
