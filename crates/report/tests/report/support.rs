//! Inputs of a report around the sample evidence, and a way to every text in it.

use std::collections::BTreeMap;
use std::sync::Arc;

use grainfall_analysis::evidence::{
    Analysis, DryStandardBasis, Evidence, Finding, PointEvidence, ReadingKind, SourceRow, StayEvidence, Subject,
    UnitEvidence,
};
use grainfall_record::{
    Certainty, Decision, FileTable, InputFile, Ledger, LoggerRead, LoggerSeries, Outcome, Quantity, Refusal, TidyFrame,
};
use grainfall_report::manifest::sha256;
use grainfall_report::{JobFile, RenderInput, Settings};

/// Everything a report is made from.
pub struct Inputs {
    pub analysis: Analysis,
    pub frame: TidyFrame,
    pub ledger: Ledger,
    pub job_files: Vec<JobFile>,
    pub settings: Settings,
}

impl Inputs {
    /// The inputs around an analysis; its tracks are the samples.
    pub fn around(analysis: Analysis, settings: Settings) -> Self {
        let frame = frame(&analysis);
        let ledger = ledger(&frame);
        let job_files = vec![
            JobFile { path: "job.toml".to_owned(), sha256: sha256(b"[job]\n"), bytes: 6 },
            JobFile { path: "readings.csv".to_owned(), sha256: sha256(b"time,point\n"), bytes: 11 },
        ];
        Self { analysis, frame, ledger, job_files, settings }
    }

    pub fn render_input(&self) -> RenderInput<'_> {
        RenderInput {
            analysis: &self.analysis,
            frame: &self.frame,
            ledger: &self.ledger,
            job_files: &self.job_files,
            settings: &self.settings,
        }
    }
}

fn frame(analysis: &Analysis) -> TidyFrame {
    let mut samples: BTreeMap<String, BTreeMap<_, _>> = BTreeMap::new();
    for track in &analysis.tracks {
        let of_logger = samples.entry(analysis.evidence.loggers[track.logger].logger.clone()).or_default();
        for (index, time) in track.time.iter().enumerate() {
            of_logger.insert(*time, (track.air_temp_c[index], track.rh_pct[index], track.rows[index].clone()));
        }
    }
    let mut files = FileTable::default();
    for (_, _, row) in samples.values().flat_map(BTreeMap::values) {
        files.id(&row.file);
    }
    let mut numbers = files.clone();
    let files = Arc::new(files);
    let series = samples
        .into_iter()
        .map(|(logger, rows)| LoggerSeries {
            logger,
            time: rows.keys().copied().collect(),
            values: BTreeMap::from([
                (Quantity::AirTemp, rows.values().map(|(t, _, _)| *t).collect()),
                (Quantity::RelativeHumidity, rows.values().map(|(_, rh, _)| *rh).collect()),
            ]),
            file: rows.values().map(|(_, _, row)| numbers.id(&row.file)).collect(),
            row: rows.values().map(|(_, _, row)| row.row).collect(),
            file_table: Arc::clone(&files),
        })
        .collect();
    TidyFrame::new(series).expect("the sample's tracks are in order")
}

fn ledger(frame: &TidyFrame) -> Ledger {
    let mut inputs: BTreeMap<String, InputFile> = BTreeMap::new();
    for series in frame.series() {
        for index in 0..series.len() {
            let path = series.source(index).map(|row| row.file.to_string()).unwrap_or_default();
            let file = inputs.entry(path.clone()).or_insert_with(|| InputFile {
                sha256: sha256(path.as_bytes()),
                path,
                bytes: 40_000,
                outcome: Outcome::Read { rows: 0, samples: 0 },
                decisions: vec![Decision {
                    topic: "encoding".to_owned(),
                    value: "UTF-8".to_owned(),
                    reason: "valid throughout".to_owned(),
                    certainty: Certainty::Settled,
                }],
                refused: Vec::new(),
                facts: BTreeMap::new(),
            });
            if let Outcome::Read { rows, samples } = &mut file.outcome {
                *rows += 1;
                *samples += 1;
            }
        }
    }
    let mut inputs: Vec<InputFile> = inputs.into_values().collect();
    if let Some(first) = inputs.first_mut() {
        first.refused.push(Refusal {
            row: 17,
            column: Some("RH".to_owned()),
            found: "n/a".to_owned(),
            reason: "not a number".to_owned(),
            from: None,
            to: None,
        });
    }
    let loggers = frame
        .series()
        .iter()
        .filter_map(|series| {
            Some(LoggerRead {
                id: series.logger.clone(),
                serial: None,
                channel: None,
                files: Vec::new(),
                quantities: series.values.keys().copied().collect(),
                samples: series.len() as u64,
                first: *series.time.first()?,
                last: *series.time.last()?,
                interval_s: Some(900),
                gaps: Vec::new(),
                duplicates: Vec::new(),
                conflicts: Vec::new(),
                clock: "wall clock".to_owned(),
            })
        })
        .collect();
    Ledger { inputs, loggers }
}

