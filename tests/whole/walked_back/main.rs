//! Every number of a verdict, release or finding, walked back to the line of the file it was taken from: the lines are read
//! here as plain text (`lines`). Of the sample job, and of simulated houses in which more went wrong.

#![allow(clippy::print_stdout, reason = "what was walked belongs into the output of the test")]
#![allow(clippy::unwrap_used, reason = "a failed unwrap is the failure of the test")]

mod findings;
mod lines;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::LazyLock;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{
    DayVerdict, EquipmentDay, Evidence, FindingKind, GoalVerdict, ReadingKind, ReleaseStatement, SourceRow,
    UnitEvidence,
};
use grainfall_record::Ledger;
use grainfall_simulate::scenario::Scenario;
use grainfall_simulate::{Made, export, scenarios};
use grainfall_tests::{judge, root};

use lines::Lines;

/// A job with its files as plain text.
pub struct Job {
    name: String,
    evidence: Evidence,
    ledger: Ledger,
    lines: Lines,
    /// Where its files lie, for as long as they are read.
    _folder: Option<tempfile::TempDir>,
}

impl Job {
    fn of(name: &str, folder: &Path, held: Option<tempfile::TempDir>) -> Self {
        let judged = judge(folder, None);
        let lines = Lines::of(folder, judged.job.zone.tz);
        Self {
            name: name.to_owned(),
            evidence: judged.analysis.evidence,
            ledger: judged.reading.ledger,
            lines,
            _folder: held,
        }
    }

    fn simulated(scenario: Scenario) -> Self {
        let made = Made::from_scenario(scenario).unwrap();
        let folder = tempfile::tempdir().unwrap();
        export::write_job(made.simulation.scenario(), &made.record, folder.path()).unwrap();
        let path = folder.path().to_owned();
        Self::of(&made.simulation.scenario().name, &path, Some(folder))
    }

    /// The goal of a point, in its scale's unit.
    ///
    /// # Panics
    /// Where the job has no such point, or it has no goal.
    pub fn goal(&self, point: &str) -> f64 {
        self.evidence.points.iter().find(|one| one.id == point).unwrap().goal.as_ref().unwrap().value
    }

    /// How far a reading may be off by what is stated of its meter; 0 where nothing is.
    fn accuracy(&self, read: &lines::Reading) -> f64 {
        let point = self.evidence.points.iter().find(|one| one.id == read.point).unwrap();
        let same = point.readings.iter().filter(|one| one.time == read.time);
        same.map(|one| one.stated_accuracy()).fold(0.0, f64::max)
    }
}

fn sample() -> Job {
    Job::of("larch-street", &root().join("sample-data/larch-street"), None)
}

/// The sample; houses with what it has not: openings, rewettings, dead and stuck loggers, days that nobody came; and cases of
/// days that the record does not show.
fn jobs() -> &'static [Job] {
    static JOBS: LazyLock<Vec<Job>> = LazyLock::new(all_jobs);
    &JOBS
}

fn all_jobs() -> Vec<Job> {
    let scenarios = [
        scenarios::everything_at_once(1),
        scenarios::faulty_loggers(1),
        scenarios::missing_days(1),
        scenarios::left_too_long(1),
        scenarios::rewetting(2),
        scenarios::biased_and_swapped(1),
        scenarios::winter_cabin(1),
        scenarios::unreachable_goal(1),
    ];
    let simulated = scenarios.map(|scenario| Job::simulated(scenario.unwrap()));
    let cases = ["air-gets-wetter", "unread-point", "no-access", "readings-days-apart"];
    let cases = cases.map(|name| Job::of(name, &root().join("tests/cases").join(name), None));
    std::iter::once(sample()).chain(simulated).chain(cases).collect()
}

