//! Findings and skin checks: how they get in and come out.
//!
//! A look is never changed: one made in error is withdrawn by an entry that supersedes it. Not here: which looks make
//! a course ([`fallow_core::skin::Course`]).

use chrono_tz::Tz;
use fallow_core::medicines::Sourced;
use fallow_core::site::{Point, Zone};
use fallow_core::skin::{
    Feel, FindingKind, Look, NeedleUses, Noticed, Place, Seen, Shape, SkinCheck, ZoneSeen,
};
use rusqlite::{Row, params};

use crate::entries::{FindingEntry, Found, Head, Kind, LookOf, NewHead, SkinCheckEntry};
use crate::error::StoreError;
use crate::query::{CURRENT, Reader};
use crate::rows::{self, HEAD, instant, time_zone, unreadable};
use crate::write::{Tx, filled, finite, instant_parts, status};

type Result<T> = std::result::Result<T, StoreError>;

/// The columns of a look, after a head.
const FINDING: &str = "f.person, f.found_by, f.finding_kind, f.zone, f.margin_cm, f.margin_source, f.wear_days, \
    f.state, f.centre_across_cm, f.centre_up_cm, f.half_across_cm, f.half_up_cm, f.turned_degrees, f.outline, \
    f.noticed, f.feel, f.at_utc_ms, f.at_offset_min, f.at_zone, f.looked_by, f.note, f.status";
/// The columns of a skin check, after a head.
const SKIN_CHECK: &str = "c.person, c.at_utc_ms, c.at_offset_min, c.at_zone, c.looked_by, c.zones, c.needle_uses, \
    c.insulin_since, c.unexplained_lows, c.note, c.status";

impl Reader<'_> {
    /// Every look at every finding of a person as it stands now, the earliest first; one that was withdrawn comes as the
    /// entry that withdraws it.
    pub fn findings(&self, person: &str) -> Result<Vec<FindingEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {FINDING} FROM finding_entry f CROSS JOIN entry e ON e.seq = f.seq \
             WHERE f.person = ?1 AND {CURRENT} ORDER BY f.at_utc_ms, f.seq"
        );
        self.all(&sql, [person], finding)
    }

    /// The look with exactly this id, superseded or not.
    pub fn look(&self, id: &str) -> Result<Option<FindingEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {FINDING} FROM entry e JOIN finding_entry f ON f.seq = e.seq WHERE e.id = ?1"
        );
        self.one(&sql, [id], finding)
    }

    /// A person's skin checks as they stand now, the newest first; one that was withdrawn comes as the entry that
    /// withdraws it.
    pub fn skin_checks(&self, person: &str) -> Result<Vec<SkinCheckEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {SKIN_CHECK} FROM skin_check_entry c CROSS JOIN entry e ON e.seq = c.seq \
             WHERE c.person = ?1 AND {CURRENT} ORDER BY c.at_utc_ms DESC, c.seq DESC"
        );
        self.all(&sql, [person], skin_check)
    }

    /// The skin check with exactly this id, superseded or not.
    pub fn skin_check(&self, id: &str) -> Result<Option<SkinCheckEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {SKIN_CHECK} FROM entry e JOIN skin_check_entry c ON c.seq = e.seq WHERE e.id = ?1"
        );
        self.one(&sql, [id], skin_check)
    }
}

/// The place of a look as columns have it.
#[derive(Default)]
struct PlaceColumns {
    centre: Option<Point>,
    half_across_cm: Option<f64>,
    half_up_cm: Option<f64>,
    turned_degrees: Option<f64>,
    outline: Option<String>,
}

impl PlaceColumns {
    fn of(place: &Place) -> Self {
        match place.shape() {
            Shape::Ellipse {
                centre,
                half_across_cm,
                half_up_cm,
                turned_degrees,
            } => Self {
                centre: Some(*centre),
                half_across_cm: Some(*half_across_cm),
                half_up_cm: Some(*half_up_cm),
                turned_degrees: Some(*turned_degrees),
                outline: None,
            },
            Shape::Outline(points) => {
                let pairs: serde_json::Value = points
                    .iter()
                    .map(|p| serde_json::json!([p.across_cm, p.up_cm]))
                    .collect();
                Self {
                    outline: Some(pairs.to_string()),
                    ..Self::default()
                }
            }
        }
    }
}

