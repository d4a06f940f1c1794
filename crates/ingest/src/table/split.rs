//! Splitting text into rows and cells.
//!
//! Quotes as in RFC 4180: a quoted cell may hold delimiters and line ends. A quote that is not closed within a few
//! lines is taken as a plain character, so that one torn line cannot swallow the rest of the file. A doubled quote
//! inside a quoted cell stays doubled; numbers and times have none.

use rayon::prelude::*;

use super::bytes::{each, holds};
use super::row::trimmed;
use super::{Cells, Delimiter, Form, Table, index};

/// Line ends a quoted cell may span.
const QUOTED_LINES: usize = 8;

/// Size of the pieces that are split at the same time.
const PIECE: usize = 1 << 20;

/// The rows of one piece of a text, with lines counted from the piece's start.
struct Piece {
    cells: Cells,
    /// Where its last row ends.
    end: usize,
    line_ends: u32,
}

impl<'a> Table<'a> {
    /// The rows of `text`. Texts of 4 GiB or more are the caller's to refuse.
    pub fn split(text: &'a str, delimiter: Delimiter) -> Self {
        let edges = edges(text.as_bytes());
        let quoted = edges.par_windows(2).any(|edge| holds(&text.as_bytes()[edge[0]..edge[1]], b'"'));
        let form = match delimiter.mark().filter(|_| !quoted) {
            Some(mark) => Form::Lines { starts: line_starts(text, &edges), mark },
            None => Form::Cells(
                Cells::in_pieces(text.as_bytes(), delimiter, &edges)
                    .unwrap_or_else(|| Piece::split(text.as_bytes(), delimiter, 0, text.len()).cells),
            ),
        };
        Self { text, form, ended: text.is_empty() || text.ends_with(['\n', '\r']) }
    }
}

/// Where the pieces of a text begin, each with a row, and where the last one ends.
fn edges(bytes: &[u8]) -> Vec<usize> {
    let mut edges = vec![0];
    while let Some(from) = edges.last().map(|edge| edge + PIECE).filter(|from| *from < bytes.len()) {
        match bytes[from..].iter().position(|b| is_line_end(*b)).map(|p| from + p) {
            Some(at) if bytes[at] == b'\r' && bytes.get(at + 1) == Some(&b'\n') => edges.push(at + 2),
            Some(at) => edges.push(at + 1),
            None => break,
        }
    }
    if edges.last() != Some(&bytes.len()) {
        edges.push(bytes.len());
    }
    edges
}

/// Where the lines of a text begin, and its end.
fn line_starts(text: &str, edges: &[usize]) -> Vec<u32> {
    let pieces: Vec<Vec<u32>> = edges.par_windows(2).map(|edge| line_ends(text, edge[0], edge[1])).collect();
    let mut starts = Vec::with_capacity(pieces.iter().map(Vec::len).sum::<usize>() + 1);
    starts.push(0);
    starts.extend(pieces.into_iter().flatten());
    starts
}

/// Where the lines of a piece end, behind their marks.
fn line_ends(text: &str, from: usize, to: usize) -> Vec<u32> {
    let bytes = text.as_bytes();
    let returns = holds(&bytes[from..to], b'\r');
    let mut ends = Vec::with_capacity((to - from) / 32);
    let mut at = from;
    let mut line_to = |next: usize| {
        if returns {
            // A return within the line, before its own mark, ends a line as well.
            let line = bytes[at..next].strip_suffix(b"\n").unwrap_or(&bytes[at..next]);
            let line = line.strip_suffix(b"\r").unwrap_or(line);
            ends.extend(line.iter().enumerate().filter(|(_, b)| **b == b'\r').map(|(p, _)| index(at + p + 1)));
        }
        ends.push(index(next));
        at = next;
    };
    each(bytes, from..to, b'\n', |newline| line_to(newline + 1));
    if bytes.get(to - 1) != Some(&b'\n') {
        line_to(to);
    }
    ends
}

