//! The air side as a whole, on tiny records whose values are worked out here or published.

use chrono::TimeDelta;
use chrono_tz::Tz;
use grainfall_job::{CondensateEntry, HourMeterEntry, Job, Place, PressureSource, Span, StatedBias};
use grainfall_psychrometrics::{CelsiusDelta, Metres, Pascals, WaterMass};
use grainfall_record::{LoggerSeries, Quantity, RowRef};
use proptest::prelude::*;

use super::left_out::LeftOutReason;
use super::testing::{analyse, at, at_d1, chamber, d1, f, in_a, job, pause, placement, series, steady};
use crate::evidence::{AirGoalOf, DifferenceKind, PressureBasis, RunState, TrackPlace};

const MIDNIGHT: &str = "2025-10-06T00:00:00Z";
const NEXT: &str = "2025-10-07T00:00:00Z";

/// Samples every ten minutes from one midnight to the next, both included.
const DAY_SAMPLES: usize = 145;

fn close(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "found {found}, wanted {wanted} +- {within}");
}

fn unit_job() -> Job {
    let mut job = job();
    job.loggers = vec![at_d1("IN", Place::Inlet), at_d1("OUT", Place::Outlet)];
    job.equipment = vec![d1(MIDNIGHT, None)];
    job
}

fn inlet() -> LoggerSeries {
    steady("IN", MIDNIGHT, 600, DAY_SAMPLES, (f(80.0), 60.0))
}

/// In 80 F / 60 %, out 98 F / 22 %, 250 cfm at the inlet, 14.696 psia: depression 92.0881 - 59.0933 = 32.9948 GPP with
/// u = 3.771 GPP from the sensors, 122.140 lb/day (psychrolib 2.5.0, inch-pound equations; +-2 % RH and +-0.5 F as
/// rectangular limits). 2.5 kPa of shared pressure move the depression by 0.8424 GPP and the water by 0.033 % (central
/// differences of the same functions): U = 7.589 GPP, and of the water what the sensors make it.
#[test]
fn a_running_dehumidifier_gives_the_published_depression_and_water() {
    let out = steady("OUT", MIDNIGHT, 600, DAY_SAMPLES, (f(98.0), 22.0));
    let air = analyse(&unit_job(), vec![inlet(), out], NEXT);
    let unit = &air.unit_air[0];
    assert_eq!((unit.why_not.as_deref(), unit.own_inlet), (None, true));
    assert_eq!(unit.runs.len(), 1);
    assert_eq!(unit.runs[0].state, RunState::Running);
    assert_eq!(unit.daily.len(), 1);
    let day = &unit.daily[0];
    // Inch-pound and SI constants are rounded apart by 1e-5, on 92 GPP 0.001.
    close(day.depression_gpp.unwrap(), 32.9948, 0.002);
    close(day.u_depression_gpp.unwrap(), 7.589, 0.002);
    assert_eq!(day.within_uncertainty, Some(false));
    close(day.running_h, 24.0, 1e-9);
    close(day.sample_share, 1.0, 1e-9);
    let kg = 122.140 * 0.453_592_37;
    close(unit.water_kg.unwrap(), kg, kg * 1e-4);
    let u_kg = kg * 2.0 * 3.771 / 32.9948;
    close(unit.u_water_kg.unwrap(), u_kg, u_kg * 3e-4);
    assert_eq!(air.depressions[0].time.len(), DAY_SAMPLES);
}

/// 75 F at 50 % against 75 F at 42 %: 10.473 GPP, u = 2.291 from independent sensors; 2.5 kPa of shared pressure move it
/// by 0.2654 GPP: U = 4.590 (psychrolib 2.5.0).
#[test]
fn two_airs_differ_by_the_published_figure() {
    let mut job = job();
    job.loggers = vec![in_a("W", Place::Affected), placement("D", Place::Unaffected)];
    let wet = steady("W", MIDNIGHT, 600, DAY_SAMPLES, (f(75.0), 50.0));
    let dry = steady("D", MIDNIGHT, 600, DAY_SAMPLES, (f(75.0), 42.0));
    let air = analyse(&job, vec![wet, dry], NEXT);
    assert_eq!(air.daily_differences.len(), 1);
    let difference = &air.daily_differences[0];
    assert_eq!(difference.kind, DifferenceKind::AffectedMinusUnaffected);
    close(difference.mean_gpp, 10.473, 0.001);
    close(difference.u_gpp, 4.590, 0.002);
    assert!(!difference.within_uncertainty);
    close(difference.sample_share, 1.0, 1e-9);
}

