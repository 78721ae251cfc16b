//! Sizes, numbers and times that a listener puts up with.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

use camberwright::server::{Limits, TabletOptions};

use crate::shop::{Ask, Shop, Tablet, at_loopback, connect, read_to_end};

const SHORT: Duration = Duration::from_millis(700);

/// Limits that a test can wait for.
fn impatient(limits: Limits) -> Limits {
    Limits {
        head: SHORT,
        form: SHORT,
        ..limits
    }
}

fn impatient_shop() -> (Shop, Tablet) {
    let tablet = TabletOptions {
        limits: impatient(Limits::TABLET),
        ..at_loopback()
    };
    let shop = Shop::with(impatient(Limits::MAKER), tablet);
    let tablet = shop.paired();
    (shop, tablet)
}

#[test]
fn a_form_that_is_too_large_is_refused_in_words_at_both_listeners() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let answer = Ask::post(
        shop.maker,
        "/book/new",
        &format!("start=text&text={}", "a".repeat(6 << 20)),
    )
    .send();
    assert_eq!(answer.status, 413);
    assert!(answer.body.contains("larger than 4 MB"), "{}", answer.body);
    let form = format!("bench=x&note={}", "a".repeat(100 << 10));
    let answer = tablet.post("/commission/1/stage-done", &form);
    assert_eq!(answer.status, 413);
    assert!(answer.body.contains("larger than 64 kB"), "{}", answer.body);
    assert_eq!(tablet.get("/").status, 200, "the program lives on");
}

/// A form in chunks says no size beforehand (RFC 9112, section 7.1).
#[test]
fn a_form_that_says_no_size_is_cut_off_at_the_limit() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let ask = Ask::post(tablet.address, "/commission/1/stage-done", "")
        .without("Content-Length")
        .line("Transfer-Encoding", "chunked")
        .line("Cookie", &tablet.cookie);
    let mut line = connect(tablet.address).expect("it is open");
    line.write_all(ask.text().as_bytes())
        .expect("the head is taken");
    let chunk = format!("4000\r\n{}\r\n", "a".repeat(0x4000));
    // Once it has answered it takes nothing more.
    let taken = (0..64)
        .take_while(|_| line.write_all(chunk.as_bytes()).is_ok())
        .count();
    assert!(taken >= 4, "{taken} chunks");
    assert_eq!(read_to_end(&mut line).status, 413);
    assert_eq!(tablet.get("/").status, 200, "the program lives on");
}

#[test]
fn readings_of_a_probe_larger_than_other_forms_are_taken() {
    let shop = Shop::new(at_loopback());
    let heron = shop.commission("Heron");
    let form = "name=probe&date=2026-03-02&stage=&page=readings";
    let made = Ask::post(shop.maker, &format!("/commission/{heron}/visit"), form).send();
    let visit = made
        .header("location")
        .and_then(|to| to.split("visit=").nth(1))
        .and_then(|rest| rest.split('&').next())
        .expect("a visit")
        .to_owned();
    let lines: String = (0..300_000)
        .map(|n| format!("{}.0,{}.0,-0.01%0A", n % 400, n % 30 - 15))
        .collect();
    let form = format!("visit={visit}&page=readings&sent_key=probe&text=x,y,z%0A{lines}");
    assert!(
        form.len() > Limits::MAKER.form_bytes,
        "{} bytes",
        form.len()
    );
    let answer = Ask::post(shop.maker, &format!("/commission/{heron}/readings"), &form).send();
    assert_ne!(answer.status, 413);
}

#[test]
fn a_head_with_too_many_or_too_long_lines_is_refused() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    for (at, path) in [(shop.maker, "/book"), (tablet.address, "/pair")] {
        let many = (0..200).fold(Ask::get(at, path), |ask, n| {
            ask.line(&format!("X-{n}"), "a")
        });
        assert_eq!(many.send().status, 431, "RFC 6585, section 5");
        let long = Ask::get(at, path).line("X-Long", &"a".repeat(64 << 10));
        let status = send_past_refusal(at, &long);
        assert_eq!(status, 431);
        assert_eq!(Ask::get(at, path).send().status, 200);
    }
}

