//! Who is let in at the bench, and what a paired tablet may do.

use std::thread::sleep;
use std::time::Duration;

use book::{Book, EntryId};
use camberwright::server::{Rate, TabletOptions};

use crate::shop::{Ask, Shop, Tablet, at_loopback, between, try_code};

/// Addresses that only the maker's own computer may ask for.
const MAKERS: [&str; 15] = [
    "/book",
    "/tablet",
    "/units",
    "/commission/1",
    "/commission/1/wish",
    "/commission/1/board",
    "/commission/1/bench-plan",
    "/commission/1/readings",
    "/commission/1/text",
    "/commission/1/commission.toml",
    "/commission/1/bench-plan.pdf",
    "/commission/1/patterns",
    "/commission/1/history",
    "/kit/1",
    "/commission/1/set-up-sheet.pdf",
];

/// Changes that only the maker's own computer may make.
const MAKERS_CHANGES: [&str; 16] = [
    "/tablet/open",
    "/tablet/close",
    "/tablet/code",
    "/tablet/part",
    "/book/new",
    "/book/copy",
    "/book/put-away",
    "/units",
    "/commission/1/set",
    "/commission/1/text",
    "/commission/1/undo",
    "/commission/1/kit",
    "/commission/1/visit",
    "/commission/1/readings",
    "/commission/1/set-aside",
    "/kit/1/set",
];

#[test]
fn the_code_on_the_makers_screen_pairs_a_tablet() {
    let shop = Shop::new(at_loopback());
    let bench = shop.open();
    let code = shop.code();
    assert!(
        code.len() == 8 && code.bytes().all(|digit| digit.is_ascii_digit()),
        "{code}"
    );
    let answer = try_code(bench, &format!("{}+{}", &code[..4], &code[4..]));
    assert_eq!((answer.status, answer.header("location")), (303, Some("/")));
    let cookie = answer.header("set-cookie").expect("a cookie").to_owned();
    for word in ["HttpOnly", "SameSite=Strict", "Path=/", "Max-Age=43200"] {
        assert!(cookie.contains(word), "{cookie}");
    }
    let secret = between(&cookie, "=", ";").expect("a value");
    assert!(
        secret.len() == 64 && secret.bytes().all(|sign| sign.is_ascii_hexdigit()),
        "{cookie}"
    );
    let page = Ask::get(bench, "/")
        .line("Cookie", cookie.split(';').next().unwrap_or_default())
        .send();
    assert_eq!(page.status, 200);
    assert!(page.body.contains("Heron") && page.body.contains("paired as Bench tablet"));
    assert!(
        shop.page().contains("Paired: <strong>Bench tablet"),
        "{}",
        shop.page()
    );
}

#[test]
fn the_secret_of_the_qr_code_is_asked_for_once_more_and_pairs_only_by_a_form() {
    let shop = Shop::new(TabletOptions {
        code_lasts: 60,
        ..at_loopback()
    });
    let bench = shop.open();
    // The page never shows the secret in letters; it is drawn. A wrong one stands for it here.
    let secret = "0123456789abcdef0123456789abcdef";
    assert!(!shop.page().contains("?with="));
    let page = Ask::get(bench, &format!("/pair?with={secret}")).send();
    assert_eq!(page.status, 200);
    assert!(
        page.header("set-cookie").is_none(),
        "looking at a link pairs nothing"
    );
    assert!(
        page.body
            .contains(&format!("name=\"with\" value=\"{secret}\""))
    );
    let answer = Ask::post(bench, "/pair", &format!("with={secret}&name=x")).send();
    assert_eq!(answer.status, 403);
}

#[test]
fn a_code_holds_once() {
    let shop = Shop::new(at_loopback());
    let bench = shop.open();
    let code = shop.code();
    assert_eq!(try_code(bench, &code).status, 303);
    let again = try_code(bench, &code);
    assert_eq!(again.status, 403);
    assert!(
        again.body.contains("this code does not hold"),
        "{}",
        again.body
    );
    assert!(again.header("set-cookie").is_none());
}

