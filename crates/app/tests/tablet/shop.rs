//! A shop for the tests: the server in a thread of its own, and a client that sends what it is told
//! to the letter.

use std::io::{Read, Write};
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use camberwright::server::{Limits, Options, TabletOptions, serve};

/// Nothing that is asked here takes longer, on a slow machine.
const PATIENCE: Duration = Duration::from_secs(20);

/// A place for a book that no other test uses.
pub fn book_path() -> PathBuf {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let name = format!(
        "tablet-{}-{}.book",
        std::process::id(),
        COUNT.fetch_add(1, Ordering::Relaxed)
    );
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(name)
}

/// Bench mode offered on loopback, at a free port.
pub fn at_loopback() -> TabletOptions {
    TabletOptions {
        at: Some(IpAddr::V4(Ipv4Addr::LOCALHOST)),
        port: Some(0),
        ..TabletOptions::default()
    }
}

/// A running server with the demo book.
pub struct Shop {
    pub maker: SocketAddr,
    pub book: PathBuf,
}

impl Shop {
    pub fn new(tablet: TabletOptions) -> Self {
        Self::with(Limits::MAKER, tablet)
    }

    pub fn with(limits: Limits, tablet: TabletOptions) -> Self {
        let (found, port) = mpsc::channel();
        let book = book_path();
        let options = Options {
            book: Some(book.clone()),
            demo: true,
            port: Some(0),
            limits,
            tablet,
        };
        // The thread ends with the test program.
        thread::spawn(move || {
            let served = serve(&options, |ready| {
                found.send(ready.port).expect("the test waits")
            });
            panic!("the server ended: {served:?}");
        });
        let port = port.recv_timeout(PATIENCE).expect("the server is ready");
        Self {
            maker: SocketAddr::from((Ipv4Addr::LOCALHOST, port)),
            book,
        }
    }

    /// The maker opens the bench; its address.
    pub fn open(&self) -> SocketAddr {
        let answer = Ask::post(self.maker, "/tablet/open", "address=127.0.0.1&lasts=43200").send();
        assert_eq!(answer.status, 303, "{}", answer.body);
        self.address().expect("the page names the address")
    }

    pub fn page(&self) -> String {
        Ask::get(self.maker, "/tablet").send().body
    }

    /// The address that the maker's page shows while the bench is open.
    pub fn address(&self) -> Option<SocketAddr> {
        between(&self.page(), "reach the bench at <strong>http://", "<")?
            .parse()
            .ok()
    }

    /// The code that the maker's page shows.
    pub fn code(&self) -> String {
        let page = self.page();
        between(&page, "class=\"digits\">", "<")
            .expect("the page shows a code")
            .replace(' ', "")
    }

    pub fn fresh_code(&self) -> String {
        let answer = Ask::post(self.maker, "/tablet/code", "lasts=43200").send();
        assert_eq!(answer.status, 303, "{}", answer.body);
        self.code()
    }

    /// Opens the bench and pairs a tablet.
    pub fn paired(&self) -> Tablet {
        let address = self.open();
        Tablet::pair(address, &self.code())
    }

    /// The number of a fresh copy of a commission, with nothing read or logged yet.
    pub fn copy(&self, title: &str) -> String {
        let form = format!("entry={}", self.commission(title));
        let made = Ask::post(self.maker, "/book/copy", &form).send();
        let address = made.header("location").expect("it is copied");
        let number = address
            .split('/')
            .nth(2)
            .expect("an address of a commission");
        number.to_owned()
    }

    /// The number of the commission with that title.
    pub fn commission(&self, title: &str) -> String {
        let book = Ask::get(self.maker, "/book").send().body;
        let before = book.split(&format!(">{title}<")).next().unwrap_or_default();
        let link = before.rsplit("/commission/").next().unwrap_or_default();
        link.split('/').next().unwrap_or_default().to_owned()
    }
}

/// A paired tablet.
pub struct Tablet {
    pub address: SocketAddr,
    pub cookie: String,
}

impl Tablet {
    pub fn pair(address: SocketAddr, code: &str) -> Self {
        let answer = try_code(address, code);
        assert_eq!(answer.status, 303, "{}", answer.body);
        let cookie = answer.header("set-cookie").expect("it is given a cookie");
        Self {
            address,
            cookie: cookie.split(';').next().unwrap_or_default().to_owned(),
        }
    }

