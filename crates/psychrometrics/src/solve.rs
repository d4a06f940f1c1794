//! One root finder for the whole crate: Newton steps kept inside a bracket.

/// Steps after which the bracket is taken as it is: bisection alone needs about 45 for 300 K down to 1e-11 K.
const MAX_STEPS: usize = 200;

/// A step this short ends the search; temperatures and percentages are of the order of 1 to 100.
const STEP_LIMIT: f64 = 1e-11;

/// The root of a function that is negative at `low` and positive at `high`.
///
/// `f` returns value and slope. A Newton step that leaves the bracket, or that does not halve the last step, is
/// replaced by a bisection, so the search ends for any continuous function with one sign change. Where the sign does
/// not change the nearer end is returned: callers use that only for a root that rounding pushed over the end.
pub(crate) fn bracketed_root(low: f64, high: f64, guess: f64, f: impl Fn(f64) -> (f64, f64)) -> f64 {
    let (mut low, mut high) = (low, high);
    let mut x = if guess > low && guess < high { guess } else { 0.5 * (low + high) };
    let mut last_step = high - low;
    for _ in 0..MAX_STEPS {
        let (value, slope) = f(x);
        if value > 0.0 {
            high = x;
        } else if value < 0.0 {
            low = x;
        } else {
            return x;
        }
        let newton = x - value / slope;
        let usable = newton >= low && newton <= high && (newton - x).abs() <= 0.5 * last_step;
        let next = if usable { newton } else { 0.5 * (low + high) };
        last_step = (next - x).abs();
        x = next;
        if last_step <= STEP_LIMIT {
            break;
        }
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_root_of_a_curve_newton_alone_would_leave() {
        // atan: Newton diverges from |x| > 1.39, the bracket must catch it; the root is 0 by symmetry, shifted to 3.
        let root = bracketed_root(-80.0, 90.0, 60.0, |x: f64| {
            let y = x - 3.0;
            (y.atan(), 1.0 / (1.0 + y * y))
        });
        assert!((root - 3.0).abs() <= 1e-10, "got {root}");
    }

    #[test]
    fn a_slope_of_zero_falls_back_to_bisection() {
        let root = bracketed_root(0.0, 10.0, 9.0, |x| (if x < 2.5 { -1.0 } else { 1.0 }, 0.0));
        assert!((root - 2.5).abs() <= 1e-9, "got {root}");
    }
}
