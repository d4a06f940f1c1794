//! Nothing that a job folder holds leads the program out of it.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]
#![allow(clippy::disallowed_types, reason = "the tests run the program")]

use std::fs;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const LOG: &str = "Time,Temp (F),RH (%)\n2025-10-06 06:00,70,50\n2025-10-06 06:10,71,51\n2025-10-06 06:20,72,52\n";
const SECRET: &str = "Time,Temp (F),RH (%)\n2025-10-06 06:00,99,98\n2025-10-06 06:10,99,98\n2025-10-06 06:20,99,97\n";

/// A job folder beside things that are none of its business.
struct Place {
    place: tempfile::TempDir,
}

impl Place {
    fn new() -> Self {
        let place = tempfile::tempdir().unwrap();
        fs::create_dir_all(place.path().join("job")).unwrap();
        fs::create_dir_all(place.path().join("outside/deep")).unwrap();
        fs::write(place.path().join("job/a.csv"), LOG).unwrap();
        fs::write(place.path().join("outside/secret.csv"), SECRET).unwrap();
        fs::write(place.path().join("outside/deep/note.txt"), "keep").unwrap();
        Self { place }
    }

    fn job(&self, name: &str) -> PathBuf {
        self.place.path().join("job").join(name)
    }

    fn outside(&self, name: &str) -> PathBuf {
        self.place.path().join("outside").join(name)
    }

    fn run(&self, command: &str) -> Output {
        Command::new(env!("CARGO_BIN_EXE_grainfall")).arg(command).arg(self.place.path().join("job")).output().unwrap()
    }

    /// Reports, and gives the manifest's inputs as text.
    fn inputs(&self) -> String {
        let output = self.run("report");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let manifest = fs::read(self.job("report/manifest.json")).unwrap();
        let manifest: serde_json::Value = serde_json::from_slice(&manifest).unwrap();
        assert!(self.untouched(), "what lies outside changed");
        manifest["inputs"].to_string()
    }

    /// Whether all that lies outside is as it was made, and nothing came to it.
    fn untouched(&self) -> bool {
        let names = |folder: &Path| -> Vec<String> {
            let entries = fs::read_dir(folder).unwrap();
            let mut names: Vec<String> =
                entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
            names.sort();
            names
        };
        names(self.place.path()) == ["job", "outside"]
            && names(&self.outside("")) == ["deep", "secret.csv"]
            && names(&self.outside("deep")) == ["note.txt"]
            && fs::read_to_string(self.outside("secret.csv")).unwrap() == SECRET
            && fs::read_to_string(self.outside("deep/note.txt")).unwrap() == "keep"
    }
}

#[test]
fn a_link_to_an_export_outside_is_refused_and_named() {
    let place = Place::new();
    symlink(place.outside("secret.csv"), place.job("b.csv")).unwrap();
    symlink(place.outside("deep"), place.job("more")).unwrap();
    let inputs = place.inputs();
    assert!(inputs.contains("a link that leads out of the folder"), "{inputs}");
    assert!(!inputs.contains("note.txt"), "{inputs}");
    let samples = fs::read(place.job("report/summary.json")).unwrap();
    assert!(!String::from_utf8_lossy(&samples).contains("\"b\""), "no logger of the file outside");
}

#[test]
fn a_link_in_the_place_of_a_job_file_is_refused() {
    for name in ["job.toml", "readings.csv"] {
        let place = Place::new();
        symlink(place.outside("deep/note.txt"), place.job(name)).unwrap();
        let output = place.run("report");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains(name) && said.contains("leads out of the folder"), "{said}");
        assert!(!said.contains("keep"), "nothing of the file outside is shown: {said}");
    }
}

#[test]
fn a_link_in_the_place_of_the_report_is_refused() {
    let place = Place::new();
    symlink(place.outside("deep"), place.job("report")).unwrap();
    let output = place.run("report");
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("is a link"));
    assert!(place.untouched());
    assert!(fs::symlink_metadata(place.job("report")).unwrap().is_symlink());
}

