//! In tune: what stopping a string does to its pitch, and the set-backs of saddle and nut that
//! make good for it.
//!
//! Stopping a string stretches it down to the fret and so sharpens it; a stopped string is also
//! shorter against its stiffness, which sharpens it more. The model, its equation numbers and its
//! conventions are those of M. B. Anderson and R. G. Beausoleil, "Classical guitar intonation and
//! compensation: The well-tempered guitar", J. Acoust. Soc. Am. 156, 683 (2024), for any heights
//! of the fret tops instead of a level row.

use std::f64::consts::PI;

use crate::strung::{Heights, StringLine};

/// A string as its tuning sees it.
#[derive(Clone, Debug, PartialEq)]
pub struct Tuned {
    /// Its length from nut to saddle before any set-back, mm.
    pub length_mm: f64,
    /// The frets: place along the string, height of the top, and the cents wanted over the open
    /// string.
    pub frets: Vec<TunedFret>,
    /// Where the open string rests, mm.
    pub heights: Heights,
    /// Behind the fret, where a pressed string is lowest, mm.
    pub pressed_behind_mm: f64,
    /// Stiffness against stretch over pull, a plain number.
    pub kappa: f64,
    /// Stiffness against bending of the open string, `B_0` of the source, a plain number.
    pub stiffness: f64,
}

/// A fret as the tuning sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TunedFret {
    /// Its place along the string, mm.
    pub along_mm: f64,
    /// Its top, mm.
    pub top_mm: f64,
    /// The cents wanted.
    pub cents: f64,
}

/// How far saddle and nut are set back from the length's ends, mm: positive lengthens the string.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SetBack {
    /// At the saddle.
    pub saddle_mm: f64,
    /// At the nut.
    pub nut_mm: f64,
}

/// What of a string's ends may be set back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Free {
    /// The saddle alone.
    Saddle,
    /// Saddle and nut.
    SaddleAndNut,
}

impl Tuned {
    /// A string over its frets under a relief, as if it had no stiffness of any kind.
    pub fn of(line: &StringLine, heights: Heights, relief_mm: f64, cents: &[f64]) -> Self {
        let frets = (1..line.along_mm.len()).map(|fret| TunedFret {
            along_mm: line.along_mm[fret],
            top_mm: line.top(fret, relief_mm),
            cents: cents.get(fret - 1).copied().unwrap_or(0.0),
        });
        Self {
            length_mm: line.length_mm,
            frets: frets.collect(),
            heights,
            pressed_behind_mm: 0.0,
            kappa: 0.0,
            stiffness: 0.0,
        }
    }

    /// Cents that a stopped note is sharp, the open string being true (eq. 11).
    pub fn cents(&self, fret: TunedFret, back: SetBack) -> f64 {
        let Heights { nut_mm, saddle_mm } = self.heights;
        // L_0 (12), L_n (13) and L'_n (18), for tops at any height.
        let open = (self.length_mm + back.saddle_mm + back.nut_mm).hypot(saddle_mm - nut_mm);
        let run = self.length_mm - fret.along_mm + back.saddle_mm;
        let sounding = run.hypot(saddle_mm - fret.top_mm);
        let slope = (saddle_mm - fret.top_mm) / run;
        let behind = self.pressed_behind_mm.min(fret.along_mm);
        let pressed_mm = fret.top_mm - slope * behind;
        let to_nut = (fret.along_mm + back.nut_mm - behind).hypot(nut_mm - pressed_mm);
        let rest = behind * sounding / run + to_nut;
        let stretch = (sounding + rest - open) / open;
        // B_n = g_n B_0 (29), the convention of the printed tables.
        let ratio = (fret.cents / 1200.0).exp2();
        let bent = |stiffness: f64| 1.0 + stiffness + (1.0 + 0.5 * PI * PI) * stiffness * stiffness;
        1200.0 * (open / (ratio * sounding)).log2()
            + 600.0 * (1.0 + stretch).log2()
            + 600.0 * (1.0 + self.kappa * stretch).log2()
            + 1200.0 * (bent(ratio * self.stiffness) / bent(self.stiffness)).log2()
    }

    /// Cents at every fret; index 0 is the open string.
    pub fn all_cents(&self, back: SetBack) -> Vec<f64> {
        let stopped = self.frets.iter().map(|fret| self.cents(*fret, back));
        std::iter::once(0.0).chain(stopped).collect()
    }
}

