//! Times, dates and lengths of time as people write them, and the instants they stand for.
//!
//! A time without an offset is a wall time of the job's zone. One that the clocks skipped or showed twice is never
//! guessed at: the answer names both instants.

use chrono::{
    DateTime, FixedOffset, MappedLocalTime, NaiveDate, NaiveDateTime, NaiveTime, Offset, TimeDelta, TimeZone, Utc,
};
use chrono_tz::{GapInfo, Tz};
use grainfall_record::DateOrder;

use crate::fault::TwoWays;

/// A time as written, before the order of its date and its zone are settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Written {
    pub date: WrittenDate,
    pub time: NaiveTime,
    pub offset: Option<FixedOffset>,
}

/// A date as written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum WrittenDate {
    /// `2025-03-08`.
    Plain(NaiveDate),
    /// `3/8/2025`: both numbers and the year.
    Slashed { first: u32, second: u32, year: i32 },
}

impl WrittenDate {
    /// The calendar date; `None` when there is no such day.
    pub fn date(self, order: DateOrder) -> Option<NaiveDate> {
        match self {
            Self::Plain(date) => Some(date),
            Self::Slashed { first, second, year } => match order {
                DateOrder::MonthFirst => NaiveDate::from_ymd_opt(year, first, second),
                DateOrder::DayFirst => NaiveDate::from_ymd_opt(year, second, first),
            },
        }
    }

    /// What the numbers alone say about the order: `None` when both orders give a day and the days differ.
    pub fn evidence(self) -> Evidence {
        match (self.date(DateOrder::MonthFirst), self.date(DateOrder::DayFirst)) {
            (Some(_), None) => Evidence::Only(DateOrder::MonthFirst),
            (None, Some(_)) => Evidence::Only(DateOrder::DayFirst),
            (Some(month_first), Some(day_first)) if month_first != day_first => {
                Evidence::Either { month_first, day_first }
            }
            _ => Evidence::Indifferent,
        }
    }
}

/// What a date says about the order of its numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Evidence {
    /// Only one order gives a day.
    Only(DateOrder),
    /// Both do, and the days differ.
    Either { month_first: NaiveDate, day_first: NaiveDate },
    /// No slashes, both orders give the same day, or neither gives one.
    Indifferent,
}

/// Why a wall time stands for no single instant.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum NoInstant {
    /// The clocks skipped it.
    Skipped(TwoWays),
    /// The clocks showed it twice.
    Repeated(TwoWays),
    /// It lies outside the range of dates.
    OutOfRange,
}

/// A time: `2025-03-08 06:30[:00]`, with `T` too, `3/8/2025 6:30 [AM]`, each with an optional offset or `Z`.
/// `None` when the text is no such time.
pub(crate) fn read(text: &str) -> Option<Written> {
    let text = text.trim();
    let at = text.find(|c: char| c == 'T' || c == 't' || c.is_whitespace())?;
    let (date, rest) = text.split_at(at);
    let rest = rest.trim_start_matches(['T', 't']).trim();
    let date = read_date_part(date)?;
    let (clock, offset) = split_offset(rest)?;
    Some(Written { date, time: read_clock(clock)?, offset })
}

/// A date: `2025-01-15`. `None` when the text is none.
pub(crate) fn read_date(text: &str) -> Option<NaiveDate> {
    match read_date_part(text.trim())? {
        WrittenDate::Plain(date) => Some(date),
        WrittenDate::Slashed { .. } => None,
    }
}

/// An offset: `+02:00`, `-0600`, `+2`, `Z`.
pub(crate) fn read_offset(text: &str) -> Option<FixedOffset> {
    if matches!(text, "Z" | "z") {
        return FixedOffset::east_opt(0);
    }
    let (sign, digits) = if let Some(digits) = text.strip_prefix('+') {
        (1, digits)
    } else {
        (-1, text.strip_prefix('-').or_else(|| text.strip_prefix('\u{2212}'))?)
    };
    let (hours, minutes) = match digits.split_once(':') {
        Some((hours, minutes)) if minutes.len() == 2 => (number(hours, 2)?, number(minutes, 2)?),
        Some(_) => return None,
        None if digits.len() == 4 => (number(digits.get(..2)?, 2)?, number(digits.get(2..)?, 2)?),
        None => (number(digits, 2)?, 0),
    };
    let seconds = i32::try_from(hours * 3600 + minutes * 60).ok()?;
    (hours <= 14 && minutes < 60).then(|| FixedOffset::east_opt(sign * seconds)).flatten()
}

