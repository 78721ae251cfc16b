//! Builds the program for release, looks that it is one file that needs only the system's own
//! libraries, and lays it into `dist/` with its bill of materials, its licences and checksums.
//!
//! `cargo run -p house --example release`
#![allow(
    clippy::print_stdout,
    reason = "telling what lies there is what it is for"
)]

use std::fs;
use std::path::Path;
use std::process::Command;

use house::House;
use house::notices::notices;
use house::parts::{TARGET, page, parts};
use house::sbom::bill;

/// What a program of the system's C compiler always needs.
const SYSTEM: [&str; 4] = [
    "libc.so.6",
    "libm.so.6",
    "libgcc_s.so.1",
    "ld-linux-x86-64.so.2",
];

fn main() -> Result<(), String> {
    let house = House::here();
    let root = house.root();
    let parts = parts()?;
    run(
        Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
            .args([
                "build",
                "--release",
                "--locked",
                "-p",
                "camberwright",
                "--target",
                TARGET,
            ])
            .current_dir(root),
    )?;
    let built = root
        .join("target")
        .join(TARGET)
        .join("release/camberwright");
    let needed = needed(&built)?;
    let strange: Vec<&String> = needed
        .iter()
        .filter(|it| !SYSTEM.contains(&it.as_str()))
        .collect();
    if !strange.is_empty() {
        return Err(format!(
            "the program needs {strange:?}, which not every system has"
        ));
    }
    let dist = root.join("dist");
    fs::create_dir_all(&dist).map_err(|error| format!("dist: {error}"))?;
    let copied = fs::copy(&built, dist.join("camberwright"));
    let bytes = copied.map_err(|error| format!("dist/camberwright: {error}"))?;
    write(
        &dist,
        "camberwright.cdx.json",
        &format!("{:#}\n", bill(&parts)?),
    )?;
    write(&dist, "licences.md", &page(&parts))?;
    write(&dist, "licence-texts.txt", &notices(&parts)?)?;
    let files = [
        "camberwright",
        "camberwright.cdx.json",
        "licences.md",
        "licence-texts.txt",
    ];
    let sums = run(Command::new("sha256sum").args(files).current_dir(&dist))?;
    write(&dist, "SHA256SUMS", &sums)?;
    println!(
        "dist/camberwright, {:.1} MB for {TARGET}; needs of the system: {}",
        bytes as f64 / 1e6,
        needed.join(", ")
    );
    println!(
        "beside it: bill of materials of {} parts, licences, checksums",
        parts.len()
    );
    Ok(())
}

/// The libraries that the loader must find.
fn needed(program: &Path) -> Result<Vec<String>, String> {
    let told = run(Command::new("readelf").arg("-d").arg(program))?;
    let libraries = told.lines().filter(|line| line.contains("(NEEDED)"));
    let name = |line: &str| Some(line.split_once('[')?.1.split(']').next()?.to_owned());
    Ok(libraries.filter_map(name).collect())
}

fn run(command: &mut Command) -> Result<String, String> {
    let words = format!("{command:?}");
    let output = command
        .stderr(std::process::Stdio::inherit())
        .output()
        .map_err(|error| format!("{words}: {error}"))?;
    match output.status.success() {
        true => Ok(String::from_utf8_lossy(&output.stdout).into_owned()),
        false => Err(format!("{words} failed")),
    }
}

fn write(folder: &Path, name: &str, text: &str) -> Result<(), String> {
    fs::write(folder.join(name), text).map_err(|error| format!("dist/{name}: {error}"))
}
