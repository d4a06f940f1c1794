//! The PDF: the model set by the template `assets/report.typ`, archival and accessible, the same bytes every time.
//!
//! The typesetter sees a closed world: the template, the model as `data.json`, the charts as SVG, the embedded faces.
//! No file of the machine, no package, no clock. All text reaches the template as JSON strings, so that whatever a
//! file or a person wrote is printed and never run.
//!
//! Left out: the wording (`model`), the charts (`charts`).

mod compact;
mod world;

use chrono::{DateTime, Datelike, Timelike, Utc};
use serde_json::Value;
use typst::diag::SourceDiagnostic;
use typst::foundations::{Datetime, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use crate::Error;
use crate::charts::Chart;
use crate::model::{Model, tool};
use crate::text_filter::{for_embedded_faces, with_break_marks};
use world::ReportWorld;

/// Words of running text longer than this get places to break; shorter ones fit every line and stay whole, so that
/// they can be searched for.
const LONGEST_WORD: usize = 30;

/// Width of a table on the narrower paper.
const TABLE_WIDTH_PT: f64 = 511.0;

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
    let world = ReportWorld::new(data, charts);
    let document: PagedDocument = typst::compile(&world).output.map_err(|faults| refused(&faults))?;
    let bytes = typst_pdf::pdf(&document, &options(clock)?).map_err(|faults| refused(&faults))?;
    let bytes = compact::compact(&bytes)?;
    // What the typesetter remembers of earlier documents would otherwise grow with every report.
    typst::comemo::evict(1);
    Ok(Pdf { bytes, replaced_characters })
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
    let replaced = filter(&mut value);
    if let Value::Object(fields) = &mut value {
        fields.insert("document_title".to_owned(), Value::String(title.text));
        let words = serde_json::to_value(model.words.section("pdf")).map_err(json)?;
        fields.insert("words".to_owned(), words);
        fields.insert("language".to_owned(), Value::String(model.words.language().code().to_owned()));
        fields.insert("replaced".to_owned(), Value::String(model.words.replaced(replaced)));
    }
    Ok((serde_json::to_vec(&value).map_err(json)?, replaced))
}

/// How long a word may be in each column before it needs places to break.
fn longest_words(columns: Option<&Value>) -> Vec<usize> {
    let shares: Vec<f64> =
        columns.and_then(Value::as_array).into_iter().flatten().filter_map(|c| c["share"].as_f64()).collect();
    let all: f64 = shares.iter().sum();
    let characters = |share: f64| (share / all * TABLE_WIDTH_PT - CELL_INSET_PT) / CHARACTER_PT;
    // Clamped to 3 to 200, so that nothing is cut off but the fraction.
    shares.into_iter().map(|share| characters(share).clamp(3.0, 200.0) as usize).collect()
}

/// Filters the cells of a row, each for the width of its column.
fn filter_row(row: &mut Value, limits: &[usize]) -> u64 {
    let Value::Object(fields) = row else { return 0 };
    let mut replaced = fields.get_mut("group").map_or(0, filter);
    let cells = fields.get_mut("cells").and_then(Value::as_array_mut).into_iter().flatten();
    for (cell, limit) in cells.zip(limits) {
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
            *text = with_break_marks(&filtered.text, *limit);
            replaced += filtered.replaced;
        }
    }
    replaced
}

/// Filters every text below `value` in place; returns the number of characters written out.
fn filter(value: &mut Value) -> u64 {
    match value {
        Value::String(text) => {
            let filtered = for_embedded_faces(text);
            *text = with_break_marks(&filtered.text, LONGEST_WORD);
            filtered.replaced
        }
        Value::Array(items) => items.iter_mut().map(filter).sum(),
        Value::Object(fields) if fields.get("kind").is_some_and(|kind| kind == "table") => {
            let limits = longest_words(fields.get("columns"));
            let rows = fields.get_mut("rows").and_then(Value::as_array_mut).into_iter().flatten();
            let cells: u64 = rows.map(|row| filter_row(row, &limits)).sum();
            let rest = fields.iter_mut().filter(|(key, _)| *key != "rows" && *key != "kind");
            cells + rest.map(|(_, value)| filter(value)).sum::<u64>()
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
                value => filter(value),
            })
            .sum(),
        Value::Null | Value::Bool(_) | Value::Number(_) => 0,
    }
}
