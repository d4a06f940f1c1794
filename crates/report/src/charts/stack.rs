//! Plots below one another over one time axis: lines with their names at their ends, strips, finding numbers, legend.

use chrono::{DateTime, Utc};
use grainfall_analysis::evidence::{Finding, RunState};

use super::finding_marks::FindingMarks;
use super::labels::{self, EndLabel, Legend};
use super::panel::{Below, Panel, Ticks, ValueScale};
use super::readout::{Area, Group, Member};
use super::series::Sample;
use super::sheet::{Anchor, Fill, Frame, Sheet, Spot, TextLook, spot};
use super::time_axis::TimeScale;
use crate::error::Error;
use crate::number_format::shown;
use crate::theme::{self, Dash, Mark, Pen};
use crate::words::{Words, say};

/// Lower and upper edge of a band, over the same samples.
pub(super) type Band = (Vec<Vec<Sample>>, Vec<Vec<Sample>>);

/// One line of a plot.
pub(super) struct Line {
    /// Its name, as it is read off.
    pub(super) name: String,
    /// Its name as it is drawn at its end.
    pub(super) label: String,
    /// Its last value in words; may be empty.
    pub(super) value: String,
    pub(super) pen: Pen,
    /// Stretches between gaps.
    pub(super) stretches: Vec<Vec<Sample>>,
    /// Between readings with whole days without one: drawn as what was not measured.
    pub(super) bridges: Vec<Vec<Sample>>,
    pub(super) band: Option<Band>,
    /// Marks on it.
    pub(super) marks: Vec<(Sample, Fill)>,
}

impl Line {
    /// Everything that the value axis must hold.
    pub(super) fn values(&self) -> impl Iterator<Item = f64> {
        let band = self.band.iter().flat_map(|(lower, upper)| lower.iter().chain(upper));
        self.stretches.iter().chain(band).flatten().map(|s| s.1).chain(self.marks.iter().map(|m| m.0.1))
    }

    fn end(&self) -> Option<Sample> {
        let last = self.stretches.iter().rev().find_map(|stretch| stretch.last()).copied();
        let marked = self.marks.iter().map(|mark| mark.0).next_back();
        match (last, marked) {
            (Some(last), Some(marked)) if marked.0 > last.0 => Some(marked),
            (last, marked) => last.or(marked),
        }
    }
}

/// A level across a plot, named at its left end.
pub(super) struct Level {
    pub(super) value: f64,
    pub(super) words: String,
    pub(super) pen: Pen,
}

/// One plot.
pub(super) struct Plot {
    pub(super) axis_title: String,
    /// Unit after a value that is read off, and its decimals.
    pub(super) reads: (&'static str, usize),
    /// Drawn in this order.
    pub(super) lines: Vec<Line>,
    pub(super) levels: Vec<Level>,
    pub(super) value: ValueScale,
    /// Least height, px; a plot with many lines is made as high as their names need.
    pub(super) height: f64,
    /// Spans to be hatched from top to bottom.
    pub(super) hatched: Vec<(DateTime<Utc>, DateTime<Utc>)>,
    pub(super) marks: Vec<LooseMarks>,
}

/// Marks that belong to no line.
pub(super) struct LooseMarks {
    pub(super) pen: Pen,
    pub(super) fill: Fill,
    pub(super) places: Vec<(DateTime<Utc>, f64)>,
}

impl Plot {
    fn needed_height(&self) -> f64 {
        self.height.max(self.lines.len() as f64 * labels::LINE + 6.0)
    }
}

/// A thin row below the plots.
pub(super) struct Strip {
    pub(super) name: String,
    pub(super) spans: Vec<(DateTime<Utc>, DateTime<Utc>, RunState)>,
    pub(super) marks: Vec<DateTime<Utc>>,
    /// The shape of its marks; upright strokes where many stand close.
    pub(super) mark: Option<Mark>,
}

/// The whole drawing.
pub(super) struct Stack<'a> {
    pub(super) words: Words,
    pub(super) title: String,
    pub(super) time: &'a TimeScale,
    pub(super) plots: Vec<Plot>,
    pub(super) strips: Vec<Strip>,
    pub(super) findings: Vec<&'a Finding>,
    pub(super) legend: Legend,
    pub(super) ticks: Ticks,
}

