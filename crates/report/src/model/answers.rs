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
use crate::number_format::{self, NO_VALUE, count, signed, trimmed};
use crate::text;

/// Open points named on a verdict; the others are in the chamber's table.
const POINTS_NAMED: usize = 4;

/// Findings of one kind named on the first pages.
const FINDINGS_NAMED: usize = 6;

/// Rows named under a statement; the others are in `summary.json`.
pub(super) const ROWS_NAMED: usize = 12;

/// The section.
pub(super) fn section(evidence: &Evidence, shown: &Shown) -> Section {
    let mut section = Section::new("answers", 1, "Answers");
    section.blocks.push(Block::Facts { facts: facts(evidence, shown) });
    section.blocks.push(Block::Verdicts { verdicts: verdicts(evidence, shown) });
    if evidence.equipment_totals.is_empty() {
        section.blocks.push(note("No equipment is on the record, so no equipment-day is judged."));
    } else {
        section.blocks.push(Block::Table(totals_table(evidence)));
    }
    section.blocks.extend(findings_summary(evidence, shown).map(Block::Table));
    section.blocks.extend(evidence.releases.iter().map(|release| Block::Statement {
        title: format!(
            "Release of equipment: {}",
            shown::list(&release.chambers.iter().map(|id| chamber_name(evidence, id)).collect::<Vec<_>>())
        ),
        sentences: release.sentences.clone(),
        rows: shown::rows(&release.rows, ROWS_NAMED),
    }));
    let missing = evidence.missing.iter();
    let missing = missing.map(|missing| Item { text: missing.text.clone(), detail: Some(missing.remedy.clone()) });
    let missing: Vec<Item> = missing.chain(completeness::lacking_days(evidence, shown)).collect();
    if missing.is_empty() {
        section.blocks.push(note(text::NOTHING_MISSING));
    } else {
        section.blocks.push(super::heading("What the record lacks"));
        section.blocks.push(Block::List { items: missing });
    }
    section.blocks.extend(goals_assumed(evidence));
    section.blocks.push(note(text::WHAT_THE_VERDICTS_REST_ON));
    section
}

/// How many goals nobody wrote.
fn goals_assumed(evidence: &Evidence) -> Option<Block> {
    let goals = evidence.points.iter().filter(|point| !point.reference).filter_map(|point| point.goal.as_ref());
    let (assumed, all) = goals.fold((0_u64, 0_u64), |(assumed, all), goal| {
        (assumed + u64::from(goal.basis == GoalBasis::CommonPractice), all + 1)
    });
    (assumed > 0).then(|| {
        note(format!(
            "Goals: {assumed} of {all} are not written in the job; they are drawn from the dry standard by common practice, \
             for which no source is named. Each is shown with its basis beside its point."
        ))
    })
}

