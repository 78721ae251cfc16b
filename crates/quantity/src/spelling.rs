//! Finding the known word that a mistyped one was meant to be.

/// Longer words are not compared: nobody mistypes a unit at such length.
const LONGEST_WORD_CHARS: usize = 64;

/// The known word spelled most like `word`, for a "did you mean" in a message.
///
/// Nearness is the number of single-letter slips (a letter too many, missing, wrong, or
/// two neighbours exchanged) regardless of case; about one slip in three letters is
/// forgiven. Of equally near words the first wins; nothing is returned when none is near.
///
/// ```
/// use quantity::spelling::nearest;
/// assert_eq!(nearest("inhc", ["mm", "inch", "thou"]), Some("inch"));
/// assert_eq!(nearest("furlong", ["mm", "inch", "thou"]), None);
/// ```
///
/// References: the restricted edit distance of F. J. Damerau, "A technique for computer
/// detection and correction of spelling errors", Communications of the ACM 7 (1964),
/// doi 10.1145/363958.363994.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let typed = letters(word)?;
    let mut best: Option<(usize, &'a str)> = None;
    for candidate in known {
        let Some(candidate_letters) = letters(candidate) else {
            continue;
        };
        let slips = edit_distance(&typed, &candidate_letters);
        let longer = typed.len().max(candidate_letters.len());
        let is_near = slips < longer && slips <= (longer / 3).max(1);
        if is_near && best.is_none_or(|(fewest, _)| slips < fewest) {
            best = Some((slips, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// The letters to compare, or nothing for an empty or overlong word.
fn letters(word: &str) -> Option<Vec<char>> {
    let letters: Vec<char> = word
        .trim()
        .chars()
        .take(LONGEST_WORD_CHARS + 1)
        .flat_map(char::to_lowercase)
        .collect();
    (!letters.is_empty() && letters.len() <= LONGEST_WORD_CHARS).then_some(letters)
}

/// Single-letter slips between two words, an exchange of neighbours counting once.
fn edit_distance(left: &[char], right: &[char]) -> usize {
    let mut before_previous: Vec<usize> = Vec::new();
    let mut previous: Vec<usize> = (0..=right.len()).collect();
    for (row, &left_letter) in left.iter().enumerate() {
        let mut current = vec![row + 1];
        for (column, &right_letter) in right.iter().enumerate() {
            let replaced = previous[column] + usize::from(left_letter != right_letter);
            let mut slips = replaced
                .min(previous[column + 1] + 1)
                .min(current[column] + 1);
            let exchanged = row > 0
                && column > 0
                && left_letter == right[column - 1]
                && left[row - 1] == right_letter;
            if exchanged {
                slips = slips.min(before_previous[column - 1] + 1);
            }
            current.push(slips);
        }
        before_previous = std::mem::replace(&mut previous, current);
    }
    previous[right.len()]
}
