//! Addresses of made files: patterns, bodies, programs, and everything as one archive.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use book::{Book, BookError, EntryId};
use drawing::pictures::Pointed;
use drawing::{BarReading, PrintedBars};
use instrument::{Instrument, Radius};
use quantity::parse_length;
use solid::body::{BoardParts, Part, ToolShape};
use solid::mill::{mill, mill_told};

use super::Shop;
use super::answer::{Answer, Trouble, file, go, page};
use super::book_routes::units_of;
use super::change::now;
use super::form::Fields;
use super::works::STOPPED;
use crate::made::{
    BodyAsk, BodyForm, Form as Written, MadeFile, NO_CAUL, Pattern, PrintPaper, Printing,
    USUAL_CHORD_MM, WHOLE_BOARD, all_patterns, bar_reading, body_file, media_type, pattern_files,
    program_files, stem, zip,
};
use crate::pages::{pattern_subject, programs_page, programs_part, refused_page};
use crate::show::Units;
use crate::view::{Figures, View};

type Pairs = Vec<(String, String)>;

pub(super) fn routes() -> Router<Arc<Shop>> {
    Router::new()
        .route("/printing", post(keep_printing))
        .route("/commission/{id}/pattern/{name}", get(pattern))
        .route("/commission/{id}/body/{name}", get(body))
        .route("/commission/{id}/programs", get(programs))
        .route("/commission/{id}/program/{name}", get(program))
        .route("/commission/{id}/all.zip", get(everything))
}

/// The names of the settings that keep what is known of the printer.
const PAPER: &str = "pattern paper";
const BARS: [&str; 2] = ["bar along the short side", "bar along the long side"];

/// What the book keeps of the printer.
///
/// # Errors
/// When the book cannot be read.
pub(super) fn printing(book: &Book) -> Result<Printing, BookError> {
    let paper = book.setting(PAPER)?;
    let bar = |name: &str| -> Result<BarReading, BookError> {
        let kept = book.setting(name)?;
        let mm = kept.and_then(|text| Some(parse_length(&text).ok()?.mm()));
        Ok(mm.map_or(BarReading::TRUE, BarReading::of_100_mm))
    };
    Ok(Printing {
        paper: paper
            .as_deref()
            .and_then(PrintPaper::from_word)
            .unwrap_or(Printing::USUAL.paper),
        bars: PrintedBars {
            short_side: bar(BARS[0])?,
            long_side: bar(BARS[1])?,
        },
    })
}

async fn keep_printing(State(shop): State<Arc<Shop>>, Form(pairs): Form<Pairs>) -> Answer {
    let form = Fields(pairs);
    let pattern = form.get("pattern").and_then(Pattern::from_word);
    let (id, place) = (form.entry("commission")?, form.pointed());
    let back = format!(
        "/commission/{id}/patterns?pattern={}&fret={}&lane={}",
        pattern.unwrap_or(Pattern::Frets).word(),
        place.fret,
        place.lane
    );
    let known = asked_printing(&form);
    let (paper, bars) = match known {
        Ok(known) => known,
        Err((field, trouble)) => {
            let back = format!("{back}&mend={field}");
            return refused(trouble, Some(field), &back, units_of(&shop)?);
        }
    };
    shop.book.set_setting(PAPER, paper.word(), now())?;
    for (name, mm) in BARS.into_iter().zip(bars) {
        shop.book.set_setting(name, &format!("{mm} mm"), now())?;
    }
    go(&back)
}

/// The paper, and what the two bars measure, mm; or the field that is wrong, and why.
fn asked_printing(form: &Fields) -> Result<(PrintPaper, [f64; 2]), (&'static str, Trouble)> {
    let need = |field: &'static str| form.need(field).map_err(|trouble| (field, trouble));
    let paper = PrintPaper::from_word(need("paper")?)
        .ok_or_else(|| ("paper", Trouble::Bad("there is no such paper".into())))?;
    let bar = |field: &'static str, side: &str| {
        let read = bar_reading(need(field)?.trim());
        read.map(|bar| bar.measured_mm).map_err(|message| {
            let words = format!(
                "the bar along the {side} side: {message}; print without correction at 100 %, and enter what the bar measures"
            );
            (field, Trouble::Bad(words))
        })
    };
    Ok((
        paper,
        [bar("short_bar", "short")?, bar("long_bar", "long")?],
    ))
}

/// What makes no sense is said on a page that leads back; other troubles are answered as ever.
fn refused(trouble: Trouble, field: Option<&str>, back: &str, units: Units) -> Answer {
    match trouble {
        Trouble::Bad(words) => {
            let page = page(refused_page(&words, field, back, units));
            Ok((StatusCode::BAD_REQUEST, page).into_response())
        }
        other => Err(other),
    }
}

