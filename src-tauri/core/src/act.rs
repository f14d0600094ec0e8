//! The act around an injection: what was checked and seen, what was not given and why, what was measured, what from.
//!
//! Plain records. Not here: any judgement of them.

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::orders::Device;

macro_rules! codes {
    ($(#[$meta:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $code:literal, $words:literal;)+ }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name { $($(#[$doc])* $variant,)+ }

        impl $name {
            /// All of them, in the order they are offered.
            pub const ALL: &[Self] = &[$(Self::$variant),+];

            /// The word used in files and at the door.
            pub fn code(self) -> &'static str {
                match self { $(Self::$variant => $code,)+ }
            }

            /// Reads the code back; `None` for anything else.
            pub fn from_code(text: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|one| one.code() == text)
            }

            /// The words on screen.
            pub fn words(self) -> &'static str {
                match self { $(Self::$variant => $words,)+ }
            }
        }
    };
}

codes! {
    /// What was seen or felt afterwards.
    Outcome {
        /// Nothing to see.
        Fine = "fine", "nothing to see";
        /// It bled.
        Bleeding = "bleeding", "bleeding";
        /// Medicine came back out.
        Leak = "leak", "medicine leaked out";
        /// A bruise.
        Bruise = "bruise", "bruise";
        /// It hurt.
        Pain = "pain", "pain";
        /// A lump was felt.
        LumpFelt = "lump_felt", "a lump was felt";
    }
}

codes! {
    /// Why an injection was not given.
    WhyNot {
        /// The person said no.
        Declined = "declined", "declined";
        /// Nobody was there, or no access.
        Away = "away", "away or no access";
        /// Too unwell.
        Unwell = "unwell", "unwell";
        /// Glucose was low.
        LowGlucose = "low_glucose", "low glucose";
        /// The prescriber said to wait.
        Held = "held_by_prescriber", "held by the prescriber";
        /// No medicine or no needle.
        NoSupply = "no_supply", "no supply";
        /// Something else, in words.
        Other = "other", "another reason";
    }
}

codes! {
    /// What an event is about.
    About {
        /// An injection that was due and not given.
        NotGiven = "not_given", "not given";
        /// Glucose was measured.
        Glucose = "glucose", "glucose";
        /// Ketones were measured.
        Ketones = "ketones", "ketones";
        /// Fast carbohydrate was taken.
        Carbohydrate = "carbohydrate", "fast carbohydrate";
        /// Drowsy, unable to swallow, or help was called.
        Alarm = "alarm", "alarm";
    }
}

/// What an injection's record says beside medicine, dose, site and time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Act {
    /// Whether the person held the needle; `None` where nobody said.
    pub self_given: Option<bool>,
    /// What was seen afterwards.
    pub outcomes: Vec<Outcome>,
    /// Which checks were done before, by their codes.
    pub checks: Vec<String>,
    /// Why the dose is not the order's.
    pub dose_reason: Option<String>,
    /// Who checked as the second person.
    pub second_checker: Option<String>,
    /// Whether the needle went into the sharps bin; `None` where nobody said.
    pub needle_disposed: Option<bool>,
    /// The container it came from, by the id of its first entry.
    pub container: Option<String>,
    /// Free text.
    pub note: Option<String>,
}

/// Something that happened around injections.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// The order it concerns.
    pub order: Option<String>,
    /// What it is about.
    pub about: About,
    /// The slot of an injection not given; else when it was measured or done.
    pub at: DateTime<FixedOffset>,
    /// As read: a plain decimal, or a meter's `LO` or `HI`; with its unit.
    pub value: Option<(String, String)>,
    /// [`WhyNot`] of an injection not given; of an alarm what it is.
    pub code: Option<String>,
    /// Free text.
    pub note: Option<String>,
    /// It never happened; the entry withdraws the one it supersedes.
    pub withdrawn: bool,
}

/// A day, or a month where a label gives no more: then its last day counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Expiry {
    /// To the day.
    Day(NaiveDate),
    /// Year and month.
    Month(i32, u32),
}

/// A vial, pen or syringe in use for an order, as its label and its user say.
#[derive(Debug, Clone, PartialEq)]
pub struct Container {
    /// The order.
    pub order: String,
    /// Medicine as the label has it.
    pub medicine: String,
    /// Strength as the label has it, `100 units/mL`.
    pub strength: Option<String>,
    /// Batch.
    pub batch: Option<String>,
    /// Last day it may be used.
    pub expires: Option<Expiry>,
    /// When it was first used.
    pub opened: Option<NaiveDate>,
    /// What it is.
    pub device: Option<Device>,
    /// Free text.
    pub note: Option<String>,
}

impl Expiry {
    /// Reads `2027-03` or `2027-03-31`; `None` for anything else.
    pub fn parse(text: &str) -> Option<Self> {
        if text.len() == 10 {
            return text.parse().ok().map(Self::Day);
        }
        let (year, month) = text.split_once('-')?;
        let digits = |t: &str, n: usize| t.len() == n && t.bytes().all(|b| b.is_ascii_digit());
        if !digits(year, 4) || !digits(month, 2) {
            return None;
        }
        let (year, month) = (year.parse().ok()?, month.parse().ok()?);
        NaiveDate::from_ymd_opt(year, month, 1).map(|_| Self::Month(year, month))
    }

    /// As [`Expiry::parse`] reads it.
    pub fn code(self) -> String {
        match self {
            Self::Day(day) => day.format("%Y-%m-%d").to_string(),
            Self::Month(year, month) => format!("{year:04}-{month:02}"),
        }
    }

    /// The last day it may be used; of a month its last day (common practice, no source).
    pub fn last_day(self) -> Option<NaiveDate> {
        match self {
            Self::Day(day) => Some(day),
            Self::Month(year, month) => {
                let (y, m) = if month == 12 {
                    (year + 1, 1)
                } else {
                    (year, month + 1)
                };
                NaiveDate::from_ymd_opt(y, m, 1)?.pred_opt()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_month_lasts_to_its_last_day() {
        for (text, last) in [
            ("2027-03-05", "2027-03-05"),
            ("2027-03", "2027-03-31"),
            ("2026-12", "2026-12-31"),
            ("2028-02", "2028-02-29"),
        ] {
            let read = Expiry::parse(text).unwrap();
            assert_eq!(read.code(), text);
            assert_eq!(read.last_day().unwrap().to_string(), last);
        }
        for bad in [
            "",
            "2027",
            "2027-13",
            "2027-3",
            "27-03",
            "2027-03-32",
            "March 2027",
            "20x7-03",
        ] {
            assert_eq!(Expiry::parse(bad), None, "{bad}");
        }
    }

    #[test]
    fn codes_read_back() {
        for one in Outcome::ALL {
            assert_eq!(Outcome::from_code(one.code()), Some(*one));
        }
        for one in WhyNot::ALL {
            assert_eq!(WhyNot::from_code(one.code()), Some(*one));
        }
        for one in About::ALL {
            assert_eq!(About::from_code(one.code()), Some(*one));
        }
        assert_eq!(WhyNot::from_code("bored"), None);
    }
}
