//! A logger whose humidity is off against others that stand in the same air.
//!
//! Rooms are uneven in temperature, and with it in relative humidity; the vapour in the air of a mixed room is not. So
//! each logger's humidity is compared with what the others' vapour pressure gives at its own temperature.

use grainfall_psychrometrics::{Celsius, Saturation, saturation_vapour_pressure};
use grainfall_words::say;

use super::neighbours::{in_air, median};
use super::{Draft, Record};
use crate::air::instant::micros;
use crate::air::matching::Lookup;
use crate::evidence::{AirTrack, FindingKind, Subject};
use crate::thresholds::{BIAS_OVERLAP, BIAS_RH_PCT, BIAS_SPREAD_SHARE};
use crate::words::{hours, moment, number};

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    record.chambers.iter().flat_map(|chamber| of_group(record, &in_air(record, &chamber.id))).collect()
}

/// What one logger reads above the others: the median difference, % points, and the samples it rests on.
struct Against {
    track: usize,
    others: Vec<usize>,
    median_pct: f64,
    /// Median distance of the differences from it.
    spread_pct: f64,
    first: usize,
    last: usize,
}

fn of_group(record: &Record<'_>, group: &[usize]) -> Vec<Draft> {
    let lookups: Vec<Lookup> = group
        .iter()
        .map(|index| {
            let track = &record.tracks[*index];
            Lookup::new(&track.time, |i| track.vapour_pressure_pa[i].is_some(), track.interval_s)
        })
        .collect();
    let off: Vec<Against> = (0..group.len())
        .filter_map(|own| against(record.tracks, group, &lookups, own))
        .filter(|against| against.median_pct.abs() > BIAS_RH_PCT)
        .filter(|against| against.spread_pct <= BIAS_SPREAD_SHARE * against.median_pct.abs())
        .collect();
    // Of two loggers nothing tells which is off: one finding names both. Of more, the one farthest off is named: it
    // pulls the others' comparison too.
    let Some(worst) = off.iter().max_by(|a, b| a.median_pct.abs().total_cmp(&b.median_pct.abs())) else {
        return Vec::new();
    };
    vec![draft(record, worst, group.len() == 2)]
}

fn against(tracks: &[AirTrack], group: &[usize], lookups: &[Lookup], own: usize) -> Option<Against> {
    let track = &tracks[group[own]];
    let mut differences = Vec::new();
    let (mut first, mut last) = (None, 0);
    for i in 0..track.time.len() {
        let (Some(temp), Some(rh)) = (track.air_temp_c[i], track.rh_pct[i]) else { continue };
        let others: Vec<f64> = group
            .iter()
            .zip(lookups)
            .enumerate()
            .filter(|(k, _)| *k != own)
            .filter_map(|(_, (other, lookup))| {
                lookup.at(micros(track.time[i]), track.interval_s)?.value(&tracks[*other].vapour_pressure_pa)
            })
            .collect();
        let Some(vapour) = median(others) else { continue };
        let Ok(saturated) = saturation_vapour_pressure(Celsius::new(temp), Saturation::LiquidWater) else { continue };
        differences.push(rh - 100.0 * vapour / saturated.get());
        first = first.or(Some(i));
        last = i;
    }
    let first = first?;
    if track.time[last] - track.time[first] < BIAS_OVERLAP {
        return None;
    }
    let middle = median(differences.clone())?;
    let spread_pct = median(differences.iter().map(|one| (one - middle).abs()).collect())?;
    Some(Against {
        track: group[own],
        others: group.iter().copied().filter(|other| *other != group[own]).collect(),
        median_pct: middle,
        spread_pct,
        first,
        last,
    })
}

fn draft(record: &Record<'_>, against: &Against, pair: bool) -> Draft {
    let zone = record.zone();
    let words = zone.words;
    let track = &record.tracks[against.track];
    let others: Vec<String> = against.others.iter().map(|other| record.tracks[*other].label.clone()).collect();
    let (from, to) = (track.time[against.first], track.time[against.last]);
    let sides =
        if against.median_pct > 0.0 { say!(words, "logger_bias.above") } else { say!(words, "logger_bias.below") };
    let whose = if pair { say!(words, "logger_bias.nothing_tells_which_of_the") } else { "" };
    Draft {
        kind: FindingKind::LoggerBias,
        subject: Subject::Logger(record.loggers[track.logger].logger.clone()),
        from,
        to: Some(to),
        text: say!(
            words,
            "logger_bias.text",
            label = track.label,
            median_pct = number(words, against.median_pct.abs(), 1),
            sides = sides,
            others = words.list(&others),
            from = moment(from, zone),
            to = moment(to, zone),
            whose = whose
        ),
        threshold: say!(
            words,
            "logger_bias.threshold",
            bias_rh_pct = number(words, BIAS_RH_PCT, 0),
            bias_overlap = number(words, hours(BIAS_OVERLAP), 0)
        ),
        rows: vec![track.rows[against.first].clone(), track.rows[against.last].clone()],
    }
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{in_a, job, steady};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use grainfall_job::Place;

    /// 25 C / 40 % and 27 C / 35.5 % hold the same vapour: 0.40 x 3169.2 = 1267.7 Pa over 3567 Pa at 27 C.
    fn found(third_rh: f64, with_third: bool) -> Vec<(String, String)> {
        let mut job = job();
        let mut series = vec![];
        for (id, air) in [("W1", (25.0, 40.0)), ("W2", (27.0, 35.5)), ("W3", (25.0, third_rh))] {
            if with_third || id != "W2" {
                job.loggers.push(in_a(id, Place::Affected));
                series.push(steady(id, "2025-10-06T00:00:00Z", 600, 73, air));
            }
        }
        let evidence = evidence(&job, series, "2025-10-06T12:00:00Z");
        of_kind(&evidence, FindingKind::LoggerBias)
            .iter()
            .map(|one| (one.subject.id().to_owned(), one.text.clone()))
            .collect()
    }

    #[test]
    fn the_one_that_is_off_is_named_with_its_bias() {
        let found = found(46.0, true);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].0, "W3");
        assert!(found[0].1.contains("6 %RH above"), "{found:?}");
    }

    #[test]
    fn of_two_nothing_tells_which() {
        let found = found(46.0, false);
        assert_eq!(found.len(), 1);
        assert!(found[0].1.contains("Nothing tells which"), "{found:?}");
    }

    #[test]
    fn uneven_temperature_is_no_bias() {
        assert!(found(40.5, true).is_empty());
    }
}
