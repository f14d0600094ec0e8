//! Every type that crosses the door, in and out. Plain data: no rule is decided here.
//!
//! Wire types hold what was sent; [`crate::lower`] turns them into the domain's types or a coded error.
//! `ui/src/wire.ts` is generated from this file (`cargo xtask types`).

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A request: one operation with its arguments, `{"op":"site_check","args":{…}}`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "op", content = "args", rename_all = "snake_case")]
pub enum Request {
    /// What this copy is and which store it has open.
    Status {},
    /// The medicines this program has rules for, with sources.
    MedicineList {},
    /// Settings of the practice, and the published values they choose among.
    PracticeGet {},
    /// Choose among published values.
    PracticeSet(PracticeSet),
    /// Add a person.
    PersonAdd(PersonAdd),
    /// Replace what is known of a person; a new entry that supersedes the last one.
    PersonChange(PersonChange),
    /// Everybody on this device, with the last injection of each.
    PersonList(PersonList),
    /// One person with orders, measures assumed and the last injection.
    PersonGet(PersonRef),
    /// Add an order.
    OrderAdd(OrderAdd),
    /// End an order on a day.
    OrderEnd(OrderEnd),
    /// Check a proposed site.
    SiteCheck(SiteCheck),
    /// Suggest the next sites.
    SiteSuggest(SiteSuggest),
    /// What a touch on the body drawing means.
    SiteAt(SiteAt),
    /// Record an injection that was given.
    InjectionRecord(InjectionRecord),
    /// Correct an injection, or withdraw it as entered in error; a new entry that supersedes it.
    InjectionCorrect(InjectionCorrect),
    /// The injections of a period, newest first.
    InjectionList(InjectionList),
    /// Recent use of every zone and quadrant.
    UseMap(UseMap),
    /// The body drawing with the person's zones on it.
    BodyDrawing(BodyDrawing),
    /// One zone unrolled flat, in centimetres.
    Patch(PatchGet),
    /// What a typed local time means in a zone.
    TimeResolve(TimeResolve),
    /// Keep an unfinished form.
    DraftSave(DraftSave),
    /// Read an unfinished form back.
    DraftGet(DraftRef),
    /// Forget an unfinished form.
    DraftDrop(DraftRef),
}

/// A reply, `{"op":"site_check","data":{…}}`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "op", content = "data", rename_all = "snake_case")]
pub enum Response {
    /// See [`Request::Status`].
    Status(StatusData),
    /// See [`Request::MedicineList`].
    MedicineList(MedicineListData),
    /// See [`Request::PracticeGet`].
    PracticeGet(PracticeData),
    /// See [`Request::PracticeSet`].
    PracticeSet(PracticeData),
    /// See [`Request::PersonAdd`].
    PersonAdd(PersonData),
    /// See [`Request::PersonChange`].
    PersonChange(PersonData),
    /// See [`Request::PersonList`].
    PersonList(PersonListData),
    /// See [`Request::PersonGet`].
    PersonGet(PersonDetail),
    /// See [`Request::OrderAdd`].
    OrderAdd(OrderData),
    /// See [`Request::OrderEnd`].
    OrderEnd(OrderData),
    /// See [`Request::SiteCheck`].
    SiteCheck(SiteCheckData),
    /// See [`Request::SiteSuggest`].
    SiteSuggest(SiteSuggestData),
    /// See [`Request::SiteAt`].
    SiteAt(SiteAtData),
    /// See [`Request::InjectionRecord`].
    InjectionRecord(InjectionData),
    /// See [`Request::InjectionCorrect`].
    InjectionCorrect(InjectionData),
    /// See [`Request::InjectionList`].
    InjectionList(InjectionListData),
    /// See [`Request::UseMap`].
    UseMap(UseMapData),
    /// See [`Request::BodyDrawing`].
    BodyDrawing(BodyDrawingData),
    /// See [`Request::Patch`].
    Patch(PatchData),
    /// See [`Request::TimeResolve`].
    TimeResolve(TimeResolveData),
    /// See [`Request::DraftSave`].
    DraftSave(DraftData),
    /// See [`Request::DraftGet`].
    DraftGet(DraftData),
    /// See [`Request::DraftDrop`].
    DraftDrop(DraftData),
}

// ---------------------------------------------------------------- parts used by several operations

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
    /// Who corrected or withdrew the entry it replaces.
    pub corrected_by: Option<String>,
    /// Why it went on against an `avoid` or inside the interval, or why it was corrected.
    pub reason: Option<String>,
    /// Free text.
    pub note: Option<String>,
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

// ---------------------------------------------------------------- status, medicines, practice

