//! The shop's machine, its cutters, and its routers' carriages, as the kit lists them.

use instrument::format::{Desk, Entry, Key, Kind, Table};

/// The shape of a cutter's end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutterShape {
    /// A half ball of the cutter's own diameter.
    Ball,
    /// A flat end with sharp corners.
    Flat,
    /// A drill with a flat floor: it only goes down.
    Drill,
}

/// A cutter, with the limits that its maker states.
#[derive(Clone, Debug, PartialEq)]
pub struct Cutter {
    /// What the shop calls it.
    pub name: String,
    /// The shape of its end.
    pub shape: CutterShape,
    /// Its diameter, mm.
    pub diameter_mm: f64,
    /// How many cutting edges it has.
    pub flutes: u32,
    /// How deep it can go before its shank rubs, mm.
    pub reach_mm: f64,
    /// The deepest cut in one pass, mm.
    pub pass_mm: f64,
    /// Turns a minute.
    pub rpm: f64,
    /// Feed along the work, mm/min.
    pub feed_mm_per_min: f64,
    /// Feed straight down, mm/min.
    pub plunge_mm_per_min: f64,
    /// The least and the greatest chip a flute may take, mm.
    pub chip_mm: (f64, f64),
}

impl Cutter {
    /// Half of its diameter, mm.
    pub fn radius_mm(&self) -> f64 {
        0.5 * self.diameter_mm
    }

    /// The chip that each flute takes at the stated feed, mm: `f_z = v_f / (n z)`.
    ///
    /// References: textbook relation, from memory; checked on 1200 mm/min, 18000 turns, 2 flutes
    /// = 0.0333 mm.
    pub fn chip_load_mm(&self) -> f64 {
        self.feed_mm_per_min / (self.rpm * f64::from(self.flutes))
    }
}

/// The machine that moves them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Machine {
    /// The fastest feed that it holds, mm/min.
    pub most_feed_mm_per_min: f64,
    /// How fast it moves when it does not cut, mm/min.
    pub rapid_mm_per_min: f64,
    /// The slowest and the fastest turning of its spindle, turns a minute.
    pub rpm: (f64, f64),
    /// Air over the highest thing on the bed when it does not cut, mm.
    pub clear_mm: f64,
    /// How far the outline is cut into the sheet under the blank, mm.
    pub into_bed_mm: f64,
}

impl Default for Machine {
    /// A small machine of a wood shop: common practice, no source.
    fn default() -> Self {
        Self {
            most_feed_mm_per_min: 3000.0,
            rapid_mm_per_min: 5000.0,
            rpm: (8000.0, 24000.0),
            clear_mm: 5.0,
            into_bed_mm: 0.2,
        }
    }
}

/// A hand-held router on its carriage, for jigs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carriage {
    /// Diameter of the cutter in it, mm.
    pub cutter_mm: f64,
    /// How far the cutter stands out below the carriage's plate, mm.
    pub below_mm: f64,
    /// From the cutter's centre to the edge of the plate that runs along a fence, mm.
    pub base_mm: f64,
    /// Outer diameter of the guide bush, mm.
    pub bush_mm: f64,
    /// How far before the nut and past the board's end rails or pivots stand, mm.
    pub beyond_mm: f64,
    /// How high the blank's underside lies over the floor that rails and pivots stand on, mm.
    pub bed_mm: f64,
}

impl Default for Carriage {
    /// A usual small router: common practice, no source.
    fn default() -> Self {
        Self {
            cutter_mm: 12.7,
            below_mm: 20.0,
            base_mm: 75.0,
            bush_mm: 16.0,
            beyond_mm: 40.0,
            bed_mm: 20.0,
        }
    }
}

/// The shapes by their words.
const SHAPES: [(&str, CutterShape); 3] = [
    ("ball", CutterShape::Ball),
    ("flat", CutterShape::Flat),
    ("drill", CutterShape::Drill),
];

pub(crate) static CUTTER: Table = Table {
    meaning: "A cutter of the machine, with the limits that its maker states.",
    keys: &[
        Key::required("name", Kind::Text, "what the shop calls it"),
        Key::required(
            "shape",
            Kind::Choice(&["ball", "flat", "drill"]),
            "its end: a half ball, flat with sharp corners, or a drill with a flat floor",
        ),
        Key::required("diameter", Kind::length(0.1, 60.0), "its diameter"),
        Key::otherwise(
            "flutes",
            Kind::Whole { least: 1, most: 8 },
            "2",
            "how many cutting edges it has",
        ),
        Key::required(
            "reach",
            Kind::length(0.2, 200.0),
            "how deep it can go before its shank rubs",
        ),
        Key::required("pass", Kind::length(0.02, 30.0), "deepest cut in one pass"),
        Key::required("rpm", Kind::number(100.0, 60_000.0), "turns a minute"),
        Key::required(
            "feed",
            Kind::number(5.0, 20_000.0),
            "feed along the work, mm a minute",
        ),
        Key::required(
            "plunge",
            Kind::number(5.0, 10_000.0),
            "feed straight down, mm a minute",
        ),
        Key::required(
            "chip_least",
            Kind::length(0.0005, 1.0),
            "least chip a flute shall take, below which it rubs and burns",
        ),
        Key::required(
            "chip_most",
            Kind::length(0.001, 2.0),
            "greatest chip a flute may take",
        ),
    ],
};

