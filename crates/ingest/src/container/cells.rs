//! The cells of one sheet, and their way into a table of text.
//!
//! Dates are serial numbers in the file. How finely they are meant is judged by the whole column: sums of fractions
//! of a day miss the full second by a little, and rounded serials miss the full minute by more.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate, NaiveTime, TimeDelta};

use super::unpack::Shut;
use crate::notes::Notes;
use crate::table::layout::Kind;
use crate::table::{Grid, GridBuilder};

/// Cells of one sheet that hold something.
const MOST_CELLS: usize = 20_000_000;
/// Cells of the table a sheet becomes, unless a fair share of them is filled.
const MOST_PLACES: u64 = 20_000_000;
/// Empty rows kept between two filled ones: a header may stand apart from its data.
const BLANK_ROWS: u32 = 50;
/// Milliseconds of a day.
const DAY_MS: f64 = 86_400_000.0;

/// From when a workbook counts days.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum DaysFrom {
    Y1900,
    Y1904,
}

impl DaysFrom {
    /// The date of a whole serial number. Days before March 1900 follow the file format, which counts a 29 February
    /// 1900 that was not.
    fn date(self, days: i64) -> Option<NaiveDate> {
        let (year, month, day) = match self {
            Self::Y1904 => (1904, 1, 1),
            Self::Y1900 if days > 60 => (1899, 12, 30),
            Self::Y1900 => (1899, 12, 31),
        };
        NaiveDate::from_ymd_opt(year, month, day)?.checked_add_days(Days::new(u64::try_from(days).ok()?))
    }

    fn name(self) -> &'static str {
        match self {
            Self::Y1900 => "1900",
            Self::Y1904 => "1904",
        }
    }
}

#[derive(Debug, Clone, Copy)]
struct Cell {
    row: u32,
    column: u32,
    start: u32,
    end: u32,
}

/// The filled cells of one sheet, rows and columns from 0.
#[derive(Debug)]
pub(crate) struct Cells {
    pub name: String,
    days_from: DaysFrom,
    text: String,
    cells: Vec<Cell>,
    /// Cells of dates: which, and their serial number.
    serials: Vec<(u32, f64)>,
    /// Columns that hold a number, with how many.
    numbers: BTreeMap<u32, u32>,
}

impl Cells {
    pub fn new(name: &str, days_from: DaysFrom) -> Self {
        Self {
            name: name.to_owned(),
            days_from,
            text: String::new(),
            cells: Vec::new(),
            serials: Vec::new(),
            numbers: BTreeMap::new(),
        }
    }

    pub fn is_empty(&self) -> bool {
        self.cells.is_empty()
    }

    /// Adds a cell of text; blank text is none.
    ///
    /// # Errors
    /// When the sheet has more cells or text than is read.
    pub fn text(&mut self, row: u32, column: u32, text: &str) -> Result<(), Shut> {
        let text = text.trim();
        if text.is_empty() {
            return Ok(());
        }
        let position = |at: usize| u32::try_from(at).map_err(|_| too_large());
        if self.cells.len() >= MOST_CELLS {
            return Err(too_large());
        }
        let start = position(self.text.len())?;
        self.text.push_str(text);
        let end = position(self.text.len())?;
        self.cells.push(Cell { row, column, start, end });
        Ok(())
    }

    /// Adds a number.
    ///
    /// # Errors
    /// As [`Self::text`].
    pub fn number(&mut self, row: u32, column: u32, value: f64) -> Result<(), Shut> {
        *self.numbers.entry(column).or_default() += 1;
        self.text(row, column, &plain(value))
    }

    /// Adds a date, a time of day or both.
    ///
    /// # Errors
    /// As [`Self::text`].
    pub fn serial(&mut self, row: u32, column: u32, value: f64) -> Result<(), Shut> {
        if !value.is_finite() || !(0.0..3_000_000.0).contains(&value) {
            return self.text(row, column, &plain(value));
        }
        self.text(row, column, "?")?;
        let cell = u32::try_from(self.cells.len() - 1).map_err(|_| too_large())?;
        self.serials.push((cell, value));
        Ok(())
    }

    /// Adds a length of time in days, as hours, minutes and seconds. Below one day it may be a time of day.
    ///
    /// # Errors
    /// As [`Self::text`].
    pub fn length(&mut self, row: u32, column: u32, days: f64) -> Result<(), Shut> {
        if (0.0..1.0).contains(&days) {
            return self.serial(row, column, days);
        }
        #[allow(clippy::cast_possible_truncation)]
        let seconds = (days * 86_400.0).round() as i64;
        let size = seconds.unsigned_abs();
        let sign = if seconds < 0 { "-" } else { "" };
        self.text(row, column, &format!("{sign}{}:{:02}:{:02}", size / 3600, size / 60 % 60, size % 60))
    }

