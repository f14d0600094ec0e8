//! What the journal keeps: one head for every entry, and a typed body for each kind.
//!
//! An entry is never changed. A later one may supersede it; the two then form a chain, named by the id of its first
//! entry (the *root*). Not here: how entries are written or found.

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use fallow_core::act::{Act, Event, InUse};
use fallow_core::medicines::Sourced;
use fallow_core::person::{Injection, Order, Person};
use fallow_core::site::Zone;
use fallow_core::skin::{FindingKind, Look, SkinCheck};

/// What an entry is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A person, or a later version of what is known of one.
    Person,
    /// An order.
    Order,
    /// An injection.
    Injection,
    /// A choice of the clinic among published values.
    Practice,
    /// Something around an injection: not given, a value measured, a step taken.
    Event,
    /// A vial, pen or syringe in use.
    Container,
    /// One look at something on the skin.
    Finding,
    /// A check of the skin.
    SkinCheck,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 8] = [
        Self::Person,
        Self::Order,
        Self::Injection,
        Self::Practice,
        Self::Event,
        Self::Container,
        Self::Finding,
        Self::SkinCheck,
    ];

    /// The word in the `kind` column.
    pub fn code(self) -> &'static str {
        match self {
            Self::Person => "person",
            Self::Order => "order",
            Self::Injection => "injection",
            Self::Practice => "practice",
            Self::Event => "event",
            Self::Container => "container",
            Self::Finding => "finding",
            Self::SkinCheck => "skin_check",
        }
    }

    /// The table that holds what entries of this kind say.
    pub(crate) fn table(self) -> &'static str {
        match self {
            Self::Person => "person_entry",
            Self::Order => "order_entry",
            Self::Injection => "injection_entry",
            Self::Practice => "practice_entry",
            Self::Event => "event_entry",
            Self::Container => "container_entry",
            Self::Finding => "finding_entry",
            Self::SkinCheck => "skin_check_entry",
        }
    }

    /// Reads [`Kind::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.code() == text)
    }
}

/// What every entry has, as read back.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// The entry's own id.
    pub id: String,
    /// The id of the first entry of its chain; `id` itself for a first entry.
    pub root: String,
    /// The order of insertion on this device; grows without end, has gaps, is not the order in which things happened.
    pub seq: i64,
    /// When the entry was made, to the millisecond, at the offset it was made under.
    pub recorded_at: DateTime<FixedOffset>,
    /// Whether the clock was set by hand when the entry was made.
    pub clock_set: bool,
    /// Who made the entry, where known.
    pub recorder: Option<String>,
    /// Whether the recorder's PIN had been given; `None` where the name had no PIN.
    pub recorder_confirmed: Option<bool>,
    /// The entry this one supersedes.
    pub supersedes: Option<String>,
    /// The entry that supersedes this one.
    pub superseded_by: Option<String>,
    /// Why: of a correction, or of going on against advice.
    pub reason: Option<String>,
}

/// What every entry has, as written.
#[derive(Debug, Clone, PartialEq)]
pub struct NewHead {
    /// A UUID in lower case with hyphens, made by the caller and never used before.
    pub id: String,
    /// When the entry is made; kept to the millisecond. Its offset is of whole minutes.
    pub recorded_at: DateTime<FixedOffset>,
    /// Whether the clock was set by hand.
    pub clock_set: bool,
    /// Who makes the entry.
    pub recorder: Option<String>,
    /// The entry to supersede: the current one of its chain, of the same kind and person.
    pub supersedes: Option<String>,
    /// Why; needed when an order or an injection is superseded.
    pub reason: Option<String>,
}

/// A person as an entry tells them.
#[derive(Debug, Clone, PartialEq)]
pub struct PersonEntry {
    /// The head; `head.root` is the person's id.
    pub head: Head,
    /// The person.
    pub person: Person,
}

/// An order as an entry tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderEntry {
    /// The head; `head.root` is the order's id.
    pub head: Head,
    /// The person's id.
    pub person: String,
    /// The order.
    pub order: Order,
}

