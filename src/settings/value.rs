//! The types a setting can have: how each is read from what was given, and how it is shown.

use std::fmt;

use serde::Serialize;

use super::given::Given;
use crate::trade::calendar::Day;

/// Which values a setting takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Allowed {
    /// Whatever its type takes.
    Any,
    /// Numbers between two bounds, both included.
    Between(f64, f64),
    /// Numbers above the first bound, up to the second.
    AboveUpTo(f64, f64),
    /// One line of text of at most this many characters.
    Letters(usize),
}

/// The value of a setting, for showing it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A number.
    Number(f64),
    /// A whole number.
    Whole(u64),
    /// Yes or no.
    YesNo(bool),
    /// Text, or the word of a choice.
    Text(String),
    /// Nothing; the word says what that means (`none`, `not set`).
    #[serde(serialize_with = "nothing")]
    NotSet(&'static str),
}

fn nothing<S: serde::Serializer>(_: &&'static str, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_none()
}

impl fmt::Display for Value {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Value::Number(number) => write!(out, "{number}"),
            Value::Whole(number) => write!(out, "{number}"),
            Value::YesNo(yes) => out.write_str(if *yes { "yes" } else { "no" }),
            Value::Text(text) => out.write_str(text),
            Value::NotSet(word) => out.write_str(word),
        }
    }
}

/// Why a given value cannot be used.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Misfit {
    /// What to do about it.
    pub remedy: String,
}

impl Misfit {
    pub(super) fn because(remedy: impl Into<String>) -> Misfit {
        Misfit { remedy: remedy.into() }
    }
}

/// A type that a setting can have.
pub(super) trait SettingType: Sized {
    /// Reads a given value.
    fn read(given: &Given, allowed: Allowed) -> Result<Self, Misfit>;
    /// The value, to show it.
    fn shown(&self) -> Value;
    /// What is allowed, in words that follow "expected".
    fn expected(allowed: Allowed) -> String;
    /// The value as TOML that `read` takes back.
    fn toml(&self) -> String {
        match self.shown() {
            // `{:?}` keeps a decimal point or an exponent and every digit.
            Value::Number(number) => format!("{number:?}"),
            Value::Whole(number) => number.to_string(),
            Value::YesNo(yes) => yes.to_string(),
            Value::Text(text) => toml::Value::String(text).to_string(),
            Value::NotSet(_) => format!("\"{NONE}\""),
        }
    }
}

/// The word that takes the value of an optional number away.
const NONE: &str = "none";

fn bounds(allowed: Allowed) -> String {
    match allowed {
        Allowed::Between(least, most) => format!(" from {least} to {most}"),
        Allowed::AboveUpTo(least, most) => format!(" above {least} and up to {most}"),
        Allowed::Any | Allowed::Letters(_) => String::new(),
    }
}

fn inside(number: f64, allowed: Allowed) -> Result<(), Misfit> {
    let fits = match allowed {
        Allowed::Between(least, most) => number >= least && number <= most,
        Allowed::AboveUpTo(least, most) => number > least && number <= most,
        Allowed::Any | Allowed::Letters(_) => number.is_finite(),
    };
    if fits {
        Ok(())
    } else if number.is_finite() {
        Err(Misfit::because("write a value inside these bounds, or take the line out to get the default"))
    } else {
        Err(Misfit::because("write a finite number"))
    }
}

/// What to do about text where a number belongs.
fn number_remedy(text: &str) -> Misfit {
    let text = text.trim();
    if let Some((top, bottom)) = text.split_once('/')
        && let (Ok(top), Ok(bottom)) = (top.trim().parse::<f64>(), bottom.trim().parse::<f64>())
        && (top / bottom).is_finite()
    {
        return Misfit::because(format!("write the fraction as a decimal: {}", top / bottom));
    }
    if text.matches(',').count() == 1 && text.replace(',', ".").parse::<f64>().is_ok() {
        return Misfit::because(format!("write a decimal point: {}", text.replace(',', ".")));
    }
    Misfit::because("write the number alone, with a decimal point and without unit or quotes")
}