#[test]
fn links_in_a_circle_end() {
    let place = Place::new();
    symlink(place.job(""), place.job("again")).unwrap();
    symlink("b", place.job("a")).unwrap();
    symlink("a", place.job("b")).unwrap();
    assert!(place.inputs().contains("a.csv"));
}

#[test]
fn paths_in_job_toml_choose_among_the_files_of_the_folder_and_open_none() {
    for path in ["../outside/secret.csv", "/etc/passwd", "sub/../../outside/secret.csv"] {
        let place = Place::new();
        let text = format!("[[logger]]\nfile = \"{path}\"\nplace = \"outdoor\"\n");
        fs::write(place.job("job.toml"), text).unwrap();
        let inputs = place.inputs();
        assert!(!inputs.contains("secret") && !inputs.contains("passwd"), "{inputs}");
    }
}

#[test]
fn a_manifest_with_paths_outside_compares_nothing_outside() {
    let place = Place::new();
    place.inputs();
    let path = place.job("report/manifest.json");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replace("\"report.pdf\": \"", "\"../../outside/secret.csv\": \"")).unwrap();
    let output = place.run("verify");
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8_lossy(&output.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("leads out of the folder"), "{said}");
    // Nor does the next report take a listed path outside for one of its own.
    assert!(place.run("report").status.success());
    assert!(place.untouched());
}

#[test]
fn a_link_in_the_place_of_a_report_file_is_not_compared() {
    let place = Place::new();
    place.inputs();
    // The very same bytes, but outside.
    for name in ["report.pdf", "manifest.json"] {
        let (inside, kept) = (place.job("report").join(name), place.place.path().join("kept"));
        fs::rename(&inside, &kept).unwrap();
        symlink(&kept, &inside).unwrap();
        let output = place.run("verify");
        let said = String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(if name == "report.pdf" { 1 } else { 2 }), "{said}");
        assert!(said.contains(name) && said.contains("link"), "{said}");
        fs::remove_file(&inside).unwrap();
        fs::rename(&kept, &inside).unwrap();
    }
    assert_eq!(place.run("verify").status.code(), Some(0));
}

/// A pipe that nobody writes into never ends: nothing may wait for it.
#[test]
fn pipes_in_the_place_of_files_hold_nothing_up() {
    let place = Place::new();
    let pipe = |path: &Path| assert!(Command::new("mkfifo").arg(path).status().unwrap().success());
    pipe(&place.job("pipe.csv"));
    symlink("pipe.csv", place.job("led.csv")).unwrap();
    assert!(!place.inputs().contains("pipe.csv"));
    fs::remove_file(place.job("report/report.pdf")).unwrap();
    pipe(&place.job("report/report.pdf"));
    let output = place.run("verify");
    assert_eq!(output.status.code(), Some(1), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(String::from_utf8_lossy(&output.stdout).contains("no plain file"));
    pipe(&place.job("job.toml"));
    assert_eq!(place.run("check").status.code(), Some(2));
}

/// What the system is asked for, told by strace where it is there.
#[test]
fn no_connection_is_opened_and_no_other_program_started() {
    let place = Place::new();
    let told = place.place.path().join("job/.calls");
    let traced = Command::new("strace")
        .args(["--follow-forks", "--quiet=all", "--trace=%network,execve,execveat,fork,vfork", "--output"])
        .arg(&told)
        .arg(env!("CARGO_BIN_EXE_grainfall"))
        .arg("report")
        .arg(place.job(""))
        .output();
    let Ok(output) = traced else {
        eprintln!("skipped: the program strace is not there");
        return;
    };
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    if said.contains("ptrace") {
        eprintln!("skipped: strace may not trace here");
        return;
    }
    assert!(output.status.success(), "{said}");
    let calls = fs::read_to_string(&told).unwrap();
    let calls: Vec<&str> = calls.lines().filter(|line| line.contains('(')).collect();
    assert_eq!(calls.len(), 1, "only the start of the program itself: {calls:#?}");
    assert!(calls[0].contains("execve("), "{calls:#?}");
}
