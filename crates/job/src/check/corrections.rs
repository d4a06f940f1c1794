//! A meter that is to be corrected for the species reads points whose material describes theirs.

use std::collections::BTreeSet;

use crate::fault::FaultKind;
use crate::job_text::Draft;
use crate::model::{MeterCorrection, Scale};
use crate::read::desk::Desk;

pub(super) fn check(desk: &Desk, draft: &Draft) {
    let mut told: BTreeSet<(&str, &str)> = BTreeSet::new();
    for reading in draft.readings.iter().filter(|reading| reading.item.scale == Scale::WoodMc) {
        let meter = draft.meters.iter().find(|meter| Some(&meter.item.id) == reading.item.meter.as_ref());
        let Some(meter) = meter.filter(|m| m.item.correction == Some(MeterCorrection::TemperatureAndSpecies)) else {
            continue;
        };
        let Some(point) = draft.points.iter().find(|point| point.item.id == reading.item.point) else { continue };
        let kind = point.item.material.as_deref();
        let material = draft.materials.iter().find(|material| Some(material.item.kind.as_str()) == kind);
        let described = material.is_some_and(|material| material.item.species.is_some());
        if !described && told.insert((&meter.item.id, &point.item.id)) {
            let kind = FaultKind::NoSpecies {
                meter: meter.item.id.clone(),
                material: kind.map_or_else(|| "the unnamed material".to_owned(), |kind| format!("material `{kind}`")),
                point: point.item.id.clone(),
            };
            desk.fault(meter.spots.of("correct"), kind);
        }
    }
}
