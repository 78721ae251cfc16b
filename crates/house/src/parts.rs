//! What the program is made of: every package that its release binary is built from, for one
//! system, with version, licence and checksum.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::PathBuf;

use serde_json::Value;

use crate::House;
use crate::cargo::{list, metadata, text};
use crate::licence::spdx;

/// The system that lists are made for.
pub const TARGET: &str = "x86_64-unknown-linux-gnu";

/// The program's package.
const PROGRAM: &str = "camberwright";

/// What a part is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Use {
    /// Its code is in the program.
    Inside,
    /// It only helps to build the program.
    Building,
}

/// A package, a source or a font that the program is made of.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Part {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// Its licence, as an SPDX expression.
    pub licence: String,
    /// What it is there for.
    pub used: Use,
    /// SHA-256 of the package as it was fetched; nothing for our own rooms and for what lies
    /// within another package.
    pub sha256: Option<String>,
    /// Whether it is a room of this house.
    pub own: bool,
    /// The package that holds it, when it is no package of its own.
    pub within: Option<String>,
    /// Keys of the parts that it is built with.
    pub needs: BTreeSet<String>,
    /// The folder of its sources.
    pub folder: PathBuf,
}

impl Part {
    /// What tells it from every other part.
    pub fn key(&self) -> String {
        match &self.within {
            Some(package) => format!("{package}#{}@{}", self.name, self.version),
            None => key(&self.name, &self.version),
        }
    }
}

/// The key of a package.
pub fn key(name: &str, version: &str) -> String {
    format!("{name}@{version}")
}

/// All parts of the program, in order of name and version; the program itself among them.
///
/// # Errors
/// When cargo does not answer, or a package names no licence.
pub fn parts() -> Result<Vec<Part>, String> {
    let graph = metadata(&["--locked", "--filter-platform", TARGET])?;
    let lock = House::here().text("Cargo.lock")?;
    let checksums = checksums(&lock);
    let packages: BTreeMap<String, &Value> = list(&graph, "packages")
        .iter()
        .map(|package| (text(package, "id"), package))
        .collect();
    let nodes: BTreeMap<String, &Value> = list(&graph["resolve"], "nodes")
        .iter()
        .map(|node| (text(node, "id"), node))
        .collect();
    let used = used(&packages, &nodes)?;
    let mut parts = Vec::new();
    for (id, used_for) in &used {
        let package = packages.get(id).ok_or_else(|| format!("{id} is lost"))?;
        let needs = reached(id, &packages, &nodes)
            .into_iter()
            .filter(|(id, _)| used.contains_key(id))
            .filter_map(|(id, _)| packages.get(&id).map(|package| key_of(package)))
            .collect();
        parts.push(part(package, *used_for, needs, &checksums)?);
    }
    parts.extend(within(&parts)?);
    parts.sort();
    Ok(parts)
}

fn key_of(package: &Value) -> String {
    key(&text(package, "name"), &text(package, "version"))
}

fn part(
    package: &Value,
    used: Use,
    needs: BTreeSet<String>,
    checksums: &BTreeMap<String, String>,
) -> Result<Part, String> {
    let (name, version) = (text(package, "name"), text(package, "version"));
    let licence = package["license"]
        .as_str()
        .ok_or_else(|| format!("{name} {version} names no licence"))?;
    let manifest = PathBuf::from(text(package, "manifest_path"));
    Ok(Part {
        licence: spdx(licence),
        used,
        sha256: checksums.get(&key(&name, &version)).cloned(),
        own: package["source"].is_null(),
        within: None,
        needs,
        folder: manifest.parent().map(PathBuf::from).unwrap_or_default(),
        name,
        version,
    })
}

/// Every package that the program is built from. A macro, a build script, and what only these
/// need, help to build.
fn used(
    packages: &BTreeMap<String, &Value>,
    nodes: &BTreeMap<String, &Value>,
) -> Result<BTreeMap<String, Use>, String> {
    let program = packages
        .iter()
        .find(|(_, package)| text(package, "name") == PROGRAM)
        .ok_or("cargo does not know the program")?;
    let mut used = BTreeMap::new();
    let mut open = vec![(program.0.clone(), Use::Inside)];
    while let Some((id, used_for)) = open.pop() {
        // What is inside stays so, whoever else builds with it.
        if used.get(&id).is_some_and(|known| *known <= used_for) {
            continue;
        }
        used.insert(id.clone(), used_for);
        for (next, edge) in reached(&id, packages, nodes) {
            open.push((next, edge.max(used_for)));
        }
    }
    Ok(used)
}

/// What a package is built with, and for what.
fn reached(
    id: &str,
    packages: &BTreeMap<String, &Value>,
    nodes: &BTreeMap<String, &Value>,
) -> Vec<(String, Use)> {
    let Some(node) = nodes.get(id) else {
        return Vec::new();
    };
    let edge = |known: &Value| {
        let kinds = list(known, "dep_kinds");
        let has = |kind: &str| kinds.iter().any(|it| it["kind"] == kind);
        let plain = kinds.iter().any(|it| it["kind"].is_null());
        let next = text(known, "pkg");
        let is_macro = packages
            .get(&next)
            .is_some_and(|package| makes_macros(package));
        match (plain && !is_macro, plain || has("build")) {
            (true, _) => Some((next, Use::Inside)),
            (false, true) => Some((next, Use::Building)),
            (false, false) => None,
        }
    };
    list(node, "deps").iter().filter_map(edge).collect()
}