    pub fn get(&self, path: &str) -> Answer {
        Ask::get(self.address, path)
            .line("Cookie", &self.cookie)
            .send()
    }

    pub fn post(&self, path: &str, form: &str) -> Answer {
        Ask::post(self.address, path, form)
            .line("Cookie", &self.cookie)
            .send()
    }
}

pub fn try_code(address: SocketAddr, code: &str) -> Answer {
    Ask::post(address, "/pair", &format!("code={code}&name=Bench+tablet")).send()
}

/// A request, whose lines may be set to anything.
#[derive(Clone)]
pub struct Ask {
    to: SocketAddr,
    method: &'static str,
    path: String,
    lines: Vec<(String, String)>,
    body: String,
}

impl Ask {
    pub fn get(to: SocketAddr, path: &str) -> Self {
        Self {
            to,
            method: "GET",
            path: path.to_owned(),
            lines: vec![("Host".into(), to.to_string())],
            body: String::new(),
        }
    }

    /// A form as a browser sends it from a page of that address.
    pub fn post(to: SocketAddr, path: &str, form: &str) -> Self {
        let mut ask = Self::get(to, path)
            .line("Origin", &format!("http://{to}"))
            .line("Content-Type", "application/x-www-form-urlencoded")
            .line("Content-Length", &form.len().to_string());
        (ask.method, ask.body) = ("POST", form.to_owned());
        ask
    }

    pub fn method(mut self, method: &'static str) -> Self {
        self.method = method;
        self
    }

    /// Sets a line of the head.
    pub fn line(mut self, name: &str, value: &str) -> Self {
        self.lines.retain(|(known, _)| known != name);
        self.lines.push((name.to_owned(), value.to_owned()));
        self
    }

    /// A line that stands there already, a second time.
    pub fn also(mut self, name: &str, value: &str) -> Self {
        self.lines.push((name.to_owned(), value.to_owned()));
        self
    }

    pub fn without(mut self, name: &str) -> Self {
        self.lines.retain(|(known, _)| known != name);
        self
    }

    /// The request as it goes over the line.
    pub fn text(&self) -> String {
        let lines: String = self
            .lines
            .iter()
            .map(|(name, value)| format!("{name}: {value}\r\n"))
            .collect();
        format!(
            "{} {} HTTP/1.1\r\n{lines}\r\n{}",
            self.method, self.path, self.body
        )
    }

    pub fn send(self) -> Answer {
        let ask = self.line("Connection", "close");
        let mut line = connect(ask.to).expect("there is a listener");
        line.write_all(ask.text().as_bytes())
            .expect("the request is taken");
        read_to_end(&mut line)
    }
}

pub fn connect(to: SocketAddr) -> std::io::Result<TcpStream> {
    let line = TcpStream::connect_timeout(&to, PATIENCE)?;
    line.set_read_timeout(Some(PATIENCE))?;
    line.set_write_timeout(Some(PATIENCE))?;
    Ok(line)
}

/// Whether anything takes a connection there.
pub fn is_reachable(at: SocketAddr) -> bool {
    TcpStream::connect_timeout(&at, PATIENCE).is_ok()
}

/// All that comes until the other side ends the line.
pub fn read_to_end(line: &mut TcpStream) -> Answer {
    let mut bytes = Vec::new();
    // A line that is broken after the answer has said all there was to say.
    let _broken_line = line.read_to_end(&mut bytes);
    Answer::new(&String::from_utf8_lossy(&bytes))
}

/// An answer; status 0 when the line ended without one.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    head: String,
    pub body: String,
}

impl Answer {
    fn new(text: &str) -> Self {
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((text, ""));
        let status = head
            .split(' ')
            .nth(1)
            .and_then(|status| status.parse().ok());
        Self {
            status: status.unwrap_or(0),
            head: head.to_owned(),
            body: body.to_owned(),
        }
    }

    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (known, value) = line.split_once(": ")?;
            known.eq_ignore_ascii_case(name).then_some(value)
        })
    }
}

/// What stands between two words of a text.
pub fn between<'t>(text: &'t str, before: &str, after: &str) -> Option<&'t str> {
    text.split_once(before)?.1.split(after).next()
}
