//! The body coloured by days of rest at the end of the period, front and back, with what is marked on it.

use std::fmt::Write as _;

use fallow_core::body::atlas::{self, View};
use fallow_core::site::Zone;
use fallow_core::time::day_words;
use fallow_core::use_map::{ZoneUse, step, step_words, use_map};
use fallow_core::words::{finding_place, quadrant};

use super::{FONT, Sheet, TEXT, escaped, hex};
use crate::face::{Weight, width};
use crate::{Drawing, Facts, Table, counted, grouped};

/// Draws both views beside each other where there is room, else one below the other.
pub fn drawing(facts: &Facts<'_>, sheet: &Sheet) -> Drawing {
    let (key, title) = ("body", "Use of the body");
    let uses = use_map(facts.history, facts.at);
    let used: Vec<(&ZoneUse, usize)> = uses
        .iter()
        .flat_map(|zone| (0..zone.quadrants.len()).map(move |n| (zone, n)))
        .filter(|(zone, n)| zone.quadrants[*n].days.is_some())
        .collect();
    let day = day_words(facts.at.date_naive());
    let description = if used.is_empty() {
        format!("No injection is on record in the year up to {day}.")
    } else {
        format!(
            "Days since each quadrant was last used, on {day}: {} of the body used in the year before.",
            counted(used.len(), "quadrant")
        )
    };
    let marks: Vec<(View, f64, f64, String)> = facts
        .courses
        .iter()
        .filter_map(|course| course.there(facts.at))
        .filter_map(|finding| {
            let patch = facts.body.patch(finding.zone);
            let (view, x, y) = atlas::to_atlas(patch, finding.place.centre())?;
            let words = format!(
                "{}: {}",
                finding.words(),
                finding_place(patch, &finding.place)
            );
            Some((view, x, y, words))
        })
        .collect();
    let rows = uses
        .iter()
        .flat_map(|zone| {
            zone.quadrants.iter().map(|q| {
                vec![
                    quadrant(zone.zone, q.quadrant),
                    q.days
                        .map_or_else(|| "not in the year".to_owned(), |d| grouped(d as usize)),
                    grouped(q.count_28_days as usize),
                ]
            })
        })
        .collect();
    let (inside, height) = inside(facts, sheet, &uses, &marks);
    Drawing {
        key,
        title,
        svg: Some(sheet.own((key, title, &description), height, &inside)),
        more: Vec::new(),
        notes: marks
            .iter()
            .enumerate()
            .map(|(n, mark)| format!("Mark {}: {}.", n + 1, mark.3))
            .collect(),
        table: Table {
            caption: format!("{title}, {day}"),
            columns: ["Quadrant", "Days since last use", "Injections in 28 days"]
                .map(str::to_owned)
                .to_vec(),
            rows,
        },
        description,
    }
}

fn inside(
    facts: &Facts<'_>,
    sheet: &Sheet,
    uses: &[ZoneUse],
    marks: &[(View, f64, f64, String)],
) -> (String, u32) {
    let colours = sheet.colours;
    let panel = if sheet.wide() {
        sheet.width / 2
    } else {
        sheet.width
    };
    let mut inside = String::new();
    let mut bottom = 0;
    for (n, view) in View::ALL.into_iter().enumerate() {
        let drawing = atlas::drawing(view);
        let mut scale = (f64::from(panel) - 16.0).min(360.0) / drawing.width;
        if let Some(tallest) = sheet.tallest {
            // Room for the names of the sides and for the legend.
            let room = f64::from(tallest.saturating_sub(110).max(120));
            scale = scale.min(room / drawing.height);
        }
        let high = (drawing.height * scale).ceil() as u32;
        let (x, y) = if sheet.wide() {
            (u32::try_from(n).unwrap_or(0) * panel, 0)
        } else {
            (0, u32::try_from(n).unwrap_or(0) * (high + 52))
        };
        let left = f64::from(x) + (f64::from(panel) - drawing.width * scale) / 2.0;
        let (name, sides) = match view {
            View::Front => ("Front", ("person's right", "person's left")),
            View::Back => ("Back", ("person's left", "person's right")),
        };
        let text = |at: f64, anchor: &str, weight: &str, words: &str| {
            format!(
                "<text x=\"{at:.0}\" y=\"{}\" font-family=\"{FONT}\" font-size=\"{TEXT}\" text-anchor=\"{anchor}\" \
                 font-weight=\"{weight}\" fill=\"{}\">{words}</text>",
                y + 18,
                hex(colours.ink)
            )
        };
        let (edge, middle) = (f64::from(x), f64::from(x) + f64::from(panel) / 2.0);
        inside += &text(edge + 8.0, "start", "normal", sides.0);
        inside += &text(middle, "middle", "bold", name);
        inside += &text(edge + f64::from(panel) - 8.0, "end", "normal", sides.1);
        let _ = write!(
            inside,
            "<g transform=\"translate({left:.1} {}) scale({scale:.4})\">",
            y + 30
        );
        figure(&mut inside, facts, sheet, (view, scale), uses);
        for (number, (on, x, y, _)) in marks.iter().enumerate() {
            if *on == view {
                let r = 9.0 / scale;
                let _ = write!(
                    inside,
                    "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{r:.1}\" fill=\"{}\" stroke=\"{}\" stroke-width=\"{:.1}\"/>\
                     <text x=\"{x:.1}\" y=\"{:.1}\" font-family=\"{FONT}\" font-size=\"{:.1}\" font-weight=\"bold\" \
                     text-anchor=\"middle\" fill=\"{}\">{}</text>",
                    hex(colours.ground),
                    hex(colours.limit),
                    2.5 / scale,
                    y + 4.5 / scale,
                    12.0 / scale,
                    hex(colours.ink),
                    number + 1
                );
            }
        }
        inside += "</g>";
        bottom = bottom.max(y + high + 44);
    }
    let height = legend(&mut inside, sheet, bottom);
    (inside, height)
}

