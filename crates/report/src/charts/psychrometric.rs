//! The airs of a civil day on a psychrometric chart: dry bulb against water in the air, with curves of equal humidity.

use grainfall_analysis::evidence::{AirTrack, Day, TrackPlace};
use grainfall_psychrometrics::{Celsius, MoistAir, Pascals, RelativeHumidity, Saturation};

use super::air::{air_axis_title, ratio_reads};
use super::labels::{self, EndLabel};
use super::panel::ValueScale;
use super::readout::{self, PlaneAxis, States};
use super::scene::{About, Quantity, Scene, listed};
use super::series::Sample;
use super::sheet::{Anchor, CAP_HEIGHT, Fill, Frame, Sheet, Spot, TextLook, spot};
use super::stack::draw_title;
use super::{Chart, ChartKind, ChartScope};
use crate::error::Error;
use crate::number_format::shown;
use crate::theme::{self, Pen};
use crate::words::say;

/// Curves of equal relative humidity, %; saturation first, so that it gets its name before all others.
const CURVES_PCT: [u32; 6] = [100, 80, 60, 40, 20, 10];

/// Places at which a curve is computed.
const CURVE_STEPS: u32 = 80;

const LEFT: f64 = 64.0;
const TOP: f64 = 62.0;
const HEIGHT: f64 = 210.0;
const BELOW: f64 = 46.0;
const MOST_LABEL_ROOM: f64 = 240.0;

/// One chart a day on which an air has temperature and humidity.
pub(super) fn draw(scene: &Scene<'_>) -> Result<Vec<Chart>, Error> {
    let mut charts = Vec::new();
    for day in scene.evidence.days.iter().filter(|day| day.to > scene.time.from && day.from < scene.time.to) {
        charts.extend(chart(scene, day)?);
    }
    Ok(charts)
}

/// One air: its hourly means in order, cut where an hour is missing.
struct Path {
    name: String,
    /// Its name as it is drawn.
    label: String,
    pen: Pen,
    stretches: Vec<Vec<State>>,
}

/// The mean state of one hour: dry bulb and water in the air, as shown.
#[derive(Debug, Clone, Copy, PartialEq)]
struct State {
    /// Full hours since the day began.
    hour: i64,
    mean: Sample,
}

impl Path {
    fn states(&self) -> impl Iterator<Item = &Sample> {
        self.stretches.iter().flatten().map(|state| &state.mean)
    }
}

fn chart(scene: &Scene<'_>, day: &Day) -> Result<Option<Chart>, Error> {
    let paths = paths(scene, day);
    let units = scene.units;
    let temps = paths.iter().flat_map(Path::states).map(|state| state.0);
    let ratios = paths.iter().flat_map(Path::states).map(|state| state.1);
    let Some(temp) = ValueScale::holding(temps, units.temp_difference(12.0), 8) else { return Ok(None) };
    let Some(ratio) = ValueScale::holding(ratios, units.humidity_ratio(40.0), 6) else { return Ok(None) };

    let room = labels::room(paths.iter().map(|path| (path.label.as_str(), "")), MOST_LABEL_ROOM);
    let frame = Frame {
        left: LEFT,
        top: TOP,
        width: f64::from(theme::WIDTH) - LEFT - room,
        height: HEIGHT.max(paths.len() as f64 * labels::LINE + 6.0),
    };
    let id = format!("psychrometric-{}", day.date.format("%Y-%m-%d"));
    let title = say!(
        scene.words,
        "chart_psychrometric.day_airs_on_the_psychrometric_chart",
        date = scene.time.day(day.date),
        number = day.number
    );
    let mut sheet = Sheet::new(&id, theme::WIDTH, frame.bottom() + BELOW);
    draw_title(&mut sheet, &title);
    let plane = Plane { frame, temp, ratio };
    plane.draw_axes(&mut sheet, scene)?;
    let names = draw_curves(&mut sheet, &plane, scene)?;
    let mut labels = Vec::new();
    for path in &paths {
        let lines: Vec<Vec<Spot>> =
            path.stretches.iter().map(|line| line.iter().map(|state| plane.at(state.mean)).collect()).collect();
        sheet.lines("path", &Pen { width: 1.3, ..path.pen }, &lines)?;
        let (Some(first), Some(last)) = (path.states().next(), path.states().last()) else { continue };
        sheet.marks("first", &path.pen, Fill::Hollow, 3.2, &[plane.at(*first)])?;
        // Without a value: that of the last hour is not that of the last sample, which the day's lines end with.
        let (text, value) = (path.label.clone(), String::new());
        labels.push(EndLabel { end: plane.at(*last), text, value, pen: path.pen, fill: Fill::Solid });
    }
    labels::draw_end_labels(&mut sheet, &plane.frame, &labels)?;
    // Over what leads to the labels.
    for (x, y, words) in &names {
        sheet.text(*x, *y, words, &CURVE_NAME);
    }
    sheet.answer_states(day.from, (day.to - day.from).as_seconds_f64(), plane.answers(scene, &paths));
    let words = About {
        alt: alt(scene, day, &paths),
        caption: say!(scene.words, "chart_psychrometric.hourly_means_of_each_air_from").to_owned(),
        title,
    };
    Ok(Some(scene.chart(sheet, id, words, ChartScope::Day(day.date), ChartKind::Psychrometric)))
}

