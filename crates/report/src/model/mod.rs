//! What a report says, before it has a shape: sections of blocks, every text final, every number rounded.
//!
//! The PDF and the page are made from the same [`Model`], so that they cannot differ in what they say.
//!
//! Reading order:
//! 1. this file: the parts a model is made of;
//! 2. [`shown`]: instants, quantities and rows as text, in the chosen units and the job's zone;
//! 3. one file per section: [`answers`], [`chambers`], [`equipment`], [`findings`], [`days`], [`record`], [`method`];
//!    `readings`, `outlook` and `completeness` have tables that these share.
//!
//! Left out: any look (the templates), any judgement (the analysis).

pub mod answers;
pub mod chambers;
mod completeness;
pub mod days;
pub mod equipment;
pub mod findings;
pub mod method;
mod outlook;
mod readings;
pub mod record;
pub mod shown;

use std::collections::BTreeSet;

use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use serde::Serialize;

use crate::charts::{Chart, ChartKind, ChartScope};
use crate::number_format::NO_VALUE;
use crate::units_shown::UnitSystem;
use crate::words::{Words, say};
use crate::{Error, RenderInput};
use shown::Shown;

/// A report.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Model {
    /// What the document is, with the job's name: `Drying report – Larch Street`.
    pub title: String,
    /// Job number and title, for the head of every page.
    pub running_head: String,
    /// The report's clock and the tool, for the foot of every page.
    pub running_foot: String,
    /// Who made it: name and version of the tool.
    pub tool: String,
    /// Paper of the PDF.
    pub paper: Paper,
    /// The sections, in order; the first one answers everything in one look.
    pub sections: Vec<Section>,
    /// The wording.
    #[serde(skip)]
    pub words: Words,
}

/// Paper sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    /// 8.5 by 11 inches, for US units.
    UsLetter,
    /// 210 by 297 mm, for SI units.
    A4,
}

/// A headed part of the report.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Section {
    /// Name of its anchor.
    pub id: String,
    /// Depth of its heading: 1 or 2.
    pub level: u8,
    /// The heading.
    pub title: String,
    /// Whether it starts on a new page in the PDF.
    pub new_page: bool,
    /// What it holds, in order.
    pub blocks: Vec<Block>,
}

impl Section {
    fn new(id: impl Into<String>, level: u8, title: impl Into<String>) -> Self {
        Self { id: id.into(), level, title: title.into(), new_page: false, blocks: Vec::new() }
    }
}

/// A part of a section.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Block {
    /// A paragraph.
    Paragraph {
        /// The text.
        text: String,
    },
    /// A small heading within a section.
    Heading {
        /// The text.
        text: String,
    },
    /// A remark set apart.
    Note {
        /// The text.
        text: String,
    },
    /// A list.
    List {
        /// Its items.
        items: Vec<Item>,
    },
    /// Names with values.
    Facts {
        /// The pairs.
        facts: Vec<Fact>,
    },
    /// Verdicts in large.
    Verdicts {
        /// One per chamber, or one for the job.
        verdicts: Vec<VerdictCard>,
    },
    /// Equipment-days by verdict, in large and as parts of one bar.
    Tally {
        /// What is counted.
        title: String,
        /// In the order of the bar.
        parts: Vec<DayCount>,
    },
    /// A statement of several sentences, set apart.
    Statement {
        /// What it is about.
        title: String,
        /// The sentences.
        sentences: Vec<String>,
        /// Where the rows it rests on are.
        rows: String,
    },
    /// A table.
    Table(Table),
    /// A chart.
    Chart {
        /// Index into the charts handed over.
        chart: usize,
        /// How wide it is set on paper.
        size: ChartSize,
        /// What it shows, for those who cannot see it.
        alt: String,
        /// What to read from it.
        caption: String,
    },
    /// Lines to sign on.
    SignOff {
        /// One per signature: what the person signs as.
        lines: Vec<String>,
    },
}

/// An item of a list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Item {
    /// The text.
    pub text: String,
    /// A second text: what to do about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub detail: Option<String>,
}

/// A name with a value.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fact {
    /// The name.
    pub name: String,
    /// The value.
    pub value: String,
}

/// One verdict in large.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VerdictCard {
    /// What it is about.
    pub subject: String,
    /// The verdict in words.
    pub verdict: String,
    /// How the verdict is drawn; never the only carrier of its meaning.
    pub mark: Mark,
    /// When, and how many points.
    pub detail: String,
    /// Why, or how sure the time is.
    pub why: String,
    /// Anchor of its evidence.
    pub link: String,
    /// How far points are from their goals, those still open first.
    pub points: Vec<PointLine>,
    /// Points that are not among them, in words.
    pub more: String,
}

