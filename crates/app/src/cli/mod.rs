//! The command line: what is asked, and how it is answered.

/// Writing into a `String` cannot fail, so that the result carries nothing.
macro_rules! line {
    ($text:expr) => { $text.push('\n') };
    ($text:expr, $($arguments:tt)*) => {{
        let _cannot_fail = writeln!($text, $($arguments)*);
    }};
}

mod book;
mod cut;
mod pattern;
mod play;
mod print;
mod print_play;
mod print_read;
mod read;

use std::path::PathBuf;
use std::process::ExitCode;

use bench::effort::WearRate;
use bench::{BenchPlan, Kit, bench_plan, read_kit};
use clap::{Parser, Subcommand, ValueEnum};
use instrument::format::{Fault, Faults};
use instrument::{Instrument, read_commission};

use crate::chances::{Trial, USUAL_NECKS};
use crate::made::{BodyForm, Form, Pattern, PrintPaper, fresh_file, way_out};
use crate::record::{faults_record, plan_record, sheet_record};
use crate::server::{Limits, TabletOptions};
use crate::show::Units;
use crate::{demo, schema, server, source};

/// From a player's wish and a piece of wood to a playing surface.
///
/// With no command the book opens in the browser.
#[derive(Parser)]
#[command(version)]
struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
    /// The book's file; made when missing
    #[arg(long, global = true)]
    book: Option<PathBuf>,
    /// Open the demo book: invented commissions and a kit to try things on
    #[arg(long, global = true)]
    demo: bool,
    /// Serve on this port of this computer
    #[arg(long)]
    port: Option<u16>,
    /// Only print the address, open no browser
    #[arg(long)]
    no_browser: bool,
    /// Offer the bench to tablets at this address of this computer only; found when not given
    #[arg(long)]
    tablet_at: Option<std::net::IpAddr>,
    /// The port at which tablets are served while the bench is open; 4748 when not given
    #[arg(long)]
    tablet_port: Option<u16>,
}

