//! The container in hand, and the one of last time.

use super::*;

#[test]
fn medicine_and_strength_on_the_container_are_the_order_s() {
    let what = What::Container;
    let name = |text: &'static str| move |c: &mut Case| c.container().medicine = text.to_owned();
    let strength = |text: Option<&'static str>| {
        move |c: &mut Case| c.container().strength = text.map(str::to_owned)
    };
    case(
        what,
        name("Insulin degludec"),
        "LOUD The container says \"Insulin degludec\"; the order is for insulin glargine 100 units/mL. Read both again.",
    );
    case(
        what,
        name("insulin glargine lixisenatide"),
        "LOUD The container says…",
    );
    case(
        what,
        name(" "),
        "The medicine was not read from the container. The order is for insulin glargine 100 units/mL.",
    );
    case(
        what,
        strength(Some("300 units/mL")),
        "LOUD The strength on the container is 300 units/mL; the order is for insulin glargine 100 units/mL. Read both \
         again.",
    );
    case(what, strength(Some("U-100")), "done");
    case(
        what,
        strength(None),
        "The strength was not read from the container. The order is for insulin glargine 100 units/mL.",
    );
    case(
        what,
        strength(Some("hundred")),
        "Strength \"hundred\" cannot be compared with \"insulin glargine 100 units/mL\" here: compare them by eye.",
    );
    // The strength may stand with the name.
    case(
        what,
        |c| {
            name("insulin glargine 100 units/mL")(c);
            strength(None)(c);
        },
        "done",
    );
    // The order's own strength comes before the one in the medicine's name.
    let ordered = |text: &'static str| {
        move |c: &mut Case| {
            c.order.medicine = "adalimumab".to_owned();
            c.strength = Some(text);
            c.container().medicine = "adalimumab".to_owned();
            c.container().device = Device::OneDosePen;
            c.container().opened = None;
            c.container().strength = Some("40 mg/0.4 mL".to_owned());
        }
    };
    case(what, ordered("40 mg/0.4 mL"), "done");
    case(what, ordered("100 mg/mL"), "done");
    case(
        what,
        ordered("40 mg/0.8 mL"),
        "LOUD The strength on the container is 40 mg/0.4 mL;…",
    );
    case(
        what,
        ordered("40 mg"),
        "Strength \"40 mg/0.4 mL\" cannot be compared with \"40 mg\"…",
    );
    // An order that names no strength: said, and no problem.
    let mut silent = Case::good();
    ordered("")(&mut silent);
    silent.strength = None;
    let check = silent.check(What::Container);
    assert_eq!(told(&check), "done");
    assert!(
        check.lines[1].contains("The order names none, so it cannot be compared"),
        "{:?}",
        check.lines
    );
}

#[test]
fn the_expiry_day_itself_is_still_good() {
    // Common practice, no source: the printed day, or the last day of the printed month.
    let what = What::Container;
    let expires = |expiry: Option<Expiry>, now: &'static str| {
        move |c: &mut Case| {
            c.container().expires = expiry;
            c.container().opened = Some(t(now).date_naive());
            c.now = t(now);
        }
    };
    let printed = Some(Expiry::day(day("2026-09-10")));
    case(what, expires(printed, "2026-09-10T23:59"), "done");
    case(
        what,
        expires(printed, "2026-09-11T00:00"),
        "LOUD Expired: 10 Sep 2026; its last good day was 10 Sep 2026. Take another container.",
    );
    case(
        what,
        expires(Expiry::month(2026, 9), "2026-09-30T23:59"),
        "done",
    );
    case(
        what,
        expires(Expiry::month(2026, 9), "2026-10-01T00:00"),
        "LOUD Expired: 09/2026; its last good day was 30 Sep 2026. Take another container.",
    );
    case(what, expires(None, NOW), "The expiry date was not read.");
    for (year, month, last) in [
        (2026, 12, "2026-12-31"),
        (2028, 2, "2028-02-29"),
        (2027, 2, "2027-02-28"),
    ] {
        assert_eq!(
            Expiry::month(year, month).unwrap().last_good_day(),
            day(last)
        );
    }
    assert_eq!(Expiry::month(2026, 0), None);
    assert_eq!(Expiry::month(2026, 13), None);
}

