//! Parts of files to loggers: one id, one series, repeats once, contradictions listed, gaps measured.

mod family;

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_record::{
    Certainty, Decision, Duplicate, FileTable, Gap, LoggerRead, LoggerSeries, Quantity, RowConflict, RowRef,
};
use rayon::prelude::*;

use crate::clock::fixed_label;
use crate::part::Part;

/// A part with the file it comes from.
#[derive(Debug)]
pub(crate) struct FilePart {
    pub file: String,
    pub part: Part,
}

/// A logger, merged.
#[derive(Debug)]
pub(crate) struct Logger {
    pub series: LoggerSeries,
    pub read: LoggerRead,
    /// Rows of each file that only fill in quantities another row of the instant lacks.
    pub joined: BTreeMap<String, u64>,
}

/// A decision about a file that only all files together allow.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Note {
    pub file: String,
    pub decision: Decision,
    /// By how much it moved the samples of the file.
    pub shift: TimeDelta,
}

/// The loggers of all parts. `parts` are in file order.
pub(crate) fn loggers(mut parts: Vec<FilePart>) -> (Vec<Logger>, Vec<Note>) {
    let (names, mut notes) = family::names(&parts);
    for one in parts.iter_mut().filter(|one| family::is_sheet(one) && names.contains_key(&one.file)) {
        // Sheets of one logger are no channels of it.
        (one.part.label, one.part.channel) = (None, None);
    }
    let ids = ids(&parts, &names);
    let mut by_id: BTreeMap<String, Vec<FilePart>> = BTreeMap::new();
    for (id, part) in ids.into_iter().zip(parts) {
        by_id.entry(id).or_default().push(part);
    }
    for (id, parts) in &mut by_id {
        one_offset(id, parts, &mut notes);
    }
    let parts: Vec<(String, Vec<FilePart>)> = by_id.into_iter().collect();
    (parts.into_par_iter().map(|(id, parts)| logger(id, parts)).collect(), notes)
}

/// A clock that never changes keeps one offset over all files of its logger: the one in force at the earliest sample.
fn one_offset(id: &str, parts: &mut [FilePart], notes: &mut Vec<Note>) {
    let wall = |one: &FilePart, seconds: i32| {
        one.part.time.iter().min().and_then(|first| first.checked_add_signed(TimeDelta::seconds(seconds.into())))
    };
    let first = parts
        .iter()
        .filter_map(|one| {
            let fixed = one.part.fixed?;
            Some((wall(one, fixed.seconds)?, fixed, one.file.clone()))
        })
        .min_by_key(|(wall, ..)| *wall);
    let Some((_, kept, file)) = first else { return };
    for one in parts {
        let Some(fixed) = one.part.fixed.filter(|f| f.zone == kept.zone && f.seconds != kept.seconds) else { continue };
        let shift = TimeDelta::seconds((fixed.seconds - kept.seconds).into());
        for time in &mut one.part.time {
            *time = time.checked_add_signed(shift).unwrap_or(*time);
        }
        one.part.fixed = Some(kept);
        one.part.clock = fixed_label(kept.zone, kept.seconds);
        notes.push(Note {
            file: one.file.clone(),
            decision: Decision {
                topic: format!("clock of {id} over its files"),
                value: one.part.clock.clone(),
                reason: format!(
                    "a clock that never changes keeps the offset of its first sample, which is in `{file}`"
                ),
                certainty: Certainty::Settled,
            },
            shift,
        });
    }
}

/// The id of every part: the serial number, else the stem of the file; the path without its extension where two
/// files share a stem, and with it where even that is shared. Copies of a download and files of one quantity each
/// share the id of what they are part of.
fn ids(parts: &[FilePart], names: &BTreeMap<String, String>) -> Vec<String> {
    let mut stems: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    let mut paths: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for one in parts.iter().filter(|one| one.part.serial.is_none()) {
        let file = names.get(&one.file).unwrap_or(one.part.named.as_ref().unwrap_or(&one.file)).as_str();
        for (map, name) in [(&mut stems, stem(file)), (&mut paths, without_extension(file))] {
            let files = map.entry(name).or_default();
            if !files.contains(&file) {
                files.push(file);
            }
        }
    }
    let lone = |map: &BTreeMap<&str, Vec<&str>>, name: &str| map.get(name).is_none_or(|files| files.len() < 2);
    parts
        .iter()
        .map(|one| {
            let file = names.get(&one.file).unwrap_or(one.part.named.as_ref().unwrap_or(&one.file)).as_str();
            let base = match &one.part.serial {
                Some(serial) => serial.as_str(),
                None if lone(&stems, stem(file)) => stem(file),
                None if lone(&paths, without_extension(file)) => without_extension(file),
                None => file,
            };
            match &one.part.label {
                Some(label) => {
                    // A channel of a logger with a number of its own drops the number it repeats.
                    let label = label.strip_prefix(base).and_then(|rest| rest.strip_prefix('/')).unwrap_or(label);
                    format!("{base}/{label}")
                }
                None => base.to_owned(),
            }
        })
        .collect()
}

