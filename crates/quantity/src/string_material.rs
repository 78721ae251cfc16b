//! What a string of each make is made of where it carries: stiffness, strength, core, and the
//! tension at which it is usually played.

use std::sync::LazyLock;

use crate::csv::{Row, Table, TableFault};
use crate::figure::Figure;
use crate::length::Length;
use crate::string_table::Make;

/// The thinnest and thickest wire to which the law of strength is fitted, mm (the handbook's
/// range for music wire, from memory).
const STRENGTH_FITTED_MM: (f64, f64) = (0.10, 6.5);

/// A core by the rule is never more than this share of its string: a winding needs room
/// (common practice, no source).
const MOST_CORE_SHARE: f64 = 0.65;

/// What is known of the strings of one make; what no source gives is absent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringMaterial {
    /// The make.
    pub make: Make,
    /// Young's modulus of the part that carries (the wire, or the core), GPa.
    pub modulus_gpa: Option<Figure>,
    /// Tensile strength of that part at a diameter of 1 mm, MPa.
    pub strength_mpa: Option<Figure>,
    /// By which power of the diameter the strength falls.
    strength_power: f64,
    /// Diameter of the core in a wound string of 1 mm, mm.
    pub core_mm: Option<Figure>,
    /// By which power of the gauge the core grows.
    core_power: f64,
    /// Stiffness against stretch over pull, EA/T, a plain number.
    pub stretch: Option<Figure>,
    /// Usual tension on a guitar's scale, N; low and high are the range's ends.
    pub usual_n: Option<Figure>,
    /// Usual tension on a bass's scale, N; low and high are the range's ends.
    pub usual_bass_n: Option<Figure>,
}

/// A core's diameter by the rule, with the ends between which cores of that gauge are met.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RuledCore {
    /// The likely diameter.
    pub likely: Length,
    /// A thin core of that gauge.
    pub thinnest: Length,
    /// A thick core of that gauge.
    pub thickest: Length,
}

impl StringMaterial {
    /// Tensile strength of the part that carries, GPa: `A/d^m`, thin wire being the stronger.
    ///
    /// Valid range: diameters of 0.1 to 6.5 mm; nothing outside.
    ///
    /// ```
    /// use quantity::{Length, Make, string_material};
    /// let steel = string_material(Make::PlainSteel).unwrap();
    /// assert!((steel.strength_gpa(Length::from_mm(1.0)).unwrap() - 2.211).abs() < 1e-12);
    /// assert!(steel.strength_gpa(Length::from_mm(20.0)).is_none());
    /// ```
    pub fn strength_gpa(&self, diameter: Length) -> Option<f64> {
        let (thinnest, thickest) = STRENGTH_FITTED_MM;
        let strength_mpa = self.strength_mpa?.value / diameter.mm().powf(self.strength_power);
        (thinnest..=thickest)
            .contains(&diameter.mm())
            .then_some(strength_mpa / 1000.0)
    }

    /// The core of a wound string of this gauge, when nobody has measured it: a share of the
    /// gauge that falls as strings grow thicker.
    ///
    /// Accuracy: from memory; the range is about 13 % to either side, so that the stiffness of
    /// such a core may be wrong by a quarter. Nothing for strings without a steel core.
    pub fn core_by_rule(&self, gauge: Length) -> Option<RuledCore> {
        let core = self.core_mm?;
        let gauge_mm = gauge.mm();
        let grown = gauge_mm.powf(self.core_power);
        let of = |at_1_mm: f64| Length::from_mm((at_1_mm * grown).min(MOST_CORE_SHARE * gauge_mm));
        (gauge_mm > 0.0).then(|| RuledCore {
            likely: of(core.value),
            thinnest: of(core.low.unwrap_or(core.value)),
            thickest: of(core.high.unwrap_or(core.value)),
        })
    }
}

/// What is known of every make.
pub fn string_materials() -> &'static [StringMaterial] {
    static MATERIALS: LazyLock<Vec<StringMaterial>> = LazyLock::new(|| {
        read_string_materials().expect("the built-in table of string materials is read by a test")
    });
    &MATERIALS
}

/// What is known of a make.
pub fn string_material(make: Make) -> Option<&'static StringMaterial> {
    string_materials()
        .iter()
        .find(|material| material.make == make)
}

fn read_string_materials() -> Result<Vec<StringMaterial>, TableFault> {
    let table = Table::read(include_str!("../data/string_materials.csv"))?;
    table.rows().map(|row| read_row(&row)).collect()
}

