//! What would give more room, each with its figures.
//!
//! Not here: whether there is room at all (`room`).

use super::allowed::allowed_in;
use super::capacity::capacity_beside;
use super::room::{Balance, Person, Plan, Skins, Use};
use super::room_words;
use crate::site::Zone;
use crate::skin::FindingKind;

/// Something that gives more room.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// What.
    pub what: Help,
    /// Sites it adds at the least spacing.
    pub adds_sites: usize,
    /// Whether it is enough by itself.
    pub covers: bool,
    /// The same as one sentence.
    pub words: String,
}

/// What gives more room.
#[derive(Debug, Clone, PartialEq)]
pub enum Help {
    /// Further zones, both sides together.
    Zones {
        /// Which.
        zones: Vec<Zone>,
        /// Whether somebody else must give the injections there.
        with_helper: bool,
    },
    /// A finding that heals or is moved.
    Healed {
        /// Its id.
        id: String,
        /// What it is.
        kind: FindingKind,
        /// Where.
        zone: Zone,
    },
    /// Another published navel margin, which the practice may choose.
    NavelMargin {
        /// Now; centimetres.
        from_cm: f64,
        /// Instead; centimetres.
        to_cm: f64,
        /// Who says so.
        source: String,
    },
    /// A medicine's own rest, which only its prescriber may judge.
    Rest {
        /// The medicine's name.
        medicine: String,
        /// Days it asks for.
        asked_days: f64,
        /// Whole days this skin gives.
        possible_days: f64,
        /// Where the days asked for come from.
        source: String,
    },
}

impl Help {
    /// How much it asks of people: another zone, then waiting for skin to heal, then a helper, then a changed rule.
    fn effort(&self) -> (u8, usize) {
        match self {
            Self::Zones {
                zones,
                with_helper: false,
            } => (0, zones.len()),
            Self::Healed { .. } => (1, 0),
            Self::Zones {
                zones,
                with_helper: true,
            } => (2, zones.len()),
            Self::NavelMargin { .. } => (3, 0),
            Self::Rest { .. } => (4, 0),
        }
    }
}

