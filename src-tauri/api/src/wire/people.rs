//! People and their orders.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::parts::{DoseWire, InjectionData, SizesWire};
use super::visit::OrderTerms;

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
    /// Weight in kilograms, 1 to 400, where it is known.
    #[serde(default)]
    pub weight_kg: Option<f64>,
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
    /// Weight in kilograms, where it is known.
    pub weight_kg: Option<f64>,
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
    /// On which days, how punctual, with what, by whom signed.
    #[serde(default)]
    #[ts(optional, as = "Option<_>")]
    pub terms: OrderTerms,
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
    /// On which days, how punctual, with what, by whom signed.
    pub terms: OrderTerms,
    /// What is doubtful about it today, one sentence each: not signed, review overdue.
    pub doubts: Vec<String>,
}

/// A person that was saved: the reply of `person_add` and `person_change`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PersonSaved {
    /// The person's id.
    pub id: String,
    /// The person as known now.
    pub person: PersonData,
}

/// An order that was saved: the reply of `order_add` and `order_end`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct OrderSaved {
    /// The order's id.
    pub id: String,
    /// The order as known now.
    pub order: OrderData,
}

impl From<PersonData> for PersonSaved {
    fn from(person: PersonData) -> Self {
        Self {
            id: person.id.clone(),
            person,
        }
    }
}

impl From<OrderData> for OrderSaved {
    fn from(order: OrderData) -> Self {
        Self {
            id: order.id.clone(),
            order,
        }
    }
}
