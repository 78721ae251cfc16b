//! Texts line by line: what differs between two, and one text of two that were changed apart.
//!
//! The longest run of common lines is found by the table of R. A. Wagner and M. J. Fischer, "The
//! string-to-string correction problem", Journal of the ACM 21 (1974), pp. 168-173,
//! <https://doi.org/10.1145/321796.321811>, with lines for signs and no exchange of one for another.

/// One line of a comparison, with the sign that ends it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line<'t> {
    /// In both texts.
    Kept(&'t str),
    /// In the first text only.
    Gone(&'t str),
    /// In the second text only.
    Come(&'t str),
}

/// The largest table that is filled, cells: some 2000 lines against 2000. Stretches beyond that
/// count as different throughout.
const MOST_CELLS: usize = 4_000_000;

/// Every line of both texts, in order; what went stands before what came in its place.
pub fn compare<'t>(then: &'t str, now: &'t str) -> Vec<Line<'t>> {
    let (old, new) = (lines(then), lines(now));
    let mut compared = Vec::with_capacity(old.len().max(new.len()));
    let (mut from_old, mut from_new) = (0, 0);
    for (at_old, at_new) in common(&old, &new)
        .into_iter()
        .chain([(old.len(), new.len())])
    {
        compared.extend(old[from_old..at_old].iter().copied().map(Line::Gone));
        compared.extend(new[from_new..at_new].iter().copied().map(Line::Come));
        compared.extend(old.get(at_old).copied().map(Line::Kept));
        (from_old, from_new) = (at_old + 1, at_new + 1);
    }
    compared
}

/// One text of two that began as `base` and were changed apart; nothing when both changed the same
/// lines, or lines that touch, in different ways.
pub fn merge(base: &str, mine: &str, theirs: &str) -> Option<String> {
    let (base, mine, theirs) = (lines(base), lines(mine), lines(theirs));
    let in_mine = places(&common(&base, &mine), base.len());
    let in_theirs = places(&common(&base, &theirs), base.len());
    let mut merged = String::new();
    let (mut from_base, mut from_mine, mut from_theirs) = (0, 0, 0);
    for at in 0..=base.len() {
        let (at_mine, at_theirs) = match at == base.len() {
            true => (mine.len(), theirs.len()),
            false => match (in_mine[at], in_theirs[at]) {
                (Some(mine), Some(theirs)) => (mine, theirs),
                _ => continue,
            },
        };
        let piece = one_of(
            &base[from_base..at],
            &mine[from_mine..at_mine],
            &theirs[from_theirs..at_theirs],
        )?;
        merged.extend(piece.iter().copied());
        merged.extend(base.get(at).copied());
        (from_base, from_mine, from_theirs) = (at + 1, at_mine + 1, at_theirs + 1);
    }
    Some(merged)
}

/// Of three versions of a stretch the one that holds; nothing when two of them are changed and
/// differ.
fn one_of<'l, 't>(
    base: &'l [&'t str],
    mine: &'l [&'t str],
    theirs: &'l [&'t str],
) -> Option<&'l [&'t str]> {
    if mine == base {
        Some(theirs)
    } else if theirs == base || theirs == mine {
        Some(mine)
    } else {
        None
    }
}

/// For every line of the first text its place in the second, where it has one.
fn places(common: &[(usize, usize)], count: usize) -> Vec<Option<usize>> {
    let mut places = vec![None; count];
    for &(from, to) in common {
        places[from] = Some(to);
    }
    places
}

fn lines(text: &str) -> Vec<&str> {
    text.split_inclusive('\n').collect()
}

/// Pairs of places at which both have the same line, growing, as many as can be.
fn common(old: &[&str], new: &[&str]) -> Vec<(usize, usize)> {
    let head = old.iter().zip(new).take_while(|(a, b)| a == b).count();
    let (old_rest, new_rest) = (&old[head..], &new[head..]);
    let tail = old_rest
        .iter()
        .rev()
        .zip(new_rest.iter().rev())
        .take_while(|(a, b)| a == b)
        .count();
    let (old_end, new_end) = (old.len() - tail, new.len() - tail);
    let mut pairs: Vec<_> = (0..head).map(|at| (at, at)).collect();
    let middle = longest_common(&old[head..old_end], &new[head..new_end]);
    pairs.extend(middle.into_iter().map(|(a, b)| (a + head, b + head)));
    pairs.extend((0..tail).map(|at| (old_end + at, new_end + at)));
    pairs
}

