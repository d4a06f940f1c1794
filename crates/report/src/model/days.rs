//! One short section per civil day: its chart, the means, the readings, the visits, the findings.

use grainfall_analysis::evidence::{AgainstLoad, DailyAir, DailyUnitAir, Day, Evidence, VisitFacts};

use super::answers::unit_anchor;
use super::chambers::{AirRows, air_table, has_air_values};
use super::equipment::taken_out;
use super::findings::anchor;
use super::shown::{self, Shown};
use super::{Block, Cell, Section, Table, chart_block, note, number_column, paragraph, text_column};
use super::{completeness, readings};
use crate::charts::{Chart, ChartKind, ChartScope};
use crate::number_format::share;
use crate::words::say;

/// The sections: a heading for all, then one per day on which anything is on record.
pub(super) fn sections(evidence: &Evidence, shown: &Shown, charts: &[Chart]) -> Vec<Section> {
    let days: Vec<Section> = evidence.days.iter().filter_map(|day| day_section(evidence, shown, charts, day)).collect();
    if days.is_empty() {
        return Vec::new();
    }
    let mut head = Section::new("days", 1, say!(shown.words, "days.day_by_day"));
    head.new_page = true;
    head.blocks.push(paragraph(say!(shown.words, "days.civil_days_of", zone_words = shown.zone_words(evidence))));
    // How to read the charts of a day is said once.
    for kind in [ChartKind::Day, ChartKind::Psychrometric] {
        head.blocks.extend(charts.iter().find(|chart| chart.kind == kind).map(|chart| note(chart.caption.as_str())));
    }
    std::iter::once(head).chain(days).collect()
}

fn day_section(evidence: &Evidence, shown: &Shown, charts: &[Chart], day: &Day) -> Option<Section> {
    let length = if (day.hours - 24.0).abs() < 1e-9 {
        String::new()
    } else {
        format!(", {}", shown::hours(shown.words, day.hours))
    };
    let title = say!(shown.words, "days.day", number = day.number, date = shown.day(day.date), length = length);
    let mut section = Section::new(format!("day-{}", day.number), 2, title);
    let blocks = &mut section.blocks;
    let own = |chart: &Chart| matches!(chart.scope, ChartScope::Day(date) if date == day.date);
    blocks.extend((0..charts.len()).filter(|i| own(&charts[*i])).map(|i| chart_block(charts, i)));
    // What passes a unit stands with the unit.
    let by_itself = |air: &&DailyAir| air.unit.is_none() && has_air_values(air);
    let air: Vec<&DailyAir> = evidence.daily_air.iter().filter(|air| air.date == day.date).filter(by_itself).collect();
    if !air.is_empty() {
        blocks.push(Block::Table(air_table(
            shown,
            say!(shown.words, "days.means_of_the_day_least_to"),
            AirRows::OfOneDay,
            &air,
        )));
    }
    blocks.extend(units_table(evidence, shown, day).map(Block::Table));
    match readings::on_day(evidence, shown, day.date) {
        Some(table) => blocks.push(Block::Table(table)),
        None if !blocks.is_empty() && !evidence.points.is_empty() => {
            blocks.push(note(say!(shown.words, "days.no_material_reading_was_taken_on")))
        }
        None => {}
    }
    for visit in evidence.visits.iter().filter(|visit| shown.date(visit.time) == day.date) {
        blocks.push(paragraph(say!(
            shown.words,
            "days.visit",
            time = shown.time_of_day(visit.time),
            visit = visit_words(shown, visit)
        )));
    }
    blocks.extend(findings_blocks(evidence, shown, day));
    blocks.extend(completeness::of_day(shown.words, evidence, day.date).map(Block::Table));
    if blocks.is_empty() { None } else { Some(section) }
}

