//! How a person writes a quantity: a number with a point for decimals, then a unit. One grammar and one error for all.

use std::fmt;

/// Why a text is not the quantity it should be.
#[derive(Clone, Debug, PartialEq)]
pub struct QuantityError {
    /// The text as found.
    pub found: String,
    /// The kind of quantity wanted, with its article: `a length`.
    pub kind: &'static str,
    /// The units accepted, in the spelling to recommend.
    pub accepted: Vec<&'static str>,
    /// What is wrong.
    pub problem: QuantityProblem,
}

/// What is wrong with the text of a quantity.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum QuantityProblem {
    /// Nothing is there.
    Empty,
    /// It does not start with a number.
    NotANumber,
    /// It holds a comma, which some readers take for a decimal mark and some for a thousands mark.
    Comma,
    /// A bare number.
    NoUnit {
        /// The number as written.
        number: String,
    },
    /// A number with a unit that does not belong to the kind.
    UnknownUnit {
        /// The number as written.
        number: String,
        /// The unit as written.
        unit: String,
    },
    /// Read, but not possible for the kind.
    OutOfRange {
        /// What the kind allows, in words: `is not negative`.
        limit: &'static str,
    },
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { found, kind, accepted, problem } = self;
        let units = accepted.join(", ");
        let first = accepted.first().copied().unwrap_or_default();
        match problem {
            QuantityProblem::Empty => {
                write!(
                    f,
                    "`{found}` is empty: {kind} is written as a number with one of {units} (for example `10 {first}`)"
                )
            }
            QuantityProblem::NotANumber => {
                write!(
                    f,
                    "`{found}` does not start with a number: {kind} is written as a number with one of {units} (for example `10 {first}`)"
                )
            }
            QuantityProblem::Comma => {
                write!(
                    f,
                    "`{found}` holds a comma: {kind} is written with a point for decimals, without a thousands mark, and with one of {units} (for example `1.5 {first}`)"
                )
            }
            QuantityProblem::NoUnit { number } => {
                write!(
                    f,
                    "`{found}` has no unit: {kind} is written with one of {units} (for example `{number} {first}`)"
                )
            }
            QuantityProblem::UnknownUnit { number, unit } => {
                write!(
                    f,
                    "`{found}` has the unit `{unit}`: {kind} is written with one of {units} (for example `{number} {first}`)"
                )
            }
            QuantityProblem::OutOfRange { limit } => write!(f, "`{found}` is out of range: {kind} {limit}"),
        }
    }
}

impl std::error::Error for QuantityError {}

/// One unit a kind of quantity is written in.
pub(crate) struct Unit {
    /// Recommended spelling, shown in messages.
    pub name: &'static str,
    /// Accepted spellings in lower case and without blanks, the recommended one included.
    pub spellings: &'static [&'static str],
    /// To the canonical unit.
    pub to_canonical: fn(f64) -> f64,
}

/// What values a kind of quantity can have.
pub(crate) enum Limit {
    /// Any finite number.
    None,
    /// Zero or above.
    NotNegative,
    /// Above zero.
    Positive,
    /// At or above absolute zero, canonical unit degrees Celsius.
    AbsoluteZero,
}

impl Limit {
    fn broken_by(&self, value: f64) -> Option<&'static str> {
        if !value.is_finite() {
            return Some("is a finite number");
        }
        match self {
            Self::None => None,
            Self::NotNegative => (value < 0.0).then_some("is not negative"),
            Self::Positive => (value <= 0.0).then_some("is above zero"),
            Self::AbsoluteZero => {
                (value < -crate::constants::KELVIN_AT_ZERO_CELSIUS).then_some("is not below absolute zero, -273.15 C")
            }
        }
    }
}

/// How one kind of quantity is written.
pub(crate) struct Written<'a> {
    /// Kind with article.
    pub kind: &'static str,
    /// Possible values.
    pub limit: Limit,
    /// Units, the one to show in examples first.
    pub units: &'a [Unit],
}

impl Written<'_> {
    /// The value in the canonical unit.
    pub(crate) fn read(&self, text: &str) -> Result<f64, QuantityError> {
        let trimmed = text.trim();
        if trimmed.is_empty() {
            return Err(self.error(text, QuantityProblem::Empty));
        }
        if trimmed.contains(',') {
            return Err(self.error(text, QuantityProblem::Comma));
        }
        let (number, unit) = trimmed.split_at(number_length(trimmed));
        let Ok(value) = number.parse::<f64>() else {
            return Err(self.error(text, QuantityProblem::NotANumber));
        };
        let unit = unit.trim();
        if unit.is_empty() {
            return Err(self.error(text, QuantityProblem::NoUnit { number: number.to_owned() }));
        }
        let spelling: String = unit.chars().filter(|c| !c.is_whitespace()).collect::<String>().to_lowercase();
        let Some(known) = self.units.iter().find(|known| known.spellings.contains(&spelling.as_str())) else {
            let problem = QuantityProblem::UnknownUnit { number: number.to_owned(), unit: unit.to_owned() };
            return Err(self.error(text, problem));
        };
        let canonical = (known.to_canonical)(value);
        match self.limit.broken_by(canonical) {
            Some(limit) => Err(self.error(text, QuantityProblem::OutOfRange { limit })),
            None => Ok(canonical),
        }
    }

    fn error(&self, found: &str, problem: QuantityProblem) -> QuantityError {
        let accepted = self.units.iter().map(|unit| unit.name).collect();
        QuantityError { found: found.to_owned(), kind: self.kind, accepted, problem }
    }
}

/// Bytes of the number at the start: sign, digits with at most one point, and an exponent if digits follow its letter.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits_from = |start: usize| bytes[start..].iter().take_while(|b| b.is_ascii_digit()).count();
    let mut end = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    end += digits_from(end);
    if bytes.get(end) == Some(&b'.') {
        end += 1 + digits_from(end + 1);
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let digits = digits_from((end + 1 + sign).min(bytes.len()));
        if digits > 0 {
            end += 1 + sign + digits;
        }
    }
    end
}