fn makes_macros(package: &Value) -> bool {
    list(package, "targets")
        .iter()
        .any(|target| list(target, "kind").iter().any(|kind| kind == "proc-macro"))
}

/// The checksums of Cargo.lock, by name and version.
fn checksums(lock: &str) -> BTreeMap<String, String> {
    let value = |package: &str, name: &str| {
        let mark = format!("\n{name} = \"");
        let (_, rest) = package.split_once(&mark)?;
        rest.split('"').next().map(str::to_owned)
    };
    lock.split("[[package]]")
        .filter_map(|package| {
            let key = key(&value(package, "name")?, &value(package, "version")?);
            Some((key, value(package, "checksum")?))
        })
        .collect()
}

/// What lies within packages and has a licence of its own: the database's C source, and the fonts.
fn within(parts: &[Part]) -> Result<Vec<Part>, String> {
    let holder = |name: &str| parts.iter().find(|part| part.name == name);
    let inside = |holder: &Part, name: &str, version: String, licence: &str| Part {
        name: name.to_owned(),
        version,
        licence: licence.to_owned(),
        used: Use::Inside,
        sha256: None,
        own: false,
        within: Some(holder.key()),
        needs: BTreeSet::new(),
        folder: holder.folder.clone(),
    };
    let mut found = Vec::new();
    if let Some(package) = holder("libsqlite3-sys") {
        let header = package.folder.join("sqlite3/sqlite3.h");
        let header = std::fs::read_to_string(&header)
            .map_err(|error| format!("{}: {error}", header.display()))?;
        let version = header
            .split_once("#define SQLITE_VERSION ")
            .and_then(|(_, rest)| rest.split('"').nth(1))
            .ok_or("SQLite's header names no version")?;
        found.push(inside(package, "SQLite", version.to_owned(), "blessing"));
    }
    if let Some(package) = holder("dejavu") {
        let version = package.version.trim_end_matches(".0").to_owned();
        // The fonts are Bitstream Vera's with changes in the public domain, and some signs of
        // Arev's under the same words: <https://dejavu-fonts.github.io/License.html>.
        found.push(inside(package, "DejaVu fonts", version, "Bitstream-Vera"));
    }
    Ok(found)
}

/// The page `docs/licences.md`.
pub fn page(parts: &[Part]) -> String {
    let mut page = format!(
        "# Licences\n\n\
         What the program for `{TARGET}` is made of, from `Cargo.lock`; other systems need a few other packages.\n\
         The table is written by `cargo run -p house --example parts`, and a test holds it against `Cargo.lock`.\n\
         Licences are named as SPDX names them; every expression is satisfied by licences that allow any use and ask at most that their text goes along.\n\
         `cargo run -p house --example release` puts these texts beside the program, from the packages themselves.\n\n\
         The program's own rooms are under MIT or Apache-2.0, as you choose.\n\n"
    );
    let foreign = |used: Use| {
        parts
            .iter()
            .filter(move |part| !part.own && part.used == used)
    };
    let count = |used: Use| foreign(used).count();
    let _cannot_fail = writeln!(
        page,
        "## Inside the program\n\n{} parts.\n",
        count(Use::Inside)
    );
    table(&mut page, foreign(Use::Inside));
    let _cannot_fail = writeln!(
        page,
        "\n## Only to build it\n\n{} parts: macros, build scripts, and what these need. Nothing of them is in the program but the code that the macros wrote.\n",
        count(Use::Building)
    );
    table(&mut page, foreign(Use::Building));
    page.push_str(
        "\n## Fonts\n\n\
         The fonts are in the program whole, with the notice that their licence asks for in their own table of names.\n\
         A PDF holds the letters it uses, which that licence allows.\n",
    );
    page
}

fn table<'a>(page: &mut String, parts: impl Iterator<Item = &'a Part>) {
    page.push_str("| part | version | licence |\n| --- | --- | --- |\n");
    for part in parts {
        let name = match &part.within {
            Some(package) => {
                let package = package.split('@').next().unwrap_or_default();
                format!("{} (in {package})", part.name)
            }
            None => part.name.clone(),
        };
        let _cannot_fail = writeln!(page, "| {name} | {} | {} |", part.version, part.licence);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn checksums_are_read_by_name_and_version() {
        let lock = "version = 4\n\n[[package]]\nname = \"a\"\nversion = \"1.0.0\"\nsource = \"x\"\nchecksum = \"ab\"\n\n[[package]]\nname = \"own\"\nversion = \"0.1.0\"\n";
        let read = checksums(lock);
        assert_eq!(read.get("a@1.0.0").map(String::as_str), Some("ab"));
        assert_eq!(read.len(), 1);
    }
}
