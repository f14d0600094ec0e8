//! Values over days: distance, rest, sizes of findings, glucose.

use fallow_core::measures::Period;
use fallow_core::time::day_words;
use plotters::prelude::*;

use super::labels::{Label, Room, places};
use super::{FONT, NOTHING, Sheet, TEXT, axis, short_day};
use crate::face::{Weight, cut, lines, width};
use crate::series::{self, OnDay, Values};
use crate::{Drawing, Facts, Table, counted, grouped};

/// Height of one panel, in pixels.
const HIGH: u32 = 272;
/// What plotters has to be told for text of [`TEXT`] pixels: it writes sizes divided by 1.24.
const PLOTTED: u32 = 16;
/// Room for the names of the values, in pixels.
const VALUES: u32 = 58;

/// One panel: its days, its values, lines through some of them, and what stands above it.
struct Panel {
    period: Period,
    points: Vec<OnDay>,
    lines: Vec<(String, Vec<OnDay>)>,
    heading: String,
}

/// What is common to the panels of a drawing.
struct Plot<'a> {
    key: &'static str,
    title: &'static str,
    description: String,
    /// The unit of the values, for the axis.
    unit: &'a str,
    /// A limit and its words.
    limit: Option<(f64, String)>,
}

/// Draws the panels on the same axis of values.
fn plot(plot: &Plot<'_>, panels: &[Panel], sheet: &Sheet) -> Option<String> {
    let all = || {
        panels
            .iter()
            .flat_map(|p| p.points.iter().chain(p.lines.iter().flat_map(|l| &l.1)))
            .map(|p| p.value)
    };
    all().next()?;
    let marks: Vec<f64> = plot.limit.iter().map(|l| l.0).collect();
    let values = axis::numbers(all(), &marks);
    let (height, places) = sheet.layout(panels.len(), HIGH);
    let name = (plot.key, plot.title, plot.description.as_str());
    let drawn = sheet.drawn(name, height, |backend| {
        let root = backend.into_drawing_area();
        root.fill(&sheet.colours.ground)?;
        for (panel, (x, y, width)) in panels.iter().zip(places) {
            let area = root.clone().shrink((x, y), (width, HIGH));
            one(plot, panel, values.clone(), &area, sheet)?;
        }
        root.present()
    });
    drawn.ok()
}

type Area<'a> = DrawingArea<SVGBackend<'a>, plotters::coord::Shift>;
/// A panel's axes: days across, values up.
type Chart<'a, 'b> = ChartContext<
    'a,
    SVGBackend<'b>,
    Cartesian2d<axis::DayAxis, plotters::coord::types::RangedCoordf64>,
>;
type Drawn = Result<(), DrawingAreaErrorKind<std::io::Error>>;

