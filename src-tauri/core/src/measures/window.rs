//! Skin that points may lie on, as edges sorted into level bands: area, chords, "inside", and points at random.
//!
//! Not here: which skin that is, which is the caller's.

use geo::{Coord, LineString, MultiPolygon, Polygon};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::Rng;

use crate::site::Point;

/// How many bands the edges are sorted into; a point is held against the edges of one.
const BANDS: usize = 128;

/// Throws at the box around the skin before a point is given up.
const MOST_TRIES: usize = 2_000;

/// One edge that is not level, its lower end first.
#[derive(Debug, Clone, Copy)]
struct Edge {
    low: Coord<f64>,
    high: Coord<f64>,
}

impl Edge {
    /// Where it crosses a level, which it must reach.
    fn across(self, up: f64) -> f64 {
        let t = (up - self.low.y) / (self.high.y - self.low.y);
        self.low.x + t * (self.high.x - self.low.x)
    }

    /// Whether it crosses a level; its upper end belongs to the edge above.
    fn reaches(self, up: f64) -> bool {
        self.low.y <= up && up < self.high.y
    }
}

/// Skin as a set of polygons with holes, in any one unit of length.
#[derive(Debug, Clone)]
pub(super) struct Window {
    edges: Vec<Edge>,
    /// For each band the places of the edges that touch it.
    bands: Vec<Vec<u32>>,
    low: Coord<f64>,
    high: Coord<f64>,
    area: f64,
    rectangle: Option<f64>,
}

impl Window {
    /// `None` where there is no skin: no polygon, no area, or a corner that is not a number.
    pub(super) fn new(skin: &MultiPolygon<f64>) -> Option<Self> {
        let rings = || skin.iter().flat_map(rings_of);
        let mut low = Coord {
            x: f64::INFINITY,
            y: f64::INFINITY,
        };
        let mut high = Coord {
            x: f64::NEG_INFINITY,
            y: f64::NEG_INFINITY,
        };
        for c in rings().flat_map(LineString::coords) {
            if !(c.x.is_finite() && c.y.is_finite()) {
                return None;
            }
            (low.x, low.y) = (low.x.min(c.x), low.y.min(c.y));
            (high.x, high.y) = (high.x.max(c.x), high.y.max(c.y));
        }
        let area = geo::Area::unsigned_area(skin);
        if !(area.is_finite() && area > 0.0) {
            return None;
        }
        let edges: Vec<Edge> = rings()
            .flat_map(LineString::lines)
            .filter(|l| l.start.y < l.end.y || l.end.y < l.start.y)
            .map(|l| {
                let (low, high) = if l.start.y < l.end.y {
                    (l.start, l.end)
                } else {
                    (l.end, l.start)
                };
                Edge { low, high }
            })
            .collect();
        let mut this = Self {
            edges,
            bands: vec![Vec::new(); BANDS],
            low,
            high,
            area,
            rectangle: rectangle(skin),
        };
        for (place, edge) in this.edges.iter().enumerate() {
            let (from, to) = (this.band(edge.low.y), this.band(edge.high.y));
            for band in &mut this.bands[from..=to] {
                band.push(place as u32);
            }
        }
        Some(this)
    }

    /// Square units.
    pub(super) fn area(&self) -> f64 {
        self.area
    }

    /// Lowest and highest level.
    pub(super) fn levels(&self) -> (f64, f64) {
        (self.low.y, self.high.y)
    }

    /// The perimeter, where the skin is one rectangle; a tilted one counts.
    pub(super) fn rectangle_perimeter(&self) -> Option<f64> {
        self.rectangle
    }

    fn band(&self, up: f64) -> usize {
        let share = (up - self.low.y) / (self.high.y - self.low.y);
        ((share * BANDS as f64) as usize).min(BANDS - 1)
    }

    fn crossings(&self, up: f64) -> impl Iterator<Item = f64> + '_ {
        self.bands[self.band(up)]
            .iter()
            .map(|place| self.edges[*place as usize])
            .filter(move |e| e.reaches(up))
            .map(move |e| e.across(up))
    }

    /// Whether a point lies on the skin; of its border, the lower and left part.
    pub(super) fn contains(&self, p: Point) -> bool {
        if !(self.low.y..=self.high.y).contains(&p.up_cm) {
            return false;
        }
        self.crossings(p.up_cm)
            .filter(|x| *x <= p.across_cm)
            .count()
            % 2
            == 1
    }

    /// The stretches of skin at one level, from low `across` to high.
    pub(super) fn chords(&self, up: f64) -> Vec<(f64, f64)> {
        if !(self.low.y..=self.high.y).contains(&up) {
            return Vec::new();
        }
        let mut at: Vec<f64> = self.crossings(up).collect();
        at.sort_by(f64::total_cmp);
        at.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
    }

    /// A point of the skin at random, each square unit as likely as any other; `None` where the skin is such a
    /// sliver of the box around it that no throw hits it.
    pub(super) fn random(&self, rng: &mut Pcg64Mcg) -> Option<Point> {
        for _ in 0..MOST_TRIES {
            let point = Point {
                across_cm: self.low.x + unit(rng) * (self.high.x - self.low.x),
                up_cm: self.low.y + unit(rng) * (self.high.y - self.low.y),
            };
            if self.contains(point) {
                return Some(point);
            }
        }
        None
    }
}

/// A number from 0 up to 1: the 53 bits a float holds.
fn unit(rng: &mut Pcg64Mcg) -> f64 {
    (rng.next_u64() >> 11) as f64 / (1u64 << 53) as f64
}

fn rings_of(polygon: &Polygon<f64>) -> impl Iterator<Item = &LineString<f64>> {
    std::iter::once(polygon.exterior()).chain(polygon.interiors())
}

/// The perimeter of a lone polygon of four corners, all of them square.
fn rectangle(skin: &MultiPolygon<f64>) -> Option<f64> {
    let [only] = skin.0.as_slice() else {
        return None;
    };
    let corners = &only.exterior().0;
    if !only.interiors().is_empty() || corners.len() != 5 {
        return None;
    }
    let side = |i: usize| corners[i + 1] - corners[i];
    let square = (0..4).all(|i| {
        let (a, b) = (side(i), side((i + 1) % 4));
        let lengths = a.x.hypot(a.y) * b.x.hypot(b.y);
        lengths > 0.0 && (a.x * b.x + a.y * b.y).abs() <= 1e-9 * lengths
    });
    square.then(|| (0..4).map(|i| side(i).x.hypot(side(i).y)).sum())
}
