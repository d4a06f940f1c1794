//! One drawing: layers of shapes drawn by the plotting library, texts placed by our own measure, one SVG document.
//!
//! The plotting library works in whole pixels and knows no dashes. So everything is drawn at ten times the size and
//! scaled back by the document's view box, and each layer is one group that carries the dash for its shapes.

use std::fmt::Write as _;

use chrono::{DateTime, Utc};
use plotters::coord::Shift;
use plotters::drawing::DrawingAreaErrorKind;
use plotters::prelude::{
    Circle, Color, DrawingArea, IntoDrawingArea, PathElement, Polygon, Rectangle, SVGBackend, ShapeStyle,
};
use plotters::style::RGBColor;

use super::readout::{Area, Plane, Readout};
use super::time_axis::TimeScale;
use crate::error::Error;
use crate::fonts::{FAMILY, Weight, text_width};
use crate::text_filter::for_embedded_faces;
use crate::theme::{self, Mark, Pen};

/// Drawing units per px.
pub(super) const FINE: f64 = 10.0;

/// A place on the sheet in drawing units.
pub(super) type Spot = (i32, i32);

/// A rectangle on the sheet, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) width: f64,
    pub(super) height: f64,
}

impl Frame {
    pub(super) fn right(&self) -> f64 {
        self.left + self.width
    }

    pub(super) fn bottom(&self) -> f64 {
        self.top + self.height
    }
}

/// Where a text stands from its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// How a text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TextLook {
    pub(super) size: f64,
    pub(super) weight: Weight,
    pub(super) colour: RGBColor,
    pub(super) anchor: Anchor,
    /// Whether it stands on a rim of paper, to be read over lines.
    pub(super) rimmed: bool,
}

impl TextLook {
    pub(super) const fn label() -> Self {
        Self {
            size: theme::LABEL_SIZE,
            weight: Weight::Regular,
            colour: theme::TEXT,
            anchor: Anchor::Start,
            rimmed: false,
        }
    }

    pub(super) const fn quiet() -> Self {
        Self { size: theme::TICK_SIZE, colour: theme::QUIET_TEXT, ..Self::label() }
    }

    pub(super) const fn small() -> Self {
        Self { size: theme::SMALL_SIZE, ..Self::quiet() }
    }

    pub(super) const fn anchored(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    pub(super) const fn strong(self) -> Self {
        Self { weight: Weight::SemiBold, ..self }
    }

    pub(super) const fn rimmed(self) -> Self {
        Self { rimmed: true, ..self }
    }

    pub(super) const fn coloured(self, colour: RGBColor) -> Self {
        Self { colour, ..self }
    }

    pub(super) fn width(&self, text: &str) -> f64 {
        text_width(text, self.size, self.weight)
    }

    /// The text, cut with an ellipsis where it is wider than `room` px.
    pub(super) fn fitted(&self, text: &str, room: f64) -> String {
        let text = for_embedded_faces(text).text;
        if self.width(&text) <= room {
            return text;
        }
        let mut kept = String::new();
        let mut width = self.width("…");
        for c in text.chars() {
            width += self.width(c.encode_utf8(&mut [0; 4]));
            if width > room {
                break;
            }
            kept.push(c);
        }
        format!("{}…", kept.trim_end())
    }
}

/// Height of a capital over its size, of the embedded family; centres a line of text on a place.
pub(super) const CAP_HEIGHT: f64 = 0.727;

/// A drawing in the making.
pub(super) struct Sheet {
    id: String,
    width: u32,
    height: u32,
    body: String,
    readout: Readout,
}

impl Sheet {
    pub(super) fn new(id: &str, width: u32, height: f64) -> Self {
        Self {
            id: id.to_owned(),
            width,
            height: height.ceil().max(1.0) as u32,
            body: String::new(),
            readout: Readout::default(),
        }
    }

    /// What the finished parts answer.
    pub(super) fn readout(&self) -> &Readout {
        &self.readout
    }

    /// Lets a part of the drawing answer over a time axis; all parts of a drawing share one.
    pub(super) fn answer(&mut self, time: &TimeScale, area: Area) {
        self.readout.from = Some(time.from);
        self.readout.length_s = time.length();
        self.readout.areas.push(area);
    }

    /// Lets a part of the drawing answer by states instead.
    ///
    /// # Arguments
    /// * `from`, `length_s`: the time axis of the states.
    pub(super) fn answer_states(&mut self, from: DateTime<Utc>, length_s: f64, plane: Plane) {
        self.readout = Readout { from: Some(from), length_s, areas: Vec::new(), plane: Some(plane) };
    }

    pub(super) fn size(&self) -> (u32, u32) {
        (self.width, self.height)
    }

