//! The sheet `fleet`: the settings of a workbook.

use std::process::Output;

use super::made::{Book, Put, Saved};
use crate::program::bladewane;
use Put::{Formula, Number, Shown, Text, YesNo};

fn check(saved: &Saved) -> (Output, String) {
    let output = bladewane(&["check", "--as-of", "2026-01-01", &saved.path.display().to_string()]);
    let errors = String::from_utf8_lossy(&output.stderr).replace(&format!("{}/", saved.folder().display()), "");
    (output, errors)
}

#[test]
fn settings_are_read_from_keys_and_values() {
    let mut book = Book::small().csv("hours", "propeller,reading_date,hours_since_new\nA1,01.02.2010,\"10,5\"");
    let sheet = book.sheet("Fleet");
    sheet.write_string(0, 0, "What holds for the whole fleet").expect("written");
    let rows: [&[Put]; 6] = [
        &[Text("key"), Text("value"), Text("meaning")],
        &[Text("name"), Text("Three props"), Text("shown in headings")],
        &[Text("decimal_comma"), YesNo(true)],
        &[Text("date_format"), Text("DD.MM.YYYY")],
        &[Text("due.warning_days"), Number(60.0)],
        &[Text("price_growth_pct"), Shown(0.025, "0.0%")],
    ];
    for (row, cells) in rows.iter().enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            super::made::put(sheet, row as u32 + 2, column as u16 + 1, cell);
        }
    }
    let saved = book.save();
    let out = saved.folder().join("out");
    let (to, from) = (out.display().to_string(), saved.path.display().to_string());
    let output = bladewane(&["run", "--as-of", "2026-01-01", "--quiet", "--out", &to, &from]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(String::from_utf8_lossy(&output.stdout).contains("Three props, as of 2026-01-01"));
    let settings = std::fs::read_to_string(out.join("settings.toml")).expect("settings");
    for line in ["price_growth_pct = 2.5", "warning_days = 60"] {
        assert!(settings.contains(line), "{line} in {settings}");
    }
    let record = std::fs::read_to_string(out.join("run.json")).expect("a record");
    assert!(record.contains("\"from\": \"fleet.xlsx!Fleet!C7\""), "{record}");
    let (_, told) = check(&saved);
    assert_eq!(told, "");
}

#[test]
fn a_setting_that_cannot_be_used_names_its_cell() {
    let book = Book::small().rows(
        "fleet",
        "key,value",
        &[
            &[Text("name"), Text("Three props")],
            &[Text("due.warning_days"), Text("soon")],
            &[Text("curency"), Text("EUR")],
        ],
    );
    let (output, errors) = check(&book.save());
    assert_eq!(output.status.code(), Some(3));
    assert!(errors.contains("fleet.xlsx!fleet!B3: due.warning_days: expected "), "{errors}");
    assert!(errors.contains("fleet.xlsx!fleet!A4: curency: "), "{errors}");
    assert!(errors.contains("`currency`"), "{errors}");
}

#[test]
fn a_setting_without_a_value_is_told() {
    let book = Book::small().rows("fleet", "key,value", &[&[Text("due.warning_days"), Formula("=30*2", "60")]]);
    let (output, errors) = check(&book.save());
    assert_eq!((output.status.code(), &*errors), (Some(0), ""));
    let header = super::raw::texts(1, &["key", "value"]);
    let formula = super::raw::text("A2", "due.warning_days") + "<c r=\"B2\"><f>30*2</f></c>";
    let raw = super::raw::Raw::new()
        .sheet("propellers", &[&super::raw::texts(1, &["propeller"]), &super::raw::texts(2, &["A1"])])
        .sheet("fleet", &[&header, &formula])
        .save();
    let (output, errors) = check(&raw);
    assert_eq!(output.status.code(), Some(3));
    assert!(
        errors.contains("fleet.xlsx!fleet!B2: due.warning_days: expected a value, found the formula =30*2 without one"),
        "{errors}"
    );
}
