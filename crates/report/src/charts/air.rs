//! Water in the air of a chamber, with the grain depression of its units below.

use grainfall_analysis::evidence::{
    AirGoalOf, AirTrack, ChamberEvidence, DepressionTrack, HandAir, RunState, TrackPlace, UnitAir,
};

use super::labels::{Legend, Sample as Shows};
use super::panel::{Ticks, ValueScale};
use super::scene::{About, Quantity, Scene, course};
use super::series;
use super::sheet::Fill;
use super::stack::{Level, Line, LooseMarks, Plot, Stack, Strip};
use super::time_axis::TimeScale;
use super::{Chart, ChartKind, ChartScope};
use crate::error::Error;
use crate::number_format::shown;
use crate::theme::{self, Dash, Mark, Pen};
use crate::units_shown::UnitSystem;
use crate::words::{Words, say};

/// More units than this are not hatched in the plot: it would not tell which one stood still.
const MOST_HATCHED_UNITS: usize = 2;

/// More bands than this cover one another.
const MOST_BANDS: usize = 2;

/// One chart a chamber, and one of the air that belongs to none.
pub(super) fn draw(scene: &Scene<'_>) -> Result<Vec<Chart>, Error> {
    let mut charts = Vec::new();
    for chamber in &scene.evidence.chambers {
        let tracks = scene.tracks_of(&chamber.id);
        let has_affected = tracks.iter().any(|track| track.place == TrackPlace::Affected);
        let tracks: Vec<&AirTrack> =
            tracks.into_iter().filter(|track| track.place != TrackPlace::Inlet || !has_affected).collect();
        charts.extend(chart(scene, Some(chamber), &tracks)?);
    }
    charts.extend(chart(scene, None, &scene.tracks_of_no_chamber())?);
    Ok(charts)
}

fn chart(scene: &Scene<'_>, chamber: Option<&ChamberEvidence>, tracks: &[&AirTrack]) -> Result<Option<Chart>, Error> {
    let units = scene.units;
    let lines = air_lines(scene, &scene.time, tracks, chamber);
    let by_hand: Vec<&HandAir> = scene
        .evidence
        .hand_air
        .iter()
        .filter(|hand| hand.place == TrackPlace::Affected && hand.chamber.as_deref() == chamber.map(|c| c.id.as_str()))
        .collect();
    let goals = chamber.map_or_else(Vec::new, |chamber| {
        Scene::air_goal_levels(
            scene.words,
            chamber,
            AirGoalOf::Gpp,
            say!(scene.words, "chart_air.goal"),
            units.humidity_ratio_unit(),
            |gpp| units.humidity_ratio(gpp),
        )
    });
    let hand_marks: Vec<_> = by_hand.iter().map(|hand| (hand.time, units.humidity_ratio(hand.gpp))).collect();
    if lines.is_empty() && hand_marks.is_empty() {
        return Ok(None);
    }
    let values = lines
        .iter()
        .flat_map(Line::values)
        .chain(goals.iter().map(|goal| goal.value))
        .chain(hand_marks.iter().map(|mark| mark.1));
    let Some(value) = ValueScale::holding(values, units.humidity_ratio(14.0), 6) else { return Ok(None) };

    let title = match chamber {
        Some(chamber) => say!(scene.words, "chart_air.water_in_the_air", name = chamber.name),
        None => say!(scene.words, "chart_air.water_in_the_air_loggers_outside").to_owned(),
    };
    let colour = theme::colour_of_chamber(chamber.and_then(|chamber| scene.chamber_index(&chamber.id)).unwrap_or(0));
    let hand_pen = Pen { mark: Mark::Circle, colour, ..theme::pen_of_place(TrackPlace::Affected, 0) };
    let mut legend = Vec::new();
    legend.extend(band_legend(scene.words, &lines));
    if !hand_marks.is_empty() {
        legend.push((
            Shows::Mark(hand_pen, Fill::Hollow),
            say!(scene.words, "chart_air.affected_air_read_by_hand").to_owned(),
        ));
    }
    let mut plots = vec![Plot {
        axis_title: air_axis_title(scene.words, units).to_owned(),
        reads: ratio_reads(units),
        lines,
        levels: goals,
        value,
        height: 200.0,
        hatched: Vec::new(),
        marks: vec![LooseMarks { pen: hand_pen, fill: Fill::Hollow, places: hand_marks }],
    }];
    let mut strips = Vec::new();
    if let Some(chamber) = chamber {
        let depressions: Vec<&DepressionTrack> =
            scene.analysis.depressions.iter().filter(|track| scene.unit_serves(&track.unit, &chamber.id)).collect();
        if let Some(plot) = depression_plot(scene, &scene.time, &depressions) {
            plots.push(plot);
            strips = run_strips(scene, &depressions);
            legend.extend(strip_legend(scene.words, &strips, &scene.time));
        }
    }
    let findings = scene.air_findings(tracks, chamber.map(|chamber| chamber.id.as_str()));
    let with_depression = plots.len() > 1;
    let stack = Stack {
        words: scene.words,
        title: title.clone(),
        time: &scene.time,
        plots,
        strips,
        findings,
        legend: Legend::new(legend),
        ticks: Ticks::Days,
    };
    let id = chamber.map_or_else(|| "air-no-chamber".to_owned(), |chamber| format!("air-{}", scene.slug(&chamber.id)));
    let sheet = stack.draw(&id)?;
    let words = About { title, alt: alt(scene, chamber, tracks), caption: caption(scene.words, with_depression) };
    let scope = chamber.map_or(ChartScope::Job, |chamber| ChartScope::Chamber(chamber.id.clone()));
    Ok(Some(scene.chart(sheet, id, words, scope, ChartKind::Air)))
}

