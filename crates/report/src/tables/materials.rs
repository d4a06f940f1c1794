//! Tables of points, readings and drying rates.

use grainfall_analysis::evidence::{
    DriveBasis, DryStandardBasis, Evidence, GoalBasis, PointEvidence, ReadingEvidence, ReadingKind,
};

use super::air::source;
use super::sheet::{
    Field, Sheet, date, instant, maybe, maybe_instant, maybe_text, maybe_yes_no, number, text, whole, yes_no,
};
use crate::model::shown::Shown;
use crate::words::Words;
use crate::{UnitSystem, number_format};

/// Points with their goals and verdicts.
pub(super) fn points(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet = Sheet::new(
        "points",
        shown.units,
        &[
            "point",
            "chamber",
            "location",
            "depth",
            "material",
            "reference",
            "logged",
            "scale",
            "scale_unit",
            "dry_standard_scale_unit",
            "dry_standard_basis",
            "goal_at_most_scale_unit",
            "goal_basis",
            "goal",
            "first_scale_unit",
            "highest_scale_unit",
            "highest_is_lower_bound",
            "last_scale_unit",
            "last_at",
            "distance_to_goal_scale_unit",
            "verdict",
            "met_at",
            "lost_again_at",
            "why",
            "ended_at",
            "ended_reason",
        ],
    );
    for point in &evidence.points {
        let first = point.readings.iter().find(|reading| reading.decides).and_then(value);
        let reopened: Vec<String> = point.reopened_at.iter().map(|at| shown.iso(*at)).collect();
        sheet.rows.push(vec![
            text(&point.id),
            maybe_text(point.chamber.as_ref()),
            maybe_text(point.location.as_ref()),
            maybe_text(point.depth.as_ref()),
            maybe_text(point.material.as_ref()),
            yes_no(point.reference),
            yes_no(point.logged),
            text(&point.scale),
            text(&point.unit),
            maybe(point.dry_standard.as_ref().map(|standard| standard.value), 4),
            dry_standard_basis(shown, point),
            maybe(point.goal.as_ref().map(|goal| goal.value), 4),
            point.goal.as_ref().map_or(Field::Empty, |goal| text(goal_basis(goal.basis))),
            point.goal.as_ref().map_or(Field::Empty, |goal| text(&goal.text)),
            maybe(first, 4),
            maybe(point.highest, 4),
            yes_no(point.highest_is_bound),
            maybe(point.last, 4),
            maybe_instant(shown, point.last_at),
            maybe(point.distance_to_goal, 4),
            text(point.verdict.words()),
            maybe_instant(shown, point.met_at),
            super::sheet::texts(&reopened),
            text(&point.why),
            maybe_instant(shown, point.ended.as_ref().map(|ended| ended.at)),
            maybe_text(point.ended.as_ref().map(|ended| &ended.reason)),
        ]);
    }
    sheet
}

/// Every reading.
pub(super) fn readings(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet = Sheet::new(
        "readings",
        shown.units,
        &[
            "time",
            "point",
            "chamber",
            "kind",
            "value_scale_unit",
            "reason",
            "scale",
            "scale_unit",
            "meter",
            "accuracy_scale_unit",
            "decides",
            "why_not",
            "distance_to_goal_scale_unit",
            "meets_goal",
            "meter_showed_scale_unit",
            "wood_temp_{temp}",
            "corrected_by",
            "drive_{pressure}",
            "surface_vapour_pressure_{pressure}",
            "air_vapour_pressure_{pressure}",
            "surface_temp_{temp}",
            "surface_temp_measured",
            "drive_basis",
            "drive_air",
            "by",
            "note",
            "file",
            "row",
        ],
    );
    for point in &evidence.points {
        for reading in &point.readings {
            sheet.rows.push(reading_row(shown, point, reading));
        }
    }
    sheet
}