#[derive(Subcommand)]
enum Command {
    /// Every figure of a commission: scale, lanes, camber, slots, wire, strings, warnings
    Sheet {
        /// The commission's file, or - for standard input
        commission: String,
        /// The kit's file: the sheet then names the gauge for every fret
        #[arg(long)]
        kit: Option<String>,
        /// Print a record for other programs
        #[arg(long)]
        json: bool,
    },
    /// The bench plan of a commission with the tools of a kit
    Plan {
        /// The commission's file, or - for standard input
        commission: String,
        /// The kit's file; without one the demo kit is used, and that is said
        #[arg(long)]
        kit: Option<String>,
        /// Print a record for other programs
        #[arg(long)]
        json: bool,
        /// Also write the plan as a PDF; a file that is there stays as it is
        #[arg(long)]
        pdf: Option<PathBuf>,
        /// The PDF's paper
        #[arg(long, default_value = "a4")]
        paper: PaperName,
    },
    /// What the wood is now, from readings, and what next
    Read {
        /// The commission's file, or - for standard input
        commission: String,
        /// The readings' file, or - for standard input
        readings: String,
        /// The kit's file; without one the demo kit is used, and that is said
        #[arg(long)]
        kit: Option<String>,
        /// The visit that is told of; the last one when not given
        #[arg(long)]
        visit: Option<String>,
        /// Leave out lines that are not sound, and count the others
        #[arg(long)]
        keep_sound: bool,
        /// How surely the next step stays inside the wood, in percent
        #[arg(long, default_value_t = 95.0)]
        confidence: f64,
        /// The departure that counts as done, such as "0.05 mm"; the grade's own when not given
        #[arg(long)]
        tolerance: Option<String>,
        /// Print a record for other programs
        #[arg(long)]
        json: bool,
    },
    /// How it will play: buzz, bends, lowest set-up, tuning, levelling, figures to cut to, chances
    Play {
        /// The commission's file, or - for standard input
        commission: String,
        /// Play on the wood of these readings, or - for standard input; else on the fret tops that
        /// the commission holds, else on the planned surface
        #[arg(long)]
        readings: Option<String>,
        /// The visit whose wood it is; the last one when not given
        #[arg(long, requires = "readings")]
        visit: Option<String>,
        /// The kit's file, for the readings; without one the demo kit is used, and that is said
        #[arg(long, requires = "readings")]
        kit: Option<String>,
        /// Play on the planned surface, whatever was measured
        #[arg(long, conflicts_with = "readings")]
        planned: bool,
        /// How many necks are drawn for the chances, 100 to 1000000000
        #[arg(long, default_value_t = USUAL_NECKS, value_parser = clap::value_parser!(u64).range(100..=1_000_000_000))]
        necks: u64,
        /// The seed of that draw: equal seeds draw equal necks
        #[arg(long, default_value_t = 1)]
        seed: u64,
        /// Print a record for other programs
        #[arg(long)]
        json: bool,
        /// Also write the set-up sheet as a PDF; a file that is there stays as it is
        #[arg(long)]
        pdf: Option<PathBuf>,
        /// The PDF's paper
        #[arg(long, default_value = "a4")]
        paper: PaperName,
    },
    /// Patterns at true size: frets, gauges, nut, saddle, beam, depths, sled rails, and the papers
    Pattern {
        /// The commission's file, or - for standard input
        commission: String,
        /// The kit's file: with it the bench plan is among the papers
        #[arg(long)]
        kit: Option<String>,
        /// Only this pattern; may be named several times
        #[arg(long)]
        only: Vec<Pattern>,
        /// How it is written; may be named several times; PDF when not given
        #[arg(long = "as")]
        forms: Vec<Form>,
        /// The paper
        #[arg(long, default_value = "a4")]
        paper: PrintPaper,
        /// What the 100 mm bar along a sheet's short side measured on paper, such as "99.6 mm"
        #[arg(long, allow_hyphen_values = true)]
        short_bar: Option<String>,
        /// The same along the long side
        #[arg(long, allow_hyphen_values = true)]
        long_bar: Option<String>,
        /// The unit of lengths in words
        #[arg(long, default_value = "mm")]
        unit: pattern::UnitName,
        /// Write the files into this folder; nothing that is there is overwritten
        #[arg(long)]
        into: Option<PathBuf>,
        /// Write the files as this new zip archive
        #[arg(long)]
        zip: Option<PathBuf>,
        /// Print a record for other programs
        #[arg(long)]
        json: bool,
    },
    /// Files for CAD and machine: board, blocks and cauls as STEP, 3MF and STL; proved programs
    Cut {
        /// The commission's file, or - for standard input
        commission: String,
        /// The kit's file, with the cutters; without one the demo kit is used, and that is said
        #[arg(long)]
        kit: Option<String>,
        /// Only bodies, or only programs
        #[arg(long)]
        only: Option<cut::Sort>,
        /// Leave this whole in the board's body; may be named several times
        #[arg(long)]
        without: Vec<cut::PartName>,
        /// How bodies are written; may be named several times; all when not given
        #[arg(long = "as")]
        forms: Vec<BodyForm>,
        /// How far triangles may keep from the exact surface; 0.01 mm when not given
        #[arg(long, allow_hyphen_values = true)]
        chord: Option<String>,
        /// Also a radius block: "16 in", or "10 in:16 in" for a cone; may be named several times
        #[arg(long = "block")]
        blocks: Vec<String>,
        /// Also a caul that presses this fret home; may be named several times
        #[arg(long = "press-caul")]
        press_cauls: Vec<usize>,
        /// Write the files into this folder; nothing that is there is overwritten
        #[arg(long)]
        into: Option<PathBuf>,
        /// Write the files as this new zip archive
        #[arg(long)]
        zip: Option<PathBuf>,
        /// Print a record for other programs
        #[arg(long)]
        json: bool,
    },
    /// The book as text, out of it and into it, and its copies
    Book {
        /// What is done with it
        #[command(subcommand)]
        deed: book::Deed,
    },
    /// The JSON Schema of a file format
    Schema {
        /// Which format
        format: Format,
    },
    /// Write the demo commissions and kit into a folder; files that are there stay as they are
    Demo {
        /// The folder
        folder: PathBuf,
    },
}