    /// Lines in one look; a line of fewer than two places is drawn as a dot of the line's width.
    pub(super) fn lines(&mut self, class: &str, pen: &Pen, lines: &[Vec<Spot>]) -> Result<(), Error> {
        let style = stroke(pen.colour, pen.width);
        self.layer(class, pen, |area| {
            for line in lines {
                match line.as_slice() {
                    [] => {}
                    [only] => area.draw(&Circle::new(*only, fine(pen.width * 0.75), pen.colour.filled()))?,
                    _ => area.draw(&PathElement::new(line.clone(), style))?,
                }
            }
            Ok(())
        })
    }

    /// Filled shapes without outline.
    pub(super) fn areas(
        &mut self,
        class: &str,
        colour: RGBColor,
        opacity: f64,
        areas: &[Vec<Spot>],
    ) -> Result<(), Error> {
        self.layer(class, &Pen::solid(colour, 1.0), |area| {
            for shape in areas.iter().filter(|shape| shape.len() > 2) {
                area.draw(&Polygon::new(shape.clone(), colour.mix(opacity).filled()))?;
            }
            Ok(())
        })
    }

    /// Filled rectangles.
    pub(super) fn boxes(&mut self, class: &str, colour: RGBColor, boxes: &[Frame]) -> Result<(), Error> {
        self.layer(class, &Pen::solid(colour, 1.0), |area| {
            for b in boxes {
                area.draw(&Rectangle::new(corners(b), colour.filled()))?;
            }
            Ok(())
        })
    }

