//! The page before an injection is given, as data: which checks it shows, in the order the work is done, and how each
//! stands.
//!
//! Nothing is done by itself: a check is done when somebody says so. A problem never blocks; it asks for a reason, and
//! local policy and licensed practice come first. Not here: where the injection goes ([`crate::rules`]), whether it is
//! too soon ([`crate::rules::Interval`]), how anything is stored or drawn, and any dose but the one ordered.

mod allergies;
mod asked;
mod container;
mod in_use;
mod names;

pub use container::{Container, Device, Expiry, NeedleCover};
pub use in_use::{InUse, Life, Used};

use chrono::{DateTime, FixedOffset};

use crate::glucose::{Limits, Reading};
use crate::medicines::{Book, Medicine};
use crate::person::{Order, Person};

/// The words for a fact of the trade that has no source.
pub const COMMON_PRACTICE: &str = "common practice, no source";

/// The checks, in the order the work is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    /// Two identifiers, read back by the person.
    Identity,
    /// Allergies, latex among them.
    Allergies,
    /// The order: in force on this day.
    Order,
    /// The container: medicine, strength, expiry, days since opening.
    Container,
    /// A glucose value, where the order asks.
    Glucose,
    /// What the person ate or will eat, where the order asks.
    Meal,
    /// That the person agrees.
    Consent,
    /// That somebody looked at the skin.
    Skin,
    /// A second person, where local policy asks.
    SecondChecker,
}

impl What {
    /// All of them, in the order the work is done.
    pub const ALL: [Self; 9] = [
        Self::Identity,
        Self::Allergies,
        Self::Order,
        Self::Container,
        Self::Glucose,
        Self::Meal,
        Self::Consent,
        Self::Skin,
        Self::SecondChecker,
    ];

    /// The word used at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::Identity => "identity",
            Self::Allergies => "allergies",
            Self::Order => "order",
            Self::Container => "container",
            Self::Glucose => "glucose",
            Self::Meal => "meal",
            Self::Consent => "consent",
            Self::Skin => "skin",
            Self::SecondChecker => "second_checker",
        }
    }

    /// Reads [`What::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|what| what.code() == text)
    }
}

/// Who said so, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tick {
    /// The recorder.
    pub by: String,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// Something that does not fit. It never blocks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// One or two sentences.
    pub words: String,
    /// Whether it must not be overlooked.
    pub loud: bool,
    /// Where it comes from: a citation, `from memory`, [`COMMON_PRACTICE`], or whose record it is.
    pub source: String,
}

impl Problem {
    fn loud(words: String, source: &str) -> Self {
        Self {
            words,
            loud: true,
            source: source.to_owned(),
        }
    }

    fn quiet(words: String, source: &str) -> Self {
        Self {
            words,
            loud: false,
            source: source.to_owned(),
        }
    }
}

/// Why somebody goes on in spite of a problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// Which check it is about.
    pub what: What,
    /// In their words.
    pub text: String,
    /// Who and when.
    pub tick: Tick,
}

/// How a check stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    /// Nobody has done it.
    NotYet,
    /// Done, and nothing against it.
    Done(Tick),
    /// Something does not fit.
    Problem {
        /// At least one, the loud ones first.
        problems: Vec<Problem>,
        /// Who did the check, where somebody did.
        done: Option<Tick>,
        /// Why they go on, where somebody said so.
        reason: Option<Reason>,
    },
    /// Neither the order nor local policy asks for it here.
    NotAsked,
}

/// Whether a check can be answered with what held last time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AsLastTime {
    /// Never for this check: it is about today.
    Never,
    /// This container still fits; taking it is somebody's tap, never done by itself.
    Offered(Box<Container>),
    /// Not now, and why.
    NotNow(String),
}

/// One check of the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Check {
    /// Which.
    pub what: What,
    /// How it stands.
    pub state: State,
    /// What is read out or compared for it, and what is not known.
    pub lines: Vec<String>,
    /// Whether last time's answer is offered.
    pub as_last_time: AsLastTime,
}

impl Check {
    /// Whether it still wants somebody: not done, or a problem without a reason.
    pub fn is_open(&self) -> bool {
        match &self.state {
            State::NotYet => true,
            State::Done(_) | State::NotAsked => false,
            State::Problem { reason, .. } => reason.is_none(),
        }
    }

    /// Whether it has a loud problem.
    pub fn is_loud(&self) -> bool {
        matches!(&self.state, State::Problem { problems, .. } if problems.iter().any(|p| p.loud))
    }
}

/// What the order and local policy ask for beyond what is always asked.
#[derive(Debug, Clone, Default)]
pub struct Asks {
    /// Limits of the glucose check, where the order asks for one.
    pub glucose: Option<Limits>,
    /// Whether the order asks about the meal.
    pub meal: bool,
    /// Whether local policy asks for a second checker.
    pub second_checker: bool,
}

