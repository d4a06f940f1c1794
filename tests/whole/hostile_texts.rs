//! Whatever people write into the text fields of a job folder: the report is made, and each text comes out as text, or
//! with its characters written as `[U+XXXX]`, in the PDF, on the page, in the tables and in the JSON.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]
#![allow(clippy::disallowed_types, reason = "the test runs a reader of PDF")]

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

use grainfall_report::manifest::sha256;
use grainfall_report::text_filter::{for_any_faces, for_embedded_faces};
use grainfall_report::{JobFile, Outputs, RenderInput, Settings, render};
use grainfall_tests::judge;

/// Every text field there is, as `{{name}}`; names are unlike any word of a report.
const JOB: &str = r#"
[job]
number = "{{qjobnumber}}"
title = "{{qjobtitle}}"
claim = "{{qclaim}}"
time_zone = "America/Chicago"
elevation = "620 ft"
loss_at = "2025-03-10 18:00"
category = 1
class = 2
edition = "{{qedition}}"

[[category]]
value = 2
from = "2025-03-11 10:00"
reason = "{{qcategoryreason}}"

[[class]]
value = 3
from = "2025-03-11 10:00"
reason = "{{qclassreason}}"

[[chamber]]
id = "{{qchamberid}}"
name = "{{qchambername}}"
floor_area = "210 ft2"
volume = "1680 ft3"
drying_from = "2025-03-11 09:30"
before_drying_reason = "{{qbeforedrying}}"

[[logger]]
file = "log.csv"
place = "affected"
chamber = "{{qchamberid}}"

[[meter]]
id = "{{qmeterid}}"
kind = "{{qmeterkind}}"
scales = ["wood"]
accuracy = 1
serial = "{{qmeterserial}}"

[[material]]
kind = "{{qmaterial}}"
scale = "wood"

[[point]]
id = "{{qpointid}}"
chamber = "{{qchamberid}}"
location = "{{qlocation}}"
depth = "{{qdepth}}"
material = "{{qmaterial}}"
dry_standard = ["{{qreferenceid}}"]

[[point]]
id = "{{qendedid}}"
chamber = "{{qchamberid}}"
material = "{{qmaterial}}"
goal = 14
ended = "2025-03-12 09:00"
ended_reason = "{{qendedreason}}"

[[point]]
id = "{{qreferenceid}}"
material = "{{qmaterial}}"
role = "reference"

[[equipment]]
unit = "{{qunit}}"
asset = "{{qasset}}"
kind = "dehumidifier low-grain"
chamber = "{{qchamberid}}"
placed = "2025-03-11 09:00"
placed_by = "{{qplacedby}}"
placed_reason = "{{qplacedreason}}"
removed = "2025-03-13 10:00"
removed_by = "{{qremovedby}}"
removed_reason = "{{qremovedreason}}"
rated_capacity = "130 pint/day"
rated_condition = "{{qratedcondition}}"

[[equipment]]
unit = "{{qscrubber}}"
kind = "air scrubber"
purpose = "{{qpurpose}}"
chamber = "{{qchamberid}}"
placed = "2025-03-11 09:00"

[[pause]]
from = "2025-03-12 12:00"
to = "2025-03-12 13:00"
reason = "{{qpausereason}}"
"#;

const READINGS: &str = "time,point,value,meter,by,note
2025-03-11 09:10,{{qpointid}},31.5,{{qmeterid}},{{qreadingby}},{{qreadingnote}}
2025-03-11 09:12,{{qreferenceid}},9.5,{{qmeterid}},,
2025-03-11 09:14,{{qendedid}},22,{{qmeterid}},,
2025-03-12 09:10,{{qpointid}},-,,,{{qnoreading}}
2025-03-13 09:10,{{qpointid}},12,{{qmeterid}},,
";

const AIR: &str = "time,place,chamber,air_temp,rh,instrument,by
2025-03-11 09:20,affected,{{qchamberid}},72 F,61 %,{{qinstrument}},{{qairby}}
";

const VISITS: &str = "time,by,credential,instruments,reason,photos,note
2025-03-11 09:00,{{qvisitby}},{{qcredential}},{{qinstruments}},{{qvisitreason}},{{qphotos}},{{qvisitnote}}
";