fn one(
    plot: &Plot<'_>,
    panel: &Panel,
    values: std::ops::Range<f64>,
    area: &Area<'_>,
    sheet: &Sheet,
) -> Drawn {
    let colours = sheet.colours;
    let days = axis::days(panel.period);
    let text = |colour: &RGBColor| (FONT, PLOTTED).into_font().color(colour);
    let room = f64::from(area.dim_in_pixel().0) - 16.0;
    let mut top = 4;
    for words in lines(&panel.heading, f64::from(TEXT), Weight::Regular, room) {
        area.draw(&Text::new(words, (8, top), text(&colours.ink)))?;
        top += 20;
    }
    // What the dashed line is stands above the drawing, where no point can lie on it.
    if let Some((_, words)) = &plot.limit {
        for x in [8, 23] {
            let dash = vec![(x, top + 9), (x + 9, top + 9)];
            area.draw(&PathElement::new(dash, colours.limit.stroke_width(2)))?;
        }
        area.draw(&Text::new(words.clone(), (40, top), text(&colours.limit)))?;
        top += 20;
    }
    let mut chart = ChartBuilder::on(area)
        .margin(6)
        .margin_top(top + 3)
        .margin_right(16)
        .x_label_area_size(30)
        .y_label_area_size(VALUES)
        .build_cartesian_2d(axis::DayAxis::of(panel.period), values.clone())?;
    let period = panel.period;
    let label = |x: &f64| {
        let back = x.round().max(0.0) as u64;
        period
            .from
            .checked_add_days(chrono::Days::new(back))
            .filter(|day| *day <= period.to)
            .map_or_else(String::new, |day| short_day(day, period))
    };
    chart
        .configure_mesh()
        .disable_x_mesh()
        .light_line_style(colours.ground)
        .bold_line_style(colours.line)
        .axis_style(colours.soft)
        .y_labels(5)
        .x_label_formatter(&label)
        .y_label_formatter(&|y| format!("{} {}", (y * 10.0).round() / 10.0, plot.unit))
        .label_style(text(&colours.soft))
        .draw()?;
    let place = |p: &OnDay| (axis::place(p.day, period), p.value);
    if let Some((limit, _)) = &plot.limit {
        let line = [(days.start, *limit), (days.end, *limit)];
        chart.draw_series(DashedLineSeries::new(
            line,
            6,
            4,
            colours.limit.stroke_width(2),
        ))?;
    }
    for (_, points) in &panel.lines {
        chart.draw_series(LineSeries::new(
            points.iter().map(place),
            colours.accent.stroke_width(2),
        ))?;
    }
    // What falls short of the limit is a cross, the rest a disc: told apart without colour.
    let short = |p: &&OnDay| plot.limit.as_ref().is_some_and(|l| p.value < l.0 - 1e-9);
    let (below, fine): (Vec<&OnDay>, Vec<&OnDay>) = panel
        .points
        .iter()
        .chain(panel.lines.iter().flat_map(|l| &l.1))
        .partition(|p| short(p));
    let small = match below.len() + fine.len() {
        0..=150 => 0,
        151..=600 => 1,
        _ => 2,
    };
    chart.draw_series(
        fine.into_iter()
            .map(|p| Circle::new(place(p), 4 - small, colours.accent.filled())),
    )?;
    chart.draw_series(
        below
            .into_iter()
            .map(|p| Cross::new(place(p), 5 - small, colours.limit.stroke_width(2))),
    )?;
    let (across, up) = area.get_pixel_range();
    let room = Room {
        left: f64::from(across.start) + f64::from(VALUES) + 10.0,
        right: f64::from(across.end) - 8.0,
        top: f64::from(up.start) + f64::from(top),
        bottom: f64::from(up.end) - 40.0,
    };
    names(&mut chart, panel, room, &text(&colours.ink))
}

/// Names of lines, moved apart where lines end near each other.
fn names(chart: &mut Chart<'_, '_>, panel: &Panel, room: Room, style: &TextStyle<'_>) -> Drawn {
    let place = |p: &OnDay| (axis::place(p.day, panel.period), p.value);
    let ends: Vec<(&str, &OnDay)> = panel
        .lines
        .iter()
        .filter_map(|(words, points)| Some((words.as_str(), points.last()?)))
        .collect();
    let text_size = f64::from(TEXT);
    let words: Vec<String> = ends
        .iter()
        .map(|(words, _)| cut(words, text_size, Weight::Regular, room.right - room.left))
        .collect();
    let at: Vec<(i32, i32)> = ends
        .iter()
        .map(|(_, end)| chart.backend_coord(&place(end)))
        .collect();
    let wanted: Vec<Label> = at
        .iter()
        .zip(&words)
        .map(|((x, y), words)| Label {
            x: f64::from(*x),
            y: f64::from(*y),
            wide: width(words, text_size, Weight::Regular),
        })
        .collect();
    for ((spot, words), ((x, y), (_, end))) in places(&wanted, room)
        .into_iter()
        .zip(words)
        .zip(at.into_iter().zip(&ends))
    {
        if let Some((left, top)) = spot {
            let off = (left.round() as i32 - x, top.round() as i32 - y);
            chart.draw_series([
                EmptyElement::at(place(end)) + Text::new(words, off, style.clone())
            ])?;
        }
    }
    Ok(())
}

