//! The equipment record: every unit, every equipment-day with its verdict and reason, and what the units did.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{
    BilledComparison, DailyUnitAir, DayVerdict, Effect, EquipmentDay, EquipmentTotals, Evidence, RunSpan, RunState,
    SourceRow, StayEvidence, UnitEvidence,
};

use super::answers::{point_anchor, unit_anchor};
use super::outlook;
use super::shown::{self, Shown};
use super::{Block, Cell, Section, Table, chart_block, heading, note, number_column, paragraph, text_column};
use crate::charts::{Chart, ChartKind, ChartScope};
use crate::number_format::{self, NO_VALUE, signed, trimmed};
use crate::words::{Words, say};

/// Runs of rows named beside a run of equipment-days; the others are in tables/equipment_days.csv.
const ROWS_OF_DAYS: usize = 6;

/// The section; none without equipment.
pub(super) fn section(evidence: &Evidence, shown: &Shown, charts: &[Chart]) -> Option<Section> {
    if evidence.equipment.is_empty() {
        return None;
    }
    let mut section = Section::new("equipment", 1, say!(shown.words, "equipment.equipment_record"));
    let blocks = &mut section.blocks;
    blocks.push(paragraph(say!(shown.words, "text.equipment_day_rule")));
    blocks.push(paragraph(say!(
        shown.words,
        "equipment.counted_here_the_pull_window_of",
        equipment_day = evidence.job.equipment_day,
        pull_window_h = shown::hours(shown.words, evidence.job.pull_window_h),
        origin = pull_window_origin(shown.words, evidence)
    )));
    let timeline = |chart: &Chart| chart.scope == ChartScope::Job && chart.kind == ChartKind::Equipment;
    blocks.extend((0..charts.len()).filter(|i| timeline(&charts[*i])).map(|i| chart_block(charts, i)));
    blocks.push(heading(say!(shown.words, "equipment.units")));
    blocks.push(Block::Table(units_table(evidence, shown)));
    blocks.push(heading(say!(shown.words, "equipment.every_equipment_day")));
    blocks.push(Block::Table(days_table(evidence, shown)));
    if !evidence.unit_air.is_empty() {
        blocks.push(heading(say!(shown.words, "equipment.air_across_the_dehumidifiers")));
        blocks.push(Block::Table(unit_air_table(evidence, shown)));
        blocks.push(note(say!(shown.words, "text.small_depressions")));
        blocks.push(note(say!(shown.words, "text.water_removed")));
    }
    blocks.extend(
        [
            runs_table(evidence, shown),
            condensate_table(evidence, shown),
            hour_meters_table(evidence, shown),
            pauses_table(evidence, shown),
            outlook::called_for(shown.words, evidence),
            outlook::earliest_leaves(evidence, shown),
        ]
        .into_iter()
        .flatten()
        .map(Block::Table),
    );
    Some(section)
}

/// Who set the pull window.
pub(super) fn pull_window_origin(words: Words, evidence: &Evidence) -> &'static str {
    if evidence.job.pull_window_stated {
        say!(words, "equipment.pull_window_of_the_job")
    } else {
        say!(words, "equipment.pull_window_of_ours")
    }
}

fn units_table(evidence: &Evidence, shown: &Shown) -> Table {
    let billed = evidence.equipment.iter().any(|unit| unit.billed.is_some());
    let mut columns = vec![
        text_column(say!(shown.words, "equipment.unit"), 112.0),
        text_column(say!(shown.words, "equipment.serves"), 54.0),
        text_column(say!(shown.words, "equipment.placed"), 100.0),
        text_column(say!(shown.words, "equipment.removed"), 100.0),
        number_column(say!(shown.words, "equipment.hours"), 32.0),
        number_column(say!(shown.words, "equipment.days"), 26.0),
        number_column(say!(shown.words, "equipment.needed"), 40.0),
        number_column(say!(shown.words, "equipment.not_needed"), 36.0),
        number_column(say!(shown.words, "equipment.not_shown"), 34.0),
    ];
    if billed {
        columns.push(number_column(say!(shown.words, "equipment.billed"), 30.0));
        columns.push(number_column(say!(shown.words, "equipment.billed_recorded"), 44.0));
    }
    let mut table = Table::new(say!(shown.words, "equipment.units_with_their_stays"), columns);
    for unit in &evidence.equipment {
        // Billed days stand beside the stay they were billed for; those of a unit written apart, beside its stays together.
        let one_by_one = unit.stays.len() > 1 && unit.stays.iter().any(|stay| stay.billed.is_some());
        let groups: Vec<&[StayEvidence]> =
            if one_by_one { unit.stays.chunks(1).collect() } else { vec![unit.stays.as_slice()] };
        for stays in groups {
            let anchor = unit_anchor(evidence, &unit.unit);
            let of = if one_by_one { stays.iter().find_map(|stay| stay.billed.as_ref()) } else { unit.billed.as_ref() };
            table.push(stays_cells(shown, unit, stays, anchor, billed.then_some(of)));
        }
    }
    table
}

