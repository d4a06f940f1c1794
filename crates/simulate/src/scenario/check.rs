//! Whether a scenario can be simulated.

use std::collections::BTreeSet;

use chrono::{DateTime, Timelike, Utc};

use super::{AirSource, Event, Goal, Scenario, What, Zone};
use crate::Error;
use crate::physics::{STABLE_SHARE, fastest};

impl Scenario {
    /// Checks that every name has its entry, that times are in order, and that the step is short enough.
    ///
    /// # Errors
    /// [`Error::Unknown`], [`Error::Invalid`] or [`Error::Unstable`] with the first fault found.
    pub fn check(&self) -> Result<(), Error> {
        self.check_names()?;
        self.check_times()?;
        self.check_numbers()?;
        let (node, share) = fastest(self)?;
        if share > STABLE_SHARE {
            return Err(Error::Unstable {
                scenario: self.name.clone(),
                node,
                share,
                limit: STABLE_SHARE,
                step_s: self.step_s,
            });
        }
        Ok(())
    }

    fn invalid(&self, what: impl Into<String>) -> Error {
        Error::Invalid { scenario: self.name.clone(), what: what.into() }
    }

    fn unknown(&self, by: String, kind: &'static str, id: &str) -> Error {
        Error::Unknown { scenario: self.name.clone(), by, kind, id: id.to_owned() }
    }

    fn need_chamber(&self, id: &str, by: impl FnOnce() -> String) -> Result<(), Error> {
        self.chamber(id).map(|_| ()).ok_or_else(|| self.unknown(by(), "chamber", id))
    }

    fn need_point(&self, id: &str, by: impl FnOnce() -> String) -> Result<(), Error> {
        self.point(id).map(|_| ()).ok_or_else(|| self.unknown(by(), "point", id))
    }

    fn need_unit(&self, id: &str, by: impl FnOnce() -> String) -> Result<(), Error> {
        let known = self.stays.iter().any(|stay| stay.unit == id);
        if known { Ok(()) } else { Err(self.unknown(by(), "unit", id)) }
    }

    fn need_source(&self, source: &AirSource, by: impl FnOnce() -> String) -> Result<(), Error> {
        match source {
            AirSource::Outdoor | AirSource::Unaffected => Ok(()),
            AirSource::Chamber(id) => self.need_chamber(id, by),
            AirSource::Inlet(unit) | AirSource::Outlet(unit) => self.need_unit(unit, by),
        }
    }

    fn check_names(&self) -> Result<(), Error> {
        for point in &self.points {
            let by = || format!("point `{}`", point.id);
            if let Zone::Chamber(id) = &point.zone {
                self.need_chamber(id, by)?;
            }
            if self.meter(&point.meter).is_none() {
                return Err(self.unknown(by(), "meter", &point.meter));
            }
            if let Goal::References(ids) = &point.goal {
                for id in ids {
                    self.need_point(id, by)?;
                }
            }
        }
        for stay in &self.stays {
            let by = || format!("unit `{}`", stay.unit);
            if stay.chambers.is_empty() {
                return Err(self.invalid(format!("unit `{}` stands in no chamber: name at least one", stay.unit)));
            }
            for id in &stay.chambers {
                self.need_chamber(id, by)?;
            }
            for id in &stay.points {
                self.need_point(id, by)?;
            }
        }
        for event in &self.events {
            match event {
                Event::UnitStopped { unit, .. } => self.need_unit(unit, || "an event".to_owned())?,
                Event::ChamberOpened { chamber, .. } => self.need_chamber(chamber, || "an event".to_owned())?,
                Event::Rewetted { point, .. } => self.need_point(point, || "an event".to_owned())?,
            }
        }
        for pause in &self.pauses {
            for unit in &pause.units {
                self.need_unit(unit, || "a pause".to_owned())?;
            }
        }
        for logger in &self.loggers {
            for source in [&logger.source, &logger.stated] {
                self.need_source(source, || format!("logger `{}`", logger.serial))?;
            }
        }
        for export in &self.exports {
            for serial in &export.loggers {
                if !self.loggers.iter().any(|logger| logger.serial == *serial) {
                    return Err(self.unknown(format!("export `{}`", export.file), "logger", serial));
                }
            }
        }
        self.check_visits()
    }

    fn check_visits(&self) -> Result<(), Error> {
        for visit in &self.visits {
            let by = || format!("the visit at {}", visit.at);
            for reading in &visit.readings {
                self.need_point(&reading.point, by)?;
                if let What::OtherMeter(id) = &reading.what
                    && self.meter(id).is_none()
                {
                    return Err(self.unknown(by(), "meter", id));
                }
            }
            for air in &visit.air {
                self.need_source(&air.source, by)?;
            }
            for (unit, _) in visit.condensate.iter().chain(&visit.hour_meters) {
                self.need_unit(unit, by)?;
            }
        }
        Ok(())
    }

