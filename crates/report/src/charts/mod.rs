//! Charts of a job: each is one SVG that can be read without colour and without its caption.
//!
//! Reading order: `air`, `temperature_humidity`, `readings`, `drive`, `equipment`, `progress`, `day` and
//! `psychrometric` are one file a chart; `forecast` is the range after the last reading; `scene` knows what belongs to a
//! chamber; `stack` lays plots over one time axis; `panel` is one plot; `finding_marks` numbers the findings; `series` cuts lines at gaps and thins them;
//! `labels` keeps names apart; `sheet` turns it all into one document; [`readout`] is what a chart answers to a pointer.
//! A new chart is a new file and one line in `DRAWN`.
//!
//! Left out: pages and captions around the charts, and turning them into images ([`crate::raster`]).

mod air;
mod day;
mod drive;
mod equipment;
mod finding_marks;
mod forecast;
mod labels;
mod panel;
mod progress;
mod psychrometric;
mod readings;
pub mod readout;
mod scene;
mod series;
mod sheet;
mod stack;
mod temperature_humidity;
mod time_axis;

#[cfg(test)]
mod checks;

use chrono::NaiveDate;
use grainfall_analysis::evidence::Analysis;

use crate::error::Error;
use crate::words::Manner;
use readout::Readout;
use scene::Scene;

/// What a chart is about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChartScope {
    /// The whole job.
    Job,
    /// One chamber, by id.
    Chamber(String),
    /// One civil day of the job's zone.
    Day(NaiveDate),
}

/// What a chart shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChartKind {
    /// Equipment on site with the verdict on each equipment-day.
    Equipment,
    /// Share of initial excess moisture gone.
    Progress,
    /// Water in the air and grain depression.
    Air,
    /// Temperature and relative humidity.
    TemperatureHumidity,
    /// Readings of each point against its goal.
    Readings,
    /// Vapour-pressure drive at the points.
    Drive,
    /// One day: air, units, visits, readings, findings.
    Day,
    /// The airs of one day by dry bulb and water.
    Psychrometric,
}

/// One chart, ready to be shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Name of its file without ending, and prefix of the ids in its SVG: ASCII letters, digits and `-`, unique.
    pub id: String,
    /// Title, as drawn.
    pub title: String,
    /// What it shows, in a sentence or two with the key numbers.
    pub alt: String,
    /// How to read it.
    pub caption: String,
    /// What it is about.
    pub scope: ChartScope,
    /// What it shows.
    pub kind: ChartKind,
    /// The drawing.
    pub svg: String,
    /// Width, px.
    pub width: u32,
    /// Height, px.
    pub height: u32,
    /// What it answers to a pointer.
    pub readout: Readout,
}

/// All charts that have something to show.
///
/// # Arguments
/// * `analysis`: the evidence with its tracks.
/// * `manner`: the units and the language shown.
///
/// # Returns
/// Charts of the job, then of each chamber in the job's order, then of air that belongs to no chamber, then of each
/// day. The same analysis gives the same bytes.
///
/// # Errors
/// [`Error::TimeZone`] if the job's zone is not known, [`Error::Chart`] if the plotting library fails.
pub fn draw_all(analysis: &Analysis, manner: impl Into<Manner>) -> Result<Vec<Chart>, Error> {
    let Some(scene) = Scene::new(analysis, manner)? else { return Ok(Vec::new()) };
    let mut charts = Vec::new();
    for draw in DRAWN {
        charts.extend(draw(&scene)?);
    }
    let chamber = |chart: &Chart| match &chart.scope {
        ChartScope::Chamber(id) => scene.chamber_index(id),
        ChartScope::Job | ChartScope::Day(_) => None,
    };
    charts.sort_by_key(|chart| {
        let place = match (&chart.scope, chart.kind) {
            (ChartScope::Job, ChartKind::Equipment | ChartKind::Progress) => 0,
            (ChartScope::Chamber(_), _) => 1,
            (ChartScope::Job, _) => 2,
            (ChartScope::Day(_), _) => 3,
        };
        let day = if let ChartScope::Day(date) = chart.scope { Some(date) } else { None };
        (place, chamber(chart), day, chart.kind)
    });
    Ok(charts)
}

/// Draws the charts of one kind.
type Draw = fn(&Scene<'_>) -> Result<Vec<Chart>, Error>;

/// Every kind of chart.
const DRAWN: &[Draw] = &[
    equipment::draw,
    progress::draw,
    air::draw,
    temperature_humidity::draw,
    readings::draw,
    drive::draw,
    day::draw,
    psychrometric::draw,
];
