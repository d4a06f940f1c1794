//! Tables of findings, of what is missing, and of visits.

use grainfall_analysis::evidence::{Evidence, Subject};

use super::air::source;
use super::sheet::{Sheet, instant, maybe_instant, maybe_text, rows, text, whole};
use crate::UnitSystem;
use crate::model::shown::Shown;

/// Findings.
pub(super) fn findings(evidence: &Evidence, shown: &Shown) -> Sheet {
    let header = ["number", "kind", "about", "id", "from", "to", "text", "threshold", "rows"];
    let mut sheet = Sheet::new("findings", shown.units, &header);
    for finding in &evidence.findings {
        let about = match finding.subject {
            Subject::Job => "job",
            Subject::Chamber(_) => "chamber",
            Subject::Point(_) => "point",
            Subject::Unit(_) => "unit",
            Subject::Logger(_) => "logger",
        };
        sheet.rows.push(vec![
            whole(finding.number),
            text(finding.kind.words()),
            text(about),
            text(finding.subject.id()),
            instant(shown, finding.from),
            maybe_instant(shown, finding.to),
            text(&finding.text),
            text(&finding.threshold),
            rows(&finding.rows),
        ]);
    }
    sheet
}

/// What the record lacks.
pub(super) fn missing(evidence: &Evidence) -> Sheet {
    let mut sheet = Sheet::new("missing", UnitSystem::Us, &["missing", "what_to_add"]);
    sheet.rows.extend(evidence.missing.iter().map(|missing| vec![text(&missing.text), text(&missing.remedy)]));
    sheet
}

/// Visits.
pub(super) fn visits(evidence: &Evidence, shown: &Shown) -> Sheet {
    let header = ["time", "by", "credential", "instruments", "reason", "photos", "note", "file", "row"];
    let mut sheet = Sheet::new("visits", shown.units, &header);
    for visit in &evidence.visits {
        let mut row = vec![
            instant(shown, visit.time),
            maybe_text(visit.by.as_ref()),
            maybe_text(visit.credential.as_ref()),
            maybe_text(visit.instruments.as_ref()),
            maybe_text(visit.reason.as_ref()),
            maybe_text(visit.photos.as_ref()),
            maybe_text(visit.note.as_ref()),
        ];
        row.extend(source(Some(&visit.row)));
        sheet.rows.push(row);
    }
    sheet
}
