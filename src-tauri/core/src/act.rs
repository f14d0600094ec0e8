//! The act around an injection: what was checked and seen, what was not given and why, what was measured, what from.
//!
//! Plain records. Not here: any judgement of them.

use chrono::{DateTime, FixedOffset};

use crate::before::Container;

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

/// A vial, pen or syringe in use for an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InUse {
    /// The order.
    pub order: String,
    /// What its label says.
    pub label: Container,
    /// Free text.
    pub note: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

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
