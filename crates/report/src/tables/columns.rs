//! What a column holds, as its name says it: kind of value, and unit.

/// What the cells of a column are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Words.
    Text,
    /// `yes` or `no`.
    YesNo,
    /// A whole number.
    Whole,
    /// A number.
    Number,
    /// A civil day.
    Day,
    /// An instant with its offset.
    Instant,
}

/// A column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// What its cells are.
    pub kind: Kind,
    /// Unit of its numbers, in words.
    pub unit: Option<&'static str>,
}

/// The column of a name; words where no rule knows the name.
///
/// # Arguments
/// * `table`: the table it is in: a few names mean another thing in some.
#[must_use]
pub fn column(table: &str, name: &str) -> Column {
    let kind = match name {
        "units" if table != "equipment_totals" => Kind::Text,
        // File and line in one.
        "row" if matches!(table, "condensate" | "pauses") => Kind::Text,
        _ if YES_NO.contains(&name) => Kind::YesNo,
        _ if WHOLE.contains(&name) => Kind::Whole,
        _ if INSTANTS.contains(&name) => Kind::Instant,
        "date" => Kind::Day,
        _ if NUMBERS.contains(&name) => Kind::Number,
        _ if UNITS.iter().any(|unit| name.ends_with(unit.0)) && !TEXTS.contains(&name) => Kind::Number,
        _ => Kind::Text,
    };
    let unit = match kind {
        Kind::Number | Kind::Whole if name.starts_with("days_") => Some("day"),
        Kind::Number | Kind::Whole => UNITS.iter().find(|unit| name.ends_with(unit.0)).map(|unit| unit.1),
        _ => None,
    };
    Column { kind, unit }
}

/// Names end in their unit; the longer ending comes first.
const UNITS: [(&str, &str); 15] = [
    ("_scale_unit_per_day", "unit of the row's scale_unit, per day"),
    ("_scale_unit", "unit of the row's scale_unit"),
    ("_kj_per_kg", "kilojoule per kilogram of dry air"),
    ("_g_per_kg", "gram of water per kilogram of dry air"),
    ("_gpp", "grain of water per pound of dry air"),
    ("_inhg", "inch of mercury"),
    ("_kpa", "kilopascal"),
    ("_pints", "US liquid pint of water"),
    ("_litres", "litre of water"),
    ("_pct", "percent"),
    ("_days", "day"),
    ("_f", "degree Fahrenheit"),
    ("_c", "degree Celsius"),
    ("_h", "hour"),
    ("hours", "hour"),
];

const YES_NO: [&str; 13] = [
    "day_running",
    "decides",
    "highest_is_lower_bound",
    "judged",
    "logged",
    "meets_goal",
    "own_inlet",
    "present",
    "reference",
    "surface_temp_measured",
    "within_uncertainty",
    "caution",
    "by_pull_window",
];

const WHOLE: [&str; 16] = [
    "day",
    "stay",
    "number",
    "readings",
    "samples",
    "row",
    "first_row",
    "last_row",
    "recorded_days",
    "needed_days",
    "not_needed_days",
    "not_shown_days",
    "not_judged_days",
    "needed_did_not_run_days",
    "recorded_days_of_billed",
    "units",
];

const INSTANTS: [&str; 13] = [
    "time",
    "from",
    "to",
    "last_at",
    "read_at",
    "met_at",
    "ended_at",
    "stay_placed",
    "stay_removed",
    "earliest_80_pct",
    "latest_80_pct",
    "goals_met",
    "capacity_advice",
];

const NUMBERS: [&str; 8] = [
    "sample_share",
    "excess_left_share",
    "on_site",
    "called_for_low",
    "called_for_high",
    "index_highest",
    "index_last",
    "hours_above_critical",
];

/// Names that end like a unit and hold words.
const TEXTS: [&str; 1] = ["scale_unit"];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::UnitSystem;
    use crate::sample_evidence::{sample, stress};
    use crate::tables::all;
    use crate::tables::sheet::Field;

    #[test]
    fn every_cell_is_what_its_column_says() {
        for analysis in [sample(), stress()] {
            for units in UnitSystem::ALL {
                for sheet in all(&analysis.evidence, units).expect("tables") {
                    for (index, name) in sheet.header.iter().enumerate() {
                        let kind = column(sheet.name, name).kind;
                        for row in &sheet.rows {
                            let fits = match &row[index] {
                                Field::Empty => true,
                                Field::Text(text) => match kind {
                                    Kind::Text => true,
                                    Kind::YesNo => text == "yes" || text == "no",
                                    _ => false,
                                },
                                Field::Number(number) => match kind {
                                    Kind::Whole => number.parse::<u64>().is_ok(),
                                    Kind::Number => number.parse::<f64>().is_ok(),
                                    _ => false,
                                },
                                Field::Day(_) => kind == Kind::Day,
                                Field::Instant { .. } => kind == Kind::Instant,
                            };
                            assert!(fits, "{}.{name} is {kind:?}: {:?}", sheet.name, row[index]);
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn units_are_read_off_the_end_of_a_name() {
        assert_eq!(column("daily_air", "air_temp_mean_f").unit, Some("degree Fahrenheit"));
        assert_eq!(
            column("drying_rates", "rate_scale_unit_per_day").unit,
            Some("unit of the row's scale_unit, per day")
        );
        assert_eq!(column("forecasts", "days_low_80_pct"), Column { kind: Kind::Number, unit: Some("day") });
        assert_eq!(column("forecasts", "earliest_80_pct"), Column { kind: Kind::Instant, unit: None });
        assert_eq!(column("points", "why"), Column { kind: Kind::Text, unit: None });
    }
}
