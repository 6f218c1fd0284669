//! `manual` and `completions`: the program described for `man` and for the shell.

use std::fs;
use std::io::Write;
use std::path::Path;

use clap::{Command, CommandFactory};
use clap_complete::Shell;
use clap_mangen::Man;

use crate::cli::args::{Args, ManualArgs};
use crate::cli::exit::Exit;
use crate::cli::failure::Failure;
use crate::cli::opened::Surroundings;
use crate::cli::output::print_whole;
use crate::tables::atomic_folder::AtomicFile;

/// Writes the manual: one page with every command to the standard output, or a page each into a folder.
pub fn manual(args: &ManualArgs, around: &Surroundings) -> Result<Exit, Failure> {
    match &args.out {
        None => to_stdout(&whole(&program())?)?,
        Some(folder) => {
            let pages = pages(program())?;
            if !folder.is_dir() {
                fs::create_dir(folder).map_err(|error| Failure {
                    exit: Exit::CouldNotWrite,
                    message: format!("{}: cannot be made: {error}", folder.display()),
                })?;
            }
            for (name, page) in &pages {
                write_page(&folder.join(name), page)?;
            }
            let shown = folder.display();
            around.note(&format!("{} pages are in {shown}", pages.len()));
        }
    }
    Ok(Exit::Done)
}

/// Writes what the shell needs to complete the program's commands and options.
pub fn completions(shell: Shell) -> Result<Exit, Failure> {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Args::command(), env!("CARGO_PKG_NAME"), &mut text);
    to_stdout(&text)?;
    Ok(Exit::Done)
}

fn to_stdout(text: &[u8]) -> Result<(), Failure> {
    print_whole(text)?;
    Ok(())
}

fn write_page(path: &Path, page: &[u8]) -> Result<(), Failure> {
    let mut file = AtomicFile::begin(path)?;
    file.write_all(page)?;
    file.commit()?;
    Ok(())
}

/// The program with its commands' full names and common options worked out. The page of a version names the release, not the
/// commit: a page is the same wherever it is built.
fn program() -> Command {
    let mut program = Args::command().version(env!("CARGO_PKG_VERSION")).disable_help_subcommand(true);
    program.build();
    program
}

fn commands(program: &Command) -> impl Iterator<Item = &Command> {
    let shown = program.get_subcommands();
    shown.filter(|command| !command.is_hide_set() && command.get_name() != "help")
}

/// One page: the program, then each command as a part of its own.
fn whole(program: &Command) -> Result<Vec<u8>, Failure> {
    let mut page = Vec::new();
    Man::new(program.clone()).render(&mut page)?;
    for command in commands(program) {
        let name = format!("{} {}", program.get_name(), command.get_name());
        writeln!(page, ".SH \"{}\"", name.to_uppercase())?;
        let man = Man::new(command.clone());
        let mut part = Vec::new();
        man.render_synopsis_section(&mut part)?;
        man.render_description_section(&mut part)?;
        man.render_options_section(&mut part)?;
        man.render_extra_section(&mut part)?;
        // A command is a part of the page, so its sections are one level lower.
        let part = String::from_utf8_lossy(&part).into_owned();
        for line in part.lines() {
            match line.strip_prefix(".SH ") {
                Some(heading) => writeln!(page, ".SS {heading}")?,
                None => writeln!(page, "{line}")?,
            }
        }
    }
    Ok(page)
}

/// A page for the program and one for each command, by file name.
fn pages(program: Command) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let mut pages = Vec::new();
    let name = program.get_name().to_string();
    let mut made = |name: String, command: Command| {
        let mut page = Vec::new();
        // `man` finds a page by its title.
        Man::new(command).title(name.clone()).render(&mut page)?;
        pages.push((format!("{name}.1"), page));
        Ok::<(), Failure>(())
    };
    made(name.clone(), program.clone())?;
    for command in commands(&program) {
        made(format!("{name}-{}", command.get_name()), command.clone())?;
    }
    Ok(pages)
}
