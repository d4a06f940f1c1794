//! Which form of a text goes with a number.

use serde::Deserialize;

/// Forms of a text that has more than one, by the names of the Unicode CLDR.
pub(crate) type Form = &'static str;

/// How a language chooses among the forms of a text.
///
/// # Source
/// The categories and rules of the Unicode CLDR for whole numbers, from memory: `en`, `fr`, `pl`, `ja`.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PluralRule {
    /// `one` for 1, else `other`: English, German, Spanish, Italian, Dutch.
    #[default]
    One,
    /// `one` for 0 and 1, else `other`: French.
    ZeroAndOne,
    /// `one` for 1, `few` for 2 to 4 at the end but not 12 to 14, else `other`: Polish.
    OneFew,
    /// `other` for every number: Japanese, Chinese.
    None,
}

impl PluralRule {
    /// The forms of a text in such a language.
    #[must_use]
    pub const fn forms(self) -> &'static [&'static str] {
        match self {
            Self::One | Self::ZeroAndOne => &["one", "other"],
            Self::OneFew => &["few", "one", "other"],
            Self::None => &["other"],
        }
    }

    /// The form for a number.
    #[must_use]
    pub const fn form(self, count: u64) -> Form {
        match (self, count) {
            (Self::One | Self::ZeroAndOne | Self::OneFew, 1) | (Self::ZeroAndOne, 0) => "one",
            (Self::OneFew, _) if matches!(count % 10, 2..=4) && !matches!(count % 100, 12..=14) => "few",
            _ => "other",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Unicode CLDR, language plural rules, from memory.
    #[test]
    fn forms_of_some_numbers() {
        let forms = |rule: PluralRule| [0, 1, 2, 5, 12, 22, 101].map(|count| rule.form(count));
        assert_eq!(forms(PluralRule::One), ["other", "one", "other", "other", "other", "other", "other"]);
        assert_eq!(forms(PluralRule::ZeroAndOne), ["one", "one", "other", "other", "other", "other", "other"]);
        assert_eq!(forms(PluralRule::OneFew), ["other", "one", "few", "other", "other", "few", "other"]);
        assert_eq!(forms(PluralRule::None), ["other"; 7]);
    }
}