fn figure(
    inside: &mut String,
    facts: &Facts<'_>,
    sheet: &Sheet,
    (view, scale): (View, f64),
    uses: &[ZoneUse],
) {
    let colours = sheet.colours;
    let drawing = atlas::drawing(view);
    let thin = 1.2 / scale;
    let _ = write!(
        inside,
        "<path d=\"{}\" fill=\"{}\"/><path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{thin:.2}\"/>",
        drawing.silhouette,
        hex(colours.skin),
        drawing.contour,
        hex(colours.soft)
    );
    for line in &drawing.lines {
        let _ = write!(
            inside,
            "<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{thin:.2}\"/>",
            line.path,
            hex(colours.soft)
        );
    }
    for zone in Zone::ALL {
        for q in zone.quadrants() {
            let Some(path) = atlas::quadrant_path(facts.body, zone, q, view) else {
                continue;
            };
            let days = uses
                .iter()
                .find(|u| u.zone == zone)
                .and_then(|u| u.quadrants.iter().find(|x| x.quadrant == q))
                .and_then(|u| u.days);
            let step = usize::from(step(days)).min(5);
            let _ = write!(
                inside,
                "<path d=\"{path}\" fill=\"{}\" stroke=\"{}\" stroke-width=\"{thin:.2}\"/>",
                hex(colours.steps[step]),
                hex(colours.soft)
            );
            if let (Some(days), Some((x, y))) =
                (days, atlas::quadrant_label(facts.body, zone, q, view))
            {
                let size = 12.0 / scale;
                let _ = write!(
                    inside,
                    "<text x=\"{x:.1}\" y=\"{:.1}\" font-family=\"{FONT}\" font-size=\"{size:.1}\" text-anchor=\"middle\" \
                     fill=\"{}\">{days}</text>",
                    y + size * 0.35,
                    hex(colours.on_steps[step])
                );
            }
        }
    }
}

/// The ramp in words, as many beside each other as there is room for the longest.
fn legend(inside: &mut String, sheet: &Sheet, top: u32) -> u32 {
    let colours = sheet.colours;
    let words: Vec<String> = (0..6).map(step_words).collect();
    let longest = words
        .iter()
        .map(|w| width(w, 12.0, Weight::Regular))
        .fold(0.0, f64::max);
    let fit = f64::from(sheet.width - 16) / (longest + 40.0);
    let across = (fit as u32).clamp(1, 3);
    let wide = (sheet.width - 16) / across;
    for (n, words) in (0..).zip(&words) {
        let (column, row) = (n % across, n / across);
        let (x, y) = (8 + column * wide, top + row * 26);
        let _ = write!(
            inside,
            "<rect x=\"{x}\" y=\"{y}\" width=\"18\" height=\"18\" fill=\"{}\" stroke=\"{}\"/>\
             <text x=\"{}\" y=\"{}\" font-family=\"{FONT}\" font-size=\"12\" fill=\"{}\">{}</text>",
            hex(colours.steps[n as usize]),
            hex(colours.soft),
            x + 26,
            y + 14,
            hex(colours.ink),
            escaped(words)
        );
    }
    top + 6_u32.div_ceil(across) * 26 + 6
}