/// The cells of stays of a unit told together; `billed` is what was billed for them, where the table shows it.
fn stays_cells(
    shown: &Shown,
    unit: &UnitEvidence,
    stays: &[StayEvidence],
    anchor: Option<String>,
    billed: Option<Option<&BilledComparison>>,
) -> Vec<Cell> {
    let totals = EquipmentTotals::of(stays);
    let each = |text: &dyn Fn(&StayEvidence) -> String| stays.iter().map(text).collect::<Vec<_>>().join("; ");
    let mut needed = totals.needed.to_string();
    if totals.did_not_run_days > 0 {
        needed.push_str(&say!(
            shown.words,
            "equipment.did_not_run",
            did_not_run_h = shown::hours(shown.words, totals.did_not_run_h)
        ));
    }
    if !unit.judged {
        needed = say!(shown.words, "equipment.not_judged", not_judged = totals.not_judged);
    }
    let mut cells: Vec<Cell> = vec![
        Cell::link(&unit.unit, unit_kind(shown, unit), anchor),
        each(&|stay| serves(shown.words, stay)).into(),
        each(&|stay| {
            event(shown.words, &shown.instant(stay.placed), stay.placed_by.as_ref(), stay.placed_reason.as_ref())
        })
        .into(),
        each(&|stay| {
            let moves = stay.moves.iter().map(|one| {
                event(
                    shown.words,
                    &say!(shown.words, "equipment.away", to = shown.span(one.from, Some(one.to))),
                    one.by.as_ref(),
                    one.reason.as_ref(),
                )
            });
            let end = match stay.removed {
                Some(at) => {
                    event(shown.words, &shown.instant(at), stay.removed_by.as_ref(), stay.removed_reason.as_ref())
                }
                None => say!(shown.words, "equipment.still_on_site").to_owned(),
            };
            moves.chain([end]).collect::<Vec<_>>().join("; ")
        })
        .into(),
        shown::hours_number(shown.words, totals.hours).into(),
        totals.recorded_days.to_string().into(),
        needed.into(),
        totals.not_needed.to_string().into(),
        totals.not_shown.to_string().into(),
    ];
    if let Some(billed) = billed {
        cells.push(billed.map_or(NO_VALUE.to_owned(), |b| trimmed(shown.words, b.billed_days, 2)).into());
        let difference = |d: f64| signed(shown.words, d, if d.fract() == 0.0 { 0 } else { 2 });
        cells.push(billed.map_or(NO_VALUE.to_owned(), |b| difference(b.difference_days)).into());
    }
    cells
}

/// What a unit is, after its name, with what is stated of it.
fn unit_kind(shown: &Shown, unit: &UnitEvidence) -> String {
    let words = shown.words;
    let asset = unit.asset.as_ref().map_or(String::new(), |asset| say!(words, "equipment.asset", asset = asset));
    let purpose = if unit.judged { String::new() } else { say!(words, "equipment.for", purpose = unit.purpose) };
    let airflow = unit.airflow_m3_per_s.map_or(String::new(), |flow| {
        let (units, value) = (shown.units, number_format::shown(words, shown.units.airflow(flow), 0));
        say!(words, "equipment.airflow", value = value, unit = units.airflow_unit())
    });
    let rated = unit.rated_kg_per_day.map_or(String::new(), |kg| {
        let value = trimmed(words, shown.units.water(kg), 1);
        let at = unit.rated_at.as_ref().map_or(String::new(), |at| say!(words, "equipment.rated_at", at = at));
        say!(words, "equipment.rated", value = value, unit = shown.units.water_unit(), at = at)
    });
    format!(": {}{asset}{purpose}{airflow}{rated}", unit.kind)
}

