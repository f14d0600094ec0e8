//! Recording, correcting and listing injections.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::parts::{DoseWire, InjectionData, SiteWire};
use super::visit::ActWire;

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
    /// What was checked before and seen afterwards.
    #[serde(default)]
    #[ts(optional, as = "Option<_>")]
    pub act: ActWire,
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
    /// What was really checked and seen.
    #[serde(default)]
    pub act: Option<ActWire>,
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
