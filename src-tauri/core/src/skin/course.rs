//! The course of one finding: found, looked at again, healed or removed.
//!
//! Looks are entries of their own and none replaces an earlier one. Not here: how they are stored.

use chrono::{DateTime, Days, FixedOffset};

use super::{Feel, Finding, FindingKind, Noticed, Place};
use crate::medicines::Sourced;
use crate::site::Zone;

/// What one look said.
#[derive(Debug, Clone, PartialEq)]
pub enum Seen {
    /// It is there.
    There {
        /// Where and how large.
        place: Place,
        /// How it was noticed.
        noticed: Noticed,
        /// How a lump feels, where that was said.
        feel: Option<Feel>,
    },
    /// Nothing is left of it.
    Healed,
    /// It was taken off or out.
    Removed,
}

/// One look at a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// The entry's id.
    pub id: String,
    /// When it was looked at.
    pub at: DateTime<FixedOffset>,
    /// Who looked.
    pub by: String,
    /// What was seen or felt.
    pub seen: Seen,
    /// Free text.
    pub note: Option<String>,
}

/// A finding from the first look to the last.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Id of the entry that found it.
    pub id: String,
    /// What it is.
    pub kind: FindingKind,
    /// The zone it lies in.
    pub zone: Zone,
    /// How far to stay from its edge; centimetres.
    pub margin_cm: Sourced<f64>,
    /// For how many days a device is worn, 1 to 366.
    pub wear_days: Option<u16>,
    /// Looks in order of time; the first found it.
    looks: Vec<Look>,
}

/// Why looks make no course.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CourseError {
    /// The first look says it is gone, or a later look is earlier than the first.
    #[error("a finding is looked at again, healed or removed after it was found, not before")]
    BeforeFound,
    /// It ended already.
    #[error("this finding already ended; withdraw that look first, or mark a new finding")]
    EndedAlready,
    /// A device does not heal.
    #[error("a device is removed; it does not heal")]
    DeviceHealed,
    /// A wear time of something not worn, or one out of range.
    #[error("a wear time is 1 to 366 days, of a glucose sensor or an infusion set")]
    WearTime,
}

/// How a finding stands at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// It was not found yet.
    NotYet,
    /// It is there.
    There,
    /// It healed.
    Healed(DateTime<FixedOffset>),
    /// It was removed.
    Removed(DateTime<FixedOffset>),
    /// Its wear time ended.
    WornOut(DateTime<FixedOffset>),
}

impl Standing {
    /// The word used at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::NotYet => "not_yet",
            Self::There => "there",
            Self::Healed(_) => "healed",
            Self::Removed(_) => "removed",
            Self::WornOut(_) => "worn_out",
        }
    }
}

/// How large it was at one look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The longer axis in millimetres.
    pub long_mm: f64,
    /// The shorter axis in millimetres.
    pub short_mm: f64,
}

impl Course {
    /// Puts looks in order and holds them against what a course can be.
    ///
    /// # Errors
    /// [`CourseError`]; an empty list of looks is [`CourseError::BeforeFound`].
    pub fn new(
        id: String,
        kind: FindingKind,
        zone: Zone,
        margin_cm: Sourced<f64>,
        wear_days: Option<u16>,
        mut looks: Vec<Look>,
    ) -> Result<Self, CourseError> {
        let found_at = looks.iter().find(|l| l.id == id).map(|l| l.at);
        // The look that found it stays first, so that one at the same instant follows it.
        looks.sort_by(|a, b| (a.at, a.id != id, &a.id).cmp(&(b.at, b.id != id, &b.id)));
        let first = looks.first().ok_or(CourseError::BeforeFound)?;
        if Some(first.at) != found_at || !matches!(first.seen, Seen::There { .. }) {
            return Err(CourseError::BeforeFound);
        }
        let ends = |l: &Look| !matches!(l.seen, Seen::There { .. });
        let end = looks.iter().position(ends);
        if end.is_some_and(|at| at + 1 < looks.len()) {
            return Err(CourseError::EndedAlready);
        }
        if kind.is_device() && looks.iter().any(|l| l.seen == Seen::Healed) {
            return Err(CourseError::DeviceHealed);
        }
        if wear_days.is_some_and(|d| !kind.is_device() || !(1..=366).contains(&d)) {
            return Err(CourseError::WearTime);
        }
        Ok(Self {
            id,
            kind,
            zone,
            margin_cm,
            wear_days,
            looks,
        })
    }

    /// The looks, the earliest first; never empty.
    pub fn looks(&self) -> &[Look] {
        &self.looks
    }

    /// When it was found.
    pub fn found_at(&self) -> DateTime<FixedOffset> {
        self.looks[0].at
    }

    /// When its wear time ends, for a device that has one.
    pub fn wears_out_at(&self) -> Option<DateTime<FixedOffset>> {
        self.found_at()
            .checked_add_days(Days::new(u64::from(self.wear_days?)))
    }

    /// How it stands at a moment.
    pub fn standing(&self, at: DateTime<FixedOffset>) -> Standing {
        if at < self.found_at() {
            return Standing::NotYet;
        }
        let ended = self.looks.iter().rfind(|l| l.at <= at);
        match ended.map(|l| (&l.seen, l.at)) {
            Some((Seen::Healed, when)) => Standing::Healed(when),
            Some((Seen::Removed, when)) => Standing::Removed(when),
            _ => match self.wears_out_at() {
                Some(end) if end <= at => Standing::WornOut(end),
                _ => Standing::There,
            },
        }
    }

    /// The finding as it lies on the skin at a moment; `None` where it is not there then.
    pub fn there(&self, at: DateTime<FixedOffset>) -> Option<Finding> {
        if self.standing(at) != Standing::There {
            return None;
        }
        let look = self.looks.iter().rfind(|l| l.at <= at)?;
        let Seen::There {
            place,
            noticed,
            feel,
        } = &look.seen
        else {
            return None;
        };
        Some(Finding {
            feel: *feel,
            found_on: self.found_at().date_naive(),
            id: self.id.clone(),
            kind: self.kind,
            zone: self.zone,
            place: place.clone(),
            margin_cm: self.margin_cm.clone(),
            noticed: *noticed,
        })
    }

    /// Its size at each look that gave one.
    pub fn sizes(&self) -> Vec<Size> {
        self.looks
            .iter()
            .filter_map(|look| {
                let Seen::There { place, .. } = &look.seen else {
                    return None;
                };
                let (long_mm, short_mm) = place.axes_mm();
                Some(Size {
                    at: look.at,
                    long_mm,
                    short_mm,
                })
            })
            .collect()
    }
}
