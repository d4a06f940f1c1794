//! An invented job as finished evidence, for tests and previews: nothing in it was measured, nobody in it exists.
//!
//! Two chambers, eight days, nine loggers, ten points, ten units and every kind of verdict. `sample` is a job as it
//! might be; `stress` has more of everything than any page or chart likes, with names that are too long; `crowd` has
//! any number of loggers, points and units in one chamber.

mod air;
mod crowd;
mod equipment;
mod findings;
mod points;
mod stress;

use chrono::{DateTime, Duration, NaiveDate, Utc};
use grainfall_analysis::evidence::{
    Analysis, Assumption, ClockBasis, Day, Evidence, GoalVerdict, HourMeterFacts, JobFacts, PauseFacts, PressureBasis,
    PressureUsed, SourceRow, VisitFacts,
};

pub use crowd::crowd;
pub use stress::stress;

/// The invented job of two chambers over eight days.
#[must_use]
pub fn sample() -> Analysis {
    let days = days(8);
    let air = air::air(&days);
    let (chambers, points) = points::points();
    let (equipment, equipment_totals, releases) = equipment::equipment();
    let evidence = Evidence {
        clock: clock(),
        clock_basis: ClockBasis::LastSample,
        job: job(),
        pressure: PressureUsed {
            pressure_pa: air::PRESSURE_PA,
            u_pressure_pa: air::U_PRESSURE_PA,
            basis: PressureBasis::Elevation,
            elevation_m: Some(200.0),
        },
        verdict: GoalVerdict::NotMet,
        days,
        loggers: air.loggers,
        side_by_side: vec![],
        daily_air: air.daily,
        daily_differences: air.differences,
        hand_air: air.by_hand,
        unit_air: air.units,
        chambers,
        points,
        equipment,
        equipment_totals,
        releases,
        findings: findings::findings(),
        missing: findings::missing(),
        pauses: vec![PauseFacts {
            from: at(4, 13, 0),
            to: at(4, 14, 30),
            units: vec!["D2".to_owned()],
            reason: "occupant asked for quiet".to_owned(),
            row: row("job.toml", 140),
        }],
        hour_meters: vec![HourMeterFacts {
            unit: "D2".to_owned(),
            from: at(0, 10, 30),
            to: at(3, 9, 0),
            meter_h: 70.4,
            running_h: 70.5,
            not_shown_h: 0.0,
            rows: vec![row("job.toml", 150), row("job.toml", 155)],
        }],
        completeness: vec![],
        mould: vec![],
        sizing: vec![],
        earliest_leaves: vec![],
        visits: visits(),
        assumptions: vec![Assumption {
            text: "accuracy of 9 loggers taken as ±2 %RH and ±0.5 °F, rectangular".to_owned(),
            source: "assumed; no source".to_owned(),
            remedy: "write `accuracy` in the `[[logger]]` table".to_owned(),
        }],
    };
    Analysis { evidence, tracks: air.tracks, depressions: air.depressions }
}

/// The report's clock: Monday 13 October 2025, 16:00 in New York.
fn clock() -> DateTime<Utc> {
    at(7, 16, 0)
}

/// An instant of the job: day 0 is Monday 6 October 2025, wall time of New York (UTC-4 on all these days).
fn at(day: i64, hour: i64, minute: i64) -> DateTime<Utc> {
    let midnight = date(0).and_hms_opt(4, 0, 0).unwrap_or_default().and_utc();
    midnight + Duration::days(day) + Duration::hours(hour) + Duration::minutes(minute)
}

/// The date of a day of the job.
fn date(day: i64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2025, 10, 6).unwrap_or_default() + Duration::days(day)
}

fn row(file: &str, row: u64) -> SourceRow {
    SourceRow { file: file.to_owned(), row }
}

fn hours_between(from: DateTime<Utc>, to: DateTime<Utc>) -> f64 {
    (to - from).as_seconds_f64() / 3600.0
}

fn days(count: i64) -> Vec<Day> {
    (0..count)
        .map(|day| Day {
            number: u32::try_from(day + 1).unwrap_or(u32::MAX),
            date: date(day),
            from: at(day, 0, 0),
            to: at(day + 1, 0, 0),
            hours: 24.0,
        })
        .collect()
}

fn job() -> JobFacts {
    JobFacts {
        folder: "larch-street".to_owned(),
        number: Some("J-0001".to_owned()),
        title: Some("Invented job: supply line under the kitchen sink".to_owned()),
        claim: Some("INVENTED-7".to_owned()),
        time_zone: "America/New_York".to_owned(),
        dates: grainfall_words::DateStyle::DayMonth,
        time_zone_stated: true,
        loss_at: Some(at(-1, 21, 40)),
        category: vec![
            "category 1 from 5 Oct 21:40".to_owned(),
            "category 2 from 7 Oct 09:00: stood over 24 h".to_owned(),
        ],
        class: vec!["class 2 from 6 Oct 10:00".to_owned()],
        equipment_day: "24 h from placing".to_owned(),
        pull_window_h: 4.0,
        pull_window_stated: false,
        confirm_readings: 1,
        record_from: Some(at(0, 10, 0)),
    }
}

fn visits() -> Vec<VisitFacts> {
    (0..8)
        .map(|day| VisitFacts {
            time: at(day, if day == 0 { 10 } else { 9 }, 5),
            by: Some("A. Tester (invented)".to_owned()),
            credential: Some("invented credential".to_owned()),
            instruments: Some("MM-1, TH-2".to_owned()),
            reason: Some(if day == 0 { "setting" } else { "daily readings" }.to_owned()),
            photos: Some(format!("photos {}-{}", day * 12 + 1, day * 12 + 12)),
            note: (day == 2).then(|| "D1 found off, breaker tripped; reset".to_owned()),
            row: row("visits.csv", u64::try_from(day).unwrap_or(0) + 2),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sample_has_every_verdict_and_sorted_instants() {
        use grainfall_analysis::evidence::DayVerdict;
        let analysis = sample();
        let found: std::collections::BTreeSet<DayVerdict> = analysis
            .evidence
            .equipment
            .iter()
            .flat_map(|u| &u.stays)
            .flat_map(|s| &s.days)
            .map(|d| d.verdict)
            .collect();
        assert_eq!(found.len(), 4, "needed, not needed, not shown and not judged");
        assert_eq!(analysis.tracks.len(), analysis.evidence.loggers.len());
        for track in &analysis.tracks {
            assert!(track.time.is_sorted(), "{}", track.label);
            assert_eq!(track.time.len(), track.gpp.len());
        }
        let numbers: Vec<u32> = analysis.evidence.findings.iter().map(|f| f.number).collect();
        let wanted: Vec<u32> = (1..=u32::try_from(numbers.len()).unwrap_or(0)).collect();
        assert_eq!(numbers, wanted);
        assert!(analysis.evidence.findings.is_sorted_by_key(|f| f.from));
    }

    #[test]
    fn stress_is_as_large_as_it_says() {
        let analysis = stress();
        assert!(analysis.tracks.len() >= 12);
        assert!(analysis.evidence.points.len() >= 40);
        assert!(analysis.evidence.equipment.len() >= 25);
    }
}
