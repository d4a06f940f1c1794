//! The page on the job folder says what the parser does.

use grainfall_job::keys::{self, Need, TableInfo};
use grainfall_job::{JobFiles, parse};

const PAGE: &str = include_str!("../../../../docs/job-folder.md");

/// A table of the page, as it follows from the key table.
fn rows(table: &TableInfo) -> String {
    let mut text = "| key | | accepts | example | meaning |\n|---|---|---|---|---|\n".to_owned();
    if table.form == keys::TableForm::File {
        text = text.replace("key", "column");
    }
    for key in table.keys {
        let need = match key.need {
            Need::Required => "required",
            Need::Optional => "",
        };
        text.push_str(&format!(
            "| `{}` | {need} | {} | `{}` | {} |\n",
            key.name, key.accepts, key.example, key.meaning
        ));
    }
    text
}

#[test]
fn every_key_is_on_the_page() {
    let tables = keys::JOB_TOML.into_iter().chain(keys::INLINE).chain(keys::FILES);
    let missing: String = tables
        .map(|table| (table, rows(table)))
        .filter(|(_, rows)| !PAGE.contains(rows.as_str()))
        .map(|(table, rows)| format!("{}\n\n{rows}\n", table.heading()))
        .collect();
    assert!(missing.is_empty(), "docs/job-folder.md lacks:\n\n{missing}");
}

#[test]
fn the_example_of_the_page_is_a_job() {
    let block = |start: &str| {
        let from = PAGE.find(start).map(|at| at + start.len()).expect("the page has this block");
        let rest = &PAGE[from..];
        rest[..rest.find("```").expect("the block ends")].to_owned()
    };
    let files = JobFiles {
        job_toml: Some(block("```toml\n# job.toml\n")),
        readings: Some(block("`readings.csv`:\n\n```csv\n")),
        air: Some(block("`air.csv`:\n\n```csv\n")),
        visits: Some(block("`visits.csv`:\n\n```csv\n")),
        equipment: None,
    };
    let job = parse(&files).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!((job.chambers.len(), job.loggers.len(), job.points.len(), job.equipment.len()), (1, 4, 3, 2));
    assert_eq!((job.readings.len(), job.air_readings.len(), job.visits.len()), (6, 2, 2));
}

#[test]
fn the_messages_of_the_page_are_the_real_ones() {
    let faulty = JobFiles {
        job_toml: Some(
            "[[chamber]]\nid = \"A\"\n\n[[chamber]]\nid = \"B\"\nflor_area = \"412 ft2\"\nvolume = 3300\n".to_owned(),
        ),
        ..JobFiles::default()
    };
    let told = parse(&faulty).expect_err("two faults").to_string();
    assert!(PAGE.contains(&told), "docs/job-folder.md lacks:\n\n{told}");
}

/// Rows of a table of the page: the first word in backticks, then the others.
fn word_rows(heading: &str) -> Vec<(&'static str, Vec<&'static str>)> {
    let from = PAGE.find(heading).expect("the page has this table");
    PAGE[from..]
        .lines()
        .skip(2)
        .take_while(|line| line.starts_with('|'))
        .map(|line| {
            let mut words = line.split('`').skip(1).step_by(2);
            (words.next().unwrap_or(""), words.collect())
        })
        .collect()
}

#[test]
fn the_spellings_of_the_page_are_read() {
    let scales = word_rows("| scale | what it is | also read |");
    assert_eq!(scales.len(), 5);
    for (scale, spellings) in scales {
        for word in spellings {
            let job_toml = format!("[[material]]\nkind = \"m\"\nscale = \"{word}\"\n");
            let job = parse(&JobFiles { job_toml: Some(job_toml), ..JobFiles::default() });
            let read = job.unwrap_or_else(|faults| panic!("{faults}")).materials[0].scale;
            assert_eq!(read.map(grainfall_job::Scale::word), Some(scale), "{word}");
        }
    }
    let kinds = word_rows("| kind | also read |");
    assert_eq!(kinds.len(), 6);
    for (kind, spellings) in kinds {
        for word in spellings {
            let equipment = format!("unit,kind,placed\nU,{word},2025-03-08 12:00\n");
            let job = parse(&JobFiles { equipment: Some(equipment), ..JobFiles::default() });
            let read = job.unwrap_or_else(|faults| panic!("{faults}")).equipment[0].kind;
            assert_eq!(read.word(), kind, "{word}");
        }
    }
}
