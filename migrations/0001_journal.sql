-- The journal: entries are appended and never changed or removed. Frozen from the first release on: a change is a
-- new numbered file (a test holds this file's hash).
--
-- Every table is STRICT, so a column holds its type and nothing else; a column with a unit says so in its name; the
-- ranges are those of the types in src-tauri/core. Instants are milliseconds since 1970 UTC with the offset, in
-- minutes, they were entered under: the offset is the truth for that entry for ever.

PRAGMA application_id = 1178684503; -- the bytes FALW

CREATE TABLE entry (
  seq INTEGER PRIMARY KEY AUTOINCREMENT,
  id TEXT NOT NULL UNIQUE
    CHECK (id GLOB '????????-????-????-????-????????????' AND id NOT GLOB '*[^-0-9a-f]*'
           AND length(replace(id, '-', '')) = 32),
  -- The first entry of the chain; its own id for a first entry.
  root TEXT NOT NULL CHECK ((supersedes IS NULL) = (root = id)),
  kind TEXT NOT NULL CHECK (kind IN ('person', 'order', 'injection', 'practice', 'event', 'container',
    'finding', 'skin_check')),
  recorded_utc_ms INTEGER NOT NULL CHECK (recorded_utc_ms BETWEEN -2208988800000 AND 7258118400000),
  recorded_offset_min INTEGER NOT NULL CHECK (recorded_offset_min BETWEEN -1439 AND 1439),
  clock_set INTEGER NOT NULL CHECK (clock_set IN (0, 1)),
  recorder TEXT CHECK (length(recorder) BETWEEN 1 AND 500),
  -- Whether the recorder's PIN had been given; NULL where the name had none.
  recorder_pin INTEGER CHECK (recorder_pin IN (0, 1)),
  supersedes TEXT REFERENCES entry (id),
  reason TEXT CHECK (length(reason) BETWEEN 1 AND 10000),
  CHECK (supersedes IS NULL OR kind IN ('person', 'practice') OR length(trim(coalesce(reason, ''))) > 0)
) STRICT;

-- An entry is superseded once at most.
CREATE UNIQUE INDEX entry_superseded ON entry (supersedes) WHERE supersedes IS NOT NULL;
CREATE INDEX entry_chain ON entry (root) WHERE supersedes IS NOT NULL;

CREATE TABLE person_entry (
  seq INTEGER PRIMARY KEY REFERENCES entry (seq),
  name TEXT NOT NULL CHECK (length(trim(name)) > 0 AND length(name) <= 500),
  born TEXT NOT NULL
    CHECK (born GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]' AND date(born) IS born),
  zone TEXT NOT NULL CHECK (length(zone) BETWEEN 1 AND 100),
  allergies_asked TEXT NOT NULL CHECK (allergies_asked IN ('not_asked', 'none_known', 'known')),
  -- A JSON list of texts, and only where some are known.
  allergies TEXT
    CHECK (CASE WHEN json_valid(allergies)
           THEN json_type(allergies) = 'array' AND json_array_length(allergies) > 0 ELSE allergies IS NULL END),
  self_injects INTEGER NOT NULL CHECK (self_injects IN (0, 1)),
  height_cm REAL CHECK (height_cm BETWEEN 50 AND 250),
  waist_cm REAL CHECK (waist_cm BETWEEN 30 AND 250),
  thigh_cm REAL CHECK (thigh_cm BETWEEN 15 AND 150),
  upper_arm_cm REAL CHECK (upper_arm_cm BETWEEN 8 AND 90),
  -- A JSON list of zones, in the order preferred.
  zones TEXT NOT NULL CHECK (CASE WHEN json_valid(zones) THEN json_type(zones) = 'array' ELSE 0 END),
  identifier TEXT CHECK (length(identifier) BETWEEN 1 AND 500),
  note TEXT CHECK (length(note) BETWEEN 1 AND 10000),
  weight_kg REAL CHECK (weight_kg BETWEEN 1 AND 400),
  CHECK ((allergies_asked = 'known') = (allergies IS NOT NULL))
) STRICT;

CREATE TABLE order_entry (
  seq INTEGER PRIMARY KEY REFERENCES entry (seq),
  -- The root of the person's chain.
  person TEXT NOT NULL REFERENCES entry (id),
  medicine TEXT NOT NULL CHECK (length(medicine) BETWEEN 1 AND 100 AND medicine NOT GLOB '*[^-0-9a-z]*'),
  dose_thousandths INTEGER NOT NULL CHECK (dose_thousandths BETWEEN 1 AND 100000000),
  dose_unit TEXT NOT NULL CHECK (dose_unit IN ('units', 'mg', 'micrograms')),
  -- A JSON list of HH:MM:SS by the person's clock; empty is when needed.
  times TEXT NOT NULL CHECK (CASE WHEN json_valid(times) THEN json_type(times) = 'array' ELSE 0 END),
  every_days INTEGER NOT NULL CHECK (every_days BETWEEN 1 AND 65535),
  first_day TEXT NOT NULL
    CHECK (first_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]' AND date(first_day) IS first_day),
  last_day TEXT
    CHECK (last_day IS NULL OR last_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]' AND date(last_day) IS last_day),
  prescriber TEXT NOT NULL CHECK (length(prescriber) <= 500),
  note TEXT CHECK (length(note) BETWEEN 1 AND 10000),
  -- A JSON list of weekdays, 1 Monday to 7 Sunday; empty is any day the rest of the order asks for.
  weekdays TEXT NOT NULL CHECK (CASE WHEN json_valid(weekdays) THEN json_type(weekdays) = 'array' ELSE 0 END),
  -- Minutes before and after a time of day in which an injection counts as on time; both or neither.
  window_before_min INTEGER CHECK (window_before_min BETWEEN 0 AND 1440),
  window_after_min INTEGER CHECK (window_after_min BETWEEN 0 AND 1440),
  device TEXT CHECK (device IN ('vial_and_syringe', 'pen', 'prefilled_syringe')),
  needle_mm REAL CHECK (needle_mm BETWEEN 3 AND 40),
  signed_on TEXT CHECK (signed_on IS NULL OR signed_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]' AND date(signed_on) IS signed_on),
  review_by TEXT CHECK (review_by IS NULL OR review_by GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]' AND date(review_by) IS review_by),
  -- Whether glucose is measured before each injection, and the limits its prescriber set.
  asks_glucose INTEGER NOT NULL CHECK (asks_glucose IN (0, 1)),
  glucose_unit TEXT CHECK (glucose_unit IN ('mmol/L', 'mg/dL')),
  glucose_low TEXT CHECK (length(glucose_low) BETWEEN 1 AND 10),
  glucose_high TEXT CHECK (length(glucose_high) BETWEEN 1 AND 10),
  second_check INTEGER NOT NULL CHECK (second_check IN (0, 1)),
  may_give TEXT CHECK (length(may_give) BETWEEN 1 AND 1000),
  -- A JSON list of {"time": "HH:MM:SS", "zones": [...]}: zones kept for a time of day.
  regions TEXT NOT NULL CHECK (CASE WHEN json_valid(regions) THEN json_type(regions) = 'array' ELSE 0 END),
  CHECK (last_day IS NULL OR last_day >= first_day),
  CHECK ((window_before_min IS NULL) = (window_after_min IS NULL)),
  CHECK (glucose_unit IS NOT NULL OR glucose_low IS NULL AND glucose_high IS NULL)
) STRICT;

CREATE INDEX order_of_person ON order_entry (person);

CREATE TABLE injection_entry (
  seq INTEGER PRIMARY KEY REFERENCES entry (seq),
  -- The roots of the person's and the order's chains.
  person TEXT NOT NULL REFERENCES entry (id),
  order_id TEXT NOT NULL REFERENCES entry (id),
  medicine TEXT NOT NULL CHECK (length(medicine) BETWEEN 1 AND 100 AND medicine NOT GLOB '*[^-0-9a-z]*'),
  zone TEXT NOT NULL CHECK (zone IN ('abdomen', 'left_thigh', 'right_thigh', 'left_arm', 'right_arm',
                                     'left_buttock', 'right_buttock')),
  quadrant TEXT NOT NULL
    CHECK (CASE zone WHEN 'abdomen' THEN quadrant IN ('right_upper', 'left_upper', 'right_lower', 'left_lower')
           ELSE quadrant IN ('upper_inner', 'upper_outer', 'lower_inner', 'lower_outer') END),
  -- The point, where it is known: centimetres from the zone's landmark.
  across_cm REAL CHECK (across_cm BETWEEN -150 AND 150),
  up_cm REAL CHECK (up_cm BETWEEN -150 AND 150),
  given_utc_ms INTEGER NOT NULL CHECK (given_utc_ms BETWEEN -2208988800000 AND 7258118400000),
  given_offset_min INTEGER NOT NULL CHECK (given_offset_min BETWEEN -1439 AND 1439),
  given_zone TEXT NOT NULL CHECK (length(given_zone) BETWEEN 1 AND 100),
  dose_thousandths INTEGER NOT NULL CHECK (dose_thousandths BETWEEN 1 AND 100000000),
  dose_unit TEXT NOT NULL CHECK (dose_unit IN ('units', 'mg', 'micrograms')),
  given_by TEXT NOT NULL CHECK (length(given_by) <= 500),
  note TEXT CHECK (length(note) BETWEEN 1 AND 10000),
  status TEXT NOT NULL CHECK (status IN ('given', 'entered_in_error')),
  -- Who held the needle, where it was said: the person or somebody else.
  self_given INTEGER CHECK (self_given IN (0, 1)),
  -- JSON lists: what was seen afterwards, and which checks were done before.
  outcomes TEXT NOT NULL CHECK (CASE WHEN json_valid(outcomes) THEN json_type(outcomes) = 'array' ELSE 0 END),
  checks TEXT NOT NULL CHECK (CASE WHEN json_valid(checks) THEN json_type(checks) = 'array' ELSE 0 END),
  -- Why the dose is not the order's.
  dose_reason TEXT CHECK (length(dose_reason) BETWEEN 1 AND 10000),
  second_checker TEXT CHECK (length(second_checker) BETWEEN 1 AND 500),
  needle_disposed INTEGER CHECK (needle_disposed IN (0, 1)),
  -- The root of the container's chain.
  container TEXT REFERENCES entry (id),
  CHECK ((across_cm IS NULL) = (up_cm IS NULL))
) STRICT;

-- A person's injections by the instant given; the rowid, seq, breaks ties.
CREATE INDEX injection_of_person ON injection_entry (person, given_utc_ms);

-- What happened around an injection: an injection that was not given, a value measured, a step taken.
CREATE TABLE event_entry (
  seq INTEGER PRIMARY KEY REFERENCES entry (seq),
  person TEXT NOT NULL REFERENCES entry (id),
  order_id TEXT REFERENCES entry (id),
  about TEXT NOT NULL CHECK (about IN ('not_given', 'glucose', 'ketones', 'carbohydrate', 'alarm')),
  -- The slot of an injection not given, else when it was measured or done.
  at_utc_ms INTEGER NOT NULL CHECK (at_utc_ms BETWEEN -2208988800000 AND 7258118400000),
  at_offset_min INTEGER NOT NULL CHECK (at_offset_min BETWEEN -1439 AND 1439),
  at_zone TEXT NOT NULL CHECK (length(at_zone) BETWEEN 1 AND 100),
  -- As it was read: a plain decimal, or a meter's LO or HI.
  value TEXT CHECK (length(value) BETWEEN 1 AND 10),
  unit TEXT CHECK (unit IN ('mmol/L', 'mg/dL', 'g')),
  -- Why not given, or which alarm.
  code TEXT CHECK (length(code) BETWEEN 1 AND 100 AND code NOT GLOB '*[^_a-z]*'),
  note TEXT CHECK (length(note) BETWEEN 1 AND 10000),
  status TEXT NOT NULL CHECK (status IN ('final', 'entered_in_error')),
  CHECK ((value IS NULL) = (unit IS NULL)),
  CHECK (about NOT IN ('glucose', 'ketones') OR value IS NOT NULL),
  CHECK (about NOT IN ('not_given', 'alarm') OR code IS NOT NULL),
  CHECK (about <> 'not_given' OR order_id IS NOT NULL)
) STRICT;

CREATE INDEX event_of_person ON event_entry (person, at_utc_ms);

-- A vial, pen or syringe in use for an order.
CREATE TABLE container_entry (
  seq INTEGER PRIMARY KEY REFERENCES entry (seq),
  person TEXT NOT NULL REFERENCES entry (id),
  order_id TEXT NOT NULL REFERENCES entry (id),
  -- Medicine and strength as its label says them.
  medicine TEXT NOT NULL CHECK (length(medicine) BETWEEN 1 AND 500),
  strength TEXT CHECK (length(strength) BETWEEN 1 AND 100),
  batch TEXT CHECK (length(batch) BETWEEN 1 AND 100),
  -- A day, or a month where the label gives no more.
  expires TEXT CHECK (expires GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]' OR expires GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]' AND date(expires) IS expires),
  opened TEXT CHECK (opened IS NULL OR opened GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]' AND date(opened) IS opened),
  device TEXT NOT NULL CHECK (device IN ('vial', 'cartridge', 'pen', 'one_dose_pen', 'prefilled_syringe')),
  needle_cover TEXT NOT NULL CHECK (needle_cover IN ('not_read', 'latex', 'no_latex')),
  note TEXT CHECK (length(note) BETWEEN 1 AND 10000)
) STRICT;

