//! The due answers against a second, plain working-out of the rules, minute by minute.

#![allow(clippy::unwrap_used, reason = "what fails here fails a test")]

mod common;

use chrono::{DateTime, TimeDelta, Utc};
use common::{at, larch_with, point, unit};
use grainfall_simulate::Made;
use grainfall_simulate::generate::{Size, scenario};
use grainfall_simulate::instruments::ReadValue;
use grainfall_simulate::scenario::{DayRule, Ended, Event, Goal, What};
use grainfall_simulate::truth::days::Verdict;
use grainfall_simulate::truth::rules::{GoalVerdict, REACH, State};
use grainfall_simulate::truth::{Period, TruePoint, Truth};
use proptest::prelude::*;

/// What is known of a point at one instant: open, closed, or nothing, worked out from its readings so far and no other.
fn open_at(made: &Made, point: &TruePoint, time: DateTime<Utc>) -> Option<bool> {
    let scenario = made.simulation.scenario();
    let goal = point.goal.as_ref()?.value;
    let accuracy = scenario.meter(&point.meter)?.accuracy;
    let confirm = scenario.job.confirm_readings as usize;
    // (time, meets, clearly above)
    let readings: Vec<(DateTime<Utc>, bool, bool)> = point
        .visits
        .iter()
        .filter_map(|visit| {
            let value = visit.recorded?;
            let meets = !visit.lower_bound && value <= goal + 1e-9;
            Some((visit.time, meets, visit.lower_bound || value > goal + accuracy + 1e-9))
        })
        .collect();
    // Nothing is known until a reading lies above, or enough in a row meet.
    let mut open = None;
    let mut since = 0; // index of the first reading that bears on the present state
    let known: Vec<_> = readings.iter().filter(|reading| reading.0 <= time).collect();
    for now in 0..known.len() {
        let run = &known[since..=now];
        let last = run[run.len() - 1];
        if open == Some(false) {
            let two = run.len() >= 2 && run[run.len() - 2..].iter().all(|reading| !reading.1);
            if last.2 || two {
                (open, since) = (Some(true), now + 1);
            }
        } else if run.len() >= confirm && run[run.len() - confirm..].iter().all(|reading| reading.1) {
            (open, since) = (Some(false), now + 1);
        } else if open.is_none() && !last.1 {
            (open, since) = (Some(true), now + 1);
        }
    }
    open.or_else(|| {
        let above = readings.iter().find(|reading| !reading.1)?;
        (time >= scenario.job.loss_at && above.0 - time <= REACH).then_some(true)
    })
}

/// The verdict on a period by looking at every minute of it; the pull window is left out.
fn verdict_by_minutes(made: &Made, truth: &Truth, chamber: &str, period: &Period) -> Verdict {
    let points: Vec<&TruePoint> = truth
        .points
        .iter()
        .filter(|point| point.role == "drying" && point.chamber.as_deref() == Some(chamber))
        .collect();
    let mut cannot_tell = points.is_empty();
    let mut load = false;
    for point in points {
        let read = |time: &DateTime<Utc>| *time >= period.from - REACH && *time <= period.to + REACH;
        if !point.visits.iter().any(|visit| visit.recorded.is_some() && read(&visit.time)) {
            cannot_tell = true;
            continue;
        }
        let mut time = period.from;
        while time < period.to {
            match open_at(made, point, time) {
                Some(true) => load = true,
                Some(false) => {}
                None => cannot_tell = true,
            }
            time += TimeDelta::minutes(1);
        }
    }
    match (load, cannot_tell) {
        (true, _) => Verdict::Needed,
        (false, true) => Verdict::NotShown,
        (false, false) => Verdict::NotNeeded,
    }
}

