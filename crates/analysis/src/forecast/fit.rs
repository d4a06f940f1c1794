//! The falling-rate curve `(M - E) / (M0 - E) = exp(-t / tau)` fitted to readings at a given equilibrium `E`.
//!
//! Source: Lewis form; Sander, Chem. Eng. Proc. 46 (2007) 1324 (abstract) on its use for porous materials. Least squares
//! in `M0` and `tau` by Levenberg-Marquardt; the time to goal carries its error by the delta method.

/// A fitted curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fit {
    /// Moisture at time 0.
    pub m0: f64,
    /// Time constant, days.
    pub tau: f64,
    /// The equilibrium it was fitted at.
    pub equilibrium: f64,
    /// Root of the mean squared residual over n - 2; `None` with two readings, which leave none.
    pub residual: Option<f64>,
    /// Inverse of the normal matrix in (M0, tau), times the squared reading error gives their covariance.
    pub spread: [[f64; 2]; 2],
}

impl Fit {
    /// Time from 0 at which the curve meets a goal, days: `tau ln((M0 - E) / (G - E))`; `None` for `G <= E`.
    pub fn time_to(&self, goal: f64) -> Option<f64> {
        (goal > self.equilibrium).then(|| self.tau * ((self.m0 - self.equilibrium) / (goal - self.equilibrium)).ln())
    }

    /// Moisture at a time, days.
    #[cfg(test)]
    pub fn at(&self, days: f64) -> f64 {
        self.equilibrium + (self.m0 - self.equilibrium) * (-days / self.tau).exp()
    }

    /// Standard error of the time between the curve's readings of day `last` and its goal, days, for this standard error
    /// of one reading.
    ///
    /// `last` is a fixed time, so the error of the difference is that of [`Self::time_to`].
    pub fn time_error(&self, goal: f64, reading_error: f64) -> Option<f64> {
        if goal <= self.equilibrium {
            return None;
        }
        let by_m0 = self.tau / (self.m0 - self.equilibrium);
        let by_tau = ((self.m0 - self.equilibrium) / (goal - self.equilibrium)).ln();
        let [[a, b], [_, d]] = self.spread;
        let variance = by_m0 * by_m0 * a + 2.0 * by_m0 * by_tau * b + by_tau * by_tau * d;
        Some(variance.max(0.0).sqrt() * reading_error)
    }
}

/// Fits the curve to readings (days, value) at a given equilibrium.
///
/// `None` with fewer than two readings at different times, with a reading at or below the equilibrium, or where the
/// readings do not fall.
pub(crate) fn fit(readings: &[(f64, f64)], equilibrium: f64) -> Option<Fit> {
    let first = readings.first()?;
    let (mut m0, mut tau) = log_linear(readings, equilibrium)?;
    let mut damping = 1e-6;
    let mut error = squared_error(readings, equilibrium, m0, tau);
    for _ in 0..200 {
        let Normal { matrix, gradient } = normal(readings, equilibrium, m0, tau);
        let damped = [[matrix[0][0] * (1.0 + damping), matrix[0][1]], [matrix[1][0], matrix[1][1] * (1.0 + damping)]];
        let Some(inverse) = inverse(damped) else { break };
        let step = [
            inverse[0][0] * gradient[0] + inverse[0][1] * gradient[1],
            inverse[1][0] * gradient[0] + inverse[1][1] * gradient[1],
        ];
        let (next_m0, next_tau) = (m0 + step[0], tau + step[1]);
        let next_error = squared_error(readings, equilibrium, next_m0, next_tau);
        if next_tau > 0.0 && next_m0 > equilibrium && next_error <= error {
            let done = step[0].abs() < 1e-12 * m0.abs().max(1.0) && step[1].abs() < 1e-12 * tau.abs().max(1.0);
            (m0, tau, error) = (next_m0, next_tau, next_error);
            damping = (damping * 0.1).max(1e-12);
            if done {
                break;
            }
        } else {
            damping *= 10.0;
            if damping > 1e12 {
                break;
            }
        }
    }
    let spread = inverse(normal(readings, equilibrium, m0, tau).matrix)?;
    let finite = m0.is_finite() && tau.is_finite() && spread.iter().flatten().all(|one| one.is_finite());
    #[allow(clippy::cast_precision_loss)]
    let residual = (readings.len() > 2).then(|| (error / (readings.len() - 2) as f64).sqrt());
    (finite && tau > 0.0 && first.1 > equilibrium).then_some(Fit { m0, tau, equilibrium, residual, spread })
}

