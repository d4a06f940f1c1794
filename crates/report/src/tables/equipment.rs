//! Tables of equipment.

use grainfall_analysis::evidence::{EquipmentTotals, Evidence, RunState};

use super::sheet::{
    Field, Sheet, instant, maybe, maybe_instant, maybe_text, maybe_yes_no, number, rows, text, texts, whole, yes_no,
};
use crate::UnitSystem;
use crate::model::equipment::run_hours;
use crate::model::shown::Shown;

/// Every equipment-day.
pub(super) fn equipment_days(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet = Sheet::new(
        "equipment_days",
        shown.units,
        &[
            "unit",
            "asset",
            "kind",
            "purpose",
            "judged",
            "chambers",
            "points",
            "stay",
            "stay_placed",
            "stay_removed",
            "day",
            "from",
            "to",
            "hours",
            "verdict",
            "why",
            "read_at",
            "load_points",
            "running_h",
            "did_not_run_h",
            "paused_h",
            "not_shown_h",
            "depression_mean_{ratio}",
            "depression_u_k2_{ratio}",
            "within_uncertainty",
            "water_{water}",
            "water_u_k2_{water}",
            "rows",
        ],
    );
    let units = shown.units;
    for unit in &evidence.equipment {
        for (index, stay) in unit.stays.iter().enumerate() {
            for day in &stay.days {
                let effect = day.effect.as_ref();
                sheet.rows.push(vec![
                    text(&unit.unit),
                    maybe_text(unit.asset.as_ref()),
                    text(&unit.kind),
                    text(&unit.purpose),
                    yes_no(unit.judged),
                    texts(&stay.chambers),
                    texts(&stay.points),
                    whole(index as u64 + 1),
                    instant(shown, stay.placed),
                    maybe_instant(shown, stay.removed),
                    whole(day.number),
                    instant(shown, day.from),
                    instant(shown, day.to),
                    number(day.hours, 4),
                    text(day.verdict.words()),
                    text(&day.why),
                    maybe_instant(shown, day.read_at),
                    texts(&day.load_points),
                    maybe(effect.map(|e| e.running_h), 4),
                    maybe(effect.map(|e| e.did_not_run_h), 4),
                    maybe(effect.map(|e| e.paused_h), 4),
                    maybe(effect.map(|e| e.not_shown_h), 4),
                    maybe(effect.and_then(|e| e.depression_gpp).map(|v| units.humidity_ratio(v)), 4),
                    maybe(effect.and_then(|e| e.u_depression_gpp).map(|v| units.humidity_ratio(v)), 4),
                    maybe_yes_no(effect.and_then(|e| e.within_uncertainty)),
                    maybe(effect.and_then(|e| e.water_kg).map(|v| units.water(v)), 4),
                    maybe(effect.and_then(|e| e.u_water_kg).map(|v| units.water(v)), 4),
                    rows(&day.rows),
                ]);
            }
        }
    }
    sheet
}

/// Every stay with its equipment-days beside the days billed for it.
pub(super) fn equipment_stays(evidence: &Evidence, shown: &Shown) -> Sheet {
    let header = [
        "unit",
        "stay",
        "chambers",
        "points",
        "stay_placed",
        "stay_removed",
        "hours",
        "recorded_days",
        "needed_days",
        "not_needed_days",
        "not_shown_days",
        "not_judged_days",
        "billed_days",
        "billed_minus_recorded_days",
        "rows",
    ];
    let mut sheet = Sheet::new("equipment_stays", shown.units, &header);
    for unit in &evidence.equipment {
        for (index, stay) in unit.stays.iter().enumerate() {
            let totals = EquipmentTotals::of(std::slice::from_ref(stay));
            sheet.rows.push(vec![
                text(&unit.unit),
                whole(index as u64 + 1),
                texts(&stay.chambers),
                texts(&stay.points),
                instant(shown, stay.placed),
                maybe_instant(shown, stay.removed),
                number(totals.hours, 4),
                whole(totals.recorded_days),
                whole(totals.needed),
                whole(totals.not_needed),
                whole(totals.not_shown),
                whole(totals.not_judged),
                maybe(stay.billed.as_ref().map(|billed| billed.billed_days), 4),
                maybe(stay.billed.as_ref().map(|billed| billed.difference_days), 4),
                rows(&stay.rows),
            ]);
        }
    }
    sheet
}

