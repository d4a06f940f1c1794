//! Numbers that a file says are scaled: `Temp (0.1 °C)`, `RH x10`, `T [°C/10]`.
//!
//! Only whole numbers are scaled: with decimals the mark must mean something else, and that is said.

use super::profile::Profiles;
use crate::notes::{Notes, cut};
use crate::table::Layout;

/// Marks in the order in which they are tried, with what the numbers are divided by.
const MARKS: [(&str, f64); 24] = [
    ("0.01", 100.0),
    ("0,01", 100.0),
    ("1/100", 100.0),
    ("hundredths of", 100.0),
    ("hundredths", 100.0),
    ("x100", 100.0),
    ("x 100", 100.0),
    ("×100", 100.0),
    ("× 100", 100.0),
    ("*100", 100.0),
    ("* 100", 100.0),
    ("/100", 100.0),
    ("0.1", 10.0),
    ("0,1", 10.0),
    ("1/10", 10.0),
    ("tenths of", 10.0),
    ("tenths", 10.0),
    ("x10", 10.0),
    ("x 10", 10.0),
    ("×10", 10.0),
    ("× 10", 10.0),
    ("*10", 10.0),
    ("* 10", 10.0),
    ("/10", 10.0),
];

/// A name without its mark of scale, and what the numbers below are divided by. `None` without such a mark.
pub(crate) fn mark(name: &str) -> Option<(String, f64)> {
    MARKS.iter().find_map(|(mark, divisor)| {
        let at = name.find(mark)?;
        let end = at + mark.len();
        let before = name[..at].chars().next_back();
        let after = name[end..].chars().next();
        let word = mark.starts_with(|c: char| c.is_ascii_alphabetic());
        let digit = mark.starts_with(|c: char| c.is_ascii_digit());
        let opens = before.is_none_or(|c| !c.is_alphanumeric() && !matches!(c, '.' | ',' | '/'));
        let closes = after.is_none_or(|c| !c.is_ascii_digit() && !matches!(c, '.' | ',' | '/'));
        // A number in front of a unit stands in brackets or behind a sign of multiplication.
        let meant = !digit || before.is_some_and(|c| matches!(c, '(' | '[' | '*' | '×'));
        ((opens || !word && !digit) && closes && meant).then(|| {
            let rest = format!(
                "{} {}",
                name[..at].trim_end_matches(['*', '×', ' ']),
                name[end..].trim_start_matches(['*', '×', ' '])
            );
            (rest.replace("( ", "(").replace("[ ", "[").replace(" )", ")").replace(" ]", "]"), *divisor)
        })
    })
}

/// Scales the samples of every column whose name says so.
pub(crate) fn apply(layout: &Layout, profiles: &mut Profiles, notes: &mut Notes) {
    if !layout.named {
        return;
    }
    for (name, profile) in layout.names.iter().zip(&mut profiles.columns) {
        let Some((_, divisor)) = mark(name).filter(|_| profile.is_numeric()) else { continue };
        let topic = format!("scale of {}", cut(name, 60));
        if profile.places == 0 {
            profile.scale(divisor);
            notes.settled(
                topic,
                format!("numbers divided by {divisor}"),
                "its name says so, and its numbers are whole",
            );
        } else {
            notes.guess(
                topic,
                "numbers as they stand",
                "its name speaks of a scale, and its numbers have decimals already",
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_of_scale() {
        let found = |name: &str| mark(name).map(|(rest, divisor)| (rest, divisor as u32));
        assert_eq!(found("Temp (0.1 °C)"), Some(("Temp (°C)".into(), 10)));
        assert_eq!(found("T [°C/10]"), Some(("T [°C]".into(), 10)));
        assert_eq!(found("RH x100 (%)"), Some(("RH (%)".into(), 100)));
        assert_eq!(found("Temp (°C*10)"), Some(("Temp (°C)".into(), 10)));
        for name in ["Temp 10", "max10", "PM10", "T_10", "Temp (10.1 m)", "Depth 0.1 m", "RH/1000"] {
            assert_eq!(found(name), None, "{name}");
        }
    }
}
