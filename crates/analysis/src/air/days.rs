//! The civil days of the job's zone, whatever their length.

use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

use super::instant::{SECONDS_PER_HOUR, micros, seconds};
use crate::evidence::Day;

/// A local midnight that a change of clocks skips is looked for this far ahead: a whole skipped day and its change.
const SKIPPED_MIDNIGHT_SEARCH_MINUTES: i64 = 26 * 60;

/// The civil days from the one that holds `start` to the one that holds `end`, numbered from 1.
///
/// A day that only begins at `end` itself is not listed unless it is the only one. A date the zone skipped altogether
/// is not listed. Empty when `end` is before `start`.
pub(crate) fn civil_days(zone: Tz, start: DateTime<Utc>, end: DateTime<Utc>) -> Vec<Day> {
    let mut days: Vec<Day> = Vec::new();
    let mut date = start.with_timezone(&zone).date_naive();
    loop {
        let (Some(from), Some(next)) = (day_start(zone, date), date.checked_add_days(Days::new(1))) else {
            return days;
        };
        if start > end || from > end || (from == end && !days.is_empty()) {
            return days;
        }
        let Some(to) = day_start(zone, next) else {
            return days;
        };
        if from < to {
            let number = u32::try_from(days.len()).unwrap_or(u32::MAX).saturating_add(1);
            let hours = seconds(micros(to) - micros(from)) / SECONDS_PER_HOUR;
            days.push(Day { number, date, from, to, hours });
        }
        date = next;
    }
}

/// The first instant of a civil day: local midnight, the earlier one where it comes twice, the first local time
/// after it where it is skipped.
pub(crate) fn day_start(zone: Tz, date: NaiveDate) -> Option<DateTime<Utc>> {
    let midnight = date.and_time(NaiveTime::MIN);
    (0..=SKIPPED_MIDNIGHT_SEARCH_MINUTES)
        .find_map(|minutes| zone.from_local_datetime(&(midnight + TimeDelta::minutes(minutes))).earliest())
        .map(|start| start.with_timezone(&Utc))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utc(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    fn hours_of(zone: Tz, date: &str) -> f64 {
        let date: NaiveDate = date.parse().unwrap();
        let noon = zone.from_local_datetime(&date.and_hms_opt(12, 0, 0).unwrap()).unwrap().with_timezone(&Utc);
        let days = civil_days(zone, noon, noon);
        assert_eq!(days.len(), 1);
        days[0].hours
    }

    /// Days of change have the length that the published transitions give them.
    ///
    /// Source: IANA time zone database, files `northamerica` and `australasia`: New York moves at 07:00Z on
    /// 2013-03-10 and at 06:00Z on 2013-11-03 by one hour, Lord Howe on 2013-10-06 and 2013-04-07 by half an hour.
    #[test]
    fn a_day_is_as_long_as_its_zone_makes_it() {
        for (zone, date, hours) in [
            (Tz::America__New_York, "2013-03-09", 24.0),
            (Tz::America__New_York, "2013-03-10", 23.0),
            (Tz::America__New_York, "2013-11-03", 25.0),
            (Tz::Australia__Lord_Howe, "2013-10-06", 23.5),
            (Tz::Australia__Lord_Howe, "2013-04-07", 24.5),
            (Tz::America__Phoenix, "2013-03-10", 24.0),
        ] {
            assert!((hours_of(zone, date) - hours).abs() < 1e-12, "{zone} {date}: {}", hours_of(zone, date));
        }
    }

    #[test]
    fn days_abut_and_are_numbered_from_one() {
        let days = civil_days(Tz::America__New_York, utc("2013-03-09T20:00:00Z"), utc("2013-03-11T12:00:00Z"));
        assert_eq!(days.iter().map(|day| day.number).collect::<Vec<_>>(), [1, 2, 3]);
        assert_eq!(days[0].from, utc("2013-03-09T05:00:00Z"));
        assert_eq!(days[1].to, utc("2013-03-11T04:00:00Z"), "EDT is four hours behind");
        assert!(days.windows(2).all(|pair| pair[0].to == pair[1].from));
    }

    #[test]
    fn a_clock_at_midnight_begins_no_day() {
        let days = civil_days(Tz::UTC, utc("2025-03-01T10:00:00Z"), utc("2025-03-02T00:00:00Z"));
        assert_eq!(days.len(), 1);
        let only = civil_days(Tz::UTC, utc("2025-03-02T00:00:00Z"), utc("2025-03-02T00:00:00Z"));
        assert_eq!(only.len(), 1);
        assert!(civil_days(Tz::UTC, utc("2025-03-02T00:00:00Z"), utc("2025-03-01T00:00:00Z")).is_empty());
    }

    /// Source: IANA time zone database: Beirut skipped 00:00 to 01:00 on 2013-03-31; Apia skipped all of 2011-12-30.
    #[test]
    fn a_skipped_midnight_and_a_skipped_day_are_handled() {
        let start = day_start(Tz::Asia__Beirut, "2013-03-31".parse().unwrap()).unwrap();
        assert_eq!(start, utc("2013-03-30T22:00:00Z"));
        let days = civil_days(Tz::Pacific__Apia, utc("2011-12-29T12:00:00Z"), utc("2012-01-01T12:00:00Z"));
        let dates: Vec<_> = days.iter().map(|day| day.date.to_string()).collect();
        assert_eq!(dates, ["2011-12-29", "2011-12-31", "2012-01-01", "2012-01-02"]);
    }
}
