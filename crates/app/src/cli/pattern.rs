//! `pattern`: what is printed at true size and cut by.

use std::fmt::Write as _;
use std::path::Path;

use bench::bench_plan;
use bench::effort::WearRate;
use drawing::{BarReading, PrintedBars};
use serde_json::{Value, json};

use super::{AsJson, Refusal, bad_option, load_commission, load_kit, print};
use crate::made::{
    Form, MadeFile, Pattern, PrintPaper, Printing, Subject, Words, bar_reading, fresh_file,
    into_folder_told, pattern_files, words_file, zip_told,
};
use crate::progress::{Progress, Stretch};
use crate::show::Units;

/// What is asked on the command line.
pub struct Asked<'a> {
    /// The commission's file.
    pub commission: &'a str,
    /// The kit's file.
    pub kit: Option<&'a str>,
    /// The patterns; all of them, and the papers full of words, when none is named.
    pub only: &'a [Pattern],
    /// The forms; PDF when none is named.
    pub forms: &'a [Form],
    /// The paper.
    pub paper: PrintPaper,
    /// What the bars along the short and the long side of a sheet measured.
    pub bars: [Option<&'a str>; 2],
    /// How lengths are written.
    pub unit: UnitName,
    /// Where the files go.
    pub to: Destination<'a>,
    /// A record instead of words.
    pub as_json: AsJson,
}

/// Where made files go.
#[derive(Clone, Copy)]
pub struct Destination<'a> {
    /// Into this folder.
    pub folder: Option<&'a Path>,
    /// Into this archive.
    pub archive: Option<&'a Path>,
}

/// The unit of lengths by its word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum UnitName {
    /// Millimetres.
    Mm,
    /// Decimal inches.
    Inch,
    /// Fractions of an inch.
    Fraction,
}

impl UnitName {
    fn units(self) -> Units {
        Units::from_name(match self {
            UnitName::Mm => "mm",
            UnitName::Inch => "inch",
            UnitName::Fraction => "fraction",
        })
    }
}

impl Destination<'_> {
    /// Writes the files.
    pub fn write(self, files: &[MadeFile]) -> Result<(), Refusal> {
        self.write_told(files, Progress::unseen().stretch(0.0, 1.0))
    }

    /// Writes the files; it is told how far it is, and can be stopped: then nothing is written.
    pub fn write_told(self, files: &[MadeFile], told: Stretch<'_>) -> Result<(), Refusal> {
        if let Some(archive) = self.archive.filter(|archive| archive.exists()) {
            return Err(Refusal::Impossible(format!(
                "{}: is there already, and nothing was written; name a new file",
                archive.display()
            )));
        }
        // Packed before anything is written: what takes long can be stopped until then.
        let packed_share = if self.folder.is_some() { 0.5 } else { 1.0 };
        let packing = told.stretch(0.0, packed_share);
        let packed = self
            .archive
            .map(|path| Ok((path, zip_told(files, packing)?)));
        let packed = packed.transpose().map_err(Refusal::Impossible)?;
        if let Some(folder) = self.folder {
            let writing = told.stretch(if packed.is_some() { 0.5 } else { 0.0 }, 1.0);
            into_folder_told(folder, files, writing).map_err(Refusal::Impossible)?;
        }
        packed.map_or(Ok(()), |(path, bytes)| {
            fresh_file(path, &bytes).map_err(Refusal::Impossible)
        })
    }

    /// Where they went, in words; nothing when they were only told of.
    pub fn words(self) -> Option<String> {
        let folder = self.folder.map(|path| path.display().to_string());
        let archive = self.archive.map(|path| path.display().to_string());
        let places: Vec<String> = folder.into_iter().chain(archive).collect();
        (!places.is_empty()).then(|| places.join(" and "))
    }
}

