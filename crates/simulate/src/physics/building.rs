//! The whole building, step by step.

use chrono::{DateTime, TimeDelta, Utc};

use super::machine::Dehumidifier;
use super::material::{Node, equilibrium_moisture_pct};
use super::stability::{dry_air_kg, start_air};
use super::weather::Surroundings;
use super::{AIR_HEAT_J_KG_K, Air, Bulk, MOVED_W_M2_K, STILL_W_M2_K};
use crate::scenario::{Event, Machine, Scenario, Stay, Zone};
use crate::{Error, moist};

/// Every true state of a scenario, once a minute: index `m` is the instant `from + m` minutes.
#[derive(Debug, Clone, PartialEq)]
pub struct States {
    /// Outdoor air.
    pub outdoor: Vec<Air>,
    /// Air of the unaffected area.
    pub unaffected: Vec<Air>,
    /// Air of each chamber, in the scenario's order.
    pub chambers: Vec<Vec<Air>>,
    /// Air leaving each stay's machine, in the scenario's order; empty for machines that take no water out.
    pub outlets: Vec<Vec<Air>>,
    /// Whether each stay's machine runs in the minute that begins there.
    pub running: Vec<Vec<bool>>,
    /// Water each stay's machine has removed since the start, kg.
    pub removed_kg: Vec<Vec<f64>>,
    /// Moisture content of each point's material, skin and core together, % of dry mass.
    pub moisture_pct: Vec<Vec<f64>>,
    /// Surface temperature of each point's material, degC.
    pub surface_temp_c: Vec<Vec<f64>>,
    /// Where all the water went.
    pub balance: Balance,
}

/// The water balance of chambers and materials over the whole time, kg.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize)]
pub struct Balance {
    /// In materials and chamber air at the start.
    pub start_kg: f64,
    /// In materials and chamber air at the end.
    pub end_kg: f64,
    /// Come in from the unaffected area, less what went there.
    pub from_unaffected_kg: f64,
    /// Come in from outdoors, less what went there.
    pub from_outdoor_kg: f64,
    /// Taken up in rewettings.
    pub rewetted_kg: f64,
    /// Removed by machines.
    pub removed_kg: f64,
}

impl Balance {
    /// What the balance does not account for: zero but for rounding.
    #[must_use]
    pub fn residual_kg(&self) -> f64 {
        self.start_kg + self.from_unaffected_kg + self.from_outdoor_kg + self.rewetted_kg
            - self.removed_kg
            - self.end_kg
    }
}

/// One chamber's air.
struct Body {
    dry_air_kg: f64,
    vapour_kg: f64,
    temp_c: f64,
    unaffected_kg_s: f64,
    outdoor_kg_s: f64,
}

impl Body {
    fn air(&self) -> Bulk {
        Bulk { temp_c: self.temp_c, humidity_ratio: self.vapour_kg / self.dry_air_kg }
    }
}

/// What holds for one minute.
struct Minute {
    outdoor: Bulk,
    unaffected: Bulk,
    running: Vec<bool>,
    convective_w_m2_k: Vec<f64>,
    opened_kg_s: Vec<f64>,
}

/// What a step does to one chamber, per second.
#[derive(Clone, Default)]
struct Change {
    water_kg_s: f64,
    heat_w: f64,
}

/// Runs a checked scenario.
pub(crate) fn run(scenario: &Scenario) -> Result<States, Error> {
    let minutes = usize::try_from((scenario.to - scenario.from).num_minutes()).unwrap_or(0);
    let mut building = Building::new(scenario)?;
    let mut states = building.empty_states(minutes + 1);
    for minute in 0..=minutes {
        let time = scenario.from + TimeDelta::minutes(i64::try_from(minute).unwrap_or(i64::MAX));
        building.rewet(time);
        let conditions = building.conditions(time)?;
        building.store(&conditions, &mut states)?;
        if minute < minutes {
            for _ in 0..60 / scenario.step_s {
                building.step(&conditions)?;
            }
        }
    }
    states.balance = Balance { end_kg: building.water_kg(), ..building.balance };
    Ok(states)
}

struct Building<'a> {
    scenario: &'a Scenario,
    surroundings: Surroundings<'a>,
    bodies: Vec<Body>,
    nodes: Vec<Node>,
    /// Index of each node's chamber; `None` in the unaffected area.
    rooms: Vec<Option<usize>>,
    machines: Vec<Option<Dehumidifier>>,
    /// Index of the chamber each stay's machine stands in.
    stands_in: Vec<usize>,
    removed_kg: Vec<f64>,
    balance: Balance,
}

