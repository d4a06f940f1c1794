//! `summary.json` and its published schema agree.

use std::path::PathBuf;

use grainfall_report::sample_evidence::sample;
use grainfall_report::{UnitSystem, summary};

fn published() -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/summary.schema.json"))
}

/// With `UPDATE_SCHEMA=1` the published schema is written anew.
#[test]
fn the_published_schema_is_the_generated_one() {
    let generated = String::from_utf8(summary::schema().expect("the schema can be written")).expect("UTF-8");
    if std::env::var_os("UPDATE_SCHEMA").is_some() {
        std::fs::write(published(), &generated).expect("the schema can be stored");
    }
    let committed = std::fs::read_to_string(published()).expect("docs/summary.schema.json");
    assert!(committed == generated, "docs/summary.schema.json is out of date; run this test with `UPDATE_SCHEMA=1`");
}

#[test]
fn the_sample_summary_is_valid() {
    let schema: serde_json::Value = serde_json::from_slice(&summary::schema().expect("schema")).expect("JSON");
    let validator = jsonschema::validator_for(&schema).expect("a valid schema");
    let mut document: serde_json::Value =
        serde_json::from_slice(&summary::json(&sample().evidence, UnitSystem::Us).expect("summary")).expect("JSON");
    let faults: Vec<String> = validator.iter_errors(&document).map(|fault| fault.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    document["evidence"]["verdict"] = "perhaps".into();
    assert!(!validator.is_valid(&document), "an unknown verdict is refused");
}
