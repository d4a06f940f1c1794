//! What a process holds in memory and has used of the processor, as Linux tells it.

use std::fs;

/// Memory held now, MiB.
pub(crate) fn held_mib(process: u32) -> Option<f64> {
    of_status(process, "VmRSS:")
}

/// The most that was held, MiB.
pub(crate) fn peak_mib(process: u32) -> Option<f64> {
    of_status(process, "VmHWM:")
}

/// Processor time used so far by all its threads, s.
pub(crate) fn processor_s(process: u32) -> Option<f64> {
    // User and system time of its own.
    ticks_s(&process.to_string(), 14, 15)
}

/// Processor time that the processes started by this one used until they ended, s.
#[must_use]
pub fn ended_processor_s() -> Option<f64> {
    // User and system time of children that were waited for.
    ticks_s("self", 16, 17)
}

/// The sum of two times in proc_pid_stat(5), by the numbers that their fields have there, s.
fn ticks_s(process: &str, user: usize, system: usize) -> Option<f64> {
    let stat = fs::read_to_string(format!("/proc/{process}/stat")).ok()?;
    // Behind the name in brackets, which is the second field and may hold anything. In hundredths of a second on every
    // Linux of today (from memory).
    let fields: Vec<&str> = stat.rsplit_once(')')?.1.split_whitespace().collect();
    let ticks = |field: usize| fields.get(field - 3)?.parse::<f64>().ok();
    Some((ticks(user)? + ticks(system)?) / 100.0)
}

fn of_status(process: u32, key: &str) -> Option<f64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find(|line| line.starts_with(key))?;
    let kib: f64 = line[key.len()..].trim().trim_end_matches(" kB").parse().ok()?;
    Some(kib / 1024.0)
}

/// Least-squares slope of the second half of the samples, per sample: the first half fills caches and arenas. `None`
/// with fewer than four samples.
pub(crate) fn slope(samples: &[f64]) -> Option<f64> {
    let half = &samples[samples.len() / 2..];
    if samples.len() < 4 {
        return None;
    }
    let count = half.len() as f64;
    let (mean_x, mean_y) = ((count - 1.0) / 2.0, half.iter().sum::<f64>() / count);
    let (mut up, mut across) = (0.0, 0.0);
    for (x, y) in half.iter().enumerate() {
        let x = x as f64 - mean_x;
        up += x * (y - mean_y);
        across += x * x;
    }
    Some(up / across)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slope_of_the_second_half() {
        // A jump in the first half, then 0.5 a sample.
        let slope = slope(&[0.0, 90.0, 91.0, 100.0, 10.0, 10.5, 11.0, 11.5]).unwrap();
        assert!((slope - 0.5).abs() < 1e-12, "{slope}");
    }
}