/// Changes every text that a file or a person could have written; equal texts change alike, so that ids still match.
pub fn change_every_text(inputs: &mut Inputs, change: &dyn Fn(&str) -> String) {
    let one = |text: &mut String| *text = change(text);
    let maybe = |text: &mut Option<String>| {
        if let Some(text) = text {
            *text = change(text);
        }
    };
    let many = |texts: &mut Vec<String>| texts.iter_mut().for_each(|text| *text = change(text));
    let row = |row: &mut SourceRow| row.file = change(&row.file);
    let rows = |all: &mut Vec<SourceRow>| all.iter_mut().for_each(|row| row.file = change(&row.file));
    let evidence: &mut Evidence = &mut inputs.analysis.evidence;
    let job = &mut evidence.job;
    one(&mut job.folder);
    maybe(&mut job.number);
    maybe(&mut job.title);
    maybe(&mut job.claim);
    many(&mut job.category);
    many(&mut job.class);
    one(&mut job.equipment_day);
    for logger in &mut evidence.loggers {
        one(&mut logger.logger);
        one(&mut logger.label);
        maybe(&mut logger.chamber);
        maybe(&mut logger.unit);
        many(&mut logger.files);
        one(&mut logger.clock);
    }
    for air in &mut evidence.daily_air {
        one(&mut air.label);
        maybe(&mut air.chamber);
        maybe(&mut air.unit);
        if let Some((first, last)) = &mut air.rows {
            row(first);
            row(last);
        }
    }
    evidence.daily_differences.iter_mut().for_each(|difference| one(&mut difference.chamber));
    for air in &mut evidence.hand_air {
        maybe(&mut air.chamber);
        maybe(&mut air.unit);
        maybe(&mut air.instrument);
        maybe(&mut air.by);
        row(&mut air.row);
    }
    for unit in &mut evidence.unit_air {
        one(&mut unit.unit);
        many(&mut unit.inlet);
        maybe(&mut unit.outlet);
        maybe(&mut unit.why_not);
        unit.runs.iter_mut().for_each(|run| rows(&mut run.rows));
    }
    for chamber in &mut evidence.chambers {
        one(&mut chamber.id);
        one(&mut chamber.name);
        one(&mut chamber.why);
        many(&mut chamber.open_points);
        many(&mut chamber.not_shown_points);
        many(&mut chamber.ended_points);
        for goal in &mut chamber.air_goals {
            one(&mut goal.text);
            one(&mut goal.why);
        }
    }
    evidence.points.iter_mut().for_each(|point| change_point(point, change));
    evidence.equipment.iter_mut().for_each(|unit| change_unit(unit, change));
    evidence.equipment_totals.iter_mut().for_each(|kind| one(&mut kind.kind));
    for release in &mut evidence.releases {
        many(&mut release.chambers);
        many(&mut release.units);
        many(&mut release.sentences);
        many(&mut release.rests_on);
        rows(&mut release.rows);
    }
    evidence.findings.iter_mut().for_each(|finding| change_finding(finding, change));
    for missing in &mut evidence.missing {
        one(&mut missing.text);
        one(&mut missing.remedy);
    }
    for visit in &mut evidence.visits {
        maybe(&mut visit.by);
        maybe(&mut visit.credential);
        maybe(&mut visit.instruments);
        maybe(&mut visit.reason);
        maybe(&mut visit.photos);
        maybe(&mut visit.note);
        row(&mut visit.row);
    }
    for assumption in &mut evidence.assumptions {
        one(&mut assumption.text);
        one(&mut assumption.source);
        one(&mut assumption.remedy);
    }
    for track in &mut inputs.analysis.tracks {
        one(&mut track.label);
        maybe(&mut track.chamber);
        maybe(&mut track.unit);
        rows(&mut track.rows);
    }
    inputs.analysis.depressions.iter_mut().for_each(|track| one(&mut track.unit));
    for file in &mut inputs.ledger.inputs {
        one(&mut file.path);
        for refusal in &mut file.refused {
            maybe(&mut refusal.column);
            one(&mut refusal.found);
            one(&mut refusal.reason);
        }
    }
    inputs.job_files.iter_mut().for_each(|file| one(&mut file.path));
    inputs.frame = frame(&inputs.analysis);
}

