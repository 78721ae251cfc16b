//! `read`: what the wood is now, and what next.

use bench::effort::WearRate;
use bench::{BenchPlan, Kit, bench_plan};
use instrument::Instrument;
use instrument::format::{Fault, Faults};
use readings::next::Allowed;
use readings::{Ask, ReadOut, Visit, read_readings, report};

use super::{AsJson, Refusal, demo_kit, load_commission, load_kit, print};
use crate::record::read_record;
use crate::source;

/// What is asked on the command line.
pub struct Asked<'a> {
    /// The commission's file.
    pub commission: &'a str,
    /// The readings' file.
    pub readings: &'a str,
    /// The kit's file.
    pub kit: Option<&'a str>,
    /// The visit; the last one when not given.
    pub visit: Option<&'a str>,
    /// Whether bad lines are left out and the rest counts.
    pub keep: Keep,
    /// How surely the next step stays inside the wood, percent.
    pub confidence: f64,
    /// The departure that counts as done.
    pub tolerance: Option<&'a str>,
    /// A record instead of words.
    pub as_json: AsJson,
}

/// What becomes of the sound lines when others are not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keep {
    /// Nothing is counted.
    All,
    /// The sound lines are counted.
    Sound,
}

/// Prints what the readings tell.
pub fn read(asked: &Asked<'_>) -> Result<(), Refusal> {
    let as_json = asked.as_json;
    if asked.commission == "-" && asked.readings == "-" {
        return Err(Refusal::Impossible(
            "commission and readings cannot both be standard input; name a file for one".into(),
        ));
    }
    let instrument = load_commission(asked.commission, as_json)?;
    let kit = the_kit(asked.kit, as_json)?;
    let plan = bench_plan(&instrument, &kit, WearRate::from_logs(&[], kit.hand));
    let visits = load_readings(asked, &instrument, &kit)?;
    let visit = choose(asked, &visits)?;
    check_stage(&plan, visit);
    let allowed = Allowed {
        confidence: confidence(asked)?,
        ..Allowed::default()
    };
    let ask = Ask {
        instrument: &instrument,
        bench: Some((&kit, &plan)),
        visit,
        allowed,
        tolerance_mm: tolerance(asked)?,
    };
    let report = report(&ask).map_err(|error| Refusal::Impossible(error.to_string()))?;
    match as_json {
        AsJson::Yes => print::out(&format!("{:#}\n", read_record(&ask, &report))),
        AsJson::No => print::out(&super::print_read::read(&ask, &report)),
    }?;
    match &report.next {
        Ok(_) => Ok(()),
        Err(_) => Err(Refusal::Impossible(
            "no surface of the planned camber lies inside the wood within the limits of pitch, roll and twist; look for a reading in a wrong unit, or plane the face flat first".into(),
        )),
    }
}

pub(super) fn the_kit(name: Option<&str>, as_json: AsJson) -> Result<Kit, Refusal> {
    let Some(name) = name else {
        let kit = demo_kit()?;
        eprintln!(
            "camberwright: no --kit given: read with the demo kit \"{}\"",
            kit.title
        );
        return Ok(kit);
    };
    load_kit(name, as_json)
}

pub(super) fn load_readings(
    asked: &Asked<'_>,
    instrument: &Instrument,
    kit: &Kit,
) -> Result<Vec<Visit>, Refusal> {
    let bad = |faults| Refusal::Bad {
        name: asked.readings.to_owned(),
        faults,
        as_json: asked.as_json,
    };
    let source = source::read_long(asked.readings).map_err(bad)?;
    let ReadOut {
        visits,
        faults,
        notes,
    } = read_readings(&source.text, instrument, Some(kit));
    for note in notes {
        eprintln!("camberwright: {}: {note}", source.name);
    }
    if faults.is_empty() {
        return Ok(visits);
    }
    let counted = visits.iter().map(Visit::count).sum::<usize>();
    if asked.keep == Keep::Sound && counted > 0 {
        eprintln!("camberwright: {}: left out:", source.name);
        for fault in &faults.0 {
            eprintln!("  {fault}");
        }
        return Ok(visits);
    }
    let mut faults = faults;
    if counted > 0 {
        faults.0.push(Fault {
            place: String::new(),
            line: None,
            message: format!("the other {counted} readings are sound"),
            way_out: "mend the lines above, or add --keep-sound to count the sound ones".into(),
        });
    }
    Err(bad(faults))
}

pub(super) fn choose<'v>(asked: &Asked<'_>, visits: &'v [Visit]) -> Result<&'v Visit, Refusal> {
    let found = match asked.visit {
        Some(name) => visits.iter().find(|visit| visit.name == name),
        None => visits.last(),
    };
    found.ok_or_else(|| {
        let names: Vec<&str> = visits.iter().map(|visit| visit.name.as_str()).collect();
        let message = match asked.visit {
            Some(name) => format!("no visit is called \"{name}\""),
            None => "the file holds no readings".into(),
        };
        let way_out = if names.is_empty() {
            "write a head and one reading a line".into()
        } else {
            format!("name one of: {}", names.join(", "))
        };
        refuse(asked, message, way_out)
    })
}

fn refuse(asked: &Asked<'_>, message: String, way_out: String) -> Refusal {
    Refusal::Bad {
        name: asked.readings.to_owned(),
        faults: Faults(vec![Fault {
            place: String::new(),
            line: None,
            message,
            way_out,
        }]),
        as_json: asked.as_json,
    }
}

/// A stage that the plan does not know is said, and taken as the finished camber.
pub(super) fn check_stage(plan: &BenchPlan, visit: &Visit) {
    if visit.stage.is_empty() || plan.stages.iter().any(|stage| stage.key == visit.stage) {
        return;
    }
    let keys: Vec<&str> = plan.stages.iter().map(|stage| stage.key.as_str()).collect();
    eprintln!(
        "camberwright: stage \"{}\" is not in the plan ({}): read as the finished camber",
        visit.stage,
        keys.join(", ")
    );
}

fn confidence(asked: &Asked<'_>) -> Result<f64, Refusal> {
    let share = asked.confidence / 100.0;
    if (0.5..=0.999_999).contains(&share) {
        return Ok(share);
    }
    Err(refuse(
        asked,
        format!(
            "--confidence {} is not between 50 and 99.9999 %",
            asked.confidence
        ),
        "give a percentage such as 95".into(),
    ))
}

fn tolerance(asked: &Asked<'_>) -> Result<Option<f64>, Refusal> {
    let Some(text) = asked.tolerance else {
        return Ok(None);
    };
    let length = quantity::parse_length(text).map_err(|error| {
        refuse(
            asked,
            format!("--tolerance: {error}"),
            "write 0.05 mm".into(),
        )
    })?;
    if (0.001..=5.0).contains(&length.mm()) {
        return Ok(Some(length.mm()));
    }
    Err(refuse(
        asked,
        format!("--tolerance {text} is not between 0.001 and 5 mm"),
        "give a length such as 0.05 mm".into(),
    ))
}
