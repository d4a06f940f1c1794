//! The fixed wording of a report: every text by its key, one file a language.
//!
//! A text may have places, `{name}`, that are filled with names, numbers and dates where it is said. A translation is
//! one more file beside `assets/words/en.toml` with the same keys and the same places, and one more [`Language`].
//!
//! Left out: what the analysis writes as sentences (why a verdict is what it is, findings, releases, what is missing),
//! with its names of findings and places; column names of tables, which programs read.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::LazyLock;

use grainfall_analysis::evidence::{DayVerdict, GoalVerdict};
use serde::{Deserialize, Serialize};

use crate::units_shown::UnitSystem;

/// A language that reports can be written in.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Language {
    /// English.
    #[default]
    English,
}

impl Language {
    /// All languages.
    pub const ALL: [Self; 1] = [Self::English];

    /// Its code by ISO 639, as documents carry it.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::English => "en",
        }
    }

    const fn file(self) -> &'static str {
        match self {
            Self::English => include_str!("../assets/words/en.toml"),
        }
    }
}

/// How a report speaks to people: the units it shows and the language it is written in.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Manner {
    /// The units.
    pub units: UnitSystem,
    /// The language.
    pub language: Language,
}

impl From<UnitSystem> for Manner {
    fn from(units: UnitSystem) -> Self {
        Self { units, ..Self::default() }
    }
}

/// The wording of one language.
#[derive(Clone, Copy)]
pub struct Words {
    language: Language,
    file: &'static File,
}

/// A language file.
#[derive(Debug, Default, Deserialize)]
struct File {
    /// Rows of texts, by name.
    lists: BTreeMap<String, Vec<Vec<String>>>,
    /// Texts by section and key.
    #[serde(flatten)]
    sections: BTreeMap<String, BTreeMap<String, String>>,
}

static ENGLISH: LazyLock<File> = LazyLock::new(|| read(Language::English));

/// A file that is no such file holds no texts: the tests refuse it, and a report would show keys.
fn read(language: Language) -> File {
    toml::from_str(language.file()).unwrap_or_default()
}

impl Words {
    /// The wording of a language.
    #[must_use]
    pub fn of(language: Language) -> Self {
        let file: &'static File = match language {
            Language::English => &ENGLISH,
        };
        Self { language, file }
    }

    /// The language.
    #[must_use]
    pub const fn language(self) -> Language {
        self.language
    }

    /// A text without places; the key itself where the file lacks it.
    #[must_use]
    pub fn say(self, key: &'static str) -> &'static str {
        let (section, name) = key.split_once('.').unwrap_or(("", key));
        self.section(section).get(name).map_or(key, String::as_str)
    }

    /// A text with its places filled. What is filled in is never looked through for places.
    #[must_use]
    pub fn fill(self, key: &'static str, places: &[(&str, &dyn fmt::Display)]) -> String {
        let mut out = String::new();
        let mut rest = self.say(key);
        while let Some((before, after)) = rest.split_once('{') {
            let (name, after) = after.split_once('}').unwrap_or((after, ""));
            out.push_str(before);
            if let Some((_, value)) = places.iter().find(|place| place.0 == name) {
                out.push_str(&value.to_string());
            }
            rest = after;
        }
        out.push_str(rest);
        out
    }

    /// All texts of a section, for templates.
    #[must_use]
    pub fn section(self, name: &str) -> &'static BTreeMap<String, String> {
        static NONE: BTreeMap<String, String> = BTreeMap::new();
        self.file.sections.get(name).unwrap_or(&NONE)
    }

    /// Rows of texts, such as the cautions.
    #[must_use]
    pub fn rows(self, name: &'static str) -> &'static [Vec<String>] {
        self.file.lists.get(name).map_or(&[], Vec::as_slice)
    }

    /// The verdict on a goal.
    #[must_use]
    pub fn goal_verdict(self, verdict: GoalVerdict) -> &'static str {
        match verdict {
            GoalVerdict::Met => say!(self, "verdict.met"),
            GoalVerdict::NotMet => say!(self, "verdict.not_met"),
            GoalVerdict::NotShown => say!(self, "verdict.goal_not_shown"),
        }
    }

    /// The verdict on an equipment-day.
    #[must_use]
    pub fn day_verdict(self, verdict: DayVerdict) -> &'static str {
        match verdict {
            DayVerdict::Needed => say!(self, "verdict.needed"),
            DayVerdict::NotNeeded => say!(self, "verdict.not_needed"),
            DayVerdict::NotShown => say!(self, "verdict.day_not_shown"),
            DayVerdict::NotJudged => say!(self, "verdict.not_judged"),
        }
    }

    /// How many characters could not be shown; empty for none.
    #[must_use]
    pub fn replaced(self, characters: u64) -> String {
        match characters {
            0 => String::new(),
            1 => say!(self, "text.replaced_one").to_owned(),
            many => say!(self, "text.replaced_many", many = many),
        }
    }
}

impl fmt::Debug for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Words({:?})", self.language)
    }
}

impl PartialEq for Words {
    fn eq(&self, other: &Self) -> bool {
        self.language == other.language
    }
}

