//! `report` killed at random moments.

use std::io;
use std::process::Stdio;
use std::time::Duration;

use grainfall_simulate::rng::Rng;

use super::{Bench, Reports, Tally, Writing, inputs, left_beside};

/// Kills a report `times` times, every other time while it is being written, and looks at what is there.
///
/// # Errors
/// When the runs themselves cannot be made.
pub fn killed(bench: &Bench, times: u32, seed: u64) -> io::Result<Tally> {
    let job = bench.job("killed")?;
    let report = job.join("report");
    let before = inputs(&job)?;
    let reports = Reports::in_units(bench, &job)?;
    let mut rng = Rng::stream(seed, "killed");
    let mut tally = Tally::new("report, killed by SIGKILL at a random moment");
    let mut now = "si";
    for at in 0..times {
        let wanted = reports.other(now);
        let mut writing = Writing::of(&job)?;
        let mut child = bench
            .command(&["report", "--units", wanted], &job)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()?;
        if at % 2 == 0 {
            std::thread::sleep(reports.time.mul_f64(rng.between(0.0, 1.1)));
        } else {
            writing.wait_for_next(reports.time * 2)?;
            std::thread::sleep(Duration::from_secs_f64(rng.between(0.0, 0.060)));
        }
        let ended = child.try_wait()?.is_some();
        child.kill()?;
        child.wait()?;
        tally.runs += 1;
        if inputs(&job)? != before {
            tally.faults.push(format!("run {at}: an input changed"));
        }
        match reports.which(&report)? {
            Some(found) => {
                let whose = if found == wanted { "the new report" } else { "the old report" };
                tally.count(format!("{whose}, {}", if ended { "ended before the kill" } else { "killed" }));
                now = found;
            }
            None => {
                let state = if report.exists() { "a torn report" } else { "no report" };
                tally.count(state);
                tally.faults.push(format!("run {at}: {state}; beside it {:?}", left_beside(&job)?));
                // The next run must mend it whatever it finds.
                bench.run(&["report", "--units", "si"], &job)?;
                now = "si";
            }
        }
    }
    let last = bench.run(&["report", "--units", "us"], &job)?;
    if last.fault().is_some() || reports.which(&report)? != Some("us") {
        tally.faults.push(format!("after all kills a report could not be made: {}", last.stderr));
    }
    let left = left_beside(&job)?;
    if !left.is_empty() {
        tally.faults.push(format!("{} half-made folders are left beside the report after a whole run", left.len()));
    }
    Ok(tally)
}
