//! The kit: the tools and abrasives that a shop owns.

use instrument::Radius;
use instrument::format::{Desk, Entry, Faults, Key, Kind, Need, Table, open};
use quantity::{Grade, grade, grades, nearest};

use crate::machine::{
    CARRIAGE, CUTTER, Carriage, Cutter, MACHINE, Machine, carriage, cutter, machine,
};

/// A radius block: a concave face of one radius along its whole length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block {
    /// Radius of its face.
    pub radius: Radius,
    /// Its length, mm.
    pub length_mm: f64,
    /// Its width, mm.
    pub width_mm: f64,
}

/// A long straight bar with a flat face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beam {
    /// Its length, mm.
    pub length_mm: f64,
    /// Its width, mm.
    pub width_mm: f64,
}

/// A dial between two legs: it reads the crown's height over the legs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dial {
    /// Distance between the legs, mm.
    pub chord_mm: f64,
    /// What one mark of the dial is, mm.
    pub resolution_mm: f64,
}

/// How hard and how fast this maker rubs, for times.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hand {
    /// Force on the tool, N.
    pub force_n: f64,
    /// Mean speed of the tool over the wood, m/s.
    pub speed_m_per_s: f64,
}

/// The tools and abrasives a shop owns.
#[derive(Clone, Debug, PartialEq)]
pub struct Kit {
    /// What the kit is called.
    pub title: String,
    /// Radius blocks, as listed.
    pub blocks: Vec<Block>,
    /// Beams, as listed.
    pub beams: Vec<Beam>,
    /// Radii of the gauges, as listed.
    pub gauges: Vec<Radius>,
    /// Grades of abrasive, coarsest first.
    pub abrasives: Vec<&'static Grade>,
    /// The smallest light that is seen under a gauge, mm.
    pub smallest_light_mm: f64,
    /// Lengths of the straightedges, as listed, mm.
    pub straightedges_mm: Vec<f64>,
    /// Dials, as listed.
    pub dials: Vec<Dial>,
    /// The thinnest feeler, mm.
    pub least_feeler_mm: f64,
    /// What two neighbouring feelers differ by, mm.
    pub feeler_step_mm: f64,
    /// What one mark of the caliper is, mm.
    pub caliper_step_mm: f64,
    /// What one mark of the height probe is, mm.
    pub probe_step_mm: f64,
    /// How thick chalk lies when it is rubbed on, mm.
    pub chalk_layer_mm: f64,
    /// How the maker rubs.
    pub hand: Hand,
    /// Cutters of the machine, as listed.
    pub cutters: Vec<Cutter>,
    /// The machine.
    pub machine: Machine,
    /// The hand-held router on its carriage.
    pub carriage: Carriage,
}

/// A fine length of a measuring tool: what it shows, or what it steps by.
const fn fine(name: &'static str, default: &'static str, meaning: &'static str) -> Key {
    let kind = Kind::Length {
        least_mm: 0.001,
        most_mm: 1.0,
    };
    Key::otherwise(name, kind, default, meaning)
}

/// The kit file described.
pub static KIT_KEYS: Table = Table {
    meaning: "The tools and abrasives a shop owns. Bare numbers are millimetres.",
    keys: &[
        Key {
            name: "camberwright_kit",
            kind: Kind::Whole { least: 1, most: 1 },
            need: Need::Required,
            meaning: "version of this format",
        },
        Key {
            name: "title",
            kind: Kind::Text,
            need: Need::Required,
            meaning: "what the kit is called",
        },
        Key::otherwise(
            "blocks",
            Kind::List(&Kind::Table(&BLOCK)),
            "none",
            "radius blocks",
        ),
        Key::otherwise(
            "beams",
            Kind::List(&Kind::Table(&BEAM)),
            "none",
            "long straight bars with a flat face",
        ),
        Key::otherwise(
            "gauges",
            Kind::List(&Kind::Radius),
            "none",
            "radii of the gauges",
        ),
        Key::otherwise(
            "abrasives",
            Kind::List(&Kind::Text),
            "none",
            "grades, such as P80 (ISO 6344)",
        ),
        fine(
            "smallest_light",
            "0.02 mm",
            "the smallest light seen under a gauge",
        ),
        Key::otherwise(
            "straightedges",
            Kind::List(&STRAIGHTEDGE),
            "none",
            "lengths of the straightedges",
        ),
        Key::otherwise(
            "dials",
            Kind::List(&Kind::Table(&DIAL)),
            "none",
            "dials between two legs, which read the crown's height",
        ),
        fine("least_feeler", "0.03 mm", "the thinnest feeler"),
        fine(
            "feeler_step",
            "0.01 mm",
            "what two neighbouring feelers differ by",
        ),
        fine("caliper_step", "0.02 mm", "one mark of the caliper"),
        fine("probe_step", "0.01 mm", "one mark of the height probe"),
        fine(
            "chalk_layer",
            "0.02 mm",
            "how thick chalk lies when it is rubbed on",
        ),
        Key::otherwise(
            "hand",
            Kind::Table(&HAND),
            "30 N at 0.5 m/s",
            "how hard and how fast you rub",
        ),
        Key::otherwise(
            "cutters",
            Kind::List(&Kind::Table(&CUTTER)),
            "none",
            "cutters of the machine",
        ),
        Key::otherwise(
            "machine",
            Kind::Table(&MACHINE),
            "a small machine",
            "the machine that moves the cutters",
        ),
        Key::otherwise(
            "carriage",
            Kind::Table(&CARRIAGE),
            "a usual small router",
            "a hand-held router on its carriage, for jigs",
        ),
    ],
};

