//! The table `[scale]`: length or lengths, frets, tuning.

use crate::commission::TuningFiles;
use crate::format::{Desk, Entry};
use crate::scala::{read_scala, unusable};
use crate::scale::ScaleLength;
use crate::tuning::Tuning;

/// What `[scale]` says.
pub(super) struct Scale {
    pub length: ScaleLength,
    pub frets: usize,
    pub tuning: Tuning,
    pub a4_hz: f64,
}

pub(super) fn read(desk: &Desk<'_>, files: TuningFiles<'_>) -> Option<Scale> {
    let tuning = tuning(desk, files);
    let frets = desk.whole("frets").map(|given| given.value as usize);
    let a4_hz = if desk.has("a4") {
        desk.number("a4")?.value
    } else {
        440.0
    };
    let tuning = tuning?;
    let length = length(desk, &tuning)?;
    Some(Scale {
        length,
        frets: frets?,
        tuning,
        a4_hz,
    })
}

fn length(desk: &Desk<'_>, tuning: &Tuning) -> Option<ScaleLength> {
    let fanned = desk.has("bass") || desk.has("treble");
    if desk.has("length") {
        if fanned {
            desk.fault(
                "length",
                "one length and a fan's lengths are both given",
                "keep `length` for square frets, or `bass` and `treble` for a fan",
            );
            return None;
        }
        let length_mm = desk.length("length")?.value.mm();
        return Some(ScaleLength::Single { length_mm });
    }
    if !fanned {
        desk.fault(
            "length",
            "no scale length is given",
            "write length = \"635 mm\" (on the centreline), or bass and treble for a fan",
        );
        return None;
    }
    for name in ["bass", "treble"] {
        if !desk.has(name) {
            desk.fault(
                name,
                "a fan needs two lengths",
                "give both `bass` and `treble`",
            );
        }
    }
    let (bass, treble) = (desk.length("bass")?, desk.length("treble")?);
    let square_share = square_share(desk, tuning)?;
    Some(ScaleLength::Fanned {
        bass_mm: bass.value.mm(),
        treble_mm: treble.value.mm(),
        square_share,
    })
}

/// The share of the strings' length, from the nut, that stands square to the centreline.
fn square_share(desk: &Desk<'_>, tuning: &Tuning) -> Option<f64> {
    let Some(entry) = desk.entry("square_at") else {
        return Some(tuning.proportion(7));
    };
    match (entry.as_number(), entry.as_text()) {
        (Some(fret), _) if (0.0..=120.0).contains(&fret) => {
            let below = fret.floor() as usize;
            // Between two frets the place is shared out in pitch, as a fret there would be.
            let cents = tuning.cents(below)
                + fret.fract() * (tuning.cents(below + 1) - tuning.cents(below));
            Some(1.0 - (-cents / 1200.0).exp2())
        }
        (None, Some("nut")) => Some(0.0),
        (None, Some("saddle")) => Some(1.0),
        _ => {
            entry.wrong_kind("a fret from 0 to 120, \"nut\" or \"saddle\"", "7");
            None
        }
    }
}

fn tuning(desk: &Desk<'_>, files: TuningFiles<'_>) -> Option<Tuning> {
    let Some(entry) = desk.entry("tuning") else {
        return Some(Tuning::equal(12));
    };
    if entry.is_list() {
        return list_of_cents(desk, &entry);
    }
    let Some(text) = entry.as_text() else {
        entry.wrong_kind(
            "a tuning",
            "\"12 equal\", [200.0, 400.0, 1200.0] or \"file.scl\"",
        );
        return None;
    };
    if text.contains('\n') {
        return scala(desk, text);
    }
    if let Some(count) = text.trim().strip_suffix("equal") {
        return equal(desk, text, count.trim());
    }
    match files(text.trim()) {
        Ok(content) => scala(desk, &content),
        Err(why) => {
            desk.fault(
                "tuning",
                format!("the tuning file \"{}\" cannot be read: {why}", text.trim()),
                "write `12 equal`, a list of cents, or put the file's whole text between triple quotes",
            );
            None
        }
    }
}

fn equal(desk: &Desk<'_>, text: &str, count: &str) -> Option<Tuning> {
    match count.parse::<u32>() {
        Ok(count) if (1..=1200).contains(&count) => Some(Tuning::equal(count)),
        _ => {
            desk.fault(
                "tuning",
                format!("\"{text}\" does not say into how many steps the octave is divided"),
                "write for example \"12 equal\" or \"19 equal\" (1 to 1200 steps)",
            );
            None
        }
    }
}

fn list_of_cents(desk: &Desk<'_>, entry: &Entry<'_>) -> Option<Tuning> {
    let entries = entry.list()?;
    let mut cents = Vec::with_capacity(entries.len());
    for step in &entries {
        match step.as_number() {
            Some(number) => cents.push(number),
            None => step.wrong_kind("a number of cents", "[200.0, 400.0, 1200.0]"),
        }
    }
    if cents.len() < entries.len() {
        return None;
    }
    let name = format!("{} unequal steps", cents.len());
    Tuning::from_cents(name, cents)
        .map_err(|problem| desk.fault("tuning", unusable(&problem), "write rising cents"))
        .ok()
}

fn scala(desk: &Desk<'_>, text: &str) -> Option<Tuning> {
    read_scala(text)
        .map_err(|fault| {
            let place = if fault.line == 0 {
                String::new()
            } else {
                format!("line {}: ", fault.line)
            };
            desk.fault(
                "tuning",
                format!("in the Scala text, {place}{}", fault.message),
                "mend the .scl text, or write a list of cents",
            );
        })
        .ok()
}
