//! The command line: commands, options and their help.

use std::path::PathBuf;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;
use grainfall_words::{DateStyle, Language, Words};

use crate::kept::KeptArgs;

/// Turns a folder of logger exports and readings into drying evidence.
#[derive(Debug, Parser)]
#[command(name = "grainfall", version, max_term_width = 100)]
#[command(
    after_help = "Exit codes: 0 done (check, jobs: all goals met; verify: same), 1 check, jobs: not met, verify: differs, \
3 check, jobs: not shown, 2 failed.\n\
The tool judges only what logs and readings show. A qualified person inspects and decides; local codes, the standard \
in force and licensed practice come first."
)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What can be done.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write a first job.toml from the exports found, with every guess marked; never overwrites
    Start(StartArgs),
    /// Write everything into FOLDER/report: PDF, page, charts, tables, samples, summary, manifest
    Report(ReportArgs),
    /// Show the verdicts on the terminal; write nothing
    Check(CheckArgs),
    /// Show all jobs below a folder and what needs a person; write one page and one Parquet set
    Jobs(JobsArgs),
    /// Compute a report again from its inputs and say whether it is the same
    Verify(VerifyArgs),
    /// Keep reports current while exports are dropped in; one line per event, Ctrl-C ends it
    Watch(WatchArgs),
    /// Show how an export was understood, and why
    Explain(ExplainArgs),
    /// Show the moist-air state of any two properties
    Air(AirArgs),
    /// Print a completion script for a shell
    Completions {
        /// The shell
        shell: Shell,
    },
}

/// Which units are shown.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// degF, GPP, inHg, pints, ft2
    #[default]
    Us,
    /// degC, g/kg, kPa, litres, m2
    Si,
}

/// How dates are written for people.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, ValueEnum)]
pub enum Dates {
    /// 9 Oct 2025
    #[default]
    DayMonth,
    /// Oct 9, 2025
    MonthDay,
    /// 2025-10-09
    Iso,
}

impl From<Dates> for DateStyle {
    fn from(dates: Dates) -> Self {
        match dates {
            Dates::DayMonth => Self::DayMonth,
            Dates::MonthDay => Self::MonthDay,
            Dates::Iso => Self::Iso,
        }
    }
}

/// How a report is written for people.
#[derive(Debug, Clone, Copy, Default, Args)]
pub struct StyleArgs {
    /// How dates are written
    #[arg(long, value_enum, default_value_t)]
    pub dates: Dates,
    /// Language of what people read in it
    #[arg(long, value_name = "CODE", default_value = "en", value_parser = languages())]
    pub language: Language,
}

impl StyleArgs {
    /// Order of dates and wording.
    pub fn style(self) -> Style {
        Style { dates: self.dates.into(), words: Words::of(self.language) }
    }
}

/// Order of dates and wording.
#[derive(Debug, Clone, Copy, Default)]
pub struct Style {
    pub dates: DateStyle,
    pub words: Words,
}

fn languages() -> impl TypedValueParser<Value = Language> {
    PossibleValuesParser::new(Language::all().map(Language::code))
        .map(|code| Language::of_code(&code).unwrap_or_default())
}

impl From<Units> for grainfall_report::UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::Us => Self::Us,
            Units::Si => Self::Si,
        }
    }
}

/// `start`.
#[derive(Debug, Args)]
pub struct StartArgs {
    /// The job folder
    pub folder: PathBuf,
    /// Print the job.toml instead of writing it
    #[arg(long)]
    pub print: bool,
}

/// `report`.
#[derive(Debug, Args)]
pub struct ReportArgs {
    /// The job folder
    pub folder: PathBuf,
    /// Units shown
    #[arg(long, value_enum, default_value_t)]
    pub units: Units,
    /// How it is written
    #[command(flatten)]
    pub style: StyleArgs,
    /// Judge the record as it stood then: `2025-10-09 12:00` in the job's zone, or with an offset
    #[arg(long, value_name = "TIME")]
    pub as_of: Option<String>,
    /// Write the tables as a spreadsheet too: `tables.xlsx`
    #[arg(long)]
    pub workbook: bool,
    /// Where results are kept
    #[command(flatten)]
    pub kept: KeptArgs,
    /// Print the summary as JSON on stdout
    #[arg(long)]
    pub json: bool,
    /// Print how long each stage took on stderr
    #[arg(long)]
    pub timings: bool,
    /// Sign manifest.json with this minisign secret key, into manifest.json.minisig
    #[arg(long, value_name = "KEYFILE")]
    pub sign: Option<PathBuf>,
}

/// `jobs`.
#[derive(Debug, Args)]
#[command(after_help = "Exit codes: 0 all goals met, 1 not met, 3 not shown or not all read, 2 none could be read.")]
pub struct JobsArgs {
    /// The folder that holds the jobs, at any depth
    pub folder: PathBuf,
    /// Write the report of every job too
    #[arg(long)]
    pub reports: bool,
    /// Units shown in reports
    #[arg(long, value_enum, default_value_t)]
    pub units: Units,
    /// How it is written
    #[command(flatten)]
    pub style: StyleArgs,
    /// Judge every record as it stood then: `2025-10-09 12:00` in the job's zone, or with an offset; its day is today
    #[arg(long, value_name = "TIME")]
    pub as_of: Option<String>,
    /// Print the list as JSON on stdout
    #[arg(long)]
    pub json: bool,
}

