//! Findings: marked, looked at again, healed or removed, withdrawn; and which are there at a moment.

mod told;

use chrono::{DateTime, FixedOffset};
use fallow_core::body::Body;
use fallow_core::site::Point;
use fallow_core::skin::{
    Course, CourseError, Feel, Finding, FindingKind, Look, Noticed, Place, PlaceError, Seen,
    Standing,
};
use fallow_store::{FindingEntry, Found, Kind, LookOf, NewHead, PersonEntry, Reader, StoreError};

use crate::error::{ApiError, ErrorCode as Code};
use crate::terms::one_of;
use crate::wire::{
    FindingData, FindingKindData, FindingList, FindingListData, FindingLook, FindingRecord,
    PlaceWire, SkinWithdraw, XY,
};
use crate::{App, Now, body, lower, record};

use told::data;
pub(crate) use told::{reason_of, ring, words};

/// What a screen measures an axis in is millimetres; the core, half axes in centimetres.
const MM_OF_HALF_CM: f64 = 20.0;
/// The longest axis anybody marks, in millimetres; the store takes more.
const LONGEST_MM: f64 = 400.0;

pub(crate) fn record(
    app: &mut App,
    args: &FindingRecord,
    now: Now,
) -> Result<Box<FindingData>, ApiError> {
    let id = lower::id(&args.id)?;
    let by = lower::text("who looked", &args.recorder, 200)?;
    let note = lower::some_text("the note", args.note.as_deref(), 2000)?;
    app.store_mut()?.transact(|tx| {
        let person = record::person(tx, &args.person)?;
        let kind = one_of(&args.kind, &FindingKind::ALL, FindingKind::code)?;
        if kind == FindingKind::Other && note.is_none() {
            return Err(ApiError::new(
                Code::BadText,
                "Write what it is in the note.",
            ));
        }
        let zone = lower::zone(&args.zone)?;
        let at = lower::given_at(&args.at, person.person.zone, person.person.born, now)?;
        let place = place(&args.place)?;
        let body = Body::of(&person.person.sizes);
        place.fits(body.patch(zone)).map_err(|e| misplaced(&e))?;
        let look = Look {
            id: id.clone(),
            at,
            by: by.clone(),
            seen: Seen::There {
                place,
                noticed: noticed(&args.noticed)?,
                feel: feel(args.feel.as_deref(), kind)?,
            },
            note: note.clone(),
        };
        let found = Found {
            kind,
            zone,
            margin_cm: kind.usual_margin().clone(),
            wear_days: args.wear_days,
        };
        let course = Course::new(
            id.clone(),
            kind,
            zone,
            found.margin_cm.clone(),
            found.wear_days,
            vec![look.clone()],
        );
        course.map_err(no_course)?;
        save(tx, &person, &id, (&LookOf::Found(found), &look), now)?;
        told(tx, &person, &id, now)
    })
}

pub(crate) fn look(
    app: &mut App,
    args: &FindingLook,
    now: Now,
) -> Result<Box<FindingData>, ApiError> {
    let id = lower::id(&args.id)?;
    let by = lower::text("who looked", &args.recorder, 200)?;
    let note = lower::some_text("the note", args.note.as_deref(), 2000)?;
    app.store_mut()?.transact(|tx| {
        let first = the_finding(tx, &args.finding)?;
        let person = record::person(tx, &first.person)?;
        let finding = first.head.root.clone();
        let known = courses(&tx.findings(&person.head.root)?)
            .into_iter()
            .find(|k| k.course.id == finding)
            .ok_or_else(|| unknown(&args.finding))?;
        let at = lower::given_at(&args.at, person.person.zone, person.person.born, now)?;
        let look = Look {
            id: id.clone(),
            at,
            by: by.clone(),
            seen: seen(args, &known.course, &person)?,
            note: note.clone(),
        };
        // What was saved under this id already is answered as it was, before it is held against itself.
        if tx.entry_kind(&id)?.is_none() {
            known.with(look.clone()).map_err(no_course)?;
        }
        let of = LookOf::Again(finding.clone());
        save(tx, &person, &id, (&of, &look), now)?;
        told(tx, &person, &finding, now)
    })
}

fn seen(args: &FindingLook, course: &Course, person: &PersonEntry) -> Result<Seen, ApiError> {
    let there = args.state == "there";
    let sent = [
        args.place.is_some(),
        args.noticed.is_some(),
        args.feel.is_some(),
    ];
    if !there && sent.contains(&true) {
        return Err(ApiError::new(
            Code::BadRequest,
            "What is gone has no place, size or feel. Leave them out, or say that it is there.",
        ));
    }
    match args.state.as_str() {
        "healed" => Ok(Seen::Healed),
        "removed" => Ok(Seen::Removed),
        "there" => {
            let wire = args.place.as_ref().ok_or_else(|| {
                ApiError::new(Code::BadPlace, "Say where it is and how large it is now.")
            })?;
            let place = place(wire)?;
            let body = Body::of(&person.person.sizes);
            place
                .fits(body.patch(course.zone))
                .map_err(|e| misplaced(&e))?;
            Ok(Seen::There {
                place,
                noticed: noticed(args.noticed.as_deref().unwrap_or(""))?,
                feel: feel(args.feel.as_deref(), course.kind)?,
            })
        }
        other => Err(crate::terms::not_one_of(
            other,
            &["there", "healed", "removed"],
        )),
    }
}