/// Checks every equipment-day of a job whose units have one stay in one chamber each.
fn check_days(made: &Made) {
    let scenario = made.simulation.scenario();
    for unit in made.truth.units.iter().filter(|unit| unit.judged) {
        let stay = scenario.stays.iter().find(|stay| stay.unit == unit.unit).unwrap();
        assert_eq!(unit.periods.first().unwrap().from, stay.placed);
        assert_eq!(unit.periods.last().unwrap().to, stay.removed.unwrap_or(scenario.to));
        assert!(unit.periods.windows(2).all(|pair| pair[0].to == pair[1].from));
        let mut before = None;
        for period in &unit.periods {
            let mut expected = verdict_by_minutes(made, &made.truth, &stay.chambers[0], period);
            let closed = made
                .truth
                .points
                .iter()
                .filter(|point| point.chamber.as_deref() == Some(stay.chambers[0].as_str()))
                .filter_map(|point| {
                    let before = point.spans.iter().rev().filter(|span| span.from < period.to);
                    before.into_iter().find(|span| span.state == State::Closed)
                })
                .map(|span| span.from)
                .max();
            let leaves = stay.removed == Some(period.to)
                && closed.is_some_and(|closed| period.to - closed <= TimeDelta::minutes(scenario.job.pull_window_min));
            if let (true, Verdict::NotNeeded, Some(earlier)) = (leaves, expected, before) {
                expected = earlier;
            }
            assert_eq!(period.verdict, expected, "{} {} {period:?}", scenario.name, unit.unit);
            assert_eq!(expected == Verdict::Needed && !period.by_pull_window, !period.load.is_empty());
            before = Some(expected);
        }
    }
}

fn verdicts(truth: &Truth, name: &str) -> Vec<Verdict> {
    unit(truth, name).periods.iter().map(|period| period.verdict).collect()
}

use Verdict::{Needed, NotJudged, NotNeeded, NotShown};

#[test]
fn the_sample_job_tells_its_story() {
    let made = larch_with(|_| {});
    let truth = &made.truth;
    check_days(&made);
    assert_eq!(verdicts(truth, "D1"), [Needed; 8]);
    assert_eq!(verdicts(truth, "D2"), [Needed, Needed, Needed, Needed, NotNeeded, NotNeeded]);
    assert_eq!(verdicts(truth, "F7"), [Needed; 4]);
    assert_eq!(verdicts(truth, "F9"), [Needed, Needed, Needed, Needed, NotNeeded, NotNeeded]);
    assert_eq!(verdicts(truth, "S1"), [NotJudged; 2]);
    let d1 = unit(truth, "D1");
    assert!((d1.periods[1].did_not_run_h - 5.33).abs() < 1e-9, "02:10 to 07:30 is 5 h 20 min");
    assert!(d1.periods[7].by_pull_window && d1.periods[7].hours < 4.0);
    assert_eq!((unit(truth, "D2").recorded_days, unit(truth, "D2").billed_days), (6, Some(7.0)));
    let met: Vec<_> = truth.chambers.iter().map(|chamber| (chamber.chamber.as_str(), chamber.verdict)).collect();
    assert_eq!(met, [("A", GoalVerdict::Met), ("B", GoalVerdict::Met)]);
    // The last goal of A falls on the day of removal, that of B days before its unit leaves.
    let met_at = |index: usize| truth.chambers[index].met_at.unwrap();
    assert!(met_at(0) > at("13 08:00") && met_at(0) < at("13 10:45"));
    assert!(met_at(1) > at("10 08:00") && at("12 10:40") - met_at(1) > TimeDelta::hours(24));
    let p2 = point(truth, "P2");
    assert!(p2.visits[0].lower_bound && p2.visits[0].recorded.is_some_and(|value| (value - 40.0).abs() < 1e-12));
    assert_eq!(point(truth, "P5").visits.iter().filter(|visit| visit.recorded.is_none()).count(), 1);
    // P3 is read twice in the third visit; the higher of the two counts, once.
    let twice: Vec<f64> = made
        .record
        .readings
        .iter()
        .filter(|reading| reading.point == "P3" && reading.visit == 2)
        .filter_map(|reading| match reading.value {
            ReadValue::Measured(value) => Some(value),
            ReadValue::Above(_) | ReadValue::NoReading(_) => None,
        })
        .collect();
    assert!(twice.len() == 2 && (twice[0] - twice[1]).abs() > 0.05, "{twice:?}");
    let p3 = point(truth, "P3");
    assert_eq!(p3.visits.len(), 8);
    assert!((p3.visits[2].recorded.unwrap() - twice[0].max(twice[1])).abs() < 1e-9);
}

#[test]
fn goals_follow_the_dry_standards() {
    let made = larch_with(|_| {});
    for id in ["P1", "P2", "P3", "P6", "P7"] {
        let point = point(&made.truth, id);
        let standard = point.dry_standard.unwrap();
        // R1 reads between 8 and 9 %, so its own 4 points bind before 16 % does.
        assert!((point.goal.as_ref().unwrap().value - (standard + 4.0)).abs() < 1e-9);
    }
    let p8 = point(&made.truth, "P8");
    assert!((p8.goal.as_ref().unwrap().value - 17.6).abs() < 1e-9, "1.10 times 16");
}

