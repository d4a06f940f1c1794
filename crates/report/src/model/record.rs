//! What the report was made from: visits, loggers, every input with its hash, every row refused; and the lines to sign.

use grainfall_analysis::evidence::Evidence;
use grainfall_record::{InputFile, Outcome};

use super::shown::{self, Shown};
use super::{Block, Cell, Section, Table, heading, note, number_column, paragraph, text_column};
use super::{completeness, outlook};
use crate::number_format::{NO_VALUE, count};
use crate::{RenderInput, text};

/// Refused rows printed; the others are in `manifest.json`.
const REFUSED_SHOWN: usize = 200;

/// Files that are no logs shown in the report (a folder of photos); all of them are in the manifest.
const OTHERS_SHOWN: usize = 100;

/// The sections.
pub(super) fn sections(input: &RenderInput<'_>, shown: &Shown) -> Vec<Section> {
    let evidence = &input.analysis.evidence;
    let mut record = Section::new("record", 1, "Visits and loggers");
    record.new_page = true;
    record.blocks.push(if evidence.visits.is_empty() {
        note("No visit is on record beyond the times of the readings.")
    } else {
        Block::Table(visits_table(evidence, shown))
    });
    record.blocks.push(if evidence.loggers.is_empty() {
        note("No logger is on record.")
    } else {
        Block::Table(loggers_table(evidence, shown))
    });
    record.blocks.extend(outlook::mould(evidence, shown).map(Block::Table));
    if let Some(summary) = completeness::summary(evidence) {
        record.blocks.push(heading("What a drying log is expected to hold"));
        record.blocks.push(summary);
    }
    let mut inputs = Section::new("inputs", 1, "Inputs");
    let blocks = &mut inputs.blocks;
    blocks.push(paragraph(
        "The same files give the same report, byte for byte. Each file is named with the SHA-256 of its bytes; the \
         manifest beside this report repeats them with those of every output.",
    ));
    blocks.push(Block::Table(inputs_table(input)));
    let refused: usize = input.ledger.inputs.iter().map(|file| file.refused.len()).sum();
    blocks.push(heading("Rows that were not used"));
    if refused == 0 {
        blocks.push(note("Every row of the logger exports was used."));
    } else {
        blocks.push(Block::Table(refused_table(input, refused)));
    }
    vec![record, inputs]
}

/// The lines to sign on.
pub(super) fn sign_off() -> Section {
    let mut section = Section::new("sign-off", 1, "Sign-off");
    section.blocks.push(paragraph(text::SIGN_OFF_TEXT));
    section.blocks.push(Block::SignOff { lines: text::SIGN_OFF.map(str::to_owned).to_vec() });
    section
}

fn visits_table(evidence: &Evidence, shown: &Shown) -> Table {
    let mut table = Table::new(
        "Visits",
        vec![
            text_column("When", 60.0),
            text_column("By", 60.0),
            text_column("Credential", 52.0),
            text_column("Reason", 80.0),
            text_column("Instruments", 70.0),
            text_column("Photos", 56.0),
            text_column("Note", 90.0),
            text_column("Row", 62.0),
        ],
    );
    for visit in &evidence.visits {
        table.push(vec![
            Cell::at(shown.instant(visit.time), visit.time),
            Cell::from(visit.by.as_ref()),
            Cell::from(visit.credential.as_ref()),
            Cell::from(visit.reason.as_ref()),
            Cell::from(visit.instruments.as_ref()),
            Cell::from(visit.photos.as_ref()),
            Cell::from(visit.note.as_ref()),
            shown::row(&visit.row).into(),
        ]);
    }
    table
}