#[test]
fn every_reading_and_every_meeting_reading_stands_on_its_line() {
    let (mut walked, mut met) = (0, 0);
    for job in jobs() {
        for point in &job.evidence.points {
            for one in point.readings.iter().filter(|one| one.row.file == "readings.csv") {
                let read = job.lines.reading(&one.row);
                assert_eq!((read.time, &read.point), (one.time, &point.id));
                match one.kind {
                    ReadingKind::Measured { value } => assert!((read.number() - value).abs() < 1e-12),
                    ReadingKind::Above { value } => assert_eq!(read.value, format!(">{value}")),
                    ReadingKind::OverRange | ReadingKind::NoReading { .. } => {
                        assert!(read.value.parse::<f64>().is_err());
                    }
                }
                walked += 1;
            }
            // A goal that is met names the line that met it, and every reading since that decides met it too, or lies
            // above by no more than the meter may err.
            assert_eq!(point.met_row.is_some(), point.met_at.is_some(), "{} {}", job.name, point.id);
            let (Some(row), Some(met_at)) = (&point.met_row, point.met_at) else { continue };
            let read = job.lines.reading(row);
            assert_eq!((read.time, &read.point), (met_at, &point.id));
            assert!(read.number() <= job.goal(&point.id) + 1e-9, "{} {}: {read:?}", job.name, point.id);
            met += 1;
        }
        for chamber in job.evidence.chambers.iter().filter(|chamber| chamber.verdict == GoalVerdict::Met) {
            let own = job.evidence.points.iter().filter(|point| !point.reference && point.ended.is_none());
            let own = own.filter(|point| point.chamber.as_deref() == Some(&chamber.id));
            let last = own.map(|point| job.lines.reading(point.met_row.as_ref().unwrap()).time).max();
            let ended = job.evidence.points.iter().filter(|point| chamber.ended_points.contains(&point.id));
            let last = last.max(ended.filter_map(|point| point.ended.as_ref().map(|ended| ended.at)).max());
            assert_eq!(chamber.met_at, last, "{} {}", job.name, chamber.id);
        }
    }
    println!("{walked} readings, {met} met goals");
    assert!(walked > 400 && met > 40, "{walked} readings, {met} goals");
}

/// `needed` by a point names that point's reading, above its goal; `not needed` names for each point a reading that met it
/// before the period; `not shown` names a point that nobody read near it, or the air that leaves it open to doubt.
#[test]
fn every_equipment_day_rests_on_lines_that_bear_it_out() {
    let mut walked = BTreeMap::<DayVerdict, usize>::new();
    let (mut pulled, mut doubted) = (0, 0);
    for job in jobs() {
        for unit in &job.evidence.equipment {
            let days = || unit.stays.iter().flat_map(|stay| &stay.days);
            for day in days() {
                of_day(job, unit, day);
                *walked.entry(day.verdict).or_default() += 1;
                pulled += usize::from(day.by_pull_window);
                doubted += usize::from(day.doubted_by_air);
            }
            assert_eq!(u32::try_from(days().count()).unwrap(), unit.totals.recorded_days, "{}", unit.unit);
        }
    }
    println!("{walked:?}, of which {pulled} by the pull window and {doubted} in doubt by the air");
    assert!(walked[&DayVerdict::Needed] > 300 && walked[&DayVerdict::NotNeeded] > 60, "{walked:?}");
    assert!(walked[&DayVerdict::NotShown] >= 8 && walked[&DayVerdict::NotJudged] > 0, "{walked:?}");
    assert!(pulled > 0 && doubted > 0, "{pulled} {doubted}");
}

