//! Labels at line ends, pushed apart until none covers another.

use plotters::style::RGBColor;

use super::finding_marks::{self, pill};
use super::sheet::{Anchor, CAP_HEIGHT, Fill, Frame, Sheet, Spot, TextLook, spot};
use crate::error::Error;
use crate::theme::{self, Dash, Pen};

/// Height of one label line, px.
pub(super) const LINE: f64 = 17.0;

/// The name of a line, to be written at its end.
#[derive(Debug, Clone)]
pub(super) struct EndLabel {
    /// Where the line ends.
    pub(super) end: Spot,
    /// The name.
    pub(super) text: String,
    /// Its value, set apart.
    pub(super) value: String,
    /// How the line looks.
    pub(super) pen: Pen,
    /// Whether its last mark is filled.
    pub(super) fill: Fill,
}

/// Room that labels need right of a plot, px; at most `most`.
pub(super) fn room<'a>(labels: impl Iterator<Item = (&'a str, &'a str)>, most: f64) -> f64 {
    let look = TextLook::label();
    let widest = labels
        .map(|(text, value)| {
            let gap = if value.is_empty() { 0.0 } else { GAP };
            look.width(&crate::text_filter::for_embedded_faces(text).text) + gap + look.strong().width(value)
        })
        .fold(0.0, f64::max);
    (LEADER + widest + 8.0).min(most)
}

/// Labels right of a plot, each joined to the end of its line.
pub(super) fn draw_end_labels(sheet: &mut Sheet, plot: &Frame, labels: &[EndLabel]) -> Result<(), Error> {
    let wanted: Vec<f64> = labels.iter().map(|label| f64::from(label.end.1) / super::sheet::FINE).collect();
    let placed = spread(&wanted, LINE, plot.top + LINE / 2.0, plot.bottom() - LINE / 2.0);
    let x = plot.right() + LEADER;
    let look = TextLook::label();
    let room = f64::from(sheet.size().0) - x - 6.0;
    for (label, y) in labels.iter().zip(placed) {
        let (end_x, end_y) = (f64::from(label.end.0) / super::sheet::FINE, f64::from(label.end.1) / super::sheet::FINE);
        // Level to the plot's edge, then across to the label.
        if end_x < plot.right() - 2.0 {
            let level = vec![vec![spot(end_x, end_y), spot(plot.right() + 3.0, end_y)]];
            // Not in the line's own look: nothing was measured there.
            sheet.lines("leader", &theme::NOT_MEASURED, &level)?;
        }
        let across = vec![vec![
            spot(plot.right() + 3.0, end_y),
            spot(plot.right() + LEADER - 12.0, y),
            spot(plot.right() + LEADER - 4.0, y),
        ]];
        sheet.lines("leader", &Pen::solid(label.pen.colour, 0.9), &across)?;
        sheet.marks("end", &label.pen, label.fill, 3.2, &[label.end])?;
        let value_width = look.strong().width(&label.value);
        let gap = if label.value.is_empty() { 0.0 } else { GAP };
        let name = look.fitted(&label.text, room - value_width - gap);
        let baseline = y + look.size * CAP_HEIGHT / 2.0;
        sheet.text_pair(x, baseline, (&name, &look), (&label.value, &look.strong()), gap);
    }
    Ok(())
}

/// Places for lines of text as near as can be to where they are wanted, none over another.
///
/// # Arguments
/// * `wanted`: centres.
/// * `height`: of one line; halved steps are used where they do not fit otherwise.
/// * `from`, `to`: least and greatest centre.
///
/// # Returns
/// Centres in the order of `wanted`; between equal wishes the first stays above.
pub(super) fn spread(wanted: &[f64], height: f64, from: f64, to: f64) -> Vec<f64> {
    let count = wanted.len();
    if count == 0 {
        return Vec::new();
    }
    let step = if count > 1 { height.min((to - from).max(0.0) / (count - 1) as f64) } else { height };
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|&a, &b| wanted[a].total_cmp(&wanted[b]).then(a.cmp(&b)));
    // With the n-th place moved up by n steps, places must not fall. Blocks of equal shifted places, each at the mean
    // of its wishes, merged while they fall: the least squares answer.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for (n, &index) in order.iter().enumerate() {
        let last_at = to - (count - 1) as f64 * step;
        let mut block = ((wanted[index] - n as f64 * step).clamp(from, last_at.max(from)), 1);
        while let Some(&(mean, size)) = blocks.last() {
            if mean <= block.0 {
                break;
            }
            blocks.pop();
            block = ((mean * size as f64 + block.0 * block.1 as f64) / (size + block.1) as f64, size + block.1);
        }
        blocks.push(block);
    }
    let mut placed = vec![0.0; count];
    let mut n = 0;
    for (mean, size) in blocks {
        for _ in 0..size {
            placed[order[n]] = mean + n as f64 * step;
            n += 1;
        }
    }
    placed
}