static BLOCK: Table = Table {
    meaning: "A radius block.",
    keys: &[
        Key {
            name: "radius",
            kind: Kind::Radius,
            need: Need::Required,
            meaning: "radius of its face",
        },
        Key::otherwise(
            "length",
            Kind::Length {
                least_mm: 10.0,
                most_mm: 2000.0,
            },
            "200 mm",
            "its length",
        ),
        Key::otherwise(
            "width",
            Kind::Length {
                least_mm: 5.0,
                most_mm: 500.0,
            },
            "70 mm",
            "its width",
        ),
    ],
};

static BEAM: Table = Table {
    meaning: "A long straight bar with a flat face.",
    keys: &[
        Key {
            name: "length",
            kind: Kind::Length {
                least_mm: 50.0,
                most_mm: 3000.0,
            },
            need: Need::Required,
            meaning: "its length",
        },
        Key::otherwise(
            "width",
            Kind::Length {
                least_mm: 5.0,
                most_mm: 500.0,
            },
            "60 mm",
            "its width",
        ),
    ],
};

/// A straightedge's length.
static STRAIGHTEDGE: Kind = Kind::Length {
    least_mm: 50.0,
    most_mm: 3000.0,
};

static DIAL: Table = Table {
    meaning: "A dial between two legs, which reads the crown's height over the legs.",
    keys: &[
        Key {
            name: "chord",
            kind: Kind::Length {
                least_mm: 5.0,
                most_mm: 200.0,
            },
            need: Need::Required,
            meaning: "distance between the legs",
        },
        fine("resolution", "0.01 mm", "one mark of the dial"),
    ],
};

static HAND: Table = Table {
    meaning: "How hard and how fast you rub, for the times of a plan.",
    keys: &[
        Key::otherwise(
            "force",
            Kind::Force {
                least_n: 1.0,
                most_n: 500.0,
            },
            "30 N",
            "force on the tool",
        ),
        Key::otherwise(
            "speed",
            Kind::Number {
                least: 0.01,
                most: 20.0,
            },
            "0.5",
            "mean speed, metres a second",
        ),
    ],
};

/// The most tools of one sort that are read.
const MOST_TOOLS: usize = 200;

/// Reads a kit.
///
/// # Errors
/// All faults together, each with its place, the value, the limit and a way out.
pub fn read_kit(text: &str) -> Result<Kit, Faults> {
    open(text, &KIT_KEYS, |desk| {
        desk.whole("camberwright_kit");
        let title = desk.text("title")?.value;
        Some(Kit {
            title: title.trim().to_owned(),
            blocks: tools(desk, "blocks", block)?,
            beams: tools(desk, "beams", beam)?,
            gauges: tools(desk, "gauges", |entry| Some(entry.radius()?.value))?,
            abrasives: abrasives(desk)?,
            smallest_light_mm: desk.length_or("smallest_light", 0.02),
            straightedges_mm: tools(desk, "straightedges", straightedge)?,
            dials: tools(desk, "dials", dial)?,
            least_feeler_mm: desk.length_or("least_feeler", 0.03),
            feeler_step_mm: desk.length_or("feeler_step", 0.01),
            caliper_step_mm: desk.length_or("caliper_step", 0.02),
            probe_step_mm: desk.length_or("probe_step", 0.01),
            chalk_layer_mm: desk.length_or("chalk_layer", 0.02),
            hand: hand(desk)?,
            cutters: tools(desk, "cutters", cutter)?,
            machine: machine(desk.table("machine"))?,
            carriage: carriage(desk.table("carriage")),
        })
    })
}

fn tools<T>(desk: &Desk<'_>, name: &str, read: impl Fn(&Entry<'_>) -> Option<T>) -> Option<Vec<T>> {
    if !desk.has(name) {
        return Some(Vec::new());
    }
    let entries = desk.list(name)?;
    if entries.len() > MOST_TOOLS {
        desk.fault(
            name,
            format!(
                "{} entries are more than the {MOST_TOOLS} that are read",
                entries.len()
            ),
            "list each tool once",
        );
        return None;
    }
    let read: Vec<Option<T>> = entries.iter().map(read).collect();
    read.into_iter().collect()
}

