//! The body: seven zones unrolled flat, scaled to the person, and the drawing they are tapped on.
//!
//! Lengths are centimetres on unrolled skin, `x` = across, `y` = up (see [`crate::site::Point`]).
//! Not here: rules about where to inject ([`crate::rules`]).
//!
//! Reading order: `sizes` (measures to dimensions), `zones` (dimensions to outlines), `patch` (an outline and
//! what can be asked of it), [`atlas`] (the drawing and the way to and from it), `faces` (where zones lie on
//! it), `figure` and `artwork` (its lines).

mod artwork;
pub mod atlas;
mod curve;
mod faces;
mod figure;
mod patch;
mod sizes;
mod zones;

pub use patch::{Margin, Patch};
pub use sizes::Measure;

use crate::person::Sizes;
use crate::site::Zone;

/// The seven patches of one person.
#[derive(Debug, Clone)]
pub struct Body {
    patches: [Patch; 7],
    assumed: Vec<Measure>,
}

impl Body {
    /// Patches from the person's measures, and from the reference adult's where a measure was not taken.
    ///
    /// # Units
    /// Centimetres; any finite positive measure gives a body (ranges are the door's to hold).
    /// # Source
    /// ANSUR II ratios and the choices named beside each in `sizes.rs` and `zones.rs`.
    pub fn of(sizes: &Sizes) -> Self {
        let dimensions = sizes::Dimensions::of(sizes);
        Self {
            patches: Zone::ALL.map(|zone| zones::patch(zone, &dimensions)),
            assumed: sizes::unknown(sizes),
        }
    }

    /// One zone's skin.
    pub fn patch(&self, zone: Zone) -> &Patch {
        &self.patches[zone as usize]
    }

    /// The measures that were not taken, for which the reference adult stands in; empty when all are known.
    pub fn assumed(&self) -> &[Measure] {
        &self.assumed
    }

    /// Those of [`Body::assumed`] that this zone's size depends on.
    pub fn assumed_for(&self, zone: Zone) -> Vec<Measure> {
        self.assumed
            .iter()
            .copied()
            .filter(|m| m.matters_to(zone))
            .collect()
    }
}

#[cfg(test)]
mod tests;
