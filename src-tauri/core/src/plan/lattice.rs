//! The best lattice of a region: equal rows, turned and shifted until most sites are inside.
//!
//! Along the rows the best shift is found exactly (the number inside only changes where a site crosses an edge); turns
//! and shifts across the rows are tried in steps. Beside the hexagonal lattice a few that are pressed flatter, because
//! one more row may fit.

use geo::MultiPolygon;

use super::field::Field;

/// Rows of sites across a region.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lattice {
    /// The turn of its rows.
    pub(super) degrees: f64,
    /// Between neighbours in a row.
    pub(super) pitch: f64,
    /// Between rows.
    pub(super) rise: f64,
    /// The level of the lowest row.
    pub(super) level: f64,
    /// Where that row has a site; the next row has one half a pitch on.
    pub(super) phase: f64,
    /// How many sites are inside.
    pub(super) count: usize,
}

/// Shifts across the rows that are tried: along and across the landmark's own directions, and at other turns.
const LEVELS: [u32; 2] = [24, 12];
/// Turns that are tried; the lattice repeats at 60 degrees, and 90 stands for 30.
const TURNS: [f64; 12] = [
    0.0, 90.0, 5.0, 10.0, 15.0, 20.0, 25.0, 35.0, 40.0, 45.0, 50.0, 55.0,
];
/// How much longer than the spacing the pitch is made, where the region holds few enough sites for it to matter.
const STRETCHES: [f64; 3] = [1.012, 1.025, 1.05];
/// The most sites at which pressed lattices are tried.
const FEW: usize = 100;

/// The best lattice of each turn, those with the most sites first; empty for an empty region.
pub(super) fn by_turn(region: &MultiPolygon<f64>, spacing: f64) -> Vec<Lattice> {
    let mut found: Vec<Lattice> = Vec::new();
    for (n, degrees) in turns(region, spacing).into_iter().enumerate() {
        let field = Field::turned(region, degrees);
        let mut best = None;
        try_levels(
            &field,
            degrees,
            spacing,
            1.0,
            LEVELS[usize::from(n > 1)],
            &mut best,
        );
        if best.is_some_and(|b| b.count <= FEW) {
            for stretch in STRETCHES {
                try_levels(&field, degrees, spacing, stretch, LEVELS[1], &mut best);
            }
        }
        found.extend(best);
    }
    found.sort_by_key(|lattice| std::cmp::Reverse(lattice.count));
    found
}

/// The best lattice at one turn.
pub(super) fn at_turn(
    region: &MultiPolygon<f64>,
    spacing: f64,
    degrees: f64,
    stretch: f64,
) -> Option<Lattice> {
    let mut best = None;
    try_levels(
        &Field::turned(region, degrees),
        degrees,
        spacing,
        stretch,
        LEVELS[0],
        &mut best,
    );
    best
}

/// The best hexagonal lattice alone: what everything else is compared with.
pub(super) fn plain(region: &MultiPolygon<f64>, spacing: f64) -> Option<Lattice> {
    let mut best = None;
    for degrees in turns(region, spacing) {
        try_levels(
            &Field::turned(region, degrees),
            degrees,
            spacing,
            1.0,
            LEVELS[0],
            &mut best,
        );
    }
    best
}

/// The fixed turns, and those of the longest edges.
fn turns(region: &MultiPolygon<f64>, spacing: f64) -> Vec<f64> {
    let mut edges: Vec<(f64, f64)> = region
        .0
        .iter()
        .flat_map(|p| p.exterior().lines())
        .map(|l| {
            (
                l.dx().hypot(l.dy()),
                l.dy().atan2(l.dx()).to_degrees().rem_euclid(180.0),
            )
        })
        .filter(|(length, _)| *length >= 2.0 * spacing)
        .collect();
    edges.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
    let mut turns = TURNS.to_vec();
    for (_, degrees) in edges.into_iter().take(6) {
        if turns
            .iter()
            .all(|t| ((t - degrees).rem_euclid(60.0)).min((degrees - t).rem_euclid(60.0)) > 0.01)
        {
            turns.push(degrees);
        }
    }
    turns
}

