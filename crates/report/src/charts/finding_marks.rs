//! Findings over a time axis: their numbers above the plots with the stretch each lasts, and a shade behind short ones.

use std::ops::Range;

use chrono::{DateTime, Utc};
use grainfall_analysis::evidence::Finding;

use super::labels::Sample as Shows;
use super::sheet::{Anchor, Frame, Sheet, Spot, TextLook, spot};
use super::time_axis::TimeScale;
use crate::error::Error;
use crate::theme::{self, Dash, Pen};
use crate::words::{Words, say};

/// Height of one row of numbers, px.
const ROW: f64 = 19.0;

/// Findings that take more rows than this are counted together where they stand close.
const MOST_ROWS: usize = 3;

/// A span that fills more of a plot than this is not shaded: it would set nothing apart.
const MOST_SHADED: f64 = 0.6;

/// Between neighbours in a row, px.
const APART: f64 = 3.0;

/// Stretches of numbers named in one mark; more are counted.
const RUNS_NAMED: usize = 2;

const NUMBER_LOOK: TextLook = TextLook { size: 11.5, ..TextLook::label() };

/// Marks for findings over one time axis.
pub(super) struct FindingMarks {
    pills: Vec<Pill>,
    /// Left edge, right edge, row.
    spans: Vec<RowSpan>,
    shades: Vec<(f64, f64)>,
    rows: usize,
}

/// One mark: a number, or several that stand together.
#[derive(Debug)]
struct Pill {
    centre: f64,
    row: usize,
    words: String,
}

/// A finding on the axis, px.
struct Placed {
    left: f64,
    right: f64,
    lasts: bool,
    number: u32,
}

impl Placed {
    fn centre(&self, frame: &Frame) -> f64 {
        let half = width(&self.number.to_string()) / 2.0;
        f64::midpoint(self.left, self.right).clamp(frame.left + half, (frame.right() - half).max(frame.left + half))
    }

    /// From where to where it takes its row.
    fn extent(&self, frame: &Frame) -> Range<f64> {
        let half = width(&self.number.to_string()) / 2.0;
        let centre = self.centre(frame);
        self.left.min(centre - half)..self.right.max(centre + half)
    }
}

impl FindingMarks {
    /// Marks for findings over the time axis of a plot `frame`.
    pub(super) fn new(findings: &[&Finding], time: &TimeScale, frame: &Frame) -> Self {
        let x = |at: DateTime<Utc>| frame.left + (time.seconds(at) / time.length()).clamp(0.0, 1.0) * frame.width;
        let mut placed: Vec<Placed> = findings
            .iter()
            .filter_map(|finding| {
                let (from, to) = time.clipped(finding.from, finding.to.unwrap_or(finding.from))?;
                Some(Placed { left: x(from), right: x(to), lasts: finding.to.is_some(), number: finding.number })
            })
            .collect();
        placed.sort_by(|a, b| a.left.total_cmp(&b.left).then(a.number.cmp(&b.number)));
        let lasting = placed.iter().filter(|one| one.lasts);
        let shades: Vec<(f64, f64)> =
            lasting.map(|one| (one.left, one.right)).filter(|(l, r)| r - l <= frame.width * MOST_SHADED).collect();
        let (pills, spans) = in_rows(&placed, frame).unwrap_or_else(|| (together(&placed, frame), Vec::new()));
        let rows = pills.iter().map(|pill| pill.row + 1).max().unwrap_or(0);
        Self { pills, spans, shades, rows }
    }

    /// Height the numbers need above the plots, px.
    pub(super) fn height(&self) -> f64 {
        if self.rows == 0 { 0.0 } else { self.rows as f64 * ROW + 5.0 }
    }

    /// What is drawn, and nothing else.
    pub(super) fn legend(&self, words: Words) -> Vec<(Shows, String)> {
        let shaded = say!(words, "chart.finding_shaded", pct = format!("{:.0}", MOST_SHADED * 100.0));
        let said = [
            (!self.pills.is_empty(), Shows::Number, say!(words, "chart.finding")),
            (!self.spans.is_empty(), Shows::Span, say!(words, "chart.finding_lasts")),
            (!self.shades.is_empty(), Shows::Filled(theme::SHADE), &shaded),
        ];
        said.into_iter().filter(|one| one.0).map(|(_, shows, words)| (shows, words.to_owned())).collect()
    }

