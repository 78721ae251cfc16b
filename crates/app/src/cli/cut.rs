//! `cut`: bodies for CAD and printers of plastic, programs for a machine.

use std::fmt::Write as _;

use instrument::{Instrument, Radius};
use quantity::parse_length;
use serde_json::{Value, json};
use solid::body::{BoardParts, Part};
use solid::mill::{Mill, mill_told};

use super::pattern::Destination;
use super::{AsJson, Refusal, bad_option, demo_kit, load_commission, load_kit, print};
use crate::made::{
    BodyAsk, BodyForm, MadeFile, NO_CAUL, Subject, USUAL_CHORD_MM, body_file, program_files,
};
use crate::progress::Progress;
use crate::show::{Units, minutes};

/// What is asked on the command line.
pub struct Asked<'a> {
    /// The commission's file.
    pub commission: &'a str,
    /// The kit's file.
    pub kit: Option<&'a str>,
    /// Which sort of files; both when not named.
    pub only: Option<Sort>,
    /// What is left whole in the board's body.
    pub without: &'a [PartName],
    /// The forms of bodies; all of them when none is named.
    pub forms: &'a [BodyForm],
    /// Chord tolerance of triangles.
    pub chord: Option<&'a str>,
    /// Radii of blocks: one, or one at either end with a colon between.
    pub blocks: &'a [String],
    /// Frets for which a press caul is wanted.
    pub press_cauls: &'a [usize],
    /// Where the files go.
    pub to: Destination<'a>,
    /// A record instead of words.
    pub as_json: AsJson,
}

/// A sort of files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Sort {
    /// STEP, 3MF, STL.
    Bodies,
    /// RS-274.
    Programs,
}

/// A part that can be left whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum PartName {
    /// The slots.
    Slots,
    /// The room for the binding.
    Rebate,
    /// The pockets for dots.
    Dots,
}

/// Makes the files, and tells what was made and what was refused.
pub fn cut(asked: &Asked<'_>) -> Result<(), Refusal> {
    let instrument = load_commission(asked.commission, asked.as_json)?;
    let kit = match asked.kit {
        Some(name) => load_kit(name, asked.as_json)?,
        None => demo_kit()?,
    };
    // Bodies need no cutter, and no word on whose.
    if asked.kit.is_none() && asked.only != Some(Sort::Bodies) {
        eprintln!(
            "camberwright: no --kit given: cut with the demo kit \"{}\"",
            kit.title
        );
    }
    let sheet = ::play::sheet(&instrument, None);
    let subject = Subject {
        instrument: &instrument,
        sheet: &sheet,
        plan: None,
        kit: Some(&kit),
        units: Units::default(),
    };
    let bodies = match asked.only {
        Some(Sort::Programs) => Vec::new(),
        _ => bodies(asked, &instrument)?,
    };
    let mill = match asked.only {
        Some(Sort::Bodies) => Mill {
            programs: Vec::new(),
            refusals: Vec::new(),
        },
        _ => {
            let progress = Progress::on_terminal("proving programs");
            mill_told(&instrument, &kit, &mut |share| progress.tell(share)).unwrap_or_default()
        }
    };
    let programs = program_files(&subject, &mill);
    let files: Vec<MadeFile> = bodies
        .iter()
        .flat_map(|body| body.files.iter())
        .chain(&programs)
        .cloned()
        .collect();
    asked.to.write(&files)?;
    let told = Told {
        title: &instrument.title,
        bodies: &bodies,
        mill: &mill,
        programs: &programs,
        no_caul: (asked.only != Some(Sort::Programs) && BodyAsk::caul(&instrument).is_none())
            .then_some(NO_CAUL),
    };
    match asked.as_json {
        AsJson::Yes => print::out(&format!("{:#}\n", told.record())),
        AsJson::No => print::out(&told.words(asked)),
    }?;
    if mill.refusals.is_empty() {
        return Ok(());
    }
    let reasons: Vec<String> = mill.refusals.iter().map(ToString::to_string).collect();
    Err(Refusal::Impossible(format!(
        "not every program could be made:\n  {}",
        reasons.join("\n  ")
    )))
}

/// A body with its files.
struct MadeBody {
    title: String,
    volume_mm3: f64,
    notes: Vec<String>,
    files: Vec<MadeFile>,
}

fn bodies(asked: &Asked<'_>, instrument: &Instrument) -> Result<Vec<MadeBody>, Refusal> {
    let chord_mm = match asked.chord {
        None => USUAL_CHORD_MM,
        Some(typed) => parse_length(typed)
            .map_err(|error| {
                bad_option(
                    "--chord",
                    error,
                    "write a length such as \"0.01 mm\"",
                    asked.as_json,
                )
            })?
            .mm(),
    };
    let forms: &[BodyForm] = if asked.forms.is_empty() {
        &BodyForm::ALL
    } else {
        asked.forms
    };
    let made = |ask: &BodyAsk| -> Result<MadeBody, Refusal> {
        let body = ask.body(instrument).map_err(Refusal::Impossible)?;
        let name = ask.name(instrument);
        let files: Result<Vec<MadeFile>, String> = forms
            .iter()
            .map(|form| body_file(&name, &body, *form, chord_mm))
            .collect();
        Ok(MadeBody {
            title: body.title.clone(),
            volume_mm3: body.volume_mm3(),
            notes: body.notes.clone(),
            files: files.map_err(Refusal::Impossible)?,
        })
    };
    asks(asked, instrument)?.iter().map(made).collect()
}

