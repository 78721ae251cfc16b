//! The house as it stands on disk.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// The root of the workspace and what lies in it.
#[derive(Clone, Debug)]
pub struct House {
    root: PathBuf,
}

/// A source file of a room.
#[derive(Clone, Debug)]
pub struct Source {
    /// The room's folder under `crates/`.
    pub room: String,
    /// Its path from the root, with forward slashes.
    pub path: String,
    /// Its text.
    pub text: String,
}

impl House {
    /// The house in which this crate stands.
    pub fn here() -> Self {
        let own = Path::new(env!("CARGO_MANIFEST_DIR"));
        let root = own.ancestors().nth(2).unwrap_or(own).to_path_buf();
        Self { root }
    }

    /// Its root.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// True when a path from the root is there.
    pub fn has(&self, path: &str) -> bool {
        self.root.join(path).exists()
    }

    /// The text of a file, by its path from the root.
    ///
    /// # Errors
    /// When it cannot be read; the message names it.
    pub fn text(&self, path: &str) -> Result<String, String> {
        fs::read_to_string(self.root.join(path)).map_err(|error| format!("{path}: {error}"))
    }

    /// Every `.rs` file of every room, of `folder` within it (`src` or `tests`), in order of path.
    ///
    /// # Errors
    /// When a folder or file cannot be read.
    pub fn sources(&self, folder: &str) -> io::Result<Vec<Source>> {
        let mut sources = Vec::new();
        for room in folders(&self.root.join("crates"))? {
            let files = files_under(&room.join(folder))?;
            for file in files
                .into_iter()
                .filter(|file| file.extension().is_some_and(|e| e == "rs"))
            {
                let text = fs::read_to_string(&file)?;
                let name = room
                    .file_name()
                    .map_or(String::new(), |name| name.display().to_string());
                sources.push(Source {
                    room: name,
                    path: self.shown(&file),
                    text,
                });
            }
        }
        Ok(sources)
    }

    /// Every Markdown text that readers are sent to: `README.md`, `ARCHITECTURE.md`, all under
    /// `docs/`; paths from the root.
    ///
    /// # Errors
    /// When a folder cannot be read.
    pub fn documents(&self) -> io::Result<Vec<String>> {
        let mut documents = vec!["README.md".to_owned(), "ARCHITECTURE.md".to_owned()];
        let all = files_under(&self.root.join("docs"))?;
        let markdown = all
            .into_iter()
            .filter(|file| file.extension().is_some_and(|e| e == "md"));
        documents.extend(markdown.map(|file| self.shown(&file)));
        Ok(documents)
    }

    fn shown(&self, file: &Path) -> String {
        let path = file.strip_prefix(&self.root).unwrap_or(file);
        path.display().to_string().replace('\\', "/")
    }
}

fn folders(of: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(of)? {
        let path = entry?.path();
        if path.is_dir() {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

/// All files under a folder, folders within it included; none when it is not there.
fn files_under(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(folder) = open.pop() {
        if !folder.is_dir() {
            continue;
        }
        for entry in fs::read_dir(&folder)? {
            let path = entry?.path();
            if path.is_dir() {
                open.push(path)
            } else {
                files.push(path)
            }
        }
    }
    files.sort();
    Ok(files)
}
