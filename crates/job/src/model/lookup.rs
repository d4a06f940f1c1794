//! Finding things in a job by their ids.

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_record::{LoggerHint, ReadingHints};

use super::{Chamber, EquipmentDayRule, InChamber, Job, Material, Meter, Point, PressureSource, Span, Stay, Zone};

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
            zone: Zone::not_stated(),
            pressure: PressureSource::NotStated,
            pressure_accuracy: None,
            loss_at: None,
            category: Vec::new(),
            class: Vec::new(),
            equipment_day: EquipmentDayRule::Hours24,
            pull_window: TimeDelta::hours(4),
            pull_window_stated: false,
            confirm_readings: 1,
            date_order: None,
            chambers: Vec::new(),
            loggers: Vec::new(),
            side_by_side: Vec::new(),
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

    /// Where a point lies over time, in order and without gaps; empty for a reference point outside any chamber.
    ///
    /// Until a chamber was split off its parent, the points written for it lay in the parent.
    ///
    /// ```
    /// use grainfall_job::{JobFiles, parse};
    /// let job_toml = "[[chamber]]\nid = \"A\"\n[[chamber]]\nid = \"B\"\nparent = \"A\"\nfrom = \"2025-06-04 10:00\"\n\
    ///                 [[point]]\nid = \"K2\"\nchamber = \"B\"\nscale = \"wood\"\n";
    /// let job = parse(&JobFiles { job_toml: Some(job_toml.into()), ..JobFiles::default() }).unwrap();
    /// let lay: Vec<_> = job.chambers_of(&job.points[0]).into_iter().map(|one| (one.chamber, one.span.from)).collect();
    /// assert_eq!(lay, [("A".to_owned(), None), ("B".to_owned(), job.chambers[1].span.from)]);
    /// ```
    #[must_use]
    pub fn chambers_of(&self, point: &Point) -> Vec<InChamber> {
        let Some(first) = &point.chamber else { return Vec::new() };
        let mut starts: Vec<(String, Option<DateTime<Utc>>)> = vec![(first.clone(), None)];
        starts.extend(point.moved.iter().map(|moved| (moved.chamber.clone(), Some(moved.from))));
        // Parents are no circle in a checked job; the count bounds the walk in any other.
        for _ in &self.chambers {
            let Some(chamber) = self.chamber(&starts[0].0) else { break };
            let (Some(parent), Some(from)) = (&chamber.parent, chamber.span.from) else { break };
            starts[0].1 = Some(from);
            starts.insert(0, (parent.clone(), None));
        }
        (0..starts.len())
            .map(|k| {
                let to = starts[k + 1..].iter().filter_map(|(_, from)| *from).min();
                InChamber { chamber: starts[k].0.clone(), span: Span { from: starts[k].1, to } }
            })
            .filter(|one| one.span.from.zip(one.span.to).is_none_or(|(from, to)| from < to))
            .collect()
    }

    /// The chamber a point lies in at an instant.
    #[must_use]
    pub fn chamber_at(&self, point: &Point, time: DateTime<Utc>) -> Option<String> {
        self.chambers_of(point).into_iter().find(|one| one.span.contains(time)).map(|one| one.chamber)
    }

    /// What the job says that helps to read exports.
    #[must_use]
    pub fn reading_hints(&self) -> ReadingHints {
        ReadingHints {
            time_zone: self.zone.stated.then_some(self.zone.tz),
            date_order: self.date_order,
            loggers: self
                .loggers
                .iter()
                .map(|placement| LoggerHint {
                    select: placement.select.clone(),
                    clock: placement.clock,
                    hours: placement.hours,
                    columns: placement.columns.clone(),
                })
                .collect(),
            not_exports: self.files.clone(),
        }
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
