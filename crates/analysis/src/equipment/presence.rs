//! When a unit was on site: stays that follow within an hour are one, cut into equipment-days.

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;
use grainfall_job::{EquipmentDayRule, Job, Stay};

use crate::evidence::Day;
use crate::rules::SAME_STAY;

/// One presence of a unit: one or more stays without a break of more than an hour.
#[derive(Debug, Clone)]
pub(crate) struct Presence<'a> {
    /// The stays it is made of, by time; their service areas may differ.
    pub stays: Vec<&'a Stay>,
    pub placed: DateTime<Utc>,
    /// `None` while on site at the clock.
    pub removed: Option<DateTime<Utc>>,
    /// Removed, or the clock.
    pub until: DateTime<Utc>,
}

/// The presences of every unit up to the clock: by unit, then time. Stays that begin after the clock are left out.
pub(crate) fn presences(job: &Job, clock: DateTime<Utc>) -> Vec<(&str, Vec<Presence<'_>>)> {
    let mut units: Vec<&str> = job.equipment.iter().map(|stay| stay.unit.as_str()).collect();
    units.sort_unstable();
    units.dedup();
    units
        .into_iter()
        .map(|unit| {
            let mut stays: Vec<&Stay> =
                job.equipment.iter().filter(|stay| stay.unit == unit && stay.placed <= clock).collect();
            stays.sort_by_key(|stay| stay.placed);
            (unit, join(stays, clock, job.equipment_day, job.zone.tz))
        })
        .filter(|(_, presences)| !presences.is_empty())
        .collect()
}

fn join(stays: Vec<&Stay>, clock: DateTime<Utc>, rule: EquipmentDayRule, tz: Tz) -> Vec<Presence<'_>> {
    // Counted by civil days, a unit that comes back on the day it left is there on one day, not on two.
    let same_day = |end: DateTime<Utc>, again: DateTime<Utc>| {
        rule == EquipmentDayRule::Calendar
            && end.with_timezone(&tz).date_naive() == again.with_timezone(&tz).date_naive()
    };
    let mut presences: Vec<Presence<'_>> = Vec::new();
    for stay in stays {
        let removed = stay.removed.filter(|removed| *removed <= clock);
        let until = removed.unwrap_or(clock);
        match presences.last_mut() {
            Some(last)
                if last.removed.is_some_and(|end| stay.placed - end <= SAME_STAY || same_day(end, stay.placed)) =>
            {
                last.stays.push(stay);
                last.removed = removed;
                last.until = until;
            }
            _ => presences.push(Presence { stays: vec![stay], placed: stay.placed, removed, until }),
        }
    }
    presences
}

/// The equipment-days of a presence: half-open periods, each begun one counted.
pub(crate) fn periods(presence: &Presence<'_>, rule: EquipmentDayRule, tz: Tz) -> Vec<(DateTime<Utc>, DateTime<Utc>)> {
    let mut starts = vec![presence.placed];
    match rule {
        EquipmentDayRule::Hours24 => {
            let mut next = presence.placed + TimeDelta::hours(24);
            while next < presence.until {
                starts.push(next);
                next += TimeDelta::hours(24);
            }
        }
        EquipmentDayRule::Calendar => {
            let days: Vec<Day> = crate::air::days::civil_days(tz, presence.placed, presence.until);
            starts.extend(days.iter().map(|day| day.from).filter(|at| presence.placed < *at && *at < presence.until));
        }
    }
    let ends = starts.iter().skip(1).copied().chain([presence.until]);
    starts.iter().copied().zip(ends).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    fn presence<'a>(placed: &str, until: &str) -> Presence<'a> {
        Presence { stays: vec![], placed: at(placed), removed: Some(at(until)), until: at(until) }
    }

    fn hours(periods: &[(DateTime<Utc>, DateTime<Utc>)]) -> Vec<f64> {
        periods.iter().map(|(from, to)| crate::words::hours(*to - *from)).collect()
    }

    #[test]
    fn a_period_begun_counts_as_one() {
        let tz = chrono_tz::America::New_York;
        let two = periods(&presence("2025-10-06T15:00:00Z", "2025-10-07T16:30:00Z"), EquipmentDayRule::Hours24, tz);
        assert_eq!(hours(&two), [24.0, 1.5]);
        let one = periods(&presence("2025-10-06T15:00:00Z", "2025-10-07T15:00:00Z"), EquipmentDayRule::Hours24, tz);
        assert_eq!(hours(&one), [24.0], "a period that was never begun does not count");
    }

    /// The zone left daylight saving on 2 Nov 2025 at 06:00Z, so that civil day had 25 hours (IANA tz database 2025).
    #[test]
    fn calendar_days_follow_the_zone() {
        let tz = chrono_tz::America::New_York;
        let days = periods(&presence("2025-11-01T16:00:00Z", "2025-11-03T15:00:00Z"), EquipmentDayRule::Calendar, tz);
        assert_eq!(hours(&days), [12.0, 25.0, 10.0]);
        let periods = periods(&presence("2025-11-01T16:00:00Z", "2025-11-03T15:00:00Z"), EquipmentDayRule::Hours24, tz);
        assert_eq!(hours(&periods), [24.0, 23.0], "periods of 24 h run on instants");
    }
}
