//! What the trials of playing share: an instrument's strings over random fret tops.

use instrument::{Instrument, read_commission};
use play::buzz::{Pluck, margin_mm};
use play::sheet;
use play::strings::StringFigures;
use play::strung::{Heights, StringLine};
use play::tops::{Basis, Tops};
use trials::{Chance, Played};

pub fn read_played(played: &Played) -> (Instrument, Vec<StringFigures>) {
    let text = played.to_toml();
    let instrument = read_commission(&text, &|_| Err("no files".into()))
        .unwrap_or_else(|faults| panic!("{faults}\n{text}"));
    let strings = sheet(&instrument, None).strings;
    (instrument, strings)
}

/// The planned tops, every one a little off by chance.
pub fn rough_tops<'a>(instrument: &'a Instrument, chance: &mut Chance, sigma_mm: f64) -> Tops<'a> {
    let mut tops = Tops::planned(instrument);
    tops.basis = Basis::Frets;
    for lane in &mut tops.departure_mm {
        for top in lane.iter_mut().skip(1) {
            *top = sigma_mm * chance.bell();
        }
    }
    tops
}

pub fn pluck_of(instrument: &Instrument, force_n: f64) -> Pluck {
    Pluck {
        force_n,
        from_saddle_mm: instrument.wish.pluck_from_saddle_mm,
    }
}

/// Every stop of a string with every fret ahead.
pub fn pairs(line: &StringLine) -> impl Iterator<Item = (usize, usize)> + use<> {
    let last = line.last_fret();
    (0..last).flat_map(move |stop| ((stop + 1)..=last).map(move |fret| (stop, fret)))
}

/// The margin over one fret with a pluck.
pub fn margin(
    line: &StringLine,
    heights: Heights,
    relief_mm: f64,
    pluck: Pluck,
    pair: (usize, usize),
) -> f64 {
    let tension_n = line.tension_n.expect("its pull is known");
    let sweep = pluck.sweep(tension_n, line.sounding_mm(pair.0));
    margin_mm(line, heights, relief_mm, sweep, pair)
}

/// The least margin of one string over all stops.
pub fn least_margin(line: &StringLine, heights: Heights, relief_mm: f64, pluck: Pluck) -> f64 {
    pairs(line)
        .map(|pair| margin(line, heights, relief_mm, pluck, pair))
        .fold(f64::INFINITY, f64::min)
}
