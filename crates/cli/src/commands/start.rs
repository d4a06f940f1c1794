//! `start`: a first `job.toml` from the exports found. Every guess is marked as one; nothing is ever overwritten.

use std::fmt::Write as _;
use std::fs::OpenOptions;
use std::io::Write as _;

use anyhow::{Context, Result, bail};
use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use grainfall_ingest::Reading;
use grainfall_job::JOB_TOML;
use grainfall_keep::Store;
use grainfall_record::{LoggerRead, Outcome as InputOutcome, Quantity};

use crate::args::StartArgs;
use crate::exit_code::Outcome;
use crate::folder;
use crate::progress::Progress;
use crate::terminal;

/// Writes the file, or prints it.
pub fn run(args: &StartArgs) -> Result<Outcome> {
    let target = args.folder.join(JOB_TOML);
    if !args.print && target.exists() {
        bail!(
            "`{}` is already there and is never overwritten; see what `start` would write with `--print`",
            target.display()
        );
    }
    let progress = Progress::start("reading exports");
    let (job, _, reading) = folder::read(&args.folder, &Store::none(), &progress)?;
    drop(progress);
    for input in &reading.ledger.inputs {
        if let InputOutcome::Refused { reason, remedy } = &input.outcome {
            terminal::note(&terminal::inert(&format!("{}: not read: {reason}; to do: {remedy}", input.path)));
        }
    }
    let text = job_toml(&reading, job.zone.tz, &folder::folder_name(&args.folder));
    if args.print {
        terminal::print_data(text.trim_end())?;
        return Ok(Outcome::Done);
    }
    // `create_new` refuses to overwrite even when the file appeared meanwhile.
    let mut file = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&target)
        .with_context(|| format!("`{}` cannot be written", target.display()))?;
    file.write_all(text.as_bytes()).with_context(|| format!("`{}` cannot be written", target.display()))?;
    terminal::print(&format!("{}", target.display()))?;
    terminal::note("Check every line marked `guess`, fill in what is commented out, then run `grainfall check`.");
    Ok(Outcome::Done)
}

/// The whole file. It is valid as written: what is not known is commented out.
fn job_toml(reading: &Reading, tz: Tz, folder: &str) -> String {
    let loggers = &reading.ledger.loggers;
    let guesses: Vec<Guess> = loggers.iter().map(|logger| guess(logger, reading)).collect();
    let mut text = String::from(
        "# What is known of this job. Lines that begin with `#` are left to fill in.\n\
         # Quantities are written with their unit (\"620 ft\"); times are local to the zone.\n\n[job]\n",
    );
    let _ = writeln!(text, "title = {}", quoted(folder));
    text.push_str(
        "# number = \"J-1\"\n# claim = \"C-1\"\n# time_zone = \"America/Chicago\"   # needed: without it days are in UTC\n\
         # elevation = \"620 ft\"              # needed: without it the pressure of sea level is used\n",
    );
    let span = reading.frame.span();
    let day = |time: Option<DateTime<Utc>>, or: &str| time.map_or_else(|| or.to_owned(), |time| when(time, tz));
    let first = day(span.map(|span| span.0), "2025-10-06 10:00");
    let last = day(span.map(|span| span.1), "2025-10-12 10:40");
    let _ = write!(text, "# loss_at = \"{first}\"        # when the water came\n# category = 1\n# class = 2\n\n");
    if guesses.iter().any(|guess| ["affected", UNKNOWN].contains(&guess.place)) {
        text.push_str("[[chamber]]                          # guess: one chamber; rename or add more\nid = \"A\"\nname = \"Chamber A\"\n\n");
    }
    for (logger, guess) in loggers.iter().zip(&guesses) {
        text.push_str(&logger_entry(logger, guess, tz, reading));
    }
    text.push_str(
        "# [[meter]]\n# id = \"M1\"\n# kind = \"pin\"\n# accuracy = 0.5\n\n\
         # [[point]]                          # readings go into readings.csv: time, point, value\n# id = \"A1\"\n\
         # chamber = \"A\"\n# location = \"subfloor by the window\"\n# material = \"softwood\"\n# scale = \"wood\"\n\
         # dry_standard = 10                  # or [\"R1\"], reference points in unaffected material; or goal = 12\n\n\
         # [[equipment]]\n# unit = \"D1\"\n# kind = \"dehumidifier low-grain\"\n# chamber = \"A\"\n",
    );
    let _ = write!(text, "# placed = \"{first}\"\n# removed = \"{last}\"\n# airflow = \"250 cfm\"\n");
    text
}

