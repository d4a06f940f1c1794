//! Spreadsheets and archives: what is within is read like files, and what is hostile is refused in bounded time and
//! memory.
//!
//! The workbooks in `workbooks/` are written by `reference/workbooks.py` with other programs' libraries.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod common;

use std::io::{Cursor, Write};
use std::path::PathBuf;
use std::time::{Duration, Instant};

use common::{assert_column, hint, ids, input, refusals, times, zone};
use grainfall_ingest::{Reading, read_bytes, read_folder};
use grainfall_record::{Certainty, Clock, Outcome, Quantity, ReadingHints};
use zip::write::SimpleFileOptions;

fn book(name: &str) -> Vec<u8> {
    std::fs::read(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/workbooks").join(name)).unwrap()
}

fn read(name: &str, bytes: &[u8]) -> Reading {
    read_bytes(name, bytes, &zone("UTC")).unwrap()
}

/// The series that every workbook holds.
#[track_caller]
fn assert_series(reading: &Reading, logger: &str) {
    let want: Vec<String> = (0..12).map(|i| format!("2024-03-04T{:02}:{:02}:00Z", 8 + i / 6, i % 6 * 10)).collect();
    assert_eq!(times(reading, logger), want);
    let temps: Vec<Option<f64>> = (0..12).map(|i| Some(20.0 + f64::from(i) / 10.0)).collect();
    let humidities: Vec<Option<f64>> = (0..12).map(|i| Some(40.0 + f64::from(i) / 2.0)).collect();
    assert_column(reading, logger, Quantity::AirTemp, &temps);
    assert_column(reading, logger, Quantity::RelativeHumidity, &humidities);
}

fn outcomes(reading: &Reading) -> Vec<(&str, &Outcome)> {
    reading.ledger.inputs.iter().map(|i| (i.path.as_str(), &i.outcome)).collect()
}

fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        writer.start_file(*name, SimpleFileOptions::default()).unwrap();
        writer.write_all(bytes).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

fn gzipped(bytes: &[u8]) -> Vec<u8> {
    let mut writer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    writer.write_all(bytes).unwrap();
    writer.finish().unwrap()
}

fn log() -> String {
    let rows: String = (0..12)
        .map(|i| {
            let (hour, minute) = (8 + i / 6, i % 6 * 10);
            format!(
                "2024-03-04 {hour:02}:{minute:02},{:.1},{:.1}\n",
                20.0 + f64::from(i) / 10.0,
                40.0 + f64::from(i) / 2.0
            )
        })
        .collect();
    format!("Time,Temp (°C),RH (%)\n{rows}")
}

#[test]
fn workbooks_of_every_form_hold_the_same_series() {
    for name in [
        "days_1900.xlsx",
        "days_1904.xlsx",
        "days_1900.xls",
        "days_1904.xls",
        "rounded_serials.xlsx",
        "plain_serials.xlsx",
        "repeats.ods",
    ] {
        let reading = read(name, &book(name));
        let stem = name.split('.').next().unwrap();
        assert_eq!(ids(&reading), [stem], "{name}");
        assert_series(&reading, stem);
        assert_eq!(input(&reading).path, name);
        assert!(refusals(&reading).is_empty(), "{name}: {:?}", refusals(&reading));
    }
}

#[test]
fn rows_are_counted_as_in_the_sheet() {
    let reading = read("a/date_and_time.xlsx", &book("date_and_time.xlsx"));
    assert_eq!(ids(&reading), ["INV-0042"]);
    assert_series(&reading, "INV-0042");
    let series = reading.frame.logger("INV-0042").unwrap();
    assert_eq!((series.row[0], series.row[11]), (7, 18));
    let reading = read("repeats.ods", &book("repeats.ods"));
    assert_eq!(reading.frame.logger("repeats").unwrap().row[0], 7);
}

#[test]
fn what_was_judged_of_a_sheet_is_told() {
    let reading = read("days_1904.xlsx", &book("days_1904.xlsx"));
    let said = |topic: &str| {
        let found = input(&reading).decisions.iter().find(|d| d.topic == topic).unwrap();
        (found.value.clone(), found.reason.clone(), found.certainty)
    };
    let settled = |value: &str, reason: &str| (value.to_owned(), reason.to_owned(), Certainty::Settled);
    assert_eq!(said("sheet"), settled("Sheet", "the only sheet of a spreadsheet (xlsx)"));
    assert_eq!(said("date cells"), settled("days since 1904", "cells the workbook marks as dates or times"));
    let reading = read("rounded_serials.xlsx", &book("rounded_serials.xlsx"));
    let found = input(&reading).decisions.iter().find(|d| d.topic == "times in column A").unwrap();
    assert_eq!(found.value, "whole minutes");
    let reading = read("plain_serials.xlsx", &book("plain_serials.xlsx"));
    let found = input(&reading).decisions.iter().find(|d| d.topic == "dates without a format").unwrap();
    assert_eq!((found.value.as_str(), found.certainty), ("column A", Certainty::Guess));
}

#[test]
fn text_among_numbers_is_refused_cell_by_cell() {
    let reading = read("book.xlsx", &book("text_among_numbers.xlsx"));
    assert_eq!(refusals(&reading), ["5 Temp (°C) `TOO WET`: no number; a column of air temperature holds numbers"]);
    let missing = common::decision(&reading, "missing values");
    assert_eq!(missing.value, "`#N/A` 1");
    let temps = common::column(&reading, "book", Quantity::AirTemp);
    assert_eq!((temps[1], temps[2], temps[3]), (Some(20.1), Some(20.2), None));
}

#[test]
fn sheets_are_read_like_files() {
    let reading = read("x/sheets.xlsx", &book("sheets.xlsx"));
    assert_eq!(ids(&reading), ["sheets/Bath 1 F", "sheets/Kitchen"]);
    assert_series(&reading, "sheets/Kitchen");
    assert_series(&reading, "sheets/Bath 1 F");
    let told = Outcome::NotALog { reason: "a spreadsheet (xlsx); 2 sheets with logs are listed on their own".into() };
    let read12 = Outcome::Read { rows: 12, samples: 12 };
    assert_eq!(
        outcomes(&reading),
        [("x/sheets.xlsx", &told), ("x/sheets.xlsx/Bath 1 F", &read12), ("x/sheets.xlsx/Kitchen", &read12)]
    );
    let series = reading.frame.logger("sheets/Kitchen").unwrap();
    assert_eq!(
        series.file_table.name(series.file[0]).map(|name| name.to_string()).as_deref(),
        Some("x/sheets.xlsx/Kitchen")
    );
    assert_eq!(reading.ledger.logger("sheets/Kitchen").unwrap().channel.as_deref(), Some("Kitchen"));
    assert_eq!(reading.ledger.inputs[0].sha256, reading.ledger.inputs[1].sha256);
    // What a person says of a sheet, by workbook and channel.
    let mut hints = zone("America/New_York");
    hints.loggers.push(hint("sheets.xlsx", Some("Kitchen"), Some(Clock::Utc), &[]));
    let reading = read_bytes("x/sheets.xlsx", &book("sheets.xlsx"), &hints).unwrap();
    assert_eq!(times(&reading, "sheets/Kitchen")[0], "2024-03-04T08:00:00Z");
    assert_eq!(times(&reading, "sheets/Bath 1 F")[0], "2024-03-04T13:00:00Z");
}

#[test]
fn archives_are_opened() {
    let reading = read("a/hall.csv.gz", &gzipped(log().as_bytes()));
    assert_eq!(ids(&reading), ["hall"]);
    assert_series(&reading, "hall");
    assert_eq!(input(&reading).path, "a/hall.csv.gz");
    let reading = read("book.xlsx.gz", &gzipped(&book("days_1900.xlsx")));
    assert_series(&reading, "book");
    let archive = zipped(&[
        ("up/hall.csv", log().as_bytes()),
        ("book.xlsx", &book("days_1904.xlsx")),
        ("__MACOSX/up/._hall.csv", b"\0\x05\x16\x07"),
        ("photo.jpg", b"\xFF\xD8\xFF\xE0...."),
    ]);
    let reading = read("all.zip", &archive);
    assert_eq!(ids(&reading), ["book", "hall"]);
    assert_series(&reading, "book");
    assert_series(&reading, "hall");
    let read12 = Outcome::Read { rows: 12, samples: 12 };
    assert_eq!(
        outcomes(&reading),
        [
            ("all.zip", &Outcome::NotALog { reason: "a zip archive of 3 files, listed on their own".into() }),
            ("all.zip/book.xlsx", &read12),
            ("all.zip/photo.jpg", &Outcome::NotALog { reason: "a JPEG picture".into() }),
            ("all.zip/up/hall.csv", &read12),
        ]
    );
}

#[test]
fn what_lies_packed_and_unpacked_is_read_once() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes).unwrap();
    put("hall.csv", log().as_bytes());
    put("hall.csv.gz", &gzipped(log().as_bytes()));
    put("a.zip", &zipped(&[("hall.csv", log().as_bytes()), ("days_1900.xlsx", &book("days_1900.xlsx"))]));
    put("days_1900.xlsx", &book("days_1900.xlsx"));
    let reading = read_folder(folder.path(), &zone("UTC"), &|_| ()).unwrap();
    assert_eq!(ids(&reading), ["days_1900", "hall"]);
    let same = |path: &str| Outcome::SameAs { path: path.into() };
    let outcome = |path: &str| &reading.ledger.inputs.iter().find(|i| i.path == path).unwrap().outcome;
    assert_eq!(outcome("a.zip/hall.csv"), &same("hall.csv"));
    assert_eq!(outcome("hall.csv.gz"), &same("hall.csv"));
    assert_eq!(outcome("a.zip/days_1900.xlsx"), &same("days_1900.xlsx"));
    assert_eq!(outcome("hall.csv"), &Outcome::Read { rows: 12, samples: 12 });
}