/// Straight line through the logarithms: where the least squares start.
fn log_linear(readings: &[(f64, f64)], equilibrium: f64) -> Option<(f64, f64)> {
    #[allow(clippy::cast_precision_loss)]
    let n = readings.len() as f64;
    let (mut t_sum, mut y_sum, mut tt, mut ty) = (0.0, 0.0, 0.0, 0.0);
    for (t, value) in readings {
        if *value <= equilibrium {
            return None;
        }
        let y = (value - equilibrium).ln();
        t_sum += t;
        y_sum += y;
        tt += t * t;
        ty += t * y;
    }
    let spread = n * tt - t_sum * t_sum;
    if n < 2.0 || spread <= 0.0 {
        return None;
    }
    let slope = (n * ty - t_sum * y_sum) / spread;
    (slope < 0.0).then(|| (equilibrium + ((y_sum - slope * t_sum) / n).exp(), -1.0 / slope))
}

struct Normal {
    matrix: [[f64; 2]; 2],
    gradient: [f64; 2],
}

fn normal(readings: &[(f64, f64)], equilibrium: f64, m0: f64, tau: f64) -> Normal {
    let mut normal = Normal { matrix: [[0.0; 2]; 2], gradient: [0.0; 2] };
    for (t, value) in readings {
        let decay = (-t / tau).exp();
        let by = [decay, (m0 - equilibrium) * decay * t / (tau * tau)];
        let off = value - (equilibrium + (m0 - equilibrium) * decay);
        for i in 0..2 {
            normal.gradient[i] += by[i] * off;
            for j in 0..2 {
                normal.matrix[i][j] += by[i] * by[j];
            }
        }
    }
    normal
}

fn squared_error(readings: &[(f64, f64)], equilibrium: f64, m0: f64, tau: f64) -> f64 {
    readings.iter().map(|(t, value)| (value - (equilibrium + (m0 - equilibrium) * (-t / tau).exp())).powi(2)).sum()
}

fn inverse(m: [[f64; 2]; 2]) -> Option<[[f64; 2]; 2]> {
    let det = m[0][0] * m[1][1] - m[0][1] * m[1][0];
    (det.is_finite() && det > 0.0).then(|| [[m[1][1] / det, -m[0][1] / det], [-m[1][0] / det, m[0][0] / det]])
}

