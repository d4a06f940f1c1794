//! Workbooks of the old binary kind and of the open kind, as small as they can be.

use std::fmt::Write as _;
use std::io::{Cursor, Write as _};

use zip::write::SimpleFileOptions;

use crate::write::{Cell, Sheet, Value};

/// Formats of the cells of dates that are written; a cell of one of them has the number of its place, from 1.
const FORMATS: [&str; 3] = ["yyyy-mm-dd hh:mm:ss", "dd.mm.yyyy", "hh:mm"];

/// What a cell of a workbook with typed cells holds; text otherwise, and nothing where there is none.
fn stored(cell: &Cell, typed: bool) -> Option<Value> {
    match cell.value {
        value @ (Value::Number(_) | Value::Moment(..)) if typed => Some(value),
        _ => (!cell.text.is_empty()).then_some(Value::Text),
    }
}

/// A workbook of BIFF8 records in a compound file.
///
/// # Source
/// Microsoft Open Specifications MS-XLS: BOF 2.4.21, BoundSheet8 2.4.28, CodePage 2.4.52, Dimensions 2.4.90, EOF 2.4.103,
/// Format 2.4.126, Label 2.4.148, Number 2.4.180, XF 2.4.353; record numbers 2.3.
pub fn xls(sheets: &[(&str, &Sheet)], typed: bool) -> Vec<u8> {
    let mut book = Vec::new();
    record(&mut book, 0x0809, &bof(0x0005));
    record(&mut book, 0x0042, &1200_u16.to_le_bytes());
    for (at, format) in (164_u16..).zip(FORMATS) {
        record(&mut book, 0x041E, &[&at.to_le_bytes()[..], &long_text(format)].concat());
    }
    for format in [0_u16, 164, 165, 166] {
        let mut style = [0; 20];
        style[2..4].copy_from_slice(&format.to_le_bytes());
        record(&mut book, 0x00E0, &style);
    }
    let pages: Vec<Vec<u8>> = sheets.iter().map(|(_, sheet)| page(sheet, typed)).collect();
    let named = |name: &str| {
        let units: Vec<u8> = name.encode_utf16().flat_map(u16::to_le_bytes).collect();
        [&[u8::try_from(name.encode_utf16().count()).unwrap(), 1][..], &units].concat()
    };
    let heads: usize = sheets.iter().map(|(name, _)| 4 + 6 + named(name).len()).sum();
    let mut at = book.len() + heads + 4;
    for ((name, _), page) in sheets.iter().zip(&pages) {
        let position = u32::try_from(at).unwrap().to_le_bytes();
        record(&mut book, 0x0085, &[&position[..], &[0, 0], &named(name)].concat());
        at += page.len();
    }
    record(&mut book, 0x000A, &[]);
    compound(&[book, pages.concat()].concat())
}

fn record(stream: &mut Vec<u8>, kind: u16, content: &[u8]) {
    stream.extend(kind.to_le_bytes());
    stream.extend(u16::try_from(content.len()).unwrap().to_le_bytes());
    stream.extend(content);
}

fn bof(part: u16) -> Vec<u8> {
    [0x0600_u16, part, 0x0DBB, 0x07CC, 0, 0, 0x0600, 0].iter().flat_map(|word| word.to_le_bytes()).collect()
}

/// Text with its length in two bytes, in UTF-16.
fn long_text(text: &str) -> Vec<u8> {
    let count = u16::try_from(text.encode_utf16().count()).unwrap();
    let units = text.encode_utf16().flat_map(u16::to_le_bytes);
    count.to_le_bytes().into_iter().chain([1]).chain(units).collect()
}

fn page(sheet: &Sheet, typed: bool) -> Vec<u8> {
    let lines = sheet.lines();
    let width = lines.iter().map(Vec::len).max().unwrap();
    let mut page = Vec::new();
    record(&mut page, 0x0809, &bof(0x0010));
    let rows = u32::try_from(lines.len()).unwrap();
    let columns = u16::try_from(width).unwrap();
    let bounds = [&0_u32.to_le_bytes()[..], &rows.to_le_bytes(), &[0, 0], &columns.to_le_bytes(), &[0, 0]].concat();
    record(&mut page, 0x0200, &bounds);
    for (row, cells) in (0_u16..).zip(&lines) {
        for (column, cell) in (0_u16..).zip(cells) {
            let place =
                |style: u16| [row, column, style].iter().flat_map(|word| word.to_le_bytes()).collect::<Vec<u8>>();
            match stored(cell, typed) {
                Some(Value::Number(number)) => {
                    record(&mut page, 0x0203, &[place(0), number.to_le_bytes().to_vec()].concat());
                }
                Some(Value::Moment(days, format)) => {
                    let style = (1..).zip(FORMATS).find(|(_, known)| *known == format).unwrap().0;
                    record(&mut page, 0x0203, &[place(style), days.to_le_bytes().to_vec()].concat());
                }
                Some(_) => record(&mut page, 0x0204, &[place(0), long_text(&cell.text)].concat()),
                None => {}
            }
        }
    }
    record(&mut page, 0x000A, &[]);
    page
}

