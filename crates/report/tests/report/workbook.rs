//! `tables.xlsx`, read back by a general spreadsheet reader, holds what the CSV tables hold.

use std::io::Cursor;

use calamine::{Data, Reader, Xlsx};
use chrono::{DateTime, NaiveDateTime};
use grainfall_report::sample_evidence::{sample, stress};
use grainfall_report::{Outputs, Settings, UnitSystem, Workbook, render};

use crate::support::Inputs;

fn outputs(analysis: grainfall_analysis::evidence::Analysis) -> Outputs {
    let settings = Settings { units: UnitSystem::Us, workbook: Workbook::Xlsx, ..Settings::default() };
    render(&Inputs::around(analysis, settings).render_input(), &|_| {}).expect("the report is made")
}

fn workbook(outputs: &Outputs) -> Xlsx<Cursor<Vec<u8>>> {
    Xlsx::new(Cursor::new(outputs.files["tables.xlsx"].clone())).expect("a workbook")
}

#[test]
fn every_table_is_a_sheet_with_the_same_cells() {
    for analysis in [sample(), stress()] {
        let outputs = outputs(analysis);
        let mut workbook = workbook(&outputs);
        let (mut numbers, mut dates) = (0, 0);
        for (path, bytes) in outputs.files.iter().filter(|(path, _)| path.ends_with(".csv")) {
            let name = path.trim_start_matches("tables/").trim_end_matches(".csv");
            let sheet = workbook.worksheet_range(name).expect("a sheet");
            let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes.as_slice());
            for (row, record) in reader.records().enumerate() {
                for (column, wanted) in record.expect("a row").iter().enumerate() {
                    let found = sheet.get((row, column)).unwrap_or(&Data::Empty);
                    match found {
                        Data::Empty => assert!(wanted.is_empty(), "{name} {row} {column}: {wanted}"),
                        Data::Float(number) => {
                            numbers += 1;
                            // The same decimal text read by two readers: the same double.
                            assert!(
                                (number - wanted.parse::<f64>().expect("a number")).abs() < 1e-12,
                                "{name} {wanted}"
                            );
                        }
                        Data::DateTime(date) => {
                            dates += 1;
                            let local = date.as_f64();
                            assert!((local - serial(wanted)).abs() < 1e-7, "{name}: {wanted} is {local}");
                        }
                        // A leading apostrophe keeps a CSV reader from running a text; a cell that is text needs none.
                        Data::String(text) => {
                            let bare = wanted.strip_prefix('\'').unwrap_or(wanted);
                            assert!(text == wanted || text == bare, "{name}: `{text}` for `{wanted}`");
                        }
                        other => panic!("{name} {row} {column}: {other:?}"),
                    }
                }
            }
        }
        assert!(numbers > 500 && dates > 50, "{numbers} numbers, {dates} dates");
    }
}

/// Days since 30 December 1899, by wall time.
///
/// ECMA-376 part 1, 18.17.4.1, the 1900 date system, for days from March 1900 on.
fn serial(text: &str) -> f64 {
    let epoch = NaiveDateTime::parse_from_str("1899-12-30 00:00:00", "%Y-%m-%d %H:%M:%S").expect("an instant");
    let local = DateTime::parse_from_rfc3339(text)
        .map(|instant| instant.naive_local())
        .or_else(|_| NaiveDateTime::parse_from_str(&format!("{text} 00:00:00"), "%Y-%m-%d %H:%M:%S"));
    (local.expect("a day or an instant") - epoch).as_seconds_f64() / 86_400.0
}

#[test]
fn a_text_that_looks_like_a_formula_is_text() {
    let mut analysis = sample();
    analysis.evidence.points[0].location = Some("=HYPERLINK(\"x\")".to_owned());
    let mut workbook = workbook(&outputs(analysis));
    let sheet = workbook.worksheet_range("points").expect("a sheet");
    assert_eq!(sheet.get((1, 2)), Some(&Data::String("=HYPERLINK(\"x\")".to_owned())));
    let formulas = workbook.worksheet_formula("points").expect("a sheet");
    assert!(formulas.used_cells().all(|(_, _, formula)| formula.is_empty()));
}

#[test]
fn the_first_sheet_names_the_zone_and_none_is_made_unless_asked_for() {
    let mut workbook = workbook(&outputs(sample()));
    assert_eq!(workbook.sheet_names()[0], "about");
    let about = workbook.worksheet_range("about").expect("a sheet");
    let zone = sample().evidence.job.time_zone;
    assert!(
        about.rows().any(|row| row[0] == Data::String("time zone".to_owned()) && row[1].to_string().starts_with(&zone))
    );
    let inputs = Inputs::around(sample(), Settings::default());
    assert!(!render(&inputs.render_input(), &|_| {}).expect("the report is made").files.contains_key("tables.xlsx"));
}
