//! A scenario that has been run: every true state, by name and instant.

use chrono::{DateTime, TimeDelta, Utc};

use crate::Error;
use crate::physics::{self, Air, Balance, States};
use crate::scenario::{AirSource, Meter, Scenario};

/// A scenario and its true states, once a minute.
#[derive(Debug, Clone, PartialEq)]
pub struct Simulation {
    scenario: Scenario,
    states: States,
}

impl Simulation {
    /// Runs a scenario.
    ///
    /// # Errors
    /// Those of [`Scenario::check`]; [`Error::State`] when a state leaves the range of the equations.
    pub fn run(scenario: Scenario) -> Result<Self, Error> {
        scenario.check()?;
        let states = physics::run(&scenario)?;
        Ok(Self { scenario, states })
    }

    /// The scenario.
    #[must_use]
    pub fn scenario(&self) -> &Scenario {
        &self.scenario
    }

    /// The true states.
    #[must_use]
    pub fn states(&self) -> &States {
        &self.states
    }

    /// Where all the water went.
    #[must_use]
    pub fn balance(&self) -> Balance {
        self.states.balance
    }

    /// Index of the minute an instant lies in; the first or the last outside the simulated time.
    #[must_use]
    pub fn minute(&self, time: DateTime<Utc>) -> usize {
        let minutes = (time - self.scenario.from).num_minutes().max(0);
        usize::try_from(minutes).unwrap_or(usize::MAX).min(self.states.outdoor.len() - 1)
    }

    /// The instant of a minute's index.
    #[must_use]
    pub fn time(&self, minute: usize) -> DateTime<Utc> {
        self.scenario.from + TimeDelta::minutes(i64::try_from(minute).unwrap_or(i64::MAX))
    }

    /// The true air of a place. A unit that is not on site has the air of the chamber it stood in last, or will stand in.
    ///
    /// # Panics
    /// When the source names a chamber or a unit that the scenario does not have; [`Scenario::check`] excludes it for
    /// everything in the scenario.
    #[must_use]
    pub fn air(&self, source: &AirSource, time: DateTime<Utc>) -> Air {
        let minute = self.minute(time);
        match source {
            AirSource::Outdoor => self.states.outdoor[minute],
            AirSource::Unaffected => self.states.unaffected[minute],
            AirSource::Chamber(id) => self.states.chambers[self.chamber_index(id)][minute],
            AirSource::Inlet(unit) => self.inlet(self.stay_at(unit, time), minute),
            AirSource::Outlet(unit) => {
                let stay = self.stay_at(unit, time);
                self.states.outlets[stay].get(minute).copied().unwrap_or_else(|| self.inlet(stay, minute))
            }
        }
    }

    /// True value of a point on a meter's scale.
    ///
    /// # Panics
    /// When the scenario does not have the point.
    #[must_use]
    pub fn value(&self, point: &str, meter: &Meter, time: DateTime<Utc>) -> f64 {
        meter.response.value(self.moisture_pct(point)[self.minute(time)])
    }

    /// True moisture content of a point's material by minute, % of dry mass.
    ///
    /// # Panics
    /// When the scenario does not have the point.
    #[must_use]
    pub fn moisture_pct(&self, point: &str) -> &[f64] {
        &self.states.moisture_pct[self.point_index(point)]
    }

    /// True temperature of a point's surface, degC.
    ///
    /// # Panics
    /// When the scenario does not have the point.
    #[must_use]
    pub fn surface_temp_c(&self, point: &str, time: DateTime<Utc>) -> f64 {
        self.states.surface_temp_c[self.point_index(point)][self.minute(time)]
    }

    /// Water a unit truly removed in a span, kg.
    #[must_use]
    pub fn removed_kg(&self, unit: &str, from: DateTime<Utc>, to: DateTime<Utc>) -> f64 {
        let (from, to) = (self.minute(from), self.minute(to));
        self.stays_of(unit).map(|stay| self.states.removed_kg[stay][to] - self.states.removed_kg[stay][from]).sum()
    }

    /// Whether a unit truly runs in the minute of an instant.
    #[must_use]
    pub fn running(&self, unit: &str, time: DateTime<Utc>) -> bool {
        let minute = self.minute(time);
        self.stays_of(unit).any(|stay| self.states.running[stay][minute])
    }

    /// True running spans of a unit.
    #[must_use]
    pub fn running_spans(&self, unit: &str) -> Vec<(DateTime<Utc>, DateTime<Utc>)> {
        let mut spans: Vec<(DateTime<Utc>, DateTime<Utc>)> = Vec::new();
        for minute in 0..self.states.outdoor.len() - 1 {
            let time = self.time(minute);
            if self.running(unit, time) {
                let end = time + TimeDelta::minutes(1);
                match spans.last_mut() {
                    Some(last) if last.1 == time => last.1 = end,
                    _ => spans.push((time, end)),
                }
            }
        }
        spans
    }

    fn inlet(&self, stay: usize, minute: usize) -> Air {
        self.states.chambers[self.chamber_index(&self.scenario.stays[stay].chambers[0])][minute]
    }

    fn stays_of<'a>(&'a self, unit: &'a str) -> impl Iterator<Item = usize> + 'a {
        (0..self.scenario.stays.len()).filter(move |stay| self.scenario.stays[*stay].unit == unit)
    }

    /// The stay that an instant belongs to: the last one placed by then, else the first.
    fn stay_at(&self, unit: &str, time: DateTime<Utc>) -> usize {
        self.stays_of(unit)
            .filter(|stay| self.scenario.stays[*stay].placed <= time)
            .last()
            .or_else(|| self.stays_of(unit).next())
            .expect("the scenario's check found every unit")
    }

    fn chamber_index(&self, id: &str) -> usize {
        self.scenario
            .chambers
            .iter()
            .position(|chamber| chamber.id == id)
            .expect("the scenario's check found every chamber")
    }

    fn point_index(&self, id: &str) -> usize {
        self.scenario.points.iter().position(|point| point.id == id).expect("the scenario's check found every point")
    }
}