/// Quantile of Student's t from that of the normal distribution, by the Cornish-Fisher expansion.
///
/// # Source
/// Abramowitz and Stegun, 26.7.5 (from memory; checked against printed quantiles in the tests). Exact for one and two
/// degrees of freedom.
pub(crate) fn student_t(z: f64, p: f64, freedom: u32) -> f64 {
    match freedom {
        0 => z,
        1 => (std::f64::consts::PI * (p - 0.5)).tan(),
        2 => {
            let centred = 2.0 * p - 1.0;
            centred * (2.0 / (1.0 - centred * centred)).sqrt()
        }
        _ => {
            let v = f64::from(freedom);
            let (z3, z5, z7, z9) = (z.powi(3), z.powi(5), z.powi(7), z.powi(9));
            z + (z3 + z) / (4.0 * v)
                + (5.0 * z5 + 16.0 * z3 + 3.0 * z) / (96.0 * v * v)
                + (3.0 * z7 + 19.0 * z5 + 17.0 * z3 - 15.0 * z) / (384.0 * v.powi(3))
                + (79.0 * z9 + 776.0 * z7 + 1482.0 * z5 - 1920.0 * z3 - 945.0 * z) / (92_160.0 * v.powi(4))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, wanted: f64, within: f64) {
        assert!((found - wanted).abs() <= within, "{found} instead of {wanted}");
    }

    /// Computed from `tau ln((M0 - E) / (G - E))` with a calculator to all printed digits.
    #[test]
    fn time_to_goal_and_moisture_after_a_day() {
        for (m0, tau, equilibrium, goal, days, after_one) in [
            (30.0, 2.0, 8.0, 10.0, 4.795_791, 21.343_674),
            (25.0, 1.5, 9.25, 12.0, 2.617_859, 17.336_320),
            (40.0, 3.0, 8.0, 16.0, 4.158_883, 30.929_002),
        ] {
            let fit = Fit { m0, tau, equilibrium, residual: None, spread: [[0.0; 2]; 2] };
            close(fit.time_to(goal).unwrap(), days, 1e-6);
            close(fit.at(1.0), after_one, 1e-6);
        }
    }

    /// SciPy 1.17.1 `curve_fit` on the same readings, E = 9.25: M0 28.00521 +- 0.05826, tau 2.950757 +- 0.019488,
    /// covariance -0.00070094, residual 0.064204; time to 12 %: 5.66507 d, error 0.03256, 95 % 5.561 to 5.769.
    #[test]
    fn least_squares_and_the_delta_method_agree_with_scipy() {
        let readings = [(0.0, 28.0), (1.0, 22.6), (2.0, 18.8), (3.0, 16.1), (4.0, 14.0)];
        let fit = fit(&readings, 9.25).unwrap();
        let residual = fit.residual.unwrap();
        close(fit.m0, 28.005_21, 1e-5);
        close(fit.tau, 2.950_757, 1e-6);
        close(residual, 0.064_204, 1e-6);
        close(fit.spread[0][0].sqrt() * residual, 0.058_26, 1e-5);
        close(fit.spread[1][1].sqrt() * residual, 0.019_488, 1e-6);
        close(fit.spread[0][1] * residual * residual, -0.000_700_94, 1e-7);
        let time = fit.time_to(12.0).unwrap();
        let error = fit.time_error(12.0, residual).unwrap();
        close(time, 5.665_07, 1e-5);
        close(error, 0.032_56, 1e-5);
        let half = student_t(1.959_963_985, 0.975, 3) * error;
        close(time - half, 5.561, 1e-3);
        close(time + half, 5.769, 1e-3);
    }

    /// The same readings at other equilibria: 5.12, 5.30, 5.67, 6.03, 7.01, 8.17 d to 12 % (SciPy, two decimals).
    #[test]
    fn the_assumed_equilibrium_dominates() {
        let readings = [(0.0, 28.0), (1.0, 22.6), (2.0, 18.8), (3.0, 16.1), (4.0, 14.0)];
        for (equilibrium, days) in [(7.0, 5.12), (8.0, 5.30), (9.25, 5.67), (10.0, 6.03), (11.0, 7.01), (11.5, 8.17)] {
            close(fit(&readings, equilibrium).unwrap().time_to(12.0).unwrap(), days, 0.005);
        }
    }

    #[test]
    fn no_curve_through_rising_readings_or_below_the_equilibrium() {
        assert_eq!(fit(&[(0.0, 20.0), (1.0, 21.0)], 9.0), None);
        assert_eq!(fit(&[(0.0, 20.0), (1.0, 8.0)], 9.0), None);
        assert_eq!(fit(&[(0.0, 20.0)], 9.0), None);
        assert_eq!(fit(&[(1.0, 20.0), (1.0, 18.0)], 9.0), None);
    }

    #[test]
    fn a_goal_at_the_equilibrium_has_no_time() {
        let fit = fit(&[(0.0, 20.0), (1.0, 15.0), (2.0, 12.0)], 9.0).unwrap();
        assert_eq!(fit.time_to(9.0), None);
        assert_eq!(fit.time_error(9.0, 0.3), None);
    }

    /// Student's t at 0.975: 12.706, 4.303, 3.182, 2.776, 2.228 for 1, 2, 3, 4, 10 degrees of freedom (printed tables).
    #[test]
    fn quantiles_of_student_t() {
        for (freedom, wanted) in [(1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (10, 2.228)] {
            close(student_t(1.959_963_985, 0.975, freedom), wanted, 0.005);
        }
    }
}
