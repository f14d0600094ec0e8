//! The measures that are shares, with their intervals, beside those of the days before.

use std::fmt::Write as _;

use fallow_core::measures::{Measures, Share};

use super::{FONT, NOTHING, Sheet, TEXT, escaped, hex};
use crate::face::{Weight, lines, width};
use crate::{Drawing, Facts, Table, grouped};

/// One bar: its name, the share, and whose days.
struct Bar {
    name: String,
    share: Option<Share>,
}

fn bars(facts: &Facts<'_>) -> Vec<Bar> {
    let of = |measures: &Measures, when: &str| {
        let kept = |value: Option<&fallow_core::measures::Kept>| value.map(|k| k.share);
        [
            ("Kept their spacing", kept(measures.spacing.value.as_ref())),
            ("Into rested skin", kept(measures.rest.value.as_ref())),
        ]
        .map(|(name, share)| Bar {
            name: format!("{name}, {when}"),
            share,
        })
    };
    let now = of(facts.measures, &facts.period.words());
    let before = facts
        .measures_before
        .zip(facts.before)
        .map(|(m, p)| of(m, &p.words()));
    let [spacing, rest] = now;
    match before {
        None => vec![spacing, rest],
        Some([spacing_before, rest_before]) => vec![spacing_before, spacing, rest_before, rest],
    }
}

/// The shares as bars from 0 to 100 %, each with its interval.
pub fn drawing(facts: &Facts<'_>, sheet: &Sheet) -> Drawing {
    let (key, title) = ("measures", "How often spacing and rest were kept");
    let bars = bars(facts);
    let description = format!(
        "{} {}",
        facts.measures.spacing.words, facts.measures.rest.words
    );
    let any = bars.iter().any(|b| b.share.is_some());
    let svg = any.then(|| {
        let (inside, height) = inside(&bars, sheet);
        sheet.own((key, title, &description), height, &inside)
    });
    let rows = bars
        .iter()
        .map(|bar| {
            let cells = bar.share.map_or_else(
                || ["not known", "", ""].map(str::to_owned),
                |s| {
                    [
                        s.percent(),
                        format!("{:.0} to {:.0} %", s.low * 100.0, s.high * 100.0),
                        format!("{} of {}", grouped(s.kept), grouped(s.of)),
                    ]
                },
            );
            [bar.name.clone()].into_iter().chain(cells).collect()
        })
        .collect();
    Drawing {
        key,
        title,
        notes: if any {
            vec![
                "The line through the end of a bar is where the true share probably lies (95 %)."
                    .to_owned(),
            ]
        } else {
            vec![NOTHING.to_owned()]
        },
        svg,
        more: Vec::new(),
        table: Table {
            caption: title.to_owned(),
            columns: ["Measure", "Share", "95 % interval", "Injections"]
                .map(str::to_owned)
                .to_vec(),
            rows,
        },
        description,
    }
}

fn inside(bars: &[Bar], sheet: &Sheet) -> (String, u32) {
    let colours = sheet.colours;
    let longest = bars
        .iter()
        .map(|b| width(&b.name, f64::from(TEXT), Weight::Regular))
        .fold(0.0, f64::max);
    // Names stand beside the bars where they leave these at least half the sheet, else above them.
    let beside = sheet.wide() && longest + 16.0 < f64::from(sheet.width) / 2.0;
    let left = if beside { longest + 22.0 } else { 8.0 };
    let ends = ["100 %", "not known"].map(|w| width(w, f64::from(TEXT), Weight::Regular));
    let end = if bars.iter().all(|b| b.share.is_some()) {
        ends[0]
    } else {
        ends[1]
    };
    let room = f64::from(sheet.width) - left - end - 14.0;
    let mut inside = String::new();
    let mut top = 8;
    for bar in bars {
        let words = lines(
            &bar.name,
            f64::from(TEXT),
            Weight::Regular,
            f64::from(sheet.width - 16),
        );
        for (n, words) in (0..).zip(words) {
            let _ = write!(
                inside,
                "<text x=\"8\" y=\"{}\" font-family=\"{FONT}\" font-size=\"{TEXT}\" fill=\"{}\">{}</text>",
                top + 15,
                hex(colours.ink),
                escaped(&words)
            );
            if !beside {
                top += if n == 0 { 20 } else { 17 };
            }
        }
        let _ = write!(
            inside,
            "<rect x=\"{left:.1}\" y=\"{top}\" width=\"{room:.1}\" height=\"20\" fill=\"none\" stroke=\"{}\"/>",
            hex(colours.soft)
        );
        if let Some(share) = bar.share {
            one(&mut inside, sheet, share, (left, f64::from(top), room));
        }
        let words = bar
            .share
            .map_or_else(|| "not known".to_owned(), |s| s.percent());
        let _ = write!(
            inside,
            "<text x=\"{:.1}\" y=\"{}\" font-family=\"{FONT}\" font-size=\"{TEXT}\" fill=\"{}\">{words}</text>",
            left + room + 6.0,
            top + 15,
            hex(colours.ink)
        );
        top += if beside { 28 } else { 32 };
    }
    (inside, top + 4)
}

/// One share with its interval: the line has a rim of the ground, so that it shows on the bar and beside it, in
/// colour or not.
fn one(inside: &mut String, sheet: &Sheet, share: Share, (left, top, room): (f64, f64, f64)) {
    let colours = sheet.colours;
    let at = |v: f64| left + room * v.clamp(0.0, 1.0);
    let (low, high, middle) = (at(share.low), at(share.high), top + 10.0);
    let _ = write!(
        inside,
        "<rect x=\"{left:.1}\" y=\"{top}\" width=\"{:.1}\" height=\"20\" fill=\"{}\"/>",
        room * share.share.clamp(0.0, 1.0),
        hex(colours.accent)
    );
    for (colour, wide) in [(colours.ground, 5), (colours.limit, 2)] {
        let _ = write!(
            inside,
            "<path d=\"M{low:.1} {middle}H{high:.1}M{low:.1} {}v12M{high:.1} {}v12\" stroke=\"{}\" \
             stroke-width=\"{wide}\" fill=\"none\"/>",
            middle - 6.0,
            middle - 6.0,
            hex(colour)
        );
    }
}
