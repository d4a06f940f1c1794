//! What a column holds, from a sample of its rows.

use std::collections::BTreeMap;

use grainfall_record::Quantity;
use rayon::prelude::*;

use super::heading::Heading;
use crate::limits::limits;
use crate::number::{Mark, Marks, Number, marked, number};
use crate::table::layout::Kind;
use crate::table::{Delimiter, Layout, Table};
use crate::time::stamp::Stamp;
use crate::units::Unit;
use crate::words::words;

/// Rows of the sample.
const SAMPLE: usize = 1500;
/// Different texts remembered of a column.
const DISTINCT: usize = 256;

/// A column in a sample of rows, spread evenly over the data.
#[derive(Debug, Clone, Default)]
pub(crate) struct Profile {
    pub filled: usize,
    pub missing: usize,
    pub numbers: usize,
    pub integers: usize,
    /// Date and time, date alone, time alone.
    pub stamps: usize,
    pub dates: usize,
    pub times: usize,
    /// Stamps with an offset from UTC.
    pub offsets: usize,
    pub mark: Option<Mark>,
    /// Numbers in sample order; `None` where the cell is none.
    pub values: Vec<Option<f64>>,
    /// Units behind the numbers.
    pub suffixes: BTreeMap<Unit, usize>,
    /// Different texts with their counts, up to a limit.
    pub texts: BTreeMap<String, usize>,
    pub texts_full: bool,
    pub low: f64,
    pub high: f64,
    /// Most decimals of a number.
    pub places: usize,
    /// What the numbers are to be divided by, where the file says that they are scaled.
    pub divisor: f64,
}

/// Profiles of all columns.
#[derive(Debug, Clone, Default)]
pub(crate) struct Profiles {
    pub columns: Vec<Profile>,
    /// Rows of the sample.
    pub rows: usize,
    pub sample: Vec<usize>,
    /// The decimal mark most columns show.
    pub mark: Option<Mark>,
}

impl Profiles {
    pub fn of(table: &Table<'_>, layout: &Layout) -> Self {
        let rows = sample(table, layout);
        let width = layout.names.len();
        let picked = table.pick(&rows);
        let mut marks = vec![Marks::default(); width];
        for row in 0..rows.len() {
            for (column, marks) in marks.iter_mut().enumerate() {
                marks.see(picked.cell(row, column));
            }
        }
        let mut all = Marks::default();
        marks.iter().for_each(|one| all.add(*one));
        // Dates such as `06.04` look like numbers; a column votes only once for the whole file.
        let votes = |mark: Mark| marks.iter().filter(|one| one.mark() == Some(mark)).count();
        let (points, commas) = (votes(Mark::Point), votes(Mark::Comma));
        let whole = match points.cmp(&commas) {
            std::cmp::Ordering::Greater => Some(Mark::Point),
            std::cmp::Ordering::Less => Some(Mark::Comma),
            std::cmp::Ordering::Equal => all.mark(),
        };
        let whole = whole.or_else(|| mark_by_limits(layout, &marks, &picked, rows.len()));
        let columns = marks
            .par_iter()
            .enumerate()
            .map(|(column, marks)| {
                let mark = marks.mark().or(whole).unwrap_or(Mark::Point);
                Profile::of((0..rows.len()).map(|row| picked.cell(row, column)), mark)
            })
            .collect();
        Self { columns, rows: rows.len(), sample: rows, mark: whole }
    }
}

