//! Scala `.scl` tuning files: an open text format, one pitch a line, as cents or as a ratio.

use crate::tuning::{Tuning, TuningFault};

/// Why a `.scl` text cannot be read: the line, from 1, and what is wrong there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScalaFault {
    /// Line in the text, from 1; 0 for the text as a whole.
    pub line: usize,
    /// What is wrong.
    pub message: String,
}

/// The most notes that are read from one file.
const MOST_NOTES: usize = 1200;

/// Reads a `.scl` text. A line that begins with `!` is a comment; the first other line
/// describes the scale, the second counts its notes, the rest are pitches: with a period they
/// are cents, otherwise a ratio or a whole number. What follows a pitch on its line is ignored.
///
/// # Errors
/// The first line that breaks that grammar, or a scale that does not rise: frets must.
pub fn read_scala(text: &str) -> Result<Tuning, ScalaFault> {
    let mut lines = text
        .lines()
        .enumerate()
        .map(|(index, line)| (index + 1, line))
        .filter(|(_, line)| !line.starts_with('!'));
    let (_, description) = lines.next().ok_or_else(|| fault(0, "the file is empty"))?;
    let (line, count) = lines
        .next()
        .ok_or_else(|| fault(0, "the count of notes is missing"))?;
    let count = count_of_notes(line, count)?;
    let mut cents = Vec::with_capacity(count);
    for (line, text) in lines.take(count) {
        cents.push(pitch_cents(line, text)?);
    }
    if cents.len() < count {
        let found = cents.len();
        return Err(fault(
            0,
            &format!("{count} notes are announced, {found} are there"),
        ));
    }
    let name = match description.trim() {
        "" => format!("{count} unequal steps"),
        words => words.chars().take(80).collect(),
    };
    Tuning::from_cents(name, cents).map_err(|problem| fault(0, &unusable(&problem)))
}

fn fault(line: usize, message: &str) -> ScalaFault {
    ScalaFault {
        line,
        message: message.to_owned(),
    }
}

fn count_of_notes(line: usize, text: &str) -> Result<usize, ScalaFault> {
    let word = text.split_whitespace().next().unwrap_or("");
    match word.parse::<usize>() {
        Ok(count) if (1..=MOST_NOTES).contains(&count) => Ok(count),
        Ok(count) => Err(fault(
            line,
            &format!("{count} notes; 1 to {MOST_NOTES} can be fretted"),
        )),
        Err(_) => Err(fault(
            line,
            "here the count of notes is expected, as a whole number",
        )),
    }
}

fn pitch_cents(line: usize, text: &str) -> Result<f64, ScalaFault> {
    let word = text.split_whitespace().next().unwrap_or("");
    let unreadable = || {
        fault(
            line,
            "a pitch is cents with a period (200.0) or a ratio (3/2)",
        )
    };
    if word.contains('.') {
        return word.parse().map_err(|_| unreadable());
    }
    let (above, below) = word.split_once('/').unwrap_or((word, "1"));
    let above: f64 = above.parse().map_err(|_| unreadable())?;
    let below: f64 = below.parse().map_err(|_| unreadable())?;
    if !(above > 0.0 && below > 0.0) {
        return Err(fault(line, "a ratio must be positive"));
    }
    Ok(1200.0 * (above / below).log2())
}

/// The fault in a maker's words.
pub fn unusable(problem: &TuningFault) -> String {
    match problem {
        TuningFault::Empty => "the tuning has no step".into(),
        TuningFault::Falls {
            step,
            before,
            cents,
        } => format!(
            "step {step} lies at {cents} cents, not above the {before} cents before it; frets must rise"
        ),
        TuningFault::OutOfRange { step, cents } => {
            format!("step {step} is {cents} cents; steps lie between 0 and 12000 cents")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_published_scale_gives_its_frets() {
        // Seven notes of an archive scale, with the fret for 340 cents on 650 mm
        // (length computed apart from this project).
        let text =
            "! a comment\nsegah\n 7\n!\n 200.0\n340.000 cents\n 500.\n700.\n840.\n1000.\n2/1\n";
        let tuning = read_scala(text).expect("is well formed");
        assert!((650.0 * tuning.proportion(2) - 115.901).abs() < 5e-4);
        assert!((tuning.cents(7) - 1200.0).abs() < 1e-9);
        assert!((tuning.cents(8) - 1400.0).abs() < 1e-9);
    }

    #[test]
    fn ratios_are_exact_intervals() {
        let tuning = read_scala("just\n3\n9/8\n3/2\n2\n").expect("is well formed");
        assert!((tuning.proportion(2) - 1.0 / 3.0).abs() < 1e-14);
        assert!((tuning.proportion(1) - 1.0 / 9.0).abs() < 1e-14);
    }

    #[test]
    fn faults_name_their_line() {
        for (text, line) in [
            ("", 0),
            ("x\n", 0),
            ("x\nmany\n", 2),
            ("x\n2\n100.0\n", 0),
            ("x\n2\n100.0\n-3/2\n", 4),
            ("x\n2\n100.0\nabc\n", 4),
            ("x\n2\n300.0\n200.0\n", 0),
            ("x\n99999\n", 2),
        ] {
            assert_eq!(
                read_scala(text).expect_err("is broken").line,
                line,
                "{text:?}"
            );
        }
    }
}
