//! Copies of the record.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A copy.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct BackupData {
    /// Its file's name, by which it is put back.
    pub name: String,
    /// When it was made, in words.
    pub made_words: String,
    /// Its length in bytes.
    pub bytes: u32,
    /// Whether it is encrypted.
    pub protected: bool,
    /// Whether the key that is open now does not open it, so that its own passphrase has to be given.
    pub locked: bool,
    /// How many entries it holds; absent where it is locked or does not read back.
    pub entries: Option<u32>,
}

/// See [`super::Request::BackupList`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct BackupListData {
    /// The folder they are kept in.
    pub folder: String,
    /// Whether that is the usual one, inside the record's own.
    pub usual: bool,
    /// The newest first.
    pub backups: Vec<BackupData>,
    /// Why today's copy could not be made.
    pub fault: Option<String>,
}

/// See [`super::Request::BackupState`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct BackupStateData {
    /// While it is being made: how far it is, from 0 to 99.
    pub percent: Option<u32>,
    /// The copy, once it was made; told once.
    pub made: Option<BackupData>,
    /// Why it was not made; told once.
    pub fault: Option<String>,
    /// Whether it was stopped; told once.
    pub stopped: bool,
}

/// Arguments of `backup_folder`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct BackupFolder {
    /// The whole path; the usual folder when absent. A copy is made there at once.
    #[serde(default)]
    pub folder: Option<String>,
}

/// Arguments of `backup_restore`.
#[derive(Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(optional_fields = nullable)]
pub struct BackupRef {
    /// The copy's name.
    pub name: String,
    /// The passphrase of a locked copy.
    #[serde(default)]
    pub passphrase: Option<String>,
    /// Its recovery code instead.
    #[serde(default)]
    pub recovery_code: Option<String>,
}

impl std::fmt::Debug for BackupRef {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "BackupRef({})", self.name)
    }
}

/// See [`super::Request::BackupRestore`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
pub struct BackupRestored {
    /// The name under which the record that was there is kept, in the record's folder.
    pub kept: Option<String>,
    /// What was done, in words.
    pub words: String,
}