/// Set-backs with the least sum of squared cents over all strings and frets, when the saddle of
/// string i lies at the sum of the unknowns times `saddle[i]`, and its nut likewise.
///
/// Gauss-Newton on eq. 11 from no set-back at all; the derivatives are taken by differences, which
/// is exact enough because the steps go on until they vanish.
fn least_squares(strings: &[&Tuned], saddle: &[Vec<f64>], nut: &[Vec<f64>]) -> Vec<f64> {
    let unknowns = saddle.first().map_or(0, Vec::len);
    let mut found = vec![0.0; unknowns];
    if unknowns == 0 {
        // Without strings of known stretch there is nothing to set back.
        return found;
    }
    let back = |found: &[f64], string: usize| {
        let sum = |shares: &[f64]| shares.iter().zip(found).map(|(a, x)| a * x).sum();
        SetBack {
            saddle_mm: sum(&saddle[string]),
            nut_mm: sum(&nut[string]),
        }
    };
    for _ in 0..MOST_STEPS {
        let mut sums = nalgebra::DMatrix::<f64>::zeros(unknowns, unknowns);
        let mut right = nalgebra::DVector::<f64>::zeros(unknowns);
        for (index, string) in strings.iter().enumerate() {
            let here = back(&found, index);
            for fret in &string.frets {
                let cents = string.cents(*fret, here);
                let [by_saddle, by_nut] = slopes(string, *fret, here);
                let row = nalgebra::DVector::from_iterator(
                    unknowns,
                    (0..unknowns).map(|u| by_saddle * saddle[index][u] + by_nut * nut[index][u]),
                );
                right -= &row * cents;
                sums += &row * row.transpose();
            }
        }
        // A single fret tells saddle from nut no more: the step of least length is as good.
        let Ok(step) = sums.svd(true, true).solve(&right, 1e-12) else {
            break;
        };
        for (value, by) in found.iter_mut().zip(step.iter()) {
            *value += by;
        }
        if step.norm() < STEP_MM {
            break;
        }
    }
    found
}

const MOST_STEPS: usize = 40;
/// Steps smaller than this change no printed digit, mm.
const STEP_MM: f64 = 1e-9;
/// Derivatives are taken over this way, mm.
const DIFFERENCE_MM: f64 = 1e-3;

/// Cents for a millimetre of set-back at the saddle and at the nut.
fn slopes(string: &Tuned, fret: TunedFret, at: SetBack) -> [f64; 2] {
    let by = |change: SetBack| {
        let moved = |sign: f64| SetBack {
            saddle_mm: at.saddle_mm + sign * change.saddle_mm,
            nut_mm: at.nut_mm + sign * change.nut_mm,
        };
        let (after, before) = (
            string.cents(fret, moved(1.0)),
            string.cents(fret, moved(-1.0)),
        );
        (after - before) / (2.0 * DIFFERENCE_MM)
    };
    let saddle = SetBack {
        saddle_mm: DIFFERENCE_MM,
        nut_mm: 0.0,
    };
    let nut = SetBack {
        saddle_mm: 0.0,
        nut_mm: DIFFERENCE_MM,
    };
    [by(saddle), by(nut)]
}

/// The best set-back of one string.
pub fn own_set_back(string: &Tuned, free: Free) -> SetBack {
    let (saddle, nut) = match free {
        Free::Saddle => (vec![1.0], vec![0.0]),
        Free::SaddleAndNut => (vec![1.0, 0.0], vec![0.0, 1.0]),
    };
    let found = least_squares(&[string], &[saddle], &[nut]);
    SetBack {
        saddle_mm: found.first().copied().unwrap_or(0.0),
        nut_mm: found.get(1).copied().unwrap_or(0.0),
    }
}

/// The best set-back that all strings share.
pub fn common_set_back(strings: &[&Tuned], free: Free) -> SetBack {
    let count = strings.len();
    let (saddle, nut) = match free {
        Free::Saddle => (vec![vec![1.0]; count], vec![vec![0.0]; count]),
        Free::SaddleAndNut => (vec![vec![1.0, 0.0]; count], vec![vec![0.0, 1.0]; count]),
    };
    let found = least_squares(strings, &saddle, &nut);
    SetBack {
        saddle_mm: found.first().copied().unwrap_or(0.0),
        nut_mm: found.get(1).copied().unwrap_or(0.0),
    }
}

/// The best straight saddle: its set-back at every string, for strings at these places across.
/// The nut stays where it is.
pub fn straight_saddle(strings: &[&Tuned], across_mm: &[f64]) -> Vec<SetBack> {
    let middle = across_mm.iter().sum::<f64>() / across_mm.len().max(1) as f64;
    let saddle: Vec<Vec<f64>> = across_mm
        .iter()
        .map(|y| vec![1.0, (y - middle) / 10.0])
        .collect();
    let nut = vec![vec![0.0, 0.0]; strings.len()];
    let found = least_squares(strings, &saddle, &nut);
    saddle
        .iter()
        .map(|shares| SetBack {
            saddle_mm: shares.iter().zip(&found).map(|(a, x)| a * x).sum(),
            nut_mm: 0.0,
        })
        .collect()
}

/// The cents of a string that is tuned true at a fret instead of open.
pub fn retuned(cents: &[f64], fret: usize) -> Vec<f64> {
    let off = cents.get(fret).copied().unwrap_or(0.0);
    cents.iter().map(|at| at - off).collect()
}

/// Root of the mean square over strings and frets, the open string counted, cents.
pub fn rms_cents(cents: &[Vec<f64>]) -> f64 {
    let count = cents.iter().map(Vec::len).sum::<usize>().max(1);
    let squares: f64 = cents.iter().flatten().map(|at| at * at).sum();
    (squares / count as f64).sqrt()
}
