//! The equipment record: every unit, every equipment-day with its verdict and reason, and what the units did.

use chrono::{DateTime, Utc};
use grainfall_analysis::evidence::{
    DailyUnitAir, DayVerdict, Effect, EquipmentDay, Evidence, RunSpan, RunState, StayEvidence, UnitEvidence,
};

use super::answers::{point_anchor, unit_anchor};
use super::outlook;
use super::shown::{self, Shown};
use super::{Block, Cell, Section, Table, chart_block, heading, note, number_column, paragraph, text_column};
use crate::charts::{Chart, ChartKind, ChartScope};
use crate::number_format::{NO_VALUE, signed, trimmed};
use crate::text;

/// The section; none without equipment.
pub(super) fn section(evidence: &Evidence, shown: &Shown, charts: &[Chart]) -> Option<Section> {
    if evidence.equipment.is_empty() {
        return None;
    }
    let mut section = Section::new("equipment", 1, "Equipment record");
    section.new_page = true;
    let blocks = &mut section.blocks;
    blocks.push(paragraph(text::EQUIPMENT_DAY_RULE));
    blocks.push(paragraph(format!(
        "Counted here: {}. The pull window of this job is {}: a unit that leaves within that time of the reading that met the last goal takes, for a period begun after that reading, the verdict before it.",
        evidence.job.equipment_day,
        shown::hours(evidence.job.pull_window_h)
    )));
    let timeline = |chart: &Chart| chart.scope == ChartScope::Job && chart.kind == ChartKind::Equipment;
    blocks.extend((0..charts.len()).filter(|i| timeline(&charts[*i])).map(|i| chart_block(charts, i)));
    blocks.push(heading("Units"));
    blocks.push(Block::Table(units_table(evidence, shown)));
    blocks.push(heading("Every equipment-day"));
    blocks.push(Block::Table(days_table(evidence, shown)));
    if !evidence.unit_air.is_empty() {
        blocks.push(heading("Air across the dehumidifiers"));
        blocks.push(Block::Table(unit_air_table(evidence, shown)));
        blocks.push(note(text::SMALL_DEPRESSIONS));
        blocks.push(note(text::WATER_REMOVED));
    }
    blocks.extend(
        [
            runs_table(evidence, shown),
            condensate_table(evidence, shown),
            hour_meters_table(evidence, shown),
            pauses_table(evidence, shown),
            outlook::called_for(evidence),
            outlook::earliest_leaves(evidence, shown),
        ]
        .into_iter()
        .flatten()
        .map(Block::Table),
    );
    Some(section)
}

fn units_table(evidence: &Evidence, shown: &Shown) -> Table {
    let billed = evidence.equipment.iter().any(|unit| unit.billed.is_some());
    let mut columns = vec![
        text_column("Unit", 92.0),
        text_column("Serves", 56.0),
        text_column("Placed", 80.0),
        text_column("Removed", 80.0),
        number_column("Hours", 36.0),
        number_column("Days", 28.0),
        number_column("Needed", 50.0),
        number_column("Not needed", 40.0),
        number_column("Not shown", 36.0),
    ];
    if billed {
        columns.push(number_column("Billed", 34.0));
        columns.push(number_column("Billed − recorded", 48.0));
    }
    let mut table = Table::new("Units with their stays", columns);
    for unit in &evidence.equipment {
        let totals = &unit.totals;
        let stays = |text: &dyn Fn(&StayEvidence) -> String| unit.stays.iter().map(text).collect::<Vec<_>>().join("; ");
        let mut needed = totals.needed.to_string();
        if totals.did_not_run_days > 0 {
            needed.push_str(&format!(", did not run {}", shown::hours(totals.did_not_run_h)));
        }
        if !unit.judged {
            needed = format!("not judged ({})", totals.not_judged);
        }
        let mut cells: Vec<Cell> = vec![
            Cell::link(&unit.unit, unit_kind(unit), unit_anchor(evidence, &unit.unit)),
            stays(&|stay| serves(stay)).into(),
            stays(&|stay| event(&shown.instant(stay.placed), stay.placed_by.as_ref(), stay.placed_reason.as_ref()))
                .into(),
            stays(&|stay| {
                let moves = stay.moves.iter().map(|one| {
                    event(&format!("away {}", shown.span(one.from, Some(one.to))), one.by.as_ref(), one.reason.as_ref())
                });
                let end = match stay.removed {
                    Some(at) => event(&shown.instant(at), stay.removed_by.as_ref(), stay.removed_reason.as_ref()),
                    None => "still on site".to_owned(),
                };
                moves.chain([end]).collect::<Vec<_>>().join("; ")
            })
            .into(),
            shown::hours_number(totals.hours).into(),
            totals.recorded_days.to_string().into(),
            needed.into(),
            totals.not_needed.to_string().into(),
            totals.not_shown.to_string().into(),
        ];
        if billed {
            let billed = unit.billed.as_ref();
            cells.push(billed.map_or(NO_VALUE.to_owned(), |b| trimmed(b.billed_days, 2)).into());
            let difference = |d: f64| signed(d, if d.fract() == 0.0 { 0 } else { 2 });
            cells.push(billed.map_or(NO_VALUE.to_owned(), |b| difference(b.difference_days)).into());
        }
        table.push(cells);
    }
    table
}

