//! One point with all that is known of it.

use grainfall_words::say;
use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};
use grainfall_job::{InChamber, Job, Point, PointRole, ReadingValue, Scale};

use super::correction::Correction;
use super::readings::{Aside, PointReading, SeriesMeter, asides, first_meter};
use super::spans::{StateInput, states};
use super::{drive, dry_standard, goal, rate};
use crate::air::AirAt;
use crate::evidence::{
    ChamberSpan, Day, DryStandardBasis, EndedEvidence, GoalBasis, GoalEvidence, GoalVerdict, PointEvidence, PointState,
    ReadingEvidence, ReadingKind, SourceRow,
};
use crate::words::{moment, number};

/// What every point is judged with.
pub(crate) struct PointContext<'a> {
    pub job: &'a Job,
    pub days: &'a [Day],
    pub from: DateTime<Utc>,
    pub clock: DateTime<Utc>,
    /// All readings of all points.
    pub readings: &'a BTreeMap<&'a str, Vec<PointReading>>,
    /// The affected air of a chamber at an instant.
    pub air_at: &'a dyn Fn(&str, DateTime<Utc>) -> Option<AirAt>,
}

/// The evidence of one point.
pub(crate) fn evidence(point: &Point, context: &PointContext<'_>) -> PointEvidence {
    let job = context.job;
    let readings = context.readings.get(point.id.as_str()).map_or(&[][..], Vec::as_slice);
    let scale = goal::scale(job, point);
    let standard = dry_standard::of_point(point, scale, context.readings);
    let goal = if point.role == PointRole::Drying { goal::of_point(job, point, standard.as_ref()) } else { None };
    let meter = series_meter(scale, goal.as_ref(), standard.as_ref().map(|s| &s.basis), readings);
    let ended_at = point.ended.as_ref().map(|ended| ended.at).filter(|at| *at <= context.clock);
    let mut asides = asides(readings, scale, &meter, ended_at);
    if goal.is_none() {
        asides.iter_mut().filter(|aside| aside.is_none()).for_each(|aside| *aside = Some(Aside::NoGoal));
    }
    let deciding: Vec<&PointReading> =
        readings.iter().zip(&asides).filter(|(_, aside)| aside.is_none()).map(|(reading, _)| reading).collect();
    let with_accuracy = |list: &[&'_ PointReading]| -> Vec<f64> {
        list.iter().map(|reading| reading.accuracy(job).unwrap_or(0.0)).collect()
    };
    let judged: Vec<(&PointReading, f64)> = deciding.iter().copied().zip(with_accuracy(&deciding)).collect();
    let standard_at =
        goal.as_ref().filter(|goal| goal.basis == GoalBasis::CommonPractice).and(standard.as_ref()).and_then(
            |standard| match &standard.basis {
                DryStandardBasis::ReferencePoints { at, .. } => Some(*at),
                DryStandardBasis::Stated { .. } => None,
            },
        );
    let states = states(&StateInput {
        readings: &judged,
        goal: goal.as_ref().map_or(f64::NEG_INFINITY, |goal| goal.value),
        drawn_at: standard_at,
        confirm: job.confirm_readings.max(1),
        from: context.from,
        to: context.clock,
        ended_at,
    });
    let state = states.last;
    let verdict = match state {
        _ if goal.is_none() => GoalVerdict::NotShown,
        PointState::Closed => GoalVerdict::Met,
        PointState::Open => GoalVerdict::NotMet,
        PointState::Unread | PointState::Ended => GoalVerdict::NotShown,
    };
    let met_on = states.met_by.filter(|_| verdict == GoalVerdict::Met).map(|index| deciding[index]);
    // A goal drawn from reference points is not met before these were read.
    let met_at = met_on.map(|reading| standard_at.map_or(reading.time, |at| at.max(reading.time)));
    let last = deciding.last().copied();
    let why = why(point, context, goal.as_ref(), state, met_at, last, &asides, ended_at);
    // Readings that stand aside only because there is no goal still make a series and a rate.
    let series: Vec<&PointReading> = readings
        .iter()
        .zip(&asides)
        .filter(|(_, aside)| matches!(aside, None | Some(Aside::NoGoal)))
        .map(|(reading, _)| reading)
        .collect();
    let highest = highest(&series);
    let lies = job.chambers_of(point);
    let list = readings
        .iter()
        .zip(&asides)
        .map(|(reading, aside)| reading_evidence(reading, aside.as_ref(), goal.as_ref(), point, &lies, context))
        .collect();
    PointEvidence {
        id: point.id.clone(),
        chamber: job.chamber_at(point, context.clock),
        chambers: chambers(job, point, context.clock),
        location: point.location.clone(),
        depth: point.depth.clone(),
        material: point.material.clone(),
        reference: point.role == PointRole::Reference,
        scale: scale.word().to_owned(),
        unit: scale.unit().to_owned(),
        verdict,
        why,
        met_at,
        met_row: met_on.map(|reading| SourceRow::from(&reading.row)),
        distance_to_goal: last.and_then(PointReading::measured).zip(goal.as_ref()).map(|(v, goal)| v - goal.value),
        highest: highest.map(|(value, _)| value),
        highest_is_bound: highest.is_some_and(|(_, bound)| bound),
        last: series.last().and_then(|reading| reading.measured()),
        last_at: series.last().map(|reading| reading.time),
        spans: states.spans,
        readings: list,
        reopened_at: states.reopened_at,
        rates: rate::daily(&series, &with_accuracy(&series), context.days),
        logged: point.logger.is_some(),
        forecast: None,
        ended: point
            .ended
            .as_ref()
            .filter(|ended| ended.at <= context.clock)
            .map(|ended| EndedEvidence { at: ended.at, reason: ended.reason.clone() }),
        dry_standard: standard,
        goal,
    }
}

