//! Requests as the pages send them, over one connection that is kept.

use std::io::{self, BufRead, BufReader, ErrorKind, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::time::Duration;

/// No answer takes so long; one that does is told as an error.
const PATIENCE: Duration = Duration::from_secs(60);

/// One connection to the program, made when it is needed and kept while the program keeps it.
pub struct Client {
    port: u16,
    line: Option<BufReader<TcpStream>>,
}

/// What came back.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The status code.
    pub status: u16,
    /// Where to go on, when the answer says so.
    pub location: Option<String>,
    /// The body.
    pub body: Vec<u8>,
}

impl Answer {
    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// The value of the first hidden field of that name on a page.
    pub fn hidden(&self, name: &str) -> Option<String> {
        let mark = format!("name=\"{name}\" value=\"");
        let text = self.text();
        let from = text.find(&mark)? + mark.len();
        text[from..].split('"').next().map(str::to_owned)
    }
}

impl Client {
    /// A client of the program that serves on that port; nothing is sent yet.
    pub fn new(port: u16) -> Self {
        Self { port, line: None }
    }

    /// Asks for a page or a file.
    ///
    /// # Errors
    /// When the connection breaks, or what comes is no answer.
    pub fn get(&mut self, address: &str) -> io::Result<Answer> {
        let head = format!("GET {address} HTTP/1.1\r\nHost: {}\r\n\r\n", self.host());
        self.ask(head.as_bytes())
    }

    /// Sends a form, with the headers that a browser gives it along.
    ///
    /// # Errors
    /// As [`get`](Self::get).
    pub fn send(&mut self, address: &str, fields: &[(&str, &str)]) -> io::Result<Answer> {
        let form = form(fields);
        let host = self.host();
        let request = format!(
            "POST {address} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\n\
             Sec-Fetch-Site: same-origin\r\nContent-Type: application/x-www-form-urlencoded\r\n\
             Content-Length: {}\r\n\r\n{form}",
            form.len()
        );
        self.ask(request.as_bytes())
    }

    fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    fn ask(&mut self, request: &[u8]) -> io::Result<Answer> {
        let mut line = match self.line.take() {
            Some(line) => line,
            None => connect(self.port)?,
        };
        line.get_mut().write_all(request)?;
        let (answer, stays) = read_answer(&mut line)?;
        self.line = stays.then_some(line);
        Ok(answer)
    }
}

fn connect(port: u16) -> io::Result<BufReader<TcpStream>> {
    let stream = TcpStream::connect(SocketAddr::from((Ipv4Addr::LOCALHOST, port)))?;
    // A request is one piece: it need not wait for more.
    stream.set_nodelay(true)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    Ok(BufReader::new(stream))
}

/// Fields as a form's body.
pub(crate) fn form(fields: &[(&str, &str)]) -> String {
    let coded = |text: &str| -> String {
        text.bytes()
            .map(|byte| match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' => {
                    char::from(byte).to_string()
                }
                b' ' => "+".to_owned(),
                other => format!("%{other:02X}"),
            })
            .collect()
    };
    let pairs: Vec<String> = fields
        .iter()
        .map(|(name, value)| format!("{}={}", coded(name), coded(value)))
        .collect();
    pairs.join("&")
}

/// Reads one answer (RFC 9112); says too whether the connection stays.
fn read_answer(line: &mut BufReader<TcpStream>) -> io::Result<(Answer, bool)> {
    let status_line = text_line(line)?;
    let status = status_line
        .split(' ')
        .nth(1)
        .and_then(|code| code.parse().ok())
        .ok_or_else(|| broken("no status"))?;
    let (mut length, mut chunked, mut location, mut stays) = (None, false, None, true);
    loop {
        let header = text_line(line)?;
        if header.is_empty() {
            break;
        }
        let (name, value) = header.split_once(':').ok_or_else(|| broken("no header"))?;
        let value = value.trim();
        match name.to_ascii_lowercase().as_str() {
            "content-length" => length = value.parse::<usize>().ok(),
            "transfer-encoding" => chunked = value.eq_ignore_ascii_case("chunked"),
            "location" => location = Some(value.to_owned()),
            "connection" => stays = !value.eq_ignore_ascii_case("close"),
            _ => {}
        }
    }
    let body = match (chunked, length) {
        (true, _) => chunks(line)?,
        (false, Some(length)) => exactly(line, length)?,
        (false, None) => return Err(broken("the answer does not say how long it is")),
    };
    let answer = Answer {
        status,
        location,
        body,
    };
    Ok((answer, stays))
}

fn chunks(line: &mut BufReader<TcpStream>) -> io::Result<Vec<u8>> {
    let mut body = Vec::new();
    loop {
        let size = text_line(line)?;
        let size = usize::from_str_radix(size.split(';').next().unwrap_or(""), 16)
            .map_err(|_| broken("no size of a chunk"))?;
        body.extend(exactly(line, size)?);
        text_line(line)?;
        if size == 0 {
            return Ok(body);
        }
    }
}

fn exactly(line: &mut impl Read, bytes: usize) -> io::Result<Vec<u8>> {
    let mut body = vec![0; bytes];
    line.read_exact(&mut body)?;
    Ok(body)
}

fn text_line(line: &mut BufReader<TcpStream>) -> io::Result<String> {
    let mut text = String::new();
    if line.read_line(&mut text)? == 0 {
        return Err(io::Error::from(ErrorKind::UnexpectedEof));
    }
    Ok(text.trim_end().to_owned())
}

fn broken(what: &str) -> io::Error {
    io::Error::new(ErrorKind::InvalidData, what.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_is_coded_as_browsers_do() {
        // The URL standard, application/x-www-form-urlencoded serializing; `*` is coded too here.
        assert_eq!(
            form(&[("value", "11 1/2 in"), ("note", "a&b=½")]),
            "value=11+1%2F2+in&note=a%26b%3D%C2%BD"
        );
    }
}
