//! Clocks that are set back and forward.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

use grainfall_tests::watch::Watch;

use super::{is_whole, log, stop};

/// Runs a program by a clock that is off by what a file says, with `faketime` (Debian package); `None` with a message
/// where that cannot be done. Time that only measures, as a stopwatch does, goes on as it is.
#[allow(clippy::print_stderr)] // A skipped test says so.
fn by_the_clock_in(file: &Path, program: &str) -> Option<Command> {
    let library = Command::new("faketime").args(["-f", "+0", "printenv", "LD_PRELOAD"]).output();
    let library = library.ok().filter(|output| output.status.success()).map(|output| output.stdout);
    let command = |program: &str| {
        let mut command = Command::new(program);
        command.env("LD_PRELOAD", String::from_utf8_lossy(library.as_deref().unwrap_or_default()).trim());
        command.env("FAKETIME_TIMESTAMP_FILE", file).env("FAKETIME_NO_CACHE", "1");
        command.env("FAKETIME_DONT_FAKE_MONOTONIC", "1");
        command
    };
    fs::write(file, "-20y").unwrap();
    let year = |mut command: Command| -> Option<i32> {
        String::from_utf8(command.arg("+%Y").output().ok()?.stdout).ok()?.trim().parse().ok()
    };
    let is_off =
        matches!((year(Command::new("date")), year(command("date"))), (Some(now), Some(then)) if then < now - 18);
    if !is_off {
        eprintln!("skipped: no clock can be set here (needs faketime)");
    }
    is_off.then(|| command(program))
}

#[test]
fn a_clock_that_is_set_back_and_forward_misses_nothing_and_repeats_nothing() {
    let root = tempfile::tempdir().unwrap();
    let (job, clock) = (root.path().join("larch"), root.path().join(".clock"));
    fs::create_dir(&job).unwrap();
    fs::write(job.join("a.csv"), log("S1", 2)).unwrap();
    let Some(command) = by_the_clock_in(&clock, env!("CARGO_BIN_EXE_grainfall")) else { return };
    let mut watch = Watch::start_by(command, &["--settle", "0.5", "--poll", "0.3", "--no-cache"], &job);
    watch.next("watching", "larch");
    watch.next("report", "larch");
    let day = Duration::from_secs(86_400);
    let now = std::time::SystemTime::now();
    // The clock, and what the file says of itself: both later, both earlier, and one of each.
    let steps = [("+400d", now + day * 900), ("-400d", now - day * 900), ("-30y", now + day * 9000), ("+0", now - day)];
    for (number, (offset, modified)) in (3..).zip(steps) {
        fs::write(&clock, offset).unwrap();
        let name = format!("b{number}.csv");
        fs::write(job.join(&name), log("S1", number)).unwrap();
        fs::File::options().write(true).open(job.join(&name)).unwrap().set_modified(modified).unwrap();
        assert_eq!(watch.next("report", "larch")["added"], serde_json::json!([name]));
        watch.is_silent_for(Duration::from_secs(2));
    }
    // Other values in as many bytes, in a file that says that it is as old as it was.
    let place = job.join("b3.csv");
    let modified = fs::metadata(&place).unwrap().modified().unwrap();
    fs::write(&place, log("S1", 3).replace(",18.", ",17.")).unwrap();
    fs::File::options().write(true).open(&place).unwrap().set_modified(modified).unwrap();
    assert_eq!(watch.next("report", "larch")["changed"], serde_json::json!(["b3.csv"]));
    is_whole(&job);
    stop(watch, "INT");
}
