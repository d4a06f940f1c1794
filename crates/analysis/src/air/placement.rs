//! Which samples were taken where: loggers matched to the places the job names.

use grainfall_words::{Words, say};
use std::collections::BTreeMap;
use std::ops::Range;

use chrono::{DateTime, Utc};
use grainfall_job::{Job, LoggerPlacement, Place, Span, suggest, suggest_serial};
use grainfall_record::{Ledger, LoggerRead, LoggerSelector, LoggerSeries, TidyFrame};

use super::left_out::{LeftOut, LeftOutReason};
use crate::evidence::{AirTrack, Missing, TrackPlace};
use crate::select::matches;

/// One logger in one place over one stretch of samples.
#[derive(Debug, Clone)]
pub(crate) struct Placed<'a> {
    /// Its samples, of which `range` counts.
    pub(crate) series: &'a LoggerSeries,
    /// How it was read.
    pub(crate) read: Option<&'a LoggerRead>,
    /// What the job says of it.
    pub(crate) placement: Option<&'a LoggerPlacement>,
    /// What it measured.
    pub(crate) place: TrackPlace,
    /// Chamber id.
    pub(crate) chamber: Option<String>,
    /// Unit.
    pub(crate) unit: Option<String>,
    /// What people read; unique.
    pub(crate) label: String,
    /// The span the job states for it.
    pub(crate) span: Span,
    /// Positions of its samples in the series.
    pub(crate) range: Range<usize>,
}

impl<'a> Placed<'a> {
    /// The instants of its samples.
    pub(crate) fn times(&self) -> &'a [DateTime<Utc>] {
        &self.series.time[self.range.clone()]
    }
}

/// All placements, by logger id, then first sample; with what is missing and what is left out.
#[derive(Debug, Clone, Default)]
pub(crate) struct Placements<'a> {
    /// The placements that have samples.
    pub(crate) placed: Vec<Placed<'a>>,
    /// Placements without a logger or samples.
    pub(crate) missing: Vec<Missing>,
    /// Samples outside every stated span or after the clock.
    pub(crate) left_out: Vec<LeftOut>,
}

/// Matches every logger's samples up to the clock with the places the job names.
///
/// A logger that a logged point names and no `[[logger]]` entry does measures that material. A logger
/// that nothing names is unplaced. Samples of a placed logger outside all its spans are left out and counted.
pub(crate) fn place_loggers<'a>(
    job: &'a Job,
    frame: &'a TidyFrame,
    ledger: &'a Ledger,
    clock: DateTime<Utc>,
) -> Placements<'a> {
    let mut out = Placements::default();
    let mut matched = vec![0_usize; job.loggers.len()];
    let mut used = vec![0_usize; job.loggers.len()];
    for series in frame.series() {
        let read = ledger.logger(&series.logger);
        let until_clock = series.time.partition_point(|time| *time <= clock);
        out.left_out.extend(LeftOut::of(series, until_clock..series.len(), LeftOutReason::AfterClock));
        let mut taken: Vec<Range<usize>> = Vec::new();
        let mut named = false;
        for (k, placement) in job.loggers.iter().enumerate() {
            if !matches(ledger, &placement.select, &series.logger) {
                continue;
            }
            named = true;
            matched[k] += 1;
            let range = span_range(&series.time[..until_clock], &placement.span);
            if range.is_empty() {
                continue;
            }
            used[k] += 1;
            taken.push(range.clone());
            out.placed.push(placed_by_job(job, series, read, placement, range));
        }
        if !named && until_clock > 0 {
            let range = 0..until_clock;
            out.placed.push(placed_by_point_or_nobody(job, ledger, series, read, range));
        } else if named {
            for range in complement(&taken, until_clock) {
                out.left_out.extend(LeftOut::of(series, range, LeftOutReason::OutsidePlacement));
            }
        }
    }
    out.placed.sort_by(|a, b| {
        let key = |p: &Placed<'_>| {
            (p.series.logger.clone(), p.times().first().copied(), p.place, p.chamber.clone(), p.unit.clone())
        };
        key(a).cmp(&key(b))
    });
    label_all(job, &mut out.placed);
    out.missing = missing(job, ledger, &matched, &used);
    out
}

