//! Which columns say when: one stamp, date and time side by side, parts of a date, or a count of seconds.
//!
//! A new form of time is a new [`Source`] with its rank and its reading.

use std::borrow::Cow;
use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, NaiveDateTime, NaiveTime, Utc};

use super::epoch::EpochUnit;
use super::fast;
use super::order::Order;
use super::stamp::{DateText, Stamp, with_time};
use super::zone::{Statement, in_name};
use crate::columns::heading::tokens;
use crate::columns::profile::{Profile, Profiles};
use crate::notes::{Notes, cut, quoted};
use crate::number::{Mark, Number, number};
use crate::table::{Layout, Row, Table};
use crate::words::{TimePart, longest, words};

/// Where the time of a row stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Source {
    /// Date and time, or a date alone, in one cell; `half` is a cell with AM or PM.
    Stamp { column: usize, half: Option<usize> },
    /// Date and time of day in two cells, and AM or PM in a third where there is one.
    Pair { date: usize, time: usize, half: Option<usize> },
    /// A date, and the hour as a number.
    DateHour { date: usize, hour: usize, minute: Option<usize> },
    /// Numbers in cells of their own.
    Parts(Parts),
    /// A count since 1970.
    Epoch { column: usize, unit: EpochUnit },
    /// Days since the end of 1899, as spreadsheets count; `slack_ms` is half the step in which they are written.
    Serial { column: usize, slack_ms: i64 },
    /// A count since a start that the file states.
    Elapsed { column: usize, count: Count, start: Stamp, text: String },
}

/// How time since a start is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Count {
    /// A number of units of so many microseconds.
    Units(i64),
    /// Hours, minutes and maybe seconds, as in `26:10:00`.
    Clock,
}

/// Columns that hold the parts of a time as numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Parts {
    year: usize,
    /// Month and day, or the day of the year.
    day: DayParts,
    hour: Option<usize>,
    minute: Option<usize>,
    second: Option<usize>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum DayParts {
    MonthDay(usize, usize),
    YearDay(usize),
}

/// What a row says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Moment {
    /// A wall time without an offset.
    Wall(NaiveDateTime),
    Instant(DateTime<Utc>),
}

/// The source chosen, with all columns that belong to times.
#[derive(Debug, Clone)]
pub(crate) struct TimePlan {
    pub source: Source,
    /// Columns of the source.
    pub columns: Vec<usize>,
    /// Other columns of times, not needed.
    pub spare: Vec<usize>,
    /// What the column's name says of its zone.
    pub statement: Option<Statement>,
}

struct Choice {
    rank: u8,
    filled: usize,
    named: bool,
    source: Source,
    columns: Vec<usize>,
    statement: Option<Statement>,
}

/// Chooses the source of time; `None` when there is none.
pub(crate) fn choose(
    layout: &Layout,
    profiles: &Profiles,
    facts: &BTreeMap<String, String>,
    notes: &mut Notes,
) -> Option<TimePlan> {
    let mut options = Vec::new();
    stamps(layout, profiles, &mut options);
    epochs(layout, profiles, &mut options);
    pairs(layout, profiles, &mut options);
    parts(layout, profiles, &mut options);
    serials(layout, profiles, &mut options);
    elapsed(layout, profiles, facts, &mut options);
    let most = options.iter().map(|o| o.filled).max()?;
    let best = options
        .iter()
        .filter(|o| o.filled * 10 >= most * 9)
        .min_by_key(|o| (o.rank, !o.named, o.columns.first().copied().unwrap_or(0)))?;
    let spare: Vec<usize> = (0..layout.names.len())
        .filter(|column| !best.columns.contains(column) && is_time(layout, profiles, *column))
        .collect();
    let names = |columns: &[usize]| quoted(columns.iter().map(|c| layout.names[*c].as_str()), 8);
    let mut reason = best.source.reason(best.rank);
    if !spare.is_empty() {
        reason.push_str(&format!("; not needed beside it: {}", names(&spare)));
    }
    if matches!(best.source, Source::Serial { .. }) {
        reason.push_str("; if the workbook counts from 1904, every date is four years and a day too early");
        notes.guess("time", names(&best.columns), reason);
    } else {
        notes.settled("time", names(&best.columns), reason);
    }
    Some(TimePlan {
        source: best.source.clone(),
        columns: best.columns.clone(),
        spare,
        statement: best.statement.clone(),
    })
}

