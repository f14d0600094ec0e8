//! A skin check: every zone in use looked at and felt, and what was asked on the way.

use chrono::{DateTime, FixedOffset};

use crate::site::Zone;

/// What was said of one zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ZoneSeen {
    /// Looked at and felt; nothing found.
    Clear,
    /// Something was found.
    Finding,
    /// Not looked at.
    NotLookedAt,
}

impl ZoneSeen {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Clear, Self::Finding, Self::NotLookedAt];

    /// The word used in files and at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::Clear => "clear",
            Self::Finding => "finding",
            Self::NotLookedAt => "not_looked_at",
        }
    }

    /// Reads [`ZoneSeen::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.code() == text)
    }
}

/// How often one needle is used, as the person says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct NeedleUses(u16);

impl NeedleUses {
    /// 1 (a new needle each time) to 100.
    pub fn new(times: u16) -> Option<Self> {
        (1..=100).contains(&times).then_some(Self(times))
    }

    /// How many injections with one needle.
    pub fn times(self) -> u16 {
        self.0
    }
}

/// One check of the skin.
#[derive(Debug, Clone, PartialEq)]
pub struct SkinCheck {
    /// The entry's id.
    pub id: String,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Who looked and felt.
    pub by: String,
    /// Each zone that was asked about, once.
    pub zones: Vec<(Zone, ZoneSeen)>,
    /// How often one needle is used; `None` where nobody asked.
    pub needle_uses: Option<NeedleUses>,
    /// The year insulin was begun; `None` where nobody asked or it is none.
    pub insulin_since: Option<i32>,
    /// Whether there were low values nobody can explain; `None` where nobody asked.
    pub unexplained_lows: Option<bool>,
    /// Free text.
    pub note: Option<String>,
}
