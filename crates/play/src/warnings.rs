//! What a good foreman would say on reading the sheet.

use instrument::camber::Law;
use instrument::frets::SlotFit;
use instrument::{Instrument, fret_name};
use quantity::{Figure, Make, Mark, nearest_wood_name, string_material, wood};

use crate::sheet::Sheet;
use crate::stretch::{CoreBasis, carrying};
use crate::strings::StringFigures;

/// A warning: what is doubtful, in words, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Warning {
    /// A short name that stays the same.
    pub code: &'static str,
    /// What is doubtful, with figure and limit, and what would help.
    pub message: String,
    /// Where: a fret, a string, or a key of the commission.
    pub place: String,
}

/// Least distance from an outer string's centre to the edge, mm (common practice, no source).
pub const LEAST_MARGIN_MM: f64 = 2.5;
/// Least wood under a slot, mm (common practice, no source).
pub const LEAST_UNDER_SLOT_MM: f64 = 1.5;
/// Least air between two crowns for a fingertip, mm (common practice, no source).
const LEAST_AIR_MM: f64 = 4.0;
/// Fret ends that stand prouder than this are felt, mm (common practice, no source).
const FELT_MM: f64 = 0.1;
/// Strings at least so long are judged as a bass's, mm: short basses begin at about 760, long
/// guitars end under 720 (common practice, no source).
const LEAST_BASS_SCALE_MM: f64 = 740.0;
/// Over this share of its strength a string lives short (common practice, no source).
const SHORT_LIVED_SHARE: f64 = 0.75;
/// Over this share of its strength a string hardly comes to pitch (common practice, no source).
const BREAKING_SHARE: f64 = 0.9;

struct Notes {
    found: Vec<Warning>,
}

impl Notes {
    fn add(&mut self, code: &'static str, place: impl Into<String>, message: impl Into<String>) {
        self.found.push(Warning {
            code,
            message: message.into(),
            place: place.into(),
        });
    }
}

/// All warnings of a sheet.
pub(crate) fn warnings(instrument: &Instrument, sheet: &Sheet) -> Vec<Warning> {
    let mut notes = Notes { found: Vec::new() };
    margins(sheet, &mut notes);
    edges(instrument, sheet, &mut notes);
    slots(instrument, sheet, &mut notes);
    wire(instrument, sheet, &mut notes);
    camber(instrument, &mut notes);
    strings(instrument, sheet, &mut notes);
    wood_notes(instrument, &mut notes);
    climate(instrument, sheet, &mut notes);
    notes.found
}

fn margins(sheet: &Sheet, notes: &mut Notes) {
    let least = sheet
        .frets
        .iter()
        .min_by(|a, b| a.margin_mm().total_cmp(&b.margin_mm()));
    let Some(worst) = least.filter(|fret| fret.margin_mm() < LEAST_MARGIN_MM) else {
        return;
    };
    notes.add(
        "margin_small",
        place(worst.fret),
        format!(
            "an outer string runs {:.2} mm from the edge at {}, less than {LEAST_MARGIN_MM} mm: \
             it slips off when pulled; widen the board or narrow the spread",
            worst.margin_mm(),
            place(worst.fret)
        ),
    );
}

fn edges(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    let Some(least) = instrument.wood.least_edge_mm else {
        return;
    };
    let worst = sheet
        .frets
        .iter()
        .min_by(|a, b| a.edge_thickness_mm.total_cmp(&b.edge_thickness_mm));
    if let Some(fret) = worst.filter(|fret| fret.edge_thickness_mm < least) {
        notes.add(
            "edge_thin",
            place(fret.fret),
            format!(
                "the edge is {:.2} mm at {}, under the least {least:.2} mm: a thicker crown or a \
                 flatter camber would keep it",
                fret.edge_thickness_mm,
                place(fret.fret)
            ),
        );
    }
}

