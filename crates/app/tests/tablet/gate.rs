//! Other sites, names pointed here, and path tricks, at both listeners.

use crate::shop::{Ask, Shop, at_loopback};

#[test]
fn a_form_from_another_origin_changes_nothing_at_either_listener() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let heron = shop.commission("Heron");
    let stage = format!("/commission/{heron}/stage-done");
    let form = "bench=beam-P80&stage=beam-P80&minutes=9&sent_key=x";
    let asks = [
        Ask::post(tablet.address, &stage, form).line("Cookie", &tablet.cookie),
        Ask::post(tablet.address, "/pair", "code=1&name=x"),
        Ask::post(shop.maker, "/book/new", "start=plain&title=Stranger"),
        Ask::post(shop.maker, "/tablet/open", "address=127.0.0.1&lasts=43200"),
        Ask::post(shop.maker, "/tablet/code", "lasts=43200"),
        Ask::post(shop.maker, "/tablet/part", "tablet=all"),
    ];
    let code = shop.fresh_code();
    for ask in &asks {
        for origin in [
            "http://elsewhere.example",
            "null",
            "http://127.0.0.1:1",
            &format!("https://{}", tablet.address),
        ] {
            assert_eq!(
                ask.clone().line("Origin", origin).send().status,
                403,
                "{origin}"
            );
        }
        for site in ["cross-site", "same-site"] {
            assert_eq!(
                ask.clone().line("Sec-Fetch-Site", site).send().status,
                403,
                "{site}"
            );
        }
    }
    assert_eq!(shop.code(), code, "the code is still the same");
    assert!(
        !Ask::get(shop.maker, "/book")
            .send()
            .body
            .contains("Stranger")
    );
    assert_eq!(tablet.get("/").status, 200, "and the tablet still paired");
    // One listener's pages are no pages of the other.
    let maker = format!("http://{}", shop.maker);
    assert_eq!(asks[0].clone().line("Origin", &maker).send().status, 403);
}

#[test]
fn at_the_bench_a_form_must_say_where_it_comes_from() {
    let shop = Shop::new(at_loopback());
    let bench = shop.open();
    let form = format!("code={}&name=x", shop.code());
    assert_eq!(
        Ask::post(bench, "/pair", &form)
            .without("Origin")
            .send()
            .status,
        403
    );
    assert_eq!(
        Ask::post(bench, "/pair", &form).send().status,
        303,
        "the try did not count"
    );
}

#[test]
fn a_name_pointed_at_this_computer_is_not_served_at_either_listener() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let (maker, bench) = (shop.maker, tablet.address);
    let names = |port: u16| {
        vec![
            "elsewhere.example".to_owned(),
            format!("elsewhere.example:{port}"),
            format!("127.0.0.1.elsewhere.example:{port}"),
            "127.0.0.1".to_owned(),
            "127.0.0.1:1".to_owned(),
            format!("0.0.0.0:{port}"),
            format!("2130706433:{port}"),
            String::new(),
        ]
    };
    for (address, path) in [(maker, "/book"), (bench, "/"), (bench, "/pair")] {
        let ask = Ask::get(address, path).line("Cookie", &tablet.cookie);
        assert_eq!(ask.clone().send().status, 200);
        for name in names(address.port()) {
            assert_eq!(
                ask.clone().line("Host", &name).send().status,
                421,
                "{path} {name:?}"
            );
        }
        let twice = ask.clone().also("Host", "elsewhere.example").send().status;
        assert!(matches!(twice, 400 | 421), "two names: {twice}");
        let none = ask.without("Host").send().status;
        assert!(matches!(none, 400 | 421), "no name: {none}");
    }
    // The bench is asked by its address alone; the maker's own names are the maker's.
    let local = format!("localhost:{}", bench.port());
    assert_eq!(
        Ask::get(bench, "/pair").line("Host", &local).send().status,
        421
    );
}

