//! Draws what the wood says to the player, from invented figures on the demo's Heron, and writes
//! it into a directory as pages and as SVG, light and dark:
//! `cargo run -p drawing --example playing -- DIRECTORY`.

use drawing::pictures::{
    CentsChart, CentsLine, ChooserChart, Look, Pointed, SaddlePicture, ShareBars, ShareRow, Side,
    StringMap, StringSide, camber_chooser, cents_chart, saddle_picture, share_bars, string_map,
    string_side,
};
use drawing::{Page, Palette, PdfOptions, Scene, SvgOptions, SvgPalette, write_pdf, write_svg};
use instrument::Instrument;

/// An even wave between −1 and 1, as different from place to place as figures at the bench are.
fn wave(place: usize) -> f64 {
    (1.7 * place as f64).sin()
}

fn margins(strings: usize, frets: usize) -> StringMap {
    let margin = |lane: usize, fret: usize| -> Option<f64> {
        let rise = 0.012 * fret as f64 + 0.02 * lane as f64;
        (fret > 0 || lane != 2).then(|| 0.09 + rise + 0.05 * wave(7 * lane + 3 * fret))
    };
    StringMap {
        title: "Room for the swinging string".to_owned(),
        description: "The least gap between the swinging string and any fret in front of it."
            .to_owned(),
        unit: "mm".to_owned(),
        values: (0..strings)
            .map(|lane| (0..frets).map(|fret| margin(lane, fret)).collect())
            .collect(),
        decimals: 2,
        limit: Some(0.1),
        wrong_side: Side::Below,
        key: "least gap while the string swings".to_owned(),
    }
}

fn off_pitch(strings: usize, frets: usize) -> StringMap {
    StringMap {
        title: "Off pitch when fretted".to_owned(),
        description: "Cents by which each stopped string is sharp.".to_owned(),
        unit: "cents".to_owned(),
        values: (0..strings)
            .map(|lane| {
                let cents = |fret: usize| 2.0 * lane as f64 + 4.0 * wave(fret + lane) - 3.0;
                (0..frets).map(|fret| Some(cents(fret))).collect()
            })
            .collect(),
        decimals: 0,
        limit: Some(8.0),
        wrong_side: Side::Above,
        key: "sharp of the wished pitch".to_owned(),
    }
}

fn side(stopped_at: usize) -> StringSide {
    let scale = 635.0;
    let tops: Vec<(f64, f64)> = (0..=22)
        .map(|fret| {
            let x = scale * (1.0 - 2.0_f64.powf(-f64::from(fret) / 12.0));
            // Relief of 0.15 mm at the middle, and the wire's own unevenness.
            let relief = -0.15 * (std::f64::consts::PI * x / 457.0).sin();
            (x, relief + 0.02 * wave(fret as usize))
        })
        .collect();
    let from = tops[stopped_at];
    let saddle = (scale, 2.8);
    let rest = |x: f64| from.1 + (saddle.1 - from.1) * (x - from.0) / (saddle.0 - from.0);
    let depth = |share: f64| 1.1 * share.min(5.0 * (1.0 - share)) * (1.0 - 0.3 * share);
    let swept = (0..=60)
        .map(|step| {
            let share = f64::from(step) / 60.0;
            let x = from.0 + share * (saddle.0 - from.0);
            (
                x,
                1.6 * share.min(5.0 * (1.0 - share)) * (1.0 - 0.3 * share),
            )
        })
        .collect();
    let room = |fret: usize| {
        let (x, z) = tops[fret];
        (
            fret,
            rest(x) - depth((x - from.0) / (saddle.0 - from.0)) - z,
        )
    };
    let least = (stopped_at + 1..tops.len())
        .map(room)
        .min_by(|a, b| a.1.total_cmp(&b.1));
    StringSide {
        title: "Fourth string from the side".to_owned(),
        description: "The fourth string over its frets.".to_owned(),
        uncertainty_mm: vec![0.03; tops.len()],
        tops,
        stopped_at,
        from,
        saddle,
        swept,
        least,
    }
}

fn cents() -> CentsChart {
    let names = ["E4", "B3", "G3", "D3", "A2", "E2"];
    let line = |(string, name): (usize, &str)| CentsLine {
        name: name.to_owned(),
        cents: (0..=22)
            .map(|fret| {
                let stretch = 0.02 * (fret as f64 - 9.0).powi(2) * (1.0 + 0.3 * string as f64);
                if fret == 0 {
                    0.0
                } else {
                    stretch - 2.0 + 1.5 * wave(fret + 2 * string)
                }
            })
            .collect(),
    };
    CentsChart {
        title: "Cents left at every fret".to_owned(),
        description: "Cents left at every fret after nut and saddle are set.".to_owned(),
        frets: 22,
        strings: names.into_iter().enumerate().map(line).collect(),
        band_cents: 5.0,
    }
}

