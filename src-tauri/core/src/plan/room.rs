//! Room on this skin: whether orders can go on for years, how far apart, and what would help where they cannot.
//!
//! Not here: the words (`room_words`), or which site is next.

use std::collections::HashMap;

use super::allowed::{AllowedSkin, allowed_in};
use super::capacity::{Capacity, STEPS_PER_CM, capacity};
use super::need::{Treatment, sites_together};
use super::{ceiling, reach, room_words};
use crate::body::Body;
use crate::medicines::Book;
use crate::site::Zone;
use crate::skin::Finding;

pub use super::remedies::{Help, Remedy};

/// No published rule asks for more than 3.8 cm; beyond this a wider spacing is not looked for. Centimetres.
pub const WIDEST_WORKING_CM: f64 = 5.0;

/// The skin of one person, and how they use it.
#[derive(Debug, Clone, Copy)]
pub struct Person<'a> {
    /// Their body.
    pub body: &'a Body,
    /// The medicines.
    pub book: &'a Book,
    /// The navel margin the practice chose; centimetres.
    pub navel_margin_cm: f64,
    /// What is on the skin now.
    pub findings: &'a [Finding],
    /// Zones they use; empty leaves it to each medicine.
    pub zones: &'a [Zone],
    /// Whether they inject themself.
    pub self_given: bool,
}

/// One zone in use.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneRoom {
    /// The zone.
    pub zone: Zone,
    /// Allowed skin; square centimetres.
    pub area_cm2: f64,
    /// Sites at the least spacing, and what no arrangement exceeds.
    pub count: usize,
    /// The proven ceiling.
    pub ceiling: usize,
}

/// Some medicines rest whole zones.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ZoneRest {
    /// Zones needed so that each rests long enough.
    pub needed: usize,
    /// Zones in use.
    pub used: usize,
}

/// What this skin can carry.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// Injections a day, all orders together.
    pub per_day: f64,
    /// The narrowest spacing that any of the medicines asks for; centimetres.
    pub least_spacing_cm: f64,
    /// Sites needed at that spacing.
    pub need_sites: usize,
    /// Sites found at that spacing.
    pub capacity_at_least_spacing: usize,
    /// More than this is impossible at that spacing, proven.
    pub ceiling: usize,
    /// The widest spacing at which the need is covered, at most [`WIDEST_WORKING_CM`]; `None` where none is.
    pub working_spacing_cm: Option<f64>,
    /// How many weeks longer than asked all skin could rest at the least spacing; 0 where there is no reserve.
    pub weeks_of_reserve: f64,
    /// Sites lacking at the least spacing; 0 where none are.
    pub shortfall: usize,
    /// Where a medicine rests whole zones.
    pub zone_rest: Option<ZoneRest>,
    /// The zones in use.
    pub zones: Vec<ZoneRoom>,
    /// What would give more room: what covers the need first, what asks least of people before what asks more.
    pub remedies: Vec<Remedy>,
    /// All of this in a few plain sentences.
    pub words: String,
}

impl Room {
    /// Whether the orders can go on like this.
    pub fn is_enough(&self) -> bool {
        self.shortfall == 0 && self.zone_rest.is_none_or(|z| z.needed <= z.used)
    }
}