/// Unit and decimals of a humidity ratio that is read off.
pub(super) fn ratio_reads(units: UnitSystem) -> (&'static str, usize) {
    (units.humidity_ratio_unit(), if units == UnitSystem::Us { 1 } else { 2 })
}

pub(super) fn air_axis_title(words: Words, units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Us => say!(words, "chart_air.grains_of_water_per_pound_of"),
        UnitSystem::Si => say!(words, "chart_air.grams_of_water_per_kilogram_of"),
    }
}

/// Grains per pound of each track; the affected air last, so that it lies on top. The first of it has its band.
pub(super) fn air_lines(
    scene: &Scene<'_>,
    time: &TimeScale,
    tracks: &[&AirTrack],
    chamber: Option<&ChamberEvidence>,
) -> Vec<Line> {
    let pens = scene.pens(tracks);
    let first_affected = tracks.iter().position(|track| track.place == TrackPlace::Affected);
    let mut lines: Vec<(bool, Line)> = tracks
        .iter()
        .enumerate()
        .zip(pens)
        .filter_map(|((index, track), pen)| {
            let name = scene.track_name(track, chamber);
            let mut line = scene.line(time, track, Quantity::Gpp, name, pen)?;
            if chamber.is_none() {
                line.label = scene.short_name(track);
            }
            let affected = track.place == TrackPlace::Affected;
            if first_affected == Some(index) && chamber.is_some() {
                line.band = Some(scene.gpp_band(time, track));
            }
            Some((affected, line))
        })
        .collect();
    lines.sort_by_key(|(affected, _)| *affected);
    lines.into_iter().map(|(_, line)| line).collect()
}

/// Grain depression of units, with bands where there is room; `None` if no unit has a sample.
pub(super) fn depression_plot(scene: &Scene<'_>, time: &TimeScale, tracks: &[&DepressionTrack]) -> Option<Plot> {
    let units = scene.units;
    let mut lines = Vec::new();
    for track in tracks {
        let column = |index: usize, sign: f64| {
            let value = track.depression_gpp.get(index).copied()??;
            let u = if sign == 0.0 { 0.0 } else { track.u_gpp.get(index).copied()?? };
            Some(units.humidity_ratio(value + sign * u))
        };
        let interval = outlet_interval(scene, &track.unit);
        let stretches = series::stretches(time, &track.time, interval, |index| column(index, 0.0));
        let Some(last) = stretches.last().and_then(|stretch| stretch.last()).map(|sample| sample.1) else { continue };
        let last_u = track
            .time
            .iter()
            .enumerate()
            .rev()
            .filter(|(_, at)| time.contains(**at))
            .find_map(|(index, _)| track.depression_gpp.get(index).copied()?.and(track.u_gpp.get(index).copied()?));
        let value = match last_u {
            Some(u) => format!("{} ± {}", shown(scene.words, last, 1), shown(scene.words, units.humidity_ratio(u), 1)),
            None => shown(scene.words, last, 1),
        };
        let edge = |sign: f64| series::stretches(time, &track.time, interval, |index| column(index, sign));
        let nth = scene.unit_number(&track.unit);
        let dash = if nth.is_multiple_of(2) { Dash::Solid } else { Dash::Long };
        let pen = theme::pen_of_unit(nth).dashed(dash);
        let band = (tracks.len() <= MOST_BANDS).then(|| (edge(-1.0), edge(1.0)));
        lines.push(Line {
            name: track.unit.clone(),
            label: track.unit.clone(),
            value,
            pen,
            stretches,
            bridges: Vec::new(),
            band,
            marks: Vec::new(),
        });
    }
    let values = lines.iter().flat_map(Line::values).chain([0.0]);
    let value = ValueScale::holding(values, units.humidity_ratio(14.0), 4)?;
    if lines.is_empty() {
        return None;
    }
    let pens: Vec<Pen> = lines.iter().map(|line| line.pen).collect();
    for (line, pen) in lines.iter_mut().zip(theme::distinct(&pens)) {
        line.pen = pen;
    }
    let hatched = if tracks.len() <= MOST_HATCHED_UNITS {
        tracks
            .iter()
            .filter_map(|track| unit_air(scene, &track.unit))
            .flat_map(|air| &air.runs)
            .filter(|run| matches!(run.state, RunState::Stopped | RunState::Paused))
            .filter(|run| time.clipped(run.from, run.to).is_some_and(|(from, to)| to > from))
            .map(|run| (run.from, run.to))
            .collect()
    } else {
        Vec::new()
    };
    Some(Plot {
        axis_title: say!(
            scene.words,
            "chart_air.grain_depression_inlet_minus_outlet",
            humidity_ratio_unit = units.humidity_ratio_unit()
        ),
        reads: ratio_reads(units),
        lines,
        levels: vec![Level { value: 0.0, words: String::new(), pen: Pen::solid(theme::AXIS, 1.0) }],
        value,
        height: 104.0,
        hatched,
        marks: Vec::new(),
    })
}

