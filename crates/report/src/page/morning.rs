//! What a project manager needs first each morning: what to do, how far each point is, and what the equipment-days
//! come to. Only the page has it; it judges nothing, it gathers what the evidence holds.

use chrono::Duration;
use grainfall_analysis::evidence::{
    CanLeave, ChamberEvidence, Evidence, Finding, FindingKind, Forecast, GoalVerdict, Outlook, PointEvidence,
};
use serde::Serialize;

use crate::model::DayCount;
use crate::model::answers::{chamber_anchor, day_counts, point_anchor, point_line};
use crate::model::findings::anchor as finding_anchor;
use crate::model::shown::{self, Shown};
use crate::number_format::{signed_trimmed, trimmed};
use crate::words::{Words, say};

/// Findings of the last day that are named; the others are counted.
const FINDINGS_NAMED: usize = 6;

/// Points drawn for a chamber; met ones beyond it are counted.
const RUNGS: usize = 10;

/// A finding that lasts into these last hours of the record is one to act on.
const FRESH_H: i64 = 24;

/// The top of the page.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Morning {
    /// The answer in one line.
    pub headline: String,
    /// The record's last instant.
    pub as_of: String,
    /// What to do, most pressing first.
    pub actions: Vec<Action>,
    /// Under the list.
    pub note: &'static str,
    /// The points of each chamber, in the order of the chambers.
    pub ladders: Vec<Ladder>,
    /// Equipment-days by verdict; empty without equipment.
    pub days: Vec<DayCount>,
}

/// One thing to do.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Action {
    /// What: `Can leave`, `Read`.
    pub what: &'static str,
    /// To what.
    pub subject: String,
    /// Why.
    pub why: String,
    /// Anchor of its evidence.
    pub link: String,
}

/// How far the points of a chamber have come.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ladder {
    /// Points, those that are open first.
    pub rungs: Vec<Rung>,
    /// Met points that are not drawn, in words; empty for none.
    pub more: String,
}

/// One point on its way to its goal.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rung {
    /// Point id.
    pub point: String,
    /// Anchor of its row.
    pub link: String,
    /// `met`, `open`, `unknown` or `ended`: how it is drawn.
    pub state: &'static str,
    /// Per cent of its excess over the goal that is gone, 0 to 100; `None` where the record does not tell.
    pub gone_pct: Option<f64>,
    /// When, or how far from the goal.
    pub words: String,
    /// When it may get there; empty without a forecast.
    pub outlook: String,
}

/// The top of the page.
#[must_use]
pub fn morning(evidence: &Evidence, shown: &Shown) -> Morning {
    let mut actions = can_leave(evidence, shown);
    actions.extend(fill_today(shown.words, evidence));
    actions.extend(read(shown.words, evidence));
    actions.extend(look_at(evidence, shown));
    actions.extend(keep_drying(shown.words, evidence));
    Morning {
        headline: headline(shown.words, evidence),
        as_of: shown.instant_with_year(evidence.clock),
        actions,
        note: say!(shown.words, "text.to_do_rests_on"),
        ladders: evidence.chambers.iter().map(|chamber| ladder(evidence, shown, chamber)).collect(),
        days: day_counts(shown.words, evidence),
    }
}

fn headline(words: Words, evidence: &Evidence) -> String {
    let counted: Vec<&ChamberEvidence> = evidence.chambers.iter().filter(|one| !one.judged_elsewhere()).collect();
    let all = counted.len() as u64;
    let having = |verdict: GoalVerdict| counted.iter().filter(|c| c.verdict == verdict).count() as u64;
    let (met, not_met, not_shown) =
        (having(GoalVerdict::Met), having(GoalVerdict::NotMet), having(GoalVerdict::NotShown));
    if all == 0 {
        return say!(words, "morning.drying_goals_not_shown").to_owned();
    }
    if met == all {
        return match all {
            1 => say!(words, "morning.drying_goal_met").to_owned(),
            2 => say!(words, "morning.drying_goals_met_in_both_chambers").to_owned(),
            all => say!(words, "morning.drying_goals_met_in_all_chambers", all = all),
        };
    }
    let mut parts = Vec::new();
    if met > 0 {
        parts.push(say!(words, "morning.met_in_of", met = met, all = say!(words, "count.chamber", count = all)));
    }
    if not_met > 0 {
        parts.push(if met > 0 {
            say!(words, "morning.not_met_in", not_met = not_met)
        } else {
            in_chambers(words, say!(words, "morning.not_met"), not_met, all)
        });
    }
    if not_shown > 0 {
        let alone = parts.is_empty();
        parts.push(if alone {
            in_chambers(words, say!(words, "morning.not_shown"), not_shown, all)
        } else {
            say!(words, "morning.not_shown_in", not_shown = not_shown)
        });
    }
    say!(words, "morning.drying_goals", parts = parts.join(", "))
}

