//! How charts look: palette, inks, line styles, marks and sizes, in one place.
//!
//! Meaning never hangs on colour alone: what differs in colour differs in dash and mark too, and is named in words
//! beside the line. There is no colour for good and none for bad.
//!
//! # Source
//! Palette: M. Okabe and K. Ito, Color Universal Design (2008), chosen to be told apart with any colour vision. Its
//! yellow is left out: on white it is too pale for a line.

use grainfall_analysis::evidence::TrackPlace;
use plotters::style::RGBColor;

/// Black.
pub const BLACK: RGBColor = RGBColor(0, 0, 0);
/// Orange.
pub const ORANGE: RGBColor = RGBColor(230, 159, 0);
/// Sky blue.
pub const SKY_BLUE: RGBColor = RGBColor(86, 180, 233);
/// Bluish green.
pub const BLUISH_GREEN: RGBColor = RGBColor(0, 158, 115);
/// Blue.
pub const BLUE: RGBColor = RGBColor(0, 114, 178);
/// Vermillion.
pub const VERMILLION: RGBColor = RGBColor(213, 94, 0);
/// Reddish purple.
pub const REDDISH_PURPLE: RGBColor = RGBColor(204, 121, 167);

/// Text that carries meaning.
pub const TEXT: RGBColor = RGBColor(26, 26, 26);
/// Text that helps: axis labels, captions inside a drawing.
pub const QUIET_TEXT: RGBColor = RGBColor(84, 84, 84);
/// Axes and outlines.
pub const AXIS: RGBColor = RGBColor(120, 120, 120);
/// Grid lines.
pub const GRID: RGBColor = RGBColor(222, 222, 222);
/// Background.
pub const PAPER: RGBColor = RGBColor(255, 255, 255);
/// Light shade behind a span.
pub const SHADE: RGBColor = RGBColor(238, 238, 234);
/// A cell that is filled.
pub const SOLID: RGBColor = RGBColor(52, 73, 94);

/// The band of a forecast, in a legend.
pub const UNCERTAINTY: RGBColor = RGBColor(214, 231, 242);

/// Width of every chart, px.
pub const WIDTH: u32 = 720;
/// Size of a chart's title, px.
pub const TITLE_SIZE: f64 = 17.0;
/// Size of labels that carry meaning, px.
pub const LABEL_SIZE: f64 = 14.0;
/// Size of axis labels, px.
pub const TICK_SIZE: f64 = 13.0;
/// Size of the smallest text in a drawing, px.
pub const SMALL_SIZE: f64 = 12.0;

/// How a line is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dash {
    /// Not at all.
    Solid,
    /// Long dashes.
    Long,
    /// Short dashes.
    Short,
    /// Dots.
    Dots,
    /// Dash and dot.
    DashDot,
}

impl Dash {
    /// Lengths of strokes and gaps, px; empty for a solid line.
    #[must_use]
    pub const fn lengths(self) -> &'static [f64] {
        match self {
            Self::Solid => &[],
            Self::Long => &[9.0, 3.5],
            Self::Short => &[4.5, 2.5],
            Self::Dots => &[1.6, 2.4],
            Self::DashDot => &[8.0, 2.5, 1.6, 2.5],
        }
    }
}

/// The shape of a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// Circle.
    Circle,
    /// Square.
    Square,
    /// Triangle, point up.
    Triangle,
    /// Diamond.
    Diamond,
    /// Triangle, point down.
    DownTriangle,
}

/// How one line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Colour.
    pub colour: RGBColor,
    /// Width, px.
    pub width: f64,
    /// How it is broken.
    pub dash: Dash,
    /// Its mark.
    pub mark: Mark,
}

impl Pen {
    /// A solid line.
    #[must_use]
    pub const fn solid(colour: RGBColor, width: f64) -> Self {
        Self { colour, width, dash: Dash::Solid, mark: Mark::Circle }
    }

    /// The same line, broken otherwise.
    #[must_use]
    pub const fn dashed(self, dash: Dash) -> Self {
        Self { dash, ..self }
    }
}

