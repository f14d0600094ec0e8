//! Random lines at the door: bytes, JSON of any shape, and every operation's example bent out of shape. Each gets one JSON
//! reply, in time, with a code that is known; and the record works and verifies afterwards.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use fallow_api::ErrorCode;
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::TestRunner;
use serde_json::{Map, Value, json};

use crate::dial::{Chance, figure, until};
use crate::record;
use crate::together::{Door, injection};

/// After so many lines a fresh record, for one that grows for ever is read for ever.
const LINES_OF_ONE: u64 = 2_500;
/// The most this process may grow by while it answers, in KiB.
const GROWTH_KIB: u64 = 400 * 1024;
/// The longest a reply may take.
const PATIENCE: Duration = Duration::from_secs(10);

/// JSON of any shape.
fn any_json() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        ".{0,12}".prop_map(Value::from),
    ];
    leaf.prop_recursive(5, 40, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
            prop::collection::btree_map("(op|args|person|id|[a-z_]{1,8})", inner, 0..6)
                .prop_map(|map| Value::Object(map.into_iter().collect())),
        ]
    })
}

/// Ids that exist, by what the door calls them, and one that does not.
struct Known {
    ids: BTreeMap<&'static str, Vec<String>>,
    next: u64,
}

impl Known {
    fn id(&mut self, of: &str, chance: &mut Chance) -> String {
        let of = if of == "replaces" {
            *chance.pick(&["injection", "event", "finding", "skin_check"])
        } else {
            of
        };
        let known = self.ids.get(of).filter(|ids| !ids.is_empty());
        match known {
            Some(ids) if chance.below(20) > 0 => chance.pick(ids).clone(),
            _ => record::id(chance.below(9)),
        }
    }

    fn new_id(&mut self, of: &'static str) -> String {
        self.next += 1;
        let id = record::id(self.next);
        let ids = self.ids.entry(of).or_default();
        ids.push(id.clone());
        // The newest few are of more use than all.
        if ids.len() > 30 {
            ids.remove(3);
        }
        id
    }
}

/// Puts ids and texts where an example has dots.
fn fill(value: &mut Value, of: &str, op: &str, known: &mut Known, chance: &mut Chance) {
    match value {
        Value::String(text) => {
            let kind = match op {
                "injection_record" | "injection_correct" => "injection",
                "event_record" | "event_withdraw" | "event_correct" => "event",
                "finding_record" | "finding_look" | "finding_withdraw" => "finding",
                "container_add" => "container",
                _ => "skin_check",
            };
            match text.as_str() {
                "UUID" => *text = known.new_id(kind),
                "ID" => *text = known.id(of, chance),
                "…" => *text = "Sorrel Vey".to_owned(),
                _ => *text = text.replace("ID", "7"),
            }
        }
        Value::Array(items) => items
            .iter_mut()
            .for_each(|v| fill(v, of, op, known, chance)),
        Value::Object(members) => {
            for (name, v) in members {
                fill(v, &name.clone(), op, known, chance);
            }
        }
        _ => {}
    }
}