fn load(shop: &Shop, id: i64) -> Result<View, Trouble> {
    let view = shop.view(EntryId(id), Pointed::default())?;
    if view.entry.kind != book::Kind::Commission {
        return Err(Trouble::NotThere("that entry is no commission".into()));
    }
    Ok(view)
}

fn sound(view: &View) -> Result<&Figures, Trouble> {
    view.now.as_deref().ok_or_else(|| {
        Trouble::NotThere(
            "no sound moment of this commission is known; mend what is wrong first".into(),
        )
    })
}

fn handed_out(made: MadeFile) -> Response {
    let kind = media_type(&made.name);
    file(&made.name, kind, made.bytes)
}

/// Several files of one pattern come as an archive.
fn one_or_archive(mut files: Vec<MadeFile>, name: &str) -> Answer {
    match files.len() {
        0 => Err(Trouble::NotThere(
            "this board has no use for that pattern".into(),
        )),
        1 => Ok(handed_out(files.remove(0))),
        _ => Ok(handed_out(MadeFile {
            name: format!("{name}.zip"),
            bytes: zip(&files).map_err(Trouble::Here)?,
        })),
    }
}

async fn pattern(State(shop): State<Arc<Shop>>, Path((id, name)): Path<(i64, String)>) -> Answer {
    let none = || Trouble::NotThere("there is no such pattern".into());
    let (word, ending) = name.split_once('.').ok_or_else(none)?;
    let pattern = Pattern::from_word(word).ok_or_else(none)?;
    let form = Written::ALL
        .into_iter()
        .find(|form| form.ending() == ending)
        .ok_or_else(none)?;
    let view = load(&shop, id)?;
    let figures = sound(&view)?;
    let subject = pattern_subject(&view, figures);
    let files = pattern_files(&subject, pattern, form, &printing(&shop.book)?);
    let files = files.map_err(Trouble::NotThere)?;
    one_or_archive(files, &format!("{}-{word}-{ending}", subject.stem()))
}

async fn body(
    State(shop): State<Arc<Shop>>,
    Path((id, name)): Path<(i64, String)>,
    Query(pairs): Query<Pairs>,
) -> Answer {
    let view = load(&shop, id)?;
    let instrument = &sound(&view)?.instrument;
    match made_body(&name, instrument, &Fields(pairs)) {
        Ok(made) => Ok(handed_out(made)),
        Err(trouble) => refused(
            trouble,
            None,
            &format!("/commission/{id}/patterns"),
            view.units,
        ),
    }
}

fn made_body(name: &str, instrument: &Instrument, fields: &Fields) -> Result<MadeFile, Trouble> {
    let ask = asked_body(name, instrument, fields)?;
    let form = BodyForm::from_ending(fields.get("as").unwrap_or("step"))
        .ok_or_else(|| Trouble::Bad("bodies are written as step, 3mf or stl".into()))?;
    let body = ask.body(instrument).map_err(Trouble::Bad)?;
    body_file(&ask.name(instrument), &body, form, USUAL_CHORD_MM).map_err(Trouble::Here)
}

fn asked_body(name: &str, instrument: &Instrument, fields: &Fields) -> Result<BodyAsk, Trouble> {
    let part = |name: &str| match fields.get(name) {
        Some(_) => Part::Cut,
        None => Part::Left,
    };
    match name {
        "board" => Ok(BodyAsk::Board(BoardParts {
            slots: part("slots"),
            rebate: part("rebate"),
            dots: part("dots"),
        })),
        "caul" => BodyAsk::caul(instrument).ok_or_else(|| Trouble::NotThere(NO_CAUL.into())),
        "block" => block(fields),
        "press" => {
            let typed = fields.need("for")?.trim();
            let fret = typed
                .parse()
                .map_err(|_| Trouble::Bad(format!("\"{typed}\" is no fret; write 12")))?;
            Ok(BodyAsk::press(fret))
        }
        _ => Err(Trouble::NotThere("there is no such body".into())),
    }
}

fn block(fields: &Fields) -> Result<BodyAsk, Trouble> {
    let length = |name: &str, words: &str| -> Result<f64, Trouble> {
        parse_length(fields.need(name)?)
            .map(|length| length.mm())
            .map_err(|error| Trouble::Bad(format!("the {words}: {error}")))
    };
    let radius = |name: &str, words: &str| -> Result<Radius, Trouble> {
        match fields.need(name)?.trim() {
            "flat" => Ok(Radius::FLAT),
            _ => Ok(Radius::from_mm(length(name, words)?)),
        }
    };
    let ends = [
        radius("near", "radius at one end")?,
        radius("far", "radius at the other end")?,
    ];
    if ends[0].finite_mm().is_some() != ends[1].finite_mm().is_some() {
        return Err(Trouble::Bad(
            "a block is flat at both ends or hollow at both: give two radii, or flat twice".into(),
        ));
    }
    let BodyAsk::Tool(usual) = BodyAsk::block(ends) else {
        return Err(Trouble::Here("a block is a tool".into()));
    };
    Ok(BodyAsk::Tool(ToolShape {
        length_mm: length("length", "length")?,
        width_mm: length("width", "width")?,
        height_mm: length("height", "height")?,
        ..usual
    }))
}

