//! One plot: a value axis over the time axis, with its grid.

use chrono::{DateTime, NaiveDate, Utc};
use plotters::coord::CoordTranslate;
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::Cartesian2d;

use super::series::{self, Sample};
use super::sheet::{Anchor, Frame, Sheet, Spot, TextLook, spot};
use super::time_axis::TimeScale;
use crate::error::Error;
use crate::number_format::shown;
use crate::theme::{self, Pen};

/// A value axis: its range and its marks.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ValueScale {
    pub(super) least: f64,
    pub(super) most: f64,
    pub(super) ticks: Vec<f64>,
    pub(super) decimals: usize,
}

impl ValueScale {
    /// A scale that holds all values, with about `wanted` round marks.
    ///
    /// # Arguments
    /// * `least_span`: the range is at least this wide, so that noise does not fill a plot.
    ///
    /// # Returns
    /// `None` if there is no value.
    pub(super) fn holding(values: impl Iterator<Item = f64>, least_span: f64, wanted: usize) -> Option<Self> {
        let (least, most) = values
            .filter(|v| v.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        if least > most {
            return None;
        }
        let lacking = (least_span - (most - least)).max(0.0) / 2.0;
        let span = (most - least).max(least_span);
        let (low, high) = (least - lacking - span * 0.04, most + lacking + span * 0.04);
        // Never a negative axis for values that cannot be negative.
        let low = if least >= 0.0 { low.max(0.0) } else { low };
        let (step, ticks) = round_ticks(low, high, wanted);
        let decimals = (-(step * 1.000_001).log10().floor()).max(0.0) as usize;
        Some(Self { least: low, most: high, ticks, decimals })
    }
}

/// Multiples of the widest step of 1, 2 or 5 times a power of ten that gives nearly as many marks as wanted; none
/// where a range is too narrow for its distance from zero to be told apart.
fn round_ticks(low: f64, high: f64, wanted: usize) -> (f64, Vec<f64>) {
    let enough = wanted.saturating_sub(1).max(2) as i64;
    let mut power = 10.0_f64.powf((high - low).max(1e-9).log10().ceil());
    for _ in 0..4 {
        for part in [5.0, 2.0, 1.0] {
            let step = part * power / 10.0;
            let (first, last) = ((low / step).ceil() as i64, (high / step).floor() as i64);
            if last.saturating_sub(first).saturating_add(1) >= enough {
                return (step, (first..=last).map(|n| n as f64 * step).collect());
            }
        }
        power /= 10.0;
    }
    (high - low, Vec::new())
}

/// What divides the time axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ticks {
    /// Days: `Mon 6 Oct`, `Tue 7`.
    Days,
    /// Hours: `06:00`.
    Hours,
    /// Days in a small plot: `6 Oct`, `8`.
    FewDays,
}

/// Whether the time axis has its words below the plot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Below {
    /// It has.
    Words,
    /// The plot below carries them.
    Nothing,
}

/// One plot.
pub(super) struct Panel<'a> {
    pub(super) frame: Frame,
    pub(super) time: &'a TimeScale,
    pub(super) value: ValueScale,
    coord: Cartesian2d<RangedCoordf64, RangedCoordf64>,
}

impl<'a> Panel<'a> {
    pub(super) fn new(frame: Frame, time: &'a TimeScale, value: ValueScale) -> Self {
        let (left, top) = spot(frame.left, frame.top);
        let (right, bottom) = spot(frame.right(), frame.bottom());
        let coord = Cartesian2d::new(0.0..time.length(), value.least..value.most, (left..right, bottom..top));
        Self { frame, time, value, coord }
    }

    /// Place of a sample; values beyond the axis stand at its end.
    pub(super) fn at(&self, sample: Sample) -> Spot {
        let seconds = sample.0.clamp(0.0, self.time.length());
        self.coord.translate(&(seconds, sample.1.clamp(self.value.least, self.value.most)))
    }

    /// Place of an instant and a value.
    pub(super) fn at_time(&self, time: DateTime<Utc>, value: f64) -> Spot {
        self.at((self.time.seconds(time), value))
    }

    /// Place of an instant on the sheet, px.
    pub(super) fn x(&self, time: DateTime<Utc>) -> f64 {
        let share = (self.time.seconds(time) / self.time.length()).clamp(0.0, 1.0);
        self.frame.left + share * self.frame.width
    }

    /// Lines of samples, thinned, in one look.
    pub(super) fn lines(&self, sheet: &mut Sheet, class: &str, pen: &Pen, lines: &[Vec<Sample>]) -> Result<(), Error> {
        let thin = series::thinned(lines, self.time.length(), self.frame.width);
        let lines: Vec<Vec<Spot>> = thin.iter().map(|line| line.iter().map(|s| self.at(*s)).collect()).collect();
        sheet.lines(class, pen, &lines)
    }

