//! One short section per civil day: its chart, the means, the readings, the visits, the findings.

use grainfall_analysis::evidence::{AgainstLoad, DailyAir, DailyUnitAir, Day, Evidence, VisitFacts};

use super::answers::unit_anchor;
use super::chambers::{AirRows, air_table, has_air_values};
use super::equipment::taken_out;
use super::findings::anchor;
use super::shown::{self, Shown};
use super::{Block, Cell, Section, Table, chart_block, note, number_column, paragraph, text_column};
use super::{completeness, readings};
use crate::charts::{Chart, ChartScope};
use crate::number_format::share;

/// The sections: a heading for all, then one per day on which anything is on record.
pub(super) fn sections(evidence: &Evidence, shown: &Shown, charts: &[Chart]) -> Vec<Section> {
    let mut days: Vec<Section> =
        evidence.days.iter().filter_map(|day| day_section(evidence, shown, charts, day)).collect();
    let Some(first) = days.first_mut() else { return Vec::new() };
    // The first day stands under the heading of all.
    first.new_page = false;
    let mut head = Section::new("days", 1, "Day by day");
    head.new_page = true;
    head.blocks.push(paragraph(format!("Civil days of {}.", shown.zone_words(evidence))));
    std::iter::once(head).chain(days).collect()
}

/// On a day of the record on which no point was read.
const NO_READING_ON_DAY: &str = "No material reading was taken on this day.";

fn day_section(evidence: &Evidence, shown: &Shown, charts: &[Chart], day: &Day) -> Option<Section> {
    let length = if (day.hours - 24.0).abs() < 1e-9 { String::new() } else { format!(", {}", shown::hours(day.hours)) };
    let title = format!("Day {}: {}{length}", day.number, shown.day(day.date));
    let mut section = Section::new(format!("day-{}", day.number), 2, title);
    section.new_page = true;
    let blocks = &mut section.blocks;
    let own = |chart: &Chart| matches!(chart.scope, ChartScope::Day(date) if date == day.date);
    blocks.extend((0..charts.len()).filter(|i| own(&charts[*i])).map(|i| chart_block(charts, i)));
    // What passes a unit stands with the unit.
    let by_itself = |air: &&DailyAir| air.unit.is_none() && has_air_values(air);
    let air: Vec<&DailyAir> = evidence.daily_air.iter().filter(|air| air.date == day.date).filter(by_itself).collect();
    if !air.is_empty() {
        blocks.push(Block::Table(air_table(shown, "Means of the day (least to greatest)", AirRows::OfOneDay, &air)));
    }
    blocks.extend(units_table(evidence, shown, day).map(Block::Table));
    match readings::on_day(evidence, shown, day.date) {
        Some(table) => blocks.push(Block::Table(table)),
        None if !blocks.is_empty() && !evidence.points.is_empty() => blocks.push(note(NO_READING_ON_DAY)),
        None => {}
    }
    for visit in evidence.visits.iter().filter(|visit| shown.date(visit.time) == day.date) {
        blocks.push(paragraph(format!("Visit {}: {}", shown.time_of_day(visit.time), visit_words(visit))));
    }
    blocks.extend(findings_blocks(evidence, shown, day));
    blocks.extend(completeness::of_day(evidence, day.date).map(Block::Table));
    if blocks.is_empty() { None } else { Some(section) }
}

/// What the dehumidifiers did on a day.
fn units_table(evidence: &Evidence, shown: &Shown, day: &Day) -> Option<Table> {
    let mut table = Table::new("Dehumidifiers", vec![text_column("Unit", 50.0), text_column("What it did", 470.0)]);
    for unit in &evidence.unit_air {
        for did in unit.daily.iter().filter(|did| did.date == day.date) {
            table.push(vec![
                Cell::link(&unit.unit, "", unit_anchor(evidence, &unit.unit)),
                unit_words(shown, did).into(),
            ]);
        }
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// `ran 24.0 of 24.0 h; depression 12.3 ± 3.4 GPP; 15.0 ± 4.2 pints; samples 98 %`.
fn unit_words(shown: &Shown, did: &DailyUnitAir) -> String {
    let mut parts = vec![format!("ran {} of {}", shown::hours_number(did.running_h), shown::hours(did.on_site_h))];
    if did.stopped_h > 0.0 {
        parts.push(format!("stood {}", shown::hours(did.stopped_h)));
    }
    if did.paused_h > 0.0 {
        parts.push(format!("paused {}", shown::hours(did.paused_h)));
    }
    let (depression, water) = ((did.depression_gpp, did.u_depression_gpp), (did.water_kg, did.u_water_kg));
    parts.extend(taken_out(shown, depression, did.within_uncertainty, water));
    if did.against_load != AgainstLoad::NotShown {
        parts.push(format!("depression beside the load: {}", did.against_load.words()));
    }
    parts.push(format!("samples {}", share(did.sample_share)));
    parts.join("; ")
}

/// The findings that begin on or end within a day, and the numbers of those that last through it.
fn findings_blocks(evidence: &Evidence, shown: &Shown, day: &Day) -> Vec<Block> {
    let mut table = Table::new(
        "Findings that begin or end on this day",
        vec![number_column("No.", 22.0), text_column("When", 110.0), text_column("What", 390.0)],
    );
    let mut lasting = Vec::new();
    let within = |at: chrono::DateTime<chrono::Utc>| (day.from..day.to).contains(&at);
    for finding in &evidence.findings {
        if within(finding.from) || finding.to.is_some_and(within) {
            table.push(vec![
                Cell::link(finding.number.to_string(), "", Some(anchor(finding))),
                shown.span(finding.from, finding.to).into(),
                format!("{}: {}", finding.kind.words(), finding.text).into(),
            ]);
        } else if finding.from < day.from && finding.to.is_some_and(|to| to >= day.to) {
            lasting.push(finding.number.to_string());
        }
    }
    let mut blocks = Vec::new();
    if !table.rows.is_empty() {
        blocks.push(Block::Table(table));
    }
    if !lasting.is_empty() {
        blocks.push(note(format!("Findings that last through this day: {}.", shown::list(&lasting))));
    }
    blocks
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
