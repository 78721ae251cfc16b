//! Cambers to choose from: those that the shop's own blocks lead to, beside the present one, each with
//! what it does to the wish, to the wood and to the work.
//!
//! A camber that the board cannot bear (its edge would be too thin, its arch tighter than it is
//! wide) is left out and counted.

use bench::Kit;
use instrument::camber::Law;
use instrument::{COMMISSION_KEYS, Instrument, read_commission};

use crate::edit::{self, EditFault};
use crate::source::no_files;
use crate::view::{Figures, View};

/// Two radii nearer than this are the same camber, mm.
const SAME_MM: f64 = 0.05;
/// So many radii of blocks are paired at most, the tightest: each more asks for a row with every
/// other one. No set of blocks that is sold has as many (common practice, no source).
const MOST_RADII: usize = 16;
/// Every key that says how a camber runs along the board.
const RADIUS_KEYS: [&str; 4] = [
    "camber.radius",
    "camber.nut",
    "camber.last_fret",
    "camber.at",
];

/// How a camber came to be a choice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// It is the present one.
    Present,
    /// One owned block shapes it from end to end.
    OneBlock,
    /// Owned blocks begin and end it.
    TwoBlocks,
    /// The cone of the strings over the present radius at the nut.
    Strings,
    /// The tightest last fret that grants the wished bends over the present radius at the nut.
    Tightest,
}

/// A camber written as the file writes it.
#[derive(Clone, Debug, PartialEq)]
pub struct Written {
    /// The law's name.
    pub law: &'static str,
    /// The keys under `camber` that it sets, with their values.
    pub values: Vec<(&'static str, String)>,
}

impl Written {
    /// One radius from end to end.
    pub fn one_radius(radius: String) -> Self {
        Self {
            law: "single",
            values: vec![("radius", radius)],
        }
    }

    /// A cone from one radius at the nut to another at the last fret.
    pub fn cone(nut: String, last_fret: String) -> Self {
        Self {
            law: "cone",
            values: vec![("nut", nut), ("last_fret", last_fret)],
        }
    }

    /// The cone of the strings over a radius at the nut.
    pub fn string_cone(nut: String) -> Self {
        Self {
            law: "string cone",
            values: vec![("nut", nut)],
        }
    }

    /// Radii at stations, a list in TOML.
    pub fn stations(at: String) -> Self {
        Self {
            law: "stations",
            values: vec![("at", at)],
        }
    }
}

/// A radius as a person would type it, to a micrometre.
pub fn radius_text(mm: f64) -> String {
    format!("{} mm", (mm * 1e3).round() / 1e3)
}

/// One camber to choose.
pub struct Choice {
    /// Why it is one.
    pub reason: Reason,
    /// How it is written; nothing for the present one.
    pub written: Option<Written>,
    /// The instrument with it.
    pub figures: Figures,
    /// Places at which a wished bend chokes; nothing when no string's stretch is known.
    pub choked: Option<usize>,
    /// Where the first bend ends, cents; nothing when no string's stretch is known.
    pub first_end_cents: Option<f64>,
    /// Stops with less air than was asked; nothing when no string's pull is known.
    pub short: Option<usize>,
}

impl Choice {
    /// Radius at the nut and at the last fret, mm.
    pub fn radii_mm(&self) -> (f64, f64) {
        ends_mm(&self.figures.instrument)
    }

    /// The thinnest edge at nut and frets, mm.
    pub fn thinnest_edge_mm(&self) -> f64 {
        let edges = self.figures.sheet.frets.iter();
        edges.fold(f64::INFINITY, |least, fret| {
            least.min(fret.edge_thickness_mm)
        })
    }

    /// Rubbing time of all stages; nothing without a kit, or with one that cannot finish it.
    pub fn minutes(&self) -> Option<f64> {
        let plan = self.figures.plan.as_ref()?;
        plan.reaches_finish.then(|| plan.minutes())
    }

    /// Fewest chokes come first, then fewest stops short of air, then least work.
    fn rank(&self) -> (usize, usize, f64) {
        (
            self.choked.unwrap_or(0),
            self.short.unwrap_or(0),
            self.minutes().unwrap_or(f64::INFINITY),
        )
    }
}

/// The cambers to choose from.
pub struct Choices {
    /// The present one first, then the others by what they grant and by the work they take.
    pub choices: Vec<Choice>,
    /// How many were left out because the board cannot bear them.
    pub unbearable: usize,
    /// How many radii of blocks, the flattest, were paired with no other: the kit has so many.
    pub unpaired: usize,
}

/// The cambers to choose from, worked out.
pub fn choices(view: &View, now: &Figures) -> Choices {
    let kit = view.sound_kit();
    let present = ends_mm(&now.instrument);
    let mut radii = block_radii_mm(kit);
    let unpaired = radii.len().saturating_sub(MOST_RADII);
    radii.truncate(MOST_RADII);
    let mut unbearable = 0;
    let mut others = Vec::new();
    for (reason, written) in candidates(now, &radii) {
        match tried(&view.text, now, kit, reason, written) {
            Some(choice) if is_same(choice.radii_mm(), present) => {}
            Some(choice) => others.push(choice),
            None => unbearable += 1,
        }
    }
    others.sort_by(|a, b| {
        let (a, b) = (a.rank(), b.rank());
        (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2))
    });
    let mut choices = vec![judged(Reason::Present, None, now.clone())];
    choices.append(&mut others);
    Choices {
        choices,
        unbearable,
        unpaired,
    }
}

