//! `check`: the verdicts on the terminal, nothing written. The first line is the answer.

use anyhow::Result;
use grainfall_analysis::evidence::{
    ChamberEvidence, DayRecord, DayVerdict, Evidence, ExpectedEntry, GoalVerdict, PointEvidence,
};
use grainfall_job::Zone;
use grainfall_record::Outcome as InputOutcome;
use grainfall_report::number_format::{fixed, signed_trimmed};
use grainfall_words::Words;

use crate::args::{CheckArgs, Style};
use crate::exit_code::Outcome;
use crate::folder::{self, Judged};
use crate::progress::Progress;
use crate::terminal::{self, columns, inert, paragraph};

/// Prints the verdicts and ends with the exit code that says the same.
pub fn run(args: &CheckArgs) -> Result<Outcome> {
    let progress = Progress::start("reading");
    let judged = folder::judge(
        &args.folder,
        args.as_of.as_deref(),
        Style { dates: args.dates.into(), ..Style::default() },
        &args.kept.store()?,
        &progress,
    )?;
    drop(progress);
    if args.json {
        terminal::print_data(&serde_json::to_string_pretty(&judged.analysis.evidence)?)?;
    } else {
        terminal::print(text(&judged).trim_end())?;
    }
    Ok(Outcome::Goals(judged.analysis.evidence.verdict))
}

/// The answer in one line of the terminal: the verdict never gives way to the job's name.
pub fn first_line(judged: &Judged) -> String {
    let evidence = &judged.analysis.evidence;
    let job = &evidence.job;
    let name = &inert(job.title.as_ref().or(job.number.as_ref()).unwrap_or(&job.folder));
    let told = |chamber: &&ChamberEvidence| format!("{} {}", inert(&chamber.name), chamber.verdict.words());
    let counted: Vec<&ChamberEvidence> = evidence.chambers.iter().filter(|one| !one.judged_elsewhere()).collect();
    let chambers: Vec<String> = counted.iter().map(told).collect();
    let met = counted.iter().filter(|chamber| chamber.verdict == GoalVerdict::Met).count();
    let counted = match chambers.len() {
        0 => "no drying chamber on the record".to_owned(),
        n => format!("{met} of {n} {} met", if n == 1 { "chamber" } else { "chambers" }),
    };
    let verdict = format!("drying goals {}", evidence.verdict.words());
    let whole = format!("{name}: {verdict}; {}", chambers.join(", "));
    if !chambers.is_empty() && terminal::width(&whole) <= terminal::WIDTH {
        return whole;
    }
    let rest = format!(": {verdict}; {counted}");
    format!("{}{rest}", terminal::shortened(name, terminal::WIDTH - terminal::width(&rest)))
}

/// How many files look like a log and could not be read.
pub fn refused_inputs(judged: &Judged) -> usize {
    let inputs = judged.reading.ledger.inputs.iter();
    inputs.filter(|input| matches!(input.outcome, InputOutcome::Refused { .. })).count()
}

fn text(judged: &Judged) -> String {
    let evidence = &judged.analysis.evidence;
    let zone = judged.job.zone;
    let mut out = paragraph(&first_line(judged), 0);
    out += &paragraph(&to_do(evidence, zone), 0);
    section(&mut out, "Still to add to the record of the last day", &to_add(evidence));
    section(&mut out, "Chambers", &chambers(evidence, zone));
    section(&mut out, "Points", &points(evidence));
    section(&mut out, "Equipment-days", &equipment(evidence));
    section(&mut out, "Holes in the log of earlier days", &holes(evidence, zone));
    section(&mut out, "Findings", &findings(evidence, zone));
    let missing: Vec<Vec<String>> =
        evidence.missing.iter().map(|one| vec!["-".to_owned(), format!("{}. Add: {}", one.text, one.remedy)]).collect();
    section(&mut out, "Missing", &missing);
    out += &format!("\nAs the record stood on {} ({}).\n", zone.moment(evidence.clock), zone.tz.name());
    out
}

/// What needs doing now, in one sentence; first the holes of the day that is not over, while they can be filled.
fn to_do(evidence: &Evidence, zone: Zone) -> String {
    let mut todo = Vec::new();
    let lacking = lacking(evidence, true);
    if let Some((day, _)) = lacking.first() {
        let mut kinds: Vec<&str> = Vec::new();
        for (_, entry) in &lacking {
            if !kinds.contains(&entry.kind.words()) {
                kinds.push(entry.kind.words());
            }
        }
        todo.push(format!(
            "add to the record of {}: {}",
            evidence.job.dates.short(zone.words, day.date),
            kinds.join(", ")
        ));
    }
    for group in evidence.can_leave() {
        let name =
            |id: &String| evidence.chambers.iter().find(|one| one.id == *id).map_or(id.clone(), |c| c.name.clone());
        let chambers: Vec<String> = group.chambers.iter().map(name).collect();
        todo.push(format!("{} can leave {}", group.units.join(", "), chambers.join(", ")));
    }
    let open: Vec<&PointEvidence> =
        evidence.points.iter().filter(|point| !point.reference && point.verdict == GoalVerdict::NotMet).collect();
    if !open.is_empty() {
        let list: Vec<String> = open.iter().map(|point| point.id.clone()).collect();
        todo.push(format!("keep drying {}", list.join(", ")));
    }
    let unread: Vec<String> = evidence
        .points
        .iter()
        .filter(|point| !point.reference && point.ended.is_none() && point.verdict == GoalVerdict::NotShown)
        .map(|point| point.id.clone())
        .collect();
    if !unread.is_empty() {
        todo.push(format!("read {}", unread.join(", ")));
    }
    if todo.is_empty() && evidence.points.iter().all(|point| point.reference) {
        todo.push("set points and goals in job.toml so that the record can show something".to_owned());
    }
    if todo.is_empty() && evidence.verdict != GoalVerdict::Met {
        return "To do: add what is missing (below), so that the record can show something.".to_owned();
    }
    if todo.is_empty() {
        return format!("Nothing is left to do on this record (it ends on {}).", zone.moment(evidence.clock));
    }
    format!("To do: {}.", todo.join("; "))
}