/// The instant of a wall time of `zone`, or of a time with an offset.
pub(crate) fn instant(local: NaiveDateTime, offset: Option<FixedOffset>, zone: Tz) -> Result<DateTime<Utc>, NoInstant> {
    if let Some(offset) = offset {
        let shift = TimeDelta::seconds(i64::from(offset.local_minus_utc()));
        return local.checked_sub_signed(shift).map(|utc| utc.and_utc()).ok_or(NoInstant::OutOfRange);
    }
    match zone.from_local_datetime(&local) {
        MappedLocalTime::Single(time) => Ok(time.with_timezone(&Utc)),
        MappedLocalTime::Ambiguous(first, second) => Err(NoInstant::Repeated(TwoWays {
            first: with_offset(local, first.offset().fix()),
            second: with_offset(local, second.offset().fix()),
        })),
        MappedLocalTime::None => {
            let gap = GapInfo::new(&local, &zone).ok_or(NoInstant::OutOfRange)?;
            match (gap.begin, gap.end) {
                (Some((_, before)), Some(after)) => Err(NoInstant::Skipped(TwoWays {
                    first: with_offset(local, before.fix()),
                    second: with_offset(local, after.offset().fix()),
                })),
                _ => Err(NoInstant::OutOfRange),
            }
        }
    }
}

/// A time with its offset, as it is written in the files.
pub(crate) fn with_offset(local: NaiveDateTime, offset: FixedOffset) -> String {
    format!("{}{offset}", wall(local))
}

/// An instant on the zone's wall clock, for messages.
pub(crate) fn shown(time: DateTime<Utc>, zone: Tz) -> String {
    wall(time.with_timezone(&zone).naive_local())
}

fn wall(local: NaiveDateTime) -> String {
    let seconds = if local.time().format("%S").to_string() == "00" { "" } else { ":%S" };
    local.format(&format!("%Y-%m-%d %H:%M{seconds}")).to_string()
}

fn read_date_part(text: &str) -> Option<WrittenDate> {
    let slashed = text.contains('/');
    let mut parts = text.split(if slashed { '/' } else { '-' });
    let (a, b, c) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() {
        return None;
    }
    if slashed {
        let year = match c.len() {
            4 => number(c, 4)?,
            2 => 2000 + number(c, 2)?,
            _ => return None,
        };
        return Some(WrittenDate::Slashed {
            first: number(a, 2)?,
            second: number(b, 2)?,
            year: i32::try_from(year).ok()?,
        });
    }
    if a.len() != 4 {
        return None;
    }
    NaiveDate::from_ymd_opt(i32::try_from(number(a, 4)?).ok()?, number(b, 2)?, number(c, 2)?).map(WrittenDate::Plain)
}

/// The clock part and the offset after it, if there is one.
fn split_offset(text: &str) -> Option<(&str, Option<FixedOffset>)> {
    match text.find(['+', '-', '\u{2212}', 'Z', 'z']) {
        None => Some((text, None)),
        Some(at) => {
            let (clock, offset) = text.split_at(at);
            Some((clock.trim_end(), Some(read_offset(offset)?)))
        }
    }
}

fn read_clock(text: &str) -> Option<NaiveTime> {
    let lower = text.to_ascii_lowercase();
    let (clock, half) = if let Some(clock) = lower.strip_suffix("am").or_else(|| lower.strip_suffix("a.m.")) {
        (clock.trim_end(), Some(0))
    } else if let Some(clock) = lower.strip_suffix("pm").or_else(|| lower.strip_suffix("p.m.")) {
        (clock.trim_end(), Some(12))
    } else {
        (lower.as_str(), None)
    };
    let mut parts = clock.split(':');
    let hour = number(parts.next()?, 2)?;
    let minute = two_digits(parts.next()?)?;
    let (second, nano) = match parts.next() {
        None => (0, 0),
        Some(seconds) => match seconds.split_once('.') {
            None => (two_digits(seconds)?, 0),
            Some((seconds, fraction)) => (two_digits(seconds)?, nanoseconds(fraction)?),
        },
    };
    if parts.next().is_some() {
        return None;
    }
    let hour = match half {
        None => hour,
        Some(half) if (1..=12).contains(&hour) => hour % 12 + half,
        Some(_) => return None,
    };
    NaiveTime::from_hms_nano_opt(hour, minute, second, nano)
}

