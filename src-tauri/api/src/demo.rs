//! The made-up caseload: a coastal community nursing team that does not exist, and six invented people.
//!
//! Made through the door, request by request, by a seeded generator: one seed and one `now` give one record.

mod skin;

use chrono::{DateTime, Datelike, Duration, FixedOffset, NaiveDate, NaiveTime};
use chrono_tz::Tz;
use fallow_core::time::{Meaning, meaning};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::error::{ApiError, ErrorCode};
use crate::wire::{
    ActWire, DoseWire, InjectionRecord, OrderAdd, OrderTerms, PersonAdd, Request, Response,
    SiteSuggest, SiteWire, SizesWire,
};
use crate::{App, Now, handle};

/// Where the invented team works.
const ZONE: Tz = Tz::Europe__London;
/// The paper chart's quadrants, a week each.
const ROUND: [&str; 4] = ["right_upper", "left_upper", "left_lower", "right_lower"];
/// Nurses of the invented team.
const NURSES: [&str; 3] = ["Nurse Brannock", "Nurse Odile Farrow", "Nurse T. Penhale"];

/// How somebody chooses where the next injection goes.
#[derive(Clone, Copy)]
enum Habit {
    /// Takes the first site suggested.
    Rotates,
    /// Always the same part of the abdomen, whatever is suggested.
    SameSide,
    /// Only the quadrant is known, copied from paper.
    PaperOnly,
}

/// One invented person's treatment.
struct Treatment {
    medicine: &'static str,
    dose: (&'static str, &'static str),
    times: &'static [&'static str],
    every_days: u16,
    /// Weeks of history.
    weeks: i64,
    habit: Habit,
}

/// One invented person.
struct Made {
    name: &'static str,
    born: &'static str,
    identifier: &'static str,
    allergies: Option<&'static [&'static str]>,
    self_injects: bool,
    /// Height, waist, thigh, upper arm; 0 is not measured.
    sizes: [f64; 4],
    zones: &'static [&'static str],
    note: Option<&'static str>,
    recorders: &'static [&'static str],
    treatments: &'static [Treatment],
}

