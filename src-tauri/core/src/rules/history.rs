//! What was injected before, in order of time, so that a check looks only as far back as its rule does.

use chrono::{DateTime, Duration, FixedOffset, NaiveDate};

use crate::person::Injection;
use crate::site::Site;

/// An earlier injection, as the rules see it.
#[derive(Debug, Clone, PartialEq)]
pub struct Past {
    /// The entry's id.
    pub id: String,
    /// Key of the medicine.
    pub medicine: String,
    /// Class of the medicine.
    pub class: String,
    /// Where.
    pub site: Site,
    /// When.
    pub given_at: DateTime<FixedOffset>,
}

impl Past {
    /// The day it counts for, at its own offset.
    pub fn day(&self) -> NaiveDate {
        self.given_at.date_naive()
    }

    /// Days of rest it has had on the calendar day of `at`.
    pub fn rested_days(&self, at: DateTime<FixedOffset>) -> i64 {
        day_number(at) - day_number(self.given_at)
    }
}

/// The calendar day of an instant at its own offset, counted from 1970: the same days as between two dates, without
/// making a date of each of many injections.
pub(crate) fn day_number(at: DateTime<FixedOffset>) -> i64 {
    (at.timestamp() + i64::from(at.offset().local_minus_utc())).div_euclid(86_400)
}

/// As `partition_point`, but looking from the end: a question is about the last weeks, and the beginning of a long
/// record is far from the processor.
fn turn(past: &[Past], is_earlier: impl Fn(&Past) -> bool) -> usize {
    let count = past.len();
    let mut back = 1;
    while back <= count && !is_earlier(&past[count - back]) {
        back *= 2;
    }
    let start = count.saturating_sub(back);
    start + past[start..count - back / 2].partition_point(is_earlier)
}

/// Earlier injections, oldest first; those of one instant by id, so that the order they arrived in does not matter.
#[derive(Debug, Clone, Default)]
pub struct History {
    past: Vec<Past>,
}

impl History {
    /// Puts injections in order.
    pub fn new(mut past: Vec<Past>) -> Self {
        past.sort_by(|a, b| a.given_at.cmp(&b.given_at).then_with(|| a.id.cmp(&b.id)));
        Self { past }
    }

    /// Adds one more; of one instant by id, as in [`History::new`].
    pub fn add(&mut self, past: Past) {
        let at = self
            .past
            .partition_point(|p| (p.given_at, &p.id) <= (past.given_at, &past.id));
        self.past.insert(at, past);
    }

    /// From injections of the record; a medicine there are no rules for is a class of its own.
    pub fn of<'a>(
        injections: impl IntoIterator<Item = &'a Injection>,
        book: &crate::medicines::Book,
    ) -> Self {
        let class = |key: &str| {
            book.medicine(key)
                .map_or(key, |m| m.class.as_str())
                .to_owned()
        };
        Self::new(
            injections
                .into_iter()
                .map(|i| Past {
                    id: i.id.clone(),
                    class: class(&i.medicine),
                    medicine: i.medicine.clone(),
                    site: i.site,
                    given_at: i.given_at,
                })
                .collect(),
        )
    }

    /// All of them, oldest first.
    pub fn all(&self) -> &[Past] {
        &self.past
    }

    /// Everything given at or before `at`.
    pub fn before(&self, at: DateTime<FixedOffset>) -> &[Past] {
        &self.past[..turn(&self.past, |p| p.given_at <= at)]
    }

    /// Injections that have rested fewer than `days` calendar days at `at`, oldest first.
    pub fn resting(
        &self,
        at: DateTime<FixedOffset>,
        days: f64,
    ) -> impl DoubleEndedIterator<Item = &Past> + Clone {
        // Offsets differ by up to 26 hours between two entries, so the window is two days wider than the rule.
        let window = Duration::minutes((days * 1440.0) as i64) + Duration::days(2);
        let before = self.before(at);
        let from = at - window;
        let start = turn(before, |p| p.given_at < from);
        let today = day_number(at);
        before[start..]
            .iter()
            .filter(move |p| ((today - day_number(p.given_at)) as f64) < days)
    }
}
