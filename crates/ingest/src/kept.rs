//! A file read before: what it gave, written down so that equal bytes under equal hints need not be read again.
//!
//! The form is private to one build of the program (the store sees to that): a head in JSON, then the columns of every
//! part, little-endian.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use grainfall_keep::{Key, Store};
use grainfall_record::{InputFile, Quantity, ReadingHints};
use serde::{Deserialize, Serialize};

use crate::clock::Fixed;
use crate::file::{FileRead, sha256};
use crate::hints::{Said, within};
use crate::open::open;
use crate::part::Part;
use crate::siblings::Shown;

/// Smaller files are read as fast as they are found in a store.
const SMALLEST: usize = 2048;

/// What was read before, under what is said of the files of one job.
pub(crate) struct Kept<'a> {
    store: &'a Store,
    said: Said<'a>,
    /// The hints as bytes: all but the paths that are no exports, on which no file's content rests.
    hints: String,
}

impl<'a> Kept<'a> {
    pub fn new(store: &'a Store, said: Said<'a>) -> Self {
        let hints = format!("{:?}", ReadingHints { not_exports: Vec::new(), ..said.hints.clone() });
        Self { store, said, hints }
    }

    /// What is within the bytes of a file: as it was read before, else read now and kept.
    pub fn open(&self, name: &str, bytes: &[u8]) -> Vec<FileRead> {
        if !self.store.keeps() || bytes.len() < SMALLEST {
            return open(name, bytes, self.said);
        }
        let key = self.key(name, bytes);
        if let Some(read) = self.store.get(&key).and_then(|kept| decode(&kept)) {
            return read;
        }
        let read = open(name, bytes, self.said);
        if let Some(kept) = encode(&read) {
            self.store.put(&key, &kept);
        }
        read
    }

    fn key(&self, name: &str, bytes: &[u8]) -> Key {
        let others = self.said.others.map(|others| within(others, name));
        let said = format!("{} {others:?}", self.hints);
        self.store.key("reading", &[name.as_bytes(), said.as_bytes(), sha256(bytes).as_bytes()])
    }
}

/// A file without its columns.
#[derive(Serialize, Deserialize)]
struct FileHead {
    input: InputFile,
    content: String,
    packed: bool,
    shown: Option<Shown>,
    parts: Vec<PartHead>,
}

/// A part without its columns.
#[derive(Serialize, Deserialize)]
struct PartHead {
    serial: Option<String>,
    named: Option<String>,
    channel: Option<String>,
    label: Option<String>,
    clock: String,
    /// Zone and offset of a clock that never changes.
    fixed: Option<(String, i32)>,
    rows: usize,
    quantities: Vec<Quantity>,
}

/// `None` where the head cannot be written as JSON.
fn encode(files: &[FileRead]) -> Option<Vec<u8>> {
    let heads: Vec<FileHead> = files
        .iter()
        .map(|FileRead { input, parts, content, packed, shown }| FileHead {
            input: input.clone(),
            content: content.clone(),
            packed: *packed,
            shown: shown.clone(),
            parts: parts.iter().map(part_head).collect(),
        })
        .collect();
    let heads = serde_json::to_vec(&heads).ok()?;
    let mut out = (heads.len() as u64).to_le_bytes().to_vec();
    out.extend(heads);
    for part in files.iter().flat_map(|file| &file.parts) {
        for time in &part.time {
            out.extend(time.timestamp().to_le_bytes());
            out.extend(time.timestamp_subsec_nanos().to_le_bytes());
        }
        part.row.iter().for_each(|row| out.extend(row.to_le_bytes()));
        for value in part.values.values().flatten() {
            out.push(u8::from(value.is_some()));
            out.extend(value.unwrap_or_default().to_le_bytes());
        }
    }
    Some(out)
}

fn part_head(part: &Part) -> PartHead {
    let Part { serial, named, channel, label, time, row: _, values, clock, fixed } = part;
    PartHead {
        serial: serial.clone(),
        named: named.clone(),
        channel: channel.clone(),
        label: label.clone(),
        clock: clock.clone(),
        fixed: fixed.map(|fixed| (fixed.zone.name().to_owned(), fixed.seconds)),
        rows: time.len(),
        quantities: values.keys().copied().collect(),
    }
}

/// `None` for bytes that no [`encode`] wrote.
fn decode(bytes: &[u8]) -> Option<Vec<FileRead>> {
    let mut rest = Rest(bytes);
    let length = usize::try_from(u64::from_le_bytes(rest.take()?)).ok()?;
    let heads: Vec<FileHead> = serde_json::from_slice(rest.slice(length)?).ok()?;
    let mut files = Vec::with_capacity(heads.len());
    for FileHead { input, content, packed, shown, parts } in heads {
        let parts = parts.into_iter().map(|head| part(head, &mut rest)).collect::<Option<_>>()?;
        files.push(FileRead { input, parts, content, packed, shown });
    }
    rest.0.is_empty().then_some(files)
}