CREATE INDEX container_of_order ON container_entry (order_id);

-- One look at something on the skin: found, looked at again, healed or removed.
CREATE TABLE finding_entry (
  seq INTEGER PRIMARY KEY REFERENCES entry (seq),
  person TEXT NOT NULL REFERENCES entry (id),
  -- The root of the look that found it; that look has none and says what it is and where to stay off.
  found_by TEXT REFERENCES entry (id),
  finding_kind TEXT CHECK (finding_kind IN ('lump', 'dent', 'scar', 'mole', 'bruise', 'redness', 'swelling', 'bleeding',
                                            'broken_skin', 'tattoo', 'stoma', 'sensor', 'infusion_set', 'other')),
  zone TEXT CHECK (zone IN ('abdomen', 'left_thigh', 'right_thigh', 'left_arm', 'right_arm', 'left_buttock',
                            'right_buttock')),
  margin_cm REAL CHECK (margin_cm BETWEEN 0 AND 20),
  margin_source TEXT CHECK (length(margin_source) BETWEEN 1 AND 500),
  wear_days INTEGER CHECK (wear_days BETWEEN 1 AND 366),
  state TEXT NOT NULL CHECK (state IN ('there', 'healed', 'removed')),
  -- Where it lies, centimetres from the zone's landmark: an ellipse or a line drawn around it.
  centre_across_cm REAL CHECK (centre_across_cm BETWEEN -200 AND 200),
  centre_up_cm REAL CHECK (centre_up_cm BETWEEN -200 AND 200),
  half_across_cm REAL CHECK (half_across_cm > 0 AND half_across_cm <= 200),
  half_up_cm REAL CHECK (half_up_cm > 0 AND half_up_cm <= 200),
  turned_degrees REAL CHECK (turned_degrees BETWEEN -360 AND 360),
  -- A JSON list of [across, up].
  outline TEXT CHECK (CASE WHEN json_valid(outline) THEN json_type(outline) = 'array'
                           AND json_array_length(outline) BETWEEN 3 AND 500 ELSE outline IS NULL END),
  noticed TEXT CHECK (noticed IN ('seen', 'felt', 'seen_and_felt')),
  feel TEXT CHECK (feel IN ('soft', 'firm')),
  at_utc_ms INTEGER NOT NULL CHECK (at_utc_ms BETWEEN -2208988800000 AND 7258118400000),
  at_offset_min INTEGER NOT NULL CHECK (at_offset_min BETWEEN -1439 AND 1439),
  at_zone TEXT NOT NULL CHECK (length(at_zone) BETWEEN 1 AND 100),
  looked_by TEXT NOT NULL CHECK (length(looked_by) BETWEEN 1 AND 500),
  note TEXT CHECK (length(note) BETWEEN 1 AND 10000),
  status TEXT NOT NULL CHECK (status IN ('final', 'entered_in_error')),
  CHECK ((found_by IS NULL) = (finding_kind IS NOT NULL) AND (finding_kind IS NULL) = (zone IS NULL)
         AND (finding_kind IS NULL) = (margin_cm IS NULL) AND (margin_cm IS NULL) = (margin_source IS NULL)),
  CHECK (wear_days IS NULL OR finding_kind IN ('sensor', 'infusion_set')),
  CHECK (found_by IS NOT NULL OR state = 'there'),
  CHECK ((state = 'there') = (noticed IS NOT NULL)),
  CHECK ((state = 'there') = ((centre_across_cm IS NOT NULL) + (outline IS NOT NULL) = 1)),
  CHECK ((centre_across_cm IS NULL) = (centre_up_cm IS NULL) AND (centre_across_cm IS NULL) = (half_across_cm IS NULL)
         AND (centre_across_cm IS NULL) = (half_up_cm IS NULL) AND (centre_across_cm IS NULL) = (turned_degrees IS NULL)),
  CHECK (feel IS NULL OR state = 'there')
) STRICT;

