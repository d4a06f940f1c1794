//! The first page: which goals are met, which equipment-days were needed, from when equipment could leave, what the
//! record lacks.

use std::collections::BTreeMap;

use chrono::TimeDelta;
use grainfall_analysis::evidence::{
    ChamberEvidence, ClockBasis, DayVerdict, EquipmentDay, Evidence, Finding, GoalBasis, GoalVerdict, KindTotals,
    MetKnown, PointEvidence, PressureBasis, ReleaseStatement, Subject, UnitEvidence,
};

use super::completeness;
use super::shown::{self, Shown, TITLE_SHOWN};
use super::{
    Block, Cell, DayCount, Fact, Item, Mark, PointLine, Row, Section, Table, VerdictCard, note, number_column,
    text_column,
};
use crate::number_format::{self, NO_VALUE, signed, signed_trimmed, trimmed};
use crate::words::{Words, say};

/// Points named on a verdict; the others are in the chamber's table.
const POINTS_NAMED: usize = 8;

/// The unit of relative scales, which is told where it first stands.
pub(super) const RELATIVE: &str = "rel";

/// Findings of one kind named on the first pages.
const FINDINGS_NAMED: usize = 6;

/// Rows named under a statement; the others are in `summary.json`.
pub(super) const ROWS_NAMED: usize = 12;

/// The section.
pub(super) fn section(evidence: &Evidence, shown: &Shown) -> Section {
    let mut section = Section::new("answers", 1, say!(shown.words, "answers.answers"));
    section.blocks.push(Block::Facts { facts: facts(evidence, shown) });
    section.blocks.push(Block::Verdicts { verdicts: verdicts(evidence, shown) });
    if evidence.points.iter().any(|point| point.met_row.is_some()) {
        section.blocks.push(note(say!(shown.words, "text.distance_of")));
    }
    section.blocks.extend(goals_assumed(shown.words, evidence));
    if evidence.equipment_totals.is_empty() {
        section.blocks.push(note(say!(shown.words, "answers.no_equipment_is_on_the_record")));
    } else {
        let title = say!(shown.words, "answers.equipment_days").to_owned();
        section.blocks.push(Block::Tally { title, parts: day_counts(shown.words, evidence) });
        section.blocks.extend(needed_by(shown.words, evidence));
    }
    section.blocks.extend(evidence.releases.iter().map(|release| release_statement(evidence, shown, release)));
    if !evidence.equipment_totals.is_empty() {
        section.blocks.push(Block::Table(totals_table(shown.words, evidence)));
    }
    let missing = evidence.missing.iter();
    let missing = missing.map(|missing| Item { text: missing.text.clone(), detail: Some(missing.remedy.clone()) });
    let missing: Vec<Item> = missing.chain(completeness::lacking_days(evidence, shown)).collect();
    if missing.is_empty() {
        section.blocks.push(note(say!(shown.words, "text.nothing_missing")));
    } else {
        section.blocks.push(super::heading(say!(shown.words, "answers.what_the_record_lacks")));
        section.blocks.push(Block::List { items: missing });
    }
    section.blocks.extend(findings_summary(evidence, shown).map(Block::Table));
    if evidence.points.iter().any(|point| point.unit == RELATIVE) {
        section.blocks.push(note(say!(shown.words, "chambers.rel_note")));
    }
    section.blocks.push(note(say!(shown.words, "text.what_the_verdicts_rest_on")));
    section
}

/// From when equipment could leave, and what became of it; on which readings stands with the chamber.
fn release_statement(evidence: &Evidence, shown: &Shown, release: &ReleaseStatement) -> Block {
    let chambers: Vec<String> = release.chambers.iter().map(|id| chamber_name(shown.words, evidence, id)).collect();
    Block::Statement {
        title: say!(shown.words, "answers.release_of_equipment", chambers = shown::list(&chambers)),
        sentences: release.sentences.clone(),
        rows: String::new(),
    }
}

