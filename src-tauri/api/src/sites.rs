//! Check a proposed site; suggest the next ones.

use chrono::{DateTime, FixedOffset};
use fallow_core::leaving_lump::leaving;
use fallow_core::medicines::{Book, Medicine};
use fallow_core::orders;
use fallow_core::plan::need::Need;
use fallow_core::rules::{Interval, Proposal, Verdict, check as check_rules};
use fallow_core::site::Site;
use fallow_core::suggest::{Wish, nearest_cm, suggest as suggest_sites};
use fallow_core::time;
use fallow_store::{InjectionEntry, OrderEntry};

use crate::error::{ApiError, ErrorCode as Code};
use crate::record::{SkinThen, medicine, person_and_order};
use crate::wire::{LeavingLump, SinceLast, SiteCheck, SiteCheckData, SiteSuggest, SiteSuggestData};
use crate::{App, Clock, Now, lower, raise};

pub(crate) fn check(app: &App, args: &SiteCheck, now: Now) -> Result<SiteCheckData, ApiError> {
    let reader = app.store()?.reader();
    let (person, order) = person_and_order(&reader, &args.person, &args.order)?;
    let at = lower::instant(&args.at, person.person.zone, now.clock)?;
    let self_given = lower::self_given(args.giver.as_deref(), person.person.self_injects)?;
    let medicine = medicine(&order.order.medicine)?;
    let without = args.without.as_deref().map(str::to_lowercase);
    let then = SkinThen::read(&reader, &person, medicine, at, without.as_deref())?;
    let site = lower::site(&args.site, &then.body)?;
    let reasons = check_rules(
        &Proposal {
            site,
            at,
            medicine,
            self_given,
        },
        &then.skin(),
    );
    let place = raise::place(&site);
    Ok(SiteCheckData {
        verdict: Verdict::of(&reasons).code().to_owned(),
        reasons: raise::reasons(&reasons),
        words: place.words,
        words_patient: place.words_patient,
        site: place.site,
        nearest_cm: nearest_cm(&site, at, &then.skin()),
        since_last: since_last(&then.entries, &order, at, now.clock),
        assumed: raise::measures(&then.body.assumed_for(site.zone)),
        leaving_lump: leaving_lump(&then, &order, &site, at),
    })
}

/// What to say where the next site leaves a lump for healthy skin.
fn leaving_lump(
    then: &SkinThen,
    order: &OrderEntry,
    next: &Site,
    at: DateTime<FixedOffset>,
) -> Option<LeavingLump> {
    let medicine = Book::shipped().medicine(&order.order.medicine)?;
    let left = leaving(
        next,
        medicine,
        &then.history,
        &then.findings,
        &then.body,
        at,
    )?;
    Some(LeavingLump {
        words: left.words,
        source: left.source,
        findings: left.findings,
    })
}

/// The last injection of the order's medicine before `at`, and what the time since means.
pub(crate) fn since_last(
    entries: &[InjectionEntry],
    order: &OrderEntry,
    at: DateTime<FixedOffset>,
    clock: Clock,
) -> Option<SinceLast> {
    let interval = Interval::of(&order.order);
    let last = entries
        .iter()
        .filter(|e| e.injection.medicine == order.order.medicine && e.injection.given_at <= at)
        .max_by_key(|e| (e.injection.given_at, e.head.seq))?;
    let judged = interval.judge(last.injection.given_at, at);
    Some(SinceLast {
        injection: raise::injection(last, clock),
        minutes: i32::try_from(judged.elapsed.num_minutes()).unwrap_or(i32::MAX),
        words: time::length_words(judged.elapsed),
        early: judged.early,
        needs_reason: judged.needs_reason,
        usual_hours: interval.usual.map(|d| d.num_minutes() as f64 / 60.0),
    })
}

pub(crate) fn suggest(
    app: &App,
    args: &SiteSuggest,
    now: Now,
) -> Result<SiteSuggestData, ApiError> {
    let count = args.count.unwrap_or(5);
    if !(1..=5).contains(&count) {
        return Err(ApiError::new(Code::BadCount, "Ask for 1 to 5 sites."));
    }
    let reader = app.store()?.reader();
    let (person, order) = person_and_order(&reader, &args.person, &args.order)?;
    let at = lower::instant(&args.at, person.person.zone, now.clock)?;
    let self_given = lower::self_given(args.giver.as_deref(), person.person.self_injects)?;
    let medicine = medicine(&order.order.medicine)?;
    let then = SkinThen::read(&reader, &person, medicine, at, None)?;
    let wish = Wish {
        at,
        medicine,
        self_given,
        from: order.order.from,
        zones: orders::zones_at(&order.order, at).unwrap_or(&person.person.zones),
        count: usize::from(count),
        per_day: per_day(&reader.orders_of(&person.head.root)?, medicine, at),
    };
    let answer = suggest_sites(&wish, &then.skin());
    let leaving_lump = answer
        .sites
        .first()
        .and_then(|first| leaving_lump(&then, &order, &first.site, at));
    Ok(SiteSuggestData {
        leaving_lump,
        sites: answer.sites.iter().map(raise::suggestion).collect(),
        pattern_words: answer.pattern_words,
        note: answer.note,
    })
}

/// Injections a day of every order in force of the same class. One that is given when needed counts as one a day, since
/// nobody knows how many it will be.
pub(crate) fn per_day(
    orders: &[OrderEntry],
    medicine: &Medicine,
    at: DateTime<FixedOffset>,
) -> f64 {
    let day = at.date_naive();
    orders
        .iter()
        .map(|o| &o.order)
        .filter(|o| raise::order_state(o, day) == "in_force")
        .filter_map(|o| Some((o, Book::shipped().medicine(&o.medicine)?)))
        .filter(|(_, of)| of.class == medicine.class)
        .map(|(o, of)| Need::of(o, of).map_or(1.0, |need| need.per_day))
        .sum::<f64>()
        .max(1.0 / 7.0)
}