/// The airs of a day with temperature and humidity.
fn paths(scene: &Scene<'_>, day: &Day) -> Vec<Path> {
    let tracks: Vec<&AirTrack> =
        scene.tracks_of_day().into_iter().filter(|track| track.place != TrackPlace::Material).collect();
    let pens = scene.pens(&tracks);
    tracks
        .iter()
        .zip(pens)
        .filter_map(|(track, pen)| {
            let stretches = hourly(scene, day, track);
            let (name, label) = (track.label.clone(), scene.short_name(track));
            (!stretches.is_empty()).then_some(Path { name, label, pen, stretches })
        })
        .collect()
}

/// Means over the full hours since the day began; an hour without a sample ends a stretch.
fn hourly(scene: &Scene<'_>, day: &Day, track: &AirTrack) -> Vec<Vec<State>> {
    let mut hours: Vec<(i64, Vec<Sample>)> = Vec::new();
    let first = track.time.partition_point(|at| *at < day.from);
    for index in (first..track.time.len()).take_while(|index| track.time[*index] < day.to) {
        let value = |quantity| scene.value_of(track, quantity, index).filter(|value| value.is_finite());
        let (Some(temp), Some(ratio)) = (value(Quantity::AirTemp), value(Quantity::Gpp)) else { continue };
        let hour = (track.time[index] - day.from).num_hours();
        match hours.last_mut() {
            Some((of, states)) if *of == hour => states.push((temp, ratio)),
            _ => hours.push((hour, vec![(temp, ratio)])),
        }
    }
    let mean = |states: &[Sample]| {
        let count = states.len() as f64;
        (states.iter().map(|s| s.0).sum::<f64>() / count, states.iter().map(|s| s.1).sum::<f64>() / count)
    };
    let state = |(hour, states): &(i64, Vec<Sample>)| State { hour: *hour, mean: mean(states) };
    hours.chunk_by(|a, b| b.0 - a.0 == 1).map(|run| run.iter().map(state).collect()).collect()
}

/// The state of an hour: `75 °F, 48 GPP`.
fn state_words(scene: &Scene<'_>, (temp, ratio): Sample) -> String {
    format!(
        "{} {}, {} {}",
        shown(scene.words, temp, scene.decimals_of(Quantity::AirTemp)),
        scene.unit_of(Quantity::AirTemp),
        shown(scene.words, ratio, scene.decimals_of(Quantity::Gpp)),
        scene.unit_of(Quantity::Gpp)
    )
}

/// Dry bulb across, water up.
struct Plane {
    frame: Frame,
    temp: ValueScale,
    ratio: ValueScale,
}

impl Plane {
    fn at(&self, (temp, ratio): Sample) -> Spot {
        let share = |scale: &ValueScale, value: f64| (value - scale.least) / (scale.most - scale.least);
        let Frame { left, width, height, .. } = self.frame;
        spot(
            left + share(&self.temp, temp).clamp(0.0, 1.0) * width,
            self.frame.bottom() - share(&self.ratio, ratio).clamp(0.0, 1.0) * height,
        )
    }

    /// Every state with its hour.
    fn answers(&self, scene: &Scene<'_>, paths: &[Path]) -> readout::Plane {
        let Frame { left, top, .. } = self.frame;
        let (right, bottom) = (self.frame.right(), self.frame.bottom());
        let axis = |name: &str, (unit, decimals): (&str, usize), scale: &ValueScale, near: f64, far: f64| PlaneAxis {
            name: name.to_owned(),
            unit: unit.to_owned(),
            decimals,
            from: (scale.least, near),
            to: (scale.most, far),
        };
        let seconds = |hour: i64| hour as f64 * 3600.0;
        let series = paths.iter().map(|path| States {
            name: path.name.clone(),
            colour: theme::hex(path.pen.colour),
            states: path.stretches.iter().flatten().map(|s| (seconds(s.hour), s.mean.0, s.mean.1)).collect(),
        });
        readout::Plane {
            axes: [
                axis(
                    say!(scene.words, "chart_psychrometric.dry_bulb_temperature"),
                    (scene.unit_of(Quantity::AirTemp), 1),
                    &self.temp,
                    left,
                    right,
                ),
                axis(
                    say!(scene.words, "chart_psychrometric.water_in_the_air"),
                    ratio_reads(scene.units),
                    &self.ratio,
                    bottom,
                    top,
                ),
            ],
            series: series.collect(),
            each_s: 3600.0,
        }
    }

