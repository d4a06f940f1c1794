//! Small jobs drawn at random, and the folder of each: one to three points by hand or by a logger, one or two chambers, units
//! that move, stop by plan and serve some points only, an air goal, points that end or are carried over.

use std::fmt::Write as _;
use std::fs;

use chrono::{DateTime, NaiveDate, NaiveDateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::Evidence;
use grainfall_tests::claims::broken;
use grainfall_tests::judge;
use proptest::prelude::*;

/// A small job: everything in minutes after its first midnight.
#[derive(Debug, Clone)]
pub struct Small {
    /// Minutes by which every time is shifted.
    pub shift: i64,
    /// Whether quantities are written in SI units.
    pub si: bool,
    pub calendar: bool,
    pub confirm: u32,
    /// Goal of each point in tenths.
    pub goals: Vec<i64>,
    /// Readings by hand; those of the first point count only where no logger reads it.
    pub readings: Vec<Read>,
    pub units: Vec<Unit>,
    /// Hours at which the humidity of the air changes, and to what.
    pub air: Vec<(usize, u32)>,
    pub air_goal: Option<AirGoal>,
    /// The first point is read by a logger: its value in tenths by the hour.
    pub logged: Option<Vec<i64>>,
    /// Whether the second half of the log comes first by the name of its file.
    pub late_first: bool,
    /// The last point lies in chamber B from these minutes on.
    pub split: Option<Split>,
    /// The last point ends.
    pub ended: Option<i64>,
    pub pause: Option<Pause>,
    /// Chamber A is dried from then on, with or without a reason for equipment before.
    pub drying: Option<(i64, bool)>,
}

#[derive(Debug, Clone, Copy)]
pub struct Split {
    pub at: i64,
    /// Whether B is split off A then, or was there and the point is carried over.
    pub off: bool,
}

#[derive(Debug, Clone)]
pub struct Read {
    pub at: i64,
    pub point: usize,
    /// In tenths; `None`: over the meter's range.
    pub tenths: Option<i64>,
}

#[derive(Debug, Clone)]
pub struct Unit {
    pub placed: i64,
    pub removed: i64,
    pub chosen: Option<usize>,
    /// Whether it serves chamber B, where there is one.
    pub in_b: bool,
    /// Taken away at a time for so long, and placed again: in the other chamber, where there is one.
    pub moved: Option<(i64, i64)>,
}

/// A recorded stop of one unit or all.
#[derive(Debug, Clone)]
pub struct Pause {
    pub from: i64,
    pub to: i64,
    pub unit: Option<usize>,
}

#[derive(Debug, Clone, Copy)]
pub enum AirGoal {
    DewPoint,
    Humidity,
    Gpp,
}

pub const DAY: i64 = 24 * 60;
/// Hours of log.
const HOURS: usize = 7 * 24;

pub fn small() -> impl Strategy<Value = Small> {
    (1..=3_usize).prop_flat_map(of_points)
}

fn of_points(points: usize) -> impl Strategy<Value = Small> {
    // A visit on each of seven days, some points or the whole visit left out, now and then a second reading soon after.
    let visit = (
        8 * 60..11 * 60_i64,
        prop::collection::vec((prop::option::weighted(0.7, 80..200_i64), 0..10_u8), points),
        prop::bool::weighted(0.8),
    );
    let away = prop_oneof![0..50_i64, 61..600_i64];
    let unit = (
        (DAY / 2..DAY, 1..7_i64, 0..DAY),
        prop::option::weighted(0.3, 0..points),
        any::<bool>(),
        prop::option::weighted(0.4, (1..100_i64, away)),
    );
    let split = prop::option::of((DAY..6 * DAY, any::<bool>()).prop_map(|(at, off)| Split { at, off }));
    let pause = prop::option::of((DAY..5 * DAY, 1..DAY, prop::option::of(0..1_usize)))
        .prop_map(|pause| pause.map(|(from, length, unit)| Pause { from, to: from + length, unit }));
    let air_goal =
        prop::option::weighted(0.7, prop_oneof![Just(AirGoal::DewPoint), Just(AirGoal::Humidity), Just(AirGoal::Gpp)]);
    let steps = prop::collection::vec((0..HOURS, 70..200_i64), 3..8);
    let logged = prop::option::weighted(0.3, steps).prop_map(|steps| steps.map(by_the_hour));
    (
        prop::collection::vec(100..140_i64, points),
        prop::collection::vec(visit, 7),
        prop::collection::vec(unit, 1..=2),
        1..=2_u32,
        prop::collection::vec((0..HOURS, 30..70_u32), 1..4),
        (split, pause, prop::option::weighted(0.2, 2 * DAY..6 * DAY)),
        (air_goal, logged, prop::option::weighted(0.2, (DAY / 2..3 * DAY, any::<bool>()))),
    )
        .prop_map(|(goals, visits, units, confirm, mut air, (split, pause, ended), (air_goal, logged, drying))| {
            air.sort_unstable();
            Small {
                shift: 0,
                si: false,
                calendar: false,
                confirm,
                goals,
                readings: readings(visits),
                units: units.into_iter().map(placed).collect(),
                air,
                air_goal,
                logged,
                late_first: false,
                split,
                ended,
                pause,
                drying,
            }
        })
}

/// A visit: minute of the day, value and dice of each point, whether it took place.
type Visit = (i64, Vec<(Option<i64>, u8)>, bool);

fn readings(visits: Vec<Visit>) -> Vec<Read> {
    let mut readings = Vec::new();
    for (day, (minute, values, came)) in (0..).zip(visits) {
        if !came {
            continue;
        }
        for (point, (value, dice)) in values.into_iter().enumerate() {
            let at = day * DAY + minute + 3 * i64::try_from(point).unwrap();
            let Some(tenths) = value else { continue };
            readings.push(Read { at, point, tenths: (dice > 0).then_some(tenths) });
            if dice == 9 {
                readings.push(Read { at: at + 20, point, tenths: Some(tenths - 5) });
            }
        }
    }
    readings
}

/// A unit as drawn: minute it is placed, days it stays and minute it leaves; the move as a share of its stay.
type Drawn = ((i64, i64, i64), Option<usize>, bool, Option<(i64, i64)>);

fn placed(((placed, days, minute), chosen, in_b, moved): Drawn) -> Unit {
    let removed = days * DAY + minute.max(placed + 1);
    let moved = moved.map(|(share, away)| (placed + share * (removed - placed) / 100, away));
    let moved = moved.filter(|(at, away)| placed < *at && at + away < removed);
    Unit { placed, removed, chosen, in_b, moved }
}

/// A value by the hour that changes at some hours, and falls a little from hour to hour.
fn by_the_hour(mut steps: Vec<(usize, i64)>) -> Vec<i64> {
    steps.sort_unstable();
    let at = |hour: usize| {
        let (start, value) = steps.iter().rev().find(|(start, _)| *start <= hour).copied().unwrap_or((0, 200));
        value - i64::try_from(hour - start).unwrap() / 4
    };
    (0..HOURS).map(at).collect()
}

impl Small {
    /// A moment as the job's files write it: Arizona's clocks never change (IANA zone data).
    pub fn time(&self, minutes: i64) -> String {
        let start: NaiveDateTime = NaiveDate::from_ymd_opt(2025, 6, 2).unwrap().and_hms_opt(0, 0, 0).unwrap();
        (start + TimeDelta::minutes(minutes + self.shift)).format("%Y-%m-%d %H:%M").to_string()
    }

    /// The same as an instant: 7 h behind UTC all year.
    pub fn instant(&self, minutes: i64) -> DateTime<Utc> {
        let local = NaiveDateTime::parse_from_str(&self.time(minutes), "%Y-%m-%d %H:%M").unwrap();
        local.and_utc() + TimeDelta::hours(7)
    }

    fn unit(&self, us: &'static str, si: &'static str) -> &'static str {
        if self.si { si } else { us }
    }

    fn job_toml(&self) -> String {
        let mut text = format!(
            "[job]\ntime_zone = \"America/Phoenix\"\nelevation = \"{}\"\nloss_at = \"{}\"\nequipment_day = \"{}\"\n\
             confirm_readings = {}\n\n[[chamber]]\nid = \"A\"\nfloor_area = \"{}\"\n",
            self.unit("600 ft", "182.88 m"),
            self.time(0),
            if self.calendar { "calendar" } else { "24h" },
            self.confirm,
            self.unit("200 ft2", "18.580608 m2"),
        );
        if let Some(goal) = self.air_goal {
            let goal = match goal {
                AirGoal::DewPoint => self.unit("dew_point = \"at most 50 F\"", "dew_point = \"at most 10 C\""),
                AirGoal::Humidity => "rh = \"at most 45 %\"",
                AirGoal::Gpp => "gpp = \"at most 60\"",
            };
            let _ = writeln!(text, "air_goals = [{{ {goal}, hold = \"6 h\" }}]");
        }
        if let Some((from, reason)) = self.drying {
            let _ = writeln!(text, "drying_from = \"{}\"", self.time(from));
            if reason {
                text += "before_drying_reason = \"to keep the air in motion\"\n";
            }
        }
        match self.split {
            Some(split) if split.off => {
                let _ = write!(text, "\n[[chamber]]\nid = \"B\"\nparent = \"A\"\nfrom = \"{}\"\n", self.time(split.at));
            }
            Some(_) => text += "\n[[chamber]]\nid = \"B\"\n",
            None => {}
        }
        if let Some(pause) = &self.pause {
            let (from, to) = (self.time(pause.from), self.time(pause.to));
            let _ = write!(text, "\n[[pause]]\nfrom = \"{from}\"\nto = \"{to}\"\nreason = \"quiet\"\n");
            if let Some(unit) = pause.unit {
                let _ = writeln!(text, "units = [\"D{unit}\"]");
            }
        }
        text += "\n[[meter]]\nid = \"M1\"\nscales = [\"wood\"]\naccuracy = 1\n";
        for file in self.log_names() {
            let _ = write!(text, "\n[[logger]]\nfile = \"{file}\"\nplace = \"affected\"\nchamber = \"A\"\n");
            let _ = writeln!(text, "temp_accuracy = \"{}\"", self.unit("0.45 F", "0.25 K"));
        }
        if self.logged.is_some() {
            text += "\n[[logger]]\nfile = \"wood.csv\"\nplace = \"material\"\nchamber = \"A\"\n\
                     columns = { Moisture = { quantity = \"moisture\", unit = \"%\" } }\n";
        }
        for (point, goal) in self.goals.iter().enumerate() {
            let _ = write!(text, "\n[[point]]\nid = \"P{point}\"\n{}scale = \"wood\"\n", self.lies_in(point));
            let _ = writeln!(text, "goal = {}", tenths(*goal));
            if point == 0 && self.logged.is_some() {
                text += "logger_file = \"wood.csv\"\n";
            }
            if let Some(ended) = self.ended.filter(|_| point + 1 == self.goals.len()) {
                let _ = writeln!(text, "ended = \"{}\"\nended_reason = \"cut out\"", self.time(ended));
            }
        }
        for (number, unit) in self.units.iter().enumerate() {
            let (here, there) = if unit.in_b { ("B", "A") } else { ("A", "B") };
            match unit.moved {
                Some((at, away)) => {
                    self.stay(&mut text, number, here, (unit.placed, at));
                    self.stay(&mut text, number, there, (at + away, unit.removed));
                }
                None => self.stay(&mut text, number, here, (unit.placed, unit.removed)),
            }
        }
        text
    }

    fn stay(&self, text: &mut String, number: usize, chamber: &str, (placed, removed): (i64, i64)) {
        let chamber = if self.split.is_some() { chamber } else { "A" };
        let _ = write!(
            text,
            "\n[[equipment]]\nunit = \"D{number}\"\nkind = \"dehumidifier low-grain\"\nchamber = \"{chamber}\"\n\
             placed = \"{}\"\nremoved = \"{}\"\nairflow = \"{}\"\n",
            self.time(placed),
            self.time(removed),
            self.unit("250 cfm", "424.8 m3/h"),
        );
        if let Some(point) = self.units[number].chosen {
            let _ = writeln!(text, "points = [\"P{point}\"]");
        }
    }

    fn lies_in(&self, point: usize) -> String {
        match self.split.filter(|_| point + 1 == self.goals.len()) {
            Some(split) if split.off => "chamber = \"B\"\n".to_owned(),
            Some(split) => {
                format!("chamber = \"A\"\nmoved = [{{ chamber = \"B\", from = \"{}\" }}]\n", self.time(split.at))
            }
            None => "chamber = \"A\"\n".to_owned(),
        }
    }

    fn readings_csv(&self) -> String {
        let mut text = String::from("time,point,value,meter\n");
        let by_hand = |read: &&Read| {
            let gone = self.ended.is_some_and(|ended| read.point + 1 == self.goals.len() && ended <= read.at);
            !(gone || read.point == 0 && self.logged.is_some())
        };
        for read in self.readings.iter().filter(by_hand) {
            let value = read.tenths.map_or_else(|| "OL".to_owned(), tenths);
            let _ = writeln!(text, "{},P{},{value},M1", self.time(read.at), read.point);
        }
        text
    }

    fn log_names(&self) -> [&'static str; 2] {
        if self.late_first { ["z.csv", "b.csv"] } else { ["k.csv", "m.csv"] }
    }

    /// The log of the air in two files up to a time, 25 degC (77 degF) throughout.
    fn logs(&self, until: i64) -> [String; 2] {
        let head = self.unit("Time,Temp (F),RH (%)\n", "Time,Temp (C),RH (%)\n");
        [(0, HOURS / 2), (HOURS / 2, HOURS)].map(|(from, to)| {
            let mut text = head.to_owned();
            for (hour, minutes) in hours(from..to, until) {
                let rh = self.air.iter().rev().find(|(start, _)| *start <= hour).map_or(60, |(_, rh)| *rh);
                let temp = self.unit("77.0", "25.0");
                let _ = writeln!(text, "{},{temp},{rh}.0", self.time(minutes));
            }
            text
        })
    }

    /// The log of the first point, of which some hours may be missing.
    fn wood_log(&self, until: i64, keep: impl Fn(usize) -> bool) -> Option<String> {
        let values = self.logged.as_ref()?;
        let mut text = String::from("Time,Moisture\n");
        for (hour, minutes) in hours(0..HOURS, until).filter(|(hour, _)| keep(*hour)) {
            let _ = writeln!(text, "{},{}", self.time(minutes), tenths(values[hour]));
        }
        Some(text)
    }

    pub fn judge(&self) -> Evidence {
        self.judge_with(i64::MAX, |_| true)
    }

    /// With logs that end before a time.
    pub fn judge_until(&self, until: i64) -> Evidence {
        self.judge_with(until, |_| true)
    }

    /// With some hours of the first point's log alone.
    pub fn judge_without_hours(&self, keep: impl Fn(usize) -> bool) -> Evidence {
        self.judge_with(i64::MAX, keep)
    }

    fn judge_with(&self, until: i64, keep: impl Fn(usize) -> bool) -> Evidence {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("job.toml"), self.job_toml()).unwrap();
        fs::write(folder.path().join("readings.csv"), self.readings_csv()).unwrap();
        for (name, text) in self.log_names().iter().zip(self.logs(until)) {
            if text.lines().count() > 1 {
                fs::write(folder.path().join(name), text).unwrap();
            }
        }
        if let Some(text) = self.wood_log(until, keep).filter(|text| text.lines().count() > 1) {
            fs::write(folder.path().join("wood.csv"), text).unwrap();
        }
        let evidence = judge(folder.path(), None).analysis.evidence;
        // Each is also gone through as a sceptical reader does.
        let faults = broken(folder.path(), &evidence);
        assert!(faults.is_empty(), "{}", faults.join("\n"));
        evidence
    }
}

/// Full hours with their minutes, before a time.
fn hours(range: std::ops::Range<usize>, until: i64) -> impl Iterator<Item = (usize, i64)> {
    range.map(|hour| (hour, i64::try_from(hour).unwrap() * 60)).take_while(move |(_, minutes)| *minutes < until)
}

fn tenths(value: i64) -> String {
    format!("{}.{}", value / 10, value % 10)
}