fn of_day(job: &Job, unit: &UnitEvidence, day: &EquipmentDay) {
    let what = format!("{} {} day {}: {}", job.name, unit.unit, day.number, day.why);
    let (by_hand, logged): (Vec<&SourceRow>, Vec<&SourceRow>) =
        day.rows.iter().partition(|row| row.file == "readings.csv");
    let read: Vec<_> = by_hand.into_iter().map(|row| job.lines.reading(row)).collect();
    let meets = |one: &lines::Reading| one.number() <= job.goal(&one.point) + 1e-9;
    // What closed each point, and what was read since, which may lie above the goal by the meter's accuracy.
    let closed = || {
        let stands = |one: &lines::Reading| one.number() <= job.goal(&one.point) + job.accuracy(one) + 1e-9;
        let first = |one: &&lines::Reading| !read.iter().any(|other| other.point == one.point && other.time < one.time);
        read.iter().filter(first).all(meets) && read.iter().all(stands)
    };
    match day.verdict {
        DayVerdict::Needed if !day.by_pull_window => {
            let mut ids: Vec<&str> = read.iter().map(|one| one.point.as_str()).collect();
            ids.sort_unstable();
            assert_eq!(ids, day.load_points.iter().map(String::as_str).collect::<Vec<_>>(), "{what}");
            assert!(!read.is_empty() && read.iter().all(|one| one.number() > job.goal(&one.point)), "{what}");
            let quoted = |one: &lines::Reading| day.why.contains(&format!("{} read {} ", one.point, one.words()));
            assert!(read.iter().any(quoted), "{what}");
            assert!(read.iter().any(|one| Some(one.time) == day.read_at), "{what}");
        }
        DayVerdict::NotNeeded => {
            assert!(!read.is_empty() && closed(), "{what}");
            // Every point of which a later reading tells was closed before the day; the last of these is named.
            let before: Vec<_> = read.iter().filter(|one| one.time <= day.from && meets(one)).collect();
            assert!(read.iter().all(|one| before.iter().any(|closing| closing.point == one.point)), "{what}");
            let met = |point: &str| before.iter().filter(|one| one.point == point).map(|one| one.time).min();
            let last = before.iter().max_by_key(|one| met(&one.point)).unwrap();
            assert!(day.why.contains(&format!("{} met on", last.point)), "{what}");
            assert!(read.iter().any(|one| Some(one.time) == day.read_at), "{what}");
        }
        DayVerdict::NotShown if day.doubted_by_air => {
            // The closing readings, and the sample of air that the doubt comes from.
            assert!(!read.is_empty() && closed() && logged.len() == 1, "{what}");
            let at = job.lines.stamp(logged[0]);
            assert!(read.iter().all(|one| one.time < at) && at < day.to, "{what}");
        }
        DayVerdict::NotShown => {
            assert!(closed(), "{what}");
            // Points it names were truly not read within a day and a half.
            let reach = TimeDelta::hours(36);
            let named = job.evidence.points.iter().filter(|point| {
                let says = |rest: &str| day.why.contains(&format!("{} {rest}", point.id));
                says("was last read on") || says("has no reading")
            });
            let named: Vec<&str> = named.map(|point| point.id.as_str()).collect();
            assert!(!named.is_empty(), "{what}");
            let near = |time: DateTime<Utc>| day.from - reach <= time && time <= day.to + reach;
            for one in job.lines.readings().iter().filter(|one| named.contains(&one.point.as_str())) {
                assert!(!near(one.time) || one.value.is_empty(), "{what}: {one:?}");
            }
        }
        // By the pull window: the rows of the equipment-day before, whose verdict it takes.
        DayVerdict::Needed => {
            let before = unit.stays.iter().flat_map(|stay| &stay.days).find(|one| one.to == day.from).unwrap();
            assert!(before.verdict == DayVerdict::Needed && !before.by_pull_window, "{what}");
            assert_eq!((&day.rows, day.read_at), (&before.rows, None), "{what}");
            assert!(day.why.contains(&before.why), "{what}");
        }
        DayVerdict::NotJudged => {
            assert!(day.rows.is_empty(), "{what}");
            let stay = unit.stays.first().unwrap();
            assert_eq!(job.lines.key(&stay.rows[0], "unit").as_deref(), Some(unit.unit.as_str()), "{what}");
        }
    }
}

/// Every line that a sentence of a release names is among its rows, every row is named by a sentence, and the sentence says
/// what stands there.
#[test]
fn every_sentence_of_a_release_says_what_its_line_says() {
    let (mut released, mut open) = (0, 0);
    for job in jobs() {
        for release in &job.evidence.releases {
            of_release(job, release);
            released += usize::from(release.from.is_some());
            open += usize::from(release.from.is_none());
        }
    }
    println!("{released} chambers released, {open} not");
    assert!(released >= 5 && open >= 2, "{released} {open}");
}

