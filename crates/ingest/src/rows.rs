//! The rows of data: each becomes a moment and values, or is refused with a reason.

use std::collections::BTreeMap;
use std::ops::Range;

use grainfall_record::Refusal;
use rayon::prelude::*;

use crate::columns::long::Long;
use crate::columns::profile::Profiles;
use crate::columns::{Column, IdentityColumn};
use crate::limits::{all_nines, limits};
use crate::notes::{Notes, count, cut, quoted, refusal};
use crate::number::{Number, marked, number};
use crate::table::{Delimiter, Layout, Row, Table};
use crate::time::face::Halves;
use crate::time::order::Order;
use crate::time::source::{Moment, Moments, Source};
use crate::words::words;

/// Rows read at the same time in one piece. The result does not depend on it.
const PIECE: usize = 32 * 1024;

/// Rows of one logger of a file, in file order.
#[derive(Debug, Clone, Default)]
pub(crate) struct Group {
    pub moments: Vec<Moment>,
    pub lines: Vec<u64>,
    /// One list per planned column.
    pub values: Vec<Vec<Option<f64>>>,
    /// Whether some rows have no value: their stamps still tell the clock.
    pub bare: bool,
}

impl Group {
    fn new(columns: usize) -> Self {
        Self { values: vec![Vec::new(); columns], ..Self::default() }
    }

    /// Pieces of one group, in file order, as one.
    pub fn joined(pieces: Vec<Self>) -> Self {
        if pieces.len() == 1 {
            return pieces.into_iter().next().unwrap_or_default();
        }
        let rows = pieces.iter().map(|piece| piece.moments.len()).sum();
        let mut whole = Self::new(pieces.first().map_or(0, |piece| piece.values.len()));
        whole.moments.reserve_exact(rows);
        whole.lines.reserve_exact(rows);
        whole.values.iter_mut().for_each(|list| list.reserve_exact(rows));
        for piece in pieces {
            whole.moments.extend_from_slice(&piece.moments);
            whole.lines.extend_from_slice(&piece.lines);
            whole.bare |= piece.bare;
            for (list, more) in whole.values.iter_mut().zip(&piece.values) {
                list.extend_from_slice(more);
            }
        }
        whole
    }
}

/// Which rows belong together: the text of the column that tells loggers apart (empty where there is none), and in a
/// table with one quantity a row the number of the column the row is about.
pub(crate) type Key = (String, usize);

/// What the rows gave.
#[derive(Debug, Clone, Default)]
pub(crate) struct Rows {
    /// Pieces of each group, in file order.
    pub groups: BTreeMap<Key, Vec<Group>>,
    /// Rows of data, refused ones included.
    pub rows: u64,
    /// Lines and stamps of rows that were refused as a whole and whose stamp could be read, in file order.
    pub refused: Vec<(u64, Moment)>,
}

/// Everything that is known of a table when its rows are read.
#[derive(Debug)]
pub(crate) struct Reader<'r, 't> {
    pub table: &'r Table<'t>,
    pub layout: &'r Layout,
    pub profiles: &'r Profiles,
    pub source: &'r Source,
    pub order: Order,
    /// Halves of the day that the stamps do not say.
    pub halves: &'r Halves,
    pub columns: &'r [Column],
    pub identity: Option<&'r IdentityColumn>,
    /// Where the quantities stand below each other.
    pub long: Option<&'r Long>,
}

/// A column with its arithmetic at hand.
struct Ready<'r> {
    column: &'r Column,
    /// Where its cells are, and in a table with one quantity a row the text of its rows and the column of units.
    cell: usize,
    only: Option<&'r str>,
    unit: Option<usize>,
    factor: f64,
    offset: f64,
    low: f64,
    high: f64,
    /// Texts inside the range that stand for "no value".
    stand_ins: Vec<String>,
    /// Where the other values lie, with room around them; nines beyond stand for "no value".
    usual: (f64, f64),
}

/// A value outside its range, judged when all are known.
struct Outside {
    line: u64,
    ready: usize,
    text: String,
    stand_in: bool,
}

/// Running counts of rows that hold no sample.
#[derive(Default)]
struct Tally {
    rows: u64,
    blank: usize,
    repeated_headers: Vec<u64>,
    without_value: usize,
    first_without: Option<u64>,
    missing: BTreeMap<String, usize>,
    /// Marks behind numbers.
    marks: BTreeMap<String, usize>,
    outside: Vec<Outside>,
    refused: Vec<Refusal>,
    /// Lines and stamps of rows refused as a whole.
    stamps: Vec<(u64, Moment)>,
}