#[test]
fn a_difference_inside_its_uncertainty_says_so() {
    let mut job = job();
    job.loggers = vec![in_a("W", Place::Affected), placement("D", Place::Outdoor)];
    let wet = steady("W", MIDNIGHT, 600, DAY_SAMPLES, (f(75.0), 50.0));
    let dry = steady("D", MIDNIGHT, 600, DAY_SAMPLES, (f(75.0), 48.0));
    let air = analyse(&job, vec![wet, dry], NEXT);
    assert_eq!(air.daily_differences[0].kind, DifferenceKind::AffectedMinusOutdoor);
    assert!(air.daily_differences[0].within_uncertainty, "2 %RH is less than 4.6 GPP");
}

/// Two like loggers in one air: U of their mean is U / sqrt 2; 75 F / 50 % has U = 3.28 GPP from its sensor (as above), and
/// a pressure that is the same on both sides moves no difference of like airs.
#[test]
fn the_mean_of_two_loggers_is_surer_than_one() {
    let mut job = job();
    job.loggers = vec![in_a("A1", Place::Affected), in_a("A2", Place::Affected), placement("D", Place::Unaffected)];
    let same = |id| steady(id, MIDNIGHT, 600, DAY_SAMPLES, (f(75.0), 50.0));
    let air = analyse(&job, vec![same("A1"), same("A2"), same("D")], NEXT);
    close(air.daily_differences[0].mean_gpp, 0.0, 1e-9);
    close(air.daily_differences[0].u_gpp, 3.284 * (0.5_f64 + 1.0).sqrt(), 0.005);
    let labels: Vec<_> = air.loggers.iter().map(|logger| logger.label.as_str()).collect();
    assert_eq!(labels, ["affected, Kitchen (1)", "affected, Kitchen (2)", "unaffected"]);
}

/// A ramp from 10 to 34 degC over the day has the mean of its ends, 22 degC.
#[test]
fn the_daily_mean_of_a_ramp_is_its_middle() {
    let mut job = job();
    job.loggers = vec![placement("R", Place::Outdoor)];
    let ramp: Vec<_> = (0..25).map(|h| Some((10.0 + f64::from(h), 40.0))).collect();
    let air = analyse(&job, vec![series("R", MIDNIGHT, 3600, &ramp)], NEXT);
    let day = &air.daily_air[0];
    let temp = day.air_temp_c.unwrap();
    close(temp.mean, 22.0, 1e-9);
    close(temp.min, 10.0, 1e-9);
    close(temp.max, 34.0, 1e-9);
    assert_eq!(day.samples, 24, "the sample at the next midnight belongs to the next day");
    close(day.sample_share, 1.0, 1e-9);
}

/// Six hours of 24 are missing; the samples at the gap's ends reach half an hour into it: 19 of 24 h are covered.
#[test]
fn a_gap_lowers_the_share_and_bends_no_mean() {
    let mut job = job();
    job.loggers = vec![placement("R", Place::Outdoor)];
    let hourly: Vec<_> =
        (0..25).map(|h| (!(7..12).contains(&h)).then_some((if h < 7 { 10.0 } else { 20.0 }, 40.0))).collect();
    let air = analyse(&job, vec![series("R", MIDNIGHT, 3600, &hourly)], NEXT);
    let day = &air.daily_air[0];
    close(day.sample_share, 19.0 / 24.0, 1e-9);
    // 10 degC stands for 0:00 to 6:30, 20 degC for 11:30 to 24:00.
    close(day.air_temp_c.unwrap().mean, (6.5 * 10.0 + 12.5 * 20.0) / 19.0, 1e-9);
    assert_eq!(air.loggers[0].gaps, 1);
}

