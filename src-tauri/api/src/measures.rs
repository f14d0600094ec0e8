//! Rotation measures of a period, and use of the skin cell by cell: reads the record, asks the core, words nothing.

use chrono::{DateTime, Duration, FixedOffset, NaiveDate};
use fallow_core::body::Body;
use fallow_core::measures::{
    self as core, Balance, Correction, Kept, Measures, Neighbours, Period, Question,
};
use fallow_core::medicines::{Book, Medicine};
use fallow_core::plan::{allowed, reach};
use fallow_core::rules::History;
use fallow_core::site::{Quadrant, Side, Site, Zone};
use fallow_core::use_grid::{self as grid, CELL_CM, Cell, Footprint, ZoneGrid};
use fallow_core::{time, use_map, words};
use fallow_store::{InjectionEntry, PersonEntry, Reader};

use crate::error::{ApiError, ErrorCode as Code};
use crate::wire::{
    AllowedZone, BalanceData, BusiestData, CellRow, KeptData, MeasuresData, MeasuresGet,
    NeighboursData, PartCount, RulesOf, RunData, SkinUsedData, Told, UnplacedUse, UseGridData,
    UseGridGet, XY, ZoneCells, ZoneSpread,
};
use crate::{App, Now, lower, raise, record, skin};

/// Where the random patterns start: any number does, and always the same one gives the same answer.
const SEED: u64 = 28;
/// How far back the first injections of a period are held against earlier ones; longer than any rule's rest.
const BEFORE_DAYS: i64 = 370;

/// A period of a person's record, measured.
pub(crate) struct Measured {
    pub found: Measures,
    pub body: Body,
    areas: Vec<AllowedZone>,
    pub ruling: Option<(&'static Medicine, RulesOf)>,
}

/// From when to when injections matter to a period, both included: long before it for what its first are held against,
/// and a little after, because entries count by the day of their own offset, which may be up to a day and a bit off the
/// person's.
pub(crate) fn around(
    person: &PersonEntry,
    period: Period,
) -> (DateTime<FixedOffset>, DateTime<FixedOffset>) {
    let start = |day| time::day_start(day, person.person.zone);
    (
        start(period.from) - Duration::days(BEFORE_DAYS),
        start(period.to) + Duration::days(3),
    )
}

/// Measures a period.
pub(crate) fn of_period(
    reader: &Reader<'_>,
    person: &PersonEntry,
    period: Period,
) -> Result<Measured, ApiError> {
    let (first, last) = around(person, period);
    let entries = record::given(reader, person, first, last)?;
    of_entries(reader, person, period, &entries.iter().collect::<Vec<_>>())
}

/// Measures a period whose injections, those [`around`] it, were read already.
pub(crate) fn of_entries(
    reader: &Reader<'_>,
    person: &PersonEntry,
    period: Period,
    entries: &[&InjectionEntry],
) -> Result<Measured, ApiError> {
    let book = Book::shipped();
    let history = History::of(entries.iter().map(|e| &e.injection), book);
    let body = Body::of(&person.person.sizes);
    let within: Vec<&InjectionEntry> = entries
        .iter()
        .copied()
        .filter(|e| (period.from..=period.to).contains(&e.injection.day()))
        .collect();
    let ruling = ruling(reader, person, period.to, &within)?;
    let mut allowed_skin = Vec::new();
    if let Some((medicine, _)) = &ruling {
        let zones = reach::zones(
            medicine,
            &person.person.zones,
            person.person.self_injects,
            &book.general,
        );
        let margin = record::navel_margin(reader)?;
        let end_of_day = time::day_start(period.to, person.person.zone) + Duration::days(1);
        let findings = skin::there(reader, &person.head.root, end_of_day)?;
        allowed_skin = allowed::allowed(&body, medicine, margin, &findings, &zones.used);
    }
    let areas = allowed_skin
        .iter()
        .map(|s| AllowedZone {
            zone: s.zone.code().to_owned(),
            words: s.zone.words().to_owned(),
            area_cm2: s.area_cm2,
        })
        .collect();
    let regions: Vec<_> = allowed_skin
        .into_iter()
        .map(|s| (s.zone, s.region))
        .collect();
    let found = core::measure(&Question {
        body: &body,
        history: &history,
        book,
        allowed: &regions,
        period,
        seed: SEED,
    });
    Ok(Measured {
        found,
        body,
        areas,
        ruling,
    })
}

pub(crate) fn measures(app: &App, args: &MeasuresGet, now: Now) -> Result<MeasuresData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let today = time::day_in(now.at, person.person.zone);
    let (from, to) = lower::period(args.from.as_deref(), args.to.as_deref(), today)?;
    let measured = of_period(&reader, &person, Period { from, to })?;
    let rules = measured.ruling.map(|r| r.1);
    Ok(told(measured.found, measured.areas, rules, &measured.body))
}