/// Appends a look, unless the same one is there already.
fn save(
    tx: &fallow_store::Tx<'_>,
    person: &PersonEntry,
    id: &str,
    (of, look): (&LookOf, &Look),
    now: Now,
) -> Result<(), ApiError> {
    if tx.entry_kind(id)?.is_some() {
        let same = tx.look(id)?.is_some_and(|e| {
            e.look == *look && e.person == person.head.root && !e.withdrawn && e.of == *of
        });
        return if same {
            Ok(())
        } else {
            Err(StoreError::IdReused.into())
        };
    }
    let head = record::head(id.to_owned(), Some(look.by.clone()), None, now);
    tx.add_look(
        &head,
        &person.head.root,
        (of, look),
        person.person.zone,
        false,
    )?;
    Ok(())
}

pub(crate) fn withdraw(
    app: &mut App,
    args: &SkinWithdraw,
    now: Now,
) -> Result<Option<Box<FindingData>>, ApiError> {
    let id = lower::id(&args.id)?;
    let replaces = lower::id(&args.replaces)?;
    let reason = lower::text("why", &args.reason, 500)?;
    let recorder = lower::text("who withdraws it", &args.recorder, 200)?;
    app.store_mut()?.transact(|tx| {
        let old = tx.look(&replaces)?.ok_or_else(|| unknown(&replaces))?;
        let person = record::person(tx, &old.person)?;
        let finding = old.finding().to_owned();
        let again = tx.entry_kind(&id)? == Some(Kind::Finding)
            && tx.look(&id)?.is_some_and(|e| {
                e.withdrawn && e.head.supersedes.as_deref() == Some(replaces.as_str())
            });
        if !again {
            if old.withdrawn {
                return Err(StoreError::AlreadySuperseded.into());
            }
            let head = NewHead {
                supersedes: Some(replaces.clone()),
                ..record::head(id.clone(), Some(recorder), Some(reason), now)
            };
            let look = Look {
                id: id.clone(),
                ..old.look.clone()
            };
            tx.add_look(&head, &person.head.root, (&old.of, &look), old.zone, true)?;
        }
        let left = all(tx, &person, now.at, now)?;
        Ok(left.into_iter().find(|f| f.id == finding).map(Box::new))
    })
}

pub(crate) fn list(app: &App, args: &FindingList, now: Now) -> Result<FindingListData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let at = body::as_of(args.at.as_deref(), &person, now)?;
    let body = Body::of(&person.person.sizes);
    let entries = reader.findings(&person.head.root)?;
    let until = entries.iter().rev().filter(|e| e.look.at <= at);
    Ok(FindingListData {
        findings: all(&reader, &person, at, now)?,
        withdrawn: until
            .filter_map(|e| told::withdrawn(e, &body, now))
            .collect(),
        kinds: FindingKind::ALL
            .iter()
            .map(|kind| FindingKindData {
                kind: kind.code().to_owned(),
                words: kind.words().to_owned(),
                device: kind.is_device(),
                margin_cm: kind.usual_margin().value,
                margin_source: kind.usual_margin().source.clone(),
            })
            .collect(),
    })
}

/// The findings that are on a person's skin at a moment.
pub(crate) fn there(
    reader: &Reader<'_>,
    person: &str,
    at: DateTime<FixedOffset>,
) -> Result<Vec<Finding>, ApiError> {
    let courses = courses_of(reader, person)?;
    Ok(courses.iter().filter_map(|c| c.there(at)).collect())
}

/// The courses of a person's findings.
pub(crate) fn courses_of(reader: &Reader<'_>, person: &str) -> Result<Vec<Course>, ApiError> {
    let known = courses(&reader.findings(person)?);
    Ok(known.into_iter().map(|k| k.course).collect())
}

/// A finding of the record: its course, and every entry about it.
struct Known {
    course: Course,
    entries: Vec<FindingEntry>,
}

impl Known {
    /// Its course with one more look.
    fn with(&self, look: Look) -> Result<Course, CourseError> {
        let looks = self.course.looks().iter().cloned().chain([look]).collect();
        let c = &self.course;
        Course::new(
            c.id.clone(),
            c.kind,
            c.zone,
            c.margin_cm.clone(),
            c.wear_days,
            looks,
        )
    }
}

