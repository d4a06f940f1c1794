//! What a drying log is expected to hold for each civil day with drying equipment, and whether it is there.
//!
//! Organised logs of dates, people, instruments, air in affected and unaffected areas and at dehumidifiers, and
//! readings of affected and unaffected materials are asked for by ANSI/IICRC S500-2021 (as described by a committee
//! member); at least daily readings by the same standard (as described in the trade press); complete daily logs with
//! affected and unaffected air, material readings and appliance output by the US flood programme's claims bulletin
//! W-13025a of 2013 (from memory). An entry may be logged or by hand.

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_job::{Job, Place};
use grainfall_words::{Words, say};

use crate::air::cover::{cells, instants_within, within};
use crate::air::daily::share;
use crate::air::instant::micros;
use crate::evidence::{
    AirTrack, ChamberEvidence, Day, DayRecord, EntryKind, ExpectedEntry, PointEvidence, SourceRow, TrackPlace,
    UnitEvidence,
};
use crate::thresholds::{LOGGED_SHARE, OUTLET_LEAST_SHARE};

/// What the days are judged from.
pub(crate) struct Log<'a> {
    pub job: &'a Job,
    pub clock: DateTime<Utc>,
    pub days: &'a [Day],
    pub tracks: &'a [AirTrack],
    pub chambers: &'a [ChamberEvidence],
    pub points: &'a [PointEvidence],
    pub units: &'a [UnitEvidence],
}

/// Every day on which a judged unit stood in a chamber through noon, or stands there at the report's clock; by day, then
/// chamber in the job's order.
pub(crate) fn records(log: &Log<'_>) -> Vec<DayRecord> {
    let mut records = Vec::new();
    for day in log.days {
        for chamber in log.chambers {
            if let Some((from, to)) = equipped(log, day, &chamber.id) {
                records.push(record(log, day, chamber, from, to));
            }
        }
    }
    records
}

/// The part of a day to judge; `None` when no equipment stood long enough to ask for a log.
fn equipped(log: &Log<'_>, day: &Day, chamber: &str) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
    let noon = day.from + (day.to - day.from) / 2;
    let stays: Vec<(DateTime<Utc>, DateTime<Utc>)> = log
        .units
        .iter()
        .filter(|unit| unit.judged)
        .flat_map(|unit| &unit.stays)
        .filter(|stay| stay.chambers.iter().any(|id| id == chamber))
        .map(|stay| (stay.placed, stay.removed.unwrap_or(log.clock).min(log.clock)))
        .filter(|(placed, until)| {
            let at_noon = *placed <= noon && noon < *until;
            let now = log.clock < day.to && *until == log.clock && *placed < log.clock && day.from < log.clock;
            at_noon || now
        })
        .collect();
    let from = stays.iter().map(|stay| stay.0).min()?.max(day.from);
    let to = stays.iter().map(|stay| stay.1).max()?.min(day.to);
    (from < to).then_some((from, to))
}

fn record(log: &Log<'_>, day: &Day, chamber: &ChamberEvidence, from: DateTime<Utc>, to: DateTime<Utc>) -> DayRecord {
    let whole = Whole { log, day, from, to };
    let mut entries = vec![
        whole.air(EntryKind::AffectedAir, Place::Affected, Some(&chamber.id)),
        whole.air(EntryKind::UnaffectedAir, Place::Unaffected, None),
        whole.air(EntryKind::OutdoorAir, Place::Outdoor, None),
    ];
    entries.extend(whole.outlets(&chamber.id));
    entries.extend(whole.material(&chamber.id));
    entries.extend(whole.visit(&chamber.id));
    DayRecord { date: day.date, chamber: chamber.id.clone(), from, to, running: log.clock < day.to, entries }
}

/// One day of one chamber.
struct Whole<'a> {
    log: &'a Log<'a>,
    day: &'a Day,
    from: DateTime<Utc>,
    to: DateTime<Utc>,
}

