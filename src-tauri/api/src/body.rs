//! The body on the screen: the drawing, what a touch on it means, recent use, and a zone unrolled flat.

use chrono::{DateTime, Duration, FixedOffset};
use fallow_core::body::atlas::{self, View};
use fallow_core::body::{Body, Patch};
use fallow_core::medicines::Book;
use fallow_core::person::Sizes;
use fallow_core::rules::{History, Skin, navel_margin};
use fallow_core::site::{Side, Site, Zone};
use fallow_core::skin::Finding;
use fallow_core::use_map::{self as used, ZoneUse};
use fallow_core::{marked, time, words};
use fallow_store::{InjectionEntry, PersonEntry, Reader};

use crate::error::{ApiError, ErrorCode as Code, capital};
use crate::record;
use crate::wire::{
    BodyDrawing, BodyDrawingData, DrawnFinding, DrawnQuadrant, DrawnView, NamedPath, PatchData,
    PatchFinding, PatchGet, PatchMargin, PatchQuadrant, PatchSite, QuadrantRef, QuadrantUse,
    RampStep, SiteAt, SiteAtData, UseMap, UseMapData, XY, ZoneUse as ZoneUseData,
};
use crate::{App, Clock, Now, lower, raise, skin};

/// The person's injections of the year before `at`, newest first.
pub(crate) fn year(
    reader: &Reader<'_>,
    person: &PersonEntry,
    at: DateTime<FixedOffset>,
) -> Result<Vec<InjectionEntry>, ApiError> {
    record::given(reader, person, at - Duration::days(368), at)
}

pub(crate) fn as_of(
    at: Option<&str>,
    person: &PersonEntry,
    now: Now,
) -> Result<DateTime<FixedOffset>, ApiError> {
    let zone = person.person.zone;
    at.map_or_else(
        || Ok(now.at.with_timezone(&zone).fixed_offset()),
        |t| lower::instant(t, zone, now.clock),
    )
}

pub(crate) fn use_map(app: &App, args: &UseMap, now: Now) -> Result<UseMapData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let at = as_of(args.at.as_deref(), &person, now)?;
    let entries = year(&reader, &person, at)?;
    let history = History::of(entries.iter().map(|e| &e.injection), Book::shipped());
    let body = Body::of(&person.person.sizes);
    Ok(UseMapData {
        at: raise::instant(at),
        zones: used::use_map(&history, at).iter().map(zone_use).collect(),
        ramp: ramp(),
        assumed: raise::assumed(&body),
        findings: drawn_findings(&skin::there(&reader, &person.head.root, at)?, &body),
    })
}

fn ramp() -> Vec<RampStep> {
    (0..used::RAMP.len() as u8)
        .map(|step| RampStep {
            step,
            words: used::step_words(step),
        })
        .collect()
}

fn zone_use(zone: &ZoneUse) -> ZoneUseData {
    ZoneUseData {
        zone: zone.zone.code().to_owned(),
        words: zone.zone.words().to_owned(),
        days: zone.days(),
        count_28_days: zone.count_28_days(),
        quadrants: zone
            .quadrants
            .iter()
            .map(|q| QuadrantUse {
                quadrant: q.quadrant.code().to_owned(),
                words: words::quadrant(zone.zone, q.quadrant),
                days: q.days,
                count_28_days: q.count_28_days,
                step: used::step(q.days),
            })
            .collect(),
    }
}

pub(crate) fn site_at(app: &App, args: &SiteAt) -> Result<SiteAtData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let view = View::from_code(&args.view).ok_or_else(|| {
        ApiError::new(
            Code::UnknownView,
            format!("The view is \"front\" or \"back\", not \"{}\".", args.view),
        )
    })?;
    let body = Body::of(&person.person.sizes);
    let Some(tap) = atlas::tap(&body, view, args.x, args.y) else {
        return Ok(SiteAtData {
            words: None,
            zone: None,
            place: None,
            near: Vec::new(),
        });
    };
    let place = match (tap.zone, tap.quadrant, tap.point) {
        (Some(zone), Some(quadrant), point) => Some(raise::place(&Site {
            zone,
            quadrant,
            point,
        })),
        _ => None,
    };
    Ok(SiteAtData {
        words: Some(tap.words),
        zone: tap.zone.map(|z| z.code().to_owned()),
        place,
        near: tap
            .near
            .iter()
            .map(|(zone, quadrant)| QuadrantRef {
                zone: zone.code().to_owned(),
                quadrant: quadrant.code().to_owned(),
                words: words::quadrant(*zone, *quadrant),
            })
            .collect(),
    })
}

