//! Columns at fixed places: every row has its cells between the same characters, so an empty cell is a stretch of
//! blanks and not a cell less.

use std::ops::Range;

use super::layout::Kind;
use super::split::line_end;
use super::{Cells, Form, Table, index};

/// Lines looked at to find the places.
const SAMPLE_LINES: usize = 4000;
/// Rows of data that must agree on them.
const ENOUGH: usize = 3;

/// The places of the columns, counted in characters, of a text whose cells are separated by blanks. `None` where the
/// rows do not agree on them, or where each row has every cell and blanks alone are enough.
pub(crate) fn places(text: &str) -> Option<Vec<Range<usize>>> {
    if text.contains('\t') {
        return None;
    }
    // A last line that is cut off has fewer cells for another reason.
    let whole = &text[..text.rfind(['\n', '\r'])?];
    let lines: Vec<Vec<Word>> = whole.split(['\n', '\r']).take(SAMPLE_LINES).map(words).collect();
    let data: Vec<Vec<Word>> = lines.iter().filter(|line| is_data(line)).cloned().collect();
    let most = data.iter().map(Vec::len).max()?;
    if data.len() < ENOUGH || data.iter().all(|line| line.len() == most) {
        return None;
    }
    let names = lines[..lines.iter().position(|line| is_data(line))?].iter().rfind(|line| !line.is_empty());
    let names = names.map(|line| joined(line)).filter(|names| names.len() > 1);
    // A date and a time one blank apart may be one cell, or two.
    [data.iter().map(|line| joined(line)).collect(), data].into_iter().find_map(|data: Vec<Vec<Word>>| {
        let places = taken(&data)?;
        let named = names.as_ref().is_none_or(|names| apart(&places, names));
        (places.len() > 1 && named && data.iter().all(|line| apart(&places, line))).then_some(places)
    })
}

/// The stretches of a line in which any of these rows has a character.
fn taken(data: &[Vec<Word<'_>>]) -> Option<Vec<Range<usize>>> {
    let end = data.iter().flatten().map(|word| word.place.end).max()?;
    let mut taken = vec![false; end];
    data.iter().flatten().for_each(|word| taken[word.place.clone()].fill(true));
    let mut places: Vec<Range<usize>> = Vec::new();
    for at in (0..end).filter(|at| taken[*at]) {
        match places.last_mut() {
            Some(place) if place.end == at => place.end = at + 1,
            _ => places.push(at..at + 1),
        }
    }
    Some(places)
}

/// Whether no two cells of a row belong to one place.
fn apart(places: &[Range<usize>], line: &[Word<'_>]) -> bool {
    line.windows(2).all(|pair| nearest(places, &pair[0]) < nearest(places, &pair[1]))
}

/// Words one blank apart as one.
fn joined<'a>(line: &[Word<'a>]) -> Vec<Word<'a>> {
    line.chunk_by(one_blank)
        .map(|name| Word {
            text: name[0].text,
            place: name[0].place.start..name[name.len() - 1].place.end,
            bytes: name[0].bytes.start..name[name.len() - 1].bytes.end,
        })
        .collect()
}

fn one_blank(a: &Word<'_>, b: &Word<'_>) -> bool {
    b.place.start == a.place.end + 1
}

/// A run of characters that are no blanks: its place in the line, in characters and in bytes.
#[derive(Debug, Clone)]
struct Word<'a> {
    text: &'a str,
    place: Range<usize>,
    bytes: Range<usize>,
}

fn words(line: &str) -> Vec<Word<'_>> {
    let mut found: Vec<Word<'_>> = Vec::new();
    for (place, (at, c)) in line.char_indices().enumerate().filter(|(_, (_, c))| !c.is_whitespace()) {
        let end = at + c.len_utf8();
        match found.last_mut() {
            Some(word) if word.bytes.end == at => {
                word.bytes.end = end;
                word.place.end = place + 1;
                word.text = &line[word.bytes.clone()];
            }
            _ => found.push(Word { text: &line[at..end], place: place..place + 1, bytes: at..end }),
        }
    }
    found
}

