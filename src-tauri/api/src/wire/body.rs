//! The body drawing, recent use, and a zone unrolled flat.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Arguments of `use_map`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct UseMap {
    /// The person.
    pub person: String,
    /// As of when; now when absent.
    #[serde(default)]
    pub at: Option<String>,
}

/// Recent use of one quadrant.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct QuadrantUse {
    /// The quadrant.
    pub quadrant: String,
    /// Its name in words.
    pub words: String,
    /// Whole days since the last injection there; absent when there was none in the last year.
    pub days: Option<u32>,
    /// Injections there in the last 28 days.
    pub count_28_days: u32,
    /// Step of the colour ramp: 0 just used … 5 rested or not used.
    pub step: u8,
}

/// Recent use of one zone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ZoneUse {
    /// The zone.
    pub zone: String,
    /// Its name in words.
    pub words: String,
    /// Whole days since the last injection there; absent when there was none in the last year.
    pub days: Option<u32>,
    /// Injections there in the last 28 days.
    pub count_28_days: u32,
    /// Its four quadrants.
    pub quadrants: Vec<QuadrantUse>,
}

/// One step of the ramp.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RampStep {
    /// The step, 0 to 5.
    pub step: u8,
    /// What it means: `today`, `1 to 3 days`, …, `28 days or more, or not used`.
    pub words: String,
}

/// See [`Request::UseMap`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct UseMapData {
    /// As of when.
    pub at: String,
    /// All seven zones.
    pub zones: Vec<ZoneUse>,
    /// The ramp's legend.
    pub ramp: Vec<RampStep>,
    /// Measures taken from the reference adult, in words.
    pub assumed: Vec<String>,
    /// Findings that are there at that time.
    pub findings: Vec<DrawnFinding>,
}

/// Arguments of `body_drawing`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct BodyDrawing {
    /// The person, for the sizes; a reference adult when absent.
    #[serde(default)]
    pub person: Option<String>,
}

/// A named curve, as SVG path data.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct NamedPath {
    /// What it is.
    pub name: String,
    /// SVG path data.
    pub d: String,
}

/// A quadrant on the drawing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct DrawnQuadrant {
    /// The zone.
    pub zone: String,
    /// The quadrant.
    pub quadrant: String,
    /// `Abdomen, left lower quadrant`.
    pub words: String,
    /// SVG path data.
    pub d: String,
    /// Where a label fits, in the drawing's units.
    pub label_x: f64,
    /// Where a label fits, in the drawing's units.
    pub label_y: f64,
}

/// One view of the body.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct DrawnView {
    /// `front` or `back`.
    #[ts(type = "\"front\" | \"back\"")]
    pub view: String,
    /// Width of the view box.
    pub width: f64,
    /// Height of the view box.
    pub height: f64,
    /// The outline, closed.
    pub silhouette: Vec<NamedPath>,
    /// Quiet lines inside it.
    pub details: Vec<NamedPath>,
    /// Zones, each with its outline.
    pub zones: Vec<NamedPath>,
    /// Quadrants of the zones.
    pub quadrants: Vec<DrawnQuadrant>,
    /// The word to write at the viewer's left edge: `person's right` in front, `person's left` on the back.
    pub viewer_left: String,
    /// The word to write at the viewer's right edge.
    pub viewer_right: String,
}

/// See [`Request::BodyDrawing`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct BodyDrawingData {
    /// Version of the outline.
    pub outline: u32,
    /// Front, then back.
    pub views: Vec<DrawnView>,
}

/// Arguments of `patch`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct PatchGet {
    /// The person.
    pub person: String,
    /// The zone.
    pub zone: String,
    /// As of when; now when absent.
    #[serde(default)]
    pub at: Option<String>,
    /// The order, whose medicine may have a margin of its own.
    #[serde(default)]
    pub order: Option<String>,
}

/// A point in centimetres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
pub struct XY {
    /// Across from the landmark.
    pub across_cm: f64,
    /// Up from the landmark.
    pub up_cm: f64,
}

/// An earlier injection on the patch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PatchSite {
    /// The injection.
    pub injection: String,
    /// Where.
    pub point: XY,
    /// Whole days ago.
    pub days: u32,
    /// Step of the ramp.
    pub step: u8,
    /// `insulin glargine 100 units/mL, 3 days ago`.
    pub words: String,
    /// Whether it still rests.
    pub resting: bool,
}

/// A margin on the patch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PatchMargin {
    /// What it keeps away from: `navel`, `lowest rib`.
    pub name: String,
    /// The landmark's line, or one point.
    pub line: Vec<XY>,
    /// How far.
    pub radius_cm: f64,
    /// Whose value.
    pub source: String,
}

/// One quadrant of the patch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PatchQuadrant {
    /// The quadrant.
    pub quadrant: String,
    /// Its name.
    pub words: String,
    /// Its outline.
    pub outline: Vec<XY>,
    /// Injections of the last 28 days known only to this quadrant.
    pub unplaced_28_days: u32,
    /// Step of the ramp.
    pub step: u8,
    /// Whole days since the last injection there.
    pub days: Option<u32>,
}

/// A finding on the patch.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PatchFinding {
    /// The finding.
    pub finding: String,
    /// Its kind.
    pub kind: String,
    /// Kind, place and size in words.
    pub words: String,
    /// Its outline, closed.
    pub ring: Vec<XY>,
    /// The outline with its margin: skin to stay off. The same as `ring` where there is no margin.
    pub keep_off: Vec<Vec<XY>>,
    /// Its middle.
    pub centre: XY,
}

/// A finding on the body drawing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct DrawnFinding {
    /// The finding.
    pub finding: String,
    /// Its kind.
    pub kind: String,
    /// Kind and place in words.
    pub words: String,
    /// `front` or `back`.
    pub view: String,
    /// Its middle, in the drawing's own units.
    pub x: f64,
    /// Its middle, in the drawing's own units.
    pub y: f64,
}

/// See [`Request::Patch`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PatchData {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub words: String,
    /// The landmark, at 0, 0.
    pub landmark: String,
    /// The word at the edge where across is least: `person's right`, `inner`.
    pub edge_low: String,
    /// The word at the edge where across is greatest: `person's left`, `outer`.
    pub edge_high: String,
    /// Whether a viewer facing this skin sees `across` grow towards their own left (the drawing must be flipped).
    pub grows_to_viewer_left: bool,
    /// `min_across, min_up, max_across, max_up`.
    pub bounds: [f64; 4],
    /// The whole zone.
    pub outline: Vec<XY>,
    /// Area of the whole zone.
    pub area_cm2: f64,
    /// Its quadrants.
    pub quadrants: Vec<PatchQuadrant>,
    /// Skin to keep away from.
    pub margins: Vec<PatchMargin>,
    /// Injections of the last year with a known point.
    pub sites: Vec<PatchSite>,
    /// Measures taken from the reference adult, in words.
    pub assumed: Vec<String>,
    /// Findings that are there on that day, and the skin to stay off around each.
    pub findings: Vec<PatchFinding>,
}
