//! Results of earlier work by what they were made from: a folder of small files that may be deleted at any time.

use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use sha2::{Digest, Sha256};

/// What an entry begins with; another form of entry gets another number.
const MAGIC: &[u8; 8] = b"gfkept1\n";

/// Bytes of an entry before what is kept: [`MAGIC`] and a SHA-256.
const HEAD: usize = MAGIC.len() + 32;

/// The most that is kept, bytes; the entries used longest ago go first.
const LIMIT: u64 = 1 << 30;

/// Why a store could not be opened.
#[derive(Debug, thiserror::Error)]
#[error("`{}`: no results can be kept there", .folder.display())]
pub struct StoreError {
    /// The folder asked for.
    pub folder: PathBuf,
    /// What the system said.
    pub source: io::Error,
}

/// Names what something was made from: equal keys stand for equal results.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Key(String);

/// What was worked out before.
///
/// An entry is its bytes behind their SHA-256, so that one that was cut off, changed or written in another form is
/// passed over. Trouble with the folder is no failure: nothing is found then, or nothing is kept.
#[derive(Debug)]
pub struct Store {
    folder: Option<PathBuf>,
    program: String,
    limit_bytes: u64,
}

impl Store {
    /// A store that keeps nothing.
    #[must_use]
    pub fn none() -> Self {
        Self { folder: None, program: String::new(), limit_bytes: 0 }
    }

    /// The store in a folder, which is made where it is missing.
    ///
    /// # Arguments
    /// * `program`: names the code that works things out; what other code kept is never found.
    ///
    /// # Errors
    /// [`StoreError`] when no file can be written there.
    pub fn open(folder: &Path, program: &str) -> Result<Self, StoreError> {
        let failed = |source| StoreError { folder: folder.to_owned(), source };
        fs::create_dir_all(folder).map_err(failed)?;
        tempfile::tempfile_in(folder).map_err(failed)?;
        Ok(Self { folder: Some(folder.to_owned()), program: program.to_owned(), limit_bytes: LIMIT })
    }

    /// Whether anything can be kept.
    #[must_use]
    pub fn keeps(&self) -> bool {
        self.folder.is_some()
    }

    /// The key of a result.
    ///
    /// # Arguments
    /// * `what`: the kind of result.
    /// * `from`: everything it is made from, in a fixed order.
    #[must_use]
    pub fn key(&self, what: &str, from: &[&[u8]]) -> Key {
        let mut hash = Sha256::new();
        for part in [self.program.as_bytes(), what.as_bytes()].iter().chain(from) {
            // Each part behind its length, so that no two lists of parts are the same bytes.
            hash.update((part.len() as u64).to_le_bytes());
            hash.update(part);
        }
        Key(hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect())
    }

    /// What was kept under a key.
    #[must_use]
    pub fn get(&self, key: &Key) -> Option<Vec<u8>> {
        let mut file = File::open(self.place(key)?).ok()?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).ok()?;
        let kept = bytes.split_off(HEAD.min(bytes.len()));
        if bytes[..] != head(&kept) {
            return None;
        }
        // Only the order in which entries are thrown away rests on this.
        let _ = file.set_modified(SystemTime::now());
        Some(kept)
    }

    /// Keeps a result. Where that fails it is worked out again next time.
    pub fn put(&self, key: &Key, bytes: &[u8]) {
        if let Some(place) = self.place(key) {
            let _ = write(&place, bytes);
        }
    }

    /// Throws the entries away that were used longest ago, until no more than three quarters of the limit are left;
    /// nothing below the limit.
    pub fn tidy(&self) {
        let Some(folder) = &self.folder else { return };
        let mut entries: Vec<(SystemTime, u64, PathBuf)> = Vec::new();
        for place in list(folder).iter().flat_map(|within| list(within)) {
            if let Ok(data) = fs::metadata(&place) {
                entries.push((data.modified().unwrap_or(SystemTime::UNIX_EPOCH), data.len(), place));
            }
        }
        let mut all: u64 = entries.iter().map(|(_, bytes, _)| bytes).sum();
        if all <= self.limit_bytes {
            return;
        }
        entries.sort();
        for (_, bytes, place) in entries {
            if all <= self.limit_bytes / 4 * 3 {
                break;
            }
            if fs::remove_file(&place).is_ok() {
                all -= bytes;
            }
        }
    }

    /// Where the entry of a key is.
    fn place(&self, key: &Key) -> Option<PathBuf> {
        let (shelf, name) = key.0.split_at(2);
        Some(self.folder.as_ref()?.join(shelf).join(name))
    }
}