CREATE INDEX finding_of_person ON finding_entry (person);

-- A check of the skin, zone by zone, and what was asked on the way.
CREATE TABLE skin_check_entry (
  seq INTEGER PRIMARY KEY REFERENCES entry (seq),
  person TEXT NOT NULL REFERENCES entry (id),
  at_utc_ms INTEGER NOT NULL CHECK (at_utc_ms BETWEEN -2208988800000 AND 7258118400000),
  at_offset_min INTEGER NOT NULL CHECK (at_offset_min BETWEEN -1439 AND 1439),
  at_zone TEXT NOT NULL CHECK (length(at_zone) BETWEEN 1 AND 100),
  looked_by TEXT NOT NULL CHECK (length(looked_by) BETWEEN 1 AND 500),
  -- A JSON list of {"zone": "...", "seen": "clear" | "finding" | "not_looked_at"}.
  zones TEXT NOT NULL CHECK (CASE WHEN json_valid(zones) THEN json_type(zones) = 'array'
                                  AND json_array_length(zones) BETWEEN 1 AND 7 ELSE 0 END),
  needle_uses INTEGER CHECK (needle_uses BETWEEN 1 AND 100),
  insulin_since INTEGER CHECK (insulin_since BETWEEN 1922 AND 2200),
  unexplained_lows INTEGER CHECK (unexplained_lows IN (0, 1)),
  note TEXT CHECK (length(note) BETWEEN 1 AND 10000),
  status TEXT NOT NULL CHECK (status IN ('final', 'entered_in_error'))
) STRICT;