/// A line of words with samples of what they name, wrapped at the sheet's width.
pub(super) struct Legend {
    entries: Vec<(Sample, String)>,
}

/// What a legend shows before a word.
#[derive(Debug, Clone, Copy)]
pub(super) enum Sample {
    /// A cell, filled.
    Filled(RGBColor),
    /// A cell filled as a band about a line of this colour.
    Band(RGBColor),
    /// A cell with diagonal strokes.
    Hatched,
    /// A cell with dots.
    Dotted,
    /// A thin line.
    ThinLine,
    /// A filled cell with a notch from below.
    NotchBelow(RGBColor),
    /// A filled cell with a notch from above.
    NotchAbove(RGBColor),
    /// A mark.
    Mark(Pen, Fill),
    /// A line.
    Line(Pen),
    /// An arrow up.
    ArrowUp,
    /// A cross.
    Cross,
    /// A number in a circle.
    Number,
    /// A stretch of time with its ends.
    Span,
    /// A vertical line.
    Moment,
    /// A dotted vertical line.
    LostMoment,
    /// A dashed outline.
    DashedBox,
    /// A triangle pointing to the right.
    Onward,
}

impl Legend {
    pub(super) fn new(entries: Vec<(Sample, String)>) -> Self {
        Self { entries }
    }

    /// With more entries after its own.
    pub(super) fn and(&self, more: Vec<(Sample, String)>) -> Self {
        Self { entries: self.entries.iter().cloned().chain(more).collect() }
    }

    /// Height it takes in `width` px.
    pub(super) fn height(&self, width: f64) -> f64 {
        self.places(width).last().map_or(0.0, |last| last.1 + LEGEND_LINE)
    }

    pub(super) fn draw(&self, sheet: &mut Sheet, left: f64, top: f64, width: f64) -> Result<(), Error> {
        let look = TextLook::small();
        for ((sample, words), (x, y)) in self.entries.iter().zip(self.places(width)) {
            let frame = Frame { left: left + x, top: top + y + 3.0, width: 20.0, height: 11.0 };
            draw_sample(sheet, *sample, &frame)?;
            sheet.text_centred(frame.right() + 6.0, frame.top + frame.height / 2.0, words, &look);
        }
        Ok(())
    }

    fn places(&self, width: f64) -> Vec<(f64, f64)> {
        let look = TextLook::small();
        let (mut x, mut y) = (0.0, 0.0);
        let mut places = Vec::new();
        for (_, words) in &self.entries {
            // A tenth more than measured: a viewer may have to set it in a wider face.
            let wide = 26.0 + look.width(words) * 1.1 + 12.0;
            if x > 0.0 && x + wide - 12.0 > width {
                (x, y) = (0.0, y + LEGEND_LINE);
            }
            places.push((x, y));
            x += wide;
        }
        places
    }
}

const LEGEND_LINE: f64 = 19.0;
const LEADER: f64 = 22.0;
const GAP: f64 = 6.0;

