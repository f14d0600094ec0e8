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
        (at.date_naive() - self.day()).num_days()
    }
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
        &self.past[..self.past.partition_point(|p| p.given_at <= at)]
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
        let start = before.partition_point(|p| p.given_at < at - window);
        before[start..]
            .iter()
            .filter(move |p| (p.rested_days(at) as f64) < days)
    }
}