/// Hour meters read by hand beside the running hours of the air.
pub(super) fn hour_meters(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet =
        Sheet::new("hour_meters", shown.units, &["unit", "from", "to", "meter_h", "running_h", "not_shown_h", "rows"]);
    for one in &evidence.hour_meters {
        sheet.rows.push(vec![
            text(&one.unit),
            instant(shown, one.from),
            instant(shown, one.to),
            number(one.meter_h, 4),
            number(one.running_h, 4),
            number(one.not_shown_h, 4),
            rows(&one.rows),
        ]);
    }
    sheet
}

/// Recorded pauses.
pub(super) fn pauses(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet = Sheet::new("pauses", shown.units, &["units", "from", "to", "reason", "row"]);
    for pause in &evidence.pauses {
        sheet.rows.push(vec![
            super::sheet::texts(&pause.units),
            instant(shown, pause.from),
            instant(shown, pause.to),
            text(&pause.reason),
            rows(std::slice::from_ref(&pause.row)),
        ]);
    }
    sheet
}

/// Totals per kind, then per unit; recorded beside billed.
pub(super) fn equipment_totals(evidence: &Evidence) -> Sheet {
    let mut sheet = Sheet::new(
        "equipment_totals",
        UnitSystem::Us,
        &[
            "total_of",
            "unit",
            "kind",
            "units",
            "recorded_days",
            "needed_days",
            "not_needed_days",
            "not_shown_days",
            "not_judged_days",
            "needed_did_not_run_days",
            "needed_did_not_run_h",
            "on_site_h",
            "billed_days",
            "recorded_days_of_billed",
            "billed_minus_recorded_days",
        ],
    );
    for kind in &evidence.equipment_totals {
        let mut row = vec![text("kind"), Field::Empty, text(&kind.kind), whole(kind.units)];
        row.extend(totals(&kind.totals));
        row.push(maybe(kind.billed_days, 4));
        row.push(kind.billed_days.map_or(Field::Empty, |_| whole(kind.recorded_days_of_billed)));
        row.push(maybe(kind.billed_days.map(|days| days - f64::from(kind.recorded_days_of_billed)), 4));
        sheet.rows.push(row);
    }
    for unit in &evidence.equipment {
        let mut row = vec![text("unit"), text(&unit.unit), text(&unit.kind), whole(1_u64)];
        row.extend(totals(&unit.totals));
        row.push(maybe(unit.billed.as_ref().map(|billed| billed.billed_days), 4));
        row.push(unit.billed.as_ref().map_or(Field::Empty, |billed| whole(billed.recorded_days)));
        row.push(maybe(unit.billed.as_ref().map(|billed| billed.difference_days), 4));
        sheet.rows.push(row);
    }
    sheet
}

fn totals(totals: &EquipmentTotals) -> [Field; 8] {
    [
        whole(totals.recorded_days),
        whole(totals.needed),
        whole(totals.not_needed),
        whole(totals.not_shown),
        whole(totals.not_judged),
        whole(totals.did_not_run_days),
        number(totals.did_not_run_h, 4),
        number(totals.hours, 4),
    ]
}

/// Running states of each dehumidifier.
pub(super) fn runs(evidence: &Evidence, shown: &Shown) -> Sheet {
    let mut sheet = Sheet::new("runs", shown.units, &["unit", "from", "to", "hours", "state", "rows"]);
    for unit in &evidence.unit_air {
        for run in &unit.runs {
            sheet.rows.push(vec![
                text(&unit.unit),
                instant(shown, run.from),
                instant(shown, run.to),
                number(run_hours(run), 4),
                text(match run.state {
                    RunState::Running => "running",
                    RunState::Stopped => "stopped",
                    RunState::Paused => "paused",
                    RunState::NotShown => "not shown",
                }),
                rows(&run.rows),
            ]);
        }
    }
    sheet
}
