//! The visit: terms of orders, what goes with an injection, what happened around it, what is due, the handover.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{InjectionData, OrderData};

/// Zones kept for a time of day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct RegionWire {
    /// One of the order's times, `08:00`.
    pub time: String,
    /// Its zones.
    pub zones: Vec<String>,
}

/// Terms of an order; each may be left out where it is not known.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields, default)]
#[ts(optional_fields = nullable)]
pub struct OrderTerms {
    /// Weekdays, 1 Monday to 7 Sunday; empty is any day the rest of the order asks for.
    #[ts(optional, as = "Option<_>")]
    pub weekdays: Vec<u8>,
    /// Minutes before a time of day that count as on time; given together with the next.
    pub window_before_min: Option<u16>,
    /// Minutes after it.
    pub window_after_min: Option<u16>,
    /// `vial_and_syringe`, `pen` or `prefilled_syringe`.
    pub device: Option<String>,
    /// Needle length in millimetres, 3 to 40.
    pub needle_mm: Option<f64>,
    /// The day its prescriber signed it.
    pub signed_on: Option<String>,
    /// The last day before it must be looked at again.
    pub review_by: Option<String>,
    /// Whether glucose is measured before each injection.
    #[ts(optional, as = "Option<_>")]
    pub asks_glucose: bool,
    /// `mmol/L` or `mg/dL`, of the two limits.
    pub glucose_unit: Option<String>,
    /// Below this the low-glucose steps come up; set by the prescriber.
    pub glucose_low: Option<String>,
    /// Above this the order's instruction counts; set by the prescriber.
    pub glucose_high: Option<String>,
    /// Whether policy asks for a second person to check.
    #[ts(optional, as = "Option<_>")]
    pub second_check: bool,
    /// Who may give it, as the order or policy words it.
    pub may_give: Option<String>,
    /// Zones kept for times of day.
    #[ts(optional, as = "Option<_>")]
    pub regions: Vec<RegionWire>,
}

/// Arguments of `order_change`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct OrderChange {
    /// The order.
    pub order: String,
    /// Why it is changed: who ordered the change.
    pub reason: String,
    /// The order as it is from now on; its `person` must be the same and `id` is left out.
    pub to: super::OrderAdd,
}

/// What goes with an injection.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields, default)]
#[ts(optional_fields = nullable)]
pub struct ActWire {
    /// `fine`, `bleeding`, `leak`, `bruise`, `pain`, `lump_felt`.
    #[ts(optional, as = "Option<_>")]
    pub outcomes: Vec<String>,
    /// Codes of the checks that were done before.
    #[ts(optional, as = "Option<_>")]
    pub checks: Vec<String>,
    /// Why the dose is not the order's.
    pub dose_reason: Option<String>,
    /// Who checked as the second person.
    pub second_checker: Option<String>,
    /// Whether the needle went into the sharps bin.
    pub needle_disposed: Option<bool>,
    /// The container it came from.
    pub container: Option<String>,
}

/// What goes with an injection, with words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ActData {
    /// As it was recorded.
    #[serde(flatten)]
    pub act: ActWire,
    /// Whether the person held the needle; absent where nobody said.
    pub self_given: Option<bool>,
    /// What was seen afterwards, in words; absent where nobody said.
    pub outcome_words: Option<String>,
}

/// Arguments of `event_record`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct EventRecord {
    /// A UUID made by the caller; saving it twice saves once.
    pub id: String,
    /// The person.
    pub person: String,
    /// The order it concerns; needed for `not_given`.
    #[serde(default)]
    pub order: Option<String>,
    /// `not_given`, `glucose`, `ketones`, `carbohydrate` or `alarm`.
    pub about: String,
    /// The slot of an injection not given; else when it was measured or done.
    pub at: String,
    /// The zone of `at`; the person's when absent.
    #[serde(default)]
    pub zone: Option<String>,
    /// As read: `5.4`, `97`, `LO`, `HI`; grams of carbohydrate.
    #[serde(default)]
    pub value: Option<String>,
    /// `mmol/L`, `mg/dL` or `g`.
    #[serde(default)]
    pub unit: Option<String>,
    /// Of `not_given`: `declined`, `away`, `unwell`, `low_glucose`, `held_by_prescriber`, `no_supply`, `other`; of
    /// `alarm`: `cannot_swallow`, `drowsy`, `help_called`, `emergency_called`, and `over`, which ends the emergency.
    #[serde(default)]
    pub code: Option<String>,
    /// Free text; needed for `other`.
    #[serde(default)]
    pub note: Option<String>,
    /// Who records it.
    pub recorder: String,
}

/// Arguments of `event_withdraw`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct EventWithdraw {
    /// A UUID made by the caller.
    pub id: String,
    /// The event that never happened.
    pub replaces: String,
    /// Why.
    pub reason: String,
    /// Who withdraws it.
    pub recorder: String,
}