/// New York, 3 Nov 2013: 25 hours (IANA tz database). Hourly samples all through cover all of it.
#[test]
fn a_day_of_25_hours_is_whole_with_25_samples() {
    let mut job = job();
    job.zone.tz = Tz::America__New_York;
    job.loggers = vec![placement("R", Place::Outdoor)];
    let air = analyse(&job, vec![steady("R", "2013-11-03T04:00:00Z", 3600, 26, (15.0, 50.0))], "2013-11-04T05:00:00Z");
    assert_eq!(air.days.len(), 1);
    close(air.days[0].hours, 25.0, 1e-12);
    assert_eq!(air.daily_air[0].samples, 25);
    close(air.daily_air[0].sample_share, 1.0, 1e-9);
}

/// The unit stands from the sample at 8:00 to that at 12:50: changes lie halfway, at 7:55 and 12:55.
#[test]
fn a_stop_is_found_between_the_samples_around_it() {
    let out: Vec<_> =
        (0..DAY_SAMPLES).map(|i| Some(if (48..78).contains(&i) { (f(80.5), 59.0) } else { (f(98.0), 22.0) })).collect();
    let air = analyse(&unit_job(), vec![inlet(), series("OUT", MIDNIGHT, 600, &out)], NEXT);
    let unit = &air.unit_air[0];
    let states: Vec<_> = unit.runs.iter().map(|run| run.state).collect();
    assert_eq!(states, [RunState::Running, RunState::Stopped, RunState::Running]);
    assert_eq!(unit.runs[1].from, at("2025-10-06T07:55:00Z"));
    assert_eq!(unit.runs[1].to, at("2025-10-06T12:55:00Z"));
    let rows: Vec<_> = unit.runs[1].rows.iter().map(|row| (row.file.as_str(), row.row)).collect();
    assert_eq!(rows, [("OUT.csv", 50), ("OUT.csv", 79)], "the 8:00 and the 12:50 line");
    close(unit.daily[0].stopped_h, 5.0, 1e-9);
    close(unit.daily[0].running_h, 19.0, 1e-9);
    // Water only while it ran: 19 of 24 h.
    let kg = 122.140 * 0.453_592_37 * 19.0 / 24.0;
    close(unit.water_kg.unwrap(), kg, kg * 1e-4);
    assert_eq!(air.depressions[0].state[60], RunState::Stopped);
    let part = air.unit_over("D1", at("2025-10-06T12:00:00Z"), at("2025-10-06T14:00:00Z")).unwrap();
    close(part.stopped_h, 55.0 / 60.0, 1e-9);
    close(part.running_h, 65.0 / 60.0, 1e-9);
}

#[test]
fn a_recorded_pause_is_no_fault_and_takes_the_minutes_around_it() {
    let mut job = unit_job();
    job.pauses = vec![pause("2025-10-06T08:10:00Z", "2025-10-06T12:45:00Z")];
    let out: Vec<_> =
        (0..DAY_SAMPLES).map(|i| Some(if (48..78).contains(&i) { (f(80.5), 59.0) } else { (f(98.0), 22.0) })).collect();
    let air = analyse(&job, vec![inlet(), series("OUT", MIDNIGHT, 600, &out)], NEXT);
    let states: Vec<_> = air.unit_air[0].runs.iter().map(|run| run.state).collect();
    assert_eq!(states, [RunState::Running, RunState::Paused, RunState::Running]);
    close(air.unit_air[0].daily[0].paused_h, 5.0, 1e-9);
    close(air.unit_air[0].daily[0].stopped_h, 0.0, 1e-12);
}

#[test]
fn a_stop_far_longer_than_its_pause_stays_a_stop() {
    let mut job = unit_job();
    job.pauses = vec![pause("2025-10-06T08:00:00Z", "2025-10-06T10:00:00Z")];
    let out: Vec<_> =
        (0..DAY_SAMPLES).map(|i| Some(if (48..78).contains(&i) { (f(80.5), 59.0) } else { (f(98.0), 22.0) })).collect();
    let air = analyse(&job, vec![inlet(), series("OUT", MIDNIGHT, 600, &out)], NEXT);
    close(air.unit_air[0].daily[0].paused_h, 2.0 + 5.0 / 60.0, 1e-9);
    close(air.unit_air[0].daily[0].stopped_h, 2.0 + 55.0 / 60.0, 1e-9);
}

