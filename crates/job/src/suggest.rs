//! Which known word a mistyped one was probably meant to be.

/// The known word nearest to `word`, or `None` when nothing is near enough to be worth offering.
///
/// Upper and lower case, spaces, hyphens and underscores do not count. A word of up to three letters must then be
/// equal (`D1` is not offered for `D2`: they name different machines); longer ones may differ by a third of their
/// letters, at least one. Among equally near words the first in the given order is offered.
///
/// ```
/// use grainfall_job::suggest;
/// assert_eq!(suggest("flor_area", ["name", "floor_area"]), Some("floor_area"));
/// assert_eq!(suggest("d-1", ["D1", "D2"]), Some("D1"));
/// assert_eq!(suggest("D3", ["D1", "D2"]), None);
/// ```
///
/// # Source
/// Optimal string alignment distance, `strsim`; the limits are our convention.
pub fn suggest<'a, I>(word: &str, known: I) -> Option<&'a str>
where
    I: IntoIterator<Item = &'a str>,
{
    let plain_word = plain(word);
    if plain_word.is_empty() {
        return None;
    }
    let letters = plain_word.chars().count();
    let limit = if letters <= 3 { 0 } else { (letters / 3).max(1) };
    let mut best: Option<(usize, &str)> = None;
    for candidate in known {
        let plain_candidate = plain(candidate);
        // A name that is only a number or ends in another number is another thing, not a typing mistake.
        let same_number = digits(&plain_candidate).eq(digits(&plain_word));
        let distance = strsim::osa_distance(&plain_word, &plain_candidate);
        let near = distance == 0 || (distance <= limit && same_number);
        if near && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// The serial number nearest to one that is not there: one slip of the pen away (a digit wrong, left out, doubled or
/// swapped with the next), and at least five characters long. `None` when none or several are.
///
/// ```
/// use grainfall_job::suggest_serial;
/// assert_eq!(suggest_serial("20411837", ["20411873", "20419000"]), Some("20411873"));
/// assert_eq!(suggest_serial("20411870", ["20411873", "20411879"]), None);
/// ```
///
/// # Source
/// Optimal string alignment distance, `strsim`; the limits are our convention.
pub fn suggest_serial<'a, I>(serial: &str, known: I) -> Option<&'a str>
where
    I: IntoIterator<Item = &'a str>,
{
    let written = plain(serial);
    let near = |candidate: &&str| strsim::osa_distance(&written, &plain(candidate)) <= 1;
    let mut found = known.into_iter().filter(near);
    let first = found.next().filter(|_| written.chars().count() >= 5)?;
    found.next().is_none().then_some(first)
}

/// A word without case, spaces, hyphens, underscores and other marks, so that spellings of one word compare equal.
pub(crate) fn plain(word: &str) -> String {
    word.chars().filter(|c| c.is_alphanumeric() || *c == '%' || *c == '+').flat_map(char::to_lowercase).collect()
}

fn digits(word: &str) -> impl Iterator<Item = char> + '_ {
    word.chars().filter(char::is_ascii_digit)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn near_words_are_offered_and_far_ones_are_not() {
        let keys = ["floor_area", "volume", "drying_from"];
        assert_eq!(suggest("Floor Area", keys), Some("floor_area"));
        assert_eq!(suggest("volme", keys), Some("volume"));
        assert_eq!(suggest("dryingfrom", keys), Some("drying_from"));
        assert_eq!(suggest("colour", keys), None);
        assert_eq!(suggest("", keys), None);
    }

    #[test]
    fn another_number_is_another_thing() {
        assert_eq!(suggest("wall-12", ["wall-11", "wall-21"]), None);
        assert_eq!(suggest("wal-12", ["wall-11", "wall-12"]), Some("wall-12"));
    }

    proptest! {
        #[test]
        fn a_known_word_is_its_own_suggestion(word in "[a-z]{1,12}") {
            prop_assert_eq!(suggest(&word, [word.as_str()]), Some(word.as_str()));
        }

        #[test]
        fn no_text_panics(word in ".*", known in proptest::collection::vec(".*", 0..4)) {
            let _ = suggest(&word, known.iter().map(String::as_str));
        }
    }
}
