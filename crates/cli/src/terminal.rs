//! Text on the terminal: tables that fit 80 columns, and output that tells when its reader has gone.

use std::io::{self, Write};

use anyhow::Result;
use unicode_width::UnicodeWidthStr;

/// Columns of a terminal nobody has to widen.
pub const WIDTH: usize = 80;

/// Writes lines for people to stdout; what would steer the terminal is written out.
pub fn print(text: &str) -> Result<()> {
    print_data(&inert_lines(text))
}

/// Writes a document that a program reads to stdout, as it is.
pub fn print_data(text: &str) -> Result<()> {
    print_bytes(text.as_bytes())?;
    print_bytes(b"\n")
}

/// Writes bytes to stdout.
pub fn print_bytes(bytes: &[u8]) -> Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(bytes)?;
    Ok(())
}

/// Writes lines for people to stderr, as [`print()`] does; a reader that has gone is no failure.
pub fn note(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{}", inert_lines(text));
}

/// A name from outside as it can be shown in a line: what would steer the terminal or end the line is written out.
pub fn inert(text: &str) -> String {
    grainfall_report::text_filter::for_any_faces(text).text
}

/// Several lines, each of them inert.
fn inert_lines(text: &str) -> String {
    text.split('\n').map(inert).collect::<Vec<_>>().join("\n")
}

/// Whether an error only says that the reader of stdout has gone.
pub fn is_broken_pipe(error: &anyhow::Error) -> bool {
    error.downcast_ref::<io::Error>().is_some_and(|error| error.kind() == io::ErrorKind::BrokenPipe)
}

/// Rows as columns, wrapped so that no line is longer than [`WIDTH`]: the last column first, the others where they
/// would leave it no room.
pub fn columns(rows: &[Vec<String>], indent: usize) -> String {
    // Made inert before it is measured: what is written out is wider.
    let rows: Vec<Vec<String>> = rows.iter().map(|row| row.iter().map(|cell| inert(cell)).collect()).collect();
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let natural = |column: usize| {
        let cells = rows.iter().filter(|row| row.len() > column + 1);
        cells.map(|row| width(&row[column])).max().unwrap_or(0)
    };
    let mut widths: Vec<usize> = (0..count.saturating_sub(1)).map(natural).collect();
    let last = rows.iter().filter_map(|row| row.last()).map(|cell| width(cell)).max().unwrap_or(0).min(WIDTH / 4);
    let room = (WIDTH - last).saturating_sub(indent + 2 * widths.len());
    while widths.iter().sum::<usize>() > room {
        let Some(widest) = widths.iter_mut().max().filter(|widest| **widest > LEAST) else { break };
        *widest -= 1;
    }
    rows.iter().map(|row| table_row(row, &widths, indent)).collect()
}

/// Columns that a cell keeps at least.
const LEAST: usize = 6;

fn table_row(row: &[String], widths: &[usize], indent: usize) -> String {
    let Some((last, cells)) = row.split_last() else { return String::new() };
    let cells: Vec<Vec<String>> = cells.iter().zip(widths).map(|(cell, width)| wrap(cell, *width, *width)).collect();
    let start = indent + widths.iter().take(cells.len()).map(|width| width + 2).sum::<usize>();
    let tall = cells.iter().any(|lines| lines.len() > 1);
    // A last cell that begins far to the right goes on further left, where nothing stands below the others.
    let hang = if tall { start } else { start.min(WIDTH / 2) };
    let last = wrap(last, WIDTH.saturating_sub(start), WIDTH.saturating_sub(hang));
    let mut text = String::new();
    for line in 0..cells.iter().map(Vec::len).max().unwrap_or(0).max(last.len()) {
        let mut out = " ".repeat(indent);
        for (lines, wide) in cells.iter().zip(widths) {
            let cell = lines.get(line).map_or("", String::as_str);
            out.push_str(cell);
            out.push_str(&" ".repeat(wide.saturating_sub(width(cell)) + 2));
        }
        if line > 0 && !tall {
            out = " ".repeat(hang);
        }
        out.push_str(last.get(line).map_or("", String::as_str));
        text.push_str(out.trim_end());
        text.push('\n');
    }
    text
}

/// Columns of the widest label that stands beside its text.
const LABEL: usize = 22;

/// Labels with their texts beside them, or below where a label is long. Code between backticks is not broken where it
/// fits a line, so that it can be copied.
pub fn labelled(rows: &[(String, String)], indent: usize) -> String {
    let rows: Vec<(String, String)> = rows.iter().map(|(label, text)| (inert(label), inert(text))).collect();
    let beside = rows.iter().map(|(label, _)| width(label)).filter(|label| *label <= LABEL).max().unwrap_or(0);
    let hang = indent + if beside == 0 { 2 } else { beside + 2 };
    let room = WIDTH - hang;
    let mut out = String::new();
    for (label, text) in &rows {
        if width(label) <= LABEL {
            out.push_str(&format!("{}{label}{}", " ".repeat(indent), " ".repeat(hang - indent - width(label))));
        } else {
            out.push_str(&paragraph(label, indent));
            out.push_str(&" ".repeat(hang));
        }
        let lines = fill(whole_code(text, room).iter().map(String::as_str), room, room);
        out.push_str(&lines.join(&format!("\n{}", " ".repeat(hang))));
        out.push('\n');
    }
    out
}