#[test]
fn one_cold_sample_is_no_stop_and_a_gap_is_not_shown() {
    let out: Vec<_> = (0..DAY_SAMPLES)
        .map(|i| match i {
            20 => Some((f(80.0), 60.0)),
            60..78 => None,
            _ => Some((f(98.0), 22.0)),
        })
        .collect();
    let air = analyse(&unit_job(), vec![inlet(), series("OUT", MIDNIGHT, 600, &out)], NEXT);
    let unit = &air.unit_air[0];
    let states: Vec<_> = unit.runs.iter().map(|run| run.state).collect();
    assert_eq!(states, [RunState::Running, RunState::NotShown, RunState::Running]);
    // Last sample 9:50, next 13:00: shown to 9:55 and from 12:55.
    close(unit.daily[0].running_h, 21.0, 1e-9);
    close(unit.daily[0].sample_share, 21.0 / 24.0, 1e-9);
}

#[test]
fn a_unit_that_never_ran_is_stopped() {
    let out = steady("OUT", MIDNIGHT, 600, DAY_SAMPLES, (f(80.3), 59.5));
    let air = analyse(&unit_job(), vec![inlet(), out], NEXT);
    assert_eq!(air.unit_air[0].runs[0].state, RunState::Stopped);
    assert_eq!(air.unit_air[0].daily[0].depression_gpp, None, "there is no depression while running");
    assert_eq!(air.unit_air[0].water_kg, None);
}

/// The outlet barely warms but dries by far more than its uncertainty: the depression tells.
#[test]
fn where_temperature_does_not_tell_the_depression_does() {
    let out: Vec<_> = (0..DAY_SAMPLES).map(|i| Some(if i < 72 { (f(81.0), 40.0) } else { (f(81.0), 52.0) })).collect();
    let air = analyse(&unit_job(), vec![inlet(), series("OUT", MIDNIGHT, 600, &out)], NEXT);
    let states: Vec<_> = air.unit_air[0].runs.iter().map(|run| run.state).collect();
    assert_eq!(states, [RunState::Running, RunState::NotShown], "a small depression may be dry air or a stopped unit");
}

#[test]
fn without_an_own_inlet_the_chamber_is_the_inlet() {
    let mut job = unit_job();
    job.loggers = vec![in_a("IN", Place::Affected), at_d1("OUT", Place::Outlet)];
    let out = steady("OUT", MIDNIGHT, 600, DAY_SAMPLES, (f(98.0), 22.0));
    let air = analyse(&job, vec![inlet(), out.clone()], NEXT);
    assert_eq!(
        (air.unit_air[0].inlet.as_slice(), air.unit_air[0].own_inlet),
        (&["affected, Kitchen".to_owned()][..], false)
    );
    close(air.unit_air[0].daily[0].depression_gpp.unwrap(), 32.9948, 0.002);

    job.chambers.push(chamber("B", "Den"));
    job.equipment[0].chambers = vec!["A".into(), "B".into()];
    let air = analyse(&job, vec![inlet(), out.clone()], NEXT);
    assert_eq!(
        air.unit_air[0].why_not.as_deref(),
        Some("it serves several chambers and has no logger at its own inlet")
    );
    assert_eq!(air.unit_air[0].runs[0].state, RunState::Running, "the room's temperature still tells that it ran");

    job.equipment[0].chambers = vec!["B".into()];
    let air = analyse(&job, vec![inlet(), out], NEXT);
    assert_eq!(
        air.unit_air[0].why_not.as_deref(),
        Some("no logger at its inlet and none in the affected air of “Den”")
    );
    assert_eq!(air.unit_air[0].runs[0].state, RunState::NotShown);

    let air = analyse(&job, vec![inlet()], NEXT);
    assert_eq!(air.unit_air[0].why_not.as_deref(), Some("no logger at its outlet while it was on site"));
}

