//! Everything that is known of how an instrument will play, gathered into one value: pages, command
//! line, records and the set-up sheet read this and nothing else.

use std::sync::OnceLock;

use instrument::Instrument;
use readings::measured::Measured;

use crate::bend::{BendMap, BentString, bend_map};
use crate::buzz::{BuzzMap, Pluck, buzz_map};
use crate::chooser::{BendPlaces, BendWish};
use crate::fret_tops::{DoubtedTop, read_tops};
use crate::levelling::{Level, Levelling, levelling, proud};
use crate::lowest::{Lowest, Wanted, lowest, worth_of_levelling};
use crate::set_up::{SetUpFigures, set_up_figures};
use crate::strings::StringFigures;
use crate::strung::{Setting, StringLine, string_lines, wished};
use crate::tops::{Basis, Tops};
use crate::tuning::{Tuning, tuning};

/// On what surface it is played.
#[derive(Clone, Copy)]
pub enum On<'m, 'w> {
    /// The planned one.
    Planned,
    /// The wood as read in a visit.
    Wood(&'m Measured<'w>),
    /// The fret tops as read; the planned ones when none was.
    Frets,
}

/// The greatest relief that the lowest set-up may take, mm: common practice keeps under it, no
/// source.
pub const MOST_RELIEF_MM: f64 = 1.0;

/// How an instrument will play.
#[derive(Clone, Debug)]
pub struct Playing<'a> {
    /// The instrument.
    pub instrument: &'a Instrument,
    /// The fret tops.
    pub tops: Tops<'a>,
    /// Readings of fret tops that the others contradict.
    pub doubted: Vec<DoubtedTop>,
    /// The strings over their frets.
    pub lines: Vec<StringLine>,
    /// The set-up that was asked for.
    pub wished: Setting,
    /// Margins under this player's pluck.
    pub buzz: BuzzMap,
    /// Margins under a light player's.
    pub light: BuzzMap,
    /// Margins under a hard player's.
    pub hard: BuzzMap,
    /// The strings as bends stretch them.
    pub bent: Vec<Option<BentString>>,
    /// The lowest set-up free of buzz.
    pub lowest: Lowest,
    /// Figures to cut to.
    pub set_up: SetUpFigures,
    /// The strings at pitch.
    strings: &'a [StringFigures],
    /// What takes longer is worked out when it is first asked for.
    bends: OnceLock<BendMap>,
    tuning: OnceLock<Tuning>,
    levelling_worth_mm: OnceLock<Vec<f64>>,
}

/// How an instrument will play on a surface.
pub fn playing<'a>(
    instrument: &'a Instrument,
    strings: &'a [StringFigures],
    on: On<'_, '_>,
) -> Playing<'a> {
    let (tops, doubted) = match on {
        On::Planned => (Tops::planned(instrument), Vec::new()),
        On::Wood(measured) => (Tops::of_wood(instrument, measured), Vec::new()),
        On::Frets => read_tops(instrument).map_or_else(
            || (Tops::planned(instrument), Vec::new()),
            |read| (read.tops, read.doubted),
        ),
    };
    let lines = string_lines(&tops, strings);
    let wished = wished(instrument, &lines);
    let wish = &instrument.wish;
    let pluck = |force_n| Pluck {
        force_n,
        from_saddle_mm: wish.pluck_from_saddle_mm,
    };
    let buzz = |force_n| buzz_map(&tops, &lines, &wished, pluck(force_n));
    Playing {
        buzz: buzz(wish.pluck_force_n),
        light: buzz(wish.light_force_n),
        hard: buzz(wish.hard_force_n),
        bent: bent_strings(instrument, strings),
        lowest: lowest(&lines, lowest_wanted(instrument)),
        set_up: set_up_figures(instrument, &lines, &wished),
        bends: OnceLock::new(),
        tuning: OnceLock::new(),
        levelling_worth_mm: OnceLock::new(),
        strings,
        instrument,
        doubted,
        wished,
        lines,
        tops,
    }
}

