//! One row of a table: its cells found in its line, or taken from where they are kept.

use std::ops::Range;

use super::bytes::count;
use super::{Form, Table, index};

/// A row with its cells at hand.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Row<'r, 'a> {
    pub(super) text: &'a str,
    pub(super) spans: &'r [(u32, u32)],
}

impl<'a> Row<'_, 'a> {
    /// A cell, trimmed; empty beyond the end of the row.
    pub fn cell(&self, column: usize) -> &'a str {
        self.spans.get(column).map_or("", |span| within(self.text, *span))
    }

    /// Number of cells.
    pub fn width(&self) -> usize {
        self.spans.len()
    }

    /// Number of cells, not counting empty ones at the end.
    pub fn filled_width(&self) -> usize {
        self.spans.iter().rposition(|(start, end)| start < end).map_or(0, |last| last + 1)
    }

    /// Whether it has no text at all.
    pub fn is_blank(&self) -> bool {
        self.filled_width() == 0
    }
}

/// A span of a text.
pub(super) fn within(text: &str, (start, end): (u32, u32)) -> &str {
    &text[start as usize..end as usize]
}

/// Where the text of a line is, without its mark. `starts` are those of all lines and the end of the text.
pub(super) fn line(bytes: &[u8], starts: &[u32], row: usize) -> Range<usize> {
    let (start, end) = (starts[row] as usize, starts[row + 1] as usize);
    match &bytes[start..end] {
        [.., b'\r', b'\n'] => start..end - 2,
        [.., b'\r' | b'\n'] => start..end - 1,
        _ => start..end,
    }
}

/// The cells of a row, one after the other.
pub(super) enum Spans<'t> {
    /// What is left of a line, from where to where; `None` after the last cell.
    Line {
        bytes: &'t [u8],
        rest: Option<Range<usize>>,
        mark: u8,
    },
    Kept(std::slice::Iter<'t, (u32, u32)>),
}

impl Table<'_> {
    /// The cells of a row as spans of the text.
    pub(super) fn spans(&self, row: usize) -> Spans<'_> {
        match &self.form {
            Form::Lines { starts, mark } => {
                let bytes = self.text.as_bytes();
                Spans::Line { bytes, rest: Some(line(bytes, starts, row)), mark: *mark }
            }
            Form::Cells(cells) => Spans::Kept(cells.of_row(row).iter()),
        }
    }
}

impl Iterator for Spans<'_> {
    type Item = (u32, u32);

    fn next(&mut self) -> Option<(u32, u32)> {
        match self {
            Self::Line { bytes, rest, mark } => {
                let Range { start, end } = rest.clone()?;
                let length = bytes[start..end].iter().position(|byte| byte == mark);
                let stop = length.map_or(end, |length| start + length);
                *rest = length.map(|_| stop + 1..end);
                Some(trimmed(bytes, start, stop))
            }
            Self::Kept(spans) => spans.next().copied(),
        }
    }

    fn nth(&mut self, mut skipped: usize) -> Option<Self::Item> {
        if let Self::Kept(spans) = self {
            return spans.nth(skipped).copied();
        }
        while skipped > 0 {
            self.next()?;
            skipped -= 1;
        }
        self.next()
    }

    fn count(self) -> usize {
        match self {
            Self::Line { bytes, rest, mark } => rest.map_or(0, |rest| count(&bytes[rest], mark) + 1),
            Self::Kept(spans) => spans.len(),
        }
    }
}

/// A span without the blanks around its text.
pub(super) fn trimmed(bytes: &[u8], mut start: usize, mut end: usize) -> (u32, u32) {
    let plain = |b: u8| (b'!'..=b'~').contains(&b);
    if start == end || plain(bytes[start]) && plain(bytes[end - 1]) {
        return (index(start), index(end));
    }
    let blank = |b: u8| b.is_ascii_whitespace() || b == 0 || b == 0x1A;
    while start < end && blank(bytes[start]) {
        start += 1;
    }
    while end > start && blank(bytes[end - 1]) {
        end -= 1;
    }
    // No-break spaces around numbers.
    while end - start >= 2 && bytes[start..].starts_with(b"\xC2\xA0") {
        start += 2;
    }
    while end - start >= 2 && bytes[..end].ends_with(b"\xC2\xA0") {
        end -= 2;
    }
    (index(start), index(end))
}
