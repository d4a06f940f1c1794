//! Equipment on site: one row a unit, one cell an equipment-day with its verdict, notches where it did not run.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_analysis::evidence::{DayVerdict, EquipmentDay, RunState, UnitEvidence};

use super::finding_marks;
use super::labels::{self, Legend, Sample as Shows};
use super::panel::{Below, Panel, Ticks, ValueScale};
use super::readout::{Area, Group, Member};
use super::scene::{About, Scene};
use super::sheet::{Anchor, CAP_HEIGHT, Frame, Sheet, Spot, TextLook, spot};
use super::stack::{draw_title, run_words};
use super::{Chart, ChartKind, ChartScope};
use crate::error::Error;
use crate::number_format::shown;
use crate::theme::{self, Pen};
use crate::words::say;

const ROWS_A_CHART: usize = 30;
const TOP: f64 = 40.0;
/// Least and most room for names, px.
const NAMES: (f64, f64) = (120.0, 264.0);
/// Between a unit's name and its kind, px.
const NAME_GAP: f64 = 7.0;
/// Right of the plot; more of it where findings are numbered there.
const RIGHT: f64 = 36.0;
const RIGHT_WITH_FINDINGS: f64 = 92.0;
/// A day that was only begun is drawn no narrower than this where there is room, px.
const LEAST_CELL: f64 = 6.0;
const ROW: f64 = 21.0;
const CELL: f64 = 15.0;
const HEADING: f64 = 25.0;

/// One chart of the job, more where it has many units.
pub(super) fn draw(scene: &Scene<'_>) -> Result<Vec<Chart>, Error> {
    let rows = rows(scene);
    let parts: Vec<&[Row<'_>]> = rows.chunks(ROWS_A_CHART).collect();
    let mut charts = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        let (mut title, mut id) = (
            say!(scene.words, "chart_equipment.equipment_on_site_verdict_by_equipment").to_owned(),
            "equipment".to_owned(),
        );
        if index > 0 {
            title = format!("{title} ({})", index + 1);
            id = format!("{id}-{}", index + 1);
        }
        let sheet = draw_rows(scene, &id, &title, part)?;
        let words = About {
            alt: alt(scene, part),
            caption: say!(scene.words, "chart_equipment.one_cell_an_equipment_day_numbered").to_owned(),
            title,
        };
        charts.push(scene.chart(sheet, id, words, ChartScope::Job, ChartKind::Equipment));
    }
    Ok(charts)
}

/// One unit in the group of the chambers it served.
struct Row<'a> {
    chambers: Vec<usize>,
    unit: &'a UnitEvidence,
}

/// Units that were on site within the axis, by chambers, then by name.
fn rows<'a>(scene: &Scene<'a>) -> Vec<Row<'a>> {
    let on_axis = |day: &EquipmentDay| scene.time.clipped(day.from, day.to).is_some_and(|(from, to)| to > from);
    let mut groups: BTreeMap<Vec<usize>, Vec<&UnitEvidence>> = BTreeMap::new();
    for unit in &scene.evidence.equipment {
        if !unit.stays.iter().flat_map(|stay| &stay.days).any(on_axis) {
            continue;
        }
        let mut chambers: Vec<usize> =
            unit.stays.iter().flat_map(|stay| &stay.chambers).filter_map(|id| scene.chamber_index(id)).collect();
        chambers.sort_unstable();
        chambers.dedup();
        groups.entry(chambers).or_default().push(unit);
    }
    groups
        .into_iter()
        .flat_map(|(chambers, units)| units.into_iter().map(move |unit| Row { chambers: chambers.clone(), unit }))
        .collect()
}

