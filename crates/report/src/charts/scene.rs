//! What every chart needs: the evidence, the units shown, the time axis, and what belongs to which chamber.

use std::collections::BTreeMap;

use grainfall_analysis::evidence::{
    AirGoalOf, AirTrack, Analysis, ChamberEvidence, Evidence, Finding, FindingKind, PointEvidence, Subject, TrackPlace,
    UnitEvidence,
};

use super::series::{self, Sample};
use super::sheet::Sheet;
use super::stack::{Band, Level, Line};
use super::time_axis::TimeScale;
use super::{Chart, ChartKind, ChartScope};
use crate::error::Error;
use crate::number_format::{shown, trimmed};
use crate::theme::{self, Dash, Pen};
use crate::units_shown::UnitSystem;
use crate::words::{Manner, Words, say};

pub(super) struct Scene<'a> {
    pub(super) analysis: &'a Analysis,
    pub(super) evidence: &'a Evidence,
    pub(super) units: UnitSystem,
    pub(super) words: Words,
    pub(super) time: TimeScale,
    slugs: BTreeMap<&'a str, String>,
}

/// A quantity that tracks carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quantity {
    Gpp,
    AirTemp,
    DewPoint,
    SurfaceTemp,
    Humidity,
}

impl<'a> Scene<'a> {
    /// `None` if the record has no length: there is nothing to draw.
    pub(super) fn new(analysis: &'a Analysis, manner: impl Into<Manner>) -> Result<Option<Self>, Error> {
        let Manner { units, words } = manner.into();
        let evidence = &analysis.evidence;
        let Some(time) = TimeScale::of_record(evidence, words)? else { return Ok(None) };
        let mut slugs: BTreeMap<&str, String> = BTreeMap::new();
        let mut taken: Vec<String> = Vec::new();
        for chamber in &evidence.chambers {
            let slug = unique(&slug(&chamber.id), &mut taken);
            slugs.insert(&chamber.id, slug);
        }
        Ok(Some(Self { analysis, evidence, units, words, time, slugs }))
    }

    pub(super) fn chamber_index(&self, id: &str) -> Option<usize> {
        self.evidence.chambers.iter().position(|chamber| chamber.id == id)
    }

    /// Part of a file name that stands for a chamber.
    pub(super) fn slug(&self, chamber: &str) -> String {
        self.slugs.get(chamber).cloned().unwrap_or_else(|| slug(chamber))
    }

