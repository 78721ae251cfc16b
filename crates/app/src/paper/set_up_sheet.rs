//! The set-up sheet for the player and the book: what was asked, what was made, measured and set.

mod asked;
mod chances;
mod plays;
mod table;
mod to_set;
mod tune;
mod words;

use drawing::pictures::Look;
use drawing::{DrawingError, Paper, PdfOptions, write_pdf};

use super::flow::Flow;
use crate::record::PlayFigures;
use crate::show::Units;

/// The set-up sheet as a PDF: two or three sheets of A4 or Letter for the usual instrument.
///
/// # Errors
/// When the writer cannot make the file.
pub fn set_up_sheet_pdf(
    figures: &PlayFigures<'_>,
    units: Units,
    paper: Paper,
) -> Result<Vec<u8>, DrawingError> {
    let title = &figures.playing.instrument.title;
    let mut flow = Flow::new(paper, title, "Set-up sheet");
    let content = Content {
        figures,
        units,
        look: Look {
            pointed: None,
            unit: units.length,
        },
    };
    content.asked(&mut flow);
    content.plays(&mut flow);
    content.to_set(&mut flow);
    content.tune(&mut flow);
    content.chances(&mut flow);
    let options = PdfOptions {
        title: format!("{title} · set-up sheet"),
        language: "en".into(),
    };
    write_pdf(&flow.finish(), &options)
}

/// What the sheet is written from; its parts stand in the files of this folder.
#[derive(Clone, Copy)]
struct Content<'a> {
    figures: &'a PlayFigures<'a>,
    units: Units,
    look: Look,
}

/// Width of a picture that is no map of strings and frets, as a share of the sheet's height.
const PICTURE_SHARE: f64 = 0.31;

#[cfg(test)]
mod tests;
