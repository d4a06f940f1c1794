//! Folders: what is walked, what is read once, how files of one logger come together.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod common;

use std::path::Path;

use common::zone;
use grainfall_ingest::{IngestError, Progress, Reading, read_folder};
use grainfall_record::{Outcome, Quantity, ReadingHints};

fn write(folder: &Path, name: &str, text: &str) {
    let path = folder.join(name);
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(path, text).unwrap();
}

fn read(folder: &Path, hints: &ReadingHints) -> Reading {
    read_folder(folder, hints, &|_: Progress<'_>| ()).unwrap()
}

fn log(serial: &str, hours: std::ops::Range<u32>) -> String {
    let rows: String = hours.map(|h| format!("2024-01-01 {h:02}:00,{h},40\n")).collect();
    let serial = if serial.is_empty() { String::new() } else { format!("Serial Number: {serial}\n\n") };
    format!("{serial}Time,Temp (°C),RH (%)\n{rows}")
}

#[test]
fn only_what_may_be_an_export_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    write(at, "b/deep/hall.csv", &log("", 0..5));
    write(at, "a.csv", &log("", 0..5).replace("40\n", "41\n"));
    write(at, ".hidden.csv", &log("", 0..5));
    write(at, ".git/x.csv", &log("", 0..5));
    write(at, "report/tables/air.csv", &log("", 0..5));
    write(at, "b/report/kept.csv", &log("", 0..5).replace("40\n", "42\n"));
    write(at, "readings.csv", "time,point,value\n2024-01-01 10:00,P1,12\n");
    write(at, "job.toml", "[job]\n");
    write(at, "copy of hall.csv", &log("", 0..5));
    let hints = ReadingHints { not_exports: vec!["readings.csv".into(), "job.toml".into()], ..zone("UTC") };
    let reading = read(at, &hints);
    let paths: Vec<&str> = reading.ledger.inputs.iter().map(|i| i.path.as_str()).collect();
    assert_eq!(paths, ["a.csv", "b/deep/hall.csv", "b/report/kept.csv", "copy of hall.csv"]);
    assert_eq!(reading.ledger.inputs[3].outcome, Outcome::SameAs { path: "b/deep/hall.csv".into() });
    assert_eq!(reading.ledger.inputs[3].sha256, reading.ledger.inputs[1].sha256);
    assert_eq!(common::ids(&reading), ["a", "hall", "kept"]);
}

#[test]
fn the_hash_is_the_files() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "abc.txt", "abc");
    let reading = read(folder.path(), &ReadingHints::default());
    // FIPS 180-4 example, SHA-256 of `abc`.
    assert_eq!(reading.ledger.inputs[0].sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_eq!(reading.ledger.inputs[0].bytes, 3);
}

#[test]
fn downloads_of_one_logger_are_one_series() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "1/x.csv", &log("S-100", 0..6));
    write(folder.path(), "2/x.csv", &log("S-100", 4..10).replace("05:00,5,40", "05:00,5.5,40"));
    let reading = read(folder.path(), &zone("UTC"));
    let logger = reading.ledger.logger("S-100").unwrap();
    assert_eq!((logger.samples, logger.duplicates.len(), logger.conflicts.len()), (10, 1, 1));
    assert_eq!(logger.conflicts[0].kept.0.to_string(), "1/x.csv line 9");
    assert_eq!(logger.conflicts[0].dropped.0.to_string(), "2/x.csv line 5");
    let samples = |at: usize| match reading.ledger.inputs[at].outcome {
        Outcome::Read { rows, samples } => (rows, samples),
        _ => panic!(),
    };
    assert_eq!((samples(0), samples(1)), ((6, 6), (6, 4)));
}

#[test]
fn files_of_one_name_in_two_folders_are_two_loggers() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "kitchen/export.csv", &log("", 0..5));
    write(folder.path(), "bath/export.csv", &log("", 1..6));
    assert_eq!(common::ids(&read(folder.path(), &zone("UTC"))), ["bath/export", "kitchen/export"]);
}

#[test]
fn quantities_of_one_logger_in_two_files_are_joined() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "rh.csv", "S/N: 77\n\nTime,RH (%)\n2024-01-01 00:00,40\n2024-01-01 01:00,41\n");
    write(folder.path(), "temp.csv", "S/N: 77\n\nTime,Temp (°C)\n2024-01-01 00:00,20\n2024-01-01 01:00,21\n");
    let reading = read(folder.path(), &zone("UTC"));
    common::assert_column(&reading, "77", Quantity::AirTemp, &[Some(20.0), Some(21.0)]);
    let joined = reading.ledger.inputs[1].decisions.last().unwrap();
    assert_eq!((joined.topic.as_str(), joined.value.as_str()), ("rows joined to 77", "2"));
    assert_eq!(
        joined.reason,
        "another row of the instant lacked these quantities; its line is the one kept as the source"
    );
}