impl Source {
    fn reason(&self, rank: u8) -> String {
        match self {
            Self::Stamp { .. } if rank == 0 => "date, time and offset from UTC in one cell".into(),
            Self::Stamp { .. } if rank == 6 => "dates without a time of day, read as midnight".into(),
            Self::Stamp { .. } => "date and time in one cell".into(),
            Self::Pair { .. } => "date and time of day in two cells".into(),
            Self::DateHour { .. } => "a date and the hour as a number".into(),
            Self::Parts(_) => "the parts of a date and time in cells of their own".into(),
            Self::Epoch { unit, .. } => format!("{} since 1970-01-01 00:00 UTC", unit.name()),
            Self::Serial { slack_ms, .. } => format!(
                "days counted as spreadsheets do, from the end of 1899, read to the {}",
                if *slack_ms > 500 { "minute" } else { "second" }
            ),
            Self::Elapsed { count, text, .. } => {
                let unit = match count {
                    Count::Units(unit_us) => {
                        ELAPSED.iter().find(|(_, us)| us == unit_us).map_or("units", |(name, _)| name)
                    }
                    Count::Clock => "hours, minutes and seconds",
                };
                format!("{unit} since `{}`, the start stated above the data", cut(text, 40))
            }
        }
    }

    /// The column whose cells hold the time of day as text.
    pub fn clock_column(&self) -> Option<usize> {
        match self {
            Self::Stamp { column, half: None } => Some(*column),
            Self::Pair { time, half: None, .. } => Some(*time),
            _ => None,
        }
    }

    /// The start of a count as written, where its date may need an order.
    pub fn start(&self) -> Option<(&str, DateText)> {
        match self {
            Self::Elapsed { start, text, .. } => Some((text, start.date?)),
            _ => None,
        }
    }

    /// The column whose dates may need an order.
    pub fn date_column(&self) -> Option<usize> {
        match self {
            Self::Stamp { column, .. } => Some(*column),
            Self::Pair { date, .. } | Self::DateHour { date, .. } => Some(*date),
            Self::Parts(_) | Self::Epoch { .. } | Self::Serial { .. } | Self::Elapsed { .. } => None,
        }
    }

    /// The last of its columns.
    pub fn last_column(&self) -> usize {
        let last = |columns: &[Option<usize>]| columns.iter().flatten().copied().max().unwrap_or(0);
        match self {
            Self::Stamp { column, half } => last(&[Some(*column), *half]),
            Self::Pair { date, time, half } => last(&[Some(*date), Some(*time), *half]),
            Self::DateHour { date, hour, minute } => last(&[Some(*date), Some(*hour), *minute]),
            Self::Epoch { column, .. } | Self::Serial { column, .. } | Self::Elapsed { column, .. } => *column,
            Self::Parts(Parts { year, day, hour, minute, second }) => {
                let (month, day) = match day {
                    DayParts::MonthDay(month, day) => (Some(*month), *day),
                    DayParts::YearDay(day) => (None, *day),
                };
                last(&[Some(*year), month, Some(day), *hour, *minute, *second])
            }
        }
    }

    /// The column named when a time cannot be read.
    pub fn main_column(&self) -> usize {
        match self {
            Self::Stamp { column, .. }
            | Self::Epoch { column, .. }
            | Self::Serial { column, .. }
            | Self::Elapsed { column, .. } => *column,
            Self::Pair { date, .. } | Self::DateHour { date, .. } => *date,
            Self::Parts(parts) => parts.year,
        }
    }

