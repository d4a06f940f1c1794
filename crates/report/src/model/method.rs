//! How the numbers come about: method, sources of the equations, assumptions; the words used; and the cautions.

use std::collections::BTreeMap;

use grainfall_analysis::evidence::Evidence;

use super::shown::{self, Shown};
use super::{Block, Cell, Fact, Section, Table, heading, note, paragraph, text_column};
use crate::words::{Words, say};

/// The section on the method.
pub(super) fn section(evidence: &Evidence, shown: &Shown) -> Section {
    let mut section = Section::new("method", 1, say!(shown.words, "method.method_sources_and_assumptions"));
    section.new_page = true;
    let blocks = &mut section.blocks;
    blocks.push(Block::Facts { facts: facts(shown.words.rows("method")) });
    blocks.push(heading(say!(shown.words, "method.sources_of_the_equations")));
    let mut sources = Table::new(
        say!(shown.words, "method.quantities_relations_and_where_they_come"),
        vec![
            text_column(say!(shown.words, "method.quantity"), 120.0),
            text_column(say!(shown.words, "method.relation"), 150.0),
            text_column(say!(shown.words, "method.source"), 230.0),
        ],
    );
    let columns = sources.columns.len();
    for row in shown.words.rows("sources").iter().filter(|row| row.len() == columns) {
        sources.push(row.iter().map(Cell::from).collect());
    }
    blocks.push(Block::Table(sources));
    blocks.push(note(say!(shown.words, "text.equation_limits")));
    blocks.push(heading(say!(shown.words, "method.assumptions")));
    if evidence.assumptions.is_empty() {
        blocks.push(paragraph(say!(shown.words, "method.nothing_had_to_be_assumed_every")));
    } else {
        let mut table = Table::new(
            say!(shown.words, "method.assumed_because_nothing_was_stated"),
            vec![
                text_column(say!(shown.words, "method.assumed"), 190.0),
                text_column(say!(shown.words, "method.from"), 150.0),
                text_column(say!(shown.words, "method.state_it_instead"), 160.0),
            ],
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
    blocks.push(heading(say!(shown.words, "method.uncertainty_of_the_loggers")));
    blocks.push(Block::Table(limits_table(evidence, shown)));
    let meters = meters_table(evidence, shown);
    if !meters.rows.is_empty() {
        blocks.push(heading(say!(shown.words, "method.meters")));
        blocks.push(Block::Table(meters));
    }
    section
}

/// What the words of the report mean.
pub(super) fn glossary(words: Words) -> Section {
    let mut section = Section::new("glossary", 1, say!(words, "glossary.words_used_here"));
    section.blocks.push(Block::Facts { facts: facts(words.rows("glossary")) });
    section
}

/// The section with the cautions.
pub(super) fn cautions(words: Words) -> Section {
    let mut section = Section::new("cautions", 1, say!(words, "method.cautions"));
    // On one page with the lines to sign on.
    section.new_page = true;
    section.blocks.push(Block::Facts { facts: facts(words.rows("cautions")) });
    section
}

fn facts(rows: &[Vec<String>]) -> Vec<Fact> {
    let fact = |row: &Vec<String>| match row.as_slice() {
        [name, value] => Some(Fact { name: name.clone(), value: value.clone() }),
        _ => None,
    };
    rows.iter().filter_map(fact).collect()
}

/// The meters of the readings; what is stated of them decides whether a met goal is lost again.
fn meters_table(evidence: &Evidence, shown: &Shown) -> Table {
    let words = shown.words;
    let mut table = Table::new(
        say!(words, "method.meters_with_their_accuracy"),
        vec![
            text_column(say!(words, "method.meter"), 200.0),
            text_column(say!(words, "method.scale"), 150.0),
            text_column(say!(words, "method.accuracy_of_a_reading"), 150.0),
        ],
    );
    let mut meters: BTreeMap<(Option<&str>, &str), String> = BTreeMap::new();
    for reading in evidence.points.iter().filter(|point| !point.logged).flat_map(|point| &point.readings) {
        let accuracy = reading.accuracy.map(|accuracy| shown::with_unit(words, accuracy, &reading.unit));
        let accuracy = accuracy.unwrap_or_else(|| say!(words, "method.not_stated").to_owned());
        meters.entry((reading.meter.as_deref(), &reading.scale)).or_insert(accuracy);
    }
    for ((meter, scale), accuracy) in meters {
        let meter = meter.unwrap_or(say!(words, "method.no_meter_is_named"));
        table.push(vec![meter.into(), scale.into(), accuracy.into()]);
    }
    table
}

fn limits_table(evidence: &Evidence, shown: &Shown) -> Table {
    let mut table = Table::new(
        say!(shown.words, "method.limits_of_the_sensors_taken_as"),
        vec![
            text_column(say!(shown.words, "method.logger"), 200.0),
            text_column(say!(shown.words, "method.temperature", temp_unit = shown.units.temp_unit()), 100.0),
            text_column(say!(shown.words, "method.humidity_rh"), 100.0),
            text_column(say!(shown.words, "method.from"), 100.0),
        ],
    );
    for logger in &evidence.loggers {
        table.push(vec![
            format!("{} ({})", logger.label, logger.logger).into(),
            crate::number_format::trimmed(shown.words, shown.units.temp_difference(logger.temp_limit_k), 2).into(),
            crate::number_format::trimmed(shown.words, logger.rh_limit_pct, 2).into(),
            if logger.accuracy_assumed {
                say!(shown.words, "method.assumed_2")
            } else {
                say!(shown.words, "method.stated")
            }
            .into(),
        ]);
    }
    if evidence.loggers.is_empty() {
        table.notes.push(say!(
            shown.words,
            "method.no_logger_is_on_record_to",
            clock = shown.day(shown.date(evidence.clock))
        ));
    }
    table
}