/// Equipment-days by verdict; none without one.
pub(crate) fn day_counts(words: Words, evidence: &Evidence) -> Vec<DayCount> {
    let totals = KindTotals::sum(say!(words, "answers.all_kinds"), &evidence.equipment_totals).totals;
    let stood = totals.did_not_run_days;
    let stood = if stood > 0 {
        say!(words, "morning.of_them_did_not_run", stood = stood, hours = shown::hours(words, totals.did_not_run_h))
    } else {
        String::new()
    };
    let parts = [
        (say!(words, "verdict.needed"), "needed", totals.needed, stood),
        (say!(words, "verdict.not_needed"), "not-needed", totals.not_needed, String::new()),
        (say!(words, "verdict.day_not_shown"), "not-shown", totals.not_shown, String::new()),
        (say!(words, "verdict.not_judged"), "not-judged", totals.not_judged, String::new()),
    ];
    let all = totals.recorded_days;
    if all == 0 {
        return Vec::new();
    }
    let mut before = 0;
    let share = |days: u32| (u64::from(days) * 1000 / u64::from(all)) as u32;
    parts
        .into_iter()
        .map(|(verdict, mark, days, detail)| {
            let from = share(before);
            before += days;
            DayCount { verdict, mark, days, from, length: share(before) - from, detail }
        })
        .collect()
}

/// How many goals nobody wrote.
fn goals_assumed(words: Words, evidence: &Evidence) -> Option<Block> {
    let goals = evidence.points.iter().filter(|point| !point.reference).filter_map(|point| point.goal.as_ref());
    let (assumed, all) = goals.fold((0_u64, 0_u64), |(assumed, all), goal| {
        (assumed + u64::from(goal.basis == GoalBasis::CommonPractice), all + 1)
    });
    (assumed > 0).then(|| note(say!(words, "answers.goals_of_are_not_written_in", assumed = assumed, all = all)))
}

