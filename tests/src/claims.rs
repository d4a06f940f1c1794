//! What must hold of every judged job, whatever it is about: a sceptical reader goes through the report with the files
//! beside it.

use std::fs;
use std::path::Path;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{
    DayVerdict, EquipmentDay, Evidence, GoalVerdict, PointEvidence, PointState, ReadingEvidence, SourceRow,
    StayEvidence, UnitEvidence,
};

/// What does not hold of a job folder and its evidence, in sentences; empty where all does.
#[must_use]
pub fn broken(folder: &Path, evidence: &Evidence) -> Vec<String> {
    let readings = fs::read_to_string(folder.join("readings.csv")).unwrap_or_default();
    let lines: Vec<&str> = readings.lines().collect();
    let mut faults = Vec::new();
    for unit in &evidence.equipment {
        for stay in &unit.stays {
            faults.extend(hours_add_up(unit, stay));
            for (index, day) in stay.days.iter().enumerate() {
                let before = index.checked_sub(1).map(|index| &stay.days[index]);
                faults.extend(rests_on_load(evidence, &lines, unit, day, before));
                faults.extend(names_its_reading(evidence, unit, day));
            }
        }
    }
    faults.extend(standing_agrees(evidence));
    faults
}

/// The hours of a stay's equipment-days are those of the stay.
fn hours_add_up(unit: &UnitEvidence, stay: &StayEvidence) -> Option<String> {
    let sum: f64 = stay.days.iter().map(|day| day.hours).sum();
    let end = stay.days.last().map_or(stay.placed, |day| day.to);
    let away: TimeDelta = stay.moves.iter().map(|one| one.to - one.from).sum();
    let long = (end - stay.placed - away).as_seconds_f64() / 3600.0;
    let agree = (sum - stay.hours).abs() < 1e-6 && (sum - long).abs() < 1e-6;
    (!agree).then(|| {
        format!("{}: {sum} h of equipment-days, {} h of stay, {long} h between its ends", unit.unit, stay.hours)
    })
}

/// Every row of a `needed` day shows load in it: a reading above the goal or a sample beyond it, which was not met since.
fn rests_on_load(
    evidence: &Evidence,
    lines: &[&str],
    unit: &UnitEvidence,
    day: &EquipmentDay,
    before: Option<&EquipmentDay>,
) -> Vec<String> {
    let of = |fault: String| format!("{} day {} ({}): {fault}", unit.unit, day.number, day.why);
    if day.verdict != DayVerdict::Needed {
        return Vec::new();
    }
    if day.rows.is_empty() {
        return vec![of("no row".to_owned())];
    }
    if day.by_pull_window {
        // It takes the verdict before it, with what that rests on.
        let same = before.is_some_and(|before| before.verdict == day.verdict && before.rows == day.rows);
        return if same { Vec::new() } else { vec![of("not the rows of the day before".to_owned())] };
    }
    day.rows.iter().filter_map(|row| not_load(evidence, lines, day, row)).map(of).collect()
}

/// The reading said to decide an equipment-day is among its rows; that of a `not needed` one shows nothing open.
fn names_its_reading(evidence: &Evidence, unit: &UnitEvidence, day: &EquipmentDay) -> Option<String> {
    let Some(read_at) = day.read_at else {
        let by_air = evidence.chambers.iter().any(|chamber| !chamber.air_goals.is_empty());
        let none = day.verdict == DayVerdict::NotNeeded && !by_air;
        return none.then(|| format!("{} day {} ({}): no reading decides it", unit.unit, day.number, day.why));
    };
    let of = |fault: &str| Some(format!("{} day {} ({}): {fault} {read_at}", unit.unit, day.number, day.why));
    let is_it = |reading: &ReadingEvidence| reading.time == read_at && day.rows.contains(&reading.row);
    let mut named = evidence.points.iter().filter(|point| point.readings.iter().any(is_it)).peekable();
    if named.peek().is_none() {
        return of("its rows lack the reading of");
    }
    let open = |point: &PointEvidence| {
        point.spans.iter().any(|span| span.state == PointState::Open && span.from <= read_at && read_at < span.to)
    };
    let fits = named.any(|point| day.verdict == DayVerdict::Needed || !open(point));
    if fits { None } else { of("open by the reading of") }
}

