//! A patch: one zone's skin unrolled flat, and what can be asked of it.
//!
//! The outline is a stack of rows, each one unbroken stretch from its inner to its outer edge. That makes
//! "inside" a comparison and lets the drawing map rows to rows. Not here: where the outlines come from
//! (`zones`).

use geo::{Area, BooleanOps, Buffer, Distance, Euclidean, LineString, MultiPolygon, Polygon};

use crate::site::{Point, Quadrant, Zone};

/// A strip along a landmark that is left alone.
#[derive(Debug, Clone)]
pub struct Margin {
    /// The landmark in words: `lowest rib`, `pubic bone`, `kneecap`.
    pub name: &'static str,
    /// Where the landmark runs on the patch; centimetres.
    pub line: LineString<f64>,
    /// Skin nearer than this to the line is margin; centimetres.
    pub radius_cm: f64,
    /// Who says so.
    pub source: &'static str,
}

impl Margin {
    /// Distance from a point to the landmark's line; centimetres.
    pub fn distance_cm(&self, p: Point) -> f64 {
        Euclidean.distance(&geo_point(p), &self.line)
    }
}

/// One level of an outline: from `inner` to `outer` across, at `up`; centimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Row {
    pub(super) up: f64,
    pub(super) inner: f64,
    pub(super) outer: f64,
}

/// What a zone's outline is made from.
pub(super) struct Shape {
    pub(super) zone: Zone,
    pub(super) landmark: &'static str,
    /// From the top downwards; at least two, each lower than the one before and wider than nothing.
    pub(super) rows: Vec<Row>,
    /// Where the quadrants divide.
    pub(super) cut: Point,
    /// Levels that the drawing keeps in place, from the top downwards: top, landmarks between, bottom.
    pub(super) levels: Vec<f64>,
    /// The limb or trunk the outline lies on, which the drawing spreads between its own edges; rows from the top
    /// downwards, from the outline's top to its bottom and nowhere narrower than it.
    pub(super) frame: Vec<Row>,
    pub(super) margins: Vec<Margin>,
}

/// One zone's skin unrolled flat, in centimetres from its landmark.
#[derive(Debug, Clone)]
pub struct Patch {
    zone: Zone,
    landmark: &'static str,
    rows: Vec<Row>,
    cut: Point,
    levels: Vec<f64>,
    frame: Vec<Row>,
    margins: Vec<Margin>,
    outline: Polygon<f64>,
    quarters: [Polygon<f64>; 4],
}

impl Patch {
    pub(super) fn new(shape: Shape) -> Self {
        let Shape {
            zone,
            landmark,
            rows,
            cut,
            levels,
            frame,
            margins,
        } = shape;
        debug_assert!(
            rows.windows(2).all(|w| w[0].up > w[1].up),
            "{zone:?}: rows must go down"
        );
        debug_assert!(
            rows.iter().all(|r| r.outer > r.inner),
            "{zone:?}: rows must have a width"
        );
        let outline = polygon(&rows);
        let quarters = zone.quadrants().map(|q| polygon(&quarter(&rows, cut, q)));
        Self {
            zone,
            landmark,
            rows,
            cut,
            levels,
            frame,
            margins,
            outline,
            quarters,
        }
    }

    /// The zone this is the skin of.
    pub fn zone(&self) -> Zone {
        self.zone
    }

    /// The whole zone's skin, margins included; centimetres.
    pub fn outline(&self) -> &Polygon<f64> {
        &self.outline
    }

    /// Where inner and outer quadrants divide: the navel on the abdomen, the middle of the allowed skin elsewhere.
    pub fn cut_across_cm(&self) -> f64 {
        self.cut.across_cm
    }

    /// Where upper and lower quadrants divide, likewise.
    pub fn cut_up_cm(&self) -> f64 {
        self.cut.up_cm
    }