pub(crate) fn drawing(app: &App, args: &BodyDrawing) -> Result<BodyDrawingData, ApiError> {
    let sizes = match &args.person {
        Some(id) => record::person(&app.store()?.reader(), id)?.person.sizes,
        None => Sizes::default(),
    };
    let body = Body::of(&sizes);
    Ok(BodyDrawingData {
        outline: atlas::OUTLINE_VERSION,
        views: View::ALL
            .into_iter()
            .map(|view| drawn(&body, view))
            .collect(),
    })
}

fn drawn(body: &Body, view: View) -> DrawnView {
    let drawing = atlas::drawing(view);
    let path = |name: &str, d: &str| NamedPath {
        name: name.to_owned(),
        d: d.to_owned(),
    };
    let (viewer_left, viewer_right) = match view {
        View::Front => ("person's right", "person's left"),
        View::Back => ("person's left", "person's right"),
    };
    let quadrants = Zone::ALL
        .into_iter()
        .flat_map(|zone| zone.quadrants().map(|q| (zone, q)));
    DrawnView {
        view: view.code().to_owned(),
        width: drawing.width,
        height: drawing.height,
        silhouette: vec![
            path("body", &drawing.silhouette),
            path("contour", &drawing.contour),
        ],
        details: drawing
            .lines
            .iter()
            .map(|line| path(line.name, &line.path))
            .collect(),
        zones: Zone::ALL
            .into_iter()
            .filter_map(|z| Some(path(z.code(), &atlas::zone_path(z, view)?)))
            .collect(),
        quadrants: quadrants
            .filter_map(|(zone, quadrant)| {
                let d = atlas::quadrant_path(body, zone, quadrant, view)?;
                let (label_x, label_y) = atlas::quadrant_label(body, zone, quadrant, view)?;
                Some(DrawnQuadrant {
                    zone: zone.code().to_owned(),
                    quadrant: quadrant.code().to_owned(),
                    words: words::quadrant(zone, quadrant),
                    d,
                    label_x,
                    label_y,
                })
            })
            .collect(),
        viewer_left: viewer_left.to_owned(),
        viewer_right: viewer_right.to_owned(),
    }
}

pub(crate) fn patch(app: &App, args: &PatchGet, now: Now) -> Result<PatchData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let zone = lower::zone(&args.zone)?;
    let at = as_of(args.at.as_deref(), &person, now)?;
    let medicine = match &args.order {
        None => None,
        Some(id) => {
            let (_, order) = record::person_and_order(&reader, &args.person, id)?;
            Some(record::medicine(&order.order.medicine)?)
        }
    };
    let entries = year(&reader, &person, at)?;
    let findings = skin::there(&reader, &person.head.root, at)?;
    let book = Book::shipped();
    let history = History::of(entries.iter().map(|e| &e.injection), book);
    let body = Body::of(&person.person.sizes);
    let patch = body.patch(zone);
    let uses = used::use_map(&history, at);
    let zone_use = uses.iter().find(|u| u.zone == zone);
    let rest = medicine.map_or(28.0, |m| m.point_rest_days.value);
    let mut margins = fixed_margins(patch);
    if zone == Zone::Abdomen {
        let navel_margin_cm = record::navel_margin(&reader)?;
        let marked = Skin {
            findings: &findings,
            body: &body,
            history: &history,
            book,
            navel_margin_cm,
        };
        let general = || (navel_margin_cm, book.general.navel_margin_cm.source.clone());
        let (radius_cm, source) = medicine.map_or_else(general, |m| navel_margin(m, &marked));
        let line = vec![XY {
            across_cm: 0.0,
            up_cm: 0.0,
        }];
        margins.insert(
            0,
            PatchMargin {
                name: "navel".to_owned(),
                line,
                radius_cm,
                source,
            },
        );
    }
    let (edge_low, edge_high) = edges(zone);
    let (min_across, min_up, max_across, max_up) = patch.bounds();
    Ok(PatchData {
        zone: zone.code().to_owned(),
        words: zone.words().to_owned(),
        landmark: patch.landmark().to_owned(),
        edge_low: edge_low.to_owned(),
        edge_high: edge_high.to_owned(),
        grows_to_viewer_left: grows_to_viewer_left(zone),
        bounds: [min_across, min_up, max_across, max_up],
        outline: ring(patch.outline()),
        area_cm2: patch.area_cm2(),
        quadrants: zone
            .quadrants()
            .map(|q| {
                let days = zone_use
                    .and_then(|u| u.quadrants.iter().find(|x| x.quadrant == q))
                    .and_then(|u| u.days);
                let unplaced = history.resting(at, 28.0).filter(|p| {
                    p.site.zone == zone && p.site.quadrant == q && p.site.point.is_none()
                });
                PatchQuadrant {
                    quadrant: q.code().to_owned(),
                    words: q.words().to_owned(),
                    outline: ring(patch.quadrant_outline(q)),
                    unplaced_28_days: unplaced.count() as u32,
                    step: used::step(days),
                    days,
                }
            })
            .to_vec(),
        margins,
        sites: entries
            .iter()
            .filter_map(|e| patch_site(e, zone, at, (rest, now.clock)))
            .collect(),
        assumed: raise::measures(&body.assumed_for(zone)),
        findings: findings
            .iter()
            .filter(|f| f.zone == zone)
            .map(|f| patch_finding(f, &body))
            .collect(),
    })
}