fn unit_words(unit: &UnitEvidence) -> String {
    format!("{}{}", unit.unit, unit_kind(unit))
}

/// What a unit is, after its name.
fn unit_kind(unit: &UnitEvidence) -> String {
    let asset = unit.asset.as_ref().map_or(String::new(), |asset| format!(", asset {asset}"));
    let purpose = if unit.judged { String::new() } else { format!("; for {}", unit.purpose) };
    format!(": {}{asset}{purpose}", unit.kind)
}

fn serves(stay: &StayEvidence) -> String {
    let mut words = stay.chambers.iter().map(|id| format!("chamber {id}")).collect::<Vec<_>>().join(", ");
    if !stay.points.is_empty() {
        words.push_str(&format!(" (points {})", stay.points.join(", ")));
    }
    words
}

fn event(when: &str, by: Option<&String>, reason: Option<&String>) -> String {
    let by = by.map_or(String::new(), |by| format!(" by {by}"));
    let reason = reason.map_or(String::new(), |reason| format!(": {reason}"));
    format!("{when}{by}{reason}")
}

fn days_table(evidence: &Evidence, shown: &Shown) -> Table {
    let has_effect =
        evidence.equipment.iter().flat_map(|u| &u.stays).flat_map(|s| &s.days).any(|day| day.effect.is_some());
    let mut columns = vec![
        number_column("Day", 30.0),
        text_column("Period", 86.0),
        text_column("Verdict", 52.0),
        text_column("Why, and the open points", 150.0),
        text_column("Reading that decides, its age", 76.0),
    ];
    if has_effect {
        columns.push(text_column("Hours run, depression, water", 86.0));
    }
    columns.push(text_column("Rows", 66.0));
    let mut table = Table::new("Equipment-days: was there load in the area the unit serves", columns);
    for unit in &evidence.equipment {
        for (index, stay) in unit.stays.iter().enumerate() {
            let anchor = if index == 0 { unit_anchor(evidence, &unit.unit) } else { None };
            let removed =
                stay.removed.map_or("still on site".to_owned(), |at| format!("removed {}", shown.instant(at)));
            let detail = format!("{}, placed {}, {removed}", serves(stay), shown.instant(stay.placed));
            table.push_group(anchor, unit_words(unit), detail);
            for days in stay.days.chunk_by(are_equal) {
                table.push(day_cells(evidence, shown, days, has_effect));
            }
        }
    }
    table.notes.push(text::EQUIPMENT_DAY_WORDS.to_owned());
    table.notes.push(text::READING_AGES.to_owned());
    if evidence
        .equipment
        .iter()
        .flat_map(|u| &u.stays)
        .any(|stay| stay.days.windows(2).any(|p| are_equal(&p[0], &p[1])))
    {
        table.notes.push(text::EQUAL_DAYS_JOINED.to_owned());
    }
    table
}

/// Whether two days in a row have the same answer for the same reason, and nothing of their own to tell.
fn are_equal(a: &EquipmentDay, b: &EquipmentDay) -> bool {
    let plain = |day: &EquipmentDay| day.effect.is_none() && day.paused_h <= 0.0;
    plain(a)
        && plain(b)
        && a.verdict == b.verdict
        && a.why == b.why
        && a.load_points == b.load_points
        && a.rows == b.rows
}

