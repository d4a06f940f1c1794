//! Readings of each point against its goal: one small plot a point, each on its own scale.

use grainfall_analysis::evidence::{GoalVerdict, PointEvidence, ReadingEvidence, ReadingKind};
use plotters::style::RGBColor;

use super::finding_marks::FindingMarks;
use super::forecast;
use super::labels::{self, Legend, Sample as Shows};
use super::panel::{Below, Panel, Ticks, ValueScale};
use super::readout::{Area, Group, Member};
use super::scene::{About, Scene, listed};
use super::series::{self, Sample};
use super::sheet::{Fill, Frame, Sheet, Spot, TextLook, spot};
use super::stack::draw_title;
use super::time_axis::TimeScale;
use super::{Chart, ChartKind, ChartScope};
use crate::error::Error;
use crate::model::shown::with_unit;
use crate::number_format::{shown, signed_trimmed, trimmed};
use crate::theme::{self, Dash, Pen};
use crate::words::{Words, say};

const COLUMNS: usize = 3;
const PLOTS_A_CHART: usize = 12;
const PLOT_HEIGHT: f64 = 94.0;
/// Below a plot, for its dates and some room to the next.
const BELOW_PLOT: f64 = 30.0;
/// Above a plot, for its name, its verdict and its unit.
const WORDS: f64 = 52.0;
/// More of it for a line of words on the forecast.
const FORECAST_LINE: f64 = 14.0;
const TOP: f64 = 36.0;
const SIDE: f64 = 12.0;

/// One chart a chamber, more where it has many points, and one of points outside any chamber.
pub(super) fn draw(scene: &Scene<'_>) -> Result<Vec<Chart>, Error> {
    let mut charts = Vec::new();
    for chamber in &scene.evidence.chambers {
        let points = scene.points_of(&chamber.id);
        let scope = ChartScope::Chamber(chamber.id.clone());
        charts.extend(charts_of(scene, &points, &chamber.name, &scene.slug(&chamber.id), &scope)?);
    }
    let elsewhere: Vec<&PointEvidence> = scene
        .evidence
        .points
        .iter()
        .filter(|point| point.chamber.as_deref().is_none_or(|id| scene.chamber_index(id).is_none()))
        .collect();
    charts.extend(charts_of(
        scene,
        &elsewhere,
        say!(scene.words, "chart_readings.points_outside_any_chamber"),
        "no-chamber",
        &ChartScope::Job,
    )?);
    Ok(charts)
}

fn charts_of(
    scene: &Scene<'_>,
    points: &[&PointEvidence],
    name: &str,
    slug: &str,
    scope: &ChartScope,
) -> Result<Vec<Chart>, Error> {
    let plots: Vec<SmallPlot<'_>> =
        points.iter().filter(|point| !point.reference).filter_map(|point| SmallPlot::new(scene, point)).collect();
    let mut charts = Vec::new();
    for (index, part) in plots.chunks(PLOTS_A_CHART).enumerate() {
        let (mut title, mut id) =
            (say!(scene.words, "chart_readings.readings_against_goals", name = name), format!("readings-{slug}"));
        if index > 0 {
            title = format!("{title} ({})", index + 1);
            id = format!("{id}-{}", index + 1);
        }
        let words = About { alt: alt(scene.words, part, name), caption: caption(scene.words, part), title };
        let sheet = draw_cells(&id, &words.title, part, scene)?;
        charts.push(scene.chart(sheet, id, words, scope.clone(), ChartKind::Readings));
    }
    Ok(charts)
}

/// One point's plot.
struct SmallPlot<'a> {
    point: &'a PointEvidence,
    /// That of its chamber.
    colour: RGBColor,
    value: ValueScale,
    /// Deciding numbers between lower bounds, to be joined.
    joined: Vec<Vec<Sample>>,
    /// From a reading to the next over days without one.
    bridges: Vec<Vec<Sample>>,
    marks: Vec<(Sample, Fill)>,
    /// Lower bounds with their words; over range has no value.
    bounds: Vec<(f64, Option<f64>, String)>,
    without: Vec<f64>,
    /// Every reading in words.
    said: Vec<(f64, String)>,
    forecast: Option<forecast::Range>,
}