/// Makes the patterns, and tells what was made.
pub fn pattern(asked: &Asked<'_>) -> Result<(), Refusal> {
    let instrument = load_commission(asked.commission, asked.as_json)?;
    let kit = asked
        .kit
        .map(|kit| load_kit(kit, asked.as_json))
        .transpose()?;
    let sheet = ::play::sheet(&instrument, kit.as_ref());
    let plan = kit
        .as_ref()
        .map(|kit| bench_plan(&instrument, kit, WearRate::from_logs(&[], kit.hand)));
    let subject = Subject {
        instrument: &instrument,
        sheet: &sheet,
        plan: plan.as_ref(),
        kit: kit.as_ref(),
        units: asked.unit.units(),
    };
    let printing = Printing {
        paper: asked.paper,
        bars: bars(asked)?,
    };
    let wanted: &[Pattern] = if asked.only.is_empty() {
        &Pattern::ALL
    } else {
        asked.only
    };
    let forms: &[Form] = if asked.forms.is_empty() {
        &[Form::Pdf]
    } else {
        asked.forms
    };
    let mut made = Vec::new();
    for pattern in wanted {
        let scenes = pattern.scenes(&subject);
        let mut files = Vec::new();
        for form in forms {
            let of_form = pattern_files(&subject, *pattern, *form, &printing);
            files.extend(of_form.map_err(Refusal::Impossible)?);
        }
        let sheets = scenes
            .iter()
            .map(|(_, scene)| Ok(printing.pages(scene)?.len()))
            .sum::<Result<usize, drawing::DrawingError>>();
        let sheets = sheets.map_err(|error| Refusal::Impossible(error.to_string()))?;
        let sizes = scenes
            .iter()
            .map(|(_, scene)| (scene.width_mm, scene.height_mm))
            .collect();
        made.push(Made {
            pattern: *pattern,
            sheets,
            sizes,
            files,
        });
    }
    let papers = papers(asked, &subject, &printing)?;
    let files: Vec<MadeFile> = made
        .iter()
        .flat_map(|made| made.files.iter())
        .chain(&papers)
        .cloned()
        .collect();
    asked.to.write(&files)?;
    match asked.as_json {
        AsJson::Yes => print::out(&format!(
            "{:#}\n",
            record(&instrument.title, &made, &papers)
        )),
        AsJson::No => print::out(&told(asked, &instrument.title, &made, &papers)),
    }
}

/// A pattern with what came of it.
struct Made {
    pattern: Pattern,
    sheets: usize,
    sizes: Vec<(f64, f64)>,
    files: Vec<MadeFile>,
}

/// The papers full of words, when no pattern was named.
fn papers(
    asked: &Asked<'_>,
    subject: &Subject<'_>,
    printing: &Printing,
) -> Result<Vec<MadeFile>, Refusal> {
    if !asked.only.is_empty() {
        return Ok(Vec::new());
    }
    let made: Result<Vec<Option<MadeFile>>, String> = Words::ALL
        .iter()
        .map(|words| words_file(subject, *words, printing))
        .collect();
    Ok(made
        .map_err(Refusal::Impossible)?
        .into_iter()
        .flatten()
        .collect())
}

fn bars(asked: &Asked<'_>) -> Result<PrintedBars, Refusal> {
    let bar = |typed: Option<&str>, option: &str| {
        match typed {
        None => Ok(BarReading::TRUE),
        Some(typed) => bar_reading(typed).map_err(|message| {
            let way_out = "print without correction at 100 %, measure the bar of 100 mm, and write what it measures, such as \"99.6 mm\"";
            bad_option(option, message, way_out, asked.as_json)
        }),
    }
    };
    Ok(PrintedBars {
        short_side: bar(asked.bars[0], "--short-bar")?,
        long_side: bar(asked.bars[1], "--long-bar")?,
    })
}

fn told(asked: &Asked<'_>, title: &str, made: &[Made], papers: &[MadeFile]) -> String {
    let mut text = format!(
        "{title}: patterns at true size, on {}\n",
        asked.paper.title()
    );
    for made in made {
        let name = made.pattern.title();
        if made.sizes.is_empty() {
            line!(text, "  {name:<22} not for this board");
            continue;
        }
        let sizes: Vec<String> = made
            .sizes
            .iter()
            .map(|(width, height)| format!("{width:.0} × {height:.0} mm"))
            .collect();
        let sheets = match made.sheets {
            1 => "1 sheet".into(),
            sheets => format!("{sheets} sheets"),
        };
        line!(text, "  {name:<22} {sheets:>9}   {}", sizes.join(", "));
        for file in &made.files {
            line!(text, "    {}", file.name);
        }
    }
    for file in papers {
        line!(text, "  {}", file.name);
    }
    match asked.to.words() {
        Some(place) => line!(text, "Written to {place}."),
        None => line!(
            text,
            "Nothing was written: name a folder with --into, or an archive with --zip."
        ),
    }
    line!(
        text,
        "Print at 100 %, not fitted to the page, and measure the two bars before you cut by it."
    );
    text
}

fn record(title: &str, made: &[Made], papers: &[MadeFile]) -> Value {
    let names = |files: &[MadeFile]| -> Vec<String> {
        files.iter().map(|file| file.name.clone()).collect()
    };
    let patterns: Vec<Value> = made
        .iter()
        .map(|made| {
            let sizes: Vec<Value> = made
                .sizes
                .iter()
                .map(|(width, height)| json!({ "width_mm": width, "height_mm": height }))
                .collect();
            json!({
                "pattern": made.pattern.word(),
                "sheets": made.sheets,
                "sizes": sizes,
                "files": names(&made.files),
            })
        })
        .collect();
    json!({ "commission": title, "patterns": patterns, "papers": names(papers) })
}
