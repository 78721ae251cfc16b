//! Writes the bodies of the demo commissions into a folder, with `solids.json`, which says of each
//! file what is in it: volume, chord tolerance, points on the exact upper side.
//!
//! `cargo run --release -p solid --example write_solids -- FOLDER`

#![allow(
    clippy::print_stdout,
    reason = "a program that is run by hand reports what it wrote"
)]

use std::fmt::Write as _;
use std::path::Path;

use instrument::{Radius, read_commission};
use solid::body::{
    BoardParts, Body, Part, PressCaul, ToolShape, board_body, mesh, press_caul, tool_body,
    write_step, write_stl, write_three_mf,
};

type Failure = Box<dyn std::error::Error>;

fn main() -> Result<(), Failure> {
    let folder = std::env::args().nth(1).ok_or("give a folder to write to")?;
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    let mut record = String::new();
    for (name, text) in commissions() {
        let instrument = read_commission(&text, &|_| Err("no files".into()))
            .map_err(|faults| format!("{name}: {faults:?}"))?;
        for (parts, called) in ALL_PARTS {
            let body = board_body(&instrument, parts)?;
            write_files(folder, &format!("{name}-{called}"), &body, &mut record)?;
        }
        let caul = press_caul(&instrument, a_caul())?;
        write_files(
            folder,
            &format!("{name}-caul"),
            &tool_body(&caul)?,
            &mut record,
        )?;
    }
    for (name, radius) in [
        ("cylinder", [305.0, 305.0]),
        ("cone", [240.0, 400.0]),
        ("flat", [f64::INFINITY; 2]),
    ] {
        let body = tool_body(&block(name, radius))?;
        write_files(folder, &format!("block-{name}"), &body, &mut record)?;
    }
    std::fs::write(folder.join("solids.json"), format!("[\n{record}\n]\n"))?;
    Ok(())
}

const CHORDS_MM: [f64; 2] = [0.02, 0.001];

const ALL_PARTS: [(BoardParts, &str); 4] = [
    (parts(Part::Left, Part::Left, Part::Left), "whole"),
    (parts(Part::Cut, Part::Left, Part::Left), "slots"),
    (parts(Part::Left, Part::Cut, Part::Cut), "dots"),
    (parts(Part::Cut, Part::Cut, Part::Cut), "all"),
];

const fn parts(slots: Part, rebate: Part, dots: Part) -> BoardParts {
    BoardParts {
        slots,
        rebate,
        dots,
    }
}

/// The demo commissions, and Sandpiper with a ledge under its binding; all with dots.
fn commissions() -> Vec<(&'static str, String)> {
    const SANDPIPER: &str = include_str!("../../../demo/sandpiper.toml");
    let with_dots = |text: &str| match text.contains("[dots]") {
        true => text.to_owned(),
        false => format!(
            "{text}\n[dots]\ndiameter = 5\ndepth = 1.5\nfrets = [3, 5, 7, 12]\ndouble = [12]\napart = 18\n"
        ),
    };
    let ledge = SANDPIPER.replace(
        "binding = \"1.5 mm\"",
        "binding = { width = \"1.5 mm\", ledge = \"2 mm\" }",
    );
    vec![
        ("heron", with_dots(include_str!("../../../demo/heron.toml"))),
        ("sandpiper", with_dots(SANDPIPER)),
        ("ledge", with_dots(&ledge)),
        (
            "bittern",
            with_dots(include_str!("../../../demo/bittern.toml")),
        ),
        (
            "avocet",
            with_dots(include_str!("../../../demo/avocet.toml")),
        ),
    ]
}

const fn a_caul() -> PressCaul {
    PressCaul {
        fret: 7,
        ratio: 0.9,
        length_mm: 12.0,
        height_mm: 20.0,
    }
}

fn block(name: &str, radius_mm: [f64; 2]) -> ToolShape {
    ToolShape {
        title: format!("North bench, {name} block"),
        length_mm: 200.0,
        width_mm: 70.0,
        height_mm: 30.0,
        radius: radius_mm.map(Radius::from_mm),
    }
}

fn write_files(folder: &Path, name: &str, body: &Body, record: &mut String) -> Result<(), Failure> {
    let step = format!("{name}.step");
    std::fs::write(folder.join(&step), write_step(body, ""))?;
    for note in &body.notes {
        println!("{name}: {note}");
    }
    add_record(record, &step, body, 0.0)?;
    for chord_mm in CHORDS_MM {
        let mesh = mesh(body, chord_mm)?;
        println!(
            "{name}, chord {chord_mm} mm: {} triangles, at most {:.6} mm off",
            mesh.triangles.len(),
            mesh.off_mm
        );
        let [stl, package] = ["stl", "3mf"].map(|kind| format!("{name}-{chord_mm}.{kind}"));
        std::fs::write(folder.join(&stl), write_stl(&mesh, &body.title))?;
        std::fs::write(folder.join(&package), write_three_mf(&mesh, &body.title)?)?;
        add_record(record, &stl, body, chord_mm)?;
        add_record(record, &package, body, chord_mm)?;
    }
    Ok(())
}

/// One line of the record.
fn add_record(record: &mut String, file: &str, body: &Body, chord_mm: f64) -> Result<(), Failure> {
    let samples: Vec<String> = samples(body)
        .iter()
        .map(|[x, y, z]| format!("[{x:?},{y:?},{z:?}]"))
        .collect();
    let comma = if record.is_empty() { "" } else { ",\n" };
    write!(
        record,
        "{comma}{{\"file\":\"{file}\",\"volume_mm3\":{:?},\"chord_mm\":{chord_mm:?},\"samples\":[{}]}}",
        body.volume_mm3(),
        samples.join(",")
    )?;
    Ok(())
}

/// Places spread over the plan by two irrational steps, with the height of the upper side.
fn samples(body: &Body) -> Vec<[f64; 3]> {
    let corners = body.outline_mm();
    let spread = |i: usize| {
        let values = corners.map(|corner| corner[i]);
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        (
            low,
            values.iter().copied().fold(f64::NEG_INFINITY, f64::max) - low,
        )
    };
    let ((x, length), (y, width)) = (spread(0), spread(1));
    (1..80)
        .filter_map(|step| {
            let at = |share: f64| (share * f64::from(step)).fract();
            let at = [
                x + length * at(0.754_877_666),
                y + width * at(0.569_840_291),
            ];
            Some([at[0], at[1], body.height_mm(at[0], at[1])?])
        })
        .collect()
}
