//! A skin check: every zone in use looked at and felt, and what was asked on the way.

use chrono::{DateTime, Datelike, FixedOffset, Months, NaiveDate};

use crate::measures::{Kept, Measures};
use crate::site::Zone;
use crate::time::day_words;

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

/// Why a skin check was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CheckError {
    /// Insulin before it was first given to anybody, before the person was born, or after the check.
    #[error(
        "insulin was begun in a year from the person's birth, and not before 1922, to the year of the check"
    )]
    InsulinSince,
}

impl SkinCheck {
    /// Holds what was asked against what can be.
    ///
    /// # Errors
    /// [`CheckError`].
    /// # Source
    /// Insulin was first given to a person in January 1922 (from memory).
    pub fn validate(&self, born: NaiveDate) -> Result<(), CheckError> {
        let first = born.year().max(1922);
        if self
            .insulin_since
            .is_some_and(|year| year < first || year > self.at.year())
        {
            return Err(CheckError::InsulinSince);
        }
        Ok(())
    }
}

/// What in a record makes a check worth doing before its year is over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hint {
    /// A lump was felt at an injection.
    LumpFelt,
    /// Low values nobody can explain.
    UnexplainedGlucose,
    /// Spacing was often not kept.
    SpacingBroken,
    /// Skin was often used again before it rested.
    RestBroken,
}

impl Hint {
    /// The hints that measures of a period give: a rule broken in more than one injection of ten (common practice, no
    /// source).
    pub fn of(measures: &Measures) -> Vec<Self> {
        let often = |kept: Option<&Kept>| kept.is_some_and(|k| k.share.share < 0.9);
        let mut hints = Vec::new();
        if often(measures.spacing.value.as_ref()) {
            hints.push(Self::SpacingBroken);
        }
        if often(measures.rest.value.as_ref()) {
            hints.push(Self::RestBroken);
        }
        hints
    }

    /// The hint as one sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::LumpFelt => "A lump was felt at an injection since then.",
            Self::UnexplainedGlucose => "Low values that nobody could explain were told of.",
            Self::SpacingBroken => "More than one injection in ten was close to an earlier one.",
            Self::RestBroken => {
                "More than one injection in ten went into skin that had not rested."
            }
        }
    }
}

/// Who says how often.
pub const YEARLY_SOURCE: &str =
    "At least once a year: Hirsch LJ, Strauss KW 2019, Clin Diabetes 37(3):227-233, item 7";

/// When the next check is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CheckDue {
    /// None is on record.
    Never,
    /// A year has gone by; since this day.
    Overdue {
        /// The day of the last one.
        last: NaiveDate,
    },
    /// Within the year, but something asks for one.
    Suggested {
        /// The day of the last one.
        last: NaiveDate,
    },
    /// Nothing asks for one yet.
    NotDue {
        /// The day of the last one.
        last: NaiveDate,
        /// The day the year is over.
        next: NaiveDate,
    },
}

impl CheckDue {
    /// That as a sentence.
    pub fn words(self) -> String {
        match self {
            Self::Never => "No skin check is on record: one is due.".to_owned(),
            Self::Overdue { last } => format!(
                "The last skin check was on {}, over a year ago: one is due.",
                day_words(last)
            ),
            Self::Suggested { last } => format!(
                "The last skin check was on {}. One is suggested before the year is over.",
                day_words(last)
            ),
            Self::NotDue { last, next } => format!(
                "The last skin check was on {}; the next is due on {}.",
                day_words(last),
                day_words(next)
            ),
        }
    }
}

/// Whether a check is due: every year by the calendar, from 29 February on 28 February.
///
/// # Source
/// [`YEARLY_SOURCE`].
pub fn due(last: Option<&SkinCheck>, hints: &[Hint], now: DateTime<FixedOffset>) -> CheckDue {
    let Some(check) = last else {
        return CheckDue::Never;
    };
    let last = check.at.date_naive();
    let next = last + Months::new(12);
    if now.date_naive() >= next {
        CheckDue::Overdue { last }
    } else if hints.is_empty() {
        CheckDue::NotDue { last, next }
    } else {
        CheckDue::Suggested { last }
    }
}

