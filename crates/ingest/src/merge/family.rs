//! Files that belong together though no serial number says so: copies of one download, and one file per quantity.
//!
//! A name alone is never enough. Copies must say the same wherever they overlap; files of one quantity each must have
//! different quantities and share their instants.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_record::{Certainty, Decision, Quantity};

use super::{FilePart, Note, same, stem, without_extension};
use crate::columns::heading::{pieces, tokens};
use crate::notes::quoted;
use crate::words::{longest, words};

/// The path under which a file is taken, for each that belongs to another's family.
pub(super) fn names(parts: &[FilePart]) -> (BTreeMap<String, String>, Vec<Note>) {
    let mut files: BTreeMap<&str, Vec<&FilePart>> = BTreeMap::new();
    for one in parts.iter().filter(|one| one.part.serial.is_none()) {
        files.entry(&one.file).or_default().push(one);
    }
    let mut names = BTreeMap::new();
    let mut notes = Vec::new();
    copies(&files, &mut names, &mut notes);
    quantities(&files, &mut names, &mut notes);
    (names, notes)
}

/// `x.csv` and `x (1).csv` whose rows are the same wherever both have one.
fn copies(files: &BTreeMap<&str, Vec<&FilePart>>, names: &mut BTreeMap<String, String>, notes: &mut Vec<Note>) {
    let mut families: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    for file in files.keys() {
        families.entry(without_copy_marks(file)).or_default().push(file);
    }
    for (plain, members) in families.into_iter().filter(|(_, members)| members.len() > 1) {
        // The file without a mark is the one the others are compared with.
        let first = members.iter().find(|file| **file == plain).or(members.first());
        let Some(first) = first.copied() else { continue };
        let alike: Vec<&str> =
            members.into_iter().filter(|file| *file != first && repeats(&files[first], &files[*file])).collect();
        if alike.is_empty() {
            continue;
        }
        names.insert(first.to_owned(), plain.clone());
        for file in alike {
            names.insert(file.to_owned(), plain.clone());
            notes.push(note(
                file,
                "same log as",
                first,
                "the names differ by a copy's mark only, and the rows say the same wherever both files have one",
            ));
        }
    }
}

/// Whether a part is the only one of a sheet and is told from others by the sheet's name alone.
pub(super) fn is_sheet(one: &FilePart) -> bool {
    let book = one.part.named.as_deref().and_then(|book| one.file.strip_prefix(book)?.strip_prefix('/'));
    book.is_some() && one.part.label.as_deref() == book
}

/// `hall_temp.csv` and `hall_rh.csv` with the same instants, or sheets named so.
fn quantities(files: &BTreeMap<&str, Vec<&FilePart>>, names: &mut BTreeMap<String, String>, notes: &mut Vec<Note>) {
    let mut families: BTreeMap<(String, String), Vec<&str>> = BTreeMap::new();
    for (file, parts) in files {
        if let [one] = &parts[..]
            && (one.part.label.is_none() || is_sheet(one))
            && !names.contains_key(*file)
            && let Some(rest) = without_quantity(stem(file))
        {
            families.entry((folder(file).to_owned(), rest.to_lowercase())).or_default().push(file);
        }
    }
    for ((folder, _), members) in families.into_iter().filter(|(_, members)| members.len() > 1) {
        let of = |file: &str| -> BTreeSet<Quantity> { files[file][0].part.values.keys().copied().collect() };
        let all: usize = members.iter().map(|file| of(file).len()).sum();
        let distinct: BTreeSet<Quantity> = members.iter().flat_map(|file| of(file)).collect();
        let first = &files[members[0]][0].part.time;
        let together = members[1..].iter().all(|file| share_instants(first, &files[*file][0].part.time));
        if distinct.len() != all || !together {
            continue;
        }
        let rest = without_quantity(stem(members[0])).unwrap_or_default();
        let book = members.iter().all(|file| is_sheet(files[*file][0]));
        let name = if !rest.is_empty() {
            rest
        } else if let Some(last) = folder.rsplit('/').next().filter(|last| !last.is_empty()) {
            if book { stem(last).to_owned() } else { last.to_owned() }
        } else {
            members.iter().map(|file| stem(file)).collect::<Vec<_>>().join("+")
        };
        let path = if folder.is_empty() { name.clone() } else { format!("{folder}/{name}") };
        if files.keys().any(|file| without_extension(file) == path || stem(file) == name) {
            continue;
        }
        for file in &members {
            names.insert((*file).to_owned(), path.clone());
            let others = quoted(members.iter().copied().filter(|other| other != file), 8);
            let reason = format!("{others} holds other quantities at the same instants under the same name");
            notes.push(note(file, "part of the logger", &name, &reason));
        }
    }
}

fn note(file: &str, topic: &str, value: &str, reason: &str) -> Note {
    Note {
        file: file.to_owned(),
        decision: Decision {
            topic: topic.into(),
            value: value.into(),
            reason: reason.into(),
            certainty: Certainty::Settled,
        },
        shift: TimeDelta::zero(),
    }
}

