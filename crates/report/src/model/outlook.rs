//! What the record says beyond verdicts: time to goal, what the start called for, when units could have gone, exposure
//! of surfaces to mould.

use grainfall_analysis::evidence::{Evidence, Forecast, Outlook, PointEvidence};

use super::answers::{chamber_anchor, point_anchor, unit_anchor};
use super::shown::{self, Shown};
use super::{Cell, Table, number_column, text_column};
use crate::number_format::{NO_VALUE, range, trimmed};
use crate::words::{Words, say};

/// Time to goal of the open points; `None` without a forecast.
pub(super) fn forecasts(evidence: &Evidence, shown: &Shown, points: &[&PointEvidence]) -> Option<Table> {
    let mut table = Table::new(
        say!(shown.words, "outlook.open_points_when_their_goals_may"),
        vec![
            text_column(say!(shown.words, "outlook.point"), 70.0),
            text_column(say!(shown.words, "outlook.goal_met"), 110.0),
            number_column(say!(shown.words, "outlook.days_after_the_last_reading"), 70.0),
            text_column(say!(shown.words, "outlook.in_words"), 260.0),
        ],
    );
    for point in points {
        let Some(forecast) = &point.forecast else { continue };
        table.push(vec![
            Cell::link(&point.id, "", point_anchor(evidence, &point.id)),
            Cell::strong(when(shown, forecast)),
            days(shown.words, forecast).into(),
            Cell::from(&forecast.text),
        ]);
    }
    table.notes.push(say!(shown.words, "text.forecast").to_owned());
    if table.rows.is_empty() { None } else { Some(table) }
}

/// The dates of a forecast, or why it has none.
fn when(shown: &Shown, forecast: &Forecast) -> String {
    match (forecast.outlook, forecast.earliest, forecast.latest) {
        (Outlook::Range, Some(earliest), Some(latest)) => {
            say!(shown.words, "shown.from_to", from = shown.instant(earliest), to = shown.instant(latest))
        }
        (Outlook::Range, Some(earliest), None) => {
            say!(shown.words, "outlook.or_later", earliest = shown.instant(earliest))
        }
        (Outlook::WideRange, ..) => say!(shown.words, "outlook.too_few_readings_for_a_date").to_owned(),
        (outlook, ..) => outlook.said(shown.words).to_owned(),
    }
}

fn days(words: Words, forecast: &Forecast) -> String {
    match (forecast.days_low, forecast.days_high) {
        (Some(low), Some(high)) => range(words, low, high, |days| trimmed(words, days, 1)),
        (Some(low), None) => say!(words, "outlook.or_more", low = trimmed(words, low, 1)),
        _ => NO_VALUE.to_owned(),
    }
}

/// What stood on site at the start beside what the simple method calls for; `None` where nothing could be sized.
pub(super) fn called_for(words: Words, evidence: &Evidence) -> Option<Table> {
    let mut table = Table::new(
        say!(words, "outlook.at_the_start_on_site_beside"),
        vec![
            text_column(say!(words, "outlook.chamber"), 56.0),
            text_column(say!(words, "outlook.of_what"), 100.0),
            number_column(say!(words, "outlook.on_site"), 60.0),
            number_column(say!(words, "outlook.called_for"), 90.0),
            text_column(say!(words, "outlook.method"), 210.0),
        ],
    );
    for row in &evidence.sizing {
        let unit = if row.unit.is_empty() { String::new() } else { format!(" {}", row.unit) };
        let with_unit = |value: f64| format!("{}{unit}", trimmed(words, value, 1));
        let units = if row.units.is_empty() { String::new() } else { format!(" ({})", shown::list(&row.units)) };
        table.push(vec![
            Cell::link(&row.chamber, "", chamber_anchor(evidence, &row.chamber)),
            row.what.said(words).into(),
            format!("{}{units}", row.on_site.map_or(NO_VALUE.to_owned(), with_unit)).into(),
            format!("{}{unit}", range(words, row.low, row.high, |value| trimmed(words, value, 1))).into(),
            Cell::from(&row.method),
        ]);
    }
    table.notes.push(say!(words, "text.called_for").to_owned());
    if table.rows.is_empty() { None } else { Some(table) }
}

/// When units could have gone; `None` where nothing is told.
pub(super) fn earliest_leaves(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let mut table = Table::new(
        say!(shown.words, "outlook.when_each_unit_could_have_gone"),
        vec![
            text_column(say!(shown.words, "outlook.unit"), 50.0),
            text_column(say!(shown.words, "outlook.by_the_goals"), 70.0),
            text_column(say!(shown.words, "outlook.by_capacity_advice"), 70.0),
            text_column(say!(shown.words, "outlook.in_words"), 240.0),
            text_column(say!(shown.words, "outlook.rows"), 80.0),
        ],
    );
    for leave in &evidence.earliest_leaves {
        let space = if leave.assumption.is_empty() { "" } else { " " };
        table.push(vec![
            Cell::link(&leave.unit, "", unit_anchor(evidence, &leave.unit)),
            shown.instant_or_dash(leave.goals_met).into(),
            shown.instant_or_dash(leave.capacity).into(),
            format!("{}{space}{}", leave.text, leave.assumption).into(),
            shown::rows(shown.words, &leave.rows, 4).into(),
        ]);
    }
    if evidence.earliest_leaves.iter().all(|leave| leave.capacity.is_none()) {
        table.remove_column(2);
    }
    if table.rows.is_empty() { None } else { Some(table) }
}

/// Exposure of logged surfaces, a group a surface and a row a class; `None` without one.
pub(super) fn mould(evidence: &Evidence, shown: &Shown) -> Option<Table> {
    let mut table = Table::new(
        say!(shown.words, "outlook.mould_exposure_of_logged_surfaces_0"),
        vec![
            text_column(say!(shown.words, "outlook.class_of_material"), 280.0),
            number_column(say!(shown.words, "outlook.highest_index"), 70.0),
            number_column(say!(shown.words, "outlook.index_at_the_end"), 70.0),
        ],
    );
    for exposure in &evidence.mould {
        let detail = say!(
            shown.words,
            "outlook.of_at_or_above_the_critical",
            to = shown.span(exposure.from, Some(exposure.to)),
            hours_above_critical = shown::hours(shown.words, exposure.hours_above_critical),
            exposure = shown::hours(shown.words, exposure.hours),
            highest_rh_pct = trimmed(shown.words, exposure.highest_rh_pct, 1)
        );
        table.push_group(None, &exposure.label, detail);
        for class in &exposure.classes {
            table.push(vec![
                Cell::from(&class.class),
                trimmed(shown.words, class.highest, 2).into(),
                trimmed(shown.words, class.last, 2).into(),
            ]);
        }
        if !table.notes.contains(&exposure.caution) {
            table.notes.push(exposure.caution.clone());
        }
    }
    if table.rows.is_empty() { None } else { Some(table) }
}