impl<'a> Building<'a> {
    fn new(scenario: &'a Scenario) -> Result<Self, Error> {
        let surroundings = Surroundings::new(scenario);
        let index = |id: &str| scenario.chambers.iter().position(|chamber| chamber.id == id);
        let bodies: Vec<Body> = scenario
            .chambers
            .iter()
            .map(|chamber| {
                let air = start_air(scenario, chamber)?;
                let dry_air_kg = dry_air_kg(scenario, chamber)?;
                Ok(Body {
                    dry_air_kg,
                    vapour_kg: dry_air_kg * air.humidity_ratio,
                    temp_c: air.temp_c,
                    unaffected_kg_s: dry_air_kg * chamber.ach_unaffected_1_h / 3600.0,
                    outdoor_kg_s: dry_air_kg * chamber.ach_outdoor_1_h / 3600.0,
                })
            })
            .collect::<Result<_, Error>>()?;
        let rooms: Vec<Option<usize>> = scenario
            .points
            .iter()
            .map(|point| match &point.zone {
                Zone::Chamber(id) => index(id),
                Zone::Unaffected => None,
            })
            .collect();
        let dry = scenario.unaffected;
        let unaffected = surroundings.unaffected(scenario.from)?;
        let nodes: Vec<Node> = scenario
            .points
            .iter()
            .zip(&rooms)
            .map(|(point, room)| {
                let air = room.map_or(unaffected, |room| bodies[room].air());
                let dry_pct = equilibrium_moisture_pct(point.material, dry.mean_temp_c, dry.mean_rh_pct)?;
                Ok(Node::new(point, air.temp_c, dry_pct))
            })
            .collect::<Result<_, Error>>()?;
        let stands_in: Vec<usize> =
            scenario.stays.iter().map(|stay| stay.chambers.first().and_then(|id| index(id)).unwrap_or(0)).collect();
        let machines = scenario
            .stays
            .iter()
            .zip(&stands_in)
            .map(|(stay, room)| match stay.machine {
                Machine::Dehumidifier(model) => Some(Dehumidifier::new(model, bodies[*room].air())),
                Machine::AirMover { .. } | Machine::Heat { .. } => None,
            })
            .collect();
        let removed_kg = vec![0.0; scenario.stays.len()];
        let mut building = Self {
            scenario,
            surroundings,
            bodies,
            nodes,
            rooms,
            machines,
            stands_in,
            removed_kg,
            balance: Balance::default(),
        };
        building.balance.start_kg = building.water_kg();
        Ok(building)
    }

    /// Water in materials and chamber air, kg.
    fn water_kg(&self) -> f64 {
        self.bodies.iter().map(|body| body.vapour_kg).sum::<f64>() + self.nodes.iter().map(Node::water_kg).sum::<f64>()
    }

    fn rewet(&mut self, time: DateTime<Utc>) {
        for event in &self.scenario.events {
            if let Event::Rewetted { point, at, water_kg_m2 } = event
                && *at == time
                && let Some(index) = self.scenario.points.iter().position(|known| known.id == *point)
            {
                self.balance.rewetted_kg += self.nodes[index].take_up(*water_kg_m2);
            }
        }
    }

    fn conditions(&self, time: DateTime<Utc>) -> Result<Minute, Error> {
        let running: Vec<bool> = self.scenario.stays.iter().map(|stay| runs(self.scenario, stay, time)).collect();
        let convective_w_m2_k = self
            .scenario
            .chambers
            .iter()
            .enumerate()
            .map(|(index, chamber)| {
                let movers: f64 = (0..running.len())
                    .filter(|stay| {
                        running[*stay]
                            && self.stands_in[*stay] == index
                            && matches!(self.scenario.stays[*stay].machine, Machine::AirMover { .. })
                    })
                    .map(|_| 1.0)
                    .sum();
                STILL_W_M2_K + MOVED_W_M2_K * (movers / chamber.movers_for_full_speed).min(1.0)
            })
            .collect();
        let opened_kg_s = self
            .scenario
            .chambers
            .iter()
            .zip(&self.bodies)
            .map(|(chamber, body)| {
                let ach: f64 = self
                    .scenario
                    .events
                    .iter()
                    .map(|event| match event {
                        Event::ChamberOpened { chamber: id, from, to, ach_1_h }
                            if *id == chamber.id && (*from..*to).contains(&time) =>
                        {
                            *ach_1_h
                        }
                        _ => 0.0,
                    })
                    .sum();
                body.dry_air_kg * ach / 3600.0
            })
            .collect();
        Ok(Minute {
            outdoor: self.surroundings.outdoor(time)?,
            unaffected: self.surroundings.unaffected(time)?,
            running,
            convective_w_m2_k,
            opened_kg_s,
        })
    }

