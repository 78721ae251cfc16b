//! The tuning of an instrument as it is set: set-backs for every string, for a straight saddle and
//! for one shared set-back, the cents that each leaves, and what the maker's own errors cost.

use instrument::Instrument;

use crate::intonation::{
    Free, SetBack, Tuned, common_set_back, own_set_back, retuned, straight_saddle,
};
use crate::strings::StringFigures;
use crate::strung::{Heights, Setting, StringLine};

/// A slot off by this much is told, mm.
pub const SLOT_OFF_MM: f64 = 0.1;
/// An action off by this much is told, mm.
pub const ACTION_OFF_MM: f64 = 0.2;

/// The tuning of an instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Tuning {
    /// Every string by itself, highest first; nothing where its stretch is not known.
    pub strings: Vec<Option<TunedString>>,
    /// Saddle and nut each string for itself.
    pub own: Way,
    /// The saddle alone, each string for itself.
    pub saddle_only: Way,
    /// A straight saddle, slanted as is best.
    pub straight: Way,
    /// One set-back of saddle and nut for all strings.
    pub common: Way,
    /// No set-back.
    pub none: Way,
}

/// One way of setting back, for all strings.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// The set-backs, highest string first; nothing where the stretch is not known.
    pub set_back: Vec<Option<SetBack>>,
    /// The cents left at every fret, `[string][fret]`; index 0 is the open string.
    pub cents: Vec<Option<Vec<f64>>>,
}

impl Way {
    /// Root of the mean square over known strings and all frets, the open string counted, cents.
    pub fn rms_cents(&self) -> f64 {
        let known: Vec<Vec<f64>> = self.cents.iter().flatten().cloned().collect();
        crate::intonation::rms_cents(&known)
    }

    /// The note farthest off, by its string, fret and cents.
    pub fn worst(&self) -> Option<(usize, usize, f64)> {
        let all = self.cents.iter().enumerate().flat_map(|(string, cents)| {
            let notes = cents.iter().flatten().enumerate();
            notes.map(move |(fret, cents)| (string, fret, *cents))
        });
        all.max_by(|a, b| a.2.abs().total_cmp(&b.2.abs()))
    }
}

/// One string's tuning.
#[derive(Clone, Debug, PartialEq)]
pub struct TunedString {
    /// What its pitch depends on.
    pub model: Tuned,
    /// The most cents that any stop moves when its slot is off by [`SLOT_OFF_MM`].
    pub by_slot_cents: f64,
    /// The most cents that any stop moves when the action is off by [`ACTION_OFF_MM`].
    pub by_action_cents: f64,
}

/// The tuning of a set-up.
pub fn tuning(
    instrument: &Instrument,
    lines: &[StringLine],
    setting: &Setting,
    strings: &[StringFigures],
) -> Tuning {
    let cents: Vec<f64> = (1..instrument.frets.len())
        .map(|fret| instrument.tuning.cents(fret))
        .collect();
    let models: Vec<Option<Tuned>> = lines
        .iter()
        .zip(strings)
        .zip(&setting.strings)
        .map(|((line, string), heights)| {
            let stretch = string.stretch.as_ref()?;
            let stiffness = stretch.inharmonicity_clamped(line.length_mm);
            let tuned = Tuned::of(line, *heights, setting.relief_mm, &cents);
            Some(Tuned {
                kappa: stretch.kappa,
                stiffness,
                ..tuned
            })
        })
        .collect();
    let way = |set_back: Vec<Option<SetBack>>| way(instrument, &models, set_back);
    let each = |free| {
        let one = |model: &Option<Tuned>| Some(own_set_back(model.as_ref()?, free));
        way(models.iter().map(one).collect())
    };
    let own = each(Free::SaddleAndNut);
    let known: Vec<&Tuned> = models.iter().flatten().collect();
    let shared = common_set_back(&known, Free::SaddleAndNut);
    let same = |back: SetBack| {
        models
            .iter()
            .map(|model| model.as_ref().map(|_| back))
            .collect()
    };
    Tuning {
        saddle_only: each(Free::Saddle),
        straight: way(straight(instrument, &models)),
        common: way(same(shared)),
        none: way(same(SetBack::default())),
        strings: models
            .iter()
            .zip(&own.set_back)
            .map(|(model, back)| Some(tuned_string(model.as_ref()?, (*back)?)))
            .collect(),
        own,
    }
}

fn straight(instrument: &Instrument, models: &[Option<Tuned>]) -> Vec<Option<SetBack>> {
    let known = models.iter().zip(&instrument.lanes);
    let (strings, across): (Vec<&Tuned>, Vec<f64>) = known
        .filter_map(|(model, lane)| Some((model.as_ref()?, lane.saddle.1)))
        .unzip();
    let mut backs = straight_saddle(&strings, &across).into_iter();
    models
        .iter()
        .map(|model| model.as_ref().and_then(|_| backs.next()))
        .collect()
}

fn way(instrument: &Instrument, models: &[Option<Tuned>], set_back: Vec<Option<SetBack>>) -> Way {
    let left = |(string, model): (usize, &Option<Tuned>)| {
        let cents = model.as_ref()?.all_cents(set_back[string]?);
        Some(retuned(&cents, instrument.strings[string].tuned_at))
    };
    Way {
        cents: models.iter().enumerate().map(left).collect(),
        set_back,
    }
}

fn tuned_string(model: &Tuned, back: SetBack) -> TunedString {
    let most = |off: &Tuned| {
        let pairs = model.all_cents(back).into_iter().zip(off.all_cents(back));
        pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
    };
    let mut slots = model.clone();
    for fret in &mut slots.frets {
        fret.along_mm += SLOT_OFF_MM;
    }
    let higher = action_higher(model, ACTION_OFF_MM);
    TunedString {
        by_slot_cents: most(&slots),
        by_action_cents: most(&higher),
        model: model.clone(),
    }
}

/// The same string with its saddle raised so that it stands higher over the middle.
pub fn action_higher(model: &Tuned, by_mm: f64) -> Tuned {
    Tuned {
        heights: Heights {
            saddle_mm: model.heights.saddle_mm + 2.0 * by_mm,
            ..model.heights
        },
        ..model.clone()
    }
}
