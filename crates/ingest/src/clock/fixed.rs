//! Clocks that never change.

use chrono::{NaiveDateTime, Offset, TimeDelta, TimeZone};
use chrono_tz::{OffsetComponents, Tz};

use super::zone::{Local, Lookup};

/// The zone's offset in force at the first of the stamps, in seconds. A first stamp that occurs twice is the earlier
/// one; one that does not exist is read with the offset before the change.
pub(super) fn first_offset(zone: Tz, stamps: &[NaiveDateTime]) -> i32 {
    let Some(first) = stamps.iter().min() else { return 0 };
    match Lookup::new(zone).at(*first) {
        Local::One(offset) | Local::Twice(offset, _) => offset,
        Local::Never => {
            let before = first.checked_sub_signed(TimeDelta::hours(3)).unwrap_or(*first);
            match Lookup::new(zone).at(before) {
                Local::One(offset) | Local::Twice(offset, _) => offset,
                Local::Never => 0,
            }
        }
    }
}

/// The first of the stamps in time, with both offsets, where it can be either of two instants.
pub(super) fn begins_twice(zone: Tz, stamps: &[NaiveDateTime]) -> Option<(usize, (i32, i32))> {
    let (at, first) = stamps.iter().enumerate().min_by_key(|(_, stamp)| **stamp)?;
    match Lookup::new(zone).at(*first) {
        Local::Twice(early, late) => Some((at, (early, late))),
        Local::One(_) | Local::Never => None,
    }
}

/// The zone's standard offset at the time of the stamps, in seconds.
pub(super) fn standard_offset(zone: Tz, stamps: &[NaiveDateTime]) -> i32 {
    let Some(first) = stamps.iter().min() else { return 0 };
    let offset = zone.offset_from_utc_datetime(first);
    // Zones whose table counts winter as the saving time have a base that is their summer time.
    let base = i32::try_from(offset.base_utc_offset().num_seconds()).unwrap_or(0);
    let saving = i32::try_from(offset.dst_offset().num_seconds()).unwrap_or(0);
    let now = offset.fix().local_minus_utc();
    if saving < 0 { now } else { base }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stamp(text: &str) -> NaiveDateTime {
        NaiveDateTime::parse_from_str(text, "%Y-%m-%d %H:%M").unwrap()
    }

    #[test]
    fn the_first_stamp_decides() {
        let zone = chrono_tz::America::Chicago;
        assert_eq!(first_offset(zone, &[stamp("2025-03-10 00:00"), stamp("2025-03-08 00:00")]), -21600);
        assert_eq!(first_offset(zone, &[stamp("2025-11-02 01:30")]), -18000);
        assert_eq!(first_offset(zone, &[stamp("2025-03-09 02:30")]), -21600);
    }

    #[test]
    fn standard_time_in_summer() {
        assert_eq!(standard_offset(chrono_tz::America::Toronto, &[stamp("2013-07-01 00:00")]), -18000);
        assert_eq!(standard_offset(chrono_tz::Europe::Dublin, &[stamp("2013-01-01 00:00")]), 0);
        assert_eq!(standard_offset(chrono_tz::Australia::Lord_Howe, &[stamp("2025-01-01 00:00")]), 37800);
    }
}