    pub(super) fn unit(&self, name: &str) -> Option<&'a UnitEvidence> {
        self.evidence.equipment.iter().find(|unit| unit.unit == name)
    }

    /// A unit's number among those with an outlet logger: it has the same colour in all charts of a job.
    pub(super) fn unit_number(&self, name: &str) -> usize {
        let mut units: Vec<&str> = self
            .analysis
            .tracks
            .iter()
            .filter(|track| track.place == TrackPlace::Outlet)
            .filter_map(|track| track.unit.as_deref())
            .collect();
        units.sort_unstable();
        units.dedup();
        units.iter().position(|unit| *unit == name).unwrap_or(0)
    }

    /// Whether a unit stood in a chamber, by its stays, else by its logger.
    pub(super) fn unit_serves(&self, unit: &str, chamber: &str) -> bool {
        match self.unit(unit) {
            Some(unit) => unit.stays.iter().any(|stay| stay.chambers.iter().any(|id| id == chamber)),
            None => self
                .analysis
                .tracks
                .iter()
                .any(|track| track.unit.as_deref() == Some(unit) && track.chamber.as_deref() == Some(chamber)),
        }
    }

    /// Tracks whose air a chamber's charts show: its own, its units', unaffected and outdoor air.
    pub(super) fn tracks_of(&self, chamber: &str) -> Vec<&'a AirTrack> {
        let own = |track: &AirTrack| track.chamber.as_deref() == Some(chamber);
        let of_unit = |track: &AirTrack| track.unit.as_deref().is_some_and(|unit| self.unit_serves(unit, chamber));
        self.analysis
            .tracks
            .iter()
            .filter(|track| match track.place {
                TrackPlace::Unaffected | TrackPlace::Outdoor => track.chamber.is_none() || own(track),
                TrackPlace::Inlet | TrackPlace::Outlet => own(track) || of_unit(track),
                TrackPlace::Affected | TrackPlace::Surface | TrackPlace::Material | TrackPlace::Hvac => own(track),
                TrackPlace::Unplaced => false,
            })
            .collect()
    }

    /// Tracks of which a day's charts show the air: all but surfaces, and the inlet of a unit where the air of its chamber
    /// is logged too, which is the same air.
    pub(super) fn tracks_of_day(&self) -> Vec<&'a AirTrack> {
        let tracks = &self.analysis.tracks;
        let is_logged = |chamber: &str| {
            tracks.iter().any(|t| t.place == TrackPlace::Affected && t.chamber.as_deref() == Some(chamber))
        };
        let twice = |track: &&AirTrack| match (&track.chamber, &track.unit) {
            _ if track.place != TrackPlace::Inlet => false,
            (Some(chamber), _) => is_logged(chamber),
            (None, Some(unit)) => {
                let mut chambers = self.evidence.chambers.iter().filter(|one| self.unit_serves(unit, &one.id));
                chambers.any(|one| is_logged(&one.id))
            }
            (None, None) => false,
        };
        tracks.iter().filter(|track| track.place != TrackPlace::Surface && !twice(track)).collect()
    }

    /// Tracks that no chamber's chart shows.
    pub(super) fn tracks_of_no_chamber(&self) -> Vec<&'a AirTrack> {
        let shown: Vec<usize> = self
            .evidence
            .chambers
            .iter()
            .flat_map(|chamber| self.tracks_of(&chamber.id))
            .map(|track| track.logger)
            .collect();
        self.analysis.tracks.iter().filter(|track| !shown.contains(&track.logger)).collect()
    }

    /// Points that were metered in a chamber.
    pub(super) fn points_of(&self, chamber: &str) -> Vec<&'a PointEvidence> {
        self.evidence.points.iter().filter(|point| point.chamber.as_deref() == Some(chamber)).collect()
    }

    /// Findings that bear on the air of a chamber: on its loggers, its units, on it, on the whole job.
    pub(super) fn air_findings(&self, tracks: &[&AirTrack], chamber: Option<&str>) -> Vec<&'a Finding> {
        self.evidence
            .findings
            .iter()
            .filter(|finding| match &finding.subject {
                Subject::Chamber(id) => chamber == Some(id.as_str()),
                Subject::Unit(unit) => {
                    let of_counts = matches!(finding.kind, FindingKind::BilledDiffers | FindingKind::HourMeterDiffers);
                    !of_counts && chamber.is_some_and(|chamber| self.unit_serves(unit, chamber))
                }
                Subject::Logger(id) => tracks
                    .iter()
                    .any(|track| self.evidence.loggers.get(track.logger).is_some_and(|facts| facts.logger == *id)),
                Subject::Job | Subject::Point(_) => false,
            })
            .collect()
    }

    /// Findings about one point, and those about the readings of the chamber that it lies in.
    pub(super) fn point_findings(&self, point: &PointEvidence) -> Vec<&'a Finding> {
        let about = |finding: &&Finding| match &finding.subject {
            Subject::Point(id) => *id == point.id,
            Subject::Chamber(id) => {
                let of_readings =
                    matches!(finding.kind, FindingKind::DayWithoutReading | FindingKind::ReadingsStopEarly);
                of_readings && point.chamber.as_ref() == Some(id)
            }
            Subject::Job | Subject::Unit(_) | Subject::Logger(_) => false,
        };
        self.evidence.findings.iter().filter(about).collect()
    }

    /// Findings about one unit.
    pub(super) fn unit_findings(&self, unit: &str) -> Vec<&'a Finding> {
        let about = |finding: &&Finding| matches!(&finding.subject, Subject::Unit(name) if name == unit);
        self.evidence.findings.iter().filter(about).collect()
    }

    /// Goals on one quantity of a chamber's air as levels.
    ///
    /// # Arguments
    /// * `quantity`: which goals.
    /// * `name`: what the level is called.
    /// * `shown_value`: its limit in the units shown.
    pub(super) fn air_goal_levels(
        words: Words,
        chamber: &ChamberEvidence,
        quantity: AirGoalOf,
        name: &str,
        unit: &str,
        shown_value: impl Fn(f64) -> f64,
    ) -> Vec<Level> {
        let goals = chamber.air_goals.iter().filter(|goal| goal.quantity == quantity);
        goals
            .map(|goal| {
                let value = shown_value(goal.limit);
                let told = format!("{name} {} {} {unit}", goal.side.said(words), trimmed(words, value, 1));
                Level { value, words: told, pen: Pen::solid(theme::TEXT, 1.3).dashed(Dash::DashDot) }
            })
            .collect()
    }

    /// A track's name in the chart of a chamber: the chamber's own name is left out.
    pub(super) fn track_name(&self, track: &AirTrack, chamber: Option<&ChamberEvidence>) -> String {
        match chamber {
            Some(chamber) => {
                let place = track.place.said(self.words);
                let whole = say!(self.words, "placement.in_chamber", place = place, name = chamber.name);
                track.label.replacen(&whole, place, 1)
            }
            None => track.label.clone(),
        }
    }

    /// A track's name where the airs of all chambers stand side by side: a chamber by its id, which has room.
    pub(super) fn short_name(&self, track: &AirTrack) -> String {
        let chamber = track.chamber.as_deref().and_then(|id| self.evidence.chambers.iter().find(|one| one.id == id));
        match chamber.filter(|chamber| !chamber.name.is_empty()) {
            Some(chamber) => track.label.replacen(&format!(", {}", chamber.name), &format!(" {}", chamber.id), 1),
            None => track.label.clone(),
        }
    }

    /// A quantity of a sample as shown.
    pub(super) fn value_of(&self, track: &AirTrack, quantity: Quantity, index: usize) -> Option<f64> {
        let at = |column: &[Option<f64>]| column.get(index).copied().flatten();
        match quantity {
            Quantity::Gpp => at(&track.gpp).map(|v| self.units.humidity_ratio(v)),
            Quantity::AirTemp => at(&track.air_temp_c).map(|v| self.units.temp(v)),
            Quantity::DewPoint => at(&track.dew_point_c).map(|v| self.units.temp(v)),
            Quantity::SurfaceTemp => at(&track.surface_temp_c).map(|v| self.units.temp(v)),
            Quantity::Humidity => at(&track.rh_pct),
        }
    }

    /// A quantity's unit as shown.
    pub(super) fn unit_of(&self, quantity: Quantity) -> &'static str {
        match quantity {
            Quantity::Gpp => self.units.humidity_ratio_unit(),
            Quantity::AirTemp | Quantity::DewPoint | Quantity::SurfaceTemp => self.units.temp_unit(),
            Quantity::Humidity => "%RH",
        }
    }

    /// Decimals that a quantity is shown with.
    pub(super) fn decimals_of(&self, quantity: Quantity) -> usize {
        match (quantity, self.units) {
            (Quantity::Gpp, UnitSystem::Us) | (Quantity::Humidity, _) => 0,
            (Quantity::Gpp, UnitSystem::Si) => 1,
            (Quantity::AirTemp | Quantity::DewPoint | Quantity::SurfaceTemp, UnitSystem::Us) => 0,
            (Quantity::AirTemp | Quantity::DewPoint | Quantity::SurfaceTemp, UnitSystem::Si) => 1,
        }
    }

    /// One quantity of one track as a line over a time axis; `None` without a sample on it.
    pub(super) fn line(
        &self,
        time: &TimeScale,
        track: &AirTrack,
        quantity: Quantity,
        name: String,
        pen: Pen,
    ) -> Option<Line> {
        let stretches =
            series::stretches(time, &track.time, track.interval_s, |index| self.value_of(track, quantity, index));
        let last = stretches.last()?.last()?.1;
        let value = shown(self.words, last, self.decimals_of(quantity));
        Some(Line {
            label: name.clone(),
            name,
            value,
            pen,
            stretches,
            bridges: Vec::new(),
            band: None,
            marks: Vec::new(),
        })
    }

    /// The band of expanded uncertainty around a track's grains per pound.
    pub(super) fn gpp_band(&self, time: &TimeScale, track: &AirTrack) -> Band {
        let edge = |sign: f64| {
            series::stretches(time, &track.time, track.interval_s, |index| {
                let (value, u) = (track.gpp.get(index).copied()??, track.u_gpp.get(index).copied()??);
                Some(self.units.humidity_ratio(value + sign * u))
            })
        };
        (edge(-1.0), edge(1.0))
    }

    /// Pens for the tracks of one chart, no two alike. Loggers of unknown place are grey beside others.
    pub(super) fn pens(&self, tracks: &[&AirTrack]) -> Vec<Pen> {
        if tracks.iter().all(|track| track.place == TrackPlace::Unplaced) {
            return (0..tracks.len()).map(theme::pen_of_member).collect();
        }
        let mut drawn: BTreeMap<TrackPlace, usize> = BTreeMap::new();
        let wanted: Vec<Pen> = tracks
            .iter()
            .map(|track| {
                if let (TrackPlace::Outlet, Some(unit)) = (track.place, &track.unit) {
                    return theme::pen_of_unit(self.unit_number(unit));
                }
                let nth = drawn.entry(track.place).or_default();
                let pen = theme::pen_of_place(track.place, *nth);
                *nth += 1;
                let chamber = track.chamber.as_deref().and_then(|id| self.chamber_index(id));
                match (track.place, chamber) {
                    (TrackPlace::Affected, Some(chamber)) => Pen { colour: theme::colour_of_chamber(chamber), ..pen },
                    _ => pen,
                }
            })
            .collect();
        // Where colours run short, chambers keep theirs, then the airs they are compared with, then units.
        let mut order: Vec<usize> = (0..tracks.len()).collect();
        order.sort_by_key(|n| match tracks[*n].place {
            TrackPlace::Affected => 0,
            TrackPlace::Unaffected | TrackPlace::Outdoor => 1,
            TrackPlace::Outlet => 2,
            _ => 3,
        });
        let distinct = theme::distinct(&order.iter().map(|n| wanted[*n]).collect::<Vec<_>>());
        let mut pens = wanted;
        for (n, pen) in order.into_iter().zip(distinct) {
            pens[n] = pen;
        }
        pens
    }

    /// The finished chart.
    pub(super) fn chart(&self, sheet: Sheet, id: String, words: About, scope: ChartScope, kind: ChartKind) -> Chart {
        let (width, height) = sheet.size();
        let readout = sheet.readout().clone();
        let About { title, alt, caption } = words;
        let svg = sheet.finish(&title, &alt);
        Chart { id, title, alt, caption, scope, kind, svg, width, height, readout }
    }
}