/// Whether the skin carries these orders, with the figures.
///
/// # Units
/// Centimetres and sites; spacings in steps of a millimetre.
/// # How
/// Every group of treatments must find its sites in the zones of that group. With one treatment that is plainly: need
/// against capacity.
/// # Errors
/// Never. No zone, no skin and no order are answered in words.
pub fn sustain(treatments: &[Treatment<'_>], person: &Person<'_>) -> Room {
    let asked: Vec<Treatment<'_>> = treatments
        .iter()
        .copied()
        .filter(|t| t.need.sites() > 0)
        .collect();
    let mut skins = Skins::new(person);
    let uses: Vec<Use> = asked.iter().map(|t| Use::of(t, person)).collect();
    let least = asked
        .iter()
        .map(|t| t.medicine.spacing_cm.value)
        .fold(f64::INFINITY, f64::min);
    let least = if least.is_finite() { least } else { 1.0 };
    let everything = Plan {
        treatments: &asked,
        uses: &uses,
        person,
    };
    let now = everything.balance(least, &mut skins);
    let zones = everything.zone_rooms(least, &mut skins);
    let zone_rest = asked.iter().zip(&uses).filter_map(|(t, u)| {
        let days = t.medicine.zone_rest_days.as_ref()?.value;
        Some(ZoneRest {
            needed: (t.need.per_day * days - 1e-9).ceil() as usize,
            used: u.zones.used.len(),
        })
    });
    let zone_rest = zone_rest.max_by_key(|z| z.needed.saturating_sub(z.used));
    let per_day: f64 = asked.iter().map(|t| t.need.per_day).sum();
    let spare = now.capacity.saturating_sub(now.need) as f64;
    let mut room = Room {
        per_day,
        least_spacing_cm: least,
        need_sites: now.need,
        capacity_at_least_spacing: now.capacity,
        ceiling: now.ceiling,
        working_spacing_cm: (now.lacking == 0 && now.need > 0)
            .then(|| everything.widest(least, &mut skins)),
        weeks_of_reserve: if now.lacking == 0 && per_day > 0.0 {
            spare / per_day / 7.0
        } else {
            0.0
        },
        shortfall: now.lacking,
        zone_rest,
        zones,
        remedies: Vec::new(),
        words: String::new(),
    };
    room.remedies = everything.remedies(least, &now, &mut skins);
    room.words = room_words::all(&room, &asked, person);
    room
}

/// The zones of one treatment and its navel margin.
#[derive(Debug, Clone)]
pub(super) struct Use {
    pub(super) zones: reach::Zones,
    pub(super) navel_cm: f64,
}

impl Use {
    pub(super) fn of(treatment: &Treatment<'_>, person: &Person<'_>) -> Self {
        let own = treatment
            .medicine
            .navel_margin_cm
            .as_ref()
            .map_or(0.0, |m| m.value);
        Self {
            zones: reach::zones(
                treatment.medicine,
                person.zones,
                person.self_given,
                &person.book.general,
            ),
            navel_cm: person.navel_margin_cm.max(own),
        }
    }
}

/// Need against capacity.
#[derive(Debug, Clone, Copy)]
pub(super) struct Balance {
    pub(super) need: usize,
    pub(super) capacity: usize,
    pub(super) ceiling: usize,
    /// The most that any group of treatments lacks.
    pub(super) lacking: usize,
}

/// Treatments with the zones they use.
#[derive(Clone, Copy)]
pub(super) struct Plan<'a> {
    pub(super) treatments: &'a [Treatment<'a>],
    pub(super) uses: &'a [Use],
    pub(super) person: &'a Person<'a>,
}

/// More treatments than this are not looked at group by group, only alone and all together.
const MOST_GROUPED: usize = 5;

