//! The invitation: a secret that pairs one tablet once, within minutes and a few tries.

use crate::server::chance::{Print, digits, hex_secret, print_of, same};

/// After so many wrong tries an invitation is spent: 5 tries at 100,000,000 codes.
pub(super) const TRIES: u32 = 5;

/// An invitation, as the maker's page shows it.
pub(crate) struct Invitation {
    /// Eight digits, to be typed.
    pub code: String,
    /// What the QR code carries, 128 bits.
    pub secret: String,
    /// When it ends, in seconds since 1970.
    pub ends_at: i64,
    /// For how long what is paired with it stays paired, seconds.
    pub pairs_for: i64,
    tries_left: u32,
    prints: [Print; 2],
}

impl Invitation {
    /// A fresh one.
    pub fn new(ends_at: i64, pairs_for: i64) -> Result<Self, String> {
        let (code, secret) = (digits::<8>()?, hex_secret::<16>()?);
        Ok(Self {
            prints: [print_of(&code), print_of(&secret)],
            code,
            secret,
            ends_at,
            pairs_for,
            tries_left: TRIES,
        })
    }

    /// The code as it is read out: two groups of four.
    pub fn code_in_groups(&self) -> String {
        format!("{} {}", &self.code[..4], &self.code[4..])
    }
}

/// What stands at the invitation's place on the maker's page.
#[derive(Default)]
pub(crate) enum Standing {
    /// None was asked for yet, or the bench was closed.
    #[default]
    None,
    /// It waits for its tablet.
    Waiting(Invitation),
    /// It paired a tablet of this name.
    Used(String),
    /// It met too many wrong tries.
    Spent,
    /// Its time was over.
    Over,
}

impl Standing {
    /// Takes the time into account.
    pub fn pass(&mut self, now: i64) {
        if matches!(self, Standing::Waiting(invitation) if now >= invitation.ends_at) {
            *self = Standing::Over;
        }
    }

    /// Whether what was typed, or read from the QR code, is right. For how many seconds it pairs.
    ///
    /// A right one is taken away at once, so that it holds for one tablet only; a wrong one counts.
    pub fn answer(&mut self, said: &str, now: i64) -> Option<i64> {
        self.pass(now);
        let Standing::Waiting(invitation) = self else {
            return None;
        };
        let print = print_of(said);
        // Both are compared, always: the time tells nothing.
        let right = same(&print, &invitation.prints[0]) | same(&print, &invitation.prints[1]);
        if right {
            let pairs_for = invitation.pairs_for;
            *self = Standing::Used(String::new());
            return Some(pairs_for);
        }
        invitation.tries_left = invitation.tries_left.saturating_sub(1);
        if invitation.tries_left == 0 {
            *self = Standing::Spent;
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fresh() -> (Standing, String, String) {
        let invitation = Invitation::new(1_300, 60).expect("there is chance");
        let (code, secret) = (invitation.code.clone(), invitation.secret.clone());
        (Standing::Waiting(invitation), code, secret)
    }

    #[test]
    fn code_and_secret_pair_once_between_them() {
        for by_code in [true, false] {
            let (mut standing, code, secret) = fresh();
            let said = if by_code { &code } else { &secret };
            assert_eq!(standing.answer(said, 1_000), Some(60));
            assert_eq!(standing.answer(&code, 1_000), None);
            assert_eq!(standing.answer(&secret, 1_000), None);
            assert!(matches!(standing, Standing::Used(_)));
        }
    }

    #[test]
    fn a_late_one_does_not_hold() {
        let (mut standing, code, _) = fresh();
        assert_eq!(standing.answer(&code, 1_300), None);
        assert!(matches!(standing, Standing::Over));
        let (mut standing, code, _) = fresh();
        assert_eq!(standing.answer(&code, 1_299), Some(60));
    }

    #[test]
    fn after_five_wrong_tries_the_right_one_no_longer_holds() {
        let (mut standing, code, _) = fresh();
        for _ in 0..4 {
            assert_eq!(standing.answer("no", 1_000), None);
        }
        assert!(matches!(standing, Standing::Waiting(_)));
        assert_eq!(standing.answer("no", 1_000), None);
        assert!(matches!(standing, Standing::Spent));
        assert_eq!(standing.answer(&code, 1_000), None);
        let (mut standing, code, _) = fresh();
        assert!((0..4).all(|_| standing.answer("no", 1_000).is_none()));
        assert_eq!(standing.answer(&code, 1_000), Some(60));
    }

    #[test]
    fn nothing_typed_pairs_nothing() {
        assert_eq!(Standing::None.answer("", 1_000), None);
        let (mut standing, ..) = fresh();
        assert_eq!(standing.answer("", 1_000), None);
    }
}
