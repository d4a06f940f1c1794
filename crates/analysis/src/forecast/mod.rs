//! Time to goal of open points: a falling-rate curve towards the equilibrium, as an 80 % range over a range of
//! equilibrium, the error of the fit and a stated spread about a single curve.
//!
//! Reading order: `equilibrium` (where the material settles), `fit` (the curve), this file (the range and its words).

pub(crate) mod equilibrium;
mod fit;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::Job;
use grainfall_words::{Words, say};

use crate::evidence::{
    AirTrack, Equilibrium, EquilibriumBasis, Forecast, GoalVerdict, Outlook, PointEvidence, ReadingEvidence, SourceRow,
};
use crate::series::running_stretch;
use crate::thresholds::{
    FORECAST_FARTHEST_DAYS, FORECAST_LAST_READINGS, FORECAST_LOGGED_READINGS, FORECAST_LOGGED_SPAN,
    FORECAST_MODEL_SPREAD, FORECAST_READINGS, FORECAST_WIDE_SPREAD, READING_ERROR,
};
use crate::words::{hours, moment, number, range as number_range};

/// The forecast of one point; `None` unless it is an open drying point with a number to start from.
pub(crate) fn of_point(
    job: &Job,
    point: &PointEvidence,
    tracks: &[AirTrack],
    clock: DateTime<Utc>,
) -> Option<Forecast> {
    if point.reference || point.ended.is_some() || point.verdict != GoalVerdict::NotMet {
        return None;
    }
    let goal = point.goal.as_ref()?.value;
    let stretch = running_stretch(&point.readings);
    let used = chosen(&stretch, point.logged);
    let (last, _) = *used.last()?;
    let equilibrium = equilibrium::of_point(point, tracks, clock);
    let start = used[0].0.time;
    let values: Vec<(f64, f64)> =
        used.iter().map(|(reading, value)| (hours(reading.time - start) / 24.0, *value)).collect();
    let stated = last.stated_accuracy();
    // Limits taken as rectangular (JCGM 100:2008, 4.3.7).
    let error = if stated > 0.0 { stated / 3.0_f64.sqrt() } else { READING_ERROR };
    let (outlook, range, time_constant_days) = outlook(&values, goal, equilibrium.as_ref(), error);
    let after = |days: f64| last.time + TimeDelta::seconds(whole_seconds(days));
    let dated = outlook == Outlook::Range;
    let forecast = Forecast {
        outlook,
        text: String::new(),
        from: last.time,
        readings: u32::try_from(used.len()).unwrap_or(u32::MAX),
        equilibrium,
        days_low: range.map(|range| range.0),
        days_high: range.and_then(|range| range.1),
        earliest: range.filter(|_| dated).map(|range| after(range.0)),
        latest: range.filter(|_| dated).and_then(|range| range.1).map(after),
        time_constant_days,
        rows: used.iter().map(|(reading, _)| reading.row.clone()).collect::<Vec<SourceRow>>(),
    };
    Some(Forecast { text: text(&forecast, point, goal, job), ..forecast })
}

fn whole_seconds(days: f64) -> i64 {
    // Bounded by `FORECAST_FARTHEST_DAYS`.
    #[allow(clippy::cast_possible_truncation)]
    let seconds = (days * 86_400.0).round() as i64;
    seconds
}

/// The readings a curve is fitted to: the last few by hand, or the last days of a logged point, thinned.
fn chosen<'a>(stretch: &[(&'a ReadingEvidence, f64)], logged: bool) -> Vec<(&'a ReadingEvidence, f64)> {
    if !logged {
        return stretch[stretch.len().saturating_sub(FORECAST_LAST_READINGS)..].to_vec();
    }
    let Some(last) = stretch.last() else { return Vec::new() };
    let recent: Vec<_> =
        stretch.iter().filter(|(reading, _)| last.0.time - reading.time <= FORECAST_LOGGED_SPAN).copied().collect();
    let n = recent.len();
    if n <= FORECAST_LOGGED_READINGS {
        return recent;
    }
    (0..FORECAST_LOGGED_READINGS).map(|k| recent[k * (n - 1) / (FORECAST_LOGGED_READINGS - 1)]).collect()
}

/// Days from the last reading: lower and upper end, the latter `None` when too many outcomes never get there.
type Days = (f64, Option<f64>);

