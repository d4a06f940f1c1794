//! The same file with its many small objects packed into compressed object streams: the tags of a long report take
//! most of it otherwise.
//!
//! # Source
//! ISO 32000-1:2008, 7.5.7 (object streams) and 7.5.8 (cross-reference streams); ISO 19005-2 allows both. Clause
//! numbers from memory.

use std::collections::BTreeMap;
use std::io::Write as _;

use flate2::Compression;
use flate2::write::ZlibEncoder;

use crate::Error;

/// Objects in one stream: few enough to be read quickly, many enough to share words.
const OBJECTS_A_STREAM: usize = 200;

/// Where an object stands in the new file.
#[derive(Debug, Clone, Copy)]
enum Place {
    /// On its own, at a byte.
    Alone(usize),
    /// In an object stream, at an index.
    Packed { stream: u32, index: usize },
}

/// A file of one classic cross-reference table, packed.
///
/// # Errors
/// [`Error::Pdf`] when the file is not of the form that the typesetter writes.
pub(super) fn compact(file: &[u8]) -> Result<Vec<u8>, Error> {
    let read =
        Read::from(file).ok_or_else(|| Error::Pdf { reason: "the file to pack has an unknown form".to_owned() })?;
    let failed = |fault: std::io::Error| Error::Pdf { reason: format!("packing: {fault}") };
    let mut out = read.header.to_vec();
    let mut places: BTreeMap<u32, Place> = BTreeMap::new();
    let mut small: Vec<(u32, &[u8])> = Vec::new();
    for (&number, &body) in &read.objects {
        if body.ends_with(b"endstream") {
            places.insert(number, Place::Alone(out.len()));
            out.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
            out.extend_from_slice(body);
            out.extend_from_slice(b"\nendobj\n");
        } else {
            small.push((number, body));
        }
    }
    let mut next = read.objects.keys().next_back().map_or(1, |last| last + 1);
    for group in small.chunks(OBJECTS_A_STREAM) {
        let (mut heads, mut bodies) = (String::new(), Vec::new());
        for (index, (number, body)) in group.iter().enumerate() {
            heads.push_str(&format!("{number} {} ", bodies.len()));
            bodies.extend_from_slice(body);
            bodies.push(b'\n');
            places.insert(*number, Place::Packed { stream: next, index });
        }
        let first = heads.len();
        let mut content = heads.into_bytes();
        content.extend_from_slice(&bodies);
        let entries = format!("/Type/ObjStm/N {}/First {first}", group.len());
        places.insert(next, Place::Alone(out.len()));
        write_stream(&mut out, next, &entries, &content).map_err(failed)?;
        next += 1;
    }
    let start = out.len();
    places.insert(next, Place::Alone(start));
    let entries = format!("/Type/XRef/W[1 4 2]/Size {}{}", next + 1, read.trailer);
    write_stream(&mut out, next, &entries, &table(&places, next)).map_err(failed)?;
    out.extend_from_slice(format!("startxref\n{start}\n%%EOF").as_bytes());
    Ok(out)
}

/// A cross-reference table: kind, place or stream, index.
fn table(places: &BTreeMap<u32, Place>, last: u32) -> Vec<u8> {
    let mut table = Vec::new();
    for number in 0..=last {
        // A number that names nothing is free.
        let (kind, second, third) = match places.get(&number) {
            None => (0, 0, if number == 0 { 65_535 } else { 0 }),
            Some(Place::Alone(at)) => (1, u32::try_from(*at).unwrap_or(u32::MAX), 0),
            Some(Place::Packed { stream, index }) => (2, *stream, u16::try_from(*index).unwrap_or(u16::MAX)),
        };
        table.push(kind);
        table.extend_from_slice(&second.to_be_bytes());
        table.extend_from_slice(&third.to_be_bytes());
    }
    table
}

fn write_stream(out: &mut Vec<u8>, number: u32, entries: &str, content: &[u8]) -> std::io::Result<()> {
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::default());
    packer.write_all(content)?;
    let packed = packer.finish()?;
    let head = format!("{number} 0 obj\n<<{entries}/Filter/FlateDecode/Length {}>>\nstream\n", packed.len());
    out.extend_from_slice(head.as_bytes());
    out.extend_from_slice(&packed);
    out.extend_from_slice(b"\nendstream\nendobj\n");
    Ok(())
}

