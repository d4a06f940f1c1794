//! The suite's scenarios: every one runs for its seeds, differs from seed to seed, and holds what it is named for.

#![allow(clippy::unwrap_used, reason = "what fails here fails a test")]

use std::time::Instant;

use grainfall_simulate::scenario::Event;
use grainfall_simulate::truth::Verdict;
use grainfall_simulate::{Made, scenarios};

#[test]
fn every_scenario_runs_for_its_seeds_and_balances_its_water() {
    for suite in scenarios::SUITE {
        let mut titles = Vec::new();
        for seed in 1..=3 {
            let started = Instant::now();
            let made = Made::from_scenario((suite.make)(seed).unwrap()).unwrap_or_else(|error| panic!("{error}"));
            // Ten times what a house takes on an idle machine.
            assert!(started.elapsed().as_secs_f64() < 3.0, "{} {seed}: {:?}", suite.name, started.elapsed());
            let balance = made.simulation.balance();
            assert!(balance.residual_kg().abs() < 1e-9 * balance.removed_kg, "{} {seed}", suite.name);
            assert!(balance.removed_kg > 1.0, "{} {seed}: {} kg", suite.name, balance.removed_kg);
            titles.push(format!("{:?}", made.simulation.scenario().points));
        }
        titles.dedup();
        assert_eq!(titles.len(), 3, "{}: seeds give the same building", suite.name);
    }
}

#[test]
fn the_same_seed_gives_the_same_job() {
    for suite in scenarios::SUITE {
        assert_eq!((suite.make)(7).unwrap(), (suite.make)(7).unwrap(), "{}", suite.name);
    }
}

fn count(
    made: fn(u64) -> Result<grainfall_simulate::Scenario, grainfall_simulate::Error>,
    which: fn(&Event) -> bool,
) -> usize {
    (1..=5).map(|seed| made(seed).unwrap().events.iter().filter(|event| which(event)).count()).sum()
}

/// Longer than people take to come in and go out.
fn long(event: &Event) -> bool {
    matches!(event, Event::ChamberOpened { from, to, .. } if (*to - *from).num_minutes() > 60)
}

#[test]
fn scenarios_hold_the_events_they_are_named_for() {
    assert!(count(scenarios::outage, |event| matches!(event, Event::UnitStopped { .. })) >= 10);
    assert!(count(scenarios::opened_chamber, long) >= 10);
    assert!(count(scenarios::rewetting, |event| matches!(event, Event::Rewetted { .. })) >= 10);
    let unplanned = |event: &Event| !matches!(event, Event::ChamberOpened { .. }) || long(event);
    assert_eq!(count(scenarios::clean, unplanned), 0);
    let ahead = scenarios::clock_faults(1).unwrap().loggers.iter().filter(|logger| logger.clock_ahead_s != 0).count();
    assert!(ahead >= 1);
    let swapped = scenarios::biased_and_swapped(1)
        .unwrap()
        .loggers
        .iter()
        .filter(|logger| logger.stated != logger.source)
        .count();
    assert_eq!(swapped, 4, "two pairs");
    let days = |scenario| Made::from_scenario(scenario).unwrap().truth.days;
    assert!(days(scenarios::left_too_long(1).unwrap())[&Verdict::NotNeeded] > 0);
    assert!(days(scenarios::missing_days(1).unwrap())[&Verdict::NotShown] > 0);
    assert_eq!(days(scenarios::unreachable_goal(1).unwrap())[&Verdict::NotNeeded], 0);
}
