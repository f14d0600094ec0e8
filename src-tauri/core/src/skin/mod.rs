//! Findings: what is seen or felt on the skin and left alone, with how far to stay from each kind.
//!
//! Margins are data with sources (`data/skin.toml`). Not here: what is left of a zone once findings are taken
//! out of it ([`crate::plan`]), or how a finding changes with time.

pub mod check;
mod course;
mod place;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;
use std::sync::LazyLock;

use chrono::NaiveDate;
use serde::Deserialize;

use crate::medicines::Sourced;
use crate::site::Zone;

pub use check::{NeedleUses, SkinCheck, ZoneSeen};
pub use course::{Course, CourseError, Look, Seen, Size, Standing};
pub use place::{Place, PlaceError, Shape};

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum FindingKind {
    /// A lump under the skin (lipohypertrophy).
    Lump,
    /// A dent in the skin (lipoatrophy).
    Dent,
    /// A scar.
    Scar,
    /// A mole.
    Mole,
    /// A bruise.
    Bruise,
    /// Redness.
    Redness,
    /// A swelling.
    Swelling,
    /// Bleeding at a site.
    Bleeding,
    /// Broken skin.
    BrokenSkin,
    /// A tattoo.
    Tattoo,
    /// A stoma with its plate.
    Stoma,
    /// A glucose sensor.
    Sensor,
    /// An infusion set.
    InfusionSet,
    /// Anything else, in words.
    Other,
}

impl FindingKind {
    /// All fourteen.
    pub const ALL: [Self; 14] = [
        Self::Lump,
        Self::Dent,
        Self::Scar,
        Self::Mole,
        Self::Bruise,
        Self::Redness,
        Self::Swelling,
        Self::Bleeding,
        Self::BrokenSkin,
        Self::Tattoo,
        Self::Stoma,
        Self::Sensor,
        Self::InfusionSet,
        Self::Other,
    ];

    /// The word used in files and at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::Lump => "lump",
            Self::Dent => "dent",
            Self::Scar => "scar",
            Self::Mole => "mole",
            Self::Bruise => "bruise",
            Self::Redness => "redness",
            Self::Swelling => "swelling",
            Self::Bleeding => "bleeding",
            Self::BrokenSkin => "broken_skin",
            Self::Tattoo => "tattoo",
            Self::Stoma => "stoma",
            Self::Sensor => "sensor",
            Self::InfusionSet => "infusion_set",
            Self::Other => "other",
        }
    }

    /// Reads [`FindingKind::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.code() == text)
    }

    /// The kind in words: `infusion set`.
    pub fn words(self) -> &'static str {
        match self {
            Self::InfusionSet => "infusion set",
            Self::BrokenSkin => "broken skin",
            Self::Other => "something else",
            other => other.code(),
        }
    }

    /// The kind with how a lump feels, where that was said: `firm lump`.
    pub fn felt(self, feel: Option<Feel>) -> String {
        feel.map_or_else(
            || self.words().to_owned(),
            |feel| format!("{} {}", feel.code(), self.words()),
        )
    }

    /// Whether it may go away by itself or be moved, so that waiting for it gives skin back.
    pub fn may_pass(self) -> bool {
        !matches!(self, Self::Scar | Self::Mole | Self::Tattoo | Self::Stoma)
    }

    /// Whether it is worn and taken off, so that it has a wear time and is removed, never healed.
    pub fn is_device(self) -> bool {
        matches!(self, Self::Sensor | Self::InfusionSet)
    }

    /// How far to stay from its edge in centimetres, and who says so.
    ///
    /// # Source
    /// `data/skin.toml`.
    pub fn usual_margin(self) -> &'static Sourced<f64> {
        &MARGINS[&self]
    }
}

static MARGINS: LazyLock<BTreeMap<FindingKind, Sourced<f64>>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("../../data/skin.toml"))
        .expect("the shipped margins are read by a test");
    FindingKind::ALL
        .into_iter()
        .map(|kind| {
            let margin = &file.margin[kind.code()];
            let sourced = Sourced {
                value: margin.cm,
                source: margin.source.clone(),
            };
            (kind, sourced)
        })
        .collect()
});

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    margin: BTreeMap<String, Margin>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Margin {
    cm: f64,
    source: String,
}

/// How it was noticed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Noticed {
    /// Seen.
    Seen,
    /// Felt with the fingers.
    Felt,
    /// Both.
    SeenAndFelt,
}

impl Noticed {
    /// The word used in files and at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::Seen => "seen",
            Self::Felt => "felt",
            Self::SeenAndFelt => "seen_and_felt",
        }
    }

    /// Reads [`Noticed::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        [Self::Seen, Self::Felt, Self::SeenAndFelt]
            .into_iter()
            .find(|n| n.code() == text)
    }
}

/// How a lump feels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Feel {
    /// Soft.
    Soft,
    /// Firm.
    Firm,
}

impl Feel {
    /// The word used in files and at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::Soft => "soft",
            Self::Firm => "firm",
        }
    }

    /// Reads [`Feel::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        [Self::Soft, Self::Firm]
            .into_iter()
            .find(|f| f.code() == text)
    }
}

/// Something seen or felt on the skin, as it is at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The entry's id.
    pub id: String,
    /// What it is.
    pub kind: FindingKind,
    /// The zone it lies in.
    pub zone: Zone,
    /// Where on the zone's patch.
    pub place: Place,
    /// How far to stay from its edge; centimetres, 0 or more. [`FindingKind::usual_margin`] unless chosen otherwise.
    pub margin_cm: Sourced<f64>,
    /// How it was noticed.
    pub noticed: Noticed,
    /// How a lump feels, where that was said.
    pub feel: Option<Feel>,
    /// The day it was found, at its own offset.
    pub found_on: NaiveDate,
}

impl Finding {
    /// What it is in words: `firm lump`, `infusion set`.
    pub fn words(&self) -> String {
        self.kind.felt(self.feel)
    }
}
