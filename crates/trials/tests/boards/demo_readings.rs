//! The demo's readings are those that their generator writes, and tell what their truth is.

use readings::next::Allowed;
use readings::{Ask, Report, Visit, read_readings, report};
use trials::demo::{demo_bench, demo_readings};

const FILE: &str = include_str!("../../../../demo/heron-readings.csv");

#[test]
fn the_file_is_what_its_generator_writes() {
    // Written anew with `cargo run -p trials --bin demo_readings`.
    assert!(demo_readings() == FILE, "the file was changed by hand");
}

/// Reads the three visits and looks at the report of each.
fn each(look: impl Fn(&Visit, &Report<'_>)) -> usize {
    let (instrument, kit, plan) = demo_bench();
    let read = read_readings(FILE, &instrument, Some(&kit));
    assert!(read.faults.is_empty(), "{}", read.faults);
    for visit in &read.visits {
        let ask = Ask {
            instrument: &instrument,
            bench: Some((&kit, &plan)),
            visit,
            allowed: Allowed::default(),
            tolerance_mm: None,
        };
        let told = report(&ask).unwrap_or_else(|error| panic!("{error}"));
        assert!(
            told.stage.is_some(),
            "{} is no stage of the plan",
            visit.stage
        );
        look(visit, &told);
    }
    read.visits.len()
}

#[test]
fn the_report_says_rough_then_low_at_fret_nine_then_done() {
    let visits = each(|visit, told| {
        let Ok(next) = &told.next else {
            panic!("{}: no surface lies inside the wood", visit.name);
        };
        let fret_9 = told.measured.wood().instrument.fret_x_mm(9);
        let near_fret_9 = next
            .target
            .limiting
            .iter()
            .any(|spot| (told.map.grid.spots[*spot].x_mm - fret_9).abs() < 30.0);
        match visit.name.as_str() {
            "rough" => assert!(!next.done),
            "second" => assert!(near_fret_9, "{:?}", next.target.limiting),
            _ => assert!(next.done, "{} mm", next.departure.at_most_mm),
        }
        assert!(told.doubted.is_empty(), "{:?}", told.doubted);
    });
    assert_eq!(visits, 3);
}
