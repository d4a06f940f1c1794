//! Archives: gzip and zip unpacked in memory, within bounds, and never a path outside.
//!
//! Nothing is written to disk. What an archive claims of sizes is not believed: bytes are counted as they come out.

use std::io::{Cursor, Read};

use zip::ZipArchive;
use zip::result::ZipError;

/// Bytes that one archive may unpack to, whatever its own size.
const MOST: u64 = 1 << 30;
/// Bytes that any archive may unpack to.
const FREE: u64 = 64 << 20;
/// Bytes unpacked to each packed one beyond which an archive is taken for a bomb. Logs of few digits reach 100.
const RATIO: u64 = 200;
/// Files in one archive.
const MEMBERS: usize = 1000;

/// Why an archive or a file in it is not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Shut {
    pub reason: String,
    pub remedy: String,
}

impl Shut {
    pub fn new(reason: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { reason: reason.into(), remedy: remedy.into() }
    }
}

/// One file of an archive: its path within it and its bytes, or why it is not read.
#[derive(Debug)]
pub(crate) struct Member {
    pub path: String,
    pub bytes: Result<Vec<u8>, Shut>,
}

/// What a zip file is, by the names in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ZipKind {
    Xlsx,
    Ods,
    /// A binary workbook in a zip file.
    Xlsb,
    /// A document of an office program that is no spreadsheet.
    Document,
    Archive,
}

/// Bytes that an archive of `packed` bytes may unpack to.
fn allowed(packed: usize) -> u64 {
    MOST.min(FREE.max((packed as u64).saturating_mul(RATIO)))
}

fn too_much(packed: usize) -> Shut {
    Shut::new(
        format!("{packed} packed bytes unpack to more than {} MiB, which no log does", allowed(packed) >> 20),
        "unpack it yourself if you trust it, and put the logs into the folder",
    )
}

fn damaged(what: &str) -> Shut {
    Shut::new(
        format!("a damaged or incomplete {what}"),
        "copy or download it again; unpack it and put the files into the folder if that works",
    )
}

/// The bytes packed by gzip; several members in a row are one file.
///
/// # Errors
/// When it is damaged, or unpacks to more than a log of its size does.
pub(crate) fn gunzip(bytes: &[u8]) -> Result<Vec<u8>, Shut> {
    let limit = allowed(bytes.len());
    let mut out = Vec::new();
    let read = flate2::read::MultiGzDecoder::new(bytes).take(limit + 1).read_to_end(&mut out);
    if out.len() as u64 > limit {
        return Err(too_much(bytes.len()));
    }
    read.map_err(|_| damaged("gzip archive"))?;
    Ok(out)
}

/// What the names in a zip file make it; `None` when its directory cannot be read.
pub(crate) fn zip_kind(bytes: &[u8]) -> Option<ZipKind> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).ok()?;
    let names: Vec<String> = archive.file_names().flatten().map(|name| name.to_ascii_lowercase()).collect();
    let holds = |name: &str| names.iter().any(|n| n == name);
    if holds("xl/workbook.xml") || names.iter().any(|name| name.starts_with("xl/worksheets/")) {
        return Some(if holds("xl/workbook.bin") { ZipKind::Xlsb } else { ZipKind::Xlsx });
    }
    if holds("xl/workbook.bin") {
        return Some(ZipKind::Xlsb);
    }
    if holds("word/document.xml") || holds("ppt/presentation.xml") {
        return Some(ZipKind::Document);
    }
    let package = holds("content.xml") && holds("meta-inf/manifest.xml");
    if package {
        let mut kind = String::new();
        if let Ok(file) = archive.by_name("mimetype") {
            let _ = file.take(100).read_to_string(&mut kind);
        }
        let sheet = kind.is_empty() || kind.contains("opendocument.spreadsheet");
        return Some(if sheet { ZipKind::Ods } else { ZipKind::Document });
    }
    Some(ZipKind::Archive)
}

/// The files of a zip archive, in the order of their paths.
///
/// # Errors
/// When its directory cannot be read or it has too many files.
pub(crate) fn unzip(bytes: &[u8]) -> Result<Vec<Member>, Shut> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| damaged("zip archive"))?;
    if archive.len() > MEMBERS {
        let reason = format!("a zip archive of {} files; at most {MEMBERS} are opened", archive.len());
        return Err(Shut::new(reason, "unpack it and put the logs into the folder"));
    }
    let mut left = allowed(bytes.len());
    let mut members = Vec::new();
    for at in 0..archive.len() {
        let path = archive.name_for_index(at).and_then(Result::ok).unwrap_or("?".into()).into_owned();
        let file = match archive.by_index(at) {
            Ok(file) => file,
            Err(error) => {
                if !passed_over(&path) {
                    members.push(Member { path: shown(&path), bytes: Err(closed(&error)) });
                }
                continue;
            }
        };
        let path = path.replace('\\', "/");
        if file.is_dir() || path.ends_with('/') || passed_over(&path) {
            continue;
        }
        if leads_out(&path) || file.is_symlink() {
            let shut = Shut::new(
                "its name in the archive leads out of the archive",
                "unpack it yourself if you trust it, and put the log into the folder",
            );
            members.push(Member { path: shown(&path), bytes: Err(shut) });
            continue;
        }
        let mut out = Vec::new();
        let read = file.take(left + 1).read_to_end(&mut out);
        let unpacked = if out.len() as u64 > left {
            left = 0;
            Err(too_much(bytes.len()))
        } else if read.is_err() {
            Err(damaged("member of a zip archive"))
        } else {
            left -= out.len() as u64;
            Ok(out)
        };
        members.push(Member { path: shown(&path), bytes: unpacked });
    }
    members.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(members)
}