/// Arguments of `event_correct`: what is absent stays as it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct EventCorrect {
    /// A UUID made by the caller.
    pub id: String,
    /// The event that is wrong.
    pub replaces: String,
    /// What was wrong.
    pub reason: String,
    /// When it really was; of an injection not given, its slot.
    #[serde(default)]
    pub at: Option<String>,
    /// The zone of `at`; the event's when absent.
    #[serde(default)]
    pub zone: Option<String>,
    /// As really read.
    #[serde(default)]
    pub value: Option<String>,
    /// `mmol/L`, `mg/dL` or `g`.
    #[serde(default)]
    pub unit: Option<String>,
    /// As of `event_record`.
    #[serde(default)]
    pub code: Option<String>,
    /// Free text; empty removes the note.
    #[serde(default)]
    pub note: Option<String>,
    /// Who corrects it.
    pub recorder: String,
}

/// Arguments of `event_list`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct EventList {
    /// The person.
    pub person: String,
    /// First day; 27 days before the last when absent.
    #[serde(default)]
    pub from: Option<String>,
    /// Last day; today when absent.
    #[serde(default)]
    pub to: Option<String>,
    /// Also events that were put right or taken back, and the entries that took them back.
    #[serde(default)]
    pub superseded: bool,
}

/// Something that happened around an injection.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct EventData {
    /// The entry's id.
    pub id: String,
    /// The person.
    pub person: String,
    /// The order.
    pub order: Option<String>,
    /// What it is about.
    #[ts(type = "\"not_given\" | \"glucose\" | \"ketones\" | \"carbohydrate\" | \"alarm\"")]
    pub about: String,
    /// When.
    pub at: String,
    /// When, in words.
    pub at_words: String,
    /// When the entry was made.
    pub recorded_at: String,
    /// The value as read.
    pub value: Option<String>,
    /// Its unit.
    pub unit: Option<String>,
    /// Why, or which alarm.
    pub code: Option<String>,
    /// All of it as one sentence.
    pub words: String,
    /// Free text.
    pub note: Option<String>,
    /// Who recorded it, put it right or took it back.
    pub recorder: Option<String>,
    /// Why it was put right or taken back, of the entry that does.
    pub reason: Option<String>,
    /// `final`, or `entered_in_error` of the entry that takes an event back.
    #[ts(type = "\"final\" | \"entered_in_error\"")]
    pub status: String,
    /// The entry this one replaces.
    pub replaces: Option<String>,
    /// The entry that replaced this one.
    pub replaced_by: Option<String>,
}

/// See [`Request::EventList`](super::Request::EventList).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct EventListData {
    /// The newest first.
    pub events: Vec<EventData>,
}

/// Arguments of `due`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields, default)]
#[ts(optional_fields = nullable)]
pub struct DueGet {
    /// One person; everybody when absent.
    pub person: Option<String>,
    /// As of when; now when absent. Its day, on each person's clock, is the day that is shown.
    pub at: Option<String>,
}

/// One injection of the day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct DueSlot {
    /// The person.
    pub person: String,
    /// Their name.
    pub person_name: String,
    /// What is noted of them, such as how to get in.
    pub person_note: Option<String>,
    /// The order with its doubts and terms.
    pub order: OrderData,
    /// When it is due.
    pub at: String,
    /// The time of day in words, `08:00` or `8:00 am`.
    pub time: String,
    /// `late`, `due`, `upcoming`, `no_record`, `not_given` or `given`.
    #[ts(type = "\"late\" | \"due\" | \"upcoming\" | \"no_record\" | \"not_given\" | \"given\"")]
    pub standing: String,
    /// `late by 2 h`, `due at 08:00`, `in 45 min`.
    pub words: String,
    /// The injection that fills it.
    pub injection: Option<InjectionData>,
    /// The entry that says why it was not given.
    pub not_given: Option<EventData>,
    /// The last injection of this medicine, in words: how long ago, how much, by whom.
    pub last_words: Option<String>,
}

/// An order without times of day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct AsNeeded {
    /// The person.
    pub person: String,
    /// Their name.
    pub person_name: String,
    /// The order.
    pub order: OrderData,
    /// The last injection of this medicine, in words.
    pub last_words: Option<String>,
}

/// See [`Request::Due`](super::Request::Due).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct DueData {
    /// As of when.
    pub at: String,
    /// That in words, `Wed 3 Jun 2026, 09:00`.
    pub words: String,
    /// Late first, then what is due, what is still to come, and what is done.
    pub slots: Vec<DueSlot>,
    /// Orders given when needed.
    pub as_needed: Vec<AsNeeded>,
    /// The next injection after this day where nothing is open today: `next tomorrow at 08:00`; of one person only.
    pub next_words: Option<String>,
}

/// Arguments of `handover`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields, default)]
#[ts(optional_fields = nullable)]
pub struct HandoverGet {
    /// From when; eight hours before the end when absent.
    pub from: Option<String>,
    /// Up to when; now when absent.
    pub to: Option<String>,
}

/// One line of the handover.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct HandoverLine {
    /// The person.
    pub person: String,
    /// Their name.
    pub person_name: String,
    /// What happened, in words.
    pub words: String,
    /// The order whose slot stands open.
    pub order: Option<String>,
    /// The slot that stands open.
    pub at: Option<String>,
}

