//! Inputs that were cut short or have a wrong bit.

use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use grainfall_simulate::rng::Rng;

use super::{Bench, Tally, inputs, torn};
use crate::parallel::side_by_side;
use crate::tree::{Tree, tree};

/// One run in this many writes a report; the others only judge, which reads the same and is quicker.
const REPORT_EVERY: u64 = 40;

/// How an input is damaged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Damage {
    /// Its end is missing.
    Truncated,
    /// One bit of it is wrong.
    BitFlipped,
}

/// Damages one input at a time, `times` times, and looks at how the program ends and what it left.
///
/// # Errors
/// When the runs themselves cannot be made.
pub fn damaged(bench: &Bench, damage: Damage, times: u32, seed: u64) -> io::Result<Tally> {
    let title = match damage {
        Damage::Truncated => "check and report, one input cut short",
        Damage::BitFlipped => "check and report, one bit of one input wrong",
    };
    let all = Mutex::new(Tally::new(title));
    let start = |worker: usize| {
        let job = every_kind_of_input(bench, &format!("{damage:?}-{worker}"))?;
        let files = inputs(&job)?;
        Ok((job, files))
    };
    side_by_side(times.into(), start, |(job, files), at| {
        let one = one(bench, job, files, damage, (at, seed))?;
        let mut all = all.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        all.runs += 1;
        all.count(one.outcome);
        all.faults.extend(one.faults);
        Ok(())
    })?;
    Ok(all.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner))
}

/// A house with its exports also as gzip, zip and spreadsheets.
fn every_kind_of_input(bench: &Bench, name: &str) -> io::Result<PathBuf> {
    let job = bench.job(name)?;
    let export = inputs(&job)?.into_keys().find(|path| path.contains('/') && path.ends_with(".csv"));
    let log = fs::read(job.join(export.unwrap_or_default()))?;
    let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    gzip.write_all(&log)?;
    fs::write(job.join("packed.csv.gz"), gzip.finish()?)?;
    let mut zip = zip::ZipWriter::new(io::Cursor::new(Vec::new()));
    zip.start_file("within/log.csv", zip::write::SimpleFileOptions::default()).map_err(io::Error::other)?;
    zip.write_all(&log)?;
    fs::write(job.join("packed.zip"), zip.finish().map_err(io::Error::other)?.into_inner())?;
    for name in ["sheets.xlsx", "rounded_serials.xlsx", "days_1900.xls", "repeats.ods"] {
        fs::copy(crate::root().join("fuzz/corpus/workbook").join(name), job.join(name))?;
    }
    Ok(job)
}

struct One {
    outcome: String,
    faults: Vec<String>,
}

fn one(bench: &Bench, job: &Path, files: &Tree, damage: Damage, (at, seed): (u64, u64)) -> io::Result<One> {
    let mut rng = Rng::stream(seed, &format!("{damage:?} {at}"));
    let names: Vec<&String> = files.keys().collect();
    let name = names[rng.next_u64() as usize % names.len()];
    let path = job.join(name);
    let whole = fs::read(&path)?;
    let spot = rng.next_u64() as usize % whole.len();
    let mut bytes = whole.clone();
    match damage {
        Damage::Truncated => bytes.truncate(spot),
        Damage::BitFlipped => bytes[spot] ^= 1 << (rng.next_u64() % 8),
    }
    fs::write(&path, &bytes)?;
    let before = inputs(job)?;
    let writes = at % REPORT_EVERY == 0;
    let old = tree(&job.join("report"))?;
    let run = bench.run(&[if writes { "report" } else { "check" }], job)?;
    let here = format!("run {at}, {name}, {damage:?} at byte {spot}");
    let mut faults: Vec<String> = run.fault().map(|fault| format!("{here}: {fault}")).into_iter().collect();
    if inputs(job)? != before {
        faults.push(format!("{here}: an input changed"));
    }
    let code = run.status.code();
    let file = Path::new(name).file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    if code == Some(2) && !run.stderr.contains(&file) {
        faults.push(format!("{here}: the message does not name the file: {}", run.stderr.trim()));
    }
    let new = tree(&job.join("report"))?;
    if writes && code == Some(0) {
        faults.extend(torn(&new, &job.join("report"))?.map(|fault| format!("{here}: {fault}")));
    } else if new != old {
        faults.push(format!("{here}: a report changed without being asked for"));
    }
    fs::write(&path, &whole)?;
    let kind = Path::new(name).extension().map(|kind| kind.to_string_lossy().into_owned()).unwrap_or_default();
    let command = if writes { "report" } else { "check" };
    let code = code.map_or_else(|| "none".to_owned(), |code| code.to_string());
    Ok(One { outcome: format!("{kind:<5} {command:<6} exit {code}"), faults })
}