#[test]
fn a_code_that_is_too_old_does_not_hold() {
    let shop = Shop::new(TabletOptions {
        code_lasts: 1,
        ..at_loopback()
    });
    let bench = shop.open();
    let code = shop.code();
    sleep(Duration::from_millis(1_100));
    assert_eq!(try_code(bench, &code).status, 403);
    assert!(
        shop.page().contains("was not used within 1 second"),
        "{}",
        shop.page()
    );
}

#[test]
fn after_five_wrong_codes_the_right_one_does_not_hold_and_the_maker_is_told() {
    let shop = Shop::new(at_loopback());
    let bench = shop.open();
    let code = shop.code();
    let wrong = if code == "00000000" {
        "11111111"
    } else {
        "00000000"
    };
    for _ in 0..5 {
        assert_eq!(try_code(bench, wrong).status, 403);
    }
    assert_eq!(try_code(bench, &code).status, 403);
    assert!(
        shop.page().contains("Too many wrong tries"),
        "{}",
        shop.page()
    );
    assert_eq!(
        try_code(bench, &shop.fresh_code()).status,
        303,
        "another code holds"
    );
}

#[test]
fn another_code_takes_the_place_of_the_one_before() {
    let shop = Shop::new(at_loopback());
    let bench = shop.open();
    let before = shop.code();
    let code = shop.fresh_code();
    assert_ne!(before, code);
    assert_eq!(try_code(bench, &before).status, 403);
    assert_eq!(try_code(bench, &code).status, 303);
}

#[test]
fn closing_takes_the_code_back_and_keeps_what_is_paired() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let code = shop.fresh_code();
    Ask::post(shop.maker, "/tablet/close", "").send();
    let bench = shop.open();
    assert_eq!(try_code(bench, &code).status, 403);
    // A free port is another one each time here; a shop's stays the same, and the name with it.
    let secret = tablet.cookie.split('=').nth(1).unwrap_or_default();
    let cookie = format!("camberwright_bench_{}={secret}", bench.port());
    assert_eq!(
        Ask::get(bench, "/").line("Cookie", &cookie).send().status,
        200
    );
}

#[test]
fn a_tablet_that_is_not_paired_comes_no_further_than_the_pairing_page() {
    let shop = Shop::new(TabletOptions {
        strangers: Rate {
            at_once: 1e3,
            a_second: 1e3,
        },
        ..at_loopback()
    });
    let bench = shop.open();
    let heron = shop.commission("Heron");
    let first = Ask::get(bench, "/").send();
    assert_eq!(
        (first.status, first.header("location")),
        (303, Some("/pair"))
    );
    for path in
        MAKERS
            .iter()
            .copied()
            .chain(["/nowhere", "/assets", &format!("/commission/{heron}/bench")])
    {
        let answer = Ask::get(bench, path).send();
        assert_eq!(answer.status, 403, "{path}");
        assert!(!answer.body.contains("Heron"), "{path}");
    }
    for path in MAKERS_CHANGES.iter().copied().chain([
        "/",
        "/commission/1/reading",
        "/commission/1/stage-done",
    ]) {
        assert_eq!(
            Ask::post(bench, path, "bench=x").send().status,
            403,
            "{path}"
        );
    }
    for cookie in [
        "",
        "camberwright_bench=",
        "x=y; z",
        &format!("camberwright_bench_{}={}", bench.port(), "0".repeat(64)),
    ] {
        let answer = Ask::get(bench, &format!("/commission/{heron}/bench"))
            .line("Cookie", cookie)
            .send();
        assert_eq!(answer.status, 403, "{cookie}");
    }
    assert_eq!(Ask::get(bench, "/assets/style.css").send().status, 200);
}

#[test]
fn a_tablet_taken_away_is_out_at_once() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let other = Tablet::pair(tablet.address, &shop.fresh_code());
    let page = shop.page();
    let id = between(&page, "name=\"tablet\" value=\"", "\"")
        .expect("the page lists it")
        .to_owned();
    assert_eq!(
        Ask::post(shop.maker, "/tablet/part", &format!("tablet={id}"))
            .send()
            .status,
        303
    );
    let heron = shop.commission("Heron");
    let bench = format!("/commission/{heron}/bench");
    assert_eq!(tablet.get(&bench).status, 403);
    assert_eq!(
        tablet
            .post(&format!("/commission/{heron}/stage-done"), "bench=beam-P80")
            .status,
        403
    );
    assert_eq!(other.get(&bench).status, 200, "the other one stays");
    Ask::post(shop.maker, "/tablet/part", "tablet=all").send();
    assert_eq!(other.get(&bench).status, 403);
}