/// The cells of a run of equal days.
fn day_cells(evidence: &Evidence, shown: &Shown, days: &[EquipmentDay], has_effect: bool) -> Vec<Cell> {
    let (Some(day), Some(last)) = (days.first(), days.last()) else { return Vec::new() };
    let stood = day.effect.as_ref().map_or(0.0, |effect| effect.did_not_run_h);
    let rest = match day.verdict {
        DayVerdict::Needed if stood >= 1.0 => format!(", did not run {}", shown::hours(stood)),
        _ if day.effect.is_none() && day.paused_h > 0.0 => format!(", paused {}", shown::hours(day.paused_h)),
        _ => String::new(),
    };
    let anchor = day.load_points.first().and_then(|id| point_anchor(evidence, id));
    let hours: f64 = days.iter().map(|day| day.hours).sum();
    let number = if days.len() == 1 { day.number.to_string() } else { format!("{} to {}", day.number, last.number) };
    let why = if day.load_points.is_empty() {
        Cell::from(&day.why)
    } else {
        Cell::link(shown::list(&day.load_points), format!(": {}", day.why), anchor)
    };
    let mut cells: Vec<Cell> = vec![
        number.into(),
        format!("{}, {}", shown.span(day.from, Some(last.to)), shown::hours(hours)).into(),
        Cell::verdict(day.verdict.words(), rest),
        why,
        reading_ages(shown, days).into(),
    ];
    if has_effect {
        cells.push(day.effect.as_ref().map_or(NO_VALUE.to_owned(), |effect| effect_words(shown, effect)).into());
    }
    cells.push(shown::rows(&day.rows, 4).into());
    cells
}

/// When the readings were taken that decide a run of days, and how old they were beside them: the oldest where they
/// are several.
fn reading_ages(shown: &Shown, days: &[EquipmentDay]) -> String {
    let read: Vec<(DateTime<Utc>, &EquipmentDay)> = days.iter().filter_map(|day| Some((day.read_at?, day))).collect();
    let Some(oldest) = read.iter().max_by_key(|(at, day)| day.from - *at) else { return NO_VALUE.to_owned() };
    let age = age(oldest.0, oldest.1);
    let (first, last) = (read.iter().map(|one| one.0).min(), read.iter().map(|one| one.0).max());
    match (first, last) {
        (Some(first), Some(last)) if first != last => {
            format!("{} to {}, the oldest {age}", shown.instant(first), shown.instant(last))
        }
        _ if read.len() > 1 => format!("{}, on the last of these days {age}", shown.instant(oldest.0)),
        _ => format!("{}, {age}", shown.instant(oldest.0)),
    }
}

/// How old a reading is beside a day: `in the day`, `9.5 h before it`.
fn age(read_at: DateTime<Utc>, day: &EquipmentDay) -> String {
    let between = |from: DateTime<Utc>, to: DateTime<Utc>| shown::hours((to - from).as_seconds_f64() / 3600.0);
    if read_at < day.from {
        format!("{} before it began", between(read_at, day.from))
    } else if read_at < day.to {
        "in it".to_owned()
    } else {
        format!("{} after it ended", between(day.to, read_at))
    }
}

/// What a unit did, in words.
fn effect_words(shown: &Shown, effect: &Effect) -> String {
    let mut parts = vec![format!("ran {}", shown::hours(effect.running_h))];
    if effect.did_not_run_h > 0.0 {
        parts.push(format!("stood {}", shown::hours(effect.did_not_run_h)));
    }
    if effect.paused_h > 0.0 {
        parts.push(format!("paused {}", shown::hours(effect.paused_h)));
    }
    if effect.not_shown_h > 0.0 {
        parts.push(format!("running not known for {}", shown::hours(effect.not_shown_h)));
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
        let within = if within_uncertainty == Some(true) { " (within uncertainty)" } else { "" };
        let ratio = shown.ratio(depression.0, depression.1);
        parts.push(format!("depression {ratio} {}{within}", shown.units.humidity_ratio_unit()));
    }
    if water.0.is_some() {
        parts.push(format!("{} {} of water", shown.water(water.0, water.1), shown.units.water_unit()));
    }
    parts
}

