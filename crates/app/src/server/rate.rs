//! How often somebody may ask: a bucket of tokens each, refilled at a steady rate.

use std::collections::HashMap;
use std::hash::Hash;
use std::time::{Duration, Instant};

/// So many askers are told apart at a time; those whose buckets are full again are forgotten.
const MOST_ASKERS: usize = 1024;

/// How often is often enough.
#[derive(Clone, Copy, Debug)]
pub struct Rate {
    /// Requests that may come at once.
    pub at_once: f64,
    /// Requests a second that may come for long.
    pub a_second: f64,
}

impl Rate {
    /// For devices that are not paired: pages, what they load, and a few tries for each of several
    /// that are paired on one morning. Guessing codes is hindered by their few tries, not by this.
    pub const STRANGER: Rate = Rate {
        at_once: 60.0,
        a_second: 2.0,
    };
    /// For a paired tablet: all stages of a plan at once, and readings as fast as a hand enters.
    pub const PAIRED: Rate = Rate {
        at_once: 200.0,
        a_second: 10.0,
    };
}

struct Bucket {
    tokens: f64,
    at: Instant,
}

/// The buckets of all that ask.
pub(super) struct Buckets<K> {
    rate: Rate,
    buckets: HashMap<K, Bucket>,
}

impl<K: Hash + Eq> Buckets<K> {
    pub fn new(rate: Rate) -> Self {
        Self {
            rate,
            buckets: HashMap::new(),
        }
    }

    /// Takes a token; how long to wait when there is none.
    pub fn take(&mut self, asker: K, now: Instant) -> Result<(), Duration> {
        let rate = self.rate;
        if self.buckets.len() >= MOST_ASKERS && !self.buckets.contains_key(&asker) {
            self.buckets
                .retain(|_, bucket| bucket.tokens_at(rate, now) < rate.at_once);
            if self.buckets.len() >= MOST_ASKERS {
                return Err(Duration::from_secs_f64(1.0 / rate.a_second));
            }
        }
        let bucket = self.buckets.entry(asker).or_insert(Bucket {
            tokens: rate.at_once,
            at: now,
        });
        let tokens = bucket.tokens_at(rate, now);
        let has_one = tokens >= 1.0;
        *bucket = Bucket {
            tokens: if has_one { tokens - 1.0 } else { tokens },
            at: now,
        };
        if has_one {
            Ok(())
        } else {
            Err(Duration::from_secs_f64((1.0 - tokens) / rate.a_second))
        }
    }
}

impl Bucket {
    fn tokens_at(&self, rate: Rate, now: Instant) -> f64 {
        let since = now.saturating_duration_since(self.at).as_secs_f64();
        (self.tokens + since * rate.a_second).min(rate.at_once)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: Rate = Rate {
        at_once: 3.0,
        a_second: 0.5,
    };

    #[test]
    fn a_bucket_gives_what_it_holds_and_then_at_its_rate() {
        let mut buckets = Buckets::new(RATE);
        let start = Instant::now();
        for _ in 0..3 {
            assert!(buckets.take("one", start).is_ok());
        }
        // One token in two seconds: closed form.
        assert_eq!(buckets.take("one", start), Err(Duration::from_secs(2)));
        assert!(buckets.take("other", start).is_ok());
        let later = start + Duration::from_secs(2);
        assert!(buckets.take("one", later).is_ok());
        assert!(buckets.take("one", later).is_err());
        let much_later = start + Duration::from_secs(3600);
        assert!((0..3).all(|_| buckets.take("one", much_later).is_ok()));
        assert!(
            buckets.take("one", much_later).is_err(),
            "no more than it holds"
        );
    }

    #[test]
    fn a_crowd_takes_no_more_memory_than_allowed_and_those_before_it_are_served() {
        let mut buckets = Buckets::new(RATE);
        let now = Instant::now();
        assert!(buckets.take(0, now).is_ok());
        for asker in 1..10_000 {
            let _refused_when_there_are_too_many = buckets.take(asker, now);
        }
        assert!(buckets.buckets.len() <= MOST_ASKERS);
        assert!(buckets.take(0, now).is_ok());
        let later = now + Duration::from_secs(10);
        assert!(
            buckets.take(20_000, later).is_ok(),
            "full buckets are forgotten"
        );
    }
}