/// Sends all that is taken, and reads what was answered meanwhile.
fn send_past_refusal(at: SocketAddr, ask: &Ask) -> u16 {
    let mut line = connect(at).expect("it is open");
    for part in ask.text().as_bytes().chunks(4096) {
        if line.write_all(part).is_err() {
            break;
        }
    }
    read_to_end(&mut line).status
}

/// How long until the other side ends the line, while `drip` is sent on and on.
fn ended_after(line: &mut TcpStream, drip: &[u8]) -> Duration {
    let began = Instant::now();
    line.set_read_timeout(Some(Duration::from_millis(50)))
        .expect("a timeout can be set");
    let mut some = [0; 1024];
    loop {
        match line.read(&mut some) {
            Ok(0) => return began.elapsed(),
            Ok(_) => {}
            Err(error)
                if matches!(
                    error.kind(),
                    std::io::ErrorKind::WouldBlock | std::io::ErrorKind::TimedOut
                ) =>
            {
                if line.write_all(drip).is_err() {
                    return began.elapsed();
                }
            }
            Err(_) => return began.elapsed(),
        }
        assert!(
            began.elapsed() < Duration::from_secs(15),
            "the line is never ended"
        );
    }
}

#[test]
fn a_head_that_comes_drop_by_drop_is_waited_for_no_longer_than_the_limit() {
    let (shop, tablet) = impatient_shop();
    for at in [shop.maker, tablet.address] {
        let mut line = connect(at).expect("it is open");
        line.write_all(b"GET /pair HTTP/1.1\r\nX-Slow: ")
            .expect("it is taken");
        let ended = ended_after(&mut line, b"a");
        assert!(ended >= SHORT - Duration::from_millis(100), "{ended:?}");
        let mut silent = connect(at).expect("it is open");
        ended_after(&mut silent, b"");
    }
}

#[test]
fn a_form_that_comes_drop_by_drop_is_refused_after_the_limit() {
    let (shop, tablet) = impatient_shop();
    for (at, path) in [
        (shop.maker, "/book/new"),
        (tablet.address, "/commission/1/stage-done"),
    ] {
        let ask = Ask::post(at, path, "")
            .line("Content-Length", "5000")
            .line("Cookie", &tablet.cookie);
        let mut line = connect(at).expect("it is open");
        line.write_all(ask.text().as_bytes())
            .expect("the head is taken");
        line.write_all(b"a=b").expect("the beginning is taken");
        let answer = read_to_end(&mut line);
        assert_eq!(answer.status, 408, "{answer:?}");
        assert!(
            answer.body.contains("nothing of it is stored"),
            "{}",
            answer.body
        );
    }
}

#[test]
fn a_connection_that_lies_idle_is_ended() {
    let (shop, _) = impatient_shop();
    let mut line = connect(shop.maker).expect("it is open");
    line.write_all(Ask::get(shop.maker, "/assets/icon.svg").text().as_bytes())
        .expect("it is taken");
    ended_after(&mut line, b"");
}

#[test]
fn one_address_holds_no_more_connections_than_it_may_and_gets_them_back() {
    let shop = Shop::new(TabletOptions {
        limits: Limits {
            connections_of_one: 4,
            ..Limits::TABLET
        },
        ..at_loopback()
    });
    let tablet = shop.paired();
    let held: Vec<TcpStream> = (0..4)
        .map(|_| connect(tablet.address).expect("it is open"))
        .collect();
    // The fifth is taken by the kernel and closed by the program without an answer.
    let fifth = std::panic::catch_unwind(|| Ask::get(tablet.address, "/pair").send().status);
    assert!(matches!(fifth, Ok(0) | Err(_)), "{fifth:?}");
    assert_eq!(
        Ask::get(shop.maker, "/tablet").send().status,
        200,
        "the maker is not hindered"
    );
    drop(held);
    let freed = (0..100).any(|_| {
        std::thread::sleep(Duration::from_millis(20));
        std::panic::catch_unwind(|| tablet.get("/").status).is_ok_and(|status| status == 200)
    });
    assert!(freed, "seats that are free again are given again");
}
