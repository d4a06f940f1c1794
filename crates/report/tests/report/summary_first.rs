//! A fresh summary in place ahead of the documents, and reports that are current.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use grainfall_record::TidyFrame;
use grainfall_report::manifest::{MANIFEST, SUMMARY, is_current, sha256};
use grainfall_report::{Outputs, Settings, render, write_outputs, write_summary_first};
use serde_json::Value;

use crate::support::Inputs;

fn inputs() -> Inputs {
    Inputs::around(grainfall_report::sample_evidence::sample(), Settings::default())
}

fn manifest(report: &Path) -> Value {
    serde_json::from_slice(&fs::read(report.join(MANIFEST)).unwrap()).unwrap()
}

/// Every output has the hash that the manifest gives it.
fn assert_whole(report: &Path) {
    for (path, hash) in manifest(report)["outputs"].as_object().unwrap() {
        assert_eq!(hash.as_str().unwrap(), sha256(&fs::read(report.join(path)).unwrap()), "{path}");
    }
}

#[test]
fn a_summary_comes_first_and_the_manifest_says_what_is_behind() {
    let job = tempfile::tempdir().unwrap();
    let report = job.path().join("report");
    let before = inputs();
    assert!(!write_summary_first(&report, &before.render_input()).unwrap(), "there is no report to put it into");
    assert!(!report.exists());
    let outputs = render(&before.render_input(), &|_| {}).unwrap();
    write_outputs(&report, &outputs).unwrap();
    assert!(is_current(&report, &before.render_input()));
    let of_before = manifest(&report);
    fs::write(report.join("signed.txt"), "kept").unwrap();

    let mut after = inputs();
    after.job_files[0].sha256 = sha256(b"[job]\n# other\n");
    after.analysis.evidence.findings.clear();
    after.frame = TidyFrame::default();
    assert!(!is_current(&report, &after.render_input()));
    assert!(write_summary_first(&report, &after.render_input()).unwrap());
    let fresh = render(&after.render_input(), &|_| {}).unwrap();
    let read = |path: &str| fs::read(report.join(path)).unwrap();
    assert_eq!(read(SUMMARY), fresh.files[SUMMARY]);
    assert_eq!(read("report.pdf"), outputs.files["report.pdf"]);
    assert_eq!(read("signed.txt"), b"kept");
    let behind: Vec<String> = serde_json::from_value(manifest(&report)["behind"].clone()).unwrap();
    let documents: Vec<String> =
        outputs.files.keys().filter(|path| *path != SUMMARY && *path != MANIFEST).cloned().collect();
    assert_eq!(behind, documents);
    // Samples that are behind keep their hashes.
    for key in ["tidy_frame_sha256", "tidy_rows_sha256"] {
        assert_eq!(manifest(&report)[key], of_before[key], "{key}");
    }
    assert_whole(&report);
    assert!(!is_current(&report, &after.render_input()), "its documents are behind");

    write_outputs(&report, &fresh).unwrap();
    assert_eq!(manifest(&report)["behind"], Value::Null);
    assert_ne!(manifest(&report)["tidy_rows_sha256"], of_before["tidy_rows_sha256"]);
    assert_whole(&report);
    assert!(is_current(&report, &after.render_input()));
    assert_eq!(read("signed.txt"), b"kept");
    fs::remove_file(report.join("report.pdf")).unwrap();
    assert!(!is_current(&report, &after.render_input()), "an output is gone");
}

#[test]
fn a_manifest_that_is_none_is_no_report() {
    let job = tempfile::tempdir().unwrap();
    let report = job.path().join("report");
    let files = BTreeMap::from([(MANIFEST.to_owned(), b"{".to_vec())]);
    write_outputs(&report, &Outputs { files }).unwrap();
    let inputs = inputs();
    assert!(!is_current(&report, &inputs.render_input()));
    assert!(!write_summary_first(&report, &inputs.render_input()).unwrap());
}
