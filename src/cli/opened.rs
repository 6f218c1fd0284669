//! A fleet opened for a command: settings read, tables read, and the as-of date decided.

use std::io::Read as _;
use std::path::Path;

use super::args::{FilterArgs, RecordArgs};
use super::chosen::Color;
use super::env::Env;
use super::failure::Failure;
use super::notes::in_short;
use super::progress::Progress;
use crate::analysis::margins::model_now;
use crate::records::reading::Writing;
use crate::records::rule::one_of;
use crate::records::schema::Table;
use crate::records::{Fleet, LoadError, Loaded, ReadOptions, SETTINGS_SHEET};
use crate::results::answers::Shown;
use crate::results::steps::StepClock;
use crate::settings::{Layer, SettingError, Settings, nearest_there};
use crate::tables::atomic_folder::ResultFolder;
use crate::tables::caps::Caps;
use crate::tables::find::Container;
use crate::tables::stamp::InputPath;
use crate::trade::calendar::{Day, same_day};

/// What surrounds every command.
pub struct Surroundings {
    /// The environment, read once.
    pub env: Env,
    /// When to colour.
    pub color: Color,
    /// Say nothing but errors.
    pub quiet: bool,
}

impl Surroundings {
    /// A progress line, shown only at a terminal.
    pub fn progress(&self) -> Progress {
        Progress::new(self.env.stderr_is_terminal && !self.quiet)
    }

    /// Begins a results folder.
    ///
    /// # Errors
    /// As [`ResultFolder::begin`].
    pub fn begin_folder(&self, target: &Path) -> Result<ResultFolder, Failure> {
        let folder = ResultFolder::begin(target)?;
        if folder.put_back() {
            self.note(&format!(
                "{}: an earlier run was stopped while its results took their place; the results before it are back",
                folder.target().display()
            ));
        }
        Ok(folder)
    }

    /// Says something on the error stream.
    pub fn note(&self, text: &str) {
        if !self.quiet {
            self.env.say(text);
        }
    }
}

/// Settings and tables of a fleet.
pub struct Opened {
    /// The settings in force.
    pub settings: Settings,
    /// The tables.
    pub loaded: Loaded,
    /// The date.
    pub as_of: Day,
    /// Times of the steps so far.
    pub clock: StepClock,
}

/// The settings of a fleet folder or workbook, and of a file that wins over them; with the files they came from, the workbook
/// itself not among them.
///
/// # Errors
/// Every setting that cannot be used, each with file and line or cell.
pub fn settings(container: &mut Container, file: Option<&Path>) -> Result<(Settings, Vec<InputPath>), Failure> {
    let told = |errors: Vec<SettingError>| Failure::records(told(&errors));
    let mut files = Vec::new();
    let mut layers = Vec::new();
    let mut settings = Settings::default();
    match container {
        Container::Folder(folder) => {
            let in_folder = folder.join("fleet.toml");
            let input = InputPath::seen(&in_folder);
            match settings_text(&in_folder) {
                Ok(text) => {
                    layers.push(Layer { name: "fleet.toml".to_string(), text });
                    files.push(input);
                }
                Err(error) if error.kind() == std::io::ErrorKind::NotFound => {}
                Err(error) => {
                    return Err(Failure::records(format!("{}: cannot be read: {error}", in_folder.display())));
                }
            }
        }
        Container::Workbook(workbook) => {
            let sheet = workbook.sheet(SETTINGS_SHEET).map_err(Failure::records)?;
            if let Some(sheet) = sheet {
                let pairs = workbook.key_values(&sheet).map_err(Failure::records)?;
                let cells = pairs.iter().map(|p| (&p.key, &p.value, (p.row, p.column)));
                settings = settings.with_cells(&workbook.place(&sheet), cells).map_err(told)?;
            }
        }
    }
    if let Some(path) = file {
        files.push(InputPath::seen(path));
        let text = settings_text(path).map_err(|error| {
            Failure::usage(format!(
                "{}: cannot be read: {error}\nhint: give the settings file's own path after --settings",
                path.display()
            ))
        })?;
        layers.push(Layer { name: path.display().to_string(), text });
    }
    Ok((settings.with_layers(&layers).map_err(told)?, files))
}

/// What a file of the fleet may ask for, as its settings say.
fn caps(settings: &Settings) -> Caps {
    let reading = &settings.reading;
    Caps {
        table_bytes: (reading.table_gib * f64::from(1u32 << 30)) as u64,
        page_bytes: u64::from(reading.page_mib) << 20,
        workbook_bytes: (reading.workbook_gib * f64::from(1u32 << 30)) as u64,
        workbook_times: reading.workbook_times,
        ..Caps::default()
    }
}