fn junk(chance: &mut Chance) -> Value {
    let numbers = [
        json!(0),
        json!(-1),
        json!(1e308),
        json!(-1e308),
        json!(5e-324),
        json!(-0.0),
        json!(i64::MIN),
        json!(i64::MAX),
        json!(u64::MAX),
        json!(u32::MAX),
        json!(4_294_967_296_u64),
        json!(65_536),
        json!(0.1),
        json!(999_999_999),
    ];
    let texts = [
        "",
        " ",
        "\0",
        "-1",
        "NaN",
        "∞",
        "0.0005",
        "100000",
        "99999999999999999999",
        "1e3",
        "\u{202e}left",
        "🦔",
        "a\nb",
        "0000-00-00",
        "9999-12-31",
        "-262143-01-01",
        "+262142-12-31",
        "2026-02-30",
        "1900-01-01",
        "24:00",
        "23:59:60",
        "9999-12-31T23:59:59.999999999+23:59",
        "0001-01-01T00:00:00-23:59",
        "2026-06-03T08:00:00+01:00",
        "2026-10-25T01:30",
        "2026-03-29T01:30:00",
        "Africa/Monrovia",
        "Pacific/Apia",
        "abdomen",
        "left_thigh",
        "upper_outer",
        "left_lower",
        "front",
        "units",
        "mg",
        "mmol/L",
        "mg/dL",
        "semaglutide",
        "insulin-glargine-100",
        "lump",
        "glucose",
        "../../etc/passwd",
        "fallow-2026-06-03T08-00-00Z.db",
        "'; DROP TABLE entry; --",
        "LO",
        "HI",
    ];
    match chance.below(8) {
        0 => Value::Null,
        1 => json!(chance.below(2) == 0),
        2 | 3 => chance.pick(&numbers).clone(),
        4 => json!("x".repeat(1 << chance.below(18))),
        5 => {
            // Deep, and as wide as it is deep.
            let mut deep = json!([1, 2]);
            for _ in 0..chance.below(60) {
                deep = if chance.below(2) == 0 {
                    json!([deep, 0])
                } else {
                    json!({ "a": deep })
                };
            }
            deep
        }
        _ => json!(*chance.pick(&texts)),
    }
}

/// Changes, removes or adds something somewhere inside.
fn bend(value: &mut Value, chance: &mut Chance) {
    let deeper = chance.below(3) > 0;
    match value {
        Value::Object(members) if !members.is_empty() && deeper => {
            let name = members
                .keys()
                .nth(chance.below(members.len() as u64) as usize)
                .unwrap()
                .clone();
            match chance.below(8) {
                0 => {
                    members.remove(&name);
                }
                1 => {
                    members.insert(format!("{name}s"), junk(chance));
                }
                _ => bend(members.get_mut(&name).unwrap(), chance),
            }
        }
        Value::Array(items) if !items.is_empty() && deeper => {
            let at = chance.below(items.len() as u64) as usize;
            match chance.below(4) {
                0 => {
                    items.remove(at);
                }
                1 => {
                    let again = vec![items[at].clone(); 1 << chance.below(9)];
                    items.extend(again);
                }
                _ => bend(&mut items[at], chance),
            }
        }
        Value::String(text) if chance.below(2) == 0 => {
            let mut letters: Vec<char> = text.chars().collect();
            let at = chance.below(letters.len() as u64 + 1) as usize;
            let new = *chance.pick(&['0', '9', '-', '.', ':', 'é', '\u{301}', ' ', '"', '\\', '+']);
            if at < letters.len() && chance.below(2) == 0 {
                letters[at] = new;
            } else {
                letters.insert(at, new);
            }
            *text = letters.into_iter().collect();
        }
        Value::Number(number) if chance.below(2) == 0 => {
            let near = number.as_f64().unwrap()
                * [0.0, -1.0, 0.5, 2.0, 10.0, 1e6][chance.below(6) as usize];
            *value = json!(near);
        }
        other => *other = junk(chance),
    }
}

/// A line to send.
struct Lines {
    chance: Chance,
    runner: TestRunner,
    examples: Vec<Value>,
}

