//! A finding and the lines it names: its ends stand on them where it takes them from there, and so do its numbers.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{Evidence, Finding, FindingKind, LoggerFacts, SourceRow, Subject};

use crate::Job;
use crate::lines::Reading;

/// Walks one finding back.
///
/// # Panics
/// Where a line does not say what the finding says.
pub fn walk(job: &Job, one: &Finding) {
    let lines = &job.lines;
    let rows = &one.rows;
    let text = &one.text;
    match one.kind {
        // What rests on the lack of something names no line.
        FindingKind::DayWithoutReading => {
            // The last reading before it and the first after it.
            for row in rows {
                let time = lines.reading(row).time;
                assert!(time < one.from || Some(time) >= one.to, "{text}");
            }
            assert!((1..=2).contains(&rows.len()), "{text}");
            lacking(job, one);
        }
        FindingKind::LoggerUnplaced | FindingKind::AirStaysWetter => {
            assert!(rows.is_empty(), "{text}");
            lacking(job, one);
        }
        FindingKind::LoggerGap => {
            for pair in rows.chunks(2) {
                let [before, after] = pair else { panic!("{text}: rows come in pairs") };
                let (from, to) = (lines.stamp(before), lines.stamp(after));
                assert!(one.from <= from && from < to && Some(to) <= one.to, "{text}");
                // Nothing of the logger lies between: rows of other loggers of the file may.
                assert!(to - from >= TimeDelta::hours(1), "{text}");
            }
            if let [before, after] = &rows[..] {
                assert_eq!((lines.stamp(before), Some(lines.stamp(after))), (one.from, one.to), "{text}");
            }
        }
        FindingKind::LoggerSilent | FindingKind::ReadingsStopEarly => {
            let [last] = &rows[..] else { panic!("{text}: one row") };
            assert_eq!(lines.stamp(last), one.from, "{text}");
        }
        FindingKind::LoggerFrozen => {
            let [first, last] = ends(job, one);
            // Two columns repeat: temperature and humidity of this logger, which the sentence names in degC and %.
            let (a, b) = (lines.cells(first), lines.cells(last));
            let number = |cell: &String| cell.replace(',', ".").parse::<f64>().ok();
            let said = numbers(text);
            let says = |value: f64| said.iter().any(|said| (said - value).abs() < 0.006);
            let pairs = || a.iter().zip(&b).skip(1).filter(|(a, b)| a == b).filter_map(|(a, _)| number(a));
            assert!(pairs().any(|temp| says(temp) || says((temp - 32.0) / 1.8)), "{text}: {a:?}");
            assert!(pairs().any(says), "{text}: {a:?}");
        }
        FindingKind::LoggerDead => {
            for row in ends(job, one) {
                let cells = lines.cells(row);
                let dead = |cell: &String| matches!(cell.replace(',', ".").parse::<f64>(), Ok(0.0 | 100.0) | Err(_));
                assert!(cells.iter().skip(1).any(dead), "{text}: {cells:?}");
            }
        }
        FindingKind::LoggerBias
        | FindingKind::LoggerMisplaced
        | FindingKind::ClockReset
        | FindingKind::OutsideWorkingRange
        | FindingKind::SurfaceNearDewPoint
        | FindingKind::SurfaceAboveCritical => {
            ends(job, one);
        }
        FindingKind::LoggersSwapped | FindingKind::GoalBelowEquilibrium | FindingKind::ClockOffset => {
            assert!(rows.len() >= 2, "{text}");
            within(job, one, TimeDelta::zero());
        }
        // A stop lies between the samples around it.
        FindingKind::UnitStopped => within(job, one, TimeDelta::minutes(40)),
        FindingKind::ChamberOpened => {
            let mut stamps: Vec<DateTime<Utc>> = rows.iter().map(|row| lines.stamp(row)).collect();
            stamps.sort_unstable();
            assert_eq!((stamps.first().copied(), stamps.last().copied()), (Some(one.from), one.to), "{text}");
        }
        FindingKind::SamplesRefused => {
            within(job, one, TimeDelta::zero());
            for row in rows {
                let input = job.ledger.inputs.iter().find(|input| input.path == row.file).unwrap();
                match input.refused.iter().find(|refusal| refusal.row == row.row) {
                    Some(refusal) => assert!(lines.line(row).contains(&refusal.found), "{text}: `{}`", refusal.found),
                    // Read, and not used: humidity that no air has.
                    None => {
                        let cells = lines.cells(row);
                        let number = |cell: &String| cell.replace(',', ".").parse::<f64>().ok();
                        let odd = |value: f64| value <= 0.0 || value > 100.0;
                        assert!(cells.iter().skip(1).filter_map(number).any(odd), "{text}: {cells:?}");
                    }
                }
            }
        }
        FindingKind::RowsContradict => {
            within(job, one, TimeDelta::zero());
            let [kept, dropped, ..] = &rows[..] else { panic!("{text}") };
            assert_ne!(lines.line(kept), lines.line(dropped), "{text}");
            assert_eq!(lines.stamp(kept), lines.stamp(dropped), "{text}");
        }
        FindingKind::Reopened => {
            let read = reading(job, one, &rows[0]);
            let goal = job.goal(&read.point);
            assert!(read.time == one.from && read.number() > goal, "{text}");
            assert!(text.contains(&format!(" {} ", read.words())), "{text}: {read:?}");
        }
        FindingKind::Rewetting => {
            let [low, high] = &rows[..] else { panic!("{text}") };
            let (low, high) = (reading(job, one, low), reading(job, one, high));
            assert_eq!((low.time, Some(high.time)), (one.from, one.to), "{text}");
            assert!(high.value.starts_with('>') || high.number() > low.number(), "{text}");
            assert!([&low, &high].iter().all(|read| text.contains(&format!(" {} ", read.words()))), "{text}");
        }
        FindingKind::MeterChanged => {
            let [before, after] = &rows[..] else { panic!("{text}") };
            let (before, after) = (reading(job, one, before), reading(job, one, after));
            assert!(before.meter != after.meter && after.time == one.from, "{text}");
            assert!(text.contains(&before.meter) && text.contains(&after.meter), "{text}");
        }
        FindingKind::ScaleNotOfGoal => {
            let read: Vec<Reading> = rows.iter().map(|row| reading(job, one, row)).collect();
            assert_eq!(read[0].time, one.from, "{text}");
            assert!(read.iter().all(|read| text.contains(&read.scale)), "{text}");
        }
        FindingKind::ReadingImplausible => {
            let read = reading(job, one, &rows[0]);
            assert_eq!(read.time, one.from, "{text}");
            assert!(rows.iter().all(|row| text.contains(&reading(job, one, row).words())), "{text}");
        }
        FindingKind::OverDried => {
            let read: Vec<Reading> = rows.iter().map(|row| reading(job, one, row)).collect();
            assert_eq!(read[0].time, one.from, "{text}");
            let lowest = read.iter().min_by(|a, b| a.number().total_cmp(&b.number())).unwrap();
            assert!(text.contains(&format!(" {:.1} ", lowest.number()).replace(".0 ", " ")), "{text}: {lowest:?}");
        }
        FindingKind::Stall => {
            let (first, last) = (reading(job, one, &rows[0]), reading(job, one, &rows[rows.len() - 1]));
            assert_eq!((first.time, Some(last.time)), (one.from, one.to), "{text}");
            assert!(text.contains(&format!(" {} ", last.words())), "{text}: {last:?}");
        }
        FindingKind::PointEnded => {
            assert_eq!(lines.key(&rows[0], "id").as_deref(), Some(one.subject.id()), "{text}");
            let reason = lines.key(&rows[0], "ended_reason").unwrap();
            assert!(text.contains(&reason), "{text}");
        }
        FindingKind::EquipmentAfterGoals => {
            for row in rows {
                let read = lines.reading(row);
                let most = job.goal(&read.point) + job.accuracy(&read) + 1e-9;
                assert!(Some(read.time) <= one.to && read.number() <= most, "{text}: {read:?}");
            }
            assert!(!rows.is_empty(), "{text}");
        }
        FindingKind::BilledDiffers => {
            let billed: f64 = rows.iter().map(|row| of_unit(job, one, row, "billed_days")).sum();
            assert!(numbers(text).contains(&billed), "{text}: {billed}");
        }
        FindingKind::HourMeterDiffers => {
            let [before, after] = &rows[..] else { panic!("{text}") };
            let advanced = of_unit(job, one, after, "hours") - of_unit(job, one, before, "hours");
            assert!(numbers(text).iter().any(|said| (said - advanced).abs() < 0.06), "{text}: {advanced}");
        }
        FindingKind::HourMeterBackwards => {
            let hours: Vec<f64> = rows.iter().map(|row| of_unit(job, one, row, "hours")).collect();
            assert!(hours.iter().all(|hours| numbers(text).contains(hours)), "{text}: {hours:?}");
        }
        FindingKind::CondensateOutsideStay => assert!(of_unit(job, one, &rows[0], "amount").is_nan(), "{text}"),
        FindingKind::PauseContradicted => {
            let reason = lines.key(&rows[0], "reason").unwrap();
            assert!(text.contains(&reason), "{text}");
        }
        FindingKind::AirMoversInCategory3 => {
            assert_eq!(lines.key(&rows[0], "unit").as_deref(), Some(one.subject.id()), "{text}");
        }
        FindingKind::SurfaceAtDewPoint => match &one.subject {
            Subject::Point(_) => {
                let read = reading(job, one, &rows[0]);
                assert_eq!(read.time, one.from, "{text}");
                let surface: f64 = read.surface_temp_f.parse().unwrap();
                assert!(numbers(text).contains(&surface), "{text}: {surface}");
            }
            _ => {
                ends(job, one);
            }
        },
        other => panic!("{other:?}: nobody said here how its lines are walked back"),
    }
    // Whatever it is about, the lines are of it.
    for row in rows.iter().filter(|row| row.file != "job.toml" && row.file != "readings.csv" && row.file != "air.csv") {
        assert!(of_subject(&job.evidence, &one.subject, row), "{text}\n{} line {}", row.file, row.row);
    }
}

