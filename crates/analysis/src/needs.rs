//! What of a job needs a person on a given day: one line of facts per job, and the needs that follow from it.
//!
//! The facts ([`JobLine`]) depend on the job alone and can be kept; the needs depend on the day too, so that a job whose
//! record stopped is told from one that was visited this morning.

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use grainfall_words::{DateStyle, Words, say};
use serde::{Deserialize, Serialize};

use crate::evidence::{Evidence, FindingKind, GoalVerdict, KindTotals, PointEvidence, Subject, UnitEvidence};

/// What a list of jobs says of one job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JobLine {
    /// Title, else number, else the folder's name.
    pub title: String,
    /// Zone of the civil days, IANA.
    pub time_zone: String,
    /// How its dates are written.
    pub dates: DateStyle,
    /// The last sample or entry of the record, or the instant it was judged at.
    pub clock: DateTime<Utc>,
    /// Verdict over all chambers.
    pub verdict: GoalVerdict,
    /// Chambers, in the job's order.
    pub chambers: Vec<ChamberLine>,
    /// Judged units on site at the clock, by name.
    pub on_site: Vec<UnitOnSite>,
    /// Points that are neither met nor ended, in the job's order.
    pub open_points: Vec<OpenPoint>,
    /// Points that stalled and are still open: the finding's sentence.
    pub stalled: Vec<String>,
    /// Loggers that are silent at the clock, beside equipment: the finding's sentence.
    pub silent: Vec<String>,
    /// Equipment-days of judged units.
    pub days: DayCounts,
    /// Number of findings.
    pub findings: u64,
    /// Files that look like a log and could not be read.
    pub unread_files: u64,
}

/// A chamber's verdict.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ChamberLine {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Verdict.
    pub verdict: GoalVerdict,
    /// The reason in one sentence.
    pub why: String,
    /// Whether its points lie in other chambers now and are judged there.
    pub judged_elsewhere: bool,
}

/// A unit that stands on site.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct UnitOnSite {
    /// The unit.
    pub unit: String,
    /// Chamber ids it serves.
    pub chambers: Vec<String>,
    /// Whether nothing on the record holds it there any more.
    pub can_leave: bool,
}

/// A point that is still to be read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct OpenPoint {
    /// Id.
    pub id: String,
    /// Chamber id.
    pub chamber: Option<String>,
    /// Its last reading or entry with a reason; `None` without any.
    pub last_read: Option<DateTime<Utc>>,
    /// Whether a logger reads it.
    pub logged: bool,
}

/// Equipment-days by verdict.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct DayCounts {
    /// Needed.
    pub needed: u64,
    /// Not needed.
    pub not_needed: u64,
    /// Not shown.
    pub not_shown: u64,
}

/// What needs a person, the most pressing first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NeedKind {
    /// The job could not be read.
    NotRead,
    /// Goals are met and equipment still stands there.
    EquipmentAfterGoals,
    /// Readings do not get nearer to their goal.
    Stalled,
    /// An open point with equipment beside it has no reading on the day.
    ReadingMissing,
    /// A logger fell silent beside equipment.
    LoggerSilent,
    /// A chamber's verdict is not shown.
    NotShown,
}

impl NeedKind {
    /// All, the most pressing first.
    pub const ALL: [Self; 6] = [
        Self::NotRead,
        Self::EquipmentAfterGoals,
        Self::Stalled,
        Self::ReadingMissing,
        Self::LoggerSilent,
        Self::NotShown,
    ];

    /// Its name, as the terminal and the markup have it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::NotRead => "could not be read",
            Self::EquipmentAfterGoals => "goals met, equipment on site",
            Self::Stalled => "stalled",
            Self::ReadingMissing => "readings missing",
            Self::LoggerSilent => "logger silent",
            Self::NotShown => "verdict not shown",
        }
    }

    /// As the page of jobs says it.
    #[must_use]
    pub fn said(self, words: Words) -> &'static str {
        match self {
            Self::NotRead => say!(words, "needs.could_not_be_read"),
            Self::EquipmentAfterGoals => say!(words, "needs.goals_met_equipment_on_site"),
            Self::Stalled => say!(words, "needs.stalled"),
            Self::ReadingMissing => say!(words, "needs.readings_missing"),
            Self::LoggerSilent => say!(words, "needs.logger_silent"),
            Self::NotShown => say!(words, "needs.verdict_not_shown"),
        }
    }
}

/// One need of a job.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Need {
    /// What kind.
    pub kind: NeedKind,
    /// What is needed, in words that name unit, point or logger.
    pub text: String,
}

