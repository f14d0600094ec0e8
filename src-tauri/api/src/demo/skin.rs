//! The skin of the made-up caseload: what one-sided injecting leaves behind, and what is simply there.

use chrono::Duration;

use super::{Made, Maker, NURSES};
use crate::App;
use crate::error::ApiError;
use crate::wire::{
    FindingLook, FindingRecord, PlaceWire, Request, SkinCheckRecord, XY, ZoneSeenWire,
};

/// Something on somebody's skin. Sizes of lumps lie within the 1.8 to 40 mm that Hashem R et al. 2021 (BMJ Open Diabetes
/// Res Care 9(2):e002553) measured by ultrasound.
struct Mark {
    of: &'static str,
    kind: &'static str,
    zone: &'static str,
    at_cm: (f64, f64),
    feel: Option<&'static str>,
    wear_days: Option<u16>,
    /// Days ago, length and width in millimetres; the first look found it.
    looks: &'static [(i64, f64, f64)],
    /// Days ago that it was gone.
    healed: Option<i64>,
}

const MARKS: [Mark; 5] = [
    Mark {
        of: "Tobias Wrenfield",
        kind: "lump",
        zone: "abdomen",
        at_cm: (6.5, -3.5),
        feel: Some("firm"),
        wear_days: None,
        looks: &[(49, 22.0, 16.0), (21, 27.0, 19.0), (4, 30.0, 22.0)],
        healed: None,
    },
    Mark {
        of: "Tobias Wrenfield",
        kind: "bruise",
        zone: "abdomen",
        at_cm: (8.4, -5.0),
        feel: None,
        wear_days: None,
        looks: &[(21, 14.0, 9.0)],
        healed: Some(12),
    },
    Mark {
        of: "Tobias Wrenfield",
        kind: "sensor",
        zone: "right_arm",
        at_cm: (0.0, 17.0),
        feel: None,
        wear_days: Some(14),
        looks: &[(6, 32.0, 32.0)],
        healed: None,
    },
    Mark {
        of: "Marit Oakfell",
        kind: "scar",
        zone: "abdomen",
        at_cm: (-9.0, -7.5),
        feel: None,
        wear_days: None,
        looks: &[(90, 60.0, 4.0)],
        healed: None,
    },
    Mark {
        of: "Ines Calloway",
        kind: "lump",
        zone: "abdomen",
        at_cm: (5.0, 4.5),
        feel: Some("soft"),
        wear_days: None,
        looks: &[(40, 18.0, 15.0), (5, 11.0, 9.0)],
        healed: None,
    },
];

/// Whose skin was checked, how many days ago, with how many injections a needle, and since when on insulin.
const CHECKS: [(&str, i64, Option<u16>, Option<i32>); 2] = [
    ("Tobias Wrenfield", 21, Some(6), Some(2011)),
    ("Marit Oakfell", 90, Some(1), Some(2020)),
];

impl Maker {
    /// Marks what one person has, and records the checks at which it was found.
    pub(super) fn skin(
        &mut self,
        app: &mut App,
        person: &str,
        made: &Made,
    ) -> Result<(), ApiError> {
        for mark in MARKS.iter().filter(|m| m.of == made.name) {
            self.mark(app, person, mark)?;
        }
        for (of, days, needle_uses, insulin_since) in CHECKS {
            if of == made.name {
                let zones: Vec<ZoneSeenWire> = ["abdomen", "left_thigh", "right_thigh"]
                    .map(|zone| ZoneSeenWire {
                        zone: zone.to_owned(),
                        seen: if zone == "abdomen" {
                            "finding"
                        } else {
                            "clear"
                        }
                        .to_owned(),
                    })
                    .to_vec();
                let at = self.now.at - Duration::days(days);
                let check = Request::SkinCheckRecord(SkinCheckRecord {
                    id: self.id(at),
                    person: person.to_owned(),
                    at: at.to_rfc3339(),
                    recorder: NURSES[1].to_owned(),
                    zones,
                    needle_uses,
                    insulin_since,
                    unexplained_lows: Some(of == "Tobias Wrenfield"),
                    note: None,
                });
                Self::at(app, check, at)?;
            }
        }
        Ok(())
    }

    fn mark(&mut self, app: &mut App, person: &str, mark: &Mark) -> Result<(), ApiError> {
        let place = |length_mm: f64, width_mm: f64| PlaceWire {
            centre: Some(XY {
                across_cm: mark.at_cm.0,
                up_cm: mark.at_cm.1,
            }),
            length_mm: Some(length_mm),
            width_mm: Some(width_mm),
            turned_degrees: None,
            outline: None,
        };
        let noticed = if mark.feel.is_some() { "felt" } else { "seen" };
        let mut finding = String::new();
        for (n, (days, length_mm, width_mm)) in mark.looks.iter().enumerate() {
            let at = self.now.at - Duration::days(*days);
            let id = self.id(at);
            let request = if n == 0 {
                finding.clone_from(&id);
                Request::FindingRecord(FindingRecord {
                    id,
                    person: person.to_owned(),
                    kind: mark.kind.to_owned(),
                    zone: mark.zone.to_owned(),
                    place: place(*length_mm, *width_mm),
                    noticed: noticed.to_owned(),
                    feel: mark.feel.map(str::to_owned),
                    wear_days: mark.wear_days,
                    at: at.to_rfc3339(),
                    recorder: NURSES[1].to_owned(),
                    note: None,
                })
            } else {
                Request::FindingLook(FindingLook {
                    id,
                    finding: finding.clone(),
                    state: "there".to_owned(),
                    place: Some(place(*length_mm, *width_mm)),
                    noticed: Some(noticed.to_owned()),
                    feel: mark.feel.map(str::to_owned),
                    at: at.to_rfc3339(),
                    recorder: NURSES[1].to_owned(),
                    note: None,
                })
            };
            Self::at(app, request, at)?;
        }
        if let Some(days) = mark.healed {
            let at = self.now.at - Duration::days(days);
            let request = Request::FindingLook(FindingLook {
                id: self.id(at),
                finding,
                state: "healed".to_owned(),
                place: None,
                noticed: None,
                feel: None,
                at: at.to_rfc3339(),
                recorder: NURSES[1].to_owned(),
                note: None,
            });
            Self::at(app, request, at)?;
        }
        Ok(())
    }
}