/// What was found, by kind, each named, so that nothing stays hidden behind the first page.
fn findings_summary(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let mut kinds: BTreeMap<&str, Vec<&Finding>> = BTreeMap::new();
    for finding in &evidence.findings {
        kinds.entry(finding.kind.words()).or_default().push(finding);
    }
    let mut table = Table::new(
        "What was found, by kind; each finding has its evidence in the section “Findings”",
        vec![text_column("Finding", 96.0), number_column("How many", 36.0), text_column("Of what, and when", 380.0)],
    );
    for (words, found) in kinds {
        let mut named: Vec<String> = found.iter().take(FINDINGS_NAMED).map(|one| finding_name(shown, one)).collect();
        if found.len() > FINDINGS_NAMED {
            named.push(format!("and {} more", found.len() - FINDINGS_NAMED));
        }
        let first = found.first().map(|one| super::findings::anchor(one));
        table.push(vec![Cell::link(words, "", first), found.len().to_string().into(), named.join("; ").into()]);
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// `D2, 8 Oct 02:10 to 07:40 (no. 3)`.
fn finding_name(shown: &Shown, finding: &Finding) -> String {
    let subject = match &finding.subject {
        Subject::Job => "job".to_owned(),
        Subject::Chamber(id) => format!("chamber {}", shown::cut(id, 40)),
        Subject::Point(id) | Subject::Unit(id) | Subject::Logger(id) => shown::cut(id, 40),
    };
    format!("{subject}, {} (no. {})", shown.span(finding.from, finding.to), finding.number)
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
fn chamber_name(evidence: &Evidence, id: &str) -> String {
    evidence.chambers.iter().find(|c| c.id == id).map_or_else(|| format!("Chamber {id}"), shown::chamber)
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
    stated("Job", job.number.as_ref());
    stated("Title", job.title.as_ref());
    stated("Claim reference", job.claim.as_ref());
    if job.number.is_none() && job.title.is_none() {
        facts.push(fact("Folder", job.folder.clone()));
    }
    if let Some(loss) = job.loss_at {
        facts.push(fact("Loss", shown.instant_with_year(loss)));
    }
    if !job.category.is_empty() {
        facts.push(fact("Category of water", job.category.join("; ")));
    }
    if !job.class.is_empty() {
        facts.push(fact("Class of water", job.class.join("; ")));
    }
    let from = job.record_from.map_or(NO_VALUE.to_owned(), |from| shown.instant_with_year(from));
    let basis = match evidence.clock_basis {
        ClockBasis::LastSample => "last sample",
        ClockBasis::LastEntry => "last entry",
        ClockBasis::AsOf => "as asked",
    };
    facts.push(fact("Record", format!("{from} to {} ({basis})", shown.instant_with_year(evidence.clock))));
    facts.push(fact("Times", shown.zone_words(evidence)));
    facts.push(fact("Equipment-day", job.equipment_day.clone()));
    let pressure = match evidence.pressure.basis {
        PressureBasis::Stated => "stated",
        PressureBasis::Elevation => "from the stated elevation",
        PressureBasis::Logged => "logged, median",
        PressureBasis::SeaLevel => "sea level, assumed",
    };
    let value = |pa| number_format::shown(shown.units.vapour_pressure(pa), 2);
    facts.push(fact(
        "Air pressure",
        format!(
            "{} ± {} {} ({pressure}; U, k = 2)",
            value(evidence.pressure.pressure_pa),
            value(evidence.pressure.u_pressure_pa),
            shown.units.vapour_pressure_unit()
        ),
    ));
    facts
}

fn verdicts(evidence: &Evidence, shown: &Shown) -> Vec<VerdictCard> {
    if evidence.chambers.is_empty() {
        return vec![VerdictCard {
            subject: "Whole job".to_owned(),
            verdict: verdict_words(evidence.verdict).to_owned(),
            mark: mark(evidence.verdict),
            detail: String::new(),
            why: text::NO_CHAMBER.to_owned(),
            link: "record".to_owned(),
        }];
    }
    evidence
        .chambers
        .iter()
        .enumerate()
        .map(|(index, chamber)| VerdictCard {
            subject: shown::chamber(chamber),
            verdict: verdict_words(chamber.verdict).to_owned(),
            mark: mark(chamber.verdict),
            detail: detail(evidence, shown, chamber),
            why: chamber.why.clone(),
            link: format!("chamber-{}", index + 1),
        })
        .collect()
}

/// A verdict on a goal as a heading.
pub(super) fn verdict_words(verdict: GoalVerdict) -> &'static str {
    match verdict {
        GoalVerdict::Met => "Drying goal met",
        GoalVerdict::NotMet => "Drying goal not met",
        GoalVerdict::NotShown => "Drying goal not shown",
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
        parts.push(format!("met {}", shown.instant(met_at)));
    }
    if chamber.point_count > 0 {
        let many = u64::from(chamber.point_count);
        parts.push(format!("{} of {} met", chamber.met_count, count(many, "point", "points")));
    }
    if !chamber.ended_points.is_empty() {
        parts.push(format!("{} ended", chamber.ended_points.len()));
    }
    if !chamber.moved_points.is_empty() {
        parts.push(format!("{} moved to another chamber", chamber.moved_points.len()));
    }
    let open: Vec<&PointEvidence> =
        chamber.open_points.iter().filter_map(|id| evidence.points.iter().find(|p| &p.id == id)).collect();
    for point in open.iter().take(POINTS_NAMED) {
        parts.push(match (point.distance_to_goal, point.last_at) {
            (Some(distance), Some(at)) => {
                format!(
                    "{} is {} over its goal on {}",
                    point.id,
                    distance_text(distance, &point.unit),
                    shown.instant(at)
                )
            }
            _ => format!("{} has no reading to compare", point.id),
        });
    }
    if open.len() > POINTS_NAMED {
        parts.push(format!("{} more open", open.len() - POINTS_NAMED));
    }
    parts.join(" · ")
}

fn distance_text(distance: f64, unit: &str) -> String {
    let value = trimmed(distance, 2);
    if unit.is_empty() { value } else { format!("{value} {unit}") }
}

fn totals_table(evidence: &Evidence) -> Table {
    let billed = evidence.equipment_totals.iter().any(|kind| kind.billed_days.is_some());
    let mut columns = vec![
        text_column("Equipment", 130.0),
        number_column("Units", 34.0),
        number_column("Days recorded", 46.0),
        number_column("Needed", 42.0),
        number_column("of these, did not run", 62.0),
        number_column("Not needed", 42.0),
        number_column("Not shown", 42.0),
        number_column("Not judged", 42.0),
    ];
    if billed {
        columns.push(number_column("Recorded of billed units", 50.0));
        columns.push(number_column("Billed", 40.0));
        columns.push(number_column("Billed − recorded", 48.0));
    }
    let title = if billed { "Equipment-days, recorded beside billed" } else { "Equipment-days" };
    let mut table = Table::new(title, columns);
    let sum = KindTotals::sum("All kinds", &evidence.equipment_totals);
    for kind in &evidence.equipment_totals {
        table.push(totals_cells(kind, billed));
    }
    if evidence.equipment_totals.len() > 1 {
        let cells = totals_cells(&sum, billed).into_iter().map(strong).collect();
        table.rows.push(Row { anchor: None, group: None, cells, total: true });
    }
    table.notes.push(text::EQUIPMENT_DAY_WORDS.to_owned());
    if sum.totals.by_pull_window > 0 {
        table.notes.push(format!(
            "Of the days needed, {} began after the last goal was met and {} so only because the unit left within {} (the \
             pull window) of the reading that met it.",
            count(u64::from(sum.totals.by_pull_window), "day", "days"),
            if sum.totals.by_pull_window == 1 { "counts" } else { "count" },
            shown::hours(evidence.job.pull_window_h)
        ));
    }
    if sum.totals.paused_h > 0.0 {
        table.notes.push(format!(
            "Recorded pauses: {} unit-hours; each is listed in the equipment record.",
            trimmed(sum.totals.paused_h, 1)
        ));
    }
    if billed && evidence.equipment_totals.iter().any(|k| k.recorded_days_of_billed != k.totals.recorded_days) {
        table.notes.push(text::BILLED_ONLY_WHERE_STATED.to_owned());
    }
    table
}

fn totals_cells(kind: &KindTotals, billed: bool) -> Vec<Cell> {
    let totals = &kind.totals;
    let stood = if totals.run_logged_days == 0 {
        // Nothing logs whether these units ran.
        NO_VALUE.to_owned()
    } else if totals.did_not_run_days == 0 {
        "0".to_owned()
    } else {
        format!("{} ({})", totals.did_not_run_days, shown::hours(totals.did_not_run_h))
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
        cells.push(kind.billed_days.map_or(NO_VALUE.to_owned(), |days| trimmed(days, 2)).into());
        let difference = kind.billed_days.map(|days| days - f64::from(kind.recorded_days_of_billed));
        cells.push(difference.map_or(NO_VALUE.to_owned(), |d| signed(d, if d.fract() == 0.0 { 0 } else { 2 })).into());
    }
    cells
}

fn strong(cell: Cell) -> Cell {
    match cell {
        Cell::Text(text) => Cell::strong(text),
        rich @ Cell::Rich { .. } => rich,
    }
}
