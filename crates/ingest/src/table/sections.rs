//! Logs of several loggers put one below the other in one file, each with its names above it.
//!
//! A row of names that comes again begins a section. It is of another logger where the lines above it say so (another
//! serial number, another room), where its names are others, or where it has the instants of the section before with
//! other values. A section of the same logger goes on with the one before.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{NaiveDateTime, TimeDelta, Timelike};
use rayon::prelude::*;

use super::facts::{identity, of_rows};
use super::layout::{Body, Kind, is_wordy, layout};
use super::{Delimiter, Layout, Table};
use crate::notes::{Notes, cut};
use crate::time::stamp::{Order, Stamp};
use crate::words::words;

/// The rows of one logger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Section {
    /// What it is called within the file; no two are called the same.
    pub label: String,
    pub rows: Vec<usize>,
}

/// Rows looked at above a row of names for what belongs to it.
const PREAMBLE: usize = 80;
/// Rows looked at together for names that come again.
const PIECE: usize = 32 * 1024;

/// The sections of a table that holds several loggers one below the other; none where it does not.
pub(crate) fn sections(table: &Table<'_>, delimiter: Delimiter) -> Vec<Section> {
    let Ok(layout) = layout(table, delimiter, &mut Notes::default()) else { return Vec::new() };
    let Some(heads) = Heads::find(table, &layout) else { return Vec::new() };
    let body = Body::find(table);
    let mut runs = vec![Run::first(table, &layout, &heads)];
    for names in &heads.again {
        if let Some(run) = Run::at(table, &layout, &heads, &body, *names) {
            if let Some(last) = runs.last_mut() {
                last.end = run.start;
            }
            runs.push(run);
        }
    }
    let own = tell_apart(table, &body, &mut runs);
    if own.iter().max() == Some(&0) {
        return Vec::new();
    }
    let mut taken = BTreeSet::new();
    (0..=own.iter().copied().max().unwrap_or(0))
        .map(|logger| {
            let of: Vec<&Run> = runs.iter().zip(&own).filter(|(_, own)| **own == logger).map(|(run, _)| run).collect();
            let named = of.first().and_then(|run| run.identity.clone());
            let number = (logger + 1).to_string();
            let wanted = named.map_or_else(|| number.clone(), |name| cut(&name, 40).replace('/', "-"));
            let label = if taken.contains(&wanted) { format!("{wanted} ({number})") } else { wanted };
            taken.insert(label.clone());
            let rows = of
                .iter()
                .enumerate()
                .flat_map(|(at, run)| if at == 0 { run.start..run.end } else { run.names..run.end });
            Section { label, rows: rows.collect() }
        })
        .collect()
}

/// The row of names of a table, and the rows below that begin like it.
struct Heads {
    names: usize,
    /// Rows of the header above the names.
    above: usize,
    again: Vec<usize>,
}

impl Heads {
    fn find(table: &Table<'_>, layout: &Layout) -> Option<Self> {
        let filled = |row: usize| table.row(row).filter(|cell| !cell.is_empty()).count();
        let names = layout.header.iter().copied().filter(|_| layout.named).max_by_key(|row| filled(*row))?;
        let (column, mark) = table.row(names).enumerate().find(|(_, cell)| !cell.is_empty())?;
        let starts: Vec<usize> = (layout.first + 1..table.rows()).step_by(PIECE).collect();
        let again: Vec<usize> = starts
            .into_par_iter()
            .flat_map_iter(|start| {
                (start..table.rows().min(start + PIECE)).filter(|row| {
                    table.cell(*row, column) == mark
                        && is_wordy(table, *row, layout.delimiter)
                        && filled(*row).abs_diff(filled(names)) <= 1
                })
            })
            .collect();
        let above = names - layout.header.first().copied().unwrap_or(names);
        (!again.is_empty()).then_some(Self { names, above, again })
    }
}

/// Rows from what stands above a row of names to the next such.
struct Run {
    start: usize,
    names: usize,
    end: usize,
    identity: Option<String>,
    /// The names, where they are not those of the first.
    other_names: Option<String>,
}

impl Run {
    fn first(table: &Table<'_>, layout: &Layout, heads: &Heads) -> Self {
        let identity = identity(&of_rows(table, 0..layout.preamble, layout.delimiter)).map(str::to_owned);
        let title = title(table, 0..layout.preamble, layout.delimiter);
        Self { start: 0, names: heads.names, end: table.rows(), identity: identity.or(title), other_names: None }
    }

    /// The run of names that come again; `None` where no data follow.
    fn at(table: &Table<'_>, layout: &Layout, heads: &Heads, body: &Body, names: usize) -> Option<Self> {
        (names + 1..table.rows().min(names + 6)).find(|row| body.is_data(table, *row))?;
        let header = names.checked_sub(heads.above).filter(|header| *header > layout.first)?;
        let least = header.saturating_sub(PREAMBLE).max(layout.first);
        let last = (least..header).rev().find(|row| body.is_data(table, *row)).unwrap_or(least);
        let sums_up =
            |row: usize| table.row(row).find(|cell| !cell.is_empty()).is_none_or(|cell| words().is_statistic(cell));
        let start = (last + 1..header).find(|row| !sums_up(*row)).unwrap_or(header);
        let identity = identity(&of_rows(table, start..header, layout.delimiter)).map(str::to_owned);
        let text = |row: usize| table.row_text(row).to_lowercase();
        let other_names = (text(names) != text(heads.names)).then(|| text(names));
        let title = title(table, start..header, layout.delimiter);
        Some(Self { start, names, end: table.rows(), identity: identity.or(title), other_names })
    }
}

