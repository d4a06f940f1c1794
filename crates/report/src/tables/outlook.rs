//! Tables of forecasts, mould exposure, the completeness of the log, initial sizing and earliest leaves.

use grainfall_analysis::evidence::Evidence;

use super::sheet::{Field, Sheet, date, instant, maybe, maybe_instant, maybe_text, number, rows, text, whole, yes_no};
use crate::UnitSystem;
use crate::model::shown::Shown;

/// What the record holds and lacks for each day with drying equipment.
pub(super) fn completeness(evidence: &Evidence, shown: &Shown) -> Sheet {
    let header = ["date", "chamber", "day_running", "entry", "present", "text", "what_to_add", "rows"];
    let mut sheet = Sheet::new("completeness", shown.units, &header);
    for day in &evidence.completeness {
        for entry in &day.entries {
            sheet.rows.push(vec![
                date(day.date),
                text(&day.chamber),
                yes_no(day.running),
                text(entry.kind.words()),
                yes_no(entry.present),
                text(&entry.text),
                maybe_text(entry.add.as_ref()),
                rows(&entry.rows),
            ]);
        }
    }
    sheet
}

/// Forecasts of open points.
pub(super) fn forecasts(evidence: &Evidence, shown: &Shown) -> Sheet {
    let header = [
        "point",
        "scale_unit",
        "outlook",
        "from",
        "readings",
        "earliest_80_pct",
        "latest_80_pct",
        "days_low_80_pct",
        "days_high_80_pct",
        "equilibrium_low_scale_unit",
        "equilibrium_high_scale_unit",
        "text",
        "rows",
    ];
    let mut sheet = Sheet::new("forecasts", shown.units, &header);
    for point in &evidence.points {
        let Some(forecast) = &point.forecast else { continue };
        sheet.rows.push(vec![
            text(&point.id),
            text(&point.unit),
            text(forecast.outlook.words()),
            instant(shown, forecast.from),
            whole(forecast.readings),
            maybe_instant(shown, forecast.earliest),
            maybe_instant(shown, forecast.latest),
            maybe(forecast.days_low, 2),
            maybe(forecast.days_high, 2),
            maybe(forecast.equilibrium.as_ref().map(|range| range.low), 1),
            maybe(forecast.equilibrium.as_ref().map(|range| range.high), 1),
            text(&forecast.text),
            rows(&forecast.rows),
        ]);
    }
    sheet
}

/// Mould exposure of logged surfaces, one row per class.
pub(super) fn mould(evidence: &Evidence, shown: &Shown) -> Sheet {
    let header = [
        "logger",
        "chamber",
        "from",
        "to",
        "hours",
        "hours_above_critical",
        "highest_rh_pct",
        "class",
        "index_highest",
        "index_last",
        "caution",
        "rows",
    ];
    let mut sheet = Sheet::new("mould_exposure", shown.units, &header);
    for exposure in &evidence.mould {
        for class in &exposure.classes {
            sheet.rows.push(vec![
                text(&exposure.label),
                maybe_text(exposure.chamber.as_ref()),
                instant(shown, exposure.from),
                instant(shown, exposure.to),
                number(exposure.hours, 1),
                number(exposure.hours_above_critical, 1),
                number(exposure.highest_rh_pct, 1),
                text(&class.class),
                number(class.highest, 3),
                number(class.last, 3),
                text(&exposure.caution),
                rows(&exposure.rows),
            ]);
        }
    }
    sheet
}

/// What the simple method calls for at the start.
pub(super) fn sizing(evidence: &Evidence) -> Sheet {
    let header = ["chamber", "what", "on_site", "called_for_low", "called_for_high", "unit", "units", "method"];
    let mut sheet = Sheet::new("initial_sizing", UnitSystem::Us, &header);
    sheet.rows.extend(evidence.sizing.iter().map(|row| {
        vec![
            text(&row.chamber),
            text(row.what.words()),
            maybe(row.on_site, 1),
            number(row.low, 1),
            number(row.high, 1),
            text(&row.unit),
            super::sheet::texts(&row.units),
            text(&row.method),
        ]
    }));
    sheet
}

/// The first instants at which each unit could have gone.
pub(super) fn earliest_leaves(evidence: &Evidence, shown: &Shown) -> Sheet {
    let header = ["unit", "goals_met", "capacity_advice", "text", "assumption", "rows"];
    let mut sheet = Sheet::new("earliest_leaves", shown.units, &header);
    sheet.rows.extend(evidence.earliest_leaves.iter().map(|row| -> Vec<Field> {
        vec![
            text(&row.unit),
            maybe_instant(shown, row.goals_met),
            maybe_instant(shown, row.capacity),
            text(&row.text),
            text(&row.assumption),
            rows(&row.rows),
        ]
    }));
    sheet
}
