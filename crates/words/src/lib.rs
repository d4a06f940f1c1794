//! Every text that a person reads in a report, one file a language.
//!
//! [`say!`] says a text by its key: `say!(words, "verdict.met")`, or with its places filled
//! `say!(words, "days.span", from = first, to = last)`. A key that is not in `assets/en.toml`, a place that its text does
//! not have, and one that is left empty are errors of the compiler.
//!
//! Reading order:
//! 1. [`Language`]: the languages there are, a file of `assets` each;
//! 2. [`Words`]: the wording of one of them; what is said, filled and joined;
//! 3. `book`: how a language file is read and what is refused in it; `key`: texts by their keys;
//! 4. `plural`: which form of a text goes with a number; [`Fill`]: what a place can be filled with;
//! 5. [`DateStyle`], [`decimal`]: how dates and numbers are written.
//!
//! Left out: which text is said of what (`analysis`, `report`); units and names from data, which stay as they are in
//! every language; what is for programs (codes, columns, keys); messages of the terminal and faults of files.

mod book;
mod dates;
pub mod decimal;
mod fill;
mod key;
mod language;
mod plural;
mod words;

pub use book::FileError;
pub use dates::DateStyle;
pub use fill::Fill;
pub use key::{Key, key};
pub use language::Language;
pub use plural::PluralRule;
pub use words::Words;
