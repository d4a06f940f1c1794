//! What a finding must say, and the check against what is found.

use std::fmt::Write as _;
use std::sync::Arc;

use chrono::{DateTime, TimeDelta, Utc};
use grainfall_analysis::evidence::{Evidence, Finding, FindingKind, Subject};

use crate::open::Open;

/// Records of which it is known whether a fact is in them.
pub struct Truth {
    /// With the fact.
    pub with: Arc<Evidence>,
    /// What must be found in it: this and nothing else of the kind.
    pub due: Vec<Due>,
    /// Without the fact, or with something like it that is none; each with what it is.
    pub without: Vec<(&'static str, Arc<Evidence>)>,
}

/// One finding that must be there.
#[derive(Debug, Clone)]
pub struct Due {
    subject: Subject,
    from: Window,
    /// `None`: it is of a moment.
    to: Option<Window>,
    /// A number that it must name, and how far from that it may be.
    says: Option<(f64, f64)>,
}

/// Earliest and latest instant.
type Window = (DateTime<Utc>, DateTime<Utc>);

impl Due {
    /// About something, at a moment.
    pub fn at(subject: Subject, time: DateTime<Utc>) -> Self {
        Self { subject, from: (time, time), to: None, says: None }
    }

    /// About something, from one instant to another.
    pub fn between(subject: Subject, from: DateTime<Utc>, to: DateTime<Utc>) -> Self {
        Self { to: Some((to, to)), ..Self::at(subject, from) }
    }

    /// Its ends may lie so far from where they should.
    pub fn within(self, near: TimeDelta) -> Self {
        let wide = |window: Window| (window.0 - near, window.1 + near);
        Self { from: wide(self.from), to: self.to.map(wide), ..self }
    }

    /// It begins no earlier and no later than this.
    pub fn begins(self, from: DateTime<Utc>, to: DateTime<Utc>) -> Self {
        Self { from: (from, to), ..self }
    }

    /// It ends no earlier and no later than this.
    pub fn ends(self, from: DateTime<Utc>, to: DateTime<Utc>) -> Self {
        Self { to: Some((from, to)), ..self }
    }

    /// It names a number about as large as this.
    pub fn says(self, value: f64, near: f64) -> Self {
        Self { says: Some((value, near)), ..self }
    }

    fn fits(&self, finding: &Finding) -> bool {
        let inside = |window: Window, time: DateTime<Utc>| window.0 <= time && time <= window.1;
        let ends = match (self.to, finding.to) {
            (Some(window), Some(to)) => inside(window, to),
            (None, None) => true,
            _ => false,
        };
        let says =
            self.says.is_none_or(|(value, near)| numbers(&finding.text).iter().any(|n| (n - value).abs() <= near));
        self.subject == finding.subject && inside(self.from, finding.from) && ends && says
    }
}

/// Numbers in a text, without their signs.
fn numbers(text: &str) -> Vec<f64> {
    let pieces = text.split(|c: char| !c.is_ascii_digit() && c != '.');
    pieces.filter_map(|piece| piece.trim_end_matches('.').parse().ok()).collect()
}

/// Holds findings of a kind against what is due.
///
/// # Panics
/// Where one is missing or one too many.
pub fn holds(kind: FindingKind, evidence: &Evidence, due: &[Due]) {
    let mut rest: Vec<&Finding> = evidence.findings.iter().filter(|one| one.kind == kind).collect();
    let mut faults = String::new();
    for one in due {
        match rest.iter().position(|finding| one.fits(finding)) {
            Some(at) => {
                rest.remove(at);
            }
            None => writeln!(faults, "missing: {one:?}").unwrap(),
        }
    }
    for one in rest {
        writeln!(faults, "too much: {:?} {} to {:?}: {}", one.subject, one.from, one.to, one.text).unwrap();
    }
    assert!(faults.is_empty(), "{}:\n{faults}", kind.words());
}

/// The proof by records of which the truth is known.
pub fn by_truth(kind: FindingKind, truth: Truth) {
    assert!(!truth.due.is_empty(), "{}: a truth without the fact proves nothing", kind.words());
    assert!(!truth.without.is_empty(), "{}: nothing shows when it must be silent", kind.words());
    holds(kind, &truth.with, &truth.due);
    for (what, evidence) in truth.without {
        println!("without: {what}");
        holds(kind, &evidence, &[]);
    }
}

/// The proof by logs that others measured; `None` where they are not there.
pub fn by_open_logs(kind: FindingKind, open: Option<Open>) {
    let Some(open) = open else { return };
    let said = if open.due.is_empty() { "must not be raised" } else { "must be raised" };
    println!("{} {said}: {}", kind.words(), open.why);
    let evidence = open.evidence();
    for one in evidence.findings.iter().filter(|one| one.kind == kind) {
        println!("{}", one.text);
    }
    holds(kind, &evidence, &open.due);
}

#[test]
fn numbers_are_read_out_of_a_sentence() {
    let found: Vec<String> = numbers("from 2.5 h on 3 Oct, 60 min.").iter().map(f64::to_string).collect();
    assert_eq!(found, ["2.5", "3", "60"]);
}
