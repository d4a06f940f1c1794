//! Equal input gives equal bytes, and every file of a report is there.

use grainfall_report::manifest::sha256;
use grainfall_report::sample_evidence::{sample, stress};
use grainfall_report::{Outputs, Settings, Stage, Step, UnitSystem, Workbook, render};

use crate::support::Inputs;

fn rendered(units: UnitSystem) -> Outputs {
    let inputs = Inputs::around(sample(), Settings { units, workbook: Workbook::Xlsx, ..Settings::default() });
    render(&inputs.render_input(), &|_| {}).expect("the sample renders")
}

#[test]
fn every_output_has_the_same_bytes_twice() {
    for units in UnitSystem::ALL {
        let (first, second) = (rendered(units), rendered(units));
        assert_eq!(first.files.keys().collect::<Vec<_>>(), second.files.keys().collect::<Vec<_>>());
        for (path, bytes) in &first.files {
            assert!(*bytes == second.files[path], "{path} differs in {units}");
        }
    }
}

#[test]
fn the_manifest_hashes_every_other_output() {
    let outputs = rendered(UnitSystem::Us);
    let manifest: serde_json::Value = serde_json::from_slice(&outputs.files["manifest.json"]).expect("JSON");
    let listed = manifest["outputs"].as_object().expect("an object");
    let expected: Vec<&String> = outputs.files.keys().filter(|path| *path != "manifest.json").collect();
    assert_eq!(listed.keys().collect::<Vec<_>>(), expected);
    for (path, hash) in listed {
        assert_eq!(hash.as_str(), Some(sha256(&outputs.files[path]).as_str()), "{path}");
    }
    assert_eq!(manifest["tidy_frame_sha256"], manifest["outputs"]["samples.parquet"]);
    assert_eq!(manifest["refused"], 1);
}

#[test]
fn a_report_has_every_document_and_table() {
    let outputs = rendered(UnitSystem::Us);
    for path in [
        "report.pdf",
        "report.html",
        "samples.parquet",
        "summary.json",
        "manifest.json",
        "tables/csv-metadata.json",
        "tables.xlsx",
    ] {
        assert!(outputs.files.contains_key(path), "{path}");
    }
    let tables = [
        "completeness",
        "condensate",
        "daily_air",
        "daily_unit_air",
        "differences",
        "drying_rates",
        "earliest_leaves",
        "equipment_days",
        "equipment_stays",
        "equipment_totals",
        "findings",
        "forecasts",
        "hand_air",
        "hour_meters",
        "initial_sizing",
        "missing",
        "mould_exposure",
        "pauses",
        "points",
        "readings",
        "runs",
        "visits",
    ];
    let found: Vec<&str> = outputs
        .files
        .keys()
        .filter_map(|path| path.strip_prefix("tables/"))
        .filter_map(|name| name.strip_suffix(".csv"))
        .collect();
    assert_eq!(found, tables);
    assert!(outputs.files["samples.parquet"].starts_with(b"PAR1"));
}

#[test]
fn every_stage_is_told_from_its_beginning_to_its_end() {
    let inputs = Inputs::around(sample(), Settings::default());
    let steps = std::sync::Mutex::new(Vec::new());
    render(&inputs.render_input(), &|step| steps.lock().unwrap().push(step)).expect("the sample renders");
    let steps = steps.into_inner().unwrap();
    let place = |step| steps.iter().position(|told| *told == step).expect("told");
    assert_eq!(steps.len(), 2 * Stage::ALL.len(), "{steps:?}");
    for stage in Stage::ALL {
        assert!(place(Step::Begins(stage)) < place(Step::Ends(stage)), "{steps:?}");
    }
    assert_eq!(steps[0], Step::Begins(Stage::Charts));
    assert_eq!(steps[1], Step::Ends(Stage::Charts));
    assert_eq!(steps.last(), Some(&Step::Ends(Stage::Manifest)));
}

#[test]
fn the_units_change_the_paper_and_the_numbers() {
    let (us, si) = (rendered(UnitSystem::Us), rendered(UnitSystem::Si));
    let head = |outputs: &Outputs, table: &str| {
        let text = String::from_utf8(outputs.files[table].clone()).expect("UTF-8");
        text.lines().next().unwrap_or_default().to_owned()
    };
    assert!(head(&us, "tables/daily_air.csv").contains("air_temp_mean_f,"));
    assert!(head(&si, "tables/daily_air.csv").contains("air_temp_mean_c,"));
    assert!(head(&si, "tables/daily_air.csv").contains("humidity_ratio_mean_g_per_kg"));
}

/// One export and no job: the record holds air, or nothing at all.
#[test]
fn a_record_of_next_to_nothing_renders() {
    let mut analysis = sample();
    let evidence = &mut analysis.evidence;
    evidence.job.number = None;
    evidence.job.title = None;
    evidence.chambers.clear();
    evidence.points.clear();
    evidence.equipment.clear();
    evidence.equipment_totals.clear();
    evidence.releases.clear();
    evidence.findings.clear();
    evidence.visits.clear();
    let inputs = Inputs::around(analysis.clone(), Settings::default());
    let outputs = render(&inputs.render_input(), &|_| {}).expect("air alone renders");
    assert!(String::from_utf8_lossy(&outputs.files["report.html"]).contains("No drying chamber is on the record"));

    let evidence = &mut analysis.evidence;
    evidence.days.clear();
    evidence.loggers.clear();
    evidence.daily_air.clear();
    evidence.daily_differences.clear();
    evidence.hand_air.clear();
    evidence.unit_air.clear();
    evidence.missing.clear();
    evidence.assumptions.clear();
    analysis.tracks.clear();
    analysis.depressions.clear();
    let inputs = Inputs::around(analysis, Settings::default());
    let outputs = render(&inputs.render_input(), &|_| {}).expect("nothing at all renders");
    assert!(outputs.files["report.pdf"].starts_with(b"%PDF-"));
}

#[test]
fn a_job_of_many_parts_renders() {
    let inputs = Inputs::around(stress(), Settings::default());
    let outputs = render(&inputs.render_input(), &|_| {}).expect("the stress job renders");
    assert!(outputs.files["report.pdf"].starts_with(b"%PDF-"));
}
