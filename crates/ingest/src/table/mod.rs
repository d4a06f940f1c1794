//! Text to rows of cells, and where in them the log is.

mod delimiter;
pub(crate) mod facts;
pub(crate) mod fill;
mod grid;
pub(crate) mod layout;
mod split;

pub(crate) use delimiter::choose;
pub(crate) use grid::{Grid, GridBuilder};
pub(crate) use layout::Layout;

/// What separates the cells of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Delimiter {
    Comma,
    Semicolon,
    Tab,
    Pipe,
    /// One or more blanks or tabs.
    Blanks,
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
            Self::Cells => "cells",
        }
    }
}

/// Rows of cells as spans of the text: nothing is copied.
#[derive(Debug)]
pub(crate) struct Table<'a> {
    text: &'a str,
    /// Start and end of each cell, without quotes and surrounding blanks.
    cells: Vec<(u32, u32)>,
    /// First cell of each row, and one past the last.
    starts: Vec<u32>,
    /// Line of each row, from 1.
    lines: Vec<u32>,
    /// Whether the last row ends with a line end.
    pub ended: bool,
}

impl<'a> Table<'a> {
    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.lines.len()
    }

    /// Number of cells in a row.
    pub fn width(&self, row: usize) -> usize {
        (self.starts[row + 1] - self.starts[row]) as usize
    }

    /// Number of cells in a row, not counting empty ones at its end.
    pub fn filled_width(&self, row: usize) -> usize {
        (0..self.width(row)).rev().find(|c| !self.cell(row, *c).is_empty()).map_or(0, |c| c + 1)
    }

    /// A cell, trimmed; empty beyond the end of the row.
    pub fn cell(&self, row: usize, column: usize) -> &'a str {
        let first = self.starts[row] as usize;
        let last = self.starts[row + 1] as usize;
        match self.cells[first..last].get(column) {
            Some((start, end)) => &self.text[*start as usize..*end as usize],
            None => "",
        }
    }

    /// The cells of a row.
    pub fn row(&self, row: usize) -> impl Iterator<Item = &'a str> + '_ {
        (0..self.width(row)).map(move |column| self.cell(row, column))
    }

    /// Line of a row in the file, from 1.
    pub fn line(&self, row: usize) -> u64 {
        u64::from(self.lines[row])
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

    /// The row as it stands in the file, from its first to its last cell.
    pub fn raw(&self, row: usize) -> &'a str {
        let cells = &self.cells[self.starts[row] as usize..self.starts[row + 1] as usize];
        match (cells.first(), cells.last()) {
            (Some((start, _)), Some((_, end))) => &self.text[*start as usize..*end as usize],
            _ => "",
        }
    }
}
