//! Time since the last dose of the same medicine, by elapsed hours and never by dates.
//!
//! Not part of a site's verdict: it is about the dose. It computes no dose and withholds nothing.

use chrono::{DateTime, Duration, FixedOffset, NaiveTime};

use crate::person::Order;

/// How far apart an order's doses usually are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interval {
    /// The shortest usual time between two doses; `None` where it is given when needed.
    pub usual: Option<Duration>,
}

/// What the time since the last dose means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SinceLast {
    /// Elapsed time.
    pub elapsed: Duration,
    /// Sooner than five sixths of the usual time: worth a word.
    pub early: bool,
    /// Sooner than half the usual time (15 minutes where it is given when needed): it may be a second dose in one
    /// slot, so going on asks for a reason.
    pub needs_reason: bool,
}

impl Interval {
    /// The usual interval of an order.
    ///
    /// # Units
    /// For several times a day the shortest gap round the clock (08:00, 12:30, 18:00, 22:00 gives 4 hours); for one
    /// a day 24 hours; for every *n* days *n* times 24 hours.
    pub fn of(order: &Order) -> Self {
        let day = Duration::days(1);
        let mut times = order.times.clone();
        times.sort_unstable();
        times.dedup();
        let weekday_gap = weekday_gap(&order.terms.weekdays).map(|days| day * days);
        if times.is_empty() {
            if weekday_gap.is_some() {
                return Self { usual: weekday_gap };
            }
            // Every n days without a time of day still has an interval; daily without a time is when needed.
            let usual = (order.every_days > 1).then(|| day * i32::from(order.every_days));
            return Self { usual };
        }
        if times.len() == 1 && weekday_gap.is_some() {
            return Self { usual: weekday_gap };
        }
        if times.len() == 1 || order.every_days > 1 {
            return Self {
                usual: Some(day * i32::from(order.every_days.max(1))),
            };
        }
        let at = |t: NaiveTime| t - NaiveTime::MIN;
        let round = times.windows(2).map(|w| at(w[1]) - at(w[0]));
        let over_midnight = day - at(times[times.len() - 1]) + at(times[0]);
        Self {
            usual: round.chain([over_midnight]).min(),
        }
    }

    /// Judges a dose at `at` against another of the same medicine, before or after it.
    ///
    /// # Source
    /// The fractions are common practice, no source: they decide only whether a word or a question is shown.
    pub fn judge(self, other: DateTime<FixedOffset>, at: DateTime<FixedOffset>) -> SinceLast {
        let elapsed = at - other;
        let apart = elapsed.abs();
        let (early, needs_reason) = match self.usual {
            Some(usual) => (apart * 6 < usual * 5, apart * 2 < usual),
            None => (apart < Duration::minutes(15), apart < Duration::minutes(15)),
        };
        SinceLast {
            elapsed,
            early,
            needs_reason,
        }
    }
}

/// The shortest gap between an order's weekdays, round the week, in days; `None` where it names none.
fn weekday_gap(weekdays: &[chrono::Weekday]) -> Option<i32> {
    let mut days: Vec<i32> = weekdays
        .iter()
        .map(|d| d.num_days_from_monday().cast_signed())
        .collect();
    days.sort_unstable();
    days.dedup();
    let over_sunday = days.first()? + 7 - days.last()?;
    let gaps = days.windows(2).map(|pair| pair[1] - pair[0]);
    gaps.chain([over_sunday]).min()
}
