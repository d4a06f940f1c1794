//! One section per chamber: its charts, its air day by day, its points and every reading; then the air that belongs
//! to no chamber.

use grainfall_analysis::evidence::{
    ChamberEvidence, DailyAir, DifferenceKind, DryStandardBasis, Evidence, GoalBasis, PointEvidence, TrackPlace,
};

use super::answers::verdict_words;
use super::shown::{self, Shown};
use super::{Block, Cell, Fact, Section, Table, chart_block, heading, note, number_column, paragraph, text_column};
use super::{outlook, readings};
use crate::charts::{Chart, ChartKind, ChartScope};
use crate::number_format::{NO_VALUE, count, share, signed, trimmed};
use crate::text;

/// The sections.
pub(super) fn sections(evidence: &Evidence, shown: &Shown, charts: &[Chart]) -> Vec<Section> {
    let mut sections: Vec<Section> = evidence
        .chambers
        .iter()
        .enumerate()
        .map(|(index, chamber)| chamber_section(evidence, shown, charts, index, chamber))
        .collect();
    sections.extend(other_section(evidence, shown));
    sections
}

/// Charts of the whole job but the equipment timeline, which stands with the equipment.
pub(super) fn overview(charts: &[Chart]) -> Option<Section> {
    let of_job = |chart: &Chart| chart.scope == ChartScope::Job && chart.kind != ChartKind::Equipment;
    let mut section = Section::new("overview", 1, "Whole job");
    section.blocks.extend((0..charts.len()).filter(|i| of_job(&charts[*i])).map(|i| chart_block(charts, i)));
    if section.blocks.is_empty() { None } else { Some(section) }
}

fn chamber_section(
    evidence: &Evidence,
    shown: &Shown,
    charts: &[Chart],
    index: usize,
    chamber: &ChamberEvidence,
) -> Section {
    let title = shown::cut(&shown::chamber(chamber), 160);
    let mut section = Section::new(format!("chamber-{}", index + 1), 1, title);
    section.new_page = true;
    let blocks = &mut section.blocks;
    blocks.push(paragraph(format!("{}: {}", verdict_words(chamber.verdict), chamber.why)));
    blocks.push(Block::Facts { facts: facts(shown, chamber) });
    let own = |chart: &Chart| matches!(&chart.scope, ChartScope::Chamber(id) if *id == chamber.id);
    blocks.extend((0..charts.len()).filter(|i| own(&charts[*i])).map(|i| chart_block(charts, i)));
    let points: Vec<&PointEvidence> =
        evidence.points.iter().filter(|p| p.chamber.as_deref() == Some(chamber.id.as_str())).collect();
    if points.is_empty() {
        blocks.push(note(text::CHAMBER_WITHOUT_POINTS));
    } else {
        blocks.push(heading("Points and their goals"));
        blocks.push(Block::Table(points_table(evidence, shown, &points)));
        blocks.extend(outlook::forecasts(evidence, shown, &points).map(Block::Table));
    }
    let air: Vec<&DailyAir> =
        evidence.daily_air.iter().filter(|air| has_air_values(air) && is_own(air, chamber)).collect();
    if !air.is_empty() {
        blocks.push(heading("Air, day by day"));
        blocks.push(Block::Table(air_table(shown, AIR_CAPTION, AirRows::ByDay, &air)));
    }
    if let Some(table) = differences_table(evidence, shown, chamber) {
        blocks.push(Block::Table(table));
        blocks.push(note(text::SMALL_DIFFERENCES));
    }
    if points.iter().any(|point| !point.readings.is_empty()) {
        blocks.push(heading("Readings, day by day"));
        blocks.extend(readings::by_day(evidence, shown, &points));
    }
    section
}

fn facts(shown: &Shown, chamber: &ChamberEvidence) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut fact = |name: &str, value: String| facts.push(Fact { name: name.to_owned(), value });
    if let Some(area) = chamber.floor_area_m2 {
        let units = shown.units;
        fact("Floor area", format!("{} {}", crate::number_format::shown(units.area(area), 0), units.area_unit()));
    }
    if let Some(volume) = chamber.volume_m3 {
        let units = shown.units;
        fact("Air volume", format!("{} {}", crate::number_format::shown(units.volume(volume), 0), units.volume_unit()));
    }
    if let Some((date, progress)) = chamber.progress.last() {
        fact(
            "Initial excess moisture gone",
            format!("{} on {} (median of the points)", share(*progress), shown.day(*date)),
        );
    }
    for goal in &chamber.air_goals {
        let when = goal.met_at.map_or(String::new(), |at| format!(", {}", shown.instant(at)));
        fact("Air goal", format!("{}: {}{when}. {}", goal.text, goal.verdict.words(), goal.why));
    }
    if !chamber.not_shown_points.is_empty() {
        fact("Points not shown", shown::list(&chamber.not_shown_points));
    }
    if !chamber.ended_points.is_empty() {
        fact("Points ended", shown::list(&chamber.ended_points));
    }
    if !chamber.moved_points.is_empty() {
        fact("Points that moved to another chamber", shown::list(&chamber.moved_points));
    }
    facts
}

