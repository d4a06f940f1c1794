//! What the log lacks of what a drying log is expected to hold, by chamber and day.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use grainfall_analysis::evidence::{EntryKind, Evidence, ExpectedEntry};

use super::answers::chamber_anchor;
use super::shown::{self, Shown};
use super::{Block, Cell, Item, Table, paragraph, text_column};
use crate::words::{Words, say};

/// Days named on the first page; each day has its own list.
const DAYS_NAMED: usize = 8;

/// How many chamber-days lack nothing; what the others lack stands with each day.
pub(super) fn summary(words: Words, evidence: &Evidence) -> Option<Block> {
    let records = &evidence.completeness;
    if records.is_empty() {
        return None;
    }
    let kinds: BTreeSet<EntryKind> = records.iter().flat_map(|r| &r.entries).map(|entry| entry.kind).collect();
    let kinds: Vec<String> = kinds.into_iter().map(|kind| kind.said(words).to_owned()).collect();
    let whole = records.iter().filter(|record| record.entries.iter().all(|entry| entry.present)).count();
    let days = say!(words, "completeness.pairs", count = records.len() as u64);
    Some(paragraph(say!(
        words,
        "completeness.of_of_a_chamber_with_equipment",
        whole = whole,
        days = days,
        kinds = shown::list(&kinds)
    )))
}

/// The days that lack an entry, each with its chambers, as one item of what is missing.
pub(super) fn lacking_days(evidence: &Evidence, shown: &Shown) -> Option<Item> {
    let mut days: BTreeMap<NaiveDate, Vec<&str>> = BTreeMap::new();
    let mut kinds: BTreeSet<EntryKind> = BTreeSet::new();
    for record in &evidence.completeness {
        let lacking: Vec<EntryKind> = record.entries.iter().filter(|e| !e.present).map(|e| e.kind).collect();
        if !lacking.is_empty() {
            days.entry(record.date).or_default().push(&record.chamber);
            kinds.extend(lacking);
        }
    }
    if days.is_empty() {
        return None;
    }
    let mut told: Vec<String> = days
        .iter()
        .take(DAYS_NAMED)
        .map(|(date, chambers)| format!("{} ({})", shown.day(*date), chambers.join(", ")))
        .collect();
    if days.len() > DAYS_NAMED {
        told.push(say!(shown.words, "completeness.more", days = days.len() - DAYS_NAMED));
    }
    let kinds: Vec<String> = kinds.into_iter().map(|kind| kind.said(shown.words).to_owned()).collect();
    Some(Item {
        text: say!(shown.words, "completeness.days_on_which_the_log_lacks", told = shown::list(&told)),
        detail: Some(say!(shown.words, "completeness.lacking_each_day_says_which_and", kinds = shown::list(&kinds))),
    })
}

/// What the chambers lack on one day.
pub(super) fn of_day(words: Words, evidence: &Evidence, date: NaiveDate) -> Option<Table> {
    let mut table = Table::new(
        say!(words, "completeness.what_the_log_of_this_day"),
        vec![
            text_column(say!(words, "completeness.chamber"), 60.0),
            text_column(say!(words, "completeness.what_is_not_there"), 230.0),
            text_column(say!(words, "completeness.to_add"), 230.0),
        ],
    );
    for record in evidence.completeness.iter().filter(|record| record.date == date) {
        let lacking: Vec<&ExpectedEntry> = record.entries.iter().filter(|entry| !entry.present).collect();
        if lacking.is_empty() {
            continue;
        }
        let joined = |of: &dyn Fn(&ExpectedEntry) -> Option<String>| {
            lacking.iter().filter_map(|entry| of(entry)).collect::<Vec<_>>().join("; ")
        };
        let running = if record.running { say!(words, "completeness.day_not_over") } else { "" };
        table.push(vec![
            Cell::link(&record.chamber, running, chamber_anchor(evidence, &record.chamber)),
            joined(&|entry| Some(format!("{}: {}", entry.kind.said(words), entry.text))).into(),
            joined(&|entry| entry.add.clone()).into(),
        ]);
    }
    if table.rows.is_empty() { None } else { Some(table) }
}
