//! The worked questions of `questions.md`: each is asked of the demo fleet and gives the answer that stands under it.

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
    for (command, answer) in worked {
        let command = command.replacen("FLEET", &demo().join(" "), 1);
        let line = format!("{} query {command}", env!("CARGO_BIN_EXE_bladewane"));
        let output = Command::new("sh").args(["-euc", &line]).env("COLUMNS", "100").output().expect("the shell starts");
        assert!(output.status.success(), "{command}\n{}", text(&output.stderr));
        let said = text(&output.stdout);
        let (table, _) = said.split_once("Limits come from").expect("the caution");
        assert_eq!(table, answer, "{command}");
    }
}
