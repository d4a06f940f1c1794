//! Vapour-pressure drive at the points of a chamber: surface minus air, at each reading.

use grainfall_analysis::evidence::{ChamberEvidence, DriveBasis, PointEvidence};

use super::labels::{Legend, Sample as Shows};
use super::panel::{Ticks, ValueScale};
use super::scene::{About, Scene, sorted};
use super::series::{self, Sample};
use super::sheet::Fill;
use super::stack::{Level, Line, Plot, Stack};
use super::{Chart, ChartKind, ChartScope};
use crate::error::Error;
use crate::number_format::shown;
use crate::theme::{self, Pen};
use crate::units_shown::UnitSystem;
use crate::words::say;

/// Points in one plot: more lines than this are a thicket.
const POINTS_A_PLOT: usize = 6;

/// Plots in one chart.
const PLOTS_A_CHART: usize = 3;

/// One chart a chamber, more where it has many points.
pub(super) fn draw(scene: &Scene<'_>) -> Result<Vec<Chart>, Error> {
    let mut charts = Vec::new();
    for chamber in &scene.evidence.chambers {
        let lines: Vec<Line> = scene
            .points_of(&chamber.id)
            .into_iter()
            .filter(|point| !point.reference)
            .enumerate()
            .filter_map(|(nth, point)| line(scene, point, theme::pen_of_member(nth % POINTS_A_PLOT)))
            .collect();
        // One scale for all plots of a chamber: they are meant to be compared.
        let least_span = scene.units.vapour_pressure(200.0);
        let values = lines.iter().flat_map(Line::values).chain([0.0]);
        let Some(value) = ValueScale::holding(values, least_span, 5) else { continue };
        let mut lines = lines.into_iter().peekable();
        let mut number = 1;
        while lines.peek().is_some() {
            let mut plots = Vec::new();
            while plots.len() < PLOTS_A_CHART && lines.peek().is_some() {
                plots.push(lines.by_ref().take(POINTS_A_PLOT).collect::<Vec<Line>>());
            }
            charts.push(chart(scene, chamber, plots, &value, number)?);
            number += 1;
        }
    }
    Ok(charts)
}

fn chart(
    scene: &Scene<'_>,
    chamber: &ChamberEvidence,
    lines: Vec<Vec<Line>>,
    value: &ValueScale,
    number: usize,
) -> Result<Chart, Error> {
    let unit = scene.units.vapour_pressure_unit();
    let alt = alt(scene, chamber, &lines);
    let marked: Vec<Fill> = lines.iter().flatten().flat_map(|line| &line.marks).map(|mark| mark.1).collect();
    let has = |fill: Fill| marked.contains(&fill);
    let bridged = lines.iter().flatten().any(|line| !line.bridges.is_empty());
    let height = if lines.len() == 1 { 210.0 } else { 150.0 };
    let plots = lines
        .into_iter()
        .enumerate()
        .map(|(nth, lines)| Plot {
            axis_title: if nth == 0 {
                say!(scene.words, "chart_drive.vapour_pressure_at_the_surface_minus", unit = unit)
            } else {
                say!(scene.words, "chart_drive.the_next_points", unit = unit)
            },
            reads: (unit, if scene.units == UnitSystem::Us { 3 } else { 2 }),
            lines,
            levels: vec![Level { value: 0.0, words: String::new(), pen: Pen::solid(theme::TEXT, 1.4) }],
            value: value.clone(),
            height,
            hatched: vec![],
            marks: vec![],
        })
        .collect();
    let mut title = say!(scene.words, "chart_drive.vapour_pressure_drive", name = chamber.name);
    let mut id = format!("drive-{}", scene.slug(&chamber.id));
    if number > 1 {
        title = format!("{title} ({number})");
        id = format!("{id}-{number}");
    }
    let mark = Pen::solid(theme::TEXT, 1.0);
    let entries = [
        (has(Fill::Solid), Shows::Mark(mark, Fill::Solid), say!(scene.words, "chart_drive.from_the_reading")),
        (
            has(Fill::Hollow),
            Shows::Mark(mark, Fill::Hollow),
            say!(scene.words, "chart_drive.upper_bound_surface_taken_as_wet"),
        ),
        (bridged, Shows::Line(theme::NOT_MEASURED), say!(scene.words, "chart.days_without_a_reading_not_measured")),
    ];
    let legend = entries.into_iter().filter(|one| one.0).map(|(_, shows, words)| (shows, words.to_owned())).collect();
    let stack = Stack {
        words: scene.words,
        title: title.clone(),
        time: &scene.time,
        plots,
        strips: vec![],
        findings: vec![],
        legend: Legend::new(legend),
        ticks: Ticks::Days,
    };
    let sheet = stack.draw(&id)?;
    let caption = say!(scene.words, "chart_drive.surface_minus_air_at_each_reading").to_owned();
    let words = About { title, alt, caption };
    Ok(scene.chart(sheet, id, words, ChartScope::Chamber(chamber.id.clone()), ChartKind::Drive))
}