const PEOPLE: [Made; 6] = [
    Made {
        name: "Marit Oakfell",
        born: "1951-03-09",
        identifier: "SP-0417",
        allergies: Some(&[]),
        self_injects: true,
        sizes: [163.0, 92.0, 58.0, 31.0],
        zones: &[],
        note: Some("Her son Jory gives it at weekends."),
        recorders: &["Marit Oakfell", "Marit Oakfell", "Jory Oakfell"],
        treatments: &[Treatment {
            medicine: "insulin-glargine-100",
            dose: ("12", "units"),
            times: &["08:00"],
            every_days: 1,
            weeks: 14,
            habit: Habit::Rotates,
        }],
    },
    Made {
        name: "Tobias Wrenfield",
        born: "1964-11-21",
        identifier: "SP-0388",
        allergies: Some(&["penicillin"]),
        self_injects: true,
        sizes: [178.0, 108.0, 61.0, 34.0],
        zones: &[],
        note: None,
        recorders: &["Tobias Wrenfield"],
        treatments: &[Treatment {
            medicine: "insulin-human-nph-100",
            dose: ("18", "units"),
            times: &["07:30", "22:00"],
            every_days: 1,
            weeks: 8,
            habit: Habit::SameSide,
        }],
    },
    Made {
        name: "Ines Calloway",
        born: "1942-07-30",
        identifier: "SP-0201",
        allergies: Some(&["latex"]),
        self_injects: false,
        sizes: [154.0, 84.0, 52.0, 0.0],
        zones: &["abdomen", "left_thigh", "right_thigh"],
        note: Some("Key safe at the side door. Earlier weeks were copied from the paper chart."),
        recorders: &NURSES,
        treatments: &[Treatment {
            medicine: "insulin-detemir-100",
            dose: ("8", "units"),
            times: &["09:00"],
            every_days: 1,
            weeks: 7,
            habit: Habit::PaperOnly,
        }],
    },
    Made {
        name: "Gwenda Tarrow",
        born: "1979-01-15",
        identifier: "SP-0533",
        allergies: None,
        self_injects: true,
        sizes: [171.0, 0.0, 0.0, 0.0],
        zones: &["left_thigh", "right_thigh", "abdomen"],
        note: None,
        recorders: &["Gwenda Tarrow"],
        treatments: &[Treatment {
            medicine: "methotrexate",
            dose: ("15", "mg"),
            times: &["18:00"],
            every_days: 7,
            weeks: 20,
            habit: Habit::Rotates,
        }],
    },
    Made {
        name: "Ruben Ashgrove",
        born: "1998-05-02",
        identifier: "SP-0610",
        allergies: Some(&[]),
        self_injects: true,
        sizes: [184.0, 81.0, 55.0, 29.0],
        zones: &["abdomen", "left_thigh", "right_thigh"],
        note: None,
        recorders: &["Ruben Ashgrove"],
        treatments: &[
            Treatment {
                medicine: "insulin-aspart-100",
                dose: ("6", "units"),
                times: &["07:15", "12:30", "18:30"],
                every_days: 1,
                weeks: 6,
                habit: Habit::Rotates,
            },
            Treatment {
                medicine: "insulin-degludec-100",
                dose: ("20", "units"),
                times: &["22:00"],
                every_days: 1,
                weeks: 6,
                habit: Habit::Rotates,
            },
        ],
    },
    Made {
        name: "Pell Harrowgate",
        born: "1978-09-12",
        identifier: "SP-0644",
        allergies: None,
        self_injects: false,
        sizes: [0.0, 0.0, 0.0, 0.0],
        zones: &[],
        note: Some("New to the team today. Nothing measured yet."),
        recorders: &NURSES,
        treatments: &[Treatment {
            medicine: "enoxaparin",
            dose: ("40", "mg"),
            times: &["10:00"],
            every_days: 1,
            weeks: 0,
            habit: Habit::Rotates,
        }],
    },
];

/// Fills an empty store with the made-up caseload: invented people with months of history up to `now`.
///
/// # Errors
/// The first request that was refused.
pub fn fill_demo(app: &mut App, seed: u64, now: Now) -> Result<(), ApiError> {
    let mut maker = Maker {
        rng: Pcg64::seed_from_u64(seed),
        now,
    };
    for made in &PEOPLE {
        maker.person(app, made)?;
    }
    Ok(())
}

struct Maker {
    rng: Pcg64,
    now: Now,
}

/// One dose to be made: when, of which order and treatment.
struct Slot<'a> {
    at: DateTime<FixedOffset>,
    order: String,
    treatment: &'a Treatment,
}

impl Maker {
    fn person(&mut self, app: &mut App, made: &Made) -> Result<(), ApiError> {
        let size = |i: usize| Some(made.sizes[i]).filter(|v| *v > 0.0);
        let weeks = made.treatments.iter().map(|t| t.weeks).max().unwrap_or(0);
        let first = self.today() - Duration::weeks(weeks);
        let add = Request::PersonAdd(PersonAdd {
            id: Some(self.id(self.now.at)),
            name: made.name.to_owned(),
            born: made.born.to_owned(),
            zone: ZONE.name().to_owned(),
            allergies: made
                .allergies
                .map(|a| a.iter().map(|s| (*s).to_owned()).collect()),
            self_injects: made.self_injects,
            sizes: SizesWire {
                height_cm: size(0),
                waist_cm: size(1),
                thigh_cm: size(2),
                upper_arm_cm: size(3),
            },
            zones: made.zones.iter().map(|z| (*z).to_owned()).collect(),
            identifier: Some(made.identifier.to_owned()),
            note: made.note.map(str::to_owned),
            recorder: Some(NURSES[0].to_owned()),
            weight_kg: None,
        });
        let began = Self::instant(first, "06:30").unwrap_or(self.now.at);
        // Somebody who is new today was added by now, however early it is.
        let began = began.min(self.now.at);
        let Response::PersonAdd(person) = Self::at(app, add, began)? else {
            return Ok(());
        };
        let mut slots = Vec::new();
        for treatment in made.treatments {
            let order = self.order(app, &person.id, treatment, began)?;
            slots.extend(self.slots(&order, treatment));
        }
        slots.sort_by_key(|slot| slot.at);
        for slot in slots {
            self.injection(app, &person.id, made, &slot)?;
        }
        self.skin(app, &person.id, made)
    }

