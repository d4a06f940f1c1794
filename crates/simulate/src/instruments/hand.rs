//! Readings by hand: materials, air, condensate, hour meters.

use chrono::{DateTime, TimeDelta, Utc};

use super::{fahrenheit, to_step};
use crate::rng::Rng;
use crate::scenario::{AirSource, Meter, Point, Scale, Scenario, What};
use crate::simulation::Simulation;

/// Share of a meter's usable accuracy within which its constant error lies.
const METER_BIAS_SHARE: f64 = 0.3;
/// Share of a meter's usable accuracy that is one standard deviation of its scatter.
const METER_SCATTER_SHARE: f64 = 0.25;
/// Limits of the hygrometer used in visits: 0.5 F and 2 %RH.
const HYGROMETER_K: f64 = 0.5 / 1.8;
const HYGROMETER_RH_PCT: f64 = 2.0;
/// Limit of a surface thermometer, K (1 F).
const SURFACE_K: f64 = 1.0 / 1.8;
/// Share by which a bucket of condensate is misread at most.
const BUCKET_SHARE: f64 = 0.02;
/// One US pint of water at 80 F, kg: 0.473176473 l (exact) of 996.5 kg/m3 (CoolProp 8.0).
pub(crate) const PINT_KG: f64 = 0.473_176_473 * 0.9965;

/// One material reading as written down.
#[derive(Debug, Clone, PartialEq)]
pub struct MaterialReading {
    /// When.
    pub time: DateTime<Utc>,
    /// Number of the visit, from 0.
    pub visit: usize,
    /// Which point.
    pub point: String,
    /// What was read.
    pub value: ReadValue,
    /// Decimals its meter shows.
    pub decimals: usize,
    /// On which scale.
    pub scale: Scale,
    /// With which meter.
    pub meter: String,
    /// Temperature of the surface, degF.
    pub surface_temp_f: Option<f64>,
    /// Initials.
    pub by: String,
    /// Note.
    pub note: String,
}

/// What a reading says.
#[derive(Debug, Clone, PartialEq)]
pub enum ReadValue {
    /// A number.
    Measured(f64),
    /// More than the meter's highest value.
    Above(f64),
    /// No reading, and why.
    NoReading(String),
}

/// One air reading by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct AirReading {
    /// When.
    pub time: DateTime<Utc>,
    /// Which air.
    pub source: AirSource,
    /// Temperature, degF.
    pub temp_f: f64,
    /// Relative humidity, %.
    pub rh_pct: f64,
    /// Initials.
    pub by: String,
}

/// Condensate measured since the entry before, or since placed.
#[derive(Debug, Clone, PartialEq)]
pub struct Condensate {
    /// When.
    pub time: DateTime<Utc>,
    /// Which unit.
    pub unit: String,
    /// How much, US pints.
    pub pints: f64,
}

/// An hour meter read.
#[derive(Debug, Clone, PartialEq)]
pub struct HourMeter {
    /// When.
    pub time: DateTime<Utc>,
    /// Which unit.
    pub unit: String,
    /// Hours shown.
    pub hours: f64,
}

pub(super) fn material_readings(simulation: &Simulation) -> Vec<MaterialReading> {
    let scenario = simulation.scenario();
    let mut readings = Vec::new();
    for (number, visit) in scenario.visits.iter().enumerate() {
        for planned in &visit.readings {
            let time = visit.at + TimeDelta::minutes(planned.after_min);
            let Some(point) = scenario.point(&planned.point) else { continue };
            let meter_id = match &planned.what {
                What::OtherMeter(id) => id,
                _ => &point.meter,
            };
            let Some(meter) = scenario.meter(meter_id) else { continue };
            let value = match &planned.what {
                What::NoReading(reason) => ReadValue::NoReading(reason.clone()),
                _ => read(simulation, point, meter, time),
            };
            let surface_temp_f = (planned.what == What::ValueAndSurface).then(|| surface_f(simulation, point, time));
            let scale = if meter.scales.contains(&point.scale) {
                point.scale
            } else {
                meter.scales.first().copied().unwrap_or(point.scale)
            };
            readings.push(MaterialReading {
                time,
                visit: number,
                point: point.id.clone(),
                value,
                decimals: decimals(meter.resolution),
                scale,
                meter: meter.id.clone(),
                surface_temp_f,
                by: visit.by.clone(),
                note: planned.note.clone(),
            });
        }
    }
    readings
}

