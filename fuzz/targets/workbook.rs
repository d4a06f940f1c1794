//! Any bytes as a workbook or an archive. What a reader of a format trips over must end as a refusal: its panics are
//! caught by the crate, so the fuzzer's own hook, which would end the process at once, is taken out. What a zip archive
//! packs counts with the size that its directory gives.
#![no_main]

mod memory;

use std::io::Cursor;

use grainfall_ingest::read_bytes;
use grainfall_record::ReadingHints;
use libfuzzer_sys::fuzz_target;

fuzz_target!(
    init: {
        std::panic::set_hook(Box::new(|_| ()));
    },
    |bytes: &[u8]| {
        memory::bounded(FLOOR, unpacked(bytes), || {
            read_bytes("book.xlsx", bytes, &ReadingHints::default()).expect("samples make a frame");
        });
    }
);

/// Bytes that reading may take whatever the file. An old binary workbook of a few bytes may span 1.5 million places, for
/// each of which its reader sets 32 bytes aside.
const FLOOR: usize = 64 << 20;

/// Bytes of a file once it is unpacked.
fn unpacked(bytes: &[u8]) -> usize {
    let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(bytes)) else { return bytes.len() };
    let members = archive.len();
    let size = |at: usize| archive.by_index_raw(at).map_or(0, |member| member.size());
    let sizes: u64 = (0..members).map(size).sum();
    bytes.len() + usize::try_from(sizes.min(1 << 30)).unwrap_or(1 << 30)
}
