use clap::{CommandFactory, error::ErrorKind};

use super::*;
use crate::cli::chosen::Order;

fn parse(line: &str) -> Result<Args, clap::Error> {
    // As a shell does: words, and what stands between double quotes as one.
    let parts = line.split('"').enumerate();
    let words = parts.flat_map(|(at, part)| match at % 2 {
        0 => part.split_whitespace().collect(),
        _ => vec![part],
    });
    Args::try_parse_from(std::iter::once("bladewane").chain(words))
}

/// What a mistyped line answers, without colour.
fn answer(line: &str) -> String {
    parse(line).unwrap_err().render().to_string()
}

#[test]
fn the_definition_holds_together() {
    Args::command().debug_assert();
}

#[test]
fn a_plain_line_has_the_defaults() {
    let Command::Run(run) = parse("run fleet").unwrap().command else {
        panic!("not `run`");
    };
    assert_eq!(run.records.fleet, PathBuf::from("fleet"));
    assert_eq!((run.records.as_of, run.records.settings, run.records.strict), (None, None, false));
    assert_eq!((run.filter, run.format, run.out), (FilterArgs::default(), vec![], None));
    assert!(!run.alert.alert);
    let Command::Demo(demo) = parse("demo there").unwrap().command else {
        panic!("not `demo`");
    };
    assert_eq!((demo.propellers, demo.seed, demo.format), (60, 1, DemoFormat::Csv));
    assert_eq!(parse("settings").unwrap().color, Color::Auto);
}

#[test]
fn every_option_reaches_its_place() {
    let line = "rank fleet --by days --as-of 2026-01-31 --settings s.toml --strict --use rental --use club --base Inland \
                --model M-76 --format csv --columns rank,propeller --top 5 -o rank.csv --alert --color never --quiet";
    let args = parse(line).unwrap();
    assert_eq!((args.color, args.quiet), (Color::Never, true));
    let Command::Rank(rank) = args.command else {
        panic!("not `rank`");
    };
    assert_eq!(rank.by, Order::Days);
    let table = rank.table;
    assert_eq!(table.records.as_of, NaiveDate::from_ymd_opt(2026, 1, 31));
    assert_eq!(table.records.settings, Some(PathBuf::from("s.toml")));
    assert!(table.records.strict && table.alert.alert);
    assert_eq!(table.filter.uses, [Use::Rental, Use::Club]);
    assert_eq!(table.filter.uses[0].word(), "rental");
    assert_eq!((table.filter.bases, table.filter.models), (vec!["Inland".into()], vec!["M-76".into()]));
    assert_eq!(table.output.format, Some(TableFormat::Csv));
    assert_eq!(table.output.columns, ["rank", "propeller"]);
    assert_eq!((table.output.top, table.output.out), (Some(5), Some(PathBuf::from("rank.csv"))));
}

#[test]
fn options_of_all_may_stand_before_the_command() {
    assert!(parse("--quiet run fleet").unwrap().quiet);
    assert_eq!(parse("--color always settings").unwrap().color, Color::Always);
}

#[test]
fn a_run_takes_file_formats_only() {
    let Command::Run(run) = parse("run fleet --format csv --format arrow").unwrap().command else {
        panic!("not `run`");
    };
    assert_eq!(run.format, [FileFormat::Csv, FileFormat::Arrow]);
    assert!(answer("run fleet --format table").contains("possible values: csv, json, jsonl, arrow, parquet, xlsx"));
}

#[test]
fn show_knows_every_table() {
    for table in tables() {
        assert!(parse(&format!("show fleet {}", table.name)).is_ok());
    }
    let answer = answer("show fleet margin");
    assert!(answer.contains("similar value exists: 'margins'"), "{answer}");
}

#[test]
fn days_are_written_one_way() {
    assert!(parse("due fleet --as-of 2024-02-29").is_ok());
    for wrong in ["2026-1-31", "31.01.2026", "2025-02-29", "2026-13-01", "today", "2026-01-31x", "+026-01-31"] {
        let answer = answer(&format!("due fleet --as-of {wrong}"));
        assert!(answer.contains("expected a day as YYYY-MM-DD, such as 2026-01-31"), "{wrong}: {answer}");
    }
}

#[test]
fn numbers_of_rows_begin_at_one() {
    for wrong in ["0", "-1", "1.5", "many"] {
        let answer = answer(&format!("due fleet --top={wrong}"));
        assert!(answer.contains("expected a whole number from 1"), "{answer}");
    }
}

#[test]
fn a_wrong_line_is_a_matter_of_usage() {
    for (line, kind) in [
        ("", ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand),
        ("run", ErrorKind::MissingRequiredArgument),
        ("rnu fleet", ErrorKind::InvalidSubcommand),
        ("run fleet --alret", ErrorKind::UnknownArgument),
        ("rank fleet --by size", ErrorKind::InvalidValue),
    ] {
        let error = parse(line).unwrap_err();
        assert_eq!((error.kind(), error.exit_code()), (kind, 2), "{line}");
    }
    for (line, kind) in [("--help", ErrorKind::DisplayHelp), ("--version", ErrorKind::DisplayVersion)] {
        let error = parse(line).unwrap_err();
        assert_eq!((error.kind(), error.exit_code()), (kind, 0), "{line}");
    }
}

/// Each command's help has an example, and each example is a line that the program takes.
#[test]
fn every_example_in_the_help_is_understood() {
    let program = Args::command();
    let with_program = program.get_subcommands().chain([&program]);
    for command in with_program {
        let help = command.get_after_help().map(|help| help.to_string()).unwrap_or_default();
        let examples: Vec<&str> = help
            .lines()
            .filter_map(|line| line.trim().strip_prefix("bladewane "))
            // An explanation follows after a gap, and where the output goes is the shell's business.
            .map(|line| line.split("    ").next().unwrap_or(line))
            .map(|line| line.split(" >").next().unwrap_or(line))
            .collect();
        assert!(!examples.is_empty(), "{}", command.get_name());
        for example in examples {
            assert!(parse(example).is_ok(), "{example}: {}", answer(example));
        }
    }
}

/// Nothing is hidden, and everything says what it is.
#[test]
fn every_option_is_explained() {
    for command in Args::command().get_subcommands() {
        assert!(command.get_about().is_some(), "{}", command.get_name());
        for option in command.get_arguments() {
            assert!(option.get_help().is_some(), "{} {}", command.get_name(), option.get_id());
            assert!(!option.is_hide_set(), "{} {}", command.get_name(), option.get_id());
        }
    }
}

#[test]
fn the_exit_codes_in_the_help_are_the_real_ones() {
    let help = Args::command().get_after_help().map(|help| help.to_string()).unwrap();
    let codes = help.split("Exit codes: ").nth(1).unwrap().replace('\n', " ");
    let codes: Vec<u8> = codes.split("; ").map(|part| part.split(' ').next().unwrap().parse().unwrap()).collect();
    assert_eq!(codes, crate::cli::exit::Exit::ALL.map(|exit| exit.code()));
}
