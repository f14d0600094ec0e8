//! A finding in words and numbers: how it stands, each look, how it changed. Nothing is decided here.

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use fallow_core::body::Body;
use fallow_core::site::{Point, Site, Zone};
use fallow_core::skin::{Course, Feel, Noticed, Place, Seen, Shape, Standing};
use fallow_core::time;
use fallow_core::words::millimetres;
use fallow_store::{FindingEntry, Head, LookOf, PersonEntry};

use super::{Known, MM_OF_HALF_CM};
use crate::wire::{FindingData, LookData, PlaceWire, SiteData, WithdrawnFinding, XY};
use crate::{Now, raise};

pub(super) fn data(
    known: &Known,
    person: &PersonEntry,
    body: &Body,
    at: DateTime<FixedOffset>,
    now: Now,
) -> FindingData {
    let course = &known.course;
    let zone = person.person.zone;
    let last = course
        .looks()
        .iter()
        .rev()
        .filter(|l| l.at <= at)
        .find_map(|l| match &l.seen {
            Seen::There { place, feel, .. } => Some((place, *feel)),
            Seen::Healed | Seen::Removed => None,
        });
    let (place, feel) = last.unwrap_or_else(|| first_place(course));
    let standing = course.standing(at);
    FindingData {
        id: course.id.clone(),
        person: person.head.root.clone(),
        kind: course.kind.code().to_owned(),
        kind_words: course.kind.felt(feel),
        zone: course.zone.code().to_owned(),
        zone_words: course.zone.words().to_owned(),
        place: place_data(course.zone, place, body),
        shape: shape(place),
        ring: ring(&place.ring()),
        device: course.kind.is_device(),
        margin_cm: course.margin_cm.value,
        margin_source: course.margin_cm.source.clone(),
        state: standing.code().to_owned(),
        state_words: standing_words(standing, course, zone, now),
        until_words: course.wears_out_at().map(|end| words(end, zone, now)),
        looks: known.entries.iter().map(|e| look_data(e, now)).collect(),
        change_words: change_words(course, at, zone),
    }
}

/// A course begins with a look that says where.
fn first_place(course: &Course) -> (&Place, Option<Feel>) {
    match &course.looks()[0].seen {
        Seen::There { place, feel, .. } => (place, *feel),
        Seen::Healed | Seen::Removed => unreachable!("a course begins where it was found"),
    }
}

pub(crate) fn words(at: DateTime<FixedOffset>, zone: Tz, now: Now) -> String {
    time::words(at, zone, now.clock)
}

fn standing_words(standing: Standing, course: &Course, zone: Tz, now: Now) -> String {
    match standing {
        Standing::NotYet => format!("Found {}.", words(course.found_at(), zone, now)),
        Standing::There => format!("There since {}.", words(course.found_at(), zone, now)),
        Standing::Healed(when) => format!("Healed: {}.", words(when, zone, now)),
        Standing::Removed(when) => format!("Removed: {}.", words(when, zone, now)),
        Standing::WornOut(when) => format!("Its wear time ended {}.", words(when, zone, now)),
    }
}

fn change_words(course: &Course, at: DateTime<FixedOffset>, zone: Tz) -> Option<String> {
    let sizes: Vec<String> = course
        .sizes()
        .iter()
        .filter(|s| s.at <= at)
        .map(|s| {
            let day = time::day_words(time::day_in(s.at, zone));
            format!("{} on {day}", millimetres(s.long_mm, s.short_mm))
        })
        .collect();
    (sizes.len() > 1).then(|| format!("{}.", sizes.join(", ")))
}

fn look_data(entry: &FindingEntry, now: Now) -> LookData {
    let look = &entry.look;
    let (state, place, how, feel) = match &look.seen {
        Seen::There {
            place,
            noticed,
            feel,
        } => ("there", Some(place), Some(*noticed), *feel),
        Seen::Healed => ("healed", None, None, None),
        Seen::Removed => ("removed", None, None, None),
    };
    let axes = place.map(Place::axes_mm);
    let said = match (state, how) {
        ("there", Some(how)) => {
            let how = match how {
                Noticed::Seen => "Seen",
                Noticed::Felt => "Felt",
                Noticed::SeenAndFelt => "Seen and felt",
            };
            let feel = feel.map_or_else(String::new, |f| format!(", {}", f.code()));
            let size = axes.map_or_else(String::new, |(a, b)| millimetres(a, b));
            format!("{how}{feel}: {size}.")
        }
        ("healed", _) => "Healed: nothing is left of it.".to_owned(),
        _ => "Removed.".to_owned(),
    };
    LookData {
        id: look.id.clone(),
        at: raise::instant(look.at),
        at_words: words(look.at, entry.zone, now),
        recorder: look.by.clone(),
        state: state.to_owned(),
        long_mm: axes.map(|(long, _)| long),
        short_mm: axes.map(|(_, short)| short),
        noticed: how.map(|n| n.code().to_owned()),
        feel: feel.map(|f| f.code().to_owned()),
        note: look.note.clone(),
        words: said,
        withdrawn: entry.withdrawn.then(|| reason_of(&entry.head)),
        withdrawn_by: entry.withdrawn.then(|| withdrawn_by(entry, now)),
    }
}

/// Who withdrew an entry, and when.
fn withdrawn_by(entry: &FindingEntry, now: Now) -> String {
    let by = entry.head.recorder.as_deref().unwrap_or("nobody named");
    format!("{by}, {}", words(entry.head.recorded_at, entry.zone, now))
}

/// A finding that was entered in error; `None` for an entry that counts, or that did not find anything.
pub(super) fn withdrawn(entry: &FindingEntry, body: &Body, now: Now) -> Option<WithdrawnFinding> {
    let (LookOf::Found(found), true) = (&entry.of, entry.withdrawn) else {
        return None;
    };
    let Seen::There { place, feel, .. } = &entry.look.seen else {
        return None;
    };
    Some(WithdrawnFinding {
        id: entry.head.root.clone(),
        kind: found.kind.code().to_owned(),
        kind_words: found.kind.felt(*feel),
        place: place_data(found.zone, place, body),
        look: look_data(entry, now),
    })
}

fn place_data(zone: Zone, place: &Place, body: &Body) -> SiteData {
    let centre = place.centre();
    raise::place(&Site {
        zone,
        quadrant: body.patch(zone).quadrant_of(centre),
        point: Some(centre),
    })
}

/// Why an entry was withdrawn.
pub(crate) fn reason_of(head: &Head) -> String {
    head.reason
        .clone()
        .unwrap_or_else(|| "no reason known".to_owned())
}

pub(crate) fn ring(points: &[Point]) -> Vec<XY> {
    points
        .iter()
        .map(|p| XY {
            across_cm: p.across_cm,
            up_cm: p.up_cm,
        })
        .collect()
}

fn shape(place: &Place) -> PlaceWire {
    match place.shape() {
        Shape::Ellipse {
            centre,
            half_across_cm,
            half_up_cm,
            turned_degrees,
        } => PlaceWire {
            centre: Some(XY {
                across_cm: centre.across_cm,
                up_cm: centre.up_cm,
            }),
            length_mm: Some(half_across_cm * MM_OF_HALF_CM),
            width_mm: Some(half_up_cm * MM_OF_HALF_CM),
            turned_degrees: Some(*turned_degrees),
            outline: None,
        },
        Shape::Outline(points) => PlaceWire {
            centre: None,
            length_mm: None,
            width_mm: None,
            turned_degrees: None,
            outline: Some(ring(points)),
        },
    }
}
