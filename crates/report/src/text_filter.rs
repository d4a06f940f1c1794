//! Characters that cannot be shown as they are: written as `[U+XXXX]` and counted, never a reason to stop.
//!
//! Two readers, two filters. A PDF and a drawn chart carry their own faces, so a character without a glyph in every
//! one of them is written out. A page is drawn with the reader's faces, so only what steers text rather than being
//! text (controls, direction overrides, private use) is written out.

use std::sync::LazyLock;

use typst::foundations::Bytes;
use typst::text::{Coverage, Font};

/// A text with the number of its characters that were written out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filtered {
    /// The text to show.
    pub text: String,
    /// How many characters were written out as `[U+XXXX]`.
    pub replaced: u64,
}

/// The text with every character that the embedded faces do not carry written out.
///
/// ```
/// use grainfall_report::text_filter::for_embedded_faces;
/// assert_eq!(for_embedded_faces("dry \u{5e72}").text, "dry [U+5E72]");
/// ```
#[must_use]
pub fn for_embedded_faces(text: &str) -> Filtered {
    filter(text, |c| !steers(c) && COVERAGE.iter().all(|face| face.contains(u32::from(c))))
}

/// The text with only those characters written out that steer text instead of being text.
#[must_use]
pub fn for_any_faces(text: &str) -> Filtered {
    filter(text, |c| !steers(c))
}

/// Whether every embedded face carries a character.
#[must_use]
pub fn is_covered(c: char) -> bool {
    !steers(c) && COVERAGE.iter().all(|face| face.contains(u32::from(c)))
}

/// Places where a long word may be broken, marked with zero-width spaces: after the separators of paths and ids,
/// and at the latest after `longest` characters.
///
/// A word of up to `longest` characters, or a number, is left as it is. The marks leave no trace on paper.
#[must_use]
pub fn with_break_marks(text: &str, longest: usize) -> String {
    let mut out = String::with_capacity(text.len());
    for word in text.split_inclusive(' ') {
        let length = word.chars().count();
        let is_number = length <= 12 && word.chars().all(|c| c.is_ascii_digit() || ".−+-±%() ".contains(c));
        if length <= longest || is_number {
            out.push_str(word);
            continue;
        }
        let mut since = 0;
        for c in word.chars() {
            if since >= longest {
                out.push(BREAK);
                since = 0;
            }
            out.push(c);
            since += 1;
            if matches!(c, '/' | '_' | '-' | '.' | ',' | ';' | ':' | ']') && since > 3 {
                out.push(BREAK);
                since = 0;
            }
        }
    }
    out
}

/// Zero-width space: a place to break a line, drawn as nothing.
pub(crate) const BREAK: char = '\u{200b}';

static COVERAGE: LazyLock<Vec<Coverage>> = LazyLock::new(|| {
    crate::fonts::all()
        .iter()
        .filter_map(|face| Font::new(Bytes::new(*face), 0))
        .map(|face| face.info().coverage.clone())
        .collect()
});

fn filter(text: &str, can_show: impl Fn(char) -> bool) -> Filtered {
    let mut out = String::with_capacity(text.len());
    let mut replaced = 0;
    for c in text.chars() {
        match c {
            '\n' | '\r' | '\t' | '\u{a0}' => out.push(' '),
            c if can_show(c) => out.push(c),
            c => {
                replaced += 1;
                out.push_str(&format!("[U+{:04X}]", u32::from(c)));
            }
        }
    }
    Filtered { text: out, replaced }
}

/// Controls, direction marks and overrides, joiners, variation selectors, private use, non-characters.
fn steers(c: char) -> bool {
    matches!(u32::from(c),
        0x00..=0x1f | 0x7f..=0x9f | 0xad | 0x61c | 0x180e
        | 0x200b..=0x200f | 0x2028..=0x202e | 0x2060..=0x206f
        | 0xfe00..=0xfe0f | 0xfeff | 0xfff0..=0xffff
        | 0xe000..=0xf8ff | 0xe0000..=0x10_ffff)
        || u32::from(c) & 0xfffe == 0xfffe
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_text_passes_and_the_rest_is_named_and_counted() {
        let plain = "Oak strip, 3/4 in: 12.5 % ± 0.5 – “kitchen” °F ft² − é ü ß Ж Ω";
        assert_eq!(for_embedded_faces(plain), Filtered { text: plain.to_owned(), replaced: 0 });
        let odd = for_embedded_faces("\u{feff}a\u{202e}b\u{0}c\u{1f4a7}d\u{5e72}e\u{5d0}");
        assert_eq!(odd.text, "[U+FEFF]a[U+202E]b[U+0000]c[U+1F4A7]d[U+5E72]e[U+05D0]");
        assert_eq!(odd.replaced, 6);
    }

    #[test]
    fn a_page_keeps_what_the_readers_faces_may_carry() {
        let odd = for_any_faces("\u{feff}a\u{202e}b\u{1f4a7}\u{5e72}\u{5d0}\u{e001}");
        assert_eq!(odd.text, "[U+FEFF]a[U+202E]b\u{1f4a7}\u{5e72}\u{5d0}[U+E001]");
        assert_eq!(odd.replaced, 3);
    }

    #[test]
    fn line_ends_and_tabs_become_spaces() {
        assert_eq!(for_embedded_faces("a\tb\nc\u{a0}d").text, "a b c d");
    }

    #[test]
    fn long_words_get_places_to_break_and_short_ones_stay() {
        assert_eq!(with_break_marks("short words stay", 10), "short words stay");
        let marked = with_break_marks("exports/week_one/affected.csv", 12);
        assert_eq!(marked.replace('\u{200b}', ""), "exports/week_one/affected.csv");
        assert!(marked.contains("exports/\u{200b}week_\u{200b}one/\u{200b}"), "{marked:?}");
        assert_eq!(with_break_marks("−12345.67 ±", 4), "−12345.67 ±");
        let solid = with_break_marks(&"x".repeat(100), 12);
        assert!(solid.split('\u{200b}').all(|part| part.chars().count() <= 12), "{solid:?}");
    }
}
