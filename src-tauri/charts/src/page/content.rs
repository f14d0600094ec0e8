//! What the file says and in which order. Not here: where it stands on a page.

use std::fmt::Write as _;

use fallow_core::time::{day_words, moment_words};

use super::lay::Sheet;
use super::{About, summary};
use crate::draw::{self, Sheet as Drawn};
use crate::series::{self, OnDay};
use crate::{CAUTIONS, Drawing, Facts, Table, counted, drawings_on, face, grouped, sources};

/// No more rows of one table are printed; the record has them all.
const MOST_ROWS: usize = 150;

/// How words are set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Style {
    /// The name of the whole.
    Title,
    /// The name of a part.
    Part,
    /// The name of a table.
    Name,
    /// Text.
    Text,
    /// A remark.
    Note,
    /// Small print.
    Small,
}

/// One thing on a page.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Block {
    /// Words.
    Words(Style, String),
    /// A drawing with its words for readers that do not see it.
    Figure {
        svg: String,
        alt: String,
        wide: f64,
        high: f64,
    },
    /// A table.
    Table(Table),
}

/// Things that stay on one page where one can hold them.
pub(super) type Group = Vec<Block>;

/// All of it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Content {
    /// Title of the file.
    pub title: String,
    /// Who, on every page.
    pub person: String,
    /// Which days, on every page.
    pub period: String,
    /// Which days beside them and when it was made, on every page.
    pub made: String,
    /// What is said below every page.
    pub foot: &'static str,
    /// What there is to read.
    pub groups: Vec<Group>,
    /// Whether every letter of it is in the typeface.
    pub covered: bool,
}

/// Puts it together.
pub(super) fn content(facts: &Facts<'_>, about: &About<'_>, sheet: &Sheet) -> Content {
    let mut person = format!("{}, born {}", about.name, day_words(about.born));
    if let Some(identifier) = about.identifier {
        let _ = write!(person, ", {identifier}");
    }
    let made = format!("Made {}", moment_words(about.made, about.clock));
    let made = match facts.before {
        Some(before) => format!("beside {}. {made}", before.words()),
        None => made,
    };
    let mut groups = vec![opening(facts)];
    let all = drawn(facts, sheet);
    let (first, rest): (Vec<_>, Vec<_>) = all
        .into_iter()
        .partition(|d| matches!(d.key, "body" | "measures"));
    for drawing in first {
        let measures = drawing.key == "measures";
        groups.extend(shown(&drawing));
        if measures {
            groups.push(in_words(facts));
        }
    }
    let mut tables: Vec<Table> = Vec::new();
    for drawing in rest {
        groups.extend(shown(&drawing));
        tables.extend(numbers(facts, &drawing));
    }
    tables.retain(|t| !t.rows.is_empty());
    groups.extend(tables.into_iter().map(table_blocks));
    let missing = missing(facts, about);
    groups.push(how_to_read(&missing));
    groups.push(
        [Block::Words(
            Style::Part,
            "Where lines and values come from".to_owned(),
        )]
        .into_iter()
        .chain(
            sources(facts)
                .into_iter()
                .chain([about.journal.to_owned()])
                .map(|s| Block::Words(Style::Small, s)),
        )
        .collect(),
    );
    Content {
        title: format!("Injection chart, {}", facts.period.words()),
        person,
        period: facts.period.words(),
        made,
        foot: CAUTIONS[0],
        groups,
        covered: missing.is_empty(),
    }
}

/// Every drawing for this sheet: the body small enough to stand with the measures.
fn drawn(facts: &Facts<'_>, sheet: &Sheet) -> Vec<Drawing> {
    let (wide, high) = sheet.pixels();
    let whole = Drawn::paper(wide, high * 9 / 10);
    let mut all = drawings_on(facts, &whole);
    if let Some(body) = all.iter_mut().find(|d| d.key == "body") {
        *body = draw::body::drawing(facts, &Drawn::paper(wide, high / 2));
    }
    all
}

fn opening(facts: &Facts<'_>) -> Group {
    let beside = facts
        .before
        .map_or_else(String::new, |b| format!(", beside {}", b.words()));
    let found = facts.measures;
    let mut words = format!(
        "{}{beside}. {} on record",
        facts.period.words(),
        counted(found.injections, "injection")
    );
    if found.quadrant_only > 0 {
        let _ = write!(
            words,
            ", {} of them known only to the quadrant",
            grouped(found.quadrant_only)
        );
    }
    words.push('.');
    vec![
        Block::Words(Style::Title, "Injection chart".to_owned()),
        Block::Words(Style::Text, words),
    ]
}

