//! How far each logger may be off: stated in the job, else assumed and said so.

use grainfall_job::{LoggerPlacement, SensorStatement};
use grainfall_psychrometrics::RelativeHumidityDelta;
use grainfall_psychrometrics::uncertainty::{Accuracy, AccuracyBasis, Distribution, SensorAccuracy};
use grainfall_words::{Words, say};

use crate::error::Error;
use crate::evidence::Assumption;

/// The accuracy of a placement's sensor.
///
/// # Errors
/// [`Error::Entry`] when a stated limit is negative or no number.
pub(crate) fn sensor_accuracy(placement: Option<&LoggerPlacement>) -> Result<SensorAccuracy, Error> {
    let Some(placement) = placement else {
        return Ok(SensorAccuracy::assumed());
    };
    from_statement(&placement.accuracy)
        .map_err(|source| Error::Entry { entry: format!("logger at {}", placement.line), source })
}

fn from_statement(statement: &SensorStatement) -> Result<SensorAccuracy, grainfall_psychrometrics::Error> {
    let distribution = if statement.stated_at_k2 { Distribution::NormalK2 } else { Distribution::Rectangular };
    let mut sensor = SensorAccuracy::assumed();
    if let Some(limit) = statement.temp {
        sensor.temp = Accuracy::stated(limit, distribution)?;
    }
    if let Some(limit_pct) = statement.rh_pct {
        sensor.rh = Accuracy::stated(RelativeHumidityDelta::new(limit_pct), distribution)?;
    }
    Ok(sensor)
}

/// What is assumed of the sensors, one entry for each kind of limit with the labels it holds for, in label order.
pub(crate) fn assumptions<'a>(
    words: Words,
    sensors: impl Iterator<Item = (&'a str, &'a SensorAccuracy)>,
) -> Vec<Assumption> {
    let (mut temp, mut rh) = (Vec::new(), Vec::new());
    for (label, sensor) in sensors {
        if sensor.temp.basis() == AccuracyBasis::Assumed {
            temp.push(format!("“{label}”"));
        }
        if sensor.rh.basis() == AccuracyBasis::Assumed {
            rh.push(format!("“{label}”"));
        }
    }
    temp.sort();
    rh.sort();
    let assumed = SensorAccuracy::assumed();
    [
        (
            temp,
            say!(
                words,
                "accuracy.degf_of_temperature",
                temp_f = words.figure(assumed.temp.limit().to_fahrenheit_degrees().to_string())
            ),
            "temp_accuracy = \"0.5 F\"",
        ),
        (
            rh,
            say!(words, "accuracy.rh_of_humidity", rh = words.figure(assumed.rh.limit().get().to_string())),
            "rh_accuracy = \"2 %\"",
        ),
    ]
    .into_iter()
    .filter(|(labels, ..)| !labels.is_empty())
    .map(|(labels, limit, line)| Assumption {
        text: say!(words, "accuracy.text", labels = words.list(&labels), limit = limit),
        source: say!(words, "accuracy.source").to_owned(),
        remedy: say!(words, "accuracy.remedy", line = line),
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use grainfall_psychrometrics::CelsiusDelta;

    #[test]
    fn what_is_stated_is_used_and_the_rest_is_assumed() {
        let sensor =
            from_statement(&SensorStatement { temp: Some(CelsiusDelta::new(0.2)), rh_pct: None, stated_at_k2: true })
                .unwrap();
        assert!((sensor.temp.standard().get() - 0.1).abs() < 1e-12, "k = 2: 0.2 / 2");
        // 2 / sqrt 3 = 1.1547 (JCGM 100:2008, 4.3.7).
        assert!((sensor.rh.standard().get() - 1.1547).abs() < 1e-4);
        let list = assumptions(Words::default(), [("outdoor", &sensor)].into_iter());
        assert_eq!(list.len(), 1);
        assert_eq!(list[0].text, "The accuracy of “outdoor” is ±2 %RH of humidity, as rectangular limits.");
    }

    #[test]
    fn assumed_limits_print_as_they_are_meant() {
        let sensor = SensorAccuracy::assumed();
        let texts: Vec<_> = assumptions(Words::default(), [("b", &sensor), ("a", &sensor)].into_iter())
            .into_iter()
            .map(|a| a.text)
            .collect();
        assert_eq!(
            texts,
            [
                "The accuracy of “a” and “b” is ±0.5 °F of temperature, as rectangular limits.",
                "The accuracy of “a” and “b” is ±2 %RH of humidity, as rectangular limits."
            ]
        );
    }

    #[test]
    fn a_negative_limit_is_refused() {
        let error = from_statement(&SensorStatement { rh_pct: Some(-1.0), ..SensorStatement::default() }).unwrap_err();
        assert!(error.to_string().contains("-1"), "{error}");
    }
}
