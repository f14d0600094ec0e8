//! The outlines of the seven zones and their margins, drawn with a person's dimensions.
//!
//! Left and right zones are the same outline: `across` grows outwards on both. Shares of a girth say how far
//! round the body a zone reaches. Where no source is named, a share is common practice, no source.
//! Not here: what a rule makes of a margin.

use geo::LineString;

use super::curve::smooth;
use super::patch::{Margin, Patch, Row, Shape};
use super::sizes::Dimensions;
use crate::site::{Point, Zone};

/// Rib and pubic bone; Frid et al. 2016 as the clinical basis has it.
const FRID: &str = "Frid AH et al. 2016, Mayo Clin Proc 91(9):1231-1255 (from memory)";
const THIGH: &str =
    "Diabetes Qualified glossary: from 10 cm below the top of the thigh to 10 cm above the knee";
const ARM: &str = "Frid AH et al. 2016, Mayo Clin Proc 91(9):1231-1255: middle third of the upper arm (from memory)";
/// The tenth rib ends this share of the way from the midline to the flank (from memory of anatomy).
const TENTH_RIB: f64 = 0.7;
const HIP_BONE: &str = "common practice, no source";

/// The patch of one zone.
pub(super) fn patch(zone: Zone, d: &Dimensions) -> Patch {
    Patch::new(match zone {
        Zone::Abdomen => abdomen(d),
        Zone::LeftThigh | Zone::RightThigh => thigh(zone, d),
        Zone::LeftArm | Zone::RightArm => arm(zone, d),
        Zone::LeftButtock | Zone::RightButtock => buttock(zone, d),
    })
}

/// From the arch of the ribs to the pubic bone, out to the flanks and in along the groin.
fn abdomen(d: &Dimensions) -> Shape {
    // Half the girth is front; the flank's own line is left a little short of that on each side.
    let flank = 0.235 * d.waist;
    // The rib arch is a parabola from near the midline, where it is blunt, to the side. Below the navel: shares of
    // the way down to the pubic bone, each with the share of the flank's width there.
    let blunt = 0.12;
    let arch = [
        blunt, 0.22, 0.32, 0.42, 0.52, 0.61, TENTH_RIB, 0.78, 0.85, 0.91, 0.96, 1.0,
    ];
    let fallen = |w: f64| (w * w - blunt * blunt) / (1.0 - blunt * blunt);
    let sides = [
        (0.0, 1.0),
        (0.15, 0.99),
        (0.3, 0.92),
        (0.5, 0.765),
        (0.7, 0.565),
        (0.9, 0.34),
        (1.0, 0.235),
    ];
    let row = |up: f64, half: f64| Row {
        up,
        inner: -half,
        outer: half,
    };
    let mut rows: Vec<Row> = arch
        .iter()
        .map(|&w| {
            row(
                d.rib_middle + fallen(w) * (d.rib_side - d.rib_middle),
                w * flank,
            )
        })
        .collect();
    let ribs = rows.len();
    rows.extend(
        (0..=14)
            .map(|i| f64::from(i) / 14.0)
            .map(|t| row(-t * d.pubic, smooth(&sides, t) * flank)),
    );
    // Both landmarks run on past the zone's corners.
    let rib = mirrored(
        rows[..ribs]
            .iter()
            .map(|r| (r.outer, r.up))
            .chain([(1.2 * flank, 2.0 * d.rib_side - d.rib_middle)]),
    );
    let last = rows[rows.len() - 1];
    let pubic = LineString::from(vec![
        (2.0 * last.inner, last.up),
        (2.0 * last.outer, last.up),
    ]);
    Shape {
        zone: Zone::Abdomen,
        landmark: "navel",
        cut: Point {
            across_cm: 0.0,
            up_cm: 0.0,
        },
        levels: vec![d.rib_middle, 0.0, -d.pubic],
        frame: vec![row(d.rib_middle, flank), row(-d.pubic, flank)],
        rows,
        margins: vec![
            Margin {
                name: "lowest rib",
                line: rib,
                radius_cm: 1.0,
                source: FRID,
            },
            Margin {
                name: "pubic bone",
                line: pubic,
                radius_cm: 1.0,
                source: FRID,
            },
        ],
    }
}

/// From the kneecap to the fold of the groin, over the front and the outer side.
fn thigh(zone: Zone, d: &Dimensions) -> Shape {
    // Girth at shares of the way up, as a share of the upper thigh's. Lower thigh: ANSUR II 0.654.
    let tapers = [
        (0.0, 0.62),
        (0.1, 0.65),
        (0.2, 0.69),
        (0.35, 0.76),
        (0.5, 0.84),
        (0.65, 0.91),
        (0.8, 0.97),
        (0.9, 1.0),
    ];
    let width = |t: f64| interpolate(&tapers, t) * d.thigh;
    let (inside, outside) = (-0.06, 0.25);
    let row = |up: f64| {
        let w = width((up / d.hip).min(0.9));
        Row {
            up,
            inner: inside * w,
            outer: outside * w,
        }
    };
    let fold = [
        (-0.06, d.groin),
        (0.02, d.groin + 0.3 * (d.hip - d.groin)),
        (0.1, d.groin + 0.7 * (d.hip - d.groin)),
        (0.18, d.hip),
    ];
    let below = [1.0, 0.88, 0.75, 0.62, 0.5, 0.38, 0.25, 0.12, 0.0].map(|t| row(t * d.groin));
    let mut rows: Vec<Row> = fold[1..]
        .iter()
        .rev()
        .map(|&(a, up)| Row {
            inner: a * d.thigh,
            ..row(up)
        })
        .collect();
    rows.extend(below);
    let frame = std::iter::once(row(d.hip)).chain(below).collect();
    let knee = LineString::from(vec![(inside * d.thigh, 0.0), (outside * d.thigh, 0.0)]);
    let groin = LineString::from(
        fold.iter()
            .map(|&(a, up)| (a * d.thigh, up))
            .chain([(outside * d.thigh, d.hip)])
            .collect::<Vec<_>>(),
    );
    // The source speaks of adults. 10 cm at each end of a child's thigh would leave nothing, so below a height
    // of about 133 cm it is a third at each end: common practice, no source.
    let end = 10.0_f64.min(d.hip / 3.0);
    // The fold slopes, so the allowed skin is taller outside than inside; its middle is half way up on average.
    let cut_up = f64::midpoint(end, d.groin + 0.6 * (d.hip - d.groin) - end);
    let at_cut = row(cut_up);
    Shape {
        zone,
        landmark: "upper edge of the kneecap",
        cut: Point {
            across_cm: f64::midpoint(at_cut.inner, at_cut.outer),
            up_cm: cut_up,
        },
        levels: vec![d.hip, 0.0],
        frame,
        rows,
        margins: vec![
            Margin {
                name: "kneecap",
                line: knee,
                radius_cm: end,
                source: THIGH,
            },
            Margin {
                name: "top of the thigh",
                line: groin,
                radius_cm: end,
                source: THIGH,
            },
        ],
    }
}