/// Where it lay up to the clock.
fn chambers(job: &Job, point: &Point, clock: DateTime<Utc>) -> Vec<ChamberSpan> {
    job.chambers_of(point)
        .into_iter()
        .filter(|one| one.span.from.is_none_or(|from| from <= clock))
        .map(|one| ChamberSpan { chamber: one.chamber, from: one.span.from, to: one.span.to.filter(|to| *to <= clock) })
        .collect()
}

/// The highest number of a series and whether it is a lower bound; over range without a number only marks it as one.
fn highest(series: &[&PointReading]) -> Option<(f64, bool)> {
    let over_range = series.iter().any(|reading| reading.value == ReadingValue::OverRange);
    let highest = series
        .iter()
        .filter_map(|reading| match reading.value {
            ReadingValue::Measured(value) => Some((value, false)),
            ReadingValue::Above(value) => Some((value, true)),
            _ => None,
        })
        .reduce(|best, next| if (next.0, next.1) > (best.0, best.1) { next } else { best })?;
    Some((highest.0, highest.1 || over_range))
}

/// Share of the initial excess over the goal that is gone at the end of each day, `None` before it can be said.
pub(crate) fn excess_gone(point: &PointEvidence, days: &[Day]) -> Vec<(NaiveDate, Option<f64>)> {
    let values: Vec<(DateTime<Utc>, f64)> = point
        .readings
        .iter()
        .filter(|reading| reading.decides)
        .filter_map(|reading| match reading.kind {
            ReadingKind::Measured { value } => Some((reading.time, value)),
            // A lower bound starts the count with its number; while it is the last word nothing is known to be gone.
            ReadingKind::Above { value } => Some((reading.time, value)),
            _ => None,
        })
        .collect();
    let goal = point.goal.as_ref().map(|goal| goal.value);
    days.iter()
        .map(|day| {
            let share = (|| {
                let goal = goal?;
                let first = values.first().filter(|first| first.1 > goal)?.1;
                let now = values.iter().rev().find(|(time, _)| *time < day.to)?.1;
                // Past the goal all the excess is gone; above the start none is.
                Some(((first - now) / (first - goal)).clamp(0.0, 1.0))
            })();
            (day.date, share)
        })
        .collect()
}

/// Relative readings and goals drawn from reference points are tied to one meter: that of the dry standard, else the first
/// that read the point.
fn series_meter(
    scale: Scale,
    goal: Option<&GoalEvidence>,
    standard: Option<&DryStandardBasis>,
    readings: &[PointReading],
) -> SeriesMeter {
    let from_standard = goal.is_some_and(|goal| goal.basis == GoalBasis::CommonPractice);
    match standard {
        Some(DryStandardBasis::ReferencePoints { meter, .. }) if from_standard => SeriesMeter::Only(meter.clone()),
        _ if scale == Scale::Relative => {
            first_meter(readings, scale).map_or(SeriesMeter::Any, |meter| SeriesMeter::Only(meter.clone()))
        }
        _ => SeriesMeter::Any,
    }
}