/// Positions of the instants within a span; increasing instants make them one run.
fn span_range(times: &[DateTime<Utc>], span: &Span) -> Range<usize> {
    let start = span.from.map_or(0, |from| times.partition_point(|time| *time < from));
    let end = span.to.map_or(times.len(), |to| times.partition_point(|time| *time < to));
    start..end.max(start)
}

/// The parts of `0..length` that no range covers.
fn complement(taken: &[Range<usize>], length: usize) -> Vec<Range<usize>> {
    let mut sorted = taken.to_vec();
    sorted.sort_by_key(|range| (range.start, range.end));
    let mut out = Vec::new();
    let mut at = 0;
    for range in sorted {
        if at < range.start {
            out.push(at..range.start);
        }
        at = at.max(range.end);
    }
    if at < length {
        out.push(at..length);
    }
    out
}

fn placed_by_job<'a>(
    job: &Job,
    series: &'a LoggerSeries,
    read: Option<&'a LoggerRead>,
    placement: &'a LoggerPlacement,
    range: Range<usize>,
) -> Placed<'a> {
    let place = placement.place.map_or(TrackPlace::Unplaced, track_place);
    Placed {
        series,
        read,
        placement: Some(placement),
        place,
        chamber: placement.chamber.clone().or_else(|| only_chamber(job, place)),
        unit: placement.unit.clone(),
        label: String::new(),
        span: placement.span,
        range,
    }
}

/// The affected area without a chamber is the job's only chamber, if it has just one.
fn only_chamber(job: &Job, place: TrackPlace) -> Option<String> {
    match (place, job.chambers.as_slice()) {
        (TrackPlace::Affected, [only]) => Some(only.id.clone()),
        _ => None,
    }
}

fn placed_by_point_or_nobody<'a>(
    job: &Job,
    ledger: &Ledger,
    series: &'a LoggerSeries,
    read: Option<&'a LoggerRead>,
    range: Range<usize>,
) -> Placed<'a> {
    let words = job.zone.words;
    let point =
        job.points.iter().find(|p| p.logger.as_ref().is_some_and(|l| matches(ledger, &l.select, &series.logger)));
    let (place, chamber, label) = match point {
        Some(point) => (
            TrackPlace::Material,
            job.chamber_at(point, series.time[range.start]),
            say!(words, "placement.material", point = point.id),
        ),
        None => (TrackPlace::Unplaced, None, String::new()),
    };
    Placed { series, read, placement: None, place, chamber, unit: None, label, span: Span::default(), range }
}

/// Whether a track measures the air of a chamber: one of its affected loggers, or at one of these places of a unit that
/// serves it alone.
pub(crate) fn in_air_of(job: &Job, track: &AirTrack, chamber: &str, at_units: &[TrackPlace]) -> bool {
    let serves_alone = |unit: &str| {
        let mut stays = job.equipment.iter().filter(|stay| stay.unit == unit).peekable();
        stays.peek().is_some() && stays.all(|stay| stay.chambers == [chamber.to_owned()])
    };
    match track.place {
        TrackPlace::Affected => track.chamber.as_deref() == Some(chamber),
        place if at_units.contains(&place) => track.unit.as_deref().is_some_and(serves_alone),
        _ => false,
    }
}

/// The track's place for the job's word.
pub(crate) fn track_place(place: Place) -> TrackPlace {
    match place {
        Place::Affected => TrackPlace::Affected,
        Place::Unaffected => TrackPlace::Unaffected,
        Place::Outdoor => TrackPlace::Outdoor,
        Place::Inlet => TrackPlace::Inlet,
        Place::Outlet => TrackPlace::Outlet,
        Place::Surface => TrackPlace::Surface,
        Place::Material => TrackPlace::Material,
        Place::Hvac => TrackPlace::Hvac,
    }
}

