//! Findings: what is seen or felt on the skin and left alone, with how far to stay from each kind.
//!
//! Margins are data with sources (`data/skin.toml`). Not here: what is left of a zone once findings are taken
//! out of it ([`crate::plan`]), or how a finding changes with time.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::medicines::Sourced;
use crate::site::{Point, Zone};

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
    /// A stoma with its plate.
    Stoma,
    /// A glucose sensor.
    Sensor,
    /// An infusion set.
    InfusionSet,
}

impl FindingKind {
    /// All ten.
    pub const ALL: [Self; 10] = [
        Self::Lump,
        Self::Dent,
        Self::Scar,
        Self::Mole,
        Self::Bruise,
        Self::Redness,
        Self::Swelling,
        Self::Stoma,
        Self::Sensor,
        Self::InfusionSet,
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
            Self::Stoma => "stoma",
            Self::Sensor => "sensor",
            Self::InfusionSet => "infusion_set",
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
            other => other.code(),
        }
    }

    /// Whether it may go away by itself or be moved, so that waiting for it gives skin back.
    pub fn may_pass(self) -> bool {
        !matches!(self, Self::Scar | Self::Mole | Self::Stoma)
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
    let file: File = toml::from_str(include_str!("../data/skin.toml"))
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

/// Where a finding lies on its zone's patch; centimetres from the zone's landmark.
#[derive(Debug, Clone, PartialEq)]
pub struct Place(Shape);

/// The shape of a place.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// An ellipse.
    Ellipse {
        /// Its middle.
        centre: Point,
        /// Half its length along its own first axis; centimetres.
        half_across_cm: f64,
        /// Half its length along its own second axis; centimetres.
        half_up_cm: f64,
        /// How far the first axis is turned from `across` towards `up`; degrees.
        turned_degrees: f64,
    },
    /// A line drawn around it, closed from the last point to the first.
    Outline(Vec<Point>),
}

/// Why a place was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PlaceError {
    /// A number that is not one, or farther than any skin reaches.
    #[error("a place on the skin lies within 200 cm of the landmark")]
    OffTheBody,
    /// An axis of nothing or less.
    #[error("a finding has a size above zero")]
    NoSize,
    /// Too few points, or more than anybody draws.
    #[error("an outline has 3 to 500 points")]
    Points,
}

/// No skin is farther from its landmark than this; centimetres.
const FARTHEST_CM: f64 = 200.0;

impl Place {
    /// An ellipse around a middle, each half axis above 0 and at most 200 cm.
    pub fn ellipse(
        centre: Point,
        half_across_cm: f64,
        half_up_cm: f64,
        turned_degrees: f64,
    ) -> Result<Self, PlaceError> {
        let axes = [half_across_cm, half_up_cm];
        if !on_body(centre) || !turned_degrees.is_finite() || axes.iter().any(|a| a.is_nan()) {
            return Err(PlaceError::OffTheBody);
        }
        if axes.iter().any(|a| *a <= 0.0) {
            return Err(PlaceError::NoSize);
        }
        if axes.iter().any(|a| *a > FARTHEST_CM) {
            return Err(PlaceError::OffTheBody);
        }
        Ok(Self(Shape::Ellipse {
            centre,
            half_across_cm,
            half_up_cm,
            turned_degrees,
        }))
    }

    /// A line drawn around it: 3 to 500 points, crossing itself or not.
    pub fn outline(points: Vec<Point>) -> Result<Self, PlaceError> {
        if !(3..=500).contains(&points.len()) {
            return Err(PlaceError::Points);
        }
        if points.iter().any(|p| !on_body(*p)) {
            return Err(PlaceError::OffTheBody);
        }
        Ok(Self(Shape::Outline(points)))
    }

    /// The shape it has.
    pub fn shape(&self) -> &Shape {
        &self.0
    }
}

fn on_body(p: Point) -> bool {
    [p.across_cm, p.up_cm]
        .iter()
        .all(|v| v.is_finite() && v.abs() <= FARTHEST_CM)
}

/// Something seen or felt on the skin.
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
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(across_cm: f64, up_cm: f64) -> Point {
        Point { across_cm, up_cm }
    }

    #[test]
    fn every_kind_has_a_margin_with_a_source_and_no_other_is_in_the_file() {
        let file: File = toml::from_str(include_str!("../data/skin.toml")).unwrap();
        assert_eq!(file.margin.len(), FindingKind::ALL.len());
        for kind in FindingKind::ALL {
            assert_eq!(FindingKind::from_code(kind.code()), Some(kind));
            let margin = kind.usual_margin();
            assert!(margin.value >= 0.0 && !margin.source.is_empty(), "{kind:?}");
        }
        // Manual of a sensor: 2.5 cm. Maker of infusion sets: 5 cm.
        assert!((FindingKind::Sensor.usual_margin().value - 2.5).abs() < 1e-9);
        assert!((FindingKind::InfusionSet.usual_margin().value - 5.0).abs() < 1e-9);
    }

    #[test]
    fn a_place_off_the_body_or_without_a_size_is_refused() {
        assert!(Place::ellipse(at(1.0, 2.0), 0.5, 0.3, 20.0).is_ok());
        for (place, error) in [
            (
                Place::ellipse(at(f64::NAN, 0.0), 1.0, 1.0, 0.0),
                PlaceError::OffTheBody,
            ),
            (
                Place::ellipse(at(0.0, 0.0), f64::INFINITY, 1.0, 0.0),
                PlaceError::OffTheBody,
            ),
            (
                Place::ellipse(at(0.0, 0.0), 0.0, 1.0, 0.0),
                PlaceError::NoSize,
            ),
            (
                Place::ellipse(at(0.0, 0.0), 1.0, -1.0, 0.0),
                PlaceError::NoSize,
            ),
            (
                Place::outline(vec![at(0.0, 0.0), at(1.0, 0.0)]),
                PlaceError::Points,
            ),
            (Place::outline(vec![at(0.0, 0.0); 501]), PlaceError::Points),
            (
                Place::outline(vec![at(0.0, 0.0), at(1.0, 0.0), at(0.0, 201.0)]),
                PlaceError::OffTheBody,
            ),
        ] {
            assert_eq!(place, Err(error));
        }
        for noticed in [Noticed::Seen, Noticed::Felt, Noticed::SeenAndFelt] {
            assert_eq!(Noticed::from_code(noticed.code()), Some(noticed));
        }
    }
}
