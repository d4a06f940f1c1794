//! What the charts answer to a pointer, as the data block that the page's script reads.
//!
//! Values are whole numbers in units of the last decimal shown, each but the first of a stretch as the difference to
//! the one before: small, and rounded in the one place where numbers are rounded.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, Utc};
use grainfall_words::DateStyle;
use serde::Serialize;

use crate::Error;
use crate::charts::Chart;
use crate::charts::readout::{Area, Group, Member, Plane, PlaneAxis, Point, Says, States};
use crate::model::shown::Shown;
use crate::number_format::{NO_VALUE, fixed};
use crate::text_filter::for_any_faces;
use crate::words::say;

/// The data block.
#[derive(Serialize)]
struct Answers {
    /// Offsets of the job's zone: from which second of the epoch, seconds east, name.
    zone: Vec<(i64, i32, String)>,
    days: Vec<String>,
    months: Vec<String>,
    /// Forms of dates.
    forms: BTreeMap<&'static str, &'static str>,
    /// Between whole and fraction of a number.
    decimal_sign: &'static str,
    /// Words of the script.
    words: BTreeMap<&'static str, &'static str>,
    /// How dates are written.
    dates: DateStyle,
    /// What stands for a missing value.
    nothing: &'static str,
    /// How the keyboard reads a chart.
    keys: &'static str,
    /// How it reads a chart of states.
    plane_keys: &'static str,
    charts: Vec<ChartAnswers>,
}

#[derive(Serialize)]
struct ChartAnswers {
    id: String,
    title: String,
    /// Second of the epoch at which the time axis starts.
    from: i64,
    length: i64,
    areas: Vec<AreaAnswers>,
    #[serde(skip_serializing_if = "Option::is_none")]
    plane: Option<PlaneAnswers>,
}

/// States by two quantities: places follow from the ends of the axes, values are in units of the last decimal shown.
#[derive(Serialize)]
struct PlaneAnswers {
    axes: [AxisAnswers; 2],
    /// Seconds that each state stands for.
    each: i64,
    series: Vec<StatesAnswers>,
}

#[derive(Serialize)]
struct AxisAnswers {
    name: String,
    unit: String,
    decimals: usize,
    /// Value and place of either end.
    from: (f64, f64),
    to: (f64, f64),
}

#[derive(Serialize)]
struct StatesAnswers {
    name: String,
    colour: String,
    /// Second, value across, value up.
    states: Vec<(i64, i64, i64)>,
}

#[derive(Serialize)]
struct AreaAnswers {
    title: String,
    left: f64,
    top: f64,
    width: f64,
    height: f64,
    groups: Vec<GroupAnswers>,
}

#[derive(Serialize)]
struct GroupAnswers {
    title: String,
    unit: String,
    members: Vec<MemberAnswers>,
}

#[derive(Serialize)]
struct MemberAnswers {
    name: String,
    colour: String,
    #[serde(flatten)]
    says: Said,
}

#[derive(Serialize)]
#[serde(rename_all = "snake_case", untagged)]
enum Said {
    Samples { decimals: usize, samples: Vec<Stretch> },
    Moments { moments: Vec<(i64, String)> },
    Spans { spans: Vec<(i64, Option<i64>, String)> },
}

#[derive(Serialize)]
struct Stretch {
    from: i64,
    step: Step,
    values: Vec<i64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    u: Option<Vec<Option<i64>>>,
}

/// Time between samples, s: one number where all are alike, else each sample's own, as differences from zero.
#[derive(Serialize)]
#[serde(untagged)]
enum Step {
    Even(i64),
    Own(Vec<i64>),
}

/// The data block as JSON that can stand inside an HTML script element.
///
/// # Errors
/// [`Error::Json`] when it cannot be written.
pub(super) fn json(charts: &[Chart], shown: &Shown) -> Result<String, Error> {
    let answering = || charts.iter().filter_map(|chart| Some((chart, chart.readout.from?)));
    let from = answering().map(|(_, from)| from).min();
    let to = answering().map(|(chart, from)| from + Duration::seconds(chart.readout.length_s as i64)).max();
    let answers = Answers {
        zone: from.zip(to).map_or_else(|| vec![(0, 0, "UTC".to_owned())], |(from, to)| offsets(shown, from, to)),
        days: shown.words.rows("days_short").concat(),
        months: shown.words.rows("months_short").concat(),
        forms: shown.words.section("dates"),
        decimal_sign: shown.words.decimal_sign(),
        words: shown.words.section("script"),
        dates: shown.dates,
        nothing: NO_VALUE,
        keys: say!(shown.words, "text.chart_keys"),
        plane_keys: say!(shown.words, "text.plane_keys"),
        charts: answering().map(|(chart, from)| chart_answers(chart, from)).collect(),
    };
    let json = serde_json::to_string(&answers)
        .map_err(|fault| Error::Json { document: "report.html", reason: fault.to_string() })?;
    // `</script` and `<!--` would end or change the element; JSON reads the escape as the same character.
    Ok(json.replace('<', "\\u003c"))
}