/// What an injection's entry says of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Status {
    /// It was given.
    Given,
    /// It never happened; the entry withdraws the one it supersedes.
    EnteredInError,
}

impl Status {
    /// The word in the `status` column.
    pub fn code(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::EnteredInError => "entered_in_error",
        }
    }

    /// Reads [`Status::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        [Self::Given, Self::EnteredInError]
            .into_iter()
            .find(|s| s.code() == text)
    }
}

/// An injection as an entry tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct InjectionEntry {
    /// The head.
    pub head: Head,
    /// The person's id.
    pub person: String,
    /// The injection; `injection.id` is `head.id`, `injection.order` the order's id (its root).
    pub injection: Injection,
    /// The time zone it was entered under. The offset of `injection.given_at` is the truth; this is its name.
    pub zone: Tz,
    /// What was checked, seen and noted with it.
    pub act: Act,
    /// Whether it was given or withdrawn.
    pub status: Status,
}

/// An event as an entry tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct EventEntry {
    /// The head.
    pub head: Head,
    /// The person's id.
    pub person: String,
    /// The event.
    pub event: Event,
    /// The time zone it was entered under.
    pub zone: Tz,
}

/// A container as an entry tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct ContainerEntry {
    /// The head; `head.root` is the container's id.
    pub head: Head,
    /// The person's id.
    pub person: String,
    /// The container.
    pub container: InUse,
}

/// What the look that found something says beside what it saw.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// What it is.
    pub kind: FindingKind,
    /// The zone it lies in.
    pub zone: Zone,
    /// How far to stay from its edge, in centimetres, 0 to 20.
    pub margin_cm: Sourced<f64>,
    /// For how many days a device is worn, 1 to 366.
    pub wear_days: Option<u16>,
}

/// Which finding a look is of.
#[derive(Debug, Clone, PartialEq)]
pub enum LookOf {
    /// This look found it; the finding's id is this chain's root.
    Found(Found),
    /// The finding with this id.
    Again(String),
}

/// One look at a finding as an entry tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingEntry {
    /// The head.
    pub head: Head,
    /// The person's id.
    pub person: String,
    /// Which finding.
    pub of: LookOf,
    /// What was seen; `look.id` is `head.id`.
    pub look: Look,
    /// The time zone it was entered under.
    pub zone: Tz,
    /// It was made in error; the entry withdraws the one it supersedes.
    pub withdrawn: bool,
}

impl FindingEntry {
    /// The finding's id.
    pub fn finding(&self) -> &str {
        match &self.of {
            LookOf::Found(_) => &self.head.root,
            LookOf::Again(id) => id,
        }
    }
}

/// A check of the skin as an entry tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct SkinCheckEntry {
    /// The head.
    pub head: Head,
    /// The person's id.
    pub person: String,
    /// The check; `check.id` is `head.id`.
    pub check: SkinCheck,
    /// The time zone it was entered under.
    pub zone: Tz,
    /// It was made in error; the entry withdraws the one it supersedes.
    pub withdrawn: bool,
}

/// The clinic's choices among published values.
#[derive(Debug, Clone, PartialEq)]
pub struct PracticeEntry {
    /// The head.
    pub head: Head,
    /// Centimetres of skin around the navel to leave free.
    pub navel_margin_cm: f64,
}

/// A half-filled form, kept so that a reload loses nothing. The one thing in the store that may change or go.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// Which form: the caller's own key.
    pub key: String,
    /// Its content, as the caller wrote it.
    pub body: String,
    /// When the form was opened, to the millisecond.
    pub opened_at: DateTime<FixedOffset>,
}

/// Which injections of a person to list.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct InjectionQuery {
    /// The person's id.
    pub person: String,
    /// Given at or after this instant, in milliseconds since 1970 UTC; `None` is from the first.
    pub from_ms: Option<i64>,
    /// Given before this instant, in milliseconds since 1970 UTC; `None` is up to the last.
    pub to_ms: Option<i64>,
    /// Also entries that were superseded or that withdraw one.
    pub superseded: bool,
    /// At most this many, the newest; `None` is all.
    pub limit: Option<u32>,
}