fn in_chambers(words: Words, verdict: &str, some: u64, all: u64) -> String {
    say!(words, "morning.in_of", verdict = verdict, some = some, all = say!(words, "count.chamber", count = all))
}

/// Units still on site that nothing on the record holds.
fn can_leave(evidence: &Evidence, shown: &Shown) -> Vec<Action> {
    evidence
        .can_leave()
        .into_iter()
        .map(|CanLeave { units, chambers, since }| Action {
            what: say!(shown.words, "morning.can_leave"),
            subject: units.join(", "),
            why: say!(
                shown.words,
                "morning.everything_served_by",
                chambers = shown::list(&chambers.iter().map(|id| named(shown.words, evidence, id)).collect::<Vec<_>>()),
                how = match evidence.chambers.iter().any(|one| one.judged_elsewhere() && chambers.contains(&one.id)) {
                    true => say!(shown.words, "morning.met_or_lay_elsewhere"),
                    false => say!(shown.words, "morning.met_its_goal"),
                },
                since = shown.instant(since)
            ),
            link: chambers.first().and_then(|id| chamber_anchor(evidence, id)).unwrap_or_default(),
        })
        .collect()
}

/// Holes of the day that is still running.
fn fill_today(words: Words, evidence: &Evidence) -> Vec<Action> {
    let today = evidence.completeness.iter().filter(|day| day.running);
    today
        .filter_map(|day| {
            let holes: Vec<_> = day.entries.iter().filter(|entry| !entry.present).collect();
            let names: Vec<&str> = holes.iter().map(|entry| entry.kind.said(words)).collect();
            let mut add: Vec<&str> = holes.iter().filter_map(|entry| entry.add.as_deref()).collect();
            add.dedup();
            (!holes.is_empty()).then(|| Action {
                what: say!(words, "morning.record_today"),
                subject: format!("{}: {}", named(words, evidence, &day.chamber), names.join(", ")),
                why: add.join(" "),
                link: chamber_anchor(evidence, &day.chamber).unwrap_or_default(),
            })
        })
        .collect()
}

/// Points of which the record cannot tell.
fn read(words: Words, evidence: &Evidence) -> Vec<Action> {
    let unknown = |chamber: &ChamberEvidence| -> Vec<&PointEvidence> {
        evidence.points.iter().filter(|point| chamber.not_shown_points.contains(&point.id)).collect()
    };
    let chambers = evidence.chambers.iter().map(|chamber| (chamber, unknown(chamber)));
    chambers
        .filter(|(_, points)| !points.is_empty())
        .map(|(chamber, points)| {
            let ids: Vec<&str> = points.iter().map(|point| point.id.as_str()).collect();
            Action {
                what: say!(words, "morning.read"),
                subject: say!(
                    words,
                    "morning.points_in",
                    points = ids.join(", "),
                    chamber = shown::chamber(words, chamber)
                ),
                why: if points.len() == 1 { points[0].why.clone() } else { chamber.why.clone() },
                link: points.first().and_then(|point| point_anchor(evidence, &point.id)).unwrap_or_default(),
            }
        })
        .collect()
}

/// Findings that last into the end of the record and that somebody can do something about.
fn look_at(evidence: &Evidence, shown: &Shown) -> Vec<Action> {
    let since = evidence.clock - Duration::hours(FRESH_H);
    let fresh = |finding: &&Finding| finding.to.unwrap_or(finding.from) >= since && calls_for_action(finding.kind);
    let findings: Vec<&Finding> = evidence.findings.iter().filter(fresh).collect();
    let mut actions: Vec<Action> = findings
        .iter()
        .take(FINDINGS_NAMED)
        .map(|finding| Action {
            what: say!(shown.words, "morning.look_at"),
            subject: say!(
                shown.words,
                "morning.finding",
                finding = finding.number,
                kind = finding.kind.said(shown.words)
            ),
            why: format!("{}: {}", shown.span(finding.from, finding.to), finding.text),
            link: finding_anchor(finding),
        })
        .collect();
    if findings.len() > FINDINGS_NAMED {
        actions.push(Action {
            what: say!(shown.words, "morning.look_at"),
            subject: say!(
                shown.words,
                "morning.more_findings_of_the_last_h",
                findings = findings.len() - FINDINGS_NAMED,
                FRESH_H = FRESH_H
            ),
            why: say!(shown.words, "morning.all_findings_are_in_their_own").to_owned(),
            link: "findings".to_owned(),
        });
    }
    actions
}

