//! Findings on the skin, skin checks, and what is said when a lump is left.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::body::XY;
use super::parts::SiteData;

/// Where a finding lies on its zone's patch: an ellipse by its middle and two axes, or a line drawn around it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct PlaceWire {
    /// The middle of an ellipse; absent where there is an outline.
    #[serde(default)]
    pub centre: Option<XY>,
    /// Its whole length along its first axis, in millimetres, 1 to 400.
    #[serde(default)]
    pub length_mm: Option<f64>,
    /// Its whole length along the axis square to that, in millimetres, 1 to 400.
    #[serde(default)]
    pub width_mm: Option<f64>,
    /// How far the first axis is turned from `across` towards `up`, in degrees; 0 when absent.
    #[serde(default)]
    pub turned_degrees: Option<f64>,
    /// A line drawn around it: 3 to 500 points, closed from the last to the first.
    #[serde(default)]
    pub outline: Option<Vec<XY>>,
}

/// Arguments of `finding_record`: something new on the skin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct FindingRecord {
    /// A UUID made by the caller when the form opened.
    pub id: String,
    /// The person.
    pub person: String,
    /// `lump`, `dent`, `bruise`, `bleeding`, `redness`, `swelling`, `broken_skin`, `scar`, `mole`, `tattoo`, `stoma`,
    /// `sensor`, `infusion_set` or `other`.
    pub kind: String,
    /// The zone it lies in.
    pub zone: String,
    /// Where and how large.
    pub place: PlaceWire,
    /// `seen`, `felt` or `seen_and_felt`.
    pub noticed: String,
    /// How a lump feels: `soft` or `firm`; absent where nobody said.
    #[serde(default)]
    pub feel: Option<String>,
    /// For how many days a device is worn, 1 to 366.
    #[serde(default)]
    pub wear_days: Option<u16>,
    /// When it was looked at; RFC 3339 with offset, or a local time in the person's zone.
    pub at: String,
    /// Who looked.
    pub recorder: String,
    /// Free text; needed for `other`.
    #[serde(default)]
    pub note: Option<String>,
}

/// Arguments of `finding_look`: a finding looked at again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct FindingLook {
    /// A UUID made by the caller.
    pub id: String,
    /// The finding: the id of the entry that found it.
    pub finding: String,
    /// `there`, `healed` or `removed`.
    pub state: String,
    /// Where and how large it is now; needed for `there`, not allowed otherwise.
    #[serde(default)]
    pub place: Option<PlaceWire>,
    /// As in `finding_record`; needed for `there`.
    #[serde(default)]
    pub noticed: Option<String>,
    /// How a lump feels now.
    #[serde(default)]
    pub feel: Option<String>,
    /// When.
    pub at: String,
    /// Who looked.
    pub recorder: String,
    /// Free text.
    #[serde(default)]
    pub note: Option<String>,
}

/// Arguments of `finding_withdraw` and `skin_check_withdraw`: an entry that was made in error.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct SkinWithdraw {
    /// A UUID made by the caller.
    pub id: String,
    /// The look or the check. Withdrawing the look that found it withdraws the finding with all its looks.
    pub replaces: String,
    /// Why.
    pub reason: String,
    /// Who withdraws it.
    pub recorder: String,
}

/// Arguments of `finding_list`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct FindingList {
    /// The person.
    pub person: String,
    /// As of when; now when absent.
    #[serde(default)]
    pub at: Option<String>,
}

/// One look at a finding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct LookData {
    /// The entry's id.
    pub id: String,
    /// When, RFC 3339.
    pub at: String,
    /// When, in words.
    pub at_words: String,
    /// Who looked.
    pub recorder: String,
    /// `there`, `healed` or `removed`.
    #[ts(type = "\"there\" | \"healed\" | \"removed\"")]
    pub state: String,
    /// Its longer axis in millimetres, where it was there.
    pub long_mm: Option<f64>,
    /// Its shorter axis in millimetres.
    pub short_mm: Option<f64>,
    /// How it was noticed.
    pub noticed: Option<String>,
    /// How a lump felt.
    pub feel: Option<String>,
    /// Free text.
    pub note: Option<String>,
    /// The look as one sentence: `Felt, soft: 24 mm by 18 mm.`
    pub words: String,
    /// Why this look was withdrawn; absent where it counts.
    pub withdrawn: Option<String>,
    /// Who withdrew it and when, in words; absent where it counts.
    pub withdrawn_by: Option<String>,
}

/// A finding with its course.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct FindingData {
    /// The id of the entry that found it.
    pub id: String,
    /// The person.
    pub person: String,
    /// Its kind.
    pub kind: String,
    /// Its kind in words: `firm lump`.
    pub kind_words: String,
    /// The zone.
    pub zone: String,
    /// The zone in words.
    pub zone_words: String,
    /// Where its middle is, at the last look that said so.
    pub place: SiteData,
    /// As sent: where and how large, at the last look that said so.
    pub shape: PlaceWire,
    /// Its outline for drawing, closed, at the last look that said so.
    pub ring: Vec<XY>,
    /// Whether it is worn and taken off.
    pub device: bool,
    /// How far to stay from its edge, in centimetres.
    pub margin_cm: f64,
    /// Who says so.
    pub margin_source: String,
    /// `there`, `healed`, `removed`, `worn_out`, or `not_yet` where the question is about a time before.
    #[ts(type = "\"there\" | \"healed\" | \"removed\" | \"worn_out\" | \"not_yet\"")]
    pub state: String,
    /// How it stands as one sentence.
    pub state_words: String,
    /// When a device's wear time ends, in words.
    pub until_words: Option<String>,
    /// Every look, the earliest first; withdrawn ones too.
    pub looks: Vec<LookData>,
    /// How it changed: `28 mm on 3 Nov, 24 mm on 1 Dec.`; absent with one size.
    pub change_words: Option<String>,
}

