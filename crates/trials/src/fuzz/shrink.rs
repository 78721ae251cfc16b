//! A failing input made as short as it goes.

/// So many shorter inputs are tried at the most.
const TRIES_MOST: usize = 4000;

/// The shortest input found by taking pieces out that still fails.
pub fn shrink(input: &[u8], mut fails: impl FnMut(&[u8]) -> bool) -> Vec<u8> {
    let mut shortest = input.to_vec();
    // Whatever fails only in company with what was tried before stays as it is.
    if !fails(&shortest) {
        return shortest;
    }
    let mut piece = shortest.len().div_ceil(2);
    let mut tries = 0;
    while piece > 0 && tries < TRIES_MOST {
        let mut at = 0;
        let mut shorter = false;
        while at < shortest.len() && tries < TRIES_MOST {
            tries += 1;
            let end = (at + piece).min(shortest.len());
            let candidate = [&shortest[..at], &shortest[end..]].concat();
            if fails(&candidate) {
                shortest = candidate;
                shorter = true;
            } else {
                at += piece;
            }
        }
        if !shorter || piece > 1 {
            piece /= 2;
        }
    }
    shortest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_matter_goes() {
        let input = b"some words before X and more of them between Y and after".to_vec();
        let fails = |bytes: &[u8]| {
            let x = bytes.iter().position(|byte| *byte == b'X');
            let y = bytes.iter().position(|byte| *byte == b'Y');
            matches!((x, y), (Some(x), Some(y)) if x < y)
        };
        assert_eq!(shrink(&input, fails), b"XY");
    }

    #[test]
    fn an_input_that_fails_once_only_stays_whole() {
        let mut first = true;
        let fails = |_: &[u8]| std::mem::take(&mut first);
        assert_eq!(shrink(b"abc", fails), b"abc");
    }
}
