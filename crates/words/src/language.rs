//! The languages there are: a file of `assets` each.

use std::fmt;

use crate::key::FILES;

/// A language that reports can be written in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Language(usize);

impl Language {
    /// English, the language whose file has every text first.
    pub const ENGLISH: Self = Self(position("en"));

    /// All languages, by code.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..FILES.len()).map(Self)
    }

    /// Its code by ISO 639, as documents carry it and its file is named.
    #[must_use]
    pub const fn code(self) -> &'static str {
        FILES[self.0].0
    }

    /// The language of a code.
    #[must_use]
    pub fn of_code(code: &str) -> Option<Self> {
        Self::all().find(|language| language.code() == code)
    }

    pub(crate) const fn position(self) -> usize {
        self.0
    }

    /// Its file: what a translation starts from.
    #[must_use]
    pub const fn file(self) -> &'static str {
        FILES[self.0].1
    }
}

impl Default for Language {
    fn default() -> Self {
        Self::ENGLISH
    }
}

impl fmt::Debug for Language {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Language({})", self.code())
    }
}

const fn position(code: &str) -> usize {
    let mut at = 0;
    while at < FILES.len() {
        let (own, wanted) = (FILES[at].0.as_bytes(), code.as_bytes());
        if own.len() == wanted.len() && own[0] == wanted[0] && own[1] == wanted[1] {
            return at;
        }
        at += 1;
    }
    panic!("no file of this language")
}
