//! `verify` finds any change of an input, a setting or a file of the report, and signatures hold.

#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]
#![allow(clippy::disallowed_types, reason = "the tests run the program")]

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use flate2::Compression;
use flate2::write::GzEncoder;
use minisign::KeyPair;
use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::{Config, TestRunner};
use serde_json::Value;

/// Edits tried; `GRAINFALL_EDITS` asks for more.
const EDITS: u32 = 48;

/// Inputs of the job, of every kind: its own files, a log as text, packed and in a workbook, what is no log.
const INPUTS: [&str; 6] = ["job.toml", "readings.csv", "a.csv", "packed.csv.gz", "sheet.xls", "photo 1.jpg"];

struct Job {
    _place: tempfile::TempDir,
    folder: PathBuf,
}

impl Job {
    /// A small job with a report.
    fn with_report(arguments: &[&str]) -> Self {
        let place = tempfile::tempdir().unwrap();
        let folder = place.path().join("job 7");
        fs::create_dir_all(&folder).unwrap();
        let cases = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/cli/met.in/job");
        for name in ["job.toml", "readings.csv", "a.csv"] {
            fs::copy(cases.join(name), folder.join(name)).unwrap();
        }
        let mut packed = GzEncoder::new(Vec::new(), Compression::default());
        packed.write_all(b"Time (UTC),Temp (F),RH (%)\n2025-10-06 06:00,71,51\n2025-10-06 06:10,72,52\n").unwrap();
        fs::write(folder.join("packed.csv.gz"), packed.finish().unwrap()).unwrap();
        let workbooks = Path::new(env!("CARGO_MANIFEST_DIR")).join("../ingest/tests/workbooks");
        fs::copy(workbooks.join("days_1900.xls"), folder.join("sheet.xls")).unwrap();
        fs::write(folder.join("photo 1.jpg"), b"\xff\xd8\xff\xe0 0123456789").unwrap();
        let job = Self { _place: place, folder };
        let made = job.run("report", arguments);
        assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
        job
    }

    fn run(&self, command: &str, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_grainfall")).arg(command).arg(&self.folder).args(arguments).output().unwrap()
    }

    fn verify(&self, arguments: &[&str]) -> (Option<i32>, Value) {
        let output = self.run("verify", &[&["--json"], arguments].concat());
        (output.status.code(), serde_json::from_slice(&output.stdout).unwrap_or(Value::Null))
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.join(name)
    }

    /// Files of the job and its report, relative.
    fn files(&self) -> Vec<String> {
        let manifest: Value = serde_json::from_slice(&fs::read(self.path("report/manifest.json")).unwrap()).unwrap();
        let outputs = manifest["outputs"].as_object().unwrap().keys().map(|path| format!("report/{path}"));
        let mut files: Vec<String> = INPUTS.map(str::to_owned).to_vec();
        files.extend(outputs);
        files
    }
}

#[test]
fn an_untouched_report_is_the_same_wherever_its_folder_lies() {
    let job = Job::with_report(&["--units", "si", "--as-of", "2025-10-09 12:00"]);
    let (code, answer) = job.verify(&[]);
    assert_eq!((code, &answer["same"]), (Some(0), &Value::from(true)), "{answer:#}");
    let elsewhere = job.folder.with_file_name("copied elsewhere");
    fs::rename(&job.folder, &elsewhere).unwrap();
    let moved = Job { folder: elsewhere, ..job };
    assert_eq!(moved.verify(&[]).0, Some(0));
    fs::write(moved.path("report/photo.jpg"), "of somebody else").unwrap();
    assert_eq!(moved.verify(&[]).0, Some(0), "what others keep beside the report is theirs");
}

