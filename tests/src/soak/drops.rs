//! What is dropped, and the ways in which it arrives.

use std::fs::{self, File};
use std::io::Write;
use std::path::Path;
use std::thread::sleep;
use std::time::Duration;

use grainfall_report::manifest::sha256;

use super::Figures;

/// Rows of an export.
const ROWS: usize = 24;

/// A file on its way into a job folder.
#[derive(Debug, Clone)]
pub(super) struct Drop {
    /// Number of the job.
    pub job: usize,
    path: String,
    bytes: Vec<u8>,
    way: Way,
    is_good: bool,
}

/// How a file arrives.
#[derive(Debug, Clone, Copy)]
enum Way {
    /// Written at once.
    AtOnce,
    /// Written piece by piece, as over a slow line.
    Slowly,
    /// Written under a dot-name and renamed, as sync programs do.
    RenamedHidden,
    /// Written under another name and renamed, as browsers do.
    Renamed,
}

/// A good file as it was dropped.
#[derive(Debug, Clone)]
pub(super) struct Good {
    /// Number of the job.
    pub job: usize,
    /// Path within the job.
    pub path: String,
    /// Of its bytes.
    pub sha256: String,
    /// Rows it holds.
    pub rows: u64,
}

impl Drop {
    /// Puts the file into its job; what is good is returned.
    pub(super) fn deliver(&self, folder: &Path) -> Option<Good> {
        let place = folder.join(&self.path);
        let beside = |name: String| place.with_file_name(name);
        let name = place.file_name().expect("a file").to_string_lossy().into_owned();
        match self.way {
            Way::AtOnce => fs::write(&place, &self.bytes).expect("written"),
            Way::Slowly => {
                let mut file = File::create(&place).expect("made");
                for piece in self.bytes.chunks(self.bytes.len() / 5 + 1) {
                    file.write_all(piece).expect("written");
                    sleep(Duration::from_millis(200));
                }
            }
            Way::RenamedHidden | Way::Renamed => {
                let other =
                    beside(if matches!(self.way, Way::Renamed) { format!("{name}.part") } else { format!(".{name}") });
                fs::write(&other, &self.bytes).expect("written");
                sleep(Duration::from_millis(50));
                fs::rename(&other, &place).expect("renamed");
            }
        }
        sleep(Duration::from_millis(150));
        self.is_good.then(|| Good {
            job: self.job,
            path: self.path.clone(),
            sha256: sha256(&self.bytes),
            rows: ROWS as u64,
        })
    }
}

/// A job with a chamber, a point and one logger.
pub(super) fn write_job(folder: &Path, number: usize) {
    fs::create_dir_all(folder.join("exports")).expect("made");
    let job = format!(
        r#"[job]
title = "Soak job {number:02} (invented)"
time_zone = "UTC"
loss_at = "2025-03-01 18:00"

[[chamber]]
id = "A"
name = "Chamber A"

[[logger]]
serial = "S{number:02}"
place = "affected"
chamber = "A"

[[meter]]
id = "M1"
scales = ["wood"]

[[material]]
kind = "wood"
scale = "wood"
goal = 14

[[point]]
id = "P1"
chamber = "A"
location = "floor"
material = "wood"
"#
    );
    fs::write(folder.join("job.toml"), job).expect("written");
    fs::write(folder.join("exports/first.csv"), export(number, 0)).expect("written");
    write_changing(folder, 0);
}

/// The file of a job that changes without changing its size.
pub(super) fn write_changing(folder: &Path, which: usize) {
    let text = format!("time,point,value,scale,meter\n2025-03-02 08:00,P1,2{which},wood,M1\n");
    fs::write(folder.join("readings.csv"), text).expect("written");
}

/// Two hours of a job's logger.
fn export(job: usize, slice: usize) -> String {
    let mut text = format!("Serial: S{job:02}\nTime (UTC),Air temp (F),RH (%)\n");
    for row in 0..ROWS {
        let minutes = (slice * ROWS + row) * 5;
        let (day, hour, minute) = (2 + minutes / 1440, minutes / 60 % 24, minutes % 60);
        let (temp, rh) = (70 + (slice + row) % 9, 60 - (slice * 3 + row) % 20);
        text += &format!("2025-03-{day:02} {hour:02}:{minute:02},{temp}.{},{rh}.{}\n", row % 10, slice % 10);
    }
    text
}

/// What is dropped: in every ten files two bad ones and a copy, the rest two more hours of their job's logger each.
pub(super) fn plan(drops: usize, jobs: usize) -> (Vec<Drop>, Figures) {
    let mut figures = Figures::default();
    let mut list: Vec<Drop> = Vec::with_capacity(drops);
    for number in 0..drops {
        let job = number % jobs;
        // Ways and kinds run against each other, so that every kind comes in every way.
        let (round, kind) = (number / jobs, (number / jobs + number % jobs) % 10);
        let way = [Way::AtOnce, Way::Slowly, Way::RenamedHidden, Way::Renamed][(number / jobs + number) % 4];
        let copied = list.iter().find(|one| one.job == job && one.is_good).map(|one| one.bytes.clone());
        let (path, bytes, is_good) = match (kind, copied) {
            (3 | 7, _) => (format!("exports/bad {round:03}.csv"), bad(round), false),
            (5, Some(bytes)) => (format!("exports/copy {round:03}.csv"), bytes, true),
            _ => (format!("exports/slice {round:03}.csv"), export(job, round + 1).into_bytes(), true),
        };
        match kind {
            3 | 7 => figures.bad += 1,
            5 if path.contains("copy") => figures.copies += 1,
            _ => figures.good += 1,
        }
        list.push(Drop { job, path, bytes, way, is_good });
    }
    (list, figures)
}

/// Files that no logger wrote in full.
fn bad(number: usize) -> Vec<u8> {
    match number % 6 {
        0 => Vec::new(),
        1 => b"Time,Temp (C),RH (%)\n".to_vec(),
        2 => b"PK\x03\x04 cut off".to_vec(),
        3 => [b"\x1f\x8b\x08".as_slice(), &[number as u8; 64]].concat(),
        4 => (0..2000_usize).map(|at| (at * 31 + number) as u8).collect(),
        _ => b"Time,Temp (C)\n2025-13-45 99:99,x\n2025-13-45 99:99,y\n".to_vec(),
    }
}