fn serves(words: Words, stay: &StayEvidence) -> String {
    let mut served =
        stay.chambers.iter().map(|id| say!(words, "equipment.chamber", id = id)).collect::<Vec<_>>().join(", ");
    if !stay.points.is_empty() {
        served.push_str(&say!(words, "equipment.points", points = stay.points.join(", ")));
    }
    served
}

fn event(words: Words, when: &str, by: Option<&String>, reason: Option<&String>) -> String {
    let by = by.map_or(String::new(), |by| say!(words, "equipment.by", by = by));
    let reason = reason.map_or(String::new(), |reason| format!(": {reason}"));
    format!("{when}{by}{reason}")
}

fn days_table(evidence: &Evidence, shown: &Shown) -> Table {
    let has_effect =
        evidence.equipment.iter().flat_map(|u| &u.stays).flat_map(|s| &s.days).any(|day| day.effect.is_some());
    let mut columns = vec![
        number_column(say!(shown.words, "equipment.day"), 26.0),
        text_column(say!(shown.words, "equipment.period"), 82.0),
        text_column(say!(shown.words, "equipment.verdict"), 58.0),
        text_column(say!(shown.words, "equipment.why_and_the_open_points"), 158.0),
        text_column(say!(shown.words, "equipment.reading_that_decides_its_age"), 88.0),
    ];
    if has_effect {
        columns.push(text_column(say!(shown.words, "equipment.hours_run_depression_water"), 112.0));
    }
    columns.push(text_column(say!(shown.words, "equipment.all_rows"), 62.0));
    let mut table = Table::new(say!(shown.words, "equipment.equipment_days_was_there_load_in"), columns);
    let groups = groups(evidence);
    for group in &groups {
        let Some(unit) = group.first() else { continue };
        for (index, stay) in unit.stays.iter().enumerate() {
            let anchor = if index == 0 { unit_anchor(evidence, &unit.unit) } else { None };
            let same: Vec<&StayEvidence> = group.iter().filter_map(|unit| unit.stays.get(index)).collect();
            table.push_group(anchor, group_words(shown, group), stay_words(shown, &same));
            for days in stay.days.chunk_by(are_equal) {
                table.push(day_cells(evidence, shown, days, has_effect));
            }
        }
    }
    table.notes.push(say!(shown.words, "text.equipment_day_words").to_owned());
    table.notes.push(say!(shown.words, "text.reading_ages").to_owned());
    if evidence
        .equipment
        .iter()
        .flat_map(|u| &u.stays)
        .any(|stay| stay.days.windows(2).any(|p| are_equal(&p[0], &p[1])))
    {
        table.notes.push(say!(shown.words, "text.equal_days_joined").to_owned());
    }
    if groups.iter().any(|group| group.len() > 1) {
        table.notes.push(say!(shown.words, "text.equal_units_joined").to_owned());
    }
    table
}

/// Units whose days are told once: of one kind, placed and removed within an hour of one another, with the same verdict
/// on each day for the same reason, and nothing of their own to tell.
pub(super) fn groups(evidence: &Evidence) -> Vec<Vec<&UnitEvidence>> {
    let mut groups: Vec<Vec<&UnitEvidence>> = Vec::new();
    for unit in &evidence.equipment {
        match groups.iter_mut().find(|group| group.first().is_some_and(|first| are_told_once(first, unit))) {
            Some(group) => group.push(unit),
            None => groups.push(vec![unit]),
        }
    }
    groups
}

fn are_told_once(a: &UnitEvidence, b: &UnitEvidence) -> bool {
    let near = |a: DateTime<Utc>, b: DateTime<Utc>| (a - b).abs() <= TimeDelta::hours(1);
    let same_day = |a: &EquipmentDay, b: &EquipmentDay| {
        are_equal(a, b) && a.number == b.number && near(a.from, b.from) && near(a.to, b.to) && a.read_at == b.read_at
    };
    let same_stay = |a: &StayEvidence, b: &StayEvidence| {
        (&a.chambers, &a.points) == (&b.chambers, &b.points)
            && a.removed.is_some() == b.removed.is_some()
            && a.days.len() == b.days.len()
            && a.days.iter().zip(&b.days).all(|(a, b)| same_day(a, b))
    };
    (&a.kind, &a.purpose, a.judged) == (&b.kind, &b.purpose, b.judged)
        && a.stays.len() == b.stays.len()
        && a.stays.iter().zip(&b.stays).all(|(a, b)| same_stay(a, b))
}

