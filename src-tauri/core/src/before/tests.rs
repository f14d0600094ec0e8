//! Every state of every check, the order of the page, and what is never done by itself.

mod container;

use super::*;
use crate::glucose::{GlucoseUnit, Limit};
use crate::person::{Allergies, Sizes};
use crate::units::{Dose, DoseUnit};
use chrono::NaiveDate;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn t(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(&format!("{text}:00+01:00")).unwrap()
}

/// Now, in every case that does not say otherwise.
const NOW: &str = "2026-06-15T08:00";

fn tick() -> Tick {
    Tick {
        by: "Nurse Mia Berg".to_owned(),
        at: t(NOW),
    }
}

/// A whole page, good in every check until a case spoils it.
struct Case {
    person: Person,
    order: Order,
    strength: Option<&'static str>,
    asks: Asks,
    last: Option<Container>,
    gives_to_self: bool,
    said: Said,
    now: DateTime<FixedOffset>,
}

fn pen() -> Container {
    Container {
        medicine: "Insulin glargine".to_owned(),
        strength: Some("100 units/mL".to_owned()),
        expires: Expiry::month(2026, 9),
        opened: Some(day("2026-06-01")),
        batch: Some("B1234".to_owned()),
        device: Device::Pen,
        needle_cover: NeedleCover::NotRead,
    }
}

fn read(identifier: Identifier, matches: bool) -> ReadBack {
    ReadBack {
        identifier,
        matches,
    }
}

fn measured(text: &str, at: &str) -> (Measured, Tick) {
    let reading = Reading::parse(text, GlucoseUnit::MmolPerLitre).unwrap();
    (Measured { reading, at: t(at) }, tick())
}

impl Case {
    fn good() -> Self {
        Self {
            person: Person {
                name: "Ada Holm".to_owned(),
                born: day("1951-03-09"),
                zone: chrono_tz::Europe::London,
                allergies: Allergies::NoneKnown,
                self_injects: false,
                sizes: Sizes::default(),
                zones: Vec::new(),
                identifier: Some("H-1042".to_owned()),
                note: None,
                weight_kg: None,
            },
            order: Order {
                medicine: "insulin-glargine-100".to_owned(),
                dose: Dose::parse("12", DoseUnit::Units).unwrap(),
                times: Vec::new(),
                every_days: 1,
                from: day("2026-01-01"),
                to: None,
                prescriber: "Dr Ana Lind".to_owned(),
                note: None,
                terms: crate::orders::Terms::default(),
            },
            strength: None,
            asks: Asks {
                glucose: Some(Limits::usual()),
                meal: true,
                second_checker: true,
            },
            last: Some(pen()),
            gives_to_self: false,
            said: Said {
                identity: Some((
                    vec![read(Identifier::Name, true), read(Identifier::Born, true)],
                    tick(),
                )),
                allergies: Some(tick()),
                order: Some(tick()),
                container: Some((pen(), tick())),
                glucose: Some(measured("6.3", "2026-06-15T07:55")),
                meal: Some((Meal::About, tick())),
                consent: Some((Consent::Given, tick())),
                skin: Some((SkinSeen::Clear, tick())),
                second: Some(Tick {
                    by: "Nurse Leo Hart".to_owned(),
                    at: t(NOW),
                }),
                reasons: Vec::new(),
            },
            now: t(NOW),
        }
    }

    fn page(&self) -> Vec<Check> {
        let known = Known {
            book: Book::shipped(),
            person: &self.person,
            order: &self.order,
            strength: self.strength,
            asks: &self.asks,
            last_container: self.last.as_ref(),
            giver: "Nurse Mia Berg",
            gives_to_self: self.gives_to_self,
        };
        page(&known, &self.said, self.now)
    }

    fn check(&self, what: What) -> Check {
        self.page().into_iter().find(|c| c.what == what).unwrap()
    }

    fn container(&mut self) -> &mut Container {
        &mut self.said.container.as_mut().unwrap().0
    }
}

/// `not yet`, `done`, `not asked`, or the problems with `LOUD` before a loud one.
fn told(check: &Check) -> String {
    match &check.state {
        State::NotYet => "not yet".to_owned(),
        State::Done(_) => "done".to_owned(),
        State::NotAsked => "not asked".to_owned(),
        State::Problem { problems, .. } => {
            let each = problems
                .iter()
                .map(|p| format!("{}{}", if p.loud { "LOUD " } else { "" }, p.words));
            each.collect::<Vec<_>>().join(" | ")
        }
    }
}

