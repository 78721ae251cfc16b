//! What the tests of the program's manners share: a folder of their own, the program started under
//! conditions, a request, and the system's means to make a disk full or a folder read-only.

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};

/// The program's file.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_camberwright");

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A folder that is removed at the end of the test.
pub struct Scratch(pub PathBuf);

impl Scratch {
    pub fn new(name: &str) -> Scratch {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let unique = format!("camberwright-{name}-{}-{count}", std::process::id());
        let folder = std::env::temp_dir().join(unique);
        fs::create_dir_all(&folder).expect("a folder can be made");
        Scratch(folder)
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _left_behind_is_harmless = fs::remove_dir_all(&self.0);
    }
}

/// Every file of a folder with its bytes.
pub fn everything_in(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let files = fs::read_dir(folder).expect("the folder can be read");
    files
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.is_file())
        .map(|path| {
            let name = path
                .file_name()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            (name, fs::read(&path).expect("a file"))
        })
        .collect()
}

/// The words on standard error.
pub fn words(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// A program that serves, or what it said when it ended instead.
pub enum Served {
    At(Serving),
    Ended(Output),
}

/// A program that serves; ended with the test.
pub struct Serving {
    pub child: Child,
    pub port: u16,
}

impl Drop for Serving {
    fn drop(&mut self) {
        let _gone_already = self.child.kill();
        let _ended = self.child.wait();
    }
}

/// The arguments that serve a book on a free port.
pub fn serving(book: &str) -> Vec<&str> {
    vec!["--no-browser", "--port", "0", "--book", book]
}

/// Runs a command until it names its address or ends.
#[allow(
    clippy::zombie_processes,
    reason = "who gets it serving ends it and waits for it"
)]
pub fn served(command: &mut Command) -> Served {
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut pipe = BufReader::new(child.stderr.take().expect("is piped"));
    let mut said = String::new();
    loop {
        let mut line = String::new();
        if pipe.read_line(&mut line).expect("words are text") == 0 {
            let mut output = child.wait_with_output().expect("the program ends");
            output.stderr = said.into_bytes();
            return Served::Ended(output);
        }
        said.push_str(&line);
        let port = line.split_once("http://127.0.0.1:").map(|(_, rest)| rest);
        if let Some(port) = port.and_then(|rest| rest.split('/').next()?.parse().ok()) {
            // What it says later is nobody's: a pipe that fills up must not stop it.
            std::thread::spawn(move || std::io::copy(&mut pipe, &mut std::io::sink()));
            return Served::At(Serving { child, port });
        }
    }
}

/// The program on a book.
pub fn serve(book: &Path) -> Served {
    served(Command::new(PROGRAM).args(serving(&book.display().to_string())))
}

impl Serving {
    /// Status and body of a page.
    pub fn get(&self, address: &str) -> (u16, String) {
        self.ask(&format!("GET {address} HTTP/1.1\r\n"), "")
    }

    /// Status and body of the answer to a form.
    pub fn send(&self, address: &str, form: &str) -> (u16, String) {
        self.ask(
            &format!(
                "POST {address} HTTP/1.1\r\nOrigin: http://127.0.0.1:{}\r\n\
                 Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n",
                self.port,
                form.len()
            ),
            form,
        )
    }

    fn ask(&self, head: &str, body: &str) -> (u16, String) {
        let here = SocketAddr::from((Ipv4Addr::LOCALHOST, self.port));
        let mut line = TcpStream::connect(here).expect("the program listens");
        let host = format!("Host: 127.0.0.1:{}\r\nConnection: close\r\n\r\n", self.port);
        line.write_all(format!("{head}{host}{body}").as_bytes())
            .expect("it reads");
        let mut answer = Vec::new();
        line.read_to_end(&mut answer).expect("it answers");
        let answer = String::from_utf8_lossy(&answer).into_owned();
        let (head, body) = answer.split_once("\r\n\r\n").unwrap_or((&answer, ""));
        let status = head.split(' ').nth(1).and_then(|code| code.parse().ok());
        (status.expect("a status"), body.to_owned())
    }
}

/// The program under a limit for the size of files, in units of 512 bytes as POSIX has it:
/// writing over it fails as on a full disk, with another number.
pub fn limited(blocks: u32, arguments: &[&str]) -> Command {
    let mut command = Command::new("sh");
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
    command.args(["-c", &script, PROGRAM]).args(arguments);
    command.current_dir(root());
    command
}

/// Whether a small disk of one's own can be had: needs `unshare`, and a kernel that allows it.
pub fn can_have_a_disk() -> bool {
    let tried = Command::new("unshare")
        .args([
            "-rm", "mount", "-t", "tmpfs", "-o", "size=64k", "none", "/mnt",
        ])
        .stderr(Stdio::null())
        .status();
    let can = tried.is_ok_and(|status| status.success());
    if !can {
        eprintln!("LEFT OUT: no small disk can be had here (unshare -rm, mount -t tmpfs)");
    }
    can
}

/// The program with a disk of that size of its own at a folder, after what shell words do there.
pub fn on_a_disk(folder: &Path, size: &str, before: &str, arguments: &[&str]) -> Command {
    // The shell becomes the program, so that whoever ends the one ends the other.
    with_a_disk(folder, size, before, "exec \"$0\" \"$@\"", arguments)
}

/// The same, and at the end the names of the files that lie there, on standard error.
pub fn on_a_disk_then_listed(folder: &Path, size: &str, arguments: &[&str]) -> Command {
    let then = format!(
        "\"$0\" \"$@\"; code=$?; find '{}' -type f >&2; exit $code",
        folder.display()
    );
    with_a_disk(folder, size, "true", &then, arguments)
}

fn with_a_disk(folder: &Path, size: &str, before: &str, then: &str, arguments: &[&str]) -> Command {
    let mut command = Command::new("unshare");
    let folder = folder.display();
    let script = format!(
        "mount -t tmpfs -o size={size} none '{folder}' && cd '{folder}' && {{ {before}; }} && {{ {then}; }}"
    );
    command
        .args(["-rm", "sh", "-c", &script, PROGRAM])
        .args(arguments);
    command
}

/// The program as somebody whom permissions bind. Nothing where the test runs as root and cannot
/// become somebody else.
pub fn as_nobody(arguments: &[&str]) -> Option<Command> {
    let own = Command::new("id").arg("-u").output().ok()?;
    let is_root = String::from_utf8_lossy(&own.stdout).trim() == "0";
    let mut command = match is_root {
        false => Command::new(PROGRAM),
        true => {
            let mut command = Command::new("setpriv");
            command.args([
                "--reuid",
                "65534",
                "--regid",
                "65534",
                "--clear-groups",
                PROGRAM,
            ]);
            command
        }
    };
    let ran = is_root
        .then(|| {
            let mut probe = Command::new("setpriv");
            probe.args(["--reuid", "65534", "--regid", "65534", "--clear-groups"]);
            probe.args([PROGRAM, "--version"]).output()
        })
        .transpose();
    let can = match ran {
        Ok(None) => true,
        Ok(Some(output)) => output.status.success(),
        Err(_) => false,
    };
    if !can {
        eprintln!("LEFT OUT: root cannot become somebody whom permissions bind (setpriv)");
        return None;
    }
    command.args(arguments).current_dir(root());
    Some(command)
}
