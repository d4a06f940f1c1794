//! A table made of cells that are known one by one, as those of a sheet: nothing is split.

use super::{Cells, Form, Table};

/// Cells as spans of a text, in rows.
#[derive(Debug, Default)]
pub(crate) struct Grid {
    pub text: String,
    cells: Cells,
}

/// A grid on the way.
#[derive(Debug)]
pub(crate) struct GridBuilder {
    grid: Grid,
}

impl GridBuilder {
    /// A grid over a text.
    pub fn new(text: String) -> Self {
        Self { grid: Grid { text, ..Grid::default() } }
    }

    /// Begins the row with this number, from 1.
    pub fn row(&mut self, line: u32) {
        self.grid.cells.close();
        self.grid.cells.lines.push(line);
    }

    /// Adds empty cells.
    pub fn pad(&mut self, cells: u32) {
        for _ in 0..cells {
            self.grid.cells.spans.push((0, 0));
        }
    }

    /// Adds a cell.
    pub fn cell(&mut self, start: u32, end: u32) {
        self.grid.cells.spans.push((start, end));
    }

    /// Puts another text into the last cell.
    pub fn replace_last(&mut self, start: u32, end: u32) {
        if let Some(last) = self.grid.cells.spans.last_mut() {
            *last = (start, end);
        }
    }

    pub fn finish(mut self) -> Grid {
        self.grid.cells.close();
        self.grid
    }
}

impl<'a> Table<'a> {
    /// The table of a grid.
    pub fn of_grid(grid: &'a Grid) -> Self {
        Self { text: &grid.text, form: Form::Cells(grid.cells.clone()), ended: true }
    }
}