fn nanoseconds(fraction: &str) -> Option<u32> {
    if fraction.is_empty() || fraction.len() > 9 {
        return None;
    }
    let width = u32::try_from(fraction.len()).ok()?;
    Some(number(fraction, 9)? * 10_u32.pow(9 - width))
}

fn two_digits(text: &str) -> Option<u32> {
    (text.len() == 2).then(|| number(text, 2)).flatten()
}

fn number(text: &str, longest: usize) -> Option<u32> {
    let digits = !text.is_empty() && text.len() <= longest && text.bytes().all(|b| b.is_ascii_digit());
    digits.then(|| text.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono_tz::{America::New_York, Australia::Lord_Howe, Europe::Berlin};
    use proptest::prelude::*;

    fn local(text: &str) -> NaiveDateTime {
        let written = read(text).unwrap_or_else(|| panic!("`{text}` is a time"));
        written.date.date(DateOrder::MonthFirst).unwrap().and_time(written.time)
    }

    fn utc(text: &str, zone: Tz) -> Result<String, NoInstant> {
        instant(local(text), read(text).unwrap().offset, zone).map(|t| t.format("%Y-%m-%d %H:%M:%SZ").to_string())
    }

    #[test]
    fn the_accepted_forms_read_alike() {
        for text in [
            "2025-03-08 18:30",
            "2025-03-08T18:30:00",
            "2025-03-08 18:30:00.000",
            "3/8/2025 6:30 PM",
            "3/8/25 6:30pm",
            "03/08/2025 18:30",
            " 2025-03-08  18:30 ",
        ] {
            assert_eq!(
                local(text),
                NaiveDate::from_ymd_opt(2025, 3, 8).unwrap().and_hms_opt(18, 30, 0).unwrap(),
                "{text}"
            );
        }
        assert_eq!(local("3/8/2025 12:05 AM").time(), NaiveTime::from_hms_opt(0, 5, 0).unwrap());
        assert_eq!(local("3/8/2025 12:05 PM").time(), NaiveTime::from_hms_opt(12, 5, 0).unwrap());
    }

    #[test]
    fn other_texts_are_no_times() {
        for text in [
            "",
            "2025-03-08",
            "18:30",
            "2025-3-8 25:00",
            "2025-02-29 10:00",
            "8.3.2025 10:00",
            "2025-03-08 6",
            "2025-03-08 6:3",
            "3/8/2025 13:00 PM",
            "3/8/2025 0:10 AM",
            "3/8/125 10:00",
            "2025-03-08 10:00 EST",
            "2025-03-08 10:00+25:00",
            "2025-03-08 10:00:60",
            "25-03-08 10:00",
            "2025-03-08 10:00+5:3",
        ] {
            assert_eq!(read(text), None, "`{text}`");
        }
    }

    #[test]
    fn an_offset_settles_the_instant() {
        for text in ["2025-03-08 06:30-06:00", "2025-03-08T12:30Z", "2025-03-08 06:30 -0600", "2025-03-08 14:30+2"] {
            assert_eq!(utc(text, Berlin).unwrap(), "2025-03-08 12:30:00Z", "{text}");
        }
    }

    /// Transitions of 2025: New York 9 March 07:00Z and 2 November 06:00Z, Berlin 30 March 01:00Z and 26 October 01:00Z
    /// (IANA time zone database 2025), Lord Howe by half an hour on 5 April 15:00Z and 4 October 15:30Z (same).
    #[test]
    fn wall_times_around_published_transitions() {
        assert_eq!(utc("2025-03-09 01:59", New_York).unwrap(), "2025-03-09 06:59:00Z");
        assert_eq!(utc("2025-03-09 03:00", New_York).unwrap(), "2025-03-09 07:00:00Z");
        assert_eq!(utc("2025-11-02 00:59", New_York).unwrap(), "2025-11-02 04:59:00Z");
        assert_eq!(utc("2025-11-02 02:00", New_York).unwrap(), "2025-11-02 07:00:00Z");
        assert_eq!(utc("2025-03-30 01:59", Berlin).unwrap(), "2025-03-30 00:59:00Z");
        assert_eq!(utc("2025-03-30 03:00", Berlin).unwrap(), "2025-03-30 01:00:00Z");
        assert_eq!(utc("2025-10-26 03:00", Berlin).unwrap(), "2025-10-26 02:00:00Z");
        assert_eq!(utc("2025-04-06 02:00", Lord_Howe).unwrap(), "2025-04-05 15:30:00Z");
        assert_eq!(utc("2025-10-05 02:30", Lord_Howe).unwrap(), "2025-10-04 15:30:00Z");
    }

    #[test]
    fn skipped_times_name_both_offsets() {
        let ways = |first: &str, second: &str| TwoWays { first: first.into(), second: second.into() };
        assert_eq!(
            utc("2025-03-09 02:30", New_York),
            Err(NoInstant::Skipped(ways("2025-03-09 02:30-05:00", "2025-03-09 02:30-04:00")))
        );
        assert_eq!(
            utc("2025-03-30 02:00:30", Berlin),
            Err(NoInstant::Skipped(ways("2025-03-30 02:00:30+01:00", "2025-03-30 02:00:30+02:00")))
        );
        assert_eq!(
            utc("2025-10-05 02:15", Lord_Howe),
            Err(NoInstant::Skipped(ways("2025-10-05 02:15+10:30", "2025-10-05 02:15+11:00")))
        );
    }

    #[test]
    fn repeated_times_name_both_offsets() {
        let ways = |first: &str, second: &str| TwoWays { first: first.into(), second: second.into() };
        assert_eq!(
            utc("2025-11-02 01:30", New_York),
            Err(NoInstant::Repeated(ways("2025-11-02 01:30-04:00", "2025-11-02 01:30-05:00")))
        );
        assert_eq!(
            utc("2025-10-26 02:59", Berlin),
            Err(NoInstant::Repeated(ways("2025-10-26 02:59+02:00", "2025-10-26 02:59+01:00")))
        );
        assert_eq!(
            utc("2025-04-06 01:45", Lord_Howe),
            Err(NoInstant::Repeated(ways("2025-04-06 01:45+11:00", "2025-04-06 01:45+10:30")))
        );
        assert_eq!(utc("2025-11-02 01:30-04:00", New_York).unwrap(), "2025-11-02 05:30:00Z");
        assert_eq!(utc("2025-11-02 01:30-05:00", New_York).unwrap(), "2025-11-02 06:30:00Z");
    }

    #[test]
    fn slashed_dates_say_what_they_can() {
        let evidence = |text: &str| read(text).unwrap().date.evidence();
        assert_eq!(evidence("3/25/2025 6:00"), Evidence::Only(DateOrder::MonthFirst));
        assert_eq!(evidence("25/3/2025 6:00"), Evidence::Only(DateOrder::DayFirst));
        assert_eq!(evidence("3/3/2025 6:00"), Evidence::Indifferent);
        assert!(matches!(evidence("3/4/2025 6:00"), Evidence::Either { .. }));
    }

    proptest! {
        /// Every instant comes back from its wall time when that is shown once, and from its offset always.
        #[test]
        fn an_instant_comes_back_from_its_wall_time(
            seconds in 1_735_689_600_i64..1_767_225_600, // the year 2025 in UTC
            zone in prop::sample::select(vec![New_York, Berlin, Lord_Howe]),
        ) {
            let time = DateTime::from_timestamp(seconds, 0).unwrap();
            let wall_time = time.with_timezone(&zone);
            let plain = wall(wall_time.naive_local());
            match instant(local(&plain), None, zone) {
                Ok(back) => prop_assert_eq!(back, time),
                Err(NoInstant::Repeated(ways)) => {
                    let both = [utc(&ways.first, zone).unwrap(), utc(&ways.second, zone).unwrap()];
                    prop_assert!(both.contains(&time.format("%Y-%m-%d %H:%M:%SZ").to_string()));
                }
                Err(other) => prop_assert!(false, "{plain}: {other:?}"),
            }
            let exact = with_offset(wall_time.naive_local(), wall_time.offset().fix());
            prop_assert_eq!(instant(local(&exact), read(&exact).unwrap().offset, zone).unwrap(), time);
        }

        #[test]
        fn no_text_panics(text in ".*") {
            let _ = (read(&text), read_date(&text), read_offset(&text));
        }

        #[test]
        fn no_near_time_panics(text in "[0-9]{1,4}[-/][0-9]{1,2}[-/][0-9]{1,4}[T ]{1,2}[0-9]{1,2}:[0-9]{1,2}(:[0-9.]{1,5})?[ APMapmZ+0-9:-]{0,6}") {
            if let Some(written) = read(&text) {
                for order in [DateOrder::MonthFirst, DateOrder::DayFirst] {
                    if let Some(date) = written.date.date(order) {
                        let _ = instant(date.and_time(written.time), written.offset, Lord_Howe);
                    }
                }
            }
        }
    }
}