/// Whether the file of a row is one that the subject was seen by.
fn of_subject(evidence: &Evidence, subject: &Subject, row: &SourceRow) -> bool {
    let about = |facts: &&LoggerFacts| match subject {
        Subject::Logger(id) => facts.logger == *id,
        // Its own loggers; without an inlet logger those of the room it stands in.
        Subject::Unit(id) => facts.unit.as_deref() == Some(id) || facts.chamber.is_some(),
        Subject::Chamber(id) => facts.chamber.as_deref() == Some(id) || facts.unit.is_some(),
        Subject::Point(_) | Subject::Job => true,
    };
    let swapped = |facts: &&LoggerFacts| facts.files.contains(&row.file);
    evidence.loggers.iter().filter(about).any(|facts| swapped(&facts))
        // Two loggers that took over each other's place are named both.
        || evidence.findings.iter().any(|one| one.kind == FindingKind::LoggersSwapped && one.rows.contains(row))
}

/// What is not on the record is not in the files either.
fn lacking(job: &Job, one: &Finding) {
    match (&one.kind, &one.subject) {
        (FindingKind::LoggerUnplaced, Subject::Logger(id)) => {
            assert!(!job.lines.all("job.toml").iter().any(|line| line.contains(id)), "{}", one.text);
        }
        (FindingKind::DayWithoutReading, Subject::Chamber(id)) => {
            let in_chamber = |read: &Reading| {
                let point = job.evidence.points.iter().find(|point| point.id == read.point);
                point.is_some_and(|point| !point.reference && point.lies_in(id, read.time))
            };
            let of_time = |read: &Reading| one.from <= read.time && Some(read.time) < one.to;
            let read = job.lines.readings().into_iter().find(|read| of_time(read) && in_chamber(read));
            assert_eq!(read, None, "{}", one.text);
        }
        _ => {}
    }
}

