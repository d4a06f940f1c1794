//! Open-document spreadsheets: the tables of `content.xml`, read once from start to end.
//!
//! Repeated rows and cells are written as a count in this format. Empty ones are skipped however many are claimed;
//! filled ones are counted against the bounds of a sheet.
//!
//! # Source
//! OASIS Open Document Format 1.2, part 1, chapter 9 (tables) and 19.385 (value types).

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::cells::{Cells, DaysFrom};
use super::unpack::{self, Shut};

/// Columns of a sheet.
const MOST_COLUMNS: u32 = 16_384;
/// Filled cells of a spreadsheet that may stand in it as a count only: a few bytes could claim millions.
const MOST_REPEATED: u64 = 1_000_000;

fn damaged() -> Shut {
    Shut::new(
        "a damaged or incomplete spreadsheet (ods)",
        "copy or download it again, or open it and save the table as CSV",
    )
}

/// The sheets of an open-document spreadsheet.
///
/// # Errors
/// When it is damaged or larger than is read.
pub(crate) fn sheets(bytes: &[u8]) -> Result<Vec<Cells>, Shut> {
    let content = unpack::part(bytes, "content.xml").ok_or_else(damaged)?;
    let content = String::from_utf8(content).map_err(|_| damaged())?;
    let mut reader = Reader::from_str(&content);
    let config = reader.config_mut();
    config.expand_empty_elements = true;
    config.check_end_names = false;
    let mut sheets: Vec<Cells> = Vec::new();
    let mut left = MOST_REPEATED;
    let mut ended = false;
    loop {
        match reader.read_event().map_err(|_| damaged())? {
            Event::Start(start) if start.local_name().as_ref() == "table" => {
                let name = attribute(&start, "table:name").unwrap_or_default();
                sheets.push(table(&mut reader, &name, &mut left)?);
            }
            Event::End(end) if end.local_name().as_ref() == "document-content" => ended = true,
            Event::Eof => break,
            _ => {}
        }
    }
    if ended { Ok(sheets) } else { Err(damaged()) }
}

/// Reads one table up to its end. `left` is how many more cells may be repeats.
fn table(reader: &mut Reader<&[u8]>, name: &str, left: &mut u64) -> Result<Cells, Shut> {
    let mut cells = Cells::new(name, DaysFrom::Y1900);
    let mut row: u32 = 0;
    let mut depth = 0_usize;
    loop {
        match reader.read_event().map_err(|_| damaged())? {
            Event::Start(start) if start.local_name().as_ref() == "table-row" => {
                let repeats = count(&start, "table:number-rows-repeated");
                let (found, repeated) = read_row(reader)?;
                if !found.is_empty() {
                    let more = u64::from(repeats.saturating_sub(1)).saturating_mul(found.len() as u64);
                    *left = left.checked_sub(more.saturating_add(repeated)).ok_or_else(|| {
                        Shut::new(
                            format!("sheet `{name}` repeats filled cells more than {MOST_REPEATED} times"),
                            "delete what does not belong to the table, or save the table as CSV",
                        )
                    })?;
                    for again in 0..repeats {
                        for (column, value) in &found {
                            put(&mut cells, row.saturating_add(again), *column, value)?;
                        }
                    }
                }
                row = row.saturating_add(repeats);
            }
            // A table within a cell's drawing.
            Event::Start(start) if start.local_name().as_ref() == "table" => depth += 1,
            Event::End(end) if end.local_name().as_ref() == "table" => {
                if depth == 0 {
                    return Ok(cells);
                }
                depth -= 1;
            }
            Event::Eof => return Err(damaged()),
            _ => {}
        }
    }
}

/// What a cell holds.
#[derive(Debug, Clone)]
enum Value {
    Number(f64),
    Text(String),
    /// A length of time in days.
    Length(f64),
}

fn put(cells: &mut Cells, row: u32, column: u32, value: &Value) -> Result<(), Shut> {
    match value {
        Value::Number(number) => cells.number(row, column, *number),
        Value::Text(text) => cells.text(row, column, text),
        Value::Length(days) => cells.length(row, column, *days),
    }
}

/// The filled cells of a row, with their columns, and how many of them are repeats.
fn read_row(reader: &mut Reader<&[u8]>) -> Result<(Vec<(u32, Value)>, u64), Shut> {
    let mut found = Vec::new();
    let mut repeated = 0;
    let mut column: u32 = 0;
    loop {
        match reader.read_event().map_err(|_| damaged())? {
            Event::Start(start) if matches!(start.local_name().as_ref(), "table-cell" | "covered-table-cell") => {
                let repeats = count(&start, "table:number-columns-repeated");
                if let Some(value) = read_cell(reader, &start)? {
                    repeated += u64::from(repeats.saturating_sub(1));
                    for again in 0..repeats.min(MOST_COLUMNS) {
                        if column.saturating_add(again) < MOST_COLUMNS {
                            found.push((column + again, value.clone()));
                        }
                    }
                }
                column = column.saturating_add(repeats);
            }
            Event::End(end) if end.local_name().as_ref() == "table-row" => return Ok((found, repeated)),
            Event::Eof => return Err(damaged()),
            _ => {}
        }
    }
}