/// Unpacks every part of a workbook once, to count its bytes and to see that none is damaged.
///
/// # Errors
/// When it is damaged, or unpacks to more than a workbook of its size does.
pub(crate) fn check_parts(bytes: &[u8]) -> Result<(), Shut> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| damaged("spreadsheet"))?;
    let mut left = allowed(bytes.len());
    for at in 0..archive.len() {
        let file = archive.by_index(at).map_err(|error| closed(&error))?;
        let strings = file.name().is_ok_and(|name| name.to_ascii_lowercase().ends_with("sharedstrings.xml"));
        let mut file = file.take(left + 1);
        let mut text = Vec::new();
        let counted = match strings {
            true => file.read_to_end(&mut text).map(|size| size as u64),
            false => std::io::copy(&mut file, &mut std::io::sink()),
        };
        let size = counted.map_err(|_| damaged("spreadsheet"))?;
        if size > left {
            return Err(too_much(bytes.len()));
        }
        left -= size;
        // Room is set aside for as many texts as are claimed.
        if claimed(&text).is_some_and(|texts| texts > size) {
            return Err(damaged("spreadsheet"));
        }
    }
    Ok(())
}

/// How many texts the table of texts claims to have.
fn claimed(text: &[u8]) -> Option<u64> {
    const NAME: &[u8] = b"uniqueCount";
    let at = text.windows(NAME.len()).position(|window| window == NAME)?;
    let digits: Vec<u8> = text[at + NAME.len()..]
        .iter()
        .copied()
        .skip_while(|b| !b.is_ascii_digit())
        .take_while(u8::is_ascii_digit)
        .collect();
    Some(std::str::from_utf8(&digits).ok()?.parse().unwrap_or(u64::MAX))
}

/// One part of a workbook, whole. [`check_parts`] has bounded it.
pub(crate) fn part(bytes: &[u8], name: &str) -> Option<Vec<u8>> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).ok()?;
    let mut out = Vec::new();
    archive.by_name(name).ok()?.take(MOST).read_to_end(&mut out).ok()?;
    Some(out)
}

fn closed(error: &ZipError) -> Shut {
    match error {
        ZipError::UnsupportedArchive(what) if what.contains("assword") => {
            Shut::new("it needs a password", "unpack it and put the file into the folder")
        }
        ZipError::UnsupportedArchive(_) => Shut::new(
            "packed in a way that is not read; deflate and stored are",
            "unpack it and put the file into the folder",
        ),
        _ => damaged("member of a zip archive"),
    }
}

/// Whether a path within an archive is absolute or climbs.
fn leads_out(path: &str) -> bool {
    path.starts_with('/') || path.contains('\0') || path.split('/').any(|part| part == ".." || part.ends_with(':'))
}

/// Files that systems add to archives, and hidden ones, as in a folder.
fn passed_over(path: &str) -> bool {
    path.split(['/', '\\']).any(|part| part == "__MACOSX" || part.starts_with('.') && !matches!(part, "." | ".."))
}

/// A path for the ledger: no climbing, no control characters.
fn shown(path: &str) -> String {
    let parts: Vec<String> = path
        .split(['/', '\\'])
        .filter(|part| !matches!(*part, "" | "." | ".."))
        .map(|part| crate::notes::cut(part, 120))
        .collect();
    if parts.is_empty() { "?".to_owned() } else { parts.join("/") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_that_lead_out() {
        for path in ["../a.csv", "/etc/a.csv", "a/../../b.csv", "C:/a.csv"] {
            assert!(leads_out(path), "{path}");
        }
        assert!(!leads_out("a/b..csv"));
        assert_eq!(shown("../../a\u{7}/b.csv"), "a /b.csv");
    }

    #[test]
    fn what_a_small_archive_may_hold() {
        assert_eq!(allowed(100), 64 << 20);
        assert_eq!(allowed(1 << 20), 200 << 20);
        assert_eq!(allowed(1 << 30), 1 << 30);
    }
}
