//! From a person's four measures to the lengths the zones are drawn with, by ratios.
//!
//! "ANSUR II" is the mean of the women's mean ratio and the men's mean ratio in the extracts under
//! `tests/fixtures/ansur2` (1,986 women, 4,082 men; Gordon et al. 2014, Natick/TR-15/007). Those people are
//! soldiers, younger and leaner than most people who inject. Not here: the outlines (`zones`).

use crate::person::Sizes;
use crate::site::Zone;

/// A body measure that a patch is scaled by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Measure {
    /// Standing height.
    Height,
    /// Girth at the navel.
    Waist,
    /// Girth of the upper thigh.
    Thigh,
    /// Girth of the upper arm.
    UpperArm,
}

impl Measure {
    /// All four, in the order they are asked for.
    pub const ALL: [Self; 4] = [Self::Height, Self::Waist, Self::Thigh, Self::UpperArm];

    /// The word used in files and at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::Height => "height_cm",
            Self::Waist => "waist_cm",
            Self::Thigh => "thigh_cm",
            Self::UpperArm => "upper_arm_cm",
        }
    }

    /// The measure as a person would say it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Height => "height",
            Self::Waist => "waist girth",
            Self::Thigh => "thigh girth",
            Self::UpperArm => "upper arm girth",
        }
    }

    /// Whether the size of a zone's patch depends on it.
    pub fn matters_to(self, zone: Zone) -> bool {
        match zone {
            Zone::Abdomen => matches!(self, Self::Height | Self::Waist),
            Zone::LeftThigh | Zone::RightThigh => matches!(self, Self::Height | Self::Thigh),
            Zone::LeftArm | Zone::RightArm => matches!(self, Self::Height | Self::UpperArm),
            Zone::LeftButtock | Zone::RightButtock => {
                matches!(self, Self::Height | Self::Waist | Self::Thigh)
            }
        }
    }

    fn of(self, sizes: &Sizes) -> Option<f64> {
        match self {
            Self::Height => sizes.height_cm,
            Self::Waist => sizes.waist_cm,
            Self::Thigh => sizes.thigh_cm,
            Self::UpperArm => sizes.upper_arm_cm,
        }
    }

    /// The reference adult: midway between the women's and the men's mean of ANSUR II, to the centimetre
    /// (height 162.8 and 175.6, waist 86.1 and 94.1, thigh 61.6 and 62.5). The upper arm was measured flexed
    /// (30.6 and 35.8); a relaxed arm is about 6 % less (from memory).
    fn reference_cm(self) -> f64 {
        match self {
            Self::Height => 169.0,
            Self::Waist => 90.0,
            Self::Thigh => 62.0,
            Self::UpperArm => 31.0,
        }
    }
}

/// The measures that were not taken.
pub(super) fn unknown(sizes: &Sizes) -> Vec<Measure> {
    Measure::ALL
        .into_iter()
        .filter(|m| m.of(sizes).is_none())
        .collect()
}

/// The lengths the zones are drawn with; centimetres.
#[derive(Debug, Clone, Copy)]
pub(super) struct Dimensions {
    /// Girth at the navel.
    pub(super) waist: f64,
    /// From the navel up to the line under the ribs, in the middle of the body.
    pub(super) rib_middle: f64,
    /// The same at the side of the body.
    pub(super) rib_side: f64,
    /// From the navel down to the upper edge of the pubic bone.
    pub(super) pubic: f64,
    /// Girth of the upper thigh.
    pub(super) thigh: f64,
    /// From the kneecap's upper edge to the fold between leg and body, at the inner side.
    pub(super) groin: f64,
    /// From the kneecap's upper edge to the height of the hip joint, at the outer side.
    pub(super) hip: f64,
    /// Girth of the upper arm.
    pub(super) upper_arm: f64,
    /// From the tip of the elbow to the point of the shoulder.
    pub(super) arm_length: f64,
    /// Girth round the buttocks.
    pub(super) hips: f64,
    /// From the top of the hip bone down to the lower end of the buttock's upper part.
    pub(super) buttock: f64,
}

impl Dimensions {
    /// Lengths from what is known of the person and the reference adult for the rest.
    pub(super) fn of(sizes: &Sizes) -> Self {
        let [height, waist, thigh, upper_arm] =
            Measure::ALL.map(|m| m.of(sizes).unwrap_or_else(|| m.reference_cm()));
        Self {
            waist,
            // The ribs' lower border is an arch: highest under the breastbone, lowest at the side. Tenth rib
            // above navel: ANSUR II mean 0.042 of height (women 0.047, men 0.037), 5th percentile 0.030 and
            // 0.019. The arch passes at 0.030 where that rib ends: well below the mean, because a patch
            // should rather stop short of bone. Middle and side: from memory of anatomy, well under the breastbone.
            rib_middle: 0.044 * height,
            rib_side: 0.0145 * height,
            // Navel to crotch: ANSUR II 0.121 of height. The pubic bone's upper edge is taken to be at 0.72 of
            // that (from memory).
            pubic: 0.72 * 0.121 * height,
            thigh,
            // Crotch, and trochanter, above mid-kneecap: ANSUR II 0.204 and 0.239 of height; the kneecap's
            // upper edge is 0.013 of height (2.2 cm) above its middle (from memory).
            groin: (0.204 - 0.013) * height,
            hip: (0.239 - 0.013) * height,
            upper_arm,
            // Acromion to radiale: ANSUR II 0.191 of height; the elbow's tip is level with the latter in an
            // arm that hangs (from memory).
            arm_length: 0.191 * height,
            // Least squares on ANSUR II, both sexes weighted alike: standard error 3.4 % of the girth.
            hips: 0.085 * waist + 1.517 * thigh,
            // Hip bone to crotch: ANSUR II 0.127 of height, taken as the height of the whole buttock; the upper
            // part ends 0.65 of the way down, above its greatest fullness (0.099; common practice, no source).
            buttock: 0.65 * 0.127 * height,
        }
    }
}
