//! Affected air that jumps towards outdoor air: a door or window stood open.
//!
//! Looked for on the chamber's densest affected logger that stands in its place and whose clock is right, else on the inlet
//! of its unit, beside outdoor air: the difference in moisture shrinks by a large share within an hour, suddenly and from a level that had held, with the
//! temperature following where outdoors is warmer or colder, and clear of any unit set, taken away, started or stopped.
//! Colder, wetter air need not cool a chamber: its dehumidifier turns the vapour that comes in to heat. Air that gets wetter
//! while a point of the chamber does has its moisture from there.

use chrono::{DateTime, Utc};
use grainfall_words::say;

use super::neighbours::{in_air, median, samples};
use super::{Draft, Record};
use crate::air::instant::micros;
use crate::air::matching::Lookup;
use crate::evidence::{AirTrack, ChamberEvidence, FindingKind, Subject, TrackPlace};
use crate::thresholds::{
    OPENED_BEFORE_PART, OPENED_CLEAR_AFTER, OPENED_CLEAR_OF_UNITS, OPENED_FIRST_STEP, OPENED_HELD, OPENED_LEAST,
    OPENED_LEAST_GAP_GPP, OPENED_LONGEST, OPENED_RECOVERED, OPENED_SHARE, OPENED_STILL_OPEN, OPENED_TEMP_GAP_K,
    OPENED_TEMP_SHARE, OPENED_WITHIN,
};
use crate::words::{hours, moment, number};

/// Affected and outdoor air at one instant.
struct Pair {
    index: usize,
    time: DateTime<Utc>,
    ours_gpp: f64,
    theirs_gpp: f64,
    u_gpp: f64,
    ours_c: f64,
    theirs_c: f64,
}

pub(super) fn find(record: &Record<'_>) -> Vec<Draft> {
    record.chambers.iter().flat_map(|chamber| of_chamber(record, chamber)).collect()
}

fn of_chamber(record: &Record<'_>, chamber: &ChamberEvidence) -> Vec<Draft> {
    let count = |index: &usize| record.tracks[*index].gpp.iter().flatten().count();
    // The chamber's own loggers before the inlets of its units; of those the densest, of equal ones the first.
    let affected = in_air(record, &chamber.id)
        .into_iter()
        .rev()
        .filter(|index| record.on_time(*index))
        .max_by_key(|index| (record.tracks[*index].place == TrackPlace::Affected, count(index)));
    let outdoor = (0..record.tracks.len())
        .rev()
        .filter(|index| record.tracks[*index].place == TrackPlace::Outdoor && record.in_its_place(*index))
        .max_by_key(count);
    let (Some(affected), Some(outdoor)) = (affected, outdoor) else { return Vec::new() };
    let affected = &record.tracks[affected];
    let pairs = pairs(affected, &record.tracks[outdoor]);
    let events = unit_events(record, &chamber.id);
    let rises = rises(record, &chamber.id);
    openings(&pairs, &events)
        .into_iter()
        .filter(|opening| {
            let at = pairs[opening.before].time;
            opening.gap_gpp > 0.0 || !rises.iter().any(|(from, to)| *from <= at && at <= *to)
        })
        .map(|opening| draft(record, chamber, affected, &pairs, &opening))
        .collect()
}

/// Spans from a reading to the next in which a point of the chamber got wetter: the air may have its moisture from there.
fn rises(record: &Record<'_>, chamber: &str) -> Vec<(DateTime<Utc>, DateTime<Utc>)> {
    let stood_in = |draft: &&Draft| {
        let point = record.points.iter().find(|point| point.id == draft.subject.id());
        point.is_some_and(|point| point.lies_in(chamber, draft.from))
    };
    let found = record.rewettings().iter().filter(stood_in);
    found.map(|draft| (draft.from, draft.to.unwrap_or(draft.from))).collect()
}

fn pairs(affected: &AirTrack, outdoor: &AirTrack) -> Vec<Pair> {
    let lookup = Lookup::new(&outdoor.time, |i| outdoor.gpp[i].is_some(), outdoor.interval_s);
    (0..affected.time.len())
        .filter_map(|index| {
            let matched = lookup.at(micros(affected.time[index]), affected.interval_s)?;
            Some(Pair {
                index,
                time: affected.time[index],
                ours_gpp: affected.gpp[index]?,
                theirs_gpp: matched.value(&outdoor.gpp)?,
                u_gpp: affected
                    .u_gpp_by(|column| column[index])?
                    .minus(outdoor.u_gpp_by(|column| matched.value(column))?)
                    .total(),
                ours_c: affected.air_temp_c[index]?,
                theirs_c: matched.value(&outdoor.air_temp_c)?,
            })
        })
        .collect()
}

/// Moments at which a unit of the chamber was set, taken away, started or stopped.
fn unit_events(record: &Record<'_>, chamber: &str) -> Vec<DateTime<Utc>> {
    let stays = record.job.equipment.iter().filter(|stay| stay.chambers.iter().any(|id| id == chamber));
    let mut events: Vec<DateTime<Utc>> = Vec::new();
    for stay in stays {
        events.push(stay.placed);
        events.extend(stay.removed);
        let air = record.unit_air.iter().filter(|air| air.unit == stay.unit);
        events.extend(air.flat_map(|air| air.runs.windows(2)).map(|pair| pair[1].from));
    }
    events.extend(record.job.pauses.iter().flat_map(|pause| [pause.from, pause.to]));
    events.sort_unstable();
    events.dedup();
    events
}

