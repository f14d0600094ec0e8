//! A needle: its length, what it sits on and how deep it reaches.
//!
//! Not here: which length is advised ([`super::advice`]).

use std::fmt;

use super::TechniqueError;

/// A needle's length as its packet says it, kept in tenths of a millimetre so that 12.7 is 12.7.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NeedleLength {
    tenths_of_mm: u16,
}

impl NeedleLength {
    /// A length in tenths of a millimetre, `30..=400`: 40 is 4 mm, 127 is 12.7 mm.
    ///
    /// # Errors
    /// [`TechniqueError::NeedleLength`] outside that.
    pub fn from_tenths_of_mm(tenths_of_mm: u16) -> Result<Self, TechniqueError> {
        if (30..=400).contains(&tenths_of_mm) {
            Ok(Self { tenths_of_mm })
        } else {
            Err(TechniqueError::NeedleLength { tenths_of_mm })
        }
    }

    /// Tenths of a millimetre.
    pub fn tenths_of_mm(self) -> u16 {
        self.tenths_of_mm
    }

    /// Millimetres.
    pub fn mm(self) -> f64 {
        f64::from(self.tenths_of_mm) / 10.0
    }

    /// How deep its tip comes below flat skin at an angle, in millimetres; `None` where the angle is the leaflet's.
    pub fn depth_mm(self, angle: Angle) -> Option<f64> {
        let degrees = angle.degrees()?;
        Some(self.mm() * f64::from(degrees).to_radians().sin())
    }
}

impl fmt::Display for NeedleLength {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", self.mm())
    }
}

/// What the needle sits on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Device {
    /// A needle put on a pen.
    PenNeedle,
    /// The needle of a syringe that is drawn up.
    SyringeNeedle,
    /// The needle of a prefilled syringe, or of a pen of one fixed dose: nobody chooses it.
    Prefilled,
}

impl Device {
    /// All three.
    pub const ALL: [Self; 3] = [Self::PenNeedle, Self::SyringeNeedle, Self::Prefilled];

    /// The word used in files and at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::PenNeedle => "pen",
            Self::SyringeNeedle => "syringe",
            Self::Prefilled => "prefilled",
        }
    }

    /// Reads [`Device::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|d| d.code() == text)
    }
}

/// The angle between needle and skin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Angle {
    /// 90 degrees.
    Straight,
    /// 45 degrees.
    Slanting,
    /// Nothing published here: as the medicine's leaflet shows.
    AsLeaflet,
}

impl Angle {
    /// Degrees, where they are known here.
    pub fn degrees(self) -> Option<u8> {
        match self {
            Self::Straight => Some(90),
            Self::Slanting => Some(45),
            Self::AsLeaflet => None,
        }
    }

    /// The angle in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Straight => "straight in, at 90 degrees",
            Self::Slanting => "slanting, at 45 degrees",
            Self::AsLeaflet => "at the angle the leaflet shows",
        }
    }
}