const LEFT: f64 = 64.0;
const MOST_LABEL_ROOM: f64 = 240.0;
const TITLE_HEIGHT: f64 = 36.0;
const AXIS_TITLE_HEIGHT: f64 = 25.0;
const BETWEEN: f64 = 14.0;
const WORDS_HEIGHT: f64 = 26.0;
const STRIP_HEIGHT: f64 = 17.0;

impl Stack<'_> {
    /// Draws all of it.
    pub(super) fn draw(&self, id: &str) -> Result<Sheet, Error> {
        let names = self.plots.iter().flat_map(|plot| &plot.lines);
        let room = labels::room(names.map(|line| (line.label.as_str(), line.value.as_str())), MOST_LABEL_ROOM);
        let width = f64::from(theme::WIDTH) - LEFT - room;
        let axis = Frame { left: LEFT, top: 0.0, width, height: 0.0 };
        let numbers = FindingMarks::new(&self.findings, self.time, &axis);
        let strips_height = self.strips.len() as f64 * STRIP_HEIGHT;
        let full_width = f64::from(theme::WIDTH) - 24.0;
        let legend = self.legend.and(numbers.legend(self.words));
        let legend_height = legend.height(full_width);

        let mut frames = Vec::new();
        let mut y = TITLE_HEIGHT + numbers.height();
        for plot in &self.plots {
            let frame = Frame { top: y + AXIS_TITLE_HEIGHT, height: plot.needed_height(), ..axis };
            y = frame.bottom() + BETWEEN;
            frames.push(frame);
        }
        let axis_bottom = y - BETWEEN;
        let strips_top = axis_bottom + WORDS_HEIGHT;
        let legend_top = strips_top + strips_height + if legend_height > 0.0 { 6.0 } else { 0.0 };
        let mut sheet = Sheet::new(id, theme::WIDTH, legend_top + legend_height + 8.0);

        draw_title(&mut sheet, &self.title);
        for (plot, frame) in self.plots.iter().zip(&frames) {
            numbers.draw_shades(&mut sheet, frame)?;
            let panel = Panel::new(*frame, self.time, plot.value.clone());
            let below = if frames.last() == Some(frame) { Below::Words } else { Below::Nothing };
            draw_plot(&mut sheet, &panel, plot, self.ticks, below)?;
        }
        numbers.draw_numbers(&mut sheet, TITLE_HEIGHT)?;
        for (index, strip) in self.strips.iter().enumerate() {
            let frame = Frame { top: strips_top + index as f64 * STRIP_HEIGHT, height: STRIP_HEIGHT, ..axis };
            draw_strip(&mut sheet, self.time, strip, &frame)?;
        }
        legend.draw(&mut sheet, 12.0, legend_top, full_width)?;
        let top = frames.first().map_or(0.0, |frame| frame.top);
        let height = axis_bottom.max(if strips_height > 0.0 { strips_top + strips_height } else { 0.0 }) - top;
        let groups = self.answers();
        sheet.answer(self.time, Area { title: String::new(), left: LEFT, top, width, height, groups });
        Ok(sheet)
    }

    fn answers(&self) -> Vec<Group> {
        let plots = self.plots.iter().map(|plot| {
            let (unit, decimals) = plot.reads;
            let lines = plot.lines.iter();
            let line = |line: &Line| {
                if line.marks.is_empty() {
                    return Member::line(&line.name, &line.pen, &line.stretches, line.band.as_ref(), decimals);
                }
                // A hollow mark on a line is an upper bound.
                let words = |(at, fill): &(Sample, Fill)| {
                    let bound = if *fill == Fill::Hollow { "≤ " } else { "" };
                    (at.0, format!("{bound}{} {unit}", shown(self.words, at.1, decimals)))
                };
                Member::moments(&line.name, Some(&line.pen), line.marks.iter().map(words).collect())
            };
            Group { title: plot.axis_title.clone(), unit: unit.to_owned(), members: lines.map(line).collect() }
        });
        let strips = self.strips.iter().filter(|strip| !strip.spans.is_empty()).map(|strip| {
            let spans = strip.spans.iter().filter_map(|(from, to, state)| {
                let (from, to) = self.time.clipped(*from, *to).filter(|(from, to)| to > from)?;
                Some((self.time.seconds(from), self.time.seconds(to), run_words(self.words, *state).to_owned()))
            });
            Member::spans(&strip.name, spans.collect())
        });
        let strips = Group { title: String::new(), unit: String::new(), members: strips.collect() };
        plots.chain([strips]).filter(|group| !group.members.is_empty()).collect()
    }
}