impl<'a> SmallPlot<'a> {
    fn new(scene: &Scene<'_>, point: &'a PointEvidence) -> Option<Self> {
        let readings: Vec<&ReadingEvidence> = point
            .readings
            .iter()
            .filter(|reading| reading.scale == point.scale && scene.time.contains(reading.time))
            .collect();
        let (mut joined, mut marks, mut bounds, mut without) = (vec![vec![]], vec![], vec![], vec![]);
        let mut bridges = Vec::new();
        let said = readings
            .iter()
            .map(|reading| (scene.time.seconds(reading.time), words_of(scene.words, point, reading)))
            .collect();
        for reading in readings {
            let at = scene.time.seconds(reading.time);
            match &reading.kind {
                ReadingKind::Measured { value } if value.is_finite() => {
                    // Without a goal nothing decides; what speaks against a reading is then told by its reason alone.
                    let counts = reading.decides || point.goal.is_none();
                    marks.push(((at, *value), if counts { Fill::Solid } else { Fill::Hollow }));
                    if counts && let Some(line) = joined.last_mut() {
                        line.push((at, *value));
                    }
                }
                ReadingKind::Above { value } if value.is_finite() => {
                    bounds.push((at, Some(*value), format!(">{}", trimmed(scene.words, *value, 2))));
                    joined.push(vec![]);
                }
                ReadingKind::OverRange => {
                    bounds.push((at, None, say!(scene.words, "readings.over_range").to_owned()));
                    joined.push(vec![]);
                }
                ReadingKind::NoReading { .. } => without.push(at),
                ReadingKind::Measured { .. } | ReadingKind::Above { .. } => {}
            }
        }
        let numbers = marks.iter().map(|mark| mark.0.1).chain(bounds.iter().filter_map(|bound| bound.1));
        let all: Vec<f64> = numbers.chain(point.goal.as_ref().map(|goal| goal.value)).collect();
        if marks.is_empty() && bounds.is_empty() {
            return None;
        }
        let widest = all.iter().fold(0.0_f64, |widest, v| widest.max(v.abs()));
        let all = if all.is_empty() { vec![0.0, 1.0] } else { all };
        let mut value = ValueScale::holding(all.into_iter(), (widest * 0.1).max(0.1), 3)?;
        if !bounds.is_empty() {
            // Room for the arrows.
            value.most += (value.most - value.least) * 0.22;
        }
        if point.logged {
            marks.clear();
        }
        let joined = joined.iter().flat_map(|line| {
            let days = series::by_days_read(&scene.time, std::slice::from_ref(line));
            bridges.extend(series::between(&days));
            days
        });
        let joined = joined.filter(|line| line.len() > 1).collect();
        let chamber = point.chamber.as_deref().and_then(|id| scene.chamber_index(id));
        let colour = chamber.map_or(theme::BLUE, theme::colour_of_chamber);
        Some(Self {
            point,
            colour,
            value,
            joined,
            bridges,
            marks,
            bounds,
            without,
            said,
            forecast: forecast::Range::of(point),
        })
    }

