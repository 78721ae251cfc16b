//! The demo's readings are those that their generator writes, and tell what their truth is.

use readings::next::Allowed;
use readings::report::Verdict;
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
            "rough" => assert!(!next.is_done()),
            "second" => assert!(near_fret_9, "{:?}", next.target.limiting),
            _ => assert!(next.is_done(), "{} mm", next.departure.at_most_mm),
        }
        assert!(told.doubted.is_empty(), "{:?}", told.doubted);
    });
    assert_eq!(visits, 3);
}

/// The wood just as the plan leaves it after a stage, read at two places: a maker who is told to
/// take wood off for what he has not read yet would take it off a sound board.
#[test]
fn few_readings_that_agree_with_the_plan_ask_for_more_readings_and_for_no_wood() {
    let (instrument, kit, plan) = demo_bench();
    let stage = &plan.stages[0];
    let crown_mm = instrument.wood.crown_thickness_mm + stage.after.offset_mm;
    let text = format!(
        "visit,date,stage,kind,tool,at,across,from,to,shows,value,resolution,set_up,note\n\
         one,2026-03-02,{},thickness,,fret 12,centre,,,,{crown_mm:.3} mm,,,\n\
         one,,,light,16 in,fret 12,,,,none,,,,\n",
        stage.key
    );
    let read = read_readings(&text, &instrument, Some(&kit));
    assert!(read.faults.is_empty(), "{}", read.faults);
    let ask = Ask {
        instrument: &instrument,
        bench: Some((&kit, &plan)),
        visit: &read.visits[0],
        allowed: Allowed::default(),
        tolerance_mm: None,
    };
    let told = report(&ask).expect("tells a surface");
    let next = told.next.as_ref().expect("a surface lies inside the wood");
    assert_eq!(next.verdict, Verdict::ReadFirst);
    let found_mm = next.departure.found_mm();
    assert!(found_mm <= told.tolerance_mm, "{found_mm} mm");
    assert!(next.departure.at_most_mm > told.tolerance_mm);
    assert!(!next.telling.is_empty(), "a reading is named");
}
