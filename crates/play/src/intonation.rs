//! In tune: what stopping a string does to its pitch, and the set-backs of saddle and nut that
//! make good for it.
//!
//! Stopping a string stretches it down to the fret and so sharpens it; a stopped string is also
//! shorter against its stiffness, which sharpens it more. The model, its equation numbers and its
//! conventions are those of M. B. Anderson and R. G. Beausoleil, "Classical guitar intonation and
//! compensation: The well-tempered guitar", J. Acoust. Soc. Am. 156, 683 (2024), for any heights
//! of the fret tops instead of a level row.

use std::f64::consts::{LN_2, PI};

use nalgebra::{Matrix2, Vector2};

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
        self.lengths(fret, back).cents(self.kappa) + self.stiffer_cents(fret) - fret.cents
    }

    /// What a stopped string measures: L_0 (12), L_n (13) and L'_n (18), for tops at any height.
    fn lengths(&self, fret: TunedFret, back: SetBack) -> Lengths {
        let Heights { nut_mm, saddle_mm } = self.heights;
        let whole = self.length_mm + back.saddle_mm + back.nut_mm;
        let run = self.length_mm - fret.along_mm + back.saddle_mm;
        let slope = (saddle_mm - fret.top_mm) / run;
        let behind = self.pressed_behind_mm.min(fret.along_mm);
        let sounding = run.hypot(saddle_mm - fret.top_mm);
        Lengths {
            open: whole.hypot(saddle_mm - nut_mm),
            whole,
            sounding,
            run,
            slope,
            behind,
            pressed: behind * sounding / run,
            from_nut: fret.along_mm + back.nut_mm - behind,
            over_pressed: nut_mm - fret.top_mm + slope * behind,
        }
    }

    /// Cents by which the shorter string's stiffness against bending sharpens it: B_n = g_n B_0
    /// (29), the convention of the printed tables. No set-back changes them.
    fn stiffer_cents(&self, fret: TunedFret) -> f64 {
        if self.stiffness == 0.0 {
            return 0.0;
        }
        let ratio = (fret.cents / 1200.0).exp2();
        let bent = |stiffness: f64| 1.0 + stiffness + (1.0 + 0.5 * PI * PI) * stiffness * stiffness;
        1200.0 * (bent(ratio * self.stiffness) / bent(self.stiffness)).log2()
    }

    /// Cents at every fret; index 0 is the open string.
    pub fn all_cents(&self, back: SetBack) -> Vec<f64> {
        let stopped = self.frets.iter().map(|fret| self.cents(*fret, back));
        std::iter::once(0.0).chain(stopped).collect()
    }
}

/// A string stopped at a fret, by its lengths, mm.
struct Lengths {
    /// The open string, L_0, and its run along the board.
    open: f64,
    whole: f64,
    /// From fret to saddle, L_n, its run along the board, and its rise over that run.
    sounding: f64,
    run: f64,
    slope: f64,
    /// From the fret to where it is pressed down behind it: along the board, and of string.
    behind: f64,
    pressed: f64,
    /// From there to the nut: along the board, and the nut's height over it.
    from_nut: f64,
    over_pressed: f64,
}

impl Lengths {
    /// The whole stopped string, L_n + L'_n.
    fn stopped(&self) -> f64 {
        self.sounding + self.pressed + self.from_nut.hypot(self.over_pressed)
    }

    /// Cents over the open string, by its length and its pull: the logarithms of (11) as one.
    fn cents(&self, kappa: f64) -> f64 {
        let stretch = (self.stopped() - self.open) / self.open;
        let shorter = self.open / self.sounding;
        600.0 * (shorter * shorter * (1.0 + stretch) * (1.0 + kappa * stretch)).log2()
    }

    /// Cents for a millimetre of set-back at the saddle and at the nut: the derivatives of
    /// `cents`, length by length.
    fn slopes(&self, kappa: f64) -> [f64; 2] {
        let (stopped, open_by) = (self.stopped(), self.whole / self.open);
        let to_nut = stopped - self.sounding - self.pressed;
        let sounding_by = self.run / self.sounding;
        // A longer run lies flatter, so that what is pressed down behind the fret comes down less.
        let pressed_by = self.behind / self.run * (sounding_by - self.sounding / self.run);
        let over_pressed_by = -self.slope * self.behind / self.run;
        let to_nut_by = [over_pressed_by * self.over_pressed, self.from_nut].map(|by| by / to_nut);
        let stretch = (stopped - self.open) / self.open;
        let slope = |sounding_by: f64, stopped_by: f64| {
            let stretch_by = (stopped_by - stopped * open_by / self.open) / self.open;
            let pull_by = 1.0 / (1.0 + stretch) + kappa / (1.0 + kappa * stretch);
            let shorter_by = 2.0 * (open_by / self.open - sounding_by / self.sounding);
            600.0 / LN_2 * (shorter_by + pull_by * stretch_by)
        };
        [
            slope(sounding_by, sounding_by + pressed_by + to_nut_by[0]),
            slope(0.0, to_nut_by[1]),
        ]
    }
}

/// The parts that two unknowns have in the set-back of one string.
#[derive(Clone, Copy)]
struct Parts {
    saddle: Vector2<f64>,
    nut: Vector2<f64>,
}

impl Parts {
    /// Each unknown is what its name says; what is not free has no part.
    fn of(free: Free) -> Self {
        Self {
            saddle: Vector2::x(),
            nut: match free {
                Free::Saddle => Vector2::zeros(),
                Free::SaddleAndNut => Vector2::y(),
            },
        }
    }