    /// What a finger finds at (0, 0): `navel`, `upper edge of the kneecap`.
    pub fn landmark(&self) -> &'static str {
        self.landmark
    }

    /// Landmarks with a fixed margin. The navel is not among them: its radius is a rule's choice.
    pub fn margins(&self) -> &[Margin] {
        &self.margins
    }

    /// The quadrant a point falls in by the cuts alone, inside the outline or not. A point on a cut belongs to
    /// the upper, or to the far (left or outer) quadrant.
    pub fn quadrant_of(&self, p: Point) -> Quadrant {
        self.zone
            .quadrant_at(p.up_cm >= self.cut.up_cm, p.across_cm >= self.cut.across_cm)
    }

    /// The outline cut to one of the zone's quadrants; a quadrant of another zone gives the one that lies on
    /// the same side of both cuts.
    pub fn quadrant_outline(&self, q: Quadrant) -> &Polygon<f64> {
        &self.quarters[usize::from(!q.is_upper()) * 2 + usize::from(q.is_far())]
    }

    /// Whether a point is on the zone's skin, its edge included.
    pub fn contains(&self, p: Point) -> bool {
        self.span(p.up_cm)
            .is_some_and(|(inner, outer)| (inner..=outer).contains(&p.across_cm))
    }

    /// How far a point is outside the zone; 0 inside. Centimetres.
    pub fn outside_cm(&self, p: Point) -> f64 {
        if self.contains(p) {
            0.0
        } else {
            self.border_cm(p)
        }
    }

    /// How far a point is from the zone's edge, from either side of it. Centimetres.
    pub fn border_cm(&self, p: Point) -> f64 {
        Euclidean.distance(&geo_point(p), self.outline.exterior())
    }

    /// The smallest upright box around the zone: least across, least up, greatest across, greatest up.
    pub fn bounds(&self) -> (f64, f64, f64, f64) {
        let inner = self
            .rows
            .iter()
            .map(|r| r.inner)
            .fold(f64::INFINITY, f64::min);
        let outer = self
            .rows
            .iter()
            .map(|r| r.outer)
            .fold(f64::NEG_INFINITY, f64::max);
        (
            inner,
            self.rows[self.rows.len() - 1].up,
            outer,
            self.rows[0].up,
        )
    }

    /// The whole zone's skin, margins included; square centimetres.
    pub fn area_cm2(&self) -> f64 {
        self.outline.unsigned_area()
    }

    /// The skin of one quadrant outside every margin of [`Patch::margins`]; empty where the margins leave none.
    ///
    /// For drawing: the round ends of a margin are many-sided, so measure with [`Margin::distance_cm`].
    pub fn allowed_outline(&self, q: Quadrant) -> MultiPolygon<f64> {
        let whole = MultiPolygon::from(self.quadrant_outline(q).clone());
        self.margins.iter().fold(whole, |left, m| {
            left.difference(&m.line.buffer(m.radius_cm))
        })
    }

    /// The stretch of skin at one level, inner to outer; `None` above or below the zone.
    pub(super) fn span(&self, up: f64) -> Option<(f64, f64)> {
        span(&self.rows, up)
    }

    /// The frame at one level, inner to outer; `None` above or below the zone.
    pub(super) fn frame(&self, up: f64) -> Option<(f64, f64)> {
        span(&self.frame, up)
    }

    pub(super) fn levels(&self) -> &[f64] {
        &self.levels
    }
}

/// Inner and outer edge of a stack of rows at one level, straight between two rows.
fn span(rows: &[Row], up: f64) -> Option<(f64, f64)> {
    let below = rows.iter().position(|r| r.up <= up)?;
    let low = rows[below];
    if below == 0 {
        return (low.up >= up).then_some((low.inner, low.outer));
    }
    let high = rows[below - 1];
    let t = (up - low.up) / (high.up - low.up);
    Some((
        low.inner + t * (high.inner - low.inner),
        low.outer + t * (high.outer - low.outer),
    ))
}

fn geo_point(p: Point) -> geo::Point<f64> {
    geo::Point::new(p.across_cm, p.up_cm)
}

/// Down the outer edge and back up the inner one.
fn polygon(rows: &[Row]) -> Polygon<f64> {
    let outer = rows.iter().map(|r| (r.outer, r.up));
    let inner = rows.iter().rev().map(|r| (r.inner, r.up));
    Polygon::new(
        LineString::from(outer.chain(inner).collect::<Vec<_>>()),
        Vec::new(),
    )
}

/// The rows of one quadrant: those on its side of the level cut, each cut across.
///
/// A row is added wherever an edge crosses a cut, so that the quarter's corners are exact.
fn quarter(rows: &[Row], cut: Point, q: Quadrant) -> Vec<Row> {
    let mut all = Vec::with_capacity(rows.len() + 3);
    for pair in rows.windows(2) {
        all.push(pair[0]);
        let mut shares = [
            share_at(pair[0].up, pair[1].up, cut.up_cm),
            share_at(pair[0].inner, pair[1].inner, cut.across_cm),
            share_at(pair[0].outer, pair[1].outer, cut.across_cm),
        ];
        shares.sort_by(|a, b| a.partial_cmp(b).unwrap_or(std::cmp::Ordering::Equal));
        all.extend(
            shares
                .into_iter()
                .flatten()
                .map(|t| between(pair[0], pair[1], t)),
        );
    }
    all.extend(rows.last());
    // Rounding must not push the row made for the level cut to the wrong side of it.
    let slack = 1e-9;
    all.into_iter()
        .filter(|r| {
            if q.is_upper() {
                r.up >= cut.up_cm - slack
            } else {
                r.up <= cut.up_cm + slack
            }
        })
        .map(|r| {
            if q.is_far() {
                Row {
                    inner: r.inner.max(cut.across_cm),
                    ..r
                }
            } else {
                Row {
                    outer: r.outer.min(cut.across_cm),
                    ..r
                }
            }
        })
        .filter(|r| r.outer >= r.inner)
        .collect()
}

/// How far along from `a` to `b` the value `at` lies; `None` unless strictly between.
fn share_at(a: f64, b: f64, at: f64) -> Option<f64> {
    ((a < at && at < b) || (b < at && at < a)).then(|| (at - a) / (b - a))
}

fn between(a: Row, b: Row, t: f64) -> Row {
    let mix = |x: f64, y: f64| x + t * (y - x);
    Row {
        up: mix(a.up, b.up),
        inner: mix(a.inner, b.inner),
        outer: mix(a.outer, b.outer),
    }
}