fn not_load(evidence: &Evidence, lines: &[&str], day: &EquipmentDay, row: &SourceRow) -> Option<String> {
    let read = evidence
        .points
        .iter()
        .filter(|point| day.load_points.contains(&point.id))
        .find_map(|point| Some((point, point.readings.iter().find(|reading| reading.row == *row)?)));
    let Some((point, reading)) = read else {
        let shown =
            evidence.chambers.iter().flat_map(|chamber| &chamber.air_goals).flat_map(|goal| &goal.spans).any(|span| {
                span.row.as_ref() == Some(row)
                    && span.state == PointState::Open
                    && span.from < day.to
                    && day.from < span.to
            });
        return (!shown).then(|| format!("{} line {} is no reading or sample that shows load", row.file, row.row));
    };
    let goal = point.goal.as_ref()?.value;
    if row.file == "readings.csv" && reading.correction.is_none() {
        let line = usize::try_from(row.row).ok().and_then(|row| lines.get(row - 1)).copied().unwrap_or_default();
        let cells: Vec<&str> = line.split(',').map(str::trim).collect();
        // A number above the goal, a lower bound (`>40`) or over range (`OL`).
        let above =
            cells.get(2).is_some_and(|value| value.parse::<f64>().map_or(!value.is_empty(), |value| value > goal));
        if cells.get(1) != Some(&point.id.as_str()) || !above {
            return Some(format!("line {} of readings.csv is not above {goal}: {line}", row.row));
        }
    } else if reading.meets != Some(false) {
        return Some(format!("{} line {} is not above {goal}", row.file, row.row));
    }
    (!open_by(point, reading.time, row, day)).then(|| format!("{} was not open by line {} in it", point.id, row.row))
}

/// Whether a point was open in a day by a reading: taken while it was, or one that its being open reaches back from.
fn open_by(point: &PointEvidence, time: DateTime<Utc>, row: &SourceRow, day: &EquipmentDay) -> bool {
    let open = point.spans.iter().filter(|span| span.state == PointState::Open);
    let mut in_day = open.filter(|span| span.from < day.to && day.from < span.to);
    in_day.any(|span| {
        let carried = span.from <= time && time < span.to && time < day.to;
        carried || (span.row.as_ref() == Some(row) && time - span.from <= TimeDelta::hours(36))
    })
}

/// What can leave, what could have gone and what is released say one thing.
fn standing_agrees(evidence: &Evidence) -> Vec<String> {
    let mut faults = Vec::new();
    let can_leave: Vec<String> = evidence.can_leave().into_iter().flat_map(|group| group.units).collect();
    let free =
        |id: &String| evidence.chambers.iter().find(|chamber| chamber.id == *id).and_then(|one| one.free_since());
    for unit in evidence.equipment.iter().filter(|unit| unit.judged) {
        let leave = evidence.earliest_leaves.iter().find(|leave| leave.unit == unit.unit);
        let since = leave.and_then(|leave| leave.goals_met);
        let Some(stay) = unit.staying() else { continue };
        if since.is_some() != can_leave.contains(&unit.unit) {
            faults.push(format!("{}: could have gone {since:?}, can leave {can_leave:?}", unit.unit));
        }
        if !stay.points.is_empty() {
            continue;
        }
        // A unit is free when every chamber it serves is, and since the last of them.
        let each: Option<Vec<DateTime<Utc>>> = stay.serves_now().iter().map(free).collect();
        let due = each.and_then(|each| each.into_iter().max()).map(|since| since.max(stay.placed));
        if due != since {
            faults.push(format!("{}: could have gone {since:?}, its chambers are free {due:?}", unit.unit));
        }
        for release in
            evidence.releases.iter().filter(|one| one.chambers.iter().all(|id| stay.serves_now().contains(id)))
        {
            if let Some(from) = release.from
                && since.is_none_or(|since| since > from.max(stay.placed))
            {
                faults.push(format!("{}: released from {from}, could have gone {since:?}", unit.unit));
            }
        }
    }
    for chamber in &evidence.chambers {
        if chamber.met_at.is_some() != (chamber.verdict == GoalVerdict::Met) {
            faults.push(format!("{}: {:?} with {:?}", chamber.id, chamber.verdict, chamber.met_at));
        }
        if let Some(release) = evidence.releases.iter().find(|release| release.chambers.contains(&chamber.id))
            && release.from.is_some_and(|from| chamber.free_since().is_none_or(|since| from < since))
        {
            faults.push(format!("{}: released from {:?}, free {:?}", chamber.id, release.from, chamber.free_since()));
        }
    }
    faults
}
