//! What must hold of every job, tried on small generated ones.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

use std::cell::Cell;
use std::fmt::Write as _;
use std::fs;

use chrono::{DateTime, NaiveDate, NaiveDateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{DayVerdict, Evidence, GoalVerdict};
use grainfall_tests::judge;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// Jobs tried per property.
const CASES: u32 = 40;

/// A small job: everything in minutes after its first midnight.
#[derive(Debug, Clone)]
struct Small {
    /// Minutes by which every time is shifted.
    shift: i64,
    /// Whether quantities are written in SI units.
    si: bool,
    calendar: bool,
    confirm: u32,
    /// Goal of each point in tenths.
    goals: Vec<i64>,
    readings: Vec<Read>,
    units: Vec<Unit>,
    /// Hours at which the humidity of the air changes, and to what.
    air: Vec<(usize, u32)>,
    /// Whether the second half of the log comes first by the name of its file.
    late_first: bool,
    /// The last point lies in chamber B from these minutes on.
    split: Option<Split>,
    /// A recorded pause of all units.
    pause: Option<(i64, i64)>,
}

#[derive(Debug, Clone, Copy)]
struct Split {
    at: i64,
    /// Whether B is split off A then, or was there and the point is carried over.
    off: bool,
}

#[derive(Debug, Clone)]
struct Read {
    at: i64,
    point: usize,
    /// In tenths; `None`: over the meter's range.
    tenths: Option<i64>,
}

#[derive(Debug, Clone)]
struct Unit {
    placed: i64,
    removed: i64,
    chosen: Option<usize>,
    /// Whether it serves chamber B, where there is one.
    in_b: bool,
}

const DAY: i64 = 24 * 60;
/// Hours of log.
const HOURS: usize = 7 * 24;

fn small() -> impl Strategy<Value = Small> {
    let points = 1..=3_usize;
    points.prop_flat_map(|points| {
        // A visit on each of seven days, some points left out, now and then a second reading soon after.
        let visit =
            (8 * 60..11 * 60_i64, prop::collection::vec((prop::option::weighted(0.85, 80..200_i64), 0..10_u8), points));
        let unit = (DAY / 2..DAY, 1..7_i64, 0..DAY, prop::option::weighted(0.3, 0..points), any::<bool>());
        let split = prop::option::of((DAY..6 * DAY, any::<bool>()).prop_map(|(at, off)| Split { at, off }));
        let pause = prop::option::of((DAY..5 * DAY, 1..DAY).prop_map(|(from, length)| (from, from + length)));
        (
            prop::collection::vec(100..140_i64, points),
            prop::collection::vec(visit, 7),
            prop::collection::vec(unit, 1..=2),
            1..=2_u32,
            prop::collection::vec((0..HOURS, 30..70_u32), 1..4),
            (split, pause),
        )
            .prop_map(|(goals, visits, units, confirm, mut air, (split, pause))| {
                let mut readings = Vec::new();
                for (day, (minute, values)) in visits.into_iter().enumerate() {
                    for (point, (value, dice)) in values.into_iter().enumerate() {
                        let at = i64::try_from(day).unwrap() * DAY + minute + 3 * i64::try_from(point).unwrap();
                        let Some(tenths) = value else { continue };
                        readings.push(Read { at, point, tenths: (dice > 0).then_some(tenths) });
                        if dice == 9 {
                            readings.push(Read { at: at + 20, point, tenths: Some(tenths - 5) });
                        }
                    }
                }
                let units = units
                    .into_iter()
                    .map(|(placed, days, minute, chosen, in_b)| Unit {
                        placed,
                        removed: days * DAY + minute.max(placed + 1),
                        chosen,
                        in_b,
                    })
                    .collect();
                air.sort_unstable();
                Small {
                    shift: 0,
                    si: false,
                    calendar: false,
                    confirm,
                    goals,
                    readings,
                    units,
                    air,
                    late_first: false,
                    split,
                    pause,
                }
            })
    })
}

impl Small {
    fn time(&self, minutes: i64) -> String {
        let start: NaiveDateTime = NaiveDate::from_ymd_opt(2025, 6, 2).unwrap().and_hms_opt(0, 0, 0).unwrap();
        (start + TimeDelta::minutes(minutes + self.shift)).format("%Y-%m-%d %H:%M").to_string()
    }

    fn job_toml(&self) -> String {
        let mut text = format!(
            "[job]\ntime_zone = \"America/Phoenix\"\nelevation = {}\nloss_at = \"{}\"\nequipment_day = \"{}\"\n\
             confirm_readings = {}\n\n[[chamber]]\nid = \"A\"\nfloor_area = {}\nair_goals = [{{ {}, hold = \"6 h\" }}]\n",
            if self.si { "\"182.88 m\"" } else { "\"600 ft\"" },
            self.time(0),
            if self.calendar { "calendar" } else { "24h" },
            self.confirm,
            if self.si { "\"18.580608 m2\"" } else { "\"200 ft2\"" },
            if self.si { "dew_point = \"at most 10 C\"" } else { "dew_point = \"at most 50 F\"" },
        );
        match self.split {
            Some(split) if split.off => {
                let _ = write!(text, "\n[[chamber]]\nid = \"B\"\nparent = \"A\"\nfrom = \"{}\"\n", self.time(split.at));
            }
            Some(_) => text += "\n[[chamber]]\nid = \"B\"\n",
            None => {}
        }
        if let Some((from, to)) = self.pause {
            let (from, to) = (self.time(from), self.time(to));
            let _ = write!(text, "\n[[pause]]\nfrom = \"{from}\"\nto = \"{to}\"\nreason = \"quiet\"\n");
        }
        text += "\n[[meter]]\nid = \"M1\"\nscales = [\"wood\"]\naccuracy = 1\n";
        for file in self.log_names() {
            let _ = write!(text, "\n[[logger]]\nfile = \"{file}\"\nplace = \"affected\"\nchamber = \"A\"\n");
            let _ = writeln!(text, "temp_accuracy = {}", if self.si { "\"0.25 K\"" } else { "\"0.45 F\"" });
        }
        for (point, goal) in self.goals.iter().enumerate() {
            let _ = write!(
                text,
                "\n[[point]]\nid = \"P{point}\"\n{}scale = \"wood\"\ngoal = {}\n",
                self.lies_in(point),
                tenths(*goal)
            );
        }
        for (number, unit) in self.units.iter().enumerate() {
            let _ = write!(
                text,
                "\n[[equipment]]\nunit = \"D{number}\"\nkind = \"dehumidifier low-grain\"\nchamber = \"{}\"\n\
                 placed = \"{}\"\nremoved = \"{}\"\nairflow = {}\n",
                if unit.in_b && self.split.is_some() { "B" } else { "A" },
                self.time(unit.placed),
                self.time(unit.removed),
                if self.si { "\"424.8 m3/h\"" } else { "\"250 cfm\"" },
            );
            if let Some(point) = unit.chosen {
                let _ = writeln!(text, "points = [\"P{point}\"]");
            }
        }
        text
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
        for read in &self.readings {
            let value = read.tenths.map_or_else(|| "OL".to_owned(), tenths);
            let _ = writeln!(text, "{},P{},{value},M1", self.time(read.at), read.point);
        }
        text
    }

    fn log_names(&self) -> [&'static str; 2] {
        if self.late_first { ["z.csv", "b.csv"] } else { ["k.csv", "m.csv"] }
    }

    /// The log in two files, 25 degC (77 degF) throughout.
    fn logs(&self) -> [String; 2] {
        let head = if self.si { "Time,Temp (C),RH (%)\n" } else { "Time,Temp (F),RH (%)\n" };
        [(0, HOURS / 2), (HOURS / 2, HOURS)].map(|(from, to)| {
            let mut text = head.to_owned();
            for hour in from..to {
                let rh = self.air.iter().rev().find(|(start, _)| *start <= hour).map_or(60, |(_, rh)| *rh);
                let temp = if self.si { "25.0" } else { "77.0" };
                let _ = writeln!(text, "{}:00,{temp},{rh}.0", self.time(i64::try_from(hour).unwrap() * 60));
            }
            text
        })
    }

    fn judge(&self) -> Evidence {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("job.toml"), self.job_toml()).unwrap();
        fs::write(folder.path().join("readings.csv"), self.readings_csv()).unwrap();
        for (name, text) in self.log_names().iter().zip(self.logs()) {
            fs::write(folder.path().join(name), text).unwrap();
        }
        judge(folder.path(), None).analysis.evidence
    }
}