/// What readings (days, value) say, the 80 % range in days from the last of them, and the time constant in the middle.
fn outlook(
    values: &[(f64, f64)],
    goal: f64,
    equilibrium: Option<&Equilibrium>,
    reading_error: f64,
) -> (Outlook, Option<Days>, Option<f64>) {
    let Some(equilibrium) = equilibrium else { return (Outlook::NotShown, None, None) };
    if goal <= equilibrium.middle {
        return (Outlook::CannotBeReached, None, None);
    }
    if values.len() < 2 {
        return (Outlook::NotShown, None, None);
    }
    let middle = fit::fit(values, equilibrium.middle);
    let (Some(first), Some(last)) = (values.first(), values.last()) else { return (Outlook::NotShown, None, None) };
    if last.1 >= first.1 {
        return (Outlook::NotDrying, None, None);
    }
    let few = values.len() < FORECAST_READINGS;
    let spread = if few { FORECAST_WIDE_SPREAD } else { FORECAST_MODEL_SPREAD };
    let Some(range) = range(values, goal, equilibrium, reading_error, spread) else {
        return (Outlook::NotDrying, None, None);
    };
    let outlook = if few { Outlook::WideRange } else { Outlook::Range };
    (outlook, Some(range), middle.map(|fit| fit.tau))
}

/// Nodes over which the equilibrium is spread evenly.
const EQUILIBRIUM_NODES: usize = 9;

/// Quantiles at which the errors are taken, with those of the normal distribution: midpoints of ten equal parts.
const NODES: [(f64, f64); 10] = [
    (0.05, -1.644_853_627),
    (0.15, -1.036_433_389),
    (0.25, -0.674_489_750),
    (0.35, -0.385_320_466),
    (0.45, -0.125_661_347),
    (0.55, 0.125_661_347),
    (0.65, 0.385_320_466),
    (0.75, 0.674_489_750),
    (0.85, 1.036_433_389),
    (0.95, 1.644_853_627),
];

/// The 80 % range over equilibrium, fit error and spread about the curve; `None` when no equilibrium lets a curve fit.
fn range(values: &[(f64, f64)], goal: f64, equilibrium: &Equilibrium, reading_error: f64, spread: f64) -> Option<Days> {
    let last = values.last()?.0;
    let mut outcomes: Vec<f64> = Vec::new();
    let mut fitted = false;
    for node in 0..EQUILIBRIUM_NODES {
        #[allow(clippy::cast_precision_loss)]
        let part = (node as f64 + 0.5) / EQUILIBRIUM_NODES as f64;
        let settles_at = equilibrium.low + (equilibrium.high - equilibrium.low) * part;
        let fit = fit::fit(values, settles_at);
        fitted |= fit.is_some();
        let curve = fit.and_then(|fit| {
            // A fit through few readings may look better than the readings are.
            let error = fit.residual.unwrap_or(0.0).max(reading_error);
            Some((fit, fit.time_to(goal)?, fit.time_error(goal, error)?))
        });
        let Some((fit, time, time_error)) = curve else {
            outcomes.extend(std::iter::repeat_n(f64::INFINITY, NODES.len() * NODES.len()));
            continue;
        };
        let from_residual = fit.residual.is_some_and(|residual| residual > reading_error);
        let freedom = if from_residual { u32::try_from(values.len() - 2).unwrap_or(u32::MAX) } else { 0 };
        for (p, z) in NODES {
            // The fitted line may say that the goal was met already; the last reading says that it was not.
            let left = (time + fit::student_t(z, p, freedom) * time_error - last).max(0.0);
            outcomes.extend(NODES.iter().map(|(_, z)| left * (spread * z).exp()));
        }
    }
    if !fitted {
        return None;
    }
    outcomes.sort_by(f64::total_cmp);
    let low = outcomes[outcomes.len() / 10];
    let high = outcomes[outcomes.len() * 9 / 10];
    (low <= FORECAST_FARTHEST_DAYS).then(|| (low, Some(high).filter(|high| *high <= FORECAST_FARTHEST_DAYS)))
}

fn text(forecast: &Forecast, point: &PointEvidence, goal: f64, job: &Job) -> String {
    let zone = job.zone;
    let words = zone.words;
    let unit = &point.unit;
    let settles = forecast.equilibrium.as_ref().map_or_else(String::new, |range| settles(words, range, unit));
    match (forecast.outlook, forecast.days_low) {
        (Outlook::CannotBeReached, _) => {
            say!(words, "forecast.cannot_be_reached_in_this", goal = quantity(words, goal, unit), settles = settles)
        }
        (Outlook::NotDrying, _) => {
            say!(
                words,
                "forecast.its_last_readings_do_not",
                readings = forecast.readings,
                goal = quantity(words, goal, unit)
            )
        }
        (Outlook::Range | Outlook::WideRange, Some(low)) => {
            let range = match (forecast.outlook, forecast.earliest, forecast.latest, forecast.days_high) {
                (Outlook::Range, Some(earliest), Some(latest), _) => {
                    say!(
                        words,
                        "forecast.between_and",
                        earliest = moment(earliest, zone),
                        latest = moment(latest, zone)
                    )
                }
                (Outlook::Range, Some(earliest), None, _) => {
                    say!(words, "forecast.not_before_with_no_upper", earliest = moment(earliest, zone))
                }
                (_, _, _, Some(high)) => {
                    say!(words, "forecast.in_to_days", days = number_range(words, low, high, 1))
                }
                _ => say!(words, "forecast.in_days_or_more_with", low = number(words, low, 1)),
            };
            say!(
                words,
                "forecast.80_range_from_readings_up",
                goal = quantity(words, goal, unit),
                range = range,
                readings = forecast.readings,
                from = moment(forecast.from, zone),
                settles = settles
            )
        }
        _ if forecast.equilibrium.is_none() => say!(words, "forecast.no_forecast_neither_a_dry").to_owned(),
        _ => say!(words, "forecast.no_forecast_one_reading_shows").to_owned(),
    }
}

