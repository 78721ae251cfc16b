//! The program's file, and the program started from it.

use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// The program as it was built like the test or example that asks: `CAMBERWRIGHT` when that is set,
/// else built by cargo and found beside.
///
/// # Errors
/// When it cannot be built.
pub fn program() -> Result<PathBuf, String> {
    if let Some(path) = std::env::var_os("CAMBERWRIGHT") {
        return Ok(path.into());
    }
    // Tests lie in `deps`, examples in `examples`, both within the profile's folder.
    let own = std::env::current_exe().map_err(|error| format!("this program: {error}"))?;
    let folder = own.ancestors().nth(2).ok_or("this program has no folder")?;
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut build = Command::new(cargo);
    build
        .args(["build", "--workspace", "--bin", "camberwright"])
        .args(["--locked", "--quiet"])
        .current_dir(env!("CARGO_MANIFEST_DIR"));
    if folder.ends_with("release") {
        build.arg("--release");
    }
    let status = build.status().map_err(|error| format!("cargo: {error}"))?;
    if !status.success() {
        return Err("the program could not be built".into());
    }
    Ok(folder.join(format!("camberwright{}", std::env::consts::EXE_SUFFIX)))
}

/// A program that is being started.
pub struct Started {
    /// The process; whoever holds it ends it.
    pub child: Child,
    words: BufReader<Box<dyn Read + Send>>,
}

/// Starts the program on a book, on a free port and without a browser.
///
/// # Errors
/// When it cannot be started at all.
pub fn start(program: &Path, book: &Path, more: &[&str]) -> Result<Started, String> {
    let mut child = Command::new(program)
        .args(["--no-browser", "--port", "0", "--book"])
        .arg(book)
        .args(more)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|error| format!("{}: {error}", program.display()))?;
    let pipe = child.stderr.take().ok_or("the program's words are lost")?;
    Ok(Started {
        child,
        words: BufReader::new(Box::new(pipe)),
    })
}

impl Started {
    /// Takes the process out, so that another thread may end it; the words stay here.
    pub fn split(self) -> (Child, Listening) {
        (self.child, Listening { words: self.words })
    }
}

/// The words that a program says as it starts.
pub struct Listening {
    words: BufReader<Box<dyn Read + Send>>,
}

impl Listening {
    /// Waits until the program names its address. What it says instead, when it ends before.
    ///
    /// # Errors
    /// The words that it said; none when it was killed.
    pub fn port(mut self) -> Result<u16, String> {
        let mut said = String::new();
        loop {
            let mut line = String::new();
            match self.words.read_line(&mut line) {
                Ok(0) | Err(_) => return Err(said),
                Ok(_) => said.push_str(&line),
            }
            let port = line
                .split_once("http://127.0.0.1:")
                .and_then(|(_, rest)| rest.split('/').next()?.parse().ok());
            if let Some(port) = port {
                return Ok(port);
            }
        }
    }
}

/// What the kernel counts of a process's memory, kB: `VmRSS` now, `VmHWM` at the most. Nothing where
/// it does not tell.
pub fn memory_kb(process: &str, which: &str) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find_map(|line| {
        let (name, value) = line.split_once(':')?;
        (name == which).then_some(value)
    });
    line?.split_whitespace().next()?.parse().ok()
}
