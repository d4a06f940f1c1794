//! The cache, in every state in which it may be.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use grainfall_tests::tree::files;

#[test]
fn the_cache_changes_no_byte_whatever_state_it_is_in() {
    let (root, cache) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let job = root.path().join("larch");
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data/larch-street");
    for (path, text) in files(&sample).unwrap().into_iter().filter(|(path, _)| !path.starts_with("report")) {
        fs::create_dir_all(job.join(&path).parent().unwrap()).unwrap();
        fs::write(job.join(path), text).unwrap();
    }
    let cache_dir = cache.path().join("kept");
    let report = |arguments: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_grainfall"));
        let output = command.arg("report").args(arguments).arg(&job).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        files(&job.join("report")).unwrap()
    };
    let kept = ["--cache", cache_dir.to_str().unwrap()];
    let without = report(&["--no-cache"]);
    let same = |state: &str| {
        let with = report(&kept);
        let paths: Vec<&PathBuf> =
            without.keys().chain(with.keys()).filter(|p| without.get(*p) != with.get(*p)).collect();
        assert!(paths.is_empty(), "{state}: {paths:?}");
    };
    same("empty");
    let entries = files(&cache_dir).unwrap();
    assert!(entries.len() >= 5, "the exports and charts are kept: {}", entries.len());
    same("full");
    assert_eq!(files(&cache_dir).unwrap(), entries, "nothing was read or drawn again");
    for (path, text) in &entries {
        fs::write(cache_dir.join(path), &text[..text.len() / 2]).unwrap();
    }
    same("cut off");
    for (path, text) in &entries {
        let mut text = text.clone();
        let at = text.len() - 1 - text.len() / 3;
        text[at] ^= 0x10;
        fs::write(cache_dir.join(path), text).unwrap();
    }
    same("changed");
    for (path, text) in &entries {
        fs::write(cache_dir.join(path), [b"gfkept0\n", &text[8..]].concat()).unwrap();
    }
    same("of another form");
    fs::remove_dir_all(&cache_dir).unwrap();
    same("deleted");
}
