//! What kind of file the bytes are, by their first bytes and never by the file's name; archives and workbooks are
//! opened within bounds.
//!
//! Order of reading: `unpack` (gzip, zip), `workbook` (the three forms of spreadsheets), `compound` and `ods` (what
//! two of them need), `cells` (the cells of a sheet to a table).

pub(crate) mod cells;
mod compound;
mod ods;
pub(crate) mod unpack;
mod workbook;

pub(crate) use workbook::Workbook;
pub use workbook::panic_is_a_refusal;

use unpack::ZipKind;

/// What the bytes are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Container {
    /// Text, as far as the first bytes tell.
    Text,
    /// One file packed by gzip.
    Gzip,
    /// An archive of files.
    Zip,
    Workbook(Workbook),
    /// It may hold a log, but not in a form that is read.
    Closed {
        what: &'static str,
        remedy: &'static str,
    },
    /// Something else.
    Other {
        what: &'static str,
    },
}

const SPREADSHEET: &str = "open it in a spreadsheet program, export each sheet as CSV and put the CSV beside it";
const ARCHIVE: &str = "unpack it and put the files into the folder; export it as CSV where it is a spreadsheet";

/// First bytes of files that hold no text. Signatures from the formats' own specifications (from memory).
const OTHER: [(&[u8], &str); 16] = [
    (b"%PDF-", "a PDF document"),
    (b"\xFF\xD8\xFF", "a JPEG picture"),
    (b"\x89PNG\r\n\x1a\n", "a PNG picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\0", "a TIFF picture"),
    (b"MM\0*", "a TIFF picture"),
    (b"BM", "a bitmap picture"),
    (b"RIFF", "a sound, video or picture file"),
    (b"ID3", "a sound file"),
    (b"OggS", "a sound file"),
    (b"\x7FELF", "a program"),
    (b"MZ", "a program"),
    (b"SQLite format 3\0", "a database"),
    (b"PAR1", "a Parquet table"),
    (b"{\\rtf", "a word-processor document"),
    (b"<!DOCTYPE", "a web page"),
];

/// The kind of a file, by its bytes. The bytes of a picture whose signature is also good text (`BM`) are told from
/// text by the control characters that follow.
pub(crate) fn container(bytes: &[u8]) -> Container {
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") {
        return match unpack::zip_kind(bytes) {
            Some(ZipKind::Xlsx) => Container::Workbook(Workbook::Xlsx),
            Some(ZipKind::Ods) => Container::Workbook(Workbook::Ods),
            Some(ZipKind::Xlsb) => Container::Closed { what: "a spreadsheet (xlsb)", remedy: SPREADSHEET },
            Some(ZipKind::Document) => Container::Other { what: "a document of an office program" },
            // Without its directory only opening it can say what is wrong.
            Some(ZipKind::Archive) | None => Container::Zip,
        };
    }
    if bytes.starts_with(b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1") {
        return Container::Workbook(Workbook::Xls);
    }
    if bytes.starts_with(b"\x1F\x8B") {
        return Container::Gzip;
    }
    if bytes.starts_with(b"7z\xBC\xAF\x27\x1C")
        || bytes.starts_with(b"Rar!")
        || bytes.starts_with(b"BZh")
        || bytes.starts_with(b"\xFD7zXZ\0")
        || bytes.starts_with(b"\x28\xB5\x2F\xFD")
        || is_tar(bytes)
    {
        return Container::Closed { what: "a compressed archive", remedy: ARCHIVE };
    }
    for (signature, what) in OTHER {
        let printable = signature.iter().all(|b| (0x20..0x7F).contains(b));
        if bytes.starts_with(signature) && (!printable || signature.len() > 4 || has_controls(bytes)) {
            return Container::Other { what };
        }
    }
    if !looks_like_utf16(bytes) && has_controls(bytes) {
        return Container::Other { what: "binary data" };
    }
    Container::Text
}

/// A tar archive carries its mark behind the first name.
fn is_tar(bytes: &[u8]) -> bool {
    bytes.get(257..262) == Some(b"ustar")
}

/// Whether the bytes look like UTF-16 without a mark: every other byte is zero in plain text.
pub(crate) fn looks_like_utf16(bytes: &[u8]) -> bool {
    utf16_zero_side(bytes).is_some() || bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF")
}

/// 1 when the zero bytes are the second of each pair (little-endian), 0 when they are the first.
pub(crate) fn utf16_zero_side(bytes: &[u8]) -> Option<usize> {
    // A block of zero bytes at the end, as a logger leaves that lost its power, says nothing.
    let text = bytes.iter().rposition(|byte| *byte != 0).map_or(0, |last| last + 2).min(bytes.len());
    let head = &bytes[..text.min(4096) & !1];
    if head.len() < 8 {
        return None;
    }
    let zeros = |side: usize| head.iter().skip(side).step_by(2).filter(|b| **b == 0).count();
    let pairs = head.len() / 2;
    let (first, second) = (zeros(0), zeros(1));
    if second * 10 >= pairs * 7 && first * 20 <= pairs {
        Some(1)
    } else if first * 10 >= pairs * 7 && second * 20 <= pairs {
        Some(0)
    } else {
        None
    }
}

/// Whether more than a tenth of the first bytes are control characters that text does not have. Runs of zero bytes
/// alone do not count: a logger that lost power leaves such a block in a text file.
fn has_controls(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(4096)];
    let controls =
        head.iter().filter(|b| **b != 0 && **b < 0x20 && !matches!(**b, b'\t' | b'\n' | b'\r' | 0x0C | 0x1A)).count();
    let zeros = head.iter().filter(|b| **b == 0).count();
    controls * 20 > head.len() || (zeros * 2 > head.len()) || (zeros * 10 > head.len() && controls * 100 > head.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_by_first_bytes() {
        assert_eq!(container(b"time,temp\n"), Container::Text);
        assert_eq!(container(b"BM,temp,rh\n2024-01-01 00:00,1,2\n"), Container::Text);
        assert_eq!(container(b"%PDF-1.7 ..."), Container::Other { what: "a PDF document" });
        assert_eq!(container(b"\xFF\xD8\xFF\xE0"), Container::Other { what: "a JPEG picture" });
        assert_eq!(container(&[7, 1, 2, 3, 250, 0, 0, 4, 5, 6]), Container::Other { what: "binary data" });
        assert_eq!(container(b"\x1F\x8B\x08"), Container::Gzip);
        assert_eq!(container(b"PK\x03\x04...."), Container::Zip);
        assert_eq!(container(b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1"), Container::Workbook(Workbook::Xls));
        let Container::Closed { what, remedy } = container(b"7z\xBC\xAF\x27\x1C") else { panic!() };
        assert_eq!(what, "a compressed archive");
        assert!(remedy.starts_with("unpack it"), "{remedy}");
    }

    #[test]
    fn utf16_is_text() {
        let little: Vec<u8> = "time;temp\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = "time;temp\n".encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(utf16_zero_side(&little), Some(1));
        assert_eq!(utf16_zero_side(&big), Some(0));
        assert_eq!(container(&little), Container::Text);
    }

    #[test]
    fn a_block_of_zero_bytes_in_a_log_is_text() {
        let mut wide: Vec<u8> = "2024-01-01 00:00,21.5\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
        wide.extend([0; 200]);
        assert_eq!(utf16_zero_side(&wide), Some(1));
        let mut log = b"2024-01-01 00:00,21.5,45\n".repeat(40);
        log.extend([0; 200]);
        assert_eq!(container(&log), Container::Text);
    }
}
