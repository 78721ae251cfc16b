//! Where both ends of the beam must be: strips with five numbered marks, to tape down at each end
//! of a stretch.

use bench::beam::{BeamPath, BeamSpan};
use instrument::Instrument;

use super::draft::{CUT_MM, Draft, FIGURE_MM, Head, exact, signed};
use super::spread::spread;
use super::table::Table;
use crate::pictures::Look;
use crate::{Anchor, Ink, Item, Path, Point, Scene};

/// Positions of the beam as shares of its sweep, from the treble side to the bass side.
const POSITIONS: [f64; 5] = [1.0, 0.5, 0.0, -0.5, -1.0];
/// Depth of a strip, mm.
const STRIP_MM: f64 = 26.0;
/// Paper past the outer marks, to tape it down by, mm.
const PAST_MARKS_MM: f64 = 15.0;
/// Length of the marks from the strip's edge, mm.
const MARK_MM: f64 = 7.0;
/// A beam's end is not led further than this to one side, mm.
const MOST_SWEEP_MM: f64 = 250.0;
/// Least distance between two figures, mm.
const GAP_MM: f64 = 3.2;

/// Two strips for every stretch of the beam's path, one for either end, and the figures.
///
/// What it is for: the beam lies on the camber's rulings when both its ends stand at marks of the
/// same number. Strips are taped across at the stretch's ends, the marked edge on the line. Where
/// the rulings would lead an end further than 250 mm aside there is no strip. Layers: `cut` (the
/// strips), `beam marks`, `centreline`, `marks` and `words`.
pub fn beam_card(instrument: &Instrument, beam: &BeamPath, look: Look) -> Scene {
    let mut draft = Draft::default();
    for (index, span) in beam.spans.iter().enumerate() {
        let stretch = Stretch {
            instrument,
            span: *span,
            number: (beam.spans.len() > 1).then_some(index + 1),
            look,
        };
        draft.put_below(&stretch.drawn(), if index == 0 { 0.0 } else { 7.0 });
    }
    draft.finish(&instrument.title, &head(beam, look))
}

fn head(beam: &BeamPath, look: Look) -> Head {
    let mut notes = vec![
        "Tape each strip across the bench or the board, square to the centreline, its marked edge \
         where the line that it names crosses it. Move the beam so that both its ends stand at marks \
         of the same number, and evenly between: swung, not parallel."
            .to_owned(),
        format!(
            "Far sweep over near sweep, nut to last fret: {:.4}.",
            beam.far_to_near_sweep
        ),
    ];
    if !beam
        .spans
        .iter()
        .all(|span| is_in_reach(span.near_sweep_mm) && is_in_reach(span.far_sweep_mm))
    {
        notes.push(format!(
            "An end that would go further than {} aside has no strip: work there with a shorter \
             sweep, in proportion to the table.",
            exact(look, MOST_SWEEP_MM, 0)
        ));
    }
    if beam.spans.len() > 1 {
        notes.push("Each stretch has its own swing; use a beam no longer than the stretch.".into());
    }
    notes.push(
        "Wood dust harms the lungs: extract it at the tool, wear a fitted respirator; local rules \
         come first."
            .into(),
    );
    Head {
        name: "beam card",
        purpose: "To lead both ends of the levelling beam by; true size across the board.".into(),
        notes,
    }
}

/// Whether an end's sweep has a strip; one that is no number has none.
fn is_in_reach(sweep_mm: f64) -> bool {
    sweep_mm.abs() <= MOST_SWEEP_MM
}

/// One stretch of the path.
struct Stretch<'a> {
    instrument: &'a Instrument,
    span: BeamSpan,
    /// Its number, where there are several.
    number: Option<usize>,
    look: Look,
}

impl Stretch<'_> {
    fn drawn(&self) -> Draft {
        let mut draft = Draft::default();
        let ends = [
            ("nut end", self.span.from_mm, self.span.near_sweep_mm),
            ("far end", self.span.to_mm, self.span.far_sweep_mm),
        ];
        for (index, (name, x_mm, sweep_mm)) in ends.into_iter().enumerate() {
            let words = format!("{}{name}: {}", self.prefix(), self.place(x_mm));
            if is_in_reach(sweep_mm) {
                let gap = if index == 0 { 0.0 } else { 4.0 };
                draft.put_below(&strip(&words, sweep_mm, self.look), gap);
            }
        }
        draft.put_below(&self.table().drawn(), 4.0);
        draft
    }

    fn prefix(&self) -> String {
        let number = self.number;
        number.map_or(String::new(), |number| format!("stretch {number}, "))
    }

    /// A place along the board in words: the nut or a fret, where one lies there.
    fn place(&self, x_mm: f64) -> String {
        let frets = &self.instrument.frets;
        let at = frets
            .iter()
            .position(|line| (line.x_mm - x_mm).abs() < 1e-6);
        match at {
            Some(0) => "on the nut's line".into(),
            Some(fret) => format!("on fret {fret}, {} from the nut", exact(self.look, x_mm, 2)),
            None => format!("{} from the nut", exact(self.look, x_mm, 2)),
        }
    }

    fn table(&self) -> Table {
        let first = format!("{}mark", self.prefix());
        let mut table = Table::new([first.as_str(), "nut end", "far end"]);
        let figure = |share: f64, sweep_mm: f64| {
            if sweep_mm.is_finite() {
                signed(self.look, share * sweep_mm, 2)
            } else {
                "out of reach".into()
            }
        };
        for (index, share) in POSITIONS.iter().enumerate() {
            table.row([
                (index + 1).to_string(),
                figure(*share, self.span.near_sweep_mm),
                figure(*share, self.span.far_sweep_mm),
            ]);
        }
        table
    }
}

/// A strip with its marks on the upper edge, treble side at the left as seen from the nut.
fn strip(words: &str, sweep_mm: f64, look: Look) -> Draft {
    let mut draft = Draft::default();
    let half = sweep_mm.abs() + PAST_MARKS_MM;
    let edge = Path::rect(-half, 0.0, 2.0 * half, STRIP_MM);
    draft.add("cut", Item::stroked(edge, Ink::Line, CUT_MM));
    let wanted = POSITIONS.map(|share| -share * sweep_mm);
    let places = spread(&wanted, GAP_MM);
    for (index, ((at, label), share)) in wanted.iter().zip(&places).zip(POSITIONS).enumerate() {
        let foot = Point::new(*at, MARK_MM);
        let layer = if share == 0.0 {
            "centreline"
        } else {
            "beam marks"
        };
        draft.tick(layer, Point::new(*at, 0.0), foot);
        draft.tick("marks", foot, Point::new(*label, MARK_MM + 1.2));
        let number = Point::new(*label, MARK_MM + 1.8 + 0.73 * FIGURE_MM);
        draft.figure(number, (index + 1).to_string(), Anchor::Middle);
        // Read upward, from the strip's lower edge.
        let figure = signed(look, share * sweep_mm, 2);
        let at = Point::new(label + 0.365 * FIGURE_MM, number.y + 1.0);
        let item = Item::text(at, figure, FIGURE_MM, Ink::Text)
            .anchored(Anchor::End)
            .turned(-90.0);
        draft.add("words", item);
    }
    for (x, side, anchor) in [
        (1.5 - half, "treble", Anchor::Start),
        (half - 1.5, "bass", Anchor::End),
    ] {
        draft.figure(Point::new(x, MARK_MM + 3.5), side, anchor);
    }
    draft.figure(
        Point::new(-half, STRIP_MM + 3.4),
        format!("{words}; plus is toward the treble side"),
        Anchor::Start,
    );
    draft
}
