//! The forecast of a point on its plot: from its last reading to where its goal may be met, as a range.

use chrono::{DateTime, Utc};
use grainfall_analysis::evidence::{Forecast, Outlook, PointEvidence};

use super::panel::Panel;
use super::scene::Scene;
use super::series::Sample;
use super::sheet::{Sheet, Spot, spot};
use super::time_axis::TimeScale;
use crate::error::Error;
use crate::number_format::trimmed;
use crate::theme::{self, Dash, Pen};
use crate::words::say;

/// An axis goes on after the record for at most this share of the record's own length.
const MOST_AFTER: f64 = 0.6;

/// And for no less than this where a forecast asks for it.
const LEAST_AFTER_S: f64 = 3.0 * 86_400.0;

/// A forecast with dates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Range {
    /// The last reading.
    from: DateTime<Utc>,
    last: f64,
    goal: f64,
    earliest: DateTime<Utc>,
    /// `None` where more than a tenth of the outcomes never meet the goal.
    latest: Option<DateTime<Utc>>,
}

impl Range {
    /// `None` for a point without a dated forecast.
    pub(super) fn of(point: &PointEvidence) -> Option<Self> {
        let forecast = point.forecast.as_ref().filter(|forecast| forecast.outlook == Outlook::Range)?;
        let (last, goal) = (point.last?, point.goal.as_ref()?.value);
        let earliest = forecast.earliest.filter(|earliest| *earliest >= forecast.from && last > goal)?;
        Some(Self { from: forecast.from, last, goal, earliest, latest: forecast.latest })
    }

    /// The range as a wedge that ends on the goal; open to the right where there is no latest time.
    pub(super) fn draw(&self, sheet: &mut Sheet, panel: &Panel<'_>) -> Result<(), Error> {
        let end = panel.time.length();
        let at = |time: DateTime<Utc>| panel.time.seconds(time);
        let start = (at(self.from), self.last);
        let early = cut(start, (at(self.earliest), self.goal), end);
        let late = self.latest.map_or((end, self.last), |latest| cut(start, (at(latest), self.goal), end));
        let mut shape = vec![start, early];
        if early.0 < end && late.0 >= end {
            shape.push((end, self.goal));
        }
        shape.push(late);
        let place = |samples: &[Sample]| -> Vec<Spot> { samples.iter().map(|sample| panel.at(*sample)).collect() };
        sheet.areas("forecast", theme::BLUE, 0.16, &[place(&shape)])?;
        let edge = Pen::solid(theme::BLUE, 1.0).dashed(Dash::Short);
        let mut edges = vec![place(&[start, early])];
        if self.latest.is_some() {
            edges.push(place(&[start, late]));
        }
        sheet.lines("forecast", &edge, &edges)?;
        let within = (at(self.earliest), self.latest.map_or(end, at).min(end));
        if within.0 >= end {
            return Ok(());
        }
        let (left, right) = (panel.at((within.0, self.goal)), panel.at((within.1, self.goal)));
        let tick = |(x, y): Spot| vec![(x, y - 40), (x, y + 40)];
        let mut bar = vec![vec![left, right], tick(left)];
        if self.latest.is_some_and(|latest| at(latest) <= end) {
            bar.push(tick(right));
        }
        sheet.lines("forecast", &Pen::solid(theme::BLUE, 2.2), &bar)
    }
}

/// The axis of plots with forecasts: the record's own, and on after it as far as the forecasts need and there is room.
pub(super) fn axis<'a>(scene: &Scene<'_>, ranges: impl Iterator<Item = &'a Range>) -> TimeScale {
    let most = (scene.time.length() * MOST_AFTER).max(LEAST_AFTER_S);
    let wanted = ranges
        // Without a latest time as much room again as to the earliest.
        .map(|range| range.latest.unwrap_or(range.earliest + (range.earliest - range.from)))
        .map(|until| (scene.time.seconds(until) - scene.time.length()) * 1.08)
        .fold(0.0, f64::max);
    if wanted <= 0.0 {
        return scene.time.clone();
    }
    // Below a thousand years of seconds, so that nothing is cut off but the fraction.
    let after = chrono::Duration::seconds(wanted.min(most) as i64);
    scene.time.extended(scene.time.to + after)
}

