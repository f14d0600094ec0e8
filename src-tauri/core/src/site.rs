//! Where an injection goes: a zone, a quadrant and, where known, a point in centimetres from the zone's landmark.
//!
//! Left and right are always the person's. Not here: how large a zone is ([`crate::body`]).

/// A region of the body that medicines are injected into.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Zone {
    /// Front of the trunk, between the lowest ribs and the pubic bone.
    Abdomen,
    /// Front and outer side of the person's left thigh.
    LeftThigh,
    /// Front and outer side of the person's right thigh.
    RightThigh,
    /// Back of the person's left upper arm.
    LeftArm,
    /// Back of the person's right upper arm.
    RightArm,
    /// The person's left buttock.
    LeftButtock,
    /// The person's right buttock.
    RightButtock,
}

/// A side of the person's body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Side {
    /// The person's left.
    Left,
    /// The person's right.
    Right,
}

impl Side {
    /// `left` or `right`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
        }
    }

    /// The other side.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
        }
    }
}

impl Zone {
    /// All seven, in the order they are listed.
    pub const ALL: [Self; 7] = [
        Self::Abdomen,
        Self::LeftThigh,
        Self::RightThigh,
        Self::LeftArm,
        Self::RightArm,
        Self::LeftButtock,
        Self::RightButtock,
    ];

    /// The word used in files and at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::Abdomen => "abdomen",
            Self::LeftThigh => "left_thigh",
            Self::RightThigh => "right_thigh",
            Self::LeftArm => "left_arm",
            Self::RightArm => "right_arm",
            Self::LeftButtock => "left_buttock",
            Self::RightButtock => "right_buttock",
        }
    }

    /// Reads [`Zone::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|z| z.code() == text)
    }

    /// The zone in words: `Left thigh`, `Right upper arm`.
    pub fn words(self) -> &'static str {
        match self {
            Self::Abdomen => "Abdomen",
            Self::LeftThigh => "Left thigh",
            Self::RightThigh => "Right thigh",
            Self::LeftArm => "Left upper arm",
            Self::RightArm => "Right upper arm",
            Self::LeftButtock => "Left buttock",
            Self::RightButtock => "Right buttock",
        }
    }

    /// The side of the body, or `None` for the abdomen, which has both.
    pub fn side(self) -> Option<Side> {
        match self {
            Self::Abdomen => None,
            Self::LeftThigh | Self::LeftArm | Self::LeftButtock => Some(Side::Left),
            Self::RightThigh | Self::RightArm | Self::RightButtock => Some(Side::Right),
        }
    }

    /// The same zone on the other side of the body; the abdomen is its own mirror.
    #[must_use]
    pub fn mirrored(self) -> Self {
        match self {
            Self::Abdomen => Self::Abdomen,
            Self::LeftThigh => Self::RightThigh,
            Self::RightThigh => Self::LeftThigh,
            Self::LeftArm => Self::RightArm,
            Self::RightArm => Self::LeftArm,
            Self::LeftButtock => Self::RightButtock,
            Self::RightButtock => Self::LeftButtock,
        }
    }

    /// The four quadrants this zone has: upper pair first.
    pub fn quadrants(self) -> [Quadrant; 4] {
        match self {
            Self::Abdomen => [
                Quadrant::RightUpper,
                Quadrant::LeftUpper,
                Quadrant::RightLower,
                Quadrant::LeftLower,
            ],
            _ => [
                Quadrant::UpperInner,
                Quadrant::UpperOuter,
                Quadrant::LowerInner,
                Quadrant::LowerOuter,
            ],
        }
    }

    /// The direction, in the person's own left and right, in which `across` grows.
    pub fn across_grows(self) -> Side {
        self.side().unwrap_or(Side::Left)
    }

    /// The quadrant on one side of each cut: `upper` is towards the head, `far` is where `across` is greater.
    pub fn quadrant_at(self, upper: bool, far: bool) -> Quadrant {
        match (self, upper, far) {
            (Self::Abdomen, true, true) => Quadrant::LeftUpper,
            (Self::Abdomen, true, false) => Quadrant::RightUpper,
            (Self::Abdomen, false, true) => Quadrant::LeftLower,
            (Self::Abdomen, false, false) => Quadrant::RightLower,
            (_, true, true) => Quadrant::UpperOuter,
            (_, true, false) => Quadrant::UpperInner,
            (_, false, true) => Quadrant::LowerOuter,
            (_, false, false) => Quadrant::LowerInner,
        }
    }
}

