//! The one guard of every axis: what it returns can be drawn on, whatever it is given.

use std::ops::Range;

use chrono::NaiveDate;
use fallow_core::measures::Period;
use plotters::coord::ranged1d::{KeyPointHint, NoDefaultFormatting, Ranged, ValueFormatter};
use plotters::coord::types::RangedCoordf64;

/// More days than any chart has; a longer axis is cut.
const MOST_DAYS: i64 = 40_000;

/// A range of numbers to draw on: finite, never empty, never reversed, with all of `values` and `marks` in it and a
/// little room above.
///
/// # Laws
/// Values that are not numbers are left out. No values at all give 0 to 1.
pub fn numbers(values: impl IntoIterator<Item = f64>, marks: &[f64]) -> Range<f64> {
    let all = values
        .into_iter()
        .chain(marks.iter().copied())
        .filter(|v| v.is_finite() && v.abs() < 1e12);
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
        (l.min(v), h.max(v))
    });
    if low > high {
        return 0.0..1.0;
    }
    // Distances, days, sizes and counts begin at nothing.
    let low = low.min(0.0);
    let room = ((high - low) * 0.08).max(0.5);
    low..high + room
}

/// The days of a period as whole numbers from its first day, never empty: half a day of room on both sides.
pub fn days(period: Period) -> Range<f64> {
    let days = (period.to - period.from).num_days().clamp(0, MOST_DAYS);
    -0.5..days as f64 + 0.5
}

/// Where a day lies on [`days`].
pub fn place(day: NaiveDate, period: Period) -> f64 {
    (day - period.from).num_days() as f64
}

/// The axis of the days of a period, which names whole days: what plotters would choose are round numbers of days.
#[derive(Debug, Clone)]
pub(crate) struct DayAxis {
    period: Period,
    range: Range<f64>,
}

impl DayAxis {
    pub(crate) fn of(period: Period) -> Self {
        Self {
            period,
            range: days(period),
        }
    }
}

impl Ranged for DayAxis {
    type FormatOption = NoDefaultFormatting;
    type ValueType = f64;

    fn map(&self, value: &f64, limit: (i32, i32)) -> i32 {
        RangedCoordf64::from(self.range.clone()).map(value, limit)
    }

    fn key_points<Hint: KeyPointHint>(&self, _: Hint) -> Vec<f64> {
        day_labels(self.period)
    }

    fn range(&self) -> Range<f64> {
        self.range.clone()
    }
}

impl ValueFormatter<f64> for DayAxis {
    fn format(value: &f64) -> String {
        value.to_string()
    }
}

/// Where days are named below an axis: the first day, then every so many, whole weeks where there are several; at most
/// five of them.
fn day_labels(period: Period) -> Vec<f64> {
    let days = (period.to - period.from).num_days().clamp(0, MOST_DAYS) + 1;
    let step = match days {
        ..=5 => 1,
        6..=13 => (days + 3) / 4,
        _ => ((days + 3) / 4 + 6) / 7 * 7,
    };
    (0..days)
        .step_by(usize::try_from(step).unwrap_or(1).max(1))
        .map(|day| day as f64)
        .collect()
}
