//! What one file of a folder settles for another that the same program wrote: files with the same names above the
//! columns, the same mark between the cells and dates in the same form have the same order of dates, and hours of the
//! same clock.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::file::FileRead;
use crate::table::{Delimiter, Layout};
use crate::time::order::Order;
use crate::time::stamp::{DateText, Stamp};

/// What a file shows of the way its stamps are written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Shown {
    shape: Shape,
    pub order: Answer<Order>,
    pub hours: Answer<Face>,
}

/// What the evidence of a file says to a question.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum Answer<T> {
    /// It does not arise, or a person answered it.
    #[default]
    NotAsked,
    /// It leaves the question open, or allows no more than a guess.
    Open,
    Shown(T),
}

/// What the hours of a clock without AM and PM count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum Face {
    WholeDay,
    /// Twelve hours, twice a day.
    Twelve,
}

/// What files of one program have in common.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
struct Shape {
    names: Vec<String>,
    delimiter: Delimiter,
    /// The mark between the numbers of a date, a blank for one with the name of a month; and whether its year has four
    /// digits.
    date: (u8, bool),
}

impl Shown {
    /// Of a file with a row of names and dates that do not begin with their year; `None` of any other.
    pub fn of(layout: &Layout, stamp: &Stamp) -> Option<Self> {
        let date = match stamp.date? {
            DateText::Known(_) if stamp.year_first => return None,
            DateText::Known(_) => (b' ', true),
            DateText::TwoAndYear { mark, .. } => (mark, true),
            DateText::Three { mark, .. } => (mark, false),
        };
        layout.named.then(|| Self {
            shape: Shape { names: layout.names.clone(), delimiter: layout.delimiter, date },
            order: Answer::NotAsked,
            hours: Answer::NotAsked,
        })
    }
}

/// What files like one settle for it, each with the path of the first that shows it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Told {
    pub order: Option<(Order, String)>,
    pub whole_day: Option<String>,
}

/// What is told to files, by their paths.
pub(crate) type ToldTo = BTreeMap<String, Told>;

/// Reads those files again that others settle something for. `again` reads at least what is within the paths told.
pub(crate) fn settle(read: &mut [FileRead], again: impl FnOnce(&ToldTo) -> Vec<FileRead>) {
    let told = told(read);
    if told.is_empty() {
        return;
    }
    let mut settled: BTreeMap<String, FileRead> =
        again(&told).into_iter().map(|one| (one.input.path.clone(), one)).collect();
    for one in read.iter_mut().filter(|one| told.contains_key(&one.input.path)) {
        if let Some(settled) = settled.remove(&one.input.path) {
            *one = settled;
        }
    }
}

fn told(read: &[FileRead]) -> ToldTo {
    let mut alike: BTreeMap<&Shape, Vec<(&str, &Shown)>> = BTreeMap::new();
    for one in read {
        if let Some(shown) = &one.shown {
            alike.entry(&shown.shape).or_default().push((&one.input.path, shown));
        }
    }
    let mut told = ToldTo::new();
    for files in alike.values() {
        let order = agreed(files, |shown| shown.order);
        let whole_day = agreed(files, |shown| shown.hours).filter(|(face, _)| *face == Face::WholeDay);
        for (path, shown) in files {
            let one = Told {
                order: order.clone().filter(|_| shown.order == Answer::Open),
                whole_day: whole_day.clone().filter(|_| shown.hours == Answer::Open).map(|(_, path)| path),
            };
            if one != Told::default() {
                told.insert((*path).to_owned(), one);
            }
        }
    }
    told
}

/// The answer of all files that show one, and the first of them; `None` where two differ.
fn agreed<T: Copy + PartialEq>(files: &[(&str, &Shown)], answer: impl Fn(&Shown) -> Answer<T>) -> Option<(T, String)> {
    let mut shown = files.iter().filter_map(|(path, one)| match answer(one) {
        Answer::Shown(value) => Some((value, *path)),
        Answer::NotAsked | Answer::Open => None,
    });
    let (value, path) = shown.next()?;
    shown.all(|(other, _)| other == value).then(|| (value, path.to_owned()))
}
