//! `watch` while its writes fail for a time: too little room, or a limit on the size of files.

#![allow(clippy::disallowed_types, reason = "the suite runs the program")]

use std::fs;
use std::io;
use std::process::Command;
use std::time::{Duration, Instant};

use grainfall_report::manifest::MANIFEST;
use grainfall_simulate::rng::Rng;

use super::failing_writes::Mounted;
use super::watch_killed::{Dropped, SETTLE_S, STATES, is_summary_ahead};
use super::{Bench, LONGEST, Reports, Tally, inputs, left_beside, write_house};
use crate::tree::tree;
use crate::watch::Watch;

/// Within this a failed report is tried again without a change: a minute, and what a busy machine adds.
const AGAIN: Duration = Duration::from_secs(80);

/// Drops an export in or takes it out `times` times while writes fail in one watching process, and looks at what is
/// there; then lets them pass again. The first time nothing is dropped after that: the program must come back to it.
/// Files are limited in size; where a small file system can be mounted, every second time it fills up instead.
///
/// # Errors
/// When the runs themselves cannot be made.
pub fn watch_failing(bench: &Bench, times: u32, seed: u64) -> io::Result<Tally> {
    let title = "watch, while writes fail and after";
    if Command::new("prlimit").arg("--version").output().is_err() {
        return Ok(Tally::skipped(title, "prlimit (util-linux) is not there"));
    }
    let place = bench.work.path().join("watched small");
    fs::create_dir_all(&place)?;
    let mounted = Mounted::new(&place);
    let job = place.join("job");
    write_house(&job, 1)?;
    let report = job.join("report");
    let dropped = Dropped::of(&job, &place)?;
    let reports = Reports::make(&report, STATES, |state| {
        dropped.put(state)?;
        bench.run(&["report"], &job)
    })?;
    let mut watch = Watch::start(&bench.program, &["--settle", SETTLE_S, "--no-cache"], &job);
    watch.next("watching", "job");
    let mut rng = Rng::stream(seed, "watch failing");
    let mut tally = Tally::new(title);
    let mut now = STATES[1];
    for at in 0..times {
        let wanted = reports.other(now);
        let fault = |tally: &mut Tally, what: String| tally.faults.push(format!("run {at}: {what}"));
        match &mounted {
            Some(mounted) if at % 2 == 1 => mounted.leave(rng.between(0.0, reports.bytes as f64 * 1.3))?,
            _ => limit(&watch, &format!("{:.0}:", rng.between(0.0, reports.largest as f64)))?,
        }
        dropped.put(wanted)?;
        let before = inputs(&job)?;
        tally.runs += 1;
        let Some(event) = watch.next_within(LONGEST) else {
            fault(&mut tally, format!("nothing was told; notes: {}", watch.notes()));
            break;
        };
        let failed = event["event"] == "no_report";
        if failed {
            let found = tree(&report)?;
            match reports.which(&report)? {
                Some(state) if state == now => tally.count("told, the old report stays"),
                None if is_summary_ahead(&report, &found, &reports)? => {
                    tally.count("told, the fresh summary, and the manifest says that the rest is of the report before");
                }
                found => fault(&mut tally, format!("after a failure the report is {found:?}")),
            }
            let reason = event["reason"].as_str().unwrap_or_default();
            if !["No space left", "File too large"].iter().any(|why| reason.contains(why)) {
                fault(&mut tally, format!("the reason does not tell why: {reason}"));
            }
        } else {
            tally.count("it could be written");
        }
        if !left_beside(&job)?.is_empty() {
            fault(&mut tally, format!("left beside the report {:?}", left_beside(&job)?));
        }
        match &mounted {
            Some(mounted) if at % 2 == 1 => mounted.leave(256e6)?,
            _ => limit(&watch, "unlimited:")?,
        }
        if failed {
            let begun = Instant::now();
            if at > 0 {
                dropped.put(now)?;
                dropped.put(wanted)?;
            }
            let longest = if at > 0 { LONGEST } else { AGAIN };
            match watch.next_within(longest) {
                Some(event) if event["event"] == "report" && at == 0 => {
                    tally.count(format!("made without a further drop after {} s", begun.elapsed().as_secs()));
                }
                Some(event) if event["event"] == "report" => tally.count("made after a further drop"),
                other => fault(&mut tally, format!("writes pass again, and {longest:?} later: {other:?}")),
            }
        }
        if inputs(&job)? != before {
            fault(&mut tally, "an input changed".to_owned());
        }
        if reports.which(&report)? != Some(wanted) || !report.join(MANIFEST).is_file() {
            fault(&mut tally, "the report was not brought up to date".to_owned());
        }
        now = wanted;
    }
    if watch.interrupt() != Some(0) {
        tally.faults.push("the watch did not end as it was told to".to_owned());
    }
    Ok(tally)
}

/// Limits the size of the files that the running program may write, or lets it write any again.
fn limit(watch: &Watch, limit: &str) -> io::Result<()> {
    let id = watch.id().to_string();
    let done = Command::new("prlimit").args(["--pid", &id, &format!("--fsize={limit}")]).output()?;
    if done.status.success() { Ok(()) } else { Err(io::Error::other(String::from_utf8_lossy(&done.stderr))) }
}