#[derive(Clone, Copy, ValueEnum)]
enum Format {
    Commission,
    Kit,
}

#[derive(Clone, Copy, ValueEnum)]
enum PaperName {
    A4,
    Letter,
}

impl PaperName {
    fn of(self) -> drawing::Paper {
        match self {
            PaperName::A4 => drawing::Paper::A4,
            PaperName::Letter => drawing::Paper::Letter,
        }
    }
}

/// How a command ended when it did not do what was asked.
enum Refusal {
    /// The work is impossible as asked, with the reason; exit 1.
    Impossible(String),
    /// A text is wrong: its name and its faults; exit 2.
    Bad {
        name: String,
        faults: Faults,
        as_json: AsJson,
    },
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum AsJson {
    Yes,
    No,
}

impl From<bool> for AsJson {
    fn from(flag: bool) -> Self {
        if flag { AsJson::Yes } else { AsJson::No }
    }
}

/// Runs the program; exit 0 done, 1 impossible as asked, 2 bad input.
pub fn run() -> ExitCode {
    let arguments = Arguments::parse();
    let outcome = match &arguments.command {
        Some(Command::Sheet {
            commission,
            kit,
            json,
        }) => print_sheet(commission, kit.as_deref(), (*json).into()),
        Some(Command::Plan {
            commission,
            kit,
            json,
            pdf,
            paper,
        }) => {
            let paper = pdf.as_deref().map(|path| (path, *paper));
            print_plan(commission, kit.as_deref(), (*json).into(), paper)
        }
        Some(Command::Read {
            commission,
            readings,
            kit,
            visit,
            keep_sound,
            confidence,
            tolerance,
            json,
        }) => read::read(&read::Asked {
            commission,
            readings,
            kit: kit.as_deref(),
            visit: visit.as_deref(),
            keep: if *keep_sound {
                read::Keep::Sound
            } else {
                read::Keep::All
            },
            confidence: *confidence,
            tolerance: tolerance.as_deref(),
            as_json: (*json).into(),
        }),
        Some(Command::Play {
            commission,
            readings,
            visit,
            kit,
            planned,
            necks,
            seed,
            json,
            pdf,
            paper,
        }) => play::play(&play::Asked {
            commission,
            readings: readings.as_deref(),
            visit: visit.as_deref(),
            kit: kit.as_deref(),
            on: if *planned {
                play::Surface::Planned
            } else {
                play::Surface::AsMeasured
            },
            trial: Trial {
                seed: *seed,
                necks: *necks,
            },
            as_json: (*json).into(),
            paper: pdf.as_deref().map(|path| (path, *paper)),
        }),
        Some(Command::Pattern {
            commission,
            kit,
            only,
            forms,
            paper,
            short_bar,
            long_bar,
            unit,
            into,
            zip,
            json,
        }) => pattern::pattern(&pattern::Asked {
            commission,
            kit: kit.as_deref(),
            only,
            forms,
            paper: *paper,
            bars: [short_bar.as_deref(), long_bar.as_deref()],
            unit: *unit,
            to: pattern::Destination {
                folder: into.as_deref(),
                archive: zip.as_deref(),
            },
            as_json: (*json).into(),
        }),
        Some(Command::Cut {
            commission,
            kit,
            only,
            without,
            forms,
            chord,
            blocks,
            press_cauls,
            into,
            zip,
            json,
        }) => cut::cut(&cut::Asked {
            commission,
            kit: kit.as_deref(),
            only: *only,
            without,
            forms,
            chord: chord.as_deref(),
            blocks,
            press_cauls,
            to: pattern::Destination {
                folder: into.as_deref(),
                archive: zip.as_deref(),
            },
            as_json: (*json).into(),
        }),
        Some(Command::Book { deed }) => book::book(arguments.book.as_deref(), arguments.demo, deed),
        Some(Command::Schema { format }) => print_schema(*format),
        Some(Command::Demo { folder }) => write_demo(folder),
        None => serve(&arguments),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(refusal) => refuse(&refusal),
    }
}

fn refuse(refusal: &Refusal) -> ExitCode {
    match refusal {
        Refusal::Impossible(why) => {
            eprintln!("camberwright: {why}");
            ExitCode::from(1)
        }
        Refusal::Bad {
            name,
            faults,
            as_json,
        } => {
            if *as_json == AsJson::Yes {
                // The same faults follow on standard error, and the exit code stays.
                let _told_below = print::out(&format!("{:#}\n", faults_record(name, faults)));
            }
            let count = faults.0.len();
            let word = if count == 1 { "fault" } else { "faults" };
            eprintln!("camberwright: {name}: {count} {word}");
            for fault in &faults.0 {
                eprintln!("  {fault}");
            }
            ExitCode::from(2)
        }
    }
}

/// An option whose text is wrong, with a way out.
fn bad_option(
    option: &str,
    message: impl std::fmt::Display,
    way_out: &str,
    as_json: AsJson,
) -> Refusal {
    Refusal::Bad {
        name: option.to_owned(),
        faults: Faults(vec![Fault {
            place: String::new(),
            line: None,
            message: message.to_string(),
            way_out: way_out.to_owned(),
        }]),
        as_json,
    }
}

fn load_commission(name: &str, as_json: AsJson) -> Result<Instrument, Refusal> {
    let bad = |faults| Refusal::Bad {
        name: name.to_owned(),
        faults,
        as_json,
    };
    let source = source::read(name).map_err(bad)?;
    let files = source::tuning_files(source.folder.clone());
    read_commission(&source.text, &files).map_err(|faults| Refusal::Bad {
        name: source.name.clone(),
        faults,
        as_json,
    })
}

fn load_kit(name: &str, as_json: AsJson) -> Result<Kit, Refusal> {
    let bad = |faults| Refusal::Bad {
        name: name.to_owned(),
        faults,
        as_json,
    };
    let source = source::read(name).map_err(bad)?;
    read_kit(&source.text).map_err(|faults| Refusal::Bad {
        name: source.name.clone(),
        faults,
        as_json,
    })
}

fn print_sheet(commission: &str, kit: Option<&str>, as_json: AsJson) -> Result<(), Refusal> {
    let instrument = load_commission(commission, as_json)?;
    let kit = kit.map(|kit| load_kit(kit, as_json)).transpose()?;
    let sheet = ::play::sheet(&instrument, kit.as_ref());
    match as_json {
        AsJson::Yes => print::out(&format!("{:#}\n", sheet_record(&instrument, &sheet))),
        AsJson::No => print::out(&print::sheet(&instrument, &sheet)),
    }
}

fn print_plan(
    commission: &str,
    kit: Option<&str>,
    as_json: AsJson,
    paper: Option<(&std::path::Path, PaperName)>,
) -> Result<(), Refusal> {
    let instrument = load_commission(commission, as_json)?;
    let (kit, is_demo) = match kit {
        Some(name) => (load_kit(name, as_json)?, false),
        None => (demo_kit()?, true),
    };
    let wear = WearRate::from_logs(&[], kit.hand);
    let plan = bench_plan(&instrument, &kit, wear);
    if is_demo {
        eprintln!(
            "camberwright: no --kit given: planned with the demo kit \"{}\"",
            kit.title
        );
    }
    match as_json {
        AsJson::Yes => print::out(&format!("{:#}\n", plan_record(&instrument, &plan))),
        AsJson::No => print::out(&print::plan(&instrument, &plan)),
    }?;
    finished(&plan)?;
    paper.map_or(Ok(()), |(path, paper)| {
        write_plan(&instrument, &plan, path, paper)
    })
}

/// Writes the plan on paper, never over a file that is there.
fn write_plan(
    instrument: &Instrument,
    plan: &BenchPlan,
    path: &std::path::Path,
    paper: PaperName,
) -> Result<(), Refusal> {
    let bytes = crate::paper::bench_plan_pdf(instrument, plan, Units::default(), paper.of());
    write_paper(path, bytes)
}

/// Writes a paper into a new file, never over one that is there.
fn write_paper(
    path: &std::path::Path,
    bytes: Result<Vec<u8>, drawing::DrawingError>,
) -> Result<(), Refusal> {
    let cannot = |error: String| Refusal::Impossible(format!("{}: {error}", path.display()));
    let bytes = bytes.map_err(|error| cannot(format!("the paper could not be made: {error}")))?;
    fresh_file(path, &bytes).map_err(Refusal::Impossible)
}

fn serve(arguments: &Arguments) -> Result<(), Refusal> {
    let tablet = TabletOptions {
        at: arguments.tablet_at,
        port: arguments.tablet_port,
        ..TabletOptions::default()
    };
    if tablet.at.is_some_and(|address| address.is_unspecified()) {
        return Err(Refusal::Impossible(
            "--tablet-at wants one address of this computer: every address at once would open the bench to networks that are not the shop's".into(),
        ));
    }
    let options = server::Options {
        book: arguments.book.clone(),
        demo: arguments.demo,
        port: arguments.port,
        limits: Limits::MAKER,
        tablet,
    };
    let browser = !arguments.no_browser;
    server::serve(&options, |ready| tell(ready, browser)).map_err(Refusal::Impossible)
}

/// Says where the pages are, and opens the browser there.
fn tell(ready: &server::Ready, browser: bool) {
    crate::terminal::say(&format!(
        "The book {} is open at {}\nEnd with Ctrl+C.\n",
        ready.book.display(),
        ready.home
    ));
    if browser && open::that_detached(&ready.home).is_err() {
        crate::terminal::say("No browser could be opened: open that address yourself.\n");
    }
}

fn demo_kit() -> Result<Kit, Refusal> {
    read_kit(demo::KIT.text).map_err(|faults| Refusal::Bad {
        name: demo::KIT.file.into(),
        faults,
        as_json: AsJson::No,
    })
}

fn finished(plan: &BenchPlan) -> Result<(), Refusal> {
    if plan.reaches_finish {
        return Ok(());
    }
    let missing: Vec<&str> = plan
        .cautions
        .iter()
        .filter(|caution| matches!(caution.code, "no_beam" | "no_abrasive"))
        .map(|caution| caution.message.as_str())
        .collect();
    Err(Refusal::Impossible(format!(
        "this kit cannot finish the board: {}",
        missing.join("; ")
    )))
}

fn print_schema(format: Format) -> Result<(), Refusal> {
    let value = match format {
        Format::Commission => {
            schema::schema("Camberwright commission", &instrument::COMMISSION_KEYS)
        }
        Format::Kit => schema::schema("Camberwright kit", &bench::KIT_KEYS),
    };
    print::out(&format!("{value:#}\n"))
}

fn write_demo(folder: &std::path::Path) -> Result<(), Refusal> {
    std::fs::create_dir_all(folder).map_err(|error| {
        let words = format!("{}: cannot be made: {error}; ", folder.display());
        Refusal::Impossible(words + way_out(&error))
    })?;
    for text in demo::COMMISSIONS
        .iter()
        .chain([&demo::KIT, &demo::READINGS])
    {
        let path = folder.join(text.file);
        if path.exists() {
            eprintln!("kept {} as it is", path.display());
            continue;
        }
        fresh_file(&path, text.text.as_bytes()).map_err(Refusal::Impossible)?;
        eprintln!("wrote {}", path.display());
    }
    Ok(())
}
