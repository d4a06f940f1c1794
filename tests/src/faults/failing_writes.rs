//! Writes that fail: a limit on the size of files, and a file system with too little room.

use std::fs;
use std::io;
use std::path::Path;
use std::process::Command;

use grainfall_simulate::rng::Rng;

use super::{Bench, Reports, Tally, finish, inputs, left_beside, write_house};

/// Makes reports with a limit on the size of any file (`prlimit --fsize`), drawn anew each time.
///
/// # Errors
/// When the runs themselves cannot be made.
pub fn file_size_limit(bench: &Bench, times: u32, seed: u64) -> io::Result<Tally> {
    let title = "report, with a limit on the size of files";
    if Command::new("prlimit").arg("--version").output().is_err() {
        return Ok(Tally::skipped(title, "prlimit (util-linux) is not there"));
    }
    let job = bench.job("limited")?;
    let reports = Reports::in_units(bench, &job)?;
    let mut rng = Rng::stream(seed, "file size");
    let mut tally = Tally::new(title);
    let mut now = "si";
    for at in 0..times {
        let wanted = reports.other(now);
        let limit = rng.between(0.0, reports.largest as f64 * 1.2);
        let mut command = Command::new("prlimit");
        let report = bench.command(&["report", "--units", wanted], &job);
        command.arg(format!("--fsize={limit:.0}")).arg(report.get_program()).args(report.get_args());
        command.envs(report.get_envs().filter_map(|(name, value)| Some((name, value?))));
        now = look(&mut command, &job, &reports, (now, wanted), (at, limit), &mut tally)?;
    }
    Ok(tally)
}

/// Makes reports on a small file system with room for only a part of them, drawn anew each time. Needs the right to
/// mount one.
///
/// # Errors
/// When the runs themselves cannot be made.
pub fn small_file_system(bench: &Bench, times: u32, seed: u64) -> io::Result<Tally> {
    let title = "report, on a file system that fills up";
    let place = bench.work.path().join("small");
    fs::create_dir_all(&place)?;
    let Some(mounted) = Mounted::new(&place) else {
        return Ok(Tally::skipped(title, "a small tmpfs cannot be mounted here (needs root)"));
    };
    let job = place.join("job");
    write_house(&job, 1)?;
    let reports = Reports::in_units(bench, &job)?;
    let mut rng = Rng::stream(seed, "small");
    let mut tally = Tally::new(title);
    let mut now = "si";
    for at in 0..times {
        let wanted = reports.other(now);
        let room = rng.between(0.0, reports.bytes as f64 * 1.3);
        mounted.leave(room)?;
        let mut command = bench.command(&["report", "--units", wanted], &job);
        now = look(&mut command, &job, &reports, (now, wanted), (at, room), &mut tally)?;
    }
    Ok(tally)
}

/// Runs, and looks at what is there. Gives the report that is now in place.
fn look(
    command: &mut Command,
    job: &Path,
    reports: &Reports,
    (now, wanted): (&'static str, &'static str),
    (at, bytes): (u32, f64),
    tally: &mut Tally,
) -> io::Result<&'static str> {
    let before = inputs(job)?;
    let run = finish(command)?;
    tally.runs += 1;
    let here = format!("run {at}, {bytes:.0} bytes");
    tally.faults.extend(run.fault().map(|fault| format!("{here}: {fault}")));
    if inputs(job)? != before {
        tally.faults.push(format!("{here}: an input changed"));
    }
    if !left_beside(job)?.is_empty() {
        tally.faults.push(format!("{here}: left beside the report {:?}", left_beside(job)?));
    }
    let code = run.status.code();
    let found = reports.which(&job.join("report"))?;
    match (code, found) {
        (Some(0), Some(found)) if found == wanted => tally.count("exit 0, the new report"),
        (Some(2), Some(found)) if found == now => tally.count("exit 2 with a message, the old report"),
        (code, found) => {
            tally.count("neither");
            tally.faults.push(format!("{here}: exit code {code:?} and report {found:?}: {}", run.stderr.trim()));
        }
    }
    Ok(found.unwrap_or(now))
}

/// A small file system in memory, unmounted at the end.
pub(super) struct Mounted<'a> {
    place: &'a Path,
}

impl<'a> Mounted<'a> {
    pub(super) fn new(place: &'a Path) -> Option<Self> {
        let mounted = Command::new("mount").args(["-t", "tmpfs", "-o", "size=256m", "tmpfs"]).arg(place).output();
        mounted.is_ok_and(|output| output.status.success()).then_some(Self { place })
    }

    /// Makes it so small that only this many bytes more have room.
    pub(super) fn leave(&self, room: f64) -> io::Result<()> {
        let used = Command::new("df").args(["--output=used", "-B1"]).arg(self.place).output()?;
        let used = String::from_utf8_lossy(&used.stdout);
        let used: f64 = used.lines().last().and_then(|line| line.trim().parse().ok()).unwrap_or(0.0);
        let size = format!("remount,size={:.0}", used + room);
        let done = Command::new("mount").args(["-o", &size]).arg(self.place).output()?;
        if done.status.success() { Ok(()) } else { Err(io::Error::other(String::from_utf8_lossy(&done.stderr))) }
    }
}

impl Drop for Mounted<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("--lazy").arg(self.place).output();
    }
}