/// Whether a line is a row of data: it begins with a number or a time.
fn is_data(line: &[Word<'_>]) -> bool {
    line.first().is_some_and(|word| matches!(Kind::of(word.text), Kind::Number | Kind::Dated | Kind::Time))
}

/// How many characters of a word lie in a place.
fn common(place: &Range<usize>, word: &Word<'_>) -> usize {
    place.end.min(word.place.end).saturating_sub(place.start.max(word.place.start))
}

/// The place a word belongs to: the one it covers most of, else the nearest.
fn nearest(places: &[Range<usize>], word: &Word<'_>) -> usize {
    let apart =
        |place: &Range<usize>| place.start.saturating_sub(word.place.end) + word.place.start.saturating_sub(place.end);
    (0..places.len()).min_by_key(|at| (std::cmp::Reverse(common(&places[*at], word)), apart(&places[*at]))).unwrap_or(0)
}

/// The place of each word of a line. Words one blank apart are one name, unless they stand over several places.
fn placed(places: &[Range<usize>], line: &[Word<'_>]) -> Vec<usize> {
    let mut found = Vec::with_capacity(line.len());
    for name in line.chunk_by(one_blank) {
        let over = |word: &Word<'_>| places.iter().any(|place| common(place, word) > 0).then(|| nearest(places, word));
        let mut at = name.iter().find_map(over).unwrap_or_else(|| nearest(places, &name[name.len() - 1]));
        for word in name {
            at = over(word).unwrap_or(at);
            found.push(at);
        }
    }
    found
}

impl<'a> Table<'a> {
    /// The rows of `text` with their cells at these places.
    pub fn at_places(text: &'a str, places: &[Range<usize>]) -> Self {
        let mut kept = Cells::default();
        let mut at = 0;
        let mut number = 1;
        while at < text.len() {
            let len = text[at..].find(['\n', '\r']).unwrap_or(text.len() - at);
            let line = words(&text[at..at + len]);
            let mut cells: Vec<(u32, u32)> = vec![(index(at), index(at)); places.len()];
            for (word, place) in line.iter().zip(placed(places, &line)) {
                let (start, end) = (index(at + word.bytes.start), index(at + word.bytes.end));
                let cell = &mut cells[place];
                *cell = if cell.0 == cell.1 { (start, end) } else { (cell.0, end) };
            }
            kept.push(cells.into_iter(), number);
            at = line_end(text.as_bytes(), at + len, &mut number);
        }
        kept.close();
        Self { text, form: Form::Cells(kept), ended: text.is_empty() || text.ends_with(['\n', '\r']) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LOG: &str = "Date       Time   Temp (°C)   RH (%)\n\
                       2024-01-01 00:00       9.5     45.1\n\
                       2024-01-01 00:10      10.5         \n\
                       2024-01-01 00:20               46.0\n";

    #[test]
    fn an_empty_cell_keeps_its_place() {
        let places = places(LOG).unwrap();
        assert_eq!(places, [0..10, 11..16, 22..26, 31..35]);
        // Dates and times that do not stand below each other are one cell.
        let loose = "Time                  Temp_C  RH\n 1/2/2024 9:50:00 AM    9.5  45\n 1/2/2024 10:00:00 AM        46\n1/12/2024 10:10:00 AM   10.5  45\n";
        assert_eq!(super::places(loose).unwrap(), [0..21, 24..28, 29..32]);
        let table = Table::at_places(LOG, &places);
        let rows: Vec<Vec<&str>> = (0..table.rows()).map(|row| table.row(row).collect()).collect();
        assert_eq!(rows[0], ["Date", "Time", "Temp (°C)", "RH (%)"]);
        assert_eq!(rows[2], ["2024-01-01", "00:10", "10.5", ""]);
        assert_eq!(rows[3], ["2024-01-01", "00:20", "", "46.0"]);
        assert_eq!(table.line(3), 4);
    }

    #[test]
    fn rows_that_do_not_agree_have_no_places() {
        assert_eq!(places("a b\n2024-01-01 00:00 9.5 45.1\n2024-01-01 00:10 10.5\n2024-01-01 00:20 100.5 45\n"), None);
        let whole = "2024-01-01 00:00 9.5\n2024-01-01 00:10 9.5\n2024-01-01 00:20 9.5\n";
        assert_eq!(places(whole), None, "blanks alone are enough");
    }
}
