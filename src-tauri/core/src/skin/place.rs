//! Where a finding lies: an ellipse or a line drawn around it, on its zone's patch.

use crate::body::Patch;
use crate::site::Point;

/// Where a finding lies on its zone's patch; centimetres from the zone's landmark.
#[derive(Debug, Clone, PartialEq)]
pub struct Place(Shape);

/// The shape of a place.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// An ellipse.
    Ellipse {
        /// Its middle.
        centre: Point,
        /// Half its length along its own first axis; centimetres.
        half_across_cm: f64,
        /// Half its length along its own second axis; centimetres.
        half_up_cm: f64,
        /// How far the first axis is turned from `across` towards `up`; degrees.
        turned_degrees: f64,
    },
    /// A line drawn around it, closed from the last point to the first.
    Outline(Vec<Point>),
}

/// Why a place was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PlaceError {
    /// A number that is not one, or farther than any skin reaches.
    #[error("a place on the skin lies within 200 cm of the landmark")]
    OffTheBody,
    /// An axis of nothing or less.
    #[error("a finding has a size above zero")]
    NoSize,
    /// Too few points, or more than anybody draws.
    #[error("an outline has 3 to 500 points")]
    Points,
    /// Its middle is not on the zone's skin.
    #[error("the middle of a finding lies on the skin of its zone; choose the zone it is in")]
    OutsideZone,
    /// Larger than the whole zone.
    #[error("this is larger than the whole zone; check the numbers, which are in millimetres")]
    LargerThanZone,
}

/// No skin is farther from its landmark than this; centimetres.
const FARTHEST_CM: f64 = 200.0;

/// Points of a drawn ellipse.
const RING: u32 = 48;

impl Place {
    /// An ellipse around a middle, each half axis above 0 and at most 200 cm.
    pub fn ellipse(
        centre: Point,
        half_across_cm: f64,
        half_up_cm: f64,
        turned_degrees: f64,
    ) -> Result<Self, PlaceError> {
        let axes = [half_across_cm, half_up_cm];
        if !on_body(centre) || !turned_degrees.is_finite() || axes.iter().any(|a| a.is_nan()) {
            return Err(PlaceError::OffTheBody);
        }
        if axes.iter().any(|a| *a <= 0.0) {
            return Err(PlaceError::NoSize);
        }
        if axes.iter().any(|a| *a > FARTHEST_CM) {
            return Err(PlaceError::OffTheBody);
        }
        Ok(Self(Shape::Ellipse {
            centre,
            half_across_cm,
            half_up_cm,
            turned_degrees,
        }))
    }

    /// Holds a place against the skin of its zone: its middle lies on it, and it is no larger.
    ///
    /// # Errors
    /// [`PlaceError::OutsideZone`], [`PlaceError::LargerThanZone`].
    pub fn fits(&self, patch: &Patch) -> Result<(), PlaceError> {
        if !patch.contains(self.centre()) {
            return Err(PlaceError::OutsideZone);
        }
        if self.area_cm2() > patch.area_cm2() {
            return Err(PlaceError::LargerThanZone);
        }
        Ok(())
    }

    /// Its middle: of an outline the middle of the box around it.
    pub fn centre(&self) -> Point {
        match &self.0 {
            Shape::Ellipse { centre, .. } => *centre,
            Shape::Outline(points) => {
                let middle = |of: fn(&Point) -> f64| {
                    let (low, high) = points
                        .iter()
                        .map(of)
                        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                            (l.min(v), h.max(v))
                        });
                    f64::midpoint(low, high)
                };
                Point {
                    across_cm: middle(|p| p.across_cm),
                    up_cm: middle(|p| p.up_cm),
                }
            }
        }
    }

    /// The skin it covers in square centimetres; of an ellipse exactly.
    pub fn area_cm2(&self) -> f64 {
        use geo::Area;
        match &self.0 {
            Shape::Ellipse {
                half_across_cm,
                half_up_cm,
                ..
            } => std::f64::consts::PI * half_across_cm * half_up_cm,
            Shape::Outline(_) => crate::marked::covered(self).unsigned_area(),
        }
    }

    /// Its edge for drawing, closed: the last point is the first.
    pub fn ring(&self) -> Vec<Point> {
        match &self.0 {
            Shape::Ellipse {
                centre,
                half_across_cm,
                half_up_cm,
                turned_degrees,
            } => {
                let (sin, cos) = turned_degrees.to_radians().sin_cos();
                (0..=RING)
                    .map(|n| {
                        let angle = std::f64::consts::TAU * f64::from(n % RING) / f64::from(RING);
                        let (x, y) = (half_across_cm * angle.cos(), half_up_cm * angle.sin());
                        Point {
                            across_cm: centre.across_cm + x * cos - y * sin,
                            up_cm: centre.up_cm + x * sin + y * cos,
                        }
                    })
                    .collect()
            }
            Shape::Outline(points) => points.iter().chain(points.first()).copied().collect(),
        }
    }

    /// A line drawn around it: 3 to 500 points, crossing itself or not.
    pub fn outline(points: Vec<Point>) -> Result<Self, PlaceError> {
        if !(3..=500).contains(&points.len()) {
            return Err(PlaceError::Points);
        }
        if points.iter().any(|p| !on_body(*p)) {
            return Err(PlaceError::OffTheBody);
        }
        Ok(Self(Shape::Outline(points)))
    }

    /// Its longer and its shorter axis in millimetres: of an outline, the longest way across it and the widest way
    /// square to that.
    pub fn axes_mm(&self) -> (f64, f64) {
        match &self.0 {
            Shape::Ellipse {
                half_across_cm,
                half_up_cm,
                ..
            } => (
                20.0 * half_across_cm.max(*half_up_cm),
                20.0 * half_across_cm.min(*half_up_cm),
            ),
            Shape::Outline(points) => outline_axes_mm(points),
        }
    }

    /// The shape it has.
    pub fn shape(&self) -> &Shape {
        &self.0
    }
}

fn on_body(p: Point) -> bool {
    [p.across_cm, p.up_cm]
        .iter()
        .all(|v| v.is_finite() && v.abs() <= FARTHEST_CM)
}

fn outline_axes_mm(points: &[Point]) -> (f64, f64) {
    let pairs = points
        .iter()
        .enumerate()
        .flat_map(|(n, a)| points[n + 1..].iter().map(move |b| (a, b)));
    let longest = pairs.max_by(|(a, b), (c, d)| a.distance_cm(**b).total_cmp(&c.distance_cm(**d)));
    let Some((a, b)) = longest else {
        return (0.0, 0.0);
    };
    let long = a.distance_cm(*b);
    if long <= 0.0 {
        return (0.0, 0.0);
    }
    let (x, y) = (
        (b.across_cm - a.across_cm) / long,
        (b.up_cm - a.up_cm) / long,
    );
    let square = points.iter().map(|p| p.up_cm * x - p.across_cm * y);
    let (low, high) = square.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    });
    (10.0 * long, 10.0 * (high - low))
}
