//! How fast each node of a scenario can move: what bounds the step.

use super::material::steepest_activity_per_pct;
use super::{
    AIR_HEAT_J_KG_K, BEHIND_W_M2_K, Bulk, EVAPORATION_J_KG, MOVED_W_M2_K, STILL_W_M2_K, SURFACE_J_M2_K, mass_transfer,
};
use crate::scenario::{Chamber, Event, Machine, Point, Scenario, Zone};
use crate::{Error, moist};

/// Largest share of its distance to equilibrium that a node may move in one step. An explicit step is stable below 2 and
/// free of swings below 1; half of that leaves room for the coupling of nodes.
pub(crate) const STABLE_SHARE: f64 = 0.5;

/// Warmest state that the bounds assume, degC.
const WARMEST_C: f64 = 40.0;

/// Share of its distance to equilibrium that the fastest node can move in one step, with the node's name.
pub(crate) fn fastest(scenario: &Scenario) -> Result<(String, f64), Error> {
    let step_s = f64::from(scenario.step_s);
    let mut fastest = ("nothing".to_owned(), 0.0);
    for chamber in &scenario.chambers {
        let share = chamber_rate(scenario, chamber)? * step_s;
        if share > fastest.1 {
            fastest = (format!("air of chamber {}", chamber.id), share);
        }
    }
    for point in &scenario.points {
        let share = point_rate(point)? * step_s;
        if share > fastest.1 {
            fastest = (format!("material of point {}", point.id), share);
        }
    }
    Ok(fastest)
}

fn points_in<'a>(scenario: &'a Scenario, chamber: &'a Chamber) -> impl Iterator<Item = &'a Point> {
    scenario.points.iter().filter(|point| matches!(&point.zone, Zone::Chamber(id) if *id == chamber.id))
}

/// Sum of the rates at which a chamber's water and heat can follow what surrounds it, the larger of both, 1/s.
fn chamber_rate(scenario: &Scenario, chamber: &Chamber) -> Result<f64, Error> {
    let dry_air_kg = dry_air_kg(scenario, chamber)?;
    let openings: Vec<_> = scenario
        .events
        .iter()
        .filter_map(|event| match event {
            Event::ChamberOpened { chamber: id, from, to, ach_1_h } if *id == chamber.id => {
                Some((*from, *to, *ach_1_h))
            }
            _ => None,
        })
        .collect();
    // Those that share any time with one of them bound what is open at once.
    let opened = openings
        .iter()
        .map(|one| openings.iter().filter(|other| one.0 < other.1 && other.0 < one.1).map(|other| other.2).sum::<f64>())
        .fold(0.0, f64::max);
    let exchange = (chamber.ach_unaffected_1_h + chamber.ach_outdoor_1_h + opened) / 3600.0;
    // dp/dW is at most p / 0.622 (the humidity ratio's own definition).
    let pa_per_kg = scenario.pressure_pa / 0.62 / dry_air_kg;
    let fast = STILL_W_M2_K + MOVED_W_M2_K;
    let area_m2: f64 = points_in(scenario, chamber).map(|point| point.area_m2).sum();
    let machines_kg_s: f64 = scenario
        .stays
        .iter()
        .filter(|stay| stay.chambers.first() == Some(&chamber.id))
        .map(|stay| match stay.machine {
            Machine::Dehumidifier(model) => model.airflow_m3_s * 1.2 * model.contact_share,
            Machine::AirMover { .. } | Machine::Heat { .. } => 0.0,
        })
        .sum();
    let water = exchange + area_m2 * mass_transfer(fast) * pa_per_kg + machines_kg_s / dry_air_kg;
    let heat = exchange * dry_air_kg * AIR_HEAT_J_KG_K
        + chamber.ua_unaffected_w_k
        + chamber.ua_outdoor_w_k
        + area_m2 * (fast + BEHIND_W_M2_K);
    Ok(water.max(heat / chamber.heat_capacity_j_k))
}

/// Rate at which the skin of a point's material, or its surface's temperature, can follow the air, 1/s.
fn point_rate(point: &Point) -> Result<f64, Error> {
    let fast = STILL_W_M2_K + MOVED_W_M2_K;
    let saturation_pa = moist::saturation_pa(WARMEST_C)?;
    let skin_kg_m2 = point.dry_kg_m2 * point.skin_share;
    let core_kg_m2 = point.dry_kg_m2 - skin_kg_m2;
    let transfer = point.open_share * mass_transfer(fast);
    let water = transfer * steepest_activity_per_pct(point.material) * 100.0 / skin_kg_m2 * saturation_pa
        + core_kg_m2 / (point.core_time_h * 3600.0) / skin_kg_m2;
    // Saturation pressure rises by 5.3 % per kelvin at 40 degC (slope of ASHRAE eq. 6), more in per cent when colder
    // but less in pascals.
    let heat = (fast + BEHIND_W_M2_K + EVAPORATION_J_KG * transfer * 0.06 * saturation_pa) / SURFACE_J_M2_K;
    Ok(water.max(heat))
}

/// Mass of dry air that fills a chamber at its start, kg.
pub(super) fn dry_air_kg(scenario: &Scenario, chamber: &Chamber) -> Result<f64, Error> {
    let air = start_air(scenario, chamber)?;
    Ok(chamber.volume_m3 / moist::volume_m3_per_kg(air.temp_c, air.humidity_ratio, scenario.pressure_pa)?)
}

/// Air of a chamber at its start.
pub(super) fn start_air(scenario: &Scenario, chamber: &Chamber) -> Result<Bulk, Error> {
    let vapour_pa = chamber.start_rh_pct / 100.0 * moist::saturation_pa(chamber.start_temp_c)?;
    let humidity_ratio = moist::ratio_of_pa(vapour_pa, scenario.pressure_pa)?;
    Ok(Bulk { temp_c: chamber.start_temp_c, humidity_ratio })
}