/// What a unit did.
pub(super) fn run_words(words: Words, state: RunState) -> &'static str {
    match state {
        RunState::Running => say!(words, "chart.ran"),
        RunState::Stopped => say!(words, "chart.did_not_run"),
        RunState::Paused => say!(words, "chart.recorded_pause"),
        RunState::NotShown => say!(words, "chart.running_not_known"),
    }
}

/// The title of a drawing.
pub(super) fn draw_title(sheet: &mut Sheet, title: &str) {
    let look = TextLook { size: theme::TITLE_SIZE, ..TextLook::label() }.strong();
    let room = f64::from(sheet.size().0) - 24.0;
    sheet.text(12.0, 24.0, &look.fitted(title, room), &look);
}

fn draw_plot(sheet: &mut Sheet, panel: &Panel<'_>, plot: &Plot, ticks: Ticks, below: Below) -> Result<(), Error> {
    sheet.hatch("stopped", &Pen::solid(theme::AXIS, 0.8), &panel.columns(&plot.hatched), 6.0)?;
    panel.draw_grid(sheet, &plot.axis_title, ticks, below)?;
    for line in &plot.lines {
        if let Some((lower, upper)) = &line.band {
            panel.band(sheet, "band", &line.pen, lower, upper)?;
        }
    }
    for level in &plot.levels {
        panel.level(sheet, "level", &level.pen, level.value)?;
    }
    for (nth, line) in plot.lines.iter().enumerate() {
        panel.lines(sheet, "between", &theme::NOT_MEASURED, &line.bridges)?;
        panel.lines(sheet, "line", &line.pen, &line.stretches)?;
        if line.marks.is_empty() && plot.lines.len() > 1 {
            let samples = along(line, panel.time.length(), (nth, plot.lines.len()));
            let places: Vec<Spot> = samples.into_iter().map(|sample| panel.at(sample)).collect();
            sheet.marks("along", &line.pen, Fill::Solid, 2.6, &places)?;
        }
        for fill in [Fill::Solid, Fill::Hollow] {
            let places: Vec<Spot> =
                line.marks.iter().filter(|mark| mark.1 == fill).map(|mark| panel.at(mark.0)).collect();
            sheet.marks("mark", &line.pen, fill, 3.4, &places)?;
        }
    }
    for LooseMarks { pen, fill, places } in &plot.marks {
        let places: Vec<Spot> = places
            .iter()
            .filter(|(time, _)| panel.time.contains(*time))
            .map(|(time, value)| panel.at_time(*time, *value))
            .collect();
        sheet.marks("mark", pen, *fill, 3.4, &places)?;
    }
    draw_level_words(sheet, panel, &plot.levels);
    let ends: Vec<EndLabel> = plot
        .lines
        .iter()
        .filter_map(|line| {
            let end = panel.at(line.end()?);
            let fill = line.marks.last().map_or(Fill::Solid, |mark| mark.1);
            Some(EndLabel { end, text: line.label.clone(), value: line.value.clone(), pen: line.pen, fill })
        })
        .collect();
    labels::draw_end_labels(sheet, &panel.frame, &ends)
}

