//! One unit and one logger stand in one place at a time, and spans end after they start.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use grainfall_record::LoggerSelector;

use crate::fault::FaultKind;
use crate::job_text::Draft;
use crate::model::{LoggerPlacement, Span, Stay};
use crate::read::desk::Desk;
use crate::read::entry::{Placed, Spots};
use crate::read::time::shown;

pub(super) fn check(desk: &Desk, draft: &Draft) {
    for chamber in &draft.chambers {
        backwards(desk, &chamber.spots, ("from", chamber.item.span.from), ("to", chamber.item.span.to));
    }
    for logger in &draft.loggers {
        backwards(desk, &logger.spots, ("from", logger.item.span.from), ("to", logger.item.span.to));
    }
    for entry in &draft.side_by_side {
        backwards(desk, &entry.spots, ("from", Some(entry.item.from)), ("to", Some(entry.item.to)));
    }
    for pause in &draft.pauses {
        backwards(desk, &pause.spots, ("from", Some(pause.item.from)), ("to", Some(pause.item.to)));
    }
    for stay in &draft.stays {
        backwards(desk, &stay.spots, ("placed", Some(stay.item.placed)), ("removed", stay.item.removed));
    }
    moves(desk, draft);
    stays(desk, draft);
    placements(desk, draft);
    billed(desk, draft);
}

type End = (&'static str, Option<DateTime<Utc>>);

fn backwards(desk: &Desk, spots: &Spots, start: End, end: End) {
    if let (Some(from), Some(to)) = (start.1, end.1)
        && to <= from
    {
        let kind = FaultKind::Backwards {
            start: start.0,
            start_time: spots.written(start.0).to_owned(),
            end: end.0,
            end_time: spots.written(end.0).to_owned(),
        };
        desk.fault(spots.of(end.0), kind);
    }
}

/// A point moves into a chamber that is there.
fn moves(desk: &Desk, draft: &Draft) {
    let zone = desk.zone.get().tz;
    for point in &draft.points {
        for moved in &point.item.moved {
            let chamber = draft.chambers.iter().find(|chamber| chamber.item.id == moved.chamber);
            let set_up = chamber.and_then(|chamber| chamber.item.span.from);
            if let Some(set_up) = set_up.filter(|set_up| moved.from < *set_up) {
                let kind = FaultKind::BeforeChamber {
                    point: point.item.id.clone(),
                    chamber: moved.chamber.clone(),
                    time: shown(moved.from, zone),
                    set_up: shown(set_up, zone),
                };
                desk.fault(point.spots.of("moved"), kind);
            }
        }
    }
}

fn stays(desk: &Desk, draft: &Draft) {
    let mut units: BTreeMap<&str, Vec<&Placed<Stay>>> = BTreeMap::new();
    for stay in &draft.stays {
        units.entry(&stay.item.unit).or_default().push(stay);
    }
    for (unit, mut stays) in units {
        if let Some(first) = stays.first().copied() {
            for other in stays.iter().filter(|other| other.item.kind != first.item.kind) {
                let kind = FaultKind::KindDiffers {
                    unit: unit.to_owned(),
                    found: other.item.kind.word(),
                    other: first.item.kind.word(),
                    other_line: first.spots.line(),
                };
                desk.fault(other.spots.of("kind"), kind);
            }
        }
        stays.sort_by_key(|stay| (stay.item.placed, stay.spots.line()));
        // The stay before this one that ends last; an open end is last of all.
        let mut last: Option<&Placed<Stay>> = None;
        for stay in stays {
            if let Some(other) =
                last.filter(|other| other.item.removed.is_none_or(|removed| stay.item.placed < removed))
            {
                let zone = desk.zone.get().tz;
                let kind = FaultKind::StaysOverlap {
                    unit: unit.to_owned(),
                    other_line: other.spots.line(),
                    from: shown(other.item.placed, zone),
                    to: other
                        .item
                        .removed
                        .map_or_else(|| "now (no `removed`)".to_owned(), |time| format!("`{}`", shown(time, zone))),
                };
                desk.fault(stay.spots.of("placed"), kind);
            }
            let ends_later = |other: &Placed<Stay>| match (stay.item.removed, other.item.removed) {
                (_, None) => false,
                (None, _) => true,
                (Some(this), Some(that)) => this > that,
            };
            if last.is_none_or(ends_later) {
                last = Some(stay);
            }
        }
    }
}

fn placements(desk: &Desk, draft: &Draft) {
    for (index, logger) in draft.loggers.iter().enumerate() {
        let same = |other: &&Placed<LoggerPlacement>| {
            other.item.select == logger.item.select && other.item.span.overlaps(&logger.item.span)
        };
        if let Some(other) = draft.loggers.iter().take(index).find(same) {
            let Span { from, to } = other.item.span;
            let zone = desk.zone.get().tz;
            let kind = FaultKind::PlacementsOverlap {
                logger: name(&logger.item.select),
                other_line: other.spots.line(),
                from: from.map_or_else(|| "the start".to_owned(), |time| format!("`{}`", shown(time, zone))),
                to: to.map_or_else(|| "the end".to_owned(), |time| format!("`{}`", shown(time, zone))),
            };
            let key = ["from", "serial", "file"].into_iter().find(|key| !logger.spots.written(key).is_empty());
            desk.fault(logger.spots.of(key.unwrap_or("serial")), kind);
        }
    }
}

fn name(select: &LoggerSelector) -> String {
    match select {
        LoggerSelector::Serial(serial) => format!("`{serial}`"),
        LoggerSelector::File { file, channel: None } => format!("`{file}`"),
        LoggerSelector::File { file, channel: Some(channel) } => format!("`{file}` channel `{channel}`"),
    }
}

fn billed(desk: &Desk, draft: &Draft) {
    for billed in &draft.billed {
        let on_stay = |stay: &&Placed<Stay>| stay.item.unit == billed.item.unit && stay.item.billed_days.is_some();
        if let Some(stay) = draft.stays.iter().find(on_stay) {
            let kind = FaultKind::BilledTwice { unit: billed.item.unit.clone(), stay: stay.item.line.clone() };
            desk.fault(billed.spots.of("unit"), kind);
        }
    }
}
