//! How many lines high a row of a table is, where that can be told before it is set.
//!
//! The typesetter sets every cell of a row twice: once to find the row's height, once within it. A row of known height
//! is set once, in the same place, and is never broken over pages.
//!
//! A count is only given where two bounds agree. A cell takes at least the lines that its text would fill if it could
//! be broken anywhere; it takes at most those of a text that is broken where spaces and break marks are and nowhere
//! else, since lines are filled one after the other and more places to break never make more lines. Both count widths
//! with a margin for what is not counted: kerning, and figures that are set as wide as one another.

use serde_json::Value;

use crate::fonts::{Weight, text_width};
use crate::text_filter::BREAK;

/// Size of table text.
pub(super) const SIZE_PT: f64 = 7.3;

/// The most that kerning and tabular figures add to a line counted with [`WIDEST_FIGURE`].
const WIDENED: f64 = 1.02;

/// The most that kerning takes off a line.
const NARROWED: f64 = 0.95;

/// The widest figure of the embedded faces; tabular figures are up to 1 % wider.
const WIDEST_FIGURE: char = '4';

/// Higher rows may be broken over pages, which those of known height are not.
const HIGHEST: u32 = 12;

/// Lines of the highest cell of a row; `None` where it cannot be told.
///
/// # Arguments
/// * `cells`: as the template gets them.
/// * `rooms_pt`: width of each column without its insets.
pub(super) fn lines(cells: &[Value], rooms_pt: &[f64]) -> Option<u32> {
    if cells.len() != rooms_pt.len() {
        return None;
    }
    let (mut least, mut most) = (0, 0);
    for (cell, room_pt) in cells.iter().zip(rooms_pt) {
        let runs = runs(cell);
        if runs.iter().all(|(text, _)| text.trim().is_empty()) {
            continue;
        }
        least = least.max(least_lines(&runs, *room_pt));
        most = most.max(most_lines(&runs, *room_pt)?);
    }
    (least == most && (1..=HIGHEST).contains(&most)).then_some(most)
}

/// A cell's text in the faces it is set in.
fn runs(cell: &Value) -> Vec<(&str, Weight)> {
    let text = |key: &str| cell[key].as_str().unwrap_or_default();
    match cell {
        Value::String(text) => vec![(text, Weight::Regular)],
        _ => {
            let weight = if cell["strong"] == true { Weight::Bold } else { Weight::Regular };
            vec![(text("text"), weight), (text("rest"), Weight::Regular)]
        }
    }
}

/// Lines of a text that could be broken anywhere, a space gone at each break.
fn least_lines(runs: &[(&str, Weight)], room_pt: f64) -> u32 {
    let all: f64 = runs.iter().map(|(text, weight)| plain_pt(text.trim_matches([' ', BREAK]), *weight)).sum();
    let space = widest_space_pt();
    // The room of a line and the space lost behind it.
    (((NARROWED * all + space) / (room_pt + space)).ceil().max(1.0)) as u32
}

/// Lines of a text that is broken at spaces and marks alone; `None` where a word is wider than the room.
fn most_lines(runs: &[(&str, Weight)], room_pt: f64) -> Option<u32> {
    let space = WIDENED * widest_space_pt();
    let (mut lines, mut filled) = (1, 0.0);
    let (mut word, mut gap) = (0.0, 0.0);
    // One more mark ends the last word.
    let places = runs.iter().flat_map(|(text, weight)| text.chars().map(move |c| (c, *weight)));
    for (c, weight) in places.chain([(BREAK, Weight::Regular)]) {
        if c != ' ' && c != BREAK {
            word += WIDENED * plain_pt(c.encode_utf8(&mut [0; 4]), weight);
            continue;
        }
        if word > room_pt {
            return None;
        }
        if filled + gap + word > room_pt {
            lines += 1;
            (filled, gap) = (0.0, 0.0);
        }
        filled += gap + word;
        (word, gap) = (0.0, if c == ' ' { space } else { 0.0 });
    }
    Some(lines)
}

/// A space of whichever face has the wider one; a heavier face may have the narrower.
fn widest_space_pt() -> f64 {
    plain_pt(" ", Weight::Regular).max(plain_pt(" ", Weight::Bold))
}

/// Width of a text with every figure as wide as the widest and break marks as nothing.
fn plain_pt(text: &str, weight: Weight) -> f64 {
    let counted = |c: char| if c.is_ascii_digit() { WIDEST_FIGURE } else { c };
    let text: String = text.chars().filter(|c| *c != BREAK).map(counted).collect();
    text_width(&text, SIZE_PT, weight)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn a_row_is_as_high_as_its_highest_cell() {
        assert_eq!(lines(&[json!("12.5"), json!("a")], &[40.0, 40.0]), Some(1));
        assert_eq!(lines(&[json!(""), json!(" ")], &[40.0, 40.0]), None, "nothing has no height");
        let two = json!({"text": "not needed", "strong": true, "link": "x", "rest": ""});
        assert_eq!(lines(&[json!("12.5"), two], &[40.0, 30.0]), Some(2));
    }

    /// Half a point wider than its room, by the advances of the face: a heavier face has narrower spaces.
    #[test]
    fn spaces_count_with_the_width_they_are_set_in() {
        let text = "10 Oct 20:00 to 11 Oct 02:00";
        let room = plain_pt(text, Weight::Regular) - 0.5;
        assert_ne!(lines(&[json!(text)], &[room]), Some(1));
        assert!(plain_pt(" ", Weight::Regular) > plain_pt(" ", Weight::Bold));
    }

    #[test]
    fn what_may_be_one_line_or_two_is_left_open() {
        let text = "air mover";
        let width = plain_pt(text, Weight::Regular);
        let of = |room: f64| lines(&[json!(text)], &[room]);
        assert_eq!(of(width * 1.03), Some(1));
        assert_eq!(of(width * 0.99), None);
        assert_eq!(of(width * 0.8), Some(2));
        assert_eq!(of(width * 0.3), None, "a word that must be broken");
    }
}
