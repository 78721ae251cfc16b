//! Writes a pattern with everything in it as DXF, as sheets to be joined and as one long page,
//! into the folder given: `cargo run -p drawing --example patterns -- FOLDER`.

use drawing::{
    Anchor, BarReading, Dash, Ink, Item, Paper, Path, PdfOptions, Point, PrintedBars, Scene,
    SheetOptions, Stroke, Weight, long_page, tiles, write_dxf, write_pdf,
};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("give a folder")?;
    let write = |name: &str, bytes: &[u8]| std::fs::write(format!("{folder}/{name}"), bytes);
    let pdf = |pages: &[drawing::Page]| write_pdf(pages, &PdfOptions::default());
    let scene = pattern(520.0, 90.0);
    write("pattern.dxf", write_dxf(&scene)?.as_bytes())?;
    for paper in Paper::ALL {
        let name = format!("{}.pdf", paper.name());
        write(&name, &pdf(&tiles(&scene, &SheetOptions::new(paper))?)?)?;
    }
    let mut corrected = SheetOptions::new(Paper::A4);
    corrected.bars = PrintedBars {
        short_side: BarReading::of_100_mm(99.6),
        long_side: BarReading::of_100_mm(97.0),
    };
    write("corrected.pdf", &pdf(&tiles(&scene, &corrected)?)?)?;
    let body = pattern(500.0, 350.0);
    write(
        "body.pdf",
        &pdf(&tiles(&body, &SheetOptions::new(Paper::A4))?)?,
    )?;
    let small = pattern(120.0, 60.0);
    write(
        "small.pdf",
        &pdf(&tiles(&small, &SheetOptions::new(Paper::A4))?)?,
    )?;
    let long = long_page(&scene, 8.0, &PrintedBars::TRUE)?;
    write("long.pdf", &pdf(&[long])?)?;
    Ok(())
}

/// A board with frets, a centreline, curves, fillings and words.
fn pattern(width: f64, height: f64) -> Scene {
    let mut scene = Scene::new(width, height, "Heron, fret pattern", "Slots at true size.");
    let outline = Path::rect(5.0, 5.0, width - 10.0, height - 10.0);
    let board = Some(Stroke::new(Ink::WoodEdge, 0.35));
    scene.layer("outline").add(Item::path(outline, board, None));
    let middle = 0.5 * height;
    let centre = Path::line(Point::new(2.0, middle), Point::new(width - 2.0, middle));
    let centre = Item::stroked(centre, Ink::Line, 0.2).dashed(Dash::Chain);
    scene.layer("centreline").add(centre);
    let slots = scene.layer("fret slots");
    for fret in 0..24 {
        let x = 8.0 + (width - 20.0) * (1.0 - 0.5_f64.powf(f64::from(fret) / 12.0)) / 0.74;
        let slot = Path::line(Point::new(x, 5.0), Point::new(x, height - 5.0));
        slots.add(Item::stroked(slot, Ink::Fret, 0.25));
        let name = Item::text(Point::new(x + 0.8, 12.0), format!("{fret}"), 3.0, Ink::Text);
        slots.add(name.weighted(Weight::Bold));
    }
    let curves = scene.layer("curves");
    let dot = Path::circle(Point::new(0.3 * width, middle), 3.0);
    curves.add(Item::filled(dot, Ink::Fret));
    let arc = Path::arc(Point::new(0.5 * width, middle), 20.0, -30.0, 200.0);
    curves.add(Item::stroked(
        arc.line_to(Point::new(0.5 * width, middle)).close(),
        Ink::Accent,
        0.25,
    ));
    let words = scene.layer("words");
    let text = Item::text(
        Point::new(0.7 * width, middle),
        "R 240 mm → 16″ ±0.02",
        4.0,
        Ink::Text,
    );
    words.add(text.anchored(Anchor::Middle).turned(-30.0));
    let signs = Item::text(
        Point::new(60.0, height - 8.0),
        "5 % ^J %%d \\P 30°",
        3.0,
        Ink::Text,
    );
    words.add(signs.anchored(Anchor::End));
    let broken = Path::line(
        Point::new(20.0, 20.0),
        Point::new(0.9 * width, height - 20.0),
    );
    words.add(Item::stroked(broken.clone(), Ink::Line, 0.25).dashed(Dash::Dashed));
    words.add(Item::stroked(broken, Ink::Paper, 0.25).dashed(Dash::Dotted));
    scene
}
