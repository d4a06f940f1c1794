//! What each logger reads beside a reference it stood next to: a bias measured by the job's own record. It is always told,
//! and taken off only where the job asks for it.

use chrono::{DateTime, Utc};
use grainfall_job::{Job, SideBySide};
use grainfall_record::{Ledger, LoggerSelector, LoggerSeries, Quantity, TidyFrame};
use grainfall_words::{Words, say};

use super::cover::usual_interval_s;
use super::instant::micros;
use super::matching::Lookup;
use super::placement::{Placed, selector_text};
use crate::evidence::{Assumption, BiasMeasured, BiasOf, BiasStep, Missing, SourceRow};
use crate::rules::{SIDE_BY_SIDE_HOURS, SIDE_BY_SIDE_SAMPLES};
use crate::select;
use crate::words::{hours, moment, number};

/// The bias of every logger that stood beside a reference, in the order of the job; and what could not be measured.
pub(crate) fn measured(
    job: &Job,
    frame: &TidyFrame,
    ledger: &Ledger,
    clock: DateTime<Utc>,
) -> (Vec<BiasMeasured>, Vec<Missing>) {
    let words = job.zone.words;
    let (mut found, mut missing) = (Vec::new(), Vec::new());
    for entry in job.side_by_side.iter().filter(|entry| entry.to <= clock) {
        for select in &entry.loggers {
            match beside(words, entry, select, frame, ledger) {
                Ok(bias) => found.push(bias),
                Err(why) => missing.push(Missing {
                    text: say!(
                        words,
                        "bias.no_bias_of_the_logger",
                        select = selector_text(words, select),
                        reference = selector_text(words, &entry.reference),
                        entry = moment(entry.from, job.zone),
                        to = moment(entry.to, job.zone),
                        why = why
                    ),
                    remedy: say!(words, "bias.add_the_exports_of_that", line = entry.line.to_string()),
                }),
            }
        }
    }
    (found, missing)
}

fn beside(
    words: Words,
    entry: &SideBySide,
    select: &LoggerSelector,
    frame: &TidyFrame,
    ledger: &Ledger,
) -> Result<BiasMeasured, String> {
    let only = |select: &LoggerSelector| match select::series(frame, ledger, select).as_slice() {
        [one] => Ok(*one),
        [] => Err(say!(words, "bias.no_export_of_the_logger", select = selector_text(words, select))),
        _ => Err(say!(words, "bias.names_several_loggers", select = selector_text(words, select))),
    };
    let (logger, reference) = (only(select)?, only(&entry.reference)?);
    let inside: Vec<usize> =
        (0..logger.len()).filter(|i| entry.from <= logger.time[*i] && logger.time[*i] < entry.to).collect();
    let temp = difference(logger, reference, &inside, Quantity::AirTemp);
    let rh = difference(logger, reference, &inside, Quantity::RelativeHumidity);
    let (Some(first), Some(last)) = (inside.first(), inside.last()) else {
        return Err(say!(words, "bias.it_has_no_sample_then").to_owned());
    };
    let (Some(temp_k), Some(rh_pct)) = (temp, rh) else {
        return Err(say!(
            words,
            "bias.fewer_than_samples_over_h",
            side_by_side_samples = SIDE_BY_SIDE_SAMPLES,
            side_by_side_hours = words.figure(SIDE_BY_SIDE_HOURS.to_string())
        ));
    };
    Ok(BiasMeasured {
        logger: logger.logger.clone(),
        reference: reference.logger.clone(),
        from: entry.from,
        to: entry.to,
        temp_k,
        rh_pct,
        applied: entry.apply,
        rows: [*first, *last].iter().filter_map(|i| logger.source(*i)).map(|row| SourceRow::from(&row)).collect(),
    })
}

/// Logger minus reference over matched samples; `None` with too few of them or over too short a time.
fn difference(logger: &LoggerSeries, reference: &LoggerSeries, inside: &[usize], quantity: Quantity) -> Option<BiasOf> {
    let (own, other) = (logger.column(quantity)?, reference.column(quantity)?);
    let lookup = Lookup::new(&reference.time, |i| other[i].is_some(), usual_interval_s(&reference.time));
    let interval_s = usual_interval_s(&logger.time);
    let pairs: Vec<(usize, f64)> = inside
        .iter()
        .filter_map(|i| Some((*i, own[*i]? - lookup.at(micros(logger.time[*i]), interval_s)?.value(other)?)))
        .collect();
    let span = logger.time[pairs.last()?.0] - logger.time[pairs.first()?.0];
    if pairs.len() < SIDE_BY_SIDE_SAMPLES || hours(span) < SIDE_BY_SIDE_HOURS {
        return None;
    }
    #[allow(clippy::cast_precision_loss)]
    let count = pairs.len() as f64;
    let mean = pairs.iter().map(|(_, d)| d).sum::<f64>() / count;
    let variance = pairs.iter().map(|(_, d)| (d - mean) * (d - mean)).sum::<f64>() / (count - 1.0);
    Some(BiasOf { mean, deviation: variance.sqrt(), samples: pairs.len() as u64 })
}

