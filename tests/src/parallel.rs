//! Many small works side by side.

use std::io;
use std::sync::atomic::{AtomicU64, Ordering};

/// Does works 0 to `count` - 1, each once, by as many workers as there are processors. Ends at the first fault of each.
///
/// # Arguments
/// * `start`: what worker `n` needs, made before its first work.
///
/// # Errors
/// The first fault of a worker.
pub(crate) fn side_by_side<S>(
    count: u64,
    start: impl Fn(usize) -> io::Result<S> + Sync,
    work: impl Fn(&S, u64) -> io::Result<()> + Sync,
) -> io::Result<()> {
    let next = AtomicU64::new(0);
    let workers = std::thread::available_parallelism()?.get();
    std::thread::scope(|scope| {
        let threads: Vec<_> = (0..workers)
            .map(|worker| {
                let (next, start, work) = (&next, &start, &work);
                scope.spawn(move || -> io::Result<()> {
                    let with = start(worker)?;
                    loop {
                        let at = next.fetch_add(1, Ordering::Relaxed);
                        if at >= count {
                            return Ok(());
                        }
                        work(&with, at)?;
                    }
                })
            })
            .collect();
        threads.into_iter().try_for_each(|thread| thread.join().map_err(|_| io::Error::other("a worker failed"))?)
    })
}
