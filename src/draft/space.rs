//! Points in space.

/// A point in space, in millimetres: across, up, and away from the eye.
pub type Spatial = [f64; 3];