/// What no output tells: what a meter is and which condition a rating holds at, and why equipment stood before drying
/// began where none of its days lies before that.
const TOLD_NOWHERE: &[&str] = &["qbeforedrying", "qmeterkind", "qmeterserial", "qratedcondition"];

/// What the tables leave to the other outputs: texts about the whole job or a whole stay, which belong to no row.
const NOT_IN_TABLES: &[&str] = &[
    "qcategoryreason",
    "qclaim",
    "qclassreason",
    "qedition",
    "qjobnumber",
    "qjobtitle",
    "qplacedby",
    "qplacedreason",
    "qremovedby",
    "qremovedreason",
];

/// A class of texts: its name, and what is put before the name of the field.
const CLASSES: &[(&str, &str)] = &[
    ("typesetting markup", r#"#panic("x") $x^2$ [*b*] _i_ `r` = h <l> @ref \ // /* #include "a" "#),
    ("page markup", "<script>alert(1)</script> <img src=x onerror=alert(2)> &amp; </style> ]]> {{ 7*7 }} {% raw %} "),
    ("formulas", "=HYPERLINK(\"http://example.invalid\") +1 @a "),
    ("right to left", "\u{5e9}\u{5dc}\u{5d5}\u{5dd} \u{202e}evil\u{202c} \u{627}\u{644} "),
    ("emoji", "\u{1f4a7}\u{1f469}\u{200d}\u{1f527}\u{fe0f} "),
    ("ideographs", "\u{5e72}\u{71e5}\u{3092} \u{d55c}\u{ad6d} "),
    ("controls", "a\u{1}b\u{7f}c\u{9b}d\u{2028}e\u{200b}f "),
    ("byte-order mark", "\u{feff}mark\u{feff} "),
    ("combining marks and private use", "e\u{301} \u{e000} \u{fffd} "),
];

#[test]
fn every_text_comes_out_as_text() {
    for (class, before) in CLASSES {
        comes_out(class, &|name| format!("{before}{name}"));
    }
}

#[test]
fn names_of_500_characters_come_out_whole() {
    comes_out("500 letters", &|name| format!("{}{name}", "x".repeat(500 - name.len())));
    comes_out("500 letters in words", &|name| format!("{}{name}", "some words ".repeat(50)));
}

/// Makes the report of a folder whose every text field is hostile, and looks for each field in every output.
fn comes_out(class: &str, hostile: &dyn Fn(&str) -> String) {
    let folder = tempfile::tempdir().unwrap();
    write_folder(folder.path(), hostile);
    let outputs = report(folder.path());
    let page = unescaped(&text(&outputs, "report.html"));
    let tables: Vec<String> = outputs
        .files
        .iter()
        .filter(|(path, _)| path.ends_with(".csv"))
        .map(|(_, bytes)| String::from_utf8(bytes.clone()).unwrap().replace("\"\"", "\""))
        .collect();
    let mut strings = Vec::new();
    gather(&serde_json::from_slice(&outputs.files["summary.json"]).unwrap(), &mut strings);
    let pdf = pdf_text(&outputs.files["report.pdf"]).map(|text| squeezed(&text));
    let mut faults = Vec::new();
    for name in fields() {
        let written = hostile(&name);
        if TOLD_NOWHERE.contains(&name.as_str()) {
            continue;
        }
        let mut look = |output: &str, found: bool| {
            if !found {
                faults.push(format!("{class}: {name} is not in {output}"));
            }
        };
        look("the JSON", strings.iter().any(|text| text.contains(&written)));
        let shown = for_any_faces(&written).text;
        look("the page", page.contains(&shown));
        let in_tables = tables.iter().any(|table| table.contains(&shown));
        look("the tables", in_tables || NOT_IN_TABLES.contains(&name.as_str()));
        if let Some(pdf) = &pdf {
            look("the PDF", is_on_paper(pdf, &squeezed(&for_embedded_faces(&written).text)));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    let html = text(&outputs, "report.html");
    assert!(!html.contains("<script>alert") && !html.contains("<img src=x"), "{class}: markup of data in the page");
}

/// Whether a text is there, whole or in two parts: a page may end within it, with running heads in between.
fn is_on_paper(pdf: &str, text: &str) -> bool {
    let mut parts = text.char_indices().map(|(at, _)| text.split_at(at));
    parts.any(|(before, after)| pdf.contains(before) && pdf.contains(after))
}

/// Names of all fields.
fn fields() -> BTreeSet<String> {
    let all = [JOB, READINGS, AIR, VISITS].concat();
    all.split("{{").skip(1).map(|part| part.split("}}").next().unwrap().to_owned()).collect()
}

fn write_folder(folder: &Path, hostile: &dyn Fn(&str) -> String) {
    let filled = |template: &str, quoted: &dyn Fn(&str) -> String| {
        fields()
            .iter()
            .fold(template.to_owned(), |text, name| text.replace(&format!("{{{{{name}}}}}"), &quoted(&hostile(name))))
    };
    // A basic string of TOML escapes as JSON does, and DEL and the other controls besides.
    let toml = |text: &str| {
        let escaped = |c: char| match c {
            '"' => "\\\"".to_owned(),
            '\\' => "\\\\".to_owned(),
            c if c.is_control() => format!("\\u{:04X}", u32::from(c)),
            c => c.to_string(),
        };
        text.chars().map(escaped).collect::<String>()
    };
    let csv = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
    std::fs::write(folder.join("job.toml"), filled(JOB, &toml)).unwrap();
    for (file, template) in [("readings.csv", READINGS), ("air.csv", AIR), ("visits.csv", VISITS)] {
        std::fs::write(folder.join(file), filled(template, &csv)).unwrap();
    }
    let mut log = "Date Time,Temperature (F),RH (%)\n".to_owned();
    for hour in 0..51 {
        let (day, hour) = (11 + hour / 24, hour % 24);
        log += &format!("2025-03-{day} {hour:02}:00:00,72.{},{}.5\n", hour % 10, 60 - hour / 2);
    }
    std::fs::write(folder.join("log.csv"), log).unwrap();
}

fn report(folder: &Path) -> Outputs {
    let judged = judge(folder, None);
    let job_files: Vec<JobFile> = judged
        .job
        .files
        .iter()
        .map(|path| {
            let bytes = std::fs::read(folder.join(path)).unwrap();
            JobFile { path: path.clone(), sha256: sha256(&bytes), bytes: bytes.len() as u64 }
        })
        .collect();
    let input = RenderInput {
        analysis: &judged.analysis,
        frame: &judged.reading.frame,
        ledger: &judged.reading.ledger,
        job_files: &job_files,
        settings: &Settings::default(),
    };
    render(&input, &|_| {}).unwrap()
}

fn text(outputs: &Outputs, path: &str) -> String {
    String::from_utf8(outputs.files[path].clone()).unwrap()
}

/// The text of a PDF by poppler; `None` with a message where that is not installed.
#[allow(clippy::print_stderr)] // A skipped part of a test says so.
fn pdf_text(bytes: &[u8]) -> Option<String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("report.pdf");
    std::fs::write(&path, bytes).unwrap();
    // As drawn, cell by cell: the usual order runs across the lines of neighbouring cells.
    match Command::new("pdftotext").args(["-q", "-raw"]).arg(&path).arg("-").output() {
        Ok(output) => Some(String::from_utf8(output.stdout).unwrap()),
        Err(error) => {
            eprintln!("skipped: pdftotext (poppler-utils) cannot be run: {error}");
            None
        }
    }
}

/// Every string in a JSON value.
fn gather(value: &serde_json::Value, strings: &mut Vec<String>) {
    match value {
        serde_json::Value::String(text) => strings.push(text.clone()),
        serde_json::Value::Array(items) => items.iter().for_each(|item| gather(item, strings)),
        serde_json::Value::Object(fields) => fields.values().for_each(|item| gather(item, strings)),
        _ => {}
    }
}

fn unescaped(html: &str) -> String {
    let signs = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#x27;", "'"), ("&#x2f;", "/"), ("&amp;", "&")];
    signs.iter().fold(html.to_owned(), |text, (sign, c)| text.replace(sign, c))
}

/// Without white space: paper breaks lines where it likes, and long words at marks without width.
fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && *c != '\u{200b}').collect()
}
