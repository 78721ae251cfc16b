//! The reading form on paper: the stations of this board, with boxes to fill at the bench by hand.

use bench::Kit;
use bench::gauges::{GaugeStation, Light, gauge_station};
use drawing::pictures::{FormLight, FormPlace, FormSpot, Look, ReadingForm, reading_form};
use drawing::{DrawingError, Item, Page, Paper, PdfOptions, Point, Scene, Transform, write_pdf};
use instrument::{Instrument, fret_name};

use crate::show::Units;

/// The sheets are drawn this wide and high, mm: inside the margins of A4 and of Letter alike.
const SHEET_MM: (f64, f64) = (180.0, 257.0);

/// The form as a PDF.
///
/// # Errors
/// When the writer cannot make the file.
pub fn reading_form_pdf(
    instrument: &Instrument,
    kit: Option<&Kit>,
    units: Units,
    paper: Paper,
) -> Result<Vec<u8>, DrawingError> {
    let form = form(instrument, kit, units);
    let (width_mm, height_mm) = (paper.width_mm(), paper.height_mm());
    let margin = Point::new(
        0.5 * (width_mm - SHEET_MM.0),
        0.5 * (height_mm - SHEET_MM.1),
    );
    let pages: Vec<Page> = reading_form(instrument, &form)
        .iter()
        .map(|sheet| Page {
            width_mm,
            height_mm,
            scene: moved(sheet, margin, (width_mm, height_mm)),
        })
        .collect();
    let options = PdfOptions {
        title: format!("{} · reading form", instrument.title),
        language: "en".into(),
    };
    write_pdf(&pages, &options)
}

fn moved(sheet: &Scene, by: Point, (width, height): (f64, f64)) -> Scene {
    let mut scene = Scene::new(
        width,
        height,
        sheet.title.clone(),
        sheet.description.clone(),
    );
    let transform = Transform::translate(by.x, by.y);
    for layer in &sheet.layers {
        let target = scene.layer(&layer.name);
        for item in &layer.items {
            let item: Item = item.transformed(&transform);
            target.add(item);
        }
    }
    scene
}

/// Frets at which light and gaps are asked for: the nut, about every third fret, and the last.
fn stations(instrument: &Instrument) -> Vec<usize> {
    let last = instrument.last_fret();
    let mut frets: Vec<usize> = (0..=last).step_by(3).collect();
    if frets.last() != Some(&last) {
        frets.push(last);
    }
    frets
}

fn form(instrument: &Instrument, kit: Option<&Kit>, units: Units) -> ReadingForm {
    let frets = stations(instrument);
    let place = |fret: &usize| FormPlace {
        name: fret_name(*fret),
        x_mm: instrument.fret_x_mm(*fret),
    };
    let last = instrument.last_fret();
    ReadingForm {
        title: format!("{} · reading form", instrument.title),
        visit: String::new(),
        lights: frets
            .iter()
            .map(|fret| light(instrument, kit, units, *fret))
            .collect(),
        gap_lines: (1..=instrument.lanes.len())
            .map(|lane| format!("lane {lane}"))
            .chain(["treble edge".into(), "bass edge".into()])
            .collect(),
        gap_frets: frets
            .iter()
            .filter(|fret| **fret > 0 && **fret < last)
            .map(place)
            .collect(),
        thickness: thicknesses(instrument),
        dials: if kit.is_none_or(|kit| kit.dials.is_empty()) {
            Vec::new()
        } else {
            frets.iter().map(place).collect()
        },
        resolution_words: resolutions(kit, units),
        cautions: vec![
            "Wipe dust off with a damp cloth, not by blowing; wear a mask that fits, and mind that some woods sensitise.".into(),
            "Keep blades and machines away while you read. Local codes and licensed practice come first.".into(),
        ],
        look: Look {
            pointed: None,
            unit: units.length,
        },
    }
}

fn light(instrument: &Instrument, kit: Option<&Kit>, units: Units, fret: usize) -> FormLight {
    let x_mm = instrument.fret_x_mm(fret);
    let station = kit.and_then(|kit| gauge_station(instrument, kit, fret));
    let right_light = |station: GaugeStation| match station.light {
        Light::None => "none".to_owned(),
        Light::Edges => format!("{} at both edges", units.length(station.light_mm, 2)),
        Light::Crown => format!("{} at the crown", units.length(-station.light_mm, 2)),
    };
    FormLight {
        name: fret_name(fret),
        x_mm,
        radius_mm: instrument.camber.radius(x_mm).mm(),
        gauge: station.map_or(String::new(), |station| units.radius(station.gauge)),
        right_light: station.map_or(String::new(), right_light),
    }
}

/// Corners, edges at the middle, and the centreline.
fn thicknesses(instrument: &Instrument) -> Vec<FormSpot> {
    let last = instrument.last_fret();
    let mut spots = Vec::new();
    for fret in [0, last / 2, last] {
        let line = instrument.frets[fret];
        let [treble, bass] = instrument.outline.edges_of(line);
        let centre = (line.x_mm, 0.0);
        for (side, (x_mm, y_mm)) in [
            ("treble edge", treble),
            ("centre", centre),
            ("bass edge", bass),
        ] {
            spots.push(FormSpot {
                name: format!("{}, {side}", fret_name(fret)),
                x_mm,
                y_mm,
            });
        }
    }
    spots
}

fn resolutions(kit: Option<&Kit>, units: Units) -> Vec<String> {
    let Some(kit) = kit else {
        return Vec::new();
    };
    let mm = |mm: f64| units.length(mm, 3);
    let mut words = vec![
        format!("smallest light seen {}", mm(kit.smallest_light_mm)),
        format!("thinnest feeler {}", mm(kit.least_feeler_mm)),
        format!("caliper read to {}", mm(kit.caliper_step_mm)),
    ];
    for dial in &kit.dials {
        words.push(format!(
            "dial on {} legs read to {}",
            units.length(dial.chord_mm, 0),
            mm(dial.resolution_mm)
        ));
    }
    words
}
