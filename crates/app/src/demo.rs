//! The demo book's texts: four commissions and a kit, all invented.

/// A demo text: its file name and its content.
pub struct DemoText {
    /// The name of its file.
    pub file: &'static str,
    /// The whole text.
    pub text: &'static str,
}

/// The commissions of the demo.
pub const COMMISSIONS: [DemoText; 4] = [
    DemoText {
        file: "heron.toml",
        text: include_str!("../../../demo/heron.toml"),
    },
    DemoText {
        file: "sandpiper.toml",
        text: include_str!("../../../demo/sandpiper.toml"),
    },
    DemoText {
        file: "bittern.toml",
        text: include_str!("../../../demo/bittern.toml"),
    },
    DemoText {
        file: "avocet.toml",
        text: include_str!("../../../demo/avocet.toml"),
    },
];

/// Readings of Heron at three visits.
pub const READINGS: DemoText = DemoText {
    file: "heron-readings.csv",
    text: include_str!("../../../demo/heron-readings.csv"),
};

/// The kit of the demo.
pub const KIT: DemoText = DemoText {
    file: "north-bench.toml",
    text: include_str!("../../../demo/north-bench.toml"),
};
