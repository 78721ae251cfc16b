//! The text of a program: RS-274/NGC, plain moves only.
//!
//! References: T. R. Kramer, F. M. Proctor, E. Messina, *The NIST RS274NGC Interpreter*, NISTIR
//! 6556 (2000): lines of at most 256 letters, remarks in brackets that are not nested, arcs by
//! their centre as an offset from where they begin, both radii within 0.002 mm of one another.

use std::fmt::Write;

use super::Program;
use super::moves::{DECIMALS, Motion, Point, Turn, rounded};

/// How long the spindle has to come to its speed, s (common practice, no source).
pub(crate) const SPIN_UP_S: f64 = 3.0;
/// Remarks are broken at this many letters: screens of machines are narrow.
const REMARK_LETTERS: usize = 100;

/// The whole text.
pub(crate) fn text(program: &Program) -> String {
    let mut text = String::with_capacity(64 * program.path.moves.len() + 8192);
    for remark in &program.remarks {
        remarks(&mut text, remark);
    }
    text.push_str("G21 G90 G17 G94 G40 G49 G80\nG54\n");
    let _written = writeln!(text, "S{:.0} M3\nG4 P{SPIN_UP_S:.1}", program.cutter.rpm);
    moves(&mut text, program);
    text.push_str("M5\nM30\n");
    text
}

/// A remark in as many lines as it needs, plain letters only.
fn remarks(text: &mut String, remark: &str) {
    let mut line = String::new();
    let mut close = |line: &mut String| {
        let _written = writeln!(text, "({line})");
        line.clear();
    };
    for word in remark.split_whitespace() {
        let word: String = word.chars().map(plain).collect();
        if !line.is_empty() && line.len() + word.len() >= REMARK_LETTERS {
            close(&mut line);
            line.push_str("  ");
        }
        if !line.trim().is_empty() {
            line.push(' ');
        }
        line.extend(word.chars().take(REMARK_LETTERS));
    }
    close(&mut line);
}

/// A letter that every machine reads, and that ends no remark.
fn plain(letter: char) -> char {
    match letter {
        '(' => '[',
        ')' => ']',
        'µ' => 'u',
        ';' => ',',
        '·' | '×' => '*',
        '–' | '—' => '-',
        letter if letter.is_ascii_graphic() && letter != '%' => letter,
        _ => '?',
    }
}

fn moves(text: &mut String, program: &Program) {
    let [x, y, z] = program.path.start;
    // Up first, from wherever the cutter stands.
    let _written = writeln!(
        text,
        "G0 Z{z:.DECIMALS$}\nG0 X{x:.DECIMALS$} Y{y:.DECIMALS$}"
    );
    let mut feed = None;
    for (from, leg) in program.path.legs() {
        let word = match leg.motion {
            Motion::Rapid => "G0",
            Motion::Feed { .. } => "G1",
            Motion::Arc {
                turn: Turn::With, ..
            } => "G2",
            Motion::Arc {
                turn: Turn::Against,
                ..
            } => "G3",
        };
        text.push_str(word);
        let always = matches!(leg.motion, Motion::Arc { .. });
        axes(text, from, leg.to, always);
        if let Motion::Arc { centre, .. } = leg.motion {
            let [i, j] = [0, 1].map(|axis| rounded(centre[axis] - from[axis]));
            let _written = write!(text, " I{i:.DECIMALS$} J{j:.DECIMALS$}");
        }
        if let Motion::Feed { mm_per_min } | Motion::Arc { mm_per_min, .. } = leg.motion
            && feed.replace(mm_per_min) != Some(mm_per_min)
        {
            let _written = write!(text, " F{mm_per_min:.1}");
        }
        text.push('\n');
    }
}

/// The words of the axes that change; x and y always where `always` says so.
fn axes(text: &mut String, from: Point, to: Point, always: bool) {
    for (axis, letter) in ['X', 'Y', 'Z'].into_iter().enumerate() {
        if to[axis] != from[axis] || (always && axis < 2) {
            let _written = write!(text, " {letter}{:.DECIMALS$}", to[axis]);
        }
    }
}
