//! The faults of one text: listed up to a bound, and counted beyond it.

use instrument::{Fault, Faults};

/// So many faults are listed: more than a maker mends in one go, and a bound on memory.
const MOST_LISTED: usize = 100;

/// Faults found so far.
#[derive(Default)]
pub(super) struct FaultList {
    listed: Vec<Fault>,
    others: usize,
}

impl FaultList {
    /// Adds a fault at a line and a column; the words, message and way out, are only made when
    /// the fault is listed.
    pub fn add(
        &mut self,
        line: Option<usize>,
        place: &str,
        words: impl FnOnce() -> (String, String),
    ) {
        if self.listed.len() >= MOST_LISTED {
            self.others += 1;
            return;
        }
        let (message, way_out) = words();
        self.listed.push(Fault {
            place: place.to_owned(),
            line,
            message,
            way_out,
        });
    }

    /// All of them, with one more that counts those not listed.
    pub fn finish(mut self) -> Faults {
        if self.others > 0 {
            let faults = if self.others == 1 { "fault" } else { "faults" };
            self.listed.push(Fault {
                place: String::new(),
                line: None,
                message: format!("{} more {faults} are not listed", self.others),
                way_out: "mend those above and read again".to_owned(),
            });
        }
        Faults(self.listed)
    }
}
