//! `[job]`, `[[category]]` and `[[class]]`.

use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::{TZ_VARIANTS, Tz};
use grainfall_psychrometrics::constants::{HIGHEST_PRESSURE_PA, LOWEST_PRESSURE_PA};
use grainfall_psychrometrics::{Error, Metres, Pascals, pressure_at_elevation};
use grainfall_record::DateOrder;

use super::desk::Desk;
use super::entry::{Entry, Placed, Spots};
use super::time::shown;
use crate::fault::{FaultKind, cut};
use crate::model::{Dated, EquipmentDayRule, PressureSource, WaterCategory, WaterClass, Zone};

/// A pressure that may be off by more than this is not known, Pa. Project convention.
const MOST_PRESSURE_ACCURACY_PA: f64 = 10_000.0;

/// What `[job]` says.
#[derive(Debug, Clone)]
pub(crate) struct Head {
    pub number: Option<String>,
    pub title: Option<String>,
    pub claim: Option<String>,
    pub zone: Zone,
    pub pressure: PressureSource,
    pub pressure_accuracy: Option<Pascals>,
    pub loss_at: Option<DateTime<Utc>>,
    pub category: Option<WaterCategory>,
    pub class: Option<WaterClass>,
    pub edition: Option<String>,
    pub equipment_day: EquipmentDayRule,
    pub pull_window: TimeDelta,
    pub pull_window_stated: bool,
    pub confirm_readings: u32,
    pub date_order: Option<DateOrder>,
    /// The loss as written.
    pub loss_written: String,
}

impl Default for Head {
    fn default() -> Self {
        Self {
            number: None,
            title: None,
            claim: None,
            zone: Zone::not_stated(),
            pressure: PressureSource::NotStated,
            pressure_accuracy: None,
            loss_at: None,
            category: None,
            class: None,
            edition: None,
            equipment_day: EquipmentDayRule::Hours24,
            pull_window: TimeDelta::hours(4),
            pull_window_stated: false,
            confirm_readings: 1,
            date_order: None,
            loss_written: String::new(),
        }
    }
}

/// Reads `[job]`; sets the desk's zone and date order, so it comes first.
pub(crate) fn read(desk: &Desk, entry: &Entry<'_>) -> Head {
    let default = Head::default();
    let zone = zone(desk, entry).unwrap_or(default.zone);
    desk.zone.set(zone);
    let orders = [("month-first", DateOrder::MonthFirst), ("day-first", DateOrder::DayFirst)];
    let date_order = entry.word(desk, "date_order", &orders);
    desk.date_order.set(date_order);
    entry.not_both(desk, "elevation", "pressure");
    let elevation = entry.quantity::<Metres>(desk, "elevation");
    let elevation = entry.within(desk, "elevation", elevation, |metres| match pressure_at_elevation(metres) {
        Ok(_) => None,
        Err(Error::ElevationOutOfRange { low_m, high_m, .. }) => {
            let feet = |metres| Metres::new(metres).to_feet().round();
            Some(format!("an elevation from {low_m} to {high_m} m ({} to {} ft)", feet(low_m), feet(high_m)))
        }
        Err(other) => Some(other.to_string()),
    });
    let pressure = entry.quantity::<Pascals>(desk, "pressure");
    let pressure = entry.within(desk, "pressure", pressure, |pascals| {
        let possible = (LOWEST_PRESSURE_PA..=HIGHEST_PRESSURE_PA).contains(&pascals.get());
        (!possible).then(|| {
            let (low, high) = (Pascals::new(LOWEST_PRESSURE_PA), Pascals::new(HIGHEST_PRESSURE_PA));
            format!(
                "the absolute pressure at the place, {} to {} kPa ({:.0} to {:.0} inHg)",
                low.to_kilopascals(),
                high.to_kilopascals(),
                low.to_inches_of_mercury(),
                high.to_inches_of_mercury()
            )
        })
    });
    entry.not_both(desk, "elevation", "pressure_accuracy");
    let pressure_accuracy = entry.quantity::<Pascals>(desk, "pressure_accuracy");
    let pressure_accuracy = entry.within(desk, "pressure_accuracy", pressure_accuracy, |limit| {
        let possible = limit.get() > 0.0 && limit.get() <= MOST_PRESSURE_ACCURACY_PA;
        (!possible).then(|| format!("above 0 to {} kPa", Pascals::new(MOST_PRESSURE_ACCURACY_PA).to_kilopascals()))
    });
    let days = [("24h", EquipmentDayRule::Hours24), ("calendar", EquipmentDayRule::Calendar)];
    let pull_window = entry.length(desk, "pull_window");
    Head {
        number: entry.text(desk, "number"),
        title: entry.text(desk, "title"),
        claim: entry.text(desk, "claim"),
        zone,
        pressure: pressure
            .map(PressureSource::Stated)
            .or(elevation.map(PressureSource::Elevation))
            .unwrap_or(PressureSource::NotStated),
        pressure_accuracy,
        loss_at: entry.time(desk, "loss_at"),
        category: entry.whole(desk, "category", 1..=3).and_then(category),
        class: entry.whole(desk, "class", 1..=4).and_then(class),
        edition: entry.text(desk, "edition"),
        equipment_day: entry.word(desk, "equipment_day", &days).unwrap_or(default.equipment_day),
        pull_window: pull_window.unwrap_or(default.pull_window),
        pull_window_stated: pull_window.is_some(),
        confirm_readings: entry.whole(desk, "confirm_readings", 1..=10).unwrap_or(default.confirm_readings),
        date_order,
        loss_written: entry.spots().written("loss_at").to_owned(),
    }
}

