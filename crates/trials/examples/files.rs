//! Makes every file of random commissions: all patterns in all forms, the board as STEP, 3MF and STL,
//! and all programs with their proofs; counts what came of it, and fails when a program would have
//! touched the finished wood or a body did not close.
//!
//! `cargo run --release -p trials --example files -- [COUNT] [FIRST SEED] [FOLDER]`
//!
//! 10,000 boards from seed 0 when no numbers are given; with a folder the files of every board go
//! into one of its own there, for other programs to judge. One board in five is a wild one.
#![allow(clippy::print_stdout, reason = "printing its counts is what it is for")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use bench::Kit;
use camberwright::made::{
    BodyAsk, BodyForm, Form, MadeFile, Pattern, Printing, Subject, WHOLE_BOARD, body_file,
    into_folder, pattern_files, program_files,
};
use camberwright::show::Units;
use instrument::Instrument;
use solid::mill::{Cause, mill};
use trials::{Chance, ordinary_board, wild_board};

/// One board in so many is wild.
const WILD: u64 = 5;
/// Chord tolerance of triangles, mm.
const CHORD_MM: f64 = 0.02;
/// From word to word on how far it is, boards.
const STEP: u64 = 250;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |at: usize, otherwise: u64| {
        let given = arguments.get(at).and_then(|text| text.parse().ok());
        given.unwrap_or(otherwise)
    };
    let (count, first) = (number(0, 10_000), number(1, 0));
    let folder = arguments.get(2).map(PathBuf::from);
    let kit = bench::read_kit(camberwright::demo::KIT.text).expect("the demo is sound");
    let mut tally = Tally::default();
    for seed in first..first + count {
        if let Some(board) = board(seed) {
            make(&board, &kit, seed, folder.as_deref(), &mut tally);
        }
        if (seed - first + 1).is_multiple_of(STEP) {
            eprintln!("{} of {count} boards", seed - first + 1);
        }
    }
    tally.print(count);
    if tally.faults.is_empty() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// What came of all boards.
#[derive(Default)]
struct Tally {
    boards: u64,
    counts: BTreeMap<String, u64>,
    worst: BTreeMap<&'static str, f64>,
    faults: Vec<String>,
}

impl Tally {
    fn count(&mut self, what: impl Into<String>) {
        *self.counts.entry(what.into()).or_default() += 1;
    }

    fn see(&mut self, what: &'static str, value: f64) {
        let worst = self.worst.entry(what).or_insert(f64::NEG_INFINITY);
        *worst = worst.max(value);
    }

    fn print(&self, asked: u64) {
        println!("{} of {asked} boards can be read", self.boards);
        for (what, count) in &self.counts {
            println!("  {count:>8}  {what}");
        }
        for (what, value) in &self.worst {
            println!("  {value:>8.3}  {what}, at the worst");
        }
        for fault in self.faults.iter().take(20) {
            println!("  FAULT {fault}");
        }
        println!("{} faults", self.faults.len());
    }
}

/// The board of a seed, with dots, a blank and a scallop of its own; nothing when its text is no
/// sound commission.
fn board(seed: u64) -> Option<Instrument> {
    let mut chance = Chance::new(40_000 + seed);
    let text = match seed.is_multiple_of(WILD) {
        true => wild_board(&mut chance).to_toml(),
        false => ordinary_board(&mut chance).to_toml(),
    };
    let none = |_: &str| Err("no files".to_owned());
    let dotted = format!("{text}\n[dots]\ndiameter = 5\ndepth = 1\n");
    let read = instrument::read_commission(&dotted, &none);
    let mut board = read
        .or_else(|_| instrument::read_commission(&text, &none))
        .ok()?;
    board.blank.thickness_mm = board.wood.crown_thickness_mm + chance.between(0.0, 3.0);
    board.cutting.scallop_mm = chance.between(0.004, 0.05);
    Some(board)
}

