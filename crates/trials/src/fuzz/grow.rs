//! Inputs grown from sound texts: pieces taken out, doubled, exchanged, words of the language and
//! odd numbers put in.

use super::Door;
use crate::Chance;

/// An input is at most so long, bytes, but for the few long ones.
const LONG: usize = 4096;
/// One input in so many is a long one.
const LONG_ONE_IN: usize = 20_000;
/// The most bytes of a long one.
const LONGEST: usize = 1 << 16;
/// Texts that are kept of each sort.
const KEPT_MOST: usize = 3000;
/// Longer ones are not kept: short inputs are tried faster.
const KEPT_LONG: usize = 1024;
/// Inputs in a hundred that are made of words alone, and that grow from a refused text.
const WORDS_PERCENT: u64 = 4;
const REFUSED_PERCENT: u64 = 35;
/// Changes of one input at the most; one more is half as likely each time.
const CHANGES_MOST: u32 = 7;

/// What inputs grow from.
pub struct Pool {
    /// Texts without a fault.
    sound: Kept,
    /// Texts that were refused for a reason not heard before.
    refused: Kept,
    words: Vec<String>,
}

/// Texts of one sort; the first of them stay for good.
#[derive(Default)]
struct Kept {
    texts: Vec<Vec<u8>>,
    first: usize,
}

impl Kept {
    fn keep(&mut self, input: &[u8]) {
        if self.texts.len() - self.first >= KEPT_MOST {
            self.texts.remove(self.first);
        }
        self.texts.push(input.to_vec());
    }

    /// The shorter of two texts; nothing while there are none.
    fn text(&self, chance: &mut Chance) -> Option<&[u8]> {
        if self.texts.is_empty() {
            return None;
        }
        let (one, other) = (chance.pick(&self.texts), chance.pick(&self.texts));
        Some(if one.len() <= other.len() { one } else { other })
    }
}

impl Pool {
    /// The sound texts and words of a door.
    pub fn new(door: Door, chance: &mut Chance) -> Self {
        let texts = door.sound(chance);
        Self {
            sound: Kept {
                first: texts.len(),
                texts,
            },
            refused: Kept::default(),
            words: door.words(),
        }
    }

    /// Keeps an input to grow others from; the oldest kept one goes when there are too many.
    pub fn keep(&mut self, input: &[u8], is_sound: bool) {
        if input.len() > KEPT_LONG {
            return;
        }
        match is_sound {
            true => self.sound.keep(input),
            false => self.refused.keep(input),
        }
    }

    /// The next input.
    pub fn next(&self, chance: &mut Chance) -> Vec<u8> {
        let mut input = match chance.percent(WORDS_PERCENT) {
            true => self.words_alone(chance),
            false => self.text(chance).to_vec(),
        };
        let changes = 1 + chance.bits().trailing_zeros().min(CHANGES_MOST - 1);
        for _ in 0..changes {
            self.change(&mut input, chance);
        }
        if chance.whole(1, LONG_ONE_IN) == 1 && !input.is_empty() {
            input = input.iter().copied().cycle().take(LONGEST).collect();
        } else {
            input.truncate(LONG);
        }
        input
    }

    fn text(&self, chance: &mut Chance) -> &[u8] {
        let refused = match chance.percent(REFUSED_PERCENT) {
            true => self.refused.text(chance),
            false => None,
        };
        refused
            .or_else(|| self.sound.text(chance))
            .unwrap_or_default()
    }

    fn words_alone(&self, chance: &mut Chance) -> Vec<u8> {
        let count = chance.whole(0, 12);
        (0..count)
            .flat_map(|_| chance.pick(&self.words).bytes().collect::<Vec<u8>>())
            .collect()
    }

    fn change(&self, input: &mut Vec<u8>, chance: &mut Chance) {
        match chance.whole(0, 19) {
            0 => {
                let (from, to) = span(input, chance);
                input.drain(from..to);
            }
            1 => {
                let (from, to) = span(input, chance);
                let piece = input[from..to].to_vec();
                insert(input, &piece, chance);
            }
            2 | 3 => {
                if !input.is_empty() {
                    let at = chance.whole(0, input.len() - 1);
                    input[at] = match chance.percent(50) {
                        true => *chance.pick(b"\"'[]{}=.,;#\n\\ \x00-+eE9z\xc3&%/"),
                        false => chance.bits() as u8,
                    };
                }
            }
            4..=6 => {
                let word = chance.pick(&self.words);
                insert(input, word.as_bytes(), chance);
            }
            7 => {
                let other = self.text(chance);
                let (head, tail) = (place(input, chance), place(other, chance));
                input.truncate(head);
                input.extend_from_slice(&other[tail..]);
            }
            8 => self.line(input, chance),
            9 => {
                let at = place(input, chance);
                input.truncate(at);
            }
            10 => {
                let (from, to) = span(input, chance);
                let piece = input[from..to.min(from + 8)].repeat(chance.whole(2, 80));
                insert(input, &piece, chance);
            }
            11..=15 => self.number(input, chance),
            _ => {
                let (from, to) = word(input, chance);
                let other = chance.pick(&self.words).bytes();
                input.splice(from..to, other);
            }
        }
    }

