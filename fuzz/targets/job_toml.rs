//! Any text as `job.toml`.
#![no_main]

use grainfall_job::{JobFiles, parse};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: String| {
    let files = JobFiles { job_toml: Some(text), ..JobFiles::default() };
    if let Err(faults) = parse(&files) {
        assert!(!faults.to_string().is_empty());
    }
});