fn chooser() -> ChooserChart {
    let drops = |half: f64| -> Vec<(f64, f64)> {
        let radius = |step: i32| 150.0 + 5.0 * f64::from(step);
        (0..=100)
            .map(|step| {
                let r = radius(step);
                (r, r - (r * r - half * half).sqrt())
            })
            .collect()
    };
    ChooserChart {
        title: "Which camber grants a bend of 200 cents".to_owned(),
        description: "Cambers by radius at the nut and at the last fret.".to_owned(),
        frontier: (0..=10)
            .map(|step| {
                let nut = 180.0 + 40.0 * f64::from(step);
                (nut, 230.0 + 9.0e3 / (nut - 120.0) + 0.12 * nut)
            })
            .collect(),
        this: (240.0, 400.0),
        string_cone_ratio: Some(1.34),
        owned_mm: vec![254.0, 304.8, 406.4, 508.0],
        nut_drop: drops(21.25),
        last_drop: drops(28.0),
        reach: ((150.0, 600.0), (200.0, 600.0)),
    }
}

fn shares() -> ShareBars {
    let row = |name: &str, share: f64, words: &str| ShareRow {
        name: name.to_owned(),
        share,
        words: words.to_owned(),
    };
    ShareBars {
        title: "Which error matters most for the least gap".to_owned(),
        description: "Shares of the shop's errors in the spread of the least gap.".to_owned(),
        unit: "%".to_owned(),
        rows: vec![
            row("relief", 0.18, "set by eye to ±0.03 mm"),
            row(
                "height of the fret tops",
                0.46,
                "levelled to ±0.02 mm over the whole board",
            ),
            row("depth of the nut's slots", 0.09, "filed to ±0.03 mm"),
            row("height of the saddle", 0.22, "sanded to ±0.05 mm"),
            row("place of the frets", 0.004, "sawn to ±0.05 mm"),
        ],
    }
}

fn saddle() -> SaddlePicture {
    let gauges = [0.254, 0.330, 0.432, 0.660, 0.914, 1.168];
    let off = [0.02, -0.03, 0.0, 0.04, -0.02, 0.0];
    let string = |(index, gauge): (usize, &f64)| {
        let y = 26.0 - 10.4 * index as f64;
        (y, 11.2 - y * y / 800.0 - 0.008 * y + off[index], *gauge)
    };
    SaddlePicture {
        title: "Saddle from the end".to_owned(),
        description: "Where the strings lie on the saddle.".to_owned(),
        strings: gauges.iter().enumerate().map(string).collect(),
        circle_mm: Some(400.0),
        base_words: "heights of the strings' undersides over the bridge".to_owned(),
    }
}

fn scenes(heron: &Instrument, bittern: &Instrument) -> Vec<(&'static str, Scene)> {
    let look = Look {
        pointed: Some(Pointed { fret: 9, lane: 3 }),
        ..Look::default()
    };
    vec![
        ("margins", string_map(heron, &margins(6, 23), look)),
        ("off-pitch", string_map(bittern, &off_pitch(5, 25), look)),
        ("side", string_side(&side(5), look)),
        ("side-open", string_side(&side(0), Look::default())),
        ("chooser", camber_chooser(&chooser(), look)),
        ("shares", share_bars(&shares(), look)),
        ("saddle", saddle_picture(&saddle(), look)),
        ("cents", cents_chart(&cents(), look)),
        ("cents-all", cents_chart(&cents(), Look::default())),
    ]
}

fn read(text: &str) -> Result<Instrument, Box<dyn std::error::Error>> {
    instrument::read_commission(text, &|_| Err("no files here".to_owned()))
        .map_err(|faults| format!("{faults:?}").into())
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let directory = std::env::args_os()
        .nth(1)
        .ok_or("name a directory to write into")?;
    let directory = std::path::Path::new(&directory);
    let heron = read(include_str!("../../../demo/heron.toml"))?;
    let bittern = read(include_str!("../../../demo/bittern.toml"))?;
    let mut pages = Vec::new();
    for (name, scene) in scenes(&heron, &bittern) {
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
        title: "Playing".to_owned(),
        language: "en".to_owned(),
    };
    std::fs::write(directory.join("playing.pdf"), write_pdf(&pages, &options)?)?;
    Ok(())
}