/// How the air of a place is drawn.
///
/// # Arguments
/// * `place`: what air it is.
/// * `nth`: how many airs of the same place the chart has drawn before; each gets another dash and mark.
#[must_use]
pub fn pen_of_place(place: TrackPlace, nth: usize) -> Pen {
    let pen = match place {
        TrackPlace::Affected => Pen { colour: BLUE, width: 2.0, dash: Dash::Solid, mark: Mark::Circle },
        TrackPlace::Unaffected => Pen { colour: BLACK, width: 1.4, dash: Dash::Long, mark: Mark::Square },
        TrackPlace::Outdoor => Pen { colour: REDDISH_PURPLE, width: 1.6, dash: Dash::Dots, mark: Mark::Triangle },
        TrackPlace::Inlet => Pen { colour: SKY_BLUE, width: 1.6, dash: Dash::DashDot, mark: Mark::DownTriangle },
        TrackPlace::Outlet => return pen_of_unit(nth),
        TrackPlace::Surface => Pen { colour: ORANGE, width: 1.8, dash: Dash::DashDot, mark: Mark::DownTriangle },
        TrackPlace::Material => Pen { colour: BLUISH_GREEN, width: 1.6, dash: Dash::Short, mark: Mark::Square },
        TrackPlace::Hvac => Pen { colour: BLUISH_GREEN, width: 1.4, dash: Dash::DashDot, mark: Mark::Triangle },
        TrackPlace::Unplaced => Pen { colour: AXIS, width: 1.5, dash: Dash::Short, mark: Mark::Square },
    };
    if nth == 0 {
        return pen;
    }
    let others = DASHES.iter().filter(|dash| **dash != pen.dash).count();
    let dash = DASHES.iter().filter(|dash| **dash != pen.dash).nth((nth - 1) % others).copied();
    Pen { dash: dash.unwrap_or(pen.dash), mark: MARKS[nth % MARKS.len()], ..pen }
}

/// The colour of the `nth` chamber of a job, in every chart that shows its air or its progress.
#[must_use]
pub fn colour_of_chamber(nth: usize) -> RGBColor {
    const OF_CHAMBERS: [RGBColor; 4] = [BLUE, BLUISH_GREEN, ORANGE, VERMILLION];
    OF_CHAMBERS[nth % OF_CHAMBERS.len()]
}

/// How what leaves the `nth` unit of a chart is drawn.
#[must_use]
pub fn pen_of_unit(nth: usize) -> Pen {
    const COLOURS: [RGBColor; 4] = [VERMILLION, ORANGE, BLUISH_GREEN, REDDISH_PURPLE];
    const UNIT_DASHES: [Dash; 4] = [Dash::Short, Dash::DashDot, Dash::Solid, Dash::Long];
    Pen {
        colour: COLOURS[nth % COLOURS.len()],
        width: 1.7,
        dash: UNIT_DASHES[(nth + nth / COLOURS.len()) % UNIT_DASHES.len()],
        mark: [Mark::Diamond, Mark::DownTriangle, Mark::Square, Mark::Triangle][nth % 4],
    }
}

/// How much of its line's colour a band of uncertainty has.
pub const BAND_OPACITY: f64 = 0.16;

/// How a stretch of time without readings is bridged between two of them: nothing was measured there.
pub const NOT_MEASURED: Pen = Pen::solid(AXIS, 1.1).dashed(Dash::Dots);

/// The same pens, those that look like an earlier one changed: in one plot colour, dash and mark all differ for as long
/// as there are enough of them, and no two pens have all three alike.
///
/// # Arguments
/// * `pens`: of one plot, those that matter most first.
#[must_use]
pub fn distinct(pens: &[Pen]) -> Vec<Pen> {
    let mut drawn: Vec<Pen> = Vec::new();
    // The first that asks for a colour has it, so that a thing keeps its colour from chart to chart.
    let asks_first = |n: usize| !pens[..n].iter().any(|pen| alike(pen.colour, pens[n].colour));
    let mut taken: Vec<RGBColor> = (0..pens.len()).filter(|n| asks_first(*n)).map(|n| pens[n].colour).collect();
    for (n, wanted) in pens.iter().enumerate() {
        let free = |taken: &dyn Fn(&Pen) -> bool| !drawn.iter().any(taken);
        let dash = |dash: Dash| free(&|pen| pen.dash == dash);
        let mark = |mark: Mark| free(&|pen| pen.mark == mark);
        let other = || COLOURS.into_iter().chain([AXIS]).find(|one| !taken.iter().any(|taken| alike(*taken, *one)));
        let colour = if asks_first(n) { wanted.colour } else { other().unwrap_or(wanted.colour) };
        let dashes = || std::iter::once(wanted.dash).chain(DASHES);
        let marks = || std::iter::once(wanted.mark).chain(MARKS);
        let both = dashes().flat_map(|dash| marks().map(move |mark| (dash, mark)));
        let pair = |(dash, mark): &(Dash, Mark)| free(&|pen| pen.dash == *dash && pen.mark == *mark);
        let unused = both.clone().find(|(d, m)| dash(*d) && mark(*m)).or_else(|| both.clone().find(pair));
        let (dash, mark) = unused.unwrap_or((wanted.dash, wanted.mark));
        taken.push(colour);
        drawn.push(Pen { colour, dash, mark, ..*wanted });
    }
    drawn
}

