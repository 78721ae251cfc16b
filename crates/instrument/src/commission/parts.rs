//! The tables that stand alone: strings, the board's wood, wire and slots, wish, climate.

use quantity::{Make, Problem};

use crate::commission::keys::{BINDING, MOST_STRINGS, STRING};
use crate::commission::playing;
use crate::format::{Desk, Entry};
use crate::frets::{FretSpec, SlotFloor};
use crate::instrument::{Binding, StringSpec, Wood};
use crate::lanes::Spacing;
use crate::wish::{Climate, Sawn, Wish};

/// What `[strings]` says.
pub(super) struct Strings {
    pub nut_spread_mm: f64,
    pub saddle_spread_mm: f64,
    pub spacing: Spacing,
    pub behind_mm: f64,
    pub set: Vec<StringSpec>,
}

pub(super) fn strings(desk: &Desk<'_>) -> Option<Strings> {
    let (nut, saddle) = (desk.length("nut_spread"), desk.length("saddle_spread"));
    let spacing = match desk.choice("spacing").map(|given| given.value) {
        Some("equal centres") => Spacing::EqualCentres,
        _ => Spacing::EqualGaps,
    };
    let set = string_set(desk)?;
    let (nut, saddle) = (nut?, saddle?);
    let bodies: f64 = set.iter().map(|string| string.gauge.mm()).sum::<f64>()
        - 0.5 * set.first()?.gauge.mm()
        - 0.5 * set.last()?.gauge.mm();
    if set.len() > 1 {
        for given in [&nut, &saddle] {
            if given.value.mm() <= bodies {
                desk.fault_at(
                    given,
                    format!(
                        "a spread of {} mm leaves no air between the strings",
                        given.value.mm()
                    ),
                    format!("these {} strings alone fill {bodies:.2} mm", set.len()),
                );
                return None;
            }
        }
    }
    // One string runs on the centreline, whatever spread is written.
    let of_one = |spread: f64| if set.len() == 1 { 0.0 } else { spread };
    Some(Strings {
        nut_spread_mm: of_one(nut.value.mm()),
        saddle_spread_mm: of_one(saddle.value.mm()),
        spacing,
        behind_mm: desk.length_or("behind", 120.0),
        set,
    })
}

fn string_set(desk: &Desk<'_>) -> Option<Vec<StringSpec>> {
    let entries = desk.list("set")?;
    let count = entries.len();
    if count == 0 || count > MOST_STRINGS {
        let message = if count == 0 {
            "no string".to_owned()
        } else {
            format!("{count} strings")
        };
        desk.fault(
            "set",
            format!("{message}: 1 to {MOST_STRINGS} strings can be laid out"),
            "write set = [ { note = \"E4\", gauge = \"0.010 in\" } ], highest first",
        );
        return None;
    }
    let set: Vec<_> = entries.iter().filter_map(string).collect();
    (set.len() == count).then_some(set)
}

fn string(entry: &Entry<'_>) -> Option<StringSpec> {
    let desk = entry.table(&STRING)?;
    let (note, gauge) = (
        desk.entry("note").and_then(|note| note.note()),
        desk.length("gauge"),
    );
    let make = make(&desk)?;
    let unit_weight = match desk.entry("unit_weight") {
        Some(weight) => Some(weight.linear_density()?.value),
        None => None,
    };
    let core = playing::core(&desk, gauge.as_ref());
    let drawn = playing::drawn(&desk);
    let tuned_at = playing::fret_or(&desk, "tuned_at", 0);
    Some(StringSpec {
        note: note?.value,
        gauge: gauge?.value,
        make,
        unit_weight,
        core: core?,
        drawn: drawn?,
        tuned_at,
    })
}

/// A make by any of its names. One that is spelled nearly like a known one is a slip; any other
/// word is a make of which no table is kept, and the sheet then asks for its unit weight.
fn make(desk: &Desk<'_>) -> Option<Make> {
    if !desk.has("make") {
        return Some(Make::PlainSteel);
    }
    let given = desk.text("make")?;
    match Make::parse(&given.value) {
        Ok(make) => Some(make),
        Err(error) if matches!(error.problem, Problem::UnknownName { nearest: None }) => {
            Some(Make::Other)
        }
        Err(error) => {
            desk.fault_at(&given, error.to_string(), "");
            None
        }
    }
}

