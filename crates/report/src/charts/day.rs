//! One civil day: all airs, grain depression, and marks for visits, readings and findings.

use grainfall_analysis::evidence::{Day, DepressionTrack, Finding, TrackPlace};

use super::air::{air_axis_title, air_lines, band_legend, depression_plot, ratio_reads, run_strips, strip_legend};
use super::labels::Legend;
use super::panel::{Ticks, ValueScale};
use super::scene::{About, Quantity, Scene, listed};
use super::stack::{Line, Plot, Stack, Strip};
use super::time_axis::TimeScale;
use super::{Chart, ChartKind, ChartScope};
use crate::error::Error;
use crate::number_format::shown;
use crate::theme::Mark;
use crate::words::say;

/// One chart a day with samples, over the days of the other charts.
pub(super) fn draw(scene: &Scene<'_>) -> Result<Vec<Chart>, Error> {
    let mut charts = Vec::new();
    for day in scene.evidence.days.iter().filter(|day| day.to > scene.time.from && day.from < scene.time.to) {
        charts.extend(chart(scene, day)?);
    }
    Ok(charts)
}

fn chart(scene: &Scene<'_>, day: &Day) -> Result<Option<Chart>, Error> {
    let Some(time) = TimeScale::between(scene.evidence, scene.words, day.from, day.to)? else { return Ok(None) };
    let units = scene.units;
    let inside = |at: &chrono::DateTime<chrono::Utc>| (day.from..day.to).contains(at);
    let tracks = scene.tracks_of_day();
    let lines = air_lines(scene, &time, &tracks, None);
    if lines.is_empty() {
        return Ok(None);
    }
    let values = lines.iter().flat_map(Line::values);
    let Some(value) = ValueScale::holding(values, units.humidity_ratio(14.0), 5) else { return Ok(None) };
    let mut plots = vec![Plot {
        axis_title: air_axis_title(scene.words, units).to_owned(),
        reads: ratio_reads(units),
        lines,
        levels: vec![],
        value,
        height: 150.0,
        hatched: vec![],
        marks: vec![],
    }];
    let mut strips = Vec::new();
    let mut legend = Vec::new();
    let depressions: Vec<&DepressionTrack> = scene
        .analysis
        .depressions
        .iter()
        .filter(|track| track.time.iter().zip(&track.depression_gpp).any(|(at, value)| inside(at) && value.is_some()))
        .collect();
    if let Some(plot) = depression_plot(scene, &time, &depressions) {
        legend.extend(band_legend(scene.words, &plot.lines));
        plots.push(Plot { height: 84.0, ..plot });
        strips.extend(run_strips(scene, &depressions));
        legend.extend(strip_legend(scene.words, &strips, &time));
    }
    let visits: Vec<_> = scene.evidence.visits.iter().map(|visit| visit.time).filter(inside).collect();
    let readings: Vec<_> = scene
        .evidence
        .points
        .iter()
        .filter(|point| !point.logged)
        .flat_map(|point| &point.readings)
        .map(|reading| reading.time)
        .chain(scene.evidence.hand_air.iter().map(|hand| hand.time))
        .filter(inside)
        .collect();
    let (visit_count, reading_count) = (visits.len(), readings.len());
    if visit_count > 0 {
        strips.push(Strip {
            name: say!(scene.words, "chart_day.visits").to_owned(),
            spans: vec![],
            marks: visits,
            mark: Some(Mark::DownTriangle),
        });
    }
    if reading_count > 0 {
        let mut readings = readings;
        readings.sort_unstable();
        readings.dedup();
        strips.push(Strip {
            name: say!(scene.words, "chart_day.readings").to_owned(),
            spans: vec![],
            marks: readings,
            mark: None,
        });
    }
    let findings: Vec<&Finding> = scene
        .evidence
        .findings
        .iter()
        .filter(|finding| match finding.to {
            // One that lasts through the day is told below the chart: it sets no time of day apart.
            Some(to) => finding.from < day.to && to > day.from && !(finding.from <= day.from && to >= day.to),
            None => inside(&finding.from),
        })
        .collect();
    let title = say!(scene.words, "chart_day.day_air_and_units", date = scene.time.day(day.date), number = day.number);
    let words = About {
        alt: alt(scene, day, visit_count, reading_count, &findings),
        caption: say!(scene.words, "chart_day.all_airs_of_the_day_with").to_owned(),
        title,
    };
    let stack = Stack {
        words: scene.words,
        title: words.title.clone(),
        time: &time,
        plots,
        strips,
        findings,
        legend: Legend::new(legend),
        ticks: Ticks::Hours,
    };
    let id = format!("day-{}", day.date.format("%Y-%m-%d"));
    let sheet = stack.draw(&id)?;
    Ok(Some(scene.chart(sheet, id, words, ChartScope::Day(day.date), ChartKind::Day)))
}

fn alt(scene: &Scene<'_>, day: &Day, visits: usize, readings: usize, findings: &[&Finding]) -> String {
    let decimals = scene.decimals_of(Quantity::Gpp);
    let unit = scene.unit_of(Quantity::Gpp);
    let means: Vec<String> = scene
        .evidence
        .daily_air
        .iter()
        .filter(|air| air.date == day.date)
        .filter(|air| matches!(air.place, TrackPlace::Affected | TrackPlace::Unaffected | TrackPlace::Outdoor))
        .filter_map(|air| {
            let mean = air.gpp?.mean;
            Some(format!("{} {}", air.label, shown(scene.words, scene.units.humidity_ratio(mean), decimals)))
        })
        .collect();
    let means = if means.is_empty() {
        String::new()
    } else {
        let more =
            if means.len() > 6 { say!(scene.words, "chart_day.more", means = means.len() - 6) } else { String::new() };
        say!(
            scene.words,
            "chart_day.mean_water_in_the_air",
            unit = unit,
            means = means[..means.len().min(6)].join("; "),
            more = more
        )
    };
    let numbers: Vec<String> = findings.iter().map(|finding| finding.number.to_string()).collect();
    let numbers = if numbers.is_empty() {
        String::new()
    } else {
        say!(scene.words, "chart_day.findings", numbers = listed(scene.words, &numbers, 8))
    };
    say!(
        scene.words,
        "chart_day.by_hand",
        date = scene.time.day(day.date),
        visits = say!(scene.words, "count.visit", count = visits as u64),
        readings = say!(scene.words, "count.reading", count = readings as u64),
        means = means,
        numbers = numbers
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::sample;
    use crate::units_shown::UnitSystem;

    #[test]
    fn a_chart_a_day_with_its_visits_and_findings() {
        let analysis = sample();
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        let charts = draw(&scene).expect("drawn");
        assert_eq!(charts.len(), 8);
        let third = &charts[2];
        assert_eq!(third.id, "day-2025-10-08");
        assert_eq!(third.title, "Wed 8 Oct (day 3): air and units");
        assert!(third.svg.contains(">visits</text>") && third.svg.contains(">03:00</text>"));
        assert!(third.alt.starts_with("Wed 8 Oct: 1 visit, "), "{}", third.alt);
        assert!(third.alt.ends_with("Findings 3."), "{}", third.alt);
    }

    #[test]
    fn a_day_without_samples_has_no_chart() {
        let mut analysis = sample();
        for track in &mut analysis.tracks {
            track.gpp.fill(None);
        }
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        assert!(draw(&scene).expect("drawn").is_empty());
    }
}