/// What a workbook may ask for before its own settings can be read: what a file given with `--settings` says. What is wrong
/// with that file is told when all settings are read.
pub fn caps_to_open(file: Option<&Path>) -> Caps {
    let text = file.and_then(|path| settings_text(path).ok());
    let settings = text.and_then(|text| Settings::default().with_layers(&[Layer { name: String::new(), text }]).ok());
    settings.map_or_else(Caps::default, |settings| caps(&settings))
}

/// The largest file of settings.
const MOST_SETTINGS_BYTES: u64 = 1 << 20;

/// The text of a file of settings.
fn settings_text(path: &Path) -> std::io::Result<String> {
    let mut text = String::new();
    let read = std::fs::File::open(path)?.take(MOST_SETTINGS_BYTES + 1).read_to_string(&mut text)?;
    match read as u64 > MOST_SETTINGS_BYTES {
        true => Err(std::io::Error::other("larger than any file of settings (at most 1 MiB)")),
        false => Ok(text),
    }
}

/// Problems told at once; behind these stands how many more there are.
const MOST_TOLD: usize = 50;
/// Letters of one of them: it quotes what stands in the file, which may be anything.
const LETTERS_TOLD: usize = 1000;

fn told(errors: &[SettingError]) -> String {
    let in_short = |error: &SettingError| {
        let text = error.to_string();
        match text.char_indices().nth(LETTERS_TOLD) {
            Some((end, _)) => format!("{}...", &text[..end]),
            None => text,
        }
    };
    let mut lines: Vec<String> = errors.iter().take(MOST_TOLD).map(in_short).collect();
    if errors.len() > MOST_TOLD {
        lines.push(format!("and {} more", errors.len() - MOST_TOLD));
    }
    lines.join("\n")
}

/// The latest that an as-of date may lie after the newest record.
const MOST_YEARS_AHEAD: u32 = 50;

/// Refuses an as-of date that no record comes near: a slip of the hand, and nothing that is worked out for it means anything.
fn refuse_far_ahead(as_of: Day, loaded: &Loaded, today: Day) -> Result<(), Failure> {
    let newest = loaded.newest_day();
    if as_of <= same_day(newest.unwrap_or(today), 12 * MOST_YEARS_AHEAD) {
        return Ok(());
    }
    let newest = newest.map_or_else(|| format!("today, {today}"), |day| format!("the newest record, of {day}"));
    Err(Failure::usage(format!(
        "--as-of {as_of}: more than {MOST_YEARS_AHEAD} years after {newest}\nhint: correct the year"
    )))
}

/// How the fleet's files are written, as its settings say.
pub fn read_options(settings: &Settings) -> ReadOptions {
    ReadOptions {
        separator: settings.fleet.csv_separator.byte(),
        writing: Writing {
            decimal_comma: settings.fleet.decimal_comma,
            date_pattern: (!settings.fleet.date_format.is_iso())
                .then(|| settings.fleet.date_format.pattern().to_string()),
        },
        caps: caps(settings),
        ignore_columns: settings.fleet.ignore_columns.clone(),
    }
}

impl Opened {
    /// Reads settings and tables.
    ///
    /// # Errors
    /// [`Failure`] with exit code 2 or 3.
    pub fn read(args: &RecordArgs, around: &Surroundings, progress: &Progress) -> Result<Opened, Failure> {
        Opened::read_all(args, &[], true, around, progress)
    }

    /// As [`Opened::read`], without saying what was left out: the command says it itself.
    ///
    /// # Errors
    /// As [`Opened::read`].
    pub fn read_silently(args: &RecordArgs, around: &Surroundings, progress: &Progress) -> Result<Opened, Failure> {
        Opened::read_all(args, &[], false, around, progress)
    }

    /// As [`Opened::read`], with settings that the command line gives, which win over every file: dotted key and value.
    ///
    /// # Errors
    /// As [`Opened::read`].
    pub fn read_with(
        args: &RecordArgs,
        given: &[(&str, String)],
        around: &Surroundings,
        progress: &Progress,
    ) -> Result<Opened, Failure> {
        Opened::read_all(args, given, true, around, progress)
    }