#[test]
fn days_since_opening_are_held_against_what_is_published() {
    let what = What::Container;
    let opened = |medicine: &'static str, on: Option<&'static str>| {
        move |c: &mut Case| {
            c.order.medicine = medicine.to_owned();
            c.container().medicine = Book::shipped().medicine(medicine).unwrap().name.clone();
            c.container().strength = None;
            c.container().opened = on.map(day);
        }
    };
    // Heinemann L et al. 2020, Table 1: glargine 100 28 days; today is 15 June.
    case(
        what,
        opened("insulin-glargine-100", Some("2026-05-18")),
        "done",
    );
    case(
        what,
        opened("insulin-glargine-100", Some("2026-05-17")),
        "LOUD Opened 17 May 2026, 29 days ago; once opened it lasts 28 days. Take another container.",
    );
    // NPH 14 to 42 days by presentation; glargine 300 42 (EU) or 56 (US).
    case(
        what,
        opened("insulin-human-nph-100", Some("2026-05-31")),
        "Opened 31 May 2026, 15 days ago; once opened it lasts 14 days (the shortest presentation), 42 days (the \
         longest presentation), so it depends on which this is: read the leaflet.",
    );
    case(
        what,
        opened("insulin-glargine-300", Some("2026-05-03")),
        "Opened 3 May 2026, 43 days ago; once opened it lasts 42 days (EU), 56 days (US), so it depends…",
    );
    case(
        what,
        opened("insulin-glargine-300", Some("2026-04-19")),
        "LOUD Opened 19 Apr 2026, 57 days ago; once opened it lasts 42 days (EU), 56 days (US).…",
    );
    case(
        what,
        opened("insulin-glargine-100", Some("2026-06-16")),
        "Opened on 16 Jun 2026, which is after today: look at the date.",
    );
    case(
        what,
        opened("insulin-glargine-100", None),
        "The day it was opened was not read. Look for it on the container; if it is new, write today's date on it.",
    );
    // Not known: said, and no constant instead.
    let mut unknown = Case::good();
    opened("insulin-aspart-100", Some("2026-01-15"))(&mut unknown);
    let check = unknown.check(What::Container);
    assert_eq!(told(&check), "done");
    assert!(
        check.lines.contains(
            &"Opened 15 Jan 2026, 151 days ago. How long insulin aspart 100 units/mL lasts once opened is not known \
              here: read the leaflet."
                .to_owned()
        ),
        "{:?}",
        check.lines
    );
    // One dose: no day of opening is asked for; one opened earlier is asked about.
    let syringe = |on: Option<&'static str>| {
        move |c: &mut Case| {
            opened("enoxaparin", on)(c);
            c.container().device = Device::PrefilledSyringe;
        }
    };
    case(what, syringe(None), "done");
    case(what, syringe(Some("2026-06-15")), "done");
    case(
        what,
        syringe(Some("2026-06-14")),
        "It is for one dose, and was opened 1 day ago: read the leaflet.",
    );
}

#[test]
fn only_a_container_that_still_fits_is_offered_as_last_time() {
    let offered = |spoil: fn(&mut Case)| {
        let mut case = Case::good();
        spoil(&mut case);
        case.check(What::Container).as_last_time
    };
    assert_eq!(offered(|_| ()), AsLastTime::Offered(Box::new(pen())));
    for spoil in [
        (|c| c.last = None) as fn(&mut Case),
        |c| c.last.as_mut().unwrap().expires = Expiry::month(2026, 5),
        |c| c.last.as_mut().unwrap().expires = None,
        |c| c.last.as_mut().unwrap().opened = Some(day("2026-05-17")),
        |c| c.last.as_mut().unwrap().opened = None,
        |c| c.last.as_mut().unwrap().medicine = "insulin detemir".to_owned(),
        |c| c.last.as_mut().unwrap().strength = Some("300 units/mL".to_owned()),
        |c| {
            // Nothing else stands against it: a dose is all there was in it.
            c.last.as_mut().unwrap().device = Device::PrefilledSyringe;
            c.last.as_mut().unwrap().opened = None;
        },
        // Another order's container, and one whose days in use nobody published here.
        |c| c.order.medicine = "insulin-detemir-100".to_owned(),
        |c| {
            c.order.medicine = "insulin-aspart-100".to_owned();
            c.last.as_mut().unwrap().medicine = "insulin aspart".to_owned();
        },
    ] {
        let found = offered(spoil);
        assert!(
            matches!(&found, AsLastTime::NotNow(why) if !why.is_empty()),
            "{found:?}"
        );
    }
    // Between the shortest and the longest life it depends, so it is read again.
    let depends = offered(|c| {
        c.order.medicine = "insulin-human-nph-100".to_owned();
        c.last.as_mut().unwrap().medicine = "human insulin NPH".to_owned();
        c.last.as_mut().unwrap().opened = Some(day("2026-05-31"));
    });
    assert!(
        matches!(&depends, AsLastTime::NotNow(why) if why.contains("depends")),
        "{depends:?}"
    );
    // Offered is not done.
    let mut case = Case::good();
    case.said.container = None;
    let check = case.check(What::Container);
    assert_eq!(check.state, State::NotYet);
    assert!(matches!(check.as_last_time, AsLastTime::Offered(_)));
    // Nothing else is ever offered.
    for check in Case::good().page() {
        assert!(
            check.what == What::Container || check.as_last_time == AsLastTime::Never,
            "{check:?}"
        );
    }
}

#[test]
fn an_expiry_reads_back_as_it_is_written() {
    for (text, last) in [
        ("2027-03-05", "2027-03-05"),
        ("2027-03", "2027-03-31"),
        ("2026-12", "2026-12-31"),
        ("2028-02", "2028-02-29"),
    ] {
        let read = Expiry::parse(text).unwrap();
        assert_eq!(read.code(), text);
        assert_eq!(read.last_good_day().to_string(), last);
    }
    for bad in [
        "",
        "2027",
        "2027-13",
        "2027-3",
        "27-03",
        "2027-03-32",
        "March 2027",
        "20x7-03",
    ] {
        assert_eq!(Expiry::parse(bad), None, "{bad}");
    }
}