impl Lines {
    fn next(&mut self, known: &mut Known) -> String {
        let chance = &mut self.chance;
        match chance.below(20) {
            0 => {
                let mut bytes = vec![0; chance.below(200) as usize];
                chance.fill(&mut bytes);
                return String::from_utf8_lossy(&bytes).into_owned();
            }
            1 => {
                return any_json()
                    .new_tree(&mut self.runner)
                    .unwrap()
                    .current()
                    .to_string();
            }
            2 => {
                let depth = chance.below(100_000) as usize;
                let op = chance.pick(&self.examples)["op"].clone();
                return format!(r#"{{"op":{op},"args":{}"#, "[{\"a\":".repeat(depth));
            }
            _ => {}
        }
        let mut request = chance.pick(&self.examples).clone();
        let op = request["op"].as_str().unwrap().to_owned();
        fill(&mut request["args"], "", &op, known, chance);
        // One in four as it is, so that there is something to read and correct.
        let bends = [0, 1, 1, 2][chance.below(4) as usize];
        for _ in 0..bends {
            bend(&mut request["args"], chance);
        }
        if chance.below(30) == 0 {
            request["display"] = junk(chance);
        }
        let mut line = request.to_string();
        match chance.below(25) {
            // The same member twice.
            0 => line = line.replacen("\"args\":", "\"args\":{},\"args\":", 1),
            1 => line = line.replacen(':', ":1,\"person\":", 1),
            2 => {
                let cut = (0..=chance.below(line.len() as u64) as usize)
                    .rev()
                    .find(|n| line.is_char_boundary(*n));
                line.truncate(cut.unwrap());
            }
            _ => {}
        }
        line
    }
}

/// A folder for copies could lie anywhere on this machine: it is kept below the test's own.
fn tamed(line: String, dir: &Path) -> String {
    let Ok(mut request) = serde_json::from_str::<Value>(&line) else {
        return line;
    };
    if request["op"] != "backup_folder" {
        return line;
    }
    let args = request.get_mut("args").and_then(Value::as_object_mut);
    let Some(folder) = args.and_then(|args| args.get_mut("folder")) else {
        return line;
    };
    if let Some(text) = folder.as_str() {
        let inside = text.replace("..", "").replace('/', "_");
        *folder = json!(dir.join("copies").join(inside).to_str().unwrap());
    }
    request.to_string()
}

/// A fresh protected record with three people in it.
fn begun(dir: &Path) -> (Door, Known) {
    let mut door = Door::begun(dir);
    let mut known = Known {
        ids: BTreeMap::new(),
        next: 1_000,
    };
    for (n, name) in ["Marit Oakfell", "Ada Bramble", "Jory Thistle"]
        .into_iter()
        .enumerate()
    {
        let (person, order) = door.person(name);
        for day in 1..=20 {
            let given = door.now - chrono::Duration::days(day);
            let args = injection(
                100 * (n as u64 + 1) + day as u64,
                &person,
                &order,
                &given.to_rfc3339(),
            );
            let saved = door.ok("injection_record", args)["id"]
                .as_str()
                .unwrap()
                .to_owned();
            known.ids.entry("injection").or_default().push(saved);
        }
        known.ids.entry("person").or_default().push(person);
        known.ids.entry("order").or_default().push(order);
    }
    (door, known)
}

/// Kibibytes of memory in use, and the most there ever were.
fn memory() -> (u64, u64) {
    let status = fs::read_to_string("/proc/self/status").unwrap();
    let of = |name: &str| {
        let line = status
            .lines()
            .find_map(|line| line.strip_prefix(name))
            .unwrap();
        line.trim().trim_end_matches(" kB").parse().unwrap()
    };
    (of("VmRSS:"), of("VmHWM:"))
}

/// Unlocks the record again where a line locked it, as somebody would who comes back after the longest wait.
fn unlocked(door: &mut Door) {
    door.now += chrono::Duration::minutes(6);
    door.unlocked();
}

#[derive(Default)]
struct Tally {
    executions: u64,
    answered: u64,
    codes: BTreeMap<String, u64>,
    by_op: BTreeMap<String, u64>,
    slowest: (Duration, String),
    wrong: Vec<String>,
}

impl Tally {
    /// One line and its reply.
    fn count(&mut self, line: &str, reply: &str, took: Duration) {
        let shown: String = line.chars().take(600).collect();
        self.executions += 1;
        if took > self.slowest.0 {
            self.slowest = (took, shown.clone());
        }
        if took > PATIENCE {
            self.wrong.push(format!("{took:?} for {shown}"));
        }
        let Ok(Value::Object(reply)) = serde_json::from_str::<Value>(reply) else {
            self.wrong.push(format!("no reply but {reply} for {shown}"));
            return;
        };
        if let Some(op) = reply.get("ok").and_then(|ok| ok["op"].as_str()) {
            self.answered += 1;
            *self.by_op.entry(op.to_owned()).or_default() += 1;
            return;
        }
        let error = reply.get("error").unwrap_or(&Value::Null);
        let code = error["code"].as_str().unwrap_or("none");
        *self.codes.entry(code.to_owned()).or_default() += 1;
        let known = ErrorCode::ALL.iter().any(|c| c.code() == code);
        let said = error["message"]
            .as_str()
            .is_some_and(|words| words.len() > 12);
        if !known || !said || code == "internal" {
            self.wrong.push(format!("{error} for {shown}"));
        }
    }
}

#[test]
fn every_line_gets_a_reply_with_a_known_code() {
    let mut lines = Lines {
        chance: Chance::new("lines"),
        runner: TestRunner::default(),
        examples: fallow_api::operations()
            .iter()
            .map(|line| serde_json::from_str(line).unwrap())
            .collect(),
    };
    let operations = lines.examples.len();
    let mut tally = Tally::default();
    // Everything that is made once (atlas, fonts, grids) is made before the measuring begins.
    warm(&mut lines);
    let end = until(30);
    let before = memory();
    let mut saved = 0;
    while Instant::now() < end {
        let dir = tempfile::tempdir().unwrap();
        let (mut door, mut known) = begun(dir.path());
        for _ in 0..LINES_OF_ONE {
            let line = tamed(lines.next(&mut known), dir.path());
            let began = Instant::now();
            let reply = door.answer(&line);
            tally.count(&line, &reply, began.elapsed());
            if reply.contains("\"locked\"") {
                unlocked(&mut door);
            }
            if Instant::now() > end || tally.wrong.len() > 20 {
                break;
            }
        }
        // The record works, and is whole.
        unlocked(&mut door);
        let walk = door.ok("journal_verify", json!({}));
        assert_eq!(walk["broken"], Value::Null);
        saved += walk["entries"].as_u64().unwrap();
        door.person("Ines Fernhollow");
        if tally.wrong.len() > 20 {
            break;
        }
    }
    let after = memory();
    println!(
        "codes: {:?}\nanswered: {:?}\nslowest: {:?}",
        tally.codes, tally.by_op, tally.slowest
    );
    figure(
        "fuzz_door",
        &[
            ("executions", tally.executions),
            ("answered", tally.answered),
            ("codes", tally.codes.len() as u64),
            ("entries_saved", saved),
            ("slowest_ms", tally.slowest.0.as_millis() as u64),
            ("rss_before_kib", before.0),
            ("rss_after_kib", after.0),
            ("rss_most_kib", after.1),
            ("losses", tally.wrong.len() as u64),
        ],
    );
    assert!(tally.wrong.is_empty(), "{:#?}", tally.wrong);
    let grown = after.1.saturating_sub(before.0);
    assert!(grown < GROWTH_KIB, "it grew by {grown} KiB");
    assert!(
        tally.codes.len() > 8 && tally.by_op.len() > operations / 6,
        "too few ways in"
    );
}

/// Asks every example once, as it is.
fn warm(lines: &mut Lines) {
    let dir = tempfile::tempdir().unwrap();
    let (mut door, mut known) = begun(dir.path());
    for mut request in lines.examples.clone() {
        let op = request["op"].as_str().unwrap().to_owned();
        fill(&mut request["args"], "", &op, &mut known, &mut lines.chance);
        let _: Map<_, _> =
            serde_json::from_str(&door.answer(&tamed(request.to_string(), dir.path()))).unwrap();
        unlocked(&mut door);
    }
}
