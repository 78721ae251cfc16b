//! The form for readings: room for a pencil, nothing left out, nothing off the sheet.

#![allow(
    clippy::unwrap_used,
    reason = "in a test, a failed unwrap is the message"
)]

use crate::common::{boards, check, check_frame, heron, layer, paths, texts};
use drawing::pictures::{FormLight, FormPlace, FormSpot, Look, ReadingForm, reading_form};
use drawing::{Item, Page, Paper, PdfOptions, Point, Scene, Shape, write_pdf};
use instrument::Instrument;
use quantity::LengthUnit;

/// Room that a pencil takes, mm (common practice, no source).
const LEAST_ROW_MM: f64 = 8.0;
const TICK_MM: f64 = 4.0;
const LEAST_TEXT_MM: f64 = 3.0;

fn form(instrument: &Instrument, count: usize) -> ReadingForm {
    let length = instrument.end_x_mm();
    let x = |index: usize| length * index as f64 / count.max(1) as f64;
    let place = |index: usize| FormPlace {
        name: format!("fret {index}"),
        x_mm: x(index),
    };
    ReadingForm {
        title: "Heron: readings".to_owned(),
        visit: "second visit".to_owned(),
        lights: (0..count)
            .map(|index| FormLight {
                name: format!("station {index} beside the marker"),
                x_mm: x(index),
                radius_mm: if index % 2 == 0 { f64::INFINITY } else { 304.8 },
                gauge: "12 in".to_owned(),
                right_light: "edges 0.041 mm".to_owned(),
            })
            .collect(),
        gap_lines: (1..=6).map(|lane| format!("string {lane}")).collect(),
        gap_frets: (0..count).map(place).collect(),
        thickness: (0..count)
            .map(|index| FormSpot {
                name: format!("spot {index}"),
                x_mm: x(index),
                y_mm: 3.0 * (index % 3) as f64 - 3.0,
            })
            .collect(),
        dials: (0..count).map(place).collect(),
        resolution_words: vec!["The least light seen is 0.02 mm. ".repeat(12)],
        cautions: vec!["Dust can sensitise: mask and extraction.".to_owned()],
        look: Look::default(),
    }
}

/// Height and width of every rectangle of a layer, mm.
fn sizes(scene: &Scene, name: &str) -> Vec<(f64, f64)> {
    let bounds = |path: &drawing::Path| path.bounds().unwrap();
    let size = |(low, high): (Point, Point)| (high.y - low.y, high.x - low.x);
    let paths = paths(&layer(scene, name).items);
    paths.iter().map(bounds).map(size).collect()
}

fn least_text_mm(scene: &Scene) -> f64 {
    let size = |item: &Item| match &item.shape {
        Shape::Text { size_mm, .. } => Some(*size_mm),
        _ => None,
    };
    let items = scene.layers.iter().flat_map(|layer| &layer.items);
    items.filter_map(size).fold(f64::INFINITY, f64::min)
}

#[test]
fn every_sheet_has_room_for_a_pencil() {
    for instrument in boards() {
        for count in [1, 5, 9, 23, 60] {
            for unit in [LengthUnit::Millimetre, LengthUnit::FractionInch] {
                let mut form = form(&instrument, count);
                form.look.unit = unit;
                for sheet in reading_form(&instrument, &form) {
                    check(&sheet);
                    assert_eq!((sheet.width_mm, sheet.height_mm), (180.0, 257.0));
                    assert!(least_text_mm(&sheet) >= LEAST_TEXT_MM);
                    let frames = sizes(&sheet, "frames");
                    assert!(frames.iter().all(|size| size.0 > LEAST_ROW_MM - 1e-9));
                    let ticks = sizes(&sheet, "cells");
                    let is_tick = |size: &(f64, f64)| {
                        (size.0 - TICK_MM).abs() < 1e-9 && (size.1 - TICK_MM).abs() < 1e-9
                    };
                    assert!(ticks.iter().all(is_tick), "{ticks:?}");
                }
            }
        }
    }
}

#[test]
fn nothing_asked_for_is_left_out() {
    let instrument = heron();
    for count in [1, 7, 23] {
        let form = form(&instrument, count);
        let sheets = reading_form(&instrument, &form);
        let ticks: usize = sheets.iter().map(|sheet| sizes(sheet, "cells").len()).sum();
        assert_eq!(ticks, 3 * count, "none, edges and crown for each station");
        let words: Vec<String> = sheets.iter().flat_map(texts).collect();
        for lane in 1..=6 {
            let tables = count.div_ceil(8);
            let name = format!("string {lane}");
            let rows = words.iter().filter(|word| **word == name).count();
            assert_eq!(rows, tables, "{name} of {count}");
        }
        for index in 0..count {
            assert!(
                words.contains(&format!("spot {index}")),
                "{index} of {count}"
            );
            assert!(
                words.contains(&format!("D{}", index + 1)),
                "{index} of {count}"
            );
        }
        assert!(words.iter().any(|word| word.contains("sensitise")));
        assert!(words.contains(&"flat".to_owned()));
        assert!(words.contains(&format!("sheet 1 of {}", sheets.len())));
        assert_eq!(
            sheets[0].title,
            format!("Heron: readings, sheet 1 of {}", sheets.len())
        );
    }
}

