//! The grain depression of each day beside the load: how wet the air was that the unit took in, and how much of the
//! excess moisture was left. A depression that shrinks with the load is what drying looks like.

use crate::evidence::{AgainstLoad, ChamberEvidence, DailyUnitAir, UnitAir, UnitEvidence};
use crate::thresholds::{DEPRESSION_FALLEN_TO, INLET_STILL_WET, MUCH_LEFT};

/// Writes beside every day of every unit what the load was and whether the depression fits it.
pub(crate) fn beside_load(unit_air: &mut [UnitAir], units: &[UnitEvidence], chambers: &[ChamberEvidence]) {
    for air in unit_air {
        let Some(unit) = units.iter().find(|unit| unit.unit == air.unit) else { continue };
        let first = air.daily.iter().find(|day| day.depression_gpp.is_some()).cloned();
        for day in &mut air.daily {
            day.excess_left = excess_left(unit, chambers, day);
            day.against_load = against(first.as_ref(), day);
        }
    }
}

/// The largest share of the excess that was left in the chambers it stood in, at the end of the day.
fn excess_left(unit: &UnitEvidence, chambers: &[ChamberEvidence], day: &DailyUnitAir) -> Option<f64> {
    let served =
        |chamber: &ChamberEvidence| unit.stays.iter().any(|stay| stay.in_chamber(&chamber.id).next().is_some());
    chambers
        .iter()
        .filter(|chamber| served(chamber))
        .filter_map(|chamber| chamber.progress.iter().rfind(|(date, _)| *date <= day.date))
        .map(|(_, gone)| (1.0 - gone).clamp(0.0, 1.0))
        .reduce(f64::max)
}

fn against(first: Option<&DailyUnitAir>, day: &DailyUnitAir) -> AgainstLoad {
    let known = |day: &DailyUnitAir| Some((day.depression_gpp?, day.u_depression_gpp?, day.inlet_gpp?));
    let (Some((depression, u, inlet)), Some(left)) = (known(day), day.excess_left) else {
        return AgainstLoad::NotShown;
    };
    let Some((then, u_then, inlet_then)) = first.and_then(known) else { return AgainstLoad::NotShown };
    let load_fallen = left < MUCH_LEFT || inlet < INLET_STILL_WET * inlet_then;
    match then - depression > u.hypot(u_then) {
        false => AgainstLoad::Steady,
        true if load_fallen => AgainstLoad::FallenWithLoad,
        true if depression < DEPRESSION_FALLEN_TO * then => AgainstLoad::LowForLoad,
        true => AgainstLoad::Smaller,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(date: &str, depression: f64, inlet: f64, left: f64) -> DailyUnitAir {
        DailyUnitAir {
            date: date.parse().unwrap(),
            on_site_h: 24.0,
            running_h: 24.0,
            stopped_h: 0.0,
            paused_h: 0.0,
            depression_gpp: Some(depression),
            u_depression_gpp: Some(5.0),
            within_uncertainty: Some(depression <= 5.0),
            inlet_gpp: Some(inlet),
            excess_left: Some(left),
            against_load: AgainstLoad::NotShown,
            water_kg: None,
            u_water_kg: None,
            sample_share: 1.0,
        }
    }

    #[test]
    fn a_small_depression_is_judged_by_what_is_left_to_take_out() {
        let first = day("2025-10-06", 30.0, 92.0, 0.9);
        for (later, expected) in [
            (day("2025-10-07", 27.0, 88.0, 0.8), AgainstLoad::Steady),
            (day("2025-10-10", 4.0, 45.0, 0.05), AgainstLoad::FallenWithLoad),
            (day("2025-10-08", 4.0, 90.0, 0.8), AgainstLoad::LowForLoad),
            (day("2025-10-08", 18.0, 90.0, 0.8), AgainstLoad::Smaller),
            (day("2025-10-08", 4.0, 90.0, 0.2), AgainstLoad::FallenWithLoad),
            (DailyUnitAir { excess_left: None, ..day("2025-10-08", 4.0, 90.0, 0.0) }, AgainstLoad::NotShown),
        ] {
            assert_eq!(against(Some(&first), &later), expected, "{later:?}");
        }
    }
}
