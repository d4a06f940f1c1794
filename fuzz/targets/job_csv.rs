//! Any text as each of the job's own CSV files, beside a `job.toml` that names a chamber and a point. The first byte
//! chooses the file.
#![no_main]

use grainfall_job::{JobFiles, parse};
use libfuzzer_sys::fuzz_target;

const JOB: &str =
    "[job]\ntime_zone = \"America/Chicago\"\n\n[[chamber]]\nid = \"A\"\n\n[[point]]\nid = \"P1\"\nchamber = \"A\"\n";

fuzz_target!(|input: (u8, String)| {
    let (which, text) = input;
    let mut files = JobFiles { job_toml: Some(JOB.to_owned()), ..JobFiles::default() };
    let file = match which % 4 {
        0 => &mut files.readings,
        1 => &mut files.air,
        2 => &mut files.visits,
        _ => &mut files.equipment,
    };
    *file = Some(text);
    if let Err(faults) = parse(&files) {
        assert!(!faults.to_string().is_empty());
    }
});