/// Open points, by chamber.
fn keep_drying(words: Words, evidence: &Evidence) -> Vec<Action> {
    let chambers = evidence.chambers.iter().enumerate().filter(|(_, chamber)| !chamber.open_points.is_empty());
    chambers
        .map(|(index, chamber)| {
            let far: Vec<String> = chamber
                .open_points
                .iter()
                .filter_map(|id| evidence.points.iter().find(|point| point.id == *id))
                .map(|point| match point.distance_to_goal {
                    Some(distance) => format!("{} {}", point.id, over(words, distance, &point.unit)),
                    None => say!(words, "morning.without_a_reading_to_compare", id = point.id),
                })
                .collect();
            Action {
                what: say!(words, "morning.keep_drying"),
                subject: shown::chamber(words, chamber),
                why: shown::list(&far),
                link: format!("chamber-{}", index + 1),
            }
        })
        .collect()
}

/// Kinds of findings that a visit can do something about; the others explain or correct the record.
fn calls_for_action(kind: FindingKind) -> bool {
    use FindingKind as K;
    matches!(
        kind,
        K::LoggerUnplaced
            | K::LoggerSilent
            | K::LoggerFrozen
            | K::LoggerDead
            | K::LoggerMisplaced
            | K::UnitStopped
            | K::AirMoversInCategory3
            | K::Reopened
            | K::Rewetting
            | K::Stall
            | K::AirStaysWetter
            | K::ChamberOpened
            | K::SurfaceAtDewPoint
            | K::SurfaceAboveCritical
            | K::OutsideWorkingRange
            | K::GoalBelowEquilibrium
            | K::DayWithoutReading
            | K::ReadingsStopEarly
    )
}

fn ladder(evidence: &Evidence, shown: &Shown, chamber: &ChamberEvidence) -> Ladder {
    let own = |point: &&PointEvidence| !point.reference && point.chamber.as_deref() == Some(chamber.id.as_str());
    let mut rungs: Vec<Rung> = evidence.points.iter().filter(own).map(|point| rung(evidence, shown, point)).collect();
    let order = |rung: &Rung| match rung.state {
        "open" => 0,
        "unknown" => 1,
        "met" => 2,
        _ => 3,
    };
    rungs.sort_by_key(order);
    let pressing = rungs.iter().filter(|rung| order(rung) < 2).count();
    let hidden = rungs.split_off(rungs.len().min(pressing.max(RUNGS)));
    let (met, ended) =
        (hidden.iter().filter(|r| r.state == "met").count(), hidden.iter().filter(|r| r.state == "ended").count());
    let words = [(met, say!(shown.words, "verdict.met")), (ended, say!(shown.words, "word.ended"))]
        .into_iter()
        .filter(|(n, _)| *n > 0)
        .map(|(n, word)| say!(shown.words, "morning.more", n = n, word = word));
    Ladder { rungs, more: words.collect::<Vec<_>>().join(", ") }
}

fn rung(evidence: &Evidence, shown: &Shown, point: &PointEvidence) -> Rung {
    let met = point.verdict == GoalVerdict::Met;
    let line = point_line(evidence, shown, point);
    let (state, words) = match (&point.ended, point.verdict, point.distance_to_goal) {
        (Some(ended), ..) => {
            ("ended", say!(shown.words, "morning.ended", at = shown.instant(ended.at), reason = ended.reason))
        }
        (None, GoalVerdict::Met, _) => (
            "met",
            say!(
                shown.words,
                "morning.met",
                at = shown.instant_or_dash(point.met_at),
                reading = line.reading,
                distance = line.distance
            ),
        ),
        (None, GoalVerdict::NotMet, Some(distance)) => {
            ("open", say!(shown.words, "morning.from_goal", unit = over(shown.words, distance, &point.unit)))
        }
        (None, GoalVerdict::NotMet, None) => ("open", say!(shown.words, "morning.no_reading_to_compare").to_owned()),
        (None, GoalVerdict::NotShown, _) => ("unknown", say!(shown.words, "morning.not_shown").to_owned()),
    };
    let gone_pct = match (&point.goal, point.highest, point.last) {
        _ if met && point.ended.is_none() => Some(100.0),
        (Some(goal), Some(highest), Some(last)) if highest > goal.value => {
            // An open point never looks as if it were met.
            let most = if state == "open" { 97.0 } else { 100.0 };
            Some(((highest - last) / (highest - goal.value) * 100.0).clamp(0.0, most))
        }
        _ => None,
    };
    Rung {
        point: point.id.clone(),
        link: point_anchor(evidence, &point.id).unwrap_or_default(),
        state,
        gone_pct: gone_pct.map(|pct| (pct * 10.0).round() / 10.0),
        words,
        outlook: point.forecast.as_ref().filter(|_| state == "open").map_or_else(String::new, |f| outlook(shown, f)),
    }
}