    /// The table of the sheet. What was judged on the way goes into `notes`.
    ///
    /// # Errors
    /// When the cells lie so far apart that the table would be mostly empty.
    pub fn grid(mut self, notes: &mut Notes) -> Result<Grid, Shut> {
        self.climbing_numbers(notes);
        self.dates(notes)?;
        let in_order = self.cells.windows(2).all(|pair| (pair[0].row, pair[0].column) < (pair[1].row, pair[1].column));
        if !in_order {
            self.cells.sort_by_key(|cell| (cell.row, cell.column));
        }
        let first_column = self.cells.iter().map(|cell| cell.column).min().unwrap_or(0);
        let last_column = self.cells.iter().map(|cell| cell.column).max().unwrap_or(0);
        let width = last_column - first_column + 1;
        let filled_rows = 1 + self.cells.windows(2).filter(|pair| pair[0].row != pair[1].row).count() as u64;
        if filled_rows * u64::from(width) > MOST_PLACES.max(self.cells.len() as u64 * 8) {
            return Err(Shut::new(
                format!("{} filled cells lie scattered over {filled_rows} rows and {width} columns", self.cells.len()),
                "delete what does not belong to the table, or save the table as CSV",
            ));
        }
        let mut builder = GridBuilder::new(std::mem::take(&mut self.text));
        let mut passed = 0_u64;
        let mut row: Option<u32> = None;
        let mut column = first_column;
        for cell in &self.cells {
            if row != Some(cell.row) {
                if let Some(before) = row {
                    builder.pad(last_column + 1 - column);
                    let gap = cell.row - before - 1;
                    for blank in 0..gap.min(BLANK_ROWS) {
                        builder.row(before + 2 + blank);
                        builder.pad(1);
                    }
                    passed += u64::from(gap.saturating_sub(BLANK_ROWS));
                }
                builder.row(cell.row + 1);
                row = Some(cell.row);
                column = first_column;
            }
            if cell.column < column {
                // The same place twice: the later one counts.
                builder.replace_last(cell.start, cell.end);
                continue;
            }
            builder.pad(cell.column - column);
            builder.cell(cell.start, cell.end);
            column = cell.column + 1;
        }
        builder.pad(last_column + 1 - column);
        if passed > 0 {
            notes.settled("empty rows", passed.to_string(), "in stretches of more than 50, passed over");
        }
        Ok(builder.finish())
    }

    /// Numbers that climb like days in a sheet without any date are dates whose cells lost their format.
    fn climbing_numbers(&mut self, notes: &mut Notes) {
        if !self.serials.is_empty() {
            return;
        }
        let text = &self.text;
        let cell_text = |cell: &Cell| &text[cell.start as usize..cell.end as usize];
        let dated = self.cells.iter().take(2000).filter(|cell| Kind::of(cell_text(cell)) == Kind::Dated).count();
        if dated > 2 {
            return;
        }
        for (column, count) in &self.numbers {
            if *count < 5 {
                continue;
            }
            let found: Vec<(usize, f64)> = self
                .cells
                .iter()
                .enumerate()
                .filter(|(_, cell)| cell.column == *column)
                .filter_map(|(at, cell)| Some((at, cell_text(cell).parse().ok()?)))
                .collect();
            // 1990 to 2079 in either system; whole numbers alone could count anything.
            let days = found.iter().all(|(_, value)| (31_000.0..66_000.0).contains(value));
            let fractions = found.iter().any(|(_, value)| value.fract() > 0.0);
            let climbs = found.windows(2).all(|pair| pair[0].1 < pair[1].1);
            if days && fractions && climbs && found.len() >= 5 {
                notes.guess(
                    "dates without a format",
                    format!("column {}", letters(*column)),
                    format!("numbers that climb like the days since {} the workbook counts in", self.days_from.name()),
                );
                for (at, value) in found {
                    if let Ok(at) = u32::try_from(at) {
                        self.serials.push((at, value));
                    }
                }
                return;
            }
        }
    }