    fn read_all(
        args: &RecordArgs,
        given: &[(&str, String)],
        says_notes: bool,
        around: &Surroundings,
        progress: &Progress,
    ) -> Result<Opened, Failure> {
        let mut clock = StepClock::default();
        clock.begin("read tables");
        let caps = caps_to_open(args.settings.as_deref());
        let mut container = Container::open(&args.fleet, &caps).map_err(LoadError::from)?;
        let (settings, setting_files) = settings(&mut container, args.settings.as_deref())?;
        let settings = settings
            .with_pairs("the command line", given.iter().map(|(key, value)| (key, value)))
            .map_err(|errors| Failure::usage(told(&errors)))?;
        let options = read_options(&settings);
        let mut loaded = Loaded::read_from(
            &mut container,
            &options,
            |_| true,
            |table| {
                progress.step(&format!("reading {table}"));
            },
        )?;
        loaded.files.extend(setting_files);
        loaded.refuse_changed()?;
        let today = Day::from(around.env.today);
        let as_of = args.as_of.map(Day::from);
        if let Some(as_of) = as_of {
            refuse_far_ahead(as_of, &loaded, today)?;
        }
        if says_notes {
            let notes = in_short(&loaded.notes);
            progress.hidden_while(|| notes.iter().for_each(|note| around.note(note)));
        }
        Ok(Opened { settings, loaded, as_of: as_of.unwrap_or(today), clock })
    }

    /// The fleet as of the date.
    pub fn fleet(&mut self, progress: &Progress) -> (Fleet<'_>, &Settings, &mut StepClock) {
        progress.step("checking the records");
        self.clock.begin("check records");
        let fleet = Fleet::as_of(&self.loaded, self.as_of, &self.settings);
        self.clock.end();
        (fleet, &self.settings, &mut self.clock)
    }
}

/// Says that nothing was on record on the day asked for, and from when on something is; `None` where a propeller is.
pub fn nothing_on_record(fleet: &Fleet<'_>) -> Option<String> {
    if !fleet.propellers.is_empty() {
        return None;
    }
    let days = fleet.loaded.table(Table::Propellers).and_then(|table| table.days("in_service_date"));
    let later = days.and_then(|days| days.iter().copied().filter(|day| *day > fleet.as_of.number()).min());
    let from = later.map_or_else(String::new, |day| {
        format!(
            "\nhint: the first propeller comes on record on {}; give a later day with --as-of",
            Day::from_number(day)
        )
    });
    Some(format!("nothing was on record on {}{from}", fleet.as_of))
}

/// Which propellers the filters show.
///
/// # Errors
/// A base or model that no propeller has, with the nearest that one has.
pub fn shown(fleet: &Fleet<'_>, filter: &FilterArgs) -> Result<Shown, Failure> {
    if *filter == FilterArgs::default() {
        return Ok(Shown::all());
    }
    let bases: Vec<&str> = fleet.propellers.bases.iter().collect();
    let models: Vec<&str> = fleet.models.list().iter().map(|m| m.name.as_str()).collect();
    for (option, wanted, there) in [("--base", &filter.bases, &bases), ("--model", &filter.models, &models)] {
        for name in wanted {
            if !there.contains(&name.as_str()) {
                let hint = nearest_there(name, there.iter().copied())
                    .unwrap_or_else(|| format!("there are {}", there.join(", ")));
                return Err(Failure::usage(format!(
                    "{option} `{name}`: no propeller of this fleet has it\nhint: {hint}"
                )));
            }
        }
    }
    let shown = Shown::only(fleet, |propeller| {
        let of = fleet.propellers.get(propeller);
        let usage = of.usage.map(crate::records::choice::Use::word);
        let base = of.base.map(|code| fleet.propellers.bases.get(code));
        let model = model_now(fleet, propeller).map(|m| fleet.models.get(m).name.as_str());
        let is_among = |wanted: &[String], value: Option<&str>| {
            wanted.is_empty() || value.is_some_and(|v| wanted.iter().any(|w| w == v))
        };
        (filter.uses.is_empty() || filter.uses.iter().any(|u| Some(u.word()) == usage))
            && is_among(&filter.bases, base)
            && is_among(&filter.models, model)
    });
    let listed = |option: &str, wanted: &[&str]| match wanted {
        [] => None,
        wanted => Some(format!("{option} {}", one_of(wanted))),
    };
    let uses: Vec<&str> = filter.uses.iter().map(|u| u.word()).collect();
    let words: Vec<String> = [
        listed("use", &uses),
        listed("base", &filter.bases.iter().map(String::as_str).collect::<Vec<_>>()),
        listed("model", &filter.models.iter().map(String::as_str).collect::<Vec<_>>()),
    ]
    .into_iter()
    .flatten()
    .collect();
    Ok(shown.named(words.join(", ")))
}