pub(super) fn without_extension(path: &str) -> &str {
    let name = path.rsplit('/').next().unwrap_or(path);
    match name.rfind('.') {
        Some(dot) if dot > 0 => &path[..path.len() - (name.len() - dot)],
        _ => path,
    }
}

pub(super) fn stem(path: &str) -> &str {
    let path = without_extension(path);
    path.rsplit('/').next().unwrap_or(path)
}

/// One row of one part.
#[derive(Clone, Copy)]
struct Place {
    time: DateTime<Utc>,
    part: usize,
    at: usize,
}

fn logger(id: String, mut parts: Vec<FilePart>) -> Logger {
    let mut table = FileTable::default();
    let files: Vec<u32> = parts.iter().map(|one| table.id(&one.file)).collect();
    let quantities: Vec<Quantity> =
        Quantity::ALL.into_iter().filter(|q| parts.iter().any(|one| one.part.values.contains_key(q))).collect();
    let series = LoggerSeries { logger: id.clone(), ..LoggerSeries::default() };
    let mut merge = Merge {
        parts: &parts,
        quantities: &quantities,
        series,
        kept: Vec::new(),
        duplicates: Vec::new(),
        conflicts: Vec::new(),
        joined: BTreeMap::new(),
    };
    let climbs = |times: &[DateTime<Utc>]| times.windows(2).all(|pair| pair[0] < pair[1]);
    let whole = matches!(&parts[..], [one] if climbs(&one.part.time));
    if !whole {
        merge.all(&files);
    }
    let Merge { mut series, duplicates, conflicts, joined, .. } = merge;
    if let [one] = &mut parts[..]
        && whole
    {
        // Nothing to merge: the lists are taken as they are.
        series.time = std::mem::take(&mut one.part.time);
        series.row = std::mem::take(&mut one.part.row);
        series.values = std::mem::take(&mut one.part.values);
        series.file = vec![files[0]; series.time.len()];
    }
    series.file_table = Arc::new(table);
    let steps = steps(&series.time);
    let interval = usual_interval(&steps);
    let mut names: Vec<String> = parts.iter().map(|one| one.file.clone()).collect();
    names.sort();
    names.dedup();
    let mut clocks: Vec<&str> = parts.iter().map(|one| one.part.clock.as_str()).collect();
    clocks.dedup();
    let epoch = DateTime::<Utc>::UNIX_EPOCH;
    let first_part = parts.first();
    let read = LoggerRead {
        id,
        serial: first_part.and_then(|one| one.part.serial.clone()),
        channel: first_part.and_then(|one| one.part.channel.clone()),
        files: names,
        quantities,
        samples: series.len() as u64,
        first: series.time.first().copied().unwrap_or(epoch),
        last: series.time.last().copied().unwrap_or(epoch),
        interval_s: interval.and_then(|step| u32::try_from((step + 500_000) / 1_000_000).ok()),
        gaps: interval.map(|step| gaps(&series.time, &steps, step)).unwrap_or_default(),
        duplicates,
        conflicts,
        clock: clocks.join("; "),
    };
    Logger { series, read, joined }
}

struct Merge<'p> {
    parts: &'p [FilePart],
    quantities: &'p [Quantity],
    series: LoggerSeries,
    /// Where each sample of the series comes from.
    kept: Vec<Place>,
    duplicates: Vec<Duplicate>,
    conflicts: Vec<RowConflict>,
    joined: BTreeMap<String, u64>,
}

