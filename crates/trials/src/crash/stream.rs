//! The stream of edits, as pages, bench mode and a tablet that sends again would send them.

use std::fmt::Write as _;
use std::io;

use super::Tally;
use super::known::{Deed, Known, Moment, Sent};
use crate::Chance;
use crate::served::{Answer, Client};

const HERON: &str = include_str!("../../../../demo/heron.toml");
const KIT: &str = include_str!("../../../../demo/north-bench.toml");
/// The relief in the demo's text, which every change sets anew.
const FIRST_RELIEF: &str = "0.15 mm";
/// The most lines of one batch of readings.
const LINES_MOST: usize = 120;

/// Why a stream of edits ended.
pub enum Stop {
    /// The program is gone; whether a page was shown before.
    Gone {
        /// See there.
        shown: bool,
    },
    /// Something was lost, or not answered as it should be.
    Wrong(String),
}

impl Stop {
    /// The same after the first page was shown.
    pub fn after_first_page(self) -> Stop {
        match self {
            Stop::Gone { .. } => Stop::Gone { shown: true },
            wrong @ Stop::Wrong(_) => wrong,
        }
    }
}

impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Stop {
        match error.kind() {
            io::ErrorKind::InvalidData | io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock => {
                Stop::Wrong(format!("no answer: {error}"))
            }
            _ => Stop::Gone { shown: false },
        }
    }
}

/// Edits over one connection.
pub struct Stream<'a> {
    pub client: Client,
    pub known: &'a mut Known,
    pub chance: &'a mut Chance,
    pub tally: &'a mut Tally,
}

impl Stream<'_> {
    /// Asks for the first page: it must show the last moment that was answered, or the one that
    /// was on its way.
    pub fn look(&mut self) -> Result<(), Stop> {
        let Some(commission) = self.known.commission else {
            return self.page("/book").map(drop);
        };
        let page = self.page(&format!("/commission/{commission}/text"))?;
        let seen = moment_on(&page)?;
        self.settle(&seen)
    }

    fn settle(&mut self, seen: &Moment) -> Result<(), Stop> {
        let Some(deed) = self.known.doubt.take() else {
            return self.is_now(seen);
        };
        let mut landed = self.known.clone();
        landed.land(&deed);
        match deed {
            Deed::Readings(at) => {
                // Sent again, with its key, as by somebody who never saw the answer.
                self.is_now(seen)?;
                self.known.doubt = Some(Deed::Readings(at));
                self.do_it(Deed::Readings(at))
            }
            Deed::Stage(_) => self.is_now(seen),
            _ if landed.now() == Some(seen) => {
                self.tally.on_the_way_stored += 1;
                *self.known = landed;
                Ok(())
            }
            _ => self.is_now(seen),
        }
    }

    fn is_now(&self, seen: &Moment) -> Result<(), Stop> {
        if self.known.now() == Some(seen) {
            return Ok(());
        }
        Err(Stop::Wrong(format!(
            "the commission is at {seen:?}, but {:?} was answered as stored",
            self.known.now()
        )))
    }

    /// Makes what is still missing, then sends one edit.
    pub fn one_deed(&mut self) -> Result<(), Stop> {
        let Some(commission) = self.known.commission else {
            return self.make_commission();
        };
        if self.known.visit.is_none() {
            return self.make_visit(commission);
        }
        if self.known.stage.is_none() {
            return self.find_stage(commission);
        }
        let deed = self.draw();
        self.do_it(deed)
    }

    fn draw(&mut self) -> Deed {
        match self.chance.whole(0, 99) {
            0..30 => Deed::Set(self.known.fresh()),
            30..45 => Deed::Text(self.known.fresh()),
            45..53 if self.known.line.len() > 1 => Deed::Undo,
            53..61 if !self.known.undone.is_empty() => Deed::Redo,
            45..75 => {
                let lines = match self.chance.percent(70) {
                    true => 1,
                    false => self.chance.whole(2, LINES_MOST),
                };
                let sent = self.sent(lines);
                self.known.readings.push(sent);
                Deed::Readings(self.known.readings.len() - 1)
            }
            _ => {
                let sent = self.sent(1);
                self.known.stages.push(sent);
                Deed::Stage(self.known.stages.len() - 1)
            }
        }
    }

    fn sent(&mut self, lines: usize) -> Sent {
        self.known.count += 1;
        Sent {
            mark: format!("note {} of the trial", self.known.count),
            lines,
            acknowledged: false,
        }
    }

    fn do_it(&mut self, deed: Deed) -> Result<(), Stop> {
        let lacking = || Stop::Wrong("an edit without a commission".into());
        let commission = self.known.commission.ok_or_else(lacking)?;
        let visit = self.known.visit.unwrap_or(0).to_string();
        let based_on = self.known.now().map_or(0, |now| now.revision).to_string();
        let at = |action: &str| format!("/commission/{commission}/{action}");
        self.known.doubt = Some(deed.clone());
        let answer = match &deed {
            Deed::Set(relief) => self.client.send(
                &at("set"),
                &[
                    ("page", "wish"),
                    ("fret", "9"),
                    ("lane", "1"),
                    ("based_on", &based_on),
                    ("path", "wish.relief"),
                    ("value", relief),
                ],
            ),
            Deed::Text(relief) => {
                let was = self.known.now().map_or("", |now| now.relief.as_str());
                let text = HERON.replace(&line(FIRST_RELIEF), &line(relief));
                let text = format!("{text}# after {was}\n").replace('\n', "\r\n");
                let fields = [("page", "text"), ("based_on", &based_on), ("text", &text)];
                self.client.send(&at("text"), &fields)
            }
            Deed::Undo => self.client.send(&at("undo"), &[("page", "wish")]),
            Deed::Redo => self.client.send(&at("redo"), &[("page", "wish")]),
            Deed::Readings(number) => {
                let sent = &self.known.readings[*number];
                send_readings(&mut self.client, commission, &visit, sent)
            }
            Deed::Stage(number) => {
                let stage = self.known.stage.clone().unwrap_or_default();
                let note = &self.known.stages[*number].mark;
                let fields = [
                    ("page", "bench-plan"),
                    ("based_on", based_on.as_str()),
                    ("stage", &stage),
                    ("minutes", "7.5"),
                    ("note", note),
                ];
                self.client.send(&at("stage-done"), &fields)
            }
        }?;
        stored(&answer, &format!("{deed:?}"))?;
        self.known.doubt = None;
        self.known.land(&deed);
        self.known.answer(&deed);
        Ok(())
    }

    /// A kit, then a commission that is planned with it. What was on its way at a kill is made
    /// anew: a maker who sees no answer looks into the book and does the same.
    fn make_commission(&mut self) -> Result<(), Stop> {
        let kit = self
            .client
            .send("/book/new", &[("start", "text"), ("text", KIT)])?;
        let kit = number_in(&stored(&kit, "a new kit")?, "/kit/")?;
        let made = self
            .client
            .send("/book/new", &[("start", "text"), ("text", HERON)])?;
        let commission = number_in(&stored(&made, "a new commission")?, "/commission/")?;
        let address = format!("/commission/{commission}/kit");
        let chosen = self.client.send(&address, &[("kit", &kit.to_string())])?;
        stored(&chosen, "the kit chosen")?;
        let page = self.page(&format!("/commission/{commission}/text"))?;
        let first = moment_on(&page)?;
        self.known.begin(commission, first);
        Ok(())
    }

    fn make_visit(&mut self, commission: i64) -> Result<(), Stop> {
        // A visit that was on its way keeps its name: another is asked for.
        self.known.count += 1;
        let name = format!("visit {}", self.known.count);
        let answer = self.client.send(
            &format!("/commission/{commission}/visit"),
            &[("name", &name), ("date", "2026-03-02"), ("stage", "")],
        )?;
        let visit = number_in(&stored(&answer, "a new visit")?, "visit=")?;
        self.known.visit = Some(visit);
        Ok(())
    }

    fn find_stage(&mut self, commission: i64) -> Result<(), Stop> {
        let page = self.page(&format!("/commission/{commission}/bench"))?;
        let stage = page
            .hidden("stage")
            .ok_or_else(|| Stop::Wrong("bench mode names no stage".into()))?;
        self.known.stage = Some(stage);
        Ok(())
    }

    fn page(&mut self, address: &str) -> Result<Answer, Stop> {
        let answer = self.client.get(address)?;
        match answer.status {
            200 => Ok(answer),
            status => Err(Stop::Wrong(format!("{address} answers {status}"))),
        }
    }
}

