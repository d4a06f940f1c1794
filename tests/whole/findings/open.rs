//! Logs that others measured, as jobs: read and judged once, however many kinds are looked for in them.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, OnceLock};

use chrono::{DateTime, NaiveDateTime, TimeDelta, TimeZone, Utc};
use grainfall_analysis::evidence::Evidence;
use grainfall_tests::{judge, open_log};

use crate::proof::Due;

/// TRH-database and Finnish Meteorological Institute open data (CC BY 4.0): an attic in Finland, its house and the weather,
/// nine months by the hour without a gap.
pub const ATTIC: [&str; 3] = [
    "share_attic_drying_point_hourly_utc+2.csv",
    "share_attic_indoor_hourly_utc+2.csv",
    "share_attic_outdoor_hourly_utc+2.csv",
];

/// UCI `Appliances energy prediction` (CC BY 4.0): 1 500 rows of a house in Belgium drawn at random from six weeks by the
/// ten minutes. Channels `1` to `9` are rooms, of which `6` hangs outdoors; `out` is the nearest airport.
pub const HOUSE: &str = "share_house_wide_9rooms.csv";

/// Environment and Climate Change Canada (Open Government Licence - Canada 2.0): January 2013 by the hour, nothing missing.
pub const TORONTO: &str = "share_eccc_toronto_hourly_preamble_2013-01.csv";

/// NOAA Local Climatological Data (public domain): routine reports and special ones at irregular minutes.
pub const ATLANTA: &str = "share_noaa_lcd_atlanta_degF_wetbulb.csv";

/// Three airports of New York in March and November 2013 (CC0, nycflights13).
pub const NEW_YORK: &str = "share_nyc_weather_degF_dst_mar_nov_2013.csv";

/// UCI `Occupancy Detection` (CC BY 4.0): an office by the minute for two days.
pub const OFFICE: &str = "share_office_humidity_ratio_short_header.txt";