    /// A band between two lines over the same samples.
    pub(super) fn band(
        &self,
        sheet: &mut Sheet,
        class: &str,
        pen: &Pen,
        lower: &[Vec<Sample>],
        upper: &[Vec<Sample>],
    ) -> Result<(), Error> {
        let bands = series::bands(lower, upper, self.time.length(), self.frame.width);
        let shapes: Vec<Vec<Spot>> = bands.iter().map(|band| band.iter().map(|s| self.at(*s)).collect()).collect();
        sheet.areas(class, pen.colour, theme::BAND_OPACITY, &shapes)
    }

    /// A level across the plot.
    pub(super) fn level(&self, sheet: &mut Sheet, class: &str, pen: &Pen, value: f64) -> Result<(), Error> {
        let ends = vec![self.at((0.0, value)), self.at((self.time.length(), value))];
        sheet.lines(class, pen, &[ends])
    }

    /// Full-height boxes over spans of time.
    pub(super) fn columns(&self, spans: &[(DateTime<Utc>, DateTime<Utc>)]) -> Vec<Frame> {
        spans
            .iter()
            .filter_map(|&(from, to)| self.time.clipped(from, to))
            .map(|(from, to)| {
                let left = self.x(from);
                Frame { left, width: (self.x(to) - left).max(0.8), ..self.frame }
            })
            .collect()
    }

    /// Grid, axis and their words. To be drawn before the lines.
    pub(super) fn draw_grid(
        &self,
        sheet: &mut Sheet,
        axis_title: &str,
        ticks: Ticks,
        below: Below,
    ) -> Result<(), Error> {
        let Frame { left, top, .. } = self.frame;
        let (right, bottom) = (self.frame.right(), self.frame.bottom());
        let grid = Pen::solid(theme::GRID, 1.0);
        let mut lines: Vec<Vec<Spot>> = Vec::new();
        let look = if ticks == Ticks::FewDays { TextLook::small() } else { TextLook::quiet() };
        for tick in &self.value.ticks {
            let y = self.at((0.0, *tick)).1;
            lines.push(vec![(spot(left, 0.0).0, y), (spot(right, 0.0).0, y)]);
            let words = shown(self.time.words, *tick, self.value.decimals);
            sheet.text_centred(left - 6.0, f64::from(y) / 10.0, &words, &look.anchored(Anchor::End));
        }
        let times: Vec<DateTime<Utc>> = match ticks {
            Ticks::Hours => self.time.hours(3).into_iter().map(|tick| tick.0).collect(),
            Ticks::Days | Ticks::FewDays => self.midnights(),
        };
        lines.extend(times.iter().map(|time| vec![spot(self.x(*time), top), spot(self.x(*time), bottom)]));
        sheet.lines("grid", &grid, &lines)?;
        let axis = Pen::solid(theme::AXIS, 1.0);
        sheet.lines("axis", &axis, &[vec![spot(left, bottom), spot(right, bottom)]])?;
        if !axis_title.is_empty() {
            sheet.text(left, top - 8.0, &look.fitted(axis_title, right - left), &look);
        }
        match (below, ticks) {
            (Below::Nothing, _) => {}
            (Below::Words, Ticks::Days | Ticks::FewDays) => self.draw_day_words(sheet, ticks, &look),
            (Below::Words, Ticks::Hours) => {
                for (time, words) in self.time.hours(3) {
                    sheet.text(self.x(time), bottom + 17.0, &words, &look.anchored(Anchor::Middle));
                }
            }
        }
        Ok(())
    }

    /// Local midnights: of every day, else of every Monday, else of every first of a month, as there is room.
    fn midnights(&self) -> Vec<DateTime<Utc>> {
        use chrono::{Datelike, Weekday};
        let day_width = self.frame.width / (self.time.length() / 86_400.0).max(1.0);
        let wanted = |date: NaiveDate| {
            day_width >= CLOSEST_LINES
                || (date.weekday() == Weekday::Mon && day_width * 7.0 >= CLOSEST_LINES)
                || (date.day() == 1 && day_width * 7.0 < CLOSEST_LINES)
        };
        let days = self.time.days.iter().filter(|day| wanted(day.0)).map(|day| day.1);
        days.filter(|midnight| self.time.contains(*midnight)).collect()
    }