/// How the outline is given.
pub(super) enum Widths {
    Straight { nut_mm: f64, end_mm: f64 },
    Margin { margin_mm: f64 },
}

pub(super) fn widths(desk: &Desk<'_>) -> Option<Widths> {
    let straight = desk.has("nut_width") || desk.has("end_width");
    if desk.has("margin") {
        if straight {
            desk.fault(
                "margin",
                "widths and a margin are both given",
                "keep `nut_width` and `end_width`, or `margin`",
            );
            return None;
        }
        return Some(Widths::Margin {
            margin_mm: desk.length("margin")?.value.mm(),
        });
    }
    for name in ["nut_width", "end_width"] {
        if !desk.has(name) {
            desk.fault(
                name,
                format!("`{name}` is missing"),
                "give `nut_width` and `end_width`, or `margin`",
            );
        }
    }
    let (nut, end) = (desk.length("nut_width"), desk.length("end_width"));
    Some(Widths::Straight {
        nut_mm: nut?.value.mm(),
        end_mm: end?.value.mm(),
    })
}

pub(super) fn wood(desk: &Desk<'_>) -> Option<Wood> {
    let crown = desk.length("crown_thickness");
    let optional = |name: &str| -> Option<Option<f64>> {
        if desk.has(name) {
            Some(Some(desk.length(name)?.value.mm()))
        } else {
            Some(None)
        }
    };
    let (blank, least) = (optional("blank_thickness"), optional("least_edge"));
    let binding = match desk.entry("binding") {
        Some(entry) => Some(read_binding(&entry)?),
        None => None,
    };
    let name = if desk.has("wood") {
        desk.text("wood")?.value
    } else {
        String::new()
    };
    let slotted = if desk.has("slotted") {
        desk.flag("slotted")?
    } else {
        false
    };
    let crown = crown?;
    if let Some(Some(blank)) = blank
        && blank < crown.value.mm()
    {
        let crown_mm = crown.value.mm();
        desk.fault(
            "blank_thickness",
            format!("a blank of {blank} mm cannot become a board of {crown_mm} mm"),
            "take a thicker blank, or a thinner crown_thickness",
        );
        return None;
    }
    Some(Wood {
        name: name.trim().to_owned(),
        crown_thickness_mm: crown.value.mm(),
        blank_thickness_mm: blank?,
        least_edge_mm: least?,
        binding,
        inlaid: inlaid(desk)?,
        slotted,
    })
}

fn read_binding(entry: &Entry<'_>) -> Option<Binding> {
    if !entry.is_table() {
        return Some(Binding {
            width_mm: entry.length(&BINDING.keys[0].kind)?.value.mm(),
            ledge_mm: 0.0,
        });
    }
    let table = entry.table(&BINDING)?;
    let width_mm = table.length("width")?.value.mm();
    let ledge_mm = if table.has("ledge") {
        table.length("ledge")?.value.mm()
    } else {
        0.0
    };
    Some(Binding { width_mm, ledge_mm })
}

fn inlaid(desk: &Desk<'_>) -> Option<bool> {
    let Some(entry) = desk.entry("inlay") else {
        return Some(false);
    };
    match entry.as_text() {
        Some(words) => Some(!matches!(words.trim(), "" | "none")),
        None => entry.flag(),
    }
}

pub(super) fn fret_spec(desk: Option<Desk<'_>>) -> Option<FretSpec> {
    let mut spec = FretSpec {
        crown_height_mm: 1.2,
        crown_width_mm: 2.4,
        tang_depth_mm: 1.6,
        slot_width_mm: 0.55,
        slot_floor: SlotFloor::Flat,
        clearance_mm: 0.0,
        tang_width_mm: None,
        barb_width_mm: None,
        wire_overhang_mm: 2.0,
        stick_length_mm: 300.0,
        bend_ratio: 0.85,
    };
    let Some(desk) = desk else { return Some(spec) };
    for (name, slot) in [
        ("crown_height", &mut spec.crown_height_mm),
        ("crown_width", &mut spec.crown_width_mm),
        ("tang_depth", &mut spec.tang_depth_mm),
        ("slot_width", &mut spec.slot_width_mm),
        ("clearance", &mut spec.clearance_mm),
        ("wire_overhang", &mut spec.wire_overhang_mm),
        ("stick_length", &mut spec.stick_length_mm),
    ] {
        *slot = desk.length_or(name, *slot);
    }
    spec.tang_width_mm = desk.length("tang_width").map(|given| given.value.mm());
    spec.barb_width_mm = desk.length("barb_width").map(|given| given.value.mm());
    if desk
        .choice("slot_floor")
        .is_some_and(|given| given.value == "follows camber")
    {
        spec.slot_floor = SlotFloor::FollowsCamber;
    }
    if let Some(ratio) = desk.number("bend_ratio") {
        spec.bend_ratio = ratio.value;
    }
    Some(spec)
}