/// The unit's own inlet logger dies at noon: from then on the chamber's logger is the inlet.
#[test]
fn a_dead_inlet_logger_hands_over_to_the_chamber() {
    let mut job = unit_job();
    job.loggers.push(in_a("W", Place::Affected));
    let room = steady("W", MIDNIGHT, 600, DAY_SAMPLES, (f(80.0), 50.0));
    let out = steady("OUT", MIDNIGHT, 600, DAY_SAMPLES, (f(98.0), 22.0));
    let short = steady("IN", MIDNIGHT, 600, DAY_SAMPLES / 2 + 1, (f(80.0), 60.0));
    let air = analyse(&job, vec![short, out, room.clone()], NEXT);
    let day = &air.unit_air[0].daily[0];
    close(day.sample_share, 1.0, 1e-9);
    let of = |inlet: LoggerSeries| {
        let out = steady("OUT", MIDNIGHT, 600, DAY_SAMPLES, (f(98.0), 22.0));
        analyse(&unit_job(), vec![inlet, out], NEXT).unit_air[0].daily[0].depression_gpp.unwrap()
    };
    let (own, chamber) = (of(inlet()), of(LoggerSeries { logger: "IN".into(), ..room }));
    // The last own sample, at 12:00, still counts for the outlet's at 12:10: half an interval and its length of 10 min.
    close(day.depression_gpp.unwrap(), f64::midpoint(own, chamber), 0.01 * (own - chamber));
    assert_eq!(air.unit_air[0].inlet, ["D1 inlet", "affected, Kitchen"]);
}

/// One logger until noon of the first day, another from then on: every day has its difference.
#[test]
fn a_logger_that_replaces_another_leaves_no_day_without_a_difference() {
    let mut job = job();
    job.loggers = vec![in_a("W1", Place::Affected), in_a("W2", Place::Affected), placement("D", Place::Unaffected)];
    let first = steady("W1", MIDNIGHT, 600, DAY_SAMPLES / 2, (f(75.0), 50.0));
    let second = steady("W2", NEXT, 600, DAY_SAMPLES, (f(75.0), 50.0));
    let dry = steady("D", MIDNIGHT, 600, 2 * DAY_SAMPLES, (f(75.0), 42.0));
    let air = analyse(&job, vec![first, second, dry], "2025-10-08T00:00:00Z");
    assert_eq!(air.daily_differences.len(), 2);
    for difference in &air.daily_differences {
        close(difference.mean_gpp, 10.473, 0.001);
    }
    close(air.daily_differences[0].sample_share, 0.5, 0.01);
    close(air.daily_differences[1].sample_share, 1.0, 1e-9);
}

/// Only what lies within the stay counts: 6:00 to 18:00.
#[test]
fn a_unit_is_judged_only_while_on_site() {
    let mut job = unit_job();
    job.equipment = vec![d1("2025-10-06T06:00:00Z", Some("2025-10-06T18:00:00Z"))];
    let out = steady("OUT", MIDNIGHT, 600, DAY_SAMPLES, (f(98.0), 22.0));
    let air = analyse(&job, vec![inlet(), out], NEXT);
    let day = &air.unit_air[0].daily[0];
    close(day.on_site_h, 12.0, 1e-9);
    close(day.running_h, 12.0, 1e-9);
    let kg = 122.140 * 0.453_592_37 / 2.0;
    close(day.water_kg.unwrap(), kg, kg * 1e-4);
}

#[test]
fn condensate_and_hour_meters_stand_beside_the_record() {
    let mut job = unit_job();
    let line = RowRef::new("job.toml", 40);
    job.condensate = [("2025-10-06T09:00:00Z", 10.0), ("2025-10-06T21:00:00Z", 12.5), ("2025-10-08T00:00:00Z", 99.0)]
        .map(|(time, kg)| CondensateEntry {
            time: at(time),
            unit: "D1".into(),
            water: WaterMass::new(kg),
            line: line.clone(),
        })
        .to_vec();
    job.hour_meters = [("2025-10-06T06:00:00Z", 100.0), ("2025-10-06T18:00:00Z", 111.5)]
        .map(|(time, hours)| HourMeterEntry { time: at(time), unit: "D1".into(), hours, line: line.clone() })
        .to_vec();
    let out = steady("OUT", MIDNIGHT, 600, DAY_SAMPLES, (f(98.0), 22.0));
    let air = analyse(&job, vec![inlet(), out], NEXT);
    close(air.unit_air[0].condensate_kg.unwrap(), 22.5, 1e-12);
    assert_eq!(air.hour_meters.len(), 1);
    close(air.hour_meters[0].meter_h, 11.5, 1e-12);
    close(air.hour_meters[0].running_h, 12.0, 1e-9);
}