/// A step of looking and feeling.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// What to do.
    pub words: &'static str,
    /// Who says so.
    pub source: &'static str,
}

const MEMORY: &str = "from memory";

/// How a check is done, in order.
pub const STEPS: [Step; 6] = [
    Step {
        words: "Ask first, and say what will be touched. Warm hands, good light from the side, the zone bare.",
        source: "common practice, no source",
    },
    Step {
        words: "Look at each zone standing, then lying: swellings, dents, bruises, redness, and where the skin is smooth or \
                shiny. Look from the side as well.",
        source: MEMORY,
    },
    Step {
        words: "Feel with the flat of the fingertips, in small circles and then in lines across the whole zone, softly \
                first and then more firmly.",
        source: MEMORY,
    },
    Step {
        words: "Compare with skin beside it and with the other side: thicker, firmer or rubbery skin is a finding, even \
                where nothing can be seen.",
        source: MEMORY,
    },
    Step {
        words: "Mark what is found: where, how long and how wide in millimetres, soft or firm. Show the person how it feels.",
        source: "common practice, no source",
    },
    Step {
        words: "Say of every zone whether it was clear, had a finding, or was not looked at.",
        source: "common practice, no source",
    },
];

/// Feeling misses lumps.
pub const CAUTION: &str = "Feeling by hand misses lumps: examination by hand missed 39.0 % of the people who had lumps on \
    ultrasound. A zone that is clear here may still have one.";

/// Who says so.
pub const CAUTION_SOURCE: &str = "ADA 2020 abstract, Diabetes 2020;69 Suppl 1:674-P; Hirsch LJ, Strauss KW 2019, Clin Diabetes 37(3):227-233, item 7";

#[cfg(test)]
mod tests {
    use super::*;

    fn check(day: &str) -> SkinCheck {
        SkinCheck {
            id: "c".into(),
            at: DateTime::parse_from_rfc3339(&format!("{day}T09:00:00+01:00")).unwrap(),
            by: "Nurse Larkspur".into(),
            zones: vec![(Zone::Abdomen, ZoneSeen::Clear)],
            needle_uses: None,
            insulin_since: None,
            unexplained_lows: None,
            note: None,
        }
    }

    #[test]
    fn a_check_is_due_after_a_year_by_the_calendar_or_when_something_asks_for_one() {
        let now = |day: &str| check(day).at;
        for (last, hints, day, code) in [
            ("2025-11-27", &[][..], "2026-11-26", "not due"),
            ("2025-11-27", &[], "2026-11-27", "overdue"),
            ("2024-02-29", &[], "2025-02-27", "not due"),
            ("2024-02-29", &[], "2025-02-28", "overdue"),
            ("2026-10-01", &[Hint::LumpFelt], "2026-11-27", "suggested"),
            ("2025-10-01", &[Hint::RestBroken], "2026-11-27", "overdue"),
        ] {
            let last = check(last);
            let found = match due(Some(&last), hints, now(day)) {
                CheckDue::Never => "never",
                CheckDue::Overdue { .. } => "overdue",
                CheckDue::Suggested { .. } => "suggested",
                CheckDue::NotDue { .. } => "not due",
            };
            assert_eq!(found, code, "{day}");
        }
        assert_eq!(
            due(None, &[Hint::LumpFelt], now("2026-11-27")),
            CheckDue::Never
        );
    }

    #[test]
    fn insulin_begins_between_birth_and_the_check() {
        let born = NaiveDate::from_ymd_opt(1990, 3, 9).unwrap();
        for (year, fine) in [(1989, false), (1990, true), (2026, true), (2027, false)] {
            let asked = SkinCheck {
                insulin_since: Some(year),
                ..check("2026-11-27")
            };
            assert_eq!(asked.validate(born).is_ok(), fine, "{year}");
        }
        let old = NaiveDate::from_ymd_opt(1910, 1, 1).unwrap();
        let asked = SkinCheck {
            insulin_since: Some(1921),
            ..check("2026-11-27")
        };
        assert_eq!(asked.validate(old), Err(CheckError::InsulinSince));
        assert_eq!(NeedleUses::new(0), None);
        assert_eq!(NeedleUses::new(101), None);
    }
}
