//! The findings, each with the rows it rests on.

use grainfall_analysis::evidence::{Evidence, Finding, Subject};

use super::answers::{chamber_anchor, point_anchor, unit_anchor};
use super::shown::{self, Shown};
use super::{Block, Cell, Section, Table, note, number_column, paragraph, text_column};
use crate::text;

/// The section.
pub(super) fn section(evidence: &Evidence, shown: &Shown) -> Option<Section> {
    let mut section = Section::new("findings", 1, "Findings");
    if evidence.findings.is_empty() {
        section.blocks.push(note(text::NO_FINDINGS));
        return Some(section);
    }
    section.blocks.push(paragraph(text::FINDINGS));
    let mut table = Table::new(
        "Findings by start",
        vec![
            number_column("No.", 22.0),
            text_column("When", 76.0),
            text_column("Kind", 62.0),
            text_column("About", 50.0),
            text_column("What", 160.0),
            text_column("Threshold", 90.0),
            text_column("Rows", 78.0),
        ],
    );
    for finding in &evidence.findings {
        table.push_anchored(
            anchor(finding),
            vec![
                finding.number.to_string().into(),
                Cell::at(shown.span(finding.from, finding.to), finding.from),
                Cell::strong(finding.kind.words()),
                subject_cell(evidence, &finding.subject),
                Cell::from(&finding.text),
                Cell::from(&finding.threshold),
                shown::rows(&finding.rows, 6).into(),
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

fn subject_cell(evidence: &Evidence, subject: &Subject) -> Cell {
    match subject {
        Subject::Job => "whole job".into(),
        Subject::Chamber(id) => Cell::link(format!("chamber {id}"), "", chamber_anchor(evidence, id)),
        Subject::Point(id) => Cell::link(format!("point {id}"), "", point_anchor(evidence, id)),
        Subject::Unit(id) => Cell::link(format!("unit {id}"), "", unit_anchor(evidence, id)),
        Subject::Logger(id) => format!("logger {id}").into(),
    }
}