/// Gives every placement the label people read; equal labels get a number in brackets.
fn label_all(job: &Job, placed: &mut [Placed<'_>]) {
    let mut wanted: BTreeMap<String, usize> = BTreeMap::new();
    for one in placed.iter_mut() {
        if one.label.is_empty() {
            one.label = plain_label(job, one);
        }
        *wanted.entry(one.label.clone()).or_default() += 1;
    }
    let mut given: BTreeMap<String, usize> = BTreeMap::new();
    for one in placed.iter_mut() {
        if wanted.get(&one.label).is_some_and(|count| *count > 1) {
            let plain = one.label.clone();
            let number = given.entry(plain.clone()).or_default();
            *number += 1;
            one.label = format!("{plain} ({number})");
            while wanted.contains_key(&one.label) {
                *number += 1;
                one.label = format!("{plain} ({number})");
            }
        }
    }
}

fn plain_label(job: &Job, one: &Placed<'_>) -> String {
    let words = job.zone.words;
    let chamber = one.chamber.as_deref().map(|id| chamber_name(job, id));
    match (one.place, &one.unit, chamber) {
        (TrackPlace::Unplaced, ..) => say!(words, "placement.unplaced", logger = one.series.logger),
        (TrackPlace::Inlet | TrackPlace::Outlet, Some(unit), _) => {
            say!(words, "placement.at_unit", unit = unit, place = one.place.said(words))
        }
        (_, _, Some(name)) => say!(words, "placement.in_chamber", place = one.place.said(words), name = name),
        (place, _, None) => place.said(words).to_owned(),
    }
}

/// What people call a chamber; its id where the job does not know it.
pub(crate) fn chamber_name(job: &Job, id: &str) -> String {
    job.chambers.iter().find(|chamber| chamber.id == id).map_or_else(|| id.to_owned(), |chamber| chamber.name.clone())
}

/// How the job's own entry names a logger, for messages.
pub(crate) fn selector_text(words: Words, select: &LoggerSelector) -> String {
    match select {
        LoggerSelector::Serial(serial) => say!(words, "placement.serial", serial = serial),
        LoggerSelector::File { file, channel: None } => say!(words, "placement.file", file = file),
        LoggerSelector::File { file, channel: Some(channel) } => {
            say!(words, "placement.file_channel", file = file, channel = channel)
        }
    }
}

fn missing(job: &Job, ledger: &Ledger, matched: &[usize], used: &[usize]) -> Vec<Missing> {
    let words = job.zone.words;
    let mut out = Vec::new();
    for (placement, (matched, used)) in job.loggers.iter().zip(matched.iter().zip(used)) {
        let who = selector_text(words, &placement.select);
        let place = placement.place.map_or("unplaced", Place::word);
        if *matched == 0 {
            out.push(Missing {
                text: say!(words, "placement.no_export_of_the_logger", who = who, place = place),
                remedy: say!(
                    words,
                    "placement.add_its_export_to_the",
                    line = placement.line.to_string(),
                    select = meant(job, ledger, &placement.select)
                ),
            });
        } else if *used == 0 {
            out.push(Missing {
                text: say!(words, "placement.the_logger_with_has_no", who = who, place = place),
                remedy: say!(words, "placement.add_the_export_of_that", line = placement.line.to_string()),
            });
        }
    }
    out
}

/// The logger that an entry was probably meant to name: one that no entry names yet.
fn meant(job: &Job, ledger: &Ledger, select: &LoggerSelector) -> String {
    let words = job.zone.words;
    let unnamed = ledger
        .loggers
        .iter()
        .filter(|logger| !job.loggers.iter().any(|placement| matches(ledger, &placement.select, &logger.id)));
    let nearest = match select {
        LoggerSelector::Serial(serial) => {
            suggest_serial(serial, unnamed.map(|logger| logger.serial.as_deref().unwrap_or(&logger.id)))
        }
        LoggerSelector::File { file, .. } => {
            suggest(file, unnamed.flat_map(|logger| logger.files.iter().map(String::as_str)))
        }
    };
    nearest.map_or_else(String::new, |nearest| say!(words, "placement.did_you_mean", nearest = nearest))
}
