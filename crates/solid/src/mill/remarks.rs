//! What a program says of itself before the first move.

use bench::Kit;
use bench::machine::CutterShape;
use instrument::Instrument;

use super::outline_cut::Tab;
use super::{Operation, Program};

/// What the remarks are about, besides the program itself.
pub(crate) struct About<'a> {
    pub instrument: &'a Instrument,
    pub kit: &'a Kit,
    /// The height of moves without feed, mm over the bed.
    pub safe_mm: f64,
    pub tabs: &'a [Tab],
}

/// Cautions that every program carries (common practice, no source).
const CAUTIONS: [&str; 7] = [
    "CAUTION: this program was proved by computing, on no machine. You answer for the machine, the wood and yourself.",
    "Local codes, the machine's own manual and licensed practice come first.",
    "Guards closed, eyes and ears protected, no gloves and nothing loose near the spindle; know where the stop is.",
    "Wood dust harms the lungs and some woods make ill by touch: extract it at the cutter and wear a fitted respirator.",
    "Hold the blank down so that it cannot creep, and keep clamps out of the boxes named here.",
    "Run it dry first, with the work offset raised so far that nothing is touched, and watch the clamps.",
    "Never leave it running alone.",
];

pub(crate) fn remarks(program: &Program, about: &About<'_>) -> Vec<String> {
    let mut lines = vec![
        format!("{}: {}", about.instrument.title, program.title),
        order(program),
    ];
    lines.extend(CAUTIONS.map(str::to_owned));
    lines.extend(set_up(about, program.operation));
    lines.extend(cutter(program));
    lines.extend(work(program, about));
    lines.extend(travel(program, about));
    lines.push(proof(program));
    lines
}

fn order(program: &Program) -> String {
    let name = |operation: &Operation| operation.name();
    let all: Vec<&str> = Operation::ALL.iter().map(name).collect();
    format!(
        "Program {}; the order is {}; each has one cutter",
        program.name,
        all.join(", ")
    )
}

/// What of the blank's top can still be touched: the first program takes it off over the board.
fn top(operation: Operation, thickness_mm: f64) -> String {
    match operation {
        Operation::Rough => format!("or at the blank's top as Z{thickness_mm:.3}"),
        _ => format!(
            "or where the blank's top still stands beside the board as Z{thickness_mm:.3}: over the board it is gone"
        ),
    }
}

fn set_up(about: &About<'_>, operation: Operation) -> Vec<String> {
    let (blank, cutting) = (&about.instrument.blank, &about.instrument.cutting);
    let half = 0.5 * blank.width_mm;
    let mut lines = vec![
        "Millimetres, mm/min, places absolute, work offset G54".to_owned(),
        "X0 Y0: the nut's front face on the centreline; X along the board away from the nut, Y across toward the treble side; Z0: the bed under the blank".to_owned(),
        format!(
            "Touch off X and Y at the blank: its nut end is at X{:.3}, its edges at Y{half:.3} and Y-{half:.3}; touch off Z at the bed, {}",
            blank.from_x_mm,
            top(operation, blank.thickness_mm)
        ),
        format!(
            "Blank: {:.2} mm long, {:.2} mm wide, {:.2} mm thick, underside on the bed, centreline along X",
            blank.length_mm, blank.width_mm, blank.thickness_mm
        ),
        format!("Moves without feed at Z{:.3}", about.safe_mm),
    ];
    for (index, clamp) in cutting.clamps.iter().enumerate() {
        lines.push(format!(
            "Clamp {}: X{:.2} to X{:.2}, Y{:.2} to Y{:.2}, {:.2} mm high",
            index + 1,
            clamp.from.0,
            clamp.to.0,
            clamp.from.1,
            clamp.to.1,
            clamp.height_mm
        ));
    }
    if cutting.clamps.is_empty() {
        lines.push(
            "No clamp is known to this program: hold the blank from below, or name the clamps"
                .into(),
        );
    }
    lines
}

fn cutter(program: &Program) -> Vec<String> {
    let cutter = &program.cutter;
    let shape = match cutter.shape {
        CutterShape::Ball => "ball",
        CutterShape::Flat => "flat",
        CutterShape::Drill => "drill",
    };
    let mut lines = vec![
        format!(
            "Cutter: {}, {shape}, diameter {:.3} mm, reach {:.2} mm, {} flutes; Z is its lowest point",
            cutter.name, cutter.diameter_mm, cutter.reach_mm, cutter.flutes
        ),
        format!(
            "{:.0} turns a minute, feed {:.0} mm/min, {:.0} mm/min straight down; chip {:.4} mm a flute, stated {:.4} to {:.4} mm",
            cutter.rpm,
            cutter.feed_mm_per_min,
            cutter.plunge_mm_per_min,
            cutter.chip_load_mm(),
            cutter.chip_mm.0,
            cutter.chip_mm.1
        ),
    ];
    if cutter.shape != CutterShape::Drill {
        lines.push("It goes straight down into wood: it must cut as far as its middle".into());
    }
    lines
}

