//! The bench plan on paper, A4 or Letter: one stage a block, picture, figures, box to tick.

use bench::{BenchPlan, Stage};
use drawing::pictures::{Look, beam_sweep, chalk_map, left_map, radius_chart, saw_tooth};
use drawing::{
    Anchor, DrawingError, Ink, Item, Page, Paper, Path, PdfOptions, Point, Scene, Weight,
    text_width_mm, wrap_text, write_pdf,
};
use instrument::Instrument;

use super::stage_words::{caution_place, stage_words};
use crate::record::light_name;
use crate::show::{Units, fret_name, minutes};

/// Margin around the sheet, mm.
const MARGIN_MM: f64 = 14.0;
/// Size of running words, mm.
const WORDS_MM: f64 = 3.1;
/// From line to line, mm.
const LINE_MM: f64 = 4.3;

/// The bench plan as a PDF.
///
/// # Errors
/// When the writer cannot make the file.
pub fn bench_plan_pdf(
    instrument: &Instrument,
    plan: &BenchPlan,
    units: Units,
    paper: Paper,
) -> Result<Vec<u8>, DrawingError> {
    let look = Look {
        pointed: None,
        unit: units.length,
    };
    let mut flow = Flow::new(paper, &instrument.title);
    head(&mut flow, instrument, plan, units);
    flow.heading("To be minded");
    for caution in &plan.cautions {
        flow.words(
            &format!("{}: {}", caution_place(plan, caution), caution.message),
            0.0,
        );
    }
    flow.words("Local codes and licensed practice come first.", 0.0);
    flow.picture(&saw_tooth(instrument, plan, look));
    flow.picture(&left_map(instrument, plan, look));
    for (index, stage) in plan.stages.iter().enumerate() {
        stage_block(&mut flow, instrument, units, index + 1, stage);
    }
    flow.headed_picture("How the beam travels", &beam_sweep(instrument, plan, look));
    let zones = radius_chart(instrument, look, Some(plan));
    flow.headed_picture("Where each block may work", &zones);
    gauges(&mut flow, plan, units);
    let options = PdfOptions {
        title: format!("{} · bench plan", instrument.title),
        ..PdfOptions::default()
    };
    write_pdf(&flow.finish(), &options)
}

fn head(flow: &mut Flow, instrument: &Instrument, plan: &BenchPlan, units: Units) {
    flow.title(&format!("{} · bench plan", instrument.title));
    let time: f64 = plan.stages.iter().map(|stage| stage.effort.minutes).sum();
    flow.words(
        &format!(
            "Kit: {}. Begin with the blank flat at {}; the finished crown is {}. Rubbing time {}.",
            plan.kit_title,
            units.length(plan.start_mm, 2),
            units.length(instrument.wood.crown_thickness_mm, 2),
            minutes(time)
        ),
        0.0,
    );
    if !plan.reaches_finish {
        flow.words(
            "This kit cannot finish the board: see what is to be minded.",
            0.0,
        );
    }
}

/// A stage: it is kept together on one sheet.
fn stage_block(
    flow: &mut Flow,
    instrument: &Instrument,
    units: Units,
    number: usize,
    stage: &Stage,
) {
    let words = stage_words(instrument, stage, units);
    let lines = [
        ("How", &words.how),
        ("Chalk", &words.chalk),
        ("Stop", &words.stop),
        ("Check", &words.check),
    ];
    let map_width = 0.5 * (flow.width() - 6.0);
    let maps = [(0, "first touch"), (3, "three quarters done")]
        .map(|(moment, name)| (chalk_map(instrument, stage, moment), name));
    let map_scale = map_width / maps[0].0.width_mm;
    let map_height = map_scale * maps[0].0.height_mm;
    let text_lines: usize = lines
        .iter()
        .map(|(_, text)| flow.wrapped(text, 14.0).len())
        .sum();
    let height = 16.0 + map_height + LINE_MM * text_lines as f64 + 6.0;
    flow.room(height);
    flow.y += 4.0;
    flow.tick_box();
    flow.line(
        &format!("{number}. {}", words.title),
        4.0,
        Weight::Bold,
        9.0,
    );
    flow.line(
        &format!(
            "{} · {} · {}",
            words.where_to,
            words.takes,
            minutes(stage.effort.minutes)
        ),
        WORDS_MM,
        Weight::Regular,
        9.0,
    );
    let top = flow.y + 3.0;
    for (index, (map, name)) in maps.iter().enumerate() {
        let left = MARGIN_MM + index as f64 * (map_width + 6.0);
        let items = map.placed(Point::new(left, top + 1.0), map_scale);
        flow.page().layer("chalk").items.extend(items);
        let caption = Item::text(Point::new(left + 2.0, top), *name, 2.6, Ink::FaintText);
        flow.page().layer("words").add(caption);
    }
    flow.y = top + map_height + 2.0;
    for (name, text) in lines {
        flow.named(name, text, 14.0);
    }
    flow.rule();
}

fn gauges(flow: &mut Flow, plan: &BenchPlan, units: Units) {
    if plan.gauges.is_empty() {
        return;
    }
    flow.heading("Gauges: what a right surface shows");
    let columns = [0.0, 24.0, 56.0, 88.0, 138.0];
    flow.columns(
        &columns,
        &["at", "planned", "gauge", "light", "no light would prove"],
        Weight::Bold,
    );
    for station in &plan.gauges {
        let light = format!(
            "{} {}",
            units.length(station.light_mm.abs(), 3),
            light_name(station.light)
        );
        let proves = format!(
            "{} to {}",
            units.radius(station.no_light.0),
            units.radius(station.no_light.1)
        );
        let cells = [
            fret_name(station.fret),
            units.radius(station.radius),
            units.radius(station.gauge),
            light,
            proves,
        ];
        let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
        flow.columns(&columns, &cells, Weight::Regular);
    }
}

