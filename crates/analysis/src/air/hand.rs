//! Air readings taken by hand: part of the record, not samples.

use chrono::{DateTime, Utc};
use grainfall_job::{AirReading, AirWater, Job};
use grainfall_psychrometrics::Celsius;
use grainfall_words::{Words, say};

use super::left_out::{LeftOut, LeftOutReason};
use super::moist;
use super::placement::track_place;
use super::pressure::AirPressure;
use crate::evidence::{HandAir, SourceRow};

/// The readings up to the clock, by time, then file order, and those no air can have.
///
/// A reading without a dew point (no water in the air at all) is left out too.
pub(crate) fn hand_air(job: &Job, pressure: &AirPressure, clock: DateTime<Utc>) -> (Vec<HandAir>, Vec<LeftOut>) {
    let words = job.zone.words;
    let (mut hand, mut left_out) = (Vec::new(), Vec::new());
    for reading in &job.air_readings {
        if reading.time > clock {
            left_out.push(left(words, reading, LeftOutReason::AfterClock));
            continue;
        }
        match one(words, reading, pressure) {
            Ok(air) => hand.push(air),
            Err(message) => left_out.push(left(words, reading, LeftOutReason::OutsideEquations { message })),
        }
    }
    hand.sort_by_key(|air| air.time);
    (hand, left_out)
}

fn one(words: Words, reading: &AirReading, pressure: &AirPressure) -> Result<HandAir, String> {
    let pressure_pa = pressure.at(reading.time);
    let air = match reading.water {
        AirWater::Rh(rh) => moist::air(reading.air_temp.get(), rh.percent(), pressure_pa),
        AirWater::Gpp(gpp) => moist::air_of_gpp(reading.air_temp, gpp, pressure_pa),
    }
    .map_err(|error| error.to_string())?;
    let dew_point_c = air.dew_point().map(Celsius::get).ok_or(say!(words, "hand.air_without_water_has_no"))?;
    Ok(HandAir {
        time: reading.time,
        place: track_place(reading.place.place),
        chamber: reading.place.chamber.clone(),
        unit: reading.place.unit.clone(),
        air_temp_c: air.temperature().get(),
        rh_pct: air.rh().percent(),
        gpp: air.grains_per_pound().get(),
        dew_point_c,
        instrument: reading.instrument.clone(),
        by: reading.by.clone(),
        row: SourceRow::from(&reading.line),
    })
}

fn left(words: Words, reading: &AirReading, reason: LeftOutReason) -> LeftOut {
    LeftOut {
        logger: say!(words, "hand.air_by_hand", place = track_place(reading.place.place).said(words)),
        label: None,
        reason,
        samples: 1,
        first: reading.time,
        last: reading.time,
        rows: vec![SourceRow::from(&reading.line)],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::testing::{at, f, job};
    use grainfall_job::{AirPlace, Place};
    use grainfall_psychrometrics::{GrainsPerPound, Pascals, RelativeHumidity};
    use grainfall_record::RowRef;

    fn reading(time: &str, fahrenheit: f64, water: AirWater) -> AirReading {
        AirReading {
            time: at(time),
            place: AirPlace { place: Place::Affected, chamber: Some("A".into()), unit: None },
            air_temp: Celsius::new(f(fahrenheit)),
            water,
            instrument: None,
            by: None,
            line: RowRef::new("air.csv", 2),
        }
    }

    /// 80 F / 60 %: 92.0881 GPP, dew point 64.8755 F (psychrolib 2.5.0, 14.696 psia).
    #[test]
    fn humidity_and_grains_say_the_same() {
        let mut job = job();
        job.air_readings = vec![
            reading("2025-10-06T09:00:00Z", 80.0, AirWater::Gpp(GrainsPerPound::new(92.0881))),
            reading("2025-10-06T08:00:00Z", 80.0, AirWater::Rh(RelativeHumidity::from_percent(60.0).unwrap())),
        ];
        let pressure = AirPressure::constant(Pascals::from_psi(14.696).get());
        let (hand, left_out) = hand_air(&job, &pressure, at("2025-10-07T00:00:00Z"));
        assert!(left_out.is_empty());
        assert_eq!(hand[0].time, at("2025-10-06T08:00:00Z"));
        for air in &hand {
            assert!((air.rh_pct - 60.0).abs() < 0.001 && (air.gpp - 92.0881).abs() < 0.001, "{air:?}");
            assert!((air.dew_point_c - f(64.8755)).abs() < 0.001);
        }
    }

    #[test]
    fn more_grains_than_air_can_hold_are_left_out_with_the_reason() {
        let mut job = job();
        job.air_readings = vec![reading("2025-10-06T09:00:00Z", 50.0, AirWater::Gpp(GrainsPerPound::new(92.0)))];
        let (hand, left_out) = hand_air(&job, &AirPressure::constant(101_325.0), at("2025-10-07T00:00:00Z"));
        assert!(hand.is_empty());
        assert!(
            left_out[0].reason.said(grainfall_words::Words::default()).contains("humidity ratio"),
            "{}",
            left_out[0].reason.said(grainfall_words::Words::default())
        );
    }
}
