//! Secrets from the operating system's chance, their prints, and comparing them.

use sha2::{Digest, Sha256};

/// A print of a secret: what is kept of one that is not to be read from the book.
pub(super) type Print = [u8; 32];

/// What cannot be had is said in words: without chance nothing may be paired.
pub(super) const NO_CHANCE: &str =
    "the operating system gives no random numbers, so that no secret can be made";

/// So many random bytes, in hexadecimal.
pub(super) fn hex_secret<const BYTES: usize>() -> Result<String, String> {
    let mut bytes = [0; BYTES];
    getrandom::fill(&mut bytes).map_err(|error| format!("{NO_CHANCE}: {error}"))?;
    Ok(hex(&bytes))
}

/// Random digits, each as likely as the others.
pub(super) fn digits<const COUNT: usize>() -> Result<String, String> {
    let mut found = String::with_capacity(COUNT);
    while found.len() < COUNT {
        let mut byte = [0];
        getrandom::fill(&mut byte).map_err(|error| format!("{NO_CHANCE}: {error}"))?;
        // 250 is the greatest multiple of ten that a byte holds: above it some digits would be
        // likelier.
        if byte[0] < 250 {
            found.push(char::from(b'0' + byte[0] % 10));
        }
    }
    Ok(found)
}

pub(super) fn print_of(secret: &str) -> Print {
    Sha256::digest(secret.as_bytes()).into()
}

pub(super) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Whether two prints are the same, in a time that does not tell where they differ.
pub(super) fn same(one: &Print, other: &Print) -> bool {
    let differing = one
        .iter()
        .zip(other)
        .fold(0, |differing, (a, b)| differing | (a ^ b));
    std::hint::black_box(differing) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_print_is_sha_256() {
        // FIPS 180-4, the example for the message "abc" (NIST, "SHA-256 example", one block).
        assert_eq!(
            hex(&print_of("abc")),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn prints_that_differ_in_one_bit_are_not_the_same() {
        let print = print_of("abc");
        for bit in 0..256 {
            let mut other = print;
            other[bit / 8] ^= 1 << (bit % 8);
            assert!(!same(&print, &other), "bit {bit}");
        }
        assert!(same(&print, &print_of("abc")));
    }

    #[test]
    fn secrets_are_as_long_as_asked_and_differ() {
        let secrets: std::collections::BTreeSet<String> = (0..100)
            .map(|_| hex_secret::<32>().expect("there is chance"))
            .collect();
        assert_eq!(secrets.len(), 100);
        assert!(secrets.iter().all(|secret| secret.len() == 64));
    }

    #[test]
    fn digits_are_alike_likely() {
        let mut seen = [0_u32; 10];
        for _ in 0..2_500 {
            for digit in digits::<8>().expect("there is chance").bytes() {
                seen[usize::from(digit - b'0')] += 1;
            }
        }
        // 20,000 digits: 2000 of each, with a standard deviation of 42; seven of them are never
        // met by chance.
        assert!(
            seen.iter().all(|count| (1700..=2300).contains(count)),
            "{seen:?}"
        );
    }
}