/// What is said around a chart.
pub(super) struct About {
    pub(super) title: String,
    pub(super) alt: String,
    pub(super) caption: String,
}

/// How a value went from a first to a last number, in words: `fell from 92 to 41`, `stayed near 45`.
///
/// # Arguments
/// * `still`: a change no larger than this is none.
pub(super) fn course(words: Words, first: f64, last: f64, still: f64, decimals: usize) -> String {
    let (from, to) = (shown(words, first, decimals), shown(words, last, decimals));
    if (last - first).abs() <= still || from == to {
        say!(words, "chart.stayed_near", value = shown(words, f64::midpoint(first, last), decimals))
    } else if last < first {
        say!(words, "chart.fell_from_to", from = from, to = to)
    } else {
        say!(words, "chart.rose_from_to", from = from, to = to)
    }
}

/// Names in a list, the rest counted: `A1, A2, A3 and 4 more`.
pub(super) fn listed(words: Words, names: &[String], most: usize) -> String {
    match names {
        [] => say!(words, "chart.none").to_owned(),
        [one] => one.clone(),
        names if names.len() <= most => {
            let (last, first) = names.split_last().map_or((String::new(), &[][..]), |(l, f)| (l.clone(), f));
            say!(words, "chart.and", first = first.join(", "), last = last)
        }
        names => say!(words, "chart.and_more", first = names[..most].join(", "), more = names.len() - most),
    }
}

