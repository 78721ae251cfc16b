//! Figures that were worked out lately. A page tells what is beside what was, and its later parts
//! rest on its own figures again: all of these were worked out for the page before.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use bench::Kit;
use bench::effort::WearRate;
use instrument::format::Faults;
use instrument::read_commission;

use crate::source::no_files;
use crate::view::Figures;

/// So many are kept: what two windows show and where they came from, and some for going back.
const MOST_KEPT: usize = 12;

/// All that figures rest on: with the same they are the same.
#[derive(Clone, PartialEq)]
struct Grounds {
    text: String,
    /// The kit's text, and how fast its abrasives cut.
    kit: Option<(String, WearRate)>,
}

/// A sound kit with its text, and how fast its abrasives cut.
#[derive(Clone, Copy)]
pub struct Planned<'k> {
    /// The kit.
    pub kit: &'k Kit,
    /// Its text.
    pub text: &'k str,
    /// How fast its abrasives cut.
    pub wear: WearRate,
}

/// The figures worked out lately, the newest first.
#[derive(Default)]
pub struct Known {
    kept: Mutex<VecDeque<(Grounds, Arc<Figures>)>>,
}

impl Known {
    /// All figures of a text.
    ///
    /// # Errors
    /// The faults of the text.
    pub fn figures(&self, text: &str, kit: Option<Planned<'_>>) -> Result<Arc<Figures>, Faults> {
        let grounds = Grounds {
            text: text.to_owned(),
            kit: kit.map(|kit| (kit.text.to_owned(), kit.wear)),
        };
        if let Some(found) = self.find(&grounds) {
            return Ok(found);
        }
        let instrument = read_commission(text, &no_files)?;
        let kit = kit.map(|kit| (kit.kit, kit.wear));
        let figures = Arc::new(Figures::of(instrument, kit));
        self.keep(grounds, &figures);
        Ok(figures)
    }

    /// Found ones come first again, so that those go that nothing asks for.
    fn find(&self, grounds: &Grounds) -> Option<Arc<Figures>> {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let place = kept.iter().position(|(known, _)| known == grounds)?;
        let found = kept.remove(place)?;
        let figures = found.1.clone();
        kept.push_front(found);
        Some(figures)
    }

    fn keep(&self, grounds: Grounds, figures: &Arc<Figures>) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.push_front((grounds, figures.clone()));
        kept.truncate(MOST_KEPT);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    fn text(overhang: usize) -> String {
        let text = demo::COMMISSIONS[0].text;
        let changed = text.replace("overhang = \"", &format!("overhang = \"{overhang}"));
        assert_ne!(text, changed);
        changed
    }

    #[test]
    fn what_was_worked_out_is_handed_out_again() {
        let known = Known::default();
        let first = known.figures(&text(1), None).expect("is sound");
        assert!(Arc::ptr_eq(
            &first,
            &known.figures(&text(1), None).expect("is sound")
        ));
        let other = known.figures(&text(2), None).expect("is sound");
        assert_ne!(first.instrument.outline.end, other.instrument.outline.end);
    }

    #[test]
    fn another_kit_or_wear_rate_gives_other_figures() {
        let kit = bench::read_kit(demo::KIT.text).expect("the demo is sound");
        let known = Known::default();
        let planned = |text, reference| {
            let mut wear = WearRate::from_logs(&[], kit.hand);
            wear.reference *= reference;
            let planned = Planned {
                kit: &kit,
                text,
                wear,
            };
            known.figures(demo::COMMISSIONS[0].text, Some(planned))
        };
        let minutes = |figures: &Figures| figures.plan.as_ref().expect("has a kit").minutes();
        let first = planned(demo::KIT.text, 1.0).expect("is sound");
        let slower = planned(demo::KIT.text, 0.5).expect("is sound");
        assert!(minutes(&slower) > minutes(&first));
        let renamed = planned("another text", 1.0).expect("is sound");
        assert!(!Arc::ptr_eq(&first, &renamed));
        let bare = known.figures(demo::COMMISSIONS[0].text, None);
        assert!(bare.expect("is sound").plan.is_none());
    }

    #[test]
    fn what_nothing_asks_for_goes_and_what_is_asked_for_stays() {
        let known = Known::default();
        let first = known.figures(&text(1), None).expect("is sound");
        for overhang in 2..=MOST_KEPT + 3 {
            known.figures(&text(overhang), None).expect("is sound");
            let again = known.figures(&text(1), None).expect("is sound");
            assert!(Arc::ptr_eq(&first, &again));
        }
        assert_eq!(known.kept.lock().expect("is whole").len(), MOST_KEPT);
    }

    #[test]
    fn faults_are_told_each_time() {
        let known = Known::default();
        for _ in 0..2 {
            assert!(known.figures("title = 1\n", None).is_err());
        }
        assert!(known.kept.lock().expect("is whole").is_empty());
    }
}
