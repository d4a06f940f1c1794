//! No text makes the parser panic, and every fault it tells has a place in the text.

use grainfall_job::fault::Column;
use grainfall_job::{Faults, JobFiles, keys, parse};
use proptest::prelude::*;

/// A value that may or may not suit a key with this example.
fn value(example: &'static str) -> impl Strategy<Value = String> {
    prop_oneof![
        12 => Just(example.to_owned()),
        1 => "[0-9.-]{1,6}",
        1 => "\"[ -!#-~]{0,12}\"",
        1 => Just("[[]]".to_owned()),
        1 => Just("{ a = { b = 1 } }".to_owned()),
        1 => Just("2025-03-09T02:30:00".to_owned()),
        1 => Just("[1979-05-27, 07:32:00]".to_owned()),
        1 => ".{0,12}",
    ]
}

/// Some keys of a table, each once, with values.
fn table(table: &'static keys::TableInfo) -> impl Strategy<Value = String> {
    let keys: Vec<&keys::KeyInfo> = table.keys.iter().collect();
    let chosen = prop::sample::subsequence(keys, 0..=table.keys.len());
    let lines = chosen.prop_flat_map(|keys| {
        keys.into_iter()
            .map(|key| value(key.example).prop_map(|value| format!("{} = {value}\n", key.name)))
            .collect::<Vec<_>>()
    });
    lines.prop_map(|lines| format!("{}\n{}", table.heading(), lines.concat()))
}

/// Something like a `job.toml`: `[job]`, then a few tables.
fn job_toml() -> impl Strategy<Value = String> {
    let others = prop::sample::select(&keys::JOB_TOML[1..]).prop_flat_map(table);
    (table(&keys::JOB), prop::collection::vec(others, 0..8)).prop_map(|(job, others)| job + &others.concat())
}

/// Something like a CSV file of this kind.
fn csv(table: &'static keys::TableInfo) -> impl Strategy<Value = String> {
    let mut names: Vec<String> = table.keys.iter().map(|key| key.name.to_owned()).collect();
    names.extend(["air_temp (F)".to_owned(), String::new(), "\"note".to_owned()]);
    let mut cells: Vec<String> = table.keys.iter().map(|key| key.example.replace('"', "")).collect();
    cells.extend(["", ">40", "OL 40", "3/8/2025 9:00", "25/3/2025 9:00", "\"", "2025-03-09 02:30"].map(str::to_owned));
    let rows = prop::collection::vec(prop::collection::vec(prop::sample::select(cells), 0..9), 0..6);
    (prop::collection::vec(prop::sample::select(names), 0..9), rows, prop::sample::select(vec![",", ";", "\t"]))
        .prop_map(|(header, rows, separator)| {
            let mut text = header.join(separator);
            for row in rows {
                text.push('\n');
                text.push_str(&row.join(separator));
            }
            text
        })
}

/// Every place lies in its text: a line that is there, a character at most one past its end.
fn places_exist(files: &JobFiles, faults: &Faults) -> Result<(), TestCaseError> {
    for fault in &faults.0 {
        let text = match &*fault.at.file {
            "job.toml" => &files.job_toml,
            "readings.csv" => &files.readings,
            "air.csv" => &files.air,
            "visits.csv" => &files.visits,
            _ => &files.equipment,
        };
        let text = text.as_deref().unwrap_or("");
        let Some(line) = fault.at.line else { continue };
        let lines = text.split('\n').flat_map(|line| line.strip_suffix('\r').unwrap_or(line).split('\r'));
        let found = usize::try_from(line).ok().and_then(|line| lines.clone().nth(line - 1));
        prop_assert!(found.is_some(), "{fault}: the text has {} lines", lines.count());
        if let (Some(Column::Character(column)), "job.toml") = (&fault.at.column, &*fault.at.file) {
            let before = usize::try_from(column - 1).ok();
            let length =
                usize::try_from(line).ok().and_then(|line| text.split('\n').nth(line - 1)).map(|l| l.chars().count());
            prop_assert!(before.is_some() && before <= length, "{fault}");
        }
        prop_assert!(fault.to_string().lines().count() == 1, "{fault}");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_text_at_all(job_toml in ".*", readings in ".*", air in "(.|\n|\r)*", visits in ".*", equipment in ".*") {
        let files = JobFiles {
            job_toml: Some(job_toml),
            readings: Some(readings),
            air: Some(air),
            visits: Some(visits),
            equipment: Some(equipment),
        };
        if let Err(faults) = parse(&files) {
            places_exist(&files, &faults)?;
        }
    }

    #[test]
    fn text_of_the_right_shape(
        job_toml in job_toml(),
        readings in csv(&keys::READINGS),
        air in csv(&keys::AIR),
        visits in csv(&keys::VISITS),
        equipment in csv(&keys::EQUIPMENT),
    ) {
        let files = JobFiles {
            job_toml: Some(job_toml),
            readings: Some(readings),
            air: Some(air),
            visits: Some(visits),
            equipment: Some(equipment),
        };
        if let Err(faults) = parse(&files) {
            places_exist(&files, &faults)?;
        }
    }

    /// Faults come in one order, `job.toml` first, then by file and line, and the same text gives the same ones.
    #[test]
    fn faults_are_sorted(job_toml in job_toml(), readings in csv(&keys::READINGS)) {
        let files = JobFiles { job_toml: Some(job_toml), readings: Some(readings), ..JobFiles::default() };
        let first = parse(&files);
        if let Err(faults) = &first {
            let order: Vec<_> = faults.0.iter().map(|f| (&*f.at.file != "job.toml", f.at.line, f.at.column.clone())).collect();
            prop_assert!(order.is_sorted(), "{faults}");
        }
        prop_assert_eq!(first, parse(&files));
    }
}
