//! Scenarios that cannot be are refused, and the messages say why.

#![allow(clippy::unwrap_used, reason = "what fails here fails a test")]

mod common;

use common::{at, larch};
use grainfall_simulate::generate::{self, Size};
use grainfall_simulate::scenario::{AirSource, Event, Scenario};
use grainfall_simulate::{Made, Simulation};

fn refusal(change: impl FnOnce(&mut Scenario)) -> String {
    let mut scenario = larch();
    change(&mut scenario);
    Simulation::run(scenario).unwrap_err().to_string()
}

#[test]
fn unknown_names_are_refused() {
    assert_eq!(
        refusal(|scenario| scenario.stays[0].chambers[0] = "C".to_owned()),
        "scenario `larch-street`: unit `D1` names the chamber `C`, which the scenario does not have"
    );
    assert_eq!(
        refusal(|scenario| scenario.points[0].meter = "M7".to_owned()),
        "scenario `larch-street`: point `P1` names the meter `M7`, which the scenario does not have"
    );
    assert_eq!(
        refusal(|scenario| scenario.loggers[0].source = AirSource::Outlet("D9".to_owned())),
        "scenario `larch-street`: logger `G-1041` names the unit `D9`, which the scenario does not have"
    );
    assert_eq!(
        refusal(|scenario| scenario.exports[0].loggers.push("Z1".to_owned())),
        "scenario `larch-street`: export `loggers/outdoor.csv` names the logger `Z1`, which the scenario does not have"
    );
    assert_eq!(
        refusal(|scenario| scenario.visits[0].readings[0].point = "Q1".to_owned()),
        "scenario `larch-street`: the visit at 2025-10-06 14:38:00 UTC names the point `Q1`, which the scenario does not have"
    );
}

#[test]
fn impossible_times_are_refused() {
    assert_eq!(
        refusal(|scenario| scenario.step_s = 7),
        "scenario `larch-street`: a step of 7 s does not divide a minute: use 60, 30, 20, 15, 12 or 10"
    );
    assert_eq!(
        refusal(|scenario| scenario.stays[0].removed = Some(at("06 11:00"))),
        "scenario `larch-street`: unit `D1` must be placed and removed on whole minutes, in this order, inside the simulated time"
    );
    assert_eq!(
        refusal(|scenario| {
            let again = scenario.stays[0].clone();
            scenario.stays.push(again);
        }),
        "scenario `larch-street`: stays of unit `D1` overlap"
    );
    assert_eq!(
        refusal(|scenario| scenario.visits.swap(0, 1)),
        "scenario `larch-street`: the visit at 2025-10-06 14:38:00 UTC must lie on a whole minute, after the visit before it, \
         inside the simulated time"
    );
    assert!(
        refusal(|scenario| scenario.events.push(Event::UnitStopped {
            unit: "D1".to_owned(),
            from: at("08 08:00"),
            to: at("08 07:00"),
        }))
        .ends_with("is not a time inside the simulated time that runs forward")
    );
}

#[test]
fn impossible_numbers_are_refused() {
    assert_eq!(
        refusal(|scenario| scenario.points[0].open_share = 0.0),
        "scenario `larch-street`: point `P1` needs an area, a dry mass and a core time above 0, a skin share between 0 and 1 \
         and an open share above 0 and at most 1"
    );
    assert_eq!(
        refusal(|scenario| scenario.chambers[0].volume_m3 = 0.0),
        "scenario `larch-street`: chamber `A` needs a volume, a heat capacity and a number of air movers above 0"
    );
    assert_eq!(
        refusal(|scenario| scenario.meters[0].accuracy = 0.1),
        "scenario `larch-street`: meter `M1` needs an accuracy above its resolution, and that above 0"
    );
    assert_eq!(
        refusal(|scenario| scenario.loggers[0].interval_min = 0),
        "scenario `larch-street`: logger `G-1041` needs an interval of at least one minute"
    );
    assert_eq!(
        refusal(|scenario| scenario.points.push(scenario.points[0].clone())),
        "scenario `larch-street`: point `P1` appears twice"
    );
}

#[test]
fn a_step_that_would_swing_is_refused() {
    let message = refusal(|scenario| {
        scenario.step_s = 60;
        scenario.chambers[1].volume_m3 = 2.0;
    });
    assert!(message.starts_with("scenario `larch-street`: `air of chamber B` changes by "), "{message}");
    assert!(
        message.ends_with(
            "of its distance to equilibrium in one step of 60 s, at most 0.5 is accepted: use a shorter step"
        ),
        "{message}"
    );
}

#[test]
fn a_building_that_leaves_the_equations_says_so() {
    let message = refusal(|scenario| scenario.pressure_pa = 1000.0);
    assert!(message.starts_with("the building left what the equations cover: "), "{message}");
}

#[test]
fn a_size_of_nothing_is_refused() {
    let size = Size { days: 1, points: 0, units: 1, interval_min: 15 };
    assert_eq!(
        generate::scenario(size, 3).unwrap_err().to_string(),
        "scenario `generated-3`: Size { days: 1, points: 0, units: 1, interval_min: 15 } holds a 0: days, points, units and \
         interval are at least 1"
    );
}

#[test]
fn a_folder_that_cannot_be_written_is_named() {
    let file = std::env::temp_dir().join(format!("grainfall-simulate-{}-in-the-way", std::process::id()));
    std::fs::write(&file, "a file where a folder should be").unwrap();
    let made = Made::from_scenario(larch()).unwrap();
    let message = made.write(&file).unwrap_err().to_string();
    std::fs::remove_file(&file).unwrap();
    let expected = format!("cannot write `{}", file.join("larch-street").join("job.toml").display());
    assert!(message.starts_with(&expected), "{message}");
}
