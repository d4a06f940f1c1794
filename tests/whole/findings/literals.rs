//! Numbers of findings stand in `thresholds.rs` or `rules.rs`, each with its source or mark, and nowhere in the findings
//! themselves: there a number is a unit (hours of a day, per cent), a count of decimals, or the two of a pair.

use std::fs;
use std::path::Path;

use grainfall_tests::root;

/// Numbers that are no thresholds: none, one and two of a thing; per cent; minutes, hours and seconds.
const PLAIN: [&str; 11] = ["0", "0.0", "1", "1.0", "2", "2.0", "3", "24.0", "60.0", "100.0", "3600.0"];

#[test]
fn no_number_of_a_finding_stands_outside_the_thresholds() {
    let folder = root().join("crates/analysis/src/findings");
    let mut odd = Vec::new();
    let mut files: Vec<_> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    assert!(files.len() > 35, "{}", files.len());
    for file in files.iter().filter(|file| !file.ends_with("mod.rs")) {
        odd.extend(of_file(file));
    }
    assert!(odd.is_empty(), "{}", odd.join("\n"));
}

fn of_file(file: &Path) -> Vec<String> {
    let text = fs::read_to_string(file).unwrap();
    let code = text.split("#[cfg(test)]").next().unwrap();
    let mut odd = Vec::new();
    for (number, line) in (1..).zip(without_texts(code).lines()) {
        // A constant of a file is a unit or a rounding, and says so above it.
        let line = if line.trim_start().starts_with("const ") { "" } else { line };
        for literal in literals(line) {
            if !PLAIN.contains(&literal.as_str()) {
                odd.push(format!("{}:{number}: {literal}", file.file_name().unwrap().to_string_lossy()));
            }
        }
    }
    odd
}

/// Code without comments and without what stands between quotes.
fn without_texts(code: &str) -> String {
    let mut out = String::new();
    let mut characters = code.chars().peekable();
    let mut within = false;
    while let Some(character) = characters.next() {
        match (within, character) {
            (true, '\\') => drop(characters.next_if(|next| *next != '\n')),
            (_, '"') => within = !within,
            (true, '\n') | (false, _) => {
                if !within && character == '/' && characters.peek() == Some(&'/') {
                    while characters.next_if(|next| *next != '\n').is_some() {}
                } else {
                    out.push(character);
                }
            }
            (true, _) => {}
        }
    }
    out
}

/// Numbers of a line of code.
fn literals(line: &str) -> Vec<String> {
    let mut found = Vec::new();
    // A range is two numbers.
    for piece in line.split("..") {
        let mut before = ' ';
        let mut rest = piece;
        while let Some(character) = rest.chars().next() {
            let within = before.is_alphanumeric() || before == '_' || before == '.';
            // `pair.0` is a place in a pair.
            if character.is_ascii_digit() && !within {
                let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '.' || c == '_')).unwrap_or(rest.len());
                // Its type, or a method behind it, is none of it.
                let number = rest[..end].split('_').next().unwrap_or_default();
                found.push(number.trim_end_matches(|c: char| c.is_alphabetic() || c == '.').to_owned());
                before = '0';
                rest = &rest[end..];
            } else {
                before = character;
                rest = &rest[character.len_utf8()..];
            }
        }
    }
    found
}

#[test]
fn numbers_are_found_in_code_and_not_in_texts() {
    let code = "let a = 0.75 * day.hours; // 12 h\nif x.0 > 3..7 { \"8 \\\" 9\" } else { y(10, k1) }";
    let found: Vec<String> = without_texts(code).lines().flat_map(literals).collect();
    assert_eq!(found, ["0.75", "3", "7", "10"]);
}
