//! Numbers without a unit.

use instrument::read_commission;

/// Packets of strings give inches without saying so, `.070` (common practice, no source).
#[test]
fn a_gauge_from_the_packet_is_asked_for_its_unit_and_never_taken_as_millimetres() {
    let heron = include_str!("../../../demo/heron.toml");
    let read = |gauge: &str| {
        let text = heron.replacen("gauge = \"0.010 in\"", &format!("gauge = {gauge}"), 1);
        assert_ne!(text, heron);
        read_commission(&text, &|_| Err(String::new()))
    };
    for (bare, inches) in [
        ("\".070\"", "0.07 in"),
        ("0.019", "0.019 in"),
        ("\"0.010\"", "0.01 in"),
    ] {
        let faults = read(bare).expect_err("is no gauge in millimetres");
        let fault = &faults.0[0];
        assert!(fault.place.ends_with("gauge"), "{}", fault.place);
        let way_out = &fault.way_out;
        assert!(way_out.contains(&format!("\"{inches}\"")), "{way_out}");
    }
    assert!(read("0.254").is_ok(), "a gauge in millimetres is one");
}