    fn check_times(&self) -> Result<(), Error> {
        let whole = |time: DateTime<Utc>| time.second() == 0 && time.nanosecond() == 0;
        if self.step_s == 0 || 60 % self.step_s != 0 {
            return Err(self.invalid(format!(
                "a step of {} s does not divide a minute: use 60, 30, 20, 15, 12 or 10",
                self.step_s
            )));
        }
        if self.to <= self.from || !whole(self.from) || !whole(self.to) {
            return Err(self.invalid("the simulated time must run forward between whole minutes"));
        }
        for stay in &self.stays {
            let removed = stay.removed.unwrap_or(self.to);
            if !whole(stay.placed)
                || !whole(removed)
                || stay.placed < self.from
                || removed <= stay.placed
                || removed > self.to
            {
                return Err(self.invalid(format!(
                    "unit `{}` must be placed and removed on whole minutes, in this order, inside the simulated time",
                    stay.unit
                )));
            }
        }
        for (index, stay) in self.stays.iter().enumerate() {
            let overlaps = |other: &super::Stay| {
                other.unit == stay.unit
                    && other.placed < stay.removed.unwrap_or(self.to)
                    && stay.placed < other.removed.unwrap_or(self.to)
            };
            if self.stays[index + 1..].iter().any(overlaps) {
                return Err(self.invalid(format!("stays of unit `{}` overlap", stay.unit)));
            }
        }
        let mut last = self.from;
        for visit in &self.visits {
            let ends =
                visit.readings.iter().map(|reading| reading.after_min).chain(visit.air.iter().map(|air| air.after_min));
            let end = visit.at + chrono::TimeDelta::minutes(ends.max().unwrap_or(0));
            if !whole(visit.at) || visit.at < last || end > self.to {
                return Err(self.invalid(format!(
                    "the visit at {} must lie on a whole minute, after the visit before it, inside the simulated time",
                    visit.at
                )));
            }
            last = end;
        }
        for event in &self.events {
            let ordered = match event {
                Event::UnitStopped { from, to, .. } | Event::ChamberOpened { from, to, .. } => from < to,
                Event::Rewetted { at, .. } => whole(*at) && (self.from..self.to).contains(at),
            };
            if !ordered {
                return Err(
                    self.invalid(format!("{event:?} is not a time inside the simulated time that runs forward"))
                );
            }
        }
        Ok(())
    }

    fn check_numbers(&self) -> Result<(), Error> {
        let mut seen = BTreeSet::new();
        let points = self.points.iter().map(|point| ("point", &point.id));
        let chambers = self.chambers.iter().map(|chamber| ("chamber", &chamber.id));
        let loggers = self.loggers.iter().map(|logger| ("logger", &logger.serial));
        for (kind, id) in points.chain(chambers).chain(loggers) {
            if !seen.insert((kind, id)) {
                return Err(self.invalid(format!("{kind} `{id}` appears twice")));
            }
        }
        for point in &self.points {
            let inside = point.area_m2 > 0.0
                && point.dry_kg_m2 > 0.0
                && point.skin_share > 0.0
                && point.skin_share < 1.0
                && point.core_time_h > 0.0
                && point.open_share > 0.0
                && point.open_share <= 1.0;
            if !inside {
                return Err(self.invalid(format!(
                    "point `{}` needs an area, a dry mass and a core time above 0, a skin share between 0 and 1 and an \
                     open share above 0 and at most 1",
                    point.id
                )));
            }
        }
        for chamber in &self.chambers {
            if chamber.volume_m3 <= 0.0 || chamber.heat_capacity_j_k <= 0.0 || chamber.movers_for_full_speed <= 0.0 {
                return Err(self.invalid(format!(
                    "chamber `{}` needs a volume, a heat capacity and a number of air movers above 0",
                    chamber.id
                )));
            }
        }
        for meter in &self.meters {
            if meter.resolution <= 0.0 || meter.accuracy <= meter.resolution {
                return Err(self.invalid(format!(
                    "meter `{}` needs an accuracy above its resolution, and that above 0",
                    meter.id
                )));
            }
        }
        if let Some(logger) = self.loggers.iter().find(|logger| logger.interval_min == 0) {
            return Err(self.invalid(format!("logger `{}` needs an interval of at least one minute", logger.serial)));
        }
        Ok(())
    }
}
