//! Any bytes as a workbook or an archive. What a reader of a format trips over must end as a refusal: its panics are
//! caught by the crate, so the fuzzer's own hook, which would end the process at once, is taken out.
#![no_main]

use grainfall_ingest::read_bytes;
use grainfall_record::ReadingHints;
use libfuzzer_sys::fuzz_target;

fuzz_target!(
    init: {
        std::panic::set_hook(Box::new(|_| ()));
    },
    |bytes: &[u8]| {
        read_bytes("book.xlsx", bytes, &ReadingHints::default()).expect("samples make a frame");
    }
);
