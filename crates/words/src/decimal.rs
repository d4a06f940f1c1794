//! Rounding: the one place where a number becomes text with fewer digits.
//!
//! A number is rounded half away from zero on its decimal digits, those that a reader sees and a pocket calculator
//! starts from: 58.25 becomes 58.3, where binary formatting gives 58.2.

/// Significant digits that count. Readings and goals have a handful; what stands behind the twelfth comes from
/// computing in binary: 25.95 minus 12.2 is 13.749999999999998 there.
const SIGNIFICANT: usize = 12;

/// A number with a fixed number of decimals, ASCII minus sign.
///
/// # Arguments
/// * `value`: any finite number; one that is not finite becomes an empty text, as a missing value does.
/// * `decimals`: 0 to 12.
///
/// ```
/// use grainfall_words::decimal::fixed;
/// assert_eq!(fixed(58.25, 1), "58.3");
/// assert_eq!(fixed(25.95 - 12.2, 1), "13.8");
/// assert_eq!(fixed(-0.04, 1), "0.0");
/// ```
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let plain = plain(value.abs());
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

/// The digits that count, without an exponent.
fn plain(value: f64) -> String {
    // Display prints the shortest decimal that reads back as the same number, never with an exponent.
    let shortest = value.to_string();
    if shortest.len() <= SIGNIFICANT {
        return shortest;
    }
    let counted = format!("{value:.*e}", SIGNIFICANT - 1);
    counted.parse::<f64>().map_or(shortest, |counted| counted.to_string())
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

    /// Worked by hand: half away from zero on the decimal digits as written.
    #[test]
    fn halves_go_away_from_zero() {
        for (value, decimals, want) in [
            (58.25, 1, "58.3"),
            (58.35, 1, "58.4"),
            (58.249_999, 1, "58.2"),
            (1.005, 2, "1.01"),
            (2.675, 2, "2.68"),
            (13.75, 1, "13.8"),
            (40.75, 1, "40.8"),
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

    /// Differences of numbers with two decimals, worked by hand; computed in binary each lies beside its half.
    #[test]
    fn a_difference_is_rounded_as_it_is_worked_out_by_hand() {
        for (more, less, decimals, want) in [
            (25.95, 12.2, 1, "13.8"),
            (1000.3, 1000.25, 1, "0.1"),
            (12.2, 25.95, 1, "-13.8"),
            (0.3, 0.1, 1, "0.2"),
            (12.2, 12.2, 1, "0.0"),
        ] {
            assert_eq!(fixed(more - less, decimals), want, "{more} - {less}");
        }
    }

    #[test]
    fn a_number_that_is_not_finite_is_empty() {
        assert_eq!(fixed(f64::NAN, 1), "");
        assert_eq!(fixed(f64::INFINITY, 1), "");
    }
}
