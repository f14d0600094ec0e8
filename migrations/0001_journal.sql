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
  kind TEXT NOT NULL CHECK (kind IN ('person', 'order', 'injection', 'practice')),
  recorded_utc_ms INTEGER NOT NULL CHECK (recorded_utc_ms BETWEEN -2208988800000 AND 7258118400000),
  recorded_offset_min INTEGER NOT NULL CHECK (recorded_offset_min BETWEEN -1439 AND 1439),
  clock_set INTEGER NOT NULL CHECK (clock_set IN (0, 1)),
  recorder TEXT CHECK (length(recorder) BETWEEN 1 AND 500),
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
  CHECK (last_day IS NULL OR last_day >= first_day)
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
  CHECK ((across_cm IS NULL) = (up_cm IS NULL))
) STRICT;

-- A person's injections by the instant given; the rowid, seq, breaks ties.
CREATE INDEX injection_of_person ON injection_entry (person, given_utc_ms);

CREATE TABLE practice_entry (
  seq INTEGER PRIMARY KEY REFERENCES entry (seq),
  navel_margin_cm REAL NOT NULL CHECK (navel_margin_cm BETWEEN 0.1 AND 20)
) STRICT;

-- Half-filled forms: the one table whose rows change and go.
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

CREATE TRIGGER practice_entry_stays BEFORE UPDATE ON practice_entry
BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END;
CREATE TRIGGER practice_entry_is_kept BEFORE DELETE ON practice_entry
BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END;
CREATE TRIGGER practice_entry_is_new BEFORE INSERT ON practice_entry
WHEN EXISTS (SELECT 1 FROM practice_entry WHERE seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'entries are never replaced'); END;
