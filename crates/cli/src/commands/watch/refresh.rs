//! One fresh report of one job.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::Instant;

use anyhow::{Context, Result, anyhow};
use grainfall_keep::Store;

use grainfall_report::{Settings, UnitSystem, manifest, pdf, render_again, write_outputs, write_summary_first};

use super::state::State;
use crate::args::Style;
use crate::commands::report::REPORT;
use crate::folder;
use crate::progress::Progress;
use crate::turn;

/// A report that was made fresh.
pub struct Fresh {
    /// What it says.
    pub state: State,
    /// When its summary was in place.
    pub summary_at: Instant,
    /// When all of it was in place.
    pub report_at: Instant,
}

/// What came of it.
pub enum Refreshed {
    /// Nothing: the report was current already.
    Current,
    /// Nothing: another run is at work on the folder.
    Busy,
    /// A new report.
    Fresh(Fresh),
}

/// Makes the report of a job fresh. A fault in the program itself is an error like any other, so that one job cannot
/// end the watch over all; nor does it wait where another run is at work, so that the other jobs need not.
pub fn refresh(folder: &Path, shown: (UnitSystem, Style), store: &Store) -> Result<Refreshed> {
    catch_unwind(AssertUnwindSafe(|| attempt(folder, shown, store)))
        .unwrap_or_else(|_| Err(anyhow!("a fault in this program; run `grainfall report` on the folder to see it")))
}

fn attempt(folder: &Path, (units, style): (UnitSystem, Style), store: &Store) -> Result<Refreshed> {
    folder::check_is_folder(folder)?;
    let target = folder.join(REPORT);
    let Some(_turn) = turn::now(folder)? else { return Ok(Refreshed::Busy) };
    let progress = Progress::start("reading");
    let judged = folder::judge(folder, None, style, store, &progress)?;
    let settings = Settings { units, words: style.words, ..Settings::default() };
    let input = judged.render_input(&settings);
    if manifest::is_current(&target, &input) {
        return Ok(Refreshed::Current);
    }
    let is_first = write_summary_first(&target, &input)?;
    let summary_at = Instant::now();
    progress.say("making the report".to_owned());
    let outputs = render_again(&input, store, &|_| {})?;
    write_outputs(&target, &outputs).with_context(|| format!("`{}` was not written", target.display()))?;
    let report_at = Instant::now();
    pdf::forget_earlier();
    let document = |name: &str| outputs.files.get(name).map(Vec::as_slice).unwrap_or_default();
    let state = State::of_documents(document("summary.json"), document(manifest::MANIFEST))
        .context("the report's own documents are no JSON")?;
    Ok(Refreshed::Fresh(Fresh { state, summary_at: if is_first { summary_at } else { report_at }, report_at }))
}