fn make(board: &Instrument, kit: &Kit, seed: u64, folder: Option<&Path>, tally: &mut Tally) {
    tally.boards += 1;
    let sheet = play::sheet(board, Some(kit));
    let subject = Subject {
        instrument: board,
        sheet: &sheet,
        plan: None,
        kit: Some(kit),
        units: Units::default(),
    };
    let mut files = patterns(&subject, seed, tally);
    files.extend(bodies(board, seed, tally));
    files.extend(programs(&subject, kit, seed, tally));
    if let Some(folder) = folder
        && let Err(why) = into_folder(&folder.join(format!("board-{seed}")), &files)
    {
        tally.faults.push(format!("seed {seed}: {why}"));
    }
}

fn patterns(subject: &Subject<'_>, seed: u64, tally: &mut Tally) -> Vec<MadeFile> {
    let mut files = Vec::new();
    for pattern in Pattern::ALL {
        for (_, scene) in pattern.scenes(subject) {
            if scene.count_undrawable() > 0 {
                let title = pattern.title();
                tally.faults.push(format!(
                    "seed {seed}: {title} has marks that cannot be drawn"
                ));
            }
        }
        for form in Form::ALL {
            match pattern_files(subject, pattern, form, &Printing::USUAL) {
                Ok(made) => files.extend(made),
                Err(why) => tally.count(format!("pattern refused: {}", without_figures(&why))),
            }
        }
    }
    for file in &files {
        let ending = file.name.rsplit('.').next().unwrap_or_default();
        tally.count(format!("{ending} files of patterns"));
    }
    files
}

fn bodies(board: &Instrument, seed: u64, tally: &mut Tally) -> Vec<MadeFile> {
    let ask = BodyAsk::Board(WHOLE_BOARD);
    let body = match ask.body(board) {
        Ok(body) => body,
        Err(why) => {
            if why.contains("does not close") {
                tally.faults.push(format!("seed {seed}: {why}"));
            }
            tally.count(format!("body refused: {}", without_figures(&why)));
            return Vec::new();
        }
    };
    tally.count("bodies that close");
    let mut files = Vec::new();
    for form in BodyForm::ALL {
        match body_file(&ask.name(board), &body, form, CHORD_MM) {
            Ok(file) => files.push(file),
            Err(why) => tally.faults.push(format!("seed {seed}: {why}")),
        }
    }
    files
}

fn programs(subject: &Subject<'_>, kit: &Kit, seed: u64, tally: &mut Tally) -> Vec<MadeFile> {
    let board = subject.instrument;
    let mill = mill(board, kit);
    for program in &mill.programs {
        tally.count(format!("programs: {}", program.title));
        let proof = &program.proof;
        tally.see("µm gouged", proof.gouge_um);
        if let Some(scallop) = proof.scallop_um {
            tally.see(
                "of the scallop asked",
                1e-3 * scallop / board.cutting.scallop_mm,
            );
        }
        if proof.gouge_um > 1.0 {
            tally
                .faults
                .push(format!("seed {seed}: {} gouges", program.name));
        }
    }
    for refusal in &mill.refusals {
        let proof_failed = matches!(
            refusal.cause,
            Cause::Gouge { .. } | Cause::Scallop { .. } | Cause::RapidInWood { .. }
        );
        if proof_failed && !seed.is_multiple_of(WILD) {
            tally.faults.push(format!("seed {seed}: {refusal}"));
        }
        let why = without_figures(&refusal.to_string());
        tally.count(format!(
            "program refused: {}: {why}",
            refusal.operation.title()
        ));
    }
    program_files(subject, &mill)
}

/// A message with its figures taken out, so that like ones are counted together.
fn without_figures(message: &str) -> String {
    let figures = |character: char| match character {
        '0'..='9' => '#',
        other => other,
    };
    let mut text: String = message.chars().take(70).map(figures).collect();
    while text.contains("##") {
        text = text.replace("##", "#");
    }
    text.replace("#.#", "#")
}