/// What this copy is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct StatusData {
    /// Program version.
    pub version: String,
    /// Whether writing is possible; false for a store made by a newer version.
    pub writable: bool,
    /// Whether this is the made-up caseload.
    pub demo: bool,
    /// Whether the clock was set by hand.
    pub clock_set: bool,
    /// Now, RFC 3339 at this device's offset.
    pub now: String,
    /// Time zone rules in use.
    pub tz_version: String,
    /// The entry with a recording time later than now, if any: the clock may be wrong.
    pub clock_behind: bool,
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

// ---------------------------------------------------------------- people and orders

/// Arguments of `person_add`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct PersonAdd {
    /// An id made by the caller; made here when absent.
    #[serde(default)]
    pub id: Option<String>,
    /// Full name.
    pub name: String,
    /// Date of birth, `1951-03-09`.
    pub born: String,
    /// IANA time zone, `Europe/London`.
    pub zone: String,
    /// Absent: not asked. Empty: asked, none known. Otherwise what is known.
    #[serde(default)]
    pub allergies: Option<Vec<String>>,
    /// Whether the person injects themself.
    #[serde(default)]
    #[ts(optional, as = "Option<_>")]
    pub self_injects: bool,
    /// Measures.
    #[serde(default)]
    #[ts(optional, as = "Option<_>")]
    pub sizes: SizesWire,
    /// Zones this person uses, the preferred first; empty or absent leaves it to the medicine.
    #[serde(default)]
    #[ts(optional, as = "Option<_>")]
    pub zones: Vec<String>,
    /// A second identifier.
    #[serde(default)]
    pub identifier: Option<String>,
    /// Free text.
    #[serde(default)]
    pub note: Option<String>,
    /// Who makes the entry.
    #[serde(default)]
    pub recorder: Option<String>,
}

/// Arguments of `person_change`: the whole of what is known now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct PersonChange {
    /// The person.
    pub person: String,
    /// Everything as it should read from now on (`id` is left out).
    pub to: PersonAdd,
    /// Why.
    #[serde(default)]
    pub reason: Option<String>,
}

/// A person as known now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PersonData {
    /// The person's id, which stays the same through changes.
    pub id: String,
    /// Full name.
    pub name: String,
    /// Date of birth.
    pub born: String,
    /// Date of birth in words, `9 Mar 1951`.
    pub born_words: String,
    /// Age in whole years now.
    pub age: u32,
    /// Time zone.
    pub zone: String,
    /// Absent: not asked. Empty: none known.
    pub allergies: Option<Vec<String>>,
    /// Whether the person injects themself.
    pub self_injects: bool,
    /// Measures taken.
    pub sizes: SizesWire,
    /// Zones preferred.
    pub zones: Vec<String>,
    /// A second identifier.
    pub identifier: Option<String>,
    /// Free text.
    pub note: Option<String>,
}

/// Arguments of `person_list`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct PersonList {
    /// Only people whose name or identifier contains this.
    #[serde(default)]
    pub search: Option<String>,
}

/// One row of the caseload.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PersonRow {
    /// The person.
    pub person: PersonData,
    /// Orders in force today.
    pub orders: Vec<OrderData>,
    /// The last injection of any medicine.
    pub last: Option<InjectionData>,
    /// How long ago it was, `4 h 10 min`.
    pub last_ago: Option<String>,
}

/// See [`Request::PersonList`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PersonListData {
    /// By name.
    pub people: Vec<PersonRow>,
}

/// Names one person.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct PersonRef {
    /// The person's id.
    pub person: String,
}

/// See [`Request::PersonGet`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PersonDetail {
    /// The person.
    pub person: PersonData,
    /// Every order, those in force first.
    pub orders: Vec<OrderData>,
    /// Measures taken from the reference adult because they are not known, in words.
    pub assumed: Vec<String>,
    /// The last injection of any medicine.
    pub last: Option<InjectionData>,
    /// How long ago, in words.
    pub last_ago: Option<String>,
    /// Names seen in this person's entries, the latest first.
    pub recorders: Vec<String>,
    /// Injections of the last 28 days.
    pub count_28_days: u32,
}

/// Arguments of `order_add`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct OrderAdd {
    /// An id made by the caller; made here when absent.
    #[serde(default)]
    pub id: Option<String>,
    /// The person.
    pub person: String,
    /// Key of the medicine.
    pub medicine: String,
    /// The dose each time.
    pub dose: DoseWire,
    /// Times of day, `08:00`; empty means when needed.
    #[serde(default)]
    #[ts(optional, as = "Option<_>")]
    pub times: Vec<String>,
    /// Given every this many days; the medicine's usual, else 1, when absent.
    #[serde(default)]
    pub every_days: Option<u16>,
    /// First day, `2026-06-01`.
    pub from: String,
    /// Last day.
    #[serde(default)]
    pub to: Option<String>,
    /// Who prescribed it.
    pub prescriber: String,
    /// Anything written beside it.
    #[serde(default)]
    pub note: Option<String>,
    /// Who makes the entry.
    #[serde(default)]
    pub recorder: Option<String>,
}

