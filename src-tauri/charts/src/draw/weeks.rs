//! Counts by week: places by quadrant, what the doses came to, who recorded.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use chrono::NaiveDate;
use fallow_core::measures::Period;
use fallow_core::time::day_words;
use fallow_core::words::quadrant;

use super::{FONT, NOTHING, Sheet, TEXT, escaped, hex, short_day};
use crate::series;
use crate::{Drawing, Facts, Table, counted, grouped};

/// Height of a row of the grid, in pixels.
const ROW: u32 = 26;
/// At most this many columns are drawn; longer periods join weeks.
const NARROWEST: u32 = 22;

/// Names with their counts by week.
type Rows = Vec<(String, BTreeMap<NaiveDate, usize>)>;

/// Rows of counts by week, a panel a period, as a grid with the number in every cell and ink that deepens with it.
fn grid(
    (key, title, description): (&str, &str, &str),
    panels: &[(Period, Rows)],
    sheet: &Sheet,
) -> Option<String> {
    let all = || panels.iter().flat_map(|(_, rows)| rows);
    if all().all(|(_, weeks)| weeks.values().all(|n| *n == 0)) {
        return None;
    }
    let colours = sheet.colours;
    let mut inside = String::new();
    let mut top = 8;
    for (period, rows) in panels {
        let period = *period;
        let weeks = series::weeks(period);
        let room = sheet.width - 16;
        let most = usize::try_from(room / NARROWEST).unwrap_or(1).max(1);
        let joined = weeks.len().div_ceil(most).max(1);
        let columns: Vec<&[NaiveDate]> = weeks.chunks(joined).collect();
        let cell = room / u32::try_from(columns.len()).unwrap_or(1).max(1);
        let _ = write!(
            inside,
            "<text x=\"8\" y=\"{}\" font-family=\"{FONT}\" font-size=\"{TEXT}\" font-weight=\"bold\" fill=\"{}\">{}{}</text>",
            top + 14,
            hex(colours.ink),
            escaped(&period.words()),
            if joined > 1 {
                format!(", {joined} weeks a column")
            } else {
                String::new()
            }
        );
        top += 24;
        let count = |weeks: &BTreeMap<NaiveDate, usize>, column: &[NaiveDate]| -> usize {
            column.iter().filter_map(|w| weeks.get(w)).sum()
        };
        let highest = all()
            .flat_map(|(_, w)| columns.iter().map(move |c| count(w, c)))
            .max()
            .unwrap_or(0)
            .max(1);
        for (name, counts) in rows {
            let _ = write!(
                inside,
                "<text x=\"8\" y=\"{}\" font-family=\"{FONT}\" font-size=\"{TEXT}\" fill=\"{}\">{}</text>",
                top + 14,
                hex(colours.soft),
                escaped(name)
            );
            top += 20;
            for (n, column) in columns.iter().enumerate() {
                let here = count(counts, column);
                // Fewest is palest: the step falls as the count rises.
                let step = if here == 0 {
                    None
                } else {
                    Some(5 - (here * 5).div_ceil(highest).min(5))
                };
                let (fill, ink) = step.map_or((colours.ground, colours.soft), |s| {
                    (colours.steps[s], colours.on_steps[s])
                });
                let x = 8 + u32::try_from(n).unwrap_or(0) * cell;
                let _ = write!(
                    inside,
                    "<rect x=\"{x}\" y=\"{top}\" width=\"{}\" height=\"{}\" fill=\"{}\" stroke=\"{}\"/>",
                    cell.saturating_sub(1),
                    ROW - 2,
                    hex(fill),
                    hex(colours.soft)
                );
                if here > 0 {
                    let _ = write!(
                        inside,
                        "<text x=\"{}\" y=\"{}\" font-family=\"{FONT}\" font-size=\"12\" text-anchor=\"middle\" fill=\"{}\">{}</text>",
                        x + cell / 2,
                        top + 16,
                        hex(ink),
                        grouped(here)
                    );
                }
            }
            top += ROW + 4;
        }
        under(&mut inside, &columns, (top, cell), period, sheet);
        top += 28;
    }
    Some(sheet.own((key, title, description), top, &inside))
}

/// The first day of some of the columns.
fn under(
    inside: &mut String,
    columns: &[&[NaiveDate]],
    (top, cell): (u32, u32),
    period: Period,
    sheet: &Sheet,
) {
    let each = usize::try_from(70_u32.div_ceil(cell.max(1)))
        .unwrap_or(1)
        .max(1);
    for (n, column) in columns.iter().enumerate().step_by(each) {
        let x = 8 + u32::try_from(n).unwrap_or(0) * cell;
        // The last label must not run out of the drawing.
        if let Some(day) = column.first()
            && x + 60 <= sheet.width
        {
            let _ = write!(
                inside,
                "<text x=\"{x}\" y=\"{}\" font-family=\"{FONT}\" font-size=\"12\" fill=\"{}\">{}</text>",
                top + 12,
                hex(sheet.colours.soft),
                short_day(*day, period)
            );
        }
    }
}