/// Shades what lies after the record, with a line where the record ends; nothing on an axis that ends with it.
pub(super) fn shade_after_record(sheet: &mut Sheet, scene: &Scene<'_>, panel: &Panel<'_>) -> Result<(), Error> {
    if panel.time.to <= scene.time.to {
        return Ok(());
    }
    sheet.boxes("after", theme::SHADE, &panel.columns(&[(scene.time.to, panel.time.to)]))?;
    let x = panel.x(scene.time.to);
    let end = vec![spot(x, panel.frame.top), spot(x, panel.frame.bottom())];
    sheet.lines("after", &Pen::solid(theme::AXIS, 1.0), &[end])
}

/// A forecast in a few words: `forecast 14 Oct to 17 Oct`.
pub(super) fn words(scene: &Scene<'_>, forecast: &Forecast) -> String {
    let day = |at: DateTime<Utc>| scene.time.short_day_of(at);
    match (forecast.outlook, forecast.earliest, forecast.latest) {
        (Outlook::Range, Some(earliest), Some(latest)) if day(earliest) == day(latest) => {
            say!(scene.words, "chart_forecast.forecast", earliest = day(earliest))
        }
        (Outlook::Range, Some(earliest), Some(latest)) => {
            say!(scene.words, "chart_forecast.forecast_to", earliest = day(earliest), latest = day(latest))
        }
        (Outlook::Range, Some(earliest), None) => {
            say!(scene.words, "chart_forecast.forecast_or_later_or_never", earliest = day(earliest))
        }
        (Outlook::WideRange | Outlook::Range, ..) => match (forecast.days_low, forecast.days_high) {
            (Some(low), Some(high)) => {
                say!(
                    scene.words,
                    "chart_forecast.forecast_to_days_after_that",
                    low = trimmed(scene.words, low, 1),
                    high = trimmed(scene.words, high, 1)
                )
            }
            (Some(low), None) => {
                say!(scene.words, "chart_forecast.forecast_days_after_that_or_more", low = trimmed(scene.words, low, 1))
            }
            _ => say!(scene.words, "chart_forecast.no_forecast").to_owned(),
        },
        (Outlook::NotShown, ..) => say!(scene.words, "chart_forecast.no_forecast").to_owned(),
        (outlook @ (Outlook::CannotBeReached | Outlook::NotDrying), ..) => outlook.said(scene.words).to_owned(),
    }
}

/// The second of two samples, or where the line between them leaves the axis.
fn cut(from: Sample, to: Sample, end: f64) -> Sample {
    if to.0 <= end || to.0 <= from.0 {
        return to;
    }
    let share = (end - from.0) / (to.0 - from.0);
    (end, from.1 + share * (to.1 - from.1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::sample;
    use crate::units_shown::UnitSystem;

    #[test]
    fn the_axis_goes_on_to_the_latest_time_but_not_for_ever() {
        let mut analysis = sample();
        let clock = analysis.evidence.clock;
        let days = chrono::Duration::days;
        let at = analysis.evidence.points.iter().position(|point| point.id == "B1").expect("B1");
        let length_after = |analysis: &grainfall_analysis::evidence::Analysis| {
            let scene = Scene::new(analysis, UnitSystem::Us).expect("a zone").expect("a length");
            let ranges: Vec<Range> = analysis.evidence.points.get(at).and_then(Range::of).into_iter().collect();
            let axis = axis(&scene, ranges.iter());
            assert!(axis.days.windows(2).all(|pair| pair[0].2 == pair[1].1), "days join: {:?}", axis.days);
            assert!(axis.days.last().is_some_and(|day| day.2 >= axis.to), "the last day holds the end");
            (axis.to - clock).as_seconds_f64() / 86_400.0
        };
        for (latest, least, most) in [(Some(2), 2.0, 2.5), (Some(300), 4.0, 5.0)] {
            let forecast = analysis.evidence.points[at].forecast.as_mut().expect("a forecast");
            forecast.earliest = Some(clock + days(1));
            forecast.latest = latest.map(|latest| clock + days(latest));
            let after = length_after(&analysis);
            assert!((least..most).contains(&after), "{latest:?}: {after} days");
        }
        analysis.evidence.points[at].forecast = None;
        assert!(length_after(&analysis).abs() < 1e-9);
    }

    #[test]
    fn a_line_is_cut_where_the_axis_ends() {
        let (x, y) = cut((0.0, 20.0), (10.0, 10.0), 5.0);
        assert!((x - 5.0).abs() < 1e-12 && (y - 15.0).abs() < 1e-12, "{x} {y}");
        assert_eq!(cut((0.0, 20.0), (10.0, 10.0), 12.0), (10.0, 10.0));
    }
}
