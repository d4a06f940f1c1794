//! Resistance readings of wood, corrected where the job asks: for the temperature of the wood, then for its species.
//!
//! What the meter showed is kept beside the result. A reading that cannot be corrected does not decide.

use grainfall_job::{Job, MeterCorrection, Point, ReadingValue, Scale};
use grainfall_psychrometrics::wood_resistance::{RESISTANCE_TEMPS_C, SpeciesCoefficients, corrected_moisture};
use grainfall_psychrometrics::{Celsius, WoodMoisture};
use grainfall_words::say;

use super::readings::PointReading;
use crate::evidence::{Assumption, CorrectedReading};
use crate::words::number;

/// What became of a reading.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Correction {
    /// Nothing was asked.
    None,
    /// Corrected: what a point of the reading is worth, and how it was done.
    Done { per_point: f64, evidence: CorrectedReading },
    /// Asked, and not possible.
    Impossible,
}

/// Corrects a reading by hand in place, where the job asks.
pub(crate) fn correct(job: &Job, point: &Point, reading: &mut PointReading) {
    let meter = reading.meter.as_deref().and_then(|id| job.meter(id));
    let Some(asked) = meter.and_then(|meter| meter.correction).filter(|_| reading.scale == Scale::WoodMc) else {
        return;
    };
    let (ReadingValue::Measured(shown) | ReadingValue::Above(shown)) = reading.value else { return };
    reading.correction = done(job, point, asked, shown, reading.surface_temp_c).unwrap_or(Correction::Impossible);
    if let Correction::Done { evidence, .. } = &reading.correction {
        reading.value = match reading.value {
            ReadingValue::Above(_) => ReadingValue::Above(evidence.corrected),
            _ => ReadingValue::Measured(evidence.corrected),
        };
    }
}

fn done(job: &Job, point: &Point, asked: MeterCorrection, shown: f64, temp_c: Option<f64>) -> Option<Correction> {
    let words = job.zone.words;
    let wood_temp_c = temp_c?;
    let (coefficients, by) = match asked {
        MeterCorrection::Temperature => {
            (SpeciesCoefficients::OF_THE_METER, say!(words, "correction.temperature").to_owned())
        }
        MeterCorrection::TemperatureAndSpecies => {
            let species = job.material(point.material.as_deref()?)?.species.as_ref()?;
            let SpeciesCoefficients { a, b } = species.coefficients;
            let by =
                say!(words, "correction.by", a = number(words, a, 3), b = number(words, b, 3), source = species.source);
            (species.coefficients, by)
        }
    };
    let moisture = corrected_moisture(WoodMoisture::new(shown), Celsius::new(wood_temp_c), coefficients).ok()?;
    // Below zero the coefficients do not fit the reading.
    (moisture.moisture_pct >= 0.0).then_some(Correction::Done {
        per_point: moisture.per_point,
        evidence: CorrectedReading { shown, corrected: moisture.moisture_pct, wood_temp_c, by },
    })
}

