//! Equipment-days that were not needed.

use super::{Draft, Record};
use crate::evidence::{DayVerdict, FindingKind, Subject};
use crate::words::{count, moment};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let mut drafts = Vec::new();
    for unit in record.units {
        for stay in &unit.stays {
            let days: Vec<_> = stay.days.iter().filter(|day| day.verdict == DayVerdict::NotNeeded).collect();
            if let (Some(first), Some(last)) = (days.first(), days.last()) {
                drafts.push(Draft {
                    kind: FindingKind::EquipmentAfterGoals,
                    subject: Subject::Unit(unit.unit.clone()),
                    from: first.from,
                    to: Some(last.to),
                    text: format!(
                        "{} was on site for {} that the readings do not call for, from {}: {}.",
                        unit.unit,
                        count(days.len(), "equipment-day", "equipment-days"),
                        moment(first.from, zone),
                        first.why
                    ),
                    threshold: "every goal it served was met before the day began".to_owned(),
                    rows: first.rows.clone(),
                });
            }
        }
    }
    drafts
}
