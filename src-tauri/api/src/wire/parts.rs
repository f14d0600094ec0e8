//! Parts used by several operations: doses, sites, reasons, injections, errors.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::forms::TimeOffer;
use super::visit::ActData;

/// A decimal amount and its unit. The value is text so that no digit is lost: `12`, `0.5`, `5.25`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct DoseWire {
    /// Plain decimal, at most three decimals.
    pub value: String,
    /// `units`, `mg` or `micrograms`.
    pub unit: String,
}

/// A site as sent: a zone and a quadrant, with both coordinates or neither.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct SiteWire {
    /// `abdomen`, `left_thigh`, `right_thigh`, `left_arm`, `right_arm`, `left_buttock`, `right_buttock`.
    pub zone: String,
    /// One of the zone's four quadrants; may be left out where both coordinates are given.
    #[serde(default)]
    pub quadrant: Option<String>,
    /// Centimetres across from the landmark.
    #[serde(default)]
    pub across_cm: Option<f64>,
    /// Centimetres up from the landmark.
    #[serde(default)]
    pub up_cm: Option<f64>,
}

/// Measures in centimetres; a measure that was not taken is left out.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct SizesWire {
    /// Standing height, 50 to 250.
    #[serde(default)]
    pub height_cm: Option<f64>,
    /// Girth at the navel, 30 to 250.
    #[serde(default)]
    pub waist_cm: Option<f64>,
    /// Girth of the upper thigh, 15 to 150.
    #[serde(default)]
    pub thigh_cm: Option<f64>,
    /// Girth of the upper arm, 8 to 90.
    #[serde(default)]
    pub upper_arm_cm: Option<f64>,
}

/// One reason of a verdict.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ReasonData {
    /// The rule's name, such as `spacing`, `point_rest`, `navel_margin`.
    pub rule: String,
    /// `caution` or `avoid`.
    #[ts(type = "\"caution\" | \"avoid\"")]
    pub level: String,
    /// The reason as one sentence.
    pub words: String,
    /// What was measured; the lower end where it is an interval, absent where nothing can be measured.
    pub measured: Option<f64>,
    /// The upper end of an interval, where an earlier entry is known only to the quadrant.
    pub measured_high: Option<f64>,
    /// The limit it was held against.
    pub limit: Option<f64>,
    /// The unit of measured and limit: `cm`, `days`, `hours`.
    pub unit: Option<String>,
    /// Where the limit comes from, or `from memory`.
    pub source: String,
    /// Ids of the earlier injections it is about.
    pub injections: Vec<String>,
    /// Ids of the findings it is about.
    pub findings: Vec<String>,
}

/// A place with words for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct SiteData {
    /// The place; all four members where the point is known.
    pub site: SiteWire,
    /// `Abdomen, left lower quadrant: 5.5 cm to the person's left of the navel, 3 cm below it`.
    pub words: String,
    /// The same, spoken to the patient: "your left".
    pub words_patient: String,
}

/// An injection of the record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct InjectionData {
    /// The entry's id.
    pub id: String,
    /// The person.
    pub person: String,
    /// The order it was given under.
    pub order: String,
    /// Key of the medicine.
    pub medicine: String,
    /// Generic name and strength.
    pub medicine_name: String,
    /// Where it went.
    #[serde(flatten)]
    pub place: SiteData,
    /// When, RFC 3339 at the offset it was entered under.
    pub given_at: String,
    /// When, in words: `Sun 25 Oct 2026, 02:40 (+02:00)`; the offset is shown where the clock alone would mislead.
    pub given_words: String,
    /// The day it counts for, `2026-10-25`: the date at its own offset.
    pub day: String,
    /// When the entry was made.
    pub recorded_at: String,
    /// Whether it was recorded more than an hour after it was given.
    pub late: bool,
    /// Whether the clock of this entry was set by hand (`--clock`).
    pub clock_set: bool,
    /// Time zone it was entered under.
    pub zone: String,
    /// How much.
    pub dose: DoseWire,
    /// How much, for people: `1,000 units`.
    pub dose_words: String,
    /// Who gave or recorded it.
    pub recorder: String,
    /// Whether the PIN of whoever wrote the entry (`corrected_by` for a correction, else `recorder`) had been given; absent
    /// where that name had no PIN.
    pub recorder_confirmed: Option<bool>,
    /// Who corrected or withdrew the entry it replaces.
    pub corrected_by: Option<String>,
    /// Why it went on against an `avoid` or inside the interval, or why it was corrected.
    pub reason: Option<String>,
    /// Free text.
    pub note: Option<String>,
    /// What was checked before and seen afterwards.
    pub act: ActData,
    /// `given` or `entered_in_error`.
    #[ts(type = "\"given\" | \"entered_in_error\"")]
    pub status: String,
    /// The entry this one replaces.
    pub replaces: Option<String>,
    /// The entry that replaced this one.
    pub replaced_by: Option<String>,
}

/// Time since the last injection of the same medicine, by elapsed hours.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct SinceLast {
    /// The earlier injection.
    pub injection: InjectionData,
    /// Elapsed minutes, counted on the instants, not the dates.
    pub minutes: i32,
    /// `17 h 30 min`.
    pub words: String,
    /// Whether that is early for this order.
    pub early: bool,
    /// Whether recording now needs a reason.
    pub needs_reason: bool,
    /// The usual hours between doses of this order; absent where it is given when needed.
    pub usual_hours: Option<f64>,
}

/// An error: the code for programs, the message for people.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(optional_fields)]
pub struct ErrorData {
    /// A stable code; `ErrorCode` lists them all.
    #[ts(type = "ErrorCode")]
    pub code: String,
    /// What is wrong and what to do.
    pub message: String,
    /// For `second_dose`: the earlier entry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub earlier: Option<Box<InjectionData>>,
    /// For `second_dose`: how long ago, in words (`4 min`).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ago: Option<String>,
    /// For `time_in_gap` and `time_ambiguous`: the instants that may have been meant.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub offers: Option<Vec<TimeOffer>>,
    /// For `avoid_needs_reason`: the reasons of the verdict.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reasons: Option<Vec<ReasonData>>,
}