impl Cells {
    /// Splits a long text in pieces at the same time. `None` for a short one, and when a quoted cell runs over the
    /// edge of a piece: only rows that begin at an edge make the pieces the same as the whole.
    fn in_pieces(bytes: &[u8], delimiter: Delimiter, edges: &[usize]) -> Option<Self> {
        if bytes.len() < 2 * PIECE {
            return None;
        }
        let pieces: Vec<Piece> =
            edges.par_windows(2).map(|edge| Piece::split(bytes, delimiter, edge[0], edge[1])).collect();
        if pieces.iter().zip(&edges[1..]).any(|(piece, edge)| piece.end != *edge) {
            return None;
        }
        let mut cells = Self::default();
        cells.spans.reserve_exact(pieces.iter().map(|piece| piece.cells.spans.len()).sum());
        cells.starts.reserve_exact(pieces.iter().map(|piece| piece.cells.starts.len()).sum());
        cells.lines.reserve_exact(pieces.iter().map(|piece| piece.cells.lines.len()).sum());
        let mut line_ends = 0_u32;
        for piece in pieces {
            let first = index(cells.spans.len());
            let starts = &piece.cells.starts[..piece.cells.lines.len()];
            cells.spans.extend_from_slice(&piece.cells.spans);
            cells.starts.extend(starts.iter().map(|start| start.saturating_add(first)));
            cells.lines.extend(piece.cells.lines.iter().map(|line| line.saturating_add(line_ends)));
            line_ends = line_ends.saturating_add(piece.line_ends);
        }
        cells.close();
        Some(cells)
    }
}

impl Piece {
    /// The rows that begin from `start` up to `stop`.
    fn split(bytes: &[u8], delimiter: Delimiter, start: usize, stop: usize) -> Self {
        let mut cells = Cells::default();
        let mut at = start;
        let mut line: u32 = 1;
        let mut stops = [false; 256];
        for (byte, stops) in (0_u8..=255).zip(&mut stops) {
            *stops = is_line_end(byte) || delimiter.is(byte);
        }
        while at < stop {
            cells.push(std::iter::empty(), line);
            at = cells.split_row(bytes, at, delimiter, &stops, &mut line);
        }
        cells.close();
        Self { cells, end: at, line_ends: line - 1 }
    }
}

impl Cells {
    /// Reads one row from `at`; returns where the next one starts.
    fn split_row(
        &mut self,
        bytes: &[u8],
        mut at: usize,
        delimiter: Delimiter,
        stops: &[bool; 256],
        line: &mut u32,
    ) -> usize {
        loop {
            if delimiter == Delimiter::Blanks {
                while at < bytes.len() && matches!(bytes[at], b' ' | b'\t') {
                    at += 1;
                }
                if at >= bytes.len() || is_line_end(bytes[at]) {
                    return line_end(bytes, at, line);
                }
            }
            let may_be_quoted = matches!(bytes.get(at), Some(b'"' | b' '));
            at = match may_be_quoted.then(|| quoted(bytes, at, delimiter)).flatten() {
                Some((start, end, next, line_ends)) => {
                    self.spans.push(trimmed(bytes, start, end));
                    *line = line.saturating_add(line_ends);
                    next
                }
                None => {
                    let mut end = at;
                    end += bytes[at..].iter().position(|b| stops[usize::from(*b)]).unwrap_or(bytes.len() - at);
                    self.spans.push(trimmed(bytes, at, end));
                    if delimiter == Delimiter::Blanks {
                        self.join_half_day(bytes);
                    }
                    end
                }
            };
            if at >= bytes.len() || is_line_end(bytes[at]) {
                return line_end(bytes, at, line);
            }
            // A delimiter: blanks are skipped at the top of the loop.
            if delimiter != Delimiter::Blanks {
                at += 1;
            }
        }
    }

    /// Between blanks, `AM` and `PM` belong to the time before them.
    fn join_half_day(&mut self, bytes: &[u8]) {
        let first = self.starts.last().copied().unwrap_or(0) as usize;
        let [.., before, last] = &mut self.spans[first..] else { return };
        let text = &bytes[last.0 as usize..last.1 as usize];
        let half = [&b"AM"[..], b"PM", b"A.M.", b"P.M."].iter().any(|half| text.eq_ignore_ascii_case(half));
        let time = &bytes[before.0 as usize..before.1 as usize];
        if half && time.contains(&b':') && time.last().is_some_and(u8::is_ascii_digit) {
            before.1 = last.1;
            self.spans.pop();
        }
    }
}