/// A light and a hard player's pluck over this player's, when they are not given.
const LIGHT: f64 = 0.5;
const HARD: f64 = 2.0;

pub(super) fn wish(desk: Option<Desk<'_>>) -> Option<Wish> {
    let mut wish = Wish {
        player: String::new(),
        action_treble_mm: 1.6,
        action_bass_mm: 2.0,
        relief_mm: 0.15,
        pluck_force_n: 0.7,
        pluck_from_saddle_mm: 110.0,
        bend_cents: 200.0,
        action_at_1_mm: 0.4,
        light_force_n: LIGHT * 0.7,
        hard_force_n: HARD * 0.7,
        margin_mm: 0.02,
        in_tune_cents: 5.0,
        action_within_mm: 0.15,
    };
    let Some(desk) = desk else { return Some(wish) };
    if let Some(player) = desk.text("player") {
        wish.player = player.value.trim().to_owned();
    }
    if desk.has("action_at_12") {
        let action = desk.table("action_at_12")?;
        let (treble, bass) = (action.length("treble"), action.length("bass"));
        wish.action_treble_mm = treble?.value.mm();
        wish.action_bass_mm = bass?.value.mm();
    }
    for (name, slot) in [
        ("relief", &mut wish.relief_mm),
        ("pluck_from_saddle", &mut wish.pluck_from_saddle_mm),
        ("action_at_1", &mut wish.action_at_1_mm),
        ("margin", &mut wish.margin_mm),
        ("action_within", &mut wish.action_within_mm),
    ] {
        *slot = desk.length_or(name, *slot);
    }
    let force = |name: &str| desk.force(name).map(|force| force.value.newtons());
    wish.pluck_force_n = force("pluck_force").unwrap_or(wish.pluck_force_n);
    wish.light_force_n = force("light_force").unwrap_or(LIGHT * wish.pluck_force_n);
    wish.hard_force_n = force("hard_force").unwrap_or(HARD * wish.pluck_force_n);
    for (name, slot) in [
        ("bend", &mut wish.bend_cents),
        ("in_tune", &mut wish.in_tune_cents),
    ] {
        *slot = desk.number(name).map_or(*slot, |cents| cents.value);
    }
    Some(wish)
}

pub(super) fn climate(desk: Option<Desk<'_>>) -> Option<Climate> {
    let mut climate = Climate {
        temperature_c: 20.0,
        shop_humidity: 45.0,
        home_humidity: 25.0,
        sawn: Sawn::Quarter,
    };
    let Some(desk) = desk else {
        return Some(climate);
    };
    if let Some(temperature) = desk.temperature("temperature") {
        if !(-10.0..=50.0).contains(&temperature.value) {
            desk.fault_at(
                &temperature,
                format!("{} °C is out of range", temperature.value),
                "shop and home lie between -10 °C and 50 °C",
            );
        }
        climate.temperature_c = temperature.value;
    }
    for (name, slot) in [
        ("shop_humidity", &mut climate.shop_humidity),
        ("home_humidity", &mut climate.home_humidity),
    ] {
        let Some(humidity) = desk.percent(name) else {
            continue;
        };
        if !(1.0..=95.0).contains(&humidity.value) {
            desk.fault_at(
                &humidity,
                format!("{} % is out of range", humidity.value),
                "relative humidity is read between 1 % and 95 %",
            );
        }
        *slot = humidity.value;
    }
    if desk
        .choice("sawn")
        .is_some_and(|given| given.value == "flat")
    {
        climate.sawn = Sawn::Flat;
    }
    Some(climate)
}
