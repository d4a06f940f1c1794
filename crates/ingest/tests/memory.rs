//! Memory that reading takes, counted by the allocator: at most [`TIMES`] the bytes of the file, as they are once
//! unpacked, above a floor for files however small, which is higher for workbooks and archives. Over the starting corpus of the fuzz targets and spoiled files, each
//! made long by repeating its lines, and over a workbook.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a test stops where it fails and says what it measured")]

mod common;

use common::spoiled::{is_text, seeds, spoiled};
use grainfall_ingest::read_bytes;
use grainfall_record::ReadingHints;
use peak_alloc::PeakAlloc;

#[global_allocator]
static ALLOCATOR: PeakAlloc = PeakAlloc;

/// Bytes that reading may take whatever the file: tables of words, buffers, stacks of decoders.
const FLOOR: usize = 8 << 20;
/// The same for workbooks and archives: the old binary kind may span 1.5 million places, for each of which its reader sets
/// 32 bytes aside.
const FLOOR_OF_PACKED: usize = 64 << 20;
const TIMES: usize = 20;
/// Bytes to which text is made long: large beside the floor.
const LONG: usize = 2 << 20;

/// Reads, and gives what it took at most beside what was there before.
fn taken(name: &str, bytes: &[u8]) -> usize {
    let hints = ReadingHints { time_zone: "America/Chicago".parse().ok(), ..ReadingHints::default() };
    let before = ALLOCATOR.current_usage();
    ALLOCATOR.reset_peak_usage();
    let reading = read_bytes(name, bytes, &hints).unwrap();
    let taken = ALLOCATOR.peak_usage().saturating_sub(before);
    drop(reading);
    taken
}

/// The whole of a text again and again, or the lines behind its tenth part.
fn long(bytes: &[u8], whole: bool) -> Vec<u8> {
    let from = if whole { 0 } else { bytes.len() / 10 };
    let start = bytes[from..].iter().position(|byte| *byte == b'\n').map_or(0, |at| from + at + 1);
    let again = if whole || start == bytes.len() { bytes } else { &bytes[start..] };
    let mut text = bytes.to_vec();
    while text.len() < LONG && !again.is_empty() {
        text.extend_from_slice(again);
    }
    text
}

fn workbook(rows: u32) -> Vec<u8> {
    let mut book = rust_xlsxwriter::Workbook::new();
    let page = book.add_worksheet();
    for (column, name) in (0..).zip(["Time", "Temp (°C)", "RH (%)"]) {
        page.write_string(0, column, name).unwrap();
    }
    let stamps = rust_xlsxwriter::Format::new().set_num_format("yyyy-mm-dd hh:mm");
    for row in 1..=rows {
        page.write_number_with_format(row, 0, 45_000.0 + f64::from(row) / 1440.0, &stamps).unwrap();
        page.write_number(row, 1, f64::from(row % 300) / 10.0).unwrap();
        page.write_number(row, 2, f64::from(row % 900) / 10.0).unwrap();
    }
    book.save_to_buffer().unwrap()
}

fn unpacked(bytes: &[u8]) -> usize {
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
    let members = archive.len();
    (0..members).map(|at| usize::try_from(archive.by_index(at).unwrap().size()).unwrap()).sum::<usize>() + bytes.len()
}

/// One test alone: the allocator counts for the whole process.
#[test]
fn memory_follows_from_the_size_of_the_file() {
    let mut worst = 0.0_f64;
    let mut bounded = |what: &str, packed: bool, bytes: usize, taken: usize| {
        let floor = if packed { FLOOR_OF_PACKED } else { FLOOR };
        assert!(taken <= floor + TIMES * bytes, "{what}: {taken} bytes of memory for {bytes}");
        if bytes >= LONG {
            worst = worst.max(taken as f64 / bytes as f64);
        }
    };
    let seeds = seeds();
    // What is made once is not counted.
    taken(&seeds[0].0, &seeds[0].1);
    for (name, bytes) in &seeds {
        let whole = if bytes.starts_with(b"PK") { unpacked(bytes) } else { bytes.len() };
        bounded(name, std::str::from_utf8(bytes).is_err(), whole, taken(name, bytes));
    }
    let texts = seeds.iter().filter(|(_, bytes)| is_text(bytes) || std::str::from_utf8(bytes).is_ok());
    let spoiled = (0..60).map(|case| spoiled(&seeds, case)).filter(|(_, bytes)| is_text(bytes));
    for (name, bytes) in texts.cloned().chain(spoiled) {
        for whole in [false, true] {
            let text = long(&bytes, whole);
            bounded(&name, false, text.len(), taken(&name, &text));
        }
    }
    let book = workbook(20_000);
    bounded("a workbook", true, unpacked(&book), taken("book.xlsx", &book));
    println!("at most {worst:.1} times the size of files of {LONG} bytes or more");
}