fn change_point(point: &mut PointEvidence, change: &dyn Fn(&str) -> String) {
    let maybe = |text: &mut Option<String>| {
        if let Some(text) = text {
            *text = change(text);
        }
    };
    point.id = change(&point.id);
    maybe(&mut point.chamber);
    maybe(&mut point.location);
    maybe(&mut point.depth);
    maybe(&mut point.material);
    point.scale = change(&point.scale);
    point.unit = change(&point.unit);
    point.why = change(&point.why);
    if let Some(standard) = &mut point.dry_standard {
        match &mut standard.basis {
            DryStandardBasis::Stated { row } => row.file = change(&row.file),
            DryStandardBasis::ReferencePoints { points, meter, rows, .. } => {
                points.iter_mut().for_each(|text| *text = change(text));
                maybe(meter);
                rows.iter_mut().for_each(|row| row.file = change(&row.file));
            }
        }
    }
    if let Some(goal) = &mut point.goal {
        goal.text = change(&goal.text);
    }
    if let Some(ended) = &mut point.ended {
        ended.reason = change(&ended.reason);
    }
    for reading in &mut point.readings {
        if let ReadingKind::NoReading { reason } = &mut reading.kind {
            *reason = change(reason);
        }
        reading.scale = change(&reading.scale);
        reading.unit = change(&reading.unit);
        maybe(&mut reading.meter);
        maybe(&mut reading.why_not);
        maybe(&mut reading.by);
        maybe(&mut reading.note);
        reading.row.file = change(&reading.row.file);
        if let Some(drive) = &mut reading.drive {
            drive.air = change(&drive.air);
        }
    }
}

fn change_unit(unit: &mut UnitEvidence, change: &dyn Fn(&str) -> String) {
    unit.unit = change(&unit.unit);
    unit.kind = change(&unit.kind);
    unit.purpose = change(&unit.purpose);
    if let Some(asset) = &mut unit.asset {
        *asset = change(asset);
    }
    for stay in &mut unit.stays {
        change_stay(stay, change);
    }
}

fn change_stay(stay: &mut StayEvidence, change: &dyn Fn(&str) -> String) {
    let texts = [&mut stay.placed_by, &mut stay.placed_reason, &mut stay.removed_by, &mut stay.removed_reason];
    for text in texts.into_iter().flatten() {
        *text = change(text);
    }
    stay.chambers.iter_mut().chain(&mut stay.points).for_each(|text| *text = change(text));
    stay.rows.iter_mut().for_each(|row| row.file = change(&row.file));
    for day in &mut stay.days {
        day.why = change(&day.why);
        day.load_points.iter_mut().for_each(|text| *text = change(text));
        day.rows.iter_mut().for_each(|row| row.file = change(&row.file));
    }
}

fn change_finding(finding: &mut Finding, change: &dyn Fn(&str) -> String) {
    match &mut finding.subject {
        Subject::Job => {}
        Subject::Chamber(id) | Subject::Point(id) | Subject::Unit(id) | Subject::Logger(id) => *id = change(id),
    }
    finding.text = change(&finding.text);
    finding.threshold = change(&finding.threshold);
    finding.rows.iter_mut().for_each(|row| row.file = change(&row.file));
}
