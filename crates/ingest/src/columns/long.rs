//! Tables with one quantity a row: a column that names the quantity, one of values, and maybe one of units.
//!
//! Each text of the naming column becomes a column of its own, so that all rules for columns hold for it.

use std::collections::BTreeMap;

use super::heading::{Heading, tokens};
use super::profile::{Profile, Profiles};
use crate::notes::{Notes, cut, quoted};
use crate::table::{Layout, Table};
use crate::words::{word_of, words};

/// Where the quantities of a table stand below each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Long {
    /// The column that names the quantity.
    pub parameter: usize,
    pub value: usize,
    pub unit: Option<usize>,
    /// The number of the first column made, and the texts they stand for.
    first: usize,
    texts: Vec<String>,
}

impl Long {
    /// The text whose rows make a column; `None` for a column of the file.
    pub fn text(&self, column: usize) -> Option<&str> {
        self.texts.get(column.checked_sub(self.first)?).map(String::as_str)
    }

    /// The columns of the file that are used up.
    pub fn taken(&self) -> Vec<usize> {
        [self.parameter, self.value].into_iter().chain(self.unit).collect()
    }

    /// Finds such a table and adds a column to `layout` and `profiles` for each of its quantities.
    pub fn find(
        table: &Table<'_>,
        layout: &mut Layout,
        profiles: &mut Profiles,
        taken: &[usize],
        notes: &mut Notes,
    ) -> Option<Self> {
        let free: Vec<usize> = (0..layout.names.len()).filter(|column| !taken.contains(column)).collect();
        let parameter = free.iter().copied().find(|column| names_quantities(&profiles.columns[*column]))?;
        // A column of numbers that is no quantity itself: the one with a word for a value, else the only one.
        let numeric: Vec<usize> = free
            .iter()
            .copied()
            .filter(|column| {
                let profile = &profiles.columns[*column];
                *column != parameter && profile.numbers > 0 && profile.numbers * 4 >= profile.present() * 3
            })
            .collect();
        let says_value = |column: &usize| layout.named && word_of(&words().values, &layout.names[*column]);
        let other_quantity = |column: usize| {
            layout.named && Heading::read(&layout.names[column], &layout.aliases[column], "").quantity.is_some()
        };
        let value = numeric.iter().copied().find(says_value).or(match numeric[..] {
            [only] if !other_quantity(only) => Some(only),
            _ => None,
        })?;
        let unit = free.iter().copied().filter(|c| *c != parameter && *c != value).find(|column| {
            let profile = &profiles.columns[*column];
            let units: usize =
                profile.texts.iter().filter(|(text, _)| words().unit(text).is_some()).map(|(_, count)| count).sum();
            units > 0 && units * 2 >= profile.present()
        });
        let texts: Vec<String> = profiles.columns[parameter].texts.keys().cloned().collect();
        let long = Self { parameter, value, unit, first: layout.names.len(), texts };
        long.add_columns(table, layout, profiles);
        let mut reason = format!(
            "the texts of `{}` name them, and `{}` holds the values",
            cut(&layout.names[parameter], 40),
            cut(&layout.names[value], 40)
        );
        if let Some(unit) = unit {
            reason.push_str(&format!(", `{}` the units", cut(&layout.names[unit], 40)));
        }
        notes.settled("quantities below each other", quoted(long.texts.iter().map(String::as_str), 12), reason);
        Some(long)
    }

    fn add_columns(&self, table: &Table<'_>, layout: &mut Layout, profiles: &mut Profiles) {
        let mark = profiles.columns[self.value].mark;
        for text in &self.texts {
            let rows: Vec<usize> =
                profiles.sample.iter().copied().filter(|row| table.cell(*row, self.parameter) == text).collect();
            let mut units: BTreeMap<&str, usize> = BTreeMap::new();
            for row in rows.iter().filter_map(|row| Some(table.cell(*row, self.unit?))).filter(|unit| !unit.is_empty())
            {
                *units.entry(unit_text(row)).or_default() += 1;
            }
            let unit = units.into_iter().max_by_key(|(text, count)| (*count, std::cmp::Reverse(*text)));
            layout.names.push(text.clone());
            layout.aliases.push(Vec::new());
            layout.units.push(unit.map_or_else(String::new, |(text, _)| text.to_owned()));
            profiles.columns.push(Profile::of_rows(table, &rows, self.value, mark));
        }
    }
}

fn unit_text(text: &str) -> &str {
    text.trim_matches(['(', ')', '[', ']'])
}

/// Whether most texts of a column are words for quantities, at least two of them or one that fills it.
fn names_quantities(profile: &Profile) -> bool {
    if profile.is_numeric() || profile.texts_full || profile.texts.is_empty() || profile.texts.len() > 64 {
        return false;
    }
    let known = |text: &str| {
        let heading = Heading::read(text, &[], "");
        heading.quantity.is_some()
            && heading.left_out.is_none()
            && tokens(text).len() <= 6
            && !heading.shown_by.contains("its unit")
    };
    let (named, all): (usize, usize) = profile
        .texts
        .iter()
        .fold((0, 0), |(named, all), (text, count)| (named + if known(text) { *count } else { 0 }, all + count));
    let repeats = profile.texts.len() * 2 <= all;
    named * 2 >= all && repeats
}
