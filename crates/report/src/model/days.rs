//! One short section per civil day: its chart, the means, the readings, the visits, the findings.

use grainfall_analysis::evidence::{DailyAir, Day, Evidence, PointEvidence, VisitFacts};

use super::answers::point_anchor;
use super::chambers::{AirRows, air_table, has_air_values};
use super::findings::anchor;
use super::shown::{self, Shown};
use super::{Block, Cell, Section, Table, chart_block, number_column, paragraph, text_column};
use crate::charts::{Chart, ChartScope};
use crate::number_format::{NO_VALUE, signed};

/// The sections: a heading for all, then one per day on which anything is on record.
pub(super) fn sections(evidence: &Evidence, shown: &Shown, charts: &[Chart]) -> Vec<Section> {
    let days: Vec<Section> = evidence.days.iter().filter_map(|day| day_section(evidence, shown, charts, day)).collect();
    if days.is_empty() {
        return Vec::new();
    }
    let mut head = Section::new("days", 1, "Day by day");
    head.new_page = true;
    head.blocks.push(paragraph(format!("Civil days of {}.", shown.zone_words(evidence))));
    std::iter::once(head).chain(days).collect()
}

fn day_section(evidence: &Evidence, shown: &Shown, charts: &[Chart], day: &Day) -> Option<Section> {
    let length = if (day.hours - 24.0).abs() < 1e-9 { String::new() } else { format!(", {}", shown::hours(day.hours)) };
    let title = format!("Day {}: {}{length}", day.number, shown::day(day.date));
    let mut section = Section::new(format!("day-{}", day.number), 2, title);
    let blocks = &mut section.blocks;
    let own = |chart: &Chart| matches!(chart.scope, ChartScope::Day(date) if date == day.date);
    blocks.extend((0..charts.len()).filter(|i| own(&charts[*i])).map(|i| chart_block(charts, i)));
    let air: Vec<&DailyAir> =
        evidence.daily_air.iter().filter(|air| air.date == day.date && has_air_values(air)).collect();
    if !air.is_empty() {
        blocks.push(Block::Table(air_table(shown, "Means of the day (least to greatest)", AirRows::OfOneDay, &air)));
    }
    if let Some(table) = readings_table(evidence, shown, day) {
        blocks.push(Block::Table(table));
    }
    for visit in evidence.visits.iter().filter(|visit| shown.date(visit.time) == day.date) {
        blocks.push(paragraph(format!("Visit {}: {}", shown.time_of_day(visit.time), visit_words(visit))));
    }
    if let Some(table) = findings_table(evidence, shown, day) {
        blocks.push(Block::Table(table));
    }
    if blocks.is_empty() { None } else { Some(section) }
}

/// The readings of a day; of a logged point the last one.
fn readings_table(evidence: &Evidence, shown: &Shown, day: &Day) -> Option<Table> {
    let mut table = Table::new(
        "Readings of the day",
        vec![
            text_column("Time", 44.0),
            text_column("Point", 170.0),
            number_column("Reading", 70.0),
            number_column("Minus goal", 50.0),
            text_column("Meets goal", 110.0),
            text_column("Row", 80.0),
        ],
    );
    let mut rows = Vec::new();
    for point in &evidence.points {
        let mut readings: Vec<_> = point.readings.iter().filter(|r| shown.date(r.time) == day.date).collect();
        if point.logged && readings.len() > 1 {
            readings.drain(..readings.len() - 1);
        }
        rows.extend(readings.into_iter().map(|reading| (reading, point)));
    }
    rows.sort_by_key(|(reading, _)| reading.time);
    for (reading, point) in rows {
        let meets = match (reading.decides, reading.meets) {
            (true, Some(true)) => "yes".to_owned(),
            (true, Some(false)) => "no".to_owned(),
            _ => reading.why_not.as_ref().map_or(NO_VALUE.to_owned(), |why| format!("not counted: {why}")),
        };
        table.push(vec![
            Cell::at(shown.time_of_day(reading.time), reading.time),
            Cell::link(&point.id, point_place(point), point_anchor(evidence, &point.id)),
            shown::reading(reading).into(),
            reading.distance_to_goal.map_or(NO_VALUE.to_owned(), |d| signed(d, 1)).into(),
            meets.into(),
            shown::row(&reading.row).into(),
        ]);
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

fn findings_table(evidence: &Evidence, shown: &Shown, day: &Day) -> Option<Table> {
    let mut table = Table::new(
        "Findings that begin on or last into this day",
        vec![number_column("No.", 22.0), text_column("When", 110.0), text_column("What", 390.0)],
    );
    for finding in &evidence.findings {
        if finding.from < day.to && finding.to.unwrap_or(finding.from) >= day.from {
            table.push(vec![
                Cell::link(finding.number.to_string(), "", Some(anchor(finding))),
                Cell::at(shown.span(finding.from, finding.to), finding.from),
                format!("{}: {}", finding.kind.words(), finding.text).into(),
            ]);
        }
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// Where a point is, after its id.
fn point_place(point: &PointEvidence) -> String {
    point.location.as_ref().map_or(String::new(), |location| format!(", {location}"))
}

/// A visit in one line.
pub(super) fn visit_words(visit: &VisitFacts) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut add = |name: &str, value: &Option<String>| {
        if let Some(value) = value {
            let named = name.is_empty() || value.to_lowercase().starts_with(name);
            parts.push(if named { value.clone() } else { format!("{name} {value}") });
        }
    };
    add("by", &visit.by);
    add("", &visit.credential);
    add("for", &visit.reason);
    add("with", &visit.instruments);
    add("photo", &visit.photos);
    add("", &visit.note);
    parts.push(shown::row(&visit.row));
    parts.join("; ")
}
