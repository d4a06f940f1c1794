//! Hourly means of the true air.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use serde::Serialize;

use super::rounded;
use crate::physics::Air;
use crate::scenario::{AirSource, Machine};
use crate::simulation::Simulation;

/// Hourly means of the true air, by place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrueAir {
    /// Start of the first hour; the others follow without a hole. A mean is that of the sixty minutes from there.
    pub first_hour: DateTime<Utc>,
    /// Number of hours.
    pub hours: usize,
    /// By place: `outdoor`, `unaffected`, `chamber A`, `outlet D1`.
    pub places: BTreeMap<String, Hourly>,
}

/// Hourly means of one place, each list as long as there are hours.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hourly {
    /// Temperature, degC (to 1e-3).
    pub air_temp_c: Vec<f64>,
    /// Relative humidity, % (to 1e-3).
    pub rh_pct: Vec<f64>,
    /// Water content, gr/lb (to 1e-3).
    pub gpp: Vec<f64>,
}

/// The name of a kind of air.
pub(super) fn name(source: &AirSource) -> String {
    match source {
        AirSource::Outdoor => "outdoor".to_owned(),
        AirSource::Unaffected => "unaffected".to_owned(),
        AirSource::Chamber(id) => format!("chamber {id}"),
        AirSource::Inlet(unit) => format!("inlet {unit}"),
        AirSource::Outlet(unit) => format!("outlet {unit}"),
    }
}

pub(super) fn hourly(simulation: &Simulation) -> TrueAir {
    let scenario = simulation.scenario();
    let into_hour = scenario.from.timestamp().rem_euclid(3600) / 60;
    let first = usize::try_from((60 - into_hour) % 60).unwrap_or(0);
    let minutes = simulation.states().outdoor.len() - 1;
    let hours = minutes.saturating_sub(first) / 60;
    let mut sources = vec![AirSource::Outdoor, AirSource::Unaffected];
    sources.extend(scenario.chambers.iter().map(|chamber| AirSource::Chamber(chamber.id.clone())));
    let dehumidifiers = scenario.stays.iter().filter(|stay| matches!(stay.machine, Machine::Dehumidifier(_)));
    sources.extend(dehumidifiers.map(|stay| AirSource::Outlet(stay.unit.clone())));
    let places = sources
        .iter()
        .map(|source| {
            let mut hourly = Hourly { air_temp_c: Vec::new(), rh_pct: Vec::new(), gpp: Vec::new() };
            for hour in 0..hours {
                let from = first + 60 * hour;
                let air: Vec<Air> =
                    (from..from + 60).map(|minute| simulation.air(source, simulation.time(minute))).collect();
                let mean = |value: &dyn Fn(&Air) -> f64| rounded(air.iter().map(value).sum::<f64>() / 60.0, 3);
                hourly.air_temp_c.push(mean(&|air| air.temp_c));
                hourly.rh_pct.push(mean(&|air| air.rh_pct));
                hourly.gpp.push(mean(&|air| air.gpp()));
            }
            (name(source), hourly)
        })
        .collect();
    TrueAir { first_hour: simulation.time(first), hours, places }
}