/// The words of a text, those between backticks or quotation marks together where they fit the room.
fn whole_code(text: &str, room: usize) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut code: Vec<&str> = Vec::new();
    for word in text.split_whitespace() {
        let opens_or_closes = word.matches(['`', '“', '”']).count() % 2 == 1;
        if code.is_empty() && !opens_or_closes {
            words.push(word.to_owned());
            continue;
        }
        code.push(word);
        if opens_or_closes && code.len() > 1 {
            let whole = code.join(" ");
            if width(&whole) <= room {
                words.push(whole);
            } else {
                words.extend(code.iter().map(|word| (*word).to_owned()));
            }
            code.clear();
        }
    }
    words.extend(code.into_iter().map(str::to_owned));
    words
}

/// A paragraph wrapped to the terminal, each line indented.
pub fn paragraph(text: &str, indent: usize) -> String {
    wrap(&inert(text), WIDTH - indent, WIDTH - indent)
        .into_iter()
        .map(|line| format!("{}{line}\n", " ".repeat(indent)))
        .collect()
}

/// A text of at most so many columns, its end cut off where it is longer.
pub fn shortened(text: &str, most: usize) -> String {
    let text = inert(text);
    if width(&text) <= most {
        return text;
    }
    format!("{}...", split_at_width(&text, most.saturating_sub(3)).0.trim_end())
}

fn wrap(text: &str, first: usize, rest: usize) -> Vec<String> {
    fill(text.split_whitespace(), first, rest)
}

/// Words in lines: the first of `first` columns, the others of `rest`; a word longer than a line is broken.
fn fill<'w>(words: impl Iterator<Item = &'w str>, first: usize, rest: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in words {
        let room = |lines: &[String]| if lines.len() == 1 { first } else { rest };
        let line = &lines[lines.len() - 1];
        let needed = width(line) + usize::from(!line.is_empty()) + width(word);
        if needed > room(&lines) && !line.is_empty() {
            lines.push(String::new());
        }
        let mut word = word;
        while width(word) > room(&lines) {
            let (head, tail) = split_at_width(word, room(&lines));
            if let Some(line) = lines.last_mut() {
                line.push_str(head);
            }
            lines.push(String::new());
            word = tail;
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}

/// The longest start of a text that takes at most so many columns (one glyph at least), and the rest.
fn split_at_width(text: &str, most: usize) -> (&str, &str) {
    let ends = text.char_indices().map(|(at, glyph)| at + glyph.len_utf8());
    let end = ends.clone().take_while(|end| width(&text[..*end]) <= most).last();
    text.split_at(end.or(ends.clone().next()).unwrap_or(0))
}

/// Columns a text takes, wide glyphs counted as two.
pub fn width(text: &str) -> usize {
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
    fn code_is_not_broken_where_it_fits() {
        assert_eq!(whole_code("add `a = \"b c\"`, or `d e`", 20), ["add", "`a = \"b c\"`,", "or", "`d e`"]);
        assert_eq!(whole_code("add `a b c d` now", 5), ["add", "`a", "b", "c", "d`", "now"]);
        let rows =
            [("a label that stands on its own line".to_owned(), "word ".repeat(30)), ("b".to_owned(), "c".to_owned())];
        let text = labelled(&rows, 4);
        assert!(text.lines().all(|line| width(line) <= WIDTH), "{text}");
        assert!(text.ends_with("    b  c\n"), "{text}");
    }

    #[test]
    fn wide_glyphs_and_endless_words_stay_within_the_terminal() {
        assert_eq!(width("温度"), 4);
        let long = "湿度計".repeat(20);
        let cells = |first: &str, second: &str| vec![first.to_owned(), "met".to_owned(), second.to_owned()];
        let rows = vec![cells(&long, "short"), cells("A", &long), cells(&"w".repeat(100), &"word ".repeat(40))];
        let text = columns(&rows, 2) + &paragraph(&long, 4);
        assert!(text.lines().all(|line| width(line) <= WIDTH), "{text}");
        let glyphs = |text: &str| text.chars().filter(|c| !c.is_whitespace()).count();
        let told: usize = rows.iter().flatten().map(|cell| glyphs(cell)).sum::<usize>() + glyphs(&long);
        assert_eq!(glyphs(&text), told, "nothing is lost");
    }

    /// An escape sequence, a bell, a line's end and a direction override, in every place a name can stand.
    #[test]
    fn names_cannot_steer_the_terminal() {
        let name = "A\u{1b}[2J\u{7}\n\u{202e}B".to_owned();
        let long = name.repeat(12);
        let rows = vec![vec![name.clone(), long.clone(), long.clone()], vec![long.clone()]];
        let labels = [(name.clone(), long.clone()), (long.clone(), name.clone())];
        let shown = columns(&rows, 2) + &labelled(&labels, 4) + &paragraph(&long, 2) + &shortened(&long, 40);
        assert_eq!(inert_lines(&shown), shown, "nothing is left that steers");
        assert!(shown.contains("[U+001B]") && shown.contains("[U+202E]"), "{shown}");
        assert!(shown.lines().all(|line| width(line) <= WIDTH), "{shown}");
    }

    #[test]
    fn a_shortened_text_says_so() {
        assert_eq!(shortened("kitchen", 7), "kitchen");
        assert_eq!(shortened("kitchen and den", 11), "kitchen...");
        assert_eq!(shortened("温度温度", 7), "温度...");
    }
}