fn draw_rows(scene: &Scene<'_>, id: &str, title: &str, rows: &[Row<'_>]) -> Result<Sheet, Error> {
    let groups = rows.chunk_by(|a, b| a.chambers == b.chambers);
    let group_count = groups.clone().count();
    let height = rows.len() as f64 * ROW + group_count as f64 * HEADING;
    let names =
        rows.iter().map(|row| 34.0 + name_look().width(&row.unit.unit) + NAME_GAP + kind_look().width(&row.unit.kind));
    let left = names.fold(NAMES.0, f64::max).min(NAMES.1);
    let numbered = rows.iter().any(|row| !scene.unit_findings(&row.unit.unit).is_empty());
    let right = if numbered { RIGHT_WITH_FINDINGS } else { RIGHT };
    let frame = Frame { left, top: TOP, width: f64::from(theme::WIDTH) - left - right, height };
    let legend = legend(scene, rows);
    let legend_width = f64::from(theme::WIDTH) - 24.0;
    let legend_top = frame.bottom() + 30.0;
    let mut sheet = Sheet::new(id, theme::WIDTH, legend_top + legend.height(legend_width) + 8.0);
    draw_title(&mut sheet, title);
    let no_values = ValueScale { least: 0.0, most: 1.0, ticks: vec![], decimals: 0 };
    let panel = Panel::new(frame, &scene.time, no_values);
    panel.draw_grid(&mut sheet, "", Ticks::Days, Below::Words)?;
    let mut y = TOP;
    for group in groups {
        draw_heading(&mut sheet, scene, group, y);
        y += HEADING;
        let top = y;
        for row in group {
            draw_unit(&mut sheet, scene, &panel, row.unit, y + ROW / 2.0)?;
            sheet.answer(&scene.time, answers(scene, row.unit, &Frame { top: y, height: ROW, ..frame }));
            y += ROW;
        }
        let chambers = group.first().map_or(&[][..], |row| row.chambers.as_slice());
        let met = chambers.iter().filter_map(|index| scene.evidence.chambers.get(*index)?.met_at);
        let moments: Vec<Vec<Spot>> = met
            .filter(|at| scene.time.contains(*at))
            .map(|at| vec![spot(panel.x(at), top - 2.0), spot(panel.x(at), y)])
            .collect();
        sheet.lines("moment", &Pen::solid(theme::PAPER, 4.5), &moments)?;
        sheet.lines("moment", &Pen::solid(theme::TEXT, 2.0), &moments)?;
    }
    legend.draw(&mut sheet, 12.0, legend_top, legend_width)?;
    Ok(sheet)
}

/// The chambers a group of units served, each with its verdict.
fn draw_heading(sheet: &mut Sheet, scene: &Scene<'_>, group: &[Row<'_>], top: f64) {
    let chambers = group.first().map_or(&[][..], |row| row.chambers.as_slice());
    let told: Vec<String> = chambers
        .iter()
        .filter_map(|index| scene.evidence.chambers.get(*index))
        .map(|chamber| match chamber.met_at {
            Some(at) => {
                say!(scene.words, "chart_equipment.goals_met", name = chamber.name, at = scene.time.instant(at))
            }
            None => say!(
                scene.words,
                "chart_equipment.goals",
                name = chamber.name,
                verdict = chamber.verdict.said(scene.words)
            ),
        })
        .collect();
    let words =
        if told.is_empty() { say!(scene.words, "chart_equipment.no_chamber").to_owned() } else { told.join("; ") };
    let look = TextLook::quiet().strong().coloured(theme::TEXT).rimmed();
    let room = f64::from(theme::WIDTH) - 24.0;
    sheet.text(12.0, top + 19.0, &look.fitted(&words, room), &look);
}

