//! The form of dates in a fleet's tables, as a person writes it: `DD.MM.YYYY`.

use super::given::Given;
use super::value::{Allowed, Misfit, SettingType, Value};

/// How dates are written: the order of year, month and day, and what stands between them.
///
/// The year always has four digits. `MMM` is a month's English name or its first three letters.
///
/// ```
/// # use bladewane::settings::DateFormat;
/// let german = DateFormat::read("DD.MM.YYYY").unwrap();
/// assert_eq!(german.pattern(), "%d.%m.%Y");
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DateFormat {
    form: String,
    pattern: String,
}

/// Why a form of dates cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum DateFormatError {
    /// `YY`: which century is meant would be a guess.
    #[error("write the year with four digits, YYYY: two digits would leave the century to a guess")]
    TwoDigitYear,
    /// A strftime pattern or another programming notation.
    #[error("write the form in plain letters, such as DD.MM.YYYY, without percent signs")]
    PercentSigns,
    /// Letters other than those of year, month and day.
    #[error("use YYYY for the year, MM or M (MMM for a month's name) and DD or D")]
    UnknownLetters,
    /// One of the three is missing or stands there twice.
    #[error("name each of year, month and day once")]
    NotEachOnce,
    /// Nobody writes year, day, month; reading it so would turn a slip into wrong dates.
    #[error("use one of the orders year-month-day, day-month-year, month-day-year")]
    UnusualOrder,
    /// What stands between the parts.
    #[error("put the same one of - . / or a space between the parts (MMM D, YYYY and YYYYMMDD are understood too)")]
    Between,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Year,
    Month,
    MonthName,
    Day,
}

impl Part {
    fn read(letters: &str) -> Result<Part, DateFormatError> {
        match letters {
            "YYYY" => Ok(Part::Year),
            "MM" | "M" => Ok(Part::Month),
            "MMM" => Ok(Part::MonthName),
            "DD" | "D" => Ok(Part::Day),
            "YY" | "Y" | "YYY" => Err(DateFormatError::TwoDigitYear),
            _ => Err(DateFormatError::UnknownLetters),
        }
    }

    fn specifier(self) -> &'static str {
        match self {
            Part::Year => "%Y",
            Part::Month => "%m",
            // `%B` reads the full name and its first three letters, `%b` the latter alone.
            Part::MonthName => "%B",
            Part::Day => "%d",
        }
    }
}

impl DateFormat {
    /// Reads a form such as `YYYY-MM-DD`, `DD.MM.YYYY`, `MM/DD/YYYY`, `D MMM YYYY`, `MMM D, YYYY`; upper or lower case.
    ///
    /// # Errors
    /// [`DateFormatError`], whose message says what to write instead.
    pub fn read(form: &str) -> Result<DateFormat, DateFormatError> {
        let form = form.trim().to_uppercase();
        if form.contains('%') {
            return Err(DateFormatError::PercentSigns);
        }
        // Without anything between, only the international form is free of doubt.
        if form == "YYYYMMDD" {
            return Ok(DateFormat { form, pattern: "%Y%m%d".to_owned() });
        }
        let mut parts = Vec::new();
        let mut gaps = Vec::new();
        let mut rest = form.as_str();
        while !rest.is_empty() {
            // A part is a run of one letter, so that DDMM falls into two with nothing between.
            let letter = rest.chars().next().unwrap_or_default();
            let end = rest.find(|c| c != letter).unwrap_or(rest.len());
            parts.push(Part::read(&rest[..end])?);
            rest = &rest[end..];
            let gap = rest.find(char::is_alphabetic).unwrap_or(rest.len());
            gaps.push(&rest[..gap]);
            rest = &rest[gap..];
        }
        let order: Vec<Part> =
            parts.iter().map(|&part| if part == Part::MonthName { Part::Month } else { part }).collect();
        let [first, second, third] = order[..] else {
            return Err(DateFormatError::NotEachOnce);
        };
        if first == second || second == third || first == third {
            return Err(DateFormatError::NotEachOnce);
        }
        if !matches!(
            (first, second, third),
            (Part::Year, Part::Month, Part::Day)
                | (Part::Day, Part::Month, Part::Year)
                | (Part::Month, Part::Day, Part::Year)
        ) {
            return Err(DateFormatError::UnusualOrder);
        }
        let named_first = parts[0] == Part::MonthName && gaps[..2] == [" ", ", "];
        let equal = gaps[0] == gaps[1] && ["-", ".", "/", " "].contains(&gaps[0]);
        if !(named_first || equal) || !gaps[2].is_empty() {
            return Err(DateFormatError::Between);
        }
        let pattern =
            format!("{}{}{}{}{}", parts[0].specifier(), gaps[0], parts[1].specifier(), gaps[1], parts[2].specifier());
        Ok(DateFormat { form, pattern })
    }

