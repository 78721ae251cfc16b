//! The figures by which one moment's playing is told beside another's. They are kept with the
//! moment's other figures: the page after a change asks for those before it again.

use std::sync::OnceLock;

use play::levelling::Levelling;
use play::tops::Basis;
use play::{On, Playing, playing};

use crate::view::Figures;

/// How an instrument plays, in few figures; nothing where pull or stretch is not known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gist {
    /// The least air over the frets ahead under this player's pluck, mm.
    pub least_air_mm: Option<f64>,
    /// Where the first bend ends, cents.
    pub first_end_cents: Option<f64>,
    /// The mean of the lowest actions of all strings, mm.
    pub lowest_action_mm: Option<f64>,
    /// The farthest off in tune with the saddle set back alone, cents.
    pub out_of_tune_cents: Option<f64>,
}

impl Gist {
    /// The gist of a playing.
    pub fn of(playing: &Playing<'_>) -> Self {
        let tuning = playing.tuning().saddle_only.worst();
        Self {
            least_air_mm: playing.buzz.worst().map(|worst| worst.2.margin_mm),
            first_end_cents: playing.bends().least().map(|least| least.2.cents()),
            lowest_action_mm: mean_lowest_mm(playing),
            out_of_tune_cents: tuning.map(|worst| worst.2),
        }
    }
}

/// The mean of the lowest actions of all strings, mm; nothing when no string's pull is known.
fn mean_lowest_mm(playing: &Playing<'_>) -> Option<f64> {
    let strings = playing.lowest.strings.iter().flatten();
    let actions: Vec<f64> = strings.map(|string| string.action_mm).collect();
    (!actions.is_empty()).then(|| actions.iter().sum::<f64>() / actions.len() as f64)
}

/// What is told of an instrument's playing beside another moment's, on the surfaces that its own
/// text tells; each is worked out when it is first asked for.
#[derive(Clone, Debug, Default)]
pub struct Gists {
    planned: Kept,
    frets: Kept,
}

#[derive(Clone, Debug, Default)]
struct Kept {
    gist: OnceLock<Gist>,
    levelling: OnceLock<Levelling>,
}

impl Gists {
    /// Nothing for the wood of a visit, which is no part of the text.
    fn on(&self, basis: Basis) -> Option<&Kept> {
        match basis {
            Basis::Planned => Some(&self.planned),
            Basis::Frets => Some(&self.frets),
            Basis::Wood => None,
        }
    }
}

impl Figures {
    /// The gist of these figures' own playing.
    pub fn gist_of(&self, playing: &Playing<'_>) -> Gist {
        let gist = || Gist::of(playing);
        let kept = self.gists.on(playing.tops.basis);
        kept.map_or_else(gist, |kept| *kept.gist.get_or_init(gist))
    }

    /// The levelling of these figures' own playing.
    pub fn levelling_of(&self, playing: &Playing<'_>) -> Levelling {
        let kept = self.gists.on(playing.tops.basis);
        kept.map_or_else(
            || playing.levelling(),
            |kept| kept.levelling.get_or_init(|| playing.levelling()).clone(),
        )
    }

    /// The gist on such a surface; nothing on the wood of a visit: against another plan it would
    /// be another surface.
    pub fn gist_on(&self, basis: Basis) -> Option<Gist> {
        let kept = self.gists.on(basis)?;
        Some(*kept.gist.get_or_init(|| Gist::of(&self.played_on(basis))))
    }

    /// The levelling on such a surface; nothing on the wood of a visit, as before.
    pub fn levelling_on(&self, basis: Basis) -> Option<&Levelling> {
        let kept = self.gists.on(basis)?;
        let levelling = || self.played_on(basis).levelling();
        Some(kept.levelling.get_or_init(levelling))
    }

    fn played_on(&self, basis: Basis) -> Playing<'_> {
        let on = match basis {
            Basis::Frets => On::Frets,
            Basis::Planned | Basis::Wood => On::Planned,
        };
        playing(&self.instrument, &self.sheet.strings, on)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use crate::source::no_files;

    fn figures(file: &str) -> Figures {
        let text = demo::COMMISSIONS.iter().find(|text| text.file == file);
        let text = text.expect("the demo has it").text;
        let instrument = instrument::read_commission(text, &no_files).expect("the demo is sound");
        Figures::of(instrument, None)
    }

    #[test]
    fn asked_for_before_or_after_its_page_it_is_the_same() {
        let (page, alone) = (figures("sandpiper.toml"), figures("sandpiper.toml"));
        for (on, basis) in [(On::Planned, Basis::Planned), (On::Frets, Basis::Frets)] {
            let playing = playing(&page.instrument, &page.sheet.strings, on);
            assert_eq!(page.gist_of(&playing), Gist::of(&playing));
            assert_eq!(alone.gist_on(basis), Some(Gist::of(&playing)));
            assert_eq!(page.gist_on(basis), alone.gist_on(basis));
            assert_eq!(page.levelling_of(&playing), playing.levelling());
            assert_eq!(alone.levelling_on(basis), Some(&playing.levelling()));
        }
        let on = |basis| page.gist_on(basis).expect("is told by the text");
        assert_ne!(
            on(Basis::Planned),
            on(Basis::Frets),
            "its fret tops were read, and one is not home"
        );
        assert_eq!(page.gist_on(Basis::Wood), None);
    }
}
