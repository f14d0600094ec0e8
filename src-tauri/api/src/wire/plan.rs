//! The plan of the coming weeks, and the room on this skin.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{ReasonData, SiteData};

/// Arguments of `plan`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct PlanGet {
    /// The person.
    pub person: String,
    /// From when; now when absent.
    #[serde(default)]
    pub at: Option<String>,
    /// How many weeks, 1 to 12; 4 when absent.
    #[serde(default)]
    pub weeks: Option<u8>,
    /// Who would give it: `self` or `other`; absent takes the person's habit.
    #[serde(default)]
    pub giver: Option<String>,
}

/// One injection of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PlanEntry {
    /// When it is due.
    pub at: String,
    /// Its day, `2026-06-03`.
    pub day: String,
    /// `Wed 3 Jun 2026`.
    pub day_words: String,
    /// The time of day in words, `08:00` or `8:00 am`.
    pub time: String,
    /// Its time has passed and no injection is on record for it.
    pub overdue: bool,
    /// The order.
    pub order: String,
    /// Its medicine.
    pub medicine_name: String,
    /// Its dose in words.
    pub dose_words: String,
    /// Where.
    pub place: SiteData,
    /// Number of the point, from 1; see [`PlanZone::points`].
    pub number: u32,
    /// What its check says.
    #[ts(type = "\"clear\" | \"caution\" | \"avoid\"")]
    pub verdict: String,
    /// Why; empty when clear.
    pub reasons: Vec<ReasonData>,
    /// Why it is not where the pattern asks, or not clear.
    pub note: Option<String>,
}

/// One week of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PlanWeek {
    /// Its first day; the weeks start on the weekday the pattern changes.
    pub first: String,
    /// `3 Jun 2026 to 9 Jun 2026`; the first week starts with the plan and the last ends with it.
    pub words: String,
    /// The parts of the body it uses, most used first: `Abdomen, left lower quadrant`.
    pub places: Vec<String>,
    /// Its injections, the earliest first.
    pub entries: Vec<PlanEntry>,
}

/// One point of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PlanPoint {
    /// Its number, from 1, by when it is first used; no other zone has the same.
    pub number: u32,
    /// Where.
    pub place: SiteData,
    /// When, in words: `Wed 3 Jun 2026, 08:00`.
    pub times: Vec<String>,
}

/// The points of one zone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PlanZone {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub words: String,
    /// Its points.
    pub points: Vec<PlanPoint>,
}

/// How far apart the points of an order's plan lie.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PlanSpacing {
    /// The order.
    pub order: String,
    /// Its medicine.
    pub medicine_name: String,
    /// Between any two points, the least of all its areas; centimetres.
    pub spacing_cm: f64,
    /// The least its rules ask for; centimetres.
    pub least_cm: f64,
    /// Both in words, and how exact a hand must be.
    pub words: String,
}

/// An order the plan cannot hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct Unplanned {
    /// The order.
    pub order: String,
    /// Its medicine.
    pub medicine_name: String,
    /// Why, and what to do instead.
    pub words: String,
}

/// See [`Request::Plan`](super::Request::Plan).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PlanData {
    /// First day.
    pub from: String,
    /// Last day.
    pub to: String,
    /// Both in words.
    pub words: String,
    /// When it was made, in words; what is recorded later changes it.
    pub made: String,
    /// The weeks.
    pub weeks: Vec<PlanWeek>,
    /// The zones with their numbered points.
    pub zones: Vec<PlanZone>,
    /// How far apart the points of each order lie, where its pattern has fixed points.
    pub spacing: Vec<PlanSpacing>,
    /// What the plan cannot keep, in words.
    pub note: Option<String>,
    /// Orders that are not in it.
    pub unplanned: Vec<Unplanned>,
    /// Measures taken from the reference adult, in words.
    pub assumed: Vec<String>,
}

/// Arguments of `room`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct RoomGet {
    /// The person.
    pub person: String,
    /// As of which moment; now when absent.
    #[serde(default)]
    pub at: Option<String>,
    /// Who would give it: `self` or `other`; absent takes the person's habit.
    #[serde(default)]
    pub giver: Option<String>,
}

/// One zone in use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RoomZone {
    /// The zone.
    pub zone: String,
    /// Its name.
    pub words: String,
    /// Skin without its margins, in square centimetres.
    pub area_cm2: f64,
    /// Sites found at the least spacing.
    pub sites: u32,
    /// No arrangement has more, proven.
    pub ceiling: u32,
}

/// What would give more room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RoomHelp {
    /// Sites it adds at the least spacing.
    pub adds_sites: u32,
    /// Whether it is enough by itself.
    pub covers: bool,
    /// What it is, in words.
    pub words: String,
}

/// Zones that rest as a whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RoomZoneRest {
    /// Zones needed in turn.
    pub needed: u32,
    /// Zones in use.
    pub used: u32,
}

/// See [`Request::Room`](super::Request::Room).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RoomData {
    /// The day it holds for.
    pub day: String,
    /// All of it in plain sentences.
    pub words: String,
    /// How exact a hand must be so that the spacing is kept, in words; absent where there is no room at all.
    pub margin_words: Option<String>,
    /// Whether the orders can go on like this; absent where no order says how often.
    pub enough: Option<bool>,
    /// Injections a day, all orders together.
    pub per_day: f64,
    /// The narrowest spacing any of the medicines asks for, in centimetres.
    pub least_spacing_cm: f64,
    /// Sites needed at that spacing.
    pub need_sites: u32,
    /// Sites found at that spacing.
    pub capacity_sites: u32,
    /// No arrangement has more, proven.
    pub ceiling_sites: u32,
    /// Sites lacking; 0 where none are.
    pub short_sites: u32,
    /// The widest spacing at which the need is covered, in centimetres; absent where none is.
    pub working_spacing_cm: Option<f64>,
    /// Weeks all skin could rest longer than asked.
    pub weeks_of_reserve: f64,
    /// Where a medicine rests whole zones.
    pub zone_rest: Option<RoomZoneRest>,
    /// The zones in use.
    pub zones: Vec<RoomZone>,
    /// What would give more room, the most helpful first.
    pub help: Vec<RoomHelp>,
    /// The orders it was worked out for, in words.
    pub orders: Vec<String>,
    /// Orders that could not be counted.
    pub unplanned: Vec<Unplanned>,
    /// Measures taken from the reference adult, in words.
    pub assumed: Vec<String>,
}
