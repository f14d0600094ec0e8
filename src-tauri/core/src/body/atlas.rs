//! The atlas: the drawing of a body that people tap, and the way from it to a zone's patch and back.
//!
//! Coordinates are the drawing's own (`width` by `height`, down is greater). Left and right are the person's
//! throughout: from the front the person's right is on the viewer's left. Not here: colours and screens.

use std::fmt::Write as _;
use std::sync::LazyLock;

use geo::{Centroid, Contains, Distance, Euclidean, LineString, Polygon};

use super::artwork;
use super::faces::{direction, face};
use super::figure;
use super::{Body, Patch};
use crate::person::Sizes;
use crate::site::{Point, Quadrant, Side, Zone};

/// Version of the drawing's coordinates; it changes whenever a stored place on the drawing would move.
pub const OUTLINE_VERSION: u32 = 1;

/// How far a fingertip lands from where it was meant to, in the drawing's units: 3.4 mm, which is 21 pixels
/// (Sultana & Moffatt 2019, ACM TACCESS, doi 10.1145/3300178) on a drawing 360 pixels wide.
const FINGER: f64 = 21.0;

/// Which side of the body a drawing shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum View {
    /// The person faces the viewer.
    Front,
    /// The person faces away.
    Back,
}

impl View {
    /// Both, front first.
    pub const ALL: [Self; 2] = [Self::Front, Self::Back];

    /// `front` or `back`.
    pub fn code(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Back => "back",
        }
    }

    /// Reads [`View::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.code() == text)
    }
}

/// One view of the body as SVG path data.
#[derive(Debug)]
pub struct Drawing {
    /// Width of the view box.
    pub width: f64,
    /// Height of the view box.
    pub height: f64,
    /// The closed outline, to be filled.
    pub silhouette: String,
    /// The same outline without the straight cuts below the knees, to be drawn as a line.
    pub contour: String,
    /// Quiet lines that help to find one's way.
    pub lines: Vec<Line>,
}

/// A quiet line of the drawing.
#[derive(Debug)]
pub struct Line {
    /// What it shows: `navel`, `kneecap`, `spine`.
    pub name: &'static str,
    /// SVG path data.
    pub path: String,
}

/// The drawing of one view.
pub fn drawing(view: View) -> &'static Drawing {
    static FRONT: LazyLock<Drawing> = LazyLock::new(|| draw(View::Front));
    static BACK: LazyLock<Drawing> = LazyLock::new(|| draw(View::Back));
    match view {
        View::Front => &FRONT,
        View::Back => &BACK,
    }
}

/// One quadrant's allowed skin on the drawing (the navel's margin, a rule's choice, not taken off); `None` on the
/// view that does not show the zone, and where the margins leave no skin.
pub fn quadrant_path(body: &Body, zone: Zone, q: Quadrant, view: View) -> Option<String> {
    let (face, patch) = (face(zone), body.patch(zone));
    let allowed = patch.allowed_outline(q);
    (face.view == view && !allowed.0.is_empty()).then(|| {
        allowed
            .iter()
            .map(|part| path(&face.ring(patch, part.exterior())))
            .collect()
    })
}

/// Where one quadrant's number is written: the middle of [`quadrant_path`]'s skin, and `None` with it.
pub fn quadrant_label(body: &Body, zone: Zone, q: Quadrant, view: View) -> Option<(f64, f64)> {
    let patch = body.patch(zone);
    let middle = patch.allowed_outline(q).centroid()?;
    let (on, x, y) = to_atlas(
        patch,
        Point {
            across_cm: middle.x(),
            up_cm: middle.y(),
        },
    )?;
    (on == view).then_some((x, y))
}

/// One zone on the drawing, its margins included; `None` on the view that does not show it. It is the same for
/// everybody.
pub fn zone_path(zone: Zone, view: View) -> Option<String> {
    static REFERENCE: LazyLock<Body> = LazyLock::new(|| Body::of(&Sizes::default()));
    let (face, patch) = (face(zone), REFERENCE.patch(zone));
    (face.view == view).then(|| path(&face.ring(patch, patch.outline().exterior())))
}

/// From a patch to the drawing; `None` for a point outside the zone.
pub fn to_atlas(patch: &Patch, p: Point) -> Option<(View, f64, f64)> {
    let face = face(patch.zone());
    face.place(patch, p).map(|(x, y)| (face.view, x, y))
}