/// What the dehumidifiers did on a day.
fn units_table(evidence: &Evidence, shown: &Shown, day: &Day) -> Option<Table> {
    let mut table = Table::new(
        say!(shown.words, "days.dehumidifiers"),
        vec![
            text_column(say!(shown.words, "days.unit"), 50.0),
            text_column(say!(shown.words, "days.what_it_did"), 470.0),
        ],
    );
    for unit in &evidence.unit_air {
        for did in unit.daily.iter().filter(|did| did.date == day.date) {
            table.push(vec![
                Cell::link(&unit.unit, "", unit_anchor(evidence, &unit.unit)),
                unit_words(shown, did, unit.daily.first().is_some_and(|first| first.date == did.date)).into(),
            ]);
        }
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// `ran 24.0 of 24.0 h; depression 12.3 ± 3.4 GPP; 15.0 ± 4.2 pints; samples 98 %`.
fn unit_words(shown: &Shown, did: &DailyUnitAir, first_date: bool) -> String {
    let mut parts = vec![say!(
        shown.words,
        "days.ran_of",
        running_h = shown::hours_number(shown.words, did.running_h),
        on_site_h = shown::hours(shown.words, did.on_site_h)
    )];
    if did.stopped_h > 0.0 {
        parts.push(say!(shown.words, "days.stood", stopped_h = shown::hours(shown.words, did.stopped_h)));
    }
    if did.paused_h > 0.0 {
        parts.push(say!(shown.words, "days.paused", paused_h = shown::hours(shown.words, did.paused_h)));
    }
    let (depression, water) = ((did.depression_gpp, did.u_depression_gpp), (did.water_kg, did.u_water_kg));
    parts.extend(taken_out(shown, depression, did.within_uncertainty, water));
    // The first date is what the others are compared with.
    if did.against_load != AgainstLoad::NotShown && !first_date {
        parts.push(say!(
            shown.words,
            "days.depression_beside_the_load",
            against_load = did.against_load.said(shown.words)
        ));
    }
    if did.sample_share < 0.995 {
        parts.push(say!(shown.words, "days.samples", sample_share = share(shown.words, did.sample_share)));
    }
    parts.join("; ")
}

/// The findings that begin on or end within a day, and the numbers of those that last through it.
fn findings_blocks(evidence: &Evidence, shown: &Shown, day: &Day) -> Vec<Block> {
    let mut table = Table::new(
        say!(shown.words, "days.findings_that_begin_or_end_on"),
        vec![
            number_column(say!(shown.words, "days.no"), 22.0),
            text_column(say!(shown.words, "days.when"), 110.0),
            text_column(say!(shown.words, "days.what"), 390.0),
        ],
    );
    let mut lasting = Vec::new();
    let within = |at: chrono::DateTime<chrono::Utc>| (day.from..day.to).contains(&at);
    for finding in &evidence.findings {
        if within(finding.from) || finding.to.is_some_and(within) {
            table.push(vec![
                Cell::link(finding.number.to_string(), "", Some(anchor(finding))),
                shown.span(finding.from, finding.to).into(),
                format!("{}: {}", finding.kind.said(shown.words), finding.text).into(),
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
        blocks.push(note(say!(
            shown.words,
            "days.findings_that_last_through_this_day",
            lasting = shown::list(&lasting)
        )));
    }
    blocks
}

/// A visit in one line.
fn visit_words(shown: &Shown, visit: &VisitFacts) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut add = |name: &str, value: &Option<String>| {
        if let Some(value) = value {
            let named = name.is_empty() || value.to_lowercase().starts_with(name);
            parts.push(if named { value.clone() } else { format!("{name} {value}") });
        }
    };
    add(say!(shown.words, "days.by"), &visit.by);
    add("", &visit.credential);
    add(say!(shown.words, "days.for_"), &visit.reason);
    add(say!(shown.words, "days.with"), &visit.instruments);
    add(say!(shown.words, "days.photo"), &visit.photos);
    add("", &visit.note);
    parts.push(shown::row(&visit.row));
    parts.join("; ")
}