#[test]
fn the_true_crossing_lies_beside_the_meeting_reading() {
    // A meter errs by at most its accuracy, so at the meeting reading the truth is at most that far above the goal, and one
    // visit earlier it was at most that far below.
    let made = larch_with(|_| {});
    for point in made.truth.points.iter().filter(|point| point.role == "drying") {
        let goal = point.goal.as_ref().unwrap().value;
        let accuracy = made.simulation.scenario().meter(&point.meter).unwrap().accuracy;
        let meeting = point.meeting.unwrap();
        let index = point.visits.iter().position(|visit| visit.time == meeting.time).unwrap();
        assert!(point.visits[index].true_value <= goal + accuracy);
        let before = point.visits[..index].iter().rev().find(|visit| visit.recorded.is_some()).unwrap();
        assert!(before.true_value > goal - accuracy);
        assert_eq!(point.crossings.iter().filter(|crossing| crossing.to == "at_or_below").count(), 1);
    }
}

#[test]
fn a_rewetted_point_is_reopened_and_its_chamber_is_load_again() {
    let made = larch_with(|scenario| {
        scenario.events.push(Event::Rewetted { point: "P7".to_owned(), at: at("10 20:00"), water_kg_m2: 1.5 });
    });
    let p7 = point(&made.truth, "P7");
    assert_eq!(p7.reopened.len(), 1);
    assert!(p7.reopened[0] > at("11 08:55") && p7.reopened[0] < at("11 10:00"));
    assert_eq!(p7.crossings.iter().map(|crossing| crossing.to).collect::<Vec<_>>()[..2], ["at_or_below", "above"]);
    // The period from 10 Oct 11:30 holds the reading that reopens the point; nothing is changed before it.
    assert_eq!(verdicts(&made.truth, "D2"), [Needed; 6]);
    assert_eq!(verdicts(&made.truth, "F7"), [Needed; 4]);
    check_days(&made);
}

#[test]
fn a_goal_below_what_the_air_allows_is_never_met() {
    let made = larch_with(|scenario| scenario.points[5].goal = Goal::Written(4.0));
    let p6 = point(&made.truth, "P6");
    assert_eq!((p6.verdict, p6.meeting, p6.crossings.len()), (Some(GoalVerdict::NotMet), None, 0));
    assert_eq!(made.truth.chambers[1].verdict, GoalVerdict::NotMet);
    assert_eq!(made.truth.chambers[1].met_at, None);
    assert_eq!(verdicts(&made.truth, "D2"), [Needed; 6]);
}

#[test]
fn days_far_from_any_reading_are_not_shown() {
    // Only the first visit and the last are left: 6 October 09:38 and 13 October 09:08.
    let made = larch_with(|scenario| {
        let last = scenario.visits.pop().unwrap();
        scenario.visits.truncate(1);
        scenario.visits.push(last);
    });
    check_days(&made);
    // 36 h from the readings of 6 October about 10:00 reach into the first and second period; 36 h before 13 October
    // about 09:10 begin on 11 October at about 21:10.
    assert_eq!(verdicts(&made.truth, "D1"), [Needed, Needed, NotShown, NotShown, NotShown, Needed, Needed, Needed]);
}

#[test]
fn civil_days_and_two_readings_in_a_row_are_counted() {
    let made = larch_with(|scenario| {
        scenario.job.day_rule = DayRule::Calendar;
        scenario.job.confirm_readings = 2;
    });
    check_days(&made);
    assert_eq!(unit(&made.truth, "D1").recorded_days, 8, "6 to 13 October");
    assert_eq!(unit(&made.truth, "D2").recorded_days, 7, "6 to 12 October");
    // B's last goals, met on the 10th, are confirmed on the 11th. The last civil day begins after that.
    assert_eq!(verdicts(&made.truth, "D2"), [Needed, Needed, Needed, Needed, Needed, Needed, NotNeeded]);
    assert_eq!(made.truth.chambers[0].verdict, GoalVerdict::NotMet, "P2 met its goal once only");
}