    fn order(
        &mut self,
        app: &mut App,
        person: &str,
        treatment: &Treatment,
        began: DateTime<FixedOffset>,
    ) -> Result<String, ApiError> {
        let add = Request::OrderAdd(OrderAdd {
            id: Some(self.id(self.now.at)),
            person: person.to_owned(),
            medicine: treatment.medicine.to_owned(),
            dose: dose(treatment),
            times: treatment.times.iter().map(|t| (*t).to_owned()).collect(),
            every_days: Some(treatment.every_days),
            from: (self.today() - Duration::weeks(treatment.weeks)).to_string(),
            to: None,
            prescriber: "Dr Halloran Vey".to_owned(),
            note: None,
            recorder: Some(NURSES[0].to_owned()),
            terms: self.terms(treatment),
        });
        match Self::at(app, add, began)? {
            Response::OrderAdd(order) => Ok(order.id),
            _ => Err(ApiError::new(
                ErrorCode::Internal,
                "An order was answered with something else.",
            )),
        }
    }

    /// Signed on its first day; insulin from a pen with glucose measured before, anything else from a filled syringe.
    fn terms(&self, treatment: &Treatment) -> OrderTerms {
        let insulin = treatment.medicine.starts_with("insulin");
        let first = self.today() - Duration::weeks(treatment.weeks);
        OrderTerms {
            device: Some(if insulin { "pen" } else { "prefilled_syringe" }.to_owned()),
            needle_mm: insulin.then_some(4.0),
            signed_on: Some(first.to_string()),
            review_by: Some((self.today() + Duration::weeks(26)).to_string()),
            asks_glucose: insulin,
            ..OrderTerms::default()
        }
    }

