//! More of everything than a chart or a page likes, with names that are too long.

use chrono::Duration;
use grainfall_analysis::evidence::{Analysis, DriveBasis, Finding, GoalVerdict, Outlook, TrackPlace};

use super::equipment::{Stay, kinds, unit};
use super::points::{Read, Wanted, forecast, point};
use super::{at, clock, sample};

/// A job with 15 loggers, 45 points, 28 units and 40 findings in two chambers.
#[must_use]
pub fn stress() -> Analysis {
    let mut analysis = sample();
    let evidence = &mut analysis.evidence;
    evidence.job.title = Some("An invented title that goes on and on ".repeat(6));
    evidence.chambers[0].name =
        "Chamber A, kitchen with pantry, breakfast corner & the <hall> behind \"both\"".to_owned();

    for extra in 0..6_usize {
        let source = [0, 4, 2, 3, 0, 4][extra];
        let mut track = analysis.tracks[source].clone();
        let mut facts = evidence.loggers[source].clone();
        track.logger = analysis.tracks.len();
        facts.logger = format!("X{extra}");
        track.label = match track.place {
            TrackPlace::Outlet => format!("D{} outlet", 4 + extra),
            _ => format!("{} {} with a long label that somebody wrote", track.label, extra + 2),
        };
        facts.label.clone_from(&track.label);
        if track.place == TrackPlace::Outlet {
            track.unit = Some(format!("D{}", 4 + extra));
            facts.unit.clone_from(&track.unit);
            let mut depression = analysis.depressions[0].clone();
            depression.unit = format!("D{}", 4 + extra);
            for value in depression.depression_gpp.iter_mut().flatten() {
                *value *= 0.9 - extra as f64 * 0.02;
            }
            analysis.depressions.push(depression);
            let mut unit_air = evidence.unit_air[0].clone();
            unit_air.unit = format!("D{}", 4 + extra);
            evidence.unit_air.push(unit_air);
        }
        for value in track.gpp.iter_mut().flatten() {
            *value += 0.4 + extra as f64 * 0.3;
        }
        for value in track.air_temp_c.iter_mut().flatten() {
            *value += 0.1;
        }
        evidence.loggers.push(facts);
        analysis.tracks.push(track);
    }

    for extra in 0..35_usize {
        let chamber = if extra % 3 == 0 { "B" } else { "A" };
        let (scale, unit, start, goal) = [
            ("wood_mc", "%MC", 30.0, 15.0),
            ("relative", "rel", 900.0, 140.0),
            ("gypsum", "% gypsum", 2.2, 0.5),
            ("concrete_rh", "%RH", 97.0, 80.0),
        ][extra % 4];
        let reads = (0..8)
            .map(|day| {
                let value = goal * 0.9 + (start - goal * 0.9) * (-(day as f64) / (1.5 + (extra % 7) as f64)).exp();
                let read = if extra % 11 == 3 && day == 0 {
                    Read::Above(start)
                } else {
                    Read::Is((value * 10.0).round() / 10.0)
                };
                (day, extra as i64, read)
            })
            .collect();
        let mut added = point(Wanted {
            id: format!("{chamber}{}", 10 + extra),
            chamber: Some(chamber.to_owned()),
            location: format!("wall {extra} behind the cabinet that nobody could move, lower left"),
            depth: None,
            material: "softwood, old, painted, of unknown species".to_owned(),
            scale,
            unit,
            dry: None,
            goal: Some(goal),
            reads,
            basis: if scale == "wood_mc" { DriveBasis::WoodSorption } else { DriveBasis::UpperBound },
        });
        added.logged = extra == 30;
        if added.verdict == GoalVerdict::NotMet {
            let outlook = [Outlook::Range, Outlook::WideRange, Outlook::CannotBeReached, Outlook::NotDrying][extra % 4];
            let until = |hours: i64| (outlook == Outlook::Range).then(|| clock() + Duration::hours(hours));
            added.forecast = Some(forecast(outlook, until(20 + extra as i64), until(60 + 5 * extra as i64)));
        }
        let list = match added.verdict {
            GoalVerdict::NotMet => Some(&mut evidence.chambers[usize::from(chamber == "B")].open_points),
            GoalVerdict::Met | GoalVerdict::NotShown => None,
        };
        if let Some(list) = list {
            list.push(added.id.clone());
        }
        evidence.points.push(added);
    }

    for extra in 0..18_i64 {
        let name = format!("M{:02} (corner by the long wall)", 10 + extra);
        evidence.equipment.push(unit(&Stay {
            unit: &name,
            kind: "air mover",
            purpose: "drying",
            chambers: if extra % 2 == 0 { &["A"] } else { &["B"] },
            placed: at(extra % 3, 10 + extra % 5, extra),
            removed: (extra % 4 == 0).then(|| at(5, 9, extra)),
            closed_from: (extra % 2 == 0).then(|| at(6, 9, 16)),
            unknown_until: None,
            billed_days: None,
        }));
    }
    evidence.equipment.sort_by(|a, b| a.unit.cmp(&b.unit));
    evidence.equipment_totals = kinds(&evidence.equipment);

    let template = evidence.findings[2].clone();
    for extra in 0..32_i64 {
        let from = at(0, 12, 0) + Duration::hours(extra * 5);
        evidence.findings.push(Finding {
            from,
            to: Some((from + Duration::hours(1 + extra % 4)).min(clock())),
            ..template.clone()
        });
    }
    evidence.findings.sort_by_key(|finding| (finding.from, finding.kind));
    for (index, finding) in evidence.findings.iter_mut().enumerate() {
        finding.number = index as u32 + 1;
    }
    analysis
}