impl Tally {
    fn add(&mut self, other: Self) {
        self.rows += other.rows;
        self.blank += other.blank;
        self.repeated_headers.extend(other.repeated_headers);
        self.without_value += other.without_value;
        self.first_without = self.first_without.or(other.first_without);
        for (text, count) in other.missing {
            *self.missing.entry(text).or_default() += count;
        }
        for (mark, count) in other.marks {
            *self.marks.entry(mark).or_default() += count;
        }
        self.outside.extend(other.outside);
        self.refused.extend(other.refused);
        self.stamps.extend(other.stamps);
    }

    fn refuse(&mut self, row: u64, column: Option<&str>, found: &str, reason: impl Into<String>) {
        self.refused.push(refusal(row, column, found, reason));
    }
}

/// Groups of one piece of the rows, in order of their first row. Rows of several loggers mostly come in turns: the
/// group that followed the last one before is tried first.
#[derive(Default)]
struct Turns<'t> {
    keys: Vec<(&'t str, usize)>,
    groups: Vec<Group>,
    next: Vec<usize>,
    last: usize,
}

impl<'t> Turns<'t> {
    fn group(&mut self, key: (&'t str, usize), columns: usize) -> &mut Group {
        let likely = self.next.get(self.last).copied().unwrap_or(0);
        let found = [likely, self.last].into_iter().find(|at| self.keys.get(*at) == Some(&key));
        let at = found.or_else(|| self.keys.iter().position(|known| *known == key)).unwrap_or_else(|| {
            self.keys.push(key);
            self.groups.push(Group::new(columns));
            self.next.push(0);
            self.keys.len() - 1
        });
        self.next[self.last] = at;
        self.last = at;
        &mut self.groups[at]
    }
}

impl<'t> Reader<'_, 't> {
    /// Reads all rows.
    pub fn read(&self, notes: &mut Notes) -> Rows {
        let ready: Vec<Ready<'_>> = self.columns.iter().map(|column| self.ready(column)).collect();
        let short_rows_are_usual = self.short_rows_are_usual();
        let total = self.table.rows();
        let starts: Vec<usize> = (self.layout.first..total).step_by(PIECE).collect();
        let pieces: Vec<(Turns<'t>, Tally)> = starts
            .into_par_iter()
            .map(|start| self.piece(start..(start + PIECE).min(total), &ready, short_rows_are_usual))
            .collect();
        let mut rows = Rows::default();
        let mut tally = Tally::default();
        for (turns, one) in pieces {
            for ((text, variant), group) in turns.keys.into_iter().zip(turns.groups) {
                rows.groups.entry((text.to_owned(), variant)).or_default().push(group);
            }
            tally.add(one);
        }
        rows.rows = tally.rows;
        rows.refused = std::mem::take(&mut tally.stamps);
        self.report(&ready, tally, notes);
        rows
    }

    fn piece(&self, rows: Range<usize>, ready: &[Ready<'_>], short_rows_are_usual: bool) -> (Turns<'t>, Tally) {
        let mut turns = Turns::default();
        let mut tally = Tally::default();
        let mut values: Vec<Option<f64>> = vec![None; ready.len()];
        let total = self.table.rows();
        let identity = self.identity.filter(|identity| !identity.constant).map(|identity| identity.index);
        let counted = self.source.date_column().is_none();
        let mut moments = Moments::new(self.source, self.order);
        let mut spans = Vec::new();
        for row in rows {
            let cells = self.table.open(row, &mut spans);
            if cells.is_blank() {
                tally.blank += 1;
                continue;
            }
            let torn = row + 1 == total && !self.table.ended;
            if torn && let Some(reason) = self.torn(row) {
                tally.rows += 1;
                tally.refuse(self.table.line(row), None, &self.table.row_text(row), reason);
                // What the stamp lacks cannot be seen where it stands last.
                let whole = self.table.width(row) > self.source.last_column() + 1;
                if let Some(moment) = moments.read(cells).filter(|_| whole) {
                    tally.stamps.push((self.table.line(row), self.halves.apply(row, moment)));
                }
                continue;
            }
            // A count may stand in a row that sums up, too.
            let sums_up = counted && self.sums_up(row);
            let Some(moment) = moments.read(cells).filter(|_| !sums_up) else {
                self.no_time(row, &mut tally);
                continue;
            };
            let moment = self.halves.apply(row, moment);
            tally.rows += 1;
            if let Some(reason) = self.wrong_width(cells, short_rows_are_usual) {
                tally.refuse(self.table.line(row), None, &self.table.row_text(row), reason);
                tally.stamps.push((self.table.line(row), moment));
                continue;
            }
            let about = self.long.map(|long| cells.cell(long.parameter));
            let (mut any, mut variant) = (false, 0);
            for (at, one) in ready.iter().enumerate() {
                if one.only != about {
                    values[at] = None;
                    continue;
                }
                values[at] = self.value(row, cells, at, one, &mut tally);
                any |= values[at].is_some();
                if about.is_some() {
                    variant = at + 1;
                }
            }
            if !any {
                tally.without_value += 1;
                tally.first_without.get_or_insert(self.table.line(row));
            }
            let key = identity.map_or("", |column| cells.cell(column));
            let group = turns.group((key, variant), ready.len());
            group.bare |= !any;
            group.moments.push(moment);
            group.lines.push(self.table.line(row));
            for (list, value) in group.values.iter_mut().zip(&values) {
                list.push(*value);
            }
        }
        (turns, tally)
    }

    fn ready<'c>(&'c self, column: &'c Column) -> Ready<'c> {
        let (factor, offset) = column.unit.linear(column.quantity).unwrap_or((1.0, 0.0));
        let (low, high) = limits(column.quantity);
        let (cell, only, unit) = match self.long.and_then(|long| Some((long, long.text(column.index)?))) {
            Some((long, text)) => (long.value, Some(text), long.unit),
            None => (column.index, None, None),
        };
        let (stand_ins, usual) = (self.stand_ins(column, factor, offset), self.usual(column, factor, offset));
        Ready { column, cell, only, unit, factor, offset, low, high, stand_ins, usual }
    }

    /// Texts of nines that repeat and lie far from every other value of the column, though within the limits.
    fn stand_ins(&self, column: &Column, factor: f64, offset: f64) -> Vec<String> {
        let profile = &self.profiles.columns[column.index];
        let (low, high) = limits(column.quantity);
        let parsed: Vec<(&str, usize, f64)> = profile
            .texts
            .iter()
            .filter_map(|(text, times)| match number(text, column.mark) {
                Number::Value(value, _) => {
                    Some((text.as_str(), *times, (value / column.divisor).mul_add(factor, offset)))
                }
                _ => None,
            })
            .collect();
        parsed
            .iter()
            .filter(|(text, times, value)| *times >= 2 && all_nines(text) && (low..=high).contains(value))
            .filter(|(text, _, value)| {
                let others = parsed
                    .iter()
                    .filter(|(other, _, v)| !all_nines(other) && other != text && (low..=high).contains(v));
                let (least, most) =
                    others.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), (_, _, v)| (a.min(*v), b.max(*v)));
                let span = (most - least).max(20.0);
                least <= most && (*value < least - span || *value > most + span)
            })
            .map(|(text, ..)| (*text).to_owned())
            .collect()
    }