impl Whole<'_> {
    fn in_day(&self, time: DateTime<Utc>) -> bool {
        self.day.from <= time && time < self.day.to && time <= self.log.clock
    }

    /// The best covered logger of some tracks: its share of the judged time and a row.
    fn logged(&self, wanted: impl Fn(&AirTrack) -> bool) -> Option<(f64, &AirTrack, SourceRow)> {
        let span = (micros(self.from), micros(self.to));
        let mut best: Option<(f64, &AirTrack, SourceRow)> = None;
        for track in self.log.tracks.iter().filter(|track| wanted(track)) {
            let Some(row) = instants_within(&track.time, span.0, span.1).next().map(|i| track.rows[i].clone()) else {
                continue;
            };
            let cells = cells(&track.time, |i| track.gpp[i].is_some(), track.interval_s);
            let covered = share(within(&cells, span.0, span.1).map(|(_, length)| length).sum(), span.1 - span.0);
            if best.as_ref().is_none_or(|best| covered > best.0) {
                best = Some((covered, track, row));
            }
        }
        best
    }

    fn words(&self) -> Words {
        self.log.job.zone.words
    }

    fn air(&self, kind: EntryKind, place: Place, chamber: Option<&str>) -> ExpectedEntry {
        let words = self.words();
        let track_place = crate::air::track_place(place);
        let logged = self.logged(|track| {
            track.place == track_place && chamber.is_none_or(|chamber| track.chamber.as_deref() == Some(chamber))
        });
        if let Some((covered, track, row)) = logged.clone().filter(|logged| logged.0 >= LOGGED_SHARE) {
            return present(
                kind,
                say!(words, "entries.logged_of_the_time", label = track.label, covered = percent(words, covered)),
                vec![row],
            );
        }
        let by_hand = self.log.job.air_readings.iter().find(|reading| {
            self.in_day(reading.time)
                && reading.place.place == place
                && chamber.is_none_or(|chamber| reading.place.chamber.as_deref() == Some(chamber))
        });
        if let Some(reading) = by_hand {
            return present(kind, say!(words, "entries.by_hand").to_owned(), vec![SourceRow::from(&reading.line)]);
        }
        let of = chamber.map_or_else(String::new, |chamber| say!(words, "entries.of_chamber", chamber = chamber));
        let text = match logged {
            Some((covered, track, _)) => {
                say!(words, "entries.covers_only_of_the_time", label = track.label, covered = percent(words, covered))
            }
            None => say!(words, "entries.no_air_logged_or_by", place = track_place.said(words), of = of),
        };
        let chamber = chamber.map_or_else(String::new, |chamber| say!(words, "entries.chamber", chamber = chamber));
        absent(
            kind,
            text,
            say!(words, "entries.add_air", date = self.day.date.to_string(), place = place.word(), chamber = chamber),
        )
    }

    /// `None` when no dehumidifier stood there.
    fn outlets(&self, chamber: &str) -> Option<ExpectedEntry> {
        let words = self.words();
        let kind = EntryKind::UnitOutlet;
        let mut there: Vec<&str> = self
            .log
            .job
            .equipment
            .iter()
            .filter(|stay| stay.kind.is_dehumidifier() && stay.chambers.iter().any(|id| id == chamber))
            .filter(|stay| stay.placed < self.to && stay.removed.is_none_or(|removed| self.from < removed))
            .map(|stay| stay.unit.as_str())
            .collect();
        there.sort_unstable();
        there.dedup();
        if there.is_empty() {
            return None;
        }
        let mut rows = Vec::new();
        let mut lacking: Vec<String> = Vec::new();
        for unit in &there {
            let logged = self.logged(|track| track.place == TrackPlace::Outlet && track.unit.as_deref() == Some(*unit));
            let by_hand = self.log.job.air_readings.iter().find(|reading| {
                self.in_day(reading.time)
                    && reading.place.place == Place::Outlet
                    && reading.place.unit.as_deref() == Some(*unit)
            });
            // A part of the day is enough to show its output: the running hours say how long.
            match (logged.filter(|logged| logged.0 >= OUTLET_LEAST_SHARE), by_hand) {
                (Some((_, _, row)), _) => rows.push(row),
                (None, Some(reading)) => rows.push(SourceRow::from(&reading.line)),
                (None, None) => lacking.push((*unit).to_owned()),
            }
        }
        Some(if lacking.is_empty() {
            present(
                kind,
                say!(words, "entries.of_dehumidifiers", there = say!(words, "count.dehumidifier", count = there.len())),
                rows,
            )
        } else {
            let lines: Vec<String> = lacking.iter().map(|unit| say!(words, "entries.unit", unit = unit)).collect();
            ExpectedEntry {
                rows,
                ..absent(
                    kind,
                    say!(words, "entries.no_outlet_air_of", lacking = words.list(&lacking)),
                    say!(words, "entries.add_outlet_air", date = self.day.date.to_string(), lines = words.list(&lines)),
                )
            }
        })
    }

    /// `None` when the chamber has no point to read.
    fn material(&self, chamber: &str) -> Option<ExpectedEntry> {
        let words = self.words();
        let kind = EntryKind::MaterialReadings;
        let points: Vec<&PointEvidence> = self
            .log
            .points
            .iter()
            .filter(|point| !point.reference)
            // Where it lay at the end of the day's part.
            .filter(|point| point.lies_in(chamber, self.to - TimeDelta::microseconds(1)))
            .filter(|point| point.ended.as_ref().is_none_or(|ended| ended.at >= self.day.to))
            .collect();
        if points.is_empty() {
            return Some(absent(
                kind,
                say!(words, "entries.chamber_has_no_point_to", chamber = chamber),
                say!(words, "entries.job_toml_point_id_chamber").to_owned(),
            ));
        }
        let mut rows = Vec::new();
        let mut unread: Vec<String> = Vec::new();
        for point in &points {
            match point.readings.iter().find(|reading| self.in_day(reading.time)) {
                Some(reading) => rows.push(reading.row.clone()),
                None => unread.push(point.id.clone()),
            }
        }
        Some(if unread.is_empty() {
            present(
                kind,
                say!(words, "entries.of_points", points = say!(words, "count.point", count = points.len())),
                rows,
            )
        } else {
            ExpectedEntry {
                rows,
                ..absent(
                    kind,
                    say!(words, "entries.not_read", unread = words.list(&unread)),
                    say!(
                        words,
                        "entries.readings_csv_a_line_of",
                        date = self.day.date.to_string(),
                        unread = words.list(&unread)
                    ),
                )
            }
        })
    }

    /// The visit, the instruments and the person; a reading by hand shows that somebody was there.
    fn visit(&self, chamber: &str) -> [ExpectedEntry; 3] {
        let words = self.words();
        let job = self.log.job;
        let visit = job.visits.iter().find(|visit| self.in_day(visit.time));
        let readings: Vec<_> = job
            .readings
            .iter()
            .filter(|reading| self.in_day(reading.time))
            .filter(|reading| {
                let point = job.points.iter().find(|point| point.id == reading.point);
                point.is_some_and(|point| job.chamber_at(point, reading.time).is_none_or(|own| own == chamber))
            })
            .collect();
        let air: Vec<_> = job
            .air_readings
            .iter()
            .filter(|reading| self.in_day(reading.time))
            .filter(|reading| reading.place.chamber.as_deref().is_none_or(|own| own == chamber))
            .collect();
        let day = self.day.date;
        let was_there = match (visit, readings.first(), air.first()) {
            (Some(visit), ..) => present(
                EntryKind::Visit,
                say!(words, "entries.written_down").to_owned(),
                vec![SourceRow::from(&visit.line)],
            ),
            (None, Some(reading), _) => present(
                EntryKind::Visit,
                say!(words, "entries.shown_by_readings").to_owned(),
                vec![SourceRow::from(&reading.line)],
            ),
            (None, None, Some(reading)) => present(
                EntryKind::Visit,
                say!(words, "entries.shown_by_readings").to_owned(),
                vec![SourceRow::from(&reading.line)],
            ),
            _ => absent(
                EntryKind::Visit,
                say!(words, "entries.no_visit").to_owned(),
                say!(words, "entries.visits_csv_a_line_of", day = day.to_string()),
            ),
        };
        let instrument = visit
            .and_then(|visit| Some((visit.instruments.clone()?, SourceRow::from(&visit.line))))
            .or_else(|| readings.iter().find_map(|one| Some((one.meter.clone()?, SourceRow::from(&one.line)))))
            .or_else(|| air.iter().find_map(|one| Some((one.instrument.clone()?, SourceRow::from(&one.line)))));
        let technician = visit
            .and_then(|visit| Some((visit.by.clone()?, SourceRow::from(&visit.line))))
            .or_else(|| readings.iter().find_map(|one| Some((one.by.clone()?, SourceRow::from(&one.line)))))
            .or_else(|| air.iter().find_map(|one| Some((one.by.clone()?, SourceRow::from(&one.line)))));
        let named = |kind, found: Option<(String, SourceRow)>, column: &str| match found {
            Some((name, row)) => present(kind, name, vec![row]),
            None => absent(
                kind,
                say!(words, "entries.no_is_named", kind = kind.said(words)),
                say!(words, "entries.visits_csv_or_readings_csv", column = column, day = day.to_string()),
            ),
        };
        [
            was_there,
            named(EntryKind::Instrument, instrument, say!(words, "entries.instruments_or_meter")),
            named(EntryKind::Technician, technician, say!(words, "entries.by")),
        ]
    }
}

