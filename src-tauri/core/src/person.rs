//! The people, orders and injections of the record, as the rules see them.
//!
//! Not here: how they are stored, superseded or sent.

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime};
use chrono_tz::Tz;

use crate::orders::Terms;
use crate::site::{Site, Zone};
use crate::units::Dose;

/// The body measures a patch is scaled by; centimetres. A measure that was not taken is `None`, never zero.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sizes {
    /// Standing height, 50 to 250.
    pub height_cm: Option<f64>,
    /// Girth at the navel, 30 to 250.
    pub waist_cm: Option<f64>,
    /// Girth of the upper thigh, 15 to 150.
    pub thigh_cm: Option<f64>,
    /// Girth of the upper arm, 8 to 90.
    pub upper_arm_cm: Option<f64>,
}

/// Whether allergies were asked about, and what was said.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Allergies {
    /// Nobody asked yet.
    #[default]
    NotAsked,
    /// Asked; none known.
    NoneKnown,
    /// Asked; these.
    Known(Vec<String>),
}

/// The one who receives the injections.
#[derive(Debug, Clone, PartialEq)]
pub struct Person {
    /// Full name as the person is addressed.
    pub name: String,
    /// Date of birth.
    pub born: NaiveDate,
    /// Time zone the person lives in.
    pub zone: Tz,
    /// What is known of allergies.
    pub allergies: Allergies,
    /// Whether the person injects themself, at least some days.
    pub self_injects: bool,
    /// Measures, where taken.
    pub sizes: Sizes,
    /// Zones this person uses, in the order they prefer; empty means the medicine's own order.
    pub zones: Vec<Zone>,
    /// A second identifier, such as a record number; free text.
    pub identifier: Option<String>,
    /// Anything a visitor must know; free text.
    pub note: Option<String>,
    /// Weight, where it is known; kilograms, 1 to 400.
    pub weight_kg: Option<f64>,
}

/// One prescribed medicine for one person.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// Key of the medicine in `data/medicines.toml`.
    pub medicine: String,
    /// The dose each time.
    pub dose: Dose,
    /// Times of day by the person's clock; empty means when needed.
    pub times: Vec<NaiveTime>,
    /// Given every this many days; 1 is daily, 7 weekly.
    pub every_days: u16,
    /// First day.
    pub from: NaiveDate,
    /// Last day, where one is set.
    pub to: Option<NaiveDate>,
    /// Who prescribed it.
    pub prescriber: String,
    /// Anything written beside it, such as "with breakfast".
    pub note: Option<String>,
    /// On which days, how punctual, with what, by whom signed.
    pub terms: Terms,
}

/// One injection that was given.
#[derive(Debug, Clone, PartialEq)]
pub struct Injection {
    /// The entry's id.
    pub id: String,
    /// The order it belongs to.
    pub order: String,
    /// Key of the medicine.
    pub medicine: String,
    /// Where it went.
    pub site: Site,
    /// When it was given, at the offset it was entered under.
    pub given_at: DateTime<FixedOffset>,
    /// How much.
    pub dose: Dose,
    /// Who gave or recorded it.
    pub recorder: String,
}

impl Injection {
    /// The day it counts for: the calendar date at its own offset.
    pub fn day(&self) -> NaiveDate {
        self.given_at.date_naive()
    }
}
