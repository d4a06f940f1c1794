//! Instants as whole microseconds, so that spans are cut and added without rounding.

use chrono::{DateTime, TimeDelta, Utc};

/// Microseconds in a second.
const MICROS_PER_SECOND: i64 = 1_000_000;

/// Seconds in an hour.
pub(crate) const SECONDS_PER_HOUR: f64 = 3600.0;

/// An instant as microseconds since 1970-01-01 UTC.
pub(crate) fn micros(time: DateTime<Utc>) -> i64 {
    time.timestamp_micros()
}

/// The instant of a count of microseconds since 1970-01-01 UTC.
pub(crate) fn instant(micros: i64) -> DateTime<Utc> {
    DateTime::UNIX_EPOCH + TimeDelta::microseconds(micros)
}

/// A length of time as microseconds, the most there are where it is longer.
pub(crate) fn micros_of(length: TimeDelta) -> i64 {
    length.num_microseconds().unwrap_or(i64::MAX)
}

/// A length of time in microseconds as seconds.
#[allow(clippy::cast_precision_loss)]
pub(crate) fn seconds(micros: i64) -> f64 {
    micros as f64 / 1e6
}

/// An interval in seconds as microseconds.
pub(crate) fn interval_micros(interval_s: Option<u32>) -> Option<i64> {
    interval_s.filter(|s| *s > 0).map(|s| i64::from(s) * MICROS_PER_SECOND)
}

/// Microseconds that two half-open spans share.
pub(crate) fn overlap(a: (i64, i64), b: (i64, i64)) -> i64 {
    (a.1.min(b.1) - a.0.max(b.0)).max(0)
}
