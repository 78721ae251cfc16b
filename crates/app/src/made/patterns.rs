//! Patterns and papers by their names, as scenes and as files.

use bench::beam::beam_path;
use bench::jigs::jigs;
use bench::machine::Carriage;
use bench::{BenchPlan, Kit};
use drawing::patterns::{
    beam_card, depth_card, fret_pattern, gauge_patterns, nut_pattern, saddle_pattern,
    usual_stations,
};
use drawing::pictures::{Look, rail_pattern};
use drawing::{
    BarReading, DrawingError, Page, Palette, Paper, PdfOptions, PrintedBars, Scene, SheetOptions,
    SvgOptions, SvgPalette, long_page, tiles, write_dxf, write_pdf, write_svg,
};
use instrument::Instrument;
use play::{On, Sheet, playing, wished_bend_places};
use quantity::parse_length;

use super::{MadeFile, stem};
use crate::chances::{Trial, account};
use crate::paper::{bench_plan_pdf, reading_form_pdf, set_up_sheet_pdf};
use crate::record::PlayFigures;
use crate::show::Units;

/// A commission with everything that its files are made from.
#[derive(Clone, Copy)]
pub struct Subject<'a> {
    /// The instrument.
    pub instrument: &'a Instrument,
    /// Its figures.
    pub sheet: &'a Sheet,
    /// Its bench plan, when a kit is at hand.
    pub plan: Option<&'a BenchPlan>,
    /// The kit.
    pub kit: Option<&'a Kit>,
    /// How lengths are written.
    pub units: Units,
}

impl Subject<'_> {
    /// The look of pictures without a place pointed at.
    pub fn look(&self) -> Look {
        Look {
            pointed: None,
            unit: self.units.length,
        }
    }

    /// The router on its carriage: the kit's, or a usual one.
    pub fn carriage(&self) -> Carriage {
        self.kit.map_or_else(Carriage::default, |kit| kit.carriage)
    }

    /// How files of this commission begin.
    pub fn stem(&self) -> String {
        stem(&self.instrument.title)
    }
}

/// A pattern, printed at true size and cut by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Pattern {
    /// Slots, outline, lanes, centreline, dots.
    Frets,
    /// Gauges to cut, concave and convex.
    Gauges,
    /// The nut's blank with its slots.
    Nut,
    /// The saddle's blank with its marks.
    Saddle,
    /// Where each end of the beam must be.
    Beam,
    /// Edge and slot depths.
    Depths,
    /// Rails of the conical sled.
    Rails,
}

impl Pattern {
    /// All of them, in the order of the work.
    pub const ALL: [Pattern; 7] = [
        Pattern::Frets,
        Pattern::Gauges,
        Pattern::Beam,
        Pattern::Depths,
        Pattern::Nut,
        Pattern::Saddle,
        Pattern::Rails,
    ];

    /// Its word in addresses and in names of files.
    pub fn word(self) -> &'static str {
        match self {
            Pattern::Frets => "frets",
            Pattern::Gauges => "gauges",
            Pattern::Nut => "nut",
            Pattern::Saddle => "saddle",
            Pattern::Beam => "beam",
            Pattern::Depths => "depths",
            Pattern::Rails => "rails",
        }
    }

    /// The pattern of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|pattern| pattern.word() == word)
    }

    /// Its name for people.
    pub fn title(self) -> &'static str {
        match self {
            Pattern::Frets => "Fret pattern",
            Pattern::Gauges => "Gauges",
            Pattern::Nut => "Nut blank",
            Pattern::Saddle => "Saddle blank",
            Pattern::Beam => "Beam track card",
            Pattern::Depths => "Edge and slot depths",
            Pattern::Rails => "Sled rails",
        }
    }

    /// What it is for, in a sentence.
    pub fn purpose(self) -> &'static str {
        match self {
            Pattern::Frets => {
                "Glued to the board or laid on it: slots, outline, strings, centreline, dots."
            }
            Pattern::Gauges => {
                "Plates to cut: the concave one lies on the board, the convex one proves it."
            }
            Pattern::Nut => "The nut from the front: where each slot is, and how high its floor.",
            Pattern::Saddle => {
                "The saddle from the front: the height under each string, and its set-back."
            }
            Pattern::Beam => "Two strips for the bench: where each end of the beam must be.",
            Pattern::Depths => "A comb as deep as the slots, and what is left of the edge.",
            Pattern::Rails => "The two end rails of a router's sled that cuts this camber.",
        }
    }

    /// Its scenes at true size, each with the end of its file's name; empty where this board has no
    /// use for it.
    pub fn scenes(self, subject: &Subject<'_>) -> Vec<(String, Scene)> {
        let (instrument, sheet, look) = (subject.instrument, subject.sheet, subject.look());
        let one = |scene: Scene| vec![(self.word().to_owned(), scene)];
        match self {
            Pattern::Frets => one(fret_pattern(instrument, sheet, look)),
            Pattern::Gauges => {
                let stations = usual_stations(instrument);
                one(gauge_patterns(
                    instrument,
                    &stations,
                    GAUGES_ACROSS_MM,
                    look,
                ))
            }
            Pattern::Beam => one(beam_card(instrument, &beam_path(instrument), look)),
            Pattern::Depths => one(depth_card(instrument, sheet, look)),
            Pattern::Nut | Pattern::Saddle => {
                let playing = playing(instrument, &sheet.strings, On::Frets);
                one(match self {
                    Pattern::Nut => nut_pattern(&playing, look),
                    _ => saddle_pattern(&playing, look),
                })
            }
            Pattern::Rails => rails(subject),
        }
    }
}

