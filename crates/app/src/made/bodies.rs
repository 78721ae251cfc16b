//! Bodies by what is asked: the board, blocks and cauls, as STEP, 3MF and STL.

use instrument::{Instrument, Radius};
use solid::body::{
    BoardParts, Body, Part, PressCaul, ToolShape, board_body, mesh, press_caul, tool_body,
    write_step, write_stl, write_three_mf,
};

use super::{MadeFile, stem};

/// The chord tolerance of triangles when none is asked for, mm: finer than a printer of plastic
/// lays, coarse enough for small files.
pub const USUAL_CHORD_MM: f64 = 0.01;

/// The whole board: slots, room for binding, pockets.
pub const WHOLE_BOARD: BoardParts = BoardParts {
    slots: Part::Cut,
    rebate: Part::Cut,
    dots: Part::Cut,
};

/// Why a board has no sanding caul of its own.
pub const NO_CAUL: &str =
    "this camber is no single cone: no sanding caul as long as the board fits it";

/// A body that is asked for.
#[derive(Clone, Debug, PartialEq)]
pub enum BodyAsk {
    /// The board, with what is cut into it.
    Board(BoardParts),
    /// A block or caul hollow to a radius at one end and another at the other.
    Tool(ToolShape),
    /// A caul that presses a fret home.
    Press(PressCaul),
}

/// A press caul's share of the fret's own arc: a little tighter, so that the ends seat first
/// (common practice, no source).
const PRESS_RATIO: f64 = 0.95;

impl BodyAsk {
    /// A radius block: one radius, or one at either end, 200 mm long and 70 mm wide.
    pub fn block(radius: [Radius; 2]) -> Self {
        let words = radius.map(radius_words);
        let title = match radius[0] == radius[1] {
            true => format!("Block {}", words[0]),
            false => format!("Block {} to {}", words[0], words[1]),
        };
        Self::Tool(ToolShape {
            title,
            length_mm: 200.0,
            width_mm: 70.0,
            height_mm: 30.0,
            radius,
        })
    }

    /// A sanding caul as long as the board, hollow to its own camber; nothing where the camber is
    /// no single cone.
    pub fn caul(instrument: &Instrument) -> Option<Self> {
        let (from, to) = instrument.outline.square_span();
        let ruled = solid::ruled(&instrument.camber, from, to);
        let [piece] = ruled.pieces.as_slice() else {
            return None;
        };
        let widest = instrument
            .outline
            .half_width(from)
            .max(instrument.outline.half_width(to));
        Some(Self::Tool(ToolShape {
            title: format!("{} sanding caul", instrument.title),
            length_mm: to - from,
            // A hair inside the radius at the tighter end: the hollow must reach the caul's edges.
            width_mm: (2.0 * widest + 6.0)
                .min(1.9 * piece.radius[0].mm().min(piece.radius[1].mm())),
            height_mm: 30.0,
            radius: piece.radius,
        }))
    }

    /// A press caul for a fret.
    pub fn press(fret: usize) -> Self {
        Self::Press(PressCaul {
            fret,
            ratio: PRESS_RATIO,
            length_mm: 12.0,
            height_mm: 20.0,
        })
    }

    /// The body.
    ///
    /// # Errors
    /// Why it cannot be made, and what would do.
    pub fn body(&self, instrument: &Instrument) -> Result<Body, String> {
        let made = match self {
            Self::Board(parts) => board_body(instrument, *parts),
            Self::Tool(shape) => tool_body(shape),
            Self::Press(caul) => press_caul(instrument, *caul).and_then(|shape| tool_body(&shape)),
        };
        made.map_err(|error| error.to_string())
    }

    /// The beginning of its files' names.
    pub fn name(&self, instrument: &Instrument) -> String {
        match self {
            Self::Board(_) => format!("{}-board", stem(&instrument.title)),
            Self::Tool(shape) => stem(&shape.title),
            Self::Press(caul) => format!("{}-press-caul-{}", stem(&instrument.title), caul.fret),
        }
    }
}

/// A radius in words that suit a file's name: millimetres, or flat.
fn radius_words(radius: Radius) -> String {
    radius.finite_mm().map_or("flat".into(), |mm| {
        format!("{} mm", (mm * 10.0).round() / 10.0)
    })
}

/// How a body is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum BodyForm {
    /// Exact faces, ISO 10303-21.
    Step,
    /// Triangles for a printer of plastic.
    #[value(name = "3mf")]
    ThreeMf,
    /// Triangles.
    Stl,
}

impl BodyForm {
    /// All of them.
    pub const ALL: [BodyForm; 3] = [BodyForm::Step, BodyForm::ThreeMf, BodyForm::Stl];

    /// Its file ending.
    pub fn ending(self) -> &'static str {
        match self {
            BodyForm::Step => "step",
            BodyForm::ThreeMf => "3mf",
            BodyForm::Stl => "stl",
        }
    }

    /// The form with that ending.
    pub fn from_ending(ending: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|form| form.ending() == ending)
    }
}

/// A body as a file. Triangles keep within `chord_mm` of the exact surface.
///
/// # Errors
/// When it cannot be written so, in words.
pub fn body_file(
    name: &str,
    body: &Body,
    form: BodyForm,
    chord_mm: f64,
) -> Result<MadeFile, String> {
    let cannot = |error: solid::body::BodyError| format!("{}: {error}", body.title);
    let triangles = || mesh(body, chord_mm).map_err(cannot);
    let bytes = match form {
        BodyForm::Step => write_step(body, "").into_bytes(),
        BodyForm::Stl => write_stl(&triangles()?, &body.title),
        BodyForm::ThreeMf => write_three_mf(&triangles()?, &body.title).map_err(cannot)?,
    };
    Ok(MadeFile {
        name: format!("{name}.{}", form.ending()),
        bytes,
    })
}