/// See [`super::Request::FindingList`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct FindingListData {
    /// Those that are there first, then those that ended; each by when it was found, the newest first.
    pub findings: Vec<FindingData>,
    /// Those that were entered in error, each by when it was found, the newest first. They count for nothing.
    pub withdrawn: Vec<WithdrawnFinding>,
    /// The kinds that can be recorded.
    pub kinds: Vec<FindingKindData>,
}

/// A finding that was entered in error.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct WithdrawnFinding {
    /// The id of the entry that found it.
    pub id: String,
    /// Its kind.
    pub kind: String,
    /// Its kind in words.
    pub kind_words: String,
    /// Where its middle was said to be.
    pub place: SiteData,
    /// The look that found it, with why it was withdrawn, by whom and when.
    pub look: LookData,
}

/// A kind of finding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct FindingKindData {
    /// Its code.
    pub kind: String,
    /// Its name.
    pub words: String,
    /// Whether it is worn and taken off.
    pub device: bool,
    /// How far to stay from its edge.
    pub margin_cm: f64,
    /// Who says so.
    pub margin_source: String,
}

/// What was said of one zone in a skin check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct ZoneSeenWire {
    /// The zone.
    pub zone: String,
    /// `clear`, `finding` or `not_looked_at`.
    pub seen: String,
}

/// Arguments of `skin_check_record`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct SkinCheckRecord {
    /// A UUID made by the caller.
    pub id: String,
    /// The person.
    pub person: String,
    /// When.
    pub at: String,
    /// Who looked and felt.
    pub recorder: String,
    /// Each zone that was asked about, once.
    pub zones: Vec<ZoneSeenWire>,
    /// How many injections with one needle, 1 to 100; absent where nobody asked.
    #[serde(default)]
    pub needle_uses: Option<u16>,
    /// The year insulin was begun; absent where nobody asked or there is none.
    #[serde(default)]
    pub insulin_since: Option<i32>,
    /// Whether there were low values nobody can explain; absent where nobody asked.
    #[serde(default)]
    pub unexplained_lows: Option<bool>,
    /// Free text.
    #[serde(default)]
    pub note: Option<String>,
}

/// A skin check of the record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct SkinCheckData {
    /// The entry's id.
    pub id: String,
    /// When, RFC 3339.
    pub at: String,
    /// When, in words.
    pub at_words: String,
    /// Who looked and felt.
    pub recorder: String,
    /// Each zone with what was said of it.
    pub zones: Vec<ZoneSeenData>,
    /// As sent.
    pub needle_uses: Option<u16>,
    /// As sent.
    pub insulin_since: Option<i32>,
    /// As sent.
    pub unexplained_lows: Option<bool>,
    /// Free text.
    pub note: Option<String>,
    /// The check as one sentence: `4 zones clear, 1 with a finding, 2 not looked at.`
    pub words: String,
    /// Why it was withdrawn; absent where it counts.
    pub withdrawn: Option<String>,
}

/// What was said of one zone, in words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ZoneSeenData {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub zone_words: String,
    /// `clear`, `finding` or `not_looked_at`.
    #[ts(type = "\"clear\" | \"finding\" | \"not_looked_at\"")]
    pub seen: String,
}

/// A step of looking and feeling.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct LookStepData {
    /// What to do.
    pub words: String,
    /// Who says so, or `from memory`.
    pub source: String,
}

/// Arguments of `skin_state`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct SkinStateGet {
    /// The person.
    pub person: String,
}

/// See [`super::Request::SkinState`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct SkinStateData {
    /// `never`, `overdue`, `suggested` or `not_due`.
    #[ts(type = "\"never\" | \"overdue\" | \"suggested\" | \"not_due\"")]
    pub due: String,
    /// That in one sentence.
    pub due_words: String,
    /// Why a check is suggested, one sentence each.
    pub hints: Vec<String>,
    /// Who says how often.
    pub due_source: String,
    /// The zones in use: those the person uses, else those of the orders' medicines, with those used in the last year.
    pub zones: Vec<ZoneSeenData>,
    /// The guided steps.
    pub steps: Vec<LookStepData>,
    /// The caution that feeling misses lumps.
    pub caution: String,
    /// Who says so.
    pub caution_source: String,
    /// Whether an order of insulin is known, so that needles and years of insulin are worth asking.
    pub insulin: bool,
    /// Checks so far, newest first; withdrawn ones too.
    pub checks: Vec<SkinCheckData>,
    /// How many findings are there now.
    pub findings_there: u32,
}

/// What is said when the next site leaves a lump, or a zone with one, for healthy skin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct LeavingLump {
    /// The caution.
    pub words: String,
    /// Who says so.
    pub source: String,
    /// The findings it is about.
    pub findings: Vec<String>,
}