/// Spoils the good page and compares how one check stands; every other check stays as it was.
fn case(what: What, spoil: impl FnOnce(&mut Case), want: &str) {
    let mut case = Case::good();
    spoil(&mut case);
    let told = told(&case.check(what));
    assert!(
        told == want || (want.ends_with('…') && told.starts_with(want.trim_end_matches('…'))),
        "{what:?}\n told: {told}\n want: {want}"
    );
}

#[test]
fn the_page_shows_the_checks_in_the_order_the_work_is_done() {
    let page = Case::good().page();
    let codes: Vec<_> = page.iter().map(|check| check.what.code()).collect();
    assert_eq!(
        codes,
        [
            "identity",
            "allergies",
            "order",
            "container",
            "glucose",
            "meal",
            "consent",
            "skin",
            "second_checker"
        ]
    );
    for check in &page {
        assert_eq!(told(check), "done", "{check:?}");
        assert!(!check.is_open() && !check.is_loud());
        assert_eq!(What::from_code(check.what.code()), Some(check.what));
    }
    assert_eq!(
        page[3].lines,
        [
            "The container says Insulin glargine.",
            "Strength 100 units/mL.",
            "Expires 09/2026: good until 30 Sep 2026 (common practice, no source).",
            "Opened 1 Jun 2026, 14 days ago; once opened it lasts 28 days.",
            "Batch B1234."
        ]
    );
    assert_eq!(
        page[2].lines[0],
        "insulin glargine 100 units/mL: 12 units, under the skin. Prescribed by Dr Ana Lind."
    );
}

#[test]
fn nothing_is_done_by_itself() {
    let mut case = Case::good();
    case.said = Said::default();
    for check in case.page() {
        assert_eq!(
            (told(&check).as_str(), check.is_open()),
            ("not yet", true),
            "{check:?}"
        );
    }
}

#[test]
fn what_nobody_asks_for_is_not_asked() {
    let mut case = Case::good();
    case.asks = Asks::default();
    case.said = Said::default();
    case.gives_to_self = true;
    let not_asked: Vec<_> = case
        .page()
        .into_iter()
        .filter(|check| check.state == State::NotAsked)
        .map(|check| check.what.code())
        .collect();
    assert_eq!(
        not_asked,
        ["identity", "glucose", "meal", "consent", "second_checker"]
    );
}

#[test]
fn identity_is_two_identifiers_that_match() {
    use Identifier::{Born, Name, Number};
    let said = |reads: Vec<ReadBack>| move |c: &mut Case| c.said.identity = Some((reads, tick()));
    let what = What::Identity;
    case(
        what,
        said(vec![read(Name, true), read(Number, true)]),
        "done",
    );
    case(
        what,
        said(vec![read(Name, true)]),
        "1 of two identifiers read back.",
    );
    case(
        what,
        said(vec![read(Name, true), read(Name, true)]),
        "1 of two identifiers read back.",
    );
    case(what, said(vec![]), "0 of two identifiers read back.");
    case(
        what,
        said(vec![
            read(Name, true),
            read(Number, true),
            read(Born, false),
        ]),
        "LOUD What was read back does not match the record: born 9 Mar 1951. Is this the right person?",
    );
    case(
        what,
        |c| {
            c.person.identifier = None;
            c.said.identity = Some((vec![read(Name, true), read(Number, true)], tick()));
        },
        "An identifier was read back that the record does not hold. | 1 of two identifiers read back.",
    );
}

