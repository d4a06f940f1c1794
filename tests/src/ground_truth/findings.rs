//! Findings that tell of an event. Kinds are looked up by their words; one that the program does not know is not looked for.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{Finding, FindingKind, Subject, TrackPlace};
use grainfall_simulate::scenario::{AirSource, Bias, Event, Goal, Logger};

use super::{House, Measure, Tally};

/// Words of the kinds that answer each question.
const OPENED: &[&str] = &["chamber_opened"];
const REWETTED: &[&str] = &["rewetting", "rewetted"];
const CLOCK: &[&str] = &["clock_offset", "clock_differs"];
const BIASED: &[&str] = &["logger_bias", "logger_biased", "bias"];
const SWAPPED: &[&str] = &["logger_swapped", "loggers_swapped", "logger_misplaced", "logger_wrong_place"];
const UNREACHABLE: &[&str] = &["goal_below_equilibrium", "goal_unreachable", "cannot_be_reached"];

/// Everything of which a house without events must show nothing.
const QUIET: &[&[&str]] = &[
    OPENED,
    REWETTED,
    CLOCK,
    BIASED,
    SWAPPED,
    UNREACHABLE,
    &["unit_stopped", "logger_frozen", "logger_dead", "logger_silent"],
];

/// A door that stands open for less lets people pass.
const OPEN: TimeDelta = TimeDelta::hours(1);

/// Readings of a point are at most this far apart where no visit is missing.
const READ_APART: TimeDelta = TimeDelta::hours(30);

/// How far from its event a finding may lie.
const NEAR: TimeDelta = TimeDelta::hours(1);

pub(super) fn count(house: &House, tally: &mut Tally) {
    for event in &house.scenario().events {
        match event {
            Event::ChamberOpened { chamber, from, to, .. } if *to - *from >= OPEN => {
                opened(house, chamber, *from, *to, tally);
            }
            Event::Rewetted { point, at, .. } => rewetted(house, point, *at, tally),
            Event::ChamberOpened { .. } | Event::UnitStopped { .. } => {}
        }
    }
    for logger in &house.scenario().loggers {
        clock(house, logger, tally);
        bias(house, logger, tally);
        swapped(house, logger, tally);
    }
    unreachable(house, tally);
    false_alarms(house, tally);
    if house.suite.name == "clean" {
        let words = QUIET.concat();
        let loud: Vec<&str> = of(house, &words).map(|finding| finding.text.as_str()).collect();
        tally.count(Measure::QuietHouses, loud.is_empty(), || format!("{}: {loud:?}", house.name));
    }
}

/// Findings of some kinds.
fn of<'a>(house: &'a House, words: &'a [&str]) -> impl Iterator<Item = &'a Finding> {
    house.evidence.findings.iter().filter(|finding| words.contains(&word(finding.kind).as_str()))
}

fn word(kind: FindingKind) -> String {
    serde_json::to_value(kind).ok().and_then(|value| value.as_str().map(str::to_owned)).unwrap_or_default()
}

/// Whether the program knows any kind by these words.
fn known(words: &[&str]) -> bool {
    let schema = schemars::schema_for!(FindingKind).to_value().to_string();
    words.iter().any(|word| schema.contains(&format!("\"{word}\"")))
}

/// Reported openings and rewettings that were none.
fn false_alarms(house: &House, tally: &mut Tally) {
    for finding in of(house, OPENED) {
        let end = finding.to.unwrap_or(finding.from);
        let real = house.scenario().events.iter().any(|event| match event {
            Event::ChamberOpened { chamber, from, to, .. } => {
                finding.subject.id() == chamber
                    && *to - *from >= OPEN
                    && finding.from <= *to + NEAR
                    && end >= *from - NEAR
            }
            _ => false,
        });
        tally.count(Measure::OpeningsTrue, real, || format!("{}: {}", house.name, finding.text));
    }
    for finding in of(house, REWETTED) {
        // What it says rose between two readings rose after the first of them.
        let since = finding.from - READ_APART;
        let real = house.scenario().events.iter().any(|event| {
            matches!(event, Event::Rewetted { point, at, .. }
                if finding.subject.id() == point && since <= *at && *at <= finding.to.unwrap_or(finding.from))
        });
        tally.count(Measure::RewettingsTrue, real, || format!("{}: {}", house.name, finding.text));
    }
}

fn texts(house: &House, words: &[&str]) -> Vec<String> {
    of(house, words).map(|finding| format!("{}: {}", finding.subject.id(), finding.text)).collect()
}

fn opened(house: &House, chamber: &str, from: DateTime<Utc>, to: DateTime<Utc>, tally: &mut Tally) {
    if known(OPENED) {
        let found = of(house, OPENED).any(|finding| {
            finding.subject == Subject::Chamber(chamber.to_owned())
                && finding.from <= to + NEAR
                && finding.to.unwrap_or(finding.from) >= from - NEAR
        });
        tally.count(Measure::Openings, found, || {
            format!("{}, {chamber}: {from} to {to}; {:?}", house.name, texts(house, OPENED))
        });
    }
}

/// A rewetting shows in the first reading after it; one that a meter cannot tell from its own error is no event.
fn rewetted(house: &House, point: &str, at: DateTime<Utc>, tally: &mut Tally) {
    if !known(REWETTED) {
        return;
    }
    let Some((known_point, _, accuracy)) = house.points().find(|(one, ..)| one.id == point) else { return };
    let readings: Vec<_> = house.made.record.readings.iter().filter(|reading| reading.point == point).collect();
    let (Some(before), Some(after)) =
        (readings.iter().rev().find(|reading| reading.time <= at), readings.iter().find(|reading| reading.time > at))
    else {
        return;
    };
    let value = |time| house.true_value(known_point, time).unwrap_or(0.0);
    if value(after.time) - value(before.time) <= 2.0 * accuracy {
        return;
    }
    let found = of(house, REWETTED).any(|finding| {
        finding.subject == Subject::Point(point.to_owned())
            && finding.from <= after.time
            && finding.to.unwrap_or(finding.from) >= before.time
    });
    tally.count(Measure::Rewettings, found, || {
        let (from, to) = (value(before.time), value(after.time));
        format!("{}, {point}: {at}, truly {from:.1} then {to:.1}; {:?}", house.name, texts(house, REWETTED))
    });
}

