//! Who may open the record, and who says they write in it.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// See [`super::Request::Protection`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct ProtectionData {
    /// `open`; `locked` (a passphrase opens it); `not_begun` (there is no record here yet, and a passphrase makes one);
    /// `closed` (it cannot be opened; `status` says why).
    #[ts(type = "\"open\" | \"locked\" | \"not_begun\" | \"closed\"")]
    pub standing: String,
    /// Whether the record is encrypted. False for the made-up caseload, and for one found plain.
    pub protected: bool,
    /// Whether this is the made-up caseload.
    pub demo: bool,
    /// Whether a recovery code was made.
    pub recovery_code: bool,
    /// After how many minutes without anybody there the record is locked.
    pub idle_minutes: u32,
    /// What `idle_minutes` can be.
    pub idle_choices: Vec<u32>,
    /// In how many seconds it will be locked if nobody does anything; absent where it will not.
    pub locks_in_s: Option<u32>,
    /// How many seconds until a passphrase may be tried again, after wrong ones.
    pub wait_s: u32,
    /// The fewest characters of a new passphrase.
    pub shortest: u32,
}

/// Arguments of `begin` and `protect`.
#[derive(Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct NewPassphrase {
    /// The passphrase, twice the same if a person typed it; that is the screen's to ask.
    pub passphrase: String,
}

/// Arguments of `unlock`: one of the two.
#[derive(Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct Unlock {
    /// The passphrase.
    #[serde(default)]
    pub passphrase: Option<String>,
    /// The recovery code; blanks, hyphens and small letters do no harm.
    #[serde(default)]
    pub recovery_code: Option<String>,
}

/// Arguments of `passphrase_change`: what opens it now, one of the two, and the new one.
#[derive(Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct PassphraseChange {
    /// The passphrase of today.
    #[serde(default)]
    pub passphrase: Option<String>,
    /// The recovery code.
    #[serde(default)]
    pub recovery_code: Option<String>,
    /// The new passphrase.
    pub new: String,
}

/// See [`super::Request::PassphraseChange`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct PassphraseChanged {
    /// What was done, in words, and what of the copies.
    pub words: String,
}

/// See [`super::Request::RecoveryMake`].
#[derive(Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RecoveryData {
    /// The code in groups of four, to be written down now: it is told once.
    pub code: String,
}

/// See [`super::Request::Protect`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct Protected {
    /// What was done, in words, and which copies stay readable to anybody.
    pub words: String,
}

/// Arguments of `idle_set`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct IdleSet {
    /// One of `idle_choices`.
    pub minutes: u32,
}

/// Somebody who writes in the record on this device and has a PIN.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RecorderData {
    /// The name as it stands in entries.
    pub name: String,
    /// Whether the PIN was given since the record was last unlocked.
    pub confirmed: bool,
}

/// See [`super::Request::RecorderList`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct RecorderListData {
    /// By name.
    pub recorders: Vec<RecorderData>,
    /// What a PIN does and does not do, in words.
    pub words: String,
}

/// Arguments of `recorder_set`.
#[derive(Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct RecorderSet {
    /// The name as it stands in entries.
    pub name: String,
    /// The PIN of today, where there is one.
    #[serde(default)]
    pub pin: Option<String>,
    /// The new PIN, 4 to 12 digits; no PIN any more when absent.
    #[serde(default)]
    pub new: Option<String>,
}

/// Arguments of `recorder_confirm`.
#[derive(Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct RecorderConfirm {
    /// The name.
    pub name: String,
    /// The PIN.
    pub pin: String,
}

/// What shows nothing of the secrets in it.
macro_rules! hidden {
    ($($name:ident),*) => { $(
        impl std::fmt::Debug for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(concat!(stringify!($name), "(…)"))
            }
        }
    )* };
}
hidden!(
    NewPassphrase,
    Unlock,
    PassphraseChange,
    RecoveryData,
    RecorderSet,
    RecorderConfirm
);
