//! One file as a screen: what became of it, its loggers, what to confirm, its columns, and how it was read.

use grainfall_job::{AIR_CSV, EQUIPMENT_CSV, JOB_TOML, READINGS_CSV, VISITS_CSV};
use grainfall_record::{Certainty, Decision, LoggerRead, Outcome};
use grainfall_report::explanation::ExplainedFile;

use crate::terminal::{labelled, paragraph};

/// At most so many loggers (those told in the same words count as one) and refused rows are shown; `--json` has them
/// all.
const SHOWN_LOGGERS: usize = 6;
const SHOWN_REFUSALS: usize = 10;

/// A label and what is said under it.
type Row = (String, String);

/// The screen of a file.
pub fn text(file: &ExplainedFile<'_>) -> String {
    let ExplainedFile { input, loggers } = file;
    let mut out = paragraph(&input.path, 0);
    let own = [JOB_TOML, READINGS_CSV, AIR_CSV, VISITS_CSV, EQUIPMENT_CSV];
    if own.iter().any(|name| input.path.eq_ignore_ascii_case(name)) {
        let note = "in a job folder this is one of the job's own files, read as such and never as an export; as an export it would be:";
        out += &paragraph(note, 2);
    }
    match &input.outcome {
        Outcome::Read { rows, samples } => {
            let refused = input.refused.len();
            out += &format!("  read: {}, {samples} samples, {refused} refused\n", counted(*rows, "row"));
        }
        Outcome::NotALog { reason } => out += &paragraph(&format!("not an interval log: {reason}"), 2),
        Outcome::Refused { reason, remedy } => {
            out += &paragraph(&format!("not read: {reason}"), 2);
            out += &paragraph(&format!("to do: {remedy}"), 2);
        }
        Outcome::SameAs { path } => out += &paragraph(&format!("the same bytes as {path}; read once"), 2),
    }
    section(&mut out, "loggers (times in UTC)", logger_rows(loggers));
    let by = |certainty| input.decisions.iter().filter(move |one| one.certainty == certainty);
    section(&mut out, "guesses to confirm", by(Certainty::Guess).map(row).collect());
    section(&mut out, "as you said", by(Certainty::Stated).map(row).collect());
    let settled: Vec<&Decision> = by(Certainty::Settled).collect();
    let (columns, others): (Vec<&Decision>, Vec<&Decision>) =
        settled.into_iter().partition(|one| one.topic.starts_with("column ") || one.topic.starts_with("columns "));
    let (left_out, read): (Vec<&Decision>, Vec<&Decision>) =
        columns.into_iter().partition(|one| one.topic.starts_with("columns ") || one.value == "not read");
    section(&mut out, "columns read", column_rows(&read));
    section(&mut out, "columns not read", left_out.into_iter().map(left_out_row).collect());
    section(&mut out, "how it was read", other_rows(&others));
    section(&mut out, "found around the data", input.facts.clone().into_iter().collect());
    let refused = input.refused.iter().take(SHOWN_REFUSALS).map(|refusal| {
        let column = refusal.column.as_deref().unwrap_or("whole row");
        (format!("line {}", refusal.row), format!("{column}, `{}`: {}", refusal.found, refusal.reason))
    });
    section(&mut out, "refused", refused.collect());
    more(&mut out, input.refused.len());
    out
}

fn section(out: &mut String, title: &str, rows: Vec<Row>) {
    if !rows.is_empty() {
        out.push_str(&format!("  {title}\n{}", labelled(&rows, 4)));
    }
}

fn more(out: &mut String, all: usize) {
    if all > SHOWN_REFUSALS {
        out.push_str(&format!("    and {} more; `--json` lists them all\n", all - SHOWN_REFUSALS));
    }
}

/// A decision under its topic.
fn row(decision: &Decision) -> Row {
    let topic = decision.topic.strip_prefix("column ").unwrap_or(&decision.topic);
    (topic.to_owned(), format!("{} ({})", decision.value, decision.reason))
}

/// Loggers that are told in the same words stand together.
fn logger_rows(loggers: &[&LoggerRead]) -> Vec<Row> {
    let groups = grouped(loggers, |logger| described(logger));
    let mut rows: Vec<Row> = groups
        .iter()
        .take(SHOWN_LOGGERS)
        .map(|(words, members)| match members[..] {
            [only] => (only.id.clone(), words.clone()),
            _ => {
                let ids: Vec<&str> = members.iter().map(|logger| logger.id.as_str()).collect();
                (counted(ids.len() as u64, "logger"), format!("{}; each {words}", listed(&ids)))
            }
        })
        .collect();
    let hidden: usize = groups.iter().skip(SHOWN_LOGGERS).map(|(_, members)| members.len()).sum();
    if hidden > 0 {
        rows.push((format!("and {hidden} more"), "`--json` lists them all".to_owned()));
    }
    rows
}

