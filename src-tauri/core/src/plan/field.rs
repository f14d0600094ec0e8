//! A region turned so that rows of sites run level, and where a level line lies inside it.

use geo::{Area, LineString, MultiPolygon, Polygon};

/// A site this little outside an edge is on the edge; centimetres. A needle is four hundred thousand times as wide.
pub(super) const TOUCH_CM: f64 = 1e-7;

/// An edge from its lower to its higher end.
#[derive(Debug, Clone, Copy)]
struct Edge {
    low: f64,
    high: f64,
    /// Across at `low`, and how much it changes for each centimetre up.
    across: f64,
    lean: f64,
}

/// One polygon, its holes included.
#[derive(Debug)]
struct Piece {
    /// By their lower end.
    edges: Vec<Edge>,
    low: f64,
    high: f64,
}

/// A region turned by some angle.
#[derive(Debug)]
pub(super) struct Field {
    pieces: Vec<Piece>,
    sin: f64,
    cos: f64,
}

impl Field {
    /// The region seen with rows running at `degrees` to `across`.
    pub(super) fn turned(region: &MultiPolygon<f64>, degrees: f64) -> Self {
        let (sin, cos) = match degrees {
            // Exact, so that what is level stays level.
            d if d.abs() < 1e-12 => (0.0, 1.0),
            d if (d - 90.0).abs() < 1e-12 => (1.0, 0.0),
            d => d.to_radians().sin_cos(),
        };
        let pieces = region.0.iter().filter_map(|p| piece(p, sin, cos)).collect();
        Self { pieces, sin, cos }
    }

    /// From the field's own coordinates back to the region's.
    pub(super) fn back(&self, x: f64, y: f64) -> (f64, f64) {
        (x * self.cos - y * self.sin, x * self.sin + y * self.cos)
    }

    /// Lowest and highest level of the region; `None` when it is empty.
    pub(super) fn levels(&self) -> Option<(f64, f64)> {
        let low = self.pieces.iter().map(|p| p.low).reduce(f64::min)?;
        let high = self.pieces.iter().map(|p| p.high).reduce(f64::max)?;
        Some((low, high))
    }

    /// Lowest and highest level of each piece.
    pub(super) fn piece_levels(&self) -> impl Iterator<Item = f64> {
        self.pieces.iter().flat_map(|p| [p.low, p.high])
    }

    /// Adds the stretches of the region at one level, as wide as a touching site may use.
    pub(super) fn spans(&self, level: f64, found: &mut Vec<(f64, f64)>) {
        for piece in &self.pieces {
            // A level on the very edge looks just inside it.
            let y = if level < piece.low && level >= piece.low - TOUCH_CM {
                piece.low
            } else if level >= piece.high && level <= piece.high + TOUCH_CM {
                piece.high - (piece.high - piece.low) * 1e-12
            } else {
                level
            };
            if y < piece.low || y > piece.high {
                continue;
            }
            let start = found.len();
            for edge in &piece.edges {
                if edge.low > y {
                    break;
                }
                if y < edge.high {
                    let across = edge.across + (y - edge.low) * edge.lean;
                    found.push((across, across));
                }
            }
            found[start..].sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
            // From crossings to stretches in place: in at every first one, out at every second.
            let (crossings, mut kept) = (found.len() - start, start);
            for pair in 0..crossings / 2 {
                let (from, to) = (found[start + 2 * pair].0, found[start + 2 * pair + 1].0);
                if kept > start && from - TOUCH_CM <= found[kept - 1].1 {
                    // Two stretches that touch are one.
                    found[kept - 1].1 = to + TOUCH_CM;
                } else {
                    found[kept] = (from - TOUCH_CM, to + TOUCH_CM);
                    kept += 1;
                }
            }
            found.truncate(kept);
        }
    }
}

fn piece(polygon: &Polygon<f64>, sin: f64, cos: f64) -> Option<Piece> {
    if polygon.unsigned_area() <= 0.0 {
        return None;
    }
    let mut edges = Vec::new();
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
        add(ring, sin, cos, &mut edges);
    }
    for edge in &edges {
        low = low.min(edge.low);
        high = high.max(edge.high);
    }
    edges.sort_by(|a, b| a.low.total_cmp(&b.low));
    (low < high).then_some(Piece { edges, low, high })
}

fn add(ring: &LineString<f64>, sin: f64, cos: f64, edges: &mut Vec<Edge>) {
    let turned = |c: geo::Coord<f64>| (c.x * cos + c.y * sin, c.y * cos - c.x * sin);
    for line in ring.lines() {
        let (a, b) = (turned(line.start), turned(line.end));
        let (a, b) = if a.1 <= b.1 { (a, b) } else { (b, a) };
        // A level edge is where its neighbours end.
        if b.1 > a.1 {
            edges.push(Edge {
                low: a.1,
                high: b.1,
                across: a.0,
                lean: (b.0 - a.0) / (b.1 - a.1),
            });
        }
    }
}