/// The heading of a panel that stands empty beside a full one.
fn nothing_in(period: Period) -> String {
    format!("{}: nothing to show", period.words())
}

fn rows(values: &[OnDay], unit: &str) -> Vec<Vec<String>> {
    values
        .iter()
        .map(|p| {
            vec![
                day_words(p.day),
                format!("{} {unit}", (p.value * 10.0).round() / 10.0),
            ]
        })
        .collect()
}

/// What the values leave out, in words.
fn left_out(values: &Values, first: &str) -> Vec<String> {
    let mut notes = Vec::new();
    let are = |n: usize| {
        format!(
            "{} {}",
            counted(n, "injection"),
            if n == 1 { "is" } else { "are" }
        )
    };
    if values.unplaced > 0 {
        notes.push(format!(
            "{} known only to the quadrant and left out here.",
            are(values.unplaced)
        ));
    }
    if values.first > 0 {
        notes.push(format!("{} left out: {first}.", are(values.first)));
    }
    notes
}

/// A drawing of one value of each injection, held against a limit.
fn of_injections(
    facts: &Facts<'_>,
    sheet: &Sheet,
    (key, title): (&'static str, &'static str),
    (unit, limit, words): (&str, f64, String),
    of: impl Fn(Period) -> Values,
    first: &str,
) -> Drawing {
    let panels: Vec<(Panel, Values)> = Sheet::panels(facts)
        .into_iter()
        .map(|period| {
            let values = of(period);
            let short = values
                .points
                .iter()
                .filter(|p| p.value < limit - 1e-9)
                .count();
            let heading = match values.points.len() {
                0 => nothing_in(period),
                all => format!(
                    "{}: {} of {} short",
                    period.words(),
                    grouped(short),
                    grouped(all)
                ),
            };
            let panel = Panel {
                period,
                points: values.points.clone(),
                lines: Vec::new(),
                heading,
            };
            (panel, values)
        })
        .collect();
    let last = panels.last().map(|(_, v)| v.clone()).unwrap_or_default();
    let short = last
        .points
        .iter()
        .filter(|p| p.value < limit - 1e-9)
        .count();
    let description = if last.points.is_empty() {
        NOTHING.to_owned()
    } else {
        format!(
            "{} of {} fell short of {limit} {unit}. Short ones are crosses, the others discs.",
            grouped(short),
            counted(last.points.len(), "injection")
        )
    };
    let mut notes = left_out(&last, first);
    if last.points.is_empty() {
        notes.insert(0, NOTHING.to_owned());
    }
    let drawing = Plot {
        key,
        title,
        description: description.clone(),
        unit,
        limit: Some((limit, words)),
    };
    let only: Vec<Panel> = panels.into_iter().map(|(p, _)| p).collect();
    Drawing {
        key,
        title,
        svg: plot(&drawing, &only, sheet),
        more: Vec::new(),
        table: Table {
            caption: format!("{title}, {}", facts.period.words()),
            columns: vec!["Day".to_owned(), "Value".to_owned()],
            rows: rows(&last.points, unit),
        },
        description,
        notes,
    }
}

/// Distance to the nearest injection of the last 28 days, with the least spacing.
pub fn spacing(facts: &Facts<'_>, sheet: &Sheet) -> Drawing {
    let least = facts.rules.0;
    of_injections(
        facts,
        sheet,
        ("spacing", "Distance to the nearest injection of 28 days"),
        ("cm", least, format!("spacing {least} cm")),
        |period| series::nearest(facts, period),
        "nothing was injected into that zone in the 28 days before",
    )
}

/// Days of rest of the skin used, with the rest asked for.
pub fn rest(facts: &Facts<'_>, sheet: &Sheet) -> Drawing {
    let asked = facts.rules.1;
    of_injections(
        facts,
        sheet,
        ("rest", "Days the skin had rested"),
        ("days", asked, format!("rest {asked} days")),
        |period| series::rested(facts, period),
        "that skin was not used in the year before",
    )
}

