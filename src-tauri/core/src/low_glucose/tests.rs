//! Episodes told as a list of times, and the laws of the countdown.

use super::*;
use crate::glucose::{Glucose, GlucoseUnit, Limit};
use proptest::prelude::*;

fn t(clock: &str) -> DateTime<FixedOffset> {
    let seconds = if clock.len() == 5 { ":00" } else { "" };
    DateTime::parse_from_rfc3339(&format!("2026-06-03T{clock}{seconds}+01:00")).unwrap()
}

/// `08:20 3.1`, `08:21 carbohydrate`, `08:25 drowsy`.
fn events(lines: &[&str]) -> Vec<Event> {
    let event = |line: &&str| {
        let (at, what) = line.split_once(' ').unwrap();
        Event {
            at: t(at),
            happened: match what {
                "carbohydrate" => Happened::TookCarbohydrate,
                "drowsy" => Happened::CannotSwallow,
                value => {
                    Happened::Checked(Reading::parse(value, GlucoseUnit::MmolPerLitre).unwrap())
                }
            },
            recorder: "Nurse Mia Berg".to_owned(),
        }
    };
    lines.iter().map(event).collect()
}

fn at(lines: &[&str], now: &str) -> State {
    state(&events(lines), &Limits::usual(), t(now), Clock::Hours24)
}

#[test]
fn times_are_told_by_the_clock_chosen() {
    let lines = events(&["11:50 3.1", "11:55 carbohydrate", "11:50 3.0"]);
    let state = |clock| state(&lines[..2], &Limits::usual(), t("11:56"), clock).words;
    assert!(state(Clock::Hours24).contains("again at 12:10,"));
    assert!(state(Clock::Hours12).contains("again at 12:10 pm,"));
    let doubts = super::state(&lines, &Limits::usual(), t("11:56"), Clock::Hours12).doubts;
    assert!(doubts[0].contains("at 11:50 am, earlier than the entry before it at 11:55 am"));
}

/// Code of the step, seconds left, rounds, how many doubts.
fn check(lines: &[&str], now: &str, want: (&str, u16, u32, usize)) {
    let state = at(lines, now);
    assert_eq!(
        (
            state.step.code(),
            state.seconds_left,
            state.rounds,
            state.doubts.len()
        ),
        want,
        "{lines:?} at {now}: {:?}",
        state.doubts
    );
}

#[test]
fn the_usual_steps() {
    // JBDS 01: below 4.0 mmol/L 15 to 20 g, 15 minutes, check; up to three times; then help.
    check(&[], "08:20", ("not_low", 0, 0, 0));
    check(&["08:20 4.0"], "08:20", ("not_low", 0, 0, 0));
    check(&["08:20 3.9"], "08:20", ("take_carbohydrate", 0, 0, 0));
    let one = ["08:20 3.1", "08:21 carbohydrate"];
    check(&one, "08:21", ("wait", 900, 1, 0));
    check(&one, "08:35:59", ("wait", 1, 1, 0));
    check(&one, "08:36", ("check_again", 0, 1, 0));
    check(&one, "23:59", ("check_again", 0, 1, 0));
    check(
        &[one[0], one[1], "08:36 4.0"],
        "08:37",
        ("finished", 0, 1, 0),
    );
    let mut all = vec![one[0], one[1], "08:36 3.4"];
    check(&all, "08:36", ("take_carbohydrate", 0, 1, 0));
    all.extend(["08:37 carbohydrate", "08:52 3.5"]);
    check(&all, "08:52", ("take_carbohydrate", 0, 2, 0));
    all.extend(["08:53 carbohydrate", "09:08 3.9"]);
    check(&all, "09:08", ("call_for_help", 0, 3, 0));
    // Waiting for help: carbohydrate and low values leave it so, a value that is not low ends it.
    all.extend(["09:10 carbohydrate", "09:25 3.9"]);
    check(&all, "09:25", ("call_for_help", 0, 4, 0));
    all.push("09:40 4.2");
    check(&all, "09:40", ("finished", 0, 4, 0));
}

#[test]
fn drowsy_at_any_time_calls_emergency_services_and_stays() {
    check(
        &["08:20 drowsy"],
        "08:20",
        ("call_emergency_services", 0, 0, 0),
    );
    let events = [
        "08:20 3.1",
        "08:21 carbohydrate",
        "08:25 drowsy",
        "08:36 5.5",
        "08:37 carbohydrate",
    ];
    check(&events[..3], "08:25", ("call_emergency_services", 0, 1, 0));
    check(&events, "08:40", ("call_emergency_services", 0, 2, 0));
    assert!(
        at(&events, "08:40")
            .words
            .contains("emergency services now. Nothing by mouth")
    );
}

