//! Any text as the stamps of a log that is otherwise in order: one line, one stamp.
#![no_main]

mod memory;

use grainfall_ingest::read_bytes;
use grainfall_record::ReadingHints;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let mut log = String::from("Time;Temp (degC);RH (%)\n");
    for (at, stamp) in text.lines().enumerate() {
        log.push_str(&format!("{stamp};2{}.5;4{}\n", at % 10, at % 7));
    }
    let hints = ReadingHints { time_zone: "America/Chicago".parse().ok(), ..ReadingHints::default() };
    let reading = memory::bounded(memory::FLOOR, log.len(), || {
        read_bytes("log.csv", log.as_bytes(), &hints).expect("samples make a frame")
    });
    for series in reading.frame.series() {
        assert!(series.time.windows(2).all(|pair| pair[0] < pair[1]));
    }
});