impl SettingType for f64 {
    fn read(given: &Given, allowed: Allowed) -> Result<f64, Misfit> {
        let number = match given {
            Given::Number(number) => *number,
            Given::Whole(number) => *number as f64,
            Given::Plain(text) => text.trim().parse().map_err(|_| number_remedy(text))?,
            Given::Text(text) if text.trim().parse::<f64>().is_ok() => {
                return Err(Misfit::because("take the quotes off"));
            }
            Given::Text(text) => return Err(number_remedy(text)),
            Given::YesNo(_) | Given::Texts(_) | Given::Other | Given::EmptySection => {
                return Err(number_remedy(""));
            }
        };
        inside(number, allowed)?;
        Ok(number)
    }

    fn shown(&self) -> Value {
        Value::Number(*self)
    }

    fn expected(allowed: Allowed) -> String {
        format!("a number{}", bounds(allowed))
    }
}

impl SettingType for u32 {
    fn read(given: &Given, allowed: Allowed) -> Result<u32, Misfit> {
        let number = f64::read(given, allowed)?;
        if number.fract() != 0.0 || number < 0.0 || number > f64::from(u32::MAX) {
            return Err(Misfit::because("write a whole number"));
        }
        // In range and without a fraction, so nothing is lost.
        Ok(number as u32)
    }

    fn shown(&self) -> Value {
        Value::Whole(u64::from(*self))
    }

    fn expected(allowed: Allowed) -> String {
        format!("a whole number{}", bounds(allowed))
    }
}

impl SettingType for bool {
    fn read(given: &Given, _: Allowed) -> Result<bool, Misfit> {
        match given {
            Given::YesNo(yes) => Ok(*yes),
            Given::Text(text) | Given::Plain(text) => match text.trim().to_lowercase().as_str() {
                "true" | "yes" => Ok(true),
                "false" | "no" => Ok(false),
                _ => Err(Misfit::because("write true or false")),
            },
            Given::Number(_) | Given::Whole(_) | Given::Texts(_) | Given::Other | Given::EmptySection => {
                Err(Misfit::because("write true or false"))
            }
        }
    }

    fn shown(&self) -> Value {
        Value::YesNo(*self)
    }

    fn expected(_: Allowed) -> String {
        "yes (true) or no (false)".to_owned()
    }
}

impl SettingType for String {
    fn read(given: &Given, allowed: Allowed) -> Result<String, Misfit> {
        let text = match given {
            Given::Text(text) | Given::Plain(text) => text.trim(),
            Given::Number(_) | Given::Whole(_) | Given::YesNo(_) => {
                return Err(Misfit::because("put the text in straight quotes"));
            }
            Given::Texts(_) | Given::Other | Given::EmptySection => {
                return Err(Misfit::because("write one text in straight quotes"));
            }
        };
        if text.is_empty() {
            return Err(Misfit::because("write the text, or take the line out to get the default"));
        }
        if text.chars().any(char::is_control) {
            return Err(Misfit::because("take out line breaks, tabs and other control characters"));
        }
        if let Allowed::Letters(most) = allowed
            && text.chars().count() > most
        {
            return Err(Misfit::because(format!("shorten it: it has {} characters", text.chars().count())));
        }
        Ok(text.to_owned())
    }

    fn shown(&self) -> Value {
        Value::Text(self.clone())
    }

    fn expected(allowed: Allowed) -> String {
        match allowed {
            Allowed::Letters(most) => format!("one line of text, at most {most} characters"),
            _ => "one line of text".to_owned(),
        }
    }
}

impl SettingType for Option<String> {
    fn read(given: &Given, allowed: Allowed) -> Result<Option<String>, Misfit> {
        match given {
            Given::Text(text) if text.trim().is_empty() => Ok(None),
            _ => String::read(given, allowed).map(Some),
        }
    }

    fn shown(&self) -> Value {
        match self {
            Some(text) => text.shown(),
            None => Value::NotSet("not set"),
        }
    }

    fn expected(allowed: Allowed) -> String {
        String::expected(allowed)
    }

    fn toml(&self) -> String {
        match self {
            Some(text) => text.toml(),
            None => "\"\"".to_owned(),
        }
    }
}

