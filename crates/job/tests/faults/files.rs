//! Faults, by example: whole files and the folder.

use std::fs;

use grainfall_job::{LIMIT_MIB, LoadError, load};

/// The message for a folder with these files.
fn told(files: &[(&str, &[u8])]) -> String {
    let folder = tempfile::tempdir().expect("a folder for the test");
    for (name, bytes) in files {
        fs::write(folder.path().join(name), bytes).expect("the folder can be written");
    }
    match load(folder.path()) {
        Err(LoadError::Faults(faults)) => faults.to_string(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn utf_16() {
    assert_eq!(
        told(&[("job.toml", b"\xff\xfe[\0j\0o\0b\0]\0")]),
        "job.toml: found UTF-16 text; UTF-8 is accepted, with or without a byte order mark; save the file as UTF-8 (spreadsheets call it `CSV UTF-8`)"
    );
    assert_eq!(
        told(&[("air.csv", b"t\0i\0m\0e\0")]),
        "air.csv: found zero bytes, as in UTF-16 text or a spreadsheet; UTF-8 is accepted, with or without a byte order mark; save the file as UTF-8 (spreadsheets call it `CSV UTF-8`)"
    );
}

#[test]
fn another_encoding() {
    assert_eq!(
        told(&[("visits.csv", b"time,note\n2025-03-08 12:00,caf\xe9\n")]),
        "visits.csv: found a byte on line 2 that is not UTF-8; UTF-8 is accepted, with or without a byte order mark; save the file as UTF-8 (spreadsheets call it `CSV UTF-8`)"
    );
}

#[test]
fn a_spreadsheet_under_the_name_of_a_text() {
    assert_eq!(
        told(&[("readings.csv", b"PK\x03\x04 and so on")]),
        "readings.csv: found a spreadsheet or zip file; UTF-8 is accepted, with or without a byte order mark; save the file as UTF-8 (spreadsheets call it `CSV UTF-8`)"
    );
}

#[test]
fn too_large() {
    let bytes = vec![b'\n'; usize::try_from(LIMIT_MIB * 1024 * 1024 + 1).unwrap()];
    assert_eq!(
        told(&[("readings.csv", &bytes)]),
        "readings.csv: is larger than 16 MiB; the job's own files are short texts; a logger export under this name needs another name"
    );
}

#[test]
fn a_folder_under_the_name_of_a_file() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("job.toml")).unwrap();
    let error = load(folder.path()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "job.toml: cannot be read: not a file; check that it is a file and that it may be read"
    );
}

#[test]
fn two_spellings_of_one_name() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("Visits.csv"), "time\n").unwrap();
    fs::write(folder.path().join("visits.csv"), "time\n").unwrap();
    // A file system that does not tell upper from lower case holds one file only.
    if fs::read_dir(folder.path()).unwrap().count() == 2 {
        assert_eq!(
            load(folder.path()).unwrap_err().to_string(),
            "visits.csv: is here twice, as `Visits.csv` and `visits.csv`; one is accepted; merge them or rename one"
        );
    }
}

#[test]
fn no_folder() {
    let folder = tempfile::tempdir().unwrap();
    let missing = folder.path().join("missing");
    let error = load(&missing).unwrap_err();
    assert!(matches!(&error, LoadError::Folder { source, .. } if source.kind() == std::io::ErrorKind::NotFound));
    assert_eq!(
        error.to_string(),
        format!("`{}` cannot be read as a folder; check the path and that it may be read", missing.display())
    );
}

#[test]
fn a_broken_job_toml_does_not_make_every_id_unknown() {
    let told = told(&[
        ("job.toml", b"[job]\ntitle = \n[[point]]\nid = \"K1\"\n"),
        ("readings.csv", b"time,point,value\n3/8/2025 9:00,K1,wet\n"),
    ]);
    let lines: Vec<&str> = told.lines().collect();
    assert!(lines[0].starts_with("job.toml line 2, column 9: is not valid TOML here: "), "{told}");
    assert_eq!(
        lines[1..],
        [
            "readings.csv line 2, column `value`: `value` is `wet`; accepted: a number, `>40`, `OL`, or `-` with the reason in the note"
        ]
    );
}