/// Whether two colours are taken for one another in thin lines: the two blues are.
fn alike(a: RGBColor, b: RGBColor) -> bool {
    let blue = |colour: RGBColor| colour == BLUE || colour == SKY_BLUE;
    a == b || (blue(a) && blue(b))
}

/// Colours of lines, the ones told apart best first.
const COLOURS: [RGBColor; 6] = [BLUE, VERMILLION, BLUISH_GREEN, BLACK, REDDISH_PURPLE, ORANGE];

/// How the `nth` of several alike members is drawn (points, chambers, loggers without a place).
#[must_use]
pub fn pen_of_member(nth: usize) -> Pen {
    Pen {
        colour: COLOURS[nth % COLOURS.len()],
        width: 1.7,
        dash: DASHES[(nth + nth / COLOURS.len()) % DASHES.len()],
        mark: MARKS[(nth + nth / COLOURS.len()) % MARKS.len()],
    }
}

const DASHES: [Dash; 5] = [Dash::Solid, Dash::Long, Dash::Short, Dash::DashDot, Dash::Dots];
const MARKS: [Mark; 5] = [Mark::Circle, Mark::Square, Mark::Triangle, Mark::Diamond, Mark::DownTriangle];

/// A colour as CSS and SVG write it.
#[must_use]
pub fn hex(colour: RGBColor) -> String {
    format!("#{:02X}{:02X}{:02X}", colour.0, colour.1, colour.2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_members_of_a_chart_look_alike() {
        for pen in [pen_of_member as fn(usize) -> Pen, pen_of_unit] {
            for a in 0..12 {
                for b in 0..a {
                    let (a, b) = (pen(a), pen(b));
                    assert!(a.colour != b.colour || a.dash != b.dash, "{a:?} {b:?}");
                }
            }
        }
    }

    #[test]
    fn pens_of_one_plot_differ_in_colour_dash_and_mark() {
        let affected = |nth| pen_of_place(TrackPlace::Affected, nth);
        let wanted = [affected(0), affected(1), pen_of_place(TrackPlace::Inlet, 0), pen_of_unit(0), pen_of_unit(4)];
        let pens = distinct(&wanted);
        assert_eq!(pens[0], wanted[0]);
        for a in 0..pens.len() {
            for b in 0..a {
                assert!(!alike(pens[a].colour, pens[b].colour), "{a} {b}");
                assert!(pens[a].dash != pens[b].dash && pens[a].mark != pens[b].mark, "{a} {b}");
            }
        }
        let many = distinct(&vec![affected(0); 20]);
        for a in 0..many.len() {
            for b in 0..a {
                assert!((many[a].dash, many[a].mark) != (many[b].dash, many[b].mark), "{a} {b}");
            }
        }
    }

    #[test]
    fn affected_unaffected_and_outdoor_differ_without_colour() {
        let pens = [TrackPlace::Affected, TrackPlace::Unaffected, TrackPlace::Outdoor, TrackPlace::Outlet]
            .map(|place| pen_of_place(place, 0));
        for a in 0..pens.len() {
            for b in 0..a {
                assert_ne!(pens[a].dash, pens[b].dash);
                assert_ne!(pens[a].mark, pens[b].mark);
            }
        }
    }

    /// Contrast of text on paper by WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1.
    #[test]
    fn text_is_readable_on_paper() {
        let luminance = |c: RGBColor| {
            let part = |v: u8| {
                let v = f64::from(v) / 255.0;
                if v <= 0.040_45 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
            };
            0.2126 * part(c.0) + 0.7152 * part(c.1) + 0.0722 * part(c.2)
        };
        for text in [TEXT, QUIET_TEXT] {
            for ground in [PAPER, SHADE] {
                assert!((luminance(ground) + 0.05) / (luminance(text) + 0.05) >= 4.5);
            }
        }
        assert!((luminance(PAPER) + 0.05) / (luminance(SOLID) + 0.05) >= 4.5, "white on a filled cell");
    }
}