    /// What a row says under an order of dates; `None` when its cells are no time.
    pub fn read(&self, row: Row<'_, '_>, order: Order) -> Option<Moment> {
        match self {
            Self::Stamp { column, half } => {
                if half.is_none()
                    && let Some(wall) = fast::wall(row.cell(*column), order)
                {
                    return Some(Moment::Wall(wall));
                }
                let stamp = Stamp::parse(&with_half(row, *column, *half))?;
                moment(stamp.wall(order)?, stamp.offset)
            }
            Self::Pair { date, time, half } => {
                let date = Stamp::parse(row.cell(*date))?.date?.date(order)?;
                let (time, next_day, offset) = time_of_day(&with_half(row, *time, *half))?;
                moment(with_time(date, time, next_day)?, offset)
            }
            Self::DateHour { date, hour, minute } => {
                let date = Stamp::parse(row.cell(*date))?.date?.date(order)?;
                let minute = minute.map_or(Some(0), |column| integer(row.cell(column)))?;
                moment(at_hour(date, integer(row.cell(*hour))?, minute, 0)?, None)
            }
            Self::Parts(parts) => moment(parts.read(row)?, None),
            Self::Epoch { column, unit } => {
                let cell = row.cell(*column);
                if let Ok(count) = cell.parse::<i64>() {
                    return unit.whole(count).map(Moment::Instant);
                }
                unit.instant(count(cell)?).map(Moment::Instant)
            }
            Self::Serial { column, slack_ms } => serial(count(row.cell(*column))?, *slack_ms).map(Moment::Wall),
            Self::Elapsed { column, count, start, .. } => {
                let micros = count.micros(row.cell(*column))?;
                let wall = start.wall(order)?.checked_add_signed(chrono::TimeDelta::microseconds(micros))?;
                moment(wall, start.offset)
            }
        }
    }

    /// The date of a row as written, with what stands in its cell.
    pub fn stamp(&self, table: &Table<'_>, row: usize) -> Option<Stamp> {
        Stamp::parse(table.cell(row, self.date_column()?)).filter(|stamp| stamp.date.is_some())
    }
}

/// Reads rows one after the other: a stamp that repeats the one above is not read again.
pub(crate) struct Moments<'s, 't> {
    source: &'s Source,
    order: Order,
    last: Option<(&'t str, Moment)>,
}

impl<'s, 't> Moments<'s, 't> {
    pub fn new(source: &'s Source, order: Order) -> Self {
        Self { source, order, last: None }
    }