fn reading_row(shown: &Shown, point: &PointEvidence, reading: &ReadingEvidence) -> Vec<Field> {
    let units = shown.units;
    let drive = reading.drive.as_ref();
    let corrected = reading.correction.as_ref();
    let pressure = |pa: f64| units.vapour_pressure(pa);
    let (kind, reason) = match &reading.kind {
        ReadingKind::Measured { .. } => ("measured", Field::Empty),
        ReadingKind::Above { .. } => ("above", Field::Empty),
        ReadingKind::OverRange => ("over range", Field::Empty),
        ReadingKind::NoReading { reason } => ("no reading", text(reason)),
    };
    let mut row = vec![
        instant(shown, reading.time),
        text(&point.id),
        maybe_text(point.chamber.as_ref()),
        text(kind),
        maybe(value(reading), 4),
        reason,
        text(&reading.scale),
        text(&reading.unit),
        maybe_text(reading.meter.as_ref()),
        maybe(reading.accuracy, 4),
        yes_no(reading.decides),
        maybe_text(reading.why_not.as_ref()),
        maybe(reading.distance_to_goal, 4),
        maybe_yes_no(reading.meets),
        maybe(corrected.map(|one| one.shown), 4),
        maybe(corrected.map(|one| units.temp(one.wood_temp_c)), 3),
        corrected.map_or(Field::Empty, |one| text(&one.by)),
        maybe(drive.map(|d| pressure(d.drive_pa)), 5),
        maybe(drive.map(|d| pressure(d.surface_pa)), 5),
        maybe(drive.map(|d| pressure(d.air_pa)), 5),
        maybe(drive.map(|d| units.temp(d.surface_temp_c)), 3),
        maybe_yes_no(drive.map(|d| d.surface_temp_measured)),
        drive.map_or(Field::Empty, |d| text(drive_basis(d.basis))),
        drive.map_or(Field::Empty, |d| text(&d.air)),
        maybe_text(reading.by.as_ref()),
        maybe_text(reading.note.as_ref()),
    ];
    row.extend(source(Some(&reading.row)));
    row
}

/// Drying rates by point and day.
pub(super) fn drying_rates(evidence: &Evidence) -> Sheet {
    let mut sheet = Sheet::new(
        "drying_rates",
        UnitSystem::Us,
        &[
            "date",
            "point",
            "chamber",
            "scale",
            "scale_unit",
            "rate_scale_unit_per_day",
            "rate_low_95_scale_unit_per_day",
            "rate_high_95_scale_unit_per_day",
            "readings",
        ],
    );
    for point in &evidence.points {
        for rate in &point.rates {
            sheet.rows.push(vec![
                date(rate.date),
                text(&point.id),
                maybe_text(point.chamber.as_ref()),
                text(&point.scale),
                text(&point.unit),
                number(rate.per_day, 4),
                maybe(rate.low, 4),
                maybe(rate.high, 4),
                whole(rate.readings),
            ]);
        }
    }
    sheet
}

fn value(reading: &ReadingEvidence) -> Option<f64> {
    match reading.kind {
        ReadingKind::Measured { value } | ReadingKind::Above { value } => Some(value),
        ReadingKind::OverRange | ReadingKind::NoReading { .. } => None,
    }
}

fn dry_standard_basis(shown: &Shown, point: &PointEvidence) -> Field {
    match point.dry_standard.as_ref().map(|standard| &standard.basis) {
        None => Field::Empty,
        Some(DryStandardBasis::Stated { row }) => text(format!("stated, {}", crate::model::shown::row(row))),
        Some(DryStandardBasis::ReferencePoints { points, at, min, max, rows, .. }) => text(format!(
            "median of reference points {}, {} to {}, {}; {}",
            points.join(" "),
            number_format::fixed(*min, 4),
            number_format::fixed(*max, 4),
            shown.iso(*at),
            crate::model::shown::rows(Words::default(), rows, usize::MAX),
        )),
    }
}

fn goal_basis(basis: GoalBasis) -> &'static str {
    match basis {
        GoalBasis::Point => "point",
        GoalBasis::Material => "material",
        GoalBasis::CommonPractice => "common practice, no source",
    }
}

fn drive_basis(basis: DriveBasis) -> &'static str {
    match basis {
        DriveBasis::FreeWater => "free water",
        DriveBasis::WoodSorption => "wood sorption",
        DriveBasis::UpperBound => "upper bound",
    }
}