/// `D1: dehumidifier, asset 7`; `F1, F2, F3: air mover`.
fn group_words(shown: &Shown, group: &[&UnitEvidence]) -> String {
    match group {
        [unit] => format!("{}{}", unit.unit, unit_kind(shown, unit)),
        _ => {
            let names: Vec<String> = group.iter().map(|unit| unit.unit.clone()).collect();
            let kind = group.first().map_or("", |unit| unit.kind.as_str());
            say!(shown.words, "equipment.each_of", names = names.join(", "), kind = kind)
        }
    }
}

/// What the stays served, from when to when; of several the first and the last of each.
fn stay_words(shown: &Shown, stays: &[&StayEvidence]) -> String {
    let Some(stay) = stays.first() else { return String::new() };
    let span = |times: &[DateTime<Utc>]| match (times.iter().min(), times.iter().max()) {
        (Some(first), Some(last)) if first != last => shown.span(*first, Some(*last)),
        (Some(first), _) => shown.instant(*first),
        (None, _) => NO_VALUE.to_owned(),
    };
    let removed: Vec<DateTime<Utc>> = stays.iter().filter_map(|stay| stay.removed).collect();
    let removed = if removed.is_empty() {
        say!(shown.words, "equipment.still_on_site").to_owned()
    } else {
        say!(shown.words, "equipment.removed_2", at = span(&removed))
    };
    let placed: Vec<DateTime<Utc>> = stays.iter().map(|stay| stay.placed).collect();
    let written: Vec<SourceRow> = stays.iter().flat_map(|stay| stay.rows.iter().cloned()).collect();
    say!(
        shown.words,
        "equipment.placed_2",
        stay = serves(shown.words, stay),
        placed = span(&placed),
        removed = removed,
        rows = shown::rows(shown.words, &written, ROWS_OF_DAYS)
    )
}

/// Whether two days in a row have the same answer for the same reason, and nothing of their own to tell.
fn are_equal(a: &EquipmentDay, b: &EquipmentDay) -> bool {
    let plain = |day: &EquipmentDay| day.effect.is_none() && day.paused_h <= 0.0;
    plain(a) && plain(b) && a.verdict == b.verdict && a.why == b.why && a.load_points == b.load_points
}

/// The cells of a run of equal days.
fn day_cells(evidence: &Evidence, shown: &Shown, days: &[EquipmentDay], has_effect: bool) -> Vec<Cell> {
    let (Some(day), Some(last)) = (days.first(), days.last()) else { return Vec::new() };
    let stood = day.effect.as_ref().map_or(0.0, |effect| effect.did_not_run_h);
    let rest = match day.verdict {
        DayVerdict::Needed if stood >= 1.0 => {
            say!(shown.words, "equipment.did_not_run_2", stood = shown::hours(shown.words, stood))
        }
        _ if day.effect.is_none() && day.paused_h > 0.0 => {
            say!(shown.words, "equipment.paused", paused_h = shown::hours(shown.words, day.paused_h))
        }
        _ => String::new(),
    };
    let anchor = day.load_points.first().and_then(|id| point_anchor(evidence, id));
    let hours: f64 = days.iter().map(|day| day.hours).sum();
    let number = if days.len() == 1 {
        day.number.to_string()
    } else {
        say!(shown.words, "shown.from_to", from = day.number, to = last.number)
    };
    let why = if day.load_points.is_empty() {
        Cell::from(&day.why)
    } else {
        Cell::link(shown::list(&day.load_points), format!(": {}", day.why), anchor)
    };
    let mut cells: Vec<Cell> = vec![
        number.into(),
        format!("{}, {}", shown.span(day.from, Some(last.to)), shown::hours(shown.words, hours)).into(),
        Cell::verdict(day.verdict.said(shown.words), rest),
        why,
        reading_ages(evidence, shown, days).into(),
    ];
    if has_effect {
        cells.push(day.effect.as_ref().map_or(NO_VALUE.to_owned(), |effect| effect_words(shown, effect)).into());
    }
    let all: Vec<SourceRow> = days.iter().flat_map(|day| day.rows.iter().cloned()).collect();
    cells.push(shown::rows(shown.words, &all, ROWS_OF_DAYS).into());
    cells
}

