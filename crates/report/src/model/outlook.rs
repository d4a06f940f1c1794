//! What the record says beyond verdicts: time to goal, what the start called for, when units could have gone, exposure
//! of surfaces to mould.

use grainfall_analysis::evidence::{Evidence, Forecast, Outlook, PointEvidence};

use super::answers::{chamber_anchor, point_anchor, unit_anchor};
use super::shown::{self, Shown};
use super::{Cell, Table, number_column, text_column};
use crate::number_format::{NO_VALUE, trimmed};
use crate::text;

/// Time to goal of the open points; `None` without a forecast.
pub(super) fn forecasts(evidence: &Evidence, shown: &Shown, points: &[&PointEvidence]) -> Option<Table> {
    let mut table = Table::new(
        "Open points: when their goals may be met",
        vec![
            text_column("Point", 70.0),
            text_column("Goal met", 110.0),
            number_column("Days after the last reading", 70.0),
            text_column("In words", 260.0),
        ],
    );
    for point in points {
        let Some(forecast) = &point.forecast else { continue };
        table.push(vec![
            Cell::link(&point.id, "", point_anchor(evidence, &point.id)),
            Cell::strong(when(shown, forecast)),
            days(forecast).into(),
            Cell::from(&forecast.text),
        ]);
    }
    table.notes.push(text::FORECAST.to_owned());
    if table.rows.is_empty() { None } else { Some(table) }
}

/// The dates of a forecast, or why it has none.
fn when(shown: &Shown, forecast: &Forecast) -> String {
    match (forecast.outlook, forecast.earliest, forecast.latest) {
        (Outlook::Range, Some(earliest), Some(latest)) => {
            format!("{} to {}", shown.instant(earliest), shown.instant(latest))
        }
        (Outlook::Range, Some(earliest), None) => format!("{} or later", shown.instant(earliest)),
        (Outlook::WideRange, ..) => "too few readings for a date".to_owned(),
        (outlook, ..) => outlook.words().to_owned(),
    }
}

fn days(forecast: &Forecast) -> String {
    match (forecast.days_low, forecast.days_high) {
        (Some(low), Some(high)) => format!("{} to {}", trimmed(low, 1), trimmed(high, 1)),
        (Some(low), None) => format!("{} or more", trimmed(low, 1)),
        _ => NO_VALUE.to_owned(),
    }
}

/// What stood on site at the start beside what the simple method calls for; `None` where nothing could be sized.
pub(super) fn called_for(evidence: &Evidence) -> Option<Table> {
    let mut table = Table::new(
        "At the start: on site beside called for",
        vec![
            text_column("Chamber", 56.0),
            text_column("Of what", 100.0),
            number_column("On site", 60.0),
            number_column("Called for", 90.0),
            text_column("Method", 210.0),
        ],
    );
    for row in &evidence.sizing {
        let unit = if row.unit.is_empty() { String::new() } else { format!(" {}", row.unit) };
        let with_unit = |value: f64| format!("{}{unit}", trimmed(value, 1));
        let units = if row.units.is_empty() { String::new() } else { format!(" ({})", shown::list(&row.units)) };
        table.push(vec![
            Cell::link(&row.chamber, "", chamber_anchor(evidence, &row.chamber)),
            row.what.words().into(),
            format!("{}{units}", row.on_site.map_or(NO_VALUE.to_owned(), with_unit)).into(),
            format!("{} to {}", trimmed(row.low, 1), with_unit(row.high)).into(),
            Cell::from(&row.method),
        ]);
    }
    table.notes.push(text::CALLED_FOR.to_owned());
    if table.rows.is_empty() { None } else { Some(table) }
}

/// When units could have gone; `None` where nothing is told.
pub(super) fn earliest_leaves(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let mut table = Table::new(
        "When each unit could have gone",
        vec![
            text_column("Unit", 50.0),
            text_column("By the goals", 70.0),
            text_column("By capacity (advice)", 70.0),
            text_column("In words", 240.0),
            text_column("Rows", 80.0),
        ],
    );
    for leave in &evidence.earliest_leaves {
        let space = if leave.assumption.is_empty() { "" } else { " " };
        table.push(vec![
            Cell::link(&leave.unit, "", unit_anchor(evidence, &leave.unit)),
            shown.instant_or_dash(leave.goals_met).into(),
            shown.instant_or_dash(leave.capacity).into(),
            format!("{}{space}{}", leave.text, leave.assumption).into(),
            shown::rows(&leave.rows, 4).into(),
        ]);
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// Exposure of logged surfaces, a group a surface and a row a class; `None` without one.
pub(super) fn mould(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let mut table = Table::new(
        "Mould exposure of logged surfaces, 0 to 6",
        vec![
            text_column("Class of material", 280.0),
            number_column("Highest index", 70.0),
            number_column("Index at the end", 70.0),
        ],
    );
    for exposure in &evidence.mould {
        let detail = format!(
            "{}; {} of {} at or above the critical humidity; highest {} %",
            shown.span(exposure.from, Some(exposure.to)),
            shown::hours(exposure.hours_above_critical),
            shown::hours(exposure.hours),
            trimmed(exposure.highest_rh_pct, 1)
        );
        table.push_group(None, &exposure.label, detail);
        for class in &exposure.classes {
            table.push(vec![Cell::from(&class.class), trimmed(class.highest, 2).into(), trimmed(class.last, 2).into()]);
        }
        if !table.notes.contains(&exposure.caution) {
            table.notes.push(exposure.caution.clone());
        }
    }
    if table.rows.is_empty() { None } else { Some(table) }
}
