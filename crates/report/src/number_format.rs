//! Numbers as text: the one place where anything in a report is rounded.
//!
//! A number is rounded half away from zero on its shortest decimal form, the one a reader sees in `summary.json` and
//! the one a pocket calculator starts from: 58.25 becomes 58.3, where binary formatting gives 58.2.

use crate::words::Words;

/// What is printed where the record has no number.
pub const NO_VALUE: &str = "–";

/// A number with a fixed number of decimals, ASCII minus sign; for tables that programs read.
///
/// # Arguments
/// * `value`: any finite number; one that is not finite becomes an empty text, as a missing value does.
/// * `decimals`: 0 to 12.
///
/// ```
/// use grainfall_report::number_format::fixed;
/// assert_eq!(fixed(58.25, 1), "58.3");
/// assert_eq!(fixed(-0.04, 1), "0.0");
/// ```
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return String::new();
    }
    // Display prints the shortest decimal that reads back as the same number, never with an exponent.
    let plain = format!("{}", value.abs());
    let (whole, fraction) = plain.split_once('.').unwrap_or((&plain, ""));
    let mut digits: Vec<u8> = whole.bytes().map(|b| b - b'0').collect();
    let kept = fraction.bytes().map(|b| b - b'0').chain(std::iter::repeat(0)).take(decimals);
    digits.extend(kept);
    if fraction.as_bytes().get(decimals).is_some_and(|next| *next >= b'5') {
        add_one(&mut digits);
    }
    let point = digits.len() - decimals;
    let mut text = String::with_capacity(digits.len() + 2);
    if value < 0.0 && digits.iter().any(|d| *d != 0) {
        text.push('-');
    }
    for (place, digit) in digits.iter().enumerate() {
        if place == point {
            text.push('.');
        }
        text.push(char::from(b'0' + digit));
    }
    text
}

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

/// The same with a sign in front, as [`signed`].
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

fn add_one(digits: &mut Vec<u8>) {
    for digit in digits.iter_mut().rev() {
        if *digit == 9 {
            *digit = 0;
        } else {
            *digit += 1;
            return;
        }
    }
    digits.insert(0, 1);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn english() -> Words {
        Words::default()
    }

    /// Worked by hand: half away from zero on the decimal digits as written.
    #[test]
    fn halves_go_away_from_zero() {
        for (value, decimals, want) in [
            (58.25, 1, "58.3"),
            (58.35, 1, "58.4"),
            (58.249_999, 1, "58.2"),
            (1.005, 2, "1.01"),
            (2.675, 2, "2.68"),
            (0.5, 0, "1"),
            (1.5, 0, "2"),
            (2.5, 0, "3"),
            (-2.5, 0, "-3"),
            (-0.5, 0, "-1"),
            (99.95, 1, "100.0"),
            (9.999, 2, "10.00"),
            (-0.04, 1, "0.0"),
            (-0.0, 1, "0.0"),
            (0.0, 0, "0"),
            (3.0, 3, "3.000"),
            (1e21, 0, "1000000000000000000000"),
            (1e-9, 2, "0.00"),
            (123.456, 0, "123"),
        ] {
            assert_eq!(fixed(value, decimals), want, "{value} with {decimals} decimals");
        }
    }

    #[test]
    fn a_number_that_is_not_finite_is_empty() {
        assert_eq!(fixed(f64::NAN, 1), "");
        assert_eq!(fixed(f64::INFINITY, 1), "");
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
