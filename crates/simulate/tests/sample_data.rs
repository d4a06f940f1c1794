//! The committed sample data are what the program writes, byte for byte.

#![allow(clippy::unwrap_used, reason = "what fails here fails a test")]
#![allow(clippy::disallowed_types, reason = "the test runs the program")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use grainfall_simulate::{Made, scenarios};

fn committed() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data")
}

/// Files below a folder, relative, sorted, without what other programs write there.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(&next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                if path.file_name().is_some_and(|name| name != "report") {
                    folders.push(path);
                }
            } else if path.file_name().is_some_and(|name| name != ".grainfall-lock") {
                found.push(path.strip_prefix(folder).unwrap().to_owned());
            }
        }
    }
    found.sort();
    found
}

#[test]
fn the_committed_files_are_the_generated_ones() {
    let fresh = std::env::temp_dir().join(format!("grainfall-simulate-{}-sample-data", std::process::id()));
    for (_, make) in scenarios::ALL {
        Made::from_scenario(make().unwrap()).unwrap().write(&fresh).unwrap();
    }
    let generated = files(&fresh);
    let kept: Vec<PathBuf> = files(&committed()).into_iter().filter(|path| path != Path::new("README.md")).collect();
    assert_eq!(kept, generated, "run `cargo run --release -p grainfall-simulate -- sample-data`");
    for path in &generated {
        let same = fs::read(committed().join(path)).unwrap() == fs::read(fresh.join(path)).unwrap();
        assert!(same, "{} differs: run `cargo run --release -p grainfall-simulate -- sample-data`", path.display());
    }
    fs::remove_dir_all(&fresh).unwrap();
}

#[test]
fn the_sample_data_are_small() {
    let bytes: u64 = files(&committed()).iter().map(|path| fs::metadata(committed().join(path)).unwrap().len()).sum();
    assert!((100_000..600_000).contains(&bytes), "{bytes} bytes");
}

#[test]
fn the_readme_lists_the_hash_of_every_file() {
    let readme = fs::read_to_string(committed().join("README.md")).unwrap();
    let listed: Vec<(&str, &str)> =
        readme.lines().filter_map(|line| line.split_once("  ")).filter(|(hash, _)| hash.len() == 64).collect();
    let mut names: Vec<PathBuf> = listed.iter().map(|(_, name)| PathBuf::from(name)).collect();
    names.sort();
    let expected: Vec<PathBuf> =
        files(&committed()).into_iter().filter(|path| path != Path::new("README.md")).collect();
    assert_eq!(names, expected);
    for (hash, name) in listed {
        let Ok(output) = Command::new("sha256sum").arg(committed().join(name)).output() else {
            println!("skipped: no `sha256sum` on this machine");
            return;
        };
        let found = String::from_utf8(output.stdout).unwrap();
        assert_eq!(found.split_whitespace().next(), Some(hash), "{name}");
    }
}