fn tenths(value: i64) -> String {
    format!("{}.{}", value / 10, value % 10)
}

/// One equipment-day: its unit, number, start, end and verdict.
type Day = (String, u32, DateTime<Utc>, DateTime<Utc>, DayVerdict);

fn days(evidence: &Evidence) -> Vec<Day> {
    let of = |unit: &grainfall_analysis::evidence::UnitEvidence| -> Vec<Day> {
        let days = unit.stays.iter().flat_map(|stay| &stay.days);
        days.map(|day| (unit.unit.clone(), day.number, day.from, day.to, day.verdict)).collect()
    };
    evidence.equipment.iter().flat_map(of).collect()
}

/// Verdicts and their times, shifted back.
fn verdicts(evidence: &Evidence, shift: i64) -> Vec<(String, GoalVerdict, Option<DateTime<Utc>>)> {
    let back = |time: Option<DateTime<Utc>>| time.map(|time| time - TimeDelta::minutes(shift));
    let chambers = evidence.chambers.iter().map(|one| (one.id.clone(), one.verdict, back(one.met_at)));
    let mut all: Vec<_> = chambers.collect();
    all.extend(evidence.points.iter().map(|one| (one.id.clone(), one.verdict, back(one.met_at))));
    all
}

fn holds<S: Strategy>(strategy: &S, test: impl Fn(S::Value) -> Result<(), TestCaseError>) {
    // The same jobs in every run: a failure is a fact, not luck.
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let config = Config { cases: CASES, failure_persistence: None, max_shrink_iters: 200, ..Config::default() };
    TestRunner::new_with_rng(config, rng).run(strategy, test).unwrap_or_else(|error| panic!("{error}"));
}

