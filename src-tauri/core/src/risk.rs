//! Published risk factors for lumps (lipohypertrophy), each held against this record by itself.
//!
//! They are listed. Nothing here, and nothing that uses it, multiplies or adds them up: the studies asked different
//! people different questions, and no published score joins them. Not here: what the record is ([`crate::measures`]).

use std::sync::LazyLock;

use chrono::{DateTime, Datelike, FixedOffset};
use serde::Deserialize;

use crate::cited::Sources;
use crate::measures::{Kept, Measures};
use crate::skin::{Course, FindingKind, SkinCheck, Standing as Stands};

/// The class of insulins in `data/medicines.toml`.
pub const INSULIN: &str = "insulin";

/// What the list is not.
pub const CAUTION: &str = "These are things that studies found more often in people with lumps. Each stands by itself: they are \
    not added up, and they do not say whether this person has a lump. Only looking and feeling can tell, and hands miss \
    some. Talk them through with the diabetes or nursing team.";

/// At most this share of a period may break a rule before it counts as not kept (common practice, no source: the
/// studies asked people, who answer yes or no).
const SELDOM: f64 = 0.10;
/// Above this many uses of one needle the risk was found to rise; from two on a needle is used again.
const NEEDLE_USES: u16 = 1;
/// More years of insulin than this.
const YEARS: i32 = 5;
/// More injections of insulin a day than this.
const PER_DAY: f64 = 2.0;

/// How a factor stands in this record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// It is there.
    Present,
    /// It is not.
    Absent,
    /// The record does not say.
    Unknown,
    /// A figure without a published line to hold it against: shown, not judged.
    Shown,
}

/// A published odds ratio.
#[derive(Debug, Clone, PartialEq)]
pub struct Odds {
    /// The ratio, above 0.
    pub ratio: f64,
    /// Its 95 % interval, where it was read.
    pub interval: Option<(f64, f64)>,
    /// Who published it, and how far that was seen.
    pub source: String,
}

impl Odds {
    /// `20.4 (10.5 to 39.6)`, or the ratio and that its interval is not known here.
    pub fn words(&self) -> String {
        self.interval.map_or_else(
            || format!("{} (interval not known here)", self.ratio),
            |(low, high)| format!("{} ({low} to {high})", self.ratio),
        )
    }
}

/// One factor.
#[derive(Debug, Clone, PartialEq)]
pub struct Factor {
    /// Its code: `spacing`, `rotation`, `needle`, `years`, `per_day`, `area`, `lump`.
    pub code: &'static str,
    /// Its name.
    pub name: &'static str,
    /// How it stands.
    pub standing: Standing,
    /// The figure of this record, in words.
    pub figure: String,
    /// What was published.
    pub odds: Vec<Odds>,
    /// Another published finding about it, with its source.
    pub published: Option<&'static str>,
    /// What helps.
    pub helps: &'static str,
}

/// What the record knows.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// The period's measures.
    pub measures: &'a Measures,
    /// Injections of insulin a day of the orders in force; `None` without insulin or where it is given when needed.
    pub insulin_a_day: Option<f64>,
    /// The last skin check that counts.
    pub last_check: Option<&'a SkinCheck>,
    /// The findings.
    pub courses: &'a [Course],
    /// Now.
    pub at: DateTime<FixedOffset>,
}

/// Every factor, in the order in which something can be done about it.
///
/// # Source
/// `data/risk.toml`; each factor's own.
pub fn factors(known: &Known<'_>) -> Vec<Factor> {
    vec![
        spacing(known),
        rotation(known),
        needle(known),
        area(known),
        per_day(known),
        years(known),
        lump(known),
    ]
}

fn spacing(known: &Known<'_>) -> Factor {
    let told = &known.measures.spacing;
    Factor {
        code: "spacing",
        name: "Injections close to earlier ones",
        standing: kept(told.value.as_ref()),
        figure: told.words.clone(),
        odds: odds("spacing"),
        published: None,
        helps: "Leave at least the spacing from every injection of the last four weeks; the suggested places keep it.",
    }
}

fn rotation(known: &Known<'_>) -> Factor {
    let told = &known.measures.rest;
    Factor {
        code: "rotation",
        name: "Skin used again before it rested",
        standing: kept(told.value.as_ref()),
        figure: told.words.clone(),
        odds: odds("rotation"),
        published: Some(
            "5 % of 430 people who rotated correctly had lumps, 64.4 % of all of them: Blanco M et al. 2013, Diabetes Metab \
             39(5):445-453",
        ),
        helps: "One quadrant or half a week, in one direction, so that each place rests four weeks; the plan does this.",
    }
}

/// A rule of which some breaks are known: not kept when broken in more than [`SELDOM`] of what can be judged.
fn kept(value: Option<&Kept>) -> Standing {
    match value {
        None => Standing::Unknown,
        Some(k) if k.share.share < 1.0 - SELDOM => Standing::Present,
        Some(k) if k.unknown > k.share.of => Standing::Unknown,
        Some(_) => Standing::Absent,
    }
}