/// When the readings were taken that decide a run of days, and how old they were beside them: the oldest where they
/// are several.
fn reading_ages(evidence: &Evidence, shown: &Shown, days: &[EquipmentDay]) -> String {
    if days.iter().all(|day| day.by_pull_window) {
        return say!(shown.words, "equipment.as_the_one_before").to_owned();
    }
    let read: Vec<(DateTime<Utc>, &EquipmentDay)> = days.iter().filter_map(|day| Some((day.read_at?, day))).collect();
    let Some(oldest) = read.iter().max_by_key(|(at, day)| day.from - *at) else { return NO_VALUE.to_owned() };
    let row = row_read(evidence, oldest.0, oldest.1).map_or(String::new(), |row| format!(" ({})", shown::row(row)));
    let age = age(shown.words, oldest.0, oldest.1) + &row;
    let (first, last) = (read.iter().map(|one| one.0).min(), read.iter().map(|one| one.0).max());
    match (first, last) {
        (Some(first), Some(last)) if first != last => {
            say!(
                shown.words,
                "equipment.to_the_oldest",
                first = shown.instant(first),
                last = shown.instant(last),
                age = age
            )
        }
        _ if read.len() > 1 => {
            say!(shown.words, "equipment.on_the_last_of_these_days", oldest = shown.instant(oldest.0), age = age)
        }
        _ => format!("{}, {age}", shown.instant(oldest.0)),
    }
}

/// The row of the reading of an instant, among those of an equipment-day.
fn row_read<'a>(evidence: &'a Evidence, read_at: DateTime<Utc>, day: &EquipmentDay) -> Option<&'a SourceRow> {
    let mut readings = evidence.points.iter().flat_map(|point| &point.readings);
    readings.find(|reading| reading.time == read_at && day.rows.contains(&reading.row)).map(|reading| &reading.row)
}

/// How old a reading is beside a day: `in the day`, `9.5 h before it`.
fn age(words: Words, read_at: DateTime<Utc>, day: &EquipmentDay) -> String {
    let between = |from: DateTime<Utc>, to: DateTime<Utc>| shown::hours(words, (to - from).as_seconds_f64() / 3600.0);
    if read_at < day.from {
        say!(words, "equipment.before_it_began", from = between(read_at, day.from))
    } else if read_at < day.to {
        say!(words, "equipment.in_it").to_owned()
    } else {
        say!(words, "equipment.after_it_ended", read_at = between(day.to, read_at))
    }
}

/// What a unit did, in words.
fn effect_words(shown: &Shown, effect: &Effect) -> String {
    let mut parts = vec![say!(shown.words, "equipment.ran", running_h = shown::hours(shown.words, effect.running_h))];
    if effect.did_not_run_h > 0.0 {
        parts.push(say!(
            shown.words,
            "equipment.stood",
            did_not_run_h = shown::hours(shown.words, effect.did_not_run_h)
        ));
    }
    if effect.paused_h > 0.0 {
        parts.push(say!(shown.words, "equipment.paused_2", paused_h = shown::hours(shown.words, effect.paused_h)));
    }
    // What would round to nothing is not told.
    if effect.not_shown_h >= 0.05 {
        parts.push(say!(
            shown.words,
            "equipment.running_not_known_for",
            not_shown_h = shown::hours(shown.words, effect.not_shown_h)
        ));
    }
    let (depression, water) = ((effect.depression_gpp, effect.u_depression_gpp), (effect.water_kg, effect.u_water_kg));
    parts.extend(taken_out(shown, depression, effect.within_uncertainty, water));
    parts.join("; ")
}

/// What a unit took out of the air: `depression 12.3 ± 3.4 GPP`, `15.0 ± 4.2 pints of water`; nothing where not known.
///
/// # Arguments
/// * `depression`, `water`: GPP and kg, each with its expanded uncertainty.
/// * `within_uncertainty`: whether the depression is no larger than that.
pub(super) fn taken_out(
    shown: &Shown,
    depression: (Option<f64>, Option<f64>),
    within_uncertainty: Option<bool>,
    water: (Option<f64>, Option<f64>),
) -> Vec<String> {
    let mut parts = Vec::new();
    if depression.0.is_some() {
        let within =
            if within_uncertainty == Some(true) { say!(shown.words, "equipment.within_uncertainty") } else { "" };
        let ratio = shown.ratio(depression.0, depression.1);
        parts.push(say!(
            shown.words,
            "equipment.depression",
            ratio = ratio,
            humidity_ratio_unit = shown.units.humidity_ratio_unit(),
            within = within
        ));
    }
    if water.0.is_some() {
        parts.push(say!(
            shown.words,
            "equipment.of_water",
            water = shown.water(water.0, water.1),
            water_unit = shown.units.water_unit()
        ));
    }
    parts
}

