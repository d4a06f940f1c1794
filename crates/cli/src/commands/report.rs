//! `report`: everything into `report/`, whole or not at all.

use anyhow::{Context, Result};
use grainfall_keep::Store;
use grainfall_report::manifest::{MANIFEST, SIGNATURE};
use grainfall_report::{Outputs, Settings, Stage, Step, UnitSystem, Workbook, render_again, write_outputs};

use crate::args::ReportArgs;
use crate::commands::check;
use crate::exit_code::Outcome;
use crate::folder::{self, Judged};
use crate::progress::Progress;
use crate::signature;
use crate::terminal;
use crate::turn;

/// Name of the folder everything is written into.
pub const REPORT: &str = "report";

/// Reads, judges, draws and writes.
pub fn run(args: &ReportArgs) -> Result<Outcome> {
    // Asked for before the work, so that a wrong password costs nothing.
    let key = args.sign.as_deref().map(signature::secret_key).transpose()?;
    folder::check_is_folder(&args.folder)?;
    let target = args.folder.join(REPORT);
    let turn = turn::wait(&args.folder)?;
    let progress = Progress::start("reading");
    let store = args.kept.store()?;
    let judged = folder::judge(&args.folder, args.as_of.as_deref(), args.style.style(), &store, &progress)?;
    let workbook = if args.workbook { Workbook::Xlsx } else { Workbook::None };
    let mut outputs = outputs(&judged, args.units.into(), workbook, &store, &progress)?;
    if let Some(key) = &key {
        let manifest = outputs.files.get(MANIFEST).map(Vec::as_slice).unwrap_or_default();
        let signed = signature::sign(manifest, key, &folder::folder_name(&args.folder))?;
        outputs.files.insert(SIGNATURE.to_owned(), signed);
    }
    progress.say("writing".to_owned());
    let written = progress.timings.of("writing", || write_outputs(&target, &outputs));
    written.with_context(|| format!("`{}` was not written", target.display()))?;
    drop(turn);
    store.tidy();
    let timings = progress.timings.words();
    drop(progress);
    if args.timings {
        terminal::note(&timings);
    }
    if args.json {
        let summary = outputs.files.get("summary.json").map(Vec::as_slice).unwrap_or_default();
        terminal::print_bytes(summary)?;
    } else {
        terminal::print(&check::first_line(&judged))?;
        terminal::print(&format!("{}", target.join("report.pdf").display()))?;
        terminal::print(&format!("{}", target.join("report.html").display()))?;
    }
    let unread = check::refused_inputs(&judged);
    if unread > 0 {
        terminal::note(&format!(
            "{unread} file(s) could not be read; see `missing` in the report or run `grainfall check {}`",
            args.folder.display()
        ));
    }
    Ok(Outcome::Done)
}

/// Every file of the report of a judged folder; charts that `store` knows are not drawn again.
pub fn outputs(
    judged: &Judged,
    units: UnitSystem,
    workbook: Workbook,
    store: &Store,
    progress: &Progress,
) -> Result<Outputs> {
    let settings = Settings { units, as_of: judged.as_of, workbook, words: judged.job.zone.words };
    let told = |step| match step {
        Step::Begins(stage) => {
            progress.say(words(stage).to_owned());
            progress.timings.begin(words(stage));
        }
        Step::Ends(stage) => progress.timings.end(words(stage)),
    };
    Ok(render_again(&judged.render_input(&settings), store, &told)?)
}

fn words(stage: Stage) -> &'static str {
    match stage {
        Stage::Charts => "drawing charts",
        Stage::Pdf => "setting the PDF",
        Stage::Page => "writing the page",
        Stage::Images => "turning charts into images",
        Stage::Tables => "writing tables",
        Stage::Manifest => "hashing",
    }
}
