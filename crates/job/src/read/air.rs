//! `air.csv`.

use grainfall_psychrometrics::{GrainsPerPound, RelativeHumidity};

use super::desk::{Desk, Target};
use super::entry::{Entry, Field, Placed, Raw, read_quantity};
use super::sheet::Sheet;
use crate::fault::FaultKind;
use crate::model::{AirPlace, AirReading, AirWater, Place};

/// Places whose air is measured by hand.
const PLACES: [(&str, Place); 6] = [
    ("affected", Place::Affected),
    ("unaffected", Place::Unaffected),
    ("outdoor", Place::Outdoor),
    ("inlet", Place::Inlet),
    ("outlet", Place::Outlet),
    ("hvac", Place::Hvac),
];

/// The air readings of the file.
pub(crate) fn read(desk: &Desk, sheet: &Sheet) -> Vec<Placed<AirReading>> {
    sheet.one_of(desk, &["rh", "gpp"]);
    sheet.entries().filter_map(|entry| air_reading(desk, &entry)).collect()
}

fn air_reading(desk: &Desk, entry: &Entry<'_>) -> Option<Placed<AirReading>> {
    let time = entry.time(desk, "time");
    let place = entry.word(desk, "place", &PLACES);
    let chamber = entry.reference(desk, "chamber", Target::Chamber);
    let unit = entry.reference(desk, "unit", Target::Unit);
    let air_temp = entry.temperature(desk, "air_temp");
    entry.one_of(desk, &["rh", "gpp"]);
    entry.not_both(desk, "rh", "gpp");
    let rh = humidity(desk, entry).map(AirWater::Rh);
    let gpp = grains(desk, entry).map(AirWater::Gpp);
    let (instrument, by) = (entry.text(desk, "instrument"), entry.text(desk, "by"));
    if let (Some(place @ (Place::Inlet | Place::Outlet)), false) = (place, entry.has("unit")) {
        let at = entry.fields.get("place").map_or(&entry.at, |field| &field.at);
        desk.fault(at, FaultKind::PlaceWithoutUnit { place: place.word() });
    }
    Some(entry.placed(AirReading {
        time: time?,
        place: AirPlace { place: place?, chamber, unit },
        air_temp: air_temp?,
        water: rh.or(gpp)?,
        instrument,
        by,
        line: entry.row(),
    }))
}

/// Percent, also without the sign: the column says it. From 1 up: a fraction such as 0.45 would be a percentage of
/// air that no building has.
fn humidity(desk: &Desk, entry: &Entry<'_>) -> Option<RelativeHumidity> {
    let field = entry.fields.get("rh")?;
    let rh = read_quantity::<RelativeHumidity>(desk, &field.at, "rh", &with_unit(entry, field, "%"))?;
    if rh.percent() < 1.0 {
        let accepts = "a relative humidity from 1 to 100 %, written in percent".to_owned();
        desk.fault(&field.at, FaultKind::Value { key: "rh".to_owned(), found: field.found(), accepts });
        return None;
    }
    Some(rh)
}

fn grains(desk: &Desk, entry: &Entry<'_>) -> Option<GrainsPerPound> {
    let field = entry.fields.get("gpp")?;
    read_quantity(desk, &field.at, "gpp", &with_unit(entry, field, "GPP"))
}

/// A cell's text; a bare number with the unit that the column's name states.
fn with_unit(entry: &Entry<'_>, field: &Field<'_>, unit: &str) -> String {
    let Raw::Cell(cell) = field.raw else { return String::new() };
    match entry.cell_number(cell) {
        Some(number) => format!("{number} {unit}"),
        None => cell.trim().to_owned(),
    }
}