    /// Shades in a plot. To be drawn first.
    pub(super) fn draw_shades(&self, sheet: &mut Sheet, frame: &Frame) -> Result<(), Error> {
        let boxes: Vec<Frame> =
            self.shades.iter().map(|(from, to)| Frame { left: *from, width: (to - from).max(1.0), ..*frame }).collect();
        sheet.boxes("shade", theme::SHADE, &boxes)
    }

    /// Numbers from `top` px down.
    pub(super) fn draw_numbers(&self, sheet: &mut Sheet, top: f64) -> Result<(), Error> {
        let pen = Pen::solid(theme::QUIET_TEXT, 1.1);
        let middle = |row: usize| top + row as f64 * ROW + ROW / 2.0;
        let spans: Vec<Vec<Spot>> =
            self.spans.iter().flat_map(|(left, right, row)| span(*left, *right, middle(*row))).collect();
        sheet.lines("span", &pen, &spans)?;
        for Pill { centre, row, words } in &self.pills {
            let y = middle(*row);
            pill(sheet, &pen, *centre, y, width(words) / 2.0)?;
            sheet.text_centred(*centre, y, words, &NUMBER_LOOK.anchored(Anchor::Middle));
        }
        Ok(())
    }
}

/// The numbers of some findings in one mark, from `left` px on; nothing for none.
pub(super) fn beside(sheet: &mut Sheet, numbers: &[u32], left: f64, y: f64) -> Result<(), Error> {
    if numbers.is_empty() {
        return Ok(());
    }
    let words = told(numbers);
    let half = width(&words) / 2.0;
    pill(sheet, &Pen::solid(theme::QUIET_TEXT, 1.1), left + half, y, half)?;
    sheet.text_centred(left + half, y, &words, &NUMBER_LOOK.anchored(Anchor::Middle));
    Ok(())
}

/// From where to where a finding lasts, and in which row its line is drawn.
type RowSpan = (f64, f64, usize);

/// Each finding by itself, its number on the line of its stretch; `None` where that takes too many rows.
fn in_rows(placed: &[Placed], frame: &Frame) -> Option<(Vec<Pill>, Vec<RowSpan>)> {
    let mut ends = [f64::NEG_INFINITY; MOST_ROWS];
    let (mut pills, mut spans) = (Vec::new(), Vec::new());
    for one in placed {
        let extent = one.extent(frame);
        let row = (0..MOST_ROWS).find(|row| extent.start >= ends[*row] + APART)?;
        ends[row] = extent.end;
        pills.push(Pill { centre: one.centre(frame), row, words: one.number.to_string() });
        if one.lasts && one.right - one.left > width(&one.number.to_string()) {
            spans.push((one.left, one.right, row));
        }
    }
    Some((pills, spans))
}

/// All in one row, those that would cover one another in one mark.
fn together(placed: &[Placed], frame: &Frame) -> Vec<Pill> {
    let mut groups: Vec<(Vec<u32>, f64)> = Vec::new();
    let mut ordered: Vec<(f64, u32)> = placed.iter().map(|one| (one.centre(frame), one.number)).collect();
    ordered.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let stand = |numbers: &[u32], sum: f64| {
        let half = width(&told(numbers)) / 2.0;
        let centre = sum / numbers.len() as f64;
        let centre = centre.clamp(frame.left + half, (frame.right() - half).max(frame.left + half));
        (centre - half, centre + half)
    };
    for (centre, number) in ordered {
        groups.push((vec![number], centre));
        while let [.., before, last] = groups.as_slice()
            && stand(&before.0, before.1).1 + APART > stand(&last.0, last.1).0
        {
            let Some((numbers, sum)) = groups.pop() else { break };
            if let Some(before) = groups.last_mut() {
                before.0.extend(numbers);
                before.0.sort_unstable();
                before.1 += sum;
            }
        }
    }
    let pill = |(numbers, sum): (Vec<u32>, f64)| {
        let (left, right) = stand(&numbers, sum);
        Pill { centre: f64::midpoint(left, right), row: 0, words: told(&numbers) }
    };
    groups.into_iter().map(pill).collect()
}