    fn draw(&self, sheet: &mut Sheet, scene: &Scene<'_>, time: &TimeScale, cell: &Cell) -> Result<(), Error> {
        let point = self.point;
        let Cell { frame: cell, head } = cell;
        let name_look = TextLook::quiet().strong().coloured(theme::TEXT);
        let id = name_look.fitted(&point.id, cell.width * 0.6);
        let place = [point.location.as_deref(), point.material.as_deref()].into_iter().flatten().next().unwrap_or("");
        let look = TextLook::small();
        let place = look.fitted(place, cell.width - name_look.width(&id) - 14.0);
        sheet.text_pair(cell.left, cell.top + 12.0, (&id, &name_look), (&place, &look), 6.0);
        let verdict = look.coloured(theme::TEXT).fitted(&verdict_words(scene, point), cell.width - 8.0);
        sheet.text(cell.left, cell.top + 28.0, &verdict, &look.coloured(theme::TEXT));
        if let Some(forecast) = &point.forecast {
            sheet.text(
                cell.left,
                cell.top + 42.0,
                &look.fitted(&forecast::words(scene, forecast), cell.width - 8.0),
                &look,
            );
        }

        let frame = self.plot_frame(scene.words, cell, head);
        let findings = FindingMarks::new(&scene.point_findings(point), time, &frame);
        findings.draw_shades(sheet, &frame)?;
        let panel = Panel::new(frame, time, self.value.clone());
        forecast::shade_after_record(sheet, scene, &panel)?;
        if let Some(ended) = &point.ended {
            let after = panel.columns(&[(ended.at, scene.time.to)]);
            sheet.hatch("ended", &Pen::solid(theme::GRID, 1.0), &after, 6.0)?;
        }
        panel.draw_grid(sheet, "", Ticks::FewDays, Below::Words)?;
        let above = frame.top - head.numbers;
        sheet.text(frame.left, above - 6.0, &look.fitted(&axis_words(scene.words, point), frame.width + 60.0), &look);
        findings.draw_numbers(sheet, above)?;
        self.draw_moments(sheet, scene, &panel)?;
        if let Some(goal) = &point.goal {
            panel.level(sheet, "goal", &Pen::solid(theme::TEXT, 1.3).dashed(Dash::Short), goal.value)?;
        }
        if let Some(range) = &self.forecast {
            range.draw(sheet, &panel)?;
        }
        let pen = Pen::solid(self.colour, 1.6);
        panel.lines(sheet, "between", &theme::NOT_MEASURED, &self.bridges)?;
        panel.lines(sheet, "line", &pen, &self.joined)?;
        for fill in [Fill::Solid, Fill::Hollow] {
            let places: Vec<Spot> =
                self.marks.iter().filter(|mark| mark.1 == fill).map(|mark| panel.at(mark.0)).collect();
            sheet.marks("reading", &pen, fill, 3.0, &places)?;
        }
        let crosses: Vec<Spot> = self.without.iter().map(|at| panel.at((*at, self.value.least))).collect();
        let crosses: Vec<Spot> = crosses.into_iter().map(|(x, y)| (x, y - 60)).collect();
        labels::cross(sheet, &Pen::solid(theme::TEXT, 1.3), &crosses)?;
        self.draw_bounds(sheet, &panel)?;
        self.draw_end_words(scene.words, sheet, &panel);
        sheet.answer(panel.time, self.answers(scene.words, &frame));
        Ok(())
    }

    fn answers(&self, words: Words, frame: &Frame) -> Area {
        let mut members = vec![Member::moments(
            say!(words, "chart_readings.reading"),
            Some(&Pen::solid(self.colour, 1.6)),
            self.said.clone(),
        )];
        if let Some(goal) = &self.point.goal {
            let level = with_unit(words, goal.value, &self.point.unit);
            members.push(Member::spans(say!(words, "chart_readings.goal"), vec![(0.0, f64::INFINITY, level)]));
        }
        Area {
            title: say!(words, "chart_readings.point", id = self.point.id),
            left: frame.left,
            top: frame.top,
            width: frame.width,
            height: frame.height,
            groups: vec![Group { title: String::new(), unit: String::new(), members }],
        }
    }

    /// Where the plot itself stands in its cell.
    fn plot_frame(&self, words: Words, cell: &Frame, head: &Head) -> Frame {
        let look = TextLook::small();
        let numbers = self.value.ticks.iter().map(|tick| look.width(&shown(words, *tick, self.value.decimals)));
        let left = numbers.fold(36.0_f64, |room, number| room.max(number + 10.0)).min(cell.width / 3.0);
        Frame {
            left: cell.left + left,
            top: cell.top + head.height(),
            width: cell.width - left - 66.0,
            height: PLOT_HEIGHT,
        }
    }

    /// When the goal was met, and when it was lost again.
    fn draw_moments(&self, sheet: &mut Sheet, scene: &Scene<'_>, panel: &Panel<'_>) -> Result<(), Error> {
        let upright = |at: chrono::DateTime<chrono::Utc>| {
            let x = panel.x(at);
            vec![spot(x, panel.frame.top), spot(x, panel.frame.bottom())]
        };
        let inside = |at: &chrono::DateTime<chrono::Utc>| scene.time.contains(*at);
        let met: Vec<Vec<Spot>> = self.point.met_at.filter(inside).into_iter().map(upright).collect();
        sheet.lines("met", &Pen::solid(theme::TEXT, 1.6), &met)?;
        let lost: Vec<Vec<Spot>> = self.point.reopened_at.iter().copied().filter(inside).map(upright).collect();
        sheet.lines("lost", &Pen::solid(theme::TEXT, 1.4).dashed(Dash::Dots), &lost)
    }

