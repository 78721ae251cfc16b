//! Fret wire: how long each piece is, and how to cut the pieces from sticks with least waste.

/// A stick of wire and the frets cut from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Stick {
    /// The frets, by number.
    pub frets: Vec<usize>,
    /// What is left of the stick, mm.
    pub rest_mm: f64,
}

/// How the wire is cut.
#[derive(Clone, Debug, PartialEq)]
pub struct CutList {
    /// The sticks, fullest first.
    pub sticks: Vec<Stick>,
    /// Length of all pieces, mm.
    pub total_mm: f64,
    /// True when no cutting needs fewer sticks; false when the search was given up.
    pub proven_least: bool,
    /// Frets whose piece is longer than a stick.
    pub too_long: Vec<usize>,
}

/// So many partial cuttings are tried before the first good one is taken.
const MOST_TRIES: usize = 200_000;

/// Cuts pieces `(fret, length in mm)` from sticks of one length: first-fit decreasing, and then
/// an exhaustive search for one stick fewer, as long as that could exist.
pub fn cut_list(pieces: &[(usize, f64)], stick_mm: f64) -> CutList {
    let (fitting, long): (Vec<_>, Vec<_>) = pieces
        .iter()
        .copied()
        .partition(|piece| piece.1 <= stick_mm);
    let mut order = fitting;
    order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let total_mm: f64 = order.iter().map(|piece| piece.1).sum();
    let least = (total_mm / stick_mm - 1e-9).ceil().max(0.0) as usize;
    let mut bins = first_fit(&order, stick_mm);
    let mut proven_least = true;
    while bins.len() > least {
        match with_sticks(&order, stick_mm, bins.len() - 1) {
            Search::Found(better) => bins = better,
            Search::None => break,
            Search::GivenUp => {
                proven_least = false;
                break;
            }
        }
    }
    let stick = |frets: Vec<(usize, f64)>| Stick {
        rest_mm: stick_mm - frets.iter().map(|piece| piece.1).sum::<f64>(),
        frets: frets.into_iter().map(|piece| piece.0).collect(),
    };
    let mut sticks: Vec<Stick> = bins.into_iter().map(stick).collect();
    sticks.sort_by(|a, b| a.rest_mm.total_cmp(&b.rest_mm));
    CutList {
        sticks,
        total_mm,
        proven_least,
        too_long: long.into_iter().map(|piece| piece.0).collect(),
    }
}

type Bins = Vec<Vec<(usize, f64)>>;

fn first_fit(order: &[(usize, f64)], stick_mm: f64) -> Bins {
    let mut bins: Bins = Vec::new();
    let mut room: Vec<f64> = Vec::new();
    for piece in order {
        match room.iter().position(|rest| *rest >= piece.1) {
            Some(index) => {
                bins[index].push(*piece);
                room[index] -= piece.1;
            }
            None => {
                bins.push(vec![*piece]);
                room.push(stick_mm - piece.1);
            }
        }
    }
    bins
}

enum Search {
    Found(Bins),
    None,
    GivenUp,
}

/// Looks for a cutting from exactly `count` sticks: longest piece first, never tried twice in
/// two sticks with the same rest.
fn with_sticks(order: &[(usize, f64)], stick_mm: f64, count: usize) -> Search {
    let mut state = Cutting {
        order,
        bins: vec![Vec::new(); count],
        room: vec![stick_mm; count],
        spare: stick_mm * count as f64 - order.iter().map(|piece| piece.1).sum::<f64>(),
        tries: 0,
    };
    if state.spare < 0.0 {
        return Search::None;
    }
    if state.place(0) {
        return Search::Found(state.bins);
    }
    if state.tries >= MOST_TRIES {
        Search::GivenUp
    } else {
        Search::None
    }
}

struct Cutting<'a> {
    order: &'a [(usize, f64)],
    bins: Bins,
    room: Vec<f64>,
    spare: f64,
    tries: usize,
}

impl Cutting<'_> {
    fn place(&mut self, next: usize) -> bool {
        let Some(&piece) = self.order.get(next) else {
            return true;
        };
        let shortest = self.order.last().map_or(0.0, |last| last.1);
        for stick in 0..self.bins.len() {
            let rest = self.room[stick];
            let seen = self.room[..stick]
                .iter()
                .any(|other| (other - rest).abs() < 1e-9);
            if seen || rest < piece.1 - 1e-9 {
                continue;
            }
            self.tries += 1;
            if self.tries >= MOST_TRIES {
                return false;
            }
            self.bins[stick].push(piece);
            self.room[stick] -= piece.1;
            // A rest too short for any piece is lost; more loss than there is to spare cannot work.
            let lost: f64 = self
                .room
                .iter()
                .filter(|rest| **rest < shortest - 1e-9)
                .sum();
            if lost <= self.spare + 1e-9 && self.place(next + 1) {
                return true;
            }
            self.bins[stick].pop();
            self.room[stick] += piece.1;
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pieces(lengths: &[f64]) -> Vec<(usize, f64)> {
        lengths
            .iter()
            .copied()
            .enumerate()
            .map(|(i, l)| (i + 1, l))
            .collect()
    }

    #[test]
    fn every_piece_is_cut_once_and_no_stick_is_overfull() {
        let lengths: Vec<f64> = (0..22).map(|i| 46.0 + 0.7 * f64::from(i)).collect();
        let list = cut_list(&pieces(&lengths), 240.0);
        let mut frets: Vec<usize> = list
            .sticks
            .iter()
            .flat_map(|stick| stick.frets.clone())
            .collect();
        frets.sort_unstable();
        assert_eq!(frets, (1..=22).collect::<Vec<_>>());
        assert!(list.sticks.iter().all(|stick| stick.rest_mm >= -1e-9));
        let used: f64 = list.sticks.iter().map(|stick| 240.0 - stick.rest_mm).sum();
        assert!((used - list.total_mm).abs() < 1e-9);
    }

    #[test]
    fn a_case_that_first_fit_decreasing_gets_wrong_is_mended() {
        // First-fit decreasing needs three sticks of 10 here; 4+3+3 twice needs two
        // (a textbook kind of example, built by hand).
        let list = cut_list(&pieces(&[4.0, 4.0, 3.0, 3.0, 3.0, 3.0]), 10.0);
        assert_eq!(
            first_fit(&pieces(&[4.0, 4.0, 3.0, 3.0, 3.0, 3.0]), 10.0).len(),
            3
        );
        assert_eq!(list.sticks.len(), 2);
        assert!(list.proven_least);
    }

    #[test]
    fn a_piece_longer_than_a_stick_is_named() {
        let list = cut_list(&pieces(&[50.0, 320.0]), 300.0);
        assert_eq!(list.too_long, [2]);
        assert_eq!(list.sticks.len(), 1);
        assert!(cut_list(&[], 300.0).sticks.is_empty());
    }
}