fn try_levels(
    field: &Field,
    degrees: f64,
    spacing: f64,
    stretch: f64,
    levels: u32,
    found: &mut Option<Lattice>,
) {
    let Some((low, high)) = field.levels() else {
        return;
    };
    let pitch = spacing * stretch;
    let rise = (spacing * spacing - pitch * pitch / 4.0).sqrt();
    let shifts = (0..levels)
        .map(|n| f64::from(n) / f64::from(levels) * rise)
        .chain(field.piece_levels().map(|y| (y - low).rem_euclid(rise)));
    let mut edges = Edges::default();
    for shift in shifts {
        edges.clear();
        let rows = ((high - low - shift) / rise + 1e-9).floor();
        if rows < 0.0 {
            continue;
        }
        for row in 0..=rows as u32 {
            let level = low + shift + f64::from(row) * rise;
            edges.add(
                field,
                level,
                if row % 2 == 0 { 0.0 } else { pitch / 2.0 },
                pitch,
            );
        }
        let enough = found.map_or(0, |f| f.count);
        if let Some((count, phase)) = edges.best_phase(pitch, enough) {
            *found = Some(Lattice {
                degrees,
                pitch,
                rise,
                level: low + shift,
                phase,
                count,
            });
        }
    }
}

/// Bins of a rough count that saves the exact one.
const BINS: usize = 32;

/// Where, along the rows and modulo the pitch, a site comes inside and where it leaves.
#[derive(Default)]
struct Edges {
    spans: Vec<(f64, f64)>,
    comes: Vec<f64>,
    leaves: Vec<f64>,
    base: i64,
}

impl Edges {
    fn clear(&mut self) {
        self.comes.clear();
        self.leaves.clear();
        self.base = 0;
    }

    fn add(&mut self, field: &Field, level: f64, shift: f64, pitch: f64) {
        self.spans.clear();
        field.spans(level, &mut self.spans);
        for (from, to) in &self.spans {
            let (from, to) = ((from - shift) / pitch, (to - shift) / pitch);
            let (from_whole, to_whole) = (floor(from), floor(to));
            // At phase 0, its own ends not counted: whole numbers in (from, to].
            self.base += to_whole - from_whole;
            self.comes.push(from - from_whole as f64);
            self.leaves.push(to - to_whole as f64);
        }
    }

    /// The most sites inside where that is more than `enough`, and the middle of the shifts that give them.
    fn best_phase(&mut self, pitch: f64, enough: usize) -> Option<(usize, f64)> {
        let enough = i64::try_from(enough).unwrap_or(i64::MAX);
        if self.at_most() <= enough {
            return None;
        }
        self.comes.sort_unstable_by(f64::total_cmp);
        self.leaves.sort_unstable_by(f64::total_cmp);
        let (mut best, mut phase) = (self.base, 0.0);
        let (mut left, mut count) = (0, self.base);
        for (come, at) in self.comes.iter().enumerate() {
            while left < self.leaves.len() && self.leaves[left] < *at {
                left += 1;
                count -= 1;
            }
            count += 1;
            if count > best {
                best = count;
                let until = self.leaves.get(left).copied().unwrap_or(1.0).min(1.0);
                let next = self.comes.get(come + 1).copied().unwrap_or(1.0);
                // More may come before one leaves; that is the next round's.
                phase = f64::midpoint(*at, until.min(next));
            }
        }
        (best > enough).then_some((best as usize, phase * pitch))
    }

    /// No shift has more sites inside than this.
    fn at_most(&self) -> i64 {
        let bin = |share: f64| ((share * BINS as f64) as usize).min(BINS - 1);
        let (mut comes, mut leaves) = ([0_i64; BINS], [0_i64; BINS]);
        for share in &self.comes {
            comes[bin(*share)] += 1;
        }
        for share in &self.leaves {
            leaves[bin(*share)] += 1;
        }
        let (mut now, mut most) = (self.base, self.base);
        for n in 0..BINS {
            now += comes[n];
            most = most.max(now);
            now -= leaves[n];
        }
        most
    }
}

/// Rounded down; quicker than the library's on the processors we build for.
fn floor(value: f64) -> i64 {
    let cut = value as i64;
    cut - i64::from(cut as f64 > value)
}
