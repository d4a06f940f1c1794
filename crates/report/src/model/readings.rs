//! Material readings: of some points over all days, and of all points on one day.

use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{Evidence, PointEvidence, ReadingEvidence, ReadingKind};

use super::answers::{chamber_anchor, point_anchor};
use super::shown::{self, Shown};
use super::{Block, Cell, Table, number_column, text_column};
use crate::number_format::{NO_VALUE, signed_trimmed, trimmed};
use crate::words::{Words, say};

/// Days in one table.
const DAYS_A_TABLE: usize = 10;

/// So many days in a row without a reading share a column.
const LONG_HOLE: usize = 3;

/// A column of the table: a day with readings, or days in a row without any.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Days {
    Read(NaiveDate),
    /// First and last.
    Unread(NaiveDate, NaiveDate),
}

/// The days from the first reading to the last; those without any reading apart, long stretches of them in one.
fn days_of(mut dates: Vec<NaiveDate>) -> Vec<Days> {
    dates.sort_unstable();
    dates.dedup();
    let mut days: Vec<Days> = Vec::new();
    for pair in dates.windows(2) {
        days.push(Days::Read(pair[0]));
        let between: Vec<NaiveDate> =
            pair[0].iter_days().skip(1).take_while(|date| *date < pair[1]).take(LONG_HOLE).collect();
        match (between.first(), pair[1].pred_opt()) {
            (Some(first), Some(last)) if between.len() == LONG_HOLE => days.push(Days::Unread(*first, last)),
            _ => days.extend(between.iter().map(|date| Days::Unread(*date, *date))),
        }
    }
    days.extend(dates.last().map(|date| Days::Read(*date)));
    days
}

/// One row a point, one column a day; further days in further tables.
pub(super) fn by_day(evidence: &Evidence, shown: &Shown, points: &[&PointEvidence]) -> Vec<Block> {
    let days =
        days_of(points.iter().flat_map(|point| &point.readings).map(|reading| shown.date(reading.time)).collect());
    let head = |days: &Days| match days {
        Days::Read(date) => shown.short_day(*date),
        Days::Unread(first, last) if first == last => shown.short_day(*first),
        Days::Unread(first, last) => {
            say!(shown.words, "shown.from_to", from = shown.short_day(*first), to = shown.short_day(*last))
        }
    };
    days.chunks(DAYS_A_TABLE)
        .enumerate()
        .map(|(nth, days)| {
            let mut columns = vec![text_column(say!(shown.words, "readings.point"), 90.0)];
            columns.extend(days.iter().map(|day| number_column(head(day), 42.0)));
            let caption = if nth == 0 {
                say!(shown.words, "readings.readings_of_each_point_by_day")
            } else {
                say!(shown.words, "readings.readings_of_each_point_the_next")
            };
            let mut table = Table::new(caption, columns);
            for point in points.iter().filter(|point| !point.readings.is_empty()) {
                table.push(row(evidence, shown, point, days));
            }
            if nth == 0 {
                table.notes.push(say!(shown.words, "text.readings_by_day").to_owned());
            }
            Block::Table(table)
        })
        .collect()
}

fn row(evidence: &Evidence, shown: &Shown, point: &PointEvidence, days: &[Days]) -> Vec<Cell> {
    let goal = point
        .goal
        .as_ref()
        .map_or(String::new(), |goal| say!(shown.words, "readings.goal", value = trimmed(shown.words, goal.value, 2)));
    let mut cells = vec![Cell::link(&point.id, format!(" ({}{goal})", point.unit), point_anchor(evidence, &point.id))];
    cells.extend(days.iter().map(|days| {
        let Days::Read(date) = days else { return Cell::from(say!(shown.words, "readings.none")) };
        match of_day(shown, point, *date) {
            None => Cell::from(say!(shown.words, "readings.none")),
            Some(reading) if reading.meets == Some(true) => Cell::strong(number(shown.words, reading)),
            Some(reading) => number(shown.words, reading).into(),
        }
    }));
    cells
}

/// The reading that stands for a day: the last that decides, else the last with a number, else the last.
fn of_day<'a>(shown: &Shown, point: &'a PointEvidence, date: NaiveDate) -> Option<&'a ReadingEvidence> {
    let readings: Vec<&ReadingEvidence> = of_date(shown, point, date).collect();
    let has_number = |reading: &&&ReadingEvidence| !matches!(reading.kind, ReadingKind::NoReading { .. });
    let decides = readings.iter().rev().find(|reading| reading.decides);
    decides.or(readings.iter().rev().find(has_number)).or(readings.last()).copied()
}

/// The readings of a civil day; the others are passed over by their instants, as a logged point has thousands.
fn of_date<'a>(shown: &Shown, point: &'a PointEvidence, date: NaiveDate) -> impl Iterator<Item = &'a ReadingEvidence> {
    let midnight = date.and_time(NaiveTime::MIN).and_utc();
    let before = |time: DateTime<Utc>| point.readings.partition_point(|reading| reading.time < time);
    // No zone is a day ahead of UTC or behind it.
    let near = before(midnight - TimeDelta::days(1))..before(midnight + TimeDelta::days(2));
    point.readings[near].iter().filter(move |reading| shown.date(reading.time) == date)
}