/// What the programs need, away from the server's own thread.
async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, String> + Send + 'static,
) -> Result<T, Trouble> {
    tokio::task::spawn_blocking(work)
        .await
        .map_err(|error| Trouble::Here(format!("the files were not made: {error}")))?
        .map_err(Trouble::NotThere)
}

const NO_KIT: &str = "without a sound commission and a kit with cutters there are no programs";

/// The part that the page Patterns waits for; a page of its own for who asks without script.
async fn programs(
    State(shop): State<Arc<Shop>>,
    Path(id): Path<i64>,
    Query(pairs): Query<Pairs>,
    headers: HeaderMap,
) -> Answer {
    let (whole, fields) = (!headers.contains_key("x-part"), Fields(pairs));
    let view = load(&shop, id)?;
    let part = shop.works.watched(fields.get("work"), move |progress| {
        let figures = view.now.as_ref().ok_or(NO_KIT)?;
        let kit = view.sound_kit().ok_or(NO_KIT)?;
        let mill = mill_told(&figures.instrument, kit, &mut |share| progress.tell(share))
            .ok_or(STOPPED)?;
        let part = programs_part(&view, figures, &mill);
        Ok(if whole {
            programs_page(&view, &part)
        } else {
            part
        })
    });
    Ok(page(part.await?).into_response())
}

async fn program(State(shop): State<Arc<Shop>>, Path((id, name)): Path<(i64, String)>) -> Answer {
    let view = load(&shop, id)?;
    let made = aside(move || {
        let figures = view.now.as_ref().ok_or(NO_KIT)?;
        let kit = view.sound_kit().ok_or(NO_KIT)?;
        let mill = mill(&figures.instrument, kit);
        let wanted = format!("{}-{name}", stem(&figures.instrument.title));
        let files = program_files(&pattern_subject(&view, figures), &mill);
        let found = files.into_iter().find(|file| file.name == wanted);
        found.ok_or_else(|| {
            "that program is not made for this board; the page Patterns says why".to_owned()
        })
    });
    Ok(handed_out(made.await?))
}

async fn everything(State(shop): State<Arc<Shop>>, Path(id): Path<i64>) -> Answer {
    let view = load(&shop, id)?;
    let printing = printing(&shop.book)?;
    let made = aside(move || {
        let figures = view.now.as_ref().ok_or(NO_SOUND)?;
        let subject = pattern_subject(&view, figures);
        let mut files = all_patterns(&subject, &printing)?;
        let mut not_made = Vec::new();
        match BodyAsk::caul(&figures.instrument) {
            Some(caul) => bodies_into(&mut files, &mut not_made, figures, &caul),
            None => not_made.push(NO_CAUL.to_owned()),
        }
        let board = BodyAsk::Board(WHOLE_BOARD);
        bodies_into(&mut files, &mut not_made, figures, &board);
        match view.sound_kit() {
            Some(kit) => {
                let mill = mill(&figures.instrument, kit);
                files.extend(program_files(&subject, &mill));
                not_made.extend(
                    mill.refusals
                        .iter()
                        .map(|refusal| format!("{}: {refusal}", refusal.operation.title())),
                );
            }
            None => not_made.push("programs and bench plan: no sound kit is chosen".into()),
        }
        files.extend(not_made_file(&subject.stem(), &not_made));
        Ok(MadeFile {
            name: format!("{}.zip", subject.stem()),
            bytes: zip(&files)?,
        })
    });
    Ok(handed_out(made.await?))
}

/// A body in every form, or why it is not made; what its notes say goes along.
fn bodies_into(
    files: &mut Vec<MadeFile>,
    not_made: &mut Vec<String>,
    figures: &Figures,
    ask: &BodyAsk,
) {
    let name = ask.name(&figures.instrument);
    let body = match ask.body(&figures.instrument) {
        Ok(body) => body,
        Err(why) => return not_made.push(format!("{name}: {why}")),
    };
    not_made.extend(body.notes.iter().map(|note| format!("{name}: {note}")));
    for form in BodyForm::ALL {
        match body_file(&name, &body, form, USUAL_CHORD_MM) {
            Ok(file) => files.push(file),
            Err(why) => not_made.push(why),
        }
    }
}

/// What an archive leaves out, as a text in it; none where nothing is left out.
fn not_made_file(stem: &str, not_made: &[String]) -> Option<MadeFile> {
    (!not_made.is_empty()).then(|| MadeFile {
        name: format!("{stem}-not-made.txt"),
        bytes: format!("Not made for this board:\n- {}\n", not_made.join("\n- ")).into_bytes(),
    })
}

const NO_SOUND: &str = "no sound moment of this commission is known; mend what is wrong first";