/// The sample list of a line, for values that come one by one.
pub(super) fn sorted(mut samples: Vec<Sample>) -> Vec<Sample> {
    samples.sort_by(|a, b| a.0.total_cmp(&b.0));
    samples
}

/// ASCII letters, digits and `-` that stand for an id.
fn slug(id: &str) -> String {
    let mut slug = String::new();
    for c in id.chars() {
        if c.is_ascii_alphanumeric() {
            slug.push(c);
        } else if !slug.ends_with('-') {
            slug.push('-');
        }
    }
    let slug: String = slug.trim_matches('-').chars().take(40).collect();
    if slug.is_empty() { "x".to_owned() } else { slug }
}

/// The slug, numbered if it is taken; letters of either case count as alike, as some file systems take them so.
fn unique(slug: &str, taken: &mut Vec<String>) -> String {
    let candidates = std::iter::once(slug.to_owned()).chain((2_u32..).map(|n| format!("{slug}-{n}")));
    let free = candidates.into_iter().find(|name| !taken.contains(&name.to_lowercase()));
    let free = free.unwrap_or_else(|| slug.to_owned());
    taken.push(free.to_lowercase());
    free
}

#[cfg(test)]
mod tests {
    use super::*;

    fn english() -> Words {
        Words::default()
    }

    #[test]
    fn file_names_are_plain_and_unique() {
        let mut taken = Vec::new();
        let names: Vec<String> =
            ["A", "a", "Küche / hall", "../..", ""].iter().map(|id| unique(&slug(id), &mut taken)).collect();
        assert_eq!(names, ["A", "a-2", "K-che-hall", "x", "x-2"]);
    }

    #[test]
    fn a_course_inside_the_uncertainty_is_none() {
        assert_eq!(course(english(), 92.4, 41.2, 3.0, 0), "fell from 92 to 41");
        assert_eq!(course(english(), 44.0, 46.0, 3.0, 0), "stayed near 45");
        assert_eq!(course(english(), 40.0, 46.0, 3.0, 0), "rose from 40 to 46");
    }

    #[test]
    fn long_lists_are_counted() {
        let names = |n: usize| (0..n).map(|i| format!("A{i}")).collect::<Vec<_>>();
        assert_eq!(listed(english(), &names(0), 3), "none");
        assert_eq!(listed(english(), &names(2), 3), "A0 and A1");
        assert_eq!(listed(english(), &names(5), 3), "A0, A1, A2 and 2 more");
    }
}
