//! Figures for people at a terminal: plain tables, every number with its unit.

use std::fmt::Write as _;
use std::io::{ErrorKind, Write as _};

use bench::effort::RateBasis;
use bench::{BenchPlan, Stage, Work};
use instrument::{Instrument, Radius};
use play::Sheet;

use super::Refusal;
use crate::record::{light_name, tool_name};
use crate::show::minutes;

/// Writes to standard output; a reader that went away is not an error to report.
///
/// # Errors
/// When it could not be written to its end, on a full disk for instance.
pub fn out(text: &str) -> Result<(), Refusal> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Refusal::Impossible(format!(
            "standard output: not written to its end: {error}; what stands there is not whole"
        ))),
        _ => Ok(()),
    }
}

/// A radius in mm to a tenth, or `flat`.
pub fn radius(radius: Radius) -> String {
    radius
        .finite_mm()
        .map_or("flat".into(), |mm| format!("{mm:.1}"))
}

/// The sheet.
pub fn sheet(instrument: &Instrument, sheet: &Sheet) -> String {
    let mut text = String::new();
    line!(
        text,
        "{} · {} frets, {}",
        instrument.title,
        instrument.last_fret(),
        instrument.tuning.name
    );
    line!(text);
    line!(
        text,
        "All lengths in mm. x from the nut on the centreline; drop, width and edge on the square section there."
    );
    line!(
        text,
        "fret        x     step    width   radius     drop     edge   margin  arc len  slot   under"
    );
    for fret in &sheet.frets {
        line!(
            text,
            "{:>4} {:>9.4} {:>8} {:>8.3} {:>8} {:>8.4} {:>8.3} {:>8.3} {:>8.3} {:>6.2} {:>6.2}",
            fret.fret,
            fret.x_mm,
            fret.step_mm.map_or("-".into(), |step| format!("{step:.3}")),
            fret.width_mm,
            radius(fret.radius),
            fret.edge_drop_mm,
            fret.edge_thickness_mm,
            fret.margin_mm(),
            fret.arc.length_mm,
            fret.slot_depth_mm,
            fret.wood_under_slot_mm,
        );
    }
    line!(text);
    camber(&mut text, sheet);
    strings(&mut text, sheet);
    wire(&mut text, instrument, sheet);
    movement(&mut text, sheet);
    notes(
        &mut text,
        sheet
            .warnings
            .iter()
            .map(|w| (w.place.as_str(), w.message.as_str())),
    );
    text
}

fn camber(text: &mut String, sheet: &Sheet) {
    let place = |x: Option<f64>| x.map_or("none".into(), |x| format!("{x:.3} mm"));
    line!(text, "Camber");
    line!(
        text,
        "  apex of the cone           {}",
        place(sheet.camber.apex_x_mm)
    );
    line!(
        text,
        "  lanes meet at              {}",
        place(sheet.camber.lanes_apex_x_mm)
    );
    let humps: Vec<String> = sheet
        .camber
        .lane_hump_mm
        .iter()
        .map(|hump| format!("{hump:+.4}"))
        .collect();
    line!(text, "  hump under each lane       {} mm", humps.join("  "));
    line!(
        text,
        "  wood above it in a blank   {:.1} mm³",
        sheet.camber.removed_mm3
    );
    line!(text);
}

fn strings(text: &mut String, sheet: &Sheet) {
    line!(text, "Strings");
    for (index, string) in sheet.strings.iter().enumerate() {
        let tension = string
            .tension_n
            .map_or("tension not known".into(), |newtons| {
                format!("{newtons:.1} N")
            });
        line!(
            text,
            "  {:>2} {:<4} {:>8.2} Hz  {tension}",
            index + 1,
            string.note,
            string.frequency_hz
        );
    }
    if let Some(load) = sheet.neck_load_n {
        line!(text, "  together {load:.0} N on the neck");
    }
    line!(text);
}

fn wire(text: &mut String, instrument: &Instrument, sheet: &Sheet) {
    line!(text, "Wire: {:.0} mm in all", sheet.wire.total_mm);
    for (index, stick) in sheet.wire.sticks.iter().enumerate() {
        let frets: Vec<String> = stick.frets.iter().map(ToString::to_string).collect();
        line!(
            text,
            "  stick {} of {:.0} mm: frets {}; {:.1} mm over",
            index + 1,
            instrument.fret_spec.stick_length_mm,
            frets.join(" "),
            stick.rest_mm
        );
    }
    line!(text);
}

fn movement(text: &mut String, sheet: &Sheet) {
    let Some(movement) = &sheet.movement else {
        return;
    };
    line!(
        text,
        "Air: wood from {:.1} % to {:.1} % moisture; fret ends then stand {:+.3} mm proud at the nut, {:+.3} mm at the last fret",
        movement.shop_moisture,
        movement.home_moisture,
        movement.proud_mm.0,
        movement.proud_mm.1
    );
    line!(text);
}

fn notes<'a>(text: &mut String, notes: impl Iterator<Item = (&'a str, &'a str)>) {
    line!(text, "To be minded");
    for (place, message) in notes {
        line!(text, "  {place}: {message}");
    }
}