    /// What the next row says; `None` when its cells are no time.
    pub fn read(&mut self, row: Row<'_, 't>) -> Option<Moment> {
        let Source::Stamp { column, half: None } = self.source else { return self.source.read(row, self.order) };
        let text = row.cell(*column);
        if let Some((_, moment)) = self.last.filter(|(last, _)| *last == text) {
            return Some(moment);
        }
        let moment = self.source.read(row, self.order)?;
        self.last = Some((text, moment));
        Some(moment)
    }
}

impl Count {
    /// Microseconds since the start; `None` for a cell that counts none.
    pub fn micros(self, cell: &str) -> Option<i64> {
        match self {
            #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, reason = "a century fits")]
            Self::Units(unit_us) => Some((count(cell)? * unit_us as f64).round() as i64),
            Self::Clock => {
                let mut parts = cell.split(':');
                let (hours, minutes) = (integer(parts.next()?)?, integer(parts.next()?)?);
                let seconds = parts.next().map_or(Some(0.0), count)?;
                // More than a century of hours counts nothing.
                let fits =
                    (0..1_000_000).contains(&hours) && (0..60).contains(&minutes) && (0.0..60.0).contains(&seconds);
                #[allow(clippy::cast_possible_truncation, reason = "less than a minute")]
                let micros = (seconds * 1e6).round() as i64;
                (fits && parts.next().is_none()).then(|| (hours * 60 + minutes) * 60_000_000 + micros)
            }
        }
    }
}

/// Names of units of elapsed time, with their microseconds.
const ELAPSED: [(&str, i64); 5] = [
    ("milliseconds", 1000),
    ("seconds", 1_000_000),
    ("minutes", 60_000_000),
    ("hours", 3_600_000_000),
    ("days", 86_400_000_000),
];

/// A plain number, with either decimal mark.
fn count(cell: &str) -> Option<f64> {
    [Mark::Point, Mark::Comma].into_iter().find_map(|mark| match number(cell, mark) {
        Number::Value(count, "") => Some(count),
        _ => None,
    })
}

/// Serial days of 1990-01-01 and 2100-01-01.
const SERIALS: (f64, f64) = (32_874.0, 73_051.0);

/// The wall time of a serial day. What lies within `slack_ms` of a full minute or second is that.
fn serial(days: f64, slack_ms: i64) -> Option<NaiveDateTime> {
    if !(SERIALS.0..SERIALS.1).contains(&days) {
        return None;
    }
    #[allow(clippy::cast_possible_truncation, reason = "within two centuries")]
    let exact = (days * 86_400_000.0).round() as i64;
    let near = |unit: i64| {
        let full = (exact + unit / 2).div_euclid(unit) * unit;
        ((full - exact).abs() <= slack_ms).then_some(full)
    };
    let ms = near(60_000).or_else(|| near(1000)).unwrap_or(exact);
    NaiveDate::from_ymd_opt(1899, 12, 30)?
        .and_time(NaiveTime::MIN)
        .checked_add_signed(chrono::TimeDelta::milliseconds(ms))
}

/// The column that counts from a start, and how: named for a time and a unit, climbing or falling, from near zero; or named
/// as elapsed, with hours and minutes in every cell.
pub(crate) fn elapsed_column(layout: &Layout, profiles: &Profiles) -> Option<(usize, Count)> {
    if !layout.named {
        return None;
    }
    let clock = |column: &usize| {
        let profile = &profiles.columns[*column];
        let elapsed = tokens(&layout.names[*column]).iter().any(|word| words().is_elapsed(word));
        let counted: usize =
            profile.texts.iter().filter(|(text, _)| Count::Clock.micros(text).is_some()).map(|(_, count)| count).sum();
        elapsed && varies(profile) && counted > 0 && (counted * 10 >= profile.present() * 9 || profile.texts_full)
    };
    if let Some(column) = (0..layout.names.len()).find(clock) {
        return Some((column, Count::Clock));
    }
    (0..layout.names.len()).find_map(|column| {
        let profile = &profiles.columns[column];
        let counts: Vec<f64> = profile.values.iter().copied().flatten().collect();
        if !profile.is_numeric() || !varies(profile) || !is_steady(&counts) || profile.low < 0.0 || counts.len() < 2 {
            return None;
        }
        let tokens = tokens(&layout.names[column]);
        let unit =
            tokens.iter().rev().chain(&self::tokens(&layout.units[column])).find_map(|word| words().elapsed_unit(word));
        let about = tokens.iter().any(|word| words().is_elapsed(word)) || speaks_of_time(&layout.names[column]);
        let only_unit = tokens.len() == 1 && unit.is_some();
        unit.filter(|_| about || only_unit).map(|unit| (column, Count::Units(unit)))
    })
}

/// Whether counts climb or fall: some rows may be late, and files put behind each other.
fn is_steady(counts: &[f64]) -> bool {
    let back = counts.windows(2).filter(|pair| pair[0] > pair[1]).count();
    let forth = counts.windows(2).filter(|pair| pair[0] < pair[1]).count();
    back.min(forth) * 5 <= back + forth
}

/// The start of a log among the facts, as text and as a stamp with a time of day.
fn start(facts: &BTreeMap<String, String>) -> Option<(String, Stamp)> {
    let named: Vec<&str> = facts
        .iter()
        .filter(|(key, _)| longest(&words().start, &tokens(key)).is_some())
        .map(|(_, value)| value.trim())
        .collect();
    let whole = |text: &str| Stamp::parse(text).filter(|stamp| stamp.date.is_some() && stamp.time.is_some());
    if let Some(text) = named.iter().find(|text| whole(text).is_some()) {
        return Some(((*text).to_owned(), whole(text)?));
    }
    // A date and a time of day in two facts, or in two cells.
    let date = named.iter().find(|text| Stamp::parse(text).is_some_and(|stamp| stamp.date.is_some()));
    let time = named.iter().find(|text| Stamp::parse(text).is_some_and(|stamp| stamp.date.is_none()));
    let joined = match (date, time) {
        (Some(date), Some(time)) => vec![format!("{date} {time}")],
        _ => named.iter().map(|text| text.replacen(", ", " ", 1)).collect(),
    };
    joined.into_iter().find_map(|text| {
        let stamp = whole(&text)?;
        Some((text, stamp))
    })
}

impl Parts {
    fn columns(self) -> Vec<usize> {
        let mut columns = vec![self.year];
        match self.day {
            DayParts::MonthDay(month, day) => columns.extend([month, day]),
            DayParts::YearDay(day) => columns.push(day),
        }
        columns.extend(self.hour.iter().chain(&self.minute).chain(&self.second));
        columns
    }