/// The bodies that are asked for: the board, its sanding caul, and what is named besides.
fn asks(asked: &Asked<'_>, instrument: &Instrument) -> Result<Vec<BodyAsk>, Refusal> {
    let part = |name| match asked.without.contains(&name) {
        true => Part::Left,
        false => Part::Cut,
    };
    let parts = BoardParts {
        slots: part(PartName::Slots),
        rebate: part(PartName::Rebate),
        dots: part(PartName::Dots),
    };
    let mut asks = vec![BodyAsk::Board(parts)];
    asks.extend(BodyAsk::caul(instrument));
    for typed in asked.blocks {
        asks.push(BodyAsk::block(radii(typed, asked.as_json)?));
    }
    asks.extend(asked.press_cauls.iter().map(|fret| BodyAsk::press(*fret)));
    Ok(asks)
}

/// `16 in`, or `10 in:16 in` for a cone.
fn radii(typed: &str, as_json: AsJson) -> Result<[Radius; 2], Refusal> {
    let one = |part: &str| {
        let length = parse_length(part.trim()).map_err(|error| {
            let way_out =
                "write a radius such as \"16 in\", or one for either end as \"10 in:16 in\"";
            bad_option(&format!("--block {typed}"), error, way_out, as_json)
        })?;
        Ok(Radius::from_mm(length.mm()))
    };
    match typed.split_once(':') {
        Some((near, far)) => Ok([one(near)?, one(far)?]),
        None => Ok([one(typed)?; 2]),
    }
}

/// What is told of the made files.
struct Told<'a> {
    title: &'a str,
    bodies: &'a [MadeBody],
    mill: &'a Mill,
    programs: &'a [MadeFile],
    /// Why there is no sanding caul.
    no_caul: Option<&'static str>,
}

impl Told<'_> {
    fn words(&self, asked: &Asked<'_>) -> String {
        let mut text = format!("{}: files for CAD and machine\n", self.title);
        for body in self.bodies {
            line!(
                text,
                "  {}: {:.3} cm³",
                body.title,
                body.volume_mm3 / 1000.0
            );
            for note in &body.notes {
                line!(text, "    mind: {note}");
            }
            for file in &body.files {
                line!(
                    text,
                    "    {} ({} kB)",
                    file.name,
                    file.bytes.len().div_ceil(1000)
                );
            }
        }
        for (program, file) in self.mill.programs.iter().zip(self.programs) {
            let proof = &program.proof;
            let left = match (proof.scallop_um, proof.floor_left_um) {
                (Some(scallop), _) => format!(", scallop {scallop:.1} µm"),
                (None, Some(left)) => format!(", left on floors {left:.1} µm"),
                (None, None) => String::new(),
            };
            line!(
                text,
                "  {}: {} with {}",
                file.name,
                program.title,
                program.cutter.name
            );
            line!(
                text,
                "    {}, {} passes; proved at {} places: gouge {:.2} µm{left}",
                minutes(program.minutes),
                program.passes,
                proof.places,
                proof.gouge_um
            );
        }
        if let Some(why) = self.no_caul {
            line!(text, "  {why}");
        }
        match asked.to.words() {
            Some(place) => line!(text, "Written to {place}."),
            None => line!(
                text,
                "Nothing was written: name a folder with --into, or an archive with --zip."
            ),
        }
        if !self.programs.is_empty() {
            line!(
                text,
                "Run each program above the work first, with a hand at the stop; guards, eyes, ears and dust come first, and local codes and licensed practice before this page."
            );
        }
        text
    }

    fn record(&self) -> Value {
        let bodies: Vec<Value> = self
            .bodies
            .iter()
            .map(|body| {
                let files: Vec<&str> = body.files.iter().map(|file| file.name.as_str()).collect();
                json!({
                    "body": body.title,
                    "volume_mm3": body.volume_mm3,
                    "notes": body.notes,
                    "files": files,
                })
            })
            .collect();
        let programs: Vec<Value> = self
            .mill
            .programs
            .iter()
            .zip(self.programs)
            .map(|(program, file)| {
                json!({
                    "file": file.name,
                    "work": program.title,
                    "cutter": program.cutter.name,
                    "passes": program.passes,
                    "minutes": program.minutes,
                    "places": program.proof.places,
                    "gouge_um": program.proof.gouge_um,
                    "scallop_um": program.proof.scallop_um,
                    "floor_left_um": program.proof.floor_left_um,
                })
            })
            .collect();
        let refusals: Vec<Value> = self
            .mill
            .refusals
            .iter()
            .map(|refusal| {
                json!({ "work": refusal.operation.title(), "message": refusal.to_string() })
            })
            .collect();
        json!({
            "commission": self.title,
            "bodies": bodies,
            "programs": programs,
            "refusals": refusals,
        })
    }
}