/// Entries that a drying log is expected to hold and that are not there: of the day that still runs, or of those over.
fn lacking(evidence: &Evidence, running: bool) -> Vec<(&DayRecord, &ExpectedEntry)> {
    let days = evidence.completeness.iter().filter(|day| day.running == running);
    days.flat_map(|day| day.entries.iter().filter(|entry| !entry.present).map(move |entry| (day, entry))).collect()
}

/// What to add, entry by entry, while the day runs; what several chambers lack is said once.
fn to_add(evidence: &Evidence) -> Vec<Vec<String>> {
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (_, entry) in lacking(evidence, true) {
        let row = vec![entry.kind.words().to_owned(), entry.add.clone().unwrap_or_default()];
        if !rows.contains(&row) {
            rows.push(row);
        }
    }
    rows
}

/// Per earlier day and chamber, what its log lacks.
fn holes(evidence: &Evidence, zone: Zone) -> Vec<Vec<String>> {
    let lacking = lacking(evidence, false);
    lacking
        .chunk_by(|a, b| (a.0.date, &a.0.chamber) == (b.0.date, &b.0.chamber))
        .map(|of_day| {
            let kinds: Vec<&str> = of_day.iter().map(|(_, entry)| entry.kind.words()).collect();
            let day = of_day[0].0;
            vec![evidence.job.dates.full(zone.words, day.date), day.chamber.clone(), kinds.join(", ")]
        })
        .collect()
}

fn chambers(evidence: &Evidence, zone: Zone) -> Vec<Vec<String>> {
    evidence
        .chambers
        .iter()
        .map(|chamber| {
            let at = chamber.met_at.map_or_else(String::new, |at| zone.moment(at));
            vec![
                chamber.name.clone(),
                chamber.verdict.words().to_owned(),
                format!("{} of {}", chamber.met_count, chamber.point_count),
                at,
                chamber.why.clone(),
            ]
        })
        .collect()
}

fn points(evidence: &Evidence) -> Vec<Vec<String>> {
    evidence
        .points
        .iter()
        .filter(|point| !point.reference)
        .map(|point| {
            let distance = point
                .distance_to_goal
                .map_or_else(String::new, |d| signed_trimmed(Words::default(), d, 2).replace('−', "-"));
            let verdict = if point.ended.is_some() { "ended" } else { point.verdict.words() };
            vec![point.id.clone(), verdict.to_owned(), distance, point.why.clone()]
        })
        .collect()
}

fn equipment(evidence: &Evidence) -> Vec<Vec<String>> {
    if evidence.equipment.is_empty() {
        return Vec::new();
    }
    let mut rows = vec![
        ["unit", "recorded", "needed", "not needed", "not shown", "did not run", "billed"].map(str::to_owned).to_vec(),
    ];
    for unit in &evidence.equipment {
        let totals = &unit.totals;
        let all_aside = unit.stays.iter().flat_map(|stay| &stay.days).all(|day| day.verdict == DayVerdict::NotJudged);
        let count = |n: u32| if all_aside { "-".to_owned() } else { n.to_string() };
        rows.push(vec![
            unit.unit.clone(),
            totals.recorded_days.to_string(),
            count(totals.needed),
            count(totals.not_needed),
            count(totals.not_shown),
            if totals.did_not_run_days > 0 { format!("{} h", fixed(totals.did_not_run_h, 1)) } else { "-".to_owned() },
            unit.billed.as_ref().map_or_else(|| "-".to_owned(), |billed| format!("{}", billed.billed_days)),
        ]);
    }
    rows
}

fn findings(evidence: &Evidence, zone: Zone) -> Vec<Vec<String>> {
    evidence
        .findings
        .iter()
        .map(|finding| vec![finding.number.to_string(), zone.moment(finding.from), finding.text.clone()])
        .collect()
}

fn section(out: &mut String, title: &str, rows: &[Vec<String>]) {
    if !rows.is_empty() {
        out.push_str(&format!("\n{title}\n{}", columns(rows, 2)));
    }
}
