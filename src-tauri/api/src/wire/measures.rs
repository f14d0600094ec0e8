//! Rotation measures of a period, and use of the skin cell by cell.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{SiteData, XY};

/// Arguments of `measures`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct MeasuresGet {
    /// The person.
    pub person: String,
    /// First day, `2026-05-07`; 27 days before the last when absent.
    #[serde(default)]
    pub from: Option<String>,
    /// Last day; today on the person's clock when absent.
    #[serde(default)]
    pub to: Option<String>,
}

/// A measure and its sentence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct Told<T> {
    /// What was found, or why nothing can be said.
    pub words: String,
    /// The measure; absent where it cannot be known.
    pub value: Option<T>,
}

/// The medicine whose zones, margins and spacing count.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RulesOf {
    /// The medicine.
    pub medicine: String,
    /// Its name.
    pub name: String,
    /// Why it and no other.
    pub words: String,
}

/// The skin of one zone that may be used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct AllowedZone {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub words: String,
    /// Area without its margins, in square centimetres.
    pub area_cm2: f64,
}

/// How often a rule was kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct KeptData {
    /// Injections that kept it.
    pub kept: u32,
    /// Of so many of which it can be known.
    pub of: u32,
    /// The one divided by the other, 0 to 1.
    pub share: f64,
    /// Low end of the 95 % Wilson interval.
    pub low: f64,
    /// High end of it.
    pub high: f64,
    /// Injections with a point of which it cannot be known.
    pub unknown: u32,
    /// The worst break: centimetres for spacing, days for rest; absent where none was broken.
    pub worst: Option<f64>,
}

/// How much of the allowed skin was used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct SkinUsedData {
    /// Used, in square centimetres.
    pub used_cm2: f64,
    /// Allowed, in square centimetres.
    pub allowed_cm2: f64,
    /// The one divided by the other, 0 to 1.
    pub share: f64,
}

/// How spread the injections of one zone lie.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct NeighboursData {
    /// Injections on the allowed skin.
    pub count: u32,
    /// Mean distance to the nearest other one, in centimetres.
    pub mean_cm: f64,
    /// What chance would give, in centimetres.
    pub expected_cm: f64,
    /// The one divided by the other.
    pub ratio: f64,
    /// Low end of what 95 of 100 random patterns give.
    pub random_low: f64,
    /// High end of it.
    pub random_high: f64,
    /// Random patterns thrown on this skin; absent where a formula for rectangles was used.
    pub thrown: Option<u32>,
}

/// Spread in one zone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ZoneSpread {
    /// The zone.
    pub zone: String,
    /// What was found.
    pub spread: Told<NeighboursData>,
}

/// One part of the body and its injections.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PartCount {
    /// `left`, or `abdomen/left_lower`.
    pub part: String,
    /// Its name.
    pub words: String,
    /// Injections into it.
    pub count: u32,
}

/// How evenly injections went to several parts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct BalanceData {
    /// Every part that could be used or was.
    pub counts: Vec<PartCount>,
    /// Normalised entropy, 0 to 1: 1 is all alike.
    pub evenness: f64,
}

/// Injections one after the other into one quadrant.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RunData {
    /// The zone.
    pub zone: String,
    /// The quadrant.
    pub quadrant: String,
    /// How many.
    pub count: u32,
    /// Day of the first.
    pub first: String,
    /// Day of the last.
    pub last: String,
}

/// The square centimetre with the most injections.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct BusiestData {
    /// Its centre.
    pub place: SiteData,
    /// Injections in it.
    pub count: u32,
}

/// See [`Request::Measures`](super::Request::Measures).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct MeasuresData {
    /// First day.
    pub from: String,
    /// Last day.
    pub to: String,
    /// Both in words.
    pub words: String,
    /// Injections in the period.
    pub injections: u32,
    /// Those of them known only to the quadrant.
    pub quadrant_only: u32,
    /// Whose rules say which skin is allowed; absent where there is neither an order nor an injection.
    pub rules: Option<RulesOf>,
    /// The allowed skin.
    pub allowed: Vec<AllowedZone>,
    /// Whether spacing was kept.
    pub spacing: Told<KeptData>,
    /// Whether skin had rested.
    pub rest: Told<KeptData>,
    /// How much skin was used.
    pub skin_used: Told<SkinUsedData>,
    /// Spread, for each zone that was used.
    pub neighbours: Vec<ZoneSpread>,
    /// Balance between left and right.
    pub sides: Told<BalanceData>,
    /// Balance between quadrants.
    pub quadrants: Told<BalanceData>,
    /// The longest run in one quadrant.
    pub longest_run: Told<RunData>,
    /// The most used square centimetre.
    pub busiest: Told<BusiestData>,
    /// Measures taken from the reference adult, in words.
    pub assumed: Vec<String>,
}

/// Arguments of `use_grid`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct UseGridGet {
    /// The person.
    pub person: String,
    /// As of when; now when absent.
    #[serde(default)]
    pub at: Option<String>,
    /// One zone; all seven when absent.
    #[serde(default)]
    pub zone: Option<String>,
}

/// Neighbouring used cells of one row, from low `across` to high. The lists are of one length.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct CellRow {
    /// Centre of the first cell; each further one lies `cell_cm` farther across.
    pub first: XY,
    /// Whole days since the last injection within the radius.
    pub days: Vec<u32>,
    /// Step of the ramp, 0 just used to 5 rested.
    pub step: Vec<u8>,
    /// Injections within the radius, each weighing half after every half-life; two decimals.
    pub load: Vec<f64>,
}

/// Entries of one quadrant that have no point.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct UnplacedUse {
    /// The quadrant.
    pub quadrant: String,
    /// How many in the last year.
    pub count: u32,
    /// Whole days since the last.
    pub days: u32,
}

/// Use of one zone's skin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ZoneCells {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub words: String,
    /// Cells the zone has; those not named in `rows` were not used in the last year.
    pub cells: u32,
    /// Its used cells, from the bottom upwards.
    pub rows: Vec<CellRow>,
    /// Entries known only to the quadrant, never spread over cells.
    pub unplaced: Vec<UnplacedUse>,
}

/// See [`Request::UseGrid`](super::Request::UseGrid).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct UseGridData {
    /// As of when.
    pub at: String,
    /// Side of a cell, in centimetres.
    pub cell_cm: f64,
    /// Skin nearer than this to an injection has been used; centimetres.
    pub radius_cm: f64,
    /// Days after which an injection weighs half in `load`.
    pub half_life_days: f64,
    /// Whose spacing and rest these are; absent where there is neither an order nor an injection.
    pub rules: Option<RulesOf>,
    /// The zones.
    pub zones: Vec<ZoneCells>,
}
