//! `explain`: how an export was understood, and why. `screen` is what a person sees of it.

mod screen;

use std::path::Path;

use anyhow::{Result, bail};
use grainfall_record::ReadingHints;
use grainfall_report::explanation::{self, ExplainedFile};

use crate::args::ExplainArgs;
use crate::exit_code::Outcome;
use crate::terminal;

/// Reads each file and prints what was decided.
pub fn run(args: &ExplainArgs) -> Result<Outcome> {
    let hints = match &args.job {
        Some(folder) => grainfall_job::load(folder)?.reading_hints(),
        None => ReadingHints::default(),
    };
    let mut read = Vec::new();
    let mut unread = Vec::new();
    for file in &args.files {
        if file.is_dir() {
            let folder = file.display();
            unread.push(format!("`{folder}` is a folder; give its files, or run `grainfall check {folder}`"));
            continue;
        }
        match grainfall_ingest::read_file(file, &name(file, args.job.as_deref()), &hints) {
            Ok(reading) => read.push(reading.ledger),
            // The others are still worth explaining.
            Err(error) => unread.push(error.to_string()),
        }
    }
    let files: Vec<ExplainedFile<'_>> = read.iter().flat_map(explanation::files).collect();
    if args.json {
        terminal::print_bytes(&explanation::json(files)?)?;
    } else {
        for file in &files {
            terminal::print(screen::text(file).trim_end())?;
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
