//! Times counted from 1970-01-01 00:00 UTC, in seconds or a fraction of them.

use chrono::{DateTime, Utc};

/// The unit of a count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum EpochUnit {
    Seconds,
    Millis,
    Micros,
    Nanos,
}

/// 1990-01-01 and 2100-01-01, seconds: a count outside is none of a logger.
const RANGE_S: (f64, f64) = (631_152_000.0, 4_102_444_800.0);

impl EpochUnit {
    const ALL: [Self; 4] = [Self::Seconds, Self::Millis, Self::Micros, Self::Nanos];

    fn per_second(self) -> f64 {
        match self {
            Self::Seconds => 1.0,
            Self::Millis => 1e3,
            Self::Micros => 1e6,
            Self::Nanos => 1e9,
        }
    }

    pub fn name(self) -> &'static str {
        match self {
            Self::Seconds => "seconds",
            Self::Millis => "milliseconds",
            Self::Micros => "microseconds",
            Self::Nanos => "nanoseconds",
        }
    }

    /// The unit in which all numbers from `low` to `high` are times of a logger.
    pub fn of(low: f64, high: f64) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| low >= RANGE_S.0 * unit.per_second() && high < RANGE_S.1 * unit.per_second())
    }

    /// The instant of a count; `None` outside 1990 to 2100.
    pub fn instant(self, count: f64) -> Option<DateTime<Utc>> {
        Self::of(count, count).filter(|unit| *unit == self)?;
        let micros = count * (1e6 / self.per_second());
        #[allow(clippy::cast_possible_truncation)]
        DateTime::from_timestamp_micros(micros.round() as i64)
    }

    /// The instant of a count in whole units, exact to the nanosecond; `None` outside 1990 to 2100.
    pub fn whole(self, count: i64) -> Option<DateTime<Utc>> {
        #[allow(clippy::cast_precision_loss, reason = "only its size matters here")]
        Self::of(count as f64, count as f64).filter(|unit| *unit == self)?;
        match self {
            Self::Seconds => DateTime::from_timestamp(count, 0),
            Self::Millis => DateTime::from_timestamp_millis(count),
            Self::Micros => DateTime::from_timestamp_micros(count),
            Self::Nanos => Some(DateTime::from_timestamp_nanos(count)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_in_every_unit() {
        // 1 700 000 000 s is 2023-11-14T22:13:20Z (POSIX time).
        for (unit, count) in [
            (EpochUnit::Seconds, 1.7e9),
            (EpochUnit::Millis, 1.7e12),
            (EpochUnit::Micros, 1.7e15),
            (EpochUnit::Nanos, 1.7e18),
        ] {
            assert_eq!(EpochUnit::of(count, count), Some(unit));
            assert_eq!(unit.whole(count as i64), unit.instant(count));
            assert_eq!(unit.instant(count).unwrap().to_rfc3339(), "2023-11-14T22:13:20+00:00");
        }
        assert_eq!(EpochUnit::of(20.0, 30.0), None);
        assert!(EpochUnit::Seconds.instant(1.0).is_none());
        let nanos = EpochUnit::Nanos.whole(1_700_000_000_123_456_789).unwrap();
        assert_eq!(nanos.timestamp_subsec_nanos(), 123_456_789);
    }
}
