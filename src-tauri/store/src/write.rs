//! How entries get in: inside one immediate transaction, checked, appended.
//!
//! Not here: any way to change or remove an entry; there is none.

use std::ops::Deref;

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use fallow_core::person::{Allergies, Injection, Order, Person};
use rusqlite::{Connection, OptionalExtension, params};

use crate::entries::{Head, Kind, NewHead, Status};
use crate::error::StoreError;
use crate::query::Reader;
use crate::rows::{DAY, TIME};

/// A transaction in progress: every query of [`Reader`], and the ways to append.
///
/// It holds the store's write lock, so what it reads stays true until it is over. Committed by
/// [`crate::Store::transact`] when the act returns `Ok`, rolled back otherwise.
pub struct Tx<'c> {
    reader: Reader<'c>,
}

impl<'c> Deref for Tx<'c> {
    type Target = Reader<'c>;

    fn deref(&self) -> &Reader<'c> {
        &self.reader
    }
}

impl<'c> Tx<'c> {
    pub(crate) fn new(conn: &'c Connection) -> Self {
        Self {
            reader: Reader::new(conn),
        }
    }

    /// Appends a person, or a new version of one.
    ///
    /// # Errors
    /// [`StoreError::IdReused`], [`StoreError::AlreadySuperseded`], [`StoreError::UnknownEntry`],
    /// [`StoreError::WrongEntry`] for a head that does not fit; [`StoreError::BadValue`] or [`StoreError::Refused`]
    /// for a value outside its range.
    pub fn add_person(&self, head: &NewHead, person: &Person) -> Result<Head, StoreError> {
        let (asked, allergies) = match &person.allergies {
            Allergies::NotAsked => ("not_asked", None),
            Allergies::NoneKnown => ("none_known", None),
            Allergies::Known(list) => ("known", Some(json_list(list.iter().map(String::as_str)))),
        };
        let sizes = &person.sizes;
        let added = self.add_entry(head, Kind::Person, None)?;
        self.conn()
            .prepare_cached(
                "INSERT INTO person_entry (seq, name, born, zone, allergies_asked, allergies, self_injects, height_cm, \
                 waist_cm, thigh_cm, upper_arm_cm, zones, identifier, note) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)",
            )?
            .execute(params![
                added.seq,
                person.name,
                person.born.format(DAY).to_string(),
                person.zone.name(),
                asked,
                allergies,
                person.self_injects,
                finite("the height", sizes.height_cm)?,
                finite("the waist", sizes.waist_cm)?,
                finite("the thigh", sizes.thigh_cm)?,
                finite("the upper arm", sizes.upper_arm_cm)?,
                json_list(person.zones.iter().map(|z| z.code())),
                filled(person.identifier.as_deref()),
                filled(person.note.as_deref()),
            ])?;
        Ok(added)
    }

    /// Appends an order of the person with this id, or a new version of one.
    ///
    /// # Errors
    /// As [`Tx::add_person`]; [`StoreError::UnknownEntry`] also for an unknown person.
    pub fn add_order(
        &self,
        head: &NewHead,
        person: &str,
        order: &Order,
    ) -> Result<Head, StoreError> {
        self.need_root(person, Kind::Person)?;
        let times: Vec<String> = order
            .times
            .iter()
            .map(|t| t.format(TIME).to_string())
            .collect();
        let added = self.add_entry(head, Kind::Order, Some(person))?;
        self.conn()
            .prepare_cached(
                "INSERT INTO order_entry (seq, person, medicine, dose_thousandths, dose_unit, times, every_days, \
                 first_day, last_day, prescriber, note) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
            )?
            .execute(params![
                added.seq,
                person,
                order.medicine,
                order.dose.thousandths(),
                order.dose.unit().code(),
                json_list(times.iter().map(String::as_str)),
                order.every_days,
                order.from.format(DAY).to_string(),
                order.to.map(|d| d.format(DAY).to_string()),
                order.prescriber,
                filled(order.note.as_deref()),
            ])?;
        Ok(added)
    }

