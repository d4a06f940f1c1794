//! `explain`: how an export was understood, and why.

use std::path::Path;

use anyhow::{Result, bail};
use grainfall_job::{AIR_CSV, EQUIPMENT_CSV, JOB_TOML, READINGS_CSV, VISITS_CSV};
use grainfall_record::{Certainty, InputFile, LoggerRead, Outcome as InputOutcome, ReadingHints};
use serde::Serialize;

use crate::args::ExplainArgs;
use crate::exit_code::Outcome;
use crate::terminal::{self, columns, paragraph};

/// At most this many refused rows are shown on the terminal; `--json` has them all.
const SHOWN_REFUSALS: usize = 10;

/// One file as JSON.
#[derive(Serialize)]
struct Explained<'a> {
    input: &'a InputFile,
    loggers: &'a [LoggerRead],
}

/// Reads each file and prints what was decided.
pub fn run(args: &ExplainArgs) -> Result<Outcome> {
    let hints = match &args.job {
        Some(folder) => grainfall_job::load(folder)?.reading_hints(),
        None => ReadingHints::default(),
    };
    let mut read = Vec::new();
    let mut unread = Vec::new();
    for file in &args.files {
        match grainfall_ingest::read_file(file, &name(file, args.job.as_deref()), &hints) {
            Ok(reading) => read.push(reading.ledger),
            // The others are still worth explaining.
            Err(error) => unread.push(error.to_string()),
        }
    }
    if args.json {
        let explained: Vec<Explained<'_>> = read
            .iter()
            .flat_map(|ledger| ledger.inputs.iter().map(|input| Explained { input, loggers: &ledger.loggers }))
            .collect();
        terminal::print(&serde_json::to_string_pretty(&explained)?)?;
    } else {
        for ledger in &read {
            for input in &ledger.inputs {
                terminal::print(text(input, &ledger.loggers).trim_end())?;
            }
        }
    }
    if !unread.is_empty() {
        bail!("{}", unread.join("\n"));
    }
    Ok(Outcome::Done)
}

/// The file's path as the job's hints name it: relative to the job folder where it lies in it.
fn name(file: &Path, job: Option<&Path>) -> String {
    let relative = job.and_then(|folder| {
        let file = file.canonicalize().ok()?;
        let folder = folder.canonicalize().ok()?;
        Some(file.strip_prefix(folder).ok()?.to_owned())
    });
    let path = relative.unwrap_or_else(|| file.file_name().map_or_else(|| file.to_owned(), Into::into));
    path.to_string_lossy().replace('\\', "/")
}

fn text(input: &InputFile, loggers: &[LoggerRead]) -> String {
    let mut out = format!("{}\n", input.path);
    let own = [JOB_TOML, READINGS_CSV, AIR_CSV, VISITS_CSV, EQUIPMENT_CSV];
    if own.iter().any(|name| input.path.eq_ignore_ascii_case(name)) {
        out += "  in a job folder this is one of the job's own files, read as such and never as an export;\n  as an export it would be:\n";
    }
    match &input.outcome {
        InputOutcome::Read { rows, samples } => {
            let refused = input.refused.len();
            out += &format!("  read: {rows} rows, {samples} samples, {refused} refused\n");
        }
        InputOutcome::NotALog { reason } => out += &paragraph(&format!("not an interval log: {reason}"), 2),
        InputOutcome::Refused { reason, remedy } => {
            out += &paragraph(&format!("not read: {reason}"), 2);
            out += &paragraph(&format!("to do: {remedy}"), 2);
        }
        InputOutcome::SameAs { path } => out += &format!("  the same bytes as {path}; read once\n"),
    }
    let facts: Vec<Vec<String>> = input.facts.iter().map(|(name, value)| vec![name.clone(), value.clone()]).collect();
    section(&mut out, "found around the data", &facts);
    let decisions: Vec<Vec<String>> = input
        .decisions
        .iter()
        .map(|decision| {
            let mark = match decision.certainty {
                Certainty::Stated => "as you said",
                Certainty::Settled => "",
                Certainty::Guess => "a guess",
            };
            let because = match mark {
                "" => decision.reason.clone(),
                mark => format!("{mark}: {}", decision.reason),
            };
            vec![decision.topic.clone(), format!("{} ({because})", decision.value)]
        })
        .collect();
    section(&mut out, "decided", &decisions);
    let rows: Vec<Vec<String>> = loggers.iter().map(logger_row).collect();
    section(&mut out, "loggers (times in UTC)", &rows);
    let refused: Vec<Vec<String>> = input
        .refused
        .iter()
        .take(SHOWN_REFUSALS)
        .map(|refusal| {
            let column = refusal.column.clone().unwrap_or_else(|| "whole row".to_owned());
            vec![format!("line {}", refusal.row), column, format!("`{}`: {}", refusal.found, refusal.reason)]
        })
        .collect();
    section(&mut out, "refused", &refused);
    if input.refused.len() > SHOWN_REFUSALS {
        out += &format!("  and {} more; `--json` lists them all\n", input.refused.len() - SHOWN_REFUSALS);
    }
    out
}

fn logger_row(logger: &LoggerRead) -> Vec<String> {
    let every = logger.interval_s.map_or_else(|| "one sample".to_owned(), |s| format!("every {} s", s));
    let quantities: Vec<&str> = logger.quantities.iter().map(|quantity| quantity.label()).collect();
    vec![
        logger.id.clone(),
        format!(
            "{} samples, {every}, {} to {}; {}; {} gaps, {} repeated, {} contradicting; {}",
            logger.samples,
            logger.first.format("%Y-%m-%d %H:%M"),
            logger.last.format("%Y-%m-%d %H:%M"),
            quantities.join(", "),
            logger.gaps.len(),
            logger.duplicates.len(),
            logger.conflicts.len(),
            logger.clock
        ),
    ]
}

fn section(out: &mut String, title: &str, rows: &[Vec<String>]) {
    if !rows.is_empty() {
        out.push_str(&format!("  {title}\n{}", columns(rows, 4)));
    }
}
