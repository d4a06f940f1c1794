//! Air at a running refrigerant dehumidifier outside the range its kind works in.

use grainfall_job::{EquipmentKind, Stay};
use grainfall_words::say;

use super::{Draft, Record};
use crate::air::cover::{cells, within};
use crate::air::instant::{SECONDS_PER_HOUR, micros, seconds};
use crate::evidence::{AirTrack, FindingKind, RunState, Subject, TrackPlace};
use crate::thresholds::{
    CONVENTIONAL_LEAST_GPP, CONVENTIONAL_LEAST_RH_PCT, REFRIGERANT_HIGH_C, REFRIGERANT_LOW_C, WORKING_RANGE_HOURS,
    WORKING_RANGE_MARGIN_K,
};
use crate::words::{moment, number};

/// What is outside.
#[derive(Clone, Copy, PartialEq)]
enum Outside {
    Cold,
    Hot,
    Dry,
}

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    let refrigerant = |stay: &&Stay| {
        matches!(stay.kind, EquipmentKind::DehumidifierLowGrain | EquipmentKind::DehumidifierRefrigerant)
    };
    record
        .job
        .equipment
        .iter()
        .filter(refrigerant)
        .flat_map(|stay| [Outside::Cold, Outside::Hot, Outside::Dry].map(|outside| of_stay(record, stay, outside)))
        .flatten()
        .collect()
}

fn of_stay(record: &Record<'_>, stay: &Stay, outside: Outside) -> Option<Draft> {
    let zone = record.zone();
    let words = zone.words;
    let track = inlet(record, stay)?;
    let span = (micros(stay.placed), micros(stay.removed.unwrap_or(record.clock).min(record.clock)));
    let unit = record.unit_air.iter().find(|air| air.unit == stay.unit);
    // Without an outlet logger nothing tells whether it ran: then its time on site counts.
    let stopped = |index: usize| {
        unit.is_some_and(|air| {
            air.runs.iter().any(|run| {
                run.from <= track.time[index]
                    && track.time[index] < run.to
                    && matches!(run.state, RunState::Stopped | RunState::Paused)
            })
        })
    };
    let is_outside = |index: usize| {
        let (Some(temp), Some(rh), Some(gpp)) = (track.air_temp_c[index], track.rh_pct[index], track.gpp[index]) else {
            return false;
        };
        match outside {
            Outside::Cold => temp < REFRIGERANT_LOW_C - WORKING_RANGE_MARGIN_K,
            Outside::Hot => temp > REFRIGERANT_HIGH_C + WORKING_RANGE_MARGIN_K,
            Outside::Dry => {
                stay.kind == EquipmentKind::DehumidifierRefrigerant
                    && rh < CONVENTIONAL_LEAST_RH_PCT
                    && gpp < CONVENTIONAL_LEAST_GPP
            }
        }
    };
    let cells = cells(&track.time, |i| track.gpp[i].is_some(), track.interval_s);
    let parts: Vec<(usize, i64)> = within(&cells, span.0, span.1).filter(|(index, _)| !stopped(*index)).collect();
    let hit: Vec<(usize, i64)> = parts.iter().copied().filter(|(index, _)| is_outside(*index)).collect();
    let hours = |parts: &[(usize, i64)]| seconds(parts.iter().map(|part| part.1).sum()) / SECONDS_PER_HOUR;
    if hours(&hit) < WORKING_RANGE_HOURS {
        return None;
    }
    let (first, last) = (hit.first()?.0, hit.last()?.0);
    let what = match outside {
        Outside::Cold => say!(words, "outside_working_range.below_70_degf_21_1").to_owned(),
        Outside::Hot => say!(words, "outside_working_range.above_90_degf_32_2").to_owned(),
        Outside::Dry => say!(
            words,
            "outside_working_range.below_and_gpp_where_a",
            conventional_least_rh_pct = number(words, CONVENTIONAL_LEAST_RH_PCT, 0),
            conventional_least_gpp = number(words, CONVENTIONAL_LEAST_GPP, 0)
        ),
    };
    Some(Draft {
        kind: FindingKind::OutsideWorkingRange,
        subject: Subject::Unit(stay.unit.clone()),
        from: track.time[first],
        to: Some(track.time[last]),
        text: say!(
            words,
            "outside_working_range.text",
            unit = stay.unit,
            label = track.label,
            how = what,
            hours = number(words, hours(&hit), 1),
            all_hours = number(words, hours(&parts), 1),
            from = moment(track.time[first], zone),
            to = moment(track.time[last], zone)
        ),
        threshold: say!(
            words,
            "outside_working_range.threshold",
            working_range_margin_k = number(words, WORKING_RANGE_MARGIN_K, 0),
            working_range_hours = number(words, WORKING_RANGE_HOURS, 0)
        ),
        rows: vec![track.rows[first].clone(), track.rows[last].clone()],
    })
}

/// Its inlet logger, else an affected logger of its one chamber.
fn inlet<'a>(record: &Record<'a>, stay: &Stay) -> Option<&'a AirTrack> {
    let own = |track: &&AirTrack| track.place == TrackPlace::Inlet && track.unit.as_deref() == Some(stay.unit.as_str());
    let room = |track: &&AirTrack| {
        track.place == TrackPlace::Affected
            && stay.chambers.len() == 1
            && track.chamber.as_ref() == stay.chambers.first()
    };
    record.tracks.iter().find(own).or_else(|| record.tracks.iter().find(room))
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{d1, f, in_a, job, steady};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use grainfall_job::{EquipmentKind, Place};

    fn found(kind: EquipmentKind, air: (f64, f64)) -> usize {
        let mut job = job();
        job.loggers = vec![in_a("W", Place::Affected)];
        job.equipment = vec![d1("2025-10-06T00:00:00Z", None)];
        job.equipment[0].kind = kind;
        let series = steady("W", "2025-10-06T00:00:00Z", 600, 145, air);
        of_kind(&evidence(&job, vec![series], "2025-10-07T00:00:00Z"), FindingKind::OutsideWorkingRange).len()
    }

    #[test]
    fn cold_hot_and_dry_air() {
        use EquipmentKind::{DehumidifierDesiccant, DehumidifierLowGrain, DehumidifierRefrigerant};
        assert_eq!(found(DehumidifierLowGrain, (f(80.0), 40.0)), 0);
        assert_eq!(found(DehumidifierLowGrain, (f(69.5), 50.0)), 0, "inside the margin");
        assert_eq!(found(DehumidifierLowGrain, (f(62.0), 50.0)), 1);
        assert_eq!(found(DehumidifierLowGrain, (f(95.0), 20.0)), 1);
        assert_eq!(found(DehumidifierRefrigerant, (f(75.0), 35.0)), 1, "45 GPP");
        assert_eq!(found(DehumidifierLowGrain, (f(75.0), 35.0)), 0);
        assert_eq!(found(DehumidifierDesiccant, (f(62.0), 50.0)), 0);
    }
}
