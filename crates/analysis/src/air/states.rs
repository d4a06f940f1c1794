//! The air at every sample of a placement.
//!
//! A known bias is taken off only where the job asks for it. Relative humidity from 100 % up to 100 % plus the
//! sensor's limit is computed at 100 % and counted; above that, and at 0 % or below, the sample's humidity is refused
//! and listed. The files keep what was logged.

use chrono::{DateTime, Utc};
use grainfall_psychrometrics::constants::TRIPLE_POINT_C;
use grainfall_psychrometrics::uncertainty::{AccuracyBasis, SensorAccuracy};
use grainfall_psychrometrics::{Celsius, MoistAir};
use grainfall_record::{LoggerSeries, Quantity};
use grainfall_words::{Words, say};

use super::bias;
use super::cover::{is_gap, usual_interval_s};
use super::gpp_u::GppU;
use super::instant::{interval_micros, micros};
use super::left_out::{LeftOut, LeftOutReason};
use super::moist::{self, OTHER_HUMIDITY};
use super::placement::Placed;
use super::pressure::AirPressure;
use crate::evidence::{AirTrack, Assumption, BiasStep, LoggerFacts, SourceRow, TrackPlace};

/// A placement's air with the facts about it.
#[derive(Debug, Clone)]
pub(crate) struct States {
    /// The air at every sample.
    pub(crate) track: AirTrack,
    /// What the report says of the logger.
    pub(crate) facts: LoggerFacts,
    /// Samples whose humidity was not used.
    pub(crate) left_out: Vec<LeftOut>,
    /// What had to be assumed to compute it.
    pub(crate) assumptions: Vec<Assumption>,
}

/// Humidity of one sample, or why there is none.
enum Humidity {
    Used(f64),
    UsedAtSaturation,
    Absent,
    Refused(Refused),
}

/// Why a sample's humidity is not used.
enum Refused {
    Above(f64),
    Below,
    Equations(String),
}

/// Computes the air at every sample of a placement; `logger` is its position in the list of placements.
pub(crate) fn air_states(
    words: Words,
    placed: &Placed<'_>,
    sensor: &SensorAccuracy,
    bias: Option<&BiasStep>,
    pressure: &AirPressure,
    logger: usize,
) -> States {
    let count = placed.range.len();
    let pressures = pressure.column(placed.series, placed.range.clone());
    let (temp_bias_k, rh_bias_pct) =
        bias.filter(|bias| bias.applied).map_or((0.0, 0.0), |bias| (bias.temp_k, bias.rh_pct));
    let source = humidity_source(placed);
    let accuracy = pressure.accuracy();
    let (_, rh_limit) = moist::limits(sensor);
    let mut track = empty_track(placed, logger);
    let mut refused = RefusedSamples::default();
    let mut at_saturation = 0_u64;
    for (k, i) in placed.range.clone().enumerate() {
        let temp_c = value(placed.series, Quantity::AirTemp, i).map(|t| t - temp_bias_k);
        let humidity = humidity(placed.series, i, source, temp_c, pressures[k], rh_bias_pct, rh_limit.get());
        let (rh_pct, saturated) = match humidity {
            Humidity::Used(rh_pct) => (Some(rh_pct), false),
            Humidity::UsedAtSaturation => (Some(100.0), true),
            Humidity::Absent => (None, false),
            Humidity::Refused(why) => {
                refused.note(k, why);
                (None, false)
            }
        };
        let air = match (temp_c, rh_pct) {
            (Some(temp_c), Some(rh_pct)) => match moist::air(temp_c, rh_pct, pressures[k]) {
                Ok(air) => Some(air),
                Err(error) => {
                    refused.note(k, Refused::Equations(error.to_string()));
                    None
                }
            },
            _ => None,
        };
        at_saturation += u64::from(saturated && (air.is_some() || temp_c.is_none()));
        let u_gpp = air.as_ref().zip(source).map(|(air, source)| moist::u_gpp(air, source, sensor, &accuracy));
        push(&mut track, air.as_ref(), u_gpp);
        track.air_temp_c.push(temp_c);
        track.rh_pct.push(rh_pct);
        track.surface_temp_c.push(value(placed.series, Quantity::SurfaceTemp, i));
    }
    debug_assert_eq!(track.rh_pct.len(), count);
    let left_out = refused.left_out(placed, rh_limit.get());
    let facts =
        LoggerFacts { bias: bias.cloned(), ..facts(placed, &track, sensor, at_saturation, refused.above.len() as u64) };
    let mut assumptions = state_assumptions(words, placed, &track, source);
    assumptions.extend(bias.map(|bias| bias::assumption(words, &placed.label, bias)));
    States { track, facts, left_out, assumptions }
}