fn slots(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    let fretted = sheet.frets.iter().skip(1);
    let worst = fretted.min_by(|a, b| a.wood_under_slot_mm.total_cmp(&b.wood_under_slot_mm));
    if let Some(fret) = worst.filter(|fret| fret.wood_under_slot_mm < LEAST_UNDER_SLOT_MM) {
        let (code, words) = if fret.wood_under_slot_mm <= 0.0 {
            ("slot_through", "the slot cuts through the board")
        } else {
            ("slot_deep", "little wood is left under the slot")
        };
        notes.add(
            code,
            place(fret.fret),
            format!(
                "{words}: {:.2} mm at fret {} under {:.2} mm of slot, less than \
                 {LEAST_UNDER_SLOT_MM} mm; a thicker crown, a shorter tang or a floor that follows \
                 the camber would help",
                fret.wood_under_slot_mm, fret.fret, fret.slot_depth_mm
            ),
        );
    }
    if instrument.fret_spec.clearance_mm == 0.0 {
        notes.add(
            "no_clearance",
            "frets.clearance",
            "slot depths leave no air under the tang: saw a hair deeper, or give a clearance",
        );
    }
    if let Some(binding) = instrument.wood.binding {
        notes.add(
            "bound_slots",
            "board.binding",
            format!(
                "slots stop {:.2} mm short of each edge, at the strip: nip the tang back by as much, \
                 and let the crown run over it",
                binding.width_mm
            ),
        );
    }
    match sheet.fit {
        SlotFit::Tight { by_mm } => notes.add(
            "slot_tight",
            "frets.slot_width",
            format!("the slot is {by_mm:.3} mm narrower than the tang: a row of wedges bows the neck back"),
        ),
        SlotFit::Loose { by_mm } => notes.add(
            "slot_loose",
            "frets.slot_width",
            format!("the slot is {by_mm:.3} mm wider than the barbs reach: frets lift; glue, or a narrower saw"),
        ),
        SlotFit::Holds { .. } | SlotFit::Unknown => {}
    }
}

fn wire(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    if let Some(fret) = sheet.wire.too_long.first() {
        notes.add(
            "stick_short",
            format!("fret {fret}"),
            format!(
                "{} pieces of wire are longer than the {:.0} mm stick",
                sheet.wire.too_long.len(),
                instrument.fret_spec.stick_length_mm
            ),
        );
    }
    let crown = instrument.fret_spec.crown_width_mm;
    let narrow = sheet
        .frets
        .iter()
        .find(|fret| fret.step_mm.is_some_and(|step| step - crown < LEAST_AIR_MM));
    if let Some(fret) = narrow {
        let air = fret.step_mm.unwrap_or(0.0) - crown;
        notes.add(
            "frets_close",
            place(fret.fret),
            format!(
                "from fret {} on less than {LEAST_AIR_MM} mm lies between crowns ({air:.2} mm there): \
                 narrower wire would give the fingertip room",
                fret.fret
            ),
        );
    }
}

fn camber(instrument: &Instrument, notes: &mut Notes) {
    let camber = &instrument.camber;
    let last_x = instrument.fret_x_mm(instrument.last_fret());
    let (nut, last) = (camber.radius(0.0), camber.radius(last_x));
    if last.mm() < nut.mm() * (1.0 - 1e-9) {
        notes.add(
            "tightens",
            "camber",
            format!(
                "the camber tightens toward the body, {:.1} mm to {:.1} mm: bends there choke sooner, \
                 and blocks must work from the far end",
                nut.mm(),
                last.mm()
            ),
        );
    }
    let held = camber.law == Law::Stations
        && camber
            .knots()
            .last()
            .is_some_and(|knot| knot.x_mm < last_x - 1e-9);
    let held_at_nut =
        camber.law == Law::Stations && camber.knots().first().is_some_and(|knot| knot.x_mm > 1e-9);
    if held || held_at_nut {
        notes.add(
            "stations_held",
            "camber.at",
            "outside the first and last station the radius is held as it is there",
        );
    }
}

