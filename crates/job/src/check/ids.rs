//! Ids are used once; a place that needs a unit names one.

use std::collections::BTreeMap;

use crate::fault::FaultKind;
use crate::job_text::Draft;
use crate::model::Place;
use crate::read::desk::Desk;
use crate::read::entry::{Placed, Spots};

pub(super) fn check(desk: &Desk, draft: &Draft) {
    unique(desk, "chamber", "id", &draft.chambers, |chamber| &chamber.id);
    unique(desk, "meter", "id", &draft.meters, |meter| &meter.id);
    unique(desk, "material", "kind", &draft.materials, |material| &material.kind);
    unique(desk, "point", "id", &draft.points, |point| &point.id);
    for logger in &draft.loggers {
        if let (Some(place @ (Place::Inlet | Place::Outlet)), None) = (logger.item.place, &logger.item.unit) {
            desk.fault(logger.spots.of("place"), FaultKind::PlaceWithoutUnit { place: place.word() });
        }
    }
}

fn unique<T>(desk: &Desk, what: &'static str, key: &str, items: &[Placed<T>], id: impl Fn(&T) -> &String) {
    let mut first: BTreeMap<&str, &Spots> = BTreeMap::new();
    for item in items {
        let id = id(&item.item);
        if let Some(spots) = first.get(id.as_str()) {
            let kind = FaultKind::SameId { what, id: id.clone(), first_line: spots.line() };
            desk.fault(item.spots.of(key), kind);
        } else {
            first.insert(id, &item.spots);
        }
    }
}