impl Plan<'_> {
    /// Everything that helps.
    pub(super) fn remedies(&self, least: f64, now: &Balance, skins: &mut Skins<'_>) -> Vec<Remedy> {
        let mut found = self.further_zones(least, now, skins);
        found.extend(self.healed(least, now, skins));
        found.extend(self.navel(least, now));
        found.extend(self.rest(now));
        found.sort_by(|a, b| {
            let more = b.adds_sites.cmp(&a.adds_sites);
            b.covers
                .cmp(&a.covers)
                .then(a.what.effort().cmp(&b.what.effort()))
                .then(more)
        });
        found
    }

    /// The same treatments with these zones in use as well.
    fn with_zones(&self, zones: &[Zone]) -> Vec<Use> {
        let mut uses = self.uses.to_vec();
        for one in &mut uses {
            let more = zones
                .iter()
                .filter(|z| one.zones.spare.contains(z) || one.zones.helped.contains(z));
            one.zones.used.extend(more.copied().collect::<Vec<_>>());
        }
        uses
    }

    fn further_zones(&self, least: f64, now: &Balance, skins: &mut Skins<'_>) -> Vec<Remedy> {
        let all = |pick: fn(&Use) -> &Vec<Zone>| -> Vec<Zone> {
            Zone::ALL
                .into_iter()
                .filter(|z| self.uses.iter().any(|u| pick(u).contains(z)))
                .collect()
        };
        let (spare, helped) = (all(|u| &u.zones.spare), all(|u| &u.zones.helped));
        let pairs = [
            vec![Zone::Abdomen],
            vec![Zone::LeftThigh, Zone::RightThigh],
            vec![Zone::LeftArm, Zone::RightArm],
            vec![Zone::LeftButtock, Zone::RightButtock],
        ];
        let mut sets: Vec<(Vec<Zone>, bool)> = Vec::new();
        for (zones, with_helper) in [(&spare, false), (&helped, true)] {
            let of_pair = |pair: &Vec<Zone>| {
                pair.iter()
                    .copied()
                    .filter(|z| zones.contains(z))
                    .collect::<Vec<_>>()
            };
            sets.extend(
                pairs
                    .iter()
                    .map(of_pair)
                    .filter(|set| !set.is_empty())
                    .map(|set| (set, with_helper)),
            );
        }
        // All that is within reach, and all there is, where that is more than one of the above.
        let both: Vec<Zone> = Zone::ALL
            .into_iter()
            .filter(|z| spare.contains(z) || helped.contains(z))
            .collect();
        for (set, with_helper) in [(spare, false), (both, !helped.is_empty())] {
            if !set.is_empty() && sets.iter().all(|(known, _)| *known != set) {
                sets.push((set, with_helper));
            }
        }
        sets.into_iter()
            .map(|(zones, with_helper)| {
                let uses = self.with_zones(&zones);
                let then = Plan {
                    uses: &uses,
                    ..*self
                }
                .balance(least, skins);
                remedy(Help::Zones { zones, with_helper }, now, &then)
            })
            .collect()
    }

    fn healed(&self, least: f64, now: &Balance, skins: &mut Skins<'_>) -> Vec<Remedy> {
        let all: Vec<usize> = (0..self.treatments.len()).collect();
        let zones = self.zones_of(&all);
        let mut found = Vec::new();
        for (n, finding) in self.person.findings.iter().enumerate() {
            let Some((zone, navel)) = zones.iter().find(|(zone, _)| *zone == finding.zone) else {
                continue;
            };
            if !finding.kind.may_pass() {
                continue;
            }
            let mut others = self.person.findings.to_vec();
            others.remove(n);
            let region = allowed_in(self.person.body.patch(*zone), *navel, &others).region;
            let before = skins.capacity(*zone, *navel, least).clone();
            let after = capacity_beside(&region, least, &before.sites);
            let adds = after.count - before.count;
            let then = Balance {
                capacity: now.capacity + adds,
                lacking: now.lacking.saturating_sub(adds),
                ..*now
            };
            let (id, kind, zone) = (finding.id.clone(), finding.kind, finding.zone);
            found.push(remedy(Help::Healed { id, kind, zone }, now, &then));
        }
        found
    }

    /// Smaller published margins, where the practice's choice and not a medicine's own holds.
    fn navel(&self, least: f64, now: &Balance) -> Vec<Remedy> {
        let chosen = self.person.navel_margin_cm;
        let on_abdomen =
            |u: &Use| u.zones.used.contains(&Zone::Abdomen) && u.navel_cm <= chosen + 1e-9;
        if now.lacking == 0 || !self.uses.iter().any(on_abdomen) {
            return Vec::new();
        }
        let margins = self
            .person
            .book
            .general
            .navel_margins
            .iter()
            .filter(|m| m.value < chosen - 1e-9);
        margins
            .map(|margin| {
                let person = Person {
                    navel_margin_cm: margin.value,
                    ..*self.person
                };
                let uses: Vec<Use> = self
                    .treatments
                    .iter()
                    .map(|t| Use::of(t, &person))
                    .collect();
                let plan = Plan {
                    treatments: self.treatments,
                    uses: &uses,
                    person: &person,
                };
                let then = plan.balance(least, &mut Skins::new(&person));
                let (from_cm, to_cm, source) = (chosen, margin.value, margin.source.clone());
                remedy(
                    Help::NavelMargin {
                        from_cm,
                        to_cm,
                        source,
                    },
                    now,
                    &then,
                )
            })
            .collect()
    }

    /// What rest this skin gives the treatment that needs the most sites.
    fn rest(&self, now: &Balance) -> Option<Remedy> {
        let most = self.treatments.iter().max_by_key(|t| t.need.sites())?;
        if now.lacking == 0 || now.capacity == 0 {
            return None;
        }
        let share = most.need.rest_days * now.capacity as f64 / now.need.max(1) as f64;
        let help = Help::Rest {
            medicine: most.medicine.name.clone(),
            asked_days: most.need.rest_days,
            possible_days: share.floor(),
            source: most.medicine.point_rest_days.source.clone(),
        };
        Some(remedy(help, now, now))
    }
}

fn remedy(what: Help, now: &Balance, then: &Balance) -> Remedy {
    let adds_sites = then.capacity.saturating_sub(now.capacity);
    let covers = then.lacking == 0 && !matches!(what, Help::Rest { .. });
    let words = room_words::remedy(&what, adds_sites, covers, now.lacking > 0);
    Remedy {
        what,
        adds_sites,
        covers,
        words,
    }
}