/// One digit of one file becomes another, then comes back.
#[test]
fn a_digit_changed_anywhere_is_found() {
    let job = Job::with_report(&["--as-of", "2025-10-09 12:00"]);
    let mut kinds = [job.files(), vec!["report/manifest.json".to_owned()]];
    kinds[0].sort();
    let edits = std::env::var("GRAINFALL_EDITS").ok().and_then(|text| text.parse().ok()).unwrap_or(EDITS);
    let config = Config { cases: edits, failure_persistence: None, max_shrink_iters: 0, ..Config::default() };
    // A third in the inputs, a third in the files of the report, a third in the manifest with its settings.
    let strategy = (0..3_usize, any::<Index>(), any::<Index>(), 1..10_u8);
    let tried = TestRunner::new(config).run(&strategy, |(kind, file, spot, step)| {
        let names: Vec<&String> = match kind {
            0 => kinds[0].iter().filter(|name| !name.starts_with("report/")).collect(),
            1 => kinds[0].iter().filter(|name| name.starts_with("report/")).collect(),
            _ => kinds[1].iter().collect(),
        };
        let name = *file.get(&names);
        let whole = fs::read(job.path(name)).unwrap();
        let digits: Vec<usize> = (0..whole.len()).filter(|at| whole[*at].is_ascii_digit()).collect();
        prop_assume!(!digits.is_empty());
        let at = *spot.get(&digits);
        let mut changed = whole.clone();
        changed[at] = b'0' + (whole[at] - b'0' + step) % 10;
        fs::write(job.path(name), &changed).unwrap();
        let (code, answer) = job.verify(&[]);
        fs::write(job.path(name), &whole).unwrap();
        let told = answer["differences"].as_array().map_or(0, Vec::len);
        prop_assert!(code == Some(1) && told > 0 || code == Some(2), "{name} at byte {at}: {code:?} {answer:#}");
        // Only a manifest can be changed so that nothing can be compared any more.
        prop_assert!(code == Some(1) || kind == 2, "{name} at byte {at}: {code:?}");
        let place = name.strip_prefix("report/").unwrap_or(name);
        let named = answer["differences"].to_string().contains(place);
        prop_assert!(named || kind == 2, "{name} at byte {at} is not named: {answer:#}");
        Ok(())
    });
    tried.unwrap();
    assert_eq!(job.verify(&[]).0, Some(0), "every edit was taken back");
}

#[test]
fn another_setting_in_the_manifest_is_found() {
    let job = Job::with_report(&[]);
    let path = job.path("report/manifest.json");
    let whole = fs::read_to_string(&path).unwrap();
    for (from, to) in [
        ("\"units\": \"us\"", "\"units\": \"si\""),
        ("\"as_of\": null", "\"as_of\": \"2025-10-08T12:00:00Z\""),
        ("\"folder\": \"job 7\"", "\"folder\": \"job 8\""),
        ("\"version\": \"", "\"version\": \"9."),
        ("\n}\n", "\n}\n\n"),
    ] {
        assert!(whole.contains(from), "{from}");
        fs::write(&path, whole.replacen(from, to, 1)).unwrap();
        let (code, answer) = job.verify(&[]);
        assert_eq!(code, Some(1), "{to}: {answer:#}");
    }
}

#[test]
fn a_report_that_is_being_made_is_told_as_such() {
    let job = Job::with_report(&[]);
    let path = job.path("report/manifest.json");
    let whole = fs::read_to_string(&path).unwrap();
    let open = whole.trim_end().strip_suffix('}').unwrap().trim_end();
    fs::write(&path, format!("{open},\n  \"behind\": [\n    \"report.pdf\"\n  ]\n}}\n")).unwrap();
    let output = job.run("verify", &[]);
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8_lossy(&output.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("only its summary is of these inputs"), "{said}");
}

#[test]
fn inputs_that_came_or_went_are_named() {
    let job = Job::with_report(&[]);
    fs::write(job.path("b.csv"), "Time,Temp (F),RH (%)\n2025-10-06 06:00,70,50\n").unwrap();
    let (code, answer) = job.verify(&[]);
    assert_eq!(code, Some(1));
    assert!(answer["differences"].to_string().contains("inputs > b.csv"), "{answer:#}");
    fs::remove_file(job.path("b.csv")).unwrap();
    fs::write(job.path("job.toml"), "[job\n").unwrap();
    let (code, answer) = job.verify(&[]);
    assert_eq!(code, Some(1), "inputs that can no longer be read differ");
    assert!(answer["differences"].to_string().contains("job.toml"), "{answer:#}");
}

