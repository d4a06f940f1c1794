//! One line per event, for people or for programs.

use anyhow::Result;
use serde::Serialize;

use super::state::{Change, Flip};
use crate::terminal;

/// Names and texts told in a line for people; the rest is counted.
const TOLD: usize = 4;

/// What happened.
#[derive(Debug, Serialize)]
#[serde(tag = "event", rename_all = "snake_case")]
pub enum Event<'a> {
    /// A job is watched from now on.
    Watching {
        /// The job's folder.
        folder: &'a str,
    },
    /// A fresh report is in place.
    Report {
        /// The job's folder.
        folder: &'a str,
        /// Whether there was none before; `added` and the rest then hold everything.
        is_first: bool,
        /// The verdict on the job.
        verdict: &'a str,
        /// What is other than before.
        #[serde(flatten)]
        change: &'a Change,
        /// Seconds from the folder's coming to rest to the new summary.
        summary_s: f64,
        /// Seconds from the folder's coming to rest to the new report.
        report_s: f64,
    },
    /// There is no fresh report; the one before stays.
    NoReport {
        /// The job's folder.
        folder: &'a str,
        /// Why.
        reason: &'a str,
    },
    /// A folder is no longer there, or no longer a job.
    Gone {
        /// The job's folder.
        folder: &'a str,
    },
    /// Watching has ended.
    Stopped {
        /// Reports written.
        reports: u64,
    },
}

/// How events are told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A sentence.
    Text,
    /// A JSON object.
    Json,
}

impl Form {
    /// Tells an event on stdout.
    pub fn tell(self, event: &Event<'_>) -> Result<()> {
        match self {
            Self::Json => terminal::print_data(&serde_json::to_string(event)?),
            // One line, whatever the texts in it hold.
            Self::Text => terminal::print(&terminal::inert(&text(event))),
        }
    }
}

fn text(event: &Event<'_>) -> String {
    match event {
        Event::Watching { folder } => format!("{}: watching", folder),
        Event::Report { folder, is_first, verdict, change, summary_s, report_s } => format!(
            "{}: {}drying goals {verdict} (summary after {summary_s:.2} s, report after {report_s:.2} s)",
            folder,
            if *is_first {
                format!("first report, of {} files; ", change.added.len())
            } else {
                changes(change).into_iter().map(|part| part + "; ").collect()
            },
        ),
        Event::NoReport { folder, reason } => {
            let lines: Vec<&str> = reason.lines().map(str::trim).collect();
            format!("{}: no new report: {}", folder, lines.join("; "))
        }
        Event::Gone { folder } => format!("{}: no longer there as a job; its report is not kept current", folder),
        Event::Stopped { reports } => format!("stopped; reports written: {reports}"),
    }
}

fn changes(change: &Change) -> Vec<String> {
    let mut parts = Vec::new();
    let mut add = |word: &str, all: &[String], between: &str| {
        if !all.is_empty() {
            let more = all.len().saturating_sub(TOLD);
            let more = if more > 0 { format!("{between}and {more} more") } else { String::new() };
            parts.push(format!("{word} {}{more}", all[..all.len().min(TOLD)].join(between)));
        }
    };
    add("added", &change.added, ", ");
    add("changed", &change.changed, ", ");
    add("removed", &change.removed, ", ");
    add("not read:", &change.not_read, " | ");
    add("verdict:", &change.verdicts.iter().map(flip).collect::<Vec<_>>(), ", ");
    add("new finding:", &in_line(&change.new_findings), " | ");
    add("no longer found:", &in_line(&change.ended_findings), " | ");
    parts
}

/// Sentences as parts of a line.
fn in_line(sentences: &[String]) -> Vec<String> {
    sentences.iter().map(|text| text.trim_end_matches('.').to_owned()).collect()
}

fn flip(flip: &Flip) -> String {
    match (&flip.from, &flip.to) {
        (Some(from), Some(to)) => format!("{} {from} -> {to}", flip.on),
        (None, Some(to)) => format!("{} {to} (new)", flip.on),
        (_, None) => format!("{} gone", flip.on),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_says_what_changed_and_stays_one_line() {
        let flip = |on: &str, from: Option<&str>, to: Option<&str>| Flip {
            on: on.to_owned(),
            from: from.map(str::to_owned),
            to: to.map(str::to_owned),
        };
        let change = Change {
            added: (1..=6).map(|n| format!("{n}.csv")).collect(),
            not_read: vec!["odd\nname.csv: no times".to_owned()],
            verdicts: vec![flip("point K1", Some("not met"), Some("met")), flip("point K2", None, Some("not met"))],
            new_findings: vec!["D2 stopped \u{1b}[2J.".to_owned()],
            ..Change::default()
        };
        let event = Event::Report {
            folder: "larch",
            is_first: false,
            verdict: "not met",
            change: &change,
            summary_s: 0.25,
            report_s: 1.5,
        };
        assert_eq!(
            terminal::inert(&text(&event)),
            "larch: added 1.csv, 2.csv, 3.csv, 4.csv, and 2 more; not read: odd name.csv: no times; \
             verdict: point K1 not met -> met, point K2 not met (new); new finding: D2 stopped [U+001B][2J; \
             drying goals not met (summary after 0.25 s, report after 1.50 s)"
        );
    }
}