impl JobLine {
    /// The line of a judged job.
    ///
    /// # Arguments
    /// * `unread_files`: files of its folder that look like a log and could not be read.
    #[must_use]
    pub fn of(evidence: &Evidence, unread_files: u64) -> Self {
        let facts = &evidence.job;
        let judged = evidence.equipment.iter().filter(|unit| unit.judged);
        let free: BTreeSet<String> = evidence.can_leave().into_iter().flat_map(|group| group.units).collect();
        let days = KindTotals::sum("all", &evidence.equipment_totals).totals;
        Self {
            title: facts.title.clone().or_else(|| facts.number.clone()).unwrap_or_else(|| facts.folder.clone()),
            time_zone: facts.time_zone.clone(),
            dates: facts.dates,
            clock: evidence.clock,
            verdict: evidence.verdict,
            chambers: evidence
                .chambers
                .iter()
                .map(|one| ChamberLine {
                    id: one.id.clone(),
                    name: one.name.clone(),
                    verdict: one.verdict,
                    why: one.why.clone(),
                    judged_elsewhere: one.judged_elsewhere(),
                })
                .collect(),
            on_site: judged.filter_map(|unit| on_site(unit, free.contains(&unit.unit))).collect(),
            open_points: evidence.points.iter().filter(|point| is_open(point)).map(open_point).collect(),
            stalled: stalled(evidence),
            silent: silent(evidence),
            days: DayCounts {
                needed: days.needed.into(),
                not_needed: days.not_needed.into(),
                not_shown: days.not_shown.into(),
            },
            findings: evidence.findings.len() as u64,
            unread_files,
        }
    }

    /// What needs a person at an instant, the most pressing first.
    ///
    /// # Arguments
    /// * `now`: an instant of the day in question, not before the record's clock.
    #[must_use]
    pub fn needs(&self, words: Words, now: DateTime<Utc>) -> Vec<Need> {
        let need = |kind, text| Need { kind, text };
        let mut needs: Vec<Need> = Vec::new();
        if let Some(text) = self.can_leave(words) {
            needs.push(need(NeedKind::EquipmentAfterGoals, text));
        }
        needs.extend(self.stalled.iter().map(|text| need(NeedKind::Stalled, text.clone())));
        if let Some(text) = self.unread_on(words, now) {
            needs.push(need(NeedKind::ReadingMissing, text));
        }
        needs.extend(self.silent.iter().map(|text| need(NeedKind::LoggerSilent, text.clone())));
        if self.chambers.is_empty() {
            needs.push(need(NeedKind::NotShown, say!(words, "needs.no_drying_chamber_on_the").to_owned()));
        }
        let not_shown = self
            .chambers
            .iter()
            .filter(|chamber| chamber.verdict == GoalVerdict::NotShown && !chamber.judged_elsewhere);
        needs.extend(not_shown.map(|chamber| need(NeedKind::NotShown, format!("{}: {}", chamber.name, chamber.why))));
        needs
    }

    /// Units that nothing on the record holds.
    fn can_leave(&self, words: Words) -> Option<String> {
        let units: Vec<String> = self.on_site.iter().filter(|one| one.can_leave).map(|one| one.unit.clone()).collect();
        (!units.is_empty()).then(|| say!(words, "needs.can_leave", units = words.list(&units)))
    }

    /// Open points beside equipment that have no reading on the civil day of an instant.
    fn unread_on(&self, words: Words, now: DateTime<Utc>) -> Option<String> {
        let tz: Tz = self.time_zone.parse().unwrap_or(chrono_tz::UTC);
        let date = |time: DateTime<Utc>| -> NaiveDate { time.with_timezone(&tz).date_naive() };
        let beside = |point: &&OpenPoint| {
            self.on_site.iter().any(|unit| point.chamber.as_ref().is_some_and(|id| unit.chambers.contains(id)))
        };
        let unread: Vec<&OpenPoint> = self
            .open_points
            .iter()
            .filter(|point| !point.logged && point.last_read.is_none_or(|read| date(read) < date(now)))
            .filter(beside)
            .collect();
        let last = unread.iter().map(|point| point.last_read).min()?;
        let since = last.map_or_else(
            || say!(words, "needs.not_all_of_them_were").to_owned(),
            |read| say!(words, "needs.the_oldest_reading_is_of", date = self.dates.full(words, date(read))),
        );
        Some(say!(
            words,
            "needs.without_a_reading_on",
            unread = say!(words, "count.open_point", count = unread.len()),
            date = self.dates.full(words, date(now)),
            point = words.list(&unread.iter().map(|point| point.id.clone()).collect::<Vec<_>>()),
            since = since
        ))
    }
}

fn on_site(unit: &UnitEvidence, can_leave: bool) -> Option<UnitOnSite> {
    let chambers = unit.staying()?.serves_now().to_vec();
    Some(UnitOnSite { unit: unit.unit.clone(), chambers, can_leave })
}

fn is_open(point: &PointEvidence) -> bool {
    !point.reference && point.ended.is_none() && point.verdict != GoalVerdict::Met
}

fn open_point(point: &PointEvidence) -> OpenPoint {
    OpenPoint {
        id: point.id.clone(),
        chamber: point.chamber.clone(),
        last_read: point.readings.iter().map(|reading| reading.time).max(),
        logged: point.logged,
    }
}