/// `verify`.
#[derive(Debug, Args)]
pub struct VerifyArgs {
    /// The job folder, with its report
    pub folder: PathBuf,
    /// Check the manifest's signature with this minisign public key
    #[arg(long, value_name = "FILE")]
    pub public_key: Option<PathBuf>,
    /// Print every difference as JSON on stdout
    #[arg(long)]
    pub json: bool,
}

/// `check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The job folder
    pub folder: PathBuf,
    /// How dates are written
    #[arg(long, value_enum, default_value_t)]
    pub dates: Dates,
    /// Judge the record as it stood then: `2025-10-09 12:00` in the job's zone, or with an offset
    #[arg(long, value_name = "TIME")]
    pub as_of: Option<String>,
    /// Where results are kept
    #[command(flatten)]
    pub kept: KeptArgs,
    /// Print the evidence as JSON on stdout
    #[arg(long)]
    pub json: bool,
}

/// `watch`.
#[derive(Debug, Args)]
pub struct WatchArgs {
    /// Job folders, or folders below which jobs (folders with a job.toml) lie
    #[arg(required = true, value_name = "FOLDER")]
    pub folders: Vec<PathBuf>,
    /// Units shown
    #[arg(long, value_enum, default_value_t)]
    pub units: Units,
    /// How it is written
    #[command(flatten)]
    pub style: StyleArgs,
    /// Look at the folders every so many seconds instead of waiting for the system to tell of changes; for network
    /// folders on which it does not
    #[arg(long = "poll", value_name = "SECONDS", value_parser = seconds)]
    pub poll_s: Option<f64>,
    /// How long a folder must be at rest before it is read: copying a file in takes time
    #[arg(long = "settle", value_name = "SECONDS", value_parser = seconds, default_value = "2")]
    pub settle_s: f64,
    /// Where results are kept
    #[command(flatten)]
    pub kept: KeptArgs,
    /// Print one JSON object per event
    #[arg(long)]
    pub json: bool,
}

/// A time from a tenth of a second to an hour.
fn seconds(text: &str) -> Result<f64, String> {
    match text.parse() {
        Ok(seconds) if (0.1..=3600.0).contains(&seconds) => Ok(seconds),
        _ => Err("accepted are seconds from 0.1 to 3600".to_owned()),
    }
}

/// `explain`.
#[derive(Debug, Args)]
pub struct ExplainArgs {
    /// The exports
    #[arg(required = true)]
    pub files: Vec<PathBuf>,
    /// Read them with the hints of this job folder's job.toml
    #[arg(long, value_name = "FOLDER")]
    pub job: Option<PathBuf>,
    /// Print as JSON on stdout
    #[arg(long)]
    pub json: bool,
}

/// `air`: exactly two of the properties.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  grainfall air --temp 80F --rh 60\n  grainfall air --temp 80F --wet-bulb 69.6F --elevation \"5280 ft\"\n  grainfall air --temp 21C --gpp 45 --units si --json"
)]
pub struct AirArgs {
    /// Air temperature: `80F`, `26.7 C`
    #[arg(long, value_name = "TEMP", allow_hyphen_values = true)]
    pub temp: Option<String>,
    /// Relative humidity over liquid water, %: `60`
    #[arg(long, value_name = "PERCENT")]
    pub rh: Option<String>,
    /// Dew point: `64.9F`
    #[arg(long, value_name = "TEMP", allow_hyphen_values = true)]
    pub dew_point: Option<String>,
    /// Wet bulb: `69.6F`
    #[arg(long, value_name = "TEMP", allow_hyphen_values = true)]
    pub wet_bulb: Option<String>,
    /// Grains per pound of dry air: `92`
    #[arg(long, value_name = "GPP")]
    pub gpp: Option<String>,
    /// Humidity ratio with its unit: `13.2 g/kg`
    #[arg(long, value_name = "RATIO")]
    pub humidity_ratio: Option<String>,
    /// Vapour pressure with its unit: `2.1 kPa`
    #[arg(long, value_name = "PRESSURE")]
    pub vapour_pressure: Option<String>,
    /// Elevation above sea level: `5280 ft`
    #[arg(long, value_name = "LENGTH", conflicts_with = "pressure", allow_hyphen_values = true)]
    pub elevation: Option<String>,
    /// Air pressure: `29.3 inHg`
    #[arg(long, value_name = "PRESSURE")]
    pub pressure: Option<String>,
    /// Units shown first
    #[arg(long, value_enum, default_value_t)]
    pub units: Units,
    /// Print as JSON on stdout
    #[arg(long)]
    pub json: bool,
}
