//! Since when nothing of what a unit serves holds it: the one rule of what can leave, what could have gone, and what is
//! released.
//!
//! It is asked for an instant: what was read by then counts, a reading at that very instant included. A chamber is free
//! since the last of its goals was met, its points ended, or moved away. One without points is not shown and holds its units,
//! unless all its points moved; what ended alone shows no goal met.

use chrono::{DateTime, TimeDelta, Utc};

use super::load::load_end;
use crate::evidence::{
    AirGoalEvidence, ChamberEvidence, GoalVerdict, PointEvidence, PointSpan, PointState, SourceRow, StayEvidence,
};

/// Nothing holds equipment any more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Free {
    /// Since when.
    pub since: DateTime<Utc>,
    /// The rows that closed points and air goals.
    pub rows: Vec<SourceRow>,
}

/// The record as it stood at an instant.
#[derive(Clone, Copy)]
pub(crate) struct Standing<'a> {
    pub points: &'a [PointEvidence],
    pub at: DateTime<Utc>,
    /// The end of the record: from then on verdicts tell, with what was read at that very instant.
    pub clock: DateTime<Utc>,
}

impl Standing<'_> {
    /// Since when everything was closed that a stay served last; `None` while anything is open or unread, and with nothing
    /// to serve.
    pub fn of_stay(&self, stay: &StayEvidence, chambers: &[ChamberEvidence]) -> Option<Free> {
        if !stay.points.is_empty() {
            return self.of_points(&stay.points);
        }
        let each = stay.serves_now().iter().map(|id| {
            let chamber = chambers.iter().find(|chamber| chamber.id == *id)?;
            self.of_chamber(id, &chamber.air_goals)
        });
        all(each.collect::<Option<Vec<Free>>>()?)
    }

    /// The same of a chamber's points and air goals.
    pub fn of_chamber(&self, chamber: &str, air_goals: &[AirGoalEvidence]) -> Option<Free> {
        let drying = || self.points.iter().filter(|point| !point.reference);
        let lying: Vec<&PointEvidence> = drying().filter(|point| point.lies_in(chamber, self.looked_at())).collect();
        let away = drying().filter_map(|point| {
            let spans = point.chambers.iter().rev().filter(|span| span.chamber == chamber);
            let left = spans.filter_map(|span| span.to).find(|left| *left <= self.looked_at())?;
            (!point.lies_in(chamber, self.looked_at())).then(|| load_end(point, left))
        });
        let away = away.max();
        let shown = lying.iter().any(|point| self.ended(point).is_none());
        if !shown && (away.is_none() || !lying.is_empty()) {
            return None;
        }
        let points = lying.into_iter().map(|point| self.of_point(point));
        let goals = air_goals.iter().map(|goal| self.of_air_goal(goal));
        let mut free = points.chain(goals).collect::<Option<Vec<Free>>>()?;
        free.extend(away.map(|since| Free { since, rows: Vec::new() }));
        all(free)
    }

    /// The same of chosen points.
    fn of_points(&self, ids: &[String]) -> Option<Free> {
        let chosen = self.points.iter().filter(|point| !point.reference && ids.contains(&point.id));
        let served: Vec<&PointEvidence> =
            chosen.filter(|point| point.chambers.iter().any(|span| span.holds(self.looked_at()))).collect();
        if served.iter().all(|point| self.ended(point).is_some()) {
            return None;
        }
        all(served.into_iter().map(|point| self.of_point(point)).collect::<Option<Vec<Free>>>()?)
    }

    fn of_point(&self, point: &PointEvidence) -> Option<Free> {
        // Out of the load from then on, never as met.
        if let Some(ended) = self.ended(point) {
            return Some(Free { since: ended, rows: Vec::new() });
        }
        if self.at_end() {
            let since = point.met_at.filter(|_| point.verdict == GoalVerdict::Met)?;
            return Some(Free { since, rows: point.met_row.iter().cloned().collect() });
        }
        let span = self.closed(&point.spans)?;
        Some(Free { since: span.from, rows: span.row.iter().cloned().collect() })
    }

    fn of_air_goal(&self, goal: &AirGoalEvidence) -> Option<Free> {
        if self.at_end() {
            let row =
                goal.spans.iter().rev().find(|span| span.state == PointState::Closed).and_then(|span| span.row.clone());
            let since = goal.met_at.filter(|_| goal.verdict == GoalVerdict::Met)?;
            return Some(Free { since, rows: row.into_iter().collect() });
        }
        let span = self.closed(&goal.spans)?;
        Some(Free { since: goal.closed_since(span), rows: span.row.iter().cloned().collect() })
    }

    /// The span that holds the instant, where it is closed.
    fn closed<'s>(&self, spans: &'s [PointSpan]) -> Option<&'s PointSpan> {
        spans.iter().rev().find(|span| span.from <= self.at).filter(|span| span.state == PointState::Closed)
    }

    fn ended(&self, point: &PointEvidence) -> Option<DateTime<Utc>> {
        point.ended.as_ref().map(|ended| ended.at).filter(|ended| *ended <= self.at)
    }

    fn at_end(&self) -> bool {
        self.clock <= self.at
    }

    /// Where a point lay: before the end just before the instant, so that one that leaves with the unit was still there.
    fn looked_at(&self) -> DateTime<Utc> {
        if self.at_end() { self.clock } else { self.at - TimeDelta::microseconds(1) }
    }
}

/// Free since the last of several; `None` of none.
fn all(each: Vec<Free>) -> Option<Free> {
    let since = each.iter().map(|free| free.since).max()?;
    let mut rows: Vec<SourceRow> = each.into_iter().flat_map(|free| free.rows).collect();
    rows.sort();
    rows.dedup();
    Some(Free { since, rows })
}