fn part(head: PartHead, rest: &mut Rest<'_>) -> Option<Part> {
    let PartHead { serial, named, channel, label, clock, fixed, rows, quantities } = head;
    let fixed = match fixed {
        Some((zone, seconds)) => Some(Fixed { zone: zone.parse::<Tz>().ok()?, seconds }),
        None => None,
    };
    let time = (0..rows).map(|_| instant(rest)).collect::<Option<_>>()?;
    let row = (0..rows).map(|_| rest.take().map(u64::from_le_bytes)).collect::<Option<_>>()?;
    let values = quantities
        .into_iter()
        .map(|quantity| Some((quantity, (0..rows).map(|_| value(rest)).collect::<Option<_>>()?)))
        .collect::<Option<_>>()?;
    Some(Part { serial, named, channel, label, time, row, values, clock, fixed })
}

fn instant(rest: &mut Rest<'_>) -> Option<DateTime<Utc>> {
    let (seconds, nanos) = (i64::from_le_bytes(rest.take()?), u32::from_le_bytes(rest.take()?));
    DateTime::from_timestamp(seconds, nanos)
}

#[allow(clippy::option_option)] // No bytes left, or a value that is missing.
fn value(rest: &mut Rest<'_>) -> Option<Option<f64>> {
    let [present] = rest.take()?;
    let value = f64::from_le_bytes(rest.take()?);
    Some((present == 1).then_some(value))
}

/// Bytes not yet taken.
struct Rest<'a>(&'a [u8]);

impl<'a> Rest<'a> {
    fn slice(&mut self, length: usize) -> Option<&'a [u8]> {
        let (taken, rest) = self.0.split_at_checked(length)?;
        self.0 = rest;
        Some(taken)
    }

    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        self.slice(N)?.try_into().ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A file with two channels, a cell that is missing and one that is refused.
    fn log() -> String {
        let rows = (0..100).map(|n| format!("2025-03-08 {:02}:{:02},{}.1,40,{},41\n", n / 60, n % 60, n % 30, n % 20));
        "Serial: K7\nTime (UTC),Hall Temp (C),Hall RH (%),Den Temp (C),Den RH (%)\n".to_owned()
            + &rows.collect::<String>()
            + "2025-03-08 02:00,,40,5,x\n"
    }

    fn told(read: &[FileRead]) -> String {
        format!("{read:?}")
    }

    #[test]
    fn what_is_found_again_is_what_was_read() {
        let hints = ReadingHints { time_zone: Some(chrono_tz::America::Chicago), ..ReadingHints::default() };
        let read = open("a.csv", log().as_bytes(), Said::by_job(&hints));
        assert!(read.iter().any(|file| file.parts.len() == 2 && !file.input.refused.is_empty()), "{read:?}");
        let kept = encode(&read).unwrap();
        assert_eq!(told(&decode(&kept).unwrap()), told(&read));
        for cut in (0..kept.len()).step_by(7) {
            assert!(decode(&kept[..cut]).is_none(), "cut to {cut} bytes");
        }
    }

    #[test]
    fn a_file_is_read_once_under_equal_hints() {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path(), "test").unwrap();
        let hints = ReadingHints::default();
        let kept = Kept::new(&store, Said::by_job(&hints));
        let (text, other) = (log(), log().replace("K7", "K8"));
        assert_eq!(
            told(&kept.open("a.csv", text.as_bytes())),
            told(&open("a.csv", text.as_bytes(), Said::by_job(&hints)))
        );
        // A false entry shows that the second reading is the kept one.
        let mut planted = decode(&store.get(&kept.key("a.csv", text.as_bytes())).unwrap()).unwrap();
        planted[0].input.facts.insert("planted".to_owned(), String::new());
        store.put(&kept.key("a.csv", text.as_bytes()), &encode(&planted).unwrap());
        assert!(kept.open("a.csv", text.as_bytes())[0].input.facts.contains_key("planted"));
        let zoned = ReadingHints { time_zone: Some(chrono_tz::Asia::Kolkata), ..ReadingHints::default() };
        for read in [
            kept.open("b.csv", text.as_bytes()),
            kept.open("a.csv", other.as_bytes()),
            Kept::new(&store, Said::by_job(&zoned)).open("a.csv", text.as_bytes()),
        ] {
            assert!(!read[0].input.facts.contains_key("planted"), "another name, other bytes, other hints");
        }
    }
}