/// What the bands of a plot show, in the colour of the first; nothing where it has none.
pub(super) fn band_legend(words: Words, lines: &[Line]) -> Option<(Shows, String)> {
    let banded = lines.iter().find(|line| line.band.is_some())?;
    Some((Shows::Band(banded.pen.colour), say!(words, "chart_air.uncertainty_u_k_2").to_owned()))
}

/// When each unit ran, as thin rows.
pub(super) fn run_strips(scene: &Scene<'_>, tracks: &[&DepressionTrack]) -> Vec<Strip> {
    tracks
        .iter()
        .filter_map(|track| unit_air(scene, &track.unit))
        .map(|air| Strip {
            name: air.unit.clone(),
            spans: air.runs.iter().map(|run| (run.from, run.to, run.state)).collect(),
            marks: Vec::new(),
            mark: None,
        })
        .collect()
}

/// What the rows show on a time axis, and nothing else.
pub(super) fn strip_legend(words: Words, strips: &[Strip], time: &TimeScale) -> Vec<(Shows, String)> {
    let has = |state: RunState| {
        strips
            .iter()
            .flat_map(|strip| &strip.spans)
            .any(|(from, to, of)| *of == state && time.clipped(*from, *to).is_some_and(|(from, to)| to > from))
    };
    [
        (RunState::Running, Shows::ThinLine, say!(words, "chart_air.ran")),
        (RunState::Stopped, Shows::Hatched, say!(words, "chart_air.did_not_run")),
        (RunState::Paused, Shows::DashedBox, say!(words, "chart_air.recorded_pause")),
    ]
    .into_iter()
    .filter(|entry| has(entry.0))
    .map(|(_, shows, words)| (shows, words.to_owned()))
    .collect()
}

fn unit_air<'a>(scene: &Scene<'a>, unit: &str) -> Option<&'a UnitAir> {
    scene.evidence.unit_air.iter().find(|air| air.unit == unit)
}

fn outlet_interval(scene: &Scene<'_>, unit: &str) -> Option<u32> {
    let outlet = |track: &&AirTrack| track.place == TrackPlace::Outlet && track.unit.as_deref() == Some(unit);
    scene.analysis.tracks.iter().find(outlet).and_then(|track| track.interval_s)
}

