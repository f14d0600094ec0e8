//! How entries get in: inside one immediate transaction, checked, appended.
//!
//! Not here: any way to change or remove an entry; there is none.

use std::ops::Deref;

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use fallow_core::act::{Act, Event, InUse};
use fallow_core::before::Expiry;
use fallow_core::orders::{Device, weekday_number};
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
    /// Whose PIN was given.
    confirmed: &'c [String],
}

impl<'c> Deref for Tx<'c> {
    type Target = Reader<'c>;

    fn deref(&self) -> &Reader<'c> {
        &self.reader
    }
}

impl<'c> Tx<'c> {
    pub(crate) fn new(conn: &'c Connection, confirmed: &'c [String]) -> Self {
        Self {
            reader: Reader::new(conn),
            confirmed,
        }
    }

    /// Gives a recorder a PIN, as [`crate::keys::pin_hash`] makes it, or takes it away. A setting of this device: it is no
    /// entry.
    ///
    /// # Errors
    /// [`StoreError::Refused`] for an empty or overlong name.
    pub fn set_pin(&self, name: &str, hash: Option<&str>) -> Result<(), StoreError> {
        match hash {
            Some(hash) => self.conn().execute(
                "INSERT INTO recorder (name, pin) VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET pin = ?2",
                params![name, hash],
            )?,
            None => self
                .conn()
                .execute("DELETE FROM recorder WHERE name = ?1", [name])?,
        };
        Ok(())
    }