/// The margins of the asked set-up on the planned surface, and nothing else.
pub fn planned_buzz(instrument: &Instrument, strings: &[StringFigures]) -> BuzzMap {
    let tops = Tops::planned(instrument);
    let lines = string_lines(&tops, strings);
    let wanted = lowest_wanted(instrument);
    buzz_map(&tops, &lines, &wished(instrument, &lines), wanted.pluck)
}

/// Where the asked set-up's bends end on the planned surface, and nothing else.
pub fn planned_bends(instrument: &Instrument, strings: &[StringFigures]) -> BendMap {
    let tops = Tops::planned(instrument);
    let lines = string_lines(&tops, strings);
    let bent = bent_strings(instrument, strings);
    let wished = wished(instrument, &lines);
    bend_map(&tops, &lines, &wished, &bent, instrument.wish.margin_mm)
}

/// What is asked of the lowest set-up by the wish.
pub fn lowest_wanted(instrument: &Instrument) -> Wanted {
    Wanted {
        pluck: Pluck {
            force_n: instrument.wish.pluck_force_n,
            from_saddle_mm: instrument.wish.pluck_from_saddle_mm,
        },
        margin_mm: instrument.wish.margin_mm,
        least_nut_mm: 0.0,
        relief_mm: (0.0, MOST_RELIEF_MM),
    }
}

/// The strings as bends stretch them; nothing where pull or stretch is not known.
pub fn bent_strings(instrument: &Instrument, strings: &[StringFigures]) -> Vec<Option<BentString>> {
    strings
        .iter()
        .map(|string| {
            let tension_n = string.tension_n?;
            Some(BentString {
                tension_n,
                stiffness_n: string.stretch.as_ref()?.stiffness_n(tension_n),
                length_mm: string.length_mm,
                behind_mm: instrument.behind_mm,
            })
        })
        .collect()
}

impl Playing<'_> {
    /// Where bends end.
    pub fn bends(&self) -> &BendMap {
        let asked_mm = self.instrument.wish.margin_mm;
        self.bends
            .get_or_init(|| bend_map(&self.tops, &self.lines, &self.wished, &self.bent, asked_mm))
    }

    /// Set-backs and cents.
    pub fn tuning(&self) -> &Tuning {
        self.tuning
            .get_or_init(|| tuning(self.instrument, &self.lines, &self.wished, self.strings))
    }

    /// For every fret, what a hundredth of a millimetre filed off its top in all lanes would change
    /// of the sum of the lowest actions, mm; index 0 is the nut.
    pub fn levelling_worth_mm(&self) -> &[f64] {
        self.levelling_worth_mm.get_or_init(|| {
            worth_of_levelling(&self.lines, lowest_wanted(self.instrument), &self.lowest)
        })
    }

    /// What seating and levelling the asked set-up needs.
    pub fn levelling(&self) -> Levelling {
        let work = &self.instrument.fretwork;
        let level = Level {
            pluck: self.buzz.pluck,
            margin_mm: self.instrument.wish.margin_mm,
            most_off_mm: self.instrument.fret_spec.crown_height_mm - work.least_crown_mm,
        };
        // Planned tops stand as drawn: nothing is to be seated there.
        let seat_first = match self.tops.basis {
            Basis::Frets => proud(&self.tops, &self.lines, work.seat_bound_mm),
            Basis::Planned | Basis::Wood => Vec::new(),
        };
        levelling(&self.lines, &self.wished, seat_first, level)
    }
}

/// The wished bends of an instrument laid out, for choosing a camber by them.
pub fn wished_bend_places<'a>(
    instrument: &'a Instrument,
    strings: &[StringFigures],
) -> BendPlaces<'a> {
    let lines = string_lines(&Tops::planned(instrument), strings);
    let wish = &instrument.wish;
    let wish = BendWish {
        cents: wish.bend_cents,
        margin_mm: wish.margin_mm,
        relief_mm: wish.relief_mm,
    };
    BendPlaces::of(instrument, &lines, &bent_strings(instrument, strings), wish)
}
