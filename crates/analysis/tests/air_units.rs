//! A dehumidifier over three civil days that hold a change of clocks, through the public entrance.
//!
//! The values are those of a dehumidifier worked out with psychrolib 2.5.0 (inch-pound equations, 14.696 psia): in
//! 80 F / 60 %, out 98 F / 22 %, 250 cfm at the inlet: depression 32.9948 GPP, U = 7.589 GPP (k = 2) with independent
//! sensors of +-0.5 F and +-2 %RH (rectangular limits) and a shared pressure of +-2.5 kPa (k = 2), 122.140 lb of water a day.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking, helper functions included")]

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;
use grainfall_analysis::evidence::{Analysis, RunState};
use grainfall_analysis::{Settings, analyse};
use grainfall_job::{
    Chamber, EquipmentKind, Job, LoggerPlacement, Pause, Place, PressureSource, Purpose, SensorStatement, Span, Stay,
    Zone,
};
use grainfall_psychrometrics::{AirFlow, Celsius, Pascals};
use grainfall_record::{FileTable, Ledger, LoggerSelector, LoggerSeries, Quantity, RowRef, TidyFrame};
use proptest::prelude::*;

const STEP_MIN: i64 = 10;
/// 2013-11-02 00:00 to 2013-11-05 00:00 in New York: 24 + 25 + 24 h (IANA tz database: 06:00Z on 3 November).
const START: &str = "2013-11-02T04:00:00Z";
const HOURS: i64 = 73;
const SAMPLES: usize = 73 * 6 + 1;
const LB_PER_DAY: f64 = 122.140;
const KG_PER_LB: f64 = 0.453_592_37;

fn start() -> DateTime<Utc> {
    START.parse().unwrap()
}

fn after(hours: i64) -> DateTime<Utc> {
    start() + TimeDelta::hours(hours)
}

fn placement(serial: &str, place: Place) -> LoggerPlacement {
    LoggerPlacement {
        select: LoggerSelector::Serial(serial.into()),
        place: Some(place),
        chamber: Some("A".into()),
        unit: (place == Place::Outlet).then(|| "D1".into()),
        span: Span::default(),
        clock: None,
        hours: None,
        columns: BTreeMap::new(),
        accuracy: SensorStatement::default(),
        calibrated: None,
        bias: None,
        line: RowRef::new("job.toml", 10),
    }
}

fn job() -> Job {
    let mut job = Job::empty();
    job.zone = Zone::stated(Tz::America__New_York);
    job.pressure = PressureSource::Stated(Pascals::from_psi(14.696));
    job.chambers = vec![Chamber {
        id: "A".into(),
        name: "Kitchen".into(),
        floor_area: None,
        volume: None,
        span: Span::default(),
        parent: None,
        drying_from: None,
        before_drying_reason: None,
        air_goals: vec![],
        line: RowRef::new("job.toml", 5),
    }];
    job.loggers = vec![placement("ROOM", Place::Affected), placement("OUT", Place::Outlet)];
    job.equipment = vec![Stay {
        unit: "D1".into(),
        asset: None,
        kind: EquipmentKind::DehumidifierLowGrain,
        purpose: Purpose::Drying,
        chambers: vec!["A".into()],
        points: vec![],
        placed: start(),
        placed_by: None,
        placed_reason: None,
        removed: Some(after(HOURS)),
        removed_by: None,
        removed_reason: None,
        airflow: Some(AirFlow::from_cfm(250.0)),
        rated_capacity: None,
        billed_days: None,
        line: RowRef::new("job.toml", 20),
    }];
    job
}

fn series(id: &str, air: impl Fn(usize) -> Option<(f64, f64)>) -> LoggerSeries {
    let held: Vec<(usize, (f64, f64))> = (0..SAMPLES).filter_map(|i| Some((i, air(i)?))).collect();
    let mut files = FileTable::default();
    let file = files.id(&format!("{id}.csv"));
    let time = |i: usize| start() + TimeDelta::minutes(STEP_MIN * i64::try_from(i).unwrap());
    let celsius = |fahrenheit: f64| Some(Celsius::from_fahrenheit(fahrenheit).get());
    LoggerSeries {
        logger: id.into(),
        time: held.iter().map(|(i, _)| time(*i)).collect(),
        values: BTreeMap::from([
            (Quantity::AirTemp, held.iter().map(|(_, (t, _))| celsius(*t)).collect()),
            (Quantity::RelativeHumidity, held.iter().map(|(_, (_, rh))| Some(*rh)).collect()),
        ]),
        file: vec![file; held.len()],
        row: held.iter().map(|(i, _)| *i as u64 + 2).collect(),
        file_table: Arc::new(files),
    }
}

const ROOM: (f64, f64) = (80.0, 60.0);
const DRY: (f64, f64) = (98.0, 22.0);

fn analysed(job: &Job, room: LoggerSeries, out: LoggerSeries) -> Analysis {
    let frame = TidyFrame::new(vec![room, out]).unwrap();
    let settings = Settings { as_of: Some(after(HOURS)), ..Settings::default() };
    analyse(job, &frame, &Ledger::default(), &settings).unwrap()
}