impl Plan<'_> {
    /// The groups of treatments, all of them first.
    fn groups(&self) -> Vec<Vec<usize>> {
        let count = self.treatments.len();
        let mut groups: Vec<Vec<usize>> = vec![(0..count).collect()];
        if count > MOST_GROUPED {
            groups.extend((0..count).map(|n| vec![n]));
        } else {
            let some = 1..(1_usize << count).saturating_sub(1);
            groups.extend(some.map(|bits| (0..count).filter(|n| bits >> n & 1 == 1).collect()));
        }
        groups
    }

    /// The zones of a group, each with the smallest navel margin any of it asks for.
    pub(super) fn zones_of(&self, group: &[usize]) -> Vec<(Zone, f64)> {
        let in_use = |zone: &Zone| {
            let users = group
                .iter()
                .map(|n| &self.uses[*n])
                .filter(|u| u.zones.used.contains(zone));
            users.map(|u| u.navel_cm).reduce(f64::min)
        };
        Zone::ALL
            .iter()
            .filter_map(|zone| in_use(zone).map(|navel| (*zone, navel)))
            .collect()
    }

    fn needed(&self, group: &[usize], spacing: f64) -> usize {
        let members: Vec<_> = group.iter().map(|n| self.treatments[*n]).collect();
        sites_together(&members, spacing, &self.person.book.general)
    }

    pub(super) fn balance(&self, spacing: f64, skins: &mut Skins<'_>) -> Balance {
        let mut found = Balance {
            need: 0,
            capacity: 0,
            ceiling: 0,
            lacking: 0,
        };
        for (n, group) in self.groups().iter().enumerate() {
            let need = self.needed(group, spacing);
            let (mut capacity, mut ceiling) = (0, 0);
            for (zone, navel) in self.zones_of(group) {
                let one = skins.capacity(zone, navel, spacing);
                capacity += one.count;
                ceiling += one.ceiling;
            }
            found.lacking = found.lacking.max(need.saturating_sub(capacity));
            if n == 0 {
                (found.need, found.capacity, found.ceiling) = (need, capacity, ceiling);
            }
        }
        found
    }

    /// The widest spacing at which nothing is lacking, given that nothing is at the least.
    fn widest(&self, least: f64, skins: &mut Skins<'_>) -> f64 {
        let all: Vec<usize> = (0..self.treatments.len()).collect();
        let zones = self.zones_of(&all);
        let mut step = (WIDEST_WORKING_CM * STEPS_PER_CM).round();
        while step / STEPS_PER_CM > least {
            let spacing = step / STEPS_PER_CM;
            // The quick bound first: most spacings fall at it.
            let bound: usize = zones
                .iter()
                .map(|(zone, navel)| skins.crude(*zone, *navel, spacing))
                .sum();
            if bound >= self.needed(&all, spacing) && self.balance(spacing, skins).lacking == 0 {
                return spacing;
            }
            step -= 1.0;
        }
        least
    }

    fn zone_rooms(&self, least: f64, skins: &mut Skins<'_>) -> Vec<ZoneRoom> {
        let all: Vec<usize> = (0..self.treatments.len()).collect();
        let zones = self.zones_of(&all).into_iter();
        zones
            .map(|(zone, navel)| {
                let found = skins.capacity(zone, navel, least);
                let (count, ceiling) = (found.count, found.ceiling);
                ZoneRoom {
                    zone,
                    area_cm2: skins.skin(zone, navel).area_cm2,
                    count,
                    ceiling,
                }
            })
            .collect()
    }
}

/// Allowed skin and its capacity, worked out once for each zone, margin and spacing; mirrored zones share.
pub(super) struct Skins<'a> {
    person: &'a Person<'a>,
    allowed: HashMap<(Zone, u64), AllowedSkin>,
    found: Vec<(geo::MultiPolygon<f64>, i64, Capacity)>,
}

impl<'a> Skins<'a> {
    pub(super) fn new(person: &'a Person<'a>) -> Self {
        Self {
            person,
            allowed: HashMap::new(),
            found: Vec::new(),
        }
    }

    fn skin(&mut self, zone: Zone, navel_cm: f64) -> &AllowedSkin {
        let person = self.person;
        // The navel matters on the abdomen alone.
        let key = (
            zone,
            if zone == Zone::Abdomen {
                navel_cm.to_bits()
            } else {
                0
            },
        );
        self.allowed
            .entry(key)
            .or_insert_with(|| allowed_in(person.body.patch(zone), navel_cm, person.findings))
    }

    fn crude(&mut self, zone: Zone, navel_cm: f64, spacing: f64) -> usize {
        ceiling::crude(&self.skin(zone, navel_cm).region, spacing)
    }

    pub(super) fn capacity(&mut self, zone: Zone, navel_cm: f64, spacing: f64) -> &Capacity {
        let region = self.skin(zone, navel_cm).region.clone();
        let step = (spacing * 1e6).round() as i64;
        let known = self
            .found
            .iter()
            .position(|(r, s, _)| *s == step && *r == region);
        let at = known.unwrap_or_else(|| {
            let found = capacity(&region, spacing);
            self.found.push((region, step, found));
            self.found.len() - 1
        });
        &self.found[at].2
    }
}
