//! Small files of every kind, spoiled at random.

use std::io::{Cursor, Read, Write};
use std::path::{Path, PathBuf};

use zip::write::SimpleFileOptions;

/// Pieces of text that readers trip over.
const PIECES: [&str; 28] = [
    ",",
    ";",
    "\t",
    "|",
    "\"",
    "\n",
    "\r",
    "\r\n",
    "\0",
    "-",
    ".",
    " ",
    "NaN",
    "1e308",
    "-1e-400",
    "99999999999999999999",
    "24:00",
    "25:61",
    "2024-02-30",
    "0000-00-00",
    "12/31/9999 11:59:59 PM",
    "+99:99",
    "Z",
    "\u{feff}",
    "年月日",
    "1 970 1 1",
    "T (°F)",
    "RH",
];

/// A small generator of random numbers (xorshift64*; Vigna 2016, from memory): the same case is always the same bytes.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let drawn = (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33) as usize;
        drawn % most.max(1)
    }
}

/// Small files of every kind: the corpus of the fuzz targets, the workbooks of the tests, and these packed.
pub fn seeds() -> Vec<(String, Vec<u8>)> {
    let crate_root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let mut seeds = Vec::new();
    for folder in ["../../fuzz/corpus/text", "../../fuzz/corpus/workbook", "tests/workbooks"] {
        let mut paths: Vec<PathBuf> =
            std::fs::read_dir(crate_root.join(folder)).unwrap().map(|entry| entry.unwrap().path()).collect();
        paths.sort();
        seeds.extend(paths.iter().map(|path| (name(path), std::fs::read(path).unwrap())));
    }
    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packed.write_all(&seeds[0].1).unwrap();
    seeds.push(("log.csv.gz".to_owned(), packed.finish().unwrap()));
    let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in seeds.clone().iter().take(3) {
        archive.start_file(name.as_str(), SimpleFileOptions::default()).unwrap();
        archive.write_all(bytes).unwrap();
    }
    seeds.push(("logs.zip".to_owned(), archive.finish().unwrap().into_inner()));
    seeds
}

fn name(path: &Path) -> String {
    path.file_name().unwrap().to_string_lossy().into_owned()
}

/// One of these files, changed at one to eight places. Every other file is text, and every other archive is changed in
/// one of its members, so that its checksums hold.
pub fn spoiled(seeds: &[(String, Vec<u8>)], case: u64) -> (String, Vec<u8>) {
    let mut dice = Dice(case.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    // Neighbouring cases part after a few throws.
    for _ in 0..8 {
        dice.below(2);
    }
    let wants_text = dice.below(2) == 0;
    let of_kind: Vec<&(String, Vec<u8>)> = seeds.iter().filter(|(_, bytes)| is_text(bytes) == wants_text).collect();
    let (name, bytes) = of_kind[dice.below(of_kind.len())].clone();
    if bytes.starts_with(b"PK") && dice.below(2) == 0 {
        return (name, with_spoiled_member(&bytes, seeds, &mut dice));
    }
    (name, changed(bytes, seeds, &mut dice))
}

pub fn is_text(bytes: &[u8]) -> bool {
    bytes.iter().all(|byte| *byte >= b' ' || byte.is_ascii_whitespace())
}

fn with_spoiled_member(bytes: &[u8], seeds: &[(String, Vec<u8>)], dice: &mut Dice) -> Vec<u8> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    let mut written = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let chosen = dice.below(archive.len());
    for at in 0..archive.len() {
        let mut member = archive.by_index(at).unwrap();
        let mut inner = Vec::new();
        member.read_to_end(&mut inner).unwrap();
        let inner = if at == chosen { changed(inner, seeds, dice) } else { inner };
        written.start_file(member.name().unwrap().to_string(), SimpleFileOptions::default()).unwrap();
        written.write_all(&inner).unwrap();
    }
    written.finish().unwrap().into_inner()
}

fn changed(mut bytes: Vec<u8>, seeds: &[(String, Vec<u8>)], dice: &mut Dice) -> Vec<u8> {
    for _ in 0..=dice.below(8) {
        let at = dice.below(bytes.len() + 1);
        let end = (at + dice.below(40)).min(bytes.len());
        match dice.below(12) {
            0 if at < bytes.len() => bytes[at] ^= 1 << dice.below(8),
            1 if at < bytes.len() => bytes[at] = u8::try_from(dice.below(256)).unwrap(),
            2 => drop(bytes.drain(at..end)),
            3 => bytes.truncate(at.max(1)),
            4 => {
                let again = bytes[at..end].to_vec();
                let copies = 1 + dice.below(30);
                bytes.splice(at..at, again.repeat(copies));
            }
            5 => {
                let (_, other) = &seeds[dice.below(seeds.len())];
                let from = dice.below(other.len());
                let to = (from + dice.below(200)).min(other.len());
                bytes.splice(at..end, other[from..to].iter().copied());
            }
            _ => drop(bytes.splice(at..at, PIECES[dice.below(PIECES.len())].bytes())),
        }
    }
    bytes
}
