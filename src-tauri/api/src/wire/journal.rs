//! The journal's chain of hashes.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// The first entry that does not fit the chain.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct JournalBreak {
    /// `changed`, `unlinked`, `gone` or `cut_short`.
    #[ts(type = "\"changed\" | \"unlinked\" | \"gone\" | \"cut_short\"")]
    pub misfit: String,
    /// Its number on this device.
    pub seq: u32,
    /// Its id, where it can be read.
    pub entry: Option<String>,
}

/// See [`super::Request::JournalVerify`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct JournalData {
    /// How many entries fit, from the first on.
    pub entries: u32,
    /// The hash of the last that fits, 64 hexadecimal digits; absent for an empty journal.
    pub last_hash: Option<String>,
    /// Where the chain breaks.
    pub broken: Option<JournalBreak>,
    /// What was found, in words, and what to do.
    pub words: String,
}