/// How far one point is from its goal.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointLine {
    /// Its id.
    pub point: String,
    /// Anchor of its evidence.
    pub link: String,
    /// The reading that decides, with its unit.
    pub reading: String,
    /// The goal, without its unit.
    pub goal: String,
    /// The reading minus the goal.
    pub distance: String,
    /// The state, and since when.
    pub state: String,
}

/// How many equipment-days have one verdict.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DayCount {
    /// The verdict in words.
    pub verdict: &'static str,
    /// How its part of the bar is drawn: `needed`, `not-needed`, `not-shown`, `not-judged`.
    pub mark: &'static str,
    /// Days.
    pub days: u32,
    /// Where its part of the bar begins, of 1000.
    pub from: u32,
    /// How long its part is, of 1000.
    pub length: u32,
    /// More about it; empty for nothing.
    pub detail: String,
}

/// How wide a chart is set on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ChartSize {
    /// As wide as the text.
    Whole,
    /// One of a row of days, whose charts share a page.
    OfDay,
    /// The second chart of a day.
    BesideDay,
}

/// How a verdict is drawn: by weight and outline, never by colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// Shown, and answered with yes: a full outline.
    Solid,
    /// Shown, and answered with no: a heavy outline.
    Heavy,
    /// Not shown: a broken outline.
    Broken,
}

/// A table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Table {
    /// What it holds.
    pub caption: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// What to know when reading it.
    pub notes: Vec<String>,
    /// Anchor of the next row.
    #[serde(skip)]
    next_anchor: Option<String>,
}

impl Table {
    fn new(caption: impl Into<String>, columns: Vec<Column>) -> Self {
        Self { caption: caption.into(), columns, rows: Vec::new(), notes: Vec::new(), next_anchor: None }
    }

    fn push(&mut self, cells: Vec<Cell>) {
        debug_assert_eq!(cells.len(), self.columns.len(), "{}", self.caption);
        let anchor = self.next_anchor.take();
        self.rows.push(Row { anchor, group: None, cells, total: false });
    }

    fn push_anchored(&mut self, anchor: String, cells: Vec<Cell>) {
        self.push(cells);
        if let Some(row) = self.rows.last_mut() {
            row.anchor = Some(anchor);
        }
    }

    /// Puts the columns of another table behind its own, row by row by the first cell, which both begin with; rows of
    /// the other that it lacks are left out.
    fn join(&mut self, other: Self) {
        let mut columns = other.columns.into_iter();
        columns.next();
        self.columns.extend(columns);
        let wide = self.columns.len();
        for row in &mut self.rows {
            let same = other.rows.iter().find(|one| one.cells.first() == row.cells.first());
            row.cells.extend(same.into_iter().flat_map(|one| one.cells.iter().skip(1).cloned()));
            row.cells.resize(wide, Cell::from(NO_VALUE));
        }
        self.notes.extend(other.notes);
    }

    /// Leaves out a column, where what it says is said above the table.
    fn remove_column(&mut self, index: usize) {
        self.columns.remove(index);
        for row in self.rows.iter_mut().filter(|row| row.group.is_none()) {
            row.cells.remove(index);
        }
    }

    /// A title over the rows that follow; its anchor goes to the first of them, as the title is repeated on each page.
    fn push_group(&mut self, anchor: Option<String>, title: impl Into<String>, detail: impl Into<String>) {
        let group = Group { title: title.into(), detail: detail.into() };
        self.next_anchor = anchor;
        self.rows.push(Row { anchor: None, group: Some(group), cells: Vec::new(), total: false });
    }
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Column {
    /// Its head, with the unit.
    pub head: String,
    /// Where its cells are set.
    pub align: Align,
    /// Share of the table's width: about the points its text needs.
    pub share: f64,
}

/// Where the text of a column is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Align {
    /// At the start of the line.
    Start,
    /// At its end: numbers.
    End,
}

fn text_column(head: impl Into<String>, share: f64) -> Column {
    Column { head: head.into(), align: Align::Start, share }
}

fn number_column(head: impl Into<String>, share: f64) -> Column {
    Column { head: head.into(), align: Align::End, share }
}

/// A row of a table: either cells, or a title over the rows that follow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// Name of its anchor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub anchor: Option<String>,
    /// The title over the rows that follow.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub group: Option<Group>,
    /// The cells, one per column; none in a title row.
    pub cells: Vec<Cell>,
    /// Whether it sums up the rows above it and stays below them.
    pub total: bool,
}

/// A title over rows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Group {
    /// What the rows are about.
    pub title: String,
    /// More about it.
    pub detail: String,
}

/// A cell of a table.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Cell {
    /// Text as it is.
    Text(String),
    /// Text with a weight or a link.
    Rich {
        /// The text.
        text: String,
        /// Whether it is set strong.
        strong: bool,
        /// What follows it, set plain; empty for nothing.
        rest: String,
        /// Anchor it leads to; empty for none.
        link: String,
        /// Second of the epoch of an instant or a day, by which the page sorts.
        #[serde(skip_serializing_if = "Option::is_none")]
        key: Option<i64>,
    },
}

