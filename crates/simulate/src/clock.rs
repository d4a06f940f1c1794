//! Local times of a scenario as instants, and instants as people in its zone write them.

use chrono::{DateTime, Days, LocalResult, NaiveDate, NaiveDateTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

use crate::Error;

/// The instant of a local time written `YYYY-MM-DD HH:MM`.
///
/// # Errors
/// [`Error::Time`] when the text is no such time, or when the zone skips or repeats it.
///
/// # Examples
/// ```
/// use chrono_tz::America::Chicago;
/// // Central daylight time is 5 h behind UTC.
/// let noon = grainfall_simulate::clock::local(Chicago, "2025-10-06 12:00")?;
/// assert_eq!(noon.to_rfc3339(), "2025-10-06T17:00:00+00:00");
/// # Ok::<(), grainfall_simulate::Error>(())
/// ```
pub fn local(zone: Tz, text: &str) -> Result<DateTime<Utc>, Error> {
    let fault = || Error::Time { text: text.to_owned(), zone: zone.name().to_owned() };
    let naive = NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").map_err(|_| fault())?;
    zone.from_local_datetime(&naive).single().map(|time| time.to_utc()).ok_or_else(fault)
}

/// The local time of an instant, `YYYY-MM-DD HH:MM`; in an hour that the zone repeats, with its offset.
#[must_use]
pub fn wall(zone: Tz, time: DateTime<Utc>) -> String {
    let here = time.with_timezone(&zone);
    match zone.from_local_datetime(&here.naive_local()) {
        LocalResult::Single(_) => here.format("%Y-%m-%d %H:%M").to_string(),
        _ => here.format("%Y-%m-%dT%H:%M%:z").to_string(),
    }
}

/// The civil day of an instant.
#[must_use]
pub fn day(zone: Tz, time: DateTime<Utc>) -> NaiveDate {
    time.with_timezone(&zone).date_naive()
}

/// The first instant of a civil day: midnight, or the first minute after it where the zone skips midnight.
#[must_use]
pub fn day_start(zone: Tz, day: NaiveDate) -> DateTime<Utc> {
    let midnight = day.and_time(chrono::NaiveTime::MIN);
    for minutes in 0..=180 {
        let naive = midnight + TimeDelta::minutes(minutes);
        if let Some(time) = zone.from_local_datetime(&naive).earliest() {
            return time.to_utc();
        }
    }
    // No zone skips more than three hours at midnight except whole days (Samoa, 2011), which have no instant at all.
    midnight.and_utc()
}

/// The day after.
#[must_use]
pub fn next_day(day: NaiveDate) -> NaiveDate {
    day.checked_add_days(Days::new(1)).unwrap_or(NaiveDate::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono_tz::America::{New_York, Sao_Paulo};
    use chrono_tz::Australia::Lord_Howe;

    #[test]
    fn a_skipped_and_a_repeated_hour_are_refused() {
        // New York, 2025: 9 March 02:00-03:00 does not exist, 2 November 01:00-02:00 exists twice (IANA zone data).
        for text in ["2025-03-09 02:30", "2025-11-02 01:30", "2025-13-02 01:30"] {
            let message = local(New_York, text).unwrap_err().to_string();
            assert_eq!(
                message,
                format!(
                    "`{text}` is not one instant in America/New_York: write `YYYY-MM-DD HH:MM`, outside the hours a \
                     clock change skips or repeats"
                )
            );
        }
    }

    #[test]
    fn a_repeated_hour_is_written_with_its_offset() {
        let first = DateTime::from_timestamp(1_762_061_400, 0).unwrap(); // 2025-11-02T05:30:00Z
        assert_eq!(wall(New_York, first), "2025-11-02T01:30-04:00");
        assert_eq!(wall(New_York, first + TimeDelta::hours(1)), "2025-11-02T01:30-05:00");
        assert_eq!(wall(New_York, first + TimeDelta::hours(2)), "2025-11-02 02:30");
    }

    #[test]
    fn days_have_the_length_their_zone_gives_them() {
        let hours = |zone, y, m, d| {
            let day = NaiveDate::from_ymd_opt(y, m, d).unwrap();
            let length = day_start(zone, next_day(day)) - day_start(zone, day);
            length.num_minutes()
        };
        assert_eq!(hours(New_York, 2025, 3, 9), 23 * 60);
        assert_eq!(hours(New_York, 2025, 11, 2), 25 * 60);
        assert_eq!(hours(Lord_Howe, 2025, 4, 6), 24 * 60 + 30);
        // Brazil's clocks went forward at midnight on 4 November 2018: the day begins at 01:00.
        assert_eq!(hours(Sao_Paulo, 2018, 11, 4), 23 * 60);
    }
}