    /// Bounds around every value of the sample that is not all nines: below by as much as they span or more, above by
    /// ten times that.
    fn usual(&self, column: &Column, factor: f64, offset: f64) -> (f64, f64) {
        let others = self.profiles.columns[column.index].texts.keys().filter(|text| !all_nines(text));
        let values = others.filter_map(|text| match number(text, column.mark) {
            Number::Value(value, _) => Some((value / column.divisor).mul_add(factor, offset)),
            _ => None,
        });
        let (low, high) = limits(column.quantity);
        let (least, most) = values
            .filter(|value| (low..=high).contains(value))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        if least > most {
            return (f64::NEG_INFINITY, f64::INFINITY);
        }
        (least - (most - least).clamp(10.0, 40.0), most + 10.0 * (most - least).max(10.0))
    }

    /// One cell of a planned column.
    fn value(&self, row: usize, cells: Row<'_, '_>, at: usize, ready: &Ready<'_>, tally: &mut Tally) -> Option<f64> {
        let text = cells.cell(ready.cell);
        let line = self.table.line(row);
        let value = match number(text, ready.column.mark) {
            Number::Missing => {
                if !text.is_empty() {
                    match tally.missing.get_mut(text) {
                        Some(count) => *count += 1,
                        None => drop(tally.missing.insert(text.to_owned(), 1)),
                    }
                }
                return None;
            }
            Number::Text => {
                let reason = format!("no number; a column of {} holds numbers", ready.column.quantity.label());
                tally.refuse(line, Some(&ready.column.name), text, reason);
                return None;
            }
            Number::Value(value, "") => match ready.unit.map(|column| cells.cell(column)) {
                None | Some("") => (value / ready.column.divisor).mul_add(ready.factor, ready.offset),
                Some(unit) => self.in_unit(row, ready, value, unit, tally)?,
            },
            Number::Value(value, rest) => {
                let (unit, mark) = marked(text, rest);
                if !mark.is_empty() {
                    *tally.marks.entry(mark.to_owned()).or_default() += 1;
                }
                match unit {
                    "" => (value / ready.column.divisor).mul_add(ready.factor, ready.offset),
                    unit => self.in_unit(row, ready, value, unit, tally)?,
                }
            }
        };
        // Nines stand for no value, whatever is behind them.
        let digits = text.trim_end_matches(|c: char| !c.is_ascii_digit());
        let below = (ready.low..ready.usual.0).contains(&value) && text.starts_with("-99");
        let above = value > ready.usual.1 && value <= ready.high && text.starts_with("999");
        let nines = (below || above) && all_nines(digits);
        let stand_in = nines || !ready.stand_ins.is_empty() && ready.stand_ins.iter().any(|s| s == text);
        if stand_in || value < ready.low || value > ready.high {
            tally.outside.push(Outside { line, ready: at, text: cut(text, 80), stand_in });
            return None;
        }
        Some(value)
    }

