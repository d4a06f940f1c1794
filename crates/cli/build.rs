//! Names the code of this build, so that results kept by other code are never taken for this one's.

use std::fs;
use std::hash::{DefaultHasher, Hasher};
use std::path::{Path, PathBuf};

fn main() {
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut places = vec![crates.join("../Cargo.lock"), crates.join("../Cargo.toml")];
    for within in list(&crates) {
        let parts = ["src", "assets", "Cargo.toml", "build.rs"];
        places.extend(parts.map(|part| within.join(part)).into_iter().filter(|place| place.exists()));
    }
    let mut hash = DefaultHasher::new();
    // The same sources may round otherwise elsewhere.
    for name in ["TARGET", "OPT_LEVEL"] {
        hash.write(std::env::var_os(name).unwrap_or_default().as_encoded_bytes());
    }
    for place in places {
        println!("cargo::rerun-if-changed={}", place.display());
        add(&place, &mut hash);
    }
    println!("cargo::rustc-env=GRAINFALL_CODE={:016x}", hash.finish());
}

fn add(place: &Path, hash: &mut DefaultHasher) {
    if place.is_dir() {
        list(place).iter().for_each(|within| add(within, hash));
    } else if let Ok(bytes) = fs::read(place) {
        hash.write(place.as_os_str().as_encoded_bytes());
        hash.write_usize(bytes.len());
        hash.write(&bytes);
    }
}

fn list(folder: &Path) -> Vec<PathBuf> {
    let mut places: Vec<PathBuf> =
        fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path()).collect();
    places.sort();
    places
}
