//! Laws: what is typed into a sheet reads as what is written into a CSV file.

use bladewane::records::schema::Table;
use bladewane::records::{Loaded, ReadOptions};
use bladewane::trade::calendar::Day;
use proptest::prelude::*;
use rust_xlsxwriter::{ExcelDateTime, Format, Workbook};

#[derive(Debug, Clone)]
enum Length {
    Decimal(u32),
    Fraction(u32, u32),
    Mixed(u32, u32, u32),
}

impl Length {
    fn written(&self) -> String {
        match self {
            Length::Decimal(thousandths) => format!("{:.3}", f64::from(*thousandths) / 1000.0),
            Length::Fraction(top, bottom) => format!("{top}/{bottom}"),
            Length::Mixed(whole, top, bottom) => format!("{whole} {top}/{bottom}"),
        }
    }

    fn value(&self) -> f64 {
        match *self {
            Length::Decimal(thousandths) => f64::from(thousandths) / 1000.0,
            Length::Fraction(top, bottom) => f64::from(top) / f64::from(bottom),
            Length::Mixed(whole, top, bottom) => f64::from(whole) + f64::from(top) / f64::from(bottom),
        }
    }
}

fn length() -> impl Strategy<Value = Length> {
    let bottom = prop::sample::select(vec![2_u32, 4, 8, 16, 32, 64]);
    let part = bottom.prop_flat_map(|bottom| (1..bottom, Just(bottom)));
    prop_oneof![
        (1_u32..99_999).prop_map(Length::Decimal),
        part.clone().prop_map(|(top, bottom)| Length::Fraction(top, bottom)),
        (1_u32..90, part).prop_map(|(whole, (top, bottom))| Length::Mixed(whole, top, bottom)),
    ]
}

fn loaded(path: &std::path::Path) -> Loaded {
    match Loaded::read(path, &ReadOptions::default(), |_| true, |_| {}) {
        Ok(loaded) => loaded,
        Err(error) => panic!("{error}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn lengths_and_dates_read_alike_from_sheet_and_csv(
        rows in prop::collection::vec((length(), any::<bool>(), -14_610_i32..47_000, any::<bool>()), 1..12),
        unit in prop::sample::select(vec!["in", "mm", "thou"]),
    ) {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let folder = dir.path().join("fleet");
        std::fs::create_dir(&folder).expect("made");
        let header = ["propeller".to_string(), "overhaul_date".to_string(), "blade".to_string(), "station_pct".to_string(), format!("width_after_{unit}")];
        let mut csv = header.join(",") + "\n";
        let mut workbook = Workbook::new();
        let names = workbook.add_worksheet().set_name("propellers").expect("a name");
        names.write_string(0, 0, "propeller").expect("written");
        names.write_string(1, 0, "7").expect("written");
        let sheet = workbook.add_worksheet().set_name("measurements").expect("a name");
        for (column, name) in header.iter().enumerate() {
            sheet.write_string(0, column as u16, name).expect("written");
        }
        let as_date = Format::new().set_num_format("d-mmm-yy");
        for (at, (length, typed, day, dated)) in rows.iter().enumerate() {
            let date = Day::from_number(*day).to_string();
            csv += &format!("7,{date},1,60,{}\n", length.written());
            let row = at as u32 + 1;
            sheet.write_number(row, 0, 7).expect("written");
            if *dated {
                let value = ExcelDateTime::parse_from_str(&date).expect("a date");
                sheet.write_datetime_with_format(row, 1, &value, &as_date).expect("written");
            } else {
                sheet.write_string(row, 1, &date).expect("written");
            }
            sheet.write_number(row, 2, 1).expect("written");
            sheet.write_number(row, 3, 60).expect("written");
            if *typed {
                sheet.write_number(row, 4, length.value()).expect("written");
            } else {
                sheet.write_string(row, 4, length.written()).expect("written");
            }
        }
        std::fs::write(folder.join("propellers.csv"), "propeller\n7\n").expect("written");
        std::fs::write(folder.join("measurements.csv"), csv).expect("written");
        let path = dir.path().join("fleet.xlsx");
        workbook.save(&path).expect("saved");

        let (one, other) = (loaded(&path), loaded(&folder));
        let both = [&one, &other].map(|l| l.table(Table::Measurements).expect("measurements"));
        let lengths = both.map(|t| t.numbers("width_after").expect("lengths"));
        let days = both.map(|t| t.days("overhaul_date").expect("days"));
        prop_assert_eq!(lengths[0], lengths[1]);
        prop_assert_eq!(days[0], days[1]);
        prop_assert!(both.iter().all(|t| t.faults.is_empty()));
        let over = match unit { "mm" => 25.4, "thou" => 1000.0, _ => 1.0 };
        for ((length, _, day, _), (read, read_day)) in rows.iter().zip(lengths[0].iter().zip(days[0])) {
            prop_assert_eq!(*read, length.value() / over);
            prop_assert_eq!(day, read_day);
        }
    }

    /// Whatever day a spreadsheet made of a fraction, it is never a length.
    #[test]
    fn no_date_is_ever_a_length(day in 14_611_i32..=73_050, shown_as_date in any::<bool>(), mm in any::<bool>()) {
        let dir = tempfile::tempdir().expect("a temporary folder");
        let mut workbook = Workbook::new();
        let names = workbook.add_worksheet().set_name("propellers").expect("a name");
        names.write_string(0, 0, "propeller").expect("written");
        names.write_string(1, 0, "A1").expect("written");
        let sheet = workbook.add_worksheet().set_name("overhauls").expect("a name");
        let track = if mm { "track_mm" } else { "track_in" };
        for (column, name) in ["propeller", "overhaul_date", track].iter().enumerate() {
            sheet.write_string(0, column as u16, *name).expect("written");
        }
        sheet.write_string(1, 0, "A1").expect("written");
        sheet.write_string(1, 1, "2020-01-01").expect("written");
        let format = Format::new().set_num_format(if shown_as_date { "d-mmm" } else { "0" });
        sheet.write_number_with_format(1, 2, day, &format).expect("written");
        let path = dir.path().join("fleet.xlsx");
        workbook.save(&path).expect("saved");
        let loaded = loaded(&path);
        let table = loaded.table(Table::Overhauls).expect("overhauls");
        prop_assert!(table.numbers("track").expect("lengths")[0].is_nan());
        prop_assert_eq!(table.faults.len(), 1);
    }
}
