//! A sceptical reader's checks over every simulated job.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]
#![allow(clippy::print_stderr, reason = "the counts belong into the test's output")]

use grainfall_analysis::evidence::DayVerdict;
use grainfall_simulate::scenarios::{SUITE, named};
use grainfall_simulate::{Made, Scenario, export};
use grainfall_tests::claims::broken;
use grainfall_tests::judge;

/// Houses of each scenario of the suite.
const HOUSES: u64 = 3;

#[test]
fn a_sceptical_reader_finds_nothing_in_any_simulated_job() {
    let suite = SUITE.iter().flat_map(|suite| (1..=HOUSES).map(|seed| (suite.make)(seed).unwrap()));
    let jobs: Vec<Scenario> = named().map(|(_, make)| make().unwrap()).chain(suite).collect();
    let (mut faults, mut needed, mut by_pull_window) = (Vec::new(), 0, 0);
    for scenario in jobs {
        let name = scenario.name.clone();
        let made = Made::from_scenario(scenario).unwrap();
        let folder = tempfile::tempdir().unwrap();
        export::write_job(made.simulation.scenario(), &made.record, folder.path()).unwrap();
        let evidence = judge(folder.path(), None).analysis.evidence;
        faults.extend(broken(folder.path(), &evidence).into_iter().map(|fault| format!("{name}: {fault}")));
        let stays = evidence.equipment.iter().flat_map(|unit| &unit.stays);
        for day in stays.flat_map(|stay| &stay.days).filter(|day| day.verdict == DayVerdict::Needed) {
            needed += 1;
            by_pull_window += usize::from(day.by_pull_window);
        }
    }
    eprintln!("{needed} needed equipment-days, {by_pull_window} of them by the pull window");
    assert!(needed > 500 && by_pull_window > 10, "{needed} needed, {by_pull_window} by the pull window");
    assert!(faults.is_empty(), "{} faults\n{}", faults.len(), faults.join("\n"));
}
