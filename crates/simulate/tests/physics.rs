//! The true building: its water balance, its determinism, and what physics asks of it.

#![allow(clippy::unwrap_used, reason = "what fails here fails a test")]

mod common;

use chrono::TimeDelta;
use common::{at, larch, larch_with};
use grainfall_simulate::generate::{Size, scenario};
use grainfall_simulate::scenario::{AirSource, Event, Machine};
use grainfall_simulate::{Made, Simulation};
use proptest::prelude::*;

fn chamber(id: &str) -> AirSource {
    AirSource::Chamber(id.to_owned())
}

fn depression_gpp(simulation: &Simulation, unit: &str, time: chrono::DateTime<chrono::Utc>) -> f64 {
    let inlet = simulation.air(&AirSource::Inlet(unit.to_owned()), time).gpp();
    inlet - simulation.air(&AirSource::Outlet(unit.to_owned()), time).gpp()
}

/// The balance closes to rounding: 1e-9 of the water removed is a millionth of a gram or so.
fn assert_balanced(simulation: &Simulation) {
    let balance = simulation.balance();
    assert!(balance.removed_kg > 1.0, "{balance:?}");
    assert!(balance.residual_kg().abs() <= 1e-9 * balance.removed_kg, "{balance:?} leaves {}", balance.residual_kg());
}

#[test]
fn all_the_water_of_the_sample_job_is_accounted_for() {
    assert_balanced(&Simulation::run(larch()).unwrap());
}

#[test]
fn all_the_water_is_accounted_for_when_a_point_is_wetted_again_and_a_chamber_stands_open() {
    let made = larch_with(|scenario| {
        scenario.events.push(Event::Rewetted { point: "P3".to_owned(), at: at("10 15:00"), water_kg_m2: 1.2 });
        scenario.events.push(Event::ChamberOpened {
            chamber: "A".to_owned(),
            from: at("09 12:00"),
            to: at("09 14:00"),
            ach_1_h: 6.0,
        });
    });
    // P3 stands for 9 m2.
    assert!((made.simulation.balance().rewetted_kg - 10.8).abs() < 1e-9);
    assert_balanced(&made.simulation);
}

#[test]
fn a_shorter_step_changes_little() {
    // An explicit scheme of first order: a step three times shorter must leave the answer within a small part of it.
    let coarse = larch_with(|scenario| scenario.step_s = 30);
    let fine = larch_with(|scenario| scenario.step_s = 10);
    let removed = |made: &Made| made.simulation.balance().removed_kg;
    assert!((removed(&coarse) / removed(&fine) - 1.0).abs() < 2e-3, "{} and {}", removed(&coarse), removed(&fine));
    for point in &larch().points {
        let last = |made: &Made| *made.simulation.moisture_pct(&point.id).last().unwrap();
        assert!((last(&coarse) - last(&fine)).abs() < 0.02, "{}: {} and {}", point.id, last(&coarse), last(&fine));
    }
}

#[test]
fn a_dehumidifier_has_a_depression_while_it_runs_and_none_soon_after_it_stops() {
    let simulation = Simulation::run(larch()).unwrap();
    for (unit, from, to) in
        [("D1", "06 11:20", "08 02:09"), ("D1", "08 07:45", "13 11:34"), ("D2", "06 11:45", "12 10:39")]
    {
        let mut time = at(from);
        while time <= at(to) {
            let depression = depression_gpp(&simulation, unit, time);
            assert!((0.5..60.0).contains(&depression), "{unit} at {time}: {depression} gr/lb");
            let warmer = simulation.air(&AirSource::Outlet(unit.to_owned()), time).temp_c
                - simulation.air(&AirSource::Inlet(unit.to_owned()), time).temp_c;
            assert!((2.0..30.0).contains(&warmer), "{unit} at {time}: {warmer} K");
            time += TimeDelta::minutes(7);
        }
    }
    // Twenty minutes after the stop at 02:10 five relaxation times are over: exp(-5) is 0.7 %.
    let before = depression_gpp(&simulation, "D1", at("08 02:09"));
    let after = depression_gpp(&simulation, "D1", at("08 02:30"));
    assert!(after.abs() < 0.1 * before, "{before} before, {after} after");
    let removed = simulation.removed_kg("D1", at("08 02:10"), at("08 07:30"));
    assert!(removed.abs() < 1e-12, "{removed} kg removed by a machine that stands still");
}

