//! The page of all jobs: one HTML file, sorted and narrowed down by the reader's browser without a script.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use grainfall_analysis::needs::{JobLine, NeedKind};
use grainfall_words::DateStyle;
use minijinja::Value;
use serde::Serialize;

use super::{Job, Jobs};
use crate::Error;
use crate::page::{json, section, set, value};
use crate::words::{Words, say};

const TEMPLATE: &str = include_str!("../../assets/jobs.html");
const STYLE: &str = include_str!("../../assets/jobs.css");
const BASE: &str = include_str!("../../assets/page/report.css");

/// What the template is given.
#[derive(Serialize)]
struct Shown<'a> {
    title: String,
    tool: String,
    answer: String,
    as_of: String,
    kinds: Vec<KindShown>,
    rows: Vec<Row<'a>>,
    cautions: &'static [Vec<String>],
}

/// One kind of need, with the number of jobs that have it.
#[derive(Serialize)]
struct KindShown {
    id: String,
    words: &'static str,
    jobs: usize,
}

/// One job.
#[derive(Serialize)]
struct Row<'a> {
    /// Classes that say which needs it has.
    classes: String,
    /// Place in each order.
    by_need: usize,
    by_name: usize,
    by_record: usize,
    by_units: usize,
    title: &'a str,
    path: &'a str,
    report: Option<String>,
    verdict: &'static str,
    needs: Vec<NeedShown<'a>>,
    on_site: String,
    days: String,
    record_to: String,
}

#[derive(Serialize)]
struct NeedShown<'a> {
    words: &'static str,
    text: &'a str,
}

/// The page.
///
/// # Errors
/// [`Error::Page`] when the template engine refuses.
pub fn page(words: Words, jobs: &Jobs) -> Result<String, Error> {
    let shown = json("jobs.html", &shown(words, jobs))?;
    let mut replaced = 0;
    let context = BTreeMap::from([
        ("jobs", value(&shown, &mut replaced)),
        ("replaced", Value::from(words.replaced(replaced))),
        ("words", Value::from(section(words, "jobs"))),
        ("language", Value::from(words.code())),
        ("style", Value::from_safe_string(format!("{BASE}{STYLE}"))),
    ]);
    set("jobs.html", TEMPLATE, context)
}

fn shown(words: Words, jobs: &Jobs) -> Shown<'_> {
    let with = |kind: NeedKind| jobs.jobs.iter().filter(|job| job.needs.iter().any(|need| need.kind == kind)).count();
    let clock = |job: &Job| job.line().map(|line| line.clock);
    let units = |job: &Job| std::cmp::Reverse(job.line().map_or(0, |line| line.on_site.len()));
    let by_name = places(&jobs.jobs, |job| job.path.clone());
    let by_record = places(&jobs.jobs, |job| (clock(job), job.path.clone()));
    let by_units = places(&jobs.jobs, |job| (units(job), job.path.clone()));
    Shown {
        title: say!(words, "jobs_page.jobs_in", folder = jobs.folder),
        tool: format!("{} {}", jobs.tool.name, jobs.tool.version),
        answer: answer(words, jobs),
        as_of: jobs.now.map_or_else(String::new, |now| {
            say!(words, "jobs_page.today_is_the_day_of", now = moment(words, now, Tz::UTC, dates_of(jobs)))
        }),
        kinds: NeedKind::ALL
            .into_iter()
            .map(|kind| KindShown { id: class(kind), words: kind.said(words), jobs: with(kind) })
            .filter(|kind| kind.jobs > 0)
            .collect(),
        rows: jobs
            .jobs
            .iter()
            .enumerate()
            .map(|(at, job)| row(words, job, [at, by_name[at], by_record[at], by_units[at]]))
            .collect(),
        cautions: words.rows("cautions"),
    }
}

/// How many jobs there are and how many need a person, in a sentence.
#[must_use]
pub fn answer(words: Words, jobs: &Jobs) -> String {
    let failed = match jobs.failed() {
        0 => String::new(),
        failed => say!(words, "jobs_page.could_not_be_read", failed = failed),
    };
    let needing = match jobs.needing() {
        0 => say!(words, "jobs_page.none_needs_a_person").to_owned(),
        needing => say!(words, "jobs_page.need_a_person", count = needing),
    };
    say!(words, "jobs_page.answer", count = jobs.jobs.len(), failed = failed, needing = needing)
}

fn row(words: Words, job: &Job, [by_need, by_name, by_record, by_units]: [usize; 4]) -> Row<'_> {
    let line = job.line();
    let mut kinds: Vec<NeedKind> = job.needs.iter().map(|need| need.kind).collect();
    kinds.dedup();
    Row {
        classes: kinds.into_iter().map(class).collect::<Vec<_>>().join(" "),
        by_need,
        by_name,
        by_record,
        by_units,
        title: line.map_or(job.path.as_str(), |line| line.title.as_str()),
        path: &job.path,
        report: job.has_report.then(|| match job.path.as_str() {
            "." => "report.html".to_owned(),
            _ => format!("../{}/report/report.html", job.href),
        }),
        verdict: line.map_or(say!(words, "jobs_page.not_read"), |line| line.verdict.said(words)),
        needs: job.needs.iter().map(|need| NeedShown { words: need.kind.said(words), text: &need.text }).collect(),
        on_site: line.map_or_else(String::new, |line| on_site(words, line)),
        days: line.map_or_else(String::new, |line| {
            let days = line.days;
            say!(
                words,
                "jobs_page.days",
                needed = days.needed,
                not_needed = days.not_needed,
                not_shown = days.not_shown
            )
        }),
        record_to: line.map_or_else(String::new, |line| {
            moment(words, line.clock, line.time_zone.parse().unwrap_or(Tz::UTC), line.dates)
        }),
    }
}

fn on_site(words: Words, line: &JobLine) -> String {
    let units: Vec<&str> = line.on_site.iter().map(|one| one.unit.as_str()).collect();
    if units.is_empty() { say!(words, "jobs_page.none").to_owned() } else { units.join(", ") }
}

fn moment(words: Words, time: DateTime<Utc>, tz: Tz, dates: DateStyle) -> String {
    let local = time.with_timezone(&tz);
    format!("{} {}", dates.moment(words, local), local.format("%Z"))
}

/// How dates are written: as in the jobs, which were all asked for at once.
fn dates_of(jobs: &Jobs) -> DateStyle {
    jobs.jobs.iter().find_map(|job| job.line()).map_or_else(DateStyle::default, |line| line.dates)
}

/// The name of a need in the page's markup.
fn class(kind: NeedKind) -> String {
    kind.words().replace(',', "").replace(' ', "-")
}

/// For every job, its place in an order.
fn places<K: Ord>(jobs: &[Job], key: impl Fn(&Job) -> K) -> Vec<usize> {
    let mut order: Vec<usize> = (0..jobs.len()).collect();
    order.sort_by_cached_key(|at| key(&jobs[*at]));
    let mut places = vec![0; jobs.len()];
    for (place, at) in order.into_iter().enumerate() {
        places[at] = place;
    }
    places
}
