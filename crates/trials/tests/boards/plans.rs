//! Ten thousand random boards and kits: what every bench plan must keep to.
//!
//! The boards are planned once, on all cores, and every property is a test of its own over them.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::LazyLock;
use std::sync::atomic::{AtomicU64, Ordering};

use crate::survey::{Fault, Property, look};
use trials::drawn;

const BOARDS: u64 = 10_000;

#[derive(Default)]
struct Survey {
    planned: u64,
    refused: u64,
    panics: Vec<u64>,
    faults: Vec<(u64, Fault)>,
}

static SURVEY: LazyLock<Survey> = LazyLock::new(|| {
    let next = AtomicU64::new(0);
    let cores = std::thread::available_parallelism().map_or(2, |count| count.get());
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..cores)
            .map(|_| scope.spawn(|| survey_some(&next)))
            .collect();
        let mut whole = Survey::default();
        for worker in workers {
            let part = worker.join().expect("panics are caught inside");
            whole.planned += part.planned;
            whole.refused += part.refused;
            whole.panics.extend(part.panics);
            whole.faults.extend(part.faults);
        }
        whole.faults.sort_by_key(|fault| fault.0);
        whole
    })
});

fn survey_some(next: &AtomicU64) -> Survey {
    let mut survey = Survey::default();
    loop {
        let seed = next.fetch_add(1, Ordering::Relaxed);
        if seed >= BOARDS {
            return survey;
        }
        let (board, kit) = drawn(seed);
        match catch_unwind(AssertUnwindSafe(|| look(&board, &kit))) {
            Err(_) => survey.panics.push(seed),
            Ok(None) => survey.refused += 1,
            Ok(Some(faults)) => {
                survey.planned += 1;
                survey
                    .faults
                    .extend(faults.into_iter().map(|fault| (seed, fault)));
            }
        }
    }
}

/// Fails with the worst case, its texts, and how many boards have one.
#[track_caller]
fn holds(property: Property) {
    let all = || {
        SURVEY
            .faults
            .iter()
            .filter(|(_, fault)| fault.property == property)
    };
    let Some((seed, worst)) = all().max_by(|a, b| a.1.by.total_cmp(&b.1.by)) else {
        return;
    };
    let (board, kit) = drawn(*seed);
    let some: Vec<(u64, f64)> = all()
        .take(10)
        .map(|(seed, fault)| (*seed, fault.by))
        .collect();
    panic!(
        "{property:?} fails on {} of {} boards, such as {some:?}\nseed {seed}: {}\n{}\n{}",
        all().count(),
        SURVEY.planned,
        worst.what,
        board.to_toml(),
        kit.to_toml()
    );
}

#[test]
fn most_boards_are_read_and_none_panics() {
    let (planned, refused) = (SURVEY.planned, SURVEY.refused);
    assert!(SURVEY.panics.is_empty(), "seeds {:?}", SURVEY.panics);
    assert!(
        planned > BOARDS * 7 / 10,
        "{planned} planned, {refused} refused"
    );
}

macro_rules! properties {
    ($($name:ident: $property:ident;)*) => {
        $(
            #[test]
            fn $name() {
                holds(Property::$property);
            }
        )*
    };
}

properties! {
    no_cut_goes_below_the_finished_surface: NothingBelowFinish;
    tools_moved_over_a_height_field_leave_what_the_plan_says: ToolsLeaveWhatIsSaid;
    a_stage_only_takes_off: OnlyRemoves;
    a_stage_begins_where_the_last_ended: BeginsWhereTheLastEnded;
    volumes_add_up: VolumesAddUp;
    crowns_fall: CrownsFall;
    a_plan_that_reaches_the_finish_ends_there: EndsAtFinish;
    the_flattest_block_comes_first: FlattestFirst;
    zones_are_nested_nutward_on_boards_that_flatten: ZonesNested;
    stretches_lie_on_the_board: StretchesLieOnTheBoard;
    strokes_add_up_to_one: StrokesAddUp;
    every_figure_is_a_number: Numbers;
}
