//! Woods: hardness, density, movement with moisture, and the notes on health and law.

use std::sync::LazyLock;

use crate::csv::{Table, TableFault};
use crate::figure::{Figure, Mark};
use crate::length::Length;
use crate::spelling;

/// What is reported of a wood's dust and splinters.
///
/// Being listed does not mean harm will follow, and a wood without a note is not thereby
/// safe: all wood dust is harmful to breathe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HealthNote {
    /// What is reported.
    pub reported: &'static str,
    /// Who reports it.
    pub source: &'static str,
    /// How the report was got.
    pub mark: Mark,
}

/// What trade law is known to say of a wood; local law and its authority come first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LawNote {
    /// The listing.
    pub listing: &'static str,
    /// Where it was found.
    pub source: &'static str,
    /// How it was got.
    pub mark: Mark,
}

/// A wood and what is published of it; what no source gives is absent, never invented.
#[derive(Clone, Debug, PartialEq)]
pub struct Wood {
    /// The common name.
    pub name: &'static str,
    /// The botanical name.
    pub botanical: &'static str,
    /// Other common names it is found by.
    pub other_names: Vec<&'static str>,
    /// Side hardness (Janka) in newtons, dry.
    pub hardness_n: Option<Figure>,
    /// Density in kg/m3 at about 12 % moisture.
    pub density_kg_m3: Option<Figure>,
    /// Radial movement C_R: part of the width for each 1 % of moisture, between 6 and 14 %.
    pub movement_radial: Option<Figure>,
    /// Tangential movement C_T: part of the width for each 1 % of moisture, between 6 and 14 %.
    pub movement_tangential: Option<Figure>,
    /// What is reported of its dust.
    pub health: Option<HealthNote>,
    /// What trade law says of it.
    pub law: Option<LawNote>,
}

/// Every wood of the table, guitar woods first.
pub fn woods() -> &'static [Wood] {
    static WOODS: LazyLock<Vec<Wood>> =
        LazyLock::new(|| read_woods().expect("the built-in tables of woods are read by a test"));
    &WOODS
}

/// The wood of this name: common, other or botanical, in any case of letters.
///
/// A parenthesis may be left out, `ebony, African` may stand for `African ebony`, and
/// `Guibourtia` for `Guibourtia spp.`. A name that fits several woods finds none.
///
/// ```
/// use quantity::wood;
/// assert_eq!(wood("mahogany").unwrap().botanical, "Swietenia macrophylla");
/// assert!(wood("Quercus").is_none());
/// ```
pub fn wood(name: &str) -> Option<&'static Wood> {
    let wanted = plain_name(name);
    let whole = |candidate: &&str| plain_name(candidate) == wanted;
    if let Some(found) = woods()
        .iter()
        .find(|wood| names_of(wood).any(|name| whole(&name)))
    {
        return Some(found);
    }
    let wanted = bare_name(name);
    let mut fitting = woods()
        .iter()
        .filter(|wood| names_of(wood).any(|name| bare_name(name) == wanted));
    match (fitting.next(), fitting.next()) {
        (Some(only), None) => Some(only),
        _ => None,
    }
}

/// The common name that comes nearest to `name`, for a "did you mean".
///
/// A name of which `name` is one word comes first, then the one spelled most like it.
pub fn nearest_wood_name(name: &str) -> Option<&'static str> {
    let wanted = plain_name(name);
    let holds_word = |wood: &&Wood| plain_name(wood.name).split(' ').any(|word| word == wanted);
    if let Some(found) = wood(name).or_else(|| woods().iter().find(holds_word)) {
        return Some(found.name);
    }
    let every_name = woods()
        .iter()
        .flat_map(|wood| names_of(wood).map(move |name| (name, wood)));
    let pairs: Vec<(String, &'static Wood)> = every_name
        .map(|(name, wood)| (bare_name(name), wood))
        .collect();
    let bare = bare_name(name);
    let found = spelling::nearest(&bare, pairs.iter().map(|(name, _)| name.as_str()))?;
    pairs
        .iter()
        .find(|(name, _)| name == found)
        .map(|(_, wood)| wood.name)
}

