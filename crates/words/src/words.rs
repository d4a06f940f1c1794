//! The wording of one language: what is said, filled and joined.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::OnceLock;

use crate::book::{Book, FileError};
use crate::fill::Fill;
use crate::key::{FILES, Key};
use crate::language::Language;
use crate::say;

/// The wording of one language.
///
/// A handle: the texts of a language are read once and stay for as long as the program runs.
#[derive(Clone, Copy)]
pub struct Words(&'static Book);

static BOOKS: [OnceLock<Book>; FILES.len()] = [const { OnceLock::new() }; FILES.len()];

/// A file that is no language file holds no texts: the tests refuse it, and a report would show keys.
fn read(language: Language) -> Book {
    let english = (language != Language::ENGLISH).then(|| Words::of(Language::ENGLISH).0);
    Book::read(language.file(), english).unwrap_or_else(|_| Book::of_keys(language.code()))
}

impl Words {
    /// The wording of a language.
    #[must_use]
    pub fn of(language: Language) -> Self {
        Self(BOOKS[language.position()].get_or_init(|| read(language)))
    }

    /// The wording of a language file that is not among those of the program. It is kept until the program ends.
    ///
    /// # Errors
    /// What in it is not as in English: keys, places, forms, rows.
    pub fn from_toml(file: &str) -> Result<Self, FileError> {
        let book = Book::read(file, Some(Self::of(Language::ENGLISH).0))?;
        Ok(Self(Box::leak(Box::new(book))))
    }

    /// Code of the language by ISO 639.
    #[must_use]
    pub fn code(self) -> &'static str {
        &self.0.about.code
    }

    /// A text without places. Meant for [`say!`](crate::say).
    #[must_use]
    pub fn text(self, key: Key) -> &'static str {
        self.0.text(key, None)
    }

    /// A text with its places filled; of one with forms that for the place `count`. What is filled in is never looked
    /// through for places. Meant for [`say!`](crate::say).
    #[must_use]
    pub fn fill(self, key: Key, places: &[(&str, &dyn Fill)]) -> String {
        let place = |name: &str| places.iter().find(|place| place.0 == name).map(|place| place.1);
        let mut rest = self.0.text(key, place("count").and_then(Fill::count));
        let mut out = String::with_capacity(2 * rest.len());
        while let Some((before, after)) = rest.split_once('{') {
            let (name, after) = after.split_once('}').unwrap_or((after, ""));
            out.push_str(before);
            if let Some(value) = place(name) {
                value.fill(&mut out);
            }
            rest = after;
        }
        out.push_str(rest);
        out
    }

    /// All texts of a section by their names in it, for templates.
    #[must_use]
    pub fn section(self, name: &str) -> BTreeMap<&'static str, &'static str> {
        let names = Key::all().filter_map(|key| Some((key, key.name().split_once('.')?)));
        names.filter(|(_, (section, _))| *section == name).map(|(key, (_, name))| (name, self.text(key))).collect()
    }

    /// Rows of texts, such as the cautions.
    #[must_use]
    pub fn rows(self, name: &'static str) -> &'static [Vec<String>] {
        self.0.rows(name)
    }

    /// A number as the language writes it.
    ///
    /// # Arguments
    /// * `plain`: its digits with a point before the fraction.
    #[must_use]
    pub fn figure(self, plain: String) -> String {
        match self.0.about.decimal_sign.as_str() {
            "." => plain,
            sign => plain.replace('.', sign),
        }
    }

    /// Between whole and fraction of a number.
    #[must_use]
    pub fn decimal_sign(self) -> &'static str {
        &self.0.about.decimal_sign
    }

    /// `one, two and three`.
    #[must_use]
    pub fn list<T: AsRef<str>>(self, items: &[T]) -> String {
        match items {
            [] => String::new(),
            [one] => one.as_ref().to_owned(),
            [first @ .., last] => {
                let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
                let first = first.join(say!(self, "list.between"));
                say!(self, "list.last", first = first, last = last.as_ref())
            }
        }
    }

    /// How many characters could not be shown; empty for none.
    #[must_use]
    pub fn replaced(self, characters: u64) -> String {
        if characters == 0 { String::new() } else { say!(self, "text.replaced", count = characters) }
    }
}

impl Default for Words {
    fn default() -> Self {
        Self::of(Language::ENGLISH)
    }
}

impl fmt::Debug for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Words({})", self.code())
    }
}

impl PartialEq for Words {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self.0, other.0)
    }
}

impl Eq for Words {}