#[test]
fn a_folder_without_a_report_cannot_be_compared() {
    let job = Job::with_report(&[]);
    fs::remove_dir_all(job.path("report")).unwrap();
    let output = job.run("verify", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("`grainfall report` writes one"));
}

/// A key pair in files, as minisign keeps them.
fn keys(folder: &Path) -> (String, String) {
    let pair = KeyPair::generate_unencrypted_keypair().unwrap();
    let (secret, public) = (folder.join("firm.key"), folder.join("firm.pub"));
    fs::write(&secret, pair.sk.to_box(None).unwrap().into_string()).unwrap();
    fs::write(&public, pair.pk.to_box().unwrap().into_string()).unwrap();
    (secret.to_string_lossy().into_owned(), public.to_string_lossy().into_owned())
}

#[test]
fn a_signed_report_shows_a_change_that_hashes_do_not() {
    let place = tempfile::tempdir().unwrap();
    let (secret, public) = keys(place.path());
    let job = Job::with_report(&["--sign", &secret]);
    let (code, answer) = job.verify(&["--public-key", &public]);
    assert_eq!((code, &answer["signature"]), (Some(0), &Value::from("valid")), "{answer:#}");
    let (_, other) = keys(tempfile::tempdir().unwrap().keep().as_path());
    assert_eq!(job.verify(&["--public-key", &other]).0, Some(1), "another key");
    // Inputs changed and the report made anew: every hash fits again, the signature does not.
    let signature = fs::read(job.path("report/manifest.json.minisig")).unwrap();
    let readings = fs::read_to_string(job.path("readings.csv")).unwrap();
    fs::write(job.path("readings.csv"), format!("{readings}\n")).unwrap();
    assert!(job.run("report", &[]).status.success());
    assert!(!job.path("report/manifest.json.minisig").exists(), "a signature does not outlive its manifest");
    fs::write(job.path("report/manifest.json.minisig"), signature).unwrap();
    assert_eq!(job.verify(&[]).0, Some(0));
    let (code, answer) = job.verify(&["--public-key", &public]);
    assert_eq!((code, &answer["signature"]), (Some(1), &Value::from("not_valid")));
}

/// The scheme's own program checks what this one signed, and the other way round.
#[test]
fn the_schemes_own_program_agrees() {
    let Ok(version) = Command::new("minisign").arg("-v").output() else {
        eprintln!("skipped: the program minisign is not there");
        return;
    };
    assert!(version.status.success());
    let place = tempfile::tempdir().unwrap();
    let (secret, public) = keys(place.path());
    let job = Job::with_report(&["--sign", &secret]);
    let manifest = job.path("report/manifest.json");
    let check = || Command::new("minisign").args(["-V", "-p", &public, "-m"]).arg(&manifest).output().unwrap();
    let output = check();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let whole = fs::read_to_string(&manifest).unwrap();
    fs::write(&manifest, whole.replacen("\"units\": \"us\"", "\"units\": \"si\"", 1)).unwrap();
    assert!(!check().status.success(), "a changed manifest");
    fs::write(&manifest, whole).unwrap();
    // Keys and signature by the scheme's own program, which makes keys without a password with -W.
    let (own_secret, own_public) = (place.path().join("own.key"), place.path().join("own.pub"));
    let made = Command::new("minisign").args(["-G", "-W", "-p"]).arg(&own_public).arg("-s").arg(&own_secret).output();
    assert!(made.unwrap().status.success());
    let signed = Command::new("minisign").args(["-S", "-s"]).arg(&own_secret).arg("-m").arg(&manifest).output();
    assert!(signed.unwrap().status.success());
    let (code, answer) = job.verify(&["--public-key", &own_public.to_string_lossy()]);
    assert_eq!((code, &answer["signature"]), (Some(0), &Value::from("valid")), "{answer:#}");
}

#[test]
fn a_file_that_is_no_key_is_named() {
    let job = Job::with_report(&[]);
    let readings = job.path("readings.csv").to_string_lossy().into_owned();
    for (command, option) in [("report", "--sign"), ("verify", "--public-key")] {
        let output = job.run(command, &[option, &readings]);
        assert_eq!(output.status.code(), Some(2));
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(said.contains("readings.csv") && said.contains("minisign"), "{said}");
    }
}
