//! Which character separates the cells: the one under which the rows look most like a log.

use rayon::prelude::*;

use super::{Delimiter, Table, layout::Kind};
use crate::notes::Notes;

/// Text looked at from the start of the file, and again from its middle.
const SAMPLE: usize = 96 * 1024;

/// How well a delimiter explains the text.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Fit {
    /// Rows of the commonest width that hold numbers or times.
    rows: usize,
    /// Width of those rows.
    width: usize,
    /// Share of their filled cells that are numbers, times or words for "no value", times the rows.
    score: f64,
}

/// The delimiter of a text and where its rows start (after a `sep=` line); `None` when no row under any delimiter
/// holds two cells with a number or a time.
pub(crate) fn choose(text: &str, notes: &mut Notes) -> Option<Delimiter> {
    if let Some(stated) = stated(text) {
        notes.settled("delimiter", stated.name(), "the first line says so (`sep=`)");
        return Some(stated);
    }
    let samples = samples(text);
    let fits: Vec<(Delimiter, Fit)> = Delimiter::ALL
        .into_par_iter()
        .map(|delimiter| {
            let mut fit = Fit::default();
            for sample in &samples {
                let one = look(sample, delimiter);
                fit.rows += one.rows;
                fit.score += one.score;
                fit.width = fit.width.max(one.width);
            }
            (delimiter, fit)
        })
        .collect();
    let best_of = |fits: &[(Delimiter, Fit)]| {
        fits.iter().fold(None::<(Delimiter, Fit)>, |best, one| match best {
            Some(b) if b.1.score >= one.1.score => Some(b),
            _ if one.1.rows == 0 => best,
            _ => Some(*one),
        })
    };
    let marked = best_of(&fits[..4]);
    let blanks = fits[4];
    // Blanks also separate date from time and words from words, so any other delimiter that works is better.
    let (delimiter, fit) = match marked {
        Some(marked) if marked.1.score * 2.0 >= blanks.1.score => marked,
        _ if blanks.1.rows > 0 => blanks,
        Some(marked) => marked,
        None => return None,
    };
    let decimals = (delimiter == Delimiter::Comma).then(|| beside_decimal_commas(&samples, &fits)).flatten();
    let (delimiter, fit) = decimals.unwrap_or((delimiter, fit));
    let second = fits
        .iter()
        .filter(|(other, f)| *other != delimiter && *other != Delimiter::Blanks && f.rows > 0)
        .max_by(|a, b| a.1.score.total_cmp(&b.1.score));
    let mut reason = format!("{} rows of the sample have {} cells of numbers and times", fit.rows, fit.width);
    if let Some((other, f)) = second {
        reason.push_str(&format!("; a {} would give {} such rows of {} cells", other.name(), f.rows, f.width));
    }
    notes.settled("delimiter", delimiter.name(), reason);
    Some(delimiter)
}

/// The best other delimiter of a text in which every comma stands between two digits, and right above the first such
/// line stands one of names that have none between them: the commas are decimal marks.
fn beside_decimal_commas(samples: &[&str], fits: &[(Delimiter, Fit)]) -> Option<(Delimiter, Fit)> {
    let between_digits = |bytes: &[u8], at: usize| {
        let digit = |at: Option<usize>| at.and_then(|at| bytes.get(at)).is_some_and(u8::is_ascii_digit);
        digit(at.checked_sub(1)) && digit(at.checked_add(1))
    };
    let all = |text: &&str| text.match_indices(',').all(|(at, _)| between_digits(text.as_bytes(), at));
    if !samples.iter().all(all) {
        return None;
    }
    let lines: Vec<&str> =
        samples.first()?.split(['\n', '\r']).filter(|line| !line.trim().is_empty()).take(400).collect();
    let names =
        lines.windows(2).find(|pair| pair[1].contains(',')).map(|pair| pair[0]).filter(|line| !line.contains(','))?;
    let others = fits.iter().filter(|(other, fit)| *other != Delimiter::Comma && fit.rows > 0);
    let (delimiter, fit) = others.max_by(|a, b| a.1.score.total_cmp(&b.1.score))?;
    let table = Table::split(names, *delimiter);
    let cells = table.pieces(0, *delimiter);
    let words = cells.iter().filter(|cell| matches!(Kind::of(cell), Kind::Word | Kind::Missing)).count();
    (cells.len() >= 2 && words == cells.len()).then_some((*delimiter, *fit))
}

