//! Counts by week: places by quadrant, what the doses came to, who recorded.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use chrono::NaiveDate;
use fallow_core::measures::Period;
use fallow_core::time::day_words;
use fallow_core::words::quadrant;

use super::{FONT, NOTHING, Sheet, TEXT, escaped, hex, short_day};
use crate::face::{Weight, cut, lines, width};
use crate::series;
use crate::{Drawing, Facts, Table, counted, grouped};

/// Height of a row of the grid, in pixels.
const ROW: u32 = 26;
/// No cell is narrower; longer periods join weeks.
const NARROWEST: u32 = 22;
/// No cell is wider.
const WIDEST: u32 = 120;

/// A name with its counts by week.
type Row = (String, BTreeMap<NaiveDate, usize>);
/// Several of them.
type Rows = Vec<Row>;

/// Columns of a panel: the weeks joined in each.
type Columns = Vec<Vec<NaiveDate>>;

/// How a grid is laid out; the same for all its panels, so that one can be read against the other.
struct Layout {
    /// Where the cells begin; what is left of them is room for the names, where there is enough.
    left: u32,
    /// How wide a cell is.
    cell: u32,
    /// How many weeks a column joins.
    joined: usize,
    /// The highest count of any cell of any panel.
    highest: usize,
}

fn count(weeks: &BTreeMap<NaiveDate, usize>, column: &[NaiveDate]) -> usize {
    column.iter().filter_map(|w| weeks.get(w)).sum()
}

impl Layout {
    fn of(panels: &[(Period, Rows)], sheet: &Sheet) -> Self {
        let longest = panels
            .iter()
            .flat_map(|(_, rows)| rows)
            .map(|(name, _)| width(name, f64::from(TEXT), Weight::Regular))
            .fold(0.0, f64::max)
            .ceil() as u32;
        // Names stand beside the cells where they leave these two thirds of the sheet, else above them.
        let beside = sheet.wide() && longest + 20 <= sheet.width / 3;
        let left = if beside { longest + 20 } else { 8 };
        let room = sheet.width - 8 - left;
        let weeks = panels.iter().map(|(p, _)| series::weeks(*p).len()).max();
        let weeks = weeks.unwrap_or(0).max(1);
        let most = usize::try_from(room / NARROWEST).unwrap_or(1).max(1);
        let joined = weeks.div_ceil(most).max(1);
        let across = u32::try_from(weeks.div_ceil(joined)).unwrap_or(1).max(1);
        let mut layout = Self {
            left,
            // One week alone does not need a cell as wide as the sheet.
            cell: (room / across).min(WIDEST),
            joined,
            highest: 1,
        };
        for (period, rows) in panels {
            let columns = layout.columns(*period);
            for (_, weeks) in rows {
                for column in &columns {
                    layout.highest = layout.highest.max(count(weeks, column));
                }
            }
        }
        layout
    }

    fn columns(&self, period: Period) -> Columns {
        let weeks = series::weeks(period);
        weeks.chunks(self.joined).map(<[_]>::to_vec).collect()
    }

    fn beside(&self) -> bool {
        self.left > 8
    }

    /// How high a row is, with its name.
    fn row(&self) -> u32 {
        if self.beside() { ROW } else { ROW + 24 }
    }
}

/// Height of what stands above and below the rows of a panel, with a heading of two lines.
const AROUND: u32 = 73;

/// Rows of counts by week, a panel a period, as a grid with the number in every cell and ink that deepens with it:
/// one drawing, or as many as it takes where a page ends. Nothing where every count is nothing.
fn grid(
    (key, title, description): (&str, &str, &str),
    panels: &[(Period, Rows)],
    sheet: &Sheet,
) -> Vec<String> {
    let all = || panels.iter().flat_map(|(_, rows)| rows);
    if all().all(|(_, weeks)| weeks.values().all(|n| *n == 0)) {
        return Vec::new();
    }
    let layout = Layout::of(panels, sheet);
    let tallest = sheet.tallest.unwrap_or(u32::MAX);
    let mut drawn = Vec::new();
    let (mut inside, mut top) = (String::new(), 8);
    for (period, rows) in panels {
        let mut rest = rows.as_slice();
        while !rest.is_empty() {
            let fit = tallest.saturating_sub(top + AROUND) / layout.row();
            let fit = usize::try_from(fit).unwrap_or(usize::MAX).min(rest.len());
            // A panel that nearly all fits on the next page is not begun on this one.
            if top > 8 && fit < rest.len().min(4) {
                drawn.push((std::mem::take(&mut inside), std::mem::replace(&mut top, 8)));
                continue;
            }
            let (now, later) = rest.split_at(fit.max(1));
            top = panel(&mut inside, &layout, (*period, now), top, sheet);
            rest = later;
        }
    }
    drawn.push((inside, top));
    let part = |(n, (inside, high)): (usize, (String, u32))| {
        let key = match n {
            0 => key.to_owned(),
            n => format!("{key}-{}", n + 1),
        };
        sheet.own((&key, title, description), high, &inside)
    };
    drawn.into_iter().enumerate().map(part).collect()
}

