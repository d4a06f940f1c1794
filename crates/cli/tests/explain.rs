//! `explain` on every sample log and open log: a screen that fits, and JSON as its published schema says.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_types,
    reason = "a test stops where it fails and says what it skips"
)]

use std::path::{Path, PathBuf};
use std::process::Command;

use unicode_width::UnicodeWidthStr;

/// Every log of the sample jobs, and the open logs where they are.
fn logs() -> Vec<PathBuf> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..");
    let mut logs = Vec::new();
    below(&root.join("sample-data"), &mut logs);
    assert!(logs.len() >= 5, "no sample logs: {logs:?}");
    let open = root.join("../shared/data");
    if open.is_dir() {
        below(&open, &mut logs);
    } else {
        println!("no folder of open logs at {}", open.display());
    }
    logs
}

fn below(folder: &Path, logs: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
        if path.is_dir() && path.file_name().is_some_and(|name| name != "report") {
            below(&path, logs);
        } else if ["csv", "txt", "tsv", "xlsx", "xls", "ods", "gz", "zip"].contains(&ending) {
            logs.push(path);
        }
    }
}

fn explain(args: &[&str], log: &Path) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_grainfall")).arg("explain").args(args).arg(log).output().unwrap();
    assert!(output.status.success(), "{}: {}", log.display(), String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn no_line_is_wider_than_the_terminal() {
    for log in logs() {
        let text = explain(&[], &log);
        for line in text.lines() {
            // A path or a name without a blank cannot be broken.
            let whole = line.trim_start().contains(' ');
            assert!(line.width() <= 80 || !whole, "{}: {} columns: {line}", log.display(), line.width());
        }
        assert!(text.lines().count() <= 120, "{}: {} lines", log.display(), text.lines().count());
    }
}

#[test]
fn json_is_as_the_published_schema_says() {
    let schema = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../docs/explain.schema.json");
    let schema: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(schema).unwrap()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for log in logs() {
        let mut document: serde_json::Value = serde_json::from_str(&explain(&["--json"], &log)).unwrap();
        let faults: Vec<String> = validator.iter_errors(&document).map(|fault| fault.to_string()).collect();
        assert!(faults.is_empty(), "{}: {faults:?}", log.display());
        assert_eq!(document["files"][0]["input"]["path"], log.file_name().unwrap().to_str().unwrap());
        document["files"][0]["input"]["outcome"]["kind"] = "perhaps".into();
        assert!(!validator.is_valid(&document), "an unknown outcome is refused");
    }
}
