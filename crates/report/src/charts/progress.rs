//! Share of the initial excess moisture that is gone, of each chamber, by day.

use chrono::NaiveDate;
use grainfall_analysis::evidence::ReadingKind;

use super::labels::{Legend, Sample as Shows};
use super::panel::{Ticks, ValueScale};
use super::scene::{About, Scene};
use super::series::{self, Sample};
use super::sheet::Fill;
use super::stack::{Line, Plot, Stack};
use super::{Chart, ChartKind, ChartScope};
use crate::error::Error;
use crate::number_format::share;
use crate::theme::{self, Pen};
use crate::words::say;

/// Chambers in one chart.
const CHAMBERS_A_CHART: usize = 12;

/// One chart of the job, more where it has many chambers.
pub(super) fn draw(scene: &Scene<'_>) -> Result<Vec<Chart>, Error> {
    let mut lines = Vec::new();
    for (nth, chamber) in scene.evidence.chambers.iter().enumerate() {
        let days: Vec<(NaiveDate, Sample)> = chamber
            .progress
            .iter()
            .filter(|(date, share)| share.is_finite() && read_on(scene, &chamber.id, *date))
            .filter_map(|(date, share)| {
                // A day's share is what its end shows.
                let (_, _, to) = scene.time.days.iter().find(|day| day.0 == *date)?;
                Some((*date, (scene.time.seconds((*to).min(scene.time.to)), share * 100.0)))
            })
            .collect();
        let Some(last) = chamber.progress.last() else { continue };
        if days.is_empty() {
            continue;
        }
        let marks = days.iter().map(|day| (day.1, Fill::Solid)).collect();
        let runs = days.chunk_by(|a, b| (b.0 - a.0).num_days() <= 1);
        let stretches: Vec<Vec<Sample>> = runs.map(|run| run.iter().map(|day| day.1).collect()).collect();
        let bridges = series::between(&stretches);
        lines.push(Line {
            name: chamber.name.clone(),
            label: chamber.name.clone(),
            value: share(scene.words, last.1),
            pen: Pen { colour: theme::colour_of_chamber(nth), ..theme::pen_of_member(nth % CHAMBERS_A_CHART) },
            stretches,
            bridges,
            band: None,
            marks,
        });
    }
    let mut charts = Vec::new();
    let mut lines = lines.into_iter().peekable();
    while lines.peek().is_some() {
        let part: Vec<Line> = lines.by_ref().take(CHAMBERS_A_CHART).collect();
        charts.push(chart(scene, part, charts.len() + 1)?);
    }
    Ok(charts)
}

/// Whether a point of the chamber was read on a day: without a reading its share is only carried on.
fn read_on(scene: &Scene<'_>, chamber: &str, date: NaiveDate) -> bool {
    let Some((_, from, to)) = scene.time.days.iter().find(|day| day.0 == date) else { return false };
    scene.points_of(chamber).iter().any(|point| {
        let first = point.readings.partition_point(|reading| reading.time < *from);
        let on_day = point.readings[first..].iter().take_while(|reading| reading.time < *to);
        on_day.into_iter().any(|reading| !matches!(reading.kind, ReadingKind::NoReading { .. }))
    })
}

fn chart(scene: &Scene<'_>, lines: Vec<Line>, number: usize) -> Result<Chart, Error> {
    let mut title = say!(scene.words, "chart_progress.share_of_the_initial_excess_moisture").to_owned();
    let mut id = "progress".to_owned();
    if number > 1 {
        title = format!("{title} ({number})");
        id = format!("{id}-{number}");
    }
    let told: Vec<String> = lines.iter().map(|line| format!("{} {}", line.name, line.value)).collect();
    let alt = say!(
        scene.words,
        "chart_progress.median_over_points_of_the_initial",
        to = scene.time.short_day_of(scene.time.to),
        told = super::scene::listed(scene.words, &told, CHAMBERS_A_CHART)
    );
    let bridged = lines.iter().any(|line| !line.bridges.is_empty());
    let legend = bridged.then(|| {
        (Shows::Line(theme::NOT_MEASURED), say!(scene.words, "chart.days_without_a_reading_not_measured").to_owned())
    });
    let value = ValueScale::holding(lines.iter().flat_map(Line::values).chain([0.0, 100.0]), 100.0, 5);
    let Some(value) = value else {
        return Err(Error::Chart { chart: id, reason: "no share is a number".to_owned() });
    };
    let stack = Stack {
        words: scene.words,
        title: title.clone(),
        time: &scene.time,
        plots: vec![Plot {
            axis_title: say!(scene.words, "chart_progress.median_over_the_chamber_s_points").to_owned(),
            reads: ("%", 0),
            lines,
            levels: vec![],
            value,
            height: 180.0,
            hatched: vec![],
            marks: vec![],
        }],
        strips: vec![],
        findings: vec![],
        legend: Legend::new(legend.into_iter().collect()),
        ticks: Ticks::Days,
    };
    let sheet = stack.draw(&id)?;
    let caption = say!(scene.words, "chart_progress.for_each_point_the_share_of").to_owned();
    Ok(scene.chart(sheet, id, About { title, alt, caption }, ChartScope::Job, ChartKind::Progress))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::sample;
    use crate::units_shown::UnitSystem;

    #[test]
    fn each_chamber_is_named_with_its_last_share() {
        let mut analysis = sample();
        let charts = |analysis: &grainfall_analysis::evidence::Analysis| {
            let scene = Scene::new(analysis, UnitSystem::Us).expect("a zone").expect("a length");
            draw(&scene).expect("drawn")
        };
        let drawn = charts(&analysis);
        assert_eq!(drawn.len(), 1);
        assert!(drawn[0].alt.ends_with("gone by 13 Oct: Chamber A 100 % and Chamber B 68 %."), "{}", drawn[0].alt);
        for chamber in &mut analysis.evidence.chambers {
            chamber.progress.clear();
        }
        assert!(charts(&analysis).is_empty());
    }
}