fn block(entry: &Entry<'_>) -> Option<Block> {
    let desk = entry.table(&BLOCK)?;
    let radius = desk.radius("radius")?.value;
    Some(Block {
        radius,
        length_mm: desk.length_or("length", 200.0),
        width_mm: desk.length_or("width", 70.0),
    })
}

fn beam(entry: &Entry<'_>) -> Option<Beam> {
    let desk = entry.table(&BEAM)?;
    Some(Beam {
        length_mm: desk.length("length")?.value.mm(),
        width_mm: desk.length_or("width", 60.0),
    })
}

fn straightedge(entry: &Entry<'_>) -> Option<f64> {
    Some(entry.length(&STRAIGHTEDGE)?.value.mm())
}

fn dial(entry: &Entry<'_>) -> Option<Dial> {
    let desk = entry.table(&DIAL)?;
    Some(Dial {
        chord_mm: desk.length("chord")?.value.mm(),
        resolution_mm: desk.length_or("resolution", 0.01),
    })
}

fn abrasives(desk: &Desk<'_>) -> Option<Vec<&'static Grade>> {
    let mut found = tools(desk, "abrasives", |entry| {
        let given = entry.text()?;
        let known = grade(&given.value);
        if known.is_none() {
            let near = nearest(&given.value, grades().iter().map(|grade| grade.name));
            let way_out = near.map_or("write a grade such as P80 or P320".into(), |near| {
                format!("did you mean {near}?")
            });
            desk.fault_at(
                &given,
                format!("grade \"{}\" is not in the tables", given.value),
                way_out,
            );
        }
        known
    })?;
    found.sort_by(|a, b| b.diameter_um.value.total_cmp(&a.diameter_um.value));
    found.dedup_by_key(|grade| grade.name);
    Some(found)
}

fn hand(desk: &Desk<'_>) -> Option<Hand> {
    let usual = Hand {
        force_n: 30.0,
        speed_m_per_s: 0.5,
    };
    if !desk.has("hand") {
        return Some(usual);
    }
    let desk = desk.table("hand")?;
    Some(Hand {
        force_n: desk
            .force("force")
            .map_or(usual.force_n, |force| force.value.newtons()),
        speed_m_per_s: desk
            .number("speed")
            .map_or(usual.speed_m_per_s, |speed| speed.value),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kit(more: &str) -> Result<Kit, Faults> {
        read_kit(&format!("camberwright_kit = 1\ntitle = \"Bench\"\n{more}"))
    }

    #[test]
    fn measuring_tools_are_read_in_any_unit() {
        let read = kit(concat!(
            "straightedges = [\"500 mm\", 150, \"12 in\"]\n",
            "dials = [{ chord = \"40 mm\", resolution = \"1 thou\" }, { chord = 60 }]\n",
            "least_feeler = \"1.5 thou\"\nprobe_step = 0.001\n",
        ))
        .expect("it reads");
        assert_eq!(read.straightedges_mm, [500.0, 150.0, 304.8]);
        let dial = |chord_mm, resolution_mm| Dial {
            chord_mm,
            resolution_mm,
        };
        assert_eq!(read.dials, [dial(40.0, 0.0254), dial(60.0, 0.01)]);
        assert_eq!((read.least_feeler_mm, read.probe_step_mm), (0.0381, 0.001));
    }

    #[test]
    fn a_kit_that_tells_nothing_has_the_usual_steps() {
        let read = kit("").expect("it reads");
        assert!(read.straightedges_mm.is_empty() && read.dials.is_empty());
        let steps = [
            read.least_feeler_mm,
            read.feeler_step_mm,
            read.caliper_step_mm,
            read.probe_step_mm,
            read.chalk_layer_mm,
        ];
        assert_eq!(steps, [0.03, 0.01, 0.02, 0.01, 0.02]);
    }

    #[test]
    fn measuring_tools_out_of_range_are_faults_at_their_place() {
        for (text, place) in [
            ("straightedges = [500, \"4 mm\"]", "straightedges[2]"),
            ("dials = [{ resolution = 0.01 }]", "dials[1].chord"),
            (
                "dials = [{ chord = 40, resolution = 0 }]",
                "dials[1].resolution",
            ),
            ("feeler_step = \"2 mm\"", "feeler_step"),
            ("caliper_step = -1", "caliper_step"),
        ] {
            let faults = kit(text).expect_err(text);
            assert_eq!(faults.0[0].place, place, "{faults}");
        }
    }
}
