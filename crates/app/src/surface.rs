//! On which surface an instrument is played: as planned, on the fret tops as read, or on the wood of
//! a visit.

use play::{On, Playing, playing};

use crate::view::{Figures, View, ask};
use crate::visits::KeptVisit;

/// The surface that a page plays on.
#[derive(Clone, Copy)]
pub enum Surface<'v> {
    /// As planned.
    Planned,
    /// On the fret tops as read.
    Frets,
    /// On the wood of a visit.
    Visit(&'v KeptVisit),
}

impl Surface<'_> {
    /// The word for it in an address.
    pub fn address(self) -> String {
        match self {
            Surface::Planned => "planned".into(),
            Surface::Frets => "frets".into(),
            Surface::Visit(visit) => format!("visit-{}", visit.record.id.0),
        }
    }

    /// The words for it.
    pub fn words(self) -> String {
        match self {
            Surface::Planned => "the planned surface".into(),
            Surface::Frets => "the fret tops as read".into(),
            Surface::Visit(visit) => format!("the wood of visit {}", visit.record.name),
        }
    }
}

/// The surfaces that there are, the planned one first.
pub fn surfaces<'v>(view: &'v View, now: &Figures) -> Vec<Surface<'v>> {
    let mut surfaces = vec![Surface::Planned];
    if !now.instrument.fretwork.readings.is_empty() {
        surfaces.push(Surface::Frets);
    }
    let read = view.visits.iter().filter(|visit| visit.visit.count() > 0);
    surfaces.extend(read.map(Surface::Visit));
    surfaces
}

/// The surface asked for; else the fret tops when they were read, else the planned one.
pub fn chosen<'v>(view: &'v View, now: &Figures) -> Surface<'v> {
    let surfaces = surfaces(view, now);
    let wanted = view.on.as_deref().unwrap_or("frets");
    surfaces
        .iter()
        .find(|surface| surface.address() == wanted)
        .copied()
        .unwrap_or(Surface::Planned)
}

/// How it plays on a surface; when the readings of a visit tell none, the reason.
///
/// # Errors
/// Why a visit's readings tell no surface.
pub fn played<'f>(
    view: &View,
    now: &'f Figures,
    surface: Surface<'_>,
) -> Result<Playing<'f>, String> {
    let strings = &now.sheet.strings;
    match surface {
        Surface::Planned => Ok(playing(&now.instrument, strings, On::Planned)),
        Surface::Frets => Ok(playing(&now.instrument, strings, On::Frets)),
        Surface::Visit(visit) => {
            let ask = ask(view, now, visit);
            let measured = readings::report::measure(&ask).map_err(|error| error.to_string())?;
            Ok(playing(&now.instrument, strings, On::Wood(&measured)))
        }
    }
}