/// The mark of a file whose numbers have a comma before three digits each: where temperature or humidity would lie
/// outside all limits with thousands, it is a decimal mark.
fn mark_by_limits(layout: &Layout, marks: &[Marks], picked: &Table<'_>, rows: usize) -> Option<Mark> {
    (0..layout.names.len()).filter(|column| layout.named && marks[*column].either > 0).find_map(|column| {
        let heading = Heading::read(&layout.names[column], &layout.aliases[column], &layout.units[column]);
        let most = match heading.quantity? {
            // As kelvin the highest of all units of temperature.
            Quantity::AirTemp | Quantity::DewPoint | Quantity::WetBulb => 430.0,
            Quantity::RelativeHumidity => limits(Quantity::RelativeHumidity).1,
            _ => return None,
        };
        let all_within = |mark: Mark| {
            (0..rows).filter_map(|row| plain_number(picked.cell(row, column), mark)).all(|value| value.abs() <= most)
        };
        (!all_within(Mark::Point) && all_within(Mark::Comma)).then_some(Mark::Comma)
    })
}

/// The number in a cell, whatever stands behind it.
fn plain_number(cell: &str, mark: Mark) -> Option<f64> {
    match number(cell, mark) {
        Number::Value(value, _) => Some(value),
        Number::Missing | Number::Text => None,
    }
}

impl Profile {
    /// A column in some rows.
    pub fn of_rows(table: &Table<'_>, rows: &[usize], column: usize, mark: Option<Mark>) -> Self {
        Self::of(rows.iter().map(|row| table.cell(*row, column)), mark.unwrap_or(Mark::Point))
    }

    fn of<'t>(cells: impl Iterator<Item = &'t str>, mark: Mark) -> Self {
        let mut profile =
            Self { mark: Some(mark), low: f64::INFINITY, high: f64::NEG_INFINITY, divisor: 1.0, ..Self::default() };
        for cell in cells {
            let value = profile.see(cell, mark);
            profile.values.push(value);
        }
        profile
    }

    fn see(&mut self, cell: &str, mark: Mark) -> Option<f64> {
        match Kind::of(cell) {
            Kind::Empty => return None,
            Kind::Missing => {
                self.filled += 1;
                self.missing += 1;
                return None;
            }
            Kind::Dated => {
                let stamp = Stamp::parse(cell);
                self.stamps += usize::from(stamp.is_some_and(|s| s.time.is_some()));
                self.dates += usize::from(stamp.is_some_and(|s| s.time.is_none()));
                self.offsets += usize::from(stamp.is_some_and(|s| s.offset.is_some()));
            }
            Kind::Time => self.times += 1,
            Kind::Number | Kind::Word => {}
        }
        self.filled += 1;
        self.remember(cell);
        let Number::Value(value, rest) = number(cell, mark) else { return None };
        let (unit, _) = if rest.is_empty() { ("", "") } else { marked(cell, rest) };
        if !unit.is_empty() {
            *self.suffixes.entry(words().unit(unit)?).or_default() += 1;
        }
        self.numbers += 1;
        self.integers += usize::from(cell.bytes().all(|b| b.is_ascii_digit()));
        let places =
            cell.find(mark.char()).map_or(0, |at| cell[at + 1..].bytes().take_while(u8::is_ascii_digit).count());
        self.places = self.places.max(places);
        self.low = self.low.min(value);
        self.high = self.high.max(value);
        Some(value)
    }

    /// The numbers are `divisor` times what they stand for.
    pub fn scale(&mut self, divisor: f64) {
        self.divisor = divisor;
        self.values.iter_mut().flatten().for_each(|value| *value /= divisor);
        self.low /= divisor;
        self.high /= divisor;
    }

    /// The step in which the numbers are written, scaled.
    pub fn step(&self) -> f64 {
        10_f64.powi(-i32::try_from(self.places).unwrap_or(15)) / self.divisor
    }

    fn remember(&mut self, cell: &str) {
        if let Some(count) = self.texts.get_mut(cell) {
            *count += 1;
        } else if self.texts.len() < DISTINCT {
            self.texts.insert(cell.to_owned(), 1);
        } else {
            self.texts_full = true;
        }
    }

    /// Cells that are neither empty nor a word for "no value".
    pub fn present(&self) -> usize {
        self.filled - self.missing
    }

    /// Whether at least nine tenths of the cells present are numbers.
    pub fn is_numeric(&self) -> bool {
        self.numbers > 0 && self.numbers * 10 >= self.present() * 9
    }

    /// The numbers present, sorted.
    pub fn sorted(&self) -> Vec<f64> {
        let mut values: Vec<f64> = self.values.iter().copied().flatten().collect();
        values.sort_by(f64::total_cmp);
        values
    }

    /// The only text present, if there is one.
    pub fn constant(&self) -> Option<&str> {
        match (self.texts.len(), self.texts.keys().next()) {
            (1, Some(text)) => Some(text),
            _ => None,
        }
    }
}

