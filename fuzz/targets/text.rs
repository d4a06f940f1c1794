//! Any bytes as a log: read twice to the same result, without a panic, in memory that follows from their number; no
//! value outside the limits of a humidity.
#![no_main]

mod memory;

use grainfall_ingest::read_bytes;
use grainfall_record::{Quantity, ReadingHints};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let hints = ReadingHints { time_zone: "America/Chicago".parse().ok(), ..ReadingHints::default() };
    let first = memory::bounded(memory::FLOOR, bytes.len(), || {
        read_bytes("log.csv", bytes, &hints).expect("samples make a frame")
    });
    let second = read_bytes("log.csv", bytes, &hints).expect("samples make a frame");
    assert_eq!(first.ledger, second.ledger);
    for series in first.frame.series() {
        assert!(series.time.windows(2).all(|pair| pair[0] < pair[1]));
        for value in series.column(Quantity::RelativeHumidity).into_iter().flatten().flatten() {
            assert!((0.0..=110.0).contains(value));
        }
    }
});