fn needle(known: &Known<'_>) -> Factor {
    let uses = known.last_check.and_then(|c| c.needle_uses);
    let (standing, figure) = match uses.map(crate::skin::NeedleUses::times) {
        None => (
            Standing::Unknown,
            "Nobody asked yet how often one needle is used; the skin check asks.".to_owned(),
        ),
        Some(times) if times > NEEDLE_USES => (
            Standing::Present,
            format!("{times} injections with one needle, as said at the last skin check."),
        ),
        Some(_) => (
            Standing::Absent,
            "A new needle each time, as said at the last skin check.".to_owned(),
        ),
    };
    Factor {
        code: "needle",
        name: "Needle used again",
        standing,
        figure,
        odds: odds("needle"),
        published: Some(
            "Risk rose above 5 uses of one needle: Blanco M et al. 2013, Diabetes Metab 39(5):445-453",
        ),
        helps: "A new needle for each injection. If supply or cost stands in the way, say so to the team.",
    }
}

fn area(known: &Known<'_>) -> Factor {
    let told = &known.measures.skin_used;
    Factor {
        code: "area",
        name: "A small area used",
        standing: if told.value.is_some() {
            Standing::Shown
        } else {
            Standing::Unknown
        },
        figure: told.words.clone(),
        odds: Vec::new(),
        published: None,
        helps: "Use all the skin that is allowed, and ask whether another zone could be added.",
    }
}

fn per_day(known: &Known<'_>) -> Factor {
    let (standing, figure) = match known.insulin_a_day {
        None => (
            Standing::Unknown,
            "No order in force says how many injections of insulin a day there are.".to_owned(),
        ),
        Some(n) => (
            if n > PER_DAY {
                Standing::Present
            } else {
                Standing::Absent
            },
            format!("{} of insulin a day by the orders in force.", injections(n)),
        ),
    };
    Factor {
        code: "per_day",
        name: "More than two injections of insulin a day",
        standing,
        figure,
        odds: odds("per_day"),
        published: None,
        helps: "Nothing to change by oneself: it only means that more skin is needed. More zones help.",
    }
}

/// `1 injection`, `4 injections`, `0.5 injections`.
fn injections(n: f64) -> String {
    let rounded = (n * 10.0).round() / 10.0;
    if (rounded - 1.0).abs() < 1e-9 {
        "1 injection".to_owned()
    } else {
        format!("{rounded} injections")
    }
}

fn years(known: &Known<'_>) -> Factor {
    let since = known.last_check.and_then(|c| c.insulin_since);
    let (standing, figure) = match since {
        None => (
            Standing::Unknown,
            "Nobody asked yet when insulin was begun; the skin check asks.".to_owned(),
        ),
        // Only the year is known, so the year in which five years end is not decided.
        Some(year) if known.at.year() - year > YEARS => (
            Standing::Present,
            format!("Insulin since {year}, as said at the last skin check."),
        ),
        Some(year) if known.at.year() - year == YEARS => (
            Standing::Unknown,
            format!("Insulin since {year}: about {YEARS} years."),
        ),
        Some(year) => (
            Standing::Absent,
            format!("Insulin since {year}, as said at the last skin check."),
        ),
    };
    Factor {
        code: "years",
        name: "More than five years of insulin",
        standing,
        figure,
        odds: odds("years"),
        published: None,
        helps: "Nothing to change: it is a reason to have the skin looked at and felt every year.",
    }
}

fn lump(known: &Known<'_>) -> Factor {
    let lumps: Vec<&Course> = known
        .courses
        .iter()
        .filter(|c| c.kind == FindingKind::Lump)
        .collect();
    let now = lumps
        .iter()
        .filter(|c| c.standing(known.at) == Stands::There)
        .count();
    let (standing, figure) = match (now, lumps.len(), known.last_check.is_some()) {
        (0, 0, false) => (
            Standing::Unknown,
            "None marked; no skin check is on record.".to_owned(),
        ),
        (0, 0, true) => (
            Standing::Absent,
            "None marked at the last skin check. Hands miss some.".to_owned(),
        ),
        (0, past, _) => (
            Standing::Present,
            format!("{past} marked before, none there now."),
        ),
        (now, _, _) => (Standing::Present, format!("{now} marked on the skin now.")),
    };
    Factor {
        code: "lump",
        name: "A lump now or before",
        standing,
        figure,
        odds: Vec::new(),
        published: Some(
            "Into a lump, one person's insulin exposure varies 52 % from day to day against 11 % in normal skin: Famulla S \
             et al. 2016, Diabetes Care 39(9):1486-1492",
        ),
        helps: "Leave lumps alone, and have them looked at again. Before moving to healthy skin ask the prescriber.",
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    sources: Sources,
    odds: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    factor: String,
    ratio: f64,
    low: Option<f64>,
    high: Option<f64>,
    source: String,
}

static ODDS: LazyLock<Vec<(String, Odds)>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("../data/risk.toml"))
        .expect("the shipped odds ratios are read by a test");
    let row = |row: &Row| {
        let source = file.sources.cite(&row.factor, &row.source);
        let odds = Odds {
            ratio: row.ratio,
            interval: row.low.zip(row.high),
            source: source.expect("each odds ratio names one of the file's sources"),
        };
        (row.factor.clone(), odds)
    };
    file.odds.iter().map(row).collect()
});

fn odds(factor: &str) -> Vec<Odds> {
    ODDS.iter()
        .filter(|(of, _)| of == factor)
        .map(|(_, odds)| odds.clone())
        .collect()
}

#[cfg(test)]
mod tests;
