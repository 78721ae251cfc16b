//! Strings over their frets: each string's own line, and the heights at which it is set.
//!
//! Every lane has a datum of its own: the straight line over its planned tops at the nut (as if a
//! fret stood there) and at the last fret, without relief. Heights of tops, nut and saddle are
//! counted from it, because a straight string knows nothing of the rest.

use instrument::Instrument;
use instrument::arc::drop;

use crate::bow::Bow;
use crate::strings::StringFigures;
use crate::tops::Tops;

/// One string over its frets. Index 0 of the lists is the nut.
#[derive(Clone, Debug, PartialEq)]
pub struct StringLine {
    /// Its length in plan, nut to saddle, mm.
    pub length_mm: f64,
    /// Its frets' places along it from the nut, mm.
    pub along_mm: Vec<f64>,
    /// Its frets' tops over the lane's datum, without relief, mm.
    pub top_mm: Vec<f64>,
    /// The bow at its frets, as a share of the relief.
    pub bow: Vec<f64>,
    /// The bow carried on to the saddle; negative.
    pub bow_at_saddle: f64,
    /// The datum at the nut and its slope, over the finished wood's crown at the nut, mm.
    pub datum: (f64, f64),
    /// The wood at the nut under the datum, mm.
    pub wood_at_nut_mm: f64,
    /// Its pull, N, when it is known.
    pub tension_n: Option<f64>,
    /// The fret over which action is measured.
    pub action_fret: usize,
}

/// The heights at which one string is set, mm over its lane's datum: its underside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heights {
    /// At the nut: the floor of its slot.
    pub nut_mm: f64,
    /// At the saddle.
    pub saddle_mm: f64,
}

/// How an instrument is set up.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// The neck's bow at its deepest, mm.
    pub relief_mm: f64,
    /// The strings, highest first.
    pub strings: Vec<Heights>,
}

/// All strings over their frets.
pub fn string_lines(tops: &Tops<'_>, strings: &[StringFigures]) -> Vec<StringLine> {
    let bow = Bow::of(tops.instrument);
    (0..tops.instrument.lanes.len())
        .map(|lane| {
            string_line(
                tops,
                &bow,
                lane,
                strings.get(lane).and_then(|s| s.tension_n),
            )
        })
        .collect()
}

fn string_line(tops: &Tops<'_>, bow: &Bow<'_>, index: usize, tension_n: Option<f64>) -> StringLine {
    let instrument = tops.instrument;
    let lane = &instrument.lanes[index];
    let places: Vec<(f64, f64)> = instrument
        .frets
        .iter()
        .map(|line| lane.cross(*line))
        .collect();
    let from_nut = |place: &(f64, f64)| (place.0 - lane.nut.0).hypot(place.1 - lane.nut.1);
    let along_mm: Vec<f64> = places.iter().map(from_nut).collect();
    let crown = instrument.fret_spec.crown_height_mm;
    let arch = |place: &(f64, f64)| crown - drop(instrument.camber.radius(place.0), place.1);
    let (first, last) = (places[0], places[places.len() - 1]);
    let run = along_mm[along_mm.len() - 1].max(f64::MIN_POSITIVE);
    let datum = (arch(&first), (arch(&last) - arch(&first)) / run);
    let top_mm = places
        .iter()
        .enumerate()
        .map(|(fret, place)| {
            let top = instrument.camber.height(place.0, place.1) + crown;
            top + tops.departure_mm[index][fret] - datum.0 - datum.1 * along_mm[fret]
        })
        .collect();
    StringLine {
        length_mm: lane.length(),
        bow: places.iter().map(|place| bow.at(place.0)).collect(),
        bow_at_saddle: bow.at(lane.saddle.0),
        top_mm,
        along_mm,
        datum,
        wood_at_nut_mm: crown - tops.departure_mm[index][0],
        tension_n,
        action_fret: instrument.action_fret(),
    }
}

impl StringLine {
    /// The last fret's number.
    pub fn last_fret(&self) -> usize {
        self.along_mm.len() - 1
    }

    /// What sounds when the string is stopped at a fret, mm; the whole string for 0.
    pub fn sounding_mm(&self, stop: usize) -> f64 {
        self.length_mm - self.along_mm[stop]
    }

    /// A fret's top over the datum under a relief, mm.
    pub fn top(&self, fret: usize, relief_mm: f64) -> f64 {
        self.top_mm[fret] - relief_mm * self.bow[fret]
    }

    /// Where the string rests when it is stopped at a fret: on its top, or in the nut's slot.
    pub fn rest(&self, stop: usize, heights: Heights, relief_mm: f64) -> f64 {
        match stop {
            0 => heights.nut_mm,
            stop => self.top(stop, relief_mm),
        }
    }

    /// The open string over a fret's top, mm.
    pub fn action(&self, fret: usize, heights: Heights, relief_mm: f64) -> f64 {
        let share = self.along_mm[fret] / self.length_mm;
        heights.nut_mm + share * (heights.saddle_mm - heights.nut_mm) - self.top(fret, relief_mm)
    }

    /// The heights that give the open string these actions over fret 1 and over the fret at which
    /// action is measured.
    pub fn heights_for(&self, over_1_mm: f64, over_12_mm: f64, relief_mm: f64) -> Heights {
        let far = self.action_fret;
        let far_mm = self.top(far, relief_mm) + over_12_mm;
        // A board of a single fret has no other place to measure at: the nut takes the first.
        let (near_along, near_mm) = if far > 1 {
            (self.along_mm[1], self.top(1, relief_mm) + over_1_mm)
        } else {
            (0.0, over_1_mm)
        };
        let slope = (far_mm - near_mm) / (self.along_mm[far] - near_along);
        let nut_mm = near_mm - slope * near_along;
        Heights {
            nut_mm,
            saddle_mm: nut_mm + slope * self.length_mm,
        }
    }
}

/// The set-up that the player asked for.
pub fn wished(instrument: &Instrument, lines: &[StringLine]) -> Setting {
    let wish = &instrument.wish;
    let between = lines.len().saturating_sub(1).max(1) as f64;
    let strings = lines.iter().enumerate().map(|(index, line)| {
        let action = wish.action_mm(index as f64 / between);
        line.heights_for(wish.action_at_1_mm, action, wish.relief_mm)
    });
    Setting {
        relief_mm: wish.relief_mm,
        strings: strings.collect(),
    }
}