/// Whether an air has values of air; a surface or material logger without humidity has none, its readings stand with
/// its point.
pub(super) fn has_air_values(air: &DailyAir) -> bool {
    air.gpp.is_some() || !matches!(air.place, TrackPlace::Surface | TrackPlace::Material)
}

/// Whether an air is the chamber's own; those of its units and those it is compared with stand with each day.
fn is_own(air: &DailyAir, chamber: &ChamberEvidence) -> bool {
    air.unit.is_none()
        && air.chamber.as_deref() == Some(chamber.id.as_str())
        && !matches!(air.place, TrackPlace::Unaffected | TrackPlace::Outdoor)
}

/// Whether the charts of a chamber show an air: its own, its units', and the airs it is compared with.
fn belongs(evidence: &Evidence, air: &DailyAir, chamber: &ChamberEvidence) -> bool {
    let compared = matches!(air.place, TrackPlace::Unaffected | TrackPlace::Outdoor);
    match (&air.chamber, &air.unit) {
        (Some(id), _) => *id == chamber.id,
        (None, Some(unit)) => serves(evidence, unit, &chamber.id),
        (None, None) => compared,
    }
}

fn serves(evidence: &Evidence, unit: &str, chamber: &str) -> bool {
    evidence
        .equipment
        .iter()
        .filter(|u| u.unit == unit)
        .flat_map(|u| &u.stays)
        .any(|stay| stay.chambers.iter().any(|id| id == chamber))
}

const AIR_CAPTION: &str = "Daily air: time-weighted mean (least to greatest)";

/// Whether the rows of an air table name their day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum AirRows {
    /// Several days.
    ByDay,
    /// One day, named above.
    OfOneDay,
}

/// Daily values of some airs.
pub(super) fn air_table(shown: &Shown, caption: &str, rows: AirRows, air: &[&DailyAir]) -> Table {
    let units = shown.units;
    let mut table = Table::new(
        caption,
        vec![
            text_column("Day", 50.0),
            text_column("Air", 120.0),
            number_column("Samples", 42.0),
            number_column(format!("Temperature {}", units.temp_unit()), 92.0),
            number_column("RH %", 66.0),
            number_column(format!("{} ± U", ratio_head(shown)), 62.0),
            number_column(format!("Dew point {}", units.temp_unit()), 46.0),
            number_column(format!("Vapour pressure {}", units.vapour_pressure_unit()), 52.0),
        ],
    );
    for day in air {
        table.push(vec![
            Cell::on(shown.day(day.date), day.date),
            Cell::from(&day.label),
            share(day.sample_share).into(),
            shown.temp_spread(day.air_temp_c).into(),
            shown.rh_spread(day.rh_pct).into(),
            shown.ratio(day.gpp.map(|g| g.mean), day.u_gpp).into(),
            day.dew_point_c.map_or(NO_VALUE.to_owned(), |s| shown.temp(s.mean)).into(),
            shown.pressure(day.vapour_pressure_pa.map(|s| s.mean)).into(),
        ]);
    }
    if rows == AirRows::OfOneDay {
        table.remove_first_column();
    }
    if air.iter().any(|day| day.sample_share < 0.75) {
        table.notes.push(text::SAMPLE_SHARE.to_owned());
    }
    table
}

/// The head of a humidity ratio.
pub(super) fn ratio_head(shown: &Shown) -> String {
    match shown.units {
        crate::UnitSystem::Us => "GPP".to_owned(),
        crate::UnitSystem::Si => "Water g/kg".to_owned(),
    }
}