fn draw_unit(
    sheet: &mut Sheet,
    scene: &Scene<'_>,
    panel: &Panel<'_>,
    unit: &UnitEvidence,
    middle: f64,
) -> Result<(), Error> {
    let (look, kind_look) = (name_look(), kind_look());
    let left = panel.frame.left;
    let name = look.fitted(&unit.unit, left - 24.0);
    let room = left - 22.0 - look.width(&name) - NAME_GAP;
    let kind = if room > 30.0 { kind_look.fitted(&unit.kind, room) } else { String::new() };
    let baseline = middle + look.size * CAP_HEIGHT / 2.0;
    sheet.text_pair(12.0, baseline, (&name, &look), (&kind, &kind_look), NAME_GAP);

    let mut days: Vec<DayCell> = Vec::new();
    for day in unit.stays.iter().flat_map(|stay| &stay.days) {
        let Some((from, to)) = scene.time.clipped(day.from, day.to).filter(|(from, to)| to > from) else { continue };
        days.push(DayCell { frame: cell(panel, from, to, middle), verdict: day.verdict, number: day.number });
    }
    days.sort_by(|a, b| a.frame.left.total_cmp(&b.frame.left));
    let begun = widen_begun(&mut days, panel.frame.width / (scene.time.length() / 86_400.0));
    let mut cells: BTreeMap<DayVerdict, Vec<Frame>> = BTreeMap::new();
    for day in &days {
        cells.entry(day.verdict).or_default().push(day.frame);
    }
    let end = begun.iter().map(|(x, words)| x + look.width(words) + 1.0).fold(panel.frame.right(), f64::max);
    let mut onward = Vec::new();
    for stay in unit.stays.iter().filter(|stay| stay.removed.is_none()) {
        if stay.placed <= scene.time.to {
            onward.push(spot(end + 4.0, middle));
        }
    }
    let edge = Pen::solid(theme::AXIS, 1.0);
    for (verdict, frames) in &cells {
        match verdict {
            DayVerdict::Needed => sheet.boxes("needed", theme::SOLID, frames)?,
            DayVerdict::NotNeeded => {
                sheet.boxes("not-needed", theme::PAPER, frames)?;
                sheet.hatch("not-needed", &edge, frames, 5.0)?;
                sheet.outlines("not-needed", &Pen::solid(theme::TEXT, 1.0), frames)?;
            }
            DayVerdict::NotShown => {
                sheet.boxes("not-shown", theme::PAPER, frames)?;
                sheet.dots("not-shown", theme::QUIET_TEXT, frames, 4.5)?;
                sheet.outlines("not-shown", &Pen::solid(theme::TEXT, 1.0), frames)?;
            }
            DayVerdict::NotJudged => {
                let lines: Vec<Vec<Spot>> =
                    frames.iter().map(|frame| vec![spot(frame.left, middle), spot(frame.right(), middle)]).collect();
                sheet.lines("not-judged", &Pen::solid(theme::QUIET_TEXT, 1.5), &lines)?;
            }
        }
    }
    let notches = draw_notches(sheet, scene, panel, unit, middle)?;
    for day in &days {
        draw_number(sheet, day, &notches);
    }
    for (x, words) in begun {
        sheet.text_centred(x, middle, &words, &NUMBER);
    }
    labels::onward(sheet, &Pen::solid(theme::TEXT, 1.0), &onward)?;
    let numbers: Vec<u32> = scene.unit_findings(&unit.unit).iter().map(|finding| finding.number).collect();
    let after = panel.frame.right() + RIGHT - 8.0;
    finding_marks::beside(sheet, &numbers, after, middle)
}

/// One equipment-day in its place.
struct DayCell {
    frame: Frame,
    verdict: DayVerdict,
    number: u32,
}

/// Numbers of equipment-days.
const NUMBER: TextLook = TextLook { size: 11.0, ..TextLook::label() };

/// Widens days that were only begun to what can be seen, where nothing follows close by; gives their numbers with
/// where these stand.
///
/// # Arguments
/// * `days`: of one unit, in order.
/// * `day_width`: of a whole day, px.
fn widen_begun(days: &mut [DayCell], day_width: f64) -> Vec<(f64, String)> {
    let mut numbers = Vec::new();
    if day_width < 2.0 * LEAST_CELL {
        return numbers;
    }
    for index in 0..days.len() {
        let next = days.get(index + 1).map_or(f64::INFINITY, |day| day.frame.left);
        let day = &mut days[index];
        let words = day.number.to_string();
        let wide = NUMBER.width(&words);
        if day.frame.width < day_width / 2.0 && day.frame.width < wide + 7.0 {
            day.frame.width = day.frame.width.max(LEAST_CELL).min((next - day.frame.left).max(1.0));
            if day.frame.right() + wide + 6.0 <= next {
                numbers.push((day.frame.right() + 3.0, words));
            }
        }
    }
    numbers
}

/// The equipment-days of a unit, and what it did where its air is logged.
fn answers(scene: &Scene<'_>, unit: &UnitEvidence, row: &Frame) -> Area {
    let span = |from: DateTime<Utc>, to: DateTime<Utc>, words: String| {
        let (from, to) = scene.time.clipped(from, to).filter(|(from, to)| to > from)?;
        Some((scene.time.seconds(from), scene.time.seconds(to), words))
    };
    let days = unit.stays.iter().flat_map(|stay| &stay.days).filter_map(|day| {
        let words = say!(
            scene.words,
            "chart_equipment.day",
            number = day.number,
            verdict = day.verdict.said(scene.words),
            why = day.why
        );
        span(day.from, day.to, words)
    });
    let mut members = vec![Member::spans(say!(scene.words, "chart_equipment.verdict"), days.collect())];
    let runs = scene.evidence.unit_air.iter().filter(|air| air.unit == unit.unit).flat_map(|air| &air.runs);
    let runs: Vec<_> =
        runs.filter_map(|run| span(run.from, run.to, run_words(scene.words, run.state).to_owned())).collect();
    if !runs.is_empty() {
        members.push(Member::spans(say!(scene.words, "chart_equipment.unit"), runs));
    }
    Area {
        title: format!("{}, {}", unit.unit, unit.kind),
        left: row.left,
        top: row.top,
        width: row.width,
        height: row.height,
        groups: vec![Group { title: String::new(), unit: String::new(), members }],
    }
}