/// Positions in the pairs: last before, last open; and the shares that moved.
struct Opening {
    before: usize,
    last: usize,
    gap_gpp: f64,
    closest_gpp: f64,
}

fn openings(pairs: &[Pair], events: &[DateTime<Utc>]) -> Vec<Opening> {
    let mut out = Vec::new();
    let mut i = 0;
    while i < pairs.len() {
        match opening_at(pairs, i, events) {
            Some(opening) => {
                i = opening.last + 1;
                if pairs[opening.last].time - pairs[opening.before].time >= OPENED_LEAST {
                    out.push(opening);
                }
            }
            None => i += 1,
        }
    }
    out
}

/// An opening that begins right after pair `i`.
fn opening_at(pairs: &[Pair], i: usize, events: &[DateTime<Utc>]) -> Option<Opening> {
    let before = &pairs[i];
    let gap = before.ours_gpp - before.theirs_gpp;
    if gap.abs() < OPENED_LEAST_GAP_GPP.max(before.u_gpp) {
        return None;
    }
    let within = |k: usize| pairs[k].time - before.time <= OPENED_WITHIN;
    let after = (i + 1..pairs.len()).take_while(|k| within(*k)).last()?;
    let moved = |k: usize| (before.ours_gpp - pairs[k].ours_gpp) / gap;
    // The first step of it must be part of it: otherwise the opening begins later.
    if moved(after) < OPENED_SHARE || moved(i + 1) < OPENED_SHARE * OPENED_FIRST_STEP {
        return None;
    }
    // Sudden: in the time before it moved less the same way.
    let earlier = (0..i).rev().take_while(|k| before.time - pairs[*k].time <= OPENED_WITHIN).last()?;
    if (pairs[earlier].ours_gpp - before.ours_gpp) / gap > moved(after) * OPENED_BEFORE_PART {
        return None;
    }
    // From a level that had held: after a shower or a spill the air comes back of itself.
    let held = (0..=i).rev().take_while(|k| before.time - pairs[*k].time <= OPENED_HELD);
    let level = median(held.map(|k| (pairs[k].ours_gpp - pairs[k].theirs_gpp) / gap).collect())?;
    if level < OPENED_RECOVERED {
        return None;
    }
    let temp_gap = before.ours_c - before.theirs_c;
    let must_follow = gap > 0.0 || temp_gap < 0.0;
    if must_follow
        && temp_gap.abs() >= OPENED_TEMP_GAP_K
        && (before.ours_c - pairs[after].ours_c) / temp_gap < OPENED_TEMP_SHARE
    {
        return None;
    }
    let (clear_from, clear_to) = (before.time - OPENED_CLEAR_OF_UNITS, pairs[after].time + OPENED_CLEAR_AFTER);
    if events.iter().any(|event| clear_from <= *event && *event <= clear_to) {
        return None;
    }
    // Open until the air comes back, at most a day; within that, as long as it is about as near as it ever was.
    let apart = |k: usize| (pairs[k].ours_gpp - pairs[k].theirs_gpp) / gap;
    let back = (after + 1..pairs.len())
        .find(|k| apart(*k) >= OPENED_RECOVERED || pairs[*k].time - before.time > OPENED_LONGEST)
        .unwrap_or(pairs.len());
    // Air that does not come back within a day followed the weather.
    if pairs.get(back).is_some_and(|pair| pair.time - before.time > OPENED_LONGEST) {
        return None;
    }
    let closest = (i + 1..back).map(|k| apart(k).abs()).fold(f64::INFINITY, f64::min);
    let last = (i + 1..back).rev().find(|k| apart(*k).abs() <= closest + OPENED_STILL_OPEN)?;
    Some(Opening { before: i, last, gap_gpp: gap, closest_gpp: closest * gap.abs() })
}

