//! The page before giving, dose to volume, and how the needle goes in.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{ContainerData, DoseWire, EventData, OrderData};

/// An identifier that was read back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct ReadBackWire {
    /// `name`, `born` or `number`.
    pub identifier: String,
    /// Whether it is what the record says.
    pub matches: bool,
}

/// Why somebody goes on in spite of a problem.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct BeforeReason {
    /// Which check.
    pub what: String,
    /// In their words.
    pub text: String,
}

/// What was said on the page so far. Everything left out was not said.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields, default)]
#[ts(optional_fields = nullable)]
pub struct BeforeSaid {
    /// Identifiers read back; two make the check done.
    #[ts(optional, as = "Option<_>")]
    pub identity: Vec<ReadBackWire>,
    /// Allergies were read and asked about.
    #[ts(optional, as = "Option<_>")]
    pub allergies: bool,
    /// The order was read.
    #[ts(optional, as = "Option<_>")]
    pub order: bool,
    /// The container in hand, by its id.
    pub container: Option<String>,
    /// `eaten`, `about` or `not_eating`.
    pub meal: Option<String>,
    /// `given`, `refused` or `decided_for`.
    pub consent: Option<String>,
    /// Who decided, of `decided_for`.
    pub consent_words: Option<String>,
    /// `clear` or `found`.
    pub skin: Option<String>,
    /// What was found.
    pub skin_words: Option<String>,
    /// Who checked as the second person.
    pub second: Option<String>,
    /// Reasons for going on.
    #[ts(optional, as = "Option<_>")]
    pub reasons: Vec<BeforeReason>,
}

/// Arguments of `before`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct BeforeGet {
    /// The person.
    pub person: String,
    /// The order.
    pub order: String,
    /// When it will be given; now when absent.
    #[serde(default)]
    pub at: Option<String>,
    /// Who gives it, by name.
    #[serde(default)]
    pub recorder: Option<String>,
    /// `self` or `other`; absent takes the person's habit.
    #[serde(default)]
    pub giver: Option<String>,
    /// What was said so far.
    #[serde(default)]
    #[ts(optional, as = "Option<_>")]
    pub said: BeforeSaid,
}

/// Something that does not fit. It never blocks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct BeforeProblem {
    /// One or two sentences.
    pub words: String,
    /// Whether it must not be overlooked.
    pub loud: bool,
    /// Where it comes from.
    pub source: String,
}

/// One check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct BeforeCheck {
    /// Which.
    #[ts(
        type = "\"identity\" | \"allergies\" | \"order\" | \"container\" | \"glucose\" | \"meal\" | \"consent\" | \"skin\" | \"second_checker\""
    )]
    pub what: String,
    /// How it stands.
    #[ts(type = "\"not_yet\" | \"done\" | \"problem\" | \"not_asked\"")]
    pub state: String,
    /// Whether it still wants somebody: not done, or a problem without a reason.
    pub open: bool,
    /// What does not fit, the loud ones first.
    pub problems: Vec<BeforeProblem>,
    /// Why somebody goes on.
    pub reason: Option<String>,
    /// What is read out or compared, and what is not known.
    pub lines: Vec<String>,
    /// The container of last time, where it still fits: one visible tap takes it.
    pub as_last_time: Option<ContainerData>,
    /// Why last time's is not offered.
    pub not_as_last_time: Option<String>,
}

/// See [`Request::Before`](super::Request::Before).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct BeforeData {
    /// The order.
    pub order: OrderData,
    /// The checks that are asked for here, in the order the work is done.
    pub checks: Vec<BeforeCheck>,
    /// How many still want somebody.
    pub open: u32,
    /// Containers in use for this order, the newest first.
    pub containers: Vec<ContainerData>,
    /// The glucose that counts: of the last hour.
    pub glucose: Option<EventData>,
    /// Whose check this stays.
    pub words: String,
}

/// Arguments of `dose_volume`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct DoseVolumeGet {
    /// The order whose dose it is.
    pub order: String,
    /// `vial`, `cartridge`, `pen`, `one_dose_pen` or `prefilled_syringe`.
    pub device: String,
    /// The amount the label gives for `in_ml`; the strength in the medicine's name when absent.
    #[serde(default)]
    pub strength: Option<DoseWire>,
    /// Millilitres that amount is in; 1 when absent.
    #[serde(default)]
    pub in_ml: Option<String>,
    /// The syringe in hand, by its code.
    #[serde(default)]
    pub syringe: Option<String>,
}

/// A syringe that can be chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct SyringeData {
    /// Its code.
    pub code: String,
    /// Its name.
    pub name: String,
    /// Whether it is made for this medicine and strength.
    pub fits: bool,
    /// Whether this dose ends on one of its lines.
    pub shows: bool,
}

/// See [`Request::DoseVolume`](super::Request::DoseVolume).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct DoseVolumeData {
    /// `draw`: measured with a syringe; `give_all`: the whole syringe; `refused`: not converted here, see the words.
    #[ts(type = "\"draw\" | \"give_all\" | \"refused\"")]
    pub answer: String,
    /// What to do, or why it is not converted.
    pub words: String,
    /// The volume, `0.12 mL`.
    pub volume: Option<String>,
    /// Cautions, the loud ones first.
    pub cautions: Vec<BeforeProblem>,
    /// Every syringe that is known here.
    pub syringes: Vec<SyringeData>,
}

/// Arguments of `technique`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct TechniqueGet {
    /// The person.
    pub person: String,
    /// The order.
    pub order: String,
    /// Where it goes.
    pub zone: String,
    /// Needle length in millimetres; the order's when absent.
    #[serde(default)]
    pub needle_mm: Option<f64>,
    /// `vial_and_syringe`, `pen` or `prefilled_syringe`; the order's when absent.
    #[serde(default)]
    pub device: Option<String>,
    /// Weight in kilograms; the person's when absent.
    #[serde(default)]
    pub weight_kg: Option<f64>,
    /// Late in pregnancy.
    #[serde(default)]
    #[ts(optional, as = "Option<_>")]
    pub late_pregnancy: bool,
}

/// One step.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct TechniqueStep {
    /// What to do.
    pub words: String,
    /// Where it comes from.
    pub source: String,
}

/// See [`Request::Technique`](super::Request::Technique).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct TechniqueData {
    /// Needle and fold in one sentence; absent where length or device are not known.
    pub words: Option<String>,
    /// What has to be known first, in words.
    pub asks: Vec<String>,
    /// The fold and why.
    pub fold: Option<TechniqueStep>,
    /// Cautions, the loud ones first.
    pub cautions: Vec<BeforeProblem>,
    /// What is not known and would matter.
    pub unknown: Vec<String>,
    /// The steps in the order the work is done.
    pub steps: Vec<TechniqueStep>,
}
