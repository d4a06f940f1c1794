//! Verdicts on equipment-days.

use chrono::{DateTime, Utc};
use grainfall_analysis::evidence::DayVerdict;
use grainfall_simulate::instruments::ReadValue;
use grainfall_simulate::scenario::{Event, Point, Stay, Zone};
use grainfall_simulate::truth::{Period, Verdict};

use super::{House, Measure, Tally};

/// What the true states say of the points a unit serves.
struct True {
    /// Some point lay above its goal by more than U in the period.
    open: bool,
    /// Some point lay above its goal less U in the period, or since it was last read before it.
    may_read_open: bool,
    /// Some point was open as above, and not only between a rewetting and the reading after it.
    open_as_read: bool,
    /// Water came to some point since it was last read before the period, or in it.
    water_came: bool,
}

pub(super) fn count(house: &House, tally: &mut Tally) {
    for unit in house.made.truth.units.iter().filter(|unit| unit.judged) {
        let found = house.evidence.equipment.iter().find(|one| one.unit == unit.unit);
        let days: Vec<_> = found.into_iter().flat_map(|one| &one.stays).flat_map(|stay| &stay.days).collect();
        for (index, due) in unit.periods.iter().enumerate() {
            let of = || format!("{}, {} day {}", house.name, unit.unit, due.number);
            let Some(day) = days.get(index).filter(|day| day.from == due.from && day.to == due.to) else {
                tally.count(Measure::DaysAsDue, false, || format!("{}: no such day", of()));
                tally.count(Measure::DayVerdicts, false, || format!("{}: no such day", of()));
                continue;
            };
            let said = || format!("{}: `{}`, due {:?}: {}", of(), day.verdict.words(), due.verdict, day.why);
            // The simulator works out what readings say; what the air takes away from that is counted by the truth.
            let by_readings = if day.doubted_by_air { DayVerdict::NotNeeded } else { day.verdict };
            tally.count(Measure::DaysAsDue, same(by_readings, due.verdict), said);
            let truth = truth(house, &unit.unit, due);
            let right = match day.verdict {
                DayVerdict::Needed => truth.may_read_open || due.by_pull_window,
                DayVerdict::NotNeeded => !truth.open,
                DayVerdict::NotShown if day.doubted_by_air => truth.open,
                DayVerdict::NotShown => due.verdict == Verdict::NotShown,
                DayVerdict::NotJudged => due.verdict == Verdict::NotJudged,
            };
            tally.count(Measure::DayVerdicts, right, said);
            if day.doubted_by_air {
                tally.count(Measure::Doubted, truth.water_came, said);
                tally.count(Measure::DoubtedOpen, truth.open, said);
            }
            if day.verdict == DayVerdict::NotNeeded {
                tally.count(Measure::NotNeeded, !truth.open_as_read, said);
                tally.count(Measure::NotNeededStrict, !truth.open, said);
            }
        }
    }
}

fn same(found: DayVerdict, due: Verdict) -> bool {
    matches!(
        (found, due),
        (DayVerdict::Needed, Verdict::Needed)
            | (DayVerdict::NotNeeded, Verdict::NotNeeded)
            | (DayVerdict::NotShown, Verdict::NotShown)
            | (DayVerdict::NotJudged, Verdict::NotJudged)
    )
}

fn truth(house: &House, unit: &str, period: &Period) -> True {
    let mut truth = True { open: false, may_read_open: false, open_as_read: false, water_came: false };
    for stay in house.scenario().stays.iter().filter(|stay| stay.unit == unit) {
        for (point, goal, accuracy) in house.points().filter(|(point, ..)| serves(stay, point)) {
            let ended = point.ended.as_ref().map_or(period.to, |ended| ended.at.min(period.to));
            if ended <= period.from {
                continue;
            }
            let highest = |from| house.highest(point, from, ended).unwrap_or(f64::NEG_INFINITY);
            truth.open |= highest(period.from) > goal + accuracy;
            truth.open_as_read |= seen(house, (point, goal, accuracy), period.from, ended)
                .into_iter()
                .any(|(from, to)| house.highest(point, from, to).is_some_and(|value| value > goal + accuracy));
            let read = last_read(house, point, period.from);
            truth.may_read_open |= highest(read) > goal - accuracy;
            truth.water_came |= rewettings(house, point).any(|at| read < at && at < ended);
        }
    }
    truth
}

fn serves(stay: &Stay, point: &Point) -> bool {
    stay.chambers.iter().any(|id| point.zone == Zone::Chamber(id.clone()))
        && (stay.points.is_empty() || stay.points.contains(&point.id))
}

/// The last reading of a point at or before an instant, or the instant itself.
fn last_read(house: &House, point: &Point, time: DateTime<Utc>) -> DateTime<Utc> {
    let own = house.made.record.readings.iter().filter(|reading| reading.point == point.id && reading.time <= time);
    own.map(|reading| reading.time).max().unwrap_or(time)
}

/// The parts of a span in which somebody can know how wet a point is: without those between a rewetting and the reading
/// after it that tells.
fn seen(
    house: &House,
    (point, goal, accuracy): (&Point, f64, f64),
    from: DateTime<Utc>,
    to: DateTime<Utc>,
) -> Vec<(DateTime<Utc>, DateTime<Utc>)> {
    let mut parts = vec![(from, to)];
    for at in rewettings(house, point) {
        let told = told(house, (point, goal, accuracy), at).unwrap_or(house.scenario().to);
        parts = parts
            .into_iter()
            .flat_map(|(from, to)| [(from, to.min(at)), (from.max(told), to)])
            .filter(|(from, to)| from < to)
            .collect();
    }
    parts
}

/// The first reading after an instant that tells whether a point is open: one that is above the goal by no more than its
/// meter's accuracy does not, and the next does.
fn told(house: &House, (point, goal, accuracy): (&Point, f64, f64), at: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let own = house.made.record.readings.iter().filter(|reading| reading.point == point.id && reading.time > at);
    let mut own: Vec<_> = own.collect();
    own.sort_by_key(|reading| reading.time);
    let near = |value: f64| goal < value && value <= goal + accuracy;
    let first = own.first()?;
    match first.value {
        ReadValue::Measured(value) if near(value) => own.get(1).map(|next| next.time),
        _ => Some(first.time),
    }
}

/// When water came to a point again.
fn rewettings<'a>(house: &'a House, point: &'a Point) -> impl Iterator<Item = DateTime<Utc>> + 'a {
    house.scenario().events.iter().filter_map(|event| match event {
        Event::Rewetted { point: known, at, .. } if *known == point.id => Some(*at),
        _ => None,
    })
}