/// The medicine whose rules count: of the orders in force on `day` the most injected one; without any the most
/// injected one at all.
fn ruling(
    reader: &Reader<'_>,
    person: &PersonEntry,
    day: NaiveDate,
    entries: &[&InjectionEntry],
) -> Result<Option<(&'static Medicine, RulesOf)>, ApiError> {
    let given = |key: &str| {
        entries
            .iter()
            .filter(|e| e.injection.medicine == key)
            .count()
    };
    let orders = reader.orders_of(&person.head.root)?;
    let mut keys: Vec<&str> = orders
        .iter()
        .filter(|o| raise::order_state(&o.order, day) == "in_force")
        .map(|o| o.order.medicine.as_str())
        .collect();
    let ordered = !keys.is_empty();
    if !ordered {
        keys = entries
            .iter()
            .map(|e| e.injection.medicine.as_str())
            .collect();
    }
    keys.sort_unstable();
    keys.dedup();
    let several = keys.len() > 1;
    let mut known: Vec<&Medicine> = keys
        .iter()
        .filter_map(|key| Book::shipped().medicine(key))
        .collect();
    // A stable sort, so that of equals the first by name counts.
    known.sort_by_key(|m| std::cmp::Reverse(given(&m.id)));
    let why = match (ordered, several) {
        (true, false) => "the order in force",
        (true, true) => "the most injected of the orders in force",
        (false, _) => "no order is in force; the most injected medicine",
    };
    Ok(known.first().map(|m| {
        let rules = RulesOf {
            medicine: m.id.clone(),
            name: m.name.clone(),
            words: format!("By the rules of {} ({why}).", m.name),
        };
        (*m, rules)
    }))
}

fn told(
    found: Measures,
    allowed: Vec<AllowedZone>,
    rules: Option<RulesOf>,
    body: &Body,
) -> MeasuresData {
    let (from, to) = (found.period.from, found.period.to);
    MeasuresData {
        from: from.to_string(),
        to: to.to_string(),
        words: format!("{} to {}", time::day_words(from), time::day_words(to)),
        injections: found.injections as u32,
        quadrant_only: found.quadrant_only as u32,
        rules,
        allowed,
        spacing: with(found.spacing, kept),
        rest: with(found.rest, kept),
        skin_used: with(found.skin_used, |s| SkinUsedData {
            used_cm2: s.used_cm2,
            allowed_cm2: s.allowed_cm2,
            share: s.share,
        }),
        neighbours: found
            .neighbours
            .into_iter()
            .map(|(zone, spread)| ZoneSpread {
                zone: zone.code().to_owned(),
                spread: with(spread, neighbours),
            })
            .collect(),
        sides: with(found.sides, |b| {
            balance(&b, |side: &Side| {
                (side.word().to_owned(), side.word().to_owned())
            })
        }),
        quadrants: with(found.quadrants, |b| {
            balance(&b, |(zone, quadrant): &(Zone, Quadrant)| {
                (
                    format!("{}/{}", zone.code(), quadrant.code()),
                    words::quadrant(*zone, *quadrant),
                )
            })
        }),
        longest_run: with(found.longest_run, |r| RunData {
            zone: r.zone.code().to_owned(),
            quadrant: r.quadrant.code().to_owned(),
            count: r.count as u32,
            first: r.first.to_string(),
            last: r.last.to_string(),
        }),
        busiest: with(found.busiest, |b| BusiestData {
            place: raise::place(&Site {
                zone: b.zone,
                quadrant: b.quadrant,
                point: Some(b.centre),
            }),
            count: b.count as u32,
        }),
        assumed: raise::assumed(body),
    }
}

