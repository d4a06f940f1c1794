//! Hostile files through the program, each in a process whose memory and time are bounded: a clear refusal, and
//! nothing of a panic.

#![allow(clippy::unwrap_used, clippy::disallowed_types, reason = "a test stops where it fails")]
#![cfg(unix)]

use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

const MIB: u64 = 1 << 20;

/// Explains a file with no more address space than `memory` MiB beyond what the program itself sets aside; returns
/// what it printed.
#[track_caller]
fn explained(path: &Path, memory: u64) -> String {
    // Stacks, arenas and the program, none of which is touched: measured at 0.5 GiB on two processors.
    let limit_kib = (memory + 1024) * 1024;
    let started = Instant::now();
    let output = Command::new("sh")
        .args(["-c", &format!("ulimit -v {limit_kib} && exec \"$0\" explain \"$1\""), env!("CARGO_BIN_EXE_grainfall")])
        .arg(path)
        .env("RAYON_NUM_THREADS", "2")
        .output()
        .unwrap();
    let (out, told) = (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap());
    assert!(output.status.success(), "{}: {told}", path.display());
    assert_eq!(told, "", "{}", path.display());
    assert!(started.elapsed() < Duration::from_secs(60), "{}: took {:?}", path.display(), started.elapsed());
    out
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

fn workbook(name: &str) -> Vec<u8> {
    std::fs::read(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../ingest/tests/workbooks").join(name)).unwrap()
}

#[test]
fn one_line_of_300_mb() {
    let folder = folder();
    let path = folder.path().join("line.csv");
    let mut file = File::create(&path).unwrap();
    let piece = b"2024-01-01 00:00,21.5,45,".repeat(40_000);
    for _ in 0..300 {
        file.write_all(&piece).unwrap();
    }
    let out = explained(&path, 2 * 300);
    assert!(out.contains("not read: line 1 has 300000000 bytes"), "{out}");
}

#[test]
fn a_file_longer_than_is_read_is_not_loaded() {
    let folder = folder();
    let path = folder.path().join("disk.csv");
    File::create(&path).unwrap().set_len(5 << 30).unwrap();
    let out = explained(&path, 64);
    assert!(out.contains("not read: the file has 4 GiB or more"), "{out}");
}

#[test]
fn a_bomb_costs_no_more_than_it_may_unpack_to() {
    let folder = folder();
    let path = folder.path().join("bomb.csv.gz");
    let mut packed = flate2::write::GzEncoder::new(File::create(&path).unwrap(), flate2::Compression::best());
    let piece = vec![b'0'; MIB as usize];
    for _ in 0..400 {
        packed.write_all(&piece).unwrap();
    }
    packed.finish().unwrap();
    // 0.4 MB packed: at most 78 MiB come out, in a buffer that may double.
    let out = explained(&path, 256);
    assert!(out.contains("which no log does"), "{out}");
}

/// A length within it runs past the end of its record, which stops the reader of the format.
#[test]
fn a_workbook_that_stops_its_reader_is_refused_without_a_word_of_panic() {
    let folder = folder();
    let path = folder.path().join("stop.xls");
    let mut bytes = workbook("days_1900.xls");
    bytes[2591..2595].fill(229);
    std::fs::write(&path, &bytes).unwrap();
    let out = explained(&path, 256);
    assert!(out.contains("not read: a spreadsheet (xls), damaged or incomplete"), "{out}");
}

/// Bytes turned over one at a time.
#[test]
fn damaged_workbooks_are_told_in_the_ledger_alone() {
    let folder = folder();
    for name in ["days_1900.xls", "days_1900.xlsx", "repeats.ods"] {
        let bytes = workbook(name);
        let path = folder.path().join(name);
        for at in (0..bytes.len()).step_by(bytes.len() / 60 + 1) {
            let mut spoiled = bytes.clone();
            spoiled[at] ^= 0x55;
            std::fs::write(&path, &spoiled).unwrap();
            let out = explained(&path, 256);
            assert!(out.starts_with(name), "{name} at {at}: {out}");
        }
    }
}

/// Clears the screen, colours it, by one and by two bytes (ECMA-48), and turns the direction of text.
const STEERING: &str = "\u{1b}[2J\u{1b}[31m\u{9b}31m\u{202e}\u{7}\u{8}";

#[test]
fn texts_of_the_job_do_not_steer_the_terminal() {
    let place = folder();
    let job = place.path().join(format!("job {STEERING}"));
    std::fs::create_dir(&job).unwrap();
    let text: String = STEERING.chars().map(|c| format!("\\u{:04x}", u32::from(c))).collect();
    let told = format!(
        "[job]\ntitle = \"T {text}\"\ntime_zone = \"UTC\"\nloss_at = \"2025-03-01 18:00\"\n\n[[chamber]]\nid = \"A {text}\"\nname = \"N {text}\"\n\n[[logger]]\nserial = \"S {text}\"\nplace = \"affected\"\nchamber = \"A {text}\"\n\n[[point]]\nid = \"P {text}\"\nchamber = \"A {text}\"\nlocation = \"L {text}\"\nscale = \"wood\"\ngoal = 12\n"
    );
    std::fs::write(job.join("job.toml"), &told).unwrap();
    // Bytes below a blank would make it no text.
    let soft = &STEERING[STEERING.find('\u{9b}').unwrap()..STEERING.find('\u{7}').unwrap()];
    let log = format!(
        "Serial: S {soft}\nTime (UTC),Air temp {soft} (C),RH (%)\n2025-03-02 08:00,20,50\n2025-03-02 08:10,21,51\n2025-03-02 08:20,x{soft},51\n"
    );
    std::fs::write(job.join(format!("log {STEERING}.csv")), &log).unwrap();
    std::fs::write(job.join(format!("none {STEERING}.csv")), "Time,Temp (C)\n").unwrap();
    std::fs::write(
        job.join("readings.csv"),
        format!("time,point,value,scale,note\n2025-03-02 08:00,P {STEERING},20,wood,note {STEERING}\n"),
    )
    .unwrap();
    let run = |command: &str, path: &Path| {
        let output = Command::new(env!("CARGO_BIN_EXE_grainfall")).arg(command).arg(path).output().unwrap();
        for (stream, bytes) in [("stdout", &output.stdout), ("stderr", &output.stderr)] {
            let text = std::str::from_utf8(bytes).unwrap();
            let steers = |c: &char| c.is_control() && *c != '\n' || *c == '\u{202e}';
            let found = text.chars().find(steers);
            assert_eq!(found, None, "{command}, {stream}: {text:?}");
        }
        output
    };
    let checked = run("check", &job);
    assert!(checked.status.code() != Some(2), "{}", String::from_utf8_lossy(&checked.stderr));
    assert!(String::from_utf8_lossy(&checked.stdout).contains("[U+001B][2J"), "it is shown, written out");
    assert!(run("report", &job).status.success());
    run("jobs", place.path());
    run("explain", &job.join(format!("log {STEERING}.csv")));
    assert!(run("verify", &job).status.success());
    std::fs::write(job.join("readings.csv"), format!("time,point,value,scale\n2025-03-02 08:00,Q {STEERING},2,wood\n"))
        .unwrap();
    assert_eq!(run("verify", &job).status.code(), Some(1));
    assert_eq!(run("check", &job).status.code(), Some(2));
    assert_eq!(run("check", &job.join("gone")).status.code(), Some(2));
}