/// How much wider (or, below zero, narrower) a board becomes when its moisture changes.
///
/// `movement_per_percent` is C_T across a flat-sawn board, C_R across a quarter-sawn one.
///
/// Units: moisture in percent of dry mass.
/// Accuracy: of the coefficient, which varies from tree to tree.
/// Valid range: moisture between 6 and 14 % before and after.
///
/// References: Wood Handbook, FPL-GTR-190 (2010), eq. 13-2.
///
/// ```
/// use quantity::{Length, width_change, wood};
/// let cherry = wood("black cherry").unwrap().movement_tangential.unwrap();
/// let change = width_change(Length::from_mm(60.0), cherry.value, -2.0);
/// assert!((change.mm() + 0.298).abs() < 0.001);
/// ```
pub fn width_change(
    width: Length,
    movement_per_percent: f64,
    moisture_change_percent: f64,
) -> Length {
    Length::from_mm(width.mm() * movement_per_percent * moisture_change_percent)
}

fn names_of(wood: &'static Wood) -> impl Iterator<Item = &'static str> {
    [wood.name, wood.botanical]
        .into_iter()
        .chain(wood.other_names.iter().copied())
}

/// Lower case, single spaces, `ebony, African` turned round.
fn plain_name(name: &str) -> String {
    let turned = match name.split_once(',') {
        Some((last, first)) => format!("{first} {last}"),
        None => name.to_owned(),
    };
    let lower = turned.to_lowercase().replace('-', " ");
    lower.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The plain name without its parenthesis and without "sp." or "spp.".
fn bare_name(name: &str) -> String {
    let without_parenthesis = match (name.find('('), name.rfind(')')) {
        (Some(open), Some(close)) if open < close => {
            format!("{} {}", &name[..open], &name[close + 1..])
        }
        _ => name.to_owned(),
    };
    let plain = plain_name(&without_parenthesis);
    let species = plain
        .strip_suffix(" spp.")
        .or_else(|| plain.strip_suffix(" sp."));
    species.unwrap_or(&plain).to_owned()
}

fn read_woods() -> Result<Vec<Wood>, TableFault> {
    let mut woods = Vec::new();
    for row in Table::read(include_str!("../data/woods.csv"))?.rows() {
        woods.push(Wood {
            name: row.text("name")?,
            botanical: row.text("botanical")?,
            other_names: row
                .text("also")?
                .split(';')
                .filter(|name| !name.is_empty())
                .collect(),
            hardness_n: row.figure("hardness_n")?,
            density_kg_m3: row.figure("density_kg_m3")?,
            movement_radial: row.figure("movement_radial")?,
            movement_tangential: row.figure("movement_tangential")?,
            health: None,
            law: None,
        });
    }
    add_health_notes(&mut woods)?;
    add_law_notes(&mut woods)?;
    Ok(woods)
}

fn add_health_notes(woods: &mut [Wood]) -> Result<(), TableFault> {
    for row in Table::read(include_str!("../data/wood_health.csv"))?.rows() {
        let name = row.text("name")?;
        let wood = woods.iter_mut().find(|wood| wood.name == name);
        let wood = wood.ok_or_else(|| row.fault(format!("no wood \"{name}\"")))?;
        wood.health = Some(HealthNote {
            reported: row.text("reported")?,
            source: row.text("source")?,
            mark: row.mark("mark")?,
        });
    }
    Ok(())
}

fn add_law_notes(woods: &mut [Wood]) -> Result<(), TableFault> {
    for row in Table::read(include_str!("../data/wood_law.csv"))?.rows() {
        let name = row.text("name")?;
        let wood = woods.iter_mut().find(|wood| wood.name == name);
        let wood = wood.ok_or_else(|| row.fault(format!("no wood \"{name}\"")))?;
        wood.law = Some(LawNote {
            listing: row.text("listing")?,
            source: row.text("source")?,
            mark: row.mark("mark")?,
        });
    }
    Ok(())
}