impl Merge<'_> {
    fn value(&self, place: Place, quantity: Quantity) -> Option<f64> {
        self.parts[place.part].part.values.get(&quantity).and_then(|values| values[place.at])
    }

    fn row(&self, place: Place) -> RowRef {
        let one = &self.parts[place.part];
        RowRef::new(one.file.as_str(), one.part.row[place.at])
    }

    /// Adds every row in time order.
    fn all(&mut self, files: &[u32]) {
        let rows = self.parts.iter().map(|one| one.part.time.len()).sum();
        let mut places: Vec<Place> = Vec::with_capacity(rows);
        for (part, one) in self.parts.iter().enumerate() {
            places.extend(one.part.time.iter().enumerate().map(|(at, time)| Place { time: *time, part, at }));
        }
        if places.windows(2).any(|pair| pair[1].time < pair[0].time) {
            places.sort_by_key(|place| (place.time, place.part, place.at));
        }
        for quantity in self.quantities {
            self.series.values.insert(*quantity, Vec::with_capacity(rows));
        }
        self.series.time.reserve(rows);
        for place in places {
            self.add(place, files);
        }
    }

    fn add(&mut self, place: Place, files: &[u32]) {
        if let Some(kept) = self.kept.last().copied()
            && kept.time == place.time
        {
            return self.add_again(kept, place);
        }
        self.kept.push(place);
        self.series.time.push(place.time);
        self.series.file.push(files[place.part]);
        self.series.row.push(self.parts[place.part].part.row[place.at]);
        for quantity in self.quantities {
            let value = self.value(place, *quantity);
            if let Some(column) = self.series.values.get_mut(quantity) {
                column.push(value);
            }
        }
    }

    /// A second row of an instant: the same, more, or other.
    fn add_again(&mut self, kept: Place, place: Place) {
        let (mut filled, mut differs) = (false, false);
        for quantity in self.quantities {
            let Some(value) = self.value(place, *quantity) else { continue };
            let last = self.series.values.get_mut(quantity).and_then(|column| column.last_mut());
            let Some(slot) = last else { continue };
            match *slot {
                None => {
                    *slot = Some(value);
                    filled = true;
                }
                Some(first) if same(first, value) => {}
                Some(first) => {
                    differs = true;
                    let conflict = RowConflict {
                        time: place.time,
                        quantity: *quantity,
                        kept: (self.row(kept), first),
                        dropped: (self.row(place), value),
                    };
                    self.conflicts.push(conflict);
                }
            }
        }
        if filled {
            *self.joined.entry(self.parts[place.part].file.clone()).or_default() += 1;
        } else if !differs {
            let duplicate = Duplicate { time: place.time, kept: self.row(kept), dropped: self.row(place) };
            self.duplicates.push(duplicate);
        }
    }
}

/// Equal but for the last bit of a conversion.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(1.0)
}

/// Microseconds between the instants.
fn steps(times: &[DateTime<Utc>]) -> Vec<i64> {
    let mut micros = times.iter().map(DateTime::timestamp_micros);
    let Some(mut last) = micros.next() else { return Vec::new() };
    micros.map(|next| next - std::mem::replace(&mut last, next)).collect()
}

/// The median step; of an even number the lower middle one.
fn usual_interval(steps: &[i64]) -> Option<i64> {
    // Most logs keep one step, which is then its own median.
    if let [first, rest @ ..] = steps
        && rest.iter().all(|step| step == first)
    {
        return Some(*first);
    }
    let mut sorted = steps.to_vec();
    let middle = sorted.len().checked_sub(1)? / 2;
    Some(*sorted.select_nth_unstable(middle).1)
}