fn folder(path: &str) -> &str {
    path.rsplit_once('/').map_or("", |(folder, _)| folder)
}

/// A path without what systems add to the name of a copy.
fn without_copy_marks(path: &str) -> String {
    let plain = without_extension(path);
    let extension = &path[plain.len()..];
    let mut name = stem(path);
    loop {
        let before = name;
        if let Some(rest) = name.strip_suffix(')')
            && let Some((rest, number)) = rest.rsplit_once('(')
            && (1..=3).contains(&number.len())
            && number.bytes().all(|b| b.is_ascii_digit())
        {
            name = rest.trim_end_matches([' ', '_', '-']);
        }
        for word in words().copy_marks() {
            let end = name.len().checked_sub(word.len()).and_then(|at| Some((name.get(..at)?, name.get(at..)?)));
            if let Some((rest, end)) = end
                && end.to_lowercase() == word
                && rest.ends_with([' ', '_', '-'])
            {
                name = rest.trim_end_matches([' ', '_', '-', '–']);
            }
            let start = name.get(..word.len()).zip(name.get(word.len()..));
            if let Some((start, rest)) = start
                && start.to_lowercase() == word
                && rest.starts_with(' ')
            {
                name = rest.trim_start();
            }
        }
        if name == before || name.is_empty() {
            break;
        }
    }
    if name.is_empty() {
        return path.to_owned();
    }
    let folder = folder(path);
    if folder.is_empty() { format!("{name}{extension}") } else { format!("{folder}/{name}{extension}") }
}

/// A name without its words for a quantity; `None` when it has none.
fn without_quantity(name: &str) -> Option<String> {
    let found = longest(&words().quantities, &tokens(name))?;
    let mut end = 0;
    let places: Vec<(usize, usize)> = pieces(name)
        .iter()
        .filter_map(|piece| {
            let start = end + name.get(end..)?.find(piece.as_str())?;
            end = start + piece.len();
            Some((start, end))
        })
        .collect();
    let (start, end) = (places.get(found.start)?.0, places.get(found.start + found.len - 1)?.1);
    let marks = ['_', '-', ' ', '.', ',', '(', ')'];
    let (before, after) = (name[..start].trim_end_matches(marks), name[end..].trim_start_matches(marks));
    let mark = if before.is_empty() || after.is_empty() { "" } else { name.get(before.len()..=before.len())? };
    Some(format!("{before}{mark}{after}").trim_matches(marks).to_owned())
}

/// Whether two files of the same channels agree wherever they overlap, and do overlap.
fn repeats(first: &[&FilePart], second: &[&FilePart]) -> bool {
    let mut common = 0_usize;
    for other in second {
        let Some(one) = first.iter().find(|one| one.part.label == other.part.label) else { return false };
        let rows: BTreeMap<DateTime<Utc>, usize> =
            one.part.time.iter().enumerate().map(|(at, time)| (*time, at)).collect();
        for (at, time) in other.part.time.iter().enumerate() {
            let Some(row) = rows.get(time) else { continue };
            for (quantity, values) in &other.part.values {
                let known = one.part.values.get(quantity).and_then(|known| known[*row]);
                if let (Some(known), Some(value)) = (known, values[at]) {
                    if !same(known, value) {
                        return false;
                    }
                    common += 1;
                }
            }
        }
    }
    common > 0
}

/// Whether at least half of the instants of the shorter list are in the longer one.
fn share_instants(a: &[DateTime<Utc>], b: &[DateTime<Utc>]) -> bool {
    let (short, long) = if a.len() <= b.len() { (a, b) } else { (b, a) };
    let known: BTreeSet<DateTime<Utc>> = long.iter().copied().collect();
    let common = short.iter().filter(|time| known.contains(time)).count();
    common > 0 && common * 2 >= short.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_of_copies() {
        for path in [
            "a/hall (1).csv",
            "a/hall(2).csv",
            "a/hall - Copy.csv",
            "a/hall - Copy (3).csv",
            "a/hall_copy.csv",
            "a/Copy of hall.csv",
            "a/hall - Kopie.csv",
        ] {
            assert_eq!(without_copy_marks(path), "a/hall.csv", "{path}");
        }
        for path in ["hall 2.csv", "hall-1.csv", "photocopy.csv", "(1).csv", "hall (2024).csv"] {
            assert_eq!(without_copy_marks(path), path);
        }
    }

    #[test]
    fn names_without_their_quantity() {
        assert_eq!(without_quantity("hall_temp").as_deref(), Some("hall"));
        assert_eq!(without_quantity("Relative Humidity north-2").as_deref(), Some("north-2"));
        assert_eq!(without_quantity("humidity").as_deref(), Some(""));
        assert_eq!(without_quantity("hall RH 2024-03-04").as_deref(), Some("hall 2024-03-04"));
        assert_eq!(without_quantity("hall"), None);
    }
}
