//! Numbers as files write them: either decimal mark, grouped digits, exponents, units glued behind.

use crate::words::words;

/// The decimal mark of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    Point,
    Comma,
}

impl Mark {
    fn byte(self) -> u8 {
        match self {
            Self::Point => b'.',
            Self::Comma => b',',
        }
    }

    pub fn char(self) -> char {
        char::from(self.byte())
    }

    pub fn name(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Comma => "comma",
        }
    }
}

/// What a cell holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Number<'a> {
    /// A number, and what stands behind it (empty, or a unit).
    Value(f64, &'a str),
    /// An empty cell or a word for "no value".
    Missing,
    /// Anything else.
    Text,
}

/// Reads a cell.
pub(crate) fn number(text: &str, mark: Mark) -> Number<'_> {
    if let Some(value) = plain(text.as_bytes(), mark) {
        return Number::Value(value, "");
    }
    if let Some((value, rest)) = leading(text, mark) {
        return Number::Value(value, rest);
    }
    if words().is_missing(text) { Number::Missing } else { Number::Text }
}

/// Signs that stand behind a number to mark it.
const SIGNS: [char; 8] = ['*', '#', '?', '!', '^', '~', '†', '‡'];

/// What stands behind a number, parted into a unit and the mark behind that: one or two signs (`21.5*`), or a letter
/// behind decimals (`21.5H`) that is no unit. Either may be empty.
pub(crate) fn marked<'a>(text: &str, rest: &'a str) -> (&'a str, &'a str) {
    let unit = rest.trim_end_matches(SIGNS);
    let mark = &rest[unit.len()..];
    if mark.chars().count() > 2 {
        return (rest, "");
    }
    let letter = matches!(unit.as_bytes(), [one] if one.is_ascii_alphabetic());
    let decimals = text.contains(['.', ',']);
    if letter && decimals && mark.is_empty() && words().unit(unit).is_none() {
        return ("", rest);
    }
    (unit.trim_end(), mark)
}

/// Powers of ten that are exact.
const TENS: [f64; 16] = [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];

/// A sign, digits and one mark, nothing else: the common case. With 15 digits at most both the digits and the power of
/// ten are exact, and so their quotient is the nearest number there is.
fn plain(bytes: &[u8], mark: Mark) -> Option<f64> {
    let (negative, rest) = match bytes.first()? {
        b'-' => (true, &bytes[1..]),
        _ => (false, bytes),
    };
    if rest.len() > 16 {
        return None;
    }
    let (mut value, mut marked) = (0_u64, None);
    for (at, byte) in rest.iter().enumerate() {
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 {
            // Sixteen digits are far from the end of the type.
            value = value.wrapping_mul(10).wrapping_add(digit.into());
        } else if *byte == mark.byte() && marked.is_none() {
            marked = Some(at);
        } else {
            return None;
        }
    }
    let digits = rest.len() - usize::from(marked.is_some());
    let places = marked.map_or(0, |at| rest.len() - at - 1);
    if digits == 0 || digits > 15 {
        return None;
    }
    #[allow(clippy::cast_precision_loss, reason = "15 digits are exact")]
    let value = value as f64 / TENS[places];
    Some(if negative { -value } else { value })
}

