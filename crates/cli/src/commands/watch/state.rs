//! What a report says, as far as a change of it is told: verdicts, findings, inputs.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use grainfall_report::manifest;
use serde::Serialize;
use serde_json::Value;

/// What a report says.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct State {
    /// Verdict on the goals of the job, of each chamber and of each point, by what it is about.
    verdicts: BTreeMap<String, String>,
    /// Findings by kind, subject and start: their text may change while they last.
    findings: BTreeMap<(String, String, String), String>,
    /// SHA-256 of every file, by path.
    inputs: BTreeMap<String, String>,
    /// Why files could not be read, by path.
    refused: BTreeMap<String, String>,
}

/// What one report says that the one before did not.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Change {
    /// Files that are new.
    pub added: Vec<String>,
    /// Files with other bytes than before.
    pub changed: Vec<String>,
    /// Files that are gone.
    pub removed: Vec<String>,
    /// Verdicts that are other than before.
    pub verdicts: Vec<Flip>,
    /// Findings that are new.
    pub new_findings: Vec<String>,
    /// Findings that are there no more.
    pub ended_findings: Vec<String>,
    /// Files that look like a log and cannot be read, with the reason: those that are new or changed.
    pub not_read: Vec<String>,
}

/// A verdict that is other than before.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Flip {
    /// What it is on: `job`, `chamber Kitchen`, `point K1`.
    pub on: String,
    /// What it was; `null` for what is new.
    pub from: Option<String>,
    /// What it is; `null` for what is gone.
    pub to: Option<String>,
}

impl State {
    /// What the report in a folder says; nothing where there is none that can be read.
    pub fn of_report(report_dir: &Path) -> Self {
        let read = |name: &str| manifest::document(report_dir, name).unwrap_or_default();
        Self::of_documents(&read(manifest::SUMMARY), &read(manifest::MANIFEST)).unwrap_or_default()
    }

    /// What a summary and a manifest say; `None` when they are not JSON.
    pub fn of_documents(summary: &[u8], manifest: &[u8]) -> Option<Self> {
        let (summary, manifest) =
            (serde_json::from_slice::<Value>(summary).ok()?, serde_json::from_slice::<Value>(manifest).ok()?);
        let evidence = &summary["evidence"];
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
        let mut state = Self::default();
        state.verdicts.insert("job".to_owned(), words(&evidence["verdict"]));
        for (kind, key, name) in [("chamber", "chambers", "name"), ("point", "points", "id")] {
            for one in list(&evidence[key]) {
                state.verdicts.insert(format!("{kind} {}", text(&one[name])), words(&one["verdict"]));
            }
        }
        for one in list(&evidence["findings"]) {
            let subject = one["subject"]["id"].as_str().unwrap_or("job").to_owned();
            state.findings.insert((text(&one["kind"]), subject, text(&one["from"])), text(&one["text"]));
        }
        for one in list(&manifest["job_files"]).iter().chain(&list(&manifest["inputs"])) {
            state.inputs.insert(text(&one["path"]), text(&one["sha256"]));
            if one["outcome"]["kind"] == "refused" {
                state.refused.insert(text(&one["path"]), text(&one["outcome"]["reason"]));
            }
        }
        Some(state)
    }

    /// The verdict on the whole job.
    pub fn verdict(&self) -> &str {
        self.verdicts.get("job").map_or("not shown", String::as_str)
    }

    /// What this one says that `before` did not.
    pub fn since(&self, before: &Self) -> Change {
        let was = |path: &str| before.inputs.get(path);
        let is_new = |path: &str| was(path) != self.inputs.get(path);
        let on: BTreeSet<&String> = before.verdicts.keys().chain(self.verdicts.keys()).collect();
        Change {
            added: self.inputs.keys().filter(|path| was(path).is_none()).cloned().collect(),
            changed: self.inputs.keys().filter(|path| was(path).is_some() && is_new(path)).cloned().collect(),
            removed: before.inputs.keys().filter(|path| !self.inputs.contains_key(*path)).cloned().collect(),
            verdicts: on
                .into_iter()
                .map(|on| Flip {
                    on: on.clone(),
                    from: before.verdicts.get(on).cloned(),
                    to: self.verdicts.get(on).cloned(),
                })
                .filter(|flip| flip.from != flip.to)
                .collect(),
            new_findings: only_in(&self.findings, &before.findings),
            ended_findings: only_in(&before.findings, &self.findings),
            not_read: self
                .refused
                .iter()
                .filter(|(path, reason)| is_new(path) || before.refused.get(*path) != Some(reason))
                .map(|(path, reason)| format!("{path}: {reason}"))
                .collect(),
        }
    }
}

/// Texts of the findings that the other has not.
fn only_in(
    one: &BTreeMap<(String, String, String), String>,
    other: &BTreeMap<(String, String, String), String>,
) -> Vec<String> {
    one.iter().filter(|(key, _)| !other.contains_key(*key)).map(|(_, text)| text.clone()).collect()
}

/// A verdict as people read it.
fn words(value: &Value) -> String {
    value.as_str().unwrap_or_default().replace('_', " ")
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn state(verdict: &str, finding: &str, inputs: &[(&str, &str)]) -> State {
        let summary = json!({"evidence": {
            "verdict": verdict,
            "chambers": [{"id": "k", "name": "Kitchen", "verdict": verdict}],
            "points": [{"id": "K1", "verdict": "met"}],
            "findings": [{"kind": finding, "subject": {"kind": "logger", "id": "S1"}, "from": "2025", "text": finding}],
        }});
        let outcome = |path: &str| match path {
            "bad.csv" => json!({"kind": "refused", "reason": "no times", "remedy": ""}),
            _ => json!({"kind": "read"}),
        };
        let inputs: Vec<Value> =
            inputs.iter().map(|(path, hash)| json!({"path": path, "sha256": hash, "outcome": outcome(path)})).collect();
        let manifest = json!({"job_files": [{"path": "job.toml", "sha256": "j"}], "inputs": inputs});
        State::of_documents(summary.to_string().as_bytes(), manifest.to_string().as_bytes()).unwrap()
    }

    #[test]
    fn what_is_new_and_what_is_gone() {
        let before = state("not_met", "logger_gap", &[("a.csv", "1"), ("b.csv", "2")]);
        let after = state("met", "stall", &[("a.csv", "9"), ("bad.csv", "3")]);
        let change = after.since(&before);
        assert_eq!((&change.added[..], &change.changed[..]), (&["bad.csv".to_owned()][..], &["a.csv".to_owned()][..]));
        assert_eq!(change.removed, ["b.csv"]);
        let flips: Vec<String> = change.verdicts.iter().map(|f| format!("{} {:?} {:?}", f.on, f.from, f.to)).collect();
        assert_eq!(flips, [r#"chamber Kitchen Some("not met") Some("met")"#, r#"job Some("not met") Some("met")"#]);
        assert_eq!((&change.new_findings[0][..], &change.ended_findings[0][..]), ("stall", "logger_gap"));
        assert_eq!(change.not_read, ["bad.csv: no times"]);
        assert_eq!(after.since(&after), Change::default(), "what was told is not told again");
        assert_eq!(after.verdict(), "met");
    }

    #[test]
    fn a_folder_without_a_report_says_nothing() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(State::of_report(folder.path()), State::default());
    }
}