/// A quarter of a zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quadrant {
    /// Abdomen, above the navel, the person's right.
    RightUpper,
    /// Abdomen, above the navel, the person's left.
    LeftUpper,
    /// Abdomen, below the navel, the person's right.
    RightLower,
    /// Abdomen, below the navel, the person's left.
    LeftLower,
    /// Limb or buttock: towards the head, towards the body's midline.
    UpperInner,
    /// Limb or buttock: towards the head, away from the midline.
    UpperOuter,
    /// Limb or buttock: away from the head, towards the midline.
    LowerInner,
    /// Limb or buttock: away from the head, away from the midline.
    LowerOuter,
}

impl Quadrant {
    /// All eight names.
    pub const ALL: [Self; 8] = [
        Self::RightUpper,
        Self::LeftUpper,
        Self::RightLower,
        Self::LeftLower,
        Self::UpperInner,
        Self::UpperOuter,
        Self::LowerInner,
        Self::LowerOuter,
    ];

    /// The word used in files and at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::RightUpper => "right_upper",
            Self::LeftUpper => "left_upper",
            Self::RightLower => "right_lower",
            Self::LeftLower => "left_lower",
            Self::UpperInner => "upper_inner",
            Self::UpperOuter => "upper_outer",
            Self::LowerInner => "lower_inner",
            Self::LowerOuter => "lower_outer",
        }
    }

    /// Reads [`Quadrant::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|q| q.code() == text)
    }

    /// The quadrant in words: `left lower quadrant`, `upper outer quadrant`.
    pub fn words(self) -> &'static str {
        match self {
            Self::RightUpper => "right upper quadrant",
            Self::LeftUpper => "left upper quadrant",
            Self::RightLower => "right lower quadrant",
            Self::LeftLower => "left lower quadrant",
            Self::UpperInner => "upper inner quadrant",
            Self::UpperOuter => "upper outer quadrant",
            Self::LowerInner => "lower inner quadrant",
            Self::LowerOuter => "lower outer quadrant",
        }
    }

    /// Whether it is towards the head.
    pub fn is_upper(self) -> bool {
        matches!(
            self,
            Self::RightUpper | Self::LeftUpper | Self::UpperInner | Self::UpperOuter
        )
    }

    /// Whether it lies where `across` is greater (the person's left on the abdomen, outer on a limb).
    pub fn is_far(self) -> bool {
        matches!(
            self,
            Self::LeftUpper | Self::LeftLower | Self::UpperOuter | Self::LowerOuter
        )
    }
}

/// A point on a zone's patch, in centimetres from the zone's landmark, as if the skin were unrolled flat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Centimetres across: to the person's left on the abdomen, outwards elsewhere.
    pub across_cm: f64,
    /// Centimetres towards the head.
    pub up_cm: f64,
}

impl Point {
    /// Straight-line distance in centimetres on the unrolled skin.
    pub fn distance_cm(self, other: Self) -> f64 {
        let (across, up) = (self.across_cm - other.across_cm, self.up_cm - other.up_cm);
        // Not `hypot`: it takes many times as long, for lengths no skin has.
        (across * across + up * up).sqrt()
    }
}

/// Where an injection goes or went.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    /// The zone.
    pub zone: Zone,
    /// The quarter of the zone.
    pub quadrant: Quadrant,
    /// The point, where it is known; an entry copied from paper may know only the quadrant.
    pub point: Option<Point>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_read_back() {
        for zone in Zone::ALL {
            assert_eq!(Zone::from_code(zone.code()), Some(zone));
            assert_eq!(zone.mirrored().mirrored(), zone);
            for quadrant in zone.quadrants() {
                assert_eq!(Quadrant::from_code(quadrant.code()), Some(quadrant));
                assert_eq!(
                    zone.quadrant_at(quadrant.is_upper(), quadrant.is_far()),
                    quadrant
                );
            }
        }
        assert_eq!(Zone::from_code("stomach"), None);
        assert_eq!(Quadrant::from_code("middle"), None);
    }
}
