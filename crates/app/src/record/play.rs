//! How an instrument will play, as a record. Strings, lanes and frets are counted from 1; stop 0 is
//! the open string. Heights of nut and saddle are those of a string's underside over the line of the
//! fret tops under it.

use play::bend::BendEnd;
use play::buzz::Least;
use play::chances::{Account, Demand};
use play::chooser::Tightest;
use play::levelling::Levelling;
use play::lowest::LowString;
use play::set_up::{FittedCircle, SetUpString};
use play::strung::Setting;
use play::tops::Basis;
use play::tuning::{TunedString, Way};
use play::{Playing, Sheet};
use serde_json::{Value, json};

use super::number;

/// What a record of playing is made from.
pub struct PlayFigures<'a> {
    /// How it plays.
    pub playing: &'a Playing<'a>,
    /// The sheet of the same instrument.
    pub sheet: &'a Sheet,
    /// The visit whose wood it is played on.
    pub visit: Option<&'a str>,
    /// The levelling.
    pub levelling: &'a Levelling,
    /// The frontier of cambers that grant the wish.
    pub frontier: &'a [Tightest],
    /// The chances.
    pub chances: &'a Account,
}

/// What the fret tops rest on, in a word.
pub fn basis_name(basis: Basis) -> &'static str {
    match basis {
        Basis::Planned => "planned",
        Basis::Wood => "wood",
        Basis::Frets => "frets",
    }
}

/// The record that `play --json` prints.
pub fn play_record(figures: &PlayFigures<'_>) -> Value {
    let playing = figures.playing;
    json!({
        "title": playing.instrument.title,
        "on": basis_name(playing.tops.basis),
        "visit": figures.visit,
        "neck_load_n": figures.sheet.neck_load_n,
        "wished": wished(playing),
        "buzz": buzz(playing),
        "bends": bends(playing),
        "chooser": figures.frontier.iter().map(|tightest| json!({
            "nut_mm": tightest.nut_mm,
            "last_fret_mm": tightest.last_mm,
        })).collect::<Vec<_>>(),
        "lowest": lowest(playing),
        "tuning": tuning(playing),
        "tops": tops(playing),
        "doubted": playing.doubted.iter().map(|doubted| json!({
            "lane": doubted.reading.lane + 1,
            "read_mm": doubted.reading.value_mm,
            "foretold_mm": doubted.foretold_mm,
            "foretold_half_mm": doubted.half_mm,
        })).collect::<Vec<_>>(),
        "levelling": levelling(figures.levelling),
        "set_up": set_up(playing),
        "chances": chances(figures.chances),
    })
}

fn wished(playing: &Playing<'_>) -> Value {
    let mut record = setting(playing, &playing.wished);
    record["margin_mm"] = json!(playing.instrument.wish.margin_mm);
    record["pluck_n"] = json!(playing.buzz.pluck.force_n);
    record["light_n"] = json!(playing.light.pluck.force_n);
    record["hard_n"] = json!(playing.hard.pluck.force_n);
    record["pluck_from_saddle_mm"] = json!(playing.buzz.pluck.from_saddle_mm);
    record
}

fn setting(playing: &Playing<'_>, setting: &Setting) -> Value {
    let relief = setting.relief_mm;
    let strings = || playing.lines.iter().zip(&setting.strings);
    let over = |fret: usize| -> Vec<f64> {
        strings()
            .map(|(line, heights)| line.action(fret, *heights, relief))
            .collect()
    };
    let far = playing.instrument.action_fret();
    json!({
        "relief_mm": relief,
        "action_at_1_mm": over(1.min(far)),
        "action_at_12_mm": over(far),
        "nut_mm": strings().map(|(_, heights)| heights.nut_mm).collect::<Vec<_>>(),
        "saddle_mm": strings().map(|(_, heights)| heights.saddle_mm).collect::<Vec<_>>(),
    })
}

fn buzz(playing: &Playing<'_>) -> Vec<Value> {
    let mut records = Vec::new();
    for (string, stops) in playing.buzz.least.iter().enumerate() {
        for (stop, least) in stops.iter().enumerate() {
            let Some(least) = least else { continue };
            let other = |map: &[Vec<Option<Least>>]| map[string][stop].map(|least| least.margin_mm);
            records.push(json!({
                "string": string + 1,
                "stopped_at": stop,
                "fret": least.fret,
                "margin_mm": least.margin_mm,
                "sigma_mm": least.sigma_mm,
                "contact_chance": least.contact_chance,
                "light_margin_mm": other(&playing.light.least),
                "hard_margin_mm": other(&playing.hard.least),
            }));
        }
    }
    records
}

fn bends(playing: &Playing<'_>) -> Vec<Value> {
    let mut records = Vec::new();
    for (string, frets) in playing.bends().ends.iter().enumerate() {
        for (fret, end) in frets.iter().enumerate() {
            let Some(end) = end else { continue };
            let (choke, aside, on) = match end {
                BendEnd::Chokes {
                    cents,
                    aside_mm,
                    on_fret,
                } => (Some(cents), Some(aside_mm), Some(on_fret)),
                BendEnd::Free { .. } => (None, None, None),
            };
            records.push(json!({
                "string": string + 1,
                "fret": fret,
                "choke_cents": choke,
                "free_to_cents": end.cents(),
                "aside_mm": aside,
                "on_fret": on,
            }));
        }
    }
    records
}

