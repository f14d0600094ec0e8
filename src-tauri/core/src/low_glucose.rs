//! The usual steps for a low glucose in somebody awake who can swallow: 15 to 20 g of fast carbohydrate, 15 minutes, a
//! check, up to three rounds, then help.
//!
//! A pure state machine over what was recorded: the deadline is an instant, so a countdown outlives the app. One list
//! of events is one episode, in the order they were recorded. Not here: the limits ([`crate::glucose`]), any dose, and
//! whether the injection is given afterwards, which the order and the prescriber decide.
//!
//! # Source
//! JBDS 01, UK inpatient guidance, one-page algorithm: 15 to 20 g of fast carbohydrate, check again after 15 minutes, up
//! to 3 times, then call for help. Some local versions check from 10 minutes on. That a person who is drowsy or cannot
//! swallow is given nothing by mouth: patient guidance on low glucose.

use chrono::{DateTime, Duration, FixedOffset};

use crate::glucose::{Limits, Reading, Standing, judge};
use crate::time::Clock;

/// Rounds of carbohydrate before help is called (JBDS 01).
pub const MOST_ROUNDS: u32 = 3;

/// Minutes from the carbohydrate to the next check (JBDS 01).
pub const WAIT_MINUTES: i64 = 15;

/// Where the steps come from.
pub const SOURCE: &str = "JBDS 01, UK inpatient guidance, one-page algorithm";

/// What happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Happened {
    /// The glucose was measured.
    Checked(Reading),
    /// 15 to 20 g of fast carbohydrate was taken.
    TookCarbohydrate,
    /// The person is drowsy or cannot swallow.
    CannotSwallow,
}

/// One thing that was recorded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// When, by the clock of the device it was recorded on.
    pub at: DateTime<FixedOffset>,
    /// What.
    pub happened: Happened,
    /// Who recorded it.
    pub recorder: String,
}

/// What comes next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// No low value was recorded.
    NotLow,
    /// Take 15 to 20 g of fast carbohydrate.
    TakeCarbohydrate,
    /// Wait until this instant, then check.
    Wait {
        /// The deadline.
        until: DateTime<FixedOffset>,
    },
    /// Check the glucose now.
    CheckAgain,
    /// At or above the limit again.
    Finished,
    /// Still low after three rounds: call for help.
    CallForHelp,
    /// Drowsy or unable to swallow: call emergency services.
    CallEmergencyServices,
}

impl Step {
    /// The word used at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::NotLow => "not_low",
            Self::TakeCarbohydrate => "take_carbohydrate",
            Self::Wait { .. } => "wait",
            Self::CheckAgain => "check_again",
            Self::Finished => "finished",
            Self::CallForHelp => "call_for_help",
            Self::CallEmergencyServices => "call_emergency_services",
        }
    }
}

/// Where an episode stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    /// What comes next.
    pub step: Step,
    /// Whole seconds until the next check, rounded up, `0..=900`; 0 outside [`Step::Wait`].
    pub seconds_left: u16,
    /// How often carbohydrate was taken. More events never make it less.
    pub rounds: u32,
    /// What to do, in words.
    pub words: String,
    /// What does not fit: times that go backwards, early checks, numbers that look like the other unit.
    pub doubts: Vec<String>,
    /// Where the steps come from.
    pub source: &'static str,
}

/// Where an episode stands at `now`; `clock` is how its words tell times of day.
///
/// # Units
/// Times are compared as instants; `seconds_left` in whole seconds.
/// # How
/// A check decides when 15 minutes have passed since the carbohydrate. One that is earlier and at or above the limit
/// finishes too, with a word to check once more; one that is earlier and still low leaves the wait as it was. Where a
/// time lies before the one recorded before it, nobody knows how long the wait was: a low value is treated again, and
/// one that is not low ends nothing and, while waiting, asks for one more check. Drowsiness is not taken back by a later value.
/// # Errors
/// Never; what does not fit is in `doubts`.
pub fn state(events: &[Event], limits: &Limits, now: DateTime<FixedOffset>, clock: Clock) -> State {
    let mut episode = Episode::by(clock);
    for event in events {
        episode.record(event, limits);
    }
    episode.at(now, limits)
}