/// A file taken apart.
struct Read<'a> {
    /// Everything before the first object.
    header: &'a [u8],
    /// What stands between `obj` and `endobj`, by number.
    objects: BTreeMap<u32, &'a [u8]>,
    /// The trailer's entries but the size.
    trailer: String,
}

impl<'a> Read<'a> {
    /// `None` for a form other than the typesetter's: one table from 0 on, generations of 0, one trailer.
    fn from(file: &'a [u8]) -> Option<Self> {
        let tail = std::str::from_utf8(&file[last(file, b"startxref")?..]).ok()?;
        let table_at: usize = tail.lines().nth(1)?.trim().parse().ok()?;
        let table = std::str::from_utf8(file.get(table_at..)?).ok()?;
        let (rows, rest) = table.split_once("trailer")?;
        let dictionary = rest.trim_start().strip_prefix("<<")?.split_once(">>")?.0;
        let size = dictionary.strip_prefix("/Size ")?.find('/')?;
        let trailer = dictionary.get("/Size ".len() + size..)?.to_owned();
        let mut starts: Vec<(usize, u32)> = Vec::new();
        // After `xref` and the first number with the count, one row an object.
        for (number, row) in rows.lines().skip(2).enumerate() {
            let mut words = row.split_whitespace();
            let (at, generation, kind) = (words.next()?, words.next()?, words.next()?);
            if kind == "n" && generation.parse::<u32>() == Ok(0) {
                starts.push((at.parse().ok()?, u32::try_from(number).ok()?));
            }
        }
        starts.sort_unstable();
        let mut objects = BTreeMap::new();
        for (index, &(at, number)) in starts.iter().enumerate() {
            let end = starts.get(index + 1).map_or(table_at, |next| next.0);
            let whole = file.get(at..end)?.trim_ascii_end();
            let head = format!("{number} 0 obj");
            let body = whole.strip_prefix(head.as_bytes())?.strip_suffix(b"endobj")?;
            objects.insert(number, body.trim_ascii());
        }
        Some(Self { header: &file[..starts.first()?.0], objects, trailer })
    }
}

/// Where a word stands last.
fn last(file: &[u8], word: &[u8]) -> Option<usize> {
    file.windows(word.len()).rposition(|window| window == word)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A file of three objects as the typesetter writes it.
    fn small_file() -> Vec<u8> {
        let mut file = b"%PDF-1.7\n%\x80\x80\n\n".to_vec();
        let mut starts = Vec::new();
        for body in [
            "<</Type/Catalog/Pages 2 0 R/Note(a endstream in words)>>",
            "<</Type/Pages/Count 0/Kids[]>>",
            "<</Length 3>>\nstream\nabc\nendstream",
        ] {
            starts.push(file.len());
            file.extend_from_slice(format!("{} 0 obj\n{body}\nendobj\n\n", starts.len()).as_bytes());
        }
        let table = file.len();
        file.extend_from_slice(b"xref\n0 4\n0000000000 65535 f\r\n");
        for start in starts {
            file.extend_from_slice(format!("{start:010} 00000 n\r\n").as_bytes());
        }
        file.extend_from_slice(
            format!("trailer\n<</Size 4/Root 1 0 R/ID[(a)(b)]>>\nstartxref\n{table}\n%%EOF").as_bytes(),
        );
        file
    }

    #[test]
    fn every_object_is_taken_apart_and_streams_stay_alone() {
        let file = small_file();
        let read = Read::from(&file).expect("the form");
        assert_eq!(read.objects.len(), 3);
        assert_eq!(read.objects[&2], b"<</Type/Pages/Count 0/Kids[]>>");
        assert_eq!(read.trailer, "/Root 1 0 R/ID[(a)(b)]");
        let packed = compact(&file).expect("packed");
        let text = String::from_utf8_lossy(&packed);
        assert!(text.starts_with("%PDF-1.7\n"));
        assert!(text.contains("3 0 obj\n<</Length 3>>\nstream\nabc\nendstream\nendobj"), "{text}");
        assert!(!text.contains("/Type/Catalog"), "the catalogue is packed");
        assert!(text.contains("/Type/ObjStm/N 2/First ") && text.contains("/Size 6/Root 1 0 R"), "{text}");
    }

    #[test]
    fn another_form_is_refused() {
        let mut file = small_file();
        file.truncate(file.len() - 20);
        assert!(compact(&file).expect_err("no end").to_string().contains("unknown form"));
        assert!(compact(b"").is_err());
    }
}
