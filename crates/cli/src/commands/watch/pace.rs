//! When a folder is ready to be read: not while a file in it still grows, once for many changes that come together.

use std::time::{Duration, Instant};

use super::look::Look;

/// How long a folder that never comes to rest is waited for: a file that a gateway appends to without end must not
/// hold a report back for ever.
pub const LONGEST_WAIT: Duration = Duration::from_secs(300);

/// How a folder comes to rest.
#[derive(Debug, Default)]
pub struct Pace {
    seen: Look,
    /// The first and the last change not yet read.
    changed: Option<(Instant, Instant)>,
    /// Whether one of them was seen, and not only that it is time to read.
    was_seen: bool,
}

impl Pace {
    /// Takes in what a folder looks like now.
    pub fn look(&mut self, look: Look, now: Instant) {
        if look != self.seen {
            // The first look shows no change.
            self.was_seen |= self.seen != Look::default();
            self.seen = look;
            self.change(now);
        }
    }

    /// Takes in that something was dropped in or taken out, whatever the folder looks like after it.
    pub fn drop(&mut self, now: Instant) {
        self.was_seen = true;
        self.change(now);
    }

    fn change(&mut self, now: Instant) {
        self.changed = Some((self.changed.map_or(now, |(first, _)| first), now));
    }

    /// Reads again although nothing may have changed: the start, or another try.
    pub fn again(&mut self, now: Instant) {
        self.changed.get_or_insert((now, now));
    }

    /// When the folder is ready if nothing changes until then; `None` when nothing is to be read.
    pub fn ready_at(&self, quiet: Duration) -> Option<Instant> {
        self.changed.map(|(first, last)| (last + quiet).min(first + LONGEST_WAIT.max(quiet)))
    }

    /// Whether a change is waiting, and not only a start or another try.
    pub fn is_pressing(&self) -> bool {
        self.was_seen
    }

    /// The folder is about to be read as it was last seen.
    pub fn read(&mut self) {
        self.changed = None;
        self.was_seen = false;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const QUIET: Duration = Duration::from_secs(2);

    fn look(bytes: usize) -> Look {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("a.csv"), vec![b'1'; bytes]).unwrap();
        Look::at(folder.path()).unwrap()
    }

    #[test]
    fn a_growing_file_is_waited_for() {
        let (mut pace, start) = (Pace::default(), Instant::now());
        let at = |s: u64| start + Duration::from_secs(s);
        assert_eq!(pace.ready_at(QUIET), None);
        for s in 0..10 {
            pace.look(look(s as usize + 1), at(s));
            assert_eq!(pace.ready_at(QUIET), Some(at(s + 2)));
        }
        let last = pace.seen.clone();
        pace.look(last, at(11));
        assert_eq!(pace.ready_at(QUIET), Some(at(11)), "the same look is no change");
        assert!(pace.is_pressing());
        pace.read();
        assert_eq!((pace.ready_at(QUIET), pace.is_pressing()), (None, false));
        pace.again(at(20));
        assert_eq!((pace.ready_at(QUIET), pace.is_pressing()), (Some(at(22)), false), "another try can wait");
        pace.drop(at(21));
        assert_eq!((pace.ready_at(QUIET), pace.is_pressing()), (Some(at(23)), true), "a drop that is over");
    }

    #[test]
    fn a_file_that_grows_for_ever_holds_nothing_back_for_ever() {
        let (mut pace, start) = (Pace::default(), Instant::now());
        for s in 0..400 {
            pace.look(look(s as usize + 1), start + Duration::from_secs(s));
        }
        assert_eq!(pace.ready_at(QUIET), Some(start + LONGEST_WAIT));
    }
}