/// One thing on record, as [`current`] reads it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Entry {
    /// It belongs to an episode.
    Event(Event),
    /// Somebody said that it is over: what was before does not count any more.
    Over,
}

/// Where the episode that is going on stands at `now`, or the last one; `entries` in the order they were recorded.
///
/// # How
/// A value begins a new episode where there was none, or where the one before it had finished. Otherwise as [`state`].
pub fn current(
    entries: impl IntoIterator<Item = Entry>,
    limits: &Limits,
    now: DateTime<FixedOffset>,
    clock: Clock,
) -> State {
    let mut episode = Episode::by(clock);
    for entry in entries {
        let Entry::Event(event) = entry else {
            episode = Episode::by(clock);
            continue;
        };
        let ended = matches!(episode.phase, Phase::NotLow | Phase::Finished);
        if ended && matches!(event.happened, Happened::Checked(_)) {
            episode = Episode::by(clock);
        }
        episode.record(&event, limits);
    }
    episode.at(now, limits)
}

/// What the events so far amount to, without the present moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Phase {
    #[default]
    NotLow,
    Low,
    /// Carbohydrate was taken at this instant.
    Waiting(DateTime<FixedOffset>),
    /// The clock went back while waiting, so a check is due whatever it shows.
    CheckNow,
    Finished,
    Help,
    Emergency,
}

#[derive(Default)]
struct Episode {
    clock: Clock,
    phase: Phase,
    rounds: u32,
    /// When the event before was recorded.
    last: Option<DateTime<FixedOffset>>,
    reading: Option<Reading>,
    doubts: Vec<String>,
}

impl Episode {
    fn by(clock: Clock) -> Self {
        Self {
            clock,
            ..Self::default()
        }
    }

    fn told(&self, at: DateTime<FixedOffset>) -> String {
        self.clock.words(at.time())
    }

    fn record(&mut self, event: &Event, limits: &Limits) {
        let backwards = self.last.filter(|last| event.at < *last);
        if let Some(last) = backwards {
            self.doubts.push(format!(
                "{} is recorded at {}, earlier than the entry before it at {}: look at the clock. How long the wait \
                 was is not known.",
                named(event.happened),
                self.told(event.at),
                self.told(last)
            ));
        }
        self.last = Some(event.at);
        match event.happened {
            Happened::CannotSwallow => self.phase = Phase::Emergency,
            Happened::TookCarbohydrate => {
                self.rounds = self.rounds.saturating_add(1);
                if !matches!(self.phase, Phase::Emergency | Phase::Help) {
                    self.phase = Phase::Waiting(event.at);
                }
            }
            Happened::Checked(reading) => {
                self.reading = Some(reading);
                if let Some(question) = reading.question() {
                    self.doubts.push(question.words);
                }
                let low = judge(reading, limits).standing.is_low();
                self.phase = self.after_check(low, event.at, backwards.is_some());
            }
        }
    }

    fn after_check(&mut self, low: bool, at: DateTime<FixedOffset>, backwards: bool) -> Phase {
        let treat_again = if self.rounds >= MOST_ROUNDS {
            Phase::Help
        } else {
            Phase::Low
        };
        match self.phase {
            Phase::Emergency => Phase::Emergency,
            Phase::NotLow if !low => Phase::NotLow,
            Phase::Waiting(_) if backwards && !low => Phase::CheckNow,
            // It may have been measured before the low one, so it ends nothing.
            phase if backwards && !low => phase,
            Phase::Waiting(since) if !backwards && at < deadline(since) => {
                self.doubts.push(format!(
                    "The check at {} is early, {} after the carbohydrate: check again at {}.",
                    self.told(at),
                    crate::time::length_words(at.signed_duration_since(since)),
                    self.told(deadline(since))
                ));
                if low {
                    Phase::Waiting(since)
                } else {
                    Phase::Finished
                }
            }
            Phase::Help if low => Phase::Help,
            _ if low => treat_again,
            // Help was called; one good value is told to whoever comes.
            _ => Phase::Finished,
        }
    }

