//! How much of the allowed skin was used, and the square centimetre used most.
//!
//! Not here: rest and load of each place ([`crate::use_grid`]).

use super::window::Window;
use crate::body::Patch;
use crate::site::{Point, Quadrant, Zone};

/// Levels at which skin is measured across, in centimetres: the area's error is a small part of a per cent.
pub(super) const STEP_CM: f64 = 0.1;

/// How much of the allowed skin was used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkinUsed {
    /// Allowed skin within half a spacing of an injection's point, in square centimetres.
    pub used_cm2: f64,
    /// All allowed skin, in square centimetres.
    pub allowed_cm2: f64,
    /// The one divided by the other, `0..=1`. A perfect lattice at the spacing comes to 0.907.
    pub share: f64,
}

/// The square centimetre with the most injections.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Busiest {
    /// Its zone.
    pub zone: Zone,
    /// The quadrant of its centre.
    pub quadrant: Quadrant,
    /// Its centre, in centimetres from the landmark.
    pub centre: Point,
    /// Injections in it.
    pub count: usize,
}

/// Area of the window within each disc's own radius of its centre, overlaps counted once. Exact across, by the
/// middle of every `step` upwards.
pub(super) fn covered(discs: &[(Point, f64)], window: &Window, step: f64) -> f64 {
    let (low, high) = window.levels();
    let rows = ((high - low) / step).ceil() as usize;
    let mut on_row: Vec<Vec<(f64, f64)>> = vec![Vec::new(); rows];
    for (centre, radius) in discs {
        let place = |up: f64| ((up - low) / step).max(0.0) as usize;
        let last = place(centre.up_cm + radius).min(rows.saturating_sub(1));
        for row in place(centre.up_cm - radius)..=last {
            let off = low + (row as f64 + 0.5) * step - centre.up_cm;
            let square = radius * radius - off * off;
            if square > 0.0
                && let Some(row) = on_row.get_mut(row)
            {
                let half = square.sqrt();
                row.push((centre.across_cm - half, centre.across_cm + half));
            }
        }
    }
    let across: f64 = on_row
        .into_iter()
        .enumerate()
        .filter(|(_, discs)| !discs.is_empty())
        .map(|(row, discs)| {
            shared(
                &joined(discs),
                &window.chords(low + (row as f64 + 0.5) * step),
            )
        })
        .sum();
    across * step
}

/// Stretches in order, those that overlap made one.
fn joined(mut stretches: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut all: Vec<(f64, f64)> = Vec::new();
    for (from, to) in stretches {
        match all.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => all.push((from, to)),
        }
    }
    all
}

/// Length that two sets of stretches have in common; those of one set do not overlap.
fn shared(a: &[(f64, f64)], b: &[(f64, f64)]) -> f64 {
    a.iter()
        .flat_map(|a| b.iter().map(|b| (a.1.min(b.1) - a.0.max(b.0)).max(0.0)))
        .sum()
}

/// The most points in any upright square of ten by ten millimetres, and its centre; points are taken to the
/// millimetre, which is how finely they are recorded. `None` without points near the patch.
pub(super) fn busiest(points: &[Point], patch: &Patch) -> Option<Busiest> {
    // The patch and 5 cm round it, so that one stray point cannot make the board endless.
    let (left, low, right, high) = patch.bounds();
    let mm = |cm: f64| (cm * 10.0).round() as i64;
    let (left, low, right, high) = (mm(left) - 50, mm(low) - 50, mm(right) + 50, mm(high) + 50);
    let columns = (right - left + 1) as usize;
    let rows = (high - low + 1) as usize;
    // Running sums, a row and a column wider, so that a square is four look-ups.
    let wide = columns + 1;
    let mut sums = vec![0u32; wide * (rows + 1)];
    for p in points {
        let (x, y) = (mm(p.across_cm), mm(p.up_cm));
        if (left..=right).contains(&x) && (low..=high).contains(&y) {
            sums[(y - low + 1) as usize * wide + (x - left + 1) as usize] += 1;
        }
    }
    for row in 1..=rows {
        for column in 1..=columns {
            let at = row * wide + column;
            sums[at] = sums[at] + sums[at - 1] + sums[at - wide] - sums[at - wide - 1];
        }
    }
    let side = 10;
    let mut best: Option<(u32, usize, usize)> = None;
    for row in (0..=rows.checked_sub(side)?).rev() {
        for column in 0..=columns.checked_sub(side)? {
            let (bottom, top) = (row * wide + column, (row + side) * wide + column);
            let count = sums[top + side] + sums[bottom] - sums[top] - sums[bottom + side];
            if count > best.map_or(0, |b| b.0) {
                best = Some((count, row, column));
            }
        }
    }
    let (count, row, column) = best?;
    // Ten millimetre marks from the first to the last span nine; the centre lies between the fifth and the sixth.
    let middle = |first: i64, place: usize| (first as f64 + place as f64 + 4.5) / 10.0;
    let centre = Point {
        across_cm: middle(left, column),
        up_cm: middle(low, row),
    };
    Some(Busiest {
        zone: patch.zone(),
        quadrant: patch.quadrant_of(centre),
        centre,
        count: count as usize,
    })
}