    /// The form as a person writes it, in capitals: `DD.MM.YYYY`.
    pub fn form(&self) -> &str {
        &self.form
    }

    /// The same as a `strftime` pattern for the date reader: `%d.%m.%Y`. Date readers take fewer than four digits for
    /// `%Y`, so that `01.02.24` comes out in the year 24 and not as an error.
    pub fn pattern(&self) -> &str {
        &self.pattern
    }

    /// Whether this is the ISO 8601 form, `YYYY-MM-DD`.
    pub fn is_iso(&self) -> bool {
        self.pattern == "%Y-%m-%d"
    }
}

impl Default for DateFormat {
    /// ISO 8601: `YYYY-MM-DD`.
    fn default() -> DateFormat {
        DateFormat { form: "YYYY-MM-DD".to_owned(), pattern: "%Y-%m-%d".to_owned() }
    }
}

impl SettingType for DateFormat {
    fn read(given: &Given, _: Allowed) -> Result<DateFormat, Misfit> {
        match given {
            Given::Text(text) | Given::Plain(text) => {
                DateFormat::read(text).map_err(|error| Misfit::because(error.to_string()))
            }
            _ => Err(Misfit::because("write the form in plain letters and straight quotes, such as \"DD.MM.YYYY\"")),
        }
    }

    fn shown(&self) -> Value {
        Value::Text(self.form.clone())
    }

    fn expected(_: Allowed) -> String {
        "the form of a date such as YYYY-MM-DD, DD.MM.YYYY, MM/DD/YYYY or D MMM YYYY".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_forms_become_patterns() {
        for (form, pattern) in [
            ("YYYY-MM-DD", "%Y-%m-%d"),
            ("YYYY/MM/DD", "%Y/%m/%d"),
            ("YYYYMMDD", "%Y%m%d"),
            ("DD.MM.YYYY", "%d.%m.%Y"),
            ("d.m.yyyy", "%d.%m.%Y"),
            ("DD/MM/YYYY", "%d/%m/%Y"),
            ("MM/DD/YYYY", "%m/%d/%Y"),
            ("DD-MM-YYYY", "%d-%m-%Y"),
            ("D MMM YYYY", "%d %B %Y"),
            ("DD-MMM-YYYY", "%d-%B-%Y"),
            (" MMM D, YYYY ", "%B %d, %Y"),
        ] {
            assert_eq!(DateFormat::read(form).unwrap().pattern(), pattern, "{form}");
        }
        assert_eq!(DateFormat::read("d.m.yyyy").unwrap().form(), "D.M.YYYY");
        assert_eq!(DateFormat::read("YYYY-MM-DD"), Ok(DateFormat::default()));
        assert!(DateFormat::default().is_iso());
        assert!(!DateFormat::read("YYYY/MM/DD").unwrap().is_iso());
    }

    #[test]
    fn ambiguous_or_odd_forms_are_refused() {
        use DateFormatError::*;
        for (form, error) in [
            ("DD.MM.YY", TwoDigitYear),
            ("M/D/Y", TwoDigitYear),
            ("%d.%m.%Y", PercentSigns),
            ("TT.MM.JJJJ", UnknownLetters),
            ("DDD-MM-YYYY", UnknownLetters),
            ("dd.MMMM.yyyy", UnknownLetters),
            ("MM.YYYY", NotEachOnce),
            ("DD.MM.MM.YYYY", NotEachOnce),
            ("DD.DD.YYYY", NotEachOnce),
            ("", NotEachOnce),
            ("YYYY-DD-MM", UnusualOrder),
            ("MM-YYYY-DD", UnusualOrder),
            ("DDMMYYYY", Between),
            ("DD.MM/YYYY", Between),
            ("DD_MM_YYYY", Between),
            ("DD.MM.YYYY.", Between),
            ("DD MM, YYYY", Between),
            ("-DD-MM-YYYY", UnknownLetters),
            ("DD.MM.YYYY Ärz", UnknownLetters),
        ] {
            assert_eq!(DateFormat::read(form), Err(error), "{form}");
        }
    }

    #[test]
    fn the_remedy_names_what_is_wrong() {
        let given = Given::Text("DD.MM.YY".to_owned());
        assert_eq!(
            <DateFormat as SettingType>::read(&given, Allowed::Any).unwrap_err().remedy,
            "write the year with four digits, YYYY: two digits would leave the century to a guess"
        );
        assert_eq!(
            <DateFormat as SettingType>::read(&Given::Other, Allowed::Any).unwrap_err().remedy,
            "write the form in plain letters and straight quotes, such as \"DD.MM.YYYY\""
        );
    }
}
