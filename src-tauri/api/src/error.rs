//! What the door says when it cannot: a stable code for programs, a sentence that says what to do for people.

use crate::wire::{ErrorData, InjectionData, ReasonData, TimeOffer};

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident => $code:literal,)*) => {
        /// Every code the door can answer with.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum ErrorCode { $($(#[$doc])* $name,)* }
        impl ErrorCode {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];
            /// The code as written on the wire.
            pub fn code(self) -> &'static str {
                match self { $(Self::$name => $code,)* }
            }
        }
    };
}

codes! {
    /// The line is not JSON.
    BadJson => "bad_json",
    /// The operation's arguments do not fit.
    BadRequest => "bad_request",
    /// No such operation.
    UnknownOp => "unknown_op",
    /// An id that is not a UUID.
    BadId => "bad_id",
    /// No such person.
    UnknownPerson => "unknown_person",
    /// No such order.
    UnknownOrder => "unknown_order",
    /// The order belongs to somebody else.
    OrderOfAnother => "order_of_another",
    /// No such injection.
    UnknownInjection => "unknown_injection",
    /// No rules for this medicine.
    UnknownMedicine => "unknown_medicine",
    /// No such zone.
    UnknownZone => "unknown_zone",
    /// Not one of the zone's quadrants.
    UnknownQuadrant => "unknown_quadrant",
    /// No such view of the body.
    UnknownView => "unknown_view",
    /// One coordinate without the other, or neither point nor quadrant.
    SiteIncomplete => "site_incomplete",
    /// The point is in another quadrant.
    SiteOutsideQuadrant => "site_outside_quadrant",
    /// The point is far from the zone's skin.
    SiteOffZone => "site_off_zone",
    /// A measure that no adult has.
    BadSize => "bad_size",
    /// A date that cannot be read.
    BadDate => "bad_date",
    /// A time that cannot be read.
    BadTime => "bad_time",
    /// No such time zone.
    UnknownTimeZone => "unknown_time_zone",
    /// The clock went forward over this time.
    TimeInGap => "time_in_gap",
    /// The clock went back over this time: it happened twice.
    TimeAmbiguous => "time_ambiguous",
    /// Later than now.
    TimeInFuture => "time_in_future",
    /// Before the person was born.
    TimeBeforeBirth => "time_before_birth",
    /// A dose that cannot be read, is zero or is too large.
    BadDose => "bad_dose",
    /// A unit this medicine is not given in.
    WrongUnit => "wrong_unit",
    /// A text is empty where one is needed, or too long.
    BadText => "bad_text",
    /// A number of items out of range.
    BadCount => "bad_count",
    /// Not one of the published values.
    NotPublished => "not_published",
    /// The last day is before the first.
    DatesReversed => "dates_reversed",
    /// A word that is not in its list.
    BadCode => "bad_code",
    /// A glucose or ketones value, or a limit, that cannot be read or used.
    BadGlucose => "bad_glucose",
    /// Not a container of this order.
    UnknownContainer => "unknown_container",
    /// No such event.
    UnknownEvent => "unknown_event",
    /// No such finding.
    UnknownFinding => "unknown_finding",
    /// No such copy of the record.
    UnknownBackup => "unknown_backup",
    /// No such skin check.
    UnknownSkinCheck => "unknown_skin_check",
    /// A finding outside its zone, larger than it, or without a size.
    BadPlace => "bad_place",
    /// Looked at again, healed or removed before it was found.
    BeforeFound => "before_found",
    /// The finding ended already.
    FindingEnded => "finding_ended",
    /// A wear time of what is not worn, or a device that healed.
    BadDevice => "bad_device",
    /// It was given: it cannot be recorded as not given.
    AlreadyGiven => "already_given",
    /// More often than once a week, of a medicine that is given once a week only.
    WeeklyMedicine => "weekly_medicine",
    /// The same id was used for something else.
    IdReused => "id_reused",
    /// The entry was already corrected.
    AlreadyCorrected => "already_corrected",
    /// Going on against an `avoid` needs a reason.
    AvoidNeedsReason => "avoid_needs_reason",
    /// The same medicine was given a short while ago; going on needs a reason.
    SecondDose => "second_dose",
    /// The order is not in force at that time; going on needs a reason.
    OrderNotInForce => "order_not_in_force",
    /// The record is locked: a passphrase opens it.
    Locked => "locked",
    /// There is no record here yet: a passphrase makes one.
    NotBegun => "not_begun",
    /// There is a record here already.
    AlreadyBegun => "already_begun",
    /// Not the passphrase, the recovery code or the PIN.
    WrongSecret => "wrong_secret",
    /// After wrong ones, the next may be tried in a while.
    TryLater => "try_later",
    /// Too short for a new passphrase or PIN, or not what one is made of.
    WeakSecret => "weak_secret",
    /// The record is not protected, so it cannot be locked.
    NotProtected => "not_protected",
    /// The file with the record's keys is gone.
    KeysMissing => "keys_missing",
    /// The file with the record's keys is damaged.
    KeysDamaged => "keys_damaged",
    /// The store was made by a newer version: reading only.
    FileTooNew => "file_too_new",
    /// The store's file is damaged or is not a store.
    FileDamaged => "file_damaged",
    /// The store's file is gone although there was one.
    FileMissing => "file_missing",
    /// The folder or file cannot be written.
    ReadOnly => "read_only",
    /// No room on the disk.
    DiskFull => "disk_full",
    /// Another copy holds the store for too long.
    Busy => "busy",
    /// Something this program did not foresee; nothing was saved.
    Internal => "internal",
}

impl ErrorCode {
    /// Whether it says what is wrong with the record's file, whoever asks and whatever for.
    pub fn is_of_the_file(self) -> bool {
        matches!(
            self,
            Self::FileTooNew | Self::FileDamaged | Self::FileMissing | Self::KeysMissing
        )
    }
}

/// A refusal. Nothing is half-written when one is returned.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{message}")]
pub struct ApiError {
    /// For programs.
    pub code: ErrorCode,
    /// For people.
    pub message: String,
    /// What the screen needs to go on.
    pub details: Details,
}

/// The words of a core error as a sentence: a capital in front and one full stop behind.
pub(crate) fn sentence(error: &impl std::fmt::Display) -> String {
    format!("{}.", capital(error.to_string().trim_end_matches('.')))
}

/// Words that begin a sentence.
pub(crate) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        format!("{}{}", first.to_uppercase(), letters.as_str())
    })
}

/// What the screen needs to go on after a refusal.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Details {
    /// The earlier entry of a second dose.
    pub earlier: Option<Box<InjectionData>>,
    /// How long ago that was.
    pub ago: Option<String>,
    /// The instants that may have been meant.
    pub offers: Option<Vec<TimeOffer>>,
    /// The reasons of an `avoid`.
    pub reasons: Option<Vec<ReasonData>>,
}

impl ApiError {
    /// A refusal without details.
    pub fn new(code: ErrorCode, message: impl Into<String>) -> Self {
        Self {
            code,
            message: message.into(),
            details: Details::default(),
        }
    }

    /// A refusal in the words of the core, made a sentence.
    pub(crate) fn said(code: ErrorCode, error: &impl std::fmt::Display) -> Self {
        Self::new(code, sentence(error))
    }

    /// The refusal as it goes out.
    pub fn data(&self) -> ErrorData {
        ErrorData {
            code: self.code.code().to_owned(),
            message: self.message.clone(),
            earlier: self.details.earlier.clone(),
            ago: self.details.ago.clone(),
            offers: self.details.offers.clone(),
            reasons: self.details.reasons.clone(),
        }
    }
}