    fn at(mut self, now: DateTime<FixedOffset>, limits: &Limits) -> State {
        if let Some(last) = self.last.filter(|last| now < *last) {
            self.doubts.push(format!(
                "The clock shows {}, earlier than the last entry at {}: it may have been set back. Count the {} \
                 minutes on a watch.",
                self.told(now),
                self.told(last),
                WAIT_MINUTES
            ));
        }
        let (step, seconds_left) = match self.phase {
            Phase::NotLow => (Step::NotLow, 0),
            Phase::Low => (Step::TakeCarbohydrate, 0),
            Phase::CheckNow => (Step::CheckAgain, 0),
            Phase::Finished => (Step::Finished, 0),
            Phase::Help => (Step::CallForHelp, 0),
            Phase::Emergency => (Step::CallEmergencyServices, 0),
            Phase::Waiting(since) => {
                let until = deadline(since);
                match seconds(until.signed_duration_since(now)) {
                    0 => (Step::CheckAgain, 0),
                    left => (Step::Wait { until }, left),
                }
            }
        };
        State {
            words: self.words(step, limits),
            step,
            seconds_left,
            rounds: self.rounds,
            doubts: self.doubts,
            source: SOURCE,
        }
    }

    fn words(&self, step: Step, limits: &Limits) -> String {
        let (rounds, reading) = (self.rounds, self.reading);
        let found = reading.map_or_else(String::new, |reading| judged(reading, limits));
        let swallow =
            "If the person is drowsy or cannot swallow: nothing by mouth, call emergency services.";
        match step {
            Step::NotLow if reading.is_some() => format!("{found} No low value is recorded."),
            Step::NotLow => "No low value is recorded.".to_owned(),
            Step::TakeCarbohydrate => format!(
                "{found} Take 15 to 20 g of fast carbohydrate now: round {} of {MOST_ROUNDS}. Check again {WAIT_MINUTES} \
                 minutes after it. {swallow}",
                rounds.saturating_add(1)
            ),
            Step::Wait { until } => format!(
                "Stay with the person. Check the glucose again at {}, {WAIT_MINUTES} minutes after the carbohydrate. {swallow}",
                self.told(until)
            ),
            Step::CheckAgain => format!("Check the glucose now. {swallow}"),
            Step::Finished => format!(
                "{found} Eat something now, or the meal if it is due. About the injection: do as the order says and ask \
                 the prescriber. Local policy comes first."
            ),
            Step::CallForHelp => format!(
                "{found} Still low after {rounds} rounds: call for help now and stay with the person. {swallow}"
            ),
            Step::CallEmergencyServices => {
                "Drowsy or unable to swallow: call emergency services now. Nothing by mouth. Stay with the person.".to_owned()
            }
        }
    }
}

fn deadline(since: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
    since
        .checked_add_signed(Duration::minutes(WAIT_MINUTES))
        .unwrap_or(since)
}

/// Whole seconds, rounded up, `0..=900`: a clock that was set back does not make the wait longer.
fn seconds(left: Duration) -> u16 {
    let up = (left.num_milliseconds().saturating_add(999)).div_euclid(1000);
    u16::try_from(up.clamp(0, WAIT_MINUTES * 60)).expect("clamped to 0..=900")
}

fn named(happened: Happened) -> &'static str {
    match happened {
        Happened::Checked(_) => "A check",
        Happened::TookCarbohydrate => "The carbohydrate",
        Happened::CannotSwallow => "That the person cannot swallow",
    }
}

/// The value and the limit it was held against: `3.1 mmol/L is below 4.0 mmol/L (JBDS 01, …).`
fn judged(reading: Reading, limits: &Limits) -> String {
    let judged = judge(reading, limits);
    let limit = if judged.standing == Standing::VeryLow {
        limits.very_low()
    } else {
        limits.low()
    };
    let at = reading
        .glucose()
        .map_or_else(|| limit.at().to_string(), |value| limit.words(value));
    let against = if judged.standing.is_low() {
        "below"
    } else {
        "not below"
    };
    format!("{reading} is {against} {at} ({}).", limit.set_by().words())
}

#[cfg(test)]
mod tests;