/// The zone's offsets over a range, the first one for all that is before.
fn offsets(shown: &Shown, from: DateTime<Utc>, to: DateTime<Utc>) -> Vec<(i64, i32, String)> {
    let mut offsets: Vec<(i64, i32, String)> = Vec::new();
    let mut at = from;
    // Offsets change on a quarter of an hour in every zone of the time-zone database since 1972.
    at -= Duration::seconds(at.timestamp().rem_euclid(900));
    while at <= to {
        let (offset_s, name) = shown.offset(at);
        if offsets.last().is_none_or(|last| last.1 != offset_s || last.2 != name) {
            offsets.push((at.timestamp(), offset_s, name));
        }
        at += Duration::minutes(15);
    }
    offsets
}

fn chart_answers(chart: &Chart, from: DateTime<Utc>) -> ChartAnswers {
    let areas = chart.readout.areas.iter().map(|area: &Area| AreaAnswers {
        title: clean(&area.title),
        left: tenth(area.left),
        top: tenth(area.top),
        width: tenth(area.width),
        height: tenth(area.height),
        groups: area.groups.iter().map(group_answers).collect(),
    });
    ChartAnswers {
        id: chart.id.clone(),
        title: clean(&chart.title),
        from: from.timestamp(),
        length: seconds(chart.readout.length_s),
        areas: areas.collect(),
        plane: chart.readout.plane.as_ref().map(plane_answers),
    }
}

fn plane_answers(plane: &Plane) -> PlaneAnswers {
    let decimals = plane.axes.each_ref().map(|axis| axis.decimals);
    let axis = |axis: &PlaneAxis| {
        // A place is exact to a hundredth of a px, a value far below its last decimal.
        let end = |(value, place): (f64, f64)| ((value * 1e6).round() / 1e6, (place * 100.0).round() / 100.0);
        AxisAnswers {
            name: clean(&axis.name),
            unit: axis.unit.clone(),
            decimals: axis.decimals,
            from: end(axis.from),
            to: end(axis.to),
        }
    };
    let states = |series: &States| StatesAnswers {
        name: clean(&series.name),
        colour: series.colour.clone(),
        states: series
            .states
            .iter()
            .map(|(at, across, up)| (seconds(*at), scaled(*across, decimals[0]), scaled(*up, decimals[1])))
            .collect(),
    };
    PlaneAnswers {
        axes: plane.axes.each_ref().map(axis),
        each: seconds(plane.each_s),
        series: plane.series.iter().map(states).collect(),
    }
}

fn group_answers(group: &Group) -> GroupAnswers {
    GroupAnswers {
        title: clean(&group.title),
        unit: clean(&group.unit),
        members: group.members.iter().map(member_answers).collect(),
    }
}

fn member_answers(member: &Member) -> MemberAnswers {
    let says = match &member.says {
        Says::Samples { stretches, decimals } => {
            let stretches = stretches.iter().filter_map(|points| stretch(points, *decimals));
            Said::Samples { decimals: *decimals, samples: stretches.collect() }
        }
        Says::Moments(moments) => {
            Said::Moments { moments: moments.iter().map(|(at, words)| (seconds(*at), clean(words))).collect() }
        }
        Says::Spans(spans) => {
            let until = |to: f64| to.is_finite().then(|| seconds(to));
            Said::Spans {
                spans: spans.iter().map(|(from, to, words)| (seconds(*from), until(*to), clean(words))).collect(),
            }
        }
    };
    MemberAnswers { name: clean(&member.name), colour: member.colour.clone(), says }
}

fn stretch(points: &[Point], decimals: usize) -> Option<Stretch> {
    let times: Vec<i64> = points.iter().map(|point| seconds(point.at_s)).collect();
    let steps = differences(&times);
    let even = steps.get(1).copied().filter(|step| steps[1..].iter().all(|other| other == step));
    let values: Vec<i64> = points.iter().map(|point| scaled(point.value, decimals)).collect();
    let u = points.iter().any(|point| point.u.is_some());
    Some(Stretch {
        from: *times.first()?,
        step: match even {
            Some(step) => Step::Even(step),
            None => Step::Own(steps),
        },
        values: differences(&values),
        u: u.then(|| points.iter().map(|point| point.u.map(|u| scaled(u, decimals))).collect()),
    })
}