/// `sep=;` in the first line, as spreadsheet programs write it.
fn stated(text: &str) -> Option<Delimiter> {
    let line = text.lines().next()?.trim().trim_matches('"');
    let rest = line.get(..4).filter(|start| start.eq_ignore_ascii_case("sep=")).and(line.get(4..))?;
    match rest {
        "," => Some(Delimiter::Comma),
        ";" => Some(Delimiter::Semicolon),
        "|" => Some(Delimiter::Pipe),
        "\t" | "" if text.lines().next().is_some_and(|l| l.contains('\t')) => Some(Delimiter::Tab),
        _ => None,
    }
}

/// Whole lines from the start and from the middle.
fn samples(text: &str) -> Vec<&str> {
    if text.len() <= 2 * SAMPLE {
        return vec![text];
    }
    let cut = |from: usize| {
        let bytes = text.as_bytes();
        let next_line = |at: usize| bytes[at..].iter().position(|b| *b == b'\n' || *b == b'\r').map(|p| at + p + 1);
        let start = if from == 0 { 0 } else { next_line(from)? };
        let end = next_line((start + SAMPLE).min(text.len() - 1)).unwrap_or(text.len());
        text.get(start..end)
    };
    [0, text.len() / 2].into_iter().filter_map(cut).collect()
}

fn look(text: &str, delimiter: Delimiter) -> Fit {
    let table = Table::split(text, delimiter);
    // Rows by width: how many, and how well typed.
    let mut by_width: std::collections::BTreeMap<usize, (usize, f64)> = std::collections::BTreeMap::new();
    for row in 0..table.rows().min(1000) {
        let width = table.width(row);
        if width < 2 {
            continue;
        }
        let (mut filled, mut typed, mut solid) = (0_usize, 0_usize, 0_usize);
        for cell in table.row(row).take(200) {
            match Kind::of(cell) {
                Kind::Empty => {}
                Kind::Number | Kind::Dated | Kind::Time => {
                    filled += 1;
                    typed += 1;
                    solid += 1;
                }
                Kind::Missing => {
                    filled += 1;
                    typed += 1;
                }
                Kind::Word => filled += 1,
            }
        }
        if solid >= 1 && typed >= 2 {
            #[allow(clippy::cast_precision_loss)]
            let share = typed as f64 / filled as f64;
            let entry = by_width.entry(width).or_default();
            entry.0 += 1;
            entry.1 += share;
        }
    }
    by_width
        .into_iter()
        .map(|(width, (rows, score))| Fit { rows, width, score })
        .fold(Fit::default(), |best, one| if one.score >= best.score { one } else { best })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chosen(text: &str) -> Option<Delimiter> {
        choose(text, &mut Notes::default())
    }

    #[test]
    fn each_delimiter() {
        assert_eq!(chosen("t,T,RH\n2024-01-01 00:00,21.5,45\n"), Some(Delimiter::Comma));
        assert_eq!(
            chosen("t;T;RH\n01.02.2024 00:00;21,5;45,1\n01.02.2024 00:10;21,6;45,2\n"),
            Some(Delimiter::Semicolon)
        );
        assert_eq!(chosen("t\tT\tRH\n2024-01-01 00:00\t21.5\t45\n"), Some(Delimiter::Tab));
        assert_eq!(chosen("t|T|RH\n2024-01-01 00:00|21.5|45\n"), Some(Delimiter::Pipe));
        assert_eq!(chosen("date time T\n2024-01-01 00:00   21.5\n"), Some(Delimiter::Blanks));
        assert_eq!(chosen("Dear all,\nthe crawl space is wet.\n"), None);
    }

    #[test]
    fn decimal_commas_in_every_cell() {
        assert_eq!(chosen("Zeit\tT\tRH\n45292,000694\t21,5\t45,1\n45292,007639\t21,6\t45,2\n"), Some(Delimiter::Tab));
        assert_eq!(
            chosen("Zeit   Temp (°C)   RH\n45292,000694   21,5   45,1\n45292,007639   21,6   45,2\n"),
            Some(Delimiter::Blanks)
        );
        // Commas between names are no decimal marks, and without names nothing says that others are.
        assert_eq!(chosen("a,b\n2024-01-01 00:00,21\n2024-01-01 00:10,22\n"), Some(Delimiter::Comma));
        assert_eq!(chosen("In the hall\n2024-01-01 00:00,21\n2024-01-01 00:10,22\n"), Some(Delimiter::Comma));
    }

    #[test]
    fn a_stated_delimiter() {
        assert_eq!(chosen("sep=;\nt;T\n1,2;3,4\n"), Some(Delimiter::Semicolon));
    }

    #[test]
    fn the_reason_names_the_runner_up() {
        let mut notes = Notes::default();
        choose("a;b\n01.02.2024 00:00;21,5;1\n01.02.2024 00:10;21,6;1\n", &mut notes);
        assert_eq!(notes.decisions[0].reason, "2 rows of the sample have 3 cells of numbers and times");
    }
}