#[test]
fn humidity_above_100_is_used_within_the_limit_and_refused_beyond_it() {
    let mut job = job();
    job.loggers = vec![in_a("W", Place::Affected)];
    let logged = [99.0, 100.5, 102.0, 102.1, -0.5].map(|rh| Some((20.0, rh)));
    let air = analyse(&job, vec![series("W", MIDNIGHT, 600, &logged)], NEXT);
    let (track, facts) = (&air.tracks[0], &air.loggers[0]);
    assert_eq!(track.rh_pct, [Some(99.0), Some(100.0), Some(100.0), None, None]);
    assert_eq!(track.air_temp_c, [Some(20.0); 5], "the temperature is still good");
    assert_eq!((facts.rh_above_100, facts.rh_refused, facts.samples), (2, 1, 3));
    let reasons: Vec<_> = air
        .left_out
        .iter()
        .map(|left| (left.reason.said(grainfall_words::Words::default()), left.samples, left.rows[0].row))
        .collect();
    assert_eq!(
        reasons,
        [
            ("relative humidity above 100 % by more than the sensor's limit of 2 % (highest 102.1 %)".to_owned(), 1, 5),
            ("relative humidity of 0 % or below, which no air in a building has".to_owned(), 1, 6),
        ]
    );
}

#[test]
fn a_bias_is_taken_off_only_when_the_job_asks() {
    let mut job = job();
    let bias = StatedBias { temp: Some(CelsiusDelta::new(0.5)), rh_pct: Some(-3.0), apply: false };
    job.loggers = vec![in_a("W", Place::Affected)];
    job.loggers[0].bias = Some(bias);
    let logged = || vec![steady("W", MIDNIGHT, 600, 3, (20.5, 97.0))];
    assert_eq!(analyse(&job, logged(), NEXT).tracks[0].rh_pct[0], Some(97.0));
    job.loggers[0].bias = Some(StatedBias { apply: true, ..bias });
    let corrected = analyse(&job, logged(), NEXT);
    assert_eq!(corrected.tracks[0].air_temp_c[0], Some(20.0));
    assert_eq!(corrected.tracks[0].rh_pct[0], Some(100.0));
}

#[test]
fn a_logger_nobody_placed_is_shown_as_unplaced_and_a_missing_one_is_named() {
    let mut job = job();
    job.loggers = vec![placement("GONE", Place::Outdoor), in_a("LATE", Place::Affected)];
    job.loggers[1].span = Span { from: Some(at(NEXT)), to: None };
    let air = analyse(
        &job,
        vec![steady("LOG-7", MIDNIGHT, 600, 10, (20.0, 50.0)), steady("LATE", MIDNIGHT, 600, 10, (20.0, 50.0))],
        NEXT,
    );
    assert_eq!(air.loggers.len(), 1);
    assert_eq!((air.loggers[0].label.as_str(), air.loggers[0].place), ("unplaced LOG-7", TrackPlace::Unplaced));
    let texts: Vec<_> = air.missing.iter().map(|missing| missing.text.as_str()).collect();
    assert_eq!(
        texts,
        [
            "no export of the logger with serial “GONE” (place “outdoor”) is in the folder",
            "the logger with serial “LATE” has no sample in the time it stood at place “affected”",
        ]
    );
    assert_eq!(air.left_out.len(), 1);
    assert_eq!((air.left_out[0].reason.clone(), air.left_out[0].samples), (LeftOutReason::OutsidePlacement, 10));
}

#[test]
fn a_logger_that_moves_has_one_track_per_place() {
    let mut job = job();
    let noon = at("2025-10-06T12:00:00Z");
    job.loggers = vec![in_a("M", Place::Affected), placement("M", Place::Outdoor)];
    job.loggers[0].span.to = Some(noon);
    job.loggers[1].span.from = Some(noon + TimeDelta::hours(1));
    let air = analyse(&job, vec![steady("M", MIDNIGHT, 600, DAY_SAMPLES, (20.0, 50.0))], NEXT);
    let labels: Vec<_> = air.tracks.iter().map(|track| (track.label.as_str(), track.time.len())).collect();
    assert_eq!(labels, [("affected, Kitchen", 72), ("outdoor", 67)]);
    assert_eq!((air.left_out[0].reason.clone(), air.left_out[0].samples), (LeftOutReason::OutsidePlacement, 6));
}