    fn draw_axes(&self, sheet: &mut Sheet, scene: &Scene<'_>) -> Result<(), Error> {
        let Frame { left, top, .. } = self.frame;
        let (right, bottom) = (self.frame.right(), self.frame.bottom());
        let look = TextLook::quiet();
        let mut grid: Vec<Vec<Spot>> = Vec::new();
        for tick in &self.ratio.ticks {
            let (_, y) = self.at((self.temp.least, *tick));
            grid.push(vec![(spot(left, 0.0).0, y), (spot(right, 0.0).0, y)]);
            let words = shown(scene.words, *tick, self.ratio.decimals);
            sheet.text_centred(left - 6.0, f64::from(y) / 10.0, &words, &look.anchored(Anchor::End));
        }
        for tick in &self.temp.ticks {
            let (x, _) = self.at((*tick, self.ratio.least));
            grid.push(vec![(x, spot(0.0, top).1), (x, spot(0.0, bottom).1)]);
            let words = shown(scene.words, *tick, self.temp.decimals);
            sheet.text(f64::from(x) / 10.0, bottom + 17.0, &words, &look.anchored(Anchor::Middle));
        }
        sheet.lines("grid", &Pen::solid(theme::GRID, 1.0), &grid)?;
        let axis = Pen::solid(theme::AXIS, 1.0);
        sheet.lines("axis", &axis, &[vec![spot(left, top), spot(left, bottom), spot(right, bottom)]])?;
        sheet.text(left, top - 8.0, &look.fitted(air_axis_title(scene.words, scene.units), right - left), &look);
        let across =
            say!(scene.words, "chart_psychrometric.dry_bulb_temperature_2", unit = scene.unit_of(Quantity::AirTemp));
        sheet.text(left, bottom + 36.0, &look.fitted(&across, right - left), &look);
        Ok(())
    }
}

/// How the name of a curve is set.
const CURVE_NAME: TextLook = TextLook::small().rimmed().anchored(Anchor::End);

/// Curves of equal relative humidity; what comes back are their names where they leave the plot.
fn draw_curves(sheet: &mut Sheet, plane: &Plane, scene: &Scene<'_>) -> Result<Vec<(f64, f64, String)>, Error> {
    let look = CURVE_NAME;
    let mut named: Vec<(f64, f64, String)> = Vec::new();
    for percent in CURVES_PCT {
        let line = curve(plane, scene, percent);
        let (Some(last), true) = (line.last(), line.len() > 1) else { continue };
        let width = if percent == 100 { 1.6 } else { 0.9 };
        let places: Vec<Spot> = line.iter().map(|state| plane.at(*state)).collect();
        sheet.lines("humidity", &Pen::solid(theme::AXIS, width), &[places])?;
        let (x, y) = plane.at(*last);
        let words = if percent == 100 {
            say!(scene.words, "chart_psychrometric.100_rh").to_owned()
        } else {
            format!("{percent} %")
        };
        // Left of where a curve leaves through the top, above where it leaves at the right.
        let x = (f64::from(x) / 10.0 - 4.0).max(plane.frame.left + look.width(&words) + 4.0);
        let y = (f64::from(y) / 10.0 - 5.0).max(plane.frame.top + look.size * CAP_HEIGHT + 4.0);
        let free =
            |(other_x, other_y, _): &(f64, f64, String)| (other_x - x).abs() > 64.0 || (other_y - y).abs() > 16.0;
        if named.iter().all(free) {
            named.push((x, y, words));
        }
    }
    Ok(named)
}

/// The part of a curve inside the plot, in the units shown.
fn curve(plane: &Plane, scene: &Scene<'_>, percent: u32) -> Vec<Sample> {
    let step = (plane.temp.most - plane.temp.least) / f64::from(CURVE_STEPS);
    let mut line: Vec<Sample> = Vec::new();
    for n in 0..=CURVE_STEPS {
        let temp = plane.temp.least + f64::from(n) * step;
        let Some(ratio) = ratio_of(scene, temp, f64::from(percent)) else { break };
        if ratio <= plane.ratio.least {
            line = vec![(temp, ratio)];
            continue;
        }
        if ratio >= plane.ratio.most {
            if let Some(before) = line.last().copied() {
                let share = (plane.ratio.most - before.1) / (ratio - before.1);
                line.push((before.0 + share * (temp - before.0), plane.ratio.most));
            }
            break;
        }
        line.push((temp, ratio));
    }
    // What lies at or below the lower edge is at most one sample, and joins the curve to it.
    if let [first, second, ..] = line.as_slice()
        && first.1 < plane.ratio.least
    {
        let share = (plane.ratio.least - first.1) / (second.1 - first.1);
        line[0] = (first.0 + share * (second.0 - first.0), plane.ratio.least);
    }
    line
}

