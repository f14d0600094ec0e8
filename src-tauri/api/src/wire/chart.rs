//! The clinic's chart and the risk factors.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Arguments of `chart` and `chart_file`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct ChartGet {
    /// The person.
    pub person: String,
    /// First day, `2026-10-01`; needed where `weeks` is absent.
    #[serde(default)]
    pub from: Option<String>,
    /// Last day, included; today when absent.
    #[serde(default)]
    pub to: Option<String>,
    /// A period of 1 to 520 weeks that ends with `to`; not together with `from`.
    #[serde(default)]
    pub weeks: Option<u16>,
    /// Beside it the period of the same length before.
    #[serde(default)]
    pub compare: bool,
    /// Width to draw for, in pixels: 280 to 1200; 328 when absent. `chart` only.
    #[serde(default)]
    pub width: Option<u16>,
    /// `light` or `dark`; light when absent. `chart` only.
    #[serde(default)]
    pub theme: Option<String>,
    /// Draw only this drawing, by its key. `chart` only.
    #[serde(default)]
    pub only: Option<String>,
}

/// A table beside a drawing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ChartTable {
    /// What it holds.
    pub caption: String,
    /// Headings.
    pub columns: Vec<String>,
    /// Rows, each as long as the headings.
    pub rows: Vec<Vec<String>>,
}

/// One drawing of the chart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ChartDrawing {
    /// Its key.
    pub key: String,
    /// Its title.
    pub title: String,
    /// What it shows, in a sentence or two, for those who do not see it.
    pub description: String,
    /// The drawing; absent where there is nothing to draw.
    pub svg: Option<String>,
    /// Said where there is nothing to draw, and what a reader must know.
    pub notes: Vec<String>,
    /// The same in numbers.
    pub table: ChartTable,
}

/// See [`super::Request::Chart`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ChartData {
    /// First day.
    pub from: String,
    /// Last day, included.
    pub to: String,
    /// The period in words.
    pub period_words: String,
    /// The period beside it in words.
    pub before_words: Option<String>,
    /// The drawings, in the order they are read.
    pub drawings: Vec<ChartDrawing>,
    /// Cautions.
    pub cautions: Vec<String>,
    /// Sources of the lines and values shown.
    pub sources: Vec<String>,
}

/// Arguments of `chart_file`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct ChartFileGet {
    /// The person.
    pub person: String,
    /// As in `chart`.
    #[serde(default)]
    pub from: Option<String>,
    /// As in `chart`.
    #[serde(default)]
    pub to: Option<String>,
    /// As in `chart`.
    #[serde(default)]
    pub weeks: Option<u16>,
    /// As in `chart`.
    #[serde(default)]
    pub compare: bool,
    /// `pdf`, `svg` or `png`.
    pub kind: String,
    /// Paper of a `pdf`: `a4` (when absent) or `letter`.
    #[serde(default)]
    pub paper: Option<String>,
}

/// See [`super::Request::ChartFile`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ChartFileData {
    /// A name for the file, without the person's name in it.
    pub name: String,
    /// Its media type.
    pub media_type: String,
    /// The file in Base64 (RFC 4648, section 4).
    pub base64: String,
    /// Its SHA-256 in lower-case hexadecimal.
    pub sha256: String,
    /// Its size in bytes.
    pub bytes: u32,
    /// Pages of a `pdf`.
    pub pages: Option<u32>,
}

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