#[test]
fn a_sibling_settles_hours() {
    let folder = tempfile::tempdir().unwrap();
    let log = |hour: &str, temp: &str| {
        format!("Time,Temp (°F),RH\n3/14/2024 {hour}:00,{temp},40\n3/14/2024 {hour}:10,71,41\n")
    };
    write(folder.path(), "bath.csv", &log("8", "70"));
    // Packed, and the same unpacked: read once.
    let mut packed = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    packed.start_file("again.csv", zip::write::SimpleFileOptions::default()).unwrap();
    std::io::Write::write_all(&mut packed, log("8", "70").as_bytes()).unwrap();
    packed.start_file("den.csv", zip::write::SimpleFileOptions::default()).unwrap();
    std::io::Write::write_all(&mut packed, log("9", "72").as_bytes()).unwrap();
    std::fs::write(folder.path().join("all.zip"), packed.finish().unwrap().into_inner()).unwrap();
    let reading = read(folder.path(), &zone("UTC"));
    assert!(reading.frame.is_empty());
    write(folder.path(), "hall.csv", &log("15", "70"));
    let reading = read(folder.path(), &zone("UTC"));
    assert_eq!(common::ids(&reading), ["bath", "den", "hall"]);
    assert_eq!(common::times(&reading, "bath")[0], "2024-03-14T08:00:00Z");
    let told = reading.ledger.inputs.iter().find(|input| input.path == "bath.csv").unwrap();
    let told = told.decisions.iter().find(|d| d.topic == "hours").unwrap();
    assert_eq!(
        told.reason.split("; ").last(),
        Some("`hall.csv`, with the same names and the same form of dates, has hours of a whole day")
    );
    let again = reading.ledger.inputs.iter().find(|input| input.path == "all.zip/again.csv").unwrap();
    assert_eq!(again.outcome, Outcome::SameAs { path: "bath.csv".into() });
}

#[test]
fn a_sibling_settles_the_order_of_dates() {
    let folder = tempfile::tempdir().unwrap();
    let log = |day: &str| format!("Time,Temp (°F),RH\n{day}/2024 15:00,70,40\n{day}/2024 15:10,71,41\n");
    write(folder.path(), "bath.csv", &log("03/04"));
    write(folder.path(), "hall.csv", &log("03/14"));
    write(folder.path(), "other.csv", &log("14/03").replace("RH", "Humidity"));
    let reading = read(folder.path(), &zone("UTC"));
    assert_eq!(common::times(&reading, "bath")[0], "2024-03-04T15:00:00Z");
    let told = reading.ledger.inputs[0].decisions.iter().find(|d| d.topic == "date order").unwrap();
    assert_eq!(
        told.reason,
        "its own dates fit both orders; `hall.csv`, with the same names and the same form of dates, has this one"
    );
    // A date with dots is day first only as a guess, so another file settles it too.
    let dots = |day: &str| format!("Zeit;Temp (°C);RH\n{day}.2024 20:00;20;40\n{day}.2024 20:10;21;41\n");
    write(folder.path(), "dots_a.csv", &dots("03.04"));
    write(folder.path(), "dots_b.csv", &dots("03.14"));
    let reading = read(folder.path(), &zone("UTC"));
    assert_eq!(common::times(&reading, "dots_a")[0], "2024-03-04T20:00:00Z");
    // Siblings that contradict each other settle nothing.
    write(folder.path(), "kitchen.csv", &log("15/03"));
    let reading = read(folder.path(), &zone("UTC"));
    assert!(matches!(reading.ledger.inputs[0].outcome, Outcome::Refused { .. }));
}

