//! The set-up sheet for the player and the book: what was asked, what was made, measured and set.

use drawing::{DrawingError, Paper, PdfOptions, write_pdf};

use super::flow::Flow;
use crate::record::PlayFigures;
use crate::show::Units;

/// The set-up sheet as a PDF.
///
/// # Errors
/// When the writer cannot make the file.
pub fn set_up_sheet_pdf(
    figures: &PlayFigures<'_>,
    units: Units,
    paper: Paper,
) -> Result<Vec<u8>, DrawingError> {
    let instrument = figures.playing.instrument;
    let mut flow = Flow::new(paper, &instrument.title, "Set-up sheet");
    flow.title(&format!("{} · set-up sheet", instrument.title));
    asked(&mut flow, figures, units);
    let options = PdfOptions {
        title: format!("{} · set-up sheet", instrument.title),
        ..PdfOptions::default()
    };
    write_pdf(&flow.finish(), &options)
}

fn asked(flow: &mut Flow, figures: &PlayFigures<'_>, units: Units) {
    let wish = &figures.playing.instrument.wish;
    flow.heading("What was asked");
    flow.words(
        &format!(
            "Action over fret 12 {} treble, {} bass; relief {}; bends of {:.0} cents.",
            units.length(wish.action_treble_mm, 2),
            units.length(wish.action_bass_mm, 2),
            units.length(wish.relief_mm, 2),
            wish.bend_cents
        ),
        0.0,
    );
}