/// Water in the air at a temperature and a humidity, all as shown; `None` where no such air is.
fn ratio_of(scene: &Scene<'_>, temp_shown: f64, rh_pct: f64) -> Option<f64> {
    let units = scene.units;
    // Both scales are straight lines of the unit inside.
    let (zero, one) = (units.temp(0.0), units.temp(1.0));
    let temp = Celsius::new((temp_shown - zero) / (one - zero));
    let rh = RelativeHumidity::from_percent(rh_pct).ok()?;
    let pressure = Pascals::new(scene.evidence.pressure.pressure_pa);
    let air = MoistAir::from_temp_and_rh(temp, rh, pressure, Saturation::LiquidWater).ok()?;
    Some(units.humidity_ratio(air.grains_per_pound().get()))
}

fn alt(scene: &Scene<'_>, day: &Day, paths: &[Path]) -> String {
    let told: Vec<String> = paths
        .iter()
        .filter_map(|path| {
            let (first, last) = (path.states().next()?, path.states().last()?);
            Some(say!(
                scene.words,
                "chart_psychrometric.from_to",
                name = path.name,
                first = state_words(scene, *first),
                last = state_words(scene, *last)
            ))
        })
        .collect();
    say!(
        scene.words,
        "chart_psychrometric.dry_bulb_and_water_in_the",
        date = scene.time.day(day.date),
        told = listed(scene.words, &told, 5)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample_evidence::sample;
    use crate::units_shown::UnitSystem;

    #[test]
    fn a_chart_a_day_with_every_air_and_the_curves() {
        let analysis = sample();
        for units in UnitSystem::ALL {
            let scene = Scene::new(&analysis, units).expect("a zone").expect("a length");
            let charts = draw(&scene).expect("drawn");
            assert_eq!(charts.len(), 8);
            let third = &charts[2];
            assert_eq!(third.id, "psychrometric-2025-10-08");
            assert!(third.svg.contains(">100 % RH</text>"), "{}", third.svg);
            for track in &analysis.tracks {
                let has = track.gpp.iter().zip(&track.time).any(|(gpp, at)| {
                    gpp.is_some() && (scene.evidence.days[2].from..scene.evidence.days[2].to).contains(at)
                });
                let named = third.svg.contains(&format!(">{}<", scene.short_name(track)));
                // Inlets are of chambers whose air is logged.
                let drawn = !matches!(track.place, TrackPlace::Surface | TrackPlace::Inlet);
                assert_eq!(named, has && drawn, "{}", track.label);
            }
            assert!(third.alt.starts_with("Dry bulb and water in the air on Wed 8 Oct"), "{}", third.alt);
        }
    }

    /// 80 degF and 60 % at 101.325 kPa hold 92.09 gr/lb (psychrolib 2.5.0, as in `tests/reference/psychro_check.csv`).
    #[test]
    fn curves_follow_the_equations() {
        let mut analysis = sample();
        analysis.evidence.pressure.pressure_pa = 101_325.0;
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        let gpp = ratio_of(&scene, 80.0, 60.0).expect("such air");
        assert!(
            (gpp - 92.0885).abs() < 0.001,
            "{gpp}: the reference is rounded to 0.0001, SI and inch-pound constants to 0.0004"
        );
    }

    #[test]
    fn an_hour_without_samples_is_a_gap() {
        let mut analysis = sample();
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        let day = scene.evidence.days[2].clone();
        let whole = hourly(&scene, &day, &analysis.tracks[0]);
        assert_eq!((whole.len(), whole[0].len()), (1, 24));
        let missing = day.from + chrono::Duration::hours(5);
        let track = &mut analysis.tracks[0];
        for (at, gpp) in track.time.iter().zip(&mut track.gpp) {
            if (missing..missing + chrono::Duration::hours(1)).contains(at) {
                *gpp = None;
            }
        }
        let scene = Scene::new(&analysis, UnitSystem::Us).expect("a zone").expect("a length");
        let cut: Vec<usize> = hourly(&scene, &day, &analysis.tracks[0]).iter().map(Vec::len).collect();
        assert_eq!(cut, [5, 18]);
    }
}
