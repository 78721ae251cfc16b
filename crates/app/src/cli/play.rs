//! `play`: how the instrument will play, on the surface as planned or as it is.

use std::path::Path;

use ::play::{On, Playing, playing, sheet, wished_bend_places};
use bench::bench_plan;
use bench::effort::WearRate;
use instrument::Instrument;
use readings::next::Allowed;
use readings::report::measure;
use readings::{Ask, Visit};

use super::{AsJson, PaperName, Refusal, load_commission, print, print_play, read, write_paper};
use crate::chances::{Trial, account_told};
use crate::progress::Progress;
use crate::record::{PlayFigures, play_record};

/// What is asked on the command line.
pub struct Asked<'a> {
    /// The commission's file.
    pub commission: &'a str,
    /// The readings' file.
    pub readings: Option<&'a str>,
    /// The visit; the last one when not given.
    pub visit: Option<&'a str>,
    /// The kit's file.
    pub kit: Option<&'a str>,
    /// On what it is played.
    pub on: Surface,
    /// How many necks are drawn.
    pub trial: Trial,
    /// A record instead of words.
    pub as_json: AsJson,
    /// The set-up sheet's file and paper.
    pub paper: Option<(&'a Path, PaperName)>,
}

/// On what an instrument is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// On the planned surface, whatever was measured.
    Planned,
    /// On what was measured, when something was.
    AsMeasured,
}

/// Prints how it will play.
pub fn play(asked: &Asked<'_>) -> Result<(), Refusal> {
    let instrument = load_commission(asked.commission, asked.as_json)?;
    match asked.readings {
        Some(readings) => on_wood(asked, &instrument, readings),
        None => {
            let on = match asked.on {
                Surface::Planned => On::Planned,
                Surface::AsMeasured => On::Frets,
            };
            tell(asked, &instrument, on, None)
        }
    }
}

/// Plays on the wood of a visit.
fn on_wood(asked: &Asked<'_>, instrument: &Instrument, readings: &str) -> Result<(), Refusal> {
    if asked.commission == "-" && readings == "-" {
        return Err(Refusal::Impossible(
            "commission and readings cannot both be standard input; name a file for one".into(),
        ));
    }
    let reading = read::Asked {
        commission: asked.commission,
        readings,
        kit: asked.kit,
        visit: asked.visit,
        keep: read::Keep::All,
        confidence: 95.0,
        tolerance: None,
        as_json: asked.as_json,
    };
    let kit = read::the_kit(asked.kit, asked.as_json)?;
    let plan = bench_plan(instrument, &kit, WearRate::from_logs(&[], kit.hand));
    let visits: Vec<Visit> = read::load_readings(&reading, instrument, &kit)?;
    let visit = read::choose(&reading, &visits)?;
    read::check_stage(&plan, visit);
    let ask = Ask {
        instrument,
        bench: Some((&kit, &plan)),
        visit,
        allowed: Allowed::default(),
        tolerance_mm: None,
    };
    let measured = measure(&ask).map_err(|error| Refusal::Impossible(error.to_string()))?;
    tell(asked, instrument, On::Wood(&measured), Some(&visit.name))
}

fn tell(
    asked: &Asked<'_>,
    instrument: &Instrument,
    on: On<'_, '_>,
    visit: Option<&str>,
) -> Result<(), Refusal> {
    let sheet = sheet(instrument, None);
    let playing: Playing<'_> = playing(instrument, &sheet.strings, on);
    let figures = PlayFigures {
        levelling: &playing.levelling(),
        frontier: &wished_bend_places(instrument, &sheet.strings).whole_frontier(),
        chances: &account_told(
            &playing,
            asked.trial,
            &Progress::on_terminal("drawing necks"),
        )
        .ok_or_else(|| Refusal::Impossible("the drawing of necks was stopped".into()))?,
        playing: &playing,
        sheet: &sheet,
        visit,
    };
    match asked.as_json {
        AsJson::Yes => print::out(&format!("{:#}\n", play_record(&figures))),
        AsJson::No => print::out(&print_play::play(&figures)),
    }?;
    let Some((path, paper)) = asked.paper else {
        return Ok(());
    };
    let bytes = crate::paper::set_up_sheet_pdf(&figures, crate::show::Units::default(), paper.of());
    write_paper(path, bytes)
}
