//! A language file as it is read, and what is refused in it.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;

use crate::key::Key;
use crate::plural::PluralRule;

/// What makes a file no language file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// Not of the form.
    #[error("not a language file: {0}")]
    Form(String),
    /// A text is missing.
    #[error("`{0}` is missing")]
    Missing(&'static str),
    /// A text that English does not have.
    #[error("`{0}` is not a text of English")]
    Unknown(String),
    /// The places of a text are not those of English.
    #[error("the text of `{key}` has the places {found:?}, in English {wanted:?}")]
    Places {
        /// The text.
        key: &'static str,
        /// Its places.
        found: Vec<String>,
        /// Those of English.
        wanted: Vec<&'static str>,
    },
    /// The forms of a text are not those of the language's rule.
    #[error("the text of `{key}` has the forms {found:?}, the language has {wanted:?}")]
    Forms {
        /// The text.
        key: &'static str,
        /// Its forms.
        found: Vec<String>,
        /// Those of the language.
        wanted: &'static [&'static str],
    },
    /// A list whose rows are not those of English.
    #[error("the list `{0}` has other rows than in English")]
    Rows(String),
}

/// What a language says of itself.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct About {
    /// Its code by ISO 639.
    pub code: String,
    /// Between whole and fraction of a number.
    pub decimal_sign: String,
    /// Which form of a text goes with a number.
    pub plural: PluralRule,
}

/// The texts of one language.
#[derive(Debug)]
pub(crate) struct Book {
    pub about: About,
    texts: Vec<Text>,
    lists: BTreeMap<String, Vec<Vec<String>>>,
}

/// One text: the only one, or its forms.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Text {
    One(String),
    Forms(BTreeMap<String, String>),
}

/// A language file.
#[derive(Debug, Deserialize)]
struct File {
    language: About,
    /// Rows of texts, by name.
    lists: BTreeMap<String, Vec<Vec<String>>>,
    /// Texts by section and key.
    #[serde(flatten)]
    sections: BTreeMap<String, BTreeMap<String, Text>>,
}

impl Book {
    /// Reads a language file; `english` is the one it must agree with, `None` for English itself.
    pub(crate) fn read(file: &str, english: Option<&Self>) -> Result<Self, FileError> {
        let mut file: File = toml::from_str(file).map_err(|fault| FileError::Form(fault.to_string()))?;
        let rule = file.language.plural;
        let mut texts = Vec::new();
        for key in Key::all() {
            let (section, name) = key.name().split_once('.').unwrap_or_default();
            let text = file.sections.get_mut(section).and_then(|texts| texts.remove(name));
            let text = text.ok_or(FileError::Missing(key.name()))?;
            text.check(key, rule)?;
            texts.push(text);
        }
        let left =
            file.sections.iter().find_map(|(section, texts)| Some(format!("{section}.{}", texts.keys().next()?)));
        if let Some(left) = left {
            return Err(FileError::Unknown(left));
        }
        if let Some(english) = english {
            let shape = |lists: &BTreeMap<String, Vec<Vec<String>>>| -> BTreeMap<String, Vec<usize>> {
                lists.iter().map(|(name, rows)| (name.clone(), rows.iter().map(Vec::len).collect())).collect()
            };
            let (own, wanted) = (shape(&file.lists), shape(&english.lists));
            let names: BTreeSet<&String> = own.keys().chain(wanted.keys()).collect();
            if let Some(name) = names.into_iter().find(|name| own.get(*name) != wanted.get(*name)) {
                return Err(FileError::Rows(name.clone()));
            }
        }
        Ok(Self { about: file.language, texts, lists: file.lists })
    }

    /// What stands in for a file that cannot be read: the keys themselves.
    pub(crate) fn of_keys(code: &str) -> Self {
        let about = About { code: code.to_owned(), decimal_sign: ".".to_owned(), plural: PluralRule::default() };
        let texts = Key::all().map(|key| Text::One(key.name().to_owned())).collect();
        Self { about, texts, lists: BTreeMap::new() }
    }

    /// A text; of one with forms that for `count`.
    pub(crate) fn text(&self, key: Key, count: Option<u64>) -> &str {
        match &self.texts[key.0] {
            Text::One(text) => text,
            Text::Forms(forms) => {
                let form = count.map_or("other", |count| self.about.plural.form(count));
                forms.get(form).or_else(|| forms.get("other")).map_or(key.name(), String::as_str)
            }
        }
    }

    /// Rows of texts.
    pub(crate) fn rows(&self, name: &str) -> &[Vec<String>] {
        self.lists.get(name).map_or(&[], Vec::as_slice)
    }

    #[cfg(test)]
    pub(crate) fn lists(&self) -> impl Iterator<Item = &String> {
        self.lists.keys()
    }
}

impl Text {
    /// Places as in English, forms as the language has them.
    fn check(&self, key: Key, rule: PluralRule) -> Result<(), FileError> {
        match self {
            Self::One(text) => same_places(key, text),
            Self::Forms(forms) => {
                let chosen = key.places().contains(&"count");
                if !chosen || !forms.keys().eq(rule.forms().iter()) {
                    let wanted = if chosen { rule.forms() } else { &[] };
                    return Err(FileError::Forms { key: key.name(), found: forms.keys().cloned().collect(), wanted });
                }
                forms.values().try_for_each(|text| same_places(key, text))
            }
        }
    }
}

/// Whether a text has the places of English; the number that chooses the form may go without saying.
fn same_places(key: Key, text: &str) -> Result<(), FileError> {
    let mut found = places(text);
    let mut wanted: BTreeSet<&str> = key.places().iter().copied().collect();
    if key.has_forms() {
        found.remove("count");
        wanted.remove("count");
    }
    if found == wanted {
        return Ok(());
    }
    let found = found.into_iter().map(str::to_owned).collect();
    Err(FileError::Places { key: key.name(), found, wanted: key.places().to_vec() })
}

/// Places of a text.
pub(crate) fn places(text: &str) -> BTreeSet<&str> {
    text.split('{').skip(1).filter_map(|part| part.split_once('}')).map(|(name, _)| name).collect()
}