#[test]
fn allergies_are_compared_with_name_class_and_latex() {
    let known = |text: &'static str| {
        move |c: &mut Case| c.person.allergies = Allergies::Known(vec![text.to_owned()])
    };
    let what = What::Allergies;
    case(what, known("penicillin"), "done");
    case(
        what,
        |c| c.person.allergies = Allergies::NotAsked,
        "Nobody has asked about allergies yet. Ask, and record the answer.",
    );
    case(
        what,
        known(" "),
        "Allergies are marked as known, and none is written down. Ask which.",
    );
    case(
        what,
        known("Insulin GLARGINE: rash"),
        "LOUD Allergy \"Insulin GLARGINE: rash\" names glargine, and the order is for insulin glargine 100 units/mL. \
         Ask the prescriber before insulin glargine 100 units/mL is given.",
    );
    // By class, and by another medicine of the class.
    let heparin = |text: &'static str| {
        move |c: &mut Case| {
            c.order.medicine = "enoxaparin".to_owned();
            c.person.allergies = Allergies::Known(vec![text.to_owned()]);
        }
    };
    case(
        what,
        heparin("heparins"),
        "LOUD Allergy \"heparins\" names heparin, the class of enoxaparin.…",
    );
    case(
        what,
        heparin("Dalteparin"),
        "LOUD Allergy \"Dalteparin\" names dalteparin, which is of the same class as enoxaparin.…",
    );
    // A medicine the book does not know is compared by its key, and that is said.
    let mut other = Case::good();
    other.order.medicine = "ablenomab".to_owned();
    other.person.allergies = Allergies::Known(vec!["ablenomab".to_owned(), "pollen".to_owned()]);
    let check = other.check(What::Allergies);
    assert!(check.is_loud());
    assert!(
        check
            .lines
            .last()
            .unwrap()
            .contains("class cannot be compared")
    );
    // Before anybody ticks it, a match is a problem already.
    case(
        what,
        |c| {
            known("insulin")(c);
            c.said.allergies = None;
        },
        "LOUD Allergy \"insulin\" names insulin…",
    );
}

#[test]
fn latex_is_loud_where_the_needle_cover_may_hold_it() {
    let etanercept = |device, needle_cover| {
        move |c: &mut Case| {
            c.order.medicine = "etanercept".to_owned();
            c.person.allergies = Allergies::Known(vec!["Latex (gloves)".to_owned()]);
            c.container().device = device;
            c.container().needle_cover = needle_cover;
        }
    };
    let what = What::Allergies;
    // Package leaflet, etanercept: the needle cover may hold latex.
    let may = "LOUD Allergy \"Latex (gloves)\", and for etanercept the needle cover may hold latex. Read the pack \
               before you touch it.";
    case(
        what,
        etanercept(Device::OneDosePen, NeedleCover::NotRead),
        may,
    );
    case(
        what,
        |c| {
            etanercept(Device::Vial, NeedleCover::NotRead)(c);
            c.said.container = None;
        },
        may,
    );
    case(
        what,
        etanercept(Device::PrefilledSyringe, NeedleCover::NoLatex),
        "done",
    );
    let not_known = "Allergy \"Latex (gloves)\": whether this pack of etanercept holds latex is not known here.…";
    case(
        what,
        etanercept(Device::Vial, NeedleCover::NotRead),
        not_known,
    );
    let holds = "LOUD Allergy \"Latex (gloves)\", and the pack says it holds latex.…";
    case(what, etanercept(Device::Vial, NeedleCover::Latex), holds);
    case(
        what,
        |c| {
            etanercept(Device::PrefilledSyringe, NeedleCover::NotRead)(c);
            c.order.medicine = "adalimumab".to_owned();
        },
        "Allergy \"Latex (gloves)\": whether this pack of adalimumab holds latex is not known here.…",
    );
}

#[test]
fn the_order_is_in_force_on_its_days() {
    let what = What::Order;
    let on = |now: &'static str| {
        move |c: &mut Case| {
            c.order.to = Some(day("2026-06-15"));
            c.now = t(now);
        }
    };
    case(what, on("2026-01-01T00:00"), "done");
    case(what, on("2026-06-15T23:59"), "done");
    case(
        what,
        on("2025-12-31T23:59"),
        "LOUD The order starts on 1 Jan 2026.",
    );
    case(
        what,
        on("2026-06-16T00:00"),
        "LOUD The order ended on 15 Jun 2026. Ask the prescriber.",
    );
}

