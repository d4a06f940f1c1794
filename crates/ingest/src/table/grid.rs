//! A table made of cells that are known one by one, as those of a sheet: nothing is split.

use super::Table;

/// Cells as spans of a text, in rows.
#[derive(Debug, Default)]
pub(crate) struct Grid {
    pub text: String,
    cells: Vec<(u32, u32)>,
    starts: Vec<u32>,
    lines: Vec<u32>,
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
        self.close();
        self.grid.lines.push(line);
    }

    /// Adds empty cells.
    pub fn pad(&mut self, cells: u32) {
        for _ in 0..cells {
            self.grid.cells.push((0, 0));
        }
    }

    /// Adds a cell.
    pub fn cell(&mut self, start: u32, end: u32) {
        self.grid.cells.push((start, end));
    }

    /// Puts another text into the last cell.
    pub fn replace_last(&mut self, start: u32, end: u32) {
        if let Some(last) = self.grid.cells.last_mut() {
            *last = (start, end);
        }
    }

    pub fn finish(mut self) -> Grid {
        self.close();
        self.grid
    }

    fn close(&mut self) {
        self.grid.starts.push(u32::try_from(self.grid.cells.len()).unwrap_or(u32::MAX));
    }
}

impl<'a> Table<'a> {
    /// The table of a grid.
    pub fn of_grid(grid: &'a Grid) -> Self {
        Self {
            text: &grid.text,
            cells: grid.cells.clone(),
            starts: grid.starts.clone(),
            lines: grid.lines.clone(),
            ended: true,
        }
    }
}