#[allow(clippy::too_many_arguments)]
fn why(
    point: &Point,
    context: &PointContext<'_>,
    goal: Option<&GoalEvidence>,
    state: PointState,
    met_at: Option<DateTime<Utc>>,
    last: Option<&PointReading>,
    asides: &[Option<Aside>],
    ended_at: Option<DateTime<Utc>>,
) -> String {
    let zone = context.job.zone;
    let words = zone.words;
    if point.role == PointRole::Reference {
        return say!(words, "point_why.reference_point_in_unaffected_material").to_owned();
    }
    if let (Some(at), Some(ended)) = (ended_at, &point.ended) {
        return say!(words, "point_why.left_the_record_on_not", at = moment(at, zone), reason = ended.reason);
    }
    let Some(goal) = goal else {
        return say!(words, "point_why.so_the_record_cannot_tell", job = goal::why_none(context.job, point).0);
    };
    let Some(last) = last else {
        return match asides.iter().flatten().find(|aside| **aside != Aside::NoReading) {
            Some(aside) => say!(words, "point_why.its_readings_are_so_the", aside = aside.said(words)),
            None => say!(words, "point_why.no_reading_on_the_goal").to_owned(),
        };
    };
    let unit = last.scale.unit();
    let read = match &last.value {
        ReadingValue::Measured(value) => say!(words, "point_why.value", value = number(words, *value, 2), unit = unit),
        ReadingValue::Above(value) => say!(words, "point_why.more_than", value = number(words, *value, 2), unit = unit),
        _ => say!(words, "point_why.over_the_meter_s_range").to_owned(),
    };
    let against = say!(words, "point_why.against", value = number(words, goal.value, 2), unit = unit);
    match (state, met_at) {
        (PointState::Closed, Some(met)) => {
            say!(
                words,
                "point_why.met_on_last_reading_on",
                met = moment(met, zone),
                read = read,
                last = moment(last.time, zone),
                against = against
            )
        }
        _ if last.measured().is_some_and(|value| value <= goal.value) => say!(
            words,
            "point_why.on_readings_in_a_row",
            read = read,
            last = moment(last.time, zone),
            against = against,
            confirm_readings = context.job.confirm_readings
        ),
        _ => say!(words, "point_why.on", read = read, last = moment(last.time, zone), against = against),
    }
}

fn reading_evidence(
    reading: &PointReading,
    aside: Option<&Aside>,
    goal: Option<&GoalEvidence>,
    point: &Point,
    lies: &[InChamber],
    context: &PointContext<'_>,
) -> ReadingEvidence {
    let distance = match (aside, reading.measured(), goal) {
        (None, Some(value), Some(goal)) => Some(value - goal.value),
        _ => None,
    };
    let meets = match aside {
        None => Some(distance.is_some_and(|distance| distance <= 1e-9)),
        Some(_) => None,
    };
    let chamber = lies.iter().find(|one| one.span.contains(reading.time));
    let air = chamber.and_then(|one| (context.air_at)(&one.chamber, reading.time));
    let drive = air.filter(|_| point.role == PointRole::Drying).and_then(|air| drive::at_reading(reading, &air));
    ReadingEvidence {
        time: reading.time,
        kind: match &reading.value {
            ReadingValue::Measured(value) => ReadingKind::Measured { value: *value },
            ReadingValue::Above(value) => ReadingKind::Above { value: *value },
            ReadingValue::OverRange => ReadingKind::OverRange,
            ReadingValue::NoReading(reason) => ReadingKind::NoReading { reason: reason.clone() },
        },
        scale: reading.scale.word().to_owned(),
        unit: reading.scale.unit().to_owned(),
        meter: reading.meter.clone(),
        accuracy: reading.accuracy(context.job),
        correction: match &reading.correction {
            Correction::Done { evidence, .. } => Some(evidence.clone()),
            Correction::None | Correction::Impossible => None,
        },
        decides: aside.is_none(),
        why_not: aside.map(|aside| aside.said(context.job.zone.words).to_owned()),
        distance_to_goal: distance,
        meets,
        drive,
        by: reading.by.clone(),
        note: reading.note.clone(),
        row: SourceRow::from(&reading.row),
    }
}
