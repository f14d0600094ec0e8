//! Tables of long series: by week, by month or by year, so that ten years are a table one can read. Not here: the
//! series ([`crate::series`]).

use std::collections::BTreeMap;

use chrono::{Datelike, NaiveDate};
use fallow_core::measures::Period;
use fallow_core::time::day_words;

use crate::series::{OnDay, week_of};
use crate::{Table, grouped};

/// A stretch of time: what it sorts by and its words.
type Stretch = (NaiveDate, String);

fn days(period: Period) -> i64 {
    (period.to - period.from).num_days() + 1
}

/// What a column of stretches is called.
fn heading(days: i64) -> &'static str {
    match days {
        ..=183 => "Week of",
        184..=1_097 => "Month",
        _ => "Year",
    }
}

/// Which stretch a day of a period belongs to: its week in half a year or less, its month in three years or less, else
/// its year.
fn stretch(day: NaiveDate, period: Period) -> Stretch {
    match days(period) {
        ..=183 => (week_of(day), day_words(week_of(day))),
        184..=1_097 => (
            day.with_day(1).unwrap_or(day),
            day.format("%b %Y").to_string(),
        ),
        _ => (
            day.with_day(1).and_then(|d| d.with_month(1)).unwrap_or(day),
            day.format("%Y").to_string(),
        ),
    }
}

/// The middle of sorted values; of an even number the mean of the two in the middle.
fn median(sorted: &[f64]) -> f64 {
    let half = sorted.len() / 2;
    match sorted {
        [] => 0.0,
        _ if sorted.len().is_multiple_of(2) => f64::midpoint(sorted[half - 1], sorted[half]),
        _ => sorted[half],
    }
}

/// How values of some periods lay, a row a stretch, the earliest first; `short` heads the count of those below the
/// limit.
///
/// # Units
/// Values, limit and what is printed are in one unit, which `title` names; to one decimal.
pub(super) fn table(
    title: &str,
    (limit, short): (Option<f64>, &str),
    periods: &[(Period, Vec<OnDay>)],
) -> Table {
    let shown = |v: f64| ((v * 10.0).round() / 10.0).to_string();
    let longest = periods.iter().map(|(p, _)| days(*p)).max().unwrap_or(0);
    let mut rows = Vec::new();
    for (period, values) in periods {
        let mut stretches: BTreeMap<Stretch, Vec<f64>> = BTreeMap::new();
        for value in values {
            stretches
                .entry(stretch(value.day, *period))
                .or_default()
                .push(value.value);
        }
        for ((_, words), mut found) in stretches {
            found.sort_by(f64::total_cmp);
            let below = limit.map_or(0, |l| found.iter().filter(|v| **v < l - 1e-9).count());
            rows.push(vec![
                words,
                grouped(found.len()),
                grouped(below),
                shown(found[0]),
                shown(median(&found)),
                shown(found[found.len() - 1]),
            ]);
        }
    }
    Table {
        caption: title.to_owned(),
        columns: [heading(longest), "Values", short, "Least", "Median", "Most"]
            .map(str::to_owned)
            .to_vec(),
        rows,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_holds_count_shortfall_least_median_and_most_of_its_stretch() {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let at = |text: &str, value| OnDay {
            day: day(text),
            value,
        };
        let values = vec![
            at("2026-09-07", 0.5),
            at("2026-09-09", 3.0),
            at("2026-09-13", 1.0),
            at("2026-09-14", 2.04),
        ];
        let of = |from: &str, to: &str| {
            let period = Period {
                from: day(from),
                to: day(to),
            };
            table("t", (Some(1.0), "Short"), &[(period, values.clone())]).rows
        };
        assert_eq!(
            of("2026-09-07", "2026-10-04"),
            [
                ["7 Sep 2026", "3", "1", "0.5", "1", "3"],
                ["14 Sep 2026", "1", "0", "2", "2", "2"],
            ]
        );
        assert_eq!(of("2026-01-01", "2026-12-31")[0][0], "Sep 2026");
        assert_eq!(of("2020-01-01", "2026-12-31")[0][..3], ["2026", "4", "1"]);
        assert_eq!(of("2020-01-01", "2026-12-31")[0][4], "1.5");
    }
}