/// The bench plan.
pub fn plan(instrument: &Instrument, plan: &BenchPlan) -> String {
    let mut text = String::new();
    line!(
        text,
        "{} · bench plan with the kit \"{}\"",
        instrument.title,
        plan.kit_title
    );
    line!(
        text,
        "Begin with the blank flat at {:.2} mm; finished crown {:.2} mm.",
        plan.start_mm,
        instrument.wood.crown_thickness_mm
    );
    line!(text);
    for (index, stage) in plan.stages.iter().enumerate() {
        stage_lines(&mut text, instrument, index + 1, stage);
    }
    line!(
        text,
        "The blocks leave {:.3} mm at most (at x {:.1} mm, at the edge), {:.0} mm³ in all.",
        plan.blocks_leave.max_mm,
        plan.blocks_leave.at_mm.0,
        plan.blocks_leave.volume_mm3
    );
    for block in plan.helpful.iter().take(3) {
        line!(
            text,
            "  a {} mm block would bring that to {:.3} mm and {:.0} mm³",
            radius(block.radius),
            block.left_max_mm,
            block.left_mm3
        );
    }
    for unused in &plan.unused {
        line!(
            text,
            "  the {} mm block stays in the drawer: {}",
            radius(unused.block.radius),
            unused.why
        );
    }
    line!(text);
    beam(&mut text, plan);
    gauges(&mut text, plan);
    let basis = match plan.wear.basis {
        RateBasis::Default { .. } => "our default, log stages to replace it",
        RateBasis::Fitted { .. } => "fitted to your logged stages",
    };
    line!(
        text,
        "Times: wear rate {:.2} mm³/(N·m) for P80 on hard maple, {basis}.",
        plan.wear.reference
    );
    line!(text);
    notes(
        &mut text,
        plan.cautions
            .iter()
            .map(|c| (c.place.as_str(), c.message.as_str())),
    );
    text
}

fn stage_lines(text: &mut String, instrument: &Instrument, number: usize, stage: &Stage) {
    let crown = instrument.wood.crown_thickness_mm;
    let tool = match &stage.work {
        Work::Block(block) => format!("{} {} mm", tool_name(&stage.work), radius(block.radius)),
        Work::Beam(beam) | Work::FallAway(beam) => {
            format!("{} {:.0} mm", tool_name(&stage.work), beam.length_mm)
        }
    };
    line!(text, "[ ] {number}. {tool}, {}", stage.grade.name);
    line!(
        text,
        "      from {:.1} to {:.1} mm; crown {:.2} -> {:.2} mm; takes off {:.0} mm³, {}",
        stage.from_x_mm(),
        stage.to_x_mm(),
        crown + stage.before.offset_mm,
        crown + stage.after.offset_mm,
        stage.removed_mm3,
        minutes(stage.effort.minutes)
    );
    line!(
        text,
        "      then {:.3} mm at most stands over the camber, {:.0} mm³; thinnest edge {:.2} mm",
        stage.left_max_mm,
        stage.left_mm3,
        stage.edge_after_mm.0
    );
}

fn beam(text: &mut String, plan: &BenchPlan) {
    let beam = &plan.beam;
    if let [_] = beam.spans.as_slice() {
        line!(
            text,
            "Beam: for every 1 mm that its nut end moves sideways, its end at the last fret moves {:.4} mm.",
            beam.far_to_near_sweep
        );
    } else {
        line!(
            text,
            "Beam, stretch by stretch: no straight line lies in the surface past a station."
        );
        for span in &beam.spans {
            line!(
                text,
                "  from {:.1} to {:.1} mm: for 1 mm at the nut end, {:.4} mm at the far end",
                span.from_mm,
                span.to_mm,
                span.ratio()
            );
        }
    }
    line!(
        text,
        "  At the edge of the nut it stands {:.3}° out of the board's edge.",
        beam.edge_angle_deg
    );
    for (way, words) in [
        (&beam.along_edges, "Kept in line with the edges"),
        (&beam.along_centreline, "Kept parallel to the centreline"),
    ] {
        line!(
            text,
            "  {words} it would tend to {} mm at the last fret, {:+.3} mm low at that edge.",
            radius(way.radius_at_last_fret),
            way.low_at_edge_mm
        );
    }
    line!(text);
}

fn gauges(text: &mut String, plan: &BenchPlan) {
    if plan.gauges.is_empty() {
        return;
    }
    line!(
        text,
        "Gauges: what a right surface shows, and what no light would prove"
    );
    line!(
        text,
        "fret   radius    gauge   light                  no light proves"
    );
    for station in &plan.gauges {
        line!(
            text,
            "{:>4} {:>8} {:>8}   {:.3} mm {:<15} {} to {} mm",
            station.fret,
            radius(station.radius),
            radius(station.gauge),
            station.light_mm.abs(),
            light_name(station.light),
            radius(station.no_light.0),
            radius(station.no_light.1)
        );
    }
    line!(text);
}