    /// Appends an injection, a correction of one, or its withdrawal. `injection.id` is `head.id`.
    ///
    /// # Errors
    /// As [`Tx::add_person`]; [`StoreError::UnknownEntry`] also for an unknown person or order;
    /// [`StoreError::WrongEntry`] also for the order of somebody else.
    pub fn add_injection(
        &self,
        head: &NewHead,
        person: &str,
        injection: &Injection,
        zone: Tz,
        note: Option<&str>,
        status: Status,
    ) -> Result<Head, StoreError> {
        if injection.id != head.id {
            return Err(StoreError::BadValue {
                what: "an injection under another id than its entry's",
            });
        }
        self.need_root(person, Kind::Person)?;
        self.need_root(&injection.order, Kind::Order)?;
        if self.person_of(Kind::Order, &injection.order)?.as_deref() != Some(person) {
            return Err(StoreError::WrongEntry {
                id: injection.order.clone(),
            });
        }
        let (given_utc_ms, given_offset_min) = instant("the time given", injection.given_at)?;
        let site = &injection.site;
        let added = self.add_entry(head, Kind::Injection, Some(person))?;
        self.conn()
            .prepare_cached(
                "INSERT INTO injection_entry (seq, person, order_id, medicine, zone, quadrant, across_cm, up_cm, \
                 given_utc_ms, given_offset_min, given_zone, dose_thousandths, dose_unit, given_by, note, status) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)",
            )?
            .execute(params![
                added.seq,
                person,
                injection.order,
                injection.medicine,
                site.zone.code(),
                site.quadrant.code(),
                finite("the point", site.point.map(|p| p.across_cm))?,
                finite("the point", site.point.map(|p| p.up_cm))?,
                given_utc_ms,
                given_offset_min,
                zone.name(),
                injection.dose.thousandths(),
                injection.dose.unit().code(),
                injection.recorder,
                filled(note),
                status.code(),
            ])?;
        Ok(added)
    }

    /// Appends the clinic's choice of the navel margin, in centimetres.
    ///
    /// # Errors
    /// As [`Tx::add_person`].
    pub fn add_practice(&self, head: &NewHead, navel_margin_cm: f64) -> Result<Head, StoreError> {
        let margin = finite("the navel margin", Some(navel_margin_cm))?;
        let added = self.add_entry(head, Kind::Practice, None)?;
        self.conn()
            .prepare_cached("INSERT INTO practice_entry (seq, navel_margin_cm) VALUES (?1, ?2)")?
            .execute(params![added.seq, margin])?;
        Ok(added)
    }

    /// Keeps a draft, in place of an earlier one with the same key.
    pub fn save_draft(
        &self,
        key: &str,
        body: &str,
        opened_at: DateTime<FixedOffset>,
    ) -> Result<(), StoreError> {
        let (utc_ms, offset_min) = instant("the time the form was opened", opened_at)?;
        self.conn()
            .prepare_cached(
                "INSERT INTO draft (key, body, opened_utc_ms, opened_offset_min) VALUES (?1, ?2, ?3, ?4) \
                 ON CONFLICT (key) DO UPDATE SET body = excluded.body, opened_utc_ms = excluded.opened_utc_ms, \
                 opened_offset_min = excluded.opened_offset_min",
            )?
            .execute(params![key, body, utc_ms, offset_min])?;
        Ok(())
    }

    /// Forgets a draft; nothing happens where there is none.
    pub fn drop_draft(&self, key: &str) -> Result<(), StoreError> {
        self.conn()
            .prepare_cached("DELETE FROM draft WHERE key = ?1")?
            .execute([key])?;
        Ok(())
    }

