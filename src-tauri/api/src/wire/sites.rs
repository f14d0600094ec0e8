//! Checking and suggesting sites.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::parts::{ReasonData, SinceLast, SiteData, SiteWire};
use super::skin::LeavingLump;

/// Arguments of `site_check`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct SiteCheck {
    /// The person.
    pub person: String,
    /// The order.
    pub order: String,
    /// The proposed site.
    pub site: SiteWire,
    /// When; RFC 3339 with offset, or a local time in the person's zone.
    pub at: String,
    /// Who would give it: `self` or `other`; absent takes the person's habit.
    #[serde(default)]
    pub giver: Option<String>,
    /// Leave one injection out of the history: the one that is being corrected.
    #[serde(default)]
    pub without: Option<String>,
}

/// See [`Request::SiteCheck`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct SiteCheckData {
    /// `clear`, `caution` or `avoid`: the worst level of the reasons.
    #[ts(type = "\"clear\" | \"caution\" | \"avoid\"")]
    pub verdict: String,
    /// Why, the worst first.
    pub reasons: Vec<ReasonData>,
    /// The site in words.
    pub words: String,
    /// The site in words, spoken to the patient.
    pub words_patient: String,
    /// The site with its quadrant filled in.
    pub site: SiteWire,
    /// Centimetres to the nearest injection of the last 28 days whose point is known.
    pub nearest_cm: Option<f64>,
    /// Time since the last injection of the same medicine.
    pub since_last: Option<SinceLast>,
    /// Measures of this zone taken from the reference adult, in words.
    pub assumed: Vec<String>,
    /// Said where the next site leaves a lump for healthy skin; of suggestions, the first.
    pub leaving_lump: Option<LeavingLump>,
}

/// Arguments of `site_suggest`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct SiteSuggest {
    /// The person.
    pub person: String,
    /// The order.
    pub order: String,
    /// When; RFC 3339 with offset, or a local time in the person's zone.
    pub at: String,
    /// How many, 1 to 5; 5 when absent.
    #[serde(default)]
    pub count: Option<u8>,
    /// Who would give it: `self` or `other`; absent takes the person's habit.
    #[serde(default)]
    pub giver: Option<String>,
}

/// One suggested site.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct Suggestion {
    /// The site, all four members.
    pub site: SiteWire,
    /// In words.
    pub words: String,
    /// In words, spoken to the patient.
    pub words_patient: String,
    /// What its check says; empty when clear.
    pub reasons: Vec<ReasonData>,
    /// Its verdict.
    #[ts(type = "\"clear\" | \"caution\" | \"avoid\"")]
    pub verdict: String,
    /// Centimetres to the nearest injection of the last 28 days whose point is known.
    pub nearest_cm: Option<f64>,
}

/// See [`Request::SiteSuggest`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct SiteSuggestData {
    /// The best first.
    pub sites: Vec<Suggestion>,
    /// This week's part of the pattern, in words.
    pub pattern_words: String,
    /// Why a site is not where the pattern asks, or why none is clear; absent when all is well.
    pub note: Option<String>,
    /// Said where the next site leaves a lump for healthy skin; of suggestions, the first.
    pub leaving_lump: Option<LeavingLump>,
}

/// Arguments of `site_at`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct SiteAt {
    /// The person, for the sizes.
    pub person: String,
    /// `front` or `back`.
    pub view: String,
    /// In the drawing's own units.
    pub x: f64,
    /// In the drawing's own units.
    pub y: f64,
}

/// A quadrant by name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct QuadrantRef {
    /// The zone.
    pub zone: String,
    /// The quadrant.
    pub quadrant: String,
    /// `Abdomen, left lower quadrant`.
    pub words: String,
}

/// See [`Request::SiteAt`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct SiteAtData {
    /// What was touched, `right thigh (person's right)`; absent off the body.
    pub words: Option<String>,
    /// The zone, where the touch is in one.
    pub zone: Option<String>,
    /// The site, where the touch is in a zone.
    pub place: Option<SiteData>,
    /// Other quadrants within a finger's error of the touch; the screen asks instead of guessing.
    pub near: Vec<QuadrantRef>,
}
