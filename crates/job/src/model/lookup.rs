//! Finding things in a job by their ids.

use std::collections::BTreeMap;

use chrono::TimeDelta;
use chrono_tz::Tz;

use super::{Chamber, EquipmentDayRule, Job, Material, Meter, Point, PressureSource, Stay, Zone};

impl Job {
    /// A job of which nothing is known: UTC not stated, every list empty, the defaults of the rules.
    ///
    /// ```
    /// use grainfall_job::{Job, JobFiles, parse};
    /// assert_eq!(parse(&JobFiles::default()), Ok(Job::empty()));
    /// ```
    #[must_use]
    pub fn empty() -> Self {
        Self {
            number: None,
            title: None,
            claim: None,
            zone: Zone { tz: Tz::UTC, stated: false },
            pressure: PressureSource::NotStated,
            loss_at: None,
            category: Vec::new(),
            class: Vec::new(),
            equipment_day: EquipmentDayRule::Hours24,
            pull_window: TimeDelta::hours(4),
            confirm_readings: 1,
            date_order: None,
            chambers: Vec::new(),
            loggers: Vec::new(),
            meters: Vec::new(),
            materials: Vec::new(),
            points: Vec::new(),
            equipment: Vec::new(),
            condensate: Vec::new(),
            hour_meters: Vec::new(),
            pauses: Vec::new(),
            billed: Vec::new(),
            readings: Vec::new(),
            air_readings: Vec::new(),
            visits: Vec::new(),
            files: Vec::new(),
        }
    }

    /// The chamber of this id.
    #[must_use]
    pub fn chamber(&self, id: &str) -> Option<&Chamber> {
        self.chambers.iter().find(|chamber| chamber.id == id)
    }

    /// The point of this id.
    #[must_use]
    pub fn point(&self, id: &str) -> Option<&Point> {
        self.points.iter().find(|point| point.id == id)
    }

    /// The meter of this id.
    #[must_use]
    pub fn meter(&self, id: &str) -> Option<&Meter> {
        self.meters.iter().find(|meter| meter.id == id)
    }

    /// The material of this kind.
    #[must_use]
    pub fn material(&self, kind: &str) -> Option<&Material> {
        self.materials.iter().find(|material| material.kind == kind)
    }

    /// Every unit with its stays, by unit, each in order of placing.
    #[must_use]
    pub fn units(&self) -> BTreeMap<&str, Vec<&Stay>> {
        let mut units: BTreeMap<&str, Vec<&Stay>> = BTreeMap::new();
        for stay in &self.equipment {
            units.entry(&stay.unit).or_default().push(stay);
        }
        for stays in units.values_mut() {
            stays.sort_by_key(|stay| stay.placed);
        }
        units
    }
}