fn loggers_table(evidence: &Evidence, shown: &Shown) -> Table {
    let mut table = Table::new(
        "Loggers with their placements",
        vec![
            text_column("Logger", 66.0),
            text_column("Measured", 76.0),
            text_column("From", 63.0),
            text_column("To", 63.0),
            number_column("Interval", 40.0),
            number_column("Samples", 42.0),
            number_column("Gaps", 28.0),
            text_column("Clock", 66.0),
            text_column("Humidity not used as logged", 56.0),
            text_column("Files", 84.0),
        ],
    );
    for logger in &evidence.loggers {
        let mut humidity = Vec::new();
        if logger.rh_above_100 > 0 {
            humidity.push(format!("{} at 100 %", logger.rh_above_100));
        }
        if logger.rh_refused > 0 {
            humidity.push(format!("{} refused", logger.rh_refused));
        }
        table.push(vec![
            Cell::from(&logger.logger),
            Cell::from(&logger.label),
            logger.first.map_or_else(|| NO_VALUE.into(), |at| Cell::at(shown.instant(at), at)),
            logger.last.map_or_else(|| NO_VALUE.into(), |at| Cell::at(shown.instant(at), at)),
            logger.interval_s.map_or("–".to_owned(), interval).into(),
            logger.samples.to_string().into(),
            logger.gaps.to_string().into(),
            Cell::from(&logger.clock),
            if humidity.is_empty() { "none".to_owned() } else { humidity.join(", ") }.into(),
            logger.files.join(", ").into(),
        ]);
    }
    table
}

fn interval(seconds: u32) -> String {
    if seconds.is_multiple_of(60) { format!("{} min", seconds / 60) } else { format!("{seconds} s") }
}

fn inputs_table(input: &RenderInput<'_>) -> Table {
    let mut table = Table::new(
        "Every file read",
        vec![
            text_column("File", 120.0),
            number_column("Bytes", 46.0),
            text_column("What became of it", 140.0),
            number_column("Rows not used", 44.0),
            text_column("SHA-256", 176.0),
        ],
    );
    for file in input.job_files {
        table.push(vec![
            Cell::from(&file.path),
            file.bytes.to_string().into(),
            "the job's own file".into(),
            "".into(),
            hash(&file.sha256).into(),
        ]);
    }
    let mut others = 0_usize;
    for file in &input.ledger.inputs {
        if matches!(file.outcome, Outcome::NotALog { .. }) {
            others += 1;
            if others > OTHERS_SHOWN {
                continue;
            }
        }
        table.push(vec![
            Cell::from(&file.path),
            file.bytes.to_string().into(),
            outcome(file).into(),
            file.refused.len().to_string().into(),
            hash(&file.sha256).into(),
        ]);
    }
    if others > OTHERS_SHOWN {
        let more = others - OTHERS_SHOWN;
        table.notes.push(format!("{more} more files that are no logs are listed in manifest.json."));
    }
    table
}

/// What became of a file, in words.
fn outcome(file: &InputFile) -> String {
    match &file.outcome {
        Outcome::Read { rows, samples } => {
            format!("{}, {}", count(*rows, "row", "rows"), count(*samples, "sample", "samples"))
        }
        Outcome::NotALog { reason } => format!("not a log: {reason}"),
        Outcome::Refused { reason, remedy } => format!("not read: {reason}; {remedy}"),
        Outcome::SameAs { path } => format!("same bytes as {path}, read once"),
    }
}

/// A hash in groups of eight, so that people can compare it.
fn hash(hash: &str) -> String {
    let characters: Vec<char> = hash.chars().collect();
    characters.chunks(8).map(|group| group.iter().collect::<String>()).collect::<Vec<_>>().join(" ")
}

fn refused_table(input: &RenderInput<'_>, refused: usize) -> Table {
    let mut table = Table::new(
        "Rows and cells that were not used",
        vec![
            text_column("Row", 120.0),
            text_column("Column", 70.0),
            text_column("Found", 120.0),
            text_column("Why it was not used", 190.0),
        ],
    );
    let all = input.ledger.inputs.iter().flat_map(|file| file.refused.iter().map(move |refusal| (file, refusal)));
    for (file, refusal) in all.take(REFUSED_SHOWN) {
        table.push(vec![
            format!("{}:{}", file.path, refusal.row).into(),
            refusal.column.as_deref().unwrap_or("whole row").into(),
            Cell::from(&refusal.found),
            Cell::from(&refusal.reason),
        ]);
    }
    if refused > REFUSED_SHOWN {
        table.notes.push(format!("{} more are listed in manifest.json.", refused - REFUSED_SHOWN));
    }
    table
}
