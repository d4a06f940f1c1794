//! The air of a chamber at any instant, for what is judged at a reading.

use chrono::{DateTime, Utc};
use grainfall_job::Job;
use grainfall_psychrometrics::uncertainty::SensorAccuracy;
use grainfall_words::say;

use super::airs::{Airs, At};
use super::instant::micros;
use super::moist;
use super::pressure::AirPressure;
use crate::evidence::{AirTrack, HandAir, TrackPlace};
use crate::thresholds::HAND_REACH;

/// The air at an instant with its source.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct AirAt {
    /// Temperature, degC.
    pub(crate) air_temp_c: f64,
    /// Relative humidity, %.
    pub(crate) rh_pct: f64,
    /// Vapour pressure, Pa.
    pub(crate) vapour_pressure_pa: f64,
    /// Wet bulb, degC.
    pub(crate) wet_bulb_c: f64,
    /// Grains per pound.
    pub(crate) gpp: f64,
    /// Which air: labels of the loggers, or the reading by hand.
    pub(crate) label: String,
}

/// The affected air of a chamber at an instant: the mean of its affected loggers that have a sample within one of
/// their intervals; else of the inlet loggers of units on site in it; else the nearest reading by hand of its affected
/// air within 2 h. `None` where none of these tells.
pub(crate) fn air_at(sources: &AirSources<'_>, chamber: &str, time: DateTime<Utc>) -> Option<AirAt> {
    sources
        .logged(|track| track.place == TrackPlace::Affected && track.chamber.as_deref() == Some(chamber), time)
        .or_else(|| {
            let on_site: Vec<&str> = sources
                .job
                .equipment
                .iter()
                .filter(|stay| stay.chambers.iter().any(|id| id == chamber))
                .filter(|stay| stay.placed <= time && stay.removed.is_none_or(|removed| time <= removed))
                .map(|stay| stay.unit.as_str())
                .collect();
            sources.logged(
                |track| {
                    track.place == TrackPlace::Inlet
                        && track.unit.as_deref().is_some_and(|unit| on_site.contains(&unit))
                },
                time,
            )
        })
        .or_else(|| sources.by_hand(chamber, time))
}

/// Where the air at an instant is looked up.
pub(crate) struct AirSources<'a> {
    /// The job.
    pub(crate) job: &'a Job,
    /// All tracks.
    pub(crate) tracks: &'a [AirTrack],
    /// Their sensors.
    pub(crate) sensors: &'a [SensorAccuracy],
    /// Readings by hand, by time.
    pub(crate) hand_air: &'a [HandAir],
    /// The pressure.
    pub(crate) pressure: &'a AirPressure,
}

impl AirSources<'_> {
    fn logged(&self, wanted: impl Fn(&AirTrack) -> bool, time: DateTime<Utc>) -> Option<AirAt> {
        let airs = Airs::around(self.tracks.iter().filter(|track| wanted(track)), self.sensors, micros(time));
        let (air, labels) = airs.at(At::Moment { time: micros(time) })?;
        let labels: Vec<String> = labels.into_iter().map(str::to_owned).collect();
        Some(AirAt {
            air_temp_c: air.air_temp_c,
            rh_pct: air.rh_pct,
            vapour_pressure_pa: air.vapour_pressure_pa,
            wet_bulb_c: air.wet_bulb_c,
            gpp: air.gpp,
            label: self.job.zone.words.list(&labels),
        })
    }

    fn by_hand(&self, chamber: &str, time: DateTime<Utc>) -> Option<AirAt> {
        let nearest = self
            .hand_air
            .iter()
            .filter(|air| air.place == TrackPlace::Affected && air.chamber.as_deref() == Some(chamber))
            .filter(|air| (air.time - time).abs() <= HAND_REACH)
            .min_by_key(|air| ((air.time - time).abs(), air.time))?;
        let air = moist::air(nearest.air_temp_c, nearest.rh_pct, self.pressure.at(nearest.time)).ok()?;
        Some(AirAt {
            air_temp_c: nearest.air_temp_c,
            rh_pct: nearest.rh_pct,
            vapour_pressure_pa: air.vapour_pressure().get(),
            wet_bulb_c: air.wet_bulb().get(),
            gpp: nearest.gpp,
            label: say!(
                self.job.zone.words,
                "hand.affected_air_by_hand_line",
                file = nearest.row.file,
                row = nearest.row.row
            ),
        })
    }
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{analyse, at, at_d1, d1, f, in_a, job, steady};
    use grainfall_job::{AirPlace, AirReading, AirWater, Place};
    use grainfall_psychrometrics::{Celsius, RelativeHumidity};
    use grainfall_record::RowRef;

    const MIDNIGHT: &str = "2025-10-06T00:00:00Z";
    const CLOCK: &str = "2025-10-07T00:00:00Z";

    #[test]
    fn affected_air_comes_first_then_the_inlet_then_the_hand() {
        let mut job = job();
        job.loggers = vec![in_a("W", Place::Affected), at_d1("IN", Place::Inlet)];
        job.equipment = vec![d1(MIDNIGHT, None)];
        job.air_readings = vec![AirReading {
            time: at("2025-10-06T20:00:00Z"),
            place: AirPlace { place: Place::Affected, chamber: Some("A".into()), unit: None },
            air_temp: Celsius::new(f(80.0)),
            water: AirWater::Rh(RelativeHumidity::from_percent(60.0).unwrap()),
            instrument: None,
            by: None,
            line: RowRef::new("air.csv", 7),
        }];
        // The affected logger ends at 6:00, the inlet logger at 12:00.
        let affected = steady("W", MIDNIGHT, 600, 37, (20.0, 50.0));
        let inlet = steady("IN", MIDNIGHT, 600, 73, (22.0, 50.0));
        let air = analyse(&job, vec![affected, inlet], CLOCK);
        let label = |time: &str| air.at("A", at(time)).map(|air| air.label);
        assert_eq!(label("2025-10-06T03:03:00Z").as_deref(), Some("affected, Kitchen"));
        assert_eq!(label("2025-10-06T06:10:00Z").as_deref(), Some("affected, Kitchen"), "one interval past its end");
        assert_eq!(label("2025-10-06T06:11:00Z").as_deref(), Some("D1 inlet"));
        assert_eq!(label("2025-10-06T15:00:00Z"), None);
        assert_eq!(label("2025-10-06T18:00:00Z").as_deref(), Some("affected air by hand, air.csv line 7"));
        assert_eq!(label("2025-10-06T17:59:00Z"), None, "more than 2 h away");
        assert_eq!(air.at("B", at("2025-10-06T03:00:00Z")), None);
        // 80 F / 60 %: vapour pressure 0.6 x 3498.084 Pa, wet bulb 20.9165 C (psychrolib 2.5.0, SI equations).
        let hand = air.at("A", at("2025-10-06T20:00:00Z")).unwrap();
        assert!((hand.vapour_pressure_pa - 2098.85).abs() < 0.05, "{}", hand.vapour_pressure_pa);
        assert!((hand.wet_bulb_c - 20.9165).abs() < 0.001, "{}", hand.wet_bulb_c);
    }
}