pub(crate) static MACHINE: Table = Table {
    meaning: "The machine that moves the cutters.",
    keys: &[
        Key::otherwise(
            "most_feed",
            Kind::number(50.0, 50_000.0),
            "3000",
            "fastest feed, mm a minute",
        ),
        Key::otherwise(
            "rapid",
            Kind::number(50.0, 100_000.0),
            "5000",
            "speed when it does not cut, mm a minute",
        ),
        Key::otherwise(
            "least_rpm",
            Kind::number(0.0, 60_000.0),
            "8000",
            "slowest turning of the spindle",
        ),
        Key::otherwise(
            "most_rpm",
            Kind::number(100.0, 100_000.0),
            "24000",
            "fastest turning of the spindle",
        ),
        Key::otherwise(
            "clear",
            Kind::length(0.5, 100.0),
            "5 mm",
            "air over the highest thing on the bed when it does not cut",
        ),
        Key::otherwise(
            "into_bed",
            Kind::length(0.0, 2.0),
            "0.2 mm",
            "how far the outline is cut into the sheet under the blank",
        ),
    ],
};

pub(crate) static CARRIAGE: Table = Table {
    meaning: "A hand-held router on its carriage, for jigs.",
    keys: &[
        Key::otherwise(
            "cutter",
            Kind::length(1.0, 80.0),
            "12.7 mm",
            "diameter of its cutter",
        ),
        Key::otherwise(
            "below",
            Kind::length(0.5, 150.0),
            "20 mm",
            "how far the cutter stands out below the carriage's plate",
        ),
        Key::otherwise(
            "base",
            Kind::length(5.0, 400.0),
            "75 mm",
            "from the cutter's centre to the edge that runs along a fence",
        ),
        Key::otherwise(
            "bush",
            Kind::length(2.0, 100.0),
            "16 mm",
            "outer diameter of the guide bush",
        ),
        Key::otherwise(
            "beyond",
            Kind::length(1.0, 500.0),
            "40 mm",
            "how far before the nut and past the board's end rails or pivots stand",
        ),
        Key::otherwise(
            "bed",
            Kind::length(0.0, 1000.0),
            "20 mm",
            "how high the blank's underside lies over the floor under rails and pivots",
        ),
    ],
};

pub(crate) fn cutter(entry: &Entry<'_>) -> Option<Cutter> {
    let desk = entry.table(&CUTTER)?;
    let name = desk.text("name")?.value.trim().to_owned();
    let shape = desk.choice("shape")?.value;
    let shape = SHAPES.iter().find(|(word, _)| *word == shape)?.1;
    let mm = |name| Some(desk.length(name)?.value.mm());
    let number = |name| Some(desk.number(name)?.value);
    let (diameter_mm, reach_mm, pass_mm) = (mm("diameter")?, mm("reach")?, mm("pass")?);
    let (rpm, feed, plunge) = (number("rpm")?, number("feed")?, number("plunge")?);
    let chip_mm = (mm("chip_least")?, mm("chip_most")?);
    if chip_mm.0 > chip_mm.1 {
        desk.fault(
            "chip_least",
            format!(
                "the least chip of {} mm is more than the greatest, {} mm",
                chip_mm.0, chip_mm.1
            ),
            "take both from the cutter's own data",
        );
        return None;
    }
    if name.is_empty() || name.chars().count() > 60 || name.contains(['(', ')', '\n', '\r']) {
        desk.fault(
            "name",
            "a cutter's name has 1 to 60 letters and no brackets",
            "machine programs carry the name in a remark between brackets",
        );
        return None;
    }
    Some(Cutter {
        name,
        shape,
        diameter_mm,
        flutes: desk
            .whole("flutes")
            .and_then(|given| u32::try_from(given.value).ok())
            .unwrap_or(2),
        reach_mm,
        pass_mm,
        rpm,
        feed_mm_per_min: feed,
        plunge_mm_per_min: plunge,
        chip_mm,
    })
}

pub(crate) fn machine(desk: Option<Desk<'_>>) -> Option<Machine> {
    let mut machine = Machine::default();
    let Some(desk) = desk else {
        return Some(machine);
    };
    for (name, slot) in [
        ("most_feed", &mut machine.most_feed_mm_per_min),
        ("rapid", &mut machine.rapid_mm_per_min),
        ("least_rpm", &mut machine.rpm.0),
        ("most_rpm", &mut machine.rpm.1),
    ] {
        *slot = desk.number(name).map_or(*slot, |given| given.value);
    }
    machine.clear_mm = desk.length_or("clear", machine.clear_mm);
    machine.into_bed_mm = desk.length_or("into_bed", machine.into_bed_mm);
    if machine.rpm.0 > machine.rpm.1 {
        let (least, most) = machine.rpm;
        desk.fault(
            "least_rpm",
            format!("the slowest turning of {least} is faster than the fastest, {most}"),
            "take both from the spindle's own data",
        );
        return None;
    }
    Some(machine)
}

pub(crate) fn carriage(desk: Option<Desk<'_>>) -> Carriage {
    let mut carriage = Carriage::default();
    let Some(desk) = desk else { return carriage };
    for (name, slot) in [
        ("cutter", &mut carriage.cutter_mm),
        ("below", &mut carriage.below_mm),
        ("base", &mut carriage.base_mm),
        ("bush", &mut carriage.bush_mm),
        ("beyond", &mut carriage.beyond_mm),
        ("bed", &mut carriage.bed_mm),
    ] {
        *slot = desk.length_or(name, *slot);
    }
    carriage
}
