//! What the report was made from: visits, loggers, every input with its hash, every row refused; and the lines to sign.

use grainfall_analysis::evidence::Evidence;
use grainfall_record::{InputFile, Outcome};

use super::shown::{self, Shown};
use super::{Block, Cell, Section, Table, heading, note, number_column, paragraph, text_column};
use super::{completeness, outlook};
use crate::RenderInput;
use crate::number_format::NO_VALUE;
use crate::words::{Words, say};

/// Refused rows printed; the others are in `manifest.json`.
const REFUSED_SHOWN: usize = 200;

/// Files that are no logs shown in the report (a folder of photos); all of them are in the manifest.
const OTHERS_SHOWN: usize = 100;

/// The sections.
pub(super) fn sections(input: &RenderInput<'_>, shown: &Shown) -> Vec<Section> {
    let evidence = &input.analysis.evidence;
    let mut record = Section::new("record", 1, say!(shown.words, "record.visits_and_loggers"));
    record.blocks.push(if evidence.visits.is_empty() {
        note(say!(shown.words, "record.no_visit_is_on_record_beyond"))
    } else {
        Block::Table(visits_table(evidence, shown))
    });
    record.blocks.push(if evidence.loggers.is_empty() {
        note(say!(shown.words, "record.no_logger_is_on_record"))
    } else {
        Block::Table(loggers_table(evidence, shown))
    });
    record.blocks.extend(outlook::mould(evidence, shown).map(Block::Table));
    if let Some(summary) = completeness::summary(shown.words, evidence) {
        record.blocks.push(heading(say!(shown.words, "record.what_a_drying_log_is_expected")));
        record.blocks.push(summary);
    }
    let mut inputs = Section::new("inputs", 1, say!(shown.words, "record.inputs"));
    let blocks = &mut inputs.blocks;
    blocks.push(paragraph(say!(shown.words, "record.the_same_files_give_the_same")));
    blocks.push(Block::Table(inputs_table(shown.words, input)));
    let refused: usize = input.ledger.inputs.iter().map(|file| file.refused.len()).sum();
    blocks.push(heading(say!(shown.words, "record.rows_that_were_not_used")));
    if refused == 0 {
        blocks.push(note(say!(shown.words, "record.every_row_of_the_logger_exports")));
    } else {
        blocks.push(Block::Table(refused_table(shown.words, input, refused)));
    }
    vec![record, inputs]
}

/// The lines to sign on.
pub(super) fn sign_off(words: Words) -> Section {
    let mut section = Section::new("sign-off", 1, say!(words, "record.sign_off"));
    section.blocks.push(paragraph(say!(words, "text.sign_off_text")));
    section.blocks.push(Block::SignOff { lines: words.rows("sign_off").concat() });
    section
}