/// A job made of open logs, and what must be found in it.
pub struct Open {
    logs: Vec<&'static str>,
    job: String,
    files: Vec<(&'static str, String)>,
    as_of: Option<DateTime<Utc>>,
    /// What must be raised; empty where the kind must not be.
    pub due: Vec<Due>,
    /// What a person sees on the chart.
    pub why: &'static str,
}

impl Open {
    /// A job of these logs in which nothing of the kind must be raised.
    pub fn silent(logs: &[&'static str], job: String, why: &'static str) -> Self {
        Self { logs: logs.to_vec(), job, files: Vec::new(), as_of: None, due: Vec::new(), why }
    }

    /// In which this must be raised, and nothing else of the kind.
    pub fn raised(self, due: Vec<Due>) -> Self {
        assert!(!due.is_empty(), "what must be raised is not said");
        Self { due, ..self }
    }

    /// A file of the job's own beside the logs.
    pub fn with_file(mut self, name: &'static str, text: String) -> Self {
        self.files.push((name, text));
        self
    }

    /// The record as it stood then.
    pub fn judged_at(self, time: DateTime<Utc>) -> Self {
        Self { as_of: Some(time), ..self }
    }

    /// `None` where a log is not there.
    pub fn present(self) -> Option<Self> {
        self.logs.iter().all(|log| path(log).is_some()).then_some(self)
    }

    /// The job read and judged.
    pub fn evidence(&self) -> Arc<Evidence> {
        type Judged = Arc<OnceLock<Arc<Evidence>>>;
        static KNOWN: Mutex<BTreeMap<String, Judged>> = Mutex::new(BTreeMap::new());
        let key = format!("{:?} {} {:?} {:?}", self.logs, self.job, self.files, self.as_of);
        let judged = Arc::clone(KNOWN.lock().unwrap().entry(key).or_default());
        Arc::clone(judged.get_or_init(|| Arc::new(self.judged())))
    }

    fn judged(&self) -> Evidence {
        let folder = tempfile::tempdir().unwrap();
        for log in &self.logs {
            std::fs::copy(path(log).unwrap(), folder.path().join(log)).unwrap();
        }
        for (name, text) in &self.files {
            std::fs::write(folder.path().join(name), text).unwrap();
        }
        std::fs::write(folder.path().join("job.toml"), &self.job).unwrap();
        judge(folder.path(), self.as_of).analysis.evidence
    }
}

/// Where a log lies, if it is there.
pub fn path(log: &str) -> Option<PathBuf> {
    open_log(log)
}

/// A logger of a job: file, channel, place, chamber or unit.
pub type Placed<'a> = (&'a str, Option<&'a str>, &'a str, Option<&'a str>);

/// A job with each of these loggers in its place and chamber (inlets and outlets: at its unit).
pub fn job(zone: &str, loggers: &[Placed<'_>]) -> String {
    let mut job = format!("[job]\ntitle = \"open logs\"\ntime_zone = \"{zone}\"\nelevation = \"10 m\"\n");
    let at_unit = |place: &str| matches!(place, "inlet" | "outlet");
    let mut chambers: Vec<&str> =
        loggers.iter().filter(|(.., place, _)| !at_unit(place)).filter_map(|(.., chamber)| *chamber).collect();
    chambers.sort_unstable();
    chambers.dedup();
    for chamber in chambers {
        write!(job, "\n[[chamber]]\nid = \"{chamber}\"\n").unwrap();
    }
    for (file, channel, place, whose) in loggers {
        write!(job, "\n[[logger]]\nfile = \"{file}\"\nplace = \"{place}\"\n").unwrap();
        let key = if at_unit(place) { "unit" } else { "chamber" };
        for (key, value) in [("channel", channel), (key, whose)] {
            if let Some(value) = value {
                writeln!(job, "{key} = \"{value}\"").unwrap();
            }
        }
    }
    job
}

/// The attic as a chamber, its house unaffected, the weather outdoors. Its zone never changed clocks.
pub fn attic() -> String {
    job(
        "Etc/GMT-2",
        &[
            (ATTIC[0], None, "affected", Some("A")),
            (ATTIC[1], None, "unaffected", None),
            (ATTIC[2], None, "outdoor", None),
        ],
    )
}

/// The nine rooms by floor: the ground floor as one chamber, the upper floor unaffected.
pub fn by_floor() -> String {
    let mut loggers: Vec<Placed<'_>> =
        ["1", "3", "4", "5"].map(|channel| (HOUSE, Some(channel), "affected", Some("A"))).to_vec();
    loggers.extend(["2", "7", "8", "9"].map(|channel| (HOUSE, Some(channel), "unaffected", None)));
    loggers.extend(["6", "out"].map(|channel| (HOUSE, Some(channel), "outdoor", None)));
    job("Europe/Brussels", &loggers)
}

/// All rooms as one chamber.
pub fn one_chamber() -> String {
    let mut loggers: Vec<Placed<'_>> =
        ["1", "2", "3", "4", "5", "7", "8", "9"].map(|channel| (HOUSE, Some(channel), "affected", Some("A"))).to_vec();
    loggers.extend(["6", "out"].map(|channel| (HOUSE, Some(channel), "outdoor", None)));
    job("Europe/Brussels", &loggers)
}

/// Two rooms of the house called inlet and outlet of a dehumidifier that never stood there. The bathroom, the outlet, is no
/// warmer than the living room in 97 of 100 samples, and no drier in as many.
pub fn two_rooms_as_a_unit() -> String {
    let mut text = job(
        "Europe/Brussels",
        &[
            (HOUSE, Some("2"), "inlet", Some("D1")),
            (HOUSE, Some("5"), "outlet", Some("D1")),
            (HOUSE, Some("3"), "affected", Some("A")),
        ],
    );
    text += &unit("dehumidifier low-grain", "2016-01-12 00:00", Some("2016-02-10 00:00"));
    text
}

/// Unit D1 in chamber A, written as `[[equipment]]`.
pub fn unit(kind: &str, placed: &str, removed: Option<&str>) -> String {
    let mut text =
        format!("\n[[equipment]]\nunit = \"D1\"\nkind = \"{kind}\"\nchamber = \"A\"\nplaced = \"{placed}\"\n");
    if let Some(removed) = removed {
        writeln!(text, "removed = \"{removed}\"").unwrap();
    }
    text
}

/// Instants, temperature (degC) and humidity (%) of an attic log, straight from its text.
pub fn attic_series(log: &str) -> Option<Vec<(DateTime<Utc>, f64, f64)>> {
    let text = std::fs::read_to_string(path(log)?).unwrap();
    let read = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let local = NaiveDateTime::parse_from_str(cells[0], "%Y-%m-%d %H:%M:%S")
            .or_else(|_| NaiveDateTime::parse_from_str(cells[0], "%Y-%m-%d %H:%M"))
            .unwrap();
        (local.and_utc() - TimeDelta::hours(2), cells[1].parse().unwrap(), cells[2].parse().unwrap())
    };
    Some(text.lines().skip(1).map(read).collect())
}

/// Instants, temperature (degC) and humidity (%) of a room of the house, straight from the text.
pub fn room_series(room: u32) -> Option<Vec<(DateTime<Utc>, f64, f64)>> {
    let text = std::fs::read_to_string(path(HOUSE)?).unwrap();
    let mut lines = text.lines().map(|line| line.split(',').map(|cell| cell.trim_matches(['"', ' '])).collect());
    let head: Vec<&str> = lines.next().unwrap();
    let column = |name: String| head.iter().position(|one| *one == name).unwrap();
    let (temp, rh) = (column(format!("T{room}")), column(format!("RH_{room}")));
    let read = |cells: Vec<&str>| {
        let local = NaiveDateTime::parse_from_str(cells[0], "%Y-%m-%d %H:%M:%S").unwrap();
        let time = chrono_tz::Europe::Brussels.from_local_datetime(&local).unwrap().to_utc();
        (time, cells[temp].parse().unwrap(), cells[rh].parse().unwrap())
    };
    Some(lines.map(read).collect())
}

/// Dew point by Magnus' formula over water (WMO-No. 8 form, from memory), degC: off by up to 0.1 K.
pub fn dew_point_c(temp_c: f64, rh_pct: f64) -> f64 {
    let log = (rh_pct / 100.0).ln() + 17.62 * temp_c / (243.12 + temp_c);
    243.12 * log / (17.62 - log)
}

/// Water in air by the same formula at 101.2 kPa (10 m above the sea), grains in a pound of dry air.
pub fn gpp(temp_c: f64, rh_pct: f64) -> f64 {
    let vapour_pa = 611.2 * (17.62 * temp_c / (243.12 + temp_c)).exp() * rh_pct / 100.0;
    7000.0 * 0.622 * vapour_pa / (101_200.0 - vapour_pa)
}
