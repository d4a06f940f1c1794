//! What must hold of every job, tried on small generated ones (`small`).

#![allow(clippy::print_stdout, reason = "how much was tried belongs into the output of the test")]
#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

mod small;

use std::cell::Cell;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{DayVerdict, EquipmentDay, Evidence, GoalVerdict};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

use small::{DAY, Read, Small, Unit, small};

/// Jobs tried per property; more with `GRAINFALL_PROPERTIES` in the environment.
const CASES: u32 = 150;

fn cases() -> u32 {
    std::env::var("GRAINFALL_PROPERTIES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(CASES)
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
    let config = Config { cases: cases(), failure_persistence: None, max_shrink_iters: 200, ..Config::default() };
    TestRunner::new_with_rng(config, rng).run(strategy, test).unwrap_or_else(|error| panic!("{error}"));
}

/// A day that was shown stays as it was, whatever is read or logged later. A day that was not may be shown by a reading
/// within 36 h of it: that is how far a reading reaches.
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
        let later = days(&job.judge());
        // Without the readings that follow; and without what the loggers wrote since, too.
        for then in [first.judge(), first.judge_until(next)] {
            let then = days(&then);
            let next = job.instant(next);
            for before in then.iter().filter(|before| before.3 <= next) {
                let after = later.iter().find(|after| (&after.0, after.1) == (&before.0, before.1));
                let Some(after) = after.filter(|after| after.3 == before.3) else {
                    // The period went on after the last entry of the shorter record.
                    continue;
                };
                if before.4 == DayVerdict::NotShown {
                    let shown = after.4 != DayVerdict::NotShown;
                    prop_assert!(!shown || next - before.3 <= TimeDelta::hours(36), "{before:?} became {after:?}");
                } else {
                    compared.set(compared.get() + 1);
                    prop_assert_eq!(before, after);
                }
            }
        }
        Ok(())
    });
    println!("{} finished periods compared", compared.get());
    assert!(compared.get() >= 150, "only {} periods were finished and shown", compared.get());
}

/// A day that is not shown never comes to be not needed for want of readings, and a point's goal that is not shown never to
/// be met or missed. A day may come to be needed where a reading is gone that had closed a point. That cannot be otherwise:
/// what is left is word for word the record of a house in which nobody read that point then, and there the point stands
/// open and is load, whatever else was not read; no record can tell of a row it never had. So the point must be open in
/// that day by the readings that are left, walked alone.
#[test]
fn removing_readings_never_turns_not_shown_into_a_verdict_against_a_unit() {
    let (not_shown, lost, opened) = (Cell::new(0), Cell::new(0), Cell::new(0));
    holds(&(small(), prop::collection::vec(any::<bool>(), 64)), |(job, keep)| {
        let all = job.judge();
        let fewer = job.readings.iter().zip(keep.iter().cycle()).filter(|(_, keep)| **keep);
        let less = Small { readings: fewer.map(|(read, _)| read.clone()).collect(), ..job.clone() };
        let less = less.judge_without_hours(|hour| keep[hour % keep.len()]);
        for (before, after) in equipment_days(&all).zip(equipment_days(&less)) {
            if before.verdict == DayVerdict::NotShown {
                not_shown.set(not_shown.get() + 1);
                if after.verdict != DayVerdict::NotShown {
                    prop_assert_eq!(after.verdict, DayVerdict::Needed, "{}: {}", before.why, after.why);
                    prop_assert!(!after.load_points.is_empty(), "{}: {}", before.why, after.why);
                    for point in &after.load_points {
                        let gone = closing_reading_is_gone(&job, &keep, point, after.to);
                        let open = open_by_what_is_left(&job, &keep, point, (after.from, after.to));
                        prop_assert!(gone && open, "{}: {}", before.why, after.why);
                    }
                    opened.set(opened.get() + 1);
                }
            }
            lost.set(lost.get() + u32::from(before.verdict != after.verdict));
        }
        for (before, after) in verdicts(&all, 0).iter().zip(&verdicts(&less, 0)) {
            if before.1 == GoalVerdict::NotShown && before.0.starts_with('P') {
                prop_assert_eq!(before, after);
            }
        }
        Ok(())
    });
    let (not_shown, lost) = (not_shown.get(), lost.get());
    println!("{not_shown} days not shown, {lost} days changed, {} came to be needed", opened.get());
    assert!(not_shown >= 60 && lost >= 60, "{not_shown} days not shown, {lost} changed: the readings hardly mattered");
}

