//! Old binary workbooks: what must hold before their records are trusted.
//!
//! Such a file is a small file system of sectors with a stream of records in it. Chains of sectors may run in
//! circles, positions may lie outside, and a few bytes may claim a sheet as large as the format allows. Everything
//! that decides how much memory reading takes is checked here first.
//!
//! # Source
//! Microsoft Open Specifications MS-CFB (sectors, 2.1 to 2.6) and MS-XLS (records, 2.4).

use std::collections::BTreeMap;

use super::unpack::Shut;

/// Marks above this are no sectors.
const RESERVED: u32 = 0xFFFF_FFFA;
const END_OF_CHAIN: u32 = 0xFFFF_FFFE;
/// Places of all sheets together, filled or not, that the filled cells may span whatever their number: memory is set
/// aside for every one of them.
const MOST_PLACES: u64 = 1_500_000;
/// Places to each filled cell in larger sheets.
const SPARSE: u64 = 8;

fn damaged(what: &str) -> Shut {
    Shut::new(
        format!("a damaged or incomplete spreadsheet (xls): {what}"),
        "copy or download it again, or open it and save each sheet as CSV",
    )
}

/// Checks a workbook of the old binary kind.
///
/// # Errors
/// When its structure is broken, or a sheet claims more room than its cells fill.
pub(crate) fn check(bytes: &[u8]) -> Result<(), Shut> {
    let stream = workbook(bytes)?;
    records(&stream)
}

fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(bytes.get(at..at + 2)?.try_into().ok()?))
}

fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

/// The file system of a compound file.
struct Sectors<'b> {
    bytes: &'b [u8],
    size: usize,
    next: Vec<u32>,
}

impl Sectors<'_> {
    fn sector(&self, id: u32) -> Option<&[u8]> {
        let start = (id as usize + 1).checked_mul(self.size)?;
        let end = start.checked_add(self.size)?.min(self.bytes.len());
        self.bytes.get(start..end)
    }

    /// The bytes of a chain of sectors, cut to `len`.
    fn chain(&self, first: u32, len: usize) -> Option<Vec<u8>> {
        let mut out = Vec::new();
        let mut id = first;
        let mut steps = 0;
        while id != END_OF_CHAIN && out.len() < len {
            steps += 1;
            if steps > self.next.len() + 1 {
                return None;
            }
            out.extend_from_slice(self.sector(id)?);
            id = *self.next.get(id as usize)?;
        }
        out.truncate(len);
        Some(out)
    }
}

/// The stream of records.
fn workbook(bytes: &[u8]) -> Result<Vec<u8>, Shut> {
    let broken = || damaged("its header is broken");
    let size = match u16_at(bytes, 30).ok_or_else(broken)? {
        9 => 512,
        12 => 4096,
        _ => return Err(broken()),
    };
    let sectors = bytes.len() / size + 1;
    // Where the table of chains lies: 109 places in the header, more in a chain of their own.
    let mut places: Vec<u32> = (0..109).filter_map(|at| u32_at(bytes, 76 + 4 * at)).collect();
    let mut more = u32_at(bytes, 68).ok_or_else(broken)?;
    let mut files = Sectors { bytes, size, next: Vec::new() };
    let mut steps = 0;
    while more < RESERVED {
        steps += 1;
        let sector = files.sector(more).filter(|_| steps <= sectors).ok_or_else(broken)?;
        let mut ids: Vec<u32> = sector.chunks_exact(4).filter_map(|chunk| u32_at(chunk, 0)).collect();
        more = ids.pop().ok_or_else(broken)?;
        places.extend(ids);
    }
    if places.iter().filter(|id| **id < RESERVED).count() > sectors {
        return Err(broken());
    }
    let mut next = Vec::new();
    for id in places.into_iter().filter(|id| *id < 0xFFFF_FFFC) {
        let sector = files.sector(id).ok_or_else(|| damaged("it breaks off"))?;
        next.extend(sector.chunks_exact(4).filter_map(|chunk| u32_at(chunk, 0)));
    }
    files.next = next;
    let circle = || damaged("its sectors run in a circle or out of the file");
    let folder = files.chain(u32_at(bytes, 48).ok_or_else(broken)?, usize::MAX).ok_or_else(circle)?;
    let entries: Vec<(String, u32, usize)> = folder
        .chunks_exact(128)
        .filter_map(|entry| {
            let name: Vec<u16> =
                entry[..64].chunks_exact(2).filter_map(|c| u16_at(c, 0)).take_while(|c| *c != 0).collect();
            Some((String::from_utf16_lossy(&name), u32_at(entry, 116)?, u32_at(entry, 120)? as usize))
        })
        .collect();
    if entries.iter().any(|(_, _, len)| *len > bytes.len()) {
        return Err(damaged("it breaks off"));
    }
    // Small streams live in a stream of their own, in sectors of 64 bytes.
    let (_, mini_first, mini_len) = entries.first().ok_or_else(broken)?;
    let mini_table_len = (u32_at(bytes, 64).ok_or_else(broken)? as usize).saturating_mul(size);
    let mut small = None;
    if mini_table_len > 0 {
        let mini = files.chain(*mini_first, *mini_len).ok_or_else(circle)?;
        let first = u32_at(bytes, 60).ok_or_else(broken)?;
        let table = files.chain(first, mini_table_len).ok_or_else(circle)?;
        small = Some((mini, table));
    }
    let named = |name: &str| entries.iter().find(|(n, ..)| n.eq_ignore_ascii_case(name));
    let Some((_, first, len)) = named("Workbook").or_else(|| named("Book")) else {
        let what = if named("WordDocument").is_some() { "a document without sheets" } else { "no workbook in it" };
        return Err(damaged(what));
    };
    if *len >= 4096 {
        return files.chain(*first, *len).ok_or_else(circle);
    }
    let (mini, table) = small.ok_or_else(broken)?;
    let next: Vec<u32> = table.chunks_exact(4).filter_map(|chunk| u32_at(chunk, 0)).collect();
    // One sector of padding in front, as the header stands before the sectors of the file.
    let mut padded = vec![0; 64];
    padded.extend(mini);
    Sectors { bytes: &padded, size: 64, next }.chain(*first, *len).ok_or_else(circle)
}

