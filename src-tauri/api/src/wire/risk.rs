//! The published risk factors.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Arguments of `risk`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct RiskGet {
    /// The person.
    pub person: String,
    /// Days looked at, 7 to 366; 84 when absent.
    #[serde(default)]
    pub days: Option<u16>,
}

/// A published odds ratio.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct OddsData {
    /// `20.4 (10.5 to 39.6)`.
    pub words: String,
    /// Who published it; says so where it was read in another document.
    pub source: String,
}

/// One published risk factor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct FactorData {
    /// Its code.
    pub code: String,
    /// Its name.
    pub name: String,
    /// `present`, `absent`, `unknown`, or `shown` where nothing published says from when on it counts.
    #[ts(type = "\"present\" | \"absent\" | \"unknown\" | \"shown\"")]
    pub standing: String,
    /// That in a word or two.
    pub standing_words: String,
    /// The figure of this record, in words.
    pub figure: String,
    /// What was published.
    pub odds: Vec<OddsData>,
    /// Another published finding about it, with its source.
    pub published: Option<String>,
    /// What helps.
    pub helps: String,
}

/// See [`super::Request::Risk`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RiskData {
    /// The period in words.
    pub period_words: String,
    /// The factors, each by itself: they are neither multiplied nor added up.
    pub factors: Vec<FactorData>,
    /// What the list is not.
    pub caution: String,
}
