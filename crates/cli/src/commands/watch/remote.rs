//! Which folders lie on another machine: the system tells there of what is done here, not of what others do.

use std::path::Path;

/// Numbers by which Linux names the kinds of file system that bring folders from elsewhere: over a network, from the
/// host of a virtual machine, or by a program of the user, as cloud clients do.
///
/// # Source
/// `linux/magic.h` of the kernel's own headers, in this order: NFS, SMB (three versions), NCP, AFS (two), CODA, CEPH,
/// 9P, FUSE.
#[cfg(target_os = "linux")]
const REMOTE: [u32; 11] = [
    0x0000_6969,
    0x0000_517B,
    0xFF53_4D42,
    0xFE53_4D42,
    0x0000_564C,
    0x5346_414F,
    0x6B41_4653,
    0x7375_7245,
    0x00C3_6400,
    0x0102_1997,
    0x6573_5546,
];

/// Whether a folder lies on such a file system, as far as this system can tell.
#[cfg(target_os = "linux")]
pub fn is_remote(folder: &Path) -> bool {
    // The lower 32 bits: some systems hold the number in a signed word.
    rustix::fs::statfs(folder).is_ok_and(|system| REMOTE.contains(&(system.f_type as u32)))
}

/// Not known here.
#[cfg(not(target_os = "linux"))]
pub fn is_remote(_folder: &Path) -> bool {
    false
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use std::os::unix::fs::MetadataExt;

    use super::*;

    /// The system's own list of mounts (proc_pid_mountinfo(5)) names the kinds in words: both must say the same.
    #[test]
    fn mounts_are_told_apart_as_the_list_of_mounts_does() {
        let words = ["nfs", "nfs4", "cifs", "smb3", "ncpfs", "afs", "coda", "ceph", "9p", "fuse", "fuseblk"];
        let mounts = std::fs::read_to_string("/proc/self/mountinfo").unwrap();
        let mut seen = 0;
        for mount in mounts.lines() {
            let (at, of) = mount.split_once(" - ").unwrap();
            let (at, kind) = (at.split(' ').collect::<Vec<_>>(), of.split(' ').next().unwrap());
            let (major, minor) = at[2].split_once(':').unwrap();
            let device = rustix::fs::makedev(major.parse().unwrap(), minor.parse().unwrap());
            let place = Path::new(at[4]);
            // What is hidden by a later mount has another device.
            if std::fs::metadata(place).is_ok_and(|data| data.is_dir() && data.dev() == device) {
                assert_eq!(is_remote(place), words.contains(&kind) || kind.starts_with("fuse."), "{mount}");
                seen += 1;
            }
        }
        assert!(seen > 0, "{mounts}");
    }
}
