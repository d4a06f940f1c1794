//! Initial sizing by the standard's simple method, beside what stood there; and the first instants at which a unit could
//! have gone. Ranges and advice, never verdicts.

pub(crate) mod leave;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::{Chamber, EquipmentKind, Job, Purpose, Stay, WaterClass};
use grainfall_psychrometrics::WaterDensity;
use grainfall_words::{Words, say};

use crate::evidence::{CalledFor, SizedKind};
use crate::thresholds::{
    AIR_MOVER_FLOOR_FT2, DESICCANT_AIR_CHANGES, DESICCANT_AIR_CHANGES_HIGHEST, DIVISOR_CLASS_3_LOWEST,
    DIVISOR_CONVENTIONAL, DIVISOR_LOW_GRAIN,
};
use crate::words::number;

/// What is called for in each chamber with drying equipment by the clock, by chamber, then kind.
///
/// Nothing is said of a chamber whose class (for dehumidification), volume or floor area is not stated.
pub(crate) fn called_for(job: &Job, clock: DateTime<Utc>) -> Vec<CalledFor> {
    job.chambers.iter().flat_map(|chamber| of_chamber(job, chamber, clock)).collect()
}

fn of_chamber(job: &Job, chamber: &Chamber, clock: DateTime<Utc>) -> Vec<CalledFor> {
    let stays: Vec<&Stay> = job
        .equipment
        .iter()
        .filter(|stay| stay.purpose == Purpose::Drying && stay.placed <= clock && stay.chambers.contains(&chamber.id))
        .collect();
    let Some(first) = stays.iter().map(|stay| stay.placed).min() else { return Vec::new() };
    // What was set on the first day; a unit set and moved within it counts once.
    let mut started: Vec<&Stay> = stays.into_iter().filter(|stay| stay.placed - first < TimeDelta::hours(24)).collect();
    started.sort_by(|a, b| (&a.unit, a.placed).cmp(&(&b.unit, b.placed)));
    started.dedup_by(|a, b| a.unit == b.unit);
    let words = job.zone.words;
    let class = class_at(job, first);
    let mut out = Vec::new();
    let volume_ft3 = chamber.volume.map(|volume| volume.to_cubic_feet());
    if let (Some(class), Some(volume_ft3)) = (class, volume_ft3) {
        out.extend(refrigerant(words, chamber, &started, class, volume_ft3));
        out.extend(desiccant(words, chamber, &started, class, volume_ft3));
    }
    if let Some(floor) = chamber.floor_area {
        out.push(air_movers(words, chamber, &started, floor.to_square_feet()));
    }
    out
}

/// The class in force when drying began, 0 for class 1.
fn class_at(job: &Job, time: DateTime<Utc>) -> Option<usize> {
    let entry =
        job.class.iter().rev().find(|entry| entry.from.is_none_or(|from| from <= time)).or(job.class.first())?;
    Some(match entry.value {
        WaterClass::One => 0,
        WaterClass::Two => 1,
        WaterClass::Three => 2,
        WaterClass::Four => 3,
    })
}

fn of_kind<'a>(started: &[&'a Stay], wanted: impl Fn(EquipmentKind) -> bool) -> Vec<&'a Stay> {
    started.iter().copied().filter(|stay| wanted(stay.kind)).collect()
}

fn names(stays: &[&Stay]) -> Vec<String> {
    stays.iter().map(|stay| stay.unit.clone()).collect()
}

/// Note on units that serve other chambers too.
fn shared(words: Words, stays: &[&Stay]) -> &'static str {
    if stays.iter().any(|stay| stay.chambers.len() > 1) { say!(words, "sizing.a_unit_that_serves_several") } else { "" }
}

fn refrigerant(words: Words, chamber: &Chamber, started: &[&Stay], class: usize, volume_ft3: f64) -> Option<CalledFor> {
    let units = of_kind(started, |kind| {
        matches!(kind, EquipmentKind::DehumidifierLowGrain | EquipmentKind::DehumidifierRefrigerant)
    });
    let desiccants = of_kind(started, |kind| kind == EquipmentKind::DehumidifierDesiccant);
    if units.is_empty() && !desiccants.is_empty() {
        return None;
    }
    let has = |kind| units.is_empty() || units.iter().any(|stay| stay.kind == kind);
    let mut divisors: Vec<f64> = Vec::new();
    if has(EquipmentKind::DehumidifierRefrigerant) {
        divisors.extend(DIVISOR_CONVENTIONAL[class]);
    }
    if has(EquipmentKind::DehumidifierLowGrain) {
        divisors.extend(DIVISOR_LOW_GRAIN[class]);
    }
    if class == 2 {
        divisors.push(DIVISOR_CLASS_3_LOWEST);
    }
    divisors.sort_by(f64::total_cmp);
    divisors.dedup();
    let (least, most) = (divisors.first()?, divisors.last()?);
    let on_site = units
        .iter()
        .map(|stay| Some(stay.rated_capacity.as_ref()?.rate.to_pints_per_day(WaterDensity::AT_80_F)))
        .collect::<Option<Vec<f64>>>()
        .map(|each| each.iter().sum());
    let text: Vec<String> = divisors.iter().map(|divisor| number(words, *divisor, 0)).collect();
    Some(CalledFor {
        chamber: chamber.id.clone(),
        what: SizedKind::RefrigerantCapacity,
        on_site,
        units: names(&units),
        low: volume_ft3 / most,
        high: volume_ft3 / least,
        unit: say!(words, "sizing.pints_a_day_rated_at").to_owned(),
        method: say!(
            words,
            "sizing.capacity",
            volume_ft3 = number(words, volume_ft3, 0),
            text = text.join(say!(words, "sizing.or")),
            class = class + 1,
            sizing_edition = say!(words, "sizing.edition"),
            units = shared(words, &units)
        ),
    })
}