/// Kind and content of the records from a position to the end of their part.
fn walk(stream: &[u8], mut at: usize) -> impl Iterator<Item = Result<(u16, &[u8]), Shut>> {
    std::iter::from_fn(move || {
        let (kind, len) = (u16_at(stream, at)?, u16_at(stream, at + 2)?);
        let content = stream.get(at + 4..at + 4 + len as usize);
        at += 4 + len as usize;
        Some(content.map(|content| (kind, content)).ok_or_else(|| damaged("it breaks off")))
    })
}

/// Checks the positions and sizes of all sheets.
fn records(stream: &[u8]) -> Result<(), Shut> {
    let mut positions = Vec::new();
    for record in walk(stream, 0) {
        let (kind, content) = record?;
        match kind {
            0x0085 => positions.push(u32_at(content, 0).ok_or_else(|| damaged("a sheet without a position"))? as usize),
            0x000A => break,
            _ => {}
        }
    }
    let mut seen: BTreeMap<usize, usize> = BTreeMap::new();
    let (mut places, mut filled) = (0_u64, 0_u64);
    for position in positions {
        if position >= stream.len() {
            return Err(damaged("it breaks off"));
        }
        *seen.entry(position).or_default() += 1;
        if seen[&position] > 1 {
            return Err(damaged("two sheets at one place"));
        }
        let (sheet_places, sheet_filled) = sheet(stream, position)?;
        places = places.saturating_add(sheet_places);
        filled += sheet_filled;
    }
    if places > MOST_PLACES.max(filled * SPARSE) {
        return Err(Shut::new(
            format!("{filled} filled cells lie scattered over {places} places of a spreadsheet (xls)"),
            "delete what does not belong to the table, or save the table as CSV",
        ));
    }
    Ok(())
}

/// The places a sheet spans and the cells it fills.
fn sheet(stream: &[u8], position: usize) -> Result<(u64, u64), Shut> {
    let (mut rows, mut columns) = ((u16::MAX, 0_u16), (u16::MAX, 0_u16));
    let mut filled = 0_u64;
    let mut ended = false;
    let mut depth = 0_usize;
    for record in walk(stream, position) {
        let (kind, content) = record?;
        match kind {
            0x0809 => depth += 1,
            0x000A if depth <= 1 => {
                ended = true;
                break;
            }
            0x000A => depth -= 1,
            // Claimed bounds: memory is set aside for them at once.
            0x0200 if content.len() >= 14 => {
                let claimed = (u32_at(content, 0), u32_at(content, 4));
                if !matches!(claimed, (Some(first), Some(end)) if first <= end && end <= 65_536) {
                    return Err(damaged("a sheet with more rows than there are"));
                }
            }
            0x0203 | 0x0204 | 0x00D6 | 0x0205 | 0x027E | 0x00FD | 0x0006 | 0x00BD => {
                let (Some(row), Some(first)) = (u16_at(content, 0), u16_at(content, 2)) else {
                    return Err(damaged("a cell without a place"));
                };
                let last = match kind {
                    0x00BD => content.len().checked_sub(2).and_then(|at| u16_at(content, at)).unwrap_or(first),
                    _ => first,
                };
                if last < first {
                    return Err(damaged("cells from right to left"));
                }
                filled += u64::from(last - first) + 1;
                rows = (rows.0.min(row), rows.1.max(row));
                columns = (columns.0.min(first), columns.1.max(last));
            }
            _ => {}
        }
    }
    if !ended {
        return Err(damaged("it breaks off"));
    }
    if filled == 0 {
        return Ok((0, 0));
    }
    let span = |(first, last): (u16, u16)| u64::from(last - first) + 1;
    Ok((span(rows) * span(columns), filled))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_header_alone_is_damaged() {
        let mut bytes = b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1".to_vec();
        bytes.resize(600, 0);
        assert_eq!(
            check(&bytes).unwrap_err().reason,
            "a damaged or incomplete spreadsheet (xls): its header is broken"
        );
    }

    #[test]
    fn a_chain_in_a_circle_ends() {
        let bytes = vec![0; 512 * 3];
        let sectors = Sectors { bytes: &bytes, size: 512, next: vec![1, 0] };
        assert!(sectors.chain(0, usize::MAX).is_none());
    }
}
