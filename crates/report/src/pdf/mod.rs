//! The PDF: the model set by the template `assets/report.typ`, archival and accessible, the same bytes every time.
//!
//! The typesetter sees a closed world: the template, the model as `data.json`, the charts as SVG, the embedded faces.
//! No file of the machine, no package, no clock. All text reaches the template as JSON strings, so that whatever a
//! file or a person wrote is printed and never run.
//!
//! Left out: the wording (`model`), the charts (`charts`).

mod compact;
mod row_height;
mod world;

use chrono::{DateTime, Datelike, Timelike, Utc};
use serde_json::Value;
use typst::diag::SourceDiagnostic;
use typst::foundations::{Datetime, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use crate::Error;
use crate::charts::Chart;
use crate::model::{Model, Paper, tool};
use crate::text_filter::{for_embedded_faces, with_break_marks};
use world::ReportWorld;

/// Words of running text longer than this get places to break; shorter ones fit every line and stay whole, so that
/// they can be searched for.
const LONGEST_WORD: usize = 30;

/// Width of a table on the narrower paper.
const TABLE_WIDTH_PT: f64 = 511.0;

/// Left and right margin of a page together.
const MARGINS_PT: f64 = 84.0;

/// Left and right inset of a cell together.
const CELL_INSET_PT: f64 = 7.0;

/// Width of a character of table text, on the generous side.
const CHARACTER_PT: f64 = 4.3;

/// Keys whose values are names, not text.
const NAMES: [&str; 8] = ["id", "link", "anchor", "kind", "mark", "align", "paper", "alt"];

/// The PDF with what was changed to make it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pdf {
    /// The file.
    pub bytes: Vec<u8>,
    /// Characters written out as `[U+XXXX]`.
    pub replaced_characters: u64,
}

/// Sets the model as a PDF/A-2a and PDF/UA-1 file.
///
/// # Arguments
/// * `charts`: the charts the model's chart blocks count.
/// * `clock`: the report's clock; the file carries it as its date.
///
/// # Errors
/// [`Error::Pdf`] when the typesetter refuses.
pub fn pdf(model: &Model, charts: &[Chart], clock: DateTime<Utc>) -> Result<Pdf, Error> {
    let (data, replaced_characters) = data(model)?;
    Ok(Pdf { bytes: set(data, charts, clock)?, replaced_characters })
}

/// Lets go of what the typesetter remembers of the reports before the last. A program that makes one report after the
/// other calls it after each, or it grows; what is remembered of the last makes the next one of the same job quicker and
/// changes nothing in it.
pub fn forget_earlier() {
    typst::comemo::evict(1);
}

/// The file of what the template reads.
fn set(data: Vec<u8>, charts: &[Chart], clock: DateTime<Utc>) -> Result<Vec<u8>, Error> {
    let world = ReportWorld::new(data, charts);
    let document: PagedDocument = typst::compile(&world).output.map_err(|faults| refused(&faults))?;
    let bytes = typst_pdf::pdf(&document, &options(clock)?).map_err(|faults| refused(&faults))?;
    compact::compact(&bytes)
}

fn options(clock: DateTime<Utc>) -> Result<PdfOptions, Error> {
    let standards = PdfStandards::new(&[PdfStandard::A_2a, PdfStandard::Ua_1])
        .map_err(|fault| Error::Pdf { reason: fault.message().to_string() })?;
    Ok(PdfOptions {
        ident: Smart::Auto,
        creator: Smart::Custom(Some(tool())),
        timestamp: timestamp(clock),
        page_ranges: None,
        standards,
        tagged: true,
        pretty: false,
    })
}

fn timestamp(clock: DateTime<Utc>) -> Option<Timestamp> {
    let part = |value: u32| u8::try_from(value).ok();
    let datetime = Datetime::from_ymd_hms(
        clock.year(),
        part(clock.month())?,
        part(clock.day())?,
        part(clock.hour())?,
        part(clock.minute())?,
        part(clock.second())?,
    )?;
    Some(Timestamp::new_utc(datetime))
}

fn refused(faults: &[SourceDiagnostic]) -> Error {
    let reasons: Vec<String> = faults.iter().map(|fault| fault.message.to_string()).collect();
    Error::Pdf { reason: reasons.join("; ") }
}

/// The model as the template reads it, and how many characters were written out.
fn data(model: &Model) -> Result<(Vec<u8>, u64), Error> {
    let json = |fault: serde_json::Error| Error::Json { document: "data.json", reason: fault.to_string() };
    let mut value = serde_json::to_value(model).map_err(json)?;
    let title = for_embedded_faces(&model.title);
    let replaced = filter(&mut value, table_width_pt(model.paper));
    if let Value::Object(fields) = &mut value {
        fields.insert("document_title".to_owned(), Value::String(title.text));
        let words = serde_json::to_value(model.words.section("pdf")).map_err(json)?;
        fields.insert("words".to_owned(), words);
        fields.insert("language".to_owned(), Value::String(model.words.code().to_owned()));
        fields.insert("table_size_pt".to_owned(), row_height::SIZE_PT.into());
        fields.insert("replaced".to_owned(), Value::String(model.words.replaced(replaced)));
    }
    Ok((serde_json::to_vec(&value).map_err(json)?, replaced))
}

/// Width of a table, as wide as the text of a page.
///
/// # Source
/// A4 is 210 mm wide (ISO 216), letter paper 8.5 in; a point is 1/72 in.
fn table_width_pt(paper: Paper) -> f64 {
    let paper_pt = match paper {
        Paper::UsLetter => 8.5 * 72.0,
        Paper::A4 => 210.0 / 25.4 * 72.0,
    };
    paper_pt - MARGINS_PT
}

