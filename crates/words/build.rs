//! Lists the languages (the files of `assets`) and the keys of English with the places of each, so that a text that is
//! not there, or a place that is not filled, is an error of the compiler where it is said.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

fn main() {
    let assets = Path::new(env!("CARGO_MANIFEST_DIR")).join("assets");
    println!("cargo::rerun-if-changed={}", assets.display());
    let mut files: Vec<_> =
        fs::read_dir(&assets).expect("assets").map(|entry| entry.expect("an entry").path()).collect();
    files.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
    files.sort();
    let mut out =
        String::from("/// Code and file of every language, by code.\npub(crate) const FILES: &[(&str, &str)] = &[\n");
    for path in &files {
        let code = path.file_stem().and_then(|stem| stem.to_str()).expect("a code");
        writeln!(out, "    ({code:?}, include_str!({path:?})),").expect("written");
    }
    out += "];\n/// Every key of English, sorted, with the places of its text, and whether it has forms.\n";
    out += "pub(crate) const KEYS: &[(&str, &[&str], bool)] = &[\n";
    let english = fs::read_to_string(assets.join("en.toml")).expect("English");
    for (key, text) in texts(&english) {
        let forms = text.starts_with('{');
        let mut places = places(if forms { &text[1..] } else { &text });
        if forms {
            places.insert("count");
        }
        let places: Vec<_> = places.into_iter().collect();
        writeln!(out, "    ({key:?}, &{places:?}, {forms}),").expect("written");
    }
    out += "];\n";
    let folder = std::env::var_os("OUT_DIR").expect("a folder for what is made");
    fs::write(Path::new(&folder).join("made.rs"), out).expect("written");
}

/// Keys with what stands behind their sign of equality. A text is one line: `key = "text"`, or with forms
/// `key = { one = "text", other = "text" }`.
fn texts(file: &str) -> BTreeMap<String, String> {
    let mut texts = BTreeMap::new();
    let mut section = "";
    for (at, line) in file.lines().enumerate() {
        let at = at + 1;
        if let Some(name) = line.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
            section = name;
        } else if section == "lists" || section == "language" || line.is_empty() || line.starts_with('#') {
        } else {
            let (key, text) = line.split_once(" = ").unwrap_or_else(|| panic!("en.toml:{at}: no `key = text`"));
            assert!(text.starts_with(['"', '{']), "en.toml:{at}: neither a text nor forms");
            let before = texts.insert(format!("{section}.{key}"), text.to_owned());
            assert!(before.is_none(), "en.toml:{at}: a key twice");
        }
    }
    texts
}

/// Places of a text, or of all its forms.
fn places(text: &str) -> BTreeSet<&str> {
    let names = text.split('{').skip(1).filter_map(|part| part.split_once('}')).map(|(name, _)| name);
    names.filter(|name| !name.contains(['"', ' '])).collect()
}