fn quantity(words: Words, value: f64, unit: &str) -> String {
    format!("{} {unit}", number(words, value, 1))
}

fn settles(words: Words, range: &Equilibrium, unit: &str) -> String {
    let ends = say!(words, "forecast.ends", range = number_range(words, range.low, range.high, 1), unit = unit);
    match (range.basis, range.air_temp_c, range.rh_pct) {
        (EquilibriumBasis::WoodInAir, Some(temp), Some(rh)) => say!(
            words,
            "forecast.by_the_wood_sorption_equation",
            ends = ends,
            temp_f = number(words, grainfall_psychrometrics::Celsius::new(temp).to_fahrenheit(), 1),
            temp = number(words, temp, 1),
            rh = number(words, rh, 1)
        ),
        _ => say!(words, "forecast.about_its_dry_standard", ends = ends),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn around(middle: f64, half: f64) -> Equilibrium {
        Equilibrium {
            low: middle - half,
            middle,
            high: middle + half,
            basis: EquilibriumBasis::WoodInAir,
            air_temp_c: Some(25.0),
            rh_pct: Some(40.0),
            sample_share: Some(1.0),
            rows: vec![],
        }
    }

    /// Readings of SciPy's check series; to 12 % it takes 1.12 to 3.01 days more at E = 7 to 11 (two decimals).
    const READINGS: [(f64, f64); 5] = [(0.0, 28.0), (1.0, 22.6), (2.0, 18.8), (3.0, 16.1), (4.0, 14.0)];

    #[test]
    fn the_range_spans_the_equilibria() {
        let (outlook, range, tau) = outlook(&READINGS, 12.0, Some(&around(9.0, 2.0)), 0.05);
        let (low, high) = range.unwrap();
        assert_eq!(outlook, Outlook::Range);
        assert!(low > 0.8 && low < 1.5, "{low}");
        assert!(high.unwrap() > 2.0 && high.unwrap() < 4.0, "{high:?}");
        assert!((tau.unwrap() - 2.95).abs() < 0.2);
    }

    #[test]
    fn fewer_readings_give_a_wider_range() {
        let equilibrium = around(9.0, 1.0);
        let width = |n: usize| {
            let values = &READINGS[5 - n..];
            let (outlook, range, _) = outlook(values, 12.0, Some(&equilibrium), 0.3);
            (outlook, range.map(|(low, high)| high.unwrap_or(f64::INFINITY) - low).unwrap())
        };
        let (wide, three) = width(3);
        let (dated, five) = width(5);
        assert_eq!((wide, dated), (Outlook::WideRange, Outlook::Range));
        assert!(three > five, "{three} {five}");
    }

    #[test]
    fn a_goal_at_or_below_the_equilibrium_cannot_be_reached() {
        let outlook = |goal| outlook(&READINGS, goal, Some(&around(9.25, 1.0)), 0.3).0;
        assert_eq!(outlook(9.25), Outlook::CannotBeReached);
        assert_eq!(outlook(8.0), Outlook::CannotBeReached);
        assert_eq!(outlook(12.0), Outlook::Range);
    }

    #[test]
    fn near_the_equilibrium_there_is_no_upper_end() {
        let (outlook, range, _) = outlook(&READINGS, 9.6, Some(&around(9.25, 1.0)), 0.3);
        assert_eq!(outlook, Outlook::Range);
        assert_eq!(range.unwrap().1, None, "a third of the equilibria lie above the goal");
    }

    #[test]
    fn rising_readings_have_no_range() {
        let rising = [(0.0, 20.0), (1.0, 20.5), (2.0, 21.0), (3.0, 20.9)];
        assert_eq!(outlook(&rising, 12.0, Some(&around(9.0, 1.0)), 0.3).0, Outlook::NotDrying);
    }

    #[test]
    fn one_reading_or_no_equilibrium_says_nothing() {
        assert_eq!(outlook(&READINGS[..1], 12.0, Some(&around(9.0, 1.0)), 0.3).0, Outlook::NotShown);
        assert_eq!(outlook(&READINGS, 12.0, None, 0.3).0, Outlook::NotShown);
    }
}