fn differences_table(evidence: &Evidence, shown: &Shown, chamber: &ChamberEvidence) -> Option<Table> {
    let own: Vec<_> = evidence.daily_differences.iter().filter(|d| d.chamber == chamber.id).collect();
    if own.is_empty() {
        return None;
    }
    let mut dates: Vec<_> = own.iter().map(|d| d.date).collect();
    dates.dedup();
    let unit = shown.units.humidity_ratio_unit();
    let mut table = Table::new(
        "Daily difference of the affected air, on matched instants",
        vec![
            text_column("Day", 50.0),
            text_column(format!("Affected − unaffected, {unit} ± U"), 220.0),
            text_column(format!("Affected − outdoor, {unit} ± U"), 220.0),
        ],
    );
    for date in dates {
        let cell = |kind: DifferenceKind| -> Cell {
            own.iter()
                .find(|d| d.date == date && d.kind == kind)
                .map_or_else(
                    || NO_VALUE.to_owned(),
                    |d| {
                        let within = if d.within_uncertainty { ", within uncertainty" } else { "" };
                        let short = if d.sample_share < 0.75 {
                            format!(", {} of the pairs", share(d.sample_share))
                        } else {
                            String::new()
                        };
                        format!("{}{within}{short}", shown.ratio(Some(d.mean_gpp), Some(d.u_gpp)))
                    },
                )
                .into()
        };
        table.push(vec![
            Cell::on(shown.day(date), date),
            cell(DifferenceKind::AffectedMinusUnaffected),
            cell(DifferenceKind::AffectedMinusOutdoor),
        ]);
    }
    Some(table)
}

fn points_table(evidence: &Evidence, shown: &Shown, points: &[&PointEvidence]) -> Table {
    let mut table = Table::new(
        "Each point against its goal, on the goal's own meter and scale",
        vec![
            text_column("Point", 104.0),
            text_column("Dry standard", 88.0),
            text_column("Goal", 96.0),
            number_column("First", 42.0),
            number_column("Highest", 42.0),
            number_column("Last", 58.0),
            number_column("Distance to goal", 48.0),
            text_column("Verdict", 70.0),
        ],
    );
    for point in points {
        let first = point.readings.iter().find(|r| r.decides).map_or(NO_VALUE.to_owned(), shown::reading);
        let value = |v: Option<f64>| v.map_or(NO_VALUE.to_owned(), |v| shown::with_unit(v, &point.unit));
        let last = match (point.last, point.last_at) {
            (Some(last), Some(at)) => format!("{}, {}", shown::with_unit(last, &point.unit), shown.instant(at)),
            (last, _) => value(last),
        };
        let cells = vec![
            format!("{}{}", point.id, point_words(point)).into(),
            dry_standard(shown, point).into(),
            goal(point).into(),
            first.into(),
            match point.highest {
                Some(highest) if point.highest_is_bound => {
                    format!("> {}", shown::with_unit(highest, &point.unit)).into()
                }
                highest => value(highest).into(),
            },
            last.into(),
            point.distance_to_goal.map_or(NO_VALUE.to_owned(), |d| signed_with_unit(d, &point.unit)).into(),
            verdict(shown, point),
        ];
        match super::answers::point_anchor(evidence, &point.id) {
            Some(anchor) => table.push_anchored(anchor, cells),
            None => table.push(cells),
        }
    }
    for point in points {
        if !point.why.is_empty() {
            table.notes.push(format!("{}: {}", point.id, point.why));
        }
        if let Some(rate) = point.rates.last() {
            table.notes.push(rate_note(shown, point, rate));
        }
    }
    table
}

fn point_words(point: &PointEvidence) -> String {
    let parts: Vec<&str> = [point.location.as_deref(), point.depth.as_deref(), point.material.as_deref()]
        .into_iter()
        .flatten()
        .filter(|text| !text.is_empty())
        .collect();
    let scale = format!("scale {}", point.scale);
    let reference = if point.reference { "; reference, unaffected" } else { "" };
    let logged = if point.logged { "; logged" } else { "" };
    let place = if parts.is_empty() { String::new() } else { format!(": {}", parts.join(", ")) };
    format!("{place}; {scale}{reference}{logged}")
}

fn dry_standard(shown: &Shown, point: &PointEvidence) -> String {
    let Some(standard) = &point.dry_standard else { return "none on record".to_owned() };
    let value = shown::with_unit(standard.value, &point.unit);
    match &standard.basis {
        DryStandardBasis::Stated { row } => format!("{value}, stated ({})", shown::row(row)),
        DryStandardBasis::ReferencePoints { points, meter, at, min, max, .. } => {
            let meter = meter.as_ref().map_or(String::new(), |meter| format!(", meter {meter}"));
            format!(
                "{value}, median of {} ({}; {} to {}), {}{meter}",
                count(points.len() as u64, "reference point", "reference points"),
                points.join(", "),
                trimmed(*min, 2),
                trimmed(*max, 2),
                shown.instant(*at),
            )
        }
    }
}

fn goal(point: &PointEvidence) -> String {
    let Some(goal) = &point.goal else { return "none on record".to_owned() };
    let basis = match goal.basis {
        GoalBasis::Point => "set for the point",
        GoalBasis::Material => "set for the material",
        GoalBasis::CommonPractice => text::COMMON_PRACTICE,
    };
    if goal.text.contains(basis) { goal.text.clone() } else { format!("{} ({basis})", goal.text) }
}

