//! Splitting text into rows and cells.
//!
//! Quotes as in RFC 4180: a quoted cell may hold delimiters and line ends. A quote that is not closed within a few
//! lines is taken as a plain character, so that one torn line cannot swallow the rest of the file. A doubled quote
//! inside a quoted cell stays doubled; numbers and times have none.

use rayon::prelude::*;

use super::{Delimiter, Table};

/// Line ends a quoted cell may span.
const QUOTED_LINES: usize = 8;

/// Size of the pieces that are split at the same time.
const PIECE: usize = 1 << 20;

/// The rows of one piece of a text, with lines counted from the piece's start.
struct Piece<'a> {
    table: Table<'a>,
    /// Where its last row ends.
    end: usize,
    line_ends: u32,
}

impl<'a> Table<'a> {
    /// The rows of `text`. Texts of 4 GiB or more are the caller's to refuse.
    pub fn split(text: &'a str, delimiter: Delimiter) -> Self {
        Self::in_pieces(text, delimiter).unwrap_or_else(|| Self::piece(text, delimiter, 0, text.len()).table)
    }

    /// Splits a long text in pieces at the same time. `None` for a short one, and when a quoted cell runs over the
    /// edge of a piece: only rows that begin at an edge make the pieces the same as the whole.
    fn in_pieces(text: &'a str, delimiter: Delimiter) -> Option<Self> {
        let bytes = text.as_bytes();
        if bytes.len() < 2 * PIECE {
            return None;
        }
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
        let pieces: Vec<Piece<'a>> =
            edges.par_windows(2).map(|edge| Self::piece(text, delimiter, edge[0], edge[1])).collect();
        if pieces.iter().zip(&edges[1..]).any(|(piece, edge)| piece.end != *edge) {
            return None;
        }
        let mut table = Self { text, cells: Vec::new(), starts: vec![0], lines: Vec::new(), ended: true };
        table.cells.reserve_exact(pieces.iter().map(|piece| piece.table.cells.len()).sum());
        table.starts.reserve_exact(pieces.iter().map(|piece| piece.table.lines.len()).sum());
        table.lines.reserve_exact(pieces.iter().map(|piece| piece.table.lines.len()).sum());
        let mut line_ends = 0_u32;
        for piece in pieces {
            let cells = index(table.cells.len());
            table.cells.extend_from_slice(&piece.table.cells);
            table.starts.extend(piece.table.starts[1..].iter().map(|start| start.saturating_add(cells)));
            table.lines.extend(piece.table.lines.iter().map(|line| line.saturating_add(line_ends)));
            line_ends = line_ends.saturating_add(piece.line_ends);
            table.ended = piece.table.ended;
        }
        Some(table)
    }

