//! Temperature with dew point and surface temperature, and relative humidity, of a chamber's air.

use grainfall_analysis::evidence::{AirGoalOf, AirTrack, ChamberEvidence, TrackPlace};

use super::labels::Legend;
use super::panel::{Ticks, ValueScale};
use super::scene::{About, Quantity, Scene, course};
use super::stack::{Level, Line, Plot, Stack};
use super::{Chart, ChartKind, ChartScope};
use crate::error::Error;
use crate::theme::{self, Dash, Mark, Pen};
use crate::words::say;

/// One chart a chamber, and one of the air that belongs to none.
pub(super) fn draw(scene: &Scene<'_>) -> Result<Vec<Chart>, Error> {
    let mut charts = Vec::new();
    for chamber in &scene.evidence.chambers {
        charts.extend(chart(scene, Some(chamber), &scene.tracks_of(&chamber.id))?);
    }
    charts.extend(chart(scene, None, &scene.tracks_of_no_chamber())?);
    Ok(charts)
}

fn chart(scene: &Scene<'_>, chamber: Option<&ChamberEvidence>, tracks: &[&AirTrack]) -> Result<Option<Chart>, Error> {
    // The others have no line here.
    let drawn = |place| !matches!(place, TrackPlace::Inlet | TrackPlace::Outlet | TrackPlace::Material);
    let tracks: Vec<&AirTrack> = tracks.iter().copied().filter(|track| drawn(track.place)).collect();
    let tracks = tracks.as_slice();
    let own = scene.pens(tracks);
    let has_dew_point = |track: &AirTrack| track.place == TrackPlace::Affected;
    let dew_points = tracks.iter().zip(&own).filter(|(track, _)| has_dew_point(track));
    let dew_points = dew_points.map(|(_, pen)| Pen { dash: Dash::Dots, width: 1.5, mark: Mark::DownTriangle, ..*pen });
    let all: Vec<Pen> = own.iter().copied().chain(dew_points).collect();
    let mut pens = theme::distinct(&all);
    let mut dew_pens = pens.split_off(own.len()).into_iter();
    let (mut temps, mut humidities) = (Vec::new(), Vec::new());
    for (track, pen) in tracks.iter().zip(pens) {
        let name = scene.track_name(track, chamber);
        let mut add = |quantity: Quantity, name: String, pen: Pen| {
            let line = scene.line(&scene.time, track, quantity, name, pen);
            match quantity {
                Quantity::Humidity => humidities.extend(line),
                _ => temps.extend(line),
            }
        };
        match track.place {
            TrackPlace::Affected | TrackPlace::Unplaced => {
                if has_dew_point(track)
                    && let Some(dew_pen) = dew_pens.next()
                {
                    add(Quantity::DewPoint, say!(scene.words, "chart_temperature.dew_point", name = name), dew_pen);
                }
                add(Quantity::AirTemp, name.clone(), pen);
                add(Quantity::Humidity, name, pen);
            }
            TrackPlace::Unaffected => {
                add(Quantity::AirTemp, name.clone(), pen);
                add(Quantity::Humidity, name, pen);
            }
            TrackPlace::Outdoor | TrackPlace::Hvac => add(Quantity::Humidity, name, pen),
            TrackPlace::Surface => add(Quantity::SurfaceTemp, name, pen),
            TrackPlace::Inlet | TrackPlace::Outlet | TrackPlace::Material => {}
        }
    }
    let unit = scene.units.temp_unit();
    let plot = |lines: Vec<Line>, levels: Vec<Level>, axis_title: String, unit: &'static str, (least_span, height)| {
        if lines.is_empty() {
            return None;
        }
        let values = lines.iter().flat_map(Line::values).chain(levels.iter().map(|level| level.value));
        let value = ValueScale::holding(values, least_span, 5)?;
        Some(Plot { axis_title, reads: (unit, 1), lines, levels, value, height, hatched: vec![], marks: vec![] })
    };
    let levels = |quantity: AirGoalOf, name: &str, unit: &str, shown_value: &dyn Fn(f64) -> f64| {
        chamber.map_or_else(Vec::new, |chamber| {
            Scene::air_goal_levels(scene.words, chamber, quantity, name, unit, shown_value)
        })
    };
    let humidity_goals = levels(AirGoalOf::Rh, say!(scene.words, "chart_temperature.goal"), "%", &|rh_pct| rh_pct);
    let dew_goals =
        levels(AirGoalOf::DewPoint, say!(scene.words, "chart_temperature.dew_point_goal"), unit, &|temp_c| {
            scene.units.temp(temp_c)
        });
    let plots: Vec<Plot> = [
        plot(
            temps,
            dew_goals,
            say!(scene.words, "chart_temperature.temperature", unit = unit),
            unit,
            (scene.units.temp_difference(5.0), 150.0),
        ),
        plot(
            humidities,
            humidity_goals,
            say!(scene.words, "chart_temperature.relative_humidity").to_owned(),
            "%",
            (10.0, 130.0),
        ),
    ]
    .into_iter()
    .flatten()
    .collect();
    if plots.is_empty() {
        return Ok(None);
    }
    let title = match chamber {
        Some(chamber) => say!(scene.words, "chart_temperature.temperature_and_humidity", name = chamber.name),
        None => say!(scene.words, "chart_temperature.temperature_and_humidity_loggers_outside_any").to_owned(),
    };
    let findings = scene.air_findings(tracks, chamber.map(|chamber| chamber.id.as_str()));
    let stack = Stack {
        words: scene.words,
        title: title.clone(),
        time: &scene.time,
        plots,
        strips: vec![],
        findings,
        legend: Legend::new(vec![]),
        ticks: Ticks::Days,
    };
    let id = chamber.map_or_else(
        || "temperature-humidity-no-chamber".to_owned(),
        |chamber| format!("temperature-humidity-{}", scene.slug(&chamber.id)),
    );
    let sheet = stack.draw(&id)?;
    let words = About {
        title,
        alt: alt(scene, chamber, tracks),
        caption: say!(scene.words, "chart_temperature.each_line_is_one_logger_and").to_owned(),
    };
    let scope = chamber.map_or(ChartScope::Job, |chamber| ChartScope::Chamber(chamber.id.clone()));
    Ok(Some(scene.chart(sheet, id, words, scope, ChartKind::TemperatureHumidity)))
}