#[test]
fn nothing_leads_out_of_an_archive_and_none_is_within_another() {
    let inner = zipped(&[("hall.csv", log().as_bytes())]);
    let archive = zipped(&[("../../etc/hall.csv", log().as_bytes()), ("b.zip", &inner), ("c.csv.gz", &gzipped(b"x"))]);
    let reading = read("a.zip", &archive);
    assert!(reading.frame.is_empty());
    let refused = |reason: &str, remedy: &str| Outcome::Refused { reason: reason.into(), remedy: remedy.into() };
    let nested = refused("an archive within an archive", "unpack it and put the files into the folder");
    let out = refused(
        "its name in the archive leads out of the archive",
        "unpack it yourself if you trust it, and put the log into the folder",
    );
    assert_eq!(
        outcomes(&reading)[1..],
        [("a.zip/b.zip", &nested), ("a.zip/c.csv.gz", &nested), ("a.zip/etc/hall.csv", &out)]
    );
}

/// Runs within a time that a slow machine keeps.
#[track_caller]
fn bounded<T>(seconds: u64, run: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let done = run();
    assert!(start.elapsed() < Duration::from_secs(seconds), "took {:?}", start.elapsed());
    done
}

#[track_caller]
fn reason(reading: &Reading) -> String {
    match &reading.ledger.inputs.last().unwrap().outcome {
        Outcome::Refused { reason, remedy } => format!("{reason}: {remedy}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn one_line_of_300_mb_is_refused() {
    let bytes = b"2024-01-01 00:00,21.5,45,".repeat(12_000_000);
    assert_eq!(bytes.len(), 300_000_000);
    let reading = bounded(20, || read("line.csv", &bytes));
    assert_eq!(
        reason(&reading),
        "line 1 has 300000000 bytes; a row of a log has no more than 1048576: export it again with one sample in a line"
    );
}

#[test]
fn a_row_of_too_many_cells_is_refused() {
    let text = format!("Time,Temp (°C)\n2024-01-01 00:00{}\n", ",1".repeat(20_000));
    let reading = bounded(20, || read("wide.csv", text.as_bytes()));
    assert_eq!(
        reason(&reading),
        "line 2 has 20001 cells; at most 16384 are read: export it again with one sample in a line"
    );
}

/// As many columns as are read, most of them of numbers, told apart column by column: no step may go through a row for
/// each of its cells.
#[test]
fn a_table_as_wide_as_is_read_costs_little() {
    for quote in ["", "\""] {
        let mut text = format!("{quote}Time{quote},Temp (°C){}\n", ",x".repeat(16_000));
        for row in 0..30 {
            text += &format!("{quote}2024-03-04 08:{row:02}{quote},{}.5{}\n", 20 + row % 5, ",1".repeat(16_000));
        }
        // Rows that are no samples are compared with the names.
        text += &format!("{quote}x{quote}{}\n", ",y".repeat(16_001)).repeat(30);
        let reading = bounded(20, || read("wide.csv", text.as_bytes()));
        assert_eq!(input(&reading).outcome, Outcome::Read { rows: 60, samples: 30 }, "quote `{quote}`");
    }
}

#[test]
fn bombs_are_refused() {
    let bomb = vec![b'0'; 80 << 20];
    let packed = gzipped(&bomb);
    let why = format!(
        "{} packed bytes unpack to more than 64 MiB, which no log does: unpack it yourself if you trust it, and put the logs into the folder",
        packed.len()
    );
    assert_eq!(reason(&bounded(20, || read("a.csv.gz", &packed))), why);
    let archive = zipped(&[("a.csv", &bomb)]);
    let reading = bounded(20, || read("a.zip", &archive));
    assert!(reason(&reading).contains("packed bytes unpack to more than 64 MiB"), "{}", reason(&reading));
    // A workbook whose sheet is the bomb.
    let sheet = format!("<worksheet><sheetData>{}</sheetData></worksheet>", " ".repeat(80 << 20));
    let reading = bounded(20, || read("a.xlsx", &xlsx(&sheet)));
    assert!(reason(&reading).contains("packed bytes unpack to more than 64 MiB"), "{}", reason(&reading));
    // A thousand and one members.
    let names: Vec<String> = (0..1001).map(|i| format!("{i}.csv")).collect();
    let members: Vec<(&str, &[u8])> = names.iter().map(|name| (name.as_str(), &b"x"[..])).collect();
    assert_eq!(
        reason(&read("many.zip", &zipped(&members))),
        "a zip archive of 1001 files; at most 1000 are opened: unpack it and put the logs into the folder"
    );
}

/// The smallest workbook around the XML of one sheet.
fn xlsx(sheet: &str) -> Vec<u8> {
    xlsx_with(sheet, "")
}

fn xlsx_with(sheet: &str, strings: &str) -> Vec<u8> {
    let package = r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>"#;
    let top = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
    let book = r#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="S" sheetId="1" r:id="rId1"/></sheets></workbook>"#;
    let within = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#;
    let mut files = vec![
        ("[Content_Types].xml", package.as_bytes()),
        ("_rels/.rels", top.as_bytes()),
        ("xl/workbook.xml", book.as_bytes()),
        ("xl/_rels/workbook.xml.rels", within.as_bytes()),
        ("xl/worksheets/sheet1.xml", sheet.as_bytes()),
    ];
    if !strings.is_empty() {
        files.push(("xl/sharedStrings.xml", strings.as_bytes()));
    }
    zipped(&files)
}

fn text_cell(at: &str, text: &str) -> String {
    format!(r#"<c r="{at}" t="inlineStr"><is><t>{text}</t></is></c>"#)
}

#[test]
fn a_million_empty_rows_cost_little() {
    let mut sheet = String::from("<worksheet><sheetData>");
    sheet += &format!(r#"<row r="1">{}{}</row>"#, text_cell("A1", "Time"), text_cell("B1", "Temp (°C)"));
    for row in 2..8 {
        let time = format!("2024-03-04 08:{:02}", row * 5);
        sheet += &format!(
            r#"<row r="{row}">{}<c r="B{row}"><v>2{row}.5</v></c></row>"#,
            text_cell(&format!("A{row}"), &time)
        );
    }
    for row in 8..1_000_008 {
        sheet += &format!(r#"<row r="{row}" s="1"><c r="A{row}" s="1"/><c r="B{row}" s="1"/></row>"#);
    }
    sheet += "</sheetData></worksheet>";
    let bytes = xlsx(&sheet);
    let reading = bounded(30, || read("rows.xlsx", &bytes));
    assert_eq!(input(&reading).outcome, Outcome::Read { rows: 6, samples: 6 });
    // The same with a cell far away: nothing is set aside for what lies between.
    let sheet = format!(
        r#"<worksheet><sheetData><row r="1">{}</row><row r="1048576">{}</row></sheetData></worksheet>"#,
        text_cell("A1", "a"),
        text_cell("XFD1048576", "b")
    );
    let reading = bounded(5, || read("far.xlsx", &xlsx(&sheet)));
    assert!(matches!(input(&reading).outcome, Outcome::NotALog { .. }), "{:?}", input(&reading).outcome);
}

#[test]
fn claims_of_a_workbook_are_not_believed() {
    let sheet = format!(r#"<worksheet><sheetData><row r="1">{}</row></sheetData></worksheet>"#, text_cell("A1", "a"));
    let strings = r#"<sst uniqueCount="99999999999"><si><t>a</t></si></sst>"#;
    let reading = read("claims.xlsx", &xlsx_with(&sheet, strings));
    assert!(reason(&reading).starts_with("a damaged or incomplete spreadsheet"), "{}", reason(&reading));
}

#[test]
fn repeats_of_an_open_document_are_counted() {
    let content = r#"<document-content xmlns:table="t" xmlns:office="o"><table:table table:name="S"><table:table-row table:number-rows-repeated="1000000"><table:table-cell office:value-type="float" office:value="1" table:number-columns-repeated="16000"/></table:table-row></table:table></document-content>"#;
    let bytes = zipped(&[
        ("mimetype", b"application/vnd.oasis.opendocument.spreadsheet"),
        ("META-INF/manifest.xml", b"<manifest/>"),
        ("content.xml", content.as_bytes()),
    ]);
    let reading = bounded(5, || read("a.ods", &bytes));
    assert_eq!(
        reason(&reading),
        "sheet `S` repeats filled cells more than 1000000 times: delete what does not belong to the table, or save the table as CSV"
    );
}

#[test]
fn truncated_containers_are_refused_and_never_panic() {
    let archive = zipped(&[("hall.csv", log().as_bytes())]);
    for (name, bytes) in [
        ("a.csv.gz", gzipped(log().as_bytes())),
        ("a.zip", archive),
        ("a.xlsx", book("days_1900.xlsx")),
        ("a.xls", book("days_1900.xls")),
        ("a.ods", book("repeats.ods")),
    ] {
        for part in 1..24 {
            let cut = bytes.len() * part / 24;
            let reading = bounded(20, || read(name, &bytes[..cut]));
            for input in &reading.ledger.inputs {
                // The last sector of an old workbook may be padding.
                let whole = name == "a.xls" && input.outcome == (Outcome::Read { rows: 12, samples: 12 });
                assert!(
                    whole || matches!(input.outcome, Outcome::Refused { .. }),
                    "{name} cut to {cut}: {:?}",
                    input.outcome
                );
            }
        }
        // One byte changed at a time, here and there.
        for at in (0..bytes.len()).step_by(bytes.len() / 97 + 1) {
            let mut spoiled = bytes.clone();
            spoiled[at] ^= 0x55;
            bounded(20, || read(name, &spoiled));
        }
    }
}

#[test]
fn names_that_lie_about_the_kind() {
    let reading = read("log.xlsx", log().as_bytes());
    assert_series(&reading, "log");
    let said = &input(&reading).decisions[0];
    assert_eq!((said.topic.as_str(), said.value.as_str()), ("kind of file", "text"));
    assert_eq!(said.reason, "by its first bytes, though its name ends with `.xlsx`");
    let reading = read("log.csv", &book("days_1900.xlsx"));
    assert_series(&reading, "log");
    let page = b"<html><table><tr><td>Time</td><td>Temp</td></tr></table></html>";
    assert_eq!(
        reason(&read("log.xls", page)),
        "a page of markup, though its name ends with `.xls`: open it in a spreadsheet program and save it as xlsx or CSV"
    );
    // A program's bytes under the name of a log.
    let reading = read("log.csv", b"\x7FELF\x02\x01\x01\0\0\0");
    assert_eq!(input(&reading).outcome, Outcome::NotALog { reason: "a program".into() });
}

#[test]
fn hints_default_is_enough() {
    let reading = read_bytes("days_1900.xlsx", &book("days_1900.xlsx"), &ReadingHints::default()).unwrap();
    assert_series(&reading, "days_1900");
}