fn line(scene: &Scene<'_>, point: &PointEvidence, pen: Pen) -> Option<Line> {
    let marks: Vec<(Sample, Fill)> = point
        .readings
        .iter()
        .filter(|reading| scene.time.contains(reading.time))
        // Of several readings in one visit, the one that decides.
        .filter(|reading| reading.decides || point.goal.is_none())
        .filter_map(|reading| {
            let drive = reading.drive.as_ref().filter(|drive| drive.drive_pa.is_finite())?;
            let fill = if drive.basis == DriveBasis::UpperBound { Fill::Hollow } else { Fill::Solid };
            Some(((scene.time.seconds(reading.time), scene.units.vapour_pressure(drive.drive_pa)), fill))
        })
        .collect();
    let last = marks.last()?;
    let bound = if last.1 == Fill::Hollow { "≤ " } else { "" };
    let value = format!("{bound}{}", shown(scene.words, last.0.1, 2));
    let stretches = series::by_days_read(&scene.time, &[sorted(marks.iter().map(|mark| mark.0).collect())]);
    let bridges = series::between(&stretches);
    // A logged point has more readings than marks have room.
    let marks = if point.logged { vec![] } else { marks };
    Some(Line { name: point.id.clone(), label: point.id.clone(), value, pen, stretches, bridges, band: None, marks })
}

fn alt(scene: &Scene<'_>, chamber: &ChamberEvidence, lines: &[Vec<Line>]) -> String {
    let unit = scene.units.vapour_pressure_unit();
    let firsts = lines.iter().flatten().filter_map(|line| line.stretches.first()?.first()).map(|s| s.1);
    let lasts = lines.iter().flatten().filter_map(|line| line.stretches.last()?.last()).map(|s| s.1);
    let range = |values: &mut dyn Iterator<Item = f64>| {
        let (least, most) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), v| (l.min(v), m.max(v)));
        if shown(scene.words, least, 2) == shown(scene.words, most, 2) {
            shown(scene.words, least, 2)
        } else {
            say!(scene.words, "shown.from_to", from = shown(scene.words, least, 2), to = shown(scene.words, most, 2))
        }
    };
    let count = lines.iter().map(Vec::len).sum::<usize>();
    say!(
        scene.words,
        "chart_drive.vapour_pressure_drive_at_of_at",
        count = count,
        name = chamber.name,
        firsts = range(&mut firsts.into_iter()),
        unit = unit,
        lasts = range(&mut lasts.into_iter())
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::{sample, stress};
    use crate::units_shown::UnitSystem;

    #[test]
    fn bounds_are_marked_as_bounds() {
        let analysis = sample();
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        let charts = draw(&scene).expect("drawn");
        assert_eq!(charts.len(), 2);
        // A2 and A4 have no curve: their last drive is a bound.
        assert_eq!(charts[0].svg.matches(">≤ ").count(), 3, "A2, A4 and A5");
        assert!(charts[0].alt.starts_with("Vapour-pressure drive at 5 points of Chamber A: "), "{}", charts[0].alt);
    }

    #[test]
    fn many_points_take_more_plots_and_charts() {
        let analysis = stress();
        let scene = Scene::new(&analysis, UnitSystem::Si).expect("a zone").expect("a length");
        let charts = draw(&scene).expect("drawn");
        let of_a: Vec<&str> = charts.iter().map(|c| c.id.as_str()).filter(|id| id.starts_with("drive-A")).collect();
        assert_eq!(of_a, ["drive-A", "drive-A-2"]);
    }
}