fn value(series: &LoggerSeries, quantity: Quantity, index: usize) -> Option<f64> {
    series.column(quantity).and_then(|column| column[index])
}

/// The logged quantity the humidity comes from: relative humidity where the placement has any, else the first other
/// one it has.
fn humidity_source(placed: &Placed<'_>) -> Option<Quantity> {
    std::iter::once(Quantity::RelativeHumidity).chain(OTHER_HUMIDITY).find(|quantity| {
        placed.series.column(*quantity).is_some_and(|column| column[placed.range.clone()].iter().any(Option::is_some))
    })
}

fn humidity(
    series: &LoggerSeries,
    index: usize,
    source: Option<Quantity>,
    temp_c: Option<f64>,
    pressure_pa: f64,
    bias_pct: f64,
    limit_pct: f64,
) -> Humidity {
    let Some((quantity, logged)) = source.and_then(|quantity| Some((quantity, value(series, quantity, index)?))) else {
        return Humidity::Absent;
    };
    let rh_pct = if quantity == Quantity::RelativeHumidity {
        logged
    } else {
        let Some(temp_c) = temp_c else { return Humidity::Absent };
        match moist::rh_from(quantity, logged, temp_c, pressure_pa) {
            Ok(rh_pct) => rh_pct,
            Err(error) => return Humidity::Refused(Refused::Equations(error.to_string())),
        }
    } - bias_pct;
    // No air in a building holds no vapour: 0 % is the end of a sensor's range, where a dead one stays.
    if rh_pct <= 0.0 {
        Humidity::Refused(Refused::Below)
    } else if rh_pct <= 100.0 {
        Humidity::Used(rh_pct)
    } else if rh_pct <= 100.0 + limit_pct {
        Humidity::UsedAtSaturation
    } else {
        Humidity::Refused(Refused::Above(rh_pct))
    }
}

fn empty_track(placed: &Placed<'_>, logger: usize) -> AirTrack {
    let count = placed.range.len();
    let column = || Vec::with_capacity(count);
    AirTrack {
        logger,
        label: placed.label.clone(),
        place: placed.place,
        chamber: placed.chamber.clone(),
        unit: placed.unit.clone(),
        interval_s: usual_interval_s(placed.times()).or_else(|| usual_interval_s(&placed.series.time)),
        time: placed.times().to_vec(),
        air_temp_c: column(),
        rh_pct: column(),
        gpp: column(),
        dew_point_c: column(),
        vapour_pressure_pa: column(),
        wet_bulb_c: column(),
        enthalpy_kj_kg: column(),
        surface_temp_c: column(),
        u_gpp: column(),
        u_gpp_from_pressure: column(),
        rows: placed.range.clone().map(|i| source_row(placed.series, i)).collect(),
    }
}

fn source_row(series: &LoggerSeries, index: usize) -> SourceRow {
    series.source(index).map_or_else(
        || SourceRow { file: String::new(), row: series.row.get(index).copied().unwrap_or(0) },
        |row| SourceRow::from(&row),
    )
}

fn push(track: &mut AirTrack, air: Option<&MoistAir>, u_gpp: Option<GppU>) {
    track.gpp.push(air.map(|air| air.grains_per_pound().get()));
    track.dew_point_c.push(air.and_then(MoistAir::dew_point).map(Celsius::get));
    track.vapour_pressure_pa.push(air.map(|air| air.vapour_pressure().get()));
    track.wet_bulb_c.push(air.map(|air| air.wet_bulb().get()));
    track.enthalpy_kj_kg.push(air.map(|air| air.enthalpy().get()));
    track.u_gpp.push(u_gpp.map(GppU::total));
    track.u_gpp_from_pressure.push(u_gpp.map(|u| u.pressure));
}

