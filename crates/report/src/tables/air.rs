//! Tables of the air.

use grainfall_analysis::evidence::{DifferenceKind, Evidence, SourceRow, Spread};

use super::sheet::{Field, Sheet, date, instant, maybe, maybe_text, maybe_yes_no, number, text, whole, yes_no};
use crate::model::shown::Shown;

/// Daily values of each air.
pub(super) fn daily_air(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet = Sheet::new(
        "daily_air",
        shown.units,
        &[
            "date",
            "air",
            "place",
            "chamber",
            "unit",
            "logger",
            "sample_share",
            "samples",
            "air_temp_mean_{temp}",
            "air_temp_min_{temp}",
            "air_temp_max_{temp}",
            "rh_mean_pct",
            "rh_min_pct",
            "rh_max_pct",
            "humidity_ratio_mean_{ratio}",
            "humidity_ratio_min_{ratio}",
            "humidity_ratio_max_{ratio}",
            "humidity_ratio_mean_u_k2_{ratio}",
            "dew_point_mean_{temp}",
            "dew_point_min_{temp}",
            "dew_point_max_{temp}",
            "vapour_pressure_mean_{pressure}",
            "vapour_pressure_min_{pressure}",
            "vapour_pressure_max_{pressure}",
            "enthalpy_mean_kj_per_kg",
            "enthalpy_min_kj_per_kg",
            "enthalpy_max_kj_per_kg",
            "enthalpy_mean_u_k2_kj_per_kg",
            "first_file",
            "first_row",
            "last_file",
            "last_row",
        ],
    );
    let units = shown.units;
    for air in &evidence.daily_air {
        let mut row = vec![
            date(air.date),
            text(&air.label),
            text(air.place.word()),
            maybe_text(air.chamber.as_ref()),
            maybe_text(air.unit.as_ref()),
            maybe_text(evidence.loggers.get(air.logger).map(|logger| &logger.logger)),
            number(air.sample_share, 4),
            whole(air.samples),
        ];
        row.extend(spread(air.air_temp_c, 3, |v| units.temp(v)));
        row.extend(spread(air.rh_pct, 3, |v| v));
        row.extend(spread(air.gpp, 4, |v| units.humidity_ratio(v)));
        row.push(maybe(air.u_gpp.map(|v| units.humidity_ratio(v)), 4));
        row.extend(spread(air.dew_point_c, 3, |v| units.temp(v)));
        row.extend(spread(air.vapour_pressure_pa, 5, |v| units.vapour_pressure(v)));
        row.extend(spread(air.enthalpy_kj_kg, 3, |v| v));
        row.push(maybe(air.u_enthalpy_kj_kg, 3));
        row.extend(source(air.rows.as_ref().map(|(first, _)| first)));
        row.extend(source(air.rows.as_ref().map(|(_, last)| last)));
        sheet.rows.push(row);
    }
    sheet
}

/// Air across each unit, by day.
pub(super) fn daily_unit_air(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet = Sheet::new(
        "daily_unit_air",
        shown.units,
        &[
            "date",
            "unit",
            "inlet",
            "own_inlet",
            "outlet",
            "on_site_h",
            "running_h",
            "stopped_h",
            "paused_h",
            "depression_mean_{ratio}",
            "depression_u_k2_{ratio}",
            "within_uncertainty",
            "inlet_mean_{ratio}",
            "excess_left_share",
            "against_load",
            "water_{water}",
            "water_u_k2_{water}",
            "sample_share",
        ],
    );
    let units = shown.units;
    for unit in &evidence.unit_air {
        for day in &unit.daily {
            sheet.rows.push(vec![
                date(day.date),
                text(&unit.unit),
                super::sheet::texts(&unit.inlet),
                yes_no(unit.own_inlet),
                maybe_text(unit.outlet.as_ref()),
                number(day.on_site_h, 4),
                number(day.running_h, 4),
                number(day.stopped_h, 4),
                number(day.paused_h, 4),
                maybe(day.depression_gpp.map(|v| units.humidity_ratio(v)), 4),
                maybe(day.u_depression_gpp.map(|v| units.humidity_ratio(v)), 4),
                maybe_yes_no(day.within_uncertainty),
                maybe(day.inlet_gpp.map(|v| units.humidity_ratio(v)), 4),
                maybe(day.excess_left, 4),
                text(day.against_load.words()),
                maybe(day.water_kg.map(|v| units.water(v)), 4),
                maybe(day.u_water_kg.map(|v| units.water(v)), 4),
                number(day.sample_share, 4),
            ]);
        }
    }
    sheet
}