impl Tx<'_> {
    /// Appends a look at a finding, or the withdrawal of one. `look.id` is `head.id`.
    ///
    /// # Errors
    /// As [`Tx::add_person`]; [`StoreError::UnknownEntry`] also for an unknown person or finding;
    /// [`StoreError::WrongEntry`] also for the finding of somebody else.
    pub fn add_look(
        &self,
        head: &NewHead,
        person: &str,
        (of, look): (&LookOf, &Look),
        zone: Tz,
        withdrawn: bool,
    ) -> Result<Head> {
        if look.id != head.id {
            return Err(StoreError::BadValue {
                what: "a look under another id than its entry's",
            });
        }
        self.need_root(person, Kind::Person)?;
        let (found, found_by) = match of {
            LookOf::Found(found) => (Some(found), None),
            LookOf::Again(id) => {
                self.need_root(id, Kind::Finding)?;
                if self.person_of(Kind::Finding, id)?.as_deref() != Some(person) {
                    return Err(StoreError::WrongEntry { id: id.clone() });
                }
                (None, Some(id))
            }
        };
        let (state, place, noticed, feel) = match &look.seen {
            Seen::There {
                place,
                noticed,
                feel,
            } => (
                "there",
                PlaceColumns::of(place),
                Some(noticed.code()),
                feel.map(Feel::code),
            ),
            Seen::Healed => ("healed", PlaceColumns::default(), None, None),
            Seen::Removed => ("removed", PlaceColumns::default(), None, None),
        };
        let (utc_ms, offset_min) = instant_parts("the time of a look", look.at)?;
        let added = self.add_entry(head, Kind::Finding, Some(person))?;
        self.conn()
            .prepare_cached(
                "INSERT INTO finding_entry (seq, person, found_by, finding_kind, zone, margin_cm, margin_source, \
                 wear_days, state, centre_across_cm, centre_up_cm, half_across_cm, half_up_cm, turned_degrees, outline, \
                 noticed, feel, at_utc_ms, at_offset_min, at_zone, looked_by, note, status) VALUES (?1, ?2, ?3, ?4, ?5, \
                 ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23)",
            )?
            .execute(params![
                added.seq,
                person,
                found_by,
                found.map(|f| f.kind.code()),
                found.map(|f| f.zone.code()),
                finite("the margin", found.map(|f| f.margin_cm.value))?,
                found.map(|f| f.margin_cm.source.as_str()),
                found.and_then(|f| f.wear_days),
                state,
                place.centre.map(|c| c.across_cm),
                place.centre.map(|c| c.up_cm),
                place.half_across_cm,
                place.half_up_cm,
                place.turned_degrees,
                place.outline,
                noticed,
                feel,
                utc_ms,
                offset_min,
                zone.name(),
                look.by,
                filled(look.note.as_deref()),
                status(withdrawn),
            ])?;
        Ok(added)
    }

    /// Appends a skin check, or the withdrawal of one. `check.id` is `head.id`.
    ///
    /// # Errors
    /// As [`Tx::add_person`]; [`StoreError::UnknownEntry`] also for an unknown person.
    pub fn add_skin_check(
        &self,
        head: &NewHead,
        person: &str,
        check: &SkinCheck,
        zone: Tz,
        withdrawn: bool,
    ) -> Result<Head> {
        if check.id != head.id {
            return Err(StoreError::BadValue {
                what: "a skin check under another id than its entry's",
            });
        }
        self.need_root(person, Kind::Person)?;
        let zones: serde_json::Value = check
            .zones
            .iter()
            .map(|(zone, seen)| serde_json::json!({ "zone": zone.code(), "seen": seen.code() }))
            .collect();
        let (utc_ms, offset_min) = instant_parts("the time of a skin check", check.at)?;
        let added = self.add_entry(head, Kind::SkinCheck, Some(person))?;
        self.conn()
            .prepare_cached(
                "INSERT INTO skin_check_entry (seq, person, at_utc_ms, at_offset_min, at_zone, looked_by, zones, \
                 needle_uses, insulin_since, unexplained_lows, note, status) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
            )?
            .execute(params![
                added.seq,
                person,
                utc_ms,
                offset_min,
                zone.name(),
                check.by,
                zones.to_string(),
                check.needle_uses.map(NeedleUses::times),
                check.insulin_since,
                check.unexplained_lows,
                filled(check.note.as_deref()),
                status(withdrawn),
            ])?;
        Ok(added)
    }
}

