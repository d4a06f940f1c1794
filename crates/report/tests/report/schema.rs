//! What is written for programs and its published schema agree.

use std::path::PathBuf;

use grainfall_report::sample_evidence::sample;
use grainfall_report::{UnitSystem, explanation, summary};

/// With `UPDATE_SCHEMA=1` the published schemas are written anew.
#[test]
fn the_published_schemas_are_the_generated_ones() {
    for (name, schema) in [("summary.schema.json", summary::schema()), ("explain.schema.json", explanation::schema())] {
        let generated = String::from_utf8(schema.expect("the schema can be written")).expect("UTF-8");
        let published = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../docs").join(name);
        if std::env::var_os("UPDATE_SCHEMA").is_some() {
            std::fs::write(&published, &generated).expect("the schema can be stored");
        }
        let committed = std::fs::read_to_string(&published).unwrap_or_default();
        assert!(committed == generated, "docs/{name} is out of date; run this test with `UPDATE_SCHEMA=1`");
    }
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