fn table(
    title: &str,
    first: &str,
    rows: &[(String, BTreeMap<NaiveDate, usize>)],
    period: Period,
) -> Table {
    let weeks = series::weeks(period);
    let columns = [first.to_owned()]
        .into_iter()
        .chain(weeks.iter().map(|w| day_words(*w)))
        .chain(["All".to_owned()])
        .collect();
    let rows = rows
        .iter()
        .map(|(name, counts)| {
            let each = weeks.iter().map(|w| counts.get(w).copied().unwrap_or(0));
            let all: usize = each.clone().sum();
            [name.clone()]
                .into_iter()
                .chain(each.map(grouped))
                .chain([grouped(all)])
                .collect()
        })
        .collect();
    Table {
        caption: format!("{title}, {}, by the week's Monday", period.words()),
        columns,
        rows,
    }
}

/// The same names for every period of a drawing, each with the counts of that period alone: a week that two periods
/// share is counted in each for its own days.
fn panels<K: Ord + Clone>(
    facts: &Facts<'_>,
    of: impl Fn(Period) -> BTreeMap<K, BTreeMap<NaiveDate, usize>>,
    name: impl Fn(&K) -> String,
) -> Vec<(Period, Rows)> {
    let counted: Vec<_> = Sheet::panels(facts)
        .into_iter()
        .map(|period| (period, of(period)))
        .collect();
    let keys: BTreeSet<K> = counted
        .iter()
        .flat_map(|(_, c)| c.keys().cloned())
        .collect();
    counted
        .into_iter()
        .map(|(period, mut counts)| {
            let rows = keys
                .iter()
                .map(|key| (name(key), counts.remove(key).unwrap_or_default()));
            (period, rows.collect())
        })
        .collect()
}

/// Injections by week and quadrant.
pub fn quadrants(facts: &Facts<'_>, sheet: &Sheet) -> Drawing {
    let (key, title) = ("weeks", "Places by week");
    let panels = panels(
        facts,
        |period| series::by_week_and_quadrant(facts, period),
        |(zone, q)| quadrant(*zone, *q),
    );
    let used = series::by_week_and_quadrant(facts, facts.period).len();
    let n = series::count(facts, facts.period);
    let description = if n == 0 {
        NOTHING.to_owned()
    } else {
        format!(
            "{} in {} of the body, counted by week.",
            counted(n, "injection"),
            counted(used, "quadrant")
        )
    };
    finished(
        (key, title),
        description,
        "Quadrant",
        &panels,
        (facts, sheet),
    )
}

fn finished(
    (key, title): (&'static str, &'static str),
    description: String,
    first: &str,
    panels: &[(Period, Rows)],
    (facts, sheet): (&Facts<'_>, &Sheet),
) -> Drawing {
    let svg = grid((key, title, &description), panels, sheet);
    // The last panel is the period itself.
    let rows = panels.last().map_or(&[][..], |(_, rows)| rows);
    Drawing {
        key,
        title,
        notes: svg
            .is_none()
            .then(|| description.clone())
            .into_iter()
            .collect(),
        svg,
        table: table(title, first, rows, facts.period),
        description,
    }
}

/// What the doses of each week came to.
pub fn doses(facts: &Facts<'_>, sheet: &Sheet) -> Drawing {
    let (key, title) = ("doses", "Doses by week");
    let names = ["Given", "Not given, with a reason", "No record"];
    let panels = Sheet::panels(facts)
        .into_iter()
        .map(|period| {
            let mut rows: Rows = names.map(|n| (n.to_owned(), BTreeMap::new())).to_vec();
            for (week, counts) in series::doses(facts, period) {
                for (row, n) in rows.iter_mut().zip(counts) {
                    row.1.insert(week, n);
                }
            }
            (period, rows)
        })
        .collect::<Vec<_>>();
    let mut of_period = [0; 3];
    for counts in series::doses(facts, facts.period).values() {
        for (sum, n) in of_period.iter_mut().zip(counts) {
            *sum += n;
        }
    }
    let all: usize = of_period.iter().sum();
    let description = if all == 0 {
        "No dose was due at a time of day in this period.".to_owned()
    } else {
        format!(
            "Of {} that were due: {} given, {} not given, {} without a record.",
            grouped(all),
            grouped(of_period[0]),
            grouped(of_period[1]),
            grouped(of_period[2])
        )
    };
    finished(
        (key, title),
        description,
        "What became of it",
        &panels,
        (facts, sheet),
    )
}

/// Injections by week and recorder.
pub fn recorders(facts: &Facts<'_>, sheet: &Sheet) -> Drawing {
    let (key, title) = ("recorders", "Who gave or recorded");
    let panels = panels(
        facts,
        |period| {
            series::recorders(facts, period)
                .into_iter()
                .map(|(name, _, weeks)| (name, weeks))
                .collect()
        },
        String::clone,
    );
    let description = match series::recorders(facts, facts.period).as_slice() {
        [] => NOTHING.to_owned(),
        [(name, n, _)] => format!("All {} by {name}.", grouped(*n)),
        all => format!("{} people; most by {}.", all.len(), all[0].0),
    };
    finished(
        (key, title),
        description,
        "Recorder",
        &panels,
        (facts, sheet),
    )
}