fn lowest(playing: &Playing<'_>) -> Value {
    let lowest = &playing.lowest;
    let each = |of: &dyn Fn(&LowString) -> Value| -> Vec<Value> {
        let strings = lowest.strings.iter();
        strings
            .map(|string| string.as_ref().map_or(Value::Null, of))
            .collect()
    };
    json!({
        "relief_mm": lowest.relief_mm,
        "action_at_12_mm": each(&|string| json!(string.action_mm)),
        "nut_mm": each(&|string| json!(string.heights.nut_mm)),
        "saddle_mm": each(&|string| json!(string.heights.saddle_mm)),
        "limiting": each(&|string| json!(string.limiting.iter().map(|(stop, fret)| {
            json!({ "stopped_at": stop, "fret": fret })
        }).collect::<Vec<_>>())),
        "nut_at_least": each(&|string| json!(string.nut_at_least)),
        "by_hundredth_relief_mm": each(&|string| json!(string.by_relief_mm)),
        "by_hundredth_levelling_mm": playing.levelling_worth_mm(),
    })
}

fn tuning(playing: &Playing<'_>) -> Value {
    let tuning = &playing.tuning();
    let mut record = way(&tuning.own);
    for (name, other) in [
        ("saddle_only", &tuning.saddle_only),
        ("straight", &tuning.straight),
        ("common", &tuning.common),
        ("uncompensated", &tuning.none),
    ] {
        record[name] = way(other);
    }
    let each = |of: &dyn Fn(&TunedString) -> f64| -> Vec<Value> {
        let strings = tuning.strings.iter();
        strings
            .map(|string| json!(string.as_ref().map(of)))
            .collect()
    };
    record["by_slot_cents"] = json!(each(&|string| string.by_slot_cents));
    record["by_action_cents"] = json!(each(&|string| string.by_action_cents));
    record
}

fn way(way: &Way) -> Value {
    let each = |of: &dyn Fn(&play::intonation::SetBack) -> f64| -> Vec<Value> {
        way.set_back
            .iter()
            .map(|back| json!(back.as_ref().map(of)))
            .collect()
    };
    json!({
        "saddle_mm": each(&|back| back.saddle_mm),
        "nut_mm": each(&|back| back.nut_mm),
        "cents": way.cents,
        "rms_cents": way.rms_cents(),
    })
}

fn tops(playing: &Playing<'_>) -> Vec<Value> {
    if playing.tops.basis == Basis::Planned {
        return Vec::new();
    }
    let mut records = Vec::new();
    for (lane, departures) in playing.tops.departure_mm.iter().enumerate() {
        for (fret, departure) in departures.iter().enumerate().skip(1) {
            records.push(json!({
                "lane": lane + 1,
                "fret": fret,
                "departure_mm": departure,
                "sigma_mm": playing.tops.covariance(lane, fret, fret).max(0.0).sqrt(),
            }));
        }
    }
    records
}

fn levelling(levelling: &Levelling) -> Value {
    json!({
        "seat_first": levelling.seat_first.iter().map(|proud| json!({
            "fret": proud.fret,
            "lane": proud.lane + 1,
            "over_mm": proud.over_mm,
            "sigma_mm": proud.sigma_mm,
        })).collect::<Vec<_>>(),
        "off_mm": levelling.off_mm,
        "cannot": levelling.cannot.iter().map(|lane| lane + 1).collect::<Vec<_>>(),
    })
}

fn set_up(playing: &Playing<'_>) -> Value {
    let figures = &playing.set_up;
    json!({
        "relief_mm": figures.relief_mm.0,
        "relief_now_mm": figures.relief_mm.1,
        "strings": figures.strings.iter().map(set_up_string).collect::<Vec<_>>(),
        "saddle_circle": figures.saddle_circle.as_ref().map(circle),
        "nut_circle": figures.nut_circle.as_ref().map(circle),
        "neck": figures.neck.map(|neck| json!({
            "angle_deg": neck.angle_deg,
            "plane_at_saddle_mm": neck.plane_at_saddle_mm,
            "shim_mm": neck.shim_mm,
        })),
    })
}

fn set_up_string(string: &SetUpString) -> Value {
    json!({
        "nut_mm": string.to.nut_mm,
        "saddle_mm": string.to.saddle_mm,
        "slot_over_wood_mm": string.slot_over_wood_mm,
        "saddle_over_plane_mm": string.saddle_over_plane_mm,
        "action_at_1_mm": string.actions_mm.0,
        "action_at_12_mm": string.actions_mm.1,
        "change": string.now.map(|now| json!({
            "measured_at_1_mm": now.actions_mm.0,
            "measured_at_12_mm": now.actions_mm.1,
            "action_by_relief_mm": now.by_relief_mm,
            "nut_mm": now.nut_mm,
            "saddle_mm": now.saddle_mm,
        })),
    })
}

fn circle(circle: &FittedCircle) -> Value {
    json!({ "radius_mm": number(circle.radius_mm), "over_mm": circle.over_mm })
}

fn chances(account: &Account) -> Value {
    let tally = &account.tally;
    let demands = (0..4).map(|demand| {
        let room = tally.room(demand);
        json!({
            "demand": Demand::ALL[demand].words(),
            "unit": Demand::ALL[demand].unit(),
            "chance": tally.chance_of(demand),
            "room": room.map(|(mean, _)| mean),
            "room_deviation": room.map(|(_, deviation)| deviation),
        })
    });
    let shares = account.shares.iter().map(|share| {
        json!({
            "error": share.source.words(),
            "shares": share.of,
            "chance_if_halved": share.if_halved,
        })
    });
    json!({
        "necks": tally.necks,
        "chance": tally.chance(),
        "chance_uncertainty": tally.uncertainty(tally.chance()),
        "decisive": account.decisive.words(),
        "demands": demands.collect::<Vec<_>>(),
        "errors": shares.collect::<Vec<_>>(),
    })
}