/// The number at the start of a text and what follows it, trimmed.
fn leading(text: &str, mark: Mark) -> Option<(f64, &str)> {
    let bytes = text.as_bytes();
    let mut at = 0;
    let mut negative = false;
    match bytes.first()? {
        b'-' => {
            negative = true;
            at = 1;
        }
        b'+' => at = 1,
        0xE2 if text.starts_with('\u{2212}') => {
            negative = true;
            at = 3;
        }
        b'0'..=b'9' | b'.' | b',' => {}
        _ => return None,
    }
    // Digits, the mark and the exponent, with groups taken out.
    let mut plain = [0_u8; 48];
    let mut len = 0;
    let mut put = |byte: u8| -> Option<()> {
        *plain.get_mut(len)? = byte;
        len += 1;
        Some(())
    };
    let mut digits = 0;
    let mut seen_mark = false;
    if negative {
        put(b'-')?;
    }
    while let Some(byte) = bytes.get(at) {
        match byte {
            b'0'..=b'9' => {
                put(*byte)?;
                digits += 1;
                at += 1;
            }
            _ if *byte == mark.byte() && !seen_mark => {
                put(b'.')?;
                seen_mark = true;
                at += 1;
            }
            _ if !seen_mark && digits > 0 => match group(bytes, at, digits, mark) {
                Some(width) => at += width,
                None => break,
            },
            _ => break,
        }
    }
    if digits == 0 {
        return None;
    }
    if let Some(width) = exponent(&bytes[at..]) {
        for byte in &bytes[at..at + width] {
            put(*byte)?;
        }
        at += width;
    }
    let value: f64 = std::str::from_utf8(&plain[..len]).ok()?.parse().ok()?;
    let rest = text.get(at..)?.trim_start();
    // What follows a number is never more of a number or of a date.
    if !value.is_finite() || rest.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | ':' | '-' | '+'))
    {
        return None;
    }
    Some((value, rest))
}

/// Width of a digit-group separator at `at`: the whole run of digits from there must come in threes.
fn group(bytes: &[u8], at: usize, digits: usize, mark: Mark) -> Option<usize> {
    let width = match bytes[at] {
        b',' if mark == Mark::Point => 1,
        b'.' if mark == Mark::Comma => 1,
        b'\'' | b' ' => 1,
        0xC2 if bytes.get(at + 1) == Some(&0xA0) => 2,
        0xE2 if bytes.get(at + 1) == Some(&0x80) && matches!(bytes.get(at + 2), Some(0xAF | 0x89)) => 3,
        _ => return None,
    };
    let after = bytes.get(at + width..at + width + 3)?;
    let three = after.iter().all(u8::is_ascii_digit);
    let stop = bytes.get(at + width + 3).is_none_or(|b| !b.is_ascii_digit());
    (three && stop && digits <= 12).then_some(width)
}

/// Length of an exponent such as `e+00`.
fn exponent(bytes: &[u8]) -> Option<usize> {
    if !matches!(bytes.first()?, b'e' | b'E') {
        return None;
    }
    let mut at = 1;
    if matches!(bytes.get(at)?, b'+' | b'-') {
        at += 1;
    }
    let start = at;
    while bytes.get(at).is_some_and(u8::is_ascii_digit) {
        at += 1;
    }
    (at > start && at - start <= 4).then_some(at)
}

/// Counts of what the numbers of a column show about their decimal mark.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Marks {
    /// Cells with a point that can only be a decimal mark.
    pub points: usize,
    /// Cells with a comma that can only be a decimal mark.
    pub commas: usize,
    /// Cells such as `1,013`, where a comma may be either.
    pub either: usize,
}

impl Marks {
    /// Looks at one cell.
    pub fn see(&mut self, text: &str) {
        let bytes = text.as_bytes();
        if !bytes.first().is_some_and(|b| b.is_ascii_digit() || matches!(b, b'-' | b'+' | b'.' | b',')) {
            return;
        }
        let end = bytes
            .iter()
            .position(|b| !(b.is_ascii_digit() || matches!(b, b'-' | b'+' | b'.' | b',')))
            .unwrap_or(bytes.len());
        let run = &bytes[..end];
        let points = run.iter().filter(|b| **b == b'.').count();
        let commas = run.iter().filter(|b| **b == b',').count();
        let last = run.iter().rposition(|b| matches!(b, b'.' | b','));
        let Some(last) = last else { return };
        match (points, commas) {
            (1, 0) => self.points += 1,
            (0, 1) if run.len() - last != 4 || run[..last].last().is_none_or(|b| !b.is_ascii_digit()) => {
                self.commas += 1
            }
            (0, 1) if matches!(run[..last], [b'0'] | [b'-' | b'+', b'0']) => self.commas += 1,
            (0, 1) => self.either += 1,
            (p, c) if p >= 1 && c >= 1 => match run[last] {
                b'.' if p == 1 => self.points += 1,
                b',' if c == 1 => self.commas += 1,
                _ => {}
            },
            _ => {}
        }
    }

