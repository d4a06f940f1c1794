//! Bytes to text: marks, UTF-8, UTF-16, and older encodings by statistics.

use std::borrow::Cow;

use encoding_rs::{Encoding, UTF_16BE, UTF_16LE};

use crate::container::utf16_zero_side;
use crate::notes::Notes;

/// The text of a file. The decisions go into `notes`.
pub(crate) fn decode<'a>(bytes: &'a [u8], notes: &mut Notes) -> Cow<'a, str> {
    let text = if let Some((encoding, mark)) = Encoding::for_bom(bytes) {
        notes.settled("encoding", encoding.name(), "a byte-order mark at the start");
        encoding.decode_without_bom_handling(&bytes[mark..]).0
    } else if let Some(side) = utf16_zero_side(bytes) {
        let encoding = if side == 1 { UTF_16LE } else { UTF_16BE };
        notes.settled("encoding", encoding.name(), "every other byte is zero");
        encoding.decode_without_bom_handling(bytes).0
    } else {
        match std::str::from_utf8(bytes) {
            Ok(text) => {
                let reason = if text.is_ascii() { "plain ASCII" } else { "valid UTF-8" };
                notes.settled("encoding", "UTF-8", reason);
                Cow::Borrowed(text)
            }
            Err(error) if error.error_len().is_none() => {
                notes.settled("encoding", "UTF-8", "valid UTF-8 up to a last character that is cut off");
                String::from_utf8_lossy(bytes)
            }
            Err(error) => {
                let mut detector = chardetng::EncodingDetector::new(chardetng::Iso2022JpDetection::Deny);
                detector.feed(bytes, true);
                let encoding = detector.guess(None, chardetng::Utf8Detection::Deny);
                let at = error.valid_up_to();
                let reason = format!("not UTF-8 at byte {at}; the likeliest older encoding by its characters");
                notes.guess("encoding", encoding.name(), reason);
                encoding.decode_without_bom_handling(bytes).0
            }
        }
    };
    let zeros = text.bytes().filter(|b| *b == 0).count();
    if zeros > 0 {
        notes.settled("zero bytes", zeros.to_string(), "read as blanks; a logger leaves them when its power fails");
    }
    text
}

#[cfg(test)]
mod tests {
    use grainfall_record::Certainty;

    use super::*;

    fn read(bytes: &[u8]) -> (String, String, Certainty) {
        let mut notes = Notes::default();
        let text = decode(bytes, &mut notes).into_owned();
        let decision = &notes.decisions[0];
        (text, decision.value.clone(), decision.certainty)
    }

    #[test]
    fn marks_and_utf16() {
        assert_eq!(read(b"\xEF\xBB\xBF\xC2\xB0C"), ("°C".into(), "UTF-8".into(), Certainty::Settled));
        let text = "Zeit;Temp (°C)\n";
        let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(read(&little), (text.into(), "UTF-16LE".into(), Certainty::Settled));
        assert_eq!(read(&big), (text.into(), "UTF-16BE".into(), Certainty::Settled));
        let marked: Vec<u8> = [&b"\xFF\xFE"[..], &little].concat();
        assert_eq!(read(&marked), (text.into(), "UTF-16LE".into(), Certainty::Settled));
    }

    #[test]
    fn older_encodings_are_a_guess() {
        let (text, name, certainty) =
            read("Zeit;Temperatur (°C);Außenfühler\n".chars().map(|c| c as u8).collect::<Vec<_>>().as_slice());
        assert_eq!(text, "Zeit;Temperatur (°C);Außenfühler\n");
        assert_eq!(name, "windows-1252");
        assert_eq!(certainty, Certainty::Guess);
    }

    #[test]
    fn a_cut_last_character_is_still_utf8() {
        let (text, name, _) = read(b"T,\xC2\xB0C\n1,2\xC2");
        assert_eq!(name, "UTF-8");
        assert!(text.ends_with('\u{FFFD}'));
    }

    #[test]
    fn zero_bytes_are_noted() {
        let mut notes = Notes::default();
        decode(b"a\0\0b", &mut notes);
        assert_eq!(notes.decisions[1].topic, "zero bytes");
        assert_eq!(notes.decisions[1].value, "2");
    }
}
