//! Draws the pictures of measured wood for an invented low place near the 9th fret, and writes
//! them as SVG (light, dark) and PDF into the directory named on the command line.

use drawing::pictures::*;
use drawing::*;
use instrument::Instrument;

const COLUMNS: usize = 60;
const ROWS: usize = 21;

fn map(instrument: &Instrument, kind: MapKind) -> MeasuredMap {
    let place = |index: usize| {
        let along = (index / ROWS) as f64 / (COLUMNS - 1) as f64;
        let across = (index % ROWS) as f64 / (ROWS - 1) as f64;
        (along, across)
    };
    let departure = |index: usize| {
        let (along, across) = place(index);
        let low = (-((along - 0.55) / 0.12).powi(2) - ((across - 0.4) / 0.3).powi(2)).exp();
        0.14 * (3.0 * along).sin() + 0.05 * (across - 0.5) - 0.21 * low
    };
    let sigma = |index: usize| {
        let (along, across) = place(index);
        0.008 + 0.07 * (along - 0.6).max(0.0) + 0.03 * (2.0 * (across - 0.5)).powi(4)
    };
    let value = |index: usize| match kind {
        MapKind::Departure => departure(index),
        MapKind::TakeOff => (departure(index) + 0.03).max(0.0),
    };
    let mark = |along: f64, across: f64, kind: MarkKind, label: &str| {
        let (x_mm, y_mm) = instrument.outline.place(along, across);
        MapMark {
            x_mm,
            y_mm,
            kind,
            label: label.to_owned(),
        }
    };
    let readings = (0..24).map(|index| {
        let (along, across) = (
            f64::from(index / 3) / 8.0 + 0.02,
            f64::from(index % 3) / 2.6 + 0.1,
        );
        mark(along, across, MarkKind::Reading, "gap 0.12 mm")
    });
    let mut marks: Vec<MapMark> = readings.collect();
    marks.push(mark(0.31, 0.7, MarkKind::Doubted, "gap 0.40 mm, doubted"));
    marks.push(mark(
        0.42,
        0.2,
        MarkKind::SetAside,
        "gap 0.90 mm, set aside",
    ));
    marks.push(mark(0.55, 0.4, MarkKind::Limiting, "9th fret, lane 4"));
    marks.push(mark(0.97, 0.5, MarkKind::Next, "dial here"));
    MeasuredMap {
        title: "Heron, second visit: departure from the planned camber".to_owned(),
        columns: COLUMNS,
        rows: ROWS,
        value_mm: (0..COLUMNS * ROWS).map(value).collect(),
        sigma_mm: (0..COLUMNS * ROWS).map(sigma).collect(),
        known_mm: 0.015,
        kind,
        marks,
    }
}

fn scenes(instrument: &Instrument) -> Vec<(&'static str, Scene)> {
    let look = Look {
        pointed: Some(Pointed { fret: 9, lane: 3 }),
        ..Look::default()
    };
    let departure = map(instrument, MapKind::Departure);
    let take_off = map(instrument, MapKind::TakeOff);
    vec![
        ("departure", departure_map(instrument, &departure, look)),
        ("take-off", departure_map(instrument, &take_off, look)),
    ]
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let directory = std::env::args_os()
        .nth(1)
        .ok_or("name a directory to write into")?;
    let directory = std::path::Path::new(&directory);
    let heron = include_str!("../../../demo/heron.toml");
    let instrument = instrument::read_commission(heron, &|_| Err("no files here".to_owned()))
        .map_err(|faults| format!("{faults:?}"))?;
    let mut pages = Vec::new();
    for (name, scene) in scenes(&instrument) {
        for (end, palette) in [("light", Palette::Light), ("dark", Palette::Dark)] {
            let options = SvgOptions {
                palette: SvgPalette::Fixed(palette),
                ..SvgOptions::default()
            };
            let file = directory.join(format!("{name}-{end}.svg"));
            std::fs::write(file, write_svg(&scene, &options))?;
        }
        pages.push(Page {
            width_mm: scene.width_mm,
            height_mm: scene.height_mm,
            scene,
        });
    }
    let options = PdfOptions {
        title: "Measured wood".to_owned(),
        language: "en".to_owned(),
    };
    std::fs::write(
        directory.join("measured-wood.pdf"),
        write_pdf(&pages, &options)?,
    )?;
    Ok(())
}