#[test]
fn meter_words_and_a_low_value_after_the_end_count() {
    check(&["08:20 LO"], "08:20", ("take_carbohydrate", 0, 0, 0));
    let events = ["08:20 LO", "08:21 carbohydrate", "08:36 HI", "09:30 3.7"];
    check(&events[..3], "08:36", ("finished", 0, 1, 0));
    check(&events, "09:30", ("take_carbohydrate", 0, 1, 0));
    // Carbohydrate before any check is a round too.
    check(&["08:20 carbohydrate"], "08:21", ("wait", 840, 1, 0));
}

#[test]
fn an_early_check_is_said_to_be_early() {
    let start = ["08:20 3.1", "08:21 carbohydrate"];
    // Still low before the time: the wait goes on.
    check(
        &[start[0], start[1], "08:28 3.3"],
        "08:28",
        ("wait", 480, 1, 1),
    );
    // Not low any more: finished, and to be checked once more.
    let early = at(&[start[0], start[1], "08:28 4.4"], "08:28");
    assert_eq!(early.step, Step::Finished);
    assert_eq!(
        early.doubts,
        ["The check at 08:28 is early, 7 min after the carbohydrate: check again at 08:36."]
    );
}

#[test]
fn time_going_backwards_is_answered_in_words() {
    let start = ["08:20 3.1", "08:21 carbohydrate"];
    // A check earlier than the low value, before anything was taken.
    let state = at(&["08:20 3.1", "08:10 3.3"], "08:22");
    assert_eq!(
        (state.step, state.seconds_left),
        (Step::TakeCarbohydrate, 0)
    );
    assert_eq!(
        state.doubts,
        [
            "A check is recorded at 08:10, earlier than the entry before it at 08:20: look at the clock. How long the \
             wait was is not known."
        ]
    );
    // One that is not low may have come before the low one: it does not end the steps.
    check(
        &["08:20 3.1", "08:10 5.0"],
        "08:22",
        ("take_carbohydrate", 0, 0, 1),
    );
    // While waiting: still low is treated again, not low is checked once more, and that check decides.
    check(
        &[start[0], start[1], "07:40 3.3"],
        "07:41",
        ("take_carbohydrate", 0, 1, 1),
    );
    let good = [start[0], start[1], "07:40 4.8", "07:42 4.9"];
    check(&good[..3], "07:41", ("check_again", 0, 1, 1));
    check(&good, "07:42", ("finished", 0, 1, 1));
    // The clock was set back after the last entry: never more than 15 minutes, and said.
    let state = at(&start, "07:21");
    assert_eq!(state.seconds_left, 900);
    assert_eq!(
        state.doubts,
        [
            "The clock shows 07:21, earlier than the last entry at 08:21: it may have been set back. Count the 15 \
             minutes on a watch."
        ]
    );
}

#[test]
fn the_countdown_is_about_instants_and_not_clocks() {
    // Over the hour that comes twice: 02:55 +02:00 and 02:05 +01:00 are ten minutes apart.
    let event = |at: &str, happened| Event {
        at: DateTime::parse_from_rfc3339(at).unwrap(),
        happened,
        recorder: "Ida Moss".to_owned(),
    };
    let events = [event(
        "2026-10-25T02:55:00+02:00",
        Happened::TookCarbohydrate,
    )];
    let now = DateTime::parse_from_rfc3339("2026-10-25T02:05:00+01:00").unwrap();
    let state = state(&events, &Limits::usual(), now, Clock::Hours24);
    assert_eq!((state.seconds_left, state.doubts.len()), (300, 0));
}

#[test]
fn the_order_s_own_limit_is_used_and_named() {
    let limit = Glucose::parse("6.0", GlucoseUnit::MmolPerLitre).unwrap();
    let limits = Limits::usual()
        .with_low(Limit::by_order(limit, "Dr Ana Lind").unwrap())
        .unwrap();
    let state = state(&events(&["08:20 5.9"]), &limits, t("08:20"), Clock::Hours24);
    assert_eq!(
        state.words,
        "5.9 mmol/L is below 6.0 mmol/L (set in the order by Dr Ana Lind). Take 15 to 20 g of fast carbohydrate now: \
         round 1 of 3. Check again 15 minutes after it. If the person is drowsy or cannot swallow: nothing by mouth, \
         call emergency services."
    );
}

#[test]
fn the_end_says_to_eat_and_leaves_the_injection_to_the_order() {
    let words = at(&["08:20 3.1", "08:21 carbohydrate", "08:36 5.2"], "08:36").words;
    assert_eq!(
        words,
        "5.2 mmol/L is not below 4.0 mmol/L (JBDS 01, UK inpatient guidance). Eat something now, or the meal if it is \
         due. About the injection: do as the order says and ask the prescriber. Local policy comes first."
    );
}

#[test]
fn a_number_that_looks_like_the_other_unit_is_asked_about() {
    check(&["08:20 90"], "08:20", ("not_low", 0, 0, 1));
}

