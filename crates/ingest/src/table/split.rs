//! Splitting text into rows and cells.
//!
//! Quotes as in RFC 4180: a quoted cell may hold delimiters and line ends. A quote that is not closed within a few
//! lines is taken as a plain character, so that one torn line cannot swallow the rest of the file. A doubled quote
//! inside a quoted cell stays doubled; numbers and times have none.

use super::{Delimiter, Table};

/// Line ends a quoted cell may span.
const QUOTED_LINES: usize = 8;

impl<'a> Table<'a> {
    /// The rows of `text`. Texts of 4 GiB or more are the caller's to refuse.
    pub fn split(text: &'a str, delimiter: Delimiter) -> Self {
        let bytes = text.as_bytes();
        let mut table = Self { text, cells: Vec::new(), starts: vec![0], lines: Vec::new(), ended: true };
        let mut at = 0;
        let mut line: u32 = 1;
        while at < bytes.len() {
            table.lines.push(line);
            at = table.split_row(bytes, at, delimiter, &mut line);
            table.starts.push(index(table.cells.len()));
        }
        table
    }

    /// Reads one row from `at`; returns where the next one starts.
    fn split_row(&mut self, bytes: &[u8], mut at: usize, delimiter: Delimiter, line: &mut u32) -> usize {
        loop {
            if delimiter == Delimiter::Blanks {
                while at < bytes.len() && matches!(bytes[at], b' ' | b'\t') {
                    at += 1;
                }
                if at >= bytes.len() || is_line_end(bytes[at]) {
                    return self.line_end(bytes, at, line);
                }
            }
            at = match quoted(bytes, at, delimiter) {
                Some((start, end, next, line_ends)) => {
                    self.push(bytes, start, end);
                    *line = line.saturating_add(line_ends);
                    next
                }
                None => {
                    let mut end = at;
                    while end < bytes.len() && !is_line_end(bytes[end]) && !delimiter.is(bytes[end]) {
                        end += 1;
                    }
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
    fn widths() {
        let table = Table::split("a,b,,\n", Delimiter::Comma);
        assert_eq!(table.width(0), 4);
        assert_eq!(table.filled_width(0), 2);
        assert_eq!(table.cell(0, 9), "");
    }
}