    fn draw_bounds(&self, sheet: &mut Sheet, panel: &Panel<'_>) -> Result<(), Error> {
        let look = TextLook::small().coloured(theme::TEXT).rimmed();
        let mut arrows: Vec<Spot> = Vec::new();
        for (at, value, _) in &self.bounds {
            arrows.push(match value {
                Some(value) => panel.at((*at, *value)),
                None => (panel.at((*at, self.value.most)).0, spot(0.0, panel.frame.top).1 + 150),
            });
        }
        // Of equal bounds in a row only the last is said: right of it there is room.
        for (index, ((_, _, words), base)) in self.bounds.iter().zip(&arrows).enumerate() {
            let x = f64::from(base.0) / 10.0 + 6.0;
            let next = self.bounds.get(index + 1).zip(arrows.get(index + 1));
            let end = next.map_or(panel.frame.right() + 2.0, |(_, place)| f64::from(place.0) / 10.0 - 6.0);
            if next.is_none_or(|(bound, _)| bound.2 != *words) && x + look.width(words) <= end {
                sheet.text(x, f64::from(base.1) / 10.0 - 4.0, words, &look);
            }
        }
        let pen = Pen::solid(self.colour, 1.5);
        labels::arrow_up(sheet, &pen, &arrows)
    }

    /// Last value and goal, right of the plot.
    fn draw_end_words(&self, words: Words, sheet: &mut Sheet, panel: &Panel<'_>) {
        let mut said: Vec<(f64, String, TextLook)> = Vec::new();
        let look = TextLook::small();
        let ends = self.joined.last().and_then(|line| line.last()).into_iter().chain(self.last_mark());
        if let Some(last) = ends.max_by(|a, b| a.0.total_cmp(&b.0)) {
            let text = trimmed(words, last.1, 2);
            said.push((f64::from(panel.at(*last).1) / 10.0, text, look.strong().coloured(theme::TEXT)));
        }
        if let Some(goal) = &self.point.goal {
            let y = f64::from(panel.at((0.0, goal.value)).1) / 10.0;
            said.push((
                y,
                say!(words, "chart_readings.goal_2", value = trimmed(words, goal.value, 2)),
                look.coloured(theme::TEXT),
            ));
        }
        let wanted: Vec<f64> = said.iter().map(|one| one.0).collect();
        let places = labels::spread(&wanted, 14.0, panel.frame.top + 4.0, panel.frame.bottom() - 4.0);
        let room = 62.0;
        for ((_, text, look), y) in said.iter().zip(places) {
            sheet.text_centred(panel.frame.right() + 5.0, y, &look.fitted(text, room), look);
        }
    }

    fn last_mark(&self) -> Option<&Sample> {
        self.marks.iter().rev().find(|mark| mark.1 == Fill::Solid).map(|mark| &mark.0)
    }
}