/// What the record knows.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// The medicines.
    pub book: &'a Book,
    /// The one who receives the injection.
    pub person: &'a Person,
    /// The order it is given under.
    pub order: &'a Order,
    /// The strength written on the order; `None` takes the one in the medicine's name, where it has one.
    pub strength: Option<&'a str>,
    /// What is asked for.
    pub asks: &'a Asks,
    /// The container of the last injection of this order.
    pub last_container: Option<&'a Container>,
    /// Who gives it.
    pub giver: &'a str,
    /// Whether the giver is the person; then nobody asks themself who they are or whether they agree.
    pub gives_to_self: bool,
}

impl Known<'_> {
    /// The medicine of the order, where the book has it.
    fn medicine(&self) -> Option<&Medicine> {
        self.book.medicine(&self.order.medicine)
    }

    /// Its name, or its key where the book does not have it.
    fn medicine_name(&self) -> &str {
        self.medicine()
            .map_or(self.order.medicine.as_str(), |medicine| &medicine.name)
    }
}

/// One identifier that can be read back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Identifier {
    /// The full name.
    Name,
    /// The date of birth.
    Born,
    /// The second identifier of the record, such as a record number.
    Number,
}

/// An identifier the person said or a band showed, held against the record by whoever checks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReadBack {
    /// Which.
    pub identifier: Identifier,
    /// Whether it is what the record says.
    pub matches: bool,
}

/// A glucose value and when it was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Measured {
    /// What the meter showed.
    pub reading: Reading,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// What is known of the meal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meal {
    /// Eaten.
    Eaten,
    /// About to be eaten.
    About,
    /// Not eaten and not about to be.
    NotEating,
}

/// What the person said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Consent {
    /// Yes.
    Given,
    /// No.
    Refused,
    /// The person cannot say; somebody who may decided, in these words.
    DecidedFor(String),
}

/// What was seen on the skin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SkinSeen {
    /// Nothing against it.
    Clear,
    /// Something, in words.
    Found(String),
}

/// What was said on this page, each with who said it. Ticks of an earlier injection do not belong here.
#[derive(Debug, Clone, Default)]
pub struct Said {
    /// Identifiers read back.
    pub identity: Option<(Vec<ReadBack>, Tick)>,
    /// Allergies were read and asked about.
    pub allergies: Option<Tick>,
    /// The order was read.
    pub order: Option<Tick>,
    /// The container in hand, as read from it.
    pub container: Option<(Container, Tick)>,
    /// The glucose.
    pub glucose: Option<(Measured, Tick)>,
    /// The meal.
    pub meal: Option<(Meal, Tick)>,
    /// The consent.
    pub consent: Option<(Consent, Tick)>,
    /// The skin.
    pub skin: Option<(SkinSeen, Tick)>,
    /// The second checker.
    pub second: Option<Tick>,
    /// Reasons for going on.
    pub reasons: Vec<Reason>,
}

/// The page at `now`: every check, in the order of [`What::ALL`].
///
/// # Units
/// The day is the calendar date of `now` at its own offset.
/// # Errors
/// Never. What is not known is said in the lines of its check.
pub fn page(known: &Known<'_>, said: &Said, now: DateTime<FixedOffset>) -> Vec<Check> {
    What::ALL
        .into_iter()
        .map(|what| {
            let found = match what {
                What::Identity => asked::identity(known, said),
                What::Allergies => allergies::check(known, said),
                What::Order => asked::order(known, said, now.date_naive()),
                What::Container => container::check(known, said, now.date_naive()),
                What::Glucose => asked::glucose(known, said, now),
                What::Meal => asked::meal(known, said),
                What::Consent => asked::consent(known, said),
                What::Skin => asked::skin(said),
                What::SecondChecker => asked::second_checker(known, said),
            };
            let as_last_time = match what {
                What::Container => container::as_last_time(known, now.date_naive()),
                _ => AsLastTime::Never,
            };
            found.into_check(what, said, as_last_time)
        })
        .collect()
}

/// What one check found, before it is told in a state.
#[derive(Debug, Default)]
struct Found {
    asked: bool,
    done: Option<Tick>,
    problems: Vec<Problem>,
    lines: Vec<String>,
}

impl Found {
    fn asked(done: Option<&Tick>) -> Self {
        Self {
            asked: true,
            done: done.cloned(),
            ..Self::default()
        }
    }

    fn into_check(mut self, what: What, said: &Said, as_last_time: AsLastTime) -> Check {
        self.problems.sort_by_key(|problem| !problem.loud);
        // The last word counts; a blank one is none.
        let mut reasons = said.reasons.iter().rev();
        let reason = reasons.find(|r| r.what == what && !r.text.trim().is_empty());
        let state = match (self.asked, self.problems.is_empty(), self.done) {
            (false, ..) => State::NotAsked,
            (true, false, done) => State::Problem {
                problems: self.problems,
                done,
                reason: reason.cloned(),
            },
            (true, true, Some(tick)) => State::Done(tick),
            (true, true, None) => State::NotYet,
        };
        Check {
            what,
            state,
            lines: self.lines,
            as_last_time,
        }
    }
}

#[cfg(test)]
mod tests;
