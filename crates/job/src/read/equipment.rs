//! `[[equipment]]` and `equipment.csv`, `[[condensate]]`, `[[hour_meter]]`, `[[pause]]` and `[[billed]]`.

use grainfall_psychrometrics::{AirFlow, WaterMass, WaterRate};

use super::desk::{Desk, Listed, Target};
use super::entry::{Entry, Placed};
use crate::model::{BilledDays, CondensateEntry, EquipmentKind, HourMeterEntry, Pause, Purpose, RatedCapacity, Stay};
use crate::suggest::plain;

/// The words of [`EquipmentKind::WORDS`] and other words of the trade for the same machines.
const SPELLINGS: [(&str, EquipmentKind); 21] = [
    ("dehumidifier low-grain", EquipmentKind::DehumidifierLowGrain),
    ("dehumidifier refrigerant", EquipmentKind::DehumidifierRefrigerant),
    ("dehumidifier desiccant", EquipmentKind::DehumidifierDesiccant),
    ("air mover", EquipmentKind::AirMover),
    ("air scrubber", EquipmentKind::AirScrubber),
    ("heater", EquipmentKind::Heater),
    ("low-grain dehumidifier", EquipmentKind::DehumidifierLowGrain),
    ("low-grain refrigerant dehumidifier", EquipmentKind::DehumidifierLowGrain),
    ("dehumidifier low-grain refrigerant", EquipmentKind::DehumidifierLowGrain),
    ("LGR", EquipmentKind::DehumidifierLowGrain),
    ("LGR dehumidifier", EquipmentKind::DehumidifierLowGrain),
    ("dehumidifier LGR", EquipmentKind::DehumidifierLowGrain),
    ("refrigerant dehumidifier", EquipmentKind::DehumidifierRefrigerant),
    ("conventional dehumidifier", EquipmentKind::DehumidifierRefrigerant),
    ("dehumidifier conventional", EquipmentKind::DehumidifierRefrigerant),
    ("desiccant", EquipmentKind::DehumidifierDesiccant),
    ("desiccant dehumidifier", EquipmentKind::DehumidifierDesiccant),
    ("air movers", EquipmentKind::AirMover),
    ("scrubber", EquipmentKind::AirScrubber),
    ("negative air machine", EquipmentKind::AirScrubber),
    ("air heater", EquipmentKind::Heater),
];

/// The most days that are read as days of one stay.
const MOST_DAYS: f64 = 1000.0;

/// The stays, from `job.toml` or from `equipment.csv`.
pub(crate) fn read<'a>(
    desk: &Desk,
    listed: &mut Listed,
    entries: impl IntoIterator<Item = Entry<'a>>,
) -> Vec<Placed<Stay>> {
    entries.into_iter().filter_map(|entry| stay(desk, listed, &entry)).collect()
}

fn stay(desk: &Desk, listed: &mut Listed, entry: &Entry<'_>) -> Option<Placed<Stay>> {
    let unit = entry.text(desk, "unit");
    if let Some(unit) = &unit {
        listed.add(Target::Unit, unit);
    }
    let kind = entry.word(desk, "kind", &SPELLINGS);
    let purpose = entry.text(desk, "purpose").map(|text| match plain(&text).as_str() {
        "drying" => Purpose::Drying,
        _ => Purpose::Other(text),
    });
    let chambers = entry.references(desk, "chamber", Target::Chamber);
    let points = entry.references(desk, "points", Target::Point);
    let placed = entry.time(desk, "placed");
    let removed = entry.time(desk, "removed");
    let rate = entry.quantity::<WaterRate>(desk, "rated_capacity");
    let condition = entry.text(desk, "rated_condition");
    entry.needs(desk, "rated_condition", &["rated_capacity"]);
    let airflow = entry.quantity::<AirFlow>(desk, "airflow");
    let billed_days = entry.number(desk, "billed_days", 0.0..=MOST_DAYS);
    let text = |key| entry.text(desk, key);
    let (asset, placed_by, placed_reason) = (text("asset"), text("placed_by"), text("placed_reason"));
    let (removed_by, removed_reason) = (text("removed_by"), text("removed_reason"));
    let kind = kind?;
    Some(entry.placed(Stay {
        unit: unit?,
        asset,
        kind,
        purpose: purpose.unwrap_or_else(|| kind.default_purpose()),
        chambers,
        points,
        placed: placed?,
        placed_by,
        placed_reason,
        removed,
        removed_by,
        removed_reason,
        airflow,
        rated_capacity: rate.map(|rate| RatedCapacity { rate, condition }),
        billed_days,
        line: entry.row(),
    }))
}

/// Condensate entries.
pub(crate) fn read_condensate(desk: &Desk, entries: &[Entry<'_>]) -> Vec<Placed<CondensateEntry>> {
    let read = |entry: &Entry<'_>| {
        let time = entry.time(desk, "time");
        let unit = entry.reference(desk, "unit", Target::Unit);
        let water = entry.quantity::<WaterMass>(desk, "amount");
        Some(entry.placed(CondensateEntry { time: time?, unit: unit?, water: water?, line: entry.row() }))
    };
    entries.iter().filter_map(read).collect()
}

/// Hour-meter entries.
pub(crate) fn read_hour_meters(desk: &Desk, entries: &[Entry<'_>]) -> Vec<Placed<HourMeterEntry>> {
    let read = |entry: &Entry<'_>| {
        let time = entry.time(desk, "time");
        let unit = entry.reference(desk, "unit", Target::Unit);
        let hours = entry.number(desk, "hours", 0.0..=1e6);
        Some(entry.placed(HourMeterEntry { time: time?, unit: unit?, hours: hours?, line: entry.row() }))
    };
    entries.iter().filter_map(read).collect()
}

/// Pauses.
pub(crate) fn read_pauses(desk: &Desk, entries: &[Entry<'_>]) -> Vec<Placed<Pause>> {
    let read = |entry: &Entry<'_>| {
        let (from, to) = (entry.time(desk, "from"), entry.time(desk, "to"));
        let units = entry.references(desk, "units", Target::Unit);
        let reason = entry.text(desk, "reason");
        Some(entry.placed(Pause { from: from?, to: to?, units, reason: reason?, line: entry.row() }))
    };
    entries.iter().filter_map(read).collect()
}

/// Billed days apart from stays.
pub(crate) fn read_billed(desk: &Desk, entries: &[Entry<'_>]) -> Vec<Placed<BilledDays>> {
    let read = |entry: &Entry<'_>| {
        let unit = entry.reference(desk, "unit", Target::Unit);
        let days = entry.number(desk, "days", 0.0..=MOST_DAYS);
        Some(entry.placed(BilledDays { unit: unit?, days: days?, line: entry.row() }))
    };
    entries.iter().filter_map(read).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::entry::look_up;

    #[test]
    fn the_own_words_of_the_kinds_come_first() {
        for ((word, _, kind), (spelling, spelt)) in EquipmentKind::WORDS.iter().zip(SPELLINGS) {
            assert_eq!((*word, *kind), (spelling, spelt));
        }
        for (word, kind) in SPELLINGS {
            assert_eq!(look_up(word, &SPELLINGS), Some(kind), "{word}");
        }
    }
}
