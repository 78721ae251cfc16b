//! The bench plan on paper, A4 or Letter: one stage a block, picture, figures, box to tick.

use bench::{BenchPlan, Stage};
use drawing::pictures::{Look, beam_sweep, chalk_map, left_map, radius_chart, saw_tooth};
use drawing::{DrawingError, Ink, Item, Paper, PdfOptions, Point, Weight, write_pdf};
use instrument::Instrument;

use super::flow::{Flow, LINE_MM, MARGIN_MM, WORDS_MM};
use super::stage_words::{caution_place, stage_words};
use crate::record::light_name;
use crate::show::{Units, fret_name, minutes};

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
    let mut flow = Flow::new(paper, &instrument.title, "Bench plan");
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
    flow.words(
        &format!(
            "Kit: {}. Begin with the blank flat at {}; the finished crown is {}. Rubbing time {}.",
            plan.kit_title,
            units.length(plan.start_mm, 2),
            units.length(instrument.wood.crown_thickness_mm, 2),
            minutes(plan.minutes())
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