fn unit_air_table(evidence: &Evidence, shown: &Shown) -> Table {
    let water = shown.units.water_unit();
    let mut table = Table::new(
        say!(shown.words, "equipment.what_each_dehumidifier_did_over_the"),
        vec![
            text_column(say!(shown.words, "equipment.unit"), 40.0),
            text_column(say!(shown.words, "equipment.air_measured_at"), 150.0),
            number_column(say!(shown.words, "equipment.ran_h"), 40.0),
            number_column(say!(shown.words, "equipment.stood_h"), 40.0),
            number_column(say!(shown.words, "equipment.paused_h"), 40.0),
            number_column(say!(shown.words, "equipment.water_u", water = water), 80.0),
            number_column(say!(shown.words, "equipment.condensate_by_hand", water = water), 66.0),
        ],
    );
    for unit in &evidence.unit_air {
        let inlet =
            if unit.inlet.is_empty() { say!(shown.words, "equipment.none").to_owned() } else { unit.inlet.join(", ") };
        let own = if unit.own_inlet { "" } else { say!(shown.words, "equipment.air_of_the_chamber") };
        let outlet = unit.outlet.as_deref().unwrap_or(say!(shown.words, "equipment.none"));
        let why = unit.why_not.as_ref().map_or(String::new(), |why| format!("; {why}"));
        let sum = |of: fn(&DailyUnitAir) -> f64| shown::hours_number(shown.words, unit.daily.iter().map(of).sum());
        table.push(vec![
            Cell::link(&unit.unit, "", unit_anchor(evidence, &unit.unit)),
            say!(shown.words, "equipment.inlet_outlet", inlet = inlet, own = own, outlet = outlet, why = why).into(),
            sum(|day| day.running_h).into(),
            sum(|day| day.stopped_h).into(),
            sum(|day| day.paused_h).into(),
            unit.water_kg.map_or(NO_VALUE.to_owned(), |kg| shown.water(Some(kg), unit.u_water_kg)).into(),
            unit.condensate_kg.map_or(NO_VALUE.to_owned(), |kg| shown.water(Some(kg), None)).into(),
        ]);
    }
    table
}