/// Gauges are laid out no wider than this, mm: inside the margins of A4 and of Letter.
const GAUGES_ACROSS_MM: f64 = 180.0;

/// Both rails of every stretch that has a sled.
fn rails(subject: &Subject<'_>) -> Vec<(String, Scene)> {
    let jigs = jigs(subject.instrument, subject.carriage());
    let several = jigs.settings.len() > 1;
    let mut scenes = Vec::new();
    for (index, setting) in jigs.settings.iter().enumerate() {
        let Ok(sled) = &setting.sled else { continue };
        for (place, rail) in [("nut", &sled.rails[0]), ("far", &sled.rails[1])] {
            let title = &subject.instrument.title;
            let (end, name) = match several {
                true => (
                    format!("rails-{}-{place}", index + 1),
                    format!("{title}, stretch {}, {place} rail", index + 1),
                ),
                false => (format!("rails-{place}"), format!("{title}, {place} rail")),
            };
            scenes.push((end, rail_pattern(&name, rail, subject.look())));
        }
    }
    scenes
}

/// How a pattern is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Form {
    /// Pages of true size.
    Pdf,
    /// A picture of true size.
    Svg,
    /// A drawing for CAD, in millimetres.
    Dxf,
}

impl Form {
    /// All of them.
    pub const ALL: [Form; 3] = [Form::Pdf, Form::Svg, Form::Dxf];

    /// Its file ending.
    pub fn ending(self) -> &'static str {
        match self {
            Form::Pdf => "pdf",
            Form::Svg => "svg",
            Form::Dxf => "dxf",
        }
    }
}

/// What patterns are printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum PrintPaper {
    /// ISO 216.
    A4,
    /// ISO 216.
    A3,
    /// 8.5 in by 11 in.
    Letter,
    /// 11 in by 17 in.
    Tabloid,
    /// One page as long as the pattern needs.
    Long,
}

impl PrintPaper {
    /// All of them.
    pub const ALL: [PrintPaper; 5] = [
        PrintPaper::A4,
        PrintPaper::A3,
        PrintPaper::Letter,
        PrintPaper::Tabloid,
        PrintPaper::Long,
    ];

    /// Its word in addresses and settings.
    pub fn word(self) -> &'static str {
        match self {
            PrintPaper::A4 => "a4",
            PrintPaper::A3 => "a3",
            PrintPaper::Letter => "letter",
            PrintPaper::Tabloid => "tabloid",
            PrintPaper::Long => "long",
        }
    }

    /// The paper of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|paper| paper.word() == word)
    }

    /// Its name for people.
    pub fn title(self) -> &'static str {
        match self.sheet() {
            Some(paper) => paper.name(),
            None => "one long page",
        }
    }

    /// The sheet; nothing for one long page.
    pub fn sheet(self) -> Option<Paper> {
        match self {
            PrintPaper::A4 => Some(Paper::A4),
            PrintPaper::A3 => Some(Paper::A3),
            PrintPaper::Letter => Some(Paper::Letter),
            PrintPaper::Tabloid => Some(Paper::Tabloid),
            PrintPaper::Long => None,
        }
    }

    /// The sheet for papers full of words, which are set for A4 and Letter.
    pub fn for_words(self) -> Paper {
        match self {
            PrintPaper::Letter | PrintPaper::Tabloid => Paper::Letter,
            PrintPaper::A4 | PrintPaper::A3 | PrintPaper::Long => Paper::A4,
        }
    }
}

/// How patterns are printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Printing {
    /// The paper.
    pub paper: PrintPaper,
    /// What the bars of an earlier print measured.
    pub bars: PrintedBars,
}

impl Printing {
    /// A4 from a printer that prints true.
    pub const USUAL: Self = Self {
        paper: PrintPaper::A4,
        bars: PrintedBars::TRUE,
    };

    /// A scene on this paper.
    ///
    /// # Errors
    /// When it does not go on it, with what would do.
    pub fn pages(&self, scene: &Scene) -> Result<Vec<Page>, DrawingError> {
        match self.paper.sheet() {
            Some(paper) => tiles(
                scene,
                &SheetOptions {
                    bars: self.bars,
                    ..SheetOptions::new(paper)
                },
            ),
            None => Ok(vec![long_page(scene, LONG_MARGIN_MM, &self.bars)?]),
        }
    }
}

