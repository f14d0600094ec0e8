//! Status, medicines and the choices of the practice.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// What this copy is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct StatusData {
    /// Program version.
    pub version: String,
    /// Whether writing is possible; false for a store made by a newer version.
    pub writable: bool,
    /// Whether this is the made-up caseload.
    pub demo: bool,
    /// Whether the record is encrypted.
    pub protected: bool,
    /// Whether the clock was set by hand.
    pub clock_set: bool,
    /// Now, RFC 3339 at this device's offset.
    pub now: String,
    /// Time zone rules in use.
    pub tz_version: String,
    /// The entry with a recording time later than now, if any: the clock may be wrong.
    pub clock_behind: bool,
    /// Why today's copy of the record could not be made.
    pub backup_fault: Option<String>,
    /// People on this device.
    pub people: u32,
}

/// A value with its source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct SourcedValue {
    /// The value.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Where it comes from, or `from memory`.
    pub source: String,
}

/// A medicine there are rules for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct MedicineData {
    /// The key used in orders, such as `insulin-glargine-100`.
    pub id: String,
    /// Generic name and strength.
    pub name: String,
    /// Class, such as `insulin`.
    pub class: String,
    /// The usual unit of its doses.
    pub unit: String,
    /// Every unit its doses may be counted in.
    pub units: Vec<String>,
    /// Zones allowed, the preferred first.
    pub zones: Vec<String>,
    /// Source of the zones.
    pub zones_source: String,
    /// Zones where a helper is needed.
    pub helper_zones: Vec<String>,
    /// Spacing to earlier injections.
    pub spacing: Option<SourcedValue>,
    /// Rest of one point.
    pub point_rest: Option<SourcedValue>,
    /// Rest of a whole zone.
    pub zone_rest: Option<SourcedValue>,
    /// The pattern of sites, in words, with its source.
    pub pattern: String,
    /// Source of the pattern.
    pub pattern_source: String,
    /// Usual days between doses where it is not daily.
    pub every_days: Option<u16>,
    /// Cautions to show where it is chosen.
    pub cautions: Vec<String>,
}

/// See [`Request::MedicineList`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct MedicineListData {
    /// In alphabetical order.
    pub medicines: Vec<MedicineData>,
}

/// Arguments of `practice_set`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct PracticeSet {
    /// One of the published navel margins.
    pub navel_margin_cm: f64,
    /// Who chose it.
    #[serde(default)]
    pub recorder: Option<String>,
}

/// The practice's choices among published values.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PracticeData {
    /// The navel margin in force.
    pub navel_margin_cm: f64,
    /// The published values to choose from, smallest first.
    pub navel_margins: Vec<SourcedValue>,
}