/// One cell, up to its end. Its value stands in its attributes; a text may stand in its paragraphs.
fn read_cell(reader: &mut Reader<&[u8]>, start: &BytesStart<'_>) -> Result<Option<Value>, Shut> {
    let kind = attribute(start, "office:value-type").unwrap_or_default();
    let shown = paragraphs(reader)?;
    let value = match kind.as_str() {
        "float" | "percentage" | "currency" => {
            attribute(start, "office:value").and_then(|value| value.parse().ok()).map(Value::Number)
        }
        // Dates are written as ISO 8601, with or without a time.
        "date" => attribute(start, "office:date-value").map(Value::Text),
        "time" => attribute(start, "office:time-value").and_then(|value| days(&value)).map(Value::Length),
        "boolean" => attribute(start, "office:boolean-value").map(Value::Text),
        "string" => attribute(start, "office:string-value").or_else(|| Some(shown.clone())).map(Value::Text),
        _ => None,
    };
    let text = (!kind.is_empty() && !shown.trim().is_empty()).then_some(Value::Text(shown));
    Ok(value.or(text).filter(|value| !matches!(value, Value::Text(text) if text.trim().is_empty())))
}

/// The text of a cell's paragraphs; notes and drawings in it are left out.
fn paragraphs(reader: &mut Reader<&[u8]>) -> Result<String, Shut> {
    let mut text = String::new();
    let (mut depth, mut aside) = (0_usize, 0_usize);
    loop {
        match reader.read_event().map_err(|_| damaged())? {
            Event::Start(start) => {
                depth += 1;
                match start.local_name().as_ref() {
                    "annotation" | "shapes" | "frame" | "table" => aside += 1,
                    _ if aside > 0 => {}
                    "p" if !text.is_empty() => text.push(' '),
                    "s" => {
                        for _ in 0..count(&start, "text:c").min(64) {
                            text.push(' ');
                        }
                    }
                    "tab" | "line-break" => text.push(' '),
                    _ => {}
                }
            }
            Event::End(end) => {
                if depth == 0 {
                    return Ok(text);
                }
                depth -= 1;
                if matches!(end.local_name().as_ref(), "annotation" | "shapes" | "frame" | "table") {
                    aside = aside.saturating_sub(1);
                }
            }
            Event::Text(part) if aside == 0 => text.push_str(&part.xml10_content()),
            Event::CData(part) if aside == 0 => text.push_str(part.as_ref()),
            Event::GeneralRef(reference) if aside == 0 => {
                let named = quick_xml::escape::resolve_xml_entity(reference.as_ref());
                match (named, reference.resolve_char_ref()) {
                    (Some(named), _) => text.push_str(named),
                    (None, Ok(Some(character))) => text.push(character),
                    _ => {}
                }
            }
            Event::Eof => return Err(damaged()),
            _ => {}
        }
    }
}

fn attribute(start: &BytesStart<'_>, name: &str) -> Option<String> {
    let found = start.attributes().with_checks(false).flatten().find(|attribute| attribute.key.as_ref() == name)?;
    Some(quick_xml::escape::unescape(&found.value).ok()?.into_owned())
}

/// How often something repeats: once where nothing is said.
fn count(start: &BytesStart<'_>, name: &str) -> u32 {
    attribute(start, name).and_then(|value| value.trim().parse().ok()).unwrap_or(1)
}

/// An ISO 8601 length such as `PT09H17M00.5S` in days.
fn days(text: &str) -> Option<f64> {
    let (negative, text) = text.strip_prefix('-').map_or((false, text), |rest| (true, rest));
    let (day, time) = text.strip_prefix('P')?.split_once('T')?;
    let mut seconds = if day.is_empty() { 0.0 } else { day.strip_suffix('D')?.parse::<f64>().ok()? * 86_400.0 };
    let mut rest = time;
    for (mark, unit) in [('H', 3600.0), ('M', 60.0), ('S', 1.0)] {
        if let Some((value, after)) = rest.split_once(mark) {
            seconds += value.replace(',', ".").parse::<f64>().ok()? * unit;
            rest = after;
        }
    }
    let value = seconds / 86_400.0;
    rest.is_empty().then_some(if negative { -value } else { value })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_of_time() {
        assert_eq!(days("PT12H00M00S"), Some(0.5));
        assert_eq!(days("PT30H00M00S"), Some(1.25));
        assert_eq!(days("-PT6H0M0S"), Some(-0.25));
        assert_eq!(days("12:00"), None);
    }
}
