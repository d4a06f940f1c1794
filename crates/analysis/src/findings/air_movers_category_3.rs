//! Air movers running on category 3 water before the chamber is recorded as ready for drying.

use grainfall_job::{EquipmentKind, WaterCategory};

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject};
use crate::words::moment;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let job = record.job;
    let mut drafts = Vec::new();
    for (index, category) in job.category.iter().enumerate().filter(|(_, one)| one.value == WaterCategory::Three) {
        let until = job.category.get(index + 1).and_then(|next| next.from);
        for stay in job.equipment.iter().filter(|stay| stay.kind == EquipmentKind::AirMover) {
            for chamber in job.chambers.iter().filter(|chamber| stay.chambers.contains(&chamber.id)) {
                let from = category.from.map_or(stay.placed, |from| from.max(stay.placed));
                let ends = [Some(record.clock), stay.removed, until, chamber.drying_from];
                let Some(to) = ends.into_iter().flatten().min() else { continue };
                if to <= from {
                    continue;
                }
                let ready = chamber.drying_from.map_or_else(
                    || "no `drying_from` is recorded for it".to_owned(),
                    |ready| format!("it was ready for drying on {}", moment(ready, zone)),
                );
                drafts.push(Draft {
                    kind: FindingKind::AirMoversInCategory3,
                    subject: Subject::Unit(stay.unit.clone()),
                    from,
                    to: Some(to),
                    text: format!(
                        "Air mover {} stood in {} from {} while the water is recorded as Category 3; {ready}. Air is \
                         kept off contaminated material until it is cleaned or removed.",
                        stay.unit,
                        chamber.name,
                        moment(from, zone)
                    ),
                    threshold: "an air mover on site in Category 3 before `drying_from` (caution of this program)"
                        .to_owned(),
                    rows: vec![(&stay.line).into()],
                });
            }
        }
    }
    drafts
}
