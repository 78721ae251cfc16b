//! Labels in a row, moved apart as little as will do.

/// Places at least `gap` apart, in the order of the wanted ones, with the least sum of squared
/// moves. The wanted places rise.
///
/// With `gap` taken out of every place the answer is the best rising sequence: neighbours that
/// fall are pooled at their mean.
///
/// References: Ayer, Brunk, Ewing, Reid and Silverman, An empirical distribution function for
/// sampling with incomplete information, Ann. Math. Statist. 26 (1955) 641 (from memory).
pub(super) fn spread(wanted: &[f64], gap: f64) -> Vec<f64> {
    // Each pool: the sum of its places less their gaps, and how many they are.
    let mut pools: Vec<(f64, usize)> = Vec::with_capacity(wanted.len());
    for (index, place) in wanted.iter().enumerate() {
        let mut pool = (place - gap * index as f64, 1);
        while let Some(before) = pools.pop_if(|before| mean(*before) > mean(pool)) {
            pool = (pool.0 + before.0, pool.1 + before.1);
        }
        pools.push(pool);
    }
    let pooled = pools
        .iter()
        .flat_map(|pool| std::iter::repeat_n(mean(*pool), pool.1));
    pooled
        .enumerate()
        .map(|(index, place)| place + gap * index as f64)
        .collect()
}

fn mean((sum, count): (f64, usize)) -> f64 {
    sum / count as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_with_room_stay() {
        assert_eq!(spread(&[0.0, 5.0, 9.0], 3.0), [0.0, 5.0, 9.0]);
        assert!(spread(&[], 3.0).is_empty());
    }

    #[test]
    fn crowded_places_move_apart_about_their_mean() {
        let places = spread(&[0.0, 10.0, 10.5, 11.0, 30.0], 3.0);
        let wanted = [0.0, 7.5, 10.5, 13.5, 30.0];
        for (place, wanted) in places.iter().zip(wanted) {
            assert!((place - wanted).abs() < 1e-12, "{places:?}");
        }
    }

    #[test]
    fn a_hundred_places_on_one_spot_keep_their_gaps() {
        let places = spread(&[1.0; 100], 2.5);
        assert!(
            places
                .windows(2)
                .all(|pair| (pair[1] - pair[0] - 2.5).abs() < 1e-9)
        );
        assert!((places.iter().sum::<f64>() / 100.0 - 1.0).abs() < 1e-9);
    }
}