/// A drawing with what belongs to it; where it goes on, each part has a group of its own.
fn shown(drawing: &Drawing) -> Vec<Group> {
    let title = drawing.title.to_owned();
    let mut group = vec![Block::Words(Style::Part, title.clone())];
    if !drawing.notes.contains(&drawing.description) {
        group.push(Block::Words(Style::Text, drawing.description.clone()));
    }
    group.extend(drawing.svg.iter().map(|svg| figure(svg, drawing)));
    let notes = drawing.notes.iter().cloned();
    let mut groups = vec![group];
    for svg in &drawing.more {
        groups.push(vec![
            Block::Words(Style::Name, format!("{title}, continued")),
            figure(svg, drawing),
        ]);
    }
    if let Some(last) = groups.last_mut() {
        last.extend(notes.map(|note| Block::Words(Style::Note, note)));
    }
    groups
}

fn figure(svg: &str, drawing: &Drawing) -> Block {
    let side = |name: &str| -> f64 {
        let start = svg.find(name).map_or(0, |at| at + name.len());
        let text = svg[start..].split('"').next().unwrap_or_default();
        text.parse().unwrap_or(1.0)
    };
    Block::Figure {
        svg: svg.to_owned(),
        alt: format!("{}. {}", drawing.title, drawing.description),
        wide: side(" width=\""),
        high: side(" height=\""),
    }
}

/// The measures that have no drawing.
fn in_words(facts: &Facts<'_>) -> Group {
    let m = facts.measures;
    let sentences = [
        &m.skin_used.words,
        &m.sides.words,
        &m.quadrants.words,
        &m.longest_run.words,
        &m.busiest.words,
    ];
    let mut said: Vec<&String> = Vec::new();
    for words in sentences {
        if !words.is_empty() && !said.contains(&words) {
            said.push(words);
        }
    }
    [Block::Words(Style::Name, "In words".to_owned())]
        .into_iter()
        .chain(
            said.into_iter()
                .map(|w| Block::Words(Style::Text, w.clone())),
        )
        .collect()
}

/// The tables of a drawing that say more than the drawing does. A grid has its numbers in its cells; of the values of
/// each injection there are too many to read, so these are printed by week, month or year.
fn numbers(facts: &Facts<'_>, drawing: &Drawing) -> Option<Table> {
    let of = |series: &dyn Fn(fallow_core::measures::Period) -> Vec<OnDay>| {
        Drawn::panels(facts)
            .into_iter()
            .map(|period| (period, series(period)))
            .collect::<Vec<_>>()
    };
    let (spacing, rest, _) = facts.rules;
    match drawing.key {
        "spacing" => Some(summary::table(
            &format!("{}: cm, short under {spacing}", drawing.title),
            (Some(spacing), "Short"),
            &of(&|period| series::nearest(facts, period).points),
        )),
        "rest" => Some(summary::table(
            &format!("{}: short under {rest} days", drawing.title),
            (Some(rest), "Short"),
            &of(&|period| series::rested(facts, period).points),
        )),
        "glucose" => {
            let unit = if facts.mg_per_dl { "mg/dL" } else { "mmol/L" };
            let low = facts
                .low
                .map(|(low, _)| series::in_unit(low, facts.mg_per_dl));
            Some(summary::table(
                &format!("{}: {unit}", drawing.title),
                (low, "Low"),
                &of(&|period| series::glucose(facts, period)),
            ))
        }
        "findings" => Some(drawing.table.clone()),
        _ => None,
    }
}

fn table_blocks(mut table: Table) -> Group {
    let more = table.rows.len().saturating_sub(MOST_ROWS);
    table.rows.truncate(MOST_ROWS);
    let mut group = vec![
        Block::Words(Style::Name, table.caption.clone()),
        Block::Table(table),
    ];
    if more > 0 {
        group.push(Block::Words(
            Style::Note,
            format!("And {} more, which are in the record.", grouped(more)),
        ));
    }
    group
}

fn how_to_read(missing: &[char]) -> Group {
    let mut group = vec![Block::Words(
        Style::Part,
        "How to read this chart".to_owned(),
    )];
    group.extend(CAUTIONS.map(|c| Block::Words(Style::Text, c.to_owned())));
    if !missing.is_empty() {
        group.push(Block::Words(
            Style::Text,
            format!(
                "{} on this sheet could not be printed and {} boxes. The record has the right ones.",
                counted(missing.len(), "letter"),
                if missing.len() == 1 { "is" } else { "are" }
            ),
        ));
    }
    group
}

/// Letters of the record that the typeface has not got.
fn missing(facts: &Facts<'_>, about: &About<'_>) -> Vec<char> {
    let mut words = format!("{} {}", about.name, about.identifier.unwrap_or_default());
    for (_, name) in facts.recorders {
        words.push_str(name);
    }
    face::missing(&words)
}
