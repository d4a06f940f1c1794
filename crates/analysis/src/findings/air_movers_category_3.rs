//! Air movers running on category 3 water before the chamber is recorded as ready for drying.

use grainfall_job::{EquipmentKind, WaterCategory};
use grainfall_words::say;

use super::{Draft, Record};
use crate::evidence::{FindingKind, Subject};
use crate::words::moment;

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let zone = record.zone();
    let words = zone.words;
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
                    || say!(words, "air_movers_category_3.no_drying_from_is_recorded").to_owned(),
                    |ready| say!(words, "air_movers_category_3.it_was_ready_for_drying", ready = moment(ready, zone)),
                );
                drafts.push(Draft {
                    kind: FindingKind::AirMoversInCategory3,
                    subject: Subject::Unit(stay.unit.clone()),
                    from,
                    to: Some(to),
                    text: say!(
                        words,
                        "air_movers_category_3.text",
                        unit = stay.unit,
                        chamber = chamber.name,
                        from = moment(from, zone),
                        ready = ready
                    ),
                    threshold: say!(words, "air_movers_category_3.an_air_mover_on_site").to_owned(),
                    rows: vec![(&stay.line).into()],
                });
            }
        }
    }
    drafts
}