/// Names, in a cell or an option with commas between them.
impl SettingType for Vec<String> {
    fn read(given: &Given, allowed: Allowed) -> Result<Vec<String>, Misfit> {
        let names: Vec<&str> = match given {
            Given::Texts(names) => names.iter().map(String::as_str).collect(),
            Given::Text(text) | Given::Plain(text) => text.split(',').collect(),
            _ => return Err(Misfit::because("write a list of names: [\"one\", \"another\"]")),
        };
        let filled = names.into_iter().filter(|name| !name.trim().is_empty());
        filled.map(|name| String::read(&Given::Text(name.to_owned()), allowed)).collect()
    }

    fn shown(&self) -> Value {
        match self.is_empty() {
            true => Value::NotSet(NONE),
            false => Value::Text(self.join(", ")),
        }
    }

    fn expected(_: Allowed) -> String {
        "a list of names".to_owned()
    }

    fn toml(&self) -> String {
        let names: Vec<String> = self.iter().map(String::toml).collect();
        format!("[{}]", names.join(", "))
    }
}

/// An optional number: the word `none` takes away what an earlier layer set.
macro_rules! optional_number {
    ($number:ty) => {
        impl SettingType for Option<$number> {
            fn read(given: &Given, allowed: Allowed) -> Result<Option<$number>, Misfit> {
                match given {
                    Given::Text(text) | Given::Plain(text) if text.trim() == NONE => Ok(None),
                    _ => <$number>::read(given, allowed).map(Some),
                }
            }

            fn shown(&self) -> Value {
                match self {
                    Some(number) => number.shown(),
                    None => Value::NotSet(NONE),
                }
            }

            fn expected(allowed: Allowed) -> String {
                format!("{}, or \"{NONE}\"", <$number>::expected(allowed))
            }
        }
    };
}

optional_number!(f64);
optional_number!(u32);

impl SettingType for Option<Day> {
    fn read(given: &Given, _: Allowed) -> Result<Option<Day>, Misfit> {
        let misfit = || Misfit::because("write the day in straight quotes, such as \"2024-01-31\"");
        let (Given::Text(text) | Given::Plain(text)) = given else {
            return Err(misfit());
        };
        match text.trim() {
            "" | NONE => Ok(None),
            text => Day::parse_iso(text).map(Some).ok_or_else(misfit),
        }
    }

    fn shown(&self) -> Value {
        match self {
            Some(day) => Value::Text(day.to_string()),
            None => Value::NotSet(NONE),
        }
    }