CREATE INDEX skin_check_of_person ON skin_check_entry (person);

CREATE TABLE practice_entry (
  seq INTEGER PRIMARY KEY REFERENCES entry (seq),
  navel_margin_cm REAL NOT NULL CHECK (navel_margin_cm BETWEEN 0.1 AND 20)
) STRICT;

-- The chain: for each entry a hash over what it says and over the hash before it. The form is told in
-- src-tauri/store/src/journal.rs.
CREATE TABLE journal_link (
  seq INTEGER PRIMARY KEY REFERENCES entry (seq),
  hash TEXT NOT NULL UNIQUE CHECK (length(hash) = 64 AND hash NOT GLOB '*[^0-9a-f]*')
) STRICT;

-- Who has a PIN on this device, and what is kept of it: a setting, so its rows change and go.
CREATE TABLE recorder (
  name TEXT PRIMARY KEY CHECK (length(name) BETWEEN 1 AND 500),
  pin TEXT NOT NULL CHECK (length(pin) = 96 AND pin NOT GLOB '*[^0-9a-f]*')
) STRICT, WITHOUT ROWID;

-- Half-filled forms: with the PINs the only rows that change and go.
CREATE TABLE draft (
  key TEXT PRIMARY KEY CHECK (length(key) BETWEEN 1 AND 500),
  body TEXT NOT NULL CHECK (length(body) <= 1000000),
  opened_utc_ms INTEGER NOT NULL CHECK (opened_utc_ms BETWEEN -2208988800000 AND 7258118400000),
  opened_offset_min INTEGER NOT NULL CHECK (opened_offset_min BETWEEN -1439 AND 1439)
) STRICT, WITHOUT ROWID;