/// How far the cutter's axis goes, and what of that lies past the blank.
fn travel(program: &Program, about: &About<'_>) -> Vec<String> {
    let path = &program.path;
    let places = || path.moves.iter().map(|leg| leg.to).chain([path.start]);
    let least = |axis: usize| places().map(|at| at[axis]).fold(f64::INFINITY, f64::min);
    let most = |axis: usize| {
        places()
            .map(|at| at[axis])
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let mut lines = vec![format!(
        "The cutter's axis goes from X{:.2} to X{:.2}, Y{:.2} to Y{:.2}, Z{:.2} to Z{:.2}",
        least(0),
        most(0),
        least(1),
        most(1),
        least(2),
        most(2)
    )];
    let (blank, r) = (&about.instrument.blank, program.cutter.radius_mm());
    let far = blank.from_x_mm + blank.length_mm;
    let along = (blank.from_x_mm - least(0)).max(most(0) - far) + r;
    let across = most(1).max(-least(1)) - 0.5 * blank.width_mm + r;
    if along.max(across) > 0.0 {
        lines.push(format!(
            "The cutter reaches {:.2} mm past the blank's ends and {:.2} mm past its edges: keep the bed free there",
            along.max(0.0),
            across.max(0.0)
        ));
    }
    lines
}

fn work(program: &Program, about: &About<'_>) -> Vec<String> {
    let (cutting, pass) = (&about.instrument.cutting, program.cutter.pass_mm);
    let mut lines = match program.operation {
        Operation::Rough => vec![format!(
            "{} levels of at most {pass:.2} mm; leaves {:.3} mm and more over the finished face",
            program.passes, cutting.allowance_mm
        )],
        Operation::Finish => vec![format!(
            "{} passes along the rulings; scallop asked: {:.2} um",
            program.passes,
            1e3 * cutting.scallop_mm
        )],
        Operation::Slots => vec![format!(
            "Slots {:.3} mm wide, up to {} levels of at most {pass:.2} mm; the face must be finished",
            about.instrument.fret_spec.slot_width_mm, program.passes
        )],
        Operation::Dots => vec![format!(
            "{} pockets of {:.3} mm, at most {pass:.2} mm at a time; the face must be finished",
            about.instrument.dots.len(),
            pocket_mm(program, about)
        )],
        Operation::Outline => outline(program, about),
    };
    lines.push(format!(
        "About {:.1} minutes by lengths and feeds, starting and stopping not counted",
        program.minutes
    ));
    lines
}

/// The pockets' diameter: the dots', or the drill's own where it is taken for the same.
fn pocket_mm(program: &Program, about: &About<'_>) -> f64 {
    let dot = about
        .instrument
        .dots
        .first()
        .map_or(0.0, |dot| dot.diameter_mm);
    let own = program.cutter.diameter_mm;
    if (own - dot).abs() <= super::dots::SAME_DIAMETER_MM {
        own
    } else {
        dot
    }
}

fn outline(program: &Program, about: &About<'_>) -> Vec<String> {
    let cutting = &about.instrument.cutting;
    let into_bed = about.kit.machine.into_bed_mm;
    let mut lines = vec![format!(
        "{} times around, at most {:.2} mm at a time, {into_bed:.2} mm into the sheet under the blank",
        program.passes, program.cutter.pass_mm
    )];
    if about.tabs.is_empty() {
        lines.push(
            "NO TABS: the board comes loose at the last level unless it is held from below".into(),
        );
    } else {
        let places = about
            .tabs
            .iter()
            .map(|tab| format!("X{:.1} Y{:.1}", tab.middle[0], tab.middle[1]));
        lines.push(format!(
            "{} tabs of {:.2} mm, {:.2} mm high, hold the board; saw them after: {}",
            about.tabs.len(),
            cutting.tab_length_mm,
            cutting.tab_height_mm,
            places.collect::<Vec<_>>().join(", ")
        ));
    }
    lines
}

fn proof(program: &Program) -> String {
    let proof = &program.proof;
    let mut told = format!(
        "Proof at {} places: deepest under what may be cut {:.3} um",
        proof.places, proof.gouge_um
    );
    if let Some(scallop) = proof.scallop_um {
        told += &format!("; greatest scallop {scallop:.3} um");
    }
    if let Some(left) = proof.floor_left_um {
        told += &format!("; floors at most {left:.2} um too high");
    }
    told + "; no move without feed touches wood"
}
