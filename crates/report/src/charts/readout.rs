//! What a chart answers to a reader who points at a time: its areas, and what each line, reading and span says there.
//!
//! The drawing is complete without it. Times are seconds from the start of the chart's axis; values are in the units
//! shown, at the decimals shown.

use chrono::{DateTime, Utc};

use super::series::Sample;
use crate::theme::{self, Pen};

/// Samples of one line at most; of a longer line every n-th is kept, each with its own time and value.
const MOST_SAMPLES: usize = 1500;

/// The answers of one chart.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Readout {
    /// Start of the time axis; `None` for a chart that answers nothing.
    pub from: Option<DateTime<Utc>>,
    /// Length of the axis, s.
    pub length_s: f64,
    /// Parts of the drawing, each answering for itself.
    pub areas: Vec<Area>,
    /// A part in which states are drawn by two quantities instead of by time.
    pub plane: Option<Plane>,
}

/// A part of the drawing in which places stand for states, px of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Plane {
    /// The quantity across, then the one up.
    pub axes: [PlaneAxis; 2],
    /// Series of states, in the order in which they are read.
    pub series: Vec<States>,
    /// Time that one state stands for, s.
    pub each_s: f64,
}

/// A quantity along an edge of a plane.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaneAxis {
    /// Its name.
    pub name: String,
    /// Unit printed after each value.
    pub unit: String,
    /// Decimals of its values.
    pub decimals: usize,
    /// Value and place of the near end.
    pub from: (f64, f64),
    /// Value and place of the far end.
    pub to: (f64, f64),
}

/// The states of one thing in order of time.
#[derive(Debug, Clone, PartialEq)]
pub struct States {
    /// Its name.
    pub name: String,
    /// Its colour as drawn, in hexadecimal.
    pub colour: String,
    /// Seconds from the start of the axis, value across, value up.
    pub states: Vec<(f64, f64, f64)>,
}

/// A part of the drawing with a time axis along its width, px of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Area {
    /// What it is about; empty where the chart's title says it.
    pub title: String,
    /// Left end of the time axis.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Width of the time axis.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// What it answers, in the order in which it is read.
    pub groups: Vec<Group>,
}

/// Lines of one plot, or rows of one strip.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// The quantity, as on the axis; empty for rows without one.
    pub title: String,
    /// Unit printed after each value.
    pub unit: String,
    /// Its members.
    pub members: Vec<Member>,
}

/// One line, or one row.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// Its name.
    pub name: String,
    /// Its colour as drawn, in hexadecimal; empty for none.
    pub colour: String,
    /// What it says.
    pub says: Says,
}

/// What a member says over time.
#[derive(Debug, Clone, PartialEq)]
pub enum Says {
    /// A value at each sample.
    Samples {
        /// Stretches without a gap.
        stretches: Vec<Vec<Point>>,
        /// Decimals of its values.
        decimals: usize,
    },
    /// Words at a moment.
    Moments(Vec<(f64, String)>),
    /// Words over a span: from, to, words.
    Spans(Vec<(f64, f64, String)>),
}

/// A sample, with its expanded uncertainty where the chart draws one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Seconds from the start of the axis.
    pub at_s: f64,
    /// Value.
    pub value: f64,
    /// Expanded uncertainty.
    pub u: Option<f64>,
}

impl Member {
    /// A line of samples.
    ///
    /// # Arguments
    /// * `band`: lower and upper edge over the same samples; half their distance is the uncertainty.
    pub(super) fn line(
        name: &str,
        pen: &Pen,
        stretches: &[Vec<Sample>],
        band: Option<&super::stack::Band>,
        decimals: usize,
    ) -> Self {
        let total: usize = stretches.iter().map(Vec::len).sum();
        let step = total.div_ceil(MOST_SAMPLES).max(1);
        let half_width = |stretch: usize, index: usize| {
            let (lower, upper) = band?;
            let at = |edge: &[Vec<Sample>]| edge.get(stretch)?.get(index).copied();
            Some((at(upper)?.1 - at(lower)?.1) / 2.0)
        };
        // An edge without a value somewhere is cut elsewhere than the line: its samples then have no partner.
        let alike = band.is_some_and(|(lower, upper)| {
            let lengths = |edge: &[Vec<Sample>]| edge.iter().map(Vec::len).collect::<Vec<_>>();
            lengths(lower) == lengths(stretches) && lengths(upper) == lengths(stretches)
        });
        let stretches = stretches.iter().enumerate().map(|(number, stretch)| {
            let points = stretch.iter().enumerate().step_by(step);
            points
                .map(|(index, &(at_s, value))| Point {
                    at_s,
                    value,
                    u: if alike { half_width(number, index) } else { None },
                })
                .collect()
        });
        let says = Says::Samples { stretches: stretches.collect(), decimals };
        Self { name: name.to_owned(), colour: theme::hex(pen.colour), says }
    }

    /// A row of spans in words.
    pub(super) fn spans(name: &str, spans: Vec<(f64, f64, String)>) -> Self {
        Self { name: name.to_owned(), colour: String::new(), says: Says::Spans(spans) }
    }

    /// A row of moments in words.
    pub(super) fn moments(name: &str, pen: Option<&Pen>, moments: Vec<(f64, String)>) -> Self {
        let colour = pen.map_or_else(String::new, |pen| theme::hex(pen.colour));
        Self { name: name.to_owned(), colour, says: Says::Moments(moments) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theme::BLUE;

    fn points(member: &Member) -> Vec<Point> {
        match &member.says {
            Says::Samples { stretches, .. } => stretches.iter().flatten().copied().collect(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn long_lines_keep_real_samples_only() {
        let line: Vec<Sample> = (0..9000).map(|i| (f64::from(i), f64::from(i * i % 97))).collect();
        let member = Member::line("a", &Pen::solid(BLUE, 1.0), std::slice::from_ref(&line), None, 1);
        let kept = points(&member);
        assert!(kept.len() <= MOST_SAMPLES && kept.len() > MOST_SAMPLES / 2, "{}", kept.len());
        assert!(kept.iter().all(|point| line.contains(&(point.at_s, point.value))));
    }

    #[test]
    fn the_band_is_the_uncertainty_and_a_band_of_other_shape_is_none() {
        let line = vec![vec![(0.0, 10.0), (60.0, 12.0)]];
        let band = (vec![vec![(0.0, 8.0), (60.0, 11.0)]], vec![vec![(0.0, 12.0), (60.0, 13.0)]]);
        let pen = Pen::solid(BLUE, 1.0);
        let u: Vec<_> = points(&Member::line("a", &pen, &line, Some(&band), 1)).iter().map(|p| p.u).collect();
        assert_eq!(u, [Some(2.0), Some(1.0)]);
        let short = (vec![vec![(0.0, 8.0)]], vec![vec![(0.0, 12.0)]]);
        assert!(points(&Member::line("a", &pen, &line, Some(&short), 1)).iter().all(|p| p.u.is_none()));
    }
}