/// Condensate measured by hand beside the water computed over the same stretch.
pub(super) fn condensate(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet = Sheet::new(
        "condensate",
        shown.units,
        &["unit", "from", "to", "measured_{water}", "computed_{water}", "computed_u_k2_{water}", "row"],
    );
    let units = shown.units;
    for unit in &evidence.unit_air {
        for one in &unit.condensate {
            sheet.rows.push(vec![
                text(&unit.unit),
                instant(shown, one.from),
                instant(shown, one.to),
                number(units.water(one.measured_kg), 4),
                maybe(one.water_kg.map(|v| units.water(v)), 4),
                maybe(one.u_water_kg.map(|v| units.water(v)), 4),
                text(crate::model::shown::row(&one.row)),
            ]);
        }
    }
    sheet
}

/// Daily differences between airs.
pub(super) fn differences(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet = Sheet::new(
        "differences",
        shown.units,
        &["date", "chamber", "difference", "mean_{ratio}", "u_k2_{ratio}", "within_uncertainty", "sample_share"],
    );
    for difference in &evidence.daily_differences {
        sheet.rows.push(vec![
            date(difference.date),
            text(&difference.chamber),
            text(match difference.kind {
                DifferenceKind::AffectedMinusUnaffected => "affected minus unaffected",
                DifferenceKind::AffectedMinusOutdoor => "affected minus outdoor",
            }),
            number(shown.units.humidity_ratio(difference.mean_gpp), 4),
            number(shown.units.humidity_ratio(difference.u_gpp), 4),
            yes_no(difference.within_uncertainty),
            number(difference.sample_share, 4),
        ]);
    }
    sheet
}

/// Air readings by hand.
pub(super) fn hand_air(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet = Sheet::new(
        "hand_air",
        shown.units,
        &[
            "time",
            "place",
            "chamber",
            "unit",
            "air_temp_{temp}",
            "rh_pct",
            "humidity_ratio_{ratio}",
            "dew_point_{temp}",
            "instrument",
            "by",
            "file",
            "row",
        ],
    );
    let units = shown.units;
    for air in &evidence.hand_air {
        let mut row = vec![
            instant(shown, air.time),
            text(air.place.word()),
            maybe_text(air.chamber.as_ref()),
            maybe_text(air.unit.as_ref()),
            number(units.temp(air.air_temp_c), 3),
            number(air.rh_pct, 3),
            number(units.humidity_ratio(air.gpp), 4),
            number(units.temp(air.dew_point_c), 3),
            maybe_text(air.instrument.as_ref()),
            maybe_text(air.by.as_ref()),
        ];
        row.extend(source(Some(&air.row)));
        sheet.rows.push(row);
    }
    sheet
}

fn spread(spread: Option<Spread>, decimals: usize, convert: impl Fn(f64) -> f64) -> [Field; 3] {
    let part = |value: fn(Spread) -> f64| maybe(spread.map(|s| convert(value(s))), decimals);
    [part(|s| s.mean), part(|s| s.min), part(|s| s.max)]
}

/// File and line of a row.
pub(super) fn source(row: Option<&SourceRow>) -> [Field; 2] {
    match row {
        Some(row) => [text(&row.file), whole(row.row)],
        None => [Field::Empty, Field::Empty],
    }
}
