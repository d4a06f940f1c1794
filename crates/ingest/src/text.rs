//! Bytes to text: marks, UTF-8, UTF-16, and older encodings by their statistics and by the words they give.
//!
//! A mark at the start is believed only as far as the bytes behind it bear it out.

use std::borrow::Cow;

use encoding_rs::{
    BIG5, EUC_JP, EUC_KR, Encoding, GB18030, ISO_8859_2, ISO_8859_5, ISO_8859_7, ISO_8859_15, MACINTOSH, SHIFT_JIS,
    UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1250, WINDOWS_1251, WINDOWS_1252, WINDOWS_1253, WINDOWS_1254, WINDOWS_1257,
};

use crate::columns::heading::tokens;
use crate::container::utf16_zero_side;
use crate::notes::Notes;
use crate::table::bytes::holds;
use crate::words::{longest, words};

/// Bytes looked at to tell an older encoding, lines without special characters left out.
const EVIDENCE: usize = 256 * 1024;

/// Older encodings a log may be in, the commoner of those that agree on a text first.
const OLDER: [&Encoding; 16] = [
    WINDOWS_1252,
    WINDOWS_1250,
    WINDOWS_1251,
    WINDOWS_1253,
    WINDOWS_1254,
    WINDOWS_1257,
    ISO_8859_2,
    ISO_8859_5,
    ISO_8859_7,
    ISO_8859_15,
    SHIFT_JIS,
    GB18030,
    BIG5,
    EUC_JP,
    EUC_KR,
    MACINTOSH,
];

/// The text of a file. The decisions go into `notes`.
pub(crate) fn decode<'a>(bytes: &'a [u8], notes: &mut Notes) -> Cow<'a, str> {
    let text = match Encoding::for_bom(bytes) {
        Some((encoding, mark)) => marked(encoding, &bytes[mark..], notes),
        None => unmarked(bytes, notes),
    };
    if holds(text.as_bytes(), 0) {
        let zeros = text.bytes().filter(|b| *b == 0).count();
        notes.settled("zero bytes", zeros.to_string(), "read as blanks; a logger leaves them when its power fails");
    }
    text
}

/// Text behind a byte-order mark.
fn marked<'a>(encoding: &'static Encoding, bytes: &'a [u8], notes: &mut Notes) -> Cow<'a, str> {
    let borne_out = if encoding == UTF_8 {
        mostly_utf8(bytes)
    } else {
        // Digits and line ends of a log have a zero byte in UTF-16, whatever its language.
        bytes.len() < 8 || bytes.iter().take(4096).any(|b| *b == 0)
    };
    if borne_out {
        notes.settled("encoding", encoding.name(), "a byte-order mark at the start");
        let (text, broken) = encoding.decode_without_bom_handling(bytes);
        if broken {
            let places = text.matches('\u{FFFD}').count();
            notes.settled(
                "broken characters",
                places.to_string(),
                format!("not valid {}; read as `\u{FFFD}`", encoding.name()),
            );
        }
        return text;
    }
    let claim = encoding.name();
    notes.settled("byte-order mark", "not believed", format!("it says {claim}, and the bytes behind it are not"));
    unmarked(bytes, notes)
}

fn unmarked<'a>(bytes: &'a [u8], notes: &mut Notes) -> Cow<'a, str> {
    if let Some(side) = utf16_zero_side(bytes) {
        let encoding = if side == 1 { UTF_16LE } else { UTF_16BE };
        notes.settled("encoding", encoding.name(), "every other byte is zero");
        return encoding.decode_without_bom_handling(bytes).0;
    }
    let error = match std::str::from_utf8(bytes) {
        Ok(text) => {
            let reason = if text.is_ascii() { "plain ASCII" } else { "valid UTF-8" };
            notes.settled("encoding", "UTF-8", reason);
            return Cow::Borrowed(text);
        }
        Err(error) => error,
    };
    if error.error_len().is_none() {
        notes.settled("encoding", "UTF-8", "valid UTF-8 up to a last character that is cut off");
        return String::from_utf8_lossy(bytes);
    }
    let at = error.valid_up_to();
    if mostly_utf8(bytes) {
        notes.guess("encoding", "UTF-8", format!("valid UTF-8 but for a few bytes, the first at {at}"));
        return String::from_utf8_lossy(bytes);
    }
    let (encoding, why) = older(bytes);
    notes.guess("encoding", encoding.name(), format!("not UTF-8 at byte {at}; {why}"));
    encoding.decode_without_bom_handling(bytes).0
}

/// Whether most of the special characters are valid UTF-8: other encodings hardly ever form one by chance.
fn mostly_utf8(bytes: &[u8]) -> bool {
    let (mut good, mut bad) = (0_usize, 0_usize);
    for chunk in bytes.utf8_chunks() {
        good += chunk.valid().chars().filter(|c| !c.is_ascii()).count();
        bad += usize::from(!chunk.invalid().is_empty());
    }
    bad == 0 || good > bad
}