/// Each number less the one before it; the first as it is.
fn differences(numbers: &[i64]) -> Vec<i64> {
    let before = std::iter::once(0).chain(numbers.iter().copied());
    numbers.iter().zip(before).map(|(number, before)| number - before).collect()
}

/// A value in units of its last decimal, rounded as everywhere.
fn scaled(value: f64, decimals: usize) -> i64 {
    fixed(value, decimals).replace('.', "").parse().unwrap_or(0)
}

/// A text without what steers text instead of being text.
fn clean(text: &str) -> String {
    for_any_faces(text).text
}

fn seconds(at: f64) -> i64 {
    at.round() as i64
}

fn tenth(px: f64) -> f64 {
    (px * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::UnitSystem;
    use crate::charts::draw_all;
    use crate::sample_evidence::{sample, stress};

    /// The block read back as the script reads it: every sample of every line, rounded.
    #[test]
    fn the_block_holds_what_the_charts_answer() {
        for (analysis, units) in [(sample(), UnitSystem::Us), (stress(), UnitSystem::Si)] {
            let charts = draw_all(&analysis, units).expect("drawn");
            let shown = Shown::new(units, &analysis.evidence).expect("a zone");
            let block = json(&charts, &shown).expect("JSON");
            assert!(!block.contains('<'));
            let read: serde_json::Value = serde_json::from_str(&block).expect("JSON");
            let mut samples = 0;
            // A chart without a time axis answers nothing.
            let answering: Vec<_> = charts.iter().filter(|chart| chart.readout.from.is_some()).collect();
            let told = read["charts"].as_array().expect("charts");
            assert_eq!(told.len(), answering.len());
            for (chart, said) in answering.into_iter().zip(told) {
                assert_eq!(said["id"], chart.id);
                for (area, said) in chart.readout.areas.iter().zip(said["areas"].as_array().expect("areas")) {
                    for (group, said) in area.groups.iter().zip(said["groups"].as_array().expect("groups")) {
                        for (member, said) in group.members.iter().zip(said["members"].as_array().expect("members")) {
                            let Says::Samples { stretches, decimals } = &member.says else { continue };
                            for (points, said) in stretches.iter().zip(said["samples"].as_array().expect("samples")) {
                                let mut sum = 0;
                                for (point, difference) in points.iter().zip(said["values"].as_array().expect("values"))
                                {
                                    sum += difference.as_i64().expect("a whole number");
                                    let value = sum as f64 / 10_f64.powi(*decimals as i32);
                                    // Half a unit of the last decimal, and a hair for the division.
                                    let most = 0.5 / 10_f64.powi(*decimals as i32) + 1e-9;
                                    assert!((value - point.value).abs() <= most, "{} {value}", member.name);
                                    samples += 1;
                                }
                            }
                        }
                    }
                }
            }
            assert!(samples > 500, "{samples}");
        }
    }

    #[test]
    fn offsets_change_where_the_zone_changes() {
        let mut analysis = sample();
        analysis.evidence.job.time_zone = "America/New_York".to_owned();
        let shown = Shown::new(UnitSystem::Us, &analysis.evidence).expect("a zone");
        let at = |text: &str| text.parse::<DateTime<Utc>>().expect("an instant");
        // The autumn change of 2025 in the United States: 2 November, 06:00 UTC (15 U.S.C. 260a).
        let found = offsets(&shown, at("2025-11-01T12:00:00Z"), at("2025-11-03T12:00:00Z"));
        let change = at("2025-11-02T06:00:00Z").timestamp();
        assert_eq!(found.len(), 2, "{found:?}");
        assert_eq!((found[0].1, found[0].2.as_str()), (-4 * 3600, "EDT"));
        assert_eq!((found[1].0, found[1].1, found[1].2.as_str()), (change, -5 * 3600, "EST"));
    }

    #[test]
    fn uneven_samples_keep_their_own_times() {
        let at = |at_s: f64| Point { at_s, value: -1.25, u: None };
        let even = stretch(&[at(5.0), at(65.0), at(125.0)], 1).expect("a stretch");
        assert!(matches!(even.step, Step::Even(60)));
        assert_eq!((even.from, even.values), (5, vec![-13, 0, 0]));
        let own = stretch(&[at(5.0), at(65.0), at(126.0)], 1).expect("a stretch");
        assert!(matches!(own.step, Step::Own(steps) if steps == [5, 60, 61]));
    }
}
