//! Names of moisture scales, and goals on them.

use toml::de::DeValue;

use super::desk::Desk;
use super::entry::{Entry, Field, Raw, Source, found, look_up, toml_number};
use crate::fault::{FaultKind, Spot, Unknown, cut};
use crate::keys;
use crate::model::{GoalValue, Scale};
use crate::suggest::plain;

/// The words of [`Scale::WORDS`] and the spellings that meters and forms use for the same scales.
pub(crate) const SPELLINGS: [(&str, Scale); 30] = [
    ("wood", Scale::WoodMc),
    ("wme", Scale::WoodEquivalent),
    ("gypsum", Scale::Gypsum),
    ("concrete-rh", Scale::ConcreteRh),
    ("relative", Scale::Relative),
    ("mc", Scale::WoodMc),
    ("%mc", Scale::WoodMc),
    ("% mc wood", Scale::WoodMc),
    ("wood mc", Scale::WoodMc),
    ("wood %mc", Scale::WoodMc),
    ("wood moisture content", Scale::WoodMc),
    ("%wme", Scale::WoodEquivalent),
    ("wood equivalent", Scale::WoodEquivalent),
    ("wood moisture equivalent", Scale::WoodEquivalent),
    ("drywall", Scale::Gypsum),
    ("% gypsum", Scale::Gypsum),
    ("gypsum mc", Scale::Gypsum),
    ("gypsum %mc", Scale::Gypsum),
    ("concrete", Scale::ConcreteRh),
    ("concrete %rh", Scale::ConcreteRh),
    ("in-situ rh", Scale::ConcreteRh),
    ("rh in concrete", Scale::ConcreteRh),
    ("% rh in concrete", Scale::ConcreteRh),
    ("rel", Scale::Relative),
    ("relative units", Scale::Relative),
    ("rel units", Scale::Relative),
    ("points", Scale::Relative),
    ("digits", Scale::Relative),
    ("counts", Scale::Relative),
    ("non-invasive", Scale::Relative),
];

/// The scale a word names; a fault when it names none.
pub(crate) fn read_scale(desk: &Desk, at: &Spot, key: &str, text: &str) -> Option<Scale> {
    let scale = look_up(text, &SPELLINGS);
    if scale.is_none() {
        let words = || Scale::WORDS.iter().map(|(word, ..)| *word);
        let kind = if matches!(plain(text).as_str(), "%" | "percent" | "pct" | "moisture" | "%moisture") {
            FaultKind::WhichPercent {
                key: key.to_owned(),
                found: cut(text),
                accepted: words().map(str::to_owned).collect(),
            }
        } else {
            let mut unknown = Unknown::new(text, words());
            // A misspelt spelling of a scale leads to the scale's own word.
            unknown.nearest = crate::suggest(text, SPELLINGS.iter().map(|(word, _)| *word))
                .and_then(|word| look_up(word, &SPELLINGS))
                .map(|scale| scale.word().to_owned());
            FaultKind::Word { key: key.to_owned(), unknown }
        };
        desk.fault(at, kind);
    }
    scale
}

impl Entry<'_> {
    /// A key that names a scale.
    pub(crate) fn scale(&self, desk: &Desk, key: &'static str) -> Option<Scale> {
        let text = self.text(desk, key)?;
        read_scale(desk, &self.fields.get(key)?.at, key, &text)
    }

    /// A goal: a number, or a table with `value` and `scale`.
    pub(crate) fn goal(&self, desk: &Desk, key: &'static str) -> Option<GoalValue> {
        let field = self.field(desk, key)?;
        match (field.raw, self.source) {
            (Raw::Toml(DeValue::Table(fields)), Source::Toml(doc)) => {
                let start = field.at.clone();
                let mut entry = doc.entry(desk, &keys::GOAL_VALUE, fields, 0..0);
                entry.at = start;
                let scale = entry.scale(desk, "scale");
                let value = entry.number(desk, "value", 0.0..=MOST)?;
                // A scale that cannot be read must not fall back to the point's.
                (scale.is_some() || !entry.has("scale")).then_some(GoalValue { value, scale })
            }
            (Raw::Toml(value), _) => {
                let number = toml_number(value).filter(|number| (0.0..=MOST).contains(number));
                if number.is_none() {
                    self.refuse_goal(desk, key, field, value);
                }
                number.map(|value| GoalValue { value, scale: None })
            }
            (Raw::Cell(_), _) => None,
        }
    }

    fn refuse_goal(&self, desk: &Desk, key: &str, field: &Field<'_>, value: &DeValue<'_>) {
        let found = found(value, field.written);
        desk.fault(&field.at, FaultKind::Value { key: key.to_owned(), found, accepts: self.accepts(key) });
    }
}

/// The largest moisture value taken for one: beyond any scale, so that a slipped decimal point is noticed.
///
/// # Source
/// Our convention; relative scales of meters end below it.
pub(crate) const MOST: f64 = 10_000.0;

/// Whether a value is possible on a scale: not negative, and no relative humidity above 100 %.
pub(crate) fn possible(scale: Scale, value: f64) -> bool {
    let most = if scale == Scale::ConcreteRh { 100.0 } else { MOST };
    (0.0..=most).contains(&value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_own_words_of_the_scales_come_first() {
        for ((word, _, scale), (spelling, spelt)) in Scale::WORDS.iter().zip(SPELLINGS) {
            assert_eq!((*word, *scale), (spelling, spelt));
        }
    }

    #[test]
    fn no_spelling_names_two_scales() {
        for (word, scale) in SPELLINGS {
            assert_eq!(look_up(word, &SPELLINGS), Some(scale), "{word}");
        }
    }
}
