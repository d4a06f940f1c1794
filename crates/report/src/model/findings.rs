//! The findings, each with the rows it rests on.

use grainfall_analysis::evidence::{Evidence, Finding, Subject};

use super::answers::{chamber_anchor, point_anchor, unit_anchor};
use super::shown::{self, Shown};
use super::{Block, Cell, Section, Table, note, number_column, paragraph, text_column};
use crate::words::{Words, say};

/// The section.
pub(super) fn section(evidence: &Evidence, shown: &Shown) -> Option<Section> {
    let mut section = Section::new("findings", 1, say!(shown.words, "findings.findings"));
    if evidence.findings.is_empty() {
        section.blocks.push(note(say!(shown.words, "text.no_findings")));
        return Some(section);
    }
    section.blocks.push(paragraph(say!(shown.words, "text.findings")));
    let mut table = Table::new(
        say!(shown.words, "findings.findings_by_start"),
        vec![
            number_column(say!(shown.words, "findings.no"), 22.0),
            text_column(say!(shown.words, "findings.when"), 76.0),
            text_column(say!(shown.words, "findings.kind"), 62.0),
            text_column(say!(shown.words, "findings.about"), 54.0),
            text_column(say!(shown.words, "findings.what"), 180.0),
            text_column(say!(shown.words, "findings.threshold"), 90.0),
            text_column(say!(shown.words, "findings.rows"), 78.0),
        ],
    );
    for finding in &evidence.findings {
        table.push_anchored(
            anchor(finding),
            vec![
                finding.number.to_string().into(),
                Cell::at(shown.span(finding.from, finding.to), finding.from),
                Cell::strong(finding.kind.said(shown.words)),
                subject_cell(shown.words, evidence, &finding.subject),
                Cell::from(&finding.text),
                Cell::from(&finding.threshold),
                shown::rows(shown.words, &finding.rows, 6).into(),
            ],
        );
    }
    section.blocks.push(Block::Table(table));
    Some(section)
}

/// Anchor of a finding.
pub(crate) fn anchor(finding: &Finding) -> String {
    format!("finding-{}", finding.number)
}

fn subject_cell(words: Words, evidence: &Evidence, subject: &Subject) -> Cell {
    match subject {
        Subject::Job => say!(words, "findings.whole_job").into(),
        Subject::Chamber(id) => Cell::link(say!(words, "findings.chamber", id = id), "", chamber_anchor(evidence, id)),
        Subject::Point(id) => Cell::link(say!(words, "findings.point", id = id), "", point_anchor(evidence, id)),
        Subject::Unit(id) => Cell::link(say!(words, "findings.unit", id = id), "", unit_anchor(evidence, id)),
        Subject::Logger(id) => say!(words, "findings.logger", id = id).into(),
    }
}
