//! The clinic's chart.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Arguments of `chart`.
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
    /// Width to draw for, in pixels: 280 to 1200; 328 when absent.
    #[serde(default)]
    pub width: Option<u16>,
    /// `light` or `dark`; light when absent.
    #[serde(default)]
    pub theme: Option<String>,
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

/// Arguments of `chart_file`: the same choice of days as of [`ChartGet`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct ChartFileGet {
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
    /// `pdf`, `svg` or `png`.
    pub format: String,
    /// `a4` or `letter`, of a PDF; A4 when absent.
    #[serde(default)]
    pub paper: Option<String>,
}

/// See [`super::Request::ChartFile`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ChartFileData {
    /// A name for the file that says what it is and names nobody.
    pub name: String,
    /// Its media type.
    pub media_type: String,
    /// How many bytes it has.
    pub bytes: u32,
    /// SHA-256 of the bytes, in hexadecimal.
    pub sha256: String,
    /// The bytes, in base64.
    pub base64: String,
    /// How many pages; a picture is one.
    pub pages: u32,
}