/// Says a text of a [`Words`]: `say!(words, "key")`, or with its places filled `say!(words, "key", name = value)`.
macro_rules! say {
    ($words:expr, $key:literal) => {
        $words.say($key)
    };
    ($words:expr, $key:literal, $($name:ident = $value:expr),+ $(,)?) => {
        $words.fill($key, &[$((stringify!($name), &$value as &dyn std::fmt::Display)),+])
    };
}
pub(crate) use say;

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::fs;
    use std::path::{Path, PathBuf};

    use super::*;

    fn english() -> Words {
        Words::of(Language::English)
    }

    fn sources(folder: &Path) -> Vec<PathBuf> {
        let mut found = Vec::new();
        for entry in fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path()) {
            if entry.is_dir() {
                found.extend(sources(&entry));
            } else if entry.extension().is_some_and(|ending| ["rs", "html", "typ", "js"].iter().any(|e| ending == *e)) {
                found.push(entry);
            }
        }
        found
    }

    /// Keys that begin with `start` in a text: `say!(words, "KEY"`, `words.KEY`.
    fn keys_after<'a>(text: &'a str, start: &str, is_key: fn(char) -> bool) -> Vec<&'a str> {
        let parts = text.split(start).skip(1);
        parts.map(|part| part.split(|c| !is_key(c)).next().unwrap_or_default()).filter(|key| !key.is_empty()).collect()
    }

    /// Every key that the program and its templates say.
    fn said() -> BTreeSet<String> {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut said = BTreeSet::new();
        let key = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '.';
        for path in sources(&root.join("src")) {
            let text = fs::read_to_string(&path).expect("a source");
            // However a call is broken over lines.
            let joined: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
            let calls = joined.split("say!(").skip(1);
            let keys = calls.filter_map(|call| call.split_once('"')).filter_map(|(_, rest)| rest.split('"').next());
            said.extend(keys.filter(|found| found.contains('.') && found.chars().all(key)).map(str::to_owned));
            let rows = joined.split(".rows(\"").skip(1).filter_map(|rest| rest.split('"').next());
            said.extend(rows.map(|name| format!("lists.{name}")));
        }
        let name = |c: char| c.is_ascii_alphanumeric() || c == '_';
        for (template, section) in
            [("assets/page/report.html", "page"), ("assets/page/report.js", "script"), ("assets/report.typ", "pdf")]
        {
            let text = fs::read_to_string(root.join(template)).expect("a template");
            said.extend(keys_after(&text, "words.", name).into_iter().map(|key| format!("{section}.{key}")));
        }
        said
    }

    fn written(language: Language) -> BTreeMap<String, String> {
        let file: File = toml::from_str(language.file()).expect("a language file");
        let mut texts = BTreeMap::new();
        for (section, of_section) in file.sections {
            texts.extend(of_section.into_iter().map(|(key, text)| (format!("{section}.{key}"), text)));
        }
        texts.extend(
            file.lists.into_iter().map(|(name, rows)| (format!("lists.{name}"), format!("{} rows", rows.len()))),
        );
        texts
    }

    #[test]
    fn every_key_that_is_said_is_written_and_every_written_one_is_said() {
        let said = said();
        assert!(said.len() > 300, "{}", said.len());
        for language in Language::ALL {
            let written: BTreeSet<String> = written(language).into_keys().collect();
            let missing: Vec<&String> = said.difference(&written).collect();
            let unused: Vec<&String> = written.difference(&said).collect();
            assert!(
                missing.is_empty() && unused.is_empty(),
                "{language:?}: missing {missing:#?}, not used {unused:#?}"
            );
        }
    }

    /// Places of a text.
    fn places(text: &str) -> BTreeSet<&str> {
        text.split('{').skip(1).filter_map(|part| part.split_once('}')).map(|(name, _)| name).collect()
    }

    #[test]
    fn every_language_has_the_places_of_english() {
        let english = written(Language::English);
        for language in Language::ALL {
            for (key, text) in written(language) {
                assert_eq!(places(&text), places(&english[&key]), "{language:?} {key}");
            }
        }
    }

    /// A call from its opening bracket to the one that closes it; brackets within texts do not count.
    fn call(source: &str) -> &str {
        let (mut depth, mut in_text, mut before) = (0, false, ' ');
        for (at, c) in source.char_indices() {
            match c {
                '"' if before != '\\' => in_text = !in_text,
                '(' if !in_text => depth += 1,
                ')' if !in_text => depth -= 1,
                _ => {}
            }
            if depth == 0 {
                return &source[..=at];
            }
            before = c;
        }
        source
    }

    /// The places of a text are those that its calls fill, each by its name.
    #[test]
    fn every_place_is_filled() {
        let texts = written(Language::English);
        let mut calls = 0;
        for path in sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src")) {
            let text = fs::read_to_string(&path).expect("a source");
            for (at, start) in text.match_indices("say!(") {
                let call = call(&text[at + start.len() - 1..]);
                let Some((key, rest)) = call.split_once('"').and_then(|(_, rest)| rest.split_once('"')) else {
                    continue;
                };
                let Some(text) = texts.get(key) else { continue };
                for place in places(text) {
                    let filled = rest.contains(&format!("{place} ="));
                    assert!(filled, "{}: `{key}` has {{{place}}}, which is not filled", path.display());
                }
                calls += 1;
            }
        }
        assert!(calls > 300, "{calls}");
    }

    #[test]
    fn what_is_filled_in_is_not_looked_through() {
        let filled = english().fill("report.drying_report", &[("name", &"a {name} of } its own")]);
        assert!(filled.ends_with("a {name} of } its own"), "{filled}");
        assert_eq!(english().say("nothing.of_this_name"), "nothing.of_this_name");
    }
}