/// The older encoding that gives known words, else the likeliest by its characters.
fn older(bytes: &[u8]) -> (&'static Encoding, String) {
    let evidence = special_lines(bytes);
    let mut detector = chardetng::EncodingDetector::new(chardetng::Iso2022JpDetection::Deny);
    detector.feed(&evidence, true);
    let guess = detector.guess(None, chardetng::Utf8Detection::Deny);
    let (likely, _) = known_words(guess, &evidence);
    let mut best: Option<(&'static Encoding, usize, String)> = None;
    for encoding in OLDER {
        let (found, example) = known_words(encoding, &evidence);
        if best.as_ref().is_none_or(|(_, most, _)| found > *most) {
            best = Some((encoding, found, example));
        }
    }
    match best {
        Some((encoding, found, example)) if found > likely => {
            (encoding, format!("it gives known words such as `{example}`"))
        }
        _ => (guess, "the likeliest older encoding by its characters".to_owned()),
    }
}

/// The lines that have special characters.
fn special_lines(bytes: &[u8]) -> Vec<u8> {
    let mut evidence = Vec::new();
    for line in bytes.split(|b| *b == b'\n' || *b == b'\r').filter(|line| !line.is_ascii()) {
        evidence.extend_from_slice(&line[..line.len().min(4096)]);
        evidence.push(b'\n');
        if evidence.len() > EVIDENCE {
            break;
        }
    }
    evidence
}

/// How many cells with special characters are words or units that logs use, under an encoding, and one of them.
fn known_words(encoding: &'static Encoding, evidence: &[u8]) -> (usize, String) {
    let evidence = &evidence[..evidence.len().min(16 * 1024)];
    let (text, broken) = encoding.decode_without_bom_handling(evidence);
    if broken && evidence.len() < 16 * 1024 {
        return (0, String::new());
    }
    let mut found = 0;
    let mut example = String::new();
    let split = |c: char| matches!(c, ',' | ';' | '\t' | '|' | '\n' | '"' | '(' | ')' | '[' | ']' | ':' | '/');
    for cell in text.split(split).map(str::trim).filter(|cell| !cell.is_ascii() && cell.chars().count() <= 60) {
        let tokens = tokens(cell);
        let special = |start: usize, len: usize| tokens[start..start + len].iter().any(|token| !token.is_ascii());
        let quantity = longest(&words().quantities, &tokens).is_some_and(|f| special(f.start, f.len));
        let time = longest(&words().time, &tokens).is_some_and(|f| special(f.start, f.len));
        let identity = longest(&words().identity, &tokens).is_some_and(|f| special(f.start, f.len));
        // A unit may stand behind a number, and that between blanks.
        let unit = |text: &str| {
            let bare = text.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+'));
            !bare.is_ascii() && words().unit(bare).is_some()
        };
        if quantity || time || identity || words().unit(cell).is_some() || cell.split_whitespace().any(unit) {
            found += 1;
            if example.is_empty() {
                example = crate::notes::cut(cell, 30);
            }
        }
    }
    (found, example)
}

#[cfg(test)]
mod tests {
    use grainfall_record::Certainty;

    use super::*;

    fn read(bytes: &[u8]) -> (String, String, Certainty) {
        let mut notes = Notes::default();
        let text = decode(bytes, &mut notes).into_owned();
        let decision = notes.decisions.iter().find(|d| d.topic == "encoding").unwrap();
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
    fn a_mark_that_lies_is_not_believed() {
        let mut notes = Notes::default();
        let text = decode(b"\xFF\xFETime,Temp\n2024-01-01 00:00,21.5\n", &mut notes);
        assert_eq!(text, "Time,Temp\n2024-01-01 00:00,21.5\n");
        assert_eq!(notes.decisions[0].value, "not believed");
        assert_eq!(notes.decisions[0].reason, "it says UTF-16LE, and the bytes behind it are not");
        // A UTF-8 mark before an older encoding.
        let (text, name, _) = read(b"\xEF\xBB\xBFZeit;Temp (\xB0C);Au\xDFenf\xFChler\n");
        assert_eq!((text.as_str(), name.as_str()), ("Zeit;Temp (°C);Außenfühler\n", "windows-1252"));
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
    fn a_spoiled_byte_is_still_utf8() {
        let (text, name, certainty) = read(b"T,\xC2\xB0C,\xC2\xB0F\n1,\xFF2,3\n");
        assert_eq!((name.as_str(), certainty), ("UTF-8", Certainty::Guess));
        assert!(text.starts_with("T,°C,°F\n1,\u{FFFD}2"));
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
