//! A refrigerant dehumidifier from minute to minute.

use super::{AIR_HEAT_J_KG_K, Bulk, EVAPORATION_J_KG};
use crate::scenario::DehumidifierModel;
use crate::{Error, moist};

/// Time in which the circuit comes to its full capacity after a start, s; common practice, no source.
const START_S: f64 = 180.0;
/// Time in which the outlet's temperature follows, s; common practice, no source.
const WARM_S: f64 = 120.0;
/// Time in which the outlet of a stopped machine takes the state of the room, s; common practice, no source.
const STOPPED_S: f64 = 240.0;
/// Change of the coil's temperature with the inlet's, K/K; common practice, no source.
const COIL_FOLLOWS: f64 = 0.35;
/// Inlet temperature of the coil temperature that a model states, degC (80 F).
const COIL_INLET_C: f64 = 26.7;

/// A dehumidifier's state.
#[derive(Debug, Clone)]
pub(super) struct Dehumidifier {
    model: DehumidifierModel,
    started: f64,
    pub(super) outlet: Bulk,
}

/// What it did in a step.
pub(super) struct Removed {
    /// Water taken out of the air, kg/s.
    pub(super) water_kg_s: f64,
    /// Heat given to the room, W.
    pub(super) heat_w: f64,
}

impl Dehumidifier {
    pub(super) fn new(model: DehumidifierModel, room: Bulk) -> Self {
        Self { model, started: 0.0, outlet: room }
    }

    /// One step off: nothing is removed and the outlet takes the state of the room.
    pub(super) fn rest(&mut self, room: Bulk, step_s: f64) {
        let share = 1.0 - (-step_s / STOPPED_S).exp();
        self.started = 0.0;
        self.outlet.temp_c += share * (room.temp_c - self.outlet.temp_c);
        self.outlet.humidity_ratio += share * (room.humidity_ratio - self.outlet.humidity_ratio);
    }

    /// One step on.
    pub(super) fn run(&mut self, inlet: Bulk, pressure_pa: f64, step_s: f64) -> Result<Removed, Error> {
        let model = &self.model;
        self.started += (1.0 - self.started) * (1.0 - (-step_s / START_S).exp());
        let dry_air_kg_s =
            model.airflow_m3_s / moist::volume_m3_per_kg(inlet.temp_c, inlet.humidity_ratio, pressure_pa)?;
        let water_kg_s = self.started * capacity_kg_s(model, inlet, dry_air_kg_s, pressure_pa)?;
        let heat_w = water_kg_s * EVAPORATION_J_KG + model.power_w;
        let warm_c = inlet.temp_c + heat_w / (dry_air_kg_s * AIR_HEAT_J_KG_K);
        self.outlet.temp_c += (warm_c - self.outlet.temp_c) * (1.0 - (-step_s / WARM_S).exp());
        self.outlet.humidity_ratio = inlet.humidity_ratio - water_kg_s / dry_air_kg_s;
        Ok(Removed { water_kg_s, heat_w })
    }
}

/// Water the machine takes out of inlet air once it has come to its capacity, kg/s.
fn capacity_kg_s(model: &DehumidifierModel, inlet: Bulk, dry_air_kg_s: f64, pressure_pa: f64) -> Result<f64, Error> {
    let coil_c = model.coil_temp_c + COIL_FOLLOWS * (inlet.temp_c - COIL_INLET_C);
    let coil_ratio = moist::ratio_of_pa(moist::saturation_pa(coil_c)?, pressure_pa)?;
    let water = dry_air_kg_s * model.contact_share * (inlet.humidity_ratio - coil_ratio).max(0.0);
    Ok(water.min(model.limit_kg_s))
}

#[cfg(test)]
mod tests {
    use super::*;

    const MODEL: DehumidifierModel = DehumidifierModel {
        airflow_m3_s: 0.118,
        contact_share: 0.5,
        coil_temp_c: 2.0,
        limit_kg_s: 9e-4,
        power_w: 750.0,
    };
    const P: f64 = 101_325.0;

    fn settled(inlet: Bulk) -> (Dehumidifier, Removed) {
        let mut machine = Dehumidifier::new(MODEL, inlet);
        let mut last = machine.run(inlet, P, 20.0).unwrap();
        for _ in 0..360 {
            last = machine.run(inlet, P, 20.0).unwrap();
        }
        (machine, last)
    }

    #[test]
    fn the_outlet_balances_the_water_and_the_heat() {
        let inlet = Bulk { temp_c: 80.0_f64.mul_add(5.0 / 9.0, -160.0 / 9.0), humidity_ratio: 0.013_155_5 };
        let (machine, removed) = settled(inlet);
        // Specific volume at 80 F / 60 %: 0.867311 m3/kg (psychrolib 2.5, ASHRAE eq. 26).
        let dry_air_kg_s = 0.118 / 0.867_311;
        let depression = inlet.humidity_ratio - machine.outlet.humidity_ratio;
        assert!((depression * dry_air_kg_s / removed.water_kg_s - 1.0).abs() < 1e-5);
        let rise = machine.outlet.temp_c - inlet.temp_c;
        assert!((rise * dry_air_kg_s * 1006.0 / removed.heat_w - 1.0).abs() < 1e-4);
        // A unit of this size is sold as some 130 pints (61 kg) a day at this state; common practice, no source.
        let kg_day = removed.water_kg_s * 86_400.0;
        assert!((45.0..75.0).contains(&kg_day), "{kg_day} kg/day");
    }

    #[test]
    fn removal_falls_with_the_humidity_ratio_and_stops_at_the_coil() {
        let at = |ratio| settled(Bulk { temp_c: 26.7, humidity_ratio: ratio }).1.water_kg_s;
        assert!(at(0.012) > at(0.009) && at(0.009) > at(0.006));
        assert!(at(0.004).abs() < 1e-15, "air drier than the coil's saturation gives nothing up");
        assert!((at(0.03) - MODEL.limit_kg_s).abs() < 1e-9, "the circuit's limit");
    }

    #[test]
    fn a_stopped_machine_takes_the_state_of_its_room_within_minutes() {
        let inlet = Bulk { temp_c: 26.7, humidity_ratio: 0.01 };
        let (mut machine, _) = settled(inlet);
        for _ in 0..60 {
            machine.rest(inlet, 20.0);
        }
        // Twenty minutes are five times the relaxation time: exp(-5) = 0.7 % of the difference is left.
        let left = inlet.humidity_ratio - machine.outlet.humidity_ratio;
        assert!((0.0..0.01 * 0.003).contains(&left), "{left}");
    }
}