    /// Every dose of an order that fell due before now, a few minutes early or late.
    fn slots<'a>(&mut self, order: &str, treatment: &'a Treatment) -> Vec<Slot<'a>> {
        let first = self.today() - Duration::weeks(treatment.weeks);
        let mut slots = Vec::new();
        let mut day = first;
        while day <= self.today() && treatment.weeks > 0 {
            for time in treatment.times {
                let late = Duration::minutes(self.rng.random_range(-10..25));
                let at = Self::instant(day, time).map(|t| t + late);
                // Today's doses are left open, so that there is something to do.
                if let Some(at) = at.filter(|t| *t < self.now.at && day < self.today()) {
                    slots.push(Slot {
                        at,
                        order: order.to_owned(),
                        treatment,
                    });
                }
            }
            day += Duration::days(i64::from(treatment.every_days));
        }
        slots
    }

    fn injection(
        &mut self,
        app: &mut App,
        person: &str,
        made: &Made,
        slot: &Slot<'_>,
    ) -> Result<(), ApiError> {
        let giver = if made.self_injects { "self" } else { "other" };
        let site = match slot.treatment.habit {
            Habit::SameSide => self.same_side(),
            Habit::Rotates => self.suggested(app, person, slot, giver)?,
            Habit::PaperOnly => self.paper(app, person, slot, giver)?,
        };
        let who = self.rng.random_range(0..made.recorders.len());
        let add = Request::InjectionRecord(InjectionRecord {
            id: self.id(slot.at),
            person: person.to_owned(),
            order: slot.order.clone(),
            site,
            given_at: slot.at.to_rfc3339(),
            zone: None,
            dose: dose(slot.treatment),
            recorder: made.recorders[who].to_owned(),
            reason: matches!(slot.treatment.habit, Habit::SameSide)
                .then(|| "This side is easiest for me.".to_owned()),
            acknowledges: None,
            note: None,
            giver: Some(giver.to_owned()),
            act: ActWire::default(),
        });
        let recorded = slot.at + Duration::minutes(self.rng.random_range(1..6));
        Self::at(app, add, recorded.min(self.now.at)).map(|_| ())
    }

    /// The same small part of the left lower abdomen, over and over.
    fn same_side(&mut self) -> SiteWire {
        let mut near = |middle: f64, spread: f64| {
            let off: f64 = self.rng.random_range(-spread..spread);
            ((middle + off) * 10.0).round() / 10.0
        };
        SiteWire {
            zone: "abdomen".to_owned(),
            quadrant: Some("left_lower".to_owned()),
            across_cm: Some(near(6.5, 2.2)),
            up_cm: Some(near(-3.5, 1.6)),
        }
    }

    /// The first site suggested.
    fn suggested(
        &mut self,
        app: &mut App,
        person: &str,
        slot: &Slot<'_>,
        giver: &str,
    ) -> Result<SiteWire, ApiError> {
        let ask = Request::SiteSuggest(SiteSuggest {
            person: person.to_owned(),
            order: slot.order.clone(),
            at: slot.at.to_rfc3339(),
            count: Some(1),
            giver: Some(giver.to_owned()),
        });
        let Response::SiteSuggest(answer) = Self::at(app, ask, slot.at)? else {
            return Ok(self.same_side());
        };
        let none = || ApiError::new(ErrorCode::Internal, "The made-up caseload found no site.");
        Ok(answer.sites.first().ok_or_else(none)?.site.clone())
    }

    /// Weeks on paper knew only the quadrant; since then the point is recorded.
    fn paper(
        &mut self,
        app: &mut App,
        person: &str,
        slot: &Slot<'_>,
        giver: &str,
    ) -> Result<SiteWire, ApiError> {
        let days_ago = (self.today() - slot.at.date_naive()).num_days();
        if days_ago <= 10 {
            return self.suggested(app, person, slot, giver);
        }
        let week = slot
            .at
            .date_naive()
            .num_days_from_ce()
            .div_euclid(7)
            .rem_euclid(4);
        Ok(SiteWire {
            zone: "abdomen".to_owned(),
            quadrant: Some(ROUND[week as usize].to_owned()),
            across_cm: None,
            up_cm: None,
        })
    }

    fn at(
        app: &mut App,
        request: Request,
        at: DateTime<FixedOffset>,
    ) -> Result<Response, ApiError> {
        handle(
            app,
            request,
            Now {
                at,
                set_by_hand: false,
                clock: crate::Clock::default(),
            },
        )
    }

    fn today(&self) -> NaiveDate {
        self.now.at.with_timezone(&ZONE).date_naive()
    }

    fn instant(day: NaiveDate, time: &str) -> Option<DateTime<FixedOffset>> {
        let time = NaiveTime::parse_from_str(time, "%H:%M").ok()?;
        match meaning(day.and_time(time), ZONE) {
            Meaning::Once(at) | Meaning::Twice(at, _) | Meaning::Never(_, at) => Some(at),
        }
    }

    fn id(&mut self, at: DateTime<FixedOffset>) -> String {
        let millis = at.timestamp_millis().max(0).unsigned_abs();
        let random: [u8; 10] = self.rng.random();
        let id = uuid::Builder::from_unix_timestamp_millis(millis, &random).into_uuid();
        id.hyphenated().to_string()
    }
}

fn dose(treatment: &Treatment) -> DoseWire {
    DoseWire {
        value: treatment.dose.0.to_owned(),
        unit: treatment.dose.1.to_owned(),
    }
}