-- What supersedes is of the same kind and chain.
CREATE TRIGGER entry_fits_its_chain BEFORE INSERT ON entry
WHEN NEW.supersedes IS NOT NULL AND NOT EXISTS (
  SELECT 1 FROM entry WHERE id = NEW.supersedes AND root = NEW.root AND kind = NEW.kind)
BEGIN SELECT RAISE(ABORT, 'an entry supersedes one of its own kind and chain'); END;

CREATE TRIGGER person_entry_fits BEFORE INSERT ON person_entry
WHEN (SELECT kind FROM entry WHERE seq = NEW.seq) IS NOT 'person'
BEGIN SELECT RAISE(ABORT, 'a person needs an entry of that kind'); END;

CREATE TRIGGER person_lists_fit AFTER INSERT ON person_entry
WHEN EXISTS (SELECT 1 FROM json_each(NEW.zones) WHERE type <> 'text' OR value NOT IN (
       'abdomen', 'left_thigh', 'right_thigh', 'left_arm', 'right_arm', 'left_buttock', 'right_buttock'))
  OR EXISTS (SELECT 1 FROM json_each(NEW.allergies) WHERE type <> 'text' OR length(trim(value)) = 0)
BEGIN SELECT RAISE(ABORT, 'zones are zones and allergies are texts'); END;