fn with<A, B>(measure: core::Told<A>, into: impl FnOnce(A) -> B) -> Told<B> {
    Told {
        words: measure.words,
        value: measure.value.map(into),
    }
}

fn kept(kept: Kept) -> KeptData {
    KeptData {
        kept: kept.share.kept as u32,
        of: kept.share.of as u32,
        share: kept.share.share,
        low: kept.share.low,
        high: kept.share.high,
        unknown: kept.unknown as u32,
        worst: kept.worst,
    }
}

fn neighbours(n: Neighbours) -> NeighboursData {
    NeighboursData {
        count: n.count as u32,
        mean_cm: n.mean_cm,
        expected_cm: n.expected_cm,
        ratio: n.ratio,
        random_low: n.random.0,
        random_high: n.random.1,
        thrown: match n.correction {
            Correction::Donnelly => None,
            Correction::Thrown(times) => Some(times as u32),
        },
    }
}

fn balance<T>(balance: &Balance<T>, name: impl Fn(&T) -> (String, String)) -> BalanceData {
    let counts = balance.counts.iter().map(|(part, count)| {
        let (part, words) = name(part);
        PartCount {
            part,
            words,
            count: *count as u32,
        }
    });
    BalanceData {
        counts: counts.collect(),
        evenness: balance.evenness,
    }
}

pub(crate) fn use_grid(app: &App, args: &UseGridGet, now: Now) -> Result<UseGridData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let zone = args.zone.as_deref().map(lower::zone).transpose()?;
    let at = crate::body::as_of(args.at.as_deref(), &person, now)?;
    let entries = crate::body::year(&reader, &person, at)?;
    let recent: Vec<&InjectionEntry> = entries.iter().collect();
    let day = time::day_in(at, person.person.zone);
    let ruling = ruling(&reader, &person, day, &recent)?;
    let book = Book::shipped();
    let history = History::of(entries.iter().map(|e| &e.injection), book);
    // Without any medicine nothing was injected either, and the two figures colour nothing.
    let (radius_cm, half_life_days) = ruling.as_ref().map_or((1.0, 28.0), |(m, _)| {
        (m.spacing_cm.value, m.point_rest_days.value)
    });
    let footprint = Footprint::new(radius_cm, half_life_days)
        .map_err(|e| ApiError::new(Code::Internal, format!("{e}.")))?;
    let grids = grid::use_grid(&history, &Body::of(&person.person.sizes), at, footprint);
    Ok(UseGridData {
        at: raise::instant(at),
        cell_cm: CELL_CM,
        radius_cm,
        half_life_days,
        rules: ruling.map(|r| r.1),
        zones: grids
            .iter()
            .filter(|g| zone.is_none_or(|z| z == g.zone))
            .map(cells)
            .collect(),
    })
}

fn cells(grid: &ZoneGrid) -> ZoneCells {
    let mut rows: Vec<CellRow> = Vec::new();
    let mut before: Option<&Cell> = None;
    for cell in &grid.cells {
        let Some(days) = cell.days else {
            before = None;
            continue;
        };
        let joins = before.is_some_and(|b| {
            (b.centre.up_cm - cell.centre.up_cm).abs() < 1e-9
                && (cell.centre.across_cm - b.centre.across_cm - CELL_CM).abs() < 1e-9
        });
        if !joins {
            rows.push(CellRow {
                first: XY {
                    across_cm: cell.centre.across_cm,
                    up_cm: cell.centre.up_cm,
                },
                days: Vec::new(),
                step: Vec::new(),
                load: Vec::new(),
            });
        }
        if let Some(row) = rows.last_mut() {
            row.days.push(days);
            row.step.push(use_map::step(Some(days)));
            row.load.push((cell.load * 100.0).round() / 100.0);
        }
        before = Some(cell);
    }
    ZoneCells {
        zone: grid.zone.code().to_owned(),
        words: grid.zone.words().to_owned(),
        cells: grid.cells.len() as u32,
        rows,
        unplaced: grid
            .unplaced
            .iter()
            .map(|u| UnplacedUse {
                quadrant: u.quadrant.code().to_owned(),
                count: u.count,
                days: u.days,
            })
            .collect(),
    }
}