#[test]
fn path_tricks_lead_nowhere() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let heron = shop.commission("Heron");
    let tricks = [
        "/assets/../../etc/passwd",
        "/assets/..%2f..%2fetc%2fpasswd",
        "/assets/%2e%2e/%2e%2e/etc/passwd",
        "/..",
        "/../book",
        "//book",
        "//etc/passwd",
        "/assets/..;/book",
        "/assets//../book",
        "/pair/../book",
        "/pair/..%2fbook",
        "/assets/%00",
        "/assets/style.css%00.js",
        "/assets/%c0%ae%c0%ae/book",
        "/commission/1/bench/../wish",
        "/commission/1/bench%2f..%2fwish",
        "/commission/%2e%2e/kit/1",
        "/commission/1/..%5c..%5cbook",
        "/assets/..\\..\\book",
        "/BOOK",
        "/book/",
        "/commission/1;/wish",
        "/commission/9999999999999999999999/bench",
        "/commission/-1/bench",
        "/commission/1e0/bench",
    ];
    for trick in tricks {
        let (maker, bench) = (Ask::get(shop.maker, trick).send(), tablet.get(trick));
        assert!(
            matches!(maker.status, 400 | 404),
            "maker: {trick} answers {}",
            maker.status
        );
        assert!(
            matches!(bench.status, 400 | 403 | 404),
            "bench: {trick} answers {}",
            bench.status
        );
        for body in [maker.body, bench.body] {
            assert!(
                !body.contains("root:") && !body.contains("Every instrument"),
                "{trick}"
            );
        }
    }
    for address in ["http://elsewhere.example/book", "*", "book"] {
        let status = Ask::get(tablet.address, address)
            .line("Cookie", &tablet.cookie)
            .send()
            .status;
        assert!((400..=421).contains(&status), "{address} answers {status}");
    }
    for method in [
        "PUT", "DELETE", "PATCH", "TRACE", "CONNECT", "OPTIONS", "BREW",
    ] {
        let status = Ask::get(tablet.address, &format!("/commission/{heron}/bench"))
            .method(method)
            .line("Cookie", &tablet.cookie)
            .send()
            .status;
        assert!((400..500).contains(&status), "{method} answers {status}");
    }
}

#[test]
fn a_title_full_of_path_tricks_names_a_plain_file() {
    let shop = Shop::new(at_loopback());
    let title = "..%2F..%2Fetc%2Fpasswd%22%0D%0AX-Mark%3A+1%3B+name%3D%5C..%5C";
    let made = Ask::post(
        shop.maker,
        "/book/new",
        &format!("start=plain&title={title}"),
    )
    .send();
    let address = made
        .header("location")
        .expect("it is made")
        .trim_end_matches("/wish")
        .to_owned();
    let answer = Ask::get(shop.maker, &format!("{address}/commission.toml")).send();
    assert_eq!(answer.status, 200);
    assert!(answer.header("x-mark").is_none());
    let named = answer.header("content-disposition").expect("it has a name");
    let name = named
        .strip_prefix("inline; filename=\"")
        .and_then(|rest| rest.strip_suffix('"'))
        .expect("one name");
    assert!(
        name.chars()
            .all(|c| c.is_ascii_alphanumeric() || "-._".contains(c)),
        "{name}"
    );
}

#[test]
fn every_answer_carries_the_content_policy_at_both_listeners() {
    let shop = Shop::new(at_loopback());
    let tablet = shop.paired();
    let heron = shop.commission("Heron");
    let bench = format!("/commission/{heron}/bench");
    let mut answers = vec![
        Ask::get(shop.maker, "/tablet").send(),
        Ask::get(tablet.address, "/pair").send(),
    ];
    answers.extend(
        [
            "/",
            &bench,
            "/book",
            "/assets/outbox.js",
            "/assets/style.css",
        ]
        .map(|path| tablet.get(path)),
    );
    answers.push(Ask::get(tablet.address, &bench).send());
    answers.push(
        Ask::get(tablet.address, "/")
            .line("Host", "elsewhere.example")
            .send(),
    );
    answers.push(
        Ask::post(tablet.address, "/pair", "code=1")
            .line("Origin", "null")
            .send(),
    );
    for answer in answers {
        let policy = answer.header("content-security-policy").unwrap_or_default();
        assert!(
            policy.contains("default-src 'none'") && !policy.contains("unsafe"),
            "{answer:?}"
        );
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("same-origin"));
        assert!(answer.header("access-control-allow-origin").is_none());
    }
}