fn close(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "found {found}, wanted {wanted} +- {within}");
}

#[test]
fn a_day_of_25_hours_takes_out_25_hours_of_water() {
    let analysis = analysed(&job(), series("ROOM", |_| Some(ROOM)), series("OUT", |_| Some(DRY)));
    let unit = &analysis.evidence.unit_air[0];
    assert_eq!(unit.inlet, ["affected, Kitchen"]);
    let hours: Vec<f64> = unit.daily.iter().map(|day| day.running_h).collect();
    assert_eq!(hours.len(), 3);
    for (day, hours) in unit.daily.iter().zip([24.0, 25.0, 24.0]) {
        close(day.on_site_h, hours, 1e-9);
        close(day.running_h, hours, 1e-9);
        let kg = LB_PER_DAY * KG_PER_LB * hours / 24.0;
        // Inch-pound and SI constants are rounded apart by 1e-5 each in depression and volume.
        close(day.water_kg.unwrap(), kg, kg * 1e-4);
        close(day.depression_gpp.unwrap(), 32.9948, 0.002);
        close(day.u_depression_gpp.unwrap(), 7.589, 0.002);
    }
}

#[test]
fn what_a_unit_did_in_an_equipment_day_is_printed_beside_it() {
    // It stands for 6 h of the second equipment-day (hours 24 to 48).
    let out = series("OUT", |i| Some(if (180..216).contains(&i) { (80.2, 59.8) } else { DRY }));
    let analysis = analysed(&job(), series("ROOM", |_| Some(ROOM)), out);
    let days = &analysis.evidence.equipment[0].stays[0].days;
    let effects: Vec<_> = days.iter().map(|day| day.effect.as_ref().unwrap()).collect();
    close(effects[0].running_h, 24.0, 1e-9);
    close(effects[1].did_not_run_h, 6.0, 1e-9);
    close(effects[1].running_h, 18.0, 1e-9);
    let kg = LB_PER_DAY * KG_PER_LB * 18.0 / 24.0;
    close(effects[1].water_kg.unwrap(), kg, kg * 1e-4);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever runs, stands, pauses and is missing: spans cover the stay without a hole or an overlap, the hours of a
    /// day add up to the time on site, and the days add up to the whole.
    #[test]
    fn hours_and_water_add_up(
        stops in proptest::collection::vec((0..SAMPLES, 1..80_usize), 0..6),
        gaps in proptest::collection::vec((0..SAMPLES, 1..60_usize), 0..5),
        room_gaps in proptest::collection::vec((0..SAMPLES, 1..60_usize), 0..4),
        pauses in proptest::collection::vec((0..HOURS, 1..9_i64), 0..4),
    ) {
        let within = |list: &[(usize, usize)], i: usize| list.iter().any(|(from, n)| (*from..from + n).contains(&i));
        let room = series("ROOM", |i| (!within(&room_gaps, i)).then_some(ROOM));
        let out = series("OUT", |i| (!within(&gaps, i)).then_some(if within(&stops, i) { (80.2, 59.8) } else { DRY }));
        let mut job = job();
        job.pauses = pauses
            .iter()
            .map(|(from, hours)| Pause {
                from: after(*from),
                to: after(from + hours),
                units: vec![],
                reason: "power".into(),
                line: RowRef::new("job.toml", 30),
            })
            .collect();
        let analysis = analysed(&job, room, out);
        let unit = &analysis.evidence.unit_air[0];
        prop_assert_eq!(unit.runs.first().map(|run| run.from), Some(start()));
        prop_assert_eq!(unit.runs.last().map(|run| run.to), Some(after(HOURS)));
        for pair in unit.runs.windows(2) {
            prop_assert_eq!(pair[0].to, pair[1].from);
            prop_assert_ne!(pair[0].state, pair[1].state);
        }
        let mut water = 0.0;
        for day in &unit.daily {
            let (from, to) = analysis.evidence.days.iter().find(|d| d.date == day.date).map(|d| (d.from, d.to)).unwrap();
            let not_shown_h: f64 = unit
                .runs
                .iter()
                .filter(|run| run.state == RunState::NotShown)
                .map(|run| (run.to.min(to) - run.from.max(from)).num_seconds().max(0) as f64 / 3600.0)
                .sum();
            prop_assert!((day.running_h + day.stopped_h + day.paused_h + not_shown_h - day.on_site_h).abs() < 1e-6);
            prop_assert!((0.0..=1.0).contains(&day.sample_share));
            water += day.water_kg.unwrap_or(0.0);
            if let Some(depression) = day.depression_gpp {
                // A stop shorter than two intervals is not called, so its samples may lower the mean.
                prop_assert!((0.0..33.0).contains(&depression), "{depression}");
            }
        }
        prop_assert!((water - unit.water_kg.unwrap_or(0.0)).abs() < 1e-9);
        let most = LB_PER_DAY * KG_PER_LB * unit.daily.iter().map(|day| day.running_h).sum::<f64>() / 24.0;
        prop_assert!(water <= most * (1.0 + 1e-4));
    }
}
