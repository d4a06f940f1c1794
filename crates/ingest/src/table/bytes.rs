//! Looking for one byte among many, eight or more at a time: the inner loops of splitting.

use std::ops::Range;

/// Bytes looked at before asking whether one was found.
const BLOCK: usize = 4096;

/// Whether a byte occurs.
pub(crate) fn holds(bytes: &[u8], wanted: u8) -> bool {
    // Without a way out the compiler compares many bytes at once.
    bytes.chunks(BLOCK).any(|block| block.iter().fold(false, |found, byte| found | (*byte == wanted)))
}

/// How often a byte occurs.
pub(super) fn count(bytes: &[u8], wanted: u8) -> usize {
    bytes.iter().filter(|byte| **byte == wanted).count()
}

/// Calls `found` with each place of a byte within a range, in order.
pub(super) fn each(bytes: &[u8], range: Range<usize>, wanted: u8, mut found: impl FnMut(usize)) {
    const LOW: u64 = u64::from_ne_bytes([0x7F; 8]);
    let pattern = u64::from_ne_bytes([wanted; 8]);
    let start = range.start;
    let (words, rest) = bytes[range].as_chunks::<8>();
    for (at, word) in words.iter().enumerate() {
        let differs = u64::from_le_bytes(*word) ^ pattern;
        // The top bit of each byte that does not differ; no carry leaves a byte.
        let mut same = !((differs & LOW).wrapping_add(LOW) | differs | LOW);
        while same != 0 {
            found(start + at * 8 + same.trailing_zeros() as usize / 8);
            same &= same.wrapping_sub(1);
        }
    }
    let start = start + words.len() * 8;
    for (at, byte) in rest.iter().enumerate() {
        if *byte == wanted {
            found(start + at);
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn every_place_and_no_other(bytes in prop::collection::vec(prop_oneof![Just(b','), any::<u8>()], 0..40), from in 0_usize..9) {
            let from = from.min(bytes.len());
            let mut places = Vec::new();
            each(&bytes, from..bytes.len(), b',', |at| places.push(at));
            let want: Vec<usize> = (from..bytes.len()).filter(|at| bytes[*at] == b',').collect();
            prop_assert_eq!(&places, &want);
            prop_assert_eq!(holds(&bytes[from..], b','), !want.is_empty());
        }
    }
}