CREATE TRIGGER order_entry_fits BEFORE INSERT ON order_entry
WHEN (SELECT kind FROM entry WHERE seq = NEW.seq) IS NOT 'order'
  OR NOT EXISTS (SELECT 1 FROM entry WHERE id = NEW.person AND kind = 'person' AND supersedes IS NULL)
  OR EXISTS (
    SELECT 1 FROM entry e JOIN entry before ON before.id = e.supersedes JOIN order_entry o ON o.seq = before.seq
    WHERE e.seq = NEW.seq AND o.person <> NEW.person)
BEGIN SELECT RAISE(ABORT, 'an order needs an entry of that kind and its person'); END;

CREATE TRIGGER order_times_fit AFTER INSERT ON order_entry
WHEN EXISTS (SELECT 1 FROM json_each(NEW.times) WHERE type <> 'text'
       OR value NOT GLOB '[0-2][0-9]:[0-5][0-9]:[0-5][0-9]' OR value >= '24')
BEGIN SELECT RAISE(ABORT, 'times are times of day'); END;

CREATE TRIGGER injection_entry_fits BEFORE INSERT ON injection_entry
WHEN (SELECT kind FROM entry WHERE seq = NEW.seq) IS NOT 'injection'
  OR NOT EXISTS (
    SELECT 1 FROM entry e JOIN order_entry o ON o.seq = e.seq
    WHERE e.id = NEW.order_id AND e.supersedes IS NULL AND o.person = NEW.person)
  OR EXISTS (
    SELECT 1 FROM entry e JOIN entry before ON before.id = e.supersedes JOIN injection_entry i ON i.seq = before.seq
    WHERE e.seq = NEW.seq AND i.person <> NEW.person)
  OR NEW.status = 'entered_in_error' AND (SELECT supersedes FROM entry WHERE seq = NEW.seq) IS NULL