/// A compound file with one stream, `Workbook`, of at least 4096 bytes: smaller ones would live elsewhere in it.
///
/// # Source
/// Microsoft Open Specifications MS-CFB: header 2.2, sectors and their chains 2.3, directory entries 2.6.
fn compound(stream: &[u8]) -> Vec<u8> {
    const SECTOR: usize = 512;
    const END: u32 = 0xFFFF_FFFE;
    const FREE: u32 = 0xFFFF_FFFF;
    const TABLE: u32 = 0xFFFF_FFFD;
    let len = stream.len().max(4096);
    let number = |at: usize| u32::try_from(at).unwrap();
    let data = len.div_ceil(SECTOR);
    // The sectors of the stream, one of the directory, then those of the table that chains all of these.
    let tables = (1..).find(|tables| (data + 1 + tables) * 4 <= tables * SECTOR).unwrap();
    assert!(tables <= 109, "more would need a chain of their own");
    let mut next: Vec<u32> = (0..data).map(|at| if at + 1 == data { END } else { number(at + 1) }).collect();
    next.push(END);
    next.extend((0..tables).map(|_| TABLE));
    next.resize(tables * SECTOR / 4, FREE);
    let mut file = b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1".to_vec();
    file.extend([0; 16]);
    // Version 3, little-endian, sectors of 2^9 and of 2^6 bytes.
    file.extend([0x003E_u16, 3, 0xFFFE, 9, 6].iter().flat_map(|word| word.to_le_bytes()));
    file.extend([0; 10]);
    let words = [number(tables), number(data), 0, 4096, END, 0, END, 0];
    file.extend(words.iter().flat_map(|word| word.to_le_bytes()));
    let places = (0..109).map(|at| if at < tables { number(data + 1 + at) } else { FREE });
    file.extend(places.flat_map(u32::to_le_bytes));
    let start = file.len();
    file.extend(stream);
    file.resize(start + data * SECTOR, 0);
    file.extend(entry("Root Entry", 5, 1, END, 0));
    file.extend(entry("Workbook", 2, FREE, 0, number(len)));
    file.resize(start + (data + 1) * SECTOR, 0);
    file.extend(next.iter().flat_map(|id| id.to_le_bytes()));
    file
}

/// An entry of the directory: kind, the entry below it, its first sector, its length.
fn entry(name: &str, kind: u8, child: u32, first: u32, len: u32) -> Vec<u8> {
    let mut entry: Vec<u8> = name.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let name_len = u16::try_from(entry.len() + 2).unwrap();
    entry.resize(64, 0);
    entry.extend(name_len.to_le_bytes());
    entry.extend([kind, 1]);
    entry.extend([u32::MAX, u32::MAX, child].iter().flat_map(|id| id.to_le_bytes()));
    entry.extend([0; 36]);
    entry.extend([first, len, 0].iter().flat_map(|word| word.to_le_bytes()));
    entry
}

/// An open-document spreadsheet.
///
/// # Source
/// OASIS Open Document Format 1.2, part 1, chapter 9 (tables) and 19.385 (value types); part 3 (packages).
pub fn ods(sheets: &[(&str, &Sheet)], typed: bool) -> Vec<u8> {
    let mut content = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><office:document-content \
         xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" \
         xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" office:version=\"1.2\">\
         <office:body><office:spreadsheet>",
    );
    for (name, sheet) in sheets {
        write!(content, "<table:table table:name=\"{name}\">").unwrap();
        for cells in sheet.lines() {
            content.push_str("<table:table-row>");
            cells.iter().for_each(|cell| content.push_str(&open_cell(cell, typed)));
            content.push_str("</table:table-row>");
        }
        content.push_str("</table:table>");
    }
    content.push_str("</office:spreadsheet></office:body></office:document-content>");
    let kind = "application/vnd.oasis.opendocument.spreadsheet";
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    writer.start_file("mimetype", stored).unwrap();
    writer.write_all(kind.as_bytes()).unwrap();
    writer.start_file("content.xml", SimpleFileOptions::default()).unwrap();
    writer.write_all(content.as_bytes()).unwrap();
    writer.start_file("META-INF/manifest.xml", SimpleFileOptions::default()).unwrap();
    let manifest = format!(
        "<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\" \
         manifest:version=\"1.2\"><manifest:file-entry manifest:full-path=\"/\" manifest:media-type=\"{kind}\"/>\
         <manifest:file-entry manifest:full-path=\"content.xml\" manifest:media-type=\"text/xml\"/></manifest:manifest>"
    );
    writer.write_all(manifest.as_bytes()).unwrap();
    writer.finish().unwrap().into_inner()
}

/// A cell: dates as ISO 8601, times of day as a length, numbers, text.
fn open_cell(cell: &Cell, typed: bool) -> String {
    let text = cell.text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    let moment = |days: f64, form: &str| {
        let ms = (days * 86_400_000.0).round() as i64;
        let at = chrono::DateTime::from_timestamp_millis(ms).unwrap() - chrono::TimeDelta::days(25_569);
        at.format(form).to_string()
    };
    let value = match stored(cell, typed) {
        None => return "<table:table-cell/>".to_owned(),
        Some(Value::Number(number)) => format!("office:value-type=\"float\" office:value=\"{number}\""),
        Some(Value::Moment(days, format)) => match format {
            "hh:mm" => {
                format!("office:value-type=\"time\" office:time-value=\"{}\"", moment(days, "PT%HH%MM%SS"))
            }
            "dd.mm.yyyy" => {
                format!("office:value-type=\"date\" office:date-value=\"{}\"", moment(days, "%Y-%m-%d"))
            }
            _ => format!("office:value-type=\"date\" office:date-value=\"{}\"", moment(days, "%Y-%m-%dT%H:%M:%S")),
        },
        Some(Value::Text | Value::Line) => "office:value-type=\"string\"".to_owned(),
    };
    format!("<table:table-cell {value}><text:p>{text}</text:p></table:table-cell>")
}
