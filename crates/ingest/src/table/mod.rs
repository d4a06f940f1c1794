//! Text to rows of cells, and where in them the log is.

pub(crate) mod bytes;
mod delimiter;
pub(crate) mod facts;
pub(crate) mod fill;
pub(crate) mod fixed;
mod grid;
pub(crate) mod layout;
mod row;
pub(crate) mod sections;
mod split;

pub(crate) use delimiter::choose;
pub(crate) use grid::{Grid, GridBuilder};
pub(crate) use layout::Layout;
pub(crate) use row::Row;
use serde::{Deserialize, Serialize};

use row::{line, trimmed, within};

/// What separates the cells of a row.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub(crate) enum Delimiter {
    #[default]
    Comma,
    Semicolon,
    Tab,
    Pipe,
    /// One or more blanks or tabs.
    Blanks,
    /// None: every cell has its place in the line.
    Places,
    /// None: the cells of a sheet are given one by one.
    Cells,
}

impl Delimiter {
    /// Those of text, in the order in which equals are preferred.
    pub const ALL: [Self; 5] = [Self::Comma, Self::Semicolon, Self::Tab, Self::Pipe, Self::Blanks];

    pub fn name(self) -> &'static str {
        match self {
            Self::Comma => "comma",
            Self::Semicolon => "semicolon",
            Self::Tab => "tab",
            Self::Pipe => "vertical bar",
            Self::Blanks => "blanks",
            Self::Places => "places in the line",
            Self::Cells => "cells",
        }
    }
}

/// Rows of cells within a text: nothing is copied.
#[derive(Debug)]
pub(crate) struct Table<'a> {
    text: &'a str,
    form: Form,
    /// Whether the last row ends with a line end.
    pub ended: bool,
}

/// How the cells of a table are found.
#[derive(Debug)]
enum Form {
    /// A text in which every line is a row and every mark ends a cell. Its rows are split when they are asked for,
    /// which costs less than keeping all cells: the start of each row, and the end of the text.
    Lines { starts: Vec<u32>, mark: u8 },
    /// All cells, kept.
    Cells(Cells),
}

/// Cells as spans of a text, in rows.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Cells {
    /// Start and end of each cell, without quotes and surrounding blanks.
    spans: Vec<(u32, u32)>,
    /// First cell of each row, and one past the last.
    starts: Vec<u32>,
    /// Line of each row, from 1.
    lines: Vec<u32>,
}

impl<'a> Table<'a> {
    /// Number of rows.
    pub fn rows(&self) -> usize {
        match &self.form {
            Form::Lines { starts, .. } => starts.len() - 1,
            Form::Cells(cells) => cells.lines.len(),
        }
    }

