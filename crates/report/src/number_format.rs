//! Numbers as people read them; rounded by [`fixed`], with which the analysis rounds too.

pub use grainfall_words::decimal::fixed;

use crate::words::{Words, say};

/// What is printed where the record has no number.
pub const NO_VALUE: &str = "–";

/// The same for people: a true minus sign, and the language's sign before the fraction.
#[must_use]
pub fn shown(words: Words, value: f64, decimals: usize) -> String {
    words.figure(plain(value, decimals))
}

fn plain(value: f64, decimals: usize) -> String {
    fixed(value, decimals).replace('-', "−")
}

/// The same with a sign in front, also of a positive number; zero has none.
#[must_use]
pub fn signed(words: Words, value: f64, decimals: usize) -> String {
    let text = shown(words, value, decimals);
    let is_zero = !text.bytes().any(|b| matches!(b, b'1'..=b'9'));
    if is_zero || text.starts_with('−') { text } else { format!("+{text}") }
}

/// A number with at most so many decimals, trailing zeros left out; for values written by people, such as a goal.
#[must_use]
pub fn trimmed(words: Words, value: f64, decimals: usize) -> String {
    let text = plain(value, decimals);
    words.figure(if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text })
}

/// The same with a sign in front, as [`signed`]: a distance from a goal, with the decimals that were read.
#[must_use]
pub fn signed_trimmed(words: Words, value: f64, decimals: usize) -> String {
    let text = trimmed(words, value, decimals);
    if value > 0.0 && text != "0" { format!("+{text}") } else { text }
}

/// A value, or the dash for a missing one.
#[must_use]
pub fn or_dash(words: Words, value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| NO_VALUE.to_owned(), |v| shown(words, v, decimals))
}

/// From one value to another; one value where both are written alike.
///
/// # Arguments
/// * `write`: a value as it is written, without its unit.
#[must_use]
pub fn range(words: Words, low: f64, high: f64, write: impl Fn(f64) -> String) -> String {
    let (low, high) = (write(low), write(high));
    if low == high { low } else { say!(words, "shown.from_to", from = low, to = high) }
}

/// A value with its expanded uncertainty (`12.3 ± 2.0`), or the dash.
#[must_use]
pub fn with_uncertainty(words: Words, value: Option<f64>, u: Option<f64>, decimals: usize) -> String {
    match (value, u) {
        (Some(value), Some(u)) => format!("{} ± {}", shown(words, value, decimals), shown(words, u, decimals)),
        (value, _) => or_dash(words, value, decimals),
    }
}

/// A share of 0 to 1 in per cent; a share short of all is never printed as 100 %, nor one above none as 0 %.
#[must_use]
pub fn share(words: Words, share: f64) -> String {
    let percent = share * 100.0;
    let text = shown(words, percent, 0);
    match text.as_str() {
        "100" if share < 1.0 => "99 %".to_owned(),
        "0" if share > 0.0 => "< 1 %".to_owned(),
        _ => format!("{text} %"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn english() -> Words {
        Words::default()
    }

    #[test]
    fn people_read_a_true_minus_and_a_dash_for_nothing() {
        assert_eq!(shown(english(), -3.16, 1), "−3.2");
        assert_eq!(signed(english(), 3.16, 1), "+3.2");
        assert_eq!(signed(english(), -3.16, 1), "−3.2");
        assert_eq!(signed(english(), -0.04, 1), "0.0");
        assert_eq!(or_dash(english(), None, 1), "–");
        assert_eq!(with_uncertainty(english(), Some(12.25), Some(2.0), 1), "12.3 ± 2.0");
        assert_eq!(with_uncertainty(english(), None, Some(2.0), 1), "–");
        assert_eq!(trimmed(english(), 12.0, 2), "12");
        assert_eq!(trimmed(english(), 12.5, 2), "12.5");
        assert_eq!(trimmed(english(), 100.0, 0), "100");
        assert_eq!(signed_trimmed(english(), 25.95 - 12.2, 2), "+13.75");
        assert_eq!(signed_trimmed(english(), -0.3, 2), "−0.3");
        assert_eq!(signed_trimmed(english(), 0.0, 2), "0");
    }

    #[test]
    fn a_range_of_one_value_is_that_value() {
        assert_eq!(range(english(), 67.9, 67.94, |v| shown(english(), v, 1)), "67.9");
        assert_eq!(range(english(), 67.9, 68.0, |v| trimmed(english(), v, 1)), "67.9 to 68");
    }

    #[test]
    fn a_share_short_of_all_is_not_printed_as_all() {
        assert_eq!(share(english(), 1.0), "100 %");
        assert_eq!(share(english(), 0.999), "99 %");
        assert_eq!(share(english(), 0.745), "75 %");
        assert_eq!(share(english(), 0.001), "< 1 %");
        assert_eq!(share(english(), 0.0), "0 %");
    }
}
