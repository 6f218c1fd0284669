//! The worked questions of `questions.md`: each is asked of the demo fleet and gives the answer that stands under it.

use std::path::Path;
use std::process::Command;

use super::demo;
use crate::program::text;

const PAGE: &str = include_str!("../../../notebooks-free-docs/questions.md");

/// Every worked question: its command, and the answer under it.
fn worked() -> Vec<(&'static str, &'static str)> {
    let (_, part) = PAGE.split_once("\n# Worked questions\n").expect("the page has the part");
    part.split("`bladewane query ")
        .skip(1)
        .map(|rest| {
            let (command, rest) = rest.split_once('`').expect("the command ends");
            let (_, rest) = rest.split_once("```text\n").expect("an answer");
            (command, rest.split_once("```").expect("the answer ends").0)
        })
        .collect()
}

#[test]
#[cfg(unix)]
fn the_worked_questions_have_the_answers_that_stand_there() {
    let worked = worked();
    assert_eq!(worked.len(), 12);
    let mut page = PAGE.to_string();
    for (command_in_page, answer) in worked {
        let command = command_in_page.replacen("FLEET", &demo().join(" "), 1);
        let line = format!("{} query {command}", env!("CARGO_BIN_EXE_bladewane"));
        let output = Command::new("sh").args(["-euc", &line]).env("COLUMNS", "100").output().expect("the shell starts");
        assert!(output.status.success(), "{command}\n{}", text(&output.stderr));
        let said = text(&output.stdout);
        let (table, _) = said.split_once("Limits come from").expect("the caution");
        if std::env::var_os("UPDATE_DOCS").is_some() {
            let (asked, rest) = page.split_once(command_in_page).expect("the question");
            page = format!("{asked}{command_in_page}{}", rest.replacen(answer, table, 1));
        } else {
            assert_eq!(
                table, answer,
                "{command}\nrun UPDATE_DOCS=1 cargo test --test it worked::, and look at the difference"
            );
        }
    }
    if page != PAGE {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks-free-docs/questions.md");
        std::fs::write(path, page).expect("the page is written");
    }
}