/// That readings are corrected at all, with the source: once for all meters that ask.
pub(crate) fn assumption(job: &Job) -> Option<Assumption> {
    let words = job.zone.words;
    let meters: Vec<String> =
        job.meters.iter().filter(|meter| meter.correction.is_some()).map(|meter| meter.id.clone()).collect();
    let [low, high] = RESISTANCE_TEMPS_C;
    (!meters.is_empty()).then(|| Assumption {
        text: say!(
            words,
            "correction.text",
            meters = words.list(&meters),
            low = number(words, low, 0),
            high = number(words, high, 0)
        ),
        source: say!(words, "correction.source").to_owned(),
        remedy: say!(words, "correction.remedy").to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::{Evidence, FindingKind, GoalVerdict, ReadingKind};
    use crate::testing::{evidence, of_kind, point, reading};
    use grainfall_job::{Material, Meter, Species};
    use grainfall_record::RowRef;

    fn job(correction: MeterCorrection) -> Job {
        let mut job = crate::air::testing::job();
        job.meters = vec![Meter {
            id: "M1".into(),
            kind: Some("pin".into()),
            scales: vec![Scale::WoodMc],
            accuracy: Some(0.5),
            correction: Some(correction),
            serial: None,
            calibrated: None,
            line: RowRef::new("job.toml", 9),
        }];
        job.materials = vec![Material {
            kind: "oak".into(),
            scale: None,
            goal: None,
            species: Some(Species {
                coefficients: SpeciesCoefficients { a: 0.8, b: 1.0 },
                source: "an invented table".into(),
            }),
            line: RowRef::new("job.toml", 12),
        }];
        job.points = vec![Point { material: Some("oak".into()), ..point("P1", 15.0) }];
        let mut warm = reading("2025-10-06T09:30:00Z", "P1", 16.0);
        warm.meter = Some("M1".into());
        warm.surface_temp = Some(Celsius::new(35.0));
        job.readings = vec![warm];
        job
    }

    /// 16 % at 35 C is 14.67 % (tests/reference/wood_resistance.csv): the goal of 15 % is met.
    #[test]
    fn a_warm_reading_is_corrected_and_what_was_shown_is_kept() {
        let point = &evidence(&job(MeterCorrection::Temperature), vec![], "2025-10-06T12:00:00Z").points[0];
        assert_eq!(point.verdict, GoalVerdict::Met);
        let read = &point.readings[0];
        let correction = read.correction.as_ref().unwrap();
        assert!((correction.shown - 16.0).abs() < 1e-12 && (correction.corrected - 14.67).abs() < 0.005);
        assert_eq!(read.kind, ReadingKind::Measured { value: correction.corrected });
    }

    /// (14.67 - 1.0) / 0.8 = 17.09.
    #[test]
    fn the_species_follows_the_temperature() {
        let point = &evidence(&job(MeterCorrection::TemperatureAndSpecies), vec![], "2025-10-06T12:00:00Z").points[0];
        assert_eq!(point.verdict, GoalVerdict::NotMet);
        assert!((point.last.unwrap() - 17.09).abs() < 0.01, "{:?}", point.last);
        assert!(point.readings[0].correction.as_ref().unwrap().by.contains("an invented table"));
    }

    /// With a = 0.5 a point of the meter is worth 1 / (0.881 x 1.0056^21 x 0.5) = 2.019 at 21 C, so that +-1.5 shown are
    /// +-3.03 (hand evaluation of the equation in tests/reference/README.md).
    fn read_with_a_steep_species(shown: &[f64]) -> Evidence {
        let mut job = job(MeterCorrection::TemperatureAndSpecies);
        job.meters[0].accuracy = Some(1.5);
        job.materials[0].species.as_mut().unwrap().coefficients = SpeciesCoefficients { a: 0.5, b: 0.0 };
        job.points[0].goal = Some(grainfall_job::GoalValue { value: 22.0, scale: None });
        job.points[0].dry_standard = Some(grainfall_job::DryStandard::Value(24.6));
        let of_day = |(day, shown): (u32, &f64)| grainfall_job::Reading {
            meter: Some("M1".into()),
            surface_temp: Some(Celsius::new(21.0)),
            ..reading(&format!("2025-10-{day:02}T09:30:00Z"), "P1", *shown)
        };
        job.readings = (6..).zip(shown).map(of_day).collect();
        evidence(&job, vec![], "2025-10-20T12:00:00Z")
    }

    /// 12.0, 11.0 and 12.3 shown are 24.31, 22.29 and 24.92: a rise of 2.63, more than a tenth and than 1.5 and less than
    /// 3.03; and 22.29 lies 2.31 below the dry standard.
    #[test]
    fn what_lies_within_the_corrected_accuracy_is_neither_a_rewetting_nor_over_dried() {
        let evidence = read_with_a_steep_species(&[12.0, 11.0, 12.3, 11.2]);
        let point = &evidence.points[0];
        assert!(point.readings.iter().all(|one| (one.accuracy.unwrap() - 3.028).abs() < 0.001));
        let kinds: Vec<FindingKind> = evidence.findings.iter().map(|one| one.kind).collect();
        assert!(!kinds.contains(&FindingKind::Rewetting) && !kinds.contains(&FindingKind::OverDried), "{kinds:?}");
        assert_eq!(point.forecast.as_ref().unwrap().readings, 4, "nothing breaks the stretch");
    }

    /// A first fall of 2.02 may be the meter's.
    #[test]
    fn a_fall_within_the_corrected_accuracy_does_not_end_a_stall() {
        let evidence = read_with_a_steep_species(&[12.0, 11.0, 11.0, 11.0, 11.0]);
        assert_eq!(of_kind(&evidence, FindingKind::Stall).len(), 1);
    }

    #[test]
    fn without_a_usable_temperature_it_does_not_decide() {
        for temp in [None, Some(Celsius::new(55.0))] {
            let mut job = job(MeterCorrection::Temperature);
            job.readings[0].surface_temp = temp;
            let point = &evidence(&job, vec![], "2025-10-06T12:00:00Z").points[0];
            assert_eq!(point.verdict, GoalVerdict::NotShown);
            assert!(point.readings[0].why_not.as_ref().unwrap().contains("temperature"), "{:?}", point.readings[0]);
        }
    }
}