/// What was found, by kind, each named, so that nothing stays hidden behind the first page.
fn findings_summary(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let mut kinds: BTreeMap<&str, Vec<&Finding>> = BTreeMap::new();
    for finding in &evidence.findings {
        kinds.entry(finding.kind.said(shown.words)).or_default().push(finding);
    }
    let mut table = Table::new(
        say!(shown.words, "answers.what_was_found_by_kind_each"),
        vec![
            text_column(say!(shown.words, "answers.finding"), 96.0),
            number_column(say!(shown.words, "answers.how_many"), 36.0),
            text_column(say!(shown.words, "answers.of_what_and_when"), 380.0),
        ],
    );
    for (words, found) in kinds {
        let mut named: Vec<String> = found.iter().take(FINDINGS_NAMED).map(|one| finding_name(shown, one)).collect();
        if found.len() > FINDINGS_NAMED {
            named.push(say!(shown.words, "answers.and_more", more = found.len() - FINDINGS_NAMED));
        }
        let first = found.first().map(|one| super::findings::anchor(one));
        table.push(vec![Cell::link(words, "", first), found.len().to_string().into(), named.join("; ").into()]);
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// `D2, 8 Oct 02:10 to 07:40 (no. 3)`.
fn finding_name(shown: &Shown, finding: &Finding) -> String {
    let subject = match &finding.subject {
        Subject::Job => say!(shown.words, "word.job").to_owned(),
        Subject::Chamber(id) => say!(shown.words, "answers.chamber", id = shown::cut(id, 40)),
        Subject::Point(id) | Subject::Unit(id) | Subject::Logger(id) => shown::cut(id, 40),
    };
    say!(
        shown.words,
        "answers.no",
        subject = subject,
        to = shown.span(finding.from, finding.to),
        finding = finding.number
    )
}

/// Anchor of a chamber.
pub(crate) fn chamber_anchor(evidence: &Evidence, id: &str) -> Option<String> {
    evidence.chambers.iter().position(|c| c.id == id).map(|index| format!("chamber-{}", index + 1))
}

/// Anchor of a point.
pub(crate) fn point_anchor(evidence: &Evidence, id: &str) -> Option<String> {
    evidence.points.iter().position(|p| p.id == id).map(|index| format!("point-{}", index + 1))
}

/// Anchor of a unit: that of the units whose days are told with its own.
pub(super) fn unit_anchor(evidence: &Evidence, unit: &str) -> Option<String> {
    let of_unit = |group: &Vec<&UnitEvidence>| group.iter().any(|one| one.unit == unit);
    let group = super::equipment::groups(evidence).into_iter().find(of_unit)?;
    let first = group.first()?;
    evidence.equipment.iter().position(|one| one.unit == first.unit).map(|index| format!("unit-{}", index + 1))
}

/// A chamber by its id.
fn chamber_name(words: Words, evidence: &Evidence, id: &str) -> String {
    evidence
        .chambers
        .iter()
        .find(|c| c.id == id)
        .map_or_else(|| say!(words, "answers.chamber_2", id = id), |chamber| shown::chamber(words, chamber))
}

fn facts(evidence: &Evidence, shown: &Shown) -> Vec<Fact> {
    let job = &evidence.job;
    let fact = |name: &str, value: String| Fact { name: name.to_owned(), value };
    let mut facts = Vec::new();
    let mut stated = |name: &str, value: Option<&String>| {
        if let Some(value) = value {
            facts.push(fact(name, value.clone()));
        }
    };
    stated(say!(shown.words, "answers.job"), job.number.as_ref());
    // A title of usual length stands over the page.
    stated(say!(shown.words, "answers.title"), job.title.as_ref().filter(|title| title.chars().count() > TITLE_SHOWN));
    stated(say!(shown.words, "answers.claim_reference"), job.claim.as_ref());
    if job.number.is_none() && job.title.is_none() {
        facts.push(fact(say!(shown.words, "answers.folder"), job.folder.clone()));
    }
    if let Some(loss) = job.loss_at {
        facts.push(fact(say!(shown.words, "answers.loss"), shown.instant_with_year(loss)));
    }
    if !job.category.is_empty() {
        facts.push(fact(say!(shown.words, "answers.category_of_water"), job.category.join("; ")));
    }
    if !job.class.is_empty() {
        facts.push(fact(say!(shown.words, "answers.class_of_water"), job.class.join("; ")));
    }
    let from = job.record_from.map_or(NO_VALUE.to_owned(), |from| shown.instant_with_year(from));
    let basis = match evidence.clock_basis {
        ClockBasis::LastSample => say!(shown.words, "answers.last_sample"),
        ClockBasis::LastEntry => say!(shown.words, "answers.last_entry"),
        ClockBasis::AsOf => say!(shown.words, "answers.as_asked"),
    };
    facts.push(fact(
        say!(shown.words, "answers.record"),
        say!(shown.words, "answers.to", from = from, clock = shown.instant_with_year(evidence.clock), basis = basis),
    ));
    facts.push(fact(say!(shown.words, "answers.times"), shown.zone_words(evidence)));
    facts.push(fact(say!(shown.words, "answers.equipment_day"), job.equipment_day.clone()));
    let pressure = match (evidence.pressure.basis, evidence.pressure.elevation_m) {
        (PressureBasis::Elevation, Some(metres)) => say!(
            shown.words,
            "answers.from_the_stated_elevation_of",
            value = number_format::shown(shown.words, shown.units.elevation(metres), 0),
            unit = shown.units.elevation_unit()
        ),
        (PressureBasis::Elevation, None) => say!(shown.words, "answers.from_the_stated_elevation").to_owned(),
        (PressureBasis::Stated, _) => say!(shown.words, "answers.stated").to_owned(),
        (PressureBasis::Logged, _) => say!(shown.words, "answers.logged_median").to_owned(),
        (PressureBasis::SeaLevel, _) => say!(shown.words, "answers.sea_level_assumed").to_owned(),
    };
    let value = |pa| number_format::shown(shown.words, shown.units.vapour_pressure(pa), 2);
    facts.push(fact(
        say!(shown.words, "answers.air_pressure"),
        say!(
            shown.words,
            "answers.pressure_u",
            pressure = value(evidence.pressure.pressure_pa),
            u = value(evidence.pressure.u_pressure_pa),
            unit = shown.units.vapour_pressure_unit(),
            basis = pressure
        ),
    ));
    facts
}

fn verdicts(evidence: &Evidence, shown: &Shown) -> Vec<VerdictCard> {
    if evidence.chambers.is_empty() {
        return vec![VerdictCard {
            subject: say!(shown.words, "answers.whole_job").to_owned(),
            verdict: verdict_words(shown.words, evidence.verdict).to_owned(),
            mark: mark(evidence.verdict),
            detail: String::new(),
            why: say!(shown.words, "text.no_chamber").to_owned(),
            link: "record".to_owned(),
            points: Vec::new(),
            more: String::new(),
        }];
    }
    evidence
        .chambers
        .iter()
        .enumerate()
        .map(|(index, chamber)| {
            let (points, more) = point_lines(evidence, shown, chamber);
            VerdictCard {
                subject: shown::chamber(shown.words, chamber),
                verdict: verdict_words(shown.words, chamber.verdict).to_owned(),
                mark: mark(chamber.verdict),
                detail: detail(shown, chamber),
                why: why(evidence, shown, chamber),
                link: format!("chamber-{}", index + 1),
                points,
                more,
            }
        })
        .collect()
}

/// Why the verdict is what it is; of a met goal how sure its time is, as the rest is told by the points.
fn why(evidence: &Evidence, shown: &Shown, chamber: &ChamberEvidence) -> String {
    let Some(met_at) = chamber.met_at else { return chamber.why.clone() };
    let own = evidence.points.iter().filter(|point| point.chamber.as_deref() == Some(chamber.id.as_str()));
    let last = own.filter(|point| point.met_at == Some(met_at)).find_map(|point| Some((point, point.met_known()?)));
    match last {
        Some((point, MetKnown::NotReadSince(before))) => say!(
            shown.words,
            "answers.met_at_the_latest",
            id = point.id,
            before = shown.instant_with_year(before),
            met_at = shown.instant_with_year(met_at)
        ),
        Some((point, MetKnown::FirstReading)) => say!(shown.words, "answers.met_at_the_first_reading", id = point.id),
        _ if chamber.air_goals.is_empty() && chamber.ended_points.is_empty() && chamber.moved_points.is_empty() => {
            String::new()
        }
        _ => chamber.why.clone(),
    }
}

/// Points with their distances from the goal, those first that are open, then those that came nearest to it.
fn point_lines(evidence: &Evidence, shown: &Shown, chamber: &ChamberEvidence) -> (Vec<PointLine>, String) {
    let own = |point: &&PointEvidence| !point.reference && point.chamber.as_deref() == Some(chamber.id.as_str());
    let mut points: Vec<&PointEvidence> = evidence.points.iter().filter(own).collect();
    let rank = |point: &PointEvidence| match (&point.ended, point.verdict) {
        (Some(_), _) => 3,
        (None, GoalVerdict::NotMet) => 0,
        (None, GoalVerdict::NotShown) => 1,
        (None, GoalVerdict::Met) => 2,
    };
    // The last to be met stands first of those: on it the release rests.
    points.sort_by_key(|point| (rank(point), std::cmp::Reverse(point.met_at.filter(|_| rank(point) == 2))));
    let hidden = points.split_off(points.len().min(POINTS_NAMED));
    let lines = points.into_iter().map(|point| point_line(evidence, shown, point)).collect();
    let more = hidden.len();
    let open = hidden.iter().filter(|point| rank(point) < 2).count();
    let more = match (more, open) {
        (0, _) => String::new(),
        (_, 0) => say!(shown.words, "answers.more_points", more = more),
        _ => say!(shown.words, "answers.more_points_open", more = more, open = open),
    };
    (lines, more)
}

/// One point with the reading that decides.
pub(crate) fn point_line(evidence: &Evidence, shown: &Shown, point: &PointEvidence) -> PointLine {
    // Of a met point the reading that met it; the last of the others.
    let deciding = point.met_row.as_ref().filter(|_| point.verdict == GoalVerdict::Met);
    let reading = match deciding {
        Some(row) => point.readings.iter().find(|reading| reading.row == *row),
        None => point.readings.iter().rev().find(|reading| reading.decides),
    };
    let state = match (&point.ended, point.verdict, point.met_at) {
        (Some(ended), ..) => say!(shown.words, "answers.ended_on", at = shown.instant(ended.at)),
        (None, GoalVerdict::Met, Some(at)) => say!(shown.words, "answers.met", met_at = shown.instant(at)),
        (None, GoalVerdict::NotMet, _) => match reading {
            Some(reading) => say!(shown.words, "answers.open_on", at = shown.instant(reading.time)),
            None => point.verdict.said(shown.words).to_owned(),
        },
        (None, verdict, _) => verdict.said(shown.words).to_owned(),
    };
    PointLine {
        point: shown::cut(&point.id, 24),
        link: point_anchor(evidence, &point.id).unwrap_or_default(),
        reading: reading.map_or(NO_VALUE.to_owned(), |reading| shown::reading(shown.words, reading)),
        goal: point.goal.as_ref().map_or(NO_VALUE.to_owned(), |goal| trimmed(shown.words, goal.value, 2)),
        distance: reading
            .and_then(|reading| reading.distance_to_goal)
            .map_or(NO_VALUE.to_owned(), |distance| signed_trimmed(shown.words, distance, 2)),
        state,
    }
}

/// A verdict on a goal as a heading.
pub(super) fn verdict_words(words: Words, verdict: GoalVerdict) -> &'static str {
    match verdict {
        GoalVerdict::Met => say!(words, "answers.drying_goal_met"),
        GoalVerdict::NotMet => say!(words, "answers.drying_goal_not_met"),
        GoalVerdict::NotShown => say!(words, "answers.drying_goal_not_shown"),
    }
}

fn mark(verdict: GoalVerdict) -> Mark {
    match verdict {
        GoalVerdict::Met => Mark::Solid,
        GoalVerdict::NotMet => Mark::Heavy,
        GoalVerdict::NotShown => Mark::Broken,
    }
}

/// When, and how many.
fn detail(shown: &Shown, chamber: &ChamberEvidence) -> String {
    let mut parts = Vec::new();
    if let Some(met_at) = chamber.met_at {
        parts.push(say!(shown.words, "answers.met", met_at = shown.instant_with_year(met_at)));
    }
    if chamber.point_count > 0 {
        let many = u64::from(chamber.point_count);
        parts.push(say!(
            shown.words,
            "answers.of_met",
            met_count = chamber.met_count,
            many = say!(shown.words, "count.point", count = many)
        ));
    }
    if !chamber.ended_points.is_empty() {
        parts.push(say!(shown.words, "answers.ended", ended_points = chamber.ended_points.len()));
    }
    if !chamber.moved_points.is_empty() {
        parts.push(say!(shown.words, "answers.moved_to_another_chamber", moved_points = chamber.moved_points.len()));
    }
    parts.join(" · ")
}

fn totals_table(words: Words, evidence: &Evidence) -> Table {
    let billed = evidence.equipment_totals.iter().any(|kind| kind.billed_days.is_some());
    let mut columns = vec![
        text_column(say!(words, "answers.equipment"), 156.0),
        number_column(say!(words, "answers.units"), 34.0),
        number_column(say!(words, "answers.days_recorded"), 46.0),
        number_column(say!(words, "answers.needed"), 42.0),
        number_column(say!(words, "answers.of_these_did_not_run"), 62.0),
        number_column(say!(words, "answers.not_needed"), 42.0),
        number_column(say!(words, "answers.not_shown"), 42.0),
        number_column(say!(words, "answers.not_judged"), 42.0),
    ];
    if billed {
        columns.push(number_column(say!(words, "answers.recorded_of_billed_units"), 50.0));
        columns.push(number_column(say!(words, "answers.billed"), 40.0));
        columns.push(number_column(say!(words, "answers.billed_recorded"), 48.0));
    }
    let title = if billed {
        say!(words, "answers.equipment_days_recorded_beside_billed")
    } else {
        say!(words, "answers.equipment_days_by_kind")
    };
    let mut table = Table::new(title, columns);
    let sum = KindTotals::sum(say!(words, "answers.all_kinds"), &evidence.equipment_totals);
    for kind in &evidence.equipment_totals {
        table.push(totals_cells(words, kind, billed));
    }
    if evidence.equipment_totals.len() > 1 {
        let cells = totals_cells(words, &sum, billed).into_iter().map(strong).collect();
        table.rows.push(Row { anchor: None, group: None, cells, total: true });
    }
    table.notes.push(say!(words, "text.equipment_day_words").to_owned());
    if sum.totals.by_pull_window > 0 {
        table.notes.push(say!(
            words,
            "answers.of_the_days_needed_began_after",
            count = sum.totals.by_pull_window,
            pull_window_h = shown::hours(words, evidence.job.pull_window_h),
            origin = super::equipment::pull_window_origin(words, evidence)
        ));
    }
    if sum.totals.paused_h > 0.0 {
        table.notes.push(say!(
            words,
            "answers.recorded_pauses_unit_hours_each_is",
            paused_h = trimmed(words, sum.totals.paused_h, 1)
        ));
    }
    if !billed {
        table.notes.push(say!(words, "answers.no_billed_days").to_owned());
    }
    if evidence.equipment_totals.iter().any(|kind| kind.totals.run_logged_days == 0) {
        table.notes.push(say!(words, "answers.running_not_recorded").to_owned());
    }
    if billed && evidence.equipment_totals.iter().any(|k| k.recorded_days_of_billed != k.totals.recorded_days) {
        table.notes.push(say!(words, "text.billed_only_where_stated").to_owned());
    }
    table
}

/// By what the equipment-days needed are shown, and how far readings that lie outside them are away; none without one.
fn needed_by(words: Words, evidence: &Evidence) -> Option<Block> {
    let days = evidence.equipment.iter().flat_map(|unit| &unit.stays).flat_map(|stay| &stay.days);
    let needed: Vec<&EquipmentDay> = days.filter(|day| day.verdict == DayVerdict::Needed).collect();
    let by_pull_window = needed.iter().filter(|day| day.by_pull_window).count();
    let away: Vec<TimeDelta> = needed
        .iter()
        .filter_map(|day| Some((day.from - day.read_at?).max(day.read_at? - day.to)))
        .filter(|away| *away > TimeDelta::zero())
        .collect();
    let in_it = needed.len() - by_pull_window - away.len();
    if needed.is_empty() || in_it == needed.len() {
        return None;
    }
    let mut parts = Vec::new();
    if in_it > 0 {
        parts.push(say!(words, "answers.by_reading_in_it", days = in_it));
    }
    if !away.is_empty() {
        parts.push(say!(words, "answers.by_reading_around", days = away.len()));
    }
    if by_pull_window > 0 {
        parts.push(say!(words, "answers.by_pull_window", days = by_pull_window));
    }
    let mut text = say!(words, "answers.needed_by", parts = words.list(&parts));
    let beyond = |hours: i64| away.iter().filter(|away| **away > TimeDelta::hours(hours)).count() as u64;
    let (over_24, over_36) = (beyond(24), beyond(36));
    if over_24 > 0 {
        text.push(' ');
        text.push_str(&say!(words, "answers.far_readings", count = over_24, over_36 = over_36));
    }
    Some(note(text))
}

fn totals_cells(words: Words, kind: &KindTotals, billed: bool) -> Vec<Cell> {
    let totals = &kind.totals;
    let stood = if totals.run_logged_days == 0 {
        // Nothing logs whether these units ran.
        NO_VALUE.to_owned()
    } else if totals.did_not_run_days == 0 {
        "0".to_owned()
    } else {
        format!("{} ({})", totals.did_not_run_days, shown::hours(words, totals.did_not_run_h))
    };
    let mut cells: Vec<Cell> = vec![
        Cell::from(&kind.kind),
        kind.units.to_string().into(),
        totals.recorded_days.to_string().into(),
        totals.needed.to_string().into(),
        stood.into(),
        totals.not_needed.to_string().into(),
        totals.not_shown.to_string().into(),
        totals.not_judged.to_string().into(),
    ];
    if billed {
        let of_billed = kind.billed_days.map(|_| kind.recorded_days_of_billed.to_string());
        cells.push(of_billed.unwrap_or(NO_VALUE.to_owned()).into());
        cells.push(kind.billed_days.map_or(NO_VALUE.to_owned(), |days| trimmed(words, days, 2)).into());
        let difference = kind.billed_days.map(|days| days - f64::from(kind.recorded_days_of_billed));
        cells.push(
            difference.map_or(NO_VALUE.to_owned(), |d| signed(words, d, if d.fract() == 0.0 { 0 } else { 2 })).into(),
        );
    }
    cells
}

fn strong(cell: Cell) -> Cell {
    match cell {
        Cell::Text(text) => Cell::strong(text),
        rich @ Cell::Rich { .. } => rich,
    }
}
