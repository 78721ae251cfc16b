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

fn wood_slice(instrument: &Instrument) -> Slice {
    let along: Vec<f64> = (0..=100).map(|step| 4.6 * f64::from(step)).collect();
    let now = |x: f64| 0.14 - 0.2 * (-((x - 255.0) / 60.0).powi(2)).exp() + 0.02 * (x / 40.0).sin();
    let half = |x: f64| 0.012 + 0.06 * (x / 460.0).powi(4);
    let list = |height: &dyn Fn(f64) -> f64| along.iter().map(|x| height(*x)).collect();
    let point = |along_mm: f64, off: f64, trust: PointTrust| SlicePoint {
        along_mm,
        value_mm: now(along_mm) + off,
        half_mm: 0.02,
        trust,
    };
    Slice {
        title: "Under string 4, second visit".to_owned(),
        along_title: "from the nut".to_owned(),
        wood_mm: list(&now),
        low_mm: list(&|x| now(x) - half(x)),
        high_mm: list(&|x| now(x) + half(x)),
        planned_mm: Some(list(&|_| 0.0)),
        proposed_mm: Some(list(&|x| now(x).min(-0.05 + 0.00005 * x))),
        readings: vec![
            point(40.0, 0.008, PointTrust::Taken),
            point(150.0, -0.01, PointTrust::Taken),
            point(256.0, 0.004, PointTrust::Taken),
            point(300.0, 0.09, PointTrust::Doubted),
            point(350.0, -0.1, PointTrust::SetAside),
        ],
        ticks: (0..=22)
            .map(|fret| (instrument.fret_x_mm(fret), fret.to_string()))
            .collect(),
        pointed_mm: Some(instrument.fret_x_mm(9)),
        earlier: vec![
            ("first visit".to_owned(), list(&|x| now(x) + 0.15)),
            ("first visit, again".to_owned(), list(&|x| now(x) + 0.11)),
        ],
        along_mm: along.clone(),
    }
}

fn steps() -> [StepLook; 2] {
    let spot = |x_mm: f64, y_mm: f64, words: &str| LimitingSpot {
        x_mm,
        y_mm,
        words: words.to_owned(),
    };
    let beam = StepLook {
        tool: "Beam 460 mm, P120".to_owned(),
        spans_mm: vec![(0.0, 466.0)],
        sweep: Some(BeamSweep {
            near_x_mm: 3.0,
            near_y_mm: 19.0,
            far_x_mm: 463.0,
            far_y_mm: 26.0,
        }),
        limiting: vec![
            spot(259.0, -5.0, "low by 0.05 mm at the 9th fret under string 4"),
            spot(20.0, -15.0, "low by 0.02 mm at the nut under string 6"),
        ],
    };
    let block = StepLook {
        tool: "Block 16 in, 200 mm, P80".to_owned(),
        spans_mm: vec![(0.0, 150.0), (330.0, 466.0)],
        ..StepLook::default()
    };
    [beam, block]
}

fn form(instrument: &Instrument) -> ReadingForm {
    let frets = [0, 3, 5, 7, 9, 12, 15, 17, 19, 21, 22];
    let at = |fret: usize| instrument.fret_x_mm(fret);
    let light = |fret: usize| FormLight {
        name: instrument::fret_name(fret),
        x_mm: at(fret),
        radius_mm: instrument.camber.radius(at(fret)).mm(),
        gauge: "12 in".to_owned(),
        right_light: "edges 0.041 mm".to_owned(),
    };
    let place = |fret: usize| FormPlace {
        name: instrument::fret_name(fret),
        x_mm: at(fret),
    };
    let spot = |name: &str, along: f64, across: f64| {
        let (x_mm, y_mm) = instrument.outline.place(along, across);
        FormSpot {
            name: name.to_owned(),
            x_mm,
            y_mm,
        }
    };
    ReadingForm {
        title: "Heron: readings".to_owned(),
        visit: "second visit".to_owned(),
        lights: [1, 5, 9, 12, 17, 22].map(light).to_vec(),
        gap_lines: (1..=6).map(|lane| format!("string {lane}")).collect(),
        gap_frets: frets.map(place).to_vec(),
        thickness: vec![
            spot("nut, treble corner", 0.01, 0.96),
            spot("nut, bass corner", 0.01, 0.04),
            spot("end, treble corner", 0.99, 0.96),
            spot("end, bass corner", 0.99, 0.04),
            spot("middle", 0.5, 0.5),
        ],
        dials: vec![place(7), place(12)],
        resolution_words: vec![
            "The least light seen is 0.02 mm; a gauge of 12 in over 50 mm tells radii apart that differ by 4 mm or more.".to_owned(),
        ],
        cautions: vec![
            "Rosewood dust can sensitise: mask and extraction, also when brushing the board off to measure it.".to_owned(),
        ],
        look: Look::default(),
    }
}

fn scenes(instrument: &Instrument) -> Vec<(&'static str, Scene)> {
    let look = Look {
        pointed: Some(Pointed { fret: 9, lane: 3 }),
        ..Look::default()
    };
    let departure = map(instrument, MapKind::Departure);
    let take_off = map(instrument, MapKind::TakeOff);
    let [beam, block] = steps();
    let mut scenes = vec![
        ("departure", departure_map(instrument, &departure, look)),
        ("slice", slice(look, &wood_slice(instrument))),
        ("slice-empty", slice(look, &Slice::default())),
        (
            "step-beam",
            step_on_board(instrument, &take_off, &beam, look),
        ),
        (
            "step-block",
            step_on_board(instrument, &take_off, &block, look),
        ),
        ("take-off", departure_map(instrument, &take_off, look)),
    ];
    let names = ["form-1", "form-2", "form-3", "form-4"];
    scenes.extend(
        names
            .into_iter()
            .zip(reading_form(instrument, &form(instrument))),
    );
    scenes
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