fn unit_air_table(evidence: &Evidence, shown: &Shown) -> Table {
    let water = shown.units.water_unit();
    let mut table = Table::new(
        "What each dehumidifier did over the whole job; each day is told under that day",
        vec![
            text_column("Unit", 40.0),
            text_column("Air measured at", 150.0),
            number_column("Ran h", 40.0),
            number_column("Stood h", 40.0),
            number_column("Paused h", 40.0),
            number_column(format!("Water {water} ± U"), 80.0),
            number_column(format!("Condensate by hand {water}"), 66.0),
        ],
    );
    for unit in &evidence.unit_air {
        let inlet = if unit.inlet.is_empty() { "none".to_owned() } else { unit.inlet.join(", ") };
        let own = if unit.own_inlet { "" } else { " (air of the chamber)" };
        let outlet = unit.outlet.as_deref().unwrap_or("none");
        let why = unit.why_not.as_ref().map_or(String::new(), |why| format!("; {why}"));
        let sum = |of: fn(&DailyUnitAir) -> f64| shown::hours_number(unit.daily.iter().map(of).sum());
        table.push(vec![
            Cell::link(&unit.unit, "", unit_anchor(evidence, &unit.unit)),
            format!("inlet: {inlet}{own}; outlet: {outlet}{why}").into(),
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
        "Condensate measured by hand, beside the water computed from the air over the same stretch",
        vec![
            text_column("Unit", 50.0),
            text_column("Gathered", 150.0),
            number_column(format!("Measured {water}"), 70.0),
            number_column(format!("Computed {water} ± U"), 100.0),
            text_column("Row", 130.0),
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
        "Hour meters read by hand, beside the hours the outlet air shows the unit running",
        vec![
            text_column("Unit", 50.0),
            text_column("Between", 150.0),
            number_column("Meter h", 50.0),
            number_column("Air shows h", 60.0),
            number_column("Not known h", 60.0),
            text_column("Rows", 130.0),
        ],
    );
    for one in &evidence.hour_meters {
        table.push(vec![
            Cell::from(&one.unit),
            Cell::at(shown.span(one.from, Some(one.to)), one.from),
            shown::hours_number(one.meter_h).into(),
            shown::hours_number(one.running_h).into(),
            shown::hours_number(one.not_shown_h).into(),
            shown::rows(&one.rows, 4).into(),
        ]);
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// Recorded pauses.
fn pauses_table(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let mut table = Table::new(
        "Recorded pauses: no fault of the units",
        vec![
            text_column("Units", 90.0),
            text_column("Stretch", 150.0),
            text_column("Reason", 170.0),
            text_column("Row", 90.0),
        ],
    );
    for pause in &evidence.pauses {
        let units = if pause.units.is_empty() { "all".to_owned() } else { pause.units.join(", ") };
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
        "Stretches in which a dehumidifier stood or was paused",
        vec![
            text_column("Unit", 50.0),
            text_column("Stretch", 130.0),
            number_column("Hours", 36.0),
            text_column("State", 110.0),
            text_column("Rows", 170.0),
        ],
    );
    for unit in &evidence.unit_air {
        for run in &unit.runs {
            let Some(state) = state_words(run.state) else { continue };
            table.push(vec![
                Cell::from(&unit.unit),
                Cell::at(shown.span(run.from, Some(run.to)), run.from),
                shown::hours_number(run_hours(run)).into(),
                state.into(),
                shown::rows(&run.rows, 4).into(),
            ]);
        }
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// Length of a stretch in hours, between instants.
pub(crate) fn run_hours(run: &RunSpan) -> f64 {
    (run.to - run.from).as_seconds_f64() / 3600.0
}

fn state_words(state: RunState) -> Option<&'static str> {
    match state {
        RunState::Running => None,
        RunState::Stopped => Some("stood, no pause recorded"),
        RunState::Paused => Some("recorded pause"),
        RunState::NotShown => Some("running not known"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::UnitSystem;
    use crate::sample_evidence::sample;
    use chrono::TimeDelta;

    #[test]
    fn the_age_of_a_reading_is_told_beside_its_day() {
        let evidence = sample().evidence;
        let shown = Shown::new(UnitSystem::Us, &evidence).expect("a zone");
        let mut days = evidence.equipment[0].stays[0].days[..2].to_vec();
        let first = days[0].from;
        let told = |days: &[EquipmentDay]| reading_ages(&shown, days);
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
