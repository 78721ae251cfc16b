//! Reads a program's text back: the moves that a machine would make of it.
//!
//! Only the words that are written here are known, after the rules of NISTIR 6556: case, spaces
//! and the order of words mean nothing, moves hold until another is named.

use super::moves::{Motion, Move, Path, Point, Turn, rounded};

/// Why a text is not one of ours.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// The line, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub what: String,
}

impl std::fmt::Display for Unread {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "line {}: {}", self.line, self.what)
    }
}

impl std::error::Error for Unread {}

/// How far an arc's two radii may differ, mm (NISTIR 6556).
const RADII_MM: f64 = 0.002;
/// The words that set a program up and move nothing.
const STILL: [(char, f64); 13] = [
    ('G', 4.0),
    ('G', 17.0),
    ('G', 21.0),
    ('G', 40.0),
    ('G', 49.0),
    ('G', 54.0),
    ('G', 80.0),
    ('G', 90.0),
    ('G', 94.0),
    ('M', 3.0),
    ('M', 5.0),
    ('M', 30.0),
    ('M', 2.0),
];

/// The way of a program's text. The first place is where it first knows x, y and z; `from` says
/// where the cutter stands before.
pub fn read_program(text: &str, from: Option<Point>) -> Result<Path, Unread> {
    let mut reading = Reading {
        at: from.map_or([None; 3], |from| from.map(Some)),
        path: from.map(Path::from),
        word: None,
        feed: None,
    };
    for (index, line) in text.lines().enumerate() {
        let told = words(line).and_then(|words| reading.line(&words));
        told.map_err(|what| Unread {
            line: index + 1,
            what,
        })?;
    }
    reading.path.ok_or(Unread {
        line: text.lines().count(),
        what: "no move is complete in x, y and z".into(),
    })
}

/// The words of a line, remarks left away.
fn words(line: &str) -> Result<Vec<(char, f64)>, String> {
    if line.len() > 256 {
        return Err(format!("{} letters; 256 are read at most", line.len()));
    }
    let mut plain = String::new();
    let mut inside = false;
    for letter in line.chars().filter(|letter| !letter.is_whitespace()) {
        match (letter, inside) {
            ('(', false) => inside = true,
            (')', true) => inside = false,
            ('(' | ')', _) => return Err("remarks are not nested".into()),
            (_, true) => {}
            (letter, false) => plain.push(letter.to_ascii_uppercase()),
        }
    }
    if inside {
        return Err("a remark does not end".into());
    }
    let mut words = Vec::new();
    let mut rest = plain.as_str();
    while let Some(letter) = rest.chars().next() {
        let number = &rest[letter.len_utf8()..];
        let end = number
            .find(|c: char| c.is_ascii_alphabetic())
            .unwrap_or(number.len());
        let value = number[..end]
            .parse::<f64>()
            .ok()
            .filter(|value| value.is_finite());
        words.push((letter, value.ok_or(format!("{letter} has no number"))?));
        rest = &number[end..];
    }
    Ok(words)
}

struct Reading {
    at: [Option<f64>; 3],
    path: Option<Path>,
    /// 0 to 3: the move that holds.
    word: Option<u8>,
    feed: Option<f64>,
}

impl Reading {
    fn line(&mut self, words: &[(char, f64)]) -> Result<(), String> {
        let dwells = words.contains(&('G', 4.0));
        let (mut to, mut offset) = (self.at, [None; 2]);
        for &(letter, value) in words {
            match letter {
                'G' if (0.0..=3.0).contains(&value) && value.fract() == 0.0 => {
                    self.word = Some(value as u8)
                }
                'X' => to[0] = Some(value),
                'Y' => to[1] = Some(value),
                'Z' => to[2] = Some(value),
                'I' => offset[0] = Some(value),
                'J' => offset[1] = Some(value),
                'F' => self.feed = Some(value),
                'S' => {}
                'P' if dwells => {}
                _ if STILL.contains(&(letter, value)) => {}
                _ => return Err(format!("{letter}{value} is not known")),
            }
        }
        if words
            .iter()
            .any(|(letter, _)| matches!(letter, 'X' | 'Y' | 'Z' | 'I' | 'J'))
        {
            self.go(to, offset)?;
        }
        Ok(())
    }

