//! The order of day and month, by the dates of the whole file.

use std::ops::Range;

use chrono::NaiveDate;
use grainfall_record::{Certainty, DateOrder};
use rayon::prelude::*;

use super::evidence::{Around, Verdict, by_any_date, by_dates, by_weekday};
use super::source::Source;
pub(crate) use super::stamp::Order;
use super::stamp::{DateText, Stamp};
use crate::notes::{Notes, cut};
use crate::siblings::Answer;
use crate::table::{Layout, Table};
use crate::words::words;

/// The dates fit more than one order, or none throughout.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Undecided {
    pub reason: String,
    pub remedy: String,
}

const REMEDY: &str = "add `date_order = \"month-first\"` or `date_order = \"day-first\"` under `[job]` in job.toml";

const MONTH_FIRST: &str = "add `date_order = \"month-first\"` under `[job]` in job.toml";

/// An order, and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Decided {
    pub order: Order,
    /// `None` where every order gives the same dates.
    pub certainty: Option<Certainty>,
}

impl Decided {
    fn any(order: Order) -> Self {
        Self { order, certainty: None }
    }
}

/// What a file shows of the order of its dates.
pub(crate) fn answer(decided: &Result<Decided, Undecided>) -> Answer<Order> {
    match decided {
        Ok(Decided { order, certainty: Some(Certainty::Settled) }) => Answer::Shown(*order),
        Ok(Decided { certainty: None | Some(Certainty::Stated), .. }) => Answer::NotAsked,
        Ok(Decided { certainty: Some(Certainty::Guess), .. }) | Err(_) => Answer::Open,
    }
}

/// One date as written, with the row it was first seen in.
struct Seen {
    row: usize,
    text: DateText,
}

/// Decides the order of the dates of a table.
pub(crate) fn decide(
    table: &Table<'_>,
    layout: &Layout,
    source: &Source,
    around: Around<'_>,
    hint: Option<DateOrder>,
    notes: &mut Notes,
) -> Result<Decided, Undecided> {
    if let Some((text, date)) = source.start() {
        return of_start(text, date, around, hint, notes);
    }
    let seen = dates(table, layout, source);
    let Some(first) = seen.first() else { return Ok(Decided::any(Order::MonthFirst)) };
    let hinted = hint.map(|order| match order {
        DateOrder::MonthFirst => Order::MonthFirst,
        DateOrder::DayFirst => Order::DayFirst,
    });
    let mark = match first.text {
        DateText::TwoAndYear { mark, .. } | DateText::Three { mark, .. } => mark,
        DateText::Known(_) => b'-',
    };
    // Two digits of a year first are written with dashes; with dots and slashes they are believed where nothing else
    // fits, or where the days of the file or dates around it say so.
    let common = [Order::MonthFirst, Order::DayFirst];
    let all = [Order::MonthFirst, Order::DayFirst, Order::YearFirst];
    let fails = |order: Order| seen.iter().filter(|s| s.text.date(order).is_none()).count();
    let three = matches!(first.text, DateText::Three { .. });
    let few_fail = common.iter().any(|order| fails(*order) * 20 <= seen.len());
    let orders: &[Order] = if three && (mark == b'-' || !few_fail) { &all } else { &common };
    let least = orders.iter().map(|order| fails(*order)).min().unwrap_or(0);
    let fit: Vec<Order> = orders.iter().copied().filter(|order| fails(*order) == least).collect();
    let text = |seen: &Seen| cut(table.cell(seen.row, source.main_column()), 40);
    let may_be_year = three && orders.len() == 2 && fails(Order::YearFirst) <= least;
    if may_be_year && let Some(decided) = year_first(table, layout, source, &seen, around, hinted, notes) {
        return Ok(decided);
    }
    if let [order] = fit[..] {
        return one_fits(table, &seen, order, orders, may_be_year, hinted, notes, &text);
    }
    // Every reading that is left parses the same dates.
    let days: Vec<(Order, Vec<NaiveDate>)> =
        fit.iter().map(|order| (*order, seen.iter().filter_map(|s| s.text.date(*order)).collect())).collect();
    if days.windows(2).all(|pair| pair[0].1 == pair[1].1) {
        notes.settled("date order", "either", format!("`{}` is the same date in every order", text(first)));
        return Ok(Decided::any(fit[0]));
    }
    if let Some(verdict) = by_steps(&days) {
        return Ok(told(verdict, hinted, notes));
    }
    let weekdays = || weekdays(table, layout, source, &seen);
    if let Some(verdict) = by_weekday(&days, &weekdays()).or_else(|| by_dates(&days, around)) {
        return Ok(told(verdict, hinted, notes));
    }
    if let Some(order) = hinted.filter(|order| fit.contains(order)) {
        notes.decide("date order", order.name(), "the job says so, and the dates fit it", Certainty::Stated);
        return Ok(Decided { order, certainty: Some(Certainty::Stated) });
    }
    if let Some((order, path)) =
        around.told.and_then(|told| told.order.as_ref()).filter(|(order, _)| fit.contains(order))
    {
        let reason = format!(
            "its own dates fit both orders; `{path}`, with the same names and the same form of dates, has this one"
        );
        return Ok(told((*order, reason, Certainty::Settled), None, notes));
    }
    if let Some(verdict) = by_any_date(&days, around) {
        return Ok(told(verdict, hinted, notes));
    }
    if mark == b'.' && fit.contains(&Order::DayFirst) {
        let reason = format!(
            "every date fits more than one order, and dates with dots are written day first; if this one is not, {MONTH_FIRST}"
        );
        return Ok(told((Order::DayFirst, reason, Certainty::Guess), None, notes));
    }
    let readings: Vec<String> =
        days.iter().filter_map(|(order, dates)| Some(format!("{} ({})", dates.first()?, order.name()))).collect();
    Err(Undecided {
        reason: format!(
            "`{}` in line {} can be {}, and every date of the file fits each reading",
            text(first),
            table.line(first.row),
            readings.join(" or ")
        ),
        remedy: if fit.contains(&Order::YearFirst) {
            format!("{REMEDY}; if the year comes first, export the file with four digits of it")
        } else {
            REMEDY.into()
        },
    })
}