fn alt(scene: &Scene<'_>, chamber: Option<&ChamberEvidence>, tracks: &[&AirTrack]) -> String {
    let name = chamber.map_or(say!(scene.words, "chart_air.the_job"), |chamber| chamber.name.as_str());
    let decimals = scene.decimals_of(Quantity::Gpp);
    let unit = scene.unit_of(Quantity::Gpp);
    let mut parts = Vec::new();
    for place in [TrackPlace::Affected, TrackPlace::Unaffected, TrackPlace::Outdoor] {
        let Some(track) = tracks.iter().find(|track| track.place == place) else { continue };
        let daily: Vec<_> = scene
            .evidence
            .daily_air
            .iter()
            .filter(|day| day.logger == track.logger)
            .filter_map(|day| Some((day.date, day.gpp?.mean, day.u_gpp.unwrap_or(0.0))))
            .collect();
        let (Some(first), Some(last)) = (daily.first(), daily.last()) else { continue };
        let went = course(
            scene.words,
            scene.units.humidity_ratio(first.1),
            scene.units.humidity_ratio(last.1),
            scene.units.humidity_ratio(first.2.max(last.2)),
            decimals,
        );
        let which = if place == TrackPlace::Affected {
            say!(scene.words, "chart_air.affected_air_of", name = name)
        } else {
            say!(scene.words, "chart_air.air", place = place.said(scene.words))
        };
        let span = if parts.is_empty() {
            say!(
                scene.words,
                "chart_air.between_and",
                first = scene.time.short_day(first.0),
                last = scene.time.short_day(last.0)
            )
        } else {
            String::new()
        };
        parts.push(format!("{which} {went} {unit}{span}"));
    }
    if parts.is_empty() {
        let names: Vec<String> = tracks.iter().map(|track| track.label.clone()).collect();
        return say!(
            scene.words,
            "chart_air.water_in_the_air_over_time",
            unit = unit,
            names = super::scene::listed(scene.words, &names, 6)
        );
    }
    let text = say!(scene.words, "chart_air.daily_means", parts = parts.join("; "));
    let depressions: Vec<String> = chamber
        .map(|chamber| {
            scene
                .evidence
                .unit_air
                .iter()
                .filter(|air| scene.unit_serves(&air.unit, &chamber.id))
                .filter_map(|air| {
                    let means: Vec<f64> = air.daily.iter().filter_map(|day| day.depression_gpp).collect();
                    let (first, last) = (*means.first()?, *means.last()?);
                    let went = course(
                        scene.words,
                        scene.units.humidity_ratio(first),
                        scene.units.humidity_ratio(last),
                        0.0,
                        1,
                    );
                    Some(format!("{} {went} {unit}", air.unit))
                })
                .collect()
        })
        .unwrap_or_default();
    if depressions.is_empty() {
        text
    } else {
        let (first, more) = depressions.split_at(depressions.len().min(4));
        let rest =
            if more.is_empty() { String::new() } else { say!(scene.words, "chart_air.more_units", more = more.len()) };
        say!(
            scene.words,
            "chart_air.mean_grain_depression_while_running",
            text = text,
            first = first.join("; "),
            rest = rest
        )
    }
}

fn caption(words: Words, with_depression: bool) -> String {
    let mut caption = say!(words, "chart_air.each_line_is_one_logger_and").to_owned();
    if with_depression {
        caption.push_str(say!(words, "chart_air.below_the_grain_depression_of_each"));
    }
    caption.trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::sample;

    fn scene_of(analysis: &grainfall_analysis::evidence::Analysis) -> Scene<'_> {
        Scene::new(analysis, UnitSystem::Us).expect("a zone").expect("a length")
    }

    #[test]
    fn a_chart_a_chamber_and_one_for_the_rest() {
        let analysis = sample();
        let charts = draw(&scene_of(&analysis)).expect("drawn");
        let ids: Vec<&str> = charts.iter().map(|chart| chart.id.as_str()).collect();
        assert_eq!(ids, ["air-A", "air-B", "air-no-chamber"]);
        assert!(charts[0].alt.starts_with("Daily means: affected air of Chamber A fell from "), "{}", charts[0].alt);
        assert!(charts[0].alt.contains("unaffected air fell from 46 to 43 GPP"), "{}", charts[0].alt);
        assert!(charts[0].svg.contains(">goal at most 55 GPP</text>"));
        assert!(charts[2].svg.contains(">unplaced L9<"));
    }

    #[test]
    fn the_gap_of_a_logger_is_a_gap_in_its_line() {
        let analysis = sample();
        let charts = draw(&scene_of(&analysis)).expect("drawn");
        // The affected line is the only one of blue, two px wide; the logger has one gap.
        let lines = charts[0].svg.matches("stroke=\"#0072B2\" stroke-width=\"20\"").count();
        assert_eq!(lines, 2);
    }

    #[test]
    fn without_air_there_is_no_chart() {
        let mut analysis = sample();
        analysis.tracks.clear();
        analysis.depressions.clear();
        analysis.evidence.hand_air.clear();
        assert!(draw(&scene_of(&analysis)).expect("drawn").is_empty());
    }
}