/// Words and pictures flowing down sheets of paper.
struct Flow {
    paper: Paper,
    title: String,
    pages: Vec<Scene>,
    y: f64,
}

impl Flow {
    fn new(paper: Paper, title: &str) -> Self {
        let mut flow = Self {
            paper,
            title: title.to_owned(),
            pages: Vec::new(),
            y: 0.0,
        };
        flow.new_page();
        flow
    }

    fn new_page(&mut self) {
        let name = format!("Sheet {}", self.pages.len() + 1);
        self.pages.push(Scene::new(
            self.paper.width_mm(),
            self.paper.height_mm(),
            name,
            "Bench plan",
        ));
        self.y = MARGIN_MM;
    }

    fn page(&mut self) -> &mut Scene {
        if self.pages.is_empty() {
            self.new_page();
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    fn width(&self) -> f64 {
        self.paper.width_mm() - 2.0 * MARGIN_MM
    }

    /// Begins a new sheet when less than `height_mm` is left on this one.
    fn room(&mut self, height_mm: f64) {
        if self.y + height_mm > self.paper.height_mm() - MARGIN_MM - 4.0 && self.y > MARGIN_MM + 1.0
        {
            self.new_page();
        }
    }

    fn wrapped(&self, text: &str, indent: f64) -> Vec<String> {
        wrap_text(text, WORDS_MM, Weight::Regular, self.width() - indent)
    }

    fn line(&mut self, text: &str, size_mm: f64, weight: Weight, indent: f64) {
        self.y += size_mm * 1.4;
        let at = Point::new(MARGIN_MM + indent, self.y);
        self.page()
            .layer("words")
            .add(Item::text(at, text, size_mm, Ink::Text).weighted(weight));
    }

    fn title(&mut self, text: &str) {
        self.line(text, 6.0, Weight::Bold, 0.0);
        self.y += 2.0;
    }

    fn heading(&mut self, text: &str) {
        self.room(24.0);
        self.y += 4.0;
        self.line(text, 4.2, Weight::Bold, 0.0);
        self.y += 1.0;
    }

    /// A heading is kept with its picture.
    fn headed_picture(&mut self, text: &str, scene: &Scene) {
        self.room(14.0 + self.width() / scene.width_mm * scene.height_mm);
        self.heading(text);
        self.picture(scene);
    }

    fn words(&mut self, text: &str, indent: f64) {
        for line in self.wrapped(text, indent) {
            self.room(LINE_MM);
            self.y += LINE_MM;
            let at = Point::new(MARGIN_MM + indent, self.y);
            self.page()
                .layer("words")
                .add(Item::text(at, line, WORDS_MM, Ink::Text));
        }
    }

    fn named(&mut self, name: &str, text: &str, indent: f64) {
        let at = Point::new(MARGIN_MM, self.y + LINE_MM);
        self.page()
            .layer("words")
            .add(Item::text(at, name, WORDS_MM, Ink::Text).weighted(Weight::Bold));
        self.words(text, indent);
    }

    fn columns(&mut self, starts: &[f64], cells: &[&str], weight: Weight) {
        self.room(LINE_MM);
        self.y += LINE_MM;
        for (start, cell) in starts.iter().zip(cells) {
            let at = Point::new(MARGIN_MM + start, self.y);
            self.page()
                .layer("words")
                .add(Item::text(at, *cell, 2.9, Ink::Text).weighted(weight));
        }
    }

    fn tick_box(&mut self) {
        let (left, top) = (MARGIN_MM, self.y + 1.4);
        let item = Item::stroked(Path::rect(left, top, 5.5, 5.5), Ink::Line, 0.4);
        self.page().layer("boxes").add(item);
    }

    fn rule(&mut self) {
        self.y += 2.5;
        let (left, right, y) = (MARGIN_MM, MARGIN_MM + self.width(), self.y);
        let line = Path::line(Point::new(left, y), Point::new(right, y));
        self.page()
            .layer("rules")
            .add(Item::stroked(line, Ink::FaintLine, 0.25));
    }

    fn picture(&mut self, scene: &Scene) {
        let scale = self.width() / scene.width_mm;
        self.room(scale * scene.height_mm + 2.0);
        let items = scene.placed(Point::new(MARGIN_MM, self.y + 2.0), scale);
        self.page().layer("pictures").items.extend(items);
        self.y += scale * scene.height_mm + 3.0;
    }

    /// The sheets, each with its number and title at the foot.
    fn finish(mut self) -> Vec<Page> {
        let count = self.pages.len();
        let (width_mm, height_mm) = (self.paper.width_mm(), self.paper.height_mm());
        for (index, scene) in self.pages.iter_mut().enumerate() {
            let foot = format!("{} · sheet {} of {count}", self.title, index + 1);
            let fits = text_width_mm(&foot, 2.6, Weight::Regular) < width_mm - 2.0 * MARGIN_MM;
            let foot = if fits {
                foot
            } else {
                format!("sheet {} of {count}", index + 1)
            };
            let at = Point::new(width_mm - MARGIN_MM, height_mm - 8.0);
            scene
                .layer("foot")
                .add(Item::text(at, foot, 2.6, Ink::FaintText).anchored(Anchor::End));
        }
        self.pages
            .into_iter()
            .map(|scene| Page {
                width_mm,
                height_mm,
                scene,
            })
            .collect()
    }
}