impl Cell {
    fn strong(text: impl Into<String>) -> Self {
        Self::verdict(text, "")
    }

    /// A verdict, set strong, with what follows it.
    fn verdict(text: impl Into<String>, rest: impl Into<String>) -> Self {
        Self::Rich { text: text.into(), strong: true, rest: rest.into(), link: String::new(), key: None }
    }

    /// An instant, or a span from it, in words.
    fn at(text: String, at: DateTime<Utc>) -> Self {
        Self::Rich { text, strong: false, rest: String::new(), link: String::new(), key: Some(at.timestamp()) }
    }

    /// A day in words.
    fn on(text: String, date: NaiveDate) -> Self {
        let midnight = date.and_time(NaiveTime::MIN).and_utc();
        Self::at(text, midnight)
    }

    /// Text that leads to an anchor, if there is one, with what follows it.
    fn link(text: impl Into<String>, rest: impl Into<String>, anchor: Option<String>) -> Self {
        match anchor {
            Some(link) => Self::Rich { text: text.into(), strong: false, rest: rest.into(), link, key: None },
            None => Self::Text(text.into() + &rest.into()),
        }
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<&String> for Cell {
    fn from(text: &String) -> Self {
        Self::Text(text.clone())
    }
}

impl From<Option<&String>> for Cell {
    fn from(text: Option<&String>) -> Self {
        Self::Text(text.cloned().unwrap_or_default())
    }
}

/// The model of a report.
///
/// # Arguments
/// * `charts`: the charts that exist, in the order in which the outputs number them.
///
/// # Errors
/// [`Error::TimeZone`] when the job's zone is not known.
pub fn build(input: &RenderInput<'_>, charts: &[Chart]) -> Result<Model, Error> {
    let evidence = &input.analysis.evidence;
    let shown = Shown::new(input.settings.manner(), evidence)?;
    let mut sections = vec![answers::section(evidence, &shown)];
    sections.extend(chambers::overview(shown.words, charts));
    sections.extend(chambers::sections(evidence, &shown, charts));
    sections.extend(equipment::section(evidence, &shown, charts));
    sections.extend(findings::section(evidence, &shown));
    sections.extend(days::sections(evidence, &shown, charts));
    sections.push(method::glossary(shown.words));
    sections.push(method::section(evidence, &shown));
    sections.extend(record::sections(input, &shown));
    sections.push(method::cautions(shown.words));
    sections.push(record::sign_off(shown.words));
    drop_dangling_links(&mut sections);
    let name = shown::job_name(shown.words, &evidence.job);
    Ok(Model {
        title: say!(shown.words, "report.drying_report", name = name),
        running_head: match &evidence.job.number {
            Some(number) => say!(shown.words, "report.job", number = shown::cut(number, 60), name = name),
            None => name,
        },
        running_foot: say!(
            shown.words,
            "report.record_to",
            clock = shown.instant_with_year(evidence.clock),
            tool = tool()
        ),
        tool: tool(),
        paper: match input.settings.units {
            UnitSystem::Us => Paper::UsLetter,
            UnitSystem::Si => Paper::A4,
        },
        sections,
        words: shown.words,
    })
}

/// Every place in the sections that a link can lead to.
pub(crate) fn anchors(sections: &[Section]) -> BTreeSet<String> {
    let mut anchors: BTreeSet<String> = sections.iter().map(|section| section.id.clone()).collect();
    for block in sections.iter().flat_map(|section| &section.blocks) {
        if let Block::Table(table) = block {
            anchors.extend(table.rows.iter().filter_map(|row| row.anchor.clone()));
        }
    }
    anchors
}

/// A link whose anchor is nowhere in the report becomes plain text: a point without readings has no place to lead to.
fn drop_dangling_links(sections: &mut [Section]) {
    let anchors = anchors(sections);
    for block in sections.iter_mut().flat_map(|section| &mut section.blocks) {
        match block {
            Block::Table(table) => {
                for cell in table.rows.iter_mut().flat_map(|row| &mut row.cells) {
                    if let Cell::Rich { link, .. } = cell
                        && !anchors.contains(link)
                    {
                        link.clear();
                    }
                }
            }
            Block::Verdicts { verdicts } => {
                for card in verdicts.iter_mut().filter(|card| !anchors.contains(&card.link)) {
                    card.link.clear();
                }
            }
            _ => {}
        }
    }
}

/// Name and version of the tool.
#[must_use]
pub fn tool() -> String {
    format!("grainfall {}", env!("CARGO_PKG_VERSION"))
}

/// The chart block of a chart.
fn chart_block(charts: &[Chart], index: usize) -> Block {
    let chart = &charts[index];
    Block::Chart {
        chart: index,
        size: match (&chart.scope, chart.kind) {
            (ChartScope::Day(_), ChartKind::Psychrometric) => ChartSize::BesideDay,
            (ChartScope::Day(_), _) => ChartSize::OfDay,
            _ => ChartSize::Whole,
        },
        alt: chart.alt.clone(),
        // That of a day's chart is said once for all days.
        caption: if matches!(chart.scope, ChartScope::Day(_)) { String::new() } else { chart.caption.clone() },
    }
}

fn paragraph(text: impl Into<String>) -> Block {
    Block::Paragraph { text: text.into() }
}

fn heading(text: impl Into<String>) -> Block {
    Block::Heading { text: text.into() }
}

fn note(text: impl Into<String>) -> Block {
    Block::Note { text: text.into() }
}

#[cfg(test)]
mod tests {
    use grainfall_analysis::evidence::Analysis;
    use grainfall_record::{Ledger, TidyFrame};

    use super::*;
    use crate::Settings;
    use crate::sample_evidence::{sample, stress};

    fn model(analysis: &Analysis, units: UnitSystem) -> Model {
        let settings = Settings { units, ..Settings::default() };
        let (frame, ledger) = (TidyFrame::default(), Ledger::default());
        let input = RenderInput { analysis, frame: &frame, ledger: &ledger, job_files: &[], settings: &settings };
        build(&input, &[]).unwrap()
    }

    fn tables(model: &Model) -> impl Iterator<Item = &Table> {
        model.sections.iter().flat_map(|section| &section.blocks).filter_map(|block| match block {
            Block::Table(table) => Some(table),
            _ => None,
        })
    }

    #[test]
    fn every_row_has_a_cell_for_every_column() {
        for analysis in [sample(), stress()] {
            let model = model(&analysis, UnitSystem::Us);
            assert!(tables(&model).count() > 10);
            for table in tables(&model) {
                for row in &table.rows {
                    assert!(row.group.is_some() || row.cells.len() == table.columns.len(), "{}", table.caption);
                }
            }
        }
    }

    #[test]
    fn every_anchor_is_there_once_and_every_link_leads_to_one() {
        for analysis in [sample(), stress()] {
            let model = model(&analysis, UnitSystem::Us);
            let mut anchors: Vec<&str> = model.sections.iter().map(|section| section.id.as_str()).collect();
            anchors.extend(tables(&model).flat_map(|t| &t.rows).filter_map(|row| row.anchor.as_deref()));
            let all = anchors.len();
            anchors.sort_unstable();
            anchors.dedup();
            assert_eq!(anchors.len(), all, "an anchor is there twice");
            let mut links = 0;
            for cell in tables(&model).flat_map(|t| &t.rows).flat_map(|row| &row.cells) {
                if let Cell::Rich { link, .. } = cell
                    && !link.is_empty()
                {
                    links += 1;
                    assert!(anchors.binary_search(&link.as_str()).is_ok(), "{link}");
                }
            }
            assert!(links > 10, "{links} links");
        }
    }

    #[test]
    fn a_link_without_its_anchor_becomes_text() {
        let mut analysis = sample();
        for unit in &mut analysis.evidence.equipment {
            unit.stays.clear();
        }
        let model = model(&analysis, UnitSystem::Us);
        let to_units = tables(&model)
            .flat_map(|t| &t.rows)
            .flat_map(|row| &row.cells)
            .filter(|cell| matches!(cell, Cell::Rich { link, .. } if link.starts_with("unit-")));
        assert_eq!(to_units.count(), 0);
    }

    #[test]
    fn the_first_section_answers_and_the_last_is_signed() {
        let model = model(&sample(), UnitSystem::Si);
        assert_eq!(model.paper, Paper::A4);
        let ids: Vec<&str> = model.sections.iter().map(|section| section.id.as_str()).collect();
        assert_eq!(ids.first(), Some(&"answers"));
        assert_eq!(ids.last(), Some(&"sign-off"));
        for id in ["chamber-1", "chamber-2", "equipment", "findings", "days", "method", "record", "inputs", "cautions"]
        {
            assert!(ids.contains(&id), "{id}");
        }
        let verdicts = model.sections[0].blocks.iter().find_map(|block| match block {
            Block::Verdicts { verdicts } => Some(verdicts),
            _ => None,
        });
        assert_eq!(verdicts.unwrap().len(), 2);
    }

    #[test]
    fn an_unknown_zone_is_named() {
        let mut analysis = sample();
        analysis.evidence.job.time_zone = "Mars/Olympus".to_owned();
        let fault = Shown::new(UnitSystem::Us, &analysis.evidence).unwrap_err();
        assert_eq!(
            fault.to_string(),
            "time zone `Mars/Olympus` is not an IANA name; write one such as `America/Chicago` in job.toml"
        );
    }
}
