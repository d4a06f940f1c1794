//! Numbers that a file says are scaled: `Temp (0.1 °C)`, `RH x10`, `T [°C/10]`.
//!
//! Only whole numbers are scaled: with decimals the mark must mean something else, and that is said.

use std::collections::BTreeMap;

use super::heading::{Heading, tokens};
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

/// The scale that a fact states for the numbers below: its key, and what they are divided by.
fn fact(facts: &BTreeMap<String, String>) -> Option<(&str, f64)> {
    facts.iter().find_map(|(key, value)| {
        let words = tokens(key);
        let has = |word: &str| words.iter().any(|known| known == word);
        let scale = has("scale") || has("scaling") || has("multiplier") || has("factor");
        let divisor = match value.trim().trim_start_matches(['x', '×', '*', ' ']) {
            "0.1" | "0,1" | "1/10" | "10^-1" => 10.0,
            "0.01" | "0,01" | "1/100" | "10^-2" => 100.0,
            _ => return None,
        };
        scale.then_some((key.as_str(), divisor))
    })
}

/// Scales the samples of every column whose name says so, and of those of measurements where a fact says so of all.
/// `taken` are columns used for something else.
pub(crate) fn apply(
    layout: &Layout,
    profiles: &mut Profiles,
    facts: &BTreeMap<String, String>,
    taken: &[usize],
    notes: &mut Notes,
) {
    if !layout.named {
        return;
    }
    let stated = fact(facts);
    for (column, (name, profile)) in layout.names.iter().zip(&mut profiles.columns).enumerate() {
        let measures = || {
            let heading = Heading::read(name, &layout.aliases[column], &layout.units[column]);
            !taken.contains(&column) && heading.quantity.is_some()
        };
        let by_fact =
            || stated.filter(|_| measures()).map(|(key, divisor)| (divisor, format!("`{key}` above the data says so")));
        let by_name = mark(name).map(|(_, divisor)| (divisor, "its name says so".to_owned()));
        let Some((divisor, why)) = by_name.or_else(by_fact).filter(|_| profile.is_numeric()) else { continue };
        let topic = format!("scale of {}", cut(name, 60));
        if profile.places == 0 {
            profile.scale(divisor);
            notes.settled(topic, format!("numbers divided by {divisor}"), format!("{why}, and its numbers are whole"));
        } else {
            notes.guess(topic, "numbers as they stand", format!("{why}, and its numbers have decimals already"));
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