/// First and last row, which stand at the finding's ends.
fn ends<'a>(job: &Job, one: &'a Finding) -> [&'a SourceRow; 2] {
    let [first, last] = &one.rows[..] else { panic!("{}: two rows", one.text) };
    assert_eq!((job.lines.stamp(first), Some(job.lines.stamp(last))), (one.from, one.to), "{}", one.text);
    [first, last]
}

/// Every row lies within the finding's time, or that near to it.
fn within(job: &Job, one: &Finding, near: TimeDelta) {
    assert!(!one.rows.is_empty(), "{}", one.text);
    for row in &one.rows {
        let stamp = job.lines.stamp(row);
        let inside = one.from - near <= stamp && stamp <= one.to.unwrap_or(one.from) + near;
        assert!(inside, "{}\n{} line {}: {stamp}", one.text, row.file, row.row);
    }
}

/// A reading of the finding's point.
fn reading(job: &Job, one: &Finding, row: &SourceRow) -> Reading {
    let reading = job.lines.reading(row);
    assert_eq!(Subject::Point(reading.point.clone()), one.subject, "{}", one.text);
    reading
}

/// A number of a table of job.toml that is about the finding's unit; not a number where it has a unit of measure.
fn of_unit(job: &Job, one: &Finding, row: &SourceRow, key: &str) -> f64 {
    assert_eq!(job.lines.key(row, "unit").as_deref(), Some(one.subject.id()), "{}", one.text);
    let value = job.lines.key(row, key).unwrap_or_else(|| panic!("{}: no `{key}`", one.text));
    value.parse().unwrap_or(f64::NAN)
}

/// Numbers in a text, without their signs.
fn numbers(text: &str) -> Vec<f64> {
    let pieces = text.split(|c: char| !c.is_ascii_digit() && c != '.');
    pieces.filter_map(|piece| piece.trim_end_matches('.').parse().ok()).collect()
}