/// Condensate measured by hand beside the water computed over the same stretch.
fn condensate_table(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let water = shown.units.water_unit();
    let mut table = Table::new(
        say!(shown.words, "equipment.condensate_measured_by_hand_beside_the"),
        vec![
            text_column(say!(shown.words, "equipment.unit"), 50.0),
            text_column(say!(shown.words, "equipment.gathered"), 150.0),
            number_column(say!(shown.words, "equipment.measured", water = water), 70.0),
            number_column(say!(shown.words, "equipment.computed_u", water = water), 100.0),
            text_column(say!(shown.words, "equipment.row"), 130.0),
        ],
    );
    for unit in &evidence.unit_air {
        for one in &unit.condensate {
            table.push(vec![
                Cell::from(&unit.unit),
                Cell::at(shown.span(one.from, Some(one.to)), one.from),
                shown.water(Some(one.measured_kg), None).into(),
                shown.water(one.water_kg, one.u_water_kg).into(),
                shown::row(&one.row).into(),
            ]);
        }
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// Hour meters beside the running hours of the air.
fn hour_meters_table(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let mut table = Table::new(
        say!(shown.words, "equipment.hour_meters_read_by_hand_beside"),
        vec![
            text_column(say!(shown.words, "equipment.unit"), 50.0),
            text_column(say!(shown.words, "equipment.between"), 150.0),
            number_column(say!(shown.words, "equipment.meter_h"), 50.0),
            number_column(say!(shown.words, "equipment.air_shows_h"), 60.0),
            number_column(say!(shown.words, "equipment.not_known_h"), 60.0),
            text_column(say!(shown.words, "equipment.rows"), 130.0),
        ],
    );
    for one in &evidence.hour_meters {
        table.push(vec![
            Cell::from(&one.unit),
            Cell::at(shown.span(one.from, Some(one.to)), one.from),
            shown::hours_number(shown.words, one.meter_h).into(),
            shown::hours_number(shown.words, one.running_h).into(),
            shown::hours_number(shown.words, one.not_shown_h).into(),
            shown::rows(shown.words, &one.rows, 4).into(),
        ]);
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// Recorded pauses.
fn pauses_table(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let mut table = Table::new(
        say!(shown.words, "equipment.recorded_pauses_no_fault_of_the"),
        vec![
            text_column(say!(shown.words, "equipment.units"), 90.0),
            text_column(say!(shown.words, "equipment.stretch"), 150.0),
            text_column(say!(shown.words, "equipment.reason"), 170.0),
            text_column(say!(shown.words, "equipment.row"), 90.0),
        ],
    );
    for pause in &evidence.pauses {
        let units =
            if pause.units.is_empty() { say!(shown.words, "equipment.all").to_owned() } else { pause.units.join(", ") };
        table.push(vec![
            units.into(),
            Cell::at(shown.span(pause.from, Some(pause.to)), pause.from),
            Cell::from(&pause.reason),
            shown::row(&pause.row).into(),
        ]);
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// Stretches in which a unit stood, was paused, or its state is not shown.
fn runs_table(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let mut table = Table::new(
        say!(shown.words, "equipment.stretches_in_which_a_dehumidifier_stood"),
        vec![
            text_column(say!(shown.words, "equipment.unit"), 50.0),
            text_column(say!(shown.words, "equipment.stretch"), 130.0),
            number_column(say!(shown.words, "equipment.hours"), 36.0),
            text_column(say!(shown.words, "equipment.state"), 110.0),
            text_column(say!(shown.words, "equipment.rows"), 170.0),
        ],
    );
    for unit in &evidence.unit_air {
        for run in &unit.runs {
            let Some(state) = state_words(shown.words, run.state) else { continue };
            table.push(vec![
                Cell::from(&unit.unit),
                Cell::at(shown.span(run.from, Some(run.to)), run.from),
                shown::hours_number(shown.words, run_hours(run)).into(),
                state.into(),
                shown::rows(shown.words, &run.rows, 4).into(),
            ]);
        }
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// Length of a stretch in hours, between instants.
pub(crate) fn run_hours(run: &RunSpan) -> f64 {
    (run.to - run.from).as_seconds_f64() / 3600.0
}

fn state_words(words: Words, state: RunState) -> Option<&'static str> {
    match state {
        RunState::Running => None,
        RunState::Stopped => Some(say!(words, "equipment.stood_no_pause_recorded")),
        RunState::Paused => Some(say!(words, "equipment.recorded_pause")),
        RunState::NotShown => Some(say!(words, "equipment.running_not_known")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::UnitSystem;
    use crate::sample_evidence::sample;

    #[test]
    fn the_age_of_a_reading_is_told_beside_its_day() {
        let evidence = sample().evidence;
        let shown = Shown::new(UnitSystem::Us, &evidence).expect("a zone");
        let mut days = evidence.equipment[0].stays[0].days[..2].to_vec();
        let first = days[0].from;
        let told = |days: &[EquipmentDay]| reading_ages(&evidence, &shown, days);
        let at = shown.instant(first - TimeDelta::hours(2));
        days[0].read_at = Some(first - TimeDelta::hours(2));
        assert_eq!(told(&days[..1]), format!("{at}, 2.0 h before it began"));
        days[1].read_at = days[0].read_at;
        assert_eq!(told(&days), format!("{at}, on the last of these days 26.0 h before it began"));
        days[1].read_at = Some(days[1].from);
        assert_eq!(told(&days[1..]), format!("{}, in it", shown.instant(days[1].from)));
        assert!(told(&days).ends_with(", the oldest 2.0 h before it began"), "{}", told(&days));
        days[0].read_at = Some(days[0].to + TimeDelta::minutes(30));
        assert_eq!(
            told(&days[..1]),
            format!("{}, 0.5 h after it ended", shown.instant(days[0].to + TimeDelta::minutes(30)))
        );
        days[0].read_at = None;
        assert_eq!(told(&days[..1]), NO_VALUE);
    }
}