fn alt(scene: &Scene<'_>, chamber: Option<&ChamberEvidence>, tracks: &[&AirTrack]) -> String {
    let wanted = if chamber.is_some() { TrackPlace::Affected } else { TrackPlace::Unplaced };
    let track = tracks.iter().find(|track| track.place == wanted).or(tracks.first());
    let Some(track) = track else {
        return say!(scene.words, "chart_temperature.temperature_and_relative_humidity_over_time").to_owned();
    };
    let days: Vec<_> = scene
        .evidence
        .daily_air
        .iter()
        .filter(|day| day.logger == track.logger)
        .filter_map(|day| Some((day.date, day.air_temp_c?.mean, day.rh_pct?.mean)))
        .collect();
    let (Some(first), Some(last)) = (days.first(), days.last()) else {
        return say!(
            scene.words,
            "chart_temperature.temperature_and_relative_humidity_over_time_2",
            label = track.label
        );
    };
    let temp = course(
        scene.words,
        scene.units.temp(first.1),
        scene.units.temp(last.1),
        scene.units.temp_difference(0.5),
        scene.decimals_of(Quantity::AirTemp),
    );
    let humidity = course(scene.words, first.2, last.2, 2.0, 0);
    say!(
        scene.words,
        "chart_temperature.daily_means_of_to_temperature_relative",
        label = track.label,
        first = scene.time.short_day(first.0),
        last = scene.time.short_day(last.0),
        temp = temp,
        temp_unit = scene.units.temp_unit(),
        humidity = humidity
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::sample;
    use crate::units_shown::UnitSystem;
    use grainfall_analysis::evidence::AirGoalEvidence;

    #[test]
    fn goals_on_humidity_and_dew_point_have_their_levels() {
        let mut analysis = sample();
        let goal = analysis.evidence.chambers[0].air_goals[0].clone();
        for (quantity, limit) in [(AirGoalOf::Rh, 45.0), (AirGoalOf::DewPoint, 10.0)] {
            analysis.evidence.chambers[0].air_goals.push(AirGoalEvidence { quantity, limit, ..goal.clone() });
        }
        let scene = Scene::new(&analysis, UnitSystem::Si).expect("a zone").expect("a length");
        let svg = draw(&scene).expect("drawn").remove(0).svg;
        assert!(svg.contains(">goal at most 45 %<") && svg.contains(">dew point goal at most 10 °C<"));
        assert!(!svg.contains("GPP"));
    }

    #[test]
    fn surface_and_dew_point_are_named_with_their_units() {
        let analysis = sample();
        for (units, unit) in [(UnitSystem::Us, "°F"), (UnitSystem::Si, "°C")] {
            let scene = Scene::new(&analysis, units).expect("a zone").expect("a length");
            let charts = draw(&scene).expect("drawn");
            assert_eq!(charts[0].id, "temperature-humidity-A");
            for wanted in [">surface<", ">affected, dew point<", &format!(">temperature ({unit})</text>")] {
                assert!(charts[0].svg.contains(wanted), "{wanted}");
            }
            assert!(charts[0].alt.contains(unit), "{}", charts[0].alt);
        }
    }
}
