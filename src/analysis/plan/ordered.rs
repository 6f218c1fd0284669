//! Order statistics of simulated values.

/// The `ceil(share n)`-th smallest of the values; `None` when there are none.
pub fn ordered(values: &mut [f64], share: f64) -> Option<f64> {
    let place = (share * values.len() as f64 - 1e-9).ceil().max(1.0) as usize;
    let at = place.min(values.len()).checked_sub(1)?;
    let (_, value, _) = values.select_nth_unstable_by(at, f64::total_cmp);
    Some(*value)
}

/// Mean of simulated values and its standard error; `None` when there are none.
pub fn mean_and_error(values: &[f64]) -> Option<(f64, f64)> {
    let count = values.len() as f64;
    if values.is_empty() {
        return None;
    }
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    let error = (squares / (count - 1.0).max(1.0) / count).sqrt();
    Some((mean, error))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_hand() {
        let mut ten: Vec<f64> = (1..=10).rev().map(f64::from).collect();
        assert_eq!(ordered(&mut ten, 0.9), Some(9.0));
        assert_eq!(ordered(&mut ten, 0.91), Some(10.0));
        assert_eq!(ordered(&mut ten, 0.5), Some(5.0));
        assert_eq!(ordered(&mut ten, 0.01), Some(1.0));
        assert_eq!(ordered(&mut [], 0.5), None);
        // 0.9 x 10,000 is 9,000 and a little more in doubles.
        let mut many: Vec<f64> = (1..=10_000).map(f64::from).collect();
        assert_eq!(ordered(&mut many, 0.9), Some(9_000.0));
        // Variance of 1, 2, 3 is 1: the error of the mean is 1/sqrt(3).
        let (mean, error) = mean_and_error(&[1.0, 2.0, 3.0]).unwrap();
        assert_eq!(mean, 2.0);
        assert!((error - 3f64.sqrt().recip()).abs() < 1e-15);
        assert_eq!(mean_and_error(&[]), None);
    }
}