fn facts(
    placed: &Placed<'_>,
    track: &AirTrack,
    sensor: &SensorAccuracy,
    rh_above_100: u64,
    rh_refused: u64,
) -> LoggerFacts {
    let gaps = interval_micros(track.interval_s).map_or(0, |interval| {
        track.time.windows(2).filter(|pair| is_gap(micros(pair[1]) - micros(pair[0]), interval)).count()
    });
    let (temp_limit, rh_limit) = moist::limits(sensor);
    LoggerFacts {
        logger: placed.series.logger.clone(),
        label: placed.label.clone(),
        place: placed.place,
        chamber: placed.chamber.clone(),
        unit: placed.unit.clone(),
        first: track.time.first().copied(),
        last: track.time.last().copied(),
        interval_s: track.interval_s,
        samples: track.gpp.iter().flatten().count() as u64,
        gaps: gaps as u64,
        temp_limit_k: temp_limit.get(),
        rh_limit_pct: rh_limit.get(),
        accuracy_assumed: [sensor.temp.basis(), sensor.rh.basis()].contains(&AccuracyBasis::Assumed),
        files: placed.read.map(|read| read.files.clone()).unwrap_or_default(),
        clock: placed.read.map(|read| read.clock.clone()).unwrap_or_default(),
        rh_above_100,
        rh_refused,
        bias: None,
    }
}

fn state_assumptions(words: Words, placed: &Placed<'_>, track: &AirTrack, source: Option<Quantity>) -> Vec<Assumption> {
    let mut out = Vec::new();
    let below_freezing = |k: usize| track.gpp[k].is_some() && track.air_temp_c[k].is_some_and(|t| t < TRIPLE_POINT_C);
    if (0..track.time.len()).any(below_freezing) {
        out.push(Assumption {
            text: say!(words, "states.relative_humidity_below_freezing_is").to_owned(),
            source: say!(words, "states.project_convention_after_what_sensors").to_owned(),
            remedy: say!(words, "states.export_the_dew_point_instead").to_owned(),
        });
    }
    if let Some(quantity) = source.filter(|q| *q != Quantity::RelativeHumidity) {
        out.push(Assumption {
            text: say!(
                words,
                "states.the_relative_humidity_of_is",
                label = placed.label,
                quantity = crate::words::quantity(words, quantity)
            ),
            source: say!(words, "states.ashrae_handbook_fundamentals_2017_ch").to_owned(),
            remedy: say!(words, "states.export_the_relative_humidity_as").to_owned(),
        });
    }
    out
}

/// Refused samples of one placement by reason: positions in the track.
#[derive(Default)]
struct RefusedSamples {
    above: Vec<usize>,
    highest_pct: f64,
    below: Vec<usize>,
    equations: Vec<usize>,
    message: Option<String>,
}

impl RefusedSamples {
    fn note(&mut self, k: usize, why: Refused) {
        match why {
            Refused::Above(rh_pct) => {
                self.above.push(k);
                self.highest_pct = self.highest_pct.max(rh_pct);
            }
            Refused::Below => self.below.push(k),
            Refused::Equations(message) => {
                self.equations.push(k);
                self.message.get_or_insert(message);
            }
        }
    }

    fn left_out(&self, placed: &Placed<'_>, limit_pct: f64) -> Vec<LeftOut> {
        let mut out = Vec::new();
        let mut list = |positions: &[usize], reason: LeftOutReason| {
            let (Some(first), Some(last)) = (positions.first(), positions.last()) else { return };
            let (first, last) = (placed.range.start + first, placed.range.start + last);
            out.push(LeftOut {
                logger: placed.series.logger.clone(),
                label: Some(placed.label.clone()),
                reason,
                samples: positions.len() as u64,
                first: placed.series.time[first],
                last: placed.series.time[last],
                rows: [first, last].map(|i| source_row(placed.series, i)).to_vec(),
            });
        };
        let highest_pct = self.highest_pct;
        list(&self.above, LeftOutReason::HumidityAboveLimit { limit_pct, highest_pct });
        list(&self.below, LeftOutReason::HumidityNotAboveZero);
        let message = self.message.clone().unwrap_or_default();
        list(&self.equations, LeftOutReason::OutsideEquations { message });
        out
    }
}

/// Whether a track is air at all: it has temperature and humidity somewhere.
pub(crate) fn has_air(track: &AirTrack) -> bool {
    track.gpp.iter().any(Option::is_some)
}

/// First and last instant a placement is expected to log: from its stated start, else its first sample, to its stated
/// end, else the report's clock; an unplaced logger from first to last sample.
pub(crate) fn expected_span(placed: &Placed<'_>, clock: DateTime<Utc>) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
    let (first, last) = (*placed.times().first()?, *placed.times().last()?);
    if placed.place == TrackPlace::Unplaced {
        return Some((first, last));
    }
    let from = placed.span.from.unwrap_or(first);
    let to = placed.span.to.unwrap_or(clock).min(clock);
    Some((from, to.max(from)))
}