    /// Outlined rectangles.
    pub(super) fn outlines(&mut self, class: &str, pen: &Pen, boxes: &[Frame]) -> Result<(), Error> {
        let lines: Vec<Vec<Spot>> = boxes
            .iter()
            .map(|b| {
                let [(x0, y0), (x1, y1)] = corners(b);
                vec![(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
            })
            .collect();
        self.lines(class, pen, &lines)
    }

    /// Diagonal strokes inside rectangles, `step` px apart.
    pub(super) fn hatch(&mut self, class: &str, pen: &Pen, boxes: &[Frame], step: f64) -> Result<(), Error> {
        let mut lines = Vec::new();
        for b in boxes {
            // Strokes x - y = c, rising to the right, cut at the edges. Counted from the sheet's corner, so that
            // neighbouring boxes join up.
            let first = ((b.left + b.top) / step).ceil() as i64;
            let last = ((b.right() + b.bottom()) / step).floor() as i64;
            for n in first..=last {
                let sum = n as f64 * step;
                let from_x = b.left.max(sum - b.bottom());
                let to_x = b.right().min(sum - b.top);
                if to_x > from_x {
                    lines.push(vec![spot(from_x, sum - from_x), spot(to_x, sum - to_x)]);
                }
            }
        }
        self.lines(class, pen, &lines)
    }

    /// Dots inside rectangles on a grid of `step` px.
    pub(super) fn dots(&mut self, class: &str, colour: RGBColor, boxes: &[Frame], step: f64) -> Result<(), Error> {
        let mut dots = Vec::new();
        for b in boxes {
            let (columns, rows) = ((b.width / step) as i64, (b.height / step) as i64);
            let left = b.left + (b.width - (columns - 1).max(0) as f64 * step) / 2.0;
            let top = b.top + (b.height - (rows - 1).max(0) as f64 * step) / 2.0;
            for row in 0..rows {
                dots.extend((0..columns).map(|column| spot(left + column as f64 * step, top + row as f64 * step)));
            }
        }
        self.layer(class, &Pen::solid(colour, 1.0), |area| {
            for dot in &dots {
                area.draw(&Circle::new(*dot, fine(0.9), colour.filled()))?;
            }
            Ok(())
        })
    }

    /// Marks of one pen: filled, or hollow (paper inside).
    pub(super) fn marks(
        &mut self,
        class: &str,
        pen: &Pen,
        fill: Fill,
        radius: f64,
        places: &[Spot],
    ) -> Result<(), Error> {
        let pen = Pen { dash: theme::Dash::Solid, width: 1.5, ..*pen };
        let inside = if fill == Fill::Solid { pen.colour } else { theme::PAPER };
        self.layer(class, &pen, |area| {
            for &(x, y) in places {
                if pen.mark == Mark::Circle {
                    area.draw(&Circle::new((x, y), fine(radius), inside.filled()))?;
                    area.draw(&Circle::new((x, y), fine(radius), stroke(pen.colour, pen.width)))?;
                    continue;
                }
                let corner = |dx: f64, dy: f64| (x + fine(dx * radius), y + fine(dy * radius));
                let mut shape = match pen.mark {
                    Mark::Circle | Mark::Square => {
                        vec![corner(-0.9, -0.9), corner(0.9, -0.9), corner(0.9, 0.9), corner(-0.9, 0.9)]
                    }
                    Mark::Triangle => vec![corner(0.0, -1.15), corner(1.1, 0.8), corner(-1.1, 0.8)],
                    Mark::DownTriangle => vec![corner(0.0, 1.15), corner(1.1, -0.8), corner(-1.1, -0.8)],
                    Mark::Diamond => vec![corner(0.0, -1.25), corner(1.25, 0.0), corner(0.0, 1.25), corner(-1.25, 0.0)],
                };
                area.draw(&Polygon::new(shape.clone(), inside.filled()))?;
                shape.push(shape[0]);
                area.draw(&PathElement::new(shape, stroke(pen.colour, pen.width)))?;
            }
            Ok(())
        })
    }

    /// A line of text, its baseline at `y` px.
    pub(super) fn text(&mut self, x: f64, y: f64, text: &str, look: &TextLook) {
        let shown = for_embedded_faces(text).text;
        if shown.trim().is_empty() {
            return;
        }
        let anchor = match look.anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let weight = match look.weight {
            Weight::Regular => String::new(),
            weight => format!(" font-weight=\"{}\"", weight.number()),
        };
        let rim = if look.rimmed {
            format!(
                " stroke=\"{}\" stroke-width=\"40\" stroke-linejoin=\"round\" paint-order=\"stroke\"",
                theme::hex(theme::PAPER)
            )
        } else {
            String::new()
        };
        let (x, y) = spot(x, y);
        let class = if look.colour == theme::TEXT { "ink" } else { "quiet" };
        let _ = writeln!(
            self.body,
            "<text class=\"{class}\" x=\"{x}\" y=\"{y}\" font-size=\"{}\"{weight}{anchor} fill=\"{}\"{rim}>{}</text>",
            fine(look.size),
            theme::hex(look.colour),
            escaped(&shown)
        );
    }

    /// Two texts in one line, `gap` px between them, the baseline at `y` px: one element, so that the second follows
    /// the first also where a viewer has to set both in another face.
    pub(super) fn text_pair(&mut self, x: f64, y: f64, first: (&str, &TextLook), second: (&str, &TextLook), gap: f64) {
        let ((one, look), (two, next)) = (first, second);
        let two = for_embedded_faces(two).text;
        if one.trim().is_empty() {
            return self.text(x, y, &two, next);
        }
        self.text(x, y, one, &look.anchored(Anchor::Start));
        if two.trim().is_empty() {
            return;
        }
        let mut attributes = format!("dx=\"{}\"", fine(gap));
        if fine(next.size) != fine(look.size) {
            let _ = write!(attributes, " font-size=\"{}\"", fine(next.size));
        }
        if next.weight != look.weight {
            let _ = write!(attributes, " font-weight=\"{}\"", next.weight.number());
        }
        if next.colour != look.colour {
            let class = if next.colour == theme::TEXT { "ink" } else { "quiet" };
            let _ = write!(attributes, " class=\"{class}\" fill=\"{}\"", theme::hex(next.colour));
        }
        const END: &str = "</text>\n";
        self.body.truncate(self.body.len() - END.len());
        let _ = write!(self.body, "<tspan {attributes}>{}</tspan>{END}", escaped(&two));
    }

    /// A line of text centred in height on `y` px.
    pub(super) fn text_centred(&mut self, x: f64, y: f64, text: &str, look: &TextLook) {
        self.text(x, y + look.size * CAP_HEIGHT / 2.0, text, look);
    }

    /// The document.
    pub(super) fn finish(self, title: &str, description: &str) -> String {
        let Self { id, width, height, body, .. } = self;
        let clean = |text: &str| escaped(&for_embedded_faces(text).text);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {} {}\" \
             role=\"img\" aria-labelledby=\"{id}-title {id}-desc\" font-family=\"{FAMILY}, sans-serif\">\n\
             <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n\
             <rect class=\"paper\" width=\"100%\" height=\"100%\" fill=\"{}\"/>\n{body}</svg>\n",
            f64::from(width) * FINE,
            f64::from(height) * FINE,
            clean(title),
            clean(description),
            theme::hex(theme::PAPER),
        )
    }

    fn layer(
        &mut self,
        class: &str,
        pen: &Pen,
        draw: impl FnOnce(&DrawingArea<SVGBackend<'_>, Shift>) -> Result<(), DrawFault>,
    ) -> Result<(), Error> {
        let mut drawn = String::new();
        {
            let size = (self.width * FINE as u32, self.height * FINE as u32);
            let area = SVGBackend::with_string(&mut drawn, size).into_drawing_area();
            draw(&area)
                .and_then(|()| area.present())
                .map_err(|fault| Error::Chart { chart: self.id.clone(), reason: fault.to_string() })?;
        }
        // What the library wrote is one element a line between its own opening and closing tag.
        let shapes: Vec<&str> = drawn.lines().filter(|line| !line.starts_with("<svg") && *line != "</svg>").collect();
        if shapes.is_empty() {
            return Ok(());
        }
        let dash = match pen.dash.lengths() {
            [] => String::new(),
            lengths => {
                let lengths: Vec<String> = lengths.iter().map(|length| fine(*length).to_string()).collect();
                format!(" stroke-dasharray=\"{}\"", lengths.join(" "))
            }
        };
        let _ = writeln!(self.body, "<g class=\"{class}\" stroke-linejoin=\"round\"{dash}>");
        for shape in shapes {
            self.body.push_str(&shape.replace(" opacity=\"1\"", "").replace(" \"/>", "\"/>"));
            self.body.push('\n');
        }
        self.body.push_str("</g>\n");
        Ok(())
    }
}

/// Whether a mark is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fill {
    Solid,
    Hollow,
}

/// A place of `x`, `y` px.
pub(super) fn spot(x: f64, y: f64) -> Spot {
    (fine(x), fine(y))
}

/// Drawing units of a length in px; a length out of range ends at the greatest number there is.
pub(super) fn fine(px: f64) -> i32 {
    (px * FINE).round() as i32
}

type DrawFault = DrawingAreaErrorKind<std::io::Error>;

fn stroke(colour: RGBColor, width: f64) -> ShapeStyle {
    ShapeStyle { color: colour.mix(1.0), filled: false, stroke_width: fine(width).unsigned_abs() }
}

fn corners(frame: &Frame) -> [Spot; 2] {
    [spot(frame.left, frame.top), spot(frame.right(), frame.bottom())]
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_layer_is_one_group_with_its_dash_and_one_path_a_line() {
        let mut sheet = Sheet::new("t", 100, 50.0);
        let pen = Pen::solid(theme::BLUE, 1.5).dashed(theme::Dash::Long);
        sheet.lines("air", &pen, &[vec![(0, 0), (10, 20)], vec![(30, 5), (40, 6)]]).expect("drawn");
        let svg = sheet.finish("title <1>", "what & why");
        assert!(svg.contains("<g class=\"air\" stroke-linejoin=\"round\" stroke-dasharray=\"90 35\">"), "{svg}");
        assert_eq!(svg.matches("<polyline").count(), 2);
        assert!(svg.contains("points=\"0,0 10,20\"/>"), "{svg}");
        assert!(svg.contains("<title id=\"t-title\">title &lt;1&gt;</title>"), "{svg}");
        assert!(svg.contains("viewBox=\"0 0 1000 500\""), "{svg}");
    }

    #[test]
    fn hatch_stays_inside_its_box() {
        let mut sheet = Sheet::new("t", 100, 50.0);
        let frame = Frame { left: 10.0, top: 5.0, width: 30.0, height: 12.0 };
        sheet.hatch("h", &Pen::solid(theme::AXIS, 1.0), &[frame], 5.0).expect("drawn");
        let points: Vec<(i32, i32)> = sheet
            .body
            .split("points=\"")
            .skip(1)
            .flat_map(|part| part.split('"').next().unwrap_or("").split(' '))
            .map(|pair| {
                let (x, y) = pair.split_once(',').expect("a pair");
                (x.parse().expect("x"), y.parse().expect("y"))
            })
            .collect();
        assert!(points.len() > 8, "{points:?}");
        assert!(points.iter().all(|(x, y)| (100..=400).contains(x) && (50..=170).contains(y)), "{points:?}");
    }

    #[test]
    fn long_text_is_cut_where_its_room_ends() {
        let look = TextLook::label();
        let cut = look.fitted("a label that is far too long for the room", 100.0);
        assert!(cut.ends_with('…') && look.width(&cut) <= 100.0, "{cut}");
        assert_eq!(look.fitted("short", 100.0), "short");
        assert_eq!(look.fitted("\u{5e72}", 100.0), "[U+5E72]");
    }

    #[test]
    fn text_from_data_stays_text() {
        let mut sheet = Sheet::new("t", 100, 50.0);
        sheet.text(1.0, 2.0, "<script>&\"\u{0}", &TextLook::label());
        assert!(sheet.body.contains(">&lt;script&gt;&amp;&quot;[U+0000]</text>"), "{}", sheet.body);
    }
}
