//! Draws the patterns of the demos at true size and writes them into a directory as SVG:
//! `cargo run -p drawing --example patterns -- DIRECTORY`.

use bench::beam::beam_path;
use drawing::patterns::{
    beam_card, depth_card, fret_pattern, gauge_patterns, nut_pattern, saddle_pattern,
    usual_stations,
};
use drawing::pictures::Look;
use drawing::{Palette, Scene, SvgOptions, SvgPalette, write_svg};
use instrument::Instrument;
use play::{On, playing, sheet};
use quantity::LengthUnit;

/// The demos, each with the unit it is drawn in.
const DEMOS: [(&str, &str, LengthUnit); 4] = [
    (
        "heron",
        include_str!("../../../demo/heron.toml"),
        LengthUnit::Millimetre,
    ),
    (
        "sandpiper",
        include_str!("../../../demo/sandpiper.toml"),
        LengthUnit::FractionInch,
    ),
    (
        "bittern",
        include_str!("../../../demo/bittern.toml"),
        LengthUnit::Millimetre,
    ),
    (
        "avocet",
        include_str!("../../../demo/avocet.toml"),
        LengthUnit::DecimalInch,
    ),
];

/// As wide as an upright A4 sheet takes with its margins, mm.
const ROW_MM: f64 = 184.0;

fn scenes(instrument: &Instrument, look: Look) -> Vec<(&'static str, Scene)> {
    let sheet = sheet(instrument, None);
    let playing = playing(instrument, &sheet.strings, On::Planned);
    let stations = usual_stations(instrument);
    vec![
        ("frets", fret_pattern(instrument, &sheet, look)),
        (
            "gauges",
            gauge_patterns(instrument, &stations, ROW_MM, look),
        ),
        ("nut", nut_pattern(&playing, look)),
        ("saddle", saddle_pattern(&playing, look)),
        ("beam", beam_card(instrument, &beam_path(instrument), look)),
        ("depths", depth_card(instrument, &sheet, look)),
    ]
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let directory = std::env::args_os()
        .nth(1)
        .ok_or("name a directory to write into")?;
    let directory = std::path::Path::new(&directory);
    let options = SvgOptions {
        palette: SvgPalette::Fixed(Palette::Print),
        ..SvgOptions::default()
    };
    for (name, text, unit) in DEMOS {
        let instrument = instrument::read_commission(text, &|_| Err("no files here".to_owned()))
            .map_err(|faults| format!("{faults:?}"))?;
        let look = Look {
            unit,
            ..Look::default()
        };
        for (pattern, scene) in scenes(&instrument, look) {
            let file = directory.join(format!("{name}-{pattern}.svg"));
            std::fs::write(file, write_svg(&scene, &options))?;
        }
    }
    Ok(())
}