/// Looks of one person, put together by finding. A finding whose first look was withdrawn is withdrawn with it.
fn courses(entries: &[FindingEntry]) -> Vec<Known> {
    let mut known: Vec<Known> = Vec::new();
    for first in entries.iter().filter(|e| !e.withdrawn) {
        let LookOf::Found(found) = &first.of else {
            continue;
        };
        let of_it: Vec<FindingEntry> = entries
            .iter()
            .filter(|e| e.finding() == first.head.root)
            .cloned()
            .collect();
        let mut looks: Vec<Look> = of_it
            .iter()
            .filter(|e| !e.withdrawn)
            .map(|e| e.look.clone())
            .collect();
        // Two devices may each have recorded an end before they met: then the earliest looks that make a course count.
        let course = loop {
            let made = Course::new(
                first.head.root.clone(),
                found.kind,
                found.zone,
                found.margin_cm.clone(),
                found.wear_days,
                looks.clone(),
            );
            match made {
                Ok(course) => break Some(course),
                Err(_) if looks.len() > 1 => looks.truncate(looks.len() - 1),
                Err(_) => break None,
            }
        };
        known.extend(course.map(|course| Known {
            course,
            entries: of_it,
        }));
    }
    known
}

/// Every finding as it stands at a moment: those that are there first, the newest first.
fn all(
    reader: &Reader<'_>,
    person: &PersonEntry,
    at: DateTime<FixedOffset>,
    now: Now,
) -> Result<Vec<FindingData>, ApiError> {
    let body = Body::of(&person.person.sizes);
    let mut known = courses(&reader.findings(&person.head.root)?);
    known.retain(|k| k.course.standing(at) != Standing::NotYet);
    known.sort_by(|a, b| {
        let rank = |k: &Known| k.course.standing(at) != Standing::There;
        rank(a)
            .cmp(&rank(b))
            .then(b.course.found_at().cmp(&a.course.found_at()))
            .then(b.course.id.cmp(&a.course.id))
    });
    Ok(known
        .iter()
        .map(|k| data(k, person, &body, at, now))
        .collect())
}

/// One finding as it stands now.
fn told(
    reader: &Reader<'_>,
    person: &PersonEntry,
    finding: &str,
    now: Now,
) -> Result<Box<FindingData>, ApiError> {
    let all = all(reader, person, now.at, now)?;
    let found = all.into_iter().find(|f| f.id == finding);
    found.map(Box::new).ok_or_else(|| unknown(finding))
}

/// A place as sent.
fn place(wire: &PlaceWire) -> Result<Place, ApiError> {
    let point = |xy: &XY| Point {
        across_cm: xy.across_cm,
        up_cm: xy.up_cm,
    };
    let ellipse = (wire.centre.as_ref(), wire.length_mm, wire.width_mm);
    let made = match (ellipse, &wire.outline) {
        ((None, None, None), Some(points)) if wire.turned_degrees.is_none() => {
            Place::outline(points.iter().map(point).collect())
        }
        ((Some(centre), Some(length), Some(width)), None) => {
            if [length, width].iter().any(|mm| *mm > LONGEST_MM) {
                return Err(ApiError::new(
                    Code::BadPlace,
                    "A finding is at most 400 mm long. Check the number: it is in millimetres.",
                ));
            }
            let turned = wire.turned_degrees.unwrap_or(0.0) % 360.0;
            Place::ellipse(
                point(centre),
                length / MM_OF_HALF_CM,
                width / MM_OF_HALF_CM,
                turned,
            )
        }
        _ => {
            return Err(ApiError::new(
                Code::BadPlace,
                "Give the middle with length and width in millimetres, or an outline; not both.",
            ));
        }
    };
    made.map_err(|e| misplaced(&e))
}

fn misplaced(error: &PlaceError) -> ApiError {
    ApiError::said(Code::BadPlace, error)
}

fn no_course(error: CourseError) -> ApiError {
    let code = match error {
        CourseError::BeforeFound => Code::BeforeFound,
        CourseError::EndedAlready => Code::FindingEnded,
        CourseError::DeviceHealed | CourseError::WearTime => Code::BadDevice,
    };
    ApiError::said(code, &error)
}

fn noticed(code: &str) -> Result<Noticed, ApiError> {
    let all = [Noticed::Seen, Noticed::Felt, Noticed::SeenAndFelt];
    one_of(code, &all, Noticed::code)
}

/// How a lump feels; nothing else is soft or firm.
fn feel(code: Option<&str>, kind: FindingKind) -> Result<Option<Feel>, ApiError> {
    match code {
        None => Ok(None),
        Some(code) if kind == FindingKind::Lump => {
            one_of(code, &[Feel::Soft, Feel::Firm], Feel::code).map(Some)
        }
        Some(_) => Err(ApiError::new(
            Code::BadCode,
            "Only a lump is soft or firm. Leave it out, or write it in the note.",
        )),
    }
}

/// The entry that found something.
fn the_finding(reader: &Reader<'_>, id: &str) -> Result<FindingEntry, ApiError> {
    let entry = reader.look(&lower::id(id)?)?;
    entry
        .filter(|e| matches!(e.of, LookOf::Found(_)) && e.head.supersedes.is_none())
        .ok_or_else(|| unknown(id))
}

fn unknown(id: &str) -> ApiError {
    ApiError::new(
        Code::UnknownFinding,
        format!("There is no finding \"{id}\" that counts. Choose one from the person's skin."),
    )
}