    pub fn add(&mut self, other: Self) {
        self.points += other.points;
        self.commas += other.commas;
        self.either += other.either;
    }

    /// The mark these cells show, if they show one.
    pub fn mark(self) -> Option<Mark> {
        if self.points > self.commas {
            Some(Mark::Point)
        } else if self.commas > self.points {
            Some(Mark::Comma)
        } else {
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn value(text: &str, mark: Mark, want: f64) {
        match number(text, mark) {
            Number::Value(got, _) => assert!((got - want).abs() < 1e-12, "{text}: got {got}"),
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn plain_numbers() {
        value("21.5", Mark::Point, 21.5);
        value("-3,1", Mark::Comma, -3.1);
        value("\u{2212}3,1", Mark::Comma, -3.1);
        value("+.5", Mark::Point, 0.5);
        value("6.2500000000000000e+00", Mark::Point, 6.25);
        value("1,013.25", Mark::Point, 1013.25);
        value("1.013,25", Mark::Comma, 1013.25);
        value("1 013,25", Mark::Comma, 1013.25);
        value("101'325", Mark::Point, 101_325.0);
        value("1,234,567", Mark::Point, 1_234_567.0);
    }

    #[test]
    fn the_short_way_gives_the_same_numbers() {
        for text in ["0", "-0.1", "21.5", "99.99", "123456789.012345", "0.000001", "-40", "7.", ".25", "1013.25"] {
            let (long, rest) = leading(text, Mark::Point).unwrap();
            assert_eq!(plain(text.as_bytes(), Mark::Point).map(f64::to_bits), Some(long.to_bits()), "{text}");
            assert_eq!(rest, "");
        }
        for text in ["", "-", ".", "1.2.3", "1e5", "21.5 C", "1234567890123456", "+1", "1,013"] {
            assert_eq!(plain(text.as_bytes(), Mark::Point), None, "{text}");
        }
    }

    #[test]
    fn units_stay_behind() {
        assert_eq!(number("21.5 °C", Mark::Point), Number::Value(21.5, "°C"));
        assert_eq!(number("45%RH", Mark::Point), Number::Value(45.0, "%RH"));
        assert_eq!(number("0.07s", Mark::Point), Number::Value(0.07, "s"));
    }

    #[test]
    fn marks_behind_numbers() {
        for (text, rest, want) in [
            ("21.5*", "*", ("", "*")),
            ("215?", "?", ("", "?")),
            ("21.5H", "H", ("", "H")),
            ("21.5°C*", "°C*", ("°C", "*")),
            ("21.5 °C", "°C", ("°C", "")),
            ("71.5F", "F", ("F", "")),
            // Rooms and the like.
            ("2A", "A", ("A", "")),
            ("3***", "***", ("***", "")),
        ] {
            assert_eq!(marked(text, rest), want, "{text}");
        }
    }

    #[test]
    fn no_numbers() {
        for text in ["21.5.13", "12:30", "2024-01-01", "1,5", "21,5,3", "1e999", "-", "abc", "1-2"] {
            assert!(!matches!(number(text, Mark::Point), Number::Value(..)), "{text}");
        }
        assert_eq!(number("21.5", Mark::Comma), Number::Text);
        assert_eq!(number("---", Mark::Comma), Number::Missing);
        assert_eq!(number("", Mark::Comma), Number::Missing);
        assert_eq!(number("inf", Mark::Point), Number::Text);
    }

    #[test]
    fn marks_by_evidence() {
        let marks = |texts: &[&str]| {
            let mut marks = Marks::default();
            texts.iter().for_each(|text| marks.see(text));
            marks.mark()
        };
        assert_eq!(marks(&["21.5", "3"]), Some(Mark::Point));
        assert_eq!(marks(&["21,5", "3"]), Some(Mark::Comma));
        assert_eq!(marks(&["1,013.2"]), Some(Mark::Point));
        assert_eq!(marks(&["1.013,2"]), Some(Mark::Comma));
        assert_eq!(marks(&["0,125"]), Some(Mark::Comma), "a group never follows a lone zero");
        assert_eq!(marks(&["1,013"]), None);
        assert_eq!(marks(&["21", "---"]), None);
    }
}