/// The back and outer side of the upper arm, from the elbow to the point of the shoulder.
fn arm(zone: Zone, d: &Dimensions) -> Shape {
    let tapers = [
        (1.0, 0.8),
        (0.985, 0.87),
        (0.95, 0.95),
        (0.9, 1.0),
        (0.82, 1.03),
        (0.67, 1.03),
        (0.5, 1.0),
        (0.33, 0.94),
        (0.15, 0.86),
        (0.0, 0.8),
    ];
    let (inside, outside) = (-0.1 * d.upper_arm, 0.25 * d.upper_arm);
    let rows: Vec<Row> = tapers
        .iter()
        .map(|&(t, w)| Row {
            up: t * d.arm_length,
            inner: w * inside,
            outer: w * outside,
        })
        .collect();
    let across = |up: f64| LineString::from(vec![(inside, up), (outside, up)]);
    let third = d.arm_length / 3.0;
    Shape {
        zone,
        landmark: "tip of the elbow",
        cut: Point {
            across_cm: f64::midpoint(inside, outside),
            up_cm: d.arm_length / 2.0,
        },
        levels: vec![d.arm_length, 0.0],
        frame: rows.clone(),
        rows,
        margins: vec![
            Margin {
                name: "elbow",
                line: across(0.0),
                radius_cm: third,
                source: ARM,
            },
            Margin {
                name: "shoulder",
                line: across(d.arm_length),
                radius_cm: third,
                source: ARM,
            },
        ],
    }
}

/// The upper outer part of the buttock: below the hip bone, from the side towards the spine.
fn buttock(zone: Zone, d: &Dimensions) -> Shape {
    // A quarter of the hips' girth lies between the cleft and the side; a little more than the outer half of it is the zone.
    let (inside, outside) = (-0.135 * d.hips, 0.0);
    // Down, inner and outer edge as shares; the inner top corner follows the hip bone as it falls to the spine.
    let edges = [
        (0.0, 0.42, 0.12),
        (0.02, 0.52, 0.07),
        (0.06, 0.65, 0.03),
        (0.12, 0.78, 0.01),
        (0.2, 0.89, 0.0),
        (0.32, 0.97, 0.0),
        (0.5, 1.0, 0.0),
        (0.68, 0.98, 0.0),
        (0.8, 0.93, 0.0),
        (0.88, 0.86, 0.01),
        (0.94, 0.77, 0.03),
        (0.98, 0.66, 0.07),
        (1.0, 0.56, 0.12),
    ];
    let rows: Vec<Row> = edges
        .iter()
        .map(|&(t, i, o)| Row {
            up: -t * d.buttock,
            inner: i * inside,
            outer: o * inside,
        })
        .collect();
    let crest = LineString::from(vec![(inside, 0.0), (outside, 0.0)]);
    let margin = 2.0_f64.min(0.2 * d.buttock);
    Shape {
        zone,
        landmark: "top of the hip bone at the side",
        cut: Point {
            across_cm: f64::midpoint(inside, outside),
            up_cm: f64::midpoint(-margin, -d.buttock),
        },
        levels: vec![0.0, -d.buttock],
        frame: [0.0, -d.buttock]
            .map(|up| Row {
                up,
                inner: inside,
                outer: outside,
            })
            .to_vec(),
        rows,
        margins: vec![Margin {
            name: "hip bone",
            line: crest,
            radius_cm: margin,
            source: HIP_BONE,
        }],
    }
}

/// A line on the person's left continued by its mirror image on the right, from right to left.
fn mirrored(left: impl DoubleEndedIterator<Item = (f64, f64)> + Clone) -> LineString<f64> {
    LineString::from(
        left.clone()
            .rev()
            .map(|(x, y)| (-x, y))
            .chain(left)
            .collect::<Vec<_>>(),
    )
}

/// Between the two knots around `t`, straight; the first or last knot's value beyond them.
fn interpolate(knots: &[(f64, f64)], t: f64) -> f64 {
    let Some(after) = knots.iter().position(|k| k.0 >= t) else {
        return knots[knots.len() - 1].1;
    };
    if after == 0 {
        return knots[0].1;
    }
    let (low, high) = (knots[after - 1], knots[after]);
    low.1 + (t - low.0) / (high.0 - low.0) * (high.1 - low.1)
}