    /// Serial numbers to text, by column.
    fn dates(&mut self, notes: &mut Notes) -> Result<(), Shut> {
        if self.serials.is_empty() {
            return Ok(());
        }
        let mut columns: BTreeMap<u32, Vec<(u32, f64)>> = BTreeMap::new();
        for (at, value) in std::mem::take(&mut self.serials) {
            columns.entry(self.cells[at as usize].column).or_default().push((at, value));
        }
        notes.settled(
            "date cells",
            format!("days since {}", self.days_from.name()),
            "cells the workbook marks as dates or times",
        );
        for (column, serials) in columns {
            let values: Vec<f64> = serials.iter().map(|(_, value)| *value).collect();
            let fineness = Fineness::of(&values);
            if let Some((value, reason)) = fineness.say(&values) {
                notes.settled(format!("times in column {}", letters(column)), value, reason);
            }
            let dates_alone = values.iter().all(|value| value.fract() == 0.0);
            for (at, value) in serials {
                let text = self.stamp(value, fineness, dates_alone);
                let start = u32::try_from(self.text.len()).map_err(|_| too_large())?;
                self.text.push_str(&text);
                let end = u32::try_from(self.text.len()).map_err(|_| too_large())?;
                let cell = &mut self.cells[at as usize];
                (cell.start, cell.end) = (start, end);
            }
        }
        Ok(())
    }

    fn stamp(&self, value: f64, fineness: Fineness, dates_alone: bool) -> String {
        let ms = fineness.ms();
        #[allow(clippy::cast_possible_truncation)]
        let exact = (value * DAY_MS).round() as i64;
        let rounded = (exact + ms / 2).div_euclid(ms) * ms;
        let (days, of_day) = (rounded.div_euclid(86_400_000), rounded.rem_euclid(86_400_000));
        let time = NaiveTime::MIN + TimeDelta::milliseconds(of_day);
        let time = if of_day % 1000 == 0 { time.format("%H:%M:%S") } else { time.format("%H:%M:%S%.3f") };
        if value < 1.0 && !dates_alone {
            return if days == 1 { "24:00:00".to_owned() } else { time.to_string() };
        }
        match self.days_from.date(days) {
            Some(date) if dates_alone => date.format("%Y-%m-%d").to_string(),
            Some(date) => format!("{} {time}", date.format("%Y-%m-%d")),
            None => plain(value),
        }
    }
}

/// How finely the times of a column are meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fineness {
    Minute,
    Second,
    Millisecond,
}

impl Fineness {
    /// Whole minutes when ten or more are all within half a second of one; whole seconds when all are within 1 ms, or
    /// five or more within 50 ms. By chance the first happens once in 60^10 columns, the last once in 10^5.
    fn of(values: &[f64]) -> Self {
        let minute = miss(values, 60.0);
        let second = miss(values, 1.0);
        if values.len() >= 10 && minute <= 0.5 {
            Self::Minute
        } else if second <= 0.001 || values.len() >= 5 && second <= 0.05 {
            Self::Second
        } else {
            Self::Millisecond
        }
    }

    fn ms(self) -> i64 {
        match self {
            Self::Minute => 60_000,
            Self::Second => 1000,
            Self::Millisecond => 1,
        }
    }

    /// What to note: nothing when the times are as exact as a serial number can be.
    fn say(self, values: &[f64]) -> Option<(&'static str, String)> {
        let (name, unit) = match self {
            Self::Minute => ("whole minutes", 60.0),
            Self::Second => ("whole seconds", 1.0),
            Self::Millisecond => return None,
        };
        let off = miss(values, unit);
        (off > 0.000_1).then(|| (name, format!("all lie within {off:.4} s of one, which is how serial numbers round")))
    }
}

/// How far the serial numbers miss the nearest full unit at most, in seconds.
fn miss(values: &[f64], unit: f64) -> f64 {
    values
        .iter()
        .map(|value| {
            let seconds = value * 86_400.0;
            (seconds - (seconds / unit).round() * unit).abs()
        })
        .fold(0.0, f64::max)
}

/// A number with the fewest digits that give it back.
fn plain(value: f64) -> String {
    if value.abs() < 1e15 && (value.abs() >= 1e-5 || value.abs() < f64::MIN_POSITIVE) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}

fn too_large() -> Shut {
    Shut::new(
        format!("the sheet has more than {MOST_CELLS} cells or 4 GiB of text"),
        "split it into sheets of some months each",
    )
}

