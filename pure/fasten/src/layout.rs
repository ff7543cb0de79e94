//! Where the bolts of a joint stand: around a circle or in rows.

use std::f64::consts::TAU;

/// Where a bolt stands, from the middle of the joint, in steps from bolt to bolt: to the
/// right, and downwards. Around a circle the radius is 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// To the right of the middle.
    pub right: f64,
    /// Below the middle.
    pub down: f64,
}

impl Place {
    /// How far out it stands, in whole rings around the middle.
    pub(crate) fn ring(self) -> f64 {
        self.right.abs().max(self.down.abs())
    }

    /// Its direction from the middle on a clock face, 0 to 360 degrees; 0 is up.
    pub(crate) fn clock_deg(self) -> f64 {
        self.right.atan2(-self.down).to_degrees().rem_euclid(360.0)
    }
}

/// Around a circle, bolt 1 at the top, on clockwise.
pub(crate) fn circle(bolts: u32) -> Vec<Place> {
    (0..bolts)
        .map(|bolt| {
            let (right, up) = (TAU * f64::from(bolt) / f64::from(bolts)).sin_cos();
            Place { right, down: -up }
        })
        .collect()
}

/// In rows, counted along each from the left, the upper row first; the first rows hold one
/// more where they are not equal, and each row is centred.
pub(crate) fn rows(bolts: u32, rows: u32) -> Vec<Place> {
    let mut places = Vec::new();
    let mut left = bolts;
    for row in 0..rows {
        let in_row = left.div_ceil(rows - row);
        left -= in_row;
        let down = f64::from(row) - f64::from(rows - 1) / 2.0;
        places.extend((0..in_row).map(|bolt| {
            let right = f64::from(bolt) - f64::from(in_row - 1) / 2.0;
            Place { right, down }
        }));
    }
    places
}