/// The line of a text that asks for a relief.
fn line(relief: &str) -> String {
    format!("relief = \"{relief}\"")
}

fn send_readings(
    client: &mut Client,
    commission: i64,
    visit: &str,
    sent: &Sent,
) -> io::Result<Answer> {
    if sent.lines == 1 {
        let fields = [
            ("visit", visit),
            ("kind", "thickness"),
            ("at", "fret 12"),
            ("across", "centre"),
            ("value", "7.24 mm"),
            ("note", &sent.mark),
            ("sent_key", &sent.mark),
        ];
        return client.send(&format!("/commission/{commission}/reading"), &fields);
    }
    let mut text = "kind,at,across,value,note\n".to_owned();
    for number in 0..sent.lines {
        let _cannot_fail = writeln!(
            text,
            "height,fret {},centre,0.1 mm,{}",
            number % 23,
            sent.mark
        );
    }
    let fields = [("visit", visit), ("sent_key", &sent.mark), ("text", &text)];
    client.send(&format!("/commission/{commission}/readings"), &fields)
}

/// Where a change that is stored leads on to; anything else is told with the page's own words.
fn stored(answer: &Answer, what: &str) -> Result<String, Stop> {
    match (answer.status, &answer.location) {
        (303, Some(location)) => Ok(location.clone()),
        (status, _) => {
            let text = answer.text();
            let notice = text.split("class=\"notice").nth(1).unwrap_or(&text);
            let said: String = notice.chars().take(300).collect();
            Err(Stop::Wrong(format!("{what} answers {status}: {said}")))
        }
    }
}

fn number_in(location: &str, after: &str) -> Result<i64, Stop> {
    let number = location.split_once(after).and_then(|(_, rest)| {
        let digits = rest.split(|c: char| !c.is_ascii_digit()).next();
        digits?.parse().ok()
    });
    number.ok_or_else(|| Stop::Wrong(format!("no number after {after} in {location}")))
}

/// The moment that a page with the commission's text shows.
fn moment_on(page: &Answer) -> Result<Moment, Stop> {
    let text = page.text();
    let relief = text
        .split_once("relief = &quot;")
        .and_then(|(_, rest)| rest.split("&quot;").next());
    let revision = page
        .hidden("based_on")
        .and_then(|number| number.parse().ok());
    match (relief, revision) {
        (Some(relief), Some(revision)) => Ok(Moment {
            revision,
            relief: relief.to_owned(),
        }),
        _ => Err(Stop::Wrong("the page Text shows no moment".into())),
    }
}