/// The lists of the book's page; what it says of its copies changes by itself.
fn entries(shop: &Shop) -> Vec<String> {
    let page = Ask::get(shop.maker, "/book").send().body;
    let links = page.split("href=\"/").skip(1);
    let link = |part: &str| part.split("</").next().unwrap_or_default().to_owned();
    links
        .map(link)
        .filter(|link| link.starts_with("commission/") || link.starts_with("kit/"))
        .collect()
}

#[test]
fn a_paired_tablet_may_do_nothing_but_bench_mode() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let before = entries(&shop);
    for path in MAKERS {
        let answer = tablet.get(path);
        assert_eq!(answer.status, 403, "{path}");
        assert!(answer.body.contains("done on the maker"), "{path}");
    }
    for path in MAKERS_CHANGES {
        let answer = tablet.post(
            path,
            "bench=x&title=Stranger&start=plain&entry=1&address=127.0.0.1&lasts=43200",
        );
        assert_eq!(answer.status, 403, "{path}");
    }
    assert_eq!(entries(&shop), before);
    let heron = shop.commission("Heron");
    let page = tablet.get(&format!("/commission/{heron}/bench"));
    assert_eq!(page.status, 200);
    for part in page.body.split("href=\"").skip(1) {
        let address = part.split('"').next().unwrap_or_default();
        let known = address == "/"
            || address == "/pair"
            || address.starts_with("/assets/")
            || address.starts_with('#')
            || address.starts_with(&format!("/commission/{heron}/bench?stage="));
        assert!(known, "bench mode on a tablet leads to {address}");
    }
}

fn reading(key: &str, value: &str) -> String {
    format!(
        "bench=beam-P120&visit=&date=2026-03-02&unit=mm&sent_key={key}&kind=thickness&at=fret+5&across=lane+2&value={value}"
    )
}

/// Every batch of readings of a commission, visit by visit.
fn batches(shop: &Shop, commission: &str) -> Vec<Vec<String>> {
    let book = Book::open(&shop.book).expect("the book is there");
    let commission = EntryId(commission.parse().expect("a number"));
    let visits = book.visits(commission).expect("it is a commission");
    let texts = |visit| {
        let batches = book.readings(visit).expect("the visit is there");
        batches.into_iter().map(|batch| batch.text).collect()
    };
    visits.iter().map(|visit| texts(visit.id)).collect()
}

#[test]
fn a_reading_sent_again_is_entered_once_and_begins_one_visit() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let heron = shop.copy("Heron");
    let path = format!("/commission/{heron}/reading");
    for _ in 0..3 {
        let answer = tablet.post(&path, &reading("k1", "6.2"));
        assert_eq!(answer.status, 303);
        let to = answer.header("location").unwrap_or_default();
        assert!(to.contains("/bench?stage=beam-P120"), "{to}");
    }
    let once = batches(&shop, &heron);
    assert!(
        once.len() == 1 && once[0].len() == 1 && once[0][0].contains("6.2"),
        "{once:?}"
    );
    // Another visit after the same stage in between: what was sent before is still known.
    let form = "name=later&date=2026-03-03&stage=beam-P120&page=readings";
    let visit = format!("/commission/{heron}/visit");
    assert_eq!(Ask::post(shop.maker, &visit, form).send().status, 303);
    assert_eq!(tablet.post(&path, &reading("k1", "6.2")).status, 303);
    assert_eq!(batches(&shop, &heron), [once[0].clone(), Vec::new()]);
    let other = tablet.post(&path, &reading("k1", "7.2"));
    assert_eq!(other.status, 200);
    assert!(
        other.body.contains("Not done"),
        "another figure under the same key is told"
    );
    assert_eq!(tablet.post(&path, &reading("k2", "7.2")).status, 303);
    assert_eq!(
        batches(&shop, &heron)[1].len(),
        1,
        "a new one joins the last visit after its stage"
    );
}