    /// Dates, each in the middle of its day, on every day or every n-th, as there is room. The month stands with the
    /// first date that has room for it.
    fn draw_day_words(&self, sheet: &mut Sheet, ticks: Ticks, look: &TextLook) {
        use chrono::Datelike;
        let centre = look.anchored(Anchor::Middle);
        let y = self.frame.bottom() + if ticks == Ticks::FewDays { 14.0 } else { 17.0 };
        // Where only one date in many has words, its month says more than its weekday.
        let by_month = self.time.days.len() > MANY_DAYS;
        let short = |date: NaiveDate| match ticks {
            _ if by_month => self.time.short_day(date),
            Ticks::FewDays => date.format("%-d").to_string(),
            Ticks::Days | Ticks::Hours => self.time.weekday(date, &date.format("%-d").to_string()),
        };
        let long = |date: NaiveDate| match ticks {
            Ticks::Days | Ticks::Hours if !by_month => self.time.weekday(date, &self.time.short_day(date)),
            _ => self.time.short_day(date),
        };
        let days: Vec<(NaiveDate, f64, f64)> =
            self.time.days.iter().map(|(date, from, to)| (*date, self.x(*from), self.x(*to))).collect();
        let widest = days.iter().map(|day| centre.width(&short(day.0))).fold(0.0, f64::max);
        let day_width = days.iter().map(|day| day.2 - day.1).fold(0.0, f64::max);
        if day_width <= 0.0 {
            return;
        }
        // The sliver of a day at an end of the record gets no words of its own.
        let seen =
            |day: &&(NaiveDate, f64, f64)| day.2 - day.1 >= (centre.width(&short(day.0)) * 0.7).min(day_width * 0.9);
        let worded: Vec<(NaiveDate, f64, f64)> = days.iter().filter(seen).copied().collect();
        let step = (((widest + 7.0) / day_width).ceil() as usize).max(1);
        let mut month = None;
        let mut free_from = self.frame.left - 8.0;
        for (index, (date, left, right)) in worded.iter().enumerate().step_by(step) {
            let middle = f64::midpoint(*left, *right);
            let next = worded.get(index + step).map_or(self.frame.right() + 8.0, |next| {
                f64::midpoint(next.1, next.2) - centre.width(&short(next.0)) / 2.0 - 5.0
            });
            let half = |words: &str| centre.width(words) / 2.0;
            let (with_month, without) = (long(*date), short(*date));
            let has_room = middle - half(&with_month) >= free_from && middle + half(&with_month) <= next;
            let words = if month != Some(date.month()) && has_room { with_month } else { without.clone() };
            if middle - half(&words) < free_from || middle + half(&words) > self.frame.right() + 8.0 {
                continue;
            }
            if words != without {
                month = Some(date.month());
            }
            sheet.text(middle, y, &words, &centre);
            free_from = middle + half(&words) + 5.0;
        }
    }
}

/// Lines of a grid closer than this become a surface, px.
const CLOSEST_LINES: f64 = 7.0;

/// Days from which on dates are told with their month.
const MANY_DAYS: usize = 45;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::sample;
    use crate::words::Words;

    #[test]
    fn marks_of_an_axis_are_round_and_inside() {
        let scale = ValueScale::holding([41.2, 92.4].into_iter(), 1.0, 6).expect("a scale");
        assert_eq!(scale.ticks, [40.0, 50.0, 60.0, 70.0, 80.0, 90.0]);
        assert_eq!(scale.decimals, 0);
        let scale = ValueScale::holding([0.41, 0.52].into_iter(), 0.05, 4).expect("a scale");
        assert!(scale.decimals == 2 && scale.ticks.len() >= 2, "{scale:?}");
        assert!(ValueScale::holding([f64::NAN].into_iter(), 1.0, 5).is_none());
    }

    #[test]
    fn values_that_are_all_alike_get_a_range() {
        let scale = ValueScale::holding([12.0, 12.0].into_iter(), 4.0, 3).expect("a scale");
        assert!(scale.least < 10.1 && scale.most > 13.9, "{scale:?}");
        let scale = ValueScale::holding([0.0].into_iter(), 4.0, 3).expect("a scale");
        assert!(scale.least.abs() < 1e-12, "{scale:?}");
    }

    #[test]
    fn absurd_values_do_not_hang_the_axis() {
        for (low, high) in [(1e18, 1e18), (f64::MIN, f64::MAX), (0.0, f64::MAX), (1e-300, 2e-300)] {
            let scale = ValueScale::holding([low, high].into_iter(), 1.0, 5).expect("a scale");
            assert!(scale.ticks.len() < 20, "{scale:?}");
        }
    }

    #[test]
    fn grid_lines_stay_apart_however_long_the_record() {
        let evidence = sample().evidence;
        let short = TimeScale::of_record(&evidence, Words::default()).expect("a zone").expect("a length");
        let frame = Frame { left: 64.0, top: 0.0, width: 480.0, height: 100.0 };
        for days in [8, 30, 60, 120, 300, 800] {
            let time = short.extended(short.from + chrono::Duration::days(days));
            let scale = ValueScale { least: 0.0, most: 1.0, ticks: vec![], decimals: 0 };
            let panel = Panel::new(frame, &time, scale);
            let lines: Vec<f64> = panel.midnights().into_iter().map(|midnight| panel.x(midnight)).collect();
            assert!(lines.len() > 4, "{days} days: {} lines", lines.len());
            // A short month or a change of clocks brings two a little nearer.
            let nearest = lines.windows(2).map(|pair| pair[1] - pair[0]).fold(f64::INFINITY, f64::min);
            assert!(nearest > CLOSEST_LINES * 0.9, "{days} days: {nearest} px");
        }
    }
}