/// A text with another law of camber; what the old law set is taken away.
///
/// # Errors
/// When the text is not TOML or a key is not known.
pub fn with_law(text: &str, written: &Written) -> Result<String, EditFault> {
    let set =
        |text: String, path: &str, value: &str| edit::set(&text, &COMMISSION_KEYS, path, value);
    let cleared = RADIUS_KEYS
        .iter()
        .try_fold(text.to_owned(), |text, path| set(text, path, ""))?;
    let lawful = set(cleared, "camber.law", written.law)?;
    let mut values = written.values.iter();
    values.try_fold(lawful, |text, (key, value)| {
        set(text, &format!("camber.{key}"), value)
    })
}

fn candidates(now: &Figures, radii: &[f64]) -> Vec<(Reason, Written)> {
    let mut found = Vec::new();
    for (index, nut) in radii.iter().enumerate() {
        found.push((Reason::OneBlock, Written::one_radius(radius_text(*nut))));
        let flatter = radii.iter().skip(index + 1);
        let cone = |last: &f64| Written::cone(radius_text(*nut), radius_text(*last));
        found.extend(flatter.map(|last| (Reason::TwoBlocks, cone(last))));
    }
    let (nut_mm, _) = ends_mm(&now.instrument);
    if nut_mm.is_finite() {
        let nut = radius_text(nut_mm);
        if now.instrument.camber.law != Law::StringCone {
            found.push((Reason::Strings, Written::string_cone(nut.clone())));
        }
        let places = play::wished_bend_places(&now.instrument, &now.sheet.strings);
        if let Some(last) = places
            .tightest(nut_mm)
            .last_mm
            .filter(|_| !places.is_empty())
        {
            // Rounded up: a hair under the tightest would choke.
            let last = radius_text(last.max(nut_mm).ceil());
            found.push((Reason::Tightest, Written::cone(nut, last)));
        }
    }
    found
}

/// The finite radii of the kit's blocks, tightest first, each once.
fn block_radii_mm(kit: Option<&Kit>) -> Vec<f64> {
    let blocks = kit.map_or(&[][..], |kit| kit.blocks.as_slice());
    let mut radii: Vec<f64> = blocks
        .iter()
        .filter_map(|block| block.radius.finite_mm())
        .collect();
    radii.sort_by(f64::total_cmp);
    radii.dedup_by(|a, b| (*a - *b).abs() < SAME_MM);
    radii
}

fn tried(
    text: &str,
    now: &Figures,
    kit: Option<&Kit>,
    reason: Reason,
    written: Written,
) -> Option<Choice> {
    let text = with_law(text, &written).ok()?;
    let instrument = read_commission(&text, &no_files).ok()?;
    let wear = now.plan.as_ref().map(|plan| plan.wear);
    let figures = Figures::of(instrument, kit.zip(wear));
    Some(judged(reason, Some(written), figures))
}

fn judged(reason: Reason, written: Option<Written>, figures: Figures) -> Choice {
    let wish = &figures.instrument.wish;
    let bends = play::planned_bends(&figures.instrument, &figures.sheet.strings);
    let buzz = play::planned_buzz(&figures.instrument, &figures.sheet.strings);
    let first_end_cents = bends.least().map(|least| least.2.cents());
    Choice {
        reason,
        written,
        choked: first_end_cents.map(|_| bends.count_choked(wish.bend_cents)),
        first_end_cents,
        short: buzz.worst().map(|_| buzz.count_below(wish.margin_mm)),
        figures,
    }
}

fn ends_mm(instrument: &Instrument) -> (f64, f64) {
    let at = |fret| {
        let x = instrument.fret_x_mm(fret);
        instrument.camber.radius(x).mm()
    };
    (at(0), at(instrument.last_fret()))
}

fn is_same(a: (f64, f64), b: (f64, f64)) -> bool {
    let near = |a: f64, b: f64| a == b || (a - b).abs() < SAME_MM;
    near(a.0, b.0) && near(a.1, b.1)
}
