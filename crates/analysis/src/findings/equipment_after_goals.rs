//! Equipment-days that were not needed.

use super::{Draft, Record};
use crate::evidence::{DayVerdict, FindingKind, Subject};
use crate::words::moment;
use grainfall_words::say;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let mut drafts = Vec::new();
    for unit in record.units {
        for stay in &unit.stays {
            let days: Vec<_> = stay.days.iter().filter(|day| day.verdict == DayVerdict::NotNeeded).collect();
            if let (Some(first), Some(last)) = (days.first(), days.last()) {
                let mut rows: Vec<_> = days.iter().flat_map(|day| day.rows.iter().cloned()).collect();
                rows.sort();
                rows.dedup();
                drafts.push(Draft {
                    kind: FindingKind::EquipmentAfterGoals,
                    subject: Subject::Unit(unit.unit.clone()),
                    from: first.from,
                    to: Some(last.to),
                    text: say!(
                        words,
                        "equipment_after_goals.text",
                        unit = unit.unit,
                        days = say!(words, "count.equipment_day", count = days.len()),
                        from = moment(first.from, zone),
                        why = first.why
                    ),
                    threshold: say!(words, "equipment_after_goals.threshold").to_owned(),
                    rows,
                });
            }
        }
    }
    drafts
}
