//! How the numbers come about: method, sources of the equations, assumptions; and the cautions.

use grainfall_analysis::evidence::Evidence;

use super::shown::Shown;
use super::{Block, Cell, Fact, Section, Table, heading, note, paragraph, text_column};
use crate::text;

/// The section on the method.
pub(super) fn section(evidence: &Evidence, shown: &Shown) -> Section {
    let mut section = Section::new("method", 1, "Method, sources and assumptions");
    section.new_page = true;
    let blocks = &mut section.blocks;
    blocks.push(Block::Facts { facts: facts(&text::METHOD) });
    blocks.push(heading("Sources of the equations"));
    let mut sources = Table::new(
        "Quantities, relations and where they come from",
        vec![text_column("Quantity", 120.0), text_column("Relation", 150.0), text_column("Source", 230.0)],
    );
    for (quantity, relation, source) in text::SOURCES {
        sources.push(vec![quantity.into(), relation.into(), source.into()]);
    }
    blocks.push(Block::Table(sources));
    blocks.push(note(text::EQUATION_LIMITS));
    blocks.push(heading("Assumptions"));
    if evidence.assumptions.is_empty() {
        blocks.push(paragraph("Nothing had to be assumed: every value the verdicts need is stated."));
    } else {
        let mut table = Table::new(
            "Assumed because nothing was stated",
            vec![text_column("Assumed", 190.0), text_column("From", 150.0), text_column("State it instead", 160.0)],
        );
        for assumption in &evidence.assumptions {
            table.push(vec![
                Cell::from(&assumption.text),
                Cell::from(&assumption.source),
                Cell::from(&assumption.remedy),
            ]);
        }
        blocks.push(Block::Table(table));
    }
    blocks.push(heading("Uncertainty of the loggers"));
    blocks.push(Block::Table(limits_table(evidence, shown)));
    section
}

/// The section with the cautions.
pub(super) fn cautions() -> Section {
    let mut section = Section::new("cautions", 1, "Cautions");
    // On one page with the lines to sign on.
    section.new_page = true;
    section.blocks.push(Block::Facts { facts: facts(&text::CAUTIONS) });
    section
}

fn facts(pairs: &[(&str, &str)]) -> Vec<Fact> {
    pairs.iter().map(|(name, value)| Fact { name: (*name).to_owned(), value: (*value).to_owned() }).collect()
}

fn limits_table(evidence: &Evidence, shown: &Shown) -> Table {
    let mut table = Table::new(
        "Limits of the sensors, taken as rectangular",
        vec![
            text_column("Logger", 200.0),
            text_column(format!("Temperature, ± {}", shown.units.temp_unit()), 100.0),
            text_column("Humidity, ± %RH", 100.0),
            text_column("From", 100.0),
        ],
    );
    for logger in &evidence.loggers {
        table.push(vec![
            format!("{} ({})", logger.label, logger.logger).into(),
            crate::number_format::trimmed(shown.units.temp_difference(logger.temp_limit_k), 2).into(),
            crate::number_format::trimmed(logger.rh_limit_pct, 2).into(),
            if logger.accuracy_assumed { "assumed" } else { "stated" }.into(),
        ]);
    }
    if evidence.loggers.is_empty() {
        table.notes.push(format!("No logger is on record to {}.", shown.day(shown.date(evidence.clock))));
    }
    table
}