    fn read(self, row: Row<'_, '_>) -> Option<NaiveDateTime> {
        let cell = |column: usize| integer(row.cell(column));
        let optional = |column: Option<usize>| column.map_or(Some(0), cell);
        let year = i32::try_from(cell(self.year)?).ok()?;
        let year = if (0..100).contains(&year) { if year < 69 { 2000 + year } else { 1900 + year } } else { year };
        let date = match self.day {
            DayParts::MonthDay(month, day) => {
                NaiveDate::from_ymd_opt(year, u32::try_from(cell(month)?).ok()?, u32::try_from(cell(day)?).ok()?)?
            }
            DayParts::YearDay(day) => NaiveDate::from_yo_opt(year, u32::try_from(cell(day)?).ok()?)?,
        };
        at_hour(date, optional(self.hour)?, optional(self.minute)?, optional(self.second)?)
    }
}

fn moment(wall: NaiveDateTime, offset: Option<i32>) -> Option<Moment> {
    Some(match offset {
        Some(seconds) => {
            let utc = wall.checked_sub_signed(chrono::TimeDelta::seconds(seconds.into()))?;
            Moment::Instant(utc.and_utc())
        }
        None => Moment::Wall(wall),
    })
}

/// A cell, followed by the AM or PM of another one.
fn with_half<'t>(row: Row<'_, 't>, column: usize, half: Option<usize>) -> Cow<'t, str> {
    let text = row.cell(column);
    match half {
        Some(half) => Cow::Owned(format!("{text} {}", row.cell(half))),
        None => Cow::Borrowed(text),
    }
}

/// The column after this one, when it holds nothing but AM and PM.
fn half_after(profiles: &Profiles, column: usize) -> Option<usize> {
    let profile = profiles.columns.get(column + 1)?;
    let half = |text: &String| matches!(text.to_ascii_lowercase().trim_end_matches('.'), "am" | "pm" | "a.m" | "p.m");
    let words = profile.texts.keys().filter(|text| half(text)).map(|text| profile.texts[text]).sum::<usize>();
    (words > 0 && words * 2 >= profile.present() && words * 2 >= profiles.rows).then_some(column + 1)
}

/// A time of day alone, or `hhmm` as digits.
fn time_of_day(text: &str) -> Option<(NaiveTime, bool, Option<i32>)> {
    if !text.is_empty() && text.len() <= 4 && text.bytes().all(|b| b.is_ascii_digit()) {
        let value = integer(text)?;
        let day = NaiveDate::MIN;
        let wall = at_hour(day, value / 100, value % 100, 0)?;
        return Some((wall.time(), wall.date() != day, None));
    }
    let stamp = Stamp::parse(text).filter(|stamp| stamp.date.is_none());
    // A time with an offset is a stamp only together with its date.
    if let Some(stamp) = stamp {
        let (time, next_day) = stamp.time?;
        return Some((time, next_day, None));
    }
    let (time, zone) = text.rsplit_once(' ')?;
    let offset = words().zone(zone)?;
    let (time, next_day) = Stamp::parse(time.trim()).filter(|stamp| stamp.date.is_none())?.time?;
    Some((time, next_day, Some(offset)))
}

/// Hour 24 is midnight of the next day.
fn at_hour(date: NaiveDate, hour: i64, minute: i64, second: i64) -> Option<NaiveDateTime> {
    let part = |value: i64| u32::try_from(value).ok();
    if hour == 24 && minute == 0 && second == 0 {
        return with_time(date, NaiveTime::MIN, true);
    }
    date.and_hms_opt(part(hour)?, part(minute)?, part(second)?)
}

fn integer(text: &str) -> Option<i64> {
    let text = text.strip_suffix(".0").unwrap_or(text);
    if text.is_empty() || text.len() > 9 { None } else { text.parse().ok() }
}

/// The part of a time that a name speaks of, when it speaks of nothing else.
fn part(name: &str) -> Option<TimePart> {
    let tokens: Vec<String> =
        tokens(name).into_iter().filter(|t| !matches!(t.as_str(), "utc" | "gmt" | "local" | "lst" | "lt")).collect();
    longest(&words().time, &tokens).filter(|found| found.len == tokens.len()).map(|found| found.means)
}

/// Whether a name has a word for a time in it.
fn speaks_of_time(name: &str) -> bool {
    longest(&words().time, &tokens(name)).is_some()
}

fn varies(profile: &Profile) -> bool {
    profile.texts.len() > 1 || profile.present() <= 1
}

fn stamps(layout: &Layout, profiles: &Profiles, options: &mut Vec<Choice>) {
    for (column, profile) in profiles.columns.iter().enumerate() {
        let dated = profile.stamps + profile.dates;
        if dated == 0 || dated * 2 < profile.present() || !varies(profile) {
            continue;
        }
        let name = &layout.names[column];
        let statement = in_name(name);
        let rank = if profile.stamps == 0 {
            6
        } else if profile.offsets * 10 >= profile.stamps * 9 {
            0
        } else if statement.is_some() {
            2
        } else {
            3
        };
        options.push(Choice {
            rank,
            filled: dated,
            named: speaks_of_time(name),
            source: Source::Stamp { column, half: half_after(profiles, column) },
            columns: std::iter::once(column).chain(half_after(profiles, column)).collect(),
            statement,
        });
    }
}

fn epochs(layout: &Layout, profiles: &Profiles, options: &mut Vec<Choice>) {
    for (column, profile) in profiles.columns.iter().enumerate() {
        if !profile.is_numeric() || !varies(profile) || !profile.suffixes.is_empty() {
            continue;
        }
        let Some(unit) = EpochUnit::of(profile.low, profile.high) else { continue };
        let named = speaks_of_time(&layout.names[column]);
        let counts: Vec<f64> = profile.values.iter().copied().flatten().collect();
        if named || (is_steady(&counts) && counts.len() >= 5) {
            options.push(Choice {
                rank: if named { 1 } else { 5 },
                filled: profile.numbers,
                named,
                source: Source::Epoch { column, unit },
                columns: vec![column],
                statement: None,
            });
        }
    }
}

fn serials(layout: &Layout, profiles: &Profiles, options: &mut Vec<Choice>) {
    for (column, profile) in profiles.columns.iter().enumerate() {
        let inside = profile.low >= SERIALS.0 && profile.high < SERIALS.1;
        if !layout.named || !profile.is_numeric() || !varies(profile) || !inside || !profile.suffixes.is_empty() {
            continue;
        }
        if !speaks_of_time(&layout.names[column]) {
            continue;
        }
        // Half a step of the last decimal, and never less than the noise of arithmetic on days.
        let step_ms = 86_400_000 / 10_i64.pow(u32::try_from(profile.places.min(9)).unwrap_or(9));
        let slack_ms = if profile.places == 0 { 0 } else { (step_ms / 2 + 1).clamp(5, 30_000) };
        options.push(Choice {
            rank: 5,
            filled: profile.numbers,
            named: true,
            source: Source::Serial { column, slack_ms },
            columns: vec![column],
            statement: in_name(&layout.names[column]),
        });
    }
}

fn elapsed(layout: &Layout, profiles: &Profiles, facts: &BTreeMap<String, String>, options: &mut Vec<Choice>) {
    let Some((column, count)) = elapsed_column(layout, profiles) else { return };
    let Some((text, start)) = start(facts) else { return };
    options.push(Choice {
        rank: 8,
        filled: profiles.columns[column].present(),
        named: true,
        source: Source::Elapsed { column, count, start, text },
        columns: vec![column],
        statement: in_name(&layout.names[column]),
    });
}

fn pairs(layout: &Layout, profiles: &Profiles, options: &mut Vec<Choice>) {
    let is_date = |p: &Profile| p.dates > 0 && p.dates * 2 >= p.present() && p.stamps == 0;
    let is_clock = |column: usize, p: &Profile| {
        let digits = p.is_numeric() && p.integers == p.numbers && p.low >= 0.0 && p.high <= 2400.0;
        (p.times > 0 && p.times * 2 >= p.present())
            || (digits && p.high > 24.0 && part(&layout.names[column]) == Some(TimePart::Time))
    };
    let width = profiles.columns.len();
    for date in (0..width).filter(|c| is_date(&profiles.columns[*c])) {
        // The nearest time to the right, else any.
        let after = (date + 1..width).find(|c| is_clock(*c, &profiles.columns[*c]));
        let time = after.or_else(|| (0..date).find(|c| is_clock(*c, &profiles.columns[*c])));
        if let Some(time) = time {
            options.push(Choice {
                rank: 4,
                filled: profiles.columns[date].dates.min(profiles.columns[time].present()),
                named: speaks_of_time(&layout.names[date]),
                source: Source::Pair { date, time, half: half_after(profiles, time) },
                columns: [date, time].into_iter().chain(half_after(profiles, time)).collect(),
                statement: in_name(&layout.names[time]).or_else(|| in_name(&layout.names[date])),
            });
            continue;
        }
        if let Some(hour) = named_part(layout, profiles, TimePart::Hour, 24.0) {
            let minute = named_part(layout, profiles, TimePart::Minute, 59.0);
            let mut columns = vec![date, hour];
            columns.extend(minute);
            options.push(Choice {
                rank: 5,
                filled: profiles.columns[date].dates,
                named: speaks_of_time(&layout.names[date]),
                source: Source::DateHour { date, hour, minute },
                columns,
                statement: in_name(&layout.names[hour]).or_else(|| in_name(&layout.names[date])),
            });
        }
    }
}

/// The column of whole numbers, none above `high`, that is named as a part of a time.
fn named_part(layout: &Layout, profiles: &Profiles, wanted: TimePart, high: f64) -> Option<usize> {
    (0..layout.names.len()).find(|column| {
        let profile = &profiles.columns[*column];
        let whole = profile.numbers > 0 && profile.is_numeric() && profile.integers == profile.numbers;
        part(&layout.names[*column]) == Some(wanted) && whole && profile.high <= high
    })
}

fn parts(layout: &Layout, profiles: &Profiles, options: &mut Vec<Choice>) {
    if !layout.named {
        return;
    }
    let find = |wanted, high| named_part(layout, profiles, wanted, high);
    let Some(year) = find(TimePart::Year, 2200.0) else { return };
    let day = match (find(TimePart::Month, 12.0), find(TimePart::Day, 31.0), find(TimePart::YearDay, 366.0)) {
        (Some(month), Some(day), _) => DayParts::MonthDay(month, day),
        (_, _, Some(day)) => DayParts::YearDay(day),
        _ => return,
    };
    let parts = Parts {
        year,
        day,
        hour: find(TimePart::Hour, 24.0),
        minute: find(TimePart::Minute, 59.0),
        second: find(TimePart::Second, 59.0),
    };
    let statement = parts.columns().into_iter().find_map(|column| in_name(&layout.names[column]));
    options.push(Choice {
        rank: if parts.hour.is_some() { 5 } else { 7 },
        filled: profiles.columns[year].numbers,
        named: true,
        source: Source::Parts(parts),
        columns: parts.columns(),
        statement,
    });
}

/// Whether a column holds times or parts of them.
fn is_time(layout: &Layout, profiles: &Profiles, column: usize) -> bool {
    let profile = &profiles.columns[column];
    let times = profile.stamps + profile.dates + profile.times;
    if times > 0 && times * 10 >= profile.present() * 9 {
        return true;
    }
    let whole = profile.numbers > 0 && profile.is_numeric() && profile.integers == profile.numbers;
    let high = match part(&layout.names[column]) {
        Some(TimePart::Year) => 2200.0,
        Some(TimePart::Month) => 12.0,
        Some(TimePart::Day) => 31.0,
        Some(TimePart::YearDay) => 366.0,
        Some(TimePart::Hour) => 24.0,
        Some(TimePart::Minute | TimePart::Second) => 59.0,
        Some(TimePart::Epoch | TimePart::Stamp) => return EpochUnit::of(profile.low, profile.high).is_some(),
        _ => return false,
    };
    whole && layout.named && profile.high <= high
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn elapsed_clocks_count_within_their_range() {
        assert_eq!(Count::Clock.micros("1:02:03.5"), Some(3_723_500_000));
        for text in
            ["0:00:1e308", "0:00:99999999999999999999", "999999999:59:60", "9999999999999999:00:00", "0:60", "1", ""]
        {
            assert_eq!(Count::Clock.micros(text), None, "{text}");
        }
    }
}
