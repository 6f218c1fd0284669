//! Where words stand beside the ends of lines, so that none covers another.

/// Moves wanted places apart by at least `gap`, inside `low..=high`, keeping their order and moving them as little as may be
/// (least squares). Where there is no room for the gap, it is made smaller. Gives the places in the order given.
///
/// Method: with the i-th place in order written as `q_i + i * gap`, the gaps hold exactly when the `q` do not fall, so the
/// nearest such `q` is an isotonic regression (pool adjacent violators), cut to the room there is.
pub fn spread(wanted: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    let count = wanted.len();
    if count == 0 {
        return Vec::new();
    }
    let room = (high - low).max(0.0);
    let gap = gap.min(room / (count.max(2) - 1) as f64);
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|&a, &b| wanted[a].total_cmp(&wanted[b]));
    // Pools of places that touch: their sum and how many.
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (rank, &at) in order.iter().enumerate() {
        let mut pool = (wanted[at] - rank as f64 * gap, 1usize);
        while let Some(&(sum, n)) = pools.last() {
            if sum / n as f64 <= pool.0 / pool.1 as f64 {
                break;
            }
            pool = (pool.0 + sum, pool.1 + n);
            pools.pop();
        }
        pools.push(pool);
    }
    let last = low.max(high - (count - 1) as f64 * gap);
    let mut places = vec![0.0; count];
    let mut rank = 0;
    for (sum, n) in pools {
        let q = (sum / n as f64).clamp(low, last);
        for _ in 0..n {
            places[order[rank]] = q + rank as f64 * gap;
            rank += 1;
        }
    }
    places
}

/// The text, cut to `most` characters with an ellipsis where it is longer.
pub fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        text.to_string()
    } else {
        text.chars().take(most.saturating_sub(1)).chain(['\u{2026}']).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn apart_places_stay_and_close_ones_share_the_move() {
        assert_eq!(spread(&[10.0, 50.0], 12.0, 0.0, 100.0), [10.0, 50.0]);
        assert_eq!(spread(&[50.0, 50.0], 12.0, 0.0, 100.0), [44.0, 56.0]);
        assert_eq!(spread(&[99.0, 98.0], 12.0, 0.0, 100.0), [100.0, 88.0]);
        assert_eq!(spread(&[5.0, 5.0, 5.0], 40.0, 0.0, 60.0), [0.0, 30.0, 60.0]);
        assert_eq!(spread(&[7.0], 40.0, 0.0, 60.0), [7.0]);
    }

    #[test]
    fn long_names_are_cut_between_characters() {
        assert_eq!(cut("Flughafen", 9), "Flughafen");
        assert_eq!(cut("Flugh\u{e4}fen-Nord", 7), "Flugh\u{e4}\u{2026}");
    }
}