#[test]
fn nothing_after_the_clock_counts() {
    let mut job = job();
    job.loggers = vec![in_a("W", Place::Affected)];
    let logged: Vec<_> = (0..DAY_SAMPLES).map(|i| Some((20.0, if i <= 36 { 50.0 } else { 90.0 }))).collect();
    let air = analyse(&job, vec![series("W", MIDNIGHT, 600, &logged)], "2025-10-06T06:00:00Z");
    assert_eq!(air.tracks[0].time.len(), 37, "the sample at the clock counts");
    close(air.daily_air[0].rh_pct.unwrap().max, 50.0, 1e-12);
    close(air.daily_air[0].sample_share, 1.0, 1e-9);
    assert_eq!((air.left_out[0].reason.clone(), air.left_out[0].samples), (LeftOutReason::AfterClock, 108));
}

/// 1609 m: 83.431 kPa (psychrolib 2.5.0).
#[test]
fn the_pressure_comes_from_the_best_source_there_is() {
    let mut job = job();
    let with_pressure = |pa: &[f64]| {
        let mut logged = steady("P", MIDNIGHT, 600, pa.len(), (20.0, 50.0));
        logged.values.insert(Quantity::Pressure, pa.iter().map(|p| Some(*p)).collect());
        logged
    };
    job.pressure = PressureSource::Elevation(Metres::new(1609.0));
    let air = analyse(&job, vec![with_pressure(&[99_000.0])], NEXT);
    assert_eq!(air.pressure.basis, PressureBasis::Elevation);
    close(air.pressure.pressure_pa, 83_431.0, 1.0);
    close(air.pressure.u_pressure_pa, 2500.0, 1e-9);

    job.pressure = PressureSource::NotStated;
    let air = analyse(&job, vec![with_pressure(&[98_000.0, 99_000.0, 100_500.0, 1.0])], NEXT);
    assert_eq!(air.pressure.basis, PressureBasis::Logged);
    close(air.pressure.pressure_pa, 99_000.0, 1e-9);
    // 0.5 kPa as rectangular limits: 2 x 0.5 / sqrt 3 (JCGM 100:2008, 4.3.7).
    close(air.pressure.u_pressure_pa, 577.35, 0.01);
    // Lower pressure, more water per pound of the same relative humidity.
    assert!(air.tracks[0].gpp[0] > air.tracks[0].gpp[2]);

    let air = analyse(&job, vec![steady("W", MIDNIGHT, 600, 3, (20.0, 50.0))], NEXT);
    assert_eq!(air.pressure.basis, PressureBasis::SeaLevel);
    // 95.461 kPa at 500 m (psychrolib 2.5.0): limits of 5.864 kPa, and the weather: sqrt((2 x 5.864 / sqrt 3)^2 + 2.5^2).
    close(air.pressure.u_pressure_pa, 7217.9, 1.0);
    assert!(air.assumptions.iter().any(|a| a.text.contains("101.325 kPa")), "{:?}", air.assumptions);
}

/// What the job says of a stated or logged pressure stands instead of the convention: 2 x 0.3 kPa / sqrt 3 (JCGM 100:2008,
/// 4.3.7).
#[test]
fn a_stated_accuracy_of_the_pressure_stands_instead_of_the_convention() {
    let mut job = job();
    job.pressure_accuracy = Some(Pascals::new(300.0));
    let mut logged = steady("P", MIDNIGHT, 600, 3, (20.0, 50.0));
    logged.values.insert(Quantity::Pressure, vec![Some(99_000.0); 3]);
    for (pressure, basis) in [
        (PressureSource::Stated(Pascals::new(99_000.0)), PressureBasis::Stated),
        (PressureSource::NotStated, PressureBasis::Logged),
    ] {
        job.pressure = pressure;
        let air = analyse(&job, vec![logged.clone()], NEXT);
        assert_eq!(air.pressure.basis, basis);
        close(air.pressure.u_pressure_pa, 346.41, 0.01);
        assert!(air.assumptions.iter().any(|one| one.text.contains("±0.3 kPa")), "{:?}", air.assumptions);
    }
}