BEGIN SELECT RAISE(ABORT, 'an injection needs an entry of that kind, its person and an order of theirs'); END;

CREATE TRIGGER event_entry_fits BEFORE INSERT ON event_entry
WHEN (SELECT kind FROM entry WHERE seq = NEW.seq) IS NOT 'event'
  OR NOT EXISTS (SELECT 1 FROM entry WHERE id = NEW.person AND kind = 'person' AND supersedes IS NULL)
  OR NEW.order_id IS NOT NULL AND NOT EXISTS (
    SELECT 1 FROM entry e JOIN order_entry o ON o.seq = e.seq
    WHERE e.id = NEW.order_id AND e.supersedes IS NULL AND o.person = NEW.person)
  OR EXISTS (
    SELECT 1 FROM entry e JOIN entry before ON before.id = e.supersedes JOIN event_entry v ON v.seq = before.seq
    WHERE e.seq = NEW.seq AND (v.person <> NEW.person OR v.about <> NEW.about))
  OR NEW.status = 'entered_in_error' AND (SELECT supersedes FROM entry WHERE seq = NEW.seq) IS NULL
BEGIN SELECT RAISE(ABORT, 'an event needs an entry of that kind, its person and an order of theirs'); END;

CREATE TRIGGER container_entry_fits BEFORE INSERT ON container_entry
WHEN (SELECT kind FROM entry WHERE seq = NEW.seq) IS NOT 'container'
  OR NOT EXISTS (
    SELECT 1 FROM entry e JOIN order_entry o ON o.seq = e.seq
    WHERE e.id = NEW.order_id AND e.supersedes IS NULL AND o.person = NEW.person)
  OR EXISTS (
    SELECT 1 FROM entry e JOIN entry before ON before.id = e.supersedes JOIN container_entry c ON c.seq = before.seq
    WHERE e.seq = NEW.seq AND c.person <> NEW.person)
BEGIN SELECT RAISE(ABORT, 'a container needs an entry of that kind and an order of its person'); END;

CREATE TRIGGER finding_entry_fits BEFORE INSERT ON finding_entry
WHEN (SELECT kind FROM entry WHERE seq = NEW.seq) IS NOT 'finding'
  OR NOT EXISTS (SELECT 1 FROM entry WHERE id = NEW.person AND kind = 'person' AND supersedes IS NULL)
  OR NEW.found_by IS NOT NULL AND NOT EXISTS (
    SELECT 1 FROM entry e JOIN finding_entry f ON f.seq = e.seq
    WHERE e.id = NEW.found_by AND e.supersedes IS NULL AND f.found_by IS NULL AND f.person = NEW.person)
  OR EXISTS (
    SELECT 1 FROM entry e JOIN entry before ON before.id = e.supersedes JOIN finding_entry f ON f.seq = before.seq
    WHERE e.seq = NEW.seq AND (f.person <> NEW.person OR f.found_by IS NOT NEW.found_by))
  OR NEW.status = 'entered_in_error' AND (SELECT supersedes FROM entry WHERE seq = NEW.seq) IS NULL
BEGIN SELECT RAISE(ABORT, 'a finding needs an entry of that kind, its person and the look that found it'); END;

CREATE TRIGGER skin_check_entry_fits BEFORE INSERT ON skin_check_entry
WHEN (SELECT kind FROM entry WHERE seq = NEW.seq) IS NOT 'skin_check'
  OR NOT EXISTS (SELECT 1 FROM entry WHERE id = NEW.person AND kind = 'person' AND supersedes IS NULL)
  OR EXISTS (
    SELECT 1 FROM entry e JOIN entry before ON before.id = e.supersedes JOIN skin_check_entry c ON c.seq = before.seq
    WHERE e.seq = NEW.seq AND c.person <> NEW.person)
  OR NEW.status = 'entered_in_error' AND (SELECT supersedes FROM entry WHERE seq = NEW.seq) IS NULL
