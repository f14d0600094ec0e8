//! Typed times and unfinished forms.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// How the words of a reply are wanted; may stand in any request beside `op` and `args`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct Display {
    /// Times of day with 24 hours (`20:05`, where it is left out) or with 12 (`8:05 pm`). Codes always have 24.
    #[serde(default)]
    #[ts(optional, type = "\"12\" | \"24\"")]
    pub clock: Option<String>,
}

/// Arguments of `time_resolve`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct TimeResolve {
    /// `2026-03-29T02:30`.
    pub local: String,
    /// IANA zone.
    pub zone: String,
}

/// An instant that may have been meant.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct TimeOffer {
    /// RFC 3339 with its offset.
    pub at: String,
    /// `Sun 25 Oct 2026, 02:20 (+02:00, first)`.
    pub words: String,
}

/// See [`Request::TimeResolve`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct TimeResolveData {
    /// `one`, `twice` (the clock went back: ask which) or `never` (the clock went forward over it).
    #[ts(type = "\"one\" | \"twice\" | \"never\"")]
    pub kind: String,
    /// One instant, or the two to choose from.
    pub offers: Vec<TimeOffer>,
    /// How long ago that is, `2 h ago`, or `in 3 h`; of the first offer.
    pub ago: String,
    /// Whether it is later than now.
    pub future: bool,
}

/// Arguments of `draft_save`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct DraftSave {
    /// Which form, such as `give:PERSON`.
    pub key: String,
    /// The form's contents as the screen understands them; at most 64 kB.
    pub body: String,
}

/// Names a draft.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct DraftRef {
    /// Which form.
    pub key: String,
}

/// See [`Request::DraftGet`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct DraftData {
    /// Which form.
    pub key: String,
    /// Its contents; absent when there is none.
    pub body: Option<String>,
    /// When the form was first opened.
    pub opened_at: Option<String>,
}