/// See [`Request::Handover`](super::Request::Handover).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct HandoverData {
    /// The time it covers, in words.
    pub words: String,
    /// `7 given, 1 not given, 2 without a record, 1 concern.`
    pub summary: String,
    /// What to look after: lumps felt, low values, alarms, going on in spite of a caution, doubtful orders.
    pub concerns: Vec<HandoverLine>,
    /// Not given, and why.
    pub not_given: Vec<HandoverLine>,
    /// Due in that time and nothing recorded.
    pub open: Vec<HandoverLine>,
    /// Given.
    pub given: Vec<HandoverLine>,
}

/// Arguments of `container_add`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct ContainerAdd {
    /// A UUID made by the caller.
    pub id: String,
    /// The person.
    pub person: String,
    /// The order it is used for.
    pub order: String,
    /// The container this corrects, by the id of its newest entry.
    #[serde(default)]
    pub replaces: Option<String>,
    /// Medicine as its label has it.
    pub medicine: String,
    /// Strength as its label has it, `100 units/mL`.
    #[serde(default)]
    pub strength: Option<String>,
    /// Batch.
    #[serde(default)]
    pub batch: Option<String>,
    /// `2027-03-31`, or `2027-03` where the label gives no day.
    #[serde(default)]
    pub expires: Option<String>,
    /// The day it was first used.
    #[serde(default)]
    pub opened: Option<String>,
    /// `vial`, `cartridge`, `pen`, `one_dose_pen` or `prefilled_syringe`.
    pub device: String,
    /// `not_read`, `latex` or `no_latex`: what the pack says of its needle cover; `not_read` when absent.
    #[serde(default)]
    pub needle_cover: Option<String>,
    /// Free text.
    #[serde(default)]
    pub note: Option<String>,
    /// Who records it.
    #[serde(default)]
    pub recorder: Option<String>,
}

/// A container in use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ContainerData {
    /// Its id, which stays the same through corrections.
    pub id: String,
    /// The id of its newest entry.
    pub entry: String,
    /// The order.
    pub order: String,
    /// Medicine as its label has it.
    pub medicine: String,
    /// Strength as its label has it.
    pub strength: Option<String>,
    /// Batch.
    pub batch: Option<String>,
    /// Day or month of expiry.
    pub expires: Option<String>,
    /// The day it was first used.
    pub opened: Option<String>,
    /// What it is.
    pub device: String,
    /// What the pack says of its needle cover.
    pub needle_cover: String,
    /// Free text.
    pub note: Option<String>,
    /// All of it in words.
    pub words: String,
}

/// Arguments of `glucose_check`: what a value would mean, before it is recorded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct GlucoseCheck {
    /// The person.
    pub person: String,
    /// The order whose limits count; the published ones when absent.
    #[serde(default)]
    pub order: Option<String>,
    /// `glucose` or `ketones`; glucose when absent.
    #[serde(default)]
    pub about: Option<String>,
    /// As read.
    pub value: String,
    /// `mmol/L` or `mg/dL`.
    pub unit: String,
}

/// What a value means.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct GlucoseJudged {
    /// `in_range`, `low`, `very_low`, `high`, `check_ketones`; of ketones `normal`, `raised`, `emergency`.
    pub standing: String,
    /// Whether the low-glucose steps are for it.
    pub low: bool,
    /// As measured and in the other unit, `5.5 mmol/L (99 mg/dL)`.
    pub shown: String,
    /// What was found, the limit and who set it, and who decides.
    pub words: String,
    /// A question about the number itself, to be answered first: does it fit its unit?
    pub question: Option<String>,
}

/// Arguments of `glucose_state`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct GlucoseGet {
    /// The person.
    pub person: String,
    /// The order whose limits count; the published ones when absent.
    #[serde(default)]
    pub order: Option<String>,
    /// As of when; now when absent.
    #[serde(default)]
    pub at: Option<String>,
}

/// Where the low-glucose steps stand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct LowSteps {
    /// What comes next.
    #[ts(
        type = "\"not_low\" | \"take_carbohydrate\" | \"wait\" | \"check_again\" | \"finished\" | \"call_for_help\" | \"call_emergency_services\""
    )]
    pub step: String,
    /// The instant to check again, of `wait`.
    pub until: Option<String>,
    /// Seconds to it.
    pub seconds_left: u16,
    /// How often carbohydrate was taken.
    pub rounds: u32,
    /// What to do, in words.
    pub words: String,
    /// What does not fit.
    pub doubts: Vec<String>,
    /// Where the steps come from.
    pub source: String,
}

/// See [`Request::GlucoseState`](super::Request::GlucoseState).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct GlucoseData {
    /// The last value of the last 12 hours.
    pub last: Option<EventData>,
    /// How long ago that was.
    pub last_ago: Option<String>,
    /// What it means.
    pub judged: Option<GlucoseJudged>,
    /// Where the steps for a low value stand.
    pub steps: LowSteps,
    /// The low limit and who set it.
    pub limit_words: String,
    /// The unit this person's values are counted in: the order's, else that of the last value, else mmol/L.
    pub unit: String,
}