BEGIN SELECT RAISE(ABORT, 'a skin check needs an entry of that kind and its person'); END;

CREATE TRIGGER practice_entry_fits BEFORE INSERT ON practice_entry
WHEN (SELECT kind FROM entry WHERE seq = NEW.seq) IS NOT 'practice'
BEGIN SELECT RAISE(ABORT, 'a choice of practice needs an entry of that kind'); END;

-- Nothing is changed, removed, or replaced in passing (INSERT OR REPLACE removes a row without a DELETE).
CREATE TRIGGER entry_stays BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER entry_is_kept BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
CREATE TRIGGER entry_is_new BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id OR seq = NEW.seq)
  OR EXISTS (SELECT 1 FROM entry WHERE supersedes = NEW.supersedes)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;

CREATE TRIGGER person_entry_stays BEFORE UPDATE ON person_entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER person_entry_is_kept BEFORE DELETE ON person_entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
CREATE TRIGGER person_entry_is_new BEFORE INSERT ON person_entry
WHEN EXISTS (SELECT 1 FROM person_entry WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;

CREATE TRIGGER order_entry_stays BEFORE UPDATE ON order_entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER order_entry_is_kept BEFORE DELETE ON order_entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
CREATE TRIGGER order_entry_is_new BEFORE INSERT ON order_entry
WHEN EXISTS (SELECT 1 FROM order_entry WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;

CREATE TRIGGER injection_entry_stays BEFORE UPDATE ON injection_entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER injection_entry_is_kept BEFORE DELETE ON injection_entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
CREATE TRIGGER injection_entry_is_new BEFORE INSERT ON injection_entry
WHEN EXISTS (SELECT 1 FROM injection_entry WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;

CREATE TRIGGER event_entry_stays BEFORE UPDATE ON event_entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER event_entry_is_kept BEFORE DELETE ON event_entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
CREATE TRIGGER event_entry_is_new BEFORE INSERT ON event_entry
WHEN EXISTS (SELECT 1 FROM event_entry WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;

CREATE TRIGGER container_entry_stays BEFORE UPDATE ON container_entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER container_entry_is_kept BEFORE DELETE ON container_entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
CREATE TRIGGER container_entry_is_new BEFORE INSERT ON container_entry
WHEN EXISTS (SELECT 1 FROM container_entry WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;

CREATE TRIGGER finding_entry_stays BEFORE UPDATE ON finding_entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER finding_entry_is_kept BEFORE DELETE ON finding_entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
CREATE TRIGGER finding_entry_is_new BEFORE INSERT ON finding_entry
WHEN EXISTS (SELECT 1 FROM finding_entry WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;

CREATE TRIGGER skin_check_entry_stays BEFORE UPDATE ON skin_check_entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER skin_check_entry_is_kept BEFORE DELETE ON skin_check_entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
CREATE TRIGGER skin_check_entry_is_new BEFORE INSERT ON skin_check_entry
WHEN EXISTS (SELECT 1 FROM skin_check_entry WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;

CREATE TRIGGER practice_entry_stays BEFORE UPDATE ON practice_entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER practice_entry_is_kept BEFORE DELETE ON practice_entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
CREATE TRIGGER practice_entry_is_new BEFORE INSERT ON practice_entry
WHEN EXISTS (SELECT 1 FROM practice_entry WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;

CREATE TRIGGER journal_link_stays BEFORE UPDATE ON journal_link
BEGIN SELECT RAISE(ABORT, 'links are never changed'); END;
CREATE TRIGGER journal_link_is_kept BEFORE DELETE ON journal_link
BEGIN SELECT RAISE(ABORT, 'links are never removed'); END;
CREATE TRIGGER journal_link_is_last BEFORE INSERT ON journal_link
WHEN EXISTS (SELECT 1 FROM journal_link WHERE seq >= NEW.seq)
BEGIN SELECT RAISE(ABORT, 'a link follows every other'); END;