/// Arguments of `order_end`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct OrderEnd {
    /// The order.
    pub order: String,
    /// Its last day.
    pub to: String,
    /// Why it ends.
    pub reason: String,
    /// Who makes the entry.
    #[serde(default)]
    pub recorder: Option<String>,
}

/// An order as known now.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct OrderData {
    /// The order's id, which stays the same through changes.
    pub id: String,
    /// The person.
    pub person: String,
    /// Key of the medicine.
    pub medicine: String,
    /// Generic name and strength.
    pub medicine_name: String,
    /// The dose each time.
    pub dose: DoseWire,
    /// The dose for people.
    pub dose_words: String,
    /// Times of day.
    pub times: Vec<String>,
    /// Given every this many days.
    pub every_days: u16,
    /// When, in words: `daily at 08:00`, `every 7 days at 09:00`, `when needed`.
    pub times_words: String,
    /// First day.
    pub from: String,
    /// Last day.
    pub to: Option<String>,
    /// Who prescribed it.
    pub prescriber: String,
    /// Free text.
    pub note: Option<String>,
    /// `in_force`, `not_yet` or `ended`, today.
    #[ts(type = "\"in_force\" | \"not_yet\" | \"ended\"")]
    pub state: String,
    /// Cautions of the medicine.
    pub cautions: Vec<String>,
}

// ---------------------------------------------------------------- sites

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

// ---------------------------------------------------------------- injections

/// Arguments of `injection_record`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct InjectionRecord {
    /// A UUID made by the caller when the form opened; saving it twice saves once.
    pub id: String,
    /// The person.
    pub person: String,
    /// The order.
    pub order: String,
    /// Where it went.
    pub site: SiteWire,
    /// When it was given; RFC 3339 with offset, or a local time in the zone.
    pub given_at: String,
    /// The zone it was entered under; the person's when absent.
    #[serde(default)]
    pub zone: Option<String>,
    /// How much was given.
    pub dose: DoseWire,
    /// Who gave it.
    pub recorder: String,
    /// Why it was given against an `avoid`, or inside the usual interval.
    #[serde(default)]
    pub reason: Option<String>,
    /// The codes the reason was given for: `avoid_needs_reason`, `second_dose`, `order_not_in_force`. A screen lists
    /// those it has shown, so that a reason for one never silences another; absent, the reason is for all of them.
    #[serde(default)]
    pub acknowledges: Option<Vec<String>>,
    /// Free text.
    #[serde(default)]
    pub note: Option<String>,
    /// Who gave it: `self` or `other`; absent takes the person's habit.
    #[serde(default)]
    pub giver: Option<String>,
}

/// Arguments of `injection_correct`. Members left out stay as they were.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct InjectionCorrect {
    /// A UUID made by the caller.
    pub id: String,
    /// The entry that is wrong.
    pub replaces: String,
    /// What was wrong with it.
    pub reason: String,
    /// True withdraws it: it never happened.
    #[serde(default)]
    #[ts(optional, as = "Option<_>")]
    pub entered_in_error: bool,
    /// Where it really went.
    #[serde(default)]
    pub site: Option<SiteWire>,
    /// When it was really given.
    #[serde(default)]
    pub given_at: Option<String>,
    /// The zone of that time.
    #[serde(default)]
    pub zone: Option<String>,
    /// How much was really given.
    #[serde(default)]
    pub dose: Option<DoseWire>,
    /// The order it really belongs to.
    #[serde(default)]
    pub order: Option<String>,
    /// Who makes the correction.
    #[serde(default)]
    pub recorder: Option<String>,
    /// Free text.
    #[serde(default)]
    pub note: Option<String>,
}

/// Arguments of `injection_list`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct InjectionList {
    /// The person.
    pub person: String,
    /// From this instant or day on.
    #[serde(default)]
    pub from: Option<String>,
    /// Up to this instant, or to the end of this day.
    #[serde(default)]
    pub to: Option<String>,
    /// Also entries that were corrected or withdrawn.
    #[serde(default)]
    #[ts(optional, as = "Option<_>")]
    pub superseded: bool,
    /// At most this many, 1 to 5000; 1000 when absent.
    #[serde(default)]
    pub limit: Option<u32>,
}

/// See [`Request::InjectionList`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct InjectionListData {
    /// The newest first, by the instant given, then by the order recorded.
    pub injections: Vec<InjectionData>,
    /// Whether the limit cut the list.
    pub more: bool,
}

// ---------------------------------------------------------------- the body

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
}

// ---------------------------------------------------------------- time and drafts

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