#[test]
fn a_stop_makes_the_chamber_wetter_and_a_restart_dries_it_again() {
    let simulation = Simulation::run(larch()).unwrap();
    let gpp = |time| simulation.air(&chamber("A"), at(time)).gpp();
    assert!(gpp("08 07:29") > gpp("08 02:09") + 3.0);
    assert!(gpp("08 12:00") < gpp("08 07:29") - 3.0);
}

#[test]
fn an_open_chamber_takes_on_the_outdoor_air() {
    let made = larch_with(|scenario| {
        scenario.events.push(Event::ChamberOpened {
            chamber: "A".to_owned(),
            from: at("09 06:00"),
            to: at("09 08:00"),
            ach_1_h: 12.0,
        });
    });
    let still = Simulation::run(larch()).unwrap();
    let gap = |simulation: &Simulation| {
        let time = at("09 07:30");
        (simulation.air(&chamber("A"), time).gpp() - simulation.air(&AirSource::Outdoor, time).gpp()).abs()
    };
    assert!(gap(&made.simulation) < 0.6 * gap(&still), "{} open, {} closed", gap(&made.simulation), gap(&still));
}

#[test]
fn materials_dry_towards_their_air_and_reference_points_stay() {
    let simulation = Simulation::run(larch()).unwrap();
    for id in ["P1", "P2", "P3", "P4", "P5"] {
        let moisture = simulation.moisture_pct(id);
        let start = simulation.minute(at("06 12:00"));
        let end = simulation.minute(at("13 10:00"));
        assert!(moisture[start..=end].windows(2).all(|pair| pair[1] < pair[0] + 1e-3), "{id} does not fall");
    }
    for id in ["R1", "R2"] {
        let moisture = simulation.moisture_pct(id);
        let (low, high) =
            moisture.iter().fold((f64::MAX, f64::MIN), |(low, high), pct| (low.min(*pct), high.max(*pct)));
        assert!(high - low < 0.3, "{id} moves from {low} to {high}");
    }
}

#[test]
fn wet_surfaces_lie_between_the_wet_bulb_and_the_air() {
    use grainfall_psychrometrics::{Celsius, HumidityRatio, Pascals, WetBulbBranch, wet_bulb};
    let simulation = Simulation::run(larch()).unwrap();
    let time = at("06 16:00");
    let air = simulation.air(&chamber("A"), time);
    let surface = simulation.surface_temp_c("P2", time);
    let wet = wet_bulb(
        Celsius::new(air.temp_c),
        HumidityRatio::new(air.humidity_ratio),
        Pascals::new(simulation.scenario().pressure_pa),
        WetBulbBranch::LiquidWick,
    )
    .unwrap();
    assert!((wet.get()..air.temp_c).contains(&surface), "{} < {surface} < {}", wet.get(), air.temp_c);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn generated_buildings_balance_and_stay_in_bounds(seed in any::<u64>(), days in 1_u32..5, points in 1_usize..12, units in 1_usize..9) {
        let made = Made::from_scenario(scenario(Size { days, points, units, interval_min: 15 }, seed).unwrap()).unwrap();
        let simulation = &made.simulation;
        let balance = simulation.balance();
        prop_assert!(balance.residual_kg().abs() <= 1e-9 * balance.removed_kg, "{balance:?}");
        for series in &simulation.states().moisture_pct {
            prop_assert!(series.iter().all(|pct| (0.0..60.0).contains(pct)));
        }
        for air in simulation.states().chambers.iter().flatten() {
            prop_assert!((0.0..102.0).contains(&air.rh_pct) && (5.0..50.0).contains(&air.temp_c), "{air:?}");
        }
        for (stay, removed) in simulation.scenario().stays.iter().zip(&simulation.states().removed_kg) {
            prop_assert!(removed.windows(2).all(|pair| pair[1] >= pair[0]), "{} gives water back", stay.unit);
            let takes = matches!(stay.machine, Machine::Dehumidifier(_));
            prop_assert_eq!(removed.last().unwrap() > &0.0, takes);
        }
    }

    #[test]
    fn a_scenario_gives_the_same_truth_and_the_same_files_twice(seed in any::<u64>()) {
        let size = Size { days: 2, points: 3, units: 3, interval_min: 30 };
        let make = || Made::from_scenario(scenario(size, seed).unwrap()).unwrap();
        let (first, second) = (make(), make());
        prop_assert_eq!(first.truth.to_json().unwrap(), second.truth.to_json().unwrap());
        let files = |made: &Made| grainfall_simulate::export::job_files(made.simulation.scenario(), &made.record);
        prop_assert_eq!(files(&first), files(&second));
    }
}