/// A reading without its unit.
pub(super) fn number(words: Words, reading: &ReadingEvidence) -> String {
    match &reading.kind {
        ReadingKind::Measured { value } => trimmed(words, *value, 2),
        ReadingKind::Above { value } => format!("> {}", trimmed(words, *value, 2)),
        ReadingKind::OverRange => say!(words, "readings.over_range").to_owned(),
        ReadingKind::NoReading { .. } => NO_VALUE.to_owned(),
    }
}

/// All readings of a day, one row a chamber; of a logged point the last one. `None` on a day without a reading.
pub(super) fn on_day(evidence: &Evidence, shown: &Shown, date: NaiveDate) -> Option<Table> {
    let mut table = Table::new(
        say!(shown.words, "readings.readings_of_the_day_each_with"),
        vec![
            text_column(say!(shown.words, "readings.chamber"), 46.0),
            text_column(say!(shown.words, "readings.when"), 54.0),
            text_column(say!(shown.words, "readings.readings"), 280.0),
            text_column(say!(shown.words, "readings.meters_by"), 60.0),
            text_column(say!(shown.words, "readings.rows"), 80.0),
        ],
    );
    let mut chambers: Vec<Option<&str>> = evidence.chambers.iter().map(|chamber| Some(chamber.id.as_str())).collect();
    // Reference points lie in none.
    chambers.push(None);
    for chamber in chambers {
        let mut readings: Vec<(&PointEvidence, &ReadingEvidence)> = Vec::new();
        for point in &evidence.points {
            let here = |reading: &&ReadingEvidence| chamber_at(point, reading.time) == chamber;
            let mut own: Vec<_> = of_date(shown, point, date).filter(here).collect();
            if point.logged && own.len() > 1 {
                own.drain(..own.len() - 1);
            }
            readings.extend(own.into_iter().map(|reading| (point, reading)));
        }
        let (Some(first), Some(last)) =
            (readings.iter().map(|r| r.1.time).min(), readings.iter().map(|r| r.1.time).max())
        else {
            continue;
        };
        let when = if first == last {
            shown.time_of_day(first)
        } else {
            say!(shown.words, "shown.from_to", from = shown.time_of_day(first), to = shown.time_of_day(last))
        };
        let told: Vec<String> = readings.iter().map(|(point, reading)| words(shown, point, reading)).collect();
        let meters = distinct(readings.iter().filter_map(|(_, reading)| reading.meter.as_deref()));
        let people = distinct(readings.iter().filter_map(|(_, reading)| reading.by.as_deref()));
        let rows: Vec<_> = readings.iter().map(|(_, reading)| reading.row.clone()).collect();
        let name = chamber.unwrap_or(say!(shown.words, "readings.none"));
        table.push(vec![
            Cell::link(name, "", chamber.and_then(|id| chamber_anchor(evidence, id))),
            when.into(),
            told.join("; ").into(),
            [meters, people].into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join("; ").into(),
            shown::rows(shown.words, &rows, 12).into(),
        ]);
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// The chamber a point lay in at a time.
fn chamber_at(point: &PointEvidence, time: DateTime<Utc>) -> Option<&str> {
    let span = point.chambers.iter().find(|span| span.holds(time));
    span.map(|span| span.chamber.as_str()).or(point.chamber.as_deref())
}

/// `P1 31.5 %MC (+19.3)`, with what speaks against it and what was noted.
fn words(shown: &Shown, point: &PointEvidence, reading: &ReadingEvidence) -> String {
    let mut beside: Vec<String> =
        reading.distance_to_goal.map(|distance| signed_trimmed(shown.words, distance, 2)).into_iter().collect();
    if reading.distance_to_goal.is_none() {
        beside.extend(reading.why_not.as_ref().map(|why| say!(shown.words, "readings.not_counted", why = why)));
    }
    beside.extend(reading.correction.as_ref().map(|one| {
        say!(
            shown.words,
            "readings.meter_showed_at_corrected_by",
            unit = shown::with_unit(shown.words, one.shown, &reading.unit),
            wood_temp_c = shown.temp(one.wood_temp_c),
            temp_unit = shown.units.temp_unit(),
            by = one.by
        )
    }));
    beside.extend(reading.note.clone().filter(|note| !note.is_empty()));
    let beside = if beside.is_empty() { String::new() } else { format!(" ({})", beside.join("; ")) };
    format!("{} {}{beside}", point.id, shown::reading(shown.words, reading))
}

fn distinct<'a>(texts: impl Iterator<Item = &'a str>) -> String {
    let mut found: Vec<&str> = Vec::new();
    for text in texts.filter(|text| !text.is_empty()) {
        if !found.contains(&text) {
            found.push(text);
        }
    }
    found.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_without_a_reading_have_their_columns() {
        let date = |day: u32| NaiveDate::from_ymd_opt(2025, 9, day).expect("a date");
        let days = days_of([13, 8, 8, 10, 20].map(date).to_vec());
        let unread = |from: u32, to: u32| Days::Unread(date(from), date(to));
        let read = |day: u32| Days::Read(date(day));
        let wanted =
            [read(8), unread(9, 9), read(10), unread(11, 11), unread(12, 12), read(13), unread(14, 19), read(20)];
        assert_eq!(days, wanted);
        assert!(days_of(Vec::new()).is_empty());
    }
}
