//! Frets as wire and slots: sizes that the maker gave, and how deep a slot must be.

/// The floor that the saw leaves in a slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SlotFloor {
    /// A straight saw: the floor is flat, so that the slot is shallower at the edges.
    Flat,
    /// The floor follows the camber.
    FollowsCamber,
}

/// Wire and slots, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FretSpec {
    /// Height of the crown over the wood.
    pub crown_height_mm: f64,
    /// Width of the crown.
    pub crown_width_mm: f64,
    /// How far the tang reaches into the wood.
    pub tang_depth_mm: f64,
    /// Width of the slot.
    pub slot_width_mm: f64,
    /// What the saw leaves.
    pub slot_floor: SlotFloor,
    /// Air left under the tang.
    pub clearance_mm: f64,
    /// Width of the tang without its barbs, when known.
    pub tang_width_mm: Option<f64>,
    /// Width over the barbs, when known.
    pub barb_width_mm: Option<f64>,
    /// Wire left proud of the edge on each side, to be dressed.
    pub wire_overhang_mm: f64,
    /// Length of the sticks in which the wire comes.
    pub stick_length_mm: f64,
    /// The wire's bend over the fret's own arc: less than 1 is tighter.
    pub bend_ratio: f64,
}

impl FretSpec {
    /// How deep a slot must be under the crown, mm: tang and clearance, and on a flat floor
    /// the drop at the slot's ends besides, because the floor does not follow the wood down.
    pub fn slot_depth_mm(&self, drop_at_slot_end_mm: f64) -> f64 {
        let tang = self.tang_depth_mm + self.clearance_mm;
        match self.slot_floor {
            SlotFloor::Flat => tang + drop_at_slot_end_mm,
            SlotFloor::FollowsCamber => tang,
        }
    }

    /// How the tang sits in the slot, from the figures given.
    pub fn fit(&self) -> SlotFit {
        let (Some(tang), Some(barbs)) = (self.tang_width_mm, self.barb_width_mm) else {
            return SlotFit::Unknown;
        };
        if self.slot_width_mm < tang {
            SlotFit::Tight {
                by_mm: tang - self.slot_width_mm,
            }
        } else if self.slot_width_mm >= barbs {
            SlotFit::Loose {
                by_mm: self.slot_width_mm - barbs,
            }
        } else {
            SlotFit::Holds {
                grip_mm: barbs - self.slot_width_mm,
            }
        }
    }
}

/// How a tang sits in its slot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SlotFit {
    /// Tang or barb width was not given.
    Unknown,
    /// The slot is narrower than the tang: it wedges, and many such bow the neck back.
    Tight {
        /// By so much, mm.
        by_mm: f64,
    },
    /// The barbs bite.
    Holds {
        /// Barb width over slot width, mm.
        grip_mm: f64,
    },
    /// The barbs do not reach the walls: frets lift.
    Loose {
        /// By so much, mm.
        by_mm: f64,
    },
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spec() -> FretSpec {
        FretSpec {
            crown_height_mm: 1.2,
            crown_width_mm: 2.4,
            tang_depth_mm: 1.6,
            slot_width_mm: 0.55,
            slot_floor: SlotFloor::Flat,
            clearance_mm: 0.2,
            tang_width_mm: Some(0.5),
            barb_width_mm: Some(0.8),
            wire_overhang_mm: 2.0,
            stick_length_mm: 300.0,
            bend_ratio: 0.85,
        }
    }

    #[test]
    fn a_flat_floor_needs_the_edge_drop_besides() {
        assert!((spec().slot_depth_mm(0.94) - 2.74).abs() < 1e-12);
        let follows = FretSpec {
            slot_floor: SlotFloor::FollowsCamber,
            ..spec()
        };
        assert!((follows.slot_depth_mm(0.94) - 1.8).abs() < 1e-12);
    }

    #[test]
    fn the_fit_is_read_off_the_three_widths() {
        assert!(
            matches!(spec().fit(), SlotFit::Holds { grip_mm } if (grip_mm - 0.25).abs() < 1e-12)
        );
        let fit = |slot_width_mm| {
            FretSpec {
                slot_width_mm,
                ..spec()
            }
            .fit()
        };
        assert!(matches!(fit(0.45), SlotFit::Tight { .. }));
        assert!(matches!(fit(0.85), SlotFit::Loose { .. }));
        assert_eq!(
            FretSpec {
                tang_width_mm: None,
                ..spec()
            }
            .fit(),
            SlotFit::Unknown
        );
    }
}