    /// A row with its cells at hand; `spans` is room for them, to be used again for the next row.
    pub fn open<'r>(&'r self, row: usize, spans: &'r mut Vec<(u32, u32)>) -> Row<'r, 'a> {
        let spans = match &self.form {
            Form::Lines { starts, mark } => {
                spans.clear();
                let bytes = self.text.as_bytes();
                let line = line(bytes, starts, row);
                let mut start = line.start;
                bytes::each(bytes, line.clone(), *mark, |at| {
                    spans.push(trimmed(bytes, start, at));
                    start = at + 1;
                });
                spans.push(trimmed(bytes, start, line.end));
                &spans[..]
            }
            Form::Cells(cells) => cells.of_row(row),
        };
        Row { text: self.text, spans }
    }

    /// Number of cells in a row.
    pub fn width(&self, row: usize) -> usize {
        self.spans(row).count()
    }

    /// Whether a row has more cells than these.
    pub fn is_wider(&self, row: usize, cells: usize) -> bool {
        match &self.form {
            // So many cells need as many marks.
            Form::Lines { starts, .. } => (starts[row + 1] - starts[row]) as usize >= cells && self.width(row) > cells,
            Form::Cells(_) => self.width(row) > cells,
        }
    }

    /// Number of cells in a row, not counting empty ones at its end.
    pub fn filled_width(&self, row: usize) -> usize {
        self.row(row).enumerate().filter(|(_, cell)| !cell.is_empty()).last().map_or(0, |(column, _)| column + 1)
    }

    /// A cell, trimmed; empty beyond the end of the row.
    pub fn cell(&self, row: usize, column: usize) -> &'a str {
        self.spans(row).nth(column).map_or("", |span| within(self.text, span))
    }

    /// Whether a cell is sure to begin with these characters, seen without looking for its end.
    pub fn begins_with(&self, row: usize, column: usize, start: &str) -> bool {
        match &self.form {
            Form::Lines { starts, .. } => {
                column == 0 && self.text.as_bytes()[starts[row] as usize..].starts_with(start.as_bytes())
            }
            Form::Cells(_) => false,
        }
    }

    /// The cells of a row.
    pub fn row(&self, row: usize) -> impl Iterator<Item = &'a str> + '_ {
        self.spans(row).map(|span| within(self.text, span))
    }

    /// Line of a row in the file, from 1.
    pub fn line(&self, row: usize) -> u64 {
        match &self.form {
            Form::Lines { .. } => row as u64 + 1,
            Form::Cells(cells) => cells.lines[row].into(),
        }
    }

    /// Whether a row has no text at all.
    pub fn is_blank(&self, row: usize) -> bool {
        self.row(row).all(str::is_empty)
    }

    /// The row as text again, for a message.
    pub fn row_text(&self, row: usize) -> String {
        let cells: Vec<&str> = self.row(row).take(40).collect();
        cells.join(" | ")
    }

    /// Cells that tell `key` and `value` apart: of lines between blanks there is only the line.
    pub fn pieces(&self, row: usize, delimiter: Delimiter) -> Vec<&'a str> {
        match delimiter {
            Delimiter::Blanks | Delimiter::Places => {
                self.whole(row).split("  ").map(str::trim).filter(|piece| !piece.is_empty()).collect()
            }
            _ => self.row(row).filter(|cell| !cell.is_empty()).collect(),
        }
    }

    /// The row as it stands in the file, from its first to its last cell.
    pub fn whole(&self, row: usize) -> &'a str {
        let mut filled = self.spans(row).filter(|(start, end)| start < end);
        let first = filled.next();
        match (first, filled.last().or(first)) {
            (Some((start, _)), Some((_, end))) => within(self.text, (start, end)),
            _ => "",
        }
    }

    /// A table of these rows alone, their cells kept: for a sample that is looked at column by column.
    pub fn pick(&self, rows: &[usize]) -> Self {
        let mut picked = Cells::default();
        for row in rows {
            picked.push(self.spans(*row), u32::try_from(self.line(*row)).unwrap_or(u32::MAX));
        }
        picked.close();
        Self { text: self.text, form: Form::Cells(picked), ended: true }
    }

    /// All cells, kept from now on so that they can be changed.
    fn cells_mut(&mut self) -> &mut Cells {
        if matches!(self.form, Form::Lines { .. }) {
            let rows: Vec<usize> = (0..self.rows()).collect();
            self.form = self.pick(&rows).form;
        }
        match &mut self.form {
            Form::Cells(cells) => cells,
            Form::Lines { .. } => unreachable!("the cells were just kept"),
        }
    }
}

impl Cells {
    fn of_row(&self, row: usize) -> &[(u32, u32)] {
        &self.spans[self.starts[row] as usize..self.starts[row + 1] as usize]
    }

    /// Adds a row.
    fn push(&mut self, spans: impl Iterator<Item = (u32, u32)>, line: u32) {
        self.starts.push(index(self.spans.len()));
        self.lines.push(line);
        self.spans.extend(spans);
    }

    /// Ends the last row.
    fn close(&mut self) {
        self.starts.push(index(self.spans.len()));
    }
}

/// A position in a text of less than 4 GiB.
fn index(position: usize) -> u32 {
    u32::try_from(position).unwrap_or(u32::MAX)
}