/// From the drawing to the zone and point there; `None` where no zone is.
pub fn to_patch(body: &Body, view: View, x: f64, y: f64) -> Option<(Zone, Point)> {
    Zone::ALL
        .into_iter()
        .filter(|&z| face(z).view == view)
        .find_map(|z| face(z).find(body.patch(z), x, y).map(|p| (z, p)))
}

/// What was tapped.
#[derive(Debug, Clone, PartialEq)]
pub struct Tap {
    /// The part of the body: `thigh`, `forearm`, `chest`.
    pub part: &'static str,
    /// The person's side; `None` for parts that there is one of.
    pub side: Option<Side>,
    /// Both in words: `right thigh (person's right)`.
    pub words: String,
    /// The zone, where the tap is in one.
    pub zone: Option<Zone>,
    /// The quadrant, likewise.
    pub quadrant: Option<Quadrant>,
    /// The point on the zone's patch, likewise.
    pub point: Option<Point>,
    /// Other quadrants that a fingertip's width may have meant; where there are any, ask.
    pub near: Vec<(Zone, Quadrant)>,
}

/// What a tap on the drawing means; `None` off the body, and for anything that is not a number.
pub fn tap(body: &Body, view: View, x: f64, y: f64) -> Option<Tap> {
    if !x.is_finite() || !y.is_finite() {
        return None;
    }
    let hit = to_patch(body, view, x, y);
    let (zone, point) = (hit.map(|h| h.0), hit.map(|h| h.1));
    let quadrant = hit.map(|(z, p)| body.patch(z).quadrant_of(p));
    let place = geo::Point::new(x, y);
    if hit.is_none() && !on_body(x, y) {
        return None;
    }
    let off = x - artwork::WIDTH / 2.0;
    let viewers_right = if direction(view, Side::Left) > 0.0 {
        Side::Left
    } else {
        Side::Right
    };
    let here = if off >= 0.0 {
        viewers_right
    } else {
        viewers_right.other()
    };
    let (part, paired) = match zone {
        Some(Zone::Abdomen) => ("abdomen", false),
        Some(Zone::LeftThigh | Zone::RightThigh) => ("thigh", true),
        Some(Zone::LeftArm | Zone::RightArm) => ("upper arm", true),
        Some(Zone::LeftButtock | Zone::RightButtock) => ("buttock", true),
        None => figure::part(view, off.abs(), y),
    };
    let side = paired.then_some(here);
    let words = side.map_or_else(
        || part.to_owned(),
        |s| format!("{0} {part} (person's {0})", s.word()),
    );
    let near = near(body, view, &place, zone.zip(quadrant));
    Some(Tap {
        part,
        side,
        words,
        zone,
        quadrant,
        point,
        near,
    })
}

/// Quadrants within a finger of a place, but for the one it is in.
fn near(
    body: &Body,
    view: View,
    place: &geo::Point<f64>,
    hit: Option<(Zone, Quadrant)>,
) -> Vec<(Zone, Quadrant)> {
    let shown = Zone::ALL.into_iter().filter(|&z| face(z).view == view);
    shown
        .flat_map(|z| z.quadrants().map(|q| (z, q)))
        .filter(|&(z, q)| hit != Some((z, q)))
        .filter(|&(z, q)| Euclidean.distance(place, &drawn(body.patch(z), q)) <= FINGER)
        .collect()
}

/// A whole quadrant on the drawing, its margins included.
fn drawn(patch: &Patch, q: Quadrant) -> Polygon<f64> {
    ring(face(patch.zone()).ring(patch, patch.quadrant_outline(q).exterior()))
}

fn ring(points: Vec<(f64, f64)>) -> Polygon<f64> {
    Polygon::new(LineString::from(points), Vec::new())
}

/// Whether a place is on the body rather than beside it; the outline is the same from both sides.
pub(super) fn on_body(x: f64, y: f64) -> bool {
    static RING: LazyLock<Polygon<f64>> = LazyLock::new(|| ring(figure::ring()));
    RING.contains(&geo::Point::new(x, y))
}

fn path(points: &[(f64, f64)]) -> String {
    let mut d = String::new();
    for (i, (x, y)) in points.iter().enumerate() {
        let _ = write!(d, "{}{x:.1} {y:.1}", if i == 0 { "M" } else { "L" });
    }
    d.push('Z');
    d
}

fn draw(view: View) -> Drawing {
    Drawing {
        width: artwork::WIDTH,
        height: artwork::HEIGHT,
        silhouette: figure::silhouette(),
        contour: figure::contour(),
        lines: figure::lines(view)
            .into_iter()
            .map(|(name, path)| Line { name, path })
            .collect(),
    }
}
