//! A language of the test's own: every letter another script's, every place on the other side of its text, a comma as
//! decimal sign. Whatever a report of it still says in English letters was never in the language file.
//!
//! Left out, as they are the same in every language: names and texts from the job's own files, what was said of those
//! files as they were read, units, codes and file names.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]
#![allow(clippy::disallowed_types, reason = "the test runs a reader of PDF")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

use chrono::{DateTime, Utc};
use grainfall_analysis::evidence::Evidence;
use grainfall_analysis::needs::JobLine;
use grainfall_report::jobs::{Job, JobOutcome, Jobs, page};
use grainfall_report::{Outputs, RenderInput, Settings, render};
use grainfall_simulate::{Made, export, scenarios};
use grainfall_tests::{Judged, judge_in, root};
use grainfall_words::{Language, Words};
use serde_json::Value;

/// Letters that stand for a to z, and for A to Z.
const SMALL: &str = "абвгдежзийклмнопрстуфхцчшщ";
const LARGE: &str = "АБВГДЕЖЗИЙКЛМНОПРСТУФХЦЧШЩ";

/// Units, codes and names of formats that are the same in every language.
const SAME_EVERYWHERE: [&str; 29] = [
    "grainfall",
    "F",
    "C",
    "GPP",
    "kg",
    "kPa",
    "Pa",
    "inHg",
    "pints",
    "litres",
    "ft",
    "ft2",
    "cfm",
    "MC",
    "RH",
    "SHA",
    "UTC",
    "CDT",
    "CST",
    "America",
    "Chicago",
    "csv",
    "toml",
    "pts",
    "wood",
    "wme",
    "gypsum",
    "relative",
    "rel",
];

/// Files of a job.
const FILES: [&str; 4] = ["readings.csv", "visits.csv", "job.toml", "air.csv"];

/// Places of loggers as a job's files have them.
const CODES: [&str; 8] = ["affected", "unaffected", "outdoor", "inlet", "outlet", "surface", "material", "hvac"];

/// English in the letters of another script.
fn another_language() -> Words {
    let mut file = String::new();
    let mut section = "";
    for line in Language::ENGLISH.file().lines() {
        if line.starts_with('[') {
            section = line;
        }
        file += &match (section, line) {
            ("[language]", line) if line.starts_with("code") => "code = \"qaa\"".to_owned(),
            ("[language]", line) if line.starts_with("decimal_sign") => "decimal_sign = \",\"".to_owned(),
            ("[language]", line) => line.to_owned(),
            (_, line) if line.starts_with('#') => String::new(),
            (_, line) => quoted_parts(line, other_text),
        };
        file.push('\n');
    }
    Words::from_toml(&file).unwrap()
}

/// A line of TOML with a change to what stands in quotes.
fn quoted_parts(line: &str, change: impl Fn(&str) -> String) -> String {
    let (mut out, mut rest) = (String::new(), line);
    while let Some((before, after)) = rest.split_once('"') {
        let end = (0..after.len())
            .find(|at| after.as_bytes()[*at] == b'"' && (*at == 0 || after.as_bytes()[at - 1] != b'\\'))
            .unwrap();
        out += &format!("{before}\"{}\"", change(&after[..end]));
        rest = &after[end + 1..];
    }
    out + rest
}

/// Letters of another script outside the places, the places in reverse, decimal commas.
fn other_text(text: &str) -> String {
    let places: Vec<&str> = text.split('{').skip(1).map(|part| part.split_once('}').unwrap().0).collect();
    let mut reversed = places.into_iter().rev();
    let mut out = String::new();
    for (nth, part) in text.split('{').enumerate() {
        let words = if nth == 0 {
            part
        } else {
            out += &format!("{{{}}}", reversed.next().unwrap());
            part.split_once('}').unwrap().1
        };
        // Between two numbers it would be taken for a decimal point.
        let words = if words == "." { ". " } else { words };
        let characters: Vec<char> = words.chars().collect();
        for (at, c) in characters.iter().enumerate() {
            let beside = |at: Option<usize>| at.and_then(|at| characters.get(at)).is_some_and(char::is_ascii_digit);
            out.push(match c {
                // What an escape says is no letter.
                'n' | 'u' if at > 0 && characters[at - 1] == '\\' => *c,
                'a'..='z' => SMALL.chars().nth(*c as usize - 'a' as usize).unwrap(),
                'A'..='Z' => LARGE.chars().nth(*c as usize - 'A' as usize).unwrap(),
                '.' if beside(at.checked_sub(1)) && beside(Some(at + 1)) => ',',
                c => *c,
            });
        }
    }
    out
}