#[test]
fn a_reading_is_taken_in_the_unit_in_which_it_was_typed() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let heron = shop.copy("Heron");
    let changed = Ask::post(shop.maker, "/units", "unit=inch&back=/book").send();
    assert_eq!(changed.status, 303);
    let answer = tablet.post(
        &format!("/commission/{heron}/reading"),
        &reading("k1", "6.2"),
    );
    assert_eq!(answer.status, 303);
    let text = &batches(&shop, &heron)[0][0];
    assert!(text.contains("6.2") && !text.contains("6.2 in"), "{text}");
}

#[test]
fn a_stage_sent_again_is_logged_once() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let heron = shop.copy("Heron");
    let page = tablet.get(&format!("/commission/{heron}/bench")).body;
    let stage = between(&page, "name=\"stage\" value=\"", "\"")
        .expect("a stage")
        .to_owned();
    let form = |key: &str, minutes: &str| {
        format!(
            "bench={stage}&stage={stage}&minutes={minutes}&note=dust&sent_key={key}&page=bench-plan"
        )
    };
    let path = format!("/commission/{heron}/stage-done");
    for _ in 0..3 {
        assert_eq!(tablet.post(&path, &form("s1", "12")).status, 303);
    }
    let book = Book::open(&shop.book).expect("the book is there");
    let logged = || {
        let logs = book.stage_logs(EntryId(heron.parse().expect("a number")));
        logs.expect("it is a commission")
            .iter()
            .map(|log| log.minutes)
            .collect::<Vec<_>>()
    };
    assert_eq!(logged(), [12.0]);
    let other = tablet.post(&path, &form("s1", "13"));
    assert!(
        other.status == 200 && other.body.contains("Not done"),
        "other minutes under the same key are told"
    );
    assert_eq!(tablet.post(&path, &form("s2", "13")).status, 303);
    assert_eq!(logged(), [12.0, 13.0]);
}

#[test]
fn a_form_that_comes_from_no_stage_is_refused_in_the_tablets_own_words() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let heron = shop.commission("Heron");
    let answer = tablet.post(
        &format!("/commission/{heron}/reading"),
        "visit=1&kind=thickness&at=fret+5&value=6",
    );
    assert_eq!(answer.status, 400);
    assert!(
        answer.body.contains("Back to the bench") && !answer.body.contains("/book"),
        "{}",
        answer.body
    );
}

#[test]
fn a_name_is_shown_as_letters_whatever_it_says() {
    let shop = Shop::new(at_loopback());
    let bench = shop.open();
    let name = "%3Cscript%3Ealert(1)%3C%2Fscript%3E%0D%0ASet-Cookie%3A+a%3Db";
    let answer = Ask::post(bench, "/pair", &format!("code={}&name={name}", shop.code())).send();
    assert_eq!(answer.status, 303);
    assert!(
        answer
            .header("set-cookie")
            .is_some_and(|cookie| cookie.starts_with("camberwright_bench_"))
    );
    let page = shop.page();
    assert!(
        page.contains("&lt;script&gt;alert(1)") && !page.contains("<script>alert"),
        "{page}"
    );
}

#[test]
fn who_asks_too_often_is_told_to_wait_and_a_paired_tablet_is_not_hindered_by_it() {
    let shop = Shop::new(TabletOptions {
        strangers: Rate {
            at_once: 6.0,
            a_second: 0.1,
        },
        ..at_loopback()
    });
    let tablet = shop.paired();
    let answers: Vec<_> = (0..8)
        .map(|_| Ask::get(tablet.address, "/pair").send())
        .collect();
    let last = answers.last().expect("eight answers");
    assert_eq!(last.status, 429);
    let wait: u64 = last
        .header("retry-after")
        .and_then(|wait| wait.parse().ok())
        .expect("seconds");
    assert!(
        (1..=10).contains(&wait),
        "one token comes in ten seconds: {wait}"
    );
    assert!(last.body.contains("wait"), "{}", last.body);
    assert!(answers.iter().filter(|answer| answer.status == 200).count() <= 6);
    assert!((0..30).all(|_| tablet.get("/").status == 200));
}