fn described(logger: &LoggerRead) -> String {
    let when = match logger.interval_s {
        Some(seconds) => format!(
            "every {}, {} to {}",
            interval(seconds),
            logger.first.format("%Y-%m-%d %H:%M"),
            logger.last.format("%Y-%m-%d %H:%M")
        ),
        None => logger.first.format("%Y-%m-%d %H:%M").to_string(),
    };
    let quantities: Vec<&str> = logger.quantities.iter().map(|quantity| quantity.label()).collect();
    let mut faults = vec![match logger.gaps.len() {
        0 => "no gap".to_owned(),
        gaps => counted(gaps as u64, "gap"),
    }];
    for (count, what) in [
        (logger.duplicates.len(), "repeated and used once"),
        (logger.conflicts.len(), "contradicting an earlier one and not used"),
    ] {
        if count > 0 {
            faults.push(format!("{} {what}", counted(count as u64, "row")));
        }
    }
    format!(
        "{}, {when}; {}; {}; {}",
        counted(logger.samples, "sample"),
        quantities.join(", "),
        faults.join(", "),
        logger.clock
    )
}

/// `5 min`, `1 h`, `52 s`.
fn interval(seconds: u32) -> String {
    match seconds {
        s if s % 3600 == 0 && s > 0 => format!("{} h", s / 3600),
        s if s % 60 == 0 && s > 0 => format!("{} min", s / 60),
        s => format!("{s} s"),
    }
}

/// Names, with what all begin with up to a slash given once.
fn listed(ids: &[&str]) -> String {
    let shared = ids[0].rfind('/').map_or("", |at| &ids[0][..=at]);
    if shared.is_empty() || !ids.iter().all(|id| id.starts_with(shared)) {
        return ids.join(", ");
    }
    let rest: Vec<&str> = ids.iter().map(|id| &id[shared.len()..]).collect();
    format!("{shared} {}", rest.join(", "))
}

/// Columns of one quantity and unit for one reason stand together.
fn column_rows(columns: &[&Decision]) -> Vec<Row> {
    let said = |one: &&Decision| {
        let value = one.value.split(", channel ").next().unwrap_or_default();
        format!("{value} ({})", one.reason)
    };
    let name = |one: &Decision| one.topic.strip_prefix("column ").unwrap_or(&one.topic).to_owned();
    grouped(columns, said)
        .into_iter()
        .map(|(said, members)| (members.iter().map(|one| name(one)).collect::<Vec<_>>().join(", "), said))
        .collect()
}

fn left_out_row(decision: &Decision) -> Row {
    match decision.topic.strip_prefix("column ") {
        Some(name) => (name.to_owned(), decision.reason.clone()),
        None => {
            let kind = decision.topic.strip_prefix("columns ").unwrap_or_default();
            let kind = if kind == "not read" { "others" } else { kind };
            let reason = decision.reason.strip_prefix("not read: ").unwrap_or(&decision.reason);
            (kind.to_owned(), format!("{} ({reason})", decision.value))
        }
    }
}

/// The same decision about more than two loggers is told of the first, and the others are named.
fn other_rows(decisions: &[&Decision]) -> Vec<Row> {
    let stem = |one: &&Decision| one.topic.split_once(" of ").map_or(&*one.topic, |(stem, _)| stem).to_owned();
    let mut rows = Vec::new();
    for (topic, members) in grouped(decisions, stem) {
        let (whole, about): (Vec<&Decision>, Vec<&Decision>) =
            members.into_iter().partition(|one| !one.topic.contains(" of "));
        rows.extend(whole.into_iter().map(row));
        match about[..] {
            [first, _, _, ..] => {
                let names: Vec<&str> = about.iter().filter_map(|one| Some(one.topic.split_once(" of ")?.1)).collect();
                let (_, said) = row(first);
                rows.push((topic, format!("of {}; the first of them: {said}", listed(&names))));
            }
            _ => rows.extend(about.into_iter().map(row)),
        }
    }
    rows
}

/// Items by what is said of them, in the order in which each is first said.
fn grouped<'a, T>(items: &[&'a T], said: impl Fn(&&'a T) -> String) -> Vec<(String, Vec<&'a T>)> {
    let mut groups: Vec<(String, Vec<&T>)> = Vec::new();
    for item in items {
        let words = said(item);
        match groups.iter_mut().find(|(known, _)| *known == words) {
            Some((_, members)) => members.push(item),
            None => groups.push((words, vec![item])),
        }
    }
    groups
}

fn counted(count: u64, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn intervals_in_the_largest_whole_unit() {
        for (seconds, text) in [(3600, "1 h"), (1800, "30 min"), (90, "90 s"), (0, "0 s"), (86_400, "24 h")] {
            assert_eq!(interval(seconds), text);
        }
    }

    #[test]
    fn a_shared_beginning_is_given_once() {
        assert_eq!(listed(&["house/1", "house/2"]), "house/ 1, 2");
        assert_eq!(listed(&["a/1", "b/2"]), "a/1, b/2");
        assert_eq!(listed(&["a", "b"]), "a, b");
    }
}
