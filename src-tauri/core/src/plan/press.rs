//! Sites pressed in along the edge: into each of the widest gaps a site is put, and its neighbours give way where they
//! can, like coins pushed about on a table.
//!
//! Only arrangements in which every distance is kept are taken, so the result is never worse than what it starts from.

use geo::MultiPolygon;

use super::edge::{At, EdgeMap, distance};

/// How far around a gap sites give way, in spacings.
const AROUND: f64 = 2.4;
/// Rounds of giving way.
const ROUNDS: usize = 70;
/// After so many rounds, so much lacking (in spacings) will not come right.
const GIVEN_UP: [(usize, f64); 4] = [(8, 0.3), (16, 0.14), (28, 0.07), (44, 0.03)];
/// A gap this wide, from its middle to the nearest site in spacings, is tried.
const GAP: f64 = 0.6;
/// The grid on which gaps are looked for, in spacings.
const GRID: f64 = 0.25;
/// Sites are pushed a little farther apart than the spacing, so that they end at the spacing after finitely many rounds.
const MORE: f64 = 1.0 + 4e-4;

/// The side of a cell, in spacings.
const CELL: f64 = 0.5;

/// As many sites as could be pressed in, at most `tries` times.
pub(super) fn pressed(
    region: &MultiPolygon<f64>,
    spacing: f64,
    sites: Vec<At>,
    tries: usize,
) -> Vec<At> {
    let Some(edge) = EdgeMap::of(region, spacing * CELL) else {
        return sites;
    };
    let mut table = Table {
        spacing,
        edge,
        cells: Vec::new(),
        sites,
    };
    table.fill_cells();
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let mut left = tries;
    let mut jitter = 0.3;
    while left > 0 {
        let gaps = table.gaps();
        if gaps.is_empty() {
            break;
        }
        for gap in gaps {
            if left == 0 {
                break;
            }
            if table.clearance(gap) < GAP * spacing {
                continue;
            }
            left -= 1;
            if let Some(moved) = table.press(gap, jitter, &mut dice) {
                table.accept(&moved);
            }
        }
        jitter = if jitter > 0.9 { 0.3 } else { jitter + 0.35 };
    }
    table.sites
}

/// Numbers between -1 and 1 that are the same every time (a 64-bit linear congruential generator).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 / (1_u64 << 52) as f64) - 1.0
    }
}

/// The sites, by the same cells as the edge.
struct Table {
    spacing: f64,
    edge: EdgeMap,
    cells: Vec<Vec<u32>>,
    sites: Vec<At>,
}

impl Table {
    fn fill_cells(&mut self) {
        self.cells = vec![Vec::new(); self.edge.wide * self.edge.tall];
        for (n, site) in self.sites.iter().enumerate() {
            self.cells[self.edge.cell(*site)].push(n as u32);
        }
    }

    fn near(&self, at: At, reach: f64, mut each: impl FnMut(u32, f64)) {
        let (x0, x1, y0, y1) = self.edge.cells_around(at, reach);
        for y in y0..=y1 {
            for x in x0..=x1 {
                for n in &self.cells[y * self.edge.wide + x] {
                    let apart = distance(self.sites[*n as usize], at);
                    if apart <= reach {
                        each(*n, apart);
                    }
                }
            }
        }
    }

    /// Centimetres to the nearest site, at most two spacings.
    fn clearance(&self, at: At) -> f64 {
        let mut least = 2.0 * self.spacing;
        self.near(at, self.spacing, |_, apart| least = least.min(apart));
        least
    }