/// +-2 %RH as rectangular limits is U = 2 x 2 / sqrt 3 = 2.3094 %. The dew point of 80 F / 60 % moves by 0.93760 K per K and
/// 0.26547 K per % (central differences of 0.1, worked out in Python from ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 6):
/// 2 x sqrt((0.93760 x 0.27778 / sqrt 3)^2 + (0.26547 x 2 / sqrt 3)^2) = 0.68286 K.
#[test]
fn samples_carry_their_uncertainty_in_the_goals_own_unit() {
    let mut job = job();
    job.loggers = vec![in_a("W", Place::Affected)];
    let air = analyse(&job, vec![steady("W", MIDNIGHT, 600, 3, (f(80.0), 60.0))], NEXT);
    let u = |of| air.uncertainty(of, &air.tracks[0], 0).unwrap();
    close(u(AirGoalOf::Rh), 2.3094, 1e-4);
    close(u(AirGoalOf::Gpp), air.tracks[0].u_gpp[0].unwrap(), 1e-12);
    close(u(AirGoalOf::DewPoint), 0.68286, 1e-4);
}

/// 80 F with a dew point of 64.8755 F is 60 % (psychrolib 2.5.0).
#[test]
fn a_logger_of_dew_point_alone_gives_air_too() {
    let mut logged = steady("W", MIDNIGHT, 600, 3, (f(80.0), 0.0));
    logged.values.remove(&Quantity::RelativeHumidity);
    logged.values.insert(Quantity::DewPoint, vec![Some(f(64.8755)); 3]);
    let air = analyse(&job(), vec![logged], NEXT);
    close(air.tracks[0].gpp[0].unwrap(), 92.088, 0.01);
    assert!(air.assumptions.iter().any(|a| a.text.contains("logged dew point")));
}

#[test]
fn an_empty_job_has_empty_air() {
    let air = analyse(&Job::empty(), vec![], NEXT);
    assert!(air.tracks.is_empty() && air.unit_air.is_empty() && air.daily_air.is_empty());
    assert_eq!(air.days.len(), 1);
}

fn rounded(job: &Job, series: Vec<LoggerSeries>) -> String {
    let air = analyse(job, series, NEXT);
    format!(
        "{:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?}",
        air.loggers,
        air.tracks,
        air.daily_air,
        air.daily_differences,
        air.unit_air,
        air.depressions,
        air.assumptions,
        air.left_out
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// The order of entries and of files changes nothing, to the last bit.
    #[test]
    fn order_does_not_matter(
        entries in Just((0..5_usize).collect::<Vec<_>>()).prop_shuffle(),
        files in Just((0..5_usize).collect::<Vec<_>>()).prop_shuffle(),
    ) {
        let mut job = unit_job();
        job.pauses = vec![pause("2025-10-06T08:00:00Z", "2025-10-06T10:00:00Z")];
        let placements = [
            in_a("A1", Place::Affected),
            in_a("A2", Place::Affected),
            at_d1("OUT", Place::Outlet),
            placement("O", Place::Outdoor),
            placement("U", Place::Unaffected),
        ];
        let wave = |id: &str, temp: f64, rh: f64| {
            let air: Vec<_> = (0..DAY_SAMPLES)
                .map(|i| (i % 37 != 5).then(|| (temp + f64::from(u32::try_from(i % 12).unwrap()) * 0.1, rh)))
                .collect();
            series(id, MIDNIGHT, 600, &air)
        };
        let all = [wave("A1", 24.0, 60.0), wave("A2", 24.5, 58.0), wave("OUT", 36.0, 22.0), wave("O", 12.0, 80.0), wave("U", 21.0, 45.0)];
        job.loggers = placements.to_vec();
        let plain = rounded(&job, all.to_vec());
        job.loggers = entries.iter().map(|k| placements[*k].clone()).collect();
        let shuffled = rounded(&job, files.iter().map(|k| all[*k].clone()).collect());
        prop_assert_eq!(plain, shuffled);
    }
}
