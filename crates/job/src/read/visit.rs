//! `visits.csv`.

use super::desk::Desk;
use super::entry::{Entry, Placed};
use super::sheet::Sheet;
use crate::model::Visit;

/// The visits of the file.
pub(crate) fn read(desk: &Desk, sheet: &Sheet) -> Vec<Placed<Visit>> {
    sheet.entries().filter_map(|entry| visit(desk, &entry)).collect()
}

fn visit(desk: &Desk, entry: &Entry<'_>) -> Option<Placed<Visit>> {
    let time = entry.time(desk, "time");
    let text = |key| entry.text(desk, key);
    Some(entry.placed(Visit {
        by: text("by"),
        credential: text("credential"),
        instruments: text("instruments"),
        reason: text("reason"),
        photos: text("photos"),
        note: text("note"),
        time: time?,
        line: entry.row(),
    }))
}
