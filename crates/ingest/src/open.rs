//! One file of the folder to the files within it: itself, the file that is packed in it, the members of an archive,
//! the sheets of a workbook.
//!
//! What is within has a path of its own: `archive.zip/member.csv`, `book.xlsx/Sheet1`. A workbook of which one sheet
//! alone is a log keeps its own path.

use std::collections::BTreeMap;

use grainfall_record::Outcome;

use crate::container::unpack::{Shut, gunzip, unzip};
use crate::container::{Container, Workbook, container};
use crate::file::{FileRead, Outside, read, read_sheet};
use crate::hints::Said;
use crate::notes::{Notes, count, cut, quoted};
use crate::table::Grid;

impl From<Shut> for Outcome {
    fn from(shut: Shut) -> Self {
        Self::Refused { reason: shut.reason, remedy: shut.remedy }
    }
}

/// Reads everything within the bytes of a file.
pub(crate) fn open(name: &str, bytes: &[u8], said: Said<'_>) -> Vec<FileRead> {
    match container(bytes) {
        Container::Gzip => gzip(name, bytes, said),
        Container::Zip => zip(name, bytes, said),
        Container::Workbook(form) => workbook(name, bytes, form, said),
        Container::Text => {
            let mut notes = Notes::default();
            if let Some(ending) = ending(name, &["xlsx", "xlsm", "xls", "ods", "zip", "gz"]) {
                if let Some(shut) = markup(bytes, ending) {
                    return vec![Outside::of(name, bytes).ended(shut.into())];
                }
                notes.settled(
                    "kind of file",
                    "text",
                    format!("by its first bytes, though its name ends with `.{ending}`"),
                );
            }
            read(name, bytes, said, notes)
        }
        Container::Closed { .. } | Container::Other { .. } => read(name, bytes, said, Notes::default()),
    }
}

/// Files within archives that hold what another file holds are read once.
pub(crate) fn same_content(mut read: Vec<FileRead>) -> Vec<FileRead> {
    let used = |one: &FileRead| matches!(one.input.outcome, Outcome::Read { .. }) && !one.content.is_empty();
    let mut firsts: BTreeMap<String, String> = BTreeMap::new();
    for inner in [false, true] {
        for one in read.iter().filter(|one| used(one) && one.packed == inner) {
            firsts.entry(one.content.clone()).or_insert_with(|| one.input.path.clone());
        }
    }
    for one in read.iter_mut().filter(|one| used(one) && one.packed) {
        let first = &firsts[&one.content];
        if *first != one.input.path {
            one.input.outcome = Outcome::SameAs { path: first.clone() };
            one.input.decisions.clear();
            one.input.refused.clear();
            one.parts.clear();
        }
    }
    read
}

/// The ending of a name when it is one of these.
fn ending<'e>(name: &str, endings: &[&'e str]) -> Option<&'e str> {
    let (_, last) = name.rsplit_once('.')?;
    endings.iter().find(|ending| last.eq_ignore_ascii_case(ending)).copied()
}

/// A web page under the name of a spreadsheet, as some programs write it.
fn markup(bytes: &[u8], ending: &str) -> Option<Shut> {
    let start: Vec<u8> =
        bytes.iter().copied().filter(|b| !matches!(b, 0 | 0xEF | 0xBB | 0xBF | 0xFE | 0xFF)).take(64).collect();
    start.trim_ascii_start().starts_with(b"<").then(|| {
        Shut::new(
            format!("a page of markup, though its name ends with `.{ending}`"),
            "open it in a spreadsheet program and save it as xlsx or CSV",
        )
    })
}

/// One file packed by gzip. Its name without `.gz` names its logger.
fn gzip(name: &str, bytes: &[u8], said: Said<'_>) -> Vec<FileRead> {
    let outside = Outside::of(name, bytes);
    let inner = match gunzip(bytes) {
        Ok(inner) => inner,
        Err(shut) => return vec![outside.ended(shut.into())],
    };
    let mut notes = Notes::default();
    notes.settled("packed", "gzip", format!("unpacked to {} bytes", inner.len()));
    let mut all = match container(&inner) {
        Container::Workbook(form) => {
            let all = workbook(name, &inner, form, said);
            if all.len() > 1 {
                let shut = Shut::new("a packed workbook of several sheets", "unpack it and put it into the folder");
                return vec![outside.ended(shut.into())];
            }
            all
        }
        _ => read(name, &inner, said, notes),
    };
    if all.is_empty() {
        return vec![outside.ended(Outcome::NotALog { reason: "a workbook without sheets".into() })];
    }
    let plain = name.get(..name.len().saturating_sub(3)).filter(|_| ending(name, &["gz"]).is_some());
    for one in &mut all {
        if one.content.is_empty() {
            one.content.clone_from(&one.input.sha256);
        }
        one.input.sha256.clone_from(&outside.sha256);
        one.input.bytes = outside.bytes;
        one.packed = true;
        if let Some(plain) = plain {
            one.parts.iter_mut().for_each(|part| part.named = Some(plain.to_owned()));
        }
    }
    all
}

