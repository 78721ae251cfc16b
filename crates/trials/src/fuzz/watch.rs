//! A watch over the input that is being tried: one that does not end is told all the same.

use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use super::LONGEST;

/// How often it looks.
const EVERY: Duration = Duration::from_millis(200);

/// The input that is being tried, and since when.
#[derive(Clone, Debug)]
pub struct Watch(Arc<Mutex<Now>>);

#[derive(Debug)]
struct Now {
    number: u64,
    since: Instant,
    input: Vec<u8>,
}

impl Watch {
    /// Starts watching; `told` is called once for every input that takes longer than
    /// [`LONGEST`], then again each time its time has doubled.
    pub fn start(told: impl Fn(u64, Duration, &[u8]) + Send + 'static) -> Self {
        let watch = Self(Arc::new(Mutex::new(Now {
            number: 0,
            since: Instant::now(),
            input: Vec::new(),
        })));
        let seen = Arc::downgrade(&watch.0);
        thread::spawn(move || {
            let (mut number, mut next) = (0, LONGEST);
            while let Some(now) = seen.upgrade() {
                {
                    let now = now.lock().unwrap_or_else(PoisonError::into_inner);
                    if now.number != number {
                        (number, next) = (now.number, LONGEST);
                    }
                    let waited = now.since.elapsed();
                    if !now.input.is_empty() && waited > next {
                        told(now.number, waited, &now.input);
                        next = waited * 2;
                    }
                }
                drop(now);
                thread::sleep(EVERY);
            }
        });
        watch
    }

    /// Notes what is tried from now on.
    pub fn see(&self, number: u64, input: &[u8]) {
        let mut now = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        now.number = number;
        now.since = Instant::now();
        now.input.clear();
        now.input.extend_from_slice(input);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::channel;

    #[test]
    fn an_input_that_does_not_end_is_told() {
        let (say, heard) = channel();
        let watch = Watch::start(move |number, _, input| {
            let _nobody_listens = say.send((number, input.to_vec()));
        });
        watch.see(7, b"round and round");
        let told = heard.recv_timeout(Duration::from_secs(20));
        assert_eq!(told, Ok((7, b"round and round".to_vec())));
    }
}
