//! How much memory reading takes, by an allocator that counts.

use peak_alloc::PeakAlloc;

#[global_allocator]
static ALLOCATOR: PeakAlloc = PeakAlloc;

/// Bytes that reading may take whatever the file: tables of words, buffers, stacks of decoders.
pub const FLOOR: usize = 8 << 20;
/// Times the bytes of the file, as they are once unpacked.
const TIMES: usize = 20;

/// Runs a reading of so many bytes.
///
/// # Panics
/// When it takes more memory than it may.
pub fn bounded<T>(floor: usize, bytes: usize, read: impl FnOnce() -> T) -> T {
    let before = ALLOCATOR.current_usage();
    ALLOCATOR.reset_peak_usage();
    let result = read();
    let taken = ALLOCATOR.peak_usage().saturating_sub(before);
    if taken > floor + TIMES * bytes {
        eprintln!("{taken} bytes of memory for {bytes} bytes");
        std::process::abort();
    }
    result
}