/// The order in which the days follow each other, where any other way they are far apart.
fn by_steps(days: &[(Order, Vec<NaiveDate>)]) -> Option<Verdict> {
    let mut sums: Vec<(i64, usize, Order)> = days
        .iter()
        .map(|(order, dates)| {
            let steps = dates.windows(2).map(|pair| (pair[1] - pair[0]).num_days().abs());
            let single = steps.clone().filter(|days| *days <= 1).count();
            (steps.sum(), single, *order)
        })
        .collect();
    sums.sort_by_key(|(sum, ..)| *sum);
    let [(best, single, order), (next, ..), ..] = sums[..] else { return None };
    (best * 4 < next).then(|| {
        let certainty = if single > 0 { Certainty::Settled } else { Certainty::Guess };
        let reason =
            format!("from one date to the next the days add up to {best} this way and to {next} or more any other way");
        (order, reason, certainty)
    })
}

/// Two digits of a year before slashes or dots, where the days of the file or what stands around them say so.
fn year_first(
    table: &Table<'_>,
    layout: &Layout,
    source: &Source,
    seen: &[Seen],
    around: Around<'_>,
    hinted: Option<Order>,
    notes: &mut Notes,
) -> Option<Decided> {
    let days: Vec<(Order, Vec<NaiveDate>)> = [Order::MonthFirst, Order::DayFirst, Order::YearFirst]
        .into_iter()
        .map(|order| (order, seen.iter().filter_map(|s| s.text.date(order)).collect::<Vec<_>>()))
        .filter(|(_, dates)| !dates.is_empty())
        .collect();
    let verdict = by_steps(&days)
        .or_else(|| by_weekday(&days, &weekdays(table, layout, source, seen)))
        .or_else(|| by_dates(&days, around))?;
    (verdict.0 == Order::YearFirst).then(|| told(verdict, hinted, notes))
}

/// Writes an order down that the file itself shows.
fn told((order, mut reason, certainty): Verdict, hinted: Option<Order>, notes: &mut Notes) -> Decided {
    if hinted.is_some_and(|hinted| hinted != order) {
        reason.push_str("; the job's `date_order` is for files that cannot settle it");
    }
    notes.decide("date order", order.name(), reason, certainty);
    Decided { order, certainty: Some(certainty) }
}

/// Dates with a weekday written in their cell or in one beside it.
fn weekdays(table: &Table<'_>, layout: &Layout, source: &Source, seen: &[Seen]) -> Vec<(DateText, u8, String)> {
    let column = source.main_column();
    seen.iter()
        .filter_map(|one| {
            let cell = table.cell(one.row, column);
            let within = Stamp::parse(cell).and_then(|stamp| stamp.weekday);
            let beside = || (0..layout.width).find_map(|other| words().weekday(table.cell(one.row, other)));
            Some((one.text, within.or_else(beside)?, cut(cell, 40)))
        })
        .collect()
}