/// Share of each column of the width of its table.
fn shares(columns: Option<&Value>) -> Vec<f64> {
    let shares: Vec<f64> =
        columns.and_then(Value::as_array).into_iter().flatten().filter_map(|c| c["share"].as_f64()).collect();
    let all: f64 = shares.iter().sum();
    shares.into_iter().map(|share| share / all).collect()
}

/// How long a word may be in a column before it needs places to break.
fn longest_word(share: f64) -> usize {
    // Clamped to 3 to 200, so that nothing is cut off but the fraction.
    ((share * TABLE_WIDTH_PT - CELL_INSET_PT) / CHARACTER_PT).clamp(3.0, 200.0) as usize
}

/// Filters the cells of a row, each for the width of its column, and says how many lines high the row is where that
/// can be told.
fn filter_row(row: &mut Value, shares: &[f64], width_pt: f64) -> u64 {
    let Value::Object(fields) = row else { return 0 };
    let mut replaced = fields.get_mut("group").map_or(0, |group| filter(group, width_pt));
    let cells = fields.get_mut("cells").and_then(Value::as_array_mut).into_iter().flatten();
    for (cell, share) in cells.zip(shares) {
        let texts = match cell {
            Value::String(text) => vec![text],
            Value::Object(fields) => fields
                .iter_mut()
                .filter(|(key, _)| *key != "link")
                .filter_map(|(_, value)| if let Value::String(text) = value { Some(text) } else { None })
                .collect(),
            _ => Vec::new(),
        };
        for text in texts {
            let filtered = for_embedded_faces(text);
            *text = with_break_marks(&filtered.text, longest_word(*share));
            replaced += filtered.replaced;
        }
    }
    let cells = fields.get("cells").and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
    let rooms_pt: Vec<f64> = shares.iter().map(|share| share * width_pt - CELL_INSET_PT).collect();
    if let Some(lines) = row_height::lines(cells, &rooms_pt) {
        fields.insert("lines".to_owned(), lines.into());
    }
    replaced
}

/// Filters every text below `value` in place; returns the number of characters written out.
///
/// # Arguments
/// * `width_pt`: width of a table.
fn filter(value: &mut Value, width_pt: f64) -> u64 {
    match value {
        Value::String(text) => {
            let filtered = for_embedded_faces(text);
            *text = with_break_marks(&filtered.text, LONGEST_WORD);
            filtered.replaced
        }
        Value::Array(items) => items.iter_mut().map(|item| filter(item, width_pt)).sum(),
        Value::Object(fields) if fields.get("kind").is_some_and(|kind| kind == "table") => {
            let shares = shares(fields.get("columns"));
            let rows = fields.get_mut("rows").and_then(Value::as_array_mut).into_iter().flatten();
            let cells: u64 = rows.map(|row| filter_row(row, &shares, width_pt)).sum();
            let rest = fields.iter_mut().filter(|(key, _)| *key != "rows" && *key != "kind");
            cells + rest.map(|(_, value)| filter(value, width_pt)).sum::<u64>()
        }
        Value::Object(fields) => fields
            .iter_mut()
            .map(|(key, value)| match value {
                Value::String(text) if key == "alt" => {
                    let filtered = for_embedded_faces(text);
                    *text = filtered.text;
                    filtered.replaced
                }
                Value::String(_) if NAMES.contains(&key.as_str()) => 0,
                value => filter(value, width_pt),
            })
            .sum(),
        Value::Null | Value::Bool(_) | Value::Number(_) => 0,
    }
}

#[cfg(test)]
mod tests {
    use grainfall_record::{Ledger, TidyFrame};

    use super::*;
    use crate::sample_evidence::sample;
    use crate::{RenderInput, Settings, UnitSystem, charts, model};

    /// Takes what is known of the heights of rows away; returns how many rows had it, and how many there are.
    fn forget_heights(value: &mut Value) -> (usize, usize) {
        match value {
            Value::Array(items) => items.iter_mut().map(forget_heights).fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1)),
            Value::Object(fields) if fields.contains_key("cells") => (usize::from(fields.remove("lines").is_some()), 1),
            Value::Object(fields) => {
                fields.values_mut().map(forget_heights).fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1))
            }
            _ => (0, 0),
        }
    }

    /// The heights are those that the typesetter finds.
    #[test]
    fn rows_of_known_height_stand_where_others_do() {
        for units in UnitSystem::ALL {
            let analysis = sample();
            let settings = Settings { units, ..Settings::default() };
            let (frame, ledger) = (TidyFrame::default(), Ledger::default());
            let input = RenderInput {
                analysis: &analysis,
                frame: &frame,
                ledger: &ledger,
                job_files: &[],
                settings: &settings,
            };
            let charts = charts::draw_all(&analysis, units).unwrap();
            let (known, _) = data(&model::build(&input, &charts).unwrap()).unwrap();
            let mut value: Value = serde_json::from_slice(&known).unwrap();
            let (told, rows) = forget_heights(&mut value);
            assert!(told * 2 > rows, "the height of {told} of {rows} rows is known in {units}");
            let clock = analysis.evidence.clock;
            let found = set(serde_json::to_vec(&value).unwrap(), &charts, clock).unwrap();
            assert!(set(known, &charts, clock).unwrap() == found, "the file differs in {units}");
        }
    }
}