    fn back(self, found: Vector2<f64>) -> SetBack {
        SetBack {
            saddle_mm: self.saddle.dot(&found),
            nut_mm: self.nut.dot(&found),
        }
    }
}

/// The two unknowns that leave the least sum of squared cents over all strings and frets.
///
/// Gauss-Newton on eq. 11 from no set-back at all.
fn least_squares(strings: &[(&Tuned, Parts)]) -> Vector2<f64> {
    let mut found = Vector2::zeros();
    for _ in 0..MOST_STEPS {
        let (mut sums, mut right) = (Matrix2::zeros(), Vector2::zeros());
        for (string, parts) in strings {
            let here = parts.back(found);
            for fret in &string.frets {
                let lengths = string.lengths(*fret, here);
                let cents = lengths.cents(string.kappa) + string.stiffer_cents(*fret) - fret.cents;
                let [by_saddle, by_nut] = lengths.slopes(string.kappa);
                let row = parts.saddle * by_saddle + parts.nut * by_nut;
                right -= row * cents;
                sums += row * row.transpose();
            }
        }
        // An unknown without a part, and a single fret, which tells saddle from nut no more, leave
        // the sums singular: the step of least length is as good as any.
        let Ok(step) = sums.svd(true, true).solve(&right, SINGULAR) else {
            break;
        };
        found += step;
        if step.norm() < STEP_MM {
            break;
        }
    }
    found
}

const MOST_STEPS: usize = 40;
/// Steps smaller than this change no printed digit, mm.
const STEP_MM: f64 = 1e-9;
/// Singular values under this are rounding: a millimetre changes a note by cents.
const SINGULAR: f64 = 1e-12;

/// The best set-back of one string.
pub fn own_set_back(string: &Tuned, free: Free) -> SetBack {
    common_set_back(&[string], free)
}

/// The best set-back that all strings share.
pub fn common_set_back(strings: &[&Tuned], free: Free) -> SetBack {
    let parts = Parts::of(free);
    let strings: Vec<_> = strings.iter().map(|string| (*string, parts)).collect();
    parts.back(least_squares(&strings))
}

/// The best straight saddle: its set-back at every string, for strings at these places across.
/// The nut stays where it is.
pub fn straight_saddle(strings: &[&Tuned], across_mm: &[f64]) -> Vec<SetBack> {
    let middle = across_mm.iter().sum::<f64>() / across_mm.len().max(1) as f64;
    let parts = across_mm.iter().map(|y| Parts {
        saddle: Vector2::new(1.0, (y - middle) / 10.0),
        nut: Vector2::zeros(),
    });
    let slanted: Vec<_> = strings.iter().copied().zip(parts).collect();
    let found = least_squares(&slanted);
    slanted.iter().map(|(_, parts)| parts.back(found)).collect()
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

#[cfg(test)]
mod tests {
    use super::*;

    fn string(frets: usize) -> Tuned {
        let fret = |number: usize| TunedFret {
            along_mm: 650.0 * (1.0 - (-(number as f64) / 12.0).exp2()),
            top_mm: -0.002 * number as f64,
            cents: 100.0 * number as f64,
        };
        Tuned {
            length_mm: 650.0,
            frets: (1..=frets).map(fret).collect(),
            heights: Heights {
                nut_mm: 0.5,
                saddle_mm: 4.0,
            },
            pressed_behind_mm: 5.0,
            kappa: 50.0,
            stiffness: 1e-4,
        }
    }

    #[test]
    fn slopes_are_the_differences_of_the_cents() {
        // Central differences of the formula itself, 1 µm to either side.
        let (model, at) = (
            string(22),
            SetBack {
                saddle_mm: 1.5,
                nut_mm: -0.3,
            },
        );
        let step_mm = 1e-3;
        for fret in &model.frets {
            let cents = |saddle_mm: f64, nut_mm: f64| {
                let moved = SetBack {
                    saddle_mm: at.saddle_mm + saddle_mm,
                    nut_mm: at.nut_mm + nut_mm,
                };
                model.cents(*fret, moved)
            };
            let [by_saddle, by_nut] = model.lengths(*fret, at).slopes(model.kappa);
            let saddle = (cents(step_mm, 0.0) - cents(-step_mm, 0.0)) / (2.0 * step_mm);
            let nut = (cents(0.0, step_mm) - cents(0.0, -step_mm)) / (2.0 * step_mm);
            assert!((by_saddle - saddle).abs() < 1e-7, "{by_saddle} {saddle}");
            assert!((by_nut - nut).abs() < 1e-7, "{by_nut} {nut}");
        }
    }

    #[test]
    fn a_single_fret_is_made_true_by_the_shortest_way() {
        let model = string(1);
        let back = own_set_back(&model, Free::SaddleAndNut);
        assert!(model.cents(model.frets[0], back).abs() < 1e-9, "{back:?}");
        let alone = own_set_back(&model, Free::Saddle);
        assert!(model.cents(model.frets[0], alone).abs() < 1e-9, "{alone:?}");
        let length = back.saddle_mm.hypot(back.nut_mm);
        assert!(length < alone.saddle_mm.abs(), "{back:?} {alone:?}");
    }

    #[test]
    fn no_strings_have_no_set_back() {
        // A board whose strings' stretch is not known.
        for free in [Free::Saddle, Free::SaddleAndNut] {
            assert_eq!(common_set_back(&[], free), SetBack::default());
            assert_eq!(own_set_back(&string(0), free), SetBack::default());
        }
        assert!(straight_saddle(&[], &[]).is_empty());
    }
}
