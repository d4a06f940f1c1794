//! Any number of loggers, points, units and findings in one chamber: what a chart must hold apart.

use chrono::Duration;
use grainfall_analysis::evidence::{Analysis, DriveBasis, Finding, GoalVerdict, TrackPlace};

use super::equipment::{Stay, kinds, unit};
use super::points::{Read, Wanted, point};
use super::{at, clock, sample};

/// A job of one chamber with `count` loggers in its air, `count` units with a logger at their outlet, `count` points and
/// `count` findings, all close to one another.
#[must_use]
pub fn crowd(count: usize) -> Analysis {
    let mut analysis = sample();
    let template = analysis.clone();
    let evidence = &mut analysis.evidence;
    evidence.chambers.truncate(1);
    evidence.points.clear();
    evidence.equipment.clear();
    evidence.findings.clear();
    evidence.loggers.clear();
    evidence.unit_air.clear();
    evidence.daily_air.clear();
    analysis.tracks.clear();
    analysis.depressions.clear();
    for nth in 0..count {
        add_loggers(&mut analysis, &template, nth);
        add_point(&mut analysis, nth);
        add_unit(&mut analysis, nth);
        let from = at(0, 12, 0) + Duration::minutes(nth as i64 * 97);
        analysis.evidence.findings.push(Finding {
            number: nth as u32 + 1,
            from,
            to: nth.is_multiple_of(3).then(|| (from + Duration::hours(1 + nth as i64 % 7)).min(clock())),
            ..template.evidence.findings[2].clone()
        });
    }
    analysis.evidence.equipment_totals = kinds(&analysis.evidence.equipment);
    analysis
}

fn add_loggers(analysis: &mut Analysis, template: &Analysis, nth: usize) {
    let unit = format!("D{}", nth + 1);
    for (source, label) in [(0, format!("affected {}, a corner", nth + 1)), (4, format!("{unit} outlet"))] {
        let (mut track, mut facts) = (template.tracks[source].clone(), template.evidence.loggers[source].clone());
        track.logger = analysis.tracks.len();
        track.label.clone_from(&label);
        facts.label = label;
        facts.logger = format!("L{}", track.logger + 1);
        if track.place == TrackPlace::Outlet {
            track.unit = Some(unit.clone());
            facts.unit = Some(unit.clone());
        }
        for gpp in track.gpp.iter_mut().flatten() {
            *gpp += nth as f64 * 0.7;
        }
        analysis.evidence.loggers.push(facts);
        analysis.tracks.push(track);
    }
    let mut depression = template.depressions[0].clone();
    depression.unit.clone_from(&unit);
    analysis.depressions.push(depression);
    let mut air = template.evidence.unit_air[0].clone();
    air.unit = unit;
    analysis.evidence.unit_air.push(air);
}

fn add_point(analysis: &mut Analysis, nth: usize) {
    let start = 22.0 + (nth % 9) as f64;
    let reads = (0..8).map(|day| (day, nth as i64, Read::Is(start - day as f64 * (0.6 + (nth % 5) as f64 * 0.3))));
    let point = point(Wanted {
        id: format!("P{}", nth + 1),
        chamber: Some("A".to_owned()),
        location: format!("wall {} by the window", nth + 1),
        depth: None,
        material: "softwood".to_owned(),
        scale: "wood_mc",
        unit: "%MC",
        dry: Some(11.0),
        goal: Some(15.0),
        reads: reads.collect(),
        basis: DriveBasis::WoodSorption,
    });
    if point.verdict == GoalVerdict::NotMet {
        analysis.evidence.chambers[0].open_points.push(point.id.clone());
    }
    analysis.evidence.points.push(point);
}

fn add_unit(analysis: &mut Analysis, nth: usize) {
    analysis.evidence.equipment.push(unit(&Stay {
        unit: &format!("D{}", nth + 1),
        kind: "dehumidifier, low-grain refrigerant",
        purpose: "drying",
        chambers: &["A"],
        placed: at(0, 10, nth as i64),
        removed: nth.is_multiple_of(3).then(|| at(5, 14, 0)),
        closed_from: nth.is_multiple_of(2).then(|| at(4, 9, 0)),
        unknown_until: None,
        billed_days: None,
    }));
}