/// Steps longer than 1.5 intervals.
fn gaps(times: &[DateTime<Utc>], steps: &[i64], usual: i64) -> Vec<Gap> {
    if usual <= 0 {
        return Vec::new();
    }
    let long = steps.iter().enumerate().filter(|(_, step)| **step * 2 > usual * 3);
    long.map(|(at, step)| {
        // Half an interval or more counts as one.
        let steps = (step * 2 + usual) / (usual * 2);
        Gap { from: times[at], to: times[at + 1], missing: u64::try_from(steps - 1).unwrap_or(0).max(1) }
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(
        file: &str,
        serial: Option<&str>,
        channel: Option<&str>,
        samples: &[(i64, Option<f64>, Option<f64>)],
    ) -> FilePart {
        let mut part = Part {
            serial: serial.map(str::to_owned),
            channel: channel.map(str::to_owned),
            label: channel.map(str::to_owned),
            time: samples.iter().map(|s| DateTime::from_timestamp(s.0, 0).unwrap()).collect(),
            row: (2..).take(samples.len()).collect(),
            clock: "UTC".into(),
            ..Part::default()
        };
        part.values.insert(Quantity::AirTemp, samples.iter().map(|s| s.1).collect());
        part.values.insert(Quantity::RelativeHumidity, samples.iter().map(|s| s.2).collect());
        FilePart { file: file.into(), part }
    }

    fn only(parts: Vec<FilePart>) -> Logger {
        let (mut loggers, _) = loggers(parts);
        assert_eq!(loggers.len(), 1);
        loggers.remove(0)
    }

    #[test]
    fn one_serial_in_two_files_is_one_logger() {
        let logger = only(vec![
            part("a.csv", Some("S1"), None, &[(0, Some(1.0), Some(50.0)), (60, Some(2.0), Some(51.0))]),
            part("b.csv", Some("S1"), None, &[(60, Some(2.0), Some(51.0)), (120, Some(3.0), Some(52.0))]),
        ]);
        assert_eq!((logger.read.id.as_str(), logger.read.samples), ("S1", 3));
        assert_eq!(logger.read.files, ["a.csv", "b.csv"]);
        let duplicate = &logger.read.duplicates[..];
        assert_eq!(duplicate.len(), 1);
        assert_eq!(
            (duplicate[0].kept.to_string(), duplicate[0].dropped.to_string()),
            ("a.csv line 3".into(), "b.csv line 2".into())
        );
    }

    #[test]
    fn contradictions_keep_the_first_row() {
        let logger = only(vec![part(
            "a.csv",
            None,
            None,
            &[(0, Some(1.0), Some(50.0)), (0, Some(9.0), Some(50.0)), (60, Some(2.0), None)],
        )]);
        assert_eq!(logger.series.column(Quantity::AirTemp).unwrap()[0], Some(1.0));
        let [conflict] = &logger.read.conflicts[..] else { panic!() };
        assert_eq!(conflict.quantity, Quantity::AirTemp);
        assert_eq!(conflict.dropped.0.row, 3);
        assert!(logger.read.duplicates.is_empty());
    }

    #[test]
    fn rows_that_complete_each_other_are_joined() {
        let logger = only(vec![
            part("t.csv", Some("S"), None, &[(0, Some(1.0), None)]),
            part("rh.csv", Some("S"), None, &[(0, None, Some(50.0))]),
        ]);
        assert_eq!(logger.series.column(Quantity::RelativeHumidity).unwrap()[0], Some(50.0));
        assert_eq!(logger.joined, BTreeMap::from([("rh.csv".to_owned(), 1)]));
    }

    #[test]
    fn gaps_are_longer_than_one_and_a_half_intervals() {
        let samples: Vec<_> = [0, 60, 120, 210, 270, 400].iter().map(|s| (*s, Some(1.0), None)).collect();
        let logger = only(vec![part("a.csv", None, None, &samples)]);
        assert_eq!(logger.read.interval_s, Some(60));
        // 90 s is 1.5 intervals and no gap; 130 s is.
        let [gap] = &logger.read.gaps[..] else { panic!() };
        assert_eq!((gap.from.timestamp(), gap.to.timestamp(), gap.missing), (270, 400, 1));
    }

    #[test]
    fn ids() {
        let id = |file: &str, serial, channel| {
            loggers(vec![part(file, serial, channel, &[(0, Some(1.0), None)])]).0[0].read.id.clone()
        };
        assert_eq!(id("x/log.v2.csv", None, None), "log.v2");
        assert_eq!(id("x/log.csv", None, Some("3")), "log/3");
        assert_eq!(id("x/log.csv", Some("S1"), Some("3")), "S1/3");
        let (two, _) = loggers(vec![
            part("a/log.csv", None, None, &[(0, Some(1.0), None)]),
            part("b/log.csv", None, None, &[(0, Some(1.0), None)]),
            part("b/log.txt", None, None, &[(0, Some(1.0), None)]),
        ]);
        assert_eq!(two.iter().map(|l| l.read.id.as_str()).collect::<Vec<_>>(), ["a/log", "b/log.csv", "b/log.txt"]);
    }
}