/// The bias of a placement's logger: as stated in the job, else as measured beside a reference.
pub(crate) fn step(placed: &Placed<'_>, measured: &[BiasMeasured]) -> Option<BiasStep> {
    if let Some(stated) = placed.placement.and_then(|placement| placement.bias) {
        return Some(BiasStep {
            temp_k: stated.temp.map_or(0.0, |temp| temp.get()),
            rh_pct: stated.rh_pct.unwrap_or(0.0),
            applied: stated.apply,
            reference: None,
        });
    }
    // The last time it was measured counts; one that the job asks for comes first.
    let own = || measured.iter().filter(|one| one.logger == placed.series.logger);
    let bias = own().rfind(|one| one.applied).or_else(|| own().next_back())?;
    Some(BiasStep {
        temp_k: bias.temp_k.mean,
        rh_pct: bias.rh_pct.mean,
        applied: bias.applied,
        reference: Some(bias.reference.clone()),
    })
}

/// The recorded step of one logger.
pub(crate) fn assumption(words: Words, label: &str, step: &BiasStep) -> Assumption {
    let basis = match &step.reference {
        Some(reference) => say!(words, "bias.measured_beside", reference = reference),
        None => say!(words, "bias.stated_in_job_toml").to_owned(),
    };
    let done = match step.applied {
        true => say!(words, "bias.taken_off_its_readings_the"),
        false => say!(words, "bias.not_taken_off_its_readings"),
    };
    Assumption {
        text: say!(
            words,
            "bias.the_bias_of_c_and",
            label = label,
            temp_k = signed(words, step.temp_k, 2),
            rh_pct = signed(words, step.rh_pct, 1),
            basis = basis,
            done = done
        ),
        source: say!(words, "bias.the_job_s_own_record").to_owned(),
        remedy: say!(words, "bias.job_toml_apply_bias_in").to_owned(),
    }
}

fn signed(words: Words, value: f64, decimals: u8) -> String {
    let text = number(words, value, decimals.into());
    if value > 0.0 { format!("+{text}") } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::testing::{analyse, at, in_a, job, steady};
    use grainfall_job::{Place, StatedBias};
    use grainfall_record::RowRef;

    const START: &str = "2025-10-06T00:00:00Z";
    const END: &str = "2025-10-06T12:00:00Z";

    fn beside(apply: bool, to: &str) -> Job {
        let mut job = job();
        job.loggers = vec![in_a("R", Place::Affected), in_a("W", Place::Affected)];
        job.side_by_side = vec![SideBySide {
            reference: LoggerSelector::Serial("R".into()),
            loggers: vec![LoggerSelector::Serial("W".into())],
            from: at(START),
            to: at(to),
            apply,
            line: RowRef::new("job.toml", 12),
        }];
        job
    }

    /// W reads 0.5 degC above and 3 %RH below R, all day.
    fn series() -> Vec<LoggerSeries> {
        vec![steady("R", START, 600, 73, (20.0, 50.0)), steady("W", START, 600, 73, (20.5, 47.0))]
    }

    #[test]
    fn a_measured_bias_is_told_and_taken_off_only_when_asked() {
        for apply in [false, true] {
            let air = analyse(&beside(apply, "2025-10-06T02:00:00Z"), series(), END);
            let bias = &air.side_by_side[0];
            assert!((bias.temp_k.mean - 0.5).abs() < 1e-9 && (bias.rh_pct.mean + 3.0).abs() < 1e-9, "{bias:?}");
            assert_eq!((bias.temp_k.samples, bias.rh_pct.deviation, bias.applied), (12, 0.0, apply));
            let track = air.tracks.iter().find(|track| track.logger == 1).unwrap();
            let expected = if apply { (20.0, 50.0) } else { (20.5, 47.0) };
            assert_eq!((track.air_temp_c[72], track.rh_pct[72]), (Some(expected.0), Some(expected.1)));
            let step = air.loggers[1].bias.as_ref().unwrap();
            assert_eq!((step.applied, step.reference.as_deref()), (apply, Some("R")));
            assert!(air.loggers[0].bias.is_none(), "the reference has none");
            let told = air.assumptions.iter().any(|one| one.text.contains("measured beside R"));
            assert!(told, "{:?}", air.assumptions);
        }
    }

    #[test]
    fn half_an_hour_side_by_side_measures_nothing() {
        let air = analyse(&beside(true, "2025-10-06T00:30:00Z"), series(), END);
        assert!(air.side_by_side.is_empty());
        assert_eq!(air.tracks[1].air_temp_c[0], Some(20.5));
        assert!(air.missing.iter().any(|one| one.text.contains("beside serial “R”")), "{:?}", air.missing);
    }

    #[test]
    fn a_stated_bias_comes_before_a_measured_one() {
        let mut job = beside(true, "2025-10-06T02:00:00Z");
        job.loggers[1].bias = Some(StatedBias { temp: None, rh_pct: Some(-2.0), apply: true });
        let air = analyse(&job, series(), END);
        assert_eq!(air.tracks[1].rh_pct[0], Some(49.0));
    }
}
