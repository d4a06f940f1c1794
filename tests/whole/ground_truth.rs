//! How right the program is about houses of which everything is known. The table: `cargo run --release -p grainfall-tests
//! --bin ground-truth`.

#![allow(clippy::print_stderr, reason = "the table belongs into the test's output")]
#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

use grainfall_tests::ground_truth::{HOUSES, Measure, recorded_thresholds, run, thresholds};

#[test]
fn answers_are_as_right_as_they_must_be() {
    let table = run(HOUSES);
    eprintln!("{table}");
    let mut faults = Vec::new();
    for row in table.rows().iter().filter(|row| row.share.all >= row.measure.enough()) {
        if !row.holds() {
            let half = if row.held_out { "scenarios set aside" } else { "scenarios" };
            faults.push(format!("{half}, {}: {} of {}", row.measure.words(), row.share.right, row.share.all));
            faults.extend(table.wrong(row.measure).take(12).map(|wrong| format!("    {wrong}")));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    for measure in Measure::ALL {
        let events = table.events(measure);
        // None at all: the program does not look for it.
        assert!(events == 0 || events >= measure.enough(), "{}: only {events}", measure.words());
    }
}

/// Numbers chosen on some scenarios must be shown to hold on those set aside, each time they change.
#[test]
fn the_recorded_table_is_of_the_present_thresholds() {
    assert_eq!(
        recorded_thresholds().unwrap(),
        thresholds().unwrap(),
        "rules or thresholds changed: run `cargo run --release -p grainfall-tests --bin ground-truth -- --record` and read what \
         became of the scenarios set aside in tests/ground-truth.txt"
    );
}