/// Runs of English letters that stand apart from digits.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let parts = text.split(|c: char| !(c.is_alphanumeric() || c == '_'));
    let is_hex = |word: &str| word.len() >= 8 && word.bytes().all(|byte| matches!(byte, b'a'..=b'f'));
    parts
        .flat_map(|part| part.split('_'))
        .filter(move |word| word.len() > 1 && word.bytes().all(|byte| byte.is_ascii_alphabetic()) && !is_hex(word))
}

/// What people wrote into the job's own files: names, reasons, notes; no keys and no codes.
fn written_by_people(folder: &Path) -> Vec<String> {
    const KEYS: &str = " number title claim edition id name location depth material serial file unit asset reason \
        placed_by removed_by placed_reason removed_reason by ended_reason note instruments purpose points chamber \
        dry_standard before_drying_reason ";
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap_or_default();
    let mut texts = Vec::new();
    let mut section = String::new();
    for line in read("job.toml").lines() {
        if line.starts_with('[') {
            section = line.to_owned();
        }
        let Some((key, value)) = line.split_once('=') else { continue };
        let key = key.trim();
        if KEYS.contains(&format!(" {key} ")) || (key == "kind" && ["[[meter]]", "[[material]]"].contains(&&*section)) {
            texts.extend(value.split('"').map(str::to_owned));
        }
    }
    for name in ["readings.csv", "air.csv", "visits.csv"] {
        texts.extend(read(name).lines().skip(1).flat_map(|line| line.split([',', '"'])).map(str::to_owned));
    }
    texts.retain(|text| !CODES.contains(&text.trim()));
    texts
}

/// What was said of the files as they were read, which is English in every report; the longest first.
fn said_in_reading(judged: &Judged) -> Vec<String> {
    fn strings(value: &Value, out: &mut Vec<String>) {
        match value {
            // A single word may be part of another.
            Value::String(text) if text.contains([' ', '.', '-']) => out.push(text.clone()),
            Value::Array(items) => items.iter().for_each(|item| strings(item, out)),
            Value::Object(fields) => fields.values().for_each(|field| strings(field, out)),
            _ => {}
        }
    }
    let mut out = Vec::new();
    strings(&serde_json::to_value(&judged.reading.ledger).unwrap(), &mut out);
    out.sort_by_key(|text| std::cmp::Reverse(text.len()));
    out.dedup();
    out
}

/// A line without what was said in reading.
fn without(line: &str, reading: &[String]) -> String {
    if words(line).next().is_none() {
        return String::new();
    }
    reading
        .iter()
        .filter(|text| line.contains(text.as_str()))
        .fold(line.to_owned(), |line, text| line.replace(text, " "))
}

/// Texts of the summary by their keys; what stands under other keys is for programs.
fn texts(value: &Value, key: &str, found: &mut String) {
    const KEYS: [&str; 25] = [
        "text",
        "threshold",
        "why",
        "why_not",
        "sentences",
        "rests_on",
        "remedy",
        "source",
        "add",
        "method",
        "assumption",
        "caution",
        "category",
        "class",
        "equipment_day",
        "air",
        "label",
        "inlet",
        "outlet",
        "kind_words",
        "purpose",
        "by",
        "clock_words",
        "reason",
        "name",
    ];
    match value {
        Value::String(text) if KEYS.contains(&key) => {
            found.push_str(text);
            found.push('\n');
        }
        Value::Array(items) => items.iter().for_each(|item| texts(item, key, found)),
        Value::Object(fields) => fields.iter().for_each(|(key, field)| texts(field, key, found)),
        _ => {}
    }
}

