//! The series that is written and read back, and the clock that stamps it.

use chrono::{DateTime, NaiveDateTime, Offset, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;
use proptest::prelude::*;

use crate::axes::Dialect;

/// A series with equal steps.
#[derive(Debug, Clone)]
pub struct Log {
    start: DateTime<Utc>,
    /// Which change of clocks it is near to in a zone that has some, and how much of it lies before.
    near: Option<(usize, i64)>,
    step_min: i64,
    /// Tenths of a unit as written.
    pub temps: Vec<Option<i32>>,
    pub humidities: Vec<Option<i32>>,
    /// Thousandths of the range of the third quantity.
    pub thirds: Vec<Option<i32>>,
}

/// Changes of 2025, spring and autumn of each zone (IANA time zone database).
const CHANGES: [(Tz, [&str; 2]); 3] = [
    (chrono_tz::America::New_York, ["2025-03-09T07:00:00Z", "2025-11-02T06:00:00Z"]),
    (chrono_tz::America::Chicago, ["2025-03-09T08:00:00Z", "2025-11-02T07:00:00Z"]),
    (chrono_tz::Australia::Lord_Howe, ["2025-04-05T15:00:00Z", "2025-10-04T15:30:00Z"]),
];

pub fn log() -> impl Strategy<Value = Log> {
    let value = |low: i32, high: i32| prop::option::weighted(0.93, low..high);
    let near = prop::option::weighted(0.6, (0..2_usize, 0..1000_i64));
    let start = 1_262_304_000_i64..1_893_456_000;
    let step = prop::sample::select(vec![1_i64, 10, 15, 60]);
    (start, near, step, 12..70_usize).prop_flat_map(move |(start, near, step_min, rows)| {
        let start = DateTime::from_timestamp(start - start % 60, 0).unwrap();
        let lists = (
            prop::collection::vec(value(-150, 950), rows),
            prop::collection::vec(value(100, 1000), rows),
            prop::collection::vec(value(0, 1000), rows),
        );
        lists.prop_map(move |(mut temps, mut humidities, mut thirds)| {
            // The outer samples have every value, to fix the span.
            for at in [0, rows - 1] {
                temps[at] = temps[at].or(Some(215));
                humidities[at] = humidities[at].or(Some(455));
                thirds[at] = thirds[at].or(Some(500));
            }
            Log { start, near, step_min, temps, humidities, thirds }
        })
    })
}

impl Log {
    pub fn rows(&self) -> usize {
        self.temps.len()
    }

    /// The instant of a row.
    pub fn time(&self, dialect: &Dialect, row: usize) -> DateTime<Utc> {
        self.first(dialect) + TimeDelta::minutes(self.step_min * i64::try_from(row).unwrap())
    }

    /// The instant of a row as a dialect can write it.
    pub fn written_time(&self, dialect: &Dialect, row: usize) -> DateTime<Utc> {
        let jitter = if dialect.is("times", "jitter") { i64::try_from(row % 7).unwrap() } else { 0 };
        self.time(dialect, row) + TimeDelta::milliseconds(jitter)
    }

    fn first(&self, dialect: &Dialect) -> DateTime<Utc> {
        let zone = if dialect.is("clock", "stated zone") { chrono_tz::America::Chicago } else { job_zone(dialect) };
        let (Some((season, part)), Some((_, changes))) = (self.near, CHANGES.iter().find(|(of, _)| *of == zone)) else {
            return self.start;
        };
        if !dialect.changes() {
            return self.start;
        }
        let change: DateTime<Utc> = changes[season].parse().unwrap();
        let span_min = self.step_min * i64::try_from(self.rows()).unwrap();
        change - TimeDelta::minutes(span_min * part / 1000)
    }

    /// What the logger's clock shows at an instant.
    pub fn shown(&self, dialect: &Dialect, instant: DateTime<Utc>) -> NaiveDateTime {
        let at = |zone: Tz, instant: DateTime<Utc>| {
            TimeDelta::seconds(zone.offset_from_utc_datetime(&instant.naive_utc()).fix().local_minus_utc().into())
        };
        let offset = match dialect.of("clock") {
            "UTC" => TimeDelta::zero(),
            "wall New York" | "wall Lord Howe" => at(job_zone(dialect), instant),
            "never changed" => at(job_zone(dialect), self.first(dialect)),
            "stated offset" => TimeDelta::hours(-6),
            "stated zone" => at(chrono_tz::America::Chicago, instant),
            // Standard time of New York.
            _ => TimeDelta::hours(-5),
        };
        instant.naive_utc() + offset
    }

    /// The clock at a row.
    pub fn wall(&self, dialect: &Dialect, row: usize) -> NaiveDateTime {
        self.shown(dialect, self.written_time(dialect, row))
    }

    /// Temperature in the unit's tenths: a kelvin log is one of degC.
    pub fn tenths(&self, dialect: &Dialect, row: usize) -> Option<i32> {
        self.temps[row].map(|tenths| if dialect.is("unit", "K") { tenths + 2731 } else { tenths })
    }
}

/// The zone the job gives.
pub fn job_zone(dialect: &Dialect) -> Tz {
    match dialect.of("clock") {
        "wall New York" | "never changed" | "standard time" => chrono_tz::America::New_York,
        "wall Lord Howe" => chrono_tz::Australia::Lord_Howe,
        _ => chrono_tz::UTC,
    }
}
