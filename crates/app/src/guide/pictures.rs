//! The pictures of the guide: the program's own, of the demo's Heron.

use std::path::Path;

use book::{Book, Kind};
use drawing::pictures::{
    Pointed, beam_sweep, board_plan, camber_chooser, departure_map, left_map, radius_chart,
    section, string_map, touch_strip,
};
use drawing::{Palette, Scene, SvgOptions, SvgPalette, write_svg};
use play::{On, playing};
use readings::report;

use crate::known::Known;
use crate::pages::{departure_map_of, step_picture};
use crate::play_pictures::{bend_map, buzz_map, chooser};
use crate::view::{Figures, View, ask};

macro_rules! kept {
    ($($name:literal),* $(,)?) => {
        /// All pictures by name, as they are kept under `docs/guide/pictures`.
        pub static PICTURES: &[(&str, &str)] =
            &[$(($name, include_str!(concat!("../../../../docs/guide/pictures/", $name, ".svg")))),*];
    };
}

kept!(
    "board",
    "radius",
    "section",
    "chooser",
    "left",
    "chalk",
    "beam",
    "departure",
    "next-step",
    "buzz",
    "bends",
);

/// The kept picture of that name.
pub fn picture(name: &str) -> Option<&'static str> {
    let kept = PICTURES.iter().find(|(kept, _)| *kept == name);
    kept.map(|(_, svg)| *svg)
}

/// Every picture of the guide by its name, as SVG, made from a demo book that is put into a
/// folder.
///
/// # Errors
/// What is wrong, in words, when the book cannot be made there.
pub fn pictures(folder: &Path) -> Result<Vec<(&'static str, String)>, String> {
    let book = Book::open(&folder.join("guide.camberbook")).map_err(|error| error.to_string())?;
    crate::server::put_demo(&book).map_err(|error| error.to_string())?;
    let heron = book
        .entries(Kind::Commission)
        .map_err(|error| error.to_string())?
        .into_iter()
        .find(|entry| entry.title == "Heron")
        .ok_or("the demo has no Heron")?;
    let pointed = Pointed { fret: 12, lane: 0 };
    let view = View::load(&book, &Known::default(), heron.id, pointed, None)
        .and_then(|view| view.with_readings(&book))
        .map_err(|error| error.to_string())?;
    let now = view.now.as_ref().ok_or("the demo's Heron is not sound")?;
    let drawn = |(name, _): &(&'static str, &str)| {
        let scene = scene(name, &view, now).ok_or(format!("there is no picture {name}"))?;
        Ok((*name, standing_alone(&scene)))
    };
    PICTURES.iter().map(drawn).collect()
}

fn scene(name: &str, view: &View, now: &Figures) -> Option<Scene> {
    let (instrument, look) = (&now.instrument, view.look());
    let plan = now.plan.as_ref()?;
    let played = || playing(instrument, &now.sheet.strings, On::Planned);
    let gauges = view.sound_kit()?.gauges.as_slice();
    let station = now.sheet.frets.get(view.pointed.fret)?.gauge;
    Some(match name {
        "board" => board_plan(instrument, look),
        "radius" => radius_chart(instrument, look, Some(plan)),
        "section" => section(instrument, look, gauges, station),
        "chooser" => {
            let places = play::wished_bend_places(instrument, &now.sheet.strings);
            camber_chooser(
                &chooser(instrument, &places.whole_frontier(), Vec::new()),
                look,
            )
        }
        "left" => left_map(instrument, plan, look),
        "chalk" => touch_strip(instrument, plan.stages.first()?, look),
        "beam" => beam_sweep(instrument, plan, look),
        "departure" => {
            let visit = view.visits.get(1)?;
            let report = report(&ask(view, now, visit)).ok()?;
            departure_map(instrument, &departure_map_of(&report, visit), look)
        }
        "next-step" => {
            let visit = view.visits.get(1)?;
            let report = report(&ask(view, now, visit)).ok()?;
            step_picture(view, now, &report, report.next.as_ref().ok()?)
        }
        "buzz" => string_map(instrument, &buzz_map(&played()), look),
        "bends" => string_map(instrument, &bend_map(&played()), look),
        _ => return None,
    })
}

/// A picture that needs no style sheet beside it.
fn standing_alone(scene: &Scene) -> String {
    let options = SvgOptions {
        palette: SvgPalette::Fixed(Palette::Light),
        ..Default::default()
    };
    write_svg(scene, &options) + "\n"
}