fn strings(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    for (index, string) in sheet.strings.iter().enumerate() {
        if string.weight.is_none() {
            notes.add(
                "weight_unknown",
                format!("string {}", index + 1),
                format!(
                    "no unit weight is known for {} {:.3} mm: no tension for string {}; give \
                     unit_weight as its maker states it",
                    instrument.strings[index].make,
                    instrument.strings[index].gauge.mm(),
                    index + 1
                ),
            );
        }
    }
    for (index, string) in sheet.strings.iter().enumerate() {
        tension(instrument, index, string, notes);
        breaking(instrument, index, string, notes);
    }
    stretch_unknown(instrument, sheet, notes);
    let rises = instrument
        .strings
        .windows(2)
        .position(|pair| pair[0].note.midi_number() < pair[1].note.midi_number());
    if let Some(index) = rises {
        notes.add(
            "strings_order",
            format!("string {}", index + 2),
            format!(
                "string {} is tuned higher than string {}: the first string of the set is taken as \
                 the highest, on the treble side; keep the order if the tuning is meant so",
                index + 2,
                index + 1
            ),
        );
    }
    if instrument.strings.len() == 1 {
        notes.add(
            "one_string",
            "strings.set",
            "one string runs on the centreline; spreads are not used",
        );
    }
}

/// A tension outside what strings of that make usually pull at on such a length.
fn tension(instrument: &Instrument, index: usize, string: &StringFigures, notes: &mut Notes) {
    let make = instrument.strings[index].make;
    let on_bass = string.length_mm >= LEAST_BASS_SCALE_MM;
    let usual = string_material(make).and_then(|material| {
        if on_bass {
            material.usual_bass_n
        } else {
            material.usual_n
        }
    });
    let (Some(tension_n), Some(usual)) = (string.tension_n, usual) else {
        return;
    };
    let Figure { low, high, .. } = usual;
    let pulls = |than: &str, limit_n: f64| {
        format!(
            "string {}, {} of {} over {:.0} mm, pulls {tension_n:.1} N, {than} the usual {limit_n:.0} N ({})",
            index + 1,
            string.note,
            make,
            string.length_mm,
            usual.source
        )
    };
    let place = format!("string {}", index + 1);
    if let Some(limit_n) = low.filter(|&limit_n| tension_n < limit_n) {
        let pulls = pulls("less than", limit_n);
        let way_out = "it swings wide and strikes the frets; a thicker string or a higher note \
                       would tighten it";
        notes.add("tension_low", place, format!("{pulls}: {way_out}"));
    } else if let Some(limit_n) = high.filter(|&limit_n| tension_n > limit_n) {
        let pulls = pulls("more than", limit_n);
        let way_out = "it is hard on the hand, the neck and the bridge; a thinner string or a lower \
                       note would ease it";
        notes.add("tension_high", place, format!("{pulls}: {way_out}"));
    }
}

/// A string drawn close to what the part that carries it holds. A core by the rule is taken as
/// thick as it may be, so that the rule's doubt alone warns of nothing.
fn breaking(instrument: &Instrument, index: usize, string: &StringFigures, notes: &mut Notes) {
    let spec = &instrument.strings[index];
    let kg_per_m = string.weight.as_ref().map(|weight| weight.kg_per_m);
    let (Some(tension_n), Some(part), Some(material), Some(source)) = (
        string.tension_n,
        carrying(spec, kg_per_m),
        string_material(spec.make),
        string.strength_source,
    ) else {
        return;
    };
    let thickest = quantity::Length::from_mm(part.thickest_mm);
    let Some(strength_gpa) = material.strength_gpa(thickest) else {
        return;
    };
    let area_mm2 = std::f64::consts::PI * part.thickest_mm * part.thickest_mm / 4.0;
    let holds_n = 1000.0 * strength_gpa * area_mm2;
    let share = tension_n / holds_n;
    if share <= SHORT_LIVED_SHARE {
        return;
    }
    let what = match (part.core, spec.make) {
        (Some(CoreBasis::ByRule), _) => "even a thick core",
        (Some(CoreBasis::Given), _) => "its core",
        (None, Make::PlainSteel) => "a wire",
        (None, _) => "a string",
    };
    let so = if share > BREAKING_SHARE {
        format!(
            "over {:.0} % it hardly comes to pitch",
            100.0 * BREAKING_SHARE
        )
    } else {
        format!("over {:.0} % it lives short", 100.0 * SHORT_LIVED_SHARE)
    };
    // The pull of a string that carries its own weight alone goes with its area, as its strength
    // nearly does: another gauge would not help.
    let way_out = match part.core {
        Some(_) => "a lower note, a shorter scale or a thicker core would spare it",
        None => "a lower note or a shorter scale would spare it, another gauge hardly",
    };
    notes.add(
        "near_breaking",
        format!("string {}", index + 1),
        format!(
            "string {}, {}, pulls {tension_n:.1} N, {:.0} % of the {holds_n:.1} N at which {what} of \
             {:.3} mm breaks ({source}): {so} (common practice, no source); {way_out}",
            index + 1,
            string.note,
            100.0 * share,
            part.thickest_mm,
        ),
    );
}