/// One period, or some of its rows; returns where it ends.
fn panel(
    inside: &mut String,
    layout: &Layout,
    (period, rows): (Period, &[Row]),
    mut top: u32,
    sheet: &Sheet,
) -> u32 {
    let colours = sheet.colours;
    let columns = layout.columns(period);
    let mut heading = period.words();
    if layout.joined > 1 {
        let _ = write!(heading, ", {} weeks a column", layout.joined);
    }
    let room = f64::from(sheet.width - 16);
    for (n, words) in (0..).zip(lines(&heading, f64::from(TEXT), Weight::Bold, room)) {
        top += if n == 0 { 0 } else { 17 };
        let _ = write!(
            inside,
            "<text x=\"8\" y=\"{}\" font-family=\"{FONT}\" font-size=\"{TEXT}\" font-weight=\"bold\" fill=\"{}\">{}</text>",
            top + 14,
            hex(colours.ink),
            escaped(&words)
        );
    }
    top += 24;
    for (name, counts) in rows {
        let _ = write!(
            inside,
            "<text x=\"8\" y=\"{}\" font-family=\"{FONT}\" font-size=\"{TEXT}\" fill=\"{}\">{}</text>",
            top + if layout.beside() { 17 } else { 14 },
            hex(colours.soft),
            escaped(&cut(
                name,
                f64::from(TEXT),
                Weight::Regular,
                f64::from(sheet.width - 16)
            ))
        );
        if !layout.beside() {
            top += 20;
        }
        cells(inside, layout, (counts, &columns), top, sheet);
        top += if layout.beside() { ROW } else { ROW + 4 };
    }
    under(inside, layout, (&columns, top), period, sheet);
    top + 28
}

fn cells(
    inside: &mut String,
    layout: &Layout,
    (counts, columns): (&BTreeMap<NaiveDate, usize>, &Columns),
    top: u32,
    sheet: &Sheet,
) {
    let colours = sheet.colours;
    for (n, column) in (0_u32..).zip(columns) {
        let here = count(counts, column);
        // Fewest is palest: the step falls as the count rises.
        let step = (here > 0).then(|| 5 - (here * 5).div_ceil(layout.highest).min(5));
        let (fill, ink) = step.map_or((colours.ground, colours.soft), |s| {
            (colours.steps[s], colours.on_steps[s])
        });
        let x = layout.left + n * layout.cell;
        let _ = write!(
            inside,
            "<rect x=\"{x}\" y=\"{top}\" width=\"{}\" height=\"{}\" fill=\"{}\" stroke=\"{}\"/>",
            layout.cell.saturating_sub(1),
            ROW - 2,
            hex(fill),
            hex(if here > 0 { colours.soft } else { colours.line })
        );
        if here > 0 {
            let _ = write!(
                inside,
                "<text x=\"{}\" y=\"{}\" font-family=\"{FONT}\" font-size=\"12\" text-anchor=\"middle\" fill=\"{}\">{}</text>",
                x + layout.cell / 2,
                top + 16,
                hex(ink),
                grouped(here)
            );
        }
    }
}

/// The first day of some of the columns.
fn under(
    inside: &mut String,
    layout: &Layout,
    (columns, top): (&Columns, u32),
    period: Period,
    sheet: &Sheet,
) {
    let each = usize::try_from(70_u32.div_ceil(layout.cell.max(1)))
        .unwrap_or(1)
        .max(1);
    for (n, column) in columns.iter().enumerate().step_by(each) {
        let x = layout.left + u32::try_from(n).unwrap_or(0) * layout.cell;
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
    let mut drawn = grid((key, title, &description), panels, sheet).into_iter();
    let svg = drawn.next();
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
        more: drawn.collect(),
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
    let mut drawing = finished(
        (key, title),
        description,
        "What became of it",
        &panels,
        (facts, sheet),
    );
    if drawing.svg.is_some() {
        drawing.notes.push(
            "Counted by the orders as they stand now; \"no record\" is not \"not given\"."
                .to_owned(),
        );
    }
    drawing
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