/// The longest common lines of two stretches, by the table of how many are still to come.
fn longest_common(old: &[&str], new: &[&str]) -> Vec<(usize, usize)> {
    let width = new.len() + 1;
    if (old.len() + 1).saturating_mul(width) > MOST_CELLS {
        return Vec::new();
    }
    let mut to_come = vec![0_u32; (old.len() + 1) * width];
    for at_old in (0..old.len()).rev() {
        for at_new in (0..new.len()).rev() {
            let (here, below) = (at_old * width + at_new, (at_old + 1) * width + at_new);
            to_come[here] = if old[at_old] == new[at_new] {
                to_come[below + 1] + 1
            } else {
                to_come[below].max(to_come[here + 1])
            };
        }
    }
    let mut pairs = Vec::new();
    let (mut at_old, mut at_new) = (0, 0);
    while at_old < old.len() && at_new < new.len() {
        let (here, below) = (at_old * width + at_new, (at_old + 1) * width + at_new);
        if old[at_old] == new[at_new] {
            pairs.push((at_old, at_new));
            (at_old, at_new) = (at_old + 1, at_new + 1);
        } else if to_come[below] >= to_come[here + 1] {
            at_old += 1;
        } else {
            at_new += 1;
        }
    }
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A linear congruential generator (Knuth's MMIX constants, from memory).
    struct Chance(u64);

    impl Chance {
        fn below(&mut self, limit: usize) -> usize {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 33) as usize % limit
        }

        fn text(&mut self, letters: usize) -> String {
            let count = self.below(9);
            let mut text: String = (0..count)
                .map(|_| format!("line {}\n", self.below(letters)))
                .collect();
            if self.below(2) == 0 {
                text.push_str("no end");
            }
            text
        }
    }

    /// The longest common lines of short texts, by trying every choice of them.
    fn most_common_by_trial(old: &str, new: &str) -> usize {
        let (old, new) = (lines(old), lines(new));
        let is_within = |chosen: &[&str]| {
            let mut rest = new.iter();
            chosen.iter().all(|line| rest.any(|other| other == line))
        };
        (0..1_u32 << old.len())
            .map(|choice| {
                let chosen: Vec<&str> = (0..old.len())
                    .filter(|at| choice >> at & 1 == 1)
                    .map(|at| old[at])
                    .collect();
                if is_within(&chosen) { chosen.len() } else { 0 }
            })
            .max()
            .unwrap_or(0)
    }

    #[test]
    fn both_texts_are_in_the_comparison_and_no_more_differs_than_must() {
        let mut chance = Chance(3);
        for _ in 0..400 {
            let (then, now) = (chance.text(4), chance.text(4));
            let compared = compare(&then, &now);
            let (mut old, mut new, mut kept) = (String::new(), String::new(), 0);
            for line in compared {
                match line {
                    Line::Kept(line) => {
                        kept += 1;
                        old.push_str(line);
                        new.push_str(line);
                    }
                    Line::Gone(line) => old.push_str(line),
                    Line::Come(line) => new.push_str(line),
                }
            }
            assert_eq!((old.as_str(), new.as_str()), (then.as_str(), now.as_str()));
            assert_eq!(kept, most_common_by_trial(&then, &now), "{then:?} {now:?}");
        }
    }

    #[test]
    fn a_change_on_one_side_only_is_the_merge_and_sides_do_not_matter() {
        let mut chance = Chance(5);
        for _ in 0..400 {
            let (base, mine, theirs) = (chance.text(5), chance.text(5), chance.text(5));
            assert_eq!(merge(&base, &mine, &base).as_ref(), Some(&mine));
            assert_eq!(merge(&base, &base, &theirs).as_ref(), Some(&theirs));
            assert_eq!(merge(&base, &mine, &mine).as_ref(), Some(&mine));
            assert_eq!(merge(&base, &mine, &theirs), merge(&base, &theirs, &mine));
        }
    }

    /// The answer is planted: lines of one text are changed in two sets that never touch.
    #[test]
    fn changes_that_do_not_touch_are_both_in_the_merge() {
        let mut chance = Chance(9);
        for _ in 0..400 {
            let (mut base, mut mine, mut theirs, mut both) =
                <(String, String, String, String)>::default();
            for at in 0..12 {
                let old = format!("{at}\n");
                let new = [
                    String::new(),
                    format!("{at} changed\n"),
                    format!("{at}\nnew\n"),
                ][chance.below(3)]
                .clone();
                // Every other line stays, so that no two changes touch.
                let who = if at % 2 == 0 { 2 } else { chance.below(3) };
                base.push_str(&old);
                mine.push_str(if who == 0 { &new } else { &old });
                theirs.push_str(if who == 1 { &new } else { &old });
                both.push_str(if who == 2 { &old } else { &new });
            }
            assert_eq!(merge(&base, &mine, &theirs), Some(both));
        }
    }

    #[test]
    fn the_same_line_changed_twice_is_no_merge() {
        assert_eq!(merge("a\nb\nc\n", "a\nB\nc\n", "a\nbb\nc\n"), None);
        assert_eq!(merge("a\n", "a\nb\n", "a\nc\n"), None);
        assert_eq!(merge("a\nb\n", "b\n", "A\nb\n"), None);
    }

    #[test]
    fn texts_too_long_for_the_table_are_compared_where_they_begin_and_end_alike() {
        let long = |word: &str| {
            let middle: String = (0..3_000).map(|at| format!("{word} {at}\n")).collect();
            format!("head\n{middle}tail\n")
        };
        let (then, now) = (long("old"), long("new"));
        let compared = compare(&then, &now);
        let kept = compared.iter().filter(|line| matches!(line, Line::Kept(_)));
        assert_eq!((kept.count(), compared.len()), (2, 6_002));
    }
}