/// The value at a share of a sorted list.
pub(crate) fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    if sorted.is_empty() {
        return None;
    }
    #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let at = ((sorted.len() - 1) as f64 * share).round() as usize;
    sorted.get(at).copied()
}

/// Rows spread evenly over the data, blank ones left out.
fn sample(table: &Table<'_>, layout: &Layout) -> Vec<usize> {
    let rows = table.rows();
    let body = rows.saturating_sub(layout.first);
    // A step that is no multiple of a daily rhythm of rows.
    let step = if body <= SAMPLE { 1 } else { (body / SAMPLE) | 1 };
    let repeats = |row: usize| {
        let first = table.cell(row, 0);
        layout
            .header
            .iter()
            .any(|header| !first.is_empty() && table.cell(*header, 0) == first && table.row(row).eq(table.row(*header)))
    };
    // Between blanks only a row of the usual number of cells has its cells in their places.
    let shaped = |row: usize| match layout.delimiter {
        Delimiter::Blanks => table.width(row) == layout.width,
        // Rows of a sheet are as wide as it is.
        Delimiter::Cells => table.filled_width(row) > 1,
        _ => table.width(row) > 1,
    };
    let sums_up =
        |row: usize| table.row(row).find(|cell| !cell.is_empty()).is_some_and(|cell| words().is_statistic(cell));
    let kept: Vec<usize> = (layout.first..rows)
        .step_by(step)
        .filter(|row| !table.is_blank(*row) && !repeats(*row) && shaped(*row))
        .collect();
    // Rows that sum up stand at the end, and so does one that is cut off.
    let torn = kept.len() > 3 && !table.ended && kept.last() == Some(&(rows - 1));
    let kept = if torn { kept[..kept.len() - 1].to_vec() } else { kept };
    let end = kept.iter().rposition(|row| !sums_up(*row)).map_or(0, |at| at + 1);
    if end == 0 { kept } else { kept[..end].to_vec() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notes::Notes;
    use crate::table::{Delimiter, layout::layout};

    fn profiles(text: &str) -> Profiles {
        let table = Table::split(text, Delimiter::Semicolon);
        Profiles::of(&table, &layout(&table, Delimiter::Semicolon, &mut Notes::default()).unwrap())
    }

    #[test]
    fn columns_are_told_apart() {
        let profiles = profiles(
            "Datum;Zeit;T;F;x\n06.04.20;08:00;-3,1;59 °F;a\n06.04.20;07:00;---;60 °F;\n06.04.20;06:00;-4;61 °F;b\n",
        );
        assert_eq!(profiles.rows, 3);
        assert_eq!(profiles.mark, Some(Mark::Comma));
        let [date, time, temp, suffixed, word] = &profiles.columns[..] else { panic!() };
        assert_eq!((date.dates, time.times), (3, 3));
        assert_eq!((temp.numbers, temp.missing), (2, 1));
        assert_eq!(temp.values, [Some(-3.1), None, Some(-4.0)]);
        assert_eq!(suffixed.suffixes, BTreeMap::from([(Unit::Fahrenheit, 3)]));
        assert!(!word.is_numeric());
    }

    #[test]
    fn quantiles() {
        assert_eq!(quantile(&[1.0, 2.0, 3.0], 0.5), Some(2.0));
        assert_eq!(quantile(&[], 0.5), None);
    }
}