/// A column as spreadsheets name it.
fn letters(column: u32) -> String {
    let mut name = Vec::new();
    let mut left = u64::from(column) + 1;
    while left > 0 {
        let digit = u8::try_from((left - 1) % 26).unwrap_or(0);
        name.push(char::from(b'A' + digit));
        left = (left - 1) / 26;
    }
    name.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Table;

    fn rows(cells: Cells, notes: &mut Notes) -> Vec<(u64, Vec<String>)> {
        let grid = cells.grid(notes).unwrap();
        let table = Table::of_grid(&grid);
        (0..table.rows()).map(|row| (table.line(row), table.row(row).map(str::to_owned).collect())).collect()
    }

    /// 45 292 is 2024-01-01 in the 1900 system: ECMA-376 part 1, 18.17.4.1 counts 1900-01-01 as 1; checked with
    /// Python's datetime.
    #[test]
    fn dates_of_both_systems() {
        for (days_from, first) in [(DaysFrom::Y1900, 45_292.0), (DaysFrom::Y1904, 43_830.0)] {
            let mut cells = Cells::new("s", days_from);
            cells.serial(2, 1, first).unwrap();
            cells.serial(2, 2, 0.5).unwrap();
            cells.serial(2, 3, first + 0.25).unwrap();
            cells.serial(3, 3, first + 0.25 + 1.0 / 86_400.0).unwrap();
            let rows = rows(cells, &mut Notes::default());
            assert_eq!(rows[0].1, ["2024-01-01", "12:00:00", "2024-01-01 06:00:00"]);
            assert_eq!(rows[0].0, 3);
            assert_eq!(rows[1].1[2], "2024-01-01 06:00:01");
        }
    }

    #[test]
    fn noise_below_a_second_is_no_time() {
        let mut cells = Cells::new("s", DaysFrom::Y1900);
        // Ten minutes rounded to five decimals of a day: up to 0.43 s off.
        for step in 0..20_u32 {
            let serial = 45_292.0 + (f64::from(step) / 144.0 * 1e5).round() / 1e5;
            cells.serial(step, 0, serial).unwrap();
        }
        let mut notes = Notes::default();
        let rows = rows(cells, &mut notes);
        assert_eq!(rows[1].1, ["2024-01-01 00:10:00"]);
        assert_eq!(rows[19].1, ["2024-01-01 03:10:00"]);
        assert!(notes.decisions.iter().any(|d| d.topic == "times in column A" && d.value == "whole minutes"));
    }

    #[test]
    fn milliseconds_that_are_meant_stay() {
        let mut cells = Cells::new("s", DaysFrom::Y1900);
        for step in 0..20_u32 {
            cells.serial(step, 0, 45_292.0 + f64::from(step) * 0.25 / 86_400.0).unwrap();
        }
        let rows = rows(cells, &mut Notes::default());
        assert_eq!(rows[3].1, ["2024-01-01 00:00:00.750"]);
    }

    #[test]
    fn numbers_that_climb_like_days_are_a_guess() {
        let mut cells = Cells::new("s", DaysFrom::Y1904);
        for step in 0..6_u32 {
            cells.number(step, 0, 43_830.0 + f64::from(step) / 24.0).unwrap();
            cells.number(step, 1, 21.5).unwrap();
        }
        let mut notes = Notes::default();
        let rows = rows(cells, &mut notes);
        assert_eq!(rows[5].1, ["2024-01-01 05:00:00", "21.5"]);
        let found = notes.decisions.iter().find(|d| d.topic == "dates without a format").unwrap();
        assert_eq!((found.value.as_str(), found.certainty), ("column A", grainfall_record::Certainty::Guess));
    }

    #[test]
    fn rows_keep_their_numbers_and_width() {
        let mut cells = Cells::new("s", DaysFrom::Y1900);
        cells.text(0, 2, "title").unwrap();
        cells.text(3, 2, "a").unwrap();
        cells.text(3, 4, "b").unwrap();
        cells.text(1_000_000, 3, "c").unwrap();
        let mut notes = Notes::default();
        let rows = rows(cells, &mut notes);
        assert_eq!(rows[0], (1, vec!["title".into(), String::new(), String::new()]));
        assert_eq!(rows[3], (4, vec!["a".into(), String::new(), "b".into()]));
        assert_eq!(rows.last().unwrap().0, 1_000_001);
        assert!(rows.len() < 60);
        assert!(notes.decisions.iter().any(|d| d.topic == "empty rows"));
    }

    #[test]
    fn scattered_cells_are_refused() {
        let mut cells = Cells::new("s", DaysFrom::Y1900);
        for row in 0..2000 {
            cells.text(row, 0, "a").unwrap();
        }
        cells.text(2000, 16_383, "far").unwrap();
        let shut = cells.grid(&mut Notes::default()).unwrap_err();
        assert_eq!(shut.reason, "2001 filled cells lie scattered over 2001 rows and 16384 columns");
    }

    #[test]
    fn numbers_and_names() {
        assert_eq!(plain(431.780_660_377_358_1), "431.7806603773581");
        assert_eq!(plain(0.0), "0");
        assert_eq!(plain(1e300), "1e300");
        assert_eq!(plain(2e-7), "2e-7");
        assert_eq!(
            (letters(0), letters(25), letters(26), letters(16_383)),
            ("A".into(), "Z".into(), "AA".into(), "XFD".into())
        );
    }
}