/// Numbers in few words: `12-18`, `3, 5`, `3 +9`.
fn told(numbers: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for number in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *number => *last = *number,
            _ => runs.push((*number, *number)),
        }
    }
    if runs.len() > RUNS_NAMED {
        return format!("{} +{}", numbers[0], numbers.len() - 1);
    }
    let run = |(first, last): &(u32, u32)| if first == last { first.to_string() } else { format!("{first}-{last}") };
    runs.iter().map(run).collect::<Vec<_>>().join(", ")
}

/// Width of a mark around its words, px.
fn width(words: &str) -> f64 {
    (NUMBER_LOOK.width(words) + 9.0).max(16.0)
}

/// A stretch of time with its two ends.
pub(super) fn span(left: f64, right: f64, y: f64) -> [Vec<Spot>; 3] {
    let end = |x: f64| vec![spot(x, y - 3.5), spot(x, y + 3.5)];
    [vec![spot(left, y), spot(right, y)], end(left), end(right)]
}

/// A rounded outline around a number: a circle, or longer where the words are.
pub(super) fn pill(sheet: &mut Sheet, pen: &Pen, x: f64, y: f64, half: f64) -> Result<(), Error> {
    let radius = 8.0;
    let arc = |centre: f64, from: f64| {
        (0..=8).map(move |step| {
            let angle = (from + f64::from(step) * 22.5).to_radians();
            spot(centre + radius * angle.cos(), y + radius * angle.sin())
        })
    };
    let straight = (half - radius).max(0.0);
    let mut outline: Vec<Spot> = arc(x + straight, -90.0).chain(arc(x - straight, 90.0)).collect();
    sheet.areas("number", theme::PAPER, 1.0, std::slice::from_ref(&outline))?;
    outline.push(outline[0]);
    sheet.lines("number", &Pen { dash: Dash::Solid, ..*pen }, &[outline])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::{sample, stress};

    /// How many findings the words of a mark stand for.
    fn counted(words: &str) -> usize {
        let number = |text: &str| text.trim().parse::<usize>().expect("a number");
        if let Some((_, more)) = words.split_once('+') {
            return 1 + number(more);
        }
        let run = |text: &str| text.split_once('-').map_or(1, |(first, last)| number(last) - number(first) + 1);
        words.split(',').map(run).sum()
    }

    #[test]
    fn every_finding_is_numbered_or_counted_and_no_mark_covers_another() {
        for (analysis, times) in [(sample(), 1), (stress(), 1), (stress(), 40)] {
            let evidence = &analysis.evidence;
            let time = TimeScale::of_record(evidence, Words::default()).expect("a zone").expect("a length");
            let frame = Frame { left: 50.0, top: 0.0, width: 500.0, height: 100.0 };
            let mut all: Vec<Finding> = std::iter::repeat_n(&evidence.findings, times).flatten().cloned().collect();
            for (finding, number) in all.iter_mut().zip(1..) {
                finding.number = number;
            }
            let findings: Vec<&Finding> = all.iter().collect();
            let marks = FindingMarks::new(&findings, &time, &frame);
            assert_eq!(marks.pills.iter().map(|pill| counted(&pill.words)).sum::<usize>(), findings.len());
            let mut ends = [f64::NEG_INFINITY; MOST_ROWS];
            let mut pills: Vec<&Pill> = marks.pills.iter().collect();
            pills.sort_by(|a, b| a.centre.total_cmp(&b.centre));
            for pill in pills {
                let half = width(&pill.words) / 2.0;
                assert!(pill.centre - half >= ends[pill.row] && pill.centre - half >= frame.left - 1e-9, "{pill:?}");
                assert!(pill.centre + half <= frame.right() + 1e-9, "{pill:?}");
                ends[pill.row] = pill.centre + half;
            }
        }
    }

    #[test]
    fn numbers_in_a_row_are_told_as_one_stretch() {
        assert_eq!(told(&[7]), "7");
        assert_eq!(told(&[12, 13, 14]), "12-14");
        assert_eq!(told(&[3, 5, 6]), "3, 5-6");
        assert_eq!(told(&[3, 5, 7, 9]), "3 +3");
    }
}