/// A code in a column that may be empty.
fn code<T>(
    row: &Row<'_>,
    at: usize,
    read: fn(&str) -> Option<T>,
    what: &'static str,
) -> rusqlite::Result<Option<T>> {
    row.get_ref(at)?
        .as_str_or_null()?
        .map(|text| read(text).ok_or_else(|| unreadable(at, what)))
        .transpose()
}

/// A row of [`HEAD`], [`FINDING`].
fn finding(row: &Row<'_>) -> rusqlite::Result<FindingEntry> {
    let head = rows::head(row)?;
    let found_by: Option<String> = row.get(11)?;
    let of = match found_by {
        Some(id) => LookOf::Again(id),
        None => LookOf::Found(Found {
            kind: code(row, 12, FindingKind::from_code, "a kind of finding")?
                .ok_or_else(|| unreadable(12, "a kind of finding"))?,
            zone: code(row, 13, Zone::from_code, "a zone")?
                .ok_or_else(|| unreadable(13, "a zone"))?,
            margin_cm: Sourced {
                value: row.get(14)?,
                source: row.get(15)?,
            },
            wear_days: row.get(16)?,
        }),
    };
    let seen = match row.get_ref(17)?.as_str()? {
        "there" => Seen::There {
            place: place(row)?,
            noticed: code(row, 24, Noticed::from_code, "how it was noticed")?
                .ok_or_else(|| unreadable(24, "how it was noticed"))?,
            feel: code(row, 25, Feel::from_code, "how a lump feels")?,
        },
        "healed" => Seen::Healed,
        "removed" => Seen::Removed,
        _ => return Err(unreadable(17, "how a finding stands")),
    };
    Ok(FindingEntry {
        look: Look {
            id: head.id.clone(),
            at: instant(row, 26)?,
            by: row.get(29)?,
            seen,
            note: row.get(30)?,
        },
        head,
        person: row.get(10)?,
        of,
        zone: time_zone(row, 28)?,
        withdrawn: rows::withdrawn(row, 31)?,
    })
}

/// The place of a look, in columns 18 to 23.
fn place(row: &Row<'_>) -> rusqlite::Result<Place> {
    let read = if let Some(json) = row.get_ref(23)?.as_str_or_null()? {
        let points: Vec<(f64, f64)> =
            serde_json::from_str(json).map_err(|_| unreadable(23, "an outline"))?;
        let points = points
            .into_iter()
            .map(|(across_cm, up_cm)| Point { across_cm, up_cm });
        Place::outline(points.collect())
    } else {
        let centre = Point {
            across_cm: row.get(18)?,
            up_cm: row.get(19)?,
        };
        Place::ellipse(centre, row.get(20)?, row.get(21)?, row.get(22)?)
    };
    read.map_err(|_| unreadable(18, "a place on the skin"))
}

/// What a column says of one zone.
#[derive(serde::Deserialize)]
struct ZoneRow {
    zone: String,
    seen: String,
}

/// A row of [`HEAD`], [`SKIN_CHECK`].
fn skin_check(row: &Row<'_>) -> rusqlite::Result<SkinCheckEntry> {
    let head = rows::head(row)?;
    let zones = rows::json::<Vec<ZoneRow>>(row, 15, "the zones of a skin check")?
        .iter()
        .map(|z| Zone::from_code(&z.zone).zip(ZoneSeen::from_code(&z.seen)))
        .collect::<Option<_>>()
        .ok_or_else(|| unreadable(15, "the zones of a skin check"))?;
    let needle_uses = row
        .get::<_, Option<u16>>(16)?
        .map(|times| NeedleUses::new(times).ok_or_else(|| unreadable(16, "uses of a needle")))
        .transpose()?;
    Ok(SkinCheckEntry {
        check: SkinCheck {
            id: head.id.clone(),
            at: instant(row, 11)?,
            by: row.get(14)?,
            zones,
            needle_uses,
            insulin_since: row.get(17)?,
            unexplained_lows: row.get(18)?,
            note: row.get(19)?,
        },
        head,
        person: row.get(10)?,
        zone: time_zone(row, 13)?,
        withdrawn: rows::withdrawn(row, 20)?,
    })
}