/// The order of the one date from which a file counts.
fn of_start(
    text: &str,
    date: DateText,
    around: Around<'_>,
    hint: Option<DateOrder>,
    notes: &mut Notes,
) -> Result<Decided, Undecided> {
    let fits = |order: Order| date.date(order);
    let days: Vec<(Order, Vec<NaiveDate>)> = [Order::MonthFirst, Order::DayFirst]
        .into_iter()
        .filter_map(|order| Some((order, vec![fits(order)?])))
        .collect();
    if let [(_, month), (_, day)] = &days[..]
        && month != day
        && let Some(verdict) = by_dates(&days, around)
    {
        return Ok(told(verdict, None, notes));
    }
    let text = cut(text, 40);
    match (fits(Order::MonthFirst), fits(Order::DayFirst)) {
        (Some(month), Some(day)) if month == day => Ok(Decided::any(Order::MonthFirst)),
        (Some(month), Some(day)) => match hint {
            Some(hint) => {
                let order = if hint == DateOrder::MonthFirst { Order::MonthFirst } else { Order::DayFirst };
                notes.decide("date order", order.name(), "the job says so, and the start fits it", Certainty::Stated);
                Ok(Decided { order, certainty: Some(Certainty::Stated) })
            }
            None => Err(Undecided {
                reason: format!(
                    "the start `{text}` above the data can be {month} (month first) or {day} (day first), and it is the only date of the file"
                ),
                remedy: REMEDY.into(),
            }),
        },
        (Some(_), None) => Ok(Decided::any(Order::MonthFirst)),
        (None, Some(_)) => Ok(Decided::any(Order::DayFirst)),
        (None, None) => Ok(Decided::any(Order::YearFirst)),
    }
}

/// One order fails least. Dates that only fit another order must be rare, else the file mixes two. Where two digits of
/// a year first fit too it is a guess, unless the days follow each other.
#[allow(clippy::too_many_arguments, reason = "what is known of the dates of a file")]
fn one_fits(
    table: &Table<'_>,
    seen: &[Seen],
    order: Order,
    orders: &[Order],
    may_be_year: bool,
    hinted: Option<Order>,
    notes: &mut Notes,
    text: &dyn Fn(&Seen) -> String,
) -> Result<Decided, Undecided> {
    let odd: Vec<&Seen> = seen
        .iter()
        .filter(|s| s.text.date(order).is_none() && orders.iter().any(|other| s.text.date(*other).is_some()))
        .collect();
    let proof = seen.iter().find(|s| orders.iter().all(|other| *other == order || s.text.date(*other).is_none()));
    let proof = proof.or(seen.first());
    if let (Some(odd_one), Some(proof)) = (odd.first(), proof)
        && odd.len() * 20 > seen.len()
    {
        return Err(Undecided {
            reason: format!(
                "`{}` in line {} can only be {} and `{}` in line {} cannot: the file mixes two orders of dates",
                text(proof),
                table.line(proof.row),
                order.name(),
                text(odd_one),
                table.line(odd_one.row)
            ),
            remedy: "export the file again with one form of dates, best year first (`2024-03-04`)".into(),
        });
    }
    if let Some(proof) = proof {
        let mut reason = format!("`{}` in line {} fits no other order", text(proof), table.line(proof.row));
        let dates = || seen.iter().filter_map(|s| s.text.date(order));
        let near = dates().zip(dates().skip(1)).all(|(one, next)| (next - one).num_days().abs() <= FAR_DAYS);
        let alone = may_be_year && (dates().count() < 2 || !near);
        if alone {
            reason
                .push_str(" but two digits of a year first; if they are, export the file with four digits of the year");
        }
        let certainty = if alone { Certainty::Guess } else { Certainty::Settled };
        return Ok(told((order, reason, certainty), hinted, notes));
    }
    Ok(Decided::any(order))
}

/// Days from one date of a log to the next beyond which they do not confirm an order that fits.
const FAR_DAYS: i64 = 31;

/// Rows looked at together for their dates.
const PIECE: usize = 32 * 1024;

/// The dates that need an order, each where it changes.
fn dates(table: &Table<'_>, layout: &Layout, source: &Source) -> Vec<Seen> {
    let Some(column) = source.date_column() else { return Vec::new() };
    let starts: Vec<usize> = (layout.first..table.rows()).step_by(PIECE).collect();
    let pieces: Vec<Vec<Seen>> = starts
        .into_par_iter()
        .map(|start| dates_of(table, start..table.rows().min(start + PIECE), source, column))
        .collect();
    let mut seen: Vec<Seen> = pieces.into_iter().flatten().collect();
    seen.dedup_by(|next, last| next.text == last.text);
    seen
}

fn dates_of(table: &Table<'_>, rows: Range<usize>, source: &Source, column: usize) -> Vec<Seen> {
    let mut seen: Vec<Seen> = Vec::new();
    let mut last = "";
    for row in rows {
        // The same first ten characters are the same date.
        if last.len() == 10 && table.begins_with(row, column, last) {
            continue;
        }
        let cell = table.cell(row, column);
        let head = cell.get(..cell.len().min(10)).unwrap_or(cell);
        if head == last {
            continue;
        }
        let Some(text) = source.stamp(table, row).and_then(|stamp| stamp.date) else { continue };
        last = head;
        if !text.is_known() && seen.last().is_none_or(|s| s.text != text) {
            seen.push(Seen { row, text });
        }
    }
    seen
}