#[test]
fn an_ended_point_is_no_load_and_meets_nothing() {
    let ended = at("09 12:00");
    let made = larch_with(|scenario| {
        for point in scenario.points.iter_mut().filter(|point| point.id == "P6" || point.id == "P8") {
            point.ended = Some(Ended { at: ended, reason: "taken out".to_owned() });
        }
    });
    // P7 met its goal on the 9th before noon; the period from 9 October 11:30 still holds half an hour of the ended points.
    assert_eq!(verdicts(&made.truth, "D2"), [Needed, Needed, Needed, Needed, NotNeeded, NotNeeded]);
    assert_eq!(made.truth.chambers[1].verdict, GoalVerdict::Met);
    assert_eq!(made.truth.chambers[1].met_at, point(&made.truth, "P7").meeting.map(|meeting| meeting.time));
    let long_before = larch_with(|scenario| {
        for point in scenario.points.iter_mut().filter(|point| point.id == "P6" || point.id == "P8") {
            point.ended = Some(Ended { at: at("09 10:00"), reason: "taken out".to_owned() });
        }
    });
    assert_eq!(verdicts(&long_before.truth, "D2"), [Needed, Needed, Needed, NotNeeded, NotNeeded, NotNeeded]);
}

#[test]
fn a_chamber_before_its_drying_start_cannot_tell_unless_a_reason_is_recorded() {
    let start = at("08 11:30");
    let without = larch_with(|scenario| scenario.chambers[1].sheet.drying_from = Some(start));
    assert_eq!(verdicts(&without.truth, "D2"), [NotShown, NotShown, Needed, Needed, NotNeeded, NotNeeded]);
    let with = larch_with(|scenario| {
        scenario.chambers[1].sheet.drying_from = Some(start);
        scenario.chambers[1].sheet.before_drying_reason = Some("held humidity down during demolition".to_owned());
    });
    assert_eq!(verdicts(&with.truth, "D2"), [Needed, Needed, Needed, Needed, NotNeeded, NotNeeded]);
}

#[test]
fn a_unit_on_two_chambers_is_needed_while_either_has_load() {
    let made = larch_with(|scenario| {
        scenario.stays.iter_mut().find(|stay| stay.unit == "D2").unwrap().chambers.push("A".to_owned());
    });
    assert_eq!(verdicts(&made.truth, "D2"), [Needed; 6]);
}

#[test]
fn stays_that_follow_within_an_hour_go_on_in_one_period() {
    let moved = |gap_min: i64| {
        larch_with(|scenario| {
            let index = scenario.stays.iter().position(|stay| stay.unit == "D2").unwrap();
            let mut second = scenario.stays[index].clone();
            scenario.stays[index].removed = Some(at("08 10:00"));
            second.placed = at("08 10:00") + TimeDelta::minutes(gap_min);
            scenario.stays.push(second);
        })
    };
    let one = unit(&moved(60).truth, "D2").clone();
    assert_eq!((one.recorded_days, one.periods[1].from), (6, at("07 11:30")));
    assert_eq!(one.billed_days, Some(14.0), "each stay carries its billed days");
    let two = unit(&moved(61).truth, "D2").clone();
    // 6 October 11:30 to 8 October 10:00 is two periods; 8 October 11:01 to 12 October 10:40 is four.
    assert_eq!((two.recorded_days, two.periods[2].from), (6, at("08 11:01")));
}

#[test]
fn a_reading_by_another_meter_does_not_count() {
    let made = larch_with(|scenario| {
        let mut other = scenario.meters[0].clone();
        other.id = "M9".to_owned();
        scenario.meters.push(other);
        for visit in &mut scenario.visits[1..] {
            for reading in visit.readings.iter_mut().filter(|reading| reading.point == "P1") {
                reading.what = What::OtherMeter("M9".to_owned());
            }
        }
    });
    let p1 = point(&made.truth, "P1");
    assert_eq!(p1.visits.len(), 1);
    assert_eq!(p1.verdict, Some(GoalVerdict::NotMet));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn verdicts_agree_minute_by_minute(
        seed in any::<u64>(), days in 1_u32..9, points in 1_usize..14, units in 1_usize..8, rewetted in 0_usize..14,
        missed_from in 1_usize..8, missed in 0_usize..6,
    ) {
        let mut job = scenario(Size { days, points, units, interval_min: 60 }, seed).unwrap();
        let kept = job.visits.len();
        job.visits.drain(missed_from.min(kept)..(missed_from + missed).min(kept));
        if rewetted < points {
            let when = job.from + (job.to - job.from) * 2 / 3;
            let minutes = (when - job.from).num_minutes();
            job.events.push(Event::Rewetted {
                point: job.points[rewetted].id.clone(),
                at: job.from + TimeDelta::minutes(minutes),
                water_kg_m2: 1.0,
            });
        }
        check_days(&Made::from_scenario(job).unwrap());
    }
}