    /// The rows that begin from `start` up to `stop`.
    fn piece(text: &'a str, delimiter: Delimiter, start: usize, stop: usize) -> Piece<'a> {
        let bytes = text.as_bytes();
        let mut table = Self { text, cells: Vec::new(), starts: vec![0], lines: Vec::new(), ended: true };
        let mut at = start;
        let mut line: u32 = 1;
        let mut stops = [false; 256];
        for (byte, stops) in (0_u8..=255).zip(&mut stops) {
            *stops = is_line_end(byte) || delimiter.is(byte);
        }
        while at < stop {
            table.lines.push(line);
            at = table.split_row(bytes, at, delimiter, &stops, &mut line);
            table.starts.push(index(table.cells.len()));
        }
        Piece { table, end: at, line_ends: line - 1 }
    }

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
                    return self.line_end(bytes, at, line);
                }
            }
            let may_be_quoted = matches!(bytes.get(at), Some(b'"' | b' '));
            at = match may_be_quoted.then(|| quoted(bytes, at, delimiter)).flatten() {
                Some((start, end, next, line_ends)) => {
                    self.push(bytes, start, end);
                    *line = line.saturating_add(line_ends);
                    next
                }
                None => {
                    let mut end = at;
                    end += bytes[at..].iter().position(|b| stops[usize::from(*b)]).unwrap_or(bytes.len() - at);
                    self.push(bytes, at, end);
                    if delimiter == Delimiter::Blanks {
                        self.join_half_day(bytes);
                    }
                    end
                }
            };
            if at >= bytes.len() || is_line_end(bytes[at]) {
                return self.line_end(bytes, at, line);
            }
            // A delimiter: blanks are skipped at the top of the loop.
            if delimiter != Delimiter::Blanks {
                at += 1;
            }
        }
    }

    fn line_end(&mut self, bytes: &[u8], at: usize, line: &mut u32) -> usize {
        self.ended = at < bytes.len();
        *line = line.saturating_add(1);
        match bytes.get(at) {
            Some(b'\r') if bytes.get(at + 1) == Some(&b'\n') => at + 2,
            Some(_) => at + 1,
            None => at,
        }
    }

    fn push(&mut self, bytes: &[u8], mut start: usize, mut end: usize) {
        let plain = |b: u8| (b'!'..=b'~').contains(&b);
        if start == end || plain(bytes[start]) && plain(bytes[end - 1]) {
            self.cells.push((index(start), index(end)));
            return;
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
        self.cells.push((index(start), index(end)));
    }

    /// Between blanks, `AM` and `PM` belong to the time before them.
    fn join_half_day(&mut self, bytes: &[u8]) {
        let first = self.starts.last().copied().unwrap_or(0) as usize;
        let [.., before, last] = &mut self.cells[first..] else { return };
        let text = &bytes[last.0 as usize..last.1 as usize];
        let half = [&b"AM"[..], b"PM", b"A.M.", b"P.M."].iter().any(|half| text.eq_ignore_ascii_case(half));
        let time = &bytes[before.0 as usize..before.1 as usize];
        if half && time.contains(&b':') && time.last().is_some_and(u8::is_ascii_digit) {
            before.1 = last.1;
            self.cells.pop();
        }
    }
}

impl Delimiter {
    fn is(self, byte: u8) -> bool {
        match self {
            Self::Comma => byte == b',',
            Self::Semicolon => byte == b';',
            Self::Tab => byte == b'\t',
            Self::Pipe => byte == b'|',
            Self::Blanks => byte == b' ' || byte == b'\t',
            Self::Cells => false,
        }
    }
}

fn is_line_end(byte: u8) -> bool {
    byte == b'\n' || byte == b'\r'
}

fn index(position: usize) -> u32 {
    u32::try_from(position).unwrap_or(u32::MAX)
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

    #[test]
    fn pieces_make_the_same_rows_as_the_whole() {
        for (row, line_end) in [("2024-01-01 00:00,21.5,45", "\n"), ("a,\"b,c\",d", "\r\n"), ("a;b", "\r")] {
            let mut text = String::new();
            while text.len() < 2 * PIECE + 7 {
                text.push_str(row);
                text.push_str(line_end);
            }
            text.push_str("last,1");
            let whole = Table::piece(&text, Delimiter::Comma, 0, text.len()).table;
            let table = Table::in_pieces(&text, Delimiter::Comma).unwrap();
            assert_eq!((&table.cells, &table.starts, &table.lines), (&whole.cells, &whole.starts, &whole.lines));
            assert!(!table.ended);
        }
    }

    #[test]
    fn a_quoted_cell_over_the_edge_of_a_piece_is_split_as_a_whole() {
        let mut text = "1,2\n".repeat(PIECE / 4);
        text.insert_str(PIECE - 8, "3,\"a\nb\nc\nd\ne\"\n");
        text.push_str(&"1,2\n".repeat(PIECE / 4));
        assert!(Table::in_pieces(&text, Delimiter::Comma).is_none());
        let table = Table::split(&text, Delimiter::Comma);
        assert_eq!(table.rows(), 2 * (PIECE / 4) + 1);
    }

    #[test]
    fn widths() {
        let table = Table::split("a,b,,\n", Delimiter::Comma);
        assert_eq!(table.width(0), 4);
        assert_eq!(table.filled_width(0), 2);
        assert_eq!(table.cell(0, 9), "");
    }
}