fn desiccant(words: Words, chamber: &Chamber, started: &[&Stay], class: usize, volume_ft3: f64) -> Option<CalledFor> {
    let units = of_kind(started, |kind| kind == EquipmentKind::DehumidifierDesiccant);
    if units.is_empty() {
        return None;
    }
    let on_site = units
        .iter()
        .map(|stay| Some(stay.airflow?.to_cfm()))
        .collect::<Option<Vec<f64>>>()
        .map(|each| each.iter().sum());
    let (low, high) = (DESICCANT_AIR_CHANGES[class], DESICCANT_AIR_CHANGES_HIGHEST);
    Some(CalledFor {
        chamber: chamber.id.clone(),
        what: SizedKind::DesiccantAirflow,
        on_site,
        units: names(&units),
        low: volume_ft3 * low / 60.0,
        high: volume_ft3 * high / 60.0,
        unit: "cfm".to_owned(),
        method: say!(
            words,
            "sizing.airflow",
            volume_ft3 = number(words, volume_ft3, 0),
            low = number(words, low, 0),
            class = class + 1,
            sizing_edition = say!(words, "sizing.edition"),
            high = number(words, high, 0),
            units = shared(words, &units)
        ),
    })
}

fn air_movers(words: Words, chamber: &Chamber, started: &[&Stay], floor_ft2: f64) -> CalledFor {
    let units = of_kind(started, |kind| kind == EquipmentKind::AirMover);
    let [fewest, most] = AIR_MOVER_FLOOR_FT2;
    CalledFor {
        chamber: chamber.id.clone(),
        what: SizedKind::AirMovers,
        #[allow(clippy::cast_precision_loss)]
        on_site: Some(units.len() as f64),
        units: names(&units),
        low: 1.0 + floor_ft2 / fewest,
        high: 1.0 + floor_ft2 / most,
        unit: say!(words, "sizing.air_movers").to_owned(),
        method: say!(
            words,
            "sizing.floor",
            most = number(words, most, 0),
            fewest = number(words, fewest, 0),
            floor_ft2 = number(words, floor_ft2, 0),
            units = shared(words, &units)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::testing::{at, d1, job};
    use grainfall_job::{Dated, RatedCapacity};
    use grainfall_psychrometrics::{CubicMetres, SquareMetres, WaterRate};

    fn sized() -> Job {
        let mut job = job();
        job.class = vec![Dated { value: WaterClass::Two, from: None, reason: None, edition: None }];
        job.chambers[0].volume = Some(CubicMetres::from_cubic_feet(1152.0));
        job.chambers[0].floor_area = Some(SquareMetres::from_square_feet(144.0));
        let mut unit = d1("2025-10-06T09:00:00Z", None);
        unit.rated_capacity =
            Some(RatedCapacity { rate: WaterRate::from_pints_per_day(130.0, WaterDensity::AT_80_F), condition: None });
        let mover = |name: &str| Stay { unit: name.into(), kind: EquipmentKind::AirMover, ..unit.clone() };
        job.equipment = vec![mover("A1"), mover("A2"), mover("A3"), unit];
        job
    }

    /// 1152 ft3, class 2, low-grain: 1152 / 50 = 23.04 pints a day; 144 ft2 of wet floor: 3.06 to 3.88 air movers.
    #[test]
    fn the_worked_room() {
        let rows = called_for(&sized(), at("2025-10-08T00:00:00Z"));
        assert_eq!(rows.len(), 2);
        assert!((rows[0].low - 23.04).abs() < 1e-6 && (rows[0].high - 23.04).abs() < 1e-6, "{rows:?}");
        assert!((rows[0].on_site.unwrap() - 130.0).abs() < 1e-9);
        assert!(rows[0].method.contains("from memory"));
        assert!((rows[1].low - 3.057).abs() < 0.001 && (rows[1].high - 3.88).abs() < 0.001, "{rows:?}");
        assert_eq!(rows[1].units, ["A1", "A2", "A3"]);
    }

    #[test]
    fn both_kinds_of_refrigerant_widen_the_range() {
        let mut job = sized();
        let mut other = job.equipment[3].clone();
        other.unit = "D2".into();
        other.kind = EquipmentKind::DehumidifierRefrigerant;
        other.rated_capacity = None;
        job.equipment.push(other);
        let rows = called_for(&job, at("2025-10-08T00:00:00Z"));
        assert!((rows[0].low - 23.04).abs() < 1e-6 && (rows[0].high - 28.8).abs() < 1e-6, "{rows:?}");
        assert_eq!(rows[0].on_site, None, "one capacity is not stated");
    }

    #[test]
    fn without_class_or_sizes_nothing_is_said() {
        let mut job = sized();
        job.class.clear();
        job.chambers[0].floor_area = None;
        assert!(called_for(&job, at("2025-10-08T00:00:00Z")).is_empty());
    }
}