/// A day that was shown stays as it was. A day that was not may be shown by a reading within 36 h of it: that is how far
/// a reading reaches.
#[test]
fn a_later_reading_never_changes_an_earlier_finished_period() {
    let compared = Cell::new(0);
    holds(&(small(), any::<prop::sample::Index>()), |(job, cut)| {
        prop_assume!(job.readings.len() > 1);
        let kept = cut.index(job.readings.len() - 1) + 1;
        let mut readings = job.readings.clone();
        readings.sort_by_key(|read| read.at);
        let first = Small { readings: readings[..kept].to_vec(), ..job.clone() };
        let next = readings[kept].at;
        let then = days(&first.judge());
        let later = days(&job.judge());
        let next = job_instant(&job, next);
        for (before, after) in then.iter().zip(&later).filter(|(before, _)| before.3 <= next) {
            if before.4 == DayVerdict::NotShown {
                let shown = after.4 != DayVerdict::NotShown;
                prop_assert!(!shown || next - before.3 <= TimeDelta::hours(36), "{before:?} became {after:?}");
            } else {
                compared.set(compared.get() + 1);
                prop_assert_eq!(before, after);
            }
        }
        Ok(())
    });
    assert!(compared.get() >= 50, "only {} periods were finished and shown", compared.get());
}

fn job_instant(job: &Small, minutes: i64) -> DateTime<Utc> {
    // Arizona keeps 7 h behind UTC all year (IANA zone data).
    let local = NaiveDateTime::parse_from_str(&job.time(minutes), "%Y-%m-%d %H:%M").unwrap();
    local.and_utc() + TimeDelta::hours(7)
}

#[test]
fn removing_readings_never_turns_not_shown_into_a_verdict() {
    let (not_shown, lost) = (Cell::new(0), Cell::new(0));
    holds(&(small(), prop::collection::vec(any::<bool>(), 64)), |(job, keep)| {
        let all = job.judge();
        let fewer = job.readings.iter().zip(keep.iter().cycle()).filter(|(_, keep)| **keep);
        let less = Small { readings: fewer.map(|(read, _)| read.clone()).collect(), ..job.clone() }.judge();
        for (before, after) in days(&all).iter().zip(&days(&less)) {
            if before.4 == DayVerdict::NotShown {
                not_shown.set(not_shown.get() + 1);
                prop_assert_eq!(before, after);
            }
            lost.set(lost.get() + u32::from(before.4 != after.4));
        }
        for (before, after) in verdicts(&all, 0).iter().zip(&verdicts(&less, 0)) {
            if before.1 == GoalVerdict::NotShown && before.0.starts_with('P') {
                prop_assert_eq!(before, after);
            }
        }
        Ok(())
    });
    let (not_shown, lost) = (not_shown.get(), lost.get());
    assert!(not_shown >= 20 && lost >= 20, "{not_shown} days not shown, {lost} changed: the readings hardly mattered");
}

#[test]
fn shifting_all_clocks_together_changes_no_verdict() {
    holds(&(small(), -3 * DAY..3 * DAY), |(job, shift)| {
        let (here, there) = (job.judge(), Small { shift, ..job.clone() }.judge());
        prop_assert_eq!(verdicts(&here, 0), verdicts(&there, shift));
        let moved = TimeDelta::minutes(shift);
        let back: Vec<Day> = days(&there)
            .into_iter()
            .map(|(unit, n, from, to, verdict)| (unit, n, from - moved, to - moved, verdict))
            .collect();
        prop_assert_eq!(days(&here), back);
        Ok(())
    });
}

#[test]
fn us_and_si_input_give_the_same_verdicts() {
    let (met, not_met) = (Cell::new(0), Cell::new(0));
    holds(&(small(), any::<bool>()), |(job, calendar)| {
        let us = Small { calendar, ..job };
        let si = Small { si: true, ..us.clone() };
        let (us, si) = (us.judge(), si.judge());
        let count = |verdict| verdicts(&us, 0).iter().filter(|one| one.1 == verdict).count();
        met.set(met.get() + count(GoalVerdict::Met));
        not_met.set(not_met.get() + count(GoalVerdict::NotMet));
        prop_assert_eq!(verdicts(&us, 0), verdicts(&si, 0));
        prop_assert_eq!(days(&us), days(&si));
        Ok(())
    });
    assert!(met.get() >= 10 && not_met.get() >= 50, "{} met, {} not met", met.get(), not_met.get());
}

#[test]
fn the_order_of_files_and_rows_changes_nothing() {
    let shuffled = small().prop_flat_map(|job| (Just(job.clone()), Just(job.readings).prop_shuffle()));
    holds(&shuffled, |(job, readings)| {
        let other = Small { readings, late_first: true, ..job.clone() };
        let (one, other) = (job.judge(), other.judge());
        prop_assert_eq!(verdicts(&one, 0), verdicts(&other, 0));
        prop_assert_eq!(days(&one), days(&other));
        Ok(())
    });
}
