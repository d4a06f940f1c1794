//! Logs, workbooks and archives spoiled at random: whatever they have become, reading ends without a panic, in bounded
//! time, twice the same, and gives no value that cannot be.
//!
//! `GRAINFALL_MUTATIONS=100000` is the long run; `GRAINFALL_MUTATIONS_FROM` begins at another case. It finds what random
//! changes find; the targets in `fuzz/` follow what the code does with them.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a test stops where it fails and says what it did")]

mod common;

use std::time::{Duration, Instant};

use common::spoiled::{seeds, spoiled};
use grainfall_ingest::read_bytes;
use grainfall_record::{Quantity, ReadingHints};
use rayon::prelude::*;

fn number(variable: &str, otherwise: u64) -> u64 {
    std::env::var(variable).ok().and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

#[test]
fn spoiled_files_end_in_a_reading_or_a_refusal() {
    let (cases, from) = (number("GRAINFALL_MUTATIONS", 600), number("GRAINFALL_MUTATIONS_FROM", 0));
    let seeds = seeds();
    // What a reader of a format trips over is caught by the crate and told in the ledger.
    let tell = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        if !grainfall_ingest::panic_is_a_refusal() {
            tell(panic);
        }
    }));
    let hints = ReadingHints { time_zone: "America/Chicago".parse().ok(), ..ReadingHints::default() };
    let read: usize = (from..from + cases)
        .into_par_iter()
        .map(|case| {
            let (name, bytes) = spoiled(&seeds, case);
            let started = Instant::now();
            let reading = std::panic::catch_unwind(|| read_bytes(&name, &bytes, &hints).unwrap())
                .unwrap_or_else(|_| panic!("case {case}, a spoiled {name}"));
            let second = read_bytes(&name, &bytes, &hints).unwrap();
            assert!(reading.ledger == second.ledger, "case {case}: read twice, told two ways");
            assert!(started.elapsed() < Duration::from_secs(60), "case {case}: took {:?}", started.elapsed());
            for series in reading.frame.series() {
                assert!(series.time.windows(2).all(|pair| pair[0] < pair[1]), "case {case}: out of order");
                for value in series.column(Quantity::RelativeHumidity).into_iter().flatten().flatten() {
                    assert!((0.0..=110.0).contains(value), "case {case}: a humidity of {value}");
                }
            }
            usize::from(!reading.frame.is_empty())
        })
        .sum();
    println!("{cases} spoiled files, {read} with samples");
    // Were hardly any read, or all, the changes would not be worth their name.
    assert!(read as u64 * 10 > cases && (read as u64) < cases);
}