/// What stands before the bytes of an entry.
fn head(kept: &[u8]) -> [u8; HEAD] {
    let mut head = [0; HEAD];
    head[..MAGIC.len()].copy_from_slice(MAGIC);
    head[MAGIC.len()..].copy_from_slice(&Sha256::digest(kept));
    head
}

/// An entry appears whole, by a rename.
fn write(place: &Path, bytes: &[u8]) -> io::Result<()> {
    let shelf = place.parent().unwrap_or(place);
    fs::create_dir_all(shelf)?;
    let mut file = tempfile::NamedTempFile::new_in(shelf)?;
    file.write_all(&head(bytes))?;
    file.write_all(bytes)?;
    file.persist(place)?;
    Ok(())
}

fn list(folder: &Path) -> Vec<PathBuf> {
    fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn store() -> (tempfile::TempDir, Store) {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(&folder.path().join("kept"), "one").unwrap();
        (folder, store)
    }

    #[test]
    fn what_is_kept_is_found_by_all_it_was_made_from() {
        let (folder, store) = store();
        let key = store.key("sum", &[b"ab", b"c"]);
        assert_eq!(store.get(&key), None);
        store.put(&key, b"kept");
        assert_eq!(store.get(&key).as_deref(), Some(&b"kept"[..]));
        let others = [store.key("sum", &[b"a", b"bc"]), store.key("other", &[b"ab", b"c"]), store.key("sum", &[b"ab"])];
        for other in others {
            assert_eq!(store.get(&other), None);
        }
        let newer = Store::open(&folder.path().join("kept"), "two").unwrap();
        assert_eq!(newer.get(&newer.key("sum", &[b"ab", b"c"])), None, "other code does not find it");
    }

    #[test]
    fn a_damaged_entry_is_passed_over_and_written_again() {
        let (_folder, store) = store();
        let key = store.key("sum", &[b"x"]);
        store.put(&key, b"a longer text that is kept");
        let place = store.place(&key).unwrap();
        let whole = fs::read(&place).unwrap();
        for cut in 0..whole.len() {
            fs::write(&place, &whole[..cut]).unwrap();
            assert_eq!(store.get(&key), None, "cut to {cut} bytes");
        }
        for at in 0..whole.len() {
            let mut bytes = whole.clone();
            bytes[at] ^= 1;
            fs::write(&place, &bytes).unwrap();
            assert_eq!(store.get(&key), None, "byte {at} changed");
        }
        store.put(&key, b"again");
        assert_eq!(store.get(&key).as_deref(), Some(&b"again"[..]));
    }

    #[test]
    fn a_store_that_is_deleted_or_is_none_keeps_going() {
        let (_folder, store) = store();
        let key = store.key("sum", &[b"x"]);
        store.put(&key, b"kept");
        fs::remove_dir_all(store.folder.as_ref().unwrap()).unwrap();
        assert_eq!(store.get(&key), None);
        store.put(&key, b"kept");
        assert_eq!(store.get(&key).as_deref(), Some(&b"kept"[..]));
        let none = Store::none();
        none.put(&none.key("sum", &[]), b"lost");
        assert_eq!(none.get(&none.key("sum", &[])), None);
    }

    #[test]
    fn what_was_used_longest_ago_goes_first() {
        let (_folder, mut store) = store();
        let keys: Vec<Key> = (0..8_u8).map(|n| store.key("sum", &[&[n]])).collect();
        for (n, key) in keys.iter().enumerate() {
            store.put(key, &[0; 60]);
            let file = File::options().write(true).open(store.place(key).unwrap()).unwrap();
            file.set_modified(SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(n as u64)).unwrap();
        }
        store.limit_bytes = 800;
        store.tidy();
        assert!(keys.iter().all(|key| store.place(key).unwrap().exists()), "800 bytes are within the limit");
        assert!(store.get(&keys[0]).is_some());
        store.limit_bytes = 799;
        store.tidy();
        let left: Vec<usize> = (0..8).filter(|n| store.place(&keys[*n]).unwrap().exists()).collect();
        assert_eq!(left, [0, 4, 5, 6, 7], "three quarters of 799 are five entries of 100");
    }

    #[test]
    fn a_folder_that_cannot_be_written_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("file");
        fs::write(&file, "").unwrap();
        let fault = Store::open(&file, "one").unwrap_err().to_string();
        assert_eq!(fault, format!("`{}`: no results can be kept there", file.display()));
    }
}