    fn go(&mut self, to: [Option<f64>; 3], offset: [Option<f64>; 2]) -> Result<(), String> {
        let word = self.word.ok_or("no move is named")?;
        self.at = to;
        let [Some(x), Some(y), Some(z)] = to else {
            return if word == 0 {
                Ok(())
            } else {
                Err("it cuts before it knows where it is".into())
            };
        };
        let Some(path) = &mut self.path else {
            self.path = Some(Path::from([x, y, z]));
            return Ok(());
        };
        let from = path.end();
        let motion = match word {
            0 => Motion::Rapid,
            _ => {
                let mm_per_min = self.feed.ok_or("no feed is named")?;
                match word {
                    1 => Motion::Feed { mm_per_min },
                    _ => Motion::Arc {
                        centre: centre(from, [x, y, z], offset)?,
                        turn: if word == 2 { Turn::With } else { Turn::Against },
                        mm_per_min,
                    },
                }
            }
        };
        path.moves.push(Move {
            to: [x, y, z],
            motion,
        });
        Ok(())
    }
}

/// An arc's centre: its offsets are whole counts of what is written, and so is the centre.
fn centre(from: Point, to: Point, offset: [Option<f64>; 2]) -> Result<[f64; 2], String> {
    if offset == [None; 2] {
        return Err("an arc has no centre".into());
    }
    let centre = [0, 1].map(|axis| rounded(from[axis] + offset[axis].unwrap_or(0.0)));
    let radius = |at: Point| (at[0] - centre[0]).hypot(at[1] - centre[1]);
    let differ = (radius(from) - radius(to)).abs();
    if differ > RADII_MM {
        return Err(format!(
            "an arc's radii differ by {differ:.4} mm; the limit is {RADII_MM} mm"
        ));
    }
    Ok(centre)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NISTIR 6556, the example of a helical arc: from X7 Y7 the centre is (10, 11), the radius 5.
    #[test]
    fn the_standards_arc_has_its_centre_and_radius() {
        let path = read_program("G17 G2 x10 y16 i3 j4 z9 F100", Some([7.0, 7.0, 12.0]));
        let path = path.expect("the example is sound");
        let [
            Move {
                to,
                motion: Motion::Arc { centre, turn, .. },
            },
        ] = path.moves[..]
        else {
            panic!("one arc: {path:?}");
        };
        assert_eq!(
            (to, centre, turn),
            ([10.0, 16.0, 9.0], [10.0, 11.0], Turn::With)
        );
        let pieces = super::super::moves::straight_pieces(path.start, &path.moves[0]);
        for [_, [x, y, _]] in pieces {
            assert!(((x - 10.0).hypot(y - 11.0) - 5.0).abs() < 1e-12);
        }
    }

    /// NISTIR 6556: `g0x +0. 12 34y 7` is `g0 x+0.1234 y7`.
    #[test]
    fn spaces_and_case_mean_nothing() {
        let path = read_program("g0 z 1\ng0x +0. 12 34y 7", None).expect("sound");
        assert_eq!(path.start, [0.1234, 7.0, 1.0]);
    }

    #[test]
    fn what_no_machine_should_be_given_is_told() {
        let start = Some([0.0, 0.0, 1.0]);
        for (text, told) in [
            ("G2 X10 Y0 I5.002 J0 F100", "radii differ by 0.0040 mm"),
            ("G1 X1", "no feed"),
            ("X1", "no move is named"),
            ("G0 X1 (a (b))", "nested"),
            ("G38 X1", "G38 is not known"),
            ("G0 Xa", "X has no number"),
        ] {
            let unread = read_program(text, start).expect_err(text);
            assert!(unread.what.contains(told), "{unread}");
        }
    }
}