    /// A number whose unit is written beside it; refused when the unit is none of the quantity.
    fn in_unit(&self, row: usize, ready: &Ready<'_>, value: f64, unit: &str, tally: &mut Tally) -> Option<f64> {
        let quantity = ready.column.quantity;
        let canonical = words().unit(unit).and_then(|found| found.canonical(quantity, value / ready.column.divisor));
        if canonical.is_none() {
            let place = if ready.unit.is_some() { "beside" } else { "behind" };
            let reason = format!("`{}` {place} the number is no unit of {}", cut(unit, 20), quantity.label());
            let found = self.table.cell(row, ready.cell);
            tally.refuse(self.table.line(row), Some(&ready.column.name), found, reason);
        }
        canonical
    }

    /// A row whose cells are no time: a repeated header, a summary, or something to refuse.
    fn no_time(&self, row: usize, tally: &mut Tally) {
        let line = self.table.line(row);
        if self.repeats_header(row) {
            tally.repeated_headers.push(line);
            return;
        }
        tally.rows += 1;
        if self.sums_up(row) {
            let reason = "a row that sums up the rows above, not a sample";
            tally.refuse(line, None, &self.table.row_text(row), reason);
        } else if self.table.filled_width(row) <= 1 && self.layout.width > 1 {
            tally.refuse(line, None, &self.table.row_text(row), "not in the shape of the data");
        } else {
            let column = self.source.main_column();
            let found = self.table.cell(row, column);
            let name = &self.layout.names[column];
            tally.refuse(line, Some(name), found, "no date and time of the form the other rows have");
        }
    }

    /// Whether a row begins with a word for a statistic.
    fn sums_up(&self, row: usize) -> bool {
        let first = self.table.row(row).find(|cell| !cell.is_empty()).unwrap_or("");
        !first.starts_with(|c: char| c.is_ascii_digit()) && words().is_statistic(first)
    }

    fn repeats_header(&self, row: usize) -> bool {
        let filled = self.table.row(row).filter(|cell| !cell.is_empty()).count();
        let like = |header: &usize| {
            // A header may be shorter than the row.
            let names = self.table.row(*header).chain(std::iter::repeat(""));
            let pairs = self.table.row(row).zip(names).filter(|(cell, _)| !cell.is_empty());
            pairs.filter(|(cell, name)| cell.eq_ignore_ascii_case(name)).count() * 3 >= filled * 2
        };
        filled > 0 && self.layout.header.iter().any(like)
    }

    fn short_rows_are_usual(&self) -> bool {
        // Between blanks an empty cell leaves no trace, and those behind it would move.
        if self.layout.delimiter == Delimiter::Blanks {
            return false;
        }
        let rows = (self.layout.first..self.table.rows()).take(4000);
        let (mut all, mut short) = (0_usize, 0_usize);
        for row in rows.filter(|row| self.table.width(*row) > 1) {
            all += 1;
            short += usize::from(self.table.width(row) < self.layout.width);
        }
        // One short row among many is a torn one; a writer that drops empty cells does so again and again.
        short >= 3 && short * 20 > all
    }

