//! Every kind of finding, proved twice: by a record of which it is known from outside whether the fact is in it, and by logs
//! that others measured. A new kind needs a line in the list below; without it, or without either of its two proofs, nothing
//! here passes.
//!
//! The list's lines name the two functions of a kind. Truths come from `house` (the simulator, or a job that was changed
//! after it was simulated) or are written out by hand; open logs from `open`. `proof` compares: what is due must be found,
//! with its subject and ends, and nothing else of the kind. Where the open logs are not there their half is skipped with a
//! message.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "the findings belong into the output of the test")]
#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

mod air;
mod clocks;
mod days;
mod house;
mod literals;
mod open;
mod places;
mod points;
mod proof;
mod readings;
mod record;
mod sensors;
mod surfaces;
mod units;
mod whole_lists;

#[path = "../shared/dowel.rs"]
mod dowel;

use std::collections::BTreeSet;

use grainfall_analysis::evidence::FindingKind;

/// Makes the two tests of every kind, and the list of the kinds that have them.
macro_rules! kinds {
    ($($name:ident $kind:ident: $of:ident::$truth:ident, $with:ident::$open:ident;)*) => {
        const KINDS: &[FindingKind] = &[$(FindingKind::$kind),*];

        $(mod $name {
            use grainfall_analysis::evidence::FindingKind;

            #[test]
            fn by_truth() {
                super::proof::by_truth(FindingKind::$kind, super::$of::$truth());
            }

            #[test]
            fn by_open_logs() {
                super::proof::by_open_logs(FindingKind::$kind, super::$with::$open());
            }
        })*
    };
}

kinds! {
    logger_unplaced LoggerUnplaced: record::unplaced, record::unplaced_open;
    logger_gap LoggerGap: record::gap, record::gap_open;
    logger_silent LoggerSilent: record::silent, record::silent_open;
    samples_refused SamplesRefused: record::refused, record::refused_open;
    rows_contradict RowsContradict: record::contradicting, record::contradicting_open;
    logger_frozen LoggerFrozen: sensors::frozen, sensors::frozen_open;
    logger_dead LoggerDead: sensors::dead, sensors::dead_open;
    logger_bias LoggerBias: sensors::bias, sensors::bias_open;
    logger_misplaced LoggerMisplaced: places::misplaced, places::misplaced_open;
    loggers_swapped LoggersSwapped: places::swapped, places::swapped_open;
    clock_reset ClockReset: clocks::reset, clocks::reset_open;
    clock_offset ClockOffset: clocks::offset, clocks::offset_open;
    unit_stopped UnitStopped: units::stopped, units::stopped_open;
    hour_meter_differs HourMeterDiffers: units::meter_differs, units::meter_differs_open;
    hour_meter_backwards HourMeterBackwards: units::meter_backwards, units::meter_backwards_open;
    pause_contradicted PauseContradicted: units::pause_contradicted, units::pause_contradicted_open;
    condensate_outside_stay CondensateOutsideStay: units::condensate, units::condensate_open;
    outside_working_range OutsideWorkingRange: units::working_range, units::working_range_open;
    air_movers_in_category_3 AirMoversInCategory3: units::air_movers, units::air_movers_open;
    day_without_reading DayWithoutReading: days::unread, days::unread_open;
    readings_stop_early ReadingsStopEarly: days::stop_early, days::stop_early_open;
    equipment_after_goals EquipmentAfterGoals: days::after_goals, days::after_goals_open;
    billed_differs BilledDiffers: days::billed, days::billed_open;
    reopened Reopened: points::reopened, points::reopened_open;
    rewetting Rewetting: points::rewetting, points::rewetting_open;
    stall Stall: points::stall, points::stall_open;
    goal_below_equilibrium GoalBelowEquilibrium: points::unreachable, points::unreachable_open;
    over_dried OverDried: points::over_dried, points::over_dried_open;
    point_ended PointEnded: points::ended, points::ended_open;
    meter_changed MeterChanged: readings::meter_changed, readings::meter_changed_open;
    scale_not_of_goal ScaleNotOfGoal: readings::other_scale, readings::other_scale_open;
    reading_implausible ReadingImplausible: readings::implausible, readings::implausible_open;
    air_stays_wetter AirStaysWetter: air::stays_wetter, air::stays_wetter_open;
    chamber_opened ChamberOpened: air::opened, air::opened_open;
    surface_at_dew_point SurfaceAtDewPoint: surfaces::at_dew_point, surfaces::at_dew_point_open;
    surface_near_dew_point SurfaceNearDewPoint: surfaces::near_dew_point, surfaces::near_dew_point_open;
    surface_above_critical SurfaceAboveCritical: surfaces::above_critical, surfaces::above_critical_open;
}

/// The kinds there are, by the published form of a finding.
#[test]
fn every_kind_is_proved_by_a_truth_and_by_open_logs() {
    let schema = schemars::schema_for!(FindingKind).to_value();
    let names = |key: &str| schema[key].as_array().cloned().unwrap_or_default();
    let all: BTreeSet<String> = names("oneOf").iter().map(|one| one["const"].as_str().unwrap().to_owned()).collect();
    assert!(all.len() >= 37, "{schema}");
    let name = |kind: &FindingKind| serde_json::to_value(kind).unwrap().as_str().unwrap().to_owned();
    let proved: BTreeSet<String> = KINDS.iter().map(name).collect();
    assert_eq!(proved.len(), KINDS.len(), "a kind stands twice in the list");
    let lacking: Vec<&String> = all.difference(&proved).collect();
    assert!(lacking.is_empty(), "kinds without proof: {lacking:?}");
}
