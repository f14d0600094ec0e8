//! The clinic's chart: series of a period, drawn as SVG with a table beside each drawing.
//!
//! Series are made in [`series`] and drawn in [`draw`]; every axis goes through one guard. [`page`] lays the drawings
//! out as a file to take away. Not here: the record
//! (`fallow-store`), the rules and measures themselves (`fallow-core`).

pub mod draw;
mod face;
pub mod page;
pub mod series;

use chrono::{DateTime, FixedOffset, NaiveDate};
use fallow_core::body::Body;
use fallow_core::measures::{Measures, Period};
use fallow_core::rules::History;
use fallow_core::skin::Course;

/// What a slot of an order came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Came {
    /// Given.
    Given,
    /// Recorded as not given.
    NotGiven,
    /// Nobody recorded anything; what happened is not known.
    NoRecord,
}

/// A glucose value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlucosePoint {
    /// When it was measured.
    pub at: DateTime<FixedOffset>,
    /// In mmol/L.
    pub mmol_per_l: f64,
}

/// What a chart is made from.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// The days it is about.
    pub period: Period,
    /// The days beside it.
    pub before: Option<Period>,
    /// The person's body.
    pub body: &'a Body,
    /// Everything given from a year before the earlier period on.
    pub history: &'a History,
    /// Who recorded each injection, by its id.
    pub recorders: &'a [(String, String)],
    /// Findings with their courses.
    pub courses: &'a [Course],
    /// Glucose values of both periods.
    pub glucose: &'a [GlucosePoint],
    /// Shows glucose in mg/dL instead of mmol/L.
    pub mg_per_dl: bool,
    /// Below this glucose is low, in mmol/L, where a limit is known; and who set it.
    pub low: Option<(f64, &'a str)>,
    /// Slots of the orders in both periods, by the person's day.
    pub slots: &'a [(NaiveDate, Came)],
    /// The measures of the period.
    pub measures: &'a Measures,
    /// Those of the days beside it.
    pub measures_before: Option<&'a Measures>,
    /// The least spacing and rest of the medicine whose rules count: centimetres, days, and who says so.
    pub rules: (f64, f64, &'a str),
    /// The last moment of the period, or now where that is earlier.
    pub at: DateTime<FixedOffset>,
}

/// A table beside a drawing; every row is as long as the headings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// What it holds.
    pub caption: String,
    /// Headings.
    pub columns: Vec<String>,
    /// Rows.
    pub rows: Vec<Vec<String>>,
}

/// One drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawing {
    /// Its key.
    pub key: &'static str,
    /// Its title.
    pub title: &'static str,
    /// What it shows, in a sentence or two.
    pub description: String,
    /// The drawing; `None` where there is nothing to draw.
    pub svg: Option<String>,
    /// Where it goes on, on a sheet that it is too high for.
    pub more: Vec<String>,
    /// What a reader must know.
    pub notes: Vec<String>,
    /// The same in numbers.
    pub table: Table,
}

/// What is drawn on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Theme {
    /// Dark ink on a light ground.
    Light,
    /// Light ink on a dark ground.
    Dark,
    /// For paper, with or without colour.
    Print,
}

/// Every drawing, in the order a clinician reads them: where, how it was used, whether rules were kept, what the skin
/// and the glucose did, what was given and by whom.
///
/// # Units
/// `width` in pixels; below 280 and above 1,200 it is taken as 280 and 1,200. Text is 12 pixels or larger.
pub fn drawings(facts: &Facts<'_>, width: u16, theme: Theme) -> Vec<Drawing> {
    drawings_on(facts, &draw::Sheet::new(width, theme))
}

/// The same on a sheet that is there already.
pub fn drawings_on(facts: &Facts<'_>, sheet: &draw::Sheet) -> Vec<Drawing> {
    vec![
        draw::body::drawing(facts, sheet),
        draw::weeks::quadrants(facts, sheet),
        draw::points::spacing(facts, sheet),
        draw::points::rest(facts, sheet),
        draw::shares::drawing(facts, sheet),
        draw::points::findings(facts, sheet),
        draw::points::glucose(facts, sheet),
        draw::weeks::doses(facts, sheet),
        draw::weeks::recorders(facts, sheet),
    ]
}

/// Lines and values shown, with who says so.
pub fn sources(facts: &Facts<'_>) -> Vec<String> {
    let (spacing, rest, who) = facts.rules;
    let mut sources = vec![format!(
        "Spacing {} and rest of {rest} days: {who}.",
        fallow_core::words::cm(spacing)
    )];
    if let Some((_, who)) = facts.low {
        sources.push(format!("Low glucose: {who}."));
    }
    sources.push(
        "Intervals of shares: Wilson EB 1927, J Am Stat Assoc 22(158):209-212, 95 %.".to_owned(),
    );
    sources
}

/// What must not be read into a chart.
pub const CAUTIONS: [&str; 4] = [
    "Left and right are the person's.",
    "The chart shows what is on record. A gap is a day without a record, not a day without an injection.",
    "Places copied from paper are known only to their quadrant; distances leave them out.",
    "It says nothing of a dose. Local policy and the prescriber come first.",
];

/// A whole number for people: `1,109`.
pub(crate) fn grouped(n: usize) -> String {
    let digits = n.to_string();
    let mut text = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// So many of something: `1 injection`, `1,109 injections`.
pub(crate) fn counted(n: usize, one: &str) -> String {
    let plural = if n == 1 { "" } else { "s" };
    format!("{} {one}{plural}", grouped(n))
}

#[cfg(test)]
mod tests;