/// What the bar of 100 mm measures on paper, as typed.
///
/// # Errors
/// When it is no length, or one that no printer makes of 100 mm without fitting to the page.
pub fn bar_reading(typed: &str) -> Result<BarReading, String> {
    const BELIEVED_MM: std::ops::RangeInclusive<f64> = 90.0..=110.0;
    let mm = parse_length(typed).map_err(|error| error.to_string())?.mm();
    if BELIEVED_MM.contains(&mm) {
        return Ok(BarReading::of_100_mm(mm));
    }
    let (least, most) = (BELIEVED_MM.start(), BELIEVED_MM.end());
    Err(format!(
        "a bar of 100 mm that measures {mm:.1} mm was fitted to the page: {least:.0} to {most:.0} mm is believed"
    ))
}

/// The rim of a long page, mm.
const LONG_MARGIN_MM: f64 = 8.0;

/// The files of a pattern in one form.
///
/// # Errors
/// When it cannot be written so, in words.
pub fn pattern_files(
    subject: &Subject<'_>,
    pattern: Pattern,
    form: Form,
    printing: &Printing,
) -> Result<Vec<MadeFile>, String> {
    let scenes = pattern.scenes(subject);
    let begin = subject.stem();
    let cannot = |error: DrawingError| format!("{}: {error}", pattern.title());
    let name = |end: &str| format!("{begin}-{end}.{}", form.ending());
    match form {
        Form::Pdf if scenes.is_empty() => Ok(Vec::new()),
        Form::Pdf => {
            let mut pages = Vec::new();
            for (_, scene) in &scenes {
                pages.extend(printing.pages(scene).map_err(cannot)?);
            }
            let options = PdfOptions {
                title: format!("{} · {}", subject.instrument.title, pattern.title()),
                language: "en".into(),
            };
            Ok(vec![MadeFile {
                name: name(pattern.word()),
                bytes: write_pdf(&pages, &options).map_err(cannot)?,
            }])
        }
        Form::Svg => Ok(scenes
            .iter()
            .map(|(end, scene)| MadeFile {
                name: name(end),
                bytes: alone_svg(scene).into_bytes(),
            })
            .collect()),
        Form::Dxf => scenes
            .iter()
            .map(|(end, scene)| {
                Ok(MadeFile {
                    name: name(end),
                    bytes: write_dxf(scene).map_err(cannot)?.into_bytes(),
                })
            })
            .collect(),
    }
}

/// A scene as a picture that stands alone: its true size, its own colours.
fn alone_svg(scene: &Scene) -> String {
    let options = SvgOptions {
        palette: SvgPalette::Fixed(Palette::Print),
        ..SvgOptions::default()
    };
    write_svg(scene, &options)
}

/// A paper full of words that goes with the patterns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Words {
    /// The ordered work.
    BenchPlan,
    /// A form for readings.
    ReadingForm,
    /// What is handed to the player.
    SetUpSheet,
}

impl Words {
    /// All of them.
    pub const ALL: [Words; 3] = [Words::BenchPlan, Words::ReadingForm, Words::SetUpSheet];

    /// The end of its file's name.
    pub fn word(self) -> &'static str {
        match self {
            Words::BenchPlan => "bench-plan",
            Words::ReadingForm => "reading-form",
            Words::SetUpSheet => "set-up-sheet",
        }
    }
}

/// A paper full of words as a file; nothing for a bench plan without a kit.
///
/// # Errors
/// When it cannot be made, in words.
pub fn words_file(
    subject: &Subject<'_>,
    words: Words,
    printing: &Printing,
) -> Result<Option<MadeFile>, String> {
    let (instrument, units) = (subject.instrument, subject.units);
    let paper = printing.paper.for_words();
    let bytes = match (words, subject.plan) {
        (Words::BenchPlan, None) => return Ok(None),
        (Words::BenchPlan, Some(plan)) => bench_plan_pdf(instrument, plan, units, paper),
        (Words::ReadingForm, _) => reading_form_pdf(instrument, subject.kit, units, paper),
        (Words::SetUpSheet, _) => set_up(subject, paper),
    };
    let bytes = bytes.map_err(|error| format!("{}: {error}", words.word()))?;
    Ok(Some(MadeFile {
        name: format!("{}-{}.pdf", subject.stem(), words.word()),
        bytes,
    }))
}

fn set_up(subject: &Subject<'_>, paper: Paper) -> Result<Vec<u8>, DrawingError> {
    let playing = playing(subject.instrument, &subject.sheet.strings, On::Frets);
    let figures = PlayFigures {
        levelling: &playing.levelling(),
        frontier: &wished_bend_places(subject.instrument, &subject.sheet.strings).whole_frontier(),
        chances: &account(&playing, Trial::default()),
        playing: &playing,
        sheet: subject.sheet,
        visit: None,
    };
    set_up_sheet_pdf(&figures, subject.units, paper)
}