/// The category over time: the one of `[job]`, then the dated changes, oldest first.
pub(crate) fn categories(desk: &Desk, head: &Head, entries: &[Entry<'_>]) -> Vec<Dated<WaterCategory>> {
    let changes = entries.iter().filter_map(|entry| change(desk, head, entry, 1..=3, category)).collect();
    dated(desk, head, head.category, changes)
}

/// The class over time, likewise.
pub(crate) fn classes(desk: &Desk, head: &Head, entries: &[Entry<'_>]) -> Vec<Dated<WaterClass>> {
    let changes = entries.iter().filter_map(|entry| change(desk, head, entry, 1..=4, class)).collect();
    dated(desk, head, head.class, changes)
}

fn change<T>(
    desk: &Desk,
    head: &Head,
    entry: &Entry<'_>,
    range: std::ops::RangeInclusive<u32>,
    value: fn(u32) -> Option<T>,
) -> Option<Placed<Dated<T>>> {
    let number = entry.whole(desk, "value", range).and_then(value);
    let from = entry.time(desk, "from");
    let reason = entry.text(desk, "reason");
    let edition = entry.text(desk, "edition").or_else(|| head.edition.clone());
    Some(entry.placed(Dated { value: number?, from: Some(from?), reason, edition }))
}

fn dated<T>(desk: &Desk, head: &Head, first: Option<T>, mut changes: Vec<Placed<Dated<T>>>) -> Vec<Dated<T>> {
    changes.sort_by_key(|change| (change.item.from, change.spots.line()));
    for pair in changes.windows(2) {
        if let (Some(time), true) = (pair[1].item.from, pair[0].item.from == pair[1].item.from) {
            let (at, other): (_, &Spots) = (pair[1].spots.of("from"), &pair[0].spots);
            let time = shown(time, head.zone.tz);
            desk.fault(at, FaultKind::SameChange { time, other_line: other.line() });
        }
    }
    let first = first.map(|value| Dated { value, from: None, reason: None, edition: head.edition.clone() });
    first.into_iter().chain(changes.into_iter().map(|change| change.item)).collect()
}

fn category(number: u32) -> Option<WaterCategory> {
    [WaterCategory::One, WaterCategory::Two, WaterCategory::Three].into_iter().nth(usize::try_from(number).ok()? - 1)
}

fn class(number: u32) -> Option<WaterClass> {
    [WaterClass::One, WaterClass::Two, WaterClass::Three, WaterClass::Four]
        .into_iter()
        .nth(usize::try_from(number).ok()? - 1)
}

fn zone(desk: &Desk, entry: &Entry<'_>) -> Option<Zone> {
    let text = entry.text(desk, "time_zone")?;
    let at = &entry.fields.get("time_zone")?.at;
    if let Some((_, place, fixed)) = FIXED.iter().find(|(name, ..)| name.eq_ignore_ascii_case(&text)) {
        let kind = FaultKind::FixedZone { found: text, place: (*place).to_owned(), fixed: (*fixed).to_owned() };
        desk.fault(at, kind);
        return None;
    }
    match text.parse::<Tz>() {
        Ok(tz) => Some(Zone::stated(tz)),
        Err(_) => {
            let spoken = SPOKEN.iter().find(|(name, _)| name.eq_ignore_ascii_case(&text)).map(|(_, zone)| *zone);
            let city = || {
                let names = || TZ_VARIANTS.iter().map(|zone| zone.name());
                names()
                    .find(|name| {
                        name.rsplit('/')
                            .next()
                            .is_some_and(|city| crate::suggest::plain(city) == crate::suggest::plain(&text))
                    })
                    .or_else(|| crate::suggest(&text, names()))
            };
            let nearest = spoken.or_else(city).map(str::to_owned);
            desk.fault(at, FaultKind::UnknownZone { found: cut(&text), nearest });
            None
        }
    }
}

/// Names in the zone list that stand for an offset all year, though people write them for a place's time: the name,
/// a place that goes by it in winter, the same offset under a name that says so.
///
/// # Source
/// IANA time zone database, files `northamerica` and `etcetera` (from memory).
const FIXED: [(&str, &str, &str); 3] = [
    ("EST", "America/New_York", "Etc/GMT+5"),
    ("MST", "America/Denver", "Etc/GMT+7"),
    ("HST", "Pacific/Honolulu", "Etc/GMT+10"),
];

/// What people call the zones of the United States and some others, with a zone to offer.
///
/// # Source
/// IANA time zone database, `zone1970.tab` (from memory).
const SPOKEN: [(&str, &str); 18] = [
    ("eastern", "America/New_York"),
    ("eastern time", "America/New_York"),
    ("EDT", "America/New_York"),
    ("ET", "America/New_York"),
    ("central", "America/Chicago"),
    ("central time", "America/Chicago"),
    ("CST", "America/Chicago"),
    ("CDT", "America/Chicago"),
    ("CT", "America/Chicago"),
    ("mountain", "America/Denver"),
    ("mountain time", "America/Denver"),
    ("MDT", "America/Denver"),
    ("pacific", "America/Los_Angeles"),
    ("pacific time", "America/Los_Angeles"),
    ("PST", "America/Los_Angeles"),
    ("PDT", "America/Los_Angeles"),
    ("BST", "Europe/London"),
    ("CEST", "Europe/Berlin"),
];