/// A forecast in a few words; the whole sentence is with its point.
fn outlook(shown: &Shown, forecast: &Forecast) -> String {
    match (forecast.outlook, forecast.earliest, forecast.latest) {
        (Outlook::Range, Some(earliest), Some(latest)) => {
            let (from, to) = (shown.day(shown.date(earliest)), shown.day(shown.date(latest)));
            if from == to {
                say!(shown.words, "morning.80_range", from = from)
            } else {
                say!(shown.words, "morning.to_80_range", from = from, to = to)
            }
        }
        (Outlook::Range, Some(earliest), None) => {
            say!(shown.words, "morning.not_before", earliest = shown.day(shown.date(earliest)))
        }
        (Outlook::WideRange, ..) => match (forecast.days_low, forecast.days_high) {
            (Some(low), Some(high)) => {
                say!(
                    shown.words,
                    "morning.to_days_more_few_readings",
                    low = trimmed(shown.words, low, 0),
                    high = trimmed(shown.words, high, 0)
                )
            }
            _ => String::new(),
        },
        (Outlook::CannotBeReached | Outlook::NotDrying, ..) => forecast.outlook.said(shown.words).to_owned(),
        (Outlook::Range | Outlook::NotShown, ..) => String::new(),
    }
}

fn named(words: Words, evidence: &Evidence, id: &str) -> String {
    evidence
        .chambers
        .iter()
        .find(|chamber| chamber.id == id)
        .map_or_else(|| say!(words, "morning.chamber", id = id), |chamber| shown::chamber(words, chamber))
}

fn over(words: Words, distance: f64, unit: &str) -> String {
    let number = signed_trimmed(words, distance, 2);
    if unit.is_empty() { number } else { format!("{number} {unit}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::UnitSystem;
    use crate::sample_evidence::{sample, stress};

    fn of(evidence: &Evidence) -> Morning {
        morning(evidence, &Shown::new(UnitSystem::Us, evidence).expect("a zone"))
    }

    #[test]
    fn the_headline_counts_every_chamber() {
        let mut analysis = sample();
        let evidence = &mut analysis.evidence;
        assert_eq!(of(evidence).headline, "Drying goals met in 1 of 2 chambers, not met in 1");
        evidence.chambers[0].verdict = GoalVerdict::NotShown;
        assert_eq!(of(evidence).headline, "Drying goals not met in 1 of 2 chambers, not shown in 1");
        evidence.chambers[0].verdict = GoalVerdict::Met;
        evidence.chambers[1].verdict = GoalVerdict::Met;
        assert_eq!(of(evidence).headline, "Drying goals met in both chambers");
        evidence.chambers.clear();
        assert_eq!(of(evidence).headline, "Drying goals not shown");
    }

    #[test]
    fn the_bar_holds_every_equipment_day() {
        for analysis in [sample(), stress()] {
            let days = of(&analysis.evidence).days;
            let recorded: u32 = analysis.evidence.equipment_totals.iter().map(|kind| kind.totals.recorded_days).sum();
            assert_eq!(days.iter().map(|part| part.days).sum::<u32>(), recorded);
            assert_eq!(days.iter().map(|part| part.length).sum::<u32>(), 1000);
        }
    }

    #[test]
    fn an_open_point_never_looks_met_and_every_point_is_there_or_counted() {
        for analysis in [sample(), stress()] {
            let evidence = &analysis.evidence;
            let morning = of(evidence);
            for (ladder, chamber) in morning.ladders.iter().zip(&evidence.chambers) {
                let own = |p: &&PointEvidence| !p.reference && p.chamber.as_deref() == Some(chamber.id.as_str());
                let counted: usize =
                    ladder.more.split(", ").filter_map(|w| w.split(' ').next()?.parse::<usize>().ok()).sum();
                assert_eq!(ladder.rungs.len() + counted, evidence.points.iter().filter(own).count());
                for rung in &ladder.rungs {
                    assert!(rung.state != "open" || rung.gone_pct.is_none_or(|pct| pct < 100.0), "{rung:?}");
                    assert!(rung.state != "met" || rung.gone_pct == Some(100.0), "{rung:?}");
                }
            }
        }
    }

    #[test]
    fn a_unit_can_leave_only_while_it_is_there_and_nothing_it_serves_is_open() {
        let analysis = sample();
        let evidence = &analysis.evidence;
        for action in of(evidence).actions.iter().filter(|action| action.what == "Can leave") {
            for name in action.subject.split(", ") {
                let unit = evidence.equipment.iter().find(|unit| unit.unit == name).expect("a unit");
                assert!(unit.staying().is_some(), "{name}");
                let leave = evidence.earliest_leaves.iter().find(|leave| leave.unit == name).expect("a leave");
                assert!(leave.goals_met.is_some(), "{name}");
            }
        }
    }
}