    fn wrong_width(&self, row: Row<'_, '_>, short_rows_are_usual: bool) -> Option<String> {
        let (width, usual) = (row.width(), self.layout.width);
        let wrong = if width < usual { !short_rows_are_usual } else { width > usual && row.filled_width() > usual };
        wrong.then(|| {
            let cells = if width < usual { width } else { row.filled_width() };
            format!("{}, while the rows around it have {usual}", count(cells, "cell", "cells"))
        })
    }

    /// Why the last row, which has no line end, is taken to be cut off.
    fn torn(&self, row: usize) -> Option<String> {
        let reason = |what: &str| Some(format!("the file ends within this row ({what}), so its last value may be cut"));
        let width = self.table.width(row);
        if width < self.layout.width {
            return reason("it has fewer cells and no line end");
        }
        let column = width - 1;
        let value = self.long.is_some_and(|long| long.value == column || long.unit == Some(column));
        let used = value || self.columns.iter().any(|c| c.index == column) || self.source.main_column() == column;
        if !used {
            return None;
        }
        let last = self.table.cell(row, column);
        // A cell without a value has none to be cut.
        if words().is_missing(last) {
            return None;
        }
        let before: Vec<&str> = (self.layout.first.max(row.saturating_sub(200))..row)
            .map(|r| self.table.cell(r, column))
            .filter(|cell| !cell.is_empty())
            .collect();
        if before.len() < 3 {
            return None;
        }
        let decimals = |text: &str| text.rfind(['.', ',']).map_or(0, |at| text.len() - at - 1);
        let shortest = before.iter().map(|cell| cell.len()).min().unwrap_or(0);
        let places = before.iter().map(|cell| decimals(cell)).min().unwrap_or(0);
        // With decimals a short number such as `9.8` below `10.2` is whole.
        if places == 0 && last.len() < shortest {
            return reason("its last cell is shorter than any above and has no line end");
        }
        if decimals(last) < places {
            return reason("its last number has fewer decimals than any above and no line end");
        }
        None
    }

    /// Decisions about what was passed over, and the refusals that needed the whole file.
    fn report(&self, ready: &[Ready<'_>], tally: Tally, notes: &mut Notes) {
        notes.refused.extend(tally.refused);
        let mut repeats: BTreeMap<(usize, &str), usize> = BTreeMap::new();
        for one in &tally.outside {
            *repeats.entry((one.ready, one.text.as_str())).or_default() += 1;
        }
        for one in &tally.outside {
            let column = ready[one.ready].column;
            let (low, high) = limits(column.quantity);
            let unit = column.quantity.unit();
            let times = repeats.get(&(one.ready, one.text.as_str())).copied().unwrap_or(1);
            let reason = if one.stand_in {
                format!("stands for a missing value: {times} times, far from every other value of the column")
            } else if times >= 2 {
                format!("stands for a missing value: {times} times, outside {low} to {high} {unit}")
            } else {
                format!("outside {low} to {high} {unit}, which no {} is", column.quantity.label())
            };
            notes.refuse(one.line, Some(&column.name), &one.text, reason);
        }
        notes.refused.sort_by_key(|refusal| refusal.row);
        if !tally.missing.is_empty() {
            let texts: Vec<String> = tally.missing.iter().map(|(text, n)| format!("`{}` {n}", cut(text, 20))).collect();
            notes.settled("missing values", texts.join(", "), "words for no value in the columns read");
        }
        if !tally.marks.is_empty() {
            let marks: Vec<String> = tally.marks.iter().map(|(mark, n)| format!("`{}` {n}", cut(mark, 20))).collect();
            notes.guess(
                "marks behind numbers",
                marks.join(", "),
                "the numbers are kept as they are; what the marks mean is not known",
            );
        }
        if !tally.repeated_headers.is_empty() {
            let lines: Vec<String> = tally.repeated_headers.iter().map(u64::to_string).collect();
            let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
            notes.settled("header repeated", quoted(lines, 8), "lines with the names again were passed over");
        }
        if tally.blank > 0 {
            notes.settled("blank rows", tally.blank.to_string(), "passed over");
        }
        if tally.without_value > 0 {
            let first = tally.first_without.unwrap_or(0);
            let reason = format!("a time, but no value in the columns read; the first is line {first}");
            notes.settled("rows without a value", tally.without_value.to_string(), reason);
        }
    }
}
