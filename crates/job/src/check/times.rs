//! Times lie near the loss, and no drying point is read before it.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};

use crate::fault::FaultKind;
use crate::job_text::Draft;
use crate::model::PointRole;
use crate::read::desk::Desk;
use crate::read::entry::{Placed, Spots};

/// A time further than this from the loss is taken for a slip of the pen (our convention).
const LIMIT_DAYS: i64 = 400;

pub(super) fn check(desk: &Desk, draft: &Draft) {
    let Some(loss_at) = draft.head.loss_at else { return };
    let near = Near { desk, loss_at, loss: &draft.head.loss_written };
    near.each(&draft.chambers, |chamber| {
        vec![("from", chamber.span.from), ("to", chamber.span.to), ("drying_from", chamber.drying_from)]
    });
    near.each(&draft.loggers, |logger| vec![("from", logger.span.from), ("to", logger.span.to)]);
    near.each(&draft.points, |point| {
        let mut times = vec![("ended", point.ended.as_ref().map(|ended| ended.at))];
        times.extend(point.moved.iter().map(|moved| ("moved", Some(moved.from))));
        times
    });
    near.each(&draft.stays, |stay| vec![("placed", Some(stay.placed)), ("removed", stay.removed)]);
    near.each(&draft.condensate, |entry| vec![("time", Some(entry.time))]);
    near.each(&draft.hour_meters, |entry| vec![("time", Some(entry.time))]);
    near.each(&draft.side_by_side, |entry| vec![("from", Some(entry.from)), ("to", Some(entry.to))]);
    near.each(&draft.pauses, |pause| vec![("from", Some(pause.from)), ("to", Some(pause.to))]);
    near.each(&draft.readings, |reading| vec![("time", Some(reading.time))]);
    near.each(&draft.air_readings, |reading| vec![("time", Some(reading.time))]);
    near.each(&draft.visits, |visit| vec![("time", Some(visit.time))]);

    let roles: BTreeMap<&str, PointRole> =
        draft.points.iter().map(|point| (point.item.id.as_str(), point.item.role)).collect();
    for reading in &draft.readings {
        let drying = roles.get(reading.item.point.as_str()) == Some(&PointRole::Drying);
        if drying && reading.item.time < loss_at && near.is_near(reading.item.time) {
            let kind = FaultKind::BeforeLoss {
                time: reading.spots.written("time").to_owned(),
                loss: draft.head.loss_written.clone(),
                point: reading.item.point.clone(),
            };
            desk.fault(reading.spots.of("time"), kind);
        }
    }
}

struct Near<'a> {
    desk: &'a Desk,
    loss_at: DateTime<Utc>,
    loss: &'a str,
}

impl Near<'_> {
    fn is_near(&self, time: DateTime<Utc>) -> bool {
        (time - self.loss_at).num_seconds().abs() <= LIMIT_DAYS * 86_400
    }

    fn each<T>(&self, items: &[Placed<T>], times: impl Fn(&T) -> Vec<(&'static str, Option<DateTime<Utc>>)>) {
        for item in items {
            for (key, time) in times(&item.item) {
                if time.is_some_and(|time| !self.is_near(time)) {
                    self.far(&item.spots, key);
                }
            }
        }
    }

    fn far(&self, spots: &Spots, key: &'static str) {
        let kind = FaultKind::FarFromLoss {
            key: key.to_owned(),
            time: spots.written(key).to_owned(),
            loss: self.loss.to_owned(),
            limit_days: LIMIT_DAYS,
        };
        self.desk.fault(spots.of(key), kind);
    }
}
