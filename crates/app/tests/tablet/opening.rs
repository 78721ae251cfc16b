//! What listens, and since when.

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use camberwright::server::TabletOptions;

use crate::shop::{Ask, Shop, at_loopback, book_path, connect, is_reachable};

/// The program itself, which ends with the test.
struct Program(Child);

impl Program {
    fn start() -> (Self, Shop) {
        let book = book_path();
        let mut child = Command::new(env!("CARGO_BIN_EXE_camberwright"))
            .args([
                "--demo",
                "--no-browser",
                "--port",
                "0",
                "--tablet-at",
                "127.0.0.1",
            ])
            .args(["--tablet-port", "0", "--book"])
            .arg(&book)
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let said = child.stderr.take().expect("it speaks");
        let mut line = String::new();
        BufReader::new(said)
            .read_line(&mut line)
            .expect("it says where it is");
        let address = line
            .split("http://")
            .nth(1)
            .and_then(|rest| rest.split('/').next());
        let address = address.and_then(|text| text.parse().ok());
        let maker = address.unwrap_or_else(|| panic!("no address in {line}"));
        (Self(child), Shop { maker, book })
    }

    /// The addresses that the program listens at, as the kernel tells (proc(5): `/proc/net/tcp`,
    /// state 0A is LISTEN, addresses in hexadecimal, the last byte of IPv4 first).
    #[cfg(target_os = "linux")]
    fn listens_at(&self) -> BTreeSet<String> {
        let process = format!("/proc/{}", self.0.id());
        let handles = std::fs::read_dir(format!("{process}/fd")).expect("it runs");
        let sockets: BTreeSet<String> = handles
            .filter_map(|handle| std::fs::read_link(handle.ok()?.path()).ok())
            .filter_map(|target| {
                let name = target.to_str()?.strip_prefix("socket:[")?.to_owned();
                Some(name.trim_end_matches(']').to_owned())
            })
            .collect();
        let tables = ["tcp", "tcp6", "udp", "udp6"].map(|table| {
            let text =
                std::fs::read_to_string(format!("{process}/net/{table}")).unwrap_or_default();
            let lines: Vec<Vec<String>> = text
                .lines()
                .skip(1)
                .map(|line| line.split_whitespace().map(str::to_owned).collect())
                .collect();
            (table, lines)
        });
        let mut found = BTreeSet::new();
        for (table, lines) in tables {
            for line in lines {
                let waits =
                    table.starts_with("udp") || line.get(3).is_some_and(|state| state == "0A");
                if waits && line.get(9).is_some_and(|inode| sockets.contains(inode)) {
                    found.insert(format!("{table} {}", line[1]));
                }
            }
        }
        found
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        let _ended_already = self.0.kill();
        let _ended = self.0.wait();
    }
}

#[cfg(target_os = "linux")]
fn at_loopback_port(address: SocketAddr) -> String {
    format!("tcp 0100007F:{:04X}", address.port())
}

#[test]
#[cfg(target_os = "linux")]
fn the_program_listens_on_loopback_only_and_at_the_bench_only_while_it_is_open() {
    let (program, shop) = Program::start();
    let maker = shop.maker;
    let alone = BTreeSet::from([at_loopback_port(maker)]);
    assert_eq!(program.listens_at(), alone);
    assert!(shop.page().contains("Closed"));
    let bench = shop.open();
    let both = BTreeSet::from([at_loopback_port(maker), at_loopback_port(bench)]);
    assert_eq!(program.listens_at(), both);
    assert_eq!(Ask::post(maker, "/tablet/close", "").send().status, 303);
    assert_eq!(program.listens_at(), alone);
    let bench = shop.open();
    drop(program);
    assert!(!is_reachable(bench), "it ends with the program");
}

#[test]
fn closing_breaks_off_what_is_connected() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let mut line = connect(tablet.address).expect("it is open");
    let ask = Ask::get(tablet.address, "/").line("Cookie", &tablet.cookie);
    line.write_all(ask.text().as_bytes()).expect("it is taken");
    let mut some = [0; 12];
    line.read_exact(&mut some).expect("it is answered");
    assert_eq!(&some, b"HTTP/1.1 200");
    Ask::post(shop.maker, "/tablet/close", "").send();
    assert!(!is_reachable(tablet.address));
    let mut rest = Vec::new();
    line.read_to_end(&mut rest)
        .expect("the line is ended, not kept waiting");
    assert!(shop.page().contains("Closed"));
    assert_eq!(shop.address(), None);
}

#[test]
fn without_use_it_closes_by_itself_and_a_stranger_is_no_use() {
    let shop = Shop::new(TabletOptions {
        idle: 3,
        ..at_loopback()
    });
    let tablet = shop.paired();
    let began = Instant::now();
    let mut last_use = began;
    while began.elapsed() < Duration::from_secs(5) {
        assert_eq!(tablet.get("/").status, 200, "use keeps it open");
        last_use = Instant::now();
        sleep(Duration::from_millis(500));
    }
    while is_reachable(tablet.address) {
        Ask::get(tablet.address, "/pair").send();
        assert!(
            last_use.elapsed() < Duration::from_secs(20),
            "it never closes"
        );
        sleep(Duration::from_millis(100));
    }
    assert!(
        last_use.elapsed() > Duration::from_millis(1_900),
        "closed after {:?}",
        last_use.elapsed()
    );
    let page = shop.page();
    assert!(
        page.contains("It closed by itself at") && page.contains("after 3 seconds without use"),
        "{page}"
    );
}

#[test]
fn an_address_that_is_not_this_computers_is_refused() {
    let shop = Shop::new(at_loopback());
    let answer = Ask::post(shop.maker, "/tablet/open", "address=192.0.2.77&lasts=43200").send();
    assert!(
        answer.body.contains("has no address 192.0.2.77"),
        "{}",
        answer.body
    );
    for form in ["address=0.0.0.0&lasts=43200", "address=%3A%3A&lasts=43200"] {
        let answer = Ask::post(shop.maker, "/tablet/open", form).send();
        assert!(answer.body.contains("Not done"), "{}", answer.body);
    }
    for form in [
        "address=nowhere&lasts=43200",
        "address=127.0.0.1&lasts=999999999",
        "lasts=43200",
    ] {
        assert_eq!(
            Ask::post(shop.maker, "/tablet/open", form).send().status,
            400,
            "{form}"
        );
    }
    assert_eq!(shop.address(), None);
}

#[test]
fn a_port_that_is_taken_is_told_and_nothing_is_open() {
    let other = std::net::TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a free port");
    let taken = other.local_addr().expect("it has an address");
    let shop = Shop::new(TabletOptions {
        at: Some(IpAddr::V4(Ipv4Addr::LOCALHOST)),
        port: Some(taken.port()),
        ..TabletOptions::default()
    });
    let answer = Ask::post(shop.maker, "/tablet/open", "address=127.0.0.1&lasts=43200").send();
    let words = format!("{taken} cannot be had");
    assert!(answer.body.contains(&words), "{}", answer.body);
    assert!(answer.body.contains("--tablet-port"), "{}", answer.body);
    assert_eq!(shop.address(), None);
}

#[test]
fn every_address_at_once_is_refused_on_the_command_line() {
    for address in ["0.0.0.0", "::"] {
        let output = Command::new(env!("CARGO_BIN_EXE_camberwright"))
            .args([
                "--no-browser",
                "--port",
                "0",
                "--tablet-at",
                address,
                "--book",
            ])
            .arg(book_path())
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(1), "{said}");
        assert!(said.contains("--tablet-at wants one address"), "{said}");
    }
}
