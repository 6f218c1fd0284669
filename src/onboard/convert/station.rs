//! Where a row of the sheet was measured, as people write it.

use super::heading::Unit;
use crate::records::reading::{Fault, Writing, length, number};

/// A place on the blade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StationAt {
    /// Percent of the radius.
    Pct(f64),
    /// Inches from the hub centre.
    Inches(f64),
}

impl StationAt {
    /// Percent, when it is given so.
    pub fn pct(self) -> Option<f64> {
        match self {
            StationAt::Pct(pct) => Some(pct),
            StationAt::Inches(_) => None,
        }
    }

    /// Inches, when it is given so.
    pub fn inches(self) -> Option<f64> {
        match self {
            StationAt::Inches(inches) => Some(inches),
            StationAt::Pct(_) => None,
        }
    }
}

/// Reads `60 %`, `22.8`, `22 7/8 in`, `22.8"` or `579 mm`; `unit` is that of a plain number.
///
/// # Errors
/// What is wrong with it, and what to do.
pub fn station_at(text: &str, unit: Unit, writing: &Writing) -> Result<StationAt, String> {
    let text = text.trim();
    let cut = text.rfind(|c: char| c.is_ascii_digit() || c == '.').map_or(0, |at| at + 1);
    let (figure, named) = text.split_at(cut);
    let named = super::heading::words(named);
    let unit = match named.as_slice() {
        [] => unit,
        [word] => Unit::of_word(word).ok_or_else(not_a_place)?,
        _ => return Err(not_a_place()),
    };
    let why = |fault| match fault {
        Fault::DecimalComma => {
            "a decimal comma where a decimal point is expected\nhint: set decimal_comma = true in the map".to_string()
        }
        _ => not_a_place(),
    };
    let figure = figure.trim();
    let at = match unit.per_inch() {
        None => StationAt::Pct(number(figure, writing).map_err(why)?),
        Some(per_inch) => StationAt::Inches(length(figure, writing).map_err(why)? / per_inch),
    };
    let (value, unlikely) = match at {
        StationAt::Pct(pct) => (pct, pct > 100.0),
        StationAt::Inches(inches) => (inches, false),
    };
    // A cell that a spreadsheet shows as 60 % holds 0.6; no station lies within an inch of the hub centre.
    if value <= 1.0 || unlikely {
        return Err(
            "no place on a blade (a cell that the spreadsheet shows in percent holds a hundredth)\nhint: write `60 %` as text, or the inches from the hub centre"
                .to_string(),
        );
    }
    Ok(at)
}

fn not_a_place() -> String {
    "not a station\nhint: write the inches from the hub centre, or percent such as `60 %`; give names such as `tip` in the map under [stations]".to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stations_as_people_write_them() {
        let read = |text: &str| station_at(text, Unit::In, &Writing::PLAIN).ok();
        assert_eq!(read("60 %"), Some(StationAt::Pct(60.0)));
        assert_eq!(read("60%"), Some(StationAt::Pct(60.0)));
        assert_eq!(read(" 60 pct"), Some(StationAt::Pct(60.0)));
        assert_eq!(read("22.8"), Some(StationAt::Inches(22.8)));
        assert_eq!(read("22.8\""), Some(StationAt::Inches(22.8)));
        assert_eq!(read("22 7/8 in"), Some(StationAt::Inches(22.875)));
        assert_eq!(read("579.12 mm"), Some(StationAt::Inches(22.8)));
        assert_eq!(station_at("60", Unit::Pct, &Writing::PLAIN), Ok(StationAt::Pct(60.0)));
        for text in ["", "tip", "60 kg", "0.6", "120 %", "22,8", "-5", "16-Jan"] {
            assert_eq!(read(text), None, "{text}");
        }
        let comma = Writing { decimal_comma: true, date_pattern: None };
        assert_eq!(station_at("22,8", Unit::In, &comma), Ok(StationAt::Inches(22.8)));
    }
}
