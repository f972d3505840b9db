//! A smooth density from samples: Gaussian kernels of one width.

/// Density of samples at points, from a Gaussian kernel of Silverman's width, mirrored at the bounds.
///
/// # Formula
/// ```text
/// f(x) = 1/(n h) Σ_i [φ((x − d_i)/h) + φ((x − 2a + d_i)/h) + φ((x − 2b + d_i)/h)]
/// h    = 0.9 min(s, IQR/1.34) n^(−1/5)
/// ```
/// s standard deviation of the n samples d, IQR their interquartile range, a and b the bounds; a bound that
/// is `None` has no mirror. Outside the bounds the density is 0.
/// # Shapes and units
/// Samples and points in one unit; densities in its inverse, one a point. `None` with fewer than two samples,
/// or with samples all alike, which have no density.
/// # Source
/// Silverman (1986), *Density Estimation for Statistics and Data Analysis*, equation 3.31 and §2.10
/// (mirroring), from memory.
/// # Example
/// ```
/// use pignut::internals::numerics::density::kernel_density;
/// let samples: Vec<f64> = (0..2000).map(|i| (i as f64 + 0.5) / 2000.0).collect();
/// let f = kernel_density(&samples, &[0.0, 0.5, 1.5], Some(0.0), Some(1.0)).unwrap();
/// // A flat density: 1 inside, right up to the bound, and 0 outside.
/// assert!((f[0] - 1.0).abs() < 1e-2 && (f[1] - 1.0).abs() < 1e-2 && f[2] == 0.0);
/// assert!(kernel_density(&[3.0; 9], &[3.0], None, None).is_none());
/// ```
pub fn kernel_density(
    samples: &[f64],
    at: &[f64],
    lower: Option<f64>,
    upper: Option<f64>,
) -> Option<Vec<f64>> {
    let width = silverman_width(samples)?;
    let scale = 1.0 / (samples.len() as f64 * width * (2.0 * std::f64::consts::PI).sqrt());
    let kernel = |distance: f64| (-0.5 * (distance / width).powi(2)).exp();
    let density = |x: f64| {
        if lower.is_some_and(|a| x < a) || upper.is_some_and(|b| x > b) {
            return 0.0;
        }
        let sum: f64 = samples
            .iter()
            .map(|d| {
                let mirrored = |bound: Option<f64>| bound.map_or(0.0, |b| kernel(x - 2.0 * b + d));
                kernel(x - d) + mirrored(lower) + mirrored(upper)
            })
            .sum();
        scale * sum
    };
    Some(at.iter().map(|x| density(*x)).collect())
}

/// Silverman's width of a Gaussian kernel, in the unit of the samples.
///
/// # Formula
/// See [`kernel_density`]; where the middle half of the samples coincides, s alone.
pub(crate) fn silverman_width(samples: &[f64]) -> Option<f64> {
    let n = samples.len() as f64;
    if samples.len() < 2 {
        return None;
    }
    let mean = samples.iter().sum::<f64>() / n;
    let sd = (samples.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
    let mut sorted = samples.to_vec();
    sorted.sort_by(f64::total_cmp);
    let quantile = |p: f64| sorted[((n - 1.0) * p).round() as usize];
    let middle = (quantile(0.75) - quantile(0.25)) / 1.34;
    let spread = if middle > 0.0 { sd.min(middle) } else { sd };
    (spread > 0.0 && spread.is_finite()).then(|| 0.9 * spread * n.powf(-0.2))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The density of normal quantiles is the normal density, to the smoothing's own bias.
    #[test]
    fn a_normal_sample_gives_back_its_density() {
        use statrs::distribution::{ContinuousCDF, Normal};
        let normal = Normal::new(2.0, 0.5).unwrap();
        let samples: Vec<f64> =
            (0..4000).map(|i| normal.inverse_cdf((f64::from(i) + 0.5) / 4000.0)).collect();
        let at: Vec<f64> = (0..400).map(|i| 0.01 * f64::from(i)).collect();
        let f = kernel_density(&samples, &at, None, None).unwrap();
        let total: f64 = f.iter().map(|v| v * 0.01).sum();
        assert!((total - 1.0).abs() < 1e-3, "{total}");
        // Peak 1/(0.5 √(2π)) = 0.79788, lowered by the kernel's width h to 1/√(0.25 + h²) of the same form.
        let h = silverman_width(&samples).unwrap();
        let peak = 1.0 / ((0.25 + h * h).sqrt() * (2.0 * std::f64::consts::PI).sqrt());
        assert!((f[200] - peak).abs() < 2e-3 && (h - 0.0857).abs() < 1e-3, "{} {peak} {h}", f[200]);
    }
}