fn visits_table(evidence: &Evidence, shown: &Shown) -> Table {
    let mut table = Table::new(
        say!(shown.words, "record.visits"),
        vec![
            text_column(say!(shown.words, "record.when"), 60.0),
            text_column(say!(shown.words, "record.by"), 28.0),
            text_column(say!(shown.words, "record.credential"), 84.0),
            text_column(say!(shown.words, "record.reason"), 80.0),
            text_column(say!(shown.words, "record.instruments"), 70.0),
            text_column(say!(shown.words, "record.photos"), 56.0),
            text_column(say!(shown.words, "record.note"), 90.0),
            text_column(say!(shown.words, "record.row"), 62.0),
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
        say!(shown.words, "record.loggers_with_their_placements"),
        vec![
            text_column(say!(shown.words, "record.logger"), 66.0),
            text_column(say!(shown.words, "record.measured"), 76.0),
            text_column(say!(shown.words, "record.from"), 63.0),
            text_column(say!(shown.words, "record.to"), 63.0),
            number_column(say!(shown.words, "record.interval"), 40.0),
            number_column(say!(shown.words, "record.samples"), 42.0),
            number_column(say!(shown.words, "record.gaps"), 28.0),
            text_column(say!(shown.words, "record.clock"), 66.0),
            text_column(say!(shown.words, "record.humidity_not_used_as_logged"), 56.0),
            text_column(say!(shown.words, "record.files"), 84.0),
        ],
    );
    for logger in &evidence.loggers {
        let mut humidity = Vec::new();
        if logger.rh_above_100 > 0 {
            humidity.push(say!(shown.words, "record.at_100", rh_above_100 = logger.rh_above_100));
        }
        if logger.rh_refused > 0 {
            humidity.push(say!(shown.words, "record.refused", rh_refused = logger.rh_refused));
        }
        table.push(vec![
            Cell::from(&logger.logger),
            Cell::from(&logger.label),
            logger.first.map_or_else(|| NO_VALUE.into(), |at| Cell::at(shown.instant(at), at)),
            logger.last.map_or_else(|| NO_VALUE.into(), |at| Cell::at(shown.instant(at), at)),
            logger.interval_s.map_or(NO_VALUE.to_owned(), |seconds| interval(shown.words, seconds)).into(),
            logger.samples.to_string().into(),
            logger.gaps.to_string().into(),
            Cell::from(&logger.clock),
            if humidity.is_empty() { say!(shown.words, "record.none").to_owned() } else { humidity.join(", ") }.into(),
            logger.files.join(", ").into(),
        ]);
    }
    table
}

fn interval(words: Words, seconds: u32) -> String {
    if seconds.is_multiple_of(60) { say!(words, "record.min", seconds = seconds / 60) } else { format!("{seconds} s") }
}

fn inputs_table(words: Words, input: &RenderInput<'_>) -> Table {
    let mut table = Table::new(
        say!(words, "record.every_file_read"),
        vec![
            text_column(say!(words, "record.file"), 120.0),
            number_column(say!(words, "record.bytes"), 46.0),
            text_column(say!(words, "record.what_became_of_it"), 140.0),
            number_column(say!(words, "record.rows_not_used"), 44.0),
            text_column("SHA-256", 176.0),
        ],
    );
    for file in input.job_files {
        table.push(vec![
            Cell::from(&file.path),
            file.bytes.to_string().into(),
            say!(words, "record.the_job_s_own_file").into(),
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
            outcome(words, file).into(),
            file.refused.len().to_string().into(),
            hash(&file.sha256).into(),
        ]);
    }
    if others > OTHERS_SHOWN {
        let more = others - OTHERS_SHOWN;
        table.notes.push(say!(words, "record.more_files_that_are_no_logs", more = more));
    }
    table
}

/// What became of a file, in words.
fn outcome(words: Words, file: &InputFile) -> String {
    match &file.outcome {
        Outcome::Read { rows, samples } => {
            format!("{}, {}", say!(words, "count.row", count = *rows), say!(words, "count.sample", count = *samples))
        }
        Outcome::NotALog { reason } => say!(words, "record.not_a_log", reason = reason),
        Outcome::Refused { reason, remedy } => say!(words, "record.not_read", reason = reason, remedy = remedy),
        Outcome::SameAs { path } => say!(words, "record.same_bytes_as_read_once", path = path),
    }
}

/// A hash in groups of eight, so that people can compare it.
fn hash(hash: &str) -> String {
    let characters: Vec<char> = hash.chars().collect();
    characters.chunks(8).map(|group| group.iter().collect::<String>()).collect::<Vec<_>>().join(" ")
}

fn refused_table(words: Words, input: &RenderInput<'_>, refused: usize) -> Table {
    let mut table = Table::new(
        say!(words, "record.rows_and_cells_that_were_not"),
        vec![
            text_column(say!(words, "record.row"), 120.0),
            text_column(say!(words, "record.column"), 70.0),
            text_column(say!(words, "record.found"), 120.0),
            text_column(say!(words, "record.why_it_was_not_used"), 190.0),
        ],
    );
    let all = input.ledger.inputs.iter().flat_map(|file| file.refused.iter().map(move |refusal| (file, refusal)));
    for (file, refusal) in all.take(REFUSED_SHOWN) {
        table.push(vec![
            format!("{}:{}", file.path, refusal.row).into(),
            refusal.column.as_deref().unwrap_or(say!(words, "record.whole_row")).into(),
            Cell::from(&refusal.found),
            Cell::from(&refusal.reason),
        ]);
    }
    if refused > REFUSED_SHOWN {
        table.notes.push(say!(words, "record.more_are_listed_in_manifest_json", refused = refused - REFUSED_SHOWN));
    }
    table
}