/// What a reader sees of markup: text outside tags, scripts and styles, and the attributes that are read out.
fn visible(markup: &str) -> String {
    let mut out = String::new();
    let mut rest = markup;
    while let Some((before, after)) = rest.split_once('<') {
        out.push_str(before);
        out.push('\n');
        let name = after.split(|c: char| !c.is_ascii_alphanumeric()).next().unwrap_or_default();
        let after = match name {
            "script" | "style" => after.split_once(&format!("</{name}")).map_or("", |(_, after)| after),
            _ => after,
        };
        let (tag, after) = after.split_once('>').unwrap_or(("", ""));
        for attribute in ["aria-label=\"", "alt=\"", "title=\"", "placeholder=\""] {
            let values = tag.split(attribute).skip(1).filter_map(|value| value.split_once('"'));
            values.for_each(|(value, _)| out += &format!("{value}\n"));
        }
        rest = after;
    }
    out.push_str(rest);
    let entities = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#x27;", "'"), ("&#x2f;", "/"), ("&amp;", "&")];
    entities.iter().fold(out, |out, (entity, character)| out.replace(entity, character))
}

/// The strings of the page's data that its script shows.
fn said_by_script(page: &str) -> String {
    let start = page.find("type=\"application/json\"").expect("the data of the script");
    let json = page[start..].split_once('>').unwrap().1.split_once("</script").unwrap().0;
    fn strings(value: &Value, key: &str, out: &mut String) {
        match value {
            // How dates are written is a code, colours and forms of lines are too.
            Value::String(text) if !["dates", "colour", "id", "kind", "dash"].contains(&key) => {
                *out += &format!("{text}\n")
            }
            Value::Array(items) => items.iter().for_each(|item| strings(item, key, out)),
            Value::Object(fields) => {
                fields.iter().filter(|(key, _)| *key != "forms").for_each(|(key, field)| strings(field, key, out))
            }
            _ => {}
        }
    }
    let mut out = String::new();
    strings(&serde_json::from_str(json).unwrap(), "", &mut out);
    out
}

/// The words of a PDF, where a reader is installed.
#[allow(clippy::print_stderr)] // A skipped part says so.
fn pdf_text(bytes: &[u8]) -> Option<String> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("report.pdf"), bytes).unwrap();
    let read = Command::new("pdftotext").args(["-layout", "report.pdf", "-"]).current_dir(folder.path()).output();
    match read {
        Ok(read) => Some(String::from_utf8_lossy(&read.stdout).into_owned()),
        Err(_) => {
            eprintln!("skipped: the PDF, as pdftotext is not installed");
            None
        }
    }
}

fn report(judged: &Judged, words: Words) -> Outputs {
    let settings = Settings { words, ..Settings::default() };
    let input = RenderInput {
        analysis: &judged.analysis,
        frame: &judged.reading.frame,
        ledger: &judged.reading.ledger,
        job_files: &[],
        settings: &settings,
    };
    render(&input, &|_| {}).unwrap()
}

fn jobs_page(evidence: &Evidence, words: Words) -> String {
    let line = JobLine::of(evidence, 0);
    let job = |path: &str, outcome| Job {
        path: path.to_owned(),
        href: path.to_owned(),
        has_report: true,
        outcome,
        needs: Vec::new(),
    };
    let jobs = vec![job("a", JobOutcome::Judged(line)), job("b", JobOutcome::NotRead { reason: "?".to_owned() })];
    page::page(words, &Jobs::new(words, "c".to_owned(), jobs)).unwrap()
}