/// Where the next row begins behind a line end or the end of the text.
pub(super) fn line_end(bytes: &[u8], at: usize, line: &mut u32) -> usize {
    *line = line.saturating_add(1);
    match bytes.get(at) {
        Some(b'\r') if bytes.get(at + 1) == Some(&b'\n') => at + 2,
        Some(_) => at + 1,
        None => at,
    }
}

impl Delimiter {
    /// The one byte that ends a cell; `None` where it takes more to tell.
    fn mark(self) -> Option<u8> {
        match self {
            Self::Comma => Some(b','),
            Self::Semicolon => Some(b';'),
            Self::Tab => Some(b'\t'),
            Self::Pipe => Some(b'|'),
            Self::Blanks | Self::Places | Self::Cells => None,
        }
    }

    fn is(self, byte: u8) -> bool {
        self.mark() == Some(byte) || self == Self::Blanks && matches!(byte, b' ' | b'\t')
    }
}

fn is_line_end(byte: u8) -> bool {
    byte == b'\n' || byte == b'\r'
}

/// A quoted cell at `at`: start and end of its content, where the delimiter or line end after it is, line ends inside.
fn quoted(bytes: &[u8], at: usize, delimiter: Delimiter) -> Option<(usize, usize, usize, u32)> {
    let mut start = at;
    while start < bytes.len() && bytes[start] == b' ' {
        start += 1;
    }
    if bytes.get(start) != Some(&b'"') {
        return None;
    }
    start += 1;
    let mut end = start;
    let mut line_ends = 0;
    loop {
        match bytes.get(end)? {
            b'"' if bytes.get(end + 1) == Some(&b'"') => end += 2,
            b'"' => break,
            b'\n' => {
                line_ends += 1;
                end += 1;
            }
            b'\r' => {
                if bytes.get(end + 1) != Some(&b'\n') {
                    line_ends += 1;
                }
                end += 1;
            }
            _ => end += 1,
        }
        if line_ends > QUOTED_LINES {
            return None;
        }
    }
    let mut next = end + 1;
    while next < bytes.len() && bytes[next] == b' ' && delimiter != Delimiter::Blanks {
        next += 1;
    }
    let closed = bytes.get(next).is_none_or(|b| is_line_end(*b) || delimiter.is(*b));
    closed.then(|| (start, end, next, u32::try_from(line_ends).unwrap_or(u32::MAX)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn rows(text: &str, delimiter: Delimiter) -> Vec<Vec<&str>> {
        let table = Table::split(text, delimiter);
        (0..table.rows()).map(|row| table.row(row).collect()).collect()
    }

    #[test]
    fn cells_are_trimmed_and_unquoted() {
        assert_eq!(
            rows("a, b ,\"c,d\",\"  50\",\r\n\" 6.25e+00\",\"\"\r\n", Delimiter::Comma),
            [vec!["a", "b", "c,d", "50", ""], vec!["6.25e+00", ""]]
        );
        assert_eq!(rows("21\u{a0};x\n", Delimiter::Semicolon), [["21", "x"]]);
        assert_eq!(rows("21.5\0\0,45\n", Delimiter::Comma), [["21.5", "45"]]);
    }

    #[test]
    fn every_kind_of_line_end() {
        let table = Table::split("a,b\r\n\r\nc,d\re,f\ng,h", Delimiter::Comma);
        assert_eq!((0..table.rows()).map(|row| table.line(row)).collect::<Vec<_>>(), [1, 2, 3, 4, 5]);
        assert!(table.is_blank(1));
        assert!(!table.ended);
        assert!(Table::split("a,b\n", Delimiter::Comma).ended);
    }

    #[test]
    fn a_quoted_line_end_keeps_the_count() {
        let table = Table::split("\"a\nb\",1\nc,2\n", Delimiter::Comma);
        assert_eq!(table.rows(), 2);
        assert_eq!(table.cell(0, 0), "a\nb");
        assert_eq!(table.line(1), 3);
    }

    #[test]
    fn an_open_quote_does_not_swallow_the_file() {
        let mut text = String::from("\"open,1\n");
        text.push_str(&"x,2\n".repeat(20));
        let table = Table::split(&text, Delimiter::Comma);
        assert_eq!(table.rows(), 21);
        assert_eq!(table.cell(0, 0), "\"open");
    }

    #[test]
    fn runs_of_blanks_are_one_delimiter() {
        assert_eq!(
            rows("  2024-01-01  00:00 \t 21.5\n\"a b\" c\n", Delimiter::Blanks),
            [vec!["2024-01-01", "00:00", "21.5"], vec!["a b", "c"]]
        );
        assert_eq!(rows("1/31/2024 08:00 PM 70\n", Delimiter::Blanks), [["1/31/2024", "08:00 PM", "70"]]);
    }

    /// All cells kept, by the reading that knows quotes.
    fn kept(text: &str, delimiter: Delimiter) -> Table<'_> {
        let cells = Piece::split(text.as_bytes(), delimiter, 0, text.len()).cells;
        Table { text, form: Form::Cells(cells), ended: true }
    }

    #[test]
    fn pieces_make_the_same_rows_as_the_whole() {
        for (row, line_end) in [("2024-01-01 00:00,21.5,45", "\n"), ("a,\"b,c\",d", "\r\n"), ("a;b", "\r")] {
            let mut text = String::new();
            while text.len() < 2 * PIECE + 7 {
                text.push_str(row);
                text.push_str(line_end);
            }
            text.push_str("last,1");
            let bytes = text.as_bytes();
            let whole = Piece::split(bytes, Delimiter::Comma, 0, text.len()).cells;
            assert_eq!(Cells::in_pieces(bytes, Delimiter::Comma, &edges(bytes)).unwrap(), whole);
            let table = Table::split(&text, Delimiter::Comma);
            assert!(!table.ended);
            assert_eq!(table.rows(), whole.lines.len());
            let last = table.rows() - 1;
            assert_eq!((table.cell(last, 0), table.line(last)), ("last", u64::from(whole.lines[last])));
        }
    }

    #[test]
    fn a_quoted_cell_over_the_edge_of_a_piece_is_split_as_a_whole() {
        let mut text = "1,2\n".repeat(PIECE / 4);
        text.insert_str(PIECE - 8, "3,\"a\nb\nc\nd\ne\"\n");
        text.push_str(&"1,2\n".repeat(PIECE / 4));
        let bytes = text.as_bytes();
        assert!(Cells::in_pieces(bytes, Delimiter::Comma, &edges(bytes)).is_none());
        let table = Table::split(&text, Delimiter::Comma);
        assert_eq!(table.rows(), 2 * (PIECE / 4) + 1);
    }

    proptest! {
        #[test]
        fn lines_split_when_asked_for_are_as_if_kept(text in "([0-9a ,;\u{a0}]|\r\n|\n|\r|\0){0,60}") {
            for delimiter in [Delimiter::Comma, Delimiter::Semicolon] {
                let (lines, kept) = (Table::split(&text, delimiter), kept(&text, delimiter));
                let as_lines = matches!(lines.form, Form::Lines { .. });
                prop_assert!(as_lines);
                prop_assert_eq!(lines.rows(), kept.rows());
                for row in 0..lines.rows() {
                    prop_assert_eq!(lines.row(row).collect::<Vec<_>>(), kept.row(row).collect::<Vec<_>>());
                    prop_assert_eq!(lines.line(row), kept.line(row));
                    prop_assert_eq!(lines.whole(row), kept.whole(row));
                    prop_assert_eq!(lines.filled_width(row), kept.filled_width(row));
                    prop_assert_eq!(lines.is_wider(row, 3), kept.is_wider(row, 3));
                }
            }
        }
    }

    #[test]
    fn widths() {
        let table = Table::split("a,b,,\n", Delimiter::Comma);
        assert_eq!(table.width(0), 4);
        assert_eq!(table.filled_width(0), 2);
        assert_eq!(table.cell(0, 9), "");
    }
}
