//! The moisture that wood settles to in air of a given temperature and humidity.

use std::sync::LazyLock;

use crate::csv::{Table, TableFault};
use crate::error::{Problem, Quantity, QuantityError};

/// One parameter of the formula: a0 + a1 T + a2 T^2, T in degrees Celsius.
#[derive(Clone, Copy, Default)]
struct Parameter {
    a0: f64,
    a1_per_c: f64,
    a2_per_c2: f64,
}

impl Parameter {
    fn at(self, temperature_c: f64) -> f64 {
        self.a0 + (self.a1_per_c + self.a2_per_c2 * temperature_c) * temperature_c
    }
}

/// The four parameters of the formula, by their letters in the source.
struct Formula {
    w: Parameter,
    k: Parameter,
    k1: Parameter,
    k2: Parameter,
}

/// The equilibrium moisture content of wood, in percent of its dry mass.
///
/// Wood left long enough in such air neither gains nor loses moisture; a fingerboard
/// moves by its coefficient for each percent that this changes.
///
/// Units: degrees Celsius, percent of relative humidity.
/// Accuracy: within 0.06 of the Wood Handbook's table between -1 and 93 °C, 5 and 95 %;
/// beyond that the formula is continued without a table to judge it by. Woods differ
/// among themselves by more.
/// Valid range: -20 to 100 °C, 0 to 100 %.
///
/// # Errors
/// Refuses a temperature or humidity outside the range, or not finite.
///
/// References: W. T. Simpson, "Equilibrium moisture content of wood in outdoor locations
/// in the United States and worldwide", FPL-RN-0268 (1998); Wood Handbook, FPL-GTR-190
/// (2010), eq. 4-5 and Table 4-2.
///
/// ```
/// let percent = quantity::equilibrium_moisture_percent(21.1, 50.0).unwrap();
/// assert!((percent - 9.2).abs() < 0.06);
/// ```
pub fn equilibrium_moisture_percent(
    temperature_c: f64,
    relative_humidity_percent: f64,
) -> Result<f64, QuantityError> {
    check(temperature_c, -20.0, Quantity::Temperature, "°C")?;
    check(
        relative_humidity_percent,
        0.0,
        Quantity::RelativeHumidity,
        "%",
    )?;
    let formula = formula();
    // h: relative humidity as a part of one; W, K, K1, K2 as in the source.
    let h = relative_humidity_percent / 100.0;
    let w = formula.w.at(temperature_c);
    let kh = formula.k.at(temperature_c) * h;
    let k1kh = formula.k1.at(temperature_c) * kh;
    let k1k2k2h2 = k1kh * formula.k2.at(temperature_c) * kh;
    Ok(1800.0 / w * (kh / (1.0 - kh) + (k1kh + 2.0 * k1k2k2h2) / (1.0 + k1kh + k1k2k2h2)))
}

/// Refuses a value below `low` or above 100, the upper limit of both inputs.
fn check(
    value: f64,
    low: f64,
    quantity: Quantity,
    unit: &'static str,
) -> Result<(), QuantityError> {
    const HIGH: f64 = 100.0;
    if (low..=HIGH).contains(&value) {
        return Ok(());
    }
    let problem = Problem::OutOfRange {
        low,
        high: HIGH,
        unit,
    };
    Err(QuantityError::new(
        &format!("{value} {unit}"),
        quantity,
        problem,
    ))
}

fn formula() -> &'static Formula {
    static FORMULA: LazyLock<Formula> = LazyLock::new(|| {
        read_formula().expect("the built-in constants of the formula are read by a test")
    });
    &FORMULA
}

fn read_formula() -> Result<Formula, TableFault> {
    let table = Table::read(include_str!("../data/emc_formula.csv"))?;
    let parameter = |letter: &str| {
        let mut found = Err(TableFault {
            record: 1,
            fault: format!("no parameter {letter}"),
        });
        for row in table.rows() {
            if row.text("parameter")? == letter {
                found = Ok(Parameter {
                    a0: row.number("a0")?,
                    a1_per_c: row.number("a1_per_c")?,
                    a2_per_c2: row.number("a2_per_c2")?,
                });
            }
        }
        found
    };
    Ok(Formula {
        w: parameter("W")?,
        k: parameter("K")?,
        k1: parameter("K1")?,
        k2: parameter("K2")?,
    })
}