/// Strings whose stretch is known neither by measurement nor from their make. Steel without a
/// tension is not named: its missing weight is.
fn stretch_unknown(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    let mut never_measured = Vec::new();
    for (index, string) in sheet.strings.iter().enumerate() {
        let spec = &instrument.strings[index];
        if string.stretch.is_some() {
            continue;
        }
        if spec.drawn.is_some() {
            notes.add(
                "stretch_unknown",
                format!("string {}", index + 1),
                format!(
                    "the readings of string {} do not rise as it is drawn, so no bends or tuning can \
                     be told for it; read its pitch again with the mark drawn toward the tuner",
                    index + 1
                ),
            );
        } else if spec.make == Make::Other {
            never_measured.push(index + 1);
        }
    }
    let strings = match never_measured.as_slice() {
        [] => return,
        [one] => format!("string {one}"),
        [others @ .., last] => {
            let others: Vec<String> = others.iter().map(usize::to_string).collect();
            format!("strings {} and {last}", others.join(", "))
        }
    };
    notes.add(
        "stretch_unknown",
        strings.clone(),
        format!(
            "no stretch is known for {strings} of make \"other\", so no bends or tuning can be told \
             there; give drawn, the pitch read while the string is drawn through the nut"
        ),
    );
}

fn wood_notes(instrument: &Instrument, notes: &mut Notes) {
    let name = &instrument.wood.name;
    if name.is_empty() {
        return;
    }
    let Some(wood) = wood(name) else {
        let near = nearest_wood_name(name).map_or(
            "the figures of woods are listed in the docs".to_owned(),
            |near| format!("did you mean {near}?"),
        );
        notes.add(
            "wood_unknown",
            "board.wood",
            format!(
                "no figures are known for \"{name}\": no movement, hardness or health note; {near}"
            ),
        );
        return;
    };
    if let Some(health) = &wood.health {
        notes.add(
            "wood_health",
            "board.wood",
            format!(
                "{}: reported {} ({}); extract dust at the tool and wear a fitted respirator; \
                 local rules and medical advice come first",
                wood.name,
                health.reported,
                cited(health.source, health.mark)
            ),
        );
    }
    if let Some(law) = &wood.law {
        notes.add(
            "wood_law",
            "board.wood",
            format!(
                "{}: {} ({}); listings change, the law of the place comes first",
                wood.name,
                law.listing,
                cited(law.source, law.mark)
            ),
        );
    }
}

/// A source, and that it was not looked up when that is so.
fn cited(source: &str, mark: Mark) -> String {
    if mark == Mark::Memory {
        format!("{source}; from memory")
    } else {
        source.to_owned()
    }
}

/// The nut or a fret, in words.
fn place(fret: usize) -> String {
    if fret == 0 {
        "the nut".into()
    } else {
        fret_name(fret)
    }
}

fn climate(instrument: &Instrument, sheet: &Sheet, notes: &mut Notes) {
    let Some(movement) = &sheet.movement else {
        return;
    };
    let (_, proud) = movement.proud_mm;
    if proud > FELT_MM {
        notes.add(
            "ends_proud",
            "climate",
            format!(
                "from {:.0} % to {:.0} % humidity each fret end comes to stand {proud:.2} mm proud at \
                 the last fret: dress ends under, or let the board settle drier first",
                instrument.climate.shop_humidity, instrument.climate.home_humidity
            ),
        );
    }
}
