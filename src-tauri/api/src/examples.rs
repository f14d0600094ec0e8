//! An example of every operation, for `fallow call --ops` and for the tests that keep them true.

use std::sync::LazyLock;

/// An operation's name and an example of its arguments.
const EXAMPLES: &[(&str, &str)] = &[
    ("status", "{}"),
    ("protection", "{}"),
    ("begin", r#"{"passphrase":"…"}"#),
    ("unlock", r#"{"passphrase":"…"}"#),
    ("lock", "{}"),
    ("idle_set", r#"{"minutes":5}"#),
    ("passphrase_change", r#"{"passphrase":"…","new":"…"}"#),
    ("recovery_make", r#"{"passphrase":"…"}"#),
    ("protect", r#"{"passphrase":"…"}"#),
    ("recorder_list", "{}"),
    ("recorder_set", r#"{"name":"…","new":"…"}"#),
    ("recorder_confirm", r#"{"name":"…","pin":"…"}"#),
    ("medicine_list", "{}"),
    ("practice_get", "{}"),
    ("practice_set", r#"{"navel_margin_cm":2.5,"recorder":"…"}"#),
    ("journal_verify", "{}"),
    ("backup_list", "{}"),
    ("backup_make", "{}"),
    ("backup_start", "{}"),
    ("backup_state", "{}"),
    ("backup_stop", "{}"),
    ("backup_folder", r#"{"folder":"/media/stick/fallow"}"#),
    (
        "backup_restore",
        r#"{"name":"fallow-2026-06-03T08-30-00Z.db"}"#,
    ),
    (
        "person_add",
        r#"{"name":"…","born":"1951-03-09","zone":"Europe/London","allergies":[],"self_injects":true,"sizes":{"height_cm":168,"waist_cm":92,"thigh_cm":58,"upper_arm_cm":31},"weight_kg":71.5}"#,
    ),
    (
        "person_change",
        r#"{"person":"ID","reason":"…","to":{"name":"…","born":"1951-03-09","zone":"Europe/London","allergies":["latex"],"self_injects":false}}"#,
    ),
    ("person_list", r#"{"search":"…"}"#),
    ("person_get", r#"{"person":"ID"}"#),
    (
        "order_add",
        r#"{"person":"ID","medicine":"insulin-glargine-100","dose":{"value":"12","unit":"units"},"times":["08:00"],"from":"2026-06-01","prescriber":"…"}"#,
    ),
    (
        "order_end",
        r#"{"order":"ID","to":"2026-09-30","reason":"…"}"#,
    ),
    (
        "order_change",
        r#"{"order":"ID","reason":"…","to":{"person":"ID","medicine":"insulin-glargine-100","dose":{"value":"14","unit":"units"},"times":["08:00"],"from":"2026-06-01","prescriber":"…","terms":{"device":"pen","needle_mm":4,"signed_on":"2026-06-01"}}}"#,
    ),
    ("due", r#"{"person":"ID"}"#),
    (
        "handover",
        r#"{"from":"2026-06-03T07:00:00+01:00","to":"2026-06-03T15:00:00+01:00"}"#,
    ),
    (
        "event_record",
        r#"{"id":"UUID","person":"ID","order":"ID","about":"not_given","at":"2026-06-03T08:00:00+01:00","code":"declined","recorder":"…"}"#,
    ),
    (
        "event_withdraw",
        r#"{"id":"UUID","replaces":"ID","reason":"…","recorder":"…"}"#,
    ),
    (
        "event_correct",
        r#"{"id":"UUID","replaces":"ID","reason":"…","value":"4.5","recorder":"…"}"#,
    ),
    (
        "event_list",
        r#"{"person":"ID","from":"2026-06-01","to":"2026-06-30"}"#,
    ),
    (
        "glucose_check",
        r#"{"person":"ID","order":"ID","value":"5.4","unit":"mmol/L"}"#,
    ),
    ("glucose_state", r#"{"person":"ID","order":"ID"}"#),
    (
        "container_add",
        r#"{"id":"UUID","person":"ID","order":"ID","medicine":"insulin glargine","strength":"100 units/mL","batch":"…","expires":"2027-03","opened":"2026-06-01","device":"pen"}"#,
    ),
    (
        "before",
        r#"{"person":"ID","order":"ID","said":{"identity":[{"identifier":"name","matches":true},{"identifier":"born","matches":true}],"allergies":true}}"#,
    ),
    (
        "dose_volume",
        r#"{"order":"ID","device":"vial","syringe":"u100_0_5"}"#,
    ),
    (
        "technique",
        r#"{"person":"ID","order":"ID","zone":"abdomen","needle_mm":4,"device":"pen"}"#,
    ),
    (
        "site_check",
        r#"{"person":"ID","order":"ID","site":{"zone":"abdomen","quadrant":"left_lower","across_cm":5.5,"up_cm":-3.0},"at":"2026-06-03T08:00:00+01:00"}"#,
    ),
    (
        "site_suggest",
        r#"{"person":"ID","order":"ID","at":"2026-06-03T08:00:00+01:00","count":5}"#,
    ),
    (
        "site_at",
        r#"{"person":"ID","view":"front","x":100,"y":120}"#,
    ),
    (
        "injection_record",
        r#"{"id":"UUID","person":"ID","order":"ID","site":{"zone":"abdomen","quadrant":"left_lower","across_cm":5.5,"up_cm":-3.0},"given_at":"2026-06-03T08:00:00+01:00","dose":{"value":"12","unit":"units"},"recorder":"…","reason":null}"#,
    ),
    (
        "injection_correct",
        r#"{"id":"UUID","replaces":"ID","reason":"…","site":{"zone":"abdomen","quadrant":"left_upper"}}"#,
    ),
    (
        "injection_list",
        r#"{"person":"ID","from":"2026-06-01","to":"2026-06-30"}"#,
    ),
    (
        "use_map",
        r#"{"person":"ID","at":"2026-06-03T08:00:00+01:00"}"#,
    ),
    (
        "use_grid",
        r#"{"person":"ID","at":"2026-06-03T08:00:00+01:00","zone":"abdomen"}"#,
    ),
    (
        "measures",
        r#"{"person":"ID","from":"2026-05-07","to":"2026-06-03"}"#,
    ),
    (
        "plan",
        r#"{"person":"ID","at":"2026-06-03T08:00:00+01:00","weeks":4}"#,
    ),
    ("room", r#"{"person":"ID"}"#),
    ("body_drawing", r#"{"person":"ID"}"#),
    ("patch", r#"{"person":"ID","zone":"abdomen"}"#),
    (
        "finding_record",
        r#"{"id":"UUID","person":"ID","kind":"lump","zone":"abdomen","place":{"centre":{"across_cm":5.5,"up_cm":-3.0},"length_mm":24,"width_mm":18},"noticed":"felt","feel":"soft","at":"2026-06-03T08:00:00+01:00","recorder":"…"}"#,
    ),
    (
        "finding_look",
        r#"{"id":"UUID","finding":"ID","state":"healed","at":"2026-09-03T08:00:00+01:00","recorder":"…"}"#,
    ),
    (
        "finding_withdraw",
        r#"{"id":"UUID","replaces":"ID","reason":"…","recorder":"…"}"#,
    ),
    ("finding_list", r#"{"person":"ID"}"#),
    (
        "skin_check_record",
        r#"{"id":"UUID","person":"ID","at":"2026-06-03T08:00:00+01:00","recorder":"…","zones":[{"zone":"abdomen","seen":"clear"},{"zone":"left_thigh","seen":"not_looked_at"}],"needle_uses":1,"insulin_since":2019}"#,
    ),
    (
        "skin_check_withdraw",
        r#"{"id":"UUID","replaces":"ID","reason":"…","recorder":"…"}"#,
    ),
    ("skin_state", r#"{"person":"ID"}"#),
    (
        "chart",
        r#"{"person":"ID","weeks":12,"compare":true,"width":328,"theme":"light"}"#,
    ),
    (
        "chart_file",
        r#"{"person":"ID","weeks":12,"compare":true,"format":"pdf","paper":"a4"}"#,
    ),
    ("risk", r#"{"person":"ID","days":84}"#),
    (
        "time_resolve",
        r#"{"local":"2026-10-25T02:20","zone":"Europe/Paris"}"#,
    ),
    ("draft_save", r#"{"key":"give:ID","body":"…"}"#),
    ("draft_get", r#"{"key":"give:ID"}"#),
    ("draft_drop", r#"{"key":"give:ID"}"#),
];

/// The names of all operations.
pub(crate) fn names() -> &'static [&'static str] {
    static NAMES: LazyLock<Vec<&str>> =
        LazyLock::new(|| EXAMPLES.iter().map(|(op, _)| *op).collect());
    &NAMES
}

/// Every operation with an example request, as one JSON line each (`fallow call --ops`).
pub fn operations() -> Vec<String> {
    EXAMPLES
        .iter()
        .map(|(op, args)| format!(r#"{{"op":"{op}","args":{args}}}"#))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::Request;

    #[test]
    fn every_example_is_a_request_and_every_request_has_one() {
        for (line, (op, _)) in operations().iter().zip(EXAMPLES) {
            let request: Request =
                serde_json::from_str(line).unwrap_or_else(|e| panic!("{op}: {e}"));
            assert_eq!(serde_json::to_value(&request).unwrap()["op"], *op);
        }
        // serde names every variant it would have taken when it meets one it does not know.
        let unknown = serde_json::from_str::<Request>(r#"{"op":"?","args":{}}"#)
            .unwrap_err()
            .to_string();
        let known = unknown.matches('`').count() / 2 - 1;
        assert_eq!(known, EXAMPLES.len(), "{unknown}");
    }
}