/// A meter's reading: the true value with an error inside its accuracy, as its display shows it.
fn read(simulation: &Simulation, point: &Point, meter: &Meter, time: DateTime<Utc>) -> ReadValue {
    let seed = simulation.scenario().seed;
    let truth = simulation.value(&point.id, meter, time);
    // Rounding takes its share of the accuracy first.
    let usable = meter.accuracy - 0.5 * meter.resolution;
    let bias = Rng::stream(seed, &format!("meter {}", meter.id)).between(-METER_BIAS_SHARE, METER_BIAS_SHARE);
    let scatter = Rng::stream(seed, &format!("meter {} {} {time}", meter.id, point.id)).normal() * METER_SCATTER_SHARE;
    let shown = to_step(truth + usable * (bias + scatter).clamp(-1.0, 1.0), meter.resolution).max(0.0);
    if shown > meter.highest { ReadValue::Above(meter.highest) } else { ReadValue::Measured(shown) }
}

fn surface_f(simulation: &Simulation, point: &Point, time: DateTime<Utc>) -> f64 {
    let mut rng = Rng::stream(simulation.scenario().seed, &format!("surface {} {time}", point.id));
    to_step(fahrenheit(simulation.surface_temp_c(&point.id, time) + rng.between(-0.8, 0.8) * SURFACE_K), 0.1)
}

pub(super) fn air_readings(simulation: &Simulation) -> Vec<AirReading> {
    let scenario = simulation.scenario();
    let mut bias = Rng::stream(scenario.seed, "hygrometer");
    let temp_bias_k = bias.between(-0.5, 0.5) * HYGROMETER_K;
    let rh_bias_pct = bias.between(-0.5, 0.5) * HYGROMETER_RH_PCT;
    let mut readings = Vec::new();
    for visit in &scenario.visits {
        for planned in &visit.air {
            let time = visit.at + TimeDelta::minutes(planned.after_min);
            let air = simulation.air(&planned.source, time);
            let mut rng = Rng::stream(scenario.seed, &format!("hygrometer {:?} {time}", planned.source));
            let temp_c = air.temp_c + temp_bias_k + rng.between(-0.3, 0.3) * HYGROMETER_K;
            let rh_pct = air.rh_pct + rh_bias_pct + rng.between(-0.3, 0.3) * HYGROMETER_RH_PCT;
            readings.push(AirReading {
                time,
                source: planned.source.clone(),
                temp_f: to_step(fahrenheit(temp_c), 0.1),
                rh_pct: to_step(rh_pct.clamp(0.0, 100.0), 0.1),
                by: visit.by.clone(),
            });
        }
    }
    readings
}

pub(super) fn condensate(simulation: &Simulation) -> Vec<Condensate> {
    let scenario = simulation.scenario();
    let mut entries: Vec<Condensate> = Vec::new();
    for visit in &scenario.visits {
        for (unit, after_min) in &visit.condensate {
            let time = visit.at + TimeDelta::minutes(*after_min);
            let since =
                entries.iter().rev().find(|entry| entry.unit == *unit).map_or(scenario.from, |entry| entry.time);
            let mut rng = Rng::stream(scenario.seed, &format!("bucket {unit} {time}"));
            let kg = simulation.removed_kg(unit, since, time) * (1.0 + rng.between(-BUCKET_SHARE, BUCKET_SHARE));
            entries.push(Condensate { time, unit: unit.clone(), pints: to_step(kg / PINT_KG, 0.1) });
        }
    }
    entries
}

pub(super) fn hour_meters(simulation: &Simulation) -> Vec<HourMeter> {
    let scenario = simulation.scenario();
    let mut entries = Vec::new();
    for visit in &scenario.visits {
        for (unit, after_min) in &visit.hour_meters {
            let time = visit.at + TimeDelta::minutes(*after_min);
            let hours = hours_run(simulation, unit, time) + start_h(scenario, unit);
            // A mechanical counter shows the tenth it has completed.
            entries.push(HourMeter { time, unit: unit.clone(), hours: (hours * 10.0 + 1e-6).floor() / 10.0 });
        }
    }
    entries
}

fn hours_run(simulation: &Simulation, unit: &str, until: DateTime<Utc>) -> f64 {
    let run = simulation.running_spans(unit).into_iter().filter(|(from, _)| *from < until);
    run.map(|(from, to)| (to.min(until) - from).as_seconds_f64() / 3600.0).sum()
}

fn start_h(scenario: &Scenario, unit: &str) -> f64 {
    scenario.stays.iter().find(|stay| stay.unit == unit).and_then(|stay| stay.hour_meter_start_h).unwrap_or(0.0)
}

/// Decimals that a display with this step shows.
fn decimals(resolution: f64) -> usize {
    (0..4)
        .find(|digits| {
            let scaled = resolution * 10_f64.powi(*digits);
            (scaled - scaled.round()).abs() < 1e-9
        })
        .map_or(4, |digits| digits.unsigned_abs() as usize)
}