/// Marks along each line of samples.
const MARKS_A_LINE: usize = 4;

/// A few samples of a line, evenly over the axis, none below those of the lines beside it: there its mark is drawn.
fn along(line: &Line, length_s: f64, (nth, lines): (usize, usize)) -> Vec<Sample> {
    let step = length_s / MARKS_A_LINE as f64;
    let wanted = (0..MARKS_A_LINE).map(|n| (n as f64 + (nth as f64 + 0.5) / lines as f64) * step);
    let near = |at: f64| {
        let samples = line.stretches.iter().flat_map(|stretch| {
            let after = stretch.partition_point(|sample| sample.0 < at);
            stretch.get(after.saturating_sub(1)..(after + 1).min(stretch.len())).unwrap_or_default()
        });
        let nearest = samples.min_by(|a, b| (a.0 - at).abs().total_cmp(&(b.0 - at).abs()));
        nearest.copied().filter(|sample| (sample.0 - at).abs() <= step / 20.0)
    };
    wanted.filter_map(near).collect()
}

/// Names of levels above them at the left, none over another.
fn draw_level_words(sheet: &mut Sheet, panel: &Panel<'_>, levels: &[Level]) {
    let look = TextLook::small().coloured(theme::TEXT).rimmed();
    let wanted: Vec<f64> = levels.iter().map(|level| f64::from(panel.at((0.0, level.value)).1) / 10.0 - 8.0).collect();
    let Frame { left, top, .. } = panel.frame;
    let places = labels::spread(&wanted, 14.0, top + 8.0, (panel.frame.bottom() - 8.0).max(top + 8.0));
    for (level, y) in levels.iter().zip(places) {
        sheet.text_centred(left + 6.0, y, &look.fitted(&level.words, panel.frame.width - 12.0), &look);
    }
}

fn draw_strip(sheet: &mut Sheet, time: &TimeScale, strip: &Strip, frame: &Frame) -> Result<(), Error> {
    let look = TextLook::small().anchored(Anchor::End);
    let middle = frame.top + frame.height / 2.0;
    sheet.text_centred(frame.left - 6.0, middle, &look.fitted(&strip.name, frame.left - 10.0), &look);
    let x = |at: DateTime<Utc>| frame.left + (time.seconds(at) / time.length()).clamp(0.0, 1.0) * frame.width;
    let mut ran = Vec::new();
    let (mut stopped, mut paused) = (Vec::new(), Vec::new());
    for (from, to, state) in &strip.spans {
        let Some((from, to)) = time.clipped(*from, *to) else { continue };
        let (left, right) = (x(from), x(to));
        let cell = Frame { left, width: (right - left).max(1.5), top: middle - 5.0, height: 10.0 };
        match state {
            RunState::Running => ran.push(vec![spot(left, middle), spot(right, middle)]),
            RunState::Stopped => stopped.push(cell),
            RunState::Paused => paused.push(cell),
            RunState::NotShown => {}
        }
    }
    sheet.lines("ran", &Pen::solid(theme::QUIET_TEXT, 2.0), &ran)?;
    let edge = Pen::solid(theme::TEXT, 1.0);
    sheet.hatch("stopped", &edge, &stopped, 4.0)?;
    sheet.outlines("stopped", &edge, &stopped)?;
    sheet.outlines("paused", &edge.dashed(Dash::Short), &paused)?;
    let places = strip.marks.iter().filter(|at| time.contains(**at)).map(|at| x(*at));
    match strip.mark {
        Some(mark) => {
            let places: Vec<Spot> = places.map(|x| spot(x, middle)).collect();
            sheet.marks("moment", &Pen { mark, ..Pen::solid(theme::TEXT, 1.0) }, Fill::Solid, 3.6, &places)
        }
        None => {
            let strokes: Vec<Vec<Spot>> = places.map(|x| vec![spot(x, middle - 5.0), spot(x, middle + 5.0)]).collect();
            sheet.lines("moment", &Pen::solid(theme::TEXT, 1.2), &strokes)
        }
    }
}
