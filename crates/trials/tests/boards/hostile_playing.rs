//! Whatever a file can ask of playing: no panic, and no figure that is not a number.

use instrument::{Instrument, read_commission};
use play::bend::BendEnd;
use play::chances::Chances;
use play::intonation::SetBack;
use play::strung::Setting;
use play::{On, Playing, playing, sheet, wished_bend_places};
use trials::{Chance, hostile_board};

/// Looks at figures and remembers the first that is not finite.
struct Look {
    text: String,
}

impl Look {
    #[track_caller]
    fn at(&self, what: &str, value: f64) {
        assert!(value.is_finite(), "{what} is {value}\n{}", self.text);
    }

    #[track_caller]
    fn all<'a>(&self, what: &str, values: impl IntoIterator<Item = &'a f64>) {
        for value in values {
            self.at(what, *value);
        }
    }

    #[track_caller]
    fn setting(&self, what: &str, setting: &Setting) {
        self.at(what, setting.relief_mm);
        for heights in &setting.strings {
            self.all(what, [&heights.nut_mm, &heights.saddle_mm]);
        }
    }
}

fn look_at(look: &Look, playing: &Playing<'_>) {
    look.all("departure", playing.tops.departure_mm.iter().flatten());
    look.all("covariance", playing.tops.covariance_mm2.iter().flatten());
    for doubt in &playing.doubted {
        look.all("doubt", [&doubt.foretold_mm, &doubt.half_mm]);
    }
    for line in &playing.lines {
        look.all("top", &line.top_mm);
        look.all("bow", &line.bow);
        look.all(
            "line",
            [
                &line.length_mm,
                &line.bow_at_saddle,
                &line.datum.0,
                &line.datum.1,
            ],
        );
    }
    look.setting("wished", &playing.wished);
    for map in [&playing.buzz, &playing.light, &playing.hard] {
        for least in map.least.iter().flatten().flatten() {
            look.all("margin", [&least.margin_mm, &least.sigma_mm]);
            if let Some(chance) = least.contact_chance {
                assert!((0.0..=1.0).contains(&chance), "{chance}\n{}", look.text);
            }
        }
    }
    for end in playing.bends().ends.iter().flatten().flatten() {
        look.at("bend", end.cents());
        if let BendEnd::Chokes { aside_mm, .. } = end {
            look.at("push", *aside_mm);
        }
    }
    look.at("lowest relief", playing.lowest.relief_mm);
    look.all("levelling's worth", playing.levelling_worth_mm());
    look.setting("lowest", &playing.lowest.setting(&playing.wished));
    for low in playing.lowest.strings.iter().flatten() {
        look.all("lowest", [&low.action_mm, &low.by_relief_mm]);
    }
    let tuning = &playing.tuning();
    for way in [
        &tuning.own,
        &tuning.saddle_only,
        &tuning.straight,
        &tuning.common,
        &tuning.none,
    ] {
        for SetBack { saddle_mm, nut_mm } in way.set_back.iter().flatten() {
            look.all("set-back", [saddle_mm, nut_mm]);
        }
        look.all("cents", way.cents.iter().flatten().flatten());
        look.at("rms", way.rms_cents());
    }
    for string in tuning.strings.iter().flatten() {
        look.all(
            "error's worth",
            [&string.by_slot_cents, &string.by_action_cents],
        );
    }
    look_at_set_up(look, playing);
}

fn look_at_set_up(look: &Look, playing: &Playing<'_>) {
    for string in &playing.set_up.strings {
        look.all(
            "slot",
            [&string.slot_over_wood_mm, &string.saddle_over_plane_mm],
        );
        look.all("action", [&string.actions_mm.0, &string.actions_mm.1]);
        if let Some(now) = string.now {
            look.all("change", [&now.by_relief_mm, &now.nut_mm, &now.saddle_mm]);
        }
    }
    for circle in [&playing.set_up.saddle_circle, &playing.set_up.nut_circle]
        .into_iter()
        .flatten()
    {
        // A straight line's circle is endless, by its words.
        assert!(!circle.radius_mm.is_nan(), "{}", look.text);
        look.all("over the circle", &circle.over_mm);
    }
    if let Some(neck) = playing.set_up.neck {
        look.all("neck", [&neck.angle_deg, &neck.plane_at_saddle_mm]);
    }
}

fn look_at_work(look: &Look, playing: &Playing<'_>, seed: u64) {
    let levelling = playing.levelling();
    look.all("filed", levelling.off_mm.iter().flatten().flatten());
    for proud in &levelling.seat_first {
        look.all("proud", [&proud.over_mm, &proud.sigma_mm]);
    }
    let strings = sheet(playing.instrument, None).strings;
    let chooser = wished_bend_places(playing.instrument, &strings);
    let radius = playing.instrument.outline.half_width(0.0) * 4.0;
    for nut_mm in [0.5 * radius, radius, 100.0 * radius] {
        let tightest = chooser.tightest(nut_mm);
        if let Some(last_mm) = tightest.last_mm {
            assert!(
                !last_mm.is_nan() && last_mm > 0.0,
                "{last_mm}\n{}",
                look.text
            );
        }
    }
    let chances = Chances::of(playing, seed);
    let tally = chances.tally(0, 2);
    assert_eq!(tally.necks, 32);
    let (_, effects) = chances.effects(0, 1);
    let account = Chances::account(tally, &effects);
    look.all("sums", tally.sum.iter().chain(&tally.squares));
    for demand in 0..4 {
        if let Some((mean, deviation)) = account.tally.room(demand) {
            look.all("room", [&mean, &deviation]);
        }
    }
    for share in &account.shares {
        for of in share.of.iter().chain([&share.if_halved]) {
            assert!((0.0..=1.0).contains(of), "{share:?}\n{}", look.text);
        }
    }
}

fn look_through(text: String, instrument: &Instrument, seed: u64) {
    let strings = sheet(instrument, None).strings;
    let look = Look { text };
    // The planned tops, when none was read.
    let playing = playing(instrument, &strings, On::Frets);
    look_at(&look, &playing);
    look_at_work(&look, &playing, seed);
}

#[test]
fn nothing_that_a_file_can_ask_gives_a_panic_or_a_figure_that_is_no_number() {
    let (mut read, mut frets_read) = (0, 0);
    for seed in 0..BOARDS {
        let mut chance = Chance::new(40_000 + seed);
        let text = hostile_board(&mut chance).to_toml();
        // Many are refused at the door, with a reason.
        let instrument = match read_commission(&text, &|_| Err("no files".into())) {
            Ok(instrument) => instrument,
            Err(faults) => {
                assert!(!faults.is_empty());
                continue;
            }
        };
        read += 1;
        frets_read += usize::from(!instrument.fretwork.readings.is_empty());
        look_through(text, &instrument, seed);
    }
    assert!(
        read > BOARDS as usize / 2 && frets_read > read / 4,
        "{read} {frets_read}"
    );
}

/// Boards asked for.
const BOARDS: u64 = 2000;