/// No text of a report is in English letters but what is from data, and no number has a decimal point.
fn check(folder: &Path, as_of: Option<DateTime<Utc>>) {
    let language = another_language();
    let judged = judge_in(folder, as_of, language);
    let people = written_by_people(folder);
    let names: BTreeSet<&str> = people.iter().flat_map(|text| words(text)).chain(SAME_EVERYWHERE).collect();
    let reading = said_in_reading(&judged);
    // Lines that say what to write into which file name the codes that stand there.
    let to_add = FILES.map(other_text);
    let outputs = report(&judged, language);
    let file = |name: &str| String::from_utf8(outputs.files[name].clone()).unwrap();
    let mut said: BTreeMap<String, String> = BTreeMap::new();
    let mut summary = String::new();
    texts(&serde_json::from_str(&file("summary.json")).unwrap(), "", &mut summary);
    said.insert("summary.json".to_owned(), summary);
    said.insert("report.html".to_owned(), visible(&file("report.html")));
    said.insert("the script of report.html".to_owned(), said_by_script(&file("report.html")));
    said.insert("jobs.html".to_owned(), visible(&jobs_page(&judged.analysis.evidence, language)));
    for (name, bytes) in outputs.files.iter().filter(|(name, _)| name.ends_with(".svg")) {
        said.insert(name.clone(), visible(&String::from_utf8(bytes.clone()).unwrap()));
    }
    said.extend(pdf_text(&outputs.files["report.pdf"]).map(|text| ("report.pdf".to_owned(), text)));
    let mut left: BTreeMap<String, String> = BTreeMap::new();
    let mut read = 0;
    for (name, text) in &said {
        assert!(text.chars().any(|c| SMALL.contains(c)), "{name} says nothing in the language");
        // The lines of a PDF are broken anywhere: there the words of what was said in reading are left out one by one.
        let broken = name == "report.pdf";
        let mut own: BTreeSet<&str> = BTreeSet::new();
        if broken {
            own.extend(reading.iter().flat_map(|text| words(text)));
            own.extend(FILES.iter().flat_map(|name| words(name)));
        }
        for line in text.lines() {
            read += 1;
            let line = FILES.iter().fold(line.replace('\u{200b}', ""), |line, name| line.replace(name, " "));
            // A name that was cut ends in the middle of a word.
            let whole = line.split_inclusive('…').map(|part| match part.strip_suffix('…') {
                Some(cut) => cut.trim_end_matches(char::is_alphanumeric),
                None => part,
            });
            let line: String = whole.collect();
            let rest = if broken { line.clone() } else { without(&line, &reading) };
            let is_to_add = to_add.iter().any(|file| line.contains(file));
            let may_stand = |word: &str| match CODES.contains(&word) {
                true => {
                    broken || is_to_add || people.iter().any(|text| text.contains(word) && line.contains(text.trim()))
                }
                false => names.contains(word) || own.contains(word),
            };
            let english = words(&rest).find(|word| !may_stand(word)).map(str::to_owned);
            if let Some(word) = english {
                left.entry(word).or_insert_with(|| format!("{name}: {}", line.trim()));
            }
        }
    }
    assert!(read > 1000, "{read} lines read");
    assert!(left.is_empty(), "{} words in English letters: {left:#?}", left.len());
    for name in said.keys().filter(|name| name.ends_with(".svg")) {
        let text = &said[name];
        let point = text.lines().find(|line| {
            let bytes = line.as_bytes();
            let is_digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
            (1..bytes.len()).any(|at| bytes[at] == b'.' && is_digit(at - 1) && is_digit(at + 1))
        });
        assert!(point.is_none(), "{name}: a decimal point in `{}`", point.unwrap_or_default());
    }
}

#[test]
fn the_sample_report_holds_no_english_word() {
    check(&root().join("sample-data/larch-street"), None);
}

#[test]
fn a_report_full_of_findings_holds_no_english_word() {
    let (_, make) = scenarios::ON_REQUEST.iter().find(|(name, _)| *name == "three-problems").unwrap();
    let made = Made::from_scenario(make().unwrap()).unwrap();
    let folder = tempfile::tempdir().unwrap();
    export::write_job(made.simulation.scenario(), &made.record, folder.path()).unwrap();
    check(folder.path(), None);
    // Half way through, when goals are open and nothing can leave yet.
    let judged = judge_in(folder.path(), None, Words::default());
    let evidence = &judged.analysis.evidence;
    let start = evidence.job.record_from.unwrap();
    check(folder.path(), Some(start + (evidence.clock - start) / 2));
}

#[test]
fn reports_of_faulty_records_hold_no_english_word() {
    for name in ["everything at once", "faulty loggers", "rewetting", "unreachable goal"] {
        let suite = scenarios::SUITE.iter().find(|one| one.name == name).unwrap();
        let made = Made::from_scenario((suite.make)(3).unwrap()).unwrap();
        let folder = tempfile::tempdir().unwrap();
        export::write_job(made.simulation.scenario(), &made.record, folder.path()).unwrap();
        check(folder.path(), None);
    }
}