#[test]
fn rows_do_not_run_into_each_other_or_the_foot() {
    let instrument = heron();
    for sheet in reading_form(&instrument, &form(&instrument, 23)) {
        let frames = paths(&layer(&sheet, "frames").items);
        let bounds: Vec<(Point, Point)> =
            frames.iter().map(|path| path.bounds().unwrap()).collect();
        for (index, (low, high)) in bounds.iter().enumerate() {
            assert!(high.y <= 250.0 + 1e-9, "{high:?}");
            for (other_low, other_high) in &bounds[..index] {
                let wide = high.x.min(other_high.x) - low.x.max(other_low.x);
                let tall = high.y.min(other_high.y) - low.y.max(other_low.y);
                assert!(wide < 1e-9 || tall < 1e-9, "{low:?} and {other_low:?}");
            }
        }
    }
}

#[test]
fn stations_lie_to_scale_on_the_board() {
    let instrument = heron();
    let form = form(&instrument, 5);
    let sheets = reading_form(&instrument, &form);
    let middle = |path: &drawing::Path| path.points().map(|point| point.x).sum::<f64>() / 2.0;
    let stations: Vec<f64> = paths(&layer(&sheets[0], "stations").items)
        .iter()
        .map(middle)
        .collect();
    let (low, high) = paths(&layer(&sheets[0], "board").items)[0]
        .bounds()
        .unwrap();
    // On a board with square ends the drawn length stands for the whole.
    let scale = (high.x - low.x) / instrument.end_x_mm();
    for (found, light) in stations.iter().zip(&form.lights) {
        let expected = low.x + scale * light.x_mm;
        assert!((found - expected).abs() < 1e-9, "{found}, not {expected}");
    }
}

#[test]
fn an_empty_form_is_a_sheet_for_notes() {
    let sheets = reading_form(&heron(), &ReadingForm::default());
    assert_eq!(sheets.len(), 1);
    check(&sheets[0]);
    assert!(texts(&sheets[0]).contains(&"Notes".to_owned()));
    assert!(sizes(&sheets[0], "frames").is_empty());
    assert!(layer(&sheets[0], "lines").items.len() > 10);
}

#[test]
fn odd_figures_and_endless_words_cost_themselves() {
    let instrument = heron();
    let mut odd = form(&instrument, 4);
    odd.lights[1].x_mm = f64::NAN;
    odd.lights[1].radius_mm = f64::NAN;
    odd.thickness[2].y_mm = f64::NEG_INFINITY;
    odd.gap_frets[0].x_mm = f64::INFINITY;
    odd.dials[3].x_mm = f64::NAN;
    let endless = "a word ".repeat(2000);
    odd.title = endless.clone();
    odd.visit = endless.clone();
    odd.lights[0].name = endless.clone();
    odd.gap_lines[0] = endless.replace(' ', "");
    odd.cautions.push(endless);
    let sheets = reading_form(&instrument, &odd);
    for sheet in &sheets {
        check_frame(sheet);
    }
    let words: Vec<String> = sheets.iter().flat_map(texts).collect();
    assert!(words.contains(&"not known".to_owned()));
    assert!(
        !words
            .iter()
            .any(|word| word.contains("NaN") || word.contains("inf"))
    );
    assert_eq!(layer(&sheets[0], "stations").items.len(), 4);
}

#[test]
fn the_form_prints_on_a4() {
    let instrument = heron();
    let sheets = reading_form(&instrument, &form(&instrument, 9));
    let pages: Vec<Page> = sheets
        .iter()
        .map(|sheet| {
            let (width_mm, height_mm) = (Paper::A4.width_mm(), Paper::A4.height_mm());
            let mut scene = Scene::new(width_mm, height_mm, "form", "form");
            let placed = sheet.placed(Point::new(15.0, 20.0), 1.0);
            scene.layer("form").extend(placed);
            Page {
                width_mm,
                height_mm,
                scene,
            }
        })
        .collect();
    let pdf = write_pdf(&pages, &PdfOptions::default()).unwrap();
    let document = lopdf::Document::load_mem(&pdf).unwrap();
    assert_eq!(document.get_pages().len(), sheets.len());
}