    /// Appends a head. The checks come before the insert, under the write lock, so that a refusal has a name;
    /// the schema refuses the same things again.
    fn add_entry(
        &self,
        head: &NewHead,
        kind: Kind,
        person: Option<&str>,
    ) -> Result<Head, StoreError> {
        if self.entry_kind(&head.id)?.is_some() {
            return Err(StoreError::IdReused);
        }
        let root = match &head.supersedes {
            None => head.id.clone(),
            Some(before) => self.root_to_supersede(before, kind, person)?,
        };
        let (utc_ms, offset_min) = instant("the time recorded", head.recorded_at)?;
        let seq = self
            .conn()
            .prepare_cached(
                "INSERT INTO entry (id, root, kind, recorded_utc_ms, recorded_offset_min, clock_set, recorder, \
                 supersedes, reason) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            )?
            .insert(params![
                head.id,
                root,
                kind.code(),
                utc_ms,
                offset_min,
                head.clock_set,
                filled(head.recorder.as_deref()),
                head.supersedes,
                filled(head.reason.as_deref()),
            ])?;
        self.head_at(seq)
    }

    fn root_to_supersede(
        &self,
        before: &str,
        kind: Kind,
        person: Option<&str>,
    ) -> Result<String, StoreError> {
        let found: Option<(String, String, bool)> = self
            .conn()
            .prepare_cached(
                "SELECT e.root, e.kind, EXISTS (SELECT 1 FROM entry s WHERE s.supersedes = e.id) \
                 FROM entry e WHERE e.id = ?1",
            )?
            .query_row([before], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))
            .optional()?;
        let Some((root, found_kind, superseded)) = found else {
            return Err(StoreError::UnknownEntry {
                id: before.to_owned(),
            });
        };
        if found_kind != kind.code() || self.person_of(kind, before)?.as_deref() != person {
            return Err(StoreError::WrongEntry {
                id: before.to_owned(),
            });
        }
        if superseded {
            return Err(StoreError::AlreadySuperseded);
        }
        Ok(root)
    }

    /// Refuses an id that is not the first of a chain of this kind.
    fn need_root(&self, id: &str, kind: Kind) -> Result<(), StoreError> {
        let known = self
            .conn()
            .prepare_cached(
                "SELECT 1 FROM entry WHERE id = ?1 AND kind = ?2 AND supersedes IS NULL",
            )?
            .exists([id, kind.code()])?;
        if known {
            Ok(())
        } else {
            Err(StoreError::UnknownEntry { id: id.to_owned() })
        }
    }

    /// The person an order or injection entry belongs to; `None` for the other kinds.
    fn person_of(&self, kind: Kind, id: &str) -> Result<Option<String>, StoreError> {
        let sql = match kind {
            Kind::Person | Kind::Practice => return Ok(None),
            Kind::Order => {
                "SELECT o.person FROM entry e JOIN order_entry o ON o.seq = e.seq WHERE e.id = ?1"
            }
            Kind::Injection => {
                "SELECT i.person FROM entry e JOIN injection_entry i ON i.seq = e.seq WHERE e.id = ?1"
            }
        };
        Ok(self
            .conn()
            .prepare_cached(sql)?
            .query_row([id], |row| row.get(0))
            .optional()?)
    }
}

/// Milliseconds since 1970 UTC and the offset in minutes.
fn instant(what: &'static str, at: DateTime<FixedOffset>) -> Result<(i64, i32), StoreError> {
    let seconds = at.offset().local_minus_utc();
    if seconds % 60 != 0 {
        return Err(StoreError::BadValue { what });
    }
    Ok((at.timestamp_millis(), seconds / 60))
}

/// Refuses NaN, which `SQLite` would take for "unknown".
fn finite(what: &'static str, value: Option<f64>) -> Result<Option<f64>, StoreError> {
    match value {
        Some(number) if !number.is_finite() => Err(StoreError::BadValue { what }),
        fine => Ok(fine),
    }
}

/// An empty text is no text.
fn filled(text: Option<&str>) -> Option<&str> {
    text.filter(|text| !text.is_empty())
}

fn json_list<'a>(texts: impl Iterator<Item = &'a str>) -> String {
    texts.collect::<serde_json::Value>().to_string()
}