/// The case that cannot be otherwise: P0 is read as open, as closed, and as closed again; P1 is unread in the third period.
/// Without the reading that closed P0 the record is that of a house in which P0 stood open for three days.
#[test]
fn without_the_reading_that_closed_a_point_the_point_is_load() {
    let read = |day: i64, point, tenths| Read { at: day * DAY + 10 * 60, point, tenths: Some(tenths) };
    let job = Small {
        shift: 0,
        si: false,
        calendar: false,
        confirm: 1,
        goals: vec![120, 120],
        readings: vec![read(0, 0, 200), read(0, 1, 110), read(1, 0, 110), read(3, 0, 110)],
        units: vec![Unit { placed: DAY / 2, removed: 4 * DAY + DAY / 2, chosen: None, in_b: false, moved: None }],
        air: vec![(0, 40)],
        air_goal: None,
        logged: None,
        late_first: false,
        split: None,
        ended: None,
        pause: None,
        drying: None,
    };
    let third = |job: &Small| equipment_days(&job.judge()).nth(2).unwrap().clone();
    assert_eq!(third(&job).verdict, DayVerdict::NotShown);
    let keep = [true, true, false, true];
    let left = job.readings.iter().zip(keep).filter(|(_, keep)| *keep).map(|(read, _)| read.clone()).collect();
    let day = third(&Small { readings: left, ..job.clone() });
    assert_eq!((day.verdict, day.load_points), (DayVerdict::Needed, vec!["P0".to_owned()]));
    assert!(open_by_what_is_left(&job, &keep, "P0", (day.from, day.to)));
    assert!(!open_by_what_is_left(&job, &[true; 4], "P0", (day.from, day.to)));
}

/// Whether a reading that meets a point's goal was taken before an instant and is left out.
fn closing_reading_is_gone(job: &Small, keep: &[bool], point: &str, before: DateTime<Utc>) -> bool {
    let number: usize = point.trim_start_matches('P').parse().unwrap();
    let goal = job.goals[number];
    if let (0, Some(values)) = (number, &job.logged) {
        let gone = (0..).zip(values).zip(keep.iter().cycle()).filter(|(_, keep)| !**keep);
        let mut own = gone.map(|(read, _)| read);
        return own.any(|(hour, value)| *value <= goal && job.instant(60 * hour) < before);
    }
    let gone = job.readings.iter().zip(keep.iter().cycle()).filter(|(_, keep)| !**keep);
    let mut own = gone.map(|(read, _)| read).filter(|read| read.point == number);
    own.any(|read| read.tenths.is_some_and(|value| value <= goal) && job.instant(read.at) < before)
}

/// Whether a point is open for some of a span by the readings that are left: one above its goal in the span or before it,
/// with fewer than the readings in a row that confirm the goal from there to the span; or the first above it, within the
/// 36 h that it reaches back.
fn open_by_what_is_left(job: &Small, keep: &[bool], point: &str, (from, to): (DateTime<Utc>, DateTime<Utc>)) -> bool {
    let number: usize = point.trim_start_matches('P').parse().unwrap();
    let left = visits(job, keep, number);
    let above = |visit: &(DateTime<Utc>, Option<i64>)| visit.1.is_none_or(|value| value > job.goals[number]);
    let meeting = |after: DateTime<Utc>| {
        let since: Vec<bool> = left.iter().filter(|one| after < one.0 && one.0 <= from).map(above).collect();
        since.split(|above| *above).map(<[bool]>::len).max().unwrap_or(0)
    };
    let confirm = usize::try_from(job.confirm).unwrap();
    let last = left.iter().rev().find(|one| one.0 < to && above(one));
    let first = left.iter().find(|one| above(one));
    last.is_some_and(|one| meeting(one.0) < confirm)
        || first.is_some_and(|one| from <= one.0 && one.0 - TimeDelta::hours(36) < to)
}

/// What is left of the readings of a point, by visit: when it began, and the highest value in tenths, `None` over the range.
fn visits(job: &Small, keep: &[bool], number: usize) -> Vec<(DateTime<Utc>, Option<i64>)> {
    if let (0, Some(values)) = (number, &job.logged) {
        let left = (0..).zip(values).zip(keep.iter().cycle()).filter(|(_, keep)| **keep);
        return left.map(|((hour, value), _)| (job.instant(60 * hour), Some(*value))).collect();
    }
    let left = job.readings.iter().zip(keep.iter().cycle()).filter(|(_, keep)| **keep);
    let mut own: Vec<_> = left.map(|(read, _)| read).filter(|read| read.point == number).collect();
    own.sort_by_key(|read| read.at);
    let mut visits: Vec<(i64, Option<i64>)> = Vec::new();
    for read in own {
        match visits.last_mut().filter(|(at, _)| read.at - at < 120) {
            Some((_, highest)) => *highest = highest.zip(read.tenths).map(|(one, other)| one.max(other)),
            None => visits.push((read.at, read.tenths)),
        }
    }
    visits.into_iter().map(|(at, value)| (job.instant(at), value)).collect()
}

/// The equipment-days of all units.
fn equipment_days(evidence: &Evidence) -> impl Iterator<Item = &EquipmentDay> {
    evidence.equipment.iter().flat_map(|unit| &unit.stays).flat_map(|stay| &stay.days)
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
