//! Offsets of a zone by wall time, with the answer for a quiet day kept.

use chrono::{MappedLocalTime, NaiveDate, NaiveDateTime, Offset, TimeDelta, TimeZone};
use chrono_tz::Tz;

/// What a zone says of one wall time. Offsets in seconds east of UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Local {
    One(i32),
    /// It occurs twice: first with the one, then with the other offset.
    Twice(i32, i32),
    Never,
}

/// A zone that remembers the offset of the last day without a change.
#[derive(Debug)]
pub(crate) struct Lookup {
    zone: Tz,
    quiet: Option<(NaiveDate, i32)>,
}

impl Lookup {
    pub fn new(zone: Tz) -> Self {
        Self { zone, quiet: None }
    }

    pub fn at(&mut self, wall: NaiveDateTime) -> Local {
        let date = wall.date();
        if let Some((day, offset)) = self.quiet
            && day == date
        {
            return Local::One(offset);
        }
        let midnight = date.and_time(chrono::NaiveTime::MIN);
        // No zone is further than a day from UTC, so a day with the same offset around it has no change in it.
        let around = |days: i64| {
            let at = midnight.checked_add_signed(TimeDelta::days(days))?;
            Some(self.zone.offset_from_utc_datetime(&at).fix().local_minus_utc())
        };
        if let (Some(before), Some(after)) = (around(-1), around(2))
            && before == after
        {
            self.quiet = Some((date, before));
            return Local::One(before);
        }
        match self.zone.offset_from_local_datetime(&wall) {
            MappedLocalTime::Single(offset) => Local::One(offset.fix().local_minus_utc()),
            MappedLocalTime::Ambiguous(first, second) => {
                let (a, b) = (first.fix().local_minus_utc(), second.fix().local_minus_utc());
                // The larger offset is the earlier instant.
                Local::Twice(a.max(b), a.min(b))
            }
            MappedLocalTime::None => Local::Never,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(zone: Tz, text: &str) -> Local {
        Lookup::new(zone).at(NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").unwrap())
    }

    /// Changes of 2025 in three zones (IANA time zone database 2025).
    #[test]
    fn published_changes() {
        let new_york = chrono_tz::America::New_York;
        assert_eq!(at(new_york, "2025-03-09 02:30"), Local::Never);
        assert_eq!(at(new_york, "2025-11-02 01:30"), Local::Twice(-14400, -18000));
        assert_eq!(at(new_york, "2025-07-01 12:00"), Local::One(-14400));
        assert_eq!(at(chrono_tz::Europe::Berlin, "2025-10-26 02:30"), Local::Twice(7200, 3600));
        let lord_howe = chrono_tz::Australia::Lord_Howe;
        assert_eq!(at(lord_howe, "2025-04-06 01:45"), Local::Twice(39600, 37800));
        assert_eq!(at(lord_howe, "2025-10-05 02:15"), Local::Never);
        assert_eq!(at(chrono_tz::America::Phoenix, "2025-03-09 02:30"), Local::One(-25200));
    }
}