/// Says a text of a [`Words`]: `say!(words, "key")`, or with its places filled `say!(words, "key", name = value)`.
///
/// A key without text and a place that is empty or unknown are errors of the compiler.
#[macro_export]
macro_rules! say {
    ($words:expr, $key:literal) => {{
        const KEY: $crate::Key = $crate::key($key, &[]);
        $words.text(KEY)
    }};
    ($words:expr, $key:literal, $($name:ident = $value:expr),+ $(,)?) => {{
        const KEY: $crate::Key = $crate::key($key, &[$(stringify!($name)),+]);
        $words.fill(KEY, &[$((stringify!($name), &$value as &dyn $crate::Fill)),+])
    }};
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::fs;
    use std::path::{Path, PathBuf};

    use super::*;

    fn english() -> Words {
        Words::default()
    }

    fn sources(folder: &Path) -> Vec<PathBuf> {
        let mut found = Vec::new();
        for entry in fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path()) {
            if entry.is_dir() {
                found.extend(sources(&entry));
            } else if entry.extension().is_some_and(|ending| ending == "rs") {
                found.push(entry);
            }
        }
        found
    }

    /// Keys that begin with `start` in a text: `words.KEY`.
    fn keys_after<'a>(text: &'a str, start: &str) -> Vec<&'a str> {
        let is_key = |c: char| c.is_ascii_alphanumeric() || c == '_';
        let parts = text.split(start).skip(1);
        parts.map(|part| part.split(|c| !is_key(c)).next().unwrap_or_default()).filter(|key| !key.is_empty()).collect()
    }

    /// Every text and list that the crates and the templates say.
    fn said() -> BTreeSet<String> {
        let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
        let mut said = BTreeSet::new();
        for of_crate in ["words", "job", "analysis", "report", "cli"] {
            for path in sources(&crates.join(of_crate).join("src")) {
                let text = fs::read_to_string(&path).expect("a source");
                let is_name = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '.';
                let quoted = |start: &str| -> Vec<String> {
                    let calls = text.split(start).skip(1).filter_map(|call| call.split_once('"'));
                    let names = calls.filter_map(|(_, rest)| Some(rest.split_once('"')?.0));
                    names
                        .filter(|name| name.starts_with(char::is_alphabetic) && name.chars().all(is_name))
                        .map(str::to_owned)
                        .collect()
                };
                said.extend(quoted("say!("));
                said.extend(quoted(".rows(").into_iter().map(|name| format!("lists.{name}")));
            }
        }
        let assets = crates.join("report/assets");
        let templates =
            [("page/report.html", "page"), ("page/report.js", "script"), ("report.typ", "pdf"), ("jobs.html", "jobs")];
        for (template, section) in templates {
            let text = fs::read_to_string(assets.join(template)).expect("a template");
            said.extend(keys_after(&text, "words.").into_iter().map(|key| format!("{section}.{key}")));
        }
        said
    }

    /// That what is said is written, and its places filled, is for the compiler to tell, but for templates and lists.
    #[test]
    fn every_key_that_is_written_is_said_and_of_a_template_every_one_said_is_written() {
        let said = said();
        let mut written: BTreeSet<String> = Key::all().map(|key| key.name().to_owned()).collect();
        written.extend(english().0.lists().map(|name| format!("lists.{name}")));
        let unused: Vec<&String> = written.difference(&said).collect();
        assert!(unused.is_empty(), "not used {unused:#?}");
        let from_outside = ["page.", "script.", "pdf.", "jobs.", "lists."];
        let asked = said.iter().filter(|key| from_outside.iter().any(|start| key.starts_with(start)));
        let missing: Vec<&String> = asked.filter(|key| !written.contains(*key)).collect();
        assert!(missing.is_empty(), "missing {missing:#?}");
    }

    #[test]
    fn every_language_has_the_texts_places_and_rows_of_english() {
        for language in Language::all() {
            let against = (language != Language::ENGLISH).then(|| english().0);
            let book = Book::read(language.file(), against).unwrap_or_else(|fault| panic!("{language:?}: {fault}"));
            assert_eq!(book.about.code, language.code());
        }
    }

    /// The keys the compiler knows are those of the file as a reader of its form has them.
    #[test]
    fn the_listed_keys_are_those_of_the_file() {
        let table: toml::Table = Language::ENGLISH.file().parse().expect("a file of the form");
        let sections = table.iter().filter(|(name, _)| !["language", "lists"].contains(&name.as_str()));
        let keys: BTreeSet<String> = sections
            .flat_map(|(section, texts)| {
                let texts = texts.as_table().expect("a section");
                texts.keys().map(move |key| format!("{section}.{key}"))
            })
            .collect();
        assert!(keys.len() > 300, "{}", keys.len());
        assert!(keys.iter().map(String::as_str).eq(Key::all().map(Key::name)));
    }

    #[test]
    fn what_is_filled_in_is_not_looked_through() {
        let filled = say!(english(), "report.drying_report", name = "a {name} of } its own");
        assert!(filled.ends_with("a {name} of } its own"), "{filled}");
    }

    #[test]
    fn a_number_chooses_the_form() {
        let said = [1_u64, 2].map(|count| english().replaced(count));
        assert_ne!(said[0].replace('1', ""), said[1].replace('2', ""));
        assert_eq!(english().replaced(0), "");
    }

    #[test]
    fn lists_read_as_a_sentence() {
        assert_eq!(english().list(&["a", "b", "c"]), "a, b and c");
        assert_eq!(english().list(&["a"]), "a");
    }

    /// English but for one thing.
    fn changed(from: &str, to: &str) -> Result<Words, FileError> {
        let file = Language::ENGLISH.file();
        assert!(file.contains(from), "{from}");
        Words::from_toml(&file.replacen(from, to, 1))
    }

    #[test]
    fn a_language_of_another_file_writes_its_own_way() {
        let words = changed("decimal_sign = \".\"", "decimal_sign = \",\"").expect("a language");
        assert_eq!(words.figure("1203.5".to_owned()), "1203,5");
        assert_ne!(words, english());
    }

    #[test]
    fn what_is_not_as_in_english_is_refused() {
        let fault = |from: &str, to: &str| changed(from, to).expect_err("no language");
        assert_eq!(fault("\nmet = ", "\nmeet = "), FileError::Missing("verdict.met"));
        assert_eq!(fault("\nmet = ", "\nnew = \"\"\nmet = "), FileError::Unknown("verdict.new".to_owned()));
        assert!(matches!(fault("Drying report – {name}", "{title}"), FileError::Places { .. }));
        assert!(matches!(fault("plural = \"one\"", "plural = \"one_few\""), FileError::Forms { .. }));
        assert!(matches!(fault("    [\"Sun\"],\n", ""), FileError::Rows(_)));
        assert!(matches!(fault("[lists]", "[lists"), FileError::Form(_)));
    }
}
