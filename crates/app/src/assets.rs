//! The style sheet, the script and the icon, carried in the program.

use std::sync::LazyLock;

/// The style sheet: the inks of the pictures and the pages' own rules.
pub static STYLE: LazyLock<String> = LazyLock::new(|| {
    format!(
        "{}\n{}",
        drawing::ink_style_sheet(),
        include_str!("../assets/style.css")
    )
});

/// The one small script: it swaps parts of a page when a value or the pointer changes.
pub const SCRIPT: &str = include_str!("../assets/follow.js");

/// The script of bench mode: it keeps what is entered until it is sent.
pub const OUTBOX: &str = include_str!("../assets/outbox.js");

/// The icon: a board's section under a gauge.
pub const ICON: &str = include_str!("../assets/icon.svg");

/// Addresses carry a mark of the content, so that a new program never meets an old copy.
fn marked(name: &str, content: &str) -> String {
    let mark = content
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325_u64, |mark, byte| {
            (mark ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
    format!("/assets/{name}?{mark:016x}")
}

/// Address of the style sheet.
pub fn style_address() -> &'static str {
    static ADDRESS: LazyLock<String> = LazyLock::new(|| marked("style.css", &STYLE));
    &ADDRESS
}

/// Address of the script.
pub fn script_address() -> &'static str {
    static ADDRESS: LazyLock<String> = LazyLock::new(|| marked("follow.js", SCRIPT));
    &ADDRESS
}

/// Address of bench mode's script.
pub fn outbox_address() -> &'static str {
    static ADDRESS: LazyLock<String> = LazyLock::new(|| marked("outbox.js", OUTBOX));
    &ADDRESS
}

/// Address of the icon.
pub fn icon_address() -> &'static str {
    static ADDRESS: LazyLock<String> = LazyLock::new(|| marked("icon.svg", ICON));
    &ADDRESS
}