/// A line without a key next to the names, as a name for what is below.
fn title(table: &Table<'_>, rows: std::ops::Range<usize>, delimiter: Delimiter) -> Option<String> {
    let row = rows.rev().find(|row| !table.is_blank(*row))?;
    match table.pieces(row, delimiter)[..] {
        [one] if one.chars().count() <= 40 && !one.contains([':', '=']) => Some(one.to_owned()),
        _ => None,
    }
}

/// Runs up to which their rows are compared, each with each: more are parts of one log.
const COMPARED: usize = 40;

/// The number of the logger of each run, from 0 in the order of their first runs. A run that says nothing of itself is
/// given the name of the one before.
fn tell_apart(table: &Table<'_>, body: &Body, runs: &mut [Run]) -> Vec<usize> {
    for at in 1..runs.len() {
        if runs[at].identity.is_none() {
            let before = runs[at - 1].identity.clone();
            runs[at].identity = before;
        }
    }
    let compared = runs.len() <= COMPARED;
    let times: Vec<ByTime> = runs.iter().filter(|_| compared).map(|run| by_time(table, body, run)).collect();
    let mut loggers: Vec<Vec<usize>> = Vec::new();
    let mut own: Vec<usize> = Vec::new();
    for (at, run) in runs.iter().enumerate() {
        let same = |of: &Vec<usize>| {
            let first = &runs[of[0]];
            let named_alike = run.identity == first.identity && run.other_names == first.other_names;
            named_alike && !(compared && of.iter().any(|other| contradicts(table, &times[at], &times[*other])))
        };
        match loggers.iter().position(same) {
            Some(known) => {
                loggers[known].push(at);
                own.push(known);
            }
            None => {
                own.push(loggers.len());
                loggers.push(vec![at]);
            }
        }
    }
    own
}

/// Rows of a run by what their cells of dates and times say.
struct ByTime {
    rows: BTreeMap<String, usize>,
    /// Whether no stamp comes twice on one clock: it says AM or PM, or has hours of a whole day.
    whole_day: bool,
}

/// Instants that two runs share further than these are apart are no hour that occurs twice.
const APART: TimeDelta = TimeDelta::hours(3);

/// Whether two runs share most of their instants and most values of a column differ in them.
fn contradicts(table: &Table<'_>, one: &ByTime, other: &ByTime) -> bool {
    let both: Vec<(&str, usize, usize)> =
        one.rows.iter().filter_map(|(time, row)| Some((time.as_str(), *row, *other.rows.get(time)?))).collect();
    let walls = || both.iter().filter_map(|(time, ..)| wall(time));
    let far = matches!((walls().min(), walls().max()), (Some(first), Some(last)) if last - first >= APART);
    let most = both.len() * 2 >= one.rows.len().min(other.rows.len());
    if !most || !far || !one.whole_day || !other.whole_day {
        return false;
    }
    let both: Vec<(usize, usize)> = both.into_iter().map(|(_, one, other)| (one, other)).collect();
    let width = both.iter().map(|(row, _)| table.width(*row)).max().unwrap_or(0);
    (0..width).any(|column| {
        let cells = both.iter().map(|(a, b)| (table.cell(*a, column), table.cell(*b, column)));
        let differ = cells.filter(|(a, b)| a != b && !a.is_empty() && !b.is_empty()).count();
        let number = |row: usize| table.cell(row, column).parse::<i64>().ok();
        let counts = both
            .windows(2)
            .all(|pair| matches!((number(pair[0].0), number(pair[1].0)), (Some(a), Some(b)) if a.abs_diff(b) == 1));
        differ * 2 > both.len() && !counts
    })
}

fn by_time(table: &Table<'_>, body: &Body, run: &Run) -> ByTime {
    let mut rows = BTreeMap::new();
    let mut whole_day = false;
    for row in (run.names + 1..run.end).filter(|row| body.is_data(table, *row)) {
        let times = |cell: &&str| matches!(Kind::of(cell), Kind::Dated | Kind::Time);
        let cells: Vec<&str> = table.row(row).filter(times).take(3).collect();
        if cells.is_empty() {
            continue;
        }
        let clock = cells.iter().find_map(|cell| Stamp::parse(cell).filter(|stamp| stamp.time.is_some()));
        whole_day |= clock.is_some_and(|stamp| {
            let hour = stamp.time.map_or(0, |(time, _)| time.hour());
            stamp.half || stamp.offset.is_some() || !(1..=12).contains(&hour)
        });
        rows.entry(cells.join(" ")).or_insert(row);
    }
    ByTime { rows, whole_day }
}

/// The wall time of cells put together, in whichever order of dates there is.
fn wall(text: &str) -> Option<NaiveDateTime> {
    let stamp = Stamp::parse(text)?;
    [Order::MonthFirst, Order::DayFirst, Order::YearFirst].into_iter().find_map(|order| stamp.wall(order))
}