fn read_row(row: &Row<'_>) -> Result<StringMaterial, TableFault> {
    let make = Make::parse(row.text("make")?).map_err(|error| row.fault(error.to_string()))?;
    let power = |figure: &Option<Figure>, column: &str| match figure {
        Some(_) => row.number(column),
        None => Ok(0.0),
    };
    let strength_mpa = row.figure("strength_mpa")?;
    let core_mm = row.figure("core_mm")?;
    Ok(StringMaterial {
        make,
        modulus_gpa: row.figure("modulus_gpa")?,
        strength_power: power(&strength_mpa, "strength_power")?,
        strength_mpa,
        core_power: power(&core_mm, "core_power")?,
        core_mm,
        stretch: row.figure("stretch")?,
        usual_n: row.figure("usual_n")?,
        usual_bass_n: row.figure("usual_bass_n")?,
    })
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::string_table::string_weights;
    use crate::wire::wire;

    #[test]
    fn every_row_is_read_and_every_make_has_one() {
        let rows = include_str!("../data/string_materials.csv").lines().count() - 1;
        assert_eq!(read_string_materials().unwrap().len(), rows);
        assert_eq!(rows, 6);
        for make in [
            Make::PlainSteel,
            Make::NickelWound,
            Make::PhosphorBronzeWound,
            Make::BrassWound,
            Make::Nylon,
            Make::Other,
        ] {
            assert!(string_material(make).is_some(), "{make}");
        }
    }

    #[test]
    fn every_figure_lies_within_its_range_and_names_its_source() {
        for material in string_materials() {
            for figure in [
                material.modulus_gpa,
                material.strength_mpa,
                material.core_mm,
                material.stretch,
                material.usual_n,
                material.usual_bass_n,
            ]
            .into_iter()
            .flatten()
            {
                let low = figure.low.unwrap_or(figure.value);
                let high = figure.high.unwrap_or(figure.value);
                let context = format!("{}: {figure:?}", material.make);
                assert!(0.0 < low && low <= figure.value, "{context}");
                assert!(
                    figure.value <= high && !figure.source.is_empty(),
                    "{context}"
                );
            }
        }
    }

    #[test]
    fn steel_carries_with_the_modulus_of_music_wire() {
        let music_wire = wire("music wire").unwrap().modulus_gpa;
        for make in [Make::PlainSteel, Make::NickelWound, Make::BrassWound] {
            let modulus = string_material(make).unwrap().modulus_gpa.unwrap();
            assert_eq!(modulus.value, music_wire.value, "{make}");
        }
    }

    #[test]
    fn strength_agrees_with_the_handbooks_inch_form() {
        // Music wire in inches: 201 kpsi in^0.145 (handbooks of machine design, from memory);
        // 1 kpsi = 6.894757 MPa. Both constants are rounded to three or four digits.
        let steel = string_material(Make::PlainSteel).unwrap();
        for inches in [0.008, 0.010, 0.017, 0.1] {
            let published_gpa = 201.0 / f64::powf(inches, 0.145) * 6.894_757e-3;
            let found_gpa = steel.strength_gpa(Length::from_inches(inches)).unwrap();
            assert!(
                (found_gpa / published_gpa - 1.0).abs() < 0.005,
                "{inches}: {found_gpa}, {published_gpa}"
            );
        }
    }

    #[test]
    fn ruled_cores_agree_with_what_published_strings_weigh() {
        // A close round winding of wire w = (D - c)/2 over a core c weighs ρ π² (D² - c²)/16 a
        // length, the core ρ π c²/4 (derived). Nickel-plated steel winding and core alike of
        // about 7850 kg/m3. The core so found swings with the fourth digit of the weight, so
        // the mean over the guitar gauges is compared, to the rule's own range.
        let rho = 7850.0;
        let material = string_material(Make::NickelWound).unwrap();
        let mut ratios = Vec::new();
        for string in string_weights().iter().filter(|string| {
            string.make == Make::NickelWound && (0.5..1.2).contains(&string.gauge_mm)
        }) {
            let square_m = (string.gauge_mm / 1000.0).powi(2);
            let over_winding = 4.0 * string.weight_kg_per_m / (PI * rho * square_m) - PI / 4.0;
            let core_mm = string.gauge_mm * (over_winding / (1.0 - PI / 4.0)).sqrt();
            let rule = material
                .core_by_rule(Length::from_mm(string.gauge_mm))
                .unwrap();
            ratios.push(rule.likely.mm() / core_mm);
        }
        assert!(ratios.len() >= 12, "{ratios:?}");
        let mean = ratios.iter().sum::<f64>() / ratios.len() as f64;
        assert!((0.36 / 0.413..0.47 / 0.413).contains(&mean), "{mean}");
    }

    #[test]
    fn a_ruled_core_leaves_room_for_its_winding() {
        let material = string_material(Make::PhosphorBronzeWound).unwrap();
        for gauge_mm in [1e-6, 0.1, 0.4, 1.0, 3.3, 30.0] {
            let core = material.core_by_rule(Length::from_mm(gauge_mm)).unwrap();
            assert!(core.thinnest.mm() <= core.likely.mm(), "{gauge_mm}");
            assert!(core.likely.mm() <= core.thickest.mm(), "{gauge_mm}");
            assert!(core.thickest.mm() <= 0.65 * gauge_mm, "{gauge_mm}");
        }
        assert!(material.core_by_rule(Length::from_mm(0.0)).is_none());
        let plain = string_material(Make::PlainSteel).unwrap();
        assert!(plain.core_by_rule(Length::from_mm(0.254)).is_none());
    }
}