fn any_event() -> impl Strategy<Value = Event> {
    let reading = prop_oneof![
        Just(Reading::BelowMeter),
        Just(Reading::AboveMeter),
        (1_i64..=100).prop_map(|n| Reading::Value(
            Glucose::from_tenths(n, GlucoseUnit::MmolPerLitre).unwrap()
        )),
        (1_i64..=400).prop_map(|n| Reading::Value(
            Glucose::from_tenths(n * 10, GlucoseUnit::MgPerDecilitre).unwrap()
        )),
    ];
    let happened = prop_oneof![
        6 => reading.prop_map(Happened::Checked),
        5 => Just(Happened::TookCarbohydrate),
        1 => Just(Happened::CannotSwallow),
    ];
    (any_instant(), happened).prop_map(|(at, happened)| Event {
        at,
        happened,
        recorder: String::new(),
    })
}

/// Mostly within an hour or two, now and then anywhere from 1653 to 2286.
fn any_instant() -> impl Strategy<Value = DateTime<FixedOffset>> {
    let seconds =
        prop_oneof![9 => 1_780_000_000_i64..1_780_007_200, 1 => -9_999_999_999_i64..9_999_999_999];
    (seconds, 0_u32..1000, -14_i32..=14).prop_map(|(s, ms, hours)| {
        let offset = FixedOffset::east_opt(hours * 3600).unwrap();
        DateTime::from_timestamp(s, ms * 1_000_000)
            .unwrap()
            .with_timezone(&offset)
    })
}

proptest! {
    #[test]
    fn any_record_has_a_state(
        events in proptest::collection::vec(any_event(), 0..12),
        now in any_instant(),
    ) {
        let mut rounds = 0;
        let mut before = Step::NotLow;
        for n in 0..=events.len() {
            let state = state(&events[..n], &Limits::usual(), now, Clock::Hours24);
            prop_assert!(state.seconds_left <= 900);
            prop_assert_eq!(matches!(state.step, Step::Wait { .. }), state.seconds_left > 0);
            prop_assert!(state.rounds >= rounds, "{} after {}", state.rounds, rounds);
            rounds = state.rounds;
            prop_assert!(!state.words.is_empty());
            // A record of somebody who could not swallow never ends in anything but emergency services.
            let drowsy = events[..n].iter().any(|e| e.happened == Happened::CannotSwallow);
            prop_assert_eq!(drowsy, state.step == Step::CallEmergencyServices);
            // Nothing ends while the last thing measured is low.
            let last = events[..n].iter().rev().find_map(|e| match e.happened {
                Happened::Checked(reading) => Some(reading),
                _ => None,
            });
            if state.step == Step::Finished {
                prop_assert!(!judge(last.unwrap(), &Limits::usual()).standing.is_low());
            }
            // A check earlier than the entry before it ends nothing.
            let back_check = n > 1
                && events[n - 1].at < events[n - 2].at
                && matches!(events[n - 1].happened, Happened::Checked(_));
            if back_check && state.step == Step::Finished {
                prop_assert_eq!(before, Step::Finished);
            }
            before = state.step;
            // A time that goes back is never passed over.
            let back = events[..n].windows(2).any(|pair| pair[1].at < pair[0].at)
                || events[..n].last().is_some_and(|last| now < last.at);
            prop_assert!(!back || !state.doubts.is_empty());
        }
    }

    #[test]
    fn the_countdown_only_goes_down(start in any_instant(), first in 0_i64..2000, later in 0_i64..2000) {
        let events = [Event { at: start, happened: Happened::TookCarbohydrate, recorder: String::new() }];
        let left = |s: i64| state(&events, &Limits::usual(), start + Duration::seconds(s), Clock::Hours24).seconds_left;
        prop_assert_eq!(i64::from(left(first)), (900 - first).max(0));
        prop_assert!(left(first) >= left(first + later));
    }
}

#[test]
fn a_new_value_begins_anew_after_an_end_and_over_ends_an_emergency() {
    let told = |lines: &[&str], over_after: Option<usize>| {
        let mut entries: Vec<Entry> = events(lines).into_iter().map(Entry::Event).collect();
        if let Some(place) = over_after {
            entries.insert(place, Entry::Over);
        }
        let state = current(entries, &Limits::usual(), t("12:00"), Clock::Hours24);
        (state.step.code(), state.rounds)
    };
    assert_eq!(told(&[], None), ("not_low", 0));
    assert_eq!(
        told(
            &["08:00 3.2", "08:00 carbohydrate", "08:16 5.1", "11:00 3.0"],
            None
        ),
        ("take_carbohydrate", 0),
        "the rounds of an episode that finished are not counted again"
    );
    // Still low: the rounds go on.
    assert_eq!(
        told(
            &[
                "08:00 3.2",
                "08:00 carbohydrate",
                "08:16 3.4",
                "08:16 carbohydrate"
            ],
            None
        ),
        ("check_again", 2)
    );
    let drowsy = ["08:00 3.2", "08:05 drowsy", "08:30 6.0"];
    assert_eq!(told(&drowsy, None).0, "call_emergency_services");
    assert_eq!(told(&drowsy, Some(3)).0, "not_low");
    assert_eq!(told(&drowsy, Some(1)).0, "call_emergency_services");
}