/// Whether a finding is about a logger: by its serial number, or by the place it is said to stand in.
pub(super) fn about(house: &House, finding: &Finding, logger: &Logger) -> bool {
    let Subject::Logger(id) = &finding.subject else { return false };
    let place = match &logger.stated {
        AirSource::Outdoor => (TrackPlace::Outdoor, None),
        AirSource::Unaffected => (TrackPlace::Unaffected, None),
        AirSource::Chamber(_) => return *id == logger.serial,
        AirSource::Inlet(unit) => (TrackPlace::Inlet, Some(unit)),
        AirSource::Outlet(unit) => (TrackPlace::Outlet, Some(unit)),
    };
    let facts = house.evidence.loggers.iter().find(|facts| facts.logger == *id);
    facts.is_some_and(|facts| (facts.place, facts.unit.as_ref()) == place)
}

fn clock(house: &House, logger: &Logger, tally: &mut Tally) {
    if logger.clock_ahead_s == 0 || !known(CLOCK) {
        return;
    }
    #[allow(clippy::cast_precision_loss, reason = "offsets are hours")]
    let ahead_min = logger.clock_ahead_s as f64 / 60.0;
    let near = f64::from(logger.interval_min);
    // Of two clocks apart nothing may tell which is off: then the other one's finding must name this logger.
    let facts = house.evidence.loggers.iter().find(|facts| facts.logger == logger.serial);
    let names = |finding: &Finding| facts.is_some_and(|facts| finding.text.contains(&facts.label));
    let found = of(house, CLOCK)
        .filter(|finding| about(house, finding, logger) || names(finding))
        .any(|finding| minutes(&finding.text).iter().any(|said| (said - ahead_min.abs()).abs() <= near));
    tally.count(Measure::ClockOffsets, found, || {
        format!("{}, {}: ahead {ahead_min} min; {:?}", house.name, logger.serial, texts(house, CLOCK))
    });
}

fn bias(house: &House, logger: &Logger, tally: &mut Tally) {
    let Bias::Given { rh_pct, .. } = logger.bias else { return };
    if rh_pct.abs() <= logger.rh_limit_pct || !known(BIASED) {
        return;
    }
    let twin = house.scenario().loggers.iter().find(|one| one.source == logger.source && one.serial != logger.serial);
    let found = of(house, BIASED)
        .filter(|finding| about(house, finding, logger) || twin.is_some_and(|twin| about(house, finding, twin)))
        .any(|finding| numbers_before(&finding.text, &["%"]).iter().any(|said| (said - rh_pct.abs()).abs() <= 1.0));
    tally.count(Measure::Biases, found, || {
        format!("{}, {}: {rh_pct:.1} %RH; {:?}", house.name, logger.serial, texts(house, BIASED))
    });
}

fn swapped(house: &House, logger: &Logger, tally: &mut Tally) {
    // One of the two stands for the pair.
    let first = matches!(logger.source, AirSource::Outdoor | AirSource::Inlet(_));
    if logger.source == logger.stated || !first || !known(SWAPPED) {
        return;
    }
    let partner = house.scenario().loggers.iter().find(|one| one.source == logger.stated);
    let found = of(house, SWAPPED)
        .any(|finding| about(house, finding, logger) || partner.is_some_and(|partner| about(house, finding, partner)));
    tally.count(Measure::Swaps, found, || {
        format!("{}, {} for {:?}; {:?}", house.name, logger.serial, logger.stated, texts(house, SWAPPED))
    });
}

fn unreachable(house: &House, tally: &mut Tally) {
    if !known(UNREACHABLE) {
        return;
    }
    for (point, ..) in house.points().filter(|(point, ..)| matches!(point.goal, Goal::Written(_))) {
        let found = of(house, UNREACHABLE).any(|finding| finding.subject == Subject::Point(point.id.clone()));
        tally.count(Measure::Unreachable, found, || format!("{}, {}", house.name, point.id));
    }
}

/// Lengths of time in a text, in minutes.
fn minutes(text: &str) -> Vec<f64> {
    let mut all = numbers_before(text, &["min"]);
    all.extend(numbers_before(text, &["h"]).into_iter().map(|hours| 60.0 * hours));
    all
}

/// Magnitudes of the numbers that stand before one of these words.
fn numbers_before(text: &str, units: &[&str]) -> Vec<f64> {
    let words: Vec<&str> = text.split_whitespace().collect();
    words
        .windows(2)
        .filter(|pair| units.iter().any(|unit| pair[1].trim_end_matches(['.', ',', ';', ':', ')']).starts_with(unit)))
        .filter_map(|pair| pair[0].trim_start_matches(['+', '-', '\u{2212}', '(']).parse::<f64>().ok())
        .map(f64::abs)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_before_their_unit() {
        assert_eq!(minutes("ahead by 1.5 h, or 45 min.").len(), 2);
        assert!((minutes("ahead by 1.5 h")[0] - 90.0).abs() < 1e-9);
        assert_eq!(numbers_before("reads -4.5 %RH lower", &["%"]).len(), 1);
        assert!(numbers_before("on 12 October", &["%"]).is_empty());
    }
}