/// The members of a zip archive, behind an entry of the archive itself.
fn zip(name: &str, bytes: &[u8], said: Said<'_>) -> Vec<FileRead> {
    let outside = Outside::of(name, bytes);
    let members = match unzip(bytes) {
        Ok(members) => members,
        Err(shut) => return vec![outside.ended(shut.into())],
    };
    let reason = match members.len() {
        0 => "a zip archive without files".to_owned(),
        number => format!("a zip archive of {}, listed on their own", count(number, "file", "files")),
    };
    let mut all = vec![outside.ended(Outcome::NotALog { reason })];
    for member in members {
        let path = format!("{name}/{}", member.path);
        if !said.is_wanted(&path) {
            continue;
        }
        let bytes = match member.bytes {
            Ok(bytes) => bytes,
            Err(shut) => {
                all.push(Outside { path, sha256: String::new(), bytes: 0 }.ended(shut.into()));
                continue;
            }
        };
        match container(&bytes) {
            Container::Workbook(form) => all.extend(workbook(&path, &bytes, form, said)),
            _ => all.extend(read(&path, &bytes, said, Notes::default())),
        }
    }
    all.iter_mut().skip(1).for_each(|one| one.packed = true);
    all
}

/// The sheets of a workbook. One sheet with a log keeps the workbook's path; several have their names behind it.
fn workbook(name: &str, bytes: &[u8], form: Workbook, said: Said<'_>) -> Vec<FileRead> {
    let outside = Outside::of(name, bytes);
    let sheets = match form.sheets(bytes) {
        Ok(sheets) => sheets,
        Err(shut) => return vec![outside.ended(shut.into())],
    };
    let all = sheets.len();
    let mut grids = Vec::new();
    let mut empty = Vec::new();
    for (sheet, cells) in sheets {
        let mut notes = Notes::default();
        if ending(name, &["csv", "txt", "tsv"]).is_some() {
            notes.settled("kind of file", form.name(), "by its first bytes, whatever its name says");
        }
        match cells {
            Ok(cells) if cells.is_empty() => empty.push(sheet),
            Ok(cells) => {
                let grid = cells.grid(&mut notes);
                grids.push((sheet, grid, notes));
            }
            Err(shut) => grids.push((sheet, Err(shut), notes)),
        }
    }
    let read_grid = |path: String, grid: &Result<Grid, Shut>, notes: &Notes| {
        let within = Outside { path, ..outside.clone() };
        match grid {
            Ok(grid) => read_sheet(within, grid, said, notes.clone()),
            Err(shut) => within.ended(shut.clone().into()),
        }
    };
    let path_of = |sheet: &str| format!("{name}/{}", cut(sheet, 60).replace('/', "-"));
    let mut read: Vec<(String, FileRead)> = grids
        .iter()
        .map(|(sheet, grid, notes)| {
            let path = if grids.len() == 1 { name.to_owned() } else { path_of(sheet) };
            (sheet.clone(), read_grid(path, grid, notes))
        })
        .collect();
    let is_log = |one: &FileRead| !matches!(one.input.outcome, Outcome::NotALog { .. });
    let logs = read.iter().filter(|(_, one)| is_log(one)).count();
    let content = |sheet: &str| format!("{}/{sheet}", outside.sha256);
    match logs {
        0 => {
            let reason = match read.len() {
                0 => format!("{} without a filled cell", form.name()),
                _ => format!(
                    "{} without rows of numbers beside a time in {}",
                    form.name(),
                    quoted(read.iter().map(|(sheet, _)| sheet.as_str()), 8)
                ),
            };
            vec![outside.clone().ended(Outcome::NotALog { reason })]
        }
        1 => {
            let chosen = read.iter().find(|(_, one)| is_log(one)).map(|(sheet, _)| sheet.clone()).unwrap_or_default();
            let others: Vec<&String> =
                read.iter().map(|(sheet, _)| sheet).chain(&empty).filter(|sheet| **sheet != chosen).collect();
            let reason = match others.len() {
                0 => format!("the only sheet of {}", form.name()),
                _ => format!(
                    "the only one of {all} sheets of {} with a log; not read: {}",
                    form.name(),
                    quoted(others.iter().map(|sheet| sheet.as_str()), 8)
                ),
            };
            // Under the workbook's own name, which is also the one to put into the job.
            let again = grids.iter().filter(|(sheet, ..)| *sheet == chosen);
            let mut kept: Vec<FileRead> =
                again.take(1).map(|(_, grid, notes)| read_grid(name.to_owned(), grid, notes)).collect();
            for one in &mut kept {
                one.content = content(&chosen);
                one.input.decisions.insert(0, sheet_decision(&chosen, reason.clone()));
            }
            kept
        }
        _ => {
            let reason = format!("{}; {logs} sheets with logs are listed on their own", form.name());
            let mut kept = vec![outside.clone().ended(Outcome::NotALog { reason })];
            read.retain(|(_, one)| is_log(one));
            for (sheet, mut one) in read {
                one.content = content(&sheet);
                one.input
                    .decisions
                    .insert(0, sheet_decision(&sheet, format!("one of {logs} sheets with logs of {}", form.name())));
                for part in &mut one.parts {
                    part.lies_within(name, &sheet);
                }
                kept.push(one);
            }
            kept
        }
    }
}

fn sheet_decision(sheet: &str, reason: String) -> grainfall_record::Decision {
    grainfall_record::Decision {
        topic: "sheet".into(),
        value: cut(sheet, 60),
        reason,
        certainty: grainfall_record::Certainty::Settled,
    }
}