fn draw_sample(sheet: &mut Sheet, sample: Sample, frame: &Frame) -> Result<(), Error> {
    let (middle_x, middle_y) = (frame.left + frame.width / 2.0, frame.top + frame.height / 2.0);
    let outline = Pen::solid(theme::AXIS, 1.0);
    match sample {
        Sample::Filled(colour) => sheet.boxes("solid", colour, &[*frame]),
        Sample::Band(colour) => {
            let (top, bottom) = (frame.top, frame.top + frame.height);
            let corners = [(frame.left, top), (frame.right(), top), (frame.right(), bottom), (frame.left, bottom)];
            let corners = corners.into_iter().map(|(x, y)| spot(x, y)).collect();
            sheet.areas("band", colour, theme::BAND_OPACITY, &[corners])
        }
        Sample::Hatched => {
            sheet.hatch("hatch", &outline, &[*frame], 5.0)?;
            sheet.outlines("hatch", &outline, &[*frame])
        }
        Sample::Dotted => {
            sheet.dots("dots", theme::QUIET_TEXT, &[*frame], 4.5)?;
            sheet.outlines("dots", &outline, &[*frame])
        }
        Sample::ThinLine => sheet.lines(
            "thin",
            &Pen::solid(theme::QUIET_TEXT, 1.5),
            &[vec![spot(frame.left, middle_y), spot(frame.right(), middle_y)]],
        ),
        Sample::NotchBelow(colour) => {
            sheet.boxes("solid", colour, &[*frame])?;
            notch(sheet, &Frame { left: middle_x - 4.0, top: middle_y, width: 8.0, height: frame.height / 2.0 })
        }
        Sample::NotchAbove(colour) => {
            sheet.boxes("solid", colour, &[*frame])?;
            notch(sheet, &Frame { left: middle_x - 4.0, top: frame.top, width: 8.0, height: frame.height / 3.0 })
        }
        Sample::Mark(pen, fill) => sheet.marks("mark", &pen, fill, 4.0, &[spot(middle_x, middle_y)]),
        Sample::Line(pen) => {
            sheet.lines("line", &pen, &[vec![spot(frame.left, middle_y), spot(frame.right(), middle_y)]])
        }
        Sample::ArrowUp => arrow_up(sheet, &Pen::solid(theme::TEXT, 1.5), &[spot(middle_x, frame.bottom())]),
        Sample::Cross => cross(sheet, &Pen::solid(theme::TEXT, 1.5), &[spot(middle_x, middle_y)]),
        Sample::Number => {
            pill(sheet, &Pen::solid(theme::QUIET_TEXT, 1.1), middle_x, middle_y, 8.0)?;
            let look = TextLook { size: 11.5, ..TextLook::label() }.anchored(Anchor::Middle);
            sheet.text_centred(middle_x, middle_y, "n", &look);
            Ok(())
        }
        Sample::Span => {
            let span = finding_marks::span(frame.left, frame.right(), middle_y);
            sheet.lines("span", &Pen::solid(theme::QUIET_TEXT, 1.1), &span)
        }
        Sample::DashedBox => sheet.outlines("paused", &Pen::solid(theme::TEXT, 1.0).dashed(Dash::Short), &[*frame]),
        Sample::Onward => onward(sheet, &Pen::solid(theme::TEXT, 1.2), &[spot(middle_x - 2.0, middle_y)]),
        Sample::LostMoment => sheet.lines(
            "lost",
            &Pen::solid(theme::TEXT, 1.4).dashed(Dash::Dots),
            &[vec![spot(middle_x, frame.top - 2.0), spot(middle_x, frame.bottom() + 2.0)]],
        ),
        Sample::Moment => sheet.lines(
            "moment",
            &Pen::solid(theme::TEXT, 2.0),
            &[vec![spot(middle_x, frame.top - 2.0), spot(middle_x, frame.bottom() + 2.0)]],
        ),
    }
}

/// A cut into a cell: paper with a thin edge.
pub(super) fn notch(sheet: &mut Sheet, frame: &Frame) -> Result<(), Error> {
    sheet.boxes("notch", theme::PAPER, &[*frame])?;
    sheet.outlines("notch", &Pen::solid(theme::TEXT, 0.8), &[*frame])
}

/// Arrows that rise from places: the value is at least this.
pub(super) fn arrow_up(sheet: &mut Sheet, pen: &Pen, places: &[Spot]) -> Result<(), Error> {
    let lines: Vec<Vec<Spot>> = places
        .iter()
        .flat_map(|&(x, y)| {
            let tip = y - 130;
            [vec![(x, y), (x, tip)], vec![(x - 40, tip + 50), (x, tip), (x + 40, tip + 50)]]
        })
        .collect();
    sheet.lines("arrow", pen, &lines)
}

/// Triangles pointing to the right: it goes on.
pub(super) fn onward(sheet: &mut Sheet, pen: &Pen, places: &[Spot]) -> Result<(), Error> {
    let shapes: Vec<Vec<Spot>> = places.iter().map(|&(x, y)| vec![(x, y - 45), (x + 60, y), (x, y + 45)]).collect();
    sheet.areas("onward", pen.colour, 1.0, &shapes)
}

/// Crosses at places: no number.
pub(super) fn cross(sheet: &mut Sheet, pen: &Pen, places: &[Spot]) -> Result<(), Error> {
    let lines: Vec<Vec<Spot>> = places
        .iter()
        .flat_map(|&(x, y)| [vec![(x - 35, y - 35), (x + 35, y + 35)], vec![(x - 35, y + 35), (x + 35, y - 35)]])
        .collect();
    sheet.lines("cross", pen, &lines)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_that_do_not_touch_stay_where_they_are() {
        assert_eq!(spread(&[30.0, 10.0, 80.0], 10.0, 0.0, 100.0), [30.0, 10.0, 80.0]);
    }

    #[test]
    fn two_labels_at_one_place_share_the_shift() {
        assert_eq!(spread(&[50.0, 50.0], 10.0, 0.0, 100.0), [45.0, 55.0]);
    }

    #[test]
    fn no_two_labels_touch_and_all_stay_inside() {
        for count in 1..13_usize {
            for shift in 0..50 {
                let wanted: Vec<f64> = (0..count).map(|i| f64::from((i as i32 * 97 + shift * 31) % 300 - 50)).collect();
                let placed = spread(&wanted, 15.0, 0.0, 200.0);
                for (a, one) in placed.iter().enumerate() {
                    assert!((-1e-9..=200.0 + 1e-9).contains(one), "{placed:?}");
                    for other in &placed[..a] {
                        assert!((one - other).abs() >= 15.0 - 1e-9, "{placed:?}");
                    }
                }
            }
        }
    }
}
