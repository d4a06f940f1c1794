//! Moisture of two wood dowels every hour beside the weather they lay in (van der Kamp, Moore, McKendry 2017, Agric. For.
//! Meteorol. 236:123-134; MIT), and the dry-down of July 2014 in it.

#![allow(dead_code, reason = "each test that shares it uses a part of it")]

use std::path::Path;

use chrono::{DateTime, NaiveDateTime, Utc};
use grainfall_tests::open_log;

/// The logs: weather, moisture.
pub const LOGS: [&str; 2] = ["share_woodstick_weather_hourly.csv", "share_woodstick_moisture_hourly.csv"];

/// The dowels, with the columns of the moisture log they stand in, counted from 0.
pub const CHANNELS: [(&str, usize); 2] = [("BC1", 7), ("BC2", 8)];

/// A job of one dowel as a logged point `W1` in chamber `A`, from 24 July 12:00 to 28 July 2014 00:00 UTC.
pub fn job(channel: &str, goal: f64) -> String {
    job_between(channel, goal, "2014-07-24 12:00", "2014-07-28 00:00")
}

/// The same between other times, UTC.
pub fn job_between(channel: &str, goal: f64, from: &str, to: &str) -> String {
    format!(
        "[job]\ntitle = \"dowel\"\ntime_zone = \"UTC\"\nelevation = \"0 m\"\nloss_at = \"{from}\"\n\n\
         [[chamber]]\nid = \"A\"\n\n\
         [[logger]]\nfile = \"share_woodstick_weather_hourly.csv\"\nplace = \"affected\"\nchamber = \"A\"\nclock = \"utc\"\n\n\
         [[logger]]\nfile = \"share_woodstick_moisture_hourly.csv\"\nchannel = \"{channel}\"\nplace = \"material\"\nchamber = \"A\"\n\
         clock = \"utc\"\nfrom = \"{from}\"\nto = \"{to}\"\n\
         columns = {{ BC1 = {{ quantity = \"moisture\", unit = \"%\" }}, BC2 = {{ quantity = \"moisture\", unit = \"%\" }} }}\n\n\
         [[point]]\nid = \"W1\"\nchamber = \"A\"\nmaterial = \"wood dowel\"\nscale = \"wood\"\ngoal = {goal}\n\
         logger_file = \"share_woodstick_moisture_hourly.csv\"\nlogger_channel = \"{channel}\"\n"
    )
}

/// A folder with the logs and a job.toml; `None` where the logs are not there.
pub fn folder(job: &str) -> Option<tempfile::TempDir> {
    let folder = tempfile::tempdir().unwrap();
    for log in LOGS {
        std::fs::copy(open_log(log)?, folder.path().join(log)).unwrap();
    }
    std::fs::write(folder.path().join("job.toml"), job).unwrap();
    Some(folder)
}

/// Hours and moisture of a dowel in its job's time, straight from the text of the file.
pub fn series(path: &Path, column: usize) -> Vec<(DateTime<Utc>, f64)> {
    series_between(path, column, "2014-07-24T12:00:00Z", "2014-07-28T00:00:00Z")
}

/// The same from one instant to before another.
pub fn series_between(path: &Path, column: usize, from: &str, to: &str) -> Vec<(DateTime<Utc>, f64)> {
    let (from, to): (DateTime<Utc>, DateTime<Utc>) = (from.parse().unwrap(), to.parse().unwrap());
    std::fs::read_to_string(path)
        .unwrap()
        .lines()
        .skip(1)
        .filter_map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let time = NaiveDateTime::parse_from_str(cells[0], "%Y-%m-%d %H:%M:%S").ok()?.and_utc();
            let value = cells[column].parse().ok()?;
            (from <= time && time < to).then_some((time, value))
        })
        .collect()
}

/// Times at which a plain walk over the samples meets the goal, and at which it loses it again: no meter accuracy is
/// stated, so any sample above a met goal loses it.
pub fn plain_walk(series: &[(DateTime<Utc>, f64)], goal: f64) -> (Vec<DateTime<Utc>>, Vec<DateTime<Utc>>) {
    let (mut met, mut lost, mut open) = (Vec::new(), Vec::new(), true);
    for (time, value) in series {
        match (open, *value <= goal) {
            (true, true) => met.push(*time),
            (false, false) => lost.push(*time),
            _ => continue,
        }
        open = !open;
    }
    (met, lost)
}

/// The end of the July job.
pub fn end() -> Option<DateTime<Utc>> {
    Some("2014-07-28T00:00:00Z".parse().unwrap())
}
