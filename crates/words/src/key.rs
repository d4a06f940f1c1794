//! Texts by their keys, looked up when the program is compiled.

include!(concat!(env!("OUT_DIR"), "/made.rs"));

/// A text of the language files: its position among the keys of English.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key(pub(crate) usize);

impl Key {
    /// Its name, `section.key`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        KEYS[self.0].0
    }

    /// The places of its text, sorted.
    #[must_use]
    pub const fn places(self) -> &'static [&'static str] {
        KEYS[self.0].1
    }

    /// Whether it has forms, one of which is chosen by the place `count`.
    #[must_use]
    pub const fn has_forms(self) -> bool {
        KEYS[self.0].2
    }

    pub(crate) fn all() -> impl Iterator<Item = Self> {
        (0..KEYS.len()).map(Self)
    }
}

/// The text of a name with exactly these places. Meant for [`say!`](crate::say), which asks when it is compiled.
///
/// # Panics
/// With no text of this name, with a place that its text does not have, and with one of its places not filled.
#[must_use]
pub const fn key(name: &str, places: &[&str]) -> Key {
    let (mut from, mut to) = (0, KEYS.len());
    while from < to {
        let middle = from + (to - from) / 2;
        match compare(KEYS[middle].0, name) {
            0 => {
                let own = KEYS[middle].1;
                assert!(all_in(places, own), "a place that the text of this key in assets/en.toml does not have");
                assert!(all_in(own, places), "a place of the text of this key in assets/en.toml is not filled");
                return Key(middle);
            }
            -1 => from = middle + 1,
            _ => to = middle,
        }
    }
    panic!("no text of this key in assets/en.toml")
}

const fn all_in(some: &[&str], of: &[&str]) -> bool {
    let mut i = 0;
    while i < some.len() {
        let mut found = false;
        let mut k = 0;
        while k < of.len() {
            found = found || compare(some[i], of[k]) == 0;
            k += 1;
        }
        if !found {
            return false;
        }
        i += 1;
    }
    true
}

/// -1, 0 or 1: before, the same, after, by bytes.
const fn compare(a: &str, b: &str) -> i8 {
    let (a, b) = (a.as_bytes(), b.as_bytes());
    let mut i = 0;
    while i < a.len() && i < b.len() {
        if a[i] != b[i] {
            return if a[i] < b[i] { -1 } else { 1 };
        }
        i += 1;
    }
    if a.len() == b.len() {
        0
    } else if a.len() < b.len() {
        -1
    } else {
        1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_is_found_by_its_name() {
        for (at, (name, places, _)) in KEYS.iter().enumerate() {
            assert_eq!(key(name, places), Key(at));
        }
    }

    #[test]
    #[should_panic(expected = "no text of this key")]
    fn a_name_of_no_text_is_refused() {
        let _ = key("nothing.of_this_name", &[]);
    }

    #[test]
    #[should_panic(expected = "is not filled")]
    fn an_empty_place_is_refused() {
        let _ = key("report.drying_report", &[]);
    }

    #[test]
    #[should_panic(expected = "does not have")]
    fn a_place_that_is_not_there_is_refused() {
        let _ = key("report.drying_report", &["name", "date"]);
    }
}