    fn expected(_: Allowed) -> String {
        format!("a day as YYYY-MM-DD, or \"{NONE}\"")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn remedy<T: SettingType + fmt::Debug>(given: Given, allowed: Allowed) -> String {
        T::read(&given, allowed).unwrap_err().remedy
    }

    fn text(text: &str) -> Given {
        Given::Text(text.to_owned())
    }

    fn plain(text: &str) -> Given {
        Given::Plain(text.to_owned())
    }

    #[test]
    fn numbers_come_as_numbers_and_keep_to_their_bounds() {
        let share = Allowed::Between(0.0, 1.0);
        assert_eq!(f64::read(&Given::Number(0.25), share), Ok(0.25));
        assert_eq!(f64::read(&Given::Whole(1), share), Ok(1.0));
        assert_eq!(f64::read(&plain(" 0.5 "), share), Ok(0.5));
        let outside = "write a value inside these bounds, or take the line out to get the default";
        assert_eq!(remedy::<f64>(Given::Number(1.0000001), share), outside);
        assert_eq!(remedy::<f64>(Given::Whole(0), Allowed::AboveUpTo(0.0, 5.0)), outside);
        for endless in [f64::INFINITY, f64::NEG_INFINITY, f64::NAN] {
            for allowed in [share, Allowed::AboveUpTo(0.0, 5.0), Allowed::Any] {
                assert_eq!(remedy::<f64>(Given::Number(endless), allowed), "write a finite number");
            }
        }
        assert_eq!(remedy::<f64>(plain("nan"), share), "write a finite number");
    }

    #[test]
    fn text_in_place_of_a_number_gets_the_remedy_that_fits() {
        assert_eq!(remedy::<f64>(text("0.4"), Allowed::Any), "take the quotes off");
        assert_eq!(remedy::<f64>(text("3/16"), Allowed::Any), "write the fraction as a decimal: 0.1875");
        assert_eq!(remedy::<f64>(plain("0,4"), Allowed::Any), "write a decimal point: 0.4");
        let alone = "write the number alone, with a decimal point and without unit or quotes";
        assert_eq!(remedy::<f64>(text("1/0"), Allowed::Any), alone);
        assert_eq!(remedy::<f64>(plain("90 days"), Allowed::Any), alone);
        assert_eq!(remedy::<f64>(Given::YesNo(true), Allowed::Any), alone);
        assert_eq!(remedy::<f64>(Given::Other, Allowed::Any), alone);
    }

    #[test]
    fn whole_numbers_have_no_fraction() {
        let days = Allowed::Between(0.0, 3650.0);
        assert_eq!(u32::read(&Given::Whole(90), days), Ok(90));
        assert_eq!(u32::read(&Given::Number(90.0), days), Ok(90));
        assert_eq!(u32::read(&plain("90"), days), Ok(90));
        assert_eq!(remedy::<u32>(Given::Number(90.5), days), "write a whole number");
        // Without bounds of its own the type still has some.
        assert_eq!(remedy::<u32>(Given::Whole(-1), Allowed::Any), "write a whole number");
        assert_eq!(remedy::<u32>(Given::Whole(4_294_967_296), Allowed::Any), "write a whole number");
    }

    #[test]
    fn yes_and_no_in_words() {
        for (given, expected) in [
            (Given::YesNo(true), true),
            (plain("Yes"), true),
            (plain("TRUE"), true),
            (text("no"), false),
            (plain("false"), false),
        ] {
            assert_eq!(bool::read(&given, Allowed::Any), Ok(expected));
        }
        assert_eq!(remedy::<bool>(Given::Whole(1), Allowed::Any), "write true or false");
        assert_eq!(remedy::<bool>(plain("ja"), Allowed::Any), "write true or false");
    }

    #[test]
    fn text_is_one_line_of_a_stated_length() {
        let short = Allowed::Letters(5);
        assert_eq!(String::read(&text("  Élan "), short), Ok("Élan".to_owned()));
        assert_eq!(remedy::<String>(text("Kestrel"), short), "shorten it: it has 7 characters");
        assert_eq!(remedy::<String>(text("a\nb"), short), "take out line breaks, tabs and other control characters");
        assert_eq!(remedy::<String>(text("  "), short), "write the text, or take the line out to get the default");
        assert_eq!(remedy::<String>(Given::Whole(7), short), "put the text in straight quotes");
    }

    #[test]
    fn what_is_optional_can_be_taken_away() {
        assert_eq!(Option::<u32>::read(&text("none"), Allowed::Any), Ok(None));
        assert_eq!(Option::<u32>::read(&Given::Whole(3), Allowed::Any), Ok(Some(3)));
        assert_eq!(Option::<f64>::read(&plain("none"), Allowed::Any), Ok(None));
        assert_eq!(Option::<String>::read(&text(""), Allowed::Any), Ok(None));
        assert_eq!(None::<u32>.toml(), "\"none\"");
        assert_eq!(None::<String>.toml(), "\"\"");
        assert_eq!(Option::<u32>::expected(Allowed::Between(1.0, 9.0)), "a whole number from 1 to 9, or \"none\"");
    }

    #[test]
    fn nothing_is_null_for_a_machine_and_a_word_for_a_person() {
        let values = [
            Value::Number(0.1875),
            Value::Whole(90),
            Value::YesNo(true),
            Value::Text("USD".to_owned()),
            Value::NotSet("none"),
        ];
        assert_eq!(serde_json::to_string(&values).unwrap(), r#"[0.1875,90,true,"USD",null]"#);
        let words: Vec<String> = values.iter().map(Value::to_string).collect();
        assert_eq!(words, ["0.1875", "90", "yes", "USD", "none"]);
    }
}