#[test]
fn a_clock_set_back_keeps_every_row_and_is_told() {
    let folder = tempfile::tempdir().unwrap();
    // Set back by 3 hours after the fifth row, and begun at an epoch before it was set at all.
    let back = "2024-01-01 00:00,1\n2024-01-01 01:00,2\n2024-01-01 02:00,3\n2024-01-01 03:00,4\n2024-01-01 04:00,5\n\
                2024-01-01 01:30,6\n2024-01-01 02:30,7\n2024-01-01 03:30,8\n";
    write(folder.path(), "back.csv", &format!("Time,RH\n{back}"));
    let epoch = "2000-01-01 00:00,1\n2000-01-01 01:00,2\n2024-01-01 09:00,3\n2024-01-01 10:00,4\n2024-01-01 11:00,5\n";
    write(folder.path(), "epoch.csv", &format!("Time,RH\n{epoch}"));
    let reading = read(folder.path(), &zone("UTC"));
    let logger = |id: &str| reading.ledger.logger(id).unwrap();
    assert_eq!((logger("back").samples, logger("back").conflicts.len()), (8, 0));
    let told = reading.ledger.inputs[0].decisions.iter().find(|d| d.topic == "row order").unwrap();
    assert_eq!(told.value, "1 row is earlier than the one above");
    // Stamps are never moved: the rows of the epoch stay where they are, with the years between as a gap.
    assert_eq!(logger("epoch").samples, 5);
    assert_eq!(common::times(&reading, "epoch")[0], "2000-01-01T00:00:00Z");
    assert_eq!(logger("epoch").gaps.len(), 1);
    // A clock set back onto hours it has logged: rows of one instant with other values are all told.
    let over = back.replace(":30", ":00");
    write(folder.path(), "back.csv", &format!("Time,RH\n{over}"));
    let reading = read(folder.path(), &zone("UTC"));
    let logger = reading.ledger.logger("back").unwrap();
    assert_eq!((logger.samples, logger.conflicts.len()), (5, 3));
}

#[test]
fn overlapping_downloads_without_a_number_are_one_logger_by_their_names() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "hall.csv", &log("", 0..6));
    write(folder.path(), "hall (1).csv", &log("", 3..9));
    write(folder.path(), "hall (2).csv", &log("", 3..9));
    let reading = read(folder.path(), &zone("UTC"));
    assert_eq!(common::ids(&reading), ["hall"]);
    let logger = &reading.ledger.loggers[0];
    assert_eq!((logger.samples, logger.duplicates.len(), logger.conflicts.len()), (9, 3, 0));
    let same = Outcome::SameAs { path: "hall (1).csv".into() };
    assert_eq!(reading.ledger.inputs[1].outcome, same, "the same export dropped twice is read once");
}

#[test]
fn a_file_still_being_written_gives_its_whole_rows() {
    let folder = tempfile::tempdir().unwrap();
    let whole = log("", 0..9);
    for cut in [1, 2, 4, 5, 8, 12, 17] {
        write(folder.path(), "hall.csv", &whole[..whole.len() - cut]);
        let reading = read(folder.path(), &zone("UTC"));
        let logger = &reading.ledger.loggers[0];
        // The line end alone is missing: the row is whole.
        assert_eq!(logger.samples, if cut == 1 { 9 } else { 8 }, "{cut}");
        assert_eq!(reading.ledger.inputs[0].refused.len(), usize::from(cut > 1), "{cut}");
    }
}

#[test]
fn folders_that_cannot_be_read() {
    let folder = tempfile::tempdir().unwrap();
    let error = read_folder(folder.path(), &ReadingHints::default(), &|_| ()).unwrap_err();
    assert!(matches!(error, IngestError::Empty { .. }), "{error}");
    let gone = folder.path().join("gone");
    let error = read_folder(&gone, &ReadingHints::default(), &|_| ()).unwrap_err();
    assert!(matches!(error, IngestError::Unreadable { .. }), "{error}");
    // A note alone is no error.
    write(folder.path(), "note.txt", "see the plumber\n");
    assert!(read(folder.path(), &ReadingHints::default()).frame.is_empty());
}

#[cfg(unix)]
#[test]
fn links_are_not_followed_out_of_the_folder() {
    let outside = tempfile::tempdir().unwrap();
    write(outside.path(), "secret.csv", &log("", 0..5));
    let folder = tempfile::tempdir().unwrap();
    write(folder.path(), "hall.csv", &log("", 0..5));
    let link = |to: &Path, name: &str| std::os::unix::fs::symlink(to, folder.path().join(name)).unwrap();
    link(&outside.path().join("secret.csv"), "out.csv");
    link(outside.path(), "outer");
    link(folder.path(), "round");
    link(&folder.path().join("hall.csv"), "again.csv");
    link(&folder.path().join("nowhere"), "broken");
    let reading = read(folder.path(), &zone("UTC"));
    let refused = Outcome::Refused {
        reason: "a link that leads out of the folder or nowhere".into(),
        remedy: "put the file itself into the folder".into(),
    };
    let outcomes: Vec<(&str, &Outcome)> = reading.ledger.inputs.iter().map(|i| (i.path.as_str(), &i.outcome)).collect();
    assert_eq!(outcomes[0], ("again.csv", &Outcome::Read { rows: 5, samples: 5 }));
    assert_eq!(outcomes[1], ("broken", &refused));
    assert_eq!(outcomes[2], ("hall.csv", &Outcome::SameAs { path: "again.csv".into() }));
    assert_eq!(outcomes[3], ("out.csv", &refused));
    assert_eq!(outcomes[4], ("outer", &refused));
    assert_eq!(outcomes.len(), 5);
}