fn draft(
    record: &Record<'_>,
    chamber: &ChamberEvidence,
    affected: &AirTrack,
    pairs: &[Pair],
    opening: &Opening,
) -> Draft {
    let zone = record.zone();
    let words = zone.words;
    let (first, last) = (&pairs[opening.before], &pairs[opening.last]);
    let used = samples(affected, micros(first.time), micros(last.time));
    Draft {
        kind: FindingKind::ChamberOpened,
        subject: Subject::Chamber(chamber.id.clone()),
        from: first.time,
        to: Some(last.time),
        text: say!(
            words,
            "chamber_opened.text",
            chamber = chamber.name,
            first = moment(first.time, zone),
            last = moment(last.time, zone),
            hours = number(words, hours(last.time - first.time), 1),
            gap_gpp = number(words, opening.gap_gpp.abs(), 1),
            side = if opening.gap_gpp > 0.0 {
                say!(words, "chamber_opened.above")
            } else {
                say!(words, "chamber_opened.below")
            },
            closest_gpp = number(words, opening.closest_gpp, 1)
        ),
        threshold: say!(
            words,
            "chamber_opened.threshold",
            opened_share = number(words, 100.0 * OPENED_SHARE, 0),
            opened_least_gap_gpp = number(words, OPENED_LEAST_GAP_GPP, 0),
            opened_within = OPENED_WITHIN.num_minutes()
        ),
        rows: [used.start, used.end.saturating_sub(1).max(used.start)]
            .iter()
            .filter_map(|index| affected.rows.get(*index).cloned())
            .chain(affected.rows.get(first.index).cloned())
            .collect::<std::collections::BTreeSet<_>>()
            .into_iter()
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use crate::air::testing::{at, d1, in_a, job, placement, series, steady};
    use crate::evidence::FindingKind;
    use crate::testing::{evidence, of_kind};
    use grainfall_job::{Job, Place};

    /// 25 C / 40 % (55.2 GPP) inside, 10 C / 60 % (31.9 GPP) outside; `air` from 12:00 on every 10 min, then back.
    fn found(job: &Job, air: &[(f64, f64)]) -> Vec<(String, String)> {
        let mut inside: Vec<Option<(f64, f64)>> = vec![Some((25.0, 40.0)); 72];
        inside.extend(air.iter().copied().map(Some));
        inside.extend(vec![Some((25.0, 40.0)); 60]);
        let start = "2025-10-06T00:00:00Z";
        let series = vec![series("W", start, 600, &inside), steady("O", start, 600, inside.len(), (10.0, 60.0))];
        let evidence = evidence(job, series, "2025-10-07T12:00:00Z");
        of_kind(&evidence, FindingKind::ChamberOpened)
            .iter()
            .map(|one| (one.from.to_string(), one.to.unwrap().to_string()))
            .collect()
    }

    fn placed() -> Job {
        let mut job = job();
        job.loggers = vec![in_a("W", Place::Affected), placement("O", Place::Outdoor)];
        job
    }

    /// Two hours near outdoor moisture and colder: 15 C / 50 % is 36.9 GPP.
    const OPEN: [(f64, f64); 12] = [(15.0, 50.0); 12];

    #[test]
    fn two_hours_of_an_open_window() {
        let span = (at("2025-10-06T11:50:00Z").to_string(), at("2025-10-06T13:50:00Z").to_string());
        assert_eq!(found(&placed(), &OPEN), [span]);
    }

    #[test]
    fn drier_but_not_colder_air_is_no_opening() {
        // 25 C / 27 % is 37 GPP too.
        assert!(found(&placed(), &[(25.0, 27.0); 12]).is_empty());
    }

    /// 26 C / 40 % (58.6 GPP) inside beside 18 C / 90 % (81 GPP): to 26 C / 52 % (76.5 GPP).
    #[test]
    fn colder_wetter_air_need_not_cool_a_room_that_is_dried() {
        let wet = [(26.0, 52.0); 12];
        let mut inside: Vec<Option<(f64, f64)>> = vec![Some((26.0, 40.0)); 72];
        inside.extend(wet.map(Some));
        inside.extend(vec![Some((26.0, 40.0)); 60]);
        let start = "2025-10-06T00:00:00Z";
        let count = inside.len();
        let openings = |outdoor| {
            let series = vec![series("W", start, 600, &inside), steady("O", start, 600, count, outdoor)];
            of_kind(&evidence(&placed(), series, "2025-10-07T12:00:00Z"), FindingKind::ChamberOpened).len()
        };
        assert_eq!(openings((18.0, 90.0)), 1);
        assert_eq!(openings((32.0, 38.0)), 0, "warmer air of that moisture would have warmed it");
    }

    /// A bathroom after a shower: 20 C / 90 % (92 GPP) for an hour, then 20 C / 50 % as before.
    #[test]
    fn a_peak_that_goes_is_no_opening() {
        let mut inside: Vec<Option<(f64, f64)>> = vec![Some((20.0, 50.0)); 72];
        inside.extend(vec![Some((21.0, 90.0)); 6]);
        inside.extend(vec![Some((20.0, 50.0)); 90]);
        let start = "2025-10-06T00:00:00Z";
        let series = vec![series("W", start, 600, &inside), steady("O", start, 600, inside.len(), (10.0, 60.0))];
        let evidence = evidence(&placed(), series, "2025-10-07T12:00:00Z");
        assert!(of_kind(&evidence, FindingKind::ChamberOpened).is_empty());
    }

    #[test]
    fn a_slow_change_is_no_opening() {
        let slow: Vec<(f64, f64)> =
            (0..60).map(|k| (25.0 - 10.0 * f64::from(k) / 60.0, 40.0 + 10.0 * f64::from(k) / 60.0)).collect();
        assert!(found(&placed(), &slow).is_empty());
    }

    #[test]
    fn a_unit_set_at_that_time_explains_it() {
        let mut job = placed();
        job.equipment = vec![d1("2025-10-06T11:30:00Z", None)];
        assert!(found(&job, &OPEN).is_empty());
    }
}