/// Sizes of findings over time.
pub fn findings(facts: &Facts<'_>, sheet: &Sheet) -> Drawing {
    let (key, title) = ("findings", "Findings and their sizes");
    let panels: Vec<Panel> = Sheet::panels(facts)
        .into_iter()
        .map(|period| {
            let lines: Vec<_> = series::sizes(facts, period)
                .into_iter()
                .map(|line| (line.words, line.points))
                .collect();
            Panel {
                period,
                points: Vec::new(),
                heading: if lines.is_empty() {
                    nothing_in(period)
                } else {
                    period.words()
                },
                lines,
            }
        })
        .collect();
    let lines = series::sizes(facts, facts.period);
    let rows: Vec<Vec<String>> = lines
        .iter()
        .flat_map(|line| {
            let sizes = line.points.iter().map(|p| {
                vec![
                    line.words.clone(),
                    day_words(p.day),
                    format!("{:.0} mm", p.value),
                ]
            });
            let gone = line
                .gone
                .iter()
                .map(|day| vec![line.words.clone(), day_words(*day), "gone".to_owned()]);
            sizes.chain(gone).collect::<Vec<_>>()
        })
        .collect();
    let description = if lines.is_empty() {
        "No finding was looked at in this period.".to_owned()
    } else {
        format!(
            "The longer axis of {} at each look.",
            counted(lines.len(), "finding")
        )
    };
    let drawing = Plot {
        key,
        title,
        description: description.clone(),
        unit: "mm",
        limit: None,
    };
    Drawing {
        key,
        title,
        svg: plot(&drawing, &panels, sheet),
        more: Vec::new(),
        notes: if lines.is_empty() {
            vec![
                "No finding was looked at in this period. That is not the same as nothing there."
                    .to_owned(),
            ]
        } else {
            Vec::new()
        },
        table: Table {
            caption: format!("{title}, {}", facts.period.words()),
            columns: ["Finding", "Day", "Longer axis"]
                .map(str::to_owned)
                .to_vec(),
            rows,
        },
        description,
    }
}

/// Glucose values, with the limit below which they are low.
pub fn glucose(facts: &Facts<'_>, sheet: &Sheet) -> Drawing {
    let (key, title) = ("glucose", "Glucose on record");
    let unit = if facts.mg_per_dl { "mg/dL" } else { "mmol/L" };
    let limit = facts
        .low
        .map(|(low, _)| series::in_unit(low, facts.mg_per_dl))
        .filter(|low| low.is_finite());
    let panels: Vec<Panel> = Sheet::panels(facts)
        .into_iter()
        .map(|period| {
            let points = series::glucose(facts, period);
            Panel {
                heading: match points.len() {
                    0 => nothing_in(period),
                    all => format!("{}: {}", period.words(), counted(all, "value")),
                },
                points,
                lines: Vec::new(),
                period,
            }
        })
        .collect();
    let points = series::glucose(facts, facts.period);
    let low = |p: &&OnDay| limit.is_some_and(|l| p.value < l - 1e-9);
    let description = if points.is_empty() {
        "No glucose is on record in this period.".to_owned()
    } else {
        format!(
            "{} of {} low. Low ones are crosses, the others discs.",
            grouped(points.iter().filter(low).count()),
            counted(points.len(), "value")
        )
    };
    let shown = limit.map(|l| (l, format!("low below {} {unit}", (l * 10.0).round() / 10.0)));
    let drawing = Plot {
        key,
        title,
        description: description.clone(),
        // The unit stands in the title line of the table; an axis of six letters a line is too wide for a phone.
        unit: "",
        limit: shown,
    };
    Drawing {
        key,
        title,
        svg: plot(&drawing, &panels, sheet),
        more: Vec::new(),
        notes: if points.is_empty() {
            vec![description.clone()]
        } else {
            vec![format!("Values in {unit}.")]
        },
        table: Table {
            caption: format!("{title}, {}", facts.period.words()),
            columns: vec!["Day".to_owned(), "Glucose".to_owned()],
            rows: rows(&points, unit),
        },
        description,
    }
}
