//! Wood that moves: how proud fret ends stand when a board dries.

use instrument::Instrument;
use instrument::wish::Sawn;
use quantity::{Figure, Length, equilibrium_moisture_percent, width_change, wood};

/// What happens to the board between the shop's air and the player's.
#[derive(Clone, Debug, PartialEq)]
pub struct Movement {
    /// Moisture of the wood in the shop, percent of dry mass.
    pub shop_moisture: f64,
    /// Moisture of the wood at home, percent of dry mass.
    pub home_moisture: f64,
    /// Fraction of width for each percent of moisture, with its source.
    pub coefficient: Figure,
    /// How far each fret end then stands proud of the edge at the nut and at the last fret, mm;
    /// negative when the board grows over it.
    pub proud_mm: (f64, f64),
    /// The same at the last fret for the least and the greatest published coefficient, when
    /// sources differ.
    pub proud_range_mm: Option<(f64, f64)>,
    /// Change of the edge drop at the last fret, mm: second order.
    pub edge_drop_change_mm: f64,
    /// True when a moisture lies outside 6 to 14 %, where the coefficient was measured.
    pub outside_measured: bool,
}

/// The movement of the commission's wood; nothing when the wood or its figures are not known.
///
/// Width: `ΔD = D · C · ΔM`, with C radial for a quarter-sawn board and tangential for a
/// flat-sawn one (Wood Handbook FPL-GTR-190, eq. 13-2). The metal does not move, so that each
/// end stands proud by half the board's change. Along the grain, and so across a slot, wood
/// hardly moves: that is left out.
pub fn movement(instrument: &Instrument) -> Option<Movement> {
    let climate = instrument.climate;
    let wood = wood(&instrument.wood.name)?;
    let (across, through) = match climate.sawn {
        Sawn::Quarter => (wood.movement_radial, wood.movement_tangential),
        Sawn::Flat => (wood.movement_tangential, wood.movement_radial),
    };
    let coefficient = across?;
    let moisture = |humidity| equilibrium_moisture_percent(climate.temperature_c, humidity).ok();
    let (shop, home) = (
        moisture(climate.shop_humidity)?,
        moisture(climate.home_humidity)?,
    );
    let last_x = instrument.fret_x_mm(instrument.last_fret());
    let proud = |x: f64, coefficient: f64| {
        let width = Length::from_mm(instrument.outline.width(x));
        -0.5 * width_change(width, coefficient, home - shop).mm()
    };
    let drop = instrument::board::edge_drop_mm(&instrument.camber, &instrument.outline, last_x);
    let through = through.map_or(coefficient.value, |figure| figure.value);
    let range = coefficient.low.zip(coefficient.high);
    Some(Movement {
        shop_moisture: shop,
        home_moisture: home,
        proud_mm: (
            proud(0.0, coefficient.value),
            proud(last_x, coefficient.value),
        ),
        proud_range_mm: range.map(|(low, high)| (proud(last_x, low), proud(last_x, high))),
        edge_drop_change_mm: drop * through * (home - shop),
        outside_measured: [shop, home]
            .iter()
            .any(|percent| !(6.0..=14.0).contains(percent)),
        coefficient,
    })
}