fn verdict(shown: &Shown, point: &PointEvidence) -> Cell {
    if let Some(ended) = &point.ended {
        return Cell::verdict("ended", format!(" {}: {}", shown.instant(ended.at), ended.reason));
    }
    if point.reference {
        return Cell::strong("reference");
    }
    let mut rest = String::new();
    if let Some(at) = point.met_at {
        rest.push_str(&format!(" {}", shown.instant(at)));
    }
    if !point.reopened_at.is_empty() {
        let times: Vec<String> = point.reopened_at.iter().map(|at| shown.instant(*at)).collect();
        rest.push_str(&format!("; lost again {}", times.join(", ")));
    }
    Cell::verdict(point.verdict.words(), rest)
}

fn signed_with_unit(distance: f64, unit: &str) -> String {
    let text = signed(distance, 2);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text };
    if unit.is_empty() { text } else { format!("{text} {unit}") }
}

fn rate_note(shown: &Shown, point: &PointEvidence, rate: &grainfall_analysis::evidence::DailyRate) -> String {
    let range = match (rate.low, rate.high) {
        (Some(low), Some(high)) => format!(" (95 % interval {} to {})", signed(low, 2), signed(high, 2)),
        _ => String::new(),
    };
    let unit = if point.unit.is_empty() { "scale units" } else { point.unit.as_str() };
    format!(
        "{}: drying rate to {} {} {unit} a day{range}, from {}.",
        point.id,
        shown.day(rate.date),
        signed(rate.per_day, 2),
        count(u64::from(rate.readings), "reading", "readings"),
    )
}

/// Points and airs of no chamber.
fn other_section(evidence: &Evidence, shown: &Shown) -> Option<Section> {
    let air: Vec<&DailyAir> = evidence
        .daily_air
        .iter()
        .filter(|air| has_air_values(air) && !evidence.chambers.iter().any(|chamber| belongs(evidence, air, chamber)))
        .collect();
    let points: Vec<&PointEvidence> = evidence
        .points
        .iter()
        .filter(|point| !evidence.chambers.iter().any(|chamber| point.chamber.as_ref() == Some(&chamber.id)))
        .collect();
    if air.is_empty() && points.is_empty() && evidence.hand_air.is_empty() {
        return None;
    }
    let title = if evidence.chambers.is_empty() { "Air, day by day" } else { "Air and points of no single chamber" };
    let mut section = Section::new("other", 1, title);
    section.new_page = !evidence.chambers.is_empty();
    if !air.is_empty() {
        section.blocks.push(Block::Table(air_table(shown, AIR_CAPTION, AirRows::ByDay, &air)));
    }
    if !points.is_empty() {
        section.blocks.push(Block::Table(points_table(evidence, shown, &points)));
        if points.iter().any(|point| !point.readings.is_empty()) {
            section.blocks.extend(readings::by_day(evidence, shown, &points));
        }
    }
    if !evidence.hand_air.is_empty() {
        section.blocks.push(heading("Air readings by hand"));
        section.blocks.push(Block::Table(hand_air_table(evidence, shown)));
    }
    Some(section)
}

fn hand_air_table(evidence: &Evidence, shown: &Shown) -> Table {
    let units = shown.units;
    let mut table = Table::new(
        "Air readings by hand: a record of the moment, not samples of a day",
        vec![
            text_column("When", 60.0),
            text_column("Air", 100.0),
            number_column(format!("Temperature {}", units.temp_unit()), 56.0),
            number_column("RH %", 36.0),
            number_column(ratio_head(shown), 44.0),
            number_column(format!("Dew point {}", units.temp_unit()), 46.0),
            text_column("Instrument", 60.0),
            text_column("By", 52.0),
            text_column("Row", 80.0),
        ],
    );
    for air in &evidence.hand_air {
        let of = air.unit.as_ref().or(air.chamber.as_ref()).map_or(String::new(), |of| format!(", {of}"));
        table.push(vec![
            Cell::at(shown.instant(air.time), air.time),
            format!("{}{of}", air.place.word()).into(),
            shown.temp(air.air_temp_c).into(),
            crate::number_format::shown(air.rh_pct, 1).into(),
            shown.ratio(Some(air.gpp), None).into(),
            shown.temp(air.dew_point_c).into(),
            Cell::from(air.instrument.as_ref()),
            Cell::from(air.by.as_ref()),
            shown::row(&air.row).into(),
        ]);
    }
    table
}
