//! What somebody else put into a report folder: it is there in the next report too.

use std::fs::{self, File, FileType};
use std::io;
use std::path::{Path, PathBuf};

use super::{failed, make_folders};
use crate::Error;

/// Takes along the files of the old folder that `keep` picks by their path, with `/` between folders, and folders in
/// which nothing lies. What is there under the same name already stays.
///
/// # Errors
/// [`Error::Write`] when a folder cannot be listed or a file cannot be kept: then it would be lost.
pub(super) fn carry_over(old: &Path, fresh: &Path, keep: &dyn Fn(&str) -> bool) -> Result<(), Error> {
    let mut folders = vec![PathBuf::new()];
    while let Some(folder) = folders.pop() {
        let place = old.join(&folder);
        let entries = match fs::read_dir(&place) {
            // There is no report yet, or somebody removed the folder meanwhile.
            Err(source) if source.kind() == io::ErrorKind::NotFound => continue,
            other => other.map_err(|source| failed(&place, "list", source))?,
        };
        let mut is_empty = true;
        for entry in entries {
            is_empty = false;
            let entry = entry.map_err(|source| failed(&place, "list", source))?;
            let path = folder.join(entry.file_name());
            let kind = entry.file_type().map_err(|source| failed(&entry.path(), "look at", source))?;
            if kind.is_dir() {
                folders.push(path);
            } else if keep(&name(&path)) {
                make_folders(fresh, &folder)
                    .and_then(|()| take_along(&entry.path(), &fresh.join(&path), kind))
                    .map_err(|source| failed(&entry.path(), "keep", source))?;
            }
        }
        if is_empty {
            make_folders(fresh, &folder).map_err(|source| failed(&place, "keep", source))?;
        }
    }
    Ok(())
}

/// A path as outputs are named. Elsewhere than on Windows a `\` is a letter like any other.
fn name(path: &Path) -> String {
    let text = path.to_string_lossy();
    if cfg!(windows) { text.replace('\\', "/") } else { text.into_owned() }
}

/// Gives a file a second name, which costs nothing; where the file system has none, or does not allow it, a copy does.
fn take_along(from: &Path, to: &Path, kind: FileType) -> io::Result<()> {
    let Err(fault) = fs::hard_link(from, to) else { return Ok(()) };
    match fault.kind() {
        // Somebody removed it meanwhile.
        io::ErrorKind::NotFound if fs::symlink_metadata(from).is_err() => Ok(()),
        // Kept before, or one of the new report where the file system takes two names for one.
        io::ErrorKind::AlreadyExists if !fs::symlink_metadata(to)?.is_dir() => Ok(()),
        io::ErrorKind::AlreadyExists => Err(fault),
        _ if kind.is_symlink() => copy_link(from, to),
        _ if kind.is_file() => copy(from, to),
        // Reading a pipe may never end.
        _ => Err(fault),
    }
}

/// A copy on disk, with the rights of the file as far as the file system lets them be set.
fn copy(from: &Path, to: &Path) -> io::Result<()> {
    let (mut source, mut target) = (File::open(from)?, File::create_new(to)?);
    io::copy(&mut source, &mut target)?;
    let _ = source.metadata().and_then(|data| target.set_permissions(data.permissions()));
    target.sync_all()
}

/// The link itself: what it leads to is no part of the report.
#[cfg(unix)]
fn copy_link(from: &Path, to: &Path) -> io::Result<()> {
    std::os::unix::fs::symlink(fs::read_link(from)?, to)
}

#[cfg(not(unix))]
fn copy_link(_from: &Path, _to: &Path) -> io::Result<()> {
    Err(io::Error::other("it is a link, and links are not followed"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_is_as_the_file_and_never_takes_the_place_of_another() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::write(at("a"), "one").unwrap();
        fs::write(at("b"), "two").unwrap();
        assert_eq!(copy(&at("a"), &at("b")).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(fs::read_to_string(at("b")).unwrap(), "two");
        let mut rights = fs::metadata(at("a")).unwrap().permissions();
        rights.set_readonly(true);
        fs::set_permissions(at("a"), rights.clone()).unwrap();
        copy(&at("a"), &at("c")).unwrap();
        assert_eq!(fs::read_to_string(at("c")).unwrap(), "one");
        assert_eq!(fs::metadata(at("c")).unwrap().permissions(), rights);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_kept_as_a_link() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        std::os::unix::fs::symlink("nowhere", at("a")).unwrap();
        copy_link(&at("a"), &at("b")).unwrap();
        assert_eq!(fs::read_link(at("b")).unwrap(), Path::new("nowhere"));
    }
}