#[test]
fn glucose_is_held_against_the_order_s_limits() {
    let what = What::Glucose;
    let value = |text: &'static str| {
        move |c: &mut Case| c.said.glucose = Some(measured(text, "2026-06-15T07:55"))
    };
    case(what, value("4.0"), "done");
    case(
        what,
        value("3.9"),
        "LOUD 3.9 mmol/L is low: below 4.0 mmol/L (JBDS 01…",
    );
    case(
        what,
        value("LO"),
        "LOUD LO (below the meter's range) is very low…",
    );
    case(
        what,
        value("14.1"),
        "14.1 mmol/L is high: above 14.0 mmol/L (South Tees…",
    );
    case(
        what,
        value("90"),
        "LOUD 90.0 mmol/L looks like 90 mg/dL: look at the meter again, which unit does it show? If it really is 90.0 \
         mmol/L, act on it now. | 90.0 mmol/L is high…",
    );
    let own = |c: &mut Case| {
        let of = |text| crate::glucose::Glucose::parse(text, GlucoseUnit::MmolPerLitre).unwrap();
        let low = Limit::by_order(of("6.0"), "Dr Ana Lind").unwrap();
        let limits = Limits::usual().with_low(low).unwrap();
        c.asks.glucose = Some(limits.with_high(of("12.0"), "Dr Ana Lind").unwrap());
    };
    case(
        what,
        |c| {
            own(c);
            value("5.9")(c);
        },
        "LOUD 5.9 mmol/L is low: below 6.0 mmol/L (set in the order by Dr Ana Lind)…",
    );
    case(
        what,
        |c| {
            own(c);
            value("12.1")(c);
        },
        "12.1 mmol/L is high: above 12.0 mmol/L (set in the order by Dr Ana Lind)…",
    );
    // Measured although nobody asks: judged by the published limits all the same.
    case(
        what,
        |c| {
            c.asks.glucose = None;
            value("3.1")(c);
        },
        "LOUD 3.1 mmol/L is low…",
    );
    let at = |at: &'static str| move |c: &mut Case| c.said.glucose = Some(measured("6.3", at));
    case(what, at("2026-06-15T07:00"), "done");
    case(
        what,
        at("2026-06-15T06:59"),
        "It was measured 1 h 1 min ago: measure again.",
    );
    case(
        what,
        at("2026-06-15T08:04"),
        "It was measured 4 min from now: look at the clock.",
    );
}

#[test]
fn meal_consent_skin_and_second_checker() {
    case(
        What::Meal,
        |c| c.said.meal = Some((Meal::Eaten, tick())),
        "done",
    );
    case(
        What::Meal,
        |c| c.said.meal = Some((Meal::NotEating, tick())),
        "The person has not eaten and is not about to. Ask the prescriber, or do what the order says.",
    );
    let consent = |consent: Consent| move |c: &mut Case| c.said.consent = Some((consent, tick()));
    case(
        What::Consent,
        consent(Consent::Refused),
        "LOUD The person says no. That can be recorded as not given, with the reason; local policy says who is told.",
    );
    case(
        What::Consent,
        consent(Consent::DecidedFor(
            "best interests, agreed with the daughter".to_owned(),
        )),
        "done",
    );
    case(
        What::Consent,
        consent(Consent::DecidedFor(" ".to_owned())),
        "Decided for the person: write who decided and on what ground.",
    );
    case(
        What::Skin,
        |c| {
            c.said.skin = Some((
                SkinSeen::Found("a bruise at the left thigh".to_owned()),
                tick(),
            ));
        },
        "Seen on the skin: a bruise at the left thigh. Choose another place and record it as a finding.",
    );
    case(
        What::SecondChecker,
        |c| {
            c.said.second = Some(Tick {
                by: "nurse mia berg ".to_owned(),
                at: t(NOW),
            });
        },
        "nurse mia berg gives it: the second checker is another person.",
    );
}

#[test]
fn a_problem_asks_for_a_reason_and_blocks_nothing() {
    let mut case = Case::good();
    case.said.consent = Some((Consent::Refused, tick()));
    let check = case.check(What::Consent);
    assert!(check.is_open() && check.is_loud());
    let reason = |what, text: &str| Reason {
        what,
        text: text.to_owned(),
        tick: tick(),
    };
    // A blank reason, or one for another check, answers nothing.
    case.said.reasons = vec![
        reason(What::Skin, "seen by the doctor"),
        reason(What::Consent, " "),
    ];
    assert!(case.check(What::Consent).is_open());
    case.said
        .reasons
        .push(reason(What::Consent, "agreed after a talk"));
    let check = case.check(What::Consent);
    assert!(
        !check.is_open() && check.is_loud(),
        "it stays what it was, with its reason"
    );
    let State::Problem { done, reason, .. } = check.state else {
        panic!("{check:?}");
    };
    assert_eq!(done, Some(tick()));
    assert_eq!(reason.unwrap().text, "agreed after a talk");
    // A reason where there is no problem changes nothing.
    assert_eq!(told(&case.check(What::Skin)), "done");
}