/// What the zone's landmarks keep free.
fn fixed_margins(patch: &Patch) -> Vec<PatchMargin> {
    let margins = patch.margins().iter().map(|m| PatchMargin {
        name: m.name.to_owned(),
        line: m
            .line
            .coords()
            .map(|c| XY {
                across_cm: c.x,
                up_cm: c.y,
            })
            .collect(),
        radius_cm: m.radius_cm,
        source: m.source.to_owned(),
    });
    margins.collect()
}

/// Kind, place and size of a finding in words.
fn finding_words(finding: &Finding, body: &Body) -> String {
    let place = words::finding_place(body.patch(finding.zone), &finding.place);
    format!("{}. {place}.", capital(&finding.words()))
}

fn patch_finding(finding: &Finding, body: &Body) -> PatchFinding {
    let centre = finding.place.centre();
    PatchFinding {
        finding: finding.id.clone(),
        kind: finding.kind.code().to_owned(),
        words: finding_words(finding, body),
        ring: skin::ring(&finding.place.ring()),
        keep_off: marked::keep_off_region(finding).iter().map(ring).collect(),
        centre: XY {
            across_cm: centre.across_cm,
            up_cm: centre.up_cm,
        },
    }
}

/// Findings whose middle lies on the drawn skin.
fn drawn_findings(findings: &[Finding], body: &Body) -> Vec<DrawnFinding> {
    let drawn = findings.iter().filter_map(|finding| {
        let patch = body.patch(finding.zone);
        let (view, x, y) = atlas::to_atlas(patch, finding.place.centre())?;
        Some(DrawnFinding {
            finding: finding.id.clone(),
            kind: finding.kind.code().to_owned(),
            words: finding_words(finding, body),
            view: view.code().to_owned(),
            x,
            y,
        })
    });
    drawn.collect()
}

fn patch_site(
    entry: &InjectionEntry,
    zone: Zone,
    at: DateTime<FixedOffset>,
    (rest_days, clock): (f64, Clock),
) -> Option<PatchSite> {
    let given = &entry.injection;
    let point = given.site.point.filter(|_| given.site.zone == zone)?;
    let days = (at.date_naive() - given.day()).num_days().max(0) as u32;
    let ago = match days {
        0 => "today".to_owned(),
        1 => "1 day ago".to_owned(),
        n => format!("{n} days ago"),
    };
    let name = Book::shipped()
        .medicine(&given.medicine)
        .map_or(given.medicine.as_str(), |m| m.name.as_str());
    let place = words::site(&given.site, words::Listener::Record);
    Some(PatchSite {
        injection: given.id.clone(),
        point: XY {
            across_cm: point.across_cm,
            up_cm: point.up_cm,
        },
        days,
        step: used::step(Some(days)),
        words: format!(
            "{place}. {name}, {ago}, {}",
            time::words(given.given_at, entry.zone, clock)
        ),
        resting: f64::from(days) < rest_days,
    })
}

fn ring(polygon: &geo::Polygon<f64>) -> Vec<XY> {
    polygon
        .exterior()
        .coords()
        .map(|c| XY {
            across_cm: c.x,
            up_cm: c.y,
        })
        .collect()
}

/// The words at the edges where `across` is least and greatest.
fn edges(zone: Zone) -> (&'static str, &'static str) {
    match zone {
        Zone::Abdomen => ("person's right", "person's left"),
        _ => ("inner", "outer"),
    }
}

/// Somebody facing the skin sees the person's left at their right on the front, at their left on the back.
fn grows_to_viewer_left(zone: Zone) -> bool {
    let back = matches!(
        zone,
        Zone::LeftArm | Zone::RightArm | Zone::LeftButtock | Zone::RightButtock
    );
    (zone.across_grows() == Side::Left) == back
}