    /// Points inside far from every site, the farthest first.
    fn gaps(&self) -> Vec<At> {
        let step = GRID * self.spacing;
        let (low, high) = (self.edge.low, self.edge.high);
        let mut found: Vec<(f64, At)> = Vec::new();
        let (rows, columns) = (
            ((high.1 - low.1) / step) as u32 + 1,
            ((high.0 - low.0) / step) as u32 + 1,
        );
        for row in 0..rows {
            for column in 0..columns {
                let at = (
                    low.0 + f64::from(column) * step,
                    low.1 + f64::from(row) * step,
                );
                // In the open a lattice leaves no gap.
                if self.edge.near[self.edge.cell(at)].is_empty() {
                    continue;
                }
                let (away, on) = self.edge.signed(at);
                let at = if away > 0.0 && away < step { on } else { at };
                if away >= step {
                    continue;
                }
                let clear = self.clearance(at);
                if clear >= GAP * self.spacing {
                    found.push((clear, at));
                }
            }
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut kept: Vec<At> = Vec::new();
        for (_, at) in found {
            if kept.iter().all(|k| distance(*k, at) >= 0.4 * self.spacing) {
                kept.push(at);
            }
        }
        kept
    }

    /// The sites around a gap and where they go so that one more fits; `None` where they cannot.
    fn press(&self, gap: At, jitter: f64, dice: &mut Dice) -> Option<Moved> {
        let target = self.spacing * MORE;
        let reach = AROUND * self.spacing;
        let mut group = Moved {
            which: Vec::new(),
            to: vec![gap],
        };
        let mut fixed: Vec<At> = Vec::new();
        self.near(gap, reach + 1.5 * self.spacing, |n, apart| {
            if apart <= reach {
                group.which.push(n);
                let at = self.sites[n as usize];
                let off = jitter * self.spacing;
                group
                    .to
                    .push((at.0 + off * dice.next(), at.1 + off * dice.next()));
            } else {
                fixed.push(self.sites[n as usize]);
            }
        });
        let mut pairs = Vec::new();
        let mut seen: Vec<(At, f64)> = group.to.iter().map(|at| (*at, 0.0)).collect();
        for round in 0..ROUNDS {
            if round % 20 == 0 {
                pairs = neighbours(&group.to, &fixed, 1.45 * self.spacing);
            }
            let mut worst = 0.0_f64;
            for (a, b) in &pairs {
                let (p, q) = (
                    group.to[*a],
                    group
                        .to
                        .get(*b)
                        .copied()
                        .unwrap_or_else(|| fixed[b - group.to.len()]),
                );
                let (dx, dy) = (q.0 - p.0, q.1 - p.1);
                let apart2 = dx * dx + dy * dy;
                if apart2 >= target * target {
                    continue;
                }
                let apart = apart2.sqrt().max(1e-9);
                let lacking = target - apart;
                worst = worst.max(lacking);
                let (ux, uy) = (dx / apart, dy / apart);
                if *b < group.to.len() {
                    let half = 0.5 * lacking;
                    group.to[*a] = (p.0 - ux * half, p.1 - uy * half);
                    group.to[*b] = (q.0 + ux * half, q.1 + uy * half);
                } else {
                    group.to[*a] = (p.0 - ux * lacking, p.1 - uy * lacking);
                }
            }
            for (site, seen) in group.to.iter_mut().zip(&mut seen) {
                // Where it last looked it was this far inside: nothing to see until it has moved as far.
                if distance(*site, seen.0) < seen.1 {
                    continue;
                }
                let (away, on) = self.edge.signed(*site);
                if away > 0.0 {
                    *site = on;
                }
                *seen = (*site, -away);
            }
            if worst < 0.5 * (target - self.spacing) {
                if self.keeps(&group) {
                    return Some(group);
                }
            } else if GIVEN_UP
                .iter()
                .any(|(at, share)| round == *at && worst > share * self.spacing)
            {
                return None;
            }
        }
        None
    }

    /// Whether every distance is kept, also to sites that were out of reach when the pressing began.
    fn keeps(&self, group: &Moved) -> bool {
        let apart = |p: At, q: At| distance(p, q) >= self.spacing - 1e-9;
        group.to.iter().enumerate().all(|(n, at)| {
            let mut clear =
                self.edge.holds(*at) && group.to[n + 1..].iter().all(|other| apart(*at, *other));
            self.near(*at, self.spacing - 1e-9, |other, _| {
                clear &= group.which.contains(&other);
            });
            clear
        })
    }

    fn accept(&mut self, moved: &Moved) {
        for (n, to) in moved.which.iter().zip(&moved.to[1..]) {
            self.sites[*n as usize] = *to;
        }
        self.sites.push(moved.to[0]);
        self.fill_cells();
    }
}

/// Sites of the table and where they go; the first place is the new site's.
struct Moved {
    which: Vec<u32>,
    to: Vec<At>,
}

/// Pairs that may come too close: two that move, or one that moves and one that does not (numbered after them).
fn neighbours(moving: &[At], fixed: &[At], reach: f64) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    let close = |p: At, q: At| {
        let (dx, dy) = (p.0 - q.0, p.1 - q.1);
        dx * dx + dy * dy < reach * reach
    };
    for (a, p) in moving.iter().enumerate() {
        pairs.extend(
            (a + 1..moving.len())
                .filter(|b| close(*p, moving[*b]))
                .map(|b| (a, b)),
        );
        pairs.extend(
            (0..fixed.len())
                .filter(|b| close(*p, fixed[*b]))
                .map(|b| (a, moving.len() + b)),
        );
    }
    pairs
}