fn logger_entry(logger: &LoggerRead, guess: &Guess, tz: Tz, reading: &Reading) -> String {
    let mut text = String::from("[[logger]]\n");
    match (&logger.serial, &logger.channel) {
        (Some(serial), _) => {
            let _ = writeln!(text, "serial = {}", quoted(serial));
        }
        (None, channel) => {
            let _ = writeln!(text, "file = {}", quoted(logger.files.first().map_or("", String::as_str)));
            if let Some(channel) = channel {
                let _ = writeln!(text, "channel = {}", quoted(channel));
            }
        }
    }
    let every = logger.interval_s.map_or_else(String::new, |s| format!(", every {} min", f64::from(s) / 60.0));
    let _ = writeln!(
        text,
        "# {} samples{every}, {} to {} ({}); {}",
        logger.samples,
        when(logger.first, tz),
        when(logger.last, tz),
        tz.name(),
        ranges(logger, reading)
    );
    match guess.place {
        "affected" => {
            let _ = writeln!(text, "place = \"affected\"                   # guess: {}\nchamber = \"A\"", guess.why);
        }
        "inlet" | "outlet" => {
            let _ = writeln!(
                text,
                "# place = \"{}\"                     # guess: {}; name its unit, an [[equipment]] entry\n# unit = \"D1\"",
                guess.place, guess.why
            );
        }
        UNKNOWN => {
            let _ = writeln!(text, "# place = \"affected\"                 # guess: {}\n# chamber = \"A\"", guess.why);
        }
        place => {
            let _ = writeln!(text, "place = \"{place}\"                 # guess: {}", guess.why);
        }
    }
    text.push('\n');
    text
}

/// Stands for a place nobody can guess; until somebody says, the logger stays unplaced and every report says so.
const UNKNOWN: &str = "unknown";

/// A guessed place and why.
struct Guess {
    place: &'static str,
    why: String,
}

/// Words in names that tell a place, the longer ones first so that `unaffected` is not taken for `affected`.
const NAME_WORDS: [(&str, &str); 12] = [
    ("unaffected", "unaffected"),
    ("affected", "affected"),
    ("outdoor", "outdoor"),
    ("outside", "outdoor"),
    ("exterior", "outdoor"),
    ("outlet", "outlet"),
    ("exhaust", "outlet"),
    ("supply", "outlet"),
    ("inlet", "inlet"),
    ("return", "inlet"),
    ("control", "unaffected"),
    ("hvac", "hvac"),
];

/// Short words that tell a place.
const SHORT_WORDS: [(&str, &str); 3] = [("in", "inlet"), ("out", "outlet"), ("ext", "outdoor")];

/// A daily swing of outdoor air temperature larger than this tells it from indoor air. Project convention, only for guesses.
const OUTDOOR_SWING_K: f64 = 8.0;

fn guess(logger: &LoggerRead, reading: &Reading) -> Guess {
    let names: Vec<String> = std::iter::once(logger.id.to_lowercase())
        .chain(logger.files.iter().map(|file| file.to_lowercase()))
        .chain(logger.channel.iter().map(|channel| channel.to_lowercase()))
        .collect();
    for name in &names {
        if let Some((word, place)) = NAME_WORDS.iter().find(|(word, _)| name.contains(word)) {
            return Guess { place, why: format!("`{word}` in its name") };
        }
        // `in` and `out` tell only as words of their own.
        let words: Vec<&str> = name.split(|c: char| !c.is_alphanumeric()).collect();
        if let Some((word, place)) = SHORT_WORDS.iter().find(|(word, _)| words.contains(word)) {
            return Guess { place, why: format!("`{word}` in its name") };
        }
    }
    match daily_swing_k(logger, reading) {
        Some(swing) if swing > OUTDOOR_SWING_K => {
            Guess { place: "outdoor", why: format!("its temperature swings by {swing:.0} K a day") }
        }
        _ => Guess {
            place: UNKNOWN,
            why: "nothing in the file tells; most loggers stand in the affected air".to_owned(),
        },
    }
}

/// Median over whole days of the day's temperature range.
fn daily_swing_k(logger: &LoggerRead, reading: &Reading) -> Option<f64> {
    let series = reading.frame.logger(&logger.id)?;
    let temps = series.column(Quantity::AirTemp)?;
    let mut days: std::collections::BTreeMap<i64, (f64, f64)> = std::collections::BTreeMap::new();
    for (time, temp) in series.time.iter().zip(temps) {
        let Some(temp) = *temp else { continue };
        let range = days.entry(time.timestamp().div_euclid(86_400)).or_insert((temp, temp));
        *range = (range.0.min(temp), range.1.max(temp));
    }
    let mut swings: Vec<f64> = days.values().map(|(low, high)| high - low).collect();
    swings.sort_by(f64::total_cmp);
    swings.get(swings.len() / 2).copied()
}

fn ranges(logger: &LoggerRead, reading: &Reading) -> String {
    let Some(series) = reading.frame.logger(&logger.id) else { return String::new() };
    let mut parts = Vec::new();
    for quantity in &logger.quantities {
        let values = series.column(*quantity).unwrap_or_default().iter().flatten().copied();
        let range = values.fold(None, |range: Option<(f64, f64)>, v| {
            Some(range.map_or((v, v), |(low, high)| (low.min(v), high.max(v))))
        });
        if let Some((low, high)) = range {
            parts.push(match quantity {
                Quantity::AirTemp | Quantity::DewPoint | Quantity::WetBulb | Quantity::SurfaceTemp => {
                    format!("{} {:.0} to {:.0} F", quantity.label(), low * 1.8 + 32.0, high * 1.8 + 32.0)
                }
                _ => format!("{} {low:.1} to {high:.1} {}", quantity.label(), quantity.unit()),
            });
        }
    }
    parts.join(", ")
}

fn when(time: DateTime<Utc>, tz: Tz) -> String {
    time.with_timezone(&tz).format("%Y-%m-%d %H:%M").to_string()
}

/// A TOML basic string.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strings_are_toml() {
        assert_eq!(quoted("a\"b\\c\n"), "\"a\\\"b\\\\c\\u000A\"");
    }
}