fn draw_cells(id: &str, title: &str, plots: &[SmallPlot<'_>], scene: &Scene<'_>) -> Result<Sheet, Error> {
    let time = forecast::axis(scene, plots.iter().filter_map(|plot| plot.forecast.as_ref()));
    let width = f64::from(theme::WIDTH) - 2.0 * SIDE;
    let rows = plots.len().div_ceil(COLUMNS) as f64;
    let cell_width = width / COLUMNS as f64;
    let cell_at = |index: usize, height: f64| Frame {
        left: SIDE + (index % COLUMNS) as f64 * cell_width,
        top: TOP + (index / COLUMNS) as f64 * height,
        width: cell_width,
        height,
    };
    let told = plots.iter().any(|plot| plot.point.forecast.is_some());
    let mut head = Head { forecast: if told { FORECAST_LINE } else { 0.0 }, numbers: 0.0 };
    let mut numbered: Vec<(Shows, String)> = Vec::new();
    for (index, plot) in plots.iter().enumerate() {
        let frame = plot.plot_frame(scene.words, &cell_at(index, 0.0), &head);
        let marks = FindingMarks::new(&scene.point_findings(plot.point), &time, &frame);
        head.numbers = marks.height().max(head.numbers);
        for entry in marks.legend(scene.words) {
            if !numbered.iter().any(|known| known.1 == entry.1) {
                numbered.push(entry);
            }
        }
    }
    let legend = legend(scene.words, plots, time.to > scene.time.to).and(numbered);
    let height = head.height() + PLOT_HEIGHT + BELOW_PLOT;
    let legend_top = TOP + rows * height + 2.0;
    let mut sheet = Sheet::new(id, theme::WIDTH, legend_top + legend.height(width) + 8.0);
    draw_title(&mut sheet, title);
    for (index, plot) in plots.iter().enumerate() {
        plot.draw(&mut sheet, scene, &time, &Cell { frame: cell_at(index, height), head })?;
    }
    legend.draw(&mut sheet, SIDE, legend_top, width)?;
    Ok(sheet)
}

/// What the legend does not say.
fn caption(words: Words, plots: &[SmallPlot<'_>]) -> String {
    let mut said = vec![say!(words, "chart_readings.one_plot_a_point_each_on")];
    if plots.iter().any(|plot| plot.forecast.is_some()) {
        said.push(say!(words, "chart_readings.a_wedge_is_the_forecast"));
    }
    said.join(" ")
}

/// A reading with what speaks against it.
fn words_of(words: Words, point: &PointEvidence, reading: &ReadingEvidence) -> String {
    let said = crate::model::shown::reading(words, reading);
    if reading.decides || point.goal.is_none() {
        said
    } else {
        say!(words, "chart_readings.does_not_decide", reading = said)
    }
}

/// Place of one plot with its words.
struct Cell {
    frame: Frame,
    head: Head,
}

/// What stands above each plot of a chart, px.
#[derive(Debug, Clone, Copy)]
struct Head {
    /// Words on the forecast.
    forecast: f64,
    /// Numbers of findings.
    numbers: f64,
}

impl Head {
    fn height(&self) -> f64 {
        WORDS + self.forecast + self.numbers
    }
}

/// What is in the drawing, and nothing else.
fn legend(words: Words, plots: &[SmallPlot<'_>], beyond_record: bool) -> Legend {
    let pen = Pen::solid(plots.first().map_or(theme::BLUE, |plot| plot.colour), 1.6);
    let has = |of: &dyn Fn(&SmallPlot<'_>) -> bool| plots.iter().any(of);
    let entries = [
        (
            has(&|p| p.marks.iter().any(|m| m.1 == Fill::Solid)),
            Shows::Mark(pen, Fill::Solid),
            say!(words, "chart_readings.reading"),
        ),
        (
            has(&|p| p.marks.iter().any(|m| m.1 == Fill::Hollow)),
            Shows::Mark(pen, Fill::Hollow),
            say!(words, "chart_readings.does_not_decide_2"),
        ),
        (
            has(&|p| !p.bridges.is_empty()),
            Shows::Line(theme::NOT_MEASURED),
            say!(words, "chart.days_without_a_reading_not_measured"),
        ),
        (has(&|p| !p.bounds.is_empty()), Shows::ArrowUp, say!(words, "chart_readings.more_than_this_ol_over_the")),
        (has(&|p| !p.without.is_empty()), Shows::Cross, say!(words, "chart_readings.no_number")),
        (
            has(&|p| p.point.goal.is_some()),
            Shows::Line(Pen::solid(theme::TEXT, 1.3).dashed(Dash::Short)),
            say!(words, "chart_readings.goal"),
        ),
        (has(&|p| p.point.met_at.is_some()), Shows::Moment, say!(words, "chart_readings.goal_met")),
        (
            has(&|p| !p.point.reopened_at.is_empty()),
            Shows::LostMoment,
            say!(words, "chart_readings.met_goal_lost_again"),
        ),
        (has(&|p| p.point.ended.is_some()), Shows::Hatched, say!(words, "chart_readings.point_ended")),
        (
            has(&|p| p.forecast.is_some()),
            Shows::Filled(theme::UNCERTAINTY),
            say!(words, "chart_readings.forecast_80_range"),
        ),
        (beyond_record, Shows::Filled(theme::SHADE), say!(words, "chart_readings.after_the_record")),
    ];
    Legend::new(entries.into_iter().filter(|e| e.0).map(|(_, shows, words)| (shows, words.to_owned())).collect())
}

fn axis_words(words: Words, point: &PointEvidence) -> String {
    let depth =
        point.depth.as_ref().map_or_else(String::new, |depth| say!(words, "chart_readings.depth", depth = depth));
    format!("{}{depth}", point.unit)
}

fn verdict_words(scene: &Scene<'_>, point: &PointEvidence) -> String {
    if let Some(ended) = &point.ended {
        return say!(
            scene.words,
            "chart_readings.ended",
            at = scene.time.short_day_of(ended.at),
            reason = ended.reason
        );
    }
    match (point.verdict, point.met_at, point.distance_to_goal) {
        (GoalVerdict::Met, Some(at), _) => say!(scene.words, "chart_readings.met", at = scene.time.instant(at)),
        (GoalVerdict::NotMet, _, Some(distance)) => {
            say!(
                scene.words,
                "chart_readings.not_met_from_goal",
                distance = signed_trimmed(scene.words, distance, 2),
                unit = point.unit
            )
        }
        (verdict, ..) => verdict.said(scene.words).to_owned(),
    }
}

fn alt(words: Words, plots: &[SmallPlot<'_>], name: &str) -> String {
    let ids = |of: &dyn Fn(&PointEvidence) -> bool| -> Vec<String> {
        plots.iter().map(|plot| plot.point).filter(|point| of(point)).map(|point| point.id.clone()).collect()
    };
    let mut parts = Vec::new();
    let met = ids(&|p| p.ended.is_none() && p.verdict == GoalVerdict::Met);
    if !met.is_empty() {
        parts.push(say!(words, "chart_readings.goal_met_at", met = listed(words, &met, 8)));
    }
    let open: Vec<String> = plots
        .iter()
        .map(|plot| plot.point)
        .filter(|point| point.ended.is_none() && point.verdict == GoalVerdict::NotMet)
        .map(|point| match (point.last, &point.goal) {
            (Some(last), Some(goal)) => say!(
                words,
                "chart_readings.against",
                id = point.id,
                last = trimmed(words, last, 2),
                unit = point.unit,
                value = trimmed(words, goal.value, 2)
            ),
            _ => point.id.clone(),
        })
        .collect();
    if !open.is_empty() {
        parts.push(say!(words, "chart_readings.not_met_at", open = listed(words, &open, 4)));
    }
    let not_shown = ids(&|p| p.ended.is_none() && p.verdict == GoalVerdict::NotShown);
    if !not_shown.is_empty() {
        parts.push(say!(words, "chart_readings.not_shown_at", not_shown = listed(words, &not_shown, 8)));
    }
    let ended = ids(&|p| p.ended.is_some());
    if !ended.is_empty() {
        parts.push(say!(words, "chart_readings.ended_2", ended = listed(words, &ended, 8)));
    }
    say!(words, "chart_readings.readings_over_time", name = name, parts = parts.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::sample;
    use crate::units_shown::UnitSystem;

    fn charts() -> Vec<Chart> {
        let analysis = sample();
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        draw(&scene).expect("drawn")
    }

    #[test]
    fn every_point_has_its_goal_its_last_value_and_its_verdict() {
        let charts = charts();
        let ids: Vec<&str> = charts.iter().map(|chart| chart.id.as_str()).collect();
        assert_eq!(ids, ["readings-A", "readings-B"], "reference points are no drying points");
        for wanted in [">goal 15.5<", ">14.2<", ">met 11 Oct 09:12<", ">ended 7 Oct: removed and disposed of<"] {
            assert!(charts[0].svg.contains(wanted), "{wanted}");
        }
        for wanted in [">&gt;40<", ">not met: +5.9 %MC from goal<", ">not shown<"] {
            assert!(charts[1].svg.contains(wanted), "{wanted}");
        }
        assert_eq!(
            charts[1].alt,
            "Readings over time, Chamber B: goal met at B2; not met at B1 (20.9 %MC against 15 %MC) and B4 (87.6 %RH \
             against 80 %RH); not shown at B3."
        );
    }

    #[test]
    fn a_reading_on_another_scale_is_not_drawn() {
        let mut analysis = sample();
        let before = {
            let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
            SmallPlot::new(&scene, &analysis.evidence.points[0]).expect("a plot").marks.len()
        };
        analysis.evidence.points[0].readings[1].scale = "wme".to_owned();
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        let after = SmallPlot::new(&scene, &analysis.evidence.points[0]).expect("a plot").marks.len();
        assert_eq!(after, before - 1);
    }
}