fn name_look() -> TextLook {
    TextLook::quiet().coloured(theme::TEXT)
}

fn kind_look() -> TextLook {
    TextLook::small()
}

fn cell(panel: &Panel<'_>, from: DateTime<Utc>, to: DateTime<Utc>, middle: f64) -> Frame {
    let (left, right) = (panel.x(from), panel.x(to));
    // A hair between cells, where they are wide enough to spare it.
    let hair = if right - left > 4.0 { 0.8 } else { 0.0 };
    let width = (right - left - 2.0 * hair).max(1.0);
    Frame { left: left + hair, top: middle - CELL / 2.0, width, height: CELL }
}

/// Notches where the unit did not run: from below without a recorded pause, from above in one.
fn draw_notches(
    sheet: &mut Sheet,
    scene: &Scene<'_>,
    panel: &Panel<'_>,
    unit: &UnitEvidence,
    middle: f64,
) -> Result<Vec<Frame>, Error> {
    let runs = scene.evidence.unit_air.iter().filter(|air| air.unit == unit.unit).flat_map(|air| &air.runs);
    let mut notches = Vec::new();
    for run in runs {
        let (top, height) = match run.state {
            RunState::Stopped => (middle, CELL / 2.0),
            RunState::Paused => (middle - CELL / 2.0, CELL / 3.0),
            RunState::Running | RunState::NotShown => continue,
        };
        let Some((from, to)) = scene.time.clipped(run.from, run.to).filter(|(from, to)| to > from) else { continue };
        let left = panel.x(from);
        let frame = Frame { left, top, width: (panel.x(to) - left).max(3.0), height };
        labels::notch(sheet, &frame)?;
        notches.push(frame);
    }
    Ok(notches)
}

/// The number of an equipment-day in its cell, beside notches; left out where there is no room.
fn draw_number(sheet: &mut Sheet, day: &DayCell, notches: &[Frame]) {
    let cell = &day.frame;
    let words = day.number.to_string();
    let look = match day.verdict {
        DayVerdict::Needed => NUMBER.coloured(theme::PAPER),
        DayVerdict::NotNeeded | DayVerdict::NotShown | DayVerdict::NotJudged => NUMBER.rimmed(),
    };
    let wide = look.width(&words);
    if cell.width < wide + 7.0 {
        return;
    }
    let free = |x: f64| notches.iter().all(|notch| x + wide + 1.0 < notch.left || x - 1.0 > notch.right());
    let middle = cell.left + (cell.width - wide) / 2.0;
    let choices = [middle, cell.left + 3.0, cell.right() - wide - 3.0];
    if let Some(x) = choices.into_iter().find(|x| free(*x)) {
        sheet.text_centred(x, cell.top + CELL / 2.0, &words, &look.anchored(Anchor::Start));
    }
}

