//! A region's edge, to ask often whether a place is inside and what on the edge is nearest to it.

use geo::{Coord, MultiPolygon, Orient, orient::Direction};

/// How far from an edge a place still knows of it, in cells.
const REACH: f64 = 1.25;

/// Across and up; centimetres.
pub(super) type At = (f64, f64);

/// The region's edge, by cells.
pub(super) struct EdgeMap {
    pub(super) low: At,
    pub(super) high: At,
    size: f64,
    pub(super) wide: usize,
    pub(super) tall: usize,
    /// Edges within `REACH` of any place in the cell.
    pub(super) near: Vec<Vec<u32>>,
    /// Where there are none: whether the cell is inside.
    inside: Vec<bool>,
    edges: Vec<Edge>,
}

/// An edge with the region on its left, and which way is out along it and at its two ends.
struct Edge {
    from: At,
    /// Its direction, of length one, and its length.
    along: At,
    length: f64,
    out: At,
    out_from: At,
    out_to: At,
}

impl EdgeMap {
    pub(super) fn of(region: &MultiPolygon<f64>, size: f64) -> Option<Self> {
        let mut edges = Vec::new();
        for polygon in region.orient(Direction::Default).iter() {
            for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
                ring_edges(&ring.0, &mut edges);
            }
        }
        let ends = || edges.iter().map(|e| e.from);
        let low = ends().reduce(|a, b| (a.0.min(b.0), a.1.min(b.1)))?;
        let high = ends().reduce(|a, b| (a.0.max(b.0), a.1.max(b.1)))?;
        let wide = ((high.0 - low.0) / size) as usize + 1;
        let tall = ((high.1 - low.1) / size) as usize + 1;
        let mut map = Self {
            low,
            high,
            size,
            wide,
            tall,
            near: vec![Vec::new(); wide * tall],
            inside: vec![false; wide * tall],
            edges,
        };
        for n in 0..map.edges.len() {
            let edge = &map.edges[n];
            let middle = edge.at(0.5 * edge.length);
            let half = 0.5 * edge.length * edge.along.0.abs().max(edge.along.1.abs());
            let (x0, x1, y0, y1) = map.cells_around(middle, half + (REACH + 0.5) * size);
            for y in y0..=y1 {
                for x in x0..=x1 {
                    let centre = map.centre(x, y);
                    // Half the diagonal of a cell is 0.71 of its side.
                    if distance(map.edges[n].nearest(centre).0, centre) < (REACH + 0.71) * size {
                        map.near[y * wide + x].push(n as u32);
                    }
                }
            }
        }
        map.find_inside();
        Some(map)
    }

    /// Cells far from every edge are inside as the cell before them in the row was.
    fn find_inside(&mut self) {
        for y in 0..self.tall {
            let mut inside = false;
            for x in 0..self.wide {
                let cell = y * self.wide + x;
                if !self.near[cell].is_empty() {
                    // The right end of this cell decides for the next one.
                    let centre = self.centre(x, y);
                    let probe = (centre.0 + self.size / 2.0, centre.1);
                    inside = self.signed_among(&self.near[cell], probe).0 <= 0.0;
                }
                self.inside[cell] = inside;
            }
        }
    }

    fn centre(&self, x: usize, y: usize) -> At {
        (
            self.low.0 + (x as f64 + 0.5) * self.size,
            self.low.1 + (y as f64 + 0.5) * self.size,
        )
    }

    fn column(&self, x: f64) -> usize {
        (((x - self.low.0) / self.size).max(0.0) as usize).min(self.wide - 1)
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.low.1) / self.size).max(0.0) as usize).min(self.tall - 1)
    }

    pub(super) fn cell(&self, at: At) -> usize {
        self.row(at.1) * self.wide + self.column(at.0)
    }

    pub(super) fn cells_around(&self, at: At, reach: f64) -> (usize, usize, usize, usize) {
        (
            self.column(at.0 - reach),
            self.column(at.0 + reach),
            self.row(at.1 - reach),
            self.row(at.1 + reach),
        )
    }

    /// Centimetres outside, negative inside, and the nearest place on the edge.
    pub(super) fn signed(&self, at: At) -> (f64, At) {
        let cell = self.cell(at);
        if self.near[cell].is_empty() {
            return (
                if self.inside[cell] {
                    -self.size
                } else {
                    self.size
                },
                at,
            );
        }
        self.signed_among(&self.near[cell], at)
    }

    fn signed_among(&self, edges: &[u32], at: At) -> (f64, At) {
        let mut best = (f64::INFINITY, at, at);
        for n in edges {
            let edge = &self.edges[*n as usize];
            let (on, share) = edge.nearest(at);
            let away = (on.0 - at.0) * (on.0 - at.0) + (on.1 - at.1) * (on.1 - at.1);
            if away < best.0 {
                let out = if share <= 0.0 {
                    edge.out_from
                } else if share >= edge.length {
                    edge.out_to
                } else {
                    edge.out
                };
                best = (away, on, out);
            }
        }
        let (away, on, out) = best;
        let outside = (at.0 - on.0) * out.0 + (at.1 - on.1) * out.1 > 0.0;
        (if outside { away.sqrt() } else { -away.sqrt() }, on)
    }

    /// Whether a place is inside or on the edge.
    pub(super) fn holds(&self, at: At) -> bool {
        self.signed(at).0 <= 1e-9
    }
}

impl Edge {
    fn at(&self, share: f64) -> At {
        (
            self.from.0 + share * self.along.0,
            self.from.1 + share * self.along.1,
        )
    }

    /// The place on it nearest to a point, and how far along that is.
    fn nearest(&self, at: At) -> (At, f64) {
        let share = (at.0 - self.from.0) * self.along.0 + (at.1 - self.from.1) * self.along.1;
        let share = share.clamp(0.0, self.length);
        (self.at(share), share)
    }
}

fn ring_edges(ring: &[Coord<f64>], edges: &mut Vec<Edge>) {
    let mut corners: Vec<At> = ring.iter().map(|c| (c.x, c.y)).collect();
    corners.dedup();
    if corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    let count = corners.len();
    if count < 3 {
        return;
    }
    let out = |n: usize| {
        let (from, to) = (corners[n % count], corners[(n + 1) % count]);
        let length = distance(from, to);
        ((to.1 - from.1) / length, (from.0 - to.0) / length)
    };
    for n in 0..count {
        let (from, to) = (corners[n], corners[(n + 1) % count]);
        let length = distance(from, to);
        let (before, own, after) = (out(n + count - 1), out(n), out(n + 1));
        edges.push(Edge {
            from,
            along: ((to.0 - from.0) / length, (to.1 - from.1) / length),
            length,
            out: own,
            out_from: (before.0 + own.0, before.1 + own.1),
            out_to: (own.0 + after.0, own.1 + after.1),
        });
    }
}

/// Centimetres between two places.
pub(super) fn distance(p: At, q: At) -> f64 {
    (p.0 - q.0).hypot(p.1 - q.1)
}