    /// Whether the PIN of this name was given; `None` where it has none.
    fn confirmed(&self, name: Option<&str>) -> Result<Option<bool>, StoreError> {
        let Some(name) = name else { return Ok(None) };
        let name = name.trim();
        let has = self.pin(name)?.is_some();
        Ok(has.then(|| self.confirmed.iter().any(|n| n == name)))
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
                 waist_cm, thigh_cm, upper_arm_cm, zones, identifier, note, weight_kg) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)",
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
                finite("the weight", person.weight_kg)?,
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
        let terms = &order.terms;
        let weekdays: serde_json::Value =
            terms.weekdays.iter().map(|d| weekday_number(*d)).collect();
        let regions: serde_json::Value = terms
            .regions
            .iter()
            .map(|region| {
                let zones: Vec<&str> = region.zones.iter().map(|z| z.code()).collect();
                serde_json::json!({ "time": region.time.format(TIME).to_string(), "zones": zones })
            })
            .collect();
        let added = self.add_entry(head, Kind::Order, Some(person))?;
        self.conn()
            .prepare_cached(
                "INSERT INTO order_entry (seq, person, medicine, dose_thousandths, dose_unit, times, every_days, \
                 first_day, last_day, prescriber, note, weekdays, window_before_min, window_after_min, device, \
                 needle_mm, signed_on, review_by, asks_glucose, glucose_unit, glucose_low, glucose_high, \
                 second_check, may_give, regions) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, \
                 ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23, ?24, ?25)",
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
                weekdays.to_string(),
                terms.window.map(|w| w.before_min),
                terms.window.map(|w| w.after_min),
                terms.device.map(Device::code),
                finite("the needle", terms.needle_mm)?,
                terms.signed_on.map(|d| d.format(DAY).to_string()),
                terms.review_by.map(|d| d.format(DAY).to_string()),
                terms.asks_glucose,
                terms.glucose.as_ref().map(|g| g.unit.as_str()),
                terms.glucose.as_ref().and_then(|g| g.low.as_deref()),
                terms.glucose.as_ref().and_then(|g| g.high.as_deref()),
                terms.second_check,
                filled(terms.may_give.as_deref()),
                regions.to_string(),
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
        act: &Act,
        status: Status,
    ) -> Result<Head, StoreError> {
        if injection.id != head.id {
            return Err(StoreError::BadValue {
                what: "an injection under another id than its entry's",
            });
        }
        self.need_root(person, Kind::Person)?;
        self.need_order_of(&injection.order, person)?;
        if let Some(container) = &act.container {
            self.need_root(container, Kind::Container)?;
        }
        let (given_utc_ms, given_offset_min) = instant_parts("the time given", injection.given_at)?;
        let site = &injection.site;
        let added = self.add_entry(head, Kind::Injection, Some(person))?;
        self.conn()
            .prepare_cached(
                "INSERT INTO injection_entry (seq, person, order_id, medicine, zone, quadrant, across_cm, up_cm, \
                 given_utc_ms, given_offset_min, given_zone, dose_thousandths, dose_unit, given_by, note, status, self_given, \
                 outcomes, checks, dose_reason, second_checker, needle_disposed, container) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, \
                 ?21, ?22, ?23)",
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
                filled(act.note.as_deref()),
                status.code(),
                act.self_given,
                json_list(act.outcomes.iter().map(|o| o.code())),
                json_list(act.checks.iter().map(String::as_str)),
                filled(act.dose_reason.as_deref()),
                filled(act.second_checker.as_deref()),
                act.needle_disposed,
                act.container,
            ])?;
        Ok(added)
    }

    /// Appends an event, a correction of one, or its withdrawal.
    ///
    /// # Errors
    /// As [`Tx::add_person`]; [`StoreError::UnknownEntry`] also for an unknown person or order;
    /// [`StoreError::WrongEntry`] also for the order of somebody else.
    pub fn add_event(
        &self,
        head: &NewHead,
        person: &str,
        event: &Event,
        zone: Tz,
    ) -> Result<Head, StoreError> {
        self.need_root(person, Kind::Person)?;
        if let Some(order) = &event.order {
            self.need_order_of(order, person)?;
        }
        let (utc_ms, offset_min) = instant_parts("the time of an event", event.at)?;
        let added = self.add_entry(head, Kind::Event, Some(person))?;
        self.conn()
            .prepare_cached(
                "INSERT INTO event_entry (seq, person, order_id, about, at_utc_ms, at_offset_min, at_zone, value, unit, \
                 code, note, status) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
            )?
            .execute(params![
                added.seq,
                person,
                event.order,
                event.about.code(),
                utc_ms,
                offset_min,
                zone.name(),
                event.value.as_ref().map(|v| v.0.as_str()),
                event.value.as_ref().map(|v| v.1.as_str()),
                event.code,
                filled(event.note.as_deref()),
                status(event.withdrawn),
            ])?;
        Ok(added)
    }

    /// Appends a container in use, or a new version of what is known of one.
    ///
    /// # Errors
    /// As [`Tx::add_event`].
    pub fn add_container(
        &self,
        head: &NewHead,
        person: &str,
        container: &InUse,
    ) -> Result<Head, StoreError> {
        self.need_root(person, Kind::Person)?;
        self.need_order_of(&container.order, person)?;
        let label = &container.label;
        let added = self.add_entry(head, Kind::Container, Some(person))?;
        self.conn()
            .prepare_cached(
                "INSERT INTO container_entry (seq, person, order_id, medicine, strength, batch, expires, opened, \
                 device, needle_cover, note) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
            )?
            .execute(params![
                added.seq,
                person,
                container.order,
                label.medicine,
                filled(label.strength.as_deref()),
                filled(label.batch.as_deref()),
                label.expires.map(Expiry::code),
                label.opened.map(|d| d.format(DAY).to_string()),
                label.device.code(),
                label.needle_cover.code(),
                filled(container.note.as_deref()),
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
        let (utc_ms, offset_min) = instant_parts("the time the form was opened", opened_at)?;
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
    pub(crate) fn add_entry(
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
        let (utc_ms, offset_min) = instant_parts("the time recorded", head.recorded_at)?;
        let seq = self
            .conn()
            .prepare_cached(
                "INSERT INTO entry (id, root, kind, recorded_utc_ms, recorded_offset_min, clock_set, recorder, \
                 recorder_pin, supersedes, reason) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
            )?
            .insert(params![
                head.id,
                root,
                kind.code(),
                utc_ms,
                offset_min,
                head.clock_set,
                filled(head.recorder.as_deref()),
                self.confirmed(head.recorder.as_deref())?,
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
    pub(crate) fn need_root(&self, id: &str, kind: Kind) -> Result<(), StoreError> {
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

    /// Refuses an order that is unknown or somebody else's.
    fn need_order_of(&self, order: &str, person: &str) -> Result<(), StoreError> {
        self.need_root(order, Kind::Order)?;
        if self.person_of(Kind::Order, order)?.as_deref() != Some(person) {
            return Err(StoreError::WrongEntry {
                id: order.to_owned(),
            });
        }
        Ok(())
    }

    /// The person an entry belongs to; `None` for the kinds that belong to nobody.
    pub(crate) fn person_of(&self, kind: Kind, id: &str) -> Result<Option<String>, StoreError> {
        let sql = match kind {
            Kind::Person | Kind::Practice => return Ok(None),
            Kind::Order => {
                "SELECT o.person FROM entry e JOIN order_entry o ON o.seq = e.seq WHERE e.id = ?1"
            }
            Kind::Injection => {
                "SELECT i.person FROM entry e JOIN injection_entry i ON i.seq = e.seq WHERE e.id = ?1"
            }
            Kind::Event => {
                "SELECT v.person FROM entry e JOIN event_entry v ON v.seq = e.seq WHERE e.id = ?1"
            }
            Kind::Container => {
                "SELECT c.person FROM entry e JOIN container_entry c ON c.seq = e.seq WHERE e.id = ?1"
            }
            Kind::Finding => {
                "SELECT f.person FROM entry e JOIN finding_entry f ON f.seq = e.seq WHERE e.id = ?1"
            }
            Kind::SkinCheck => {
                "SELECT c.person FROM entry e JOIN skin_check_entry c ON c.seq = e.seq WHERE e.id = ?1"
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
pub(crate) fn instant_parts(
    what: &'static str,
    at: DateTime<FixedOffset>,
) -> Result<(i64, i32), StoreError> {
    let seconds = at.offset().local_minus_utc();
    if seconds % 60 != 0 {
        return Err(StoreError::BadValue { what });
    }
    Ok((at.timestamp_millis(), seconds / 60))
}

/// Refuses NaN, which `SQLite` would take for "unknown".
pub(crate) fn finite(what: &'static str, value: Option<f64>) -> Result<Option<f64>, StoreError> {
    match value {
        Some(number) if !number.is_finite() => Err(StoreError::BadValue { what }),
        fine => Ok(fine),
    }
}

/// What the `status` column says.
pub(crate) fn status(withdrawn: bool) -> &'static str {
    if withdrawn {
        "entered_in_error"
    } else {
        "final"
    }
}

/// An empty text is no text.
pub(crate) fn filled(text: Option<&str>) -> Option<&str> {
    text.filter(|text| !text.is_empty())
}

fn json_list<'a>(texts: impl Iterator<Item = &'a str>) -> String {
    texts.collect::<serde_json::Value>().to_string()
}