    fn step(&mut self, minute: &Minute) -> Result<(), Error> {
        let step_s = f64::from(self.scenario.step_s);
        let pressure_pa = self.scenario.pressure_pa;
        let rooms: Vec<Bulk> = self.bodies.iter().map(Body::air).collect();
        let mut changes = vec![Change::default(); self.bodies.len()];
        let vapour_pa = |air: &Bulk| moist::vapour_pressure_pa(air.humidity_ratio, pressure_pa);
        let rooms_pa: Vec<f64> = rooms.iter().map(vapour_pa).collect::<Result<_, _>>()?;
        let unaffected_pa = vapour_pa(&minute.unaffected)?;
        for (node, room) in self.nodes.iter_mut().zip(&self.rooms) {
            if let Some(room) = *room {
                let given = node.step(rooms[room].temp_c, rooms_pa[room], minute.convective_w_m2_k[room], step_s)?;
                changes[room].water_kg_s += given.water_kg_s;
                changes[room].heat_w -= given.heat_taken_w;
            } else {
                let given = node.step(minute.unaffected.temp_c, unaffected_pa, STILL_W_M2_K, step_s)?;
                self.balance.from_unaffected_kg -= given.water_kg_s * step_s;
            }
        }
        for (stay, machine) in self.machines.iter_mut().enumerate() {
            let room = self.stands_in[stay];
            match (machine, minute.running[stay]) {
                (Some(machine), true) => {
                    let removed = machine.run(rooms[room], pressure_pa, step_s)?;
                    changes[room].water_kg_s -= removed.water_kg_s;
                    changes[room].heat_w += removed.heat_w;
                    self.removed_kg[stay] += removed.water_kg_s * step_s;
                    self.balance.removed_kg += removed.water_kg_s * step_s;
                }
                (Some(machine), false) => machine.rest(rooms[room], step_s),
                (None, true) => changes[room].heat_w += power_w(&self.scenario.stays[stay].machine),
                (None, false) => {}
            }
        }
        for (index, body) in self.bodies.iter_mut().enumerate() {
            let chamber = &self.scenario.chambers[index];
            let air = rooms[index];
            let outdoor_kg_s = body.outdoor_kg_s + minute.opened_kg_s[index];
            let from_unaffected = body.unaffected_kg_s * (minute.unaffected.humidity_ratio - air.humidity_ratio);
            let from_outdoor = outdoor_kg_s * (minute.outdoor.humidity_ratio - air.humidity_ratio);
            self.balance.from_unaffected_kg += from_unaffected * step_s;
            self.balance.from_outdoor_kg += from_outdoor * step_s;
            let water_kg_s = changes[index].water_kg_s + from_unaffected + from_outdoor;
            let heat_w = changes[index].heat_w
                + (chamber.ua_unaffected_w_k + body.unaffected_kg_s * AIR_HEAT_J_KG_K)
                    * (minute.unaffected.temp_c - air.temp_c)
                + (chamber.ua_outdoor_w_k + outdoor_kg_s * AIR_HEAT_J_KG_K) * (minute.outdoor.temp_c - air.temp_c);
            body.vapour_kg += water_kg_s * step_s;
            body.temp_c += heat_w * step_s / chamber.heat_capacity_j_k;
        }
        Ok(())
    }

    fn empty_states(&self, samples: usize) -> States {
        fn room<T>(series: usize, samples: usize) -> Vec<Vec<T>> {
            (0..series).map(|_| Vec::with_capacity(samples)).collect()
        }
        States {
            outdoor: Vec::with_capacity(samples),
            unaffected: Vec::with_capacity(samples),
            chambers: room(self.bodies.len(), samples),
            outlets: room(self.machines.len(), samples),
            running: room(self.machines.len(), samples),
            removed_kg: room(self.machines.len(), samples),
            moisture_pct: room(self.nodes.len(), samples),
            surface_temp_c: room(self.nodes.len(), samples),
            balance: Balance::default(),
        }
    }

    fn store(&self, minute: &Minute, states: &mut States) -> Result<(), Error> {
        let pressure_pa = self.scenario.pressure_pa;
        states.outdoor.push(minute.outdoor.air(pressure_pa)?);
        states.unaffected.push(minute.unaffected.air(pressure_pa)?);
        for (series, body) in states.chambers.iter_mut().zip(&self.bodies) {
            series.push(body.air().air(pressure_pa)?);
        }
        for (stay, machine) in self.machines.iter().enumerate() {
            if let Some(machine) = machine {
                states.outlets[stay].push(machine.outlet.air(pressure_pa)?);
            }
            states.running[stay].push(minute.running[stay]);
            states.removed_kg[stay].push(self.removed_kg[stay]);
        }
        for (point, node) in self.nodes.iter().enumerate() {
            states.moisture_pct[point].push(node.moisture_pct());
            states.surface_temp_c[point].push(node.surface_temp_c);
        }
        Ok(())
    }
}

/// Whether a stay's machine runs at an instant: on site, not paused, not stopped.
fn runs(scenario: &Scenario, stay: &Stay, time: DateTime<Utc>) -> bool {
    let on_site = stay.placed <= time && stay.removed.is_none_or(|removed| time < removed);
    let paused = scenario.pauses.iter().any(|pause| {
        (pause.units.is_empty() || pause.units.contains(&stay.unit)) && (pause.from..pause.to).contains(&time)
    });
    let stopped = scenario.events.iter().any(|event| {
        matches!(event, Event::UnitStopped { unit, from, to } if *unit == stay.unit && (*from..*to).contains(&time))
    });
    on_site && !paused && !stopped
}

fn power_w(machine: &Machine) -> f64 {
    match machine {
        Machine::AirMover { power_w } | Machine::Heat { power_w } => *power_w,
        Machine::Dehumidifier(model) => model.power_w,
    }
}