fn of_release(job: &Job, release: &ReleaseStatement) {
    let mut named: Vec<SourceRow> = Vec::new();
    let mut last: Option<DateTime<Utc>> = None;
    for sentence in release.sentences.iter().chain(&release.rests_on) {
        for row in rows_in(sentence) {
            let read = job.lines.reading(&row);
            assert!(sentence.contains(&read.point), "{sentence}: {read:?}");
            // The first sentence names the last point to be met and when; the others the readings.
            if sentence.starts_with(&format!("{} (", read.point)) || sentence.starts_with("Open: ") {
                assert!(sentence.contains(&format!(" {} ", read.words())), "{sentence}: {read:?}");
                assert!(sentence.contains(&moment(job, read.time)), "{sentence}: {read:?}");
            }
            last = last.max(Some(read.time));
            named.push(row);
        }
    }
    named.sort();
    named.dedup();
    assert_eq!(named, release.rows, "{}: {:?}", job.name, release.sentences);
    if let Some(from) = release.from {
        let ended = job
            .evidence
            .points
            .iter()
            .filter(|point| point.chambers.iter().any(|span| release.chambers.contains(&span.chamber)));
        let ended = ended.filter_map(|point| point.ended.as_ref().map(|ended| ended.at)).max();
        assert_eq!(Some(from), last.max(ended), "{}: {:?}", job.name, release.sentences);
    }
}

/// Lines named as `(FILE line N)`.
fn rows_in(sentence: &str) -> Vec<SourceRow> {
    sentence
        .split('(')
        .filter_map(|piece| {
            let (inner, _) = piece.split_once(')')?;
            let (file, row) = inner.rsplit_once(" line ")?;
            Some(SourceRow { file: file.to_owned(), row: row.parse().ok()? })
        })
        .collect()
}

/// A moment as a sentence has it: `12 Oct 2025 09:12`.
fn moment(job: &Job, time: DateTime<Utc>) -> String {
    time.with_timezone(&job.lines.zone()).format("%-d %b %Y %H:%M").to_string()
}

/// The lines a finding names are about what it is about and of its time, and have its numbers.
#[test]
fn every_finding_is_found_again_in_the_lines_it_names() {
    let mut walked = BTreeMap::<FindingKind, usize>::new();
    for job in jobs() {
        for one in &job.evidence.findings {
            findings::walk(job, one);
            *walked.entry(one.kind).or_default() += 1;
        }
    }
    for (kind, count) in &walked {
        println!("{count:>4} {}", kind.words());
    }
    assert!(walked.len() >= 18, "{} kinds", walked.len());
}

/// Findings of the sample job alone, whatever kind they are: none is left out.
#[test]
fn every_finding_of_the_sample_is_walked_back() {
    let job = sample();
    assert!(job.evidence.findings.len() >= 4);
    for one in &job.evidence.findings {
        println!("{}: {}", one.kind.words(), one.text);
        findings::walk(&job, one);
    }
}

/// The least and greatest temperature of a day stand between the lines that the day names.
#[test]
fn daily_extremes_stand_on_lines_of_that_day() {
    let job = sample();
    let mut walked = 0;
    for day in job.evidence.daily_air.iter().filter(|day| day.label == "outdoor" || day.label == "unaffected") {
        let (Some((first, last)), Some(temp)) = (&day.rows, day.air_temp_c) else { continue };
        let celsius = |row: u64| {
            let cells = job.lines.cells(&SourceRow { file: first.file.clone(), row });
            cells.get(1)?.parse::<f64>().ok().map(|fahrenheit| (fahrenheit - 32.0) / 1.8)
        };
        let of_day: Vec<f64> = (first.row..=last.row).filter_map(celsius).collect();
        // The samples on either side stand for the first and last minutes of the day.
        let sides: Vec<f64> = [first.row - 1, last.row + 1].into_iter().filter_map(celsius).collect();
        let stands = |value: f64| of_day.iter().chain(&sides).any(|one| (one - value).abs() < 1e-9);
        assert!(stands(temp.min) && stands(temp.max), "{day:?}");
        assert!(of_day.iter().all(|one| (temp.min - 1e-9..=temp.max + 1e-9).contains(one)), "{day:?}");
        walked += 1;
    }
    assert!(walked >= 14, "{walked}");
}
