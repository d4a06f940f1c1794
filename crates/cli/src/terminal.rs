//! Text on the terminal: tables that fit 80 columns, and output that tells when its reader has gone.

use std::io::{self, Write};

use anyhow::Result;
use unicode_width::UnicodeWidthStr;

/// Columns of a terminal nobody has to widen.
pub const WIDTH: usize = 80;

/// Writes a line to stdout.
pub fn print(text: &str) -> Result<()> {
    print_bytes(text.as_bytes())?;
    print_bytes(b"\n")
}

/// Writes bytes to stdout.
pub fn print_bytes(bytes: &[u8]) -> Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(bytes)?;
    Ok(())
}

/// Writes a line to stderr; a reader that has gone is no failure.
pub fn note(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{text}");
}

/// Whether an error only says that the reader of stdout has gone.
pub fn is_broken_pipe(error: &anyhow::Error) -> bool {
    error.downcast_ref::<io::Error>().is_some_and(|error| error.kind() == io::ErrorKind::BrokenPipe)
}

/// Rows as columns, the last one wrapped so that no line is longer than [`WIDTH`].
pub fn columns(rows: &[Vec<String>], indent: usize) -> String {
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let widths: Vec<usize> = (0..count.saturating_sub(1))
        .map(|column| {
            let cells = rows.iter().filter(|row| row.len() > column + 1);
            cells.map(|row| width(&row[column])).max().unwrap_or(0)
        })
        .collect();
    let mut text = String::new();
    for row in rows {
        let Some((last, cells)) = row.split_last() else { continue };
        let mut line = " ".repeat(indent);
        for (column, cell) in cells.iter().enumerate() {
            line.push_str(cell);
            line.push_str(&" ".repeat(widths[column].saturating_sub(width(cell)) + 2));
        }
        let hang = width(&line).min(WIDTH / 2);
        let room = WIDTH.saturating_sub(width(&line)).max(WIDTH / 4);
        for (index, part) in wrap(last, room, WIDTH - hang).into_iter().enumerate() {
            if index == 0 {
                line.push_str(&part);
            } else {
                text.push_str(line.trim_end());
                text.push('\n');
                line = " ".repeat(hang) + &part;
            }
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// A paragraph wrapped to the terminal, each line indented.
pub fn paragraph(text: &str, indent: usize) -> String {
    wrap(text, WIDTH - indent, WIDTH - indent)
        .into_iter()
        .map(|line| format!("{}{line}\n", " ".repeat(indent)))
        .collect()
}

/// Words in lines: the first of `first` columns, the others of `rest`.
fn wrap(text: &str, first: usize, rest: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let room = if lines.len() == 1 { first } else { rest };
        let line = &lines[lines.len() - 1];
        let needed = width(line) + usize::from(!line.is_empty()) + width(word);
        if needed > room && !line.is_empty() {
            lines.push(word.to_owned());
        } else if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}

/// Columns a text takes, wide glyphs counted as two.
fn width(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_longer_than_the_terminal() {
        let rows = vec![
            vec!["A1".to_owned(), "met".to_owned(), "word ".repeat(40)],
            vec!["long name".to_owned(), "not shown".to_owned(), "short".to_owned()],
        ];
        let text = columns(&rows, 2);
        assert!(text.lines().all(|line| width(line) <= WIDTH), "{text}");
        assert!(text.lines().next().unwrap().starts_with("  A1         met        word"));
    }

    #[test]
    fn wide_glyphs_take_two_columns() {
        assert_eq!(width("温度"), 4);
    }
}