    /// Another number, or a word, where one stands.
    fn number(&self, input: &mut Vec<u8>, chance: &mut Chance) {
        let begin = place(input, chance);
        let digit = |byte: &u8| byte.is_ascii_digit() || *byte == b'.';
        let Some(from) = input[begin..].iter().position(|byte| byte.is_ascii_digit()) else {
            return;
        };
        let from = begin + from;
        let length = input[from..].iter().take_while(|byte| digit(byte)).count();
        let number = match chance.whole(0, 6) {
            0 => chance.pick(&self.words).clone(),
            1 | 2 => format!("{}", chance.whole(0, 40)),
            4 | 5 => format!("{:.3}", chance.in_proportion(1e-3, 1e4)),
            3 => format!("{:e}", chance.in_proportion(1e-300, 1e300)),
            _ => format!("-{}", chance.whole(0, 1000)),
        };
        input.splice(from..from + length, number.bytes());
    }

    /// A line gone, moved, or come from another text.
    fn line(&self, input: &mut Vec<u8>, chance: &mut Chance) {
        let (from, to) = line(input, chance);
        let taken: Vec<u8> = match chance.percent(60) {
            true => input.drain(from..to).collect(),
            false => {
                let other = self.text(chance);
                let (from, to) = line(other, chance);
                other[from..to].to_vec()
            }
        };
        if chance.percent(60) {
            let (at, _) = line(input, chance);
            input.splice(at..at, taken);
        }
    }
}

fn place(bytes: &[u8], chance: &mut Chance) -> usize {
    chance.whole(0, bytes.len())
}

fn insert(input: &mut Vec<u8>, piece: &[u8], chance: &mut Chance) {
    let at = place(input, chance);
    input.splice(at..at, piece.iter().copied());
}

/// A piece, short ones more often.
fn span(input: &[u8], chance: &mut Chance) -> (usize, usize) {
    let from = place(input, chance);
    let most = match chance.percent(75) {
        true => 12,
        false => 1 + input.len() / 3,
    };
    (from, (from + chance.whole(1, most)).min(input.len()))
}

/// The word or number at a place.
fn word(input: &[u8], chance: &mut Chance) -> (usize, usize) {
    let at = place(input, chance);
    let inner = |byte: &u8| byte.is_ascii_alphanumeric() || *byte == b'_';
    let before = input[..at]
        .iter()
        .rev()
        .take_while(|byte| inner(byte))
        .count();
    let after = input[at..].iter().take_while(|byte| inner(byte)).count();
    (at - before, at + after)
}

/// The line at a place, its end included.
fn line(input: &[u8], chance: &mut Chance) -> (usize, usize) {
    let at = place(input, chance);
    let before = input[..at]
        .iter()
        .rev()
        .take_while(|byte| **byte != b'\n')
        .count();
    let after = input[at..].iter().position(|byte| *byte == b'\n');
    (
        at - before,
        after.map_or(input.len(), |after| at + after + 1),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seed_gives_the_same_inputs_and_they_stay_short() {
        let inputs = |seed| -> Vec<Vec<u8>> {
            let mut chance = Chance::new(seed);
            let pool = Pool::new(Door::Commission, &mut chance);
            (0..300).map(|_| pool.next(&mut chance)).collect()
        };
        assert_eq!(inputs(5), inputs(5));
        assert_ne!(inputs(5), inputs(6));
        assert!(inputs(5).iter().all(|input| input.len() <= LONGEST));
    }

    #[test]
    fn most_inputs_differ_from_what_they_grew_from() {
        let mut chance = Chance::new(1);
        let pool = Pool::new(Door::Scala, &mut chance);
        let changed = (0..200)
            .filter(|_| !pool.sound.texts.contains(&pool.next(&mut chance)))
            .count();
        assert!(changed > 180, "{changed} of 200");
    }
}
