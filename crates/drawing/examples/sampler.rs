//! Draws every ink, a field with its lines, an axis and a true-size ruler, and writes them as
//! SVG (light, dark, paper) and PDF into the directory named on the command line.

use drawing::*;

fn scene() -> Scene {
    let mut scene = Scene::new(
        180.0,
        150.0,
        "Sampler",
        "Every ink, a field of figures, an axis and a ruler.",
    );
    let paper = Path::rect(0.0, 0.0, 180.0, 150.0);
    scene.layer("sheet").add(Item::filled(paper, Ink::Paper));
    for (row, ink) in Ink::ALL.into_iter().enumerate() {
        let y = 6.0 + 5.0 * row as f64;
        let swatch = Path::rect(6.0, y - 3.5, 14.0, 4.0);
        let outline = Stroke::new(Ink::FaintLine, 0.1);
        let inks = scene.layer("inks");
        inks.add(Item::path(swatch, Some(outline), Some(ink)).keyed(format!("ink-{row}")));
        let name = ink.name().unwrap_or_default();
        inks.add(Item::text(Point::new(22.0, y), name, 3.0, Ink::Text).labelled("an ink"));
        inks.add(Item::text(Point::new(46.0, y), "Aa 0.12 mm", 3.0, ink));
    }
    let wood = Path::rect(70.0, 4.0, 104.0, 12.0);
    let board = scene.layer("board");
    board.add(Item::path(
        wood,
        Some(Stroke::new(Ink::WoodEdge, 0.4)),
        Some(Ink::Wood),
    ));
    for fret in 0..6 {
        let x = 74.0 + 17.0 * f64::from(fret);
        let wire = Path::line(Point::new(x, 4.0), Point::new(x, 16.0));
        board.add(Item::stroked(wire, Ink::Fret, 0.8).keyed(format!("fret-{fret}")));
        let chalk = Path::circle(Point::new(x + 8.0, 10.0), 3.0);
        board.add(Item::stroked(chalk, Ink::Chalk, 0.6));
    }
    let string = Path::line(Point::new(70.0, 8.0), Point::new(174.0, 8.0));
    board.add(Item::stroked(string, Ink::String, 0.3));
    field(&mut scene, ColourMap::Cividis, 24.0);
    field(&mut scene, ColourMap::Signed, 54.0);
    let scale = LinearScale::new((-0.4, 0.6), (80.0, 170.0));
    let axis = Axis {
        grid_mm: 6.0,
        ..Axis::new(AxisSide::Below, scale, 92.0, "gap (mm)")
    };
    axis.draw(&mut scene);
    let upright = LinearScale::new((0.0, 24.0), (84.0, 24.0));
    Axis::new(AxisSide::Left, upright, 76.0, "fret").draw(&mut scene);
    let words = "mm² mm³ µ ° ± × – — 16″ 11½ ≤ ≥ √ κ player’s “wish” ✓ □ − \u{10FFFD} AVATAR To";
    let text = scene.layer("text");
    text.add(Item::text(Point::new(6.0, 110.0), words, 4.0, Ink::Text));
    text.add(Item::text(Point::new(6.0, 116.0), words, 4.0, Ink::Text).weighted(Weight::Bold));
    let turned = Item::text(Point::new(174.0, 110.0), "turned", 4.0, Ink::Accent);
    text.add(turned.turned(90.0).anchored(Anchor::Middle));
    for (row, dash) in [Dash::Dashed, Dash::Dotted, Dash::Chain]
        .into_iter()
        .enumerate()
    {
        let y = 122.0 + 3.0 * row as f64;
        let line = Path::line(Point::new(6.0, y), Point::new(106.0, y));
        scene
            .layer("ruler")
            .add(Item::stroked(line, Ink::Line, 0.35).dashed(dash));
    }
    scene
}

fn field(scene: &mut Scene, map: ColourMap, top: f64) {
    let field = Field::from_fn(96, 24, |column, row| {
        let (u, v) = (column as f64 / 95.0, row as f64 / 23.0);
        let spread = 12.0 + 4.0 * u;
        let point = Point::new(80.0 + 90.0 * u, top + 14.0 + spread * (v - 0.5) * 1.6);
        (point, (7.0 * u).sin() * (4.0 * v).cos())
    });
    let Ok(field) = field else { return };
    let levels: Vec<f64> = (0..9).map(|step| -1.0 + 0.25 * f64::from(step)).collect();
    for band in field.bands(&levels) {
        let ink = Ink::Map(map, 0.5 + 0.5 * band.level);
        scene.layer("field").add(Item::filled(band.region, ink));
    }
    for line in field.isolines(0.0) {
        scene
            .layer("field")
            .add(Item::stroked(Path::polyline(&line), Ink::Line, 0.2));
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let directory = std::env::args_os()
        .nth(1)
        .ok_or("name a directory to write into")?;
    let directory = std::path::Path::new(&directory);
    let scene = scene();
    let palettes = [
        ("light.svg", Palette::Light),
        ("dark.svg", Palette::Dark),
        ("print.svg", Palette::Print),
    ];
    for (name, palette) in palettes {
        let options = SvgOptions {
            palette: SvgPalette::Fixed(palette),
            ..SvgOptions::default()
        };
        std::fs::write(directory.join(name), write_svg(&scene, &options))?;
    }
    let page = Page {
        width_mm: Paper::A4.width_mm(),
        height_mm: Paper::A4.height_mm(),
        scene,
    };
    let options = PdfOptions {
        title: "Sampler".to_owned(),
        language: "en".to_owned(),
    };
    std::fs::write(directory.join("sampler.pdf"), write_pdf(&[page], &options)?)?;
    Ok(())
}