/// What is in the drawing, and nothing else.
fn legend(scene: &Scene<'_>, rows: &[Row<'_>]) -> Legend {
    let has = |verdict: DayVerdict| {
        rows.iter().flat_map(|row| &row.unit.stays).flat_map(|stay| &stay.days).any(|day| day.verdict == verdict)
    };
    let ran = |state: RunState| {
        let units = scene.evidence.unit_air.iter().filter(|air| rows.iter().any(|row| row.unit.unit == air.unit));
        units.flat_map(|air| &air.runs).any(|run| run.state == state)
    };
    let met = rows
        .iter()
        .flat_map(|row| &row.chambers)
        .any(|index| scene.evidence.chambers.get(*index).is_some_and(|chamber| chamber.met_at.is_some()));
    let numbered = rows.iter().any(|row| !scene.unit_findings(&row.unit.unit).is_empty());
    let staying = rows.iter().flat_map(|row| &row.unit.stays).any(|stay| stay.removed.is_none());
    let entries = [
        (has(DayVerdict::Needed), Shows::Filled(theme::SOLID), say!(scene.words, "verdict.needed")),
        (has(DayVerdict::NotNeeded), Shows::Hatched, say!(scene.words, "chart_equipment.not_needed")),
        (has(DayVerdict::NotShown), Shows::Dotted, say!(scene.words, "chart_equipment.not_shown")),
        (has(DayVerdict::NotJudged), Shows::ThinLine, say!(scene.words, "chart_equipment.not_judged_by_moisture")),
        (ran(RunState::Stopped), Shows::NotchBelow(theme::SOLID), say!(scene.words, "chart_equipment.did_not_run")),
        (ran(RunState::Paused), Shows::NotchAbove(theme::SOLID), say!(scene.words, "chart_equipment.recorded_pause")),
        (met, Shows::Moment, say!(scene.words, "chart_equipment.goals_met_2")),
        (staying, Shows::Onward, say!(scene.words, "chart_equipment.still_on_site")),
        (numbered, Shows::Number, say!(scene.words, "chart_equipment.findings_of_the_unit")),
    ];
    Legend::new(entries.into_iter().filter(|e| e.0).map(|(_, shows, words)| (shows, words.to_owned())).collect())
}

fn alt(scene: &Scene<'_>, rows: &[Row<'_>]) -> String {
    let sum = |of: fn(&UnitEvidence) -> u32| rows.iter().map(|row| u64::from(of(row.unit))).sum::<u64>();
    let mut parts = Vec::new();
    for (number, words) in [
        (sum(|u| u.totals.needed), say!(scene.words, "verdict.needed")),
        (sum(|u| u.totals.not_needed), say!(scene.words, "chart_equipment.not_needed")),
        (sum(|u| u.totals.not_shown), say!(scene.words, "chart_equipment.not_shown")),
        (sum(|u| u.totals.not_judged), say!(scene.words, "chart_equipment.not_judged_by_moisture")),
    ] {
        if number > 0 {
            parts.push(format!("{number} {words}"));
        }
    }
    let stopped: f64 = rows.iter().map(|row| row.unit.totals.did_not_run_h).sum();
    let stopped = if stopped > 0.0 {
        say!(scene.words, "chart_equipment.while_needed_units_did_not_run", stopped = shown(scene.words, stopped, 1))
    } else {
        String::new()
    };
    say!(
        scene.words,
        "chart_equipment.on_site_by",
        units = say!(scene.words, "count.unit", count = rows.len() as u64),
        to = scene.time.short_day_of(scene.time.to),
        days = say!(scene.words, "count.equipment_day", count = sum(|u| u.totals.recorded_days)),
        parts = parts.join(", "),
        stopped = stopped
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::{sample, stress};
    use crate::units_shown::UnitSystem;

    #[test]
    fn every_verdict_has_its_pattern_and_its_word() {
        let analysis = sample();
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        let charts = draw(&scene).expect("drawn");
        assert_eq!(charts.len(), 1);
        let svg = &charts[0].svg;
        for class in ["needed", "not-needed", "not-shown", "not-judged", "notch", "moment", "onward"] {
            assert!(svg.contains(&format!("<g class=\"{class}\"")), "{class}");
        }
        for words in ["needed", "not needed", "not shown", "not judged by moisture", "did not run", "recorded pause"] {
            assert!(svg.contains(&format!(">{words}</text>")), "{words}");
        }
        assert!(svg.contains(">Chamber A: goals met 12 Oct 09:16</text>"));
        assert!(charts[0].alt.contains("While needed, units did not run for 5.5 h."), "{}", charts[0].alt);
    }

    #[test]
    fn a_cell_a_day() {
        let analysis = sample();
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        let needed: usize = analysis
            .evidence
            .equipment
            .iter()
            .flat_map(|unit| &unit.stays)
            .flat_map(|stay| &stay.days)
            .filter(|day| day.verdict == DayVerdict::Needed)
            .count();
        let svg = draw(&scene).expect("drawn").remove(0).svg;
        let drawn: usize = svg
            .split("<g class=\"needed\"")
            .skip(1)
            .map(|part| part.split("</g>").next().unwrap_or("").matches("<rect").count())
            .sum();
        assert_eq!(drawn, needed);
    }

    #[test]
    fn nothing_on_site_nothing_drawn() {
        let mut analysis = stress();
        analysis.evidence.equipment.clear();
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        assert!(draw(&scene).expect("drawn").is_empty());
    }
}
