//! The first page: which goals are met, which equipment-days were needed, from when equipment could leave, what the
//! record lacks.

use std::collections::BTreeMap;

use grainfall_analysis::evidence::{
    ChamberEvidence, ClockBasis, Evidence, Finding, GoalBasis, GoalVerdict, KindTotals, PointEvidence, PressureBasis,
    Subject,
};

use super::completeness;
use super::shown::{self, Shown};
use super::{Block, Cell, Fact, Item, Mark, Row, Section, Table, VerdictCard, note, number_column, text_column};
use crate::number_format::{self, NO_VALUE, signed, trimmed};
use crate::words::{Words, say};

/// Open points named on a verdict; the others are in the chamber's table.
const POINTS_NAMED: usize = 4;

/// Findings of one kind named on the first pages.
const FINDINGS_NAMED: usize = 6;

/// Rows named under a statement; the others are in `summary.json`.
pub(super) const ROWS_NAMED: usize = 12;

/// The section.
pub(super) fn section(evidence: &Evidence, shown: &Shown) -> Section {
    let mut section = Section::new("answers", 1, say!(shown.words, "answers.answers"));
    section.blocks.push(Block::Facts { facts: facts(evidence, shown) });
    section.blocks.push(Block::Verdicts { verdicts: verdicts(evidence, shown) });
    if evidence.equipment_totals.is_empty() {
        section.blocks.push(note(say!(shown.words, "answers.no_equipment_is_on_the_record")));
    } else {
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
    section.blocks.extend(evidence.releases.iter().map(|release| Block::Statement {
        title: say!(
            shown.words,
            "answers.release_of_equipment",
            chambers = shown::list(
                &release.chambers.iter().map(|id| chamber_name(shown.words, evidence, id)).collect::<Vec<_>>()
            )
        ),
        sentences: release.sentences.clone(),
        rows: shown::rows(shown.words, &release.rows, ROWS_NAMED),
    }));
    section.blocks.extend(goals_assumed(shown.words, evidence));
    section.blocks.push(note(say!(shown.words, "text.what_the_verdicts_rest_on")));
    section
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

/// Anchor of a unit.
pub(super) fn unit_anchor(evidence: &Evidence, unit: &str) -> Option<String> {
    evidence.equipment.iter().position(|u| u.unit == unit).map(|index| format!("unit-{}", index + 1))
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
    stated(say!(shown.words, "answers.title"), job.title.as_ref());
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
    let pressure = match evidence.pressure.basis {
        PressureBasis::Stated => say!(shown.words, "answers.stated"),
        PressureBasis::Elevation => say!(shown.words, "answers.from_the_stated_elevation"),
        PressureBasis::Logged => say!(shown.words, "answers.logged_median"),
        PressureBasis::SeaLevel => say!(shown.words, "answers.sea_level_assumed"),
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
        }];
    }
    evidence
        .chambers
        .iter()
        .enumerate()
        .map(|(index, chamber)| VerdictCard {
            subject: shown::chamber(shown.words, chamber),
            verdict: verdict_words(shown.words, chamber.verdict).to_owned(),
            mark: mark(chamber.verdict),
            detail: detail(evidence, shown, chamber),
            why: chamber.why.clone(),
            link: format!("chamber-{}", index + 1),
        })
        .collect()
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

/// When, how many, how far.
fn detail(evidence: &Evidence, shown: &Shown, chamber: &ChamberEvidence) -> String {
    let mut parts = Vec::new();
    if let Some(met_at) = chamber.met_at {
        parts.push(say!(shown.words, "answers.met", met_at = shown.instant(met_at)));
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
    let open: Vec<&PointEvidence> =
        chamber.open_points.iter().filter_map(|id| evidence.points.iter().find(|p| &p.id == id)).collect();
    for point in open.iter().take(POINTS_NAMED) {
        parts.push(match (point.distance_to_goal, point.last_at) {
            (Some(distance), Some(at)) => {
                say!(
                    shown.words,
                    "answers.is_over_its_goal_on",
                    id = point.id,
                    unit = distance_text(shown.words, distance, &point.unit),
                    at = shown.instant(at)
                )
            }
            _ => say!(shown.words, "answers.has_no_reading_to_compare", id = point.id),
        });
    }
    if open.len() > POINTS_NAMED {
        parts.push(say!(shown.words, "answers.more_open", open = open.len() - POINTS_NAMED));
    }
    parts.join(" · ")
}

fn distance_text(words: Words, distance: f64, unit: &str) -> String {
    let value = trimmed(words, distance, 2);
    if unit.is_empty() { value } else { format!("{value} {unit}") }
}

fn totals_table(words: Words, evidence: &Evidence) -> Table {
    let billed = evidence.equipment_totals.iter().any(|kind| kind.billed_days.is_some());
    let mut columns = vec![
        text_column(say!(words, "answers.equipment"), 130.0),
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
        say!(words, "page.equipment_days")
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
            pull_window_h = shown::hours(words, evidence.job.pull_window_h)
        ));
    }
    if sum.totals.paused_h > 0.0 {
        table.notes.push(say!(
            words,
            "answers.recorded_pauses_unit_hours_each_is",
            paused_h = trimmed(words, sum.totals.paused_h, 1)
        ));
    }
    if billed && evidence.equipment_totals.iter().any(|k| k.recorded_days_of_billed != k.totals.recorded_days) {
        table.notes.push(say!(words, "text.billed_only_where_stated").to_owned());
    }
    table
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