/// Stalls that last to the last reading of a point that is still open.
fn stalled(evidence: &Evidence) -> Vec<String> {
    let lasts = |id: &str, to: Option<DateTime<Utc>>| {
        let point = evidence.points.iter().find(|point| point.id == id);
        point.is_some_and(|point| is_open(point) && point.last_at.is_some() && point.last_at <= to)
    };
    evidence
        .findings
        .iter()
        .filter(|finding| finding.kind == FindingKind::Stall)
        .filter(|finding| matches!(&finding.subject, Subject::Point(id) if lasts(id, finding.to)))
        .map(|finding| finding.text.clone())
        .collect()
}

/// Silences that last to the end of the record.
fn silent(evidence: &Evidence) -> Vec<String> {
    let lasting = |finding: &&crate::evidence::Finding| {
        finding.kind == FindingKind::LoggerSilent && finding.to == Some(evidence.clock)
    };
    if evidence.equipment.iter().all(|unit| unit.staying().is_none()) {
        return Vec::new();
    }
    evidence.findings.iter().filter(lasting).map(|finding| finding.text.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    fn line() -> JobLine {
        let chamber = |id: &str, verdict| ChamberLine {
            id: id.to_owned(),
            name: format!("Chamber {id}"),
            verdict,
            why: "as the readings say".to_owned(),
            judged_elsewhere: false,
        };
        let unit = |unit: &str, chambers: &[&str], can_leave| UnitOnSite {
            unit: unit.to_owned(),
            chambers: chambers.iter().map(|id| (*id).to_owned()).collect(),
            can_leave,
        };
        JobLine {
            title: "Larch Street".to_owned(),
            time_zone: "America/Chicago".to_owned(),
            dates: DateStyle::DayMonth,
            clock: at("2025-10-09T15:00:00Z"),
            verdict: GoalVerdict::NotMet,
            chambers: vec![chamber("A", GoalVerdict::Met), chamber("B", GoalVerdict::NotMet)],
            on_site: vec![unit("D1", &["A"], true), unit("D2", &["A", "B"], false)],
            open_points: vec![OpenPoint {
                id: "B1".to_owned(),
                chamber: Some("B".to_owned()),
                last_read: Some(at("2025-10-09T15:00:00Z")),
                logged: false,
            }],
            stalled: Vec::new(),
            silent: Vec::new(),
            days: DayCounts::default(),
            findings: 0,
            unread_files: 0,
        }
    }

    fn kinds(line: &JobLine, now: &str) -> Vec<NeedKind> {
        line.needs(Words::default(), at(now)).iter().map(|need| need.kind).collect()
    }

    #[test]
    fn only_units_that_nothing_holds_can_leave() {
        let needs = line().needs(Words::default(), at("2025-10-09T15:00:00Z"));
        assert_eq!(needs.len(), 1);
        assert_eq!(needs[0].text, "D1 can leave");
    }

    #[test]
    fn a_reading_is_missing_from_the_next_local_day_on() {
        // 05:00 UTC is midnight in Chicago in October (IANA zone data).
        assert_eq!(kinds(&line(), "2025-10-10T04:59:00Z"), [NeedKind::EquipmentAfterGoals]);
        let next = line().needs(Words::default(), at("2025-10-10T05:00:00Z"));
        assert_eq!(next[1].kind, NeedKind::ReadingMissing);
        assert_eq!(
            next[1].text,
            "1 open point without a reading on 10 Oct 2025: B1; the oldest reading is of 9 Oct 2025"
        );
    }

    #[test]
    fn nothing_is_to_be_read_where_no_equipment_stands() {
        let gone = JobLine { on_site: Vec::new(), ..line() };
        assert!(kinds(&gone, "2025-10-12T12:00:00Z").is_empty());
        let elsewhere = JobLine { on_site: vec![line().on_site[0].clone()], ..line() };
        assert_eq!(kinds(&elsewhere, "2025-10-12T12:00:00Z"), [NeedKind::EquipmentAfterGoals]);
    }

    #[test]
    fn a_chamber_judged_elsewhere_needs_nobody() {
        let mut line = line();
        line.chambers[0].verdict = GoalVerdict::NotShown;
        assert!(kinds(&line, "2025-10-09T15:00:00Z").contains(&NeedKind::NotShown));
        line.chambers[0].judged_elsewhere = true;
        assert!(!kinds(&line, "2025-10-09T15:00:00Z").contains(&NeedKind::NotShown));
    }

    #[test]
    fn a_job_without_chambers_shows_nothing() {
        let bare = JobLine { chambers: Vec::new(), open_points: Vec::new(), on_site: Vec::new(), ..line() };
        assert_eq!(kinds(&bare, "2025-10-12T12:00:00Z"), [NeedKind::NotShown]);
    }
}