fn present(kind: EntryKind, text: String, rows: Vec<SourceRow>) -> ExpectedEntry {
    ExpectedEntry { kind, present: true, text, add: None, rows }
}

fn absent(kind: EntryKind, text: String, add: String) -> ExpectedEntry {
    ExpectedEntry { kind, present: false, text, add: Some(add), rows: Vec::new() }
}

fn percent(words: Words, share: f64) -> String {
    crate::words::number(words, 100.0 * share, 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::testing::{at, d1, in_a, job, steady};
    use crate::testing::{evidence, point, reading};
    use grainfall_job::Visit;
    use grainfall_record::RowRef;

    const PLACED: &str = "2025-10-06T09:00:00Z";

    fn missing(record: &DayRecord) -> Vec<EntryKind> {
        record.entries.iter().filter(|entry| !entry.present).map(|entry| entry.kind).collect()
    }

    #[test]
    fn a_day_with_everything_lacks_nothing_and_an_empty_day_everything() {
        let mut job = job();
        job.loggers = vec![
            in_a("W", Place::Affected),
            crate::air::testing::placement("U", Place::Unaffected),
            crate::air::testing::placement("O", Place::Outdoor),
            crate::air::testing::at_d1("D", Place::Outlet),
        ];
        job.points = vec![point("P1", 12.0)];
        job.readings = vec![reading("2025-10-06T09:30:00Z", "P1", 20.0)];
        job.visits = vec![Visit {
            time: at("2025-10-06T09:20:00Z"),
            by: Some("MO".into()),
            credential: None,
            instruments: Some("M1".into()),
            reason: None,
            photos: None,
            note: None,
            line: RowRef::new("visits.csv", 2),
        }];
        job.equipment = vec![d1(PLACED, None)];
        // All loggers end with the first day.
        let steady = |id| steady(id, "2025-10-06T08:00:00Z", 600, 6 * 16 + 1, (25.0, 50.0));
        let evidence = evidence(&job, ["W", "U", "O", "D"].map(steady).to_vec(), "2025-10-08T08:00:00Z");
        let records = &evidence.completeness;
        let dates: Vec<String> = records.iter().map(|record| record.date.to_string()).collect();
        assert_eq!(dates, ["2025-10-06", "2025-10-07", "2025-10-08"]);
        assert_eq!(missing(&records[0]), []);
        assert_eq!(
            missing(&records[1]),
            [
                EntryKind::AffectedAir,
                EntryKind::UnaffectedAir,
                EntryKind::OutdoorAir,
                EntryKind::UnitOutlet,
                EntryKind::MaterialReadings,
                EntryKind::Visit,
                EntryKind::Instrument,
                EntryKind::Technician
            ]
        );
        assert!(records[1].entries.iter().all(|entry| entry.add.is_some()));
        assert!(records[2].running && !records[1].running);
        let unread = records[1].entries.iter().find(|entry| entry.kind == EntryKind::MaterialReadings).unwrap();
        assert_eq!(unread.add.as_deref(), Some("readings.csv: a line of 2025-10-07 for P1"));
    }

    #[test]
    fn a_day_on_which_equipment_left_in_the_morning_asks_for_nothing() {
        let mut job = job();
        job.points = vec![point("P1", 12.0)];
        job.readings = vec![reading("2025-10-06T09:30:00Z", "P1", 20.0)];
        job.equipment = vec![d1(PLACED, Some("2025-10-07T09:00:00Z"))];
        let evidence = evidence(&job, vec![], "2025-10-09T08:00:00Z");
        assert_eq!(evidence.completeness.len(), 1);
    }

    #[test]
    fn a_reason_is_an_entry() {
        let mut job = job();
        job.points = vec![point("P1", 12.0)];
        let mut no_access = reading("2025-10-06T13:30:00Z", "P1", 20.0);
        no_access.value = grainfall_job::ReadingValue::NoReading("no access".into());
        job.readings = vec![no_access];
        job.equipment = vec![d1(PLACED, None)];
        let evidence = evidence(&job, vec![], "2025-10-06T20:00:00Z");
        let entry = &evidence.completeness[0].entries;
        assert!(entry.iter().any(|entry| entry.kind == EntryKind::MaterialReadings && entry.present));
    }
}
